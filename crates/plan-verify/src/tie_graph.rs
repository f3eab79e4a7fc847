//! Item 4 for the floor as a whole: the tie graph.
//!
//! Its nodes are the lower and upper plates. Two of them hang together where an upper plate lies on a
//! lower one, whoever's wall it is, and where listed hardware joins them. Walls that touch must all be
//! in one piece of that graph: then the floor is locked together, however the plates are cut.

use crate::lap::area_shared;
use crate::left_bare::Boxes;
use crate::report::{Line, Report};
use crate::shape::{Shape, Shapes};
use crate::ties::lies_on;
use crate::together::Together;
use diag::{Finding, codes::verify};
use plan_model::{Layer, Plan, TieKind, piece_name, run_name};
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::StoreyId;
use wall_model::floor::{Floor, RunId};

/// Proves that every group of walls that touch is one piece of the tie graph.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    report: &mut Report,
) {
    let line = report.line(
        4,
        "the top plates of walls that touch hang together, plate by plate, through laps, notches and hardware",
    );
    if report.has(verify::PROOF_TIE) {
        return; // The junction at fault has been named.
    }
    let mut held = Together::of(plan.pieces.len());
    // Less than half a notch over half a 2x4 holds nothing.
    let least = settings.plates.notch_depth.nm() as f64 * 25.4e6 * 1.75 / 2.0;
    for storey in 0..floor.storeys.len() as u32 {
        let storey = StoreyId(storey);
        let lower: Vec<&Shape> = shapes.of(storey, Layer::Lower).collect();
        let boxes = Boxes::of(lower.iter().map(|s| s.bounds));
        for upper in shapes.of(storey, Layer::Upper) {
            for k in boxes.meeting(&upper.bounds) {
                let (one, other) = (upper.id.0 as usize, lower[k].id.0 as usize);
                // What hangs together already needs no look at its area.
                if held.root(one) == held.root(other) {
                    continue;
                }
                let on = lies_on(plan, upper.id, lower[k].id);
                // A stub's own plates may be smaller than a notch: they are nailed where they lie.
                let own = upper.run == lower[k].run;
                let smaller = upper.area().min(lower[k].area());
                // However deep the notches, half a lap of the two widths holds.
                let widths =
                    [upper.run, lower[k].run].map(|r| floor.run(r).section.width().nm() as f64);
                let lap = widths[0] * widths[1];
                let most = if own { smaller.min(lap) } else { lap };
                let enough = least.min(most / 2.0);
                if on && area_shared(upper, lower[k]) >= enough {
                    held.join(one, other);
                }
            }
        }
    }
    for tie in plan.ties.iter().filter(|t| matches!(t.kind, TieKind::Strap | TieKind::Screw)) {
        let known = |p: &plan_model::PieceId| (p.0 as usize) < plan.pieces.len();
        for pair in tie.pieces.windows(2).filter(|p| p.iter().all(known)) {
            held.join(pair[0].0 as usize, pair[1].0 as usize);
        }
    }
    untied(floor, plan, shapes, held, line, report);
}

fn untied(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    mut held: Together,
    line: Line,
    report: &mut Report,
) {
    let mut touching = Together::of(floor.runs.len());
    for junction in &floor.junctions {
        for pair in junction.arms.windows(2) {
            touching.join(pair[0].run.0 as usize, pair[1].run.0 as usize);
        }
    }
    // Of each group of walls the plates, by what they hang together with.
    let mut groups: BTreeMap<usize, BTreeMap<usize, Vec<&Shape>>> = BTreeMap::new();
    for shape in shapes.all().filter(|s| s.layer != Layer::Bottom) {
        let group = touching.root(shape.run.0 as usize);
        let part = held.root(shape.id.0 as usize);
        groups.entry(group).or_default().entry(part).or_default().push(shape);
    }
    report.looked(line, groups.len());
    for parts in groups.into_values() {
        let most = parts.values().map(Vec::len).max().unwrap_or(0);
        let mut main_seen = false;
        for part in parts.into_values() {
            if part.len() == most && !main_seen {
                main_seen = true;
                continue;
            }
            let Some(first) = part.first() else { continue };
            let mut runs: Vec<RunId> = part.iter().map(|s| s.run).collect();
            runs.sort_unstable();
            runs.dedup();
            let names: Vec<String> = runs.iter().take(6).map(|r| run_name(*r)).collect();
            let more = runs.len().saturating_sub(names.len());
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            let text = format!(
                "{} of the top plates, of {}{more}, hang together with each other but with no plate of the walls they touch.",
                part.len(),
                names.join(", ")
            );
            let name = piece_name(first.id);
            let at = plan.pieces.get(first.id.0 as usize).and_then(|p| p.outline.first());
            let mut finding = Finding::new(verify::PROOF_UNTIED, text).about(name);
            finding.at = at.copied();
            report.breach(line, finding);
        }
    }
}
