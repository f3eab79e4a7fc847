//! Pieces drawn: outlines, lengths on the tape, saw angles.

use super::Job;
use super::stretch::Stretch;
use crate::meet::{LOWER, NotchAt, PlateEnd, RunShape};
use crate::profile::Profile;
use crate::split::on_mark;
use geom::{Length, Point, Slope, polygon_area_nm2};
use lumber::Section;
use plan_model::{Against, Layer, Mark, Notch, Piece, PieceEnd, Rake, Side};
use wall_model::floor::Run;

pub(super) fn draw_stretch(
    job: &Job,
    r: &Run,
    layer: Layer,
    s: &Stretch,
    joints: &[Length],
    gap: Length,
    pieces: &mut Vec<Piece>,
) {
    let half = r.section.width().half();
    let joint_end =
        |at: Length| PlateEnd { profile: Profile::square(half, at), against: Against::SameRun };
    let mut from = s.start.clone();
    for at in joints {
        pieces.push(draw(job, r, layer, &from, &joint_end(*at)));
        from = joint_end(*at + gap);
    }
    pieces.push(draw(job, r, layer, &from, &s.end));
}

fn draw(job: &Job, r: &Run, layer: Layer, start: &PlateEnd, end: &PlateEnd) -> Piece {
    let frame = r.frame();
    let half = r.section.width().half();
    let (from, to) = (start.profile.least(), end.profile.greatest());
    let mine = |n: &&NotchAt| n.range().0 > from && n.range().1 < to;
    let notches: Vec<&NotchAt> = if layer == Layer::Upper {
        job.shape.notches.iter().filter(mine).collect()
    } else {
        Vec::new()
    };
    let bite = |side: Side| notches.iter().filter(move |n| n.side == side);
    let mut ring: Vec<(Length, Length)> = Vec::new(); // station, offset
    // Right edge forward, far end to the left, left edge back, near end to the right.
    let first = |p: &Profile| p.0.first().map_or(Length::ZERO, |v| v.1);
    ring.push((first(&start.profile), -half));
    for n in bite(Side::Right) {
        let level = -half + n.depth;
        ring.extend([
            (n.edge.0, -half),
            (n.bottom.0, level),
            (n.bottom.1, level),
            (n.edge.1, -half),
        ]);
    }
    ring.extend(end.profile.0.iter().map(|(o, s)| (*s, *o)));
    let mut left: Vec<_> = bite(Side::Left).collect();
    left.reverse();
    for n in left {
        let level = half - n.depth;
        ring.extend([(n.edge.1, half), (n.bottom.1, level), (n.bottom.0, level), (n.edge.0, half)]);
    }
    ring.extend(start.profile.0.iter().skip(1).rev().map(|(o, s)| (*s, *o)));
    let mut outline: Vec<Point> = ring.into_iter().map(|(s, o)| frame.at(s, o)).collect();
    outline.dedup();
    if outline.first() == outline.last() {
        outline.pop();
    }
    debug_assert!(polygon_area_nm2(&outline) > 0, "{outline:?}");
    let thick = r.section.thickness();
    // The bottom plate lies on the floor.
    let slope = r.slope().filter(|_| layer != Layer::Bottom);
    let plates_below_top = match layer {
        Layer::Upper => 1,
        _ => 2,
    };
    let underside =
        |s: Length| r.top_at(s) - slope.map_or(thick, |k| k.plumb(thick)) * plates_below_top;
    let printed = printed(job, r, layer, from, to, slope);
    let edge = slope.map_or(as_cut(job, r, layer, from, to), |k| k.along(to - from));
    let overhang = slope.map_or(Length::ZERO, |k| k.overhang(thick));
    let ends = [(start, false), (end, true)].map(|(e, far)| {
        let (cut_deg, tilt_deg) = on_the_face(e.profile.cut_deg(far), slope, far);
        PieceEnd { cut_deg, tilt_deg, against: e.against }
    });
    let own = &job.studs.marks;
    let first = own.partition_point(|m| m.at < from - HAIR);
    let marks: Vec<Mark> = own[first..]
        .iter()
        .take_while(|m| m.at <= to + HAIR)
        .map(|m| Mark { at: (m.at - from).clamp(Length::ZERO, to - from), kind: m.kind })
        .collect();
    Piece {
        mark: String::new(),
        run: job.run,
        storey: r.storey,
        layer,
        section: r.section,
        from,
        to,
        outline,
        length: edge + overhang,
        printed: match (slope, layer) {
            (None, _) => printed,
            (Some(_), Layer::Upper) => (edge + overhang).floor_to(tape(r.section)),
            (Some(_), _) => (edge + overhang).round_to(tape(r.section)),
        },
        z: if layer == Layer::Bottom { r.base } else { underside(from) },
        rake: slope.map(|slope| Rake { slope, edge, edge_printed: printed, z_end: underside(to) }),
        ends,
        notches: notches
            .iter()
            .map(|n| Notch {
                from: n.edge.0 - from,
                to: n.edge.1 - from,
                depth: n.depth,
                side: n.side,
                stem: n.stem,
            })
            .collect(),
        marks,
        nails: Vec::new(),
    }
}

