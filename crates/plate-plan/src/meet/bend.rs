//! Two runs nearly in line, by themselves or with others that end at them.

use super::*;
use crate::profile::ROUNDING;
use crate::studs::angle;

/// Whether two runs make a corner too flat to lap.
pub(crate) fn is_bend(j: &Junction) -> bool {
    j.kind == JunctionKind::L && j.angle_deg > 90.0 && j.angle_deg.to_radians().sin() < BEND
}

/// What the ends of two that go on beside each other's lines share at least to be cut as one bend: room for a splice plate.
const SHARED: Length = Length::sixteenths(24);

/// Two runs nearly in line, and others that end at them.
pub(super) struct BendAndStems {
    pub pair: [Arm; 2],
    pub stems: Vec<Arm>,
    /// Degrees off straight.
    pub off: f64,
}

/// Of three runs and more that all end at a place the two that make a bend, the straightest if there are several. Cut to each
/// other's faces they would run to points many times their width long.
pub(super) fn bend_and_stems(floor: &Floor, j: &Junction) -> Option<BendAndStems> {
    let all_end = j.arms.iter().all(|a| a.at != ArmAt::Through);
    if j.kind != JunctionKind::Other || !all_end || j.arms.len() < 3 {
        return None;
    }
    let mut best: Option<(f64, [Arm; 2])> = None;
    for (i, a) in j.arms.iter().enumerate() {
        for b in &j.arms[i + 1..] {
            let (cosine, turn) = angle(floor, a.run, b.run, j);
            if cosine < 0.0 && turn < best.map_or(BEND, |(least, _)| least) {
                best = Some((turn, [*a, *b]));
            }
        }
    }
    let (turn, pair) = best.filter(|(turn, _)| *turn >= IN_LINE)?;
    (shared(floor, j, pair) >= SHARED).then(|| BendAndStems {
        pair,
        stems: j.arms.iter().copied().filter(|a| !pair.contains(a)).collect(),
        off: turn.asin().to_degrees(),
    })
}

/// How much of their width two that go on from each other have in common at a place that either's line may pass aside.
fn shared(floor: &Floor, j: &Junction, pair: [Arm; 2]) -> Length {
    // To the left of the place, seen along the first.
    let aside = |a: Arm| {
        let o = -floor.run(a.run).frame().locate(j.at).1;
        if a.at == ArmAt::End { -o } else { o }
    };
    let [one, other] = pair.map(|a| floor.run(a.run).section.width());
    (one + other).half() - (aside(pair[0]) + aside(pair[1])).abs()
}

