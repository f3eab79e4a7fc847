//! The crew's sheets of a storey: plans, walls in the order of work with every piece, ties.

use crate::book::Book;
use crate::font::{Weight, shown};
use crate::layout::Layout;
use crate::nails::NailKey;
use crate::order;
use crate::page::pen;
use crate::sketch::Sketch;
use crate::words::{board_name, length, unbroken};
use crate::{plan, ties};
use export::measure::measure;
use export::text::{cut_text, edge_text, length_text, other_length_text, pitch_text, top_text};
use export::view::View;
use geom::Length;
use plan_model::{Layer, PieceId, piece_name, run_name, storey_name, wall_name};
use std::collections::BTreeMap;
use wall_model::floor::RunId;

/// Everything of a storey.
pub(crate) fn storey(book: &mut Book, view: &View, storey: usize, key: &NailKey) {
    let name = shown(&storey_name(storey, &view.doc.floor.storeys[storey]));
    let pairs = Pairs::of(view);
    plan::plans(book, view, storey, &name, &pairs);
    pieces(book, view, storey, &name, &pairs, key);
    ties::ties(book, view, storey, &name);
}

/// Bottom plates that are cut and lie exactly as the lower plate above them.
pub(crate) struct Pairs {
    /// Bottom by lower.
    below: BTreeMap<PieceId, PieceId>,
    above: BTreeMap<PieceId, PieceId>,
}

impl Pairs {
    /// Of a document.
    pub fn of(view: &View) -> Pairs {
        let mut bottoms: BTreeMap<(RunId, Length, Length), PieceId> = BTreeMap::new();
        for (id, p) in view.pieces().filter(|(_, p)| p.layer == Layer::Bottom) {
            bottoms.insert((p.run, p.from, p.to), id);
        }
        let mut pairs = Pairs { below: BTreeMap::new(), above: BTreeMap::new() };
        for (id, p) in view.pieces().filter(|(_, p)| p.layer == Layer::Lower) {
            let Some(bottom) = bottoms.get(&(p.run, p.from, p.to)) else { continue };
            let b = view.doc.piece(*bottom);
            if (&b.outline, b.section, &b.notches, b.rake)
                == (&p.outline, p.section, &p.notches, p.rake)
            {
                pairs.below.insert(id, *bottom);
                pairs.above.insert(*bottom, id);
            }
        }
        pairs
    }
    /// The bottom plate under a lower one.
    pub fn below(&self, lower: PieceId) -> Option<PieceId> {
        self.below.get(&lower).copied()
    }
    /// Whether a bottom plate goes with a lower one.
    pub fn is_paired(&self, bottom: PieceId) -> bool {
        self.above.contains_key(&bottom)
    }
}

fn pieces(book: &mut Book, view: &View, storey: usize, name: &str, pairs: &Pairs, key: &NailKey) {
    let mut by_run: BTreeMap<RunId, Vec<PieceId>> = BTreeMap::new();
    for (id, p) in view.pieces().filter(|(_, p)| p.storey.0 as usize == storey) {
        by_run.entry(p.run).or_default().push(id);
    }
    let mut running = vec![START.to_owned()];
    if key.kinds().next().is_some() {
        running.push(format!("Nails: {}.", key.legend()));
    }
    book.run_on(&running);
    book.start(&format!("Walls in the order of work: {name}"), false);
    let order = order::of_work(&view.doc.floor, storey);
    if by_run.is_empty() {
        book.paragraph(0.0, 10.0, Weight::Book, "No plates on this storey.");
    }
    for (number, run) in order.iter().filter(|r| by_run.contains_key(r)).enumerate() {
        let ids = by_run.get(run).map_or(&[][..], Vec::as_slice);
        let of = |layer: Layer| ids.iter().filter(move |id| view.doc.piece(**id).layer == layer);
        let rows: Vec<Vec<PieceId>> = of(Layer::Bottom)
            .filter(|id| !pairs.is_paired(**id))
            .map(|id| vec![*id])
            .chain(
                of(Layer::Lower)
                    .map(|id| [Some(*id), pairs.below(*id)].into_iter().flatten().collect()),
            )
            .chain(of(Layer::Upper).map(|id| vec![*id]))
            .collect();
        for (i, row) in rows.iter().enumerate() {
            let row = Row::of(book, view, key, row);
            if i == 0 {
                let layout = Layout::of(book, view, *run, ids, key.joints_of(*run));
                let more = row.height + layout.as_ref().map_or(0.0, |l| l.height);
                Heading::of(book, view, number + 1, *run).draw(book, more);
                if let Some(layout) = layout {
                    layout.draw(book);
                }
            } else if book.need(row.height) {
                continued(book, *run);
            }
            row.draw(book, view);
        }
    }
    book.run_on(&[]);
}

/// What a wall is, above its pieces.
struct Heading {
    number: String,
    run: RunId,
    lines: Vec<String>,
    /// Where the text begins, from the left margin.
    indent: f64,
    height: f64,
}

