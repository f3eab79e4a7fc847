//! Curves as polylines. Arcs become short chords, and the polyline says so.

use super::affine::{Affine, Vec3, norm, sub};
use super::{Shapes, triple};
use crate::file::Why;
use crate::step::{Param, Record};
use std::f64::consts::TAU;

/// Chords in a full circle.
const CHORDS: f64 = 48.0;

/// Points in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Polyline {
    /// The points; a closed curve repeats its first.
    pub points: Vec<Vec3>,
    /// Some of it stands for an arc.
    pub curved: bool,
}

impl Polyline {
    fn extend(&mut self, mut more: Polyline) {
        self.curved |= more.curved;
        if let (Some(a), Some(b)) = (self.points.last(), more.points.first())
            && a == b
        {
            more.points.remove(0);
        }
        self.points.append(&mut more.points);
    }
}

impl Shapes<'_, '_> {
    /// The points of a curve.
    pub fn curve(&self, id: u64) -> Result<Polyline, Why> {
        self.curve_at_depth(id, 0)
    }

    fn curve_at_depth(&self, id: u64, depth: usize) -> Result<Polyline, Why> {
        self.enter("curve ", id, depth)?;
        self.curve_of(&self.file.get(id)?, depth)
    }

    /// An IfcPolyline of two points, when it is written in the usual way.
    #[inline]
    pub fn line_at_a_glance(&self, id: u64) -> Result<Option<Polyline>, Why> {
        let Some([Some(a), Some(b)]) = self.file.links(id, b"IFCPOLYLINE((", b"));") else {
            return Ok(None);
        };
        // A curve and its points.
        self.spend(3)?;
        Ok(Some(Polyline { points: vec![self.point(a)?, self.point(b)?], curved: false }))
    }

    /// The points of a curve `depth` deep in others.
    pub fn curve_of(&self, r: &Record<'_>, depth: usize) -> Result<Polyline, Why> {
        self.spend(1)?;
        if r.is("IFCPOLYLINE") {
            let mut points = Vec::new();
            for p in r.references(0) {
                self.spend(1)?;
                points.push(self.point(p)?);
            }
            return Ok(Polyline { points, curved: false });
        }
        match &*r.upper() {
            b"IFCTRIMMEDCURVE" => self.trimmed(r),
            b"IFCINDEXEDPOLYCURVE" => self.indexed(r),
            b"IFCCOMPOSITECURVE"
            | b"IFC2DCOMPOSITECURVE"
            | b"IFCCOMPOSITECURVEONSURFACE"
            | b"IFCOUTERBOUNDARYCURVE"
            | b"IFCBOUNDARYCURVE" => {
                let mut whole = Polyline::default();
                for s in r.references(0) {
                    let s = self.file.get(s)?;
                    let [_, same, parent] = s.take();
                    let parent = parent.reference().ok_or("a curve segment lacks its curve")?;
                    let mut part = self.curve_at_depth(parent, depth + 1)?;
                    if same.truth() == Some(false) {
                        part.points.reverse();
                    }
                    whole.extend(part);
                }
                Ok(whole)
            }
            b"IFCCIRCLE" | b"IFCELLIPSE" => {
                let ellipse = self.ellipse(r)?;
                Ok(ellipse.arc(0.0, TAU))
            }
            _ => {
                let other = r.class_name();
                Err(format!("curve #{} is an {other}, which is not read", r.id))
            }
        }
    }

    fn trimmed(&self, r: &Record<'_>) -> Result<Polyline, Why> {
        let [basis, trim1, trim2, sense, master] = r.take();
        let basis = basis.reference().ok_or("a trimmed curve lacks its curve")?;
        let basis = self.file.get(basis)?;
        let by_parameter = master.name() == Some(b"PARAMETER");
        let (one, two) = (self.trim(trim1), self.trim(trim2));
        if basis.is("IFCLINE") {
            let start = self.point_at(&basis, 0)?;
            let vector = self.file.follow(&basis, 1)?;
            let [direction, length] = vector.take();
            let direction = self.direction(direction).and_then(super::affine::unit);
            let direction = direction.ok_or("a line lacks its direction")?;
            let step = super::affine::scale(direction, length.number().unwrap_or(1.0));
            let at = |t: &Trim| match (t.point, t.parameter) {
                (Some(p), None) => Some(p),
                (Some(p), Some(_)) if !by_parameter => Some(p),
                (_, Some(k)) => Some(super::affine::add(start, super::affine::scale(step, k))),
                (None, None) => None,
            };
            let ends = at(&one).zip(at(&two)).ok_or("a trimmed line lacks an end")?;
            return Ok(Polyline { points: vec![ends.0, ends.1], curved: false });
        }
        let ellipse = self.ellipse(&basis)?;
        let at = |t: &Trim| match (t.point, t.parameter) {
            (Some(p), None) => Some(ellipse.angle_of(p)),
            (Some(p), Some(_)) if !by_parameter => Some(ellipse.angle_of(p)),
            (_, Some(k)) => Some(k * self.angle_unit),
            (None, None) => None,
        };
        let (a, b) = at(&one).zip(at(&two)).ok_or("a trimmed arc lacks an end")?;
        let turn = if sense.truth() == Some(false) {
            -(a - b).rem_euclid(TAU)
        } else {
            (b - a).rem_euclid(TAU)
        };
        Ok(ellipse.arc(a, if turn == 0.0 { TAU } else { turn }))
    }

