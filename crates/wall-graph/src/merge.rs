//! Walls drawn twice, walls beside each other on one line, walls inside other walls.

use crate::body::{away, taken_off};
use crate::crowd::TRIFLE;
use crate::line::{Line, drawn_name};
use crate::listed::Listed;
use crate::nodes::Network;
use crate::order;
use crate::pairs::{self, Bounds};
use crate::touch::{self, PARALLEL, Touches};
use crate::widths::Widths;
use diag::words::{counted, was};
use diag::{Finding, codes::graph};
use geom::{Frame, Length, Point};
use lumber::Section;
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use wall_model::WallId;

/// Overlaps below this are rounding or drafting noise; strips this narrow are no plate.
pub(crate) const SLIVER: Length = Length::sixty_fourths(2);

/// Lines of one exact direction; opposite directions together.
struct Parallel {
    /// Starts at the plan origin, so an offset is the line's place sideways.
    frame: Frame,
    /// Offset, as a number in the same order, and line; by offset.
    lines: ByOffset,
}

type ByOffset = Vec<(u64, u32)>;

fn parallel_groups(lines: &[Line]) -> Vec<Parallel> {
    let mut numbers: FxHashMap<(u64, u64), usize> = FxHashMap::default();
    let mut groups: Vec<((u64, u64), ByOffset)> = Vec::new();
    for (l, i) in lines.iter().zip(0..) {
        let (mut x, mut y) = (l.dir.0, l.dir.1);
        if x < 0.0 || (x == 0.0 && y < 0.0) {
            (x, y) = (-x, -y);
        }
        let key = ((x + 0.0).to_bits(), (y + 0.0).to_bits()); // no negative zero
        let next = groups.len();
        let number = *numbers.entry(key).or_insert(next);
        if number == next {
            groups.push((key, Vec::new()));
        }
        groups[number].1.push((0, i));
    }
    groups.sort_unstable_by_key(|g| g.0);
    let groups = groups.into_iter().map(|((x, y), own)| {
        let dir = (f64::from_bits(x), f64::from_bits(y));
        let mut group = Parallel { frame: Frame::along(Point::default(), dir), lines: own };
        group.put_in_order(lines);
        group
    });
    groups.collect()
}

impl Parallel {
    fn put_in_order(&mut self, lines: &[Line]) {
        let Parallel { frame, lines: own } = self;
        for (offset, i) in own.iter_mut() {
            *offset = order::unsigned(frame.locate(lines[*i as usize].a).1.nm());
        }
        order::by_number(own, |l| l.0);
    }
}

/// Brings walls that nearly follow one line onto it, and joins those that overlap there. `widest` is what a wall takes up
/// at most.
pub(crate) fn align_and_merge(
    lines: &mut Vec<Line>,
    widest: Length,
    snap: Length,
    findings: &mut Vec<Finding>,
) {
    let mut groups = parallel_groups(lines);
    for group in &mut groups {
        if align(lines, group, snap, snap + widest) {
            group.put_in_order(lines);
        }
    }
    merge(lines, &groups, snap, findings);
}

/// Walls on one line, more than one, by number.
pub(crate) fn rows(lines: &[Line]) -> Vec<Vec<usize>> {
    let groups = parallel_groups(lines);
    let on_one = groups.iter().flat_map(|g| g.lines.chunk_by(|a, b| a.0 == b.0));
    let number = |row: &[(u64, u32)]| row.iter().map(|(_, i)| *i as usize).collect();
    on_one.filter(|row| row.len() > 1).map(number).collect()
}

