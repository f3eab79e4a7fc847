//! The plates to cut, and what is cut into them, marked on them, driven through them.

use crate::table::{Rows, Table};
use export::text::{against_word, length_text};
use plan_model::{
    Document, Layer, Mark, NailSpot, Notch, Piece, PieceId, Plan, piece_name, storey_id_name,
};
use wall_model::floor::run_name;

/// A piece with its number.
type Numbered<'a> = (usize, &'a Piece);

fn name(index: usize) -> String {
    piece_name(PieceId(index as u32))
}

/// `PieceRow`.
pub fn pieces(doc: &Document) -> Table {
    let plan = &doc.plan;
    Rows::of(plan.pieces.iter().enumerate())
        .text("piece", |(i, _): &Numbered| name(*i))
        .text("mark", |(_, p)| p.mark.clone())
        .text("run", |(_, p)| run_name(p.run))
        .text("storey", |(_, p)| storey_id_name(p.storey))
        .text("layer", |(_, p)| p.layer.name().to_owned())
        .text("section", |(_, p)| p.section.name().to_owned())
        .truth("treated", |(_, p)| plan.is_treated(p))
        .length("length", |(_, p)| p.length)
        .text("length_text", |(_, p)| length_text(p))
        .length("width", |(_, p)| p.section.width())
        .length("from", |(_, p)| p.from)
        .length("to", |(_, p)| p.to)
        .length("z", |(_, p)| p.z)
        .length_or_none("z_end", |(_, p)| p.rake.map(|r| r.z_end))
        .length_or_none("edge", |(_, p)| p.rake.map(|r| r.edge))
        .decimal("start_cut_deg", |(_, p)| p.ends[0].cut_deg)
        .decimal("start_tilt_deg", |(_, p)| p.ends[0].tilt_deg)
        .text("start_against", |(_, p)| against_word(p.ends[0].against))
        .decimal("end_cut_deg", |(_, p)| p.ends[1].cut_deg)
        .decimal("end_tilt_deg", |(_, p)| p.ends[1].tilt_deg)
        .text("end_against", |(_, p)| against_word(p.ends[1].against))
        .points("outline_nm", |(_, p)| p.outline.clone())
        .table()
}

/// One row for each of a piece's parts.
fn parts<'a, T>(plan: &'a Plan, of: impl Fn(&'a Piece) -> &'a [T]) -> Rows<(usize, &'a T)> {
    let parts = plan.pieces.iter().enumerate();
    Rows::of(parts.flat_map(|(i, p)| of(p).iter().map(move |part| (i, part))))
        .text("piece", |(i, _)| name(*i))
}

/// `NotchRow`.
pub fn notches(plan: &Plan) -> Table {
    parts(plan, |p| p.notches.as_slice())
        .length("from", |(_, n): &(usize, &Notch)| n.from)
        .length("to", |(_, n)| n.to)
        .length("depth", |(_, n)| n.depth)
        .text("side", |(_, n)| n.side.name().to_owned())
        .text("stem", |(_, n)| run_name(n.stem))
        .table()
}

/// `MarkRow`.
pub fn marks(plan: &Plan) -> Table {
    parts(plan, |p| p.marks.as_slice())
        .text("kind", |(_, m): &(usize, &Mark)| m.kind.name().to_owned())
        .length("at", |(_, m)| m.at)
        .table()
}

/// `NailRow`.
pub fn nails(plan: &Plan) -> Table {
    let pieces = plan.pieces.iter().enumerate();
    Rows::of(pieces.flat_map(|(i, p)| p.nails.iter().map(move |n| (i, p.layer, n))))
        .text("piece", |(i, ..): &(usize, Layer, &NailSpot)| name(*i))
        .text("nail", |(.., n)| n.nail.clone())
        .whole("count", |(.., n)| i64::from(n.count))
        .length("at", |(.., n)| n.at)
        .text("into", |(_, layer, n)| n.goes_into(*layer).to_owned())
        .table()
}
