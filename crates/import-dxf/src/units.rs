//! What unit a drawing is in.
//!
//! Knows: the header's unit codes, what the wall linework would measure in each unit, when a stated
//! unit is plainly wrong. Never touches: files, layers; it never guesses.
//!
//! Dimensions that show their unit (`12'-6"`) bear a unit out or deny it: below one in five that agree, a
//! unit is not plausible. Order: settings, then `$INSUNITS`; `$MEASUREMENT` and `$LUNITS` are hints that only appear in
//! messages. Codes: Autodesk, INSUNITS (FACTS 8.2). The ranges of plausible sizes are common practice,
//! no source.

use crate::affine::Xy;
use crate::centrelines::drawn_section;
use crate::dimensions;
use crate::faces::{FaceStatistics, sampled_partners};
use crate::file::Header;
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::overall::{full_size, middle, robust_size};
use crate::unitwords::{
    describe, header_words, plausible_others, units_conflict, units_missing, units_unlikely,
};
use crate::walls::THICKEST_TOLD_IN;
use diag::Finding;
use diag::codes::dxf;
use geom::{Length, Unit};
use lumber::Section;
use settings::Settings;
use wall_model::UnitsDecision;

/// Overall size of a plan, inches: 1.5 m to 1 km. Outside this a stated unit is wrong.
const OVERALL_IN: [f64; 2] = [1.5 / 0.0254, 1000.0 / 0.0254];
/// Overall size of a plan that another unit is proposed for, inches: 3 to 250 m.
const LIKELY_OVERALL_IN: [f64; 2] = [3.0 / 0.0254, 250.0 / 0.0254];
/// No building nor a street of them drawn on one sheet is larger (common practice, no source).
const NO_BUILDING_IN: f64 = 5000.0 / 0.0254;
/// Above this overall size, 150 m, a plan without other evidence is asked about.
const LARGE_IN: f64 = 150.0 / 0.0254;
/// Thickness of a wall, inches: 60 to 500 mm.
const THICKNESS_IN: [f64; 2] = [60.0 / 25.4, 500.0 / 25.4];
/// Lines farther apart than this, 300 mm, may be two walls.
const SURE_THICKNESS_IN: f64 = 300.0 / 25.4;
/// Size of a door or window symbol, inches: 0.3 to 8 m.
const OPENING_IN: [f64; 2] = [300.0 / 25.4, 8000.0 / 25.4];
/// The middle size of doors and windows of a plan, inches: 20 in to 6 ft 4 in.
const USUAL_OPENING_IN: [f64; 2] = [20.0, 76.0];
/// Lines that are enough to know a unit by.
const SAMPLE: usize = 2000;
/// Doors and windows that it takes to say something about the unit.
const OPENINGS_NEEDED: usize = 3;

/// Dimensions that it takes to say something about the unit.
pub(crate) const DIMENSIONS_NEEDED: usize = 3;

/// Sizes of what was recognised as walls and openings, in drawing units.
#[derive(Clone, Debug, Default)]
pub(crate) struct Measure {
    /// Wall lines without a drawn width.
    pub lines: Vec<Segment>,
    /// Ends of all wall lines.
    pub ends: Vec<Xy>,
    /// Widths of MLINE walls.
    pub widths: Vec<f64>,
    /// Sizes of door and window symbols.
    pub openings: Vec<f64>,
    /// Dimensions with a unit in their text: distance drawn, inches written.
    pub dimensions: Vec<(f64, f64)>,
}

/// What the walls would measure in one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitReading {
    /// The unit: `in`, `ft`, `mm`, `cm`, `m`, or the header's own.
    pub unit: String,
    /// Overall width and height of the wall linework, inches.
    pub overall_in: (f64, f64),
    /// Distances between parallel wall lines that could be a wall's faces, or drawn widths; inches,
    /// commonest first.
    pub thickness_in: Vec<f64>,
    /// Middle size of door and window symbols, inches, when there are enough of them.
    pub opening_in: Option<f64>,
    /// Share of the wall lines' length that has a parallel wall line at a wall's thickness beside it.
    pub paired: f64,
    /// Dimensions whose text agrees with the drawing in this unit, of those that show a unit.
    pub dimensions: (usize, usize),
    /// Whether all this could be a building.
    pub plausible: bool,
    /// The same in words.
    pub text: String,
}

