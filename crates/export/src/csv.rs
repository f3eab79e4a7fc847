//! The saw's files. `docs/saw-feed.md` says what every column means.
//!
//! UTF-8 without a byte order mark, RFC 4180 (comma, double quotes, CRLF). Numbers have a decimal
//! point and no unit; text that a spreadsheet would run is made harmless by an apostrophe before it.

use crate::ExportError;
use crate::groups::{GroupId, group_name};
use crate::text::{degrees, inches_4, length_text, mm_2, trimmed};
use crate::view::View;
use geom::Length;
use lumber::Section;
use plan_model::{Board, Layer, PieceId, piece_name, storey_id_name};
use std::borrow::Cow;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

const CUTS: [&str; 18] = [
    "piece",
    "group",
    "mark",
    "project",
    "lot",
    "storey",
    "wall",
    "layer",
    "section",
    "grade",
    "qty",
    "length_in",
    "length_mm",
    "length_text",
    "left_cut_deg",
    "right_cut_deg",
    "notches",
    "label",
];

const GROUPED: [&str; 14] = [
    "group",
    "section",
    "grade",
    "qty",
    "length_in",
    "length_mm",
    "length_text",
    "left_cut_deg",
    "right_cut_deg",
    "notches",
    "qty_bottom",
    "qty_lower",
    "qty_upper",
    "pieces",
];

const STOCK: [&str; 13] = [
    "board",
    "section",
    "length_ft",
    "length_mm",
    "position",
    "piece",
    "mark",
    "piece_length_in",
    "piece_length_text",
    "offcut_in",
    "offcut_mm",
    "grade",
    "from",
];

/// What a board's grade must be: `treated` for bottom plates on concrete, else left to the yard.
fn grade(treated: bool) -> &'static str {
    if treated { "treated" } else { "" }
}

/// One row a piece, in the order of `plan.json`.
pub(crate) fn cuts(view: &View, project: &str, lot: &str) -> Result<String, ExportError> {
    let mut out = Table::new(&CUTS)?;
    let (project, lot) = (harmless(project), harmless(lot));
    for (id, p) in view.pieces() {
        let length = length_text(p);
        let label = [lot.as_ref(), &p.mark, p.section.name(), p.layer.name(), &length];
        let label: Vec<&str> = label.into_iter().filter(|s| !s.is_empty()).collect();
        out.row(&[
            &piece_name(id),
            &group_name(view.groups.of_piece[id.0 as usize]),
            &harmless(&p.mark),
            &project,
            &lot,
            &storey_id_name(p.storey),
            &view.wall_names(p),
            p.layer.name(),
            p.section.name(),
            grade(view.doc.plan.is_treated(p)),
            "1",
            &inches_4(p.length),
            &mm_2(p.length),
            &length,
            &degrees(p.ends[0].cut_deg),
            &degrees(p.ends[1].cut_deg),
            &view.notch_codes(id),
            &harmless(&label.join(" / ")),
        ])?;
    }
    out.finish()
}

/// One row a group; its cells are those of its first piece, and true of all.
pub(crate) fn cuts_grouped(view: &View) -> Result<String, ExportError> {
    let mut out = Table::new(&GROUPED)?;
    for (g, members) in view.groups.members.iter().enumerate() {
        let Some(first) = members.first() else { continue };
        let p = view.doc.piece(*first);
        let of_layer = |layer: Layer| {
            members.iter().filter(|m| view.doc.piece(**m).layer == layer).count().to_string()
        };
        let ids: Vec<String> = members.iter().map(|m| piece_name(*m)).collect();
        out.row(&[
            &group_name(GroupId(g as u32)),
            p.section.name(),
            grade(view.doc.plan.is_treated(p)),
            &members.len().to_string(),
            &inches_4(p.length),
            &mm_2(p.length),
            &length_text(p),
            &degrees(p.ends[0].cut_deg),
            &degrees(p.ends[1].cut_deg),
            &view.notch_codes(*first),
            &of_layer(Layer::Bottom),
            &of_layer(Layer::Lower),
            &of_layer(Layer::Upper),
            &ids.join(" "),
        ])?;
    }
    out.finish()
}

