//! Which layer of a wall is the framing, and which lumber it is. Everything chosen here is said
//! openly: each answer comes with its reason.
//!
//! Knows: lumber sizes, what outranks what. Never touches: entities, coordinates; words are in `words`.

use crate::words::{Role, role_of};
use geom::Length;
use lumber::Section;
use settings::FramingSettings;

/// A layer by what it is called and how thick it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Material name.
    pub material: String,
    /// Further words, categories.
    pub hint: String,
    /// Thickness.
    pub thickness: Length,
}

/// The framing layer of a wall type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Layer number, and why.
    Layer {
        /// Index among the layers.
        index: usize,
        /// Why this one.
        why: String,
        /// Chosen by thickness alone.
        guessed: bool,
        /// Further layers named as studs, which get no plates.
        others: Vec<usize>,
    },
    /// Two rows of studs, named as such and equally thick.
    Rows {
        /// Indices among the layers.
        rows: [usize; 2],
        /// What they are named as.
        why: String,
        /// Further layers named as studs, which get no plates.
        others: Vec<usize>,
    },
    /// Two layers fit equally well, or more.
    Tie(usize, usize),
    /// The wall is carried by something else than wood: the material's name.
    NotWood(String),
    /// Nothing tells; the wall is taken as a whole.
    Unknown,
}

/// Chooses the framing layer. `wanted` is a section the settings give; it picks the layer of its
/// width, and no material rules that out.
pub fn choose(
    layers: &[Candidate],
    wanted: Option<Section>,
    words: &FramingSettings,
    metric: bool,
) -> Choice {
    let roles: Vec<Role> = layers.iter().map(|c| role_of(&c.material, &c.hint, words)).collect();
    let mut choice = choice(layers, &roles, wanted, metric);
    match &mut choice {
        Choice::Layer { index, others, .. } => {
            *others = other_studs(layers, &roles, &[*index], metric);
        }
        Choice::Rows { rows, others, .. } => *others = other_studs(layers, &roles, rows, metric),
        _ => {}
    }
    choice
}

fn choice(layers: &[Candidate], roles: &[Role], wanted: Option<Section>, metric: bool) -> Choice {
    if let Some(section) = wanted {
        let fits = |n: &usize| {
            let t = layers[*n].thickness;
            section_of_layer(t, section.is_metric()) == Some(section)
        };
        let fitting: Vec<usize> = (0..layers.len()).filter(fits).collect();
        let best = fitting.iter().map(|n| roles[*n]).max();
        let equal: Vec<usize> = fitting.into_iter().filter(|n| Some(roles[*n]) == best).collect();
        match (equal.as_slice(), best) {
            ([], _) => {}
            ([index], _) => {
                let why = format!("the only layer as thick as the {section} the settings give");
                return Choice::Layer { index: *index, why, guessed: false, others: Vec::new() };
            }
            ([a, b], Some(role @ (Role::Named | Role::Studs | Role::Wood))) => {
                let why =
                    format!("{} and as thick as the {section} the settings give", named_as(role));
                return Choice::Rows { rows: [*a, *b], why, others: Vec::new() };
            }
            ([a, b, ..], _) => return Choice::Tie(*a, *b),
        }
    }
    let by_name = by_name(layers, roles, wanted.is_some(), metric);
    match by_name {
        // The settings say it is framed and how wide, just not where: in the middle of the wall.
        Choice::Tie(..) | Choice::Rows { .. } if wanted.is_some() => Choice::Unknown,
        choice => choice,
    }
}

/// What a layer of this role is known by.
fn named_as(role: Role) -> &'static str {
    match role {
        Role::Named => "named by framing.materials of the settings",
        Role::Studs => "named as studs",
        Role::Wood => "named as wood",
        _ => "marked as load bearing",
    }
}

/// The layers named as studs and as thick as lumber that are not among those chosen.
fn other_studs(layers: &[Candidate], roles: &[Role], chosen: &[usize], metric: bool) -> Vec<usize> {
    let is_row = |n: &usize| {
        matches!(roles[*n], Role::Named | Role::Studs)
            && section_of_layer(layers[*n].thickness, metric).is_some()
    };
    (0..layers.len()).filter(|n| !chosen.contains(n)).filter(is_row).collect()
}

