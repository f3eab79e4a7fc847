//! Nails: where each is driven, and whether the rule set's counts are reached.
//!
//! Top plates are nailed over studs alone, so that the bays between stay free for drilling (common practice, no source),
//! but where the counts or the spacing of the rule set ask for more.

mod floor;
mod upper;

use crate::layout::{Interval, Layout, Standing, full_width, on_run};
use crate::measure::{inches, intersection};
use crate::report::{Fault, Line, Report};
use crate::shape::{Shape, Shapes};
use crate::{DETAILS, ROUNDING};
use diag::codes::verify;
use geom::{Frame, Length};
use plan_model::{Layer, Piece, Plan, TieKind, piece_name};
use rule_sets::RuleSet;
use settings::Settings;
use wall_model::floor::{Floor, Run, RunId};

const TOL: i64 = ROUNDING.nm();
/// A nail nearer than this to an edge of what it goes into splits it.
const EDGE: i64 = Length::sixteenths(4).nm();
/// On less wood than this the count of a joint or a lap cannot be driven without splitting it.
const ROOM: i64 = Length::inches(9).nm();
/// Nails nearer to each other than this are at one place.
const ONE_PLACE: i64 = Length::sixteenths(8).nm();

/// Nails at one place: station on the run, how many.
type Spot = (i64, u32);

/// Proves the nails of every plate. `layouts` are the runs' own.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    layouts: &[Layout],
    (settings, rules): (&Settings, &RuleSet),
    report: &mut Report,
) {
    let lines = [
        "plates are nailed to every stud under them, by the rule set's count, in the stud's wood, and nowhere else",
        "upper plates are nailed over every stud, no farther apart than the rule set asks, on each side of every joint by its count, and between studs only for these",
        "bottom plates are nailed to the floor between studs and out of doors, no farther apart than the rule set asks",
    ]
    .map(|what| report.line(DETAILS, what));
    let laps = report.line(DETAILS, "every lap and notch has the rule set's nails");
    for (index, (run, layout)) in floor.runs.iter().zip(layouts).enumerate() {
        let id = RunId(index as u32);
        let wide = run.section.width() > Length::inches(4);
        let width = run.section.width().nm();
        let job = Job {
            floor,
            plan,
            shapes,
            layout,
            run,
            id,
            settings,
            rules,
            wide,
            width,
            frame: run.frame(),
        };
        job.check(lines, report);
    }
    for tie in plan.ties.iter().filter(|t| matches!(t.kind, TieKind::Lap | TieKind::Notch)) {
        report.looked(laps, 1);
        let Some((upper, on)) = tie.pieces.split_first() else { continue };
        let Some(shape) = shapes.get(*upper) else { continue };
        let run = floor.run(shape.run);
        let frame = run.frame();
        let lowers: Vec<&[geom::Point]> =
            on.iter().filter_map(|p| shapes.get(*p)).map(|s| s.outline.as_slice()).collect();
        let parts = intersection(std::iter::once(shape.outline.as_slice()), lowers.into_iter());
        let stations = || parts.iter().flat_map(|p| &p.outer).map(|q| frame.locate(*q).0.nm());
        let (Some(from), Some(to)) = (stations().min(), stations().max()) else { continue };
        let lap = &rules.nails.lap;
        let least = if run.section.width() > Length::inches(4) { lap.wide } else { lap.narrow };
        let piece = &plan.pieces[upper.0 as usize];
        let there = within(&spots(piece, false), from - TOL, to + TOL);
        if to - from > EDGE * 2 && there < least {
            let why = format!(
                "{} lies on the other wall from {} to {} in on its run with {there} nails; the rule set asks for {least}",
                piece.mark,
                inches(from),
                inches(to)
            );
            breach(laps, &frame, shape, &[(from, why)], report);
        }
    }
}

/// Records what is wrong with a piece's nails.
fn breach(line: Line, frame: &Frame, shape: &Shape, faults: &[Fault], report: &mut Report) {
    if faults.is_empty() {
        return;
    }
    report.faults(line, verify::PROOF_NAILS, ("", piece_name(shape.id)), frame, faults);
}

/// Nails of a piece, into the floor or not, by station on its run.
fn spots(piece: &Piece, into_floor: bool) -> Vec<Spot> {
    let own = piece.nails.iter().filter(|n| n.into_floor == into_floor);
    let mut spots: Vec<Spot> = own.map(|n| (on_run(piece, n.at), n.count)).collect();
    spots.sort_unstable();
    spots
}

/// How many nails there are from one station to another, of places by station.
fn within(spots: &[Spot], from: i64, to: i64) -> u32 {
    let first = spots.partition_point(|(at, _)| *at < from);
    spots[first..].iter().take_while(|(at, _)| *at <= to).map(|(_, n)| n).sum()
}

/// A plate and its nails.
struct Plate<'a> {
    shape: &'a Shape,
    piece: &'a Piece,
    /// Where it has its full width.
    width: Interval,
    /// Into what is under it, and into the floor.
    nails: [Vec<Spot>; 2],
}

/// The plates of one run, and what their nails are judged by.
struct Job<'a> {
    floor: &'a Floor,
    plan: &'a Plan,
    shapes: &'a Shapes,
    layout: &'a Layout,
    run: &'a Run,
    id: RunId,
    settings: &'a Settings,
    rules: &'a RuleSet,
    /// Wider than a 2x4.
    wide: bool,
    width: i64,
    frame: Frame,
}

