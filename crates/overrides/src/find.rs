//! Finding a wall again: by its entity and where it stood, else by where it stood alone.
//!
//! Handles are renumbered by converters, GUIDs change on export, and one entity may hold several walls:
//! neither the name nor the place is enough by itself, and a doubtful match is said.

use geom::{Frame, Length, Point};
use wall_model::{Wall, WallId};

/// How far a wall of the same entity may lie off its old line (common practice, no source).
const OFF_LINE: Length = Length::inches(12);
/// How far the ends of a wall of another entity may lie off: the same place, drawn anew.
const SAME_PLACE: Length = Length::inches(1);
/// A move that is not worth a word: half of the least lumber tolerance.
const UNMOVED: Length = Length::sixty_fourths(4);

/// How a wall was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Match {
    /// The same entity at the same place.
    Same(WallId),
    /// The same entity, its ends up to so far from where they were.
    Moved(WallId, Length),
    /// Another entity at the same place.
    Renamed(WallId),
}

/// The wall an edit means; `None` where there is none, or where several are equally good.
pub(crate) fn find(walls: &[Wall], entity: &str, start: Point, end: Point) -> Option<Match> {
    let ids = || walls.iter().enumerate().map(|(i, w)| (WallId(i as u32), w));
    let own = ids()
        .filter(|(_, w)| w.source.iter().any(|s| s.entity == entity))
        .filter(|(_, w)| lies_on(w, start, end))
        .map(|(id, w)| (moved(w, start, end), id))
        .min();
    match own {
        Some((far, id)) if far <= UNMOVED => return Some(Match::Same(id)),
        Some((far, id)) => return Some(Match::Moved(id, far)),
        None => {}
    }
    let mut there = ids().filter(|(_, w)| moved(w, start, end) <= SAME_PLACE);
    match (there.next(), there.next()) {
        (Some((id, _)), None) => Some(Match::Renamed(id)),
        _ => None,
    }
}

/// Whether a wall lies along the old one: on its line, and over half the shorter one's length.
fn lies_on(w: &Wall, start: Point, end: Point) -> bool {
    let Some(frame) = Frame::between(w.start, w.end) else { return false };
    let ((a, off_a), (b, off_b)) = (frame.locate(start), frame.locate(end));
    let along = a.max(b).min(w.length()) - a.min(b).max(Length::ZERO);
    off_a.abs().max(off_b.abs()) <= OFF_LINE && along * 2 >= w.length().min((b - a).abs())
}

/// How far the ends are from where they were, whichever way round.
fn moved(w: &Wall, start: Point, end: Point) -> Length {
    let far = |a: Point, b: Point| w.start.distance(a).max(w.end.distance(b));
    far(start, end).min(far(end, start))
}
