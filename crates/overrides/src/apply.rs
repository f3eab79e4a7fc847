//! The edits, done on a wall model.

use crate::find::{Match, find};
use crate::{AddedForm, Change, End, Form, Overrides, Placing, SnapForm, WallRef};
use diag::{Finding, SourceRef, codes::edits};
use geom::{Frame, Length, Point};
use settings::Settings;
use std::collections::BTreeSet;
use wall_model::{StoreyId, Wall, WallId, WallModel, canonical_order};

/// A snap moves an end no farther: beyond that a wall is missing, and is drawn in.
const FARTHEST_SNAP: Length = Length::inches(48);
/// How far from the wall's line the place may be that a snap moves an end to.
const OFF_LINE: Length = Length::inches(12);
/// A wall drawn in is at least this long.
const SHORTEST: Length = Length::inches(1);
/// Layer of walls drawn in, in sources.
const DRAWN_IN: &str = "overrides";

/// A model with the edits done.
#[derive(Clone, Debug)]
pub struct Applied {
    /// The walls as edited; origin, units, storeys and linework as they were. Walls taken out are counted as
    /// ignored in the ledger, walls drawn in as read and used.
    pub model: WallModel,
    /// Edits that fit no wall, or only just.
    pub findings: Vec<Finding>,
    /// Of every wall of `model`, what it was made of.
    pub from: Vec<WallFrom>,
    /// Which walls as read the edits are about.
    pub found: Found,
}

/// What a wall of the edited model was made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WallFrom {
    /// A wall as read.
    Read(WallId),
    /// An entry of `added`.
    Added(usize),
}

/// By entry of each list: the wall as read it is about; `None` where there is none.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// Of `walls`.
    pub walls: Vec<Option<WallId>>,
    /// Of `removed`.
    pub removed: Vec<Option<WallId>>,
    /// Of `snaps`.
    pub snaps: Vec<Option<WallId>>,
}

/// Does the edits of walls on a model that was read under `settings` (which already have the edits'
/// mapping, see [`Overrides::lay_over`]).
///
/// All walls are found as they were read, before any edit; then walls are changed, ends moved, walls taken
/// out, walls drawn in, in this order. The order of entries does not matter but for two that turn out to
/// mean one wall: the later one is done last.
pub fn apply(overrides: &Overrides, model: &WallModel, settings: &Settings) -> Applied {
    let form = overrides.form();
    let placing = Placing::of(model, settings.mirror);
    let mut work = Work {
        read: &model.walls,
        walls: model.walls.iter().cloned().map(Some).collect(),
        placing,
        findings: Vec::new(),
    };
    let mut found = Found::default();
    for (i, entry) in form.walls.iter().enumerate() {
        let id = work.find("walls", i, &entry.wall);
        let change = overrides.walls.get(i).copied().unwrap_or_default();
        found.walls.push(id.filter(|id| work.change("walls", i, *id, change)));
    }
    for (i, entry) in form.snaps.iter().enumerate() {
        let id = work.find("snaps", i, &entry.wall);
        found.snaps.push(id.filter(|id| work.snap(i, *id, entry)));
    }
    for (i, entry) in form.removed.iter().enumerate() {
        let id = work.find("removed", i, &entry.wall);
        found.removed.push(id);
    }
    for id in found.removed.iter().flatten() {
        if let Some(wall) = work.walls.get_mut(id.0 as usize) {
            *wall = None;
        }
    }
    let mut walls: Vec<(Wall, WallFrom)> = Vec::with_capacity(work.walls.len());
    for (i, wall) in std::mem::take(&mut work.walls).into_iter().enumerate() {
        walls.extend(wall.map(|w| (w, WallFrom::Read(WallId(i as u32)))));
    }
    let mut out = model_without_walls(model);
    for (i, entry) in form.added.iter().enumerate() {
        let change = overrides.added.get(i).copied().unwrap_or_default();
        match drawn_in(&placing, &model.storeys, settings, (i, entry), change) {
            Ok(wall) => {
                out.ledger.use_one();
                walls.push((wall, WallFrom::Added(i)));
            }
            Err(why) => work.findings.push(lost("added", i, None, why)),
        }
    }
    walls.sort_by(|(a, of_a), (b, of_b)| canonical_order(a, b).then(of_a.cmp(of_b)));
    let from: Vec<WallFrom> = walls.iter().map(|w| w.1).collect();
    out.walls = walls.into_iter().map(|w| w.0).collect();
    take_out_of_account(&mut out, model);
    let mut findings = work.findings;
    if !overrides.is_empty() {
        let drawn = from.iter().filter(|f| matches!(f, WallFrom::Added(_))).count();
        findings.push(in_force(form, &found, drawn));
    }
    Applied { model: out, findings, from, found }
}

