//! Tags: the pairs of a group code and a value that every DXF file is made of.
//!
//! Knows: what a value is, how numbers are written (and miswritten), where damage was met. Never
//! touches: sections, entities, how the pairs are stored (see `ascii` and `binary`).

use crate::preamble::Preamble;
use numerals::plain_decimal;

/// The value of a tag. Text files give everything as text, which is read as a number only when asked.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Value<'a> {
    /// Bytes of the value line, line end taken off.
    Text(&'a [u8]),
    /// A number of a binary file, or of a line that was read as one while its end was looked for.
    Real(f64),
    /// A whole number of a binary file.
    Int(i64),
    /// A binary chunk, of no use to a plan.
    Chunk,
}

/// One tag. Handed to functions by value: the place of one that is asked for would keep it in memory all along.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tag<'a> {
    /// Group code.
    pub code: i32,
    /// Value.
    pub value: Value<'a>,
    /// Offset of the tag in the file.
    pub pos: usize,
}

impl<'a> Tag<'a> {
    /// The value as text without surrounding blanks; empty for what was read as a number.
    #[inline(always)]
    pub fn text(self) -> &'a [u8] {
        match self.value {
            Value::Text(t) => t.trim_ascii(),
            _ => b"",
        }
    }
    /// The value as text, blanks and all.
    pub fn raw_text(self) -> &'a [u8] {
        match self.value {
            Value::Text(t) => t,
            _ => b"",
        }
    }
    /// Whether this is the tag `0 word`.
    pub fn starts(self, word: &str) -> bool {
        self.code == 0 && self.text() == word.as_bytes()
    }
    /// The value as a number, NaN when it is none. Miswritten numbers that can only mean one thing
    /// are read and counted as damage.
    #[inline(always)]
    pub fn real(self, damage: &mut Damage) -> f64 {
        match self.value {
            // Blanks are rare enough to be looked for only where they are in the way.
            Value::Text(t) => match plain_decimal(t) {
                Some(v) => v,
                None => self.any_real(t, damage),
            },
            Value::Real(v) if v.is_finite() => v,
            Value::Int(v) => v as f64,
            Value::Real(_) | Value::Chunk => f64::NAN,
        }
    }
    #[inline(never)]
    fn any_real(self, text: &[u8], damage: &mut Damage) -> f64 {
        if let Some(v) = plain_decimal(text.trim_ascii()) {
            return v;
        }
        match fast_float2::parse::<f64, _>(text.trim_ascii()) {
            Ok(v) if v.is_finite() => v,
            _ => self.repair_real(text, damage),
        }
    }
    #[cold]
    fn repair_real(self, text: &[u8], damage: &mut Damage) -> f64 {
        let (shown, code) = (shown(text), self.code);
        match repaired_number(text) {
            Some(v) => {
                damage.add(self.pos, format!("group {code}: `{shown}` was read as {v}"));
                v
            }
            None => {
                damage.add(self.pos, format!("group {code}: `{shown}` is not a number"));
                f64::NAN
            }
        }
    }
    /// The same as [`Tag::int`]; a value that is no number is counted as damage.
    pub fn flag(self, damage: &mut Damage) -> i64 {
        if let Value::Text(t) = self.value
            && !matches!(t.trim_ascii(), [b'0'..=b'9'])
            && plain_decimal(t.trim_ascii()).is_none()
            && fast_float2::parse::<f64, _>(t.trim_ascii()).is_err()
        {
            let (shown, code) = (shown(t), self.code);
            damage.add(self.pos, format!("group {code}: `{shown}` is not a number"));
        }
        self.int()
    }
    /// The value as a whole number; 0 when it is none. For flags and counts only, where an unreadable
    /// value is as good as an absent one.
    pub fn int(self) -> i64 {
        match self.value {
            Value::Text(t) => whole_number(t),
            Value::Int(v) => v,
            Value::Real(v) => v as i64,
            Value::Chunk => 0,
        }
    }
}

fn whole_number(text: &[u8]) -> i64 {
    let text = text.trim_ascii();
    // Most have one digit.
    if let [digit @ b'0'..=b'9'] = text {
        return i64::from(digit - b'0');
    }
    match std::str::from_utf8(text).ok().and_then(|s| s.parse::<i64>().ok()) {
        Some(v) => v,
        // Some writers put flags as `1.0`.
        None => fast_float2::parse::<f64, _>(text).map_or(0, |v| v as i64),
    }
}

/// Numbers seen in files that were never standard but have one meaning: a decimal comma, a lost plus
/// in the exponent (`1.0E 20`), a Fortran `D` exponent.
fn repaired_number(text: &[u8]) -> Option<f64> {
    let mut s = std::str::from_utf8(text.trim_ascii()).ok()?.to_owned();
    if s.len() > 64 {
        return None;
    }
    if s.matches(',').count() == 1 && !s.contains('.') {
        s = s.replace(',', ".");
    }
    s = s.replace(['D', 'd', 'e'], "E").replace("E ", "E+");
    let v: f64 = s.parse().ok()?;
    // `parse` takes words such as `inf` and `nan`.
    (v.is_finite() && s.bytes().any(|b| b.is_ascii_digit())).then_some(v)
}

