//! Face lines: parallel lines sorted into families, fragments in one line put together.
//!
//! Knows: directions, offsets and stations of lines. Never touches: layers, thicknesses, units but
//! inches. The result depends on where the lines are, never on their order.

use crate::affine::{Xy, dot, norm, sub};
use crate::inline::{Run, runs};
use crate::linework::Segment;
use std::collections::BTreeMap;

/// Lines shorter than this have no direction worth the name, inches.
const SHORTEST_IN: f64 = 0.1;
/// How far a line's ends may stray from its family's direction, over its own length, inches: faces are drawn to
/// points that were caught a little off, and the wall between them is no less a wall.
const STRAY_IN: f64 = 0.25;
/// However short a line is, it is not parallel beyond this, radians (1 degree).
const WIDEST: f64 = 0.017_5;
/// Angles are counted in steps of this many radians: 0.001 in over 800 ft.
const ANGLE_STEP: f64 = 1e-7;
/// Directions that are looked at, heaviest first. No plan has as many; a fan of lines has no faces.
const MOST_DIRECTIONS: usize = 2000;
/// A direction that is off by less than this over the whole drawing is as drawn, inches.
const ROUNDED_IN: f64 = 1.0 / 64.0;
/// Offsets closer than this are one line, inches.
const SAME_OFFSET_IN: f64 = 1.0 / 16.0;
/// And a line's fragments stay within this of each other.
const SPREAD_IN: f64 = 3.0 / 16.0;
/// Gaps between fragments up to this are drafting noise, inches.
pub(crate) const CRACK_IN: f64 = 0.5;

/// One drawn line on a face line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    /// Station it begins at.
    pub from: f64,
    /// Station it ends at.
    pub to: f64,
    /// Number of the drawn line.
    pub line: usize,
}

/// All lines of a family at one offset.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FaceLine {
    /// Signed distance from the origin, to the left of the family's direction.
    pub offset: f64,
    /// Drawn lines, by station.
    pub pieces: Vec<Piece>,
    /// Where something is drawn: disjoint, ascending, cracks closed.
    pub spans: Vec<[f64; 2]>,
    /// Those of its parts that run a hair off the family's direction, by station.
    pub askew: Vec<Run>,
}

impl FaceLine {
    /// The offset about a station: of the part that is drawn there, or nearest to it.
    pub fn offset_at(&self, station: f64) -> f64 {
        let off = |r: &&Run| (r.along[0] - station).max(station - r.along[1]).max(0.0);
        let near = self.askew.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        near.map_or(self.offset, |r| r.at(station))
    }
    /// Where it begins and ends.
    pub fn ends(&self) -> [f64; 2] {
        let first = self.spans.first().map_or(0.0, |s| s[0]);
        [first, self.spans.last().map_or(0.0, |s| s[1])]
    }
    /// The span that holds a station, give or take a crack.
    pub fn span_at(&self, station: f64) -> Option<[f64; 2]> {
        let i = self.spans.partition_point(|s| s[1] < station - CRACK_IN);
        self.spans.get(i).copied().filter(|s| s[0] <= station + CRACK_IN)
    }
    /// Whether it is drawn all the way.
    pub fn covers(&self, from: f64, to: f64) -> bool {
        self.span_at((from + to) / 2.0)
            .is_some_and(|s| s[0] <= from + CRACK_IN && s[1] >= to - CRACK_IN)
    }
}

/// Lines of one direction.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Family {
    /// Unit direction.
    pub dir: Xy,
    /// Face lines by offset.
    pub lines: Vec<FaceLine>,
}

impl Family {
    /// To the left of the direction.
    pub fn left(&self) -> Xy {
        [-self.dir[1], self.dir[0]]
    }
    /// The point at a station and offset.
    pub fn at(&self, station: f64, offset: f64) -> Xy {
        let left = self.left();
        [self.dir[0] * station + left[0] * offset, self.dir[1] * station + left[1] * offset]
    }
}

fn turns() -> i64 {
    (std::f64::consts::PI / ANGLE_STEP).round() as i64
}

/// Angle of a line without direction, in steps, 0 to half a turn.
fn angle_key(g: &Segment) -> i64 {
    let d = sub(g.b, g.a);
    let angle = d[1].atan2(d[0]).rem_euclid(std::f64::consts::PI);
    ((angle / ANGLE_STEP).round() as i64).rem_euclid(turns())
}

fn key_distance(a: i64, b: i64) -> i64 {
    let d = (a - b).rem_euclid(turns());
    d.min(turns() - d)
}

/// Whether a line of this length may be taken to run in a direction so far off its own.
fn strays_little(distance: i64, length: f64) -> bool {
    let angle = distance as f64 * ANGLE_STEP;
    angle <= WIDEST && angle * length <= STRAY_IN
}