fn model_without_walls(model: &WallModel) -> WallModel {
    let WallModel {
        format,
        version,
        written_by,
        units,
        origin_inches,
        storeys,
        walls: _,
        ledger,
        linework,
    } = model;
    WallModel {
        format: *format,
        version: version.clone(),
        written_by: written_by.clone(),
        units: units.clone(),
        origin_inches: *origin_inches,
        storeys: storeys.clone(),
        walls: Vec::new(),
        ledger: ledger.clone(),
        linework: linework.clone(),
    }
}

/// Entities none of whose walls is left are not used after all.
fn take_out_of_account(out: &mut WallModel, read: &WallModel) {
    let of = |walls: &'_ [Wall]| -> BTreeSet<String> {
        walls.iter().flat_map(|w| &w.source).map(|s| s.entity.clone()).collect()
    };
    let left = of(&out.walls);
    for entity in of(&read.walls).into_iter().filter(|e| !left.contains(e)) {
        out.ledger.unuse("wall taken out by the overrides", entity);
    }
}

struct Work<'a> {
    read: &'a [Wall],
    /// As edited so far.
    walls: Vec<Option<Wall>>,
    placing: Placing,
    findings: Vec<Finding>,
}

impl Work<'_> {
    fn find(&mut self, list: &str, index: usize, wall: &WallRef) -> Option<WallId> {
        let ends = (self.placing.plan(wall.start), self.placing.plan(wall.end));
        let found = match ends {
            (Some(start), Some(end)) => find(self.read, &wall.entity, start, end),
            _ => None,
        };
        let (message, at) = match found {
            Some(Match::Same(id)) => return Some(id),
            Some(Match::Moved(id, far)) => (
                format!(
                    "The edit of wall {} ({list}, entry {}) was made where the wall stood then; its ends are up to {} from there now.",
                    wall.entity,
                    index + 1,
                    far.feet_inches()
                ),
                id,
            ),
            Some(Match::Renamed(id)) => (
                format!(
                    "The edit of wall {} ({list}, entry {}) is laid on wall {}, which stands at the same place.",
                    wall.entity,
                    index + 1,
                    self.name(id)
                ),
                id,
            ),
            None => {
                let why = "the drawing has no such wall there now, or several";
                let at = ends.0.zip(ends.1).map(middle);
                self.findings.push(lost(list, index, at, format!("wall {}: {why}", wall.entity)));
                return None;
            }
        };
        let read = self.read.get(at.0 as usize)?;
        self.findings.push(
            Finding::new(edits::MOVED, message)
                .at(middle((read.start, read.end)))
                .about(subject(list, index))
                .from(&read.source),
        );
        Some(at)
    }

    fn name(&self, id: WallId) -> &str {
        let wall = self.read.get(id.0 as usize);
        wall.and_then(|w| w.source.first()).map_or("?", |s| s.entity.as_str())
    }

    /// Whether it was done.
    fn change(&mut self, list: &str, index: usize, id: WallId, change: Change) -> bool {
        let Some(Some(wall)) = self.walls.get_mut(id.0 as usize) else { return false };
        if let Some(top) = change.top.filter(|top| *top <= wall.base) {
            let why = format!(
                "its top would be at {}, and its base is at {}",
                top.feet_inches(),
                wall.base.feet_inches()
            );
            let at = middle((wall.start, wall.end));
            self.findings.push(lost(list, index, Some(at), why));
            return false;
        }
        lay_on(wall, change);
        true
    }

    fn snap(&mut self, index: usize, id: WallId, snap: &SnapForm) -> bool {
        let read = self.read.get(id.0 as usize);
        let Some((read, Some(wall))) = read.zip(self.walls.get_mut(id.0 as usize)) else {
            return false;
        };
        match moved_end(read, wall, &self.placing, snap) {
            Ok(moved) => {
                *wall = moved;
                true
            }
            Err(why) => {
                let at = middle((wall.start, wall.end));
                self.findings.push(lost("snaps", index, Some(at), why));
                false
            }
        }
    }
}

