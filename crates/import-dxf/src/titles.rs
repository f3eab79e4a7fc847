//! Titles of drawings: floor plan, elevation, section, and which storey.
//!
//! Knows: the words that titles are made of, in the main languages. Never touches: where texts stand,
//! linework. Words: plain dictionary words (common practice, no source).

use crate::layers::words_of;

/// What a drawing on a sheet shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DrawingKind {
    /// A floor plan, by its title or for want of another.
    FloorPlan,
    /// A plan of something else: roof, site, foundation, ceiling, framing, services.
    OtherPlan,
    /// An elevation.
    Elevation,
    /// A section.
    Section,
    /// A detail, schedule, legend or diagram.
    Detail,
    /// Linework that nothing is known of.
    Unknown,
}

impl DrawingKind {
    /// The words for people.
    pub const fn name(self) -> &'static str {
        match self {
            DrawingKind::FloorPlan => "floor plan",
            DrawingKind::OtherPlan => "plan of something else",
            DrawingKind::Elevation => "elevation",
            DrawingKind::Section => "section",
            DrawingKind::Detail => "detail",
            DrawingKind::Unknown => "unknown",
        }
    }
}

/// A title that was understood.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Title {
    /// As written, in one line.
    pub text: String,
    /// What of.
    pub kind: DrawingKind,
    /// Order of the storey: basement -1, ground 0, first above it 1.
    pub storey: Option<i32>,
    /// A number beside the word for plan and nothing else, `PLAN 2`: of a storey, or of a house in a row of models.
    pub number: Option<i32>,
    /// It says that it is another way to build, or the same turned over: option, alternate, reversed.
    pub variant: bool,
}

/// Longer texts are notes.
const MOST_WORDS: usize = 8;
const MOST_CHARS: usize = 60;

