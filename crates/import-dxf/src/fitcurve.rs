//! The smooth curve through fit points.
//!
//! Knows: the cubic spline over chord lengths (de Boor, "A Practical Guide to Splines", chapter IV; Piegl
//! and Tiller, "The NURBS Book", 9.2): second derivative zero at an end, or the direction given there.
//! Drawing programs draw splines that have fit points only in this way (as ezdxf's
//! `fit_points_to_cad_cv` does too). Never touches: tags, control points.

use crate::affine::{Xy, norm, sub};

/// A curve through points.
pub(crate) struct FitCurve {
    points: Vec<Xy>,
    /// Length of each chord, none of them 0.
    chords: Vec<f64>,
    /// Second derivatives over the chord length, at each point.
    bends: Vec<Xy>,
}

impl FitCurve {
    /// Through these points; points that repeat the one before are passed over. `tangents` are the
    /// directions at the two ends, obeyed when both are given. `None` for fewer than two places.
    pub fn through(fits: &[Xy], tangents: Option<[Xy; 2]>) -> Option<FitCurve> {
        let mut points = fits.to_vec();
        points.dedup();
        let chords: Vec<f64> = points.windows(2).map(|p| norm(sub(p[1], p[0]))).collect();
        if chords.is_empty() || !chords.iter().all(|c| c.is_finite() && *c > 0.0) {
            return None;
        }
        let unit = |t: Xy| [t[0] / norm(t), t[1] / norm(t)];
        let tangents = tangents.filter(|t| t.iter().all(|t| norm(*t) > 0.0)).map(|t| t.map(unit));
        let bends = bends(&points, &chords, tangents);
        Some(FitCurve { points, chords, bends })
    }
    /// Number of spans.
    pub fn spans(&self) -> usize {
        self.chords.len()
    }
    /// The point at a share of a span; the last point beyond the last.
    pub fn at(&self, span: usize, share: f64) -> Xy {
        let two = |v: &[Xy]| Some([*v.get(span)?, *v.get(span + 1)?]);
        let (Some(h), Some([p, q]), Some([m, n])) =
            (self.chords.get(span), two(&self.points), two(&self.bends))
        else {
            return self.points.last().copied().unwrap_or([0.0; 2]);
        };
        let (b, a) = (share, 1.0 - share);
        // Exact at the points themselves.
        let (ca, cb) = ((a * a * a - a) * h * h / 6.0, (b * b * b - b) * h * h / 6.0);
        [0, 1].map(|k| a * p[k] + b * q[k] + ca * m[k] + cb * n[k])
    }
}

/// Solves for the second derivatives: one row a point, each with its neighbours.
fn bends(points: &[Xy], chords: &[f64], tangents: Option<[Xy; 2]>) -> Vec<Xy> {
    let slope = |i: usize| {
        let d = sub(points[i + 1], points[i]);
        [d[0] / chords[i], d[1] / chords[i]]
    };
    let (last, n) = (points.len() - 1, points.len());
    let six = |a: Xy, b: Xy| [(a[0] - b[0]) * 6.0, (a[1] - b[1]) * 6.0];
    // Before, at and after the point; right-hand side.
    let row = |i: usize| match (i, tangents) {
        (0, None) => ([0.0, 1.0, 0.0], [0.0; 2]),
        (0, Some([t, _])) => ([0.0, 2.0 * chords[0], chords[0]], six(slope(0), t)),
        (i, None) if i == last => ([0.0, 1.0, 0.0], [0.0; 2]),
        (i, Some([_, t])) if i == last => {
            ([chords[i - 1], 2.0 * chords[i - 1], 0.0], six(t, slope(i - 1)))
        }
        (i, _) => (
            [chords[i - 1], 2.0 * (chords[i - 1] + chords[i]), chords[i]],
            six(slope(i), slope(i - 1)),
        ),
    };
    // Thomas' algorithm; the matrix is diagonally dominant.
    let (mut over, mut out) = (vec![0.0; n], vec![[0.0; 2]; n]);
    let (mut above, mut solved) = (0.0, [0.0; 2]);
    for (i, (o, value)) in over.iter_mut().zip(&mut out).enumerate() {
        let ([before, at, after], right) = row(i);
        let pivot = at - before * above;
        above = after / pivot;
        solved = [0, 1].map(|k| (right[k] - before * solved[k]) / pivot);
        (*o, *value) = (above, solved);
    }
    for i in (0..last).rev() {
        let next = out[i + 1];
        for k in 0..2 {
            out[i][k] -= over[i] * next[k];
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const FITS: [Xy; 4] = [[0.0, 0.0], [30.0, 40.0], [90.0, 40.0], [90.0, -20.0]];

    #[test]
    fn it_passes_through_its_points() {
        for tangents in [None, Some([[0.0, 5.0], [1.0, 0.0]])] {
            let c = FitCurve::through(&FITS, tangents).unwrap();
            assert_eq!(c.spans(), 3);
            for (i, p) in FITS.iter().enumerate() {
                assert!(norm(sub(c.at(i, 0.0), *p)) < 1e-12);
            }
        }
    }

    /// Half way along each chord, as ezdxf 1.4.5 has it: `fit_points_to_cad_cv(FITS, tangents).point(t)`.
    #[test]
    fn as_ezdxf_draws_it() {
        let free = [
            [12.027_439_024_390_246, 22.515_243_902_439_02],
            [62.414_634_146_341_46, 48.341_463_414_634_14],
            [96.695_121_951_219_5, 14.719_512_195_121_958],
        ];
        let bent = [
            [7.981_927_710_843_374, 22.590_361_445_783_13],
            [66.777_108_433_734_93, 51.114_457_831_325_296],
            [84.144_578_313_253, 3.277_108_433_734_953],
        ];
        for (tangents, want) in [(None, free), (Some([[0.0, 5.0], [1.0, 0.0]]), bent)] {
            let c = FitCurve::through(&FITS, tangents).unwrap();
            for (i, p) in want.iter().enumerate() {
                assert!(norm(sub(c.at(i, 0.5), *p)) < 1e-9, "{i}: {:?}", c.at(i, 0.5));
            }
        }
    }

    #[test]
    fn its_ends_have_the_directions_given() {
        let c = FitCurve::through(&FITS, Some([[0.0, 5.0], [1.0, 0.0]])).unwrap();
        let (start, end) = (c.at(0, 1e-6), sub(FITS[3], c.at(2, 1.0 - 1e-6)));
        assert!((start[0] / start[1]).abs() < 1e-4 && (end[1] / end[0]).abs() < 1e-4);
    }

    #[test]
    fn points_in_a_line_and_repeated_points() {
        let c = FitCurve::through(&[[0.0, 0.0], [0.0, 0.0], [3.0, 3.0], [4.0, 4.0]], None).unwrap();
        assert!([0.25, 0.5, 0.75].iter().all(|t| {
            let p = c.at(0, *t);
            (p[0] - p[1]).abs() < 1e-12 && (p[0] - 3.0 * t).abs() < 1e-12
        }));
        assert!(FitCurve::through(&[[1.0, 1.0]; 3], None).is_none());
        assert!(FitCurve::through(&[], None).is_none());
    }
}
