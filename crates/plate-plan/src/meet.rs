//! How the plates of a junction meet, layer by layer: who carries through, who butts, who runs over.
//!
//! | junction | lower layer | upper layer |
//! |---|---|---|
//! | L, nearly straight | both on the line that halves the angle | same, a hair short; splice plate |
//! | L | one run to the other's outer face, the other to its inner face | roles swapped |
//! | T | through run whole, stem to its face | stem over it (gap), into a notch, or strapped |
//! | X | one run whole, the other broken | the broken one goes over whole, the first has the gap |
//! | in line, width change | both to the node | the narrower runs on over the wider one |
//! | height step | nothing laps: the taller run is whole (a T's through run always), the other stops | same, a hair short |
//! | a raked run | as at a height step; of two as high the level one is whole | same, a hair short |
//! | other | in a fixed order, each to the faces of those before it | same, a hair short; strapped |
//!
//! Where a line through a junction is two runs (a change of section or height just there), each stops
//! at the node and the rest see two plates instead of one.

use crate::profile::{Profile, Shape, enters, leaves, strip};
use crate::rules::{Hardware, RuleSet};
use crate::tees::{self, TeeKind, Tees};
use diag::{Finding, codes::plan as codes};
use geom::{Frame, Length, Point};
use limits::Watch;
use plan_model::{Against, JointKind, Side, TieKind, junction_name, run_name};
use settings::Settings;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use wall_model::floor::{
    Arm, ArmAt, BEND, Floor, IN_LINE, Junction, JunctionId, JunctionKind, Run, RunId,
};

/// Far enough for any crossing plate; 100 000 in keeps nanometre exactness in `f64`.
const FAR: Length = Length::inches(100_000);

/// The two top layers; the bottom one follows the lower.
pub(crate) const LOWER: usize = 0;
pub(crate) const UPPER: usize = 1;

/// A plate's end at a junction, in its run's frame.
#[derive(Clone, Debug)]
pub(crate) struct PlateEnd {
    pub profile: Profile,
    pub against: Against,
}

/// A place where a layer of a run is interrupted.
#[derive(Clone, Debug)]
pub(crate) struct Gap {
    /// End of the plate before it, start of the plate after it.
    pub before: PlateEnd,
    pub after: PlateEnd,
    pub kind: JointKind,
}

impl Gap {
    /// Least and greatest station.
    pub(crate) fn range(&self) -> (Length, Length) {
        (self.before.profile.least(), self.after.profile.greatest())
    }
}

/// A notch in a run's upper plate.
#[derive(Clone, Debug)]
pub(crate) struct NotchAt {
    pub stem: RunId,
    pub side: Side,
    /// Stations where it cuts the edge.
    pub edge: (Length, Length),
    /// Stations at its bottom.
    pub bottom: (Length, Length),
    pub depth: Length,
}

impl NotchAt {
    pub(crate) fn range(&self) -> (Length, Length) {
        (self.edge.0.min(self.bottom.0), self.edge.1.max(self.bottom.1))
    }
}

/// Everything the junctions say about one run's plates.
#[derive(Clone, Debug, Default)]
pub(crate) struct RunShape {
    /// `[layer][start, end]`.
    pub ends: [[Option<PlateEnd>; 2]; 2],
    /// `[layer]`, by station once settled.
    pub gaps: [Vec<Gap>; 2],
    pub notches: Vec<NotchAt>,
}

impl RunShape {
    pub(crate) fn sort(&mut self) {
        self.gaps.iter_mut().for_each(|g| g.sort_by_key(|g| g.before.profile.greatest()));
        self.notches.sort_by_key(|n| n.edge);
    }
}

/// A tie decided at a junction; the pieces are found once there are any.
#[derive(Clone, Debug)]
pub(crate) struct TiePlan {
    pub junction: JunctionId,
    pub kind: TieKind,
    /// The run whose upper plate lies over the others, or the first of those joined by hardware.
    pub over: RunId,
    pub under: Vec<RunId>,
    pub overlap: Length,
    pub hardware: String,
    /// Screws or plates.
    pub count: u32,
    /// Nails for each piece of hardware: name and number.
    pub nails: Option<(String, u32)>,
}

pub(crate) struct Meeting {
    pub shapes: Vec<RunShape>,
    /// How each tee between runs of one height is tied.
    pub tees: Tees,
    /// Who was chosen to carry through at corners and crossings.
    pub carriers: Carriers,
    pub ties: Vec<TiePlan>,
    pub findings: Vec<Finding>,
}

/// The runs of a junction, sorted into what goes straight through it and what stops.
#[derive(Clone, Debug)]
pub(crate) enum Through {
    One(RunId),
    /// Two runs in line that both end here.
    Two(Arm, Arm),
}

pub(crate) struct Lines {
    pub through: Vec<Through>,
    pub single: Vec<Arm>,
}

pub(crate) fn lines_at(floor: &Floor, j: &Junction) -> Lines {
    let mut through: Vec<Through> = Vec::new();
    let mut ends: Vec<Arm> = Vec::new();
    for a in &j.arms {
        if a.at == ArmAt::Through { through.push(Through::One(a.run)) } else { ends.push(*a) }
    }
    let away = |a: &Arm| {
        let (x, y) = floor.run(a.run).frame().dir();
        if a.at == ArmAt::End { (-x, -y) } else { (x, y) }
    };
    let mut used = vec![false; ends.len()];
    for i in 0..ends.len() {
        for k in i + 1..ends.len() {
            let (a, b) = (away(&ends[i]), away(&ends[k]));
            let in_line = a.0 * b.0 + a.1 * b.1 < 0.0 && (a.0 * b.1 - a.1 * b.0).abs() < IN_LINE;
            if in_line && !used[i] && !used[k] {
                (used[i], used[k]) = (true, true);
                through.push(Through::Two(ends[i], ends[k]));
            }
        }
    }
    let mut left = used.iter();
    ends.retain(|_| !left.next().copied().unwrap_or(false));
    Lines { through, single: ends }
}

