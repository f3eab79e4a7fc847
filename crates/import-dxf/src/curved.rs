//! Curved walls: arcs on wall layers, as the straight parts they are planned as.
//!
//! Knows: what becomes of the arcs, how it is told. Never touches: which arcs are walls (`arcwalls`), how they go on
//! across doors (`curveddoors`); all other arcs stay left out.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::arcwalls::{Ends, curves, faces, is_centreline};
use crate::centrelines::single_wall;
use crate::curveddoors::{Faced, Made, across_doors, planned};
use crate::facewalls::wall_line;
use crate::layernotes::SectionDoubts;
use crate::linework::Segment;
use crate::pairing::FoundWall;
use crate::report::{NAMED, Placed};
use crate::survey::Survey;
use crate::unitwords::size;
use crate::walls::{THICKEST_TOLD_IN, WallLine};
use diag::codes::dxf;
use diag::{Finding, SourceRef};
use settings::{CurvedWalls, Settings};
use std::collections::BTreeMap;

/// Plans the curved walls of the wall layers as straight parts, after all straight `walls` are known. What
/// it takes up gets the fate of what is used; gives the number of arcs taken of each shape.
pub(crate) fn curved_walls(
    s: &mut Survey<'_>,
    (k, metric): (f64, bool),
    settings: &Settings,
    walls: &mut Vec<WallLine>,
    doubts: &mut SectionDoubts,
    findings: &mut Vec<Placed>,
) -> BTreeMap<usize, usize> {
    let mut taken: BTreeMap<usize, usize> = BTreeMap::new();
    if settings.curved_walls == CurvedWalls::LeaveOut {
        return taken;
    }
    let curves = curves(s, k);
    if curves.is_empty() {
        return taken;
    }
    let mut free = vec![true; curves.len()];
    let mut made: Vec<Made> = Vec::new();
    let mut faced: Vec<Faced> = Vec::new();
    for (i, j, middle) in faces(&curves) {
        if !(free[i] && free[j]) {
            continue;
        }
        if middle.parts().is_none() {
            continue;
        }
        let (one, other) = (&curves[i], &curves[j]);
        let thickness = (one.radius - other.radius).abs();
        let chords = [one, other].map(|c| Segment { a: c.at(0.0), b: c.at(c.sweep / 2.0) });
        let found = FoundWall {
            line: chords[0],
            lines: vec![0, 1],
            thickness,
            overall: thickness,
            gaps: Vec::new(),
            panes: Vec::new(),
        };
        let shapes = [one.shape, other.shape];
        (free[i], free[j]) = (false, false);
        let known = (settings, metric);
        let Some(wall) =
            wall_line(s, (&found, THICKEST_TOLD_IN), &chords, &shapes, [0.0; 2], known, doubts)
        else {
            for shape in shapes {
                if s.fates.get(shape) == Some(&Fate::Left(Reason::Curved)) {
                    s.fates[shape] = Fate::Left(Reason::NoSection);
                }
            }
            continue;
        };
        faced.push(Faced { middle, shapes: shapes.to_vec(), wall });
    }
    for (pieces, gaps) in across_doors(faced, walls) {
        made.extend(planned(&pieces, &gaps));
    }
    let ends = Ends::of(walls, settings.graph.snap.to_inches());
    for (i, curve) in curves.iter().enumerate() {
        if !free[i] || !is_centreline(s, curve, &ends) {
            continue;
        }
        let Some(parts) = curve.parts() else { continue };
        let each = parts.into_iter();
        let each = each.filter_map(|g| single_wall(s, curve.shape, g, (settings, metric), doubts));
        let lines: Vec<WallLine> = each.collect();
        if !lines.is_empty() {
            made.push(Made { curve: *curve, shapes: vec![curve.shape], lines, doors: Vec::new() });
        }
    }
    report(s, &made, findings);
    for Made { shapes, lines, .. } in made {
        for shape in shapes {
            *taken.entry(shape).or_default() += 1;
            s.fates[shape] = Fate::Used;
        }
        walls.extend(lines);
    }
    taken
}

