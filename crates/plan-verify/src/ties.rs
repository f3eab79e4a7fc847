//! Item 4: what lies on what at corners, tees and crossings.

use crate::footprint::{IN_LINE, corner_of_three};
use crate::lap::{Lap, area_shared};
use crate::measure::cross;
use crate::report::{Line, Report};
use crate::shape::{Shape, Shapes};
use crate::together::Together;
use crate::within::Bodies;
use crate::{ROUNDING, SLIVER};
use diag::{Finding, Severity, codes::verify};
use geom::Length;
use plan_model::{Layer, PieceId, Plan, Rake, Tie, TieKind, junction_name, piece_name, run_name};
use settings::Settings;
use wall_model::floor::{ArmAt, Floor, Junction, JunctionId, JunctionKind, Run, RunId};

/// Proves item 4.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    report: &mut Report,
) {
    heights(floor, plan, report);
    let tied = report.line(
        4,
        format!(
            "at every L, T and X of one top height, and where walls go on in line, an upper plate of each run lies on a lower plate of another, across its whole width or at least {} in at a notch, or hardware is named",
            settings.plates.notch_depth.to_inches()
        ),
    );
    let rows =
        report.line(4, "every tie listed is there: its pieces lie on each other as far as it says");
    let crossings =
        report.line(4, "at every X the run broken in the lower layer goes over in one upper piece");
    let steps = report.line(
        4,
        "where tops differ or slope the plan names what ties the plates, or says that nothing does",
    );

    let mut of_junction: Vec<Vec<&Tie>> = vec![Vec::new(); floor.junctions.len()];
    for tie in &plan.ties {
        match of_junction.get_mut(tie.junction.0 as usize) {
            Some(list) => list.push(tie),
            None => report.breach(
                rows,
                Finding::new(verify::PROOF_TIE_ROW, "A tie names a junction that does not exist."),
            ),
        }
    }
    report.looked(rows, plan.ties.len());
    let bodies = Bodies::of(floor);
    for (index, junction) in floor.junctions.iter().enumerate() {
        let id = JunctionId(index as u32);
        let place = Place { floor, shapes, settings, junction, bodies: &bodies, id };
        let listed = &of_junction[index];
        for tie in listed {
            if let Err(why) = place.row_holds(plan, tie) {
                let text = format!("Tie at {}: {why}.", junction_name(id));
                report.breach(rows, place.finding(verify::PROOF_TIE_ROW, text));
            }
        }
        if junction.kind == JunctionKind::X {
            place.crossing(crossings, report);
        }
        if matches!(junction.kind, JunctionKind::End | JunctionKind::Other) {
            continue;
        }
        let all: Vec<RunId> = junction.arms.iter().map(|a| a.run).collect();
        let three = corner_of_three(floor, junction);
        // Two of one top lap as at an L, whatever the third does.
        if let Some(corner) = &three {
            place.tied(&corner.pair.map(|r| r.run), plan, listed, tied, rows, report);
        }
        if floor.laps_at(junction) {
            place.tied(&all, plan, listed, tied, rows, report);
        } else {
            report.looked(steps, 1);
            let of_third = |t: &&Tie| {
                let lap = matches!(t.kind, TieKind::Lap | TieKind::Notch);
                three.as_ref().is_none_or(|c| {
                    let third = |p: &PieceId| {
                        plan.pieces.get(p.0 as usize).is_some_and(|p| p.run == c.third.run)
                    };
                    t.kind == TieKind::None || !lap && t.pieces.iter().any(third)
                })
            };
            if !listed.iter().any(of_third) {
                let text = format!(
                    "Tops differ or slope at {}, so plates cannot lap there, and the plan lists no strap or screws.",
                    junction_name(id)
                );
                report.breach(steps, place.finding(verify::PROOF_TIE, text));
            }
        }
    }
}

