//! The whole reading, from a scanned file to a draft of the wall model and the summaries that
//! `inspect` shows.

use crate::broken;
use crate::classes::Kind;
use crate::connections;
use crate::ends;
use crate::file::File;
use crate::framing::{self, Choice};
use crate::geometry::Shapes;
use crate::geometry::placement::PlacementMemo;
use crate::hosting;
use crate::inventory::{Fate, Inventory};
use crate::layerunits;
use crate::made::Made;
use crate::neighbours;
use crate::openings::{self, Found};
use crate::relations::Relations;
use crate::report::Report;
use crate::rows;
use crate::storeys::Storeys;
use crate::summary::{StoreySummary, Summary, WallFate};
use crate::told;
use crate::units::{self, LengthUnit};
use crate::walls::{FARTHEST_IN, Framing, REACH_IN, RawWall, Reader, too_far};
use diag::codes::{ifc, input};
use diag::words::counted;
use diag::{Code, Finding, Ledger};
use geom::Length;
use limits::Watch;
use lumber::Section;
use rustc_hash::FxHashMap;
use settings::Settings;
use wall_model::{DraftStorey, DraftWall, UnitsDecision};

/// Walls whose feet are farther apart stand on different storeys where the file has none.
const STOREY_STEP_IN: f64 = 48.0;

/// A foot this far under a storey still stands on it.
const UNDER_STOREY_IN: f64 = 12.0;

/// A wall's framing, or why it is left out, and what there is to say of it.
type Framed = (Result<Framing, (Code, String)>, Vec<(Code, String)>);

/// Everything read.
pub struct Digest {
    /// Walls, not yet rounded.
    pub walls: Vec<DraftWall>,
    /// Storeys they refer to.
    pub storeys: Vec<DraftStorey>,
    /// The unit, once it has proved believable.
    pub units: Result<UnitsDecision, Finding>,
    /// The account.
    pub ledger: Ledger,
    /// What there is to say.
    pub findings: Vec<Finding>,
    /// What `inspect` shows.
    pub summary: Summary,
    /// Storeys of the file, walls or not.
    pub storey_summaries: Vec<StoreySummary>,
    /// Walls in the file.
    pub walls_in_file: usize,
    /// What became of each of them.
    pub wall_fates: Vec<WallFate>,
    /// Points and items of shapes read, and the deepest nesting among them.
    pub used: (u64, u64),
}

/// Reads everything in the given unit; breaks off when time is up, and the caller throws it away.
pub fn digest(
    file: &File<'_>,
    unit: &LengthUnit,
    settings: &Settings,
    mut report: Report,
    watch: &Watch,
) -> Digest {
    let limits = &settings.limits;
    let shapes = Shapes::within(file, units::angle_unit(file), limits, Some(watch));
    let memo = PlacementMemo::default();
    let relations = Relations::read(file);
    told::report_broken(&relations, &mut report);
    let mut inventory = Inventory::open(file, &mut report);
    let reader = Reader { shapes: &shapes, memo: &memo, relations: &relations, unit, settings };
    let mut raw = reader.raw_walls(&mut inventory, &mut report);
    layerunits::settle(&reader, &mut raw, &mut report);
    ends::settle(&reader, &mut raw);
    let mut storeys = Storeys::read(&shapes, &memo);
    let places = place_on_storeys(&reader, &raw, &mut storeys, &mut report);
    let mut summary = Summary::default();
    let mut made = Made::default();
    let mut choices: FxHashMap<(Option<u64>, Option<Section>), Choice> = FxHashMap::default();
    let in_reach = in_reach(&raw, unit);
    let mut framed: Vec<Framed> = Vec::with_capacity(raw.len());
    for wall in &raw {
        if watch.is_over() {
            break;
        }
        let key = (wall.definition, wall.rule.and_then(|r| r.section));
        let choice = choices.entry(key).or_insert_with(|| {
            let layers = reader.candidates(&wall.layers);
            framing::choose(&layers, key.1, &settings.framing, unit.is_metric())
        });
        let mut notes: Vec<(Code, String)> = Vec::new();
        let framing = reader.framing(wall, choice, &mut notes);
        summary.add(&reader, wall, choice, framing.as_ref().map_err(|e| e.1.as_str()), &notes);
        framed.push((framing, notes));
    }
    let sound: Vec<Option<&Framing>> = framed.iter().map(|(f, _)| f.as_ref().ok()).collect();
    let row_ends = rows::settle(&reader, &raw, &sound, &places);
    for (n, (framing, mut notes)) in framed.into_iter().enumerate() {
        let (wall, row, near) = (&raw[n], places[n], in_reach[n]);
        if wall.shape.is_none() {
            continue;
        }
        if watch.is_over() {
            break;
        }
        if !near {
            // Left to the model, the wall would go and its openings be counted as used.
            let name = file.find(wall.id).map(|r| file.name(&r)).unwrap_or_default();
            let what = too_far(&name);
            reader.leave_out(wall, input::COORDINATE_BAD, what, &mut inventory, &mut report);
            continue;
        }
        match framing {
            Ok(framing) => {
                made.wall(&reader, (n, wall), &framing, (row, &storeys), &row_ends, &mut notes);
                inventory.decide(wall.id, Fate::Used);
                if wall.shape.as_ref().is_some_and(|s| s.of_parts) {
                    wall.parts.iter().for_each(|p| inventory.decide(*p, Fate::Used));
                }
            }
            Err((code, what)) => reader.leave_out(wall, code, what, &mut inventory, &mut report),
        }
        for (code, what) in notes {
            report.add(code, "wall", what, &wall.source);
        }
    }
    reader.report_proxies(&mut report, &inventory);
    connections::report(&reader, &raw, &mut report);
    neighbours::report(&reader, &raw, &places, &inventory, &mut report);
    let (walls, cuts) = made.without_twins(&mut inventory, &mut report);
    let hosts = hosting::hosts(&raw, &cuts);
    let found = openings::read(&reader, &raw, &cuts, &hosts, &mut inventory, &mut report);
    let (walls, draft_storeys) = finish_walls(walls, found, &storeys, unit);
    for row in storeys.rows.iter().filter(|r| r.id != 0) {
        if draft_storeys.1.contains(&row.id) {
            inventory.decide(row.id, Fate::Used);
        }
    }
    let sane: Vec<&RawWall<'_>> =
        raw.iter().zip(&in_reach).filter(|(_, near)| **near).map(|(w, _)| w).collect();
    told::report_values(file, &mut report);
    let units = units::decide(unit, &thicknesses(&reader, &sane), extent(&sane, unit));
    let units = units.map(|(units, doubt)| {
        doubt.into_iter().for_each(|f| report.plain(f));
        units
    });
    let mut findings = report.into_findings();
    if units.is_err() {
        // What follows from a unit that is not believed is no reason to give a wall a section.
        findings.retain(|f| ![input::SECTION_UNKNOWN, input::SECTION_ASSUMED].contains(&f.code));
    }
    Digest {
        storey_summaries: storey_summaries(&reader, &storeys, &raw, &places, &inventory),
        walls,
        storeys: draft_storeys.0,
        units,
        wall_fates: inventory.wall_fates(file),
        used: shapes.used(),
        ledger: inventory.ledger(file),
        findings,
        summary,
        walls_in_file: file.ids(Kind::Wall).len()
            + file.all(Kind::Proxy).filter(|r| reader.is_wall_by_settings(r)).count(),
    }
}

