//! Nails by the rule set's schedule: upper plates over studs only, laps, joints, ends; studs; floor.

use crate::rules::RuleSet;
use crate::studs::Studs;
use geom::Length;
use plan_model::{Joint, JointKind, Layer, NailSpot, Piece};
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::floor::Run;

/// Nails stay this far from a piece's end.
const END_DISTANCE: Length = Length::sixteenths(24);

/// What nails are for, as the totals list them.
pub(crate) const UPPER: &str = "upper to lower plate";
pub(crate) const LAP: &str = "laps at corners and intersections";
pub(crate) const STUDS: &str = "plates to studs";
pub(crate) const FLOOR: &str = "bottom plate to floor";

/// Counts by purpose and nail.
pub(crate) type Totals = BTreeMap<(&'static str, String), u64>;

/// Places where a piece lies on another run's plate: stations on the run.
pub(crate) struct OnOther {
    pub from: Length,
    pub to: Length,
    pub exterior_corner: bool,
}

/// What the nails of a run's pieces go by.
pub(crate) struct Schedule<'a> {
    pub run: &'a Run,
    pub studs: &'a Studs,
    pub laps: &'a [OnOther],
    pub joints: &'a [Joint],
    pub rules: &'a RuleSet,
    pub settings: &'a Settings,
    /// Whether the bottom plates lie on concrete.
    pub on_concrete: bool,
}

/// Nails one piece and adds to the totals.
pub(crate) fn drive(piece: &mut Piece, by: &Schedule, totals: &mut Totals) {
    let Schedule { run: r, studs, laps, joints, rules, settings, .. } = *by;
    let n = &rules.nails;
    let wide = r.section.width() > Length::inches(4);
    let mut spots: BTreeMap<(Length, String), u32> = BTreeMap::new();
    let (from, to) = (piece.from, piece.to);
    let inside: Vec<Length> = studs
        .centres
        .iter()
        .copied()
        .filter(|s| *s >= from && *s <= to)
        .map(|s| {
            s.max(from + END_DISTANCE.min((to - from).half()))
                .min(to - END_DISTANCE.min((to - from).half()))
        })
        .collect();
    match piece.layer {
        Layer::Upper => {
            let rule = &n.upper_to_lower;
            for s in &inside {
                *spots.entry((*s, rule.nail.clone())).or_default() += rule.per_stud;
            }
            // Studs farther apart than the code's spacing: one more close beside each.
            let most = most_between(r, rules);
            if settings.studs.spacing > most {
                let beside = (settings.studs.spacing - most).half();
                for pair in inside.windows(2) {
                    if pair[1] - pair[0] > most {
                        *spots.entry((pair[0] + beside, rule.nail.clone())).or_default() += 1;
                        *spots.entry((pair[1] - beside, rule.nail.clone())).or_default() += 1;
                    }
                }
            }
            enough_at_joints(&mut spots, piece, &inside, joints, rules);
            let count: u64 = spots.values().map(|c| u64::from(*c)).sum();
            *totals.entry((UPPER, rule.nail.clone())).or_default() += count;
            for lap in laps.iter().filter(|l| l.to > from && l.from < to) {
                let count = if lap.exterior_corner {
                    n.exterior_end.count.max(if wide { n.lap.wide } else { n.lap.narrow })
                } else if wide {
                    n.lap.wide
                } else {
                    n.lap.narrow
                };
                let at = (lap.from.max(from) + lap.to.min(to)).half();
                let nail = if lap.exterior_corner { &n.exterior_end.nail } else { &n.lap.nail };
                *spots.entry((at, nail.clone())).or_default() += count;
                *totals.entry((LAP, nail.clone())).or_default() += u64::from(count);
            }
        }
        Layer::Bottom | Layer::Lower => {
            let count = if wide { n.stud.wide } else { n.stud.narrow };
            for s in &inside {
                *spots.entry((*s, n.stud.nail.clone())).or_default() += count;
                *totals.entry((STUDS, n.stud.nail.clone())).or_default() += u64::from(count);
            }
            // On concrete anchor bolts hold it down.
            if piece.layer == Layer::Bottom && !by.on_concrete {
                let most = Length::from_inches(n.floor.max_spacing).unwrap_or(Length::inches(16));
                for at in evenly(from, to, most) {
                    *spots.entry((at, n.floor.nail.clone())).or_default() += 1;
                    *totals.entry((FLOOR, n.floor.nail.clone())).or_default() += 1;
                }
            }
        }
    }
    piece.nails = spots
        .into_iter()
        .map(|((at, nail), count)| NailSpot { at: at - from, count, nail })
        .collect();
}

/// The greatest distance between nails of the upper plate, in plan.
pub(crate) fn most_between(run: &Run, rules: &RuleSet) -> Length {
    let most = Length::from_inches(rules.nails.upper_to_lower.max_spacing);
    let most = most.unwrap_or(Length::inches(16));
    run.slope().map_or(most, |s| s.level(most))
}

/// Ends and equal steps no longer than `most`.
fn evenly(from: Length, to: Length, most: Length) -> Vec<Length> {
    let inset = Length::inches(3).min((to - from) / 4);
    let (a, b) = (from + inset, to - inset);
    let steps = ((b - a).nm() + most.nm() - 1) / most.nm();
    (0..=steps).map(|k| a + Length::from_nm((b - a).nm() * k / steps.max(1))).collect()
}

/// On each side of a joint of either top layer: the splice count within the lap, added over the
/// studs there (beside the joint where there is none), and never less than the practice count.
fn enough_at_joints(
    spots: &mut BTreeMap<(Length, String), u32>,
    piece: &Piece,
    studs: &[Length],
    joints: &[Joint],
    rules: &RuleSet,
) {
    let splice = &rules.nails.splice;
    let within = Length::from_inches(splice.within).unwrap_or(Length::inches(24));
    let within = piece.rake.map_or(within, |r| r.slope.level(within));
    for j in joints.iter().filter(|j| j.kind == JointKind::Break && j.layer != Layer::Bottom) {
        for side in [-1, 1] {
            let edge = j.at + j.half_gap * side;
            let (lo, hi) = if side < 0 { (edge - within, edge) } else { (edge, edge + within) };
            let (lo, hi) = (lo.max(piece.from), hi.min(piece.to));
            if hi - lo < END_DISTANCE * 2 {
                continue; // another piece carries this side
            }
            let there: u32 =
                spots.iter().filter(|((at, _), _)| *at >= lo && *at <= hi).map(|(_, c)| *c).sum();
            let wanted = splice.each_side.max(rules.nails.joint.each_side);
            let missing = wanted.saturating_sub(there);
            if missing == 0 {
                continue;
            }
            let mut places: Vec<Length> =
                studs.iter().copied().filter(|s| *s >= lo && *s <= hi).collect();
            if places.is_empty() {
                places.push((lo + hi).half());
            }
            for k in 0..missing {
                let at = places[k as usize % places.len()];
                *spots.entry((at, splice.nail.clone())).or_default() += 1;
            }
        }
    }
}
