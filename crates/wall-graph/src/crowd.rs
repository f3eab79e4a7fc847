//! Walls that lie in each other but do not meet there: each meets others first, an inch or a few away.

use crate::body::{away, bend_at, common, longest_side, middle, taken_up, whole};
use crate::line::{Line, drawn_name};
use crate::nodes::{Network, OnLine};
use crate::pairs::{self, Bounds};
use crate::touch::{self, PARALLEL};
use crate::widths::Widths;
use diag::{Finding, codes::graph};
use geom::{Length, Point, polygon_area_nm2};
use std::collections::BTreeSet;
use wall_model::floor::{BEND, IN_LINE};

/// Plates may lie in each other by this: finer than any saw, coarser than rounding.
pub(crate) const TRIFLE: Length = Length::from_nm(12_700);

/// Says where walls take the same place and no junction is common to them, so that the plates are cut for
/// each junction as if the others were not.
pub(crate) fn report(lines: &[Line], widths: &Widths, n: &Network, findings: &mut Vec<Finding>) {
    let mut told: BTreeSet<Vec<usize>> = BTreeSet::new();
    // A wall that goes on straight, with the same plates as one that meets the other; at a bend it is cut by itself.
    let goes_on_to = |i: usize, j: usize| {
        let at_nodes = n.on_line[i].iter().flat_map(|o| n.at(o.node));
        let same = at_nodes.filter(|k| lines[i].same_plates(&lines[*k]));
        let mut on = same.filter(|k| lines[i].dir.cross(lines[*k].dir).abs() < IN_LINE);
        on.any(|k| meet(lines, n, &[k, j]))
    };
    // By number.
    let mut two = |[i, j]: [usize; 2]| {
        if meet(lines, n, &[i, j]) || goes_on_to(i, j) || goes_on_to(j, i) {
            return;
        }
        if let (Some(one), Some(other)) = (taken_up(lines, n, i), taken_up(lines, n, j)) {
            tell(lines, vec![i, j], &common(&one, &other), &mut told, findings);
        }
    };
    if widths.square {
        // Nothing reaches farther there than a touch does, and three walls take one place only where two of
        // them are in line or beside each other.
        n.unmet.iter().for_each(|pair| two(pair.map(|i| i as usize)));
        odd_meetings(lines, n, findings);
        return;
    }
    let around =
        |i: usize| taken_up(lines, n, i).map_or(Bounds::of_line(&lines[i]), |p| Bounds::around(&p));
    let boxes: Vec<Bounds> = (0..lines.len()).map(around).collect();
    let mut near = Vec::new();
    pairs::near(boxes.len(), |i| boxes[i], 0, |i, j| near.push(touch::lesser_first(lines, [i, j])));
    near.sort_unstable_by_key(|pair| pair.map(|i| lines[i].wall));
    near.into_iter().for_each(two);
    three(lines, widths, n, &mut told, findings);
    odd_meetings(lines, n, findings);
}

/// Walls that meet, though not so that plates can be cut for that meeting alone: at a flat angle, or so near the other's
/// end, or a change of its width, that they reach beyond it.
fn odd_meetings(lines: &[Line], n: &Network, findings: &mut Vec<Finding>) {
    // Nearly all walls meet soundly: what is told is put in order and into words afterwards.
    let mut told = Vec::new();
    for i in 0..lines.len() {
        let on = &n.on_line[i];
        let (Some(first), Some(last)) = (on.first(), on.last()) else { continue };
        for (end, node) in [first.node, last.node].into_iter().enumerate() {
            for j in n.at(node).filter(|j| *j != i) {
                let numbers = (lines[i].wall, end, lines[j].wall);
                if let Some(at) = reaches_beyond(lines, n, i, j, node) {
                    told.push((numbers, [i, j], at, None));
                } else if let Some(flat) = flat_meeting(lines, n, [i, j], node) {
                    told.push((numbers, [i, j], n.nodes[node], Some(flat)));
                }
            }
        }
    }
    told.sort_by_key(|t| t.0);
    for (_, pair, at, flat) in told {
        let [l, m] = pair.map(|i| &lines[i]);
        let [name, other] = [l, m].map(|l| drawn_name(l.source()));
        let text = match flat {
            None => format!(
                "Wall {name} meets wall {other} so near its end, or a change of its width, that it reaches beyond it. What lies there may stay bare; fit the plates there on site."
            ),
            Some(flat) => format!(
                "Walls {name} and {other} come together at {flat:.1} degrees, so that their plates would be cut to long thin points, as far as {} from there, and lie in the way of what is near.",
                parted(l, m).feet_inches()
            ),
        };
        let finding = Finding::new(graph::WALLS_CROWDED, text).at(at);
        findings.push(finding.from(l.source()).from(m.source()));
    }
}

