//! Where walls meet, and how, without the runs.

use crate::kinds::{Rays, classify, in_line};
use crate::line::Line;
use crate::network;
use crate::nodes::Network;
use crate::place::{self, Arrange};
use diag::{Finding, Outcome};
use geom::{Length, Point};
use limits::Watch;
use settings::Settings;
use smallvec::SmallVec;
use wall_model::floor::JunctionKind;
use wall_model::{StoreyId, WallId, WallModel};

/// A place where walls meet or one ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    /// Its storey.
    pub storey: StoreyId,
    /// The node, plan frame.
    pub at: Point,
    /// Plan view.
    pub kind: JunctionKind,
    /// As [`wall_model::floor::Junction::angle_deg`].
    pub angle_deg: f64,
    /// The walls there, in order.
    pub walls: SmallVec<[WallId; 4]>,
}

/// Finds and classifies every place where walls meet: the junctions that [`crate::build`] would make,
/// by storey and place, and what it would say about the walls on the way.
pub fn meetings(model: &WallModel, settings: &Settings) -> Outcome<Vec<Meeting>> {
    meetings_arranged(model, settings, place::by_place)
}

pub(crate) fn meetings_arranged(
    model: &WallModel,
    settings: &Settings,
    arrange: Arrange,
) -> Outcome<Vec<Meeting>> {
    let mut findings: Vec<Finding> = Vec::new();
    let mut all = Vec::new();
    for s in 0..model.storeys.len() as u32 {
        let storey = StoreyId(s);
        let snap = settings.graph.snap;
        let (lines, n) = network(model, storey, arrange, snap, &mut findings, &Watch::endless());
        let first = all.len();
        all.reserve(n.nodes.len());
        all.extend((0..n.nodes.len()).filter_map(|k| meeting(&lines, &n, storey, k, snap)));
        // Nodes of walls that meet and free ends are each in order already.
        all[first..].sort_by_key(|m: &Meeting| m.at);
    }
    Outcome { value: all, findings }
}

fn meeting(
    lines: &[Line],
    n: &Network,
    storey: StoreyId,
    node: usize,
    snap: Length,
) -> Option<Meeting> {
    let here = &n.at_node[node];
    let mut rays = Rays::new();
    for i in n.at(node) {
        let dir = lines[i].dir;
        let position = n.position(lines, i, node)?;
        if position + 1 < n.on_line[i].len() {
            rays.push(dir);
        }
        if position > 0 {
            rays.push(dir.back());
        }
    }
    // What one wall passes, or its plates run on over, is no junction.
    let goes_on = match (&rays[..], here) {
        ([_, _], [_]) => true,
        ([a, b], [i, j]) => {
            let [l, m] = [i, j].map(|i| &lines[*i as usize]);
            in_line(*a, *b) && l.goes_on_as(m, snap)
        }
        _ => here.is_empty(),
    };
    if goes_on {
        return None;
    }
    let (kind, angle_deg) = classify(&rays);
    let walls = n.at(node).map(|i| lines[i].wall).collect();
    Some(Meeting { storey, at: n.nodes[node], kind, angle_deg, walls })
}
