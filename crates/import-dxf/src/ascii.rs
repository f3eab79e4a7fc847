//! Tags of a text DXF file.
//!
//! Knows: lines, line ends of every kind and mix, and how to find the next sound pair after damage.
//! Never touches: what the tags mean.

use crate::tag::{Damage, Skipped, Tag, Tags, Value, is_idle, is_keyword, shown};
use memchr::{memchr2, memmem};
use wide::u8x16;

/// Bytes of a section that is passed over which are looked at again with those that follow: the line before
/// its end, blanks and all.
const KEPT_OF_A_SECTION: usize = 256;

/// Reads the tags of a text file, or of a window on one, from front to back. Offsets are those in the file.
pub(crate) struct AsciiTags<'a> {
    bytes: &'a [u8],
    /// In the bytes at hand.
    at: usize,
    /// Where in the file the bytes at hand begin.
    base: usize,
    /// Whether the file goes on after the bytes at hand.
    goes_on: bool,
    /// Whether the end of the bytes at hand was met although the file goes on.
    ran_out: bool,
    damage: Damage,
}

impl<'a> AsciiTags<'a> {
    /// From the first line that is not blank; a byte-order mark is passed over.
    pub fn new(bytes: &'a [u8]) -> AsciiTags<'a> {
        let mut tags = AsciiTags::of_window(bytes, 0, false, Damage::default());
        tags.pass_over_the_beginning();
        tags
    }
    /// Of some whole lines of a file that begin at the offset `base`, where a tag begins; `goes_on` when they
    /// end before the file does.
    pub fn of_window(bytes: &'a [u8], base: usize, goes_on: bool, damage: Damage) -> AsciiTags<'a> {
        AsciiTags { bytes, at: 0, base, goes_on, ran_out: false, damage }
    }

    /// The byte-order mark and blank lines.
    pub fn pass_over_the_beginning(&mut self) {
        if self.bytes.starts_with(b"\xEF\xBB\xBF") {
            self.at = 3;
        }
        loop {
            let before = self.at;
            match self.line() {
                Some(l) if l.trim_ascii().is_empty() => {}
                _ => {
                    self.at = before;
                    return;
                }
            }
        }
    }

    /// The next line without its end; `None` when no byte is left.
    #[inline]
    fn line(&mut self) -> Option<&'a [u8]> {
        let rest = self.bytes.get(self.at..)?;
        if rest.is_empty() {
            self.ran_out |= self.goes_on;
            return None;
        }
        match find_line_end(rest) {
            Some(i) => {
                self.at += i + line_end(&rest[i..]);
                Some(&rest[..i])
            }
            None => {
                self.at = self.bytes.len();
                self.ran_out |= self.goes_on;
                Some(rest)
            }
        }
    }

    /// The next tag in the form nearly every program writes: a code of three places, and a value that ends
    /// within a [`Stretch`]. `None`, and nothing is taken, for all else.
    #[inline(always)]
    fn common_pair(&mut self) -> Option<Tag<'a>> {
        let pos = self.at;
        let rest = self.bytes.get(pos..)?;
        let (code, used) = common_code(rest)?;
        let (value, end) = match line_ends(rest.first_chunk()?) >> used {
            0 => {
                let tail = &rest[used..];
                let i = find_line_end(tail)?;
                (&tail[..i], used + i)
            }
            ends => {
                let end = used + ends.trailing_zeros() as usize;
                (rest.get(used..end)?, end)
            }
        };
        if code == 0 && !is_plain_keyword(value) {
            return None;
        }
        self.at = pos + end + line_end(&rest[end..]);
        Some(Tag { code, value: Value::Text(value), pos: self.base + pos })
    }

