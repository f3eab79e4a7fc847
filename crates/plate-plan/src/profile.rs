//! The shape of a plate's end: where it meets the faces of other plates.
//!
//! At a junction every run has one or two *arms* that lead away from the node. In an arm's own frame
//! (station away from the node, offset to the left) another wall's plate is a convex polygon. A plate
//! that *butts* starts where it leaves the last of those polygons; one that *carries through* starts
//! where it would enter the first. Either is a [`Profile`]: stations over the arm's width.

use geom::{Frame, Length, Point};

/// A plate's end: `(offset, station)` from the right edge to the left one. Two equal stations are a
/// square cut; two different ones a bevel; more vertices a stepped or pointed end. At a step that leans
/// the way the plate comes from, offsets go back for a stretch: the end reaches into the step.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Profile(pub Vec<(Length, Length)>);

impl Profile {
    pub(crate) fn square(half: Length, station: Length) -> Profile {
        Profile(vec![(-half, station), (half, station)])
    }
    pub(crate) fn least(&self) -> Length {
        self.0.iter().map(|v| v.1).min().unwrap_or_default()
    }
    pub(crate) fn greatest(&self) -> Length {
        self.0.iter().map(|v| v.1).max().unwrap_or_default()
    }
    /// Its stations at an offset: more than one where it is stepped there.
    pub(crate) fn at(&self, offset: Length) -> impl Iterator<Item = Length> {
        self.0.windows(2).filter_map(move |side| {
            let ((o, s), (p, t)) = (side[0], side[1]);
            let spans = o.min(p) <= offset && offset <= o.max(p);
            spans.then(|| {
                let share = (offset - o).nm() as f64 / (p - o).nm() as f64;
                if o == p { s } else { s + (t - s).scale(share) }
            })
        })
    }
    /// What is left of it where nothing lies before `station`.
    pub(crate) fn not_before(&self, station: Length) -> Profile {
        self.limited(|s| s.max(station), station)
    }
    /// What is left of it where nothing lies after `station`.
    pub(crate) fn not_after(&self, station: Length) -> Profile {
        self.limited(|s| s.min(station), station)
    }
    fn limited(&self, limit: impl Fn(Length) -> Length, station: Length) -> Profile {
        let mut out = Vec::with_capacity(self.0.len() + 2);
        for (i, v) in self.0.iter().enumerate() {
            if let Some(before) = i.checked_sub(1).map(|i| self.0[i]) {
                let (d, over) = (v.1 - before.1, station - before.1);
                // Where it passes the station on the way here.
                if (before.1 < station) != (v.1 < station) && d != Length::ZERO {
                    let share = over.nm() as f64 / d.nm() as f64;
                    out.push((before.0 + (v.0 - before.0).scale(share), station));
                }
            }
            out.push((v.0, limit(v.1)));
        }
        out.dedup();
        Profile(simplified(out))
    }
    /// From an arm's frame to its run's: `length` for an arm that looks against the run from its end
    /// node, stations counted from the run's start.
    pub(crate) fn turned(mut self, node_station: Length, forward: bool) -> Profile {
        if forward {
            self.0.iter_mut().for_each(|v| v.1 += node_station);
            return self;
        }
        Profile(self.0.into_iter().rev().map(|(o, s)| (-o, node_station - s)).collect())
    }
    /// Cut angle as [`plan_model::PieceEnd`] defines it, for a piece that ends (true) or starts here.
    pub(crate) fn cut_deg(&self, at_end: bool) -> f64 {
        let n = self.0.len();
        let (right, left) =
            if n == 2 { (self.0[0], self.0[1]) } else { (self.0[n - 2], self.0[n - 1]) };
        let rise = (left.1 - right.1).nm();
        if rise == 0 {
            return 90.0;
        }
        let longer_left = if at_end { rise as f64 } else { -rise as f64 };
        let deg = ((left.0 - right.0).nm() as f64).atan2(longer_left).to_degrees();
        // To the hundredth: finer than any saw's scale, coarser than rounding noise.
        (deg * 100.0).round() / 100.0
    }
}

/// Another wall's plate as an arm sees it: stations and offsets in nanometres.
pub(crate) type Shape = Vec<(f64, f64)>;

