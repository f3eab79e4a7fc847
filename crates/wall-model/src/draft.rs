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
    /// Lays walls under their roofs, checks every number, mirrors, takes the origin off (the least x and
    /// least y over all wall ends), rounds to nanometres with decimal noise removed, sorts.
    ///
    /// A wall that cannot be used is dropped with a finding and moved to `ignored` in the ledger,
    /// one ledger entry for each of its source entities.
    pub fn finish(self, mirror: Mirror) -> Outcome<WallModel> {
        let Draft { format, version, written_by, units, storeys, walls, ledger } = self;
        let mut walls = roofs::raise(walls);
        for w in &mut walls {
            (w.start_in, w.end_in) = (mirror.point(w.start_in), mirror.point(w.end_in));
        }
        let sound: Vec<bool> = walls.iter().map(has_sound_numbers).collect();
        let origin = origin_of(&walls, &sound);
        let placed: Vec<Result<Placed, Unusable>> = walls
            .iter()
            .zip(sound)
            .map(|(w, sound)| if sound { exact(w, origin) } else { Err(UNSOUND) })
            .collect();
        let (ledger, findings) = drop_unusable(&walls, &placed, ledger);
        let (storeys, renumber) = sort_storeys(storeys);
        let usable = walls.into_iter().zip(placed).filter_map(|(w, p)| Some((w, p.ok()?)));
        let walls = in_order(usable.map(|(w, p)| wall_of(w, p, &renumber)).collect());
        let model = WallModel {
            format,
            version,
            written_by,
            units,
            origin_inches: (to_a_nanometre(origin.0), to_a_nanometre(origin.1)),
            storeys,
            walls,
            ledger,
            linework: Linework::default(),
        };
        Outcome { value: model, findings }
    }
}

