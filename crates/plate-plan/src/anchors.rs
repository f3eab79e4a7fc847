//! Where anchor bolts may go through bottom plates on concrete: marks, as hints.
//!
//! Every stretch of plate that stays after doors are cut out is a plate of its own: bolts near
//! both ends, and no two farther apart than the rule says. Bolts keep clear of studs, so that nut and
//! washer fit beside them. Interior walls get none (IRC R403.1.6 asks for them in exterior walls' plates and those of interior
//! braced panels, which the program does not know).

use crate::cut::Job;
use crate::studs::Studs;
use diag::words::counted;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{Layer, Mark, MarkKind, Piece, run_name};
use rule_sets::Anchors;
use std::collections::BTreeMap;

/// From a stud's face to a bolt's centre: half a washer of 2 in (common practice, no source).
const WASHER: Length = Length::inches(1);
/// Between two bolts: a washer's width, four diameters of a 1/2 in bolt (as bolts in a row are spaced by the NDS, from memory).
const APART: Length = Length::inches(2);
/// Bolts are marked on whole half inches from the plate's start where that keeps clear of studs.
const STEP: Length = Length::sixteenths(8);

/// Where a rule has bolts.
struct Places {
    spacing: Length,
    end_most: Length,
    end_least: Length,
    none_up_to: Length,
}

impl Places {
    fn by(rule: &Anchors) -> Places {
        let inches = |x: f64| Length::from_inches(x).unwrap_or_default();
        Places {
            spacing: inches(rule.max_spacing),
            end_most: inches(rule.end_most),
            end_least: inches(rule.end_least),
            none_up_to: inches(rule.none_up_to),
        }
    }

    /// The stretches of a bottom plate that are to have bolts.
    fn bolted(&self, piece: &Piece, studs: &Studs) -> Vec<(Length, Length)> {
        let mut out = stretches(piece.from, piece.to, &studs.doors);
        out.retain(|(from, to)| *to - *from > self.none_up_to);
        out
    }

    /// The fewest bolts of a plate, one on either side of its middle at least: two on one side, however near to the other end, leave
    /// that end loose.
    fn along(
        &self,
        from: Length,
        to: Length,
        clear: impl Fn(Length) -> bool,
    ) -> Option<Vec<Length>> {
        let middle = (from + to).half();
        let (first_most, last_least) =
            ((from + self.end_most).min(middle), (to - self.end_most).max(middle));
        // The clear places from `most` back to `least`.
        let places = |least: Length, most: Length| {
            let last = from + (most - from).floor_to(STEP);
            let all = std::iter::successors(Some(last), |at| Some(*at - STEP));
            all.take_while(move |at| *at >= least).filter(|at| clear(*at))
        };
        // Each as far on as the rule lets it: the next ones at most the spacing on, until one is near enough to the end.
        let onward = |first: Length| {
            let mut bolts = vec![first];
            let mut at = first;
            while at < last_least || bolts.len() < 2 {
                let most = (at + self.spacing).min(to - self.end_least);
                at = places(at + APART, most).next()?;
                bolts.push(at);
            }
            Some(bolts)
        };
        places(from + self.end_least, first_most).find_map(onward)
    }
}

/// Marks bolts and counts them.
pub(crate) struct Bolts<'a> {
    rule: &'a Anchors,
    places: Places,
    bolts: u64,
    /// Runs without bolts that would have some were they exterior, and their bottom plates.
    runs_without: usize,
    plates_without: usize,
}

