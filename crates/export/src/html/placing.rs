//! What is written beside the plates of a drawing: marks, names of runs and walls, signs of ties, pins
//! of findings. Each is given the first free place among a few that suit it; names of runs and walls
//! are left away where none is free, the tables have them.

use super::drawing::{Drawing, label, page, placed};
use super::ink::{Path, number, text, whole};
use super::labels::Spot;
use super::sheet::Pin;
use super::signs::pin_shape;
use super::words::shown;
use geom::Length;
use plan_model::{Layer, PieceId, junction_name, run_name, wall_name};
use std::collections::BTreeMap;
use wall_model::floor::RunId;

/// A stretch of a run that a label belongs to.
#[derive(Clone, Copy)]
struct Stretch {
    run: RunId,
    from: Length,
    to: Length,
}

impl Drawing<'_> {
    /// The marks of a layer's pieces: those of upper plates outside, the others inside.
    pub(super) fn marks(&mut self, out: &mut String, layer: Layer) {
        const SHARES: [f64; 5] = [0.5, 0.34, 0.66, 0.2, 0.8];
        // Short pieces first: they have the fewest places to go.
        let mut order: Vec<PieceId> = self.sheet.pieces[layer as usize].clone();
        order.sort_by_key(|id| (self.view.doc.piece(*id).length, *id));
        for id in order {
            let p = self.view.doc.piece(id);
            let along = Stretch { run: p.run, from: p.from, to: p.to };
            let letters = p.mark.chars().count().clamp(1, 12);
            let spots = self.beside(along, &SHARES, layer == Layer::Upper);
            if let Some(spot) = self.labels.place(spots, letters) {
                label(out, spot, &short(&p.mark), Some(id.0 as usize + 1));
            }
        }
    }

    /// Names of runs, in round boxes.
    pub(super) fn run_names(&mut self, out: &mut String) {
        const SHARES: [f64; 10] = [0.42, 0.58, 0.34, 0.66, 0.27, 0.73, 0.2, 0.8, 0.12, 0.88];
        for r in &self.sheet.runs {
            let to = self.view.doc.floor.run(*r).length();
            let name = run_name(*r);
            let along = Stretch { run: *r, from: Length::ZERO, to };
            let spots = self.beside(along, &SHARES, false);
            let Some(spot) = self.labels.place_if_free(spots, name.len() + 1) else { continue };
            let (w, h) = ((name.len() as f64 * 0.62 + 0.7) * self.letter, self.letter * 1.25);
            out.push_str("<g");
            placed(out, spot);
            out.push_str("><rect");
            for (key, value) in
                [("x", -w / 2.0), ("y", -h / 2.0), ("width", w), ("height", h), ("rx", h / 2.0)]
            {
                out.push(' ');
                out.push_str(key);
                out.push_str("=\"");
                number(out, value);
                out.push('"');
            }
            out.push_str("/><text>");
            out.push_str(&name);
            out.push_str("</text></g>");
        }
    }

    /// Names of walls, shown with the walls.
    pub(super) fn wall_names(&mut self, out: &mut String) {
        const SHARES: [f64; 5] = [0.5, 0.4, 0.6, 0.3, 0.7];
        for w in &self.sheet.walls {
            let wall = &self.view.doc.floor.walls[*w];
            let frame = self.view.frame(wall.run);
            let (a, b) = (frame.locate(wall.start).0, frame.locate(wall.end).0);
            let along = Stretch { run: wall.run, from: a.min(b), to: a.max(b) };
            let name = wall_name(*w);
            let spots = self.beside(along, &SHARES, true);
            if let Some(spot) = self.labels.place_if_free(spots, name.len()) {
                label(out, spot, &name, None);
            }
        }
    }

    /// Places along a stretch of a run, beside its plate: outside first, or inside first.
    fn beside<'s>(
        &self,
        along: Stretch,
        shares: &'s [f64],
        outside_first: bool,
    ) -> impl Iterator<Item = Spot> + use<'s> {
        let Stretch { run, from, to } = along;
        let frame = self.view.frame(run);
        let (dx, dy) = (frame.dir().0, -frame.dir().1);
        let mut angle = dy.atan2(dx).to_degrees();
        if angle > 89.0 || angle <= -91.0 {
            angle -= 180.0_f64.copysign(angle);
        }
        let left = (dy, -dx); // to the left of the run, on the page
        let middle = self.on_run(run, from + (to - from).half(), Length::ZERO);
        let center = self.bounds.middle();
        let away = (middle.0 - center.0) * left.0 + (middle.1 - center.1) * left.1 >= 0.0;
        let first = if away == outside_first { 1.0 } else { -1.0 };
        let (half, letter) = (self.half(run), self.letter);
        let length = (to - from).to_inches();
        [0.95, 2.3].into_iter().flat_map(move |row| {
            [first, -first].into_iter().flat_map(move |side| {
                shares.iter().map(move |share| {
                    let (off, on) = ((half + row * letter) * side, (share - 0.5) * length);
                    let x = middle.0 + dx * on + left.0 * off;
                    Spot { x, y: middle.1 + dy * on + left.1 * off, angle }
                })
            })
        })
    }

    /// The signs of a junction's ties and its name, beside it: the lap or notch itself stays to be
    /// seen. A dot marks the node.
    pub(super) fn ties(&mut self, out: &mut String) {
        let size = self.letter * 0.62;
        let step = size * 2.9;
        let mut nodes = String::new();
        for (junction, kinds) in &self.sheet.ties {
            let j = self.view.doc.floor.junction(*junction);
            let (x, y) = page(j.at);
            let name = junction_name(*junction);
            let words = name.len() as f64 * self.letter * 0.55;
            let width = words + step * kinds.len() as f64;
            let plate = j.arms.iter().map(|a| self.half(a.run)).fold(0.0, f64::max);
            let spots = beside_node((x, y), plate + self.letter * 0.5, width / 2.0, size * 1.2);
            let letters = (width / (self.letter * 0.62)).ceil() as usize;
            let Some(s) = self.labels.place(spots, letters) else { continue };
            // A stroke of no length with round ends is a dot.
            Path::on(&mut nodes).from((x, y)).to((x, y));
            let left = s.x - width / 2.0;
            for (i, kind) in kinds.iter().enumerate() {
                out.push_str("<use href=\"#tie-");
                out.push_str(kind.name());
                out.push_str("\" transform=\"translate(");
                number(out, left + step * (i as f64 + 0.5));
                out.push(' ');
                number(out, s.y);
                out.push_str(")scale(");
                number(out, size);
                out.push_str(")\"/>");
            }
            label(out, Spot { x: s.x + width / 2.0 - words / 2.0, ..s }, &name, None);
        }
        for part in ["<path class=\"nodes\" d=\"", &nodes, "\"/>"] {
            out.push_str(part);
        }
    }

    /// Numbered pins for the findings that have a place, each a link to its finding. Findings within a
    /// pin's breadth of each other share one: `3+` is finding 3 and more.
    pub(super) fn pins(&mut self, out: &mut String) {
        let cell = self.letter * 2.6;
        let mut shared: BTreeMap<(i64, i64), Vec<&Pin>> = BTreeMap::new();
        for pin in &self.sheet.pins {
            let (x, y) = page(pin.at);
            let key = ((x / cell).floor() as i64, (y / cell).floor() as i64);
            shared.entry(key).or_default().push(pin);
        }
        let mut pins: Vec<Vec<&Pin>> = shared.into_values().collect();
        for group in &mut pins {
            group.sort_by_key(|p| (p.severity, p.number));
        }
        pins.sort_by_key(|g| g.first().map(|p| (p.severity, p.number)));
        // The gravest have the first choice of places, and are drawn last, above the others.
        let mut drawn: Vec<String> = Vec::with_capacity(pins.len());
        for group in &pins {
            let Some(first) = group.first() else { continue };
            let (x, y) = page(first.at);
            let (near, far) = (self.letter * 3.2, self.letter * 5.2);
            let spots = around((x, y), near).into_iter().chain(around((x, y), far));
            let Some(s) = self.labels.place(spots, 4) else { continue };
            let reach = self.letter;
            self.labels.take_line((s.x - reach, s.y), (s.x + reach, s.y), reach * 1.5);
            let r = self.letter * 0.95;
            let mut pin = String::from("<a tabindex=\"-1\" href=\"#f");
            whole(&mut pin, first.number);
            pin.push_str("\" class=\"pin ");
            pin.push_str(first.severity.name());
            pin.push_str("\" aria-label=\"");
            pin.push_str(first.severity.name());
            pin.push(' ');
            whole(&mut pin, first.number);
            pin.push_str("\" data-f=\"");
            for (i, p) in group.iter().enumerate() {
                if i > 0 {
                    pin.push(' ');
                }
                whole(&mut pin, p.number);
            }
            pin.push_str("\"><path class=\"lead\" d=\"");
            Path::on(&mut pin).from((x, y)).to((s.x, s.y));
            pin.push_str("\"/><path class=\"spot\" d=\"");
            Path::on(&mut pin).from((x, y)).to((x, y));
            pin.push_str("\"/><path class=\"head\" d=\"");
            pin_shape(&mut pin, first.severity, (s.x, s.y), r);
            pin.push_str("\"/><text");
            placed(&mut pin, s);
            let more = if group.len() > 1 { "+" } else { "" };
            let words = format!("{}{more}", first.number);
            if words.len() > 2 {
                pin.push_str(" class=\"long\"");
            }
            pin.push('>');
            text(&mut pin, &words);
            pin.push_str("</text></a>");
            drawn.push(pin);
        }
        drawn.iter().rev().for_each(|pin| out.push_str(pin));
    }
}

