//! How walls are read from small models: units, places, layers, sections, shapes.

mod common;

use common::{Model, has};
use geom::{Length, Point, Unit};
use lumber::Section;
use settings::{CurvedWalls, LayerRule, LayerUse, Mirror, Settings};
use wall_model::{Wall, WallModel};

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];
const ZERO: [f64; 3] = [0.0; 3];

fn p(x: f64, y: f64) -> Point {
    let at = |v| Length::from_inches(v).expect("a usable length");
    Point::new(at(x), at(y))
}
fn inches(l: Length) -> f64 {
    l.to_inches()
}
/// The ends in the drawing's own coordinates, whichever came first.
fn ends(m: &WallModel, w: &Wall) -> [(f64, f64); 2] {
    let at = |q: Point| (q.x.to_inches() + m.origin_inches.0, q.y.to_inches() + m.origin_inches.1);
    [at(w.start), at(w.end)]
}
fn close(a: [(f64, f64); 2], b: [(f64, f64); 2]) -> bool {
    a.iter().zip(&b).all(|(a, b)| (a.0 - b.0).hypot(a.1 - b.1) < 1e-6)
}
fn rule(pattern: &str, section: Option<Section>) -> LayerRule {
    LayerRule {
        pattern: pattern.to_owned(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section,
        top: None,
        roof: None,
    }
}

#[test]
fn a_plain_wall() {
    let mut m = Model::inches();
    m.wall("w1", [12.0, 24.0, 0.0], X, 144.0, 3.5);
    let out = m.read();
    let w = &out.value.walls[0];
    assert_eq!((w.start, w.end), (p(0.0, 0.0), p(144.0, 0.0)));
    assert_eq!(out.value.origin_inches, (12.0, 24.0));
    assert_eq!((w.section, inches(w.drawn_thickness)), (Section::S2X4, 3.5));
    assert_eq!((inches(w.base), inches(w.top)), (0.0, 97.125));
    assert_eq!((w.exterior, w.bearing), (None, None));
    assert_eq!(w.source[0].entity, "w1");
    assert_eq!(w.source[0].layer, "IfcWallStandardCase w1 name");
    assert_eq!(out.value.version, "IFC4");
    assert_eq!(out.value.written_by, "Test Writer 1.0; sys; pre");
    assert_eq!(out.value.storeys[0].name, "Level 1");
    let l = &out.value.ledger;
    assert_eq!((l.used(), l.read()), (2, 2));
    assert!(out.findings.is_empty(), "{:?}", out.findings);
}

#[test]
fn units() {
    let mut m = Model::millimetres();
    m.wall("w1", ZERO, X, 3657.6, 88.9);
    m.lines.retain(|l| !l.contains("97.125"));
    let out = m.read();
    assert_eq!(inches(out.value.walls[0].end.x), 144.0);
    assert_eq!(out.value.units.name, "mm");
    // Inches declared as millimetres: a wall 3.5 mm thick is refused, unless the settings insist.
    let mut wrong = Model::millimetres();
    wrong.wall("w1", ZERO, X, 144.0, 3.5);
    let refusal = wrong.read_with(&Settings::default()).unwrap_err();
    assert!(has(&refusal.findings, "no-walls") || has(&refusal.findings, "units-conflict"));
    let forced = Settings { units: Some(Unit::Inch), ..Settings::default() };
    let out = wrong.read_with(&forced).unwrap();
    assert_eq!(inches(out.value.walls[0].end.x), 144.0);
    let mut none = Model::in_unit("");
    none.wall("w1", ZERO, X, 144.0, 3.5);
    let refusal = none.read_with(&Settings::default()).unwrap_err();
    assert_eq!(refusal.findings[0].code.name(), "units-missing");
    let i = import_ifc::inspect(none.text().as_bytes(), &Settings::default()).unwrap();
    assert!(i.units.is_none() && i.walls_in_file == 1 && has(&i.findings, "units-missing"));
}

#[test]
fn placements_chain_turn_and_mirror() {
    // A storey turned by a quarter and moved; the wall on it turned again.
    let mut m = Model::inches();
    let (o, d) = (m.point(&[100.0, 0.0, 0.0]), m.direction(&Y));
    let a = m.add(&format!("IFCAXIS2PLACEMENT3D(#{o},$,#{d})"));
    m.lines.retain(|l| !l.starts_with("#19="));
    m.lines.push(format!("#19=IFCLOCALPLACEMENT($,#{a});"));
    m.wall("w1", [10.0, 0.0, 0.0], Y, 144.0, 3.5);
    let out = m.read();
    // (10,0) on the storey is (100,10); the wall runs along the storey's y, the world's -x.
    assert!(close(ends(&out.value, &out.value.walls[0]), [(-44.0, 10.0), (100.0, 10.0)]));
    let mirrored =
        m.read_with(&Settings { mirror: Mirror::X, ..Settings::default() }).unwrap().value;
    assert!(close(ends(&mirrored, &mirrored.walls[0]), [(-100.0, 10.0), (44.0, 10.0)]));
}

#[test]
fn a_grid_placement_and_a_loop_are_told() {
    for bad in
        ["IFCGRIDPLACEMENT($,$)", "IFCLOCALPLACEMENT(#102,#4)", "IFCLOCALPLACEMENT(#9999,#4)"]
    {
        let mut m = Model::inches();
        m.wall("good", ZERO, X, 144.0, 3.5);
        let n = m.wall("bad", [0.0, 50.0, 0.0], X, 144.0, 3.5);
        let line = m.lines.iter_mut().find(|l| l.starts_with(&format!("#{n}="))).unwrap();
        *line = format!("#{n}=IFCWALL('bad',$,$,$,$,#90,#91,$,$);");
        m.lines.push(format!("#90={};", bad.replace("#102", "#90")));
        m.lines.push("#91=IFCPRODUCTDEFINITIONSHAPE($,$,());".to_owned());
        let out = m.read();
        assert_eq!(out.value.walls.len(), 1);
        assert!(has(&out.findings, "ifc-wall-shape"), "{bad}: {:?}", out.findings);
        assert_eq!(out.value.ledger.ignored_total(), 1);
    }
}

/// FACTS T60 and T61: offset -70, total 140, POSITIVE covers y -70..70; offset +70, NEGATIVE covers
/// the same with the layers in reverse order.
#[test]
fn layers_lie_where_offset_and_sense_put_them() {
    // 38x89 studs behind 51 mm of something: total 140.
    let rows = [("Gypsum", 51.0), ("Wood stud", 89.0)];
    for (sense, offset, x, want) in [
        ("POSITIVE", -70.0, X, -70.0 + 51.0 + 44.5),
        ("NEGATIVE", 70.0, X, 70.0 - 51.0 - 44.5),
        ("POSITIVE", 0.0, X, 51.0 + 44.5),
        ("NEGATIVE", 0.0, X, -(51.0 + 44.5)),
    ] {
        let mut m = Model::millimetres();
        let placement = m.placed(ZERO, x);
        let line = m.polyline(&[[0.0, 0.0], [3000.0, 0.0]]);
        let axis = m.axis(line);
        let shape = m.shape(&[axis]);
        let w = m.product("IFCWALL", "w1", placement, Some(shape), "$,$");
        let set = m.layers("W", &rows);
        let usage = m.usage(set, sense, offset);
        m.made_of(w, usage);
        let out = m.read();
        let got = ends(&out.value, &out.value.walls[0])[0].1 * 25.4;
        assert!((got - want).abs() < 1e-6, "{sense} {offset}: {got} {want}");
        assert_eq!(out.value.walls[0].section.name(), "38x89");
        assert_eq!(inches(out.value.walls[0].drawn_thickness), inches(Length::mm(140)));
        // No body: the default height.
        assert_eq!(inches(out.value.walls[0].top), 97.125);
    }
}

#[test]
fn an_axis_drawn_backwards_or_upside_down_keeps_its_side() {
    let rows = [("Gypsum", 51.0), ("Wood stud", 89.0)];
    let read = |points: &[[f64; 2]], down: bool| {
        let mut m = Model::millimetres();
        let o = m.point(&ZERO);
        let z = m.direction(&[0.0, 0.0, if down { -1.0 } else { 1.0 }]);
        let a = m.add(&format!("IFCAXIS2PLACEMENT3D(#{o},#{z},#2)"));
        let placement = m.add(&format!("IFCLOCALPLACEMENT(#19,#{a})"));
        let line = m.polyline(points);
        let axis = m.axis(line);
        let shape = m.shape(&[axis]);
        let w = m.product("IFCWALL", "w1", placement, Some(shape), "$,$");
        let set = m.layers("W", &rows);
        let usage = m.usage(set, "POSITIVE", 0.0);
        m.made_of(w, usage);
        let out = m.read();
        ends(&out.value, &out.value.walls[0])[0].1 * 25.4
    };
    // The wall's own +y is up the sheet, whichever way its axis was drawn; turned over it is down.
    assert!((read(&[[0.0, 0.0], [3000.0, 0.0]], false) - 95.5).abs() < 1e-6);
    assert!((read(&[[3000.0, 0.0], [0.0, 0.0]], false) - 95.5).abs() < 1e-6);
    assert!((read(&[[0.0, 0.0], [3000.0, 0.0]], true) + 95.5).abs() < 1e-6);
}

#[test]
fn the_body_is_believed_over_a_wrong_offset() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 144.0, 4.5);
    let set = m.layers("W", &[("Gypsum", 0.5), ("Stud", 3.5), ("Gypsum", 0.5)]);
    let usage = m.usage(set, "POSITIVE", 0.0);
    m.made_of(w, usage);
    let out = m.read();
    assert!(has(&out.findings, "ifc-layer-side"));
    assert!(ends(&out.value, &out.value.walls[0])[0].1.abs() < 1e-9);
}