    /// The next tag, whatever its lines look like.
    #[inline(never)]
    fn next_of_any_form(&mut self) -> Option<Tag<'a>> {
        loop {
            let pos = self.at;
            let line = self.line()?;
            let Some(code) = group_code(line) else {
                self.resync(pos);
                continue;
            };
            let after_code = self.at;
            let value = self.line()?;
            if code == 0 && !is_keyword(value) {
                if group_code(value).is_none() && self.aligned() {
                    // The name of an entity is spoilt: it begins one all the same, or its groups would be taken
                    // for those of the entity before it.
                    self.damage
                        .add(self.base + pos, format!("`{}` is no type of entity", shown(value)));
                    return Some(Tag { code, value: Value::Text(value), pos: self.base + pos });
                }
                // Codes and values have swapped places somewhere before.
                self.at = after_code;
                self.resync(pos);
                continue;
            }
            return Some(Tag { code, value: Value::Text(value), pos: self.base + pos });
        }
    }

    /// Whether pairs start at the current offset: the next few codes are codes, and `0` is followed by
    /// a word.
    fn aligned(&mut self) -> bool {
        let mut probe = AsciiTags { damage: Damage::default(), ..*self };
        let aligned = probe.pairs_follow();
        self.ran_out |= probe.ran_out;
        aligned
    }

    fn pairs_follow(&mut self) -> bool {
        for done in 0..3 {
            let Some(code) = self.line() else { return done > 0 };
            let (Some(code), Some(value)) = (group_code(code), self.line()) else { return false };
            if code == 0 {
                return is_keyword(value);
            }
        }
        true
    }

    /// After a line that cannot be a code: drops lines until pairs start again.
    #[cold]
    fn resync(&mut self, pos: usize) {
        let bad = self.bytes.get(pos..self.at).unwrap_or_default();
        self.damage
            .add(self.base + pos, format!("`{}` stands where a group code belongs", shown(bad)));
        while !self.aligned() {
            if self.line().is_none() {
                return;
            }
        }
    }
}

impl<'a> Tags<'a> for AsciiTags<'a> {
    #[inline]
    fn next(&mut self) -> Option<Tag<'a>> {
        match self.common_pair() {
            Some(tag) => Some(tag),
            None => self.next_of_any_form(),
        }
    }

    #[inline(always)]
    fn next_telling(&mut self) -> Option<Tag<'a>> {
        loop {
            let tag = match self.common_pair() {
                Some(tag) => tag,
                None => self.next_of_any_form()?,
            };
            if !is_idle(tag.code) {
                return Some(tag);
            }
        }
    }

    fn skip_section(&mut self) -> Skipped {
        let finder = memmem::Finder::new("ENDSEC");
        let mut from = self.at;
        while let Some(i) = self.bytes.get(from..).and_then(|rest| finder.find(rest)) {
            let found = from + i;
            if let Some(zero) = zero_line_before(self.bytes, found) {
                self.at = zero;
                return Skipped::All;
            }
            from = found + 1;
        }
        if self.goes_on {
            // The word may lie across the end of these bytes: what comes before it is kept.
            let kept = self.bytes.len().saturating_sub(KEPT_OF_A_SECTION).max(self.at);
            self.at = self.bytes.len();
            return Skipped::Until(self.base + kept);
        }
        // No end of section: only a file that stops here can still be whole.
        let tail = self.bytes.len().saturating_sub(64).max(self.at);
        let last = self.bytes.get(tail..).unwrap_or_default().trim_ascii_end();
        self.at = match last.ends_with(b"EOF") {
            true => zero_line_before(self.bytes, tail + last.len() - 3).unwrap_or(self.bytes.len()),
            false => self.bytes.len(),
        };
        Skipped::All
    }

    fn ran_out(&self) -> bool {
        self.ran_out
    }

    fn damage(&mut self) -> &mut Damage {
        &mut self.damage
    }
}

/// Bytes whose line ends are found at once: nearly every pair of a code and a value is shorter.
type Stretch = [u8; 32];

/// Where CRs and LFs are: a bit for each byte, the first the lowest.
#[inline(always)]
fn line_ends(stretch: &Stretch) -> u32 {
    let [lf, cr] = [b'\n', b'\r'].map(u8x16::splat);
    let (front, back) = stretch.split_at(16);
    let ends = |half: &[u8]| {
        let half = u8x16::from(*half.first_chunk().unwrap_or(&[0; 16]));
        (half.simd_eq(lf) | half.simd_eq(cr)).to_bitmask()
    };
    ends(front) | ends(back) << 16
}

/// Where the first CR or LF is. Most lines are a few bytes long, so eight bytes at a time are looked
/// at before a search for long lines is worth its start.
#[inline]
fn find_line_end(rest: &[u8]) -> Option<usize> {
    const ONES: u64 = 0x0101_0101_0101_0101;
    const HIGHS: u64 = ONES << 7;
    let mut at = 0;
    while at < 32 {
        let Some(chunk) = rest.get(at..).and_then(<[u8]>::first_chunk::<8>) else { break };
        let word = u64::from_le_bytes(*chunk);
        // Bytes below 0x0E: line ends, and control characters that hardly ever occur. The lowest
        // marked byte is right even where the borrow marks higher ones wrongly.
        let hits = word.wrapping_sub(ONES * 0x0E) & !word & HIGHS;
        if hits != 0 {
            at += (hits.trailing_zeros() / 8) as usize;
            if matches!(rest.get(at), Some(b'\n' | b'\r')) {
                return Some(at);
            }
            break;
        }
        at += 8;
    }
    rest.get(at..).and_then(|tail| memchr2(b'\n', b'\r', tail)).map(|i| at + i)
}