/// Sorts lines into families. Lines too short to have a direction are in none.
pub(crate) fn families(lines: &[Segment]) -> Vec<Family> {
    let mut weights: BTreeMap<i64, (f64, usize)> = BTreeMap::new();
    let mut by_angle: Vec<(i64, f64, usize)> = Vec::new();
    for (i, g) in lines.iter().enumerate() {
        let length = norm(sub(g.b, g.a));
        if !length.is_finite() || length < SHORTEST_IN {
            continue;
        }
        let key = angle_key(g);
        let slot = weights.entry(key).or_insert((0.0, i));
        slot.0 += length;
        let best = lines.get(slot.1).map_or(0.0, |b| norm(sub(b.b, b.a)));
        if length > best || (length == best && place(g) < lines.get(slot.1).map_or([0; 4], place)) {
            slot.1 = i;
        }
        by_angle.push((key, length, i));
    }
    by_angle.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut seeds: Vec<(i64, f64, usize)> = weights.iter().map(|(k, w)| (*k, w.0, w.1)).collect();
    // Lengths are summed in file order; a thousandth of an inch of noise must not decide.
    seeds.sort_by_key(|s| (std::cmp::Reverse((s.1 * 1000.0).round() as i64), s.0));
    let mut taken = vec![false; by_angle.len()];
    let mut chosen: Vec<(i64, usize)> = Vec::new();
    for (key, _, longest) in seeds {
        if chosen.len() >= MOST_DIRECTIONS {
            break;
        }
        let own = window(&by_angle, key, 0);
        if own.clone().all(|i| taken.get(i).copied().unwrap_or(true)) {
            continue;
        }
        chosen.push((key, longest));
        let wide = (WIDEST / ANGLE_STEP) as i64;
        let near = window(&by_angle, key, wide)
            .chain(window(&by_angle, key - turns(), wide))
            .chain(window(&by_angle, key + turns(), wide));
        for i in near {
            if let (Some(l), Some(t)) = (by_angle.get(i), taken.get_mut(i))
                && strays_little(key_distance(l.0, key), l.1)
            {
                *t = true;
            }
        }
    }
    chosen.sort_unstable();
    let mut members: Vec<Vec<usize>> = vec![Vec::new(); chosen.len()];
    for (key, length, i) in &by_angle {
        // The nearest direction, not the heaviest: pieces of a wall that is a little off square stay
        // with its long face.
        let at = chosen.partition_point(|c| c.0 < *key);
        let around = [at.wrapping_sub(1), at, 0, chosen.len().wrapping_sub(1)];
        let nearest = around
            .into_iter()
            .filter_map(|c| Some((key_distance(chosen.get(c)?.0, *key), c)))
            .min();
        if let Some((distance, c)) = nearest.filter(|n| strays_little(n.0, *length))
            && let Some(m) = members.get_mut(c)
        {
            debug_assert!(distance >= 0);
            m.push(*i);
        }
    }
    let mut out = Vec::new();
    for ((_, longest), members) in chosen.iter().zip(members) {
        if let Some(dir) = lines.get(*longest).and_then(direction) {
            own_ways(lines, dir, members, &mut out);
        }
    }
    out
}

/// The families of lines that were taken to run in one direction: those in one line with others that run another way
/// as a whole have their own.
fn own_ways(lines: &[Segment], dir: Xy, mut members: Vec<usize>, out: &mut Vec<Family>) {
    let mut found = runs(lines, dir, &members);
    let mut ways: Vec<f64> = Vec::new();
    let mut far: Vec<&Run> = found.iter().filter(|r| r.askew && r.strays > STRAY_IN).collect();
    let length = |r: &Run| r.along[1] - r.along[0];
    far.sort_by(|a, b| length(b).total_cmp(&length(a)).then(a.slope.total_cmp(&b.slope)));
    for r in far {
        if ways.iter().all(|w| (r.slope - w).abs() * length(r) > STRAY_IN) {
            ways.push(r.slope);
        }
    }
    let mut own: Vec<Vec<usize>> = vec![Vec::new(); ways.len()];
    found.retain(|r| {
        let off = |way: f64| (r.slope - way).abs() * length(r);
        let nearest = ways.iter().enumerate().min_by(|a, b| off(*a.1).total_cmp(&off(*b.1)));
        let moves = nearest.filter(|n| r.askew && off(*n.1) < off(0.0));
        if let Some(slot) = moves.and_then(|n| own.get_mut(n.0)) {
            slot.extend(&r.lines);
        }
        moves.is_none()
    });
    for (way, mut own) in ways.iter().zip(own) {
        own.sort_unstable();
        let dir = turned(dir, *way);
        out.push(Family { dir, lines: face_lines(lines, dir, &own, &runs(lines, dir, &own)) });
    }
    members.clear();
    members.extend(found.iter().flat_map(|r| &r.lines));
    members.sort_unstable();
    let (dir, found) = evened(lines, dir, &members, found);
    out.push(Family { dir, lines: face_lines(lines, dir, &members, &found) });
}

