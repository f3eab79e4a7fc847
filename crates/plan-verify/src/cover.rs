//! Items 1 to 3: what the outlines cover.

use crate::bottoms;
use crate::footprint::{
    IN_LINE, Member, apart, corner_of_three, is_bend_at, members, on_half_angle,
};
use crate::left_bare::{Boxes, Cover};
use crate::measure::{Bounds, Part, cross, grown, intersection, minus, penetration};
use crate::report::{Line, Report};
use crate::shape::{Shape, Shapes};
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Layer, Plan, piece_name, run_name};
use settings::Settings;
use wall_model::StoreyId;
use wall_model::floor::{Floor, Junction, JunctionKind, Run};

/// Corners sharper than about a degree are cut off when an outline is grown; a little later for
/// plates than for walls, so that a plate never falls short of its wall there.
pub const WALL_LIMIT: f64 = 120.0;
pub const PLATE_LIMIT: f64 = 125.0;

/// Proves items 1 to 3.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    report: &mut Report,
) {
    overlaps(plan, shapes, report);
    let members = members(floor);
    let slack = SLIVER.nm() as f64 / 2.0;
    let lines = Lines::open(settings, report);
    for storey in (0..floor.storeys.len()).map(|s| StoreyId(s as u32)) {
        let walls: Vec<&Member> = members.iter().filter(|m| m.storey == storey).collect();
        report.looked(lines.missing, walls.len());
        let wall_outlines = || walls.iter().map(|m| m.outline.as_slice());
        let wide_walls = Cover::of(wall_outlines().map(|o| grown(o, slack, WALL_LIMIT)).collect());

        let lower: Vec<&Shape> = shapes.of(storey, Layer::Lower).collect();
        report.looked(lines.over, lower.len());
        let plates = Plates { floor, shapes: &lower };
        for part in Cover::of(plates.grown(slack)).bare(wall_outlines()) {
            let subject = nearest_run(&walls, part.place());
            let text = format!(
                "{:.4} sq in of the walls' footprint has no lower plate, near {}.",
                part.square_inches(),
                subject
            );
            report.breach(lines.missing, at(verify::PROOF_MISSING, text, &part, subject));
        }
        for (part, piece) in plates.beyond(&wide_walls) {
            let text = format!(
                "Lower plate {piece} covers {:.4} sq in outside the walls' footprint.",
                part.square_inches()
            );
            report.breach(lines.over, at(verify::PROOF_OVER, text, &part, piece));
        }

        let upper: Vec<&Shape> = shapes.of(storey, Layer::Upper).collect();
        report.looked(lines.inside, upper.len());
        let plates = Plates { floor, shapes: &upper };
        for (part, piece) in plates.beyond(&wide_walls) {
            let text = format!(
                "Upper plate {piece} covers {:.4} sq in outside the walls' footprint.",
                part.square_inches()
            );
            report.breach(lines.inside, at(verify::PROOF_UPPER_OUTSIDE, text, &part, piece));
        }
        report.looked(lines.bare, walls.len());
        bare(floor, &walls, &plates, settings, lines.bare, report);

        bottoms::check(floor, shapes, settings, storey, lines.bottom, report);
    }
}

struct Lines {
    missing: Line,
    over: Line,
    bottom: Line,
    inside: Line,
    bare: Line,
}

impl Lines {
    fn open(settings: &Settings, report: &mut Report) -> Lines {
        let clearance = widest_clearance(settings).to_inches();
        let bottom = if settings.plates.bottom_stops_at_doors {
            "the bottom plates are the lower plates less the door openings"
        } else {
            "the bottom outlines are the lower outlines; they end at doors in which a lower plate would lie wholly, or beside which one would leave a scrap"
        };
        Lines {
            missing: report.line(
                2,
                "the lower plates leave nothing of the walls' footprint bare (slivers under 0.001 in apart)",
            ),
            over: report.line(
                2,
                "the lower plates cover nothing outside the walls' footprint (slivers under 0.001 in apart)",
            ),
            bottom: report.line(2, bottom),
            inside: report.line(3, "the upper plates stay inside the walls' footprint"),
            bare: report.line(
                3,
                format!(
                    "the upper plates leave bare only gaps of at most {clearance} in between plates, and the strips beside a narrower plate that runs over a wider wall in line, or at a height step or a wall on a slope"
                ),
            ),
        }
    }
}

