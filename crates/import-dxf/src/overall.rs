//! How large a drawing is, a stray line far away left out.
//!
//! Knows: places of lines. Never touches: units.

use crate::affine::Xy;
use crate::linework::Segment;

/// The middle value, if there is one.
pub(crate) fn middle(values: &[f64]) -> Option<f64> {
    let mut v: Vec<f64> = values.iter().copied().filter(|x| x.is_finite()).collect();
    v.sort_by(f64::total_cmp);
    v.get(v.len() / 2).copied()
}

/// Width and height that hold all but the outermost twentieth of the points at each side, in small
/// drawings all but one or two, so that one stray line far away does not speak for the drawing.
pub(crate) fn robust_size(points: &[Xy], lines: &[Segment]) -> (f64, f64) {
    let span = |axis: usize| {
        let mut v: Vec<f64> = points.iter().map(|p| p[axis]).filter(|x| x.is_finite()).collect();
        let cut = (v.len() / 20).max((v.len() / 8).min(2));
        let Some(last) = v.len().checked_sub(1 + cut).filter(|last| cut <= *last) else {
            return [0.0, 0.0];
        };
        let low = *v.select_nth_unstable_by(cut, f64::total_cmp).1;
        let high = *v.select_nth_unstable_by(last, f64::total_cmp).1;
        [low, high.max(low)]
    };
    let trimmed = |axis: usize| {
        let [low, high] = span(axis);
        high - low
    };
    if points.len() >= FEW_POINTS {
        return (trimmed(0), trimmed(1));
    }
    // Of few lines the ends cut away may be the building's own, of a lone cross of walls even most of it: what
    // reaches into the middle is no stray, unless it is far longer than the rest.
    let (x, y) = (span(0), span(1));
    let length = |g: &Segment| crate::affine::norm(crate::affine::sub(g.b, g.a));
    let usual = middle(&lines.iter().map(length).collect::<Vec<_>>()).unwrap_or(0.0) * 3.0;
    let reaches = |g: &&Segment| {
        let meets = |axis: usize, [low, high]: [f64; 2]| {
            g.a[axis].min(g.b[axis]) <= high && g.a[axis].max(g.b[axis]) >= low
        };
        length(g) <= usual && meets(0, x) && meets(1, y)
    };
    let with = |axis: usize, own: [f64; 2]| {
        let reaching = lines.iter().filter(reaches).flat_map(|g| [g.a[axis], g.b[axis]]);
        let [low, high] = reaching.fold(own, |s, v| [s[0].min(v), s[1].max(v)]);
        high - low
    };
    (with(0, x), with(1, y))
}

/// Fewer points than this are too few to cut a twentieth of them away at each side unseen.
const FEW_POINTS: usize = 40;

pub(crate) fn full_size(points: &[Xy]) -> (f64, f64) {
    let span = |axis: usize| {
        let v = || points.iter().map(|p| p[axis]).filter(|x| x.is_finite());
        v().fold(f64::NEG_INFINITY, f64::max) - v().fold(f64::INFINITY, f64::min)
    };
    (span(0).max(0.0), span(1).max(0.0))
}
