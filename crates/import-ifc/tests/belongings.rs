//! What hangs on the walls of small models: storeys, openings, properties, parts; and the file as a
//! whole.

mod common;

use common::{Model, has};
use geom::Length;
use lumber::Section;
use settings::Settings;
use wall_model::OpeningKind;

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];
const ZERO: [f64; 3] = [0.0; 3];

fn inches(l: Length) -> f64 {
    l.to_inches()
}

/// A model with a bit of everything.
fn medley() -> Model {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 4.5);
    let v = m.wall("w2", ZERO, Y, 240.0, 4.5);
    m.wall("w3", [240.0, 0.0, 0.0], Y, 240.0, 14.0);
    m.wall("w4", ZERO, X, 240.0, 4.5);
    let set = m.layers("W", &[("Gyp", 0.5), ("Stud", 3.5), ("Gyp", 0.5)]);
    for wall in [w, v] {
        let usage = m.usage(set, "NEGATIVE", 2.25);
        m.made_of(wall, usage);
    }
    let o = m.opening("o1", w, [20.0, -5.0, 0.0], [56.0, 5.0, 80.0]);
    m.fill("IFCDOOR", "d1", o);
    m.opening("o2", v, [-5.0, 20.0, 0.0], [5.0, 50.0, 80.0]);
    m.add("IFCSLAB('s1',$,$,$,$,$,$,$,$)");
    m.add("IFCSLAB('s2',$,$,$,$,$,$,$,$)");
    m.add("IFCRELVOIDSELEMENT('broken',$,$,$,#9998,#9999)");
    m
}

/// A model with a second storey 120 in up, and that storey's number.
fn two_storeys() -> (Model, u64) {
    let mut m = Model::inches();
    let o = m.point(&[0.0, 0.0, 120.0]);
    let a = m.add(&format!("IFCAXIS2PLACEMENT3D(#{o},$,$)"));
    let second = m.add(&format!("IFCLOCALPLACEMENT($,#{a})"));
    let second = m
        .add(&format!("IFCBUILDINGSTOREY('storey2',$,'Level 2',$,$,#{second},$,$,.ELEMENT.,120.)"));
    (m, second)
}

#[test]
fn heights_and_storeys() {
    let (mut m, second) = two_storeys();
    m.wall("low", ZERO, X, 144.0, 3.5);
    let up = m.wall("up", [0.0, 60.0, 121.5], X, 144.0, 3.5);
    // Contained in the upper storey instead.
    for l in &mut m.lines {
        if l.contains(&format!("(#{up}),#20)")) {
            *l = l.replace("#20)", &format!("#{second})"));
        }
    }
    // In no storey at all: by its foot.
    m.wall("free", [0.0, 90.0, 120.0], X, 144.0, 3.5);
    m.lines.retain(|l| !l.contains("'infree'"));
    // Two storeys high.
    let tall = m.wall("tall", [0.0, 30.0, 0.0], X, 144.0, 3.5);
    let n = m.lines.iter().position(|l| l.starts_with(&format!("#{tall}="))).unwrap();
    let solid = m.lines[..n].iter().rposition(|l| l.contains("97.125")).unwrap();
    m.lines[solid] = m.lines[solid].replace("97.125", "216.");
    let out = m.read();
    let names: Vec<(&str, f64)> =
        out.value.storeys.iter().map(|s| (s.name.as_str(), inches(s.elevation))).collect();
    assert_eq!(names, [("Level 1", 0.0), ("Level 2", 120.0)]);
    let of = |e: &str| out.value.walls.iter().find(|w| w.source[0].entity == e).unwrap();
    assert_eq!((of("up").storey.0, inches(of("up").base), inches(of("up").top)), (1, 1.5, 98.625));
    assert_eq!((of("free").storey.0, inches(of("free").base)), (1, 0.0));
    assert_eq!((of("tall").storey.0, inches(of("tall").top)), (0, 216.0));
    assert!(has(&out.findings, "ifc-wall-spans-storeys"));
}

