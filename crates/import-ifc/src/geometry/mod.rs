//! Geometry of products: placements, curves, profiles, bodies.
//!
//! Knows: how IFC places and shapes things, in the file's own length unit and double precision.
//! Never touches: units, layers, lumber, storeys, findings; a failure is a sentence.

pub mod affine;
pub mod apart;
pub mod bent;
pub mod body;
pub mod curve;
pub mod elevation;
pub mod footprint;
pub mod members;
pub mod mesh;
pub mod opened;
pub mod placement;
pub mod profile;
pub mod region;
pub mod removal;
pub mod top;

use crate::file::{File, Why};
use crate::step::{Param, Params, Record};
use affine::Vec3;
use limits::{Limit, Limits, Watch};
use rustc_hash::FxHashMap;
use std::cell::{Cell, RefCell};
use std::rc::Rc;

/// The file with what is needed to read shapes safely.
pub struct Shapes<'f, 'a> {
    /// The file.
    pub file: &'f File<'a>,
    /// Radians in the file's unit of plane angle.
    pub angle_unit: f64,
    /// Points and items that may still be read. Copies of copies can describe more geometry than any
    /// memory holds; real files use a small part of this.
    fuel: Cell<u64>,
    /// What it was to begin with.
    given: u64,
    /// Deepest nesting met.
    deepest: Cell<usize>,
    limits: Limits,
    watch: Option<&'f Watch>,
    /// Corners of representations that are copied, by entity id.
    corners: RefCell<FxHashMap<u64, Rc<[Vec3]>>>,
}

impl<'f, 'a> Shapes<'f, 'a> {
    /// A reader of shapes under the usual limits, with a budget that goes by the size of the file.
    pub fn new(file: &'f File<'a>, angle_unit: f64) -> Shapes<'f, 'a> {
        Shapes::within(file, angle_unit, &Limits::default(), None)
    }
    /// The same under these limits.
    pub fn within(
        file: &'f File<'a>,
        angle_unit: f64,
        limits: &Limits,
        watch: Option<&'f Watch>,
    ) -> Shapes<'f, 'a> {
        let given = limits.get(Limit::Entities) + file.bytes().len() as u64;
        Shapes {
            file,
            angle_unit,
            fuel: Cell::new(given),
            given,
            deepest: Cell::new(0),
            limits: *limits,
            watch,
            corners: RefCell::default(),
        }
    }
    /// Whether time is up.
    pub fn is_over(&self) -> bool {
        self.watch.is_some_and(Watch::is_over)
    }
    /// Takes `n` from the budget.
    pub fn spend(&self, n: u64) -> Result<(), Why> {
        let left = self.fuel.get().checked_sub(n);
        self.fuel.set(left.unwrap_or(0));
        if self.watch.is_some_and(|w| w.is_over_at(self.fuel.get() as usize)) {
            return Err("time was up".to_owned()); // said by the border of the reading
        }
        let over = || {
            let limit = self.limits.get(Limit::Entities);
            format!("the file repeats its shapes beyond the limit {}, {limit}", Limit::Entities)
        };
        left.map(|_| ()).ok_or_else(over)
    }
    /// Notes that something is `depth` deep in others, if it may be.
    pub fn enter(&self, what: &str, id: u64, depth: usize) -> Result<(), Why> {
        let most = self.limits.get(Limit::Nesting) as usize;
        if depth > most {
            return Err(format!(
                "{what}#{id} is nested deeper than the limit {}, {most}",
                Limit::Nesting
            ));
        }
        self.deepest.set(self.deepest.get().max(depth));
        Ok(())
    }
    /// Points and items read so far, and the deepest nesting among them.
    pub fn used(&self) -> (u64, u64) {
        (self.given - self.fuel.get(), self.deepest.get() as u64)
    }
    /// The coordinates of an IfcCartesianPoint; a plane point has z 0.
    pub fn point(&self, id: u64) -> Result<Vec3, Why> {
        if let Some(point) = self.file.triple(id, b"IFCCARTESIANPOINT((") {
            return Ok(point);
        }
        let r = self.file.get(id)?;
        if !r.is("IFCCARTESIANPOINT") {
            return Err(format!("#{id} is no point but {}", r.class_name()));
        }
        triple(r.list(0)).ok_or_else(|| format!("#{id} has a coordinate that is not a number"))
    }
    /// The point parameter `n` refers to.
    pub fn point_at(&self, r: &Record<'_>, n: usize) -> Result<Vec3, Why> {
        self.point_of(r, r.param(n).reference())
    }
    /// The point that `r` refers to.
    pub fn point_of(&self, r: &Record<'_>, p: Option<u64>) -> Result<Vec3, Why> {
        match p {
            Some(id) => self.point(id),
            None => Err(format!("#{} {} lacks a point", r.id, r.class_name())),
        }
    }
    /// The ratios of an IfcDirection, not normalised; `None` for `$` and for what is no direction.
    pub fn direction(&self, p: Param<'_>) -> Option<Vec3> {
        self.ratios(p.reference()?)
    }
    /// The same by its id.
    fn ratios(&self, id: u64) -> Option<Vec3> {
        if let Some(ratios) = self.file.triple(id, b"IFCDIRECTION((") {
            return Some(ratios);
        }
        let r = self.file.find(id)?;
        if r.is("IFCDIRECTION") { triple(r.list(0)) } else { None }
    }
}

/// The two or three numbers of a list.
pub fn triple(mut each: Params<'_>) -> Option<Vec3> {
    let x = each.next_number()??;
    let y = each.next_number()??;
    let z = match each.next_number() {
        Some(z) => z?,
        None => 0.0,
    };
    Some([x, y, z])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// What is read at one glance is what the careful reader makes of it, and nothing it would tell of.
        #[test]
        fn points_at_a_glance(
            values in proptest::collection::vec("-?[0-9]{1,3}\\.([0-9]{0,14}|E-3|x)|\\$|#7| 1\\.", 0..5),
            blank in " ?", end in "\\)\\);|\\);|\\),\\$\\);")
        {
            let class = "IFCCARTESIANPOINT";
            let text = format!("#12={blank}{class}(({}{end}\n#13=IFCDIRECTION((0.,0.,1.));\n", values.join(","));
            let file = File::open_to_judge(text.as_bytes());
            if let Some(point) = file.triple(12, b"IFCCARTESIANPOINT((") {
                let record = file.get(12).unwrap();
                prop_assert_eq!(triple(record.list(0)), Some(point), "{}", text);
                prop_assert!(file.odd().is_empty(), "{text}");
            }
        }
    }
}
