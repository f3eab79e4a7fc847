use super::*;
use diag::{Ledger, SourceRef};
use geom::Point;
use wall_model::{Draft, DraftOpening, DraftStorey, DraftWall, Format, OpeningKind, UnitsDecision};
use wall_model::{WallId, WallModel};

fn wall(start: (f64, f64), end: (f64, f64), entity: &str) -> DraftWall {
    DraftWall {
        storey: 0,
        start_in: start,
        end_in: end,
        drawn_thickness_in: 3.5,
        section: Section::S2X4,
        base_in: 0.0,
        top_in: 97.125,
        rise_in: 0.0,
        roof: None,
        exterior: None,
        bearing: None,
        openings: vec![],
        source: vec![SourceRef { entity: entity.into(), layer: "A-WALL".into() }],
    }
}

/// A room 20 ft by 10 ft at (1000, 500) of a drawing in inches, and a wall inside that stops short.
fn room() -> Vec<DraftWall> {
    vec![
        wall((1000.0, 500.0), (1240.0, 500.0), "A"),
        wall((1240.0, 500.0), (1240.0, 620.0), "B"),
        wall((1000.0, 620.0), (1240.0, 620.0), "C"),
        wall((1000.0, 500.0), (1000.0, 620.0), "D"),
        wall((1120.0, 500.0), (1120.0, 610.0), "E"),
    ]
}

fn model(walls: Vec<DraftWall>, mirror: Mirror) -> WallModel {
    let mut ledger = Ledger::default();
    walls.iter().for_each(|_| ledger.use_one());
    let draft = Draft {
        format: Format::Dxf,
        version: String::new(),
        written_by: String::new(),
        units: UnitsDecision { name: "in".into(), inches_per_unit: 1.0, decided_by: String::new() },
        storeys: vec![DraftStorey { name: "Plan".into(), elevation_in: 0.0 }],
        walls,
        ledger,
    };
    draft.finish(mirror).value
}

fn overrides(text: &str) -> Overrides {
    Overrides::from_toml(&format!("version = 1\n{text}"), "x.overrides.toml")
        .unwrap_or_else(|e| panic!("{e}"))
}

fn applied(text: &str, walls: Vec<DraftWall>) -> Applied {
    apply(&overrides(text), &model(walls, Mirror::None), &Settings::default())
}

fn by_entity<'a>(a: &'a Applied, entity: &str) -> Vec<&'a wall_model::Wall> {
    a.model.walls.iter().filter(|w| w.source.iter().any(|s| s.entity == entity)).collect()
}
fn codes(a: &Applied) -> Vec<&'static str> {
    a.findings.iter().map(|f| f.code.name()).filter(|c| *c != "overrides-in-force").collect()
}
fn inches(x: i64, y: i64) -> Point {
    Point::new(Length::inches(x), Length::inches(y))
}

const CHANGE_B: &str = r#"
[[walls]]
wall = { entity = "B", start = [1240, 500], end = [1240, 620] }
section = "2x6"
exterior = true
bearing = false
top = 121.125
"#;

#[test]
fn no_edit_changes_nothing() {
    let read = model(room(), Mirror::None);
    let a = apply(&Overrides::default(), &read, &Settings::default());
    assert_eq!(a.model.walls, read.walls);
    assert!(a.findings.is_empty());
    assert_eq!(a.from[4], WallFrom::Read(WallId(4)));
}

#[test]
fn a_wall_is_changed_and_nothing_else() {
    let a = applied(CHANGE_B, room());
    assert!(codes(&a).is_empty(), "{:?}", a.findings);
    let b = by_entity(&a, "B")[0];
    assert_eq!((b.section, b.exterior, b.bearing), (Section::S2X6, Some(true), Some(false)));
    assert_eq!(b.top, Length::sixty_fourths(121 * 64 + 8));
    assert_eq!(b.drawn_thickness, Section::S2X6.width());
    let others = a.model.walls.iter().filter(|w| w.section == Section::S2X4).count();
    assert_eq!(others, 4);
    assert!(a.findings[0].message.contains("1 wall changed"));
}

#[test]
fn it_survives_mirroring_and_other_units() {
    for mirror in [Mirror::X, Mirror::Y] {
        let settings = Settings { mirror, ..Settings::default() };
        let a = apply(&overrides(CHANGE_B), &model(room(), mirror), &settings);
        assert!(codes(&a).is_empty(), "{:?}", a.findings);
        assert_eq!(by_entity(&a, "B")[0].section, Section::S2X6);
    }
}