/// The evidence on units and what follows from it.
#[derive(Clone, Debug)]
pub struct UnitsEvidence {
    /// `$INSUNITS`, when the header has it.
    pub insunits: Option<i64>,
    /// `$MEASUREMENT`, when the header has it.
    pub measurement: Option<i64>,
    /// `$LUNITS`, when the header has it.
    pub lunits: Option<i64>,
    /// The same in words.
    pub header: String,
    /// What the walls would measure in each unit; empty when there are no walls.
    pub readings: Vec<UnitReading>,
    /// The unit, when it is known.
    pub decision: Option<UnitsDecision>,
    /// Why not, when it is not.
    pub refusal: Option<Finding>,
    /// A doubt about the decision.
    pub(crate) doubt: Option<Finding>,
}

/// Name and inches of a unit code of `$INSUNITS`; `None` for 0 and codes that do not exist.
pub(crate) fn insunits(code: i64) -> Option<(&'static str, f64)> {
    let metre = 1000.0 / 25.4;
    // US survey foot: 1200/3937 m (FACTS 8.2 names the code; the length from memory).
    let survey_foot = metre * 1200.0 / 3937.0;
    Some(match code {
        1 => ("in", 1.0),
        2 => ("ft", 12.0),
        3 => ("mi", 63_360.0),
        4 => ("mm", metre / 1000.0),
        5 => ("cm", metre / 100.0),
        6 => ("m", metre),
        7 => ("km", metre * 1000.0),
        8 => ("microinch", 1e-6),
        9 => ("mil", 1e-3),
        10 => ("yd", 36.0),
        11 => ("angstrom", metre * 1e-10),
        12 => ("nm", metre * 1e-9),
        13 => ("micron", metre * 1e-6),
        14 => ("dm", metre / 10.0),
        15 => ("dam", metre * 10.0),
        16 => ("hm", metre * 100.0),
        17 => ("Gm", metre * 1e9),
        18 => ("AU", metre * 149_597_870_700.0),
        19 => ("ly", metre * 9.460_730_472_580_8e15),
        20 => ("pc", metre * 3.085_677_581_491_367e16),
        21 => ("US survey ft", survey_foot),
        22 => ("US survey in", survey_foot / 12.0),
        23 => ("US survey yd", survey_foot * 3.0),
        24 => ("US survey mi", survey_foot * 5280.0),
        _ => return None,
    })
}

/// Weighs the evidence.
pub(crate) fn decide(header: &Header, measure: &Measure, settings: &Settings) -> UnitsEvidence {
    let words = header_words(header);
    let stated = header.insunits.and_then(insunits);
    let index = LineIndex::new(&measure.lines);
    let read = |name: &str, inches: f64| reading(name, inches, measure, &index);
    let mut evidence = UnitsEvidence {
        insunits: header.insunits,
        measurement: header.measurement,
        lunits: header.lunits,
        header: words,
        readings: Vec::new(),
        decision: None,
        refusal: None,
        doubt: None,
    };
    let all = || {
        let mut all = Unit::ALL.map(|u| read(u.name(), u.inches())).to_vec();
        keep_likely(&mut all);
        all
    };
    if let Some(unit) = settings.units {
        let own = read(unit.name(), unit.inches());
        evidence.decision = Some(UnitsDecision {
            name: unit.name().to_owned(),
            inches_per_unit: unit.inches(),
            decided_by: format!(
                "settings (units = \"{}\"); the header says {}; {}",
                unit.name(),
                evidence.header,
                own.text
            ),
        });
        evidence.readings.push(own.clone());
        let unlikely = !own.plausible || (is_unconfirmed(&own) && is_large(&own));
        if unlikely && !measure.ends.is_empty() {
            let others = all().into_iter().filter(|r| r.unit != own.unit);
            evidence.readings.extend(others);
            let told = units_unlikely(&evidence, &own);
            if is_no_building(&own) {
                evidence.decision = None;
                evidence.refusal = Some(told);
            } else {
                evidence.doubt = Some(told);
            }
        }
        return evidence;
    }
    let Some((name, inches)) = stated else {
        evidence.readings = all();
        evidence.refusal = Some(units_missing(&evidence, measure));
        return evidence;
    };
    let own = read(name, inches);
    let off_section = is_off_section(&own);
    let others = if own.plausible && !own.thickness_in.is_empty() && !off_section {
        // Wall thicknesses that fit are proof enough; the other readings need not be worked out.
        Vec::new()
    } else {
        all()
    };
    // A unit that dimensions bear out needs no better looking one.
    let borne_out = own.dimensions.0 >= DIMENSIONS_NEEDED;
    let faces_elsewhere = !borne_out
        && others.iter().any(|r| {
            r.plausible && r.unit != own.unit && own.thickness_in.is_empty() && are_surely_faces(r)
        });
    let framed_elsewhere = !borne_out
        && off_section
        && others.iter().any(|r| r.plausible && r.unit != own.unit && is_framed(r, &own));
    evidence.readings = std::iter::once(own.clone())
        .chain(others.into_iter().filter(|r| r.unit != own.unit))
        .collect();
    if !measure.ends.is_empty() && (!own.plausible || faces_elsewhere || framed_elsewhere) {
        evidence.refusal = Some(units_conflict(&evidence, &own));
        return evidence;
    }
    if is_unconfirmed(&own) && is_large(&own) {
        evidence.doubt = Some(Finding::new(
            dxf::UNITS_DOUBTFUL,
            format!(
                "The header says {}: {}. Nothing else in the drawing confirms it. {}",
                evidence.header,
                own.text,
                plausible_others(&evidence, &own).unwrap_or_default()
            ),
        ));
    }
    evidence.decision = Some(UnitsDecision {
        name: name.to_owned(),
        inches_per_unit: inches,
        decided_by: format!("{}; {}", evidence.header, own.text),
    });
    evidence
}

