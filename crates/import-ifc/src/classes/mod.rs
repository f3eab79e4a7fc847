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

/// A set of name beginnings, one bit a place.
type Beginnings = [u64; 1 << (TABLE_BITS - 6)];

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
            let mut beginnings = [0; 1 << (TABLE_BITS - 6)];
            let mut by_beginning: FxHashMap<u32, Vec<(Vec<u8>, Kind)>> = FxHashMap::default();
            for (name, kind) in CLASSES {
                let name = name.as_bytes().to_ascii_uppercase();
                for after in [b'(', b' ', b'\t', b'\r', b'\n', b'/'] {
                    let four = std::array::from_fn(|i| name.get(3 + i).copied().unwrap_or(after));
                    let at = place(letters(four));
                    beginnings[at / 64] |= 1 << (at % 64);
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

    #[inline]
    fn may_begin(&self, four: [u8; 4]) -> bool {
        let place = place(letters(four));
        self.beginnings[place / 64] >> (place % 64) & 1 == 1
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

/// The name as the standard spells it; unknown names come back as they are.
pub fn spelled(name: &[u8]) -> String {
    Kinds::get()
        .find(name)
        .map_or_else(|| String::from_utf8_lossy(name).into_owned(), |(n, _)| n.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_sorted_and_found() {
        let upper = |s: &str| s.to_ascii_uppercase();
        assert!(CLASSES.is_sorted_by(|a, b| upper(a.0) < upper(b.0)));
        for (name, kind) in CLASSES {
            for text in [upper(name) + "(", upper(name) + " (", (*name).to_owned() + "\t("] {
                assert_eq!(Kinds::get().at(text.as_bytes(), 0), Some(*kind), "{text}");
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
        }
        assert_eq!(spelled(b"IFCWALLSTANDARDCASE"), "IfcWallStandardCase");
        assert_eq!(spelled(b"IFCODD"), "IFCODD");
    }
}
