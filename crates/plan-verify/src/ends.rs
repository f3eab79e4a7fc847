//! Item 7: what an end is said to meet is what lies beside it.

use crate::footprint::IN_LINE;
use crate::left_bare::Boxes;
use crate::measure::{Bounds, V, cross, minus, moved};
use crate::report::Report;
use crate::shape::{Shape, Shapes};
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Against, Layer, Piece, Plan, piece_name, run_name};
use settings::Settings;
use wall_model::floor::{Floor, JunctionKind, Run, RunId};

/// Beyond the clearance, to be inside of what lies there: 1/16 in.
const INTO: Length = Length::SIXTEENTH;

/// Proves what every end meets.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    report: &mut Report,
) {
    let line = report.line(
        7,
        "what an end is said to meet lies beside it: the next piece, another wall's plate, a notch, a taller wall, or nothing",
    );
    let all: Vec<&Shape> = shapes.all().collect();
    let boxes = Boxes::of(all.iter().map(|s| s.bounds));
    let place = Place { floor, plan, settings, all, boxes };
    for shape in shapes.all() {
        let piece = &plan.pieces[shape.id.0 as usize];
        report.looked(line, 2);
        for (end, of_piece) in piece.ends.iter().enumerate() {
            let Some(why) = place.otherwise(shape, end, of_piece.against) else { continue };
            let which = ["start", "end"][end];
            let text = format!("{} ({}): {why} at its {which}.", piece_name(shape.id), piece.mark);
            let at = place.middle(shape, end);
            let finding = Finding::new(verify::PROOF_END, text).at(at);
            report.breach(line, finding.about(piece_name(shape.id)));
        }
    }
}

struct Place<'a> {
    floor: &'a Floor,
    plan: &'a Plan,
    settings: &'a Settings,
    all: Vec<&'a Shape>,
    boxes: Boxes,
}