/// The drawing was saved anew: handles changed, walls moved a little, longer or cut in two.
#[test]
fn a_wall_is_found_again() {
    let mut walls = room();
    walls[1] = wall((1240.0, 620.0), (1240.0, 500.0), "B9");
    let a = applied(CHANGE_B, walls);
    assert_eq!(
        (codes(&a), by_entity(&a, "B9")[0].section),
        (vec!["override-moved"], Section::S2X6)
    );

    let mut walls = room();
    walls[1] = wall((1244.0, 500.0), (1244.0, 680.0), "B");
    let a = applied(CHANGE_B, walls);
    assert_eq!((codes(&a), by_entity(&a, "B")[0].section), (vec!["override-moved"], Section::S2X6));
    assert!(a.findings[0].message.contains("5'-0"), "{}", a.findings[0].message);

    // A polyline: every wall has the same handle.
    let walls: Vec<DraftWall> = room()
        .into_iter()
        .map(|mut w| {
            w.source[0].entity = "B".into();
            w
        })
        .collect();
    let a = applied(CHANGE_B, walls);
    assert!(codes(&a).is_empty());
    let changed: Vec<_> = a.model.walls.iter().filter(|w| w.section == Section::S2X6).collect();
    assert_eq!(changed.len(), 1);
    assert_eq!(changed[0].start, inches(240, 0));
}

#[test]
fn what_does_not_fit_is_told() {
    let mut walls = room();
    walls.remove(1);
    let a = applied(CHANGE_B, walls);
    assert_eq!(codes(&a), ["override-lost"]);
    assert_eq!(a.found.walls, [None]);
    assert_eq!(a.findings[0].at, Some(inches(240, 60)));
    assert!(a.model.walls.iter().all(|w| w.section == Section::S2X4));

    // Two walls of other entities at the same place: nobody knows which.
    let mut walls = room();
    walls[1] = wall((1240.0, 500.0), (1240.0, 620.0), "X");
    walls.push(wall((1240.0, 500.0), (1240.0, 620.0), "Y"));
    assert_eq!(codes(&applied(CHANGE_B, walls)), ["override-lost"]);

    // The same handle, another wall: across.
    let mut walls = room();
    walls[1] = wall((1010.0, 550.0), (1110.0, 550.0), "B");
    assert_eq!(codes(&applied(CHANGE_B, walls)), ["override-lost"]);
}

#[test]
fn a_wall_is_taken_out_and_counted() {
    let text = r#"
[[removed]]
wall = { entity = "E", start = [1120, 500], end = [1120, 610] }
note = "a shelf"
"#;
    let a = applied(text, room());
    assert!(by_entity(&a, "E").is_empty());
    let l = &a.model.ledger;
    assert_eq!((l.used(), l.ignored_total(), l.read()), (4, 1, 5));
    assert_eq!(l.ignored().next().map(|i| i.0), Some("wall taken out by the overrides"));
    assert_eq!(a.found.removed, [Some(WallId(3))]);
}

#[test]
fn a_wall_is_drawn_in() {
    let text = r#"
[[added]]
start = [1240.0, 560.0]
end = [1120.0, 560.0]
section = "2x6"
bearing = true
"#;
    let a = applied(text, room());
    assert!(codes(&a).is_empty(), "{:?}", a.findings);
    let i = a.from.iter().position(|f| *f == WallFrom::Added(0)).unwrap();
    let w = &a.model.walls[i];
    assert_eq!((w.start, w.end), (inches(120, 60), inches(240, 60)));
    assert_eq!((w.bearing, w.exterior, w.top), (Some(true), None, Settings::default().default_top));
    assert_eq!((a.model.ledger.used(), a.model.ledger.read()), (6, 6));
    let sorted = a.model.walls.is_sorted_by(|a, b| wall_model::canonical_order(a, b).is_le());
    assert!(sorted);

    let elsewhere = text.replace("section", "storey = \"Attic\"\nsection");
    let a = applied(&elsewhere, room());
    assert_eq!(codes(&a), ["override-lost"]);
    assert!(a.findings[0].message.contains("Attic; the storeys are Plan"));
}

const SNAP_E: &str = r#"
[[snaps]]
wall = { entity = "E", start = [1120, 500], end = [1120, 610] }
end = "end"
to = [1120.4, 620]
"#;

#[test]
fn an_end_moves_along_its_own_line() {
    for turned in [false, true] {
        let mut walls = room();
        if turned {
            walls[4] = wall((1120.0, 610.0), (1120.0, 500.0), "E");
        }
        let a = applied(SNAP_E, walls);
        assert!(codes(&a).is_empty(), "{:?}", a.findings);
        let e = by_entity(&a, "E")[0];
        assert_eq!((e.start, e.end), (inches(120, 0), inches(120, 120)));
    }
    let settings = Settings { mirror: Mirror::Y, ..Settings::default() };
    let a = apply(&overrides(SNAP_E), &model(room(), Mirror::Y), &settings);
    let e = by_entity(&a, "E")[0];
    assert_eq!((e.start, e.end), (inches(120, 0), inches(120, 120)));
}

