//! The demo: an invented house called Willow Bend, in feet and inches of nobody's lot.
//!
//! 36 ft by 28 ft over all, an ell cut from its north-east corner, its south-east corner clipped at
//! 45 degrees, 2x6 outside, 2x4 inside, one 2x6 plumbing wall in line with 2x4s, one crossing, a nib
//! with a free end and a tall porch screen.

use crate::house::{House, INCH, Kind, ORDINARY_TOP, Opening, Ticks, Wall};

const OUTSIDE: &str = "A-WALL-EXTR-2X6";
const PORCH: &str = "A-WALL-EXTR-2X6-PRCH";
const INSIDE: &str = "A-WALL-INTR-2X4";
const SPINE: &str = "A-WALL-INTR-2X4-BRNG";
const PLUMBING: &str = "A-WALL-INTR-2X6-BRNG";

/// Top of the porch screen: 116-5/8 in studs and three plates.
const PORCH_TOP: Ticks = 121 * INCH + 2;

/// Half a 2x6 plate: from the outer face of an exterior wall to its centreline.
const HALF: f64 = 2.75;
/// Centrelines of the outside: outer faces at 0, 36'-0" and 28'-0"; the ell's at 22'-0" and 18'-0".
const WEST: f64 = HALF;
const SOUTH: f64 = HALF;
const EAST: f64 = 432.0 - HALF;
const NORTH: f64 = 336.0 - HALF;
const ELL_EAST: f64 = 264.0 - HALF;
const ELL_NORTH: f64 = 216.0 - HALF;
/// Where the clipped corner leaves the south wall; as far from the east wall along y as along x.
const CLIP_X: f64 = 382.75;
const CLIP_Y: f64 = SOUTH + (EAST - CLIP_X);
/// The wall along the middle.
const MIDDLE: f64 = 164.0;

/// Inches to sixteenths; every number of the demo is a multiple of 1/16 in.
fn ticks(inches: f64) -> Ticks {
    let t = (inches * 16.0).round();
    assert!((t / 16.0 - inches).abs() < 1e-9, "{inches} is not a multiple of 1/16");
    t as Ticks
}
fn at(p: (f64, f64)) -> (Ticks, Ticks) {
    (ticks(p.0), ticks(p.1))
}

/// Where the drawing's own zero lies from the house's lower left outer corner, in the DXF.
pub const DRAWING_ORIGIN: (Ticks, Ticks) = (1200 * INCH, 600 * INCH);