/// The choice by names, then by lumber thickness.
fn by_name(layers: &[Candidate], roles: &[Role], wanted: bool, metric: bool) -> Choice {
    let best = roles.iter().copied().max();
    match best {
        Some(role @ (Role::Named | Role::Studs | Role::Wood | Role::Bearing)) => {
            match pick(layers, |n| roles[n] == role, metric) {
                Picked::Equal(rows)
                    if role != Role::Bearing
                        && section_of_layer(layers[rows[0]].thickness, metric).is_some() =>
                {
                    rows_of(layers, &rows, named_as(role))
                }
                picked => named_choice(layers, picked, named_as(role), false),
            }
        }
        Some(Role::Unknown) => {
            let sized = |n: usize| {
                roles[n] == Role::Unknown && section_of_layer(layers[n].thickness, metric).is_some()
            };
            match pick(layers, sized, metric) {
                Picked::None => match other_structure(layers, roles) {
                    Some(material) if !wanted => Choice::NotWood(material),
                    _ => Choice::Unknown,
                },
                picked => named_choice(layers, picked, "as thick as lumber", true),
            }
        }
        Some(Role::OtherStructure) if !wanted => {
            other_structure(layers, roles).map_or(Choice::Unknown, Choice::NotWood)
        }
        Some(Role::OtherStructure) => {
            // Metal studs before the brick in front of them; then what is thickest.
            let studs = |n: &usize| layers[*n].material.to_lowercase().contains("stud");
            let others = (0..layers.len()).filter(|n| roles[*n] == Role::OtherStructure);
            match others.max_by_key(|n| (studs(n), layers[*n].thickness, std::cmp::Reverse(*n))) {
                Some(n) => named_choice(layers, Picked::One(n), "what carries the wall", false),
                None => Choice::Unknown,
            }
        }
        _ => Choice::Unknown,
    }
}

/// What materials without thickness and place (constituents, a list, a plain material) say of the framing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Loose {
    /// This one is named as lumber of a size; the widest, as of layers.
    Sized(usize, Section),
    /// This one is named as studs or as wood of no size.
    Wood(usize),
    /// Something else than wood carries the wall: the material's name.
    NotWood(String),
    /// Nothing.
    Silent,
}

/// Chooses the framing among loose material names by the words that choose it among layers.
pub fn choose_loose(names: &[String], words: &FramingSettings) -> Loose {
    let roles: Vec<Role> = names.iter().map(|n| role_of(n, "", words)).collect();
    let best = roles.iter().copied().max();
    if let Some(best @ (Role::Named | Role::Studs | Role::Wood | Role::Bearing)) = best {
        let among = || names.iter().enumerate().filter(|(n, _)| roles.get(*n) == Some(&best));
        let sized = among().filter_map(|(n, name)| Some((n, section_in_name(name)?)));
        let widest = sized.max_by_key(|(n, s)| (s.width(), std::cmp::Reverse(*n)));
        if let Some((n, section)) = widest {
            return Loose::Sized(n, section);
        }
        return among().next().map_or(Loose::Silent, |(n, _)| Loose::Wood(n));
    }
    let other = roles.iter().position(|r| *r == Role::OtherStructure);
    other.and_then(|n| names.get(n)).map_or(Loose::Silent, |n| Loose::NotWood(n.clone()))
}

/// The size of lumber that a name has in it: `Wood stud 2x6`, `2 x 4 SPF`, `38x140`.
pub fn section_in_name(name: &str) -> Option<Section> {
    let tight: String = name.to_lowercase().replace(" x ", "x").replace('×', "x");
    let free = |c: Option<char>| c.is_none_or(|c| !c.is_ascii_digit() && c != '.' && c != '/');
    let inside = |s: &Section| {
        tight.match_indices(s.name()).any(|(at, found)| {
            let (before, after) = (&tight[..at], &tight[at + found.len()..]);
            // `2x4x8'` is still a 2x4, `12x4` and `2x44` are not.
            free(before.chars().next_back()) && free(after.chars().next())
        })
    };
    Section::all().filter(inside).max_by_key(|s| s.width())
}

