//! The clock of one run.

use crate::{Limit, Limits};
use diag::Refusal;
use std::fmt;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// What a run is doing, for the words of a stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// From bytes to walls.
    Reading,
    /// From walls to junctions and runs.
    Joining,
    /// Plates, laps, joints.
    Planning,
    /// Boards for the pieces.
    Boards,
    /// The proof.
    Proving,
    /// The outputs, in memory.
    Writing,
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Stage::Reading => "reading the drawing",
            Stage::Joining => "finding where walls meet",
            Stage::Planning => "planning the plates",
            Stage::Boards => "choosing the boards",
            Stage::Proving => "checking the plan",
            Stage::Writing => "making the results",
        })
    }
}

/// One run's clock. Long loops look at it and break off; the border of their stage then refuses, so that
/// nothing half-made is ever handed on. Once over it stays over.
#[derive(Debug)]
pub struct Watch {
    limits: Limits,
    begun: Instant,
    end: Option<Instant>,
    /// Looks left, of a watch that ends after some.
    looks: Option<AtomicU64>,
    over: AtomicBool,
}

impl Watch {
    /// Starts now and ends when the time of these limits is up.
    pub fn start(limits: &Limits) -> Watch {
        let begun = Instant::now();
        let end = begun.checked_add(Duration::from_secs(limits.get(Limit::Seconds)));
        Watch { limits: *limits, begun, end, looks: None, over: AtomicBool::new(false) }
    }
    /// Never ends.
    pub fn endless() -> Watch {
        let limits = Limits::default();
        let (begun, over) = (Instant::now(), AtomicBool::new(false));
        Watch { limits, begun, end: None, looks: None, over }
    }
    /// Ends at the look after so many, whatever the clock says: for tests, which have no clock.
    #[doc(hidden)]
    pub fn ending_after(looks: u64) -> Watch {
        Watch { looks: Some(AtomicU64::new(looks)), ..Watch::endless() }
    }

    /// Whether time is up. Cheap: for every turn of a loop whose body does some work.
    pub fn is_over(&self) -> bool {
        if self.over.load(Ordering::Relaxed) {
            return true;
        }
        let spent = |left: &AtomicU64| {
            left.fetch_update(Ordering::Relaxed, Ordering::Relaxed, |n| n.checked_sub(1)).is_err()
        };
        let over = match &self.looks {
            Some(left) => spent(left),
            None => self.end.is_some_and(|end| Instant::now() >= end),
        };
        if over {
            self.over.store(true, Ordering::Relaxed);
        }
        over
    }
    /// The same for every turn of a loop whose body does next to nothing: looks once in 1024.
    pub fn is_over_at(&self, turn: usize) -> bool {
        turn.is_multiple_of(1024) && self.is_over()
    }
    /// Between two stages: refuses when time is up.
    ///
    /// # Errors
    /// With which stage it was, and how to raise the limit.
    pub fn border(&self, stage: Stage) -> Result<(), Refusal> {
        if !self.is_over() {
            return Ok(());
        }
        let what = format!("Time was up while {stage}");
        Err(Refusal::because(self.limits.reached(Limit::Seconds, &what)))
    }
    /// Seconds begun since the start.
    pub fn seconds(&self) -> u64 {
        self.begun.elapsed().as_secs() + 1
    }
}
