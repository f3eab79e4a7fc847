//! Walls that lie in each other but do not meet there: each meets others first, an inch or a few away.

use crate::body::{common, longest_side, middle, taken_up, whole};
use crate::line::{Line, drawn_name};
use crate::merge::{SLIVER, taken_at_right_angles};
use crate::nodes::Network;
use crate::pairs::{self, Bounds};
use crate::touch::{self, PARALLEL};
use diag::{Finding, codes::graph};
use geom::{Point, polygon_area_nm2};
use std::collections::BTreeSet;

/// What walls have in common up to this is rounding: a sixteenth of an inch square, nm².
const TRIFLE: i128 = 1_587_500 * 1_587_500;

/// Says where walls take the same place and no junction is common to them, so that the plates are cut for
/// each junction as if the others were not.
pub(crate) fn report(lines: &[Line], n: &Network, findings: &mut Vec<Finding>) {
    let mut told: BTreeSet<Vec<usize>> = BTreeSet::new();
    // A wall that goes on, in line, as one that meets the other.
    let goes_on_to = |i: usize, j: usize| {
        let at_nodes = n.on_line[i].iter().flat_map(|o| &n.at_node[o.node]);
        let mut on = at_nodes.filter(|k| lines[i].dir.cross(lines[**k].dir).abs() < PARALLEL);
        on.any(|k| meet(n, &[*k, j]))
    };
    // By number.
    let mut two = |[i, j]: [usize; 2]| {
        if meet(n, &[i, j]) || goes_on_to(i, j) || goes_on_to(j, i) {
            return;
        }
        let crossed = lines[i].dir.cross(lines[j].dir).abs() >= PARALLEL;
        if let (Some(one), Some(other)) = (taken_up(lines, n, i), taken_up(lines, n, j)) {
            let shared = common(&one, &other);
            // Walls side by side may touch by a hair.
            let least = if crossed { 0 } else { longest_side(&shared).nm() * SLIVER.nm() };
            if polygon_area_nm2(&shared) > i128::from(least) {
                tell(lines, vec![i, j], &shared, &mut told, findings);
            }
        }
    };
    if taken_at_right_angles(lines).is_some() {
        // Nothing reaches farther there than a touch does, and three walls take one place only where two of
        // them are in line or beside each other.
        n.unmet.iter().for_each(|pair| two(pair.map(|i| i as usize)));
        return;
    }
    let around =
        |i: usize| taken_up(lines, n, i).map_or(Bounds::of_line(&lines[i]), |p| Bounds::around(&p));
    let boxes: Vec<Bounds> = (0..lines.len()).map(around).collect();
    let mut near = Vec::new();
    pairs::near(boxes.len(), |i| boxes[i], 0, |i, j| near.push(touch::lesser_first(lines, [i, j])));
    near.sort_unstable_by_key(|pair| pair.map(|i| lines[i].wall));
    near.into_iter().for_each(two);
    three(lines, n, &mut told, findings);
}

/// Three walls that cross each other two by two, with one place in all of them.
fn three(
    lines: &[Line],
    n: &Network,
    told: &mut BTreeSet<Vec<usize>>,
    findings: &mut Vec<Finding>,
) {
    let widest = lines.iter().map(Line::half_width).max().unwrap_or_default() * 2;
    // Beyond this even walls that hardly cross are clear of each other.
    let reach = widest.scale(2.0 / PARALLEL);
    let number = |i: &usize| lines[*i].wall;
    let mut each: Vec<usize> = (0..lines.len()).collect();
    each.sort_unstable_by_key(number);
    for i in each {
        let later = |j: &&usize| number(j) > number(&i);
        let on = &n.on_line[i];
        for (k, here) in on.iter().enumerate() {
            let near = on[k + 1..].iter().take_while(|o| o.station - here.station <= reach);
            for there in near {
                let second = n.at_node[there.node].iter().filter(later);
                let pairs = second.flat_map(|c| n.at_node[here.node].iter().map(move |b| (*b, *c)));
                for (b, c) in pairs.filter(|(b, c)| later(&b) && b != c) {
                    let mut three = vec![i, b, c];
                    three.sort_unstable_by_key(number);
                    let crossed = lines[b].dir.cross(lines[c].dir).abs() >= PARALLEL;
                    if !crossed || !meet(n, &[b, c]) || meet(n, &three) {
                        continue;
                    }
                    let all = three.iter().map(|i| whole(lines, n, *i)).collect::<Option<Vec<_>>>();
                    let Some([one, other, third]) = all.as_deref() else { continue };
                    tell(lines, three, &common(&common(one, other), third), told, findings);
                }
            }
        }
    }
}

/// Whether walls have a node in common.
fn meet(n: &Network, walls: &[usize]) -> bool {
    let fewest = walls.iter().min_by_key(|i| n.on_line[**i].len());
    let all_at = |node: usize| walls.iter().all(|i| n.at_node[node].contains(i));
    fewest.is_some_and(|i| n.on_line[*i].iter().any(|o| all_at(o.node)))
}

fn tell(
    lines: &[Line],
    walls: Vec<usize>,
    shared: &[Point],
    told: &mut BTreeSet<Vec<usize>>,
    findings: &mut Vec<Finding>,
) {
    let Some(at) = middle(shared) else { return };
    if polygon_area_nm2(shared) <= TRIFLE || !told.insert(walls.clone()) {
        return;
    }
    let names: Vec<String> = walls.iter().map(|i| drawn_name(lines[*i].source())).collect();
    let (last, first) = (names.last().map_or("", String::as_str), &names[..names.len() - 1]);
    let mut finding = Finding::new(
        graph::WALLS_CROWDED,
        format!(
            "Walls {} and {last} take the same place but do not meet in one point there: each meets the others, or a wall between them, inches away. Their plates are cut as if each meeting stood alone.",
            first.join(", ")
        ),
    )
    .at(at);
    for i in &walls {
        finding = finding.from(lines[*i].source());
    }
    findings.push(finding);
}
