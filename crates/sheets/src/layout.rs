//! What is marked on the bottom and lower plates of a wall: a strip to scale, and the figures in words.
//!
//! All of it is in the plan: the marks of the lower plates and the openings of the walls. Everything is
//! measured from where the tape is hooked: the start of the plates, the strip's left end.

use crate::book::Book;
use crate::font::Weight;
use crate::page::{At, INK, PAPER, TINT, pen};
use crate::words::{length, unbroken};
use export::measure::hook;
use export::text::inches_short;
use export::view::View;
use geom::Length;
use plan_model::{Layer, MarkKind, PieceId, run_name};
use std::collections::BTreeSet;
use wall_model::floor::RunId;

const BAR: f64 = 11.0;
const ABOVE: f64 = 11.0;
const LETTER: f64 = 8.5;
const LINE: f64 = 10.8;
/// A shorter wall's strip is to the scale of one this long.
const SHORTEST: f64 = 144.0;

struct Opening {
    what: &'static str,
    from: Length,
    to: Length,
}

/// The layout of a run, stations from its hook.
pub(crate) struct Layout {
    total: Length,
    half: Length,
    /// Centres of regular studs, and of all others.
    regular: Vec<Length>,
    others: Vec<Length>,
    openings: Vec<Opening>,
    /// Middle, half width where it meets square, name.
    tees: Vec<(Length, Option<Length>, String)>,
    joints: Vec<Length>,
    lines: Vec<String>,
    metric: bool,
    /// How tall all of it is.
    pub height: f64,
}

impl Layout {
    /// Of a run with these pieces and these joints of its lower plates (stations on the run); `None`
    /// where nothing is marked.
    pub fn of(
        book: &Book,
        view: &View,
        run: RunId,
        ids: &[PieceId],
        joints: &[Length],
    ) -> Option<Layout> {
        let (zero, end) = view.faces[run.0 as usize];
        let r = view.doc.floor.run(run);
        let metric = r.section.is_metric();
        let marked = |layer: Layer, kind: Option<MarkKind>| {
            let mut found: Vec<(Length, MarkKind)> = Vec::new();
            for p in ids.iter().map(|id| view.doc.piece(*id)).filter(|p| p.layer == layer) {
                let level = |s: Length| p.rake.map_or(s, |rake| rake.slope.level(s));
                let of = p.marks.iter().filter(|m| kind.is_none_or(|k| m.kind == k));
                found.extend(of.map(|m| ((p.from + level(m.at) - zero).denoise(), m.kind)));
            }
            found.sort_unstable();
            // A stud under a joint is marked on both pieces.
            found.dedup();
            found
        };
        let marks = marked(Layer::Lower, None);
        if marks.is_empty() {
            return None;
        }
        let spacing = view.doc.settings.studs.spacing;
        let half = r.section.thickness().half();
        let is_regular = |at: Length| {
            spacing > Length::ZERO && (at - at.round_to(spacing)).abs() <= Length::sixty_fourths(1)
        };
        let of = |wanted: &[MarkKind]| -> Vec<Length> {
            marks.iter().filter(|(_, k)| wanted.contains(k)).map(|(at, _)| *at).collect()
        };
        let (regular, mut others): (Vec<_>, Vec<_>) =
            of(&[MarkKind::Stud]).into_iter().partition(|at| is_regular(*at));
        others.extend(of(&[MarkKind::Corner, MarkKind::King, MarkKind::Trimmer]));
        others.sort_unstable();
        others.dedup();
        let mut layout = Layout {
            total: end - zero,
            half,
            regular,
            others,
            openings: openings(view, run, zero),
            tees: Vec::new(),
            joints: Vec::new(),
            lines: Vec::new(),
            metric,
            height: 0.0,
        };
        layout.tees = of(&[MarkKind::Tee]).into_iter().map(|at| tee(view, run, zero, at)).collect();
        layout.joints = joints.iter().map(|at| *at - zero).collect();
        let anchors: Vec<Length> =
            marked(Layer::Bottom, Some(MarkKind::Anchor)).into_iter().map(|(at, _)| at).collect();
        let told = layout.words(&hook(view, run), spacing, &of(&[MarkKind::King]), &anchors);
        let [left, _, right, _] = book.frame(false);
        let wrap = |l: &String| {
            book.fonts.wrapped(Weight::Book, LETTER * book.k, &unbroken(l), right - left)
        };
        layout.lines = told.iter().flat_map(wrap).collect();
        layout.height = (ABOVE + BAR + 5.0 + LINE * layout.lines.len() as f64 + 3.0) * book.k;
        Some(layout)
    }