/// A roof goes on where a wall does; a top given by hand is level.
#[test]
fn raked_walls() {
    let mut walls = room();
    walls[4].rise_in = 55.0; // over 110 in
    let a = applied(SNAP_E, walls.clone());
    let e = by_entity(&a, "E")[0];
    assert_eq!((e.top, e.rise), (Settings::default().default_top, Length::inches(60)));
    let text = SNAP_E.replace("\"end\"", "\"start\"").replace("[1120.4, 620]", "[1120, 520]");
    let a = applied(&text, walls.clone());
    let e = by_entity(&a, "E")[0];
    assert_eq!(
        (e.top - Settings::default().default_top, e.rise),
        (Length::inches(10), Length::inches(45))
    );
    let text =
        "[[walls]]\nwall = { entity = \"E\", start = [1120, 500], end = [1120, 610] }\ntop = 120";
    let a = applied(text, walls);
    let e = by_entity(&a, "E")[0];
    assert_eq!((e.top, e.rise), (Length::inches(120), Length::ZERO));
}

#[test]
fn openings_keep_their_place_when_a_start_moves() {
    let mut walls = room();
    walls[4].openings.push(DraftOpening {
        kind: OpeningKind::Door,
        from_in: 30.0,
        to_in: 60.0,
        source: vec![],
    });
    let text = SNAP_E.replace("\"end\"", "\"start\"").replace("[1120.4, 620]", "[1120, 510]");
    let a = applied(&text, walls.clone());
    let e = by_entity(&a, "E")[0];
    assert_eq!((e.start, e.openings[0].from), (inches(120, 10), Length::inches(20)));
    let text = text.replace("510", "570");
    let a = applied(&text, walls.clone());
    assert_eq!(codes(&a), ["override-lost"], "farther than 4 ft");
    let text = SNAP_E.replace("[1120.4, 620]", "[1120, 525]");
    let a = applied(&text.replace("525", "570"), walls.clone());
    assert!(codes(&a).is_empty(), "{:?}", a.findings);
    walls[4].openings[0].from_in = 80.0;
    walls[4].openings[0].to_in = 100.0;
    let a = applied(&text.replace("525", "575"), walls);
    assert_eq!(codes(&a), ["override-lost"], "the door would be cut off");
}

#[test]
fn mapping_comes_before_the_settings_own() {
    let o = overrides(
        "units = \"mm\"\nregion = [\"GROUND*\"]\n[[layers]]\nmatch = \"X\"\nuse = \"ignore\"\n",
    );
    let own =
        settings::parse::from_toml("[[layers]]\nmatch = \"*\"\nuse = \"wall\"\n", "s").unwrap();
    let s = o.lay_over(own);
    assert_eq!(s.units, Some(Unit::Millimetre));
    assert_eq!(s.regions, ["GROUND*"]);
    let patterns: Vec<&str> = s.layers.iter().map(|l| l.pattern.as_str()).collect();
    assert_eq!(patterns, ["X", "*"]);
}

fn mistakes(text: &str) -> String {
    Overrides::from_toml(text, "x.toml").map(|_| ()).unwrap_err().to_string()
}

#[test]
fn mistakes_are_told_with_their_place() {
    for (text, said) in [
        ("", "missing field `version`"),
        ("version = 2", "version is 2; this program reads version 1"),
        ("version = 1\n\nwals = []", "line 3: unknown field `wals`"),
        ("version = 1\nunits = \"yd\"", "units: \"yd\" is not one of \"in\""),
        ("version = 1\n[[layers]]\nmatch = \"\"\nuse = \"door\"\ntop = 1", "match is empty"),
        ("version = 1\n[[layers]]\nmatch = \"A\"\nuse = \"door\"\nbearing = true", "use is not"),
        (
            "version = 1\n[[removed]]\nwall = { entity = \"A\", start = [0, 0], end = [0, 0] }",
            "same place",
        ),
        (
            "version = 1\n[[removed]]\nwall = { entity = \"A\", start = [0, nan], end = [0, 0] }",
            "no place",
        ),
        (
            "version = 1\n[[added]]\nstart = [0, 0]\nend = [9, 0]\nsection = \"2x5\"\ntop = 5",
            "\"2x5\" is not a section",
        ),
        (
            "version = 1\n[[added]]\nstart = [0, 0]\nend = [9, 0]\nsection = \"2x4\"\ntop = 5",
            "top is 5; allowed is 12 to 480 inches",
        ),
        (&format!("version = 1{CHANGE_B}{CHANGE_B}"), "walls, entry 2 (B) is there twice"),
    ] {
        let told = mistakes(text);
        assert!(told.contains(said) && told.contains("x.toml"), "{text}: {told}");
    }
}