const PLAN: &[&str] = &[
    "PLAN",
    "PLANS",
    "FLOORPLAN",
    "FLOORPLANS",
    "LAYOUT",
    "PLANTA",
    "PLANTAS",
    "GRUNDRISS",
    "GRUNDRISSE",
    "PIANTA",
    "PIANTE",
    "PLATTEGROND",
    "PLATTEGRONDEN",
    "RZUT",
    "PŮDORYS",
    "PUDORYS",
    "PLANRITNING",
    "POHJA",
    "POHJAPIIRROS",
    "ALAPRAJZ",
    "TLOCRT",
    "OSNOVA",
    "PLANTEGNING",
    "ΚΑΤΟΨΗ",
    "ПЛАН",
];
const FLOOR: &[&str] = &[
    "FLOOR",
    "LEVEL",
    "STOREY",
    "STORY",
    "ETAGE",
    "ÉTAGE",
    "ÉTAGES",
    "ETAGES",
    "CHAUSSEE",
    "CHAUSSÉE",
    "RDC",
    "NIVEAU",
    "TERREO",
    "TÉRREO",
    "PAVIMENTO",
    "BEGANE",
    "GROND",
    "GESCHOSS",
    "OBERGESCHOSS",
    "UNTERGESCHOSS",
    "OG",
    "UG",
    "PISO",
    "PIANO",
    "VERDIEPING",
    "PIĘTRO",
    "PIĘTRA",
    "KERROS",
    "ETASJE",
    "ЭТАЖ",
    "ЭТАЖА",
    "ПОВЕРХ",
    "ПОВЕРХУ",
];
/// Endings of written-out ordinals, between the number and the floor: `1-го этажа`.
const ENDINGS: &[&str] = &["ГО", "Й", "ЫЙ", "ОЙ", "ИЙ"];
const ELEVATION: &[&str] = &[
    "ELEVATION",
    "ELEVATIONS",
    "ALZADO",
    "ALZADOS",
    "FACHADA",
    "FACHADAS",
    "ANSICHT",
    "ANSICHTEN",
    "FACADE",
    "FAÇADE",
    "FACADES",
    "FAÇADES",
    "ELEVATIE",
    "GEVEL",
    "GEVELS",
    "PROSPETTO",
    "PROSPETTI",
    "ELEWACJA",
    "POHLED",
    "FASAD",
    "FASADE",
    "JULKISIVU",
    "HOMLOKZAT",
    "ALÇADO",
    "ALÇADOS",
    "ФАСАД",
];
const SECTION: &[&str] = &[
    "SECTION",
    "SECTIONS",
    "SECCION",
    "SECCIÓN",
    "CORTE",
    "CORTES",
    "SCHNITT",
    "SCHNITTE",
    "COUPE",
    "COUPES",
    "SEZIONE",
    "SEZIONI",
    "DOORSNEDE",
    "PRZEKRÓJ",
    "ŘEZ",
    "SEKTION",
    "SNITT",
    "LEIKKAUS",
    "METSZET",
    "РАЗРЕЗ",
];
const DETAIL: &[&str] = &[
    "DETAIL",
    "DETAILS",
    "DETALLE",
    "DETALLES",
    "DETTAGLIO",
    "SCHEDULE",
    "SCHEDULES",
    "LEGEND",
    "LEGENDE",
    "LEYENDA",
    "DIAGRAM",
    "ISOMETRIC",
    "PERSPECTIVE",
    "AXONOMETRIC",
    "KEYPLAN",
];
/// Beside a word for plan: a plan of something else.
const OTHER_PLAN: &[&str] = &[
    "ROOF",
    "SITE",
    "PLOT",
    "LANDSCAPE",
    "FOUNDATION",
    "FOOTING",
    "FRAMING",
    "CEILING",
    "RCP",
    "REFLECTED",
    "ELECTRICAL",
    "ELECTRIC",
    "LIGHTING",
    "POWER",
    "PLUMBING",
    "MECHANICAL",
    "HVAC",
    "DRAINAGE",
    "KEY",
    "LOCATION",
    "VICINITY",
    "DEMOLITION",
    "DEMO",
    "EXISTING",
    "FURNITURE",
    "FINISH",
    "JOIST",
    "RAFTER",
    "TRUSS",
    "CUBIERTA",
    "CUBIERTAS",
    "TECHOS",
    "DACHAUFSICHT",
    "LAGEPLAN",
    "TOITURE",
    "MASSE",
    "SITUATION",
    "COPERTURA",
    "DAK",
    "COBERTURA",
    "EMPLAZAMIENTO",
    "SITUACION",
    "EGRESS",
];
/// Words that make a text a note about drawings, not the title of one.
const NOTE: &[&str] = &[
    "SEE", "REFER", "REF", "PER", "NOTE", "NOTES", "SHALL", "TYP", "TYPICAL", "ALL", "FOR",
    "SHEET", "ON", "AS", "VER", "SIEHE", "VOIR", "DE", "FINISHED",
];
/// Storeys whose order is told by the number beside them: `2. OG`, `ETAGE 2`, `2. UG`.
const NUMBERED_DOWN: &[&str] = &["UG", "UNTERGESCHOSS", "KELLERGESCHOSS"];
/// Titles by themselves, short as they are.
const ALONE: &[&str] = &["RDC", "TERREO", "TÉRREO"];
/// The same plan in another way.
const VARIANT: &[&str] = &[
    "OPTION",
    "OPTIONS",
    "OPTIONAL",
    "OPT",
    "ALTERNATE",
    "ALTERNATIVE",
    "ALT",
    "REVERSED",
    "REVERSE",
    "MIRRORED",
    "MIRROR",
    "VARIANT",
    "VARIANTE",
    "OPTIE",
    "OPCION",
    "OPCIÓN",
    "OPÇÃO",
    "OPZIONE",
];
/// Words in scripts without spaces.
const PLAN_UNSPACED: &[&str] = &["平面图", "平面図", "평면도"];
const OTHER_UNSPACED: &[(&str, DrawingKind)] = &[
    ("立面", DrawingKind::Elevation),
    ("剖面", DrawingKind::Section),
    ("断面", DrawingKind::Section),
    ("屋顶", DrawingKind::OtherPlan),
    ("屋面", DrawingKind::OtherPlan),
    ("基础", DrawingKind::OtherPlan),
    ("天花", DrawingKind::OtherPlan),
    ("总平面", DrawingKind::OtherPlan),
];
/// Of several storeys, one that the title does not place stands above those that are placed, but below an attic.
pub(crate) const UNPLACED: i32 = 50;
/// Words for a storey with its order.
const STOREYS: &[(&str, i32)] = &[
    ("FOUNDATION", -2),
    ("CRAWL", -3),
    ("CRAWLSPACE", -3),
    ("BASEMENT", -1),
    ("UNTERGESCHOSS", -1),
    ("CELLAR", -1),
    ("LOWER", -1),
    ("SOTANO", -1),
    ("SÓTANO", -1),
    ("KELLER", -1),
    ("KELLERGESCHOSS", -1),
    ("UG", -1),
    ("SOUSSOL", -1),
    ("SUBSOL", -1),
    ("INTERRATO", -1),
    ("KELDER", -1),
    ("CAVE", -1),
    ("GROUND", 0),
    ("MAIN", 0),
    ("BAJA", 0),
    ("ERDGESCHOSS", 0),
    ("EG", 0),
    ("RDC", 0),
    ("CHAUSSEE", 0),
    ("CHAUSSÉE", 0),
    ("TERRA", 0),
    ("TERRENO", 0),
    ("TÉRREO", 0),
    ("TERREO", 0),
    ("TERREA", 0),
    ("RC", 0),
    ("PARTER", 0),
    ("PŘÍZEMÍ", 0),
    ("BEGANE", 0),
    ("STUEN", 0),
    ("FIRST", 1),
    ("1ST", 1),
    ("PRIMERA", 1),
    ("PRIMER", 1),
    ("PREMIER", 1),
    ("1ER", 1),
    ("PRIMO", 1),
    ("OBERGESCHOSS", 1),
    ("OG", 1),
    ("ALTA", 1),
    ("EERSTE", 1),
    ("PRIMEIRO", 1),
    ("1ÈRE", 1),
    ("1ERE", 1),
    ("1E", 1),
    ("2EME", 2),
    ("2ÈME", 2),
    ("2E", 2),
    ("3EME", 3),
    ("3ÈME", 3),
    ("3E", 3),
    ("VERDIEPING", 1),
    ("SUPERIOR", 1),
    ("UPPER", 2),
    ("SECOND", 2),
    ("2ND", 2),
    ("SEGUNDA", 2),
    ("SEGUNDO", 2),
    ("DEUXIEME", 2),
    ("DEUXIÈME", 2),
    ("SECONDO", 2),
    ("TWEEDE", 2),
    ("THIRD", 3),
    ("3RD", 3),
    ("TERCERA", 3),
    ("TROISIEME", 3),
    ("TROISIÈME", 3),
    ("TERZO", 3),
    ("FOURTH", 4),
    ("4TH", 4),
    ("FIFTH", 5),
    ("5TH", 5),
    ("SIXTH", 6),
    ("6TH", 6),
    ("ПОДВАЛ", -1),
    ("ПОДВАЛА", -1),
    ("ЦОКОЛЬНОГО", -1),
    ("ПЕРВОГО", 1),
    ("ВТОРОГО", 2),
    ("ТРЕТЬЕГО", 3),
    ("ATTIC", 90),
    ("МАНСАРДЫ", 90),
    ("МАНСАРДНОГО", 90),
    ("LOFT", 90),
    ("DACHGESCHOSS", 90),
    ("DG", 90),
    ("COMBLES", 90),
    ("ATICO", 90),
    ("ÁTICO", 90),
    ("ZOLDER", 90),
    ("SOTTOTETTO", 90),
];

