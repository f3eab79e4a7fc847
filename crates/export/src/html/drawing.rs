//! The plan drawings: one a storey and layer, in plan inches with y turned down the page.
//!
//! Line weights and hatches are those of `docs/visual-language.md`; the stylesheet gives them by
//! class. Lines keep their weight at any scale, letters are sized to the sheet.

use super::labels::{Labels, Spot};
use super::sheet::{Pin, Sheet};
use super::words::{N, bdi, shown};
use crate::text::{length_text, people};
use crate::view::View;
use diag::Severity;
use geom::{Length, Point};
use maud::{Markup, html};
use plan_model::{JointKind, Layer, Piece, PieceId, TieKind, piece_name, run_name};
use plan_model::{junction_name, wall_name};
use wall_model::OpeningKind;
use wall_model::floor::RunId;

/// Everything the parts of one drawing share.
struct Drawing<'a> {
    view: &'a View<'a>,
    sheet: &'a Sheet,
    layer: Layer,
    /// Height of the letters, inches.
    letter: f64,
    /// Middle of the sheet; labels prefer the side away from it.
    middle: (f64, f64),
    labels: Labels,
}

/// Left, top, right, bottom on the page, inches.
#[derive(Clone, Copy)]
struct Bounds {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

fn page(p: Point) -> (f64, f64) {
    (p.x.to_inches(), -p.y.to_inches())
}

/// One drawing with its caption. `number` sets its hatch apart from other drawings on the page.
pub(crate) fn drawing(view: &View, sheet: &Sheet, layer: Layer, number: usize) -> Markup {
    let Some(bounds) = bounds(view, sheet) else {
        return html! { p { "Nothing is drawn: this storey has no walls." } };
    };
    let (width, height) = (bounds.right - bounds.left, bounds.bottom - bounds.top);
    // At 1180 px across, a 95th of the sheet is a letter of 12 px. Between 3.4 and 14 in it neither
    // dwarfs a shed nor fills the rooms of a hall.
    let letter = (width.max(height * 0.8) / 95.0).clamp(3.4, 14.0);
    let margin = letter * 7.5;
    let mut d = Drawing {
        view,
        sheet,
        layer,
        letter,
        middle: ((bounds.left + bounds.right) / 2.0, (bounds.top + bounds.bottom) / 2.0),
        labels: Labels::new(letter),
    };
    let view_box = format!(
        "{} {} {} {}",
        N(bounds.left - margin),
        N(bounds.top - margin),
        N(width + 2.0 * margin),
        N(height + 2.0 * margin)
    );
    // Never smaller on a screen than letters of 10 px; a narrow one scrolls.
    let least_px = ((width + 2.0 * margin) * 10.0 / letter).round();
    let hatch = format!("hatch-{number}");
    let pieces = &sheet.pieces[layer as usize];
    d.take_plates();
    let pins = d.pins();
    let ties = if layer == Layer::Upper {
        d.ties()
    } else {
        html! {}
    };
    let marks = d.marks(pieces);
    let runs = d.run_names();
    html! {
        div class="scroll" tabindex="0" {
            svg viewBox=(view_box) role="img" aria-label=(aria(view, sheet, layer))
                style={ "--least:" (least_px) "px" } font-size=(N(letter)) {
                defs { pattern id=(hatch) patternUnits="userSpaceOnUse" width=(N(letter * 0.55))
                    height=(N(letter * 0.55)) patternTransform="rotate(35)" {
                    rect class="tint" width="100%" height="100%" {}
                    path class="hatch" d={ "M0 0V" (N(letter)) } stroke-width=(N(letter * 0.11)) {}
                } }
                (d.unplanned())
                (d.polygons(pieces, &hatch))
                (d.openings())
                (d.joints())
                (d.bites(pieces))
                (d.dimensions(bounds))
                (d.scale_bar(bounds))
                (ties) (runs) (marks) (pins)
            }
        }
    }
}

fn aria(view: &View, sheet: &Sheet, layer: Layer) -> String {
    let name = &view.doc.floor.storeys[sheet.storey].name;
    format!("Plan of the {} plates, {}", layer.name(), shown(name))
}

/// The class of a figure: `wide` ones are printed on a lying page.
pub(crate) fn lie(view: &View, sheet: &Sheet) -> &'static str {
    match bounds(view, sheet) {
        Some(b) if b.right - b.left > 1.15 * (b.bottom - b.top) => "wide",
        _ => "",
    }
}

