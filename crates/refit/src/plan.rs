//! `plan.json` as far as it concerns top plates.

use diag::{Finding, Refusal, codes::input};
use geom::Length;
use lumber::Section;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The layer of a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Layer {
    /// On the floor.
    Bottom,
    /// First top plate.
    Lower,
    /// Second top plate.
    Upper,
}

/// A bite out of a piece's edge. Stations from the piece's start.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notch {
    /// Near end.
    pub from: Length,
    /// Far end.
    pub to: Length,
    /// Across the plate.
    pub depth: Length,
    /// Looking from start to end.
    pub left: bool,
}

/// Nails at one station of a piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nails {
    /// From the piece's start.
    pub at: Length,
    /// How many.
    pub count: u32,
    /// Which.
    pub nail: String,
}

/// A plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// `P12`.
    pub id: String,
    /// Written on the wood.
    pub mark: String,
    /// `R3`.
    pub run: String,
    /// `S1`.
    pub storey: String,
    /// Its layer.
    pub layer: Layer,
    /// Its section.
    pub section: Section,
    /// Start, from the run's start node.
    pub from: Length,
    /// Overall, long point to long point.
    pub length: Length,
    /// Cuts at start and end, degrees; 90 is square.
    pub cuts: [f64; 2],
    /// Angles of the blade to the upper face at start and end, degrees; 90 is upright.
    pub tilts: [f64; 2],
    /// Its end, from the run's start node, where it lies on a slope and is longer than in plan.
    pub raked_to: Option<Length>,
    /// What its ends meet, as `plan.json` has it.
    pub against: [String; 2],
    /// Notches.
    pub notches: Vec<Notch>,
    /// Nails.
    pub nails: Vec<Nails>,
}

impl Piece {
    /// End, from the run's start node.
    pub fn to(&self) -> Length {
        self.raked_to.unwrap_or(self.from + self.length)
    }
}

/// A plan as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The drawing's file name.
    pub source: String,
    /// Ids of the runs, in order.
    pub runs: Vec<String>,
    /// All plates, in order.
    pub pieces: Vec<Piece>,
    /// Studs, kings and trimmers by run, from the run's start node; ascending.
    pub studs: BTreeMap<String, Vec<Length>>,
    /// Joints inside the lower layer by run: station and half of the gap.
    pub lower_joints: BTreeMap<String, Vec<(Length, Length)>>,
    /// Least distance between joints of the two layers.
    pub joint_offset: Length,
    /// Left open at joints of upper plates.
    pub upper_clearance: Length,
    /// Pieces shorter than this are a last resort.
    pub short_piece: Length,
    /// What a saw cut eats.
    pub kerf: Length,
    /// What every board loses at its end.
    pub end_trim: Length,
    /// Boards to be had by section, feet.
    pub lengths_ft: BTreeMap<String, Vec<u32>>,
}

impl Plan {
    /// The pieces of a run's layer, along it.
    pub fn pieces_of(&self, run: &str, layer: Layer) -> Vec<&Piece> {
        let mut own: Vec<&Piece> =
            self.pieces.iter().filter(|p| p.run == run && p.layer == layer).collect();
        own.sort_by_key(|p| p.from);
        own
    }
    /// An id that no piece has: the `nth` after the last one.
    pub(crate) fn unused_id(&self, nth: usize) -> String {
        let number = |p: &Piece| p.id.trim_start_matches('P').parse::<usize>().unwrap_or(0);
        let last = self.pieces.iter().map(number).max().unwrap_or(0);
        format!("P{}", last + 1 + nth)
    }
    /// The longest piece a board of a section gives.
    pub fn longest(&self, section: Section) -> Length {
        let feet = self.lengths_ft.get(section.name()).and_then(|l| l.iter().max());
        Length::feet(i64::from(*feet.unwrap_or(&16))) - self.end_trim
    }
}