#[test]
fn a_wall_in_the_wrong_storey_is_told_as_such() {
    let (mut m, second) = two_storeys();
    m.wall("low", ZERO, X, 144.0, 3.5);
    // Stand on the other storey than the one they are contained in.
    m.wall("up", [0.0, 60.0, 121.5], X, 144.0, 3.5);
    let down = m.wall("down", [0.0, 90.0, 0.0], X, 144.0, 3.5);
    for l in m.lines.iter_mut().filter(|l| l.contains(&format!("(#{down}),#20)"))) {
        *l = l.replace("#20)", &format!("#{second})"));
    }
    let out = m.read();
    let told = |code: &str| -> Vec<&str> {
        let of_code = out.findings.iter().filter(|f| f.code.name() == code);
        of_code.map(|f| f.message.as_str()).collect()
    };
    let said = told("ifc-storey-doubtful");
    assert_eq!(said.len(), 2, "{:?}", out.findings);
    for part in [
        "Wall up (IfcWallStandardCase up name): on Level 1, but its foot is 10'-1 1/2\" above that, at the level of Level 2",
        "Wall down (IfcWallStandardCase down name): on Level 2, but its foot is 10'-0\" below that, at the level of Level 1",
    ] {
        assert!(said.iter().any(|m| m.contains(part)), "{said:?}");
    }
    assert!(told("ifc-wall-spans-storeys").is_empty());
    // Planned where it is contained, as before.
    let up = out.value.walls.iter().find(|w| w.source[0].entity == "up").unwrap();
    assert_eq!((up.storey.0, inches(up.base)), (0, 121.5));
}

#[test]
fn walls_without_a_placement_are_counted_in_one_finding() {
    let mut m = Model::inches();
    m.wall("low", ZERO, X, 144.0, 3.5);
    let n = [m.wall("a", ZERO, X, 100.0, 3.5), m.wall("b", ZERO, Y, 100.0, 3.5)];
    for wall in n {
        let line = m.lines.iter_mut().find(|l| l.starts_with(&format!("#{wall}="))).unwrap();
        let [head, tail] = line.split_once(",$,$,#").map(|(a, b)| [a, b]).unwrap();
        *line = format!("{head},$,$,${}", &tail[tail.find(',').unwrap()..]);
    }
    let out = m.read();
    let told: Vec<&diag::Finding> =
        out.findings.iter().filter(|f| f.code.name() == "ifc-placement-missing").collect();
    assert_eq!((told.len(), told[0].source.len()), (1, 2), "{:?}", out.findings);
    assert!(told[0].message.starts_with("2 walls: no placement"), "{}", told[0].message);
}

#[test]
fn a_thickness_with_boards_names_them() {
    let said = |thickness: f64| {
        let mut m = Model::millimetres();
        m.wall("w", ZERO, X, 4000.0, thickness);
        let out = m.read();
        let told = out.findings.iter().find(|f| f.code.name() == "ifc-framing-layer-guessed");
        told.map(|f| f.message.clone()).unwrap_or_default()
    };
    assert!(
        said(80.0).contains(
            "80 mm thick, taken as 38x64 with its finishes (5/8 in of board on one side), "
        )
    );
    assert!(
        said(95.0).contains("(5/8 in of board on each side, which does not fit well)"),
        "{}",
        said(95.0)
    );
    assert_eq!(said(89.0), "");
}

#[test]
fn no_storey_at_all() {
    let mut m = Model::inches();
    m.wall("low", ZERO, X, 144.0, 3.5);
    m.wall("up", [0.0, 0.0, 110.0], X, 144.0, 3.5);
    m.lines.retain(|l| !l.contains("IFCBUILDINGSTOREY") && !l.contains("IFCRELCONTAINED"));
    let out = m.read();
    assert!(has(&out.findings, "ifc-storeys-missing"));
    let storeys: Vec<u32> = out.value.walls.iter().map(|w| w.storey.0).collect();
    assert_eq!(storeys, [0, 1]);
    assert_eq!(out.value.storeys[1].name, "Plan 2");
}

