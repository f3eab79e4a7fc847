//! What was read of a house, and what the house is.

use crate::draw::Style;
use crate::house::House;
use geom::{Point, Unit};
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::WallModel;
use wall_model::floor::{Floor, JunctionKind};

pub fn read(text: &str) -> (WallModel, Floor) {
    read_in(text, Unit::Inch)
}

pub fn read_in(text: &str, unit: Unit) -> (WallModel, Floor) {
    let settings = Settings { units: Some(unit), ..Settings::default() };
    let out = import_dxf::read(text.as_bytes(), &settings)
        .unwrap_or_else(|r| panic!("refused: {r}\n{text}"));
    let m = &out.value;
    assert_eq!(m.ledger.read(), m.ledger.used() + m.ledger.ignored_total());
    for w in &m.walls {
        assert!(!w.source.is_empty());
    }
    let floor = wall_graph::build(m, &settings).value;
    (out.value, floor)
}

/// Runs as ends in the drawing's frame with the stud width; junctions as places with kind.
#[derive(Debug)]
pub struct Seen {
    pub runs: Vec<([f64; 4], f64)>,
    pub junctions: Vec<([f64; 2], &'static str)>,
    pub openings: Vec<[f64; 2]>,
}

pub fn seen(m: &WallModel, f: &Floor) -> Seen {
    let back =
        |p: Point| [p.x.to_inches() + m.origin_inches.0, p.y.to_inches() + m.origin_inches.1];
    let runs = f.runs.iter().map(|r| {
        let (a, b) = (back(r.start), back(r.end));
        ([a[0], a[1], b[0], b[1]], r.section.width().to_inches())
    });
    let openings = f.walls.iter().flat_map(|w| {
        let (a, b, l) = (back(w.start), back(w.end), w.start.distance(w.end).to_inches());
        let at = move |s: f64| [a[0] + (b[0] - a[0]) * s / l, a[1] + (b[1] - a[1]) * s / l];
        w.openings.iter().flat_map(move |o| [at(o.from.to_inches()), at(o.to.to_inches())])
    });
    Seen {
        runs: runs.collect(),
        junctions: f.junctions.iter().map(|j| (back(j.at), j.kind.name())).collect(),
        openings: openings.collect(),
    }
}

pub const NEAR: f64 = 1.0 / 16.0;

pub fn near<const N: usize>(a: &[f64; N], b: &[f64; N]) -> bool {
    a.iter().zip(b).all(|(x, y)| (x - y).abs() <= NEAR)
}

/// Every one of `a` has its own of `b`, and the other way round.
pub fn same<T: std::fmt::Debug>(what: &str, a: &[T], b: &[T], equal: impl Fn(&T, &T) -> bool) {
    let lost: Vec<&T> = a.iter().filter(|x| !b.iter().any(|y| equal(x, y))).collect();
    let extra: Vec<&T> = b.iter().filter(|y| !a.iter().any(|x| equal(x, y))).collect();
    assert!(
        lost.is_empty() && extra.is_empty() && a.len() == b.len(),
        "{what}: lost {lost:?}, extra {extra:?}, {} against {}",
        a.len(),
        b.len()
    );
}

/// Metric lumber of 89 and 140 mm is what a 3-1/2 or 5-1/2 in wall of a drawing in millimetres gets.
pub fn same_stud(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.02
}

pub fn compare(want: &Seen, got: &Seen, slack: f64) {
    let close = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(x, y)| (x - y).abs() <= slack);
    same("runs", &want.runs, &got.runs, |x, y| {
        let turned = [y.0[2], y.0[3], y.0[0], y.0[1]];
        (close(&x.0, &y.0) || close(&x.0, &turned)) && same_stud(x.1, y.1)
    });
    same("junctions", &want.junctions, &got.junctions, |x, y| close(&x.0, &y.0) && x.1 == y.1);
}

/// What the house is by construction: every wall a run; at each corner of the grid, what meets there.
pub fn truth(house: &House, style: &Style) -> Seen {
    let put = |p: [f64; 2]| style.put(p).map(|v| v / style.scale());
    let runs = house.walls.iter().map(|w| {
        let (a, b) = (put(w.point(w.from, 0.0)), put(w.point(w.to, 0.0)));
        ([a[0], a[1], b[0], b[1]], w.thickness)
    });
    // By place in quarter inches: walls that end there, walls that pass.
    let mut nodes: BTreeMap<[i64; 2], [usize; 2]> = BTreeMap::new();
    let key = |p: [f64; 2]| p.map(|v| (v * 4.0).round() as i64);
    for w in &house.walls {
        for s in [w.from, w.to] {
            nodes.entry(key(w.point(s, 0.0))).or_default()[0] += 1;
        }
        for o in house.walls.iter().filter(|o| o.along_x != w.along_x) {
            let passes = o.at > w.from && o.at < w.to && o.from <= w.at && w.at <= o.to;
            if passes {
                nodes.entry(key(w.point(o.at, 0.0))).or_default()[1] += 1;
            }
        }
    }
    let junctions = nodes.into_iter().map(|(at, ends_and_passing)| {
        let kind = match ends_and_passing {
            [1, 0] => JunctionKind::End,
            [2, 0] => JunctionKind::L,
            [1, 1] => JunctionKind::T,
            [0, 2] => JunctionKind::X,
            other => unreachable!("{other:?}"),
        };
        (put(at.map(|v| v as f64 / 4.0)), kind.name())
    });
    let places =
        house.walls.iter().flat_map(|w| w.openings.iter().flatten().map(|s| put(w.point(*s, 0.0))));
    Seen { runs: runs.collect(), junctions: junctions.collect(), openings: places.collect() }
}
