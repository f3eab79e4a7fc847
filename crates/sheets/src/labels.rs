//! Puts the names on a plan where they cover neither a plate nor each other: beside the plate, or off it
//! with a leader.

use crate::book::{Book, round_box};
use crate::font::{Fonts, Weight};
use crate::ink::signs;
use crate::page::{At, INK, pen};
use crate::plan::{Scale, Sheet};
use crate::room::{INKED, PLATE, Quad, Room};
use export::view::View;
use geom::Length;
use plan_model::{Layer, TieKind, junction_name, run_name};
use std::collections::BTreeSet;
use std::f64::consts::TAU;
use wall_model::floor::RunId;

/// What a label is.
#[derive(Clone, Debug)]
enum Kind {
    Mark,
    Run,
    Junction(BTreeSet<TieKind>),
}

/// A label at its place.
#[derive(Clone, Debug)]
pub(crate) struct Placed {
    kind: Kind,
    text: String,
    quad: Quad,
    size: f64,
    /// From the label's edge to what it names.
    leader: Option<(At, At)>,
}

impl Placed {
    /// The name as written.
    pub fn text(&self) -> &str {
        &self.text
    }
    /// Draws it.
    pub fn draw(&self, book: &mut Book) {
        let page = book.page();
        if let Some((from, to)) = self.leader {
            page.line(from, to, pen(0.9));
            page.circle(to, 1.6, INK, None);
        }
        let (along, size) = (self.quad.along, self.size);
        let angle = along.1.atan2(along.0).to_degrees();
        let inner = match &self.kind {
            Kind::Mark => 1.0,
            Kind::Run => {
                let (w, h) = self.quad.half;
                round_box(
                    page,
                    (self.quad.middle.0 - w, self.quad.middle.1 - h),
                    (2.0 * w, 2.0 * h),
                );
                size * 0.45
            }
            Kind::Junction(ties) => {
                let start = self.quad.middle.0 - self.quad.half.0;
                signs(page, (start + size * 0.5, self.quad.middle.1), size * 0.42, ties);
                ties.len() as f64 * size * 1.1
            }
        };
        let back = self.quad.half.0 - inner;
        let down = size * 0.36;
        let at = (
            self.quad.middle.0 - along.0 * back - along.1 * down,
            self.quad.middle.1 - along.1 * back + along.0 * down,
        );
        page.turned(at, angle, size, Weight::Bold, self.text.clone());
    }
}

/// A stretch of a run that a label belongs to.
struct Stretch {
    run: RunId,
    from: Length,
    to: Length,
}

/// All labels of a page, and the names that found no room.
pub(crate) fn place(
    fonts: &Fonts,
    k: f64,
    view: &View,
    sheet: &Sheet,
    scale: &Scale,
) -> (Vec<Placed>, Vec<String>) {
    let mut room = Room::default();
    for r in &sheet.runs {
        let run = view.doc.floor.run(*r);
        let half = run.section.width().half().to_inches() * scale.factor;
        room.take(Quad::line(scale.at(run.start), scale.at(run.end), half + 1.0), PLATE);
    }
    // A joint's tick stands out over the plate; so do outlines beyond the nodes.
    for (id, _) in &sheet.pieces {
        let p = view.doc.piece(*id);
        let frame = view.frame(p.run);
        let ends = [p.from, p.to].map(|s| scale.at(frame.at(s, Length::ZERO)));
        let half = p.section.width().half().to_inches() * scale.factor;
        room.take(Quad::line(ends[0], ends[1], half + 1.0), PLATE);
    }
    let mut work = Work { fonts, view, scale, room, placed: Vec::new(), missing: Vec::new() };
    // Short pieces first: they have the fewest places to go.
    let mut order: Vec<&(plan_model::PieceId, String)> = sheet.pieces.iter().collect();
    order.sort_by_key(|(id, _)| (view.doc.piece(*id).length, *id));
    for (id, mark) in order {
        let p = view.doc.piece(*id);
        let Some(along) = work.visible(p.run, p.from, p.to) else { continue };
        work.label(Kind::Mark, mark, 9.0 * k, &along, sheet.layer == Layer::Upper);
    }
    // U4c tells that it lies on R4, whose own name may then be left away.
    let tells = |(id, mark): &&(plan_model::PieceId, String)| {
        let run = run_name(view.doc.piece(*id).run);
        let own = mark.trim_end_matches(|c: char| c.is_ascii_lowercase());
        own.get(1..) == run.get(1..)
    };
    let told = sheet.pieces.iter().filter(tells).map(|(id, _)| view.doc.piece(*id).run);
    let told: BTreeSet<RunId> = told.collect();
    for r in &sheet.runs {
        let to = view.doc.floor.run(*r).length();
        let Some(along) = work.visible(*r, Length::ZERO, to) else { continue };
        let before = work.missing.len();
        work.label(Kind::Run, &run_name(*r), 8.0 * k, &along, sheet.layer != Layer::Upper);
        if told.contains(r) {
            work.missing.truncate(before);
        }
    }
    for (junction, ties) in &sheet.ties {
        work.junction(
            &junction_name(*junction),
            view.doc.floor.junction(*junction).at,
            ties,
            7.0 * k,
        );
    }
    (work.placed, work.missing)
}