impl Job<'_> {
    fn check(&self, [to_studs, upper, to_floor]: [Line; 3], report: &mut Report) {
        let on_concrete = self.plan.on_concrete.contains(&self.run.storey);
        let joints = self.joints();
        for layer in Layer::ALL {
            for shape in self.shapes.chain(self.id, layer) {
                let piece = &self.plan.pieces[shape.id.0 as usize];
                let nails = [false, true].map(|into_floor| spots(piece, into_floor));
                let plate = Plate { shape, piece, width: full_width(shape, &self.frame), nails };
                let line = if layer == Layer::Upper { upper } else { to_studs };
                report.looked(line, piece.nails.len());
                let mut faults = self.off_the_wood(&plate);
                match layer {
                    Layer::Upper => faults.extend(self.upper(&plate, &joints)),
                    _ => faults.extend(self.to_studs(&plate)),
                }
                breach(line, &self.frame, shape, &faults, report);
                let into_floor = &plate.nails[1];
                let floor = match (layer, on_concrete) {
                    (Layer::Bottom, false) => self.to_floor(&plate),
                    _ => into_floor
                        .iter()
                        .map(|(at, _)| (*at, "nails into a floor it does not lie on".to_owned()))
                        .collect(),
                };
                report.looked(to_floor, into_floor.len());
                breach(to_floor, &self.frame, shape, &floor, report);
            }
        }
    }

    /// Nails beyond the ends, where a piece has less than half its width, of no number, or that no board bears.
    fn off_the_wood(&self, plate: &Plate) -> Vec<Fault> {
        let Plate { shape, piece, .. } = *plate;
        let mut faults = Vec::new();
        let lap = &self.rules.nails.lap;
        let most = if self.wide { lap.wide } else { lap.narrow };
        for n in &piece.nails {
            let at = on_run(piece, n.at);
            let place = || format!("nails at {} in on its run", inches(at));
            if at < shape.extent[0] + EDGE - TOL || at > shape.extent[1] - EDGE + TOL {
                faults.push((at, format!("{} are less than 1/4 in from its ends", place())));
            } else if self.wood_at(plate, at) < self.least_wood(shape, at) - TOL {
                faults.push((at, format!("{} are where too little of it is left", place())));
            }
            if n.count == 0 || n.nail.trim().is_empty() {
                faults.push((at, format!("{} are {} of \"{}\"", place(), n.count, n.nail)));
            }
            let (from, to) = (at - ONE_PLACE + 1, at + ONE_PLACE - 1);
            let here: u32 = plate.nails.iter().map(|own| within(own, from, to)).sum();
            if here > most {
                faults.push((at, format!("{} are {here} at one place: they split it", place())));
            }
        }
        faults
    }

    /// How wide a piece must be where it is nailed: half its width in a notch, where the rest is nailed to nothing but itself;
    /// in the point of a bevel, over another wall, enough not to split.
    fn least_wood(&self, shape: &Shape, at: i64) -> i64 {
        if in_a_notch(shape, at) { self.width / 2 } else { EDGE * 2 }
    }

    /// How wide a piece is at a station, nm.
    fn wood_at(&self, plate: &Plate, at: i64) -> i64 {
        let Plate { shape, width: [from, to], .. } = *plate;
        if at >= from && at <= to && !in_a_notch(shape, at) {
            return self.width;
        }
        let corners: Vec<(i64, i64)> = shape
            .outline
            .iter()
            .map(|p| self.frame.locate(*p))
            .map(|(s, o)| (s.nm(), o.nm()))
            .collect();
        let next = corners.iter().cycle().skip(1);
        let mut crossed: Vec<i64> = corners
            .iter()
            .zip(next)
            .filter(|(p, q)| (p.0 <= at) != (q.0 <= at))
            .map(|(p, q)| {
                let share = (at - p.0) as f64 / (q.0 - p.0) as f64;
                p.1 + ((q.1 - p.1) as f64 * share) as i64
            })
            .collect();
        crossed.sort_unstable();
        crossed.chunks(2).map(|c| c.last().zip(c.first()).map_or(0, |(b, a)| b - a)).sum()
    }

    /// Bottom and lower plates: nails in the wood of what stands under them, as many as asked for each stud.
    fn to_studs(&self, plate: &Plate) -> Vec<Fault> {
        let Plate { shape, width: [from, to], nails: [nails, _], .. } = plate;
        let (layout, half) = (self.layout, self.layout.half);
        let reach = half - EDGE + TOL;
        let bears = |s: &Standing| shape.layer == Layer::Bottom || s.reaches_up();
        let mut faults = Vec::new();
        for at in nails.iter().map(|(at, _)| *at) {
            // Cripples stand by the layout, on headers, and under sills.
            let cripple = layout.in_an_opening(at)
                && (shape.layer == Layer::Lower || !layout.in_a_door(at))
                && layout.off_layout(at, self.settings.studs.spacing) <= reach;
            let into = self.layout.between(at - reach, at + reach);
            if !cripple && !into.iter().any(bears) {
                faults.push((at, format!("nails at {} in on its run go into no stud", inches(at))));
            }
        }
        let stud = &self.rules.nails.stud;
        let asked = if self.wide { stud.wide } else { stud.narrow };
        let under = self.layout.between(from - half, to + half).iter();
        for s in under.filter(|s| bears(s)) {
            let covered = (s.at + half).min(*to) - (s.at - half).max(*from);
            let there = within(nails, s.at - half - TOL, s.at + half + TOL);
            if covered > EDGE * 2 + TOL && there < asked {
                let text = format!(
                    "the {} at {} in on its run gets {there} of its nails; the rule set asks for {asked}",
                    s.kind.name(),
                    inches(s.at)
                );
                faults.push((s.at, text));
            }
        }
        faults
    }
}

/// Whether a station lies in a notch.
fn in_a_notch(shape: &Shape, at: i64) -> bool {
    shape.notches().any(|[a, b]| at > a && at < b)
}
