//! Which walls are exterior, where the drawing does not say: those on the outer boundary.

use crate::line::drawn_name;
use crate::pairs::{self, Bounds};
use crate::runs::on_run;
use diag::{Finding, codes::graph};
use geom::{Length, Point, polygon_area_nm2};
use std::collections::BTreeMap;
use wall_model::StoreyId;
use wall_model::floor::{Floor, JunctionId, JunctionKind, RunId, junction_name, run_name};

/// A stretch of a run between two junctions next to each other.
struct Edge {
    run: RunId,
    from: Length,
    to: Length,
    a: JunctionId,
    b: JunctionId,
}

/// Sets `exterior` on every wall: what the drawing says, else whether the greater part of the wall
/// lies on the outer boundary of its storey. Also reports islands and unusual junctions.
pub(crate) fn settle_exterior(
    floor: &mut Floor,
    said: &[Option<bool>],
    findings: &mut Vec<Finding>,
) {
    for (i, j) in floor.junctions.iter().enumerate() {
        if j.kind == JunctionKind::Other {
            let f = Finding::new(
                graph::JUNCTION_OTHER,
                format!("{} walls meet in an unusual way here.", j.arms.len()),
            );
            findings.push(f.at(j.at).about(junction_name(JunctionId(i as u32))));
        }
    }
    for s in 0..floor.storeys.len() as u32 {
        let storey = StoreyId(s);
        let edges = edges_of(floor, storey);
        let outer = outer_edges(floor, &edges);
        report_islands(floor, &edges, findings);
        let mut on_outline = vec![Length::ZERO; floor.walls.len()];
        let mut at = 0;
        for here in edges.chunk_by(|a, b| a.run == b.run) {
            let sides = &outer[at..at + here.len()];
            at += here.len();
            if sides.iter().any(|s| *s > 0) {
                walls_on_outline(floor, here, sides, &mut on_outline);
            }
        }
        let mut undecided = None;
        for (i, w) in floor.walls.iter_mut().enumerate().filter(|(_, w)| w.storey == storey) {
            w.exterior = said[i].unwrap_or_else(|| {
                undecided.get_or_insert_with(|| w.source.clone());
                on_outline[i] * 2 > w.start.distance(w.end)
            });
        }
        // A wall with the outside on both its sides is a wing, or the outline leaks there.
        let both_sides: Vec<&Edge> =
            edges.iter().zip(&outer).filter(|(_, n)| **n == 2).map(|(e, _)| e).collect();
        if let (Some(source), Some((at, what))) = (undecided, leak(floor, &both_sides)) {
            let message =
                format!("{what}; walls such as {} were judged by it.", drawn_name(&source));
            findings.push(Finding::new(graph::OUTLINE_OPEN, message).at(at).from(&source));
        }
    }
}

/// Where the outline may be open, and in words: between the two free ends nearest to each other of walls with the
/// outside on both sides, else at such a wall. A wall that meets no other encloses nothing.
fn leak(floor: &Floor, both_sides: &[&Edge]) -> Option<(Point, String)> {
    let is_end = |j: JunctionId| floor.junction(j).kind == JunctionKind::End;
    let hangs: Vec<&Edge> =
        both_sides.iter().copied().filter(|e| !(is_end(e.a) && is_end(e.b))).collect();
    let first = hangs.first()?;
    let ends: Vec<(RunId, Point)> = hangs
        .iter()
        .flat_map(|e| [(e.run, e.a), (e.run, e.b)])
        .filter(|(_, j)| is_end(*j))
        .map(|(run, j)| (run, floor.junction(j).at))
        .take(MOST_ENDS)
        .collect();
    let pairs = ends.iter().enumerate().flat_map(|(i, a)| ends[..i].iter().map(move |b| (b, a)));
    let nearest = pairs.min_by_key(|(a, b)| a.1.distance(b.1));
    let what = match nearest {
        Some(((r, p), (s, q))) => format!(
            "The outer boundary may be open between the free ends of {} and {}, {} apart",
            run_name(*r),
            run_name(*s),
            p.distance(*q).feet_inches()
        ),
        None => format!(
            "The outer boundary runs along both sides of {}, so the outline may be open there",
            run_name(first.run)
        ),
    };
    let at = nearest.map_or_else(|| on_run(floor.run(first.run), first.from), |(a, _)| a.1);
    Some((at, what))
}

/// Free ends that are compared with each other: a drawing with more has no outline at all.
const MOST_ENDS: usize = 400;

