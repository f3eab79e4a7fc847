//! Spaces cut into pieces: joints of both layers chosen together, outlines drawn.

mod choose;
mod doors;
mod draw;
mod rows;
mod stretch;

pub(crate) use choose::{Cutting, cost_of, troubled_at};
pub(crate) use draw::{onto_the_wood, tape};
pub(crate) use stretch::short_limit;

use crate::cost::Cost;
use crate::known::Known;
use crate::meet::{LOWER, RunShape, UPPER};
use crate::studs::Studs;
use crate::under;
use choose::choose_joints;
use diag::{Finding, codes::plan as codes};
use doors::{between_doors, joints_at_doors, joints_between_doors, wasted_told};
use draw::draw_stretch;
use geom::Length;
use plan_model::{Joint, Layer, Piece, run_name};
use rows::{joints_of, measure_offsets};
use settings::Settings;
use stretch::{SLIVER, Stretch, bare_spaces, clearance, spaces_between, with_room};
use wall_model::floor::{Floor, RunId};

/// The plates of one run.
pub(crate) struct RunPlates {
    pub pieces: Vec<Piece>,
    pub joints: Vec<Joint>,
    pub findings: Vec<Finding>,
}

pub(crate) struct Job<'a> {
    pub floor: &'a Floor,
    pub settings: &'a Settings,
    pub offset: Length,
    pub run: RunId,
    pub shape: &'a RunShape,
    pub studs: &'a Studs,
}

/// Cuts both top layers of a run and copies the lower one to the floor.
pub(crate) fn cut_run(job: &Job, known: &Known) -> RunPlates {
    let Job { settings, run, shape, studs, .. } = *job;
    let r = job.floor.run(run);
    let mut findings = Vec::new();
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = left_bare_told(job, &spaces);
    let layers = spaces.map(with_room);
    let cutting = known.or_new(run, shape, || choose_joints(job, &layers));
    let Cutting { chosen, cost } = &*cutting;
    report_too_long(job, cost, &mut findings);
    findings.extend(bare);
    let (mut bottom, mut pieces) = (Vec::new(), Vec::new());
    let mut joints = Vec::new();
    for (index, layer) in [(LOWER, Layer::Lower), (UPPER, Layer::Upper)] {
        let gap = clearance(settings, index);
        for (s, at) in layers[index].iter().zip(&chosen[index]) {
            draw_stretch(job, r, layer, s, at, gap, &mut pieces);
        }
        joints.extend(joints_of(job, layer, index, &layers[index], &chosen[index], gap));
    }
    let lower = pieces.iter().filter(|p: &&Piece| p.layer == Layer::Lower).map(|p| (p.from, p.to));
    let open = if settings.plates.bottom_stops_at_doors {
        studs.doors.clone()
    } else {
        let wasted = under::wasted_at(studs, &lower.collect::<Vec<_>>());
        findings.extend(wasted.into_iter().map(|door| wasted_told(job, door)));
        Vec::new()
    };
    for (s, at) in layers[LOWER].iter().zip(&chosen[LOWER]) {
        if open.is_empty() {
            draw_stretch(job, r, Layer::Bottom, s, at, Length::ZERO, &mut bottom);
            continue;
        }
        for part in between_doors(s, &open) {
            let at = joints_between_doors(job, &part, at);
            draw_stretch(job, r, Layer::Bottom, &part, &at, Length::ZERO, &mut bottom);
        }
    }
    let mut of_bottom =
        joints_of(job, Layer::Bottom, LOWER, &layers[LOWER], &chosen[LOWER], Length::ZERO);
    if !open.is_empty() {
        of_bottom = joints_at_doors(job, &bottom, of_bottom);
    }
    of_bottom.append(&mut joints);
    let mut joints = of_bottom;
    bottom.append(&mut pieces);
    let pieces = bottom;
    measure_offsets(&mut joints);
    RunPlates { pieces, joints, findings }
}

/// Tells of places too small for a plate.
fn left_bare_told(job: &Job, spaces: &[Vec<Stretch>; 2]) -> Vec<Finding> {
    let r = job.floor.run(job.run);
    let tell = |(layer, space, bare): (usize, &Stretch, Length)| {
        let name = if layer == UPPER { Layer::Upper } else { Layer::Lower }.name();
        let [from, to] = [&space.start.profile, &space.end.profile];
        let middle = (from.least().min(to.least()) + from.greatest().max(to.greatest())).half();
        let [right, left] = space.edges();
        let shape = if (right - left).abs() > Length::inches(1) { "a wedge of " } else { "" };
        let text = format!(
            "{}, {name} layer: {shape}{} is left beside other plates, too little for a plate of its own.",
            run_name(job.run),
            if bare <= SLIVER {
                "less than 1/32 in".to_owned()
            } else {
                bare.feet_inches().to_string()
            }
        );
        let f = Finding::new(codes::PLATE_NO_ROOM, text);
        f.at(r.frame().at(middle, Length::ZERO)).about(run_name(job.run))
    };
    bare_spaces(spaces, job.settings).map(tell).collect()
}

fn report_too_long(job: &Job, cost: &Cost, findings: &mut Vec<Finding>) {
    let r = job.floor.run(job.run);
    if cost.too_long > 0 {
        let longest = job.settings.stock.longest_piece(r.section);
        let f = Finding::new(
            codes::PIECE_TOO_LONG,
            format!(
                "{} cannot be cut from boards of {} or less.",
                run_name(job.run),
                longest.feet_inches()
            ),
        );
        findings.push(f.at(r.start).about(run_name(job.run)));
    }
}
