//! Piece labels: one for each piece, to be cut out and stapled on.

use crate::SheetError;
use crate::book::Book;
use crate::font::{Weight, shown};
use crate::page::{Dash, INK, Item, broken, pen};
use crate::words::{Names, board_name, length, unbroken};
use export::text::{cut_text, length_text, other_length_text};
use export::view::View;
use plan_model::{PieceId, piece_name, run_name};
use qrcodegen::{Mask, QrCode, QrCodeEcc, QrSegment, Version};
use std::collections::BTreeMap;

/// The mask of codes by length of text.
type Masks = BTreeMap<usize, Mask>;

/// Labels across and down an upright page.
const ACROSS: usize = 3;
const DOWN: usize = 8;

const TITLE: &str = "Piece labels, in the order of the cut sheet; arrow to the piece's start";

/// All labels, in the order of the boards they are cut from, so that a saw operator takes them from
/// the pile one by one; pieces without a board last.
pub(crate) fn tags(book: &mut Book, view: &View, names: &Names) -> Result<(), SheetError> {
    let mut order: Vec<PieceId> = view.doc.boards.iter().flat_map(|b| &b.cuts).copied().collect();
    order.extend(
        view.pieces().map(|(id, _)| id).filter(|id| view.board_of[id.0 as usize].is_none()),
    );
    let k = book.k;
    let mut masks = Masks::new();
    for (n, id) in order.iter().enumerate() {
        let place = n % (ACROSS * DOWN);
        if place == 0 {
            book.start(TITLE, false);
        }
        let [left, top, right, bottom] = book.frame(false);
        let (w, h) = ((right - left) / ACROSS as f64, (bottom - top - 4.0 * k) / DOWN as f64);
        let (x, y) =
            (left + (place % ACROSS) as f64 * w, top + (place / ACROSS) as f64 * h + 2.0 * k);
        book.page().rect((x, y), (w, h), None, broken(0.9, Dash::Dashed));
        tag(book, view, names, &mut masks, *id, (x, y, w, h))?;
    }
    Ok(())
}

fn tag(
    book: &mut Book,
    view: &View,
    names: &Names,
    masks: &mut Masks,
    id: PieceId,
    (x, y, w, h): (f64, f64, f64, f64),
) -> Result<(), SheetError> {
    let k = book.k;
    let p = view.doc.piece(id);
    let side = (h - 27.0 * k).min(w * 0.36);
    code(book, masks, &piece_name(id), (x + w - side - 3.0 * k, y + 3.0 * k), side)?;
    let room = w - side - 14.0 * k;
    let left = x + 6.0 * k;
    let mark = shown(&p.mark);
    // As large as there is room for, down to what is read at arm's length.
    let size = [22.0, 19.0, 16.5, 14.0]
        .into_iter()
        .find(|s| book.fonts.width(Weight::Bold, s * k, &mark) <= room)
        .unwrap_or(14.0);
    let mark = book.fonts.fitted(Weight::Bold, size * k, &mark, room);
    book.put((left, y + 20.0 * k), size, Weight::Bold, &mark);
    let board = view.board_of[id.0 as usize].map(board_name);
    let lot = if names.lot.is_empty() { String::new() } else { format!("lot {}", names.lot) };
    let place = format!("{} {}", run_name(p.run), view.wall_names(p));
    let foot: Vec<String> = [Some(piece_name(id)), board, Some(place), Some(lot)]
        .into_iter()
        .flatten()
        .filter(|s| !s.is_empty())
        .collect();
    let lines = [
        (11.5, Weight::Bold, unbroken(&length_text(p)), room),
        (7.5, Weight::Book, unbroken(&other_length_text(p)), room),
        (
            7.5,
            Weight::Book,
            {
                let treated = if view.doc.plan.is_treated(p) { " treated" } else { "" };
                format!("{} {}{treated}", p.section.name(), p.layer.name())
            },
            room,
        ),
        (7.0, Weight::Book, foot.join(" \u{b7} "), room),
    ];
    let mut base = y + 21.5 * k;
    for (size, weight, text, room) in lines {
        base += size * 1.13 * k;
        let text = book.fonts.fitted(weight, size * k, &text, room);
        book.put((left, base), size, weight, &text);
    }
    cuts(book, view, id, (x, y, w, h));
    Ok(())
}

