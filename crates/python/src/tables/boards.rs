//! Boards, what they come to, nails, rules, and the proof.

use crate::table::{Rows, Table};
use export::board_name;
use plan_model::{Board, CheckLine, Document, Fastener, Plan, RuleNote, SectionStock, piece_name};

/// A number of things; there are never more than fit.
fn count(n: u64) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}

/// `BoardRow`.
pub fn boards(doc: &Document) -> Table {
    Rows::of(doc.boards.iter().enumerate())
        .text("board", |(i, _): &(usize, &Board)| board_name(*i))
        .text("section", |(_, b)| b.section.name().to_owned())
        .truth("treated", |(_, b)| b.treated)
        .length("length", |(_, b)| b.length())
        .whole_or_none("bought_ft", |(_, b)| b.bought_ft().map(i64::from))
        .text_or_none("on_hand", |(_, b)| doc.label_on_hand(b).map(str::to_owned))
        .texts("pieces", |(_, b)| b.cuts.iter().map(|p| piece_name(*p)).collect())
        .length("offcut", |(_, b)| b.offcut)
        .table()
}

/// `StockRow`.
pub fn stock(doc: &Document) -> Table {
    Rows::of(&doc.stock)
        .text("section", |s: &&SectionStock| s.section.name().to_owned())
        .truth("treated", |s| s.treated)
        .whole("boards", |s| count(s.boards))
        .whole("on_hand", |s| count(s.on_hand))
        .length("bought", |s| s.bought)
        .length("used", |s| s.used)
        .length("lower_bound", |s| s.lower_bound_length)
        .whole("lower_bound_boards", |s| count(s.lower_bound_boards))
        .whole_or_none("cost_hundredths", |s| s.cost.map(|c| c.hundredths))
        .whole_or_none("lower_bound_cost_hundredths", |s| s.cost.map(|c| c.lower_bound))
        .table()
}

/// `FastenerRow`.
pub fn fasteners(plan: &Plan) -> Table {
    Rows::of(&plan.fasteners)
        .text("nail", |f: &&Fastener| f.nail.clone())
        .whole("count", |f| count(f.count))
        .text("purpose", |f| f.purpose.clone())
        .table()
}

/// `RuleRow`.
pub fn rules(plan: &Plan) -> Table {
    Rows::of(&plan.rules)
        .text("text", |r: &&RuleNote| r.text.clone())
        .text("source", |r| r.source.clone())
        .table()
}

/// `CheckRow`.
pub fn checks(doc: &Document) -> Table {
    Rows::of(&doc.checked)
        .whole("item", |c: &&CheckLine| i64::from(c.item))
        .text("what", |c| c.what.clone())
        .whole("looked_at", |c| count(c.looked_at))
        .whole("breaches", |c| count(c.breaches))
        .table()
}
