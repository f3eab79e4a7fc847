//! What stands under the plates of a run: read from the marks and outlines of its lower plates, and from the openings of its
//! walls.

use crate::ROUNDING;
use crate::joints::gaps;
use crate::shape::{Shape, Shapes};
use geom::{Frame, Length};
use plan_model::{Layer, MarkKind, Piece, Plan};
use wall_model::OpeningKind;
use wall_model::floor::{Floor, RunId};

/// Stations on a run, nm, ascending.
pub type Interval = [i64; 2];

/// A stud of any kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Standing {
    /// Its centre, a station on the run, nm.
    pub at: i64,
    pub kind: MarkKind,
}

impl Standing {
    /// See [`reaches_up`].
    pub fn reaches_up(&self) -> bool {
        reaches_up(self.kind)
    }
}

/// The layout of one run.
pub struct Layout {
    /// Half a stud's thickness.
    pub half: i64,
    /// Door and window openings; those that touch are one.
    pub openings: Vec<Interval>,
    /// Those of them without a sill, in the same way.
    pub doors: Vec<Interval>,
    /// Where lower plates follow each other without a gap, as far as they have their full width.
    pub stretches: Vec<Interval>,
    /// What the lower plates have marks of, by station; one that two plates share stands once.
    pub standing: Vec<Standing>,
    /// A stud of the regular layout, if there is one.
    pub regular: Option<i64>,
}

impl Layout {
    pub fn of(floor: &Floor, plan: &Plan, shapes: &Shapes, run: RunId) -> Layout {
        let frame = floor.run(run).frame();
        let half = floor.run(run).section.thickness().half().nm();
        let chain: Vec<&Shape> = shapes.chain(run, Layer::Lower).collect();
        let mut standing: Vec<Standing> = Vec::new();
        for shape in &chain {
            let piece = &plan.pieces[shape.id.0 as usize];
            let studs = piece.marks.iter().filter(|m| stands(m.kind));
            standing.extend(studs.map(|m| Standing { at: on_run(piece, m.at), kind: m.kind }));
        }
        standing.sort_unstable();
        standing.dedup_by(|b, a| b.at - a.at <= ROUNDING.nm());
        let tight: Vec<bool> = gaps(shapes, run, Layer::Lower)
            .iter()
            .map(|g| g.opening().abs() <= ROUNDING.nm() && g.bevel <= ROUNDING.nm())
            .collect();
        let mut stretches: Vec<Interval> = Vec::new();
        for (i, shape) in chain.iter().enumerate() {
            let [from, to] = full_width(shape, &frame);
            match stretches.last_mut() {
                Some(last) if tight[i - 1] => last[1] = to,
                _ => stretches.push([from, to]),
            }
        }
        stretches.retain(|s| s[0] < s[1]);
        let at_end = |s: &Standing| {
            let near = |at: i64| (s.at - at).abs() <= ROUNDING.nm();
            stretches.iter().any(|[a, b]| near(a + half) || near(b - half))
        };
        let mut common = standing.iter().filter(|s| s.kind == MarkKind::Stud && !at_end(s));
        let regular = common.next().map(|s| s.at);
        let [openings, doors] = openings_of(floor, run);
        Layout { half, openings, doors, stretches, standing, regular }
    }

    /// Studs whose centre lies from `from` to `to`.
    pub fn between(&self, from: i64, to: i64) -> &[Standing] {
        let first = self.standing.partition_point(|s| s.at < from);
        let after = self.standing.partition_point(|s| s.at <= to);
        &self.standing[first..after.max(first)]
    }

    /// Whether a station lies between the edges of an opening.
    pub fn in_an_opening(&self, at: i64) -> bool {
        is_inside(&self.openings, at)
    }

    /// Whether a station lies in a door.
    pub fn in_a_door(&self, at: i64) -> bool {
        is_inside(&self.doors, at)
    }

    /// The stretch that reaches from one station to another, which may be so far outside.
    pub fn stretch_over(&self, [from, to]: Interval, outside: i64) -> Option<Interval> {
        let begun = self.stretches.partition_point(|s| s[0] - outside <= from);
        let last = self.stretches[..begun].last().copied();
        last.filter(|s| to <= s[1] + outside)
    }

    /// How far a station is from the nearest place of the regular layout; zero where nothing tells where that is.
    pub fn off_layout(&self, at: i64, spacing: Length) -> i64 {
        self.regular.map_or(0, |regular| {
            let over = (at - regular).rem_euclid(spacing.nm());
            over.min(spacing.nm() - over)
        })
    }
}

/// Whether a station lies inside of one of some intervals that are apart from each other and ascend.
fn is_inside(all: &[Interval], at: i64) -> bool {
    let after = all.partition_point(|i| i[0] < at);
    all[..after].last().is_some_and(|i| at < i[1])
}

/// Whether a mark is of something that stands on the bottom plate.
pub fn stands(kind: MarkKind) -> bool {
    matches!(kind, MarkKind::Stud | MarkKind::King | MarkKind::Trimmer | MarkKind::Corner)
}

/// Whether a mark is of something that stands on the bottom plate and reaches up to the top plates: a trimmer ends under the
/// header.
pub fn reaches_up(kind: MarkKind) -> bool {
    stands(kind) && kind != MarkKind::Trimmer
}

/// The station on its run of a place on a piece: along a slope the wood is longer than in plan.
pub fn on_run(piece: &Piece, at: Length) -> i64 {
    (piece.from + piece.rake.map_or(at, |r| r.slope.level(at))).nm()
}

/// From where to where a plate has its full width, but for notches.
pub fn full_width(shape: &Shape, frame: &Frame) -> Interval {
    let [right, left] = shape.edges;
    let (mut from, mut to) = (right[0].max(left[0]), right[1].min(left[1]));
    // An end may go in between its two edges as well.
    let corners = shape.outline.len() - 4 * shape.bites.len().min(shape.outline.len() / 4);
    if corners > 4 {
        let bitten = |at: i64| shape.notches().any(|[a, b]| (a..=b).contains(&at));
        let middle = from + (to - from) / 2;
        for corner in &shape.outline {
            let at = frame.locate(*corner).0.nm();
            if !bitten(at) {
                (from, to) = if at < middle { (from.max(at), to) } else { (from, to.min(at)) };
            }
        }
    }
    [from, to]
}

fn openings_of(floor: &Floor, run: RunId) -> [Vec<Interval>; 2] {
    let (mut openings, mut doors) = (Vec::new(), Vec::new());
    for (at, wall) in floor.walls_of(run) {
        for o in &wall.openings {
            let interval = [(at + o.from).nm(), (at + o.to).nm()];
            openings.push(interval);
            if o.kind != OpeningKind::Window {
                doors.push(interval);
            }
        }
    }
    [openings, doors].map(|mut all| {
        all.sort_unstable();
        let mut out: Vec<Interval> = Vec::with_capacity(all.len());
        for [from, to] in all {
            match out.last_mut() {
                Some(last) if from <= last[1] => last[1] = last[1].max(to),
                _ => out.push([from, to]),
            }
        }
        out
    })
}

/// What doors leave of an interval.
pub fn without([from, to]: Interval, doors: &[Interval]) -> Vec<Interval> {
    let (mut out, mut at) = (Vec::new(), from);
    for [a, b] in doors.iter().filter(|[a, b]| *b > from && *a < to) {
        out.push([at, *a]);
        at = *b;
    }
    out.push([at, to]);
    out.retain(|[a, b]| b > a);
    out
}
