//! The centreline of a wall that has a body but no axis: the longest pair of parallel faces of its
//! plan outline.

use super::affine::Vec3;
use super::bent::{Chain, chain_of_outline, ring_of_outlines};
use super::body::{Body, Prism};
use crate::file::Why;

/// A point in plan.
pub type Plan = (f64, f64);

/// Two parallel faces and what lies between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// One end of the centreline.
    pub start: Plan,
    /// The other end.
    pub end: Plan,
    /// Distance of the faces.
    pub thickness: f64,
}

/// Angle below which two edges run the same way: about half a degree.
const PARALLEL: f64 = 0.01;

/// A wall is at least this many times as long as thick; below, its direction is anyone's guess.
const SLENDER: f64 = 1.2;

/// The strip that all solids of a body make together, or why they make none.
pub fn strip_of_body(body: &Body) -> Result<Strip, Why> {
    let mut whole: Option<Strip> = None;
    for prism in &body.prisms {
        let outline = plan_outline(prism)?;
        // A chase or a column in a wall is passed over; a ring is no strip.
        let upright = prism.sweep[0].hypot(prism.sweep[1]) <= 1e-6 * prism.sweep[2].abs();
        let hollow = |h: &Vec<Vec3>| {
            let hole: Vec<Plan> = h.iter().map(|p| (p[0], p[1])).collect();
            area(&hole) > 0.5 * area(&outline)
        };
        if upright && prism.holes.iter().any(hollow) {
            return Err("its outline has holes".to_owned());
        }
        let strip = strip_of_outline(&outline)?;
        whole = Some(match whole {
            None => strip,
            Some(w) => joined(w, strip).ok_or_else(|| {
                format!("its {} solids are not one straight wall", body.prisms.len())
            })?,
        });
    }
    whole.ok_or_else(|| "it has no solid".to_owned())
}

/// Area of an outline, whichever way it runs.
fn area(outline: &[Plan]) -> f64 {
    let Some(o) = outline.first() else { return 0.0 };
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let twice: f64 =
        sides.map(|(p, q)| (p.0 - o.0) * (q.1 - o.1) - (q.0 - o.0) * (p.1 - o.1)).sum();
    (twice / 2.0).abs()
}

/// The centreline of a body that is one upright solid with bends: an open chain, or a ring around a
/// hole.
pub fn chain_of_body(body: &Body) -> Option<Chain> {
    let [prism] = body.prisms.as_slice() else { return None };
    if !body.vertices.is_empty()
        || prism.sweep[0].hypot(prism.sweep[1]) > 1e-6 * prism.sweep[2].abs()
    {
        return None;
    }
    let outline = plan_outline(prism).ok()?;
    match prism.holes.as_slice() {
        [] => chain_of_outline(&outline),
        [hole] => {
            let hole: Vec<Plan> = hole.iter().map(|p| (p[0], p[1])).collect();
            ring_of_outlines(&outline, &hole)
        }
        _ => None,
    }
}

/// A solid seen from above.
fn plan_outline(prism: &Prism) -> Result<Vec<Plan>, Why> {
    let flat = |p: Vec3| (p[0], p[1]);
    let sweep = flat(prism.sweep);
    let (level, rise) = (sweep.0.hypot(sweep.1), prism.sweep[2].abs());
    if level <= 1e-6 * rise {
        return Ok(prism.outline.iter().map(|p| flat(*p)).collect());
    }
    if rise > 1e-6 * level {
        return Err("it is swept neither upright nor level".to_owned());
    }
    // Swept level: in plan it is as wide as the outline is across the sweep.
    let along = (sweep.0 / level, sweep.1 / level);
    let across = |p: Vec3| -along.1 * p[0] + along.0 * p[1];
    let depth = |p: Vec3| along.0 * p[0] + along.1 * p[1];
    let range = |f: &dyn Fn(Vec3) -> f64| {
        let all = prism.outline.iter().map(|p| f(*p));
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
    };
    let ((a, b), (near, far)) = (range(&across), range(&depth));
    if far - near > 1e-6 * level.max(b - a) {
        return Err("it is swept at a slant to its outline".to_owned());
    }
    let at = |s: f64, o: f64| (along.0 * s - along.1 * o, along.1 * s + along.0 * o);
    Ok(vec![at(near, a), at(near + level, a), at(near + level, b), at(near, b)])
}

