//! Which faces to measure between, at the floor, to check the length of a piece.
//!
//! Lower and bottom pieces measure exactly what they meet. An upper piece is checked before anyone
//! climbs: by the distance between two faces on the floor and what it is cut shorter or longer than
//! that. Knows the run's geometry and what an end meets; decides nothing.

use crate::text::{people, printed, tape_step};
use crate::view::View;
use geom::Length;
use plan_model::{Against, Layer, Piece, run_name};
use wall_model::OpeningKind;
use wall_model::floor::{JunctionId, RunId};

/// How a piece is checked at the floor.
pub struct Measure {
    /// `far face of R2`, `near face of R5`, `joint 16'-0" from near face of R2`.
    pub ends: [String; 2],
    /// The distance between the two, as a tape shows it: sixteenths, or millimetres.
    pub distance: Length,
    /// What is cut more (positive) or less than that, in plan where the piece lies on a slope. On a level
    /// piece `distance` and this make its printed length, to the last sixteenth.
    pub cut_more: Length,
}

/// A place on the run that a tape can be held to.
struct Place {
    text: String,
    station: Length,
    /// Whether `text` names something the tape is held to, and not a distance from it.
    is_flush: bool,
}

/// What to measure for a piece.
pub fn measure(view: &View, piece: &Piece) -> Measure {
    let a = place(view, piece, End::Start);
    let b = place(view, piece, End::Stop);
    let distance = b.station - a.station;
    let cut_more = piece.to - piece.from - distance;
    let ends = [a.text, b.text];
    let metric = piece.section.is_metric();
    if piece.rake.is_some() {
        let distance = rounded(distance, metric);
        return Measure { ends, distance, cut_more: rounded(cut_more, metric) };
    }
    // Stations are rounded as they are printed, then the rest follows from what is printed: two numbers
    // rounded apart would contradict the third. What has room must not seem longer than its room.
    let zero = view.faces[piece.run.0 as usize].0;
    let shown = |station: Length| rounded(station - zero, metric);
    let cut = printed(piece, metric);
    let mut distance = shown(b.station) - shown(a.station);
    if cut_more <= Length::ZERO {
        distance = distance.max(cut);
    }
    Measure { ends, distance, cut_more: cut - distance }
}

/// As a tape shows it.
fn rounded(length: Length, metric: bool) -> Length {
    length.denoise().round_to(tape_step(metric))
}

#[derive(Clone, Copy, PartialEq)]
enum End {
    Start,
    Stop,
}

impl End {
    /// The way out of the piece at this end.
    fn out(self) -> i64 {
        if self == End::Start { -1 } else { 1 }
    }
}

/// Where the tape is hooked for everything that is measured along a run: the start of its bottom and lower
/// plates, told by what it is flush with. `near face of R1`, `far face of R1`, `free start of R2`.
pub fn hook(view: &View, run: RunId) -> String {
    hook_place(view, run).text
}

fn hook_place(view: &View, run: RunId) -> Place {
    match view.first_lower[run.0 as usize].map(|id| view.doc.piece(id)) {
        Some(first) => exact(view, first, End::Start, first.from),
        None => Place {
            text: format!("start of {}", run_name(run)),
            station: Length::ZERO,
            is_flush: true,
        },
    }
}

/// The hook as it is told in a sentence about something else: short where it is flush with nothing.
fn hook_in_short(view: &View, run: RunId) -> String {
    let hook = hook_place(view, run);
    if hook.is_flush { hook.text } else { format!("the start of {}'s plates", run_name(run)) }
}

fn place(view: &View, piece: &Piece, which: End) -> Place {
    let (end, station) = match which {
        End::Start => (&piece.ends[0], piece.from),
        End::Stop => (&piece.ends[1], piece.to),
    };
    match end.against {
        Against::SameRun => {
            let metric = piece.section.is_metric();
            let from_hook = rounded(station - view.faces[piece.run.0 as usize].0, metric);
            let distance = people(from_hook.abs(), metric);
            // An upper plate that laps onto the next wall may end before its own wall's first face.
            let side = if from_hook < Length::ZERO { "before" } else { "from" };
            let text = format!("joint {distance} {side} {}", hook_in_short(view, piece.run));
            Place { text, station, is_flush: false }
        }
        Against::Open => {
            door_edge(view, piece, station).unwrap_or_else(|| exact(view, piece, which, station))
        }
        Against::Run(x) | Against::Notch(x) | Against::Stud(x) => faces(view, piece.run, x, which)
            .map(|[near, _]| near)
            .filter(|p| (p.station - station).abs() <= view.doc.floor.run(x).section.width() * 2)
            .unwrap_or_else(|| exact(view, piece, which, station)),
    }
}

