//! Which classes matter, and recognising their names fast.

mod names;

use crate::step::plain::name_end;
use names::CLASSES;
use rustc_hash::FxHashMap;
use std::sync::OnceLock;

/// What a class is to this importer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Kind {
    /// IfcWall and its subtypes.
    Wall,
    /// Openings.
    Opening,
    /// Doors.
    Door,
    /// Windows.
    Window,
    /// Building storeys.
    Storey,
    /// Things of no class, which may be walls by settings.
    Proxy,
    /// Any other product.
    Product,
    /// IfcProject.
    Project,
    /// IfcUnitAssignment.
    UnitAssignment,
    /// IfcApplication.
    Application,
    /// IfcRelContainedInSpatialStructure.
    RelContained,
    /// IfcRelAggregates.
    RelAggregates,
    /// IfcRelConnectsPathElements.
    RelPath,
    /// IfcRelVoidsElement.
    RelVoids,
    /// IfcRelFillsElement.
    RelFills,
    /// IfcRelDefinesByType.
    RelType,
    /// IfcRelDefinesByProperties.
    RelProperties,
    /// IfcRelAssociatesMaterial.
    RelMaterial,
    /// Presentation layers.
    PresentationLayer,
}

impl Kind {
    /// How many kinds there are.
    pub const COUNT: usize = Kind::PresentationLayer as usize + 1;
}

/// Bits of the number of places in the table of name beginnings.
const TABLE_BITS: u32 = 15;

/// A set of name beginnings, by place.
type Beginnings = [bool; 1 << TABLE_BITS];

/// The four letters after `IFC`, without case, as a number. Letters, `(` and blanks differ after the
/// mask, so a three-letter name is found too.
fn letters(four: [u8; 4]) -> u32 {
    u32::from_le_bytes(four) & 0xDFDF_DFDF
}

/// Its place in the table.
fn place(letters: u32) -> usize {
    (letters.wrapping_mul(0x9E37_79B1) >> (32 - TABLE_BITS)) as usize
}

/// The classes that matter, ready to be looked up.
pub struct Kinds {
    /// The name beginnings any class of the list has: nearly every entity of a file is refused here.
    beginnings: Beginnings,
    /// Upper-case names with that beginning.
    by_beginning: FxHashMap<u32, Vec<(Vec<u8>, Kind)>>,
    /// Places in the list of classes by upper-case name.
    by_name: FxHashMap<Vec<u8>, usize>,
}

impl Kinds {
    /// The table, made once.
    pub fn get() -> &'static Kinds {
        static TABLE: OnceLock<Kinds> = OnceLock::new();
        TABLE.get_or_init(|| {
            let mut beginnings = [false; 1 << TABLE_BITS];
            let mut by_beginning: FxHashMap<u32, Vec<(Vec<u8>, Kind)>> = FxHashMap::default();
            for (name, kind) in CLASSES {
                let name = name.as_bytes().to_ascii_uppercase();
                for after in [b'(', b' ', b'\t', b'\r', b'\n', b'/'] {
                    let four = std::array::from_fn(|i| name.get(3 + i).copied().unwrap_or(after));
                    beginnings[place(letters(four))] = true;
                    let same = by_beginning.entry(letters(four)).or_default();
                    if same.last().is_none_or(|(last, _)| *last != name) {
                        same.push((name.clone(), *kind));
                    }
                }
            }
            let upper = |(n, c): (usize, &(&str, Kind))| (c.0.as_bytes().to_ascii_uppercase(), n);
            Kinds {
                beginnings,
                by_beginning,
                by_name: CLASSES.iter().enumerate().map(upper).collect(),
            }
        })
    }

    /// The kind of the class whose name starts at `at`; `None` for classes that do not matter.
    #[inline]
    pub fn at(&self, bytes: &[u8], at: usize) -> Option<Kind> {
        let four = *bytes.get(at + 3..)?.first_chunk()?;
        if self.may_begin(four) { self.named(four, &bytes[at..]) } else { None }
    }

    /// Whether the name of a class that matters may begin so, with these four bytes after its first three.
    #[inline(always)]
    pub fn may_begin(&self, four: [u8; 4]) -> bool {
        self.beginnings[place(letters(four))]
    }

    /// The kind of a class with such a beginning. By itself, since few entities come this far.
    #[inline(never)]
    fn named(&self, four: [u8; 4], rest: &[u8]) -> Option<Kind> {
        let known = self.by_beginning.get(&letters(four))?;
        let by_bytes = || rest.iter().take(64).position(|b| !b.is_ascii_alphanumeric());
        let name = &rest[..name_end(rest).or_else(by_bytes)?];
        if let Some((_, kind)) = known.iter().find(|(known, _)| known == name) {
            return Some(*kind);
        }
        let small = name.iter().any(u8::is_ascii_lowercase);
        small.then(|| self.find(name)).flatten().map(|(_, kind)| kind)
    }

    fn find(&self, name: &[u8]) -> Option<(&'static str, Kind)> {
        let found = match self.by_name.get(name) {
            Some(n) => Some(n),
            None if name.iter().any(u8::is_ascii_lowercase) => {
                self.by_name.get(&name.to_ascii_uppercase())
            }
            None => None,
        };
        found.map(|n| CLASSES[*n])
    }
}

/// Bytes of a name with its bracket that are compared at once.
const AT_ONCE: usize = 32;

/// How many names are kept.
const RECENT: usize = 32;

