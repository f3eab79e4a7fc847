//! Two lines that cross.

use super::*;

impl Meet<'_> {
    pub(super) fn cross(&mut self, id: JunctionId, below: Option<RunId>) {
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
                let v = self.arm(over, j);
                let far = match below {
                    Through::One(run) => vec![self.endless(&v, *run, Length::ZERO)],
                    two => self.plates_of(&v, j, two, Length::ZERO),
                };
                self.carry(id, over, UPPER, &far);
                let near = self.plates_of(&self.arm(rest, j), j, below, c);
                self.butt(id, rest, UPPER, &near, Against::Run(over.run));
                self.strap(id, a.run, b.run);
                over.run
            }
        };
        match below {
            Through::One(run) => {
                self.interrupt(id, *run, UPPER, over, |m, v| vec![m.endless(v, over, c)]);
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
    pub(super) fn stays_whole(&mut self, id: JunctionId, t: &Through) {
        if let Through::Two(a, b) = t {
            self.in_line(id, *a, *b);
        }
    }

    /// Interrupts a line at the faces of others.
    pub(super) fn stop_at(
        &mut self,
        id: JunctionId,
        stops: &Through,
        at: &[&Through],
        layer: usize,
    ) {
        let j = self.floor.junction(id);
        let c = self.clearance(layer);
        let Some(by) = at.first().map(|t| first_run(t)) else { return };
        let plates = |m: &Self, v: &ArmView| -> Vec<Shape> {
            at.iter().flat_map(|t| m.plates_of(v, j, t, c)).collect()
        };
        match stops {
            Through::One(run) => {
                self.interrupt(id, *run, layer, by, plates);
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
}
