//! Item 4: the layers lock at every corner, tee and crossing.

use super::{found, list, number, outlines_of, text};
use crate::plane;
use serde_json::Value;

/// At every L, T and X of one height an upper piece of one run lies on a lower piece of another, or
/// hardware ties them, or a finding says that nothing does.
pub fn check(plan: &Value, faults: &mut Vec<String>) {
    for j in list(&plan["junctions"]) {
        let id = text(&j["id"]);
        let runs: Vec<&str> = list(&j["arms"]).iter().map(|a| text(&a["run"])).collect();
        let needs_tie = matches!(text(&j["kind"]), "L" | "T" | "X");
        if !needs_tie || !super::level(plan, j) || lapped(plan, j, &runs) {
            continue;
        }
        let hardware = list(&plan["ties"]).iter().any(|t| {
            text(&t["junction"]) == id
                && matches!(text(&t["kind"]), "strap" | "screw")
                && !text(&t["hardware"]).is_empty()
        });
        if !hardware && !found(plan, id) {
            faults.push(format!("4: {id} ({}) of {runs:?} is tied by nothing", text(&j["kind"])));
        }
    }
}

fn lapped(plan: &Value, junction: &Value, runs: &[&str]) -> bool {
    let plates = &plan["settings"]["plates"];
    let depth = number(&plates["notch_depth"]) - number(&plates["upper_clearance"]);
    let sine = number(&junction["angle_deg"]).to_radians().sin();
    for over in runs {
        for under in runs.iter().filter(|r| *r != over) {
            let upper = outlines_of(plan, over, "upper");
            let lower = outlines_of(plan, under, "lower");
            let area = plane::area(&[&upper, &lower], |n| n[0] > 0 && n[1] > 0);
            let [wide_over, wide_under] = [over, under].map(|r| width(plan, r));
            // Two runs meet at one place only, so the whole overlap belongs to this junction. A lap
            // covers the crossing of the two plates, a notch its depth by the width of the stem; a
            // twentieth is left for clearances and bevels.
            let reach = depth.min(wide_under);
            if area >= 0.95 * wide_over * reach / sine.max(0.1) {
                return true;
            }
        }
    }
    false
}

fn width(plan: &Value, id: &str) -> f64 {
    let walls = list(&plan["walls"]);
    walls.iter().find(|w| text(&w["run"]) == id).map_or(f64::NAN, |w| number(&w["width"]))
}
