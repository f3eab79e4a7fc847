//! Item 2, bottom plates: the lower ones again, or, where the settings say so, without doors.

use crate::cover::{PLATE_LIMIT, at, slices};
use crate::joints::{Gap, gaps};
use crate::measure::{Part, difference, grown, inches, intersection};
use crate::report::{Line, Report};
use crate::shape::{Shape, Shapes};
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Layer, piece_name, run_name};
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, RunId};
use wall_model::{OpeningKind, StoreyId};

/// Less of a bottom plate than this beside a door, once the door is cut out, is a scrap: two nails and their
/// end distances need it (common practice, no source).
const SCRAP: Length = Length::inches(6);

/// Checks the bottom plates of a storey.
pub fn check(
    floor: &Floor,
    shapes: &Shapes,
    settings: &Settings,
    storey: StoreyId,
    line: Line,
    report: &mut Report,
) {
    let bottom: Vec<&Shape> = shapes.of(storey, Layer::Bottom).collect();
    let lower: Vec<&Shape> = shapes.of(storey, Layer::Lower).collect();
    report.looked(line, bottom.len());
    if settings.plates.bottom_stops_at_doors {
        let all = doors_of(floor, storey);
        let runs = (0..floor.runs.len() as u32).map(RunId);
        let mut open: BTreeMap<RunId, Vec<&Door>> = BTreeMap::new();
        open.extend(runs.filter(|r| floor.run(*r).storey == storey).map(|r| (r, Vec::new())));
        for (run, door) in &all {
            open.entry(*run).or_default().push(door);
        }
        at_doors(floor, shapes, storey, &open, line, report);
        return scraps(floor, shapes, &all, line, report);
    }
    let mut breach = |shape: &Shape, what: &str| {
        let text = format!("{} {} {what}.", shape.layer.name(), piece_name(shape.id));
        let finding = Finding::new(verify::PROOF_BOTTOM, text);
        report.breach(line, finding.at(shape.outline[0]).about(piece_name(shape.id)));
    };
    let key = |s: &&Shape| (s.run, s.extent, s.id);
    let (mut bottom, mut lower) = (bottom, lower);
    bottom.sort_by_key(key);
    lower.sort_by_key(key);
    let same = |a: &Shape, b: &Shape| {
        a.run == b.run && a.outline.len() == b.outline.len() && {
            let n = a.outline.len();
            (0..n).any(|k| {
                (0..n).all(|i| {
                    let d = a.outline[i] - b.outline[(i + k) % n];
                    d.x.abs() <= ROUNDING && d.y.abs() <= ROUNDING
                })
            })
        }
    };
    let (mut i, mut j) = (0, 0);
    loop {
        match (bottom.get(i), lower.get(j)) {
            (Some(b), Some(l)) if same(b, l) => (i, j) = (i + 1, j + 1),
            (Some(b), Some(l)) if b.run == l.run => {
                breach(b, "is not the outline of the lower plate above it");
                (i, j) = (i + 1, j + 1);
            }
            (Some(b), l) if l.is_none_or(|l| b.run < l.run) => {
                breach(b, "has no lower plate above it");
                i += 1;
            }
            (_, Some(l)) => {
                breach(l, "has no bottom plate below it");
                j += 1;
            }
            (_, None) => break,
        }
    }
}

/// A door, or an opening of unknown kind.
struct Door {
    /// Its edges as stations on its run; of openings that touch, those of all together.
    from: Length,
    to: Length,
    outline: Vec<Point>,
    /// Not known to be a door: the plate may go through it or not.
    maybe: bool,
}

/// The doors of a storey with their runs.
fn doors_of(floor: &Floor, storey: StoreyId) -> Vec<(RunId, Door)> {
    let mut out = Vec::new();
    for wall in floor.walls.iter().filter(|w| w.storey == storey) {
        let Some(frame) = geom::Frame::between(wall.start, wall.end) else { continue };
        let half = wall.section.width().half();
        let on_run = floor.run(wall.run).frame();
        for opening in wall.openings.iter().filter(|o| o.kind != OpeningKind::Window) {
            let corner = |s, o| frame.at(s, o);
            let outline = vec![
                corner(opening.from, -half),
                corner(opening.to, -half),
                corner(opening.to, half),
                corner(opening.from, half),
            ];
            let [a, b] =
                [opening.from, opening.to].map(|s| on_run.locate(corner(s, Length::ZERO)).0);
            let maybe = opening.kind == OpeningKind::Opening;
            out.push((wall.run, Door { from: a.min(b), to: a.max(b), outline, maybe }));
        }
    }
    out.sort_by_key(|(run, door)| (*run, door.from, door.to));
    for i in 1..out.len() {
        let (before, here) = out.split_at_mut(i);
        let (Some((run, last)), Some((own, door))) = (before.last_mut(), here.first_mut()) else {
            continue;
        };
        if run == own && door.from <= last.to {
            (door.from, door.to) = (last.from, last.to.max(door.to));
        }
    }
    for i in (1..out.len()).rev() {
        let (before, here) = out.split_at_mut(i);
        let (Some((run, last)), Some((own, door))) = (before.last_mut(), here.first()) else {
            continue;
        };
        if run == own && door.from == last.from {
            last.to = door.to;
        }
    }
    out
}

/// Stations where two plates of a run and layer follow each other without a gap.
fn tight_joints(shapes: &Shapes, run: RunId, layer: Layer) -> Vec<i64> {
    let near = |g: &&Gap| g.opening().abs() <= ROUNDING.nm() && g.bevel <= ROUNDING.nm();
    gaps(shapes, run, layer).iter().filter(near).map(|g| g.edges[0][0]).collect()
}

