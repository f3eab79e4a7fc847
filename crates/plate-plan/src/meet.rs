//! How the plates of a junction meet, layer by layer: who carries through, who butts, who runs over.
//!
//! | junction | lower layer | upper layer |
//! |---|---|---|
//! | L, nearly straight | both on the line that halves the angle | same, a hair short; splice plate |
//! | L | one run to the other's outer face, the other to its inner face | roles swapped |
//! | T | through run whole, stem to its face | stem over it (gap), into a notch, or strapped |
//! | T of three ends, two of one height or width | those two as an L, the third to the L's outer face | same, a hair short; strapped or screwed |
//! | X | one run whole, the other broken | the broken one goes over whole, the first has the gap |
//! | in line, width change | both to the node | the narrower runs on over the wider one |
//! | in line, aside of each other | both to the node | same, a hair short; splice plate |
//! | height step | nothing laps: the taller run is whole (a T's through run always), the other stops | same, a hair short |
//! | a raked run | as at a height step; of two as high the level one is whole | same, a hair short |
//! | three ends and more, two nearly straight | those two as an L nearly straight, the others to their faces | same, a hair short; splice plate, strap |
//! | other | in a fixed order, each to the faces of those before it | same, a hair short; strapped |
//!
//! Where a line through a junction is two runs (a change of section or height just there), each stops
//! at the node and the rest see two plates instead of one.

mod bend;
mod corner;
mod cross;
mod other;
mod step;
mod tee;
mod tied;

pub(crate) use corner::lapping_corner;
pub(crate) use tee::notch_at;

use crate::known::Known;
use crate::profile::{Profile, Shape, enters, leaves, strip};
use crate::tees::{self, TeeKind, Tees};
use diag::{Finding, codes::plan as codes};
use geom::{Frame, Length, Point};
use limits::Watch;
use plan_model::{Against, Side, TieKind, junction_name, run_name};
use rule_sets::{Hardware, RuleSet};
use settings::Settings;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use wall_model::floor::{
    Arm, ArmAt, BEND, Floor, IN_LINE, Junction, JunctionId, JunctionKind, Run, RunId,
};

/// Far enough from a node for any plate that crosses there; 100 000 in keeps nanometre exactness in `f64`.
pub(crate) const FAR: Length = Length::inches(100_000);

/// Sine of the angle below which ends in line are cut square: a ten-thousandth of an inch over half a plate.
const STRAIGHT: f64 = 0.000_05;

/// The two top layers; the bottom one follows the lower.
pub(crate) const LOWER: usize = 0;
pub(crate) const UPPER: usize = 1;

/// A plate's end at a junction, in its run's frame.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PlateEnd {
    pub profile: Profile,
    pub against: Against,
}

/// A place where a layer of a run is interrupted.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Gap {
    /// End of the plate before it, start of the plate after it.
    pub before: PlateEnd,
    pub after: PlateEnd,
}

impl Gap {
    /// Least and greatest station.
    pub(crate) fn range(&self) -> (Length, Length) {
        (self.before.profile.least(), self.after.profile.greatest())
    }

    /// Whether another gap of the run is open where this one is, anywhere across: two that lean alike may stand beside each other though
    /// their stations overlap.
    pub(crate) fn shares(&self, other: &Gap) -> bool {
        let starts_before_end_of = |one: &Gap, other: &Gap, offset: Length| {
            let end = other.after.profile.at(offset).max();
            let start = one.before.profile.at(offset).min();
            start.zip(end).is_some_and(|(start, end)| start < end)
        };
        let profiles =
            [self, other].into_iter().flat_map(|g| [&g.before.profile, &g.after.profile]);
        let mut offsets = profiles.flat_map(|p| p.0.iter().map(|v| v.0));
        offsets
            .any(|o| starts_before_end_of(self, other, o) && starts_before_end_of(other, self, o))
    }
}

