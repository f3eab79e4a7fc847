//! The cut sheet: every board with its pieces in cutting order, kerfs, and what is left.

use crate::book::Book;
use crate::font::{Weight, shown};
use crate::page::{At, PAPER, hatch, pen};
use crate::words::{board_name, count, length, unbroken};
use export::text::{bevel_text, degrees, length_text, other_length_text};
use export::view::View;
use geom::Length;
use plan_model::{Board, PieceId};
use settings::lumber_name;

/// Height of the bar that stands for a board.
const BAR: f64 = 17.0;

/// All boards.
pub(crate) fn boards(book: &mut Book, view: &View) {
    book.start("Cut sheet", false);
    let doc = view.doc;
    let stock = &doc.settings.stock;
    let metric = doc.boards.first().is_some_and(|b| b.section.is_metric());
    let text = format!(
        "{}. Cut from the left end in this order, measuring each piece; a saw cut takes {}{}. Hatched is left over. A piece's \
         position is that of its first end from the board's left end. Write the mark at that end: it is the piece's start, from which \
         notches and nails are measured. Bevels are the saw's angle from square; notches: see the crew sheets.",
        count(doc.boards.len(), "board"),
        length(stock.kerf, metric),
        if stock.end_trim > Length::ZERO {
            format!(", and {} comes off the left end first", length(stock.end_trim, metric))
        } else {
            String::new()
        },
    );
    book.y += 2.0 * book.k;
    book.paragraph(0.0, 9.0, Weight::Book, &unbroken(&text));
    if doc.boards.is_empty() {
        book.paragraph(0.0, 10.0, Weight::Bold, "No boards.");
    }
    book.y += 6.0 * book.k;
    // One scale for all, so that lengths can be compared by eye.
    let longest = doc.boards.iter().map(Board::length).max().unwrap_or(Length::ZERO);
    for (i, b) in doc.boards.iter().enumerate() {
        board(book, view, i, b, longest);
    }
}

fn board(book: &mut Book, view: &View, index: usize, b: &Board, longest: Length) {
    let k = book.k;
    let [left, _, right, _] = book.frame(false);
    let room = right - left;
    let metric = b.section.is_metric();
    let scale = room / longest.to_inches().max(1.0);
    let lines = told(book, view, b, metric, room);
    let height = (16.0 + BAR + 5.0 + 11.0 * lines.len() as f64 + 6.0) * k;
    book.need(height);
    let y = book.y;
    book.tick_box((left, y + 4.0 * k));
    let mut x = left + 14.0 * k;
    let name = board_name(index);
    book.put((x, y + 12.0 * k), 12.0, Weight::Bold, &name);
    x += book.fonts.width(Weight::Bold, 12.0 * k, &name) + 8.0 * k;
    let from = match b.bought_ft() {
        Some(feet) => format!("{feet} ft"),
        None => format!("{} on hand", length(b.length(), metric)),
    };
    let what = format!("{}, {from}", lumber_name(b.section, b.treated));
    book.put((x, y + 12.0 * k), 10.0, Weight::Bold, &what);
    x += book.fonts.width(Weight::Bold, 10.0 * k, &what) + 6.0 * k;
    let left_over = format!("left over {}", length(b.offcut, metric));
    let wide = book.fonts.width(Weight::Book, 9.0 * k, &left_over);
    if let Some(label) = view.doc.label_on_hand(b).map(shown).filter(|l| !l.is_empty()) {
        let label = format!("\u{201c}{label}\u{201d}");
        let label = book.fonts.fitted(Weight::Book, 10.0 * k, &label, right - wide - 8.0 * k - x);
        book.put((x, y + 12.0 * k), 10.0, Weight::Book, &label);
    }
    book.put_right((right, y + 12.0 * k), 9.0, Weight::Book, &left_over);
    bar(book, view, b, (left, y + 16.0 * k), scale);
    for (i, line) in lines.iter().enumerate() {
        let base = y + (16.0 + BAR + 11.0 * (i + 1) as f64) * k;
        book.put((left, base), 8.5, Weight::Book, line);
    }
    book.y = y + height;
}

