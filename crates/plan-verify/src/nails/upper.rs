//! Nails of upper plates.

use super::{Job, Plate, ROOM, Spot, TOL, in_a_notch, within};
use crate::SLIVER;
use crate::footprint::IN_LINE;
use crate::joints::{Gap, gaps};
use crate::layout::Interval;
use crate::measure::{cross, inches};
use crate::report::Fault;
use crate::shape::Shape;
use geom::Length;
use plan_model::{Against, Layer};
use wall_model::floor::{ArmAt, JunctionId};

/// An upper plate's nails, which go into the plate under it, may stand so far aside of a stud near an end, a joint or a notch.
const ASIDE: i64 = Length::sixteenths(44).nm();
/// Nails that are no farther than this aside of a stud's centre are over it, or close beside it.
const CLOSE: i64 = Length::inches(1).nm();
/// Nails a hair farther apart than asked are as far apart as asked: a tape shows no 1/64 in.
const HAIR: i64 = Length::sixty_fourths(1).nm();
/// On less wood than this beside a joint, notches not counted, the rule set's count does not always fit: nails stand 1-1/2 in from its
/// ends and from each other, and three at one place split a 2x4.
const JOINT_ROOM: i64 = Length::inches(16).nm();
/// Either end is held by nails within this distance of it.
const NEAR_END: i64 = Length::inches(6).nm();

impl Job<'_> {
    /// Joints of both top layers, from where to where: between pieces of the run that follow each other, not where a lap goes
    /// over; and where the upper plate of a run in line goes on over the lower ones of this one, or this one's over that one's.
    pub(super) fn joints(&self) -> Vec<Interval> {
        let p = &self.settings.plates;
        let clearance = p.upper_clearance.max(p.notch_side_clearance) + SLIVER;
        let upper = gaps(self.shapes, self.id, Layer::Upper).into_iter();
        let upper = upper.filter(|g| g.opening() <= clearance.nm());
        let all = gaps(self.shapes, self.id, Layer::Lower).into_iter().chain(upper);
        let mut joints: Vec<Interval> = all.map(|g| Gap::hull(&g)).collect();
        for (end, junction) in [(0, self.run.start_junction), (1, self.run.end_junction)] {
            joints.extend(self.in_line_joints(end, junction));
        }
        joints
    }

    fn in_line_joints(&self, end: usize, id: JunctionId) -> Vec<Interval> {
        let junction = self.floor.junction(id);
        let dir = self.frame.dir();
        let other = junction.arms.iter().find(|a| {
            let in_line = cross(dir, self.floor.run(a.run).frame().dir()).abs() <= IN_LINE;
            a.run != self.id && a.at != ArmAt::Through && in_line
        });
        let Some(other) = other else { return Vec::new() };
        // Where a run's lower and upper plates end, if its upper one goes on beyond, over the other's.
        let beyond = |run, end: usize| {
            let last = |layer| {
                let chain = self.shapes.chain(run, layer).map(|s| s.extent[end]);
                if end == 0 { chain.min() } else { chain.max() }
            };
            let (lower, upper) = (last(Layer::Lower)?, last(Layer::Upper)?);
            let by = if end == 0 { lower - upper } else { upper - lower };
            let goes_on = |s: &Shape| {
                let piece = &self.plan.pieces[s.id.0 as usize];
                s.extent[end] == upper && piece.ends[end].against == Against::SameRun
            };
            let mut chain = self.shapes.chain(run, Layer::Upper);
            (by > 0 && chain.any(goes_on)).then_some((lower, upper))
        };
        if let Some((lower, upper)) = beyond(self.id, end) {
            return vec![[lower; 2], [upper; 2]];
        }
        let its_end = usize::from(other.at == ArmAt::End);
        let own = self.shapes.chain(self.id, Layer::Upper).map(|s| s.extent[end]);
        let own = if end == 0 { own.min() } else { own.max() };
        let goes_over = beyond(other.run, its_end).is_some();
        own.filter(|_| goes_over).map(|at| [at; 2]).into_iter().collect()
    }

    /// An upper plate: nails over studs, near its ends, on each side of joints, at a spacing; none besides.
    pub(super) fn upper(&self, plate: &Plate, joints: &[Interval]) -> Vec<Fault> {
        let Plate { shape, piece, width, nails: [all, _] } = plate;
        let nails = &self.rules.nails;
        let nm = |x: f64| Length::from_inches(x).unwrap_or_default();
        let level = |l: Length| piece.rake.map_or(l, |r| r.slope.level(l)).nm();
        let within = level(nm(nails.splice.within));
        let reach = within.max(ASIDE) + TOL;
        let near =
            |j: &&Interval| j[0] <= shape.extent[1] + reach && j[1] >= shape.extent[0] - reach;
        let upper = Upper {
            job: self,
            shape,
            joints: joints.iter().filter(near).copied().collect(),
            all,
            width: *width,
            most: level(nm(nails.upper_to_lower.max_spacing)),
            within,
        };
        let mut faults = upper.too_far_apart();
        faults.extend(upper.loose_at_ends());
        faults.extend(upper.bare_over_studs());
        faults.extend(upper.too_few_at_joints());
        faults.extend(upper.over_nothing());
        faults
    }
}

/// An upper plate and what its nails are judged by; stations on the run, nm.
struct Upper<'a> {
    job: &'a Job<'a>,
    shape: &'a Shape,
    /// Those it reaches, or nearly.
    joints: Vec<Interval>,
    all: &'a [Spot],
    /// Where it has its full width.
    width: Interval,
    /// The rule set's spacing.
    most: i64,
    /// How far beside a joint its nails count.
    within: i64,
}