/// Brings walls that follow one line, and nearly do, onto it: parallel walls that touch, overlap or
/// have no more than a crossing wall between them, and lie within the snap tolerance sideways. The
/// place that the most length already has wins. Whether any moved.
fn align(lines: &mut [Line], group: &Parallel, snap: Length, apart: Length) -> bool {
    let (placed, snap) = (&group.lines, snap.nm() as u64);
    let mut any = false;
    let mut from = 0;
    while from < placed.len() {
        let mut to = from + 1;
        while to < placed.len() && placed[to].0 - placed[from].0 <= snap {
            to += 1;
        }
        if placed[from].0 < placed[to - 1].0 {
            any |= align_band(lines, &group.frame, &placed[from..to], apart);
        }
        from = to;
    }
    any
}

/// One band no wider than the tolerance: each chain of walls that touch goes onto one line. Whether any
/// moved.
fn align_band(lines: &mut [Line], frame: &Frame, band: &[(u64, u32)], apart: Length) -> bool {
    let mut by_start: Vec<(Length, Length, Length, usize)> = band
        .iter()
        .map(|(_, i)| {
            let l = &lines[*i as usize];
            let ((s, o), t) = (frame.locate(l.a), frame.locate(l.b).0);
            (s.min(t), s.max(t), o, *i as usize)
        })
        .collect();
    by_start.sort();
    let mut any = false;
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
                any = true;
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
    any
}

/// What walls have in common whose plates may be the same: section, base, level top.
type Plates = (Section, Length, Option<Length>);

/// Joins walls of the same plates that overlap on one line: drawn twice, or drawn in overlapping
/// parts. The joined wall keeps every source and opening. Where they meet end to end within the
/// tolerance, the seam becomes one place.
fn merge(lines: &mut Vec<Line>, groups: &[Parallel], snap: Length, findings: &mut Vec<Finding>) {
    let mut gone = vec![false; lines.len()];
    let (mut listed, mut example) = (Listed::default(), None);
    let mut placed = Vec::new();
    for group in groups {
        let frame = &group.frame;
        // Walls on one line.
        for row in group.lines.chunk_by(|a, b| a.0 == b.0).filter(|row| row.len() > 1) {
            placed.clear();
            placed.extend(row.iter().map(|(_, i)| {
                let l = &lines[*i as usize];
                let (s, t) = (frame.locate(l.a).0, frame.locate(l.b).0);
                let plates = (l.section, l.base, l.level_top());
                (plates, s.min(t), s.max(t), l.wall, *i as usize)
            }));
            placed.sort();
            let mut before: Option<(Plates, Length, usize)> = None; // plates, reach, line
            for (key, s, t, _, i) in placed.iter().copied() {
                let same = |line: usize| lines[line].same_plates(&lines[i]);
                match before.filter(|(k, _, line)| *k == key && same(*line)) {
                    Some((_, reach, into)) if reach - s > snap => {
                        let taken = lines[i].clone();
                        lines[into].absorb(&taken);
                        gone[i] = true;
                        listed.add(taken.wall, || taken.source());
                        example.get_or_insert_with(|| (taken.a, taken.source().to_vec()));
                        before = Some((key, reach.max(t), into));
                    }
                    same_plates => {
                        if let Some((_, reach, line)) = same_plates
                            && (reach - s).abs() <= snap
                        {
                            let offset = frame.locate(lines[i].a).1;
                            meet_at(&mut lines[line], frame.at(s, offset));
                        }
                        before = Some((key, t, i));
                    }
                }
            }
        }
    }
    let count = listed.count;
    if let Some((at, source)) = example {
        findings.push(
            Finding::new(
                graph::WALLS_MERGED,
                format!(
                    "{} drawn over another wall on the same line {} joined with it, for example {}.",
                    counted(count, "wall"),
                    was(count),
                    drawn_name(&source)
                ),
            )
            .at(at)
            .from(&listed.sources()),
        );
    }
    if count > 0 {
        let mut keep = gone.iter().map(|g| !g);
        lines.retain(|_| keep.next().unwrap_or(true));
    }
}

