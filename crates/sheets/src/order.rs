//! The order in which walls are built: round the outside clockwise, then the inside.
//!
//! Only the order is decided here, for people on the floor; the plan does not depend on it. Common
//! practice, no source.

use geom::{Length, Point};
use std::cmp::Reverse;
use std::collections::BTreeSet;
use wall_model::floor::{ArmAt, Floor, JunctionId, RunId};

/// The runs of a storey: exterior ones first, clockwise from the upper left corner of the drawing,
/// then interior ones, bearing before others, long before short.
pub(crate) fn of_work(floor: &Floor, storey: usize) -> Vec<RunId> {
    let runs = || {
        let all = floor.runs.iter().enumerate();
        all.filter(|(_, r)| r.storey.0 as usize == storey).map(|(i, _)| RunId(i as u32))
    };
    let (outside, mut inside): (Vec<RunId>, Vec<RunId>) =
        runs().partition(|r| is_exterior(floor, *r));
    let mut order = clockwise(floor, outside.into_iter().collect());
    inside.sort_by_key(|r| (!is_bearing(floor, *r), Reverse(floor.run(*r).length()), *r));
    order.extend(inside);
    order
}

/// Whether some wall of the run is on the outside.
pub(crate) fn is_exterior(floor: &Floor, run: RunId) -> bool {
    floor.run(run).walls.iter().any(|w| floor.walls[*w as usize].exterior)
}

/// Whether some wall of the run is known to bear.
pub(crate) fn is_bearing(floor: &Floor, run: RunId) -> bool {
    floor.run(run).walls.iter().any(|w| floor.walls[*w as usize].bearing == Some(true))
}

/// From the start node, or from the end node.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    run: RunId,
    forward: bool,
}

fn clockwise(floor: &Floor, mut left: BTreeSet<RunId>) -> Vec<RunId> {
    let mut order = Vec::with_capacity(left.len());
    while let Some(first) = upper_left(floor, &left) {
        let mut way = first;
        loop {
            left.remove(&way.run);
            order.push(way.run);
            let Some(next) = leftmost(floor, &left, way) else { break };
            way = next;
        }
    }
    order
}

fn ends(floor: &Floor, way: Way) -> (Point, Point, JunctionId) {
    let run = floor.run(way.run);
    if way.forward {
        (run.start, run.end, run.end_junction)
    } else {
        (run.end, run.start, run.start_junction)
    }
}

fn direction(floor: &Floor, way: Way) -> (f64, f64) {
    let (from, to, _) = ends(floor, way);
    let d = to - from;
    (d.x.nm() as f64, d.y.nm() as f64)
}

/// Where to begin: at the upper left corner, along the run that leaves it most to the right.
fn upper_left(floor: &Floor, left: &BTreeSet<RunId>) -> Option<Way> {
    let ways = || left.iter().flat_map(|r| [true, false].map(|forward| Way { run: *r, forward }));
    let corner = |w: &Way| {
        let (from, _, _) = ends(floor, *w);
        from.y - from.x
    };
    let most = ways().map(|w| corner(&w)).max()?;
    // Ends at one corner may differ by half a plate's width where faces are flush.
    let near = ways().filter(|w| most - corner(w) <= Length::inches(8));
    near.max_by(|a, b| {
        let eastward = |w: &Way| {
            let (x, y) = direction(floor, *w);
            x / x.hypot(y).max(1.0)
        };
        eastward(a).total_cmp(&eastward(b)).then(b.run.cmp(&a.run))
    })
}

/// The way on from the end of a run that keeps the outside to the left.
fn leftmost(floor: &Floor, left: &BTreeSet<RunId>, way: Way) -> Option<Way> {
    let (_, _, at) = ends(floor, way);
    let (x, y) = direction(floor, way);
    let arms = floor.junction(at).arms.iter().filter(|a| left.contains(&a.run));
    let ways = arms.filter_map(|arm| match arm.at {
        ArmAt::Start => Some(Way { run: arm.run, forward: true }),
        ArmAt::End => Some(Way { run: arm.run, forward: false }),
        ArmAt::Through => None,
    });
    ways.max_by(|a, b| {
        let turn = |w: &Way| {
            let (u, v) = direction(floor, *w);
            (x * v - y * u).atan2(x * u + y * v)
        };
        turn(a).total_cmp(&turn(b)).then(b.run.cmp(&a.run))
    })
}
