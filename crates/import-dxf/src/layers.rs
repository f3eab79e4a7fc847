//! What each layer is used for, and what its name says about its walls.
//!
//! Knows: settings rules, US National CAD Standard names, wall words of other languages, the tokens
//! for side and section. Never touches: entities, geometry.
//!
//! Order: the first settings rule that matches; then a National CAD Standard name; then an ISO 13567
//! name; then a whole word.
//! A bound external reference's prefix (`house$0$A-WALL`) is taken off first; settings rules are tried
//! on the whole name and on the rest.

use crate::iso13567;
use crate::otherwords;
use crate::words;
use geom::Length;
use lumber::Section;
use settings::{LayerUse, Settings};
use wall_model::UnderRoof;

/// What a layer is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Usage {
    /// Walls.
    Wall,
    /// Doors.
    Door,
    /// Windows.
    Window,
    /// Openings of either kind.
    Opening,
    /// Known not to be used, by a rule or by its name.
    Ignored,
    /// Not recognised.
    Unknown,
}

impl Usage {
    /// The word in settings and messages.
    pub const fn name(self) -> &'static str {
        match self {
            Usage::Wall => "wall",
            Usage::Door => "door",
            Usage::Window => "window",
            Usage::Opening => "opening",
            Usage::Ignored | Usage::Unknown => "ignored",
        }
    }
    /// Doors, windows and openings.
    pub const fn is_opening(self) -> bool {
        matches!(self, Usage::Door | Usage::Window | Usage::Opening)
    }
}

/// What is known of a layer's walls, doors or windows from its name and the settings.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LayerRole {
    /// What for.
    pub usage: Usage,
    /// By which rule, for people.
    pub rule: String,
    /// Exterior walls?
    pub exterior: Option<bool>,
    /// Bearing walls?
    pub bearing: Option<bool>,
    /// Section of the plates.
    pub section: Option<Section>,
    /// Top of the upper plate above the storey.
    pub top: Option<Length>,
    /// The roof its walls run up to.
    pub roof: Option<UnderRoof>,
    /// The name says partial height, and no rule gives a top.
    pub partial_height: bool,
    /// Recognised by a word, not by the standard or the settings.
    pub by_word: bool,
    /// Holds openings by a word, and the name has one for walls as well.
    pub has_wall_word: bool,
    /// A wall layer for what is drawn on it; its name has a word for openings as well.
    pub by_drawn: bool,
    /// Left out because the name says so, though it has a wall word.
    pub excluded_wall: bool,
}

impl LayerRole {
    pub(crate) fn new(usage: Usage, rule: impl Into<String>) -> LayerRole {
        LayerRole {
            usage,
            rule: rule.into(),
            exterior: None,
            bearing: None,
            section: None,
            top: None,
            roof: None,
            partial_height: false,
            by_word: false,
            has_wall_word: false,
            by_drawn: false,
            excluded_wall: false,
        }
    }
}

/// The role of a layer of this name.
pub(crate) fn role_of(name: &str, settings: &Settings) -> LayerRole {
    let own = own_name(name);
    let words = words_of(own);
    let by_rule =
        settings.layers.iter().enumerate().find(|(_, r)| r.matches(name) || r.matches(own));
    let mut role = match by_rule {
        Some((i, rule)) => {
            let usage = match rule.usage {
                LayerUse::Wall => Usage::Wall,
                LayerUse::Door => Usage::Door,
                LayerUse::Window => Usage::Window,
                LayerUse::Opening => Usage::Opening,
                LayerUse::Ignore => Usage::Ignored,
            };
            let why = format!("[[layers]] entry {}, match = \"{}\"", i + 1, rule.pattern);
            LayerRole {
                exterior: rule.exterior,
                bearing: rule.bearing,
                section: rule.section,
                top: rule.top,
                roof: rule.roof.map(|roof| UnderRoof { entry: i, roof }),
                ..LayerRole::new(usage, why)
            }
        }
        None => by_standard(&words)
            .or_else(|| iso13567::role(own))
            .unwrap_or_else(|| by_word(own, &words)),
    };
    if role.usage == Usage::Wall {
        read_tokens(&words, &mut role);
    }
    role
}

/// The role of a wall layer that has words for openings in its name as well, but walls are drawn on it.
pub(crate) fn as_wall(name: &str, rule: String) -> LayerRole {
    let mut role = LayerRole { by_drawn: true, ..LayerRole::new(Usage::Wall, rule) };
    read_tokens(&words_of(own_name(name)), &mut role);
    role
}