impl Place<'_> {
    /// What is wrong with what an end is said to meet.
    fn otherwise(&self, shape: &Shape, end: usize, against: Against) -> Option<String> {
        // A corner of the end may lie against a wall and no more of it: that is enough to meet it, and no less free an end.
        let least = if against == Against::Open { INTO } else { SLIVER };
        let probes = self.probes(shape, end, 1, least);
        let beside = self.beside(shape, end, &probes);
        let dir = |run: RunId| self.floor.run(run).frame().dir();
        let in_line = |run: RunId| cross(dir(run), dir(shape.run)).abs() <= IN_LINE;
        let next = beside.iter().any(|s| in_line(s.run));
        // At a corner the plate that goes through may be the other wall's, and where tops differ there is none.
        // Of several walls at one place one is named.
        let meets = |run: RunId| {
            let plate = beside.iter().any(|s| s.run == run);
            let others = self.met(shape, end);
            let one_of = others.contains(&run);
            plate
                || self.wall_there(run, &probes)
                || one_of && others.iter().any(|r| self.wall_there(*r, &probes))
        };
        match against {
            Against::SameRun if !next => {
                Some("it is said to meet the next piece of its run, and there is none".to_owned())
            }
            Against::Open => {
                let Some(other) = beside.first() else {
                    return self.stands_taller(shape, end, &probes);
                };
                // Flush with the outer face of a wall it runs over, another one's plate may stop at it.
                let own = beside.iter().any(|s| s.run == shape.run);
                // And a wall drawn past a free one's end, without a junction.
                let flush = !own && (self.runs_over(shape, end) || self.is_free(shape, end));
                let text =
                    || format!("it is said to end free, and {} is there", piece_name(other.id));
                (!flush).then(text)
            }
            Against::Run(run) if !meets(run) => {
                Some(format!("it is said to meet {}, and that wall is not there", run_name(run)))
            }
            Against::Notch(run) => {
                let bitten = beside.iter().any(|s| s.run == run && !s.bites.is_empty());
                (!bitten).then(|| {
                    format!("it is said to end in a notch of {}, and none is there", run_name(run))
                })
            }
            Against::Stud(run) if !meets(run) => Some(format!(
                "it is said to meet a stud of {}, and that wall is not there",
                run_name(run)
            )),
            _ => None,
        }
    }

    /// The studs of a taller wall that its run meets, where an end that is said to end free stops at them.
    fn stands_taller(&self, shape: &Shape, end: usize, probes: &[Point]) -> Option<String> {
        let own = &self.plan.pieces[shape.id.0 as usize];
        let z = height(own, end);
        let over = z + own.section.thickness() * 2;
        let inside = self.probes(shape, end, -1, INTO);
        let is_taller = |id: &RunId| {
            let run = self.floor.run(*id);
            let top = run.top.min(run.top + run.rise);
            run.base < z
                && top > over
                && self.wall_there(*id, probes)
                && !self.wall_there(*id, &inside)
        };
        let taller = self.met(shape, end).into_iter().find(is_taller)?;
        Some(format!(
            "it is said to end free, and the taller wall {} stands there",
            run_name(taller)
        ))
    }

    /// Plates of its layer and height that lie just beyond an end, where it is looked for them.
    fn beside(&self, shape: &Shape, end: usize, probes: &[Point]) -> Vec<&Shape> {
        let own = &self.plan.pieces[shape.id.0 as usize];
        let z = height(own, end);
        let near = self.boxes.meeting(&Bounds::of(probes));
        let is_as_high = |s: &Shape, at: Point| {
            let there = self.height_at(s, at);
            s.run == shape.run || (there - z).abs() <= own.section.thickness().half()
        };
        let mut found: Vec<&Shape> = near
            .into_iter()
            .map(|k| self.all[k])
            .filter(|s| s.id != shape.id && s.layer == shape.layer && s.storey == shape.storey)
            .filter(|s| probes.iter().any(|p| contains(&s.outline, *p) && is_as_high(s, *p)))
            .collect();
        found.sort_unstable_by_key(|s| s.id);
        found
    }

    /// The underside of a plate at a place in it, above the storey: on a slope it rises from its start to its end.
    fn height_at(&self, shape: &Shape, at: Point) -> Length {
        let piece = &self.plan.pieces[shape.id.0 as usize];
        let long = (piece.to - piece.from).nm();
        let Some(rake) = piece.rake.filter(|_| long > 0) else { return piece.z };
        let along = self.floor.run(shape.run).frame().locate(at).0 - piece.from;
        let share = along.nm() as f64 / long as f64;
        piece.z + (rake.z_end - piece.z).scale(share)
    }

    /// Whether the body of a run lies at one of these places: what its line covers, or one of its plates, which may run to a point far
    /// beyond the line at a flat angle.
    fn wall_there(&self, id: RunId, places: &[Point]) -> bool {
        let Some(run) = self.floor.runs.get(id.0 as usize) else { return false };
        let on_a_plate = || {
            let near = self.boxes.meeting(&Bounds::of(places)).into_iter().map(|k| self.all[k]);
            let mut own = near.filter(|s| s.run == id);
            own.any(|s| places.iter().any(|p| contains(&s.outline, *p)))
        };
        places.iter().any(|p| within(run, *p)) || on_a_plate()
    }

    /// Whether the wood of an end lies over a wall that its run meets there.
    fn runs_over(&self, shape: &Shape, end: usize) -> bool {
        let inside = self.probes(shape, end, -1, INTO);
        self.met(shape, end).into_iter().any(|r| self.wall_there(r, &inside))
    }

    /// Whether the run itself ends there and meets no other.
    fn is_free(&self, shape: &Shape, end: usize) -> bool {
        let run = self.floor.run(shape.run);
        let (node, id) = match end {
            0 => (Length::ZERO, run.start_junction),
            _ => (run.length(), run.end_junction),
        };
        let here = (Length::from_nm(shape.extent[end]) - node).abs() <= run.section.width();
        here && self.floor.junction(id).kind == JunctionKind::End
    }

    /// The runs that its run meets near an end.
    fn met(&self, shape: &Shape, end: usize) -> Vec<RunId> {
        let run = self.floor.run(shape.run);
        let here = Length::from_nm(shape.extent[end]);
        let through = run.through.iter().copied();
        let ends = [(Length::ZERO, run.start_junction), (run.length(), run.end_junction)];
        let near = through.chain(ends).filter(|(at, _)| (*at - here).abs() <= Length::feet(4));
        let arms = near.flat_map(|(_, j)| &self.floor.junction(j).arms);
        let mut met: Vec<RunId> = arms.map(|a| a.run).filter(|r| *r != shape.run).collect();
        met.sort_unstable();
        met.dedup();
        met
    }

    /// Points just beyond an end (1) or just before it (-1), along each of its sides that is longer than the least.
    fn probes(&self, shape: &Shape, end: usize, side: i64, least: Length) -> Vec<Point> {
        let plates = &self.settings.plates;
        let clearance = match shape.layer {
            Layer::Upper => plates.upper_clearance.max(plates.notch_side_clearance),
            _ => Length::ZERO,
        };
        let out = match side {
            1 => (clearance + SLIVER + ROUNDING + INTO).nm(),
            _ => -INTO.nm(),
        };
        let corners = self.corners(shape, end);
        let sides = corners.windows(2).filter(|w| w[0].distance(w[1]) > least);
        sides
            .flat_map(|w| {
                let along = minus(w[1], w[0]);
                let by = out as f64 / along.0.hypot(along.1);
                let outward: V = (along.1 * by, -along.0 * by);
                [0.1, 0.3, 0.5, 0.7, 0.9].map(|share| {
                    moved(w[0], (along.0 * share + outward.0, along.1 * share + outward.1))
                })
            })
            .collect()
    }

    /// The corners of an end, counter-clockwise: at the run's end from its right edge to its left, at its start from its left
    /// edge to its right.
    fn corners(&self, shape: &Shape, end: usize) -> Vec<Point> {
        let frame = self.floor.run(shape.run).frame();
        let half = self.floor.run(shape.run).section.width().half();
        let n = shape.outline.len();
        // -1 on the right edge, 1 on the left, 0 between.
        let edge = |k: usize| {
            let offset = frame.locate(shape.outline[k % n]).1;
            i32::from(offset >= half - ROUNDING) - i32::from(offset <= ROUNDING - half)
        };
        let first = if end == 1 { -1 } else { 1 };
        let next_edge = |k: usize| (k + 1..k + n).find(|m| edge(*m) != 0);
        let at_end =
            |k: &usize| edge(*k) == first && next_edge(*k).is_some_and(|m| edge(m) == -first);
        let Some(k) = (0..n).find(at_end) else { return Vec::new() };
        let last = next_edge(k).unwrap_or(k);
        (k..=last).map(|m| shape.outline[m % n]).collect()
    }

    fn middle(&self, shape: &Shape, end: usize) -> Point {
        let corners = self.corners(shape, end);
        let (first, last) = (corners.first(), corners.last());
        let middle = first.zip(last).map(|(a, b)| {
            let half = minus(*b, *a);
            moved(*a, (half.0 / 2.0, half.1 / 2.0))
        });
        middle.unwrap_or(shape.outline[0])
    }
}