/// Understands a text as a title, if it is one.
pub(crate) fn title(text: &str) -> Option<Title> {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() > MOST_CHARS {
        return None;
    }
    let words = words_of(&line);
    // What follows the scale is no part of the title.
    let end = words
        .iter()
        .position(|w| matches!(w.as_str(), "SCALE" | "ESC" | "ESCALA" | "ECH" | "MASSSTAB"));
    let words = words.get(..end.unwrap_or(words.len())).unwrap_or_default();
    if words.is_empty() || words.len() > MOST_WORDS {
        return None;
    }
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    if has(NOTE) && !has(&["DE"]) {
        return None;
    }
    let storey = words.iter().find_map(|w| STOREYS.iter().find(|(s, _)| s == w)).map(|s| s.1);
    let numbered = || {
        let at = words.iter().position(|w| FLOOR.contains(&w.as_str()))?;
        let ending = |w: &&String| ENDINGS.contains(&w.as_str());
        let before = at.checked_sub(1).and_then(|i| words.get(i));
        let past_ending = before.filter(ending).and(at.checked_sub(2)).and_then(|i| words.get(i));
        let around = [words.get(at + 1), before, past_ending];
        around
            .into_iter()
            .flatten()
            .find_map(|w| w.parse::<i32>().ok())
            .filter(|n| (-9..=99).contains(n))
    };
    let down = has(NUMBERED_DOWN);
    let storey = match numbered() {
        // `2. OG`: the number says which.
        Some(n) if n > 0 && has(&["OG", "OBERGESCHOSS"]) => Some(n),
        Some(n) if n > 0 && down => Some(-n),
        _ => storey
            .or_else(numbered)
            .or_else(|| words.iter().find_map(|w| numbered_floor(w)))
            .or_else(|| unspaced_storey(&line)),
    };
    let unspaced = |list: &[&str]| list.iter().any(|w| line.contains(w));
    let other = OTHER_UNSPACED.iter().find(|(w, _)| line.contains(w)).map(|o| o.1);
    let plan = has(PLAN) || unspaced(PLAN_UNSPACED);
    let kind = match () {
        _ if has(ELEVATION) => DrawingKind::Elevation,
        _ if has(SECTION) => DrawingKind::Section,
        _ if has(DETAIL) => DrawingKind::Detail,
        _ if other.is_some() => other.unwrap_or(DrawingKind::OtherPlan),
        _ if plan && has(OTHER_PLAN) => DrawingKind::OtherPlan,
        _ if words.iter().any(|w| matches!(w.as_str(), "LAGEPLAN" | "DACHAUFSICHT" | "RCP")) => {
            DrawingKind::OtherPlan
        }
        _ if plan => DrawingKind::FloorPlan,
        // `GROUND FLOOR`, `LEVEL 2`, `ERDGESCHOSS` by themselves.
        _ if storey.is_some() && (has(FLOOR) || words.len() == 1) && words.len() <= 4 => {
            DrawingKind::FloorPlan
        }
        _ => return None,
    };
    // One word in running text is a room or a mark: GROUND, SECOND.
    let short = words.len() == 1 && words[0].chars().count() < 8 && !has(ALONE);
    if kind == DrawingKind::FloorPlan && !plan && short {
        return None;
    }
    let variant = has(VARIANT);
    let number = match words {
        [a, b] if plan && storey.is_none() => a.parse().or_else(|_| b.parse()).ok(),
        _ => None,
    };
    Some(Title { text: line, kind, storey, number, variant })
}