/// The name without the prefix of a bound (`file$0$LAYER`) or live (`file|LAYER`) external
/// reference.
pub(crate) fn own_name(name: &str) -> &str {
    let name = name.rsplit('|').next().unwrap_or(name);
    let mut rest = name;
    let mut parts = name.match_indices('$').map(|(i, _)| i).peekable();
    while let Some(i) = parts.next() {
        if let Some(j) = parts.peek() {
            let number = &name[i + 1..*j];
            if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) {
                rest = &name[j + 1..];
            }
        }
    }
    if rest.is_empty() { name } else { rest }
}

/// Upper-case words: runs of letters and digits.
pub(crate) fn words_of(name: &str) -> Vec<String> {
    name.to_uppercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Whether a name says that the layer is about something else than walls.
pub(crate) fn is_of_other_things(name: &str) -> bool {
    words_of(own_name(name)).iter().any(|w| {
        otherwords::OTHER_THINGS.contains(&w.as_str())
            || otherwords::NOT_FRAMING.iter().any(|(other, _)| other == w)
    })
}

/// By the US National CAD Standard: discipline, major group, minor groups, status. Any separator is
/// taken, since offices write dots and underscores too.
fn by_standard(words: &[String]) -> Option<LayerRole> {
    let [discipline, major, minor @ ..] = words else { return None };
    let letters = discipline.as_bytes();
    if letters.is_empty()
        || letters.len() > 2
        || !discipline.bytes().all(|b| b.is_ascii_uppercase())
    {
        return None;
    }
    let usage = match major.as_str() {
        "WALL" => Usage::Wall,
        "DOOR" => Usage::Door,
        "GLAZ" | "WIND" | "WNDW" => Usage::Window,
        "OPNG" | "OPEN" => Usage::Opening,
        _ => return None,
    };
    let shown = format!("{discipline}-{major}");
    if let Some(role) = excluded(minor, usage, true, &format!("US NCS name {shown}")) {
        return Some(role);
    }
    let fits = matches!(letters.first(), Some(b'A' | b'S' | b'I')) && discipline != "AD";
    // Two letters that do not begin with a discipline of building walls are an office's own word.
    if !fits && letters.len() == 2 && discipline != "AD" {
        return None;
    }
    if !fits {
        let why = match discipline.as_str() {
            "AD" => "architectural demolition",
            _ => "not an architectural, structural or interior layer",
        };
        return Some(LayerRole {
            excluded_wall: usage == Usage::Wall,
            ..LayerRole::new(Usage::Ignored, format!("US NCS name {shown}: {why}"))
        });
    }
    Some(LayerRole::new(usage, format!("US NCS name {shown}")))
}

/// The role of a layer whose further words say that nothing is framed from it.
fn excluded(words: &[String], usage: Usage, status: bool, shown: &str) -> Option<LayerRole> {
    let find = |list: &[(&'static str, &'static str)], w: &str| {
        list.iter().find(|(word, _)| *word == w).map(|(_, why)| *why)
    };
    let last = words.last().map(String::as_str).unwrap_or_default();
    let by_status = status.then(|| find(otherwords::STATUS_LETTER, last)).flatten();
    let (word, why) = match by_status {
        Some(why) => (last, why),
        None => words.iter().find_map(|w| {
            let why = find(otherwords::NOT_FRAMING, w).or_else(|| find(otherwords::NOT_NEW, w))?;
            Some((w.as_str(), why))
        })?,
    };
    Some(LayerRole {
        excluded_wall: usage == Usage::Wall,
        ..LayerRole::new(Usage::Ignored, format!("{shown}, {word}: {why}"))
    })
}

fn by_word(name: &str, words: &[String]) -> LayerRole {
    let families: [(Usage, &[&str], &'static [&'static str]); 4] = [
        (Usage::Door, words::DOOR, words::DOOR_UNSPACED),
        (Usage::Window, words::WINDOW, words::WINDOW_UNSPACED),
        (Usage::Wall, words::WALL, words::WALL_UNSPACED),
        (Usage::Opening, words::OPENING, &[]),
    ];
    let found = |(usage, spaced, unspaced): &(Usage, &[&str], &'static [&'static str])| {
        let word = words.iter().find(|w| {
            spaced.contains(&w.as_str())
                || spaced.contains(&words::unnumbered(w))
                || (*usage == Usage::Wall && is_wall_compound(words::unnumbered(w)))
        });
        let unspaced = || unspaced.iter().find(|w| name.contains(**w)).map(|w| (*w).to_owned());
        let garage = || words::garage_door(words).filter(|_| *usage == Usage::Door);
        word.cloned().or_else(unspaced).or_else(garage)
    };
    for family in &families {
        let Some(word) = found(family) else { continue };
        let usage = family.0;
        let shown = format!("the word {word} in the name");
        if let Some(role) = excluded(words, usage, false, &shown) {
            return role;
        }
        let walls = families.iter().find(|f| f.0 == Usage::Wall).filter(|_| usage.is_opening());
        let wall_word = walls.and_then(found);
        let shown = match &wall_word {
            Some(wall) => format!("{shown}, which has {wall} for walls as well"),
            None => shown,
        };
        let has_wall_word = wall_word.is_some();
        return LayerRole { by_word: true, has_wall_word, ..LayerRole::new(usage, shown) };
    }
    LayerRole::new(Usage::Unknown, "not recognised")
}

