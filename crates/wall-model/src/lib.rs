//! The wall model: the one normal form every importer ends at and everything else starts from.
//!
//! Knows: walls by their framing centreline, openings, storeys, where each came from, units and
//! origin. Never touches: file formats, junctions, plates.
//!
//! What is already settled here, so that no later stage asks again: units (everything is
//! [`Length`]), mirroring, block transforms, which layer of a wall is the framing, the section, the
//! host of every opening, off and frozen layers. The frame is *plan*: x right, y up, the drawing's
//! own origin taken off (see [`WallModel::origin_inches`]); heights are above the storey.
//!
//! Importers do not build [`Wall`]s by hand: they fill a [`Draft`] in decimal inches of the drawing's
//! frame and call [`Draft::finish`], which checks, mirrors, recentres and rounds once.

mod draft;
pub mod floor;
mod linework;
mod roofs;

pub use draft::{Draft, DraftOpening, DraftStorey, DraftWall, canonical_order};
pub use linework::{LineGroup, Linework};
pub use roofs::UnderRoof;

use diag::{Ledger, SourceRef};
use geom::{Length, Point, Slope};
use lumber::Section;

/// Index of a storey in [`WallModel::storeys`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StoreyId(pub u32);

/// Index of a wall in [`WallModel::walls`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WallId(pub u32);

/// Which reader made the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Drawing exchange file.
    Dxf,
    /// Industry Foundation Classes, STEP file.
    Ifc,
}

impl Format {
    /// `dxf` or `ifc`.
    pub const fn name(self) -> &'static str {
        match self {
            Format::Dxf => "dxf",
            Format::Ifc => "ifc",
        }
    }
}

/// The drawing's unit and how it was decided.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitsDecision {
    /// `in`, `ft`, `mm`, `cm`, `m`, or the file's own word for a rarer unit.
    pub name: String,
    /// Inches in one drawing unit.
    pub inches_per_unit: f64,
    /// One sentence: which source decided, and the evidence that it is plausible.
    pub decided_by: String,
}

/// One floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Storey {
    /// Name as drawn, or `Plan` where the drawing has none.
    pub name: String,
    /// Above the project's zero.
    pub elevation: Length,
}

/// What an opening is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OpeningKind {
    /// Goes down to the floor and has a leaf.
    Door,
    /// Has a sill.
    Window,
    /// A plain passage, or not known.
    Opening,
}

impl OpeningKind {
    /// `door`, `window`, `opening`.
    pub const fn name(self) -> &'static str {
        match self {
            OpeningKind::Door => "door",
            OpeningKind::Window => "window",
            OpeningKind::Opening => "opening",
        }
    }
}

/// A hole in a wall, by stations along the wall's start -> end.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// What it is.
    pub kind: OpeningKind,
    /// Near side, from the wall's start.
    pub from: Length,
    /// Far side; `from < to`.
    pub to: Length,
    /// Where it came from.
    pub source: Vec<SourceRef>,
}

/// A straight wall by its framing centreline.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Its storey.
    pub storey: StoreyId,
    /// One end of the framing centreline, plan frame.
    pub start: Point,
    /// The other end; never equal to `start`.
    pub end: Point,
    /// Thickness as drawn, finishes included; equal to the section's width for single-line walls.
    pub drawn_thickness: Length,
    /// Studs and plates.
    pub section: Section,
    /// Underside of the bottom plate above the storey.
    pub base: Length,
    /// Top of the upper plate above the storey, at the wall's start; above `base`.
    pub top: Length,
    /// How much higher the top is at the wall's end, in a straight line: zero for a level top, less than
    /// zero where it falls.
    pub rise: Length,
    /// As the drawing or the settings say; `None` where nothing tells, and the outline of the floor
    /// decides.
    pub exterior: Option<bool>,
    /// As the drawing or the settings say.
    pub bearing: Option<bool>,
    /// Sorted by `from`; may overlap.
    pub openings: Vec<Opening>,
    /// The entities it came from, sorted.
    pub source: Vec<SourceRef>,
}

impl Wall {
    /// Length of the centreline.
    pub fn length(&self) -> Length {
        self.start.distance(self.end)
    }
    /// How its top rises from start to end; `None` for a level one.
    pub fn slope(&self) -> Option<Slope> {
        Slope::new(self.rise, self.length())
    }
}

/// What a drawing says about walls.
#[derive(Clone, Debug)]
pub struct WallModel {
    /// Which reader.
    pub format: Format,
    /// `AC1027 (R2013)`, `IFC4`.
    pub version: String,
    /// Program that wrote the file, as the file says; may be empty.
    pub written_by: String,
    /// Units.
    pub units: UnitsDecision,
    /// What was taken off the drawing's (mirrored) coordinates, in inches.
    pub origin_inches: (f64, f64),
    /// Floors, lowest first.
    pub storeys: Vec<Storey>,
    /// Walls in canonical order: storey, start, end, section, heights, source. The order of entities
    /// in the file does not show.
    pub walls: Vec<Wall>,
    /// What became of every entity.
    pub ledger: Ledger,
    /// The drawing's own lines, for people to look at; may be empty.
    pub linework: Linework,
}