fn widest_clearance(settings: &Settings) -> Length {
    settings.plates.upper_clearance.max(settings.plates.notch_side_clearance)
}

pub fn at(code: diag::Code, text: String, part: &Part, subject: String) -> Finding {
    Finding::new(code, text).at(part.place()).about(subject)
}

pub fn slices(polygons: &[Vec<Point>]) -> impl Iterator<Item = &[Point]> {
    polygons.iter().map(Vec::as_slice)
}

/// The plates of one storey and layer.
struct Plates<'a> {
    floor: &'a Floor,
    shapes: &'a [&'a Shape],
}

impl Plates<'_> {
    fn grown(&self, by: f64) -> Vec<Vec<Point>> {
        self.shapes.iter().map(|s| grown(&s.outline, by, PLATE_LIMIT)).collect()
    }
    /// What lies outside `walls`, with the name of the piece it belongs to.
    fn beyond(&self, walls: &Cover) -> Vec<(Part, String)> {
        let outlines = self.shapes.iter().map(|s| s.outline.as_slice());
        let parts = walls.bare(outlines);
        let name = |part: &Part| {
            let owner = self.shapes.iter().find(|s| {
                let one = std::iter::once(s.outline.as_slice());
                !intersection(one, std::iter::once(part.outer.as_slice())).is_empty()
            });
            owner.map(|s| piece_name(s.id)).unwrap_or_default()
        };
        parts.into_iter().map(|p| (name(&p), p)).map(|(n, p)| (p, n)).collect()
    }
}

/// The run whose footprint holds the place, or lies nearest to it.
fn nearest_run(walls: &[&Member], place: Point) -> String {
    let off = |m: &&&Member| beyond_outline(&m.outline, place);
    let nearest = walls.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    nearest.map(|m| run_name(m.run)).unwrap_or_default()
}

/// How far a place lies beyond the farthest side of a convex outline, nanometres; 0 inside.
fn beyond_outline(outline: &[Point], place: Point) -> f64 {
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    let beyond = ends.map(|(a, b)| {
        let side = minus(*b, *a);
        -cross(side, minus(place, *a)) / side.0.hypot(side.1)
    });
    beyond.filter(|d| d.is_finite()).fold(0.0, f64::max)
}

/// Item 1: no two outlines of one storey and layer overlap.
fn overlaps(plan: &Plan, shapes: &Shapes, report: &mut Report) {
    let line = report.line(
        1,
        "no two outlines of one layer and storey overlap (by more than 0.001 in); pairs of neighbours looked at",
    );
    let mut groups: Vec<&Shape> = shapes.all().collect();
    groups.sort_by_key(|s| (s.storey, s.layer, s.id));
    for group in groups.chunk_by(|a, b| (a.storey, a.layer) == (b.storey, b.layer)) {
        let boxes = Boxes::of(group.iter().map(|s| s.bounds));
        for (index, shape) in group.iter().enumerate() {
            let neighbours: Vec<&Shape> = boxes
                .meeting(&shape.bounds)
                .into_iter()
                .filter(|i| *i > index)
                .map(|i| group[i])
                .filter(|o| shape.bounds.meets(&o.bounds, SLIVER.nm()))
                .collect();
            report.looked(line, neighbours.len());
            for other in neighbours {
                let Some(place) = overlap(shape, other) else { continue };
                let text = format!(
                    "{} plates {} ({}) and {} ({}) lie on the same place.",
                    shape.layer.name(),
                    piece_name(shape.id),
                    plan.pieces[shape.id.0 as usize].mark,
                    piece_name(other.id),
                    plan.pieces[other.id.0 as usize].mark,
                );
                let finding = Finding::new(verify::PROOF_OVERLAP, text);
                report.breach(line, finding.at(place).about(piece_name(shape.id)));
            }
        }
    }
}

/// A place in the overlap of two outlines, when it is thicker than a sliver.
fn overlap(a: &Shape, b: &Shape) -> Option<Point> {
    let shared = |a: &[Point], b: &[Point]| {
        intersection(std::iter::once(a), std::iter::once(b)).first().map(Part::place)
    };
    if a.convex && b.convex {
        let deep = penetration(&a.outline, &b.outline) > SLIVER.nm() as f64;
        return deep.then(|| shared(&a.outline, &b.outline).unwrap_or(a.outline[0]));
    }
    let shrink = |s: &Shape| grown(&s.outline, SLIVER.nm() as f64 / -2.0, PLATE_LIMIT);
    shared(&shrink(a), &shrink(b))
}