/// Whether a word is a wall word and another one that go together.
fn is_wall_compound(word: &str) -> bool {
    let is = |(first, second): &(&[&str], &[&str])| {
        first.iter().filter_map(|f| word.strip_prefix(f)).any(|rest| second.contains(&rest))
    };
    words::BEFORE_WALL.iter().chain(words::AFTER_WALL).any(is)
}

/// Side, section, bearing and height from the words; what a rule said stands.
fn read_tokens(words: &[String], role: &mut LayerRole) {
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let side = match (has(words::EXTERIOR), has(words::INTERIOR)) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    };
    role.exterior = role.exterior.or(side);
    role.bearing = role.bearing.or(has(words::BEARING).then_some(true));
    role.section = role.section.or_else(|| {
        let mut found = words.iter().filter_map(|w| Section::from_name(w));
        // Two different sections in one name say nothing.
        match (found.next(), found.next()) {
            (Some(s), None) => Some(s),
            _ => None,
        }
    });
    role.partial_height = role.top.is_none() && has(words::PARTIAL_HEIGHT);
}

#[cfg(test)]
mod tests {
    use super::*;
    use settings::LayerRule;

    fn role(name: &str) -> LayerRole {
        role_of(name, &Settings::default())
    }

    #[test]
    fn a_name_with_a_wall_word_besides_says_so() {
        for name in ["壁__窓", "Walls and windows"] {
            let r = role(name);
            assert_eq!(r.usage, Usage::Window, "{name}");
            assert!(r.rule.contains("for walls as well"), "{}", r.rule);
        }
        assert!(!role("Windows").rule.contains("for walls"));
    }

    /// FACTS 8.1.
    #[test]
    fn national_cad_standard_names() {
        for wall in [
            "A-WALL",
            "a-wall-full",
            "A-WALL-FIRE",
            "S-WALL",
            "I-WALL",
            "A-WALL-N",
            "A-WALL-FULL-2",
        ] {
            assert_eq!(role(wall).usage, Usage::Wall, "{wall}");
            assert!(!role(wall).by_word, "{wall}");
        }
        for out in [
            "A-WALL-PATT",
            "A-WALL-HEAD",
            "A-WALL-JAMB",
            "A-WALL-CNTR",
            "A-WALL-CAVI",
            "A-WALL-MOVE",
            "A-WALL-ANNO",
            "A-WALL-IDEN",
            "A-WALL-D",
            "A-WALL-EXTR-D",
            "A-WALL-E",
            "A-WALL-DEMO",
            "A-WALL-EXST",
            "A-WALL-X",
            "AD-WALL",
            "C-WALL",
            "L-WALL",
            "A-DOOR-IDEN",
        ] {
            assert_eq!(role(out).usage, Usage::Ignored, "{out}: {}", role(out).rule);
        }
        assert_eq!(role("A-DOOR").usage, Usage::Door);
        assert_eq!(role("A-GLAZ-FULL").usage, Usage::Window);
        assert_eq!(role("A-WIND").usage, Usage::Window);
        assert_eq!(role("A-FURN").usage, Usage::Unknown);
        assert!(role("A-WALL-PRHT").partial_height);
        assert!(role("A-WALL-DEMO").rule.contains("demolished"));
    }

    #[test]
    fn tokens_for_side_and_section() {
        let r = role("A-WALL-EXTR-2X6");
        assert_eq!((r.exterior, r.section), (Some(true), Section::from_name("2x6")));
        let r = role("A-WALL-INTR-38x89");
        assert_eq!((r.exterior, r.section), (Some(false), Section::from_name("38x89")));
        let r = role("A-WALL-BRNG");
        assert_eq!((r.exterior, r.bearing, r.section), (None, Some(true), None));
        assert_eq!(role("A-WALL-2X4-2X6").section, None);
        assert_eq!(role("A.Wall_Internal").exterior, Some(false));
    }

