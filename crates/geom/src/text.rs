//! Lengths as people write them: feet, inches and sixteenths, or millimetres.
//!
//! Printing rounds once, to whole sixteenths (or millimetres), and only then splits into feet,
//! inches and fraction, so 11.999 in prints as `1'-0"` and never as `11 16/16"`.

use crate::Length;
use std::fmt;

/// Why a length text was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LengthTextError {
    /// The text as given.
    pub text: String,
    /// What is wrong with it and how to write it.
    pub why: String,
}

impl fmt::Display for LengthTextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "'{}' is not a length: {}", self.text, self.why)
    }
}
impl std::error::Error for LengthTextError {}

impl Length {
    /// Feet, inches and sixteenths, e.g. `7'-6 1/2"`; inches alone below one foot, `9 1/4"`; whole
    /// feet keep their zero, `10'-0"` (dimensioning convention, docs of the US trades).
    pub fn feet_inches(self) -> FeetInches {
        FeetInches(self)
    }
    /// Whole millimetres, `2286 mm`.
    pub fn millimetres(self) -> Millimetres {
        Millimetres(self)
    }

    /// Reads `7'-6 1/2"`, `7' 6.5"`, `7ft 6-1/2in`, `90 1/2"`, `2286mm`, `3.5 m`, with plain or
    /// typographic marks and a space, a hyphen or nothing between the parts.
    ///
    /// A bare number has no unit and is refused: a length is never guessed.
    pub fn parse(text: &str) -> Result<Length, LengthTextError> {
        parse(text).map_err(|why| LengthTextError { text: text.to_owned(), why })
    }
}

/// Shows a length rounded to the nearest sixteenth of an inch.
#[derive(Clone, Copy, Debug)]
pub struct FeetInches(Length);

impl fmt::Display for FeetInches {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ticks = self.0.round_to(Length::SIXTEENTH).nm() / Length::SIXTEENTH.nm();
        if ticks < 0 {
            f.write_str("-")?;
        }
        let ticks = ticks.abs();
        let (feet, inches, mut num, mut den) = (ticks / 192, ticks / 16 % 12, ticks % 16, 16);
        while num != 0 && num % 2 == 0 {
            (num, den) = (num / 2, den / 2);
        }
        if feet > 0 {
            write!(f, "{feet}'-")?;
        }
        match (inches, num) {
            (_, 0) => write!(f, "{inches}\""),
            (0, _) if feet == 0 => write!(f, "{num}/{den}\""),
            _ => write!(f, "{inches} {num}/{den}\""),
        }
    }
}

/// Shows a length rounded to the nearest millimetre.
#[derive(Clone, Copy, Debug)]
pub struct Millimetres(Length);

impl fmt::Display for Millimetres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.0.round_to(Length::mm(1)).nm() / Length::mm(1).nm())
    }
}

/// What a number in a length text is followed by.
#[derive(Clone, Copy, PartialEq)]
enum Mark {
    Feet,
    Inches,
    Metric(f64),
    None,
}

fn parse(text: &str) -> Result<Length, String> {
    let clean: String = text
        .trim()
        .chars()
        .map(|c| match c {
            '\u{2018}' | '\u{2019}' | '\u{2032}' | '\u{b4}' => '\'',
            '\u{201c}' | '\u{201d}' | '\u{2033}' => '"',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            c => c.to_ascii_lowercase(),
        })
        .collect::<String>()
        .replace("''", "\"");
    let (negative, body) = match clean.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, clean.as_str()),
    };
    let mut rest = body.trim_start();
    let mut total = Length::ZERO;
    let mut pending: Option<f64> = None; // whole inches waiting for their fraction
    let mut last = Mark::None;
    let mut seen = (false, false, false); // feet, inches, metric
    while !rest.is_empty() {
        let (value, is_fraction, after) = number(rest)?;
        let (mark, after) = mark(after)?;
        let value = match pending.take() {
            Some(whole) if is_fraction => whole + value,
            Some(_) => return Err("two numbers without a mark between them".into()),
            None => value,
        };
        let done = match mark {
            Mark::None if !is_fraction && !after.is_empty() => {
                pending = Some(value);
                false
            }
            // `7'-6 1/2` : the inch mark may be left off after feet
            Mark::None if seen.0 && after.is_empty() => true,
            Mark::None => {
                return Err("no unit; write 7'-6 1/2\", 90.5\", 2286mm or 2.286m".into());
            }
            _ => true,
        };
        if done {
            let (per, slot) = match mark {
                Mark::Feet => (12.0, &mut seen.0),
                Mark::Inches | Mark::None => (1.0, &mut seen.1),
                Mark::Metric(mm) => (mm / 25.4, &mut seen.2),
            };
            if std::mem::replace(slot, true) {
                return Err("the same unit twice".into());
            }
            let part = match mark {
                Mark::Metric(mm) => Length::from_mm(value * mm),
                _ => Length::from_inches(value * per),
            };
            total += part.ok_or("too large for a building")?;
        }
        last = mark;
        rest = after.trim_start().trim_start_matches('-').trim_start();
    }
    if pending.is_some() || seen == (false, false, false) {
        return Err("no unit; write 7'-6 1/2\", 90.5\", 2286mm or 2.286m".into());
    }
    if seen.2 && (seen.0 || seen.1) {
        return Err("feet or inches together with metric".into());
    }
    if last == Mark::Feet && seen.1 {
        return Err("inches before feet".into());
    }
    Ok(if negative { -total } else { total })
}

