//! Parts of a body that lie apart from each other along a line.
//!
//! Knows: how far along a line each solid and each face reaches. Never touches: walls, units.

use super::affine::Vec3;
use super::body::Body;

/// The parts of a body with more than `gap` between them along a line, in the order of `along`, which says how far
/// along it a point lies. One part where points stand without faces, for which nothing tells what holds them together.
pub fn apart(body: &Body, along: impl Fn(Vec3) -> f64, gap: f64) -> Vec<Body> {
    let of_loops: usize = body.facets().map(<[Vec3]>::len).sum();
    if of_loops < body.vertices.len() {
        return vec![body.clone()];
    }
    let solids = body.prisms.iter().map(|p| Body { prisms: vec![p.clone()], ..Body::default() });
    let faces = body.facets().map(|face| {
        let (vertices, loops) = (face.to_vec(), vec![(0, face.len())]);
        Body { vertices, loops, ..Body::default() }
    });
    let mut each: Vec<((f64, f64), Body)> =
        solids.chain(faces).filter_map(|part| Some((part.range(&along)?, part))).collect();
    each.sort_by(|(a, _), (b, _)| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut out: Vec<Body> = Vec::new();
    let mut end = f64::NEG_INFINITY;
    for ((from, to), part) in each {
        match out.last_mut().filter(|_| from <= end + gap) {
            Some(last) => last.append(part),
            None => out.push(part),
        }
        end = end.max(to);
    }
    out
}
