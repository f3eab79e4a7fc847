//! Plane areas by the plainest means there are: cut the plane into strips at every corner and every
//! crossing, and in each strip look along its middle line. Slow and obvious, to judge the fast and
//! clever.

/// A polygon by its corners, first not repeated.
pub type Ring = Vec<(f64, f64)>;

/// A trapezoid of one strip, in which every polygon covers everything or nothing.
#[derive(Debug)]
pub struct Cell<'a> {
    /// Left and right on the strip's middle line.
    pub x: (f64, f64),
    /// The middle line.
    pub y: f64,
    /// Height of the strip.
    pub height: f64,
    /// How many polygons of each group cover it.
    pub covered: &'a [usize],
}

impl Cell<'_> {
    /// Its area, exact because its sides are straight.
    pub fn area(&self) -> f64 {
        (self.x.1 - self.x.0) * self.height
    }
}

struct Edge {
    group: usize,
    ring: usize,
    low: (f64, f64),
    high: (f64, f64),
}

impl Edge {
    fn x_at(&self, y: f64) -> f64 {
        let t = (y - self.low.1) / (self.high.1 - self.low.1);
        self.low.0 + t * (self.high.0 - self.low.0)
    }
}

/// Strips thinner than this hold no area worth speaking of: a ten-millionth of an inch.
const THIN: f64 = 1e-7;

/// Visits every covered cell of some groups of polygons.
pub fn sweep(groups: &[&[Ring]], mut visit: impl FnMut(&Cell)) {
    let mut edges = Vec::new();
    let mut cuts = Vec::new();
    let mut rings = 0;
    for (group, polygons) in groups.iter().enumerate() {
        for ring in *polygons {
            for (i, a) in ring.iter().enumerate() {
                let b = &ring[(i + 1) % ring.len()];
                cuts.push(a.1);
                let (low, high) = if a.1 < b.1 { (*a, *b) } else { (*b, *a) };
                if low.1 < high.1 {
                    edges.push(Edge { group, ring: rings, low, high });
                }
            }
            rings += 1;
        }
    }
    edges.sort_by(|a, b| a.low.1.total_cmp(&b.low.1));
    for (i, a) in edges.iter().enumerate() {
        for b in edges[i + 1..].iter().take_while(|b| b.low.1 < a.high.1) {
            cuts.extend(crossing(a, b));
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let mut inside = vec![false; rings];
    let mut covered = vec![0; groups.len()];
    for strip in cuts.windows(2) {
        let height = strip[1] - strip[0];
        if height < THIN {
            continue;
        }
        let y = (strip[0] + strip[1]) / 2.0;
        let mut hits: Vec<(f64, &Edge)> = edges
            .iter()
            .take_while(|e| e.low.1 < y)
            .filter(|e| y < e.high.1)
            .map(|e| (e.x_at(y), e))
            .collect();
        hits.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut left = f64::NEG_INFINITY;
        for (x, edge) in hits {
            if covered.iter().any(|n| *n > 0) && x > left {
                visit(&Cell { x: (left, x), y, height, covered: &covered });
            }
            let now = &mut inside[edge.ring];
            *now = !*now;
            if *now {
                covered[edge.group] += 1;
            } else {
                covered[edge.group] -= 1;
            }
            left = x;
        }
    }
}

/// The height at which two edges cross, if they do within both.
fn crossing(a: &Edge, b: &Edge) -> Option<f64> {
    let (from, to) = (a.low.1.max(b.low.1), a.high.1.min(b.high.1));
    let gap = |y: f64| a.x_at(y) - b.x_at(y);
    let (g, h) = (gap(from), gap(to));
    (g * h < 0.0).then(|| from + (to - from) * g / (g - h))
}

/// Area of the cells that `wanted` says yes to, by how many polygons of each group cover them.
pub fn area(groups: &[&[Ring]], wanted: impl Fn(&[usize]) -> bool) -> f64 {
    let mut sum = 0.0;
    sweep(groups, |c| sum += if wanted(c.covered) { c.area() } else { 0.0 });
    sum
}

/// Distance from a point to a polygon; 0 inside.
pub fn distance(p: (f64, f64), ring: &Ring) -> f64 {
    let mut inside = false;
    let mut best = f64::INFINITY;
    for (i, a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let t = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-300);
        let t = t.clamp(0.0, 1.0);
        best = best.min((p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy));
        if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / dy * dx {
            inside = !inside;
        }
    }
    if inside { 0.0 } else { best }
}
