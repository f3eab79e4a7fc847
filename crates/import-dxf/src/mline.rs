//! MLINE: from tags to middle line, width and cuts.
//!
//! Knows: the element parameters that an MLINE has at each vertex. Never touches: its style.
//!
//! The elements' offsets are taken from the entity itself, along each vertex's miter, so that scale and
//! justification are in them and the style (in OBJECTS, and missing in some files) is not needed. The
//! parameters of an element are its offset, where its line starts, and then by turns where it is cut
//! and where it goes on, as distances from the vertex (Autodesk DXF reference, "MLINE").

use crate::affine::{Xy, norm, sub};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Kind, Linework, mark, sine_between};
use crate::tag::{Tag, Tags};

struct MlineVertex {
    at: Xy,
    dir: Xy,
    miter: Xy,
    low: f64,
    high: f64,
    /// For each element: where its line starts, stops, starts...
    elements: Vec<Vec<f64>>,
}

impl MlineVertex {
    fn at_x(x: f64) -> MlineVertex {
        MlineVertex {
            at: [x, f64::NAN],
            dir: [0.0; 2],
            miter: [0.0; 2],
            low: f64::INFINITY,
            high: f64::NEG_INFINITY,
            elements: Vec::new(),
        }
    }
    fn middle(&self) -> Xy {
        let along = if self.low <= self.high { (self.low + self.high) / 2.0 } else { 0.0 };
        [self.at[0] + self.miter[0] * along, self.at[1] + self.miter[1] * along]
    }
    fn width(&self) -> Option<f64> {
        let sine = sine_between(self.dir, self.miter);
        (self.low < self.high).then_some((self.high - self.low) * sine)
    }
    /// Where none of the elements is drawn on the way to the next vertex, as shares of it.
    fn cuts(&self, length: f64) -> Vec<[f64; 2]> {
        let mut common = vec![[0.0, length]];
        for breaks in &self.elements {
            // Drawn from the 1st to the 2nd, from the 3rd to the 4th, ...; open between, and after a
            // last one that is an end. An element without any is drawn whole.
            let starts = breaks.iter().step_by(2).copied().chain([length]);
            let stops = [0.0].into_iter().chain(breaks.iter().skip(1).step_by(2).copied());
            let between = stops.zip(starts).filter(|(stop, start)| stop < start);
            let open: Vec<[f64; 2]> = match breaks.is_empty() {
                true => Vec::new(),
                false => between.map(|(stop, start)| [stop, start]).collect(),
            };
            common = overlaps(&common, &open);
        }
        let share = |d: f64| (d / length).clamp(0.0, 1.0);
        let found = common.into_iter().map(|[a, b]| [share(a), share(b)]);
        match self.elements.is_empty() || length <= 0.0 {
            true => Vec::new(),
            false => found.filter(|[a, b]| b - a > 1e-9).collect(),
        }
    }
}

/// What is in both of two ascending lists of ranges.
fn overlaps(a: &[[f64; 2]], b: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::new();
    while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
        let both = [x[0].max(y[0]), x[1].min(y[1])];
        if both[0] < both[1] {
            out.push(both);
        }
        if x[1] < y[1] { i += 1 } else { j += 1 }
    }
    out
}

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    /// Becomes the middle line between its outermost elements, and their distance.
    pub fn mline(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let mut vertices: Vec<MlineVertex> = Vec::new();
        let mut flags = 0;
        let mut params_left = 0;
        let mut params_index = 0;
        let mut cut = false;
        let after = loop {
            let t = match self.field(&mut c) {
                Field::Tag(t) => t,
                Field::End(after) => break after,
            };
            match t.code {
                71 => flags = t.int(),
                11 => vertices.push(MlineVertex::at_x(t.real(self.tags.damage()))),
                74 => (params_left, params_index) = (t.int().clamp(0, 1_000_000), 0),
                21 | 12 | 22 | 13 | 23 | 41 => {
                    let v = t.real(self.tags.damage());
                    let Some(last) = vertices.last_mut() else { continue };
                    match t.code {
                        21 => last.at[1] = v,
                        12 => last.dir[0] = v,
                        22 => last.dir[1] = v,
                        13 => last.miter[0] = v,
                        23 => last.miter[1] = v,
                        // First of an element: its offset. Second: where it starts. More: cuts.
                        _ if params_left > 0 => {
                            if params_index == 0 {
                                last.low = last.low.min(v);
                                last.high = last.high.max(v);
                                last.elements.push(Vec::new());
                            } else if let Some(breaks) = last.elements.last_mut() {
                                breaks.push(v);
                            }
                            cut |= params_index >= 2;
                            params_index += 1;
                            params_left -= 1;
                        }
                        _ => {}
                    }
                }
                _ => {}
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        // MLINE vertices are in world coordinates; the normal only tells a tilted one.
        self.begin(head, &c, Kind::Mline, 0.0, out);
        if cut {
            out.mark_last(mark::CUT);
        }
        // 2: closed.
        let closing = if flags & 2 != 0 { vertices.first() } else { None };
        let ends = vertices.iter().skip(1).chain(closing);
        for (v, w) in vertices.iter().zip(ends) {
            let before = out.segments.len();
            out.push_segment(v.middle(), w.middle(), v.width());
            if cut && out.segments.len() > before {
                let cuts = v.cuts(norm(sub(w.at, v.at)));
                out.cuts.extend(cuts.into_iter().map(|range| (before as u32, range)));
            }
        }
        after
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn vertex(elements: &[&[f64]]) -> MlineVertex {
        let elements = elements.iter().map(|e| e.to_vec()).collect();
        MlineVertex { elements, ..MlineVertex::at_x(0.0) }
    }

    #[test]
    fn cuts_are_where_no_element_is_drawn() {
        assert!(vertex(&[&[0.0], &[0.0]]).cuts(100.0).is_empty());
        // One face open for a tee: the wall goes on.
        assert!(vertex(&[&[0.0, 40.0, 60.0], &[0.0]]).cuts(100.0).is_empty());
        let both = vertex(&[&[0.0, 40.0, 60.0], &[0.0, 40.0, 60.0]]);
        assert_eq!(both.cuts(100.0), [[0.4, 0.6]]);
        // Two cuts in one element, one of them met by the other; a cut up to the end; one at the start.
        let many = vertex(&[&[0.0, 10.0, 20.0, 50.0, 70.0], &[0.0, 55.0, 90.0]]);
        assert_eq!(many.cuts(100.0), [[0.55, 0.7]]);
        assert_eq!(vertex(&[&[0.0, 80.0], &[0.0, 75.0]]).cuts(100.0), [[0.8, 1.0]]);
        assert_eq!(vertex(&[&[5.0], &[10.0]]).cuts(100.0), [[0.0, 0.05]]);
        // Nonsense is no cut.
        assert!(vertex(&[]).cuts(100.0).is_empty());
        assert!(vertex(&[&[0.0, f64::NAN, 60.0]]).cuts(100.0).is_empty());
        assert!(vertex(&[&[0.0, 40.0, 60.0]]).cuts(0.0).is_empty());
    }
}
