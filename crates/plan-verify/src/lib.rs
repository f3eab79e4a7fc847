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
mod ends;
mod footprint;
mod hardware;
mod joints;
mod lap;
mod layout;
mod left_bare;
mod lengths;
mod marks;
mod measure;
mod nails;
mod report;
mod shape;
mod tie_graph;
mod ties;
mod together;
mod within;

use diag::Finding;
use geom::Length;
use layout::Layout;
use limits::Watch;
use plan_model::{Board, CheckLine, Plan};
use report::Report;
use rule_sets::RuleSet;
use settings::Settings;
use shape::Shapes;
use wall_model::floor::{Floor, RunId};

/// How far two places may lie apart and still be the same, 0.00001 in: outlines are rounded to 1 nm per
/// coordinate, and on oblique walls two runs in line may differ in direction by as much over their
/// length, which shows a hundred times over in faces that are carried far along.
pub const ROUNDING: Length = Length::from_nm(254);

/// Number of the lines on what the crew is told beside the cuts: the contract has no item for it, the rule set and common
/// practice say what is right.
const DETAILS: u8 = 9;

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

/// Proves a finished plan and the boards it is cut from: contract items 1 to 7, and what the crew is told beside the cuts:
/// marks, nails, hardware, what the ends meet.
pub fn verify(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    settings: &Settings,
    rules: &RuleSet,
) -> Proof {
    verify_within(floor, plan, boards, settings, (rules, &Watch::endless()))
}

/// The same, with how long it may take beside the rules. Breaks off when time is up: a proof that is
/// not whole proves nothing, and the caller throws it away.
pub fn verify_within(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    settings: &Settings,
    (rules, watch): (&RuleSet, &Watch),
) -> Proof {
    let mut report = Report::default();
    let shapes = Shapes::read(floor, plan, &mut report);
    let offset = rules.joint_offset(settings);
    // Side by side: neither looks at what the other says, and they are put together in order.
    let (first, second) = rayon::join(
        || plates(floor, plan, boards, &shapes, settings, (offset, watch)),
        || details(floor, plan, &shapes, settings, (rules, watch)),
    );
    report.append(first);
    report.append(second);
    report.finish()
}

/// Proves contract items 1 to 7 alone, from outlines, joints, ties and boards: for plans that carry no marks and no nails.
/// `joint_offset` is the least distance between joints of the two top layers.
pub fn verify_plates(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    settings: &Settings,
    joint_offset: Length,
) -> Proof {
    let mut report = Report::default();
    let shapes = Shapes::read(floor, plan, &mut report);
    let limits = (joint_offset, &Watch::endless());
    report.append(plates(floor, plan, boards, &shapes, settings, limits));
    report.finish()
}

fn plates(
    floor: &Floor,
    plan: &Plan,
    boards: &[Board],
    shapes: &Shapes,
    settings: &Settings,
    (joint_offset, watch): (Length, &Watch),
) -> Report {
    let checks: [Check; 6] = [
        &|r| cover::check(floor, plan, shapes, settings, r),
        &|r| ties::check(floor, plan, shapes, settings, r),
        &|r| tie_graph::check(floor, plan, shapes, settings, r),
        &|r| joints::check(floor, plan, shapes, settings, joint_offset, r),
        &|r| boards::check(plan, boards, settings, r),
        &|r| lengths::check(floor, plan, shapes, r),
    ];
    run_through(&checks, watch)
}

fn details(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    (rules, watch): (&RuleSet, &Watch),
) -> Report {
    let runs = (0..floor.runs.len() as u32).map(RunId);
    let layouts: Vec<Layout> = runs.map(|r| Layout::of(floor, plan, shapes, r)).collect();
    let by = (settings, rules);
    let checks: [Check; 4] = [
        &|r| ends::check(floor, plan, shapes, settings, r),
        &|r| hardware::check(floor, plan, shapes, rules, r),
        &|r| marks::check(floor, plan, shapes, &layouts, by, r),
        &|r| nails::check(floor, plan, shapes, &layouts, by, r),
    ];
    run_through(&checks, watch)
}

type Check<'a> = &'a dyn Fn(&mut Report);

fn run_through(checks: &[Check], watch: &Watch) -> Report {
    let mut report = Report::default();
    for check in checks {
        if watch.is_over() {
            break;
        }
        check(&mut report);
    }
    report
}
