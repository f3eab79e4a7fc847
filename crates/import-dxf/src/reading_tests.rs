//! Small drawings, as far as linework, texts and dimensions.

use crate::file::DxfFile;
use crate::flatten::{Drawing, flatten};
use crate::linework::{Kind, Measures, mark};
use crate::reading::read_file;
use crate::source::Source;
use crate::testing::{Dxf, QUADRATIC, entity, insert};
use limits::{Limits, Watch};
use settings::Settings;

/// Flattens a drawing and hands it over.
fn flat<T>(text: &str, look: impl FnOnce(&DxfFile<'_>, &Drawing) -> T) -> T {
    let watch = Watch::endless();
    let mut file = read_file(Source::Memory(text.as_bytes()), None, &watch);
    let drawing = flatten(&mut file, &Limits::default(), &watch);
    look(&file, &drawing)
}

fn near(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] - b[0]).hypot(a[1] - b[1]) < 1e-9
}

/// An entity with text groups after its numbers.
fn written(kind: &str, handle: &str, tags: &[(i32, f64)], texts: &[(i32, &str)]) -> String {
    let mut out = entity(kind, handle, "A-ANNO", tags);
    for (code, text) in texts {
        out += &format!("{code:3}\n{text}\n");
    }
    out
}

#[test]
fn texts_land_where_their_blocks_do() {
    let at = |x: f64, y: f64| [(10, x), (20, y), (40, 6.0)];
    let block = written("TEXT", "B1", &at(10.0, 0.0), &[(1, "%%uBED%%u\\U+00E4")])
        + &written("MTEXT", "B2", &at(0.0, 5.0), &[(3, "{\\fArial;MASTER "), (1, "BED\\PROOM}")])
        + &written("ATTDEF", "B3", &[(10, 0.0), (20, 0.0), (40, 1.0), (70, 0.0)], &[(1, "prompt")])
        + &written("ATTDEF", "B4", &[(10, 1.0), (20, 0.0), (40, 1.0), (70, 2.0)], &[(1, "fixed")]);
    let attribute = written("ATTRIB", "C1", &at(7.0, 8.0), &[(1, "101"), (2, "NO")])
        + &written("ATTRIB", "C2", &[(10, 7.0), (20, 8.0), (40, 6.0), (70, 1.0)], &[(1, "hidden")])
        + "  0\nSEQEND\n";
    let d = Dxf::inches()
        .block("ROOM", [0.0, 0.0], &block)
        // Turned left, mirrored, doubled.
        .insert("A-NOTE", "ROOM", [100.0, 50.0], &[(41, -2.0), (42, 2.0), (50, 90.0), (66, 1.0)])
        .raw(&attribute)
        .raw(&written(
            "TEXT",
            "D1",
            &[(10, 1.0), (20, 2.0), (11, 30.0), (21, 40.0), (40, 9.0), (50, 45.0), (72, 1.0)],
            &[(1, "centered")],
        ));
    flat(&d.text(), |file, drawing| {
        let mut found: Vec<_> = drawing
            .lines
            .texts
            .iter()
            .map(|t| {
                (file.plain_text(t.string), t.at, t.height, drawing.entity(file, t.pos, t.via))
            })
            .collect();
        found.sort_by(|a, b| a.3.cmp(&b.3));
        let names: Vec<&str> = found.iter().map(|f| f.3.as_str()).collect();
        assert_eq!(names, ["100/B1", "100/B2", "100/B4", "C1", "D1"]);
        let texts: Vec<&str> = found.iter().map(|f| f.0.as_str()).collect();
        assert_eq!(texts, ["BEDä", "MASTER BED\nROOM", "fixed", "101", "centered"]);
        let places = [[100.0, 30.0], [90.0, 50.0], [100.0, 48.0], [7.0, 8.0], [30.0, 40.0]];
        for (f, want) in found.iter().zip(places) {
            assert!(near(f.1, want), "{f:?}");
        }
        assert_eq!(found.iter().map(|f| f.2).collect::<Vec<_>>(), [12.0, 12.0, 2.0, 6.0, 9.0]);
        // Attributes are part of their INSERT and have no place of their own in the account.
        assert_eq!(drawing.lines.texts.iter().filter(|t| t.shape == u32::MAX).count(), 1);
        for t in drawing.lines.texts.iter().filter(|t| t.shape != u32::MAX) {
            let shape = drawing.lines.shapes[t.shape as usize];
            assert_eq!((shape.pos, shape.via, shape.layer), (t.pos, t.via, t.layer));
        }
    });
}