/// A plate along `frame` from one station to another, `right..left` across, seen from `arm`.
pub(crate) fn strip(
    arm: &Frame,
    frame: &Frame,
    from: Length,
    to: Length,
    right: Length,
    left: Length,
) -> Shape {
    let see = |p: Point| {
        let (s, o) = arm.locate(p);
        (s.nm() as f64, o.nm() as f64)
    };
    vec![
        see(frame.at(from, right)),
        see(frame.at(to, right)),
        see(frame.at(to, left)),
        see(frame.at(from, left)),
    ]
}

/// What of a shape lies on one side of a strip's long face: of the face farther from `inside`, the side where that is.
pub(crate) fn within(shape: &Shape, strip: &Shape, inside: (f64, f64)) -> Shape {
    let [a, b, c, d] = strip[..] else { return shape.clone() };
    let height = |p: (f64, f64), (from, to): ((f64, f64), (f64, f64))| {
        let along = (to.0 - from.0, to.1 - from.1);
        let size = along.0.hypot(along.1);
        (along.0 * (p.1 - from.1) - along.1 * (p.0 - from.0)) / size
    };
    let faces = [(a, b), (c, d)];
    let far = |f: &&((f64, f64), (f64, f64))| height(inside, **f).abs();
    let Some(face) = faces.iter().max_by(|f, g| far(f).total_cmp(&far(g))) else {
        return shape.clone();
    };
    let sign = height(inside, *face).signum();
    let mut out = Shape::new();
    for (i, p) in shape.iter().enumerate() {
        let q = shape[(i + 1) % shape.len()];
        let [hp, hq] = [*p, q].map(|p| height(p, *face) * sign);
        if hp >= 0.0 {
            out.push(*p);
        }
        if (hp < 0.0) != (hq < 0.0) {
            let t = hp / (hp - hq);
            out.push((p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t));
        }
    }
    out
}

/// Where the plate leaves the last of the shapes, and not before `floor`.
pub(crate) fn leaves(half: Length, shapes: &[Shape], floor: Option<Length>) -> Profile {
    envelope(half, shapes, floor, true)
}

/// Where the plate enters the first of the shapes.
pub(crate) fn enters(half: Length, shapes: &[Shape]) -> Profile {
    envelope(half, shapes, None, false)
}

/// An edge of a shape as a station over offsets `lo..hi`.
#[derive(Clone, Copy)]
struct Edge {
    lo: (f64, f64), // offset, station
    hi: (f64, f64),
    /// The corners of its shape before and after the edge's own two, by offset: what goes on at `lo` and
    /// at `hi`.
    beyond: [(f64, f64); 2],
}

impl Edge {
    fn at(&self, o: f64) -> f64 {
        if self.lo.1 == self.hi.1 {
            return self.lo.1; // exact for square cuts
        }
        self.lo.1 + (o - self.lo.0) / (self.hi.0 - self.lo.0) * (self.hi.1 - self.lo.1)
    }
}

/// Places across an arm nearer than this (1 µm, in nm) are one: corners of plates on oblique walls are
/// rounded to the nanometre, and faces in line may miss each other by a few.
pub(crate) const ROUNDING: f64 = 1000.0;

