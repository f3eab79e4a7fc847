//! Drawings with doors hard against other walls, end to end.

use crate::testing::{Dxf, entity, line};
use crate::tests::{ok, with};
use diag::{Outcome, Severity};
use wall_model::{OpeningKind, WallModel};

/// Lines end to end.
fn path(d: Dxf, layer: &str, points: &[[f64; 2]]) -> Dxf {
    points.windows(2).fold(d, |d, p| d.line(layer, p[0], p[1]))
}

/// A house 240 in by 144 in of faces 5-1/2 in apart, its lower wall open from `from` to `to`.
fn open_house(from: f64, to: f64) -> Dxf {
    let (w, h, t, wall) = (240.0, 144.0, 5.5, "A-WALL-EXTR");
    let outer = [[to, 0.0], [w, 0.0], [w, h], [0.0, h], [0.0, 0.0], [from, 0.0]];
    let inner = [[to, t], [w - t, t], [w - t, h - t], [t, h - t], [t, t], [from, t]];
    let inner = if from > t { &inner[..] } else { &inner[..5] };
    let d = path(path(Dxf::inches(), wall, &outer), wall, inner);
    d.line(wall, [from, 0.0], [from, t]).line(wall, [to, 0.0], [to, t])
}

/// Openings of all walls, with the ends of the wall each is in, in the drawing's inches.
fn openings(o: &Outcome<WallModel>) -> Vec<(OpeningKind, [f64; 2], [[f64; 2]; 2])> {
    let (x0, y0) = o.value.origin_inches;
    let back = |p: geom::Point| [p.x.to_inches() + x0, p.y.to_inches() + y0];
    let of = |w: &wall_model::Wall| {
        let ends = [back(w.start), back(w.end)];
        let all = w.openings.iter();
        all.map(|x| (x.kind, [x.from.to_inches(), x.to.to_inches()], ends)).collect::<Vec<_>>()
    };
    o.value.walls.iter().flat_map(of).collect()
}

#[test]
fn a_door_hard_against_the_corner_is_in_the_wall_that_goes_on() {
    // At the inner face, where nothing of the wall is drawn, and an inch from it, where its stub is.
    for (from, carried_on) in [(5.5, 1), (6.5, 0)] {
        let to = from + 36.0;
        let o = ok(&open_house(from, to).line("A-DOOR", [from, 2.75], [to, 2.75]));
        let wall = [[2.75, 2.75], [237.25, 2.75]];
        let want = [(OpeningKind::Door, [from - 2.75, to - 2.75], wall)];
        assert_eq!(openings(&o), want);
        assert_eq!(o.value.walls.len(), 4);
        assert!(with(&o.findings, "dxf-opening-unhosted").is_empty());
        let on = with(&o.findings, "dxf-walls-carried-on");
        assert_eq!(on.len(), carried_on);
        assert!(on.iter().all(|f| f.severity == Severity::Note && f.at.is_some()));
        let told = |f: &&diag::Finding| f.message.starts_with("1 wall that ends at a door");
        assert!(on.iter().all(told), "{on:?}");
    }
}

#[test]
fn a_block_with_leaf_and_swing_says_the_same() {
    // Hinge at the corner, leaf open along the other wall, 34-1/2 in wide in a frame of 36 in.
    let leaf = line("C1", "0", [0.0, 0.0], [0.0, 34.5]);
    let swing =
        entity("ARC", "C2", "0", &[(10, 0.0), (20, 0.0), (40, 34.5), (50, 0.0), (51, 90.0)]);
    let d = open_house(5.5, 41.5).block("DOOR", [0.0; 2], &(leaf + &swing)).insert(
        "A-DOOR",
        "DOOR",
        [6.25, 5.5],
        &[],
    );
    let o = ok(&d);
    assert_eq!(openings(&o), [(OpeningKind::Door, [2.75, 38.75], [[2.75, 2.75], [237.25, 2.75]])]);
}

#[test]
fn the_door_of_a_partition_hard_against_the_wall_it_ends_at() {
    let inside = "A-WALL-INTR";
    let d = path(open_house(100.0, 100.0), inside, &[[120.0, 138.5], [120.0, 37.5]]);
    let d = path(d, inside, &[[123.5, 138.5], [123.5, 37.5], [120.0, 37.5]]);
    let o = ok(&d.line("A-DOOR", [121.75, 5.5], [121.75, 37.5]));
    let (door, ends) = (openings(&o)[0].1, openings(&o)[0].2);
    // From the middle of the outer wall, 2-3/4 in below its inner face.
    assert_eq!((door, ends[0]), ([2.75, 34.75], [121.75, 2.75]));
    assert_eq!(openings(&o).len(), 1);
}

#[test]
fn a_centreline_that_stops_at_its_door_goes_on() {
    let d = Dxf::inches()
        .line("A-WALL-2X6", [38.75, 0.0], [192.0, 0.0])
        .line("A-WALL-2X6", [192.0, 0.0], [192.0, 120.0])
        .line("A-WALL-2X6", [192.0, 120.0], [0.0, 120.0])
        .line("A-WALL-2X6", [0.0, 120.0], [0.0, 0.0]);
    let o = ok(&d.line("A-DOOR", [2.75, 0.0], [38.75, 0.0]));
    let wall = [[0.0, 0.0], [192.0, 0.0]];
    assert_eq!(openings(&o), [(OpeningKind::Door, [2.75, 38.75], wall)]);
}

#[test]
fn what_does_not_reach_the_other_wall_is_an_error_where_the_wall_ends() {
    let severity = |d: Dxf| {
        let o = ok(&d);
        assert!(openings(&o).is_empty() && with(&o.findings, "dxf-walls-carried-on").is_empty());
        let lost = with(&o.findings, "dxf-opening-unhosted");
        assert_eq!(lost.len(), 1);
        (lost[0].severity, lost[0].message.contains("top plates over it may be missing"))
    };
    // The gap is 70 in wide, the door half of that.
    let short = open_house(5.5, 75.5).line("A-DOOR", [39.5, 2.75], [75.5, 2.75]);
    assert_eq!(severity(short), (Severity::Error, true));
    // Beside the wall's line, and in the middle of a room.
    for y in [20.0, 70.0] {
        let off = open_house(5.5, 75.5).line("A-DOOR", [39.5, y], [75.5, y]);
        assert_eq!(severity(off), (Severity::Warning, false));
    }
}

#[test]
fn centrelines_near_each_other_are_named_as_the_likely_cause() {
    let inside = "A-WALL-INTR-2X4";
    let outer = [[0.0, 0.0], [240.0, 0.0], [240.0, 120.0], [0.0, 120.0], [0.0, 0.0]];
    let d = path(Dxf::inches(), "A-WALL-EXTR-2X4", &outer)
        .line(inside, [100.0, 0.0], [100.0, 120.0])
        .line(inside, [107.0, 0.0], [107.0, 60.0])
        .line(inside, [107.0, 60.0], [100.0, 60.0]);
    let o = ok(&path(d, inside, &[[10.0, 0.0], [10.0, 50.0], [0.0, 50.0]]));
    let left = with(&o.findings, "dxf-face-lines-left");
    let said = "said to be 2x4, but 1 wall was found between lines 7\" (178 mm) apart: are these the \
                centrelines of two walls near each other?";
    assert!(left.len() == 1 && left[0].message.contains(said), "{}", left[0].message);
}
