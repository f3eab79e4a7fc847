//! A piece with a notch or a cut that is not square, drawn from above with its dimensions.
//!
//! The ends are to scale, so that a bevel looks as it is cut; what lies between is drawn together.

use crate::book::Book;
use crate::font::{Fonts, Weight};
use crate::page::{At, TINT, hatch, pen};
use crate::words::length;
use export::shape::Shape;
use export::text::degrees;
use export::view::View;
use geom::Length;
use plan_model::{Layer, Notch, PieceId, Side, run_name};

/// Points for an inch across the plate, and along its ends.
const SCALE: f64 = 3.4;
/// How much of each end is to scale, inches.
const END: f64 = 14.0;
const LETTER: f64 = 8.0;
const LINE: f64 = 9.6;

/// Dimensions of one notch, line by line.
struct Block {
    lines: Vec<String>,
    /// Middle of the text and of the notch, points from the sketch's left end.
    at: f64,
    notch: f64,
    width: f64,
}

/// A sketch ready to be drawn.
pub(crate) struct Sketch {
    id: PieceId,
    width: f64,
    /// Above and below the piece.
    sides: [Vec<Block>; 2],
    /// Notches that have no room beside the piece have letters, and these lines.
    listed: Vec<String>,
    /// Where those letters go: middle of the notch, left side or not, letter.
    letters: Vec<(f64, bool, String)>,
    /// Lengths of the left and right edge where they differ.
    edges: [String; 2],
    half: f64,
    /// How tall it is.
    pub height: f64,
}

/// From inches along the piece to points: true at both ends, drawn together between.
fn along(x: f64, total: f64, width: f64) -> f64 {
    let end = END.min(total / 2.0);
    let true_width = (end * SCALE).min(width / 2.0);
    let middle = total - 2.0 * end;
    if x <= end {
        x / end.max(1e-9) * true_width
    } else if x >= total - end {
        width - (total - x) / end.max(1e-9) * true_width
    } else {
        true_width + (x - end) / middle * (width - 2.0 * true_width)
    }
}

impl Sketch {
    /// The sketch of a piece; `None` where it is cut square and has no notch.
    pub fn of(fonts: &Fonts, k: f64, view: &View, id: PieceId, room: f64) -> Option<Sketch> {
        let p = view.doc.piece(id);
        let shape = &view.shapes[id.0 as usize];
        let square = |i: usize| shape.end_cuts[i] == 1 && degrees(p.ends[i].cut_deg) == "90";
        if p.notches.is_empty() && square(0) && square(1) {
            return None;
        }
        let metric = p.section.is_metric();
        let total = p.length.to_inches();
        // A short piece isn't drawn out.
        let width = room.min((total * SCALE * k).max(60.0 * k));
        let half = p.section.width().half().to_inches() * SCALE * k;
        let mut sketch = Sketch {
            id,
            width,
            sides: [Vec::new(), Vec::new()],
            listed: Vec::new(),
            letters: Vec::new(),
            edges: edges(view, id),
            half,
            height: 0.0,
        };
        for (side, blocks) in [Side::Left, Side::Right].into_iter().zip(&mut sketch.sides) {
            for n in p.notches.iter().filter(|n| n.side == side) {
                let lines = notch_lines(n, shape, metric);
                let wide = |l: &String| fonts.width(Weight::Bold, LETTER * k, l);
                let wide = lines.iter().map(wide).fold(0.0, f64::max) + 10.0 * k;
                let notch = along((n.from + n.to).half().to_inches(), total, width / k) * k;
                blocks.push(Block { lines, at: notch, notch, width: wide });
            }
            if !spread(blocks, room) {
                blocks.clear();
            }
        }
        sketch.list(view, metric, k);
        sketch.list_ends(view, metric);
        let wrap = |l: &String| fonts.wrapped(Weight::Book, LETTER * k, l, room);
        sketch.listed = sketch.listed.iter().flat_map(wrap).collect();
        let beside = |s: &Vec<Block>, edge: &str| {
            if !s.is_empty() {
                (rows(s) * LINE + 9.0) * k
            } else if !edge.is_empty() {
                LINE * k
            } else {
                2.0 * k
            }
        };
        let lettered = if sketch.letters.is_empty() { 0.0 } else { 2.0 * LINE * k };
        sketch.height = beside(&sketch.sides[0], &sketch.edges[0])
            + beside(&sketch.sides[1], &sketch.edges[1])
            + lettered
            + 2.0 * half
            + sketch.listed.len() as f64 * LINE * k
            + 10.0 * k;
        Some(sketch)
    }

