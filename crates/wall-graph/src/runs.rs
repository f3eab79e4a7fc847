//! Lines chained into runs, nodes classified as junctions.

use crate::line::{Dir, Line, direction};
use crate::nodes::Network;
use geom::{Frame, Length, Point};
use rustc_hash::FxHashMap;
use smallvec::{SmallVec, smallvec};
use wall_model::StoreyId;
use wall_model::floor::{
    Arm, ArmAt, Floor, FloorWall, IN_LINE, Junction, JunctionId, JunctionKind, Run, RunId,
};

/// A stretch of one line between two nodes where runs may change.
struct Stretch {
    line: usize,
    /// Positions in `on_line[line]`.
    from: usize,
    to: usize,
}

/// What passes straight through a node: one line, or two of the same plates end to end.
struct Passing {
    dir: Dir,
    top: Length,
    lines: SmallVec<[usize; 2]>,
}

/// Adds the storey's walls, runs and junctions to the floor; numbering is settled by [`finish`].
/// `said` gets what the drawing says of each wall being exterior, in step with `floor.walls`.
pub(crate) fn add_storey(
    floor: &mut Floor,
    said: &mut Vec<Option<bool>>,
    storey: StoreyId,
    lines: &[Line],
    n: &Network,
) {
    let passing: Vec<Vec<Passing>> = (0..n.nodes.len()).map(|k| passing_at(lines, n, k)).collect();
    let stretches = cut_at_taller(lines, n, &passing);
    let chains = chain(n, &passing, &stretches);

    let mut arms_at: Vec<Vec<Arm>> = vec![Vec::new(); n.nodes.len()];
    let mut passes: Vec<(RunId, Length, usize)> = Vec::new();
    for mut chain in chains {
        face_up(lines, n, &stretches, &mut chain);
        let run = RunId(floor.runs.len() as u32);
        let nodes: Vec<usize> =
            chain.iter().flat_map(|(s, f)| nodes_along(n, &stretches[*s], *f)).collect();
        let (Some(&first), Some(&last)) = (nodes.first(), nodes.last()) else { continue };
        let (Some(start), Some(end)) = (
            chain_end(lines, n, &stretches, &chain, true),
            chain_end(lines, n, &stretches, &chain, false),
        ) else {
            continue;
        };
        let Some(frame) = Frame::between(start, end) else { continue };
        let plates = &lines[stretches[chain[0].0].line];
        let on_run = |k: usize| match k {
            k if k == first => start,
            k if k == last => end,
            k => frame.at(frame.locate(n.nodes[k]).0, Length::ZERO),
        };
        let mut walls = Vec::new();
        for (s, forward) in &chain {
            let st = &stretches[*s];
            walls.push(floor.walls.len() as u32);
            floor.walls.push(wall_of(lines, n, st, *forward, storey, run, &on_run));
            said.push(lines[st.line].exterior);
        }
        arms_at[first].push(Arm { run, at: ArmAt::Start });
        arms_at[last].push(Arm { run, at: ArmAt::End });
        let mut inside: Vec<usize> =
            nodes.iter().copied().filter(|k| *k != first && *k != last).collect();
        inside.dedup();
        for k in inside {
            arms_at[k].push(Arm { run, at: ArmAt::Through });
            passes.push((run, frame.locate(n.nodes[k]).0, k));
        }
        floor.runs.push(Run {
            storey,
            start,
            end,
            section: plates.section,
            base: plates.base,
            top: plates.top,
            walls,
            // Settled below, once the junctions have numbers.
            start_junction: JunctionId(first as u32),
            end_junction: JunctionId(last as u32),
            through: Vec::new(),
        });
    }

    // A node that one run passes and nothing else meets is no junction.
    let mut number: FxHashMap<u32, JunctionId> = FxHashMap::default();
    for (k, mut arms) in arms_at.into_iter().enumerate() {
        if arms.is_empty() || matches!(arms[..], [Arm { at: ArmAt::Through, .. }]) {
            continue;
        }
        arms.sort();
        number.insert(k as u32, JunctionId(floor.junctions.len() as u32));
        let (kind, angle_deg) = classify(floor, &arms);
        let tops = arms.iter().map(|a| floor.run(a.run).top);
        let step = tops.clone().max().unwrap_or_default() - tops.min().unwrap_or_default();
        floor.junctions.push(Junction { storey, at: n.nodes[k], kind, arms, angle_deg, step });
    }
    for r in floor.runs.iter_mut().filter(|r| r.storey == storey) {
        for j in [&mut r.start_junction, &mut r.end_junction] {
            *j = number.get(&j.0).copied().unwrap_or(*j);
        }
    }
    for (run, station, k) in passes {
        if let Some(j) = number.get(&(k as u32)) {
            floor.runs[run.0 as usize].through.push((station, *j));
        }
    }
}

