//! What clips take off a solid: half spaces, bounded or not, plain extrusions, faceted solids.

use super::Shapes;
use super::affine::{Affine, Vec3, add, cross, dot, norm, scale, sub};
use super::body::{Body, Prism};
use super::footprint::Plan;
use super::mesh::area_vector;
use crate::file::Why;
use crate::step::Record;

/// Sine of the lean below which something is upright or level.
const UPRIGHT: f64 = 1e-6;

/// The side of a plane its normal points to.
#[derive(Clone, Copy, Debug)]
pub struct Half {
    point: Vec3,
    normal: Vec3,
}

/// A part of space: every half space, and above or below the footprint where there is one; or what
/// lies between faces.
#[derive(Clone, Debug, Default)]
pub struct Removal {
    /// Half spaces, all of which hold.
    pub halves: Vec<Half>,
    /// Outline in plan of an upright column, first point not repeated.
    pub footprint: Option<Vec<Plan>>,
    /// Faces of a solid, in place of everything else.
    pub faces: Vec<Vec<Vec3>>,
}

impl Half {
    /// Height at a plan point and whether the half space lies above it; `None` for an upright plane.
    pub fn height(&self, at: Plan) -> Option<(f64, bool)> {
        let n = self.normal;
        if n[2] * n[2] <= UPRIGHT * UPRIGHT * dot(n, n) {
            return None;
        }
        let (dx, dy) = (at.0 - self.point[0], at.1 - self.point[1]);
        Some((self.point[2] - (n[0] * dx + n[1] * dy) / n[2], n[2] > 0.0))
    }
    /// How far inside a plan point is, for an upright plane.
    pub fn depth(&self, at: Plan) -> f64 {
        let n = self.normal;
        n[0] * (at.0 - self.point[0]) + n[1] * (at.1 - self.point[1])
    }
}

impl Removal {
    /// From which height to which it reaches at a plan point; `None` beside it. Faces do not count.
    pub fn range(&self, at: Plan) -> Option<(f64, f64)> {
        if self.footprint.as_ref().is_some_and(|f| !contains(f, at)) {
            return None;
        }
        let mut range = (f64::NEG_INFINITY, f64::INFINITY);
        for h in &self.halves {
            match h.height(at) {
                Some((z, true)) => range.0 = range.0.max(z),
                Some((z, false)) => range.1 = range.1.min(z),
                None if h.depth(at) < 0.0 => return None,
                None => {}
            }
        }
        (range.0 < range.1).then_some(range)
    }

    /// Whether it has an upright side, which can take a wall's end off or break it.
    pub fn is_upright(&self) -> bool {
        let upright = |h: &Half| h.height((0.0, 0.0)).is_none();
        self.footprint.is_some() || !self.faces.is_empty() || self.halves.iter().any(upright)
    }

    /// A column over an outline along a direction; the outline must be convex unless the column is
    /// upright.
    fn column(outline: &[Vec3], along: Vec3) -> Result<Removal, Why> {
        if along[0].hypot(along[1]) <= UPRIGHT * norm(along) {
            let footprint = outline.iter().map(|p| (p[0], p[1])).collect();
            return Ok(Removal { footprint: Some(footprint), ..Removal::default() });
        }
        let n = outline.len().max(1) as f64;
        let middle = outline.iter().fold([0.0; 3], |m, p| add(m, scale(*p, 1.0 / n)));
        let mut halves = Vec::new();
        for (p, q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            let normal = cross(along, sub(*q, *p));
            let inward =
                if dot(normal, sub(middle, *p)) < 0.0 { scale(normal, -1.0) } else { normal };
            let slack = 1e-6 * norm(normal) * norm(sub(*q, *p)).max(1e-9);
            if outline.iter().any(|r| dot(inward, sub(*r, *p)) < -slack) {
                return Err("what is cut off is not convex and not upright".to_owned());
            }
            halves.push(Half { point: *p, normal: inward });
        }
        Ok(Removal { halves, ..Removal::default() })
    }

    fn of_prism(prism: &Prism) -> Result<Removal, Why> {
        if prism.curved {
            return Err("what is cut off is curved".to_owned());
        }
        let Some(first) = prism.outline.first() else {
            return Err("nothing is cut off".to_owned());
        };
        let mut all = Removal::column(&prism.outline, prism.sweep)?;
        let normal = area_vector(&prism.outline);
        let up = if dot(normal, prism.sweep) < 0.0 { scale(normal, -1.0) } else { normal };
        all.halves.push(Half { point: *first, normal: up });
        all.halves.push(Half { point: add(*first, prism.sweep), normal: scale(up, -1.0) });
        Ok(all)
    }
}

/// Whether a plan point is inside an outline (even-odd).
fn contains(outline: &[Plan], at: Plan) -> bool {
    let mut inside = false;
    for (p, q) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        if (p.1 > at.1) != (q.1 > at.1) && at.0 < p.0 + (at.1 - p.1) / (q.1 - p.1) * (q.0 - p.0) {
            inside = !inside;
        }
    }
    inside
}

