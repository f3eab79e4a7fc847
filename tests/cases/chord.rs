//! The advisory on splices, from the settings to the finding; its nails counted again from plan.json.

use crate::tools::{json_bytes, plan};
use platewright_tests::checker::{list, number, text};
use platewright_tests::dxf::{Options, write};
use platewright_tests::{bad, house};
use serde_json::Value;

fn planned(drawing: &str, chord: &str) -> Value {
    let settings =
        settings::parse::from_toml(chord, "chord.toml").unwrap_or_else(|e| panic!("{e}"));
    let document =
        plan("house.dxf", drawing.as_bytes(), &settings).unwrap_or_else(|e| panic!("{e}"));
    serde_json::from_slice(&json_bytes(&document)).unwrap()
}

fn long_house() -> String {
    write(&house::row_house(4), Options { insunits: 1, origin: (0, 0) })
}

/// The one finding that speaks of the chord: its code and its words.
fn advice(plan: &Value) -> (String, String) {
    let spoken = |f: &&Value| text(&f["code"]).starts_with("chord-splice");
    let all: Vec<&Value> = list(&plan["findings"]).iter().filter(spoken).collect();
    assert_eq!(all.len(), 1, "{all:#?}");
    (text(&all[0]["code"]).to_owned(), text(&all[0]["message"]).to_owned())
}

/// Nails of upper pieces between each joint and the next one of the other layer.
fn nails_of_splices(plan: &Value) -> Vec<u64> {
    let mut out = Vec::new();
    for run in list(&plan["runs"]) {
        let of_run = |x: &&Value| text(&x["run"]) == text(&run["id"]);
        let mut joints: Vec<(f64, &str)> = list(&plan["joints"])
            .iter()
            .filter(of_run)
            .filter(|j| text(&j["layer"]) != "bottom" && text(&j["kind"]) != "end")
            .map(|j| (number(&j["at"]), text(&j["layer"])))
            .collect();
        joints.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in joints.windows(2).filter(|p| p[0].1 != p[1].1) {
            let upper = list(&plan["pieces"]).iter().filter(of_run);
            let upper = upper.filter(|p| text(&p["layer"]) == "upper");
            let between = upper.flat_map(|p| {
                let from = number(&p["from"]);
                let there = move |n: &&Value| {
                    let at = from + number(&n["at"]);
                    at > pair[0].0 && at < pair[1].0
                };
                list(&p["nails"]).iter().filter(there)
            });
            out.push(between.filter_map(|n| n["count"].as_u64()).sum());
        }
    }
    out
}

#[test]
fn the_weakest_splice_is_told_beside_the_force() {
    let plan = planned(&long_house(), "[chord]\nforce_lb = 300\n");
    let counted = nails_of_splices(&plan);
    let least = counted.iter().min().copied().unwrap();
    let (code, words) = advice(&plan);
    assert_eq!(code, "chord-splice");
    // One 16d common nail in spruce-pine-fir plates carries 177 lb for wind: see the crate's own example by hand.
    for part in [
        "chord force 300 lb",
        "carries 177 lb",
        "wants 2 nails",
        &format!("The weakest of {} splices", counted.len()),
        &format!("has {least}."),
        "not engineering",
    ] {
        assert!(words.contains(part), "{part} in {words}");
    }
    assert!(least >= 2 && counted.len() > 2, "{counted:?}");
}

#[test]
fn too_great_a_force_is_a_warning() {
    let (code, words) = advice(&planned(&long_house(), "[chord]\nforce_lb = 20000\n"));
    assert_eq!(code, "chord-splice-short");
    // 20 000 / 177.2 = 112.9.
    assert!(words.contains("wants 113 nails"), "{words}");
}

#[test]
fn a_nail_without_a_value_and_a_house_without_splices() {
    let toml = "[chord]\nforce_lb = 300\nnail = \"8d box (2 x 0.113)\"\n";
    let (code, words) = advice(&planned(&long_house(), toml));
    assert_eq!(code, "chord-splice-short");
    assert!(words.contains("no value for the splices"), "{words}");

    // Boards longer than any wall: no layer has a joint.
    let toml = "[chord]\nforce_lb = 300\n[stock.lengths_ft]\n\"2x4\" = [40]\n\"2x6\" = [40]\n";
    let (code, words) = advice(&planned(&bad::shed_dxf(), toml));
    assert_eq!(code, "chord-splice");
    assert!(words.contains("there is no splice to compare it with"), "{words}");
}
