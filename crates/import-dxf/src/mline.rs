//! MLINE: from tags to middle line, width and cuts.
//!
//! Knows: the element parameters that an MLINE has at each vertex. Never touches: its style.
//!
//! The elements' offsets are taken from the entity itself, along each vertex's miter, so that scale and
//! justification are in them and the style (in OBJECTS, and missing in some files) is not needed. The
//! parameters of an element are its offset, where its line starts, and then by turns where it is cut
//! and where it goes on, as distances from the vertex (Autodesk DXF reference, "MLINE").

use crate::affine::{Xy, dot, norm, sub};
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Kind, Linework, mark, sine_between};
use crate::tag::{Tag, Tags};

struct MlineVertex {
    at: Xy,
    dir: Xy,
    miter: Xy,
    low: f64,
    high: f64,
    /// For each element: its offset, and where its line starts, stops, starts...
    elements: Vec<(f64, Vec<f64>)>,
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
    fn middle_offset(&self) -> f64 {
        if self.low <= self.high { (self.low + self.high) / 2.0 } else { 0.0 }
    }
    fn middle(&self) -> Xy {
        let along = self.middle_offset();
        [self.at[0] + self.miter[0] * along, self.at[1] + self.miter[1] * along]
    }
    fn width(&self) -> Option<f64> {
        let sine = sine_between(self.dir, self.miter);
        (self.low < self.high).then_some((self.high - self.low) * sine)
    }
    /// How far along the line to the next vertex the miter lies at an offset.
    fn station(&self, offset: f64) -> f64 {
        dot(self.miter, self.dir) * offset
    }
    /// Where none of the elements is drawn on the way to the next vertex, as shares of the middle line,
    /// which goes `from` one station `to` another.
    fn cuts(&self, from: f64, to: f64) -> Vec<[f64; 2]> {
        let length = to - from;
        let mut common = vec![[from, to]];
        for (offset, breaks) in &self.elements {
            // Distances are counted from where the element meets the miter. Drawn from the 1st to the
            // 2nd, from the 3rd to the 4th, ...; open between, and after a last one that is an end. An
            // element without any is drawn whole.
            let at = |d: &f64| self.station(*offset) + d;
            let starts = breaks.iter().step_by(2).map(at).chain([to]);
            let stops = breaks.iter().skip(1).step_by(2).map(at);
            let between =
                [from].into_iter().chain(stops).zip(starts).filter(|(stop, start)| stop < start);
            let open: Vec<[f64; 2]> = match breaks.is_empty() {
                true => Vec::new(),
                false => between.map(|(stop, start)| [stop, start]).collect(),
            };
            common = overlaps(&common, &open);
        }
        let share = |d: f64| ((d - from) / length).clamp(0.0, 1.0);
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
                71 => flags = t.flag(self.tags.damage()),
                11 => vertices.push(MlineVertex::at_x(t.real(self.tags.damage()))),
                74 => {
                    (params_left, params_index) =
                        (t.flag(self.tags.damage()).clamp(0, 1_000_000), 0)
                }
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
                                last.elements.push((v, Vec::new()));
                            } else if let Some((_, breaks)) = last.elements.last_mut() {
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
                let to = norm(sub(w.at, v.at)) + dot(w.miter, v.dir) * w.middle_offset();
                let cuts = v.cuts(v.station(v.middle_offset()), to);
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
        let elements = elements.iter().map(|e| (0.0, e.to_vec())).collect();
        MlineVertex { elements, ..MlineVertex::at_x(0.0) }
    }

    #[test]
    fn cuts_are_where_no_element_is_drawn() {
        let cuts = |elements: &[&[f64]]| vertex(elements).cuts(0.0, 100.0);
        assert!(cuts(&[&[0.0], &[0.0]]).is_empty());
        // One face open for a tee: the wall goes on.
        assert!(cuts(&[&[0.0, 40.0, 60.0], &[0.0]]).is_empty());
        assert_eq!(cuts(&[&[0.0, 40.0, 60.0], &[0.0, 40.0, 60.0]]), [[0.4, 0.6]]);
        // Two cuts in one element, one of them met by the other; a cut up to the end; one at the start.
        let many = cuts(&[&[0.0, 10.0, 20.0, 50.0, 70.0], &[0.0, 55.0, 90.0]]);
        assert_eq!(many, [[0.55, 0.7]]);
        assert_eq!(cuts(&[&[0.0, 80.0], &[0.0, 75.0]]), [[0.8, 1.0]]);
        assert_eq!(cuts(&[&[5.0], &[10.0]]), [[0.0, 0.05]]);
        // Nonsense is no cut.
        assert!(cuts(&[]).is_empty());
        assert!(cuts(&[&[0.0, f64::NAN, 60.0]]).is_empty());
        assert!(vertex(&[&[0.0, 40.0, 60.0]]).cuts(0.0, 0.0).is_empty());
    }

    /// Autodesk DXF reference, "MLINE", group 41: the first parameter of an element is the distance from
    /// the vertex along the miter to where the element's path meets it, the others are distances along
    /// the path from there. At a mitred corner the elements of one straight cut count from other places.
    #[test]
    fn elements_count_from_where_they_meet_the_miter() {
        let miter = [-0.5_f64.sqrt(), 0.5_f64.sqrt()];
        let offset = |o: f64| o * 2.0_f64.sqrt();
        let corner = MlineVertex {
            dir: [1.0, 0.0],
            miter,
            low: offset(-2.0),
            high: offset(2.0),
            // The outer one begins 2 before the vertex, the inner one 2 after it.
            elements: vec![
                (offset(2.0), vec![0.0, 42.0, 78.0]),
                (offset(-2.0), vec![0.0, 38.0, 74.0]),
            ],
            ..MlineVertex::at_x(0.0)
        };
        let cuts = corner.cuts(corner.station(corner.middle_offset()), 100.0);
        assert_eq!(cuts.len(), 1);
        assert!((cuts[0][0] - 0.4).abs() < 1e-12 && (cuts[0][1] - 0.76).abs() < 1e-12, "{cuts:?}");
    }
}
