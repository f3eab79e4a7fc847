//! Heights written in words: `9'-1 1/8" PLATE HT.`, `CLG. @ 8'-0"`, `Wandhöhe 2,60 m`.
//!
//! Knows: the words that heights of walls and ceilings are written with. Never touches: where texts
//! stand, walls. Words: plain dictionary words and drafting abbreviations (common practice, no source).

use geom::Length;

/// What a written height is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeightOf {
    /// Top of the plates above the floor.
    Plate,
    /// Top of a wall above the floor.
    Wall,
    /// The finished ceiling above the floor: plates lie at it or higher.
    Ceiling,
}

impl HeightOf {
    /// The word for people.
    pub const fn name(self) -> &'static str {
        match self {
            HeightOf::Plate => "plates",
            HeightOf::Wall => "walls",
            HeightOf::Ceiling => "ceiling",
        }
    }
}

/// Lower than the lowest wall, or higher than a storey: not a height of these.
const LEAST_IN: f64 = 30.0;
/// Plates and ceilings that rooms have, where nothing says that it is a height.
const ROOM_IN: [f64; 2] = [78.0, 240.0];
/// See [`LEAST_IN`].
const MOST_IN: f64 = 480.0;

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Length(Length),
    Word(String),
    Break,
}

/// Words that say what has the height, and whether they say as well that it is one.
const SUBJECTS: &[(&[&str], HeightOf, bool)] = &[
    (&["PLATE"], HeightOf::Plate, false),
    (&["PLATES"], HeightOf::Plate, false),
    (&["PLT"], HeightOf::Plate, false),
    (&["PL"], HeightOf::Plate, false),
    (&["WALL"], HeightOf::Wall, false),
    (&["WALLS"], HeightOf::Wall, false),
    (&["CEILING"], HeightOf::Ceiling, false),
    (&["CEILINGS"], HeightOf::Ceiling, false),
    (&["CLG"], HeightOf::Ceiling, false),
    (&["CLNG"], HeightOf::Ceiling, false),
    (&["WANDHÖHE"], HeightOf::Wall, true),
    (&["WANDHOEHE"], HeightOf::Wall, true),
    (&["WANDHOOGTE"], HeightOf::Wall, true),
    (&["ALTURA", "MURO"], HeightOf::Wall, true),
    (&["ALTURA", "MUROS"], HeightOf::Wall, true),
    (&["ALTURA", "PARED"], HeightOf::Wall, true),
    (&["ALTURA", "PAREDES"], HeightOf::Wall, true),
    (&["HAUTEUR", "MUR"], HeightOf::Wall, true),
    (&["HAUTEUR", "MURS"], HeightOf::Wall, true),
    (&["RAUMHÖHE"], HeightOf::Ceiling, true),
    (&["RAUMHOEHE"], HeightOf::Ceiling, true),
    (&["DECKENHÖHE"], HeightOf::Ceiling, true),
    (&["PLAFONDHOOGTE"], HeightOf::Ceiling, true),
    (&["HAUTEUR", "SOUS", "PLAFOND"], HeightOf::Ceiling, true),
    (&["HSP"], HeightOf::Ceiling, true),
    (&["ALTURA", "TECHO"], HeightOf::Ceiling, true),
    (&["ALTURA", "LIBRE"], HeightOf::Ceiling, true),
    (&["PÉ", "DIREITO"], HeightOf::Ceiling, true),
    (&["PE", "DIREITO"], HeightOf::Ceiling, true),
];

/// Words that say that a length is a height.
const HEIGHT: &[&str] = &["HT", "HTS", "HGT", "HGTS", "HEIGHT", "HEIGHTS", "HIGH"];
/// Words that may stand between a height and what has it.
const BETWEEN: &[&str] = &[
    "AT", "IS", "OF", "THE", "TO", "TOP", "T", "O", "TOS", "TOP-OF", "DBL", "DOUBLE", "UPPER",
    "DE", "DU", "DES", "DO", "DEL", "TYP", "TYPICAL", "UNO", "MIN", "FLAT", "AFF", "FINISH",
    "FINISHED", "ALL",
];

/// The heights that a text tells, in its order. `metric`: a bare number may be metres or millimetres.
pub(crate) fn heights(text: &str, metric: bool) -> Vec<(HeightOf, Length)> {
    let pieces = pieces(text, metric);
    let mut out = Vec::new();
    for (i, piece) in pieces.iter().enumerate() {
        let Piece::Length(length) = piece else { continue };
        let inches = length.to_inches();
        let (before, after) = (pieces.get(..i).unwrap_or(&[]), pieces.get(i + 1..).unwrap_or(&[]));
        let found = subject_before(before).or_else(|| subject_after(after));
        let Some((of, is_height)) = found else { continue };
        let fits = match (is_height, of) {
            (true, HeightOf::Wall) => (LEAST_IN..=MOST_IN).contains(&inches),
            (true, _) => (ROOM_IN[0]..=MOST_IN).contains(&inches),
            // "12'-0" WALL" may be its length.
            (false, HeightOf::Wall) => false,
            (false, _) => (ROOM_IN[0]..=ROOM_IN[1]).contains(&inches),
        };
        if fits && !out.contains(&(of, *length)) {
            out.push((of, *length));
        }
    }
    out
}

