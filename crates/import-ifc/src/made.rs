//! From a wall's pieces to draft walls: where they lie, how high they are, what is to be said of them.

use crate::cuts::{Cut, Whole};
use crate::inventory::Inventory;
use crate::report::Report;
use crate::rows::RowEnds;
use crate::shape::{Part, Piece, WallShape};
use crate::storeys::Storeys;
use crate::top_words::top_words;
use crate::walls::{Framing, RawWall, Reader};
use diag::Code;
use diag::codes::ifc;
use geom::Length;
use rustc_hash::FxHashMap;
use settings::{LayerRule, Settings};
use std::collections::BTreeMap;
use wall_model::{DraftWall, UnderRoof};

/// A wall that reaches this far above the next storey's level spans both.
const INTO_NEXT_IN: f64 = 24.0;

/// Levels nearer above a storey than this are half landings and floor build-ups, not the next storey.
const NEXT_STOREY_IN: f64 = 72.0;

/// A foot this near a storey's level stands on that storey.
const STANDS_ON_IN: f64 = 6.0;

/// Ends nearer than this are the same, for walls that are in the file twice.
const SAME_IN: f64 = 0.0625;

/// Walls on their way into the model.
#[derive(Default)]
pub struct Made {
    /// One for each piece.
    pub walls: Vec<DraftWall>,
    /// Entity id and pieces, in the order of the walls' entity ids.
    pub cuts: Vec<(u64, Vec<Cut>)>,
}

impl Made {
    /// Makes one draft wall of each piece, of each piece of both rows where there are two.
    pub fn wall(
        &mut self,
        reader: &Reader<'_, '_, '_>,
        (number, wall): (usize, &RawWall<'_>),
        framing: &Framing,
        (row, storeys): (usize, &Storeys),
        ends: &RowEnds,
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
        let rows = framing.rows().enumerate();
        let parts: Vec<(Option<usize>, Part)> = rows
            .flat_map(|(n, layer)| {
                let pieces = ends.of(number, n, &shape.pieces);
                pieces.iter().flat_map(parts).map(|p| (layer, p)).collect::<Vec<_>>()
            })
            .collect();
        let tops = |part: &Part| match part.top {
            Some((from, to)) => [from, to].map(|z| (z - storey.foot_z) * inches),
            None => [top_of(&part.piece); 2],
        };
        let highest = parts.iter().flat_map(|(_, p)| tops(p)).fold(f64::NEG_INFINITY, f64::max);
        notes.extend(storey_words(reader, (storeys, row), shape.foot_z, highest));
        notes.extend(shape_words(reader, shape, by_rule.is_none(), base_in));
        let width = framing.section.width().to_inches();
        let half = width / 2.0 / inches;
        let mut cuts = Vec::new();
        let whole = match shape.bow {
            Some(_) => Whole::Curve(wall.id),
            None if parts.len() > shape.pieces.len() => Whole::Line(wall.id),
            None => Whole::Itself,
        };
        let drawn = reader.thickness_in(wall).unwrap_or(width);
        // Each of two rows has its half of the wall.
        let drawn = if framing.second.is_some() { (drawn / 2.0).max(width) } else { drawn };
        for (layer, part) in &parts {
            let piece = &part.piece;
            let [top_in, top_end_in] = tops(part);
            let offset = reader.framing_offset(wall, piece, *layer, notes);
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
                whole,
            });
            self.walls.push(DraftWall {
                storey: row,
                start_in: moved(piece.start),
                end_in: moved(piece.end),
                drawn_thickness_in: drawn,
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
    pub fn without_twins(
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

/// What is odd about a wall's storey, by its foot in the file's unit and its highest top in inches above the
/// storey.
fn storey_words(
    reader: &Reader<'_, '_, '_>,
    (storeys, row): (&Storeys, usize),
    foot_z: f64,
    highest: f64,
) -> Option<(Code, String)> {
    let inches = reader.unit.inches;
    let storey = storeys.rows.get(row)?;
    let base_in = (foot_z - storey.foot_z) * inches;
    let elsewhere = (base_in.abs() >= NEXT_STOREY_IN)
        .then(|| storeys.at_level(foot_z, STANDS_ON_IN / inches))
        .flatten();
    if let Some(there) = elsewhere {
        let how = if base_in > 0.0 { "above" } else { "below" };
        let words = format!(
            "on {}, but its foot is {} {how} that, at the level of {}: it seems to be contained in the wrong storey",
            storey.name,
            reader.text(base_in.abs()),
            there.name
        );
        return Some((ifc::STOREY_DOUBTFUL, words));
    } else if let Some(next) = storeys.above(row, NEXT_STOREY_IN / inches) {
        let over = highest - (next.foot_z - storey.foot_z) * inches;
        if over > INTO_NEXT_IN {
            let words = format!(
                "on {}, reaches more than {INTO_NEXT_IN} in above {}",
                storey.name, next.name
            );
            return Some((ifc::SPANS_STOREYS, words));
        }
    }
    None
}

/// What had to be assumed of a wall's shape; `by_body` where its height is its body's. `base_in` is its foot above
/// its storey.
fn shape_words(
    reader: &Reader<'_, '_, '_>,
    shape: &WallShape,
    by_body: bool,
    base_in: f64,
) -> Vec<(Code, String)> {
    let mut notes = Vec::new();
    let inches = reader.unit.inches;
    let default = reader.settings.default_top.to_inches();
    if let Some(why) = &shape.no_axis {
        let words = format!("its axis cannot be read ({why}); the middle of its body was taken");
        notes.push((ifc::SHAPE_IN_PART, words));
    }
    match (&shape.no_height, shape.unread.first()) {
        (Some(why), _) if by_body => {
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
    if let Some(high) = shape.seen.uneven_foot {
        let words = format!(
            "foot from {} to {}, its bottom plate planned level at the lowest",
            reader.text_near(base_in),
            reader.text_near(base_in + (high - shape.foot_z) * inches)
        );
        notes.push((ifc::FOOT_NOT_LEVEL, words));
    }
    if shape.lengthened > 0.0 {
        let by = reader.text(shape.lengthened * inches);
        notes.push((ifc::AXIS_SHORT, format!("lengthened by {by} to its body")));
    }
    notes
}

fn same_place(a: &DraftWall, b: &DraftWall) -> bool {
    let near = |p: (f64, f64), q: (f64, f64)| (p.0 - q.0).hypot(p.1 - q.1) <= SAME_IN;
    let ends = (near(a.start_in, b.start_in) && near(a.end_in, b.end_in))
        || (near(a.start_in, b.end_in) && near(a.end_in, b.start_in));
    ends && (a.base_in - b.base_in).abs() <= 1.0 && (a.top_in - b.top_in).abs() <= 1.0
}

/// The roof of a settings' entry, if it has one.
fn under_roof(settings: &Settings, rule: &LayerRule) -> Option<UnderRoof> {
    let entry = settings.layers.iter().position(|r| std::ptr::eq(r, rule))?;
    rule.roof.map(|roof| UnderRoof { entry, roof })
}
