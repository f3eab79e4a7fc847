//! The first sheet: what job this is, what to mind, how the sheets are read, nails, boards, and what
//! the program found.

use crate::book::{Book, severity_sign};
use crate::font::{Weight, shown};
use crate::nails::NailKey;
use crate::page::{Dash, INK, TINT, broken, hatch, pen};
use crate::ties::{self, sign};
use crate::words::{BOARDS, CAUTIONS, DOORS_RUN, DOORS_STOP, Names, STEPS, count, unbroken};
use diag::Severity;
use export::view::View;
use lumber::Section;
use settings::lumber_name;
use std::collections::BTreeMap;

/// More findings than these are a matter for the report, not for the crew.
const FINDINGS: usize = 40;

/// The sheet.
pub(crate) fn front(book: &mut Book, view: &View, names: &Names, key: &NailKey) {
    let doc = view.doc;
    book.start("Crew sheets: wall plates", false);
    book.y += 4.0 * book.k;
    book.paragraph(0.0, 14.0, Weight::Bold, &names.house);
    let digits =
        if names.drawing.is_empty() { String::new() } else { format!(" ({})", names.drawing) };
    let facts = format!(
        "Drawing {}{digits}. {}, {}, {}, {}.",
        names.file,
        count(doc.floor.storeys.len(), "storey"),
        count(doc.floor.runs.len(), "wall"),
        count(doc.plan.pieces.len(), "piece"),
        count(doc.boards.len(), "board"),
    );
    book.paragraph(0.0, 9.0, Weight::Book, &facts);
    cautions(book);
    findings(book, view);
    let doors = if doc.settings.plates.bottom_stops_at_doors { DOORS_STOP } else { DOORS_RUN };
    let steps: Vec<&str> = STEPS[..2].iter().chain([&doors]).chain(&STEPS[2..]).copied().collect();
    boards(book, view);
    nails(book, view, key);
    list(book, "Order of work", &steps, true);
    list(book, "Which board goes where", &BOARDS, false);
    reading(book);
}

fn cautions(book: &mut Book) {
    let k = book.k;
    book.y += 8.0 * k;
    let top = book.y;
    book.y += 4.0 * k;
    book.paragraph(8.0, 11.0, Weight::Bold, "Cautions");
    for text in CAUTIONS {
        let at = book.y + 7.0 * k;
        let [left, ..] = book.frame(false);
        book.page().circle((left + 12.0 * k, at), 1.6 * k, INK, None);
        book.paragraph(18.0, 9.0, Weight::Book, text);
    }
    let text = "This is not engineering: local code, the stamped drawings and the building official decide.";
    book.paragraph(8.0, 9.0, Weight::Bold, text);
    book.y += 5.0 * k;
    let [left, _, right, _] = book.frame(false);
    let high = book.y - top;
    book.page().rect((left, top), (right - left, high), None, pen(2.0));
}

fn list(book: &mut Book, title: &str, lines: &[&str], numbered: bool) {
    book.subheading(title, 30.0);
    for (i, text) in lines.iter().enumerate() {
        let k = book.k;
        book.need(12.0 * k);
        let [left, ..] = book.frame(false);
        let base = book.y + 9.0 * k;
        if numbered {
            book.put((left, base), 9.0, Weight::Bold, &format!("{}.", i + 1));
        } else {
            book.page().circle((left + 4.0 * k, base - 3.0 * k), 1.6 * k, INK, None);
        }
        book.paragraph(16.0, 9.0, Weight::Book, text);
    }
}

