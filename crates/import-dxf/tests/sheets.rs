//! Several drawings on one sheet: which walls are planned, as which storeys, and what is said.

use import_dxf::DrawingKind;
use settings::{Settings, parse::from_toml};
use wall_model::WallModel;

/// A drawing being written, inches.
#[derive(Default)]
struct Sheet {
    entities: String,
    next: usize,
}

impl Sheet {
    fn line(&mut self, layer: &str, a: [f64; 2], b: [f64; 2]) {
        self.next += 1;
        self.entities += &format!(
            "  0\nLINE\n  5\n{:X}\n  8\n{layer}\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n",
            self.next + 256,
            a[0],
            a[1],
            b[0],
            b[1]
        );
    }
    fn text(&mut self, at: [f64; 2], height: f64, text: &str) {
        self.next += 1;
        self.entities += &format!(
            "  0\nTEXT\n  5\n{:X}\n  8\nA-ANNO\n 10\n{:?}\n 20\n{:?}\n 40\n{height:?}\n  1\n{text}\n",
            self.next + 256,
            at[0],
            at[1]
        );
    }
    /// A level dimension with a text typed on it.
    fn dimension(&mut self, from: f64, to: f64, typed: &str) {
        self.next += 1;
        self.entities += &format!(
            "  0\nDIMENSION\n  5\n{:X}\n  8\nA-ANNO-DIMS\n 10\n{from:?}\n 20\n-30.0\n 70\n0\n  1\n{typed}\n 13\n{from:?}\n 23\n0.0\n 14\n{to:?}\n 24\n0.0\n 50\n0.0\n",
            self.next + 256
        );
    }
    /// A rectangle of two faces 4.5 in apart.
    fn house(&mut self, layer: &str, at: [f64; 2], size: [f64; 2]) {
        for inset in [0.0, 4.5] {
            let (x0, y0) = (at[0] + inset, at[1] + inset);
            let (x1, y1) = (at[0] + size[0] - inset, at[1] + size[1] - inset);
            for (a, b) in [
                ([x0, y0], [x1, y0]),
                ([x1, y0], [x1, y1]),
                ([x1, y1], [x0, y1]),
                ([x0, y1], [x0, y0]),
            ] {
                self.line(layer, a, b);
            }
        }
    }
    fn dxf(&self) -> String {
        format!(
            "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{}  0\nENDSEC\n  0\nEOF\n",
            self.entities
        )
    }
}

fn read(sheet: &Sheet, toml: &str) -> (WallModel, Vec<&'static str>) {
    let settings: Settings = from_toml(toml, "test").expect("settings");
    let out = import_dxf::read(sheet.dxf().as_bytes(), &settings)
        .unwrap_or_else(|r| panic!("refused: {r}"));
    let l = &out.value.ledger;
    assert_eq!(l.read(), l.used() + l.ignored_total());
    let codes = out.findings.iter().map(|f| f.code.name()).collect();
    (out.value, codes)
}

fn storeys(m: &WallModel) -> Vec<(&str, usize)> {
    let walls = |i: usize| m.walls.iter().filter(|w| w.storey.0 as usize == i).count();
    m.storeys.iter().enumerate().map(|(i, s)| (s.name.as_str(), walls(i))).collect()
}

/// Two floors, the upper one on the left, five feet apart, walls in one line.
fn two_floors() -> Sheet {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [360.0, 300.0]);
    s.text([100.0, -40.0], 12.0, "FIRST FLOOR PLAN");
    s.house("A-WALL", [420.0, 0.0], [480.0, 300.0]);
    s.text([560.0, -40.0], 12.0, "GROUND FLOOR PLAN");
    s.text([560.0, 150.0], 6.0, "KITCHEN");
    s
}

#[test]
fn titled_floors_are_storeys_in_order() {
    let sheet = two_floors();
    let (m, codes) = read(&sheet, "");
    assert_eq!(storeys(&m), [("GROUND FLOOR PLAN", 4), ("FIRST FLOOR PLAN", 4)]);
    assert!(codes.contains(&"dxf-several-plans"), "{codes:?}");
    assert!(m.walls.iter().all(|w| w.openings.is_empty()));
    for region in ["2", "FIRST*"] {
        let (m, _) = read(&sheet, &format!("region = \"{region}\""));
        assert_eq!(storeys(&m), [("FIRST FLOOR PLAN", 4)]);
    }
    let settings = from_toml("region = \"ATTIC\"", "test").expect("settings");
    let refusal = import_dxf::read(sheet.dxf().as_bytes(), &settings).unwrap_err();
    let told = refusal.to_string();
    assert!(told.contains("ATTIC") && told.contains("GROUND FLOOR PLAN"), "{told}");
}

