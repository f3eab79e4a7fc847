//! The saw's files. `docs/saw-feed.md` says what every column means.
//!
//! UTF-8 without a byte order mark, RFC 4180 (comma, double quotes, CRLF). Numbers have no unit, and a
//! decimal point unless the settings ask for a comma; text that a spreadsheet would run is made harmless by
//! an apostrophe before it.

use crate::groups::{GroupId, group_name};
use crate::text::{degrees, grade, inches_4, length_text, mm_2, trimmed};
use crate::view::View;
use crate::{ExportError, Table, feed, harmless};
use geom::Length;
use lumber::Section;
use plan_model::{Board, Layer, PieceId, piece_name, storey_id_name};
use settings::FeedSettings;
use std::borrow::Cow;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// The rows of `cuts.csv` without what names project and lot.
pub(crate) struct Cuts {
    form: FeedSettings,
    /// A piece each: the cells of [`feed::CUTS`], and what its label says after the lot.
    rows: Vec<([String; 20], String)>,
}

impl Cuts {
    /// One row a piece, in the order of `plan.json`.
    pub(crate) fn of(view: &View) -> Cuts {
        let form = view.doc.settings.feed;
        let row = |(id, p): (PieceId, &plan_model::Piece)| {
            let length = length_text(p);
            let label = [&p.mark, p.section.name(), p.layer.name(), &length];
            let label: Vec<&str> = label.into_iter().filter(|s| !s.is_empty()).collect();
            let label = label.join(" / ");
            let cells = [
                piece_name(id),
                group_name(view.groups.of_piece[id.0 as usize]),
                harmless(&p.mark).into_owned(),
                String::new(),
                String::new(),
                storey_id_name(p.storey),
                view.wall_names(p),
                p.layer.name().to_owned(),
                p.section.name().to_owned(),
                grade(view.doc.plan.is_treated(p)).to_owned(),
                "1".to_owned(),
                inches_4(p.length),
                mm_2(p.length),
                length,
                degrees(p.ends[0].cut_deg),
                degrees(p.ends[1].cut_deg),
                view.notch_codes(id, form.unit),
                String::new(),
                degrees(p.ends[0].tilt_deg),
                degrees(p.ends[1].tilt_deg),
            ];
            (cells, label)
        };
        Cuts { form, rows: view.pieces().map(row).collect() }
    }
    /// `cuts.csv` of a lot.
    pub(crate) fn text(&self, project: &str, lot: &str) -> Result<String, ExportError> {
        let mut out = Table::of(&feed::CUTS, self.form)?;
        let (project, lot) = (harmless(project), harmless(lot));
        for (cells, label) in &self.rows {
            let label = match lot.as_ref() {
                "" => Cow::Borrowed(label.as_str()),
                lot => Cow::Owned(format!("{lot} / {label}")),
            };
            let mut row = cells.each_ref().map(String::as_str);
            (row[3], row[4]) = (&project, &lot);
            let label = harmless(&label);
            row[17] = &label;
            out.row(&row)?;
        }
        out.finish()
    }
}

/// One row a group; its cells are those of its first piece, and true of all.
pub(crate) fn cuts_grouped(view: &View) -> Result<String, ExportError> {
    let form = view.doc.settings.feed;
    let mut out = Table::of(&feed::GROUPED, form)?;
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
            &view.notch_codes(*first, form.unit),
            &of_layer(Layer::Bottom),
            &of_layer(Layer::Lower),
            &of_layer(Layer::Upper),
            &ids.join(" "),
            &degrees(p.ends[0].tilt_deg),
            &degrees(p.ends[1].tilt_deg),
        ])?;
    }
    out.finish()
}

/// One row a piece in cutting order; a board nothing is cut from still has its row.
pub(crate) fn stock(view: &View) -> Result<String, ExportError> {
    let mut out = Table::of(&feed::STOCK, view.doc.settings.feed)?;
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
    let mut out = Table::of(&feed::LEFTOVERS, doc.settings.feed)?;
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
