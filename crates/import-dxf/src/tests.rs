//! Whole small drawings, end to end.

use crate::testing::{Dxf, QUADRATIC, entity, insert, line};
use crate::{inspect, read};
use diag::{Finding, Outcome, Refusal, Severity};
use geom::{Length, Point};
use lumber::Section;
use proptest::prelude::*;
use settings::{LayerRule, LayerUse, Mirror, Settings};
use wall_model::{OpeningKind, WallModel};

pub(crate) fn ok(d: &Dxf) -> Outcome<WallModel> {
    ok_with(d, &Settings::default())
}
pub(crate) fn ok_with(d: &Dxf, s: &Settings) -> Outcome<WallModel> {
    match read(d.text().as_bytes(), s) {
        Ok(o) => {
            sums(&o.value);
            o
        }
        Err(r) => panic!("refused: {r}"),
    }
}
fn refused(d: &Dxf) -> Refusal {
    read(d.text().as_bytes(), &Settings::default()).expect_err("a refusal")
}
fn sums(m: &WallModel) {
    assert_eq!(m.ledger.read(), m.ledger.used() + m.ledger.ignored_total());
}
fn codes(findings: &[Finding]) -> Vec<&'static str> {
    let mut c: Vec<_> = findings.iter().map(|f| f.code.name()).collect();
    c.sort_unstable();
    c
}
pub(crate) fn with<'a>(findings: &'a [Finding], code: &str) -> Vec<&'a Finding> {
    findings.iter().filter(|f| f.code.name() == code).collect()
}
/// Walls as inches, for short comparisons.
fn ends(m: &WallModel) -> Vec<[f64; 4]> {
    let f = |p: Point| [p.x.to_inches(), p.y.to_inches()];
    m.walls.iter().map(|w| [f(w.start), f(w.end)].concat().try_into().unwrap()).collect()
}
fn rule(pattern: &str, usage: LayerUse) -> LayerRule {
    LayerRule {
        pattern: pattern.into(),
        usage,
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        roof: None,
    }
}

#[test]
fn a_house_of_four_lines() {
    let o = ok(&Dxf::inches().house());
    assert_eq!(
        ends(&o.value),
        [
            [0.0, 0.0, 0.0, 360.0],
            [0.0, 0.0, 480.0, 0.0],
            [0.0, 360.0, 480.0, 360.0],
            [480.0, 0.0, 480.0, 360.0]
        ]
    );
    let w = &o.value.walls[0];
    assert_eq!((w.section, w.drawn_thickness.to_inches()), (Section::S2X4, 3.5));
    assert_eq!((w.top.to_inches(), w.exterior, w.bearing), (97.125, None, None));
    assert_eq!(w.source[0].entity, "103");
    assert_eq!(codes(&o.findings), ["section-assumed"]);
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (4, 4));
    assert_eq!(o.value.version, "AC1015 (2000)");
    assert_eq!(o.value.storeys[0].name, "Plan");
}

#[test]
fn the_order_of_entities_does_not_show() {
    let lines = [
        line("A1", "A-WALL", [0.0, 0.0], [480.0, 0.0]),
        line("A2", "A-WALL", [480.0, 0.0], [480.0, 360.0]),
        line("A3", "A-WALL", [200.0, 0.0], [200.0, 180.0]),
        line("A4", "A-WALL", [200.0, 216.0], [200.0, 360.0]),
        line("A5", "A-DOOR", [200.0, 180.0], [200.0, 216.0]),
        line("A6", "A-GLAZ", [40.0, 0.0], [80.0, 0.0]),
        line("A7", "A-FURN", [40.0, 0.0], [80.0, 0.0]),
        line("A8", "A-GLAZ", [40.0, 100.0], [80.0, 100.0]),
        insert("B1", "A-WALL", "B", [10.0, 10.0], &[]),
        insert("B2", "0", "B", [30.0, 10.0], &[]),
    ];
    let make = |order: &mut dyn Iterator<Item = &String>| {
        let block = line("C1", "A-WALL", [0.0, 0.0], [0.0, 90.0]);
        ok(&Dxf::inches().block("B", [0.0, 0.0], &block).raw(&order.cloned().collect::<String>()))
    };
    let a = make(&mut lines.iter());
    let b = make(&mut lines.iter().rev());
    assert_eq!(a.value.walls, b.value.walls);
    assert_eq!(a.value.ledger, b.value.ledger);
    let told = |o: &Outcome<WallModel>| {
        let mut v: Vec<String> =
            o.findings.iter().map(|f| format!("{f} {:?} {:?}", f.at, f.source)).collect();
        v.sort();
        v
    };
    assert_eq!(told(&a), told(&b));
}

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
fn with_count(o: &Outcome<WallModel>, code: &str) -> usize {
    with(&o.findings, code).len()
}