/// Adds to each wall of a run what of it lies on edges with the outside on a side. Walls and edges
/// are both in order along the run.
fn walls_on_outline(floor: &Floor, edges: &[Edge], outer: &[u8], on: &mut [Length]) {
    let run = floor.run(edges[0].run);
    let frame = run.frame();
    let mut first = 0;
    for w in &run.walls {
        let wall = &floor.walls[*w as usize];
        let (a, b) = (frame.locate(wall.start).0, frame.locate(wall.end).0);
        while edges.get(first).is_some_and(|e| e.to <= a) {
            first += 1;
        }
        let along = edges.iter().zip(outer).skip(first).take_while(|(e, _)| e.from < b);
        for (e, _) in along.filter(|(_, sides)| **sides > 0) {
            on[*w as usize] += b.min(e.to) - a.max(e.from);
        }
    }
}

/// By run, in order along it.
fn edges_of(floor: &Floor, storey: StoreyId) -> Vec<Edge> {
    let mut out = Vec::new();
    for (i, r) in floor.runs.iter().enumerate().filter(|(_, r)| r.storey == storey) {
        let (mut from, mut a) = (Length::ZERO, r.start_junction);
        for (to, b) in r.through.iter().copied().chain([(r.length(), r.end_junction)]) {
            out.push(Edge { run: RunId(i as u32), from, to, a, b });
            (from, a) = (to, b);
        }
    }
    out
}

/// For each edge, on how many of its sides the outside lies. Faces are walked with the face on the
/// left; one that encloses no positive area is the outside of its group of walls, and counts unless
/// the group stands inside a room of another.
fn outer_edges(floor: &Floor, edges: &[Edge]) -> Vec<u8> {
    let mut out = vec![0_u8; edges.len()];
    // Half-edge 2e goes a -> b, 2e+1 back.
    let from = |h: usize| if h.is_multiple_of(2) { edges[h / 2].a } else { edges[h / 2].b };
    let mut angles = Vec::with_capacity(edges.len() * 2);
    for here in edges.chunk_by(|a, b| a.run == b.run) {
        let d = floor.run(here[0].run).frame().dir();
        let both = [d.1.atan2(d.0), (-d.1).atan2(-d.0)];
        angles.extend(std::iter::repeat_n(both, here.len()).flatten());
    }
    // The half-edges from each junction side by side, by angle.
    let mut starts = vec![0_usize; floor.junctions.len() + 1];
    for h in 0..angles.len() {
        starts[from(h).0 as usize + 1] += 1;
    }
    for j in 1..starts.len() {
        starts[j] += starts[j - 1];
    }
    let (mut around, mut filled) = (vec![0_usize; angles.len()], starts.clone());
    for h in 0..angles.len() {
        let end = &mut filled[from(h).0 as usize];
        around[*end] = h;
        *end += 1;
    }
    let mut place = vec![0_usize; angles.len()];
    for ends in starts.windows(2) {
        let hs = &mut around[ends[0]..ends[1]];
        hs.sort_unstable_by(|x, y| angles[*x].total_cmp(&angles[*y]).then(x.cmp(y)));
        for (i, h) in hs.iter().enumerate() {
            place[*h] = i;
        }
    }
    // With the face on the left, the next half-edge is the one just clockwise of the way back.
    let next = |h: usize| {
        let back = h ^ 1;
        let j = from(back).0 as usize;
        let hs = &around[starts[j]..starts[j + 1]];
        hs[(place[back] + hs.len() - 1) % hs.len()]
    };
    let mut seen = vec![false; angles.len()];
    let mut outsides: Vec<(Vec<usize>, Point)> = Vec::new();
    let mut rooms: Vec<Vec<Point>> = Vec::new();
    let (mut face, mut points) = (Vec::new(), Vec::new());
    for h in 0..seen.len() {
        if seen[h] {
            continue;
        }
        face.clear();
        points.clear();
        let mut k = h;
        while !seen[k] {
            seen[k] = true;
            face.push(k);
            points.push(floor.junction(from(k)).at);
            k = next(k);
        }
        if polygon_area_nm2(&points) > 0 {
            rooms.push(points.clone());
        } else {
            outsides.push((face.clone(), points[0]));
        }
    }
    for ((face, _), inside) in outsides.iter().zip(inside_a_room(&outsides, &rooms)) {
        if !inside {
            for h in face {
                out[h / 2] += 1;
            }
        }
    }
    out
}