#[test]
fn dimensions_have_their_points_measure_and_texts() {
    let picture = entity("LINE", "P1", "0", &[(10, 0.0), (20, 0.0), (11, 150.0), (21, 0.0)])
        + &written("MTEXT", "P2", &[(10, 75.0), (20, 1.0)], &[(1, "\\A1;12'-6\"")]);
    let points = [(13, 0.0), (23, 0.0), (14, 150.0), (24, 40.0), (42, 150.0)];
    let linear = [&points[..], &[(70, 32.0), (50, 0.0)]].concat();
    let aligned = [&points[..], &[(70, 33.0)]].concat();
    let inside = written("DIMENSION", "B1", &aligned, &[(1, "<> CLR.")]);
    let d = Dxf::inches()
        .block("*D1", [0.0, 0.0], &picture)
        .block("PART", [0.0, 0.0], &inside)
        .insert("0", "PART", [0.0, 0.0], &[(41, 2.0), (42, 2.0), (50, 90.0)])
        .raw(&written("DIMENSION", "A1", &linear, &[(2, "*d1")]))
        .raw(&written("DIMENSION", "A2", &[(70, 4.0), (10, 3.0), (20, 4.0)], &[(1, "R6")]));
    flat(&d.text(), |file, drawing| {
        // The picture's line is no line of the drawing.
        assert!(drawing.lines.segments.is_empty());
        assert_eq!(drawing.lines.shapes.iter().filter(|s| s.kind == Kind::Dimension).count(), 3);
        let of = |handle: &str| {
            *drawing
                .lines
                .dimensions
                .iter()
                .find(|d| {
                    let s = drawing.lines.shapes[d.shape as usize];
                    drawing.entity(file, s.pos, s.via) == handle
                })
                .unwrap()
        };
        let a = of("A1");
        assert_eq!((a.measures, a.measured, a.distance()), (Measures::Linear, Some(150.0), 150.0));
        assert_eq!(file.plain_text(a.shown), "12'-6\"");
        assert_eq!(file.plain_text(a.typed), "");
        let b = of("100/B1");
        assert_eq!(b.measures, Measures::Aligned);
        assert!(near(b.between[1], [-80.0, 300.0]));
        assert!((b.distance() - 2.0 * 150.0_f64.hypot(40.0)).abs() < 1e-9);
        assert_eq!(b.measured, Some(150.0));
        assert_eq!(file.plain_text(b.typed), "<> CLR.");
        let r = of("A2");
        assert_eq!((r.measures, r.between), (Measures::Other, [[3.0, 4.0]; 2]));
    });
}

