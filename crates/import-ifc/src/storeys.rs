//! Storeys: their names, their heights, and which one a wall stands on.

use crate::classes::Kind;
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::report::Report;
use diag::codes::ifc;
use diag::{Finding, SourceRef};
use rustc_hash::FxHashMap;

/// One storey of the file, heights in the file's unit.
#[derive(Clone, Debug)]
pub struct StoreyRow {
    /// Entity id; 0 for a storey made up where the file has none.
    pub id: u64,
    /// Name, or the long name where the name is empty.
    pub name: String,
    /// Where it came from.
    pub source: SourceRef,
    /// `Elevation` as stated.
    stated: Option<f64>,
    /// World height of its placement.
    placed: Option<f64>,
    /// World height its walls are measured from.
    pub foot_z: f64,
}

impl StoreyRow {
    /// Elevation above the project's zero: as stated, else as placed.
    pub fn elevation(&self) -> f64 {
        self.stated.or(self.placed).unwrap_or(self.foot_z)
    }
}

/// All storeys.
#[derive(Debug, Default)]
pub struct Storeys {
    /// In order of entity id.
    pub rows: Vec<StoreyRow>,
    by_id: FxHashMap<u64, usize>,
}

impl Storeys {
    /// Reads them.
    pub fn read(shapes: &Shapes<'_, '_>, memo: &PlacementMemo) -> Storeys {
        let mut all = Storeys::default();
        for r in shapes.file.all(Kind::Storey) {
            let name = shapes.file.name(&r);
            let long = r.param(7).text().unwrap_or_default();
            let placed = r.param(5).reference().and_then(|_| shapes.world(memo, r.param(5)).ok());
            let (stated, placed) = (r.param(9).number(), placed.map(|w| w.origin[2]));
            all.by_id.insert(r.id, all.rows.len());
            all.rows.push(StoreyRow {
                id: r.id,
                name: if name.is_empty() { long.trim().to_owned() } else { name },
                source: shapes.file.source(&r, ""),
                stated,
                placed,
                foot_z: placed.or(stated).unwrap_or(0.0),
            });
        }
        all
    }

    /// Row of the storey with that entity id.
    pub fn row(&self, id: u64) -> Option<usize> {
        self.by_id.get(&id).copied()
    }

    /// Where a storey's statement and placement differ, believes the one its walls stand on. `feet`
    /// are the walls' feet by row.
    pub fn settle(&mut self, feet: &[(usize, f64)], inches: f64, report: &mut Report) {
        for (n, row) in self.rows.iter_mut().enumerate() {
            let (Some(stated), Some(placed)) = (row.stated, row.placed) else { continue };
            if (stated - placed).abs() * inches < 0.05 {
                continue;
            }
            let mut off: Vec<f64> = Vec::new();
            let typical = |off: &mut Vec<f64>, zero: f64| {
                off.clear();
                off.extend(feet.iter().filter(|f| f.0 == n).map(|f| (f.1 - zero).abs()));
                off.sort_by(f64::total_cmp);
                off.get(off.len() / 2).copied()
            };
            let (by_placed, by_stated) = (typical(&mut off, placed), typical(&mut off, stated));
            if let (Some(p), Some(s)) = (by_placed, by_stated)
                && s + 0.05 / inches < p
            {
                row.foot_z = stated;
                report.plain(
                    Finding::new(
                        ifc::STOREY_HEIGHT,
                        format!(
                            "Storey {} states the elevation {:.2} in but is placed at {:.2} in; its walls stand on the stated one.",
                            row.name,
                            stated * inches,
                            placed * inches
                        ),
                    )
                    .from(std::slice::from_ref(&row.source)),
                );
            }
        }
    }

    /// The storey a foot at that height stands on: the highest one that is not more than `slack`
    /// above it, else the lowest.
    pub fn by_height(&self, foot_z: f64, slack: f64) -> Option<usize> {
        let order = |n: &usize| (self.rows[*n].foot_z, *n);
        let by = |a: &usize, b: &usize| order(a).0.total_cmp(&order(b).0).then(a.cmp(b));
        let below = (0..self.rows.len()).filter(|n| self.rows[*n].foot_z <= foot_z + slack);
        below.max_by(by).or_else(|| (0..self.rows.len()).min_by(by))
    }

