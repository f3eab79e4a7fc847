//! From an importer's decimal inches to the exact, recentred, canonical model.

use crate::roofs::{self, UnderRoof};
use crate::{
    Format, Linework, Opening, OpeningKind, Storey, StoreyId, UnitsDecision, Wall, WallModel,
};
use diag::{Finding, Ledger, Outcome, SourceRef, codes::input};
use geom::{Length, Point};
use lumber::Section;
use settings::Mirror;
use std::collections::BTreeMap;

/// A storey as read.
#[derive(Clone, Debug)]
pub struct DraftStorey {
    /// Name as drawn.
    pub name: String,
    /// Inches above the project's zero.
    pub elevation_in: f64,
}

/// An opening as read: its two sides projected on the wall's centreline.
#[derive(Clone, Debug)]
pub struct DraftOpening {
    /// What it is.
    pub kind: OpeningKind,
    /// Inches along start -> end.
    pub from_in: f64,
    /// Inches along start -> end.
    pub to_in: f64,
    /// Where it came from.
    pub source: Vec<SourceRef>,
}

/// A wall as read, framing centreline in inches of the drawing's own frame.
#[derive(Clone, Debug)]
pub struct DraftWall {
    /// Index into [`Draft::storeys`].
    pub storey: usize,
    /// One end.
    pub start_in: (f64, f64),
    /// Other end.
    pub end_in: (f64, f64),
    /// As drawn, finishes included.
    pub drawn_thickness_in: f64,
    /// Studs and plates.
    pub section: Section,
    /// Above the storey.
    pub base_in: f64,
    /// Above the storey, at the start.
    pub top_in: f64,
    /// How much higher the top is at the end, in a straight line; 0 for a level top.
    pub rise_in: f64,
    /// The roof that sets the top instead, by the settings.
    pub roof: Option<UnderRoof>,
    /// See [`Wall::exterior`].
    pub exterior: Option<bool>,
    /// See [`Wall::bearing`].
    pub bearing: Option<bool>,
    /// Openings on this wall.
    pub openings: Vec<DraftOpening>,
    /// Where it came from; at least one.
    pub source: Vec<SourceRef>,
}

/// What an importer hands over.
#[derive(Clone, Debug)]
pub struct Draft {
    /// Which reader.
    pub format: Format,
    /// File version.
    pub version: String,
    /// Writing program.
    pub written_by: String,
    /// Units.
    pub units: UnitsDecision,
    /// Floors.
    pub storeys: Vec<DraftStorey>,
    /// Walls.
    pub walls: Vec<DraftWall>,
    /// Every entity read is in here already; walls dropped in [`Draft::finish`] move their entities
    /// from used to ignored.
    pub ledger: Ledger,
}

/// Map coordinates (northings of several thousand km) pass; what is beyond 100 000 km is damage.
const FARTHEST_IN: f64 = REACH_IN * 1000.0;

/// Walls farther than this from the first one are no building: 100 km in inches.
const REACH_IN: f64 = 100_000.0 / 0.0254;

