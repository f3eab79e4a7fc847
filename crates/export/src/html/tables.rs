//! The other tables: boards, ties, joints, nails, rules, ledger, settings.

use super::words::{bdi, count, length, shown, unbroken};
use crate::csv::board_name;
use crate::json::SettingsOut;
use crate::text::{length_text, percent, trimmed};
use crate::view::View;
use geom::Length;
use lumber::Section;
use maud::{Markup, html};
use plan_model::{Board, JointKind, junction_name, run_name};
use serde_json::Value;
use settings::lumber_name;
use std::collections::{BTreeMap, BTreeSet};

/// What to buy, and what to cut from each board.
pub(crate) fn boards(view: &View) -> Markup {
    let mut buy: BTreeMap<(Section, bool, u32), usize> = BTreeMap::new();
    for b in &view.doc.boards {
        if let Some(feet) = b.bought_ft() {
            *buy.entry((b.section, b.treated, feet)).or_default() += 1;
        }
    }
    html! { section id="boards" {
        h2 { "Boards" }
        div class="pair" {
            table {
                caption { "To buy" }
                thead { tr { th { "Section" } th { "Length" } th class="num" { "Boards" } } }
                tbody { @for ((section, treated, feet), n) in &buy { tr {
                    td { (lumber_name(*section, *treated)) }
                    td { (feet) " ft " small { (Length::feet(i64::from(*feet)).millimetres()) } }
                    td class="num" { (n) }
                } } }
            }
            table {
                caption { "How good the choice is" }
                thead { tr { th { "Section" } th class="num" { "Boards" } th class="num" { "Bound" }
                    th class="num" { "Waste" } th class="num" { "Bound" } } }
                tbody { @for s in &view.doc.stock { tr {
                    td { (lumber_name(s.section, s.treated)) }
                    td class="num" { (s.boards) }
                    td class="num" { (s.lower_bound_boards) }
                    td class="num" { (trimmed(percent(s.waste(), s.bought), 2)) " %" }
                    td class="num" { (trimmed(percent(s.least_waste(), s.lower_bound_length), 2)) " %" }
                } } }
            }
        }
        p class="more" { "Bounds are proved: no choice uses fewer boards of the longest length, and \
             none wastes less." }
        table class="stack two boards" {
            caption { "To cut, in this order from one end" }
            thead { tr { th { "Board" } th { "Stock" } th { "Pieces" } th { "Left over" } } }
            tbody { @for (i, b) in view.doc.boards.iter().enumerate() { (board(view, i, b)) } }
        }
    } }
}

fn board(view: &View, index: usize, b: &Board) -> Markup {
    let metric = b.section.is_metric();
    html! { tr {
        th scope="row" data-h="Board" { (board_name(index)) }
        td data-h="Stock" {
            (lumber_name(b.section, b.treated)) " "
            @if let Some(feet) = b.bought_ft() { (feet) " ft" }
            @else { (length(b.length(), metric)) " on hand"
                @if let Some(label) = view.doc.label_on_hand(b).filter(|l| !l.is_empty()) {
                    ": " (bdi(label))
                } }
        }
        td data-h="Pieces" {
            div class="bar" aria-hidden="true" {
                @for id in &b.cuts {
                    @let p = view.doc.piece(*id);
                    span style={ "flex:" (share(p.length)) } { (shown(&p.mark)) }
                }
                span class="left" style={ "flex:" (share(b.offcut)) } {}
            }
            @for (i, id) in b.cuts.iter().enumerate() {
                @let p = view.doc.piece(*id);
                @if i > 0 { "; " }
                span class="cut" { b { (bdi(&p.mark)) } " " (unbroken(&length_text(p))) }
            }
        }
        td data-h="Left over" { (length(b.offcut, metric)) }
    } }
}

/// A length as a share of a bar: inches are as good as any unit.
fn share(length: Length) -> String {
    trimmed(length.to_inches().max(0.0), 2)
}

/// What holds walls together.
pub(crate) fn ties(view: &View) -> Markup {
    let doc = view.doc;
    html! { section id="ties" {
        h2 { "Ties" }
        @if doc.plan.ties.is_empty() { p { "None." } }
        @else { table class="stack two" {
            thead { tr { th { "Junction" } th { "Walls" } th { "Tie" } th { "Pieces" }
                th { "Overlap" } th { "Hardware" } } }
            tbody { @for t in &doc.plan.ties {
                @let j = doc.floor.junction(t.junction);
                @let runs: Vec<String> = j.arms.iter().map(|a| run_name(a.run)).collect();
                @let metric = j.arms.first()
                    .is_some_and(|a| doc.floor.run(a.run).section.is_metric());
                tr {
                    th scope="row" data-h="Junction" { (junction_name(t.junction)) " " (j.kind.name()) }
                    td data-h="Walls" { (runs.join(" ")) }
                    td data-h="Tie" { (t.kind.name()) }
                    td data-h="Pieces" { @for (i, id) in t.pieces.iter().enumerate() {
                        @if i == 1 { " over " } @else if i > 1 { ", " }
                        (bdi(&doc.piece(*id).mark))
                    } }
                    td data-h="Overlap" {
                        @if t.overlap > Length::ZERO { (length(t.overlap, metric)) } @else { "\u{2014}" }
                    }
                    td data-h="Hardware" {
                        @if t.hardware.is_empty() { "\u{2014}" } @else { (bdi(&t.hardware)) }
                    }
                }
            } }
        } }
    } }
}