    #[test]
    fn bound_references() {
        assert_eq!(own_name("xref-Bishop-Overland-08$0$A-WALL"), "A-WALL");
        assert_eq!(own_name("a$0$b$1$S-WALL"), "S-WALL");
        assert_eq!(own_name("base|A-WALL"), "A-WALL");
        assert_eq!(own_name("PRICE$LIST"), "PRICE$LIST");
        assert_eq!(own_name("a$0$"), "a$0$");
        assert_eq!(own_name("$$$"), "$$$");
        assert_eq!(role("x$0$A-WALL").usage, Usage::Wall);
    }

    #[test]
    fn words_of_other_languages_as_whole_words() {
        for wall in [
            "WALLS",
            "Walls",
            "01-Muren",
            "MUROS 2",
            "Wände",
            "wall high",
            "墙线",
            "ÉTAGE-MURS",
            "WALL1",
            "Стены",
        ] {
            let r = role(wall);
            assert_eq!((r.usage, r.by_word), (Usage::Wall, true), "{wall}");
        }
        for wall in [
            "AUSSENWAND",
            "Innenwände",
            "INNENWAENDE",
            "Trennwand",
            "Außenwand",
            "Mauern",
            "MAUERWERK",
            "TABIQUERIA",
            "TABIQUES",
            "ПЕРЕГОРОДКИ",
            "Стены",
            "TRAMEZZI",
            "MURI",
            "CLOISONS",
            "REFENDS",
            "MURS",
            "Zdi",
            "Ściany",
            "Tartu seinad",
            "PARTITIONS",
            "EXTWALLS",
            "INTWALLS",
            "WANDEN",
            "BINNENWAND",
            "AUSSENWAND2",
            "Ytterväggar",
            "WALLEXT",
        ] {
            let r = role(wall);
            assert_eq!((r.usage, r.by_word), (Usage::Wall, true), "{wall}");
        }
        for not in [
            "WANDLEUCHTE",
            "LEINWAND",
            "DUSCHWAND",
            "PAREDON",
            "WALLET",
            "EXTWALLPAPER",
            "STELLWAND",
        ] {
            assert_eq!(role(not).usage, Usage::Unknown, "{not}");
        }
        assert_eq!(role("WALL TILE").usage, Usage::Ignored);
        for not in ["WALLPAPER", "MURAL", "STONEWALLING", "2X6", "0", "WANDERN", ""] {
            assert_eq!(role(not).usage, Usage::Unknown, "{not}");
        }
        for out in ["WALL HATCH", "x$0$S-STEM-WALL", "RETAINING WALL", "wall existing"] {
            let r = role(out);
            assert_eq!((r.usage, r.excluded_wall), (Usage::Ignored, true), "{out}");
        }
        assert_eq!(role("PUERTAS").usage, Usage::Door);
        for door in ["GARAGE DR", "Garage-Drs", "OH_DR", "GARAGEDOOR"] {
            assert_eq!(role(door).usage, Usage::Door, "{door}");
        }
        assert_eq!(role("GARAGE").usage, Usage::Unknown);
        assert_eq!(role("GARAGE WALLS").usage, Usage::Wall);
        assert_eq!(role("DR").usage, Usage::Unknown);
        assert_eq!(role("Fenster").usage, Usage::Window);
    }

    #[test]
    fn settings_come_first_and_the_first_of_them_wins() {
        let rule = |pattern: &str, usage| LayerRule {
            pattern: pattern.into(),
            usage,
            exterior: None,
            bearing: Some(true),
            section: None,
            top: None,
            roof: None,
        };
        let settings = Settings {
            layers: vec![
                rule("A-WALL-DEMO", LayerUse::Wall),
                rule("*2X6*", LayerUse::Wall),
                rule("*", LayerUse::Ignore),
            ],
            ..Settings::default()
        };
        assert_eq!(role_of("x$0$A-WALL-DEMO", &settings).usage, Usage::Wall);
        let r = role_of("NEW 2X6", &settings);
        assert_eq!((r.usage, r.bearing), (Usage::Wall, Some(true)));
        // The rule leaves the section open; the name's own token fills it.
        assert_eq!(r.section, Section::from_name("2x6"));
        assert_eq!(role_of("A-WALL", &settings).usage, Usage::Ignored);
    }
}
