//! Storeys, and the walls of a drawing as they were read.

use crate::table::{Rows, Table};
use plan_model::{storey_id_name, storey_name};
use wall_model::{Storey, StoreyId, Wall, WallModel};

/// `StoreyRow`.
pub fn storeys(storeys: &[Storey]) -> Table {
    Rows::of(storeys.iter().enumerate())
        .text("storey", |(i, _)| storey_id_name(StoreyId(*i as u32)))
        .text("name", |(i, s)| storey_name(*i, s))
        .length("elevation", |(_, s)| s.elevation)
        .table()
}

/// `DrawnWallRow`.
pub fn walls(model: &WallModel) -> Table {
    Rows::of(&model.walls)
        .text("storey", |w: &&Wall| storey_id_name(w.storey))
        .point("start", |w| w.start)
        .point("end", |w| w.end)
        .length("length", |w| w.length())
        .text("length_text", |w| w.length().feet_inches().to_string())
        .text("section", |w| w.section.name().to_owned())
        .length("width", |w| w.section.width())
        .length("drawn_thickness", |w| w.drawn_thickness)
        .length("base", |w| w.base)
        .length("top", |w| w.top)
        .length("rise", |w| w.rise)
        .truth_or_none("exterior", |w| w.exterior)
        .truth_or_none("bearing", |w| w.bearing)
        .whole("openings", |w| w.openings.len() as i64)
        .texts("entities", |w| w.source.iter().map(|s| s.entity.clone()).collect())
        .texts("layers", |w| w.source.iter().map(|s| s.layer.clone()).collect())
        .table()
}