#[test]
fn openings() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 3.5);
    let through = |from: f64, to: f64, sill: f64, head: f64| ([from, -5.0, sill], [to, 5.0, head]);
    let cases = [
        ("door", through(10.0, 48.0, 0.0, 82.5)),
        ("window", through(60.0, 96.0, 36.0, 82.5)),
        ("passage", through(100.0, 140.0, 0.0, 82.5)),
        ("hatch", through(150.0, 170.0, 40.0, 60.0)),
        ("above", through(180.0, 190.0, 120.0, 130.0)),
        ("end", through(230.0, 260.0, 0.0, 82.5)),
        ("recess", ([200.0, 1.0, 20.0], [210.0, 5.0, 40.0])),
        ("beyond", through(300.0, 330.0, 0.0, 82.5)),
    ];
    let mut ids = Vec::new();
    for (name, (low, high)) in cases {
        ids.push(m.opening(name, w, low, high));
    }
    m.fill("IFCDOOR", "D1", ids[0]);
    m.fill("IFCWINDOW", "N1", ids[1]);
    // A door that fills nothing and stands nowhere near.
    let away = m.placed([20.0, 90.0, 0.0], X);
    m.product("IFCDOOR", "D2", away, None, "80.,36.,$,$,$");
    let out = m.read();
    let got: Vec<(&str, OpeningKind, f64, f64)> = out.value.walls[0]
        .openings
        .iter()
        .map(|o| (o.source[0].entity.as_str(), o.kind, inches(o.from), inches(o.to)))
        .collect();
    assert_eq!(
        got,
        [
            ("door", OpeningKind::Door, 10.0, 48.0),
            ("window", OpeningKind::Window, 60.0, 96.0),
            ("passage", OpeningKind::Opening, 100.0, 140.0),
            ("hatch", OpeningKind::Window, 150.0, 170.0),
            ("end", OpeningKind::Opening, 230.0, 240.0),
        ]
    );
    assert_eq!(out.value.walls[0].openings[0].source[1].entity, "D1");
    for code in ["ifc-opening-shallow", "ifc-opening-shape", "ifc-opening-unhosted"] {
        assert!(has(&out.findings, code), "{code}");
    }
    // Wall, storey, five openings, door and window; three openings and a door are not used.
    assert_eq!((out.value.ledger.used(), out.value.ledger.ignored_total()), (9, 4));
}