impl Draft {
    /// Lays walls under their roofs, checks every number, mirrors, takes the origin off (the least x and least y over all wall
    /// ends), rounds to nanometres with decimal noise removed, sorts.
    ///
    /// A wall that cannot be used is dropped with a finding and moved to `ignored` in the ledger,
    /// one ledger entry for each of its source entities.
    pub fn finish(self, mirror: Mirror) -> Outcome<WallModel> {
        let Draft { format, version, written_by, units, storeys, walls, ledger } = self;
        let mut drop = Dropping { ledger, findings: Vec::new(), walls_of: BTreeMap::new() };
        let walls = roofs::raise(walls);
        for s in walls.iter().flat_map(|w| &w.source) {
            *drop.walls_of.entry(s.entity.clone()).or_default() += 1;
        }
        let mut kept: Vec<DraftWall> = Vec::new();
        for mut w in walls {
            let numbers = [
                w.start_in.0,
                w.start_in.1,
                w.end_in.0,
                w.end_in.1,
                w.base_in,
                w.top_in,
                w.rise_in,
                w.drawn_thickness_in,
            ];
            if numbers.iter().any(|v| !v.is_finite() || v.abs() > FARTHEST_IN) {
                let why = "a coordinate is not a finite number within 100 000 km";
                drop.wall(input::COORDINATE_BAD, &w, why);
                continue;
            }
            match mirror {
                Mirror::None => {}
                Mirror::X => (w.start_in.0, w.end_in.0) = (-w.start_in.0, -w.end_in.0),
                Mirror::Y => (w.start_in.1, w.end_in.1) = (-w.start_in.1, -w.end_in.1),
            }
            kept.push(w);
        }
        let origin = origin_of(&kept);
        let mut out: Vec<Wall> = Vec::new();
        for w in kept {
            match exact(&w, origin) {
                Ok(wall) => out.push(wall),
                Err((code, why)) => drop.wall(code, &w, why),
            }
        }
        let (storeys, renumber) = sort_storeys(storeys);
        for w in &mut out {
            w.storey = renumber[w.storey.0 as usize];
        }
        out.sort_by(canonical_order);
        let model = WallModel {
            format,
            version,
            written_by,
            units,
            origin_inches: origin,
            storeys,
            walls: out,
            ledger: drop.ledger,
            linework: Linework::default(),
        };
        Outcome { value: model, findings: drop.findings }
    }
}

/// Walls that cannot be used, taken out of the account.
struct Dropping {
    ledger: Ledger,
    findings: Vec<Finding>,
    /// How many walls still come from each entity: a polyline is used while one of its walls is.
    walls_of: BTreeMap<String, usize>,
}

impl Dropping {
    fn wall(&mut self, code: diag::Code, w: &DraftWall, why: &str) {
        for s in &w.source {
            let left = self.walls_of.get_mut(&s.entity);
            let last = left.is_none_or(|n| {
                *n = n.saturating_sub(1);
                *n == 0
            });
            if last {
                self.ledger.unuse(code.info().title, s.entity.clone());
            }
        }
        let (entity, layer) =
            w.source.first().map_or(("?", "?"), |s| (s.entity.as_str(), s.layer.as_str()));
        let message = format!("Wall {entity} on {layer} was left out: {why}.");
        self.findings.push(Finding::new(code, message).from(&w.source));
    }
}

/// The least x and least y: the drawing's own grid is kept, since the corner lies on it. A wall
/// farther than [`REACH_IN`] from the median wall does not take part.
fn origin_of(walls: &[DraftWall]) -> (f64, f64) {
    let least = |axis: fn(&DraftWall) -> [f64; 2]| {
        let mut v: Vec<f64> = walls.iter().flat_map(axis).collect();
        v.sort_by(f64::total_cmp);
        let Some(median) = v.get(v.len() / 2).copied() else { return 0.0 };
        v.into_iter().find(|x| (x - median).abs() <= REACH_IN).unwrap_or(median)
    };
    (least(|w| [w.start_in.0, w.end_in.0]), least(|w| [w.start_in.1, w.end_in.1]))
}