    fn words(
        &self,
        hook: &str,
        spacing: Length,
        kings: &[Length],
        anchors: &[Length],
    ) -> Vec<String> {
        let told = |at: Length| length(at, self.metric);
        let list = |all: &[Length]| all.iter().map(|at| told(*at)).collect::<Vec<_>>().join(", ");
        let near = |all: &[Length], at: Length| {
            all.iter().any(|s| (*s - at).abs() <= Length::sixty_fourths(1))
        };
        let mut left_over = self.others.clone();
        let mut take = |at: Length| {
            let before = left_over.len();
            left_over.retain(|s| (*s - at).abs() > Length::sixty_fourths(1));
            left_over.len() < before
        };
        let ends = [take(self.half), take(self.total - self.half)];
        let mut lines = Vec::new();
        let mut first = format!("Mark both plates. Hook the tape on the left end (0): {hook}.");
        if self.regular.is_empty() {
            first.push_str(" No stud is on the regular spacing.");
        } else {
            first.push_str(&format!(
                " Studs {} on centre from there: first stud's near edge at {}, X on the far side of the line.",
                spacing_text(spacing, self.metric),
                told(spacing - self.half)
            ));
        }
        first.push_str(match ends {
            [true, true] => " A stud flush with each end.",
            [true, false] => " A stud flush with the left end.",
            [false, true] => " A stud flush with the right end.",
            [false, false] => "",
        });
        lines.push(first);
        for (i, o) in self.openings.iter().enumerate() {
            let mut sides = Vec::new();
            for (side, edge, out) in [("left", o.from, -1), ("right", o.to, 1)] {
                let at = |n: i64| edge + self.half * (n * out);
                sides.push(match (take(at(1)), near(kings, at(3))) {
                    (true, true) => {
                        take(at(3));
                        format!("trimmer and king to {} on the {side}", told(at(4)))
                    }
                    (true, false) => format!("trimmer to {} on the {side}, no king", told(at(2))),
                    (false, _) => format!("no stud beside it on the {side}"),
                });
            }
            let (from, to, n) = (told(o.from), told(o.to), i + 1);
            lines.push(format!("{n}: {} {from} to {to}; {}.", o.what, sides.join(", ")));
        }
        let mut together: Vec<String> = Vec::new();
        if !self.tees.is_empty() {
            let all: Vec<String> = self
                .tees
                .iter()
                .map(|(at, half, name)| match half {
                    Some(half) => format!("{name} {} to {}", told(*at - *half), told(*at + *half)),
                    None => format!(
                        "{name}, oblique, its middle on the plate's centreline at {}",
                        told(*at)
                    ),
                })
                .collect();
            together.push(format!("Walls that meet it (backers): {}.", all.join("; ")));
        }
        if !left_over.is_empty() {
            together.push(format!("Other studs, by their middle: {}.", list(&left_over)));
        }
        if !self.joints.is_empty() {
            together.push(format!("Joints of these plates: {}.", list(&self.joints)));
        }
        if !anchors.is_empty() {
            let at = list(anchors);
            together
                .push(format!("Anchor bolts, if the foundation's drawing says no other: {at}."));
        }
        if !together.is_empty() {
            lines.push(together.join(" "));
        }
        lines
    }

    /// How many studs stand, and what is told.
    #[cfg(test)]
    pub fn told(&self) -> (usize, String) {
        let text = self.lines.join(" ").replace('\u{a0}', " ");
        (self.regular.len() + self.others.len(), text)
    }

