//! The two first steps of a reading by themselves, so that they can be measured beside other readers:
//! opening a file, and every wall's axis and placement.

use crate::classes::Kind;
use crate::file::File;
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::shape;
use crate::units;

/// Fewer walls than this are read in one part.
const WORTH_PARTING: usize = 512;

/// Walls whose parts memory is asked for at once.
const AT_ONCE: usize = 16;

/// Bytes before a wall in which exporters usually write its placement and shape, and bytes of the wall.
const BEFORE: usize = 1024;
const AFTER: usize = 192;

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
    /// The points of every wall's axis in world coordinates and the file's unit, by ascending wall id;
    /// walls without one are left out. Many walls are read in two halves at a time.
    pub fn axes(&self) -> Vec<Vec<[f64; 3]>> {
        let walls = self.0.ids(Kind::Wall);
        let angle_unit = units::angle_unit(&self.0);
        if walls.len() < WORTH_PARTING {
            return self.axes_of(walls, angle_unit);
        }
        // Parted by number alone, so that the result does not depend on the machine.
        let (first, second) = walls.split_at(walls.len() / 2);
        let (mut axes, more) = std::thread::scope(|threads| {
            let later = threads.spawn(|| self.axes_of(second, angle_unit));
            let first = self.axes_of(first, angle_unit);
            (first, later.join().unwrap_or_else(|_| self.axes_of(second, angle_unit)))
        });
        axes.extend(more);
        axes
    }

    fn axes_of(&self, walls: &[u64], angle_unit: f64) -> Vec<Vec<[f64; 3]>> {
        let shapes = Shapes::new(&self.0, angle_unit);
        let memo = PlacementMemo::default();
        let axis = |id: &u64| {
            let wall = self.0.find(*id)?;
            let mut each = wall.values();
            let placement = each.nth(5)?;
            let shape = each.next()?;
            let world = shapes.world(&memo, placement).ok()?;
            Some(shape::axis(&shapes, shape, &world).ok()??.points)
        };
        let mut axes = Vec::new();
        for some in walls.chunks(AT_ONCE) {
            self.0.touch::<AT_ONCE>(some, BEFORE, AFTER);
            axes.extend(some.iter().filter_map(axis));
        }
        axes
    }
}
