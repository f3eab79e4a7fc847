//! Layers given in another unit than the model they are in: some exporters write thicknesses in metres whatever
//! the file's unit is. Bodies bear witness.

use crate::report::Report;
use crate::shape::Piece;
use crate::walls::{RawWall, Reader};
use diag::codes::ifc;
use geom::Unit;
use std::collections::BTreeMap;
use std::rc::Rc;

/// How far a body's thickness may be off that of its layers for them to be the same.
const SAME: f64 = 0.01;

/// Units less than this many times each other are not told apart by thickness: a wall may well have two or three
/// times the body that its layers make up.
const APART: f64 = 5.0;

/// Ends of layers this near to a face are at it, inches.
const AT_FACE_IN: f64 = 0.0625;

/// What walls of one definition show.
#[derive(Default)]
struct Witness {
    /// How many times its layers each body is thick.
    ratios: Vec<f64>,
    /// Offsets that fit the bodies as they are, less those that fit them in the layers' unit.
    offsets: i32,
}

/// Takes layers in the unit that makes them as thick as every body of a wall that has them, where that is another
/// than the model's, and tells of it.
pub fn settle(reader: &Reader<'_, '_, '_>, raw: &mut [RawWall<'_>], report: &mut Report) {
    let unit = reader.unit;
    let mut witnesses: BTreeMap<u64, Witness> = BTreeMap::new();
    for wall in raw.iter() {
        if let (Some(definition), Some(band)) = (wall.definition, band(wall)) {
            let total = wall.layers.total();
            if total > 0.0 {
                let ratio = (band.1 - band.0) / total;
                witnesses.entry(definition).or_default().ratios.push(ratio);
            }
        }
    }
    let mut taken: BTreeMap<u64, (Unit, f64)> = BTreeMap::new();
    for (definition, witness) in &witnesses {
        let times = |u: &Unit| u.inches() / unit.inches;
        let fits = |u: &Unit| {
            let k = times(u);
            let apart = k.max(1.0 / k) >= APART;
            apart && witness.ratios.iter().all(|r| (r / k - 1.0).abs() <= SAME)
        };
        if let Some(u) = Unit::ALL.into_iter().find(fits) {
            taken.insert(*definition, (u, times(&u)));
        }
    }
    for wall in raw.iter() {
        let Some((_, k)) = wall.definition.and_then(|d| taken.get(&d)) else { continue };
        let Some(witness) = wall.definition.and_then(|d| witnesses.get_mut(&d)) else { continue };
        witness.offsets += i32::from(offset_fits(wall, 1.0, AT_FACE_IN / unit.inches))
            - i32::from(offset_fits(wall, *k, AT_FACE_IN / unit.inches));
    }
    for wall in raw.iter_mut() {
        let Some(definition) = wall.definition else { continue };
        let Some((layers_in, k)) = taken.get(&definition) else { continue };
        let offsets = witnesses.get(&definition).map_or(0, |w| w.offsets);
        let what = format!(
            "the layers of {} are together {} thick by the file's unit ({}) and its bodies {}; they are taken in {}, where the two agree",
            wall.type_words(),
            number(wall.layers.total()),
            unit.name,
            number(wall.layers.total() * k),
            diag::words::unit(layers_in.name()),
        );
        report.add(ifc::LAYERS_UNIT, "wall", what, &wall.source);
        let mut layers = (*wall.layers).clone();
        layers.layers.iter_mut().for_each(|l| l.thickness *= k);
        wall.layers = Rc::new(layers);
        if offsets <= 0 {
            wall.side.iter_mut().for_each(|s| s.offset *= k);
        }
    }
}

/// How far a wall's body reaches to both sides of its line.
fn band(wall: &RawWall<'_>) -> Option<(f64, f64)> {
    piece(wall)?.band
}

fn piece<'w>(wall: &'w RawWall<'_>) -> Option<&'w Piece> {
    wall.shape.as_ref()?.pieces.first()
}

/// Whether the stated offset, so many times over, is that of the face the layers are counted from.
fn offset_fits(wall: &RawWall<'_>, times: f64, slack: f64) -> bool {
    let (Some(piece), Some(side)) = (piece(wall), wall.side) else { return false };
    let Some((low, high)) = piece.band else { return false };
    let face = if piece.y_left * side.sense > 0.0 { low } else { high };
    (piece.y_left * side.offset * times - face).abs() <= slack
}

/// A number with four decimals at most.
fn number(v: f64) -> String {
    let text = format!("{v:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
