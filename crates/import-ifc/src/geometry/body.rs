//! Bodies: what a product's representation items come to, as far as plates ask.
//!
//! Swept solids are kept as outline and sweep, faceted bodies as the loops that bound their faces. Clips are counted, not carried out: the first operand is the wall before its top was
//! cut to a roof.

use super::Shapes;
use super::affine::{Affine, Vec3, add, scale, unit};
use super::region::Region;
use crate::file::Why;
use crate::step::{Param, Record};
use std::rc::Rc;

/// A body with this many unreadable items is not read further.
const UNREAD: usize = 16;

/// Most parts taken off one solid.
const REMOVALS: usize = 64;

/// Most solids in one body.
const SOLIDS: usize = 10_000;

/// An outline swept along a vector.
#[derive(Clone, Debug)]
pub struct Prism {
    /// Outline, first point not repeated.
    pub outline: Vec<Vec3>,
    /// The sweep.
    pub sweep: Vec3,
    /// Some of the outline stands for an arc.
    pub curved: bool,
    /// What is taken off it.
    pub removed: Vec<Region>,
    /// Holes of the outline that go all the way along the sweep.
    pub holes: Vec<Vec<Vec3>>,
}

/// The items of one representation, in the coordinates the caller's map leads to.
#[derive(Clone, Debug, Default)]
pub struct Body {
    /// Extrusions.
    pub prisms: Vec<Prism>,
    /// Vertices of faceted solids and surfaces, loop by loop.
    pub vertices: Vec<Vec3>,
    /// Where in `vertices` each loop that bounds a face starts and ends. Loops around holes are
    /// among them.
    pub loops: Vec<(usize, usize)>,
    /// Which loops have parts taken off the solid they bound: first and behind last, and the parts.
    pub cut_loops: Vec<((usize, usize), Vec<Region>)>,
    /// Some faces are not flat; their loops go by their corners.
    pub round_faces: bool,
    /// Only extents are asked for: parts give their corners as `vertices`, and copies of one part are
    /// read once.
    pub corners_only: bool,
    /// Boolean operations met.
    pub clips: usize,
    /// Those among them that could not be made out, and why.
    pub blind: Vec<Why>,
    /// Items that could not be read, and why.
    pub unread: Vec<Why>,
}

impl Body {
    /// Every corner of every part.
    pub fn corners(&self) -> impl Iterator<Item = Vec3> {
        let swept =
            self.prisms.iter().flat_map(|p| p.outline.iter().flat_map(|c| [*c, add(*c, p.sweep)]));
        swept.chain(self.vertices.iter().copied())
    }
    /// Whether nothing was read.
    pub fn is_empty(&self) -> bool {
        self.prisms.is_empty() && self.vertices.is_empty()
    }
    /// The loops of the faceted parts.
    pub fn facets(&self) -> impl Iterator<Item = &[Vec3]> {
        self.loops.iter().filter_map(|(from, to)| self.vertices.get(*from..*to))
    }
    /// Adds everything of another body.
    pub fn append(&mut self, mut other: Body) {
        let (vertices, loops) = (self.vertices.len(), self.loops.len());
        self.prisms.append(&mut other.prisms);
        self.vertices.append(&mut other.vertices);
        self.loops.extend(other.loops.iter().map(|(a, b)| (a + vertices, b + vertices)));
        let cut = other.cut_loops.into_iter();
        self.cut_loops.extend(cut.map(|((a, b), r)| ((a + loops, b + loops), r)));
        self.round_faces |= other.round_faces;
        self.clips += other.clips;
        self.blind.append(&mut other.blind);
        self.unread.append(&mut other.unread);
    }
    /// Adds one loop.
    fn add_loop(&mut self, points: impl Iterator<Item = Vec3>) {
        let from = self.vertices.len();
        self.vertices.extend(points);
        self.loops.push((from, self.vertices.len()));
    }
    /// Least and greatest of `measure` over all corners.
    pub fn range(&self, measure: impl Fn(Vec3) -> f64) -> Option<(f64, f64)> {
        self.corners().map(measure).fold(None, |r, v| match r {
            None => Some((v, v)),
            Some((a, b)) => Some((a.min(v), b.max(v))),
        })
    }
}

