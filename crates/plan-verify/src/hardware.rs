//! Straps, plates and screws: which plates they join, and whether the list of fasteners counts them and every nail.

use crate::measure::{intersection, minus};
use crate::report::Report;
use crate::shape::{Shape, Shapes};
use crate::{DETAILS, ROUNDING};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Layer, MarkKind, Plan, Tie, TieKind, junction_name, piece_name};
use rule_sets::RuleSet;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, JunctionId};

/// No plate or strap bridges more than this.
const REACH: Length = Length::inches(16);

/// Proves the hardware and the list of fasteners.
pub fn check(floor: &Floor, plan: &Plan, shapes: &Shapes, rules: &RuleSet, report: &mut Report) {
    let joins = report.line(
        4,
        "hardware joins top plates that lie within 16 in of each other, at a junction of theirs",
    );
    let counted = report.line(
        DETAILS,
        "the list of fasteners counts every nail of every plate and of every strap, all hardware and all bolts",
    );
    for tie in plan.ties.iter().filter(|t| matches!(t.kind, TieKind::Strap | TieKind::Screw)) {
        report.looked(joins, 1);
        if let Some(why) = joins_nothing(floor, plan, shapes, tie) {
            let text = format!("{} at {}: {why}.", tie.kind.name(), junction_name(tie.junction));
            let mut finding = Finding::new(verify::PROOF_TIE_ROW, text);
            finding.at = floor.junctions.get(tie.junction.0 as usize).map(|j| j.at);
            report.breach(joins, finding.about(junction_name(tie.junction)));
        }
    }
    let listed = plan.fasteners.iter().fold(Counts::new(), |mut all, f| {
        *all.entry(f.nail.as_str()).or_default() += f.count;
        all
    });
    let there = driven(plan, rules);
    let names: std::collections::BTreeSet<&str> =
        listed.keys().chain(there.keys()).copied().collect();
    report.looked(counted, names.len());
    for name in names {
        let [says, has] = [&listed, &there].map(|c| c.get(name).copied().unwrap_or(0));
        if says != has {
            let text = format!("The list of fasteners has {says} of \"{name}\", the plan {has}.");
            report.breach(counted, Finding::new(verify::PROOF_FASTENERS, text));
        }
    }
}

type Counts<'a> = BTreeMap<&'a str, u64>;

/// What the plates, ties and marks of a plan ask for.
fn driven<'a>(plan: &'a Plan, rules: &'a RuleSet) -> Counts<'a> {
    let mut all = Counts::new();
    for nail in plan.pieces.iter().flat_map(|p| &p.nails) {
        *all.entry(nail.nail.as_str()).or_default() += u64::from(nail.count);
    }
    for tie in &plan.ties {
        let mut times = 1;
        for (k, part) in tie.hardware.split("; ").filter(|p| !p.is_empty()).enumerate() {
            let separator = if k == 0 { " x " } else { " nails " };
            let Some((count, name)) = part.split_once(separator) else { continue };
            let Ok(count) = count.parse::<u64>() else { continue };
            // Nails are those of each strap.
            *all.entry(name).or_default() += count * times;
            times = count;
        }
    }
    let marks = plan.pieces.iter().flat_map(|p| &p.marks);
    let bolts = marks.filter(|m| m.kind == MarkKind::Anchor).count() as u64;
    if bolts > 0 {
        *all.entry(rules.anchors.bolt.as_str()).or_default() += bolts;
    }
    all
}

/// Why a strap or screws tie nothing, if they do not.
fn joins_nothing(floor: &Floor, plan: &Plan, shapes: &Shapes, tie: &Tie) -> Option<String> {
    let joined: Vec<&Shape> = tie.pieces.iter().filter_map(|p| shapes.get(*p)).collect();
    if joined.len() < tie.pieces.len() {
        return None; // named elsewhere
    }
    if let Some(low) = joined.iter().find(|s| s.layer == Layer::Bottom) {
        return Some(format!("{} is a bottom plate", piece_name(low.id)));
    }
    let here = |s: &&Shape| {
        let run = floor.run(s.run);
        let mut own = run.through.iter().map(|t| t.1).chain([run.start_junction, run.end_junction]);
        own.any(|j| j == tie.junction)
    };
    if !joined.iter().any(here) {
        return Some("none of its plates is of a wall there".to_owned());
    }
    // Screws go through a seam of the two walls; a strap may reach over to a third one's plate.
    if tie.kind == TieKind::Screw && !joined.iter().all(here) {
        return Some("one of its plates is of no wall there".to_owned());
    }
    if let [one] = joined[..] {
        let near = |b: &crate::shape::Bite| near_notch(floor, one, b, tie.junction);
        let across = one.bites.iter().any(near);
        return (!across).then(|| format!("it joins {} to nothing", piece_name(one.id)));
    }
    for pair in joined.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        let names = || [a, b].map(|s| piece_name(s.id)).join(" and ");
        if a.id == b.id {
            return Some(format!("it names {} twice", piece_name(a.id)));
        }
        let apart = apart(&a.outline, &b.outline);
        if apart > (REACH + ROUNDING).nm() as f64 {
            return Some(format!("{} are {:.2} in apart", names(), apart / 25.4e6));
        }
        if tie.kind == TieKind::Screw && a.run == b.run {
            return Some(format!("{} are plates of one wall", names()));
        }
        let stacked = a.run == b.run && a.layer != b.layer;
        let storeys = plan.pieces[a.id.0 as usize].storey != plan.pieces[b.id.0 as usize].storey;
        if stacked || storeys {
            return Some(format!("{} do not lie side by side", names()));
        }
    }
    None
}