fn bounds(view: &View, sheet: &Sheet) -> Option<Bounds> {
    let mut b: Option<Bounds> = None;
    let mut grow = |(x, y): (f64, f64)| {
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
        [run.start, run.end].into_iter().for_each(|p| grow(page(p)));
    }
    for id in sheet.pieces.iter().flatten() {
        view.doc.piece(*id).outline.iter().for_each(|p| grow(page(*p)));
    }
    b
}

impl Drawing<'_> {
    /// A point of a run on the page.
    fn on_run(&self, run: RunId, station: Length, offset: Length) -> (f64, f64) {
        page(self.view.frame(run).at(station, offset))
    }

    /// Half a run's plate, inches.
    fn half(&self, run: RunId) -> f64 {
        self.view.doc.floor.run(run).section.width().half().to_inches()
    }

    fn take_plates(&mut self) {
        for r in &self.sheet.runs {
            let run = self.view.doc.floor.run(*r);
            self.labels.take_line(page(run.start), page(run.end), self.half(*r));
        }
    }

    /// Runs without a piece in this layer: their footprint, dashed.
    fn unplanned(&self) -> Markup {
        let planned = &self.sheet.planned[self.layer as usize];
        let bare = self.sheet.runs.iter().filter(|r| !planned.contains(r));
        html! { @for r in bare {
            polygon class="bare" points=(self.footprint(*r)) {
                title { (run_name(*r)) ": no " (self.layer.name()) " plate" }
            }
        } }
    }

    fn footprint(&self, r: RunId) -> String {
        let run = self.view.doc.floor.run(r);
        let (half, end) = (run.section.width().half(), run.length());
        let corners = [(Length::ZERO, -half), (end, -half), (end, half), (Length::ZERO, half)];
        points(corners.into_iter().map(|(s, o)| self.on_run(r, s, o)))
    }

    fn polygons(&self, pieces: &[PieceId], hatch: &str) -> Markup {
        let fill = match self.layer {
            Layer::Upper => format!("url(#{hatch})"),
            Layer::Bottom | Layer::Lower => "var(--tint)".to_owned(),
        };
        html! { g class="plates" fill=(fill) { @for id in pieces {
            @let p = self.view.doc.piece(*id);
            polygon data-p=(piece_name(*id)) points=(points(p.outline.iter().map(|q| page(*q)))) {
                title { (shown(&p.mark)) " (" (piece_name(*id)) "), " (p.section.name()) ", "
                    (length_text(p)) }
            }
        } } }
    }

    /// The cuts of every notch, drawn heavy.
    fn bites(&self, pieces: &[PieceId]) -> Markup {
        let bites = pieces.iter().flat_map(|id| {
            let p = self.view.doc.piece(*id);
            self.view.shapes[id.0 as usize].bites.iter().map(move |b| (p, b))
        });
        html! { g class="bites" { @for (p, bite) in bites {
            polyline points=(points(bite.iter().map(|(s, o)| self.on_run(p.run, p.from + *s, *o)))) {}
        } } }
    }

    /// Doors, windows and plain openings, drawn on the plate: jambs across, and along it a dashed, a
    /// double or a dotted line.
    fn openings(&self) -> Markup {
        html! { g class="openings" { @for w in &self.sheet.walls {
            @let wall = &self.view.doc.floor.walls[*w];
            @let frame = self.view.frame(wall.run);
            @let base = frame.locate(wall.start).0;
            @let forward = frame.locate(wall.end).0 >= base;
            @for o in &wall.openings {
                @let along = |s: Length| if forward { base + s } else { base - s };
                (self.opening(wall.run, along(o.from), along(o.to), o.kind, &wall_name(*w)))
            }
        } } }
    }

    fn opening(&self, run: RunId, a: Length, b: Length, kind: OpeningKind, wall: &str) -> Markup {
        let half = self.view.doc.floor.run(run).section.width().half();
        let at = |s, o| self.on_run(run, s, o);
        let line =
            |p: (f64, f64), q: (f64, f64)| format!("M{} {}L{} {}", N(p.0), N(p.1), N(q.0), N(q.1));
        let mut jambs = line(at(a, -half), at(a, half));
        jambs.push_str(&line(at(b, -half), at(b, half)));
        let gap = half.scale(0.22);
        let (class, inside) = match kind {
            OpeningKind::Door => ("door", line(at(a, Length::ZERO), at(b, Length::ZERO))),
            OpeningKind::Window => {
                ("window", line(at(a, -gap), at(b, -gap)) + &line(at(a, gap), at(b, gap)))
            }
            OpeningKind::Opening => ("passage", line(at(a, Length::ZERO), at(b, Length::ZERO))),
        };
        html! { path class="jambs" d=(jambs) {} path class=(class) d=(inside) {
            title { (kind.name()) " in " (wall) }
        } }
    }

    /// Joints of this layer as short heavy ticks, those of the other top layer as dotted ones.
    fn joints(&self) -> Markup {
        let shown = self.sheet.joints.iter().filter_map(|i| {
            let j = &self.view.doc.plan.joints[*i];
            let class = match (j.layer == self.layer, j.layer) {
                (true, _) => "joint",
                (false, Layer::Lower | Layer::Upper) if self.layer != Layer::Bottom => "other",
                _ => return None,
            };
            (j.kind == JointKind::Break).then_some((j, class))
        });
        html! { g class="joints" { @for (j, class) in shown {
            @let over = Length::from_inches(self.letter * 0.45).unwrap_or_default();
            @let reach = self.view.doc.floor.run(j.run).section.width().half() + over;
            @let (p, q) = (self.on_run(j.run, j.at, -reach), self.on_run(j.run, j.at, reach));
            line class=(class) x1=(N(p.0)) y1=(N(p.1)) x2=(N(q.0)) y2=(N(q.1)) {}
        } } }
    }

    fn marks(&mut self, pieces: &[PieceId]) -> Markup {
        // Short pieces first: they have the fewest places to go.
        let mut order = pieces.to_vec();
        order.sort_by_key(|id| (self.view.doc.piece(*id).length, *id));
        let mut placed: Vec<(PieceId, Option<Spot>)> = Vec::with_capacity(order.len());
        for id in order {
            let p = self.view.doc.piece(id);
            let spots = self.beside(p.run, p.from, p.to, &[0.5, 0.34, 0.66, 0.2, 0.8], true);
            placed.push((id, self.labels.place(spots, p.mark.chars().count().clamp(1, 12))));
        }
        html! { g class="marks" { @for (id, spot) in &placed { @if let Some(spot) = spot {
            @let p: &Piece = self.view.doc.piece(*id);
            (self.text(*spot, &short(&p.mark), Some(piece_name(*id))))
        } } } }
    }

    fn run_names(&mut self) -> Markup {
        let shares = [0.42, 0.58, 0.34, 0.66, 0.27, 0.73, 0.2, 0.8, 0.12, 0.88];
        let mut placed: Vec<(String, Option<Spot>)> = Vec::with_capacity(self.sheet.runs.len());
        for r in &self.sheet.runs {
            let length = self.view.doc.floor.run(*r).length();
            let spots = self.beside(*r, Length::ZERO, length, &shares, false);
            let name = run_name(*r);
            let spot = self.labels.place(spots, name.len() + 1);
            placed.push((name, spot));
        }
        html! { g class="runs" { @for (name, spot) in &placed { @if let Some(spot) = spot {
            @let (w, h) = ((name.len() as f64 * 0.62 + 0.7) * self.letter, self.letter * 1.25);
            rect x=(N(spot.x - w / 2.0)) y=(N(spot.y - h / 2.0)) width=(N(w)) height=(N(h))
                rx=(N(h / 2.0)) transform=[turn(*spot)] {}
            (self.text(*spot, name, None))
        } } } }
    }

    /// Places along a stretch of a run, beside its plate: outside first, or inside first.
    fn beside(
        &self,
        run: RunId,
        from: Length,
        to: Length,
        shares: &[f64],
        outside_first: bool,
    ) -> Vec<Spot> {
        let frame = self.view.frame(run);
        let (dx, dy) = (frame.dir().0, -frame.dir().1);
        let mut angle = dy.atan2(dx).to_degrees();
        if angle > 89.0 || angle <= -91.0 {
            angle -= 180.0_f64.copysign(angle);
        }
        let left = (dy, -dx); // to the left of the run, on the page
        let middle = self.on_run(run, from + (to - from).half(), Length::ZERO);
        let away = (middle.0 - self.middle.0) * left.0 + (middle.1 - self.middle.1) * left.1 >= 0.0;
        let first = if away == outside_first { 1.0 } else { -1.0 };
        let mut spots = Vec::with_capacity(shares.len() * 4);
        for row in [0.95, 2.3] {
            let off = self.half(run) + row * self.letter;
            for side in [first, -first] {
                for share in shares {
                    let (x, y) = self.on_run(run, from + (to - from).scale(*share), Length::ZERO);
                    spots.push(Spot {
                        x: x + left.0 * off * side,
                        y: y + left.1 * off * side,
                        angle,
                    });
                }
            }
        }
        spots
    }

    fn text(&self, spot: Spot, text: &str, piece: Option<String>) -> Markup {
        let transform = turn(spot);
        html! { text x=(N(spot.x)) y=(N(spot.y)) dy=".35em" transform=[transform] data-p=[piece] { (text) } }
    }

    /// The signs of a junction's ties and its name, beside it: the lap or notch itself stays to be
    /// seen. A dot marks the node.
    fn ties(&mut self) -> Markup {
        let size = self.letter * 0.62;
        let step = size * 2.9;
        let mut out = Vec::new();
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
            let left = s.x - width / 2.0;
            out.push(html! {
                circle class="node" cx=(N(x)) cy=(N(y)) r=(N(self.letter * 0.22)) {}
                @for (i, kind) in kinds.iter().enumerate() {
                    (symbol(*kind, left + step * (i as f64 + 0.5), s.y, size))
                }
                text class="jn" x=(N(s.x + width / 2.0 - words / 2.0)) y=(N(s.y)) dy=".35em" { (name) }
            });
        }
        html! { g class="ties" { @for m in out { (m) } } }
    }

    /// Numbered pins for the findings that have a place, each a link to its finding.
    fn pins(&mut self) -> Markup {
        let mut out = Vec::new();
        for Pin { number, severity, at } in &self.sheet.pins {
            let (x, y) = page(*at);
            let mut spots = around((x, y), self.letter * 3.2);
            spots.extend(around((x, y), self.letter * 5.2));
            let Some(s) = self.labels.place(spots, 4) else { continue };
            self.labels.take_line(
                (s.x - self.letter, s.y),
                (s.x + self.letter, s.y),
                self.letter * 1.5,
            );
            let r = self.letter * 0.95;
            out.push(html! { a href={ "#f" (number) } class={ "pin " (severity.name()) } {
                title { (severity.name()) " " (number) }
                line x1=(N(x)) y1=(N(y)) x2=(N(s.x)) y2=(N(s.y)) {}
                circle class="spot" cx=(N(x)) cy=(N(y)) r=(N(r * 0.28)) {}
                path d=(pin_shape(*severity, s.x, s.y, r)) {}
                text x=(N(s.x)) y=(N(s.y)) dy=".35em" { (number) }
            } });
        }
        html! { g class="pins" { @for m in out { (m) } } }
    }

    /// Overall width and depth, outer face to outer face.
    fn dimensions(&self, b: Bounds) -> Markup {
        let (off, tick) = (self.letter * 4.4, self.letter * 0.5);
        let (y, x) = (b.bottom + off, b.left - off);
        let length = |inches: f64| {
            people(Length::from_inches(inches).unwrap_or_default(), self.sheet.metric)
        };
        let slash = |x: f64, y: f64| {
            format!("M{} {}L{} {}", N(x - tick), N(y + tick), N(x + tick), N(y - tick))
        };
        let far = |x: f64, y: f64, angle: f64| Spot { x, y, angle };
        let across = far((b.left + b.right) / 2.0, y - self.letter * 0.9, 0.0);
        let up = far(x - self.letter * 0.9, (b.top + b.bottom) / 2.0, -90.0);
        html! { g class="dims" {
            path d={ "M" (N(b.left)) " " (N(y)) "H" (N(b.right)) "M" (N(x)) " " (N(b.top)) "V" (N(b.bottom)) } {}
            path class="slash" d={ (slash(b.left, y)) (slash(b.right, y)) (slash(x, b.top)) (slash(x, b.bottom)) } {}
            (self.text(across, &length(b.right - b.left), None))
            (self.text(up, &length(b.bottom - b.top), None))
        } }
    }

    /// Four and eight feet, or one and two metres.
    fn scale_bar(&self, b: Bounds) -> Markup {
        let unit = if self.sheet.metric { 1000.0 / 25.4 } else { 48.0 };
        let names = if self.sheet.metric { ["0", "1 m", "2 m"] } else { ["0", "4'", "8'"] };
        let (x, y, h) = (b.left, b.top - self.letter * 5.2, self.letter * 0.45);
        html! { g class="scale" {
            rect class="ink" x=(N(x)) y=(N(y)) width=(N(unit)) height=(N(h)) {}
            rect x=(N(x + unit)) y=(N(y)) width=(N(unit)) height=(N(h)) {}
            @for (i, name) in names.iter().enumerate() {
                text x=(N(x + unit * i as f64)) y=(N(y - self.letter * 0.4)) { (name) }
            }
        } }
    }
}

