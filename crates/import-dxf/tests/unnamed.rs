//! Walls found by their shape, on drawings of the shared corpus whose wall layers are renamed, where
//! there is a corpus. The truth is what the same drawing gives with its names, checked by eye against a
//! picture of it; the lengths were measured once and are stated here.

use settings::Settings;
use std::path::PathBuf;
use wall_model::{Wall, WallModel};

/// A drawing, the settings it takes, what to rename, and the truth.
struct Case {
    file: &'static str,
    settings: &'static str,
    rename: &'static [(&'static str, &'static str)],
    /// Length of the walls by name, feet.
    feet: f64,
    /// Least share of it that is found, and least share of what is found that is true.
    recall: f64,
    precision: f64,
}

const CASES: [Case; 4] = [
    // 31 walls of a wood house, every one found.
    Case {
        file: "us_house_bishop_overland_r2004.dxf",
        settings: "units = \"in\"",
        rename: &[("A-WALL", "A-ABCD")],
        feet: 435.9,
        recall: 0.999,
        precision: 0.999,
    },
    // The same, and the layer of doors and windows has no telling name either.
    Case {
        file: "us_house_bishop_overland_r2004.dxf",
        settings: "units = \"in\"",
        rename: &[("A-WALL", "A-ABCD"), ("A-OPENING", "A-QWERTYU")],
        feet: 435.9,
        recall: 0.999,
        precision: 0.999,
    },
    // A pavilion among floor tiles; one short wall that touches nothing is left out. By name a door carries that
    // wall on to the next one, 2.8 ft more: as much is found by shape as without, of a longer truth.
    Case {
        file: "barcelona_pavilion_m_r2013.dxf",
        settings: "default_section = \"2x6\"",
        rename: &[("Walls", "Abcde")],
        feet: 368.2,
        recall: 0.985,
        precision: 0.999,
    },
    // A stone villa of closed outlines, 100 to 500 mm thick, among terraces, steps and beams. Thicknesses that
    // several walls share are believed; single walls of 100, 150 and 350 mm and a curved one are not.
    Case {
        file: "fallingwater_ceco_r2000.dxf",
        settings: "default_section = \"2x6\"",
        rename: &[("wall high", "abcd high"), ("wall low", "abcd low")],
        feet: 385.8,
        recall: 0.76,
        precision: 0.975,
    },
];

fn corpus(file: &str) -> Option<Vec<u8>> {
    let dir = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/corpus/dxf");
    let bytes = std::fs::read(dir.join(file)).ok();
    if bytes.is_none() {
        println!("skipped: no {file} here");
    }
    bytes
}

fn renamed(bytes: &[u8], names: &[(&str, &str)]) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for (from, to) in names {
        assert_eq!(from.len(), to.len());
        for i in 0..out.len().saturating_sub(from.len()) {
            if out[i..].starts_with(from.as_bytes()) {
                out[i..i + to.len()].copy_from_slice(to.as_bytes());
            }
        }
    }
    out
}

fn read(bytes: &[u8], toml: &str) -> WallModel {
    let settings: Settings = settings::parse::from_toml(toml, "test").expect("settings");
    import_dxf::read(bytes, &settings).unwrap_or_else(|r| panic!("refused: {r}")).value
}

fn feet(m: &WallModel) -> f64 {
    m.walls.iter().map(|w| w.start.distance(w.end).to_inches() / 12.0).sum()
}

/// Share of the walls' length that lies on a wall of the other model, within an inch.
fn covered(of: &WallModel, by: &WallModel) -> f64 {
    let ends = |m: &WallModel, w: &Wall| {
        let o = m.origin_inches;
        [w.start, w.end].map(|p| [p.x.to_inches() + o.0, p.y.to_inches() + o.1])
    };
    let on = |p: [f64; 2], dir: [f64; 2]| {
        by.walls.iter().any(|w| {
            let [a, b] = ends(by, w);
            let d = [b[0] - a[0], b[1] - a[1]];
            let long = d[0].hypot(d[1]);
            let e = [d[0] / long, d[1] / long];
            let q = [p[0] - a[0], p[1] - a[1]];
            let (s, off) = (q[0] * e[0] + q[1] * e[1], q[1] * e[0] - q[0] * e[1]);
            (dir[0] * e[1] - dir[1] * e[0]).abs() < 0.05
                && off.abs() <= 1.0
                && s >= -3.0
                && s <= long + 3.0
        })
    };
    let (mut all, mut hit) = (0.0, 0.0);
    for w in &of.walls {
        let [a, b] = ends(of, w);
        let d = [b[0] - a[0], b[1] - a[1]];
        let long = d[0].hypot(d[1]);
        let n = (long / 2.0).ceil().max(1.0);
        for i in 0..n as usize {
            let t = (i as f64 + 0.5) / n;
            all += long / n;
            if on([a[0] + d[0] * t, a[1] + d[1] * t], [d[0] / long, d[1] / long]) {
                hit += long / n;
            }
        }
    }
    hit / all
}

#[test]
fn recall_and_precision_on_real_plans() {
    for case in &CASES {
        let Some(bytes) = corpus(case.file) else { continue };
        let truth = read(&bytes, case.settings);
        let found = read(&renamed(&bytes, case.rename), case.settings);
        let (recall, precision) = (covered(&truth, &found), covered(&found, &truth));
        println!(
            "{}: {:.1} ft, recall {recall:.3}, precision {precision:.3}",
            case.file,
            feet(&truth)
        );
        assert!((feet(&truth) - case.feet).abs() < 1.0, "{}: {}", case.file, feet(&truth));
        assert!(recall >= case.recall, "{}: recall {recall}", case.file);
        assert!(precision >= case.precision, "{}: precision {precision}", case.file);
    }
}

/// An apartment floor with a section of the building beside it, both drawn on layer WALL: the section
/// has no doors and is left out, by name and by shape.
#[test]
fn a_section_beside_a_plan_is_no_plan() {
    let file = "us_apartments_inch_r2004.dxf";
    let Some(bytes) = corpus(file) else { return };
    let named = read(&bytes, "units = \"in\"");
    let by_shape = read(&renamed(&bytes, &[("WALL", "ABCD")]), "units = \"in\"");
    for m in [&named, &by_shape] {
        assert_eq!(m.storeys.len(), 1);
        // The plan ends at 220 in, the section begins at 880.
        let o = m.origin_inches.0;
        assert!(m.walls.iter().all(|w| w.end.x.to_inches() + o < 250.0));
    }
    assert!((feet(&named) - 2575.0).abs() < 2.0, "{}", feet(&named));
    let (recall, precision) = (covered(&named, &by_shape), covered(&by_shape, &named));
    println!("{file}: recall {recall:.3}, precision {precision:.3}");
    assert!(recall >= 0.97 && precision >= 0.99, "recall {recall}, precision {precision}");
    // Chosen by the settings, the section is read.
    let both = read(&bytes, "units = \"in\"\nregion = [\"1\", \"2\"]");
    assert_eq!(both.storeys.len(), 2);
}
