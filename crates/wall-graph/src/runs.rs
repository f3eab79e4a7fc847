//! Lines chained into runs, nodes classified as junctions.

use crate::kinds::{Rays, classify, in_line};
use crate::line::{Dir, Line};
use crate::nodes::Network;
use geom::{Frame, Length, Point};
use smallvec::{SmallVec, smallvec};
use wall_model::StoreyId;
use wall_model::floor::{Arm, ArmAt, Floor, FloorWall, IN_LINE, Junction, JunctionId, Run, RunId};

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
    /// Here.
    top: Length,
    raked: bool,
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
    snap: Length,
) {
    let passing: Vec<Passes> = (0..n.nodes.len()).map(|k| passing_at(lines, n, k, snap)).collect();
    let stretches = cut_at_taller(lines, n, &passing);
    let chains = chain(n, &passing, &stretches);

    let first_run = floor.runs.len();
    // Node, the arm there, its direction away from the node (of the run, where it passes).
    let mut arms: Vec<(u32, Arm, Dir)> = Vec::new();
    let mut passes: Vec<(RunId, Length, u32)> = Vec::new();
    let mut nodes: Vec<usize> = Vec::new();
    for mut chain in chains.iter().map(SmallVec::<[(usize, bool); 4]>::from_slice) {
        face_up(lines, n, &stretches, &mut chain);
        let run = RunId(floor.runs.len() as u32);
        nodes.clear();
        for (s, forward) in &chain {
            let st = &stretches[*s];
            let along = n.on_line[st.line][st.from..=st.to].iter().map(|o| o.node);
            if *forward {
                nodes.extend(along);
            } else {
                nodes.extend(along.rev());
            }
        }
        let (Some(&first), Some(&last)) = (nodes.first(), nodes.last()) else { continue };
        let (Some(start), Some(end)) = (
            chain_end(lines, n, &stretches, &chain, true),
            chain_end(lines, n, &stretches, &chain, false),
        ) else {
            continue;
        };
        let Some(frame) = Frame::between(start, end) else { continue };
        let plates = &lines[stretches[chain[0].0].line];
        let top = plates.top_at(start);
        let last_top = chain.last().map_or(top, |(s, _)| lines[stretches[*s].line].top_at(end));
        let on_run = |k: usize| match k {
            k if k == first => start,
            k if k == last => end,
            k => frame.at(frame.locate(n.nodes[k]).0, Length::ZERO),
        };
        let mut walls = Vec::with_capacity(chain.len());
        for (s, forward) in &chain {
            let st = &stretches[*s];
            walls.push(floor.walls.len() as u32);
            floor.walls.push(wall_of(lines, n, st, *forward, storey, run, &on_run));
            said.push(lines[st.line].exterior());
        }
        let dir = Dir(frame.dir().0, frame.dir().1);
        arms.push((first as u32, Arm { run, at: ArmAt::Start }, dir));
        arms.push((last as u32, Arm { run, at: ArmAt::End }, dir.back()));
        nodes.retain(|k| *k != first && *k != last);
        nodes.dedup();
        for k in &nodes {
            arms.push((*k as u32, Arm { run, at: ArmAt::Through }, dir));
            passes.push((run, frame.locate(n.nodes[*k]).0, *k as u32));
        }
        floor.runs.push(Run {
            storey,
            start,
            end,
            section: plates.section,
            base: plates.base,
            top,
            rise: last_top - top,
            walls,
            // Settled below, once the junctions have numbers.
            start_junction: JunctionId(first as u32),
            end_junction: JunctionId(last as u32),
            through: Vec::new(),
        });
    }

    // A node that one run passes and nothing else meets is no junction.
    arms.sort_unstable_by_key(|(k, arm, _)| (*k, *arm));
    let mut number: Vec<Option<JunctionId>> = vec![None; n.nodes.len()];
    for here in arms.chunk_by(|a, b| a.0 == b.0) {
        if let [(_, Arm { at: ArmAt::Through, .. }, _)] = here {
            continue;
        }
        let k = here[0].0 as usize;
        number[k] = Some(JunctionId(floor.junctions.len() as u32));
        let (kind, angle_deg) = classify(&rays(here));
        let tops = here.iter().map(|(_, a, _)| match (a.at, floor.run(a.run)) {
            (ArmAt::Start, r) => r.top,
            (ArmAt::End, r) => r.top + r.rise,
            (ArmAt::Through, r) => r.top_at(r.frame().locate(n.nodes[k]).0),
        });
        let step = tops.clone().max().unwrap_or_default() - tops.min().unwrap_or_default();
        let arms = here.iter().map(|(_, arm, _)| *arm).collect();
        floor.junctions.push(Junction { storey, at: n.nodes[k], kind, arms, angle_deg, step });
    }
    for r in &mut floor.runs[first_run..] {
        for j in [&mut r.start_junction, &mut r.end_junction] {
            *j = number[j.0 as usize].unwrap_or(*j);
        }
    }
    for (run, station, k) in passes {
        if let Some(j) = number[k as usize] {
            floor.runs[run.0 as usize].through.push((station, j));
        }
    }
}