/// Eight places around a point, the diagonal ones first: walls seldom run there.
fn around(at: (f64, f64), distance: f64) -> [Spot; 8] {
    const DIRECTIONS: [(f64, f64); 8] = [
        (0.75, -0.75),
        (-0.75, -0.75),
        (0.75, 0.75),
        (-0.75, 0.75),
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, -1.0),
        (0.0, 1.0),
    ];
    DIRECTIONS.map(|(dx, dy)| Spot { x: at.0 + dx * distance, y: at.1 + dy * distance, angle: 0.0 })
}

/// Eight places beside a node for a label of that half width and half height, clear of the plates
/// that meet there by `clear`.
fn beside_node(at: (f64, f64), clear: f64, half_width: f64, half_height: f64) -> [Spot; 8] {
    let (dx, dy) = (clear + half_width, clear + half_height);
    [(dx, -dy), (-dx, -dy), (dx, dy), (-dx, dy), (0.0, -dy), (0.0, dy), (dx, 0.0), (-dx, 0.0)]
        .map(|(dx, dy)| Spot { x: at.0 + dx, y: at.1 + dy, angle: 0.0 })
}

/// A mark as long as the drawing has room for; the table has it in full.
fn short(mark: &str) -> String {
    let clean = shown(mark);
    if clean.chars().count() <= 12 {
        return clean.into_owned();
    }
    clean.chars().take(11).chain(['\u{2026}']).collect()
}
