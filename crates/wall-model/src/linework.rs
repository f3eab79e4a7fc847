//! The drawing's own lines, kept beside the walls so that a person can see what was read and what was
//! left out.
//!
//! A picture, never a source of lengths: coordinates are `f32`, and nothing is decided by them.
//! Importers fill it; the report draws it under the walls. Readers of formats without linework leave
//! it empty.

use crate::StoreyId;

/// Lines of a drawing, grouped.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Linework {
    /// Canonical: used groups first, then by reason, layer, storey; so that the order of entities in
    /// the file does not show.
    pub groups: Vec<LineGroup>,
    /// How many lines there were that are not in `groups`, because a picture of all of them would be
    /// larger than it is worth.
    pub omitted: u64,
}

/// Lines of one layer with one fate.
#[derive(Clone, Debug, PartialEq)]
pub struct LineGroup {
    /// The storey they were drawn for; `None` where that is not known: shown on all.
    pub storey: Option<StoreyId>,
    /// Layer as in the drawing.
    pub layer: String,
    /// `None`: became (part of) a wall or an opening. Else the reason, worded as in the ledger.
    pub left_out: Option<String>,
    /// Straight lines `[x1, y1, x2, y2]`, inches in the plan frame (mirrored, origin taken off);
    /// curves as chords. Sorted.
    pub lines_in: Vec<[f32; 4]>,
}