impl Upper<'_> {
    fn nails(&self, from: i64, to: i64) -> u32 {
        within(self.all, from - TOL, to + TOL)
    }

    /// Near ends, joints and notches nails stand aside, where there is wood for them.
    fn reach(&self, at: i64) -> i64 {
        let ends = [[self.shape.extent[0], self.width[0]], [self.width[1], self.shape.extent[1]]];
        let mut places = self.joints.iter().copied().chain(ends).chain(self.shape.notches());
        let near = places.any(|[a, b]| at >= a - ASIDE && at <= b + ASIDE);
        if near { ASIDE } else { CLOSE }
    }

    fn too_far_apart(&self) -> Vec<Fault> {
        // In a deep notch there are none.
        let notched = |[a, b]: [i64; 2]| -> i64 {
            let inside = self.shape.notches().filter(|[from, to]| *from >= a && *to <= b);
            inside.map(|[from, to]| to - from).sum()
        };
        let most = |w: &[Spot]| self.most + notched([w[0].0, w[1].0]) + HAIR + TOL;
        let far = self.all.windows(2).filter(|w| w[1].0 - w[0].0 > most(w));
        let told = |w: &[Spot]| {
            let [a, b] = [w[0].0, w[1].0].map(inches);
            (w[0].0, format!("no nails between {a} and {b} in on its run"))
        };
        far.map(told).collect()
    }

    fn loose_at_ends(&self) -> Vec<Fault> {
        let [from, to] = self.width;
        let ends = [from, to].map(|end| (end, [end - NEAR_END, end + NEAR_END]));
        let middle = |a, b| [a, (a * 3 + b) / 4, (a + b) / 2, (a + b * 3) / 4, b];
        let notched = |[a, b]: [i64; 2]| middle(a, b).iter().any(|at| in_a_notch(self.shape, *at));
        let loose = |(_, [a, b]): &(i64, [i64; 2])| self.nails(*a, *b) == 0 && !notched([*a, *b]);
        let told =
            |(end, _)| (end, format!("no nails hold its end at {} in on its run", inches(end)));
        ends.into_iter().filter(|e| to - from >= ROOM && loose(e)).map(told).collect()
    }

    fn bare_over_studs(&self) -> Vec<Fault> {
        let [from, to] = self.width;
        let asked = self.job.rules.nails.upper_to_lower.per_stud;
        let mut faults = Vec::new();
        if to - from < ROOM {
            return faults;
        }
        for s in self.job.layout.between(from, to).iter().filter(|s| s.reaches_up()) {
            let reach = self.reach(s.at);
            let there = self.nails(s.at - reach, s.at + reach);
            if there < asked && !in_a_notch(self.shape, s.at) {
                let text = format!(
                    "over the {} at {} in on its run there are {there} nails; the rule set asks for {asked}",
                    s.kind.name(),
                    inches(s.at)
                );
                faults.push((s.at, text));
            }
        }
        faults
    }

    fn too_few_at_joints(&self) -> Vec<Fault> {
        let nails = &self.job.rules.nails;
        let asked = nails.splice.each_side.max(nails.joint.each_side);
        let within = self.within;
        let sides = self.joints.iter().flat_map(|[a, b]| [(a - within, *a), (*b, b + within)]);
        let mut faults = Vec::new();
        for (lo, hi) in sides {
            let (lo, hi) = (lo.max(self.shape.extent[0]), hi.min(self.shape.extent[1]));
            let there = self.nails(lo, hi);
            let notched = |[from, to]: Interval| (hi.min(to) - lo.max(from)).max(0);
            let wood = hi - lo - self.shape.notches().map(notched).sum::<i64>();
            if wood >= JOINT_ROOM && there < asked {
                let text = format!(
                    "from {} to {} in on its run, beside a joint, there are {there} nails; the rule set asks for {asked}",
                    inches(lo),
                    inches(hi)
                );
                faults.push((lo, text));
            }
        }
        faults
    }

    /// Nails over no stud, and for nothing else: not over a header by the layout, at an end, at a joint, on another wall, or to
    /// keep the spacing.
    fn over_nothing(&self) -> Vec<Fault> {
        let layout = self.job.layout;
        let spacing = self.job.settings.studs.spacing;
        let mut faults = Vec::new();
        for (i, (at, _)) in self.all.iter().enumerate() {
            let at = *at;
            let reach = self.reach(at);
            let over_stud = layout.between(at - reach, at + reach).iter().any(|s| s.reaches_up());
            let over_opening = layout.in_an_opening(at) && layout.off_layout(at, spacing) <= reach;
            let before = i.checked_sub(1).map(|k| self.all[k].0);
            let after = self.all.get(i + 1).map(|s| s.0);
            let for_spacing = before.zip(after).is_some_and(|(a, b)| b - a > self.most);
            let [first, last] = self.width;
            let at_end =
                before.is_none() || after.is_none() || at <= first + ASIDE || at >= last - ASIDE;
            let beside =
                |[a, b]: &Interval| at >= a - self.within - TOL && at <= b + self.within + TOL;
            let on_own = layout.stretch_over([at; 2], TOL - 1).is_some();
            let at_joint = self.joints.iter().any(beside);
            let meant = over_stud || over_opening || for_spacing || at_end || at_joint;
            if on_own && !meant {
                let text = format!("nails at {} in on its run are over no stud", inches(at));
                faults.push((at, text));
            }
        }
        faults
    }
}