#[test]
fn off_frozen_paper_and_invisible_are_left_out_and_counted() {
    let d = Dxf::inches()
        .layer("A-WALL", 7, 0)
        .layer("S-WALL", -7, 0)
        .layer("A-WALL-INTR", 7, 1)
        .layer("GONE", 7, 1)
        .house()
        .line("S-WALL", [0.0; 2], [90.0, 0.0])
        .line("A-WALL-INTR", [0.0; 2], [90.0, 0.0])
        .entity("LINE", "A-WALL", &[(67, 1.0), (10, 0.0), (20, 0.0), (11, 9.0), (21, 0.0)])
        .entity("LINE", "A-WALL", &[(60, 1.0), (10, 0.0), (20, 0.0), (11, 9.0), (21, 0.0)])
        .block("B", [0.0; 2], &line("C", "A-WALL", [0.0; 2], [100.0, 40.0]))
        .insert("GONE", "B", [0.0; 2], &[]);
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 4);
    let reasons: Vec<(&str, u64)> = o.value.ledger.ignored().map(|(r, i)| (r, i.count)).collect();
    assert_eq!(
        reasons,
        [
            ("invisible entity", 1),
            ("layer is frozen: A-WALL-INTR", 1),
            ("layer is frozen: GONE", 1),
            ("layer is off: S-WALL", 1),
            ("paper space", 1),
        ]
    );
    assert_eq!(with_count(&o, "dxf-hidden-walls"), 3);
}

#[test]
fn doors_and_windows_are_laid_on_walls() {
    // A door block, hinge at its base point, leaf drawn open, 36 in wide.
    let leaf = line("C1", "0", [0.0, 0.0], [0.0, 36.0]);
    let swing =
        entity("ARC", "C2", "0", &[(10, 0.0), (20, 0.0), (40, 36.0), (50, 0.0), (51, 90.0)]);
    let d = Dxf::inches()
        .block("DOOR36", [0.0; 2], &(leaf + &swing))
        .line("A-WALL", [0.0, 0.0], [100.0, 0.0])
        .line("A-WALL", [136.0, 0.0], [480.0, 0.0])
        .line("A-WALL", [0.0, 0.0], [0.0, 360.0])
        .insert("A-DOOR", "DOOR36", [100.0, 0.0], &[])
        .polyline("A-GLAZ", &[[200.0, -2.75], [260.0, -2.75], [260.0, 2.75], [200.0, 2.75]], true)
        .line("A-DOOR", [900.0, 900.0], [936.0, 900.0]);
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 2);
    let w = &o.value.walls[1];
    assert_eq!(w.length(), Length::inches(480));
    assert_eq!(w.source.len(), 2);
    let found: Vec<_> =
        w.openings.iter().map(|x| (x.kind, x.from.to_inches(), x.to.to_inches())).collect();
    assert_eq!(found, [(OpeningKind::Door, 100.0, 136.0), (OpeningKind::Window, 200.0, 260.0)]);
    assert_eq!(w.openings[0].source[0].entity, "103/C1");
    assert_eq!(with_count(&o, "dxf-walls-joined"), 1);
    let lost = with(&o.findings, "dxf-opening-unhosted");
    assert_eq!(lost.len(), 1);
    assert!(lost[0].message.contains("105") && lost[0].at.is_some());
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (7, 6));
}

#[test]
fn mirrored_drawing_mirrors_openings_and_places() {
    let d = Dxf::inches()
        .line("A-WALL", [0.0, 0.0], [480.0, 0.0])
        .line("A-WALL", [0.0, 0.0], [0.0, 360.0])
        .line("A-GLAZ", [100.0, 0.0], [140.0, 0.0])
        .line("A-GLAZ", [100.0, 100.0], [140.0, 100.0]);
    let m = ok_with(&d, &Settings { mirror: Mirror::X, ..Settings::default() });
    let w = m.value.walls.iter().find(|w| !w.openings.is_empty()).unwrap();
    assert_eq!((w.openings[0].from.to_inches(), w.openings[0].to.to_inches()), (340.0, 380.0));
    let lost = with(&m.findings, "dxf-opening-unhosted")[0].at.unwrap();
    assert_eq!((lost.x.to_inches(), lost.y.to_inches()), (360.0, 100.0));
}

#[test]
fn sections_by_rule_token_thickness_default() {
    let wide = |w: f64, y: f64| vec![(90, 2.0), (43, w), (10, 0.0), (20, y), (10, 200.0), (20, y)];
    let d = Dxf::inches()
        .line("A-WALL-EXTR-2X6", [0.0, 0.0], [480.0, 0.0])
        .line("PARTITION", [0.0, 0.0], [0.0, 300.0])
        .entity("LWPOLYLINE", "A-WALL", &wide(4.5, 100.0))
        .entity("LWPOLYLINE", "A-WALL", &wide(9.0, 200.0))
        .entity("LWPOLYLINE", "A-WALL", &wide(0.5, 300.0));
    let mut s = Settings::default();
    s.layers.push(LayerRule {
        section: Section::from_name("2x8"),
        top: Some(Length::inches(120)),
        bearing: Some(true),
        ..rule("part*", LayerUse::Wall)
    });
    let o = ok_with(&d, &s);
    let mut got: Vec<_> = o
        .value
        .walls
        .iter()
        .map(|w| {
            (w.start.y.to_inches(), w.section.name(), w.top.to_inches(), w.exterior, w.bearing)
        })
        .collect();
    got.sort_by(|a, b| (a.0, a.1).partial_cmp(&(b.0, b.1)).unwrap());
    assert_eq!(
        got,
        [
            (0.0, "2x6", 97.125, Some(true), None),
            (0.0, "2x8", 120.0, None, Some(true)),
            (100.0, "2x4", 97.125, None, None),
            (300.0, "2x4", 97.125, None, None),
        ]
    );
    // 9 in is no stud wall: left out unless a default says otherwise.
    assert_eq!(codes(&o.findings), ["dxf-section-drawn", "section-assumed", "section-unknown"]);
    assert!(with(&o.findings, "section-unknown")[0].message.contains("9\""));
    s.default_section = Some(Section::S2X6);
    let o = ok_with(&d, &s);
    assert_eq!((o.value.walls.len(), codes(&o.findings)), (5, vec!["dxf-section-drawn"]));
}

