//! The marks on the plates: studs, openings, walls that meet, bolts.
//!
//! What is asked of a layout is common practice, no source: studs at the ends of every stretch of plate, beside every
//! opening, and in between no farther apart than the settings' spacing; the same marks on every plate of a wall.

use crate::layout::{Interval, Layout, on_run, stands, without};
use crate::measure::inches;
use crate::report::{Fault, Report};
use crate::shape::{Shape, Shapes};
use crate::{DETAILS, ROUNDING};
use diag::codes::verify;
use geom::Length;
use plan_model::{Layer, Mark, MarkKind, Plan, run_name};
use rule_sets::{Anchors, RuleSet};
use settings::Settings;
use wall_model::floor::{Floor, JunctionKind, Run, RunId};

const TOL: i64 = ROUNDING.nm();

/// Proves the marks of every plate. `layouts` are the runs' own.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    layouts: &[Layout],
    (settings, rules): (&Settings, &RuleSet),
    report: &mut Report,
) {
    let on_plates = report.line(
        DETAILS,
        "marks lie on their plates, in order, and the plates of a wall carry the same ones",
    );
    let studs = report.line(
        DETAILS,
        format!(
            "studs stand on the whole width of a plate, clear of openings and of each other, at the ends of every stretch, beside every opening, and otherwise at most {} in apart, but for what stands in a stud's place",
            settings.studs.spacing.to_inches()
        ),
    );
    let walls = report.line(
        DETAILS,
        "the edges of every opening and every wall that meets are marked where they are",
    );
    let bolts = (!plan.on_concrete.is_empty()).then(|| {
        report.line(DETAILS, "bolts are no farther apart and no farther from the ends of a plate than the rule set asks")
    });
    for (index, (run, layout)) in floor.runs.iter().zip(layouts).enumerate() {
        let id = RunId(index as u32);
        let marked = Marked { floor, plan, shapes, layout, run, id };
        report.looked(on_plates, marked.count());
        report.looked(studs, layout.standing.len());
        report.looked(walls, layout.openings.len() + run.through.len());
        let mut faults = vec![
            (on_plates, marked.not_on_plates()),
            (studs, standing_faults(layout, settings)),
            (walls, marked.not_at_walls()),
        ];
        if let Some(bolts) = bolts {
            faults.push((bolts, marked.bolts(&rules.anchors)));
        }
        for (line, faults) in faults {
            let of_run = ("Run ", run_name(id));
            report.faults(line, verify::PROOF_LAYOUT, of_run, &run.frame(), &faults);
        }
    }
}

/// The plates of a run with their marks.
struct Marked<'a> {
    floor: &'a Floor,
    plan: &'a Plan,
    shapes: &'a Shapes,
    layout: &'a Layout,
    run: &'a Run,
    id: RunId,
}

impl<'a> Marked<'a> {
    fn plates(&self, layer: Layer) -> impl Iterator<Item = (&'a Shape, &'a plan_model::Piece)> {
        let plan = self.plan;
        self.shapes.chain(self.id, layer).map(|s| (s, &plan.pieces[s.id.0 as usize]))
    }

    fn count(&self) -> usize {
        let all = Layer::ALL.into_iter().flat_map(|l| self.plates(l));
        all.map(|(_, p)| p.marks.len()).sum()
    }

    /// Marks beyond a plate's ends, out of order or twice, and marks that one plate of a wall has and another has not.
    fn not_on_plates(&self) -> Vec<Fault> {
        let mut faults = Vec::new();
        for layer in Layer::ALL {
            for (shape, piece) in self.plates(layer) {
                let mark = &piece.mark;
                let long = piece.rake.map_or(piece.to - piece.from, |r| r.edge);
                let beyond = |m: &&Mark| m.at < -ROUNDING || m.at > long + ROUNDING;
                if let Some(m) = piece.marks.iter().find(beyond) {
                    let text = format!(
                        "{mark} has a mark ({}) {} in from its start, and is {} in long",
                        m.kind.name(),
                        m.at.to_inches(),
                        long.to_inches()
                    );
                    faults.push((shape.extent[0], text));
                }
                if let Some(pair) = piece.marks.windows(2).find(|w| w[0] >= w[1]) {
                    let text = format!(
                        "marks of {mark} are not in order at {} in from its start",
                        pair[1].at.to_inches()
                    );
                    faults.push((shape.extent[0], text));
                }
            }
        }
        for other in [Layer::Bottom, Layer::Upper] {
            faults.extend(self.only_on_one(Layer::Lower, other));
            faults.extend(self.only_on_one(other, Layer::Lower));
        }
        faults.extend(Layer::ALL.into_iter().flat_map(|layer| self.not_on_both_sides(layer)));
        faults
    }