/// Whether a joint leaves a scrap beside a door that is cut out: nearer than one to either edge, outside it.
fn leaves_scrap(at: i64, door: &Door) -> bool {
    let (a, b, least) = (door.from.nm(), door.to.nm(), SCRAP.nm() - ROUNDING.nm());
    let tol = ROUNDING.nm();
    a - at < least && at <= a + tol || at - b < least && at >= b - tol
}

/// No bottom plate lies wholly in a door, and none ends a scrap's length beside one.
fn scraps(
    floor: &Floor,
    shapes: &Shapes,
    doors: &[(RunId, Door)],
    line: Line,
    report: &mut Report,
) {
    let name = |door: &Door| format!("{} to {} in", door.from.to_inches(), door.to.to_inches());
    let mut breach = |run: RunId, station: i64, text: String| {
        let place = floor.run(run).frame().at(Length::from_nm(station), Length::ZERO);
        let text = format!("{}: {text}.", run_name(run));
        report
            .breach(line, Finding::new(verify::PROOF_BOTTOM, text).at(place).about(run_name(run)));
    };
    for (run, door) in doors {
        for at in tight_joints(shapes, *run, Layer::Bottom) {
            if leaves_scrap(at, door) {
                let at_in = inches(at);
                let door = name(door);
                breach(
                    *run,
                    at,
                    format!(
                        "the bottom joint at {at_in} in leaves a scrap beside the door from {door}"
                    ),
                );
            }
        }
        for s in shapes.chain(*run, Layer::Bottom) {
            if s.extent[0] >= door.from.nm() && s.extent[1] <= door.to.nm() {
                let text = format!(
                    "the bottom plate {} lies wholly in the door from {}",
                    piece_name(s.id),
                    name(door)
                );
                breach(*run, s.extent[0], text);
            }
        }
    }
}

/// Bottom plates of runs where they end at doors: less those, nothing missing and nothing over. Openings of
/// unknown kind may be left or taken out.
fn at_doors(
    floor: &Floor,
    shapes: &Shapes,
    storey: StoreyId,
    open: &BTreeMap<RunId, Vec<&Door>>,
    line: Line,
    report: &mut Report,
) {
    let slack = SLIVER.nm() as f64 / 2.0;
    let mut breach = |part: Part, what: &str| {
        let text = format!("{:.4} sq in of bottom plate {what}.", part.square_inches());
        report.breach(line, at(verify::PROOF_BOTTOM, text, &part, String::new()));
    };
    let grow = |o: &[Point], by: f64| grown(o, by, PLATE_LIMIT);
    let here = |s: &&Shape| open.contains_key(&s.run);
    let wide: Vec<Vec<Point>> =
        shapes.of(storey, Layer::Lower).map(|s| grow(&s.outline, slack)).collect();
    let bottom = shapes.of(storey, Layer::Bottom).filter(here).map(|s| s.outline.as_slice());
    for part in difference(bottom, slices(&wide)) {
        breach(part, "lies where no lower plate is");
    }
    let bottom_of = |run: RunId, by: f64| -> Vec<Vec<Point>> {
        shapes.chain(run, Layer::Bottom).map(|s| grow(&s.outline, by)).collect()
    };
    // A door is cut out of its own wall's plates alone: its outline may reach into the wall it stands beside.
    for (run, doors) in open {
        let known = doors.iter().filter(|d| !d.maybe);
        let narrow: Vec<Vec<Point>> = known.map(|d| grow(&d.outline, -slack)).collect();
        let slim = bottom_of(*run, -slack);
        for part in intersection(slices(&slim), slices(&narrow)) {
            breach(part, "runs through a door");
        }
    }
    for (run, doors) in open {
        let run = *run;
        let mut clip = bottom_of(run, slack);
        clip.extend(doors.iter().map(|d| grow(&d.outline, slack)));
        let own = shapes.chain(run, Layer::Lower).map(|s| s.outline.as_slice());
        for part in difference(own, slices(&clip)) {
            if !is_wedge_beside_door(floor, run, &part) {
                breach(part, "is missing under a lower plate");
            }
        }
    }
}

/// Whether a place is what an oblique cut leaves of a plate beside a door: it reaches the door, and nowhere
/// is it as wide as the plate. That is no piece of lumber, and may be left out.
fn is_wedge_beside_door(floor: &Floor, run: RunId, part: &Part) -> bool {
    let tolerance = SLIVER * 2;
    floor.walls.iter().filter(|w| w.run == run).any(|wall| {
        let Some(frame) = geom::Frame::between(wall.start, wall.end) else { return false };
        let half = wall.section.width().half();
        let corners: Vec<(Length, Length)> = part.outer.iter().map(|p| frame.locate(*p)).collect();
        let beside = |edge: Length| corners.iter().any(|c| (c.0 - edge).abs() <= tolerance);
        let mut doors = wall.openings.iter().filter(|o| o.kind != OpeningKind::Window);
        if corners.iter().any(|c| c.1.abs() > half + tolerance)
            || !doors.any(|o| beside(o.from) || beside(o.to))
        {
            return false;
        }
        // The stretch along each edge of the plate.
        let along = |edge: Length| {
            let on = corners.iter().filter(|c| (c.1 - edge).abs() <= tolerance);
            let stations = on.map(|c| c.0);
            stations.clone().min().zip(stations.max())
        };
        let Some((right, left)) = along(-half).zip(along(half)) else { return true };
        right.1.min(left.1) - right.0.max(left.0) <= tolerance
    })
}
