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
use crate::neighbours;
use crate::openings::{self, Cut, Found};
use crate::relations::Relations;
use crate::report::Report;
use crate::shape::{Part, Piece};
use crate::storeys::Storeys;
use crate::summary::{StoreySummary, Summary, WallFate};
use crate::top_words::top_words;
use crate::units::{self, LengthUnit};
use crate::walls::{FARTHEST_IN, Framing, REACH_IN, RawWall, Reader, too_far};
use diag::codes::{ifc, input};
use diag::words::{counted, is};
use diag::{Code, Finding, Ledger, Refusal};
use geom::Length;
use limits::Watch;
use lumber::Section;
use rustc_hash::FxHashMap;
use settings::{LayerRule, Settings};
use std::collections::BTreeMap;
use wall_model::{DraftStorey, DraftWall, UnderRoof, UnitsDecision};

/// Walls whose feet are farther apart stand on different storeys where the file has none.
const STOREY_STEP_IN: f64 = 48.0;

/// A foot this far under a storey still stands on it.
const UNDER_STOREY_IN: f64 = 12.0;

/// A wall that reaches this far above the next storey's level spans both.
const INTO_NEXT_IN: f64 = 24.0;

/// Levels nearer above a storey than this are half landings and floor build-ups, not the next storey.
const NEXT_STOREY_IN: f64 = 72.0;

/// A foot this near a storey's level stands on that storey.
const STANDS_ON_IN: f64 = 6.0;