/// The pieces in words: position, mark, length, cuts; as many to a line as there is room for.
fn told(book: &Book, view: &View, b: &Board, metric: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let fits = |text: &str| book.fonts.width(Weight::Book, 8.5 * book.k, text) <= room;
    for (at, id) in positions(view, b) {
        let p = view.doc.piece(id);
        let shape = &view.shapes[id.0 as usize];
        let cuts = [0, 1].map(|i| bevel_text(&p.ends[i], shape.end_cuts[i], "crew sheets"));
        let mut text = format!(
            "{}: {} {} ({})",
            length(at, metric),
            shown(&p.mark),
            unbroken(&length_text(p)),
            unbroken(&other_length_text(p)),
        );
        if at + p.length == b.length() {
            text.push_str(", whole board: check, trim if longer");
        }
        if cuts.iter().any(|c| c != "square") {
            text.push_str(&format!(", start {}; end {}", cuts[0], cuts[1]));
        }
        if p.rake.is_some() {
            let tilt = degrees((90.0 - p.ends[0].tilt_deg).abs());
            text.push_str(&format!(", blade tilted {tilt}\u{b0} both ends, parallel"));
        }
        if !p.notches.is_empty() {
            text.push_str(&format!(
                ", {}",
                if p.notches.len() == 1 {
                    "1 notch".into()
                } else {
                    format!("{} notches", p.notches.len())
                }
            ));
        }
        match lines.last_mut().filter(|l| fits(&format!("{l}   |   {text}"))) {
            Some(line) => {
                line.push_str("   |   ");
                line.push_str(&text);
            }
            None => lines.push(book.fonts.fitted(Weight::Book, 8.5 * book.k, &text, room)),
        }
    }
    lines
}

/// Where each piece begins, from the left end.
fn positions(view: &View, b: &Board) -> Vec<(Length, PieceId)> {
    let stock = &view.doc.settings.stock;
    let mut at = stock.end_trim;
    b.cuts
        .iter()
        .map(|id| {
            let from = at;
            at = at + view.doc.piece(*id).length + stock.kerf;
            (from, *id)
        })
        .collect()
}

fn bar(book: &mut Book, view: &View, b: &Board, (x, y): At, scale: f64) {
    let k = book.k;
    let high = BAR * k;
    let end = x + b.length().to_inches() * scale;
    let rest = |from: f64, to: f64| [(from, y), (to, y), (to, y + high), (from, y + high)];
    let trim = view.doc.settings.stock.end_trim.to_inches() * scale;
    if trim > 0.0 {
        let trim = rest(x, x + trim);
        book.page().path(hatch(&trim, 35.0, 3.6 * k), None, pen(0.9));
    }
    let mut last = x + trim;
    for (at, id) in positions(view, b) {
        let p = view.doc.piece(id);
        let (from, to) = (x + at.to_inches() * scale, x + (at + p.length).to_inches() * scale);
        book.page().ring(&rest(from, to), PAPER, pen(1.5));
        // The saw cut itself; a whole board has none.
        if at + p.length < b.length() {
            book.page().line((to, y - 3.0 * k), (to, y + high + 3.0 * k), pen(2.2));
        }
        let mark = shown(&p.mark);
        let size = [11.0, 9.0, 7.5]
            .into_iter()
            .find(|s| book.fonts.width(Weight::Bold, s * k, &mark) + 3.0 <= to - from);
        if let Some(size) = size {
            let w = book.fonts.width(Weight::Bold, size * k, &mark);
            let base = y + (BAR / 2.0 + size * 0.36) * k;
            book.put(((from + to - w) / 2.0, base), size, Weight::Bold, &mark);
        }
        last = to;
    }
    if end - last > 0.8 {
        let left = rest(last.min(end), end);
        book.page().path(hatch(&left, 35.0, 3.6 * k), None, pen(0.9));
    }
    book.page().ring(&rest(x, end), None, pen(1.0));
}