/// The angle between two walls that meet at a node, the first of which ends there, in degrees, where it is less than
/// that of a bend; `None` where they go on straight, or nearly so and are cut on the half angle. Of two that both end there
/// the first in number tells.
fn flat_meeting(lines: &[Line], n: &Network, [i, j]: [usize; 2], node: usize) -> Option<f64> {
    let (l, m) = (&lines[i], &lines[j]);
    let sine = l.dir.cross(m.dir).abs();
    if sine >= BEND {
        return None;
    }
    let both_end = away(n, i, node).zip(away(n, j, node));
    let is_flat = match both_end {
        Some(_) if l.wall >= m.wall => false,
        Some((a, b)) if l.dir.dot(m.dir) * a * b > 0.0 => true,
        Some(_) => sine >= IN_LINE && !is_cut_on_half_angle(lines, n, [i, j], node),
        // Nearly in line they lie beside each other, or take the same place over a long way.
        None => sine >= PARALLEL || lie_in_each_other(lines, n, [i, j]),
    };
    is_flat.then(|| sine.asin().to_degrees())
}

/// How far from where two at a flat angle meet they have parted, or the longer of them ends.
fn parted(l: &Line, m: &Line) -> Length {
    let (both, longest) = (l.half_width() + m.half_width(), l.length().max(m.length()));
    let sine = l.dir.cross(m.dir).abs();
    if longest.scale(sine) <= both { longest } else { both.scale(1.0 / sine) }
}

/// Whether two walls take the same place from node to node.
fn lie_in_each_other(lines: &[Line], n: &Network, pair: [usize; 2]) -> bool {
    let [one, other] = pair.map(|i| whole(lines, n, i));
    one.zip(other).is_some_and(|(one, other)| is_shared(&common(&one, &other)))
}

/// Whether what two have in common is more than a trifle.
fn is_shared(place: &[Point]) -> bool {
    let trifle = i128::from(longest_side(place).nm()) * i128::from(TRIFLE.nm());
    polygon_area_nm2(place) > trifle
}

/// Whether two walls that end at a node and go on nearly straight are cut on the half angle there: by themselves, or as the
/// straightest two of several that all end there, where their ends share enough for a splice plate.
fn is_cut_on_half_angle(lines: &[Line], n: &Network, pair: [usize; 2], node: usize) -> bool {
    // Aside of the node, to the right of the way that the wall leads from it.
    let aside = |k: usize| {
        let off = lines[k].frame().locate(n.nodes[node]).1;
        away(n, k, node).map_or(off, |sign| off.scale(sign))
    };
    let [i, j] = pair;
    let apart = (aside(i) + aside(j)).abs();
    let shared = lines[i].half_width() + lines[j].half_width() - apart;
    let bends = bend_at(lines, n, node).is_some_and(|two| pair.iter().all(|k| two.contains(k)));
    bends && (n.at_node[node].len() == 2 || shared >= touch::SHARED)
}

