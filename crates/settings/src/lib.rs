//! The settings a plan is made under.
//!
//! Knows: every setting, its default and its unit; reading them from TOML with clear errors. Never
//! touches: drawings, files (text comes in as a string), the planner.
//!
//! Lengths in the TOML file are decimal inches, as the output contract fixes them.

mod chord;
mod code_page;
mod feed;
mod layers;
pub mod on_hand;
pub mod parse;
pub mod reference;
mod stock;

pub use limits::{Limit, Limits};
pub use stock::{OnHandBoard, StockSettings, lumber_name};

pub use chord::{ChordForce, ChordSettings, Species};
pub use code_page::CodePage;
pub use feed::{DecimalSign, FeedSettings, FeedUnit};
pub use layers::{LayerRule, LayerUse, Roof, Uphill, glob_match};

use geom::{Length, Unit};
use lumber::Section;

/// Mirrored house.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mirror {
    /// As drawn.
    #[default]
    None,
    /// Left and right change places: x is negated.
    X,
    /// Top and bottom of the sheet change places: y is negated.
    Y,
}

impl Mirror {
    /// The word used in settings: `none`, `x`, `y`.
    pub const fn name(self) -> &'static str {
        match self {
            Mirror::None => "none",
            Mirror::X => "x",
            Mirror::Y => "y",
        }
    }
    /// A point seen in it; twice gives the point again.
    pub const fn point(self, (x, y): (f64, f64)) -> (f64, f64) {
        match self {
            Mirror::None => (x, y),
            Mirror::X => (-x, y),
            Mirror::Y => (x, -y),
        }
    }
}

/// What to do with walls that are drawn curved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CurvedWalls {
    /// Plan them as straight parts, [`CurvedWalls::OFF`] off the curve at most.
    #[default]
    StraightParts,
    /// Leave them out, each with an error.
    LeaveOut,
}

impl CurvedWalls {
    /// How far the middle of a straight part lies off the centreline of the curve, at most: 1/4 in (common
    /// practice, no source).
    pub const OFF: Length = Length::sixteenths(4);

    /// How many straight parts of one length an arc of a circle gives whose middles are `off` inside it at
    /// most. `off` and the radius in one unit, the turn in radians. None where the arc is too small for
    /// parts, or takes more than a thousand.
    pub fn parts(off: f64, radius: f64, turn: f64) -> Option<u32> {
        let step = 2.0 * (1.0 - off / radius).acos();
        let count = (turn.abs() / step - 1e-9).ceil();
        (1.0..=1000.0).contains(&count).then_some(count as u32)
    }

    /// The word used in settings: `straight-parts`, `leave-out`.
    pub const fn name(self) -> &'static str {
        match self {
            CurvedWalls::StraightParts => "straight-parts",
            CurvedWalls::LeaveOut => "leave-out",
        }
    }
}

/// What to do where an interior wall meets an exterior one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ExteriorTee {
    /// Bite into the exterior upper plate; the interior plate runs into it.
    #[default]
    Notch,
    /// The interior upper plate runs over the exterior wall, whose upper plate is broken there.
    Lap,
    /// The interior upper plate butts; a metal strap ties it.
    Strap,
}

impl ExteriorTee {
    /// The word used in settings: `notch`, `lap`, `strap`.
    pub const fn name(self) -> &'static str {
        match self {
            ExteriorTee::Notch => "notch",
            ExteriorTee::Lap => "lap",
            ExteriorTee::Strap => "strap",
        }
    }
}

/// Settings of the plates and their joints.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateSettings {
    /// Least distance between joints of the two top layers. Default 24 in (IRC R602.3.2); `None`
    /// takes the rule set's.
    pub joint_offset: Option<Length>,
    /// How far an upper piece stops short of what it meets. Default 1/8 in (common practice).
    pub upper_clearance: Length,
    /// How far an interior upper plate runs onto an exterior wall at a notch. Default 2 in (common
    /// practice).
    pub notch_depth: Length,
    /// Room on each side of the plate in a notch. Default 1/8 in (common practice).
    pub notch_side_clearance: Length,
    /// Tie at exterior tees.
    pub exterior_tee: ExteriorTee,
    /// Pieces shorter than this are a last resort. Default 24 in (common practice).
    pub short_piece: Length,
    /// Whether bottom plates stop at door openings instead of running through them.
    pub bottom_stops_at_doors: bool,
    /// Whether the lowest storey's bottom plates lie on concrete: treated lumber, with anchor bolts.
    /// Default no: on a framed floor.
    pub on_concrete: bool,
}