/// The storey row of each wall: by containment, by the whole it is part of, else by its foot.
fn place_on_storeys(
    reader: &Reader<'_, '_, '_>,
    raw: &[RawWall<'_>],
    storeys: &mut Storeys,
    report: &mut Report,
) -> Vec<usize> {
    let inches = reader.unit.inches;
    let feet: Vec<f64> = raw.iter().filter_map(|w| Some(w.shape.as_ref()?.foot_z)).collect();
    if storeys.rows.is_empty() {
        *storeys = Storeys::from_feet(&feet, STOREY_STEP_IN / inches);
        if !feet.is_empty() {
            let n = storeys.rows.len();
            let names: Vec<&str> = storeys.rows.iter().map(|r| r.name.as_str()).collect();
            let message = format!(
                "Storeys made up from the feet of {}: {n} ({}).",
                counted(feet.len(), "wall"),
                names.join(", ")
            );
            report.plain(Finding::new(ifc::STOREYS_MISSING, message));
        }
    }
    let contained: Vec<Option<usize>> = raw
        .iter()
        .map(|w| {
            let id = reader.relations.storey_of(w.id, |id| storeys.row(id).is_some())?;
            storeys.row(id)
        })
        .collect();
    let foot = |w: &RawWall<'_>| w.shape.as_ref().map(|s| s.foot_z);
    let stand: Vec<(usize, f64)> =
        raw.iter().zip(&contained).filter_map(|(w, c)| Some(((*c)?, foot(w)?))).collect();
    storeys.settle(&stand, inches, report);
    let by_height = |w: &RawWall<'_>| {
        foot(w).and_then(|z| storeys.by_height(z, UNDER_STOREY_IN / inches)).unwrap_or(0)
    };
    raw.iter().zip(contained).map(|(w, c)| c.unwrap_or_else(|| by_height(w))).collect()
}

type NumberedStoreys = (Vec<DraftStorey>, Vec<u64>);

