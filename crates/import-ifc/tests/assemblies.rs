//! Walls of parts, with bends, beside one another, of no class; which layer frames them; what the file
//! says about their joints.

#![allow(clippy::unwrap_used, reason = "helpers of tests, outside the test functions")]

mod common;

use common::{Model, has};
use diag::Finding;
use geom::Length;
use lumber::Section;
use settings::{CurvedWalls, FramingSettings, LayerRule, LayerUse, Settings};
use wall_model::{Wall, WallModel};

const X: [f64; 3] = [1.0, 0.0, 0.0];
const ZERO: [f64; 3] = [0.0; 3];

fn ends(m: &WallModel, w: &Wall) -> [(f64, f64); 2] {
    let at = |q: geom::Point| {
        let round = |v: f64| (v * 1e6).round() / 1e6;
        (round(q.x.to_inches() + m.origin_inches.0), round(q.y.to_inches() + m.origin_inches.1))
    };
    let mut e = [at(w.start), at(w.end)];
    e.sort_by(|a, b| a.partial_cmp(b).unwrap());
    e
}
fn lines(m: &WallModel) -> Vec<[(f64, f64); 2]> {
    let mut all: Vec<_> = m.walls.iter().map(|w| ends(m, w)).collect();
    all.sort_by(|a, b| a.partial_cmp(b).unwrap());
    all
}
fn said<'f>(findings: &'f [Finding], code: &str) -> &'f str {
    findings.iter().find(|f| f.code.name() == code).map_or("", |f| &f.message)
}

/// A wall that is nothing but its parts, boxes on the storey: corners and material.
fn wall_of_parts(m: &mut Model, class: &str, parts: &[(&str, [f64; 3], [f64; 3], &str)]) -> u64 {
    let placement = m.placed(ZERO, X);
    let wall = m.product("IFCWALLELEMENTEDCASE", "whole", placement, None, "$");
    let mut ids = Vec::new();
    for (guid, low, high, material) in parts {
        let solid = m.solid(*low, *high);
        let body = m.body("SweptSolid", solid);
        let shape = m.shape(&[body]);
        let at = m.placed(ZERO, X);
        let id = m.add(&format!("{class}('{guid}',$,'{guid}',$,$,#{at},#{shape},$)"));
        if !material.is_empty() {
            let material = m.add(&format!("IFCMATERIAL('{material}')"));
            m.made_of(id, material);
        }
        ids.push(format!("#{id}"));
    }
    m.add(&format!("IFCRELAGGREGATES('agg',$,$,$,#{wall},({}))", ids.join(",")));
    wall
}

#[test]
fn layers_drawn_as_parts_frame_in_the_right_one() {
    let mut m = Model::inches();
    wall_of_parts(
        &mut m,
        "IFCBUILDINGELEMENTPART",
        &[
            ("brick", [0.0, 0.0, 0.0], [120.0, 3.5, 97.0], "Brick veneer"),
            ("gyp", [0.0, 10.0, 0.0], [120.0, 10.5, 97.0], "Gypsum board"),
            ("stud", [0.0, 4.5, 0.0], [120.0, 10.0, 97.0], "2x6 studs"),
        ],
    );
    let out = m.read();
    assert_eq!(lines(&out.value), [[(0.0, 7.25), (120.0, 7.25)]]);
    let w = &out.value.walls[0];
    assert_eq!((w.section, w.drawn_thickness.to_inches()), (Section::S2X6, 10.5));
    let words = said(&out.findings, "ifc-framing-layer");
    assert!(words.contains("layer 3 of 4") && words.contains("2x6 studs"), "{words}");
    assert!(words.contains("2\" from the middle"), "{words}");
    // The storey, the wall and its parts.
    assert_eq!(out.value.ledger.used(), 5, "{:?}", out.value.ledger);
}

