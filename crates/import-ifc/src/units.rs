//! Length and angle units: what the file says, what the settings say, and whether it can be true.

use crate::classes::Kind;
use crate::file::{File, Why};
use crate::step::Record;
use diag::codes::{ifc, input};
use diag::{Finding, Refusal, Severity};
use geom::Unit;
use settings::Settings;
use wall_model::UnitsDecision;

/// Longest chain of units defined by units.
const CHAIN: usize = 8;

/// Least and greatest believable median wall thickness, in inches: 40 and 600 mm.
const THICKNESS_IN: (f64, f64) = (40.0 / 25.4, 600.0 / 25.4);

/// Least and greatest believable extent of all walls together, in inches: 0.5 m and 5 km.
const EXTENT_IN: (f64, f64) = (500.0 / 25.4, 5_000_000.0 / 25.4);

/// The length unit in force.
#[derive(Clone, Debug, PartialEq)]
pub struct LengthUnit {
    /// `in`, `ft`, `mm`, `cm`, `m`, or the file's own word.
    pub name: String,
    /// Inches in one.
    pub inches: f64,
    /// Who says so.
    pub said_by: String,
    /// The settings said it: believed without a check.
    pub forced: bool,
}

impl LengthUnit {
    /// A unit to go on with where the file has none and nothing will be built on lengths.
    pub fn stand_in() -> LengthUnit {
        let inches = Unit::Millimetre.inches();
        LengthUnit { name: "mm".to_owned(), inches, said_by: "nothing".to_owned(), forced: true }
    }
    /// Whether metric lumber names are the likelier ones.
    pub fn is_metric(&self) -> bool {
        !matches!(self.name.as_str(), "in" | "ft")
            && !self.name.contains("foot")
            && !self.name.contains("inch")
    }
}

/// The length unit by settings, else by the file; a refusal when neither says.
pub fn length_unit(
    file: &File<'_>,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) -> Result<LengthUnit, Refusal> {
    let assignments = assignments(file, findings);
    let mut stated: Vec<Result<LengthUnit, Why>> = Vec::new();
    for a in &assignments {
        for id in a.references(0) {
            if let Some(unit) = file.find(id).filter(|u| u.param(1).name() == Some(b"LENGTHUNIT")) {
                stated.push(metres(file, &unit, 0).map(|(name, m)| named(&name, m)));
            }
        }
    }
    if let Some(unit) = settings.units {
        let file_says = match stated.first() {
            Some(Ok(u)) if u.inches != unit.inches() => format!(", against the file's {}", u.name),
            _ => String::new(),
        };
        return Ok(LengthUnit {
            name: unit.name().to_owned(),
            inches: unit.inches(),
            said_by: format!("the settings say units = \"{}\"{file_says}", unit.name()),
            forced: true,
        });
    }
    let refuse =
        |message: String| Err(Refusal::because(Finding::new(input::UNITS_MISSING, message)));
    let mut known = Vec::new();
    for unit in stated {
        match unit {
            Ok(u) => known.push(u),
            Err(why) => {
                return refuse(format!("The file's length unit cannot be made out: {why}."));
            }
        }
    }
    let Some(first) = known.first().cloned() else {
        return refuse("No unit assignment of the file names a length unit.".to_owned());
    };
    if let Some(other) = known.iter().find(|u| (u.inches / first.inches - 1.0).abs() > 1e-9) {
        return refuse(format!(
            "The file states two length units, {} and {}, for what is one model.",
            first.name, other.name
        ));
    }
    Ok(first)
}

/// Radians in the file's unit of plane angle; 1 where it does not say.
pub fn angle_unit(file: &File<'_>) -> f64 {
    for a in assignments(file, &mut Vec::new()) {
        for id in a.references(0) {
            if let Some(unit) =
                file.find(id).filter(|u| u.param(1).name() == Some(b"PLANEANGLEUNIT"))
                && let Ok((_, factor)) = metres(file, &unit, 0)
            {
                return factor;
            }
        }
    }
    1.0
}