#[test]
fn framing_choice_and_section() {
    let read = |rows: &[(&str, f64)], settings: &Settings| {
        let mut m = Model::inches();
        let total: f64 = rows.iter().map(|r| r.1).sum();
        let w = m.wall("w1", ZERO, X, 144.0, total);
        let set = m.layers("Type A", rows);
        let usage = m.usage(set, "POSITIVE", -total / 2.0);
        m.made_of(w, usage);
        m.read_with(settings)
    };
    let plain = Settings::default();
    let six = read(&[("Board", 0.625), ("2x6 stud", 5.5), ("Board", 0.625)], &plain).unwrap();
    assert_eq!(six.value.walls[0].section, Section::S2X6);
    // Only the note of which layer it is.
    assert!(six.findings.iter().all(|f| f.code.name() == "ifc-framing-layer"));
    let guessed = read(&[("A", 0.625), ("B", 5.5)], &plain).unwrap();
    assert!(has(&guessed.findings, "ifc-framing-layer-guessed"));
    for (rows, code) in [
        (vec![("A", 3.5), ("Air", 1.0), ("B", 3.5)], "ifc-framing-layer-tie"),
        (vec![("Concrete", 8.0)], "ifc-wall-not-wood"),
        (vec![("Hempcrete", 14.0)], "section-unknown"),
    ] {
        let refusal = read(&rows, &plain).unwrap_err();
        assert_eq!(refusal.findings[0].code.name(), code);
        assert!(has(&refusal.findings, "no-walls"), "{code}");
    }
    let by_rule =
        Settings { layers: vec![rule("type ?", Some(Section::S2X6))], ..Settings::default() };
    assert_eq!(read(&[("Concrete", 8.0)], &by_rule).unwrap().value.walls[0].section, Section::S2X6);
    let fallback = Settings { default_section: Some(Section::S2X4), ..Settings::default() };
    let out = read(&[("Hempcrete", 14.0)], &fallback).unwrap();
    assert_eq!(out.value.walls[0].section, Section::S2X4);
    assert!(has(&out.findings, "section-assumed"));
    let said = |out: &diag::Outcome<wall_model::WallModel>| {
        let of = out.findings.iter().filter(|f| f.code.name() == "section-assumed");
        of.map(|f| f.message.clone()).collect::<String>()
    };
    assert!(!said(&out).contains("wider"), "{}", said(&out));
    let thin = said(&read(&[("Hempcrete", 2.0)], &fallback).unwrap());
    assert!(thin.contains("its plates are 3 1/2\" wide, wider than the wall as drawn"), "{thin}");
}

