//! Which walls are exterior, where the drawing does not say: those on the outer boundary.

use crate::line::{Dir, drawn_name};
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
        let mut on_outline: BTreeMap<u32, Length> = BTreeMap::new(); // wall -> length on the outline
        for (e, sides) in edges.iter().zip(&outer) {
            if *sides == 0 {
                continue;
            }
            for w in &floor.run(e.run).walls {
                let wall = &floor.walls[*w as usize];
                let f = floor.run(e.run).frame();
                let (a, b) = (f.locate(wall.start).0, f.locate(wall.end).0);
                let shared = b.min(e.to) - a.max(e.from);
                if shared > Length::ZERO {
                    *on_outline.entry(*w).or_default() += shared;
                }
            }
        }
        let mut undecided = None;
        for (i, w) in floor.walls.iter_mut().enumerate().filter(|(_, w)| w.storey == storey) {
            w.exterior = said[i].unwrap_or_else(|| {
                undecided.get_or_insert_with(|| w.source.clone());
                let on = on_outline.get(&(i as u32)).copied().unwrap_or_default();
                on * 2 > w.start.distance(w.end)
            });
        }
        // A wall with the outside on both its sides is a wing, or the outline leaks there.
        let open = edges.iter().zip(&outer).find(|(_, sides)| **sides == 2);
        if let (Some(source), Some((e, _))) = (undecided, open) {
            let f = Finding::new(
                graph::OUTLINE_OPEN,
                format!(
                    "The outer boundary runs along both sides of {}, so the outline may be open there; walls such as {} were judged by it.",
                    run_name(e.run),
                    drawn_name(&source)
                ),
            );
            findings.push(f.at(on_run(floor.run(e.run), e.from)).from(&source));
        }
    }
}

fn edges_of(floor: &Floor, storey: StoreyId) -> Vec<Edge> {
    let mut out = Vec::new();
    for (i, r) in floor.runs.iter().enumerate().filter(|(_, r)| r.storey == storey) {
        let mut stops = vec![(Length::ZERO, r.start_junction)];
        stops.extend(r.through.iter().copied());
        stops.push((r.length(), r.end_junction));
        for pair in stops.windows(2) {
            let ((from, a), (to, b)) = (pair[0], pair[1]);
            out.push(Edge { run: RunId(i as u32), from, to, a, b });
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
    let dir = |h: usize| {
        let f = floor.run(edges[h / 2].run).frame().dir();
        if h.is_multiple_of(2) { Dir(f.0, f.1) } else { Dir(-f.0, -f.1) }
    };
    let mut around: BTreeMap<JunctionId, Vec<usize>> = BTreeMap::new();
    for h in 0..edges.len() * 2 {
        around.entry(from(h)).or_default().push(h);
    }
    let mut place = vec![0; edges.len() * 2];
    for hs in around.values_mut() {
        hs.sort_by(|x, y| {
            let angle = |h: usize| dir(h).1.atan2(dir(h).0);
            angle(*x).total_cmp(&angle(*y)).then(x.cmp(y))
        });
        for (i, h) in hs.iter().enumerate() {
            place[*h] = i;
        }
    }
    // With the face on the left, the next half-edge is the one just clockwise of the way back.
    let next = |h: usize| {
        let back = h ^ 1;
        let hs = &around[&from(back)];
        hs[(place[back] + hs.len() - 1) % hs.len()]
    };
    let mut seen = vec![false; edges.len() * 2];
    let mut outsides: Vec<(Vec<usize>, Vec<Point>)> = Vec::new();
    let mut rooms: Vec<Vec<Point>> = Vec::new();
    for h in 0..seen.len() {
        if seen[h] {
            continue;
        }
        let mut face = Vec::new();
        let mut k = h;
        while !seen[k] {
            seen[k] = true;
            face.push(k);
            k = next(k);
        }
        let points: Vec<Point> = face.iter().map(|k| floor.junction(from(*k)).at).collect();
        if polygon_area_nm2(&points) > 0 {
            rooms.push(points)
        } else {
            outsides.push((face, points))
        }
    }
    for (face, points) in outsides {
        let inside_a_room =
            points.first().is_some_and(|p| rooms.iter().any(|r| !r.contains(p) && contains(r, *p)));
        if !inside_a_room {
            for h in face {
                out[h / 2] += 1;
            }
        }
    }
    out
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
    let mut group: BTreeMap<JunctionId, JunctionId> = BTreeMap::new();
    fn root(group: &BTreeMap<JunctionId, JunctionId>, mut j: JunctionId) -> JunctionId {
        while let Some(&up) = group.get(&j).filter(|up| **up != j) {
            j = up;
        }
        j
    }
    for e in edges {
        let (a, b) = (root(&group, e.a), root(&group, e.b));
        group.insert(a.max(b), a.min(b));
        group.entry(a.min(b)).or_insert(a.min(b));
    }
    let mut length: BTreeMap<JunctionId, (Length, RunId)> = BTreeMap::new();
    for e in edges {
        let slot = length.entry(root(&group, e.a)).or_insert((Length::ZERO, e.run));
        slot.0 += e.to - e.from;
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
