//! Tags of a binary DXF file.
//!
//! Knows: the sentinel, one- and two-byte group codes, the type that each code's value has. Never
//! touches: what the tags mean.
//!
//! Group code value types: Autodesk DXF reference, "Group code value types" and "Binary DXF files"
//! (from memory; checked against the binary files of the corpus and their text twins).

use crate::tag::{Damage, Skipped, Tag, Tags, Value, is_keyword};
use memchr::memchr;

const SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";
/// The same after a transfer that turned CRLF into LF.
const MANGLED: &[u8] = b"AutoCAD Binary DXF\n\x1a\0";

/// Whether the file is a binary DXF, sound or mangled in transfer.
pub(crate) fn is_binary(bytes: &[u8]) -> bool {
    bytes.starts_with(SENTINEL) || bytes.starts_with(MANGLED)
}

/// Reads the tags of a binary file from front to back.
pub(crate) struct BinaryTags<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Codes take two bytes (release 13 on) instead of one.
    wide: bool,
    damage: Damage,
}

impl<'a> BinaryTags<'a> {
    /// From the first tag. The first tag is always `0 SECTION` or a comment, which shows how wide
    /// codes are.
    pub fn new(bytes: &'a [u8]) -> BinaryTags<'a> {
        let mut damage = Damage::default();
        let at = if bytes.starts_with(SENTINEL) {
            SENTINEL.len()
        } else {
            damage.add(0, "line ends were converted in this binary file, which can ruin numbers");
            MANGLED.len()
        };
        let wide = match bytes.get(at..at + 2) {
            Some([0, 0]) => true,
            // 999 as two bytes, low byte first.
            Some([0xE7, 0x03]) => true,
            _ => false,
        };
        BinaryTags { bytes, at, wide, damage }
    }
    /// From an offset where a tag begins.
    pub fn at(bytes: &'a [u8], at: usize) -> BinaryTags<'a> {
        let mut tags = BinaryTags::new(bytes);
        tags.at = at;
        tags
    }

    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let chunk = self.bytes.get(self.at..)?.first_chunk::<N>()?;
        self.at += N;
        Some(*chunk)
    }

    fn code(&mut self) -> Option<i32> {
        if self.wide {
            return self.take::<2>().map(|b| i32::from(i16::from_le_bytes(b)));
        }
        match self.take::<1>()? {
            [255] => self.take::<2>().map(|b| i32::from(i16::from_le_bytes(b))),
            [b] => Some(i32::from(b)),
        }
    }

    fn value(&mut self, kind: Kind) -> Option<Value<'a>> {
        Some(match kind {
            Kind::Text => {
                let rest = self.bytes.get(self.at..)?;
                let end = memchr(0, rest)?;
                self.at += end + 1;
                Value::Text(&rest[..end])
            }
            Kind::Real => Value::Real(f64::from_le_bytes(self.take()?)),
            Kind::I8 => Value::Int(i64::from(self.take::<1>()?[0])),
            Kind::I16 => Value::Int(i64::from(i16::from_le_bytes(self.take()?))),
            Kind::I32 => Value::Int(i64::from(i32::from_le_bytes(self.take()?))),
            Kind::I64 => Value::Int(i64::from_le_bytes(self.take()?)),
            Kind::Chunk => {
                let len = usize::from(self.take::<1>()?[0]);
                self.bytes.get(self.at..self.at + len)?;
                self.at += len;
                Value::Chunk
            }
        })
    }

    /// After a code that does not exist: goes on at the next `0` tag with a word that starts or ends
    /// something.
    #[cold]
    fn resync(&mut self, pos: usize, code: i32) {
        self.damage.add(pos, format!("{code} stands where a group code belongs"));
        self.at = pos + 1;
        let zeros: &[u8] = if self.wide { &[0, 0] } else { &[0] };
        while let Some(rest) = self.bytes.get(self.at..).filter(|r| !r.is_empty()) {
            let known = rest.strip_prefix(zeros).is_some_and(|tail| {
                KNOWN.iter().any(|w| tail.starts_with(w) && tail.get(w.len()) == Some(&0))
            });
            if known {
                return;
            }
            self.at += 1;
        }
    }
}

/// Words that follow a `0` tag, for finding the way back.
const KNOWN: [&[u8]; 14] = [
    b"LINE",
    b"LWPOLYLINE",
    b"POLYLINE",
    b"ARC",
    b"INSERT",
    b"MLINE",
    b"TEXT",
    b"MTEXT",
    b"BLOCK",
    b"ENDBLK",
    b"LAYER",
    b"SECTION",
    b"ENDSEC",
    b"EOF",
];

