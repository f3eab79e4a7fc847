//! What is asked of a few entities after reading, by their offset in the file: handle, name, line.
//!
//! Knows: how to find it in memory or in the file. Never touches: what is made of it.

use crate::ascii::{AsciiTags, line_end};
use crate::binary::{BinaryTags, is_binary};
use crate::source::{Source, TextFile, Window};
use crate::tag::{Damage, Tags};
use memchr::memchr2;
use std::cell::{OnceCell, RefCell};

/// Looks places up in a drawing.
#[derive(Debug)]
pub(crate) struct Lookup<'a> {
    source: Source<'a>,
    /// Whether the drawing is a binary file.
    pub binary: bool,
    /// Of a file, the stretches that were looked at last.
    near: RefCell<Near>,
    lines: OnceCell<LineIndex>,
}

/// Two stretches of a file: what is drawn in a block is named by its own place and by that of its insert, by turns.
#[derive(Debug, Default)]
struct Near {
    windows: [Window; 2],
    /// The one that was used last.
    last: usize,
}

impl Near {
    /// The stretch that holds the beginning of an entity, and how many bytes were asked for where it was read anew.
    fn around(&mut self, file: &TextFile, pos: usize) -> (&mut Window, usize) {
        let find = |is: &dyn Fn(&Window) -> bool| self.windows.iter().position(is);
        // Who asks for what comes next goes on so.
        let onward =
            |w: &Window| pos.checked_sub(w.base).is_some_and(|d| d <= w.held().len() + AHEAD);
        let (which, room) = match (find(&|w| w.holds(pos, HEAD)), find(&onward)) {
            (Some(held), _) => (held, None),
            (None, Some(next)) => (next, Some(AHEAD)),
            (None, None) => (1 - self.last, Some(AROUND)),
        };
        self.last = which;
        let window = &mut self.windows[which];
        if let Some(room) = room {
            window.slide(file, pos, room);
        }
        (window, room.unwrap_or(AROUND))
    }
}

/// What is asked of an entity.
#[derive(Clone, Copy)]
enum Asked {
    /// Its first handle.
    Handle,
    /// Its name: the value that it begins with.
    Name,
    /// Its line type.
    LineType,
}

impl Asked {
    fn of<'t>(self, tags: &mut impl Tags<'t>) -> &'t [u8] {
        let Some(head) = tags.next() else { return b"" };
        if let Asked::Name = self {
            return head.text();
        }
        while let Some(tag) = tags.next() {
            match tag.code {
                0 | 1000.. => break,
                5 if matches!(self, Asked::Handle) => return tag.text(),
                6 if matches!(self, Asked::LineType) => return tag.text(),
                _ => {}
            }
        }
        b""
    }
}

/// Bytes that are read around an entity at first.
const AROUND: usize = 1 << 12;

/// Bytes that are read at a time where one entity after the other is asked for.
const AHEAD: usize = 1 << 16;

/// Of an entity, bytes that mostly hold its handle.
const HEAD: usize = 1 << 9;

