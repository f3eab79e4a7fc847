//! Lap, notch or strap at each tee, seen together with everything else on the through run.

use crate::meet::{LOWER, NotchAt, RunShape, Through, UPPER, lines_at, notch_at};
use crate::rules::RuleSet;
use geom::Length;
use plan_model::Side;
use settings::{ExteriorTee, Settings};
use std::collections::BTreeMap;
use wall_model::floor::{Arm, Floor, FloorWall, JunctionId, JunctionKind, RunId};

/// How a stem's upper plate ties into the run it meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum TeeKind {
    Lap,
    Notch,
    Strap,
}

/// No upper piece shorter than this is made on purpose: two nails and their end distances need it.
const LEAST_PIECE: Length = Length::inches(6);
/// Wood left between a notch and a piece's end.
const LEAST_CHEEK: Length = Length::inches(3);

struct Tee {
    junction: JunctionId,
    stem: Arm,
    station: Length,
    half_gap: Length,
    policy: TeeKind,
}

/// Decides every tee between runs of one height whose through run is whole.
pub(crate) fn decide(
    floor: &Floor,
    shapes: &[RunShape],
    settings: &Settings,
    rules: &RuleSet,
) -> BTreeMap<JunctionId, TeeKind> {
    let mut out = BTreeMap::new();
    for (i, r) in floor.runs.iter().enumerate() {
        let run = RunId(i as u32);
        let tees: Vec<Tee> = r
            .through
            .iter()
            .filter_map(|(station, id)| tee(floor, settings, run, *station, *id))
            .collect();
        decide_run(floor, &shapes[i], settings, rules, run, &tees, &mut out);
    }
    out
}

fn tee(
    floor: &Floor,
    settings: &Settings,
    run: RunId,
    station: Length,
    id: JunctionId,
) -> Option<Tee> {
    let j = floor.junction(id);
    if j.kind != JunctionKind::T || j.step != Length::ZERO {
        return None;
    }
    let lines = lines_at(floor, j);
    let ([Through::One(_)], [stem]) = (&lines.through[..], &lines.single[..]) else { return None };
    let s = floor.run(stem.run);
    let sine = j.angle_deg.to_radians().sin().max(0.05);
    let lean = (floor.run(run).section.width().half().nm() as f64 / sine
        * j.angle_deg.to_radians().cos().abs()) as i64;
    let half_gap = Length::from_nm(
        ((s.section.width().half() + settings.plates.upper_clearance).nm() as f64 / sine) as i64
            + lean,
    );
    let exterior =
        |run: RunId, near: Length| nearest_wall(floor, run, near).is_some_and(|w| w.exterior);
    let stem_near = floor.run(stem.run).frame().locate(j.at).0;
    let policy = if exterior(run, station) && !exterior(stem.run, stem_near) {
        match settings.plates.exterior_tee {
            ExteriorTee::Notch => TeeKind::Notch,
            ExteriorTee::Lap => TeeKind::Lap,
            ExteriorTee::Strap => TeeKind::Strap,
        }
    } else {
        TeeKind::Lap
    };
    Some(Tee { junction: id, stem: *stem, station, half_gap, policy })
}

/// The wall of a run that covers a station (the nearest one, for stations just outside).
fn nearest_wall(floor: &Floor, run: RunId, station: Length) -> Option<&FloorWall> {
    floor
        .walls_of(run)
        .min_by_key(|(from, w)| {
            let to = *from + w.start.distance(w.end);
            (*from - station).max(station - to).max(Length::ZERO)
        })
        .map(|(_, w)| w)
}

fn decide_run(
    floor: &Floor,
    shape: &RunShape,
    settings: &Settings,
    rules: &RuleSet,
    run: RunId,
    tees: &[Tee],
    out: &mut BTreeMap<JunctionId, TeeKind>,
) {
    let r = floor.run(run);
    // Where the upper plate ends; a stem's own far end is not decided yet, its lower one is.
    let end = |k: usize| shape.ends[UPPER][k].as_ref().or(shape.ends[LOWER][k].as_ref());
    let start = end(0).map_or(Length::ZERO, |e| e.profile.greatest());
    let stop = end(1).map_or(r.length(), |e| e.profile.least());
    let mut gaps: Vec<(Length, Length)> =
        vec![(start - Length::inches(1), start), (stop, stop + Length::inches(1))];
    gaps.extend(
        shape.gaps[UPPER].iter().map(|g| (g.before.profile.least(), g.after.profile.greatest())),
    );
    // A tie lies on this run's lower plate, not on what carries through at its ends.
    let below = |lo: Length, hi: Length| {
        let from = shape.ends[LOWER][0].as_ref().map(|e| e.profile.greatest());
        let to = shape.ends[LOWER][1].as_ref().map(|e| e.profile.least());
        from.is_none_or(|f| f <= lo) && to.is_none_or(|t| hi <= t)
    };
    let mut notches: Vec<(Length, Length, Side, Length)> = Vec::new();
    let bearing = floor.walls_of(run).any(|(_, w)| w.bearing == Some(true));
    for t in tees {
        let (lo, hi) = (t.station - t.half_gap, t.station + t.half_gap);
        let room = |lo: Length, hi: Length| {
            gaps.iter()
                .map(|(a, b)| {
                    if *b <= lo {
                        lo - *b
                    } else if *a >= hi {
                        *a - hi
                    } else {
                        -Length::inches(1)
                    }
                })
                .min()
                .unwrap_or(r.length())
        };
        let clear_of_notches =
            notches.iter().all(|(a, b, ..)| *b + LEAST_CHEEK <= lo || *a >= hi + LEAST_CHEEK);
        let free = clear_of_notches && below(lo, hi);
        let lap_room = if free { room(lo, hi) } else { -Length::inches(1) };
        let notch = notch_at(floor, settings, run, t.stem).filter(|n| {
            let (a, b) = n.range();
            room(a, b) >= LEAST_CHEEK
                && below(a, b)
                && notches.iter().all(|(c, d, side, depth)| {
                    let apart = *d + LEAST_CHEEK <= a || *c >= b + LEAST_CHEEK;
                    let both = *depth + n.depth + Length::inches(1) <= r.section.width();
                    apart || (*side != n.side && both)
                })
        });
        let strap = |n: &NotchAt| rules.notch_strap.needed(n.depth, r.section.width());
        // A notch instead of a short piece, but not where it would call for a strap.
        let light = notch.as_ref().is_some_and(|n| !bearing || !strap(n));
        let short = settings.plates.short_piece;
        let kind = match t.policy {
            TeeKind::Lap if lap_room >= short => TeeKind::Lap,
            TeeKind::Lap if light => TeeKind::Notch,
            TeeKind::Lap if lap_room >= LEAST_PIECE => TeeKind::Lap,
            TeeKind::Lap => TeeKind::Strap,
            TeeKind::Notch if notch.is_some() => TeeKind::Notch,
            TeeKind::Notch if lap_room >= short => TeeKind::Lap,
            TeeKind::Notch | TeeKind::Strap => TeeKind::Strap,
        };
        match (kind, notch) {
            (TeeKind::Lap, _) => gaps.push((lo, hi)),
            (TeeKind::Notch, Some(n)) => {
                let (a, b) = n.range();
                notches.push((a, b, n.side, n.depth));
            }
            _ => {}
        }
        out.insert(t.junction, kind);
    }
}