impl<'a> Tags<'a> for BinaryTags<'a> {
    fn next(&mut self) -> Option<Tag<'a>> {
        loop {
            let pos = self.at;
            let code = self.code()?;
            let Some(kind) = kind_of(code) else {
                self.resync(pos, code);
                continue;
            };
            let value = self.value(kind)?;
            if let (0, Value::Text(t)) = (code, value)
                && !is_keyword(t)
            {
                self.resync(pos, code);
                continue;
            }
            return Some(Tag { code, value, pos });
        }
    }

    fn skip_section(&mut self) -> Skipped {
        loop {
            let before = self.at;
            match self.next() {
                Some(tag) if tag.starts("ENDSEC") || tag.starts("EOF") => {
                    self.at = before;
                    return Skipped::All;
                }
                Some(_) => {}
                None => return Skipped::All,
            }
        }
    }

    fn damage(&mut self) -> &mut Damage {
        &mut self.damage
    }
}

#[derive(Clone, Copy)]
enum Kind {
    Text,
    Real,
    I8,
    I16,
    I32,
    I64,
    Chunk,
}

fn kind_of(code: i32) -> Option<Kind> {
    Some(match code {
        0..=9 | 100..=105 | 300..=309 | 320..=369 | 390..=399 | 410..=419 | 430..=439 => Kind::Text,
        470..=481 | 999 | 1000..=1003 | 1005..=1009 => Kind::Text,
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => Kind::Real,
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => Kind::I16,
        90..=99 | 420..=429 | 440..=459 | 1071 => Kind::I32,
        160..=169 => Kind::I64,
        290..=299 => Kind::I8,
        310..=319 | 1004 => Kind::Chunk,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small file in binary, codes one or two bytes wide.
    pub(crate) fn line_file(wide: bool) -> Vec<u8> {
        let mut out = SENTINEL.to_vec();
        let code = |out: &mut Vec<u8>, c: u8| match wide {
            true => out.extend([c, 0]),
            false => out.push(c),
        };
        let text = |out: &mut Vec<u8>, c: u8, t: &str| {
            code(out, c);
            out.extend(t.as_bytes());
            out.push(0);
        };
        text(&mut out, 0, "SECTION");
        text(&mut out, 2, "ENTITIES");
        text(&mut out, 0, "LINE");
        text(&mut out, 8, "A-WALL");
        for (c, v) in [(10, 0.0), (20, 0.0), (11, 120.0), (21, 0.0)] {
            code(&mut out, c);
            out.extend(f64::to_le_bytes(v));
        }
        code(&mut out, 62);
        out.extend([7, 0]);
        text(&mut out, 0, "ENDSEC");
        text(&mut out, 0, "EOF");
        out
    }

    fn codes(bytes: &[u8]) -> (Vec<i32>, u64) {
        let mut t = BinaryTags::new(bytes);
        let mut out = Vec::new();
        while let Some(tag) = t.next() {
            out.push(tag.code);
        }
        (out, t.damage.count)
    }

    #[test]
    fn one_and_two_byte_codes() {
        let want = (vec![0, 2, 0, 8, 10, 20, 11, 21, 62, 0, 0], 0);
        assert_eq!(codes(&line_file(false)), want);
        assert_eq!(codes(&line_file(true)), want);
    }

    #[test]
    fn a_lost_carriage_return_is_noted_and_read_around() {
        let mut bytes = line_file(true);
        bytes.remove(18);
        assert!(is_binary(&bytes));
        let (out, damage) = codes(&bytes);
        assert_eq!((out.len(), damage), (11, 1));
    }

    #[test]
    fn goes_on_after_garbage() {
        let mut bytes = line_file(true);
        let at = bytes.windows(6).position(|w| w == b"A-WALL").unwrap();
        bytes.splice(at + 7..at + 7, [0xFF, 0x7F, 1, 2, 3]);
        let (out, damage) = codes(&bytes);
        assert!(damage >= 1);
        assert!(out.ends_with(&[0, 0]));
    }

    #[test]
    fn every_truncation_ends() {
        for wide in [false, true] {
            let whole = line_file(wide);
            for n in SENTINEL.len()..whole.len() {
                let _ = codes(&whole[..n]);
            }
        }
    }
}