/// Whether nothing but the overall size speaks for a reading.
fn is_unconfirmed(r: &UnitReading) -> bool {
    r.thickness_in.is_empty() && r.opening_in.is_none() && r.dimensions.0 == 0
}

/// Whether no building, nor a sheet of many, is so large: no unit is obeyed that says so.
pub(crate) fn is_no_building(r: &UnitReading) -> bool {
    r.overall_in.0.max(r.overall_in.1) > NO_BUILDING_IN
}

fn is_large(r: &UnitReading) -> bool {
    r.overall_in.0.max(r.overall_in.1) > LARGE_IN
}

/// Whether walls are drawn as faces, and none of their usual thicknesses is a stud wall's.
fn is_off_section(r: &UnitReading) -> bool {
    let told = |t: &f64| {
        *t <= THICKEST_TOLD_IN
            && (drawn_section(*t, false).is_some() || drawn_section(*t, true).is_some())
    };
    !r.thickness_in.is_empty() && !r.thickness_in.iter().any(told)
}

/// Whether the commonest walls are bare studs, or studs with usual boards, and doors and windows have the size of
/// such; that two thicknesses fit so by chance is as unlikely as that one and the doors do.
fn is_framed(r: &UnitReading, stated: &UnitReading) -> bool {
    let fits = |t: &f64| {
        Length::from_inches(*t).map(Length::denoise).is_some_and(|t| {
            [false, true].into_iter().any(|metric| {
                let bare = Section::from_stud_thickness(t, metric);
                let section = bare.or_else(|| Section::from_wall_thickness(t, metric));
                let well = |s: Section| s.boards_in(t).is_some_and(|b| b.fit_well());
                bare.is_some() || section.is_some_and(well)
            })
        })
    };
    let usual: Vec<&f64> = r.thickness_in.iter().take(2).collect();
    let doors = |r: &UnitReading| r.opening_in.map(|o| within(o, USUAL_OPENING_IN));
    let other_doors = doors(stated) != Some(true);
    usual.iter().all(|t| **t <= THICKEST_TOLD_IN && fits(t))
        && other_doors
        && match doors(r) {
            Some(fit) => fit && !usual.is_empty(),
            None => usual.len() > 1,
        }
}

/// Whether the lines pair up so well that a reading without pairs cannot be right. Narrow rooms and
/// halls of single-line plans pair up too when read too small, but farther apart and less often.
fn are_surely_faces(r: &UnitReading) -> bool {
    r.paired >= 0.7 && r.thickness_in.first().is_some_and(|t| *t <= SURE_THICKNESS_IN)
}