fn passing_at(lines: &[Line], n: &Network, node: usize) -> Vec<Passing> {
    let mut out = Vec::new();
    let mut ending: Vec<(usize, Dir)> = Vec::new();
    for &i in &n.at_node[node] {
        let on = &n.on_line[i];
        let l = &lines[i];
        match on.iter().position(|o| o.node == node) {
            Some(0) => ending.push((i, l.dir)),
            Some(p) if p + 1 == on.len() => ending.push((i, Dir(-l.dir.0, -l.dir.1))),
            Some(_) => out.push(Passing { dir: l.dir, top: l.top, lines: smallvec![i] }),
            None => {}
        }
    }
    let mut used = vec![false; ending.len()];
    for a in 0..ending.len() {
        for b in a + 1..ending.len() {
            let ((i, d), (j, e)) = (ending[a], ending[b]);
            if !used[a]
                && !used[b]
                && d.dot(e) < 0.0
                && d.cross(e).abs() < IN_LINE
                && lines[i].same_plates(&lines[j])
            {
                (used[a], used[b]) = (true, true);
                out.push(Passing { dir: d, top: lines[i].top, lines: smallvec![i, j] });
            }
        }
    }
    out
}

/// A run stops at a taller one that crosses it: neither of its top plates can go on there.
fn stops_here(passing: &[Passing], p: &Passing) -> bool {
    passing.iter().any(|q| q.top > p.top && q.dir.cross(p.dir).abs() >= IN_LINE)
}

fn cut_at_taller(lines: &[Line], n: &Network, passing: &[Vec<Passing>]) -> Vec<Stretch> {
    let mut out = Vec::new();
    for (line, on) in n.on_line.iter().enumerate().take(lines.len()) {
        let mut from = 0;
        for to in 1..on.len() {
            let here = &passing[on[to].node];
            let cut = to + 1 == on.len()
                || here.iter().any(|p| p.lines[..] == [line] && stops_here(here, p));
            if cut {
                out.push(Stretch { line, from, to });
                from = to;
            }
        }
    }
    out
}

fn nodes_along(n: &Network, s: &Stretch, forward: bool) -> Vec<usize> {
    let mut nodes: Vec<usize> = n.on_line[s.line][s.from..=s.to].iter().map(|o| o.node).collect();
    if !forward {
        nodes.reverse();
    }
    nodes
}

/// Where a chain starts or ends: its node as it lies on the chain's own line. Walls with a face flush
/// share a node though their centrelines pass beside each other; neither is bent to it.
fn chain_end(
    lines: &[Line],
    n: &Network,
    stretches: &[Stretch],
    chain: &[(usize, bool)],
    start: bool,
) -> Option<Point> {
    let (s, forward) = if start { *chain.first()? } else { *chain.last()? };
    let st = &stretches[s];
    let on = n.on_line[st.line][if forward == start { st.from } else { st.to }];
    Some(lines[st.line].frame().at(on.station, Length::ZERO))
}

/// Turns a chain so that it looks from its lesser end to its greater.
fn face_up(lines: &[Line], n: &Network, stretches: &[Stretch], chain: &mut [(usize, bool)]) {
    if chain_end(lines, n, stretches, chain, false) < chain_end(lines, n, stretches, chain, true) {
        chain.reverse();
        chain.iter_mut().for_each(|(_, f)| *f = !*f);
    }
}

