//! A house as plain data, from which the test drawings are written: one description, two formats.
//!
//! Coordinates are whole sixteenths of an inch, so that no writer has anything to round.

/// Sixteenths of an inch.
pub type Ticks = i64;

/// Sixteenths in an inch.
pub const INCH: Ticks = 16;

/// What an opening is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Down to the floor, with a leaf.
    Door,
    /// With a sill.
    Window,
}

/// An opening, by its two sides on the wall's centreline.
#[derive(Clone, Copy, Debug)]
pub struct Opening {
    /// What it is.
    pub kind: Kind,
    /// The side nearer to the wall's `from`.
    pub from: (Ticks, Ticks),
    /// The other side.
    pub to: (Ticks, Ticks),
}

/// A wall by its framing centreline.
#[derive(Clone, Debug)]
pub struct Wall {
    /// Name, unique in the house.
    pub key: String,
    /// Drawing layer; it says side and section as the drafters' tokens do.
    pub layer: &'static str,
    /// One end.
    pub from: (Ticks, Ticks),
    /// The other end. The outside of an exterior wall is to the right of `from -> to`.
    pub to: (Ticks, Ticks),
    /// Section of its plates: `2x4`, `2x6`.
    pub section: &'static str,
    /// Top of the upper plate above the floor.
    pub top: Ticks,
    /// On the outline?
    pub exterior: bool,
    /// Bearing?
    pub bearing: bool,
    /// Drawn as part of the one closed polyline of the outline (DXF only).
    pub in_outline: bool,
    /// Its openings.
    pub openings: Vec<Opening>,
}

impl Wall {
    /// Width of the studs.
    pub fn stud_width(&self) -> Ticks {
        if self.section == "2x6" { 88 } else { 56 }
    }
    /// Length in inches.
    pub fn length_in(&self) -> f64 {
        distance_in(self.from, self.to)
    }
}

/// Distance between two points in inches.
pub fn distance_in(a: (Ticks, Ticks), b: (Ticks, Ticks)) -> f64 {
    let (dx, dy) = ((b.0 - a.0) as f64 / 16.0, (b.1 - a.1) as f64 / 16.0);
    if dx == 0.0 || dy == 0.0 { dx.abs() + dy.abs() } else { dx.hypot(dy) }
}

/// A house.
#[derive(Clone, Debug)]
pub struct House {
    /// Title written in the drawing.
    pub title: &'static str,
    /// Walls in drawing order.
    pub walls: Vec<Wall>,
}

/// Top of the upper plate of an ordinary storey: 92-5/8 in studs and three plates.
pub const ORDINARY_TOP: Ticks = 97 * INCH + 2;

/// A rectangular house divided by `across` walls across it and one wall along its middle: `6 + 2 *
/// across` walls, exterior 2x6, interior 2x4, a door in every room. For benchmarks and size tests.
pub fn row_house(across: usize) -> House {
    let (depth, bay) = (320 * INCH, 144 * INCH);
    let length = bay * (across as Ticks + 1);
    let mid = depth / 2;
    let mut walls = Vec::new();
    let mut wall = |key: String, exterior: bool, from, to, openings| {
        walls.push(Wall {
            key,
            layer: if exterior { "A-WALL-EXTR-2X6" } else { "A-WALL-INTR-2X4" },
            from,
            to,
            section: if exterior { "2x6" } else { "2x4" },
            top: ORDINARY_TOP,
            exterior,
            bearing: exterior,
            in_outline: false,
            openings,
        });
    };
    let window =
        |a: (Ticks, Ticks), b: (Ticks, Ticks)| Opening { kind: Kind::Window, from: a, to: b };
    let windows = |y: Ticks| -> Vec<Opening> {
        (0..=across as Ticks)
            .map(|i| window((i * bay + 48 * INCH, y), (i * bay + 96 * INCH, y)))
            .collect()
    };
    wall("south".into(), true, (0, 0), (length, 0), windows(0));
    wall("east".into(), true, (length, 0), (length, depth), vec![]);
    wall("north".into(), true, (length, depth), (0, depth), windows(depth));
    wall("west".into(), true, (0, depth), (0, 0), vec![]);
    for (i, (a, b)) in [(0, length / 2), (length / 2, length)].into_iter().enumerate() {
        wall(format!("spine {i}"), false, (a, mid), (b, mid), vec![]);
    }
    for i in 1..=across as Ticks {
        let x = i * bay;
        let door = |y: Ticks| Opening {
            kind: Kind::Door,
            from: (x, y + 24 * INCH),
            to: (x, y + 56 * INCH),
        };
        wall(format!("south {i}"), false, (x, 0), (x, mid), vec![door(0)]);
        wall(format!("north {i}"), false, (x, mid), (x, depth), vec![door(mid)]);
    }
    House { title: "ROW HOUSE - TEST DRAWING, NOT A REAL PLAN", walls }
}
