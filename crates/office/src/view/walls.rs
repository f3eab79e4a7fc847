//! Walls as read, with edits laid over them and what the plan made of each.

use super::{SourceOut, sources};
use crate::frame::OnPage;
use crate::review::Review;
use diag::{Finding, codes::graph};
use geom::{Frame, Length, Point};
use import_dxf::WallByShape;
use overrides::{End, Found, Placing, SnapForm, WallFrom, WallRef};
use pipeline::{Drawing, Planned, Reading};
use plan_model::{run_name, storey_id_name, wall_name};
use serde::Serialize;
use std::collections::BTreeMap;
use wall_model::floor::Floor;
use wall_model::{Format, Wall, WallId, WallModel};

#[derive(Clone, Debug, Serialize)]
pub(crate) struct WallOut {
    pub id: String,
    storey: String,
    start: [f64; 2],
    end: [f64; 2],
    thickness: f64,
    section: &'static str,
    width: f64,
    base: f64,
    top: f64,
    rise: f64,
    exterior: Option<bool>,
    exterior_said: Option<bool>,
    bearing: Option<bool>,
    openings: Vec<OpeningOut>,
    source: Vec<SourceOut>,
    how: &'static str,
    confidence: f64,
    state: &'static str,
    pub plan_walls: Vec<String>,
    runs: Vec<String>,
    r#ref: Option<WallRef>,
    edits: Vec<EditRef>,
}

impl WallOut {
    pub fn is_on(&self, storey: &str) -> bool {
        self.storey == storey
    }
    pub fn ends(&self) -> [[f64; 2]; 2] {
        [self.start, self.end]
    }
}

#[derive(Clone, Debug, Serialize)]
struct OpeningOut {
    kind: &'static str,
    from: f64,
    to: f64,
}

#[derive(Clone, Debug, Serialize)]
struct EditRef {
    list: &'static str,
    index: usize,
}

#[derive(Clone, Debug, Serialize)]
pub(crate) struct NearMissOut {
    snap: SnapForm,
    pub from: [f64; 2],
    to: [f64; 2],
    gap_in: f64,
    wall: String,
    other: String,
}

/// A wall of the list: its geometry, and where it comes from.
pub(super) struct Listed<'a> {
    pub wall: &'a Wall,
    pub from: WallFrom,
    /// Index into the edited model's walls; `None` for one that was taken out.
    pub edited: Option<usize>,
}

/// All walls: those of the plan, or as read where there is none, then those taken out.
pub(super) fn listed<'a>(
    reading: &'a Reading,
    walls: &'a [Wall],
    from: &[WallFrom],
    found: &Found,
) -> Vec<Listed<'a>> {
    let mut all: Vec<Listed> = walls
        .iter()
        .zip(from)
        .enumerate()
        .map(|(i, (wall, from))| Listed { wall, from: *from, edited: Some(i) })
        .collect();
    let mut gone: Vec<WallId> = found.removed.iter().flatten().copied().collect();
    gone.sort_unstable();
    gone.dedup();
    for id in gone {
        let wall = reading.model.walls.get(id.0 as usize);
        all.extend(wall.map(|wall| Listed { wall, from: WallFrom::Read(id), edited: None }));
    }
    all
}

/// What the walls' shapes need to know of the plan.
pub(super) struct Context<'a> {
    pub reading: &'a Reading,
    pub on: OnPage,
    pub floor: Option<&'a Floor>,
    pub found: &'a Found,
    pub shapes: &'a [WallByShape],
    pub placing: Placing,
}

