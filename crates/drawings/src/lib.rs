//! The plates as drawings for other programs: `plates.dxf` over the architect's plan, `plates.ifc` over
//! the architect's model.
//!
//! Knows: how a finished document's plates are written in two open formats, in the drawing's own unit and
//! at the drawing's own coordinates (those of the mirrored drawing, where the settings mirror it). Never
//! touches: files, clocks, any decision about the plan. `docs/drawings.md` lists layers and properties.
//!
//! The formats are written by hand: two hundred lines each, held against ezdxf and ifcopenshell by
//! `tests/reference/check_drawings.py`.

mod dxf;
mod ifc;
mod scene;

#[cfg(test)]
mod tests;

use plan_model::Document;

/// Why nothing was written. All of these are faults of the program, not of the drawing.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DrawingError {
    /// An id in the document points at nothing.
    #[error("{holder} names {id}, which the plan does not have; no drawing was written")]
    Dangling {
        /// What holds the id.
        holder: String,
        /// The id, as printed.
        id: String,
    },
    /// A number in the document cannot be written.
    #[error("{holder} is {value}, which is not a number a file can hold; no drawing was written")]
    NotANumber {
        /// What holds the number.
        holder: &'static str,
        /// It.
        value: f64,
    },
}

/// `plates.dxf` and `plates.ifc`.
///
/// # Errors
/// See [`DrawingError`].
pub fn all(doc: &Document) -> Result<Vec<(String, Vec<u8>)>, DrawingError> {
    let scene = scene::Scene::of(doc)?;
    Ok(vec![
        ("plates.dxf".to_owned(), dxf::write(&scene).into_bytes()),
        ("plates.ifc".to_owned(), ifc::write(&scene).into_bytes()),
    ])
}
