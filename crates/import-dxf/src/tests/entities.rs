//! What the entities of a drawing come to, end to end: lines, arcs, multilines, inserts, planes.

use super::{ends, ok, ok_with, with, with_count};
use crate::testing::{Dxf, entity, insert, line};
use diag::Severity;
use lumber::Section;
use settings::Settings;

#[test]
fn polylines_old_and_new_open_and_closed() {
    let corners = [[0.0, 0.0], [240.0, 0.0], [240.0, 120.0]];
    let closed = ok(&Dxf::inches().polyline("A-WALL", &corners, true));
    assert_eq!(closed.value.walls.len(), 3);
    assert_eq!((closed.value.ledger.read(), closed.value.ledger.used()), (1, 1));
    assert_eq!(ok(&Dxf::inches().polyline("A-WALL", &corners, false)).value.walls.len(), 2);
    let old =
        corners.iter().fold(entity("POLYLINE", "A1", "A-WALL", &[(66, 1.0), (70, 1.0)]), |t, p| {
            t + &entity("VERTEX", "A2", "A-WALL", &[(10, p[0]), (20, p[1])])
        });
    let ended = ok(&Dxf::inches()
        .raw(&old)
        .raw("  0\nSEQEND\n  8\nA-WALL\n")
        .line("A-FURN", [0.0; 2], [9.0; 2]));
    assert_eq!(ended.value.walls.len(), 3);
    assert_eq!(ended.value.walls[0].source[0].entity, "A1");
    assert_eq!((ended.value.ledger.read(), ended.value.ledger.used()), (2, 1));
    // A missing SEQEND loses nothing.
    let open_end = ok(&Dxf::inches().raw(&old).line("A-FURN", [0.0; 2], [9.0; 2]));
    assert_eq!(open_end.value.walls, ended.value.walls);
}

#[test]
fn curved_walls_are_errors_and_straight_parts_stay() {
    let d = Dxf::inches()
        .house()
        .entity(
            "LWPOLYLINE",
            "A-WALL",
            &[
                (90, 3.0),
                (70, 0.0),
                (10, 100.0),
                (20, 100.0),
                (42, 1.0),
                (10, 200.0),
                (20, 100.0),
                (10, 300.0),
                (20, 100.0),
            ],
        )
        .entity("ARC", "A-WALL", &[(10, 50.0), (20, 50.0), (40, 40.0), (50, 0.0), (51, 150.0)]);
    let leave_out =
        Settings { curved_walls: settings::CurvedWalls::LeaveOut, ..Settings::default() };
    let o = ok_with(&d, &leave_out);
    let curved = with(&o.findings, "dxf-curved-wall");
    assert_eq!(curved.len(), 2);
    assert!(curved.iter().all(|f| f.severity == Severity::Error && f.at.is_some()));
    assert!(curved.iter().any(|f| f.subject == "105" && f.message.contains("ARC 105")));
    assert_eq!(o.value.walls.len(), 5);
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (6, 5));
}