/// A notch in a run's upper plate.
#[derive(Clone, Debug, PartialEq)]
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
#[derive(Clone, Debug, Default, PartialEq)]
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
    pub known: &'a Known,
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
    for id in ids(&[End, L, X, Inline, Other, T]) {
        m.settle_one(id);
    }
    let tees = || ids(&[T]).filter(|id| corner::tee_corner(floor, floor.junction(*id)).is_none());
    // Tees last: whether a stem laps or notches depends on what else interrupts the through run.
    for id in tees() {
        m.tee_lower(id);
    }
    let kinds = tees::decide(by, &m.out.shapes, wanted);
    for id in tees() {
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
        let (from, to) = far_about(seen_from, r);
        strip(&seen_from.frame, &r.frame(), from, to, -h, h)
    }
    /// The plate of a run that passes, as far as it goes where it ends free: an arm at a flat angle may lie at it as far as that
    /// and go on beside its end. Beyond, the arm goes on to the line of its middle.
    fn up_to_free_ends(&self, seen_from: &ArmView, run: RunId, grow: Length) -> Vec<Shape> {
        let r = self.floor.run(run);
        let is_free = |id: JunctionId| self.floor.junction(id).kind == JunctionKind::End;
        let free = [r.start_junction, r.end_junction].map(is_free);
        if free == [false, false] {
            return vec![self.endless(seen_from, run, grow)];
        }
        let h = r.section.width().half() + grow;
        let (far_from, far_to) = far_about(seen_from, r);
        let from = if free[0] { -grow } else { far_from };
        let to = if free[1] { r.length() + grow } else { far_to };
        let see = |from, to, h: Length| strip(&seen_from.frame, &r.frame(), from, to, -h, h);
        vec![see(from, to, h), see(far_from, far_to, Length::ZERO)]
    }
    /// A run's plate that stops at the node.
    fn half_line(&self, seen_from: &ArmView, a: Arm, grow: Length) -> Shape {
        let r = self.floor.run(a.run);
        let h = r.section.width().half() + grow;
        let (from, to) = match a.at {
            ArmAt::Start => (Length::ZERO, FAR),
            ArmAt::End => (r.length() - FAR, r.length()),
            ArmAt::Through => far_about(seen_from, r),
        };
        strip(&seen_from.frame, &r.frame(), from, to, -h, h)
    }
    fn plates_of(
        &self,
        seen_from: &ArmView,
        j: &Junction,
        t: &Through,
        grow: Length,
    ) -> Vec<Shape> {
        match t {
            Through::One(run) => self.up_to_free_ends(seen_from, *run, grow),
            Through::Two(a, b) if self.leaning_on(j, *a) == Some(*b) => {
                self.up_to_half_angle(seen_from, j, [*a, *b], grow).to_vec()
            }
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
        // Two square ends in line that are not quite straight would lie in each other at one edge.
        let near_node = short >= Length::ZERO && short <= self.clearance(layer);
        let other = near_node.then(|| self.leaning_on(j, a)).flatten();
        let p = match other {
            Some(other) => self.halfway(j, a, other, short),
            None => {
                let v = self.arm(a, j);
                Profile::square(v.half(), short).turned(v.node_station, v.forward)
            }
        };
        self.set_end(a, layer, p, against);
    }
    /// The arm that goes on from this one in line, but not straight.
    fn leaning_on(&self, j: &Junction, a: Arm) -> Option<Arm> {
        let (ax, ay) = self.arm(a, j).frame.dir();
        let ends = j.arms.iter().filter(|b| b.run != a.run && b.at != ArmAt::Through);
        ends.copied().find(|b| {
            let (bx, by) = self.arm(*b, j).frame.dir();
            let sine = (ax * by - ay * bx).abs();
            ax * bx + ay * by < 0.0 && sine < IN_LINE && sine > STRAIGHT
        })
    }
    /// Interrupts a run that passes, for what `shapes` gives as seen from either of its arms.
    fn interrupt(
        &mut self,
        id: JunctionId,
        run: RunId,
        layer: usize,
        by: RunId,
        shapes: impl Fn(&Self, &ArmView) -> Vec<Shape>,
    ) {
        let j = self.floor.junction(id);
        let end = |forward: bool| {
            let v = self.view(run, ArmAt::Through, j, forward);
            let p = leaves(v.half(), &shapes(self, &v), None);
            PlateEnd { profile: p.turned(v.node_station, v.forward), against: Against::Run(by) }
        };
        let gap = Gap { before: end(false), after: end(true) };
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
            JunctionKind::Other => match bend::bend_and_stems(self.floor, j) {
                Some(bend) => self.bend_with_stems(id, &bend),
                None => self.other(id),
            },
            JunctionKind::T => {
                if let Some(corner) = corner::tee_corner(self.floor, j) {
                    self.corner_and_third(id, &corner);
                }
            }
        }
    }

    /// The order in which runs carry through: exterior first, then wide, then long, then by number.
    fn rank(&self, run: RunId) -> impl Ord + use<> {
        let r = self.floor.run(run);
        let exterior = self.floor.walls_of(run).any(|(_, w)| w.exterior);
        (!exterior, -r.section.width(), -r.length(), run)
    }
}

/// Stations of a run far to both sides of an arm's node.
fn far_about(seen_from: &ArmView, run: &Run) -> (Length, Length) {
    let node = seen_from.frame.at(Length::ZERO, Length::ZERO);
    let here = run.frame().locate(node).0;
    (here - FAR, here + FAR)
}

fn first_run(t: &Through) -> RunId {
    match t {
        Through::One(r) => *r,
        Through::Two(a, _) => a.run,
    }
}