/// `PLATE HT. =` straight before a length.
fn subject_before(before: &[Piece]) -> Option<(HeightOf, bool)> {
    let mut is_height = false;
    for (i, piece) in before.iter().enumerate().rev() {
        let Piece::Word(word) = piece else { return None };
        if HEIGHT.contains(&word.as_str()) {
            is_height = true;
        } else if let Some((of, told, _)) = subject(before, i, true) {
            return settled(of, told || is_height, word);
        } else if !BETWEEN.contains(&word.as_str()) {
            return None;
        }
    }
    None
}

/// `HIGH WALLS` straight after a length.
fn subject_after(after: &[Piece]) -> Option<(HeightOf, bool)> {
    let mut is_height = false;
    for (i, piece) in after.iter().enumerate() {
        let Piece::Word(word) = piece else { return None };
        if HEIGHT.contains(&word.as_str()) {
            is_height = true;
        } else if let Some((of, told, words)) = subject(after, i, false) {
            // "CEILING JOISTS", "WALL CABINETS": what follows must not be another thing.
            let next = after.get(i + words).and_then(|p| match p {
                Piece::Word(w) => Some(w.as_str()),
                _ => None,
            });
            let own = next.is_none_or(|w| HEIGHT.contains(&w) || BETWEEN.contains(&w));
            let told = told || next.is_some_and(|w| HEIGHT.contains(&w));
            return own.then(|| settled(of, told || is_height, word)).flatten();
        } else if !BETWEEN.contains(&word.as_str()) {
            return None;
        }
    }
    None
}

/// `PL` alone is a property line as often as a plate.
fn settled(of: HeightOf, is_height: bool, word: &str) -> Option<(HeightOf, bool)> {
    (is_height || word != "PL").then_some((of, is_height))
}

/// The subject whose words end (`ends`) or begin at a place, and how many they are; words like "de" between
/// them do not count.
fn subject(pieces: &[Piece], at: usize, ends: bool) -> Option<(HeightOf, bool, usize)> {
    SUBJECTS.iter().find_map(|(words, of, told)| {
        let fits = |part: &[Piece]| {
            let mut left = words.iter();
            let mut next = left.next();
            for piece in part {
                let Piece::Word(word) = piece else { return false };
                if next == Some(&word.as_str()) {
                    next = left.next();
                } else if !matches!(word.as_str(), "DE" | "DU" | "DES" | "DEL" | "DO" | "LOS") {
                    return false;
                }
            }
            next.is_none()
        };
        (words.len()..=words.len() + 1).find_map(|n| {
            if words.len() == 1 && n > 1 {
                return None;
            }
            let range = match ends {
                true => (at + 1).checked_sub(n)?..at + 1,
                false => at..at + n,
            };
            let part = pieces.get(range)?;
            let is_word = |p: Option<&Piece>, w: Option<&&str>| match (p, w) {
                (Some(Piece::Word(p)), Some(w)) => p == w,
                _ => false,
            };
            (is_word(part.first(), words.first())
                && is_word(part.last(), words.last())
                && fits(part))
            .then_some((*of, *told, n))
        })
    })
}