/// Brings the nearer end of a line to a point on it: a seam is one place for both walls.
pub(crate) fn meet_at(line: &mut Line, seam: Point) {
    let (station, length) = (line.frame().locate(seam).0, line.length());
    if station.abs() < (length - station).abs() {
        line.set_ends(station, length);
    } else {
        line.set_ends(Length::ZERO, station);
    }
}

/// Leaves out walls that cannot have plates of their own: those that lie within the walls at their
/// ends, and the lesser of two that lie on each other. Returns whether any went; if not, the network knows of those that
/// may lie in each other by less.
pub(crate) fn leave_out_swallowed(
    lines: &mut Vec<Line>,
    widths: &Widths,
    network: &mut Network,
    touches: &Touches,
    findings: &mut Vec<Finding>,
) -> bool {
    let most_taken = widths.taken_at_right_angles();
    // By number.
    let mut out: BTreeMap<WallId, Finding> = BTreeMap::new();
    for (i, l) in lines.iter().enumerate() {
        if let Some(why) = swallowed_at_ends(lines, network, i, most_taken) {
            let name = drawn_name(l.source());
            let mut text =
                format!("Wall {name} {why}; it has no plates of its own and was left out.");
            let tied = joined_by(lines, network, i).map(|two| is_tied(lines, two));
            if let Some(tied) = tied {
                text += &format!(
                    " The plates of the two walls it joined stop at its centreline, {} short of its outer face, and {}.",
                    l.half_width().feet_inches(),
                    if tied {
                        "are tied there end to end"
                    } else {
                        "nothing ties them to each other"
                    }
                );
            }
            let mut f = Finding::new(graph::WALL_SWALLOWED, text);
            if tied == Some(false) {
                f = f.severity(diag::Severity::Error);
            }
            out.insert(l.wall, f.at(l.a).from(l.source()));
        }
    }
    let beside = beside_each_other(lines, widths, network, touches);
    for [i, j] in beside.inside {
        let (l, m) = (&lines[i], &lines[j]);
        if out.contains_key(&l.wall) || out.contains_key(&m.wall) {
            continue;
        }
        // Of two alike the one of the greater number.
        let (l, m) = if l.length() < m.length() { (l, m) } else { (m, l) };
        let f = Finding::new(
            graph::WALLS_OVERLAP,
            format!(
                "Wall {} lies partly inside wall {}; both cannot be framed, so the shorter one was left out.",
                drawn_name(l.source()),
                drawn_name(m.source())
            ),
        );
        out.insert(l.wall, f.at(l.a).from(l.source()).from(m.source()));
    }
    if out.is_empty() {
        network.unmet.extend(beside.nearly);
        return false;
    }
    lines.retain(|l| !out.contains_key(&l.wall));
    findings.extend(out.into_values());
    true
}

/// Why a wall has no length left between the walls it meets, if it has none.
fn swallowed_at_ends(
    lines: &[Line],
    network: &Network,
    i: usize,
    most_taken: Option<Length>,
) -> Option<&'static str> {
    let on = &network.on_line[i];
    let (first, last) = (on.first()?, on.last()?);
    if first.node == last.node {
        return Some("is shorter than the snap tolerance");
    }
    let long = |taken: Length| last.station - first.station - taken * 2 >= SLIVER;
    if most_taken.is_some_and(long) {
        return None;
    }
    let whole = last.station - first.station;
    let clear = taken_off(lines, network, i)?.map(|[at_first, at_last]| whole - at_first - at_last);
    (clear[0].min(clear[1]) < SLIVER).then_some("lies within the walls at its ends")
}

/// The two walls that a jog alone joins: they go on either way from it, beside each other's lines.
fn joined_by(lines: &[Line], network: &Network, i: usize) -> Option<[usize; 2]> {
    let on = &network.on_line[i];
    let (first, last) = (on.first()?, on.last()?);
    // The other wall of a corner, and its direction away from it.
    let other = |node: usize| {
        let [j] = network.at(node).filter(|j| *j != i).collect::<Vec<_>>()[..] else {
            return None;
        };
        Some((j, lines[j].dir, away(network, j, node)?))
    };
    let ((j, d, one), (k, e, two)) = other(first.node).zip(other(last.node))?;
    let jog = on.len() == 2 && d.cross(e).abs() < PARALLEL && d.dot(e) * one * two < 0.0;
    jog.then_some([j, k])
}