/// Puts the openings on their walls and keeps only storeys that have walls.
fn finish_walls(
    walls: Vec<Option<DraftWall>>,
    found: Found,
    storeys: &Storeys,
    unit: &LengthUnit,
) -> (Vec<DraftWall>, NumberedStoreys) {
    let mut walls = walls;
    for (n, opening) in found.openings {
        if let Some(Some(w)) = walls.get_mut(n) {
            w.openings.push(opening);
        }
    }
    let mut number: Vec<Option<usize>> = vec![None; storeys.rows.len()];
    let (mut rows, mut ids) = (Vec::new(), Vec::new());
    let whole = walls.into_iter().enumerate().filter_map(|(n, w)| Some((n, w?)));
    let mut out: Vec<DraftWall> = Vec::new();
    let mut breaks: FxHashMap<usize, Vec<(f64, f64)>> = FxHashMap::default();
    for (n, range) in found.breaks {
        breaks.entry(n).or_default().push(range);
    }
    for (n, w) in whole {
        broken::around(w, breaks.remove(&n).unwrap_or_default(), &mut out);
    }
    for w in &mut out {
        let row = w.storey;
        let n = *number[row].get_or_insert_with(|| {
            let s = &storeys.rows[row];
            rows.push(DraftStorey {
                name: s.name.clone(),
                elevation_in: s.elevation() * unit.inches,
            });
            ids.push(s.id);
            rows.len() - 1
        });
        w.storey = n;
    }
    (out, (rows, ids))
}

/// Ends of a wall in plan, in inches.
fn ends_in<'w>(wall: &'w RawWall<'_>, unit: &LengthUnit) -> impl Iterator<Item = (f64, f64)> + 'w {
    let inches = unit.inches;
    let pieces = wall.shape.iter().flat_map(|s| &s.pieces);
    pieces.flat_map(|p| [p.start, p.end]).map(move |p| (p.0 * inches, p.1 * inches))
}

/// Whether each wall is where a building can be: within 100 000 km of zero and 100 km of the middle
/// wall. Others bear no witness to the unit either. Walls without a shape pass.
fn in_reach(raw: &[RawWall<'_>], unit: &LengthUnit) -> Vec<bool> {
    let usable = |p: (f64, f64)| p.0.abs() <= FARTHEST_IN && p.1.abs() <= FARTHEST_IN;
    let heights = |w: &RawWall<'_>| {
        w.shape.iter().all(|s| {
            let tops = s.pieces.iter().filter_map(|p| p.top.planned);
            tops.chain([s.foot_z]).all(|z| z.abs() * unit.inches <= FARTHEST_IN)
        })
    };
    let sane: Vec<bool> = raw.iter().map(|w| heights(w) && ends_in(w, unit).all(usable)).collect();
    let median = |axis: fn((f64, f64)) -> f64| {
        let walls = raw.iter().zip(&sane).filter(|(_, sane)| **sane);
        let mut v: Vec<f64> = walls.flat_map(|(w, _)| ends_in(w, unit)).map(axis).collect();
        v.sort_by(f64::total_cmp);
        v.get(v.len() / 2).copied().unwrap_or(0.0)
    };
    let (x, y) = (median(|p| p.0), median(|p| p.1));
    let near = |p: (f64, f64)| (p.0 - x).abs() <= REACH_IN && (p.1 - y).abs() <= REACH_IN;
    raw.iter().zip(&sane).map(|(w, sane)| *sane && ends_in(w, unit).all(near)).collect()
}

fn thicknesses(reader: &Reader<'_, '_, '_>, walls: &[&RawWall<'_>]) -> Vec<f64> {
    walls.iter().filter_map(|w| reader.thickness_in(w)).collect()
}

/// The greater side of the box around the walls, in inches. A few strays do not count: the middle
/// 90 percent of the ends do.
fn extent(walls: &[&RawWall<'_>], unit: &LengthUnit) -> Option<f64> {
    let spread = |axis: fn((f64, f64)) -> f64| {
        let mut v: Vec<f64> = walls.iter().flat_map(|w| ends_in(w, unit)).map(axis).collect();
        v.sort_by(f64::total_cmp);
        let cut = v.len() / 20;
        Some(v.get(v.len().checked_sub(1 + cut)?)? - v.get(cut)?)
    };
    Some(spread(|p| p.0)?.max(spread(|p| p.1)?))
}

fn storey_summaries(
    reader: &Reader<'_, '_, '_>,
    storeys: &Storeys,
    raw: &[RawWall<'_>],
    places: &[usize],
    inventory: &Inventory,
) -> Vec<StoreySummary> {
    let blank = |s: &crate::storeys::StoreyRow| StoreySummary {
        name: s.name.clone(),
        elevation: Length::from_inches(s.elevation() * reader.unit.inches).map(Length::denoise),
        ..StoreySummary::default()
    };
    let mut all: Vec<StoreySummary> = storeys.rows.iter().map(blank).collect();
    for (wall, row) in raw.iter().zip(places) {
        if let Some(s) = all.get_mut(*row) {
            s.walls += 1;
            s.walls_read += usize::from(inventory.fate(wall.id) == Some(&Fate::Used));
        }
    }
    for kind in [Kind::Door, Kind::Window] {
        for id in reader.shapes.file.ids(kind) {
            let storey = reader.relations.storey_of(*id, |id| storeys.row(id).is_some());
            if let Some(s) = storey.and_then(|id| storeys.row(id)).and_then(|n| all.get_mut(n)) {
                if kind == Kind::Door { s.doors += 1 } else { s.windows += 1 }
            }
        }
    }
    all.sort_by(|a, b| (a.elevation, &a.name).cmp(&(b.elevation, &b.name)));
    all
}
