//! Where anchor bolts may go through bottom plates on concrete: marks, as hints.
//!
//! Every stretch of plate that stays after doors are cut out is a plate of its own: bolts near
//! both ends, and no two farther apart than the rule says. Bolts keep clear of studs, so that nut and
//! washer fit beside them.

use crate::studs::Studs;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{Layer, Mark, MarkKind, Piece};
use rule_sets::Anchors;
use std::collections::BTreeMap;
use wall_model::floor::Run;

/// From a stud's face to a bolt's centre: half a washer of 2 in (common practice, no source).
const WASHER: Length = Length::inches(1);
/// Bolts are marked on whole half inches from the plate's start where that keeps clear of studs.
const STEP: Length = Length::sixteenths(8);

/// Marks bolts and counts them.
pub(crate) struct Bolts<'a> {
    rule: &'a Anchors,
    spacing: Length,
    end_most: Length,
    end_least: Length,
    none_up_to: Length,
    count: u64,
}

impl<'a> Bolts<'a> {
    pub(crate) fn by(rule: &'a Anchors) -> Bolts<'a> {
        let inches = |x: f64| Length::from_inches(x).unwrap_or_default();
        Bolts {
            rule,
            spacing: inches(rule.max_spacing),
            end_most: inches(rule.end_most),
            end_least: inches(rule.end_least),
            none_up_to: inches(rule.none_up_to),
            count: 0,
        }
    }

    /// Marks the bottom pieces of a run.
    pub(crate) fn mark(
        &mut self,
        pieces: &mut [Piece],
        studs: &Studs,
        run: &Run,
        findings: &mut Vec<Finding>,
    ) {
        for p in pieces.iter_mut().filter(|p| p.layer == Layer::Bottom) {
            for (from, to) in stretches(p.from, p.to, &studs.doors) {
                if to - from <= self.none_up_to {
                    continue;
                }
                let clear = |at: Length| {
                    let near = studs.half + WASHER;
                    studs.centres.iter().all(|s| (*s - at).abs() >= near)
                };
                match self.along(from, to, clear) {
                    Some(bolts) => {
                        self.count += bolts.len() as u64;
                        let mark = |at| Mark { at: at - p.from, kind: MarkKind::Anchor };
                        p.marks.extend(bolts.into_iter().map(mark));
                    }
                    None => {
                        let text = format!(
                            "The bottom plate {} has no place for its anchor bolts between {} and {}.",
                            p.mark,
                            (from - p.from).feet_inches(),
                            (to - p.from).feet_inches()
                        );
                        let at = run.frame().at((from + to).half(), Length::ZERO);
                        let f = Finding::new(codes::ANCHOR_NO_PLACE, text);
                        findings.push(f.at(at).about(p.mark.clone()));
                    }
                }
            }
            p.marks.sort_unstable();
        }
    }

    /// The fewest bolts of a plate, each as far on as the rule lets it: the first as far from the
    /// start as it may, the next ones at most the spacing on, until one is near enough to the end.
    fn along(
        &self,
        from: Length,
        to: Length,
        clear: impl Fn(Length) -> bool,
    ) -> Option<Vec<Length>> {
        let middle = (from + to).half();
        let last_from = (to - self.end_most).max(middle);
        // The farthest clear place from `most` back to `least`.
        let place = |least: Length, most: Length| {
            let mut at = from + (most - from).floor_to(STEP);
            while at >= least {
                if clear(at) {
                    return Some(at);
                }
                at -= STEP;
            }
            None
        };
        let first = place(from + self.end_least, (from + self.end_most).min(middle))?;
        let mut bolts = vec![first];
        let mut at = first;
        while at < last_from || bolts.len() < 2 {
            let most = (at + self.spacing).min(to - self.end_least);
            at = place(at + STEP, most)?;
            bolts.push(at);
        }
        Some(bolts)
    }

    /// Tells how many there are and puts them on the list of hardware.
    pub(crate) fn report(
        self,
        findings: &mut Vec<Finding>,
        hardware: &mut BTreeMap<(String, String), u64>,
    ) {
        if self.count == 0 {
            return;
        }
        let key = (self.rule.bolt.clone(), "bottom plate to concrete".to_owned());
        *hardware.entry(key).or_default() += self.count;
        findings.push(Finding::new(
            codes::ANCHORS_MARKED,
            format!(
                "The bottom plates of the lowest storey lie on concrete: treated lumber, {} anchor bolts marked as a hint; the foundation's drawing governs.",
                self.count
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
        let bolts = Bolts::by(&rules.anchors);
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

    #[test]
    fn doors_divide_a_plate() {
        let inch = Length::inches;
        let doors = [(inch(40), inch(76))];
        let parts = stretches(inch(0), inch(200), &doors);
        assert_eq!(parts, [(inch(0), inch(40)), (inch(76), inch(200))]);
        assert_eq!(stretches(inch(80), inch(200), &doors), [(inch(80), inch(200))]);
    }
}
