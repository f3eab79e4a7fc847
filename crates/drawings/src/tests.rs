//! Drawings of the sample houses. What other programs make of them is judged by
//! `tests/reference/check_drawings.py`.

use crate::{DrawingError, all};
use plan_model::Document;

#[path = "../../export/tests/sample/mod.rs"]
#[allow(dead_code, clippy::unwrap_used)]
mod sample;

fn files(doc: &Document) -> [String; 2] {
    let files = all(doc).unwrap();
    let names: Vec<&str> = files.iter().map(|f| f.0.as_str()).collect();
    assert_eq!(names, ["plates.dxf", "plates.ifc"]);
    [0, 1].map(|i| String::from_utf8(files[i].1.clone()).unwrap())
}

/// The pairs of a DXF: a code a line, a value a line, whatever stands in the names.
fn tags(dxf: &str) -> Vec<(u16, &str)> {
    let lines: Vec<&str> = dxf.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    lines.chunks_exact(2).map(|p| (p[0].trim().parse().unwrap(), p[1])).collect()
}

#[test]
fn every_piece_is_drawn_once_whatever_its_name() {
    for doc in [
        sample::house(),
        sample::metric_house(),
        sample::hostile(),
        sample::oblique(),
        sample::turned(31.0),
        sample::crowded(36),
    ] {
        let [dxf, ifc] = files(&doc);
        let n = doc.plan.pieces.len();
        let tags = tags(&dxf);
        let plates = tags.iter().filter(|t| t.0 == 1000 && t.1.starts_with("piece=P")).count();
        assert_eq!(plates, n);
        assert_eq!(tags.iter().filter(|t| **t == (0, "TEXT")).count(), n);
        assert_eq!(ifc.matches("IFCMEMBER(").count(), n);
        assert!(dxf.is_ascii() && ifc.is_ascii());
        // One instance a line: no name breaks out of its string.
        let data = ifc.split_once("DATA;\n").unwrap().1.split_once("ENDSEC;").unwrap().0;
        assert!(data.lines().all(|l| l.starts_with('#') && l.ends_with(");")));
    }
}

#[test]
fn handles_and_ids_are_unique_and_the_bytes_the_same() {
    let doc = sample::house();
    let [dxf, ifc] = files(&doc);
    let mut handles: Vec<&str> =
        tags(&dxf).into_iter().filter(|t| t.0 == 5 || t.0 == 105).map(|t| t.1).collect();
    // The first is the seed for the next one.
    let seed = u32::from_str_radix(handles.remove(0), 16).unwrap();
    let n = handles.len();
    assert!(handles.iter().all(|h| u32::from_str_radix(h, 16).unwrap() < seed));
    handles.sort_unstable();
    handles.dedup();
    assert_eq!(handles.len(), n);
    let mut ids: Vec<&str> = ifc
        .lines()
        .filter_map(|l| l.split_once("('"))
        .map(|(_, rest)| rest.split('\'').next().unwrap())
        .filter(|id| id.len() == 22)
        .collect();
    let n = ids.len();
    assert!(n > 3 * doc.plan.pieces.len());
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), n);
    assert_eq!(files(&doc), [dxf, ifc]);
}

#[test]
fn coordinates_are_the_drawing_s_own() {
    let mut doc = sample::house();
    doc.origin_inches = (1200.0, 600.0);
    doc.source.units.inches_per_unit = 12.0;
    let [dxf, ifc] = files(&doc);
    // 1200 in and 600 in are 100 ft and 50 ft.
    assert!(ifc.contains("IFCCARTESIANPOINT((100.0,50.0,0.))") && ifc.contains("'FOOT'"));
    let at = tags(&dxf).windows(2).any(|t| t == [(9, "$INSUNITS"), (70, "2")]);
    assert!(at);
    let least = tags(&dxf).into_iter().filter(|t| t.0 == 10).map(|t| t.1.parse::<f64>().unwrap());
    // The plan starts within a wall's width of its zero; the block's base and the window are at 0.
    assert!(least.filter(|x| *x != 0.0).all(|x| x > 99.0));
}

#[test]
fn a_broken_document_is_refused() {
    let mut doc = sample::house();
    doc.origin_inches.0 = f64::NAN;
    assert!(matches!(
        all(&doc),
        Err(DrawingError::NotANumber { holder: "the x of the origin", .. })
    ));
    let mut doc = sample::house();
    doc.plan.pieces[0].run.0 = 99;
    assert!(matches!(all(&doc), Err(DrawingError::Dangling { .. })));
    let mut doc = sample::house();
    doc.plan = plan_model::Plan::default();
    doc.floor.walls.clear();
    assert!(all(&doc).is_ok());
}