type Passes = SmallVec<[Passing; 2]>;

fn passing_at(lines: &[Line], n: &Network, node: usize, snap: Length) -> Passes {
    let mut out = Passes::new();
    let at = n.nodes[node];
    let passing =
        |dir, l: &Line, lines| Passing { dir, top: l.top_at(at), raked: l.is_raked(), lines };
    let mut ending: SmallVec<[(usize, Dir); 4]> = SmallVec::new();
    for i in n.at(node) {
        let l = &lines[i];
        match n.position(lines, i, node) {
            Some(0) => ending.push((i, l.dir)),
            Some(p) if p + 1 == n.on_line[i].len() => ending.push((i, l.dir.back())),
            Some(_) => out.push(passing(l.dir, l, smallvec![i])),
            None => {}
        }
    }
    let mut used: SmallVec<[bool; 4]> = smallvec![false; ending.len()];
    for a in 0..ending.len() {
        for b in a + 1..ending.len() {
            let ((i, d), (j, e)) = (ending[a], ending[b]);
            let on = |l: &Line, m: &Line| in_line(d, e) && l.goes_on_as(m, snap);
            if !used[a] && !used[b] && on(&lines[i], &lines[j]) {
                (used[a], used[b]) = (true, true);
                out.push(passing(d, &lines[i], smallvec![i, j]));
            }
        }
    }
    out
}

/// A run stops at a taller one that crosses it: neither of its top plates can go on there. Of two as high
/// the level one goes on, of two that rise the one more nearly along x.
fn stops_here(passing: &[Passing], p: &Passing) -> bool {
    let over = |q: &Passing| {
        let steep = |x: &Passing| x.dir.1.abs() - x.dir.0.abs();
        let as_high = p.raked && (!q.raked || steep(p).total_cmp(&steep(q)).is_gt());
        q.top > p.top || (q.top == p.top && as_high)
    };
    passing.iter().any(|q| over(q) && q.dir.cross(p.dir).abs() >= IN_LINE)
}

fn cut_at_taller(lines: &[Line], n: &Network, passing: &[Passes]) -> Vec<Stretch> {
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
fn chain(n: &Network, passing: &[Passes], stretches: &[Stretch]) -> Chains {
    // Each line's first and last stretch; a stretch's number is its place.
    let mut outer: Vec<Option<[usize; 2]>> = vec![None; n.on_line.len()];
    for (s, st) in stretches.iter().enumerate() {
        let [_, last] = outer[st.line].get_or_insert([s, s]);
        *last = s;
    }
    let ends = |s: usize| {
        let st = &stretches[s];
        let on = &n.on_line[st.line];
        [on[st.from].node, on[st.to].node]
    };
    // What goes on from a stretch beyond either of its ends.
    let mut next: Vec<[Option<usize>; 2]> = vec![[None; 2]; stretches.len()];
    for (node, here) in passing.iter().enumerate() {
        for p in here {
            let [i, j] = p.lines[..] else { continue };
            if stops_here(here, p) {
                continue;
            }
            // The last stretch of a line and its far end, or the first and its near end.
            let at = |line: usize| {
                let [first, last] = outer[line]?;
                match (ends(first)[0] == node, ends(last)[1] == node) {
                    (_, true) => Some((last, 1)),
                    (true, _) => Some((first, 0)),
                    _ => None,
                }
            };
            if let (Some((a, end_a)), Some((b, end_b))) = (at(i), at(j)) {
                next[a][end_a] = Some(b);
                next[b][end_b] = Some(a);
            }
        }
    }
    let mut done = vec![false; stretches.len()];
    let mut chains = Chains::default();
    // Walls in line never close a ring, so every chain has an end to begin at.
    for s in 0..stretches.len() {
        let begins = (0..2).find(|end| next[s][*end].is_none());
        let Some(begins) = begins.filter(|_| !done[s]) else { continue };
        let (mut current, mut forward) = (s, begins == 0);
        loop {
            done[current] = true;
            chains.links.push((current, forward));
            let far = usize::from(forward);
            match next[current][far] {
                Some(k) if !done[k] => {
                    let node = ends(current)[far];
                    current = k;
                    forward = ends(k)[0] == node;
                }
                _ => break,
            }
        }
        chains.ends.push(chains.links.len());
    }
    debug_assert!(done.iter().all(|d| *d), "a chain in line closed on itself");
    chains
}

/// Chains end to end: stretches and whether each is followed forward.
#[derive(Default)]
struct Chains {
    links: Vec<(usize, bool)>,
    ends: Vec<usize>,
}

impl Chains {
    fn iter(&self) -> impl Iterator<Item = &[(usize, bool)]> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(from, to)| &self.links[from..*to])
    }
}

