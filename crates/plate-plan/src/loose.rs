//! Top plates that lie only on each other: the splice plates that join them to the rest.
//!
//! At corners and tees, where boards are short and laps close together, a few plates may come to lie on
//! nothing that holds the walls they touch. Which do is found from the finished pieces and ties.

use crate::splices::splice_plate;
use diag::words::{counted, is};
use diag::{Finding, codes::plan as codes};
use geom::{Length, Point};
use plan_model::{Layer, Piece, PieceId, Plan, Tie, TieKind, run_name};
use rule_sets::RuleSet;
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, JunctionId, Run, RunId};

/// Plates farther apart than this are joined by no splice plate.
const REACH: Length = Length::inches(12);

/// More walls than this are counted, not named.
const NAMED: usize = 6;

/// Disjoint sets of numbers, each named by its least.
struct Sets(Vec<u32>);

impl Sets {
    fn of(count: usize) -> Sets {
        Sets((0..count as u32).collect())
    }
    fn name(&mut self, mut i: u32) -> u32 {
        while self.0[i as usize] != i {
            let up = self.0[i as usize];
            self.0[i as usize] = self.0[up as usize];
            i = up;
        }
        i
    }
    /// Whether they were apart.
    fn join(&mut self, a: u32, b: u32) -> bool {
        let (a, b) = (self.name(a), self.name(b));
        self.0[a.max(b) as usize] = a.min(b);
        a != b
    }
}

/// Adds the splice plates to the plan's ties, counts their hardware, and tells of each; and of plates that none joins to the rest.
pub(crate) fn tie_up(
    floor: &Floor,
    plan: &mut Plan,
    settings: &Settings,
    rules: &RuleSet,
    findings: &mut Vec<Finding>,
    hardware: &mut BTreeMap<(String, String), u64>,
) {
    let mut held = hangs_together(floor, plan, settings);
    let mut touching = Sets::of(floor.runs.len());
    for junction in &floor.junctions {
        for pair in junction.arms.windows(2) {
            touching.join(pair[0].run.0, pair[1].run.0);
        }
    }
    // Of each group of walls that touch the parts that hang together, by piece.
    let mut groups: BTreeMap<u32, BTreeMap<u32, Vec<u32>>> = BTreeMap::new();
    for (i, p) in plan.pieces.iter().enumerate().filter(|(_, p)| p.layer != Layer::Bottom) {
        let parts = groups.entry(touching.name(p.run.0)).or_default();
        parts.entry(held.name(i as u32)).or_default().push(i as u32);
    }
    for parts in groups.into_values().filter(|parts| parts.len() > 1) {
        let main = with_most(&parts);
        let all = || parts.iter().flat_map(|(name, part)| part.iter().map(move |b| (*name, *b)));
        // Every pair of a piece of a lesser part and one of another, nearest first.
        let mut pairs: Vec<(Reach, u32, u32)> = Vec::new();
        for (part, a) in all().filter(|(part, _)| Some(*part) != main) {
            let others = all().filter(|(other, _)| *other != part);
            pairs.extend(others.filter_map(|(_, b)| {
                let reach = reach(&plan.pieces[a as usize], &plan.pieces[b as usize])?;
                Some((reach, a, b))
            }));
        }
        pairs.sort_unstable_by_key(|(reach, a, b)| {
            (reach.by_which, reach.away, *a.min(b), *a.max(b))
        });
        for (reach, a, b) in pairs {
            if held.join(a, b) {
                let (a, b) = (a.min(b), a.max(b));
                let junction = nearest_junction(floor, &plan.pieces[a as usize], reach.at);
                let tied = (junction, vec![PieceId(a), PieceId(b)]);
                let (tie, text) = splice_plate(rules, tied, hardware);
                let names = [a, b].map(|i| plan.pieces[i as usize].mark.clone());
                let f = Finding::new(
                    codes::PLATES_LIE_LOOSE,
                    format!(
                        "Nothing would hold {} and {} together; a splice plate joins them ({text}).",
                        names[0], names[1]
                    ),
                );
                findings.push(f.at(reach.at).about(plan_model::piece_name(PieceId(a))));
                plan.ties.push(tie);
            }
        }
        findings.extend(still_apart(plan, &mut held, &parts));
    }
}

/// The name of the part with the most plates, of equals the first.
fn with_most(parts: &BTreeMap<u32, Vec<u32>>) -> Option<u32> {
    let most = parts.values().map(Vec::len).max()?;
    parts.iter().find(|(_, p)| p.len() == most).map(|(name, _)| *name)
}

