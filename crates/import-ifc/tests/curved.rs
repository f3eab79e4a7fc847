//! Curved walls: planned as straight parts, or left out, as the settings say.

mod common;

use common::{Model, has};
use settings::{CurvedWalls, Settings};
use std::f64::consts::{FRAC_PI_2, TAU};
use wall_model::{OpeningKind, WallModel};

const RADIUS: f64 = 120.0;

fn leave_out() -> Settings {
    Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() }
}

/// A quarter of a circle about the origin, from (120, 0) to (0, 120), with an axis.
fn quarter(m: &mut Model) -> u64 {
    let circle = m.add(&format!("IFCCIRCLE(#4,{RADIUS:?})"));
    let arc = m.add(&format!(
        "IFCTRIMMEDCURVE(#{circle},(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE({FRAC_PI_2})),.T.,.PARAMETER.)"
    ));
    m.axis(arc)
}

/// What lies between two circles about the origin over a quarter, as one outline with two arcs, extruded.
fn quarter_body(m: &mut Model, inner: f64, outer: f64) -> u64 {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let points = [
        (outer, 0.0),
        (outer * half, outer * half),
        (0.0, outer),
        (0.0, inner),
        (inner * half, inner * half),
        (inner, 0.0),
    ];
    let text: Vec<String> = points.iter().map(|(x, y)| format!("({x:?},{y:?})")).collect();
    let list = m.add(&format!("IFCCARTESIANPOINTLIST2D(({}))", text.join(",")));
    let outline = m.add(&format!(
        "IFCINDEXEDPOLYCURVE(#{list},(IFCARCINDEX((1,2,3)),IFCLINEINDEX((3,4)),IFCARCINDEX((4,5,6)),IFCLINEINDEX((6,1))),$)"
    ));
    let profile = m.add(&format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{outline})"));
    let solid = m.add(&format!("IFCEXTRUDEDAREASOLID(#{profile},#4,#3,97.125)"));
    m.body("SweptSolid", solid)
}

/// Distances of all ends from the origin, least and greatest, and the lengths together.
fn measures(model: &WallModel) -> (f64, f64, f64) {
    let origin = model.origin_inches;
    let mut range = (f64::MAX, f64::MIN);
    for p in model.walls.iter().flat_map(|w| [w.start, w.end]) {
        let d = (p.x.to_inches() + origin.0).hypot(p.y.to_inches() + origin.1);
        range = (range.0.min(d), range.1.max(d));
    }
    (range.0, range.1, model.walls.iter().map(|w| w.length().to_inches()).sum())
}

#[test]
fn parts_of_an_arc_have_their_ends_on_it() {
    let mut m = Model::inches();
    let axis = quarter(&mut m);
    let body = quarter_body(&mut m, RADIUS - 1.75, RADIUS + 1.75);
    let shape = m.shape(&[axis, body]);
    m.product("IFCWALL", "bow", 19, Some(shape), "$,$");
    let out = m.read();
    // 13 parts of 6.9 degrees: of 12 the middles would be 0.257 in off.
    assert_eq!(out.value.walls.len(), 13, "{:?}", out.findings);
    let (least, most, length) = measures(&out.value);
    assert!((least - RADIUS).abs() < 1e-3 && (most - RADIUS).abs() < 1e-3, "{least} {most}");
    assert!((length - 26.0 * RADIUS * (FRAC_PI_2 / 26.0).sin()).abs() < 1e-3, "{length}");
    let said = out.findings.iter().find(|f| f.code.name() == "ifc-wall-in-parts").unwrap();
    for part in ["radius 10'-0\"", "15'-8 1/2\" long", "as 13 straight parts of 14.491 in"] {
        assert!(said.message.contains(part), "{}", said.message);
    }
    assert_eq!((out.value.ledger.used(), out.value.ledger.ignored_total()), (2, 0));
    let left = m.read_with(&leave_out()).unwrap_err();
    assert!(has(&left.findings, "ifc-wall-curved"), "{:?}", left.findings);
}

