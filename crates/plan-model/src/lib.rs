//! What a plate plan *is*: pieces, joints, ties, nails, boards, the proof, and the document that
//! holds them all.
//!
//! Knows: the shape of a finished plan. Never touches: how it was decided, how it is written.
//!
//! The frame is the wall model's plan frame (x right, y up, drawing origin taken off). A *station* on
//! a run counts from the run's start **node**; a station on a piece counts from the piece's own start,
//! its least station on the run. Ids are indices, printed by their `Display`: piece `P12`, run `R3`,
//! wall `W5`, junction `J7`, storey `S1` (all from 1).

mod document;

pub use document::{
    Board, BoardSource, CheckLine, Cost, Document, RuleNote, SectionStock, SourceFile, storey_name,
};

use geom::{Length, Point, Slope};
use lumber::Section;
use wall_model::StoreyId;
use wall_model::floor::{JunctionId, RunId};
pub use wall_model::floor::{junction_name, run_name};

/// Index of a piece in [`Plan::pieces`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PieceId(pub u32);

/// Which plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// On the floor.
    Bottom,
    /// First top plate, on the studs.
    Lower,
    /// Second top plate, on the lower one.
    Upper,
}

impl Layer {
    /// All three, from the floor up.
    pub const ALL: [Layer; 3] = [Layer::Bottom, Layer::Lower, Layer::Upper];
    /// `bottom`, `lower`, `upper`.
    pub const fn name(self) -> &'static str {
        match self {
            Layer::Bottom => "bottom",
            Layer::Lower => "lower",
            Layer::Upper => "upper",
        }
    }
}

/// What a piece's end meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// Nothing: flush with the wall's free end or with the outer face of the wall it runs over.
    Open,
    /// The next piece of the same run and layer, or of a run in line that its upper plate runs on over.
    SameRun,
    /// A face of another run's plate.
    Run(RunId),
    /// The bottom of a notch in another run's plate.
    Notch(RunId),
    /// The stud of a taller wall at a height step.
    Stud(RunId),
}

/// One end of a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PieceEnd {
    /// Angle between the cut and the piece's length, degrees, 90 = square. Below 90 the left edge
    /// (looking from the piece's start to its end) is the longer at this end; above 90 the right one.
    /// For an end of several cuts, the first from the left.
    ///
    /// On a slope it is measured on the piece's own face, not in plan.
    pub cut_deg: f64,
    /// Angle between the cut and the piece's upper face, inside the wood, degrees: 90 = blade upright.
    /// Below 90 the upper face is the longer at this end. A piece on a slope is cut plumb.
    pub tilt_deg: f64,
    /// What it meets.
    pub against: Against,
}

/// Which long edge of a piece, looking from its start to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Left edge.
    Left,
    /// Right edge.
    Right,
}

impl Side {
    /// `left`, `right`.
    pub const fn name(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// A bite out of a piece's edge, square to it or along an oblique wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Notch {
    /// Near side at the edge, station on the piece.
    pub from: Length,
    /// Far side at the edge.
    pub to: Length,
    /// How far it reaches in from the edge.
    pub depth: Length,
    /// Which edge.
    pub side: Side,
    /// The run that ties in here.
    pub stem: RunId,
}

/// What a pencil mark on a plate stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkKind {
    /// Common stud, by its centre.
    Stud,
    /// Full-height stud beside an opening, by its centre.
    King,
    /// Stud under the header, by its centre.
    Trimmer,
    /// Centre of a wall that meets this one.
    Tee,
    /// Corner stud or backer, by its centre.
    Corner,
    /// Edge of an opening.
    Opening,
    /// Anchor bolt through a bottom plate on concrete: a hint, the foundation's drawing governs.
    Anchor,
}

impl MarkKind {
    /// `stud`, `king`, `trimmer`, `tee`, `corner`, `opening`, `anchor`.
    pub const fn name(self) -> &'static str {
        match self {
            MarkKind::Stud => "stud",
            MarkKind::King => "king",
            MarkKind::Trimmer => "trimmer",
            MarkKind::Tee => "tee",
            MarkKind::Corner => "corner",
            MarkKind::Opening => "opening",
            MarkKind::Anchor => "anchor",
        }
    }
}

/// A mark on a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Mark {
    /// Station on the piece.
    pub at: Length,
    /// What it stands for.
    pub kind: MarkKind,
}

/// Nails driven at one station of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NailSpot {
    /// Station on the piece.
    pub at: Length,
    /// How many.
    pub count: u32,
    /// Which nail, as the rule set names it.
    pub nail: String,
    /// Through a bottom plate into the floor, beside studs; else into a stud or the plate below.
    pub into_floor: bool,
}

impl NailSpot {
    /// What the nails of a plate of this layer go into: `floor`, `stud`, `plate`.
    pub const fn goes_into(&self, layer: Layer) -> &'static str {
        match (layer, self.into_floor) {
            (Layer::Upper, _) => "plate",
            (Layer::Bottom | Layer::Lower, true) => "floor",
            (Layer::Bottom | Layer::Lower, false) => "stud",
        }
    }
}

/// How a piece lies on a slope. Its ends are cut plumb, so that seen from the side it is a
/// parallelogram; in plan it is as a level one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rake {
    /// From its start to its end.
    pub slope: Slope,
    /// Along either face, long point to long point of that face: what a tape along one face reads.
    pub edge: Length,
    /// `edge` as printed, rounded as [`Piece::printed`] is for level pieces.
    pub edge_printed: Length,
    /// Underside at its end, above the storey; [`Piece::z`] is that at its start.
    pub z_end: Length,
}

