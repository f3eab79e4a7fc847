//! Surfaces of faces: polyface meshes and MESH, as the edges of their faces seen from above.
//!
//! Knows: the group codes of a polyface's VERTEX records and of MESH. Never touches: what is made of the edges.
//! Both are in world coordinates.

use crate::affine::Xy;
use crate::entity::{After, Common, EntityReader, Field};
use crate::linework::{Kind, Linework, State, mark};
use crate::tag::{Tag, Tags};

/// Corners of one face, as numbers of vertices from 1 on; 0 is no corner, and below zero the edge that begins
/// there is hidden.
pub(crate) type Face = [i64; 4];

/// The edges of faces in plan: each once, however many faces share it, and none that stands upright. The error is
/// that a face has a corner that is no vertex, or a vertex that has no place.
fn edges<'f>(vertices: &[Xy], faces: impl Iterator<Item = &'f [i64]>) -> Result<Vec<[Xy; 2]>, ()> {
    let mut all: Vec<[Xy; 2]> = Vec::new();
    for face in faces {
        for (n, from) in face.iter().enumerate().filter(|(_, from)| **from > 0) {
            let to = face[(n + 1) % face.len()];
            let corner = |number: i64| {
                let n = usize::try_from(number.checked_abs()?).ok()?.checked_sub(1)?;
                vertices.get(n).copied().filter(|p| p.iter().all(|v| v.is_finite()))
            };
            let (a, b) = (corner(*from).ok_or(())?, corner(to).ok_or(())?);
            let (low, high) = if order(&a, &b).is_le() { (a, b) } else { (b, a) };
            if low != high {
                all.push([low, high]);
            }
        }
    }
    all.sort_unstable_by(|a, b| order(&a[0], &b[0]).then_with(|| order(&a[1], &b[1])));
    all.dedup();
    Ok(all)
}

fn order(a: &Xy, b: &Xy) -> std::cmp::Ordering {
    a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]))
}