/// The beginning of a line, fit for a message.
pub(crate) fn shown(line: &[u8]) -> String {
    let line = line.trim_ascii();
    let start = line.get(..160).unwrap_or(line);
    let printable = |c: char| if c.is_control() { '.' } else { c };
    String::from_utf8_lossy(start).chars().take(40).map(printable).collect()
}

/// One place of damage.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    /// Offset in the file.
    pub pos: usize,
    /// Offset of the entity it is in.
    pub entity: Option<usize>,
    /// What was met and done.
    pub what: String,
}

/// Where damage was met and what was done about it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Damage {
    /// How many places.
    pub count: u64,
    /// The first few.
    pub samples: Vec<Place>,
    /// Offset of the entity being read.
    pub entity: Option<usize>,
}

/// Places of damage that are named one by one.
const DAMAGE_SAMPLES: usize = 8;

impl Damage {
    /// Notes one place.
    pub fn add(&mut self, pos: usize, what: impl Into<String>) {
        self.count += 1;
        if self.samples.len() < DAMAGE_SAMPLES {
            self.samples.push(Place { pos, entity: self.entity, what: what.into() });
        }
    }
}

/// How much of a section was passed over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Skipped {
    /// All of it.
    All,
    /// What there was at hand; to go on from this offset in the file.
    Until(usize),
}

/// A file as a run of tags.
pub(crate) trait Tags<'a> {
    /// The next tag; `None` at the end of the bytes.
    fn next(&mut self) -> Option<Tag<'a>>;
    /// The next tag that may matter to an entity: what [`is_idle`] is passed over.
    fn next_telling(&mut self) -> Option<Tag<'a>> {
        loop {
            let tag = self.next()?;
            if !is_idle(tag.code) {
                return Some(tag);
            }
        }
    }
    /// The number of the next tag, when it has this code of two places and is written in the usual way; else nothing
    /// is taken.
    fn number_of(&mut self, _code: i32) -> Option<f64> {
        None
    }
    /// Takes what stands at the beginning of nearly every entity, as far as it is written in the usual way: all
    /// its tags are among those that [`crate::entity::EntityReader::field`] keeps to itself. `kind` is
    /// the entity's name.
    fn preamble(&mut self, _kind: &[u8]) -> Preamble<'a> {
        Preamble::default()
    }
    /// Goes on at the `ENDSEC` of the section being read, or at the end of the bytes.
    fn skip_section(&mut self) -> Skipped;
    /// Whether the end of the bytes at hand was met although the file goes on: what was read since may be
    /// wrong.
    fn ran_out(&self) -> bool {
        false
    }
    /// The record of damage.
    fn damage(&mut self) -> &mut Damage;
}

/// Codes that say nothing about an entity's place in a plan: colour, subclass marker, owner, line
/// weight, data of other programs. A third of all tags are such.
#[inline]
pub(crate) fn is_idle(code: i32) -> bool {
    matches!(code, 62 | 100 | 330 | 370 | 1000..)
}

/// Whether a `0` tag may have this value: entity and section names are words without blanks. Used to
/// tell whether codes and values have swapped places.
pub(crate) fn is_keyword(value: &[u8]) -> bool {
    let v = value.trim_ascii();
    !v.is_empty()
        && v.len() <= 64
        && v.iter().all(u8::is_ascii_graphic)
        && v.iter().any(u8::is_ascii_alphabetic)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (f64, u64) {
        let mut d = Damage::default();
        let tag = Tag { code: 10, value: Value::Text(text.as_bytes()), pos: 0 };
        (tag.real(&mut d), d.count)
    }

    #[test]
    fn numbers_as_written_and_miswritten() {
        assert_eq!(read(" 12.5 "), (12.5, 0));
        assert_eq!(read("-1e3"), (-1000.0, 0));
        assert_eq!(read(" 2,5 "), (2.5, 1));
        assert_eq!(read("1.0E 20"), (1e20, 1));
        assert_eq!(read("1.5D+01"), (15.0, 1));
        for bad in ["", "abc", "nan", "inf", "1,2,3", "1.2,3", "-"] {
            let (v, damage) = read(bad);
            assert!(v.is_nan(), "{bad}");
            assert_eq!(damage, 1, "{bad}");
        }
    }

    #[test]
    fn flags_written_as_decimals() {
        let tag = |t: &'static str| Tag { code: 70, value: Value::Text(t.as_bytes()), pos: 0 };
        assert_eq!(tag("     1").int(), 1);
        assert_eq!(tag("1.0").int(), 1);
        assert_eq!(tag("x").int(), 0);
        let mut d = Damage::default();
        let flags = ["1", "1.0", " 3 "].map(|t| tag(t).flag(&mut d));
        assert_eq!((flags, d.count), ([1, 1, 3], 0));
        assert_eq!((tag("x").flag(&mut d), tag("").flag(&mut d), d.count), (0, 0, 2));
    }

    #[test]
    fn keywords() {
        assert!(is_keyword(b"LINE") && is_keyword(b" 3DFACE") && is_keyword(b"ACAD_PROXY_ENTITY"));
        assert!(!is_keyword(b" 10") && !is_keyword(b"") && !is_keyword(b"two words"));
    }
}
