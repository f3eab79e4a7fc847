//! Walls of the model as openings are measured against them: pieces, what they are parts of, and which of them a body
//! lies in.

use crate::geometry::body::Body;
use crate::geometry::footprint::Plan;
use crate::shape::{self, Piece};
use rustc_hash::FxHashMap;

/// A piece of a wall of the model, with what openings are measured against, in the file's unit.
#[derive(Clone, Copy, Debug)]
pub struct Cut {
    /// Reference line.
    pub piece: Piece,
    /// Offsets of the framing's two faces, left positive, least first.
    pub framing: (f64, f64),
    /// Heights of foot and top.
    pub heights: (f64, f64),
    /// Heights of the planned top at both ends, where body or settings tell them.
    pub tops: Option<(f64, f64)>,
    /// Which wall of the draft it is.
    pub draft: usize,
    /// What it is a part of.
    pub whole: Whole,
}

/// What a piece is a part of; of a wall with others, the wall's entity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Whole {
    /// Of no more than itself: what ends with it ends there.
    Itself,
    /// A wall with several legs of its top or two rows of studs: of those on its own line.
    Line(u64),
    /// A curved wall.
    Curve(u64),
}

impl Cut {
    /// How long it is.
    pub fn length(&self) -> f64 {
        let (a, b) = (self.piece.start, self.piece.end);
        (b.0 - a.0).hypot(b.1 - a.1)
    }
    /// The point so far from its start along it.
    pub fn at(&self, station: f64) -> Plan {
        let (a, b, t) = (self.piece.start, self.piece.end, station / self.length());
        (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t)
    }
    /// Its direction.
    pub fn dir(&self) -> Plan {
        let (a, b, len) = (self.piece.start, self.piece.end, self.length());
        ((b.0 - a.0) / len, (b.1 - a.1) / len)
    }
    /// How far along it a point lies.
    pub fn station(&self, p: Plan) -> f64 {
        let (a, d) = (self.piece.start, self.dir());
        (p.0 - a.0) * d.0 + (p.1 - a.1) * d.1
    }
    /// Whether another part of its wall lies on the same line.
    fn shares_line(&self, other: &Cut) -> bool {
        let (a, d) = (self.piece.start, self.dir());
        let off = |p: Plan| ((p.0 - a.0) * d.1 - (p.1 - a.1) * d.0).abs();
        off(other.piece.start).max(off(other.piece.end)) <= 1e-4 * self.length().max(other.length())
    }
    /// Where it crosses the line through `p` that is square to `dir`.
    fn crosses(&self, p: Plan, dir: Plan) -> f64 {
        let (a, own) = (self.piece.start, self.dir());
        ((p.0 - a.0) * dir.0 + (p.1 - a.1) * dir.1) / (own.0 * dir.0 + own.1 * dir.1)
    }
}

/// The pieces of walls that were read, by entity id.
pub type Cuts = FxHashMap<u64, Vec<Cut>>;

/// All parts of the wall that a piece is a part of, if there are others: of a straight one those on its line.
fn parts_of<'c>(cut: &Cut, cuts: &'c Cuts) -> Option<Vec<&'c Cut>> {
    match cut.whole {
        Whole::Itself => None,
        Whole::Line(id) => Some(cuts.get(&id)?.iter().filter(|c| cut.shares_line(c)).collect()),
        Whole::Curve(id) => Some(cuts.get(&id)?.iter().collect()),
    }
}

/// A stretch of a wall, less what reaches beyond its ends; of a part of a wall with what lies in the other parts:
/// the pieces, and stations on each.
pub fn stretches<'c>(
    cut: &'c Cut,
    along: (f64, f64),
    cuts: &'c Cuts,
) -> Vec<(&'c Cut, (f64, f64))> {
    let clipped = |c: &'c Cut, (from, to): (f64, f64)| (c, (from.max(0.0), to.min(c.length())));
    let Some(parts) = parts_of(cut, cuts) else {
        return vec![clipped(cut, along)];
    };
    let jambs = [cut.at(along.0), cut.at(along.1)];
    let dir = cut.dir();
    // Parts that run much the same way: those across the circle do not.
    let same_way = |c: &&'c Cut| c.dir().0 * dir.0 + c.dir().1 * dir.1 > 0.5;
    let on_part = |c: &'c Cut| clipped(c, (c.crosses(jambs[0], dir), c.crosses(jambs[1], dir)));
    let each = parts.into_iter().filter(same_way).map(on_part);
    each.filter(|(_, (from, to))| to - from > 0.01 * cut.length()).collect()
}

/// From where to where the straight line goes on that a piece lies on, in its own stations.
pub fn line_of(cut: &Cut, cuts: &Cuts) -> (f64, f64) {
    let own = (0.0, cut.length());
    let (Whole::Line(_), Some(parts)) = (cut.whole, parts_of(cut, cuts)) else { return own };
    let ends = parts.iter().flat_map(|c| [cut.station(c.piece.start), cut.station(c.piece.end)]);
    ends.fold(own, |(from, to), s| (from.min(s), to.max(s)))
}

/// A body on the piece of a wall that the most of it lies along.
pub struct OnPiece<'c> {
    /// The piece.
    pub cut: &'c Cut,
    /// What it measures along the piece, across it and in height.
    pub measures: [(f64, f64); 3],
    /// How much of it lies between the piece's ends.
    pub overlap: f64,
}

/// The piece that the most of a body lies along.
pub fn best_of<'c>(pieces: &'c [Cut], body: &Body) -> Option<OnPiece<'c>> {
    let measured = pieces.iter().filter_map(|cut| {
        let measures = shape::measure(&cut.piece, body)?;
        let overlap = measures[0].1.min(cut.length()) - measures[0].0.max(0.0);
        Some(OnPiece { cut, measures, overlap })
    });
    let best = measured.clone().max_by(|a, b| a.overlap.total_cmp(&b.overlap))?;
    // Of two rows of studs the one that more of it goes through.
    let beside = |m: &OnPiece<'c>| {
        m.cut.framing != best.cut.framing
            && m.cut.shares_line(best.cut)
            && m.overlap > 0.99 * best.overlap
            && m.depth() > 1.01 * best.depth()
    };
    let other = measured.filter(beside).max_by(|a, b| a.depth().total_cmp(&b.depth()));
    Some(other.unwrap_or(best))
}

impl OnPiece<'_> {
    /// How much of the studs' depth it takes.
    fn depth(&self) -> f64 {
        depth_in(self.cut, self.measures[1])
    }
}

/// How much of the depth of a piece's studs lies within so far across.
pub fn depth_in(cut: &Cut, across: (f64, f64)) -> f64 {
    across.1.min(cut.framing.1) - across.0.max(cut.framing.0)
}