/// Willow Bend.
pub fn willow_bend() -> House {
    let mut walls = Vec::new();
    let mut wall = |key: &str, layer: &'static str, from: (f64, f64), to: (f64, f64)| {
        walls.push(Wall {
            key: key.to_owned(),
            layer,
            from: at(from),
            to: at(to),
            section: if layer.contains("2X6") { "2x6" } else { "2x4" },
            top: if layer == PORCH { PORCH_TOP } else { ORDINARY_TOP },
            exterior: layer.contains("EXTR"),
            bearing: layer == OUTSIDE || layer.contains("BRNG"),
            in_outline: layer == OUTSIDE,
            openings: Vec::new(),
        });
    };
    // The outside, counter-clockwise, so that outdoors is always to the right.
    wall("south", OUTSIDE, (WEST, SOUTH), (CLIP_X, SOUTH));
    wall("clipped corner", OUTSIDE, (CLIP_X, SOUTH), (EAST, CLIP_Y));
    wall("east", OUTSIDE, (EAST, CLIP_Y), (EAST, ELL_NORTH));
    wall("ell north", OUTSIDE, (EAST, ELL_NORTH), (ELL_EAST, ELL_NORTH));
    wall("ell east", OUTSIDE, (ELL_EAST, ELL_NORTH), (ELL_EAST, NORTH));
    wall("north", OUTSIDE, (ELL_EAST, NORTH), (WEST, NORTH));
    wall("west", OUTSIDE, (WEST, NORTH), (WEST, SOUTH));
    wall("porch screen", PORCH, (196.0, NORTH), (196.0, NORTH + 72.0));
    // The wall along the middle: 2x4, a 2x6 plumbing wall in line, 2x4 again.
    wall("middle west", SPINE, (WEST, MIDDLE), (120.0, MIDDLE));
    wall("plumbing", PLUMBING, (120.0, MIDDLE), (196.0, MIDDLE));
    wall("middle east", SPINE, (196.0, MIDDLE), (EAST, MIDDLE));
    // Rooms.
    wall("kitchen", INSIDE, (300.0, SOUTH), (300.0, ELL_NORTH)); // crosses the middle wall
    wall("bath", INSIDE, (94.0, MIDDLE), (94.0, NORTH));
    wall("bedroom", INSIDE, (94.0, 250.0), (ELL_EAST, 250.0));
    wall("study", INSIDE, (72.0, SOUTH), (72.0, MIDDLE));
    wall("dining", INSIDE, (222.0, SOUTH), (222.0, MIDDLE));
    wall("pantry", INSIDE, (222.0, 96.0), (300.0, 96.0));
    wall("closet side", INSIDE, (38.0, MIDDLE), (38.0, 120.0));
    wall("closet front", INSIDE, (38.0, 120.0), (WEST, 120.0));
    wall("nib", INSIDE, (370.0, MIDDLE), (370.0, 128.0));

    let mut house = House { title: "WILLOW BEND - DEMO HOUSE, INVENTED, NOT A REAL PLAN", walls };
    use Kind::{Door, Window};
    let along_x = |y: f64, a: f64, b: f64| ((a, y), (b, y));
    let along_y = |x: f64, a: f64, b: f64| ((x, a), (x, b));
    for (key, kind, (from, to)) in [
        ("south", Window, along_x(SOUTH, 20.0, 56.0)),
        ("south", Door, along_x(SOUTH, 120.0, 158.0)),
        ("south", Window, along_x(SOUTH, 172.0, 208.0)),
        ("south", Window, along_x(SOUTH, 236.0, 284.0)),
        ("south", Window, along_x(SOUTH, 318.0, 366.0)),
        ("clipped corner", Window, ((394.0, 14.0), (418.0, 38.0))),
        ("east", Window, along_y(EAST, 84.0, 132.0)),
        ("east", Window, along_y(EAST, 178.0, 202.0)),
        ("ell north", Door, along_x(ELL_NORTH, 402.0, 330.0)),
        ("ell east", Window, along_y(ELL_EAST, 272.0, 320.0)),
        ("north", Window, along_x(NORTH, 248.0, 212.0)),
        ("north", Window, along_x(NORTH, 84.0, 24.0)),
        ("west", Window, along_y(WEST, 264.0, 216.0)),
        ("west", Window, along_y(WEST, 72.0, 24.0)),
        ("middle east", Door, along_x(MIDDLE, 240.0, 272.0)),
        ("middle east", Door, along_x(MIDDLE, 318.0, 354.0)),
        ("kitchen", Door, along_y(300.0, 30.0, 66.0)),
        ("bath", Door, along_y(94.0, 180.0, 210.0)),
        ("bedroom", Door, along_x(250.0, 200.0, 230.0)),
        ("study", Door, along_y(72.0, 108.0, 140.0)),
        ("dining", Door, along_y(222.0, 116.0, 148.0)),
        ("closet side", Door, along_y(38.0, 156.0, 128.0)),
    ] {
        let opening = Opening { kind, from: at(from), to: at(to) };
        let host = house.walls.iter_mut().find(|w| w.key == key);
        host.unwrap_or_else(|| panic!("no wall {key}")).openings.push(opening);
    }
    house
}

/// The settings file of the demo, as committed beside its drawings.
pub const SETTINGS: &str = include_str!("../../fixtures/demo/demo.toml");
