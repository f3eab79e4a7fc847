//! Framing lumber by its trade name: dressed sizes, and the section a drawn thickness stands for.
//!
//! Knows: names and dressed sizes. Never touches: drawings, walls, plans, prices.
//!
//! Sizes: American Softwood Lumber Standard PS 20 dry dressed sizes, 2x4 = 1.5 x 3.5 in and so on;
//! Canadian metric names carry the size in mm. Read at southernpine.com and cwc.ca, agrees with
//! memory (FACTS section 5).

use geom::Length;
use std::fmt;

/// A lumber section laid flat: `width` is the face across the wall, `thickness` is up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Section {
    row: u8,
}

struct Row {
    name: &'static str,
    thickness: Length,
    width: Length,
}

const fn inch(name: &'static str, width_eighths: i64) -> Row {
    Row { name, thickness: Length::sixteenths(24), width: Length::sixteenths(width_eighths * 2) }
}
const fn metric(name: &'static str, width_mm: i64) -> Row {
    Row { name, thickness: Length::mm(38), width: Length::mm(width_mm) }
}

const ROWS: [Row; 10] = [
    inch("2x3", 20),
    inch("2x4", 28),
    inch("2x6", 44),
    inch("2x8", 58),
    inch("2x10", 74),
    inch("2x12", 90),
    metric("38x64", 64),
    metric("38x89", 89),
    metric("38x140", 140),
    metric("38x184", 184),
];

impl Section {
    /// 2x4: 1.5 x 3.5 in.
    pub const S2X4: Section = Section { row: 1 };
    /// 2x6: 1.5 x 5.5 in.
    pub const S2X6: Section = Section { row: 2 };

    /// Every known section.
    pub fn all() -> impl Iterator<Item = Section> {
        (0..ROWS.len() as u8).map(|row| Section { row })
    }
    /// The section of that name; `2X6` and `2x6` alike.
    pub fn from_name(name: &str) -> Option<Section> {
        Section::all().find(|s| s.name().eq_ignore_ascii_case(name.trim()))
    }
    /// Its trade name, `2x6`, `38x140`.
    pub fn name(self) -> &'static str {
        ROWS[self.row as usize].name
    }
    /// Dressed width: across the wall when the plate lies flat.
    pub fn width(self) -> Length {
        ROWS[self.row as usize].width
    }
    /// Dressed thickness: height of one plate layer.
    pub fn thickness(self) -> Length {
        ROWS[self.row as usize].thickness
    }
    /// True for the sections named in millimetres.
    pub fn is_metric(self) -> bool {
        self.row >= 6
    }

    /// The section of the same size that the other system has a name for: 2x4 and 38x89.
    pub fn twin(self) -> Option<Section> {
        let near = |s: &Section| (s.width() - self.width()).abs() <= Length::from_nm(500_000);
        Section::all().filter(|s| s.is_metric() != self.is_metric()).find(near)
    }

    /// The section whose stud width a bare stud layer of this thickness can only be: dressed or
    /// nominal size, within 1/32 in (PS 20) or 1 mm. `prefer_metric` settles 89 mm = 3.504 in: what only the other
    /// system's section fits, by less than half a millimetre, is still this system's section of that size.
    pub fn from_stud_thickness(t: Length, prefer_metric: bool) -> Option<Section> {
        let close = |a: Length, tol: Length| (a - t).abs() <= tol;
        let dressed = |s: Section| close(s.width(), Length::sixty_fourths(3));
        let nominal = |s: Section| {
            let inches = s.name().strip_prefix("2x").and_then(|n| n.parse().ok());
            inches.is_some_and(|n: i64| close(Length::inches(n), Length::sixty_fourths(1)))
        };
        let both = |m: bool| Section::all().filter(move |s| s.is_metric() == m);
        both(prefer_metric)
            .find(|s| dressed(*s))
            .or_else(|| both(!prefer_metric).find(|s| dressed(*s)).map(|s| s.twin().unwrap_or(s)))
            .or_else(|| both(false).find(|s| nominal(*s)))
    }

    /// The section inside a wall drawn with its finishes: stud width plus 3/8 to 5/8 in board on one
    /// or both sides, or 1 in in all for lath and plaster (common practice, no source). Bare stud
    /// sizes are tried first. `None` when no section or more than one fits.
    pub fn from_wall_thickness(t: Length, prefer_metric: bool) -> Option<Section> {
        if let Some(s) = Section::from_stud_thickness(t, prefer_metric) {
            return Some(s);
        }
        let mut fits = Section::all()
            .filter(|s| s.is_metric() == prefer_metric)
            .filter(|s| s.boards_in(t).is_some());
        match (fits.next(), fits.next()) {
            (Some(s), None) => Some(s),
            _ => None,
        }
    }

    /// The boards that make up a wall of that thickness with studs of this section, those that come nearest;
    /// `None` where none come within 1/32 in.
    pub fn boards_in(self, t: Length) -> Option<Boards> {
        let over = t - self.width();
        let one = BOARDS.iter().map(|a| [a.0, 0]);
        let two = BOARDS.iter().flat_map(|a| BOARDS.iter().map(|b| [a.0, b.0]));
        // The same on both sides is the commonest.
        let rank = |s: &[i64; 2]| (s[0] != s[1], s[1] != 0, *s);
        let all = two.filter(|s| s[0] <= s[1]).chain(one);
        let boards = all.map(|sixteenths| {
            let off = (over - Length::sixteenths(sixteenths.iter().sum())).abs();
            Boards { sixteenths, off }
        });
        let nearest = boards.min_by_key(|b| (b.off, rank(&b.sixteenths)))?;
        (nearest.off <= Length::sixty_fourths(2)).then_some(nearest)
    }
}

