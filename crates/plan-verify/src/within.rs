//! Runs without room for plates of their own: what is left of a wall between two that it goes through.

use crate::SLIVER;
use crate::cover::WALL_LIMIT;
use crate::footprint::{Member, members};
use crate::left_bare::Cover;
use crate::measure::{Bounds, grown};
use std::cell::OnceCell;
use wall_model::floor::{Floor, Run, RunId};

/// The bodies of a floor's walls, made when first asked for: hardly any floor has a run without plates.
pub struct Bodies<'a> {
    floor: &'a Floor,
    members: OnceCell<Vec<Member>>,
}

impl<'a> Bodies<'a> {
    pub fn of(floor: &'a Floor) -> Bodies<'a> {
        Bodies { floor, members: OnceCell::new() }
    }
    /// Whether a run lies within walls of other runs from end to end, at their height.
    pub fn cover(&self, id: RunId) -> bool {
        let run = self.floor.run(id);
        let heights = |r: &Run| (r.base, r.top.max(r.top + r.rise));
        let ((base, top), slack) = (heights(run), SLIVER.nm() as f64 / 2.0);
        let members = self.members.get_or_init(|| members(self.floor));
        let (own, others): (Vec<&Member>, Vec<&Member>) =
            members.iter().filter(|m| m.storey == run.storey).partition(|m| m.run == id);
        let bounds = |m: &Member| Bounds::of(&m.outline);
        let beside = others.iter().filter(|m| {
            let (from, to) = heights(self.floor.run(m.run));
            let near = own.iter().any(|o| bounds(o).meets(&bounds(m), -SLIVER.nm()));
            near && from < top && base < to
        });
        let cover = Cover::of(beside.map(|m| grown(&m.outline, slack, WALL_LIMIT)).collect());
        cover.bare(own.iter().map(|m| m.outline.as_slice())).is_empty()
    }
}
