//! Item 7: lengths, ends and notches as they will be cut.

use crate::footprint::{Ray, corner_of_three, face_stations, on_half_angle};
use crate::joints::gaps;
use crate::measure::{dot, inches, minus, moved};
use crate::report::{Line, Report};
use crate::shape::{Shape, Shapes};
use crate::within::Bodies;
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Layer, Piece, Plan, Rake, piece_name, run_name};
use wall_model::floor::{Floor, Junction, JunctionId, JunctionKind, Run, RunId};

/// Saw angles agree within this many degrees: 0.003 in over the width of a 2x4.
const ANGLE: f64 = 0.05;

/// A plate's length is that of its outline within this: either end may be half a sliver from a mark of the tape, on which it
/// is cut.
const HAIR: Length = SLIVER;

/// Proves item 7.
pub fn check(floor: &Floor, plan: &Plan, shapes: &Shapes, report: &mut Report) {
    let lines = Lines {
        length: report.line(7, "every length is its outline's extent along the run, to 0.001 in"),
        cuts: report.line(7, "saw angles and notches listed are those of the outline"),
        printed: report.line(
            7,
            "printed lengths are less than 1/16 in off the exact ones, never longer for upper plates, and add up without drift for the others",
        ),
        sums: report.line(
            7,
            "lower and bottom lengths of a run add up to the distance between its end faces, less the walls that cross it",
        ),
    };
    for shape in shapes.all() {
        let piece = &plan.pieces[shape.id.0 as usize];
        report.looked(lines.length, 1);
        report.looked(lines.cuts, 1);
        report.looked(lines.printed, 1);
        let faults = [
            (lines.length, verify::PROOF_LENGTH, length_fault(piece, shape)),
            (lines.cuts, verify::PROOF_CUT, cut_fault(piece, shape)),
            (lines.printed, verify::PROOF_PRINTED, printed_fault(piece)),
        ];
        for (line, code, fault) in faults {
            let Some(why) = fault else { continue };
            let text = format!("{} ({}): {why}.", piece_name(shape.id), piece.mark);
            let finding = Finding::new(code, text).at(shape.outline[0]);
            report.breach(line, finding.about(piece_name(shape.id)));
        }
    }
    let bodies = Bodies::of(floor);
    for (index, run) in floor.runs.iter().enumerate() {
        let id = RunId(index as u32);
        for layer in [Layer::Lower, Layer::Bottom] {
            drift(plan, shapes, id, layer, lines.printed, report);
        }
        // Bottom outlines are the lower ones (item 2), so that the sums need no second look; where
        // they stop at doors, item 2 compares the areas.
        report.looked(lines.sums, 1);
        for (station, why) in sum_faults(floor, &bodies, shapes, id, run) {
            let text = format!("Run {}: {why}.", run_name(id));
            let finding = Finding::new(verify::PROOF_RUN_SUM, text);
            report.breach(lines.sums, finding.at(on_run(run, station)).about(run_name(id)));
        }
    }
}

struct Lines {
    length: Line,
    cuts: Line,
    printed: Line,
    sums: Line,
}

fn on_run(run: &Run, station: i64) -> Point {
    let dir = run.frame().dir();
    moved(run.start, (dir.0 * station as f64, dir.1 * station as f64))
}

fn same(a: Length, nm: i64) -> bool {
    (a.nm() - nm).abs() <= ROUNDING.nm()
}

fn length_fault(piece: &Piece, shape: &Shape) -> Option<String> {
    let exact = shape.extent[1] - shape.extent[0];
    if let Some(rake) = &piece.rake {
        let (edge, whole) = on_slope(piece, rake);
        if !same(rake.edge, edge) || !same(piece.length, whole) {
            return Some(format!(
                "on its slope it is {} in along a face and {} in overall; from {} to {} in on its run they are {} in and {} in",
                rake.edge.to_inches(),
                piece.length.to_inches(),
                piece.from.to_inches(),
                piece.to.to_inches(),
                inches(edge),
                inches(whole)
            ));
        }
    } else if (piece.length - (piece.to - piece.from)).abs() > HAIR {
        return Some(format!(
            "its length is {} in, from {} to {} in on its run are {} in",
            piece.length.to_inches(),
            piece.from.to_inches(),
            piece.to.to_inches(),
            (piece.to - piece.from).to_inches()
        ));
    }
    if !same(piece.from, shape.extent[0]) || !same(piece.to, shape.extent[1]) {
        return Some(format!(
            "it is listed from {} to {} in on its run, its outline reaches from {} to {} in ({} in)",
            piece.from.to_inches(),
            piece.to.to_inches(),
            inches(shape.extent[0]),
            inches(shape.extent[1]),
            inches(exact)
        ));
    }
    None
}

