//! Where a run is cut, both layers together, and what that costs.

use super::Job;
use super::draw::{lower_start, tape};
use super::stretch::{
    Stretch, bare_spaces, clearance, interruptions, laps_at_ends, short_limit, spaces_between,
    with_room,
};
use crate::cost::Cost;
use crate::joints;
use crate::meet::{self, Gap, LOWER, RunShape, UPPER};
use crate::openings;
use crate::split::{Space, Stocked, Terms, near};
use crate::studs::{self, merged};
use crate::under;
use geom::Length;
use std::rc::Rc;
use wall_model::floor::{Floor, RunId};

/// For each layer, the joints of each stretch.
pub(super) type Chosen = [Vec<Vec<Length>>; 2];

/// Where a run is cut, and what that costs.
pub(crate) struct Cutting {
    pub(super) chosen: Chosen,
    pub(super) cost: Cost,
}

impl Cutting {
    pub(crate) fn has_joints(&self) -> bool {
        self.chosen.iter().flatten().any(|joints| !joints.is_empty())
    }
}

/// The cutting of a run of this shape.
fn cutting(
    by: &meet::Terms,
    run: RunId,
    shape: &RunShape,
    layers: &[Vec<Stretch>; 2],
) -> Rc<Cutting> {
    let meet::Terms { floor, settings, offset, known, .. } = *by;
    known.or_new(run, shape, || {
        let studs = studs::lay_out(floor, run, shape, settings);
        choose_joints(&Job { floor, settings, offset, run, shape, studs: &studs }, layers)
    })
}

pub(super) fn choose_joints(job: &Job, layers: &[Vec<Stretch>; 2]) -> Cutting {
    let Job { settings, run, shape, studs, .. } = *job;
    let section = job.floor.run(run).section;
    let zero = lower_start(shape);
    let boards = Stocked::of(settings, section, job.floor.run(run).slope());
    // A notch ties to one lower plate, so neither layer is cut there.
    let around = Length::inches(3);
    let notches = shape.notches.iter().map(|n| (n.range().0 - around, n.range().1 + around));
    let closed = merged(notches.collect());
    let fixed = [LOWER, UPPER].map(|l| interruptions(shape, l));
    let gaps = [LOWER, UPPER].map(|l| shape.gaps[l].iter().map(Gap::range).collect::<Vec<_>>());
    let laps = [LOWER, UPPER].map(|l| {
        let mut laps = gaps[1 - l].clone();
        laps.extend(laps_at_ends(shape, l));
        merged(laps)
    });
    let (openings, scraps) = (under::no_bearing(studs), under::beside_doors(studs));
    let terms = [LOWER, UPPER].map(|layer| Terms {
        short: short_limit(job.floor, settings, run),
        gap: clearance(settings, layer),
        offset: job.offset,
        others: &fixed[1 - layer],
        laps: &laps[layer],
        closed: &closed,
        openings: if layer == LOWER { &openings } else { &[] },
        scraps: if layer == LOWER { &scraps } else { &[] },
        studs: &studs.to_the_top,
        stud_half: studs.half,
        boards: &boards,
        zero,
        grid: tape(section),
        rounded_down: layer == UPPER,
    });
    let level = job.floor.run(run).slope().is_none();
    let space = |s: &Stretch| {
        let space = s.space();
        if level { space.on_tape(zero, tape(section)) } else { space }
    };
    let spaces = [LOWER, UPPER].map(|l| layers[l].iter().map(space).collect::<Vec<_>>());
    let choice = joints::choose(&spaces, &terms);
    let chosen = [LOWER, UPPER].map(|l| {
        let in_space = |s: &Space| -> Vec<Length> {
            choice.joints[l].iter().copied().filter(|at| *at > s.from && *at < s.to).collect()
        };
        spaces[l].iter().map(in_space).collect()
    });
    let breaches = joints::fixed_breaches(&gaps[LOWER], &gaps[UPPER], job.offset);
    Cutting { chosen, cost: choice.cost.plus(Cost { breaches, ..Cost::default() }) }
}

/// What cutting a run of this shape costs, without drawing it.
pub(crate) fn cost_of(by: &meet::Terms, run: RunId, shape: &RunShape) -> Cost {
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = bare_spaces(&spaces, by.settings).count() as u32;
    let layers = spaces.map(with_room);
    let slight = slight(by.floor, run, shape, &layers);
    let mut cost = cutting(by, run, shape, &layers).cost.plus(slight);
    cost.breaches += bare;
    cost.cramped += openings::without_room(by.floor, run, shape);
    cost
}

/// What a run of hardly more than its own width costs beside joints: plates shorter than the wall is wide, of which
/// a lower one has a bottom plate like it, and laps on other walls by plates that are not held on their own.
fn slight(floor: &Floor, run: RunId, shape: &RunShape, layers: &[Vec<Stretch>; 2]) -> Cost {
    let width = floor.run(run).section.width();
    let length = |s: &Stretch| s.space().to - s.space().from;
    let tiny = |l: usize| layers[l].iter().filter(|s| length(s) < width).count() as u32;
    let loose = |k: usize| {
        let [lower, upper] = [LOWER, UPPER].map(|l| {
            let stretch = if k == 0 { layers[l].first() } else { layers[l].last() };
            stretch.zip(shape.ends[l][k].as_ref()).map(|(s, end)| (s.space(), &end.profile))
        });
        let Some(((l, lower), (u, upper))) = lower.zip(upper) else { return false };
        let laps = if k == 0 {
            upper.greatest() < lower.least()
        } else {
            upper.least() > lower.greatest()
        };
        let enough = width.min(u.to - u.from).min(l.to - l.from).half();
        laps && u.to.min(l.to) - u.from.max(l.from) < enough
    };
    Cost {
        short: tiny(LOWER) * 2 + tiny(UPPER),
        breaches: u32::from(loose(0)) + u32::from(loose(1)),
        ..Cost::default()
    }
}

/// Where a run of this shape has short pieces, joints too near each other, or joints over openings.
pub(crate) fn troubled_at(by: &meet::Terms, run: RunId, shape: &RunShape) -> Vec<Length> {
    let meet::Terms { floor, settings, offset, .. } = *by;
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = bare_spaces(&spaces, settings);
    let mut out: Vec<Length> = bare.map(|(_, s, _)| s.start.profile.greatest()).collect();
    let layers = spaces.map(with_room);
    let cutting = cutting(by, run, shape, &layers);
    let Cutting { chosen, cost } = &*cutting;
    if cost.is_sound() {
        return out;
    }
    let studs = studs::lay_out(floor, run, shape, settings);
    let mut joints: [Vec<(Length, Length)>; 2] =
        [LOWER, UPPER].map(|l| shape.gaps[l].iter().map(Gap::range).collect());
    for l in [LOWER, UPPER] {
        let gap = clearance(settings, l);
        for (s, at) in layers[l].iter().map(Stretch::space).zip(&chosen[l]) {
            let mut from = s.from;
            for to in at.iter().copied().chain([s.to]) {
                let short = to - from < short_limit(floor, settings, run);
                out.extend(short.then_some((from + to).half()));
                from = to + gap;
            }
            joints[l].extend(at.iter().map(|at| (*at, *at + gap)));
        }
    }
    let no_bearing = under::no_bearing(&studs);
    for l in &joints[LOWER] {
        let near = joints[UPPER].iter().any(|u| near(*l, *u, offset));
        let over = no_bearing.iter().any(|o| l.0 > o.0 && l.1 < o.1);
        out.extend((near || over).then_some(l.0));
    }
    out
}
