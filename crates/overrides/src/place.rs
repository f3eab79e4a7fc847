//! Where a place of the drawing lies in the plan, and back.

use geom::{Length, Point};
use settings::Mirror;
use wall_model::WallModel;

/// From drawing units to the plan frame: scaled to inches, mirrored, the origin taken off, as
/// [`wall_model::Draft::finish`] does it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placing {
    /// Inches in a drawing unit.
    pub inches_per_unit: f64,
    /// The mirrored house.
    pub mirror: Mirror,
    /// What is taken off the mirrored drawing, inches.
    pub origin_inches: (f64, f64),
}

impl Placing {
    /// That of a model read under these settings.
    pub fn of(model: &WallModel, mirror: Mirror) -> Placing {
        let (inches_per_unit, origin_inches) = (model.units.inches_per_unit, model.origin_inches);
        Placing { inches_per_unit, mirror, origin_inches }
    }
    /// A place of the drawing, in plan inches.
    pub fn inches(&self, drawing: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.mirrored(drawing.map(|v| v * self.inches_per_unit));
        [x - self.origin_inches.0, y - self.origin_inches.1]
    }
    /// A place of the drawing in the plan; `None` for one that is no place.
    pub fn plan(&self, drawing: [f64; 2]) -> Option<Point> {
        let [x, y] = self.inches(drawing).map(|v| Length::from_inches(v).map(Length::denoise));
        Some(Point::new(x?, y?))
    }
    /// A place in plan inches, in drawing units: to a millionth of an inch or a little finer, without the
    /// tail that conversion leaves.
    pub fn drawing(&self, inches: [f64; 2]) -> [f64; 2] {
        let whole = [inches[0] + self.origin_inches.0, inches[1] + self.origin_inches.1];
        let step = 10_f64.powi((1e-6 / self.inches_per_unit).log10().floor() as i32);
        // Times a power of ten and divided again is rounded right; divided and times again is not.
        let places = (1.0 / step).round();
        let clean = |v: f64| {
            let scaled = v * places;
            if places >= 1.0 && scaled.abs() < 9.0e15 { scaled.round() / places } else { v }
        };
        self.mirrored(whole).map(|v| clean(v / self.inches_per_unit) + 0.0)
    }
    fn mirrored(&self, p: [f64; 2]) -> [f64; 2] {
        self.mirror.point(p.into()).into()
    }
}