/// Nothing in the file says which wall these are in.
#[test]
fn openings_by_their_place() {
    let mut m = Model::inches();
    m.wall("south", ZERO, X, 240.0, 5.5);
    m.wall("west", ZERO, [0.0, 1.0, 0.0], 240.0, 5.5);
    let masonry = m.wall("masonry", [0.0, 120.0, 0.0], X, 240.0, 8.0);
    let concrete = m.layers("C", &[("Concrete", 8.0)]);
    m.made_of(masonry, concrete);
    let mut product = |class: &str, guid: &str, at: [f64; 3], boxes: &[([f64; 3], [f64; 3])]| {
        let placement = m.placed(at, X);
        let items: Vec<u64> = boxes.iter().map(|(low, high)| m.solid(*low, *high)).collect();
        let items: Vec<String> = items.iter().map(|i| format!("#{i}")).collect();
        let body =
            m.add(&format!("IFCSHAPEREPRESENTATION($,'Body','SweptSolid',({}))", items.join(",")));
        let shape = m.shape(&[body]);
        m.product(class, guid, placement, Some(shape), "80.,36.,$,$,$");
    };
    let casing = ([-3.0, -3.5, 0.0], [39.0, 3.5, 83.0]);
    let leaf = ([0.0, 2.0, 0.0], [1.75, 37.0, 80.0]);
    // Cased and drawn open, 10 in from the corner, where the other wall is no farther.
    product("IFCDOOR", "open", [10.0, 0.0, 0.0], &[casing, leaf]);
    // Placed at the file's zero, its body where it belongs.
    product("IFCWINDOW", "far", ZERO, &[([100.0, -2.0, 36.0], [140.0, 2.0, 80.0])]);
    product("IFCDOOR", "in-masonry", [60.0, 120.0, 0.0], &[casing]);
    product("IFCDOOR", "next-room", [60.0, 40.0, 0.0], &[casing]);
    product("IFCWINDOW", "next-storey", [60.0, 0.0, 120.0], &[casing]);
    let placement = m.placed([180.0, 0.0, 0.0], X);
    let solid = m.solid([0.0, -4.0, 0.0], [30.0, 4.0, 80.0]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    m.add(&format!("IFCOPENINGELEMENT('hole',$,'h',$,$,#{placement},#{shape},$,.OPENING.)"));
    let out = m.read();
    let got: Vec<(&str, &str, OpeningKind, f64, f64)> = out
        .value
        .walls
        .iter()
        .flat_map(|w| w.openings.iter().map(move |o| (w, o)))
        .map(|(w, o)| {
            (
                w.source[0].entity.as_str(),
                o.source[0].entity.as_str(),
                o.kind,
                inches(o.from),
                inches(o.to),
            )
        })
        .collect();
    assert_eq!(
        got,
        [
            ("south", "open", OpeningKind::Door, 10.0, 46.0),
            ("south", "far", OpeningKind::Window, 102.0, 138.0),
            ("south", "hole", OpeningKind::Opening, 180.0, 210.0),
        ]
    );
    let by_place: usize = out
        .findings
        .iter()
        .filter(|f| f.code.name() == "ifc-opening-by-place")
        .map(|f| f.source.len())
        .sum();
    assert_eq!(by_place, 3);
    let ignored: Vec<(&str, u64)> = out.value.ledger.ignored().map(|(r, i)| (r, i.count)).collect();
    assert!(ignored.contains(&("its wall was left out", 1)), "{ignored:?}");
    assert!(ignored.contains(&(diag::codes::ifc::OPENING_UNHOSTED.info().title, 2)), "{ignored:?}");
}

/// A door that fills nothing stands in an opening that is cut: one opening, and it is a door.
#[test]
fn a_door_in_an_opening_that_is_there_already() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 3.5);
    m.opening("o1", w, [50.0, -5.0, 20.0], [88.0, 5.0, 82.5]);
    let placement = m.placed([51.0, 0.0, 0.0], X);
    m.product("IFCDOOR", "d1", placement, None, "80.,36.,$,$,$");
    let w = m.only();
    assert_eq!(w.openings.len(), 1);
    let o = &w.openings[0];
    assert_eq!((o.kind, inches(o.from), inches(o.to)), (OpeningKind::Door, 50.0, 88.0));
    assert_eq!(o.source.len(), 2);
    // The light over it changes nothing.
    let placement = m.placed([51.0, 0.0, 84.0], X);
    let solid = m.solid([0.0, -1.0, 0.0], [36.0, 1.0, 10.0]);
    let body = m.body("SweptSolid", solid);
    let shape = m.shape(&[body]);
    m.product("IFCWINDOW", "light", placement, Some(shape), "10.,36.,$,$,$");
    let w = m.only();
    assert_eq!((w.openings.len(), w.openings[0].kind), (1, OpeningKind::Door));
    assert_eq!(w.openings[0].source.len(), 3);
}

#[test]
fn two_windows_fill_one_void() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 5.5);
    let o = m.opening("o1", w, [50.0, -5.0, 36.0], [122.0, 5.0, 82.5]);
    m.fill("IFCWINDOW", "left", o);
    m.fill("IFCWINDOW", "right", o);
    let out = m.read();
    let w = &out.value.walls[0];
    assert_eq!(w.openings.len(), 1);
    let o = &w.openings[0];
    assert_eq!((o.kind, inches(o.from), inches(o.to)), (OpeningKind::Window, 50.0, 122.0));
    let sources: Vec<&str> = o.source.iter().map(|s| s.entity.as_str()).collect();
    assert_eq!(sources, ["o1", "left", "right"]);
    assert!(!has(&out.findings, "ifc-opening-by-place"), "{:?}", out.findings);
    assert_eq!(out.value.ledger.ignored().count(), 0, "{:?}", out.value.ledger);
}

#[test]
fn two_voids_between_the_same_jambs_are_one_opening() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 240.0, 5.5);
    // One that nothing fills first, then the door's; the third is beside them.
    m.opening("o1", w, [50.0, -5.0, 0.0], [86.0, 5.0, 80.0]);
    let o = m.opening("o2", w, [50.0, -5.0, 0.0], [86.0, 5.0, 82.5]);
    m.fill("IFCDOOR", "d", o);
    m.opening("o3", w, [120.0, -5.0, 0.0], [156.0, 5.0, 80.0]);
    let w = m.only();
    let got: Vec<_> =
        w.openings.iter().map(|o| (o.kind, inches(o.from), inches(o.to), o.source.len())).collect();
    let want = [(OpeningKind::Door, 50.0, 86.0, 3), (OpeningKind::Opening, 120.0, 156.0, 1)];
    assert_eq!(got, want);
}