    /// Notches whose dimensions have no room beside the piece.
    fn list(&mut self, view: &View, metric: bool, k: f64) {
        let p = view.doc.piece(self.id);
        let mut next = 0;
        for (side, blocks) in [Side::Left, Side::Right].into_iter().zip(&self.sides) {
            if !blocks.is_empty() {
                continue;
            }
            for n in p.notches.iter().filter(|n| n.side == side) {
                next += 1;
                let middle = (n.from + n.to).half().to_inches();
                let at = along(middle, p.length.to_inches(), self.width / k) * k;
                self.letters.push((at, side == Side::Left, next.to_string()));
                let told = notch_lines(n, &view.shapes[self.id.0 as usize], metric).join(", ");
                self.listed.push(format!("{next}: {told}, {} edge", n.side.name()));
            }
        }
    }

    /// Ends of several cuts, corner by corner.
    fn list_ends(&mut self, view: &View, metric: bool) {
        let p = view.doc.piece(self.id);
        let shape = &view.shapes[self.id.0 as usize];
        let half = p.section.width().half();
        for (i, name) in ["start", "end"].into_iter().enumerate() {
            if shape.end_cuts[i] < 2 {
                continue;
            }
            let tolerance = Length::sixty_fourths(1);
            let near = |x: Length| if i == 0 { x < p.length.half() } else { x >= p.length.half() };
            let in_bite = |c: &(Length, Length)| shape.bites.iter().any(|b| b.contains(c));
            let corners = shape
                .outline
                .iter()
                .filter(|(x, y)| near(*x) && (half - y.abs()) > tolerance && !in_bite(&(*x, *y)));
            let mut told: Vec<String> = corners
                .map(|(x, y)| {
                    let from = if i == 0 { *x } else { p.length - *x };
                    let (a, b) = (length(from, metric), length(half - *y, metric));
                    format!("{a} in from the tip, {b} from the left edge")
                })
                .collect();
            // Corners a hair apart are one for a saw.
            told.dedup();
            self.listed.push(format!("{name}, corners: {}", told.join("; ")));
        }
    }

    /// Draws it with its upper left corner at `at`.
    pub fn draw(&self, book: &mut Book, view: &View, (x, y): At) {
        let k = book.k;
        let p = view.doc.piece(self.id);
        let shape = &view.shapes[self.id.0 as usize];
        let total = p.length.to_inches();
        let above = if !self.sides[0].is_empty() {
            (rows(&self.sides[0]) * LINE + 9.0) * k
        } else if !self.edges[0].is_empty() || self.letters.iter().any(|l| l.1) {
            LINE * k
        } else {
            2.0 * k
        };
        let middle = y + above + self.half;
        let to_page = |c: &(Length, Length)| -> At {
            let across = c.1.to_inches() * SCALE * k;
            (x + along(c.0.to_inches(), total, self.width / k) * k, middle - across)
        };
        let outline: Vec<At> = shape.outline.iter().map(to_page).collect();
        let page = book.page();
        if p.layer == Layer::Upper {
            page.path(hatch(&outline, 35.0, 4.0 * k), None, pen(0.9));
            page.ring(&outline, None, pen(1.5));
        } else {
            page.ring(&outline, TINT, pen(1.5));
        }
        for bite in &shape.bites {
            let bite: Vec<At> = bite.iter().map(to_page).collect();
            page.chain(&bite, pen(3.2));
        }
        for (i, sign) in [(0, -1.0), (1, 1.0)] {
            let edge = middle + sign * self.half;
            for b in &self.sides[i] {
                // The lines stand beyond the leader's end.
                let foot = edge + sign * 7.0 * k;
                book.page().chain(&[(x + b.notch, edge), (x + b.at, foot)], pen(0.9));
                for (j, text) in b.lines.iter().enumerate() {
                    let up = b.lines.len() as f64 - 1.0;
                    let rows = if sign < 0.0 { j as f64 - up } else { j as f64 + 0.85 };
                    let base = foot + rows * LINE * k - if sign < 0.0 { 2.0 * k } else { 0.0 };
                    let w = book.fonts.width(Weight::Bold, LETTER * k, text);
                    let left = (x + b.at - w / 2.0).max(x);
                    book.put((left, base), LETTER, Weight::Bold, text);
                }
            }
            if self.sides[i].is_empty() && !self.edges[i].is_empty() {
                let w = book.fonts.width(Weight::Book, LETTER * k, &self.edges[i]);
                let base = edge + if sign < 0.0 { -2.5 * k } else { LINE * 0.85 * k };
                let left = x + ((self.width - w) / 2.0).max(0.0);
                book.put((left, base), LETTER, Weight::Book, &self.edges[i]);
            }
        }
        for (at, left, letter) in &self.letters {
            let base = if *left {
                middle - self.half - 2.5 * k
            } else {
                middle + self.half + LINE * 0.85 * k
            };
            book.put((x + at - 2.0 * k, base), LETTER, Weight::Bold, letter);
        }
        let mut base = y + self.height - (self.listed.len() as f64 * LINE + 4.0) * k;
        for line in &self.listed {
            base += LINE * k;
            book.put((x, base - 2.0 * k), LETTER, Weight::Book, line);
        }
    }
}

/// The most lines a notch's dimensions take.
fn rows(blocks: &[Block]) -> f64 {
    blocks.iter().map(|b| b.lines.len()).max().unwrap_or(0) as f64
}