    fn trim(&self, p: Param<'_>) -> Trim {
        let mut t = Trim::default();
        for x in p.list() {
            match x.reference() {
                Some(id) => t.point = self.point(id).ok(),
                None => t.parameter = x.number(),
            }
        }
        t
    }

    fn indexed(&self, r: &Record<'_>) -> Result<Polyline, Why> {
        let [list, segments, _] = r.take();
        let list = list.reference().ok_or("an indexed curve lacks its points")?;
        let points = self.point_list(list)?;
        if segments.is_empty() {
            return Ok(Polyline { points, curved: false });
        }
        let mut whole = Polyline::default();
        for s in segments.list() {
            let (kind, inner) = s.typed().ok_or("an indexed curve has a segment of no kind")?;
            let mut part = Polyline::default();
            for n in inner.list() {
                self.spend(1)?;
                let n = n.integer().and_then(|n| usize::try_from(n).ok()).unwrap_or(0);
                let p = n.checked_sub(1).and_then(|n| points.get(n));
                part.points.push(*p.ok_or("an indexed curve points outside its list")?);
            }
            if kind.eq_ignore_ascii_case(b"IFCARCINDEX") {
                part = arc_through(&part.points)?;
            }
            whole.extend(part);
        }
        Ok(whole)
    }

    /// IfcCartesianPointList2D or 3D.
    pub fn point_list(&self, id: u64) -> Result<Vec<Vec3>, Why> {
        let r = self.file.get(id)?;
        let mut points = Vec::new();
        for p in r.list(0) {
            self.spend(1)?;
            let p = triple(p.list()).ok_or_else(|| format!("#{id} has a bad coordinate"))?;
            points.push(p);
        }
        Ok(points)
    }

    fn ellipse(&self, r: &Record<'_>) -> Result<Ellipse, Why> {
        let [position, a, b] = r.take();
        let second = if r.is("IFCCIRCLE") {
            a
        } else if r.is("IFCELLIPSE") {
            b
        } else {
            return Err(format!("curve #{} is an {}, which is not read", r.id, r.class_name()));
        };
        let radii = a.number().zip(second.number()).ok_or("a circle lacks its radius")?;
        Ok(Ellipse { at: self.placement_or_identity(position)?, radii })
    }
}

#[derive(Default)]
struct Trim {
    point: Option<Vec3>,
    parameter: Option<f64>,
}

struct Ellipse {
    at: Affine,
    radii: (f64, f64),
}

impl Ellipse {
    fn angle_of(&self, p: Vec3) -> f64 {
        let d = sub(p, self.at.origin);
        let (x, y) = (super::affine::dot(d, self.at.x), super::affine::dot(d, self.at.y));
        (y / self.radii.1).atan2(x / self.radii.0)
    }
    fn arc(&self, from: f64, turn: f64) -> Polyline {
        let chords = (turn.abs() / TAU * CHORDS).ceil().clamp(2.0, CHORDS) as usize;
        let point = |n: usize| {
            let t = from + turn * n as f64 / chords as f64;
            self.at.point([self.radii.0 * t.cos(), self.radii.1 * t.sin(), 0.0])
        };
        Polyline { points: (0..=chords).map(point).collect(), curved: true }
    }
}