#[test]
fn elevations_and_sections_are_left_out_by_their_titles() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    s.text([180.0, -40.0], 12.0, "FLOOR PLAN");
    s.text([200.0, 180.0], 12.0, "SECTION A-A");
    s.house("A-WALL", [700.0, 0.0], [480.0, 120.0]);
    s.text([880.0, -30.0], 12.0, "FRONT ELEVATION");
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("FLOOR PLAN", 4)]);
    assert!(codes.contains(&"dxf-other-drawing"), "{codes:?}");
    let seen = import_dxf::inspect(s.dxf().as_bytes(), &Settings::default()).expect("a drawing");
    let kinds: Vec<_> = seen.regions.iter().map(|r| (r.kind, r.walls, r.planned)).collect();
    assert_eq!(kinds, [(DrawingKind::FloorPlan, 4, true), (DrawingKind::Elevation, 4, false)]);
    // An elevation without wall lines keeps its title to itself.
    let mut t = Sheet::default();
    t.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    t.house("A-ELEV", [0.0, 520.0], [480.0, 120.0]);
    t.text([180.0, 480.0], 12.0, "REAR ELEVATION");
    assert_eq!(storeys(&read(&t, "").0), [("Plan", 4)]);
}

/// Without a layer of walls the whole sheet is looked at: what is wrong in a section is nobody's trouble.
#[test]
fn nothing_is_said_of_walls_by_shape_in_a_drawing_that_is_left_out() {
    let mut s = Sheet::default();
    s.house("L1", [0.0, 0.0], [480.0, 360.0]);
    for x in [200.0, 204.5] {
        s.line("L1", [x, 4.5], [x, 355.5]);
    }
    s.text([180.0, -40.0], 12.0, "FLOOR PLAN");
    // Floors 10 in deep on walls.
    let plan = read(&s, "");
    let at = 700.0;
    for (low, high) in [(-10.0, 0.0), (97.0, 107.0)] {
        for y in [low, high] {
            s.line("L4", [at, y], [at + 437.5, y]);
        }
    }
    for x in [0.0, 5.5, 180.0, 185.5, 432.0, 437.5] {
        s.line("L4", [at + x, 0.0], [at + x, 97.0]);
    }
    s.text([880.0, -50.0], 12.0, "SECTION A-A");
    let with_section = read(&s, "");
    assert_eq!(storeys(&with_section.0), storeys(&plan.0));
    for code in ["section-unknown", "dxf-wall-doubtful", "dxf-side-by-side"] {
        assert!(!with_section.1.contains(&code), "{code}: {:?}", with_section.1);
    }
    assert!(with_section.1.contains(&"dxf-other-drawing"), "{:?}", with_section.1);
}

#[test]
fn a_garage_beside_the_house_is_of_the_plan_and_a_stray_line_is_not() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [1200.0, 480.0]);
    for i in 3..15 {
        for face in [0.0, 4.5] {
            let x = f64::from(i * i) * 5.0 + face;
            s.line("A-WALL", [x, 4.5], [x, 475.5]);
        }
    }
    s.house("A-WALL", [1320.0, 0.0], [150.0, 120.0]);
    assert_eq!(storeys(&read(&s, "").0), [("Plan", 20)]);
    for y in [0.0, 4.5] {
        s.line("A-WALL", [-90_000.0, y + 40_000.0], [-89_970.0, y + 40_000.0]);
    }
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("Plan", 20)]);
    assert!(codes.contains(&"dxf-other-drawing"), "{codes:?}");
    assert_eq!(m.origin_inches.0, 2.25);
}

#[test]
fn the_same_floor_twice_is_said() {
    let mut s = Sheet::default();
    for x in [0.0, 2000.0] {
        s.house("A-WALL", [x, 0.0], [480.0, 360.0]);
    }
    let (m, codes) = read(&s, "");
    assert_eq!(m.storeys.len(), 2);
    assert!(codes.contains(&"dxf-same-plan-twice"), "{codes:?}");
    // Two titles are two floors that happen to be alike.
    s.text([200.0, -40.0], 12.0, "LEVEL 1");
    s.text([2200.0, -40.0], 12.0, "LEVEL 2");
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("LEVEL 1", 4), ("LEVEL 2", 4)]);
    assert!(!codes.contains(&"dxf-same-plan-twice"), "{codes:?}");
}

