//! A page as a list of things to draw, before it is known whether PDF or SVG is written.
//!
//! Coordinates are points (1/72 in), x to the right, y *down* from the page's upper left corner.

use crate::font::Weight;
use std::f64::consts::TAU;

/// A place on the page.
pub(crate) type At = (f64, f64);

/// A step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Step {
    Move(At),
    Line(At),
    Curve(At, At, At),
    Close,
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Dash {
    Solid,
    Dashed,
    Dotted,
    Chain,
}

impl Dash {
    /// Lengths of strokes and gaps for a line of that width.
    pub fn lengths(self, width: f64) -> Vec<f64> {
        match self {
            Dash::Solid => Vec::new(),
            Dash::Dashed => vec![4.0, 2.5],
            Dash::Dotted => vec![width.max(0.8), width.max(0.8) * 1.6],
            Dash::Chain => vec![7.0, 2.0, 1.0, 2.0],
        }
    }
}

/// A line to draw along a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    pub width: f64,
    pub dash: Dash,
}

/// A solid pen.
pub(crate) fn pen(width: f64) -> Option<Pen> {
    Some(Pen { width, dash: Dash::Solid })
}

/// A broken pen.
pub(crate) fn broken(width: f64, dash: Dash) -> Option<Pen> {
    Some(Pen { width, dash })
}

/// Black.
pub(crate) const INK: Option<f64> = Some(0.0);
/// White.
pub(crate) const PAPER: Option<f64> = Some(1.0);
/// The tint of lower and bottom plates; dark enough for a worn print head.
pub(crate) const TINT: Option<f64> = Some(0.86);

/// Something on a page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Item {
    /// A path: filled with a grey, then drawn.
    Path { steps: Vec<Step>, fill: Option<f64>, pen: Option<Pen> },
    /// Text whose first letter stands at `at`, turned by `angle` degrees clockwise.
    Text { at: At, angle: f64, size: f64, weight: Weight, white: bool, text: String },
    /// Black squares on a grid whose upper left corner is at `at`: column, row, how many in a row.
    Grid { at: At, module: f64, runs: Vec<(u8, u8, u8)> },
    /// What follows shows only inside the rectangle (left, top, right, bottom).
    Clip([f64; 4]),
    /// Ends the last clip.
    Unclip,
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Page {
    pub width: f64,
    pub height: f64,
    pub items: Vec<Item>,
}

impl Page {
    /// An empty page.
    pub fn new(width: f64, height: f64) -> Page {
        Page { width, height, items: Vec::new() }
    }

    /// A path.
    pub fn path(&mut self, steps: Vec<Step>, fill: Option<f64>, pen: Option<Pen>) {
        if !steps.is_empty() {
            self.items.push(Item::Path { steps, fill, pen });
        }
    }

    /// A straight line.
    pub fn line(&mut self, a: At, b: At, pen: Option<Pen>) {
        self.path(vec![Step::Move(a), Step::Line(b)], None, pen);
    }

    /// A closed figure.
    pub fn ring(&mut self, points: &[At], fill: Option<f64>, pen: Option<Pen>) {
        self.path(ring(points), fill, pen);
    }

    /// An open line through points.
    pub fn chain(&mut self, points: &[At], pen: Option<Pen>) {
        let mut steps = ring(points);
        steps.pop();
        self.path(steps, None, pen);
    }

    /// An upright rectangle.
    pub fn rect(&mut self, (x, y): At, (w, h): At, fill: Option<f64>, pen: Option<Pen>) {
        self.ring(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)], fill, pen);
    }

    /// A circle.
    pub fn circle(&mut self, (x, y): At, r: f64, fill: Option<f64>, pen: Option<Pen>) {
        // A quarter circle by one cubic: 4/3 (sqrt 2 - 1) of the radius, off by 0.03 % (textbook).
        let k = r * 0.552_285;
        self.path(
            vec![
                Step::Move((x + r, y)),
                Step::Curve((x + r, y + k), (x + k, y + r), (x, y + r)),
                Step::Curve((x - k, y + r), (x - r, y + k), (x - r, y)),
                Step::Curve((x - r, y - k), (x - k, y - r), (x, y - r)),
                Step::Curve((x + k, y - r), (x + r, y - k), (x + r, y)),
                Step::Close,
            ],
            fill,
            pen,
        );
    }

    /// Text on a level line.
    pub fn text(&mut self, at: At, size: f64, weight: Weight, text: impl Into<String>) {
        self.turned(at, 0.0, size, weight, text.into());
    }

    /// Text turned by `angle` degrees clockwise about its beginning.
    pub fn turned(&mut self, at: At, angle: f64, size: f64, weight: Weight, text: String) {
        if !text.is_empty() {
            self.items.push(Item::Text { at, angle, size, weight, white: false, text });
        }
    }
}

/// The steps round a closed figure.
pub(crate) fn ring(points: &[At]) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::with_capacity(points.len() + 1);
    for (i, p) in points.iter().enumerate() {
        steps.push(if i == 0 { Step::Move(*p) } else { Step::Line(*p) });
    }
    steps.push(Step::Close);
    steps
}

/// Hatch lines inside a polygon (even-odd), `step` apart, at `degrees` counter-clockwise from level.
pub(crate) fn hatch(points: &[At], degrees: f64, step: f64) -> Vec<Step> {
    let (sin, cos) = (degrees / 360.0 * TAU).sin_cos();
    // y is down: along the hatch u grows, across it v.
    let turned: Vec<At> =
        points.iter().map(|(x, y)| (x * cos - y * sin, x * sin + y * cos)).collect();
    let least = turned.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let most = turned.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let mut steps = Vec::new();
    // A floor a hundred yards long at the largest scale has far fewer lines than that.
    let (first, last) = ((least / step).ceil(), (most / step).floor());
    if !(last - first).is_finite() || last - first > 20_000.0 {
        return steps;
    }
    let mut row = first;
    while row <= last {
        // A hair off the grid, so that no line runs along an edge.
        let v = row * step + 1e-4;
        let mut cuts: Vec<f64> = Vec::new();
        for (i, a) in turned.iter().enumerate() {
            let b = turned[(i + 1) % turned.len()];
            if (a.1 <= v) != (b.1 <= v) {
                cuts.push(a.0 + (b.0 - a.0) * (v - a.1) / (b.1 - a.1));
            }
        }
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let back = |u: f64| (u * cos + v * sin, v * cos - u * sin);
            steps.push(Step::Move(back(pair[0])));
            steps.push(Step::Line(back(pair[1])));
        }
        row += 1.0;
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatches_stay_inside_and_fill() {
        let square = [(10.0, 10.0), (30.0, 10.0), (30.0, 20.0), (10.0, 20.0)];
        let steps = hatch(&square, 35.0, 2.0);
        let mut total = 0.0;
        for pair in steps.chunks_exact(2) {
            let [Step::Move(a), Step::Line(b)] = pair else { panic!("{pair:?}") };
            for (x, y) in [a, b] {
                assert!((9.99..=30.01).contains(x) && (9.99..=20.01).contains(y));
            }
            total += (a.0 - b.0).hypot(a.1 - b.1);
        }
        // Lines a step apart cover area / step.
        assert!((total - 100.0).abs() < 10.0, "{total}");
        assert!(hatch(&square, 35.0, f64::NAN).is_empty());
    }
}
