//! The plan of a storey: every layer a group of its own, in plan inches with y turned down the page.
//!
//! The screen shows all groups in one drawing whose layers are switched on and off; a printed sheet
//! uses those of one layer by their ids. Line weights and hatches are those of
//! `docs/visual-language.md`; the stylesheet gives them by class.

use super::ink::{self, Path, number, whole};
use super::labels::{Labels, Spot};
use super::sheet::Sheet;
use super::words::shown;
use crate::text::people;
use crate::view::View;
use geom::{Length, Point};
use plan_model::{JointKind, Layer, PieceId};
use wall_model::OpeningKind;
use wall_model::floor::RunId;

/// Everything the parts of one drawing share.
pub(crate) struct Drawing<'a> {
    pub(super) view: &'a View<'a>,
    pub(super) sheet: &'a Sheet,
    /// Height of the letters, inches.
    pub(super) letter: f64,
    pub(super) bounds: Bounds,
    pub(super) labels: Labels,
}

/// Left, top, right, bottom on the page, inches.
#[derive(Clone, Copy)]
pub(crate) struct Bounds {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

/// Plan to page.
pub(super) fn page(p: Point) -> (f64, f64) {
    (p.x.to_inches(), -p.y.to_inches())
}

impl Bounds {
    /// Around the runs and pieces of a storey; `None` where there is nothing to draw.
    pub fn of(view: &View, sheet: &Sheet) -> Option<Bounds> {
        let mut b: Option<Bounds> = None;
        let mut grow = |p: Point| {
            let (x, y) = page(p);
            let o = b.unwrap_or(Bounds { left: x, top: y, right: x, bottom: y });
            b = Some(Bounds {
                left: o.left.min(x),
                top: o.top.min(y),
                right: o.right.max(x),
                bottom: o.bottom.max(y),
            });
        };
        for r in &sheet.runs {
            let run = view.doc.floor.run(*r);
            grow(run.start);
            grow(run.end);
        }
        for id in sheet.pieces.iter().flatten() {
            view.doc.piece(*id).outline.iter().for_each(|p| grow(*p));
        }
        b
    }

    /// Height of a letter. At 750 px across, a 72nd of the sheet is a letter of 8.5 px. Between 3.4 and
    /// 8 in it neither dwarfs a shed nor fills the rooms of a hall.
    pub fn letter(&self) -> f64 {
        (self.width().max(self.height() * 0.8) / 72.0).clamp(3.4, 8.0)
    }

    /// The part of the page a drawing shows, with room for labels and dimensions.
    pub fn view_box(&self) -> String {
        let margin = self.letter() * 7.0;
        let mut text = String::new();
        for (i, v) in [
            self.left - margin,
            self.top - margin,
            self.width() + 2.0 * margin,
            self.height() + 2.0 * margin,
        ]
        .into_iter()
        .enumerate()
        {
            if i > 0 {
                text.push(' ');
            }
            number(&mut text, v);
        }
        text
    }

    /// Whether it is printed on a lying page.
    pub fn lies(&self) -> bool {
        self.width() > 1.15 * self.height()
    }

    fn width(&self) -> f64 {
        self.right - self.left
    }
    fn height(&self) -> f64 {
        self.bottom - self.top
    }
    pub(super) fn middle(&self) -> (f64, f64) {
        ((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0)
    }
}

/// The id of a group: `s1-upper-plates`.
pub(crate) fn group_id(storey: usize, name: &str) -> String {
    format!("s{}-{name}", storey + 1)
}

/// The groups of one storey's drawing, from the ground up.
pub(crate) fn groups(out: &mut String, view: &View, sheet: &Sheet, bounds: Bounds) {
    let letter = bounds.letter();
    let mut d = Drawing { view, sheet, letter, bounds, labels: Labels::new(letter) };
    d.take_plates();
    // Labels are placed in the order of their weight, and drawn above everything else.
    let mut above = String::new();
    d.group(&mut above, "pins", "pins", Drawing::pins);
    let mut beside = String::new();
    for (layer, name) in [(Layer::Upper, "upper-marks"), (Layer::Lower, "lower-marks")] {
        d.group(&mut beside, name, &format!("{} marks", layer.name()), |d, out| {
            d.marks(out, layer)
        });
    }
    d.group(&mut beside, "ties", "ties", Drawing::ties);
    d.group(&mut beside, "runs", "runs", Drawing::run_names);
    d.group(&mut beside, "bottom-marks", "bottom marks", |d, out| d.marks(out, Layer::Bottom));
    d.group(&mut beside, "wall-names", "walls", Drawing::wall_names);

    d.group(out, "walls", "walls", Drawing::wall_bodies);
    for layer in Layer::ALL {
        let name = layer.name();
        d.group(out, &format!("{name}-plates"), &format!("{name} plates"), |d, out| {
            d.plates(out, layer)
        });
    }
    d.group(out, "openings", "openings", Drawing::openings);
    for layer in Layer::ALL {
        let name = layer.name();
        d.group(out, &format!("{name}-cuts"), &format!("{name} cuts"), |d, out| {
            d.joints(out, layer);
            d.bites(out, layer);
        });
    }
    // Filled by the script when they are first asked for.
    d.group(out, "studs", "studs", |_, _| {});
    d.group(out, "nails", "nails", |_, _| {});
    d.group(out, "drawn", "drawn", super::underlay::lines);
    d.group(out, "dims", "dims", Drawing::dimensions);
    out.push_str(&beside);
    out.push_str(&above);
}

impl Drawing<'_> {
    fn group(
        &mut self,
        out: &mut String,
        name: &str,
        class: &str,
        fill: impl FnOnce(&mut Self, &mut String),
    ) {
        out.push_str("<g id=\"");
        out.push_str(&group_id(self.sheet.storey, name));
        out.push_str("\" class=\"");
        out.push_str(class);
        out.push_str("\">");
        fill(self, out);
        out.push_str("</g>");
    }

