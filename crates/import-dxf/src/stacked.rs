//! Floors that are drawn one above the other in one plan: at heights of their own, or on layers of their own.
//!
//! Knows: heights of wall linework, floors in names of layers, what lies over what. Never touches: which lines are
//! walls.

use crate::account::{Fate, Reason};
use crate::affine::Xy;
use crate::layers::Usage;
use crate::patches::{Box4, NOTHING, join, of_point};
use crate::report::Placed;
use crate::survey::Survey;
use crate::titles::floor_of_layer;
use crate::walls::{WallLine, in_inches};
use diag::codes::dxf;
use diag::{Finding, Severity};
use geom::Length;
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

/// Heights this far apart are storeys, inches (common practice, no source): split levels are less.
const STOREY_IN: f64 = 72.0;
/// Less linework at a height, inches, is no floor.
const LEAST_IN: f64 = 480.0;
/// A floor whose lines lie on those of another but for this part of them is the same plan, drawn at the foot and
/// at the top of its walls.
const OWN: f64 = 0.1;
/// How near a line lies on another, inches.
const NEAR_IN: f64 = 1.0;

/// Lines of one height or floor, inches.
#[derive(Default)]
struct Level {
    lines: Vec<[Xy; 2]>,
    shapes: usize,
    length: f64,
    layers: Vec<String>,
}

/// What there is to say, where walls of several floors are read as one.
pub(crate) fn findings(s: &Survey<'_>, k: f64, walls: &[WallLine]) -> Vec<Placed> {
    if walls.is_empty() {
        return Vec::new();
    }
    let by_height = |i: usize| {
        let pos = s.drawing.lines.shapes.get(i).map_or(0, |shape| shape.pos);
        Some((s.file.height(pos) * k * 16.0).round() as i64)
    };
    let heights = match s.file.heights.is_empty() {
        true => BTreeMap::new(),
        false => joined(levels(s, k, by_height)),
    };
    if let Some(finding) =
        over_each_other(heights, |z| Length::sixteenths(z).feet_inches().to_string())
    {
        return vec![finding.into()];
    }
    let by_layer = |i: usize| {
        let layer = s.drawing.lines.shapes.get(i)?.layer;
        floor_of_layer(s.drawing.layer_name(layer)).map(i64::from)
    };
    let floors = over_each_other(levels(s, k, by_layer), |n| format!("floor {n}"));
    floors.map(|f| f.severity(Severity::Warning).into()).into_iter().collect()
}

/// Wall linework in plans that are read, by what `level` says of its shape.
fn levels(s: &Survey<'_>, k: f64, level: impl Fn(usize) -> Option<i64>) -> BTreeMap<i64, Level> {
    let mut all: BTreeMap<i64, Level> = BTreeMap::new();
    let lines = &s.drawing.lines;
    for (i, fate) in s.fates.iter().enumerate() {
        let is_wall = s.role(i).is_some_and(|r| r.usage == Usage::Wall);
        if !is_wall || fate.is_unseen() || *fate == Fate::Left(Reason::OtherDrawing) {
            continue;
        }
        let Some(key) = level(i) else { continue };
        let level = all.entry(key).or_default();
        level.shapes += 1;
        if let Some(shape) = lines.shapes.get(i) {
            let name = s.drawing.layer_name(shape.layer);
            if !level.layers.iter().any(|l| l == name) {
                level.layers.push(name.to_owned());
            }
        }
        for g in lines.segments_of(i).filter_map(|j| lines.segments.get(j)) {
            let g = in_inches(*g, k);
            level.length += (g.b[0] - g.a[0]).hypot(g.b[1] - g.a[1]);
            level.lines.push([g.a, g.b]);
        }
    }
    all
}

/// Heights less than a storey apart are one level, at the lowest of them.
fn joined(all: BTreeMap<i64, Level>) -> BTreeMap<i64, Level> {
    let mut out: BTreeMap<i64, Level> = BTreeMap::new();
    for (z, mut level) in all {
        match out.last_entry().filter(|e| ((z - e.key()) as f64) < STOREY_IN * 16.0) {
            Some(mut below) => {
                let below = below.get_mut();
                below.lines.append(&mut level.lines);
                below.shapes += level.shapes;
                below.length += level.length;
                level.layers.retain(|l| !below.layers.contains(l));
                below.layers.append(&mut level.layers);
            }
            None => {
                out.insert(z, level);
            }
        }
    }
    out
}

/// A finding about levels that lie over each other and are not the same plan.
fn over_each_other(mut all: BTreeMap<i64, Level>, name: impl Fn(i64) -> String) -> Option<Finding> {
    all.retain(|_, l| l.length >= LEAST_IN);
    let list: Vec<(&i64, &Level)> = all.iter().collect();
    let told: Vec<usize> = (0..list.len())
        .filter(|i| {
            list.iter().enumerate().any(|(j, other)| {
                let (a, b) = (list[*i].1, other.1);
                j != *i && share_ground(a, b) && (differs(a, b) || differs(b, a))
            })
        })
        .collect();
    if told.len() < 2 {
        return None;
    }
    let words: Vec<String> = told
        .iter()
        .map(|i| {
            let (key, level) = list[*i];
            let feet = (level.length / 12.0).round();
            format!("{} ({feet} ft of lines on {})", name(*key), level.layers.join(", "))
        })
        .collect();
    let what = format!(
        "Walls of {} floors lie one above the other and were read as one floor: {}.",
        words.len(),
        words.join("; ")
    );
    Some(Finding::new(dxf::STACKED, what).about(list[told[0]].1.layers.join(", ")))
}

fn bounds(l: &Level) -> Box4 {
    l.lines.iter().flatten().fold(NOTHING, |b, p| join(b, of_point(*p)))
}

/// Whether the boxes of two levels overlap by half of the smaller.
fn share_ground(a: &Level, b: &Level) -> bool {
    let (a, b) = (bounds(a), bounds(b));
    let area = |b: &Box4| (b[2] - b[0]).max(0.0) * (b[3] - b[1]).max(0.0);
    let both = [a[0].max(b[0]), a[1].max(b[1]), a[2].min(b[2]), a[3].min(b[3])];
    area(&both) > 0.5 * area(&a).min(area(&b))
}

/// Whether a good part of a level's lines lies on none of the other's.
fn differs(a: &Level, b: &Level) -> bool {
    let cell = |p: Xy| [(p[0] / NEAR_IN).round() as i64, (p[1] / NEAR_IN).round() as i64];
    let points = |l: &Level, step: f64| -> Vec<Xy> {
        let along = |[p, q]: &[Xy; 2]| {
            let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
            let n = (dx.hypot(dy) / step).ceil().clamp(1.0, 1e5) as usize;
            let p = *p;
            (0..=n).map(move |i| {
                let t = i as f64 / n as f64;
                [p[0] + dx * t, p[1] + dy * t]
            })
        };
        l.lines.iter().flat_map(along).collect()
    };
    let there: FxHashSet<[i64; 2]> = points(b, NEAR_IN).into_iter().map(cell).collect();
    let near = |p: &Xy| {
        let [x, y] = cell(*p);
        (-1..=1).any(|i| (-1..=1).any(|j| there.contains(&[x + i, y + j])))
    };
    let own = points(a, 6.0);
    let off = own.iter().filter(|p| !near(p)).count();
    off as f64 > OWN * own.len() as f64
}
