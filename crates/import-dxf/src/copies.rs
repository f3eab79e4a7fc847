//! Lines drawn over each other many times: copies that say nothing new and cost every search its time.
//!
//! Knows: which shapes of one layer lie in one place. Never touches: units, what the lines are. Which copies
//! stay depends on inserts and handles, not on the order of the file.
//!
//! Inserts inside inserts, each repeated at the same step, make a hundred thousand lines of ten. Every search
//! for what runs beside a line looks at all of them, so the time grows with their square. The first few stay:
//! a line drawn two or three times is merged where walls are merged, and named there.

use crate::account::{Fate, Reason};
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::linework::Shape;
use limits::Watch;
use rustc_hash::FxHasher;
use smallvec::SmallVec;
use std::hash::{Hash, Hasher};

/// Copies of a shape in one place that are looked at.
const KEPT: usize = 4;
/// Coordinates are compared in steps of the next power of two over this, so many bits down: far finer than any
/// drawing is drawn, far coarser than what ten inserts round off.
const FINE: f64 = 1.0 / (1_u64 << 38) as f64;

/// Places of a shape's lines, whichever way they are drawn: equal for copies.
type Place = SmallVec<[i64; 8]>;

/// Leaves out the copies of shapes beyond the first few, wherever a shape may still become something.
pub(crate) fn leave_out_copies(
    file: &DxfFile<'_>,
    drawing: &Drawing,
    fates: &mut [Fate],
    watch: &Watch,
) {
    let shapes = &drawing.lines.shapes;
    let may_be_used = |f: &Fate| matches!(f, Fate::Open | Fate::Left(Reason::NotUsed));
    let mut places: Vec<(u64, u32)> = Vec::new();
    for (i, (shape, _)) in
        shapes.iter().zip(fates.iter()).enumerate().filter(|x| may_be_used(x.1.1))
    {
        if watch.is_over_at(i) {
            return;
        }
        let mut hash = FxHasher::default();
        place(drawing, i, shape).hash(&mut hash);
        places.push((hash.finish(), i as u32));
    }
    places.sort_unstable();
    for same in places.chunk_by(|a, b| a.0 == b.0).filter(|same| same.len() > KEPT) {
        if watch.is_over() {
            return;
        }
        // What shares a number need not share its place.
        let mut all: Vec<(Place, &Shape, usize)> = same
            .iter()
            .filter_map(|(_, i)| Some((*i as usize, shapes.get(*i as usize)?)))
            .map(|(i, shape)| (place(drawing, i, shape), shape, i))
            .collect();
        all.sort_unstable_by(|a, b| {
            let via = |s: &Shape| s.via.wrapping_add(1);
            let handles = || file.handle_number(a.1.pos).cmp(&file.handle_number(b.1.pos));
            a.0.cmp(&b.0)
                .then_with(|| via(a.1).cmp(&via(b.1)))
                .then_with(
                    || if a.1.pos == b.1.pos { std::cmp::Ordering::Equal } else { handles() },
                )
                .then(a.1.pos.cmp(&b.1.pos))
        });
        for copies in all.chunk_by(|a, b| a.0 == b.0) {
            for (_, _, i) in copies.iter().skip(KEPT) {
                if let Some(fate) = fates.get_mut(*i) {
                    *fate = Fate::Left(Reason::Copy);
                }
            }
        }
    }
}

fn place(drawing: &Drawing, i: usize, shape: &Shape) -> Place {
    let lines = &drawing.lines;
    let mut pieces: SmallVec<[[i64; 7]; 1]> = SmallVec::new();
    let segments = lines.segments_of(i).filter_map(|k| Some((k, lines.segments.get(k)?)));
    for (k, g) in segments {
        pieces.push(piece([g.a, g.b], [0.0, lines.width_of(k).unwrap_or(0.0)]));
    }
    for a in lines.arcs_of(i).filter_map(|k| lines.arcs.get(k)) {
        let [from, to] = a.ends();
        let middle = a.at(a.sweep / 2.0);
        pieces.push(piece([from, to], middle));
    }
    pieces.sort_unstable();
    let mut out = Place::new();
    out.extend([i64::from(shape.layer), shape.kind as i64, i64::from(shape.marks)]);
    out.extend(pieces.into_iter().flatten());
    out
}

/// Two ends in the lesser order, what else there is to compare, and the step they are counted in.
fn piece(ends: [[f64; 2]; 2], more: [f64; 2]) -> [i64; 7] {
    let most = ends.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs()));
    // Not a round number: those are drawn often, and a hair either way must not change the step.
    let step = 2.0_f64.powi((most * 1.37).max(1e-6).log2().ceil() as i32) * FINE;
    // Nor is a round number half way between two steps.
    let count = |v: f64| (v / step + 0.118).floor() as i64;
    let [a, b] = ends.map(|p| p.map(count));
    let (a, b) = if a <= b { (a, b) } else { (b, a) };
    [a[0], a[1], b[0], b[1], count(more[0]), count(more[1]), step.to_bits() as i64]
}