/// A stud whose centre is no farther than this (0.00001 in) beside the end of a piece is on its line: lines at an angle are
/// rounded.
const HAIR: Length = Length::from_nm(254);

/// The finest mark on the tape: a sixteenth, or a millimetre for metric sections.
pub(crate) fn tape(section: Section) -> Length {
    if section.is_metric() { Length::mm(1) } else { Length::SIXTEENTH }
}

/// Where the tape is hooked: the run's lower plates are measured from here.
pub(super) fn lower_start(shape: &RunShape) -> Length {
    shape.ends[LOWER][0].as_ref().map_or(Length::ZERO, |e| e.profile.least())
}

/// The length of a level plate as it will be cut: what is a hair from a mark of the tape is that mark. Lower and
/// bottom plates are measured from where the tape is hooked, so that their lengths add up.
fn as_cut(job: &Job, r: &Run, layer: Layer, from: Length, to: Length) -> Length {
    let (zero, grid) = (lower_start(job.shape), tape(r.section));
    let length = on_mark(to - zero, grid) - on_mark(from - zero, grid);
    if layer == Layer::Upper { on_mark(length, grid) } else { length }
}

/// The length that is marked on the board, along one face: whole sixteenths, or millimetres for metric
/// sections.
fn printed(
    job: &Job,
    r: &Run,
    layer: Layer,
    from: Length,
    to: Length,
    slope: Option<Slope>,
) -> Length {
    let grid = tape(r.section);
    let along = |level: Length| slope.map_or(level, |s| s.along(level));
    if layer == Layer::Upper {
        return slope
            .map_or(as_cut(job, r, layer, from, to), |s| s.along(to - from))
            .floor_to(grid);
    }
    let zero = lower_start(job.shape);
    along(to - zero).round_to(grid) - along(from - zero).round_to(grid)
}

/// A plumb cut, at an angle in plan, as the saw is set for it: the angle across the piece's face and the
/// tilt of the blade.
fn on_the_face(plan_deg: f64, slope: Option<Slope>, far_end: bool) -> (f64, f64) {
    let Some(slope) = slope else { return (plan_deg, 90.0) };
    let (sine, cosine) = plan_deg.to_radians().sin_cos();
    let (rise, level) = slope.sin_cos();
    // A level direction across the wall lies in the face as it is; one along the wall gets longer.
    let across = (sine * level).atan2(cosine).to_degrees();
    let acute = (sine * rise.abs()).acos().to_degrees();
    let upper_longer = far_end == (slope.ratio() > 0.0);
    let exact = |deg: f64| if plan_deg == 90.0 { 90.0 } else { deg };
    (exact(across), if upper_longer { acute } else { 180.0 - acute })
}

/// Puts the marks and nails of a piece where they are on the wood.
pub(crate) fn onto_the_wood(piece: &mut Piece) {
    let Some(rake) = piece.rake else { return };
    piece.marks.iter_mut().for_each(|m| m.at = rake.slope.along(m.at));
    piece.nails.iter_mut().for_each(|n| n.at = rake.slope.along(n.at));
}