/// Where plates meet within a run; run ends are left out.
pub(crate) fn joints(view: &View) -> Markup {
    let doc = view.doc;
    let inner: Vec<_> = doc.plan.joints.iter().filter(|j| j.kind != JointKind::End).collect();
    html! { section id="joints" {
        h2 { "Joints" }
        @if inner.is_empty() { p { "None: every plate is one piece." } }
        @else { table class="stack two" {
            thead { tr { th { "Run" } th { "Layer" } th { "Kind" } th { "From the run's start" }
                th { "On a stud" } th { "To the other layer's nearest joint" } } }
            tbody { @for j in inner {
                @let metric = doc.floor.run(j.run).section.is_metric();
                tr {
                    th scope="row" data-h="Run" { (run_name(j.run)) }
                    td data-h="Layer" { (j.layer.name()) }
                    td data-h="Kind" { (j.kind.name()) }
                    td data-h="From start" { (length(j.at - view.faces[j.run.0 as usize].0, metric)) }
                    td data-h="On a stud" { (if j.on_stud { "yes" } else { "no" }) }
                    td data-h="Other layer" { @match j.offset {
                        Some(o) => { (length(o, metric)) }
                        None => { "\u{2014}" }
                    } }
                }
            } }
        } }
    } }
}

/// Nails and hardware.
pub(crate) fn fasteners(view: &View) -> Markup {
    html! { section id="nails" {
        h2 { "Nails and hardware" }
        @if view.doc.plan.fasteners.is_empty() { p { "None counted." } }
        @else { table {
            thead { tr { th class="num" { "Count" } th { "What" } th { "For" } } }
            tbody { @for f in &view.doc.plan.fasteners { tr {
                td class="num" { (f.count) } td { (bdi(&f.nail)) } td { (bdi(&f.purpose)) }
            } } }
        } }
    } }
}

/// Rules in force, with their sources.
pub(crate) fn rules(view: &View) -> Markup {
    html! { section id="rules" {
        h2 { "Rules in force" }
        p { "Rule set " code { (shown(&view.doc.settings.rules)) } "." }
        @if !view.doc.plan.rules.is_empty() { table class="stack" {
            thead { tr { th { "Rule" } th { "Source" } } }
            tbody { @for r in &view.doc.plan.rules { tr {
                td data-h="Rule" { (bdi(&r.text)) } td data-h="Source" { (bdi(&r.source)) }
            } } }
        } }
    } }
}

/// What became of every entity of the drawing.
pub(crate) fn ledger(view: &View) -> Markup {
    let l = &view.doc.ledger;
    let left_out = view.doc.linework.groups.iter().filter_map(|g| g.left_out.as_deref());
    let drawn: BTreeSet<&str> = left_out.collect();
    html! { section id="ledger" {
        h2 { "Ledger" }
        p { (count(l.read(), "drawing object")) " read: " (l.used()) " used, " (l.ignored_total())
            " not used." }
        @if view.doc.linework.omitted > 0 {
            p { (count(view.doc.linework.omitted, "line")) " of the drawing left away from the plan: a \
                 picture of all of them would be too large." }
        }
        @if l.ignored_total() > 0 { table class="stack" {
            thead { tr { th class="num" { "Not used" } th { "Why" } th { "The first of them" } } }
            tbody { @for (number, (reason, i)) in l.ignored().enumerate() { tr data-l=(number + 1) {
                td data-h="Not used" class="num" { (i.count) }
                td data-h="Why" {
                    @if drawn.contains(reason) { a href="#plans" { (bdi(reason)) } }
                    @else { (bdi(reason)) }
                }
                td data-h="First" { @for (n, s) in i.sample.iter().enumerate() {
                    @if n > 0 { ", " } code { (shown(s)) }
                } }
            } } }
        } }
    } }
}

/// Every setting, by its key in the settings file.
pub(crate) fn settings(view: &View) -> Markup {
    let sections = view.doc.floor.runs.iter().map(|r| r.section);
    let value = serde_json::to_value(SettingsOut::of(&view.doc.settings, sections));
    let mut rows = Vec::new();
    flatten("", &value.unwrap_or(Value::Null), &mut rows);
    html! { section id="settings" {
        h2 { "Settings in force" }
        p { "As in the settings file; lengths are decimal inches." }
        table class="keys" { tbody { @for (key, value) in &rows { tr {
            th scope="row" { code { (shown(key)) } } td { (shown(value)) }
        } } } }
    } }
}

/// Settings are two levels deep, their lists one more; the depth is bounded by their type.
fn flatten(path: &str, value: &Value, rows: &mut Vec<(String, String)>) {
    match value {
        Value::Object(fields) => {
            for (key, inner) in fields {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                flatten(&path, inner, rows);
            }
        }
        Value::Array(items) if items.iter().any(Value::is_object) => {
            for (i, inner) in items.iter().enumerate() {
                flatten(&format!("{path}[{}]", i + 1), inner, rows);
            }
        }
        Value::Null => rows.push((path.to_owned(), "not set".to_owned())),
        Value::String(s) => rows.push((path.to_owned(), s.clone())),
        other => rows.push((path.to_owned(), other.to_string())),
    }
}