/// Length of the line end that `rest` begins with: LF, CR, CRLF, or CRCRLF as made by converting
/// twice.
#[inline]
pub(crate) fn line_end(rest: &[u8]) -> usize {
    if rest.first() == Some(&b'\n') {
        return 1;
    }
    let crs = rest.iter().take(3).take_while(|b| **b == b'\r').count();
    if rest.get(crs) == Some(&b'\n') { crs + 1 } else { 1 }
}

/// The group code of a line, if it is one. Codes run from -5 to 1071; a few more are let through, so
/// that a code this program never heard of is passed over, not damage.
#[inline]
fn group_code(line: &[u8]) -> Option<i32> {
    let mut value = 0_i32;
    let mut digits = 0;
    let mut rest = line;
    while let [b' ' | b'\t', tail @ ..] = rest {
        rest = tail;
    }
    let negative = rest.first() == Some(&b'-');
    if negative {
        rest = &rest[1..];
    }
    while let [d @ b'0'..=b'9', tail @ ..] = rest {
        digits += 1;
        if digits > 5 {
            return None;
        }
        value = value * 10 + i32::from(d - b'0');
        rest = tail;
    }
    if digits == 0 || !rest.iter().all(|b| matches!(b, b' ' | b'\t')) {
        return None;
    }
    let code = if negative { -value } else { value };
    (-10..=5000).contains(&code).then_some(code)
}

/// The group code at the front in the form nearly every program writes, three places and a line end,
/// and the bytes it takes; `None` for all else.
#[inline]
fn common_code(rest: &[u8]) -> Option<(i32, usize)> {
    let [.., e] = *rest.first_chunk::<5>()?;
    let line = u32::from_le_bytes(*rest.first_chunk()?);
    let used = match (line >> 24) as u8 {
        b'\n' => 4,
        b'\r' if e == b'\n' => 5,
        _ => return None,
    };
    // Blanks have 2 in their upper half, digits 3, and still have it with 6 added.
    let (upper, lower) = (line & 0xF0_F0_F0, line & 0x0F_0F_0F);
    let blank = match upper {
        0x30_30_20 => 0x00_00_0F,
        0x30_20_20 => 0x00_0F_0F,
        0x30_30_30 => 0,
        _ => return None,
    };
    let strange = ((lower + 0x06_06_06) & 0xF0_F0_F0) | (lower & blank);
    // Tens and ones at once: in each byte of the product ten times a digit and the one after it.
    let code = (lower & 15) * 100 + (((lower * 0x0A_01) >> 16) & 0xFF);
    (strange == 0).then_some((code as i32, used))
}

/// Whether a value is a word of capitals as names of entities and sections nearly always are.
#[inline]
fn is_plain_keyword(value: &[u8]) -> bool {
    let first = value.first().is_some_and(u8::is_ascii_uppercase);
    first && value.len() <= 32 && value.iter().all(u8::is_ascii_graphic)
}

