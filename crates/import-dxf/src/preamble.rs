//! How the entities of a text file begin: those of a kind nearly always alike, but for handle and layer.
//!
//! Knows: the lines that the last entity of each kind began with. Never touches: how tags are read (see `ascii`),
//! what they mean.
//!
//! A third of all tags stand there (owner, subclass, line type, colour, line weight). Where the lines are the
//! same bytes as before, they hold the same tags, and one comparison is enough for all of them.

use crate::ascii::{find_line_end, line_end};
use std::ops::Range;

/// Lines up to the layer's name, and after it, are remembered up to this length.
const LONGEST: usize = 512;

/// Kinds of entities that are told apart; of two in one slot the later is remembered.
const SLOTS: usize = 16;

/// Values at the beginning of an entity; those that are not there, or were not come to, are `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Preamble<'a> {
    /// Of group 5.
    pub handle: Option<&'a [u8]>,
    /// Of group 8.
    pub layer: Option<&'a [u8]>,
    /// Of group 6.
    pub line_type: Option<&'a [u8]>,
}

/// How an entity began, from behind its handle on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Beginning {
    /// Up to the name of its layer; nothing where none is known.
    before: Vec<u8>,
    /// From the line after that name on.
    after: Vec<u8>,
    /// Where in that the name of the line type is.
    line_type: Option<Range<usize>>,
}

impl Beginning {
    /// Whether `rest` begins in the same way; what it holds, and how long it is.
    #[inline]
    pub fn seen_in<'a>(&self, rest: &'a [u8]) -> Option<(Preamble<'a>, usize)> {
        let tail = rest.strip_prefix(self.before.as_slice())?;
        if self.before.is_empty() {
            return None;
        }
        let end = find_line_end(tail)?;
        let layer = tail.get(..end)?.trim_ascii();
        let after = tail.get(end + line_end(&tail[end..])..)?;
        let rest_after = after.strip_prefix(self.after.as_slice())?;
        let line_type = self.line_type.clone().and_then(|r| after.get(r)).map(<[u8]>::trim_ascii);
        let seen = Preamble { handle: None, layer: Some(layer), line_type };
        Some((seen, rest.len() - rest_after.len()))
    }

    /// Remembers the beginning that `lines` are, by places in them: the layer's name, the line after it, the line
    /// type's name.
    pub fn learn(
        &mut self,
        lines: &[u8],
        layer: usize,
        behind_layer: usize,
        line_type: Option<Range<usize>>,
    ) {
        let (before, after) = (&lines[..layer], &lines[behind_layer..]);
        // What follows a CR may belong to the same line end.
        let whole = after.last().is_none_or(|b| *b == b'\n');
        if !whole || before.len() > LONGEST || after.len() > LONGEST {
            return self.before.clear();
        }
        self.before.clear();
        self.before.extend_from_slice(before);
        self.after.clear();
        self.after.extend_from_slice(after);
        self.line_type = line_type.map(|r| r.start - behind_layer..r.end - behind_layer);
    }
}

/// The beginnings of the kinds of entities.
#[derive(Debug, Default)]
pub(crate) struct Beginnings {
    slots: Vec<Beginning>,
}

impl Beginnings {
    /// That of a kind, by its name.
    #[inline]
    pub fn of(&mut self, kind: &[u8]) -> &mut Beginning {
        if self.slots.is_empty() {
            self.slots.resize_with(SLOTS, Beginning::default);
        }
        // Names of entities differ in length or in their last letter, nearly all.
        let last = kind.last().map_or(0, |b| usize::from(*b));
        &mut self.slots[(kind.len() * 5 + last) % SLOTS]
    }
}
