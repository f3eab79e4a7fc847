//! The frame of the page: inches from an origin that stays where it is whatever is edited.

use geom::Point;
use overrides::{Form, Placing};
use settings::Mirror;
use wall_model::WallModel;

/// Where the page's places lie in the drawing.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Frame {
    /// `None` while the unit is not known: a page inch is a drawing unit then.
    pub unit: Option<String>,
    /// Drawing units.
    pub origin: [f64; 2],
    placing: Placing,
}

impl Frame {
    pub fn new(unit: Option<(String, f64)>, mirror: Mirror, origin: [f64; 2]) -> Frame {
        let inches_per_unit = unit.as_ref().map_or(1.0, |u| u.1);
        let at_zero = Placing { inches_per_unit, mirror, origin_inches: (0.0, 0.0) };
        let [x, y] = at_zero.inches(origin);
        let placing = Placing { origin_inches: (x, y), ..at_zero };
        Frame { unit: unit.map(|u| u.0), origin, placing }
    }
    pub fn inches_per_unit(&self) -> f64 {
        self.placing.inches_per_unit
    }
    pub fn mirror(&self) -> Mirror {
        self.placing.mirror
    }
    /// What to add to a place in the plan of a model.
    pub fn plan_offset(&self, origin_inches: (f64, f64)) -> [f64; 2] {
        let own = self.placing.origin_inches;
        [tidy(origin_inches.0 - own.0), tidy(origin_inches.1 - own.1)]
    }
    /// A place of the drawing on the page.
    pub fn of_drawing(&self, drawing: [f64; 2]) -> [f64; 2] {
        self.placing.inches(drawing).map(tidy)
    }
    /// Every place of an overrides form, from drawing units to the page.
    pub fn form_to_page(&self, form: &mut Form) {
        form.places_mut().for_each(|p| *p = self.of_drawing(*p));
    }
    /// And back.
    pub fn form_to_drawing(&self, form: &mut Form) {
        form.places_mut().for_each(|p| *p = self.placing.drawing(*p));
    }
}

/// Without the tail that adding and scaling leave, finer than anything a place is compared by.
pub(crate) fn tidy(v: f64) -> f64 {
    let scaled = v * 1e8;
    if scaled.abs() < 9.0e15 { scaled.round() / 1e8 + 0.0 } else { v }
}

/// Where the page begins: the corner of the walls, whole drawing units.
pub(crate) fn origin_of(model: &WallModel, mirror: Mirror) -> [f64; 2] {
    let placing = Placing::of(model, mirror);
    placing.drawing([0.0, 0.0]).map(f64::floor)
}

/// From the plan of one model to the page.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OnPage {
    placing: Placing,
    frame: Placing,
    offset: [f64; 2],
}

impl OnPage {
    pub fn new(frame: &Frame, model: &WallModel) -> OnPage {
        let placing = Placing::of(model, frame.placing.mirror);
        let offset = frame.plan_offset(model.origin_inches);
        OnPage { placing, frame: frame.placing, offset }
    }
    pub fn offset(&self) -> [f64; 2] {
        self.offset
    }
    /// A place of the plan.
    pub fn point(&self, p: Point) -> [f64; 2] {
        [tidy(p.x.to_inches() + self.offset[0]), tidy(p.y.to_inches() + self.offset[1])]
    }
    /// The same by way of the drawing: what overrides that were kept and read again give, to the last bit.
    pub fn by_drawing(&self, p: Point) -> [f64; 2] {
        let drawing = self.placing.drawing([p.x.to_inches(), p.y.to_inches()]);
        self.frame.inches(drawing).map(tidy)
    }
}