/// A name that was looked up, as it stood there with its opening bracket.
#[derive(Clone, Copy)]
struct Recent {
    text: [u64; AT_ONCE / 8],
    /// The bytes that `text` has.
    mask: [u64; AT_ONCE / 8],
    kind: Option<Kind>,
}

/// The table with the names that were looked up last: a file has few classes, each over and over.
pub struct Lookup {
    kinds: &'static Kinds,
    recent: [Recent; RECENT],
}

impl Lookup {
    /// With nothing looked up yet.
    pub fn new() -> Lookup {
        // Nothing under this mask is this text.
        let none = Recent { text: [1; AT_ONCE / 8], mask: [0; AT_ONCE / 8], kind: None };
        Lookup { kinds: Kinds::get(), recent: [none; RECENT] }
    }

    /// The table.
    pub fn table(&self) -> &'static Kinds {
        self.kinds
    }

    /// The kind of the class whose name starts at `at`; `None` for classes that do not matter.
    pub fn at(&mut self, bytes: &[u8], at: usize) -> Option<Kind> {
        let rest = bytes.get(at..)?;
        let Some(name) = rest.first_chunk() else { return self.kinds.at(bytes, at) };
        let text = words(name);
        let recent = &mut self.recent[recent_place(text[0])];
        let differ = |n: usize| (text[n] & recent.mask[n]) ^ recent.text[n];
        if differ(0) | differ(1) | differ(2) | differ(3) != 0 {
            let kind = self.kinds.at(bytes, at);
            match name_end(name) {
                Some(len) => *recent = Recent::new(name, len, kind),
                None => return kind,
            }
        }
        recent.kind
    }
}

impl Recent {
    fn new(name: &[u8; AT_ONCE], len: usize, kind: Option<Kind>) -> Recent {
        let mask = std::array::from_fn(|n| if n <= len { u8::MAX } else { 0 });
        let (text, mask) = (words(name), words(&mask));
        Recent { text: std::array::from_fn(|n| text[n] & mask[n]), mask, kind }
    }
}

/// The place of a name that begins so, among [`RECENT`].
#[inline]
fn recent_place(eight: u64) -> usize {
    (eight.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 59) as usize % RECENT
}

/// The bytes as numbers.
#[inline]
fn words(bytes: &[u8; AT_ONCE]) -> [u64; AT_ONCE / 8] {
    let (words, _) = bytes.as_chunks();
    std::array::from_fn(|n| words.get(n).map_or(0, |word| u64::from_le_bytes(*word)))
}

/// The name as the standard spells it; unknown names come back as they are.
pub fn spelled(name: &[u8]) -> String {
    Kinds::get()
        .find(name)
        .map_or_else(|| String::from_utf8_lossy(name).into_owned(), |(n, _)| n.to_owned())
}

/// The kind of a class by its name; `None` for classes that do not matter.
pub fn kind_of(name: &[u8]) -> Option<Kind> {
    Kinds::get().find(name).map(|(_, kind)| kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_sorted_and_found() {
        let upper = |s: &str| s.to_ascii_uppercase();
        assert!(CLASSES.is_sorted_by(|a, b| upper(a.0) < upper(b.0)));
        let mut recent = Lookup::new();
        for (name, kind) in CLASSES {
            for text in [upper(name) + "(", upper(name) + " (", (*name).to_owned() + "\t("] {
                assert_eq!(Kinds::get().at(text.as_bytes(), 0), Some(*kind), "{text}");
                // Looked up for the first time and again, others of that place between them.
                let long = text + "'2O2Fr$t4X7Zf8NOew3FNr2',#42,$,$,$,#1,#2,$);";
                for _ in 0..2 {
                    assert_eq!(recent.at(long.as_bytes(), 0), Some(*kind), "{long}");
                }
            }
        }
    }

    /// The classes most entities of a file belong to must not even reach the second look.
    #[test]
    fn geometry_is_refused_at_first_sight() {
        for four in
            [b"CART", b"DIRE", b"POLY", b"FACE", b"AXIS", b"EXTR", b"SHAP", b"LOCA", b"PROP"]
        {
            assert!(!Kinds::get().may_begin(*four), "{}", String::from_utf8_lossy(four));
        }
    }

    #[test]
    fn others_are_not() {
        for text in ["IFCWALLTYPE(", "IFCCARTESIANPOINT((", "IFCWAL", "", "IFCWALLS(1)", "(A())"] {
            assert_eq!(Kinds::get().at(text.as_bytes(), 0), None, "{text}");
            let (mut recent, long) =
                (Lookup::new(), text.to_owned() + "$,$,$,$,$,$,$,$,$,$,$,$,$,$,$);");
            for _ in 0..2 {
                assert_eq!(recent.at(long.as_bytes(), 0), None, "{long}");
            }
        }
        let mut recent = Lookup::new();
        for (name, kind) in
            [("IFCWALL", Some(Kind::Wall)), ("IFCWALLTYPE", None), ("IFCWALL", Some(Kind::Wall))]
        {
            let text = format!("{name}('2O2Fr$t4X7Zf8NOew3FNr2',#42,$,$,$);");
            assert_eq!(recent.at(text.as_bytes(), 0), kind, "{text}");
        }
        assert_eq!(spelled(b"IFCWALLSTANDARDCASE"), "IfcWallStandardCase");
        assert_eq!(spelled(b"IFCODD"), "IFCODD");
    }
}