/// Eight places around a point, the diagonal ones first: walls seldom run there.
fn around(at: (f64, f64), distance: f64) -> Vec<Spot> {
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
    DIRECTIONS
        .iter()
        .map(|(dx, dy)| Spot { x: at.0 + dx * distance, y: at.1 + dy * distance, angle: 0.0 })
        .collect()
}

/// Eight places beside a node for a label of that half width and half height, clear of the plates
/// that meet there by `clear`.
fn beside_node(at: (f64, f64), clear: f64, half_width: f64, half_height: f64) -> Vec<Spot> {
    let (dx, dy) = (clear + half_width, clear + half_height);
    [(dx, -dy), (-dx, -dy), (dx, dy), (-dx, dy), (0.0, -dy), (0.0, dy), (dx, 0.0), (-dx, 0.0)]
        .map(|(dx, dy)| Spot { x: at.0 + dx, y: at.1 + dy, angle: 0.0 })
        .into()
}

fn turn(spot: Spot) -> Option<String> {
    (spot.angle.abs() > 0.01)
        .then(|| format!("rotate({} {} {})", N(spot.angle), N(spot.x), N(spot.y)))
}

/// A mark as long as the drawing has room for; the table has it in full.
fn short(mark: &str) -> String {
    let clean = shown(mark);
    if clean.chars().count() <= 12 {
        return clean.into_owned();
    }
    clean.chars().take(11).chain(['\u{2026}']).collect()
}