/// 95 mm is 64 mm and two boards of 5/8 in but for 0.75 mm; 80 mm is 64 mm and one of them.
#[test]
fn a_thickness_that_boards_explain_poorly_is_warned_about() {
    let of = |mm: f64| {
        let mut d = Dxf::new(Some(4));
        for (x0, y0, x1, y1) in [(0.0, 0.0, 9000.0, 6000.0), (mm, mm, 9000.0 - mm, 6000.0 - mm)] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        let o = ok(&d);
        let told = with(&o.findings, "dxf-section-drawn");
        told.first().map(|f| (f.severity, f.message.clone()))
    };
    let (severity, message) = of(95.0).unwrap();
    assert_eq!(severity, diag::Severity::Warning);
    assert!(
        message.contains(
            "planned as 38x64, with 5/8 in of board on each side. That does not fit well"
        ),
        "{message}"
    );
    let (severity, message) = of(80.0).unwrap();
    assert_eq!(severity, diag::Severity::Note);
    assert!(message.contains("planned as 38x64, with 5/8 in of board on one side."), "{message}");
    assert_eq!(of(89.0), None);
}

#[test]
fn face_pairs_become_walls() {
    let mut d = Dxf::inches();
    for (x0, y0, x1, y1) in [(0.0, 0.0, 480.0, 360.0), (4.5, 4.5, 475.5, 355.5)] {
        d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
    }
    let o = ok(&d);
    assert_eq!(o.value.origin_inches, (2.25, 2.25));
    assert_eq!(
        ends(&o.value),
        [
            [0.0, 0.0, 0.0, 355.5],
            [0.0, 0.0, 475.5, 0.0],
            [0.0, 355.5, 475.5, 355.5],
            [475.5, 0.0, 475.5, 355.5]
        ]
    );
    let w = &o.value.walls[0];
    assert_eq!((w.section, w.drawn_thickness.to_inches(), w.source.len()), (Section::S2X4, 4.5, 2));
    assert_eq!(codes(&o.findings), ["dxf-face-lines", "dxf-section-drawn"]);
    assert!(o.findings[0].message.contains("4 at 4 1/2\""), "{}", o.findings[0].message);
    let section = with(&o.findings, "dxf-section-drawn")[0];
    assert_eq!(
        (section.message.as_str(), section.severity),
        (
            "Layer A-WALL: 4 walls are drawn 4 1/2\" (114 mm) thick and planned as 2x4, with 1/2 in of board on each side.",
            diag::Severity::Note
        )
    );
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (2, 2));
    // Beside a layer of single lines.
    let o = ok(&d.line("S-WALL", [700.0, 0.0], [900.0, 0.0]));
    assert_eq!((o.value.walls.len(), with_count(&o, "dxf-face-lines")), (5, 1));
    // A pair among many single lines: warned about.
    let o = ok(&Dxf::inches().house().line("A-WALL", [200.0, 0.0], [200.0, 90.0]).line(
        "A-WALL",
        [206.0, 0.0],
        [206.0, 90.0],
    ));
    assert_eq!((o.value.walls.len(), with_count(&o, "dxf-close-parallels")), (6, 1));
}

#[test]
fn face_lines_that_bound_nothing_are_said() {
    let d = Dxf::inches()
        .line("A-WALL", [0.0, 0.0], [200.0, 0.0])
        .line("A-WALL", [0.0, 4.5], [200.0, 4.5])
        .line("A-WALL", [0.0, 0.0], [0.0, 4.5])
        .line("A-WALL", [100.0, 4.5], [100.0, 154.5])
        .polyline("A-WALL", &[[300.0, 0.0], [312.0, 0.0], [312.0, 12.0], [300.0, 12.0]], true);
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 1);
    let left = with(&o.findings, "dxf-face-lines-left")[0];
    assert_eq!(left.severity, Severity::Warning);
    assert!(left.message.contains("1 line, 12 ft in all, 27 %"), "{}", left.message);
    let reasons: Vec<(&str, u64)> = o.value.ledger.ignored().map(|(r, i)| (r, i.count)).collect();
    assert_eq!(
        reasons,
        [
            ("end, jamb or hatch line of a wall: A-WALL", 1),
            ("face line without a partner: A-WALL", 1),
            ("small closed figure, column or cabinet: A-WALL", 1),
        ]
    );
    // More than a third left is an error.
    let o = ok(&d.line("A-WALL", [100.0, 200.0], [100.0, 290.0]));
    assert_eq!(with(&o.findings, "dxf-face-lines-left")[0].severity, Severity::Error);
}

