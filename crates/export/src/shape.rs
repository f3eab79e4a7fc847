//! A piece by itself: its outline in its own frame, and what its two ends look like.

use geom::{Frame, Length, Point};
use plan_model::Piece;

/// A piece in its own frame: x from its start, y to the left of its centreline.
pub struct Shape {
    /// Counter-clockwise, corner by corner as in the piece's own outline.
    pub outline: Vec<(Length, Length)>,
    /// The edges of each notch, from edge to edge of the piece.
    pub bites: Vec<Vec<(Length, Length)>>,
    /// How many straight cuts make the start and the end; 1 for a plain square or bevelled end.
    pub end_cuts: [usize; 2],
}

/// Which long edge of the piece a point lies on.
#[derive(Clone, Copy, PartialEq)]
enum Edge {
    Left,
    Right,
    Between,
}

impl Shape {
    /// The shape of a piece of the run with that frame.
    pub fn of(piece: &Piece, frame: &Frame) -> Shape {
        let local = |p: &Point| {
            let (station, offset) = frame.locate(*p);
            (station - piece.from, offset)
        };
        let outline: Vec<_> = piece.outline.iter().map(local).collect();
        let Corners { end_cuts, bites } = corners(&outline, piece.section.width().half());
        Shape { outline, bites, end_cuts }
    }
}

struct Corners {
    end_cuts: [usize; 2],
    bites: Vec<Vec<(Length, Length)>>,
}

/// Sorts the corners that lie between the two long edges: those on the way from one edge to the other
/// make an end of several cuts, those on the way from an edge back to itself a notch.
fn corners(outline: &[(Length, Length)], half: Length) -> Corners {
    // An oblique outline is rounded to the nanometre; a real cut is far larger than 1/64 in.
    let tolerance = Length::sixty_fourths(1);
    let edge = |offset: Length| {
        if (offset - half).abs() <= tolerance {
            Edge::Left
        } else if (offset + half).abs() <= tolerance {
            Edge::Right
        } else {
            Edge::Between
        }
    };
    let mut found = Corners { end_cuts: [1, 1], bites: Vec::new() };
    let Some(first) = outline.iter().position(|(_, o)| edge(*o) != Edge::Between) else {
        return found;
    };
    let around = outline[first..].iter().chain(&outline[..=first]).copied();
    let mut chain: Vec<(Length, Length)> = Vec::new();
    let mut last = Edge::Between;
    for corner in around {
        let now = edge(corner.1);
        chain.push(corner);
        if now == Edge::Between {
            continue;
        }
        let between = chain.len().saturating_sub(2);
        match (last, now) {
            (Edge::Left, Edge::Right) => found.end_cuts[0] = between + 1,
            (Edge::Right, Edge::Left) => found.end_cuts[1] = between + 1,
            _ if between > 0 => found.bites.push(chain.clone()),
            _ => {}
        }
        chain.clear();
        chain.push(corner);
        last = now;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cuts(points: &[(i64, i64)]) -> ([usize; 2], usize) {
        let outline: Vec<_> =
            points.iter().map(|(x, y)| (Length::inches(*x), Length::inches(*y))).collect();
        let found = corners(&outline, Length::inches(2));
        (found.end_cuts, found.bites.len())
    }

    #[test]
    fn a_notch_is_no_end_cut() {
        let plain = [(0, -2), (40, -2), (40, 2), (0, 2)];
        assert_eq!(cuts(&plain), ([1, 1], 0));
        let notched = [(0, -2), (40, -2), (40, 2), (30, 2), (30, 0), (20, 0), (20, 2), (0, 2)];
        assert_eq!(cuts(&notched), ([1, 1], 1));
    }

    #[test]
    fn pointed_and_stepped_ends_are_counted() {
        let pointed = [(0, -2), (38, -2), (40, 0), (38, 2), (0, 2)];
        assert_eq!(cuts(&pointed), ([1, 2], 0));
        let stepped = [(0, 0), (3, 0), (3, -2), (40, -2), (40, 2), (0, 2)];
        assert_eq!(cuts(&stepped), ([3, 1], 0));
    }
}
