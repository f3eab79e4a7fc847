//! Whole small floors against every choice there is.

use super::*;
use crate::cost::Cost;
use crate::meet::{Carriers, Meeting, settle};
use crate::tees::Tees;
use crate::tests::{W, floor, w};
use proptest::prelude::*;
use wall_model::floor::JunctionKind;

/// What a floor costs, tees and joints.
fn total(by: &meet::Terms, m: &Meeting) -> Cost {
    let run = |(i, shape): (usize, &meet::RunShape)| cut::cost_of(by, RunId(i as u32), shape);
    m.shapes.iter().enumerate().map(run).sum::<Cost>().plus(tees::cost(by, &m.tees))
}

/// Every choice of who carries through at the corners.
fn all_carriers(f: &Floor) -> Vec<Carriers> {
    let mut all = vec![Carriers::new()];
    for (i, j) in f.junctions.iter().enumerate() {
        if j.kind == JunctionKind::L && f.laps_at(j) {
            let with = |c: &Carriers| {
                let c = c.clone();
                j.arms.iter().map(move |a| {
                    let mut c = c.clone();
                    c.insert(wall_model::floor::JunctionId(i as u32), a.run);
                    c
                })
            };
            all = all.iter().flat_map(with).collect();
        }
    }
    all
}

/// Up to six walls on a coarse grid with odd lengths, so that boards and corners matter.
fn small_floor() -> impl Strategy<Value = Vec<W>> {
    let steps = prop::sample::select(vec![47.0, 61.0, 95.875, 118.5, 140.25]);
    let wall = (0..4_i32, 0..4_i32, any::<bool>(), 1..4_i32, any::<bool>());
    (prop::collection::vec(wall, 1..7), steps).prop_map(|(v, step)| {
        let one = |(x, y, along, len, outside): (i32, i32, bool, i32, bool)| {
            let p = |v: i32| f64::from(v) * step;
            let (dx, dy) = if along { (len, 0) } else { (0, len) };
            let mut wall = w(p(x), p(y), p(x + dx), p(y + dy), "2x4");
            wall.exterior = Some(outside);
            wall
        };
        v.into_iter().map(one).collect()
    })
}

/// A closed room of four walls and up to two partitions.
fn room() -> impl Strategy<Value = Vec<W>> {
    let size = (80..500_i32, 80..500_i32);
    let wall = (10..490_i32, any::<bool>());
    (size, prop::collection::vec(wall, 0..3), any::<bool>()).prop_map(|((x, y), parts, ext)| {
        let (x, y) = (f64::from(x), f64::from(y));
        let mut walls = vec![
            w(0., 0., x, 0., "2x4"),
            w(x, 0., x, y, "2x4"),
            w(0., y, x, y, "2x4"),
            w(0., 0., 0., y, "2x4"),
        ];
        for (at, across) in parts {
            let at = f64::from(at);
            if across && at < y {
                walls.push(w(0., at, x, at, "2x4"));
            } else if !across && at < x {
                walls.push(w(at, 0., at, y, "2x4"));
            }
        }
        walls.iter_mut().for_each(|w| w.exterior = Some(ext));
        walls
    })
}

fn with_terms(walls: &[W], then: impl FnOnce(&meet::Terms)) {
    let f = floor(walls);
    let settings = Settings::default();
    let rules = rules::RuleSet::named(&settings.rules).unwrap();
    let offset = rules.joint_offset(&settings);
    then(&meet::Terms { floor: &f, settings: &settings, rules: &rules, offset });
}

/// With the tees as they are tied, no choice at the corners is cheaper.
fn corners_are_best(walls: &[W]) {
    with_terms(walls, |by| {
        let m = choose(by);
        let made = total(by, &m);
        for carriers in all_carriers(by.floor) {
            let other = settle(by, &carriers, &m.tees);
            if other.tees == m.tees {
                let cost = total(by, &other);
                assert!(made <= cost, "made {made:?}\nbest {cost:?}\n{carriers:?}\n{walls:#?}");
            }
        }
    });
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn no_choice_at_corners_is_cheaper(walls in small_floor()) {
        corners_are_best(&walls);
    }
    #[test]
    fn no_choice_at_the_corners_of_a_room_is_cheaper(walls in room()) {
        corners_are_best(&walls);
    }
}

/// Corners, tees and joints of small floors, all of them tried: how often the plan is the best.
#[test]
fn corners_and_tees_together_are_nearly_always_best() {
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let (mut best, mut looked_at) = (0, 0);
    for k in 0..40 {
        let tree = if k % 2 == 0 {
            small_floor().boxed().new_tree(&mut runner)
        } else {
            room().boxed().new_tree(&mut runner)
        };
        let walls = tree.unwrap().current();
        with_terms(&walls, |by| {
            let m = choose(by);
            let ways: Vec<Tees> = tees::all_ways(by, &m.tees);
            let carriers = all_carriers(by.floor);
            if ways.len() * carriers.len() > 1500 {
                return;
            }
            let made = total(by, &m);
            let cheaper = |c: &Carriers, t: &Tees| {
                let other = settle(by, c, t);
                other.tees == *t && total(by, &other) < made
            };
            looked_at += 1;
            best += usize::from(!carriers.iter().any(|c| ways.iter().any(|t| cheaper(c, t))));
        });
    }
    assert!(looked_at > 30, "{looked_at}");
    println!("{best} of {looked_at} floors have the cheapest plan there is");
    assert!(best * 100 >= looked_at * 97, "{best} of {looked_at}");
}