/// The floor that one word names by its number, the first being that above the ground: `1F`, `2FL`, `3FLR`, `FLR2`,
/// below the ground `B1F`.
pub(crate) fn numbered_floor(word: &str) -> Option<i32> {
    let (sign, rest) = match word.strip_prefix('B').filter(|w| w.ends_with('F')) {
        Some(rest) => (-1, rest),
        None => (1, word),
    };
    let behind = ["FLR", "FL", "F"].iter().find_map(|f| rest.strip_suffix(f));
    let before = || ["FLR", "FL", "LVL", "LEVEL"].iter().find_map(|f| rest.strip_prefix(f));
    let digits = behind.or_else(before)?;
    let few = (1..=2).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    digits.parse::<i32>().ok().filter(|n| few && *n > 0).map(|n| sign * n)
}

/// The floor that a layer is of by its name: `A-WALL-FLR1`, `2F-WALL`, `LEVEL 2 WALLS`, `WALLS_2ND`.
pub(crate) fn floor_of_layer(name: &str) -> Option<i32> {
    /// Words that say nothing else on a layer of walls: LOWER and UPPER may be heights.
    const PLAIN: &[&str] = &[
        "BASEMENT",
        "GROUND",
        "FIRST",
        "1ST",
        "SECOND",
        "2ND",
        "THIRD",
        "3RD",
        "EG",
        "OG",
        "UG",
        "ERDGESCHOSS",
        "OBERGESCHOSS",
        "KELLERGESCHOSS",
        "RDC",
    ];
    let words = words_of(name);
    let pair = words.windows(2).find_map(|w| {
        let floor =
            ["FLOOR", "LEVEL", "FLR", "LVL", "STOREY", "STORY", "ETAGE"].contains(&w[0].as_str());
        let few = w[1].len() <= 2;
        w[1].parse::<i32>().ok().filter(|_| floor && few)
    });
    let plain = || {
        let word = words.iter().find(|w| PLAIN.contains(&w.as_str()))?;
        STOREYS.iter().find(|(s, _)| s == word).map(|s| s.1)
    };
    pair.or_else(|| words.iter().find_map(|w| numbered_floor(w))).or_else(plain)
}

