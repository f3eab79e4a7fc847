//! Upper plates for walls as they stand: takes a finished plan and lengths measured on site, and
//! gives the upper plates new lengths. Bottom and lower plates are up already and stay.
//!
//! Knows: `plan.json` as far as it concerns top plates, the list of measures. Never touches: drawings, the
//! planner, walls' places in the plan view.
//!
//! # What a measure changes
//! A wall is measured along its lower top plate, from end to end: the length its lower pieces add up to
//! in the plan. Studs and tees are laid out from the wall's start (its left end on the drawing, an upright
//! wall's lower end), so the difference shows at its other end: the upper piece there takes it up, with what
//! lies within 6 in of its end. Where that piece would be longer than the longest board, or nothing would be left of
//! it, the joints of its space are chosen anew: over studs, a joint offset away from the lower layer's
//! joints, no nearer than 3 in to a notch, as few as can be.
//!
//! A difference of more than 1-1/2 in, a stud's thickness, is no matter of tolerance: such a wall is
//! not refitted, and a finding says so. Nor is one with a raked top.

mod joints;
mod measured;
mod plan;
mod write;

pub use measured::{Measured, from_csv};
pub use plan::{Plan, read};
pub use write::{File, outputs};

use diag::{Finding, Outcome, codes::refit as codes};
use geom::Length;
use plan::{Layer, Piece};
use std::collections::BTreeMap;

/// More than this off is another wall than planned: a stud's thickness.
pub const MOST_OFF: Length = Length::sixteenths(24);
/// What lies this near to the end that moved has moved with it.
const WITH_THE_END: Length = Length::inches(6);

/// What became of a wall that was measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refitted {
    /// The run, `R3`.
    pub run: String,
    /// What its lower pieces add up to.
    pub planned: Length,
    /// As it stands.
    pub measured: Length,
    /// Whether its upper pieces were changed.
    pub changed: bool,
}

/// An upper piece before and after.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// As planned; `None` for a piece more.
    pub was: Option<Piece>,
    /// As it is to be cut; `None` for a piece that is not needed.
    pub now: Option<Piece>,
}

/// The upper plates of the walls as they stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Refit {
    /// Walls that were measured, in the plan's order.
    pub runs: Vec<Refitted>,
    /// Runs nobody measured: as planned.
    pub not_measured: usize,
    /// Every upper piece to cut, in the plan's order.
    pub pieces: Vec<Piece>,
    /// Those that differ from the plan.
    pub changes: Vec<Change>,
}

/// Fits the upper plates to the measures.
pub fn refit(plan: &Plan, measured: &[Measured]) -> Outcome<Refit> {
    let mut findings = Vec::new();
    let measures: BTreeMap<&str, Length> =
        measured.iter().map(|m| (m.run.as_str(), m.length)).collect();
    let mut out =
        Refit { runs: Vec::new(), not_measured: 0, pieces: Vec::new(), changes: Vec::new() };
    for run in &plan.runs {
        let uppers = plan.pieces_of(run, Layer::Upper);
        let planned: Length = plan.pieces_of(run, Layer::Lower).iter().map(|p| p.length).sum();
        let Some(measured) = measures.get(run.as_str()).copied() else {
            out.not_measured += 1;
            out.pieces.extend(uppers.into_iter().cloned());
            continue;
        };
        let off = measured - planned;
        let mut now: Vec<Piece> = uppers.iter().map(|p| (*p).clone()).collect();
        if uppers.iter().any(|p| p.raked_to.is_some()) {
            let text = format!(
                "{run} has a raked top; what was measured level says too little of plates on a slope. Its upper plates are left as planned."
            );
            findings.push(Finding::new(codes::RAKED, text).about(run.as_str()));
        } else if off.abs() > MOST_OFF {
            let text = format!(
                "{run} was planned {} long and measures {}: {} off. Its upper plates are left as planned and may not fit.",
                planned.feet_inches(),
                measured.feet_inches(),
                off.abs().feet_inches()
            );
            findings.push(Finding::new(codes::FAR_OFF, text).about(run.as_str()));
        } else if off != Length::ZERO {
            match joints::take_up(plan, run, &now, off) {
                Ok(fitted) => now = fitted,
                Err(why) => {
                    let text = format!("{run}: {why} Its upper plates are left as planned.");
                    findings.push(Finding::new(codes::NO_FIT, text).about(run.as_str()));
                }
            }
        }
        let changes = changes(&uppers, &now);
        let changed = !changes.is_empty();
        out.changes.extend(changes);
        out.pieces.extend(now);
        out.runs.push(Refitted { run: run.clone(), planned, measured, changed });
    }
    Outcome { value: out, findings }
}

/// Pieces that differ, by id.
fn changes(was: &[&Piece], now: &[Piece]) -> Vec<Change> {
    let mut all: BTreeMap<usize, Change> = BTreeMap::new();
    let nth = |id: &str| id.trim_start_matches('P').parse().unwrap_or(usize::MAX);
    for p in was {
        all.insert(nth(&p.id), Change { was: Some((*p).clone()), now: None });
    }
    for p in now {
        let change = all.entry(nth(&p.id)).or_insert(Change { was: None, now: None });
        change.now = Some(p.clone());
    }
    all.into_values().filter(|c| c.was != c.now).collect()
}

#[cfg(test)]
mod tests;
