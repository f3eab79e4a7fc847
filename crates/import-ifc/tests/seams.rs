//! Openings over the seam of two walls in one line.

mod common;

use common::{Model, has};
use diag::Outcome;
use wall_model::WallModel;

const X: [f64; 3] = [1.0, 0.0, 0.0];
const BACK: [f64; 3] = [-1.0, 0.0, 0.0];

/// Openings by place on the sheet, in inches from where the first wall starts.
fn openings(out: &Outcome<WallModel>) -> Vec<(f64, f64)> {
    let west = out.value.walls.iter().flat_map(|w| [w.start.x, w.end.x]).min().unwrap_or_default();
    let mut all: Vec<(f64, f64)> = Vec::new();
    for w in &out.value.walls {
        let (at, way) =
            ((w.start.x - west).to_inches(), if w.end.x > w.start.x { 1.0 } else { -1.0 });
        let each = w.openings.iter().map(|o| [o.from, o.to].map(|s| at + way * s.to_inches()));
        all.extend(each.map(|[a, b]| (a.min(b), a.max(b))));
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// A wall from 0 to 100 with a window from 80 to 130, and what else there is.
fn window_over(end: impl FnOnce(&mut Model)) -> Outcome<WallModel> {
    let mut m = Model::inches();
    let w = m.wall("w1", [0.0; 3], X, 100.0, 5.5);
    m.opening("v", w, [80.0, -5.0, 36.0], [130.0, 5.0, 84.0]);
    end(&mut m);
    m.read()
}

#[test]
fn an_opening_is_divided_over_walls_in_line() {
    // The other wall runs on, or is drawn the other way round.
    for (at, x) in [(100.0, X), (220.0, BACK)] {
        let out = window_over(|m| {
            m.wall("w2", [at, 0.0, 0.0], x, 120.0, 5.5);
        });
        assert_eq!(openings(&out), [(80.0, 100.0), (100.0, 130.0)]);
        for code in ["ifc-opening-shape", "ifc-opening-over-seam"] {
            assert!(!has(&out.findings, code), "{code} {:?}", out.findings);
        }
    }
    // What the file cuts from the other wall itself is there once.
    let out = window_over(|m| {
        let w = m.wall("w2", [100.0, 0.0, 0.0], X, 120.0, 5.5);
        m.opening("v2", w, [100.0, -5.0, 36.0], [129.0, 5.0, 84.0]);
    });
    assert_eq!(openings(&out), [(80.0, 100.0), (100.0, 129.0)]);
}

#[test]
fn walls_that_differ_at_the_seam_are_told() {
    let out = window_over(|m| {
        m.wall("w2", [100.0, 0.0, 0.0], X, 120.0, 3.5);
    });
    assert_eq!(openings(&out), [(80.0, 100.0), (100.0, 130.0)]);
    assert!(has(&out.findings, "ifc-opening-over-seam"));
}

#[test]
fn what_lies_on_no_wall_is_told() {
    // Nothing goes on, a wall that ends within the window, and one that is not in line.
    let cases = [None, Some((100.0, 0.0, 20.0)), Some((100.0, 7.0, 120.0))];
    for (case, want) in cases.into_iter().zip(["2'-6\"", "10\"", "2'-6\""]) {
        let out = window_over(|m| {
            if let Some((x, y, long)) = case {
                m.wall("w2", [x, y, 0.0], X, long, 5.5);
            }
        });
        let told = out.findings.iter().find(|f| f.code.name() == "ifc-opening-shape");
        assert!(told.unwrap().message.contains(&format!("{want} past")), "{case:?} {told:?}");
    }
}
