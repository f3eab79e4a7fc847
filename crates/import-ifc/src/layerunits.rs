//! Layers given in another unit than the model they are in: some exporters write thicknesses in metres whatever
//! the file's unit is. Bodies bear witness.

use crate::report::Report;
use crate::shape::{AT_FACE_IN, Piece};
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

/// Takes layers in the unit that makes them as thick as every body of a wall that has them, where that is another
/// than the model's, and tells of it.
pub fn settle(reader: &Reader<'_, '_, '_>, raw: &mut [RawWall<'_>], report: &mut Report) {
    let unit = reader.unit;
    let mut sets: BTreeMap<u64, Vec<usize>> = BTreeMap::new();
    for (n, wall) in raw.iter().enumerate().filter(|(_, w)| w.layers.total() > 0.0) {
        if let Some(definition) = wall.definition {
            sets.entry(definition).or_default().push(n);
        }
    }
    for members in sets.values() {
        let walls = || members.iter().filter_map(|n| raw.get(*n));
        let Some((layers_in, k)) = unit_shown(unit.inches, walls()) else { continue };
        let slack = AT_FACE_IN / unit.inches;
        let fitting = |times: f64| walls().filter(|w| offset_fits(w, times, slack)).count();
        let offsets_too = fitting(k) >= fitting(1.0);
        let mut thicker = None;
        for n in members {
            let Some(wall) = raw.get_mut(*n) else { continue };
            let what = format!(
                "the layers of {} are together {} thick by the file's unit ({}) and its bodies {}; they are taken in {}, where the two agree",
                wall.type_words(),
                number(wall.layers.total()),
                unit.name,
                number(wall.layers.total() * k),
                diag::words::unit(layers_in.name()),
            );
            report.add(ifc::LAYERS_UNIT, "wall", what, &wall.source);
            // Walls of one definition share its layers.
            let layers = thicker.get_or_insert_with(|| Rc::new(wall.layers.times(k)));
            wall.layers = Rc::clone(layers);
            if offsets_too {
                wall.side.iter_mut().for_each(|s| s.offset *= k);
            }
        }
    }
}

/// The unit in which layers are as thick as every body of the walls that have them, where it is far from the model's, and
/// how many times the model's it is.
fn unit_shown<'w, 's: 'w>(
    model_in: f64,
    walls: impl Iterator<Item = &'w RawWall<'s>>,
) -> Option<(Unit, f64)> {
    let ratio = |w: &RawWall<'_>| piece(w)?.band.map(|(a, b)| (b - a) / w.layers.total());
    let ratios: Vec<f64> = walls.filter_map(ratio).collect();
    let all = Unit::ALL.into_iter().map(|u| (u, u.inches() / model_in));
    let mut fitting = all.filter(|(_, k)| {
        k.max(1.0 / k) >= APART && ratios.iter().all(|r| (r / k - 1.0).abs() <= SAME)
    });
    fitting.next().filter(|_| !ratios.is_empty())
}

fn piece<'w>(wall: &'w RawWall<'_>) -> Option<&'w Piece> {
    wall.shape.as_ref()?.pieces.first()
}

/// Whether the stated offset, so many times over, is that of the face the layers are counted from.
fn offset_fits(wall: &RawWall<'_>, times: f64, slack: f64) -> bool {
    let (Some(piece), Some(side)) = (piece(wall), wall.side) else { return false };
    let face = piece.first_face(side.sense);
    face.is_some_and(|face| (piece.y_left * side.offset * times - face).abs() <= slack)
}

/// A number with four decimals at most.
fn number(v: f64) -> String {
    let text = format!("{v:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
