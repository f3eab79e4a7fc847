//! Two runs that end at one place: a corner, or a bend too flat to lap.

use super::*;

impl Meet<'_> {
    pub(super) fn corner(&mut self, id: JunctionId) {
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
    pub(super) fn bend(&mut self, id: JunctionId, a: Arm, b: Arm) {
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
    pub(super) fn halfway(&self, j: &Junction, own: Arm, other: Arm, short: Length) -> Profile {
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

    pub(super) fn corner_layer(
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
}

/// Whether two runs make a corner too flat to lap.
pub(crate) fn is_bend(j: &Junction) -> bool {
    j.kind == JunctionKind::L && j.angle_deg > 90.0 && j.angle_deg.to_radians().sin() < BEND
}