/// Plates lie at the height of their layer: otherwise nothing lies on anything.
fn heights(floor: &Floor, plan: &Plan, report: &mut Report) {
    let line = report.line(
        4,
        "every plate lies at the height of its layer, and on the slope of its wall: bottom plates at the wall's base, upper plates under its top, lower ones under those",
    );
    report.looked(line, plan.pieces.len());
    for (index, piece) in plan.pieces.iter().enumerate() {
        let Some(run) = floor.runs.get(piece.run.0 as usize) else { continue };
        let [z, z_end] = [piece.from, piece.to].map(|s| underside(run, piece.layer, s));
        let level = piece.layer == Layer::Bottom || run.rise == Length::ZERO;
        let (lies, ends) = (piece.z, piece.rake.map_or(piece.z, |r| r.z_end));
        if level && piece.rake.is_none() && lies == z {
            continue;
        }
        let as_run = |r: &Rake| {
            let own = run.rise.nm() as f64 / run.length().nm() as f64;
            (r.slope.ratio() - own).abs() * piece.length.nm() as f64 <= ROUNDING.nm() as f64
        };
        let near = |a: Length, b: Length| (a - b).abs() <= ROUNDING;
        if !level && piece.rake.as_ref().is_some_and(as_run) && near(lies, z) && near(ends, z_end) {
            continue;
        }
        let name = piece_name(PieceId(index as u32));
        let text = format!(
            "{} plate {name} lies at {} in and ends at {} in; its wall's heights put it at {} in and {} in.",
            piece.layer.name(),
            lies.to_inches(),
            ends.to_inches(),
            z.to_inches(),
            z_end.to_inches()
        );
        let mut finding = Finding::new(verify::PROOF_HEIGHT, text).about(name);
        finding.at = piece.outline.first().copied();
        report.breach(line, finding);
    }
}

/// The underside of a run's plate at a station, above the storey.
fn underside(run: &Run, layer: Layer, station: Length) -> Length {
    if layer == Layer::Bottom {
        return run.base;
    }
    let plates = if layer == Layer::Lower { 2.0 } else { 1.0 };
    let (rise, level) = (run.rise.nm() as f64, run.length().nm() as f64);
    let slope = if run.rise == Length::ZERO { 0.0 } else { rise / level };
    // Plumb depth of a board that lies on the slope.
    let depth = run.section.thickness().nm() as f64 / slope.atan().cos();
    let up = station.nm() as f64 * slope - plates * depth;
    run.top + Length::from_nm(up.round() as i64)
}

/// Whether an upper plate's underside is the top of a lower plate: level ones at one height, ones on a
/// slope of one wall. What lies on a slope lies on no other wall's plate. Plates of 1-1/2 in and of 38 mm
/// under one top are apart by the tenth of a millimetre that they differ in thickness, which is no gap.
pub fn lies_on(plan: &Plan, upper: PieceId, lower: PieceId) -> bool {
    let (u, l) = (&plan.pieces[upper.0 as usize], &plan.pieces[lower.0 as usize]);
    match (u.rake, l.rake) {
        (None, None) => {
            let (thick, over) = (l.section.thickness(), u.section.thickness());
            (l.z + thick - u.z).abs() <= (thick - over).abs()
        }
        (Some(_), Some(_)) => u.run == l.run,
        _ => false,
    }
}

pub struct Place<'a> {
    pub floor: &'a Floor,
    pub shapes: &'a Shapes,
    pub settings: &'a Settings,
    pub junction: &'a Junction,
    bodies: &'a Bodies<'a>,
    id: JunctionId,
}

impl<'a> Place<'a> {
    fn finding(&self, code: diag::Code, text: String) -> Finding {
        Finding::new(code, text).at(self.junction.at).about(junction_name(self.id))
    }

