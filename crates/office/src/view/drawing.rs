//! The drawing's own lines.

use super::FrameOut;
use crate::review::Review;
use import_dxf::{Drawn, Picture};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Lines sent at most: some 6 MB. Whole layers are left away beyond, the fullest first.
const MOST_LINES: usize = 200_000;
/// Words sent at most.
const MOST_TEXTS: usize = 5_000;
/// Chords of a whole turn.
const CHORDS: f64 = 24.0;
/// Drawing units from zero; what is farther is damage.
const FARTHEST: f64 = 1e10;

/// See `Drawing` in the API.
#[derive(Serialize)]
pub(crate) struct DrawingOut {
    frame: FrameOut,
    bounds: Option<[f64; 4]>,
    layers: Vec<String>,
    groups: Vec<Group>,
    texts: Vec<Text>,
    omitted: u64,
}

#[derive(Serialize)]
struct Group {
    layer: usize,
    lines: Vec<f64>,
}

#[derive(Serialize)]
struct Text {
    layer: usize,
    at: [f64; 2],
    height: f64,
    text: String,
}

/// The lines of a picture on the page; `None` is a drawing without lines of its own (IFC).
pub(crate) fn drawing(picture: Option<&Picture>, r: &Review) -> DrawingOut {
    let frame = &r.frame;
    let nothing = Picture::default();
    let picture = picture.unwrap_or(&nothing);
    let names: BTreeSet<&str> = picture
        .drawn
        .iter()
        .map(|d| d.layer.as_str())
        .chain(picture.texts.iter().map(|t| t.layer.as_str()))
        .collect();
    let layers: Vec<String> = names.into_iter().map(str::to_owned).collect();
    let number: BTreeMap<&str, usize> =
        layers.iter().enumerate().map(|(i, n)| (n.as_str(), i)).collect();
    let mut sizes: BTreeMap<&str, usize> = BTreeMap::new();
    for d in &picture.drawn {
        *sizes.entry(&d.layer).or_default() += count(d);
    }
    let mut by_size: Vec<(usize, &str)> = sizes.iter().map(|(name, n)| (*n, *name)).collect();
    by_size.sort_unstable();
    let (mut room, mut omitted) = (MOST_LINES, 0);
    let mut groups: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for (n, name) in by_size {
        if n <= room {
            room -= n;
            groups.insert(name, Vec::with_capacity(n * 4));
        } else {
            omitted += n as u64;
        }
    }
    for d in &picture.drawn {
        let Some(group) = groups.get_mut(d.layer.as_str()) else { continue };
        for line in lines(d) {
            if line.iter().all(|v| v.is_finite() && v.abs() < FARTHEST) {
                let (a, b) =
                    (frame.of_drawing([line[0], line[1]]), frame.of_drawing([line[2], line[3]]));
                group.extend([a[0], a[1], b[0], b[1]].map(hundredth));
            } else {
                omitted += 1;
            }
        }
    }
    let at = |name: &str| number.get(name).copied().unwrap_or(0);
    let shown = |t: &&import_dxf::DrawnText| {
        let numbers = [t.at[0], t.at[1], t.height];
        numbers.iter().all(|v| v.is_finite() && v.abs() < FARTHEST) && !t.text.trim().is_empty()
    };
    let texts = picture.texts.iter().filter(shown).take(MOST_TEXTS).map(|t| Text {
        layer: at(&t.layer),
        at: frame.of_drawing(t.at).map(hundredth),
        height: hundredth(t.height * frame.inches_per_unit()),
        text: t.text.chars().take(200).collect(),
    });
    let bounds = drawn_bounds(picture).map(|[l, d, r, u]| {
        let (a, b) = (frame.of_drawing([l, d]), frame.of_drawing([r, u]));
        [a[0].min(b[0]), a[1].min(b[1]), a[0].max(b[0]), a[1].max(b[1])]
    });
    DrawingOut {
        frame: FrameOut::of(frame, super::plan::offset(r)),
        bounds,
        texts: texts.collect(),
        groups: groups
            .into_iter()
            .filter(|(_, lines)| !lines.is_empty())
            .map(|(name, lines)| Group { layer: at(name), lines })
            .collect(),
        layers,
        omitted,
    }
}

fn hundredth(v: f64) -> f64 {
    (v * 100.0).round() / 100.0 + 0.0
}
fn chords(arc: &[f64; 7]) -> usize {
    let turns = arc[6].abs() / std::f64::consts::TAU;
    (turns * CHORDS).ceil().clamp(1.0, CHORDS) as usize
}
fn count(d: &Drawn) -> usize {
    d.lines.len() + d.arcs.iter().map(chords).sum::<usize>()
}
fn lines(d: &Drawn) -> impl Iterator<Item = [f64; 4]> {
    let curved = d.arcs.iter().flat_map(|a| {
        let n = chords(a);
        let at = move |i: usize| {
            let (s, c) = (a[6] * i as f64 / n as f64).sin_cos();
            [a[0] + c * a[2] + s * a[4], a[1] + c * a[3] + s * a[5]]
        };
        (0..n).map(move |i| {
            let ([x1, y1], [x2, y2]) = (at(i), at(i + 1));
            [x1, y1, x2, y2]
        })
    });
    d.lines.iter().copied().chain(curved)
}

/// Left, bottom, right, top of most lines, drawing units: a stray dot far away does not count.
pub(crate) fn drawn_bounds(picture: &Picture) -> Option<[f64; 4]> {
    let ends = || {
        let good = |p: &[f64; 2]| p.iter().all(|v| v.is_finite() && v.abs() < FARTHEST);
        let all = picture.drawn.iter().flat_map(lines);
        all.flat_map(|[x1, y1, x2, y2]| [[x1, y1], [x2, y2]]).filter(good)
    };
    let span = |axis: usize| -> Option<[f64; 2]> {
        let mut v: Vec<f64> = ends().filter_map(|p| p.get(axis).copied()).collect();
        v.sort_by(f64::total_cmp);
        let cut = v.len() / 200;
        let (a, b) = (*v.get(cut)?, *v.get(v.len().checked_sub(1 + cut)?)?);
        let edge = (b - a) * 0.02;
        Some([a - edge, b + edge])
    };
    let ([l, r], [d, u]) = (span(0)?, span(1)?);
    Some([l, d, r, u])
}