    /// A point of a run on the page.
    pub(super) fn on_run(&self, run: RunId, station: Length, offset: Length) -> (f64, f64) {
        page(self.view.frame(run).at(station, offset))
    }

    /// Half a run's plate, inches.
    pub(super) fn half(&self, run: RunId) -> f64 {
        self.view.doc.floor.run(run).section.width().half().to_inches()
    }

    fn take_plates(&mut self) {
        for r in &self.sheet.runs {
            let run = self.view.doc.floor.run(*r);
            let half = self.half(*r);
            self.labels.take_line(page(run.start), page(run.end), half);
        }
    }

    /// The plates of a layer; a run that has none shows its footprint, dotted.
    fn plates(&self, out: &mut String, layer: Layer) {
        let planned = &self.sheet.planned[layer as usize];
        for r in self.sheet.runs.iter().filter(|r| !planned.contains(r)) {
            let run = self.view.doc.floor.run(*r);
            let (half, end) = (run.section.width().half(), run.length());
            let corners = [(Length::ZERO, -half), (end, -half), (end, half), (Length::ZERO, half)];
            out.push_str("<path class=\"bare\" d=\"");
            Path::on(out).ring(corners.into_iter().map(|(s, o)| self.on_run(*r, s, o)));
            out.push_str("\"/>");
        }
        for id in &self.sheet.pieces[layer as usize] {
            let p = self.view.doc.piece(*id);
            out.push_str("<path data-p=\"");
            whole(out, id.0 as usize + 1);
            out.push_str("\" d=\"");
            Path::on(out).ring(p.outline.iter().map(|q| page(*q)));
            out.push('"');
            if layer == Layer::Upper {
                out.push_str(" fill=\"url(#hatch-");
                whole(out, self.sheet.storey + 1);
                out.push_str(")\"");
            }
            out.push_str("/>");
        }
    }

    /// The cuts of every notch, drawn heavy.
    fn bites(&self, out: &mut String, layer: Layer) {
        let of = |id: &PieceId| {
            let p = self.view.doc.piece(*id);
            self.view.shapes[id.0 as usize].bites.iter().map(move |b| (p.run, p.from, b))
        };
        out.push_str("<path class=\"bite\" d=\"");
        for (run, from, bite) in self.sheet.pieces[layer as usize].iter().flat_map(of) {
            Path::on(out).line(bite.iter().map(|(s, o)| self.on_run(run, from + *s, *o)));
        }
        out.push_str("\"/>");
    }

    /// Joints of a layer, as ticks across the plate and a little over it.
    fn joints(&self, out: &mut String, layer: Layer) {
        let over = Length::from_inches(self.letter * 0.45).unwrap_or_default();
        out.push_str("<path class=\"joint\" d=\"");
        for i in &self.sheet.joints {
            let j = &self.view.doc.plan.joints[*i];
            if j.layer == layer && j.kind == JointKind::Break {
                let reach = self.view.doc.floor.run(j.run).section.width().half() + over;
                let (a, b) = (self.on_run(j.run, j.at, -reach), self.on_run(j.run, j.at, reach));
                Path::on(out).from(a).to(b);
            }
        }
        out.push_str("\"/>");
    }