/// What is cut at the piece's ends and edges, at the label's foot, behind the arrow to its start.
fn cuts(book: &mut Book, view: &View, id: PieceId, (x, y, w, h): (f64, f64, f64, f64)) {
    let k = book.k;
    let (left, room) = (x + 18.0 * k, w - 23.0 * k);
    let text = unbroken(&cuts_in_short(view, id));
    let wrapped = |size: f64| book.fonts.wrapped(Weight::Bold, size * k, &text, room);
    // In two lines, or in three smaller ones; a piece with more than that has its sketch.
    let fits = |size: &f64| wrapped(*size).len() <= 2;
    let (size, most) = match [7.5, 7.0, 6.5].into_iter().find(fits) {
        Some(size) => (size, 2),
        None => (5.6, 3),
    };
    let mut lines = wrapped(size);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = book.fonts.fitted(
                Weight::Bold,
                size * k,
                &format!("{last} \u{2026} and more, see crew sheet"),
                room,
            );
        }
    }
    let step = size * 1.15 * k;
    let mut base = y + h - 3.5 * k - step * (most as f64 - 1.0);
    for line in lines {
        book.put((left, base), size, Weight::Bold, &line);
        base += step;
    }
    // The arrow looks along the label's letters, so that it is laid along the piece.
    let (tip, middle) = (x + 4.0 * k, y + h - 9.5 * k);
    let page = book.page();
    page.line((tip + 5.0 * k, middle), (tip + 11.0 * k, middle), pen(2.4));
    page.ring(
        &[(tip, middle), (tip + 5.5 * k, middle - 4.0 * k), (tip + 5.5 * k, middle + 4.0 * k)],
        INK,
        None,
    );
}

/// `start 22.5\u{b0}, right longer; end square; notch left 9'-8 1/4" to 10'-0"`. Stations from the start.
pub(crate) fn cuts_in_short(view: &View, id: PieceId) -> String {
    let p = view.doc.piece(id);
    let metric = p.section.is_metric();
    let ends = view.shapes[id.0 as usize].end_cuts;
    let [start, end] = [0, 1]
        .map(|i| cut_text(&p.ends[i], ends[i], "crew sheet").replace(" edge longer", " longer"));
    let mut told = match (start.as_str(), end.as_str()) {
        ("square", "square") => "start and end square".to_owned(),
        _ => format!("start {start}; end {end}").replace("blade tilted ", "tilt "),
    };
    for n in &p.notches {
        let (from, to) = (length(n.from, metric), length(n.to, metric));
        told.push_str(&format!("; notch {} {from} to {to}", n.side.name()));
    }
    told
}

/// A QR code (ISO/IEC 18004) of a short text, quiet zone included. The standard leaves eight masks to
/// choose from, all of them readable; trying them is most of the work, so it is done once for each
/// length of text and `masks` remembers the choice.
fn code(
    book: &mut Book,
    masks: &mut Masks,
    text: &str,
    (x, y): (f64, f64),
    side: f64,
) -> Result<(), SheetError> {
    let known = masks.get(&text.len()).copied();
    let segments = QrSegment::make_segments(text);
    let qr = QrCode::encode_segments_advanced(
        &segments,
        QrCodeEcc::Medium,
        Version::MIN,
        Version::MAX,
        known,
        true,
    )
    .map_err(|_| SheetError::Code(text.to_owned()))?;
    masks.insert(text.len(), qr.mask());
    // Four modules stay white all round.
    let module = side / f64::from(qr.size() + 8);
    let mut runs = Vec::new();
    // A code has at most 177 modules to a side.
    let small = |v: i32| u8::try_from(v).unwrap_or(u8::MAX);
    for row in 0..qr.size() {
        let mut column = 0;
        while column < qr.size() {
            let from = column;
            while column < qr.size() && qr.get_module(column, row) {
                column += 1;
            }
            if column > from {
                runs.push((small(from), small(row), small(column - from)));
            } else {
                column += 1;
            }
        }
    }
    let at = (x + 4.0 * module, y + 4.0 * module);
    book.page().items.push(Item::Grid { at, module, runs });
    Ok(())
}
