//! From walls as drawn to runs and junctions.
//!
//! Knows: squaring up, merging, snapping, crossing, classifying L/T/X/in-line/end. Never touches: file
//! formats, plates, rules.
//!
//! Words: a *line* is a wall while it is worked on; a *touch* is a place where two lines meet or
//! would meet if an end moved by no more than its reach along the line's own axis; a *node* is where
//! touches come together. Walls are never bent: ends are extended or trimmed along the wall's own
//! axis. The *reach* of an end is half the other wall's thickness (people draw a stem to the face, or
//! to the far face, of the wall it meets) plus the snap tolerance. A corner of two
//! ends of which one is in reach is closed though the other misses by up to two tolerances more, if that
//! meets nothing else; and, measured from where that end has been taken to, if the corner lies within the wall it goes to.
//!
//! The result depends on the geometry alone, not on the order of walls nor on where lines lie in memory
//! (`place`): walls are numbered in canonical order, and every choice among several is made by size of move,
//! then by number. Where two walls cannot
//! both be framed (one lies inside the other), one is left out with a finding; nothing disappears
//! without one.

mod again;
mod alike;
mod body;
mod crowd;
mod gather;
mod in_use;
mod kinds;
mod leaders;
mod level;
mod line;
mod listed;
mod meetings;
mod merge;
mod nodes;
mod number;
mod one_place;
mod order;
mod outline;
mod pairs;
mod place;
mod places;
mod rows;
mod runs;
mod seams;
mod square;
mod touch;
mod widths;

use diag::{Finding, Outcome};
use geom::Length;
use limits::Watch;
use line::Line;
pub use meetings::{Meeting, meetings};
use nodes::Network;
use place::Arrange;
use settings::Settings;
use wall_model::floor::Floor;
use wall_model::{StoreyId, WallModel};
use widths::Widths;

/// Builds the floor of every storey.
///
/// Cost: two sweeps over the boxes of a storey's walls, else near linear in the walls and their crossings.
pub fn build(model: &WallModel, settings: &Settings) -> Outcome<Floor> {
    build_within(model, settings, &Watch::endless())
}

/// The same; breaks off when time is up, and the caller throws it away.
pub fn build_within(model: &WallModel, settings: &Settings, watch: &Watch) -> Outcome<Floor> {
    build_arranged(model, settings, watch, place::by_place)
}

fn build_arranged(
    model: &WallModel,
    settings: &Settings,
    watch: &Watch,
    arrange: Arrange,
) -> Outcome<Floor> {
    let snap = settings.graph.snap;
    let mut findings: Vec<Finding> = Vec::new();
    let mut floor = Floor {
        storeys: model.storeys.clone(),
        walls: Vec::new(),
        runs: Vec::new(),
        junctions: Vec::new(),
    };
    let mut said: Vec<Option<bool>> = Vec::new();
    for s in 0..model.storeys.len() as u32 {
        let storey = StoreyId(s);
        if watch.is_over() {
            break;
        }
        let (lines, network) = network(model, storey, arrange, snap, &mut findings, watch);
        let (lines, network) = number::in_order(lines, network);
        runs::add_storey(&mut floor, &mut said, storey, &lines, &network, snap);
    }
    runs::finish(&mut floor, &mut said);
    outline::settle_exterior(&mut floor, &said, &mut findings);
    Outcome { value: floor, findings }
}

/// The walls of a storey, cleaned, and the nodes they meet at.
fn network<'m>(
    model: &'m WallModel,
    storey: StoreyId,
    arrange: Arrange,
    snap: Length,
    findings: &mut Vec<Finding>,
    watch: &Watch,
) -> (Vec<Line<'m>>, Network) {
    let (mut lines, alike) = line::lines_of(model, storey, arrange);
    if !alike.heights {
        level::level(&mut lines, findings);
    }
    if !alike.along_the_sheet {
        square::square_up(&mut lines, snap, findings);
    }
    merge::align_and_merge(&mut lines, alike.drawn * 2, snap, findings);
    if !alike.no_changes() && lines.windows(2).any(|pair| !pair[0].same_plates(&pair[1])) {
        let rows = merge::rows(&lines);
        seams::bring_to_centrelines(&mut lines, &rows, snap, findings);
    }
    let mut known = alike.widths();
    let (widths, network) = loop {
        let widths = known.take().unwrap_or_else(|| Widths::of(&lines));
        let mut touches = touch::find(&lines, &widths, snap);
        let mut network = nodes::join(&lines, &widths, &mut touches, snap);
        // Leaving a wall out moves its neighbours' ends, so look again from the start.
        let left_out =
            merge::leave_out_swallowed(&mut lines, &widths, &mut network, &touches, findings);
        if !left_out || watch.is_over() {
            break (widths, network);
        }
    };
    nodes::report(&lines, &network, snap, findings);
    crowd::report(&lines, &widths, &network, findings);
    (lines, network)
}

#[cfg(test)]
mod tests;