#[test]
fn no_wall_layer_lists_what_there_is() {
    let mut d = Dxf::inches();
    for i in 0..10 {
        let at = f64::from(i) * 40.0;
        d = d.line("HOUSEWALLS2", [0.0, at], [480.0, at]).line(
            "A-FURN",
            [at, 3.0],
            [at + 5.0, 9.0],
        );
    }
    let d = d.line("A-WALL-DEMO", [0.0; 2], [9.0; 2]);
    let r = refused(&d);
    assert_eq!(codes(&r.findings), ["no-walls"]);
    let m = &r.findings[0].message;
    for part in [
        "HOUSEWALLS2 (10 LINE)",
        "A-FURN (10 LINE)",
        "Did you mean HOUSEWALLS2?",
        "A-WALL-DEMO",
        "demolished",
    ] {
        assert!(m.contains(part), "{part}: {m}");
    }
    let i = inspect(d.text().as_bytes(), &Settings::default()).unwrap();
    let lines =
        ["# 10 LINE; 75 % like walls", "[[layers]]", "match = \"HOUSEWALLS2\"", "use = \"wall\""];
    assert_eq!(i.proposal, lines);
    assert_eq!((i.ledger.read(), i.ledger.used()), (21, 0));
    let l = i.layers.iter().find(|l| l.name == "HOUSEWALLS2").unwrap();
    assert_eq!((l.length, l.used_as.as_str(), l.counts.len()), (4800.0, "ignored", 1));
    // The proposal works.
    let s = Settings { layers: vec![rule("HOUSEWALLS2", LayerUse::Wall)], ..Settings::default() };
    assert_eq!(ok_with(&d, &s).value.walls.len(), 10);
}

#[test]
fn units_are_never_guessed() {
    let r = refused(&Dxf::new(None).house());
    assert_eq!(codes(&r.findings), ["units-missing"]);
    let r = refused(&Dxf::new(Some(4)).house());
    assert_eq!(codes(&r.findings), ["units-conflict"]);
    let s = Settings { units: Some(geom::Unit::Foot), ..Settings::default() };
    let o = ok_with(&Dxf::new(None).house(), &s);
    assert_eq!(o.value.walls[1].length(), Length::feet(480));
    assert!(o.value.units.decided_by.starts_with("settings"));
    // Survey feet, far from the origin: exact after recentring.
    let feet = Dxf::new(Some(2)).line("A-WALL", [2e6, 1.5e6], [2e6 + 40.0, 1.5e6]).line(
        "A-WALL",
        [2e6, 1.5e6],
        [2e6, 1.5e6 + 30.5],
    );
    let o = ok(&feet);
    assert_eq!(ends(&o.value), [[0.0, 0.0, 0.0, 366.0], [0.0, 0.0, 480.0, 0.0]]);
}

#[test]
fn references_proxies_and_missing_blocks_are_named() {
    let d = Dxf::inches()
        .house()
        .raw_block("  0\nBLOCK\n  2\nBASE\n 70\n4\n  1\n..\\base\\P2400.dwg\n  0\nENDBLK\n")
        .insert("X-REF", "BASE", [0.0; 2], &[])
        .insert("A-DOOR", "NOWHERE", [0.0; 2], &[])
        .raw("  0\nACAD_PROXY_ENTITY\n  5\nF1\n  8\nA-WALL\n 90\n498\n 91\n500\n")
        .raw("  0\nAEC_WALL\n  5\nF2\n  8\nA-WALL\n");
    let text = d.text().replacen(
        "  0\nSECTION\n  2\nTABLES",
        "  0\nSECTION\n  2\nCLASSES\n  0\nCLASS\n  1\nMY_WALL\n  2\nCppWall\n  0\nENDSEC\n  0\nSECTION\n  2\nTABLES",
        1,
    );
    let o = read(text.as_bytes(), &Settings::default()).unwrap();
    let xref = with(&o.findings, "dxf-xref");
    assert_eq!(xref[0].severity, Severity::Error);
    assert!(xref[0].message.contains("P2400.dwg") && !xref[0].message.contains("base"));
    assert!(with(&o.findings, "dxf-missing-block")[0].message.contains("NOWHERE"));
    let proxy = with(&o.findings, "dxf-proxy-objects")[0];
    assert_eq!(proxy.severity, Severity::Error);
    for part in ["2 objects", "1 of class MY_WALL", "1 AEC_WALL"] {
        assert!(proxy.message.contains(part), "{}", proxy.message);
    }
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (8, 4));
}

#[test]
fn blocks_in_themselves_and_huge_arrays_stop() {
    let own =
        insert("C1", "0", "B", [1.0, 0.0], &[]) + &line("C2", "A-WALL", [0.0; 2], [90.0, 0.0]);
    let o = ok(&Dxf::inches().house().block("B", [0.0; 2], &own).insert("0", "B", [0.0; 2], &[]));
    assert_eq!(o.value.walls.len(), 5);
    assert_eq!(with_count(&o, "file-repaired"), 1);
    // A thousand blocks of a thousand of a thousand lines.
    let grid = [(70, 1000.0), (71, 1000.0), (44, 1.0), (45, 1.0)];
    let mut d =
        Dxf::inches().house().block("B0", [0.0; 2], &line("C2", "A-FURN", [0.0; 2], [90.0, 0.0]));
    for i in 1..5 {
        let inner = insert("C1", "0", &format!("B{}", i - 1), [0.0; 2], &grid);
        d = d.block(&format!("B{i}"), [0.0; 2], &inner);
    }
    let o = ok(&d.insert("0", "B4", [0.0; 2], &[]));
    assert_eq!((o.value.walls.len(), with_count(&o, "limit-reached")), (4, 1));
}