fn lay_on(wall: &mut Wall, change: Change) {
    let Change { section, exterior, bearing, top } = change;
    if let Some(section) = section {
        // A wall drawn without thickness of its own is as thick as its plates.
        if wall.drawn_thickness == wall.section.width() {
            wall.drawn_thickness = section.width();
        }
        wall.section = section;
    }
    wall.exterior = exterior.or(wall.exterior);
    wall.bearing = bearing.or(wall.bearing);
    // A top that a person gives is level, whatever the roof over the wall.
    if let Some(top) = top {
        (wall.top, wall.rise) = (top, Length::ZERO);
    }
}

/// The wall with one end moved along its line.
fn moved_end(read: &Wall, wall: &Wall, placing: &Placing, snap: &SnapForm) -> Result<Wall, String> {
    let nowhere = || "the place is none in the drawing".to_owned();
    let to = placing.plan(snap.to).ok_or_else(nowhere)?;
    let start = placing.plan(snap.wall.start).ok_or_else(nowhere)?;
    let end = placing.plan(snap.wall.end).ok_or_else(nowhere)?;
    // Mirroring, and drawing the wall the other way round, may have changed its start and end.
    let straight = read.start.distance(start) + read.end.distance(end);
    let turned = read.start.distance(end) + read.end.distance(start);
    let at_start = (snap.end == End::Start) == (straight <= turned);
    let frame = Frame::between(wall.start, wall.end).ok_or_else(nowhere)?;
    let (station, off) = frame.locate(to);
    let length = wall.length();
    let move_by = if at_start { station.abs() } else { (station - length).abs() };
    if off.abs() > OFF_LINE {
        return Err(format!("the place it is to end at is {} beside it", off.abs().feet_inches()));
    }
    if move_by > FARTHEST_SNAP {
        return Err(format!(
            "its end would move by {}; more than {} is a wall to be drawn in",
            move_by.feet_inches(),
            FARTHEST_SNAP.feet_inches()
        ));
    }
    let (from, upto) = if at_start { (station, length) } else { (Length::ZERO, station) };
    if upto - from < SHORTEST {
        return Err("nothing would be left of it".to_owned());
    }
    let mut moved = wall.clone();
    // A raked top goes on along its slope.
    if let Some(slope) = wall.slope() {
        moved.top = wall.top + slope.rise_over(from);
        moved.rise = slope.rise_over(upto - from);
        if moved.top.min(moved.top + moved.rise) <= moved.base {
            return Err("its raked top would run into its base".to_owned());
        }
    }
    // A place on the line itself is taken as it is; along x and y the frame is exact.
    let place = if off == Length::ZERO { to } else { frame.at(station, Length::ZERO) };
    if at_start {
        moved.start = place;
    } else {
        moved.end = place;
    }
    let whole = moved.length();
    for o in &mut moved.openings {
        o.from = (o.from - from).max(Length::ZERO);
        o.to = (o.to - from).min(whole);
    }
    if moved.openings.iter().any(|o| o.to <= o.from) {
        return Err("a door or window would be cut off it".to_owned());
    }
    Ok(moved)
}