    /// Makes up storeys from the walls' feet where the file has none: a step of more than `step`
    /// starts a new one.
    pub fn from_feet(feet: &[f64], step: f64) -> Storeys {
        let mut sorted: Vec<f64> = feet.iter().copied().filter(|z| z.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let mut starts: Vec<f64> = Vec::new();
        let mut last = f64::NEG_INFINITY;
        for z in sorted {
            if z - last > step {
                starts.push(z);
            }
            last = z;
        }
        let one = starts.len() <= 1;
        let row = |(n, z): (usize, f64)| StoreyRow {
            id: 0,
            name: if one { "Plan".to_owned() } else { format!("Plan {}", n + 1) },
            source: SourceRef::default(),
            stated: None,
            placed: None,
            foot_z: z,
        };
        Storeys { rows: starts.into_iter().enumerate().map(row).collect(), ..Storeys::default() }
    }

    /// The storey whose level is nearest to a height and within `slack` of it.
    pub fn at_level(&self, z: f64, slack: f64) -> Option<&StoreyRow> {
        let off = |r: &&StoreyRow| (r.foot_z - z).abs();
        let near = self.rows.iter().filter(|r| off(r) <= slack);
        near.min_by(|a, b| off(a).total_cmp(&off(b)))
    }

    /// The lowest storey that lies at least `least` above row `n`.
    pub fn above(&self, n: usize, least: f64) -> Option<&StoreyRow> {
        let here = self.rows.get(n)?.foot_z;
        let higher = self.rows.iter().filter(|r| r.foot_z >= here + least);
        higher.min_by(|a, b| a.foot_z.total_cmp(&b.foot_z))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::file::File;

    fn storeys(rows: &[(&str, &str)]) -> Storeys {
        let mut t =
            "DATA;#1=IFCCARTESIANPOINT((0.,0.,0.));#2=IFCAXIS2PLACEMENT3D(#1,$,$);".to_owned();
        for (n, (z, elevation)) in rows.iter().enumerate() {
            let i = 10 * (n + 1);
            t += &format!(
                "#{i}=IFCCARTESIANPOINT((0.,0.,{z}));#{}=IFCAXIS2PLACEMENT3D(#{i},$,$);#{}=IFCLOCALPLACEMENT($,#{});#{}=IFCBUILDINGSTOREY('s{n}',$,'S{n}',$,$,#{},$,$,.ELEMENT.,{elevation});",
                i + 1,
                i + 2,
                i + 1,
                i + 3,
                i + 2
            );
        }
        let file = File::open(t.as_bytes());
        Storeys::read(&Shapes::new(&file, 1.0), &PlacementMemo::default())
    }

    #[test]
    fn a_building_raised_as_a_whole_is_no_contradiction() {
        let mut s = storeys(&[("100.", "0."), ("200.", "100.")]);
        let mut report = Report::default();
        s.settle(&[(0, 100.0), (1, 200.0)], 1.0, &mut report);
        assert_eq!((s.rows[0].foot_z, s.rows[1].foot_z), (100.0, 200.0));
        assert_eq!((s.rows[0].elevation(), s.rows[1].elevation()), (0.0, 100.0));
        assert!(report.into_findings().is_empty());
    }

    #[test]
    fn storeys_all_placed_at_zero_are_taken_by_statement() {
        let mut s = storeys(&[("0.", "0."), ("0.", "100.")]);
        let mut report = Report::default();
        s.settle(&[(0, 0.0), (1, 100.0), (1, 101.0)], 1.0, &mut report);
        assert_eq!(s.rows[1].foot_z, 100.0);
        assert_eq!(report.into_findings()[0].code, ifc::STOREY_HEIGHT);
    }

    #[test]
    fn by_height() {
        let s = storeys(&[("0.", "0."), ("100.", "100.")]);
        assert_eq!(s.by_height(95.0, 12.0), Some(1));
        assert_eq!(s.by_height(50.0, 12.0), Some(0));
        assert_eq!(s.by_height(-500.0, 12.0), Some(0));
        assert_eq!(s.above(0, 72.0).map(|r| r.name.as_str()), Some("S1"));
        assert!(s.above(1, 72.0).is_none());
        assert_eq!(s.at_level(97.0, 6.0).map(|r| r.name.as_str()), Some("S1"));
        assert!(s.at_level(50.0, 6.0).is_none());
        assert_eq!(Storeys::default().by_height(0.0, 1.0), None);
    }

    #[test]
    fn made_up_from_feet() {
        let s = Storeys::from_feet(&[0.0, 2.0, 110.0, -1.0, f64::NAN], 48.0);
        let names: Vec<&str> = s.rows.iter().map(|r| r.name.as_str()).collect();
        assert_eq!(names, ["Plan 1", "Plan 2"]);
        assert_eq!(Storeys::from_feet(&[5.0], 48.0).rows[0].name, "Plan");
    }
}
