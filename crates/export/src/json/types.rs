//! The structures `plan.json` is written with, and its schema is made from. Names are fixed by the
//! output contract; the comments become the schema's descriptions.

use super::SettingsOut;
use schemars::JsonSchema;
use serde::Serialize;

/// A plate plan: what platewright makes of one drawing. Lengths are decimal inches unless the name
/// ends in `_mm`; a multiple of 1/16 in is exact. Points are [x, y], x to the right, y up the sheet,
/// the drawing's origin taken off. More fields may be added.
#[derive(Serialize, JsonSchema)]
#[schemars(title = "platewright/plan/1")]
pub(crate) struct PlanOut<'a> {
    #[schemars(extend("const" = "platewright/plan/1"))]
    pub schema: &'a str,
    pub source: SourceOut<'a>,
    pub settings: SettingsOut<'a>,
    /// A reviewer's edits, as in the overrides file; only where there are any. Their mapping is in `settings`
    /// already. Places are in drawing units.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overrides: Option<&'a overrides::Form>,
    /// What was subtracted from drawing coordinates.
    pub origin: [f64; 2],
    pub storeys: Vec<StoreyOut<'a>>,
    pub walls: Vec<WallOut<'a>>,
    pub runs: Vec<RunOut<'a>>,
    pub junctions: Vec<JunctionOut>,
    pub pieces: Vec<PieceOut<'a>>,
    pub ties: Vec<TieOut<'a>>,
    pub joints: Vec<JointOut>,
    pub stock: StockOut<'a>,
    pub fasteners: Vec<FastenerOut<'a>>,
    /// Errors first, then warnings, then notes.
    pub findings: Vec<FindingOut<'a>>,
    pub ledger: LedgerOut<'a>,
    /// What the verifier proved; empty if it did not run.
    pub checked: Vec<CheckOut<'a>>,
    /// The rules in force.
    pub rules: Vec<RuleOut<'a>>,
}

/// The drawing.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SourceOut<'a> {
    /// File name alone.
    pub file: &'a str,
    /// Of its bytes, lower-case hex.
    pub sha256: &'a str,
    #[schemars(extend("enum" = ["dxf", "ifc"]))]
    pub format: &'a str,
    pub version: &'a str,
    /// Program that wrote the file, as the file says; may be empty.
    pub written_by: &'a str,
    pub units: UnitsOut<'a>,
}

/// The drawing's unit.
#[derive(Serialize, JsonSchema)]
pub(crate) struct UnitsOut<'a> {
    pub name: &'a str,
    pub inches_per_unit: f64,
    /// Which source decided, and the evidence that it is plausible.
    pub decided_by: &'a str,
}

/// A floor.
#[derive(Serialize, JsonSchema)]
pub(crate) struct StoreyOut<'a> {
    #[schemars(regex(pattern = "^S[1-9][0-9]*$"))]
    pub id: String,
    pub name: &'a str,
    pub elevation: f64,
}

/// An entity of the drawing.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SourceRefOut<'a> {
    /// DXF handle or IFC GlobalId.
    pub entity: &'a str,
    pub layer: &'a str,
}

/// A wall by its framing centreline, from node to node.
#[derive(Serialize, JsonSchema)]
pub(crate) struct WallOut<'a> {
    #[schemars(regex(pattern = "^W[1-9][0-9]*$"))]
    pub id: String,
    pub storey: String,
    pub start: [f64; 2],
    pub end: [f64; 2],
    /// Finishes included.
    pub drawn_thickness: f64,
    pub section: &'a str,
    /// Framing width.
    pub width: f64,
    /// Underside of the bottom plate above the storey.
    pub base: f64,
    /// Top of the upper plate above the storey, at the start.
    pub top: f64,
    /// At the end: another than `top` where it is raked, in a straight line.
    pub top_end: f64,
    pub exterior: bool,
    pub bearing: Option<bool>,
    pub run: String,
    pub openings: Vec<OpeningOut<'a>>,
    pub source: Vec<SourceRefOut<'a>>,
}

/// A hole in a wall; stations along the wall's start to end.
#[derive(Serialize, JsonSchema)]
pub(crate) struct OpeningOut<'a> {
    #[schemars(extend("enum" = ["door", "window", "opening"]))]
    pub kind: &'a str,
    pub from: f64,
    pub to: f64,
    pub source: Vec<SourceRefOut<'a>>,
}

/// A straight chain of walls of one section and one top, level or raked in one slope.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RunOut<'a> {
    #[schemars(regex(pattern = "^R[1-9][0-9]*$"))]
    pub id: String,
    pub storey: String,
    pub start: [f64; 2],
    pub end: [f64; 2],
    pub section: &'a str,
    pub width: f64,
    pub base: f64,
    /// At the start.
    pub top: f64,
    /// At the end: another than `top` where the run is raked.
    pub top_end: f64,
    /// In order along the run.
    pub walls: Vec<String>,
}

