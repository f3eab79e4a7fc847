//! Which neighbouring face lines bound walls: cuts across each bundle of parallel lines.
//!
//! Knows: how much each pair of face lines faces each other with nothing between, and how good a wall
//! it would make. Never touches: gaps, ends, layers.
//!
//! Wherever the lines present change, the bundle is cut across. In each cut, pairs are chosen so that
//! no line bounds two walls and the sum of their merits is greatest. A pair's merit counts its whole
//! length, so that one wall is judged alike in all cuts.

use crate::facelines::{CRACK_IN, Family};
use crate::openings::{root, unite};
use crate::pairing::CROSSING_IN;
use limits::Watch;
use std::collections::{BTreeMap, BTreeSet};

/// Merit of a thickness that no lumber section explains, against 1 for one that a section does.
const UNKNOWN: f64 = 0.35;
/// The same for walls thicker than framed ones usually are.
const UNKNOWN_THICK: f64 = 0.15;
/// Merit of the thickness of a 2x3 wall: insulation and siding outside the studs of an outer wall are as thick, and run
/// farther around its corners than the studs' own faces.
const THIN: f64 = 0.5;
/// For each line between the two faces (a glazing line, a finish).
const LINE_BETWEEN: f64 = 0.4;
/// Length beyond which a longer wall is no better, inches.
const LONG_IN: f64 = 480.0;
/// Lines in one cut beyond which it is hatching, not walls.
const MOST_IN_A_CUT: usize = 60;

/// A stretch along which two face lines bound a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Strip {
    /// Lower face line, by number in the family.
    pub low: usize,
    /// Upper face line.
    pub high: usize,
    /// Station it begins at.
    pub from: f64,
    /// Station it ends at.
    pub to: f64,
}

/// What makes a thickness good.
pub(crate) struct Thickness<'a> {
    /// Least distance of faces.
    pub least: f64,
    /// Greatest distance.
    pub greatest: f64,
    /// Greatest distance of framed walls.
    pub framed: f64,
    /// Whether a lumber section explains it.
    pub known: &'a dyn Fn(f64) -> bool,
    /// Whether that section is narrower than the usual studs of a wall.
    pub thin: &'a dyn Fn(f64) -> bool,
}

struct Cut {
    from: f64,
    to: f64,
    /// Face lines present, ascending.
    present: Vec<usize>,
}

/// The strips of a family, by pair and station; the greatest merit wins. Breaks off when time is up.
pub(crate) fn strips(family: &Family, thickness: &Thickness<'_>, watch: &Watch) -> Vec<Strip> {
    let cuts = cuts(family, thickness.greatest, watch);
    let mut facing: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    let distance = |i: usize, j: usize| apart(family, i, j);
    let fits = |d: f64| d >= thickness.least * 0.999 && d <= thickness.greatest * 1.001;
    for (at, c) in cuts.iter().enumerate() {
        if watch.is_over_at(at) {
            return Vec::new();
        }
        for (n, i) in c.present.iter().enumerate() {
            for j in c.present.iter().skip(n + 1) {
                let d = distance(*i, *j);
                if d > thickness.greatest * 1.001 {
                    break;
                }
                if fits(d) {
                    *facing.entry((*i, *j)).or_default() += c.to - c.from;
                }
            }
        }
    }
    let merit = |i: usize, j: usize, between: usize| {
        let d = distance(i, j);
        if !fits(d) {
            return None;
        }
        let kind = match () {
            _ if (thickness.known)(d) && (thickness.thin)(d) => THIN,
            _ if (thickness.known)(d) => 1.0,
            _ if d <= thickness.framed * 1.001 => UNKNOWN,
            _ => UNKNOWN_THICK,
        };
        let length = facing.get(&(i, j)).copied().unwrap_or(0.0).min(LONG_IN);
        // Whole sixteenths, so that rounding of sums does not decide.
        Some((length * kind * LINE_BETWEEN.powi(between as i32) * 16.0).round())
    };
    let mut out = Vec::new();
    for c in &cuts {
        if watch.is_over() {
            return Vec::new();
        }
        for (i, j) in choose(&c.present, &merit, thickness.greatest, &distance) {
            out.push(Strip { low: i, high: j, from: c.from, to: c.to });
        }
    }
    out.sort_by(|a, b| (a.low, a.high).cmp(&(b.low, b.high)).then(a.from.total_cmp(&b.from)));
    // Cuts of one wall that follow on each other.
    let mut joined: Vec<Strip> = Vec::new();
    for s in out {
        match joined.last_mut() {
            Some(l) if (l.low, l.high) == (s.low, s.high) && s.from - l.to <= 1e-6 => l.to = s.to,
            _ => joined.push(s),
        }
    }
    let mut behind: BTreeMap<usize, Vec<&Strip>> = BTreeMap::new();
    for s in &joined {
        behind.entry(s.low).or_default().push(s);
        behind.entry(s.high).or_default().push(s);
    }
    joined.iter().filter(|s| !is_left_over(family, s, &behind, thickness)).copied().collect()
}