/// The storey of a title in Chinese or Japanese: `一层`, `2层`, `地下`. The first is the one on the ground.
fn unspaced_storey(line: &str) -> Option<i32> {
    if line.contains("地下") {
        return Some(-1);
    }
    if line.contains("首层") || line.contains("底层") {
        return Some(0);
    }
    let at = line.find(['层', '層', '階'])?;
    let before = line.get(..at)?.chars().next_back()?;
    let digit = "一二三四五六七八九".chars().position(|c| c == before).map(|n| n as i32 + 1);
    digit.or_else(|| before.to_digit(10).map(|n| n as i32)).map(|n| n - 1)
}

/// Whether a text may be a title in words that are not known: short, and neither a number nor a size.
pub(crate) fn may_be_title(text: &str) -> bool {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let letters = line.chars().filter(|c| c.is_alphabetic()).count();
    letters >= 2
        && letters * 2 >= line.chars().count()
        && line.chars().count() <= MOST_CHARS
        && words_of(&line).len() <= MOST_WORDS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_in_the_main_languages() {
        for (text, kind, storey) in [
            ("FLOOR PLAN", DrawingKind::FloorPlan, None),
            ("First Floor Plan  Scale 1/4\" = 1'-0\"", DrawingKind::FloorPlan, Some(1)),
            ("GROUND FLOOR", DrawingKind::FloorPlan, Some(0)),
            ("PROPOSED BASEMENT PLAN", DrawingKind::FloorPlan, Some(-1)),
            ("LEVEL 3", DrawingKind::FloorPlan, Some(3)),
            ("PLANTA BAJA", DrawingKind::FloorPlan, Some(0)),
            ("GRUNDRISS OBERGESCHOSS", DrawingKind::FloorPlan, Some(1)),
            ("Plan du rez-de-chaussée", DrawingKind::FloorPlan, Some(0)),
            ("Pianta piano terra", DrawingKind::FloorPlan, Some(0)),
            ("ERDGESCHOSS", DrawingKind::FloorPlan, Some(0)),
            ("ROOF PLAN", DrawingKind::OtherPlan, None),
            ("FIRST FLOOR ELECTRICAL PLAN", DrawingKind::OtherPlan, Some(1)),
            ("FRONT ELEVATION", DrawingKind::Elevation, None),
            ("ALZADO PRINCIPAL", DrawingKind::Elevation, None),
            ("Ansicht Nord", DrawingKind::Elevation, None),
            ("SECTION A-A", DrawingKind::Section, None),
            ("Schnitt A-A", DrawingKind::Section, None),
            ("COUPE A-A", DrawingKind::Section, None),
            ("FAÇADE SUD", DrawingKind::Elevation, None),
            ("DOOR SCHEDULE", DrawingKind::Detail, None),
            ("REZ-DE-CHAUSSEE", DrawingKind::FloorPlan, Some(0)),
            ("RDC", DrawingKind::FloorPlan, Some(0)),
            ("1ER ETAGE", DrawingKind::FloorPlan, Some(1)),
            ("ETAGE 1", DrawingKind::FloorPlan, Some(1)),
            ("TERREO", DrawingKind::FloorPlan, Some(0)),
            ("BEGANE GROND", DrawingKind::FloorPlan, Some(0)),
            ("1. OG", DrawingKind::FloorPlan, Some(1)),
            ("2. Obergeschoss", DrawingKind::FloorPlan, Some(2)),
            ("2. UG", DrawingKind::FloorPlan, Some(-2)),
            ("一层平面图", DrawingKind::FloorPlan, Some(0)),
            ("二层平面图", DrawingKind::FloorPlan, Some(1)),
            ("屋顶平面图", DrawingKind::OtherPlan, None),
            ("南立面图", DrawingKind::Elevation, None),
            ("ATTIC FLOOR PLAN", DrawingKind::FloorPlan, Some(90)),
            ("CRAWL SPACE PLAN", DrawingKind::FloorPlan, Some(-3)),
            ("1F PLAN", DrawingKind::FloorPlan, Some(1)),
            ("PLAN 2FL", DrawingKind::FloorPlan, Some(2)),
            ("B1F PLAN", DrawingKind::FloorPlan, Some(-1)),
            ("план 1 этажа", DrawingKind::FloorPlan, Some(1)),
            ("План 2-го этажа", DrawingKind::FloorPlan, Some(2)),
            ("План первого этажа", DrawingKind::FloorPlan, Some(1)),
            ("Rzut 1 piętra", DrawingKind::FloorPlan, Some(1)),
        ] {
            let t = title(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((t.kind, t.storey), (kind, storey), "{text}");
        }
    }

    /// `PLAN 2` may be of a storey or of a model house: a number to go by, no storey.
    #[test]
    fn a_plan_with_a_bare_number() {
        let read = |text| title(text).map(|t| (t.storey, t.number));
        assert_eq!(read("PLAN 2"), Some((None, Some(2))));
        assert_eq!(read("PLAN"), Some((None, None)));
        assert_eq!(read("FLOOR PLAN 2"), Some((None, None)));
        assert_eq!(read("LEVEL 2"), Some((Some(2), None)));
    }

    #[test]
    fn floors_of_layers() {
        for (name, floor) in [
            ("A-WALL-FLR1", Some(1)),
            ("2F-WALL", Some(2)),
            ("LEVEL 2 WALLS", Some(2)),
            ("WALLS_2ND", Some(2)),
            ("GROUND-WALL", Some(0)),
            ("A-WALL", None),
            ("A-WALL-FULL", None),
            ("A-WALL-EXTR-2X6", None),
            ("WALL-F", None),
            ("A-WALL-LOWER", None),
        ] {
            assert_eq!(floor_of_layer(name), floor, "{name}");
        }
    }

    #[test]
    fn notes_and_rooms_are_no_titles() {
        for text in [
            "SEE FLOOR PLAN",
            "ALL WALLS PER PLAN",
            "KITCHEN",
            "2'-6\"",
            "LIVING ROOM",
            "",
            "SECOND",
            "FINISHED FLOOR",
            "THIS PLAN IS THE PROPERTY OF ITS AUTHOR AND MUST NOT BE COPIED WITHOUT LEAVE",
        ] {
            assert_eq!(title(text), None, "{text}");
        }
    }
}