#[test]
fn settings_rules() {
    let mut m = Model::inches();
    m.wall("w1", ZERO, X, 144.0, 3.5);
    m.wall("w2", [0.0, 60.0, 0.0], X, 144.0, 3.5);
    let mut ignore = rule("w2*", None);
    ignore.usage = LayerUse::Ignore;
    let mut set = rule("W1 NAME", Some(Section::S2X6));
    (set.exterior, set.bearing, set.top) = (Some(true), Some(false), Some(Length::inches(109)));
    let out = m.read_with(&Settings { layers: vec![ignore, set], ..Settings::default() }).unwrap();
    let w = &out.value.walls[0];
    assert_eq!((out.value.walls.len(), w.section), (1, Section::S2X6));
    assert_eq!((w.exterior, w.bearing, inches(w.top)), (Some(true), Some(false), 109.0));
    let reasons: Vec<&str> = out.value.ledger.ignored().map(|(r, _)| r).collect();
    assert_eq!(reasons, ["settings: w2* is ignore"]);
}

#[test]
fn a_presentation_layer_can_be_matched() {
    let mut m = Model::inches();
    m.wall("w1", ZERO, X, 144.0, 4.0);
    let axis = m.lines.iter().find(|l| l.contains("'Axis'")).unwrap();
    let axis = axis.split('=').next().unwrap().to_owned();
    m.add(&format!("IFCPRESENTATIONLAYERASSIGNMENT('A-WALL-EXTR',$,({axis}),$)"));
    let s = Settings { layers: vec![rule("a-wall-*", Some(Section::S2X6))], ..Settings::default() };
    assert_eq!(m.read_with(&s).unwrap().value.walls[0].section, Section::S2X6);
}