/// A node and the runs that meet there.
#[derive(Serialize, JsonSchema)]
pub(crate) struct JunctionOut {
    #[schemars(regex(pattern = "^J[1-9][0-9]*$"))]
    pub id: String,
    pub storey: String,
    pub at: [f64; 2],
    /// By the plan view alone.
    #[schemars(extend("enum" = ["L", "T", "X", "inline", "end", "other"]))]
    pub kind: &'static str,
    pub arms: Vec<ArmOut>,
    pub angle_deg: f64,
    /// Height difference of the arms' tops, or 0.
    pub step: f64,
}

/// A run at a junction.
#[derive(Serialize, JsonSchema)]
pub(crate) struct ArmOut {
    pub run: String,
    #[schemars(extend("enum" = ["start", "end", "through"]))]
    pub at: &'static str,
}

/// A plate to cut. Stations on a piece count from its start, its least station on the run.
#[derive(Serialize, JsonSchema)]
pub(crate) struct PieceOut<'a> {
    #[schemars(regex(pattern = "^P[1-9][0-9]*$"))]
    pub id: String,
    /// Written on the wood.
    pub mark: &'a str,
    /// Equal pieces have the same group, as in cuts.csv.
    pub group: String,
    pub run: String,
    pub storey: String,
    #[schemars(extend("enum" = ["bottom", "lower", "upper"]))]
    pub layer: &'static str,
    pub section: &'static str,
    pub width: f64,
    /// Whether it is to be of treated lumber: a bottom plate on concrete.
    pub treated: bool,
    /// Stations on the run, counted from its start node.
    pub from: f64,
    pub to: f64,
    /// Plan polygon, counter-clockwise, notches and bevels included; the first point isn't repeated.
    pub outline: Vec<[f64; 2]>,
    /// Overall (long point to long point), as cut: the outline's extent along the run; for a raked piece
    /// along its slope, with what the plumb cuts add.
    pub length_in: f64,
    pub length_mm: f64,
    /// For people: `length_in` rounded once.
    pub length_text: String,
    /// Underside above the storey, at its start.
    pub z: f64,
    /// For a top plate on a slope, else null. Its `outline`, `from` and `to` are in plan; its `marks` and
    /// `nails` are along the wood.
    pub rake: Option<RakeOut>,
    /// At its start and at its end.
    pub ends: [EndOut; 2],
    pub notches: Vec<NotchOut>,
    pub marks: Vec<MarkOut>,
    pub nails: Vec<NailOut<'a>>,
}

/// How a piece lies on a slope; its ends are cut plumb.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RakeOut {
    /// From its start to its end; less than 0 where it falls.
    pub rise_in_12: f64,
    /// Along one face, between its two cuts.
    pub edge_in: f64,
    /// For people: `edge_in` rounded once.
    pub edge_text: String,
    /// Underside above the storey, at its end.
    pub z_end: f64,
}

/// One end of a piece.
#[derive(Serialize, JsonSchema)]
pub(crate) struct EndOut {
    /// 90 is square. Below 90 the left edge (looking from start to end) is the longer at this end,
    /// above 90 the right one.
    pub cut_deg: f64,
    /// Between the cut and the upper face, inside the wood: 90 with the blade upright; below 90 the upper
    /// face is the longer at this end.
    pub tilt_deg: f64,
    /// What it meets: `open`, `same-run`, `run R3` (a face of its plate), `notch R3` (in its plate),
    /// `stud R3` (of the taller wall).
    #[schemars(regex(pattern = "^(open|same-run|(run|notch|stud) R[1-9][0-9]*)$"))]
    pub against: String,
}

/// A bite out of a piece's edge.
#[derive(Serialize, JsonSchema)]
pub(crate) struct NotchOut {
    pub from: f64,
    pub to: f64,
    pub depth: f64,
    /// Looking from the piece's start to its end.
    #[schemars(extend("enum" = ["left", "right"]))]
    pub side: &'static str,
    /// The run that ties in here.
    pub stem: String,
}

/// A pencil mark.
#[derive(Serialize, JsonSchema)]
pub(crate) struct MarkOut {
    pub at: f64,
    #[schemars(extend("enum" = ["stud", "king", "trimmer", "tee", "corner", "opening", "anchor"]))]
    pub kind: &'static str,
}

/// Nails at one station.
#[derive(Serialize, JsonSchema)]
pub(crate) struct NailOut<'a> {
    pub at: f64,
    pub count: u32,
    pub nail: &'a str,
    /// What lies under the plate there: of a bottom plate the floor, beside studs; else a stud, or the plate below.
    #[schemars(extend("enum" = ["floor", "stud", "plate"]))]
    pub into: &'static str,
}