/// One row a piece in cutting order; a board nothing is cut from still has its row.
pub(crate) fn stock(view: &View) -> Result<String, ExportError> {
    let mut out = Table::new(&STOCK)?;
    for (b, board) in view.doc.boards.iter().enumerate() {
        let name = board_name(b);
        let feet = trimmed(board.length().to_inches() / 12.0, 4);
        let mm = mm_2(board.length());
        let own = view.doc.label_on_hand(board);
        let from = own.map_or(Cow::Borrowed("buy"), |label| match label {
            "" => Cow::Borrowed("on hand"),
            label => harmless(label),
        });
        let (offcut_in, offcut_mm) = (inches_4(board.offcut), mm_2(board.offcut));
        let mut row = |position: &str, piece: Option<PieceId>| {
            let p = piece.map(|id| view.doc.piece(id));
            out.row(&[
                &name,
                board.section.name(),
                &feet,
                &mm,
                position,
                &piece.map(piece_name).unwrap_or_default(),
                &p.map(|p| harmless(&p.mark)).unwrap_or_default(),
                &p.map(|p| inches_4(p.length)).unwrap_or_default(),
                &p.map(length_text).unwrap_or_default(),
                &offcut_in,
                &offcut_mm,
                grade(board.treated),
                &from,
            ])
        };
        if board.cuts.is_empty() {
            row("", None)?;
        }
        for (i, piece) in board.cuts.iter().enumerate() {
            row(&(i + 1).to_string(), Some(*piece))?;
        }
    }
    out.finish()
}

/// What is left over: boards on hand that nothing is cut from, and offcuts of a foot and more, in the
/// form of a list of boards on hand. Lengths are rounded down to the tape.
pub(crate) fn leftovers(view: &View) -> Result<String, ExportError> {
    let doc = view.doc;
    let taken: BTreeSet<u32> = doc.boards.iter().filter_map(Board::index_on_hand).collect();
    let spare = doc.settings.stock.on_hand.iter().enumerate();
    let spare = spare.filter(|(i, _)| !taken.contains(&(*i as u32)));
    let mut left: BTreeMap<(Section, bool, Reverse<Length>, Cow<str>), usize> = BTreeMap::new();
    for (_, b) in spare {
        *left
            .entry((b.section, b.treated, Reverse(b.length), Cow::Borrowed(&b.label)))
            .or_default() += 1;
    }
    for b in doc.boards.iter().filter(|b| b.offcut >= WORTH_KEEPING) {
        let length = b.offcut.floor_to(Length::sixteenths(1));
        let label = Cow::Borrowed(doc.label_on_hand(b).unwrap_or_default());
        *left.entry((b.section, b.treated, Reverse(length), label)).or_default() += 1;
    }
    let mut out = Table::new(&settings::on_hand::COLUMNS)?;
    for ((section, treated, length, label), n) in left {
        out.row(&[
            section.name(),
            &inches_4(length.0),
            &n.to_string(),
            grade(treated),
            &harmless(&label),
        ])?;
    }
    out.finish()
}

/// Shorter offcuts are blocking or firewood (common practice, no source).
const WORTH_KEEPING: Length = Length::inches(12);

/// `B` and a number from 1.
pub fn board_name(index: usize) -> String {
    format!("BD{}", index + 1)
}

/// Text that a spreadsheet would run as a formula gets an apostrophe before it; a plain number is
/// left alone, or negative numbers would be spoilt. The wide forms are what East Asian input methods
/// type, and run as well.
pub fn harmless(text: &str) -> Cow<'_, str> {
    let risky = text.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
    ]);
    let number = text.parse::<f64>().is_ok_and(f64::is_finite);
    if risky && !number { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// A CSV file in the making, in the dialect of all our CSV files.
pub struct Table(csv::Writer<Vec<u8>>);

impl Table {
    /// An empty table.
    pub fn new(header: &[&str]) -> Result<Table, ExportError> {
        let writer =
            csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
        let mut table = Table(writer);
        table.row(header)?;
        Ok(table)
    }
    /// One row, as wide as the header.
    pub fn row(&mut self, cells: &[&str]) -> Result<(), ExportError> {
        self.0.write_record(cells).map_err(|e| ExportError::Csv(e.to_string()))
    }
    /// Its text.
    pub fn finish(self) -> Result<String, ExportError> {
        let bytes = self.0.into_inner().map_err(|e| ExportError::Csv(e.to_string()))?;
        String::from_utf8(bytes).map_err(|e| ExportError::Csv(e.to_string()))
    }
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn formulas_are_disarmed_and_numbers_are_not() {
        for bad in ["=1+1", "+SUM(A1)", "-2+3", "@A1", "\t=1", "\r=1", "\u{ff1d}1", "=cmd|' /C'!A0"]
        {
            assert_eq!(harmless(bad), format!("'{bad}"));
        }
        for good in ["-3.5", "+2", "Lot 12", "A-U3", "", "'quoted"] {
            assert_eq!(harmless(good), good);
        }
    }
}