/// Start of the line before the one that starts at (or has only blanks before) `at`, when that line
/// is the group code 0.
fn zero_line_before(bytes: &[u8], at: usize) -> Option<usize> {
    let before = bytes.get(..at)?;
    let word_line = before.iter().rposition(|b| !matches!(b, b' ' | b'\t')).map_or(0, |i| i + 1);
    let code_end = bytes.get(..word_line)?.iter().rposition(|b| !matches!(b, b'\r' | b'\n'))? + 1;
    let line_start = bytes
        .get(..code_end)?
        .iter()
        .rposition(|b| matches!(b, b'\r' | b'\n'))
        .map_or(0, |i| i + 1);
    (code_end < word_line && group_code(bytes.get(line_start..code_end)?) == Some(0))
        .then_some(line_start)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tags(text: &[u8]) -> (Vec<(i32, String)>, u64) {
        let mut t = AsciiTags::new(text);
        let mut out = Vec::new();
        while let Some(tag) = t.next() {
            out.push((tag.code, String::from_utf8_lossy(tag.text()).into_owned()));
        }
        (out, t.damage.count)
    }

    #[test]
    fn every_kind_of_line_end() {
        let lf = "  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n  8\nA-WALL\n  0\nEOF\n";
        let (want, damage) = tags(lf.as_bytes());
        assert_eq!((want.len(), damage), (5, 0));
        for end in ["\r\n", "\r", "\r\r\n"] {
            assert_eq!(tags(lf.replace('\n', end).as_bytes()), (want.clone(), 0), "{end:?}");
        }
        let mixed = "  0\r\nSECTION\n  2\rENTITIES\r\n  0\nLINE\n  8\nA-WALL\r\n  0\nEOF";
        assert_eq!(tags(mixed.as_bytes()), (want.clone(), 0));
        let marked = [b"\xEF\xBB\xBF\r\n\n".as_slice(), lf.as_bytes()].concat();
        assert_eq!(tags(&marked), (want, 0));
    }

    #[test]
    fn a_raw_newline_in_a_text_costs_that_text_only() {
        let (out, damage) =
            tags(b"  0\nTEXT\n  1\nBed\nroom\n  8\nA-ANNO\n  0\nLINE\n  8\nA-WALL\n");
        assert_eq!(damage, 1);
        assert_eq!(out[2], (8, "A-ANNO".to_owned()));
        assert_eq!(out[3..], [(0, "LINE".to_owned()), (8, "A-WALL".to_owned())]);
    }

    #[test]
    fn swapped_codes_and_values_are_found_at_the_next_entity() {
        // A lost line: 20 is read as the value of 10, and so on until `0` gets a number.
        let (out, damage) = tags(
            b"  0\nLINE\n 10\n 20\n  0\n 11\n  0\n 21\n  5\n  0\nLINE\n  8\nA-WALL\n  0\nEOF\n",
        );
        assert!(damage >= 1);
        assert!(out.ends_with(&[
            (0, "LINE".to_owned()),
            (8, "A-WALL".to_owned()),
            (0, "EOF".to_owned())
        ]));
    }

    #[test]
    fn a_spoilt_name_begins_an_entity_all_the_same() {
        for name in ["\u{f}INE", "", "LI NE", "--"] {
            let text = format!("  0\nLINE\n 10\n1.0\n  0\n{name}\n 10\n2.0\n 20\n3.0\n  0\nEOF\n");
            let (out, damage) = tags(text.as_bytes());
            assert_eq!((damage, out.len()), (1, 6), "{name:?}");
            assert_eq!(out[2], (0, name.to_owned()));
        }
    }

    #[test]
    fn skipping_goes_to_the_end_of_the_section() {
        let text = b"  0\nXRECORD\n  1\nENDSEC\n  0\nENDSEC\n  0\nEOF\n";
        let mut t = AsciiTags::new(text);
        t.skip_section();
        assert!(t.next().is_some_and(|t| t.starts("ENDSEC")));
        assert!(t.next().is_some_and(|t| t.starts("EOF")));
        let mut cut = AsciiTags::new(b"  0\nXRECORD\n  1\nfoo\n  0\nEOF\r\n");
        cut.skip_section();
        assert!(cut.next().is_some_and(|t| t.starts("EOF")));
        let mut lost = AsciiTags::new(b"  0\nXRECORD\n  1\nfo");
        lost.skip_section();
        assert!(lost.next().is_none());
    }

    #[test]
    fn line_ends_at_every_place() {
        for len in 0..80 {
            for end in [b'\n', b'\r'] {
                let mut line = vec![0x0B; len];
                assert_eq!(find_line_end(&line), None);
                line.push(end);
                line.extend([0x0E, b'\n', b'\r', 0x0C, 1, 2, 3, 4, 5]);
                assert_eq!(find_line_end(&line), Some(len));
            }
        }
    }

    #[test]
    fn common_codes() {
        for (text, want) in [
            ("  0\nx", Some((0, 4))),
            (" 10\r\n", Some((10, 5))),
            ("330\n1", Some((330, 4))),
            ("1 0\nx", None),
            ("!10\nx", None),
            (" 1 \nx", None),
            (" 1a\nx", None),
            (" -5\nx", None),
            ("  0\r\r\n", None),
            ("  0\rx", None),
            ("0\nLI", None),
            ("10", None),
        ] {
            assert_eq!(common_code(text.as_bytes()), want, "{text:?}");
            if let Some((code, used)) = want {
                assert_eq!(group_code(text[..used].trim_end().as_bytes()), Some(code));
            }
        }
    }

    #[test]
    fn codes() {
        for (line, want) in [
            ("  0", Some(0)),
            ("1071 ", Some(1071)),
            ("-5", Some(-5)),
            ("83", Some(83)),
            ("", None),
            ("1.0", None),
            ("LINE", None),
            ("99999999999", None),
            ("-", None),
        ] {
            assert_eq!(group_code(line.as_bytes()), want, "{line:?}");
        }
    }
}