/// One direction away from a node along a run.
#[derive(Clone, Copy)]
struct ArmView<'a> {
    run: &'a Run,
    frame: Frame,
    node_station: Length,
    forward: bool,
}

impl ArmView<'_> {
    fn half(&self) -> Length {
        self.run.section.width().half()
    }
}

/// Which run carries through in the lower layer at a corner or crossing; where nothing is said, the first in rank.
pub(crate) type Carriers = BTreeMap<JunctionId, RunId>;

struct Meet<'a> {
    floor: &'a Floor,
    carriers: &'a Carriers,
    settings: &'a Settings,
    rules: &'a RuleSet,
    offset: Length,
    out: Meeting,
}

/// What a floor is planned with.
#[derive(Clone, Copy)]
pub(crate) struct Terms<'a> {
    pub floor: &'a Floor,
    pub settings: &'a Settings,
    pub rules: &'a RuleSet,
    /// Least distance between joints of the two top layers.
    pub offset: Length,
    /// How long it may take.
    pub watch: &'a Watch,
}

impl<'a> Meet<'a> {
    fn new(by: &Terms<'a>, carriers: &'a Carriers) -> Meet<'a> {
        let Terms { floor, settings, rules, offset, .. } = *by;
        let out = Meeting {
            shapes: vec![RunShape::default(); floor.runs.len()],
            tees: Tees::new(),
            carriers: Carriers::new(),
            ties: Vec::new(),
            findings: Vec::new(),
        };
        Meet { floor, carriers, settings, rules, offset, out }
    }
}

/// What tying a tee in one way does to the upper plates.
#[derive(Clone, Debug)]
pub(crate) struct TeeEffect {
    /// In the run that passes.
    pub gaps: Vec<Gap>,
    pub notches: Vec<NotchAt>,
    /// Of the stem: the end at the tee.
    pub stem_end: Option<PlateEnd>,
}

/// What a crossing does to the two runs that pass it.
pub(crate) struct CrossEffect {
    /// The run that is whole in the lower layer.
    pub below: RunId,
    runs: [RunId; 2],
    /// Of each run, by layer.
    gaps: [[Vec<Gap>; 2]; 2],
}

impl CrossEffect {
    pub(crate) fn gaps(&self, run: RunId, layer: usize) -> &[Gap] {
        let k = usize::from(run != self.runs[0]);
        &self.gaps[k][layer]
    }
}

/// Answers what tees and crossings would do, one at a time.
pub(crate) struct Effects<'a> {
    meet: Meet<'a>,
}

impl<'a> Effects<'a> {
    pub(crate) fn new(by: &Terms<'a>, carriers: &'a Carriers) -> Effects<'a> {
        Effects { meet: Meet::new(by, carriers) }
    }
    /// Of a tee where `stem` meets `through`.
    pub(crate) fn of(
        &mut self,
        id: JunctionId,
        through: RunId,
        stem: Arm,
        kind: TeeKind,
    ) -> TeeEffect {
        self.meet.tee_upper(id, Some(kind));
        self.meet.out.ties.clear();
        self.meet.out.findings.clear();
        let shapes = &mut self.meet.out.shapes;
        let mut stem_shape = std::mem::take(&mut shapes[stem.run.0 as usize]);
        let RunShape { gaps: [_, gaps], notches, .. } =
            std::mem::take(&mut shapes[through.0 as usize]);
        let stem_end = stem_shape.ends[UPPER][usize::from(stem.at == ArmAt::End)].take();
        TeeEffect { gaps, notches, stem_end }
    }
    /// Of a crossing where both runs pass; `below` is whole in the lower layer, where none is named the first
    /// in rank.
    pub(crate) fn of_cross(
        &mut self,
        id: JunctionId,
        runs: [RunId; 2],
        below: Option<RunId>,
    ) -> CrossEffect {
        self.meet.cross(id, below);
        self.meet.out.ties.clear();
        self.meet.out.findings.clear();
        let shapes = &mut self.meet.out.shapes;
        let gaps = runs.map(|run| std::mem::take(&mut shapes[run.0 as usize].gaps));
        let below = if gaps[0][LOWER].is_empty() { runs[0] } else { runs[1] };
        CrossEffect { below, runs, gaps }
    }
}

/// Settles every junction of the floor. Tees that `wanted` names are tied so where there is room.
pub(crate) fn settle(by: &Terms, carriers: &Carriers, wanted: &Tees) -> Meeting {
    let floor = by.floor;
    let mut m = Meet::new(by, carriers);
    let ids = |kinds: &'static [JunctionKind]| {
        let all = floor.junctions.iter().enumerate();
        all.filter(move |(_, j)| kinds.contains(&j.kind)).map(|(i, _)| JunctionId(i as u32))
    };
    use JunctionKind::*;
    for id in ids(&[End, L, X, Inline, Other]) {
        m.settle_one(id);
    }
    // Tees last: whether a stem laps or notches depends on what else interrupts the through run.
    for id in ids(&[T]) {
        m.tee_lower(id);
    }
    let kinds = tees::decide(by, &m.out.shapes, wanted);
    for id in ids(&[T]) {
        m.tee_upper(id, kinds.get(&id).copied());
    }
    m.tell_odd_steps();
    m.out.shapes.iter_mut().for_each(RunShape::sort);
    m.out.tees = kinds;
    m.out.carriers.clone_from(carriers);
    m.out
}

