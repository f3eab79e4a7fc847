//! Openings that leave no room for what must stand beside them.
//!
//! Knows: openings, walls that meet and what they leave of the plates, along one run. Never touches: pieces, drawings. That a header is
//! carried by a trimmer, with a king stud beside it, is common practice, no source.

use crate::meet::{LOWER, RunShape};
use crate::studs::{Studs, built, merged};
use diag::{Finding, Severity, codes::plan as codes};
use geom::Length;
use plan_model::{Against, junction_name, run_name};
use wall_model::Opening;
use wall_model::floor::{ArmAt, Floor, JunctionKind, Run, RunId};

type Interval = (Length, Length);

/// Less of a wall in an opening is rounding.
const HAIR: Length = Length::sixteenths(1);

/// Openings nearer to each other are the leaves of one: no stud is as thin (common practice, no source).
const LEAVES: Length = Length::inches(1);

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

fn on_run(floor: &Floor, run: RunId, zero: Length) -> impl Iterator<Item = OnRun<'_>> {
    floor.walls_of(run).flat_map(move |(at, wall)| {
        wall.openings.iter().map(move |opening| {
            let (from, to) = (at + opening.from, at + opening.to);
            OnRun { opening, from, to, zero }
        })
    })
}

/// What stands in the way of the studs on one side of an opening.
enum Beside {
    /// The end of the run's bottom plate, 0 at its start and 1 at its end.
    End(usize),
    /// A wall that passes between the run's plates, by the end of the plate that stops at it.
    Passing(Against),
}

/// Room for studs on one side of an opening: from its edge to where the bottom plate has its full width no longer.
struct Room {
    left: Length,
    edge: Length,
    beside: Beside,
}

/// The room on either side of an opening of a run; none on a side where another wall stands in the opening itself, or
/// another opening comes first. `holes` are the openings of the run, those that overlap as one, ascending.
fn rooms(
    (from, to): Interval,
    built: &[Interval],
    holes: &[Interval],
    shape: &RunShape,
) -> Vec<Room> {
    let mut out = Vec::new();
    let gaps = &shape.gaps[LOWER];
    // Where a plate begins after the opening does, the opening reaches beyond the first.
    let before = built.iter().rposition(|(a, _)| *a <= from + HAIR).unwrap_or(0);
    let (start, stop) = built[before];
    let taken = holes.iter().any(|(a, b)| *a < from && *b > start);
    if from <= stop && !taken {
        let beside = match before.checked_sub(1) {
            Some(k) => Beside::Passing(gaps[k].after.against),
            None => Beside::End(0),
        };
        out.push(Room { left: from - start, edge: from, beside });
    }
    let after = built.iter().position(|(_, b)| *b >= to - HAIR).unwrap_or(built.len() - 1);
    let (start, stop) = built[after];
    let taken = holes.iter().any(|(a, b)| *b > to && *a < stop);
    if to >= start && !taken {
        let beside = match gaps.get(after) {
            Some(gap) => Beside::Passing(gap.before.against),
            None => Beside::End(1),
        };
        out.push(Room { left: stop - to, edge: to, beside });
    }
    out
}

/// Whether a trimmer and a king stud do not fit there, or stand elsewhere: in line the next wall's stand right there.
fn lacks(floor: &Floor, r: &Run, half: Length, room: &Room) -> bool {
    let goes_on = |k: usize| {
        floor.junction([r.start_junction, r.end_junction][k]).kind == JunctionKind::Inline
    };
    room.left < half * 4 && !matches!(room.beside, Beside::End(k) if goes_on(k))
}

/// How many sides of a run's openings have no room for a trimmer and a king stud, with its plates of this shape.
pub(crate) fn without_room(floor: &Floor, run: RunId, shape: &RunShape) -> u32 {
    let openings: Vec<Interval> =
        on_run(floor, run, Length::ZERO).map(|o| (o.from, o.to)).collect();
    if openings.is_empty() {
        return 0;
    }
    let r = floor.run(run);
    let (holes, built) = (merged(openings), built(shape, r.length()));
    let half = r.section.thickness().half();
    let rooms = holes.iter().flat_map(|hole| rooms(*hole, &built, &holes, shape));
    rooms.filter(|room| lacks(floor, r, half, room)).count() as u32
}