/// Length along a face and overall of a plate on a slope, by the right triangle over its plan, nm.
fn on_slope(piece: &Piece, rake: &Rake) -> (i64, i64) {
    let angle = rake.slope.ratio().abs().atan();
    let edge = (piece.to - piece.from).nm() as f64 / angle.cos();
    let plumb_cut = piece.section.thickness().nm() as f64 * angle.tan();
    (edge.round() as i64, (edge + plumb_cut).round() as i64)
}

/// The angle of a cut on the piece's face and the tilt of the blade, of a plumb cut at `plan_deg` in plan: the cut's plane is
/// upright and holds its direction in plan, (cos, sin) along the run and to its left.
fn plumb_cut(rake: Option<&Rake>, plan_deg: f64, end: usize) -> (f64, f64) {
    let Some(rake) = rake else { return (plan_deg, 90.0) };
    let (theta, phi) = (rake.slope.ratio().atan(), plan_deg.to_radians());
    // What is level along the run is longer on the face.
    let on_face = (phi.sin() * theta.cos()).atan2(phi.cos());
    // Between the plane's normal, out of the wood, and that of the face below.
    let out = if end == 0 { -1.0 } else { 1.0 };
    let tilt = (out * phi.sin() * theta.sin()).acos();
    (on_face.to_degrees(), tilt.to_degrees())
}

fn cut_fault(piece: &Piece, shape: &Shape) -> Option<String> {
    for (end, word) in [(0, "start"), (1, "end")] {
        let said = piece.ends[end].cut_deg;
        let (is, tilt) = plumb_cut(piece.rake.as_ref(), shape.cut_deg[end], end);
        let blade = piece.ends[end].tilt_deg;
        if blade.is_nan() || (blade - tilt).abs() > ANGLE {
            return Some(format!(
                "its cut at the {word} is listed with the blade at {blade} degrees to its upper face, plumb is {tilt:.3}"
            ));
        }
        if said.is_nan() || (said - is).abs() > ANGLE {
            return Some(format!(
                "its cut at the {word} is listed as {said} degrees, the outline has {is:.3}"
            ));
        }
    }
    let agree = piece.notches.len() == shape.bites.len() && {
        let mut listed = piece.notches.clone();
        listed.sort_by_key(|n| (n.from, n.side));
        listed.iter().zip(&shape.bites).all(|(n, b)| {
            n.side == b.side
                && same(n.from, b.from.nm())
                && same(n.to, b.to.nm())
                && same(n.depth, b.depth.nm())
        })
    };
    if agree {
        return None;
    }
    let say = |from: Length, to: Length, depth: Length, side: &str| {
        format!(
            "{} to {} in, {} in deep, {side}",
            from.to_inches(),
            to.to_inches(),
            depth.to_inches()
        )
    };
    let listed: Vec<String> =
        piece.notches.iter().map(|n| say(n.from, n.to, n.depth, n.side.name())).collect();
    let drawn: Vec<String> =
        shape.bites.iter().map(|b| say(b.from, b.to, b.depth, b.side.name())).collect();
    Some(format!(
        "its notches are listed as [{}], the outline has [{}]",
        listed.join("; "),
        drawn.join("; ")
    ))
}

