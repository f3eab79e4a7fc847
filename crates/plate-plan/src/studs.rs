//! The stud layout joints, marks and nails go by.
//!
//! Laid out from the run's lower start: centres at one, two, three spacings, so that sheathing edges
//! land on them; a stud at either end; kings and trimmers at openings; a mark for each wall that
//! meets. Common practice, no source.

use crate::meet::{LOWER, RunShape};
use geom::Length;
use plan_model::{Mark, MarkKind};
use settings::Settings;
use std::collections::BTreeSet;
use std::ops::Bound::Excluded;
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
    /// Where the bottom plate begins and ends.
    pub ends: [Length; 2],
}

/// The studs that stand, by their centres: no two in each other's place, none in an opening's clear width.
struct Standing<'a> {
    centres: BTreeSet<Length>,
    openings: &'a [(Length, Length)],
    half: Length,
}

impl Standing<'_> {
    /// Whether there is room for another one with its centre here.
    fn has_room(&self, at: Length) -> bool {
        let (low, high) = (at - self.half, at + self.half);
        let i = self.openings.partition_point(|o| o.1 <= low);
        let clear = self.openings.get(i).is_none_or(|o| o.0 >= high);
        clear && self.is_apart(at)
    }
    /// Whether none stands where one with its centre here would.
    fn is_apart(&self, at: Length) -> bool {
        let beside = (Excluded(at - self.half * 2), Excluded(at + self.half * 2));
        self.centres.range(beside).next().is_none()
    }
    /// Stands one there, if there is room.
    fn stand(&mut self, at: Length) -> bool {
        self.has_room(at) && self.centres.insert(at)
    }
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
    let mut standing = Standing { centres: BTreeSet::new(), openings: &openings, half };
    let corner = |j| match floor.junction(j).kind {
        JunctionKind::End | JunctionKind::Inline => MarkKind::Stud,
        _ => MarkKind::Corner,
    };
    let within = |at: Length| at >= start + half && at <= stop - half;
    // The ends first, then what is nearest the openings: where there is no room for all, a stud at the end
    // is the king stud.
    let mut wanted: Vec<Mark> = Vec::new();
    if stop - start >= half * 2 {
        wanted.push(Mark { at: start + half, kind: corner(r.start_junction) });
        if stop - start >= half * 4 {
            wanted.push(Mark { at: stop - half, kind: corner(r.end_junction) });
        }
    }
    for (out, kind) in [(half, MarkKind::Trimmer), (half * 3, MarkKind::King)] {
        let edges = openings.iter().flat_map(|(a, b)| [*a - out, *b + out]);
        wanted.extend(edges.filter(|at| within(*at)).map(|at| Mark { at, kind }));
    }
    marks.extend(wanted.into_iter().filter(|m| standing.stand(m.at)));
    let opening = |at| Mark { at, kind: MarkKind::Opening };
    marks.extend(openings.iter().flat_map(|(a, b)| [opening(*a), opening(*b)]));
    for (at, j) in &r.through {
        if floor.junction(*j).kind != JunctionKind::Inline {
            marks.push(Mark { at: *at, kind: MarkKind::Tee });
        }
    }
    // Common studs that an end, king or trimmer already stands in for are left out.
    let spacing = settings.studs.spacing;
    let mut at = start + spacing;
    let (mut over_openings, mut under_windows) = (Vec::new(), Vec::new());
    while at < stop {
        let in_one_of = |all: &[(Length, Length)]| all.iter().any(|(a, b)| at > *a && at < *b);
        if in_one_of(&openings) && standing.is_apart(at) {
            over_openings.push(at);
            if !in_one_of(&doors) {
                under_windows.push(at);
            }
        } else if standing.has_room(at) {
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
    let ends = [start, stop];
    Studs { marks, centres, openings, over_openings, under_windows, doors, half, ends }
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