/// Notes what is taken off the parts added since.
fn take_off(body: &mut Body, added: (usize, usize), removed: &[Region]) {
    if removed.is_empty() {
        return;
    }
    for p in body.prisms.iter_mut().skip(added.0) {
        p.removed.extend_from_slice(removed);
    }
    let loops = (added.1, body.loops.len());
    if loops.0 < loops.1 {
        for (range, inner) in &mut body.cut_loops {
            if range.0 >= loops.0 {
                inner.extend_from_slice(removed);
            }
        }
        // Loops that nothing was taken off so far.
        let mut free = loops.0;
        let mut cut: Vec<(usize, usize)> =
            body.cut_loops.iter().map(|c| c.0).filter(|r| r.0 >= loops.0).collect();
        cut.push((loops.1, loops.1));
        for (from, to) in cut {
            if free < from {
                body.cut_loops.push(((free, from), removed.to_vec()));
            }
            free = to;
        }
        body.cut_loops.sort_by_key(|c| c.0);
    }
}

impl Shapes<'_, '_> {
    /// Adds the items of a representation to `body`, mapped by `map`.
    pub fn add_items(&self, representation: &Record<'_>, map: &Affine, body: &mut Body) {
        self.items_at_depth(representation, map, body, 0);
    }

    fn items_at_depth(
        &self,
        representation: &Record<'_>,
        map: &Affine,
        body: &mut Body,
        depth: usize,
    ) {
        for id in representation.references(3) {
            // Without this, copies nested in copies would fail a million times each.
            if body.unread.len() >= UNREAD {
                return;
            }
            if let Err(why) = self.item(id, map, body, depth) {
                body.unread.push(why);
            }
        }
    }

    fn item(&self, id: u64, map: &Affine, body: &mut Body, depth: usize) -> Result<(), Why> {
        self.enter("", id, depth)?;
        if body.prisms.len() >= SOLIDS {
            return Err(format!("it has over {SOLIDS} solids"));
        }
        self.spend(1)?;
        let mut r = self.file.get(id)?;
        // Chains of clips are long in real files, so they are followed without recursion.
        let mut removed: Vec<Region> = Vec::new();
        while r.is("IFCBOOLEANCLIPPINGRESULT") || r.is("IFCBOOLEANRESULT") || r.is("IFCCSGSOLID") {
            self.spend(1)?;
            if r.is("IFCCSGSOLID") {
                r = self.file.follow(&r, 0)?;
                continue;
            }
            body.clips += 1;
            let [operator, _, second] = r.take();
            let second = second.reference();
            match (operator.name(), second) {
                (Some(b"UNION"), Some(second)) => {
                    let added = (body.prisms.len(), body.loops.len());
                    self.item(second, map, body, depth + 1)?;
                    take_off(body, added, &removed);
                }
                (Some(b"DIFFERENCE"), Some(second)) if removed.len() < REMOVALS => {
                    match self.region(second, map, depth + 1) {
                        Ok(part) => removed.push(part),
                        Err(why) => body.blind.push(why),
                    }
                }
                (Some(b"INTERSECTION"), Some(second)) if removed.len() < REMOVALS => {
                    match self.region(second, map, depth + 1) {
                        Ok(part) => removed.push(Region::Outside(Box::new(part))),
                        Err(why) => body.blind.push(why),
                    }
                }
                _ => body.blind.push(format!("boolean result #{} is not followed", r.id)),
            }
            body.blind.truncate(UNREAD);
            r = self.file.follow(&r, 1)?;
        }
        let added = (body.prisms.len(), body.loops.len());
        let result = self.plain_item(&r, map, body, depth);
        take_off(body, added, &removed);
        result
    }

