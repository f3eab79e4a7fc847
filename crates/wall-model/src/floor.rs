//! The floor: walls resolved to runs and junctions. What the wall graph makes, what the planner and
//! the verifier read.
//!
//! A *node* is where framing centrelines cross or end. A *run* is a straight chain of walls of one
//! section, one base and one top (level or one slope); it starts and ends at nodes and may pass through others. Walls of
//! two widths with a face flush meet at one node though one of the centrelines passes beside it: a
//! run's ends lie on its own line, square to the node. A *junction* is a node with the runs that meet
//! there.

use crate::{Opening, Storey, StoreyId, WallId};
use diag::SourceRef;
use geom::{Frame, Length, Point, Slope};
use lumber::Section;

/// Index of a run in [`Floor::runs`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RunId(pub u32);

/// Index of a junction in [`Floor::junctions`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JunctionId(pub u32);

/// Sine of the angle below which two walls are in line: 0.3 degree, 1/16 in over a foot. The wall graph
/// squares up what is nearer; what is left is meant.
pub const IN_LINE: f64 = 0.0053;

/// Sine of the angle below which two walls make a *bend* rather than a corner: 15 degrees off
/// straight. A plate cut to lap there would run to a point more than four times its width long
/// (common practice, no source), so both layers are cut on the line that halves the angle instead.
pub const BEND: f64 = 0.259;

/// A run as the outputs name it: `R` and a number from 1.
pub fn run_name(id: RunId) -> String {
    format!("R{}", id.0 + 1)
}

/// A junction as the outputs name it: `J` and a number from 1.
pub fn junction_name(id: JunctionId) -> String {
    format!("J{}", id.0 + 1)
}

/// A wall whose ends have been brought to nodes. Same meaning of the fields as in [`crate::Wall`].
#[derive(Clone, Debug, PartialEq)]
pub struct FloorWall {
    /// Its storey.
    pub storey: StoreyId,
    /// The node it starts at.
    pub start: Point,
    /// The node it ends at.
    pub end: Point,
    /// Finishes included.
    pub drawn_thickness: Length,
    /// Studs and plates.
    pub section: Section,
    /// Underside of the bottom plate above the storey.
    pub base: Length,
    /// Top of the upper plate above the storey, at the start.
    pub top: Length,
    /// How much higher it is at the end; zero for a level top.
    pub rise: Length,
    /// Settled: as drawn, or by the outline of the floor.
    pub exterior: bool,
    /// As drawn.
    pub bearing: Option<bool>,
    /// The run it belongs to.
    pub run: RunId,
    /// Stations along this wall's start -> end; within it.
    pub openings: Vec<Opening>,
    /// The entities it came from.
    pub source: Vec<SourceRef>,
    /// The (first) wall of the model it came from.
    pub wall: WallId,
}

/// A straight chain of walls: one section, one base, one top (level or in one slope).
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its storey.
    pub storey: StoreyId,
    /// The start node, or where this line passes it; the lesser of the two ends (x, then y).
    pub start: Point,
    /// The end node, in the same way.
    pub end: Point,
    /// Studs and plates.
    pub section: Section,
    /// Underside of the bottom plate above the storey.
    pub base: Length,
    /// Top of the upper plate above the storey, at the start.
    pub top: Length,
    /// How much higher it is at the end, in a straight line: zero for a level top, less than zero where it
    /// falls. The bottom plate is level all the same.
    pub rise: Length,
    /// Indices into [`Floor::walls`], in order along the run.
    pub walls: Vec<u32>,
    /// The junction at its start.
    pub start_junction: JunctionId,
    /// The junction at its end.
    pub end_junction: JunctionId,
    /// Junctions it passes through, by station from its start node.
    pub through: Vec<(Length, JunctionId)>,
}

impl Run {
    /// Node to node.
    pub fn length(&self) -> Length {
        self.start.distance(self.end)
    }
    /// Stations from the start node, offsets to the left of start -> end.
    pub fn frame(&self) -> Frame {
        Frame::between(self.start, self.end).unwrap_or(Frame::along(self.start, (1.0, 0.0)))
    }
    /// How its top rises from start to end; `None` for a level one.
    pub fn slope(&self) -> Option<Slope> {
        Slope::new(self.rise, self.length())
    }
    /// Its top at a station, above the storey.
    pub fn top_at(&self, station: Length) -> Length {
        self.slope().map_or(self.top, |s| self.top + s.rise_over(station))
    }
}