/// Tells of walls that meet a run in an opening, and of its openings that have no room for a trimmer and a king stud beside
/// them: at the end of its bottom plate, at a wall that passes between its plates, at another opening.
pub(crate) fn report(
    floor: &Floor,
    run: RunId,
    shape: &RunShape,
    studs: &Studs,
    findings: &mut Vec<Finding>,
) {
    let r = floor.run(run);
    let all: Vec<OnRun> = on_run(floor, run, studs.ends[0]).collect();
    let built = built(shape, r.length());
    for o in &all {
        walls_in_it(floor, run, o, findings);
    }
    for o in &all {
        for room in rooms((o.from, o.to), &built, &studs.openings, shape) {
            if lacks(floor, r, studs.half, &room) {
                no_room(floor, run, shape, studs, (o, &room), findings);
            }
        }
    }
    for pair in studs.openings.windows(2) {
        let ((_, a), (b, _)) = (pair[0], pair[1]);
        // A wall that passes between the two has been told of with each.
        let between = built.iter().any(|(from, to)| *from <= a + HAIR && *to >= b - HAIR);
        let sides = all.iter().rfind(|o| o.to == a).zip(all.iter().find(|o| o.from == b));
        if let (true, Some((first, second))) = (between && b - a < studs.half * 6, sides) {
            findings.push(two_near(run, r, studs, first, second));
        }
    }
}

/// An opening nearer to the end of its bottom plate than a trimmer and a king stud are thick.
fn no_room(
    floor: &Floor,
    run: RunId,
    shape: &RunShape,
    studs: &Studs,
    (o, room): (&OnRun<'_>, &Room),
    findings: &mut Vec<Finding>,
) {
    let r = floor.run(run);
    let (to_what, is_square) = match &room.beside {
        Beside::End(k) => {
            let j = [r.start_junction, r.end_junction][*k];
            let end = shape.ends[LOWER][*k].as_ref();
            let is_square = end.is_none_or(|e| e.profile.greatest() - e.profile.least() <= HAIR);
            (format!("the end of the bottom plate at {}", junction_name(j)), is_square)
        }
        Beside::Passing(Against::Run(other) | Against::Stud(other)) => {
            (format!("{}, which passes between its plates", run_name(*other)), true)
        }
        Beside::Passing(_) => ("the wall that passes between its plates".to_owned(), true),
    };
    let left = match room.left.nm() {
        1.. if is_square => format!("leaves {}", room.left.feet_inches()),
        1.. => format!("leaves {} of full width", room.left.feet_inches()),
        0 => "leaves nothing".to_owned(),
        _ if is_square => format!("goes {} beyond", (-room.left).feet_inches()),
        _ => format!("goes {} beyond the full width at", (-room.left).feet_inches()),
    };
    let joined = if room.left.nm() < 0 { "" } else { " to" };
    let f = Finding::new(
        codes::OPENING_AT_CORNER,
        format!(
            "The {}, {left}{joined} {to_what}; a trimmer and a king stud need {} there.",
            o.words(run),
            (studs.half * 4).feet_inches()
        ),
    );
    let place = r.frame().at(room.edge, Length::ZERO);
    findings.push(f.at(place).about(run_name(run)).from(&o.opening.source));
}

/// Two openings with less between them than the trimmer of each and a king stud that both share.
fn two_near(run: RunId, r: &Run, studs: &Studs, first: &OnRun<'_>, second: &OnRun<'_>) -> Finding {
    let apart = second.from - first.to;
    let [from, to] = [second.from, second.to].map(|at| (at - second.zero).feet_inches());
    let two = format!(
        "The {}, and the {}, {from} to {to}, have {} between them",
        first.words(run),
        second.opening.kind.name(),
        apart.feet_inches()
    );
    let place = r.frame().at((first.to + second.from).half(), Length::ZERO);
    let f = if apart < LEAVES {
        let text = format!(
            "{two}, where no stud stands: they look like one opening drawn as two leaves. If so, draw it as one."
        );
        Finding::new(codes::OPENINGS_CLOSE, text).severity(Severity::Note)
    } else {
        let text = format!(
            "{two}; a trimmer of each and a king stud for both need {} there.",
            (studs.half * 6).feet_inches()
        );
        Finding::new(codes::OPENINGS_CLOSE, text)
    };
    f.at(place).about(run_name(run)).from(&second.opening.source)
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