/// The order of entities decides nothing.
#[test]
fn the_order_does_not_show() {
    let told = |s: &Sheet| {
        let out = import_dxf::read(s.dxf().as_bytes(), &Settings::default()).expect("a model");
        (out.value.walls, out.value.storeys, format!("{:?}", out.findings))
    };
    let sheet = two_floors();
    let mut parts: Vec<&str> = sheet.entities.split("  0\n").skip(1).collect();
    parts.reverse();
    let turned = Sheet { entities: parts.iter().map(|p| format!("  0\n{p}")).collect(), next: 0 };
    assert_eq!(told(&sheet), told(&turned));
}

/// A plan that draws outer walls as two lines and partitions as one.
#[test]
fn single_lines_among_face_lines() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    s.line("A-WALL", [4.5, 180.0], [475.5, 180.0]);
    s.line("A-WALL", [240.0, 180.0], [240.0, 355.5]);
    // A counter, which ends in the open.
    s.line("A-WALL", [100.0, 60.0], [180.0, 60.0]);
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("Plan", 6)]);
    assert!(codes.contains(&"dxf-single-lines"), "{codes:?}");
    assert!(codes.contains(&"dxf-face-lines-left"), "{codes:?}");
}

/// Treads on the wall layer are no walls.
#[test]
fn stairs_on_the_wall_layer_are_left_out() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    for i in 0..12 {
        let x = 100.0 + f64::from(i) * 10.0;
        s.line("A-WALL", [x, 4.5], [x, 40.5]);
    }
    let (m, _) = read(&s, "");
    assert_eq!(storeys(&m), [("Plan", 4)]);
}

/// Brick veneer an inch outside the studs is pointed out; a door tight to a crossing wall keeps the wall
/// in one piece.
#[test]
fn veneer_and_a_door_tight_to_a_crossing_wall() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    s.line("A-WALL", [-5.5, -5.5], [485.5, -5.5]);
    s.line("A-WALL", [-5.5, -1.0], [485.5, -1.0]);
    let (_, codes) = read(&s, "");
    assert!(codes.contains(&"dxf-side-by-side"), "{codes:?}");

    let mut t = Sheet::default();
    t.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    // A partition across at x = 200, and one along y = 180 with a door from its face to 238.5.
    for x in [200.0, 204.5] {
        t.line("A-WALL", [x, 4.5], [x, 180.0]);
        t.line("A-WALL", [x, 184.5], [x, 355.5]);
    }
    for y in [180.0, 184.5] {
        t.line("A-WALL", [4.5, y], [200.0, y]);
        t.line("A-WALL", [238.5, y], [475.5, y]);
    }
    t.line("A-WALL", [238.5, 180.0], [238.5, 184.5]);
    t.line("A-WALL", [204.5, 180.0], [204.5, 184.5]);
    t.line("A-DOOR", [204.5, 182.0], [238.5, 182.0]);
    let (m, _) = read(&t, "");
    let doors: usize = m.walls.iter().map(|w| w.openings.len()).sum();
    let along = m.walls.iter().filter(|w| w.start.y == w.end.y).count();
    assert_eq!((doors, along), (1, 3), "{:#?}", m.walls);
}

#[test]
fn typed_dimensions_are_compared_with_the_drawing() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    s.dimension(0.0, 150.0, "12'-6\"");
    s.dimension(0.0, 480.0, "40'-0\"");
    s.dimension(150.0, 480.0, "27'-6\"");
    s.dimension(0.0, 480.0, "VERIFY ON SITE");
    let (m, codes) = read(&s, "");
    assert!(!codes.contains(&"dxf-dimension-contradicts"), "{codes:?}");
    assert!(m.units.decided_by.contains("3 of 3 dimensions agree"), "{}", m.units.decided_by);
    s.dimension(0.0, 480.0, "39'-0\"");
    let settings = Settings::default();
    let out = import_dxf::read(s.dxf().as_bytes(), &settings).expect("a model");
    let told: Vec<&str> = out
        .findings
        .iter()
        .filter(|f| f.code.name() == "dxf-dimension-contradicts")
        .map(|f| f.message.as_str())
        .collect();
    assert_eq!(told.len(), 1);
    assert!(told[0].contains("39'-0\"") && told[0].contains("40'-0\""), "{}", told[0]);
    // The same drawing with another unit in its header is refused.
    let lying = s.dxf().replace("$INSUNITS\n 70\n1\n", "$INSUNITS\n 70\n5\n");
    let refusal = import_dxf::read(lying.as_bytes(), &settings).unwrap_err();
    assert_eq!(refusal.findings[0].code.name(), "units-conflict");
}