fn drawn_in(
    placing: &Placing,
    storeys: &[wall_model::Storey],
    settings: &Settings,
    (index, entry): (usize, &AddedForm),
    change: Change,
) -> Result<Wall, String> {
    let nowhere = || "the place is none in the drawing".to_owned();
    let a = placing.plan(entry.start).ok_or_else(nowhere)?;
    let b = placing.plan(entry.end).ok_or_else(nowhere)?;
    if a.distance(b) < SHORTEST {
        return Err(format!("it is shorter than {}", SHORTEST.feet_inches()));
    }
    let storey = storey(storeys, entry.storey.as_deref())?;
    let section = change.section.ok_or_else(|| "it has no section".to_owned())?;
    Ok(Wall {
        storey,
        start: a.min(b),
        end: a.max(b),
        drawn_thickness: section.width(),
        section,
        base: Length::ZERO,
        top: change.top.unwrap_or(settings.default_top),
        rise: Length::ZERO,
        exterior: change.exterior,
        bearing: change.bearing,
        openings: Vec::new(),
        source: vec![SourceRef {
            entity: format!("drawn-in {}", index + 1),
            layer: DRAWN_IN.to_owned(),
        }],
    })
}

fn storey(storeys: &[wall_model::Storey], name: Option<&str>) -> Result<StoreyId, String> {
    let shown = || {
        let names: Vec<&str> = storeys.iter().map(|s| s.name.as_str()).collect();
        format!("the storeys are {}", names.join(", "))
    };
    let at = match (name, storeys) {
        (None, [_]) => Some(0),
        (None, _) => return Err(format!("it does not say its storey; {}", shown())),
        (Some(name), _) => storeys.iter().position(|s| s.name == name),
    };
    let missing = || format!("there is no storey {}; {}", name.unwrap_or_default(), shown());
    at.map(|i| StoreyId(i as u32)).ok_or_else(missing)
}

fn middle((a, b): (Point, Point)) -> Point {
    Point::new((a.x + b.x).half(), (a.y + b.y).half())
}

fn subject(list: &str, index: usize) -> String {
    format!("overrides {list} {}", index + 1)
}

fn lost(list: &str, index: usize, at: Option<Point>, why: String) -> Finding {
    let what = match list {
        "walls" => "Change",
        "removed" => "Removal",
        "added" => "Wall drawn in",
        _ => "Snap",
    };
    let message = format!("{what} {} of the overrides was not done: {why}.", index + 1);
    let mut finding = Finding::new(edits::LOST, message).about(subject(list, index));
    finding.at = at;
    finding
}

/// What the edits did: those that were not done have a finding each.
fn in_force(form: &Form, found: &Found, drawn: usize) -> Finding {
    // Two entries may mean one wall.
    let done = |list: &[Option<WallId>]| list.iter().flatten().collect::<BTreeSet<_>>().len();
    let mut told: Vec<String> = Vec::new();
    let count = |n: usize, one: &str, many: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    told.extend(form.units.as_ref().map(|u| format!("unit {u}")));
    told.extend(form.mirror.as_ref().map(|m| format!("mirror {m}")));
    told.extend(count(
        form.region.len(),
        "drawing of the sheet chosen",
        "drawings of the sheet chosen",
    ));
    told.extend(count(form.layers.len(), "entry for layers", "entries for layers"));
    told.extend(count(done(&found.walls), "wall changed", "walls changed"));
    told.extend(count(done(&found.removed), "wall taken out", "walls taken out"));
    told.extend(count(drawn, "wall drawn in", "walls drawn in"));
    told.extend(count(found.snaps.iter().flatten().count(), "end moved", "ends moved"));
    let message = match told.is_empty() {
        true => "Edits in force: none of those given could be done.".to_owned(),
        false => format!("Edits in force: {}.", told.join(", ")),
    };
    Finding::new(edits::IN_FORCE, message)
}