#[test]
fn bad_numbers_are_said_with_their_line() {
    let d = Dxf::inches()
        .house()
        .raw("  0\nLINE\n  5\nF1\n  8\nA-WALL\n 10\nabc\n 20\n0.0\n 11\n9.0\n 21\n0.0\n")
        .raw("  0\nLINE\n  5\nF2\n  8\nA-WALL\n 10\n1,5\n 20\n50.0\n 11\n90,25\n 21\n50.0\n")
        .raw("  0\nLINE\n  8\nA-WALL\n 10\n5.0\n 11\n9.0\n 21\n0.0\n")
        .line("A-WALL", [7.0, 7.0], [7.0, 7.0])
        .line("A-WALL", [1e12, 7.0], [0.0, 7.0]);
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 5);
    let bad = with(&o.findings, "coordinate-bad");
    assert_eq!(bad.len(), 3);
    assert!(bad.iter().any(|f| f.message.contains("F1")));
    let number = d.text().lines().position(|l| l == " 10").unwrap();
    assert!(number > 0);
    let lineless = bad.iter().find(|f| f.subject.starts_with("line ")).unwrap();
    let at: usize = lineless.subject["line ".len()..].parse().unwrap();
    assert_eq!(d.text().lines().nth(at), Some("LINE"));
    let repaired = with(&o.findings, "file-repaired")[0];
    for part in ["4 damaged places", "`abc` is not a number", "`1,5` was read as 1.5"] {
        assert!(repaired.message.contains(part), "{}", repaired.message);
    }
    assert_eq!(with_count(&o, "wall-zero-length"), 1);
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (9, 5));
}

#[test]
fn a_cut_file_loses_its_last_entity_and_says_so() {
    let whole = Dxf::inches().house().text();
    // In the middle of the last number: 360.0 would read as 36.
    let at = whole.rfind("\n 21\n0.0\n  0\nENDSEC").unwrap();
    let cut = &whole[..at + "\n 21\n0".len()];
    let o = read(cut.as_bytes(), &Settings::default()).unwrap();
    assert_eq!(o.value.walls.len(), 3);
    let f = with(&o.findings, "file-truncated")[0];
    assert!(f.severity == Severity::Error && f.message.contains("cut off"));
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (4, 3));
    // After the entities nothing is missing.
    let end = whole.rfind("  0\nEOF").unwrap();
    let o = read(&whole.as_bytes()[..end], &Settings::default()).unwrap();
    assert_eq!(with(&o.findings, "file-truncated")[0].severity, Severity::Warning);
    assert_eq!(o.value.walls.len(), 4);
    // Junk after the end is nobody's business.
    let junk = whole + "\n\x1a\nsome text\n  0\nLINE\n";
    assert!(
        with(&read(junk.as_bytes(), &Settings::default()).unwrap().findings, "file-truncated")
            .is_empty()
    );
}

#[test]
fn names_in_code_pages_and_escapes() {
    for (version, page, raw) in [
        ("AC1018", "ANSI_936", b"\xC7\xBD\xCC\xE5".as_slice()),
        ("AC1027", "ANSI_936", "墙体".as_bytes()),
        ("AC1015", "ANSI_1252", b"\\U+5899\\U+4F53".as_slice()),
        ("AC1015", "ANSI_1252", b"\\M+5C7BD\\M+5CCE5".as_slice()),
    ] {
        let d = Dxf::inches()
            .version(version)
            .header("$DWGCODEPAGE", 3, page)
            .line("LLL", [0.0; 2], [300.0, 0.0])
            .line("LLL", [0.0; 2], [0.0, 300.0]);
        let text = d.text().into_bytes();
        let mut bytes = Vec::new();
        let mut rest = text.as_slice();
        while let Some(i) = memchr::memmem::find(rest, b"LLL") {
            bytes.extend_from_slice(&rest[..i]);
            bytes.extend_from_slice(raw);
            rest = &rest[i + 3..];
        }
        bytes.extend_from_slice(rest);
        let o = read(&bytes, &Settings::default()).unwrap();
        assert_eq!(o.value.walls[0].source[0].layer, "墙体", "{version}");
        assert_eq!(codes(&o.findings), ["dxf-layer-by-word", "section-assumed"]);
    }
}

#[test]
fn dwg_empty_and_foreign_files() {
    let refuse =
        |bytes: &[u8]| read(bytes, &Settings::default()).err().unwrap().findings[0].clone();
    assert_eq!(refuse(b"").code.name(), "file-empty");
    assert!(refuse(b"AC1032\0\0\0\0").message.contains("DWG file (release 2018)"));
    assert_eq!(refuse(b"ISO-10303-21;\nHEADER;").code.name(), "file-foreign");
    for (bytes, want) in [
        (b"999\nmade by hand\n0\nSECTION\n".as_slice(), true),
        (b"AutoCAD Binary DXF\r\n\x1a\0", true),
        (b"%PDF-1.7", false),
        (b"<html>", false),
        (b"0\n1\n2\n", false),
    ] {
        assert_eq!(crate::sniff(bytes), want);
    }
}

#[test]
fn objects_inside_entities_and_unknown_groups_do_no_harm() {
    let d = Dxf::inches().house().raw(
        "  0\nLINE\n  5\nF1\n102\n{ACAD_REACTORS\n330\n0\n102\n}\n  8\nA-WALL\n 83\n5\n 10\n0.0\n 20\n90.0\n 11\n90.0\n 21\n90.0\n\
         101\nEmbedded Object\n 10\n7.0\n1001\nACAD\n1010\n9.0\n",
    );
    let o = ok(&d);
    assert!(ends(&o.value).contains(&[0.0, 90.0, 90.0, 90.0]));
    assert_eq!(codes(&o.findings), ["section-assumed"]);
}

