//! What holds walls together on a storey, junction by junction, and the signs for it.

use crate::book::Book;
use crate::font::{Weight, shown};
use crate::page::{At, INK, PAPER, Page, Step, pen};
use crate::words::length;
use export::view::View;
use geom::Length;
use plan_model::{Tie, TieKind, junction_name, run_name};
use std::collections::BTreeSet;
use wall_model::floor::RunId;

/// Every kind of tie with its words, in the order of the legend.
pub(crate) const KINDS: [(TieKind, &str); 5] = [
    (TieKind::Lap, "lap"),
    (TieKind::Notch, "notch"),
    (TieKind::Strap, "strap or plate"),
    (TieKind::Screw, "screws"),
    (TieKind::None, "no tie"),
];

/// The sign of a tie: full square, open trough, bar with two eyes, crossed ring, struck ring.
pub(crate) fn sign(page: &mut Page, (x, y): At, r: f64, kind: TieKind) {
    let line = pen((r * 0.38).max(0.9));
    match kind {
        TieKind::Lap => page.rect((x - r * 0.85, y - r * 0.85), (r * 1.7, r * 1.7), INK, None),
        TieKind::Notch => {
            let shape = [
                (-1.0, -0.8),
                (-0.45, -0.8),
                (-0.45, 0.35),
                (0.45, 0.35),
                (0.45, -0.8),
                (1.0, -0.8),
                (1.0, 0.9),
                (-1.0, 0.9),
            ];
            page.ring(&shape.map(|(u, v)| (x + u * r, y + v * r)), INK, None);
        }
        TieKind::Strap => {
            page.line((x - r, y), (x + r, y), line);
            page.circle((x - r, y), r * 0.45, INK, None);
            page.circle((x + r, y), r * 0.45, INK, None);
        }
        TieKind::Screw => {
            page.circle((x, y), r, PAPER, line);
            let cross = vec![
                Step::Move((x - r, y)),
                Step::Line((x + r, y)),
                Step::Move((x, y - r)),
                Step::Line((x, y + r)),
            ];
            page.path(cross, None, line);
        }
        TieKind::None => {
            page.circle((x, y), r, PAPER, line);
            page.line((x - r * 0.7, y + r * 0.7), (x + r * 0.7, y - r * 0.7), line);
        }
    }
}

/// Column beginnings, points on letter paper: box, junction, sign, kind, walls, pieces, hold.
const COLUMNS: [f64; 6] = [14.0, 70.0, 86.0, 150.0, 250.0, 400.0];
const WIDE: f64 = 540.0;

/// The table; ties that are not wood and steps of height come first, they are what is forgotten.
pub(crate) fn ties(book: &mut Book, view: &View, storey: usize, name: &str) {
    let doc = view.doc;
    let here = |t: &&Tie| doc.floor.junction(t.junction).storey.0 as usize == storey;
    let step = |t: &Tie| step(view, t) > Length::ZERO;
    let special = |t: &&Tie| !matches!(t.kind, TieKind::Lap | TieKind::Notch) || step(t);
    let (first, rest): (Vec<&Tie>, Vec<&Tie>) =
        doc.plan.ties.iter().filter(here).partition(special);
    if first.is_empty() && rest.is_empty() {
        return;
    }
    book.start(&format!("Ties: {name}"), false);
    for (title, ties) in
        [("Steps of height, straps, plates and screws", first), ("Wood over wood", rest)]
    {
        if ties.is_empty() {
            continue;
        }
        book.subheading(title, 40.0);
        head(book);
        for tie in ties {
            row(book, view, tie);
        }
    }
}

/// How far apart the tops of the walls lie that a tie joins: where walls of three heights meet, each tie has its own
/// step. Of a tie that joins nothing, that of its junction.
fn step(view: &View, tie: &Tie) -> Length {
    let doc = view.doc;
    let j = doc.floor.junction(tie.junction);
    let runs: BTreeSet<RunId> = tie.pieces.iter().map(|p| doc.piece(*p).run).collect();
    if runs.len() < 2 {
        return j.step;
    }
    let tops = || runs.iter().map(|run| doc.floor.top_at(*run, j));
    tops().max().unwrap_or_default() - tops().min().unwrap_or_default()
}

fn head(book: &mut Book) {
    let [left, ..] = book.frame(false);
    let y = book.y + 10.0 * book.k;
    let titles = ["Junction", "", "Tie", "Walls", "Upper over lower", "Overlap or hardware"];
    for (x, title) in COLUMNS.into_iter().zip(titles) {
        book.put((left + x * book.k, y), 8.0, Weight::Bold, title);
    }
    book.y = y + 4.0 * book.k;
}

fn row(book: &mut Book, view: &View, tie: &Tie) {
    let doc = view.doc;
    let k = book.k;
    let j = doc.floor.junction(tie.junction);
    let metric = j.arms.first().is_some_and(|a| doc.floor.run(a.run).section.is_metric());
    let runs: Vec<String> = j.arms.iter().map(|a| run_name(a.run)).collect();
    let marks: Vec<String> = tie.pieces.iter().map(|p| shown(&doc.piece(*p).mark)).collect();
    let pieces = match (tie.kind, marks.split_first()) {
        (TieKind::Lap | TieKind::Notch, Some((upper, lower))) if !lower.is_empty() => {
            format!("{upper} over {}", lower.join(", "))
        }
        _ => marks.join(", "),
    };
    let mut hold = Vec::new();
    let step = step(view, tie);
    if step > Length::ZERO {
        hold.push(format!("step of {}", length(step, metric)));
    }
    if tie.overlap > Length::ZERO {
        hold.push(length(tie.overlap, metric));
    }
    if !tie.hardware.is_empty() {
        hold.push(shown(&tie.hardware));
    }
    let kind = KINDS.iter().find(|(k, _)| *k == tie.kind).map_or("", |(_, word)| word);
    let cells = [
        format!("{} {}", junction_name(tie.junction), j.kind.name()),
        String::new(),
        kind.to_owned(),
        runs.join(" "),
        pieces,
        hold.join("; "),
    ];
    let [left, _, right, _] = book.frame(false);
    let grow = right - left - WIDE * k;
    let ends = COLUMNS.into_iter().skip(1).map(|x| x * k).chain([WIDE * k + grow]);
    let lines: Vec<Vec<String>> = cells
        .iter()
        .zip(COLUMNS.into_iter().zip(ends))
        .map(|(text, (from, to))| {
            book.fonts.wrapped(Weight::Book, 8.5 * k, text, to - from * k - 4.0 * k)
        })
        .collect();
    let tall = lines.iter().map(Vec::len).max().unwrap_or(1).max(1);
    let height = (5.0 + 10.5 * tall as f64) * k;
    if book.need(height) {
        head(book);
    }
    let y = book.y;
    book.tick_box((left, y + 2.5 * k));
    for (i, (cell, x)) in lines.iter().zip(COLUMNS).enumerate() {
        let weight = if i == 0 { Weight::Bold } else { Weight::Book };
        for (row, line) in cell.iter().enumerate() {
            book.put((left + x * k, y + (10.5 + 10.5 * row as f64) * k), 8.5, weight, line);
        }
    }
    sign(book.page(), (left + (COLUMNS[1] + 6.0) * k, y + 7.0 * k), 3.6 * k, tie.kind);
    book.y = y + height;
    let y = book.y;
    book.page().line((left, y), (right, y), pen(0.9));
}
