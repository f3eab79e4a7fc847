//! Doors and windows in walls that are left out.
//!
//! Knows: lines of walls that no section fits, and of wall layers that their name leaves out. Never touches: walls
//! that are planned.

use crate::account::{Fate, Reason};
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::openings::Symbol;
use crate::survey::Survey;
use crate::walls::{THICKEST_FACES_IN, in_inches};

/// Which symbols lie at a wall that is left out, no farther from its faces than its middle is; `k` inches in the
/// drawing's unit.
pub(crate) fn at_left_out_walls(s: &Survey<'_>, k: f64, symbols: &[&Symbol]) -> Vec<bool> {
    if symbols.is_empty() {
        return Vec::new();
    }
    let all = &s.drawing.lines;
    let is_left_out = |i: &usize| {
        let excluded = s.role(*i).is_some_and(|r| r.excluded_wall);
        let hidden = matches!(s.fates.get(*i), Some(Fate::Left(Reason::Off | Reason::Frozen)));
        !hidden && (excluded || s.fates.get(*i) == Some(&Fate::Left(Reason::NoSection)))
    };
    let shapes = (0..all.shapes.len()).filter(is_left_out);
    let lines: Vec<Segment> = shapes
        .flat_map(|i| all.segments_of(i))
        .filter_map(|j| all.segments.get(j))
        .map(|g| in_inches(*g, k))
        .collect();
    let index = LineIndex::new(&lines);
    let reach = THICKEST_FACES_IN / 2.0;
    let at_one = |x: &&Symbol| {
        x.corners().iter().any(|p| {
            let near = index.near(&[*p], reach).into_iter();
            near.filter_map(|i| lines.get(i as usize)).any(|g| distance(g, *p) <= reach)
        })
    };
    symbols.iter().map(at_one).collect()
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use diag::Severity;

    #[test]
    fn a_window_in_a_wall_that_is_left_out_is_noted_and_no_warning() {
        let house = || Dxf::inches().house();
        // A masonry wall 9-1/2 in thick whose faces no stud explains, on another layer of faces.
        let masonry = (0..2).fold(house(), |d, n| {
            let y = 600.0 + 9.5 * f64::from(n);
            d.line("MUR", [0.0, y], [480.0, y]).line("MUR", [0.0, y + 200.0], [480.0, y + 200.0])
        });
        let old = house().line("A-WALL-EXST", [0.0, 600.0], [480.0, 600.0]).line(
            "A-WALL-EXST",
            [0.0, 606.0],
            [480.0, 606.0],
        );
        for (d, y) in [(masonry, 604.75), (old, 603.0)] {
            let d = d.line("A-GLAZ", [100.0, y], [148.0, y]);
            let o = ok(&d);
            let told = with(&o.findings, "dxf-opening-unhosted");
            assert_eq!(told.len(), 1);
            assert_eq!(told[0].severity, Severity::Note, "{}", told[0].message);
            assert!(told[0].message.contains("left out"), "{}", told[0].message);
        }
        let d = house().line("A-GLAZ", [100.0, 604.0], [148.0, 604.0]);
        assert_eq!(with(&ok(&d).findings, "dxf-opening-unhosted")[0].severity, Severity::Warning);
    }
}
