//! Walls drawn as one line each, where no layer says so and nothing runs in pairs.
//!
//! Knows: lines that meet end to end or end on side and close rooms. Never touches: pairs, layers'
//! names. All in inches.
//!
//! Single lines look like so many other things that their confidence never exceeds [`MOST`]: 0.7 when
//! both ends of a line meet the network, 0.55 when one does, 0.4 when none does, or when one does and the
//! line is no longer than a door's leaf.

use crate::affine::{norm, sub};
use crate::confidence::Scored;
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::openings::{root, unite};
use crate::pairing::FoundWall;
use std::collections::{BTreeMap, BTreeSet};

/// Confidence of a line with both ends held.
pub(crate) const MOST: f64 = 0.7;
/// Shorter lines are no walls here, inches.
const SHORTEST_IN: f64 = 12.0;
/// Leaves of doors are no longer than this, inches.
const LEAF_IN: f64 = 54.0;
/// Lines that come this near touch, inches.
const TOUCH_IN: f64 = 1.0;
/// A network is at least so long, inches: 60 ft.
const NETWORK_IN: f64 = 720.0;
/// It closes at least so many rooms.
const ROOMS: usize = 2;
/// Thickness of a wall whose faces are not drawn; its section comes from elsewhere.
pub(crate) const NO_THICKNESS: f64 = 0.0;

/// The largest network of single lines that closes rooms, one layer at a time.
pub(crate) fn find(
    lines: &[Segment],
    numbers: &[usize],
    layer_of: &dyn Fn(usize) -> u32,
) -> Option<(Vec<Scored>, BTreeSet<u32>)> {
    let mut by_layer: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for i in numbers {
        if lines.get(*i).is_some_and(|g| norm(sub(g.b, g.a)) >= SHORTEST_IN) {
            by_layer.entry(layer_of(*i)).or_default().push(*i);
        }
    }
    let best = by_layer
        .into_iter()
        .filter_map(|(layer, own)| Some((layer, network(lines, &own)?)))
        .max_by(|a, b| (length_of(&a.1) as i64, b.0).cmp(&(length_of(&b.1) as i64, a.0)))?;
    Some((best.1, BTreeSet::from([best.0])))
}

fn length_of(walls: &[Scored]) -> f64 {
    walls.iter().map(|s| norm(sub(s.wall.line.b, s.wall.line.a))).sum()
}

fn network(lines: &[Segment], own: &[usize]) -> Option<Vec<Scored>> {
    let some: Vec<Segment> = own.iter().filter_map(|i| lines.get(*i)).copied().collect();
    let index = LineIndex::new(&some);
    let mut group: Vec<usize> = (0..some.len()).collect();
    let mut held = vec![[false; 2]; some.len()];
    for (i, g) in some.iter().enumerate() {
        for (side, p) in [g.a, g.b].into_iter().enumerate() {
            for j in index.near(&[p], TOUCH_IN) {
                let j = j as usize;
                let Some(o) = some.get(j).filter(|_| j != i) else { continue };
                if distance(o, p) > TOUCH_IN {
                    continue;
                }
                unite(&mut group, i, j);
                if sine_between(sub(g.b, g.a), sub(o.b, o.a)) > 0.1 {
                    held[i][side] = true;
                }
            }
        }
    }
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..some.len() {
        members.entry(root(&mut group, i)).or_default().push(i);
    }
    let weigh = |m: &Vec<usize>| {
        m.iter().filter_map(|i| some.get(*i)).map(|g| norm(sub(g.b, g.a))).sum::<f64>()
    };
    let (_, best) = members
        .into_iter()
        .max_by(|a, b| weigh(&a.1).total_cmp(&weigh(&b.1)).then(b.0.cmp(&a.0)))?;
    // Lines with both ends held close rooms; a room takes four, less where rooms share them.
    let both = best.iter().filter(|i| held.get(**i) == Some(&[true; 2])).count();
    if weigh(&best) < NETWORK_IN || both < best.len() / 2 || both < ROOMS * 4 {
        return None;
    }
    let walls = best.iter().filter_map(|i| {
        let line = *some.get(*i)?;
        let ends = held.get(*i)?.iter().filter(|h| **h).count();
        // A short line with a free end is a door's leaf as likely as not.
        let leaf = ends == 1 && norm(sub(line.b, line.a)) <= LEAF_IN;
        Some(Scored {
            wall: FoundWall {
                line,
                thickness: NO_THICKNESS,
                overall: NO_THICKNESS,
                gaps: Vec::new(),
                panes: Vec::new(),
                lines: vec![*own.get(*i)?],
            },
            confidence: match (ends, leaf) {
                (0, _) | (_, true) => 0.4,
                (1, _) => 0.55,
                _ => MOST,
            },
        })
    });
    Some(walls.collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Segment {
        Segment { a: [x0, y0], b: [x1, y1] }
    }
    fn found(lines: &[Segment]) -> Option<usize> {
        let numbers: Vec<usize> = (0..lines.len()).collect();
        find(lines, &numbers, &|_| 0).map(|f| f.0.len())
    }

    #[test]
    fn rooms_are_walls_and_a_table_is_not() {
        let mut plan = vec![
            line(0.0, 0.0, 480.0, 0.0),
            line(480.0, 0.0, 480.0, 360.0),
            line(480.0, 360.0, 0.0, 360.0),
            line(0.0, 360.0, 0.0, 0.0),
            line(240.0, 0.0, 240.0, 360.0),
            line(0.0, 180.0, 240.0, 180.0),
            line(240.0, 120.0, 480.0, 120.0),
            line(120.0, 180.0, 120.0, 360.0),
        ];
        assert_eq!(found(&plan), Some(8));
        // A table in the middle of a room touches nothing.
        for (a, b) in [(20.0, 80.0), (80.0, 20.0)] {
            plan.push(line(a, a, b, a));
            plan.push(line(a, a, a, b));
        }
        assert_eq!(found(&plan), Some(8));
        // A door's leaf hangs on a wall by one end.
        plan.push(line(100.0, 0.0, 125.0, 25.0));
        let numbers: Vec<usize> = (0..plan.len()).collect();
        let walls = find(&plan, &numbers, &|_| 0).expect("walls").0;
        let sure = walls.iter().filter(|w| w.confidence >= crate::confidence::LEAST).count();
        assert_eq!((walls.len(), sure), (9, 8));
        assert_eq!(found(&plan[..4]), None);
        assert_eq!(found(&plan[8..]), None);
    }
}