#[test]
fn a_nonsense_top_is_a_settings_mistake() {
    let s = Settings { default_top: Length::ZERO, ..Settings::default() };
    let r = read(Dxf::inches().house().text().as_bytes(), &s).err().unwrap();
    assert_eq!(r.findings[0].code.name(), "settings-bad");
}

/// A drawing with something of everything, for the tests below.
fn medley() -> Dxf {
    let swing =
        entity("ARC", "C2", "0", &[(10, 0.0), (20, 0.0), (40, 36.0), (50, 0.0), (51, 90.0)]);
    Dxf::inches()
        .layer("A-WALL", 7, 0)
        .block("D", [0.0; 2], &(line("C1", "0", [0.0; 2], [0.0, 36.0]) + &swing))
        .house()
        .polyline("A-WALL", &[[100.0, 0.0], [100.0, 90.0], [0.0, 90.0]], false)
        .insert("A-DOOR", "D", [200.0, 0.0], &[(50, 90.0), (41, -1.0), (70, 2.0), (44, 90.0)])
        .raw("  0\nTEXT\n  8\nA-ANNO\n  1\nBed\n")
}

#[test]
fn every_truncation_is_survived() {
    let whole = medley().text().into_bytes();
    for n in 0..whole.len() {
        match read(&whole[..n], &Settings::default()) {
            Ok(o) => sums(&o.value),
            Err(r) => assert!(!r.findings.is_empty()),
        }
    }
}

fn survive(bytes: &[u8]) {
    if let Ok(o) = read(bytes, &Settings::default()) {
        sums(&o.value);
    }
    if let Ok(i) = inspect(bytes, &Settings::default()) {
        assert_eq!(i.ledger.read(), i.ledger.used() + i.ledger.ignored_total());
    }
}

/// Tags that mean something to the reader, with values that may not.
fn tag_soup() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "LINE",
        "LWPOLYLINE",
        "POLYLINE",
        "VERTEX",
        "SEQEND",
        "ARC",
        "INSERT",
        "MLINE",
        "BLOCK",
        "ENDBLK",
        "SECTION",
        "ENDSEC",
        "TABLE",
        "LAYER",
        "EOF",
        "TEXT",
        "ACAD_PROXY_ENTITY",
    ]);
    let value = prop_oneof![
        Just("0.0".to_owned()),
        Just("A-WALL".to_owned()),
        Just("A-DOOR".to_owned()),
        Just("B".to_owned()),
        Just("ENTITIES".to_owned()),
        Just("BLOCKS".to_owned()),
        Just("1e300".to_owned()),
        Just("-1e-300".to_owned()),
        Just("32767".to_owned()),
        Just(String::new()),
        Just("\\U+D800".to_owned()),
        (-1000.0..1000.0_f64).prop_map(|v| v.to_string()),
    ];
    let code = prop::sample::select(vec![
        1, 2, 5, 8, 10, 20, 30, 11, 21, 12, 22, 13, 23, 38, 40, 41, 42, 43, 44, 45, 50, 51, 60, 62,
        67, 70, 71, 72, 73, 74, 90, 91, 101, 210, 220, 230, 999, 1001,
    ]);
    let tag = prop_oneof![
        1 => word.prop_map(|w| format!("  0\n{w}\n")),
        5 => (code, value).prop_map(|(c, v)| format!("{c}\n{v}\n")),
    ];
    prop::collection::vec(tag, 0..120).prop_map(|t| t.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        survive(&bytes);
        let start = b"  0\nSECTION\n  2\nENTITIES\n".as_slice();
        survive(&[start, &bytes].concat());
        survive(&[b"AutoCAD Binary DXF\r\n\x1a\0\0\0SECTION\0\x02\0ENTITIES\0".as_slice(), &bytes].concat());
        survive(&[b"AutoCAD Binary DXF\r\n\x1a\0\0SECTION\0\x02ENTITIES\0".as_slice(), &bytes].concat());
    }

    #[test]
    fn random_tags_never_panic(soup in tag_soup(), more in tag_soup()) {
        let header = "  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n";
        survive(format!(
            "{header}  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nB\n{soup}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{more}  0\nENDSEC\n  0\nEOF\n"
        ).as_bytes());
    }

    #[test]
    fn a_flipped_byte_never_panics(at in 0_usize..4000, to in any::<u8>()) {
        let mut bytes = medley().text().into_bytes();
        let n = bytes.len();
        bytes[at % n] = to;
        survive(&bytes);
    }
}

/// A frame in paper space on a layer called for walls names no walls; what is seen from the side is none.
#[test]
fn what_names_walls_is_in_model_space_and_seen_from_above() {
    let walls = |d: Dxf, on: &str| {
        let t = 6.0;
        let rings = [[0.0, 0.0, 480.0, 360.0], [t, t, 480.0 - t, 360.0 - t]];
        rings.iter().fold(d, |d, [a, b, c, e]| {
            d.polyline(on, &[[*a, *b], [*c, *b], [*c, *e], [*a, *e]], true)
        })
    };
    let frame =
        entity("LINE", "FE", "2ND-WALL", &[(67, 1.0), (10, 0.0), (20, 0.0), (11, 9.0), (21, 9.0)]);
    let read = |d: Dxf| crate::read(d.text().as_bytes(), &Settings::default());
    let found = read(walls(Dxf::inches(), "PLAN").raw(&frame)).unwrap().value;
    assert_eq!(found.walls.len(), 4);
    let refused = read(walls(Dxf::inches(), "SECTION-A").raw(&frame)).unwrap_err();
    let said = &refused.findings[0].message;
    assert!(
        said.starts_with("Nothing is drawn on the wall layer 2ND-WALL, and no lines"),
        "{said}"
    );
}