/// Chains of stretches, each with whether it is followed forward.
fn chain(n: &Network, passing: &[Vec<Passing>], stretches: &[Stretch]) -> Vec<Vec<(usize, bool)>> {
    // The stretch that ends at a node, by line.
    let mut at: FxHashMap<(usize, usize), usize> = FxHashMap::default();
    for (s, st) in stretches.iter().enumerate() {
        let on = &n.on_line[st.line];
        if st.from == 0 {
            at.insert((on[st.from].node, st.line), s);
        }
        if st.to + 1 == on.len() {
            at.insert((on[st.to].node, st.line), s);
        }
    }
    let mut next: FxHashMap<(usize, usize), usize> = FxHashMap::default(); // (stretch, node) -> stretch
    for (node, here) in passing.iter().enumerate() {
        for p in here {
            let [i, j] = p.lines[..] else { continue };
            if stops_here(here, p) {
                continue;
            }
            if let (Some(&a), Some(&b)) = (at.get(&(node, i)), at.get(&(node, j))) {
                next.insert((a, node), b);
                next.insert((b, node), a);
            }
        }
    }
    let mut done = vec![false; stretches.len()];
    let mut chains = Vec::new();
    let ends = |s: usize| {
        let st = &stretches[s];
        let on = &n.on_line[st.line];
        (on[st.from].node, on[st.to].node)
    };
    // Walls in line never close a ring, so every chain has an end to begin at.
    for s in 0..stretches.len() {
        let (from, to) = ends(s);
        let begins =
            [(from, true), (to, false)].into_iter().find(|(k, _)| !next.contains_key(&(s, *k)));
        let Some((mut node, mut forward)) = begins.filter(|_| !done[s]) else { continue };
        let mut chain = Vec::new();
        let mut current = s;
        loop {
            done[current] = true;
            chain.push((current, forward));
            let (a, b) = ends(current);
            node = if node == a { b } else { a };
            match next.get(&(current, node)) {
                Some(&k) if !done[k] => {
                    current = k;
                    forward = ends(k).0 == node;
                }
                _ => break,
            }
        }
        chains.push(chain);
    }
    debug_assert!(done.iter().all(|d| *d), "a chain in line closed on itself");
    chains
}

fn wall_of(
    lines: &[Line],
    n: &Network,
    s: &Stretch,
    forward: bool,
    storey: StoreyId,
    run: RunId,
    on_run: &impl Fn(usize) -> Point,
) -> FloorWall {
    let l = &lines[s.line];
    let on = &n.on_line[s.line];
    let (from, to) = (on[s.from], on[s.to]);
    let (mut start, mut end) = (on_run(from.node), on_run(to.node));
    let length = to.station - from.station;
    let mut openings: Vec<_> = l
        .openings
        .iter()
        .filter_map(|o| {
            let mut o = o.clone();
            (o.from, o.to) =
                ((o.from - from.station).max(Length::ZERO), (o.to - from.station).min(length));
            (o.from < o.to).then_some(o)
        })
        .collect();
    if !forward {
        (start, end) = (end, start);
        for o in &mut openings {
            (o.from, o.to) = (length - o.to, length - o.from);
        }
        openings.sort_by_key(|o| (o.from, o.to, o.kind));
    }
    FloorWall {
        storey,
        start,
        end,
        drawn_thickness: l.drawn_thickness,
        section: l.section,
        base: l.base,
        top: l.top,
        exterior: false,
        bearing: l.bearing,
        run,
        openings,
        source: l.source.clone(),
        wall: l.wall,
    }
}

/// The directions away from a junction, by arm.
pub(crate) fn rays(floor: &Floor, arms: &[Arm]) -> Vec<Dir> {
    let mut out = Vec::new();
    for a in arms {
        let r = floor.run(a.run);
        let d = direction(r.start, r.end);
        if a.at != ArmAt::End {
            out.push(d);
        }
        if a.at != ArmAt::Start {
            out.push(Dir(-d.0, -d.1));
        }
    }
    out
}

