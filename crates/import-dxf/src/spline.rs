//! B-splines as chords.
//!
//! Knows: evaluating a rational B-spline (de Boor's algorithm), how many chords a span takes. Never
//! touches: tags, entities.
//!
//! Chords stay within 1/2000 of the control polygon's greatest extent of the curve where 32 chords a
//! span (four, in splines of more than 64 spans) are enough for that.

use crate::affine::{Xy, cross, norm, sub};

/// What a SPLINE entity or an edge of a hatch says.
#[derive(Clone, Debug, Default)]
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
    /// Whether it ends where it starts.
    pub closed: bool,
}

/// Programs write degrees up to this (Autodesk: 11 for curves drawn by hand, 25 by modellers; from
/// memory).
const MAX_DEGREE: usize = 25;
/// Deviation of chords, as a share of the control polygon's extent.
const DEVIATION: f64 = 1.0 / 2000.0;

impl Spline {
    /// Points along the curve; `None` when it is no curve. A spline given by fit points only becomes
    /// the chords between them.
    pub fn points(&self) -> Option<Vec<Xy>> {
        let finite = |p: &Xy| p[0].is_finite() && p[1].is_finite();
        if self.controls.is_empty() {
            let mut out = self.fits.clone();
            if self.closed {
                out.extend(self.fits.first());
            }
            return (out.len() >= 2 && out.iter().all(finite)).then_some(out);
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
        let most = if spans.len() > 64 { 4 } else { 32 };
        let tolerance = DEVIATION * extent(&self.controls);
        let mut out = Vec::with_capacity(spans.len() * 4 + 1);
        for (k, span) in spans.iter().enumerate() {
            let (from, to) = (self.knots[*span], self.knots[*span + 1]);
            let at = |share: f64| self.at(*span, from + (to - from) * share);
            if k == 0 {
                out.push(at(0.0));
            }
            let mut chords = if p == 1 { 1 } else { 2 };
            while chords < most && farthest(&at, chords) > tolerance {
                chords *= 2;
            }
            out.extend((1..=chords).map(|i| at(i as f64 / chords as f64)));
        }
        out.iter().all(finite).then_some(out)
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
        assert_eq!(fits.points().unwrap().len(), 3);
    }
}
