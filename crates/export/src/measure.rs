//! Which faces to measure between, at the floor, to check the length of a piece.
//!
//! Lower and bottom pieces measure exactly what they meet. An upper piece is checked before anyone
//! climbs: by the distance between two faces on the floor and what it is cut shorter or longer than
//! that. Knows the run's geometry and what an end meets; decides nothing.

use crate::text::people;
use crate::view::View;
use geom::Length;
use plan_model::{Against, Piece, run_name};
use wall_model::floor::{JunctionId, RunId};

/// How a piece is checked at the floor.
pub struct Measure {
    /// `far face of R2`, `near face of R5`, `joint 16'-0" from the start of R1`.
    pub ends: [String; 2],
    /// The distance between the two.
    pub distance: Length,
    /// What is cut more (positive) or less than that, in plan where the piece lies on a slope.
    pub cut_more: Length,
}

/// A place on the run that a tape can be held to.
struct Place {
    text: String,
    station: Length,
}

/// What to measure for a piece.
pub fn measure(view: &View, piece: &Piece) -> Measure {
    let a = place(view, piece, End::Start);
    let b = place(view, piece, End::Stop);
    let distance = b.station - a.station;
    Measure { ends: [a.text, b.text], distance, cut_more: piece.to - piece.from - distance }
}

#[derive(Clone, Copy, PartialEq)]
enum End {
    Start,
    Stop,
}

fn place(view: &View, piece: &Piece, which: End) -> Place {
    let (end, station) = match which {
        End::Start => (&piece.ends[0], piece.from),
        End::Stop => (&piece.ends[1], piece.to),
    };
    match end.against {
        Against::SameRun => {
            let metric = piece.section.is_metric();
            let from_start = station - view.faces[piece.run.0 as usize].0;
            let distance = people(from_start.abs(), metric);
            // An upper plate that laps onto the next wall may end before its own wall's first face.
            let side = if from_start < Length::ZERO { "before" } else { "from" };
            let text = format!("joint {distance} {side} the start of {}", run_name(piece.run));
            Place { text, station }
        }
        Against::Open => far_face(view, piece, which, station)
            .unwrap_or(Place { text: "free end".to_owned(), station }),
        Against::Run(x) | Against::Notch(x) | Against::Stud(x) => near_face(view, piece, which, x)
            .filter(|p| (p.station - station).abs() <= view.doc.floor.run(x).section.width() * 2)
            .unwrap_or(Place { text: format!("where it meets {}", run_name(x)), station }),
    }
}

/// The face of the wall that an open end runs over and is flush with.
fn far_face(view: &View, piece: &Piece, which: End, station: Length) -> Option<Place> {
    let junction = view.doc.floor.junction(nearest_junction(view, piece.run, station));
    junction.arms.iter().filter(|a| a.run != piece.run).find_map(|arm| {
        let [_, far] = faces(view, piece.run, arm.run, which)?;
        ((far.station - station).abs() <= Length::SIXTEENTH).then_some(far)
    })
}

fn near_face(view: &View, piece: &Piece, which: End, other: RunId) -> Option<Place> {
    let [near, _] = faces(view, piece.run, other, which)?;
    Some(near)
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
    let (out, name) = (if which == End::Start { -1 } else { 1 }, run_name(other));
    let oblique = long_point > Length::SIXTEENTH;
    let place = |word: &str, at: Length| Place {
        text: format!("{word} face of {name}{}", if oblique { " (long point)" } else { "" }),
        station: at + long_point * out,
    };
    Some([place("near", crossing - half * out), place("far", crossing + half * out)])
}
