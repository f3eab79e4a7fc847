//! What both drawings show, checked, in the drawing's unit.

use crate::DrawingError;
use geom::{Length, Point, Unit};
use plan_model::{
    Document, Layer, Piece, PieceId, piece_name, run_name, storey_id_name, wall_name,
};
use std::collections::BTreeSet;

/// The unit of that many inches; inches for one that neither format has a name for.
fn unit_of(inches: f64) -> Unit {
    let all = [Unit::Inch, Unit::Foot, Unit::Millimetre, Unit::Centimetre, Unit::Metre];
    let near = |u: &Unit| (u.inches() / inches - 1.0).abs() < 1e-9;
    all.into_iter().find(near).unwrap_or(Unit::Inch)
}

/// A checked document.
pub(crate) struct Scene<'a> {
    pub doc: &'a Document,
    pub unit: Unit,
    /// The plan's zero in the drawing's coordinates, in its unit.
    pub zero: (f64, f64),
}

impl Scene<'_> {
    /// Checks that every id points at something and every number can be written.
    pub fn of(doc: &Document) -> Result<Scene<'_>, DrawingError> {
        let number = |holder: &'static str, value: f64| {
            if value.is_finite() {
                Ok(value)
            } else {
                Err(DrawingError::NotANumber { holder, value })
            }
        };
        let per_unit = number("inches per drawing unit", doc.source.units.inches_per_unit)?;
        let unit = unit_of(per_unit);
        let x = number("the x of the origin", doc.origin_inches.0)? / unit.inches();
        let y = number("the y of the origin", doc.origin_inches.1)? / unit.inches();
        let dangling = |holder: String, id: String| Err(DrawingError::Dangling { holder, id });
        for (i, p) in doc.plan.pieces.iter().enumerate() {
            let holder = || piece_name(PieceId(i as u32));
            if p.storey.0 as usize >= doc.floor.storeys.len() {
                return dangling(holder(), storey_id_name(p.storey));
            }
            if p.run.0 as usize >= doc.floor.runs.len() {
                return dangling(holder(), run_name(p.run));
            }
        }
        for (i, w) in doc.floor.walls.iter().enumerate() {
            if w.storey.0 as usize >= doc.floor.storeys.len() {
                return dangling(wall_name(i), storey_id_name(w.storey));
            }
        }
        Ok(Scene { doc, unit, zero: (x, y) })
    }

    /// Pieces with an area, with their ids. A plate of fewer than three corners is no body.
    pub fn pieces(&self) -> impl Iterator<Item = (PieceId, &Piece)> {
        let all = self.doc.plan.pieces.iter().enumerate();
        all.filter(|(_, p)| p.outline.len() >= 3).map(|(i, p)| (PieceId(i as u32), p))
    }

    /// A point in the drawing's coordinates.
    pub fn at(&self, p: Point) -> (f64, f64) {
        (self.zero.0 + self.value(p.x), self.zero.1 + self.value(p.y))
    }

    /// A length in the drawing's unit.
    pub fn value(&self, length: Length) -> f64 {
        match self.unit {
            Unit::Inch | Unit::Foot => length.to_inches() / self.unit.inches(),
            Unit::Millimetre => length.to_mm(),
            Unit::Centimetre => length.to_mm() / 10.0,
            Unit::Metre => length.to_mm() / 1000.0,
        }
    }

    /// Whether the unit is a metric one.
    pub fn is_metric(&self) -> bool {
        !matches!(self.unit, Unit::Inch | Unit::Foot)
    }

    /// Underside of a piece above the project's zero.
    pub fn elevation(&self, piece: &Piece) -> Length {
        self.doc.floor.storeys[piece.storey.0 as usize].elevation + piece.z
    }

    /// The storeys' numbers.
    pub fn storeys(&self) -> BTreeSet<usize> {
        (0..self.doc.floor.storeys.len()).collect()
    }
}

/// `BOTTOM`, `LOWER`, `UPPER`.
pub(crate) fn capital(layer: Layer) -> &'static str {
    match layer {
        Layer::Bottom => "BOTTOM",
        Layer::Lower => "LOWER",
        Layer::Upper => "UPPER",
    }
}

/// A decimal with at most nine places, always with a point, as DXF and STEP both read it: a thousandth
/// of a micrometre in metres.
pub(crate) fn real(value: f64) -> String {
    let mut text = format!("{value:.9}");
    text.truncate(text.trim_end_matches('0').len());
    if text.ends_with('.') {
        text.push('0');
    }
    if text == "-0.0" { "0.0".to_owned() } else { text }
}
