//! Runs end to end, and tops that differ where runs meet.

use super::*;
use crate::split::LEAST_PIECE;

/// Lines that run at an angle lie where they do to this.
const ROUNDING: Length = Length::from_nm(100);

impl Meet<'_> {
    /// Oblique walls at a change of width, or among three and more that meet at one place: small places
    /// there may stay bare.
    pub(super) fn tell_odd_steps(&mut self) {
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
            let oblique = || {
                j.arms.iter().any(|a| {
                    let d = self.floor.run(a.run).frame().dir();
                    let (along, across) = (d.0 * dir.0 + d.1 * dir.1, d.0 * dir.1 - d.1 * dir.0);
                    along.abs() > IN_LINE && across.abs() > IN_LINE
                })
            };
            if bend::bend_and_stems(self.floor, j).is_none() && oblique() {
                self.tell_odd_step(JunctionId(i as u32));
            }
        }
    }
    pub(super) fn tell_odd_step(&mut self, id: JunctionId) {
        let f = Finding::new(
            codes::OBLIQUE_MEETING,
            format!(
                "At {} an oblique wall meets a change of width or several walls at once; fit the plates there on site.",
                junction_name(id)
            ),
        );
        self.out.findings.push(f.at(self.floor.junction(id).at).about(junction_name(id)));
    }

    /// What the plates of a run meet at one that may be taller: its stud, where they lie below its plates.
    pub(super) fn step_against(&self, j: &Junction, low: RunId, tall: RunId) -> Against {
        let [l, t] = [low, tall].map(|r| self.floor.run(r));
        let over = self.floor.top_at(tall, j) - self.floor.top_at(low, j);
        // Plates on a slope meet plates until they lie below both of them.
        let raked = l.slope().is_some() || t.slope().is_some();
        let least = if raked { t.section.thickness() * 2 } else { Length::ZERO };
        if over > least { Against::Stud(tall) } else { Against::Run(tall) }
    }
    /// Whether the plates of a run go on at a junction where nothing laps and those of another stop: the
    /// taller one's, of two as high to a plate's thickness the level one's, then by rank.
    pub(super) fn is_over(&self, j: &Junction, run: RunId, other: RunId) -> bool {
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
    pub(super) fn tallest(&self, j: &Junction, t: &Through) -> RunId {
        match t {
            Through::One(r) => *r,
            Through::Two(a, b) if self.is_over(j, b.run, a.run) => b.run,
            Through::Two(a, _) => a.run,
        }
    }

    /// Two runs that meet end to end.
    pub(super) fn in_line(&mut self, id: JunctionId, a: Arm, b: Arm) {
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
        match self.room_to_run_on(id, narrow, wide) {
            Some(on) => {
                self.stop_at_node(id, narrow, UPPER, -on, Against::SameRun);
                let end = self.beyond(j, wide, narrow, on + c);
                self.set_end(wide, UPPER, end, Against::Run(narrow.run));
                let overlap = on + self.beyond_half_angle(j, narrow);
                self.lap(id, TieKind::Lap, narrow.run, vec![wide.run], overlap);
            }
            None => {
                self.stop_at_node(id, wide, UPPER, Length::ZERO, Against::Run(narrow.run));
                self.stop_at_node(id, narrow, UPPER, c, Against::Run(wide.run));
                self.splice(id, narrow.run, wide.run);
                self.out.findings.push(self.tell_spliced(id, [a.run, b.run], wide, narrow));
            }
        }
    }

    /// Why of two runs in line neither's upper plate runs on over the other.
    fn tell_spliced(&self, id: JunctionId, runs: [RunId; 2], wide: Arm, narrow: Arm) -> Finding {
        let [a, b] = runs.map(run_name);
        let [n, w] = [narrow, wide].map(|x| self.floor.run(x.run));
        let aside = w.frame().locate(n.start).1.abs();
        let shared = (n.section.width() + w.section.width()).half() - aside;
        let f = if shared + ROUNDING < n.section.width() {
            let [aside, shared] = [aside, shared].map(Length::feet_inches);
            Finding::new(
                codes::JOG_SPLICED,
                format!(
                    "{a} and {b} go on end to end, their centrelines {aside} apart: neither's upper plate can run on over the other. Both layers stop there, and a splice plate on the {shared} that their ends share ties them."
                ),
            )
        } else {
            Finding::new(
                codes::WIDTH_CHANGE_NO_ROOM,
                format!(
                    "{a} and {b} meet in line, and there is no room on {} to let the upper plate of {} run on by {}; a splice plate ties them.",
                    run_name(wide.run),
                    run_name(narrow.run),
                    self.offset.feet_inches()
                ),
            )
        };
        f.at(self.floor.junction(id).at).about(junction_name(id))
    }

    /// How much farther than from its own end a plate lies on one in line that leans a little: up to the line on which the
    /// lower plates end, at the middle of its width.
    fn beyond_half_angle(&self, j: &Junction, own: Arm) -> Length {
        let Some(other) = self.leaning_on(j, own) else { return Length::ZERO };
        let v = self.arm(own, j);
        let at_end = self.halfway(j, own, other, Length::ZERO).turned(v.node_station, v.forward);
        (at_end.least() + at_end.greatest()).half()
    }

    /// An arm's end that far from the node, square to another arm in line, which may lean a little.
    fn beyond(&self, j: &Junction, own: Arm, other: Arm, far: Length) -> Profile {
        let (v, w) = (self.arm(own, j), self.arm(other, j));
        let ((ax, ay), (bx, by)) = (v.frame.dir(), w.frame.dir());
        let (along, across) = (-(ax * bx + ay * by), ay * bx - ax * by);
        if across.abs() < STRAIGHT {
            return Profile::square(v.half(), far).turned(v.node_station, v.forward);
        }
        // Both from the node: the two lines may pass it a little to the side.
        let from = w.frame.locate(v.frame.at(Length::ZERO, Length::ZERO)).0;
        let at = |o: Length| (o, (far + from - o.scale(across)).scale(1.0 / along));
        Profile(vec![at(-v.half()), at(v.half())]).turned(v.node_station, v.forward)
    }

    /// How far a narrower upper plate may run on over a wider run from this end: the joint offset, or
    /// the next stud centre after it, clear of everything else on the run. Nothing where it would lie out over
    /// a face of the wider wall.
    pub(super) fn room_to_run_on(&self, id: JunctionId, narrow: Arm, wide: Arm) -> Option<Length> {
        let (n, r) = (self.floor.run(narrow.run), self.floor.run(wide.run));
        let sideways = r.frame().locate(n.start).1.abs();
        if sideways + n.section.width().half() > r.section.width().half() + ROUNDING {
            return None;
        }
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
        // From its other end another one may run on over it as well.
        let far = if wide.at == ArmAt::Start { r.end_junction } else { r.start_junction };
        let both = self.floor.junction(far).kind == JunctionKind::Inline;
        let most = if both { (length - LEAST_PIECE).half() } else { length };
        // In one piece, that lies on its own wall as well.
        let longest = self.settings.stock.longest_piece(n.section) - LEAST_PIECE;
        let fits = |on: Length| (on + keep <= free && on <= most && on <= longest).then_some(on);
        // Stud layout counts from the run's start; from its end only the bare offset is sure.
        let stud = (wide.at == ArmAt::Start).then_some(on_stud).and_then(fits);
        stud.or_else(|| fits(self.offset))
    }
}