/// How plans, lengths and names are read.
fn reading(book: &mut Book) {
    let k = book.k;
    let texts = [
        "Lengths are feet, inches and sixteenths (or millimetres), long point to long point. The large one is cut.",
        "A piece starts at its left end on the drawing, an upright wall's at its lower end. Left and right edge are seen from start to end, from above.",
        "R4 is a wall, in a round box on the plans; U4c is the third upper plate of R4, L4 its lower one, B4 its bottom one.",
        "Near and far face: of the other wall's plates, as seen from the middle of the piece; a corner's far face is its outer one. Measure at the floor.",
        "A lower plate's bottom plate is beside it where both are cut alike: tick both.",
        "Layout strip of a wall: thin line = regular stud, black = end, corner, king or trimmer, box that stands out = wall that meets it, white = its plates pass through, \
         numbered = opening, heavy line = joint. A regular stud is left out in an opening and where another stands in its place.",
        "Nails: 3a at 4'-0\" means three nails of kind a, 4'-0\" from the piece's start. At each stud: over its middle, at an end as far in as the stud goes; top plates not at trimmers.",
        "Bevels are the saw's angle from square: 0\u{b0} is a square cut. The word says which edge stays longer.",
    ];
    // All of it on one page: a page with its last line alone is a page too many.
    let [left, _, right, _] = book.frame(false);
    let wrapped = |t: &&str| book.fonts.wrapped(Weight::Book, 9.0 * k, t, right - left).len();
    let lines: usize = texts.iter().map(wrapped).sum();
    book.subheading("How to read the sheets", lines as f64 * 9.0 * 1.28 + 54.0);
    for text in texts {
        book.paragraph(0.0, 9.0, Weight::Book, text);
    }
    book.y += 4.0 * k;
    let y = book.y;
    let column = 135.0 * k;
    let cell = |i: usize| (left + (i % 4) as f64 * column, y + (i / 4) as f64 * 15.0 * k + 8.0 * k);
    let plates = [
        "upper plate",
        "lower or bottom plate",
        "joint of this layer",
        "joint of the other layer",
        "notch",
    ];
    for (i, name) in plates.iter().enumerate() {
        let (x, y) = cell(i);
        let bar = [
            (x, y - 4.0 * k),
            (x + 26.0 * k, y - 4.0 * k),
            (x + 26.0 * k, y + 4.0 * k),
            (x, y + 4.0 * k),
        ];
        let page = book.page();
        match i {
            0 => {
                page.path(hatch(&bar, 35.0, 3.6 * k), None, pen(0.9));
                page.ring(&bar, None, pen(1.5));
            }
            1 => page.ring(&bar, TINT, pen(1.5)),
            2 => page.line((x + 13.0 * k, y - 6.0 * k), (x + 13.0 * k, y + 6.0 * k), pen(3.4)),
            3 => page.line(
                (x + 13.0 * k, y - 6.0 * k),
                (x + 13.0 * k, y + 6.0 * k),
                broken(2.2, Dash::Dotted),
            ),
            _ => {
                let bite = [
                    (x + 6.0 * k, y - 4.0 * k),
                    (x + 6.0 * k, y + 1.0 * k),
                    (x + 20.0 * k, y + 1.0 * k),
                    (x + 20.0 * k, y - 4.0 * k),
                ];
                page.chain(&bite, pen(3.2));
            }
        }
        book.put((x + 32.0 * k, y + 3.0 * k), 8.5, Weight::Book, name);
    }
    for (i, (kind, word)) in ties::KINDS.into_iter().enumerate() {
        let (x, y) = cell(i + plates.len());
        sign(book.page(), (x + 13.0 * k, y), 4.0 * k, kind);
        book.put((x + 32.0 * k, y + 3.0 * k), 8.5, Weight::Book, word);
    }
    book.y = y + 47.0 * k;
}

fn nails(book: &mut Book, view: &View, key: &NailKey) {
    let fasteners = &view.doc.plan.fasteners;
    if fasteners.is_empty() && key.kinds().next().is_none() {
        return;
    }
    book.subheading("Nails and hardware", 40.0);
    for (letter, kind) in key.kinds() {
        book.paragraph(0.0, 9.0, Weight::Bold, &format!("{letter}: {kind}"));
    }
    for f in fasteners {
        let count = format!("{}\u{a0}\u{d7}\u{a0}", f.count);
        let text = format!("{count}{}, {}", shown(&f.nail), shown(&f.purpose));
        book.paragraph(16.0, 9.0, Weight::Book, &text);
    }
}

fn boards(book: &mut Book, view: &View) {
    let mut buy: BTreeMap<(Section, bool, u32), usize> = BTreeMap::new();
    let mut on_hand: BTreeMap<(Section, bool), usize> = BTreeMap::new();
    for b in &view.doc.boards {
        match b.bought_ft() {
            Some(feet) => *buy.entry((b.section, b.treated, feet)).or_default() += 1,
            None => *on_hand.entry((b.section, b.treated)).or_default() += 1,
        }
    }
    if buy.is_empty() && on_hand.is_empty() {
        return;
    }
    book.subheading("Boards", 30.0);
    let mut told: Vec<String> = buy
        .iter()
        .map(|((s, treated, feet), n)| {
            unbroken_item(&format!("{n} \u{d7} {}, {feet} ft", lumber_name(*s, *treated)))
        })
        .collect();
    told.extend(
        on_hand
            .iter()
            .map(|((s, treated), n)| format!("{n} \u{d7} {} on hand", lumber_name(*s, *treated)))
            .map(|text| unbroken_item(&text)),
    );
    book.paragraph(0.0, 9.0, Weight::Book, &told.join("; "));
}

/// A number of boards and what they are, on one line.
fn unbroken_item(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// Errors and warnings: what the crew must know before it cuts.
fn findings(book: &mut Book, view: &View) {
    let grave: Vec<_> = view.doc.findings.iter().filter(|f| f.severity != Severity::Note).collect();
    if grave.is_empty() {
        return;
    }
    book.subheading("What the plan could not settle", 40.0);
    for f in grave.iter().take(FINDINGS) {
        let k = book.k;
        book.need(12.0 * k);
        let [left, ..] = book.frame(false);
        let at = (left + 5.0 * k, book.y + 6.2 * k);
        severity_sign(book.page(), at, 3.2 * k, f.severity);
        let text = unbroken(&format!("{}: {}", f.severity.name(), shown(&f.message)));
        book.paragraph(16.0, 9.0, Weight::Book, &text);
    }
    if grave.len() > FINDINGS {
        let more = grave.len() - FINDINGS;
        book.paragraph(0.0, 9.0, Weight::Bold, &format!("And {more} more: see report.html."));
    }
}