/// Item 3: what the upper plates leave bare. Walls are grown by half the widest clearance and plates
/// by a little more: gaps between plates close, whatever is wider or lies at an outer face remains.
fn bare(
    floor: &Floor,
    walls: &[&Member],
    plates: &Plates,
    settings: &Settings,
    line: Line,
    report: &mut Report,
) {
    let clearance = widest_clearance(settings);
    let half = clearance.nm() as f64 / 2.0;
    let wide: Vec<Vec<Point>> = walls.iter().map(|m| grown(&m.outline, half, WALL_LIMIT)).collect();
    let covered = Cover::of(plates.grown(half + SLIVER.nm() as f64 / 2.0));
    let is_strip =
        |part: &Part| is_speck(part, clearance) || is_strip_in_line(plates, part, clearance);
    // Of walls beside each other such strips may be one part.
    let is_strip_of_each = |part: &Part| {
        let bounds = Bounds::of(&part.outer);
        let near = wide.iter().filter(|w| Bounds::of(w).meets(&bounds, 0)).map(Vec::as_slice);
        let own = |wall| intersection(std::iter::once(&part.outer[..]), std::iter::once(wall));
        let parts: Vec<Part> = near.flat_map(own).collect();
        !parts.is_empty() && parts.iter().all(is_strip)
    };
    for part in covered.bare(slices(&wide)) {
        if is_strip(&part)
            || is_step_strip(floor, &part, clearance)
            || is_corner_of_gaps(floor, &part, clearance)
            || is_between_junctions(floor, &part, clearance)
            || is_strip_of_each(&part)
        {
            continue;
        }
        let subject = nearest_run(walls, part.place());
        let text = format!(
            "{} of the lower plates lies bare near {subject}: more than a joint's clearance of {} in.",
            area(part.square_inches()),
            clearance.to_inches()
        );
        report.breach(line, at(verify::PROOF_BARE, text, &part, subject));
    }
}

/// An area in words.
fn area(square_inches: f64) -> String {
    if square_inches < 0.001 {
        return "Less than 0.001 sq in".to_owned();
    }
    format!("About {square_inches:.3} sq in")
}

/// What the growing of plates leaves of a place hardly wider than a clearance either way.
fn is_speck(part: &Part, clearance: Length) -> bool {
    let place = part.place();
    part.outer.iter().all(|p| p.distance(place) <= clearance.scale(0.25))
}

fn parallel(a: &Run, b: &Run) -> bool {
    cross(a.frame().dir(), b.frame().dir()).abs() <= IN_LINE
}

/// The strip beside a narrower upper plate that runs on over a wider wall in line with its own.
fn is_strip_in_line(plates: &Plates, part: &Part, clearance: Length) -> bool {
    plates.shapes.iter().any(|s| {
        let narrow = plates.floor.run(s.run);
        let half = narrow.section.width().half();
        let reaches_out =
            s.extent[0] < -ROUNDING.nm() || s.extent[1] > narrow.length().nm() + ROUNDING.nm();
        if !reaches_out {
            return false;
        }
        // Any wider run that meets the narrow one in line: at its other end there may be one more.
        let ends = [narrow.start_junction, narrow.end_junction];
        let met = ends.iter().flat_map(|j| &plates.floor.junction(*j).arms);
        let frame = narrow.frame();
        met.map(|arm| plates.floor.run(arm.run))
            .filter(|r| r.section.width() > narrow.section.width() && parallel(r, narrow))
            .any(|wide| {
                let wide_frame = wide.frame();
                // Cut square to the narrow wall, which may lean a little.
                let lean = cross(wide_frame.dir(), frame.dir()).abs();
                let slack = clearance + SLIVER + wide.section.width().half().scale(lean);
                part.outer.iter().all(|p| {
                    let (station, offset) = frame.locate(*p);
                    // Seen from the wide wall's own line: the two may have a face flush.
                    let beside = offset.abs() >= half
                        && wide_frame.locate(*p).1.abs()
                            <= wide.section.width().half() + clearance + SLIVER;
                    let along = station.nm() >= s.extent[0] - slack.nm()
                        && station.nm() <= s.extent[1] + slack.nm();
                    beside && along
                })
            })
    })
}

