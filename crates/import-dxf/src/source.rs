//! Where a drawing's bytes are: in memory, or in a file of which only a part is held at a time.
//!
//! Knows: offsets in the file, where its lines end. Never touches: tags, paths.
//!
//! A large drawing takes less memory, and less time for it, when its text goes through a window that is used
//! again and again. What only a few entities are asked for afterwards, their handle and line, is looked up.

use diag::codes::input;
use diag::{Finding, Refusal};
use memchr::memrchr;
use std::io::{self, Read, Seek, SeekFrom};
use std::sync::Mutex;

/// What a file must be able to do.
pub trait ReadSeek: Read + Seek + Send {}

impl<T: Read + Seek + Send> ReadSeek for T {}

/// A drawing to be read.
#[derive(Clone, Copy, Debug)]
pub enum Source<'a> {
    /// All its bytes, text or binary.
    Memory(&'a [u8]),
    /// A text file, read piece by piece.
    Text(&'a TextFile),
}

impl<'a> From<&'a [u8]> for Source<'a> {
    fn from(bytes: &'a [u8]) -> Source<'a> {
        Source::Memory(bytes)
    }
}

impl<'a> From<&'a Vec<u8>> for Source<'a> {
    fn from(bytes: &'a Vec<u8>) -> Source<'a> {
        Source::Memory(bytes)
    }
}

impl<'a> From<&'a TextFile> for Source<'a> {
    fn from(file: &'a TextFile) -> Source<'a> {
        Source::Text(file)
    }
}

impl Source<'_> {
    /// How many bytes the drawing has.
    pub fn bytes(&self) -> u64 {
        match self {
            Source::Memory(bytes) => bytes.len() as u64,
            Source::Text(file) => file.bytes,
        }
    }
    /// Nothing, when all that was read of it so far could be read.
    ///
    /// # Errors
    /// When it could not.
    pub fn sound(&self) -> Result<(), Refusal> {
        let Source::Text(file) = self else { return Ok(()) };
        file.failure().map_err(|e| {
            let what = format!("The file could not be read to its end: {e}.");
            Refusal::because(Finding::new(input::FILE_UNREADABLE, what))
        })
    }
    /// Its first bytes, enough to tell what it is.
    pub fn head(&self) -> &[u8] {
        match self {
            Source::Memory(bytes) => bytes,
            Source::Text(file) => &file.head,
        }
    }
}

/// A text DXF file that is not held in memory. It must not change while it is read.
pub struct TextFile {
    file: Mutex<Opened>,
    bytes: u64,
    head: Vec<u8>,
    /// Bytes that are held at a time.
    room: usize,
}

struct Opened {
    file: Box<dyn ReadSeek>,
    /// Set by the first reading that failed.
    failed: Option<io::Error>,
}

impl std::fmt::Debug for TextFile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("TextFile").field("bytes", &self.bytes).finish_non_exhaustive()
    }
}

/// Bytes of a file that are looked at to tell what it is.
const HEAD: usize = 1 << 16;

/// Bytes of a file that are held at a time: few enough to stay near the processor, enough for nearly every
/// entity.
const ROOM: usize = 1 << 20;

impl TextFile {
    /// The file, when it begins like a text DXF file; `None` for all others.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn of(mut file: impl ReadSeek + 'static) -> io::Result<Option<TextFile>> {
        let bytes = file.seek(SeekFrom::End(0))?;
        file.seek(SeekFrom::Start(0))?;
        let mut head = Vec::new();
        (&mut file).take(HEAD as u64).read_to_end(&mut head)?;
        if crate::binary::is_binary(&head) || !crate::sniff(&head) {
            return Ok(None);
        }
        let opened = Opened { file: Box::new(file), failed: None };
        Ok(Some(TextFile { file: Mutex::new(opened), bytes, head, room: ROOM }))
    }

    /// Holds this many bytes at a time, more where an entity is larger. What is read is the same.
    pub fn holding(self, room: usize) -> TextFile {
        TextFile { room, ..self }
    }

    /// How many bytes are held at a time.
    pub(crate) fn room(&self) -> usize {
        self.room
    }

    /// Hands all bytes over, piece by piece, from front to back, as far as the file can be read
    /// ([`TextFile::failure`]).
    pub fn each_piece(&self, mut take: impl FnMut(&[u8])) {
        let (mut piece, mut at) = (Vec::new(), 0);
        loop {
            piece.clear();
            self.add_to(&mut piece, at, PIECE);
            if piece.is_empty() {
                return;
            }
            take(&piece);
            at += piece.len();
        }
    }

    /// Why the file could not be read, if a reading failed so far: what was read of it is not all of it then.
    ///
    /// # Errors
    /// That reason.
    pub fn failure(&self) -> io::Result<()> {
        match self.opened().failed.as_ref() {
            Some(e) => Err(io::Error::new(e.kind(), e.to_string())),
            None => Ok(()),
        }
    }

    fn opened(&self) -> std::sync::MutexGuard<'_, Opened> {
        self.file.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Adds up to `count` bytes from an offset on; fewer at the end, or where the file cannot be read.
    fn add_to(&self, into: &mut Vec<u8>, at: usize, count: usize) {
        let mut opened = self.opened();
        let Opened { file, failed } = &mut *opened;
        into.reserve_exact(count);
        let read = file
            .seek(SeekFrom::Start(at as u64))
            .and_then(|_| file.take(count as u64).read_to_end(into));
        if let Err(e) = read {
            failed.get_or_insert(e);
        }
    }
}