fn exact(w: &DraftWall, origin: (f64, f64)) -> Result<Wall, (diag::Code, &'static str)> {
    const FAR: (diag::Code, &str) =
        (input::COORDINATE_BAD, "it lies more than 100 km from the other walls");
    let near = |v: f64| (v.abs() <= 2.0 * REACH_IN).then_some(v).ok_or(FAR);
    let len = |v: f64| Length::from_inches(near(v)?).map(Length::denoise).ok_or(FAR);
    let point = |p: (f64, f64)| Ok(Point::new(len(p.0 - origin.0)?, len(p.1 - origin.1)?));
    let (start, end) = (point(w.start_in)?, point(w.end_in)?);
    if start == end {
        return Err((input::WALL_ZERO_LENGTH, "both ends are the same point"));
    }
    let mut openings = Vec::new();
    for o in &w.openings {
        let (a, b) = (len(o.from_in)?, len(o.to_in)?);
        if a != b {
            openings.push(Opening {
                kind: o.kind,
                from: a.min(b),
                to: a.max(b),
                source: o.source.clone(),
            });
        }
    }
    // One direction for each wall, so that drawing it backwards changes nothing.
    let (mut top, mut rise) = (len(w.top_in)?, len(w.rise_in)?);
    let (start, end) = if start <= end {
        (start, end)
    } else {
        (top, rise) = (top + rise, -rise);
        let whole = start.distance(end);
        for o in &mut openings {
            (o.from, o.to) = (whole - o.to, whole - o.from);
        }
        (end, start)
    };
    openings.sort_by_key(|o| (o.from, o.to, o.kind));
    let mut source = w.source.clone();
    source.sort();
    source.dedup();
    let base = len(w.base_in)?;
    if top.min(top + rise) <= base {
        return Err((input::COORDINATE_BAD, "its top is not above its base"));
    }
    Ok(Wall {
        storey: StoreyId(w.storey as u32),
        start,
        end,
        drawn_thickness: len(w.drawn_thickness_in)?,
        section: w.section,
        base,
        top,
        rise,
        exterior: w.exterior,
        bearing: w.bearing,
        openings,
        source,
    })
}

type SortKey<'a> = (StoreyId, Point, Point, Section, [Length; 3], &'a [SourceRef]);

/// The canonical order of [`WallModel::walls`].
pub fn canonical_order(a: &Wall, b: &Wall) -> std::cmp::Ordering {
    sort_key(a).cmp(&sort_key(b))
}

fn sort_key(w: &Wall) -> SortKey<'_> {
    (w.storey, w.start, w.end, w.section, [w.base, w.top, w.rise], &w.source)
}