fn printed_fault(piece: &Piece) -> Option<String> {
    let over = piece.printed - piece.length;
    let along = piece.rake.map_or(over, |r| r.edge_printed - r.edge);
    let long = piece.layer == Layer::Upper && over.max(along) > Length::ZERO;
    // Where the length over all is right, the one along the slope is not.
    let of_face = || piece.rake.filter(|_| over.abs() < along.abs());
    (long || over.abs().max(along.abs()) >= Length::SIXTEENTH).then(|| {
        let (what, printed, exact) = match of_face() {
            Some(r) => ("length along its face", r.edge_printed, r.edge),
            None => ("length", piece.printed, piece.length),
        };
        format!(
            "its printed {what} is {} in, its exact one {} in",
            printed.to_inches(),
            exact.to_inches()
        )
    })
}

/// Printed lengths of pieces that touch add up to their exact sum within one step of the tape.
fn drift(plan: &Plan, shapes: &Shapes, run: RunId, layer: Layer, line: Line, report: &mut Report) {
    let chain: Vec<&Shape> = shapes.chain(run, layer).collect();
    // Along both edges: bevels beside a wall that crosses at an angle may overlap and yet lie apart.
    let touch = |a: &&Shape, b: &&Shape| {
        (0..2).all(|e| (b.edges[e][0] - a.edges[e][1]).abs() <= ROUNDING.nm())
    };
    for stretch in chain.chunk_by(touch) {
        let piece = |s: &&Shape| &plan.pieces[s.id.0 as usize];
        // On a slope what adds up is measured along one face.
        let lengths = |s: &&Shape| {
            let p = piece(s);
            p.rake.map_or((p.printed, p.length), |r| (r.edge_printed, r.edge))
        };
        let printed: Length = stretch.iter().map(|s| lengths(s).0).sum();
        let exact: Length = stretch.iter().map(|s| lengths(s).1).sum();
        // One piece has its own check.
        if stretch.len() > 1 && (printed - exact).abs() >= Length::SIXTEENTH {
            let text = format!(
                "Run {}: printed {} lengths add up to {} in, the exact ones to {} in.",
                run_name(run),
                layer.name(),
                printed.to_inches(),
                exact.to_inches()
            );
            let finding = Finding::new(verify::PROOF_PRINTED, text);
            report.breach(line, finding.at(stretch[0].outline[0]).about(run_name(run)));
        }
    }
}

/// A run's lower plates: each end at a face or node that its junction offers, and between them no
/// gap but the full width of a wall that crosses.
fn sum_faults(
    floor: &Floor,
    bodies: &Bodies,
    shapes: &Shapes,
    id: RunId,
    run: &Run,
) -> Vec<(i64, String)> {
    let mut faults = Vec::new();
    let chain: Vec<&Shape> = shapes.chain(id, Layer::Lower).collect();
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else {
        if !bodies.cover(id) {
            faults.push((0, "it has no lower plate".to_owned()));
        }
        return faults;
    };
    let ends = [
        (first.extent[0], 0, Length::ZERO, run.start_junction, "starts"),
        (last.extent[1], 1, run.length(), run.end_junction, "ends"),
    ];
    for (station, end, node, junction, word) in ends {
        if floor.junction(junction).kind == JunctionKind::Other {
            continue; // Several faces may bound an end; items 1 and 2 bound its area.
        }
        let places = end_places(floor, id, junction, end, node);
        // The corner of a step lies aside of the run's line by as much as the run leans.
        let near = if changes_width(floor, id, junction) { SLIVER } else { ROUNDING };
        let is_near = |p: Length, station: i64| (p.nm() - station).abs() <= near.nm();
        // Where a wall crosses at the very face, nothing is left before it.
        let crossed = || {
            let there = run.through.iter().flat_map(|(_, j)| &floor.junction(*j).arms);
            there.filter_map(|arm| face_stations(floor, id, arm.run)).any(|faces| {
                let [before, after] = [faces[end], faces[1 - end]];
                let at_face = |edge: usize| places.iter().any(|p| is_near(*p, before[edge].nm()));
                (0..2).all(|edge| is_near(after[edge], station) && at_face(edge))
            })
        };
        if places.iter().any(|p| is_near(*p, station)) || crossed() {
            continue;
        }
        let list: Vec<String> = places.iter().map(|p| format!("{:.4}", p.to_inches())).collect();
        let faces = match list.as_slice() {
            [] => "no wall there has a face across it".to_owned(),
            _ => format!("the faces there are at {} in", list.join(", ")),
        };
        let at = inches(station);
        faults.push((station, format!("its lower layer {word} at {at:.4} in; {faces}")));
    }
    let junctions = || {
        let through = run.through.iter().map(|t| t.1);
        through.chain([run.start_junction, run.end_junction])
    };
    for gap in gaps(shapes, id, Layer::Lower) {
        let is = |edge: usize, from: i64, to: i64| {
            (gap.edges[edge][0] - from).abs() <= ROUNDING.nm()
                && (gap.edges[edge][1] - to).abs() <= ROUNDING.nm()
        };
        let tight = (0..2).all(|e| (gap.edges[e][1] - gap.edges[e][0]).abs() <= ROUNDING.nm());
        let crossed = || {
            // Edge by edge: the wall that crosses may change its width just there.
            (0..2).all(|e| {
                junctions().flat_map(|j| &floor.junction(j).arms).any(|arm| {
                    face_stations(floor, id, arm.run)
                        .is_some_and(|[near, far]| is(e, near[e].nm(), far[e].nm()))
                })
            })
        };
        // Where several walls cross at one point several faces bound it; items 1 and 2 see to that.
        let at_other = || {
            run.through.iter().any(|(s, j)| {
                let other = floor.junction(*j).kind == JunctionKind::Other;
                let from = gap.edges[0][0].min(gap.edges[1][0]);
                let to = gap.edges[0][1].max(gap.edges[1][1]);
                other && from <= s.nm() && s.nm() <= to
            })
        };
        if !tight && !crossed() && !at_other() {
            faults.push((
                gap.edges[0][0],
                format!(
                    "the lower plates {} and {} are {} in apart, which is no wall that crosses",
                    piece_name(gap.before),
                    piece_name(gap.after),
                    inches(gap.opening())
                ),
            ));
        }
    }
    faults
}

