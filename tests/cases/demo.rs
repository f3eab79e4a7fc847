//! Willow Bend, the demo, from both formats.

use crate::tools::{demo_settings, fixture, json, json_bytes, plan, run};
use geom::Length;
use platewright_tests::checker::{self, list, number, point, ring, text};
use serde_json::Value;
use settings::{ExteriorTee, Mirror, Settings};

const DRAWINGS: [&str; 2] = ["demo/willow-bend.dxf", "demo/willow-bend.ifc"];

fn planned(path: &str, settings: &Settings) -> plan_model::Document {
    plan(path.trim_start_matches("demo/"), &fixture(path), settings)
        .unwrap_or_else(|e| panic!("{path}: {e}"))
}

/// Every combination a shop is likely to use holds the contract, by the product's own proof and by
/// the plain checker.
#[test]
fn holds_the_contract_under_many_settings() {
    let mut cases = vec![("as it is".to_owned(), demo_settings())];
    for tee in [ExteriorTee::Notch, ExteriorTee::Lap, ExteriorTee::Strap] {
        for mirror in [Mirror::None, Mirror::X, Mirror::Y] {
            let mut s = demo_settings();
            (s.plates.exterior_tee, s.mirror) = (tee, mirror);
            cases.push((format!("{} {}", tee.name(), mirror.name()), s));
        }
    }
    let mut wide = demo_settings();
    wide.studs.spacing = Length::inches(24);
    cases.push(("studs at 24".to_owned(), wide));
    let mut short = demo_settings();
    short.stock.lengths_ft =
        [("2x4".to_owned(), vec![8, 10]), ("2x6".to_owned(), vec![8, 10])].into();
    cases.push(("boards of 8 and 10 ft only".to_owned(), short));
    let mut stopped = demo_settings();
    stopped.plates.bottom_stops_at_doors = true;
    cases.push(("bottom plates stop at doors".to_owned(), stopped));
    let mut tight = demo_settings();
    tight.plates.upper_clearance = Length::ZERO;
    cases.push(("no clearance".to_owned(), tight));
    for (name, settings) in cases {
        for path in DRAWINGS {
            let document = planned(path, &settings);
            for line in &document.checked {
                assert_eq!(line.breaches, 0, "{path}, {name}: {line:?}");
            }
            for item in 1..=7 {
                let looked = document.checked.iter().any(|c| c.item == item);
                assert!(looked, "{path}, {name}: item {item} was not proved");
            }
            let faults = checker::faults(&json(&document));
            assert!(faults.is_empty(), "{path}, {name}:\n{}", faults.join("\n"));
        }
    }
}

/// The demo shows what the planner is for.
#[test]
fn has_every_kind_of_junction() {
    let document = planned(DRAWINGS[0], &demo_settings());
    let plan = json(&document);
    let kinds: Vec<&str> = list(&plan["junctions"]).iter().map(|j| text(&j["kind"])).collect();
    for (kind, at_least) in [("L", 8), ("T", 12), ("X", 1), ("inline", 2), ("end", 2)] {
        let n = kinds.iter().filter(|k| **k == kind).count();
        assert!(n >= at_least, "{kind}: {n} of {kinds:?}");
    }
    assert!(list(&plan["junctions"]).iter().any(|j| number(&j["step"]) == 24.0), "no height step");
    assert!(
        list(&plan["junctions"]).iter().any(|j| number(&j["angle_deg"]) == 135.0),
        "no oblique corner"
    );
    assert_eq!(document.findings.iter().filter(|f| f.severity == diag::Severity::Error).count(), 0);
    assert_eq!(list(&plan["walls"]).iter().flat_map(|w| list(&w["openings"])).count(), 22);
}

/// Same house, two formats, two origins, two units: the same plates.
#[test]
fn demo_dxf_and_ifc_give_the_same_plates() {
    let [dxf, ifc] = DRAWINGS.map(|path| json(&planned(path, &demo_settings())));
    for key in ["runs", "junctions", "pieces", "ties", "joints", "fasteners"] {
        assert_eq!(list(&dxf[key]).len(), list(&ifc[key]).len(), "{key}");
        for (a, b) in list(&dxf[key]).iter().zip(list(&ifc[key])) {
            alike(a, b, key);
        }
    }
    assert_eq!(dxf["stock"], ifc["stock"]);
}

/// Equal, numbers to a ten-millionth of an inch: off the axes the two files round differently in the
/// last nanometre.
fn alike(a: &Value, b: &Value, at: &str) {
    match (a, b) {
        (Value::Number(_), Value::Number(_)) => {
            assert!((number(a) - number(b)).abs() < 1e-7, "{at}: {a} and {b}");
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len(), "{at}: {a} and {b}");
            x.iter().zip(y).enumerate().for_each(|(i, (x, y))| alike(x, y, &format!("{at}[{i}]")));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert!(x.keys().eq(y.keys()), "{at}: {a} and {b}");
            x.iter().for_each(|(k, v)| alike(v, &y[k], &format!("{at}.{k}")));
        }
        _ => assert_eq!(a, b, "{at}"),
    }
}

/// A mirrored house has the mirrored footprint, and as much lower plate as the house.
#[test]
fn the_mirrored_house_is_as_large() {
    let total = |mirror| {
        let mut s = demo_settings();
        s.mirror = mirror;
        let plan = json(&planned(DRAWINGS[0], &s));
        let lower = list(&plan["pieces"]).iter().filter(|p| text(&p["layer"]) == "lower");
        let area: f64 = lower
            .map(|p| platewright_tests::plane::area(&[&[ring(&p["outline"])]], |n| n[0] > 0))
            .sum();
        let width = list(&plan["walls"])
            .iter()
            .flat_map(|w| [point(&w["start"]).0, point(&w["end"]).0])
            .fold(0.0, f64::max);
        (area, width)
    };
    let (area, width) = total(Mirror::None);
    // 36'-0" between outer faces, less half a 2x6 at each side.
    assert_eq!(width, 432.0 - 5.5);
    for mirror in [Mirror::X, Mirror::Y] {
        let (mirrored, mirrored_width) = total(mirror);
        assert!((area - mirrored).abs() < 1e-3, "{area} and {mirrored}");
        assert_eq!(width, mirrored_width);
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    for path in DRAWINGS {
        let once = |_| {
            let document = planned(path, &demo_settings());
            export::all(&document, "Demo", "1").unwrap_or_else(|e| panic!("{e}"))
        };
        assert_eq!(once(1), once(2), "{path}");
        let text = String::from_utf8(json_bytes(&planned(path, &demo_settings()))).unwrap();
        assert!(!text.contains("fixtures"), "a path leaked into plan.json");
    }
}

#[test]
fn schema_and_explain_print_to_standard_output() {
    let schema = run(&["schema"]);
    assert_eq!((schema.status, schema.err.as_str()), (0, ""));
    let schema: Value = serde_json::from_str(&schema.out).unwrap();
    assert!(schema.is_object());
    let all = run(&["explain", "--all"]);
    let list = run(&["explain"]);
    for code in diag::Code::all() {
        assert!(all.out.contains(code.info().remedy), "{}", code.name());
        assert!(list.out.contains(code.name()));
    }
    let one = run(&["explain", "NO-WALLS"]);
    assert_eq!(one.status, 0);
    assert!(one.out.contains("No walls were found"));
    let slip = run(&["explain", "no-wals"]);
    assert_eq!(slip.status, 2);
    assert!(slip.err.contains("did you mean 'no-walls'?"), "{}", slip.err);
}
