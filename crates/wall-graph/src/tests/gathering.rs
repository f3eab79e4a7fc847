//! Nodes brought together, beside a plain way to do so.

use super::{W, model, w};
use crate::gather::gather_in_steps;
use crate::line::{Line, lines_of};
use crate::nodes::{Network, OnLine, met};
use crate::one_place::{at_ends, end_is_in_bend, ends_at_one_place};
use crate::place::by_place;
use crate::touch::{self, PARALLEL};
use crate::widths::Widths;
use geom::Length;
use proptest::prelude::*;
use settings::Settings;
use wall_model::StoreyId;

/// Looks at all lines by number, and so on until there is nothing to do at any: slow, and nothing is remembered.
fn plain(lines: &[Line], widths: &Widths, mut n: Network, snap: Length) -> Network {
    let mut by_number: Vec<usize> = (0..lines.len()).collect();
    by_number.sort_by_key(|i| lines[*i].wall);
    loop {
        let mut any = false;
        for i in &by_number {
            let clear = widths.taken_at_right_angles().is_some_and(|taken| {
                let least = (taken + lines[*i].half_width()).max(snap);
                n.on_line[*i].windows(2).all(|p| p[1].station - p[0].station > least)
            });
            while !clear && let Some((gone, kept)) = one_place(lines, &n, *i, snap) {
                bring(lines, &mut n, gone, kept);
                any = true;
            }
        }
        if !any {
            return n;
        }
    }
}

fn one_place(lines: &[Line], n: &Network, line: usize, snap: Length) -> Option<(usize, usize)> {
    let on = &n.on_line[line];
    let ends = at_ends(n, line);
    let bend = ends.clone().find(|here| {
        end_is_in_bend(lines, n, *here) && can_come(lines, n, here.next.node, here.end.node, snap)
    });
    if let Some(here) = bend {
        return Some((here.next.node, here.end.node));
    }
    let twice = |p: &&[OnLine]| {
        let [a, b] = [p[0].node, p[1].node];
        let crosses = |j: usize| lines[line].dir.cross(lines[j].dir).abs() >= PARALLEL;
        n.at(a).any(|j| j != line && n.at(b).any(|k| k == j) && crosses(j))
    };
    let close = on.windows(2).filter(|p| p[1].station - p[0].station <= snap);
    let two = close.chain(on.windows(2).filter(twice)).map(|p| (p[0].node, p[1].node));
    let at_one_place = ends.filter(|here| ends_at_one_place(lines, n, *here));
    two.chain(at_one_place.map(|here| (here.end.node, here.next.node))).find_map(|(a, b)| {
        let weight = |node: usize| {
            let others = || n.at(node).filter(|j| *j != line);
            (others().map(|j| lines[j].half_width()).max(), others().count())
        };
        let order = if weight(a) >= weight(b) { [(b, a), (a, b)] } else { [(a, b), (b, a)] };
        order.into_iter().find(|(gone, kept)| can_come(lines, n, *gone, *kept, snap))
    })
}

fn can_come(lines: &[Line], n: &Network, gone: usize, kept: usize, snap: Length) -> bool {
    let widest = n.at(kept).map(|j| lines[j].half_width()).max().unwrap_or_default();
    n.at(gone).all(|i| {
        let on = &n.on_line[i];
        let (station, offset) = lines[i].frame().locate(n.nodes[kept]);
        let others = || on.iter().filter(|o| o.node != gone && o.node != kept).map(|o| o.station);
        let first = on.first().is_some_and(|o| o.node == gone) && others().all(|s| station < s);
        let last = on.last().is_some_and(|o| o.node == gone) && others().all(|s| station > s);
        let reaches = offset.abs() <= (lines[i].half_width() + widest).max(snap);
        (first || last) && reaches || offset.abs() <= snap || n.at(kept).any(|k| k == i)
    })
}