/// The direction that all runs have on the average, where it is not along the sheet: where coordinates are rounded the
/// longest line by itself is off by enough to part the pieces of a long face.
fn evened(lines: &[Segment], dir: Xy, members: &[usize], found: Vec<Run>) -> (Xy, Vec<Run>) {
    if dir[0] == 0.0 || dir[1] == 0.0 {
        return (dir, found);
    }
    let square = |r: &Run| (r.along[1] - r.along[0]).powi(2);
    let weight: f64 = found.iter().map(square).sum();
    let slope = found.iter().map(|r| r.slope * square(r)).sum::<f64>() / weight.max(1e-9);
    let way = (slope / ANGLE_STEP).round() * ANGLE_STEP;
    let low = found.iter().map(|r| r.along[0]).fold(f64::INFINITY, f64::min);
    let high = found.iter().map(|r| r.along[1]).fold(f64::NEG_INFINITY, f64::max);
    if way.abs() * (high - low) < ROUNDED_IN {
        return (dir, found);
    }
    let dir = turned(dir, way);
    let found = runs(lines, dir, members);
    (dir, found)
}

/// Lines whose angle is within `reach` of `key`, ascending.
fn window(by_angle: &[(i64, f64, usize)], key: i64, reach: i64) -> std::ops::Range<usize> {
    let from = by_angle.partition_point(|l| l.0 < key - reach);
    from..by_angle.partition_point(|l| l.0 <= key + reach)
}

fn place(g: &Segment) -> [i64; 4] {
    let key = |v: f64| (v * 1000.0).round() as i64;
    let (a, b) = ([key(g.a[0]), key(g.a[1])], [key(g.b[0]), key(g.b[1])]);
    let (a, b) = if a <= b { (a, b) } else { (b, a) };
    [a[0], a[1], b[0], b[1]]
}

/// The line's direction, to the right or straight up; along the sheet when it nearly is.
fn direction(g: &Segment) -> Option<Xy> {
    let d = sub(g.b, g.a);
    let length = norm(d);
    if length <= 0.0 {
        return None;
    }
    let mut dir = [d[0] / length, d[1] / length];
    if dir[1].abs() < 1e-6 {
        dir = [1.0, 0.0];
    } else if dir[0].abs() < 1e-6 {
        dir = [0.0, 1.0];
    }
    Some(upward(dir))
}

/// A direction turned by a slope, to the left where it grows.
fn turned(dir: Xy, slope: f64) -> Xy {
    let size = (1.0 + slope * slope).sqrt();
    upward([(dir[0] - slope * dir[1]) / size, (dir[1] + slope * dir[0]) / size])
}

/// The same, to the right or straight up.
fn upward(dir: Xy) -> Xy {
    if dir[0] < 0.0 || (dir[0] == 0.0 && dir[1] < 0.0) { [-dir[0], -dir[1]] } else { dir }
}

fn face_lines(lines: &[Segment], dir: Xy, members: &[usize], runs: &[Run]) -> Vec<FaceLine> {
    let left = [-dir[1], dir[0]];
    let mut askew: BTreeMap<usize, &Run> = BTreeMap::new();
    for r in runs.iter().filter(|r| r.askew) {
        askew.extend(r.lines.iter().map(|i| (*i, r)));
    }
    let mut placed: Vec<(f64, Piece)> = Vec::with_capacity(members.len());
    for i in members {
        let Some(g) = lines.get(*i) else { continue };
        let (s, t) = (dot(g.a, dir), dot(g.b, dir));
        let own = (dot(g.a, left) + dot(g.b, left)) / 2.0;
        let offset = askew.get(i).map_or(own, |r| r.offset);
        placed.push((offset, Piece { from: s.min(t), to: s.max(t), line: *i }));
    }
    placed.sort_by(|a, b| a.0.total_cmp(&b.0).then(by_station(&a.1, &b.1)));
    let mut out = Vec::new();
    let mut from = 0;
    while from < placed.len() {
        let mut to = from + 1;
        while to < placed.len()
            && placed[to].0 - placed[to - 1].0 <= SAME_OFFSET_IN
            && placed[to].0 - placed[from].0 <= SPREAD_IN
        {
            to += 1;
        }
        out.push(face_line(&placed[from..to], &askew));
        from = to;
    }
    out
}