/// Tells of the plates of one group of walls that hang on none of the rest, where no splice plate reaches. The part with the most
/// plates is the rest.
fn still_apart(plan: &Plan, held: &mut Sets, parts: &BTreeMap<u32, Vec<u32>>) -> Vec<Finding> {
    let mut now: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for (name, part) in parts {
        now.entry(held.name(*name)).or_default().extend(part);
    }
    let main = with_most(&now);
    let lesser = now.into_iter().filter(|(name, _)| Some(*name) != main);
    lesser
        .filter_map(|(_, mut part)| {
            part.sort_unstable();
            let first = *part.first()?;
            let of = |i: &u32| &plan.pieces[*i as usize];
            let mut runs: Vec<RunId> = part.iter().map(|i| of(i).run).collect();
            runs.dedup();
            let names: Vec<String> = runs.iter().take(NAMED).map(|r| run_name(*r)).collect();
            let more = match runs.len().saturating_sub(NAMED) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            let alone = if part.len() == 1 { "to no other" } else { "to none but each other" };
            let text = format!(
                "{} of {}{more} {} tied {alone}, and no splice plate reaches the rest: tie on site.",
                counted(part.len(), "top plate"),
                names.join(", "),
                is(part.len())
            );
            let f = Finding::new(codes::PLATES_LIE_LOOSE, text);
            let at = of(&first).outline.first().copied()?;
            Some(f.at(at).about(plan_model::piece_name(PieceId(first))))
        })
        .collect()
}

/// A lap ties two walls only if its upper plate is held on its own wall as well: where it lies there by less than half
/// its width, a splice plate joins it to a plate that is, and this is told; where none is near, that nothing ties it.
pub(crate) fn hold_laps(
    floor: &Floor,
    plan: &mut Plan,
    settings: &Settings,
    rules: &RuleSet,
    findings: &mut Vec<Finding>,
    hardware: &mut BTreeMap<(String, String), u64>,
) {
    let mut more: Vec<Tie> = Vec::new();
    let is_lap = |t: &&Tie| matches!(t.kind, TieKind::Lap | TieKind::Notch);
    for tie in plan.ties.iter().filter(is_lap) {
        let Some(upper) = tie.pieces.first().copied() else { continue };
        let u = &plan.pieces[upper.0 as usize];
        let near = |p: &&Piece| p.run == u.run && p.layer == Layer::Lower;
        let own: Vec<&Piece> = plan.pieces.iter().filter(near).collect();
        if own.is_empty() || own.iter().any(|l| holds(floor, u, l, settings)) {
            continue;
        }
        // What is held on the wall: another upper plate of its own, or one that laps it.
        let of_wall = |q: PieceId| {
            let p = &plan.pieces[q.0 as usize];
            p.run == u.run && own.iter().any(|l| holds(floor, p, l, settings))
                || plan.ties.iter().filter(is_lap).any(|t| {
                    let on = |p: &PieceId| {
                        let p = &plan.pieces[p.0 as usize];
                        p.run == u.run && p.layer == Layer::Lower
                    };
                    t.pieces.first() == Some(&q) && t.pieces.iter().skip(1).any(on)
                })
        };
        let strapped = plan.ties.iter().chain(&more).any(|t| {
            let straps = matches!(t.kind, TieKind::Strap | TieKind::Screw);
            straps
                && t.pieces.contains(&upper)
                && t.pieces.iter().any(|q| *q != upper && of_wall(*q))
        });
        if strapped {
            continue;
        }
        let all = (0..plan.pieces.len() as u32).map(PieceId).filter(|q| *q != upper);
        let uppers = all.filter(|q| plan.pieces[q.0 as usize].layer == Layer::Upper);
        let reached = uppers.filter(|q| of_wall(*q)).filter_map(|q| {
            let r = reach(u, &plan.pieces[q.0 as usize])?;
            Some((r.away, q, r.at))
        });
        let says = format!(
            "{} laps the next wall but lies on its own by less than half its width",
            u.mark
        );
        let f = match reached.min_by_key(|(away, q, _)| (*away, *q)) {
            Some((_, q, at)) => {
                let tied = (tie.junction, vec![upper.min(q), upper.max(q)]);
                let (strap, text) = splice_plate(rules, tied, hardware);
                more.push(strap);
                let other = &plan.pieces[q.0 as usize].mark;
                let text = format!("{says}; a splice plate joins it to {other} ({text}).");
                Finding::new(codes::PLATES_LIE_LOOSE, text).at(at)
            }
            None => {
                let (kind, overlap) = (TieKind::None, Length::ZERO);
                let (pieces, hardware) = (vec![upper], String::new());
                more.push(Tie { junction: tie.junction, kind, pieces, overlap, hardware });
                let text =
                    format!("{says}, and no plate that is held there is near: tie it on site.");
                Finding::new(codes::PLATES_LIE_LOOSE, text).at(floor.junction(tie.junction).at)
            }
        };
        findings.push(f.about(plan_model::piece_name(upper)));
    }
    plan.ties.append(&mut more);
}

