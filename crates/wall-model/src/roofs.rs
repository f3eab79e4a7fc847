//! Tops of walls that run up to a roof: which planes, and how high they are over a wall's ends.

use crate::draft::{DraftOpening, DraftWall};
use settings::{Roof, Uphill};
use std::collections::BTreeMap;

/// The roof a wall's top follows. Walls of one entry and storey share its planes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnderRoof {
    /// The entry of the settings' `[[layers]]`, from 0.
    pub entry: usize,
    /// Its roof; the wall's own top is its height where the entry's walls are lowest.
    pub roof: Roof,
}

/// Walls farther than this from the middle one have no part in where a roof begins: 1000 ft.
const REACH_IN: f64 = 12_000.0;

/// Nothing is split closer than this to a wall's end, inches.
const STUB_IN: f64 = 1.0;

/// Gives walls under a roof their tops; those that pass below a ridge become two.
pub(crate) fn raise(walls: Vec<DraftWall>) -> Vec<DraftWall> {
    if walls.iter().all(|w| w.roof.is_none()) {
        return walls;
    }
    let mut reaches: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
    for w in &walls {
        if let Some(u) = w.roof {
            let ends = [w.start_in, w.end_in].map(|p| along(u.roof.uphill, p));
            reaches.entry((w.storey, u.entry)).or_default().extend(ends);
        }
    }
    let span = |mut reach: Vec<f64>| {
        reach.retain(|s| s.is_finite());
        reach.sort_by(f64::total_cmp);
        let middle = reach.get(reach.len() / 2).copied()?;
        let near = |s: &&f64| (**s - middle).abs() <= REACH_IN;
        Some((*reach.iter().find(near)?, *reach.iter().rev().find(near)?))
    };
    let spans: BTreeMap<(usize, usize), (f64, f64)> =
        reaches.into_iter().filter_map(|(k, r)| Some((k, span(r)?))).collect();
    let mut out = Vec::with_capacity(walls.len());
    for w in walls {
        let Some(u) = w.roof else {
            out.push(w);
            continue;
        };
        let Some(span) = spans.get(&(w.storey, u.entry)) else {
            out.push(w);
            continue;
        };
        for mut part in below_ridge(w, u.roof.uphill, *span) {
            let [from, to] =
                [part.start_in, part.end_in].map(|p| part.top_in + height(u.roof, p, *span));
            // To a sixteenth where it is level, so that walls drawn a hair apart are one height.
            let level = (to - from).abs() < 1.0 / 16.0;
            let sixteenth = |v: f64| (v * 16.0).round() / 16.0;
            (part.top_in, part.rise_in) = match level {
                true => (part.top_in + sixteenth(from - part.top_in), 0.0),
                false => (from, to - from),
            };
            out.push(part);
        }
    }
    out
}

/// How far uphill a point lies; along the axis for a roof that rises from both ends of it.
fn along(uphill: Uphill, p: (f64, f64)) -> f64 {
    match uphill {
        Uphill::East | Uphill::InwardX => p.0,
        Uphill::West => -p.0,
        Uphill::North | Uphill::InwardY => p.1,
        Uphill::South => -p.1,
    }
}

/// Height of the roof over a point, above where it is lowest.
fn height(roof: Roof, p: (f64, f64), (low, high): (f64, f64)) -> f64 {
    let at = along(roof.uphill, p);
    let level = match roof.uphill {
        Uphill::InwardX | Uphill::InwardY => (at - low).min(high - at),
        _ => at - low,
    };
    level * roof.rise_in_12 / 12.0
}

/// A wall in the parts that lie on either side of the ridge.
fn below_ridge(w: DraftWall, uphill: Uphill, (low, high): (f64, f64)) -> Vec<DraftWall> {
    if !matches!(uphill, Uphill::InwardX | Uphill::InwardY) {
        return vec![w];
    }
    let ridge = (low + high) / 2.0;
    let (from, to) = (along(uphill, w.start_in), along(uphill, w.end_in));
    let length = (w.end_in.0 - w.start_in.0).hypot(w.end_in.1 - w.start_in.1);
    let station = length * (ridge - from) / (to - from);
    let crosses = station > STUB_IN && station < length - STUB_IN;
    if !crosses { vec![w] } else { split(w, station, length).into() }
}