/// Whether a place is no farther from a junction than so many times the widest of its walls.
fn is_near(floor: &Floor, j: &Junction, place: Point, widths: i64) -> bool {
    let widest = j.arms.iter().map(|a| floor.run(a.run).section.width()).max();
    j.at.distance(place) <= widest.unwrap_or(Length::ZERO) * widths
}

/// A strip no wider than a stud's thickness, at a junction of different or raked tops.
fn is_step_strip(floor: &Floor, part: &Part, clearance: Length) -> bool {
    let place = part.place();
    floor.junctions.iter().filter(|j| !floor.laps_at(j)).any(|j| {
        if !is_near(floor, j, place, 1) {
            return false;
        }
        j.arms.iter().any(|arm| {
            let run = floor.run(arm.run);
            let frame = run.frame();
            let places = || part.outer.iter().map(|p| frame.locate(*p).0);
            let thick = places().max().zip(places().min()).map(|(a, b)| a - b);
            thick.is_some_and(|t| t <= run.section.thickness() + clearance + SLIVER)
        })
    })
}

/// Where gaps of an `other` junction or a bend run together at an odd angle, or one ends at the face of a wall in
/// line that lies a little to the side: no larger than three clearances either way.
fn is_corner_of_gaps(floor: &Floor, part: &Part, clearance: Length) -> bool {
    let place = part.place();
    let odd = [JunctionKind::Other, JunctionKind::Inline];
    let other = |j: &&Junction| {
        odd.contains(&j.kind) || is_bend_at(floor, j) || corner_of_three(floor, j).is_some()
    };
    // Of two widths the wider plate's gap is open to the outside by what it is wider, of two that go on beside each
    // other's lines by what those are apart as well; a third's at a corner by what it stands out over that.
    let step = |j: &Junction| {
        if let Some(corner) = corner_of_three(floor, j) {
            return Length::from_nm(corner.out.round() as i64).max(Length::ZERO);
        }
        let runs = || j.arms.iter().map(|a| floor.run(a.run));
        let widths = || runs().map(|r| r.section.width());
        let wider = widths().max().zip(widths().min());
        let aside = || match (j.kind, &j.arms[..]) {
            (JunctionKind::Inline, [a, b]) => {
                floor.run(a.run).frame().locate(floor.run(b.run).start).1.abs()
            }
            (_, arms) => {
                let halved = arms.iter().find_map(|a| on_half_angle(floor, j, a.run));
                halved
                    .map_or(Length::ZERO, |[a, b]| Length::from_nm(apart(j, &a, &b).round() as i64))
            }
        };
        wider.map_or(Length::ZERO, |(most, least)| (most - least).half() + aside())
    };
    let small = |j: &Junction| {
        let (wider, gap) = (step(j).to_inches(), clearance.to_inches());
        part.outer.iter().all(|p| p.distance(place) <= clearance * 3)
            || part.outer.iter().all(|p| p.distance(place) <= step(j))
                && part.square_inches() <= wider * gap
    };
    floor.junctions.iter().filter(other).any(|j| is_near(floor, j, place, 2) && small(j))
}

/// Where a gap of one junction runs into one of another, walls crossing within inches of a third: no farther across than twice a
/// clearance.
fn is_between_junctions(floor: &Floor, part: &Part, clearance: Length) -> bool {
    let place = part.place();
    if part.outer.iter().any(|p| p.distance(place) > clearance) {
        return false;
    }
    floor.junctions.iter().filter(|j| is_near(floor, j, place, 2)).count() > 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_beside_an_outline_are_so_far_beyond_it() {
        let at = |x: i64, y: i64| Point::new(Length::inches(x), Length::inches(y));
        let square = [at(0, 0), at(10, 0), at(10, 4), at(0, 4)];
        let inches = |p| beyond_outline(&square, p) / Length::inches(1).nm() as f64;
        assert_eq!([at(5, 2), at(0, 4), at(12, 2), at(5, -3)].map(inches), [0.0, 0.0, 2.0, 3.0]);
    }

    #[test]
    fn an_area_is_never_nothing() {
        assert_eq!(area(0.0004), "Less than 0.001 sq in");
        assert_eq!(area(0.1206), "About 0.121 sq in");
    }
}