/// The strip of an outline whose corners all lie between its two longest parallel faces.
pub fn strip_of_outline(outline: &[Plan]) -> Result<Strip, Why> {
    let n = outline.len();
    let edges: Vec<(Plan, Plan)> = (0..n).map(|i| (outline[i], outline[(i + 1) % n])).collect();
    let length = |e: &(Plan, Plan)| (e.1.0 - e.0.0).hypot(e.1.1 - e.0.1);
    let longest = edges.iter().max_by(|a, b| length(a).total_cmp(&length(b)));
    let Some(longest) = longest.filter(|e| length(e) > 0.0) else {
        return Err("its outline has no size".to_owned());
    };
    let whole = length(longest);
    let d = ((longest.1.0 - longest.0.0) / whole, (longest.1.1 - longest.0.1) / whole);
    let across = |p: Plan| -d.1 * (p.0 - longest.0.0) + d.0 * (p.1 - longest.0.1);
    let along = |p: Plan| d.0 * (p.0 - longest.0.0) + d.1 * (p.1 - longest.0.1);
    // The face opposite: of the edges that run back, those at one distance belong to one face, and
    // the face with the most length counts.
    let opposite = edges.iter().filter(|e| {
        let l = length(e);
        let sine = (d.0 * (e.1.1 - e.0.1) - d.1 * (e.1.0 - e.0.0)) / l;
        l > 0.0 && sine.abs() < PARALLEL && along(e.1) < along(e.0)
    });
    let mut faces: Vec<(f64, f64)> =
        opposite.map(|e| ((across(e.0) + across(e.1)) / 2.0, length(e))).collect();
    faces.sort_by(|a, b| a.0.total_cmp(&b.0));
    faces.dedup_by(|b, a| {
        let same = (b.0 - a.0).abs() < 1e-4 * whole.min(b.0.abs().max(a.0.abs()));
        if same {
            a.1 += b.1;
        }
        same
    });
    let far = faces.iter().filter(|f| f.0.abs() > 1e-9 * whole);
    let Some(far) = far.max_by(|a, b| a.1.total_cmp(&b.1)).map(|f| f.0) else {
        return Err("its outline has no two parallel faces".to_owned());
    };
    let slack = 0.02 * far.abs();
    let (low, high) = (far.min(0.0), far.max(0.0));
    let outside = outline.iter().any(|p| across(*p) < low - slack || across(*p) > high + slack);
    if outside {
        return Err("its outline is no straight strip".to_owned());
    }
    // Ends: halfway between where the two faces end, which puts mitred ends on the joint.
    let ends_of = |face: f64| {
        let on = outline.iter().filter(|p| (across(**p) - face).abs() <= slack).map(|p| along(*p));
        on.fold((f64::INFINITY, f64::NEG_INFINITY), |r, v| (r.0.min(v), r.1.max(v)))
    };
    let (near, opposite) = (ends_of(0.0), ends_of(far));
    let (s, e) = ((near.0 + opposite.0) / 2.0, (near.1 + opposite.1) / 2.0);
    if (e - s).is_nan() || e - s < SLENDER * far.abs() {
        return Err(
            "its outline is about as wide as long, so its direction is not known".to_owned()
        );
    }
    let at = |s: f64| {
        let o = far / 2.0;
        (longest.0.0 + d.0 * s - d.1 * o, longest.0.1 + d.1 * s + d.0 * o)
    };
    Ok(Strip { start: at(s), end: at(e), thickness: far.abs() })
}