fn envelope(half: Length, shapes: &[Shape], floor: Option<Length>, upper: bool) -> Profile {
    let h = half.nm() as f64;
    let mut edges: Vec<Edge> = Vec::new();
    for s in shapes {
        for (i, a) in s.iter().enumerate() {
            let b = s[(i + 1) % s.len()];
            let (lo, hi) = if a.1 <= b.1 { (a, &b) } else { (&b, a) };
            // Edges along the arm are the sides of a step, not its face.
            if hi.1 - lo.1 > ROUNDING && hi.1 > -h && lo.1 < h {
                let corner = |k: usize| (s[k % s.len()].1, s[k % s.len()].0);
                let (before, after) = (corner(i + s.len() - 1), corner(i + 2));
                let beyond = if a.1 <= b.1 { [before, after] } else { [after, before] };
                edges.push(Edge { lo: (lo.1, lo.0), hi: (hi.1, hi.0), beyond });
            }
        }
    }
    if let Some(f) = floor {
        let f = f.nm() as f64;
        let (lo, hi) = ((-h, f), (h, f));
        edges.push(Edge { lo, hi, beyond: [lo, hi] });
    }
    let mut cuts = vec![-h, h];
    for (i, e) in edges.iter().enumerate() {
        cuts.extend([e.lo.0, e.hi.0]);
        for f in &edges[i + 1..] {
            let (k1, k2) = (slope(e), slope(f));
            if k1 != k2 {
                cuts.push((f.at(0.0) - e.at(0.0)) / (k1 - k2));
            }
        }
    }
    cuts.retain(|o| (-h..=h).contains(o));
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < ROUNDING);
    if let Some(last) = cuts.last_mut() {
        *last = h;
    }
    let mut out: Vec<(Length, Length)> = Vec::new();
    let mut push = |o: f64, s: f64| {
        let v = (Length::from_nm(o.round() as i64), Length::from_nm(s.round() as i64));
        // Two corners in one place by rounding would make an outline that crosses itself; those on an edge stay.
        let near = |p: &(Length, Length)| {
            let [across, along] = [p.0 - v.0, p.1 - v.1].map(|d| d.nm().abs() as f64);
            across < ROUNDING && along < ROUNDING
        };
        match out.last_mut() {
            Some(last) if near(last) && v.0 == half => *last = v,
            Some(last) if near(last) => {}
            _ => out.push(v),
        }
    };
    let mut before: Option<Edge> = None;
    for pair in cuts.windows(2) {
        let middle = (pair[0] + pair[1]) / 2.0;
        let here = edges.iter().filter(|e| e.lo.0 <= middle && middle <= e.hi.0);
        let best = if upper {
            here.max_by(|a, b| a.at(middle).total_cmp(&b.at(middle)))
        } else {
            here.min_by(|a, b| a.at(middle).total_cmp(&b.at(middle)))
        };
        // Endless plates cross the whole arm; the node itself stands in where nothing does.
        let value = |o: f64| best.map_or(0.0, |e| e.at(o));
        if let (Some(a), Some(b)) = (before, best) {
            let corner = into_step(&a, b, pair[0], h, upper);
            corner.into_iter().for_each(|(o, s)| push(o, s));
        }
        before = best.copied();
        push(pair[0], value(pair[0]));
        push(pair[1], value(pair[1]));
    }
    Profile(simplified(out))
}

/// The corner in a step from one edge to the next at offset `o`, where the side of the shape that
/// reaches farther leans over the other's edge. One that leaned the other way would be an edge of its own there.
fn into_step(a: &Edge, b: &Edge, o: f64, h: f64, upper: bool) -> Option<(f64, f64)> {
    let (va, vb) = (a.at(o), b.at(o));
    if (va - vb).abs() < ROUNDING {
        return None;
    }
    let second = (vb > va) == upper;
    // The side of the farther shape goes on from its corner at the step.
    let (low, corner, far) = if second { (a, b.lo, b.beyond[0]) } else { (b, a.hi, a.beyond[1]) };
    if (corner.0 - o).abs() > ROUNDING || (far.0 - corner.0).abs() < ROUNDING {
        return None;
    }
    let side = (far.1 - corner.1) / (far.0 - corner.0);
    let k = slope(low);
    if side == k {
        return None;
    }
    let at = o + (corner.1 - low.at(o)) / (k - side);
    let on_side = at >= corner.0.min(far.0) - ROUNDING && at <= corner.0.max(far.0) + ROUNDING;
    let on_low = at >= low.lo.0 - ROUNDING && at <= low.hi.0 + ROUNDING;
    let on_plate = at > -h && at < h;
    (on_side && on_low && on_plate).then(|| (at, low.at(at)))
}

fn slope(e: &Edge) -> f64 {
    (e.hi.1 - e.lo.1) / (e.hi.0 - e.lo.0)
}

/// Drops vertices on a straight line between their neighbours, to within 2 nm.
fn simplified(mut v: Vec<(Length, Length)>) -> Vec<(Length, Length)> {
    let mut i = 1;
    while i + 1 < v.len() {
        let (a, b, c) = (v[i - 1], v[i], v[i + 1]);
        let span = (c.0 - a.0).nm() as f64;
        let on = span > 0.0 && {
            let t = (b.0 - a.0).nm() as f64 / span;
            (a.1.nm() as f64 + t * (c.1 - a.1).nm() as f64 - b.1.nm() as f64).abs() <= 2.0
        };
        let same = a.0 == b.0 && b.0 == c.0;
        if on || same || is_spike(a, b, c) {
            v.remove(i);
            // What is left may turn back at the corner before.
            i = i.saturating_sub(1).max(1);
        } else {
            i += 1;
        }
    }
    v
}