impl<'a, R: Tags<'a>> EntityReader<'a, R> {
    /// A polyface mesh, once its vertices and faces are read.
    pub fn polyface(&mut self, head: Tag<'a>, c: &mut Common<'a>, out: &mut Linework) {
        let vertices: Vec<Xy> = self.vertices.iter().map(|v| v.at).collect();
        let faces = std::mem::take(&mut self.faces);
        let corners = faces.iter().map(|f| {
            let count = f.iter().position(|n| *n == 0).unwrap_or(f.len());
            f.get(..count).unwrap_or_default()
        });
        self.surface(head, c, Kind::Polyface, edges(&vertices, corners), out);
        self.faces = faces;
    }

    /// A MESH; one that is smoothed is no more its edges than a curve is its control points, and is counted.
    pub fn mesh(&mut self, head: Tag<'a>, mut c: Common<'a>, out: &mut Linework) -> After<'a> {
        let mut vertices: Vec<Xy> = Vec::new();
        // Of each face how many corners, then their numbers from 0 on.
        let (mut list, mut level, mut in_faces): (Vec<i64>, i64, bool) = (Vec::new(), 0, false);
        // Further on come values of single edges and faces by the same codes.
        let mut over = false;
        let after = loop {
            match self.field(&mut c) {
                Field::Tag(_) if over => {}
                Field::Tag(t) => match t.code {
                    91 => level = t.flag(self.tags.damage()),
                    10 => vertices.push([t.real(self.tags.damage()), f64::NAN]),
                    20 => {
                        let y = t.real(self.tags.damage());
                        if let Some(last) = vertices.last_mut() {
                            last[1] = y;
                        }
                    }
                    93 => in_faces = true,
                    90 if in_faces => list.push(t.flag(self.tags.damage())),
                    94 => over = true,
                    _ => {}
                },
                Field::End(after) => break after,
            }
        };
        if self.settled(head, &c, &after, out) {
            return after;
        }
        // More edges than a surface can have of so many vertices are no building.
        if level > 0 || list.len() > 16 * vertices.len() {
            self.count(head, &c, State::NotRead, out);
            return after;
        }
        list.iter_mut().for_each(|n| *n = n.saturating_add(1));
        let mut faces: Vec<&[i64]> = Vec::new();
        let mut rest = list.as_slice();
        let mut whole = true;
        while let Some((count, corners)) = rest.split_first() {
            let count = usize::try_from(count.saturating_sub(1)).unwrap_or(usize::MAX);
            match corners.split_at_checked(count) {
                Some((face, more)) => {
                    faces.push(face);
                    rest = more;
                }
                None => {
                    whole = false;
                    break;
                }
            }
        }
        // Its corners have no sign: what would be a hidden edge of a polyface is no vertex here.
        whole &= faces.iter().flat_map(|f| f.iter()).all(|n| *n > 0);
        let edges = edges(&vertices, faces.into_iter()).and_then(|e| whole.then_some(e).ok_or(()));
        self.surface(head, &mut c, Kind::Mesh, edges, out);
        after
    }

    fn surface(
        &mut self,
        head: Tag<'a>,
        c: &mut Common<'a>,
        kind: Kind,
        edges: Result<Vec<[Xy; 2]>, ()>,
        out: &mut Linework,
    ) {
        c.normal = [0.0, 0.0, 1.0];
        self.begin(head, c, kind, 0.0, out);
        match edges {
            Ok(edges) => edges.into_iter().for_each(|[a, b]| out.push_segment(a, b, None)),
            Err(()) => {
                out.mark_last(mark::BAD);
                let what =
                    "a face has a corner that is none of the vertices; all of it was left out";
                self.tags.damage().add(head.pos, what);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};

    /// Walls of a room 240 by 180 as boxes from corner to corner, with a doorway of 36 in the one below.
    const BOXES: [[f64; 4]; 5] = [
        [0.0, 0.0, 100.0, 5.5],
        [136.0, 0.0, 240.0, 5.5],
        [0.0, 174.5, 240.0, 180.0],
        [0.0, 5.5, 5.5, 174.5],
        [234.5, 5.5, 240.0, 174.5],
    ];
    /// The faces of a box by numbers of its corners: four below, four above.
    const FACES: [[i64; 4]; 6] =
        [[1, 2, 3, 4], [5, 6, 7, 8], [1, 2, 6, 5], [2, 3, 7, 6], [3, 4, 8, 7], [4, 1, 5, 8]];

    fn corners([x, y, u, v]: [f64; 4]) -> Vec<[f64; 3]> {
        let below = [[x, y], [u, y], [u, v], [x, v]];
        [0.0, 97.0].iter().flat_map(|z| below.map(|[x, y]| [x, y, *z])).collect()
    }
    fn place(at: [f64; 3]) -> [(i32, f64); 3] {
        [(10, at[0]), (20, at[1]), (30, at[2])]
    }

    fn polyface(d: Dxf, at: [f64; 4], faces: &[[i64; 4]]) -> Dxf {
        let mut d = d.entity("POLYLINE", "A-WALL", &[(66, 1.0), (70, 64.0), (71, 8.0), (72, 6.0)]);
        for p in corners(at) {
            d = d.entity("VERTEX", "A-WALL", &[&place(p)[..], &[(70, 192.0)]].concat());
        }
        for f in faces {
            let numbers = (71..).zip(f).map(|(code, n)| (code, *n as f64));
            let tags: Vec<_> =
                place([0.0; 3]).into_iter().chain([(70, 128.0)]).chain(numbers).collect();
            d = d.entity("VERTEX", "A-WALL", &tags);
        }
        d.entity("SEQEND", "A-WALL", &[])
    }

    fn mesh(d: Dxf, at: [f64; 4], level: f64, faces: &[[i64; 4]]) -> Dxf {
        let mut tags = vec![(71, 2.0), (72, 0.0), (91, level), (92, 8.0)];
        tags.extend(corners(at).into_iter().flat_map(place));
        tags.push((93, 5.0 * faces.len() as f64));
        for f in faces {
            tags.push((90, 4.0));
            tags.extend(f.iter().map(|n| (90, (*n - 1) as f64)));
        }
        tags.extend([(94, 1.0), (90, 0.0), (90, 1.0), (95, 0.0), (90, 0.0)]);
        d.entity("MESH", "A-WALL", &tags)
    }

    #[test]
    fn walls_of_surfaces_are_those_of_their_outlines() {
        let outlines = |d: Dxf, [x, y, u, v]: [f64; 4]| {
            d.polyline("A-WALL", &[[x, y], [u, y], [u, v], [x, v]], true)
        };
        let want = ok(&BOXES.into_iter().fold(Dxf::inches(), outlines)).value;
        let polyfaces = BOXES.into_iter().fold(Dxf::inches(), |d, b| polyface(d, b, &FACES));
        let meshes = BOXES.into_iter().fold(Dxf::inches(), |d, b| mesh(d, b, 0.0, &FACES));
        for (drawing, kind) in [(polyfaces, "5 POLYLINE"), (meshes, "5 MESH")] {
            let got = ok(&drawing);
            let lines = |m: &wall_model::WallModel| {
                let wall = |w: &wall_model::Wall| {
                    let openings: Vec<_> = w.openings.iter().map(|o| (o.from, o.to)).collect();
                    (w.start, w.end, w.section, openings)
                };
                m.walls.iter().map(wall).collect::<Vec<_>>()
            };
            assert_eq!(lines(&got.value), lines(&want), "{kind}");
            assert_eq!((got.value.walls.len(), got.value.ledger.ignored_total()), (4, 0));
            let told = with(&got.findings, "dxf-walls-as-surfaces");
            assert!(told[0].message.contains(kind), "{told:?}");
        }
    }

    #[test]
    fn a_surface_that_cannot_be_read_is_told_or_counted() {
        let wall = [0.0, 300.0, 240.0, 303.5];
        // Hidden edges are no lines, and lines go before surfaces on a layer that has both.
        let house = || Dxf::inches().house();
        let lines = ok(&house()).value.walls.len();
        for (d, damaged) in [
            (polyface(house(), wall, &FACES), false),
            (polyface(house(), wall, &[[1, 2, 9, 4]]), true),
            (polyface(house(), wall, &[[i64::MIN, 2, 3, 4]]), true),
            (polyface(house(), wall, &[[1, i64::MIN, 3, 4]]), true),
            (mesh(house(), wall, 2.0, &FACES), false),
            (mesh(house(), wall, 0.0, &[[1, 2, 3, 9]]), true),
            (mesh(house(), wall, 0.0, &[[1, 2, 3, 0]]), true),
        ] {
            let out = ok(&d);
            assert_eq!(out.value.walls.len(), lines);
            assert_eq!(out.value.ledger.ignored_total(), 1, "{:?}", out.value.ledger);
            let told = with(&out.findings, "file-repaired");
            assert_eq!(told.iter().any(|f| f.message.contains("corner")), damaged, "{told:?}");
        }
    }

    #[test]
    fn edges_are_there_once_and_hidden_ones_are_not() {
        let at = [[0.0, 0.0], [4.0, 0.0], [4.0, 2.0], [0.0, 2.0]];
        let faces: [&[i64]; 2] = [&[1, 2, -3], &[3, -1, 4]];
        let got = super::edges(&at, faces.into_iter()).unwrap();
        // From 3 to 1 it is hidden in the one face, drawn in the other; from 1 to 4 it is hidden.
        let want = [
            [[0.0, 0.0], [4.0, 0.0]],
            [[0.0, 0.0], [4.0, 2.0]],
            [[0.0, 2.0], [4.0, 2.0]],
            [[4.0, 0.0], [4.0, 2.0]],
        ];
        assert_eq!(got, want);
    }
}
