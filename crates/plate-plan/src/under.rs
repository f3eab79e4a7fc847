//! What joints of the lower plates have under them beside openings, and at which doors bottom plates are wasted.
//!
//! A trimmer ends under the header, so that top plates have nothing on it: for their joints an opening
//! reaches to the near face of the king stud on either side. The bottom plate does lie under both; but where
//! it runs through a door it is cut out there once the wall stands, and what a joint leaves of it beside the
//! door is a scrap. Common practice, no source.

use crate::split::LEAST_PIECE;
use crate::studs::{Studs, merged};
use geom::Length;
use plan_model::{Mark, MarkKind};

type Interval = (Length, Length);

/// How far either piece must reach onto a stud to bear on it, as `studs::carries` has it.
const BEARING: Length = Length::sixteenths(4);

/// The openings as joints of the top plates see them: to the near faces of the king studs.
pub(crate) fn openings_to_kings(studs: &Studs) -> Vec<Interval> {
    let thick = studs.half * 2;
    let trimmer = |at: Length| {
        let mark = Mark { at, kind: MarkKind::Trimmer };
        studs.marks.binary_search(&mark).is_ok()
    };
    let reach = |edge: Length, out: i64| {
        let mut face = edge + thick * out;
        // More than one where the header is long.
        while trimmer(face + studs.half * out) {
            face += thick * out;
        }
        face
    };
    let openings = studs.openings.iter();
    merged(openings.map(|(a, b)| (reach(*a, -1), reach(*b, 1))).collect())
}

/// Where a joint of the lower plates has one of its ends on nothing: over an opening, and as far onto the
/// king stud as it must reach to bear.
pub(crate) fn no_bearing(studs: &Studs) -> Vec<Interval> {
    let kings = openings_to_kings(studs);
    merged(kings.into_iter().map(|(a, b)| (a - BEARING, b + BEARING)).collect())
}

/// Where a joint of the bottom plate leaves a scrap beside a door.
pub(crate) fn beside_doors(studs: &Studs) -> Vec<Interval> {
    let both = |(a, b): &Interval| [(*a - LEAST_PIECE, *a), (*b, *b + LEAST_PIECE)];
    merged(studs.doors.iter().flat_map(both).collect())
}

/// The doors that waste lumber where bottom plates like the lower ones run through: those where a plate lies wholly in
/// the door, or a joint leaves a scrap beside it. `lower` are the lower plates of the run by station, from and to.
pub(crate) fn wasted_at(studs: &Studs, lower: &[Interval]) -> Vec<Interval> {
    let joints = || lower.windows(2).filter(|p| p[0].1 == p[1].0).map(|p| p[0].1);
    let scrap = |(a, b): &Interval| {
        let (far, on) = (*a - LEAST_PIECE, *b + LEAST_PIECE);
        joints().any(|at| at > far && at <= *a || at >= *b && at < on)
    };
    let within = |(a, b): &Interval| lower.iter().any(|(from, to)| from >= a && to <= b);
    studs.doors.iter().filter(|door| scrap(door) || within(door)).copied().collect()
}