fn points(list: impl Iterator<Item = (f64, f64)>) -> String {
    use std::fmt::Write;
    let mut text = String::new();
    for (x, y) in list {
        let gap = if text.is_empty() { "" } else { " " };
        let _ = write!(text, "{gap}{},{}", N(x), N(y)); // writing to a String cannot fail
    }
    text
}

/// The sign of a tie: a full square for a lap, an open trough for a notch, a bar with two eyes for a
/// strap, a crossed ring for screws, a struck ring for none.
pub(crate) fn symbol(kind: TieKind, x: f64, y: f64, s: f64) -> Markup {
    let at = format!("translate({} {}) scale({})", N(x), N(y), N(s));
    html! { g class={ "tie " (kind.name()) } transform=(at) {
        circle class="halo" r="1.35" {}
        @match kind {
            TieKind::Lap => { rect class="full" x="-.85" y="-.85" width="1.7" height="1.7" {} }
            TieKind::Notch => { path d="M-1 -.8H-.45V.35H.45V-.8H1V.9H-1Z" class="full" {} }
            TieKind::Strap => {
                path d="M-1 0H1" {} circle class="full" cx="-1" r=".45" {}
                circle class="full" cx="1" r=".45" {}
            }
            TieKind::Screw => { circle r=".95" {} path d="M-.95 0H.95M0 -.95V.95" {} }
            TieKind::None => { circle r=".95" {} path d="M-.67 .67L.67 -.67" {} }
        }
        title { (kind.name()) }
    } }
}

