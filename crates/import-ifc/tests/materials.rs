//! Walls whose materials have no layers: constituents, lists, plain materials.

mod common;

use common::{Model, has};
use diag::Finding;
use lumber::Section;
use settings::Settings;

const X: [f64; 3] = [1.0, 0.0, 0.0];
const ZERO: [f64; 3] = [0.0; 3];

/// A wall this thick of these materials, as constituents or as a list.
fn made_of(names: &[&str], thickness: f64, constituents: bool) -> Model {
    let mut m = Model::inches();
    let w = m.wall("w1", ZERO, X, 144.0, thickness);
    let materials: Vec<u64> =
        names.iter().map(|n| m.add(&format!("IFCMATERIAL('{n}',$,$)"))).collect();
    let each: Vec<String> = materials
        .iter()
        .map(|id| match constituents {
            true => format!("#{}", m.add(&format!("IFCMATERIALCONSTITUENT($,$,#{id},$,$)"))),
            false => format!("#{id}"),
        })
        .collect();
    let set = match constituents {
        true => m.add(&format!("IFCMATERIALCONSTITUENTSET('S',$,({}))", each.join(","))),
        false => m.add(&format!("IFCMATERIALLIST(({}))", each.join(","))),
    };
    m.made_of(w, set);
    m
}
fn said<'f>(findings: &'f [Finding], code: &str) -> &'f str {
    findings.iter().find(|f| f.code.name() == code).map_or("", |f| f.message.as_str())
}

#[test]
fn the_stud_that_is_named_is_the_section() {
    let siding = ["Gypsum board", "Wood stud 2x6", "OSB", "Fibre cement"];
    let block = ["CMU block", "Furring wood 2x4", "Gypsum"];
    let thin = ["Gypsum board", "Wood stud 2x4", "OSB", "Siding"];
    for (names, thickness, section, off) in [
        (&siding[..], 7.25, Section::S2X6, "7/8\""),
        (&block[..], 7.25, Section::S2X4, "1 7/8\""),
        (&thin[..], 5.0, Section::S2X4, "3/4\""),
    ] {
        for constituents in [true, false] {
            let out = made_of(names, thickness, constituents).read();
            let w = &out.value.walls[0];
            assert_eq!(w.section, section, "{names:?}");
            // Their place is told to be not known: the middle, and how far that may be off.
            assert_eq!(w.start.y.to_inches(), 0.0);
            let words = said(&out.findings, "ifc-framing-place");
            assert!(words.contains("middle") && words.contains(off), "{words}");
            assert!(words.contains(names[1]) || words.contains(names[0]), "{words}");
        }
    }
    // As thick as its studs, there is nothing to be told.
    let out = made_of(&["Wood stud 2x6"], 5.5, true).read();
    assert!(out.findings.is_empty(), "{:?}", out.findings);
}

#[test]
fn materials_without_a_size_are_no_silent_lumber() {
    let out = made_of(&["Softwood", "Gypsum"], 5.5, true).read();
    let words = said(&out.findings, "ifc-framing-layer-guessed");
    assert!(words.contains("2x6 alone") && words.contains("2 materials"), "{words}");
    let refused = |names: &[&str], thickness| {
        made_of(names, thickness, true).read_with(&Settings::default()).unwrap_err().findings
    };
    let f = refused(&["CMU block", "Structure", "Gypsum"], 7.25);
    assert!(said(&f, "ifc-wall-not-wood").contains("CMU block"), "{f:?}");
    // A size alone is no wood where the type says metal.
    let mut m = made_of(&["2X6 19 11/16 O.C. (NO. 1 - SELECT)"], 5.5, false);
    let name = m.lines.iter_mut().find(|l| l.contains("'w1 name'")).unwrap();
    *name = name.replace("'w1 name'", "'Curtain Wall: Metal Studs'");
    let f = m.read_with(&Settings::default()).unwrap_err().findings;
    assert!(said(&f, "ifc-wall-not-wood").contains("not of wood by its name"), "{f:?}");
    // Named wider than the wall is.
    let f = refused(&["Wood stud 2x8", "Gypsum"], 5.5);
    let words = said(&f, "section-unknown");
    assert!(words.contains("1 3/4\" less than the 2x8"), "{words}");
    assert!(has(&f, "no-walls"));
}

/// A wall of 11.1125 + 139.7 + 12.7 mm in an inch file, its layers as many times as thick as they should be, counted
/// from an offset so many times what it should be.
fn layers_times(k: f64, offset: f64) -> Model {
    let mut m = Model::inches();
    let thickness = 163.5125 / 25.4;
    let w = m.wall("w1", [0.0; 3], [1.0, 0.0, 0.0], 120.0, thickness);
    let rows = [("OSB", 11.1125), ("Stud", 139.7), ("Gypsum", 12.7)];
    let set = m.layers("W6", &rows.map(|(name, mm)| (name, mm / 25.4 * k)));
    let usage = m.usage(set, "POSITIVE", -thickness / 2.0 * offset);
    m.made_of(w, usage);
    m
}