/// Outlines and free curves give linework that is no wall, door or window by itself, and count as
/// before.
#[test]
fn outlines_and_curves_are_linework_but_no_walls() {
    let square = [
        (70, 1.0),
        (71, 0.0),
        (91, 1.0),
        (92, 3.0),
        (72, 0.0),
        (73, 1.0),
        (93, 4.0),
        (10, 0.0),
        (20, 0.0),
        (10, 10.0),
        (20, 0.0),
        (10, 10.0),
        (20, 4.0),
        (10, 0.0),
        (20, 4.0),
        (97, 0.0),
        (75, 0.0),
        (76, 1.0),
        (98, 1.0),
        (10, 5.0),
        (20, 2.0),
    ];
    let edges = [
        (210, 0.0),
        (220, 0.0),
        (230, -1.0),
        (91, 1.0),
        (92, 1.0),
        (93, 3.0),
        (72, 1.0),
        (10, 0.0),
        (20, 0.0),
        (11, 10.0),
        (21, 0.0),
        // From (10, 0) clockwise over (5, -5) to (0, 0): stored as 360 - 360 and 360 - 180.
        (72, 2.0),
        (10, 5.0),
        (20, 0.0),
        (40, 5.0),
        (50, 0.0),
        (51, 180.0),
        (73, 0.0),
        (72, 3.0),
        (10, 0.0),
        (20, 0.0),
        (11, 0.0),
        (21, 8.0),
        (40, 0.5),
        (50, 0.0),
        (51, 90.0),
        (73, 1.0),
        (97, 0.0),
        (75, 0.0),
    ];
    let corners =
        [(10, 0.0), (20, 0.0), (11, 6.0), (21, 0.0), (12, 0.0), (22, 2.0), (13, 6.0), (23, 2.0)];
    let points = [(10, 0.0), (20, 0.0), (10, 5.0), (20, 5.0), (10, 10.0), (20, 0.0)];
    let curve = [&[(70, 8.0)][..], &QUADRATIC, &points].concat();
    let oval = [
        (10, 0.0),
        (20, 0.0),
        (11, 0.0),
        (21, 4.0),
        (40, 0.25),
        (41, 0.0),
        (42, std::f64::consts::FRAC_PI_2),
    ];
    let d = Dxf::inches()
        .house()
        .entity("HATCH", "A-WALL", &square)
        .entity("HATCH", "A-WALL", &edges)
        .entity("SOLID", "A-WALL", &corners)
        .entity("3DFACE", "A-WALL", &[&corners[..], &[(70, 1.0)]].concat())
        .entity("SPLINE", "A-WALL", &curve)
        .entity("ELLIPSE", "A-WALL", &oval)
        .entity("CIRCLE", "A-WALL", &[(10, 1.0), (20, 2.0), (40, 3.0)]);
    flat(&d.text(), |_, drawing| {
        let lines = &drawing.lines;
        let of = |kind: Kind, nth: usize| {
            let mut all = (0..lines.shapes.len()).filter(|i| lines.shapes[*i].kind == kind);
            let i = all.nth(nth).unwrap();
            let segments: Vec<_> = lines.segments_of(i).map(|k| lines.segments[k]).collect();
            let arcs: Vec<_> = lines.arcs_of(i).map(|k| lines.arcs[k]).collect();
            (segments, arcs, lines.shapes[i].marks)
        };
        let (ring, arcs, marks) = of(Kind::Hatch, 0);
        assert_eq!((ring.len(), arcs.len(), marks), (4, 0, mark::FILLED));
        assert_eq!((ring[1].a, ring[1].b, ring[3].b), ([10.0, 0.0], [10.0, 4.0], [0.0, 0.0]));
        // Its plane is upside down: x changes sign.
        let (line, arcs, _) = of(Kind::Hatch, 1);
        assert_eq!((line[0].b, arcs.len()), ([-10.0, 0.0], 2));
        assert!(near(arcs[0].at(arcs[0].sweep / 2.0), [-5.0, -5.0]), "{:?}", arcs[0]);
        assert!(near(arcs[1].ends()[0], [0.0, 8.0]) && near(arcs[1].ends()[1], [4.0, 0.0]));
        let (ring, _, marks) = of(Kind::Solid, 0);
        assert_eq!((ring.len(), marks), (4, mark::FILLED));
        assert_eq!((ring[1].b, ring[2].b), ([6.0, 2.0], [0.0, 2.0]));
        // As a face, the same corners cross; its first edge is hidden.
        let (faces, _, _) = of(Kind::Face, 0);
        assert_eq!((faces.len(), faces[0].a, faces[0].b), (3, [6.0, 0.0], [0.0, 2.0]));
        let (chords, _, _) = of(Kind::Spline, 0);
        assert!(chords.len() >= 8);
        assert!(chords.iter().any(|s| near(s.b, [5.0, 2.5])));
        let (_, arcs, _) = of(Kind::Ellipse, 0);
        assert!(near(arcs[0].ends()[0], [0.0, 4.0]) && near(arcs[0].ends()[1], [-1.0, 0.0]));
        let (_, arcs, _) = of(Kind::Circle, 0);
        assert!((arcs[0].length() - 6.0 * std::f64::consts::PI).abs() < 0.1);
    });
    let plain = crate::read(Dxf::inches().house().text().as_bytes(), &Settings::default()).unwrap();
    let full = crate::read(d.text().as_bytes(), &Settings::default()).unwrap();
    assert_eq!(full.value.walls, plain.value.walls);
    assert_eq!((full.value.ledger.read(), full.value.ledger.used()), (11, 4));
    let reasons: Vec<_> =
        full.value.ledger.ignored().map(|(r, i)| (r.to_owned(), i.count)).collect();
    assert!(reasons.contains(&("HATCH is not read as a wall: A-WALL".to_owned(), 2)));
    assert!(reasons.contains(&("CIRCLE is not read as a wall: A-WALL".to_owned(), 1)));
}

