//! Lines of a plan: plates, joints, notches, openings, dimensions.

use crate::book::Book;
use crate::font::Weight;
use crate::page::{At, Dash, PAPER, Page, Step, TINT, broken, hatch, pen};
use crate::plan::{MARGIN, Scale, Sheet};
use crate::ties::sign;
use crate::words::length;
use export::view::View;
use geom::Length;
use plan_model::{Layer, TieKind};
use std::collections::BTreeSet;
use wall_model::OpeningKind;
use wall_model::floor::RunId;

/// Whether anything between two points may show in the window.
fn shows(scale: &Scale, points: &[At]) -> bool {
    let [left, top, right, bottom] = scale.window;
    let beyond = |f: fn(&At, f64) -> bool, v: f64| points.iter().all(|p| f(p, v));
    !(beyond(|p, v| p.0 < v, left)
        || beyond(|p, v| p.0 > v, right)
        || beyond(|p, v| p.1 < v, top)
        || beyond(|p, v| p.1 > v, bottom))
}

pub(crate) fn plates(page: &mut Page, view: &View, sheet: &Sheet, scale: &Scale) {
    let floor = &view.doc.floor;
    let planned: BTreeSet<RunId> =
        sheet.pieces.iter().map(|(id, _)| view.doc.piece(*id).run).collect();
    let on =
        |run: RunId, station: Length, offset: Length| scale.at(view.frame(run).at(station, offset));
    for r in sheet.runs.iter().filter(|r| !planned.contains(r)) {
        let run = floor.run(*r);
        let (half, end) = (run.section.width().half(), run.length());
        let corners = [(Length::ZERO, -half), (end, -half), (end, half), (Length::ZERO, half)];
        let corners = corners.map(|(s, o)| on(*r, s, o));
        page.ring(&corners, None, broken(1.0, Dash::Dotted));
    }
    for (id, _) in &sheet.pieces {
        let outline: Vec<At> = view.doc.piece(*id).outline.iter().map(|p| scale.at(*p)).collect();
        if !shows(scale, &outline) {
            continue;
        }
        if sheet.layer == Layer::Upper {
            page.path(hatch(&outline, 35.0, 3.6), None, pen(0.9));
            page.ring(&outline, None, pen(1.5));
        } else {
            page.ring(&outline, TINT, pen(1.5));
        }
    }
    openings(page, view, sheet, scale);
    let ticks = |joints: &[usize], over: f64| -> Vec<Step> {
        let mut steps = Vec::new();
        for i in joints {
            let j = &view.doc.plan.joints[*i];
            let half = floor.run(j.run).section.width().half();
            let reach = half + Length::from_inches(over / scale.factor).unwrap_or_default();
            let ends = [on(j.run, j.at, -reach), on(j.run, j.at, reach)];
            if shows(scale, &ends) {
                steps.extend([Step::Move(ends[0]), Step::Line(ends[1])]);
            }
        }
        steps
    };
    page.path(ticks(&sheet.other_joints, 2.0), None, broken(1.8, Dash::Dotted));
    page.path(ticks(&sheet.joints, 4.0), None, pen(3.0));
    for (id, _) in &sheet.pieces {
        let p = view.doc.piece(*id);
        for bite in &view.shapes[id.0 as usize].bites {
            let points: Vec<At> = bite.iter().map(|(s, o)| on(p.run, p.from + *s, *o)).collect();
            page.chain(&points, pen(2.4));
        }
    }
}

/// Jambs across the plate; along it a dashed line for a door, a double one for a window, a dotted one for
/// a plain opening.
fn openings(page: &mut Page, view: &View, sheet: &Sheet, scale: &Scale) {
    for w in &sheet.walls {
        let wall = &view.doc.floor.walls[*w];
        let frame = view.frame(wall.run);
        let base = frame.locate(wall.start).0;
        let forward = frame.locate(wall.end).0 >= base;
        let half = view.doc.floor.run(wall.run).section.width().half();
        let at =
            |s: Length, o: Length| scale.at(frame.at(if forward { base + s } else { base - s }, o));
        for o in &wall.openings {
            let corners = [(o.from, -half), (o.to, -half), (o.to, half), (o.from, half)];
            page.ring(&corners.map(|(s, o)| at(s, o)), PAPER, pen(1.0));
            // Two lines that can be told apart, also at a small scale.
            let apart = Length::from_inches(1.3 / scale.factor).unwrap_or_default();
            let gap = half.scale(0.3).max(apart);
            let (offsets, dash): (&[Length], Dash) = match o.kind {
                OpeningKind::Door => (&[Length::ZERO], Dash::Dashed),
                OpeningKind::Window => (&[-gap, gap], Dash::Solid),
                OpeningKind::Opening => (&[Length::ZERO], Dash::Dotted),
            };
            for offset in offsets {
                page.line(at(o.from, *offset), at(o.to, *offset), broken(0.9, dash));
            }
        }
    }
}

/// Overall width and depth.
pub(crate) fn dimensions(book: &mut Book, view: &View, sheet: &Sheet, scale: &Scale) {
    let k = book.k;
    let metric = sheet.is_metric(view);
    let b = sheet.bounds;
    let at = |x: f64, y: f64| (scale.zero.0 + x * scale.factor, scale.zero.1 - y * scale.factor);
    let ((left, low), (right, high)) = (at(b.left, b.low), at(b.right, b.high));
    let (y, x) = (low + (MARGIN + 12.0) * k, left - (MARGIN + 2.0) * k);
    let tick = 3.0 * k;
    let page = book.page();
    page.line((left, y), (right, y), pen(0.9));
    page.line((x, low), (x, high), pen(0.9));
    for (x, y) in [(left, y), (right, y), (x, low), (x, high)] {
        page.line((x - tick, y + tick), (x + tick, y - tick), pen(2.2));
    }
    let told = |inches: f64| length(Length::from_inches(inches).unwrap_or_default(), metric);
    let (across, up) = (told(b.right - b.left), told(b.high - b.low));
    let size = 9.0 * k;
    let w = book.fonts.width(Weight::Bold, size, &across);
    book.put(((left + right - w) / 2.0, y - 3.0 * k), 9.0, Weight::Bold, &across);
    let w = book.fonts.width(Weight::Bold, size, &up);
    book.page().turned((x - 3.0 * k, (low + high + w) / 2.0), -90.0, size, Weight::Bold, up);
}

/// The signs of a junction's ties, side by side from `at`.
pub(crate) fn signs(page: &mut Page, at: At, r: f64, kinds: &BTreeSet<TieKind>) {
    for (i, kind) in kinds.iter().enumerate() {
        sign(page, (at.0 + i as f64 * r * 2.6, at.1), r, *kind);
    }
}
