//! The stud layout joints, marks and nails go by.
//!
//! Laid out from the corner where the wall's sheathing begins, along all runs in one line: centres at one, two,
//! three spacings, so that sheathing edges land on them; a stud at either end of each stretch that other walls leave
//! of the run, where the plate has its full width; kings and trimmers at openings; a mark for each wall that
//! meets. Common practice, no source.

pub(crate) mod sheathing;

use crate::meet::{Gap, LOWER, RunShape, Through, lapping_corner, lines_at};
use geom::Length;
use plan_model::{Mark, MarkKind};
use settings::Settings;
use std::collections::BTreeSet;
use std::ops::Bound::Excluded;
use wall_model::floor::{ArmAt, BEND, Floor, IN_LINE, Junction, JunctionKind, RunId};

/// Layout of one run, stations on the run.
pub(crate) struct Studs {
    /// Everything that is pencilled on the plates, by station.
    pub marks: Vec<Mark>,
    /// Centres of everything that stands under the top plates, ascending.
    pub centres: Vec<Length>,
    /// Those of them that reach up to the top plates: a trimmer ends under the header.
    pub to_the_top: Vec<Length>,
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
    let built = built(shape, r.length());
    let mut marks: Vec<Mark> = Vec::new();
    let mut standing = Standing { centres: BTreeSet::new(), openings: &openings, half };
    let corner = |j| match floor.junction(j).kind {
        JunctionKind::End | JunctionKind::Inline => MarkKind::Stud,
        _ => MarkKind::Corner,
    };
    let within = |at: Length| built.iter().any(|(a, b)| at >= *a + half && at <= *b - half);
    // The ends first, then what is nearest the openings: where there is no room for all, a stud at the end
    // is the king stud.
    let mut wanted: Vec<Mark> = Vec::new();
    for (i, (from, to)) in built.iter().enumerate() {
        let kind = |is_run_end: bool, j| if is_run_end { corner(j) } else { MarkKind::Corner };
        if *to - *from >= half * 2 {
            wanted.push(Mark { at: *from + half, kind: kind(i == 0, r.start_junction) });
        }
        if *to - *from >= half * 4 {
            let is_last = i + 1 == built.len();
            wanted.push(Mark { at: *to - half, kind: kind(is_last, r.end_junction) });
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
    let (mut over_openings, mut under_windows) = (Vec::new(), Vec::new());
    for at in regular(floor, run, [start, stop], spacing).1 {
        let in_one_of = |all: &[(Length, Length)]| all.iter().any(|(a, b)| at > *a && at < *b);
        if in_one_of(&openings) && standing.is_apart(at) {
            over_openings.push(at);
            // Nor does one stand under a sill with half of it in a door.
            if doors.iter().all(|(a, b)| at + half <= *a || at - half >= *b) {
                under_windows.push(at);
            }
        } else if within(at) && standing.has_room(at) {
            marks.push(Mark { at, kind: MarkKind::Stud });
        }
    }
    marks.retain(|m| m.at >= start && m.at <= stop);
    marks.sort_unstable();
    marks.dedup();
    let standing = || marks.iter().filter(|m| !matches!(m.kind, MarkKind::Opening | MarkKind::Tee));
    let mut centres: Vec<Length> = standing().map(|m| m.at).collect();
    centres.dedup();
    let to_the_top = standing().filter(|m| m.kind != MarkKind::Trimmer).map(|m| m.at).collect();
    let ends = [start, stop];
    Studs { marks, centres, to_the_top, openings, over_openings, under_windows, doors, half, ends }
}

/// What other walls leave of the run's lower plate, each stretch as far as it has its full width: a wall that crosses
/// stands between two of them.
pub(crate) fn built(shape: &RunShape, length: Length) -> Vec<(Length, Length)> {
    let [start, end] = [0, 1].map(|k| shape.ends[LOWER][k].as_ref().map(|e| &e.profile));
    let mut out = Vec::with_capacity(shape.gaps[LOWER].len() + 1);
    let mut from = start.map_or(Length::ZERO, |p| p.greatest());
    for Gap { before, after, .. } in &shape.gaps[LOWER] {
        out.push((from, before.profile.least()));
        from = after.profile.greatest();
    }
    out.push((from, end.map_or(length, |p| p.least())));
    out
}

/// Where the regular layout of a run is measured from, and its places between where the plates begin and end.
fn regular(
    floor: &Floor,
    run: RunId,
    [start, stop]: [Length; 2],
    spacing: Length,
) -> (Length, impl Iterator<Item = Length>) {
    let origin = origin(floor, run).unwrap_or(start);
    let steps = ((start - origin).nm().div_euclid(spacing.nm()) + 1).max(1);
    let first = origin + Length::from_nm(spacing.nm() * steps);
    let places = std::iter::successors(Some(first), move |at| Some(*at + spacing));
    (origin, places.take_while(move |at| *at < stop))
}

/// Where the layout of a run is measured from, a station on it; none where that is the start of its plates.
///
/// At a corner sheathing begins at the corner itself, also on the wall whose plates butt there. A run that goes on in
/// line from another goes on with its layout.
fn origin(floor: &Floor, run: RunId) -> Option<Length> {
    let (mut first, mut before) = (run, Length::ZERO);
    // Each step goes back along the line, which ends.
    for _ in 0..floor.runs.len() {
        let j = floor.junction(floor.run(first).start_junction);
        if let Some(other) = turns_with(floor, first, j) {
            return Some(outer_corner(floor, first, other, j) - before);
        }
        let Some(earlier) = line_before(floor, first, j) else { break };
        before += floor.run(earlier).length();
        first = earlier;
    }
    let j = floor.junction(floor.run(first).start_junction);
    (first != run || j.kind == JunctionKind::End).then(|| face(floor, first, j) - before)
}

/// The other wall of a corner that a run begins at; none where it begins otherwise.
fn turns_with(floor: &Floor, run: RunId, j: &Junction) -> Option<RunId> {
    let is_corner = j.kind == JunctionKind::L && j.angle_deg.to_radians().sin() >= BEND;
    let pair = match (is_corner, &j.arms[..]) {
        (true, [a, b]) => [a.run, b.run],
        _ => lapping_corner(floor, j)?.map(|a| a.run),
    };
    let [a, b] = pair;
    (a != b && pair.contains(&run)).then_some(if a == run { b } else { a })
}

/// The run that ends where this one begins, and goes on in it.
fn line_before(floor: &Floor, run: RunId, j: &Junction) -> Option<RunId> {
    let pair = lines_at(floor, j).through.into_iter().find_map(|t| match t {
        Through::Two(a, b) if a.run == run || b.run == run => Some([a, b]),
        _ => None,
    })?;
    pair.into_iter().find(|a| a.run != run && a.at == ArmAt::End).map(|a| a.run)
}

/// The direction of a run away from its end at a junction.
fn away(floor: &Floor, run: RunId, j: &Junction) -> (f64, f64) {
    let r = floor.run(run);
    let (x, y) = r.frame().dir();
    if floor.junction(r.start_junction).at == j.at { (x, y) } else { (-x, -y) }
}

/// Cosine and sine (not below nought) of the angle between two walls at a junction.
pub(crate) fn angle(floor: &Floor, run: RunId, other: RunId, j: &Junction) -> (f64, f64) {
    let [a, b] = [run, other].map(|r| away(floor, r, j));
    (a.0 * b.0 + a.1 * b.1, (a.0 * b.1 - a.1 * b.0).abs())
}

/// Where the outer faces of two walls meet that turn at the start of one, a station on that one.
fn outer_corner(floor: &Floor, run: RunId, other: RunId, j: &Junction) -> Length {
    let [own, its] = [run, other].map(|r| floor.run(r).section.width().half());
    let (cosine, sine) = angle(floor, run, other, j);
    if cosine.abs() < 1e-9 { -its } else { -(its + own.scale(cosine)).scale(1.0 / sine) }
}

/// Where a run that begins at other walls' faces begins, a station on it: zero at a free end.
fn face(floor: &Floor, run: RunId, j: &Junction) -> Length {
    let own = floor.run(run).section.width().half();
    let others = j.arms.iter().map(|o| o.run).filter(|o| *o != run);
    let faces = others.filter_map(|o| {
        let (cosine, sine) = angle(floor, run, o, j);
        let its = floor.run(o).section.width().half();
        (sine > IN_LINE).then(|| (its - own.scale(cosine.abs())).scale(1.0 / sine))
    });
    faces.max().unwrap_or(Length::ZERO)
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