/// What a finding of damage names: line, entity, handle, group code.
#[test]
fn damage_is_told_with_its_place() {
    let d = Dxf::inches()
        .house()
        .raw(&entity("LINE", "AB", "A-WALL", &[(10, 0.0), (20, 0.0)]))
        .raw(" 11\nbad\n 21\n1,5\n");
    let out = crate::read(d.text().as_bytes(), &Settings::default()).unwrap();
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    let line = d.text().lines().position(|l| l == "bad").unwrap();
    let want = format!("line {line}, LINE AB: group 11: `bad` is not a number");
    assert!(told.message.contains(&want), "{}", told.message);
    assert!(told.message.contains("group 21: `1,5` was read as 1.5"), "{}", told.message);
}

#[test]
fn blocks_out_of_balance_lose_nothing_silently() {
    let wall = entity("LINE", "B1", "A-WALL", &[(10, 0.0), (20, 0.0), (11, 100.0), (21, 0.0)]);
    let inside = "  0\nBLOCK\n  2\nOPEN\n 10\n0\n 20\n0\n".to_owned() + &wall;
    let stray = "  0\nENDBLK\n".to_owned() + &wall.replace("B1", "B2");
    let d = Dxf::inches()
        .house()
        .raw_block(&inside)
        .block("NEXT", [0.0, 0.0], &wall.replace("B1", "B3"))
        .block("next", [0.0, 0.0], &wall.replace("B1", "B4"))
        .raw_block(&stray)
        .insert("A-WALL", "OPEN", [0.0, 100.0], &[])
        .insert("A-WALL", "Next", [0.0, 200.0], &[]);
    let out = crate::read(d.text().as_bytes(), &Settings::default()).unwrap();
    assert_eq!(out.value.walls.len(), 6);
    let reasons: Vec<_> =
        out.value.ledger.ignored().map(|(r, i)| (r.to_owned(), i.count)).collect();
    assert_eq!(reasons, [("outside any block".to_owned(), 1)]);
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    for part in ["block OPEN has no ENDBLK", "a block ends that did not begin", "outside any block"]
    {
        assert!(told.message.contains(part), "{part}: {}", told.message);
    }
}

/// A section whose start was lost, and entities between sections.
#[test]
fn entities_outside_sections_are_read() {
    let text = Dxf::inches().house().text();
    let lost = text.replace("  0\nSECTION\n  2\nENTITIES\n", "");
    let out = crate::read(lost.as_bytes(), &Settings::default()).unwrap();
    assert_eq!(out.value.walls.len(), 4);
    assert!(out.findings.iter().any(|f| f.message.contains("outside any section")));
}