/// Two strips one over or after the other in one line; `None` when they are not.
fn joined(a: Strip, b: Strip) -> Option<Strip> {
    let (dx, dy) = (a.end.0 - a.start.0, a.end.1 - a.start.1);
    let whole = dx.hypot(dy);
    let d = (dx / whole, dy / whole);
    let slack = 0.02 * a.thickness;
    let across = |p: Plan| -d.1 * (p.0 - a.start.0) + d.0 * (p.1 - a.start.1);
    let along = |p: Plan| d.0 * (p.0 - a.start.0) + d.1 * (p.1 - a.start.1);
    let aligned = across(b.start).abs() <= slack && across(b.end).abs() <= slack;
    if !aligned || (a.thickness - b.thickness).abs() > slack {
        return None;
    }
    let (b0, b1) = (along(b.start).min(along(b.end)), along(b.start).max(along(b.end)));
    if b0 > whole + slack || b1 < -slack {
        return None;
    }
    let (s, e) = (b0.min(0.0), b1.max(whole));
    let at = |s: f64| (a.start.0 + d.0 * s, a.start.1 + d.1 * s);
    Some(Strip { start: at(s), end: at(e), thickness: a.thickness })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: Plan, b: Plan) -> bool {
        (a.0 - b.0).hypot(a.1 - b.1) < 1e-9
    }

    #[test]
    fn rectangle_any_way_round() {
        let mut corners = vec![(0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (0.0, 1.0)];
        for _ in 0..4 {
            corners.rotate_left(1);
            for turn in [false, true] {
                let mut c = corners.clone();
                if turn {
                    c.reverse();
                }
                let s = strip_of_outline(&c).unwrap();
                assert_eq!(s.thickness, 1.0);
                let (a, b) = if s.start < s.end { (s.start, s.end) } else { (s.end, s.start) };
                assert!(near(a, (0.0, 0.5)) && near(b, (10.0, 0.5)), "{s:?}");
            }
        }
    }

    #[test]
    fn mitred_ends_meet_on_the_joint() {
        let s = strip_of_outline(&[(0.0, 0.0), (10.0, 0.0), (9.0, 1.0), (1.0, 1.0)]).unwrap();
        assert!(near(s.start, (0.5, 0.5)) && near(s.end, (9.5, 0.5)), "{s:?}");
    }

    #[test]
    fn a_tee_cut_into_a_face_does_not_shorten_it() {
        let s = strip_of_outline(&[
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, 0.3),
            (5.0, 0.3),
            (5.0, 0.0),
            (12.0, 0.0),
            (12.0, 1.0),
            (0.0, 1.0),
        ])
        .unwrap();
        assert!((s.thickness - 1.0).abs() < 1e-9);
        assert!(near(s.start, (12.0, 0.5)) || near(s.start, (0.0, 0.5)));
    }

    #[test]
    fn other_shapes_are_refused_by_name() {
        let l = [(0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (1.0, 1.0), (1.0, 8.0), (0.0, 8.0)];
        assert!(strip_of_outline(&l).unwrap_err().contains("no straight strip"));
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        assert!(strip_of_outline(&square).unwrap_err().contains("as wide as long"));
        let triangle = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)];
        assert!(strip_of_outline(&triangle).unwrap_err().contains("no two parallel faces"));
        assert!(strip_of_outline(&[(1.0, 1.0); 4]).is_err());
        assert!(strip_of_outline(&[]).is_err());
    }

    #[test]
    fn level_sweep_of_an_elevation() {
        let prism = Prism {
            outline: vec![[0.0, 2.0, 0.0], [9.0, 2.0, 0.0], [9.0, 2.0, 8.0], [0.0, 2.0, 5.0]],
            sweep: [0.0, 0.5, 0.0],
            curved: false,
            removed: Vec::new(),
            holes: Vec::new(),
        };
        let body = Body { prisms: vec![prism], ..Body::default() };
        let s = strip_of_body(&body).unwrap();
        assert_eq!(s.thickness, 0.5);
        assert!((s.start.1 - 2.25).abs() < 1e-9 && (s.end.0 - s.start.0).abs() == 9.0);
    }
}