/// The unit assignments of the projects; those of the file where no project names one.
fn assignments<'a>(file: &File<'a>, findings: &mut Vec<Finding>) -> Vec<Record<'a>> {
    let projects: Vec<Record<'a>> = file.all(Kind::Project).collect();
    if projects.len() > 1 {
        let names: Vec<String> = projects.iter().map(|p| file.name(p)).collect();
        findings.push(Finding::new(
            ifc::PROJECTS_SEVERAL,
            format!("{} projects in one file: {}.", projects.len(), names.join(", ")),
        ));
    }
    let of_projects = projects.iter().filter_map(|p| file.follow(p, 8).ok());
    let of_projects: Vec<Record<'a>> = of_projects.filter(|u| u.is("IFCUNITASSIGNMENT")).collect();
    if !of_projects.is_empty() {
        return of_projects;
    }
    let of_file: Vec<Record<'a>> = file.all(Kind::UnitAssignment).collect();
    if let Some(first) = of_file.first() {
        let message = format!(
            "No IfcProject names the units of the model; those of #{} were taken, which stand in the file.",
            first.id
        );
        findings.push(Finding::new(ifc::ENTITY_BROKEN, message));
    }
    of_file
}

/// A unit's own word and its size in the SI unit of its kind.
fn metres(file: &File<'_>, unit: &Record<'_>, depth: usize) -> Result<(String, f64), Why> {
    if depth > CHAIN {
        return Err(format!("unit #{} is defined by itself", unit.id));
    }
    if unit.is("IFCSIUNIT") {
        let [_, _, prefix, name] = unit.take();
        let factor = match prefix.name() {
            None => 1.0,
            Some(p) => prefix_factor(p).ok_or_else(|| {
                format!("unit #{} has the prefix {}", unit.id, String::from_utf8_lossy(p))
            })?,
        };
        let word = [prefix.name().unwrap_or_default(), name.name().unwrap_or_default()].concat();
        return Ok((String::from_utf8_lossy(&word).to_ascii_lowercase(), factor));
    }
    if unit.is("IFCCONVERSIONBASEDUNIT") || unit.is("IFCCONVERSIONBASEDUNITWITHOFFSET") {
        let word = unit.param(2).text().unwrap_or_default().trim().to_lowercase();
        let measure = file.follow(unit, 3)?;
        let value = measure.param(0).number().filter(|v| *v > 0.0);
        let value = value.ok_or_else(|| format!("unit \"{word}\" (#{}) has no factor", unit.id))?;
        let (_, base) = metres(file, &file.follow(&measure, 1)?, depth + 1)?;
        return Ok((word, value * base));
    }
    Err(format!("unit #{} is an {}", unit.id, unit.class_name()))
}

fn prefix_factor(prefix: &[u8]) -> Option<f64> {
    let power = match prefix {
        b"EXA" => 18,
        b"PETA" => 15,
        b"TERA" => 12,
        b"GIGA" => 9,
        b"MEGA" => 6,
        b"KILO" => 3,
        b"HECTO" => 2,
        b"DECA" => 1,
        b"DECI" => -1,
        b"CENTI" => -2,
        b"MILLI" => -3,
        b"MICRO" => -6,
        b"NANO" => -9,
        b"PICO" => -12,
        b"FEMTO" => -15,
        b"ATTO" => -18,
        _ => return None,
    };
    Some(10_f64.powi(power))
}

/// The unit under the name the program knows it by; sizes within 1e-9 of a known one are exactly it.
fn named(word: &str, metres: f64) -> LengthUnit {
    let inches = metres / 0.0254;
    let known = Unit::ALL.into_iter().find(|u| (u.inches() / inches - 1.0).abs() < 1e-9);
    let said_by = match known {
        Some(u) if u.name() == word => "the file's units".to_owned(),
        _ => format!("the file's units ({word} = {metres} m)"),
    };
    LengthUnit {
        name: known.map_or_else(|| word.to_owned(), |u| u.name().to_owned()),
        inches: known.map_or(inches, Unit::inches),
        said_by,
        forced: false,
    }
}

