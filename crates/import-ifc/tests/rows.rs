//! Walls with two rows of studs: each row is a wall, with the openings of both, and meets what it must.

mod common;

use common::{Model, has};
use settings::Settings;
use wall_model::{OpeningKind, Wall, WallModel};

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];

/// 9-1/4 in thick, rows of 2x4 an inch apart: their middles 2-1/4 in to either side of the axis.
const DOUBLE: [(&str, f64); 5] = [
    ("Gypsum board", 0.625),
    ("2x4 wood stud", 3.5),
    ("Air", 1.0),
    ("2x4 wood stud", 3.5),
    ("Gypsum board", 0.625),
];

/// The rows of a wall, by its GlobalId, as ends in the drawing's inches; least first.
fn rows(m: &WallModel, guid: &str) -> Vec<[(f64, f64); 2]> {
    let at = |p: geom::Point| {
        let round = |v: f64| (v * 1e6).round() / 1e6;
        (round(p.x.to_inches() + m.origin_inches.0), round(p.y.to_inches() + m.origin_inches.1))
    };
    let own = m.walls.iter().filter(|w| w.source[0].entity == guid);
    let mut all: Vec<_> = own.map(|w| [at(w.start), at(w.end)]).collect();
    all.sort_by(|a, b| a.partial_cmp(b).expect("finite"));
    all
}

fn of<'m>(m: &'m WallModel, guid: &str) -> Vec<&'m Wall> {
    m.walls.iter().filter(|w| w.source[0].entity == guid).collect()
}

#[test]
fn each_row_is_a_wall_with_the_doors_of_both() {
    let mut m = Model::inches();
    let wall = m.layered("party", [0.0, 100.0, 0.0], X, 240.0, &DOUBLE);
    let door = m.opening("hole", wall, [60.0, 90.0, 0.0], [96.0, 110.0, 80.0]);
    m.fill("IFCDOOR", "door", door);
    let out = m.read();
    assert_eq!(
        rows(&out.value, "party"),
        [[(0.0, 97.75), (240.0, 97.75)], [(0.0, 102.25), (240.0, 102.25)]]
    );
    for w in of(&out.value, "party") {
        assert_eq!(w.section, lumber::Section::S2X4);
        assert_eq!(w.drawn_thickness.to_inches(), 4.625);
        let [o] = w.openings.as_slice() else { panic!("{:?}", w.openings) };
        let at = (o.from.to_inches(), o.to.to_inches());
        assert_eq!((o.kind, at), (OpeningKind::Door, (60.0, 96.0)));
    }
    assert!(has(&out.findings, "ifc-stud-rows"), "{:?}", out.findings);
    let told = &out.findings.iter().find(|f| f.code.name() == "ifc-stud-rows").unwrap().message;
    assert!(told.contains("layers 2 and 4 of 5, each 3 1/2\""), "{told}");
    assert!(out.value.ledger.read() == out.value.ledger.used() + out.value.ledger.ignored_total());
}