impl Shapes<'_, '_> {
    /// The part of space that the second operand of a difference takes off.
    pub fn removal(&self, id: u64, map: &Affine) -> Result<Removal, Why> {
        self.spend(1)?;
        let r = self.file.get(id)?;
        match &*r.upper() {
            b"IFCHALFSPACESOLID" | b"IFCBOXEDHALFSPACE" => {
                Ok(Removal { halves: vec![self.half_space(&r, map)?], ..Removal::default() })
            }
            b"IFCPOLYGONALBOUNDEDHALFSPACE" => {
                let [_, _, position, boundary] = r.take();
                let at = map.after(&self.placement_or_identity(position)?);
                let boundary =
                    boundary.reference().ok_or_else(|| format!("#{id} lacks its boundary"))?;
                let mut curve = self.curve(boundary)?;
                if curve.curved {
                    return Err(format!("half space #{id} has a curved boundary"));
                }
                if curve.points.first() == curve.points.last() {
                    curve.points.pop();
                }
                let outline: Vec<Vec3> = curve.points.iter().map(|p| at.point(*p)).collect();
                let mut all = Removal::column(&outline, at.z)?;
                all.halves.push(self.half_space(&r, map)?);
                Ok(all)
            }
            b"IFCFACETEDBREP" => {
                let mut body = Body::default();
                self.faces(&self.file.follow(&r, 0)?, map, &mut body)?;
                let faces = body.facets().map(<[Vec3]>::to_vec).collect();
                Ok(Removal { faces, ..Removal::default() })
            }
            b"IFCPOLYGONALFACESET" | b"IFCTRIANGULATEDFACESET" => {
                let mut body = Body::default();
                self.face_set(&r, map, &mut body)?;
                let faces = body.facets().map(<[Vec3]>::to_vec).collect();
                Ok(Removal { faces, ..Removal::default() })
            }
            b"IFCEXTRUDEDAREASOLID" | b"IFCBLOCK" => {
                let mut body = Body::default();
                self.plain_item(&r, map, &mut body, 0)?;
                body.prisms
                    .first()
                    .map_or_else(|| Err("nothing is cut off".into()), Removal::of_prism)
            }
            _ => Err(format!("cut by #{id}, a {}, which is not followed", r.class_name())),
        }
    }

    fn half_space(&self, r: &Record<'_>, map: &Affine) -> Result<Half, Why> {
        let plane = self.file.follow(r, 0)?;
        if !plane.is("IFCPLANE") {
            return Err(format!("half space #{} is bounded by a {}", r.id, plane.class_name()));
        }
        let at = map.after(&self.axis_placement(&self.file.follow(&plane, 0)?)?);
        let normal = cross(at.x, at.y);
        let agreement = r.param(1).truth();
        let agreement = agreement.ok_or_else(|| format!("half space #{} has no side", r.id))?;
        // In a mirrored copy x and y turn the other way round their normal. The half space is on
        // the side the normal points away from, where the flag agrees (IFC4, IfcHalfSpaceSolid).
        let along = if dot(normal, at.z) < 0.0 { scale(normal, -1.0) } else { normal };
        let normal = if agreement { scale(along, -1.0) } else { along };
        Ok(Half { point: at.origin, normal })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;

    const PLANE: &str = "#1=IFCCARTESIANPOINT((0.,0.,10.));#2=IFCDIRECTION((0.,-1.,1.));#3=IFCDIRECTION((1.,0.,0.));#4=IFCAXIS2PLACEMENT3D(#1,#2,#3);#5=IFCPLANE(#4);";

    fn removal(text: &str, id: u64) -> Result<Removal, Why> {
        let full = format!("DATA;{PLANE}{text}");
        let file = File::open(full.as_bytes());
        Shapes::new(&file, 1.0).removal(id, &Affine::IDENTITY)
    }

    #[test]
    fn the_flag_tells_the_side() {
        let r = removal("#6=IFCHALFSPACESOLID(#5,.F.);", 6).unwrap();
        let (low, high) = r.range((3.0, 4.0)).unwrap();
        assert!((low - 14.0).abs() < 1e-9 && high == f64::INFINITY);
        let r = removal("#6=IFCHALFSPACESOLID(#5,.T.);", 6).unwrap();
        let (low, high) = r.range((3.0, 4.0)).unwrap();
        assert!((high - 14.0).abs() < 1e-9 && low == f64::NEG_INFINITY);
    }

    #[test]
    fn a_bounded_one_ends_at_its_boundary() {
        let t = "#7=IFCCARTESIANPOINT((0.,0.));#8=IFCCARTESIANPOINT((5.,0.));#9=IFCCARTESIANPOINT((5.,5.));#10=IFCCARTESIANPOINT((0.,5.));#11=IFCPOLYLINE((#7,#8,#9,#10,#7));#12=IFCPOLYGONALBOUNDEDHALFSPACE(#5,.F.,$,#11);";
        let r = removal(t, 12).unwrap();
        assert!(r.range((1.0, 1.0)).is_some() && r.range((6.0, 1.0)).is_none());
    }

    #[test]
    fn an_extrusion_any_way_round() {
        let t = |d: &str| {
            format!(
                "#20=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,4.,2.);#21=IFCDIRECTION({d});#22=IFCEXTRUDEDAREASOLID(#20,$,#21,8.);"
            )
        };
        let upright = removal(&t("(0.,0.,1.)"), 22).unwrap();
        assert_eq!(upright.range((1.0, 0.5)), Some((0.0, 8.0)));
        assert_eq!(upright.range((3.0, 0.5)), None);
        let leaning = removal(&t("(0.6,0.,0.8)"), 22).unwrap();
        let (low, high) = leaning.range((4.0, 0.0)).unwrap();
        // Between the left side, z = (x + 2) / 0.75 and the right one, z = (x - 2) / 0.75.
        assert!((low - 2.0 / 0.75).abs() < 1e-9 && (high - 6.4).abs() < 1e-9, "{low} {high}");
    }

    #[test]
    fn others_are_named() {
        for (t, want) in [
            ("#6=IFCSPHERE($,3.);", "IFCSPHERE"),
            ("#6=IFCHALFSPACESOLID(#5,$);", "no side"),
            ("#6=IFCHALFSPACESOLID(#4,.T.);", "bounded by"),
        ] {
            assert!(removal(t, 6).unwrap_err().contains(want));
        }
    }
}