    /// An item that is no boolean result.
    pub fn plain_item(
        &self,
        r: &Record<'_>,
        map: &Affine,
        body: &mut Body,
        depth: usize,
    ) -> Result<(), Why> {
        let id = r.id;
        match &*r.upper() {
            b"IFCEXTRUDEDAREASOLID" | b"IFCEXTRUDEDAREASOLIDTAPERED" => {
                body.prisms.extend(self.extrusion(r, map)?);
                Ok(())
            }
            b"IFCBLOCK" => {
                let [position, x, y, z] = r.take();
                let at = map.after(&self.placement_or_identity(position)?);
                let sizes = x.number().zip(y.number()).zip(z.number());
                let ((x, y), z) = sizes.ok_or_else(|| format!("block #{id} lacks a size"))?;
                let corners = [[0.0, 0.0, 0.0], [x, 0.0, 0.0], [x, y, 0.0], [0.0, y, 0.0]];
                let outline = corners.iter().map(|p| at.point(*p)).collect();
                body.prisms.push(Prism {
                    outline,
                    sweep: at.vector([0.0, 0.0, z]),
                    curved: false,
                    removed: Vec::new(),
                    holes: Vec::new(),
                });
                Ok(())
            }
            b"IFCMAPPEDITEM" => {
                let source = self.file.follow(r, 0)?;
                let origin = self.placement_or_identity(source.param(0))?;
                let target = self.operator(&self.file.follow(r, 1)?)?;
                let inner = self.file.follow(&source, 1)?;
                if body.corners_only {
                    let all = map.after(&target).after(&origin);
                    let corners = self.corners_of(&inner, depth + 1)?;
                    self.spend(corners.len() as u64)?;
                    body.vertices.extend(corners.iter().map(|p| all.point(*p)));
                    return Ok(());
                }
                self.items_at_depth(&inner, &map.after(&target).after(&origin), body, depth + 1);
                Ok(())
            }
            b"IFCFACETEDBREP"
            | b"IFCFACETEDBREPWITHVOIDS"
            | b"IFCADVANCEDBREP"
            | b"IFCADVANCEDBREPWITHVOIDS" => self.faces(&self.file.follow(r, 0)?, map, body),
            b"IFCSHELLBASEDSURFACEMODEL" | b"IFCFACEBASEDSURFACEMODEL" => {
                for shell in r.references(0) {
                    self.faces(&self.file.get(shell)?, map, body)?;
                }
                Ok(())
            }
            b"IFCCONNECTEDFACESET" | b"IFCOPENSHELL" | b"IFCCLOSEDSHELL" => {
                self.faces(r, map, body)
            }
            b"IFCTRIANGULATEDFACESET" | b"IFCPOLYGONALFACESET" => self.face_set(r, map, body),
            _ => {
                let other = r.class_name();
                Err(format!("#{id} is an {other}, which is not read"))
            }
        }
    }