#[test]
fn a_number_given_twice_is_what_its_first_entity_is() {
    let mut m = Model::inches();
    m.wall("w1", ZERO, X, 240.0, 5.5);
    m.lines.push("#3=IFCWALL();".to_owned());
    let out = m.read();
    assert_eq!(out.value.walls.len(), 1);
    assert!(has(&out.findings, "file-repaired"), "{:?}", out.findings);
    assert!(!has(&out.findings, "ifc-wall-shape"), "{:?}", out.findings);
    assert_eq!(out.value.ledger.ignored().count(), 0, "{:?}", out.value.ledger);
}

#[test]
fn an_opening_without_a_body_takes_its_doors_width() {
    let mut m = Model::inches();
    let w = m.wall("w1", [10.0, 0.0, 0.0], X, 144.0, 3.5);
    let o = m.opening("o1", w, ZERO, [1.0, 1.0, 1.0]);
    let placement = m.placed([40.0, -1.75, 0.0], X);
    let d = m.product("IFCDOOR", "d1", placement, None, "80.,36.,$,$,$");
    m.add(&format!("IFCRELFILLSELEMENT('f',$,$,$,#{o},#{d})"));
    for l in &mut m.lines {
        if l.contains("IFCOPENINGELEMENT") {
            *l = format!("#{o}=IFCOPENINGELEMENT('o1',$,$,$,$,#19,$,$,$);");
        }
    }
    let w = m.only();
    assert_eq!(w.openings.len(), 1);
    assert_eq!((inches(w.openings[0].from), inches(w.openings[0].to)), (30.0, 66.0));
}

#[test]
fn exterior_and_bearing() {
    let mut m = Model::inches();
    let a = m.wall("a", ZERO, X, 144.0, 3.5);
    let b = m.wall("b", [0.0, 60.0, 0.0], X, 144.0, 3.5);
    let external = m.add("IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN(.T.),$)");
    let bearing = m.add("IFCPROPERTYSINGLEVALUE('LoadBearing',$,IFCBOOLEAN(.F.),$)");
    let own = m.add(&format!("IFCPROPERTYSET('ps',$,'Pset_WallCommon',$,(#{external}))"));
    m.add(&format!("IFCRELDEFINESBYPROPERTIES('rp',$,$,$,(#{a}),#{own})"));
    let of_type = m.add(&format!("IFCPROPERTYSET('pt',$,'Pset_WallCommon',$,(#{bearing}))"));
    let t = m.add(&format!("IFCWALLTYPE('t',$,'Type T',$,$,(#{of_type}),$,$,$,.STANDARD.)"));
    m.add(&format!("IFCRELDEFINESBYTYPE('rt',$,$,$,(#{a},#{b}),#{t})"));
    let out = m.read();
    let of = |e: &str| out.value.walls.iter().find(|w| w.source[0].entity == e).unwrap();
    assert_eq!((of("a").exterior, of("a").bearing), (Some(true), Some(false)));
    assert_eq!((of("b").exterior, of("b").bearing), (None, Some(false)));
    assert_eq!(of("a").source[0].layer, "IfcWallStandardCase Type T");
}

#[test]
fn parts_twins_and_shared_ids() {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 144.0, 3.5);
    let part = m.add("IFCBUILDINGELEMENTPART('p1',$,$,$,$,#19,$,$,$)");
    let inner = m.wall("inner", ZERO, X, 144.0, 3.5);
    m.add(&format!("IFCRELAGGREGATES('ra',$,$,$,#{w},(#{part},#{inner}))"));
    // The same wall again, drawn backwards; and two walls with one id.
    m.wall("w2", [144.0, 0.0, 0.0], [-1.0, 0.0, 0.0], 144.0, 3.5);
    m.wall("same", [0.0, 60.0, 0.0], X, 144.0, 3.5);
    m.wall("same", [0.0, 90.0, 0.0], X, 144.0, 3.5);
    m.add("IFCCURTAINWALL('cw',$,$,$,$,#19,$,$,$)");
    m.add("IFCBUILDINGELEMENTPROXY('px',$,$,$,$,#19,$,$,$)");
    let out = m.read();
    let sources: Vec<&str> = out.value.walls.iter().map(|w| w.source[0].entity.as_str()).collect();
    assert_eq!(sources.len(), 3);
    assert!(
        sources.contains(&"w1") && sources.iter().filter(|s| s.starts_with("same#")).count() == 2
    );
    assert!(has(&out.findings, "ifc-wall-twice") && has(&out.findings, "ifc-guid-twice"));
    let reasons: Vec<&str> = out.value.ledger.ignored().map(|(r, _)| r).collect();
    assert_eq!(
        reasons,
        [
            "The same wall is in the file twice",
            "not a wall: IfcBuildingElementProxy",
            "not a wall: IfcCurtainWall",
            "part of a wall",
        ]
    );
}