/// Some programs write lines as splines and arcs as ellipses.
#[test]
fn straight_splines_and_round_ellipses_are_lines_and_arcs() {
    let line = |p: [f64; 2], q: [f64; 2], degree: i32| {
        let n = f64::from(degree);
        let mut tags = vec![(71, n)];
        tags.extend((0..=degree).map(|_| (40, 0.0)));
        tags.extend((0..=degree).map(|_| (40, 1.0)));
        for i in 0..=degree {
            let t = f64::from(i) / n;
            tags.extend([(10, p[0] + (q[0] - p[0]) * t), (20, p[1] + (q[1] - p[1]) * t)]);
        }
        tags
    };
    for degree in [1, 3] {
        let corners = [[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]];
        let wall = |n: usize| line(corners[n], corners[(n + 1) % 4], degree);
        let d = (0..4).fold(Dxf::inches(), |d, n| d.entity("SPLINE", "A-WALL", &wall(n)));
        let o = ok(&d);
        assert_eq!(o.value.walls.len(), 4);
        assert!(with(&o.findings, "dxf-curved-wall").is_empty());
    }
    // Two points to go through, and a spline that bends.
    let fits = [(71, 3.0), (11, 0.0), (21, 100.0), (11, 480.0), (21, 100.0)];
    let o = ok(&Dxf::inches().house().entity("SPLINE", "A-WALL", &fits));
    assert_eq!(o.value.walls.len(), 5);
    let mut bent = line([0.0, 100.0], [480.0, 100.0], 2);
    bent[10].1 = 130.0;
    let o = ok(&Dxf::inches().house().entity("SPLINE", "A-WALL", &bent));
    assert_eq!((o.value.walls.len(), with(&o.findings, "dxf-curved-wall").len()), (4, 1));
    // A quarter of a circle between two walls.
    let ellipse = |ratio: f64| {
        let round = [(10, 300.0), (20, 300.0), (11, 120.0), (21, 0.0), (40, ratio), (41, 0.0)];
        let mut tags = round.to_vec();
        tags.push((42, std::f64::consts::FRAC_PI_2));
        let d = Dxf::inches().line("A-WALL", [420.0, 0.0], [420.0, 300.0]);
        d.line("A-WALL", [0.0, 420.0], [300.0, 420.0]).entity("ELLIPSE", "A-WALL", &tags)
    };
    let o = ok(&ellipse(1.0));
    assert_eq!(with(&o.findings, "dxf-wall-in-parts").len(), 1);
    assert!(with(&o.findings, "dxf-curved-wall").is_empty());
    assert_eq!(with(&ok(&ellipse(0.5)).findings, "dxf-curved-wall").len(), 1);
}

/// Justification and scale are in the element offsets of each vertex, as in mline_walls_r2013.dxf of
/// the corpus (top justification: elements at 0 and -1 along the miter).
#[test]
fn multilines_give_middle_and_thickness() {
    let vertex = |x: f64, y: f64| {
        vec![
            (11, x),
            (21, y),
            (12, 1.0),
            (22, 0.0),
            (13, 0.0),
            (23, 1.0),
            (74, 2.0),
            (41, 0.0),
            (41, 0.0),
            (75, 0.0),
            (74, 2.0),
            (41, -5.5),
            (41, 0.0),
            (75, 0.0),
        ]
    };
    let mut tags =
        vec![(40, 5.5), (70, 0.0), (71, 1.0), (72, 2.0), (73, 2.0), (10, 0.0), (20, 0.0)];
    tags.extend(vertex(0.0, 0.0));
    tags.extend(vertex(240.0, 0.0));
    let o = ok(&Dxf::inches().house().entity("MLINE", "A-WALL", &tags));
    let w = o.value.walls.iter().find(|w| w.section == Section::S2X6).unwrap();
    assert_eq!(w.drawn_thickness.to_inches(), 5.5);
    assert_eq!((w.start.y.to_inches(), w.end.x.to_inches()), (0.0, 240.0));
    assert_eq!(o.value.origin_inches, (0.0, -2.75));
}