/// Whether two walls whose ends lie beside each other share enough of them to be tied.
fn is_tied(lines: &[Line], [j, k]: [usize; 2]) -> bool {
    let (l, m) = (&lines[j], &lines[k]);
    touch::shared_ends(l, m, l.frame().locate(m.a).1.abs()) >= touch::SHARED
}

/// Pairs of parallel walls whose framing overlaps, by number.
#[derive(Default)]
struct Beside {
    /// So that only one of the two can be framed.
    inside: Vec<[usize; 2]>,
    /// By less than a sliver along or aside, or with the corners at their ends.
    nearly: Vec<[u32; 2]>,
}

fn beside_each_other(
    lines: &[Line],
    widths: &Widths,
    network: &Network,
    touches: &Touches,
) -> Beside {
    let ends = |i: usize| {
        let on = &network.on_line[i];
        let node = |k: usize| network.nodes[k];
        match (on.first(), on.last()) {
            (Some(a), Some(b)) => (node(a.node), node(b.node)),
            _ => (lines[i].a, lines[i].b),
        }
    };
    let widest = (widths.framed * 2).nm();
    let mut found = Beside::default();
    let mut look = |[i, j]: [usize; 2]| {
        let (l, m) = (&lines[i], &lines[j]);
        if l.dir.cross(m.dir).abs() >= PARALLEL {
            return;
        }
        let ((a, b), (c, d)) = (ends(i), ends(j));
        if !Bounds::of(a, b).near(&Bounds::of(c, d), widest) {
            return;
        }
        let f = l.frame();
        let ((s1, o1), (s2, o2)) = (f.locate(c), f.locate(d));
        // A node where a wall meets another end to end may lie aside of the wall's own line, on either side.
        let own_line = m.frame();
        let offset = |p: Point| f.locate(own_line.at(own_line.locate(p).0, Length::ZERO)).1;
        let off = (o1 + o2).half().abs().min((offset(c) + offset(d)).half().abs());
        let (own1, own2) = (f.locate(a).0, f.locate(b).0);
        let shared = s1.max(s2).min(own2) - s1.min(s2).max(own1);
        let both = l.half_width() + m.half_width();
        let aside = both - off;
        if shared > SLIVER && aside > SLIVER {
            found.inside.push([i, j]);
        } else if shared > -both && aside > TRIFLE && off > SLIVER {
            // A corner may carry either on by as much as half of what it meets.
            found.nearly.push([i as u32, j as u32]);
        }
    };
    let moved = |(i, l): (usize, &Line)| {
        let (a, b) = ends(i);
        let apart = |p: Point, q: Point| (p.x - q.x).abs().max((p.y - q.y).abs()).nm();
        apart(a, l.a).max(apart(b, l.b))
    };
    let farthest = lines.iter().enumerate().map(moved).max().unwrap_or(0);
    if farthest.saturating_mul(2).saturating_add(widest) <= touches.beside {
        // No two came near each other that were not so before.
        touches.parallel.iter().for_each(|pair| look(pair.map(|i| i as usize)));
    } else {
        let bounds = |i: usize| {
            let (a, b) = ends(i);
            Bounds::of(a, b)
        };
        pairs::near(lines.len(), bounds, widest, |i, j| look(touch::lesser_first(lines, [i, j])));
    }
    found.inside.sort_unstable_by_key(|pair| pair.map(|i| lines[i].wall));
    found.nearly.sort_unstable_by_key(|pair| touch::numbers(lines, *pair));
    found
}
