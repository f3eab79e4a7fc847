//! The plan of a storey's plates on paper: one sheet for the upper layer, one for the lower and bottom
//! ones, at a true scale. A floor too large for one page, or too crowded for its marks, is laid out on
//! several pages at a larger scale.

use crate::book::Book;
use crate::crew::Pairs;
use crate::font::{Weight, shown};
use crate::ink::{dimensions, plates};
use crate::labels::{self, Placed};
use crate::page::{At, Dash, INK, Item, broken, pen};
use export::view::View;
use geom::Point;
use plan_model::{JointKind, Layer, PieceId, TieKind};
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::{JunctionId, RunId};

/// Scales on paper, 1 to this; the usual ones of either system.
const IMPERIAL: [u32; 7] = [24, 32, 48, 64, 72, 96, 128];
const METRIC: [u32; 7] = [20, 25, 50, 60, 75, 100, 125];
/// 1/8 in to the foot or 1:100. Pages are added before anything is drawn smaller.
const SMALLEST: usize = 5;
/// More pages than these for one layer help nobody; the crowded marks are in the tables.
const MOST_PAGES: usize = 64;
/// How much neighbouring pages show of each other, points.
const OVERLAP: f64 = 40.0;

/// One layer of a storey.
pub(crate) struct Sheet {
    pub layer: Layer,
    /// Pieces with what is written beside them.
    pub pieces: Vec<(PieceId, String)>,
    pub runs: Vec<RunId>,
    pub ties: BTreeMap<JunctionId, BTreeSet<TieKind>>,
    pub walls: Vec<usize>,
    pub joints: Vec<usize>,
    pub other_joints: Vec<usize>,
    pub bounds: Bounds,
}

/// Plan inches, y up.
#[derive(Clone, Copy)]
pub(crate) struct Bounds {
    pub left: f64,
    pub low: f64,
    pub right: f64,
    pub high: f64,
}

/// Plan to paper.
#[derive(Clone, Copy)]
pub(crate) struct Scale {
    /// Points for an inch.
    pub factor: f64,
    /// Where the plan's zero is on the page.
    pub zero: At,
    /// What of the page shows the plan: left, top, right, bottom.
    pub window: [f64; 4],
}

impl Scale {
    /// A point of the plan on the page.
    pub fn at(&self, p: Point) -> At {
        let (x, y) = (p.x.to_inches() * self.factor, p.y.to_inches() * self.factor);
        (self.zero.0 + x, self.zero.1 - y)
    }
}

/// All plans of a storey.
pub(crate) fn plans(book: &mut Book, view: &View, storey: usize, name: &str, pairs: &Pairs) {
    let of_layer = |layer: Layer| -> Vec<PieceId> {
        let here = view.pieces().filter(|(_, p)| p.storey.0 as usize == storey && p.layer == layer);
        here.map(|(id, _)| id).collect()
    };
    let bottoms = of_layer(Layer::Bottom);
    let alike = bottoms.iter().all(|b| pairs.is_paired(*b));
    let mut sheets = Vec::new();
    if !alike {
        sheets.push((Layer::Bottom, "Bottom plates", bottoms));
    }
    let title = if alike { "Lower and bottom plates" } else { "Lower plates" };
    sheets.push((Layer::Lower, title, of_layer(Layer::Lower)));
    sheets.push((Layer::Upper, "Upper plates", of_layer(Layer::Upper)));
    for (layer, title, ids) in sheets {
        if ids.is_empty() {
            continue;
        }
        let Some(sheet) = Sheet::of(view, storey, layer, &ids, pairs, alike) else { continue };
        draw(book, view, &sheet, title, name);
    }
}