    /// The corners of a representation that is copied, each once, in its own coordinates.
    fn corners_of(&self, representation: &Record<'_>, depth: usize) -> Result<Rc<[Vec3]>, Why> {
        if let Some(known) = self.corners.borrow().get(&representation.id) {
            return Ok(known.clone());
        }
        let mut body = Body { corners_only: true, ..Body::default() };
        self.items_at_depth(representation, &Affine::IDENTITY, &mut body, depth);
        if body.is_empty() {
            let why = body.unread.pop();
            return Err(why.unwrap_or_else(|| format!("#{} is empty", representation.id)));
        }
        let mut corners: Vec<Vec3> = body.corners().collect();
        let order = |a: &Vec3, b: &Vec3| {
            a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).then(a[2].total_cmp(&b[2]))
        };
        corners.sort_by(order);
        corners.dedup();
        let corners: Rc<[Vec3]> = corners.into();
        self.corners.borrow_mut().insert(representation.id, corners.clone());
        Ok(corners)
    }

    /// An extruded solid, one prism for each plain profile that its own is composed of.
    pub fn extrusion(&self, r: &Record<'_>, map: &Affine) -> Result<Vec<Prism>, Why> {
        let [area, position, direction, depth] = r.take();
        let area =
            area.reference().ok_or_else(|| format!("extrusion #{} lacks its profile", r.id))?;
        let at = map.after(&self.placement_or_identity(position)?);
        let along = self.direction(direction).and_then(unit);
        let depth = depth.number().filter(|d| *d > 0.0);
        let sweep = along.zip(depth).ok_or_else(|| format!("extrusion #{} goes nowhere", r.id))?;
        let placed = |points: &[Vec3]| points.iter().map(|p| at.point(*p)).collect();
        let prism = |profile: u64| {
            let outline = self.profile(profile)?;
            Ok(Prism {
                outline: placed(&outline.points),
                sweep: at.vector(scale(sweep.0, sweep.1)),
                curved: outline.curved,
                removed: Vec::new(),
                holes: self.profile_holes(profile)?.iter().map(|hole| placed(hole)).collect(),
            })
        };
        self.plain_profiles(area)?.into_iter().map(prism).collect()
    }

    /// The loops of a shell's faces.
    pub fn faces(&self, shell: &Record<'_>, map: &Affine, body: &mut Body) -> Result<(), Why> {
        let before = body.loops.len();
        for face in shell.references(0) {
            let face = self.file.get(face)?;
            // A face of an advanced Brep names its surface.
            let surface = face.param(1).reference().and_then(|id| self.file.find(id));
            body.round_faces |= surface.is_some_and(|s| !s.is("IFCPLANE"));
            for bound in face.references(0) {
                let bound = self.file.get(bound)?;
                let loop_ = self.file.follow(&bound, 0)?;
                let from = body.vertices.len();
                if loop_.is("IFCPOLYLOOP") {
                    for p in loop_.references(0) {
                        self.spend(1)?;
                        body.vertices.push(map.point(self.point(p)?));
                    }
                } else if loop_.is("IFCEDGELOOP") {
                    self.edge_loop(&loop_, map, body)?;
                } else {
                    return Err(format!(
                        "#{} has faces bounded by {}, which are not read",
                        shell.id,
                        loop_.class_name()
                    ));
                }
                body.loops.push((from, body.vertices.len()));
            }
        }
        if body.loops.len() == before {
            return Err(format!("shell #{} has no faces", shell.id));
        }
        Ok(())
    }

    /// The corners of a loop of edges: where each edge begins, as the loop runs.
    fn edge_loop(&self, loop_: &Record<'_>, map: &Affine, body: &mut Body) -> Result<(), Why> {
        for id in loop_.references(0) {
            self.spend(1)?;
            let oriented = self.file.get(id)?;
            let edge = self.file.follow(&oriented, 2)?;
            let along = oriented.param(3).truth() != Some(false);
            let vertex = self.file.follow(&edge, if along { 0 } else { 1 })?;
            body.vertices.push(map.point(self.point_at(&vertex, 0)?));
            if let Some(curve) = edge.param(2).reference().and_then(|id| self.file.find(id)) {
                let straight = curve.is("IFCLINE") || curve.is("IFCPOLYLINE");
                body.round_faces |= !straight;
            }
        }
        Ok(())
    }

    /// Faces by number of their corners in a list of points.
    pub fn face_set(&self, r: &Record<'_>, map: &Affine, body: &mut Body) -> Result<(), Why> {
        let list = self.file.follow(r, 0)?;
        let points: Vec<Vec3> = self.point_list(list.id)?.iter().map(|p| map.point(*p)).collect();
        if body.corners_only {
            body.vertices.extend(points);
            return Ok(());
        }
        let [_, _, polygons, triangles, _] = r.take();
        // Numbers may go by a second list that reorders the points.
        let (faces, order) = if r.is("IFCPOLYGONALFACESET") {
            (polygons, triangles)
        } else {
            (triangles, r.param(4))
        };
        let number = |p: Param<'_>| {
            p.integer().and_then(|n| usize::try_from(n).ok()).and_then(|n| n.checked_sub(1))
        };
        let order: Option<Vec<Option<usize>>> =
            (!order.is_empty()).then(|| order.list().map(number).collect());
        let point = |p: Param<'_>| {
            let n = number(p)?;
            let n = order.as_ref().map_or(Some(n), |order| order.get(n).copied().flatten())?;
            points.get(n).copied()
        };
        for face in faces.list() {
            let face = match face.reference() {
                Some(id) => self.file.get(id)?.param(0),
                None => face,
            };
            let mut corners = Vec::new();
            for p in face.list() {
                self.spend(1)?;
                let corner = point(p);
                corners.push(corner.ok_or_else(|| {
                    format!("#{} has a face with a corner outside its list of points", r.id)
                })?);
            }
            body.add_loop(corners.into_iter());
        }
        if body.loops.is_empty() {
            return Err(format!("#{} has no faces", r.id));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;

    const BOX: &str = "#1=IFCCARTESIANPOINT((0.,0.,1.));#2=IFCAXIS2PLACEMENT3D(#1,$,$);#3=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,4.,2.);#4=IFCDIRECTION((0.,0.,1.));#5=IFCEXTRUDEDAREASOLID(#3,#2,#4,8.);";

    fn body(text: &str, id: u64) -> Body {
        let full = format!("DATA;{BOX}{text}");
        let file = File::open(full.as_bytes());
        let mut b = Body::default();
        Shapes::new(&file, 1.0).add_items(&file.get(id).unwrap(), &Affine::IDENTITY, &mut b);
        b
    }

    #[test]
    fn clipped_chain_gives_the_first_operand() {
        let b = body(
            "#6=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#5,#99);#7=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#6,#99);#8=IFCSHAPEREPRESENTATION($,'Body','Clipping',(#7));",
            8,
        );
        assert_eq!((b.prisms.len(), b.clips, b.unread.len()), (1, 2, 0));
        assert_eq!(b.range(|p| p[2]), Some((1.0, 9.0)));
        assert_eq!(b.range(|p| p[0]), Some((-2.0, 2.0)));
    }

    #[test]
    fn mapped_and_mirrored() {
        let b = body(
            "#6=IFCSHAPEREPRESENTATION($,'Body','SweptSolid',(#5));#7=IFCREPRESENTATIONMAP(#2,#6);#8=IFCDIRECTION((-1.,0.,0.));#12=IFCCARTESIANPOINT((10.,0.,0.));#9=IFCCARTESIANTRANSFORMATIONOPERATOR3D(#8,$,#12,$,$);#10=IFCMAPPEDITEM(#7,#9);#11=IFCSHAPEREPRESENTATION($,'Body','MappedRepresentation',(#10));",
            11,
        );
        assert_eq!(b.range(|p| p[0]), Some((8.0, 12.0)));
        // The map's own origin lifts it once more.
        assert_eq!(b.range(|p| p[2]), Some((2.0, 10.0)));
    }

    #[test]
    fn copies_of_copies_run_out_of_depth_or_fuel() {
        let b = body(
            "#6=IFCSHAPEREPRESENTATION($,'Body','M',(#10,#10));#7=IFCREPRESENTATIONMAP(#2,#6);#9=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#1,$,$);#10=IFCMAPPEDITEM(#7,#9);#13=IFCBOOLEANRESULT(.DIFFERENCE.,#13,#13);#14=IFCSHAPEREPRESENTATION($,'Body','CSG',(#13,#10));",
            14,
        );
        assert!(b.is_empty() && b.unread.len() <= UNREAD + 1);
        assert!(b.unread[0].contains("limit"));
    }

    #[test]
    fn brep_gives_its_points() {
        let b = body(
            "#20=IFCCARTESIANPOINT((3.,0.,0.));#21=IFCPOLYLOOP((#1,#20,#1));#22=IFCFACEOUTERBOUND(#21,.T.);#23=IFCFACE((#22));#24=IFCCLOSEDSHELL((#23));#25=IFCFACETEDBREP(#24);#26=IFCSHAPEREPRESENTATION($,'Body','Brep',(#25));",
            26,
        );
        assert_eq!(b.range(|p| p[0]), Some((0.0, 3.0)));
    }
}
