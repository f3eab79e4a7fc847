//! What walls and openings are made of lines, end to end: sections, faces, doors, loose windows.

use super::{codes, ends, ok, ok_with, rule, with, with_count};
use crate::testing::{Dxf, QUADRATIC, entity, line};
use diag::Severity;
use geom::Length;
use lumber::Section;
use settings::{LayerRule, LayerUse, Mirror, Settings};
use wall_model::OpeningKind;

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

/// 3-5/8 in is a 2x3 with boards by the sum, and a 2x4 drawn an eighth too thick by the eye: not for a note.
#[test]
fn a_wall_that_is_nearly_a_bare_stud_is_a_warning() {
    let of = |inner: f64| {
        let mut d = Dxf::inches();
        for inset in [0.0, inner] {
            let corners = [
                [inset, inset],
                [480.0 - inset, inset],
                [480.0 - inset, 360.0 - inset],
                [inset, 360.0 - inset],
            ];
            d = d.polyline("A-WALL", &corners, true);
        }
        let o = ok(&d);
        let told = with(&o.findings, "dxf-section-drawn");
        (o.value.walls[0].section, told.first().map(|f| (f.severity, f.message.clone())))
    };
    let (section, told) = of(3.625);
    let (severity, words) = told.unwrap();
    assert_eq!((section.name(), severity), ("2x3", Severity::Warning));
    assert!(words.contains("off a bare 2x4"), "{words}");
    let (section, told) = of(4.5);
    assert_eq!((section, told.map(|t| t.0)), (Section::S2X4, Some(Severity::Note)));
    // A few hundredths of an inch make no metric stud.
    assert_eq!(of(3.55), (Section::S2X4, None));
}
