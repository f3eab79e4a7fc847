//! Words and numbers as the outputs print them.

use geom::{Length, Slope};
use plan_model::{Against, Layer, Notch, Piece, PieceEnd, Side, run_name};
use wall_model::floor::Run;

/// The length of a piece as people read it: feet, inches and sixteenths, or whole millimetres for a
/// metric section. An upper piece that is not on the grid is rounded down, so that it is never long.
pub fn length_text(piece: &Piece) -> String {
    people(printed(piece, piece.section.is_metric()), piece.section.is_metric())
}

/// The same length in the other system, for those who hold the other tape.
pub fn other_length_text(piece: &Piece) -> String {
    let metric = !piece.section.is_metric();
    people(printed(piece, metric), metric)
}

/// The finest step of a tape.
pub(crate) fn tape_step(metric: bool) -> Length {
    if metric { Length::mm(1) } else { Length::SIXTEENTH }
}

/// The length of a piece as [`length_text`] prints it.
pub(crate) fn printed(piece: &Piece, metric: bool) -> Length {
    match piece.layer {
        Layer::Upper => piece.printed.floor_to(tape_step(metric)),
        Layer::Bottom | Layer::Lower => piece.printed,
    }
}

/// What a tape along one face of a piece on a slope reads; `None` for a level piece.
pub fn edge_text(piece: &Piece) -> Option<String> {
    let metric = piece.section.is_metric();
    piece.rake.map(|r| people(r.edge_printed, metric))
}

/// How the blade is tilted for an end on a slope: `blade tilted 26.57° (plumb), upper face longer`; `None`
/// where it stands upright.
fn tilt_text(end: &PieceEnd) -> Option<String> {
    let longer = if end.tilt_deg < 90.0 { "upper" } else { "lower" };
    let off = degrees((90.0 - end.tilt_deg).abs());
    (end.tilt_deg != 90.0)
        .then(|| format!("blade tilted {off}\u{b0} (plumb), {longer} face longer"))
}

/// An end for people: `square`, `45°, left edge longer`, and the tilt of the blade; of an end of several
/// `cuts` where to `look` for them. The angle is the saw's, from square.
pub fn cut_text(end: &PieceEnd, cuts: usize, look: &str) -> String {
    let words = bevel_text(end, cuts, look);
    match tilt_text(end) {
        Some(tilt) if words == "square" => tilt,
        Some(tilt) => format!("{words}, {tilt}"),
        None => words,
    }
}

/// As [`cut_text`], without the tilt of the blade.
pub fn bevel_text(end: &PieceEnd, cuts: usize, look: &str) -> String {
    let longer = if end.cut_deg < 90.0 { "left" } else { "right" };
    match (cuts, degrees((90.0 - end.cut_deg).abs()).as_str()) {
        (1, "0") => "square".to_owned(),
        (1, deg) => format!("{deg}\u{b0}, {longer} edge longer"),
        (n, _) => format!("{n} cuts, see {look}"),
    }
}

/// A rise for people: `6.0 in 12`.
pub fn pitch_text(slope: Slope) -> String {
    format!("{:.1} in 12", slope.ratio().abs() * 12.0)
}

/// The top of a run between the faces where its plates end, as its length is told between these; heights at its
/// nodes would belong to another length: `at 8'-1 1/8"`, `at these faces 8'-2 1/2" and 12'-1 1/8" (6.0 in 12)`.
pub fn top_text(run: &Run, (from, to): (Length, Length), metric: bool) -> String {
    let [start, end] = [from, to].map(|at| people(run.top_at(at).denoise(), metric));
    match run.slope() {
        Some(slope) => format!("at these faces {start} and {end} ({})", pitch_text(slope)),
        None => format!("at {start}"),
    }
}

/// A length for people, rounded to the nearest sixteenth of an inch or millimetre.
pub fn people(length: Length, metric: bool) -> String {
    if metric { length.millimetres().to_string() } else { length.feet_inches().to_string() }
}

/// The text with its lengths kept on one line: `7'-6 1/2"` broken before its fraction would be read
/// as 7'-6".
pub fn unbroken(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut last = ' ';
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        let joins = matches!(letters.peek(), Some('0'..='9' | 'm'));
        out.push(if c == ' ' && last.is_ascii_digit() && joins { '\u{a0}' } else { c });
        last = c;
    }
    out
}