/// What hangs together: an upper plate and the lower ones of its own wall under it, and what ties join.
fn hangs_together(floor: &Floor, plan: &Plan, settings: &Settings) -> Sets {
    let mut held = Sets::of(plan.pieces.len());
    let first_of = |i: usize| plan.pieces[i].run;
    let mut from = 0;
    while from < plan.pieces.len() {
        let to = from + plan.pieces[from..].partition_point(|p| p.run == first_of(from));
        let of = |layer: Layer| (from..to).filter(move |i| plan.pieces[*i].layer == layer);
        for u in of(Layer::Upper) {
            for l in of(Layer::Lower) {
                if holds(floor, &plan.pieces[u], &plan.pieces[l], settings) {
                    held.join(u as u32, l as u32);
                }
            }
        }
        from = to;
    }
    for tie in &plan.ties {
        for pair in tie.pieces.windows(2) {
            // A lap or notch ties its upper plate to each of the lower ones.
            let one = match tie.kind {
                TieKind::Lap | TieKind::Notch => tie.pieces[0],
                TieKind::Strap | TieKind::Screw => pair[0],
                TieKind::None => continue,
            };
            held.join(one.0, pair[1].0);
        }
    }
    held
}

/// Whether an upper plate lies on a lower one of its wall far enough to hold it: over half of its width at
/// least, or half of the smaller plate, or half a notch over half a 2x4.
fn holds(floor: &Floor, upper: &Piece, lower: &Piece, settings: &Settings) -> bool {
    if upper.from >= lower.to || lower.from >= upper.to {
        return false;
    }
    let width = inches(upper.section.width());
    let [u, l] = [upper, lower].map(|p| edges(floor.run(p.run), p));
    let along = |k: usize| inches(u[k][1].min(l[k][1]) - u[k][0].max(l[k][0])).max(0.0);
    let bitten: f64 = upper
        .notches
        .iter()
        .chain(&lower.notches)
        .map(|n| inches(n.to - n.from) * inches(n.depth))
        .sum();
    let shared = (along(0) + along(1)) / 2.0 * width;
    let area = |e: &[[Length; 2]; 2]| {
        (inches(e[0][1] - e[0][0]) + inches(e[1][1] - e[1][0])) / 2.0 * width
    };
    let half_notch = inches(settings.plates.notch_depth) * HALF_2X4;
    let enough = (width * width).min(area(&u)).min(area(&l)) / 2.0;
    shared >= enough && shared - bitten >= enough.min(half_notch)
}

/// Half the width of a 2x4, inches.
const HALF_2X4: f64 = 1.75;

fn inches(l: Length) -> f64 {
    l.to_inches()
}

/// Least and greatest station along the right and the left edge.
fn edges(run: &Run, piece: &Piece) -> [[Length; 2]; 2] {
    let frame = run.frame();
    let corners: Vec<(Length, Length)> = piece.outline.iter().map(|p| frame.locate(*p)).collect();
    let offsets = || corners.iter().map(|c| c.1);
    let middle = (offsets().min().unwrap_or_default() + offsets().max().unwrap_or_default()).half();
    [true, false].map(|right| {
        let on = || corners.iter().filter(|c| (c.1 < middle) == right).map(|c| c.0);
        [on().min().unwrap_or(piece.from), on().max().unwrap_or(piece.to)]
    })
}

/// How two plates could be joined.
struct Reach {
    /// Of the lower layer, of two walls: the other way comes first.
    by_which: (bool, bool),
    away: Length,
    at: Point,
}

/// `None` for plates that no splice plate joins: of two layers or heights, or too far from each other.
fn reach(a: &Piece, b: &Piece) -> Option<Reach> {
    let level = |p: &Piece| p.rake.is_none();
    let one_run = a.run == b.run;
    if a.layer != b.layer || !one_run && (a.z != b.z || !level(a) || !level(b)) {
        return None;
    }
    let corners = [a, b].map(|p| p.outline.first().copied());
    let [Some(one), Some(other)] = corners else { return None };
    if one.distance(other) > REACH + size(a) + size(b) {
        return None;
    }
    let from_corners = |of: &Piece, to: &Piece| {
        let sides = to.outline.iter().zip(to.outline.iter().cycle().skip(1));
        let sides: Vec<(Point, Point)> = sides.map(|(p, q)| (*p, *q)).collect();
        let away = |p: Point| sides.iter().map(|s| from_side(p, *s)).min();
        of.outline.iter().filter_map(|p| Some((away(*p)?, *p))).min()
    };
    let (away, at) = from_corners(a, b).into_iter().chain(from_corners(b, a)).min()?;
    let by_which = (a.layer == Layer::Lower, !one_run);
    (away <= REACH).then_some(Reach { by_which, away, at })
}

/// No corner of the plate is farther than this from another.
fn size(p: &Piece) -> Length {
    p.to - p.from + p.section.width()
}

/// Distance of a point from a side of a plate.
fn from_side(p: Point, (a, b): (Point, Point)) -> Length {
    match geom::Frame::between(a, b) {
        Some(frame) => {
            let (along, off) = frame.locate(p);
            let beyond = (-along).max(along - a.distance(b)).max(Length::ZERO);
            off.abs().max(beyond)
        }
        None => p.distance(a),
    }
}

fn nearest_junction(floor: &Floor, piece: &Piece, at: Point) -> JunctionId {
    let run = floor.run(piece.run);
    let ends = [run.start_junction, run.end_junction];
    let all = run.through.iter().map(|t| t.1).chain(ends);
    all.min_by_key(|j| (floor.junction(*j).at.distance(at), *j)).unwrap_or(run.start_junction)
}