#[test]
fn schemas() {
    for (schema, known) in [
        ("IFC2X_FINAL", true),
        ("IFC2X3", true),
        ("IFC4X3_ADD2", true),
        ("IFC4X2SCGL", true),
        ("IFC5_DEV", false),
        ("FOO", false),
        // Its entities are IFC's, whatever it calls itself.
        ("CONFIG_CONTROL_DESIGN", false),
    ] {
        let mut m = Model::inches();
        m.schema = schema.to_owned();
        m.wall("w1", ZERO, X, 144.0, 3.5);
        let out = m.read();
        assert_eq!(out.value.version, schema);
        assert_eq!(has(&out.findings, "ifc-schema-unknown"), !known, "{schema}");
    }
    let mut m = Model::inches();
    m.schema = "CONFIG_CONTROL_DESIGN".to_owned();
    m.lines = vec!["#1=CARTESIAN_POINT('IFC',(0.,0.,0.));".to_owned()];
    let refusal = m.read_with(&Settings::default()).unwrap_err();
    assert!(import_ifc::sniff(m.text().as_bytes()));
    assert_eq!(refusal.findings[0].code.name(), "file-foreign");
}

#[test]
fn a_cut_off_file_says_so_first() {
    let mut m = Model::inches();
    m.wall("w1", ZERO, X, 144.0, 3.5);
    m.add("IFCSLAB('s',$,$,$,$,$,$,$,$)");
    let text = m.text();
    let cut = &text[..text.find("IFCSLAB").unwrap()];
    let out = import_ifc::read(cut.as_bytes(), &Settings::default()).unwrap();
    assert!(has(&out.findings, "file-truncated"));
    let early = &text[..text.find("IFCWALLSTANDARDCASE").unwrap()];
    let refusal = import_ifc::read(early.as_bytes(), &Settings::default()).unwrap_err();
    assert_eq!(refusal.findings[0].code.name(), "file-truncated");
    assert!(has(&refusal.findings, "no-walls"));
}

#[test]
fn inspection() {
    let i = import_ifc::inspect(medley().text().as_bytes(), &Settings::default()).unwrap();
    assert_eq!(i.version, "IFC4");
    assert_eq!((i.walls_in_file, i.walls_read), (4, 2));
    assert_eq!((i.storeys[0].walls, i.storeys[0].walls_read, i.storeys[0].doors), (4, 2, 1));
    let w = i.types.iter().find(|t| t.name == "W").unwrap();
    assert_eq!((w.count, w.section, w.layers.len()), (2, Some(Section::S2X4), 3));
    assert!(w.layers[1].framing && w.framing.contains("named as studs: Stud"));
    // Lines to paste only where something is open: what is read for certain is not repeated.
    let lines = i.proposal.join("\n");
    assert!(!lines.contains("match = \"W\""), "{lines}");
    let mut m = Model::inches();
    m.wall("guessed", ZERO, X, 144.0, 4.5);
    m.wall("unknown", [0.0, 60.0, 0.0], X, 144.0, 9.0);
    m.wall("bare", [0.0, 120.0, 0.0], X, 144.0, 3.5);
    let seen = import_ifc::inspect(m.text().as_bytes(), &Settings::default()).unwrap();
    let lines = seen.proposal.join("\n");
    let open = "[[layers]]\nmatch = \"guessed name\"\nuse = \"wall\"\nsection = \"2x4\"";
    assert!(lines.contains(open) && lines.contains("match = \"unknown name\""), "{lines}");
    assert!(!lines.contains("bare"), "{lines}");
    assert!(i.ledger.ignored().any(|(r, n)| r == "not a wall: IfcSlab" && n.count == 2));
}

