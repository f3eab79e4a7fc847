//! What ties the runs at a junction.

use super::*;

impl Meet<'_> {
    pub(super) fn lap(
        &mut self,
        junction: JunctionId,
        kind: TieKind,
        over: RunId,
        under: Vec<RunId>,
        overlap: Length,
    ) {
        if kind == TieKind::Lap {
            self.tell_long_lap(junction, over, &under);
        }
        let hardware = String::new();
        let t = TiePlan { junction, kind, over, under, overlap, hardware, count: 0, nails: None };
        self.out.ties.push(t);
    }
    /// Where a plate lies over another at such an angle that no board reaches across: it has to be in one piece there.
    fn tell_long_lap(&mut self, junction: JunctionId, over: RunId, under: &[RunId]) {
        let r = self.floor.run(over);
        let (ox, oy) = r.frame().dir();
        let longest = self.settings.stock.longest_piece(r.section);
        let across = |id: &RunId| {
            let u = self.floor.run(*id);
            let (ux, uy) = u.frame().dir();
            let (sine, cosine) = ((ox * uy - oy * ux).abs(), (ox * ux + oy * uy).abs());
            let along = || u.section.width() + r.section.width().scale(cosine);
            (sine > BEND).then(|| along().scale(1.0 / sine))
        };
        let Some(reach) = under.iter().filter_map(across).max() else { return };
        if reach > longest {
            let f = Finding::new(
                codes::PIECE_TOO_LONG,
                format!(
                    "At {} the upper plate of {} lies over the wall it meets for {}, in one piece; boards of {} or less do not reach.",
                    junction_name(junction),
                    run_name(over),
                    reach.feet_inches(),
                    longest.feet_inches()
                ),
            );
            self.out.findings.push(f.at(self.floor.junction(junction).at).about(run_name(over)));
        }
    }
    pub(super) fn strap(&mut self, junction: JunctionId, a: RunId, b: RunId) {
        self.metal(junction, a, b, &self.rules.corner_strap);
    }
    pub(super) fn splice(&mut self, junction: JunctionId, a: RunId, b: RunId) {
        self.metal(junction, a, b, &self.rules.splice_plate);
    }
    pub(super) fn metal(&mut self, junction: JunctionId, a: RunId, b: RunId, h: &Hardware) {
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
    pub(super) fn step_or_strap(&mut self, id: JunctionId, a: RunId, b: RunId) {
        let j = self.floor.junction(id);
        let raked = [a, b].iter().any(|r| self.floor.run(*r).slope().is_some());
        if !raked && self.floor.top_at(a, j) == self.floor.top_at(b, j) {
            self.strap(id, a, b);
        } else {
            let (tall, low) = if self.is_over(j, a, b) { (a, b) } else { (b, a) };
            self.step_tie(id, tall, low);
        }
    }
    pub(super) fn step_tie(&mut self, junction: JunctionId, tall: RunId, low: RunId) {
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