#[test]
fn a_door_tied_to_nothing_is_in_both_rows_and_a_niche_in_one() {
    let mut m = Model::inches();
    let wall = m.layered("party", [0.0, 0.0, 0.0], X, 240.0, &DOUBLE);
    // A door that stands in the wall by its place alone.
    let placement = m.placed([60.0, 0.0, 0.0], X);
    let solid = m.solid([0.0, -3.0, 0.0], [36.0, 3.0, 80.0]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    m.product("IFCDOOR", "door", placement, Some(shape), "80.,36.,$,$,$");
    // A niche from the left face through the row on that side.
    m.opening("niche", wall, [150.0, 0.4, 30.0], [180.0, 6.0, 60.0]);
    let out = m.read();
    let (low, high) = (of(&out.value, "party")[0], of(&out.value, "party")[1]);
    assert!(low.start.y < high.start.y);
    let kinds = |w: &Wall| w.openings.iter().map(|o| o.kind).collect::<Vec<_>>();
    assert_eq!(kinds(low), [OpeningKind::Door]);
    assert_eq!(kinds(high), [OpeningKind::Door, OpeningKind::Window]);
}

#[test]
fn a_wall_goes_to_the_nearer_row_and_at_a_corner_to_the_outer_one() {
    let single = [("2x4 wood stud", 3.5)];
    let mut m = Model::inches();
    // The party wall runs up from the corner; walls end at its middle from both sides.
    m.layered("party", [200.0, 0.0, 0.0], Y, 240.0, &DOUBLE);
    m.layered("left", [0.0, 120.0, 0.0], X, 200.0, &single);
    m.layered("right", [200.0, 60.0, 0.0], X, 150.0, &single);
    m.layered("corner", [0.0, 0.0, 0.0], X, 200.0, &single);
    let out = m.read();
    let v = &out.value;
    assert_eq!(
        rows(v, "party"),
        [[(197.75, 0.0), (197.75, 240.0)], [(202.25, 0.0), (202.25, 240.0)]]
    );
    assert_eq!(rows(v, "left"), [[(0.0, 120.0), (197.75, 120.0)]]);
    assert_eq!(rows(v, "right"), [[(202.25, 60.0), (350.0, 60.0)]]);
    assert_eq!(rows(v, "corner"), [[(0.0, 0.0), (202.25, 0.0)]]);
}

#[test]
fn rows_meet_rows_outer_to_outer() {
    // A rectangle of double walls, drawn round, and one more that ends at the first from inside.
    let mut m = Model::inches();
    m.layered("south", [0.0, 0.0, 0.0], X, 300.0, &DOUBLE);
    m.layered("east", [300.0, 0.0, 0.0], Y, 200.0, &DOUBLE);
    m.layered("north", [300.0, 200.0, 0.0], [-1.0, 0.0, 0.0], 300.0, &DOUBLE);
    m.layered("west", [0.0, 200.0, 0.0], [0.0, -1.0, 0.0], 200.0, &DOUBLE);
    m.layered("stem", [140.0, 0.0, 0.0], Y, 200.0, &DOUBLE);
    let out = m.read();
    let v = &out.value;
    let (lo, hi) = (2.25, -2.25);
    assert_eq!(rows(v, "south"), [[(hi, hi), (300.0 - hi, hi)], [(lo, lo), (300.0 - lo, lo)]]);
    assert_eq!(
        rows(v, "east"),
        [[(297.75, lo), (297.75, 200.0 - lo)], [(302.25, hi), (302.25, 200.0 - hi)]]
    );
    assert_eq!(
        rows(v, "north"),
        [[(hi, 202.25), (302.25, 202.25)], [(lo, 197.75), (297.75, 197.75)]]
    );
    assert_eq!(rows(v, "west"), [[(hi, hi), (hi, 202.25)], [(lo, lo), (lo, 197.75)]]);
    // Both rows of the stem end at the inner rows.
    assert_eq!(
        rows(v, "stem"),
        [[(137.75, lo), (137.75, 197.75)], [(142.25, lo), (142.25, 197.75)]]
    );
}

#[test]
fn in_line_double_walls_are_passed_and_three_rows_are_not_planned() {
    let single = [("2x4 wood stud", 3.5)];
    let mut m = Model::inches();
    m.layered("one", [0.0, 0.0, 0.0], X, 120.0, &DOUBLE);
    m.layered("two", [120.0, 0.0, 0.0], X, 120.0, &DOUBLE);
    // Ends where the two do, from above: a tee, not a corner.
    m.layered("stem", [120.0, 0.0, 0.0], Y, 100.0, &single);
    let air = ("Air", 1.0);
    let stud = ("Wood stud", 3.5);
    m.layered("three", [0.0, 300.0, 0.0], X, 120.0, &[stud, air, stud, air, stud]);
    let out = m.read();
    assert_eq!(rows(&out.value, "stem"), [[(120.0, 2.25), (120.0, 100.0)]]);
    assert!(rows(&out.value, "three").is_empty() && has(&out.findings, "ifc-framing-layer-tie"));
}

#[test]
fn a_row_of_another_width_is_told() {
    let mut m = Model::inches();
    let uneven = [("2x4 wood stud", 3.5), ("Air", 1.0), ("2x6 wood stud", 5.5)];
    m.layered("uneven", [0.0; 3], X, 120.0, &uneven);
    let out = m.read();
    let [w] = of(&out.value, "uneven")[..] else { panic!("{:?}", out.value.walls) };
    assert_eq!(w.section, lumber::Section::S2X6);
    let told = out.findings.iter().find(|f| f.code.name() == "ifc-stud-row-left").unwrap();
    assert!(told.message.contains("layer 1 of 3, 3 1/2\" thick"), "{}", told.message);
    let settings = Settings::default();
    let seen = import_ifc::inspect(m.text().as_bytes(), &settings).unwrap();
    assert_eq!(
        seen.types[0].layers.iter().map(|l| l.framing).collect::<Vec<_>>(),
        [false, false, true]
    );
}

/// Axes along the outer faces: both rows lie on one side of them.
#[test]
fn rows_beside_an_axis_at_the_face_meet_outer_to_outer() {
    let total = DOUBLE.iter().map(|r| r.1).sum::<f64>();
    let mut m = Model::inches();
    let mut wall = |guid: &str, at: [f64; 3], x: [f64; 3], length: f64| {
        let placement = m.placed(at, x);
        let line = m.polyline(&[[0.0, 0.0], [length, 0.0]]);
        let axis = m.axis(line);
        let solid = m.solid([0.0, 0.0, 0.0], [length, total, 97.125]);
        let body = m.body("SweptSolid", solid);
        let shape = m.shape(&[axis, body]);
        let id = m.product("IFCWALL", guid, placement, Some(shape), "$,$");
        let set = m.layers(guid, &DOUBLE);
        let usage = m.usage(set, "POSITIVE", 0.0);
        m.made_of(id, usage);
    };
    wall("south", [0.0, 0.0, 0.0], X, 300.0);
    wall("east", [300.0, 0.0, 0.0], Y, 200.0);
    let out = m.read();
    let (outer, inner) = (0.625 + 1.75, 0.625 + 1.75 + 4.5);
    assert_eq!(
        rows(&out.value, "south"),
        [[(0.0, outer), (300.0 - outer, outer)], [(0.0, inner), (300.0 - inner, inner)]]
    );
    assert_eq!(
        rows(&out.value, "east"),
        [
            [(300.0 - inner, inner), (300.0 - inner, 200.0)],
            [(300.0 - outer, outer), (300.0 - outer, 200.0)]
        ]
    );
}