/// Settles the unit against what was read in it: wall thicknesses and the extent of all walls, in
/// inches by that unit. The error is a finding that shows the evidence. A unit from the settings is obeyed
/// all the same unless no building is so large; then the finding comes with the decision.
pub fn decide(
    unit: &LengthUnit,
    thicknesses_in: &[f64],
    extent_in: Option<f64>,
) -> Result<(UnitsDecision, Option<Finding>), Finding> {
    let mut sorted: Vec<f64> = thicknesses_in.iter().copied().filter(|t| t.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let median = sorted.get(sorted.len() / 2).copied();
    let mut evidence = Vec::new();
    if let Some(t) = median {
        evidence.push(format!("the median wall is {} thick", both(t)));
    }
    if let Some(e) = extent_in {
        evidence.push(format!("the walls reach over {}", both(e)));
    }
    let fits =
        |v: Option<f64>, (low, high): (f64, f64)| v.is_none_or(|v| (low..=high).contains(&v));
    let evidence = evidence.join(" and ");
    let likely = fits(median, THICKNESS_IN) && fits(extent_in, EXTENT_IN);
    let no_building = extent_in.is_some_and(|e| e > EXTENT_IN.1);
    let doubt = (!likely).then(|| {
        let others = Unit::ALL.into_iter().filter(|u| {
            let k = u.inches() / unit.inches;
            fits(median.map(|t| t * k), THICKNESS_IN) && fits(extent_in.map(|e| e * k), EXTENT_IN)
        });
        let others: Vec<&str> = others.map(Unit::name).collect();
        let fits = match others.as_slice() {
            [] => "no common unit would fit either".to_owned(),
            some => {
                let words: Vec<&str> = some.iter().map(|u| diag::words::unit(u)).collect();
                format!("it would fit in {}", words.join(" or "))
            }
        };
        let set = |u: &&str| format!("units = \"{u}\"");
        let settle = match others.as_slice() {
            _ if unit.forced && no_building => {
                "No building is so large: correct the unit in the settings, or take it out"
                    .to_owned()
            }
            _ if unit.forced => {
                "The settings are obeyed; take the unit out, or correct it, if it is a slip"
                    .to_owned()
            }
            [] if Unit::from_name(&unit.name).is_some() => {
                format!("To plan it so all the same, set {}", set(&unit.name.as_str()))
            }
            [] => "Export the model again in another unit".to_owned(),
            [one] => {
                format!("If that is right, set {} in the settings or pass --units {one}", set(one))
            }
            some => {
                let all: Vec<String> = some.iter().map(set).collect();
                format!("Set {}, whichever is right", all.join(" or "))
            }
        };
        let code = if unit.forced { input::UNITS_UNLIKELY } else { input::UNITS_CONFLICT };
        let severity = if no_building { Severity::Error } else { code.info().severity };
        let message = format!("By {}, {evidence}; {fits}. {settle}.", unit.said_by);
        Finding::new(code, message).about("units").severity(severity)
    });
    if let Some(conflict) = doubt.as_ref().filter(|_| !unit.forced || no_building) {
        return Err(conflict.clone());
    }
    let because = if evidence.is_empty() { String::new() } else { format!("; {evidence}") };
    let decision = UnitsDecision {
        name: unit.name.clone(),
        inches_per_unit: unit.inches,
        decided_by: format!("{}{because}", unit.said_by),
    };
    Ok((decision, doubt))
}

fn both(inches: f64) -> String {
    let mm = inches * 25.4;
    if inches < 36.0 {
        format!("{inches:.2} in ({mm:.0} mm)")
    } else {
        format!("{:.1} ft ({:.1} m)", inches / 12.0, mm / 1000.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(text: &str, settings: &Settings) -> Result<LengthUnit, Refusal> {
        let full = format!("DATA;{text}");
        length_unit(&File::open(full.as_bytes()), settings, &mut Vec::new())
    }
    const METRE: &str =
        "#1=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);#2=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);";

    #[test]
    fn si_and_conversion_chains() {
        let s = Settings::default();
        let u = unit(&format!("{METRE}#9=IFCUNITASSIGNMENT((#2));"), &s).unwrap();
        assert_eq!((u.name.as_str(), u.inches, u.is_metric()), ("mm", 1.0 / 25.4, true));
        // FACTS section 9: foot 304.8 mm, here by way of the inch.
        let t = format!(
            "{METRE}#3=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(25.4),#2);#4=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'INCH',#3);#5=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(12.),#4);#6=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'Foot',#5);#9=IFCUNITASSIGNMENT((#6));"
        );
        let u = unit(&t, &s).unwrap();
        assert_eq!((u.name.as_str(), u.inches, u.is_metric()), ("ft", 12.0, false));
    }

    #[test]
    fn survey_foot_keeps_its_size() {
        // FACTS section 9: 304.80060960122 mm.
        let t = format!(
            "{METRE}#3=IFCMEASUREWITHUNIT(IFCLENGTHMEASURE(304.80060960122),#2);#4=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'US survey foot',#3);#9=IFCUNITASSIGNMENT((#4));"
        );
        let u = unit(&t, &Settings::default()).unwrap();
        assert_eq!(u.name, "us survey foot");
        assert!((u.inches - 12.000024).abs() < 1e-9 && !u.is_metric());
    }

    #[test]
    fn the_projects_unit_counts_not_a_stray_one() {
        let t = format!(
            "{METRE}#8=IFCUNITASSIGNMENT((#1));#9=IFCUNITASSIGNMENT((#2));#10=IFCPROJECT('g',$,$,$,$,$,$,(),#9);"
        );
        assert_eq!(unit(&t, &Settings::default()).unwrap().name, "mm");
    }

    #[test]
    fn missing_odd_and_contradicting_units_are_refused() {
        for t in [
            String::new(),
            METRE.to_owned(),
            format!("{METRE}#9=IFCUNITASSIGNMENT((#1,#2));"),
            "#1=IFCCONTEXTDEPENDENTUNIT($,.LENGTHUNIT.,'CUBIT');#9=IFCUNITASSIGNMENT((#1));".to_owned(),
            "#3=IFCMEASUREWITHUNIT(IFCRATIOMEASURE(12.),#4);#4=IFCCONVERSIONBASEDUNIT($,.LENGTHUNIT.,'LOOP',#3);#9=IFCUNITASSIGNMENT((#4));".to_owned(),
        ] {
            let r = unit(&t, &Settings::default()).unwrap_err();
            assert_eq!(r.findings[0].code, input::UNITS_MISSING, "{t}");
            let forced = Settings { units: Some(Unit::Foot), ..Settings::default() };
            assert_eq!(unit(&t, &forced).unwrap().inches, 12.0);
        }
    }

    #[test]
    fn plausibility() {
        let mm = named("millimetre", 0.001);
        assert_eq!(decide(&mm, &[4.5, 4.5, 6.5], Some(500.0)).unwrap().1, None);
        // Inches written as millimetres: a 4.5 in wall comes out 4.5 mm thick.
        let f = decide(&mm, &[4.5 / 25.4], Some(480.0 / 25.4)).unwrap_err();
        assert_eq!(f.code, input::UNITS_CONFLICT);
        assert!(f.message.contains("would fit in inches or centimetres"), "{}", f.message);
        assert!(f.message.contains("Set units = \"in\" or units = \"cm\""), "{}", f.message);
        // Obeyed, and told.
        let forced = LengthUnit { forced: true, ..mm };
        let (units, doubt) = decide(&forced, &[4.5 / 25.4], None).unwrap();
        let doubt = doubt.unwrap();
        assert_eq!((units.name.as_str(), doubt.code), ("mm", input::UNITS_UNLIKELY));
        assert!(doubt.message.contains("0.18 in (4 mm) thick"), "{}", doubt.message);
        assert_eq!(decide(&forced, &[4.5], None).unwrap().1, None);
        // Not where no building is so large: 9 km.
        let f = decide(&forced, &[4.5], Some(9000.0 / 0.0254)).unwrap_err();
        assert_eq!((f.code, f.severity), (input::UNITS_UNLIKELY, Severity::Error));
        assert!(f.message.contains("No building is so large"), "{}", f.message);
        // Millimetres written as metres: one setting settles it.
        let f = decide(&named("metre", 1.0), &[139_700.0 / 25.4], Some(354_500.0)).unwrap_err();
        assert!(
            f.message.ends_with("set units = \"mm\" in the settings or pass --units mm."),
            "{}",
            f.message
        );
    }

    #[test]
    fn degrees() {
        let t = b"DATA;#1=IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.);#2=IFCMEASUREWITHUNIT(IFCPLANEANGLEMEASURE(0.0174532925),#1);#3=IFCCONVERSIONBASEDUNIT($,.PLANEANGLEUNIT.,'DEGREE',#2);#4=IFCUNITASSIGNMENT((#3));";
        assert!((angle_unit(&File::open(t)) - 1_f64.to_radians()).abs() < 1e-9);
        assert_eq!(angle_unit(&File::open(b"")), 1.0);
    }
}