#[test]
fn studs_and_plates_make_a_wall() {
    let mut m = Model::inches();
    let mut parts = vec![
        ("bottom", [0.0, 0.0, 0.0], [97.5, 3.5, 1.5], ""),
        ("top", [0.0, 0.0, 95.5], [97.5, 3.5, 97.0], ""),
    ];
    let names = ["s0", "s1", "s2", "s3", "s4", "s5", "s6"];
    for (n, name) in names.iter().enumerate() {
        let x = 16.0 * n as f64;
        parts.push((name, [x, 0.0, 1.5], [x + 1.5, 3.5, 95.5], ""));
    }
    wall_of_parts(&mut m, "IFCMEMBER", &parts);
    let out = m.read();
    assert_eq!(lines(&out.value), [[(0.0, 1.75), (97.5, 1.75)]]);
    assert_eq!(out.value.walls[0].section, Section::S2X4);
    assert_eq!(out.value.walls[0].top.to_inches(), 97.0);
}

#[test]
fn studs_and_plates_between_boards_are_one_layer() {
    let mut m = Model::inches();
    let mut parts = vec![
        ("siding", [0.0, -0.875, 0.0], [97.5, -0.4375, 97.0], "Fibre cement siding"),
        ("osb", [0.0, -0.4375, 0.0], [97.5, 0.0, 97.0], "OSB"),
        ("bottom plate", [0.0, 0.0, 0.0], [97.5, 5.5, 1.5], ""),
        ("top plate", [0.0, 0.0, 94.0], [97.5, 5.5, 95.5], ""),
        ("top plate 2", [0.0, 0.0, 95.5], [97.5, 5.5, 97.0], ""),
        ("batt", [0.0, 0.0, 1.5], [97.5, 5.5, 94.0], "Mineral wool insulation"),
        ("left board", [0.0, 5.5, 0.0], [48.0, 6.0, 97.0], "Gypsum"),
        ("right board", [48.0, 5.5, 0.0], [97.5, 6.0, 97.0], "Gypsum"),
    ];
    let names = ["stud 1", "stud 2", "stud 3", "stud 4", "stud 5", "stud 6", "stud 7"];
    for (n, name) in names.iter().enumerate() {
        let x = 16.0 * n as f64;
        parts.push((name, [x, 0.0, 1.5], [x + 1.5, 5.5, 94.0], ""));
    }
    wall_of_parts(&mut m, "IFCMEMBER", &parts);
    // Boards are no members; the names of parts are their guids here.
    for line in &mut m.lines {
        if ["'siding'", "'osb'", "'batt'", "board'"].iter().any(|b| line.contains(b)) {
            *line = line.replace("IFCMEMBER", "IFCPLATE");
        }
    }
    let out = m.read();
    assert_eq!(lines(&out.value), [[(0.0, 2.75), (97.5, 2.75)]]);
    let w = &out.value.walls[0];
    assert_eq!((w.section, w.drawn_thickness.to_inches()), (Section::S2X6, 6.875));
    let words = said(&out.findings, "ifc-framing-layer");
    assert!(words.contains("layer 3 of 4") && words.contains("named as studs"), "{words}");
}

/// An outline extruded upwards as the body of a wall without an axis.
fn outlined(m: &mut Model, guid: &str, outer: &[[f64; 2]], hole: &[[f64; 2]]) -> u64 {
    let mut ring = |points: &[[f64; 2]]| {
        let mut closed = points.to_vec();
        closed.push(points[0]);
        m.polyline(&closed)
    };
    let outer = ring(outer);
    let profile = if hole.is_empty() {
        format!("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#{outer})")
    } else {
        let hole = ring(hole);
        format!("IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,$,#{outer},(#{hole}))")
    };
    let profile = m.add(&profile);
    let solid = m.add(&format!("IFCEXTRUDEDAREASOLID(#{profile},#4,#3,97.)"));
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    let at = m.placed(ZERO, X);
    m.product("IFCWALL", guid, at, Some(shape), "$")
}