/// A decimal or a simple fraction at the head of `s`: value, whether it was a fraction, the rest.
fn number(s: &str) -> Result<(f64, bool, &str), String> {
    let digits = |s: &str| s.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(s.len());
    let n = digits(s);
    let bad = || format!("expected a number at '{s}'");
    let value: f64 = s[..n].parse().map_err(|_| bad())?;
    let rest = s[n..].trim_start();
    let Some(below) = rest.strip_prefix('/') else { return Ok((value, false, &s[n..])) };
    let below = below.trim_start();
    let m = digits(below);
    let den: f64 = below[..m].parse().map_err(|_| bad())?;
    if den == 0.0 {
        return Err("a fraction over zero".into());
    }
    Ok((value / den, true, &below[m..]))
}

fn mark(s: &str) -> Result<(Mark, &str), String> {
    let s = s.trim_start();
    const MARKS: [(&str, Mark); 12] = [
        ("feet", Mark::Feet),
        ("foot", Mark::Feet),
        ("ft", Mark::Feet),
        ("'", Mark::Feet),
        ("inches", Mark::Inches),
        ("inch", Mark::Inches),
        ("in", Mark::Inches),
        ("\"", Mark::Inches),
        ("mm", Mark::Metric(1.0)),
        ("cm", Mark::Metric(10.0)),
        ("m", Mark::Metric(1000.0)),
        ("", Mark::None),
    ];
    let (word, mark) =
        MARKS.into_iter().find(|(w, _)| s.starts_with(w)).unwrap_or(("", Mark::None));
    let rest = &s[word.len()..];
    match rest.trim_start().chars().next() {
        None | Some('-' | '0'..='9' | '.') => Ok((mark, rest)),
        Some(c) => Err(format!("'{c}' is not part of a length")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn show(sixty_fourths: i64) -> String {
        Length::sixty_fourths(sixty_fourths).feet_inches().to_string()
    }

    #[test]
    fn prints_the_convention() {
        // FACTS T63-T65: 12.65 ft, 162-3/4 in, 120 in (dimensioning guides, zero inches kept).
        let ft = Length::from_inches(12.65 * 12.0).unwrap();
        assert_eq!(ft.feet_inches().to_string(), "12'-7 13/16\"");
        assert_eq!(Length::from_inches(162.75).unwrap().feet_inches().to_string(), "13'-6 3/4\"");
        assert_eq!(Length::inches(120).feet_inches().to_string(), "10'-0\"");
        assert_eq!(show(64 * 9 + 16), "9 1/4\"");
        assert_eq!(show(8), "1/8\"");
        assert_eq!(show(0), "0\"");
        assert_eq!(show(-8), "-1/8\"");
        assert_eq!(show(12 * 64 + 4), "1'-0 1/16\"");
    }

    #[test]
    fn carries_instead_of_printing_sixteen_sixteenths() {
        // Wrong outputs other programs were seen to make of these: 2'-11 1", 0'-12.0".
        assert_eq!(Length::from_inches(35.9999).unwrap().feet_inches().to_string(), "3'-0\"");
        assert_eq!(Length::from_inches(11.999).unwrap().feet_inches().to_string(), "1'-0\"");
        assert_eq!(Length::from_inches(0.995).unwrap().feet_inches().to_string(), "1\"");
    }

    #[test]
    fn reads_what_people_write() {
        let want = Length::sixteenths(16 * 48 + 3); // 4' 0 3/16"
        for t in [
            "4' 0 3/16\"",
            "4'-0 3/16\"",
            "4'0-3/16\"",
            "4ft 0-3/16in",
            "4\u{2032} 0 3/16\u{2033}",
            "4'-0 3/16",
        ] {
            assert_eq!(Length::parse(t), Ok(want), "{t}");
        }
        assert_eq!(Length::parse("7.5'"), Ok(Length::inches(90)));
        assert_eq!(Length::parse("1/2\""), Ok(Length::sixteenths(8)));
        assert_eq!(Length::parse("2286mm"), Ok(Length::inches(90)));
        assert_eq!(Length::parse("2.286 m"), Ok(Length::inches(90)));
        assert_eq!(Length::parse("4'2-1/4\""), Ok(Length::sixteenths(50 * 16 + 4)));
    }

    #[test]
    fn refuses_ambiguity() {
        for t in [
            "",
            "5.6",
            "5-6",
            "7' 6' ",
            "1/0\"",
            "6\" 2'",
            "3 m 2\"",
            "abc",
            "7'x",
            "1 2 3\"",
            "-",
            "9999999999999'",
        ] {
            assert!(Length::parse(t).is_err(), "{t}");
        }
    }

    proptest! {
        #[test]
        fn feet_inches_round_trip(n in -2_000_000_i64..2_000_000) {
            let l = Length::sixteenths(n);
            prop_assert_eq!(Length::parse(&l.feet_inches().to_string()), Ok(l));
        }
        #[test]
        fn millimetre_round_trip(n in -2_000_000_i64..2_000_000) {
            prop_assert_eq!(Length::parse(&Length::mm(n).millimetres().to_string()), Ok(Length::mm(n)));
        }
        #[test]
        fn never_panics(t in "\\PC{0,24}") {
            let _ = Length::parse(&t);
        }
    }
}