/// Bytes that are hashed or counted at a time.
const PIECE: usize = 1 << 18;

/// A stretch of a file that ends with a whole line.
#[derive(Debug, Default)]
pub(crate) struct Window {
    held: Vec<u8>,
    /// Where it begins in the file.
    pub base: usize,
    /// How many of the bytes held are whole lines.
    lines: usize,
    /// Whether the file goes on after them.
    pub goes_on: bool,
}

impl Window {
    /// The whole lines.
    pub fn bytes(&self) -> &[u8] {
        self.held.get(..self.lines).unwrap_or_default()
    }
    /// All bytes held, whole lines or not.
    pub fn held(&self) -> &[u8] {
        &self.held
    }
    /// Whether an offset in the file, and some bytes after it, are in it.
    pub fn holds(&self, at: usize, count: usize) -> bool {
        let end = self.base + self.lines;
        at >= self.base && (at + count <= end || (!self.goes_on && at <= end))
    }
    /// From an offset on.
    pub fn from(&self, at: usize) -> &[u8] {
        at.checked_sub(self.base).and_then(|i| self.bytes().get(i..)).unwrap_or_default()
    }
    /// Begins at this offset from now on, and holds `room` bytes if there are as many.
    pub fn slide(&mut self, file: &TextFile, to: usize, room: usize) {
        match to.checked_sub(self.base).filter(|passed| *passed <= self.held.len()) {
            Some(passed) => drop(self.held.drain(..passed)),
            None => self.held.clear(),
        }
        self.base = to;
        let wanted = room.saturating_sub(self.held.len());
        let before = self.held.len();
        file.add_to(&mut self.held, to + before, wanted);
        let full = self.held.len() - before == wanted;
        self.goes_on = full && ((to + self.held.len()) as u64) < file.bytes;
        self.lines = if self.goes_on { whole_lines(&self.held) } else { self.held.len() };
    }
}

/// How many bytes are lines whose whole end is there: after an LF, whatever stood before it, or after a CR that
/// something else follows.
fn whole_lines(bytes: &[u8]) -> usize {
    let line_feed = memrchr(b'\n', bytes).map_or(0, |i| i + 1);
    if line_feed > bytes.len() / 2 {
        return line_feed;
    }
    let is_end = |pair: &[u8]| matches!(pair, [b'\r', after] if !matches!(after, b'\r' | b'\n'));
    bytes.windows(2).rposition(is_end).map_or(line_feed, |i| (i + 1).max(line_feed))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn file(text: &[u8]) -> TextFile {
        TextFile::of(Cursor::new(text.to_vec())).unwrap().expect("a text DXF")
    }

    #[test]
    fn only_text_drawings_are_taken() {
        let of = |bytes: &[u8]| TextFile::of(Cursor::new(bytes.to_vec())).unwrap();
        assert!(of(b"AutoCAD Binary DXF\r\n\x1a\0\0SECTION\0").is_none());
        assert!(of(b"ISO-10303-21;").is_none() && of(b"").is_none());
        let text = of(b"  0\nSECTION\n").expect("a text DXF");
        assert_eq!((text.bytes, text.head.as_slice()), (12, b"  0\nSECTION\n".as_slice()));
    }

    #[test]
    fn a_window_ends_with_a_whole_line() {
        let text = b"  0\nSECTION\r\n  2\r\r\nENTITIES\n  0\nENDSEC\n  0\nEOF\n";
        let text = file(text);
        let mut w = Window::default();
        let mut seen = Vec::new();
        for room in [9, 13, 17, 4, 64] {
            w.slide(&text, seen.len(), room);
            assert!(w.bytes().ends_with(b"\n") || w.bytes().is_empty());
            seen.extend_from_slice(w.bytes());
        }
        assert_eq!(seen.len() as u64, text.bytes);
        assert!(!w.goes_on);
    }

    #[test]
    fn carriage_returns_alone_end_lines_unless_more_may_follow() {
        assert_eq!(whole_lines(b"  0\rSECTION\r  2\rHEA"), 16);
        assert_eq!(whole_lines(b"  0\rSECTION\r"), 4);
        assert_eq!(whole_lines(b"  0\r\nSECTION\r"), 5);
        assert_eq!(whole_lines(b"no end"), 0);
    }

    #[test]
    fn what_cannot_be_read_is_told() {
        struct Broken(Cursor<Vec<u8>>);
        impl Read for Broken {
            fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
                let most = into.len().min(1000);
                match self.0.position() < HEAD as u64 {
                    true => self.0.read(&mut into[..most]),
                    false => Err(io::Error::other("the line is down")),
                }
            }
        }
        impl Seek for Broken {
            fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
                self.0.seek(to)
            }
        }
        let long = ["  0\nSECTION\n", &"999\nx\n".repeat(20_000)].concat();
        let text =
            TextFile::of(Broken(Cursor::new(long.into_bytes()))).unwrap().expect("a text DXF");
        let mut seen = 0;
        text.each_piece(|p| seen += p.len());
        let told = text.failure().expect_err("a failure");
        assert!((HEAD..text.bytes as usize).contains(&seen));
        assert_eq!(told.to_string(), "the line is down");
        let refusal = crate::read(&text, &settings::Settings::default()).expect_err("a refusal");
        assert!(refusal.findings[0].message.contains("could not be read to its end"));
    }
}