fn classify(floor: &Floor, arms: &[Arm]) -> (JunctionKind, f64) {
    let rays = rays(floor, arms);
    let angle = |a: Dir, b: Dir| {
        let sine = a.cross(b);
        // Exact words for the exact cases.
        match (sine, a.dot(b)) {
            (0.0, c) if c < 0.0 => 180.0,
            (0.0, _) => 0.0,
            (_, 0.0) => 90.0,
            (s, c) => s.abs().atan2(c).to_degrees(),
        }
    };
    let in_line = |a: Dir, b: Dir| a.dot(b) < 0.0 && a.cross(b).abs() < IN_LINE;
    let mut pairs = Vec::new();
    for i in 0..rays.len() {
        for j in i + 1..rays.len() {
            if in_line(rays[i], rays[j]) {
                pairs.push((i, j));
            }
        }
    }
    let lesser = |a: Dir, b: Dir| {
        let x = angle(a, b);
        x.min(180.0 - x)
    };
    match (rays.len(), &pairs[..]) {
        (1, _) => (JunctionKind::End, 0.0),
        (2, [_]) => (JunctionKind::Inline, 180.0),
        (2, _) => (JunctionKind::L, angle(rays[0], rays[1])),
        (3, [(i, j)]) => {
            let stem = rays[3 - i - j];
            (JunctionKind::T, lesser(rays[*i], stem))
        }
        (4, [(i, j), (k, l)]) if i != k && i != l && j != k && j != l => {
            (JunctionKind::X, lesser(rays[*i], rays[*k]))
        }
        _ => {
            let mut at: Vec<f64> = rays.iter().map(|d| d.1.atan2(d.0).to_degrees()).collect();
            at.sort_by(f64::total_cmp);
            let wrap = at.first().map_or(0.0, |f| f + 360.0);
            let next = at.iter().skip(1).copied().chain([wrap]);
            let least = at.iter().zip(next).map(|(a, b)| b - a).fold(360.0, f64::min);
            (JunctionKind::Other, least)
        }
    }
}

/// Puts walls, runs and junctions into canonical order and renumbers; `said` follows the walls.
pub(crate) fn finish(floor: &mut Floor, said: &mut Vec<Option<bool>>) {
    let run_order = order(&floor.runs, |r| (r.storey, r.start, r.end, r.section, r.base, r.top));
    let wall_order = order(&floor.walls, |w| (w.storey, w.start, w.end, w.section, w.base, w.top));
    let junction_order = order(&floor.junctions, |j| (j.storey, j.at));
    let (new_run, new_wall, new_junction) =
        (inverse(&run_order), inverse(&wall_order), inverse(&junction_order));
    let junction = |j: JunctionId| JunctionId(new_junction[j.0 as usize]);
    floor.runs = run_order.iter().map(|i| floor.runs[*i].clone()).collect();
    floor.walls = wall_order.iter().map(|i| floor.walls[*i].clone()).collect();
    *said = wall_order.iter().map(|i| said[*i]).collect();
    floor.junctions = junction_order.iter().map(|i| floor.junctions[*i].clone()).collect();
    for r in &mut floor.runs {
        r.walls.iter_mut().for_each(|w| *w = new_wall[*w as usize]);
        r.start_junction = junction(r.start_junction);
        r.end_junction = junction(r.end_junction);
        r.through.iter_mut().for_each(|(_, j)| *j = junction(*j));
        r.through.sort();
    }
    for w in &mut floor.walls {
        w.run = RunId(new_run[w.run.0 as usize]);
    }
    for j in &mut floor.junctions {
        j.arms.iter_mut().for_each(|a| a.run = RunId(new_run[a.run.0 as usize]));
        j.arms.sort();
    }
}

fn order<T, K: Ord>(items: &[T], key: impl Fn(&T) -> K) -> Vec<usize> {
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by_key(|i| key(&items[*i]));
    order
}

fn inverse(order: &[usize]) -> Vec<u32> {
    let mut out = vec![0; order.len()];
    for (new, old) in order.iter().enumerate() {
        out[*old] = new as u32;
    }
    out
}

/// The point of a station on a run.
pub(crate) fn on_run(r: &Run, station: Length) -> Point {
    r.frame().at(station, Length::ZERO)
}