/// A square for an error, a triangle for a warning, a circle for a note.
pub(crate) fn pin_shape(severity: Severity, x: f64, y: f64, r: f64) -> String {
    let corner = |angle: f64, r: f64| {
        let (sin, cos) = angle.to_radians().sin_cos();
        (x + r * cos, y + r * sin)
    };
    let corners: Vec<(f64, f64)> = match severity {
        Severity::Error => [45.0, 135.0, 225.0, 315.0].map(|a| corner(a, r * 1.3)).into(),
        Severity::Warning => {
            [-90.0, 30.0, 150.0].map(|a| corner(a, r * 1.75)).map(|(x, y)| (x, y - r * 0.12)).into()
        }
        Severity::Note => (0..24).map(|i| corner(15.0 * f64::from(i), r)).collect(),
    };
    format!("M{}Z", points(corners.into_iter()))
}

/// What the signs mean, once a page.
pub(crate) fn legend() -> Markup {
    let tie =
        |kind| html! { svg class="key" viewBox="-2 -2 4 4" { (symbol(kind, 0.0, 0.0, 1.0)) } };
    let pin = |s: Severity| {
        html! { svg class="key" viewBox="-2 -2 4 4" {
            g class={ "pin " (s.name()) } { path d=(pin_shape(s, 0.0, 0.0, 1.05)) {} }
        } }
    };
    let line = |class: &str, d: &str| {
        html! { svg class="key wide" viewBox="0 0 12 4" {
            path class=(class) d=(d) {}
        } }
    };
    html! { ul class="legend" {
        li { (tie(TieKind::Lap)) "lap" }
        li { (tie(TieKind::Notch)) "notch" }
        li { (tie(TieKind::Strap)) "strap or plate" }
        li { (tie(TieKind::Screw)) "screws" }
        li { (tie(TieKind::None)) "no tie" }
        li { (line("k-joint", "M6 0V4")) "joint of this layer" }
        li { (line("k-other", "M6 0V4")) "joint of the other top layer" }
        li { (line("door", "M0 2H12")) "door" }
        li { (line("window", "M0 1.4H12M0 2.6H12")) "window" }
        li { (line("passage", "M0 2H12")) "opening" }
        li { (pin(Severity::Error)) "error" }
        li { (pin(Severity::Warning)) "warning" }
        li { (pin(Severity::Note)) "note" }
    } }
}

/// The storey's name, set apart from the text around it.
pub(crate) fn storey_title(view: &View, storey: usize) -> Markup {
    bdi(&plan_model::storey_name(storey, &view.doc.floor.storeys[storey]))
}
