//! Bottom plates at doors.

use super::Job;
use super::draw::{lower_start, tape};
use super::stretch::{Stretch, THIN, short_limit};
use crate::joints;
use crate::meet::PlateEnd;
use crate::split::{LEAST_PIECE, Stocked, Terms};
use crate::studs::carries;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{Against, Joint, JointKind, Layer, Piece, run_name};

/// What is left of a stretch of the bottom plate that ends at these doors.
pub(super) fn between_doors(s: &Stretch, doors: &[(Length, Length)]) -> Vec<Stretch> {
    let end = &s.end;
    // A bevel may reach into the door: it goes on from the door's edge, if any of it is left.
    let before_door = |at: Length| PlateEnd {
        profile: end.profile.not_after(at),
        against: if end.profile.least() + THIN < at { end.against } else { Against::Open },
    };
    let after_door = |e: &PlateEnd, at: Length| PlateEnd {
        profile: e.profile.not_before(at),
        against: if e.profile.greatest() > at + THIN { e.against } else { Against::Open },
    };
    let mut out = Vec::new();
    let mut from = Some(s.start.clone());
    for (a, b) in doors {
        let Some(f) = &from else { break };
        if *b <= f.profile.least() || *a >= end.profile.greatest() {
            continue;
        }
        if *a > f.profile.greatest() + THIN {
            out.push(Stretch { start: f.clone(), end: before_door(*a) });
        }
        from = (*b + THIN < end.profile.least()).then(|| after_door(f, *b));
    }
    out.extend(from.map(|start| Stretch { start, end: end.clone() }));
    out
}

/// Where a bottom plate between two doors is cut: as the lower one above it, but for joints that leave a
/// short piece beside a door. Where a piece then is longer than the boards, it is cut on its own.
pub(super) fn joints_between_doors(job: &Job, part: &Stretch, lower: &[Length]) -> Vec<Length> {
    let (space, section) = (part.space(), job.floor.run(job.run).section);
    let short = short_limit(job.floor, job.settings, job.run);
    let apart = short.max(LEAST_PIECE);
    let (least, most) = (space.joints_from + apart, space.joints_to - apart);
    let kept: Vec<Length> =
        lower.iter().copied().filter(|at| *at >= least && *at <= most).collect();
    let boards = Stocked::of(job.settings, section, None);
    let terms = Terms {
        short,
        zero: lower_start(job.shape),
        ..Terms::plain(&job.studs.centres, job.studs.half, &boards, tape(section))
    };
    let longest = terms.longest_in(space);
    let ends: Vec<Length> =
        [space.from].into_iter().chain(kept.clone()).chain([space.to]).collect();
    if ends.windows(2).all(|p| p[1] - p[0] <= longest) {
        return kept;
    }
    joints::of_one_layer(space, &terms)
}

/// The joints of a bottom plate that stops at doors: its own, where they are left, and one for each
/// door between two pieces.
pub(super) fn joints_at_doors(job: &Job, pieces: &[Piece], own: Vec<Joint>) -> Vec<Joint> {
    let mut bottom: Vec<&Piece> = pieces.iter().collect();
    bottom.sort_by_key(|p| p.from);
    let joint = |lo: Length, hi: Length, kind: JointKind| {
        let half_gap = (hi - lo).half();
        let (run, layer, at) = (job.run, Layer::Bottom, lo + half_gap);
        let on_stud =
            lo == hi && kind == JointKind::Break && carries(&job.studs.centres, job.studs.half, at);
        Joint { run, layer, at, half_gap, kind, on_stud, offset: None }
    };
    let mut out = Vec::new();
    if let (Some(first), Some(last)) = (bottom.first(), bottom.last()) {
        out.push(joint(first.from, first.from, JointKind::End));
        for pair in bottom.windows(2) {
            let (lo, hi) = (pair[0].to, pair[1].from);
            let kept = own.iter().find(|j| j.kind == JointKind::Break && j.at >= lo && j.at <= hi);
            let door = joint(lo, hi, JointKind::Break);
            out.push(kept.filter(|j| j.half_gap >= door.half_gap).copied().unwrap_or(door));
        }
        out.push(joint(last.to, last.to, JointKind::End));
    }
    out
}

/// Tells of a door that takes a whole bottom plate, or all but a scrap of one.
pub(super) fn wasted_told(job: &Job, (from, to): (Length, Length)) -> Finding {
    let r = job.floor.run(job.run);
    let name = run_name(job.run);
    let text = format!(
        "The bottom plates of {name} run through the door, {} to {} from their start, and of one of them nothing or only a scrap stays once the door is cut out.",
        (from - job.studs.ends[0]).feet_inches(),
        (to - job.studs.ends[0]).feet_inches()
    );
    let middle = r.frame().at((from + to).half(), Length::ZERO);
    Finding::new(codes::BOTTOM_IN_DOOR, text).at(middle).about(name)
}
