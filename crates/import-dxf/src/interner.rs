//! Names by number: of layers, blocks and types of entities.
//!
//! Knows: bytes as they stand in the file. Never touches: what they are names of.

use rustc_hash::FxHashMap;

/// Names numbered in order of first use.
#[derive(Default)]
pub(crate) struct Interner {
    ids: FxHashMap<Box<[u8]>, u32>,
    names: Vec<Box<[u8]>>,
    /// The last ones asked for, by [`slot`]: a drawing goes to and fro between a few.
    recent: [u32; RECENT],
}

const RECENT: usize = 16;

/// Names of one drawing mostly differ in length or in their last letter.
fn slot(name: &[u8]) -> usize {
    (name.len() * 5 + name.last().map_or(0, |b| usize::from(*b))) % RECENT
}

impl Interner {
    /// The number of a name.
    pub fn id(&mut self, name: &[u8]) -> u32 {
        let slot = slot(name);
        if let Some(recent) = self.recent.get(slot)
            && self.names.get(*recent as usize).is_some_and(|known| **known == *name)
        {
            return *recent;
        }
        let next = self.names.len() as u32;
        let id = match self.ids.get(name) {
            Some(id) => *id,
            None => {
                self.ids.insert(name.into(), next);
                self.names.push(name.into());
                next
            }
        };
        if let Some(recent) = self.recent.get_mut(slot) {
            *recent = id;
        }
        id
    }
    /// All names by number.
    pub fn into_names(self) -> Vec<Box<[u8]>> {
        self.names
    }
}