impl<'a> Context<'a> {
    pub fn new(
        r: &'a Review,
        reading: &'a Reading,
        planned: Option<&'a Planned>,
        found: &'a Found,
        shapes: &'a [WallByShape],
    ) -> Context<'a> {
        Context {
            reading,
            on: OnPage::new(&r.frame, &reading.model),
            floor: planned.map(|p| &p.document.floor),
            found,
            shapes,
            placing: Placing::of(&reading.model, r.read.settings.mirror),
        }
    }

    /// The list as the API has it.
    pub fn walls(&self, listed: &[Listed]) -> Vec<WallOut> {
        let made = self.made_of_each(listed);
        listed.iter().zip(made).enumerate().map(|(i, (l, made))| self.wall(i, l, &made)).collect()
    }

    /// Floor walls that each listed wall became: by the wall they say they come from, and for walls that
    /// were merged into others, by lying on them.
    fn made_of_each(&self, listed: &[Listed]) -> Vec<Vec<usize>> {
        let Some(floor) = self.floor else { return vec![Vec::new(); listed.len()] };
        let mut own: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (i, w) in floor.walls.iter().enumerate() {
            own.entry(w.wall.0 as usize).or_default().push(i);
        }
        let of = |l: &Listed| match l.edited {
            None => Vec::new(),
            Some(i) => own.get(&i).cloned().unwrap_or_else(|| merged_into(floor, l.wall)),
        };
        listed.iter().map(of).collect()
    }

    fn wall(&self, index: usize, l: &Listed, made: &[usize]) -> WallOut {
        let w = l.wall;
        let floor_walls: Vec<_> =
            made.iter().filter_map(|i| self.floor.and_then(|f| f.walls.get(*i))).collect();
        let mut runs: Vec<_> = floor_walls.iter().map(|w| w.run).collect();
        runs.sort_unstable();
        runs.dedup();
        let (how, confidence) = self.how(l);
        let state = match (l.edited, made.is_empty()) {
            (None, _) => "removed",
            (_, true) => "left-out",
            _ => "planned",
        };
        WallOut {
            id: wall_id(index),
            storey: storey_id_name(w.storey),
            start: self.on.point(w.start),
            end: self.on.point(w.end),
            thickness: w.drawn_thickness.to_inches(),
            section: w.section.name(),
            width: w.section.width().to_inches(),
            base: w.base.to_inches(),
            top: w.top.to_inches(),
            rise: w.rise.to_inches(),
            exterior: floor_walls.first().map(|w| w.exterior),
            exterior_said: w.exterior,
            bearing: w.bearing,
            openings: w
                .openings
                .iter()
                .map(|o| OpeningOut {
                    kind: o.kind.name(),
                    from: o.from.to_inches(),
                    to: o.to.to_inches(),
                })
                .collect(),
            source: sources(&w.source),
            how,
            confidence,
            state,
            plan_walls: made.iter().map(|i| wall_name(*i)).collect(),
            runs: runs.into_iter().map(run_name).collect(),
            r#ref: self.reference(l.from),
            edits: self.edits(l.from),
        }
    }

    /// What overrides point at a wall with: it, as it was read.
    fn reference(&self, from: WallFrom) -> Option<WallRef> {
        let WallFrom::Read(id) = from else { return None };
        let read = self.reading.model.walls.get(id.0 as usize)?;
        Some(WallRef {
            entity: read.source.first()?.entity.clone(),
            start: self.on.by_drawing(read.start),
            end: self.on.by_drawing(read.end),
        })
    }

    fn edits(&self, from: WallFrom) -> Vec<EditRef> {
        let id = match from {
            WallFrom::Added(index) => return vec![EditRef { list: "added", index }],
            WallFrom::Read(id) => id,
        };
        let lists = [
            ("walls", &self.found.walls),
            ("removed", &self.found.removed),
            ("snaps", &self.found.snaps),
        ];
        let of = |(list, found): (&'static str, &Vec<Option<WallId>>)| {
            let own = found.iter().enumerate().filter(|(_, w)| **w == Some(id));
            own.map(|(index, _)| EditRef { list, index }).collect::<Vec<_>>()
        };
        lists.into_iter().flat_map(of).collect()
    }

    fn how(&self, l: &Listed) -> (&'static str, f64) {
        let WallFrom::Read(id) = l.from else { return ("drawn-in", 1.0) };
        if self.reading.model.format == Format::Ifc {
            return ("class", 1.0);
        }
        let Some(read) = self.reading.model.walls.get(id.0 as usize) else { return ("layer", 1.0) };
        let middle = |a: Point, b: Point| Point::new((a.x + b.x).half(), (a.y + b.y).half());
        let own = self
            .shapes
            .iter()
            .filter(|s| s.believed)
            .filter(|s| s.entities.iter().any(|e| read.source.iter().any(|r| r.entity == *e)));
        let nearest = own
            .filter_map(|s| {
                let (a, b) = (self.placing.plan(s.from)?, self.placing.plan(s.to)?);
                Some((middle(a, b).distance(middle(read.start, read.end)), s.confidence))
            })
            .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        match nearest {
            Some((_, confidence)) => ("shape", confidence.clamp(0.0, 1.0)),
            None => ("layer", 1.0),
        }
    }

    /// The near misses among the findings, as snaps to accept.
    pub fn near_misses(&self, findings: &[Finding], listed: &[Listed]) -> Vec<NearMissOut> {
        let missed = findings.iter().filter(|f| f.code == graph::NEAR_MISS);
        missed.filter_map(|f| self.near_miss(f, listed)).collect()
    }

    fn near_miss(&self, f: &Finding, listed: &[Listed]) -> Option<NearMissOut> {
        let at = f.at?;
        let named = |w: &Wall| w.source.iter().any(|s| f.source.contains(s));
        let candidates: Vec<(usize, &Listed)> = listed
            .iter()
            .enumerate()
            .filter(|(_, l)| l.edited.is_some() && named(l.wall))
            .collect();
        // The end that would reach the place with the least move along its own line.
        let ends = candidates.iter().filter_map(|(i, l)| {
            let frame = Frame::between(l.wall.start, l.wall.end)?;
            let (station, off) = frame.locate(at);
            let beyond = station - l.wall.length();
            let (end, gap) = if station < Length::ZERO {
                (End::Start, station.abs())
            } else if beyond > Length::ZERO {
                (End::End, beyond)
            } else {
                return None;
            };
            (off.abs() <= Length::inches(1)).then_some((gap, *i, end))
        });
        let (gap, index, end) = ends.min()?;
        let own = listed.get(index)?;
        let (_, other) = candidates
            .iter()
            .filter(|(i, _)| *i != index)
            .map(|(i, l)| (off_line(l.wall, at), *i))
            .min()?;
        let from = if end == End::Start { own.wall.start } else { own.wall.end };
        Some(NearMissOut {
            snap: SnapForm {
                wall: self.reference(own.from)?,
                end,
                to: self.on.by_drawing(at),
                note: String::new(),
            },
            from: self.on.point(from),
            to: self.on.point(at),
            gap_in: gap.to_inches(),
            wall: wall_id(index),
            other: wall_id(other),
        })
    }

    /// Ids of the listed walls that a finding is about.
    pub fn named_in(&self, f: &Finding, listed: &[Listed], walls: &[WallOut]) -> Vec<String> {
        const SHOWN: usize = 24;
        let own = |l: &Listed, w: &WallOut| {
            w.plan_walls.contains(&f.subject) || l.wall.source.iter().any(|s| f.source.contains(s))
        };
        let all = listed.iter().zip(walls).filter(|(l, w)| own(l, w));
        all.map(|(_, w)| w.id.clone()).take(SHOWN).collect()
    }
}