/// Autodesk DXF reference, "MLINE", groups 74 and 41: after the offset and the start, by turns where an
/// element is cut and where it goes on. (ezdxf 1.4 reads the numbers but draws elements whole.)
#[test]
fn cuts_through_a_multiline_are_openings() {
    let element = |offset: f64, breaks: &[f64]| {
        let mut tags = vec![(74, breaks.len() as f64 + 1.0), (41, offset)];
        tags.extend(breaks.iter().map(|b| (41, *b)));
        tags.push((75, 0.0));
        tags
    };
    let vertex = |x: f64, upper: &[f64], lower: &[f64]| {
        let mut tags = vec![(11, x), (21, 120.0), (12, 1.0), (22, 0.0), (13, 0.0), (23, 1.0)];
        tags.extend(element(1.75, upper));
        tags.extend(element(-1.75, lower));
        tags
    };
    let mline = |upper: &[f64], lower: &[f64]| {
        let mut tags = vec![(40, 3.5), (70, 1.0), (71, 1.0), (72, 2.0), (73, 2.0)];
        tags.extend([(10, 0.0), (20, 120.0)]);
        tags.extend(vertex(0.0, upper, lower));
        tags.extend(vertex(480.0, &[0.0], &[0.0]));
        tags
    };
    // A door of 36 in, a window of 48, one face open for a tee, and a wall of 16 in that passes.
    let upper = [0.0, 60.0, 96.0, 150.0, 154.0, 200.0, 248.0, 300.0, 316.0];
    let lower = [0.0, 60.0, 96.0, 200.0, 248.0, 300.0, 316.0];
    let passing = Dxf::inches().house().line("A-WALL", [308.0, 0.0], [308.0, 360.0]);
    let walls = |d: &Dxf| {
        let o = ok(d);
        assert!(o.findings.iter().any(|f| f.code == diag::codes::dxf::MLINE_CUT));
        let of = |w: &wall_model::Wall| -> Vec<[f64; 2]> {
            w.openings.iter().map(|o| [o.from.to_inches(), o.to.to_inches()]).collect()
        };
        let cut = o.value.walls.iter().filter(|w| w.start.y == w.end.y);
        let cut = cut.filter(|w| w.start.y.to_inches() == 120.0);
        cut.map(|w| (w.start.x.to_inches(), w.end.x.to_inches(), of(w))).collect::<Vec<_>>()
    };
    let doors = vec![[60.0, 96.0], [200.0, 248.0]];
    let d = passing.entity("MLINE", "A-WALL", &mline(&upper, &lower));
    assert_eq!(walls(&d), [(0.0, 480.0, doors.clone())]);
    // Drawn up to either face it passes as well, a partition as thin as the others does not.
    let stems = |layer: &str| {
        let d = Dxf::inches().layer(layer, 7, 0).house();
        d.line(layer, [308.0, 0.0], [308.0, 118.25]).line(layer, [308.0, 121.75], [308.0, 360.0])
    };
    let thick = [(40, 14.0), (70, 1.0), (71, 1.0), (72, 2.0), (73, 2.0)];
    let stem = |d: Dxf, from: f64, to: f64| {
        let mut tags = thick.to_vec();
        tags.extend([(10, 308.0), (20, from)]);
        for y in [from, to] {
            tags.extend([(11, 308.0), (21, y), (12, 0.0), (22, 1.0), (13, -1.0), (23, 0.0)]);
            for offset in [7.0, -7.0] {
                tags.extend([(74, 2.0), (41, offset), (41, 0.0), (75, 0.0)]);
            }
        }
        d.entity("MLINE", "A-WALL-EXTR-2X8", &tags)
    };
    let both = stem(stem(Dxf::inches().house(), 0.0, 118.25), 121.75, 360.0);
    let d = both.entity("MLINE", "A-WALL", &mline(&upper, &lower));
    assert_eq!(walls(&d), [(0.0, 480.0, doors.clone())]);
    let d = stems("A-WALL").entity("MLINE", "A-WALL", &mline(&upper, &lower));
    assert_eq!(walls(&d)[0].2.len(), 3);
    // Without that wall the cut is an opening too.
    let alone = Dxf::inches().house().entity("MLINE", "A-WALL", &mline(&upper, &lower));
    assert_eq!(walls(&alone), [(0.0, 480.0, vec![doors[0], doors[1], [300.0, 316.0]])]);
    // Wider than any opening without jambs: two walls.
    let wide = [0.0, 100.0, 300.0];
    let two = Dxf::inches().house().entity("MLINE", "A-WALL", &mline(&wide, &wide));
    assert_eq!(walls(&two), [(0.0, 100.0, vec![]), (300.0, 480.0, vec![])]);
}