/// Three partitions on a layer whose name says nothing, beside outer walls on A-WALL.
#[test]
fn layers_that_would_be_missed_are_told() {
    let house = |inner: &str| {
        Dxf::inches()
            .house()
            .line(inner, [200.0, 0.0], [200.0, 360.0])
            .line(inner, [200.0, 150.0], [480.0, 150.0])
            .line(inner, [0.0, 200.0], [200.0, 200.0])
    };
    let told = |d: &Dxf| -> Vec<String> {
        with(&ok(d).findings, "dxf-layer-like-walls").iter().map(|f| f.subject.clone()).collect()
    };
    assert_eq!(told(&house("XYZ 7")), ["XYZ 7"]);
    assert!(told(&house("A-WALL")).is_empty());
    assert!(told(&house("A-FURN")).is_empty());
    // Two faces each, a wall's thickness apart.
    let mut faces = Dxf::inches().house();
    for x in [120.0, 240.0, 360.0] {
        faces = faces.line("XYZ", [x, 1.75], [x, 358.25]).line(
            "XYZ",
            [x + 4.5, 1.75],
            [x + 4.5, 358.25],
        );
    }
    assert_eq!(told(&faces), ["XYZ"]);
    // A counter along a wall, a table, a beam that runs on outside.
    let others = Dxf::inches()
        .house()
        .line("XYZ", [0.0, 25.0], [480.0, 25.0])
        .polyline("XYZ 2", &[[100.0, 100.0], [160.0, 100.0], [160.0, 190.0], [100.0, 190.0]], true)
        .line("XYZ 3", [240.0, -60.0], [240.0, 420.0]);
    assert!(told(&others).is_empty());
    let seen = inspect(house("XYZ 7").text().as_bytes(), &Settings::default()).expect("a look");
    assert!(seen.proposal.contains(&"match = \"XYZ 7\"".to_owned()), "{:?}", seen.proposal);
}

/// Blocks in blocks, each repeated ten times at one step: a thousand houses in 28 places.
fn nest() -> Dxf {
    let array = [(70, 10.0), (44, 500.0)];
    let sides = [[0.0, 0.0], [360.0, 0.0], [360.0, 240.0], [0.0, 240.0]];
    let house: String =
        (0..4).map(|i| line(&format!("F{i}"), "A-WALL", sides[i], sides[(i + 1) % 4])).collect();
    Dxf::inches()
        .block("A", [0.0; 2], &insert("A1", "0", "B", [0.0; 2], &array))
        .block("B", [0.0; 2], &insert("B1", "0", "C", [0.0; 2], &array))
        .block("C", [0.0; 2], &house)
        .insert("0", "A", [0.0; 2], &array)
}

#[test]
fn of_many_lines_in_one_place_a_few_are_looked_at() {
    let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
    let o = ok_with(&nest(), &settings);
    let copies = o.value.ledger.ignored().find(|i| i.0.contains("many times over"));
    // 28 places, of which the outer three at each end have 1, 3, 6 copies and so on.
    assert_eq!(copies.map(|c| c.1.count), Some(4000 - 4 * (28 * 4 - 2 * (3 + 1))));
    assert_eq!(o.value.ledger.used(), 4 * (28 * 4 - 2 * (3 + 1)));
}

#[test]
fn what_inserts_make_counts_as_memory() {
    let d = Dxf::inches().house().block("P", [0.0; 2], &line("F1", "A-WALL", [0.0; 2], [9.0, 0.0]));
    let d = d.insert("0", "P", [0.0; 2], &[(70, 500.0), (71, 500.0), (44, 20.0), (45, 20.0)]);
    let limits = limits::Limits::default().with(limits::Limit::MemoryMb, 128);
    let settings = Settings { limits, ..Settings::default() };
    let refused = read(d.text().as_bytes(), &settings).expect_err("a refusal");
    assert_eq!(codes(&refused.findings), ["limit-reached"]);
    let text = refused.to_string();
    assert!(text.contains("Reading 500000 lines") && text.contains("memory_mb is 128"), "{text}");
}

#[test]
fn inserts_left_out_are_told_by_name() {
    let d =
        Dxf::inches().house().block("LOOP", [0.0; 2], &insert("B7", "0", "LOOP", [0.0; 2], &[]));
    let o = ok(&d.insert("0", "LOOP", [0.0; 2], &[]));
    let found = with(&o.findings, "file-repaired");
    assert!(found[0].message.contains("INSERT B7 at line"), "{}", found[0].message);
    assert!(found[0].message.contains("of block LOOP"), "{}", found[0].message);
    let d = Dxf::inches().house().block("P", [0.0; 2], &line("F1", "0", [0.0; 2], [9.0, 0.0]));
    let o = ok(&d.insert("0", "P", [0.0; 2], &[(70, 2000.0), (71, 2000.0)]));
    let found = with(&o.findings, "limit-reached");
    assert!(found[0].message.contains("it is INSERT 104 at line"), "{}", found[0].message);
    assert!(found[0].message.contains("of block P"), "{}", found[0].message);
}