#[test]
fn walls_without_axis_take_their_body() {
    let mut m = Model::inches();
    let placement = m.placed([10.0, 20.0, 0.0], Y);
    let solid = m.solid([0.0, 0.0, 0.0], [120.0, 5.5, 97.125]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    m.product("IFCWALL", "w1", placement, Some(shape), "$,$");
    let out = m.read();
    assert!(close(ends(&out.value, &out.value.walls[0]), [(7.25, 20.0), (7.25, 140.0)]));
    assert_eq!(out.value.walls[0].section, Section::S2X6);
}

#[test]
fn unreadable_bodies_without_axis_are_named() {
    let mut m = Model::inches();
    m.wall("good", ZERO, X, 144.0, 3.5);
    let list = m.add("IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(9.,0.,0.),(9.,9.,9.)))");
    let set = m.add(&format!("IFCTRIANGULATEDFACESET(#{list},$,$,((1,2,3)),$)"));
    let body = m.body("Tessellation", set);
    let shape = m.shape(&[body]);
    m.product("IFCWALL", "bad", 19, Some(shape), "$,$");
    let out = m.read();
    let f = out.findings.iter().find(|f| f.code.name() == "ifc-wall-shape").unwrap();
    let want = "no axis and its body is Tessellation without a centreline: it has no upright faces";
    assert!(f.message.contains(want), "{f}");
    assert_eq!(f.source[0].entity, "bad");
}

/// The corners of a box, foot first, and its faces by corner.
fn box_corners(low: [f64; 3], high: [f64; 3]) -> Vec<[f64; 3]> {
    let pick = |axis: usize, up: bool| if up { high[axis] } else { low[axis] };
    let corner = |n: usize| {
        let right = n % 4 == 1 || n % 4 == 2;
        [pick(0, right), pick(1, n % 4 >= 2), pick(2, n >= 4)]
    };
    (0..8).map(corner).collect()
}
const BOX_FACES: [[usize; 4]; 6] =
    [[0, 3, 2, 1], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]];