impl Meet<'_> {
    /// Two runs nearly in line: a lap would run to a long point, so both stop on the line that halves
    /// the angle.
    pub(super) fn bend(&mut self, id: JunctionId, a: Arm, b: Arm) {
        let j = self.floor.junction(id);
        for layer in [LOWER, UPPER] {
            self.cut_on_half_angle(j, layer, [a, b]);
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

    fn cut_on_half_angle(&mut self, j: &Junction, layer: usize, [a, b]: [Arm; 2]) {
        for (x, other) in [(a, b), (b, a)] {
            let p = self.halfway(j, x, other, self.clearance(layer).half());
            self.set_end(x, layer, p, self.step_against(j, other.run, x.run));
        }
    }

    /// An arm's end on the line through the node that halves the angle to another arm, or `short` of it.
    pub(super) fn halfway(&self, j: &Junction, own: Arm, other: Arm, short: Length) -> Profile {
        let v = self.arm(own, j);
        self.halfway_seen(j, own, other, short).turned(v.node_station, v.forward)
    }

    /// The same in the arm's own frame.
    fn halfway_seen(&self, j: &Junction, own: Arm, other: Arm, short: Length) -> Profile {
        let (v, w) = (self.arm(own, j), self.arm(other, j));
        let ((ax, ay), (bx, by)) = (v.frame.dir(), w.frame.dir());
        // The line's own direction is square to the difference of the two, in this arm's frame.
        let (nx, ny) = (ax - bx, ay - by);
        let square = ax * nx + ay * ny;
        let lean = (ax * ny - ay * nx) / square;
        let short = short.scale(nx.hypot(ny) / square);
        let (station, offset) = v.frame.locate(j.at);
        let at = |o: Length| (o, station + short - (o - offset).scale(lean));
        Profile(vec![at(-v.half()), at(v.half())])
    }

    /// The two of a bend as without the others, which stop at their faces in both layers, and at the faces of those before
    /// them on the same side.
    pub(super) fn bend_with_stems(&mut self, id: JunctionId, bend: &BendAndStems) {
        let j = self.floor.junction(id);
        let BendAndStems { pair: [a, b], off, .. } = *bend;
        let laps = self.floor.laps_at(j);
        let mut stems = bend.stems.clone();
        let height = |r: RunId| Reverse(if laps { Length::ZERO } else { self.floor.top_at(r, j) });
        stems.sort_by_key(|s| (height(s.run), self.rank(s.run)));
        // By itself one may have the wider of the two cut back for it; several are fitted on site.
        let step = match stems[..] {
            [stem] => self.step_between(&self.arm(stem, j), j, [a, b]),
            _ => None,
        };
        if stems.len() > 1 || step.as_ref().is_some_and(Step::shuts_off) {
            self.tell_odd_step(id);
        }
        for layer in [LOWER, UPPER] {
            self.cut_on_half_angle(j, layer, [a, b]);
            let keep = self.clearance(layer);
            for (k, stem) in stems.iter().enumerate() {
                let v = self.arm(*stem, j);
                let mut two = self.up_to_half_angle(&v, j, [a, b], keep);
                let lean = step.as_ref().and_then(|s| s.leans_over(keep));
                let cut_back = lean.map(|lean| {
                    lean.cut_back(&mut two, keep);
                    let (own, other) = if lean.wide == 0 { (a, b) } else { (b, a) };
                    let p = self.beside(&v, j, [own, other], &lean, keep.half());
                    (own, p, self.step_against(j, other.run, own.run))
                });
                let before = stems[..k].iter().filter(|s| self.same_side(j, [a, b], **s, *stem));
                let before = before.map(|s| self.endless(&v, s.run, keep));
                let shapes: Vec<Shape> = two.into_iter().chain(before).collect();
                if let Some((own, p, against)) = cut_back {
                    self.set_end(own, layer, p, against);
                }
                self.butt(id, *stem, layer, &shapes, self.step_against(j, stem.run, a.run));
            }
        }
        // A slanting stem lies at the one it leans to.
        let nearer = |stem: Arm| {
            let [to_a, to_b] = [a, b].map(|x| angle(self.floor, x.run, stem.run, j).0);
            if to_b > to_a + 1e-9 { b } else { a }
        };
        let tied: Vec<(RunId, RunId)> = stems.iter().map(|s| (nearer(*s).run, s.run)).collect();
        if !laps {
            self.step_or_strap(id, a.run, b.run);
            tied.into_iter().for_each(|(to, stem)| self.step_or_strap(id, to, stem));
            return;
        }
        self.splice(id, a.run, b.run);
        tied.into_iter().for_each(|(to, stem)| self.strap(id, to, stem));
        let [name, other] = [a, b].map(|x| run_name(x.run));
        let (stop, three) = match &stems[..] {
            [stem] => (format!("{} stops", run_name(stem.run)), "the three"),
            _ => {
                let names: Vec<String> = stems.iter().map(|s| run_name(s.run)).collect();
                (format!("{} stop", listed(&names)), "them all")
            }
        };
        let f = Finding::new(
            codes::BEND_SPLICED,
            format!(
                "{name} and {other} meet {off:.1} degrees off straight: too flat for a lap. Both layers are cut on the half angle, {stop} at their faces, and plates tie {three}."
            ),
        );
        self.out.findings.push(f.at(j.at).about(junction_name(id)));
    }

    /// Whether two arms lie on the same side of a bend.
    fn same_side(&self, j: &Junction, [a, b]: [Arm; 2], one: Arm, other: Arm) -> bool {
        let [(ax, ay), (bx, by), p, q] = [a, b, one, other].map(|x| self.arm(x, j).frame.dir());
        let side = |d: (f64, f64)| (ax - bx) * d.1 - (ay - by) * d.0 > 0.0;
        side(p) == side(q)
    }

    /// The step between two that are cut on the half angle, as a third arm sees it: they are of two widths or lie aside of
    /// each other.
    fn step_between(&self, v: &ArmView, j: &Junction, pair: [Arm; 2]) -> Option<Step> {
        let shapes = self.up_to_half_angle(v, j, pair, Length::ZERO);
        let corner = |k: usize| shapes[k][faces(&shapes[k])];
        let wide = usize::from(corner(1).0 > corner(0).0);
        let side = away(&shapes[wide]).1.signum();
        let [outer, inner] = [wide, 1 - wide].map(|k| corner(k).1 * side);
        let is_step = (corner(1).0 - corner(0).0).abs() > ROUNDING;
        is_step.then(|| Step { wide, side, outer, inner, half: v.half().nm() as f64 })
    }

    /// The end of the wider one of two: on the half angle, and where it would lean over along the third arm.
    fn beside(
        &self,
        third: &ArmView,
        j: &Junction,
        [own, other]: [Arm; 2],
        lean: &LeansOver,
        short: Length,
    ) -> Profile {
        let v = self.arm(own, j);
        let mut p = self.halfway_seen(j, own, other, short);
        let offset = Length::from_nm((lean.cut * lean.side).round() as i64);
        let (s, o) = v.frame.locate(third.frame.at(Length::ZERO, offset));
        let ((ax, ay), (bx, by)) = (v.frame.dir(), third.frame.dir());
        let (along, across) = (ax * bx + ay * by, ax * by - ay * bx);
        // Along the third arm, a station for an offset.
        let on_cut = |at: Length| s + (at - o).scale(along / across);
        let left = across > 0.0;
        let (right_end, left_end) = (p.0[0], p.0[1]);
        let share = (left_end.1 - right_end.1).nm() as f64 / (left_end.0 - right_end.0).nm() as f64;
        let on_half_angle = |at: Length| right_end.1 + (at - right_end.0).scale(share);
        let apart = (on_half_angle(o) - s).scale(1.0 / (along / across - share));
        let corner = (o + apart, on_half_angle(o + apart));
        if corner.0.abs() >= v.half() {
            return p.turned(v.node_station, v.forward);
        }
        let edge = if left { v.half() } else { -v.half() };
        p.0[usize::from(left)] = (edge, on_cut(edge));
        p.0.insert(1, corner);
        p.turned(v.node_station, v.forward)
    }

    /// The plates of both runs of a bend, each up to the line that halves the angle, as another arm sees them. The wider of
    /// two widths has a step there.
    pub(super) fn up_to_half_angle(
        &self,
        v: &ArmView,
        j: &Junction,
        pair: [Arm; 2],
        grow: Length,
    ) -> [Shape; 2] {
        let see = |p: Point| {
            let (station, offset) = v.frame.locate(p);
            (station.nm() as f64, offset.nm() as f64)
        };
        let (fx, fy) = v.frame.dir();
        let turned = |(x, y): (f64, f64)| (x * fx + y * fy, y * fx - x * fy);
        let dirs = pair.map(|x| turned(self.arm(x, j).frame.dir()));
        // Square to the line is what the two directions are apart.
        let normal = (dirs[0].0 - dirs[1].0, dirs[0].1 - dirs[1].1);
        let height = |(x, y): (f64, f64)| x * normal.0 + y * normal.1;
        let node = height(see(j.at));
        let far = FAR.nm() as f64;
        [0, 1].map(|k| {
            let r = self.floor.run(pair[k].run);
            let half = (r.section.width().half() + grow).nm() as f64;
            let end = see(if pair[k].at == ArmAt::End { r.end } else { r.start });
            let d = dirs[k];
            let face = |half: f64| {
                let at = (end.0 - d.1 * half, end.1 + d.0 * half);
                let along = (node - height(at)) / height(d);
                let on = |along: f64| (at.0 + d.0 * along, at.1 + d.1 * along);
                (on(along), on(far))
            };
            let ((right, right_far), (left, left_far)) = (face(-half), face(half));
            vec![right, right_far, left_far, left]
        })
    }
}

/// The step between the two of a bend, seen by a third arm; offsets in nanometres, counted to the side of the one that stands
/// out farther towards it.
struct Step {
    /// Which of the two that is: the wider, if neither lies aside.
    wide: usize,
    /// On which side of the third arm it lies: 1 to the left.
    side: f64,
    /// Where the corner of its end is, and the other's.
    outer: f64,
    inner: f64,
    /// Half the third arm's width.
    half: f64,
}

impl Step {
    /// Whether and where the one that stands out would lean over the other's face, in the way of the third arm, whose plate
    /// keeps so much from theirs.
    fn leans_over(&self, keep: Length) -> Option<LeansOver> {
        let Step { wide, side, outer, inner, half } = *self;
        let cut = inner.min(half + keep.nm() as f64);
        let over = outer + ROUNDING < cut && outer >= -half && inner > -half;
        over.then_some(LeansOver { wide, side, cut })
    }

    /// Whether it leans out beyond the third's other edge: what lies below that is shut off from the third, as what lies beyond
    /// its edge is the other's.
    fn shuts_off(&self) -> bool {
        self.outer < -self.half && self.inner > (-self.half).max(self.outer + ROUNDING)
    }
}

/// Where the end of a plate that stands out would lean over another's face it is cut along the third arm instead: what lies
/// under there no straight plate reaches.
struct LeansOver {
    /// Which of the two stands out: the wider, if neither lies aside.
    wide: usize,
    /// On which side of the third arm it lies: 1 to the left.
    side: f64,
    /// How far to that side of the third arm's line it is cut, nm.
    cut: f64,
}

impl LeansOver {
    /// The plates of both, as the third arm sees them, less what the wider one is cut back.
    fn cut_back(&self, shapes: &mut [Shape; 2], keep: Length) {
        let cut = self.cut - keep.nm() as f64;
        let to_cut = |from: (f64, f64), dir: (f64, f64)| {
            let share = (cut * self.side - from.1) / dir.1;
            (from.0 + dir.0 * share, from.1 + dir.1 * share)
        };
        let narrow = &mut shapes[1 - self.wide];
        let (dir, k) = (away(narrow), faces(narrow));
        if narrow[k].1 * self.side < cut {
            narrow[k] = to_cut(narrow[k], dir);
        }
        let wide = &mut shapes[self.wide];
        let (dir, k) = (away(wide), faces(wide));
        let (corner, other) = (wide[k], wide[3 - k]);
        if corner.1 * self.side >= cut {
            return;
        }
        let on_face = to_cut(corner, dir);
        let on_half_angle = to_cut(corner, (other.0 - corner.0, other.1 - corner.1));
        let both = if k == 0 { [on_half_angle, on_face] } else { [on_face, on_half_angle] };
        wide.splice(k..=k, both);
    }
}

/// The way a plate of two leads from the place, as a third arm sees it.
fn away(shape: &Shape) -> (f64, f64) {
    (shape[1].0 - shape[0].0, shape[1].1 - shape[0].1)
}

/// Which corner of its end such a plate has on that arm's side: the left one, if it leads to the right.
fn faces(shape: &Shape) -> usize {
    if away(shape).1 < 0.0 { 3 } else { 0 }
}

/// Names in words.
fn listed(names: &[String]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => names.concat(),
    }
}
