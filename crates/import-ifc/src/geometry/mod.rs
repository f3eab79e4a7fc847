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
    /// Points and directions read last.
    points: Recent,
    directions: Recent,
}

/// Triples read last, by entity id: zeros and the axes are written once in a file and used everywhere.
struct Recent([Cell<(u64, Vec3)>; RECENT]);

/// How many are kept.
const RECENT: usize = 32;

impl Recent {
    /// Those of the given id; where it is not among them they are read, and kept where they can be.
    #[inline]
    fn of(&self, id: u64, read: impl FnOnce() -> Option<Vec3>) -> Option<Vec3> {
        let place = &self.0[id as usize % RECENT];
        let (known, triple) = place.get();
        if known == id {
            return Some(triple);
        }
        let triple = read()?;
        place.set((id, triple));
        Some(triple)
    }
}

impl Default for Recent {
    fn default() -> Recent {
        // In the place of no. 1 stands no. 0, and the other way round: nothing is found before it is read.
        Recent(std::array::from_fn(|n| Cell::new(((n as u64) ^ 1, [0.0; 3]))))
    }
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
            points: Recent::default(),
            directions: Recent::default(),
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
        let at_a_glance = || self.file.triple(id, b"IFCCARTESIANPOINT((");
        if let Some(point) = self.points.of(id, at_a_glance) {
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
        let at_a_glance = || self.file.triple(id, b"IFCDIRECTION((");
        if let Some(ratios) = self.directions.of(id, at_a_glance) {
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

    #[test]
    fn points_read_last_are_not_taken_for_others() {
        let ids = [0, 1, 32, 33, 64, 1, 0, 33];
        let line = |id: &u64| {
            format!(
                "#{id}=IFCCARTESIANPOINT(({id}.,2.,3.));\n#{}=IFCDIRECTION(({id}.,1.));\n",
                id + 1000
            )
        };
        let text: String = [0, 1, 32, 33, 64].iter().map(line).collect();
        let text = format!("DATA;\n{text}ENDSEC;\nEND-ISO-10303-21;\n");
        let file = File::open(text.as_bytes());
        let shapes = Shapes::new(&file, 1.0);
        for id in ids {
            assert_eq!(shapes.point(id), Ok([id as f64, 2.0, 3.0]));
            assert_eq!(shapes.ratios(id + 1000), Some([id as f64, 1.0, 0.0]));
            // A point is no direction, whatever was read before.
            assert_eq!(shapes.ratios(id), None);
            assert!(shapes.point(id + 1000).is_err());
        }
    }

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
        /// The same of references.
        #[test]
        fn links_at_a_glance(
            values in proptest::collection::vec(prop_oneof![
                4 => "#[0-9]{1,8}", 2 => "\\$", 1 => "\\*|7| #1|#1 |/\\*\\*/#1|'#1'"], 2..4),
            blank in " ?", end in prop_oneof![4 => Just(");"), 1 => Just("));"), 1 => Just(",);"), 1 => Just(" );")])
        {
            let text = format!("#12={blank}IFCLOCALPLACEMENT({}{end}\n#13=IFCDIRECTION((0.,0.,1.));\n", values.join(","));
            let file = File::open_to_judge(text.as_bytes());
            if let Some(links) = file.links::<_, 2>(12, b"IFCLOCALPLACEMENT(", b");") {
                let record = file.get(12).unwrap();
                let read: Vec<Option<u64>> = record.values().map(|p| p.reference()).collect();
                prop_assert_eq!(&read[..], &links[..], "{}", text);
                prop_assert!(links[1].is_none() || file.odd().is_empty(), "{text}");
            }
        }
    }
}