#[test]
fn faceted_bodies_without_axis_give_their_line() {
    let corners = box_corners([0.0, 0.0, 0.0], [120.0, 5.5, 97.125]);
    let list = |m: &mut Model| {
        let text: Vec<String> =
            corners.iter().map(|c| format!("({:?},{:?},{:?})", c[0], c[1], c[2])).collect();
        m.add(&format!("IFCCARTESIANPOINTLIST3D(({}))", text.join(",")))
    };
    let shell = |m: &mut Model| {
        let points: Vec<u64> = corners.iter().map(|c| m.point(c)).collect();
        let mut faces = Vec::new();
        for f in BOX_FACES {
            let ids: Vec<String> = f.iter().map(|n| format!("#{}", points[*n])).collect();
            let l = m.add(&format!("IFCPOLYLOOP(({}))", ids.join(",")));
            let b = m.add(&format!("IFCFACEOUTERBOUND(#{l},.T.)"));
            faces.push(format!("#{}", m.add(&format!("IFCFACE((#{b}))"))));
        }
        m.add(&format!("IFCCLOSEDSHELL(({}))", faces.join(",")))
    };
    let brep = |m: &mut Model| {
        let s = shell(m);
        m.add(&format!("IFCFACETEDBREP(#{s})"))
    };
    let surface = |m: &mut Model| {
        let s = shell(m);
        m.add(&format!("IFCSHELLBASEDSURFACEMODEL((#{s}))"))
    };
    let polygons = |m: &mut Model| {
        let l = list(m);
        let faces: Vec<String> = BOX_FACES
            .iter()
            .map(|f| {
                let text: Vec<String> = f.iter().map(|n| (n + 1).to_string()).collect();
                format!("#{}", m.add(&format!("IFCINDEXEDPOLYGONALFACE(({}))", text.join(","))))
            })
            .collect();
        m.add(&format!("IFCPOLYGONALFACESET(#{l},.T.,({}),$)", faces.join(",")))
    };
    let triangles = |m: &mut Model| {
        let l = list(m);
        let each = BOX_FACES.iter().flat_map(|f| [[f[0], f[1], f[2]], [f[0], f[2], f[3]]]);
        let text: Vec<String> =
            each.map(|t| format!("({},{},{})", t[0] + 1, t[1] + 1, t[2] + 1)).collect();
        m.add(&format!("IFCTRIANGULATEDFACESET(#{l},$,.T.,({}),$)", text.join(",")))
    };
    let mapped = |m: &mut Model| {
        let item = brep(m);
        let inner = m.body("Brep", item);
        let map = m.add(&format!("IFCREPRESENTATIONMAP(#4,#{inner})"));
        let target = m.add("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#1,$,$)");
        m.add(&format!("IFCMAPPEDITEM(#{map},#{target})"))
    };
    let kinds: [&dyn Fn(&mut Model) -> u64; 5] = [&brep, &surface, &polygons, &triangles, &mapped];
    for (n, item) in kinds.iter().enumerate() {
        let mut m = Model::inches();
        let placement = m.placed([10.0, 20.0, 3.0], Y);
        let item = item(&mut m);
        let body = m.body("Brep", item);
        let shape = m.shape(&[body]);
        m.product("IFCWALL", "w1", placement, Some(shape), "$,$");
        let out = m.read();
        let w = &out.value.walls[0];
        assert!(close(ends(&out.value, w), [(7.25, 20.0), (7.25, 140.0)]), "{n}: {w:?}");
        assert_eq!((w.section, inches(w.base), inches(w.top)), (Section::S2X6, 3.0, 100.125));
        assert!(!has(&out.findings, "ifc-top-not-level"), "{n}");
    }
}

#[test]
fn faces_too_far_apart_are_no_wall() {
    let mut m = Model::inches();
    m.wall("good", ZERO, X, 144.0, 3.5);
    let list = m.add(
        "IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(99.,0.,0.),(99.,0.,9.),(0.,0.,9.),(0.,40.,0.),(99.,40.,0.),(99.,40.,9.),(0.,40.,9.)))",
    );
    let faces = "((1,2,3),(1,3,4),(5,6,7),(5,7,8))";
    let set = m.add(&format!("IFCTRIANGULATEDFACESET(#{list},$,$,{faces},$)"));
    let body = m.body("Tessellation", set);
    let shape = m.shape(&[body]);
    m.product("IFCWALL", "room", 19, Some(shape), "$,$");
    let out = m.read();
    let f = out.findings.iter().find(|f| f.code.name() == "ifc-wall-shape").unwrap();
    assert!(f.message.contains("40.0 in apart"), "{f}");
    assert_eq!(out.value.walls.len(), 1);
}

#[test]
fn curved_and_bent_walls() {
    let mut m = Model::inches();
    let list = m.add("IFCCARTESIANPOINTLIST2D(((0.,0.),(50.,20.),(100.,0.)))");
    let arc = m.add(&format!("IFCINDEXEDPOLYCURVE(#{list},(IFCARCINDEX((1,2,3))),$)"));
    let axis = m.axis(arc);
    let shape = m.shape(&[axis]);
    m.product("IFCWALL", "curved", 19, Some(shape), "$,$");
    let line = m.polyline(&[[0.0, 0.0], [60.0, 0.0], [120.0, 0.0], [120.0, 96.0]]);
    let axis = m.axis(line);
    let shape = m.shape(&[axis]);
    let w = m.product("IFCWALL", "bent", 19, Some(shape), "$,$");
    let set = m.layers("S", &[("Stud", 3.5)]);
    let usage = m.usage(set, "NEGATIVE", 1.75);
    m.made_of(w, usage);
    let leave_out = Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() };
    let out = m.read_with(&leave_out).unwrap();
    assert!(has(&out.findings, "ifc-wall-curved"));
    let lengths: Vec<f64> = out.value.walls.iter().map(|w| inches(w.length())).collect();
    assert_eq!(lengths, [120.0, 96.0]);
    assert_eq!((out.value.ledger.used(), out.value.ledger.read()), (2, 3));
}