/// What a piece's end meets: `open`, `same-run`, `run R3`, `notch R3`, `stud R3`.
pub fn against_word(against: Against) -> String {
    match against {
        Against::Open => "open".to_owned(),
        Against::SameRun => "same-run".to_owned(),
        Against::Run(r) => format!("run {}", run_name(r)),
        Against::Notch(r) => format!("notch {}", run_name(r)),
        Against::Stud(r) => format!("stud {}", run_name(r)),
    }
}

/// Inches with four decimals, which is exact for sixteenths (0.0625).
pub fn inches_4(length: Length) -> String {
    fixed(length.nm(), 2_540, 4)
}

/// Millimetres with two decimals. Not three: a spreadsheet that takes the point for a thousands mark
/// would read 2387.600 as two million.
pub fn mm_2(length: Length) -> String {
    fixed(length.nm(), 10_000, 2)
}

/// `nm` in units of `grid` nm, which is the last of `places` decimals; half rounds away from zero.
fn fixed(nm: i64, grid: i64, places: u32) -> String {
    let ticks = Length::from_nm(nm).round_to(Length::from_nm(grid)).nm() / grid;
    let ten = 10_i64.pow(places);
    let sign = if ticks < 0 { "-" } else { "" };
    let (whole, part) = (ticks.abs() / ten, ticks.abs() % ten);
    format!("{sign}{whole}.{part:0width$}", width = places as usize)
}

/// A number with at most `places` decimals and no trailing zeros.
pub fn trimmed(value: f64, places: usize) -> String {
    if value.fract() == 0.0 && value.abs() < 9.0e15 {
        return (value as i64).to_string();
    }
    let text = without_zeros(format!("{value:.places$}"));
    if text == "-0" { "0".to_owned() } else { text }
}

fn without_zeros(mut text: String) -> String {
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    text
}

/// Decimal inches with at most four decimals.
pub fn inches_short(length: Length) -> String {
    without_zeros(inches_4(length))
}

/// A cut angle in degrees, `90`, `45`, `26.57`.
pub fn degrees(deg: f64) -> String {
    trimmed(deg, 2)
}

/// A notch for a machine: `1.25-4.75x2L`, from and to along the piece, depth, left or right edge. Inches, or
/// millimetres.
pub fn notch_code(n: &Notch, metric: bool) -> String {
    let side = match n.side {
        Side::Left => "L",
        Side::Right => "R",
    };
    let short = |length| if metric { without_zeros(mm_2(length)) } else { inches_short(length) };
    let [from, to, depth] = [n.from, n.to, n.depth].map(short);
    format!("{from}-{to}x{depth}{side}")
}

/// What a board's grade must be: `treated` for bottom plates on concrete, else left to the yard.
pub const fn grade(treated: bool) -> &'static str {
    if treated { "treated" } else { "" }
}

/// Hundredths as a number with two decimals.
pub fn money(hundredths: i64) -> String {
    fixed(hundredths, 1, 2)
}

/// Feet with at most four decimals.
pub fn feet(length: Length) -> String {
    trimmed(length.to_inches() / 12.0, 4)
}

/// Percent of `whole` that `part` is, to two decimals; 0 of nothing.
pub fn percent(part: Length, whole: Length) -> f64 {
    if whole == Length::ZERO {
        return 0.0;
    }
    (part.nm() as f64 / whole.nm() as f64 * 10_000.0).round() / 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn fixed_decimals_are_exact_on_both_grids() {
        assert_eq!(inches_4(Length::sixteenths(1)), "0.0625");
        assert_eq!(inches_4(Length::sixteenths(-1)), "-0.0625");
        assert_eq!(inches_4(Length::inches(94)), "94.0000");
        assert_eq!(mm_2(Length::mm(3456)), "3456.00");
        // 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)
        assert_eq!(mm_2(Length::inches(94)), "2387.60");
        assert_eq!(inches_4(Length::from_nm(-1)), "0.0000");
        assert_eq!(
            (money(435), money(-5), money(0)),
            ("4.35".into(), "-0.05".into(), "0.00".into())
        );
    }

    #[test]
    fn trims_without_lying() {
        assert_eq!(trimmed(90.0, 2), "90");
        assert_eq!(trimmed(26.565, 2), "26.57");
        assert_eq!(trimmed(-0.0001, 2), "0");
        assert_eq!(trimmed(100.0, 0), "100");
    }

    proptest! {
        #[test]
        fn sixteenths_survive(n in -1_000_000_i64..1_000_000) {
            let l = Length::sixteenths(n);
            let back: f64 = inches_4(l).parse().unwrap();
            prop_assert_eq!(Length::from_inches(back), Some(l));
        }
    }
}