/// Whether a short strip lies in what clads a wall: one of its lines bounds, from its end on, a wall on its other side,
/// while the strip's own lines run on beside that wall, the outer one bounding nothing else. The wall's other face
/// stops here, at a corner or a partition. What clads a wall is thinner than the wall or thinner than studs.
fn is_left_over(
    family: &Family,
    s: &Strip,
    by_line: &BTreeMap<usize, Vec<&Strip>>,
    thickness: &Thickness<'_>,
) -> bool {
    let length = s.to - s.from;
    if length > CROSSING_IN {
        return false;
    }
    let spans = [s.low, s.high].map(|k| family.lines.get(k)?.span_at((s.from + s.to) / 2.0));
    let [Some(low), Some(high)] = spans else { return false };
    let both = [low[0].max(high[0]), low[1].min(high[1])];
    // Between two walls the other line is the other wall's.
    let here = |o: &&&Strip| o.from < both[1] && o.to > both[0];
    let alone = |k: usize| {
        let all = by_line.get(&k).into_iter().flatten();
        all.filter(here).all(|o| (o.low, o.high) == (s.low, s.high))
    };
    let thick = |s: &Strip| apart(family, s.low, s.high);
    let own = thick(s);
    let clads = |o: &Strip| {
        if own >= thick(o) && !(thickness.thin)(own) {
            return false;
        }
        let enough = (o.to - o.from).min(length.max(CROSSING_IN));
        let before = (o.to - s.from).abs() <= CRACK_IN && both[0] <= s.from - enough + CRACK_IN;
        let after = (o.from - s.to).abs() <= CRACK_IN && both[1] >= s.to + enough - CRACK_IN;
        before || after
    };
    let walls = |k: usize| by_line.get(&k).into_iter().flatten().filter(|o| o.to - o.from > length);
    (alone(s.high) && walls(s.low).any(|o| o.high == s.low && clads(o)))
        || (alone(s.low) && walls(s.high).any(|o| o.low == s.high && clads(o)))
}

/// How far apart two face lines are, half way along what they have in common; lines that are not there, infinitely far.
fn apart(family: &Family, i: usize, j: usize) -> f64 {
    let (Some(a), Some(b)) = (family.lines.get(i), family.lines.get(j)) else {
        return f64::INFINITY;
    };
    let (s, t) = (a.ends(), b.ends());
    let middle = (s[0].max(t[0]) + s[1].min(t[1])) / 2.0;
    b.offset_at(middle) - a.offset_at(middle)
}

/// The best set of pairs that share no line and do not overlap.
fn choose(
    present: &[usize],
    merit: &dyn Fn(usize, usize, usize) -> Option<f64>,
    greatest: f64,
    distance: &dyn Fn(usize, usize) -> f64,
) -> Vec<(usize, usize)> {
    // best[n]: with the first n lines; from[n]: the first line of the pair that ends with line n - 1.
    let mut best = vec![0.0; present.len() + 1];
    let mut from: Vec<Option<usize>> = vec![None; present.len() + 1];
    for n in 1..=present.len() {
        best[n] = best[n - 1];
        for q in (0..n - 1).rev() {
            if distance(present[q], present[n - 1]) > greatest * 1.001 {
                break;
            }
            let Some(m) = merit(present[q], present[n - 1], n - 2 - q) else { continue };
            if m > 0.0 && best[q] + m > best[n] {
                best[n] = best[q] + m;
                from[n] = Some(q);
            }
        }
    }
    let mut out = Vec::new();
    let mut n = present.len();
    while n > 0 {
        match from[n] {
            Some(q) => {
                out.push((present[q], present[n - 1]));
                n = q;
            }
            None => n -= 1,
        }
    }
    out
}

/// Spans looked at beside one span; more is hatching.
const MOST_BESIDE: usize = 5000;

/// Cuts across bundles of spans that lie within `reach` of each other, directly or through others.
fn cuts(family: &Family, reach: f64, watch: &Watch) -> Vec<Cut> {
    let spans: Vec<(usize, [f64; 2])> = family
        .lines
        .iter()
        .enumerate()
        .flat_map(|(k, l)| l.spans.iter().map(move |s| (k, *s)))
        .collect();
    let offset = |k: usize| family.lines.get(k).map_or(f64::INFINITY, |l| l.offset);
    let mut group: Vec<usize> = (0..spans.len()).collect();
    for (i, (k, s)) in spans.iter().enumerate() {
        if watch.is_over() {
            return Vec::new();
        }
        for (j, (m, t)) in spans.iter().enumerate().skip(i + 1).take(MOST_BESIDE) {
            if offset(*m) - offset(*k) > reach * 1.001 {
                break;
            }
            if m != k && s[0] < t[1] && t[0] < s[1] {
                unite(&mut group, i, j);
            }
        }
    }
    let mut bundles: BTreeMap<usize, Vec<(usize, [f64; 2])>> = BTreeMap::new();
    for (i, s) in spans.iter().enumerate() {
        bundles.entry(root(&mut group, i)).or_default().push(*s);
    }
    let mut out = Vec::new();
    for bundle in bundles.into_values().filter(|b| b.len() > 1) {
        cut_bundle(&bundle, &mut out);
    }
    out
}

