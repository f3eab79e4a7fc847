//! Runs without room for plates of their own: what is left of a wall between two that it goes through.

use crate::SLIVER;
use crate::cover::WALL_LIMIT;
use crate::footprint::{Member, members};
use crate::left_bare::Cover;
use crate::measure::grown;
use wall_model::floor::{Floor, Run, RunId};

/// Whether a run lies within walls of other runs from end to end, at their height.
pub fn has_no_room(floor: &Floor, id: RunId) -> bool {
    let run = floor.run(id);
    let heights = |r: &Run| (r.base, r.top.max(r.top + r.rise));
    let ((base, top), slack) = (heights(run), SLIVER.nm() as f64 / 2.0);
    let (own, others): (Vec<Member>, Vec<Member>) =
        members(floor).into_iter().filter(|m| m.storey == run.storey).partition(|m| m.run == id);
    let beside = others.iter().filter(|m| {
        let (from, to) = heights(floor.run(m.run));
        from < top && base < to
    });
    let cover = Cover::of(beside.map(|m| grown(&m.outline, slack, WALL_LIMIT)).collect());
    cover.bare(own.iter().map(|m| m.outline.as_slice())).is_empty()
}