enum Picked {
    One(usize),
    /// Two or more, in the order of the layers.
    Equal(Vec<usize>),
    None,
}

/// Among the layers taken: those as thick as lumber before others, then the thickest.
fn pick(layers: &[Candidate], taken: impl Fn(usize) -> bool, metric: bool) -> Picked {
    let rank =
        |n: usize| (section_of_layer(layers[n].thickness, metric).is_some(), layers[n].thickness);
    let Some(best) = (0..layers.len()).filter(|n| taken(*n)).max_by_key(|n| rank(*n)) else {
        return Picked::None;
    };
    let as_good = |n: &usize| {
        let (one, two) = (rank(best), rank(*n));
        one.0 == two.0 && (one.1 - two.1).abs() <= Length::sixty_fourths(1)
    };
    let equal: Vec<usize> = (0..layers.len()).filter(|n| taken(*n)).filter(as_good).collect();
    if equal.len() > 1 { Picked::Equal(equal) } else { Picked::One(best) }
}

fn named_choice(layers: &[Candidate], picked: Picked, word: &str, guessed: bool) -> Choice {
    match picked {
        Picked::One(index) => {
            let only = if layers.len() == 1 { "the only layer, " } else { "" };
            let name = named(&layers[index]);
            Choice::Layer {
                index,
                why: format!("{only}{word}: {name}"),
                guessed,
                others: Vec::new(),
            }
        }
        Picked::Equal(rows) => Choice::Tie(rows[0], rows[1]),
        Picked::None => Choice::Unknown,
    }
}

/// Two rows of studs; of more it is not known which belong together.
fn rows_of(layers: &[Candidate], rows: &[usize], word: &str) -> Choice {
    let [a, b] = *rows else { return Choice::Tie(rows[0], rows[1]) };
    let (one, two) = (named(&layers[a]), named(&layers[b]));
    let both = if one == two { one.to_owned() } else { format!("{one} and {two}") };
    Choice::Rows { rows: [a, b], why: format!("{word}: {both}"), others: Vec::new() }
}

/// A layer's material by name.
fn named(layer: &Candidate) -> &str {
    if layer.material.is_empty() { "no name" } else { &layer.material }
}

/// The thickest layer of concrete, masonry, metal or glass.
fn other_structure(layers: &[Candidate], roles: &[Role]) -> Option<String> {
    let others = layers.iter().zip(roles).filter(|(_, r)| **r == Role::OtherStructure);
    others.max_by_key(|(l, _)| l.thickness).map(|(l, _)| l.material.clone())
}

/// The section a bare layer is. In a metric file 88.9 mm is still a 2x4: the nearer of the two
/// systems wins.
pub fn section_of_layer(t: Length, metric: bool) -> Option<Section> {
    let off = |s: &Section| (s.width() - t).abs();
    let (one, two) =
        (Section::from_stud_thickness(t, metric), Section::from_stud_thickness(t, !metric));
    match (one, two) {
        (Some(a), Some(b)) if metric && off(&b) < off(&a) && off(&b) < Length::from_nm(20_000) => {
            Some(b)
        }
        _ => one,
    }
}