/// For each group of walls, by a point of its outside, whether it stands inside a room of another.
fn inside_a_room(outsides: &[(Vec<usize>, Point)], rooms: &[Vec<Point>]) -> Vec<bool> {
    // A lone group has only rooms of its own.
    if outsides.len() < 2 {
        return vec![false; outsides.len()];
    }
    let mut boxes: Vec<Bounds> = outsides.iter().map(|(_, p)| Bounds::of(*p, *p)).collect();
    boxes.extend(rooms.iter().map(|r| Bounds::around(r)));
    let mut inside = vec![false; outsides.len()];
    pairs::near(
        boxes.len(),
        |i| boxes[i],
        0,
        |i, j| {
            let (Some((_, p)), Some(room)) =
                (outsides.get(i), j.checked_sub(outsides.len()).and_then(|r| rooms.get(r)))
            else {
                return;
            };
            inside[i] = inside[i] || (!room.contains(p) && contains(room, *p));
        },
    );
    inside
}

/// Even-odd rule; points on the boundary may fall either way.
fn contains(polygon: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (i, a) in polygon.iter().enumerate() {
        let b = polygon[(i + 1) % polygon.len()];
        if (a.y > p.y) != (b.y > p.y) {
            let t = (p.y - a.y).nm() as f64 / (b.y - a.y).nm() as f64;
            if (p.x - a.x).nm() as f64 <= t * (b.x - a.x).nm() as f64 {
                inside = !inside;
            }
        }
    }
    inside
}

/// Groups of runs that no junction joins to the largest group.
fn report_islands(floor: &Floor, edges: &[Edge], findings: &mut Vec<Finding>) {
    // Each junction's way to the least one of its group.
    let mut group: Vec<u32> = (0..floor.junctions.len() as u32).collect();
    fn root(group: &mut [u32], j: JunctionId) -> u32 {
        let mut j = j.0;
        while group[j as usize] != j {
            group[j as usize] = group[group[j as usize] as usize];
            j = group[j as usize];
        }
        j
    }
    for e in edges {
        let (a, b) = (root(&mut group, e.a), root(&mut group, e.b));
        group[a.max(b) as usize] = a.min(b);
    }
    let mut length: BTreeMap<JunctionId, (Length, RunId)> = BTreeMap::new();
    for same_run in edges.chunk_by(|a, b| a.run == b.run) {
        let e = &same_run[0];
        let slot = length.entry(JunctionId(root(&mut group, e.a))).or_insert((Length::ZERO, e.run));
        slot.0 += same_run.iter().map(|e| e.to - e.from).sum();
    }
    let Some(largest) = length.iter().max_by_key(|(j, (l, _))| (*l, std::cmp::Reverse(**j))) else {
        return;
    };
    for (j, (total, run)) in &length {
        if j != largest.0 {
            let f = Finding::new(
                graph::ISLAND,
                format!(
                    "{} of wall around {} meets none of the other walls.",
                    total.feet_inches(),
                    run_name(*run)
                ),
            );
            findings.push(f.at(floor.junction(*j).at).about(run_name(*run)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::contains;
    use geom::{Length, Point};

    /// A room with a slanted wall, by hand: a right triangle of 120 and 60 in, whose long side falls 1 in 2.
    #[test]
    fn a_point_is_in_a_room_with_a_slanted_wall_below_that_wall_alone() {
        let at = |x: i64, y: i64| Point { x: Length::inches(x), y: Length::inches(y) };
        let room = [at(0, 0), at(120, 0), at(0, 60)];
        for (x, y, inside) in
            [(40, 39, true), (40, 41, false), (100, 9, true), (100, 11, false), (-1, 30, false)]
        {
            assert_eq!(contains(&room, at(x, y)), inside, "{x}, {y}");
        }
    }

    /// A room of 120 by 120 in with a tee half way up either side, and points level with that.
    #[test]
    fn a_point_level_with_a_junction_of_the_room() {
        let at = |(x, y): (i64, i64)| Point { x: Length::inches(x), y: Length::inches(y) };
        let mut room = [(0, 0), (120, 0), (120, 60), (120, 120), (0, 120), (0, 60)].map(at);
        for _ in 0..2 {
            for (x, inside) in [(-9, false), (50, true), (129, false)] {
                assert_eq!(contains(&room, at((x, 60))), inside, "{x}");
            }
            room.reverse();
        }
    }
}
