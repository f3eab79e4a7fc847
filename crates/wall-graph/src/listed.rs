//! What a finding about many walls names.

use diag::SourceRef;
use wall_model::WallId;

/// Walls whose entities a finding lists. What a larger drawing has more of is counted.
const MOST: usize = 500;

/// The walls that a finding is about, with the entities they come from.
#[derive(Default)]
pub(crate) struct Listed {
    walls: Vec<(WallId, Vec<SourceRef>)>,
    /// None beyond this one will be listed.
    beyond: Option<WallId>,
    /// All of them, listed or not.
    pub count: usize,
}

impl Listed {
    /// Its entities are not asked for where it will not be listed: to look them up takes longer than all else here.
    pub(crate) fn add<'s>(&mut self, wall: WallId, source: impl FnOnce() -> &'s [SourceRef]) {
        self.count += 1;
        if self.beyond.is_some_and(|last| wall > last) {
            return;
        }
        self.walls.push((wall, source().to_vec()));
        // Those of the least numbers stay, in whatever order they come.
        if self.walls.len() >= MOST * 2 {
            self.settle();
        }
    }
    fn settle(&mut self) {
        self.walls.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        self.walls.truncate(MOST);
        self.beyond = self.walls.last().filter(|_| self.walls.len() == MOST).map(|w| w.0);
    }
    /// The entities, by the walls' numbers, each once.
    pub(crate) fn sources(mut self) -> Vec<SourceRef> {
        self.settle();
        let mut out: Vec<SourceRef> = Vec::new();
        for s in self.walls.into_iter().flat_map(|w| w.1) {
            if out.last() != Some(&s) {
                out.push(s);
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_walls_are_listed_however_they_come() {
        let source = |n: u32| vec![SourceRef { entity: format!("{n}"), layer: String::new() }];
        let list = |order: &mut dyn Iterator<Item = u32>| {
            let mut all = Listed::default();
            order.for_each(|n| {
                let own = source(n);
                all.add(WallId(n), || &own)
            });
            (all.count, all.sources())
        };
        let (count, forwards) = list(&mut (0..3000));
        assert_eq!((count, forwards.len()), (3000, MOST));
        assert_eq!(forwards.last(), Some(&source(MOST as u32 - 1)[0]));
        assert_eq!(list(&mut (0..3000).rev()), (3000, forwards));
        assert_eq!(list(&mut [4, 4, 2].into_iter()).1, [source(2), source(4)].concat());
    }
}
