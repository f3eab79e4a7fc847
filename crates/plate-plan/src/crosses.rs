//! Which run is whole in the lower layer at each crossing of two runs.
//!
//! By rank the exterior, wide, long run is whole below and the other goes over it. Where either run then
//! has a fault near the crossing, the other way round is tried, one crossing after the other, and kept
//! where both runs together get cheaper, until none does: bounded, not exact.

use crate::cut;
use crate::meet::{Carriers, CrossEffect, Effects, LOWER, Meeting, RunShape, Terms, UPPER};
use crate::meet::{Through, lines_at};
use crate::tees;
use geom::Length;
use std::borrow::Cow;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, Junction, JunctionId, JunctionKind, RunId};

/// The two runs of a crossing that both pass it, where their plates can lap.
pub(crate) fn both_pass(floor: &Floor, j: &Junction) -> Option<[RunId; 2]> {
    if j.kind != JunctionKind::X || !floor.laps_at(j) {
        return None;
    }
    match lines_at(floor, j).through[..] {
        [Through::One(a), Through::One(b)] => Some([a, b]),
        _ => None,
    }
}

/// Carriers that make a cheaper floor than the ones given, corners and tees as they are; `None` where none
/// were found.
pub(crate) fn improve(by: &Terms, meeting: &Meeting, carriers: &Carriers) -> Option<Carriers> {
    let reach = by.offset + by.settings.plates.short_piece * 2;
    let mut shapes = Cow::Borrowed(&meeting.shapes[..]);
    let mut better = carriers.clone();
    let nobody = Carriers::new();
    let mut effects: Option<Effects> = None;
    let mut faults: BTreeMap<RunId, Vec<Length>> = BTreeMap::new();
    for (i, j) in by.floor.junctions.iter().enumerate() {
        let Some(runs) = both_pass(by.floor, j) else { continue };
        let id = JunctionId(i as u32);
        let mut near = |run: RunId| {
            let new = || cut::troubled_at(by, run, &shapes[run.0 as usize]);
            let at = by.floor.run(run).frame().locate(j.at).0;
            faults.entry(run).or_insert_with(new).iter().any(|s| (*s - at).abs() <= reach)
        };
        if !near(runs[0]) && !near(runs[1]) {
            continue;
        }
        let effects = effects.get_or_insert_with(|| Effects::new(by, &nobody));
        let now = effects.of_cross(id, runs, better.get(&id).copied());
        let other = if now.below == runs[0] { runs[1] } else { runs[0] };
        let then = effects.of_cross(id, runs, Some(other));
        let old = runs.map(|run| &shapes[run.0 as usize]);
        let new = [0, 1].map(|k| reshaped(old[k], runs[k], &now, &then));
        let room = runs.iter().zip(&new).all(|(r, s)| tees::have_room(by, s, *r, &meeting.tees));
        let cost = |both: [&RunShape; 2]| {
            let [a, b] = [0, 1].map(|k| cut::cost_of(by, runs[k], both[k]));
            a.plus(b)
        };
        if room && cost(new.each_ref()) < cost(old) {
            better.insert(id, other);
            for (run, shape) in runs.into_iter().zip(new) {
                shapes.to_mut()[run.0 as usize] = shape;
                faults.remove(&run);
            }
        }
    }
    (better != *carriers).then_some(better)
}

/// A run's shape with what one way of crossing makes of it in place of another.
fn reshaped(shape: &RunShape, run: RunId, was: &CrossEffect, now: &CrossEffect) -> RunShape {
    let mut out = shape.clone();
    for layer in [LOWER, UPPER] {
        let gone: Vec<_> = was.gaps(run, layer).iter().map(|g| g.range()).collect();
        out.gaps[layer].retain(|g| !gone.contains(&g.range()));
        out.gaps[layer].extend(now.gaps(run, layer).iter().cloned());
    }
    out.sort();
    out
}