/// The section a whole wall with its finishes stands for.
pub fn section_of_wall(t: Length, metric: bool) -> Option<Section> {
    section_of_layer(t, metric).or_else(|| Section::from_wall_thickness(t, metric))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn layers(rows: &[(&str, f64)]) -> Vec<Candidate> {
        let row = |(m, mm): &(&str, f64)| Candidate {
            material: (*m).to_owned(),
            hint: String::new(),
            thickness: Length::from_mm(*mm).unwrap(),
        };
        rows.iter().map(row).collect()
    }
    fn chosen(rows: &[(&str, f64)]) -> String {
        match choose(&layers(rows), None, &FramingSettings::default(), false) {
            Choice::Layer { index, guessed, .. } => {
                format!("{index}{}", if guessed { "?" } else { "" })
            }
            Choice::Rows { rows: [a, b], .. } => format!("rows {a} {b}"),
            Choice::Tie(a, b) => format!("tie {a} {b}"),
            Choice::NotWood(m) => format!("not wood: {m}"),
            Choice::Unknown => "unknown".to_owned(),
        }
    }

    /// Layer names in the manner of real exports.
    #[test]
    fn names_decide() {
        let stud = "2X6 WOOD STUDS @ 24\" O.C. W/ BATT. INSULATION";
        assert_eq!(chosen(&[("GYP. BD", 15.9), (stud, 139.7), ("GYP. BD", 15.9)]), "1");
        let furring = "2X4 FURRING WITH EXPANDING POLYURETHANE FOAM";
        assert_eq!(chosen(&[("AIR", 6.35), (furring, 88.9), ("GYP. BD", 15.9)]), "1");
        assert_eq!(chosen(&[("Plywood", 12.0), ("Softwood", 140.0), ("Wood siding", 20.0)]), "1");
        assert_eq!(chosen(&[("Brick", 102.0), ("Air", 25.0), ("Framing", 90.0)]), "2");
    }

    #[test]
    fn concrete_masonry_and_metal_are_not_wood() {
        assert_eq!(
            chosen(&[("10\" CONCRETE FOUNDATION", 254.0)]),
            "not wood: 10\" CONCRETE FOUNDATION"
        );
        let italian = [("Intonaco", 15.0), ("Laterizio (6)", 120.0), ("Intonaco", 15.0)];
        assert_eq!(chosen(&italian), "not wood: Laterizio (6)");
        assert_eq!(
            chosen(&[("Plasterboard", 16.0), ("Metal - Stud Layer", 92.0), ("Plasterboard", 16.0)]),
            "not wood: Metal - Stud Layer"
        );
    }

    #[test]
    fn thickness_decides_where_names_say_nothing() {
        assert_eq!(chosen(&[("A", 12.7), ("B", 139.7), ("C", 19.0)]), "1?");
        assert_eq!(chosen(&[("A", 12.7), ("B", 120.0)]), "unknown");
        assert_eq!(chosen(&[("Brick", 100.0), ("B", 120.0)]), "not wood: Brick");
        assert_eq!(chosen(&[]), "unknown");
    }

    #[test]
    fn two_equal_rows_of_studs_are_both_framing() {
        let air = ("Air", 25.0);
        assert_eq!(chosen(&[("Stud", 88.9), air, ("Stud", 88.9)]), "rows 0 2");
        assert_eq!(
            chosen(&[("Board", 12.7), ("2x4 SPF", 88.9), air, ("Wood stud", 88.9)]),
            "rows 1 3"
        );
        assert_eq!(chosen(&[("Stud", 88.9), air, ("Stud", 139.7)]), "2");
        // No lumber is as thick.
        assert_eq!(chosen(&[("Stud", 75.0), air, ("Stud", 75.0)]), "tie 0 2");
        let left = |rows: &[(&str, f64)]| match choose(
            &layers(rows),
            None,
            &FramingSettings::default(),
            false,
        ) {
            Choice::Layer { others, .. } | Choice::Rows { others, .. } => others,
            _ => Vec::new(),
        };
        assert_eq!(left(&[("Stud", 88.9), air, ("Stud", 139.7)]), [0]);
        // Wood that is not called studs is siding or sheathing as well, and battens are no rows.
        assert!(left(&[("Softwood", 88.9), ("Stud", 139.7), ("Wood stud", 38.1)]).is_empty());
    }

    #[test]
    fn ties_are_told() {
        let stud = ("Stud", 88.9);
        assert_eq!(chosen(&[stud, ("Air", 25.0), stud, ("Air", 25.0), stud]), "tie 0 2");
        assert_eq!(chosen(&[("A", 88.9), ("B", 89.0)]), "tie 0 1");
    }

    #[test]
    fn the_settings_section_picks_its_layer() {
        let l = layers(&[("Stud", 139.7), ("Stud", 88.9)]);
        let at = |s| match choose(&l, Some(s), &FramingSettings::default(), false) {
            Choice::Layer { index, .. } => Some(index),
            _ => None,
        };
        assert_eq!(at(Section::S2X4), Some(1));
        assert_eq!(at(Section::S2X6), Some(0));
        let metal = layers(&[("Brick", 102.0), ("Metal stud", 92.0), ("Board", 16.0)]);
        assert!(matches!(
            choose(&metal, Some(Section::S2X4), &FramingSettings::default(), false),
            Choice::Layer { index: 1, .. }
        ));
        let rows = layers(&[("Stud", 139.7), ("Stud", 88.9), ("Air", 25.0), ("Stud", 88.9)]);
        let two = choose(&rows, Some(Section::S2X4), &FramingSettings::default(), false);
        assert!(matches!(two, Choice::Rows { rows: [1, 3], .. }), "{two:?}");
        let twin = layers(&[("Block", 193.0), ("Air", 50.0), ("Block", 193.0)]);
        assert!(matches!(
            choose(&twin, Some(Section::S2X4), &FramingSettings::default(), false),
            Choice::Layer { index: 0, .. }
        ));
        let unnamed = layers(&[("A", 89.0), ("B", 50.0), ("C", 89.0)]);
        assert_eq!(
            choose(&unnamed, Some(Section::S2X6), &FramingSettings::default(), false),
            Choice::Unknown
        );
    }

    #[test]
    fn the_settings_words_come_first() {
        let l = layers(&[("Brick", 100.0), ("Quarxwerk", 140.0), ("Holz", 89.0)]);
        let words = FramingSettings {
            materials: vec!["*quarx*".to_owned()],
            finishes: vec!["holz".to_owned()],
        };
        let at = |words: &FramingSettings| match choose(&l, None, words, true) {
            Choice::Layer { index, why, .. } => Some((index, why)),
            _ => None,
        };
        assert_eq!(at(&FramingSettings::default()).map(|c| c.0), Some(2));
        let (index, why) = at(&words).unwrap();
        assert_eq!(index, 1);
        assert!(why.contains("framing.materials"), "{why}");
    }

    #[test]
    fn materials_without_thickness() {
        let chosen = |names: &[&str]| {
            let names: Vec<String> = names.iter().map(|n| (*n).to_owned()).collect();
            choose_loose(&names, &FramingSettings::default())
        };
        assert_eq!(chosen(&["Gypsum", "Wood stud 2x6", "OSB"]), Loose::Sized(1, Section::S2X6));
        assert_eq!(chosen(&["2 x 4 furring", "Stud 2X6"]), Loose::Sized(1, Section::S2X6));
        assert_eq!(chosen(&["CMU", "Furring wood 2x4"]), Loose::Sized(1, Section::S2X4));
        assert_eq!(chosen(&["Gypsum", "Softwood"]), Loose::Wood(1));
        assert_eq!(chosen(&["12x4 wood"]), Loose::Wood(0));
        // As of layers: masonry beside what nobody knows is masonry.
        assert_eq!(chosen(&["B", "Brick"]), Loose::NotWood("Brick".to_owned()));
        assert_eq!(chosen(&["Steel stud 2x4", "Gypsum"]), Loose::NotWood("Steel stud 2x4".into()));
        assert_eq!(chosen(&["Default Wall"]), Loose::Silent);
        assert_eq!(chosen(&[]), Loose::Silent);
    }

    #[test]
    fn inch_lumber_in_a_metric_file() {
        let name = |mm| section_of_layer(Length::from_mm(mm).unwrap(), true).map(Section::name);
        assert_eq!(name(88.9), Some("2x4"));
        assert_eq!(name(89.0), Some("38x89"));
        assert_eq!(name(139.7), Some("2x6"));
        assert_eq!(name(140.0), Some("38x140"));
        assert_eq!(name(92.0), None);
    }
}