#[test]
fn a_trimmed_line_is_an_axis() {
    let mut m = Model::inches();
    let v = m.add("IFCVECTOR(#2,1.)");
    let line = m.add(&format!("IFCLINE(#1,#{v})"));
    let trimmed = m.add(&format!(
        "IFCTRIMMEDCURVE(#{line},(IFCPARAMETERVALUE(12.)),(IFCPARAMETERVALUE(96.)),.T.,.PARAMETER.)"
    ));
    let axis = m.axis(trimmed);
    let solid = m.solid([12.0, -1.75, 0.0], [96.0, 1.75, 97.125]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[axis, body]);
    m.product("IFCWALLELEMENTEDCASE", "w1", 19, Some(shape), "$,$");
    assert_eq!(inches(m.only().length()), 84.0);
}

#[test]
fn an_axis_that_stops_at_a_door_is_lengthened() {
    let mut m = Model::inches();
    let line = m.polyline(&[[0.0, 0.0], [40.0, 0.0]]);
    let axis = m.axis(line);
    let solid = m.solid([0.0, -1.75, 0.0], [118.0, 1.75, 97.125]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[axis, body]);
    m.product("IFCWALL", "w1", 19, Some(shape), "$,$");
    assert_eq!(inches(m.only().length()), 118.0);
    assert!(has(&m.read().findings, "ifc-axis-short"));
}

#[test]
fn clipped_walls_keep_their_full_height() {
    let mut m = Model::inches();
    let line = m.polyline(&[[0.0, 0.0], [120.0, 0.0]]);
    let axis = m.axis(line);
    let solid = m.solid([0.0, -1.75, 0.0], [120.0, 1.75, 130.0]);
    let one = m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#9999)"));
    let two = m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{one},#9999)"));
    let body = m.body("Clipping", two);
    let shape = m.shape(&[axis, body]);
    m.product("IFCWALL", "w1", 19, Some(shape), "$,$");
    assert_eq!(inches(m.only().top), 130.0);
    let f = m.read().findings;
    assert!(f.iter().any(
        |f| f.code.name() == "ifc-top-not-level" && f.message.contains("raked or clipped top")
    ));
}

/// Removes everything on the far side of a plane through `at`, square to `normal`; bounded by a
/// rectangle in plan where one is given.
fn half_space(m: &mut Model, at: [f64; 3], normal: [f64; 3], bounds: Option<[f64; 4]>) -> u64 {
    let (p, n) = (m.point(&at), m.direction(&normal));
    let a = m.add(&format!("IFCAXIS2PLACEMENT3D(#{p},#{n},$)"));
    let plane = m.add(&format!("IFCPLANE(#{a})"));
    let Some([x0, y0, x1, y1]) = bounds else {
        return m.add(&format!("IFCHALFSPACESOLID(#{plane},.F.)"));
    };
    let line = m.polyline(&[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]);
    m.add(&format!("IFCPOLYGONALBOUNDEDHALFSPACE(#{plane},.F.,#4,#{line})"))
}

fn clipped(cuts: &dyn Fn(&mut Model) -> Vec<u64>) -> Model {
    let mut m = Model::inches();
    let line = m.polyline(&[[0.0, 0.0], [120.0, 0.0]]);
    let axis = m.axis(line);
    let mut item = m.solid([0.0, -2.75, 0.0], [120.0, 2.75, 138.0]);
    for cut in cuts(&mut m) {
        item = m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{item},#{cut})"));
    }
    let body = m.body("Clipping", item);
    let shape = m.shape(&[axis, body]);
    m.product("IFCWALL", "w1", 19, Some(shape), "$,$");
    m
}

