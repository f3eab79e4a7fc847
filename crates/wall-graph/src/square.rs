//! Squaring up walls that were drawn a hair off the building's own directions.

use crate::line::{Dir, Line};
use crate::listed::Listed;
use diag::words::{counted, was};
use diag::{Finding, codes::graph};
use geom::{Frame, Length};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

/// Walls further off than this are meant to be oblique. 1 degree moves the end of a 2 ft wall by
/// 0.4 in, about the snap tolerance; longer walls are held to the tolerance itself.
const MEANT: f64 = std::f64::consts::PI / 180.0;

/// Turns each nearly square wall about its middle until it is exactly square with the building; no
/// end moves more than half the snap tolerance. Where all lie along the sheet that is the main direction, and they have it.
pub(crate) fn square_up(lines: &mut [Line], snap: Length, findings: &mut Vec<Finding>) {
    let Some(main) = main_direction(lines) else { return };
    let (mut listed, mut most, mut place) = (Listed::default(), Length::ZERO, None);
    for l in lines.iter_mut() {
        if main == 0.0 && l.dir.along_the_sheet() {
            continue;
        }
        let angle = l.dir.1.atan2(l.dir.0);
        let turns = ((angle - main) / FRAC_PI_2).round();
        let off = angle - main - turns * FRAC_PI_2;
        let drift = l.length().scale(off.sin().abs());
        if off.abs() > MEANT || drift > snap {
            continue;
        }
        let dir = quarter_turned(main, turns as i64);
        if dir == l.dir {
            continue;
        }
        let length = l.a.distance(l.b).denoise();
        let middle = Frame::along(l.a, (l.dir.0, l.dir.1)).at(l.length().half(), Length::ZERO);
        let f = Frame::along(middle, (dir.0, dir.1));
        let (a, b) =
            (f.at(-length.half(), Length::ZERO), f.at(length - length.half(), Length::ZERO));
        let moved = a.distance(l.a).max(b.distance(l.b));
        l.lay(a, b, dir);
        if moved > Length::from_nm(25_400) {
            listed.add(l.wall, || l.source());
            if moved > most || moved == most && place.is_some_and(|(wall, _)| l.wall < wall) {
                (most, place) = (moved, Some((l.wall, l.a)));
            }
        }
    }
    if let Some((_, p)) = place {
        findings.push(
            Finding::new(
                graph::WALLS_SQUARED,
                format!(
                    "{} drawn slightly out of square {} turned square; the largest move of an end is {:.3} in.",
                    counted(listed.count, "wall"),
                    was(listed.count),
                    most.to_inches()
                ),
            )
            .at(p)
            .from(&listed.sources()),
        );
    }
}

/// Exact for a building along the sheet, so that every station on it is exact too.
fn quarter_turned(main: f64, turns: i64) -> Dir {
    let d = Dir(main.cos(), main.sin());
    let d = if main == 0.0 { Dir(1.0, 0.0) } else { d };
    match turns.rem_euclid(4) {
        0 => d,
        1 => Dir(-d.1, d.0),
        2 => Dir(-d.0, -d.1),
        _ => Dir(d.1, -d.0),
    }
}

/// The direction, modulo a quarter turn, that most wall length follows: the length-weighted median of
/// the fullest quarter-degree bin and its neighbours. Within a microradian of the sheet it is the
/// sheet's own.
fn main_direction(lines: &[Line]) -> Option<f64> {
    const BIN: f64 = std::f64::consts::PI / 720.0;
    const BINS: i64 = 360;
    let mut weight = vec![0_i64; BINS as usize];
    let mut angles: Vec<(f64, i64)> = Vec::new();
    // All that lie along the sheet as one.
    let mut along = 0;
    let mut add = |off: f64, length: i64| {
        let bin = ((off + FRAC_PI_4) / BIN).round() as i64;
        weight[bin.rem_euclid(BINS) as usize] += length;
        angles.push((off, length));
    };
    for l in lines {
        if l.dir.along_the_sheet() {
            along += l.length().nm();
            continue;
        }
        let a = l.dir.1.atan2(l.dir.0);
        add(a - (a / FRAC_PI_2).round() * FRAC_PI_2, l.length().nm());
    }
    if along > 0 {
        add(0.0, along);
    }
    let total = |b: i64| (-1..=1).map(|k| weight[(b + k).rem_euclid(BINS) as usize]).sum::<i64>();
    let best = (0..BINS).max_by_key(|b| (total(*b), -(b - BINS / 2).abs()))?;
    let centre = best as f64 * BIN - FRAC_PI_4;
    let mut near: Vec<(f64, i64)> = angles
        .into_iter()
        .map(|(a, w)| (a - ((a - centre) / FRAC_PI_2).round() * FRAC_PI_2, w))
        .filter(|(a, _)| (a - centre).abs() <= 1.5 * BIN)
        .collect();
    near.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    let half: i64 = near.iter().map(|n| n.1).sum::<i64>() / 2;
    let mut sum = 0;
    let median = near.iter().find(|(_, w)| {
        sum += w;
        sum > half
    })?;
    Some(if median.0.abs() < 1e-6 { 0.0 } else { median.0 })
}

#[cfg(test)]
mod tests {
    use super::quarter_turned;

    #[test]
    fn a_direction_is_turned_by_whole_quarters() {
        for main in [0.0, 0.3, -0.3, 0.7] {
            for turns in -5..6_i64 {
                let angle = main + turns as f64 * std::f64::consts::FRAC_PI_2;
                let d = quarter_turned(main, turns);
                let off = (d.0 - angle.cos()).hypot(d.1 - angle.sin());
                assert!(off < 1e-12, "{main} {turns}: {d:?}");
            }
        }
    }
}