/// Ends nearer than this are the same, for walls that are in the file twice.
const SAME_IN: f64 = 0.0625;

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
    report_broken(&relations, &mut report);
    let mut inventory = Inventory::open(file, &mut report);
    let reader = Reader { shapes: &shapes, memo: &memo, relations: &relations, unit, settings };
    let mut raw = reader.raw_walls(&mut inventory, &mut report);
    ends::settle(&reader, &mut raw);
    let mut storeys = Storeys::read(&shapes, &memo);
    let places = place_on_storeys(&reader, &raw, &mut storeys, &mut report);
    let mut summary = Summary::default();
    let mut made = Made::default();
    let mut choices: FxHashMap<(Option<u64>, Option<Section>), Choice> = FxHashMap::default();
    let in_reach = in_reach(&raw, unit);
    for ((wall, row), near) in raw.iter().zip(&places).zip(&in_reach) {
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
        if wall.shape.is_none() {
            continue;
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
                made.wall(&reader, wall, &framing, *row, &storeys, &mut notes);
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
    report_values(file, &mut report);
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

fn report_broken(relations: &Relations, report: &mut Report) {
    if !relations.broken.is_empty() {
        let first: Vec<&str> = relations.broken.iter().take(5).map(String::as_str).collect();
        let n = relations.broken.len();
        let message = format!(
            "{} {} to entities that are not in the file: {}.",
            counted(n, "relation"),
            if n == 1 { "refers" } else { "refer" },
            first.join(", ")
        );
        report.plain(Finding::new(ifc::ENTITY_BROKEN, message));
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
                "Storeys made up from the feet of {} walls: {n} ({}).",
                feet.len(),
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

/// Walls on their way into the model.
#[derive(Default)]
struct Made {
    walls: Vec<DraftWall>,
    /// Entity id and pieces, in the order of the walls' entity ids.
    cuts: Vec<(u64, Vec<Cut>)>,
}

impl Made {
    /// Makes one draft wall of each piece.
    fn wall(
        &mut self,
        reader: &Reader<'_, '_, '_>,
        wall: &RawWall<'_>,
        framing: &Framing,
        row: usize,
        storeys: &Storeys,
        notes: &mut Vec<(Code, String)>,
    ) {
        let (Some(shape), Some(storey)) = (&wall.shape, storeys.rows.get(row)) else { return };
        let inches = reader.unit.inches;
        let base_in = (shape.foot_z - storey.foot_z) * inches;
        let default = reader.settings.default_top.to_inches();
        let roof = wall.rule.and_then(|rule| under_roof(reader.settings, rule));
        let by_rule = wall.rule.and_then(|r| r.top).map(Length::to_inches);
        let by_rule = by_rule.or(roof.map(|_| base_in + default));
        let top_of = |piece: &Piece| {
            let by_body = piece.top.planned.map(|z| (z - storey.foot_z) * inches);
            by_rule.or(by_body).unwrap_or(base_in + default)
        };
        for piece in shape.pieces.iter().filter(|_| by_rule.is_none()) {
            let said = top_words(reader, &piece.top, |z| (z - storey.foot_z) * inches);
            notes.extend(said.map(|words| (ifc::TOP_NOT_LEVEL, words)));
        }
        let parts = |p: &Piece| if by_rule.is_none() { p.parts() } else { vec![Part::whole(p)] };
        let parts: Vec<Part> = shape.pieces.iter().flat_map(parts).collect();
        let tops = |part: &Part| match part.top {
            Some((from, to)) => [from, to].map(|z| (z - storey.foot_z) * inches),
            None => [top_of(&part.piece); 2],
        };
        let highest = parts.iter().flat_map(tops).fold(f64::NEG_INFINITY, f64::max);
        let elsewhere = (base_in.abs() >= NEXT_STOREY_IN)
            .then(|| storeys.at_level(shape.foot_z, STANDS_ON_IN / inches))
            .flatten();
        if let Some(there) = elsewhere {
            let how = if base_in > 0.0 { "above" } else { "below" };
            let words = format!(
                "on {}, but its foot is {} {how} that, at the level of {}: it seems to be contained in the wrong storey",
                storey.name,
                reader.text(base_in.abs()),
                there.name
            );
            notes.push((ifc::STOREY_DOUBTFUL, words));
        } else if let Some(next) = storeys.above(row, NEXT_STOREY_IN / inches) {
            let over = highest - (next.foot_z - storey.foot_z) * inches;
            if over > INTO_NEXT_IN {
                let words = format!(
                    "on {}, reaches more than {INTO_NEXT_IN} in above {}",
                    storey.name, next.name
                );
                notes.push((ifc::SPANS_STOREYS, words));
            }
        }
        if let Some(why) = &shape.no_axis {
            let words =
                format!("its axis cannot be read ({why}); the middle of its body was taken");
            notes.push((ifc::SHAPE_IN_PART, words));
        }
        match (&shape.no_height, shape.unread.first()) {
            (Some(why), _) if by_rule.is_none() => {
                let top = reader.text(base_in + default);
                let words =
                    format!("no body tells its height ({why}); {top} above its storey was taken");
                notes.push((ifc::SHAPE_IN_PART, words));
            }
            (None, Some(why)) => {
                let n = shape.unread.len();
                notes.push((
                    ifc::SHAPE_IN_PART,
                    format!("{n} of its body's parts were left out ({why})"),
                ));
            }
            _ => {}
        }
        notes.extend(shape.said.iter().cloned());
        if shape.lengthened > 0.0 {
            let by = reader.text(shape.lengthened * inches);
            notes.push((ifc::AXIS_SHORT, format!("lengthened by {by} to its body")));
        }
        let width = framing.section.width().to_inches();
        let half = width / 2.0 / inches;
        let mut cuts = Vec::new();
        for part in &parts {
            let piece = &part.piece;
            let [top_in, top_end_in] = tops(part);
            let offset = reader.framing_offset(wall, piece, framing, notes);
            let (dx, dy) = (piece.end.0 - piece.start.0, piece.end.1 - piece.start.1);
            let len = dx.hypot(dy);
            let left = if len > 0.0 { (-dy / len * offset, dx / len * offset) } else { (0.0, 0.0) };
            let moved = |p: (f64, f64)| ((p.0 + left.0) * inches, (p.1 + left.1) * inches);
            cuts.push(Cut {
                piece: *piece,
                framing: (offset - half, offset + half),
                heights: (
                    shape.foot_z,
                    piece.top.highest.unwrap_or(shape.foot_z + (top_in - base_in) / inches),
                ),
                tops: (roof.is_none()
                    && (by_rule.is_some() || part.top.is_some() || piece.top.planned.is_some()))
                .then(|| {
                    let z = |top: f64| shape.foot_z + (top - base_in) / inches;
                    (z(top_in), z(top_end_in))
                }),
                draft: self.walls.len(),
                part_of: shape.bow.map(|_| wall.id),
            });
            self.walls.push(DraftWall {
                storey: row,
                start_in: moved(piece.start),
                end_in: moved(piece.end),
                drawn_thickness_in: reader.thickness_in(wall).unwrap_or(width),
                section: framing.section,
                base_in,
                top_in,
                rise_in: top_end_in - top_in,
                roof,
                exterior: wall.rule.and_then(|r| r.exterior).or(wall.flags.external),
                bearing: wall.rule.and_then(|r| r.bearing).or(wall.flags.bearing),
                openings: Vec::new(),
                source: vec![wall.source.clone()],
            });
        }
        notes.dedup();
        self.cuts.push((wall.id, cuts));
    }

    /// Drops walls that lie on an equal one; the one with the smaller source stays.
    fn without_twins(
        self,
        inventory: &mut Inventory,
        report: &mut Report,
    ) -> (Vec<Option<DraftWall>>, FxHashMap<u64, Vec<Cut>>) {
        let mut walls: Vec<Option<DraftWall>> = self.walls.into_iter().map(Some).collect();
        let mut cells: BTreeMap<(usize, i64, i64), Vec<(usize, u64)>> = BTreeMap::new();
        let cell = |w: &DraftWall| {
            let middle = |a: f64, b: f64| ((a + b) / 2.0 / 12.0).floor() as i64;
            (w.storey, middle(w.start_in.0, w.end_in.0), middle(w.start_in.1, w.end_in.1))
        };
        let mut single: Vec<(usize, u64)> = Vec::new();
        for (id, cuts) in &self.cuts {
            if let [cut] = cuts.as_slice() {
                single.push((cut.draft, *id));
            }
        }
        let source =
            |walls: &[Option<DraftWall>], n: usize| walls[n].as_ref().map(|w| w.source.clone());
        single.sort_by_key(|(n, _)| source(&walls, *n));
        let mut dropped: Vec<u64> = Vec::new();
        for (n, id) in single {
            let Some(w) = walls[n].as_ref() else { continue };
            let (storey, cx, cy) = cell(w);
            let around = (-1..=1).flat_map(|x| (-1..=1).map(move |y| (x, y)));
            let twin = around
                .filter_map(|(x, y)| {
                    cells.get(&(storey, cx.saturating_add(x), cy.saturating_add(y)))
                })
                .flatten()
                .find(|(m, _)| walls[*m].as_ref().is_some_and(|v| same_place(v, w)));
            match twin {
                Some((m, _)) => {
                    let both =
                        [source(&walls, *m), source(&walls, n)].into_iter().flatten().flatten();
                    let names: Vec<String> = both.map(|s| s.entity).collect();
                    let what = format!(
                        "lies on {} and was left out",
                        names.first().cloned().unwrap_or_default()
                    );
                    report.add(ifc::WALL_TWICE, "wall", what, &w.source[0]);
                    inventory.ignore(id, ifc::WALL_TWICE.info().title);
                    walls[n] = None;
                    dropped.push(id);
                }
                None => cells.entry((storey, cx, cy)).or_default().push((n, id)),
            }
        }
        dropped.sort_unstable();
        let kept = self.cuts.into_iter().filter(|(id, _)| dropped.binary_search(id).is_err());
        (walls, kept.collect())
    }
}

fn same_place(a: &DraftWall, b: &DraftWall) -> bool {
    let near = |p: (f64, f64), q: (f64, f64)| (p.0 - q.0).hypot(p.1 - q.1) <= SAME_IN;
    let ends = (near(a.start_in, b.start_in) && near(a.end_in, b.end_in))
        || (near(a.start_in, b.end_in) && near(a.end_in, b.start_in));
    ends && (a.base_in - b.base_in).abs() <= 1.0 && (a.top_in - b.top_in).abs() <= 1.0
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

/// Findings about the text of the file.
pub fn report_damage(file: &File<'_>, report: &mut Report) {
    let damage = &file.scan().damage;
    if damage.truncated {
        let message = format!(
            "END-ISO-10303-21 is missing; {} entities were read before the end.",
            file.scan().index.len()
        );
        report.plain(Finding::new(input::FILE_TRUNCATED, message));
    }
    let mut what = Vec::new();
    if damage.malformed > 0 {
        let places = damage.places.join(", ");
        let n = damage.malformed;
        let first = if n == 1 { "" } else { "first: " };
        what.push(format!(
            "{} {} not well formed ({first}{places})",
            counted(n, "statement"),
            is(n)
        ));
    }
    if !damage.doubles.is_empty() {
        let first: Vec<String> = damage.doubles.iter().take(5).map(|id| format!("#{id}")).collect();
        let n = damage.doubles.len();
        what.push(format!(
            "{} {} defined twice and the first definition was taken ({})",
            counted(n, "entity number"),
            is(n),
            first.join(", ")
        ));
    }
    if damage.open_comment {
        what.push("a comment is opened and never closed".to_owned());
    }
    for w in what {
        report.plain(Finding::new(input::REPAIRED, format!("{w}.")));
    }
}

/// Findings about values that are not what they must be, in the entities that were followed.
pub fn report_values(file: &File<'_>, report: &mut Report) {
    let texts = file.odd_texts();
    if let Some(message) = first_few("Text not written as ISO 10303-21 has it: ", &texts) {
        report.plain(Finding::new(ifc::TEXT_BAD, format!("{message}.")));
    }
    let odd = file.odd();
    if let Some(message) = first_few("Missing or not what it must be: ", &odd) {
        let message = format!("{message}. What depends on it was left out or taken as not given.");
        report.plain(Finding::new(ifc::ENTITY_BROKEN, message));
    }
}

/// The first few of many, and how many more; nothing of none.
fn first_few(before: &str, all: &[String]) -> Option<String> {
    let first = all.get(..all.len().min(5)).filter(|few| !few.is_empty())?;
    let more = match all.len() - first.len() {
        0 => String::new(),
        n => format!("; and {n} more"),
    };
    Some(format!("{before}{}{more}", first.join("; ")))
}

/// The refusal for a file without a usable wall. What cost the walls comes first, since that is what can be mended;
/// everything else there is to say comes behind.
pub fn no_walls(
    file: &File<'_>,
    ledger: &Ledger,
    walls_in_file: usize,
    findings: Vec<Finding>,
) -> Refusal {
    const FIRST: [Code; 9] = [
        input::FILE_TRUNCATED,
        input::SECTION_UNKNOWN,
        ifc::NOT_WOOD,
        ifc::LAYER_TIE,
        ifc::WALL_SHAPE,
        ifc::WALL_CURVED,
        ifc::WALL_NOT_NEW,
        input::COORDINATE_BAD,
        input::UNITS_UNLIKELY,
    ];
    let mut reasons: Vec<(u64, String)> =
        ledger.ignored().map(|(r, i)| (i.count, r.to_owned())).collect();
    reasons.sort_by(|a, b| (std::cmp::Reverse(a.0), &a.1).cmp(&(std::cmp::Reverse(b.0), &b.1)));
    let top: Vec<String> = reasons.iter().take(6).map(|(n, r)| format!("{n} {r}")).collect();
    let counted =
        if top.is_empty() { String::new() } else { format!(" Counted: {}.", top.join("; ")) };
    let (mut first, rest): (Vec<Finding>, Vec<Finding>) =
        findings.into_iter().partition(|f| FIRST.contains(&f.code));
    first.sort_by_key(|f| FIRST.iter().position(|c| *c == f.code));
    let told = if first.is_empty() { "" } else { " The findings above say why and what to do." };
    let message = match walls_in_file {
        0 => {
            format!("The file has no IfcWall among {} entities.{counted}", file.scan().index.len())
        }
        n => format!("None of the {n} walls in the file could be used.{told}{counted}"),
    };
    first.push(Finding::new(input::NO_WALLS, message));
    first.extend(rest);
    Refusal { findings: first }
}

/// The roof of a settings' entry, if it has one.
fn under_roof(settings: &Settings, rule: &LayerRule) -> Option<UnderRoof> {
    let entry = settings.layers.iter().position(|r| std::ptr::eq(r, rule))?;
    rule.roof.map(|roof| UnderRoof { entry, roof })
}