#[test]
fn layers_in_another_unit_are_taken_in_it_and_told() {
    let right = layers_times(1.0, 1.0).read();
    assert!(!has(&right.findings, "ifc-layers-unit"));
    for (k, offset, name) in [
        (25.4, 25.4, "millimetres"),
        (25.4, 1.0, "millimetres"),
        (0.0254, 0.0254, "metres"),
        (1.0 / 12.0, 1.0, "feet"),
    ] {
        let out = layers_times(k, offset).read();
        let words = said(&out.findings, "ifc-layers-unit");
        assert!(words.contains(&format!("taken in {name}")), "{k} {words} {:?}", out.findings);
        assert!(!has(&out.findings, "ifc-layer-side"), "{:?}", out.findings);
        let (a, b) = (&right.value.walls[0], &out.value.walls[0]);
        assert_eq!((a.section, a.drawn_thickness), (b.section, b.drawn_thickness));
        let off = |w: &wall_model::Wall| (w.start.y - a.start.y).abs();
        assert!(off(b) <= geom::Length::from_nm(10), "{k} {offset}");
    }
    // Twice as thick is no unit.
    let twice = layers_times(2.0, 1.0).read_with(&Settings::default()).unwrap_err();
    assert!(!has(&twice.findings, "ifc-layers-unit"));
}

/// A wall of layers, drawn from its right face to its left.
fn layered(rows: &[(&str, f64)]) -> Model {
    let mut m = Model::inches();
    m.layered("w1", ZERO, X, 144.0, rows);
    m
}

#[test]
fn a_framing_layer_of_no_stud_size_is_not_guessed_from_the_whole_wall() {
    let gypsum = ("Gypsum board", 0.5);
    // 5-1/2 in in all is no 2x6, nor 6 in one with a board.
    for (rows, layer, thick) in [
        ([gypsum, ("Wood stud", 4.5), gypsum], "layer 2 of 3", "4 1/2\" thick"),
        ([gypsum, ("Wood stud", 5.0), gypsum], "layer 2 of 3", "5\" thick"),
        ([("Wood stud furring", 1.5), ("Core", 3.5), gypsum], "layer 1 of 3", "1 1/2\" thick"),
    ] {
        let f = layered(&rows).read_with(&Settings::default()).unwrap_err().findings;
        let words = said(&f, "section-unknown");
        assert!(words.contains(layer) && words.contains(thick), "{f:?}");
        assert!(words.contains("[[layers]]") && words.contains("default_section"), "{words}");
        assert!(!has(&f, "ifc-framing-layer"), "{f:?}");
        // The settings settle it, in the middle of the layer.
        let settings = Settings { default_section: Some(Section::S2X4), ..Settings::default() };
        let out = layered(&rows).read_with(&settings).unwrap();
        assert_eq!(out.value.walls[0].section, Section::S2X4);
        assert!(has(&out.findings, "section-assumed"), "{:?}", out.findings);
    }
}

#[test]
fn a_framing_layer_goes_by_the_size_it_is_named_as() {
    let gypsum = ("Gypsum board", 0.5);
    let out = layered(&[gypsum, ("Wood stud 2x4", 4.5), gypsum]).read();
    assert_eq!(out.value.walls[0].section, Section::S2X4);
    let words = said(&out.findings, "ifc-framing-place");
    assert!(words.contains("layer 2 of 3") && words.contains("1/2\" to either side"), "{words}");
    let thin = layered(&[gypsum, ("Wood stud 2x6", 4.5), gypsum]);
    let f = thin.read_with(&Settings::default()).unwrap_err().findings;
    assert!(said(&f, "section-unknown").contains("1\" thinner than the 2x6"), "{f:?}");
    // As thick as a stud, a layer is that, and there is nothing to tell of its place.
    let out = layered(&[gypsum, ("Wood stud 2x6", 5.5), gypsum]).read();
    assert_eq!(out.value.walls[0].section, Section::S2X6);
    assert!(!has(&out.findings, "ifc-framing-place"), "{:?}", out.findings);
}

#[test]
fn the_only_layer_of_a_wall_is_the_wall_with_its_boards_and_told() {
    let out = layered(&[("Wood stud", 4.5)]).read();
    assert_eq!(out.value.walls[0].section, Section::S2X4);
    let words = said(&out.findings, "ifc-framing-layer-guessed");
    assert!(words.contains("1/2 in of board on each side"), "{:?}", out.findings);
}