/// Where a wall that ends at a node in the middle of another reaches beyond the end of that one, and beyond the walls
/// that meet it there.
fn reaches_beyond(lines: &[Line], n: &Network, i: usize, j: usize, node: usize) -> Option<Point> {
    let on = &n.on_line[j];
    let [start, end] = [on.first()?, on.last()?];
    if start.node == node || end.node == node {
        return None;
    }
    let (l, m) = (&lines[i], &lines[j]);
    let sine = l.dir.cross(m.dir).abs();
    if sine < PARALLEL {
        return None;
    }
    let here = m.frame().locate(n.nodes[node]).0;
    // No farther from the node than this.
    let most = (l.half_width() + m.half_width()).scale(1.0 / sine);
    if here - start.station > most && end.station - here > most {
        return None;
    }
    let starts = n.on_line[i].first().is_some_and(|o| o.node == node);
    let away_from = if starts { 1.0 } else { -1.0 };
    let leans = l.dir.dot(m.dir) * away_from;
    // Along the other, at its middle and at the face on this one's side.
    let reach = |way: f64| {
        let at_face = l.half_width() + m.half_width().scale(leans * way);
        [l.half_width(), at_face].map(|half| half.scale(1.0 / sine))
    };
    let beyond = |o: &OnLine, way: f64| {
        let others = || n.at(o.node).filter(|k| *k != j);
        let across = |k: &Line| k.dir.cross(m.dir).abs();
        let same =
            |k: &Line| k.half_width() == m.half_width() && m.frame().locate(k.a).1.abs() <= TRIFLE;
        // What goes on with the same faces, or nearly across, takes the place of the wall itself.
        if others().map(|k| &lines[k]).any(|k| across(k) < PARALLEL && same(k)) {
            return None;
        }
        // Where one goes on from the other's end a third stops at the two, and carries only its own side on.
        let goes_on = |k: usize| across(&lines[k]) < BEND;
        let a_line = others().any(goes_on);
        // How far a wall there carries the other's middle and face on. Of a corner the face ends where the two meet: the farther
        // inward, the sharper it is on this one's side.
        let covers = |k: usize| {
            let (wall, at_middle) = (&lines[k], lines[k].half_width());
            let same_side =
                |sign: f64| m.dir.cross(wall.dir) * sign * (m.dir.cross(l.dir) * away_from) > 0.0;
            let lean = |sign: f64| m.half_width().scale(wall.dir.dot(m.dir) * sign * way);
            let at_face = match away(n, k, o.node) {
                Some(sign) if !same_side(sign) && a_line => return [Length::ZERO; 2],
                Some(sign) if !same_side(sign) => at_middle - lean(sign),
                Some(sign) if !a_line => at_middle + lean(sign),
                _ => at_middle,
            };
            [at_middle, at_face].map(|half| half.scale(1.0 / across(wall)))
        };
        let met = || others().filter(|k| across(&lines[*k]) >= 0.5).map(covers);
        let left = (o.station - here).abs();
        let is_beyond = (0..2).any(|at| {
            let covered = met().map(|c| c[at]).max().unwrap_or_default();
            reach(way)[at] > left + covered + TRIFLE
        });
        is_beyond.then(|| m.frame().at(o.station, Length::ZERO))
    };
    beyond(start, -1.0).or_else(|| beyond(end, 1.0))
}

/// Three walls that cross each other two by two, with one place in all of them.
fn three(
    lines: &[Line],
    widths: &Widths,
    n: &Network,
    told: &mut BTreeSet<Vec<usize>>,
    findings: &mut Vec<Finding>,
) {
    // Beyond this even walls that hardly cross are clear of each other.
    let reach = (widths.framed * 2).scale(2.0 / PARALLEL);
    let number = |i: &usize| lines[*i].wall;
    let mut each: Vec<usize> = (0..lines.len()).collect();
    each.sort_unstable_by_key(number);
    for i in each {
        let later = |j: &usize| number(j) > number(&i);
        let on = &n.on_line[i];
        for (k, here) in on.iter().enumerate() {
            let near = on[k + 1..].iter().take_while(|o| o.station - here.station <= reach);
            for there in near {
                let second = n.at(there.node).filter(later);
                let pairs = second.flat_map(|c| n.at(here.node).map(move |b| (b, c)));
                for (b, c) in pairs.filter(|(b, c)| later(b) && b != c) {
                    let mut three = vec![i, b, c];
                    three.sort_unstable_by_key(number);
                    let crossed = lines[b].dir.cross(lines[c].dir).abs() >= PARALLEL;
                    if !crossed || !meet(lines, n, &[b, c]) || meet(lines, n, &three) {
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
fn meet(lines: &[Line], n: &Network, walls: &[usize]) -> bool {
    let fewest = walls.iter().min_by_key(|i| n.on_line[**i].len());
    let all_at = |node: usize| walls.iter().all(|i| n.is_at(lines, *i, node));
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
    if !is_shared(shared) || !told.insert(walls.clone()) {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Strips 100 in long: what is narrower than half a thousandth of an inch is rounding, however long it is.
    #[test]
    fn a_long_strip_is_shared_only_if_it_is_wider_than_rounding() {
        let strip = |nm: i64| {
            let (long, wide) = (Length::inches(100), Length::from_nm(nm));
            let z = Length::ZERO;
            [(z, z), (long, z), (long, wide), (z, wide)].map(|(x, y)| Point::new(x, y))
        };
        let half_a_thousandth = Length::inches(1).nm() / 2000;
        assert_eq!(TRIFLE.nm(), half_a_thousandth);
        for (nm, shared) in
            [(3, false), (half_a_thousandth - 100, false), (half_a_thousandth + 100, true)]
        {
            assert_eq!(is_shared(&strip(nm)), shared, "{nm} nm");
        }
    }
}
