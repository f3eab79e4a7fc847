//! The two first steps of a reading by themselves, so that they can be measured beside other readers:
//! opening a file, and every wall's axis and placement.

use crate::classes::Kind;
use crate::file::File;
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::shape;
use crate::units;

/// An opened file: where every entity is, and which entities are of the classes that matter.
pub struct Opened<'a>(File<'a>);

/// Opens the text of a STEP file.
pub fn open(bytes: &[u8]) -> Opened<'_> {
    Opened(File::open(bytes))
}

impl Opened<'_> {
    /// How many entities there are.
    pub fn entities(&self) -> usize {
        self.0.scan().index.len()
    }
    /// The points of every wall's axis in world coordinates and the file's unit; walls without one are
    /// left out.
    pub fn axes(&self) -> Vec<Vec<[f64; 3]>> {
        let shapes = Shapes::new(&self.0, units::angle_unit(&self.0));
        let memo = PlacementMemo::default();
        let axis = |wall| {
            let world = shapes.world(&memo, crate::step::Record::param(&wall, 5)).ok()?;
            Some(shape::axis(&shapes, &wall, &world).ok()??.points)
        };
        self.0.all(Kind::Wall).filter_map(axis).collect()
    }
}