/// Walls that are nothing but filled areas, as some offices draw them.
#[test]
fn walls_of_solids_are_read_by_their_outlines() {
    let mut s = Sheet::default();
    for [x0, y0, x1, y1] in [
        [0.0, 0.0, 480.0, 4.5],
        [0.0, 355.5, 480.0, 360.0],
        [0.0, 0.0, 4.5, 360.0],
        [475.5, 0.0, 480.0, 360.0],
    ] {
        s.next += 1;
        s.entities += &format!(
            "  0\nSOLID\n  5\n{:X}\n  8\nA-WALL\n 10\n{x0:?}\n 20\n{y0:?}\n 11\n{x1:?}\n 21\n{y0:?}\n 12\n{x0:?}\n 22\n{y1:?}\n 13\n{x1:?}\n 23\n{y1:?}\n",
            s.next + 256
        );
    }
    let (m, _) = read(&s, "");
    assert_eq!(storeys(&m), [("Plan", 4)]);
    assert!(m.walls.iter().all(|w| w.drawn_thickness.to_inches() == 4.5));
}

/// Clapboards, a door and the outline of a gable end on the wall layer: many lines, few of them in pairs.
fn elevation(s: &mut Sheet, x: f64, y: f64) {
    for n in 0..13 {
        s.line("A-WALL", [x, y + f64::from(n) * 21.0], [x + 400.0, y + f64::from(n) * 21.0]);
    }
    s.line("A-WALL", [x, y], [x, y + 252.0]);
    s.line("A-WALL", [x + 400.0, y], [x + 400.0, y + 252.0]);
    s.line("A-WALL", [x + 200.0, y], [x + 200.0, y + 80.0]);
    s.line("A-WALL", [x + 236.0, y], [x + 236.0, y + 80.0]);
}

fn told(sheet: &Sheet, toml: &str) -> Vec<(&'static str, String)> {
    let settings: Settings = from_toml(toml, "test").expect("settings");
    let out = import_dxf::read(sheet.dxf().as_bytes(), &settings)
        .unwrap_or_else(|r| panic!("refused: {r}"));
    out.findings.iter().map(|f| (f.code.name(), f.message.clone())).collect()
}

/// Whether a plan's lines are faces is for the plan to say, not for the elevation beside it.
#[test]
fn an_elevation_has_no_say_in_how_the_plan_is_read() {
    let mut plan = Sheet::default();
    plan.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    plan.text([180.0, -40.0], 12.0, "FLOOR PLAN");
    let alone = read(&plan, "").0;
    for region in ["", "region = \"1\""] {
        let mut s = Sheet { entities: plan.entities.clone(), next: plan.next };
        elevation(&mut s, 900.0, 10.0);
        s.text([1000.0, -40.0], 12.0, "SOUTH ELEVATION");
        // A window of the elevation is on no wall of the plan, and nobody asks for one.
        s.line("A-GLAZ", [1000.0, 60.0], [1036.0, 60.0]);
        let (m, _) = read(&s, region);
        assert_eq!(m.walls, alone.walls, "{region}");
        let all = told(&s, region);
        let codes: Vec<&str> = all.iter().map(|f| f.0).collect();
        for code in [
            "section-unknown",
            "section-assumed",
            "dxf-face-lines-left",
            "dxf-single-lines",
            "dxf-close-parallels",
            "opening-unhosted",
        ] {
            assert!(!codes.contains(&code), "{code}: {all:?}");
        }
        let left: Vec<_> = all.iter().filter(|f| f.0 == "dxf-other-drawing").collect();
        assert_eq!(left.len(), 1, "{all:?}");
        assert!(
            left[0].1.contains("SOUTH ELEVATION") && left[0].1.contains("18 lines"),
            "{left:?}"
        );
        let reasons: Vec<_> = m.ledger.ignored().map(|r| (r.0.to_owned(), r.1.count)).collect();
        let of = |layer: &str| {
            let text = format!("in a drawing that is not planned: {layer}");
            reasons.iter().find(|r| r.0 == text).map(|r| r.1)
        };
        assert_eq!((of("A-WALL"), of("A-GLAZ")), (Some(17), Some(1)), "{reasons:?}");
    }
    // Chosen by its number it is read all the same.
    let mut s = Sheet { entities: plan.entities.clone(), next: plan.next };
    elevation(&mut s, 900.0, 10.0);
    s.text([1000.0, -40.0], 12.0, "SOUTH ELEVATION");
    assert!(read(&s, "region = \"2\"").0.walls.iter().all(|w| w.start.x.to_inches() < 500.0));
    assert_eq!(storeys(&read(&s, "region = \"2\"").0)[0].0, "SOUTH ELEVATION");
}