fn by_station(a: &Piece, b: &Piece) -> std::cmp::Ordering {
    a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)).then(a.line.cmp(&b.line))
}

/// One face line of pieces by offset: at the offset that half of the length is below.
fn face_line(placed: &[(f64, Piece)], askew: &BTreeMap<usize, &Run>) -> FaceLine {
    let total: f64 = placed.iter().map(|p| p.1.to - p.1.from).sum();
    let mut passed = 0.0;
    let mut offset = placed.first().map_or(0.0, |p| p.0);
    for (o, p) in placed {
        offset = *o;
        passed += p.to - p.from;
        if passed >= total / 2.0 - 1e-9 {
            break;
        }
    }
    let mut pieces: Vec<Piece> = placed.iter().map(|p| p.1).collect();
    pieces.sort_by(by_station);
    let mut spans: Vec<[f64; 2]> = Vec::new();
    for p in &pieces {
        match spans.last_mut() {
            Some(last) if p.from <= last[1] + CRACK_IN => last[1] = last[1].max(p.to),
            _ => spans.push([p.from, p.to]),
        }
    }
    let mut parts: Vec<Run> =
        pieces.iter().filter_map(|p| askew.get(&p.line)).map(|r| (*r).clone()).collect();
    parts.sort_by(|a, b| a.along[0].total_cmp(&b.along[0]).then(a.offset.total_cmp(&b.offset)));
    parts.dedup();
    FaceLine { offset, pieces, spans, askew: parts }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }

    #[test]
    fn fragments_in_one_line_are_one_face() {
        let f = families(&[
            line(0.0, 0.0, 40.0, 0.0),
            line(100.0, 0.02, 40.2, 0.0),
            line(136.0, 0.0, 200.0, 0.0),
            line(0.0, 4.5, 200.0, 4.5),
            line(0.0, 0.0, 40.0, 0.0),
        ]);
        assert_eq!(f.len(), 1);
        assert_eq!((f[0].dir, f[0].lines.len()), ([1.0, 0.0], 2));
        assert_eq!(f[0].lines[0].spans, vec![[0.0, 100.0], [136.0, 200.0]]);
        assert!(f[0].lines[0].covers(10.0, 100.0) && !f[0].lines[0].covers(90.0, 140.0));
    }

    /// A face drawn 3/16 in askew over 10 ft, and one that runs its own way.
    #[test]
    fn a_face_a_little_askew_is_still_parallel() {
        let wall = |off: f64| {
            families(&[line(0.0, 0.0, 300.0, 0.0), line(40.0, 4.5 - off, 160.0, 4.5)]).len()
        };
        assert_eq!((wall(0.1875), wall(0.5)), (1, 2));
    }

    #[test]
    fn both_ways_round_and_across_the_half_turn() {
        let f = families(&[line(0.0, 0.0, 100.0, -0.000_01), line(100.0, 5.0, 0.0, 5.000_01)]);
        assert_eq!((f.len(), f[0].lines.len()), (1, 2));
    }

    #[test]
    fn pieces_of_a_wall_off_square_stay_with_its_long_face() {
        // 0.05 degrees off: the short pieces alone would pass for level.
        let t = 0.05_f64.to_radians().tan();
        let at = |x: f64, y: f64| [x, y + x * t];
        let sloped = |x0, x1, y| Segment { a: at(x0, y), b: at(x1, y) };
        let mut lines = vec![line(0.0, 300.0, 900.0, 300.0), sloped(0.0, 480.0, 0.0)];
        lines.extend([sloped(0.0, 60.0, 4.5), sloped(96.0, 160.0, 4.5)]);
        let f = families(&lines);
        assert_eq!(f.len(), 2);
        assert_eq!(f.iter().map(|x| x.lines.len()).collect::<Vec<_>>(), [1, 2]);
    }

    /// The two faces of a wall of 61 ft, broken at windows, each face of it one line in whole millimetres however it
    /// is turned.
    #[test]
    fn rounded_pieces_of_a_turned_face_are_in_one_line() {
        let parted = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let at = |x: f64, y: f64| {
                [x * cos - y * sin, x * sin + y * cos].map(|v| (v * 25.4).round() / 25.4)
            };
            let pieces =
                [0, 1, 2, 3, 4, 5, 6, 7].map(|n| f64::from(n) * 96.0).map(|x| (x, x + 60.0));
            let face = |y: f64| pieces.map(|(from, to)| Segment { a: at(from, y), b: at(to, y) });
            families(&[face(0.0), face(5.5)].concat()).iter().map(|f| f.lines.len()).sum::<usize>()
        };
        let parted: Vec<i32> = (1..45).filter(|d| parted(f64::from(*d)) != 2).collect();
        assert!(parted.is_empty(), "{parted:?}");
    }
}
