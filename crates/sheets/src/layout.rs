//! What is marked on the bottom and lower plates of a wall: a strip to scale, and the figures in words.
//!
//! All of it is in the plan: the marks of the lower plates and the openings of the walls. Everything is
//! measured from where the tape is hooked: the start of the plates, the strip's left end.

use crate::across::{Across, across};
use crate::book::Book;
use crate::font::Weight;
use crate::holes::{Hole, holes};
use crate::page::{At, INK, PAPER, TINT, pen};
use crate::words::{length, unbroken};
use export::measure::hook;
use export::text::{inches_short, pitch_text};
use export::view::View;
use geom::{Length, Slope};
use plan_model::{Layer, MarkKind, PieceId, run_name};
use std::collections::BTreeSet;
use wall_model::floor::RunId;

const BAR: f64 = 11.0;
const ABOVE: f64 = 11.0;
const LETTER: f64 = 8.5;
const LINE: f64 = 10.8;
/// A shorter wall's strip is to the scale of one this long.
const SHORTEST: f64 = 144.0;

/// The layout of a run, stations from its hook.
pub(crate) struct Layout {
    total: Length,
    half: Length,
    /// Where the first regular stud stands, or would where an opening is.
    first: Length,
    /// Centres of regular studs, and of all others.
    regular: Vec<Length>,
    others: Vec<Length>,
    openings: Vec<Hole>,
    /// Walls that break this one.
    across: Vec<Across>,
    /// Middle, half width where it meets square, name.
    tees: Vec<(Length, Option<Length>, String)>,
    joints: Vec<Length>,
    lines: Vec<(Weight, String)>,
    metric: bool,
    /// Of a raked wall's top plates.
    slope: Option<Slope>,
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
        let of = |wanted: &[MarkKind]| -> Vec<Length> {
            marks.iter().filter(|(_, k)| wanted.contains(k)).map(|(at, _)| *at).collect()
        };
        let total = end - zero;
        let studs = of(&[MarkKind::Stud]);
        let first = first_regular(&studs, spacing, half, total);
        let is_regular = |at: &Length| first.is_some_and(|f| on_spacing(*at, f, spacing));
        let (regular, mut others): (Vec<_>, Vec<_>) = studs.into_iter().partition(is_regular);
        others.extend(of(&[MarkKind::Corner, MarkKind::King, MarkKind::Trimmer]));
        others.sort_unstable();
        others.dedup();
        let from_hook = |at: Length| (at - zero).denoise();
        let lower = ids.iter().map(|id| view.doc.piece(*id)).filter(|p| p.layer == Layer::Lower);
        let mut across = across(view, run, lower.collect());
        for a in &mut across {
            (a.stop, a.begin) = (from_hook(a.stop), from_hook(a.begin));
        }
        let mut layout = Layout {
            total,
            half,
            first: first.unwrap_or(spacing),
            regular,
            others,
            openings: holes(view, run, zero),
            across,
            tees: Vec::new(),
            joints: Vec::new(),
            lines: Vec::new(),
            metric,
            slope: r.slope(),
            height: 0.0,
        };
        layout.tees = of(&[MarkKind::Tee]).into_iter().map(|at| tee(view, run, zero, at)).collect();
        layout.joints = joints.iter().map(|at| *at - zero).collect();
        let anchors: Vec<Length> =
            marked(Layer::Bottom, Some(MarkKind::Anchor)).into_iter().map(|(at, _)| at).collect();
        let told = layout.told_all(&hook(view, run), spacing, &of(&[MarkKind::King]), &anchors);
        let [left, _, right, _] = book.frame(false);
        let wrap = |(weight, text): &(Weight, String)| {
            let lines = book.fonts.wrapped(*weight, LETTER * book.k, &unbroken(text), right - left);
            lines.into_iter().map(|line| (*weight, line)).collect::<Vec<_>>()
        };
        layout.lines = told.iter().flat_map(wrap).collect();
        layout.height = (ABOVE + BAR + 5.0 + LINE * layout.lines.len() as f64 + 3.0) * book.k;
        Some(layout)
    }

    /// What is told: of a raked wall once for the level bottom plate and once for what lies on the slope.
    fn told_all(
        &self,
        hook: &str,
        spacing: Length,
        kings: &[Length],
        anchors: &[Length],
    ) -> Vec<(Weight, String)> {
        let level = |at: Length| at;
        let book = |lines: Vec<String>| lines.into_iter().map(|l| (Weight::Book, l));
        let mut first = format!("Hook the tape on the left end (0): {hook}.");
        if self.regular.is_empty() {
            first.push_str(" No stud is on the regular spacing.");
        } else {
            let from = match spacing - self.first {
                d if d.abs() <= Length::sixty_fourths(1) => "from there".to_owned(),
                d if d > Length::ZERO => {
                    format!("as from {} beyond it", length(d, self.metric))
                }
                d => format!("as from {} on this side of it", length(-d, self.metric)),
            };
            first.push_str(&format!(
                " Studs {} on centre {from}: first stud's near edge at {}, X on the far side of the line.",
                spacing_text(spacing, self.metric),
                length(self.first - self.half, self.metric)
            ));
        }
        let Some(slope) = self.slope else {
            let first = format!("Mark both plates. {first}");
            return book(self.words(first, kings, anchors, &level)).collect();
        };
        let along = |at: Length| slope.along(at);
        let told = |at: Length| length(along(at), self.metric);
        let mut rising = format!(
            "Lengths as the tape reads them along the slope, hooked on the left end of the face that is marked; the whole face is {}.",
            told(self.total)
        );
        if !self.regular.is_empty() {
            let edges: Vec<String> = self.regular.iter().map(|at| told(*at - self.half)).collect();
            rising.push_str(&format!(
                " Near edges of the studs on the spacing, X on the far side of the line: {}. A stud takes {} along the slope.",
                edges.join(", "),
                told(self.half * 2)
            ));
        }
        let bold = |text: String| std::iter::once((Weight::Bold, text));
        let pitch = pitch_text(slope);
        bold("Bottom plate, level:".to_owned())
            .chain(book(self.words(first, kings, anchors, &level)))
            .chain(bold(format!("Lower top plate, along its slope ({pitch}), not level:")))
            .chain(book(self.words(rising, kings, &[], &along)))
            .collect()
    }

    /// In words; `measured` makes of a level distance from the hook what the tape reads.
    fn words(
        &self,
        mut first: String,
        kings: &[Length],
        anchors: &[Length],
        measured: &dyn Fn(Length) -> Length,
    ) -> Vec<String> {
        let told = |at: Length| length(measured(at), self.metric);
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
        // One on the regular spacing is told with those, and stands there all the same.
        let mut flush = |at: Length| take(at) || near(&self.regular, at);
        let ends = [flush(self.half), flush(self.total - self.half)];
        let mut lines = Vec::new();
        first.push_str(match ends {
            [true, true] => " A stud flush with each end.",
            [true, false] => " A stud flush with the left end.",
            [false, true] => " A stud flush with the right end.",
            [false, false] => "",
        });
        lines.push(first);
        if !self.across.is_empty() {
            let all: Vec<String> = self
                .across
                .iter()
                .map(|a| {
                    let studs = match [flush(a.stop - self.half), flush(a.begin + self.half)] {
                        [true, true] => "a stud flush with either face",
                        [true, false] => "a stud flush with its left face, none at its right one",
                        [false, true] => "a stud flush with its right face, none at its left one",
                        [false, false] => "no stud flush with its faces",
                    };
                    let oblique = if a.is_square { "" } else { " (oblique: the long points)" };
                    let (name, stop, begin) = (&a.name, told(a.stop), told(a.begin));
                    format!("{name}: stop at {stop}, begin again at {begin}{oblique}, {studs}")
                })
                .collect();
            lines.push(format!(
                "Walls that cross it, their plates pass through: {}. These plates stop at the near face and begin again at the far one: separate walls, no joint.",
                all.join("; ")
            ));
        }
        for (i, o) in self.openings.iter().enumerate() {
            let mut sides = Vec::new();
            for (n_side, (side, edge, out)) in
                [("left", o.from, -1), ("right", o.to, 1)].into_iter().enumerate()
            {
                if let Some(beyond) = o.beyond(n_side, told) {
                    sides.push(format!("on the {side} it goes on in {beyond}"));
                    continue;
                }
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
            let part = |(what, from, to): &(&str, Length, Length)| {
                format!("{what} {} to {}", told(*from), told(*to))
            };
            let parts: Vec<String> = o.parts.iter().map(part).collect();
            let parts =
                if parts.is_empty() { String::new() } else { format!(" ({})", parts.join(", ")) };
            lines.push(format!("{n}: {} {from} to {to}{parts}; {}.", o.what, sides.join(", ")));
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
        let text: Vec<&str> = self.lines.iter().map(|l| l.1.as_str()).collect();
        let text = text.join(" ").replace('\u{a0}', " ");
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
        for a in &self.across {
            let wide = (x(a.begin) - x(a.stop)).max(1.0);
            let page = book.page();
            page.rect((x(a.stop), top - 2.5 * k), (wide, high + 5.0 * k), PAPER, pen(1.2));
        }
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
        for (weight, line) in &self.lines {
            base += LINE * k;
            book.put((left, base), LETTER, *weight, line);
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
        let middle = |a: &Across| a.stop + (a.begin - a.stop).half();
        let met = self.tees.iter().map(|(at, _, name)| (*at, name));
        let mut named: Vec<(Length, &String)> =
            met.chain(self.across.iter().map(|a| (middle(a), &a.name))).collect();
        named.sort_unstable();
        for (at, name) in named {
            let w = wide(book, name);
            let from = x(at) - w / 2.0;
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

/// Whether a stud stands whole spacings from the first.
fn on_spacing(at: Length, first: Length, spacing: Length) -> bool {
    let off = at - first;
    (off - off.round_to(spacing)).abs() <= Length::sixty_fourths(1)
}

/// Where the regular studs begin: a layout may come from a corner beyond the plate's end. It is the one most studs
/// stand on, those flush with the ends apart; `None` where there are no others.
fn first_regular(studs: &[Length], spacing: Length, half: Length, total: Length) -> Option<Length> {
    if spacing <= Length::ZERO {
        return None;
    }
    let near = |a: Length, b: Length| (a - b).abs() <= Length::sixty_fourths(1);
    let inner = || studs.iter().copied().filter(|at| !near(*at, half) && !near(*at, total - half));
    let stand_with = |at: Length| inner().filter(|o| on_spacing(*o, at, spacing)).count();
    // Of two alike the one nearer to the start.
    let best = inner().rev().max_by_key(|at| stand_with(*at))?;
    let back = Length::from_nm((best - half * 3).nm().div_euclid(spacing.nm()) * spacing.nm());
    Some((best - back).denoise())
}

/// A spacing as the trade says it: `16"`, `19.2"`, `400 mm`.
fn spacing_text(spacing: Length, metric: bool) -> String {
    if metric { length(spacing, metric) } else { format!("{}\"", inches_short(spacing)) }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_layout_may_come_from_beyond_the_plate() {
        let at = |x: f64| Length::from_inches(x).unwrap();
        let (half, total, spacing) = (at(0.75), at(100.0), at(16.0));
        let first = |studs: &[f64]| {
            let studs: Vec<Length> = studs.iter().map(|s| at(*s)).collect();
            first_regular(&studs, spacing, half, total)
        };
        // From the end itself; from 5-1/2 in before it, a stud that stands alone among them.
        assert_eq!(first(&[0.75, 16.0, 32.0, 48.0, 99.25]), Some(at(16.0)));
        assert_eq!(first(&[0.75, 10.5, 26.5, 30.0, 42.5, 99.25]), Some(at(10.5)));
        // The first place is an opening's; the next of them would stand in the end stud.
        assert_eq!(first(&[0.75, 42.5, 58.5]), Some(at(10.5)));
        assert_eq!(first(&[0.75, 33.0, 49.0]), Some(at(17.0)));
        // Studs flush with the ends are no layout.
        assert_eq!(first(&[0.75, 99.25]), None);
    }
}