/// An elevation whose lines make no wall is left out with the same warning.
#[test]
fn an_elevation_without_walls_is_left_out_and_said() {
    let mut s = two_floors();
    for y in [0.0, 20.0] {
        s.line("A-WALL", [1400.0, y], [1800.0, y]);
    }
    s.line("A-WALL", [1400.0, 0.0], [1400.0, 240.0]);
    s.line("A-WALL", [1800.0, 0.0], [1800.0, 240.0]);
    s.text([1500.0, -40.0], 12.0, "WEST ELEVATION");
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("GROUND FLOOR PLAN", 4), ("FIRST FLOOR PLAN", 4)]);
    for code in ["section-unknown", "dxf-face-lines-left"] {
        assert!(!codes.contains(&code), "{code}: {codes:?}");
    }
    assert_eq!(codes.iter().filter(|c| **c == "dxf-other-drawing").count(), 1, "{codes:?}");
}

/// One floor drawn by the faces of its walls, the other by single lines, both on one layer.
#[test]
fn two_plans_are_judged_each_by_itself() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [480.0, 360.0]);
    s.text([180.0, -40.0], 12.0, "GROUND FLOOR PLAN");
    let single = [[0.0, 0.0, 480.0, 0.0], [480.0, 0.0, 480.0, 360.0], [480.0, 360.0, 0.0, 360.0]];
    let inner = [[0.0, 360.0, 0.0, 0.0], [240.0, 0.0, 240.0, 360.0], [0.0, 180.0, 240.0, 180.0]];
    let more = [[240.0, 120.0, 480.0, 120.0], [120.0, 180.0, 120.0, 360.0]];
    for [x0, y0, x1, y1] in single.into_iter().chain(inner).chain(more) {
        s.line("A-WALL", [x0 + 900.0, y0], [x1 + 900.0, y1]);
    }
    s.text([1080.0, -40.0], 12.0, "FIRST FLOOR PLAN");
    let (m, codes) = read(&s, "");
    assert_eq!(storeys(&m), [("GROUND FLOOR PLAN", 4), ("FIRST FLOOR PLAN", 8)]);
    assert!(!codes.contains(&"dxf-close-parallels"), "{codes:?}");
}

/// Two houses 22 ft apart with these titles below them.
fn two_titled(left: &str, right: &str) -> Sheet {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [432.0, 336.0]);
    s.text([100.0, -60.0], 12.0, left);
    s.house("A-WALL", [696.0, 0.0], [432.0, 300.0]);
    s.text([800.0, -60.0], 12.0, right);
    s
}

#[test]
fn a_title_in_unknown_words_keeps_its_plan_apart() {
    let (m, _) = read(&two_titled("ROOF DECK", "FIRST FLOOR PLAN"), "");
    assert_eq!(m.storeys.len(), 2);
    let (m, _) = read(&two_titled("1ER ETAGE", "REZ-DE-CHAUSSEE"), "");
    assert_eq!(storeys(&m), [("REZ-DE-CHAUSSEE", 4), ("1ER ETAGE", 4)]);
}

#[test]
fn attics_are_above_and_crawl_spaces_below_and_a_guess_is_told() {
    for (left, right, below) in [
        ("ATTIC FLOOR PLAN", "FLOOR PLAN", "FLOOR PLAN"),
        ("FLOOR PLAN", "CRAWL SPACE PLAN", "CRAWL SPACE PLAN"),
        ("BASEMENT PLAN", "FLOOR PLAN", "BASEMENT PLAN"),
    ] {
        let sheet = two_titled(left, right);
        let (m, _) = read(&sheet, "");
        assert_eq!(m.storeys[0].name, below);
        let out = import_dxf::read(sheet.dxf().as_bytes(), &Settings::default()).expect("a model");
        let told = out.findings.iter().find(|f| f.code.name() == "dxf-several-plans");
        let told = told.expect("a finding");
        assert_eq!(told.severity, diag::Severity::Warning);
        assert!(told.message.contains("order from below was guessed"), "{}", told.message);
    }
    let (_, codes) = read(&two_titled("FIRST FLOOR PLAN", "SECOND FLOOR PLAN"), "");
    assert!(codes.contains(&"dxf-several-plans"));
}