/// Directions away from a junction, by its arms.
fn rays(arms: &[(u32, Arm, Dir)]) -> Rays {
    let mut rays = Rays::new();
    for (_, arm, d) in arms {
        rays.push(*d);
        if arm.at == ArmAt::Through {
            rays.push(d.back());
        }
    }
    rays
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
        .openings()
        .filter_map(|mut o| {
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
    let top = l.top_at(start);
    FloorWall {
        storey,
        start,
        end,
        drawn_thickness: l.thickness(),
        section: l.section,
        base: l.base,
        top,
        rise: l.top_at(end) - top,
        exterior: false,
        bearing: l.bearing(),
        run,
        openings,
        source: l.source().to_vec(),
        wall: l.wall,
    }
}

/// Puts walls, runs and junctions into canonical order and renumbers; `said` follows the walls.
pub(crate) fn finish(floor: &mut Floor, said: &mut Vec<Option<bool>>) {
    let run_key = |r: &Run| (r.end, r.section, r.base, r.top, r.rise);
    let wall_key = |w: &FloorWall| (w.end, w.section, w.base, w.top, w.rise);
    let run_order = order(&floor.runs, |r| (r.storey, r.start), run_key);
    let wall_order = order(&floor.walls, |w| (w.storey, w.start), wall_key);
    let junction_order = order(&floor.junctions, |j| (j.storey, j.at), |_| ());
    let (new_run, new_wall, new_junction) =
        (inverse(&run_order), inverse(&wall_order), inverse(&junction_order));
    let junction = |j: JunctionId| JunctionId(new_junction[j.0 as usize]);
    put_in_order(&mut floor.runs, &run_order);
    put_in_order(&mut floor.walls, &wall_order);
    put_in_order(said, &wall_order);
    put_in_order(&mut floor.junctions, &junction_order);
    for r in &mut floor.runs {
        r.walls.iter_mut().for_each(|w| *w = new_wall[*w as usize]);
        r.start_junction = junction(r.start_junction);
        r.end_junction = junction(r.end_junction);
        r.through.iter_mut().for_each(|(_, j)| *j = junction(*j));
        r.through.sort_unstable();
    }
    for w in &mut floor.walls {
        w.run = RunId(new_run[w.run.0 as usize]);
    }
    for j in &mut floor.junctions {
        j.arms.iter_mut().for_each(|a| a.run = RunId(new_run[a.run.0 as usize]));
        j.arms.sort_unstable();
    }
}

/// The order by a key of storey and place, and where that is equal by the rest, then as they are.
fn order<T, K: Ord>(
    items: &[T],
    place: impl Fn(&T) -> (StoreyId, Point),
    rest: impl Fn(&T) -> K,
) -> Vec<usize> {
    let mut order: Vec<_> = items.iter().enumerate().map(|(i, t)| (place(t), i)).collect();
    order.sort_unstable_by(|(p, i), (q, j)| {
        p.cmp(q).then_with(|| rest(&items[*i]).cmp(&rest(&items[*j]))).then(i.cmp(j))
    });
    order.into_iter().map(|(_, i)| i).collect()
}

fn put_in_order<T>(items: &mut Vec<T>, order: &[usize]) {
    let mut old: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(order.iter().filter_map(|i| old[*i].take()));
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