/// A plate to cut.
///
/// Stations in `marks` and `nails` are along the wood, from the start of whichever face is measured; on a
/// slope they are longer than in plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Short name written on the wood, unique in the plan.
    pub mark: String,
    /// The run it belongs to.
    pub run: RunId,
    /// Its storey.
    pub storey: StoreyId,
    /// Which plate.
    pub layer: Layer,
    /// Section, laid flat.
    pub section: Section,
    /// Least and greatest station on the run (long points).
    pub from: Length,
    /// See `from`.
    pub to: Length,
    /// Plan polygon, counter-clockwise, notches and bevels included; first point not repeated.
    pub outline: Vec<Point>,
    /// Overall length as cut, long point to long point: `to - from`; on a slope `rake.edge` and what the
    /// plumb cuts add.
    pub length: Length,
    /// `length` as printed: rounded once, from running stations for lower and bottom pieces (so that
    /// printed lengths of a run add up to its printed length), down for upper ones (never long).
    pub printed: Length,
    /// Underside above the storey, at its start.
    pub z: Length,
    /// For a top plate on a slope.
    pub rake: Option<Rake>,
    /// At its start and at its end.
    pub ends: [PieceEnd; 2],
    /// Bites, by station.
    pub notches: Vec<Notch>,
    /// Pencil marks, by station.
    pub marks: Vec<Mark>,
    /// Nails, by station.
    pub nails: Vec<NailSpot>,
}

/// What holds two runs together at a junction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TieKind {
    /// An upper piece of one over a lower piece of the other, across its whole width.
    Lap,
    /// An upper piece of one runs into a notch over a lower piece of the other.
    Notch,
    /// A metal strap or plate.
    Strap,
    /// Structural screws through the seam.
    Screw,
    /// Nothing; a finding says so.
    None,
}

impl TieKind {
    /// `lap`, `notch`, `strap`, `screw`, `none`.
    pub const fn name(self) -> &'static str {
        match self {
            TieKind::Lap => "lap",
            TieKind::Notch => "notch",
            TieKind::Strap => "strap",
            TieKind::Screw => "screw",
            TieKind::None => "none",
        }
    }
}

/// A tie at a junction, or a splice plate along a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Tie {
    /// Where.
    pub junction: JunctionId,
    /// How.
    pub kind: TieKind,
    /// For a lap or notch: the upper piece, then the lower piece(s) it lies on. For hardware: the
    /// pieces it joins.
    pub pieces: Vec<PieceId>,
    /// How far the upper piece lies onto the other wall's plate, square to that wall; 0 for hardware.
    pub overlap: Length,
    /// What to buy; empty for a lap or notch.
    pub hardware: String,
}

/// What kind of end two pieces make.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointKind {
    /// Two pieces of the run meet (also where a crossing wall passes between them, at an X).
    Break,
    /// The upper layer is interrupted by another wall's plate running over.
    LapGap,
    /// The run's own end.
    End,
}

impl JointKind {
    /// `break`, `lap-gap`, `end`.
    pub const fn name(self) -> &'static str {
        match self {
            JointKind::Break => "break",
            JointKind::LapGap => "lap-gap",
            JointKind::End => "end",
        }
    }
}

/// A place where a layer of a run is interrupted or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The run.
    pub run: RunId,
    /// The layer.
    pub layer: Layer,
    /// Station on the run; the middle where there is a gap.
    pub at: Length,
    /// How far the gap reaches to either side of `at`; zero for a tight joint.
    pub half_gap: Length,
    /// What kind.
    pub kind: JointKind,
    /// Whether a stud of the layout lies under it.
    pub on_stud: bool,
    /// Clear distance to the nearest joint of the other top layer of the run (edge to edge, run ends
    /// not counted); `None` for bottom plates, run ends and where the other layer has no joint.
    pub offset: Option<Length>,
}

/// Nails or hardware of one kind, for one purpose, over the whole plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fastener {
    /// Which nail, strap or screw.
    pub nail: String,
    /// How many.
    pub count: u64,
    /// What for.
    pub purpose: String,
}

/// The planner's result.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// By storey, run, layer, station.
    pub pieces: Vec<Piece>,
    /// By junction.
    pub ties: Vec<Tie>,
    /// By run, layer, station.
    pub joints: Vec<Joint>,
    /// By purpose, then nail.
    pub fasteners: Vec<Fastener>,
    /// The rules in force.
    pub rules: Vec<RuleNote>,
    /// Storeys whose bottom plates lie on concrete and are of treated lumber.
    pub on_concrete: Vec<StoreyId>,
}

impl Plan {
    /// Whether a piece is to be of treated lumber.
    pub fn is_treated(&self, piece: &Piece) -> bool {
        piece.layer == Layer::Bottom && self.on_concrete.contains(&piece.storey)
    }
}

/// Prints an index as the outputs do: a letter and a number from 1.
macro_rules! printed_ids {
    ($($name:ident($id:ty) = $letter:literal;)*) => {$(
        #[doc = concat!("`", $letter, "` and a number from 1.")]
        pub fn $name(id: $id) -> String {
            format!(concat!($letter, "{}"), id.0 + 1)
        }
    )*};
}
printed_ids! {
    piece_name(PieceId) = "P";
    storey_id_name(StoreyId) = "S";
}

/// `W` and a number from 1: the index of a wall in the floor.
pub fn wall_name(index: usize) -> String {
    format!("W{}", index + 1)
}