impl Meet<'_> {
    fn view(&self, run: RunId, at: ArmAt, junction: &Junction, forward: bool) -> ArmView<'_> {
        let r = self.floor.run(run);
        let f = r.frame();
        let node_station = match at {
            ArmAt::Start => Length::ZERO,
            ArmAt::End => r.length(),
            ArmAt::Through => f.locate(junction.at).0,
        };
        let d = f.dir();
        let dir = if forward { d } else { (-d.0, -d.1) };
        let frame = Frame::along(f.at(node_station, Length::ZERO), dir);
        ArmView { run: r, frame, node_station, forward }
    }
    fn arm(&self, a: Arm, j: &Junction) -> ArmView<'_> {
        self.view(a.run, a.at, j, a.at == ArmAt::Start)
    }
    fn clearance(&self, layer: usize) -> Length {
        if layer == UPPER { self.settings.plates.upper_clearance } else { Length::ZERO }
    }

    /// A run's plate as another arm sees it: without end both ways.
    fn endless(&self, seen_from: &ArmView, run: RunId, grow: Length) -> Shape {
        let r = self.floor.run(run);
        let h = r.section.width().half() + grow;
        strip(&seen_from.frame, &r.frame(), -FAR, FAR, -h, h)
    }
    /// A run's plate that stops at the node.
    fn half_line(&self, seen_from: &ArmView, a: Arm, grow: Length) -> Shape {
        let r = self.floor.run(a.run);
        let h = r.section.width().half() + grow;
        let (from, to) = match a.at {
            ArmAt::Start => (Length::ZERO, FAR),
            ArmAt::End => (r.length() - FAR, r.length()),
            ArmAt::Through => (-FAR, FAR),
        };
        strip(&seen_from.frame, &r.frame(), from, to, -h, h)
    }
    fn plates_of(&self, seen_from: &ArmView, t: &Through, grow: Length) -> Vec<Shape> {
        match t {
            Through::One(run) => vec![self.endless(seen_from, *run, grow)],
            Through::Two(a, b) => {
                vec![self.half_line(seen_from, *a, grow), self.half_line(seen_from, *b, grow)]
            }
        }
    }

    fn set_end(&mut self, a: Arm, layer: usize, profile: Profile, against: Against) {
        let end = usize::from(a.at == ArmAt::End);
        self.out.shapes[a.run.0 as usize].ends[layer][end] = Some(PlateEnd { profile, against });
    }
    /// An arm that stops at the faces of other plates.
    fn butt(&mut self, id: JunctionId, a: Arm, layer: usize, shapes: &[Shape], against: Against) {
        self.butt_from(id, a, layer, shapes, against, None);
    }
    /// The same, and not before `floor` (from the node).
    fn butt_from(
        &mut self,
        id: JunctionId,
        a: Arm,
        layer: usize,
        shapes: &[Shape],
        against: Against,
        floor: Option<Length>,
    ) {
        let j = self.floor.junction(id);
        let v = self.arm(a, j);
        let p = leaves(v.half(), shapes, floor).turned(v.node_station, v.forward);
        self.set_end(a, layer, p, against);
    }
    /// An arm that carries through to the far faces of other plates.
    fn carry(&mut self, id: JunctionId, a: Arm, layer: usize, shapes: &[Shape]) {
        let j = self.floor.junction(id);
        let v = self.arm(a, j);
        let p = enters(v.half(), shapes).turned(v.node_station, v.forward);
        self.set_end(a, layer, p, Against::Open);
    }
    fn stop_at_node(
        &mut self,
        id: JunctionId,
        a: Arm,
        layer: usize,
        short: Length,
        against: Against,
    ) {
        let j = self.floor.junction(id);
        let v = self.arm(a, j);
        let p = Profile::square(v.half(), short).turned(v.node_station, v.forward);
        self.set_end(a, layer, p, against);
    }
    /// Interrupts a run that passes, for what `shapes` gives as seen from either of its arms.
    fn interrupt(
        &mut self,
        id: JunctionId,
        run: RunId,
        layer: usize,
        kind: JointKind,
        by: RunId,
        shapes: impl Fn(&Self, &ArmView) -> Vec<Shape>,
    ) {
        let j = self.floor.junction(id);
        let end = |forward: bool| {
            let v = self.view(run, ArmAt::Through, j, forward);
            let p = leaves(v.half(), &shapes(self, &v), None);
            PlateEnd { profile: p.turned(v.node_station, v.forward), against: Against::Run(by) }
        };
        let gap = Gap { before: end(false), after: end(true), kind };
        self.out.shapes[run.0 as usize].gaps[layer].push(gap);
    }

    fn settle_one(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        match j.kind {
            JunctionKind::End => {
                for layer in [LOWER, UPPER] {
                    self.stop_at_node(id, j.arms[0], layer, Length::ZERO, Against::Open);
                }
            }
            JunctionKind::L => self.corner(id),
            JunctionKind::X => self.cross(id, self.carriers.get(&id).copied()),
            JunctionKind::Inline => {
                if let [Through::Two(a, b)] = lines_at(self.floor, j).through[..] {
                    self.in_line(id, a, b);
                }
            }
            JunctionKind::Other => self.other(id),
            JunctionKind::T => {}
        }
    }

    /// The order in which runs carry through: exterior first, then wide, then long, then by number.
    fn rank(&self, run: RunId) -> impl Ord + use<> {
        let r = self.floor.run(run);
        let exterior = self.floor.walls_of(run).any(|(_, w)| w.exterior);
        (!exterior, -r.section.width(), -r.length(), run)
    }

    fn corner(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        let [a, b] = j.arms[..] else { return };
        if is_bend(j) {
            return self.bend(id, a, b);
        }
        let by_rank = if self.rank(a.run) <= self.rank(b.run) { a.run } else { b.run };
        let carries = self.carriers.get(&id).copied().unwrap_or(by_rank);
        let (first, second) = if carries == a.run { (a, b) } else { (b, a) };
        if !self.floor.laps_at(j) {
            let (tall, low) = if self.is_over(j, a.run, b.run) { (a, b) } else { (b, a) };
            for layer in [LOWER, UPPER] {
                let against = self.step_against(j, low.run, tall.run);
                self.corner_layer(id, layer, tall, low, against);
            }
            self.step_tie(id, tall.run, low.run);
            return;
        }
        self.corner_layer(id, LOWER, first, second, Against::Run(first.run));
        self.corner_layer(id, UPPER, second, first, Against::Run(second.run));
        let overlap = self.floor.run(first.run).section.width();
        self.lap(id, TieKind::Lap, second.run, vec![first.run], overlap);
    }

    /// Two runs nearly in line: a lap would run to a long point, so both stop on the line that halves
    /// the angle.
    fn bend(&mut self, id: JunctionId, a: Arm, b: Arm) {
        let j = self.floor.junction(id);
        for layer in [LOWER, UPPER] {
            for (x, other) in [(a, b), (b, a)] {
                let p = self.halfway(j, x, other, self.clearance(layer).half());
                self.set_end(x, layer, p, self.step_against(j, other.run, x.run));
            }
        }
        if !self.floor.laps_at(j) {
            return self.step_or_strap(id, a.run, b.run);
        }
        self.splice(id, a.run, b.run);
        let f = Finding::new(
            codes::BEND_SPLICED,
            format!(
                "{} and {} meet {:.1} degrees off straight: too flat for a lap. Both layers are cut on the half angle, and a splice plate ties them.",
                run_name(a.run),
                run_name(b.run),
                180.0 - j.angle_deg
            ),
        );
        self.out.findings.push(f.at(j.at).about(junction_name(id)));
    }

    /// An arm's end on the line through the node that halves the angle to another arm, or `short` of it.
    fn halfway(&self, j: &Junction, own: Arm, other: Arm, short: Length) -> Profile {
        let (v, w) = (self.arm(own, j), self.arm(other, j));
        let ((ax, ay), (bx, by)) = (v.frame.dir(), w.frame.dir());
        // The line's own direction is square to the difference of the two, in this arm's frame.
        let (nx, ny) = (ax - bx, ay - by);
        let square = ax * nx + ay * ny;
        let lean = (ax * ny - ay * nx) / square;
        let short = short.scale(nx.hypot(ny) / square);
        let (station, offset) = v.frame.locate(j.at);
        let at = |o: Length| (o, station + short - (o - offset).scale(lean));
        Profile(vec![at(-v.half()), at(v.half())]).turned(v.node_station, v.forward)
    }

    fn corner_layer(
        &mut self,
        id: JunctionId,
        layer: usize,
        carries: Arm,
        butts: Arm,
        against: Against,
    ) {
        let j = self.floor.junction(id);
        let far = self.endless(&self.arm(carries, j), butts.run, Length::ZERO);
        self.carry(id, carries, layer, &[far]);
        let near = self.endless(&self.arm(butts, j), carries.run, self.clearance(layer));
        self.butt(id, butts, layer, &[near], against);
    }

    fn cross(&mut self, id: JunctionId, below: Option<RunId>) {
        let j = self.floor.junction(id);
        let lines = lines_at(self.floor, j);
        let [one, two] = &lines.through[..] else { return self.other(id) };
        let runs = |t: &Through| match t {
            Through::One(r) => vec![*r],
            Through::Two(a, b) => vec![a.run, b.run],
        };
        let whole = |t: &Through| matches!(t, Through::One(_));
        if !self.floor.laps_at(j) {
            // The run that is whole stays so, the taller one if both are; the others stop at it.
            let first_stays = match (whole(one), whole(two)) {
                (true, false) => true,
                (false, true) => false,
                _ => self.is_over(j, self.tallest(j, one), self.tallest(j, two)),
            };
            let (stays, stops) = if first_stays { (one, two) } else { (two, one) };
            self.stays_whole(id, stays);
            for layer in [LOWER, UPPER] {
                self.stop_at(id, stops, &[stays], layer);
            }
            for r in runs(stops) {
                self.step_or_strap(id, runs(stays)[0], r);
            }
            return;
        }
        // A change of section goes below, so that the whole run above it ties its two halves.
        let rank = |t: &Through| (whole(t), runs(t).into_iter().map(|r| self.rank(r)).min());
        let first_below = match below.filter(|_| whole(one) && whole(two)) {
            Some(run) => first_run(one) == run,
            None => rank(one) <= rank(two),
        };
        let (below, above) = if first_below { (one, two) } else { (two, one) };
        if let Through::Two(a, b) = below {
            for x in [*a, *b] {
                self.stop_at_node(
                    id,
                    x,
                    LOWER,
                    Length::ZERO,
                    Against::Run(if x == *a { b.run } else { a.run }),
                );
            }
        }
        self.stop_at(id, above, &[below], LOWER);
        let c = self.clearance(UPPER);
        let over = match above {
            Through::One(run) => *run,
            Through::Two(a, b) => {
                let (over, rest) =
                    if self.rank(a.run) <= self.rank(b.run) { (*a, *b) } else { (*b, *a) };
                let far = self.plates_of(&self.arm(over, j), below, Length::ZERO);
                self.carry(id, over, UPPER, &far);
                let near = self.plates_of(&self.arm(rest, j), below, c);
                self.butt(id, rest, UPPER, &near, Against::Run(over.run));
                self.strap(id, a.run, b.run);
                over.run
            }
        };
        match below {
            Through::One(run) => {
                self.interrupt(id, *run, UPPER, JointKind::LapGap, over, |m, v| {
                    vec![m.endless(v, over, c)]
                });
            }
            Through::Two(a, b) => {
                for x in [*a, *b] {
                    let s = self.endless(&self.arm(x, j), over, c);
                    self.butt(id, x, UPPER, &[s], Against::Run(over));
                }
            }
        }
        let under = runs(below);
        let overlap =
            under.iter().map(|r| self.floor.run(*r).section.width()).min().unwrap_or_default();
        self.lap(id, TieKind::Lap, over, under, overlap);
    }

    /// Both layers of a line that nothing interrupts.
    fn stays_whole(&mut self, id: JunctionId, t: &Through) {
        if let Through::Two(a, b) = t {
            self.in_line(id, *a, *b);
        }
    }

    /// Interrupts a line at the faces of others.
    fn stop_at(&mut self, id: JunctionId, stops: &Through, at: &[&Through], layer: usize) {
        let j = self.floor.junction(id);
        let c = self.clearance(layer);
        let Some(by) = at.first().map(|t| first_run(t)) else { return };
        let plates = |m: &Self, v: &ArmView| -> Vec<Shape> {
            at.iter().flat_map(|t| m.plates_of(v, t, c)).collect()
        };
        match stops {
            Through::One(run) => {
                let kind = if layer == UPPER { JointKind::LapGap } else { JointKind::Break };
                self.interrupt(id, *run, layer, kind, by, plates);
            }
            Through::Two(a, b) => {
                for x in [*a, *b] {
                    let s = plates(self, &self.arm(x, j));
                    let against = self.step_against(j, x.run, by);
                    self.butt(id, x, layer, &s, against);
                }
            }
        }
    }

    /// Oblique walls at a change of width, or among three and more that meet at one place: small places
    /// there may stay bare.
    fn tell_odd_steps(&mut self) {
        for (i, j) in self.floor.junctions.iter().enumerate() {
            let lines = lines_at(self.floor, j);
            let stepped = lines.through.iter().find_map(|t| match t {
                Through::Two(a, b) => {
                    let [ra, rb] = [a, b].map(|x| self.floor.run(x.run));
                    (ra.section.width() != rb.section.width()).then_some(ra.frame().dir())
                }
                Through::One(_) => None,
            });
            let first = || self.floor.run(j.arms[0].run).frame().dir();
            let several = (j.kind == JunctionKind::Other && j.arms.len() > 1).then(first);
            let Some(dir) = stepped.or(several) else { continue };
            let oblique = j.arms.iter().any(|a| {
                let d = self.floor.run(a.run).frame().dir();
                let (along, across) = (d.0 * dir.0 + d.1 * dir.1, d.0 * dir.1 - d.1 * dir.0);
                along.abs() > IN_LINE && across.abs() > IN_LINE
            });
            if oblique {
                let f = Finding::new(
                    codes::OBLIQUE_MEETING,
                    format!(
                        "At {} an oblique wall meets a change of width or several walls at once; fit the plates there on site.",
                        junction_name(JunctionId(i as u32))
                    ),
                );
                self.out.findings.push(f.at(j.at).about(junction_name(JunctionId(i as u32))));
            }
        }
    }

    /// What the plates of a run meet at one that may be taller: its stud, where they lie below its plates.
    fn step_against(&self, j: &Junction, low: RunId, tall: RunId) -> Against {
        let [l, t] = [low, tall].map(|r| self.floor.run(r));
        let over = self.floor.top_at(tall, j) - self.floor.top_at(low, j);
        // Plates on a slope meet plates until they lie below both of them.
        let raked = l.slope().is_some() || t.slope().is_some();
        let least = if raked { t.section.thickness() * 2 } else { Length::ZERO };
        if over > least { Against::Stud(tall) } else { Against::Run(tall) }
    }
    /// Whether the plates of a run go on at a junction where nothing laps and those of another stop: the
    /// taller one's, of two as high to a plate's thickness the level one's, then by rank.
    fn is_over(&self, j: &Junction, run: RunId, other: RunId) -> bool {
        let [a, b] = [run, other].map(|r| self.floor.run(r));
        let up = self.floor.top_at(run, j) - self.floor.top_at(other, j);
        let raked = [a, b].map(|r| r.slope().is_some());
        if raked == [false, false] {
            return up > Length::ZERO || (up == Length::ZERO && self.rank(run) <= self.rank(other));
        }
        if up.abs() > a.section.thickness() {
            return up > Length::ZERO;
        }
        (raked[0], self.rank(run)) <= (raked[1], self.rank(other))
    }
    fn tallest(&self, j: &Junction, t: &Through) -> RunId {
        match t {
            Through::One(r) => *r,
            Through::Two(a, b) if self.is_over(j, b.run, a.run) => b.run,
            Through::Two(a, _) => a.run,
        }
    }

    /// Two runs that meet end to end.
    fn in_line(&mut self, id: JunctionId, a: Arm, b: Arm) {
        let j = self.floor.junction(id);
        let (ra, rb) = (self.floor.run(a.run), self.floor.run(b.run));
        for (x, y) in [(a, b), (b, a)] {
            let against = self.step_against(j, x.run, y.run);
            self.stop_at_node(id, x, LOWER, Length::ZERO, against);
        }
        let c = self.clearance(UPPER);
        let tops = [a.run, b.run].map(|r| self.floor.top_at(r, j));
        if tops[0] != tops[1] || ra.slope().is_some() || rb.slope().is_some() {
            let (tall, low) = if self.is_over(j, a.run, b.run) { (a, b) } else { (b, a) };
            let against = self.step_against(j, low.run, tall.run);
            let open = if matches!(against, Against::Stud(_)) {
                Against::Open
            } else {
                Against::Run(low.run)
            };
            self.stop_at_node(id, tall, UPPER, Length::ZERO, open);
            self.stop_at_node(id, low, UPPER, c, against);
            self.step_tie(id, tall.run, low.run);
            return;
        }
        // The narrower upper plate runs on: a wider one would overhang.
        let key = |x: &Arm, r: &Run| (r.section.width(), x.run);
        let (narrow, wide) = if key(&a, ra) <= key(&b, rb) { (a, b) } else { (b, a) };
        match self.room_to_run_on(id, wide) {
            Some(on) => {
                self.stop_at_node(id, narrow, UPPER, -on, Against::SameRun);
                self.stop_at_node(id, wide, UPPER, on + c, Against::Run(narrow.run));
                self.lap(id, TieKind::Lap, narrow.run, vec![wide.run], on);
            }
            None => {
                self.stop_at_node(id, wide, UPPER, Length::ZERO, Against::Run(narrow.run));
                self.stop_at_node(id, narrow, UPPER, c, Against::Run(wide.run));
                self.splice(id, narrow.run, wide.run);
                let f = Finding::new(
                    codes::WIDTH_CHANGE_NO_ROOM,
                    format!(
                        "{} and {} meet in line, and there is no room on {} to let the upper plate of {} run on by {}; a splice plate ties them.",
                        run_name(a.run),
                        run_name(b.run),
                        run_name(wide.run),
                        run_name(narrow.run),
                        self.offset.feet_inches()
                    ),
                );
                self.out.findings.push(f.at(self.floor.junction(id).at).about(junction_name(id)));
            }
        }
    }

    /// How far a narrower upper plate may run on over a wider run from this end: the joint offset, or
    /// the next stud centre after it, clear of everything else on the run.
    fn room_to_run_on(&self, id: JunctionId, wide: Arm) -> Option<Length> {
        let r = self.floor.run(wide.run);
        let length = r.length();
        let from_node = |s: Length| if wide.at == ArmAt::Start { s } else { length - s };
        let widest = self.floor.runs.iter().map(|r| r.section.width()).max().unwrap_or_default();
        let free = r
            .through
            .iter()
            .filter(|(_, j)| *j != id)
            .map(|(s, _)| from_node(*s) - widest)
            .chain([length - widest])
            .min()
            .unwrap_or_default();
        let keep = self.settings.plates.short_piece;
        let spacing = self.settings.studs.spacing;
        let on_stud = self.offset.ceil_to(spacing);
        let fits = |on: Length| (on + keep <= free).then_some(on);
        // Stud layout counts from the run's start; from its end only the bare offset is sure.
        let stud = (wide.at == ArmAt::Start).then_some(on_stud).and_then(fits);
        stud.or_else(|| fits(self.offset))
    }

    fn tee_lower(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        let lines = lines_at(self.floor, j);
        let ([t], [stem]) = (&lines.through[..], &lines.single[..]) else { return };
        if let Through::Two(a, b) = t {
            for (x, y) in [(a, b), (b, a)] {
                self.stop_at_node(id, *x, LOWER, Length::ZERO, Against::Run(y.run));
            }
        }
        let s = self.plates_of(&self.arm(*stem, j), t, Length::ZERO);
        let first = first_run(t);
        let against = self.step_against(j, stem.run, first);
        self.butt(id, *stem, LOWER, &s, against);
    }

    fn tee_upper(&mut self, id: JunctionId, kind: Option<TeeKind>) {
        let j = self.floor.junction(id);
        let lines = lines_at(self.floor, j);
        let ([t], [stem]) = (&lines.through[..], &lines.single[..]) else { return };
        let stem = *stem;
        let c = self.clearance(UPPER);
        let first = first_run(t);
        match t {
            Through::Two(a, b) => {
                let (ra, rb) = (self.floor.run(a.run), self.floor.run(b.run));
                if self.floor.laps_at(j) {
                    let far = self.plates_of(&self.arm(stem, j), t, Length::ZERO);
                    self.carry(id, stem, UPPER, &far);
                    for x in [*a, *b] {
                        // Not past the node: a wider plate would overhang the narrower wall.
                        let s = self.endless(&self.arm(x, j), stem.run, c);
                        let from = Some(Length::ZERO);
                        self.butt_from(id, x, UPPER, &[s], Against::Run(stem.run), from);
                    }
                    let overlap = ra.section.width().min(rb.section.width());
                    self.lap(id, TieKind::Lap, stem.run, vec![a.run, b.run], overlap);
                    self.splice(id, a.run, b.run);
                    return;
                }
                self.in_line(id, *a, *b);
                let s = self.plates_of(&self.arm(stem, j), t, c);
                self.butt(id, stem, UPPER, &s, self.step_against(j, stem.run, first));
                for r in [a.run, b.run] {
                    self.step_or_strap(id, stem.run, r);
                }
            }
            Through::One(run) => {
                let run = *run;
                if !self.floor.laps_at(j) {
                    let s = self.plates_of(&self.arm(stem, j), t, c);
                    self.butt(id, stem, UPPER, &s, self.step_against(j, stem.run, run));
                    self.step_or_strap(id, run, stem.run);
                    return;
                }
                match kind.unwrap_or(TeeKind::Strap) {
                    TeeKind::Lap => {
                        let far = self.endless(&self.arm(stem, j), run, Length::ZERO);
                        self.carry(id, stem, UPPER, &[far]);
                        let over = stem.run;
                        self.interrupt(id, run, UPPER, JointKind::LapGap, over, |m, v| {
                            vec![m.endless(v, over, c)]
                        });
                        let overlap = self.floor.run(run).section.width();
                        self.lap(id, TieKind::Lap, stem.run, vec![run], overlap);
                    }
                    TeeKind::Notch => self.notch(id, run, stem),
                    TeeKind::Strap => {
                        let s = self.endless(&self.arm(stem, j), run, c);
                        self.butt(id, stem, UPPER, &[s], Against::Run(run));
                        self.strap(id, run, stem.run);
                    }
                }
            }
        }
    }

    fn notch(&mut self, id: JunctionId, run: RunId, stem: Arm) {
        let j = self.floor.junction(id);
        let depth = self.settings.plates.notch_depth;
        let Some(n) = notch_at(self.floor, self.settings, run, stem) else { return };
        let v = self.arm(stem, j);
        let r = self.floor.run(run);
        let h = r.section.width().half();
        let (right, left) = match n.side {
            Side::Left => (-h, h - depth),
            Side::Right => (-h + depth, h),
        };
        let what_is_left = strip(&v.frame, &r.frame(), -FAR, FAR, right, left);
        self.butt(id, stem, UPPER, &[what_is_left], Against::Notch(run));
        let share = n.depth.nm() as f64 / r.section.width().nm() as f64;
        let bearing_stem = self.floor.walls_of(stem.run).any(|(_, w)| w.bearing == Some(true));
        if bearing_stem {
            let f = Finding::new(
                codes::NOTCH_AT_BEARING_WALL,
                format!(
                    "Bearing wall {} is tied into {} by a notch of {}, not by a full lap.",
                    run_name(stem.run),
                    run_name(run),
                    depth.feet_inches()
                ),
            );
            self.out.findings.push(f.at(j.at).about(junction_name(id)));
        }
        let rule = &self.rules.notch_strap;
        if rule.needed(n.depth, r.section.width()) {
            let f = Finding::new(
                codes::NOTCH_OVER_HALF,
                format!(
                    "The notch for {} takes {} of the {} upper plate of {}, {:.0} percent of its width; a strap goes across it.",
                    run_name(stem.run),
                    n.depth.feet_inches(),
                    r.section,
                    run_name(run),
                    share * 100.0
                ),
            );
            self.out.findings.push(f.at(j.at).about(junction_name(id)));
            let tie = TiePlan {
                junction: id,
                kind: TieKind::Strap,
                over: run,
                under: vec![],
                overlap: Length::ZERO,
                hardware: rule.hardware.clone(),
                count: 1,
                nails: Some((rule.nail.clone(), rule.nails)),
            };
            self.out.ties.push(tie);
        }
        self.out.shapes[run.0 as usize].notches.push(n);
        self.lap(id, TieKind::Notch, stem.run, vec![run], depth);
    }

    /// Junctions with no standard lap: runs that pass stay whole; the rest stop, in rank order, at the
    /// faces of those before them. The outer corner, if the walls leave a side open, is settled like
    /// an L.
    fn other(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        let lines = lines_at(self.floor, j);
        let mut rest: Vec<Arm> = lines.single.clone();
        let laps = self.floor.laps_at(j);
        // Where nothing laps the taller ones come first, in both layers.
        let height = |r: RunId| Reverse(if laps { Length::ZERO } else { self.floor.top_at(r, j) });
        rest.sort_by_key(|a| (height(a.run), self.rank(a.run)));
        for layer in [LOWER, UPPER] {
            let c = self.clearance(layer);
            let mut before: Vec<&Through> = Vec::new();
            // The upper layer takes them the other way round, as at an X.
            let mut passing: Vec<&Through> = lines.through.iter().collect();
            passing.sort_by_key(|t| height(self.tallest(j, t)));
            if layer == UPPER && laps {
                passing.reverse();
            }
            for t in passing {
                self.stop_at(id, t, &before, layer);
                if let (Through::Two(a, b), true) = (t, before.is_empty()) {
                    self.stop_at_node(id, *a, layer, Length::ZERO, Against::Run(b.run));
                    self.stop_at_node(id, *b, layer, c, Against::Run(a.run));
                }
                before.push(t);
            }
            let mut stopped: Vec<(Arm, bool)> = Vec::new(); // whether it stands for an endless plate
            if before.is_empty()
                && let Some((mut a, mut b)) = self.open_side(j, &rest)
            {
                if layer == UPPER && laps {
                    (a, b) = (b, a);
                }
                let against = self.step_against(j, b.run, a.run);
                self.corner_layer(id, layer, a, b, against);
                stopped.extend([(a, true), (b, true)]);
            }
            for a in &rest {
                if stopped.iter().any(|(s, _)| s == a) {
                    continue;
                }
                let v = self.arm(*a, j);
                let mut shapes: Vec<Shape> = Vec::new();
                for t in &before {
                    shapes.extend(self.plates_of(&v, t, c));
                }
                for (s, endless) in &stopped {
                    shapes.push(if *endless {
                        self.endless(&v, s.run, c)
                    } else {
                        self.half_line(&v, *s, c)
                    });
                }
                let by = before.first().map(|t| first_run(t)).or(stopped.first().map(|s| s.0.run));
                match by {
                    Some(by) => {
                        let from = Some(Length::ZERO);
                        self.butt_from(id, *a, layer, &shapes, Against::Run(by), from);
                    }
                    None => self.stop_at_node(id, *a, layer, Length::ZERO, Against::Open),
                }
                stopped.push((*a, false));
            }
        }
        if let ([Through::One(below), .., Through::One(above)], true) = (&lines.through[..], laps) {
            let (below, above) = (*below, *above);
            let overlap = self.floor.run(below).section.width();
            self.lap(id, TieKind::Lap, above, vec![below], overlap);
        }
        let first = j.arms[0].run;
        for a in &j.arms[1..] {
            self.step_or_strap(id, first, a.run);
        }
    }

    /// The two arms on either side of an angle over 180 degrees, if there is one: first in rank first.
    fn open_side(&self, j: &Junction, arms: &[Arm]) -> Option<(Arm, Arm)> {
        let angle = |a: &Arm| {
            let d = self.arm(*a, j).frame.dir();
            d.1.atan2(d.0)
        };
        let mut around: Vec<(f64, Arm)> = arms.iter().map(|a| (angle(a), *a)).collect();
        around.sort_by(|x, y| x.0.total_cmp(&y.0));
        let turn = std::f64::consts::TAU;
        (0..around.len()).find_map(|i| {
            let (from, a) = around[i];
            let (to, b) = around[(i + 1) % around.len()];
            let gap = (to - from).rem_euclid(turn);
            let open = gap > turn / 2.0 + 0.01 && around.len() > 1;
            let first = if self.floor.laps_at(j) {
                self.rank(a.run) <= self.rank(b.run)
            } else {
                self.is_over(j, a.run, b.run)
            };
            open.then_some(if first { (a, b) } else { (b, a) })
        })
    }

    fn lap(
        &mut self,
        junction: JunctionId,
        kind: TieKind,
        over: RunId,
        under: Vec<RunId>,
        overlap: Length,
    ) {
        let hardware = String::new();
        let t = TiePlan { junction, kind, over, under, overlap, hardware, count: 0, nails: None };
        self.out.ties.push(t);
    }
    fn strap(&mut self, junction: JunctionId, a: RunId, b: RunId) {
        self.metal(junction, a, b, &self.rules.corner_strap);
    }
    fn splice(&mut self, junction: JunctionId, a: RunId, b: RunId) {
        self.metal(junction, a, b, &self.rules.splice_plate);
    }
    fn metal(&mut self, junction: JunctionId, a: RunId, b: RunId, h: &Hardware) {
        let t = TiePlan {
            junction,
            kind: TieKind::Strap,
            over: a,
            under: vec![b],
            overlap: Length::ZERO,
            hardware: h.hardware.clone(),
            count: 1,
            nails: Some((h.nail.clone(), h.nails)),
        };
        self.out.ties.push(t);
    }
    fn step_or_strap(&mut self, id: JunctionId, a: RunId, b: RunId) {
        let j = self.floor.junction(id);
        let raked = [a, b].iter().any(|r| self.floor.run(*r).slope().is_some());
        if !raked && self.floor.top_at(a, j) == self.floor.top_at(b, j) {
            self.strap(id, a, b);
        } else {
            let (tall, low) = if self.is_over(j, a, b) { (a, b) } else { (b, a) };
            self.step_tie(id, tall, low);
        }
    }
    fn step_tie(&mut self, junction: JunctionId, tall: RunId, low: RunId) {
        let rule = &self.rules.step_tie;
        let j = self.floor.junction(junction);
        let slope = |r: RunId| self.floor.run(r).slope();
        let f = if slope(tall).is_some() || slope(low).is_some() {
            let how = |r: RunId| match slope(r) {
                Some(s) => format!("{} rises {:.1} in 12", run_name(r), s.ratio().abs() * 12.0),
                None => format!("{} is level", run_name(r)),
            };
            Finding::new(
                codes::RAKED_MEETING,
                format!(
                    "{} and {}: their plates meet but cannot lap, and {} x {} tie them instead.",
                    how(tall),
                    how(low),
                    rule.count,
                    rule.hardware
                ),
            )
        } else {
            let step = self.floor.top_at(tall, j) - self.floor.top_at(low, j);
            Finding::new(
                codes::HEIGHT_STEP,
                format!(
                    "The plates of {} lie {} below those of {}; they cannot lap, and {} x {} tie them instead.",
                    run_name(low),
                    step.feet_inches(),
                    run_name(tall),
                    rule.count,
                    rule.hardware
                ),
            )
        };
        self.out.findings.push(f.at(j.at).about(junction_name(junction)));
        self.out.ties.push(TiePlan {
            junction,
            kind: TieKind::Screw,
            over: tall,
            under: vec![low],
            overlap: Length::ZERO,
            hardware: rule.hardware.clone(),
            count: rule.count,
            nails: None,
        });
    }
}