/// A run that is cut on the line that halves its angle with another, and how far along it from its end its right and
/// its left face meet that line.
fn faces_on_half_angle(
    floor: &Floor,
    junction: &Junction,
    run: RunId,
) -> Option<(Ray, [(f64, f64); 2])> {
    let [own, other] = on_half_angle(floor, junction, run)?;
    let normal = (own.dir.0 - other.dir.0, own.dir.1 - other.dir.1);
    let to_node = dot(minus(junction.at, own.from), normal);
    let left = (-own.dir.1, own.dir.0);
    let face =
        |offset: f64| (offset, (to_node - offset * dot(left, normal)) / dot(own.dir, normal));
    Some((own, [-own.half, own.half].map(face)))
}

/// Where two walls are cut on the line that halves their angle: its long point.
fn bend_place(
    floor: &Floor,
    run: RunId,
    junction: &Junction,
    end: usize,
    node: Length,
) -> Option<Length> {
    let (_, faces) = faces_on_half_angle(floor, junction, run)?;
    let outward = faces.into_iter().map(|(_, along)| -along).fold(f64::NEG_INFINITY, f64::max);
    let beyond = Length::from_nm(outward.round() as i64);
    Some(if end == 0 { node - beyond } else { node + beyond })
}

/// Where a run's two faces end on the line that halves its angle with another.
fn bend_corners(floor: &Floor, junction: &Junction, run: RunId) -> Option<[Point; 2]> {
    let (own, faces) = faces_on_half_angle(floor, junction, run)?;
    let left = (-own.dir.1, own.dir.0);
    Some(faces.map(|(offset, along)| {
        let off = (left.0 * offset + own.dir.0 * along, left.1 * offset + own.dir.1 * along);
        moved(own.from, off)
    }))
}

/// Whether the other runs at a junction are of more than one width.
fn changes_width(floor: &Floor, run: RunId, junction: JunctionId) -> bool {
    let others = floor.junction(junction).arms.iter().filter(|a| a.run != run);
    let mut widths = others.map(|a| floor.run(a.run).section.width());
    widths.next().is_some_and(|first| widths.any(|w| w != first))
}