/// What a junction looks like in plan; heights do not matter here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JunctionKind {
    /// Two arms at an angle.
    L,
    /// Three arms, two of them in line.
    T,
    /// Four arms, in line two by two.
    X,
    /// Two arms in line (a change of section, height or base).
    Inline,
    /// One arm.
    End,
    /// Anything else: three arms of which no two are in line, five and more.
    Other,
}

impl JunctionKind {
    /// The word used in outputs: `L` `T` `X` `inline` `end` `other`.
    pub const fn name(self) -> &'static str {
        match self {
            JunctionKind::L => "L",
            JunctionKind::T => "T",
            JunctionKind::X => "X",
            JunctionKind::Inline => "inline",
            JunctionKind::End => "end",
            JunctionKind::Other => "other",
        }
    }
}

/// How a run takes part in a junction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ArmAt {
    /// The run starts here.
    Start,
    /// The run ends here.
    End,
    /// The run passes: it counts as two arms in line.
    Through,
}

impl ArmAt {
    /// `start`, `end`, `through`.
    pub const fn name(self) -> &'static str {
        match self {
            ArmAt::Start => "start",
            ArmAt::End => "end",
            ArmAt::Through => "through",
        }
    }
}

/// One run at a junction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Arm {
    /// The run.
    pub run: RunId,
    /// Where on the run.
    pub at: ArmAt,
}

/// A node and the runs that meet there.
#[derive(Clone, Debug, PartialEq)]
pub struct Junction {
    /// Its storey.
    pub storey: StoreyId,
    /// The node.
    pub at: Point,
    /// Plan view.
    pub kind: JunctionKind,
    /// By run, then place.
    pub arms: Vec<Arm>,
    /// Angle between the two lines that meet, in degrees: 0 < a <= 90 for T and X (the lesser angle),
    /// 0 < a < 180 for L (the angle inside), 180 in line, 0 at an end; for `other` the least angle
    /// between neighbouring arms.
    pub angle_deg: f64,
    /// Greatest minus least top of the arms, where they meet.
    pub step: Length,
}

/// Walls, runs and junctions of a building.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// Floors, lowest first.
    pub storeys: Vec<Storey>,
    /// In canonical order.
    pub walls: Vec<FloorWall>,
    /// In canonical order: storey, start, end.
    pub runs: Vec<Run>,
    /// In canonical order: storey, place.
    pub junctions: Vec<Junction>,
}

impl Floor {
    /// The run of that id.
    pub fn run(&self, id: RunId) -> &Run {
        &self.runs[id.0 as usize]
    }
    /// The junction of that id.
    pub fn junction(&self, id: JunctionId) -> &Junction {
        &self.junctions[id.0 as usize]
    }
    /// The top of a run where a junction lies.
    pub fn top_at(&self, run: RunId, junction: &Junction) -> Length {
        let r = self.run(run);
        r.slope().map_or(r.top, |s| r.top + s.rise_over(r.frame().locate(junction.at).0))
    }
    /// Whether plates can lap at a junction: all tops level and at one height. A plate that lies on a
    /// slope lies on no other wall's.
    pub fn laps_at(&self, junction: &Junction) -> bool {
        let level = |a: &Arm| self.run(a.run).rise == Length::ZERO;
        junction.step == Length::ZERO && junction.arms.iter().all(level)
    }
    /// The walls of a run, in order, each with the station of its start on the run. They look the same way as the run:
    /// a wall's own start is always its lesser end, as a run's.
    pub fn walls_of(&self, run: RunId) -> impl Iterator<Item = (Length, &FloorWall)> {
        let frame = self.run(run).frame();
        self.run(run).walls.iter().map(move |w| {
            let wall = &self.walls[*w as usize];
            (frame.locate(wall.start).0, wall)
        })
    }
}
