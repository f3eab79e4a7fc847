//! Walls drawn twice, walls beside each other on one line, walls inside other walls.

use crate::line::{Line, drawn_name};
use crate::nodes::Network;
use crate::pairs::{self, Bounds};
use crate::touch::PARALLEL;
use diag::{Finding, codes::graph};
use geom::{Frame, Length, Point};
use std::collections::BTreeMap;

/// Overlaps below this are rounding or drafting noise; strips this narrow are no plate.
const SLIVER: Length = Length::sixty_fourths(2);

/// Lines by exact direction; opposite directions together. The frame of a group starts at the plan
/// origin, so an offset is the line's place sideways.
fn parallel_groups(lines: &[Line]) -> Vec<(Frame, Vec<usize>)> {
    let keyed = lines.iter().enumerate().map(|(i, l)| {
        let (mut x, mut y) = (l.dir.0, l.dir.1);
        if x < 0.0 || (x == 0.0 && y < 0.0) {
            (x, y) = (-x, -y);
        }
        (x, y) = (x + 0.0, y + 0.0); // no negative zero
        (x.to_bits(), y.to_bits(), i)
    });
    let mut keyed: Vec<_> = keyed.collect();
    keyed.sort_unstable();
    let groups = keyed.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).map(|group| {
        let dir = (f64::from_bits(group[0].0), f64::from_bits(group[0].1));
        (Frame::along(Point::default(), dir), group.iter().map(|k| k.2).collect())
    });
    groups.collect()
}

/// Brings walls that follow one line, and nearly do, onto it: parallel walls that touch, overlap or
/// have no more than a crossing wall between them, and lie within the snap tolerance sideways. The
/// place that the most length already has wins.
pub(crate) fn align(lines: &mut [Line], snap: Length) {
    let widest = lines.iter().map(Line::half_drawn).max().unwrap_or_default() * 2;
    for (frame, members) in parallel_groups(lines) {
        let mut placed: Vec<(Length, Length, Length, usize)> = members
            .into_iter()
            .map(|i| {
                let (s, o) = frame.locate(lines[i].a);
                let t = frame.locate(lines[i].b).0;
                (o, s.min(t), s.max(t), i)
            })
            .collect();
        placed.sort();
        let mut from = 0;
        while from < placed.len() {
            let mut to = from + 1;
            while to < placed.len()
                && placed[to].0 - placed[to - 1].0 <= snap
                && placed[to].0 - placed[from].0 <= snap
            {
                to += 1;
            }
            align_band(lines, &frame, &placed[from..to], snap + widest);
            from = to;
        }
    }
}

/// One band no wider than the tolerance: each chain of walls that touch goes onto one line.
fn align_band(
    lines: &mut [Line],
    frame: &Frame,
    band: &[(Length, Length, Length, usize)],
    apart: Length,
) {
    let mut by_start: Vec<_> = band.iter().map(|(o, s, t, i)| (*s, *t, *o, *i)).collect();
    by_start.sort();
    let mut chain: Vec<(Length, Length, usize)> = Vec::new(); // offset, length, line
    let mut reached = Length::ZERO;
    let mut flush = |chain: &mut Vec<(Length, Length, usize)>| {
        let mut weight: BTreeMap<Length, Length> = BTreeMap::new();
        for (o, len, _) in chain.iter() {
            *weight.entry(*o).or_default() += *len;
        }
        let best = weight.iter().max_by_key(|(o, len)| (**len, -**o)).map(|(o, _)| *o);
        for (o, _, i) in chain.drain(..) {
            if let Some(target) = best.filter(|t| *t != o) {
                let l = &mut lines[i];
                let (a, b) = (frame.locate(l.a).0, frame.locate(l.b).0);
                l.lay(frame.at(a, target), frame.at(b, target), l.dir);
            }
        }
    };
    for (s, t, o, i) in by_start {
        if !chain.is_empty() && s > reached + apart {
            flush(&mut chain);
            reached = t;
        }
        reached = if chain.is_empty() { t } else { reached.max(t) };
        chain.push((o, t - s, i));
    }
    flush(&mut chain);
}

/// Joins walls of the same plates that overlap on one line: drawn twice, or drawn in overlapping
/// parts. The joined wall keeps every source and opening. Where they meet end to end within the
/// tolerance, the seam becomes one place.
pub(crate) fn merge(lines: &mut Vec<Line>, snap: Length, findings: &mut Vec<Finding>) {
    let mut gone = vec![false; lines.len()];
    let (mut count, mut example) = (0_u32, None);
    for (frame, members) in parallel_groups(lines) {
        let mut placed: Vec<_> = members
            .into_iter()
            .map(|i| {
                let l = &lines[i];
                let (s, o) = frame.locate(l.a);
                let t = frame.locate(l.b).0;
                let key = (l.section, l.base, l.level_top());
                (o, key, s.min(t), s.max(t), i)
            })
            .collect();
        placed.sort();
        let mut current: Option<(Length, Length, usize)> = None; // offset, reach, line
        let mut key = None;
        for (o, k, s, t, i) in placed {
            match current {
                Some((co, reach, into))
                    if co == o
                        && key == Some(k)
                        && reach - s > snap
                        && lines[into].same_plates(&lines[i]) =>
                {
                    let taken = lines[i].clone();
                    lines[into].absorb(&taken);
                    gone[i] = true;
                    count += 1;
                    example.get_or_insert_with(|| (taken.a, taken.source().to_vec()));
                    current = Some((co, reach.max(t), into));
                }
                _ => {
                    if let Some((co, reach, before)) = current
                        && (co == o && key == Some(k) && (reach - s).abs() <= snap)
                        && lines[before].same_plates(&lines[i])
                    {
                        meet_at(&mut lines[before], frame.at(s, o));
                    }
                    current = Some((o, t, i));
                    key = Some(k);
                }
            }
        }
    }
    if let Some((at, source)) = example {
        findings.push(
            Finding::new(
                graph::WALLS_MERGED,
                format!("{count} wall(s) drawn over another wall on the same line were joined with it, for example {}.", drawn_name(&source)),
            )
            .at(at)
            .from(&source),
        );
    }
    let mut keep = gone.iter().map(|g| !g);
    lines.retain(|_| keep.next().unwrap_or(true));
}