impl<'a> Bolts<'a> {
    pub(crate) fn by(rule: &'a Anchors) -> Bolts<'a> {
        let places = Places::by(rule);
        Bolts { rule, places, bolts: 0, runs_without: 0, plates_without: 0 }
    }

    /// Marks the bolts of a run's bottom plates, which lie on concrete: those of exterior walls. Interior ones are held by
    /// other fasteners; where no wall of the storey is known to be exterior, all are marked.
    pub(crate) fn mark(&mut self, job: &Job, pieces: &mut [Piece], findings: &mut Vec<Finding>) {
        let Job { floor, run, studs, .. } = *job;
        let storey = floor.run(run).storey;
        let mut here = floor.walls.iter().filter(|w| w.storey == storey);
        let is_other = !floor.walls_of(run).any(|(_, w)| w.exterior) && here.any(|w| w.exterior);
        let (mut bolts, mut plates) = (0, 0);
        for p in pieces.iter_mut().filter(|p| p.layer == Layer::Bottom) {
            let bolted = self.places.bolted(p, studs);
            plates += usize::from(!bolted.is_empty());
            if !is_other {
                bolts += self.mark_plate(job, p, &bolted, findings);
            }
        }
        self.bolts += bolts;
        if bolts == 0 && plates > 0 {
            self.runs_without += 1;
            self.plates_without += plates;
        }
    }

    /// Marks the bolts of one plate; how many.
    fn mark_plate(
        &self,
        job: &Job,
        piece: &mut Piece,
        bolted: &[(Length, Length)],
        findings: &mut Vec<Finding>,
    ) -> u64 {
        let Job { floor, run, studs, .. } = *job;
        let near = studs.half + WASHER;
        let clear = |at: Length| studs.centres.iter().all(|s| (*s - at).abs() >= near);
        let mut count = 0;
        for (from, to) in bolted.iter().copied() {
            match self.places.along(from, to, clear) {
                Some(bolts) => {
                    count += bolts.len() as u64;
                    let start = piece.from;
                    let mark = |at| Mark { at: at - start, kind: MarkKind::Anchor };
                    piece.marks.extend(bolts.into_iter().map(mark));
                }
                None => {
                    let text = format!(
                        "The bottom plate of {} has no place for its anchor bolts between {} and {} from its start.",
                        run_name(run),
                        (from - studs.ends[0]).feet_inches(),
                        (to - studs.ends[0]).feet_inches()
                    );
                    let at = floor.run(run).frame().at((from + to).half(), Length::ZERO);
                    let f = Finding::new(codes::ANCHOR_NO_PLACE, text);
                    findings.push(f.at(at).about(run_name(run)));
                }
            }
        }
        piece.marks.sort_unstable();
        count
    }

    /// Tells how many there are and puts them on the list of hardware.
    pub(crate) fn report(
        self,
        findings: &mut Vec<Finding>,
        hardware: &mut BTreeMap<(String, String), u64>,
    ) {
        if self.bolts == 0 {
            return;
        }
        let key = (self.rule.bolt.clone(), "bottom plate to concrete".to_owned());
        *hardware.entry(key).or_default() += self.bolts;
        let without = if self.runs_without == 0 {
            String::new()
        } else {
            format!(
                " {} of {} {} none: those of interior walls are fastened as that drawing or the local code says (powder-driven pins or other approved fasteners are common practice).",
                counted(self.plates_without, "bottom plate"),
                counted(self.runs_without, "other wall"),
                if self.plates_without == 1 { "has" } else { "have" }
            )
        };
        findings.push(Finding::new(
            codes::ANCHORS_MARKED,
            format!(
                "The bottom plates of the lowest storey lie on concrete: treated lumber, {} anchor bolts marked as a hint; the foundation's drawing governs.{without}",
                self.bolts
            ),
        ));
    }
}

/// A plate without its door openings.
fn stretches(from: Length, to: Length, doors: &[(Length, Length)]) -> Vec<(Length, Length)> {
    let mut out = Vec::new();
    let mut at = from;
    for (a, b) in doors.iter().filter(|(a, b)| *b > from && *a < to) {
        out.push((at, *a));
        at = *b;
    }
    out.push((at, to));
    out.retain(|(a, b)| b > a);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use rule_sets::RuleSet;

    fn counted(length: i64) -> usize {
        let rules = RuleSet::named("irc-2021").unwrap();
        let bolts = Places::by(&rules.anchors);
        let bolts = bolts.along(Length::ZERO, Length::inches(length), |_| true).unwrap();
        let least = Length::sixteenths(56);
        assert!(bolts[0] >= least && bolts[0] <= Length::inches(12));
        let last = Length::inches(length) - bolts[bolts.len() - 1];
        assert!(last >= least && last <= Length::inches(12), "{length}: {last:?}");
        assert!(bolts.windows(2).all(|b| b[1] > b[0] && b[1] - b[0] <= Length::inches(72)));
        bolts.len()
    }

    /// FACTS T22: bolts for plates of 96, 97, 168, 169 and 240 in are 2, 3, 3, 4 and 4 (IRC R403.1.6:
    /// at most 6 ft apart, within 12 in of each end, at least two).
    #[test]
    fn bolts_of_a_plate() {
        assert_eq!([96, 97, 168, 169, 240].map(counted), [2, 3, 3, 4, 4]);
        assert_eq!([13, 20, 24, 30].map(counted), [2; 4]);
    }

    /// A plate of 14 in with one clear place near its start, 3-1/2 to 4 in, and one from 6 in on: the bolt farthest on of the first
    /// place leaves room for a second in the other half, 2 in on at least. Where all that is clear is in one half there is no place.
    #[test]
    fn bolts_of_a_short_plate_among_studs() {
        let rules = RuleSet::named("irc-2021").unwrap();
        let bolts = Places::by(&rules.anchors);
        let inch = Length::inches;
        let along = |clear: &dyn Fn(Length) -> bool| {
            let found = bolts.along(inch(0), inch(14), clear)?;
            Some(found.into_iter().map(|at| at.to_inches()).collect::<Vec<_>>())
        };
        assert_eq!(along(&|at| at <= inch(4) || at >= inch(6)), Some(vec![7.0, 10.5]));
        assert_eq!(along(&|at| at <= inch(4) || at >= inch(9)), Some(vec![4.0, 10.5]));
        assert_eq!(along(&|at| at <= inch(8)), Some(vec![6.0, 8.0]));
        assert_eq!(along(&|at| at < inch(7)), None);
        assert_eq!(along(&|at| at > inch(7)), None);
        assert_eq!(along(&|at| at > inch(6) && at < inch(8)), None);
    }

    #[test]
    fn doors_divide_a_plate() {
        let inch = Length::inches;
        let doors = [(inch(40), inch(76))];
        let parts = stretches(inch(0), inch(200), &doors);
        assert_eq!(parts, [(inch(0), inch(40)), (inch(76), inch(200))]);
        assert_eq!(stretches(inch(80), inch(200), &doors), [(inch(80), inch(200))]);
    }
}