mod round_trips {
    use super::*;
    use proptest::prelude::*;

    fn place() -> impl Strategy<Value = [f64; 2]> {
        [-1e9..1e9_f64, -1e3..1e3_f64]
    }
    fn text() -> impl Strategy<Value = String> {
        "[ -~äß\u{2028}\"'\\\\\n\t]{1,12}".prop_filter("blank", |t| !t.trim().is_empty())
    }
    fn wall() -> impl Strategy<Value = WallRef> {
        (text(), place(), place()).prop_map(|(entity, start, end)| WallRef { entity, start, end })
    }
    prop_compose! {
        fn form()(
            units in proptest::option::of("in|ft|mm|cm|m"),
            mirror in proptest::option::of("none|x|y"),
            region in proptest::collection::vec(text(), 0..3),
            names in proptest::collection::vec((text(), any::<Option<bool>>(), proptest::option::of(12.0..480.0)), 0..3),
            changes in proptest::collection::vec((wall(), any::<Option<bool>>(), proptest::option::of("2x4|2x6"), text()), 0..4),
            removed in proptest::collection::vec((wall(), text()), 0..3),
            added in proptest::collection::vec((place(), place(), proptest::option::of(text()), any::<Option<bool>>()), 0..3),
            snaps in proptest::collection::vec((wall(), any::<bool>(), place()), 0..3),
        ) -> Form {
            let note = String::new();
            Form {
                version: VERSION, units, mirror, region,
                layers: names.into_iter().map(|(m, bearing, top)| LayerForm {
                    r#match: m, r#use: "wall".into(), exterior: None, bearing, section: None, top, note: note.clone(),
                }).collect(),
                walls: changes.into_iter().map(|(wall, exterior, section, note)| WallForm {
                    wall, section, exterior, bearing: None, top: None, note,
                }).collect(),
                removed: removed.into_iter().map(|(wall, note)| RemovedForm { wall, note }).collect(),
                added: added.into_iter().map(|(start, end, storey, bearing)| AddedForm {
                    storey, start, end, section: "38x89".into(), exterior: None, bearing, top: None, note: note.clone(),
                }).collect(),
                snaps: snaps.into_iter().map(|(wall, start, to)| SnapForm {
                    wall, end: if start { End::Start } else { End::End }, to, note: note.clone(),
                }).collect(),
            }
        }
    }
    proptest! {
        #[test]
        fn written_and_read_back(form in form()) {
            let checked = Overrides::checked(form.clone());
            prop_assume!(checked.is_ok());
            let text = to_toml(&form);
            let back = Overrides::from_toml(&text, "x").map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
            prop_assert_eq!(back, checked.unwrap());
        }
        /// What a page shows and sends back lands where it was, in any unit, mirrored or not.
        #[test]
        fn places_go_to_the_plan_and_back(
            x in -3e6..3e6_f64, y in -3e6..3e6_f64, ox in -3e7..3e7_f64, k in prop::sample::select(vec![1.0, 12.0, 1.0 / 25.4, 10.0 / 25.4, 1000.0 / 25.4]),
            mirror in prop::sample::select(vec![Mirror::None, Mirror::X, Mirror::Y]),
        ) {
            let placing = Placing { inches_per_unit: k, mirror, origin_inches: (ox, -7.25) };
            let drawing = placing.drawing([x, y]);
            let again = placing.inches(drawing);
            prop_assert!((again[0] - x).abs() < 2e-6 && (again[1] - y).abs() < 2e-6);
            prop_assert_eq!(placing.drawing(again), drawing);
        }
    }
}

/// What could not be done is not told as in force.
#[test]
fn only_what_was_done_is_in_force() {
    let in_force = |text: &str| {
        let a = applied(text, room());
        let f = a.findings.iter().find(|f| f.code.name() == "overrides-in-force").unwrap();
        f.message.clone()
    };
    let removal = |entity: &str, x: i64| {
        format!(
            "[[removed]]\nwall = {{ entity = \"{entity}\", start = [{x}, 500], end = [{x}, 610] }}\n"
        )
    };
    let (done, lost) = (removal("E", 1120), removal("X", 1500));
    assert_eq!(in_force(&done), "Edits in force: 1 wall taken out.");
    assert_eq!(in_force(&format!("{done}{lost}")), "Edits in force: 1 wall taken out.");
    assert_eq!(in_force(&lost), "Edits in force: none of those given could be done.");
    // A snap that would move its end too far, and a change that could be made.
    let snap = "[[snaps]]\nwall = { entity = \"E\", start = [1120, 500], end = [1120, 610] }\nend = \"end\"\nto = [1120, 900]\n";
    assert_eq!(in_force(&format!("{CHANGE_B}{snap}")), "Edits in force: 1 wall changed.");
}
