//! Changes of width or height drawn inside the thickness of a wall that meets them there.
//!
//! A wet wall is drawn to a face of the partition it begins at, as a rule, or an inch beside its centreline. Two places
//! within one wall's thickness leave no plates between them, so the change is brought to that wall's framing
//! centreline, as a wall's end is that is drawn to a face.

use crate::line::Line;
use crate::merge::SLIVER;
use crate::pairs::{self, Bounds};
use diag::words::counted;
use diag::{Finding, codes::graph};
use geom::{Frame, Length, Point};
use std::collections::BTreeMap;

/// Walls that cross more flatly than at 30 degrees are no place for a change.
const FLAT: f64 = 0.5;

/// Where two walls in line meet whose plates are not the same.
struct Seam {
    at: Point,
    /// Before it and after it.
    lines: [usize; 2],
    /// Of the wall nearest to it: how far, its number, and where it crosses.
    best: Option<(Length, usize, Point)>,
}

/// Brings changes of width or height to the centreline of the wall they lie in.
pub(crate) fn bring_to_centrelines(
    lines: &mut [Line],
    rows: &[Vec<usize>],
    snap: Length,
    findings: &mut Vec<Finding>,
) {
    let mut seams: Vec<Seam> = rows.iter().flat_map(|row| seams_of(lines, row, snap)).collect();
    if seams.is_empty() {
        return;
    }
    let widest = lines.iter().map(Line::half_width).max().unwrap_or_default() * 2 + snap;
    let count = lines.len();
    let bounds = |k: usize| match k.checked_sub(count) {
        None => Bounds::of_line(&lines[k]),
        Some(s) => Bounds::of(seams[s].at, seams[s].at),
    };
    let mut meeting: Vec<(usize, usize)> = Vec::new();
    pairs::near(count + seams.len(), bounds, (widest * 2).nm(), |i, j| {
        if i < count && j >= count {
            meeting.push((j - count, i));
        }
    });
    for (s, i) in meeting {
        let seam = &seams[s];
        let Some((off, at)) = crossing(lines, seam, i, snap) else { continue };
        let nearer =
            |(best, j, _): &(Length, usize, Point)| (off, lines[i].wall) < (*best, lines[*j].wall);
        if seam.best.as_ref().is_none_or(nearer) {
            seams[s].best = Some((off, i, at));
        }
    }
    // By the wall before it: the order of the finding's place.
    let mut moved: BTreeMap<_, (Length, Point)> = BTreeMap::new();
    for Seam { lines: [before, after], best, .. } in &seams {
        // Within the tolerance the ends are joined as they are.
        let Some((off, other, at)) = best.filter(|(off, ..)| *off > snap) else { continue };
        let room = lines[other].half_width() + off + Length::inches(1);
        if [before, after].iter().all(|i| lines[**i].length() > room) {
            [before, after].iter().for_each(|i| crate::merge::meet_at(&mut lines[**i], at));
            moved.insert(lines[*before].wall.min(lines[*after].wall), (off, at));
        }
    }
    let Some((off, at)) = moved.values().max_by_key(|(off, _)| *off) else { return };
    let text = format!(
        "A change of width or height drawn within the thickness of a wall that meets it was brought to that wall's framing centreline in {}; the longest move is {}.",
        counted(moved.len(), "place"),
        off.feet_inches()
    );
    findings.push(Finding::new(graph::ENDS_JOINED, text).at(*at));
}

/// Of walls on one line those that meet end to end and have other plates. Raked tops keep their ridge where it is.
fn seams_of(lines: &[Line], row: &[usize], snap: Length) -> Vec<Seam> {
    let Some(first) = row.first() else { return Vec::new() };
    let frame = lines[*first].frame();
    let span = |i: usize| {
        let [s, t] = [lines[i].a, lines[i].b].map(|p| frame.locate(p).0);
        (s.min(t), s.max(t), lines[i].wall)
    };
    let mut along = row.to_vec();
    along.sort_by_key(|i| span(*i));
    let ends_there = |pair: &[usize]| {
        let ([before, after], (_, reach, _), (start, ..)) =
            ([pair[0], pair[1]], span(pair[0]), span(pair[1]));
        let [l, m] = [&lines[before], &lines[after]];
        let change = !l.same_plates(m) && !l.is_raked() && !m.is_raked();
        (change && (reach - start).abs() <= snap).then(|| Seam {
            at: frame.at(start, Length::ZERO),
            lines: [before, after],
            best: None,
        })
    };
    along.windows(2).filter_map(ends_there).collect()
}

/// How far from a seam a wall crosses or meets its line, where the seam lies within that wall's thickness.
fn crossing(lines: &[Line], seam: &Seam, i: usize, snap: Length) -> Option<(Length, Point)> {
    let [l, after] = seam.lines.map(|k| &lines[k]);
    let m = &lines[i];
    let (along, across) = (l.dir.dot(m.dir), l.dir.cross(m.dir));
    if across.abs() < FLAT {
        return None;
    }
    let frame = Frame::along(seam.at, (l.dir.0, l.dir.1));
    let (station, offset) = frame.locate(m.a);
    let off = station - offset.scale(along / across);
    let on_m = -offset.scale(1.0 / across);
    let beyond = l.half_width().max(after.half_width()) + snap;
    let there = on_m >= -beyond && on_m <= m.length() + beyond;
    let inside = off.abs() <= m.half_width().scale(1.0 / across.abs()) + SLIVER;
    (there && inside).then(|| (off.abs(), frame.at(off, Length::ZERO)))
}