impl Sheet {
    fn of(
        view: &View,
        storey: usize,
        layer: Layer,
        ids: &[PieceId],
        pairs: &Pairs,
        alike: bool,
    ) -> Option<Sheet> {
        let floor = &view.doc.floor;
        let written = |id: &PieceId| {
            let mark = shown(&view.doc.piece(*id).mark);
            let below = pairs.below(*id).filter(|_| alike).map(|b| &view.doc.piece(b).mark);
            match below {
                // B3 under L3 needs no telling.
                Some(b) if b.get(1..) != mark.get(1..) || !b.starts_with('B') => {
                    (*id, format!("{mark}/{}", shown(b)))
                }
                _ => (*id, mark),
            }
        };
        let mut sheet = Sheet {
            layer,
            pieces: ids.iter().map(written).collect(),
            runs: Vec::new(),
            ties: BTreeMap::new(),
            walls: Vec::new(),
            joints: Vec::new(),
            other_joints: Vec::new(),
            bounds: Bounds::of(
                ids.iter().flat_map(|id| view.doc.piece(*id).outline.iter().copied()),
            )?,
        };
        let here = |s: wall_model::StoreyId| s.0 as usize == storey;
        for (i, run) in floor.runs.iter().enumerate().filter(|(_, r)| here(r.storey)) {
            sheet.runs.push(RunId(i as u32));
            sheet.bounds.grow(run.start);
            sheet.bounds.grow(run.end);
        }
        sheet.walls = (0..floor.walls.len()).filter(|w| here(floor.walls[*w].storey)).collect();
        for (i, j) in view.doc.plan.joints.iter().enumerate() {
            if !here(floor.run(j.run).storey) || j.kind == JointKind::End {
                continue;
            }
            // Where another wall or a door parts the plates there is no joint.
            let parted = layer != Layer::Upper && j.half_gap > geom::Length::ZERO;
            if j.layer == layer && j.kind == JointKind::Break {
                sheet.joints.extend((!parted).then_some(i));
            } else if j.layer != layer && j.layer != Layer::Bottom && layer != Layer::Bottom {
                sheet.other_joints.push(i);
            }
        }
        if layer == Layer::Upper {
            for tie in &view.doc.plan.ties {
                if here(floor.junction(tie.junction).storey) {
                    sheet.ties.entry(tie.junction).or_default().insert(tie.kind);
                }
            }
        }
        Some(sheet)
    }

    /// Whether lengths are millimetres.
    pub fn is_metric(&self, view: &View) -> bool {
        self.runs.iter().any(|r| view.doc.floor.run(*r).section.is_metric())
    }
}

impl Bounds {
    fn of(points: impl Iterator<Item = Point>) -> Option<Bounds> {
        let mut all: Option<Bounds> = None;
        for p in points {
            match &mut all {
                Some(b) => b.grow(p),
                None => {
                    let (x, y) = (p.x.to_inches(), p.y.to_inches());
                    all = Some(Bounds { left: x, low: y, right: x, high: y });
                }
            }
        }
        all
    }
    fn grow(&mut self, p: Point) {
        let (x, y) = (p.x.to_inches(), p.y.to_inches());
        self.left = self.left.min(x);
        self.right = self.right.max(x);
        self.low = self.low.min(y);
        self.high = self.high.max(y);
    }
    fn size(&self) -> At {
        (self.right - self.left, self.high - self.low)
    }
}

/// A way to lay a sheet out: its pages with their labels.
struct Layout {
    scale: u32,
    lies: bool,
    across: usize,
    down: usize,
    pages: Vec<(Scale, Vec<Placed>)>,
    /// Names that have no room on any page.
    missing: Vec<String>,
}

fn draw(book: &mut Book, view: &View, sheet: &Sheet, title: &str, name: &str) {
    let layout = laid_out(book, view, sheet);
    let many = layout.pages.len() > 1;
    let drawn: Vec<usize> =
        (0..layout.pages.len()).filter(|i| !layout.pages[*i].1.is_empty() || !many).collect();
    for (n, i) in drawn.iter().enumerate() {
        let (scale, labels) = &layout.pages[*i];
        let part =
            if many { format!(", part {} of {}", n + 1, drawn.len()) } else { String::new() };
        book.start(&format!("{title}{part}: {name}"), layout.lies);
        caption(book, view, sheet, &layout, *i);
        if many {
            let page = book.page();
            page.items.push(Item::Clip(scale.window));
        }
        plates(book.page(), view, sheet, scale);
        if many {
            let page = book.page();
            page.items.push(Item::Unclip);
            let [l, t, r, b] = scale.window;
            page.rect((l, t), (r - l, b - t), None, broken(0.9, Dash::Chain));
        } else {
            dimensions(book, view, sheet, scale);
        }
        for label in labels {
            label.draw(book);
        }
    }
}