fn cut_bundle(bundle: &[(usize, [f64; 2])], out: &mut Vec<Cut>) {
    // Station, begins?, line. Ends come before beginnings at the same station.
    let mut events: Vec<(f64, bool, usize)> =
        bundle.iter().flat_map(|(k, s)| [(s[0], true, *k), (s[1], false, *k)]).collect();
    events.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut present: BTreeSet<usize> = BTreeSet::new();
    let mut last = f64::NEG_INFINITY;
    for (station, begins, k) in events {
        if station - last > 1e-6 && (2..=MOST_IN_A_CUT).contains(&present.len()) {
            out.push(Cut { from: last, to: station, present: present.iter().copied().collect() });
        }
        if begins {
            present.insert(k);
        } else {
            present.remove(&k);
        }
        last = station;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facelines::families;
    use crate::linework::Segment;

    /// Distances between the faces of each wall found in a bundle of level lines at these heights.
    fn walls(lines: &[(f64, f64, f64)]) -> Vec<(f64, f64, f64, f64)> {
        let lines: Vec<Segment> =
            lines.iter().map(|(y, x0, x1)| Segment { a: [*x0, *y], b: [*x1, *y] }).collect();
        let f = families(&lines);
        let known =
            |d: f64| [2.5, 3.5, 4.0, 4.5, 5.5, 6.0, 6.5].iter().any(|k| (d - k).abs() < 0.05);
        let thin = |d: f64| d < 3.0;
        let t = Thickness { least: 2.5, greatest: 20.5, framed: 14.0, known: &known, thin: &thin };
        let y = |k: usize| f[0].lines[k].offset;
        strips(&f[0], &t, &Watch::endless())
            .iter()
            .map(|s| (y(s.low), y(s.high), s.from, s.to))
            .collect()
    }

    #[test]
    fn two_walls_with_a_narrow_space_between() {
        let w = walls(&[(0.0, 0.0, 99.0), (4.5, 0.0, 99.0), (8.5, 0.0, 99.0), (13.0, 0.0, 99.0)]);
        assert_eq!(w, [(0.0, 4.5, 0.0, 99.0), (8.5, 13.0, 0.0, 99.0)]);
    }

    #[test]
    fn finishes_outside_studs() {
        let w = walls(&[(0.0, 0.0, 99.0), (0.5, 0.0, 99.0), (4.0, 0.0, 99.0), (4.5, 0.0, 99.0)]);
        assert_eq!(w, [(0.5, 4.0, 0.0, 99.0)]);
    }

    #[test]
    fn insulation_outside_studs_is_no_wall() {
        // 2-1/2 in of it, as long as a 2x3 wall is thick; a partition stops the studs' inner face.
        let faces = [(0.0, 0.0, 99.0), (2.5, 2.5, 96.5)];
        let mut lines = faces.to_vec();
        lines.extend([(8.0, 8.0, 40.0), (8.0, 44.5, 91.0)]);
        assert_eq!(walls(&lines), [(2.5, 8.0, 8.0, 40.0), (2.5, 8.0, 44.5, 91.0)]);
        // By itself it is a wall, and so is a short one that goes on from another one's face.
        assert_eq!(walls(&faces), [(0.0, 2.5, 2.5, 96.5)]);
        let jog = walls(&[(0.0, 0.0, 60.0), (4.5, 0.0, 75.0), (9.0, 60.0, 75.0)]);
        assert_eq!(jog, [(0.0, 4.5, 0.0, 60.0), (4.5, 9.0, 60.0, 75.0)]);
    }

    #[test]
    fn a_line_beside_a_wall_is_no_wall() {
        // A shelf 11 in off, shorter than the wall.
        let w = walls(&[(0.0, 0.0, 99.0), (4.5, 0.0, 99.0), (15.5, 20.0, 60.0)]);
        assert_eq!(w, [(0.0, 4.5, 0.0, 99.0)]);
    }

    #[test]
    fn a_wall_that_gets_thicker_changes_partners() {
        let w = walls(&[(0.0, 0.0, 200.0), (4.5, 0.0, 100.0), (6.5, 100.0, 200.0)]);
        assert_eq!(w, [(0.0, 4.5, 0.0, 100.0), (0.0, 6.5, 100.0, 200.0)]);
    }

    #[test]
    fn glazing_lines_do_not_break_a_wall() {
        let w = walls(&[(0.0, 0.0, 99.0), (2.25, 30.0, 60.0), (4.5, 0.0, 99.0)]);
        assert_eq!(w, [(0.0, 4.5, 0.0, 99.0)]);
    }
}