/// Whether the way goes out to `b` and straight back, as where the side of a step lies along the other face by rounding.
fn is_spike(a: (Length, Length), b: (Length, Length), c: (Length, Length)) -> bool {
    let to = |p: (Length, Length)| ((p.0 - b.0).nm() as f64, (p.1 - b.1).nm() as f64);
    let (u, v) = (to(a), to(c));
    let apart = (u.0 * v.1 - u.1 * v.0).abs() / u.0.hypot(u.1).max(v.0.hypot(v.1));
    u.0 * v.0 + u.1 * v.1 > 0.0 && apart < ROUNDING
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inch(x: f64) -> Length {
        Length::from_inches(x).unwrap()
    }
    fn frame(x: f64, y: f64, deg: f64) -> Frame {
        let d = match deg as i64 {
            0 => (1.0, 0.0),
            90 => (0.0, 1.0),
            _ => (deg.to_radians().cos(), deg.to_radians().sin()),
        };
        Frame::along(Point::new(inch(x), inch(y)), d)
    }
    const FAR: Length = Length::inches(1000);

    #[test]
    fn square_butt_and_carry() {
        // An arm up from the node meets a plate along x, 5.5 wide.
        let arm = frame(0.0, 0.0, 90.0);
        let s = strip(&arm, &frame(0.0, 0.0, 0.0), -FAR, FAR, inch(-2.75), inch(2.75));
        let h = inch(1.75);
        assert_eq!(leaves(h, std::slice::from_ref(&s), None), Profile::square(h, inch(2.75)));
        assert_eq!(enters(h, &[s]), Profile::square(h, inch(-2.75)));
    }

    #[test]
    fn oblique_bevel() {
        // 45 degrees: the near face is met 1.75 in apart on the two edges, per unit of width.
        let arm = frame(0.0, 0.0, 45.0);
        let s = strip(&arm, &frame(0.0, 0.0, 0.0), -FAR, FAR, inch(-1.75), inch(1.75));
        let p = leaves(inch(1.75), &[s], None);
        assert_eq!(p.0.len(), 2);
        // Stations by hand: s = h*sqrt2 -/+ h at offsets +/-h.
        let want = |o: f64| 1.75 * 2.0_f64.sqrt() - o;
        assert!((p.0[0].1.to_inches() - want(-1.75)).abs() < 1e-6, "{p:?}");
        assert!((p.0[1].1.to_inches() - want(1.75)).abs() < 1e-6);
        assert_eq!(p.cut_deg(false), 45.0); // left edge starts earlier: it is the longer
        assert_eq!(p.cut_deg(true), 135.0);
    }

    #[test]
    fn stepped_end_against_two_widths() {
        // 2x6 to the left of the node, 2x4 to the right.
        let arm = frame(0.0, 0.0, 90.0);
        let x = frame(0.0, 0.0, 0.0);
        let wide = strip(&arm, &x, -FAR, Length::ZERO, inch(-2.75), inch(2.75));
        let narrow = strip(&arm, &x, Length::ZERO, FAR, inch(-1.75), inch(1.75));
        let p = leaves(inch(1.75), &[wide, narrow], None);
        let z = Length::ZERO;
        assert_eq!(
            p.0,
            [(inch(-1.75), inch(1.75)), (z, inch(1.75)), (z, inch(2.75)), (inch(1.75), inch(2.75))]
        );
    }

    #[test]
    fn a_step_whose_side_leans_over_or_back() {
        let h = inch(1.75);
        let at = |v: &[(f64, f64)]| Profile(v.iter().map(|(o, s)| (inch(*o), inch(*s))).collect());
        let shape = |v: &[(f64, f64)]| -> Shape {
            v.iter().map(|(s, o)| (s * 25.4e6, o * 25.4e6)).collect()
        };
        let mirrored = |s: &Shape| -> Shape { s.iter().rev().map(|(s, o)| (*s, -o)).collect() };
        // The step at `o`, its side 1.1 in over 5.5 in beyond it at the far face, to the left or to the right: as much of that
        // as the one face lies above the other, also where both are as far from the node on its two sides.
        for (o, lean) in [(0.5, 1.1), (0.5, -1.1), (-0.5, 1.1), (-0.5, -1.1)] {
            for (low, face) in [(1.75, 2.75), (-1.75, 1.75)] {
                let far = face - 5.5;
                let narrow =
                    shape(&[(low - 3.5, -99.), (low, -99.), (low, o + 2.), (low - 3.5, o + 2.)]);
                let wide = shape(&[(far, o + lean), (face, o), (face, 99.), (far, 99.)]);
                let corner = o + lean * (face - low) / 5.5;
                let want = at(&[(-1.75, low), (corner, low), (o, face), (1.75, face)]);
                assert_eq!(leaves(h, &[narrow.clone(), wide.clone()], None), want);
                let back = at(&[(-1.75, face), (-o, face), (-corner, low), (1.75, low)]);
                assert_eq!(leaves(h, &[mirrored(&narrow), mirrored(&wide)], None), back);
            }
        }
        // A face beyond the wide one's other face: its side ends above that, and nothing reaches under it.
        for o in [0.5, -0.5] {
            let narrow = shape(&[(-7.5, -99.), (-4., -99.), (-4., o + 2.), (-7.5, o + 2.)]);
            let wide = shape(&[(-2.75, o + 1.1), (2.75, o), (2.75, 99.), (-2.75, 99.)]);
            let want = at(&[(-1.75, -4.), (o, -4.), (o, 2.75), (1.75, 2.75)]);
            assert_eq!(leaves(h, &[narrow, wide], None), want);
        }
    }

    /// A square of 4 in, and a strip at 45 degrees whose faces are the lines 1 in and 3 in beyond its diagonal: seen from afar
    /// on either side what lies beyond the farther face goes.
    #[test]
    fn a_shape_within_the_far_face_of_a_slanted_strip() {
        let square: Shape = vec![(0., 0.), (4., 0.), (4., 4.), (0., 4.)];
        let strip: Shape = vec![(-7., -10.), (13., 10.), (11., 10.), (-9., -10.)];
        let near = |left: Shape, hand: &[(f64, f64)]| {
            let off = |(p, q): (&(f64, f64), &(f64, f64))| (p.0 - q.0).hypot(p.1 - q.1);
            left.len() == hand.len() && left.iter().zip(hand).map(off).all(|d| d < 1e-9)
        };
        let below = within(&square, &strip, (10., -10.));
        assert!(near(below.clone(), &[(1., 0.), (4., 0.), (4., 3.)]), "{below:?}");
        let above = within(&square, &strip, (-10., 10.));
        let hand = [(0., 0.), (3., 0.), (4., 1.), (4., 4.), (0., 4.)];
        assert!(near(above.clone(), &hand), "{above:?}");
    }

    /// Out by 2 in and back by one, in eight directions; straight on is none, and neither is a corner.
    #[test]
    fn out_and_straight_back_is_a_spike() {
        for k in 0..8 {
            let (sin, cos) = (f64::from(k) * 45.0_f64.to_radians()).sin_cos();
            let way = |along: f64, aside: f64| {
                (inch(5. + along * cos - aside * sin), inch(-3. + along * sin + aside * cos))
            };
            let [start, out] = [way(0., 0.), way(2., 0.)];
            assert!(is_spike(start, out, way(1., 0.)) && is_spike(way(1., 0.), out, start), "{k}");
            assert!(!is_spike(start, out, way(3., 0.)), "{k}");
            for aside in [-0.01, 0.01, 1.0] {
                assert!(!is_spike(start, out, way(1., aside)), "{k} {aside}");
            }
        }
    }

    #[test]
    fn a_bevel_that_reaches_into_a_door_is_cut_off_there() {
        let bevel = Profile(vec![(inch(-1.0), inch(2.0)), (inch(1.0), inch(4.0))]);
        let at = |v: &[(f64, f64)]| Profile(v.iter().map(|(o, s)| (inch(*o), inch(*s))).collect());
        assert_eq!(bevel.not_before(inch(3.0)), at(&[(-1.0, 3.0), (0.0, 3.0), (1.0, 4.0)]));
        assert_eq!(bevel.not_after(inch(3.0)), at(&[(-1.0, 2.0), (0.0, 3.0), (1.0, 3.0)]));
        assert_eq!(bevel.not_before(inch(1.0)), bevel);
        assert_eq!(bevel.not_before(inch(4.0)), Profile::square(inch(1.0), inch(4.0)));
        assert_eq!(bevel.not_after(inch(2.0)), Profile::square(inch(1.0), inch(2.0)));
    }
    #[test]
    fn turned_profile_swaps_edges() {
        let p = Profile(vec![(inch(-1.0), inch(2.0)), (inch(1.0), inch(3.0))]);
        let t = p.turned(inch(100.0), false);
        assert_eq!(t.0, [(inch(-1.0), inch(97.0)), (inch(1.0), inch(98.0))]);
    }
}
