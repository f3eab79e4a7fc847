//! What a revision does to what is bought.

use crate::plan::Plan;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Boards of one kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardCount {
    /// `2x6`, `2x4 treated`.
    pub lumber: String,
    /// Nominal feet; of a board on hand as it is.
    pub length_ft: f64,
    /// From the yard's own stock.
    pub on_hand: bool,
    /// How many in the old plan.
    pub old: usize,
    /// How many in the new one.
    pub new: usize,
}

/// Length of all boards of one lumber, to buy and on hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LumberFeet {
    /// As in [`BoardCount`].
    pub lumber: String,
    /// Feet in the old plan.
    pub old_ft: f64,
    /// Feet in the new one.
    pub new_ft: f64,
}

/// Nails or hardware of one kind for one purpose.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NailCount {
    /// Which.
    pub nail: String,
    /// What for.
    pub r#for: String,
    /// How many in the old plan.
    pub old: u64,
    /// How many in the new one.
    pub new: u64,
}

/// Counts by key in both plans, where they differ.
fn differing<K: Ord + Clone, N: Copy + Default + PartialEq>(
    old: &BTreeMap<K, N>,
    new: &BTreeMap<K, N>,
) -> Vec<(K, N, N)> {
    let keys: BTreeSet<&K> = old.keys().chain(new.keys()).collect();
    let count = |of: &BTreeMap<K, N>, key: &K| of.get(key).copied().unwrap_or_default();
    keys.into_iter()
        .map(|key| (key.clone(), count(old, key), count(new, key)))
        .filter(|(_, a, b)| a != b)
        .collect()
}

fn lumber(section: &str, treated: bool) -> String {
    if treated { format!("{section} treated") } else { section.to_owned() }
}

/// A length as a key: thousandths of a foot.
fn thousandths(feet: f64) -> i64 {
    (feet * 1000.0).round() as i64
}

pub(crate) fn boards(old: &Plan, new: &Plan) -> Vec<BoardCount> {
    let count = |p: &Plan| {
        let mut counts: BTreeMap<(String, bool, i64), usize> = BTreeMap::new();
        for b in &p.boards {
            let key =
                (lumber(&b.section, b.treated), b.on_hand.is_some(), thousandths(b.length_ft));
            *counts.entry(key).or_default() += 1;
        }
        counts
    };
    differing(&count(old), &count(new))
        .into_iter()
        .map(|((lumber, on_hand, length), old, new)| BoardCount {
            lumber,
            length_ft: length as f64 / 1000.0,
            on_hand,
            old,
            new,
        })
        .collect()
}

pub(crate) fn feet(old: &Plan, new: &Plan) -> Vec<LumberFeet> {
    let sum = |p: &Plan| {
        let mut sums: BTreeMap<String, i64> = BTreeMap::new();
        for b in &p.boards {
            *sums.entry(lumber(&b.section, b.treated)).or_default() += thousandths(b.length_ft);
        }
        sums
    };
    differing(&sum(old), &sum(new))
        .into_iter()
        .map(|(lumber, old, new)| LumberFeet {
            lumber,
            old_ft: old as f64 / 1000.0,
            new_ft: new as f64 / 1000.0,
        })
        .collect()
}

pub(crate) fn nails(old: &Plan, new: &Plan) -> Vec<NailCount> {
    let count = |p: &Plan| {
        let mut counts: BTreeMap<(String, String), u64> = BTreeMap::new();
        for f in &p.fasteners {
            let count = counts.entry((f.r#for.clone(), f.nail.clone())).or_default();
            *count = count.saturating_add(f.count);
        }
        counts
    };
    differing(&count(old), &count(new))
        .into_iter()
        .map(|((r#for, nail), old, new)| NailCount { nail, r#for, old, new })
        .collect()
}