/// A notch in words. One with sloping sides has stations at the edge and at its bottom, and the angle of
/// its sides: a saw set square would cut it wrong.
fn notch_lines(n: &Notch, shape: &Shape, metric: bool) -> Vec<String> {
    let told = |s: Length| length(s, metric);
    let (from, to) = (told(n.from), told(n.to));
    let last = format!("{} deep, for {}", told(n.depth), run_name(n.stem));
    let Some([[a, p], [b, q]]) = sides(n, shape) else {
        return vec![format!("{from} to {to}"), last];
    };
    let lean = |edge: Length, bottom: Length| {
        (bottom - edge).to_inches().atan2(n.depth.to_inches()).to_degrees()
    };
    let (first, second) = (lean(a, p), lean(b, q));
    let angles = match [first, second].map(|d| degrees(d.abs())) {
        [x, y] if x == y => format!("both sides {x}\u{b0} from square"),
        [x, y] => format!("sides {x}\u{b0} and {y}\u{b0} from square"),
    };
    vec![
        format!("at the edge {from} to {to}"),
        format!("at its bottom {} to {}", told(p), told(q)),
        angles,
        last,
    ]
}

/// Both sides of a notch that are not square to the edge, each from the edge to the bottom, stations;
/// `None` where they are square, or where it has another shape.
fn sides(n: &Notch, shape: &Shape) -> Option<[[Length; 2]; 2]> {
    let tolerance = Length::sixty_fourths(2);
    let is_left = n.side == Side::Left;
    shape.bites.iter().find_map(|bite| {
        let [a, p, q, b] = bite.as_slice() else { return None };
        let [a, p, q, b] = if a.0 <= b.0 { [a, p, q, b] } else { [b, q, p, a] };
        let here = (a.0 - n.from).abs() <= tolerance && (b.0 - n.to).abs() <= tolerance;
        let sloping = (p.0 - a.0).abs() > tolerance || (q.0 - b.0).abs() > tolerance;
        let this = (a.1 > Length::ZERO) == is_left;
        (here && sloping && this).then_some([[a.0, p.0], [b.0, q.0]])
    })
}

/// The lengths of the two long edges, where they aren't the whole length.
fn edges(view: &View, id: PieceId) -> [String; 2] {
    let p = view.doc.piece(id);
    let shape = &view.shapes[id.0 as usize];
    let half = p.section.width().half();
    let metric = p.section.is_metric();
    let of = |offset: Length| {
        let on =
            shape.outline.iter().filter(|(_, y)| (*y - offset).abs() <= Length::sixty_fourths(1));
        let (least, most) = (on.clone().map(|c| c.0).min()?, on.map(|c| c.0).max()?);
        Some((least, most))
    };
    let [left, right] = [(half, "left edge"), (-half, "right edge")].map(|(offset, name)| {
        let Some((least, most)) = of(offset) else { return String::new() };
        if most - least >= p.length - Length::sixty_fourths(1) {
            return String::new();
        }
        let mut text = format!("{name} {}", length(most - least, metric));
        if least > Length::sixty_fourths(1) {
            text.push_str(&format!(", begins {} in", length(least, metric)));
        }
        text
    });
    [left, right]
}

/// Moves texts apart so that none covers another, as little as a sweep from the left and one from the
/// right can; false where there is no room for all.
fn spread(blocks: &mut [Block], room: f64) -> bool {
    if blocks.iter().map(|b| b.width).sum::<f64>() > room {
        return false;
    }
    let mut free = 0.0;
    for b in blocks.iter_mut() {
        b.at = b.at.max(free + b.width / 2.0);
        free = b.at + b.width / 2.0;
    }
    let mut free = room;
    for b in blocks.iter_mut().rev() {
        b.at = b.at.min(free - b.width / 2.0);
        free = b.at - b.width / 2.0;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_to_scale_and_order_is_kept() {
        let mut last = -1.0;
        for i in 0..=200 {
            let x = along(f64::from(i), 200.0, 400.0);
            assert!(x > last && x <= 400.0 + 1e-9);
            last = x;
        }
        assert!((along(5.0, 200.0, 400.0) - 5.0 * SCALE).abs() < 1e-9);
        assert!((400.0 - along(195.0, 200.0, 400.0) - 5.0 * SCALE).abs() < 1e-9);
    }

    #[test]
    fn texts_never_cover_each_other() {
        let block = |at| Block { lines: vec![String::new(); 2], at, notch: at, width: 80.0 };
        let mut blocks = [10.0, 20.0, 30.0, 500.0].map(block);
        assert!(spread(&mut blocks, 500.0));
        assert!(blocks.windows(2).all(|b| b[1].at - b[0].at >= 80.0 - 1e-9));
        assert!(blocks[0].at >= 40.0 && blocks[3].at <= 460.0);
        let mut many = [1.0; 7].map(block);
        assert!(!spread(&mut many, 500.0));
    }
}
