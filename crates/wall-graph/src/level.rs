//! Levelling tops and feet of walls that differ by less than a tape shows.
//!
//! Heights come from settings in inches, from models in millimetres, and out of matrices with noise; a corner
//! of two walls that differ by a hair is a corner all the same, and laps.

use crate::line::Line;
use diag::words::{counted, is};
use diag::{Finding, codes::graph};
use geom::{Length, Point};
use std::collections::BTreeMap;
use wall_model::WallId;

/// Heights this near each other are one.
const SAME: Length = Length::SIXTEENTH;

/// Less than this is not worth a word.
const NOISE: Length = Length::from_nm(25_400);

/// Gives level walls of one storey whose tops (or feet) differ by a sixteenth or less one height: the one that most of
/// their length has, the lower of equals.
pub(crate) fn level(lines: &mut [Line], findings: &mut Vec<Finding>) {
    let mut moves: Vec<(Length, WallId, Point)> = Vec::new();
    for of in [height_of_top as HeightOf, height_of_foot] {
        let settled = settled(lines.iter_mut().filter_map(|l| Some((*of(l)?, l.length()))));
        for l in lines.iter_mut() {
            let (wall, a) = (l.wall, l.a);
            if let Some(height) = of(l)
                && let Some(to) = settled.get(height)
            {
                moves.push(((*to - *height).abs(), wall, a));
                *height = *to;
            }
        }
    }
    moves.retain(|m| m.0 > NOISE);
    let largest = moves.iter().max_by_key(|(by, wall, _)| (*by, std::cmp::Reverse(*wall)));
    let Some((most, _, place)) = largest else { return };
    let mut walls: Vec<WallId> = moves.iter().map(|m| m.1).collect();
    walls.sort_unstable();
    walls.dedup();
    let whose = if walls.len() == 1 { "whose top or foot lies" } else { "whose tops or feet lie" };
    let message = format!(
        "{} {whose} a hair above or below the others' {} planned at their height; the largest move is {:.3} in.",
        counted(walls.len(), "wall"),
        is(walls.len()),
        most.to_inches()
    );
    findings.push(Finding::new(graph::HEIGHTS_LEVELLED, message).at(*place));
}

type HeightOf = for<'l, 'm> fn(&'l mut Line<'m>) -> Option<&'l mut Length>;

fn height_of_top<'l>(l: &'l mut Line<'_>) -> Option<&'l mut Length> {
    l.level_top_mut()
}

fn height_of_foot<'l>(l: &'l mut Line<'_>) -> Option<&'l mut Length> {
    Some(&mut l.base)
}

/// Heights that are to become another one.
fn settled(all: impl Iterator<Item = (Length, Length)>) -> BTreeMap<Length, Length> {
    let mut shares: BTreeMap<Length, Length> = BTreeMap::new();
    for (height, length) in all {
        *shares.entry(height).or_default() += length;
    }
    let mut out = BTreeMap::new();
    let heights: Vec<(Length, Length)> = shares.into_iter().collect();
    let mut rest = heights.as_slice();
    while let Some((lowest, _)) = rest.first() {
        let (group, after) = rest.split_at(rest.partition_point(|(h, _)| *h - *lowest <= SAME));
        rest = after;
        let common = group.iter().max_by_key(|(h, share)| (*share, std::cmp::Reverse(*h)));
        let Some((to, _)) = common else { break };
        out.extend(group.iter().filter(|(h, _)| h != to).map(|(h, _)| (*h, *to)));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heights_within_a_sixteenth_become_the_common_one() {
        let inch = |v: f64| Length::from_inches(v).expect("a length");
        let all = [(97.125, 10.0), (97.1255, 4.0), (97.16, 5.0), (97.25, 90.0), (109.0, 1.0)];
        let to = settled(all.iter().map(|(h, l)| (inch(*h), inch(*l))));
        let want: BTreeMap<Length, Length> =
            [(inch(97.1255), inch(97.125)), (inch(97.16), inch(97.125))].into();
        assert_eq!(to, want);
    }
}