fn bring(lines: &[Line], n: &mut Network, gone: usize, kept: usize) {
    let mut both = [&n.at_node[gone], &n.at_node[kept]].concat();
    both.sort_by_key(|i| lines[*i as usize].wall);
    both.dedup();
    for i in both.iter().map(|i| *i as usize) {
        let mut on = n.on_line[i].to_vec();
        on.retain(|o| o.node != gone && o.node != kept);
        let station = lines[i].frame().locate(n.nodes[kept]).0;
        on.push(OnLine { station, node: kept });
        on.sort();
        n.on_line.replace(i, &on);
    }
    n.at_node.replace(gone, &[]);
    n.at_node.replace(kept, &both);
}

/// All there is of nodes and lines.
fn listed(n: &Network) -> (Vec<Vec<OnLine>>, Vec<Vec<u32>>) {
    let on = n.on_line.iter().map(<[_]>::to_vec).collect();
    (on, n.at_node.iter().map(<[_]>::to_vec).collect())
}

/// Places of walls on lines, and steps.
fn gathered(walls: &[W], beside_plain: bool) -> (usize, usize) {
    let (model, snap) = (model(walls), Settings::default().graph.snap);
    let (lines, _) = lines_of(&model, StoreyId(0), by_place);
    let widths = Widths::of(&lines);
    let met = || met(&lines, &mut touch::find(&lines, &widths, snap), snap);
    let before = met();
    let places = before.on_line.iter().map(<[_]>::len).sum();
    let (after, steps) = gather_in_steps(&lines, &widths, before, snap);
    if beside_plain {
        assert_eq!(listed(&after), listed(&plain(&lines, &widths, met(), snap)));
    }
    (places, steps)
}

/// Walls that lie in each other, more or less, in a square of so many inches: along the sheet, at any angle, or some of each.
fn crowd(square: f64, count: usize) -> impl Strategy<Value = Vec<W>> {
    let at = move || (0.0..square, 0.0..square);
    let length = || prop_oneof![3 => 1.0..12.0, 1 => 12.0..60.0];
    let turn = prop_oneof![Just(0.0), Just(1.0), Just(0.05)];
    turn.prop_flat_map(move |oblique| {
        let angle = move |quarter: u8, off: f64| {
            f64::from(quarter) * std::f64::consts::FRAC_PI_2 + off * oblique
        };
        let one = (
            at(),
            length(),
            0_u8..4,
            -0.8..0.8,
            prop_oneof![Just(3.5), Just(3.5), Just(5.5), Just(11.5)],
        );
        let one = one.prop_map(
            move |((x, y), length, quarter, off, width): ((f64, f64), f64, u8, f64, f64)| {
                let (sin, cos) = angle(quarter, off).sin_cos();
                // Whole sixteenths, so that walls along the sheet are.
                let [dx, dy] = [cos, sin].map(|v| (v * length * 16.0).round() / 16.0);
                ((x, y), (x + dx, y + dy), width, 97.125)
            },
        );
        prop::collection::vec(one, 2..count)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]
    #[test]
    fn crowds_are_gathered_as_by_looking_everywhere(few in crowd(30.0, 24), many in crowd(60.0, 60), dense in crowd(6.0, 40)) {
        for walls in [few, many, dense] {
            gathered(&walls, true);
        }
    }
}

/// Short lines every way, as a hatch has them: `count` of them, so many to the square inch.
fn hatch(count: usize, to_the_inch: f64) -> Vec<W> {
    let side = (count as f64 / to_the_inch).sqrt();
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state % 10_000) as f64 / 10_000.0
    };
    let mut one = || {
        let (x, y, angle, length) =
            (next() * side, next() * side, next() * std::f64::consts::TAU, 0.1 + next());
        w(x, y, x + angle.cos() * length, y + angle.sin() * length)
    };
    (0..count).map(|_| one()).collect()
}

/// Looking at all lines near a change again took steps by the square of the walls at one place and more.
#[test]
fn steps_grow_as_the_places_do() {
    for to_the_inch in [0.02, 0.2, 1.0, 4.0, 16.0, 160.0] {
        for count in [400, 1600] {
            let (places, steps) = gathered(&hatch(count, to_the_inch), false);
            assert!(steps <= places * 4, "{count} walls: {steps} steps for {places} places");
        }
    }
}
