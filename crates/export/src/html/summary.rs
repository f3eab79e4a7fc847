//! The head of the page: what came out, and what was proved about it.

use super::words::{bdi, count, length, shown};
use crate::text::{percent, trimmed};
use crate::view::View;
use diag::Severity;
use geom::Length;
use maud::{Markup, html};
use plan_model::{Layer, TieKind};
use std::collections::BTreeSet;

/// How many findings there are of a severity.
fn findings(view: &View, severity: Severity) -> u64 {
    view.doc.findings.iter().filter(|f| f.severity == severity).count() as u64
}

/// One sentence: may this be cut?
pub(crate) fn verdict(view: &View) -> Markup {
    let [errors, warnings] = [Severity::Error, Severity::Warning].map(|s| findings(view, s));
    let breaches: u64 = view.doc.checked.iter().map(|c| c.breaches).sum();
    let (class, sign, text) = if errors > 0 {
        let text = format!(
            "{}: something is missing or a rule is broken. Read the findings before cutting.",
            count(errors, "error")
        );
        ("error", "\u{2716}", text)
    } else if breaches > 0 {
        let text =
            format!("The plan breaks its own proof in {}. Do not cut.", count(breaches, "place"));
        ("error", "\u{2716}", text)
    } else if view.doc.checked.is_empty() {
        ("warning", "\u{25b2}", "Planned, but not verified: the proof did not run.".to_owned())
    } else if warnings > 0 {
        let text = format!(
            "Planned and verified. {} to look at before cutting.",
            count(warnings, "warning")
        );
        ("warning", "\u{25b2}", text)
    } else {
        ("good", "\u{2713}", "Planned and verified; nothing lost.".to_owned())
    };
    html! { p class={ "verdict " (class) } { span class="sign" aria-hidden="true" { (sign) } " " (text) } }
}

/// The figures people look for first.
pub(crate) fn headline(view: &View) -> Markup {
    let doc = view.doc;
    let of_layer = |l: Layer| doc.plan.pieces.iter().filter(|p| p.layer == l).count();
    let [bottom, lower, upper] = Layer::ALL.map(of_layer);
    let total: Length = doc.plan.pieces.iter().map(|p| p.printed).sum();
    let metric = doc.plan.pieces.iter().filter(|p| p.section.is_metric()).count() * 2
        > doc.plan.pieces.len();

    let bound: u64 = doc.stock.iter().map(|s| s.lower_bound_boards).sum();
    let bought: Length = doc.stock.iter().map(|s| s.bought).sum();
    let used: Length = doc.stock.iter().map(|s| s.used).sum();
    let least: Length = doc.stock.iter().map(|s| s.lower_bound_length).sum();

    let hardware: BTreeSet<&str> =
        doc.plan.ties.iter().map(|t| t.hardware.as_str()).filter(|h| !h.is_empty()).collect();
    let nails: u64 = doc
        .plan
        .fasteners
        .iter()
        .filter(|f| !hardware.contains(f.nail.as_str()))
        .map(|f| f.count)
        .sum();
    let ties = |k: TieKind| doc.plan.ties.iter().filter(|t| t.kind == k).count();
    let kinds = [TieKind::Lap, TieKind::Notch, TieKind::Strap, TieKind::Screw];
    let made: usize = kinds.iter().map(|k| ties(*k)).sum();
    let by_kind: Vec<String> = kinds
        .iter()
        .filter(|k| ties(**k) > 0)
        .map(|k| match (ties(*k), k) {
            (n, TieKind::Notch) if n > 1 => format!("{n} notches"),
            (n, _) => count(n as u64, k.name()),
        })
        .collect();
    let missing = ties(TieKind::None);

    let figure = |number: String, unit: &str, more: String| {
        html! {
            div { dt { (unit) } dd { strong { (number) } span { (more) } } }
        }
    };
    html! { section class="figures" aria-label="Headline numbers" { dl {
        (figure(doc.plan.pieces.len().to_string(), "pieces",
            format!("{bottom} bottom, {lower} lower, {upper} upper; {} in {}",
                length(total, metric), count(view.groups.members.len() as u64, "cut group"))))
        (figure(doc.boards.len().to_string(), "boards",
            format!("at least {bound} of the longest stock")))
        (figure(format!("{} %", trimmed(percent(bought - used, bought), 1)), "waste",
            format!("no choice of boards wastes less than {} %",
                trimmed(percent(least - used, least), 1))))
        (figure(nails.to_string(), "nails", "for the plates; see the list".to_owned()))
        (figure(made.to_string(), "ties",
            if missing > 0 { format!("{}; {missing} not made", by_kind.join(", ")) }
            else { by_kind.join(", ") }))
    } } }
}

/// The verifier's proof, item by item.
pub(crate) fn proof(view: &View) -> Markup {
    let checked = &view.doc.checked;
    html! { section id="checked" class="proof" {
        h2 { "Checked" }
        @if checked.is_empty() { p { "Nothing was checked: the verifier did not run." } }
        @else {
            p { "Proved from the finished outlines alone, apart from the planner." }
            ul { @for c in checked {
                li class=(if c.breaches == 0 { "holds" } else { "broken" }) {
                    span class="sign" aria-hidden="true" {
                        (if c.breaches == 0 { "\u{2713}" } else { "\u{2716}" })
                    }
                    " checked: " (shown(&c.what)) " "
                    span class="many" {
                        "(" (c.looked_at) " looked at, "
                        @if c.breaches == 0 { "none breaks it" }
                        @else { strong { (c.breaches) " broken" } }
                        ")"
                    }
                }
            } }
        }
        p class="many" { "Units: " (bdi(&view.doc.source.units.decided_by)) }
    } }
}
