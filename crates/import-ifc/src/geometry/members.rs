//! The centreline of a wall that is drawn as its parts: studs and plates, or layers side by side.

use super::affine::{Vec3, add};
use super::body::Body;
use super::footprint::{Plan, Strip};
use crate::file::Why;

/// A wall is at least this many times as long as thick.
const SLENDER: f64 = 1.5;

/// Most edges looked at; walls of more parts are given up.
const EDGES: usize = 200_000;

/// Parts that lie along one wall: a strip around them all, in the direction that makes it thinnest.
/// `most` is the greatest thickness, `gap` the greatest distance between parts along it.
pub fn strip_of_members(body: &Body, most: f64, gap: f64) -> Result<Strip, Why> {
    let edges = level_edges(body);
    if edges.len() > EDGES {
        return Err(format!("it has over {EDGES} edges"));
    }
    let mut directions: Vec<Plan> = Vec::new();
    for d in edges.iter().filter_map(|(a, b)| unit((b.0 - a.0, b.1 - a.1))) {
        for d in [d, (-d.1, d.0)] {
            let known = |k: &Plan| (k.0 * d.1 - k.1 * d.0).abs() < 1e-3;
            if directions.len() < 16 && !directions.iter().any(known) {
                directions.push(d);
            }
        }
    }
    let Some(from) = body.corners().next() else { return Err("it is empty".to_owned()) };
    let along = |d: Plan| move |p: Vec3| d.0 * (p[0] - from[0]) + d.1 * (p[1] - from[1]);
    let across = |d: Plan| move |p: Vec3| d.0 * (p[1] - from[1]) - d.1 * (p[0] - from[0]);
    let width = |d: Plan| body.range(across(d)).map_or(f64::INFINITY, |r| r.1 - r.0);
    let thinnest = directions.into_iter().min_by(|a, b| width(*a).total_cmp(&width(*b)));
    let Some(d) = thinnest else { return Err("it has no level edges".to_owned()) };
    let ranges = body.range(along(d)).zip(body.range(across(d)));
    let Some(((s, e), (low, high))) = ranges else { return Err("it is empty".to_owned()) };
    let thickness = high - low;
    if !(thickness > 0.0 && thickness <= most && e - s >= SLENDER * thickness) {
        return Err("its parts do not lie along one straight wall".to_owned());
    }
    let mut covered: Vec<(f64, f64)> = parts(body)
        .into_iter()
        .filter_map(|points| {
            let s = points.iter().map(|p| along(d)(*p));
            let r = s.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)));
            (r.0 <= r.1).then_some(r)
        })
        .collect();
    covered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut reached = s;
    for (from, to) in covered {
        if from - reached > gap {
            return Err("its parts lie far apart".to_owned());
        }
        reached = reached.max(to);
    }
    // Where the long faces end at different places, as at a mitre, the ends are halfway between.
    let slack = 0.02 * thickness;
    let side = |face: f64| {
        let on = body.corners().filter(|p| (across(d)(*p) - face).abs() <= slack);
        let on = on.map(along(d));
        on.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
    };
    let (right, left) = (side(low), side(high));
    let long = |r: (f64, f64)| r.1 - r.0 > 0.5 * (e - s);
    let (s, e) = if long(right) && long(left) {
        ((right.0 + left.0) / 2.0, (right.1 + left.1) / 2.0)
    } else {
        (s, e)
    };
    let middle = (low + high) / 2.0;
    let at = |s: f64| (from[0] + d.0 * s - d.1 * middle, from[1] + d.1 * s + d.0 * middle);
    Ok(Strip { start: at(s), end: at(e), thickness })
}

fn unit(v: Plan) -> Option<Plan> {
    let n = v.0.hypot(v.1);
    (n.is_finite() && n > 1e-9).then(|| (v.0 / n, v.1 / n))
}

/// The corners of each prism and of each face.
fn parts(body: &Body) -> Vec<Vec<Vec3>> {
    let prisms = body.prisms.iter().map(|p| {
        let ends = p.outline.iter().flat_map(|c| [*c, add(*c, p.sweep)]);
        ends.collect()
    });
    prisms.chain(body.facets().map(<[Vec3]>::to_vec)).collect()
}

/// Edges in plan of everything that is level.
pub fn level_edges(body: &Body) -> Vec<(Plan, Plan)> {
    let mut out = Vec::new();
    let mut add_edge = |a: Vec3, b: Vec3| {
        let run = (b[0] - a[0]).hypot(b[1] - a[1]);
        if run > 0.0 && (b[2] - a[2]).abs() <= 1e-6 * run && out.len() <= EDGES {
            out.push(((a[0], a[1]), (b[0], b[1])));
        }
    };
    for p in &body.prisms {
        for (a, b) in p.outline.iter().zip(p.outline.iter().cycle().skip(1)) {
            add_edge(*a, *b);
        }
        if let Some(a) = p.outline.first() {
            add_edge(*a, add(*a, p.sweep));
        }
    }
    for f in body.facets() {
        for (a, b) in f.iter().zip(f.iter().cycle().skip(1)) {
            add_edge(*a, *b);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::body::Prism;
    use super::*;

    fn boxed(low: Vec3, high: Vec3) -> Prism {
        let c = |x: f64, y: f64| [x, y, low[2]];
        Prism {
            outline: vec![
                c(low[0], low[1]),
                c(high[0], low[1]),
                c(high[0], high[1]),
                c(low[0], high[1]),
            ],
            sweep: [0.0, 0.0, high[2] - low[2]],
            curved: false,
            removed: Vec::new(),
            holes: Vec::new(),
        }
    }

    #[test]
    fn studs_and_layers() {
        let stud = |n: u32| {
            let x = 16.0 * f64::from(n);
            boxed([x, 0.0, 1.5], [x + 1.5, 5.5, 94.0])
        };
        let studs = Body { prisms: (0..7).map(stud).collect(), ..Body::default() };
        let s = strip_of_members(&studs, 24.0, 48.0).unwrap();
        assert_eq!((s.start, s.end, s.thickness), ((0.0, 2.75), (97.5, 2.75), 5.5));
        let layers = Body {
            prisms: vec![
                boxed([0.0; 3], [120.0, 0.5, 96.0]),
                boxed([0.0, 0.5, 0.0], [116.0, 4.0, 96.0]),
            ],
            ..Body::default()
        };
        let s = strip_of_members(&layers, 24.0, 48.0).unwrap();
        assert_eq!((s.start, s.end, s.thickness), ((0.0, 2.0), (118.0, 2.0), 4.0));
    }

    #[test]
    fn what_is_spread_out_is_no_wall() {
        let two = |x: f64, y: f64| Body {
            prisms: vec![
                boxed([0.0; 3], [3.5, 1.5, 96.0]),
                boxed([x, y, 0.0], [x + 3.5, y + 1.5, 96.0]),
            ],
            ..Body::default()
        };
        assert!(strip_of_members(&two(100.0, 0.0), 24.0, 48.0).unwrap_err().contains("far apart"));
        assert!(strip_of_members(&two(40.0, 40.0), 24.0, 48.0).is_err());
        assert!(strip_of_members(&Body::default(), 24.0, 48.0).is_err());
    }
}