/// The arc through three points of a plane z = const; three points in a line are a straight piece.
fn arc_through(points: &[Vec3]) -> Result<Polyline, Why> {
    let [a, b, c] = points else { return Err("an arc has other than three points".to_owned()) };
    let (ux, uy) = (b[0] - a[0], b[1] - a[1]);
    let (vx, vy) = (c[0] - a[0], c[1] - a[1]);
    let cross = ux * vy - uy * vx;
    let size = norm(sub(*b, *a)).max(norm(sub(*c, *a)));
    if cross.abs() <= 1e-9 * size * size {
        return Ok(Polyline { points: vec![*a, *c], curved: false });
    }
    let (u2, v2) = (ux * ux + uy * uy, vx * vx + vy * vy);
    let (cx, cy) = ((vy * u2 - uy * v2) / (2.0 * cross), (ux * v2 - vx * u2) / (2.0 * cross));
    let centre = [a[0] + cx, a[1] + cy, a[2]];
    let radius = cx.hypot(cy);
    let ellipse =
        Ellipse { at: Affine { origin: centre, ..Affine::IDENTITY }, radii: (radius, radius) };
    let (from, to) = (ellipse.angle_of(*a), ellipse.angle_of(*c));
    let turn = if cross > 0.0 { (to - from).rem_euclid(TAU) } else { -(from - to).rem_euclid(TAU) };
    Ok(ellipse.arc(from, turn))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;

    fn curve(text: &str, id: u64, angle_unit: f64) -> Result<Polyline, Why> {
        let full = format!("DATA;{text}");
        let file = File::open(full.as_bytes());
        Shapes::new(&file, angle_unit).curve(id)
    }
    fn near(a: Vec3, b: [f64; 2]) -> bool {
        norm(sub(a, [b[0], b[1], 0.0])) < 1e-9
    }
    const LINE: &str = "#1=IFCCARTESIANPOINT((1.,2.));#2=IFCDIRECTION((0.,3.));#3=IFCVECTOR(#2,10.);#4=IFCLINE(#1,#3);#5=IFCCARTESIANPOINT((1.,9.));";

    #[test]
    fn trimmed_line_by_parameter_and_by_point() {
        let t = format!(
            "{LINE}#6=IFCTRIMMEDCURVE(#4,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(1.)),.T.,.PARAMETER.);#7=IFCTRIMMEDCURVE(#4,(#1,IFCPARAMETERVALUE(5.)),(IFCPARAMETERVALUE(5.),#5),.T.,.CARTESIAN.);"
        );
        assert_eq!(curve(&t, 6, 1.0).unwrap().points, [[1.0, 2.0, 0.0], [1.0, 12.0, 0.0]]);
        assert_eq!(curve(&t, 7, 1.0).unwrap().points, [[1.0, 2.0, 0.0], [1.0, 9.0, 0.0]]);
    }

    #[test]
    fn arcs_take_the_right_way_round_in_degrees() {
        let deg = 1_f64.to_radians();
        let circle =
            "#1=IFCCARTESIANPOINT((0.,0.));#2=IFCAXIS2PLACEMENT2D(#1,$);#3=IFCCIRCLE(#2,2.);";
        for (a, b, sense, middle) in [
            (0.0, 90.0, "T", [2_f64.sqrt(), 2_f64.sqrt()]),
            (0.0, 90.0, "F", [-(2_f64.sqrt()), -(2_f64.sqrt())]),
            (359.0, 1.0, "T", [2.0, 0.0]),
            (180.0, 0.0, "T", [0.0, -2.0]),
        ] {
            let t = format!(
                "{circle}#4=IFCTRIMMEDCURVE(#3,(IFCPARAMETERVALUE({a:?})),(IFCPARAMETERVALUE({b:?})),.{sense}.,.PARAMETER.);"
            );
            let p = curve(&t, 4, deg).unwrap();
            assert!(p.curved);
            let mid = p.points[p.points.len() / 2];
            assert!(near(mid, middle), "{a} {b} {sense}: {mid:?}");
        }
    }

    #[test]
    fn indexed_curve() {
        let t = "#1=IFCCARTESIANPOINTLIST2D(((0.,0.),(4.,0.),(5.,1.),(4.,2.)));#2=IFCINDEXEDPOLYCURVE(#1,(IFCLINEINDEX((1,2)),IFCARCINDEX((2,3,4))),$);#3=IFCINDEXEDPOLYCURVE(#1,$,$);#4=IFCINDEXEDPOLYCURVE(#1,(IFCLINEINDEX((1,9))),$);";
        let p = curve(t, 2, 1.0).unwrap();
        assert!(p.curved && near(p.points[0], [0.0, 0.0]));
        assert!(near(*p.points.last().unwrap(), [4.0, 2.0]));
        assert!(p.points.iter().any(|q| near(*q, [5.0, 1.0])));
        assert_eq!(curve(t, 3, 1.0).unwrap().points.len(), 4);
        assert!(curve(t, 4, 1.0).is_err());
    }

    #[test]
    fn composite_curve_joins_and_reverses() {
        let t = format!(
            "{LINE}#6=IFCCARTESIANPOINT((7.,9.));#8=IFCPOLYLINE((#1,#5));#9=IFCPOLYLINE((#6,#5));#10=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#8);#11=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.F.,#9);#12=IFCCOMPOSITECURVE((#10,#11),.F.);"
        );
        let p = curve(&t, 12, 1.0).unwrap();
        assert_eq!(p.points, [[1.0, 2.0, 0.0], [1.0, 9.0, 0.0], [7.0, 9.0, 0.0]]);
    }

    #[test]
    fn a_curve_of_itself_ends() {
        let t =
            "#1=IFCCOMPOSITECURVE((#2,#2),.F.);#2=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#1);";
        assert!(curve(t, 1, 1.0).is_err());
    }
}