#[test]
fn options_and_reversed_plans_of_one_floor_are_told() {
    for (left, right) in [
        ("FLOOR PLAN", "FLOOR PLAN - OPTION B"),
        ("FLOOR PLAN - OPTION A", "FLOOR PLAN - OPTION B"),
        ("FLOOR PLAN", "FLOOR PLAN REVERSED"),
        ("PLAN", "ALTERNATE PLAN"),
    ] {
        let (m, codes) = read(&two_titled(left, right), "");
        assert_eq!(m.storeys.len(), 2);
        assert!(codes.contains(&"dxf-same-plan-twice"), "{left}, {right}: {codes:?}");
    }
    // Two floors are none.
    let (_, codes) = read(&two_titled("FIRST FLOOR PLAN", "SECOND FLOOR PLAN"), "");
    assert!(!codes.contains(&"dxf-same-plan-twice"));
}

#[test]
fn plans_with_bare_numbers_stand_in_their_order() {
    let mut s = Sheet::default();
    s.house("A-WALL", [0.0, 0.0], [360.0, 300.0]);
    s.text([100.0, -40.0], 12.0, "PLAN 2");
    s.house("A-WALL", [720.0, 0.0], [480.0, 300.0]);
    s.text([860.0, -40.0], 12.0, "PLAN 1");
    let out = import_dxf::read(s.dxf().as_bytes(), &Settings::default()).expect("two plans");
    assert_eq!(storeys(&out.value), [("PLAN 1", 4), ("PLAN 2", 4)]);
    // They may be two houses: the order stays a guess.
    let told = out.findings.iter().find(|f| f.code.name() == "dxf-several-plans");
    assert!(told.is_some_and(|f| f.message.contains("guessed by the numbers in their titles")));
}

/// Two floors of one outline over each other, with inner walls of their own; the upper one on `layer` at `z`.
fn stacked(layer: &str, z: f64, inner: f64) -> String {
    let mut s = Sheet::default();
    s.house("A-WALL-FLR1", [0.0, 0.0], [480.0, 360.0]);
    for y in [150.0, 154.5] {
        s.line("A-WALL-FLR1", [4.5, y], [475.5, y]);
    }
    let below = s.entities.len();
    s.house(layer, [0.0, 0.0], [480.0, 360.0]);
    for y in [inner, inner + 4.5] {
        s.line(layer, [4.5, y], [475.5, y]);
    }
    let above = s.entities.split_off(below);
    let raised = above.replace(" 11\n", &format!(" 30\n{z:?}\n 31\n{z:?}\n 11\n"));
    s.entities += &raised;
    s.dxf()
}

#[test]
fn floors_over_each_other_are_told() {
    let told = |text: &str| {
        let out = import_dxf::read(text.as_bytes(), &Settings::default()).expect("walls");
        let found = out.findings.into_iter().find(|f| f.code.name() == "dxf-floors-stacked");
        found.map(|f| (f.severity, f.message))
    };
    let (severity, words) = told(&stacked("A-WALL-FLR1", 108.0, 220.0)).expect("two heights");
    assert_eq!(severity, diag::Severity::Error);
    assert!(
        words.contains("2 floors") && words.contains("0\" (") && words.contains("9'-0\""),
        "{words}"
    );
    let (severity, words) = told(&stacked("A-WALL-FLR2", 0.0, 220.0)).expect("two layers");
    assert_eq!(severity, diag::Severity::Warning);
    assert!(words.contains("floor 1 (") && words.contains("floor 2 ("), "{words}");
    // A step in the floor is no storey; and the edges of walls, at foot and top, are one plan.
    assert_eq!(told(&stacked("A-WALL-FLR1", 36.0, 220.0)), None);
    assert_eq!(told(&stacked("A-WALL-FLR1", 108.0, 150.0)), None);
    // Side by side they are storeys as ever.
    let mut s = two_floors();
    s.entities = s.entities.replacen("A-WALL", "2F-WALL", 8);
    assert_eq!(told(&s.dxf()), None);
}
