//! A rectangle with one tee, computed by hand.
//!
//! Outer faces 24'-0" by 16'-0", 2x4 plates 3-1/2 in wide (PS 20 dry dressed size, read at
//! southernpine.com), one inside wall that tees into the south wall at 10'-0" and ends free 8'-0" from
//! the south wall's inner face. Centrelines lie 1-3/4 in inside the faces.
//!
//! ```text
//!            288
//!   +-----------------------+
//!   |                       |        plates 3.5 wide
//!   |         |  stem 96    | 192
//!   |         |             |
//!   +---------+-------------+
//!            120 from the west face
//! ```

use crate::tools::{json, plan};
use platewright_tests::bad;
use platewright_tests::checker::{self, list, number, text};
use serde_json::Value;
use settings::{ExteriorTee, Settings};

const WIDTH: f64 = 3.5;

fn shed(tee: ExteriorTee) -> Value {
    let mut settings = Settings::default();
    settings.plates.exterior_tee = tee;
    let document = plan("shed.dxf", bad::shed_dxf().as_bytes(), &settings);
    let plan = json(&document.unwrap_or_else(|e| panic!("{e}")));
    assert_eq!(checker::faults(&plan), Vec::<String>::new(), "{}", tee.name());
    plan
}

fn lengths(plan: &Value, layer: &str, run: Option<&str>) -> Vec<f64> {
    list(&plan["pieces"])
        .iter()
        .filter(|p| text(&p["layer"]) == layer && run.is_none_or(|r| text(&p["run"]) == r))
        .map(|p| number(&p["length_in"]))
        .collect()
}

/// The id of the stem: the only run that is 97-3/4 in between its nodes (96 and half a plate).
fn stem(plan: &Value) -> String {
    let stems: Vec<&Value> = list(&plan["runs"])
        .iter()
        .filter(|r| number(&r["end"][1]) - number(&r["start"][1]) == 96.0 + WIDTH / 2.0)
        .collect();
    assert_eq!(stems.len(), 1);
    text(&stems[0]["id"]).to_owned()
}

#[test]
fn lower_and_bottom_plates_are_exact() {
    let plan = shed(ExteriorTee::Notch);
    assert_eq!(list(&plan["runs"]).len(), 5);
    let kinds: Vec<&str> = list(&plan["junctions"]).iter().map(|j| text(&j["kind"])).collect();
    for (kind, n) in [("L", 4), ("T", 1), ("end", 1)] {
        assert_eq!(kinds.iter().filter(|k| **k == kind).count(), n, "{kinds:?}");
    }
    // Each corner square belongs to one of its two walls. Two walls of 288 and two of 192 share four
    // squares of 3.5:            2 * 288 + 2 * 192 - 4 * 3.5 = 576 + 384 - 14 = 946
    // the stem butts the south wall's inner face:                              +  96
    for layer in ["lower", "bottom"] {
        assert_eq!(lengths(&plan, layer, None).iter().sum::<f64>(), 1042.0, "{layer}");
        // 8'-0", an uncut board.
        assert_eq!(lengths(&plan, layer, Some(&stem(&plan))), [96.0], "{layer}");
    }
    // 288 less at most two squares is 281, and no board is longer than 192: two pieces at least; a
    // wall of 192 or less is one piece.
    for r in list(&plan["runs"]) {
        let id = text(&r["id"]);
        let node_to_node = (number(&r["end"][0]) - number(&r["start"][0]))
            + (number(&r["end"][1]) - number(&r["start"][1]));
        let pieces = lengths(&plan, "lower", Some(id));
        let whole: f64 = pieces.iter().sum();
        // Centre to centre 284.5 or 188.5; outer to outer, one of each, or inner to inner.
        if id != stem(&plan) {
            assert!([-WIDTH, 0.0, WIDTH].contains(&(whole - node_to_node)), "{id}: {whole}");
        }
        assert_eq!(pieces.len(), if whole > 192.0 { 2 } else { 1 }, "{id}: {pieces:?}");
    }
}

