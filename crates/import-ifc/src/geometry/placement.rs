//! Where things are: axis placements, transformation operators, chains of local placements.

use super::Shapes;
use super::affine::Affine;
use crate::file::Why;
use crate::step::{Param, Record};
use rustc_hash::FxHashMap;
use std::cell::RefCell;

/// Longest chain of placements followed; a loop is found by it.
const CHAIN: usize = 256;

/// World placements already worked out. Buildings place thousands of things on one storey.
#[derive(Default)]
pub struct PlacementMemo(RefCell<FxHashMap<u64, Affine>>);

impl Shapes<'_, '_> {
    /// IfcAxis2Placement3D or 2D.
    pub fn axis_placement(&self, r: &Record<'_>) -> Result<Affine, Why> {
        let mut each = r.values();
        let mut next = || each.next_reference().flatten();
        let origin = self.point_of(r, next())?;
        let mut direction = || next().and_then(|id| self.ratios(id));
        if r.is("IFCAXIS2PLACEMENT3D") {
            let axis = direction();
            Ok(Affine::placement(origin, axis, direction()))
        } else if r.is("IFCAXIS2PLACEMENT2D") {
            Ok(Affine::placement(origin, None, direction()))
        } else {
            Err(format!("#{} is an {}, which places nothing here", r.id, r.class_name()))
        }
    }
    /// The same by its id.
    fn axis_placement_at(&self, id: u64) -> Result<Affine, Why> {
        let at_a_glance = self.file.links(id, b"IFCAXIS2PLACEMENT3D(", b");");
        let Some([Some(origin), axis, toward]) = at_a_glance else {
            return self.axis_placement(&self.file.get(id)?);
        };
        let direction = |id: Option<u64>| id.and_then(|id| self.ratios(id));
        Ok(Affine::placement(self.point(origin)?, direction(axis), direction(toward)))
    }
    /// The placement a parameter refers to; `$` is no displacement.
    pub fn placement_or_identity(&self, p: Param<'_>) -> Result<Affine, Why> {
        match p.reference() {
            Some(id) => self.axis_placement_at(id),
            None if p.is_empty() => Ok(Affine::IDENTITY),
            None => Err("a placement is no reference".to_owned()),
        }
    }
    /// IfcCartesianTransformationOperator in any of its forms.
    pub fn operator(&self, r: &Record<'_>) -> Result<Affine, Why> {
        let class = r.class_name().to_ascii_uppercase();
        let flat = class.starts_with("IFCCARTESIANTRANSFORMATIONOPERATOR2D");
        if !flat && !class.starts_with("IFCCARTESIANTRANSFORMATIONOPERATOR3D") {
            return Err(format!("#{} is no transformation but {class}", r.id));
        }
        let [a1, a2, _, s1, p4, p5, p6] = r.take();
        let origin = self.point_at(r, 2)?;
        let scale = s1.number().unwrap_or(1.0);
        let uneven = class.ends_with("NONUNIFORM");
        let (a3, s2, s3) = if flat { (None, p4, p4) } else { (self.direction(p4), p5, p6) };
        let or_first = |p: Param<'_>| if uneven { p.number().unwrap_or(scale) } else { scale };
        let scales = [scale, or_first(s2), if flat { 1.0 } else { or_first(s3) }];
        if scales.iter().any(|s| s.abs() < 1e-9) {
            return Err(format!("#{} scales to nothing", r.id));
        }
        Ok(Affine::operator(origin, [self.direction(a1), self.direction(a2), a3], scales))
    }
    /// What an IfcLocalPlacement is placed on, and where on it.
    fn local_placement(&self, id: u64) -> Result<(Option<u64>, Affine), Why> {
        if let Some([parent, Some(own)]) = self.file.links(id, b"IFCLOCALPLACEMENT(", b");") {
            return Ok((parent, self.axis_placement_at(own)?));
        }
        let r = self.file.get(id)?;
        if !r.is("IFCLOCALPLACEMENT") {
            let class = r.class_name();
            return Err(format!("its placement #{id} is an {class}, which is not read"));
        }
        let mut each = r.values();
        let parent = each.next_reference().flatten();
        let own = each.next_reference().flatten();
        Ok((parent, self.axis_placement(&self.file.follow_to(&r, 1, own)?)?))
    }
    /// The map from an object's own coordinates to the world's, through its chain of placements.
    pub fn world(&self, memo: &PlacementMemo, placement: Param<'_>) -> Result<Affine, Why> {
        let mut memo = memo.0.borrow_mut();
        let mut chain: Vec<(u64, Affine)> = Vec::new();
        let mut next = placement.reference();
        let mut map = Affine::IDENTITY;
        while let Some(id) = next {
            if let Some(known) = memo.get(&id) {
                map = *known;
                break;
            }
            if chain.len() >= CHAIN {
                return Err(format!(
                    "its placement loops, or is nested over {CHAIN} deep, at #{id}"
                ));
            }
            let (parent, own) = self.local_placement(id)?;
            // Things are placed on few others, and most have nothing placed on them: of those no note
            // is taken.
            let known = parent.and_then(|id| memo.get(&id));
            if let Some(known) = known.filter(|_| chain.is_empty()) {
                return Ok(known.after(&own));
            }
            chain.push((id, own));
            next = parent;
        }
        for (n, (id, own)) in chain.iter().enumerate().rev() {
            map = map.after(own);
            if n > 0 {
                memo.insert(*id, map);
            }
        }
        Ok(map)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;
    use crate::geometry::affine::{norm, sub};

    fn world_of(text: &str, id: u64) -> Result<Affine, Why> {
        let full = format!("ISO-10303-21;DATA;{text}\nENDSEC;END-ISO-10303-21;");
        let file = File::open(full.as_bytes());
        let shapes = Shapes::new(&file, 1.0);
        let holder = format!("#999=IFCX(#{id});");
        let r = Record::read(holder.as_bytes(), 0).unwrap();
        shapes.world(&PlacementMemo::default(), r.param(0))
    }

    #[test]
    fn chain_of_two_turns() {
        let text = "#1=IFCCARTESIANPOINT((10.,0.,3.));#2=IFCDIRECTION((0.,1.,0.));#3=IFCAXIS2PLACEMENT3D(#1,$,#2);
            #4=IFCLOCALPLACEMENT($,#3);#5=IFCLOCALPLACEMENT(#4,#3);";
        let w = world_of(text, 5).unwrap();
        // (10,0,3) turned a quarter about the first origin, then the second turn: half a turn in all.
        let got = w.point([1.0, 0.0, 0.0]);
        assert!(norm(sub(got, [9.0, 10.0, 6.0])) < 1e-12, "{got:?}");
    }

    #[test]
    fn loops_grids_and_holes_are_sentences() {
        let base = "#1=IFCCARTESIANPOINT((0.,0.));#3=IFCAXIS2PLACEMENT3D(#1,$,$);";
        let cases = [
            ("#4=IFCLOCALPLACEMENT(#5,#3);#5=IFCLOCALPLACEMENT(#4,#3);", "loops"),
            ("#4=IFCGRIDPLACEMENT(#5,$);", "IFCGRIDPLACEMENT"),
            ("#4=IFCLOCALPLACEMENT(#77,#3);", "#77 is not in the file"),
            ("#4=IFCLOCALPLACEMENT($,#1);", "lacks a point"),
        ];
        for (text, want) in cases {
            let why = world_of(&format!("{base}{text}"), 4).unwrap_err();
            assert!(why.contains(want), "{why}");
        }
    }

    #[test]
    fn mirrored_and_uneven_operator() {
        let text = "#1=IFCCARTESIANPOINT((0.,0.,0.));#2=IFCDIRECTION((0.,-1.,0.));#3=IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM($,#2,#1,2.,$,3.,4.);";
        let full = format!("DATA;{text}");
        let file = File::open(full.as_bytes());
        let shapes = Shapes::new(&file, 1.0);
        let m = shapes.operator(&file.get(3).unwrap()).unwrap();
        assert_eq!(m.point([1.0, 1.0, 1.0]), [2.0, -3.0, 4.0]);
    }
}
