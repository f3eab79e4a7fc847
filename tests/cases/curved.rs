//! A house with a round bay, from the drawing to the proof: walls drawn as centrelines and as faces.

use crate::tools::{json, plan};
use platewright_tests::checker::{faults, list, number, text};
use serde_json::Value;
use settings::{CurvedWalls, Settings};
use std::fmt::Write;

const SIDE: f64 = 240.0;
/// Of the bay's centreline, a half circle on the east side.
const RADIUS: f64 = 72.0;

#[derive(Default)]
struct Dxf(String);

impl Dxf {
    fn line(&mut self, a: [f64; 2], b: [f64; 2]) {
        let [ax, ay, bx, by] = [a[0], a[1], b[0], b[1]];
        let _ = write!(self.0, "0\nLINE\n8\nA-WALL\n10\n{ax}\n20\n{ay}\n11\n{bx}\n21\n{by}\n");
    }
    /// The eastern half of a circle about the middle of the east side.
    fn bay(&mut self, radius: f64) {
        let middle = SIDE / 2.0;
        let _ = write!(
            self.0,
            "0\nARC\n8\nA-WALL\n10\n{SIDE}\n20\n{middle}\n40\n{radius}\n50\n-90\n51\n90\n"
        );
    }
    /// Lines `off` outside the centrelines of the house.
    fn around(&mut self, off: f64) {
        let (low, high, mouth) = (-off, SIDE + off, SIDE / 2.0);
        let (south, north) = (mouth - RADIUS - off, mouth + RADIUS + off);
        self.line([low, low], [high, low]);
        self.line([high, low], [high, south]);
        self.line([high, north], [high, high]);
        self.line([high, high], [low, high]);
        self.line([low, high], [low, low]);
    }
    fn text(&self) -> String {
        format!(
            "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}0\nENDSEC\n0\nEOF\n",
            self.0
        )
    }
}

fn planned(drawing: &Dxf, settings: &Settings) -> Value {
    let document = plan("bay.dxf", drawing.text().as_bytes(), settings);
    json(&document.unwrap_or_else(|e| panic!("{e}")))
}

fn codes(plan: &Value) -> Vec<&str> {
    list(&plan["findings"]).iter().map(|f| text(&f["code"])).collect()
}

/// Pieces whose ends are both cut for a neighbour that goes on at an angle: those of the bay.
fn parts(plan: &Value) -> Vec<&Value> {
    let short = |p: &&Value| number(&p["length_in"]) < 16.0 && text(&p["layer"]) == "lower";
    list(&plan["pieces"]).iter().filter(short).collect()
}

#[test]
fn a_round_bay_is_planned_and_proved() {
    let mut lines = Dxf::default();
    lines.around(0.0);
    lines.bay(RADIUS);
    let mut faces = Dxf::default();
    for off in [-1.75, 1.75] {
        faces.around(off);
        faces.bay(RADIUS + off);
    }
    let count = CurvedWalls::parts(0.25, RADIUS, std::f64::consts::PI).unwrap() as usize;
    assert_eq!(count, 19);
    for (how, drawing, code) in [("lines", lines, 1), ("faces", faces, 1)] {
        let made = planned(&drawing, &Settings::default());
        assert_eq!(
            codes(&made).iter().filter(|c| **c == "dxf-wall-in-parts").count(),
            code,
            "{how}"
        );
        let errors = list(&made["findings"]).iter().filter(|f| text(&f["severity"]) == "error");
        assert_eq!(errors.count(), 0, "{how}: {:#?}", made["findings"]);
        assert!(list(&made["checked"]).iter().all(|c| c["breaches"].as_u64() == Some(0)), "{how}");
        assert_eq!(faults(&made), [""; 0], "{how}");
        assert_eq!(parts(&made).len(), count, "{how}");
        let left = Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() };
        let left = planned(&drawing, &left);
        assert!(codes(&left).contains(&"dxf-curved-wall"), "{how}");
        assert_eq!(parts(&left).len(), 0, "{how}");
    }
}