/// Two walls of one, that meet at a station; openings go to the part they lie in, or to both.
fn split(w: DraftWall, station: f64, length: f64) -> [DraftWall; 2] {
    let share = station / length;
    let lerp = |a: f64, b: f64| a + (b - a) * share;
    let at = (lerp(w.start_in.0, w.end_in.0), lerp(w.start_in.1, w.end_in.1));
    let cut = |from: f64, to: f64| -> Vec<DraftOpening> {
        let part = |o: &DraftOpening| {
            let (a, b) = (o.from_in.min(o.to_in).max(from), o.from_in.max(o.to_in).min(to));
            (a < b).then(|| DraftOpening { from_in: a - from, to_in: b - from, ..o.clone() })
        };
        w.openings.iter().filter_map(part).collect()
    };
    let (first, second) = (cut(0.0, station), cut(station, length));
    [
        DraftWall { end_in: at, openings: first, ..w.clone() },
        DraftWall { start_in: at, openings: second, ..w },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{OpeningKind, draft};

    fn wall(start: (f64, f64), end: (f64, f64), roof: Option<UnderRoof>) -> DraftWall {
        DraftWall { roof, ..draft::tests::wall(start, end, "A") }
    }
    fn under(rise_in_12: f64, uphill: Uphill) -> Option<UnderRoof> {
        Some(UnderRoof { entry: 0, roof: Roof { rise_in_12, uphill } })
    }
    fn tops(walls: &[DraftWall]) -> Vec<(f64, f64)> {
        walls.iter().map(|w| (w.top_in, w.rise_in)).collect()
    }

    /// A shed of 20 ft that rises 3 in 12 to the east: 5 ft in all.
    #[test]
    fn a_shed_rises_over_all_its_walls() {
        let east = under(3.0, Uphill::East);
        let house = vec![
            wall((0.0, 0.0), (240.0, 0.0), east),
            wall((0.0, 0.0), (0.0, 120.0), east),
            wall((240.0, 120.0), (240.0, 0.0), east),
            wall((120.0, 0.0), (120.0, 120.0), east),
            wall((60.0, 0.0), (60.0, 120.0), None),
        ];
        let raised = raise(house);
        let expected =
            [(97.125, 60.0), (97.125, 0.0), (157.125, 0.0), (127.125, 0.0), (97.125, 0.0)];
        assert_eq!(tops(&raised), expected);
    }

    /// A gable of 20 ft at 6 in 12: the ridge is 5 ft up; what crosses it is two walls.
    #[test]
    fn a_gable_is_split_at_the_ridge() {
        let inward = under(6.0, Uphill::InwardY);
        let mut end = wall((0.0, 240.0), (0.0, 0.0), inward);
        let opening = |from_in, to_in| DraftOpening {
            kind: OpeningKind::Window,
            from_in,
            to_in,
            source: vec![],
        };
        end.openings = vec![opening(20.0, 50.0), opening(100.0, 140.0), opening(200.0, 220.0)];
        let raised = raise(vec![end, wall((0.0, 60.0), (90.0, 60.0), inward)]);
        assert_eq!(tops(&raised), [(97.125, 60.0), (157.125, -60.0), (127.125, 0.0)]);
        let of = |w: &DraftWall| -> Vec<(f64, f64)> {
            w.openings.iter().map(|o| (o.from_in, o.to_in)).collect()
        };
        assert_eq!(of(&raised[0]), [(20.0, 50.0), (100.0, 120.0)]);
        assert_eq!(of(&raised[1]), [(0.0, 20.0), (80.0, 100.0)]);
    }

    #[test]
    fn a_stray_wall_does_not_lift_the_roof() {
        let south = under(3.0, Uphill::South);
        let raised = raise(vec![
            wall((0.0, 0.0), (0.0, 120.0), south),
            wall((90.0, 0.0), (90.0, 120.0), south),
            wall((0.0, 9e7), (0.0, f64::NAN), south),
        ]);
        assert_eq!(tops(&raised)[..2], [(127.125, -30.0); 2]);
    }
}