/// Why a wall cannot be used.
type Unusable = (diag::Code, &'static str);

const UNSOUND: Unusable =
    (input::COORDINATE_BAD, "a coordinate is not a finite number within 100 000 km");

fn has_sound_numbers(w: &DraftWall) -> bool {
    let ends = [w.start_in.0, w.start_in.1, w.end_in.0, w.end_in.1];
    let all = ends.into_iter().chain([w.base_in, w.top_in, w.rise_in, w.drawn_thickness_in]);
    all.into_iter().all(|v| v.is_finite() && v.abs() <= FARTHEST_IN)
}

/// Takes the walls that cannot be used out of the account and says why: first those whose numbers are none.
fn drop_unusable(
    walls: &[DraftWall],
    placed: &[Result<Placed, Unusable>],
    mut ledger: Ledger,
) -> (Ledger, Vec<Finding>) {
    let mut findings = Vec::new();
    if placed.iter().all(Result::is_ok) {
        return (ledger, findings);
    }
    // How many walls still come from each entity: a polyline is used while one of its walls is.
    let mut walls_of: BTreeMap<&str, usize> = BTreeMap::new();
    for s in walls.iter().flat_map(|w| &w.source) {
        *walls_of.entry(&s.entity).or_default() += 1;
    }
    let unusable = || walls.iter().zip(placed).filter_map(|(w, p)| Some((w, p.as_ref().err()?)));
    let unsound = unusable().filter(|(_, why)| **why == UNSOUND);
    for (w, (code, why)) in unsound.chain(unusable().filter(|(_, why)| **why != UNSOUND)) {
        for s in &w.source {
            let left = walls_of.get_mut(s.entity.as_str());
            let last = left.is_none_or(|n| {
                *n = n.saturating_sub(1);
                *n == 0
            });
            if last {
                ledger.unuse(code.info().title, s.entity.clone());
            }
        }
        let (entity, layer) =
            w.source.first().map_or(("?", "?"), |s| (s.entity.as_str(), s.layer.as_str()));
        let message = format!("Wall {entity} on {layer} was left out: {why}.");
        findings.push(Finding::new(*code, message).from(&w.source));
    }
    (ledger, findings)
}

/// The least x and least y: the drawing's own grid is kept, since the corner lies on it. A wall
/// farther than [`REACH_IN`] from the median wall does not take part.
fn origin_of(walls: &[DraftWall], sound: &[bool]) -> (f64, f64) {
    let least = |axis: fn(&DraftWall) -> [f64; 2]| {
        let sound = walls.iter().zip(sound).filter(|(_, sound)| **sound);
        let mut v: Vec<f64> = sound.flat_map(|(w, _)| axis(w)).collect();
        if v.is_empty() {
            return 0.0;
        }
        let middle = v.len() / 2;
        let median = *v.select_nth_unstable_by(middle, f64::total_cmp).1;
        let near = v.into_iter().filter(|x| (x - median).abs() <= REACH_IN);
        near.min_by(f64::total_cmp).unwrap_or(median)
    };
    (least(|w| [w.start_in.0, w.end_in.0]), least(|w| [w.start_in.1, w.end_in.1]))
}

/// As all lengths are told. What is placed is placed by the origin as it is, so that it is rounded once.
fn to_a_nanometre(inches: f64) -> f64 {
    Length::from_inches(inches).map_or(inches, Length::to_inches)
}

/// The exact numbers of a wall.
struct Placed {
    start: Point,
    end: Point,
    thickness: Length,
    base: Length,
    top: Length,
    rise: Length,
    /// Of each opening, from `start`; ascending. Of no length where it is none.
    openings: Vec<[Length; 2]>,
}

fn exact(w: &DraftWall, origin: (f64, f64)) -> Result<Placed, Unusable> {
    const FAR: Unusable = (input::COORDINATE_BAD, "it lies more than 100 km from the other walls");
    let near = |v: f64| (v.abs() <= 2.0 * REACH_IN).then_some(v).ok_or(FAR);
    let len = |v: f64| Length::from_inches(near(v)?).map(Length::denoise).ok_or(FAR);
    let point = |p: (f64, f64)| Ok(Point::new(len(p.0 - origin.0)?, len(p.1 - origin.1)?));
    let (start, end) = (point(w.start_in)?, point(w.end_in)?);
    if start == end {
        return Err((input::WALL_ZERO_LENGTH, "both ends are the same point"));
    }
    let mut openings = Vec::with_capacity(w.openings.len());
    for o in &w.openings {
        let (a, b) = (len(o.from_in)?, len(o.to_in)?);
        openings.push([a.min(b), a.max(b)]);
    }
    // One direction for each wall, so that drawing it backwards changes nothing.
    let turned = start > end;
    let (start, end) = if turned { (end, start) } else { (start, end) };
    let (mut top, mut rise) = (len(w.top_in)?, len(w.rise_in)?);
    if turned {
        (top, rise) = (top + rise, -rise);
    }
    if turned && !openings.is_empty() {
        let whole = start.distance(end);
        for o in &mut openings {
            *o = [whole - o[1], whole - o[0]];
        }
    }
    let base = len(w.base_in)?;
    if top.min(top + rise) <= base {
        return Err((input::COORDINATE_BAD, "its top is not above its base"));
    }
    let thickness = len(w.drawn_thickness_in)?;
    Ok(Placed { start, end, thickness, base, top, rise, openings })
}

fn wall_of(w: DraftWall, p: Placed, storeys: &[StoreyId]) -> Wall {
    let openings = w.openings.into_iter().zip(p.openings).filter(|(_, at)| at[0] != at[1]);
    let mut openings: Vec<Opening> = openings
        .map(|(o, [from, to])| Opening { kind: o.kind, from, to, source: o.source })
        .collect();
    openings.sort_by_key(|o| (o.from, o.to, o.kind));
    let mut source = w.source;
    source.sort();
    source.dedup();
    Wall {
        storey: storeys[w.storey],
        start: p.start,
        end: p.end,
        drawn_thickness: p.thickness,
        section: w.section,
        base: p.base,
        top: p.top,
        rise: p.rise,
        exterior: w.exterior,
        bearing: w.bearing,
        openings,
        source,
    }
}

/// The canonical order of [`WallModel::walls`]: by place, then by what else tells walls apart.
pub fn canonical_order(a: &Wall, b: &Wall) -> std::cmp::Ordering {
    place(a).cmp(&place(b)).then_with(|| by_the_rest(a, b))
}

fn place(w: &Wall) -> (StoreyId, Point, Point) {
    (w.storey, w.start, w.end)
}

fn by_the_rest(a: &Wall, b: &Wall) -> std::cmp::Ordering {
    let rest = |w: &Wall| (w.section, w.base, w.top, w.rise);
    rest(a).cmp(&rest(b)).then_with(|| a.source.cmp(&b.source))
}

/// In [`canonical_order`]; those alike in all of it as they were drafted. Places alone are moved about.
fn in_order(walls: Vec<Wall>) -> Vec<Wall> {
    let mut order: Vec<_> = walls.iter().map(place).zip(0_usize..).collect();
    order.sort_by(|(p, i), (q, j)| p.cmp(q).then_with(|| by_the_rest(&walls[*i], &walls[*j])));
    let mut walls: Vec<Option<Wall>> = walls.into_iter().map(Some).collect();
    order.into_iter().filter_map(|(_, i)| walls[i].take()).collect()
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
pub(crate) mod tests {
    use super::*;

    pub(crate) fn wall(start: (f64, f64), end: (f64, f64), entity: &str) -> DraftWall {
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
    fn the_origin_is_without_noise() {
        let walls = vec![
            wall((-4.3e-14, 12.499_999_999_999_998), (120.0, 12.499_999_999_999_998), "a"),
            wall((0.0, 12.5), (0.0, 96.5), "b"),
        ];
        let origin = draft(walls).finish(Mirror::None).value.origin_inches;
        assert_eq!((origin.0.to_bits(), origin.1), (0.0_f64.to_bits(), 12.5));
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
