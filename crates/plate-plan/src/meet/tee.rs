//! A stem that meets a line: over it, into a notch, or strapped.

use super::*;

impl Meet<'_> {
    pub(super) fn tee_lower(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        let lines = lines_at(self.floor, j);
        let ([t], [stem]) = (&lines.through[..], &lines.single[..]) else { return };
        if let Through::Two(a, b) = t {
            for (x, y) in [(a, b), (b, a)] {
                self.stop_at_node(id, *x, LOWER, Length::ZERO, Against::Run(y.run));
            }
        }
        let s = self.plates_of(&self.arm(*stem, j), j, t, Length::ZERO);
        let first = first_run(t);
        let against = self.step_against(j, stem.run, first);
        self.butt(id, *stem, LOWER, &s, against);
    }

    pub(super) fn tee_upper(&mut self, id: JunctionId, kind: Option<TeeKind>) {
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
                    let far = self.plates_of(&self.arm(stem, j), j, t, Length::ZERO);
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
                let s = self.plates_of(&self.arm(stem, j), j, t, c);
                self.butt(id, stem, UPPER, &s, self.step_against(j, stem.run, first));
                for r in [a.run, b.run] {
                    self.step_or_strap(id, stem.run, r);
                }
            }
            Through::One(run) => {
                let run = *run;
                if !self.floor.laps_at(j) {
                    let s = self.plates_of(&self.arm(stem, j), j, t, c);
                    self.butt(id, stem, UPPER, &s, self.step_against(j, stem.run, run));
                    self.step_or_strap(id, run, stem.run);
                    return;
                }
                match kind.unwrap_or(TeeKind::Strap) {
                    TeeKind::Lap => {
                        let far = self.endless(&self.arm(stem, j), run, Length::ZERO);
                        self.carry(id, stem, UPPER, &[far]);
                        let over = stem.run;
                        self.interrupt(id, run, UPPER, over, |m, v| vec![m.endless(v, over, c)]);
                        let overlap = self.floor.run(run).section.width();
                        self.lap(id, TieKind::Lap, stem.run, vec![run], overlap);
                    }
                    TeeKind::Notch => self.notch(id, run, stem),
                    TeeKind::Strap => {
                        let s = self.plates_of(&self.arm(stem, j), j, t, c);
                        self.butt(id, stem, UPPER, &s, Against::Run(run));
                        self.strap(id, run, stem.run);
                    }
                }
            }
        }
    }

    pub(super) fn notch(&mut self, id: JunctionId, run: RunId, stem: Arm) {
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
        let (from, to) = far_about(&v, r);
        let what_is_left = strip(&v.frame, &r.frame(), from, to, right, left);
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