/// Long-point stations at which a run's lower layer may end at a junction.
fn end_places(
    floor: &Floor,
    run: RunId,
    junction_id: JunctionId,
    end: usize,
    node: Length,
) -> Vec<Length> {
    let junction = floor.junction(junction_id);
    let bent = bend_place(floor, run, junction, end, node);
    // Where the line is crossed it may stop at the faces of what crosses it instead.
    if let (Some(place), true) = (bent, junction.kind != JunctionKind::X) {
        return vec![place];
    }
    let mut places = Vec::new();
    let three = corner_of_three(floor, junction);
    // Of a corner of three the two that make it end at each other, the third at the stem.
    let others: Vec<RunId> = match &three {
        Some(c) if run == c.pair[1].run => vec![c.pair[0].run],
        Some(c) => vec![c.pair[1].run],
        None => junction.arms.iter().filter(|a| a.run != run).map(|a| a.run).collect(),
    };
    let to_node = match &three {
        Some(c) => run == c.third.run && c.stands_out(),
        None => junction.kind != JunctionKind::L,
    };
    places.extend(to_node.then_some(bent.unwrap_or(node)));
    // Half of the end then lies at either face.
    let changes = three.is_none() && changes_width(floor, run, junction_id);
    for other in others {
        // Of two that lean the faces meet at a corner, which may be the farthest they reach.
        let corners = bend_corners(floor, junction, other).into_iter().flatten();
        places.extend(corners.map(|p| floor.run(run).frame().locate(p).0));
        let Some(faces) = face_stations(floor, run, other) else { continue };
        for [right, left] in faces {
            places.push(if end == 0 { right.min(left) } else { right.max(left) });
            places.extend(changes.then(|| (right + left).half()));
        }
    }
    places.sort_unstable();
    places.dedup();
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::footprint::tests::star;
    use geom::Slope;

    /// By hand, 9 in 12 (sine 0.6, cosine 0.8): a cut at 45 degrees in plan goes 1.25 along the slope for 1 across, atan 0.8; its
    /// plane's normal has 0.7071 along the run, 0.6 of which is square to the face, acos 0.42426.
    #[test]
    fn an_oblique_plumb_cut_on_a_slope() {
        let inch = Length::inches;
        let slope = Slope::new(inch(9), inch(12));
        let edge = inch(150);
        let rake = slope.map(|slope| Rake { slope, edge, edge_printed: edge, z_end: inch(90) });
        let rounded = |plan_deg, end| {
            let (on_face, tilt) = plumb_cut(rake.as_ref(), plan_deg, end);
            [on_face, tilt].map(|degrees| (degrees * 1000.0).round() / 1000.0)
        };
        assert_eq!(rounded(45.0, 1), [38.66, 64.896]);
        assert_eq!(rounded(45.0, 0), [38.66, 115.104]);
        assert_eq!(rounded(135.0, 1), [141.34, 64.896]);
        assert_eq!(rounded(90.0, 0), [90.0, 126.87]);
        assert_eq!(plumb_cut(None, 45.0, 1), (45.0, 90.0));
    }

    /// By hand, a bend with the sides 16-63-65: the line that halves it leans by an eighth, so that the faces, 1-3/4 in off the
    /// middle, end 7/32 in before and behind the node.
    #[test]
    fn where_faces_end_in_a_bend() {
        let floor = star(JunctionKind::L, &[(100.0, 0.0), (-63.0, 16.0)]);
        let node = &floor.junctions[0];
        let at = |x, y| Point::new(Length::sixty_fourths(x), Length::sixty_fourths(y));
        let (inner, outer) = (at(14, 112), at(-14, -112));
        // Right and left seen from the node: what is right of the one is left of the other.
        for (run, want) in [(0, [outer, inner]), (1, [inner, outer])] {
            let corners = bend_corners(&floor, node, RunId(run)).unwrap_or_default();
            let off = [0, 1].map(|k| corners[k].distance(want[k]));
            assert!(off.iter().all(|d| *d <= Length::from_nm(2)), "{run}: {corners:?}");
        }
        let long_point = |run, end, at| bend_place(&floor, RunId(run), node, end, at);
        let beyond = Length::sixty_fourths(14);
        assert_eq!(long_point(0, 0, Length::ZERO), Some(-beyond));
        assert_eq!(long_point(1, 1, Length::inches(65)), Some(Length::inches(65) + beyond));
    }
}
