//! Places where no standard lap is to be had.

use super::*;

impl Meet<'_> {
    /// Junctions with no standard lap: runs that pass stay whole; the rest stop, in rank order, at the
    /// faces of those before them. The outer corner, if the walls leave a side open, is settled like
    /// an L.
    pub(super) fn other(&mut self, id: JunctionId) {
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
                    shapes.extend(self.plates_of(&v, j, t, c));
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
    pub(super) fn open_side(&self, j: &Junction, arms: &[Arm]) -> Option<(Arm, Arm)> {
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
}
