//! Which classes matter, and recognising their names fast.

mod names;

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

/// The four letters after `IFC`, without case, as a place in the table. Letters, `(` and blanks
/// differ after the mask, so a three-letter name is found too.
fn beginning(four: [u8; 4]) -> usize {
    let x = u32::from_le_bytes(four) & 0xDFDF_DFDF;
    (x.wrapping_mul(0x9E37_79B1) >> (32 - TABLE_BITS)) as usize
}

/// Which name beginnings any class of the list has: nearly every entity of a file is refused here.
fn beginnings() -> &'static Beginnings {
    static TABLE: OnceLock<Beginnings> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut table = [0; 1 << (TABLE_BITS - 6)];
        for (name, _) in CLASSES {
            let name = name.as_bytes();
            for after in [b'(', b' ', b'\t', b'\r', b'\n', b'/'] {
                let four = std::array::from_fn(|i| name.get(3 + i).copied().unwrap_or(after));
                let at = beginning(four);
                table[at / 64] |= 1 << (at % 64);
            }
        }
        table
    })
}

/// The kind of the class whose name starts at `at`; `None` for classes that do not matter.
pub fn kind_at(bytes: &[u8], at: usize) -> Option<Kind> {
    let four: [u8; 4] = bytes.get(at + 3..at + 7)?.try_into().ok()?;
    let place = beginning(four);
    if beginnings()[place / 64] >> (place % 64) & 1 == 0 {
        return None;
    }
    let rest = &bytes[at..];
    let len = rest.iter().take(64).position(|b| !b.is_ascii_alphanumeric())?;
    find(&rest[..len]).map(|(_, kind)| kind)
}

fn find(name: &[u8]) -> Option<(&'static str, Kind)> {
    static TABLE: OnceLock<FxHashMap<Vec<u8>, usize>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        let upper = |(n, c): (usize, &(&str, Kind))| (c.0.as_bytes().to_ascii_uppercase(), n);
        CLASSES.iter().enumerate().map(upper).collect()
    });
    let found = match table.get(name) {
        Some(n) => Some(n),
        None if name.iter().any(u8::is_ascii_lowercase) => table.get(&name.to_ascii_uppercase()),
        None => None,
    };
    found.map(|n| CLASSES[*n])
}

/// The name as the standard spells it; unknown names come back as they are.
pub fn spelled(name: &[u8]) -> String {
    find(name).map_or_else(|| String::from_utf8_lossy(name).into_owned(), |(n, _)| n.to_owned())
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
                assert_eq!(kind_at(text.as_bytes(), 0), Some(*kind), "{text}");
            }
        }
    }

    /// The classes most entities of a file belong to must not even reach the second look.
    #[test]
    fn geometry_is_refused_at_first_sight() {
        for four in
            [b"CART", b"DIRE", b"POLY", b"FACE", b"AXIS", b"EXTR", b"SHAP", b"LOCA", b"PROP"]
        {
            let place = beginning(*four);
            assert_eq!(
                beginnings()[place / 64] >> (place % 64) & 1,
                0,
                "{}",
                String::from_utf8_lossy(four)
            );
        }
    }

    #[test]
    fn others_are_not() {
        for text in ["IFCWALLTYPE(", "IFCCARTESIANPOINT((", "IFCWAL", "", "IFCWALLS(1)", "(A())"] {
            assert_eq!(kind_at(text.as_bytes(), 0), None, "{text}");
        }
        assert_eq!(spelled(b"IFCWALLSTANDARDCASE"), "IfcWallStandardCase");
        assert_eq!(spelled(b"IFCODD"), "IFCODD");
    }
}
