//! Which pieces each tie joins.

use crate::meet::{LOWER, RunShape, TiePlan, UPPER, lapping_corner};
use crate::nails::OnOther;
use geom::Length;
use plan_model::{Against, Layer, Piece, PieceId, Tie, TieKind};
use std::collections::BTreeMap;
use wall_model::floor::{Floor, JunctionId, JunctionKind, RunId};

/// Stretches where a run's upper plate lies on another run's lower one: past its own lower end, or
/// over a place where its lower layer is broken.
pub(crate) fn lies_on_others(floor: &Floor, run: RunId, shape: &RunShape) -> Vec<OnOther> {
    let r = floor.run(run);
    let exterior = floor.walls_of(run).any(|(_, w)| w.exterior);
    let mut out = Vec::new();
    for (k, junction) in [(0, r.start_junction), (1, r.end_junction)] {
        let [lower, upper] = [LOWER, UPPER].map(|l| shape.ends[l][k].as_ref());
        let (Some(lower), Some(upper)) = (lower, upper) else { continue };
        let (from, to) = if k == 0 {
            (upper.profile.least(), lower.profile.greatest())
        } else {
            (lower.profile.least(), upper.profile.greatest())
        };
        // In line an upper plate that runs on a long way has studs of the other wall under it; a lap at a flat angle
        // is long as well.
        let lap = to - from;
        let runs_on =
            floor.junction(junction).kind == JunctionKind::Inline && lap > Length::inches(12);
        if lap > Length::ZERO
            && !runs_on
            && matches!(upper.against, Against::Open | Against::Notch(_))
        {
            let at = floor.junction(junction);
            let corner = at.kind == JunctionKind::L
                || lapping_corner(floor, at).is_some_and(|c| c.iter().any(|arm| arm.run == run));
            out.push(OnOther { from, to, exterior_corner: corner && exterior });
        }
    }
    for g in &shape.gaps[LOWER] {
        let (from, to) = (g.before.profile.least(), g.after.profile.greatest());
        let broken_above = shape.gaps[UPPER]
            .iter()
            .any(|u| u.before.profile.least() < to && u.after.profile.greatest() > from);
        if !broken_above {
            out.push(OnOther { from, to, exterior_corner: false });
        }
    }
    out
}

/// Looks up the pieces of every tie and counts its hardware.
pub(crate) fn find(
    floor: &Floor,
    pieces: &[Piece],
    plans: &[TiePlan],
    hardware: &mut BTreeMap<(String, String), u64>,
) -> Vec<Tie> {
    let mut by_run: BTreeMap<(RunId, Layer), Vec<PieceId>> = BTreeMap::new();
    for (i, p) in pieces.iter().enumerate() {
        by_run.entry((p.run, p.layer)).or_default().push(PieceId(i as u32));
    }
    let at = |run: RunId, layer: Layer, junction: JunctionId| {
        let station = floor.run(run).frame().locate(floor.junction(junction).at).0;
        let away = |p: &Piece| (p.from - station).max(station - p.to).max(Length::ZERO);
        by_run
            .get(&(run, layer))?
            .iter()
            .copied()
            .min_by_key(|id| (away(&pieces[id.0 as usize]), *id))
    };
    plans
        .iter()
        .map(|t| {
            let over = match t.kind {
                TieKind::Lap | TieKind::Notch => at(t.over, Layer::Upper, t.junction),
                _ => at(t.over, Layer::Upper, t.junction).or(at(t.over, Layer::Lower, t.junction)),
            };
            let layer = if matches!(t.kind, TieKind::Lap | TieKind::Notch) {
                Layer::Lower
            } else {
                Layer::Upper
            };
            // A run too short for an upper plate is held by its lower one.
            let held = |r: &RunId| match layer {
                Layer::Upper => at(*r, layer, t.junction).or(at(*r, Layer::Lower, t.junction)),
                _ => at(*r, layer, t.junction),
            };
            let under = t.under.iter().filter_map(held);
            if t.count > 0 {
                let purpose = match t.kind {
                    TieKind::Screw => "steps of height and raked walls",
                    _ => "straps and plates at junctions",
                };
                *hardware.entry((t.hardware.clone(), purpose.into())).or_default() +=
                    u64::from(t.count);
                if let Some((nail, n)) = &t.nails {
                    *hardware.entry((nail.clone(), purpose.into())).or_default() +=
                        u64::from(n * t.count);
                }
            }
            let hardware = match (t.count, &t.nails) {
                (0, _) => String::new(),
                (n, Some((nail, nails))) => format!("{n} x {}; {nails} nails {nail}", t.hardware),
                (n, None) => format!("{n} x {}", t.hardware),
            };
            Tie {
                junction: t.junction,
                kind: t.kind,
                pieces: over.into_iter().chain(under).collect(),
                overlap: t.overlap,
                hardware,
            }
        })
        .collect()
}
