//! What is left out, and how it is told, end to end.

use super::{codes, ends, ok, ok_with, refused, rule, with, with_count};
use crate::testing::{Dxf, entity, line};
use crate::{inspect, read};
use diag::Severity;
use geom::Length;
use settings::{LayerUse, Settings};

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

/// The section that a layer is named for is used, and told where its walls are as thick as others'.
#[test]
fn a_layer_named_for_other_studs_than_its_walls_are_thick_for_is_told() {
    let house = |layer: &str, thick: f64| {
        let rings = [[0.0, 0.0, 480.0, 360.0], [thick, thick, 480.0 - thick, 360.0 - thick]];
        rings.iter().fold(Dxf::inches(), |d, [a, b, c, e]| {
            d.polyline(layer, &[[*a, *b], [*c, *b], [*c, *e], [*a, *e]], true)
        })
    };
    for (layer, thick, told) in [
        ("A-WALL-2X4", 5.5, true),
        ("A-WALL-2X4", 6.5, true),
        ("A-WALL-2X4", 3.5, false),
        ("A-WALL-2X4", 4.5, false),
        ("A-WALL-2X6", 5.5, false),
        ("A-WALL-2X6", 6.5, false),
        ("A-WALL-2X6", 3.5, true),
    ] {
        let o = ok(&house(layer, thick));
        let found = with(&o.findings, "dxf-section-conflict");
        assert_eq!(found.len(), usize::from(told), "{layer} {thick}");
        let stated = if layer.ends_with('4') { "2x4" } else { "2x6" };
        assert!(o.value.walls.iter().all(|w| w.section.name() == stated), "{layer} {thick}");
        if told {
            assert!(found[0].message.contains(stated), "{}", found[0].message);
        }
    }
    // As polylines as wide as the wall.
    let wide = entity(
        "LWPOLYLINE",
        "F0",
        "A-WALL-2X4",
        &[(90, 2.0), (70, 0.0), (43, 5.5), (10, 100.0), (20, 100.0), (10, 300.0), (20, 100.0)],
    );
    let o = ok(&house("A-WALL-2X4", 3.5).raw(&wide));
    assert_eq!(with(&o.findings, "dxf-section-conflict").len(), 1);
}