/// Of several readings, only the likely ones stay plausible: a building of usual size, and where lines
/// pair up at a wall's thickness in one reading, about as many pairs as in the best one.
fn keep_likely(readings: &mut [UnitReading]) {
    for r in readings.iter_mut() {
        let overall = r.overall_in.0.max(r.overall_in.1);
        r.plausible &= within(overall, LIKELY_OVERALL_IN);
    }
    let best = readings.iter().filter(|r| r.plausible).map(|r| r.paired).fold(0.0, f64::max);
    if best >= 0.5 {
        for r in readings.iter_mut() {
            r.plausible &= r.paired >= best * 0.8;
        }
    }
}

fn within(v: f64, [low, high]: [f64; 2]) -> bool {
    v >= low * 0.999 && v <= high * 1.001
}

fn reading(name: &str, inches: f64, measure: &Measure, index: &LineIndex) -> UnitReading {
    let [near, far] = THICKNESS_IN.map(|t| t / inches);
    let (w, h) = robust_size(&measure.ends, &measure.lines);
    let overall_in = (w * inches, h * inches);
    let size_fits = !measure.ends.is_empty() && within(overall_in.0.max(overall_in.1), OVERALL_IN);
    let found =
        if size_fits { sampled_partners(&measure.lines, index, near, far, SAMPLE) } else { vec![] };
    let faces = FaceStatistics::of(found.into_iter(), near, (1.0 / 16.0) / inches);
    let widths = middle(&measure.widths).map(|w| w * inches);
    let mut thickness_in: Vec<f64> = widths.into_iter().collect();
    if faces.are_faces() {
        thickness_in.extend(faces.gaps.iter().take(3).map(|g| g.0 * inches));
    }
    let opening_in = middle(&measure.openings)
        .filter(|_| measure.openings.len() >= OPENINGS_NEEDED)
        .map(|o| o * inches);
    let agree = measure
        .dimensions
        .iter()
        .filter(|(drawn, written)| dimensions::agree(*drawn, *written, inches))
        .count();
    let agreeing = (agree, measure.dimensions.len());
    let plausible = size_fits
        && (agreeing.1 < DIMENSIONS_NEEDED || agree * 5 >= agreeing.1)
        && widths.is_none_or(|w| within(w, THICKNESS_IN))
        && opening_in.is_none_or(|o| within(o, OPENING_IN));
    let (fw, fh) = full_size(&measure.ends);
    // What is shown is the whole plan, unless something stray makes that absurd.
    let shown =
        if fw <= w * 1.5 && fh <= h * 1.5 { (fw * inches, fh * inches) } else { overall_in };
    let text = describe(shown, widths, &faces, inches, opening_in, agreeing);
    UnitReading {
        unit: name.to_owned(),
        overall_in,
        thickness_in,
        opening_in,
        paired: faces.share,
        dimensions: agreeing,
        plausible,
        text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use diag::Severity;
    use diag::codes::input;

    fn box_of(w: f64, h: f64, faces: Option<f64>) -> Measure {
        let mut lines = Vec::new();
        let mut add = |d: f64| {
            let (x0, y0, x1, y1) = (d, d, w - d, h - d);
            for (a, b) in [
                ([x0, y0], [x1, y0]),
                ([x1, y0], [x1, y1]),
                ([x1, y1], [x0, y1]),
                ([x0, y1], [x0, y0]),
            ] {
                lines.push(Segment { a, b });
            }
        };
        add(0.0);
        if let Some(t) = faces {
            add(t);
        }
        let ends = lines.iter().flat_map(|s| [s.a, s.b]).collect();
        Measure { lines, ends, ..Measure::default() }
    }
    fn header(insunits: Option<i64>) -> Header {
        Header { insunits, measurement: Some(0), ..Header::default() }
    }
    fn decided(code: i64, m: &Measure) -> Result<String, &'static str> {
        let e = decide(&header(Some(code)), m, &Settings::default());
        match (e.decision, e.refusal) {
            (Some(d), None) => Ok(d.name),
            (None, Some(f)) => Err(f.code.name()),
            _ => Err("both or neither"),
        }
    }

    /// FACTS 8.2 for the codes; the factors against ISO 80000 / NIST values from memory.
    #[test]
    fn every_code_of_the_header() {
        for code in 1..=24 {
            assert!(insunits(code).is_some_and(|u| u.1 > 0.0), "{code}");
        }
        for code in [0, -1, 25, 999] {
            assert!(insunits(code).is_none());
        }
        assert_eq!(insunits(4).unwrap().1, 1.0 / 25.4);
        assert!((insunits(21).unwrap().1 - 12.000_024).abs() < 1e-6);
        for u in Unit::ALL {
            let found = (1..=24).filter_map(insunits).find(|(n, _)| *n == u.name()).unwrap();
            assert!((found.1 - u.inches()).abs() < 1e-12);
        }
    }

    #[test]
    fn a_stated_unit_that_fits_is_believed() {
        assert_eq!(decided(1, &box_of(480.0, 360.0, None)), Ok("in".into()));
        assert_eq!(decided(2, &box_of(40.0, 30.0, None)), Ok("ft".into()));
        assert_eq!(decided(4, &box_of(12_000.0, 9_000.0, Some(114.0))), Ok("mm".into()));
        assert_eq!(decided(10, &box_of(14.0, 10.0, None)), Ok("yd".into()));
    }

    #[test]
    fn a_stated_unit_that_cannot_be_is_refused_with_both_readings() {
        // A house in inches that says millimetres, as in a drawing of the corpus.
        let m = box_of(480.0, 360.0, Some(6.0));
        let e = decide(&header(Some(4)), &m, &Settings::default());
        let f = e.refusal.unwrap();
        assert_eq!(f.code, input::UNITS_CONFLICT);
        for part in ["$INSUNITS = 4, mm", "480 mm", "units = \"in\"", "40'-0\"", "units = \"mm\""] {
            assert!(f.message.contains(part), "{part}: {}", f.message);
        }
        // Faces 4.5 apart, called centimetres: the house is possible, the walls are not.
        assert_eq!(decided(5, &box_of(480.0, 360.0, Some(4.5))), Err("units-conflict"));
        // A stray line far away does not make it too large.
        let mut stray = box_of(480.0, 360.0, None);
        for _ in 0..20 {
            stray.ends.extend(box_of(480.0, 360.0, None).ends);
        }
        stray.ends.push([1e9, 1e9]);
        assert_eq!(decided(1, &stray), Ok("in".into()));
    }

    /// All that reaches outward in a lone cross of walls are the ends that are cut away against strays.
    #[test]
    fn a_lone_cross_of_walls_has_its_full_size() {
        let (low, high) = (198.25, 201.75);
        let mut lines = Vec::new();
        for face in [low, high] {
            for [from, to] in [[0.0, low], [high, 400.0]] {
                lines.push(Segment { a: [from, face], b: [to, face] });
                lines.push(Segment { a: [face, from], b: [face, to] });
            }
        }
        let ends = lines.iter().flat_map(|s| [s.a, s.b]).collect();
        let mut m = Measure { lines, ends, ..Measure::default() };
        assert_eq!(decided(1, &m), Ok("in".into()));
        assert_eq!(robust_size(&m.ends, &m.lines), (400.0, 400.0));
        // A vertex gone astray is no part of it.
        m.lines.push(Segment { a: [0.0, low], b: [1e6, low] });
        m.ends.push([1e6, low]);
        assert_eq!(robust_size(&m.ends, &m.lines), (400.0, 400.0));
    }

    /// Walls that are no stud walls in the stated unit, and bare studs in another, doors of their size.
    #[test]
    fn walls_that_are_framed_in_another_unit_are_a_conflict() {
        // Feet said to be metres: 36 by 28 m with walls 458 mm thick.
        let mut m = box_of(36.0, 28.0, Some(5.5 / 12.0));
        m.openings = vec![3.0; 4];
        assert_eq!(decided(6, &m), Err("units-conflict"));
        assert_eq!(decided(2, &m), Ok("ft".into()));
        // Centimetres said to be inches.
        let mut m = box_of(1097.0, 853.0, Some(13.97));
        m.openings = vec![91.0; 4];
        assert_eq!(decided(1, &m), Err("units-conflict"));
        assert_eq!(decided(5, &m), Ok("cm".into()));
        // Masonry of 300 mm with its doors is what it says.
        let mut m = box_of(12.0, 9.0, Some(0.3));
        m.openings = vec![0.9; 4];
        assert_eq!(decided(6, &m), Ok("m".into()));
    }

    #[test]
    fn doors_speak_for_single_lines() {
        let mut m = box_of(12_000.0, 9_000.0, None);
        m.openings = vec![900.0; 4];
        assert_eq!(decided(4, &m), Ok("mm".into()));
        assert_eq!(decided(1, &m), Err("units-conflict"));
        m.openings.clear();
        // 12 000 in is 1000 ft: possible, but asked about.
        let e = decide(&header(Some(1)), &m, &Settings::default());
        assert_eq!(e.doubt.unwrap().code, dxf::UNITS_DOUBTFUL);
    }

    #[test]
    fn missing_units_show_every_reading() {
        let m = box_of(480.0, 360.0, Some(4.5));
        for insunits in [None, Some(0), Some(99)] {
            let e = decide(&header(insunits), &m, &Settings::default());
            assert!(e.decision.is_none());
            let f = e.refusal.unwrap();
            assert_eq!(f.code, input::UNITS_MISSING);
            for part in [
                "as inches, 40'-0\"",
                "as feet,",
                "as millimetres, 1'-6 7/8\" (480 mm)",
                "as metres",
                "4 1/2\"",
                "units = \"in\"",
            ] {
                assert!(f.message.contains(part), "{part}: {}", f.message);
            }
        }
    }

    /// `12'-6"` beside 150 units says inches, whatever the header says.
    #[test]
    fn dimensions_that_show_their_unit_decide() {
        let mut m = box_of(480.0, 360.0, None);
        assert_eq!(decided(5, &m), Ok("cm".into()));
        m.dimensions = vec![(150.0, 150.0), (480.0, 480.0), (96.5, 96.0)];
        let e = decide(&header(Some(5)), &m, &Settings::default());
        let f = e.refusal.unwrap();
        assert_eq!(f.code, input::UNITS_CONFLICT);
        for part in ["none of 3 dimensions agrees", "3 of 3 dimensions agree", "--units in"] {
            assert!(f.message.contains(part), "{part}: {}", f.message);
        }
        assert_eq!(decided(1, &m), Ok("in".into()));
    }

    #[test]
    fn settings_are_obeyed_even_when_odd() {
        let settings = Settings { units: Some(Unit::Metre), ..Settings::default() };
        let e = decide(&header(Some(1)), &box_of(480.0, 360.0, None), &settings);
        assert_eq!(e.decision.unwrap().name, "m");
        assert!(e.refusal.is_none());
    }

    #[test]
    fn a_unit_of_the_settings_that_makes_no_building_is_told() {
        let with = |unit: Unit, header_says: i64, m: &Measure| {
            let settings = Settings { units: Some(unit), ..Settings::default() };
            decide(&header(Some(header_says)), m, &settings).doubt
        };
        // A house of 9 by 6 m in millimetres, said to be in feet: 2.7 km.
        let house = box_of(9000.0, 6000.0, None);
        let doubt = with(Unit::Foot, 4, &house).unwrap();
        assert_eq!(doubt.code, input::UNITS_UNLIKELY);
        for part in ["units = \"ft\"", "2.7 km", "$INSUNITS = 4, mm", "read as millimetres"] {
            assert!(doubt.message.contains(part), "{part}: {}", doubt.message);
        }
        // Said to be in metres: 9 km, which no setting makes a house.
        let settings = Settings { units: Some(Unit::Metre), ..Settings::default() };
        let e = decide(&header(Some(4)), &house, &settings);
        let refusal = e.refusal.unwrap();
        assert!(e.decision.is_none() && e.doubt.is_none());
        assert_eq!((refusal.code, refusal.severity), (input::UNITS_UNLIKELY, Severity::Error));
        for part in ["units = \"m\", but", "larger than any building", "read as millimetres"] {
            assert!(refusal.message.contains(part), "{part}: {}", refusal.message);
        }
        // Said to be in inches: 229 m, and nothing bears it out.
        assert!(with(Unit::Inch, 4, &house).is_some());
        assert_eq!(with(Unit::Millimetre, 1, &house), None);
        assert_eq!(with(Unit::Inch, 4, &box_of(480.0, 360.0, Some(4.5))), None);
        assert_eq!(with(Unit::Inch, 4, &Measure::default()), None);
    }
}