/// Nested arrays that come to a million million lines, blocks in circles, names and values of
/// megabytes: told in a moment.
#[test]
fn bombs_are_bounded() {
    let line = entity("LINE", "B0", "A-WALL", &[(10, 0.0), (20, 0.0), (11, 9.0), (21, 0.0)]);
    let array = [(70, 1000.0), (71, 1000.0), (44, 10.0), (45, 10.0)];
    let mut d = Dxf::inches().house().block("N0", [0.0, 0.0], &line);
    for i in 1..40 {
        let inner = insert("C1", "0", &format!("N{}", i - 1), [0.0; 2], &array);
        d = d.block(&format!("N{i}"), [0.0, 0.0], &inner);
    }
    let circle = insert("C2", "0", "ROUND", [0.0; 2], &[]);
    let long = "x".repeat(3_000_000);
    let d = d
        .block("ROUND", [0.0, 0.0], &circle)
        .insert("A-WALL", "N39", [0.0; 2], &array)
        .insert("A-WALL", "ROUND", [0.0; 2], &[])
        .insert("A-WALL", &long, [0.0; 2], &[])
        .line(&long, [0.0; 2], [1.0, 1.0])
        .raw(&written("TEXT", "A1", &[(10, 0.0), (20, 0.0)], &[(1, &long)]))
        .raw(&format!("  0\nLINE\n  8\nA-WALL\n 10\n{long}\n 20\n0\n"));
    let out = crate::read(d.text().as_bytes(), &Settings::default()).unwrap();
    assert_eq!(out.value.walls.len(), 4);
    let told: Vec<&str> = out.findings.iter().map(|f| f.code.name()).collect();
    for code in ["limit-reached", "file-repaired", "dxf-missing-block"] {
        assert!(told.contains(&code), "{code}");
    }
    assert!(out.findings.iter().all(|f| f.message.len() < 20_000));
}

#[test]
fn layer_names_that_do_not_fit_the_code_page_are_told() {
    let text = Dxf::inches().version("AC1027").house().layer("B#ro", 7, 0).text();
    let bytes: Vec<u8> = text.bytes().map(|b| if b == b'#' { 0xFC } else { b }).collect();
    let out = crate::read(&bytes, &Settings::default()).unwrap();
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    assert!(told.message.contains("Büro"), "{}", told.message);
}

/// What was found by damaging drawings and reading them with another library beside this one.
#[test]
fn damage_is_told_where_it_costs_every_wall() {
    let lost = entity("LINE", "AB", "A-WALL", &[(10, 0.0), (20, 0.0), (11, 9.0)]) + " 21\nx\n";
    let refusal = crate::read(Dxf::inches().raw(&lost).text().as_bytes(), &Settings::default());
    let findings = refusal.expect_err("a refusal").findings;
    assert_eq!(findings.iter().filter(|f| f.code.name() == "file-repaired").count(), 1);
    assert!(findings.iter().any(|f| f.message.contains("LINE AB: group 21: `x`")), "{findings:?}");
}

/// A lost `0 LINE`: the line before it is no more, and that was not told.
#[test]
fn two_entities_run_into_one_are_told() {
    let whole = Dxf::inches().house();
    let head = "  0\nLINE\n  5\n101\n";
    let text = whole.text().replace(head, "  5\n101\n");
    assert!(text.len() < whole.text().len());
    let out = crate::read(text.as_bytes(), &Settings::default()).unwrap();
    assert_eq!(out.value.walls.len(), 3);
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    let line = text.lines().position(|l| l == "101").unwrap();
    assert!(told.message.contains(&format!("line {line}, LINE 100: a second handle")), "{told:?}");
    let sound = crate::read(whole.text().as_bytes(), &Settings::default()).unwrap();
    assert!(sound.findings.iter().all(|f| f.code.name() != "file-repaired"));
}

/// Whether a polyline is closed decides about a wall.
#[test]
fn flags_that_are_no_numbers_are_told() {
    let d = Dxf::inches().polyline("A-WALL", &[[0.0, 0.0], [240.0, 0.0], [240.0, 120.0]], true);
    let text = d.text().replace(" 90\n3\n 70\n1\n", " 90\n3\n 70\n1x\n");
    let out = crate::read(text.as_bytes(), &Settings::default()).unwrap();
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    assert!(told.message.contains("group 70: `1x` is not a number"), "{told:?}");
}