#[test]
fn outlines_with_bends_and_rings_give_all_their_pieces() {
    let mut m = Model::inches();
    let ell = [[0.0, 0.0], [100.0, 0.0], [100.0, 80.0], [96.5, 80.0], [96.5, 3.5], [0.0, 3.5]];
    outlined(&mut m, "ell", &ell, &[]);
    let out = m.read();
    assert_eq!(lines(&out.value), [[(0.0, 1.75), (98.25, 1.75)], [(98.25, 1.75), (98.25, 80.0)]]);
    let mut m = Model::inches();
    let outer = [[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [0.0, 100.0]];
    let hole = [[5.5, 5.5], [194.5, 5.5], [194.5, 94.5], [5.5, 94.5]];
    outlined(&mut m, "ring", &outer, &hole);
    let out = m.read();
    assert_eq!(out.value.walls.len(), 4, "{:?}", out.findings);
    assert!(out.value.walls.iter().all(|w| w.section == Section::S2X6));
    // A chase in a wall is no ring.
    let mut m = Model::inches();
    let outer = [[0.0, 0.0], [200.0, 0.0], [200.0, 5.5], [0.0, 5.5]];
    let hole = [[50.0, 1.0], [60.0, 1.0], [60.0, 4.0], [50.0, 4.0]];
    outlined(&mut m, "chase", &outer, &hole);
    assert_eq!(lines(&m.read().value), [[(0.0, 2.75), (200.0, 2.75)]]);
}

#[test]
fn a_bent_wall_under_a_roof_has_the_top_of_each_piece() {
    let mut m = Model::inches();
    let ell = [[0.0, 0.0], [100.0, 0.0], [100.0, 80.0], [96.5, 80.0], [96.5, 3.5], [0.0, 3.5]];
    let wall = outlined(&mut m, "ell", &ell, &[]);
    // Everything above z = 90 - y/2 is cut off: level along x, sloped along y.
    let (o, n) = (m.point(&[0.0, 0.0, 90.0]), m.direction(&[0.0, 0.5, 1.0]));
    let a = m.add(&format!("IFCAXIS2PLACEMENT3D(#{o},#{n},#2)"));
    let plane = m.add(&format!("IFCPLANE(#{a})"));
    let half = m.add(&format!("IFCHALFSPACESOLID(#{plane},.F.)"));
    let body = m.lines.iter().position(|l| l.contains("'Body'")).unwrap();
    let solid = m.lines[body].rsplit("(#").next().unwrap().trim_end_matches(");").replace(')', "");
    let cut = m.add(&format!("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#{solid},#{half})"));
    m.lines[body] = m.lines[body].replace(&format!("(#{solid})"), &format!("(#{cut})"));
    let out = m.read();
    assert_eq!(out.value.walls.len(), 2, "{wall} {:?}", out.findings);
    let ends = |w: &wall_model::Wall| [w.top.to_inches(), (w.top + w.rise).to_inches()];
    let tops: Vec<[f64; 2]> = out.value.walls.iter().map(ends).collect();
    let near = |want: f64| tops.iter().flatten().any(|t| (t - want).abs() < 0.01);
    // 90 - 1.75/2 along x; from there down to the low end 90 - 80/2 along y.
    assert!(near(89.125) && near(50.0), "{tops:?}");
    assert_eq!(out.value.walls.iter().filter(|w| w.rise != Length::ZERO).count(), 1);
    assert!(has(&out.findings, "ifc-top-not-level"));
}

#[test]
fn an_advanced_brep_gives_its_line() {
    let mut m = Model::inches();
    let corner = |n: usize| {
        [
            if n & 1 == 0 { 0.0 } else { 120.0 },
            if n & 2 == 0 { 0.0 } else { 5.5 },
            if n & 4 == 0 { 0.0 } else { 97.0 },
        ]
    };
    let vertices: Vec<u64> = (0..8)
        .map(|n| {
            let p = m.point(&corner(n));
            m.add(&format!("IFCVERTEXPOINT(#{p})"))
        })
        .collect();
    let plane = m.add("IFCPLANE(#4)");
    let mut faces = Vec::new();
    for face in [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]]
    {
        let mut edges = Vec::new();
        for n in 0..4 {
            let (a, b) = (vertices[face[n]], vertices[face[(n + 1) % 4]]);
            let e = m.add(&format!("IFCEDGECURVE(#{b},#{a},$,.T.)"));
            // The edge runs the other way than the loop.
            edges.push(format!("#{}", m.add(&format!("IFCORIENTEDEDGE(*,*,#{e},.F.)"))));
        }
        let l = m.add(&format!("IFCEDGELOOP(({}))", edges.join(",")));
        let b = m.add(&format!("IFCFACEOUTERBOUND(#{l},.T.)"));
        faces.push(format!("#{}", m.add(&format!("IFCADVANCEDFACE((#{b}),#{plane},.T.)"))));
    }
    let shell = m.add(&format!("IFCCLOSEDSHELL(({}))", faces.join(",")));
    let brep = m.add(&format!("IFCADVANCEDBREP(#{shell})"));
    let body = m.body("AdvancedBrep", brep);
    let shape = m.shape(&[body]);
    let at = m.placed(ZERO, X);
    m.product("IFCWALL", "brep", at, Some(shape), "$");
    let out = m.read();
    assert_eq!(lines(&out.value), [[(0.0, 2.75), (120.0, 2.75)]], "{:?}", out.findings);
    assert_eq!(out.value.walls[0].section, Section::S2X6);
}