    /// Plates of a run and layer whose outline comes near the junction.
    fn near(&self, run: RunId, layer: Layer) -> impl Iterator<Item = &'a Shape> {
        // Far enough for a notch at an oblique tee of the widest sections.
        let reach = Length::inches(24).nm();
        let at = self.junction.at;
        self.shapes.chain(run, layer).filter(move |s| s.bounds.near(at, reach))
    }

    /// Runs of the junction that are in line with `run`, itself included, or all the others.
    fn runs(&self, run: RunId, in_line: bool) -> Vec<RunId> {
        let dir = self.floor.run(run).frame().dir();
        let mut runs: Vec<RunId> = self.junction.arms.iter().map(|a| a.run).collect();
        runs.retain(|r| (cross(dir, self.floor.run(*r).frame().dir()).abs() <= IN_LINE) == in_line);
        runs.sort_unstable();
        runs.dedup();
        runs
    }

    /// Whether every one of these runs of the junction is tied to the others, one way or another.
    fn tied(
        &self,
        runs: &[RunId],
        plan: &Plan,
        listed: &[&Tie],
        line: Line,
        rows: Line,
        report: &mut Report,
    ) {
        let mut runs = runs.to_vec();
        let has_plates = |run: RunId| {
            [Layer::Lower, Layer::Upper].iter().any(|l| self.shapes.chain(run, *l).next().is_some())
        };
        runs.retain(|run| has_plates(*run) || !self.bodies.cover(*run));
        runs.sort_unstable();
        runs.dedup();
        if runs.len() < 2 {
            return;
        }
        report.looked(line, 1);
        let mut group = Groups::new(&runs);
        let mut by_wood = false;
        for run in &runs {
            let others = self.runs(*run, false);
            // Runs of one line lie on each other only in line; of the rest, one line at a time, and each of its walls by itself:
            // where a wider one goes on in line, what lies across the narrow one is a lap on that.
            let of_run = |r: &RunId| self.near(*r, Layer::Lower).collect::<Vec<&Shape>>();
            let mut on_lines = vec![others.iter().flat_map(of_run).collect::<Vec<&Shape>>()];
            if others.len() > 1 {
                on_lines.extend(others.iter().map(of_run));
            }
            let in_line: Vec<&Shape> = self
                .runs(*run, true)
                .into_iter()
                .filter(|r| r != run)
                .flat_map(|r| self.near(r, Layer::Lower))
                .collect();
            for upper in self.near(*run, Layer::Upper) {
                let least = (self.settings.plates.notch_depth - SLIVER).nm() as f64;
                let laps = on_lines.iter().map(|lowers| self.lap(upper, lowers));
                let ties =
                    |l: &Lap| (l.whole || l.depth >= least) && self.one_above(plan, upper, &l.on);
                let laps: Vec<Lap> = laps.filter(ties).collect();
                by_wood |= !laps.is_empty();
                if !laps.is_empty() && !self.is_held(plan, upper) {
                    continue;
                }
                for piece in laps.iter().flat_map(|l| &l.on) {
                    group.join(*run, plan.pieces[piece.0 as usize].run);
                }
                for lower in &in_line {
                    let least = (SLIVER.nm() as f64).powi(2);
                    if area_shared(upper, lower) > least && self.one_above(plan, upper, &[lower.id])
                    {
                        group.join(*run, lower.run);
                    }
                }
            }
        }
        let mut says_nothing = false;
        for tie in listed {
            match tie.kind {
                TieKind::Strap | TieKind::Screw if !tie.hardware.trim().is_empty() => {
                    let of = |p: &PieceId| plan.pieces.get(p.0 as usize).map(|p| p.run);
                    let joined: Vec<RunId> = tie.pieces.iter().filter_map(of).collect();
                    for pair in joined.windows(2) {
                        group.join(pair[0], pair[1]);
                    }
                }
                TieKind::None => says_nothing = true,
                _ => {}
            }
        }
        let is_wood = |t: &&Tie| matches!(t.kind, TieKind::Lap | TieKind::Notch);
        if by_wood && !listed.iter().any(is_wood) {
            let text = format!(
                "Plates lie on each other at {}, but no lap or notch is listed.",
                junction_name(self.id)
            );
            report.breach(rows, self.finding(verify::PROOF_TIE_ROW, text));
        }
        let loose = group.apart();
        if loose.is_empty() {
            return;
        }
        let names: Vec<String> = loose.iter().map(|r| run_name(*r)).collect();
        let text = format!(
            "At {} ({}) nothing ties {} to the rest: no upper plate reaches far enough over a lower plate, and no strap or screws are named.",
            junction_name(self.id),
            self.junction.kind.name(),
            names.join(", ")
        );
        let finding = self.finding(verify::PROOF_TIE, text);
        if says_nothing {
            report.say(finding.severity(Severity::Warning));
        } else {
            report.breach(line, finding);
        }
    }

    /// Whether an upper plate is held on its own wall: over half its width at least, or half of the smaller plate,
    /// or by hardware that joins it to a plate which lies on that wall. A lap of one that is not ties nothing.
    fn is_held(&self, plan: &Plan, upper: &Shape) -> bool {
        let own: Vec<&Shape> = self.shapes.chain(upper.run, Layer::Lower).collect();
        let width = l_width(self.floor, upper);
        let bitten: f64 =
            upper.bites.iter().map(|b| (b.to - b.from).nm() as f64 * b.depth.nm() as f64).sum();
        let full = upper.area() + bitten;
        let on_own = |s: &Shape, more: f64| {
            own.iter().any(|l| {
                let enough = (width * width).min(full).min(l.area()) / 2.0;
                area_shared(s, l) + more >= enough - SLIVER.nm() as f64 * width
            })
        };
        if own.is_empty() || on_own(upper, bitten) {
            return true;
        }
        let straps = plan.ties.iter().filter(|t| {
            let named = matches!(t.kind, TieKind::Strap | TieKind::Screw);
            named && !t.hardware.trim().is_empty() && t.pieces.contains(&upper.id)
        });
        let others = straps.flat_map(|t| &t.pieces).filter(|p| **p != upper.id);
        let mut others = others.filter_map(|p| self.shapes.get(*p));
        others.any(|q| {
            let own_lower = q.run == upper.run && q.layer == Layer::Lower;
            own_lower || q.layer == Layer::Upper && on_own(q, 0.0)
        })
    }

    /// Whether the upper plate's underside is the top of every one of the lower plates.
    fn one_above(&self, plan: &Plan, upper: &Shape, on: &[PieceId]) -> bool {
        on.iter().all(|p| lies_on(plan, upper.id, *p))
    }

    /// Whether a listed tie is there.
    fn row_holds(&self, plan: &Plan, tie: &Tie) -> Result<(), String> {
        if let Some(p) = tie.pieces.iter().find(|p| p.0 as usize >= plan.pieces.len()) {
            return Err(format!("it names piece {}, which does not exist", piece_name(*p)));
        }
        match tie.kind {
            TieKind::None => return Ok(()),
            TieKind::Strap | TieKind::Screw => {
                if tie.hardware.trim().is_empty() || tie.pieces.is_empty() {
                    return Err("it names no hardware or no pieces".to_owned());
                }
                return Ok(());
            }
            TieKind::Lap | TieKind::Notch => {}
        }
        let Some((upper, on)) = tie.pieces.split_first().filter(|(_, on)| !on.is_empty()) else {
            return Err("a lap or notch needs an upper piece and what it lies on".to_owned());
        };
        let Some(upper) = self.shapes.get(*upper) else { return Ok(()) };
        let lowers: Vec<&Shape> = on.iter().filter_map(|p| self.shapes.get(*p)).collect();
        if lowers.len() < on.len() {
            return Ok(()); // An outline that could not be read has its own finding.
        }
        if upper.layer != Layer::Upper || lowers.iter().any(|l| l.layer != Layer::Lower) {
            return Err(
                "its pieces are not an upper plate and the lower plates it lies on".to_owned()
            );
        }
        if lowers.iter().any(|l| l.run == upper.run) {
            return Err(format!("{} is tied to its own run", piece_name(upper.id)));
        }
        if !self.one_above(plan, upper, on) {
            return Err(format!(
                "{} does not lie at the top of the other plate",
                piece_name(upper.id)
            ));
        }
        if let Some(off) =
            lowers.iter().find(|l| area_shared(upper, l) <= (SLIVER.nm() as f64).powi(2))
        {
            return Err(format!("{} does not lie on {}", piece_name(upper.id), piece_name(off.id)));
        }
        let own = self.floor.run(upper.run).frame();
        let in_line =
            |l: &&Shape| cross(own.dir(), self.floor.run(l.run).frame().dir()).abs() <= IN_LINE;
        let said = tie.overlap;
        let as_said = |nm: f64| (nm - said.nm() as f64).abs() <= SLIVER.nm() as f64;
        if lowers.iter().all(in_line) {
            // In line the overlap is along the plates.
            let width = self.floor.run(upper.run).section.width().nm() as f64;
            let along: f64 = lowers.iter().map(|l| area_shared(upper, l) / width).sum();
            return if as_said(along) || lowers.iter().any(|l| as_said(l_width(self.floor, l))) {
                Ok(())
            } else {
                Err(format!(
                    "it says {} in of overlap, there are {:.4} in",
                    said.to_inches(),
                    along / 25.4e6
                ))
            };
        }
        let lap = self.lap(upper, &lowers);
        let inches = lap.depth / 25.4e6;
        if tie.kind == TieKind::Lap && !lap.whole {
            return Err(format!(
                "{} reaches only {inches:.4} in over the other wall's plates, not across their whole width",
                piece_name(upper.id)
            ));
        }
        let least = self.settings.plates.notch_depth - SLIVER;
        if tie.kind == TieKind::Notch && lap.depth < least.nm() as f64 && !lap.whole {
            return Err(format!(
                "{} reaches only {inches:.4} in into its notch",
                piece_name(upper.id)
            ));
        }
        // On plates of two widths the lesser overlap may be named instead of the mean.
        let least = lowers.iter().map(|l| self.reach_over(upper, l)).fold(f64::MAX, f64::min);
        let lesser_named = lowers.len() > 1 && as_said(least);
        let named = as_said(lap.depth) || tie.kind == TieKind::Lap && as_said(lap.drawn_out);
        if !named && !lesser_named {
            return Err(format!(
                "it says {} in of overlap, there are {inches:.4} in",
                said.to_inches()
            ));
        }
        Ok(())
    }

    /// At an X, a run that is broken in the lower layer must go over in one upper piece.
    fn crossing(&self, line: Line, report: &mut Report) {
        for arm in self.junction.arms.iter().filter(|a| a.at == ArmAt::Through) {
            let run = self.floor.run(arm.run);
            let station = run.frame().locate(self.junction.at).0.nm();
            let lowers: Vec<&Shape> = self.shapes.chain(arm.run, Layer::Lower).collect();
            // The gap is where the widest edge of it lies.
            let broken = lowers.windows(2).find(|w| {
                let from = w[0].edges[0][1].min(w[0].edges[1][1]);
                let to = w[1].edges[0][0].max(w[1].edges[1][0]);
                from <= station && station <= to && to - from > SLIVER.nm()
            });
            let Some(pair) = broken else { continue };
            report.looked(line, 1);
            let goes_over = self.shapes.chain(arm.run, Layer::Upper).any(|u| {
                let open = self.left_open(u).map(|open| (open + ROUNDING).nm());
                (0..2).all(|edge| {
                    u.edges[edge][0] <= pair[0].edges[edge][1] + open[0]
                        && u.edges[edge][1] >= pair[1].edges[edge][0] - open[1]
                })
            });
            if goes_over || !self.floor.laps_at(self.junction) {
                continue;
            }
            let text = format!(
                "At {} run {} is broken in the lower layer, and no single upper piece of it goes over.",
                junction_name(self.id),
                run_name(arm.run)
            );
            report.breach(line, self.finding(verify::PROOF_CROSSING, text));
        }
    }
}

fn l_width(floor: &Floor, shape: &Shape) -> f64 {
    floor.run(shape.run).section.width().nm() as f64
}

/// Which runs hang together.
struct Groups<'a> {
    runs: &'a [RunId],
    sets: Together,
}

impl<'a> Groups<'a> {
    fn new(runs: &'a [RunId]) -> Groups<'a> {
        Groups { runs, sets: Together::of(runs.len()) }
    }
    fn join(&mut self, a: RunId, b: RunId) {
        let place = |r: RunId| self.runs.iter().position(|x| *x == r);
        if let (Some(a), Some(b)) = (place(a), place(b)) {
            self.sets.join(a, b);
        }
    }
    /// Runs not in the first run's group, which is named by 0, the least.
    fn apart(&mut self) -> Vec<RunId> {
        let runs = self.runs.iter().enumerate();
        runs.filter(|(i, _)| self.sets.root(*i) != 0).map(|(_, r)| *r).collect()
    }
}
