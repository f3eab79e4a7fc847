//! Drawings turned, a hair off square, filled, clad: the walls in them are the same.

use super::ok;
use crate::testing::Dxf;

/// A drawing turned about the origin.
#[derive(Clone, Copy)]
struct Turn {
    degrees: f64,
}

impl Turn {
    fn by(degrees: f64) -> Turn {
        Turn { degrees }
    }
    fn at(self, p: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = self.degrees.to_radians().sin_cos();
        [p[0] * cos - p[1] * sin, p[0] * sin + p[1] * cos]
    }
    fn line(self, d: Dxf, layer: &str, a: [f64; 2], b: [f64; 2]) -> Dxf {
        d.line(layer, self.at(a), self.at(b))
    }
    fn lines(self, d: Dxf, points: &[[f64; 2]], closed: bool) -> Dxf {
        let points: Vec<[f64; 2]> = points.iter().map(|p| self.at(*p)).collect();
        d.polyline("A-WALL", &points, closed)
    }
    fn outline(self, d: Dxf, [x0, y0, x1, y1]: [f64; 4]) -> Dxf {
        self.lines(d, &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true)
    }
    /// A wall straight up from `from` to `to`, broken at doors of 30 in, `lean` degrees off; 3-1/2 in thick.
    fn upright(self, mut d: Dxf, [from, to]: [f64; 2], doors: &[f64], lean: f64) -> Dxf {
        let about = [180.0, (from + to) / 2.0];
        let tangent = lean.to_radians().tan();
        let p = |side: f64, y: f64| [about[0] + side - (y - about[1]) * tangent, y];
        let starts: Vec<f64> = [from].into_iter().chain(doors.iter().map(|at| at + 30.0)).collect();
        let stops: Vec<f64> = doors.iter().copied().chain([to]).collect();
        for (a, b) in starts.into_iter().zip(stops) {
            for side in [-1.75, 1.75] {
                d = self.lines(d, &[p(side, a), p(side, b)], false);
            }
            for y in [a, b].into_iter().filter(|y| *y != from && *y != to) {
                d = self.lines(d, &[p(-1.75, y), p(1.75, y)], false);
            }
        }
        d
    }
}

/// A length in whole inches, of walls that are whole or half inches long.
fn inches(w: &wall_model::Wall) -> i64 {
    (w.length().to_inches() + 0.25).floor() as i64
}

/// Lengths of the walls in inches, shortest first, and their openings.
fn walls(d: &Dxf) -> Vec<(i64, usize)> {
    let walls = ok(d).value.walls;
    let of = |w: &wall_model::Wall| (inches(w), w.openings.len());
    let mut all: Vec<_> = walls.iter().map(of).collect();
    all.sort_unstable();
    all
}

#[test]
fn multilines_broken_at_doors_are_joined_however_the_drawing_is_turned() {
    let mline = |d: Dxf, a: [f64; 2], b: [f64; 2]| {
        let along = [b[0] - a[0], b[1] - a[1]];
        let length = along[0].hypot(along[1]);
        let dir = along.map(|v| v / length);
        let mut tags = vec![(40, 5.5), (70, 1.0), (71, 1.0), (72, 2.0), (73, 2.0)];
        tags.extend([(10, a[0]), (20, a[1])]);
        for p in [a, b] {
            tags.extend([(11, p[0]), (21, p[1]), (12, dir[0]), (22, dir[1])]);
            tags.extend([(13, -dir[1]), (23, dir[0])]);
            for offset in [2.75, -2.75] {
                tags.extend([(74, 2.0), (41, offset), (41, 0.0), (75, 0.0)]);
            }
        }
        d.entity("MLINE", "A-WALL", &tags)
    };
    for degrees in [0.0, 5.0, 23.0, 45.0, 71.3] {
        let t = Turn::by(degrees);
        let mut d = Dxf::inches();
        for (from, to) in [(0.0, 71.0), (107.0, 211.0), (247.0, 301.0), (337.0, 433.0)] {
            d = mline(d, t.at([from, 0.0]), t.at([to, 0.0]));
        }
        for at in [71.0, 211.0, 301.0] {
            d = t.line(d, "A-DOOR", [at, 0.0], [at + 36.0, 0.0]);
        }
        assert_eq!(walls(&d), [(433, 3)], "{degrees}");
    }
}