/// The largest usual scale that shows the whole floor on a page, or a larger one on several pages
/// where marks would be too crowded.
fn laid_out(book: &Book, view: &View, sheet: &Sheet) -> Layout {
    let scales = if sheet.is_metric(view) { METRIC } else { IMPERIAL };
    let (w, h) = sheet.bounds.size();
    let fits = |scale: u32| {
        let factor = 72.0 / f64::from(scale);
        [false, true].into_iter().find(|lies| {
            let [left, top, right, bottom] = window(book, *lies, false);
            w * factor <= right - left && h * factor <= bottom - top
        })
    };
    let whole = scales.iter().position(|s| fits(*s).is_some());
    let first = whole.unwrap_or(SMALLEST).min(SMALLEST);
    let mut best: Option<Layout> = None;
    for i in (0..=first).rev() {
        let lies = fits(scales[i]).unwrap_or(w > h);
        let Some(layout) = tiled(book, view, sheet, scales[i], lies) else { break };
        let better = best.as_ref().is_none_or(|b| layout.missing.len() < b.missing.len());
        // One name in a hundred may be told beside the plan instead.
        let done = layout.missing.len() * 100 <= sheet.pieces.len() + sheet.runs.len();
        if better {
            best = Some(layout);
        }
        if done {
            break;
        }
    }
    // A floor miles long: all of it on one page, however small.
    best.unwrap_or_else(|| {
        let [left, top, right, bottom] = window(book, w > h, false);
        let factor = ((right - left) / w.max(1.0)).min((bottom - top) / h.max(1.0));
        let scale = (72.0 / factor).ceil().clamp(1.0, 1.0e9) as u32;
        let one = Layout {
            scale,
            lies: w > h,
            across: 1,
            down: 1,
            pages: Vec::new(),
            missing: Vec::new(),
        };
        filled(book, view, sheet, one)
    })
}

fn tiled(book: &Book, view: &View, sheet: &Sheet, scale: u32, lies: bool) -> Option<Layout> {
    let factor = 72.0 / f64::from(scale);
    let (w, h) = sheet.bounds.size();
    let (w, h) = (w * factor, h * factor);
    let [left, top, right, bottom] = window(book, lies, false);
    let (across, down) = if w <= right - left && h <= bottom - top {
        (1, 1)
    } else {
        let [left, top, right, bottom] = window(book, lies, true);
        let n = |long: f64, room: f64| ((long - OVERLAP) / (room - OVERLAP)).ceil().max(1.0);
        let (across, down) = (n(w, right - left), n(h, bottom - top));
        if across * down > MOST_PAGES as f64 {
            return None;
        }
        (across as usize, down as usize)
    };
    Some(filled(
        book,
        view,
        sheet,
        Layout { scale, lies, across, down, pages: Vec::new(), missing: Vec::new() },
    ))
}

/// Places the labels of every page.
fn filled(book: &Book, view: &View, sheet: &Sheet, mut layout: Layout) -> Layout {
    let factor = 72.0 / f64::from(layout.scale);
    let b = sheet.bounds;
    let (w, h) = (b.size().0 * factor, b.size().1 * factor);
    let many = layout.across * layout.down > 1;
    let window = window(book, layout.lies, many);
    let [left, top, right, bottom] = window;
    let mut missing: BTreeSet<String> = BTreeSet::new();
    for row in 0..layout.down {
        for column in 0..layout.across {
            // The plan's upper left corner on this page.
            let corner = if many {
                let step = |long: f64, room: f64, n: usize| {
                    if n > 1 { (long - room) / (n - 1) as f64 } else { (long - room) / 2.0 }
                };
                let dx = step(w, right - left, layout.across);
                let dy = step(h, bottom - top, layout.down);
                let at = |i: usize, step: f64, n: usize| if n > 1 { i as f64 * step } else { step };
                (left - at(column, dx, layout.across), top - at(row, dy, layout.down))
            } else {
                (left + (right - left - w) / 2.0, top + (bottom - top - h) / 2.0)
            };
            let zero = (corner.0 - b.left * factor, corner.1 + b.high * factor);
            let shown = if many {
                window
            } else {
                // Labels may stand in the margin kept for them.
                let pad = MARGIN * book.k - 3.0;
                [left - pad, top - pad, right + pad, bottom + pad]
            };
            let scale = Scale { factor, zero, window: shown };
            let (placed, without) = labels::place(book.fonts, book.k, view, sheet, &scale);
            missing.extend(without);
            layout.pages.push((scale, placed));
        }
    }
    // What a page has no room for may be named on the one beside it.
    for placed in layout.pages.iter().flat_map(|(_, placed)| placed) {
        missing.remove(placed.text());
    }
    layout.missing = missing.into_iter().collect();
    layout
}

/// Room for labels round a whole plan, points on letter paper.
pub(crate) const MARGIN: f64 = 19.9;

/// What of a page the plan may take.
fn window(book: &Book, lies: bool, many: bool) -> [f64; 4] {
    let k = book.k;
    let [left, top, right, bottom] = book.frame(lies);
    if many {
        return [left, top + 34.0 * k, right, bottom];
    }
    let pad = MARGIN * k;
    [left + pad + 14.0 * k, top + pad + 14.0 * k, right - pad, bottom - pad - 16.0 * k]
}