/// The underside of a plate at one of its ends, above the storey.
fn height(piece: &Piece, end: usize) -> Length {
    match (end, piece.rake) {
        (1, Some(rake)) => rake.z_end,
        _ => piece.z,
    }
}

/// Whether a point lies inside a simple polygon.
fn contains(outline: &[Point], p: Point) -> bool {
    let next = outline.iter().cycle().skip(1);
    let crossed = outline.iter().zip(next).filter(|(a, b)| {
        (a.y <= p.y) != (b.y <= p.y) && {
            let share = (p.y - a.y).nm() as f64 / (b.y - a.y).nm() as f64;
            (p.x - a.x).nm() as f64 <= (b.x - a.x).nm() as f64 * share
        }
    });
    crossed.count() % 2 == 1
}

/// Whether a point lies in the body of a run, which reaches past its nodes by half of the widest section.
fn within(run: &Run, p: Point) -> bool {
    let (station, offset) = run.frame().locate(p);
    let beyond = Length::inches(12);
    station >= -beyond
        && station <= run.length() + beyond
        && offset.abs() <= run.section.width().half()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lumber::Section;
    use wall_model::StoreyId;
    use wall_model::floor::JunctionId;

    fn at(x: f64, y: f64) -> Point {
        let inch = |v| Length::from_inches(v).unwrap_or_default();
        Point::new(inch(x), inch(y))
    }

    /// By hand: at y = 4 the sides of the triangle are at x = 2 and 7; the notch is cut from x = 4 to 6 down to y = 2.
    #[test]
    fn points_inside_of_outlines() {
        let triangle = [at(0.0, 0.0), at(10.0, 0.0), at(4.0, 8.0)];
        let inside = |x, y| contains(&triangle, at(x, y));
        assert!(inside(2.1, 4.0) && inside(6.9, 4.0) && inside(4.0, 7.9) && inside(0.2, 0.1));
        assert!(!inside(1.9, 4.0) && !inside(7.1, 4.0) && !inside(4.0, 8.1) && !inside(4.0, -0.1));
        let notched = [
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 4.0),
            (6.0, 4.0),
            (6.0, 2.0),
            (4.0, 2.0),
            (4.0, 4.0),
            (0.0, 4.0),
        ]
        .map(|(x, y)| at(x, y));
        let inside = |x, y| contains(&notched, at(x, y));
        assert!(inside(3.0, 3.0) && inside(7.0, 3.0) && inside(5.0, 1.0));
        assert!(!inside(5.0, 3.0) && !inside(-1.0, 3.0) && !inside(11.0, 3.0));
    }

    /// A 2x4 of 100 in along y reaches 1-3/4 in to either side and 12 in beyond its nodes.
    #[test]
    fn the_body_of_a_run() {
        let run = Run {
            storey: StoreyId(0),
            start: at(10.0, 0.0),
            end: at(10.0, 100.0),
            section: Section::S2X4,
            base: Length::ZERO,
            top: Length::inches(97),
            rise: Length::ZERO,
            walls: vec![],
            start_junction: JunctionId(0),
            end_junction: JunctionId(1),
            through: vec![],
        };
        let inside = |x, y| within(&run, at(x, y));
        assert!(inside(11.75, -12.0) && inside(8.25, 112.0) && inside(10.0, 50.0));
        assert!(!inside(10.0, -12.1) && !inside(10.0, 112.1));
        assert!(!inside(11.8, 50.0) && !inside(8.2, 50.0));
    }
}
