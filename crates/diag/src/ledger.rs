//! The account of every entity read: used, or ignored for a stated reason. It always sums.

use std::collections::BTreeMap;

/// How many sample entities are kept for each reason.
const SAMPLES: usize = 5;

/// Entities that were not used, for one reason.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ignored {
    /// How many.
    pub count: u64,
    /// A few, as handles or ids: the least by text.
    pub sample: Vec<String>,
}

/// What became of the entities of a drawing. `used + ignored = read` holds by construction.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ledger {
    used: u64,
    ignored: BTreeMap<String, Ignored>,
}

impl Ledger {
    /// Counts one entity that became (part of) a wall, an opening or a storey.
    pub fn use_one(&mut self) {
        self.used += 1;
    }
    /// Counts one entity left out, and why (`layer not a wall layer: A-FURN`, `frozen layer`).
    pub fn ignore(&mut self, reason: impl Into<String>, entity: impl Into<String>) {
        self.ignore_many(reason, 1, [entity.into()]);
    }
    /// Counts several entities left out for one reason; some of them are named.
    pub fn ignore_many(
        &mut self,
        reason: impl Into<String>,
        count: u64,
        named: impl IntoIterator<Item = String>,
    ) {
        let slot = self.ignored.entry(reason.into()).or_default();
        slot.count += count;
        // The least few, so that the order of entities in the file does not show.
        for entity in named {
            let place = slot.sample.partition_point(|s| *s <= entity);
            if place < SAMPLES {
                slot.sample.insert(place, entity);
                slot.sample.truncate(SAMPLES);
            }
        }
    }
    /// Moves one entity from used to ignored: it was taken at first and dropped later.
    pub fn unuse(&mut self, reason: impl Into<String>, entity: impl Into<String>) {
        debug_assert!(self.used > 0, "nothing was used");
        self.used = self.used.saturating_sub(1);
        self.ignore(reason, entity);
    }
    /// Entities read in all.
    pub fn read(&self) -> u64 {
        self.used + self.ignored_total()
    }
    /// Entities used.
    pub fn used(&self) -> u64 {
        self.used
    }
    /// Entities ignored, over all reasons.
    pub fn ignored_total(&self) -> u64 {
        self.ignored.values().map(|i| i.count).sum()
    }
    /// The reasons, in alphabetical order.
    pub fn ignored(&self) -> impl Iterator<Item = (&str, &Ignored)> {
        self.ignored.iter().map(|(k, v)| (k.as_str(), v))
    }
}