/// Usual boards on a wall's faces: sixteenths of an inch, and as people write it.
const BOARDS: [(i64, &str); 3] = [(6, "3/8"), (8, "1/2"), (10, "5/8")];

/// Boards on the faces of a wall, that with its studs make up its thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Boards {
    /// How far the sum is from the wall's thickness.
    pub off: Length,
    /// On one face and on the other; 0 where there is none.
    sixteenths: [i64; 2],
}

impl Boards {
    /// Whether they explain the thickness well: within what two 1/2 in boards are off that are drawn as 13 mm.
    pub fn fit_well(&self) -> bool {
        self.off <= Length::from_nm(600_000)
    }
}

impl fmt::Display for Boards {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = |n: i64| BOARDS.iter().find(|b| b.0 == n).map_or("", |b| b.1);
        match self.sixteenths {
            [a, 0] => write!(f, "{} in of board on one side", word(a)),
            [a, b] if a == b => write!(f, "{} in of board on each side", word(a)),
            [a, b] => write!(f, "{} in and {} in of board on its sides", word(a), word(b)),
        }
    }
}

impl fmt::Display for Section {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FACTS T36: PS 20 dry sizes; Canadian names.
    #[test]
    fn dressed_sizes() {
        for (name, width) in [("2x4", 3.5), ("2x6", 5.5), ("2x8", 7.25)] {
            let s = Section::from_name(name).unwrap();
            assert_eq!((s.thickness().to_inches(), s.width().to_inches()), (1.5, width));
        }
        assert_eq!(Section::from_name("38X140").unwrap().width(), Length::mm(140));
        assert_eq!(Section::from_name("2x5"), None);
    }

    #[test]
    fn boards_explain_a_thickness_well_or_hardly() {
        let of = |section: &str, t: Length| {
            let b = Section::from_name(section).unwrap().boards_in(t)?;
            Some((b.to_string(), b.fit_well()))
        };
        let some = |words: &str, well| Some((words.to_owned(), well));
        let inches = |x: f64| Length::from_inches(x).unwrap();
        assert_eq!(of("2x4", inches(4.5)), some("1/2 in of board on each side", true));
        assert_eq!(of("2x4", inches(4.125)), some("5/8 in of board on one side", true));
        assert_eq!(of("2x4", inches(4.375)), some("3/8 in and 1/2 in of board on its sides", true));
        assert_eq!(of("38x89", Length::mm(115)), some("1/2 in of board on each side", true));
        assert_eq!(of("38x64", Length::mm(80)), some("5/8 in of board on one side", true));
        assert_eq!(of("38x64", Length::mm(95)), some("5/8 in of board on each side", false));
        assert_eq!(of("38x89", Length::mm(89)), None);
        assert_eq!(of("2x4", inches(6.0)), None);
    }

    /// A drawing in inches gets no metric lumber for being a few hundredths of an inch off, nor the other way round.
    #[test]
    fn a_size_that_both_systems_have_is_the_drawings_own() {
        let name = |t: Option<Length>, m| Section::from_stud_thickness(t?, m).map(Section::name);
        assert_eq!(name(Length::from_inches(3.55), false), Some("2x4"));
        assert_eq!(name(Length::from_inches(5.55), false), Some("2x6"));
        assert_eq!(name(Length::from_inches(7.2), false), Some("2x8"));
        assert_eq!(name(Length::from_inches(3.6), false), None);
        assert_eq!(name(Length::from_mm(87.75), true), Some("38x89"));
        assert_eq!(name(Length::from_mm(138.6), true), Some("38x140"));
        // Metric lumber has no name for it.
        assert_eq!(name(Length::from_mm(235.0), true), Some("2x10"));
        let twins = |n: &str| Section::from_name(n).and_then(Section::twin).map(Section::name);
        assert_eq!(twins("2x4"), Some("38x89"));
        assert_eq!(twins("38x184"), Some("2x8"));
        assert_eq!(twins("2x12"), None);
    }

    #[test]
    fn thickness_tells_the_section_or_nothing() {
        let inches = |x: f64| Length::from_inches(x).unwrap();
        let name = |t, m| Section::from_wall_thickness(t, m).map(Section::name);
        assert_eq!(name(inches(3.5), false), Some("2x4"));
        assert_eq!(name(inches(4.0), false), Some("2x4"));
        assert_eq!(name(inches(4.5), false), Some("2x4"));
        assert_eq!(name(inches(4.75), false), Some("2x4"));
        assert_eq!(name(inches(6.5), false), Some("2x6"));
        assert_eq!(name(Length::mm(89), true), Some("38x89"));
        assert_eq!(name(Length::mm(140), true), Some("38x140"));
        assert_eq!(name(Length::mm(89), false), Some("2x4"));
        assert_eq!(name(Length::mm(300), true), None);
        assert_eq!(name(inches(12.0), false), Some("2x12"));
    }
}
