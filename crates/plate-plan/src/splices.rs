//! Joints that cannot keep their distance get a splice plate; joints over openings are told.

use crate::studs::Studs;
use crate::under;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{Joint, JointKind, Layer, Piece, PieceId, Tie, TieKind, run_name};
use rule_sets::RuleSet;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, JunctionId, RunId};

/// The joints of one run, with what they are judged by.
pub(crate) struct Joints<'a> {
    pub floor: &'a Floor,
    pub run: RunId,
    pub studs: &'a Studs,
    pub joints: &'a [Joint],
    /// Least distance between joints of the two top layers.
    pub offset: Length,
}

impl Joints<'_> {
    /// Findings for joints too near each other or over openings, and the splice plates that answer
    /// the first. `first` is the number of the run's first piece in the plan.
    pub(crate) fn report(
        &self,
        pieces: &[Piece],
        first: usize,
        rules: &RuleSet,
        findings: &mut Vec<Finding>,
        hardware: &mut BTreeMap<(String, String), u64>,
    ) -> Vec<Tie> {
        let frame = self.floor.run(self.run).frame();
        let name = run_name(self.run);
        let mut ties = Vec::new();
        let no_bearing = under::no_bearing(self.studs);
        let lower = |j: &&Joint| j.kind != JointKind::End && j.layer == Layer::Lower;
        for j in self.joints.iter().filter(lower) {
            let place = frame.at(j.at, Length::ZERO);
            // As the crew's tape reads.
            let at = (j.at - self.studs.ends[0]).feet_inches();
            let from_start = format!("{at} from its plates' start");
            if let Some(short) = j.offset.filter(|o| *o < self.offset) {
                let tied = (self.nearest_junction(j.at), beside(pieces, first, j));
                let (tie, text) = splice_plate(rules, tied, hardware);
                let f = Finding::new(
                    codes::JOINT_OFFSET_SHORT,
                    format!(
                        "The lower joint of {name}, {from_start}, is {} from a joint of the upper plate, less than {}; a splice plate ties it ({text}).",
                        short.feet_inches(),
                        self.offset.feet_inches(),
                    ),
                );
                findings.push(f.at(place).about(name.clone()));
                ties.push(tie);
            }
            let over = no_bearing.iter().any(|(a, b)| j.at > *a && j.at < *b);
            if over && j.kind == JointKind::Break && j.half_gap == Length::ZERO {
                let f = Finding::new(
                    codes::JOINT_OVER_OPENING,
                    format!(
                        "The lower joint of {name}, {from_start}, lies over an opening; no stud that reaches up to it stands under both ends."
                    ),
                );
                findings.push(f.at(place).about(name.clone()));
            }
        }
        ties
    }

    fn nearest_junction(&self, at: Length) -> JunctionId {
        let r = self.floor.run(self.run);
        let ends = [(Length::ZERO, r.start_junction), (r.length(), r.end_junction)];
        let all = r.through.iter().copied().chain(ends);
        all.min_by_key(|(s, j)| ((*s - at).abs(), *j)).map_or(r.start_junction, |(_, j)| j)
    }
}

/// A splice plate that joins these pieces, put on the list of hardware; and what it is, for a message.
pub(crate) fn splice_plate(
    rules: &RuleSet,
    (junction, pieces): (JunctionId, Vec<PieceId>),
    hardware: &mut BTreeMap<(String, String), u64>,
) -> (Tie, String) {
    let plate = &rules.splice_plate;
    for (what, n) in [(&plate.hardware, 1), (&plate.nail, plate.nails)] {
        let key = (what.clone(), "splice plates".to_owned());
        *hardware.entry(key).or_default() += u64::from(n);
    }
    let text = format!("{}; {} nails {}", plate.hardware, plate.nails, plate.nail);
    let (kind, overlap) = (TieKind::Strap, Length::ZERO);
    (Tie { junction, kind, pieces, overlap, hardware: format!("1 x {text}") }, text)
}

/// The lower pieces on the two sides of a joint.
fn beside(pieces: &[Piece], first: usize, j: &Joint) -> Vec<PieceId> {
    let lower = || pieces.iter().enumerate().filter(|(_, p)| p.layer == Layer::Lower);
    let before = lower().filter(|(_, p)| p.from < j.at).max_by_key(|(_, p)| p.from);
    let after = lower().filter(|(_, p)| p.to > j.at).min_by_key(|(_, p)| p.to);
    let id = |(i, _): (usize, &Piece)| PieceId((first + i) as u32);
    before.map(id).into_iter().chain(after.map(id)).collect()
}