/// What holds two runs together.
#[derive(Serialize, JsonSchema)]
pub(crate) struct TieOut<'a> {
    pub junction: String,
    #[schemars(extend("enum" = ["lap", "notch", "strap", "screw", "none"]))]
    pub kind: &'static str,
    /// For a lap or a notch: the upper piece, then the lower pieces it lies on.
    pub pieces: Vec<String>,
    /// How far the upper piece lies onto the other wall's plate; 0 for hardware.
    pub overlap_in: f64,
    /// Empty for a lap or a notch.
    pub hardware: &'a str,
}

/// Where a layer of a run is interrupted or ends.
#[derive(Serialize, JsonSchema)]
pub(crate) struct JointOut {
    pub run: String,
    #[schemars(extend("enum" = ["bottom", "lower", "upper"]))]
    pub layer: &'static str,
    /// Station on the run; the middle of a gap.
    pub at: f64,
    /// How far the gap reaches to either side.
    pub half_gap: f64,
    #[schemars(extend("enum" = ["break", "lap-gap", "end"]))]
    pub kind: &'static str,
    pub on_stud: bool,
    /// Clear distance to the nearest joint of the other top layer; null where there is none.
    pub offset_in: Option<f64>,
}

/// Boards to buy.
#[derive(Serialize, JsonSchema)]
pub(crate) struct StockOut<'a> {
    pub boards: Vec<BoardOut<'a>>,
    /// Proven: no choice uses fewer boards of the longest length, summed over the sections.
    pub lower_bound_boards: u64,
    /// Percent of the length bought that is in no piece.
    pub waste_pct: f64,
    /// One entry a section.
    pub sections: Vec<SectionStockOut<'a>>,
}

/// A board and what is cut from it.
#[derive(Serialize, JsonSchema)]
pub(crate) struct BoardOut<'a> {
    /// As in stock.csv.
    #[schemars(regex(pattern = "^BD[1-9][0-9]*$"))]
    pub id: String,
    pub section: &'static str,
    /// Treated lumber, for bottom plates on concrete.
    pub treated: bool,
    /// Nominal; of a board on hand as it is.
    pub length_ft: f64,
    pub length_mm: f64,
    /// The yard's name for a board on hand (may be empty), `null` for one to buy.
    pub on_hand: Option<&'a str>,
    /// Pieces in cutting order.
    pub cuts: Vec<String>,
    /// Left after the last kerf.
    pub offcut_in: f64,
    pub offcut_mm: f64,
}

/// How good the choice of boards of one section is.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SectionStockOut<'a> {
    pub section: &'a str,
    /// Treated lumber is bought by itself.
    pub treated: bool,
    /// To buy.
    pub boards: u64,
    /// On hand that are cut.
    pub on_hand: u64,
    /// Proven: no choice uses fewer boards of the longest length.
    pub lower_bound_boards: u64,
    /// Proven: no choice buys less length.
    pub lower_bound_in: f64,
    pub bought_in: f64,
    pub used_in: f64,
    pub waste_pct: f64,
    /// The waste no choice can avoid.
    pub lower_bound_waste_pct: f64,
    /// By the price list; `null` without one.
    pub cost: Option<f64>,
    /// Proven: no choice costs less.
    pub lower_bound_cost: Option<f64>,
}

/// Nails or hardware of one kind for one purpose.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FastenerOut<'a> {
    pub nail: &'a str,
    pub count: u64,
    pub r#for: &'a str,
}

/// One thing a person should know.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FindingOut<'a> {
    /// `platewright explain CODE` tells more.
    pub code: &'a str,
    #[schemars(extend("enum" = ["error", "warning", "note"]))]
    pub severity: &'a str,
    pub message: &'a str,
    pub at: Option<[f64; 2]>,
    /// The id of what it is about, a place in the file or a settings key; may be empty.
    pub subject: &'a str,
    pub source: Vec<SourceRefOut<'a>>,
    /// What the code means, shortly.
    pub title: &'a str,
    /// What to do.
    pub remedy: &'a str,
}

/// What became of every entity: used + ignored = read.
#[derive(Serialize, JsonSchema)]
pub(crate) struct LedgerOut<'a> {
    pub entities_read: u64,
    pub used: u64,
    pub ignored: Vec<IgnoredOut<'a>>,
}

/// Entities that weren't used, for one reason.
#[derive(Serialize, JsonSchema)]
pub(crate) struct IgnoredOut<'a> {
    pub reason: &'a str,
    pub count: u64,
    /// The first few.
    pub sample: &'a [String],
}

/// One line of the verifier's proof.
#[derive(Serialize, JsonSchema)]
pub(crate) struct CheckOut<'a> {
    /// Number in the contract's list of what must hold in every plan.
    pub item: u8,
    pub what: &'a str,
    pub looked_at: u64,
    pub breaches: u64,
}

/// A rule in force.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RuleOut<'a> {
    pub text: &'a str,
    pub source: &'a str,
}