#[derive(Deserialize)]
struct File {
    schema: String,
    source: Source,
    settings: Settings,
    runs: Vec<Run>,
    pieces: Vec<FilePiece>,
    joints: Vec<Joint>,
}
#[derive(Deserialize)]
struct Source {
    file: String,
}
#[derive(Deserialize)]
struct Settings {
    plates: Plates,
    stock: Stock,
}
#[derive(Deserialize)]
struct Plates {
    joint_offset: Option<f64>,
    upper_clearance: f64,
    short_piece: f64,
}
#[derive(Deserialize)]
struct Stock {
    lengths_ft: BTreeMap<String, Vec<u32>>,
    kerf: f64,
    end_trim: f64,
}
#[derive(Deserialize)]
struct Run {
    id: String,
}
#[derive(Deserialize)]
struct FilePiece {
    id: String,
    mark: String,
    run: String,
    storey: String,
    layer: Layer,
    section: String,
    from: f64,
    to: f64,
    length_in: f64,
    /// Only that there is one is of interest. Plans of before had level tops only.
    #[serde(default)]
    rake: Option<serde::de::IgnoredAny>,
    ends: [End; 2],
    notches: Vec<FileNotch>,
    marks: Vec<Mark>,
    nails: Vec<FileNails>,
}
#[derive(Deserialize)]
struct End {
    cut_deg: f64,
    tilt_deg: Option<f64>,
    against: String,
}
#[derive(Deserialize)]
struct FileNotch {
    from: f64,
    to: f64,
    depth: f64,
    side: String,
}
#[derive(Deserialize)]
struct Mark {
    at: f64,
    kind: String,
}
#[derive(Deserialize)]
struct FileNails {
    at: f64,
    count: u32,
    nail: String,
}
#[derive(Deserialize)]
struct Joint {
    run: String,
    layer: Layer,
    at: f64,
    half_gap: f64,
    kind: String,
}

/// Reads `plan.json`, schema `platewright/plan/1`.
///
/// # Errors
/// When it is no such file, says where it is damaged, or names lumber that is not known.
pub fn read(bytes: &[u8], file_name: &str) -> Result<Plan, Refusal> {
    let refuse = |what: String| {
        let message = format!("{file_name} {what}.");
        Refusal::because(Finding::new(input::PLAN_BAD, message).about(file_name))
    };
    let file: File = serde_json::from_slice(bytes)
        .map_err(|e| refuse(format!("is not a plan.json of this program: {e}")))?;
    if file.schema != "platewright/plan/1" {
        let shown: String = file.schema.chars().take(60).flat_map(char::escape_debug).collect();
        return Err(refuse(format!("has the schema '{shown}', not platewright/plan/1")));
    }
    let inches = |v: f64| {
        Length::from_inches(v).ok_or_else(|| refuse(format!("has {v} where a length should be")))
    };
    let mut plan = Plan {
        source: file.source.file,
        runs: file.runs.into_iter().map(|r| r.id).collect(),
        pieces: Vec::new(),
        studs: BTreeMap::new(),
        lower_joints: BTreeMap::new(),
        joint_offset: inches(file.settings.plates.joint_offset.unwrap_or(24.0))?,
        upper_clearance: inches(file.settings.plates.upper_clearance)?,
        short_piece: inches(file.settings.plates.short_piece)?,
        kerf: inches(file.settings.stock.kerf)?,
        end_trim: inches(file.settings.stock.end_trim)?,
        lengths_ft: file.settings.stock.lengths_ft,
    };
    for p in file.pieces {
        let section = Section::from_name(&p.section)
            .ok_or_else(|| refuse(format!("names the section '{}'", p.section)))?;
        let from = inches(p.from)?;
        for m in &p.marks {
            if p.layer == Layer::Lower && ["stud", "king", "trimmer"].contains(&m.kind.as_str()) {
                plan.studs.entry(p.run.clone()).or_default().push(from + inches(m.at)?);
            }
        }
        let notch = |n: &FileNotch| {
            let (from, to, depth) = (inches(n.from)?, inches(n.to)?, inches(n.depth)?);
            Ok(Notch { from, to, depth, left: n.side == "left" })
        };
        let nails = |n: FileNails| Ok(Nails { at: inches(n.at)?, count: n.count, nail: n.nail });
        let [start, end] = p.ends;
        plan.pieces.push(Piece {
            from,
            length: inches(p.length_in)?,
            section,
            cuts: [start.cut_deg, end.cut_deg],
            tilts: [start.tilt_deg, end.tilt_deg].map(|t| t.unwrap_or(90.0)),
            raked_to: p.rake.is_some().then(|| inches(p.to)).transpose()?,
            against: [start.against, end.against],
            notches: p.notches.iter().map(notch).collect::<Result<_, Refusal>>()?,
            nails: p.nails.into_iter().map(nails).collect::<Result<_, Refusal>>()?,
            id: p.id,
            mark: p.mark,
            run: p.run,
            storey: p.storey,
            layer: p.layer,
        });
    }
    for j in file.joints.iter().filter(|j| j.layer == Layer::Lower && j.kind != "end") {
        let joint = (inches(j.at)?, inches(j.half_gap)?);
        plan.lower_joints.entry(j.run.clone()).or_default().push(joint);
    }
    plan.studs.values_mut().for_each(|s| s.sort_unstable());
    plan.lower_joints.values_mut().for_each(|s| s.sort_unstable());
    Ok(plan)
}
