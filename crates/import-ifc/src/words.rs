//! What the names of materials and types say, in the main languages of drawings.
//!
//! Knows: words. Never touches: sizes of lumber, which layer is chosen.

use settings::{FramingSettings, glob_match};

/// What a name says a layer is, the likelier framing the greater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Board, air, insulation.
    Finish,
    /// Concrete, masonry, metal, glass.
    OtherStructure,
    /// The name says nothing.
    Unknown,
    /// Said to carry load, of an unnamed material.
    Bearing,
    /// Wood of some kind.
    Wood,
    /// Named as studs, framing or by a lumber size.
    Studs,
    /// Named by the settings.
    Named,
}

const STUDS: [&str; 9] =
    ["stud", "framing", "lumber", "spf", "joist", "ständer", "montant", "ossature", "ossatura"];
const SIZES: [&str; 4] = ["2x", "2 x ", "38x", "38 x "];
const WOOD: [&str; 17] = [
    "wood",
    "timber",
    "softwood",
    "spruce",
    "hem-fir",
    "douglas",
    "pine",
    "holz",
    "bois",
    "hout",
    "legno",
    "madera",
    "madeira",
    "drewn",
    "dřev",
    "дерев",
    "drev",
];
const OTHER: [&str; 55] = [
    "concrete",
    "masonry",
    "brick",
    "block",
    "cmu",
    "stone",
    "steel",
    "metal",
    "alumin",
    "glass",
    "glaz",
    "beton",
    "mauerwerk",
    "ziegel",
    "stahl",
    "icf",
    "clay",
    "kalkzand",
    "calcium silicate",
    "granite",
    "marble",
    "adobe",
    "rubble",
    "curtain",
    "laterizi",
    "mattone",
    "mattoni",
    "muratura",
    "calcestruzzo",
    "acciaio",
    "ladrillo",
    "hormig",
    "bloque",
    "acero",
    "mamposter",
    "brique",
    "béton",
    "parpaing",
    "acier",
    "baksteen",
    "metselwerk",
    "staal",
    "betong",
    "stål",
    "tegel",
    "murverk",
    "cihl",
    "zdiv",
    "cegł",
    "żelbet",
    "tijolo",
    "concreto",
    "alvenaria",
    "кирпич",
    "бетон",
];
const FINISH: [&str; 51] = [
    "plywood",
    "osb",
    "sheath",
    "siding",
    "clad",
    "panel",
    "board",
    "gyp",
    "plaster",
    "lath",
    "floor",
    "veneer",
    "finish",
    "shingle",
    "shake",
    "trim",
    "paint",
    "mdf",
    "tile",
    "stucco",
    "mortar",
    "render",
    "insul",
    "wool",
    "fibre",
    "fiber",
    "air",
    "cavity",
    "membrane",
    "barrier",
    "felt",
    "wrap",
    "batten",
    "intonaco",
    "plâtre",
    "gips",
    "pleister",
    "yeso",
    "revoque",
    "gesso",
    "reboco",
    "tynk",
    "putz",
    "штукатур",
    "dämm",
    "isolier",
    "isolant",
    "isolatie",
    "aislan",
    "isolament",
    "wełna",
];

/// What the name of a layer's material says, and its hint: further words, categories. The settings' words come first.
pub fn role_of(material: &str, hint: &str, words: &FramingSettings) -> Role {
    let named =
        |globs: &[String]| globs.iter().any(|g| glob_match(g, material) || glob_match(g, hint));
    if named(&words.materials) {
        return Role::Named;
    }
    if named(&words.finishes) {
        return Role::Finish;
    }
    let name = material.to_lowercase();
    let all = format!("{name} {}", hint.to_lowercase());
    let has = |text: &str, words: &[&str]| words.iter().any(|w| text.contains(w));
    let sized = SIZES.iter().any(|s| {
        name.match_indices(s).any(|(at, _)| {
            let free = name[..at].chars().next_back().is_none_or(|c| !c.is_ascii_digit());
            free && name[at + s.len()..].starts_with(|c: char| c.is_ascii_digit())
        })
    });
    // `FURRING BRICK`, `metal stud`: the other structure's word wins over every other.
    if has(&name, &OTHER) {
        return Role::OtherStructure;
    }
    if sized || has(&name, &STUDS) {
        return Role::Studs;
    }
    if has(&name, &FINISH) || name.is_empty() {
        return Role::Finish;
    }
    if has(&all, &WOOD) {
        return Role::Wood;
    }
    if has(&all, &OTHER) {
        return Role::OtherStructure;
    }
    if all.contains("loadbearing") || all.contains("load bearing") {
        return Role::Bearing;
    }
    if has(&all, &FINISH) { Role::Finish } else { Role::Unknown }
}

/// Whether any of these materials is wood by a word of its name; a size alone does not tell wood from metal.
pub fn names_wood(materials: &[String]) -> bool {
    let has = |name: &String, words: &[&str]| words.iter().any(|w| name.contains(w));
    materials.iter().map(|m| m.to_lowercase()).any(|m| has(&m, &WOOD) || has(&m, &STUDS))
}

/// Whether the name of a wall's type, for want of a material that says wood, says it is something else than wood:
/// metal studs, or concrete, masonry or glass and no word of wood or studs.
pub fn not_wood_by_type(name: &str) -> bool {
    let name = name.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|w| name.contains(w));
    has(&METAL_STUDS) || (has(&MASONRY) && !has(&WOOD) && !has(&STUDS))
}

const METAL_STUDS: [&str; 5] =
    ["metal stud", "steel stud", "mtl stud", "mtl. stud", "metal framing"];
const MASONRY: [&str; 7] =
    ["concrete", "masonry", "brick", "cmu", "curtain wall", "storefront", "glazed"];

/// Whether a name has a word for wall in it, in the main languages of drawings.
pub fn is_wall_word(name: &str) -> bool {
    const WORDS: [&str; 18] = [
        "wall",
        "walls",
        "mur",
        "murs",
        "muro",
        "muros",
        "wand",
        "wände",
        "pared",
        "paredes",
        "parete",
        "pareti",
        "vägg",
        "vegg",
        "væg",
        "seinä",
        "ściana",
        "стена",
    ];
    let name = name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    words.any(|w| WORDS.contains(&w)) || ["墙", "牆", "壁"].iter().any(|c| name.contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn type_names_that_rule_wood_out() {
        for name in ["Curtain Wall:Metal Studs", "CMU 8in", "Int. 3 5/8 steel stud"] {
            assert!(not_wood_by_type(name), "{name}");
        }
        for name in ["Exterior - Brick on Wood Stud", "Interior - 4 3/4 Partition", "W1"] {
            assert!(!not_wood_by_type(name), "{name}");
        }
    }
}
