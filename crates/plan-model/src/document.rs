//! The whole result of one drawing: what the writers get.

use crate::{PieceId, Plan};
use diag::{Finding, Ledger};
use geom::Length;
use lumber::Section;
use overrides::Overrides;
use settings::Settings;
use wall_model::floor::Floor;
use wall_model::{Format, Linework, Storey, UnitsDecision};

/// The drawing a plan was made from. No path, no date: the same file gives the same bytes anywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct SourceFile {
    /// File name alone.
    pub file: String,
    /// SHA-256 of its bytes, lower-case hex.
    pub sha256: String,
    /// Which reader.
    pub format: Format,
    /// File version.
    pub version: String,
    /// Writing program, as the file says; may be empty.
    pub written_by: String,
    /// Units and how they were decided.
    pub units: UnitsDecision,
}

/// A rule in force, for the report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleNote {
    /// What it asks for, with its number.
    pub text: String,
    /// Standard and section, or "common practice, no source".
    pub source: String,
}

/// Where a board comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BoardSource {
    /// To buy.
    Bought {
        /// Nominal length in whole feet.
        length_ft: u32,
    },
    /// On hand: an index into the settings' `stock.on_hand`.
    OnHand {
        /// The index.
        index: u32,
        /// Its length.
        length: Length,
    },
}

/// A board and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Board {
    /// Its section.
    pub section: Section,
    /// Treated lumber, for bottom plates on concrete.
    pub treated: bool,
    /// Where it comes from.
    pub source: BoardSource,
    /// Pieces in cutting order.
    pub cuts: Vec<PieceId>,
    /// Left after the last kerf.
    pub offcut: Length,
}

impl Board {
    /// The whole board.
    pub fn length(&self) -> Length {
        match self.source {
            BoardSource::Bought { length_ft } => Length::feet(i64::from(length_ft)),
            BoardSource::OnHand { length, .. } => length,
        }
    }
    /// The index of a board on hand.
    pub fn index_on_hand(&self) -> Option<u32> {
        match self.source {
            BoardSource::Bought { .. } => None,
            BoardSource::OnHand { index, .. } => Some(index),
        }
    }
    /// Nominal feet of a board to buy.
    pub fn bought_ft(&self) -> Option<u32> {
        match self.source {
            BoardSource::Bought { length_ft } => Some(length_ft),
            BoardSource::OnHand { .. } => None,
        }
    }
}

/// What a section's boards cost, by the price list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cost {
    /// Of the boards to buy, hundredths.
    pub hundredths: i64,
    /// Proven: no choice costs less.
    pub lower_bound: i64,
}

/// How good the choice of boards of one section is; treated lumber is bought by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionStock {
    /// The section.
    pub section: Section,
    /// Treated lumber.
    pub treated: bool,
    /// Boards to buy.
    pub boards: u64,
    /// Boards on hand that are cut.
    pub on_hand: u64,
    /// Proven: no choice of boards buys less length than this.
    pub lower_bound_length: Length,
    /// Proven: no choice uses fewer boards of the longest length than this.
    pub lower_bound_boards: u64,
    /// Length bought.
    pub bought: Length,
    /// Length of the pieces cut from boards to buy.
    pub used: Length,
    /// Where the settings have prices for this lumber.
    pub cost: Option<Cost>,
}

impl SectionStock {
    /// Length of boards to buy that is in no piece.
    pub fn waste(&self) -> Length {
        self.bought - self.used
    }
    /// The part of it that no choice of boards avoids. Nothing where boards on hand might have taken more.
    pub fn least_waste(&self) -> Length {
        (self.lower_bound_length - self.used).max(Length::ZERO)
    }
}

/// One line of the verifier's proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckLine {
    /// Number of the contract item, 1 to 7.
    pub item: u8,
    /// What was proved, in plain words.
    pub what: String,
    /// How many things were looked at.
    pub looked_at: u64,
    /// How many broke it (each has a finding).
    pub breaches: u64,
}

/// Everything there is to say about one drawing.
#[derive(Clone, Debug)]
pub struct Document {
    /// The drawing.
    pub source: SourceFile,
    /// Settings in force.
    pub settings: Settings,
    /// A reviewer's edits, where there are any.
    pub overrides: Option<Overrides>,
    /// What was taken off the drawing's coordinates, inches.
    pub origin_inches: (f64, f64),
    /// Walls, runs, junctions.
    pub floor: Floor,
    /// Plates.
    pub plan: Plan,
    /// Boards.
    pub boards: Vec<Board>,
    /// One line a section.
    pub stock: Vec<SectionStock>,
    /// The verifier's proof.
    pub checked: Vec<CheckLine>,
    /// Everything a person should know: errors first, then warnings, then notes; each group by code,
    /// subject, message.
    pub findings: Vec<Finding>,
    /// What became of every entity.
    pub ledger: Ledger,
    /// The drawing's own lines, to be shown under the walls; may be empty. In no output but the report.
    pub linework: Linework,
}

impl Document {
    /// What the yard calls a board on hand; `None` for a board to buy.
    pub fn label_on_hand(&self, board: &Board) -> Option<&str> {
        match board.source {
            BoardSource::Bought { .. } => None,
            BoardSource::OnHand { index, .. } => {
                let own = self.settings.stock.on_hand.get(index as usize);
                Some(own.map_or("", |b| &b.label))
            }
        }
    }
    /// Puts the findings in their documented order and drops exact repeats.
    pub fn sort_findings(&mut self) {
        let key =
            |f: &Finding| (f.severity, f.code.name(), f.subject.clone(), f.message.clone(), f.at);
        self.findings.sort_by(|a, b| key(a).cmp(&key(b)));
        self.findings.dedup();
    }
    /// The piece of that id.
    pub fn piece(&self, id: PieceId) -> &crate::Piece {
        &self.plan.pieces[id.0 as usize]
    }
}

/// A storey's name for people: its own, or `Storey 2` where it has none.
pub fn storey_name(index: usize, storey: &Storey) -> String {
    if storey.name.trim().is_empty() {
        format!("Storey {}", index + 1)
    } else {
        storey.name.clone()
    }
}