#[test]
fn a_curved_wall_is_told_with_what_lays_it_out() {
    let mut m = Model::inches();
    m.wall("straight", [0.0, 300.0, 0.0], X, 120.0, 3.5);
    let at = m.placed(ZERO, X);
    let circle = m.add("IFCCIRCLE(#4,120.)");
    let arc = m.add(&format!(
        "IFCTRIMMEDCURVE(#{circle},(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(1.5707963267948966)),.T.,.PARAMETER.)"
    ));
    let axis = m.axis(arc);
    let shape = m.shape(&[axis]);
    m.product("IFCWALL", "bow", at, Some(shape), "$");
    let leave_out = Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() };
    let out = m.read_with(&leave_out).unwrap();
    let words = said(&out.findings, "ifc-wall-curved");
    for part in ["radius 10'-0\"", "15'-8 1/2\" long", "from (10'-0\", 0\") to (0\", 10'-0\")"] {
        assert!(words.contains(part), "{words}");
    }
}

fn rule(pattern: &str) -> Settings {
    let rule = LayerRule {
        pattern: pattern.to_owned(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        roof: None,
    };
    Settings { layers: vec![rule], ..Settings::default() }
}

#[test]
fn proxies_are_offered_and_taken_when_the_settings_name_them() {
    let mut m = Model::inches();
    m.wall("real", [0.0, 60.0, 0.0], X, 120.0, 3.5);
    let mut proxy = |guid: &str, y: f64, size: [f64; 3]| {
        let solid = m.solid([0.0, y, 0.0], [size[0], y + size[1], size[2]]);
        let body = m.body("SweptSolid", solid);
        let shape = m.shape(&[body]);
        let at = m.placed(ZERO, X);
        m.product("IFCBUILDINGELEMENTPROXY", guid, at, Some(shape), "$,$");
    };
    proxy("Wall 12", 0.0, [120.0, 3.5, 97.0]);
    proxy("Wallpaper", 120.0, [120.0, 3.5, 97.0]);
    proxy("Wall clock", 140.0, [10.0, 10.0, 4.0]);
    let out = m.read();
    assert_eq!(out.value.walls.len(), 1);
    let words = said(&out.findings, "ifc-proxy-wall");
    assert!(words.contains("Wall 12") && !words.contains("clock"), "{words}");
    assert_eq!(m.read_with(&rule("*")).unwrap().value.walls.len(), 1);
    let out = m.read_with(&rule("Wall 12*")).unwrap();
    assert_eq!(out.value.walls.len(), 2);
    assert!(!has(&out.findings, "ifc-proxy-wall"));
    let l = &out.value.ledger;
    assert_eq!((l.used(), l.ignored_total()), (3, 2));
}

#[test]
fn the_choice_of_the_layer_is_told_and_can_be_set() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 144.0, 9.0);
    let set = m.layers("Ext", &[("Gyp", 0.5), ("Kantholz", 5.5), ("Brick", 3.0)]);
    let usage = m.usage(set, "POSITIVE", -4.5);
    m.made_of(w, usage);
    let by_words = m.read();
    let words = said(&by_words.findings, "ifc-framing-layer");
    assert!(words.contains("layer 2 of 3, 5 1/2\" thick"), "{words}");
    assert!(words.contains("named as wood: Kantholz"), "{words}");
    assert!(words.contains("1 1/4\" from the middle"), "{words}");
    // Layers lie at -4.5..-4, -4..1.5 and 1.5..4.5 from the axis.
    assert_eq!(lines(&by_words.value), [[(0.0, -1.25), (144.0, -1.25)]]);
    let framing = FramingSettings { materials: Vec::new(), finishes: vec!["kantholz".to_owned()] };
    let refused = m.read_with(&Settings { framing, ..Settings::default() }).unwrap_err();
    assert!(has(&refused.findings, "ifc-wall-not-wood"), "{refused}");
}