#[test]
fn other_curves_on_wall_layers_are_told() {
    let circle = |r: f64| {
        Dxf::inches().house().entity("CIRCLE", "A-WALL", &[(10, 100.0), (20, 100.0), (40, r)])
    };
    let ellipse =
        [(10, 100.0), (20, 100.0), (11, 50.0), (21, 0.0), (40, 0.5), (41, 0.0), (42, 3.0)];
    let points = [(10, 0.0), (20, 0.0), (10, 50.0), (20, 50.0), (10, 100.0), (20, 0.0)];
    let spline = [&[(72, 6.0), (73, 3.0)][..], &QUADRATIC, &points].concat();
    for (d, severity) in [
        (circle(100.0), Severity::Error),
        (circle(6.0), Severity::Warning),
        (Dxf::inches().house().entity("ELLIPSE", "A-WALL", &ellipse), Severity::Error),
        (Dxf::inches().house().entity("SPLINE", "A-WALL", &spline), Severity::Error),
    ] {
        let o = ok(&d);
        let found = with(&o.findings, "dxf-curved-wall");
        assert_eq!(found.iter().map(|f| f.severity).collect::<Vec<_>>(), [severity]);
    }
}

#[test]
fn a_layer_name_in_no_table_is_told_too() {
    let text = Dxf::inches().house().text().replace("AC1015", "AC1027");
    let bytes = text.replace("A-WALL", "A-WALL-%%").into_bytes();
    let bytes: Vec<u8> = bytes.into_iter().map(|b| if b == b'%' { 0xFF } else { b }).collect();
    let o = read(bytes.as_slice(), &Settings::default()).expect("a model");
    let found = with(&o.findings, "file-repaired");
    assert!(found[0].message.contains("a layer name does not fit"), "{}", found[0].message);
    assert!(found[0].message.contains("line "), "{}", found[0].message);
}

#[test]
fn only_units_that_can_be_set_are_offered() {
    let refusal = refused(&Dxf::new(Some(3)).house());
    let text = refusal.to_string();
    assert!(text.contains("units-conflict") && !text.contains("units = \"mi\""), "{text}");
}

/// An insert on a frozen layer hides what is in it, whatever layer that is on: that layer is the one named.
#[test]
fn what_a_frozen_insert_hides_is_told_by_its_layer() {
    let d = Dxf::inches()
        .layer("A-WALL", 7, 0)
        .layer("FRZL", 7, 1)
        .house()
        .block("B", [0.0, 0.0], &line("B1", "A-WALL", [0.0, 0.0], [100.0, 0.0]))
        .insert("FRZL", "B", [900.0, 0.0], &[]);
    let o = ok(&d);
    let told = with(&o.findings, "dxf-hidden-walls");
    assert_eq!(told.len(), 1);
    assert!(
        told[0].message.contains("in an insert on layer FRZL, which is frozen"),
        "{}",
        told[0].message
    );
    let reasons: Vec<&str> = o.value.ledger.ignored().map(|r| r.0).collect();
    assert!(reasons.contains(&"layer is frozen: FRZL"), "{reasons:?}");
    assert!(!reasons.contains(&"layer is frozen: A-WALL"), "{reasons:?}");
}

/// Three loose lines of one window do not touch each other, and are one opening all the same.
#[test]
fn a_window_of_loose_lines_is_one_opening() {
    let mut d = Dxf::inches().house();
    for y in [-1.75, 0.0, 1.75] {
        d = d.line("A-GLAZ", [57.25, y], [93.25, y]);
    }
    // Another beside it, an inch of mullion between.
    d = d.line("A-GLAZ", [94.25, 0.5], [130.25, 0.5]);
    let o = ok(&d);
    let all = o.value.walls.iter().flat_map(|w| &w.openings);
    let found: Vec<f64> = all.map(|x| (x.to - x.from).to_inches()).collect();
    assert_eq!(found, [36.0, 36.0]);
}

/// A sound line far from all others is told apart from one with a coordinate that is no number.
#[test]
fn far_off_is_no_bad_number() {
    let far = [6_000_000.0, 0.0];
    let mut d = Dxf::inches().house();
    for x in [100.0, 200.0, 300.0, 400.0] {
        d = d.line("A-WALL", [x, 0.0], [x, 360.0]);
    }
    let o = ok(&d.line("A-WALL", far, [far[0] + 100.0, 0.0]));
    let told = with(&o.findings, "coordinate-bad");
    assert_eq!(told.len(), 1);
    assert!(told[0].message.contains("sound"), "{}", told[0].message);
    assert!(!told[0].message.contains("missing"), "{}", told[0].message);
    let reasons: Vec<&str> = o.value.ledger.ignored().map(|r| r.0).collect();
    assert!(reasons.contains(&"more than 100 km from the other walls: A-WALL"), "{reasons:?}");
}

/// Walls of 80 mm are told as 80 mm, not as the millimetres of a rounded inch.
#[test]
fn millimetres_are_told_as_drawn() {
    let mut d = Dxf::new(Some(4));
    for t in [0.0, 80.0] {
        let (w, h) = (9000.0 - t, 6000.0 - t);
        d = d.polyline("A-WALL", &[[t, t], [w, t], [w, h], [t, h]], true);
    }
    let o = ok(&d);
    let told = with(&o.findings, "dxf-face-lines");
    assert!(told[0].message.contains("(80 mm)"), "{}", told[0].message);
    assert!(o.value.units.decided_by.contains("(80 mm)"), "{}", o.value.units.decided_by);
}