    /// Marks on the line of a tight joint that only one of its two plates has: what stands there bears both.
    fn not_on_both_sides(&self, layer: Layer) -> Vec<Fault> {
        let plates: Vec<_> = self.plates(layer).collect();
        let mut faults = Vec::new();
        for pair in plates.windows(2) {
            let ends = [pair[0].0.extent[1], pair[1].0.extent[0]];
            if (ends[0] - ends[1]).abs() > TOL {
                continue;
            }
            let marked = [0, 1].map(|side| {
                let (_, piece) = pair[side];
                let there = |m: &&Mark| near(on_run(piece, m.at), ends[side]) && stands(m.kind);
                piece.marks.iter().filter(there).map(|m| m.kind).collect::<Vec<_>>()
            });
            if marked[0] != marked[1] {
                let [a, b] = [0, 1].map(|side| &pair[side].1.mark);
                let place = inches(ends[0]);
                let text = format!(
                    "{a} and {b} meet at {place} in on their run and have not the same marks there"
                );
                faults.push((ends[0], text));
            }
        }
        faults
    }

    /// Marks of plates of one layer that are missing on the plate of another over or under them.
    fn only_on_one(&self, layer: Layer, other: Layer) -> Vec<Fault> {
        let mut faults = Vec::new();
        for (_, piece) in self.plates(layer) {
            for m in piece.marks.iter().filter(|m| m.kind != MarkKind::Anchor) {
                let at = on_run(piece, m.at);
                // Marks out of order are told of by themselves.
                let same = |q: &plan_model::Piece| {
                    let first = q.marks.partition_point(|n| on_run(q, n.at) < at - TOL);
                    let mut near =
                        q.marks[first..].iter().take_while(|n| on_run(q, n.at) <= at + TOL);
                    near.any(|n| n.kind == m.kind)
                };
                let Some(q) = self.plate_at(other, at, -TOL - 1) else {
                    // Where another wall goes through, its own mark and openings' edges are all there may be.
                    if layer != Layer::Lower
                        && stands(m.kind)
                        && self.plate_at(Layer::Lower, at, TOL).is_none()
                    {
                        let text = format!(
                            "{} has a mark ({}) at {} in on its run, where there is no {} plate",
                            piece.mark,
                            m.kind.name(),
                            inches(at),
                            other.name()
                        );
                        faults.push((at, text));
                    }
                    continue;
                };
                if !same(q) {
                    let text = format!(
                        "{} has a mark ({}) at {} in on its run, {} has none there",
                        piece.mark,
                        m.kind.name(),
                        inches(at),
                        q.mark
                    );
                    faults.push((at, text));
                }
            }
        }
        faults
    }

