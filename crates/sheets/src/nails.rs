//! Nails in few words: a letter for each kind, and how many at how many places.

use crate::font::shown;
use plan_model::{Document, Piece};
use std::collections::{BTreeMap, BTreeSet};

/// The kinds of nails of a plan, each with its letter.
pub(crate) struct NailKey {
    letters: BTreeMap<String, String>,
}

impl NailKey {
    /// Of a document.
    pub fn of(doc: &Document) -> NailKey {
        let spots = doc.plan.pieces.iter().flat_map(|p| &p.nails);
        let kinds: BTreeSet<&str> = spots.map(|s| s.nail.as_str()).collect();
        let letters = kinds.into_iter().enumerate().map(|(i, kind)| (kind.to_owned(), letter(i)));
        NailKey { letters: letters.collect() }
    }

    /// Letter and name of every kind.
    pub fn kinds(&self) -> impl Iterator<Item = (&str, String)> {
        self.letters.iter().map(|(kind, letter)| (letter.as_str(), shown(kind)))
    }

    /// `3 at 11, 1 at 7: a`; empty for a piece without nails.
    pub fn summary(&self, piece: &Piece) -> String {
        let mut places: BTreeMap<(&str, u32), usize> = BTreeMap::new();
        for spot in &piece.nails {
            *places.entry((&spot.nail, spot.count)).or_default() += 1;
        }
        let mut text = String::new();
        let mut last = None;
        for ((kind, each), n) in places.iter().rev() {
            if last.is_some_and(|l| l != *kind) {
                text.push_str("; ");
            } else if last.is_some() {
                text.push_str(", ");
            }
            last = Some(*kind);
            let letter = self.letters.get(*kind).map_or("", String::as_str);
            text.push_str(&format!("{each}{letter}\u{a0}at\u{a0}{n}"));
        }
        text
    }
}

/// `a` to `z`, then `a1` and so on.
fn letter(index: usize) -> String {
    let letter = char::from(b'a' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        n => format!("{letter}{n}"),
    }
}