    /// Draws it.
    pub fn draw(&self, book: &mut Book) {
        let k = book.k;
        let [left, _, right, _] = book.frame(false);
        let scale = (right - left) / self.total.to_inches().max(SHORTEST);
        let x = |at: Length| left + at.to_inches() * scale;
        let (top, high) = (book.y + ABOVE * k, BAR * k);
        let bottom = top + high;
        let end = x(self.total);
        book.page().rect((left, top), (end - left, high), TINT, pen(1.2));
        for (i, o) in self.openings.iter().enumerate() {
            let (a, b) = (x(o.from), x(o.to));
            book.page().rect((a, top), (b - a, high), PAPER, pen(1.0));
            let name = (i + 1).to_string();
            let wide = book.fonts.width(Weight::Bold, 8.0 * k, &name);
            if wide + 2.0 <= b - a {
                book.put(((a + b - wide) / 2.0, bottom - 2.6 * k), 8.0, Weight::Bold, &name);
            }
        }
        for at in &self.regular {
            book.page().line((x(*at), top), (x(*at), bottom), pen(0.9));
        }
        for at in &self.others {
            let wide = (self.half.to_inches() * 2.0 * scale).max(1.4);
            book.page().rect((x(*at) - wide / 2.0, top), (wide, high), INK, None);
        }
        for (at, half, _) in &self.tees {
            let half = half.unwrap_or(self.half).to_inches() * scale;
            let (a, b) = (x(*at) - half, x(*at) + half);
            let page = book.page();
            page.rect((a, top - 2.5 * k), (b - a, high + 5.0 * k), None, pen(1.2));
        }
        for at in &self.joints {
            book.page().line((x(*at), top - 3.0 * k), (x(*at), bottom + 3.0 * k), pen(3.0));
        }
        self.names(book, top - 3.5 * k, (left, end), &x);
        let mut base = bottom + 3.0 * k;
        for line in &self.lines {
            base += LINE * k;
            book.put((left, base), LETTER, Weight::Book, line);
        }
        book.y += self.height;
        let y = book.y;
        book.page().line((left, y), (right, y), pen(0.9));
    }

    /// `0`, the names of walls that meet, and the whole length, where none covers another.
    fn names(&self, book: &mut Book, base: f64, (left, end): At, x: &dyn Fn(Length) -> f64) {
        let size = 7.5;
        let k = book.k;
        let wide = |book: &Book, text: &str| book.fonts.width(Weight::Bold, size * k, text);
        let total = length(self.total, self.metric);
        let stop = end - wide(book, &total);
        book.put((left, base), size, Weight::Bold, "0");
        let mut free = left + wide(book, "0") + 4.0 * k;
        for (at, _, name) in &self.tees {
            let w = wide(book, name);
            let from = x(*at) - w / 2.0;
            if from >= free && from + w + 4.0 * k <= stop {
                book.put((from, base), size, Weight::Bold, name);
                free = from + w + 4.0 * k;
            }
        }
        if stop >= free {
            book.put((stop, base), size, Weight::Bold, &total);
        }
    }
}

/// A spacing as the trade says it: `16"`, `19.2"`, `400 mm`.
fn spacing_text(spacing: Length, metric: bool) -> String {
    if metric { length(spacing, metric) } else { format!("{}\"", inches_short(spacing)) }
}

/// The openings of a run's walls, as the walls have them.
fn openings(view: &View, run: RunId, zero: Length) -> Vec<Opening> {
    let mut all: Vec<Opening> = Vec::new();
    for (at, wall) in view.doc.floor.walls_of(run) {
        let on = |s: Length| (at + s - zero).denoise();
        let of = |o: &wall_model::Opening| Opening {
            what: o.kind.name(),
            from: on(o.from),
            to: on(o.to),
        };
        all.extend(wall.openings.iter().map(of));
    }
    all.sort_by_key(|o| (o.from, o.to));
    all
}

fn tee(view: &View, run: RunId, zero: Length, at: Length) -> (Length, Option<Length>, String) {
    let floor = &view.doc.floor;
    let through = floor.run(run).through.iter();
    let nearest = through.min_by_key(|(s, _)| (*s - zero - at).abs());
    let arms = nearest.map_or(&[][..], |(_, j)| floor.junction(*j).arms.as_slice());
    let runs: BTreeSet<RunId> = arms.iter().map(|a| a.run).filter(|r| *r != run).collect();
    let square = |r: &RunId| view.frame(run).angle_to(view.frame(*r)).cos().abs() < 0.002;
    let widths = runs.iter().filter(|r| square(r)).map(|r| floor.run(*r).section.width().half());
    let half = if runs.iter().all(square) { widths.max() } else { None };
    let names: Vec<String> = runs.into_iter().map(run_name).collect();
    (at, half, names.join(" "))
}
