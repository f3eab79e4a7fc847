//! Holes of a wall as they are marked: openings that overlap or repeat are one, and one that reaches the
//! end of its wall may go on in the next.

use export::view::View;
use geom::Length;
use plan_model::run_name;
use wall_model::floor::{ArmAt, IN_LINE, JunctionId, RunId};

const NEAR: Length = Length::sixty_fourths(1);

/// An opening: from and to, stations on its run, and what it is.
type Opening = (Length, Length, &'static str);

/// A hole, stations from the hook.
pub(crate) struct Hole {
    /// `door`; `door and window` where openings of both kinds make it.
    pub what: String,
    pub from: Length,
    pub to: Length,
    /// The openings that make it, where they are not all as long as it is.
    pub parts: Vec<(&'static str, Length, Length)>,
    /// The wall it goes on in beyond its left and its right side, and how wide the whole is.
    pub goes_on: [Option<(RunId, Length)>; 2],
}

impl Hole {
    /// `R3 (5'-0" in all)`, told with the caller's words for lengths.
    pub fn beyond(&self, side: usize, told: impl Fn(Length) -> String) -> Option<String> {
        let (run, whole) = self.goes_on.get(side)?.as_ref()?;
        Some(format!("{} ({} in all)", run_name(*run), told(*whole)))
    }
}

/// The openings of a run by station: from, to, what.
fn openings(view: &View, run: RunId) -> Vec<Opening> {
    let walls = view.doc.floor.walls_of(run);
    let of = |(at, wall): (Length, &'_ wall_model::floor::FloorWall)| {
        let on = move |o: &wall_model::Opening| (at + o.from, at + o.to, o.kind.name());
        wall.openings.iter().map(on).collect::<Vec<_>>()
    };
    let mut all: Vec<_> = walls.flat_map(of).collect();
    all.sort_unstable();
    all
}

/// The holes of a run's walls, ascending; those that share a point are one, as the plan's studs have them.
pub(crate) fn holes(view: &View, run: RunId, zero: Length) -> Vec<Hole> {
    let r = view.doc.floor.run(run);
    let mut groups: Vec<(Length, Vec<Opening>)> = Vec::new();
    for o in openings(view, run) {
        match groups.last_mut() {
            Some((to, group)) if o.0 <= *to => {
                *to = o.1.max(*to);
                group.push(o);
            }
            _ => groups.push((o.1, vec![o])),
        }
    }
    let ends = [(Length::ZERO, r.start_junction), (r.length(), r.end_junction)];
    let hole = |(to, group): (Length, Vec<Opening>)| {
        let from = group.first().map_or(to, |o| o.0);
        let mut kinds: Vec<&str> = Vec::new();
        group.iter().for_each(|o| {
            if !kinds.contains(&o.2) {
                kinds.push(o.2);
            }
        });
        let on = |s: Length| (s - zero).denoise();
        let mut parts: Vec<_> = group.iter().map(|o| (o.2, on(o.0), on(o.1))).collect();
        parts.dedup();
        if group.iter().all(|o| (o.0 - from).abs() <= NEAR && (o.1 - to).abs() <= NEAR) {
            parts.clear();
        }
        let edges = [from, to];
        let goes_on = [0, 1].map(|side: usize| {
            let ((end, junction), edge) = (ends[side], edges[side]);
            let there = if side == 0 { edge <= end + NEAR } else { edge >= end - NEAR };
            let (other, wide) = there.then(|| beyond(view, run, junction)).flatten()?;
            Some((other, to - from + wide))
        });
        Hole { what: kinds.join(" and "), from: on(from), to: on(to), parts, goes_on }
    };
    groups.into_iter().map(hole).collect()
}

/// The wall in line beyond a run's end, and how wide the hole is that it begins with.
fn beyond(view: &View, run: RunId, at: JunctionId) -> Option<(RunId, Length)> {
    let floor = &view.doc.floor;
    let own = view.frame(run);
    floor.junction(at).arms.iter().filter(|a| a.run != run && a.at != ArmAt::Through).find_map(
        |arm| {
            let frame = view.frame(arm.run);
            if own.angle_to(frame).sin().abs() > IN_LINE {
                return None;
            }
            let length = floor.run(arm.run).length();
            let mut reach = Length::ZERO;
            let far = |o: &(Length, Length, &str)| match arm.at {
                ArmAt::Start => (o.0, o.1),
                _ => (length - o.1, length - o.0),
            };
            let mut all: Vec<(Length, Length)> = openings(view, arm.run).iter().map(far).collect();
            all.sort_unstable();
            for (from, to) in all {
                if from <= reach + NEAR {
                    reach = reach.max(to);
                }
            }
            (reach > NEAR).then_some((arm.run, reach))
        },
    )
}