/// The end of a bottom plate that stops at a door, told as joints are: `door 8'-0 1/2" from near face of R2`. The
/// nearest wall may be far away, and the same face of it near for one end of a plate and far for the other.
fn door_edge(view: &View, piece: &Piece, station: Length) -> Option<Place> {
    if piece.layer != Layer::Bottom {
        return None;
    }
    let at_edge = |edge: Length| (edge - station).abs() <= Length::SIXTEENTH;
    let mut openings = view.doc.floor.walls_of(piece.run).flat_map(|(at, wall)| {
        wall.openings.iter().map(move |o| (o.kind, [at + o.from, at + o.to]))
    });
    let (kind, _) = openings.find(|(kind, edges)| {
        *kind != OpeningKind::Window && edges.iter().any(|edge| at_edge(*edge))
    })?;
    let from_hook =
        rounded(station - view.faces[piece.run.0 as usize].0, piece.section.is_metric());
    let distance = people(from_hook, piece.section.is_metric());
    let text = format!("{} {distance} from {}", kind.name(), hook_in_short(view, piece.run));
    Some(Place { text, station, is_flush: false })
}

/// A station told by the face it is flush with; by how far it is past or short of the nearest face, where
/// it is flush with none; as a free end where no other wall is there.
fn exact(view: &View, piece: &Piece, which: End, station: Length) -> Place {
    let junction = view.doc.floor.junction(nearest_junction(view, piece.run, station));
    let others = || junction.arms.iter().map(|a| a.run).filter(|r| *r != piece.run);
    let crossing = others().filter_map(|r| faces(view, piece.run, r, which)).flatten();
    let beside = others().filter_map(|r| plate_end(view, piece.run, r, station));
    let off = |p: &Place| (p.station - station).abs();
    // A face across is found with a tape before the end of a plate in line.
    let nearest = crossing.min_by_key(off).or_else(|| beside.min_by_key(off));
    match nearest {
        None => {
            let word = if which == End::Start { "free start of" } else { "free end of" };
            let text = format!("{word} {}", run_name(piece.run));
            Place { text, station, is_flush: true }
        }
        Some(face) if off(&face) <= Length::SIXTEENTH => face,
        Some(face) => {
            let past = (station - face.station) * which.out();
            let word = if past > Length::ZERO { "past" } else { "short of" };
            let far = people(past.abs(), piece.section.is_metric());
            Place { text: format!("{far} {word} {}", face.text), station, is_flush: false }
        }
    }
}

/// The end of the plates of a wall in line.
fn plate_end(view: &View, run: RunId, other: RunId, station: Length) -> Option<Place> {
    let (f, g) = (view.frame(run), view.frame(other));
    let (from, to) = view.faces[other.0 as usize];
    let ends = [from, to].map(|s| f.locate(g.at(s, Length::ZERO)).0);
    let at = ends.into_iter().min_by_key(|s| (*s - station).abs())?;
    let text = format!("end of {}'s plates", run_name(other));
    Some(Place { text, station: at, is_flush: true })
}

fn nearest_junction(view: &View, run: RunId, station: Length) -> JunctionId {
    let run = view.doc.floor.run(run);
    let length = run.length();
    let i = run.through.partition_point(|(s, _)| *s < station);
    let around = [i.checked_sub(1), Some(i)].into_iter().flatten();
    let inner = around.filter_map(|i| run.through.get(i).copied());
    let ends = [(Length::ZERO, run.start_junction), (length, run.end_junction)];
    ends.into_iter()
        .chain(inner)
        .min_by_key(|(s, j)| ((*s - station).abs(), *j))
        .map_or(run.start_junction, |(_, j)| j)
}

/// The near and the far face of `other` as a piece of `run` meets them at that end, at the long
/// point of an oblique cut. `None` for walls in line.
fn faces(view: &View, run: RunId, other: RunId, which: End) -> Option<[Place; 2]> {
    let (f, g) = (view.frame(run), view.frame(other));
    let (sin, cos) = f.angle_to(g).sin_cos();
    // Below half a degree two walls are in line: their faces never cross within a building.
    if sin.abs() < 0.01 {
        return None;
    }
    let (station, offset) = f.locate(g.origin());
    let crossing = station - offset.scale(cos / sin);
    let width = |r: RunId| view.doc.floor.run(r).section.width();
    let half = width(other).half().scale(1.0 / sin.abs());
    let long_point = width(run).half().scale((cos / sin).abs());
    let (out, name) = (which.out(), run_name(other));
    let oblique = long_point > Length::SIXTEENTH;
    let place = |word: &str, at: Length| Place {
        text: format!("{word} face of {name}{}", if oblique { " (long point)" } else { "" }),
        station: at + long_point * out,
        is_flush: true,
    };
    Some([place("near", crossing - half * out), place("far", crossing + half * out)])
}