impl Heading {
    fn of(book: &Book, view: &View, number: usize, run: RunId) -> Heading {
        let k = book.k;
        let [left, _, right, _] = book.frame(false);
        let floor = &view.doc.floor;
        let r = floor.run(run);
        let (metric, (from, to)) = (r.section.is_metric(), view.faces[run.0 as usize]);
        let number = format!("{number}.");
        let indent = book.fonts.width(Weight::Bold, 12.0 * k, &number)
            + 14.0 * k
            + book.round_width(11.0, &run_name(run));
        let side = if order::is_exterior(floor, run) { "exterior" } else { "interior" };
        let bearing = if order::is_bearing(floor, run) { ", bearing" } else { "" };
        let walls: Vec<String> = r.walls.iter().map(|w| wall_name(*w as usize)).collect();
        let text = format!(
            "{side}{bearing}, {}, {} between end faces, top {}, {}",
            r.section.name(),
            length(to - from, metric),
            unbroken(&top_text(r, (from, to), metric)),
            walls.join(" ")
        );
        let lines = book.fonts.wrapped(Weight::Bold, 9.5 * k, &text, right - left - indent);
        let height = (23.0 + 11.0 * lines.len().saturating_sub(1) as f64) * k;
        Heading { number, run, lines, indent, height }
    }

    /// Draws it, on a page that has room for `more` below it.
    fn draw(&self, book: &mut Book, more: f64) {
        let k = book.k;
        book.need(self.height + 11.0 * k + more);
        let [left, _, right, _] = book.frame(false);
        let y = book.y + 16.0 * k;
        book.put((left, y), 12.0, Weight::Bold, &self.number);
        let x = left + book.fonts.width(Weight::Bold, 12.0 * k, &self.number) + 6.0 * k;
        book.round_name((x, y - 4.5 * k), 11.0, &run_name(self.run));
        for (i, line) in self.lines.iter().enumerate() {
            book.put((left + self.indent, y + 11.0 * i as f64 * k), 9.5, Weight::Bold, line);
        }
        book.y += self.height;
        let rule = book.y - 2.0 * k;
        book.page().line((left, rule), (right, rule), pen(1.4));
    }
}

fn continued(book: &mut Book, run: RunId) {
    let [left, ..] = book.frame(false);
    let y = book.y + 12.0 * book.k;
    let w = book.round_name((left, y - 4.0 * book.k), 10.0, &run_name(run));
    book.put((left + w + 6.0, y), 9.0, Weight::Book, "continued");
    book.y = y + 6.0 * book.k;
}

/// At the head of every page: where measuring begins.
const START: &str = "Stations of joints, openings and studs are from where the tape is hooked. Nails and notches are measured \
    from the piece's own start, the end that lies left on the drawing (of an upright wall the lower one).";

/// Where columns begin, points on letter paper.
pub(crate) const MARK: f64 = 14.0;
const LONG: f64 = 88.0;
const CHECK: f64 = 196.0;
const REST: f64 = 376.0;
const WIDE: f64 = 540.0;

/// A piece, or a pair, ready to be drawn.
struct Row {
    marks: Vec<String>,
    long: String,
    other: Vec<String>,
    check: Vec<(Weight, String)>,
    rest: Vec<String>,
    nails: Vec<String>,
    sketch: Option<Sketch>,
    height: f64,
}