/// Lowest first; the new number of each old one.
fn sort_storeys(storeys: Vec<DraftStorey>) -> (Vec<Storey>, Vec<StoreyId>) {
    let exact = |s: DraftStorey| Storey {
        name: s.name,
        elevation: Length::from_inches(s.elevation_in).unwrap_or_default().denoise(),
    };
    let mut order: Vec<(usize, Storey)> = storeys.into_iter().map(exact).enumerate().collect();
    order.sort_by(|(i, a), (j, b)| (a.elevation, &a.name, i).cmp(&(b.elevation, &b.name, j)));
    let mut renumber = vec![StoreyId(0); order.len()];
    for (new, (old, _)) in order.iter().enumerate() {
        renumber[*old] = StoreyId(new as u32);
    }
    (order.into_iter().map(|(_, s)| s).collect(), renumber)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wall(start: (f64, f64), end: (f64, f64), entity: &str) -> DraftWall {
        DraftWall {
            storey: 0,
            start_in: start,
            end_in: end,
            drawn_thickness_in: 3.5,
            section: Section::S2X4,
            base_in: 0.0,
            top_in: 97.125,
            rise_in: 0.0,
            roof: None,
            exterior: None,
            bearing: None,
            openings: vec![],
            source: vec![SourceRef { entity: entity.into(), layer: "A-WALL".into() }],
        }
    }

    fn draft(walls: Vec<DraftWall>) -> Draft {
        let mut ledger = Ledger::default();
        walls.iter().for_each(|_| ledger.use_one());
        Draft {
            format: Format::Dxf,
            version: String::new(),
            written_by: String::new(),
            units: UnitsDecision {
                name: "in".into(),
                inches_per_unit: 1.0,
                decided_by: String::new(),
            },
            storeys: vec![DraftStorey { name: "Plan".into(), elevation_in: 0.0 }],
            walls,
            ledger,
        }
    }

    #[test]
    fn far_coordinates_keep_their_grid() {
        // A georeferenced corner, x = 568053.449 m: after recentring the wall is exact again.
        let x = 568_053.449 / 0.0254;
        let m = draft(vec![wall((x, 0.0), (x + 144.0, 0.0), "A")]).finish(Mirror::None).value;
        assert_eq!(m.walls[0].start, Point::default());
        assert_eq!(m.walls[0].end, Point::new(Length::inches(144), Length::ZERO));
    }

    #[test]
    fn unusable_walls_are_counted_not_lost() {
        let bad = [(f64::NAN, 0.0), (1e300, 0.0), (2e7, 0.0)];
        let mut walls: Vec<_> =
            bad.iter().map(|p| wall(*p, (12.0, 0.0), &format!("bad {p:?}"))).collect();
        walls.push(wall((5.0, 5.0), (5.0, 5.0), "dot"));
        walls.extend((0..9).map(|i| wall((0.0, f64::from(i)), (100.0, f64::from(i)), "ok")));
        let out = draft(walls).finish(Mirror::None);
        assert_eq!(out.value.walls.len(), 9);
        assert_eq!(out.findings.len(), 4);
        let l = &out.value.ledger;
        assert_eq!((l.used(), l.ignored_total(), l.read()), (9, 4, 13));
    }

    #[test]
    fn a_polyline_is_used_while_one_of_its_walls_is() {
        let mut d =
            draft(vec![wall((0.0, 0.0), (120.0, 0.0), "P"), wall((120.0, 0.0), (120.0, 0.0), "P")]);
        d.ledger = Ledger::default();
        d.ledger.use_one();
        let out = d.finish(Mirror::None);
        assert_eq!(out.findings.len(), 1);
        assert_eq!((out.value.ledger.used(), out.value.ledger.ignored_total()), (1, 0));
    }

    #[test]
    fn order_and_direction_of_drawing_do_not_show() {
        let a = wall((0.0, 0.0), (120.0, 0.0), "A");
        let mut b = wall((120.0, 0.0), (120.0, 96.0), "B");
        b.openings.push(DraftOpening {
            kind: OpeningKind::Door,
            from_in: 10.0,
            to_in: 40.0,
            source: vec![],
        });
        let mut back = b.clone();
        (back.start_in, back.end_in) = (back.end_in, back.start_in);
        (back.openings[0].from_in, back.openings[0].to_in) = (56.0, 86.0);
        let one = draft(vec![a.clone(), b]).finish(Mirror::None).value;
        let two = draft(vec![back, a]).finish(Mirror::None).value;
        assert_eq!(one.walls, two.walls);
    }

    #[test]
    fn a_raked_top_stays_where_it_is_drawn() {
        let up = DraftWall { rise_in: 60.0, ..wall((0.0, 0.0), (120.0, 0.0), "A") };
        let down =
            DraftWall { top_in: 157.125, rise_in: -60.0, ..wall((120.0, 0.0), (0.0, 0.0), "A") };
        let mirrored = |w: &DraftWall| draft(vec![w.clone()]).finish(Mirror::X).value.walls;
        let plain = |w: &DraftWall| draft(vec![w.clone()]).finish(Mirror::None).value.walls;
        assert_eq!(plain(&up), plain(&down));
        assert_eq!(mirrored(&up), mirrored(&down));
        assert_eq!(plain(&up)[0].rise, Length::inches(60));
        // The low end is at x = 0 of the drawing, the right-hand end of the mirrored one.
        let m = &mirrored(&up)[0];
        assert_eq!((m.top, m.rise), (Length::sixteenths(157 * 16 + 2), -Length::inches(60)));
        let sunk = DraftWall { rise_in: -97.5, ..up };
        assert!(plain(&sunk).is_empty());
    }

    #[test]
    fn mirror_is_a_mirror() {
        let walls = vec![wall((0.0, 0.0), (120.0, 30.0), "A")];
        let m = draft(walls).finish(Mirror::X).value;
        let (s, e) = (m.walls[0].start, m.walls[0].end);
        assert_eq!(s, Point::new(Length::ZERO, Length::inches(30)));
        assert_eq!(e, Point::new(Length::inches(120), Length::ZERO));
    }
}