/// A text's lengths and words; what ends a sentence or a line is a break.
fn pieces(text: &str, metric: bool) -> Vec<Piece> {
    let upper = text.to_uppercase();
    let mut out = Vec::new();
    let mut rest = upper.as_str();
    while let Some(c) = rest.chars().next() {
        if c.is_ascii_digit() || (c == '.' && rest[1..].starts_with(|d: char| d.is_ascii_digit())) {
            let (length, n) = length_at(rest, metric);
            out.push(length.map_or(Piece::Word(rest[..n].to_owned()), Piece::Length));
            rest = &rest[n..];
        } else if c.is_alphabetic() {
            let n = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
            out.push(Piece::Word(rest[..n].to_owned()));
            rest = &rest[n..];
        } else {
            // A hyphen may part the words of one name; a stop may end an abbreviation.
            if matches!(c, '\n' | '\r' | ';' | '/' | '|') {
                out.push(Piece::Break);
            }
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

/// The longest length at the head of a text, and how many bytes it takes; else the number's own.
fn length_at(text: &str, metric: bool) -> (Option<Length>, usize) {
    /// `99'-11 15/16 INCHES` has no more.
    const LONGEST: usize = 24;
    let digits = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let number_end = digits.unwrap_or(text.len());
    let ends: Vec<usize> =
        text.char_indices().map(|(i, c)| i + c.len_utf8()).take(LONGEST).collect();
    for end in ends.into_iter().rev() {
        let (head, tail) = text.split_at(end);
        // A length ends where a word or number does not go on, and not in blanks.
        let last = head.chars().next_back();
        let next = tail.chars().next();
        let goes_on = match (last, next) {
            (Some(a), Some(b)) => (a.is_alphanumeric() && b.is_alphanumeric()) || b == '/',
            _ => false,
        };
        if goes_on || last.is_none_or(|c| c.is_whitespace() || c == '-' || c == '.' || c == ',') {
            continue;
        }
        // With a decimal comma where it is one.
        let plain = if head.contains('.') { head.to_owned() } else { head.replace(',', ".") };
        if let Ok(length) = Length::parse(&plain) {
            return (Some(length), end);
        }
    }
    let bare = text[..number_end].trim_end_matches(['.', ',']);
    let followed = text[bare.len()..].starts_with(|c: char| c.is_alphanumeric() || c == '/');
    let value = bare.replace(',', ".").parse::<f64>().ok().filter(|_| metric && !followed);
    let length = value.and_then(|v| match v {
        v if (2.0..10.0).contains(&v) && bare.contains(['.', ',']) => Length::from_mm(v * 1000.0),
        v if (2000.0..10_000.0).contains(&v) => Length::from_mm(v),
        _ => None,
    });
    let taken = bare.len().max(1);
    (length, if length.is_some() { taken } else { number_end.max(1) })
}

#[cfg(test)]
mod tests {
    use super::HeightOf::{Ceiling, Plate, Wall};
    use super::*;

    fn told(text: &str, metric: bool) -> Vec<(HeightOf, String)> {
        let shown = |l: Length| {
            if metric { l.millimetres().to_string() } else { l.feet_inches().to_string() }
        };
        heights(text, metric).into_iter().map(|(of, l)| (of, shown(l))).collect()
    }

    #[test]
    fn heights_of_plates_walls_and_ceilings_are_understood() {
        for (text, of, height) in [
            ("9'-1 1/8\" PLATE HT.", Plate, "9'-1 1/8\""),
            ("PLATE HGT. = 8'-1 1/8\"", Plate, "8'-1 1/8\""),
            ("PL. HT. 10'-1\"", Plate, "10'-1\""),
            ("T.O. PLATE @ 9'-1\"", Plate, "9'-1\""),
            ("TOP OF DBL. PLATE 9'-1\"", Plate, "9'-1\""),
            ("9'-1\" TOP PLATE", Plate, "9'-1\""),
            ("Plate height is 109 1/8\" typ.", Plate, "9'-1 1/8\""),
            ("9'-0\" HIGH WALLS", Wall, "9'-0\""),
            ("WALL HEIGHT: 10 ft", Wall, "10'-0\""),
            ("42\" HIGH WALL", Wall, "3'-6\""),
            ("12' WALL HT.", Wall, "12'-0\""),
            ("9'-0\" CLG.", Ceiling, "9'-0\""),
            ("CLG. @ 8'-0\"", Ceiling, "8'-0\""),
            ("GREAT ROOM\n18'-0\" x 20'-0\"\n10'-0\" CEILING", Ceiling, "10'-0\""),
            ("9' FLAT CEILING", Ceiling, "9'-0\""),
            ("9\u{2019}-0\u{201d} CEILING HT", Ceiling, "9'-0\""),
        ] {
            assert_eq!(told(text, false), [(of, height.to_owned())], "{text}");
        }
    }

    #[test]
    fn metric_heights_and_other_languages() {
        for (text, of, height) in [
            ("Wandhöhe 2,60 m", Wall, "2600 mm"),
            ("RAUMHÖHE: 2.55", Ceiling, "2550 mm"),
            ("Hauteur sous plafond = 2.50 m", Ceiling, "2500 mm"),
            ("ALTURA DE MURO 2.70", Wall, "2700 mm"),
            ("PÉ-DIREITO 2,80", Ceiling, "2800 mm"),
            ("CEILING HT 2400", Ceiling, "2400 mm"),
            ("PLATE HEIGHT 2440mm", Plate, "2440 mm"),
        ] {
            assert_eq!(told(text, true), [(of, height.to_owned())], "{text}");
        }
    }

    #[test]
    fn several_heights_in_one_text_each_keep_their_word() {
        assert_eq!(
            told("PLATE HT. 9'-1 1/8\"\nCLG. HT. 9'-0\"", false),
            [(Plate, "9'-1 1/8\"".to_owned()), (Ceiling, "9'-0\"".to_owned())]
        );
    }

    #[test]
    fn other_lengths_are_no_heights() {
        for text in [
            "42\" HIGH ALUMINUM HANDRAIL",
            "550 HIGH",
            "5/8\" TYPE \"X\" GYP. BD. ON CEILING",
            "2X6 WALL",
            "12'-0\" WALL",
            "PL 100'-0\"",
            "12'-0\" CEILING JOISTS",
            "36\" WALL CABINETS",
            "9'-0\" PLATE GLASS",
            "BRACED WALL PANEL 2'-8\" MIN.",
            "22\" x 30\" CEILING ACCESS",
            "HDR. HT. 6'-8\"",
            "9'-0\"",
            "PLATE",
            "CLG. 1'-0\"",
            "3068",
            "",
            "\u{301}9",
        ] {
            assert_eq!(told(text, false), [], "{text}");
        }
        assert_eq!(told("CEILING HT 2400", false), []);
        assert_eq!(told("WALL 2.40.1", true), []);
    }
}
