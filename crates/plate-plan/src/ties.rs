//! Which pieces each tie joins.

use crate::meet::{LOWER, RunShape, Through, TiePlan, UPPER, lapping_corner, lines_at};
use crate::nails::OnOther;
use crate::studs::Studs;
use geom::Length;
use plan_model::{Against, Joint, JointKind, Layer, Piece, PieceId, Tie, TieKind};
use std::collections::BTreeMap;
use wall_model::floor::{Arm, ArmAt, Floor, IN_LINE, JunctionId, JunctionKind, RunId};

/// Less than this one plate does not lie on another: 0.001 in.
const SLIVER: Length = Length::from_nm(25_400);
/// No strap, plate or screw reaches farther from a junction.
const REACH: Length = Length::inches(12);

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
        let lap = to - from;
        let is_over = matches!(upper.against, Against::Open | Against::Notch(_) | Against::SameRun);
        if lap > Length::ZERO && is_over {
            let at = floor.junction(junction);
            let corner = at.kind == JunctionKind::L
                || lapping_corner(floor, at).is_some_and(|c| c.iter().any(|arm| arm.run == run));
            out.push(OnOther { from, to, exterior_corner: corner && exterior });
        }
    }
    for g in &shape.gaps[LOWER] {
        let (from, to) = g.range();
        if !shape.gaps[UPPER].iter().any(|u| u.shares(g)) {
            out.push(OnOther { from, to, exterior_corner: false });
        }
    }
    out
}

/// Joints at the ends of a run where the upper plate of one in line with it runs on: of the narrower run the end of its lower
/// plates, under its upper one, and the end of that one; of the wider run the end of its upper plate.
pub(crate) fn in_line_joints(floor: &Floor, run: RunId, shapes: &[RunShape]) -> Vec<Joint> {
    let r = floor.run(run);
    let mut out = Vec::new();
    for (k, id) in [(0, r.start_junction), (1, r.end_junction)] {
        let Some([own, other]) = line_on(floor, run, id) else { continue };
        let runs_on = |arm: Arm| {
            let end = &shapes[arm.run.0 as usize].ends[UPPER][usize::from(arm.at == ArmAt::End)];
            end.as_ref().is_some_and(|e| e.against == Against::SameRun)
        };
        let layers: &[(usize, Layer)] = match (runs_on(own), runs_on(other)) {
            (true, _) => &[(LOWER, Layer::Lower), (UPPER, Layer::Upper)],
            (false, true) => &[(UPPER, Layer::Upper)],
            (false, false) => &[],
        };
        for (layer, which) in layers {
            let Some(end) = &shapes[run.0 as usize].ends[*layer][k] else { continue };
            let at = if k == 0 { end.profile.least() } else { end.profile.greatest() };
            let (layer, half_gap, kind) = (*which, Length::ZERO, JointKind::Break);
            out.push(Joint { run, layer, at, half_gap, kind, on_stud: false, offset: None });
        }
    }
    out
}

/// The arm of a run that ends at a junction, and the one that goes on from it in line.
fn line_on(floor: &Floor, run: RunId, id: JunctionId) -> Option<[Arm; 2]> {
    lines_at(floor, floor.junction(id)).through.into_iter().find_map(|t| match t {
        Through::Two(a, b) if a.run == run => Some([a, b]),
        Through::Two(a, b) if b.run == run => Some([b, a]),
        _ => None,
    })
}

/// Studs of the walls in line that a run's upper plate runs on over, where it lies on them: stations on the run, ascending.
pub(crate) fn studs_beyond(
    floor: &Floor,
    run: RunId,
    shapes: &[RunShape],
    layouts: &[Studs],
) -> Vec<Length> {
    let r = floor.run(run);
    let shape = &shapes[run.0 as usize];
    let mut out = Vec::new();
    for (k, id) in [(0, r.start_junction), (1, r.end_junction)] {
        let [lower, upper] = [LOWER, UPPER].map(|l| shape.ends[l][k].as_ref());
        let (Some(lower), Some(upper)) = (lower, upper) else { continue };
        if upper.against != Against::SameRun {
            continue;
        }
        let Some([_, other]) = line_on(floor, run, id) else { continue };
        let (from, to) = match k {
            0 => (upper.profile.greatest(), lower.profile.least()),
            _ => (lower.profile.greatest(), upper.profile.least()),
        };
        let (own, its) = (r.frame(), floor.run(other.run).frame());
        let layout = &layouts[other.run.0 as usize];
        let all = layout.to_the_top.iter().chain(&layout.over_openings);
        let seen = all.map(|at| own.locate(its.at(*at, Length::ZERO)).0);
        out.extend(seen.filter(|at| *at > from && *at < to));
    }
    out.sort_unstable();
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
    let away = |p: PieceId, junction: JunctionId| {
        let p = &pieces[p.0 as usize];
        let station = floor.run(p.run).frame().locate(floor.junction(junction).at).0;
        (p.from - station).max(station - p.to).max(Length::ZERO)
    };
    let at = |run: RunId, layer: Layer, junction: JunctionId| {
        let own = by_run.get(&(run, layer))?.iter().copied();
        own.min_by_key(|id| (away(*id, junction), *id))
    };
    // A run too short for an upper plate is held by its lower one, and so is one whose upper plate stops short of the
    // place, where another runs on over it.
    let held = |run: RunId, junction: JunctionId| {
        let upper = at(run, Layer::Upper, junction);
        let near = upper.filter(|p| away(*p, junction) <= REACH);
        near.or_else(|| at(run, Layer::Lower, junction)).or(upper)
    };
    // Of a run in line that an upper plate runs on over, all lower plates under it; else there is one.
    let under_all = |run: RunId, over: Option<PieceId>| {
        let over = &pieces[over?.0 as usize];
        let (own, its) = (floor.run(over.run).frame(), floor.run(run).frame());
        let ((ax, ay), (bx, by)) = (own.dir(), its.dir());
        if (ax * by - ay * bx).abs() > IN_LINE {
            return None;
        }
        let ends = [over.from, over.to].map(|at| its.locate(own.at(at, Length::ZERO)).0);
        let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        let lowers = by_run.get(&(run, Layer::Lower))?.iter().copied();
        let lies_under = |id: &PieceId| {
            let p = &pieces[id.0 as usize];
            p.from.max(from) + SLIVER < p.to.min(to)
        };
        Some(lowers.filter(lies_under).collect::<Vec<_>>()).filter(|all| !all.is_empty())
    };
    plans
        .iter()
        .map(|t| {
            let is_wood = matches!(t.kind, TieKind::Lap | TieKind::Notch);
            let over = match is_wood {
                true => at(t.over, Layer::Upper, t.junction),
                false => held(t.over, t.junction),
            };
            let under = t.under.iter().flat_map(|r| match is_wood {
                true => under_all(*r, over)
                    .unwrap_or_else(|| at(*r, Layer::Lower, t.junction).into_iter().collect()),
                false => held(*r, t.junction).into_iter().collect(),
            });
            let joined: Vec<PieceId> = over.into_iter().chain(under).collect();
            // A wall without plates of its own is tied by nothing, and needs nothing.
            if !is_wood && joined.len() <= t.under.len() {
                let (kind, hardware) = (TieKind::None, String::new());
                let (junction, overlap) = (t.junction, t.overlap);
                return Tie { junction, kind, pieces: joined, overlap, hardware };
            }
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
            Tie { junction: t.junction, kind: t.kind, pieces: joined, overlap: t.overlap, hardware }
        })
        .collect()
}