impl Row {
    fn of(book: &Book, view: &View, key: &NailKey, ids: &[PieceId]) -> Row {
        let k = book.k;
        let grow = book.frame(false)[2] - book.frame(false)[0] - WIDE * k;
        let id = ids[0];
        let p = view.doc.piece(id);
        let plan = &view.doc.plan;
        let wrap = |size: f64, text: &str, room: f64| {
            book.fonts.wrapped(Weight::Book, size * k, text, room * k)
        };
        // Where a mark has no room its piece's id tells it from others.
        let mark = |i: &PieceId| {
            let mark = shown(&view.doc.piece(*i).mark);
            let room = (LONG - MARK - 4.0) * k;
            if book.fonts.width(Weight::Bold, 13.0 * k, &mark) <= room {
                return mark;
            }
            let id = format!(" {}", piece_name(*i));
            let room = room - book.fonts.width(Weight::Bold, 13.0 * k, &id);
            book.fonts.fitted(Weight::Bold, 13.0 * k, &mark, room) + &id
        };
        let marks = ids.iter().map(mark).collect();
        let layers: Vec<String> = ids
            .iter()
            .map(|i| {
                let p = view.doc.piece(*i);
                let treated = if plan.is_treated(p) { " treated" } else { "" };
                format!("{}{treated}", p.layer.name())
            })
            .collect();
        let boards: Vec<String> =
            ids.iter().filter_map(|i| view.board_of[i.0 as usize]).map(board_name).collect();
        let mut other = unbroken(&other_length_text(p));
        other.push_str(&format!(", {} {}", p.section.name(), layers.join(" + ")));
        if !boards.is_empty() {
            other.push_str(&format!(", from {}", boards.join(", ")));
        }
        let other = wrap(8.0, &other, CHECK - LONG - 6.0);
        let m = measure(view, p);
        let metric = p.section.is_metric();
        let room = REST - CHECK - 8.0;
        let between = unbroken(&format!("{} to {}", m.ends[0], m.ends[1]));
        let mut check: Vec<(Weight, String)> =
            wrap(8.5, &between, room).into_iter().map(|l| (Weight::Book, l)).collect();
        let cut = if m.cut_more == Length::ZERO {
            "cut the same".to_owned()
        } else {
            let word = if m.cut_more > Length::ZERO { "more" } else { "less" };
            format!("cut {} {word}", length(m.cut_more.abs(), metric))
        };
        let exact = p.layer != Layer::Upper && m.cut_more.abs() < Length::SIXTEENTH;
        let distance = length(m.distance, metric);
        let told = if exact { distance } else { format!("{distance}: {cut}") };
        let told = book.fonts.wrapped(Weight::Bold, 8.5 * k, &told, room * k);
        check.extend(told.into_iter().map(|l| (Weight::Bold, l)));
        let mut rest = Vec::new();
        let rest_room = WIDE - REST + grow / k;
        rest.extend(wrap(8.5, &ends(view, id), rest_room));
        let told: Vec<String> = ids.iter().map(|i| key.told(*i, view.doc.piece(*i))).collect();
        let alike = told.windows(2).all(|pair| pair[0] == pair[1]);
        let mut nails = Vec::new();
        for (i, told) in ids.iter().zip(&told).filter(|(_, told)| !told.is_empty()) {
            let p = view.doc.piece(*i);
            let of = match ids.len() {
                1 => "Nails".to_owned(),
                _ if alike => "Nails of both".to_owned(),
                _ => format!("Nails of {}", shown(&p.mark)),
            };
            nails.extend(wrap(8.5, &format!("{of}: {told}"), WIDE - LONG + grow / k));
            if alike {
                break;
            }
        }
        let sketch = Sketch::of(book.fonts, k, view, id, (WIDE - MARK) * k + grow);
        let tall = [
            9.0 + 13.5 * ids.len() as f64,
            19.0 + 10.0 * other.len() as f64,
            8.0 + 10.8 * check.len() as f64,
            8.0 + 10.8 * rest.len() as f64,
        ];
        let columns = tall.into_iter().fold(0.0, f64::max);
        let height =
            (columns + 10.8 * nails.len() as f64) * k + sketch.as_ref().map_or(0.0, |s| s.height);
        let long = unbroken(&length_text(p));
        Row { marks, long, other, check, rest, nails, sketch, height }
    }

    fn draw(&self, book: &mut Book, view: &View) {
        let k = book.k;
        let [left, _, right, _] = book.frame(false);
        let (x, y) = (left, book.y);
        for (i, mark) in self.marks.iter().enumerate() {
            let base = y + (16.0 + 13.5 * i as f64) * k;
            book.tick_box((x, base - 9.0 * k));
            book.put((x + MARK * k, base), 13.0, Weight::Bold, mark);
        }
        let long = book.fonts.fitted(Weight::Bold, 14.0 * k, &self.long, (CHECK - LONG - 4.0) * k);
        book.put((x + LONG * k, y + 16.0 * k), 14.0, Weight::Bold, &long);
        for (i, text) in self.other.iter().enumerate() {
            book.put((x + LONG * k, y + (26.0 + 10.0 * i as f64) * k), 8.0, Weight::Book, text);
        }
        for (i, (weight, text)) in self.check.iter().enumerate() {
            book.put((x + CHECK * k, y + (13.0 + 10.8 * i as f64) * k), 8.5, *weight, text);
        }
        for (i, text) in self.rest.iter().enumerate() {
            book.put((x + REST * k, y + (13.0 + 10.8 * i as f64) * k), 8.5, Weight::Book, text);
        }
        let foot = y + self.height - self.sketch.as_ref().map_or(0.0, |s| s.height);
        for (i, text) in self.nails.iter().rev().enumerate() {
            let base = foot - (3.0 + 10.8 * i as f64) * k;
            book.put((x + LONG * k, base), 8.5, Weight::Book, text);
        }
        if let Some(sketch) = &self.sketch {
            sketch.draw(book, view, (x + MARK * k, y + self.height - sketch.height));
        }
        book.y += self.height;
        let y = book.y;
        book.page().line((left, y), (right, y), pen(0.9));
    }
}

/// `square both ends`, or each of them.
fn ends(view: &View, id: PieceId) -> String {
    let p = view.doc.piece(id);
    let cuts = view.shapes[id.0 as usize].end_cuts;
    let told = [0, 1].map(|i| cut_text(&p.ends[i], cuts[i], "sketch"));
    let [start, end] = told;
    if start == "square" && end == "square" {
        return "both ends square".to_owned();
    }
    let slope = p.rake.map_or(String::new(), |r| {
        let edge = unbroken(&edge_text(p).unwrap_or_default());
        format!("{edge} along a face, at {}; ", pitch_text(r.slope))
    });
    format!("{slope}start {start}; end {end}")
}