/// Whether two runs make a corner too flat to lap.
pub(crate) fn is_bend(j: &Junction) -> bool {
    j.kind == JunctionKind::L && j.angle_deg > 90.0 && j.angle_deg.to_radians().sin() < BEND
}

fn first_run(t: &Through) -> RunId {
    match t {
        Through::One(r) => *r,
        Through::Two(a, _) => a.run,
    }
}

/// The notch a stem needs in a run's upper plate: as deep as the stem runs on, plus the upper
/// clearance, so that the stem never bears on its bottom; a side clearance wider on each side.
/// `None` where less than an inch of the plate would be left.
pub(crate) fn notch_at(
    floor: &Floor,
    settings: &Settings,
    run: RunId,
    stem: Arm,
) -> Option<NotchAt> {
    let (r, s) = (floor.run(run), floor.run(stem.run));
    let depth = settings.plates.notch_depth + settings.plates.upper_clearance;
    if depth + Length::inches(1) > r.section.width() {
        return None;
    }
    let f = r.frame();
    let node = if stem.at == ArmAt::Start { s.start } else { s.end };
    let d = s.frame().dir();
    let away = if stem.at == ArmAt::Start { d } else { (-d.0, -d.1) };
    let arm = Frame::along(node, away);
    // The stem's direction in the run's frame.
    let (c, n) = f.dir();
    let (ux, uy) = (away.0 * c + away.1 * n, away.1 * c - away.0 * n);
    let side = if uy > 0.0 { Side::Left } else { Side::Right };
    let h = r.section.width().half();
    let (edge, bottom) = match side {
        Side::Left => (h, h - depth),
        Side::Right => (-h, -h + depth),
    };
    let half = s.section.width().half() + settings.plates.notch_side_clearance;
    let meets = |face: Length, level: Length| {
        let p: Point = arm.at(Length::ZERO, face);
        let (station, offset) = f.locate(p);
        let along = (level - offset).nm() as f64 / uy * ux;
        station + Length::from_nm(along.round() as i64)
    };
    let pair = |level: Length| {
        let (a, b) = (meets(half, level), meets(-half, level));
        (a.min(b), a.max(b))
    };
    let (edge, bottom) = (pair(edge), pair(bottom));
    Some(NotchAt { stem: stem.run, side, edge, bottom, depth })
}