/// A bar that is measured with the plan when a printer has shrunk it; its right end at `x`. How wide it is.
fn scale_bar(book: &mut Book, scale: u32, metric: bool, (x, top): At) -> f64 {
    let k = book.k;
    let factor = 72.0 / f64::from(scale.max(1));
    let (units, name) =
        if metric { ([1000.0 / 25.4, 500.0 / 25.4], "m") } else { ([48.0, 12.0], "ft") };
    // Two parts; a large scale has room for short ones only.
    let (unit, numbers) = match units.map(|u| u * factor) {
        [long, _] if long <= 75.0 * k => (long, if metric { ["1", "2"] } else { ["4", "8"] }),
        [_, short] => (short, if metric { ["0.5", "1"] } else { ["1", "2"] }),
    };
    let last = format!("{} {name}", numbers[1]);
    let size = 7.5;
    let end = x - book.fonts.width(Weight::Book, size * k, &last) / 2.0;
    let from = end - 2.0 * unit;
    let page = book.page();
    page.rect((from, top + 10.0 * k), (unit, 3.5 * k), INK, pen(0.9));
    page.rect((from + unit, top + 10.0 * k), (unit, 3.5 * k), None, pen(0.9));
    for (i, text) in ["0", numbers[0], last.as_str()].into_iter().enumerate() {
        let w = book.fonts.width(Weight::Book, size * k, text);
        let at = (from + unit * i as f64 - w / 2.0, top + 8.0 * k);
        book.put(at, size, Weight::Book, text);
    }
    x - from
}

/// Scale, what the sheet shows, and on a plan of several pages which part this is.
fn caption(book: &mut Book, view: &View, sheet: &Sheet, layout: &Layout, part: usize) {
    let k = book.k;
    let [left, top, right, _] = book.frame(layout.lies);
    let scale = if sheet.is_metric(view) {
        format!("1:{}", layout.scale)
    } else {
        match layout.scale {
            24 => "1/2\" = 1'-0\"".to_owned(),
            32 => "3/8\" = 1'-0\"".to_owned(),
            48 => "1/4\" = 1'-0\"".to_owned(),
            64 => "3/16\" = 1'-0\"".to_owned(),
            72 => "1\" = 6'-0\"".to_owned(),
            96 => "1/8\" = 1'-0\"".to_owned(),
            128 => "3/32\" = 1'-0\"".to_owned(),
            other => format!("1:{other}"),
        }
    };
    let mut text = format!("Scale {scale} where printed at full size.");
    if sheet.layer == Layer::Lower && !sheet.other_joints.is_empty() {
        text.push_str(" Dotted: joints of the upper plates.");
    } else if sheet.layer == Layer::Upper && !sheet.other_joints.is_empty() {
        text.push_str(" Dotted: joints of the lower plates.");
    }
    if sheet.layer == Layer::Lower {
        text.push_str(" B3 lies under L3 where no other name is beside it.");
    }
    if !layout.missing.is_empty() {
        let some: Vec<&str> = layout.missing.iter().take(12).map(String::as_str).collect();
        let more = layout.missing.len() - some.len();
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        text.push_str(&format!(" No room for {}{more}: see the tables.", some.join(", ")));
    }
    let key = if layout.pages.len() > 1 { 90.0 * k } else { 0.0 };
    let wide = scale_bar(book, layout.scale, sheet.is_metric(view), (right - key, top));
    let room = right - left - key - wide - 12.0 * k;
    for (i, line) in
        book.fonts.wrapped(Weight::Book, 8.5 * k, &text, room).iter().take(3).enumerate()
    {
        book.put((left, top + (10.0 + 10.0 * i as f64) * k), 8.5, Weight::Book, line);
    }
    if layout.pages.len() < 2 {
        return;
    }
    let (w, h) = sheet.bounds.size();
    let (w, h) = (w.max(1.0), h.max(1.0));
    let fit = (78.0 * k / w).min(28.0 * k / h);
    let (w, h) = (w * fit, h * fit);
    let corner = (right - w, top + 3.0 * k);
    let (row, column) = (part / layout.across, part % layout.across);
    let (cw, ch) = (w / layout.across as f64, h / layout.down as f64);
    let page = book.page();
    let at = (corner.0 + column as f64 * cw, corner.1 + row as f64 * ch);
    page.rect(at, (cw, ch), INK, None);
    for i in 0..=layout.across {
        let x = corner.0 + i as f64 * cw;
        page.line((x, corner.1), (x, corner.1 + h), pen(0.9));
    }
    for i in 0..=layout.down {
        let y = corner.1 + i as f64 * ch;
        page.line((corner.0, y), (corner.0 + w, y), pen(0.9));
    }
}
