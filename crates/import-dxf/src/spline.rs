//! B-splines as chords.
//!
//! Knows: evaluating a rational B-spline (de Boor's algorithm), how many chords a span takes. Never
//! touches: tags, entities, how a curve is laid through fit points (`fitcurve`).
//!
//! Chords stay within 1/2000 of the control polygon's greatest extent of the curve where 32 chords a
//! span (four, in splines of more than 64 spans) are enough for that.

use crate::affine::{Xy, cross, norm, sub};
use crate::fitcurve::FitCurve;

/// What a SPLINE entity or an edge of a hatch says.
#[derive(Clone, Debug)]
pub(crate) struct Spline {
    /// Degree.
    pub degree: usize,
    /// Knots.
    pub knots: Vec<f64>,
    /// Control points.
    pub controls: Vec<Xy>,
    /// Weights; none when not rational.
    pub weights: Vec<f64>,
    /// Points that it goes through, for splines without control points.
    pub fits: Vec<Xy>,
    /// Directions at both ends, for these; NaN where not given.
    pub tangents: [Xy; 2],
    /// Whether it ends where it starts.
    pub closed: bool,
}

/// Programs write degrees up to this (Autodesk: 11 for curves drawn by hand, 25 by modellers; from
/// memory).
const MAX_DEGREE: usize = 25;
/// Deviation of chords, as a share of the control polygon's extent.
const DEVIATION: f64 = 1.0 / 2000.0;

impl Default for Spline {
    fn default() -> Spline {
        Spline {
            degree: 0,
            knots: Vec::new(),
            controls: Vec::new(),
            weights: Vec::new(),
            fits: Vec::new(),
            tangents: [[f64::NAN; 2]; 2],
            closed: false,
        }
    }
}

impl Spline {
    /// Points along the curve; `None` when it is no curve. A spline given by fit points only is the
    /// smooth curve through them.
    pub fn points(&self) -> Option<Vec<Xy>> {
        let finite = |p: &Xy| p[0].is_finite() && p[1].is_finite();
        if self.controls.is_empty() {
            return self.through_fits().filter(|out| out.iter().all(finite));
        }
        let (n, p) = (self.controls.len(), self.degree);
        let sound = (1..=MAX_DEGREE).contains(&p)
            && n > p
            && self.knots.len() > n + p
            && self.knots.iter().all(|k| k.is_finite())
            && self.knots.windows(2).all(|k| k[0] <= k[1])
            && self.controls.iter().all(finite)
            && (self.weights.is_empty() || self.weights.len() == n)
            && self.weights.iter().all(|w| w.is_finite() && *w > 0.0);
        if !sound {
            return None;
        }
        let spans: Vec<usize> = (p..n).filter(|i| self.knots[*i] < self.knots[*i + 1]).collect();
        let least = if p == 1 { 1 } else { 2 };
        let at = |i: usize, share: f64| {
            let span = spans[i];
            self.at(span, self.knots[span] + (self.knots[span + 1] - self.knots[span]) * share)
        };
        let out = chords(spans.len(), least, DEVIATION * extent(&self.controls), &at);
        out.iter().all(finite).then_some(out)
    }

    /// The curve through the fit points; a closed one comes back to the first.
    fn through_fits(&self) -> Option<Vec<Xy>> {
        let mut fits = self.fits.clone();
        if self.closed {
            fits.extend(self.fits.first());
        }
        let given = self.tangents.iter().flatten().all(|v| v.is_finite());
        let curve = FitCurve::through(&fits, given.then_some(self.tangents))?;
        let at = |span: usize, share: f64| curve.at(span, share);
        // Two points are a line, unless directions bend it.
        let least = if fits.len() > 2 || given { 2 } else { 1 };
        Some(chords(curve.spans(), least, DEVIATION * extent(&fits), &at))
    }

    /// The point at a parameter within a span. Sizes were checked before.
    fn at(&self, span: usize, t: f64) -> Xy {
        let p = self.degree;
        let mut d = [[0.0; 3]; MAX_DEGREE + 1];
        for (j, slot) in d.iter_mut().enumerate().take(p + 1) {
            let i = span - p + j;
            let w = self.weights.get(i).copied().unwrap_or(1.0);
            *slot = [self.controls[i][0] * w, self.controls[i][1] * w, w];
        }
        for r in 1..=p {
            for j in (r..=p).rev() {
                let i = span - p + j;
                let width = self.knots[i + p + 1 - r] - self.knots[i];
                let a = if width > 0.0 { (t - self.knots[i]) / width } else { 0.0 };
                let before = d[j - 1];
                for (here, there) in d[j].iter_mut().zip(before) {
                    *here = (1.0 - a) * there + a * *here;
                }
            }
        }
        [d[p][0] / d[p][2], d[p][1] / d[p][2]]
    }
}

