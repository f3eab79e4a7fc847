//! Upper plates for walls as they stand, on a whole plan.

use crate::tools::{Scratch, run};
use platewright_tests::bad;
use platewright_tests::checker::{list, number, text};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write;

fn read(folder: &Scratch, name: &str) -> Value {
    let bytes = std::fs::read(folder.path().join(name)).expect("written");
    serde_json::from_slice(&bytes).expect("JSON")
}

/// Every wall of the shed measured, `off` longer than planned; status and results.
fn stand(name: &str, off: f64) -> (u8, Value, Value) {
    let folder = Scratch::new(name);
    let file = |f: &str| folder.path().join(f).to_string_lossy().into_owned();
    std::fs::write(file("shed.dxf"), bad::shed_dxf()).expect("written");
    assert_eq!(run(&["plan", &file("shed.dxf"), "-o", &file("plan")]).status, 0);
    let plan = read(&folder, "plan/plan.json");
    let mut lengths: BTreeMap<&str, f64> = BTreeMap::new();
    for p in list(&plan["pieces"]).iter().filter(|p| text(&p["layer"]) == "lower") {
        *lengths.entry(text(&p["run"])).or_default() += number(&p["length_in"]);
    }
    let mut measured = "wall,length\n".to_owned();
    for (run, inches) in &lengths {
        let _ = writeln!(measured, "{run},{}", inches + off);
    }
    std::fs::write(file("measured.csv"), measured).expect("written");
    let (document, csv, out) = (file("plan/plan.json"), file("measured.csv"), file("fitted"));
    let status = run(&["refit", &document, &csv, "-o", &out]).status;
    let refit = read(&folder, "fitted/refit.json");
    (status, plan, refit)
}

/// Walls that stand as planned change nothing, and every upper plate is in the new cut list as it was.
#[test]
fn as_planned_nothing_changes() {
    let (status, plan, refit) = stand("refit-same", 0.0);
    assert_eq!((status, list(&refit["changes"]).len()), (0, 0));
    let uppers: Vec<&Value> =
        list(&plan["pieces"]).iter().filter(|p| text(&p["layer"]) == "upper").collect();
    assert_eq!(list(&refit["pieces"]).len(), uppers.len());
    for p in uppers {
        let same = list(&refit["pieces"]).iter().find(|q| q["id"] == p["id"]).expect("the piece");
        assert_eq!(number(&same["length_in"]), number(&p["length_in"]));
        assert_eq!(same["mark"], p["mark"]);
    }
}

/// By hand: each wall 3/8 in longer, so its upper plates reach 3/8 in farther. Where one piece from a whole
/// board reached from end to end, two take its place.
#[test]
fn each_wall_takes_up_its_own_difference() {
    let (status, plan, refit) = stand("refit-long", 0.375);
    assert_eq!(status, 0);
    let reach = |pieces: &Value| {
        let mut reach: BTreeMap<String, (f64, f64)> = BTreeMap::new();
        for p in list(pieces).iter().filter(|p| text(&p["layer"]) == "upper") {
            let (from, to) = (number(&p["from"]), number(&p["to"]));
            let all = reach.entry(text(&p["run"]).to_owned()).or_insert((from, to));
            *all = (all.0.min(from), all.1.max(to));
        }
        reach
    };
    let (was, now) = (reach(&plan["pieces"]), reach(&refit["pieces"]));
    assert_eq!(was.len(), now.len());
    for (run, (from, to)) in was {
        assert_eq!(now[&run].0, from, "{run}");
        assert!((now[&run].1 - to - 0.375).abs() < 1e-6, "{run}");
    }
    for p in list(&refit["pieces"]) {
        assert!(number(&p["length_in"]) <= 192.0, "{p}");
    }
}

/// Two inches off is another wall: told, left as planned, status 1.
#[test]
fn another_wall_is_not_fitted() {
    let (status, _, refit) = stand("refit-far", 2.0);
    assert_eq!((status, list(&refit["changes"]).len()), (1, 0));
    assert!(list(&refit["findings"]).iter().all(|f| text(&f["code"]) == "refit-far-off"));
}