/// Where the axis runs along the outer face and says nothing of layers, the plates lie in the body's middle.
#[test]
fn the_faces_tell_where_the_plates_lie() {
    for (inner, outer, middle) in
        [(RADIUS - 3.5, RADIUS, RADIUS - 1.75), (RADIUS, RADIUS + 3.5, RADIUS + 1.75)]
    {
        let mut m = Model::inches();
        let axis = quarter(&mut m);
        let body = quarter_body(&mut m, inner, outer);
        let shape = m.shape(&[axis, body]);
        m.product("IFCWALL", "bow", 19, Some(shape), "$,$");
        let out = m.read();
        let (least, most, _) = measures(&out.value);
        // A part is moved square to itself: its ends come a hair off the arc.
        assert!((least - middle).abs() < 0.01 && (most - middle).abs() < 0.01, "{least} {most}");
    }
}

#[test]
fn a_body_alone_gives_its_middle() {
    let mut m = Model::inches();
    let body = quarter_body(&mut m, RADIUS - 1.75, RADIUS + 1.75);
    let shape = m.shape(&[body]);
    m.product("IFCWALL", "bow", 19, Some(shape), "$,$");
    let out = m.read();
    assert_eq!(out.value.walls.len(), 13, "{:?}", out.findings);
    let (least, most, _) = measures(&out.value);
    assert!((least - RADIUS).abs() < 0.05 && (most - RADIUS).abs() < 0.05, "{least} {most}");
}

#[test]
fn a_whole_circle_comes_back_to_its_start() {
    let mut m = Model::inches();
    let circle = m.add("IFCCIRCLE(#4,120.)");
    let axis = m.axis(circle);
    let shape = m.shape(&[axis]);
    m.product("IFCWALL", "round", 19, Some(shape), "$,$");
    let out = m.read();
    assert_eq!(
        out.value.walls.len(),
        (TAU / (2.0 * (1.0_f64 - 0.25 / RADIUS).acos())).ceil() as usize
    );
    let (least, most, _) = measures(&out.value);
    assert!((least - RADIUS).abs() < 1e-3 && (most - RADIUS).abs() < 1e-3);
}

/// A door of 36 in in the middle of the arc lies in the parts it spans, and in no other.
#[test]
fn a_door_lies_in_all_parts_it_spans() {
    let mut m = Model::inches();
    let axis = quarter(&mut m);
    let body = quarter_body(&mut m, RADIUS - 1.75, RADIUS + 1.75);
    let shape = m.shape(&[axis, body]);
    let wall = m.product("IFCWALL", "bow", 19, Some(shape), "$,$");
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let at = m.placed([RADIUS * half, RADIUS * half, 0.0], [-half, half, 0.0]);
    let solid = m.solid([-18.0, -6.0, 0.0], [18.0, 6.0, 80.0]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    let hole = m.product("IFCOPENINGELEMENT", "hole", at, Some(shape), "$");
    m.add(&format!("IFCRELVOIDSELEMENT('v',$,$,$,#{wall},#{hole})"));
    m.fill("IFCDOOR", "door", hole);
    let out = m.read();
    let openings: Vec<_> = out.value.walls.iter().flat_map(|w| &w.openings).collect();
    assert!(openings.iter().all(|o| o.kind == OpeningKind::Door), "{openings:?}");
    let wide: f64 = openings.iter().map(|o| (o.to - o.from).to_inches()).sum();
    // Along the parts: a chord of 36 in is an arc of 36.14.
    assert!((36.0..36.2).contains(&wide), "{wide} {openings:?}");
    assert_eq!(openings.len(), 3);
    assert!(!has(&out.findings, "ifc-opening-shape"), "{:?}", out.findings);
    assert_eq!(out.value.ledger.ignored_total(), 0);
}
