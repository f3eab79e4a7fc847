//! The joints as the plan lists them.

use super::Job;
use super::stretch::Stretch;
use crate::meet::UPPER;
use crate::studs::carries;
use geom::Length;
use plan_model::{Joint, JointKind, Layer};

pub(super) fn joints_of(
    job: &Job,
    layer: Layer,
    index: usize,
    stretches: &[Stretch],
    chosen: &[Vec<Length>],
    gap: Length,
) -> Vec<Joint> {
    // A trimmer stands on the bottom plate, and under no other.
    let centres = match layer {
        Layer::Bottom => &job.studs.centres,
        _ => &job.studs.to_the_top,
    };
    let stud = |at: Length| carries(centres, job.studs.half, at);
    let mut out = Vec::new();
    let mut put = |lo: Length, hi: Length, kind: JointKind| {
        let half_gap = (hi - lo).half();
        let at = lo + half_gap;
        out.push(Joint {
            run: job.run,
            layer,
            at,
            half_gap,
            kind,
            on_stud: stud(at),
            offset: None,
        });
    };
    if let (Some(first), Some(last)) = (stretches.first(), stretches.last()) {
        let (lo, hi) = (first.start.profile.least(), last.end.profile.greatest());
        put(lo, lo, JointKind::End);
        put(hi, hi, JointKind::End);
    }
    // Between spaces that hold plates: where one between two gaps holds none, they are one.
    for pair in stretches.windows(2) {
        let (before, after) = (&pair[0].end, &pair[1].start);
        let kind = if index == UPPER { JointKind::LapGap } else { JointKind::Break };
        put(before.profile.least(), after.profile.greatest(), kind);
    }
    for s in chosen.iter().flatten() {
        put(*s, *s + gap, JointKind::Break);
    }
    out.sort_by_key(|j| (j.at, j.kind));
    out
}

/// Clear distances between the joints of the two top layers.
pub(super) fn measure_offsets(joints: &mut [Joint]) {
    let all: Vec<(Layer, Length, Length)> = joints
        .iter()
        .filter(|j| j.kind != JointKind::End && j.layer != Layer::Bottom)
        .map(|j| (j.layer, j.at - j.half_gap, j.at + j.half_gap))
        .collect();
    for j in joints.iter_mut().filter(|j| j.kind != JointKind::End && j.layer != Layer::Bottom) {
        let (lo, hi) = (j.at - j.half_gap, j.at + j.half_gap);
        j.offset = all
            .iter()
            .filter(|(layer, ..)| *layer != j.layer)
            .map(|(_, a, b)| (*a - hi).max(lo - *b).max(Length::ZERO))
            .min();
    }
}
