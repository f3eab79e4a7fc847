//! Profiles: the flat shapes that are swept into bodies.

use super::Shapes;
use super::affine::{Affine, Vec3};
use super::curve::Polyline;
use crate::file::Why;
use crate::step::{Param, Record};

impl Shapes<'_, '_> {
    /// The outer outline of a profile in its own plane, first point not repeated.
    pub fn profile(&self, id: u64) -> Result<Polyline, Why> {
        let mut outline = self.profile_at_depth(id, 0)?;
        let points = &mut outline.points;
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        if points.len() < 3 {
            return Err(format!("profile #{id} has fewer than three points"));
        }
        Ok(outline)
    }

    /// The holes of a profile, first points not repeated; a hollow rectangle has one.
    pub fn profile_holes(&self, id: u64) -> Result<Vec<Vec<Vec3>>, Why> {
        let r = self.file.get(id)?;
        if r.is("IFCRECTANGLEHOLLOWPROFILEDEF") {
            let [_, _, position, x, y, wall] = r.take();
            let wall = self.size(&r, wall)?;
            let (x, y) = (self.size(&r, x)? / 2.0 - wall, self.size(&r, y)? / 2.0 - wall);
            let corners = [[-x, -y, 0.0], [x, -y, 0.0], [x, y, 0.0], [-x, y, 0.0]];
            return Ok(vec![self.placed(position, &corners, false)?.points]);
        }
        if !r.is("IFCARBITRARYPROFILEDEFWITHVOIDS") {
            return Ok(Vec::new());
        }
        let hole = |id: u64| {
            let mut points = self.curve(id)?.points;
            while points.len() > 1 && points.first() == points.last() {
                points.pop();
            }
            Ok(points)
        };
        r.references(3).map(hole).collect()
    }

    /// The profiles that a composite one is made of, which are none themselves (IFC, IfcCompositeProfileDef,
    /// NoRecursion); of any other, itself.
    pub fn plain_profiles(&self, id: u64) -> Result<Vec<u64>, Why> {
        let r = self.file.get(id)?;
        Ok(if r.is("IFCCOMPOSITEPROFILEDEF") { r.references(2).collect() } else { vec![id] })
    }

    fn profile_at_depth(&self, id: u64, depth: usize) -> Result<Polyline, Why> {
        self.enter("profile ", id, depth)?;
        self.spend(1)?;
        let r = self.file.get(id)?;
        let [_, _, third, x, y] = r.take();
        match &*r.upper() {
            b"IFCRECTANGLEPROFILEDEF"
            | b"IFCROUNDEDRECTANGLEPROFILEDEF"
            | b"IFCRECTANGLEHOLLOWPROFILEDEF" => {
                let (x, y) = (self.size(&r, x)? / 2.0, self.size(&r, y)? / 2.0);
                let corners = [[-x, -y, 0.0], [x, -y, 0.0], [x, y, 0.0], [-x, y, 0.0]];
                self.placed(third, &corners, false)
            }
            b"IFCARBITRARYCLOSEDPROFILEDEF" | b"IFCARBITRARYPROFILEDEFWITHVOIDS" => {
                let curve =
                    third.reference().ok_or_else(|| format!("profile #{id} lacks its curve"))?;
                self.curve(curve)
            }
            b"IFCCIRCLEPROFILEDEF" | b"IFCCIRCLEHOLLOWPROFILEDEF" => {
                let radius = self.size(&r, x)?;
                self.placed(third, &round(radius, radius), true)
            }
            b"IFCELLIPSEPROFILEDEF" => {
                self.placed(third, &round(self.size(&r, x)?, self.size(&r, y)?), true)
            }
            b"IFCDERIVEDPROFILEDEF" => {
                let parent =
                    third.reference().ok_or_else(|| format!("profile #{id} lacks its parent"))?;
                let parent = self.profile_at_depth(parent, depth + 1)?;
                let map = self.operator(&self.file.follow(&r, 3)?)?;
                let points = parent.points.iter().map(|p| map.point(*p)).collect();
                Ok(Polyline { points, ..parent })
            }
            _ => {
                let other = r.class_name();
                Err(format!("profile #{id} is an {other}, which is not read"))
            }
        }
    }

    fn size(&self, r: &Record<'_>, p: Param<'_>) -> Result<f64, Why> {
        let size = p.number().filter(|s| *s > 0.0);
        size.ok_or_else(|| format!("profile #{} has a size that is not above zero", r.id))
    }

    fn placed(&self, position: Param<'_>, points: &[Vec3], curved: bool) -> Result<Polyline, Why> {
        let map: Affine = self.placement_or_identity(position)?;
        Ok(Polyline { points: points.iter().map(|p| map.point(*p)).collect(), curved })
    }
}

fn round(a: f64, b: f64) -> Vec<Vec3> {
    let at = |n: i32| f64::from(n) * std::f64::consts::TAU / 32.0;
    (0..32).map(|n| [a * at(n).cos(), b * at(n).sin(), 0.0]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;

    #[test]
    fn rectangle_at_its_position() {
        let t = b"DATA;#1=IFCCARTESIANPOINT((5.,0.));#2=IFCDIRECTION((0.,1.));#3=IFCAXIS2PLACEMENT2D(#1,#2);#4=IFCRECTANGLEPROFILEDEF(.AREA.,$,#3,4.,2.);#5=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,4.,-2.);#6=IFCISHAPEPROFILEDEF(.AREA.,$,$,1.,1.);";
        let file = File::open(t);
        let shapes = Shapes::new(&file, 1.0);
        let p = shapes.profile(4).unwrap().points;
        assert_eq!(p, [[6.0, -2.0, 0.0], [6.0, 2.0, 0.0], [4.0, 2.0, 0.0], [4.0, -2.0, 0.0]]);
        assert!(shapes.profile(5).unwrap_err().contains("not above zero"));
        assert!(shapes.profile(6).unwrap_err().contains("IFCISHAPEPROFILEDEF"));
    }

    #[test]
    fn a_composite_profile_is_swept_part_by_part() {
        let t = b"DATA;#1=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,4.,2.);#2=IFCRECTANGLEPROFILEDEF(.AREA.,$,$,6.,1.);#3=IFCCOMPOSITEPROFILEDEF(.AREA.,$,(#1,#2),$);#4=IFCDIRECTION((0.,0.,1.));#5=IFCEXTRUDEDAREASOLID(#3,$,#4,9.);#6=IFCCOMPOSITEPROFILEDEF(.AREA.,$,(#3),$);#7=IFCEXTRUDEDAREASOLID(#6,$,#4,9.);";
        let file = File::open(t);
        let shapes = Shapes::new(&file, 1.0);
        let prisms = shapes.extrusion(&file.get(5).unwrap(), &Affine::IDENTITY).unwrap();
        let corners: Vec<f64> = prisms.iter().map(|p| p.outline[2][0]).collect();
        assert_eq!(corners, [2.0, 3.0]);
        let nested = shapes.extrusion(&file.get(7).unwrap(), &Affine::IDENTITY);
        assert!(nested.unwrap_err().contains("IFCCOMPOSITEPROFILEDEF"));
    }
}