#[test]
fn the_order_of_entities_does_not_show() {
    let shown = |m: &Model| {
        let out = m.read();
        format!("{:?} {:?} {:?}", out.value.walls, out.value.ledger, out.findings)
    };
    let mut m = medley();
    let want = shown(&m);
    m.lines.reverse();
    assert_eq!(shown(&m), want);
    let half = m.lines.len() / 2;
    m.lines.rotate_left(half);
    assert_eq!(shown(&m), want);
}

/// As layers of existing and demolished walls are left out of a DXF.
#[test]
fn walls_that_are_not_to_be_built() {
    let property = |kind: &str, value: &str| match kind {
        "list" => format!("IFCPROPERTYENUMERATEDVALUE('Status',$,({value}),$)"),
        _ => format!("IFCPROPERTYSINGLEVALUE('Status',$,{value},$)"),
    };
    let model = |kind: &str, value: &str| {
        let mut m = Model::inches();
        m.wall("new", ZERO, X, 144.0, 3.5);
        let w = m.wall("old", [0.0, 60.0, 0.0], X, 144.0, 3.5);
        m.opening("hole", w, [10.0, 55.0, 0.0], [46.0, 65.0, 80.0]);
        let p = m.add(&property(kind, value));
        let set = m.add(&format!("IFCPROPERTYSET('set',$,'Pset_WallCommon',$,(#{p}))"));
        m.add(&format!("IFCRELDEFINESBYPROPERTIES('rel',$,$,$,(#{w}),#{set})"));
        m
    };
    for (value, words) in [
        ("IFCLABEL('DEMOLISH')", "to be demolished"),
        ("IFCLABEL('EXISTING')", "existing"),
        ("IFCLABEL('TEMPORARY')", "temporary"),
        ("IFCLABEL('NEW'),IFCLABEL('DEMOLISH')", "to be demolished"),
    ] {
        let m = model("list", value);
        let out = m.read();
        assert_eq!(out.value.walls.len(), 1, "{value}");
        let f = out.findings.iter().find(|f| f.code.name() == "ifc-wall-not-new").unwrap();
        assert_eq!(f.source[0].entity, "old");
        assert!(f.message.contains(words), "{f}");
        let ledger: Vec<&str> = out.value.ledger.ignored().map(|(r, _)| r).collect();
        assert!(ledger.iter().any(|r| r.contains(words)), "{ledger:?}");
        assert!(ledger.contains(&"its wall was left out"), "{ledger:?}");
        // Named in the settings it is planned all the same; by a wildcard alone it is not.
        for (pattern, walls) in [("old*", 2), ("*", 1)] {
            let rule = settings::LayerRule {
                pattern: pattern.to_owned(),
                usage: settings::LayerUse::Wall,
                exterior: None,
                bearing: None,
                section: None,
                top: None,
                roof: None,
            };
            let s = Settings { layers: vec![rule], ..Settings::default() };
            assert_eq!(m.read_with(&s).unwrap().value.walls.len(), walls, "{pattern}");
        }
    }
    for value in ["NEW", "OTHER", "NOTKNOWN", "UNSET"] {
        let out = model("list", &format!("IFCLABEL('{value}')")).read();
        assert_eq!(out.value.walls.len(), 2, "{value}");
    }
    assert_eq!(model("single", "IFCLABEL('Demolish')").read().value.walls.len(), 1);
}

#[test]
fn why_no_wall_is_left_comes_first() {
    let mut m = Model::inches();
    m.wall("thick", ZERO, X, 144.0, 9.0);
    let codes = |m: &Model| {
        let refusal = m.read_with(&Settings::default()).unwrap_err();
        refusal.findings.iter().map(|f| f.code.name()).collect::<Vec<_>>()
    };
    assert_eq!(codes(&m)[..2], ["section-unknown", "no-walls"]);
    let mut m = Model::inches();
    let w = m.wall("block", ZERO, X, 144.0, 7.625);
    let set = m.layers("CMU", &[("CMU", 7.625)]);
    m.made_of(w, set);
    assert_eq!(codes(&m)[..2], ["ifc-wall-not-wood", "no-walls"]);
}