#[test]
fn a_lining_beside_its_wall_is_told() {
    let mut m = Model::inches();
    m.wall("stud", ZERO, X, 144.0, 5.5);
    m.wall("lining", [0.0, 3.0, 0.0], X, 144.0, 0.5);
    m.wall("apart", [0.0, 90.0, 0.0], X, 144.0, 5.5);
    let out = m.read();
    assert_eq!(out.value.walls.len(), 2);
    let words = said(&out.findings, "ifc-walls-beside");
    assert!(
        words.contains("lining") && words.contains("with stud, which is planned; it is not"),
        "{words}"
    );
}

#[test]
fn stated_joints_are_held_against_the_lines() {
    let mut m = Model::inches();
    let a = m.wall("a", ZERO, X, 144.0, 3.5);
    let b = m.wall("b", [144.0, 0.0, 0.0], [0.0, 1.0, 0.0], 96.0, 3.5);
    let c = m.wall("c", [72.0, 0.0, 0.0], [0.0, 1.0, 0.0], 60.0, 3.5);
    let connect = |m: &mut Model, one: u64, two: u64, end_two: &str, end_one: &str| {
        m.add(&format!(
            "IFCRELCONNECTSPATHELEMENTS('rc',$,$,$,$,#{one},#{two},(),(),.{end_two}.,.{end_one}.)"
        ));
    };
    connect(&mut m, a, b, "ATSTART", "ATEND");
    connect(&mut m, c, a, "ATPATH", "ATSTART");
    assert!(!has(&m.read().findings, "ifc-path-disagrees"), "{:?}", m.read().findings);
    connect(&mut m, a, b, "ATEND", "ATEND");
    let out = m.read();
    let words = said(&out.findings, "ifc-path-disagrees");
    assert!(
        words.contains("the end of a meets the end of b")
            && words.contains("8'-0\" apart")
            && words.contains("2 of 3 connections agree"),
        "{words}"
    );
    // The lines stay as drawn.
    assert_eq!(out.value.walls.len(), 3);
}

#[test]
fn a_site_turned_in_space_and_a_map_with_an_origin() {
    // The site turned upside down about x and back by the building: in all a half turn of nothing.
    let mut m = Model::inches();
    m.wall("w1", [10.0, 20.0, 0.0], X, 144.0, 3.5);
    m.lines.retain(|l| !l.starts_with("#19="));
    m.lines.push("#80=IFCDIRECTION((0.,-1.,0.));".to_owned());
    m.lines.push("#81=IFCDIRECTION((0.,1.,0.));".to_owned());
    // z along -y, then z along y again: rotations of a quarter about x, forth and back.
    m.lines.push("#82=IFCAXIS2PLACEMENT3D(#1,#80,#2);".to_owned());
    m.lines.push("#83=IFCLOCALPLACEMENT($,#82);".to_owned());
    m.lines.push("#84=IFCAXIS2PLACEMENT3D(#1,#81,#2);".to_owned());
    m.lines.push("#19=IFCLOCALPLACEMENT(#83,#84);".to_owned());
    assert_eq!(lines(&m.read().value), [[(10.0, 20.0), (154.0, 20.0)]]);
    assert_eq!(m.read().value.walls[0].height(), Length::from_inches(97.125).unwrap());
}

trait Height {
    fn height(&self) -> Length;
}
impl Height for Wall {
    fn height(&self) -> Length {
        self.top - self.base
    }
}