impl Default for PlateSettings {
    fn default() -> Self {
        PlateSettings {
            joint_offset: None,
            upper_clearance: Length::sixteenths(2),
            notch_depth: Length::inches(2),
            notch_side_clearance: Length::sixteenths(2),
            exterior_tee: ExteriorTee::Notch,
            short_piece: Length::inches(24),
            bottom_stops_at_doors: false,
            on_concrete: false,
        }
    }
}

/// Settings of the stud layout that joints, marks and nails go by.
#[derive(Clone, Debug, PartialEq)]
pub struct StudSettings {
    /// On-centre spacing. Default 16 in.
    pub spacing: Length,
}

impl Default for StudSettings {
    fn default() -> Self {
        StudSettings { spacing: Length::inches(16) }
    }
}

/// Which layer of a wall is the framing (IFC), for materials whose names the built-in words do not
/// know.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FramingSettings {
    /// Globs over the names of materials and layers that are the framing; before all built-in words.
    pub materials: Vec<String>,
    /// Globs over the names of those that never are.
    pub finishes: Vec<String>,
}

/// Settings of the wall graph.
#[derive(Clone, Debug, PartialEq)]
pub struct GraphSettings {
    /// Ends nearer than this are one node; drawing slips up to this are closed and listed. Default
    /// 3/8 in, a quarter of a plate's thickness and far below any real clearance (common practice,
    /// no source).
    pub snap: Length,
}

impl Default for GraphSettings {
    fn default() -> Self {
        GraphSettings { snap: Length::sixteenths(6) }
    }
}

/// Everything a plan depends on besides the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Overrides what the file says.
    pub units: Option<Unit>,
    /// DXF: how its texts are written, whatever the file says.
    pub code_page: Option<CodePage>,
    /// Mirrored house.
    pub mirror: Mirror,
    /// Walls drawn curved.
    pub curved_walls: CurvedWalls,
    /// Top of the upper plate above the storey where the drawing gives none. Default 97-1/8 in:
    /// 92-5/8 stud and three plates.
    pub default_top: Length,
    /// Section where nothing else tells it; `None` means 2x4 with a warning for walls that are
    /// drawn without thickness, and an error for walls whose thickness fits no lumber.
    pub default_section: Option<Section>,
    /// Rule set by name. Default `irc-2021`.
    pub rules: String,
    /// DXF: the drawings on the sheet to plan, by the number that inspect gives them or by a glob over
    /// their titles. Empty: every floor plan there is.
    pub regions: Vec<String>,
    /// First match wins. Tried before the built-in layer names.
    pub layers: Vec<LayerRule>,
    /// Plates.
    pub plates: PlateSettings,
    /// Studs.
    pub studs: StudSettings,
    /// Boards.
    pub stock: StockSettings,
    /// Framing layers.
    pub framing: FramingSettings,
    /// Wall graph.
    pub graph: GraphSettings,
    /// Chord force to compare splices with; none unless given.
    pub chord: Option<ChordSettings>,
    /// Form of the tables.
    pub feed: FeedSettings,
    /// What a drawing may take.
    pub limits: Limits,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            units: None,
            code_page: None,
            mirror: Mirror::None,
            curved_walls: CurvedWalls::StraightParts,
            default_top: Length::sixty_fourths(97 * 64 + 8),
            default_section: None,
            rules: "irc-2021".to_owned(),
            regions: Vec::new(),
            layers: Vec::new(),
            plates: PlateSettings::default(),
            studs: StudSettings::default(),
            stock: StockSettings::default(),
            framing: FramingSettings::default(),
            graph: GraphSettings::default(),
            chord: None,
            feed: FeedSettings::default(),
            limits: Limits::default(),
        }
    }
}
