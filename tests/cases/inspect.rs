//! The page of `inspect`: what it names can be found on it.

use crate::tools::{Scratch, run};

/// A house of single lines in inches, and a wall in it that meets none.
fn house_with_island() -> String {
    let lines = [
        [0.0, 0.0, 480.0, 0.0],
        [480.0, 0.0, 480.0, 360.0],
        [480.0, 360.0, 0.0, 360.0],
        [0.0, 360.0, 0.0, 0.0],
        [100.0, 150.0, 300.0, 150.0],
    ];
    let line = |[x, y, u, v]: [f64; 4]| {
        format!("0\nLINE\n8\nA-WALL-2X4\n10\n{x}\n20\n{y}\n11\n{u}\n21\n{v}\n")
    };
    let header = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n";
    let lines: String = lines.into_iter().map(line).collect();
    format!("{header}0\nSECTION\n2\nENTITIES\n{lines}0\nENDSEC\n0\nEOF\n")
}

/// Runs are numbered in the plan alone: without one, the page says where those are that its findings name.
#[test]
fn runs_that_findings_name_are_on_the_page() {
    let s = Scratch::new("inspect-runs");
    let file = s.file("house.dxf", house_with_island().as_bytes());
    let ran = run(&["inspect", &file]);
    let told = ran.err.lines().find(|l| l.contains("[island]")).expect("an island").to_owned();
    let name = told.split("around ").nth(1).unwrap().split(' ').next().unwrap();
    let line = ran.out.lines().find(|l| l.trim_start().starts_with(&format!("{name}:"))).unwrap();
    let part = "2x4, 16'-8\" long, from x 100.000, y 150.000 to x 300.000, y 150.000";
    assert!(line.contains(part) && line.ends_with(" on A-WALL-2X4"), "{line}");
    let told = run(&["inspect", &file, "--json"]);
    let told: serde_json::Value = serde_json::from_str(&told.out).unwrap();
    let named = told["junctions"]["named_runs"].as_array().unwrap();
    assert_eq!(named.len(), 1);
    assert_eq!(named[0]["run"], name);
}