    /// The plate of that layer that reaches there, which may be so far beyond its ends.
    fn plate_at(&self, layer: Layer, at: i64, beyond: i64) -> Option<&'a plan_model::Piece> {
        let shape = self.shapes.begun(self.id, layer, at + beyond)?;
        let reaches = at <= shape.extent[1] + beyond;
        reaches.then(|| &self.plan.pieces[shape.id.0 as usize])
    }

    /// Edges of openings and walls that meet which are not marked on the lower plate there, and marks of none.
    fn not_at_walls(&self) -> Vec<Fault> {
        let edges = self.layout.openings.iter().flatten().copied();
        let meets = |j| self.floor.junction(j).kind != JunctionKind::Inline;
        let met = self.run.through.iter().filter(|(_, j)| meets(*j)).map(|(s, _)| s.nm());
        let mut faults = self.differ(MarkKind::Opening, edges.collect(), "edge of an opening");
        faults.extend(self.differ(MarkKind::Tee, met.collect(), "wall that meets"));
        faults
    }

    fn differ(&self, kind: MarkKind, mut there: Vec<i64>, what: &str) -> Vec<Fault> {
        let mut marked: Vec<i64> = Vec::new();
        for (_, piece) in self.plates(Layer::Lower) {
            let of_kind = piece.marks.iter().filter(|m| m.kind == kind);
            marked.extend(of_kind.map(|m| on_run(piece, m.at)));
        }
        marked.sort_unstable();
        there.sort_unstable();
        let near = |all: &[i64], at: i64| {
            all[all.partition_point(|a| *a < at - TOL)..].first().is_some_and(|a| *a <= at + TOL)
        };
        let within = |at: &i64| self.plate_at(Layer::Lower, *at, -TOL - 1).is_some();
        let unmarked = there.iter().filter(|at| within(at) && !near(&marked, **at));
        let unmarked = unmarked
            .map(|at| (*at, format!("the {what} at {} in on it is not marked", inches(*at))));
        let idle = marked.iter().filter(|at| !near(&there, **at));
        let idle = idle.map(|at| {
            (*at, format!("the {} mark at {} in on it is at no {what}", kind.name(), inches(*at)))
        });
        unmarked.chain(idle).collect()
    }

    /// Bolts of bottom plates: where some are, all that the rule asks for. A plate without any has no place for them, which
    /// the planner tells.
    fn bolts(&self, rule: &Anchors) -> Vec<Fault> {
        let mut faults = Vec::new();
        let on_concrete = self.plan.on_concrete.contains(&self.run.storey);
        let nm = |x: f64| Length::from_inches(x).unwrap_or_default().nm();
        for (shape, piece) in self.plates(Layer::Bottom) {
            let bolts: Vec<i64> = piece
                .marks
                .iter()
                .filter(|m| m.kind == MarkKind::Anchor)
                .map(|m| on_run(piece, m.at))
                .collect();
            let mut fault = |at: i64, why: &str| {
                let text =
                    format!("{}: the bolt at {} in on its run {why}", piece.mark, inches(at));
                faults.push((at, text));
            };
            let parts = without(shape.extent, &self.layout.doors);
            let of_part = |at: i64| parts.iter().find(|[a, b]| at >= a - TOL && at <= b + TOL);
            for at in &bolts {
                match of_part(*at) {
                    _ if !on_concrete => fault(*at, "is in a plate that does not lie on concrete"),
                    Some([a, b])
                        if at - a < nm(rule.end_least) - TOL
                            || b - at < nm(rule.end_least) - TOL =>
                    {
                        fault(*at, "is too near the plate's end or a door");
                    }
                    Some(_) => {}
                    None => fault(*at, "is in a door"),
                }
                if !self.layout.between(at - self.layout.half, at + self.layout.half).is_empty() {
                    fault(*at, "is under a stud");
                }
            }
            for [a, b] in &parts {
                let own: Vec<i64> = bolts.iter().copied().filter(|at| at >= a && at <= b).collect();
                let (Some(first), Some(last)) = (own.first(), own.last()) else { continue };
                // In a short plate the two lie on either side of its middle.
                let most = nm(rule.end_most);
                if first - a > most + TOL || b - last > most.min((b - a) / 2) + TOL {
                    fault(*first, "and its like leave an end of the plate loose");
                }
                if own.len() < 2 {
                    fault(*first, "is the only one in its plate");
                }
                if let Some(w) = own.windows(2).find(|w| w[1] - w[0] > nm(rule.max_spacing) + TOL) {
                    fault(w[1], "is too far from the one before");
                }
            }
        }
        faults
    }
}

/// What is wrong with how studs stand.
fn standing_faults(layout: &Layout, settings: &Settings) -> Vec<Fault> {
    let Layout { half, openings, stretches, standing, .. } = layout;
    let half = *half;
    let opening_from = |at: i64| openings.partition_point(|o| o[1] < at);
    let mut faults = Vec::new();
    let mut fault = |at: i64, why: String| faults.push((at, why));
    for pair in standing.windows(2) {
        if pair[1].at - pair[0].at < half * 2 - TOL {
            fault(
                pair[1].at,
                format!("two studs stand in one place at {} in on it", inches(pair[1].at)),
            );
        }
    }
    for s in standing {
        let (low, high) = (s.at - half + TOL, s.at + half - TOL);
        let place = || format!("the {} at {} in on it", s.kind.name(), inches(s.at));
        // Those that end no farther before it than a king and a trimmer reach.
        let near_by = || {
            let near = openings[opening_from(s.at - half * 4)..].iter();
            near.take_while(|o| o[0] <= s.at + half * 4)
        };
        if near_by().any(|[a, b]| high > *a && low < *b) {
            fault(s.at, format!("{} stands in an opening", place()));
        }
        let Some([a, b]) = layout.stretch_over([low, high], 2 * TOL) else {
            fault(s.at, format!("{} has not the whole width of the plate over it", place()));
            continue;
        };
        let beside = |out: i64| near_by().any(|[a, b]| near(a - s.at, out) || near(s.at - b, out));
        let wrong = match s.kind {
            MarkKind::Trimmer => !beside(half),
            MarkKind::King => !beside(half * 3),
            MarkKind::Corner => !near(s.at - a, half) && !near(b - s.at, half),
            _ => {
                let at_end = near(s.at - a, half) || near(b - s.at, half);
                !at_end && layout.off_layout(s.at, settings.studs.spacing) > TOL
            }
        };
        if wrong {
            fault(s.at, format!("{} stands where no {} belongs", place(), s.kind.name()));
        }
    }
    for stretch in stretches {
        faults.extend(bare_of_studs(layout, *stretch, settings.studs.spacing.nm()));
    }
    faults
}

