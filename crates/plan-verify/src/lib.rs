//! The independent verifier: proves a finished plan against the output contract, from its geometry.
//!
//! Knows: the floor (walls, runs, junctions), the finished plan, the boards, the settings, plane
//! geometry. Never touches: the planner. Nothing is taken over from it: footprints come from the
//! walls, joints from the gaps between outlines, ties from what lies on what. What the plan *says*
//! (lengths, joints, ties, notches, saw angles) is then compared with that.
//!
//! Tolerances, all stated in what is printed:
//! - [`ROUNDING`] (10 nm): outlines on oblique walls are rounded to the nanometre a few times over.
//! - [`SLIVER`] (0.001 in): anything thinner than this is not counted as missing, over, bare or
//!   overlapping. A saw cut is over a hundred times as wide.
//!
//! A breach becomes a finding of severity error: the plan must not be cut.

mod boards;
mod bottoms;
mod cover;
mod footprint;
mod joints;
mod lap;
mod left_bare;
mod lengths;
mod measure;
mod report;
mod shape;
mod tie_graph;
mod ties;
mod together;
mod within;

use diag::Finding;
use geom::Length;
use limits::Watch;
use plan_model::{Board, CheckLine, Plan};
use report::Report;
use settings::Settings;
use shape::Shapes;
use wall_model::floor::Floor;

/// How far two places may lie apart and still be the same, 0.00001 in: outlines are rounded to 1 nm per
/// coordinate, and on oblique walls two runs in line may differ in direction by as much over their
/// length, which shows a hundred times over in faces that are carried far along.
pub const ROUNDING: Length = Length::from_nm(254);

/// What is thinner than this (0.001 in) is neither missing, nor over, nor bare, nor an overlap.
pub const SLIVER: Length = Length::from_nm(25_400);

/// What the verifier says about a plan.
#[derive(Clone, Debug, Default)]
pub struct Proof {
    /// One line a check, by contract item.
    pub lines: Vec<CheckLine>,
    /// One finding a breach.
    pub findings: Vec<Finding>,
}

impl Proof {
    /// Whether every check held.
    pub fn holds(&self) -> bool {
        self.lines.iter().all(|l| l.breaches == 0)
    }
    /// Contract items with at least one breach, ascending, each once.
    pub fn broken_items(&self) -> Vec<u8> {
        let mut items: Vec<u8> =
            self.lines.iter().filter(|l| l.breaches > 0).map(|l| l.item).collect();
        items.sort_unstable();
        items.dedup();
        items
    }
}

/// Proves contract items 1 to 7 for a plan and the boards it is cut from. `joint_offset` is the
/// least distance between joints of the two top layers that is in force.
pub fn verify(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    settings: &Settings,
    joint_offset: Length,
) -> Proof {
    let limits = (joint_offset, &Watch::endless());
    verify_within(floor, plan, boards, settings, limits)
}

/// The same, with how long it may take beside the joint offset. Breaks off when time is up: a proof that is
/// not whole proves nothing, and the caller throws it away.
pub fn verify_within(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    settings: &Settings,
    (joint_offset, watch): (Length, &Watch),
) -> Proof {
    let mut report = Report::default();
    let shapes = Shapes::read(floor, plan, &mut report);
    type Check<'a> = &'a dyn Fn(&mut Report);
    let checks: [Check; 6] = [
        &|r| cover::check(floor, plan, &shapes, settings, r),
        &|r| ties::check(floor, plan, &shapes, settings, r),
        &|r| tie_graph::check(floor, plan, &shapes, settings, r),
        &|r| joints::check(floor, plan, &shapes, settings, joint_offset, r),
        &|r| boards::check(plan, boards, settings, r),
        &|r| lengths::check(floor, plan, &shapes, r),
    ];
    for check in checks {
        if watch.is_over() {
            break;
        }
        check(&mut report);
    }
    report.finish()
}
