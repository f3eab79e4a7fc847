//! Nails of bottom plates into the floor.

use super::{EDGE, Job, Plate, ROOM, TOL};
use crate::layout::without;
use crate::measure::inches;
use crate::report::Fault;
use geom::Length;

/// A bottom plate is nailed down within this distance of its ends and of doors, studs allowing.
const FROM_END: i64 = Length::inches(8).nm();
/// No hammer comes to a nail nearer to a stud than this.
const CLEAR: i64 = Length::sixteenths(12).nm();
/// Places that are tried lie this far apart.
const STEP: usize = Length::sixteenths(8).nm() as usize;

impl Job<'_> {
    /// Nails in doors or under studs, and stretches that are not held down.
    pub(super) fn to_floor(&self, plate: &Plate) -> Vec<Fault> {
        let mut faults = Vec::new();
        let rule = &self.rules.nails.floor;
        let most = Length::from_inches(rule.max_spacing).unwrap_or_default().nm();
        let Plate { shape, width, nails: [_, nails], .. } = plate;
        let all: Vec<i64> = nails.iter().map(|(at, _)| *at).collect();
        let half = self.layout.half;
        for at in &all {
            let place = || format!("the floor nail at {} in on its run", inches(*at));
            if self.layout.in_a_door(*at) {
                faults.push((*at, format!("{} is in a door", place())));
            }
            if !self.layout.between(at - half, at + half).is_empty() {
                faults.push((*at, format!("{} is under a stud", place())));
            }
        }
        for [first, last] in without(shape.extent, &self.layout.doors) {
            let own = || all.iter().copied().filter(|at| *at >= first && *at <= last);
            let (a, b) = (first.max(width[0]), last.min(width[1]));
            let (first, last) = (own().next().unwrap_or(b), own().next_back().unwrap_or(a));
            let ends = [(a, first - EDGE, first - a), (last + EDGE, b, b - last)];
            let far = ends.iter().filter(|(_, _, away)| *away > FROM_END);
            let loose = far.clone().any(|(from, to, _)| self.has_room(*from, *to));
            let spread = own().zip(own().skip(1)).map(|(at, next)| next - at).max().unwrap_or(0);
            if b - a >= ROOM && (loose || spread > most + TOL) {
                let text = format!(
                    "from {} to {} in on its run it is not nailed to the floor every {} in and near its ends",
                    inches(a),
                    inches(b),
                    rule.max_spacing
                );
                faults.push((a, text));
            }
        }
        faults
    }

    /// Whether a nail finds a place there, clear of what stands on the plate.
    fn has_room(&self, from: i64, to: i64) -> bool {
        let clear = self.layout.half + CLEAR;
        let inset = Length::inches(3).nm();
        let mut places = (from + inset..=to - inset).step_by(STEP);
        places.any(|at| self.layout.between(at - clear, at + clear).is_empty())
    }
}
