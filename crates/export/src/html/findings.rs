//! The findings: errors first, each kind explained once, each case with its place.

use super::drawing::pin_shape;
use super::sheet::Sheet;
use super::words::{bdi, length, shown};
use crate::view::View;
use diag::{Finding, Severity, SourceRef};
use maud::{Markup, html};

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
                    (badge(severity)) (severity.name()) ": " (info.title) " "
                    code { (info.name) }
                }
                ol { @for (number, f) in kind { (case(f, *number, metric)) } }
                p { (info.meaning) }
                p { b { "What to do: " } (info.remedy) }
                p class="rule" { b { "Rule: " } (info.rule) }
            }
        }
    } }
}

fn case(f: &Finding, number: usize, metric: bool) -> Markup {
    html! { li id={ "f" (number) } value=(number) {
        (bdi(&f.message))
        span class="place" {
            @if !f.subject.is_empty() { " " (bdi(&f.subject)) }
            @if let Some(at) = f.at {
                " at " (length(at.x, metric)) " across, " (length(at.y, metric)) " up"
            }
            @if !f.source.is_empty() { " \u{2014} " (sources(&f.source)) }
        }
    } }
}

/// The entities behind a finding; a handful is enough to find the place in the drawing.
fn sources(source: &[SourceRef]) -> Markup {
    const SHOWN: usize = 4;
    html! {
        @for (i, s) in source.iter().take(SHOWN).enumerate() {
            @if i > 0 { ", " }
            code { (shown(&s.entity)) } " on " (bdi(&s.layer))
        }
        @if source.len() > SHOWN { " and " (source.len() - SHOWN) " more" }
    }
}

fn badge(severity: Severity) -> Markup {
    html! { svg class="key" viewBox="-2 -2 4 4" aria-hidden="true" {
        g class={ "pin " (severity.name()) } { path d=(pin_shape(severity, 0.0, 0.0, 1.05)) {} }
    } " " }
}
