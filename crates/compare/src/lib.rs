//! Compares two plans of one house: what a revision of the drawing, or of the settings, changed.
//!
//! Knows: `plan.json` as far as walls, plates, boards and nails go. Never touches: drawings, the planner.
//!
//! # How things are matched
//! By what they are, not by their ids, which shift as soon as a wall is added. Storeys by name, else by
//! elevation. A drawing that was moved as a whole is moved back by the shift most of its walls agree on.
//! Walls and pieces with the same place and shape (within 1/64 in) are the same; what is left is matched
//! with what lies on the same line, and told as changed; the rest is added or removed. A piece that kept its
//! shape but not its mark or id is told as renamed: what is cut already can be marked anew.

mod body;
mod differ;
mod lumber;
mod matching;
mod plan;
mod svg;
mod tell;

pub use lumber::{BoardCount, LumberFeet, NailCount};
pub use matching::{Kind, PieceChange, Renamed, WallChange};
pub use svg::svg;
pub use tell::{json, text};

use diag::Refusal;
use matching::Shape;
use serde::Serialize;

/// A plan that was compared.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Source {
    /// The drawing's file name.
    pub file: String,
    /// SHA-256 of the drawing.
    pub sha256: String,
    /// How many walls the plan has.
    pub walls: usize,
    /// How many pieces.
    pub pieces: usize,
}

/// A setting that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SettingChange {
    /// Its key, `plates.upper_clearance`.
    pub key: String,
    /// As JSON; `null` where the plan has none.
    pub old: String,
    /// See `old`.
    pub new: String,
}

/// What differs between two plans.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The earlier plan.
    pub old: Source,
    /// The later one.
    pub new: Source,
    /// How far the whole drawing was moved, inches; `[0, 0]` as a rule.
    pub moved_in: [f64; 2],
    /// Settings that differ, by key.
    pub settings: Vec<SettingChange>,
    /// Walls that differ: added and changed ones in the new plan's order, then removed ones in the old
    /// one's.
    pub walls: Vec<WallChange>,
    /// Walls that do not.
    pub walls_unchanged: usize,
    /// Pieces that differ, in the same order.
    pub pieces: Vec<PieceChange>,
    /// Pieces that are cut, marked and nailed as before.
    pub pieces_unchanged: usize,
    /// Of the unchanged ones, those with another mark or id.
    pub renamed: Vec<Renamed>,
    /// Boards to buy and on hand whose number differs.
    pub boards: Vec<BoardCount>,
    /// Length of all boards by lumber, where it differs.
    pub lumber: Vec<LumberFeet>,
    /// Nails and hardware whose number differs.
    pub nails: Vec<NailCount>,
    #[serde(skip)]
    drawn: Vec<Panel>,
}

impl Comparison {
    /// Whether walls, pieces, boards and nails are the same; marks and settings may differ.
    pub fn is_same(&self) -> bool {
        self.walls.is_empty()
            && self.pieces.is_empty()
            && self.boards.is_empty()
            && self.nails.is_empty()
    }
    /// How many walls were added, removed, changed.
    pub fn wall_counts(&self) -> [usize; 3] {
        Kind::ALL.map(|k| self.walls.iter().filter(|w| w.kind == k).count())
    }
    /// How many pieces were added, removed, changed.
    pub fn piece_counts(&self) -> [usize; 3] {
        Kind::ALL.map(|k| self.pieces.iter().filter(|p| p.kind == k).count())
    }
}

/// One layer of one storey, to be drawn.
#[derive(Clone, Debug, PartialEq)]
struct Panel {
    title: String,
    shapes: Vec<Shape>,
}

/// Compares two `plan.json` files.
///
/// # Errors
/// When one of them is no `plan.json` of this program; the finding says which, and where it is
/// damaged.
pub fn compare(old: &[u8], new: &[u8]) -> Result<Comparison, Refusal> {
    let old = plan::read(old, "the old plan")?;
    let new = plan::read(new, "the new plan")?;
    let matched = matching::matched(&old, &new);
    let source = |p: &plan::Plan| Source {
        file: p.file.clone(),
        sha256: p.sha256.clone(),
        walls: p.walls.len(),
        pieces: p.pieces.len(),
    };
    Ok(Comparison {
        old: source(&old),
        new: source(&new),
        moved_in: matched.moved_in,
        settings: plan::settings_that_differ(&old.settings, &new.settings),
        walls: matched.walls,
        walls_unchanged: matched.walls_unchanged,
        pieces: matched.pieces,
        pieces_unchanged: matched.pieces_unchanged,
        renamed: matched.renamed,
        boards: lumber::boards(&old, &new),
        lumber: lumber::feet(&old, &new),
        nails: lumber::nails(&old, &new),
        drawn: matched.drawn,
    })
}

#[cfg(test)]
mod tests;