fn near(a: i64, b: i64) -> bool {
    (a - b).abs() <= TOL
}

/// Where a stretch of plate lacks a stud: at its ends, beside an opening, in between.
fn bare_of_studs(layout: &Layout, [from, to]: Interval, spacing: i64) -> Vec<Fault> {
    let half = layout.half;
    let mut faults = Vec::new();
    let first = layout.openings.partition_point(|o| o[1] <= from);
    let openings: Vec<Interval> =
        layout.openings[first..].iter().take_while(|o| o[0] < to).copied().collect();
    let studs = layout.between(from, to);
    // Wood between two openings, or an opening and an end.
    for [a, b] in without([from, to], &openings) {
        let room = b - a;
        let here = layout.between(a, b);
        let beside_opening = |edge: i64| openings.iter().flatten().any(|o| *o == edge);
        if room < half * 2 {
            continue;
        }
        if here.is_empty() {
            faults
                .push((a, format!("nothing stands from {} to {} in on it", inches(a), inches(b))));
            continue;
        }
        for (edge, first, second) in [
            (a, here.first().map(|s| s.at - a), here.get(1).map(|s| s.at - a)),
            (b, here.last().map(|s| b - s.at), here.iter().rev().nth(1).map(|s| b - s.at)),
        ] {
            let Some(first) = first else { continue };
            let least = if beside_opening(edge) { half * 3 } else { half + TOL };
            // The last stud of so short a stretch stands for both its ends.
            if edge == b && room < half * 4 {
                continue;
            }
            let alone = beside_opening(edge) && room >= half * 4;
            let second = second.map_or(i64::MAX, |s| s - first);
            if first > least || alone && second >= half * 4 {
                let what = if beside_opening(edge) {
                    "stands a trimmer and a king stud's width beside the opening"
                } else {
                    "stands at the end"
                };
                faults.push((edge, format!("nothing {what} at {} in on it", inches(edge))));
            }
        }
    }
    for pair in studs.windows(2) {
        let (a, b) = (pair[0].at, pair[1].at);
        let over_opening = openings.iter().any(|o| o[0] < b && o[1] > a);
        if !over_opening && b - a > spacing + half * 4 + TOL {
            let text = format!("no stud stands between {} and {} in on it", inches(a), inches(b));
            faults.push((a, text));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::Standing;

    /// What is said of one stretch of plate; stations in quarter inches, studs of 1-1/2 in.
    fn bare(stretch: Interval, openings: &[Interval], studs: &[i64]) -> Vec<String> {
        let quarter = |at: i64| Length::sixteenths(4 * at).nm();
        let [from, to] = stretch.map(quarter);
        let stud = |at: &i64| Standing { at: quarter(*at), kind: MarkKind::Stud };
        let layout = Layout {
            half: quarter(3),
            openings: openings.iter().map(|o| o.map(quarter)).collect(),
            doors: vec![],
            stretches: vec![[from, to]],
            standing: studs.iter().map(stud).collect(),
            regular: None,
        };
        let faults = bare_of_studs(&layout, [from, to], Length::inches(16).nm());
        faults.into_iter().map(|(_, why)| why).collect()
    }

    /// Stations in quarter inches: 64 are the 16 in of the spacing, 3 half a stud.
    #[test]
    fn studs_at_the_ends_of_a_plate_and_beside_openings() {
        let none: [&str; 0] = [];
        assert_eq!(bare([0, 192], &[], &[3, 64, 128, 189]), none);
        // An opening that begins where the plate ends, at a wall that crosses, is beside none of it.
        assert_eq!(bare([0, 192], &[[-90, 0], [192, 300]], &[3, 64, 128, 189]), none);
        // Where both a trimmer and a king have room, in three inches, both are asked for.
        let beside = "nothing stands a trimmer and a king stud's width beside the opening at";
        assert_eq!(bare([0, 100], &[[12, 100]], &[3]), [format!("{beside} 3 in on it")]);
        assert_eq!(bare([0, 100], &[[12, 100]], &[3, 9]), none);
        assert_eq!(bare([0, 100], &[[11, 100]], &[3]), none);
        assert_eq!(bare([0, 100], &[[0, 88]], &[97]), [format!("{beside} 22 in on it")]);
        // A stretch shorter than a stud has none.
        assert_eq!(bare([0, 100], &[[5, 100]], &[]), none);
        assert_eq!(bare([0, 100], &[[6, 100]], &[]), ["nothing stands from 0 to 1.5 in on it"]);
        // The spacing and what a stud on either side may be aside: 16 in and 3.
        assert_eq!(bare([0, 82], &[], &[3, 79]), none);
        assert_eq!(bare([0, 83], &[], &[3, 80]), ["no stud stands between 0.75 and 20 in on it"]);
    }
}