fn report(s: &Survey<'_>, made: &[Made], findings: &mut Vec<Placed>) {
    let mut told: Vec<(Vec<SourceRef>, String, Xy)> = Vec::new();
    for Made { curve, shapes, lines, doors } in made {
        let mut sources: Vec<SourceRef> = shapes.iter().map(|i| s.source(*i)).collect();
        sources.sort();
        sources.dedup();
        let names: Vec<&str> = sources.iter().map(|x| x.entity.as_str()).collect();
        let each = lines.first().map_or(0.0, |w| norm(sub(w.line.b, w.line.a)));
        let mut message = format!(
            "The wall of {} on layer {} is curved with radius {}, {} long: planned as {} straight parts of {}.",
            names.join(" and "),
            sources.first().map_or("", |x| x.layer.as_str()),
            size(curve.radius),
            size(curve.radius * curve.sweep),
            lines.len() - doors.len(),
            size(each)
        );
        for [width, off] in doors {
            message += &format!(
                " An opening {} wide in it has a straight part of its own, {} off the curve at its middle.",
                size(*width),
                size(*off)
            );
        }
        told.push((sources, message, curve.at(curve.sweep / 2.0)));
    }
    told.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
    let (named, rest) = told.split_at(NAMED.min(told.len()));
    for (sources, message, at) in named {
        let finding = Finding::new(dxf::WALL_IN_PARTS, message.clone()).from(sources);
        findings.push(Placed { finding, at_in: Some(*at) });
    }
    if !rest.is_empty() {
        let message = format!("{} more curved walls are planned as straight parts.", rest.len());
        let some: Vec<SourceRef> =
            rest.iter().take(NAMED).filter_map(|r| r.0.first().cloned()).collect();
        findings.push(Finding::new(dxf::WALL_IN_PARTS, message).from(&some).into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Dxf;
    use crate::tests::{ok, ok_with, with};
    use std::f64::consts::FRAC_PI_2;
    use wall_model::WallModel;

    /// A quarter circle about (300, 300).
    fn quarter(radius: f64) -> [(i32, f64); 5] {
        [(10, 300.0), (20, 300.0), (40, radius), (50, 0.0), (51, 90.0)]
    }
    /// Distances of the ends of all parts from (300, 300), least and greatest, and how many parts.
    fn about(model: &WallModel, parts: usize) -> [f64; 2] {
        let o = model.origin_inches;
        let lengths =
            model.walls.iter().filter(|w| w.source.iter().any(|s| s.layer == "A-WALL-ARC"));
        let ends: Vec<Xy> = lengths
            .flat_map(|w| [w.start, w.end])
            .map(|p| [p.x.to_inches() + o.0 - 300.0, p.y.to_inches() + o.1 - 300.0])
            .collect();
        assert_eq!(ends.len(), parts * 2);
        let far =
            |best: fn(f64, f64) -> f64, from: f64| ends.iter().map(|p| norm(*p)).fold(from, best);
        [far(f64::min, f64::MAX), far(f64::max, 0.0)]
    }

    #[test]
    fn two_arcs_about_one_centre_are_the_faces_of_a_wall() {
        for (inner, outer) in [(118.25, 121.75), (117.25, 122.75)] {
            let d = Dxf::inches().house().entity("ARC", "A-WALL-ARC", &quarter(inner)).entity(
                "ARC",
                "A-WALL-ARC",
                &quarter(outer),
            );
            let o = ok(&d);
            let [least, most] = about(&o.value, 13);
            assert!((least - 120.0).abs() < 1e-3 && (most - 120.0).abs() < 1e-3);
            assert_eq!(o.value.ledger.used(), o.value.ledger.read());
            let thick = o.value.walls.iter().map(|w| w.drawn_thickness.to_inches());
            assert!(thick.filter(|t| (t - (outer - inner)).abs() < 1e-6).count() >= 13);
            let said = with(&o.findings, "dxf-wall-in-parts");
            assert_eq!(said.len(), 1);
            assert!(said[0].message.contains("13 straight parts"), "{}", said[0].message);
            assert_eq!(said[0].source.len(), 2);
            let left = ok_with(
                &d,
                &Settings { curved_walls: CurvedWalls::LeaveOut, ..Settings::default() },
            );
            assert_eq!(with(&left.findings, "dxf-curved-wall").len(), 2);
        }
    }

    /// Both faces stop at a door: one wall, the door in a straight part of its own.
    #[test]
    fn a_curved_wall_goes_on_across_a_door() {
        let arc = |radius: f64, from: f64, to: f64| {
            [(10, 300.0), (20, 300.0), (40, radius), (50, from), (51, to)]
        };
        let drawing = |door: f64| {
            let mut d = Dxf::inches().house();
            let half = (door / 2.0 / 120.0).to_degrees();
            for radius in [118.25, 121.75] {
                d = d.entity("ARC", "A-WALL-ARC", &arc(radius, 0.0, 45.0 - half));
                d = d.entity("ARC", "A-WALL-ARC", &arc(radius, 45.0 + half, 90.0));
            }
            d
        };
        let of = |o: &diag::Outcome<WallModel>| {
            let own = o.value.walls.iter();
            own.filter(|w| w.source.iter().any(|s| s.layer == "A-WALL-ARC"))
                .cloned()
                .collect::<Vec<_>>()
        };
        let o = ok(&drawing(36.0));
        let walls = of(&o);
        let doors: Vec<_> = walls.iter().filter(|w| !w.openings.is_empty()).collect();
        assert_eq!(doors.len(), 1);
        let (door, long) = (&doors[0].openings[0], doors[0].length().to_inches());
        let wide = (door.to - door.from).to_inches();
        // The chord of 36 in of arc, and 3 in of studs at either side, a little less along the chord.
        assert!((wide - 35.9).abs() < 0.1, "{wide}");
        assert!((long - wide - 6.0).abs() < 0.1 && (door.from.to_inches() - 3.0).abs() < 0.1);
        let said = with(&o.findings, "dxf-wall-in-parts");
        assert_eq!(said.len(), 1, "{said:?}");
        assert_eq!(said[0].source.len(), 4);
        assert!(said[0].message.contains("An opening 2'-11"), "{}", said[0].message);
        assert_eq!(o.value.ledger.used(), o.value.ledger.read());
        // Where the parts meet their ends are one point.
        let ends: Vec<_> = walls.iter().flat_map(|w| [w.start, w.end]).collect();
        let met = ends.iter().filter(|p| ends.iter().filter(|q| q == p).count() == 2).count();
        assert_eq!(met, ends.len() - 2);
        // A narrow slit and a wide gap are no doors.
        for gap in [6.0, 110.0] {
            let o = ok(&drawing(gap));
            assert_eq!(with(&o.findings, "dxf-wall-in-parts").len(), 2, "{gap}");
            assert!(of(&o).iter().all(|w| w.openings.is_empty()));
        }
        // A wall that comes out of the gap makes it a junction.
        let d = drawing(36.0).line("A-WALL-2X4", [300.0, 300.0], [384.9, 384.9]);
        assert_eq!(with(&ok(&d).findings, "dxf-wall-in-parts").len(), 2);
    }

    #[test]
    fn arcs_that_are_no_faces_of_a_wall_stay_left_out() {
        // Too far from each other, about two centres, a door's swing.
        let moved = [(10, 301.0), (20, 300.0), (40, 121.75), (50, 0.0), (51, 90.0)];
        let d = Dxf::inches()
            .house()
            .entity("ARC", "A-WALL-ARC", &quarter(80.0))
            .entity("ARC", "A-WALL-ARC", &quarter(118.25))
            .entity("ARC", "A-WALL-ARC", &moved)
            .entity("ARC", "A-WALL-ARC", &quarter(36.0));
        let o = ok(&d);
        assert_eq!(with(&o.findings, "dxf-curved-wall").len(), 4);
        about(&o.value, 0);
    }

    /// Walls drawn as single lines: an arc between two of them is a wall, a door's swing between them is not.
    #[test]
    fn an_arc_between_the_ends_of_walls_is_a_centreline() {
        for (radius, parts) in [(120.0, 13), (36.0, 0)] {
            let d = Dxf::inches()
                .line("A-WALL", [300.0 + radius, 0.0], [300.0 + radius, 300.0])
                .line("A-WALL", [0.0, 300.0 + radius], [300.0, 300.0 + radius])
                .entity("ARC", "A-WALL-ARC", &quarter(radius));
            let o = ok(&d);
            about(&o.value, parts);
            assert_eq!(with(&o.findings, "dxf-curved-wall").len(), usize::from(parts == 0));
        }
        // A bulge of a polyline: a half circle of radius 50.
        let bulged = [
            (90, 3.0),
            (70, 0.0),
            (10, 250.0),
            (20, 300.0),
            (42, 1.0),
            (10, 350.0),
            (20, 300.0),
            (10, 500.0),
            (20, 300.0),
        ];
        let d = Dxf::inches().house().entity("LWPOLYLINE", "A-WALL-ARC", &bulged);
        let o = ok(&d);
        let half = CurvedWalls::parts(0.25, 50.0, 2.0 * FRAC_PI_2).unwrap() as usize;
        let [least, most] = about(&o.value, half + 1);
        assert!((least - 50.0).abs() < 1e-3 && (most - 200.0).abs() < 1e-3);
        assert!(with(&o.findings, "dxf-curved-wall").is_empty());
    }

    #[test]
    fn arcs_beyond_all_reach_are_left_out() {
        let d = Dxf::inches().house();
        let far = [(10, 1e300), (20, 300.0), (40, 1e300), (50, 0.0), (51, 90.0)];
        let o = ok(&d.entity("ARC", "A-WALL-ARC", &far).entity("ARC", "A-WALL-ARC", &far));
        about(&o.value, 0);
    }
}
