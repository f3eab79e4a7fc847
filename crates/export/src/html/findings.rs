//! The findings: errors first, each kind explained once, each case with its place.

use super::drawing::group_id;
use super::ink::{isolated, text, whole};
use super::sheet::{Sheet, storey_of};
use super::signs::badge;
use super::words::{length, shown};
use crate::view::View;
use diag::{Finding, SourceRef};
use maud::{Markup, PreEscaped, html};
use plan_model::PieceId;

/// Every finding, numbered as the pins are.
pub(crate) fn findings(view: &View, sheets: &[Sheet]) -> Markup {
    let all: Vec<(usize, &Finding)> =
        view.doc.findings.iter().enumerate().map(|(i, f)| (i + 1, f)).collect();
    let same = |(_, a): &(usize, &Finding), (_, b): &(usize, &Finding)| {
        a.severity == b.severity && a.code == b.code
    };
    let metric = sheets.iter().filter(|s| s.metric).count() * 2 > sheets.len();
    html! { section id="findings" {
        h2 { "Findings" }
        @if all.is_empty() { p { "None." } }
        @for kind in all.chunk_by(same) {
            @let info = kind[0].1.code.info();
            @let severity = kind[0].1.severity;
            article class={ "kind-of " (severity.name()) } {
                h3 {
                    (badge(severity)) " " (severity.name()) ": " (info.title) " "
                    code { (info.name) }
                    @if kind.len() > 1 { " " span class="many" { "\u{d7} " (kind.len()) } }
                }
                p { (info.meaning) }
                p { b { "What to do: " } (info.remedy) }
                p class="rule" { b { "Rule: " } (info.rule) }
                ol { (PreEscaped(cases(view, kind, metric))) }
            }
        }
    } }
}

fn cases(view: &View, kind: &[(usize, &Finding)], metric: bool) -> String {
    let mut out = String::with_capacity(kind.len() * 200);
    for (number, f) in kind {
        case(&mut out, view, f, *number, metric);
    }
    out
}

fn case(out: &mut String, view: &View, f: &Finding, number: usize, metric: bool) {
    out.push_str("<li id=\"f");
    whole(out, number);
    out.push_str("\" value=\"");
    whole(out, number);
    out.push_str("\"><b class=\"no\">");
    whole(out, number);
    out.push_str("</b> ");
    isolated(out, &f.message);
    out.push_str(" <span class=\"place\">");
    if !f.subject.is_empty() {
        subject(out, view, &f.subject);
        out.push(' ');
    }
    if let Some(at) = f.at {
        out.push_str("<a class=\"go\" data-f=\"");
        whole(out, number);
        out.push_str("\" href=\"#");
        out.push_str(&group_id(storey_of(view, f).unwrap_or_default(), "plan"));
        out.push_str("\">at ");
        text(out, &length(at.x, metric));
        out.push_str(" across, ");
        text(out, &length(at.y, metric));
        out.push_str(" up</a>");
    }
    if !f.source.is_empty() {
        out.push_str(" \u{2014} ");
        sources(out, &f.source);
    }
    out.push_str("</span></li>");
}

/// What a finding is about; a piece is a way to its row.
fn subject(out: &mut String, view: &View, subject: &str) {
    let index = subject.strip_prefix('P').and_then(|n| n.parse::<u32>().ok());
    let piece = index.and_then(|n| n.checked_sub(1)).map(PieceId);
    match piece.filter(|id| (id.0 as usize) < view.doc.plan.pieces.len()) {
        Some(id) => {
            out.push_str("<a class=\"to-piece\" href=\"#P");
            whole(out, id.0 as usize + 1);
            out.push_str("\">");
            isolated(out, &format!("{subject} ({})", shown(&view.doc.piece(id).mark)));
            out.push_str("</a>");
        }
        None => isolated(out, subject),
    }
}

/// The entities behind a finding; a handful is enough to find the place in the drawing.
fn sources(out: &mut String, source: &[SourceRef]) {
    const SHOWN: usize = 4;
    for (i, s) in source.iter().take(SHOWN).enumerate() {
        if i > 0 {
            out.push_str(", ");
        }
        out.push_str("<code>");
        text(out, &s.entity);
        out.push_str("</code> on ");
        isolated(out, &s.layer);
    }
    if source.len() > SHOWN {
        out.push_str(" and ");
        whole(out, source.len() - SHOWN);
        out.push_str(" more");
    }
}