/// Chords of all spans, so many that the curve strays little from them.
fn chords(spans: usize, least: u32, tolerance: f64, at: &impl Fn(usize, f64) -> Xy) -> Vec<Xy> {
    let most = if spans > 64 { 4 } else { 32 };
    let mut out = Vec::with_capacity(spans * 4 + 1);
    for span in 0..spans {
        let at = |share: f64| at(span, share);
        if span == 0 {
            out.push(at(0.0));
        }
        let mut chords = least;
        while chords < most && farthest(&at, chords) > tolerance {
            chords *= 2;
        }
        out.extend((1..=chords).map(|i| at(f64::from(i) / f64::from(chords))));
    }
    out
}

/// Greatest distance of a chord's middle on the curve from the chord.
fn farthest(at: &impl Fn(f64) -> Xy, chords: u32) -> f64 {
    let share = |i: f64| i / f64::from(chords);
    (0..chords)
        .map(|i| {
            let (a, b) = (at(share(f64::from(i))), at(share(f64::from(i) + 1.0)));
            let (m, chord) = (sub(at(share(f64::from(i) + 0.5)), a), sub(b, a));
            let length = norm(chord);
            if length > 0.0 { (cross(chord, m) / length).abs() } else { norm(m) }
        })
        .fold(0.0, f64::max)
}

fn extent(points: &[Xy]) -> f64 {
    let side = |axis: usize| {
        let of = || points.iter().map(|p| p[axis]);
        of().fold(f64::NEG_INFINITY, f64::max) - of().fold(f64::INFINITY, f64::min)
    };
    side(0).max(side(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter circle is a rational quadratic with middle weight cos 45 degrees.
    #[test]
    fn a_quarter_circle() {
        let s = Spline {
            degree: 2,
            knots: vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
            controls: vec![[10.0, 0.0], [10.0, 10.0], [0.0, 10.0]],
            weights: vec![1.0, 0.5_f64.sqrt(), 1.0],
            ..Spline::default()
        };
        let points = s.points().unwrap();
        assert!(points.len() >= 9);
        assert!(points.iter().all(|p| (norm(*p) - 10.0).abs() < 1e-12));
        assert_eq!((points[0], points.len() % 2), ([10.0, 0.0], 1));
        for pair in points.windows(2) {
            let middle = [(pair[0][0] + pair[1][0]) / 2.0, (pair[0][1] + pair[1][1]) / 2.0];
            assert!(10.0 - norm(middle) <= 10.0 * DEVIATION);
        }
    }

    #[test]
    fn unsound_splines_are_none() {
        let good = Spline {
            degree: 1,
            knots: vec![0.0, 0.0, 1.0, 1.0],
            controls: vec![[0.0, 0.0], [1.0, 0.0]],
            ..Spline::default()
        };
        assert_eq!(good.points().unwrap(), good.controls);
        let bad = [
            Spline { degree: 0, ..good.clone() },
            Spline { degree: 99, ..good.clone() },
            Spline { knots: vec![0.0; 3], ..good.clone() },
            Spline { knots: vec![0.0, 1.0, 0.0, 1.0], ..good.clone() },
            Spline { knots: vec![0.0, f64::NAN, 1.0, 1.0], ..good.clone() },
            Spline { weights: vec![0.0, 1.0], ..good.clone() },
            Spline { controls: vec![[f64::INFINITY, 0.0], [1.0, 0.0]], ..good.clone() },
            Spline::default(),
        ];
        assert!(bad.iter().all(|s| s.points().is_none()));
        let fits = Spline { fits: vec![[0.0; 2], [1.0, 1.0]], closed: true, ..Spline::default() };
        // There and back.
        assert_eq!(fits.points().unwrap().first(), fits.points().unwrap().last());
        assert_eq!(Spline { closed: false, ..fits }.points().unwrap().len(), 2);
    }
}