pub(super) fn wall_id(index: usize) -> String {
    format!("wall-{}", index + 1)
}

/// How far a place lies off a wall.
fn off_line(w: &Wall, at: Point) -> Length {
    let Some(frame) = Frame::between(w.start, w.end) else { return w.start.distance(at) };
    let (station, off) = frame.locate(at);
    let along = (station - w.length()).max(-station).max(Length::ZERO);
    along.max(off.abs())
}

/// The floor walls that lie where this wall's middle does.
fn merged_into(floor: &Floor, w: &Wall) -> Vec<usize> {
    let middle = Point::new((w.start.x + w.end.x).half(), (w.start.y + w.end.y).half());
    let there = |f: &wall_model::floor::FloorWall| {
        let Some(frame) = Frame::between(f.start, f.end) else { return false };
        let (station, off) = frame.locate(middle);
        f.storey == w.storey
            && off.abs() <= w.drawn_thickness.max(f.drawn_thickness)
            && station >= Length::ZERO
            && station <= f.start.distance(f.end)
            && Frame::between(w.start, w.end)
                .is_some_and(|own| own.angle_to(&frame).sin().abs() < 0.06)
    };
    floor.walls.iter().enumerate().filter(|(_, f)| there(f)).map(|(i, _)| i).collect()
}

/// Walls found by shape, where the drawing was read by shape.
pub(super) fn by_shape(drawing: &Drawing) -> &[WallByShape] {
    match drawing {
        Drawing::Dxf(i) => &i.walls_by_shape,
        Drawing::Ifc(_) => &[],
    }
}

/// For walls without a plan: the edits done all the same.
pub(super) fn edited(r: &Review, model: &WallModel) -> overrides::Applied {
    overrides::apply(&r.now.overrides, model, &r.read.settings)
}