    /// Doors, windows and plain openings, drawn on the plate: jambs across, and along it a dashed, a
    /// double or a dotted line.
    fn openings(&mut self, out: &mut String) {
        let mut jambs = String::new();
        let mut along = [String::new(), String::new(), String::new()];
        for w in &self.sheet.walls {
            let wall = &self.view.doc.floor.walls[*w];
            let frame = self.view.frame(wall.run);
            let base = frame.locate(wall.start).0;
            let forward = frame.locate(wall.end).0 >= base;
            let half = self.view.doc.floor.run(wall.run).section.width().half();
            let gap = half.scale(0.22);
            for o in &wall.openings {
                let station = |s: Length| if forward { base + s } else { base - s };
                let (a, b) = (station(o.from), station(o.to));
                for s in [a, b] {
                    let jamb = [-half, half].map(|o| self.on_run(wall.run, s, o));
                    Path::on(&mut jambs).from(jamb[0]).to(jamb[1]);
                }
                let lines: &[Length] = match o.kind {
                    OpeningKind::Window => &[-gap, gap],
                    OpeningKind::Door | OpeningKind::Opening => &[Length::ZERO],
                };
                for offset in lines {
                    let (p, q) =
                        (self.on_run(wall.run, a, *offset), self.on_run(wall.run, b, *offset));
                    Path::on(&mut along[o.kind as usize]).from(p).to(q);
                }
            }
        }
        let [doors, windows, passages] = along;
        for (class, d) in
            [("jambs", jambs), ("door", doors), ("window", windows), ("passage", passages)]
        {
            if !d.is_empty() {
                for part in ["<path class=\"", class, "\" d=\"", &d, "\"/>"] {
                    out.push_str(part);
                }
            }
        }
    }

    /// Overall width and depth, outer face to outer face, and a scale bar.
    fn dimensions(&mut self, out: &mut String) {
        let b = self.bounds;
        let (off, tick) = (self.letter * 4.4, self.letter * 0.5);
        let (y, x) = (b.bottom + off, b.left - off);
        out.push_str("<path class=\"line\" d=\"");
        Path::on(out).from((b.left, y)).to((b.right, y));
        Path::on(out).from((x, b.top)).to((x, b.bottom));
        out.push_str("\"/><path class=\"slash\" d=\"");
        for (x, y) in [(b.left, y), (b.right, y), (x, b.top), (x, b.bottom)] {
            Path::on(out).from((x - tick, y + tick)).to((x + tick, y - tick));
        }
        out.push_str("\"/>");
        let length = |inches: f64| {
            people(Length::from_inches(inches).unwrap_or_default(), self.sheet.metric)
        };
        let middle = b.middle();
        let across = Spot { x: middle.0, y: y - self.letter * 0.9, angle: 0.0 };
        let up = Spot { x: x - self.letter * 0.9, y: middle.1, angle: -90.0 };
        label(out, across, &length(b.right - b.left), None);
        label(out, up, &length(b.bottom - b.top), None);
        self.scale_bar(out);
    }

    /// Four and eight feet, or one and two metres.
    fn scale_bar(&self, out: &mut String) {
        let b = self.bounds;
        let unit = if self.sheet.metric { 1000.0 / 25.4 } else { 48.0 };
        let names = if self.sheet.metric { ["0", "1 m", "2 m"] } else { ["0", "4'", "8'"] };
        let (x, y, h) = (b.left, b.top - self.letter * 5.2, self.letter * 0.45);
        for (i, class) in ["full", "line"].into_iter().enumerate() {
            let x = x + unit * i as f64;
            for part in ["<path class=\"", class, "\" d=\""] {
                out.push_str(part);
            }
            Path::on(out).ring([(x, y), (x + unit, y), (x + unit, y + h), (x, y + h)].into_iter());
            out.push_str("\"/>");
        }
        for (i, name) in names.iter().enumerate() {
            let spot = Spot { x: x + unit * i as f64, y: y - self.letter * 0.6, angle: 0.0 };
            label(out, spot, name, None);
        }
    }
}

/// A label at its place; `piece` is a piece's number, for those that belong to one.
pub(super) fn label(out: &mut String, spot: Spot, words: &str, piece: Option<usize>) {
    out.push_str("<text");
    if let Some(piece) = piece {
        out.push_str(" data-p=\"");
        whole(out, piece);
        out.push('"');
    }
    placed(out, spot);
    out.push('>');
    ink::text(out, words);
    out.push_str("</text>");
}

/// The attributes that put a thing at its spot.
pub(super) fn placed(out: &mut String, spot: Spot) {
    out.push_str(" transform=\"translate(");
    number(out, spot.x);
    out.push(' ');
    number(out, spot.y);
    out.push(')');
    if spot.angle.abs() > 0.01 {
        out.push_str("rotate(");
        number(out, spot.angle);
        out.push(')');
    }
    out.push('"');
}

/// What a drawing is called by a screen reader.
pub(crate) fn spoken(view: &View, sheet: &Sheet, what: &str) -> String {
    let name = plan_model::storey_name(sheet.storey, &view.doc.floor.storeys[sheet.storey]);
    format!("Plan of {what}, {}", shown(&name))
}
