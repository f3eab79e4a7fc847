//! Bottom plates on concrete: treated lumber bought by itself, and hints where anchor bolts may go.

use crate::tools::{json, plan};
use platewright_tests::bad;
use platewright_tests::checker::{self, list, number, text};
use serde_json::Value;
use settings::Settings;
use std::collections::BTreeMap;

fn shed(on_concrete: bool) -> Value {
    let mut settings = Settings::default();
    settings.plates.on_concrete = on_concrete;
    let document = plan("shed.dxf", bad::shed_dxf().as_bytes(), &settings);
    let plan = json(&document.unwrap_or_else(|e| panic!("{e}")));
    assert_eq!(checker::faults(&plan), Vec::<String>::new());
    plan
}

/// A board is treated when, and only when, all that is cut from it is a bottom plate.
#[test]
fn treated_plates_come_from_boards_of_their_own() {
    let plan = shed(true);
    let layer: BTreeMap<&str, &str> =
        list(&plan["pieces"]).iter().map(|p| (text(&p["id"]), text(&p["layer"]))).collect();
    for p in list(&plan["pieces"]) {
        assert_eq!(p["treated"] == true, text(&p["layer"]) == "bottom");
    }
    let mut treated = 0;
    for b in list(&plan["stock"]["boards"]) {
        for cut in list(&b["cuts"]) {
            assert_eq!(b["treated"] == true, layer[text(cut)] == "bottom", "{b}");
        }
        treated += usize::from(b["treated"] == true);
    }
    assert!(treated > 0);
    assert!(list(&shed(false)["stock"]["boards"]).iter().all(|b| b["treated"] == false));
}

/// IRC R403.1.6: bolts at most 6 ft apart, one not more than 12 in and not less than seven diameters
/// (3-1/2 in for 1/2 in bolts) from each end of each piece, at least two a piece, in exterior walls; interior ones have other
/// fasteners.
#[test]
fn bolts_by_the_code() {
    let plan = shed(true);
    let at = |p: &Value| -> Vec<f64> {
        let marks = list(&p["marks"]).iter().filter(|m| text(&m["kind"]) == "anchor");
        marks.map(|m| number(&m["at"])).collect()
    };
    let exterior: BTreeMap<&str, bool> =
        list(&plan["walls"]).iter().map(|w| (text(&w["run"]), w["exterior"] == true)).collect();
    assert!(exterior.values().any(|e| *e) && exterior.values().any(|e| !*e));
    let mut seen = 0;
    for p in list(&plan["pieces"]).iter().filter(|p| text(&p["layer"]) == "bottom") {
        let (bolts, length) = (at(p), number(&p["length_in"]));
        if !exterior[text(&p["run"])] {
            assert!(bolts.is_empty(), "{p}");
            continue;
        }
        assert!(bolts.len() >= 2, "{p}");
        let (first, last) = (bolts[0], length - bolts[bolts.len() - 1]);
        for end in [first, last] {
            assert!((3.5..=12.0).contains(&end), "{end} in from the end of {}", p["id"]);
        }
        assert!(bolts.windows(2).all(|b| b[1] - b[0] <= 72.0), "{bolts:?}");
        seen += bolts.len();
    }
    assert!(seen >= 10);
    let others = list(&plan["pieces"]).iter().filter(|p| text(&p["layer"]) != "bottom");
    assert!(others.map(at).all(|bolts| bolts.is_empty()));
}