#[test]
fn clips_are_carried_out_along_the_middle() {
    let said = |m: &Model| {
        let f = m.read().findings;
        f.iter().find(|f| f.code.name() == "ifc-top-not-level").map(|f| f.message.clone())
    };
    // An eave wall under a roof that rises 1 in 2 across it: 26 in at its middle.
    let m = clipped(&|m| vec![half_space(m, [0.0, 0.0, 26.0], [0.0, -1.0, 2.0], None)]);
    assert_eq!(inches(m.only().top), 26.0);
    let words = said(&m).unwrap();
    assert!(words.contains("bevelled by 2 3/4\"") && words.contains("at 2'-2\""), "{words}");
    // Cut level: a plain lower wall.
    let m = clipped(&|m| vec![half_space(m, [0.0, 0.0, 97.125], [0.0, 0.0, 1.0], None)]);
    assert_eq!((inches(m.only().top), said(&m)), (97.125, None));
    // A gable between two bounded half spaces: the eaves' height, where its neighbours end.
    let m = clipped(&|m| {
        let left = half_space(m, [60.0, 0.0, 130.0], [-1.0, 0.0, 1.0], Some([-9., -9., 60., 9.]));
        let right = half_space(m, [60.0, 0.0, 130.0], [1.0, 0.0, 1.0], Some([60., -9., 200., 9.]));
        vec![left, right]
    });
    let parts: Vec<_> = m
        .read()
        .value
        .walls
        .iter()
        .map(|w| [w.start.x, w.end.x, w.top, w.top + w.rise].map(inches))
        .collect();
    assert_eq!(parts, [[0.0, 60.0, 70.0, 130.0], [60.0, 120.0, 130.0, 70.0]]);
    let words = said(&m).unwrap();
    assert!(words.contains("from 5'-10\" to 10'-10\" at up to 12.0 in 12"), "{words}");
    // The same on studs of 92-5/8 in and three plates: the heights told are those planned, to the sixteenth.
    let m = clipped(&|m| vec![half_space(m, [0.0, 0.0, 97.125], [-1.0, 0.0, 4.0], None)]);
    assert_eq!([m.only().top, m.only().rise].map(inches), [97.125, 30.0]);
    let words = said(&m).unwrap();
    assert!(words.contains("from 8'-1 1/8\" to 10'-7 1/8\" at up to 3.0 in 12"), "{words}");
    // A gable turned a little to its roof: one face is higher than the other, the plates follow the middle.
    let m = clipped(&|m| {
        let left = half_space(m, [60.0, 0.0, 130.0], [-1.0, -0.2, 1.0], Some([-9., -9., 60., 9.]));
        let right = half_space(m, [60.0, 0.0, 130.0], [1.0, 0.2, 1.0], Some([60., -9., 200., 9.]));
        vec![left, right]
    });
    let tops: Vec<_> =
        m.read().value.walls.iter().map(|w| [w.top, w.top + w.rise].map(inches)).collect();
    assert_eq!(tops, [[70.0, 130.0], [130.0, 70.0]]);
    let words = said(&m).unwrap();
    assert!(
        words.contains("bevelled by up to 1\" across the wall, its middle followed"),
        "{words}"
    );
    // A wall that rises with a ridge along its middle: neither face is as high as that, and the plates stay level.
    let m = clipped(&|m| {
        let far = half_space(m, [0.0, 0.0, 100.0], [-0.5, 1.0, 2.0], Some([-9., 0., 200., 9.]));
        let near = half_space(m, [0.0, 0.0, 100.0], [-0.5, -1.0, 2.0], Some([-9., -9., 200., 0.]));
        vec![far, near]
    });
    assert_eq!(inches(m.only().rise), 0.0);
    let words = said(&m).unwrap();
    assert!(words.contains("not the same at both faces"), "{words}");
    // A beam pocket at one end costs a word, not the wall's height.
    let m = clipped(&|m| {
        vec![half_space(m, [0.0, 0.0, 90.0], [0.0, 0.0, 1.0], Some([-9., -9., 6., 9.]))]
    });
    assert_eq!(inches(m.only().top), 138.0);
    assert!(said(&m).unwrap().contains("from 7'-6\" to 11'-6\", planned level at 11'-6\""));
    // What the settings say is not asked again.
    let mut set = rule("*", None);
    set.top = Some(Length::inches(97));
    let m = clipped(&|m| vec![half_space(m, [0.0, 0.0, 26.0], [0.0, -1.0, 2.0], None)]);
    let out = m.read_with(&Settings { layers: vec![set], ..Settings::default() }).unwrap();
    assert_eq!(inches(out.value.walls[0].top), 97.0);
    assert!(!has(&out.findings, "ifc-top-not-level"));
}