#[test]
fn blocks_nested_turned_mirrored_scaled_and_arrayed() {
    let wall = line("C1", "A-WALL", [10.0, 0.0], [110.0, 0.0]);
    let base = Dxf::inches().block("IN", [10.0, 0.0], &wall);
    // Base point, turn, mirror: from the insertion point (50, 50) upwards.
    let o = ok(&base.clone().insert("0", "IN", [50.0, 50.0], &[(42, -1.0), (50, 90.0)]));
    assert_eq!(o.value.origin_inches, (50.0, 50.0));
    assert_eq!(ends(&o.value), [[0.0, 0.0, 0.0, 100.0]]);
    assert_eq!(o.value.walls[0].source[0].entity, "100/C1");
    // Unequal scale inside a turned insert.
    let outer = insert("D1", "0", "IN", [0.0, 0.0], &[(41, 2.0), (42, 3.0), (50, 30.0)]);
    let o = ok(&base.clone().block("OUT", [0.0, 0.0], &outer).insert(
        "0",
        "OUT",
        [0.0, 0.0],
        &[(41, 1.0), (42, 4.0)],
    ));
    let (w, want) = (
        &o.value.walls[0],
        [200.0 * 30f64.to_radians().cos(), 4.0 * 200.0 * 30f64.to_radians().sin()],
    );
    assert!(
        (w.end.x.to_inches() - want[0]).abs() < 1e-3
            && (w.end.y.to_inches() - want[1]).abs() < 1e-3
    );
    assert_eq!(w.source[0].entity, "100/D1/C1");
    // Three columns, two rows, turned by a quarter: columns go up, rows to the left.
    let o = ok(&base.clone().insert(
        "0",
        "IN",
        [0.0, 0.0],
        &[(70, 3.0), (71, 2.0), (44, 200.0), (45, 50.0), (50, 90.0)],
    ));
    assert_eq!(o.value.walls.len(), 6);
    let far = o.value.walls.iter().map(|w| w.end.y.to_inches()).fold(0.0, f64::max);
    assert_eq!((far, o.value.origin_inches), (500.0, (-50.0, 0.0)));
    assert_eq!(o.value.ledger.read(), 6);
}

#[test]
fn layer_zero_takes_the_layer_of_its_insert() {
    let zero = line("C1", "0", [0.0, 0.0], [100.0, 0.0]);
    let furniture = line("C2", "A-FURN", [0.0, 9.0], [100.0, 9.0]);
    let d = Dxf::inches().block("B", [0.0, 0.0], &(zero + &furniture)).insert(
        "A-WALL",
        "B",
        [0.0; 2],
        &[],
    );
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 1);
    assert_eq!(o.value.walls[0].source[0].layer, "A-WALL");
    assert_eq!(
        o.value.ledger.ignored().next().unwrap().0,
        "layer not a wall, door or window layer: A-FURN"
    );
}

#[test]
fn downward_extrusion_mirrors_what_is_in_its_own_plane() {
    // The arbitrary axis algorithm: FACTS 8.2. A LINE stays; an LWPOLYLINE and an INSERT turn over.
    let n = [(210, 0.0), (220, 0.0), (230, -1.000_000_000_000_2)];
    let with = |tags: &[(i32, f64)]| [tags, &n].concat();
    let path = ok(&Dxf::inches().entity(
        "LWPOLYLINE",
        "A-WALL",
        &with(&[(90, 2.0), (70, 0.0), (10, 0.0), (20, 0.0), (10, 100.0), (20, 40.0)]),
    ));
    assert_eq!(path.value.origin_inches, (-100.0, 0.0));
    let plain = ok(&Dxf::inches().entity(
        "LINE",
        "A-WALL",
        &with(&[(10, 0.0), (20, 0.0), (11, 100.0), (21, 40.0)]),
    ));
    assert_eq!(plain.value.origin_inches, (0.0, 0.0));
    let block = Dxf::inches().block("B", [0.0; 2], &line("C", "A-WALL", [0.0; 2], [100.0, 40.0]));
    let turned = ok(&block.insert("0", "B", [10.0, 0.0], &n));
    assert_eq!(turned.value.origin_inches, (-110.0, 0.0));
    // On edge: no part of a plan.
    let o = ok(&Dxf::inches().house().entity(
        "LWPOLYLINE",
        "A-WALL",
        &[(10, 0.0), (20, 0.0), (10, 100.0), (20, 40.0), (210, 0.0), (220, -1.0), (230, 0.0)],
    ));
    assert_eq!(with_count(&o, "dxf-not-flat"), 1);
}