#[test]
fn names_in_small_letters_are_read_and_told() {
    let text = Dxf::inches().house().text().replacen("LINE", "Line", 1);
    let out = crate::read(text.as_bytes(), &Settings::default()).unwrap();
    assert_eq!(out.value.walls.len(), 4);
    let told = out.findings.iter().find(|f| f.code.name() == "file-repaired").unwrap();
    assert!(
        told.message.contains("LINE 100: `Line` was read as LINE")
            || told.message.contains("Line 100: `Line` was read as LINE"),
        "{told:?}"
    );
}

/// A spoilt name, and the wall before it was spoilt with it.
#[test]
fn a_spoilt_name_leaves_its_neighbours_alone() {
    let whole = Dxf::inches().house().text();
    let text = whole.replace("  0\nLINE\n  5\n101\n", "  0\n\u{f}INE\n  5\n101\n");
    assert_ne!(text, whole);
    let out = crate::read(text.as_bytes(), &Settings::default()).unwrap();
    let lengths: Vec<f64> = out.value.walls.iter().map(|w| w.length().to_inches()).collect();
    assert_eq!(lengths.iter().sum::<f64>(), 2.0 * 480.0 + 360.0, "{lengths:?}");
    assert!(out.findings.iter().any(|f| f.message.contains("`.INE` is no type of entity")));
}

/// Bulges are of polylines in a plane (Autodesk DXF reference, "POLYLINE", flag 8); damage brought one into space.
#[test]
fn polylines_in_space_have_no_arcs() {
    let vertex = |x: f64| entity("VERTEX", "B1", "A-WALL", &[(10, x), (20, 0.0), (42, 0.5)]);
    for (flag, arcs) in [(0.0, 1), (8.0, 0)] {
        let head = entity("POLYLINE", "B0", "A-WALL", &[(66, 1.0), (70, flag)]);
        let d = Dxf::inches().raw(&(head + &vertex(0.0) + &vertex(100.0) + "  0\nSEQEND\n"));
        flat(&d.text(), |_, drawing| assert_eq!(drawing.lines.arcs.len(), arcs));
    }
}

/// What was lost in silence on layers that hold no walls, where walls may be found by their shape all the same.
#[test]
fn what_is_missing_is_told_on_every_layer() {
    let vertex = entity("VERTEX", "B4", "0", &[(10, 1.0), (20, 2.0)]);
    let half = entity("MLINE", "B5", "0", &[(11, 0.0), (21, 0.0), (74, 2.0), (41, 1.0)]);
    for (lost, told) in [
        (
            entity("LINE", "B1", "0", &[(10, 1.0), (20, 2.0), (11, 3.0)]),
            "LINE B1: a coordinate is missing",
        ),
        (
            entity("CIRCLE", "B2", "0", &[(20, 2.0), (40, 3.0)]),
            "CIRCLE B2: a coordinate is missing",
        ),
        (
            entity("LWPOLYLINE", "B3", "0", &[(10, 1.0), (10, 2.0), (20, 2.0)]),
            "LWPOLYLINE B3: a coordinate",
        ),
        (
            entity("INSERT", "B6", "0", &[(10, 1.0)]),
            "INSERT B6: the place of the insert is missing",
        ),
        (
            entity("LINE", "B8", "0", &[(10, 1.0), (20, 2.0), (10, 0.0), (11, 3.0), (21, 4.0)]),
            "LINE B8: group 10 stands there a second time",
        ),
        (
            entity("INSERT", "B9", "0", &[(10, 1.0), (20, 2.0), (10, 0.5)]),
            "INSERT B9: group 10 stands there a second time",
        ),
        (entity("LI?E", "B7", "0", &[(10, 1.0)]), "`LI?E` is no type of entity"),
        (vertex, "a VERTEX stands outside any POLYLINE"),
        (half, "MLINE B5: parameters of an element are missing"),
    ] {
        let text = Dxf::inches().house().raw(&lost).text();
        let out = crate::read(text.as_bytes(), &Settings::default()).unwrap();
        let found = out
            .findings
            .iter()
            .any(|f| f.code.name() == "file-repaired" && f.message.contains(told));
        assert!(found && out.value.walls.len() == 4, "{told}: {:?}", out.findings);
    }
}