#[test]
fn the_stem_reaches_as_far_as_its_tie_says() {
    // From the stem's free end to the south wall's inner face it is 96 in; 1/8 in is left where an
    // upper plate meets something.
    for (tee, upper) in [
        // 2 in onto the wall (common practice, no source); the notch is 1/8 in deeper than that.
        (ExteriorTee::Notch, 96.0 + 2.0),
        // Over the whole plate, flush with its outer face.
        (ExteriorTee::Lap, 96.0 + WIDTH),
        // Butting it.
        (ExteriorTee::Strap, 96.0 - 0.125),
    ] {
        let plan = shed(tee);
        assert_eq!(lengths(&plan, "upper", Some(&stem(&plan))), [upper], "{}", tee.name());
    }
}

#[test]
fn the_notch_is_as_wide_as_the_stem_and_its_clearances() {
    let plan = shed(ExteriorTee::Notch);
    let notched: Vec<&Value> =
        list(&plan["pieces"]).iter().filter(|p| !list(&p["notches"]).is_empty()).collect();
    assert_eq!(notched.len(), 1);
    let notch = &notched[0]["notches"][0];
    // 3.5 + 2 * 1/8 = 3-3/4 in wide; 2 in for the stem and 1/8 in beyond its end.
    assert_eq!(number(&notch["to"]) - number(&notch["from"]), 3.75);
    assert_eq!(number(&notch["depth"]), 2.125);
    // More than half of 3.5 in is gone: R602.6.1 asks for a tie across it (IRC 2024, read in a
    // plan-review library), and the plan must say so and count it.
    let said = list(&plan["findings"]).iter().any(|f| text(&f["code"]) == "notch-over-half");
    let tied = list(&plan["ties"]).iter().any(|t| text(&t["kind"]) == "strap");
    assert!(said && tied, "{:#}{:#}", plan["findings"], plan["ties"]);
}

#[test]
fn the_lap_opens_the_south_wall_by_the_stem_and_its_clearances() {
    let plan = shed(ExteriorTee::Lap);
    // The gap in an upper plate for a 2x4 lap is 3-3/4 in (a carpentry text on nailing the double top
    // plate, boulderlibrary.net): 3.5 + 2 * 1/8.
    let gaps: Vec<&Value> =
        list(&plan["joints"]).iter().filter(|j| text(&j["kind"]) == "lap-gap").collect();
    assert_eq!(gaps.len(), 1);
    let run = text(&gaps[0]["run"]);
    let mut spans: Vec<(f64, f64)> = list(&plan["pieces"])
        .iter()
        .filter(|p| text(&p["run"]) == run && text(&p["layer"]) == "upper")
        .map(|p| {
            let xs = list(&p["outline"]).iter().map(|c| number(&c[0]));
            xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
        })
        .collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let gap = spans.windows(2).map(|w| (w[0].1, w[1].0)).find(|g| g.1 - g.0 > 1.0);
    // The stem's middle lies 120 in from the west face, 118.25 from the west wall's centreline, which
    // is the plan's own zero.
    assert_eq!(gap, Some((118.25 - 1.875, 118.25 + 1.875)));
}

/// IRC R602.3.2 (2024, read in a plan-review library): end joints of the two top plates at least 24 in
/// apart.
#[test]
fn joints_are_24_inches_apart() {
    for tee in [ExteriorTee::Notch, ExteriorTee::Lap, ExteriorTee::Strap] {
        let plan = shed(tee);
        assert_eq!(number(&plan["settings"]["plates"]["joint_offset"]), 24.0);
        let mut judged = 0;
        for j in list(&plan["joints"]).iter().filter(|j| text(&j["kind"]) != "end") {
            if let Some(offset) = j["offset_in"].as_f64() {
                assert!(offset >= 24.0, "{}: {j}", tee.name());
                judged += 1;
            }
        }
        // North and south are longer than any board in both layers.
        assert!(judged >= 4, "{}: only {judged} joints have an offset", tee.name());
    }
}
