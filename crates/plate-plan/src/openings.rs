//! Openings that leave no room for what must stand beside them.
//!
//! Knows: openings and walls that meet, along one run. Never touches: plates, drawings. That a header is
//! carried by a trimmer, with a king stud beside it, is common practice, no source.

use crate::studs::Studs;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{junction_name, run_name};
use wall_model::Opening;
use wall_model::floor::{ArmAt, Floor, JunctionKind, RunId};

/// Less of a wall in an opening is rounding.
const HAIR: Length = Length::sixteenths(1);

/// An opening of a run, with its sides as stations on the run.
struct OnRun<'a> {
    opening: &'a Opening,
    from: Length,
    to: Length,
    /// Where the run's plates start: there the crew hooks the tape.
    zero: Length,
}

impl OnRun<'_> {
    /// `door of R2, 3" to 3'-3" from its plates' start`.
    fn words(&self, run: RunId) -> String {
        let kind = self.opening.kind.name();
        let [from, to] = [self.from, self.to].map(|at| (at - self.zero).feet_inches());
        format!("{kind} of {}, {from} to {to} from its plates' start", run_name(run))
    }
}

/// Tells of a run's openings that are too near the end of its bottom plate, and of walls that meet it in
/// an opening.
pub(crate) fn report(floor: &Floor, run: RunId, studs: &Studs, findings: &mut Vec<Finding>) {
    for (at, wall) in floor.walls_of(run) {
        for opening in &wall.openings {
            let (from, to) = (at + opening.from, at + opening.to);
            let o = OnRun { opening, from, to, zero: studs.ends[0] };
            near_ends(floor, run, &o, studs, findings);
            walls_in_it(floor, run, &o, findings);
        }
    }
}

/// An opening nearer to an end of the run's bottom plate than a trimmer and a king stud are thick.
fn near_ends(floor: &Floor, run: RunId, o: &OnRun<'_>, studs: &Studs, findings: &mut Vec<Finding>) {
    let r = floor.run(run);
    let needed = studs.half * 4;
    let start = (o.from - studs.ends[0], o.from, r.start_junction);
    let stop = (studs.ends[1] - o.to, o.to, r.end_junction);
    for (room, edge, junction) in [start, stop] {
        // In line the next wall's studs stand right there.
        if room >= needed || floor.junction(junction).kind == JunctionKind::Inline {
            continue;
        }
        let left = match room.nm() {
            1.. => format!("leaves {}", room.feet_inches()),
            0 => "leaves nothing".to_owned(),
            _ => format!("goes {} beyond", (-room).feet_inches()),
        };
        let joined = if room.nm() < 0 { "" } else { " to" };
        let f = Finding::new(
            codes::OPENING_AT_CORNER,
            format!(
                "The {}, {left}{joined} the end of the bottom plate at {}; a trimmer and a king stud need {} there.",
                o.words(run),
                junction_name(junction),
                needed.feet_inches()
            ),
        );
        let place = r.frame().at(edge, Length::ZERO);
        findings.push(f.at(place).about(run_name(run)).from(&o.opening.source));
    }
}

/// Walls that meet the run where the opening is.
fn walls_in_it(floor: &Floor, run: RunId, o: &OnRun<'_>, findings: &mut Vec<Finding>) {
    let r = floor.run(run);
    let dir = r.frame().dir();
    for (at, j) in &r.through {
        let junction = floor.junction(*j);
        if junction.kind == JunctionKind::Inline {
            continue;
        }
        for arm in junction.arms.iter().filter(|a| a.run != run) {
            let other = floor.run(arm.run);
            let od = other.frame().dir();
            let sine = (dir.0 * od.1 - dir.1 * od.0).abs();
            if sine <= wall_model::floor::IN_LINE {
                continue;
            }
            // As wide as its studs, along this run.
            let half = other.section.width().half().scale(1.0 / sine);
            if o.to.min(*at + half) - o.from.max(*at - half) <= HAIR {
                continue;
            }
            let does = if arm.at == ArmAt::Through { "passes" } else { "ends" };
            let f = Finding::new(
                codes::WALL_ENDS_IN_OPENING,
                format!(
                    "{} {does} in the {}: no stud stands there to fasten it to.",
                    run_name(arm.run),
                    o.words(run)
                ),
            );
            findings.push(f.at(junction.at).about(run_name(arm.run)).from(&o.opening.source));
        }
    }
}
