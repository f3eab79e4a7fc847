//! What is said about the unit of a drawing.
//!
//! Knows: how readings, conflicts and sizes are worded. Never touches: which unit is taken (`units`).

use crate::faces::FaceStatistics;
use crate::file::Header;
use crate::units::{
    DIMENSIONS_NEEDED, Measure, UnitReading, UnitsEvidence, insunits, is_no_building,
};
use diag::codes::input;
use diag::{Finding, Severity};
use geom::{Length, Unit};

pub(crate) fn header_words(header: &Header) -> String {
    let mut out = match header.insunits {
        None => "no $INSUNITS".to_owned(),
        Some(0) => "$INSUNITS = 0, unitless".to_owned(),
        Some(code) => match insunits(code) {
            Some((name, _)) => format!("$INSUNITS = {code}, {name}"),
            None => format!("$INSUNITS = {code}, which is no unit"),
        },
    };
    match header.measurement {
        Some(0) => out += "; $MEASUREMENT = 0 hints at inches or feet",
        Some(1) => out += "; $MEASUREMENT = 1 hints at metric units",
        _ => {}
    }
    if let Some(l @ (3 | 4)) = header.lunits {
        out += &format!("; $LUNITS = {l}, feet and inches, hints at inches");
    }
    out
}

pub(crate) fn units_missing(evidence: &UnitsEvidence, measure: &Measure) -> Finding {
    let mut message = format!("The drawing does not say its units ({}).", evidence.header);
    if measure.ends.is_empty() {
        message += " No wall linework was recognised that could be measured.";
    } else {
        message += " Its walls would be,";
        for r in &evidence.readings {
            message += &format!(
                " read as {}, {}{};",
                diag::words::unit(&r.unit),
                r.text,
                if r.plausible { " (plausible)" } else { "" }
            );
        }
        message.pop();
        message.push('.');
    }
    message += &format!(" {}", one_setting(evidence));
    Finding::new(input::UNITS_MISSING, message).about("units")
}

pub(crate) fn one_setting(evidence: &UnitsEvidence) -> String {
    let fits: Vec<&UnitReading> = evidence.readings.iter().filter(|r| r.plausible).collect();
    match fits.as_slice() {
        [one] => format!(
            "Only {} fit; if that is right, set units = \"{1}\" in the settings or pass --units {1}.",
            diag::words::unit(&one.unit),
            one.unit
        ),
        _ => "Set units = \"in\" (or ft, mm, cm, m) in the settings, or pass --units.".to_owned(),
    }
}

/// The other units that fit, as a sentence.
pub(crate) fn plausible_others(evidence: &UnitsEvidence, own: &UnitReading) -> Option<String> {
    let fits: Vec<String> = evidence
        .readings
        .iter()
        .filter(|r| r.plausible && r.unit != own.unit)
        .map(|r| format!("read as {}, {}", diag::words::unit(&r.unit), r.text))
        .collect();
    (!fits.is_empty()).then(|| format!("They could be, {}.", fits.join("; or ")))
}

pub(crate) fn units_conflict(evidence: &UnitsEvidence, own: &UnitReading) -> Finding {
    // A reading in which the lines pair up as faces is the likelier one.
    let best = evidence
        .readings
        .iter()
        .filter(|r| r.plausible && r.unit != own.unit)
        .min_by_key(|r| (std::cmp::Reverse(r.dimensions.0), r.thickness_in.is_empty()));
    let settle = match best {
        Some(best) => format!(
            "Set units = \"{0}\" in the settings or pass --units {0} if that is right; {1}.",
            best.unit,
            match Unit::ALL.iter().any(|u| u.name() == own.unit) {
                true => format!("units = \"{}\" keeps the header's", own.unit),
                false => format!(
                    "the header's {} cannot be set, only in, ft, mm, cm or m",
                    diag::words::unit(&own.unit)
                ),
            }
        ),
        None => "Set units in the settings, or pass --units, to say which it is.".to_owned(),
    };
    let others = plausible_others(evidence, own)
        .unwrap_or_else(|| "No common unit gives a building.".to_owned());
    Finding::new(
        input::UNITS_CONFLICT,
        format!(
            "The header says {}, but then the walls would be {}. {others} {settle}",
            evidence.header, own.text
        ),
    )
    .about("units")
}

pub(crate) fn units_unlikely(evidence: &UnitsEvidence, own: &UnitReading) -> Finding {
    let others = plausible_others(evidence, own)
        .unwrap_or_else(|| "No common unit gives a likely building.".to_owned());
    let (obeyed, size, severity) = match is_no_building(own) {
        true => ("", ", larger than any building", Severity::Error),
        false => (", which is obeyed", "", input::UNITS_UNLIKELY.info().severity),
    };
    Finding::new(
        input::UNITS_UNLIKELY,
        format!(
            "The settings say units = \"{}\"{obeyed}, but then the walls are {}{size}. The header says {}. {others}",
            own.unit, own.text, evidence.header
        ),
    )
    .about("units")
    .severity(severity)
}

pub(crate) fn describe(
    overall: (f64, f64),
    width: Option<f64>,
    faces: &FaceStatistics,
    inches: f64,
    opening: Option<f64>,
    dimensions: (usize, usize),
) -> String {
    let mut out = format!("{} by {} overall", size(overall.0), size(overall.1));
    if let Some(w) = width {
        out += &format!(", walls {} thick", size(w));
    }
    if faces.are_faces() {
        let gaps: Vec<String> = faces.gaps.iter().take(3).map(|g| size(g.0 * inches)).collect();
        out += &format!(", wall lines {} apart", gaps.join(", "));
    }
    if let Some(o) = opening {
        out += &format!(", doors and windows about {}", size(o));
    }
    match dimensions {
        (_, n) if n < DIMENSIONS_NEEDED => {}
        (0, n) => out += &format!(", none of {n} dimensions agrees"),
        (agree, n) => out += &format!(", {agree} of {n} dimensions agree"),
    }
    out
}

/// A size for people: feet and inches with metres or millimetres.
pub(crate) fn size(inches: f64) -> String {
    let metric = inches.abs() * 25.4;
    let metric = match metric {
        m if m >= 1e6 => format!("{:.1} km", m / 1e6),
        m if m >= 1000.0 => format!("{:.1} m", m / 1000.0),
        m if m >= 10.0 => format!("{m:.0} mm"),
        m => format!("{m:.2} mm"),
    };
    match Length::from_inches(inches) {
        Some(l) if (1.0 / 32.0..1e6).contains(&inches.abs()) => {
            format!("{} ({metric})", l.round_to(Length::SIXTEENTH).feet_inches())
        }
        _ => metric,
    }
}