impl<'a> Lookup<'a> {
    /// In this drawing.
    pub fn new(source: Source<'a>) -> Lookup<'a> {
        let binary = is_binary(source.head());
        Lookup { source, binary, near: RefCell::default(), lines: OnceCell::new() }
    }

    /// How many bytes the drawing has.
    pub fn bytes(&self) -> u64 {
        self.source.bytes()
    }

    /// What is made of the handle of the entity at an offset as it stands in the file; of nothing where it has none.
    pub fn handle<T>(&self, pos: usize, make: impl Fn(&[u8]) -> T) -> T {
        self.ask(pos, Asked::Handle, make)
    }

    /// The same of the entity's name.
    pub fn name<T>(&self, pos: usize, make: impl Fn(&[u8]) -> T) -> T {
        self.ask(pos, Asked::Name, make)
    }

    /// The same of the line type that it names.
    pub fn line_type<T>(&self, pos: usize, make: impl Fn(&[u8]) -> T) -> T {
        self.ask(pos, Asked::LineType, make)
    }

    fn ask<T>(&self, pos: usize, asked: Asked, make: impl Fn(&[u8]) -> T) -> T {
        let file = match self.source {
            Source::Memory(bytes) if self.binary => {
                return make(asked.of(&mut BinaryTags::at(bytes, pos)));
            }
            Source::Memory(bytes) => {
                let rest = bytes.get(pos..).unwrap_or_default();
                let mut tags = AsciiTags::of_window(rest, pos, false, Damage::default());
                return make(asked.of(&mut tags));
            }
            Source::Text(file) => file,
        };
        let mut near = self.near.borrow_mut();
        let (near, mut room) = near.around(file, pos);
        loop {
            let mut tags =
                AsciiTags::of_window(near.from(pos), pos, near.goes_on, Damage::default());
            let answer = asked.of(&mut tags);
            if !tags.ran_out() || room > MOST_AROUND {
                return make(answer);
            }
            room *= 4;
            near.slide(file, pos, room);
        }
    }

    /// The number of the line that begins at an offset of a text file.
    pub fn line_number(&self, pos: usize) -> usize {
        match self.source {
            Source::Memory(bytes) => {
                let index = self.lines.get_or_init(|| LineIndex::of(bytes));
                let (at, line) = index.before(pos);
                line + line_ends(bytes.get(at..pos).unwrap_or_default())
            }
            Source::Text(file) => {
                let index = self.lines.get_or_init(|| LineIndex::of_file(file));
                let (at, line) = index.before(pos);
                let mut between = Window::default();
                between.slide(file, at, pos - at);
                line + line_ends(between.held())
            }
        }
    }
}

/// No entity's handle is farther from its beginning.
const MOST_AROUND: usize = 1 << 26;

/// How many lines end in these bytes, which end with a whole line.
fn line_ends(bytes: &[u8]) -> usize {
    let (mut at, mut count) = (0, 0);
    while let Some(i) = bytes.get(at..).and_then(|b| memchr2(b'\n', b'\r', b)) {
        at += i + line_end(&bytes[at + i..]);
        count += 1;
    }
    count
}

/// Line numbers at some places of a text file, so that naming many entities by line does not count
/// the whole file each time.
#[derive(Clone, Debug)]
struct LineIndex {
    /// Offset of a line's start, and its number; one for every [`LineIndex::STEP`] bytes or so.
    marks: Vec<(usize, usize)>,
}

impl LineIndex {
    const STEP: usize = 1 << 16;

    fn of(bytes: &[u8]) -> LineIndex {
        let mut index = LineIndex { marks: vec![(0, 1)] };
        index.add(bytes, 0, 1);
        index
    }

    fn of_file(file: &TextFile) -> LineIndex {
        let mut index = LineIndex { marks: vec![(0, 1)] };
        let (mut window, mut at, mut line, mut room) =
            (Window::default(), 0, 1, LineIndex::STEP * 4);
        loop {
            window.slide(file, at, room);
            if window.bytes().is_empty() && window.goes_on {
                room *= 4;
                continue;
            }
            line = index.add(window.bytes(), at, line);
            at += window.bytes().len();
            if !window.goes_on {
                return index;
            }
        }
    }

    /// Goes on with lines that begin at an offset; the number of the line after them.
    fn add(&mut self, bytes: &[u8], base: usize, mut line: usize) -> usize {
        let mut at = 0;
        let mut next = self.marks.last().map_or(0, |m| m.0) + LineIndex::STEP;
        while let Some(i) = memchr2(b'\n', b'\r', &bytes[at..]) {
            at += i + line_end(&bytes[at + i..]);
            line += 1;
            if base + at >= next {
                self.marks.push((base + at, line));
                next = base + at + LineIndex::STEP;
            }
        }
        line
    }

    /// The last place that is known at or before an offset.
    fn before(&self, pos: usize) -> (usize, usize) {
        let mark = self.marks.partition_point(|m| m.0 <= pos).saturating_sub(1);
        self.marks.get(mark).copied().unwrap_or((0, 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    /// Whatever the order in which entities are asked for: onward, back, by turns with others far away.
    #[test]
    fn handles_of_a_file_are_those_in_memory() {
        let mut text = "  0\nSECTION\n  2\nENTITIES\n".to_owned();
        let mut places = Vec::new();
        for n in 0..4000 {
            places.push(text.len());
            text += &format!(
                "  0\nLINE\n  5\n{:X}\n  8\nA-WALL\n999\n{}\n",
                256 + n,
                "x".repeat(n % 90)
            );
        }
        let file = TextFile::of(Cursor::new(text.clone().into_bytes())).unwrap().expect("a DXF");
        let (there, here) =
            (Lookup::new(Source::Text(&file)), Lookup::new(Source::Memory(text.as_bytes())));
        let onward = places.iter().copied();
        let by_turns =
            (0..4000).map(|n| places[if n % 2 == 0 { n * 7919 % 4000 } else { n / 900 }]);
        for pos in onward.clone().chain(onward.rev()).chain(by_turns) {
            let handle = |l: &Lookup<'_>| l.handle(pos, <[u8]>::to_vec);
            assert_eq!(handle(&there), handle(&here), "{pos}");
        }
    }
}
