//! Houses with walls of two rows of studs, from an IFC model to the proof.

#[path = "../../crates/import-ifc/tests/common/mod.rs"]
mod model;

use crate::tools::{json, plan};
use model::Model;
use platewright_tests::checker::{faults, list, text};
use serde_json::Value;
use settings::Settings;
use std::collections::BTreeMap;

const STUDS: (&str, f64) = ("2x4 wood stud", 3.5);
const BOARD: (&str, f64) = ("Gypsum board", 0.625);
const DOUBLE: [(&str, f64); 5] = [BOARD, STUDS, ("Air", 1.0), STUDS, BOARD];
const INSIDE: [(&str, f64); 3] = [BOARD, STUDS, BOARD];
const OUTSIDE: [(&str, f64); 3] = [("Siding", 0.75), ("2x6 wood stud", 5.5), BOARD];

const X: [f64; 3] = [1.0, 0.0, 0.0];
const Y: [f64; 3] = [0.0, 1.0, 0.0];
const BACK: [f64; 3] = [-1.0, 0.0, 0.0];
const DOWN: [f64; 3] = [0.0, -1.0, 0.0];

/// A rectangle 480 by 288 of walls with these layers, drawn round.
fn around(m: &mut Model, rows: &[(&str, f64)]) {
    m.layered("south", [0.0, 0.0, 0.0], X, 480.0, rows);
    m.layered("east", [480.0, 0.0, 0.0], Y, 288.0, rows);
    m.layered("north", [480.0, 288.0, 0.0], BACK, 480.0, rows);
    m.layered("west", [0.0, 288.0, 0.0], DOWN, 288.0, rows);
}

/// Planned and proved; how many junctions of each kind there are.
fn proved(m: &Model) -> BTreeMap<String, usize> {
    let document = plan("double.ifc", m.text().as_bytes(), &Settings::default());
    let made: Value = json(&document.unwrap_or_else(|e| panic!("{e}")));
    let errors = list(&made["findings"]).iter().filter(|f| text(&f["severity"]) == "error");
    assert_eq!(errors.count(), 0, "{:#?}", made["findings"]);
    assert!(list(&made["checked"]).iter().all(|c| c["breaches"].as_u64() == Some(0)));
    assert_eq!(faults(&made), [""; 0]);
    let mut kinds = BTreeMap::new();
    for j in list(&made["junctions"]) {
        *kinds.entry(text(&j["kind"]).to_owned()).or_default() += 1;
    }
    kinds
}

fn counts(all: &[(&str, usize)]) -> BTreeMap<String, usize> {
    all.iter().map(|(k, n)| ((*k).to_owned(), *n)).collect()
}

#[test]
fn two_dwellings_with_a_party_wall() {
    let mut m = Model::inches();
    around(&mut m, &OUTSIDE);
    let party = m.layered("party", [240.0, 0.0, 0.0], Y, 288.0, &DOUBLE);
    let door = m.opening("hole", party, [230.0, 200.0, 0.0], [250.0, 236.0, 80.0]);
    m.fill("IFCDOOR", "door", door);
    m.layered("left", [0.0, 150.0, 0.0], X, 240.0, &INSIDE);
    m.layered("right", [240.0, 100.0, 0.0], X, 240.0, &INSIDE);
    // Both rows end at both exterior walls; each partition at an exterior wall and one row.
    assert_eq!(proved(&m), counts(&[("L", 4), ("T", 8)]));
}

#[test]
fn a_house_of_double_walls() {
    let mut m = Model::inches();
    around(&mut m, &DOUBLE);
    m.layered("stem", [200.0, 0.0, 0.0], Y, 288.0, &DOUBLE);
    // Through the stem, from wall to wall.
    m.layered("through", [0.0, 144.0, 0.0], X, 480.0, &INSIDE);
    // Four corners of each ring, the stem's rows at both inner rows, the partition at two inner rows
    // and through the stem's.
    assert_eq!(proved(&m), counts(&[("L", 8), ("T", 6), ("X", 2)]));
}