#[test]
fn mapped_and_mirrored_body() {
    let mut m = Model::inches();
    let solid = m.solid([0.0, 0.0, 0.0], [120.0, 3.5, 97.125]);
    let inner = m.body("SweptSolid", solid);
    let map = m.add(&format!("IFCREPRESENTATIONMAP(#4,#{inner})"));
    let (minus, at) = (m.direction(&[0.0, -1.0, 0.0]), m.point(&[5.0, 0.0, 0.0]));
    let target = m.add(&format!("IFCCARTESIANTRANSFORMATIONOPERATOR3D($,#{minus},#{at},$,$)"));
    let item = m.add(&format!("IFCMAPPEDITEM(#{map},#{target})"));
    let body = m.body("MappedRepresentation", item);
    let shape = m.shape(&[body]);
    m.product("IFCWALL", "w1", 19, Some(shape), "$,$");
    let out = m.read();
    assert!(close(ends(&out.value, &out.value.walls[0]), [(5.0, -1.75), (125.0, -1.75)]));
}

#[test]
fn far_from_the_origin_nothing_is_lost() {
    let mut m = Model::millimetres();
    let far = [568_053_449.0, 593_422_117.0, 0.0];
    m.wall("w1", far, X, 3657.6, 88.9);
    m.wall("w2", [far[0] + 3657.6, far[1], 0.0], Y, 2438.4, 88.9);
    let out = m.read();
    assert_eq!(inches(out.value.walls[0].end.x), 144.0);
    assert_eq!(inches(out.value.walls[1].end.y), 96.0);
}

#[test]
fn a_wild_coordinate_costs_its_wall_and_nothing_else() {
    // Whether the wild wall comes first or last, near the limit of numbers or a mere 1000 km away.
    for wild in [
        [1e300, 0.0, 0.0],
        [0.0, -1e300, 0.0],
        [0.0, 0.0, 1e300],
        [1.7e308, 0.0, 0.0],
        [1e9, 0.0, 0.0],
    ] {
        for first in [true, false] {
            let mut m = Model::millimetres();
            if first {
                m.wall("wild", wild, X, 3657.6, 88.9);
            }
            m.wall("good", ZERO, X, 3657.6, 88.9);
            m.wall("too", [0.0, 3000.0, 0.0], X, 3657.6, 88.9);
            if !first {
                m.wall("wild", wild, X, 3657.6, 88.9);
            }
            let out = m.read();
            let kept: Vec<&str> =
                out.value.walls.iter().map(|w| w.source[0].entity.as_str()).collect();
            assert_eq!(kept, ["good", "too"], "{wild:?}");
            let f = out.findings.iter().find(|f| f.code.name() == "coordinate-bad").unwrap();
            assert_eq!(f.source[0].entity, "wild");
            assert!(f.message.contains("wild name") && f.message.len() < 200, "{f}");
            assert_eq!(out.value.units.name, "mm");
            assert!(!out.value.units.decided_by.contains("00000"), "{:?}", out.value.units);
            let l = &out.value.ledger;
            assert_eq!((l.used(), l.read()), (3, 4));
        }
    }
}

/// The unit is judged before the walls: by a wrong one none is as thick as lumber.
#[test]
fn a_unit_that_cannot_be_is_refused_as_such() {
    // Millimetres that call themselves metres.
    let mut m = Model::in_unit("#12=IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.);");
    for (n, y) in [0.0, 4000.0, 6000.0].into_iter().enumerate() {
        m.wall(&format!("w{n}"), [0.0, y, 0.0], [1.0, 0.0, 0.0], 8000.0, 140.0);
    }
    let text = m.text();
    let refusal = import_ifc::read(text.as_bytes(), &Settings::default()).unwrap_err();
    let codes: Vec<&str> = refusal.findings.iter().map(|f| f.code.name()).collect();
    assert_eq!(codes, ["units-conflict"]);
    assert!(refusal.findings[0].message.contains("units = \"mm\""), "{refusal}");
    let of = |unit| Settings { units: Some(unit), ..Settings::default() };
    let out = import_ifc::read(text.as_bytes(), &of(geom::Unit::Millimetre)).unwrap();
    assert_eq!((out.value.walls.len(), has(&out.findings, "units-unlikely")), (3, false));
    // A unit that was set is obeyed and told, and so is the reason why no wall is left.
    let codes = |unit| {
        let refusal = import_ifc::read(text.as_bytes(), &of(unit)).unwrap_err();
        refusal.findings.iter().map(|f| f.code.name()).collect::<Vec<_>>()
    };
    let feet = codes(geom::Unit::Foot);
    assert!(feet.contains(&"no-walls") && feet.contains(&"units-unlikely"), "{feet:?}");
    // Not one by which the house is 8 km long.
    assert_eq!(codes(geom::Unit::Metre), ["units-unlikely"]);
}