struct Work<'a> {
    fonts: &'a Fonts,
    view: &'a View<'a>,
    scale: &'a Scale,
    room: Room,
    placed: Vec<Placed>,
    missing: Vec<String>,
}

impl Work<'_> {
    /// What of a stretch shows on this page; `None` where another page shows more of it.
    fn visible(&self, run: RunId, from: Length, to: Length) -> Option<Stretch> {
        let frame = self.view.frame(run);
        let (a, b) = (
            self.scale.at(frame.at(from, Length::ZERO)),
            self.scale.at(frame.at(to, Length::ZERO)),
        );
        // Liang-Barsky: the part of the line inside the window.
        let [left, top, right, bottom] = self.scale.window;
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (step, room) in
            [(-dx, a.0 - left), (dx, right - a.0), (-dy, a.1 - top), (dy, bottom - a.1)]
        {
            if step == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if step < 0.0 {
                enter = enter.max(room / step);
            } else {
                leave = leave.min(room / step);
            }
        }
        let length = to - from;
        let seen = (leave - enter) * length.to_inches();
        // Three feet show which piece it is; of a shorter one half.
        if !seen.is_finite() || seen < (length.to_inches() / 2.0).min(36.0) {
            return None;
        }
        Some(Stretch { run, from: from + length.scale(enter), to: from + length.scale(leave) })
    }

    fn inside(&self, quad: &Quad) -> bool {
        let [l, t, r, b] = quad.bounds();
        let [left, top, right, bottom] = self.scale.window;
        l >= left && t >= top && r <= right && b <= bottom
    }

    fn is_free(&self, quad: &Quad) -> bool {
        self.inside(quad) && self.room.is_free(quad, PLATE | INKED)
    }

    fn take(&mut self, kind: Kind, text: &str, size: f64, quad: Quad, leader: Option<(At, At)>) {
        self.room.take(quad, INKED);
        if let Some((from, to)) = leader {
            self.room.take(Quad::line(from, to, 0.8), INKED);
        }
        self.placed.push(Placed { kind, text: text.to_owned(), quad, size, leader });
    }

    /// Beside its plate, else off it with a leader, else missing.
    fn label(&mut self, kind: Kind, text: &str, size: f64, along: &Stretch, outside: bool) {
        let pad = if matches!(kind, Kind::Run) { size * 0.45 } else { 1.0 };
        let text = self.fonts.fitted(Weight::Bold, size, text, size * 12.0);
        let half = (self.fonts.width(Weight::Bold, size, &text) / 2.0 + pad, size * 0.62);
        let level = matches!(kind, Kind::Run);
        if let Some(quad) = self.beside(along, half, outside, level) {
            return self.take(kind, &text, size, quad, None);
        }
        if let Some((quad, leader)) = self.with_leader(along, half) {
            return self.take(kind, &text, size, quad, Some(leader));
        }
        self.missing.push(text);
    }

    fn beside(
        &self,
        along: &Stretch,
        half: (f64, f64),
        outside: bool,
        level: bool,
    ) -> Option<Quad> {
        const SHARES: [f64; 7] = [0.5, 0.4, 0.6, 0.28, 0.72, 0.15, 0.85];
        let frame = self.view.frame(along.run);
        let [a, b] = [along.from, along.to].map(|s| self.scale.at(frame.at(s, Length::ZERO)));
        let line = Quad::line(a, b, 0.0);
        let (dx, dy) = line.along;
        // Read from below or from the right.
        let turn = if dx < -0.02 || (dx.abs() <= 0.02 && dy > 0.0) { -1.0 } else { 1.0 };
        let read = if level { (1.0, 0.0) } else { (dx * turn, dy * turn) };
        let plate = self.view.doc.floor.run(along.run).section.width().half().to_inches();
        // How far the label reaches across the wall.
        let reach =
            half.0 * (read.0 * dy - read.1 * dx).abs() + half.1 * (read.0 * dx + read.1 * dy).abs();
        let off = plate * self.scale.factor + reach + 2.0;
        let [left, top, right, bottom] = self.scale.window;
        let middle = ((left + right) / 2.0, (top + bottom) / 2.0);
        let away = (line.middle.0 - middle.0) * dy - (line.middle.1 - middle.1) * dx >= 0.0;
        let first = if away == outside { 1.0 } else { -1.0 };
        for row in [0.0, half.1 * 2.1] {
            for side in [first, -first] {
                for share in SHARES {
                    let on = (share - 0.5) * 2.0 * line.half.0;
                    let across = (off + row) * side;
                    let quad = Quad {
                        middle: (
                            line.middle.0 + dx * on + dy * across,
                            line.middle.1 + dy * on - dx * across,
                        ),
                        along: read,
                        half,
                    };
                    if self.is_free(&quad) {
                        return Some(quad);
                    }
                }
            }
        }
        None
    }

    fn with_leader(&self, along: &Stretch, half: (f64, f64)) -> Option<(Quad, (At, At))> {
        let frame = self.view.frame(along.run);
        let to = self.scale.at(frame.at(along.from + (along.to - along.from).half(), Length::ZERO));
        for ring in 1..=14 {
            let far = 8.0 + 8.0 * f64::from(ring) + half.1;
            for turn in 0..24 {
                let (sin, cos) = (f64::from(turn) * TAU / 24.0 + 0.2).sin_cos();
                let middle = (to.0 + cos * (far + half.0 * cos.abs()), to.1 + sin * far);
                let quad = Quad { middle, along: (1.0, 0.0), half };
                if !self.is_free(&quad) {
                    continue;
                }
                // From the middle of the edge that looks at the piece.
                let from = if (to.1 - middle.1).abs() > half.1 + 2.0 {
                    (
                        middle.0.clamp(to.0.min(middle.0), to.0.max(middle.0)),
                        middle.1 + half.1 * (to.1 - middle.1).signum(),
                    )
                } else {
                    (middle.0 + half.0 * (to.0 - middle.0).signum(), middle.1)
                };
                // Clear of other names: a hair short of its own.
                let start = (from.0 + (to.0 - from.0) * 0.04, from.1 + (to.1 - from.1) * 0.04);
                if self.room.is_free(&Quad::line(start, to, 0.8), INKED) {
                    return Some((quad, (from, to)));
                }
            }
        }
        None
    }

    /// A junction's name and the signs of its ties, if there is room; the table has all of them.
    fn junction(&mut self, name: &str, at: geom::Point, ties: &BTreeSet<TieKind>, size: f64) {
        let at = self.scale.at(at);
        let width = self.fonts.width(Weight::Bold, size, name) + ties.len() as f64 * size * 1.1;
        let half = (width / 2.0 + 1.0, size * 0.6);
        for far in [8.0, 13.0, 19.0, 26.0] {
            for turn in 0..8 {
                let (sin, cos) = (f64::from(turn) * TAU / 8.0 + TAU / 16.0).sin_cos();
                let middle = (
                    at.0 + cos * far + half.0 * cos.signum(),
                    at.1 + sin * far + half.1 * sin.signum(),
                );
                let quad = Quad { middle, along: (1.0, 0.0), half };
                if self.is_free(&quad) {
                    return self.take(Kind::Junction(ties.clone()), name, size, quad, None);
                }
            }
        }
    }
}
