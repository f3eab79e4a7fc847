//! Corners as they are really drawn: walls of two widths with a face flush, centrelines that miss each
//! other by an inch, walls that are nearly straight. Each plan is judged by the plain checker.

use crate::tools::{json, plan};
use platewright_tests::checker::{self, list, number, point, text};
use serde_json::Value;
use settings::Settings;
use std::fmt::Write;

type Wall = (&'static str, (f64, f64), (f64, f64));

/// Centrelines in inches on layers named by the US National CAD Standard with a section token.
fn drawing(walls: &[Wall]) -> String {
    let mut out =
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
            .to_owned();
    for (layer, a, b) in walls {
        let _ = write!(
            out,
            "0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n",
            a.0, a.1, b.0, b.1
        );
    }
    out + "0\nENDSEC\n0\nEOF\n"
}

fn planned(walls: &[Wall]) -> Value {
    let document = plan("corner.dxf", drawing(walls).as_bytes(), &Settings::default());
    let plan = json(&document.unwrap_or_else(|e| panic!("{e}")));
    assert_eq!(checker::faults(&plan), Vec::<String>::new(), "{walls:?}");
    let errors: Vec<&Value> =
        list(&plan["findings"]).iter().filter(|f| text(&f["severity"]) == "error").collect();
    assert!(errors.is_empty(), "{errors:?}");
    plan
}

fn kinds(plan: &Value) -> Vec<&str> {
    let mut all: Vec<&str> = list(&plan["junctions"]).iter().map(|j| text(&j["kind"])).collect();
    all.retain(|k| *k != "end");
    all.sort_unstable();
    all
}

const W4: &str = "A-WALL-2X4";
const W6: &str = "A-WALL-2X6";

/// The 2x6 and the 2x4 have their upper faces at y = 2.75: the centrelines lie an inch apart.
#[test]
fn a_change_of_width_with_a_face_flush_is_in_line() {
    let plan = planned(&[(W6, (0., 0.), (144., 0.)), (W4, (144., 1.), (300., 1.))]);
    assert_eq!(kinds(&plan), ["inline"]);
    for r in list(&plan["runs"]) {
        assert_eq!(point(&r["start"]).1, point(&r["end"]).1, "a run was bent");
    }
    let over: Vec<&Value> =
        list(&plan["ties"]).iter().filter(|t| text(&t["kind"]) == "lap").collect();
    assert_eq!(over.len(), 1);
}

/// Wet wall: a 2x6 from below and a 2x4 from above end at one 2x4, left faces flush.
#[test]
fn walls_flush_on_either_side_of_a_third() {
    for gap in [0.0, 1.75] {
        let plan = planned(&[
            (W6, (1., 0.), (1., 120. - gap)),
            (W4, (1., 120.), (144., 120.)),
            (W4, (0., 120. + gap), (0., 260.)),
        ]);
        // One place: the two 2x4 lap as at a corner, the 2x6 is tied to them.
        assert_eq!(kinds(&plan), ["T"], "{gap}");
        let ties: Vec<&str> = list(&plan["ties"]).iter().map(|t| text(&t["kind"])).collect();
        assert_eq!(ties, ["lap", "strap"], "{gap}");
        for r in list(&plan["runs"]) {
            let (a, b) = (point(&r["start"]), point(&r["end"]));
            assert!(a.0 == b.0 || a.1 == b.1, "a run was bent: {r}");
        }
    }
}

/// A corner of two 2x6 and an oblique 2x4 whose centreline misses it by an inch.
#[test]
fn an_oblique_wall_that_misses_the_corner_by_an_inch() {
    let plan = planned(&[
        (W6, (0., 0.), (150., 0.)),
        (W6, (0., 0.), (0., -150.)),
        (W4, (-1.2, 0.), (-100., 98.8)),
    ]);
    assert_eq!(kinds(&plan), ["other"]);
}

/// From a third of a degree to fifteen off straight a lap would be a long thin point.
#[test]
fn walls_nearly_straight_are_cut_on_the_half_angle() {
    for degrees in [0.5_f64, 2.3, 7.0, 14.0, 30.0] {
        let (s, c) = degrees.to_radians().sin_cos();
        let far = |x: f64| (200. + x * c, x * s);
        let plan = planned(&[
            (W4, (0., 0.), (200., 0.)),
            (W4, (200., 0.), far(180.)),
            (W4, far(180.), (far(180.).0, far(180.).1 + 120.)),
        ]);
        let bend = list(&plan["junctions"])
            .iter()
            .find(|j| (number(&j["angle_deg"]) - (180.0 - degrees)).abs() < 0.01)
            .unwrap();
        assert_eq!(text(&bend["kind"]), "L");
        let tie = list(&plan["ties"]).iter().find(|t| t["junction"] == bend["id"]).unwrap();
        assert_eq!(text(&tie["kind"]), if degrees < 15.0 { "strap" } else { "lap" }, "{degrees}");
        let lower: Vec<f64> = list(&plan["pieces"])
            .iter()
            .filter(|p| text(&p["layer"]) == "lower")
            .map(|p| number(&p["length_in"]))
            .collect();
        assert!(lower.iter().all(|l| *l <= 192.0));
    }
}