/// Whether a notch of a plate is the one at a junction.
fn near_notch(floor: &Floor, shape: &Shape, bite: &crate::shape::Bite, at: JunctionId) -> bool {
    let Some(junction) = floor.junctions.get(at.0 as usize) else { return false };
    let station = floor.run(shape.run).frame().locate(junction.at).0.nm() - shape.extent[0];
    station >= (bite.from - REACH).nm() && station <= (bite.to + REACH).nm()
}

/// Least distance between the sides of two outlines, zero where they share a place, nm.
fn apart(a: &[Point], b: &[Point]) -> f64 {
    let from = |of: &[Point], to: &[Point]| {
        let sides = to.iter().zip(to.iter().cycle().skip(1));
        let away =
            |p: Point| sides.clone().map(|(s, t)| to_side(p, *s, *t)).fold(f64::MAX, f64::min);
        of.iter().map(|p| away(*p)).fold(f64::MAX, f64::min)
    };
    let between = from(a, b).min(from(b, a));
    // Plates that cross each other may have no corner near a side.
    let cross = || !intersection(std::iter::once(a), std::iter::once(b)).is_empty();
    if between > REACH.nm() as f64 && cross() { 0.0 } else { between }
}

fn to_side(p: Point, a: Point, b: Point) -> f64 {
    let (side, to) = (minus(b, a), minus(p, a));
    let long = side.0.hypot(side.1);
    if long == 0.0 {
        return to.0.hypot(to.1);
    }
    let along = ((to.0 * side.0 + to.1 * side.1) / long).clamp(0.0, long);
    (to.0 - side.0 / long * along).hypot(to.1 - side.1 / long * along)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Point {
        let inch = |v| Length::from_inches(v).unwrap_or_default();
        Point::new(inch(x), inch(y))
    }

    fn plate(x0: f64, y0: f64, x1: f64, y1: f64) -> [Point; 4] {
        [at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)]
    }

    /// By hand, a side from (0, 0) to (6, 8): beyond either end, and beside its middle, 5 away each; the last by the triangle
    /// 3-4-5 as well.
    #[test]
    fn distance_from_a_side() {
        let off = |x, y| (to_side(at(x, y), at(0.0, 0.0), at(6.0, 8.0)) / 25.4e3).round() / 1000.0;
        assert_eq!([off(10.0, 5.0), off(-3.0, -4.0), off(7.0, 1.0), off(-1.0, 7.0)], [5.0; 4]);
        assert_eq!([off(9.0, 12.0), off(3.0, 4.0), off(1.0, 7.0)], [5.0, 0.0, 3.4]);
        assert_eq!(to_side(at(3.0, 4.0), at(0.0, 0.0), at(0.0, 0.0)), 5.0 * 25.4e6);
    }

    #[test]
    fn distance_between_plates() {
        let inches = |a: &[Point], b: &[Point]| apart(a, b) / 25.4e6;
        let along = plate(-50.0, -1.75, 50.0, 1.75);
        // One across it, whose corners are all far from its sides.
        assert_eq!(inches(&along, &plate(-1.75, -50.0, 1.75, 50.0)), 0.0);
        assert_eq!(inches(&along, &plate(-1.75, 20.0, 1.75, 50.0)), 18.25);
        assert_eq!(inches(&plate(60.0, -1.75, 90.0, 1.75), &along), 10.0);
        assert_eq!(inches(&along, &plate(53.0, 5.75, 90.0, 9.25)), 5.0);
    }
}