/// A house of 36 by 24 ft in walls 5-1/2 in thick, and a partition of 2x4 across it with three doors.
fn house(t: Turn, lean: f64) -> Dxf {
    let d = t.outline(Dxf::inches(), [0.0, 0.0, 432.0, 288.0]);
    let d = t.outline(d, [5.5, 5.5, 426.5, 282.5]);
    t.upright(d, [5.5, 282.5], &[40.0, 130.0, 230.0], lean)
}

#[test]
fn a_partition_a_hair_off_square_is_one_wall() {
    let want = [(277, 3), (282, 0), (282, 0), (426, 0), (426, 0)];
    for lean in [0.0, 0.02, 0.04, 0.05, 0.06, 0.1, 0.15] {
        let d = house(Turn::by(0.0), lean);
        assert_eq!(walls(&d), want, "{lean}");
        assert!(ok(&d).value.walls.iter().any(|w| w.drawn_thickness.to_inches() == 3.5), "{lean}");
    }
}

/// Lines at half a right angle within a wall along the sheet, as hatching drawn line by line leaves them.
fn hatched(mut d: Dxf, [x0, y0, x1, y1]: [f64; 4], apart: f64) -> Dxf {
    let step = apart * 2.0_f64.sqrt();
    // Of the lines y = x + c those that cross it.
    let mut c = ((y0 - x1) / step).ceil() * step;
    while c < y1 - x0 {
        let (from, to) = (x0.max(y0 - c), x1.min(y1 - c));
        if to - from > 0.05 {
            d = d.line("A-WALL", [from, from + c], [to, to + c]);
        }
        c += step;
    }
    d
}

#[test]
fn hatching_across_walls_is_no_wall_however_far_apart_its_lines() {
    let t = Turn::by(0.0);
    let want = walls(&house(t, 0.0));
    for apart in [2.5, 3.0, 3.5, 4.0, 5.0, 6.0] {
        let mut d = house(t, 0.0);
        for outer in [[0.0, 0.0, 432.0, 5.5], [0.0, 282.5, 432.0, 288.0]] {
            d = hatched(d, outer, apart);
        }
        for outer in [[0.0, 5.5, 5.5, 282.5], [426.5, 5.5, 432.0, 282.5]] {
            d = hatched(d, outer, apart);
        }
        for [from, to] in [[5.5, 40.0], [70.0, 130.0], [160.0, 230.0], [260.0, 282.5]] {
            d = hatched(d, [178.25, from, 181.75, to], apart);
        }
        assert_eq!(walls(&d), want, "{apart}");
        let left = ok(&d).findings.into_iter().filter(|f| f.code.name() == "dxf-face-lines-left");
        assert!(left.into_iter().all(|f| f.severity != diag::Severity::Error), "{apart}");
    }
}

#[test]
fn insulation_drawn_outside_the_studs_is_no_wall() {
    let t = Turn::by(0.0);
    let want = [("2x4", 277), ("2x6", 282), ("2x6", 282), ("2x6", 426), ("2x6", 426)];
    for layers in
        [&[2.5][..], &[2.0, 0.5], &[0.5, 1.5, 0.5], &[1.0, 1.5], &[1.0, 1.0, 0.5], &[3.75]]
    {
        let mut d = house(t, 0.0);
        let mut out = 0.0;
        for layer in layers {
            out += layer;
            d = t.outline(d, [-out, -out, 432.0 + out, 288.0 + out]);
        }
        let found = ok(&d).value.walls;
        let mut found: Vec<_> = found.iter().map(|w| (w.section.name(), inches(w))).collect();
        found.sort_unstable();
        assert_eq!(found, want, "{layers:?}");
    }
}
