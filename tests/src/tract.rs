//! A subdivision as test data: plans, the lots built from them, and a few drawings that are no good.

use crate::bad::shed;
use crate::demo::willow_bend;
use crate::dxf::{self, Options};
use crate::house::{House, row_house};
use std::fmt::Write;

/// A file of a subdivision, by its name.
pub type NamedFile = (String, Vec<u8>);

/// Drawings of `plans` different houses: `plan-01.dxf` and so on.
pub fn drawings(plans: usize) -> Vec<NamedFile> {
    let house = |i: usize| -> House {
        match i {
            0 => willow_bend(),
            1 => shed(),
            i => row_house(i - 1),
        }
    };
    let dxf = |i| dxf::write(&house(i), Options { insunits: 1, origin: (0, 0) }).into_bytes();
    (0..plans).map(|i| (format!("plan-{:02}.dxf", i + 1), dxf(i))).collect()
}

/// Drawings with one trouble each.
pub fn bad_drawings(n: usize) -> Vec<NamedFile> {
    let good = dxf::write(&shed(), Options { insunits: 1, origin: (0, 0) });
    let unitless = dxf::write(&shed(), Options { insunits: 0, origin: (0, 0) });
    let kinds: [Vec<u8>; 3] =
        [good.as_bytes()[..good.len() / 2].to_vec(), unitless.into_bytes(), Vec::new()];
    (0..n).map(|i| (format!("bad-{}.dxf", i + 1), kinds[i % kinds.len()].clone())).collect()
}

/// One line of a manifest.
#[derive(Clone, Debug)]
pub struct TractLot {
    /// Its name.
    pub name: String,
    /// Its drawing.
    pub file: String,
    /// `none`, `x` or `y`.
    pub mirror: &'static str,
    /// Its delivery.
    pub group: String,
}

/// `lots` lots over the plans in turn, every second one mirrored, ten or so to a delivery; `bad` of them have
/// a bad drawing.
pub fn lots(plans: usize, lots: usize, bad: usize) -> Vec<TractLot> {
    let lot = |i: usize| {
        let wrong = bad > 0 && i % (lots / bad) == (lots / bad) / 2;
        TractLot {
            name: format!("Lot {}", i + 1),
            file: match wrong {
                true => format!("bad-{}.dxf", i / (lots / bad) + 1),
                false => format!("plan-{:02}.dxf", i % plans + 1),
            },
            mirror: ["none", "x", "none", "y"][(i / plans) % 4],
            group: format!("delivery {}", i / 10 + 1),
        }
    };
    (0..lots).map(lot).collect()
}

/// The manifest of these lots.
pub fn manifest(lots: &[TractLot]) -> String {
    let mut text = "lot,file,mirror,group\n".to_owned();
    for TractLot { name, file, mirror, group } in lots {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "{name},{file},{mirror},{group}");
    }
    text
}