/// Brings the nearer end of a line to a point on it: a seam is one place for both walls.
fn meet_at(line: &mut Line, seam: Point) {
    let (station, length) = (line.frame().locate(seam).0, line.length());
    if station.abs() < (length - station).abs() {
        line.set_ends(station, length);
    } else {
        line.set_ends(Length::ZERO, station);
    }
}

/// Leaves out walls that cannot have plates of their own: those that lie within the walls at their
/// ends, and the lesser of two that lie on each other. Returns whether any went.
pub(crate) fn leave_out_swallowed(
    lines: &mut Vec<Line>,
    network: &Network,
    findings: &mut Vec<Finding>,
) -> bool {
    let mut out: BTreeMap<usize, Finding> = BTreeMap::new();
    for (i, l) in lines.iter().enumerate() {
        if let Some(why) = swallowed_at_ends(lines, network, i) {
            let name = drawn_name(l.source());
            let f = Finding::new(
                graph::WALL_SWALLOWED,
                format!("Wall {name} {why}; it has no plates of its own and was left out."),
            );
            out.insert(i, f.at(l.a).from(l.source()));
        }
    }
    for (i, j) in beside_each_other(lines, network) {
        if out.contains_key(&i) || out.contains_key(&j) {
            continue;
        }
        let (less, more) =
            if (lines[i].length(), j) < (lines[j].length(), i) { (i, j) } else { (j, i) };
        let (l, m) = (&lines[less], &lines[more]);
        let f = Finding::new(
            graph::WALLS_OVERLAP,
            format!(
                "Wall {} lies partly inside wall {}; both cannot be framed, so the shorter one was left out.",
                drawn_name(l.source()),
                drawn_name(m.source())
            ),
        );
        out.insert(less, f.at(l.a).from(l.source()).from(m.source()));
    }
    let any = !out.is_empty();
    let mut index = 0;
    lines.retain(|_| {
        index += 1;
        !out.contains_key(&(index - 1))
    });
    findings.extend(out.into_values());
    any
}

/// Why a wall has no length left between the walls it meets, if it has none.
fn swallowed_at_ends(lines: &[Line], network: &Network, i: usize) -> Option<&'static str> {
    let on = &network.on_line[i];
    let (first, last) = (on.first()?, on.last()?);
    if first.node == last.node {
        return Some("is shorter than the snap tolerance");
    }
    let l = &lines[i];
    let taken = |node: usize| {
        let others = network.at_node[node].iter().filter(|j| **j != i);
        others
            .filter_map(|j| {
                let m = &lines[*j];
                let sine = l.dir.cross(m.dir).abs();
                (sine >= PARALLEL).then(|| m.half_width().scale(1.0 / sine))
            })
            .max()
            .unwrap_or_default()
    };
    let clear = last.station - first.station - taken(first.node) - taken(last.node);
    (clear < SLIVER).then_some("lies within the walls at its ends")
}

/// Pairs of parallel walls whose framing overlaps.
fn beside_each_other(lines: &[Line], network: &Network) -> Vec<(usize, usize)> {
    let ends = |i: usize| {
        let on = &network.on_line[i];
        let node = |k: usize| network.nodes[k];
        match (on.first(), on.last()) {
            (Some(a), Some(b)) => (node(a.node), node(b.node)),
            _ => (lines[i].a, lines[i].b),
        }
    };
    let boxes: Vec<Bounds> = (0..lines.len())
        .map(|i| {
            let (a, b) = ends(i);
            Bounds::of(a, b)
        })
        .collect();
    let widest = lines.iter().map(Line::half_width).max().unwrap_or_default() * 2;
    let mut found = Vec::new();
    pairs::near(&boxes, widest.nm(), |i, j| {
        let (l, m) = (&lines[i], &lines[j]);
        if l.dir.cross(m.dir).abs() >= PARALLEL {
            return;
        }
        let f = l.frame();
        let ((a, b), (c, d)) = (ends(i), ends(j));
        let ((s1, o1), (s2, o2)) = (f.locate(c), f.locate(d));
        let (own1, own2) = (f.locate(a).0, f.locate(b).0);
        let shared = s1.max(s2).min(own2) - s1.min(s2).max(own1);
        let sideways = (o1 + o2).half().abs();
        if shared > SLIVER && sideways + SLIVER < l.half_width() + m.half_width() {
            found.push((i, j));
        }
    });
    found.sort_unstable();
    found
}
