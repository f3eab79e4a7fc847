//! The walls of a plan, their openings, and the entities they came from.

use crate::table::{Rows, Table};
use diag::SourceRef;
use plan_model::{storey_id_name, wall_name};
use wall_model::Opening;
use wall_model::floor::{Floor, FloorWall, run_name};

/// `WallRow`.
pub fn walls(floor: &Floor) -> Table {
    Rows::of(floor.walls.iter().enumerate())
        .text("wall", |(i, _)| wall_name(*i))
        .text("run", |(_, w)| run_name(w.run))
        .text("storey", |(_, w)| storey_id_name(w.storey))
        .point("start", |(_, w)| w.start)
        .point("end", |(_, w)| w.end)
        .length("length", |(_, w)| w.start.distance(w.end))
        .text("length_text", |(_, w)| w.start.distance(w.end).feet_inches().to_string())
        .text("section", |(_, w)| w.section.name().to_owned())
        .length("width", |(_, w)| w.section.width())
        .length("drawn_thickness", |(_, w)| w.drawn_thickness)
        .length("base", |(_, w)| w.base)
        .length("top", |(_, w)| w.top)
        .length("rise", |(_, w)| w.rise)
        .truth("exterior", |(_, w)| w.exterior)
        .truth_or_none("bearing", |(_, w)| w.bearing)
        .table()
}

/// `OpeningRow`.
pub fn openings(floor: &Floor) -> Table {
    let of_wall = |(i, w): (usize, &'_ FloorWall)| -> Vec<(usize, Opening)> {
        w.openings.iter().map(|o| (i, o.clone())).collect()
    };
    Rows::of(floor.walls.iter().enumerate().flat_map(of_wall))
        .text("wall", |(i, _)| wall_name(*i))
        .text("kind", |(_, o)| o.kind.name().to_owned())
        .length("from", |(_, o)| o.from)
        .length("to", |(_, o)| o.to)
        .length("width", |(_, o)| o.to - o.from)
        .texts("entities", |(_, o)| o.source.iter().map(|s| s.entity.clone()).collect())
        .table()
}

/// `SourceRow`.
pub fn sources(floor: &Floor) -> Table {
    let of_wall = |(i, w): (usize, &'_ FloorWall)| -> Vec<(usize, SourceRef)> {
        w.source.iter().map(|s| (i, s.clone())).collect()
    };
    Rows::of(floor.walls.iter().enumerate().flat_map(of_wall))
        .text("wall", |(i, _)| wall_name(*i))
        .text("entity", |(_, s)| s.entity.clone())
        .text("layer", |(_, s)| s.layer.clone())
        .table()
}
