//! Tags of a text DXF file.
//!
//! Knows: lines, line ends of every kind and mix, and how to find the next sound pair after damage.
//! Never touches: what the tags mean.

use crate::preamble::{Beginnings, Preamble};
use crate::tag::{Damage, Skipped, Tag, Tags, Value, is_idle, is_keyword, shown};
use memchr::{memchr2, memmem};
use numerals::{DECIMAL, decimal_in};
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
    /// What [`AsciiTags::find_any_form`] found last.
    found: (usize, &'a [u8]),
    /// How entities began so far.
    beginnings: Beginnings,
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
        AsciiTags {
            bytes,
            at: 0,
            base,
            goes_on,
            ran_out: false,
            damage,
            found: (0, b""),
            beginnings: Beginnings::default(),
        }
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
        let head: &'a [u8; HEAD] = self.bytes.get(pos..)?.first_chunk()?;
        let (code, used) = common_code(head)?;
        let tag = |value| Some(Tag { code, value, pos: self.base + pos });
        if is_number(code)
            && let (v, length @ 1..) = number_line(number_in(head, used))
        {
            self.at = pos + used + length;
            return tag(Value::Real(v));
        }
        let end = match line_ends(head.first_chunk()?) >> used {
            0 => used + self.long_value(pos + used)?,
            ends => used + ends.trailing_zeros() as usize,
        };
        let rest = self.bytes.get(pos..)?;
        let value = rest.get(used..end)?;
        if code == 0 && !is_plain_keyword(value) {
            return None;
        }
        self.at = pos + end + line_end(&rest[end..]);
        tag(Value::Text(value))
    }

    /// How long a longer value is that begins there.
    #[inline(never)]
    fn long_value(&self, from: usize) -> Option<usize> {
        find_line_end(self.bytes.get(from..)?)
    }

    /// The value of the next tag, when it has this code and is written as [`AsciiTags::common_pair`] reads it.
    #[inline]
    fn short_value_of(&mut self, code: i32) -> Option<&'a [u8]> {
        let head: &'a [u8; HEAD] = self.bytes.get(self.at..)?.first_chunk()?;
        let used = is_code(head, code)?;
        let ends = line_ends(head.first_chunk()?) >> used;
        let end = used + ends.trailing_zeros() as usize;
        // Nothing where no end is in sight.
        let value = head.get(used..end).filter(|_| ends != 0)?;
        self.at += end + line_end(&head[end..]);
        Some(value.trim_ascii())
    }

    /// The next tag, whatever its lines look like.
    #[inline(always)]
    fn next_of_any_form(&mut self) -> Option<Tag<'a>> {
        let code = self.find_any_form()?;
        let (pos, value) = self.found;
        Some(Tag { code, value: Value::Text(value), pos: self.base + pos })
    }

    /// The code of the next tag, whatever its lines look like; where it begins and its value are in `found`. (Handed
    /// over as a whole, what is rare would make the usual tags go through memory as well.)
    #[inline(never)]
    fn find_any_form(&mut self) -> Option<i32> {
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
                if group_code(value).is_some() || !self.aligned() {
                    // Codes and values have swapped places somewhere before.
                    self.at = after_code;
                    self.resync(pos);
                    continue;
                }
                // The name of an entity is spoilt: it begins one all the same, or its groups would be taken
                // for those of the entity before it.
                self.damage
                    .add(self.base + pos, format!("`{}` is no type of entity", shown(value)));
            }
            self.found = (pos, value);
            return Some(code);
        }
    }

    /// Whether pairs start at the current offset: the next few codes are codes, and `0` is followed by
    /// a word.
    fn aligned(&mut self) -> bool {
        let mut probe =
            AsciiTags { damage: Damage::default(), beginnings: Beginnings::default(), ..*self };
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

    #[inline(always)]
    fn number_of(&mut self, code: i32) -> Option<f64> {
        let head = self.bytes.get(self.at..)?.first_chunk()?;
        let used = is_code(head, code)?;
        let (v, length) = number_line(number_in(head, used));
        if length == 0 {
            return None;
        }
        self.at += used + length;
        Some(v)
    }

    fn preamble(&mut self, kind: &[u8]) -> Preamble<'a> {
        let handle = self.short_value_of(5);
        let (bytes, start) = (self.bytes, self.at);
        let rest = bytes.get(start..).unwrap_or_default();
        if let Some((seen, length)) = self.beginnings.of(kind).seen_in(rest) {
            self.at += length;
            return Preamble { handle, ..seen };
        }
        let mut seen = Preamble { handle, ..Preamble::default() };
        let (mut layer, mut line_type) = (None, None);
        loop {
            let at = self.at;
            let Some(tag) = self.common_pair() else { break };
            match tag.code {
                62 | 100 | 330 | 370 => {}
                8 if layer.is_none() => {
                    seen.layer = Some(tag.text());
                    layer = Some((value_start(bytes, at), self.at));
                }
                6 if layer.is_some() && line_type.is_none() => {
                    seen.line_type = Some(tag.text());
                    let from = value_start(bytes, at) - start;
                    line_type = Some(from..from + tag.raw_text().len());
                }
                _ => {
                    self.at = at;
                    break;
                }
            }
        }
        if let Some((from, behind)) = layer {
            let lines = bytes.get(start..self.at).unwrap_or_default();
            self.beginnings.of(kind).learn(lines, from - start, behind - start, line_type);
        }
        seen
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

/// Bytes that a pair in the form nearly every program writes is looked at in.
const HEAD: usize = 48;

/// The bytes of a number behind its code.
#[inline(always)]
fn number_in(head: &[u8; HEAD], used: usize) -> &[u8; DECIMAL] {
    head[used % 8..].first_chunk().unwrap_or(&[0; DECIMAL])
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
pub(crate) fn find_line_end(rest: &[u8]) -> Option<usize> {
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
#[inline(always)]
fn common_code(head: &[u8; HEAD]) -> Option<(i32, usize)> {
    let line = u32::from_le_bytes(*head.first_chunk()?);
    let used = match line & 0xFF00_0000 {
        LF => 4,
        CR if head[4] == b'\n' => 5,
        _ => return None,
    };
    let line = line & 0xFF_FF_FF;
    // Of blanks the lower half is nothing, as that of a zero is. Tens and ones at once: in each byte of the product
    // ten times a digit and the one after it.
    let lower = line & 0x0F_0F_0F;
    let code = (lower & 15) * 100 + (((lower * 0x0A_01) >> 16) & 0xFF);
    // Whatever else the line may be, it is not that text.
    (*CODES.get(code as usize)? == line).then_some((code as i32, used))
}

/// Codes in three places.
const CODES: [u32; 1000] = {
    let (mut all, mut code) = ([0; 1000], 0);
    while code < 1000 {
        all[code] = three_places(code as i32);
        code += 1;
    }
    all
};

/// A code in three places, without a line end.
const fn three_places(code: i32) -> u32 {
    let [hundreds, tens, ones] = [code / 100, code / 10 % 10, code % 10];
    let a = if code < 100 { b' ' } else { b'0' + hundreds as u8 };
    let b = if code < 10 { b' ' } else { b'0' + tens as u8 };
    u32::from_le_bytes([a, b, b'0' + ones as u8, 0])
}

/// The bytes that this code takes where the front is that in three places and a line end.
#[inline(always)]
fn is_code(head: &[u8; HEAD], code: i32) -> Option<usize> {
    let line = u32::from_le_bytes(*head.first_chunk()?);
    match line ^ three_places(code) {
        LF => Some(4),
        CR if head[4] == b'\n' => Some(5),
        _ => None,
    }
}

/// Line ends behind three places.
const LF: u32 = (b'\n' as u32) << 24;
const CR: u32 = (b'\r' as u32) << 24;

/// Where the value of the pair at `at` begins, whose code is written as [`common_code`] reads it.
fn value_start(bytes: &[u8], at: usize) -> usize {
    let crlf = bytes.get(at + 3) == Some(&b'\r');
    at + 4 + usize::from(crlf)
}

/// Whether the values of a code are floating-point numbers, of which entities mostly want to know what they are.
#[inline(always)]
fn is_number(code: i32) -> bool {
    (10..60).contains(&code)
}

/// The number of a line that is that alone in the form nearly every program writes, and where the next line begins;
/// 0 where it is not.
#[inline(never)]
fn number_line(line: &[u8; DECIMAL]) -> (f64, usize) {
    // Nearly half of all numbers.
    match line.first_chunk() {
        Some(b"0.0\n") => return (0.0, 4),
        Some(b"0.0\r") if line[4] == b'\n' => return (0.0, 5),
        _ => {}
    }
    let Some((v, end)) = decimal_in(line) else { return (0.0, 0) };
    match [line[end % 32], line[end % 32 + 1]] {
        [b'\n', _] => (v, end + 1),
        [b'\r', b'\n'] => (v, end + 2),
        _ => (0.0, 0),
    }
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
#[path = "ascii_twin.rs"]
mod twin;

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
            let mut head = [b' '; HEAD];
            head[..text.len()].copy_from_slice(text.as_bytes());
            assert_eq!(common_code(&head), want, "{text:?}");
            let same = |code| is_code(&head, code).map(|used| (code, used));
            assert_eq!((0..1000).find_map(same), want, "{text:?}");
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
