//! The letters of the sheets: widths, glyphs, and text in the order it is seen.
//!
//! Knows: two weights of one open font, shipped with the program (see `fonts/README.md`). There is no
//! shaping: Arabic letters stand apart, marks are set where the font's advances leave them. A letter
//! the font does not have is shown as U+FFFD; both back ends keep the text itself beside it.

use crate::SheetError;
use std::borrow::Cow;
use ttf_parser::GlyphId;
use unicode_bidi::BidiInfo;

/// How heavy letters are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    Book,
    Bold,
}

impl Weight {
    /// Both, in the order of their value.
    pub const ALL: [Weight; 2] = [Weight::Book, Weight::Bold];
}

/// One weight.
pub(crate) struct Face {
    /// The whole font file.
    pub data: &'static [u8],
    /// Its tables.
    pub parsed: ttf_parser::Face<'static>,
    /// Most text is plain: glyph and width of the first 128 characters.
    plain: Vec<Glyph>,
    missing: Glyph,
}

/// A glyph and how far it moves on, in thousandths of the letter size.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Glyph {
    pub id: u16,
    pub advance: f64,
}

/// Both weights.
pub(crate) struct Fonts {
    faces: [Face; 2],
}

const BOOK: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed.ttf");
const BOLD: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf");

impl Face {
    fn read(data: &'static [u8]) -> Result<Face, SheetError> {
        let parsed = ttf_parser::Face::parse(data, 0)
            .map_err(|e| SheetError::Font(format!("it cannot be read: {e}")))?;
        let missing = glyph_of(&parsed, '\u{fffd}').unwrap_or_default();
        let plain =
            (0..128_u8).map(|c| glyph_of(&parsed, char::from(c)).unwrap_or(missing)).collect();
        Ok(Face { data, parsed, plain, missing })
    }

    /// The glyph of a character, or the sign for one that the font does not have.
    pub fn glyph(&self, c: char) -> Glyph {
        let c = if c == '\u{a0}' { ' ' } else { c };
        match self.plain.get(c as usize) {
            Some(glyph) => *glyph,
            None => glyph_of(&self.parsed, c).unwrap_or(self.missing),
        }
    }

    /// Whether the font has the character.
    pub fn has(&self, c: char) -> bool {
        c == ' ' || c == '\u{fffd}' || self.glyph(c).id != self.missing.id
    }
}

fn glyph_of(face: &ttf_parser::Face, c: char) -> Option<Glyph> {
    let id: GlyphId = face.glyph_index(c)?;
    let advance = f64::from(face.glyph_hor_advance(id)?);
    Some(Glyph { id: id.0, advance: advance * 1000.0 / f64::from(face.units_per_em()) })
}

impl Fonts {
    /// Reads the fonts the program carries.
    pub fn new() -> Result<Fonts, SheetError> {
        Ok(Fonts { faces: [Face::read(BOOK)?, Face::read(BOLD)?] })
    }

    /// One weight.
    pub fn face(&self, weight: Weight) -> &Face {
        &self.faces[weight as usize]
    }

    /// How wide a text is at a size.
    pub fn width(&self, weight: Weight, size: f64, text: &str) -> f64 {
        let face = self.face(weight);
        text.chars().map(|c| face.glyph(c).advance).sum::<f64>() * size / 1000.0
    }

    /// The text, or as much of its beginning as there is room for, then an ellipsis.
    pub fn fitted(&self, weight: Weight, size: f64, text: &str, room: f64) -> String {
        if self.width(weight, size, text) <= room {
            return text.to_owned();
        }
        let mut kept = String::new();
        let mut used = self.width(weight, size, "\u{2026}");
        for c in text.chars() {
            used += self.face(weight).glyph(c).advance * size / 1000.0;
            if used > room {
                break;
            }
            kept.push(c);
        }
        kept.truncate(kept.trim_end().len());
        kept.push('\u{2026}');
        kept
    }

    /// The text in lines no wider than `room`. A word that is wider is broken where it must be. Parts
    /// joined by U+00A0 stay together.
    pub fn wrapped(&self, weight: Weight, size: f64, text: &str, room: f64) -> Vec<String> {
        let face = self.face(weight);
        let mut lines = Vec::new();
        let mut line = String::new();
        let mut used = 0.0;
        let space = face.glyph(' ').advance * size / 1000.0;
        for word in text.split(' ').filter(|w| !w.is_empty()) {
            let width = self.width(weight, size, word);
            if !line.is_empty() && used + space + width > room {
                lines.push(std::mem::take(&mut line));
                used = 0.0;
            }
            if !line.is_empty() {
                line.push(' ');
                used += space;
            }
            if width <= room {
                line.push_str(word);
                used += width;
                continue;
            }
            for c in word.chars() {
                let step = face.glyph(c).advance * size / 1000.0;
                if !line.is_empty() && used + step > room {
                    lines.push(std::mem::take(&mut line));
                    used = 0.0;
                }
                line.push(c);
                used += step;
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }
}

/// A stranger's text with control characters and such as turn the reading direction made visible.
pub(crate) fn shown(text: &str) -> String {
    let odd = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().map(|c| if odd(c) { '\u{fffd}' } else { c }).collect()
}

/// Whether the text has letters that are written from right to left.
pub(crate) fn turns(text: &str) -> bool {
    !text.is_ascii()
        && text.chars().any(|c| {
            matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{feff}')
        })
}

/// The characters from left to right as they are seen.
pub(crate) fn visual(text: &str) -> Cow<'_, str> {
    if !turns(text) {
        return Cow::Borrowed(text);
    }
    let info = BidiInfo::new(text, None);
    let seen = info.paragraphs.iter().map(|p| info.reorder_line(p, p.range.clone()));
    Cow::Owned(seen.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_broken_only_where_they_must() {
        let fonts = Fonts::new().unwrap();
        let room = fonts.width(Weight::Book, 10.0, "far face of R2");
        let lines = fonts.wrapped(Weight::Book, 10.0, "far face of R2 near face of R5", room);
        assert_eq!(lines, ["far face of R2", "near face of", "R5"]);
        let lines = fonts.wrapped(Weight::Book, 10.0, &"W".repeat(100), room);
        assert!(lines.len() > 5 && lines.concat() == "W".repeat(100));
        assert!(lines.iter().all(|l| fonts.width(Weight::Book, 10.0, l) <= room));
    }

    #[test]
    fn what_does_not_fit_says_so() {
        let fonts = Fonts::new().unwrap();
        let short = fonts.fitted(Weight::Bold, 9.0, "a very long name of a storey", 60.0);
        assert!(short.ends_with('\u{2026}') && fonts.width(Weight::Bold, 9.0, &short) <= 60.0);
        assert_eq!(fonts.fitted(Weight::Bold, 9.0, "B1", 60.0), "B1");
    }

    #[test]
    fn right_to_left_is_turned_and_emoji_are_told_as_missing() {
        assert_eq!(visual("ab \u{5d0}\u{5d1}"), "ab \u{5d1}\u{5d0}");
        assert_eq!(visual("plain"), "plain");
        let fonts = Fonts::new().unwrap();
        assert!(!fonts.face(Weight::Book).has('\u{1f3e0}'));
        assert!(fonts.face(Weight::Book).has('\u{e9}'));
        assert_eq!(shown("a\u{202e}b\n"), "a\u{fffd}b\u{fffd}");
    }
}
