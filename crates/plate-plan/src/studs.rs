//! The stud layout joints, marks and nails go by.
//!
//! Laid out from the run's lower start: centres at one, two, three spacings, so that sheathing edges
//! land on them; a stud at either end; kings and trimmers at openings; a mark for each wall that
//! meets. Common practice, no source.

use crate::meet::{LOWER, RunShape};
use geom::Length;
use plan_model::{Mark, MarkKind};
use settings::Settings;
use wall_model::floor::{Floor, JunctionKind, RunId};

/// Layout of one run, stations on the run.
pub(crate) struct Studs {
    /// Everything that is pencilled on the plates, by station.
    pub marks: Vec<Mark>,
    /// Centres of everything that stands under the top plates, ascending.
    pub centres: Vec<Length>,
    /// Door and window openings.
    pub openings: Vec<(Length, Length)>,
    /// Where the layout falls into an opening: cripples stand there on the header, ascending.
    pub over_openings: Vec<Length>,
    /// Those over windows, where cripples stand under the sill as well.
    pub under_windows: Vec<Length>,
    /// Openings that doors go through.
    pub doors: Vec<(Length, Length)>,
    /// Half a stud's thickness.
    pub half: Length,
}

/// Whether a joint whose middle is here lies over a stud: both its pieces then have wood under them.
/// `centres` ascend.
pub(crate) fn carries(centres: &[Length], half: Length, middle: Length) -> bool {
    let bears = half - Length::sixteenths(4);
    let i = centres.partition_point(|s| *s < middle - bears);
    centres.get(i).is_some_and(|s| *s <= middle + bears)
}

pub(crate) fn lay_out(floor: &Floor, run: RunId, shape: &RunShape, settings: &Settings) -> Studs {
    let r = floor.run(run);
    let half = r.section.thickness().half();
    let end = |k: usize| shape.ends[LOWER][k].as_ref();
    let start = end(0).map_or(Length::ZERO, |e| e.profile.least());
    let stop = end(1).map_or(r.length(), |e| e.profile.greatest());
    let mut openings = Vec::new();
    let mut doors = Vec::new();
    for (at, w) in floor.walls_of(run) {
        for o in &w.openings {
            openings.push((at + o.from, at + o.to));
            if o.kind != wall_model::OpeningKind::Window {
                doors.push((at + o.from, at + o.to));
            }
        }
    }
    let openings = merged(openings);
    let doors = merged(doors);
    let mut marks: Vec<Mark> = Vec::new();
    let mut put = |at: Length, kind: MarkKind| marks.push(Mark { at, kind });
    let corner = |j| match floor.junction(j).kind {
        JunctionKind::End | JunctionKind::Inline => MarkKind::Stud,
        _ => MarkKind::Corner,
    };
    let within = |at: Length| at >= start + half && at <= stop - half;
    if stop - start >= half * 2 {
        put(start + half, corner(r.start_junction));
        if stop - start >= half * 4 {
            put(stop - half, corner(r.end_junction));
        }
    }
    for (a, b) in &openings {
        put(*a, MarkKind::Opening);
        put(*b, MarkKind::Opening);
        for (edge, out) in [(*a, -half), (*b, half)] {
            for (at, kind) in [(edge + out, MarkKind::Trimmer), (edge + out * 3, MarkKind::King)] {
                if within(at) {
                    put(at, kind);
                }
            }
        }
    }
    for (at, j) in &r.through {
        if floor.junction(*j).kind != JunctionKind::Inline {
            put(*at, MarkKind::Tee);
        }
    }
    // Common studs that an end, king or trimmer already stands in for are left out.
    let taken: Vec<Length> = {
        let mut t: Vec<Length> = marks
            .iter()
            .filter(|m| !matches!(m.kind, MarkKind::Opening | MarkKind::Tee))
            .map(|m| m.at)
            .collect();
        t.sort_unstable();
        t
    };
    let spacing = settings.studs.spacing;
    let mut at = start + spacing;
    let (mut over_openings, mut under_windows) = (Vec::new(), Vec::new());
    while at < stop {
        let i = taken.partition_point(|t| *t <= at - half * 2);
        let free = taken.get(i).is_none_or(|t| *t >= at + half * 2);
        let open = openings.iter().any(|(a, b)| at > *a && at < *b);
        if free && open {
            over_openings.push(at);
            if !doors.iter().any(|(a, b)| at > *a && at < *b) {
                under_windows.push(at);
            }
        } else if free {
            marks.push(Mark { at, kind: MarkKind::Stud });
        }
        at += spacing;
    }
    marks.retain(|m| m.at >= start && m.at <= stop);
    marks.sort_unstable();
    marks.dedup();
    let mut centres: Vec<Length> = marks
        .iter()
        .filter(|m| m.kind != MarkKind::Opening && m.kind != MarkKind::Tee)
        .map(|m| m.at)
        .collect();
    centres.dedup();
    Studs { marks, centres, openings, over_openings, under_windows, doors, half }
}

/// Unions of intervals that share a point.
pub(crate) fn merged(mut v: Vec<(Length, Length)>) -> Vec<(Length, Length)> {
    v.sort_unstable();
    let mut out: Vec<(Length, Length)> = Vec::new();
    for (a, b) in v {
        match out.last_mut() {
            Some(last) if a <= last.1 => last.1 = last.1.max(b),
            _ => out.push((a, b)),
        }
    }
    out
}
