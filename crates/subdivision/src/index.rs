//! `index.html`: one page that links every report. Names come from strangers' lists: `maud` escapes text,
//! [`address`] escapes links.

use crate::natural;
use crate::rollup::{Entry, by_group};
use maud::{DOCTYPE, Markup, html};

const STYLE: &str = "body{font:15px/1.45 system-ui,sans-serif;margin:2rem auto;max-width:70rem;padding:0 1rem;color:#1b1b1b;background:#fff}\
h1{font-size:1.5rem}h2{font-size:1.15rem;margin-top:2rem}table{border-collapse:collapse;width:100%}\
th,td{text-align:left;padding:.25rem .6rem;border-bottom:1px solid #ccc;vertical-align:top}td.n,th.n{text-align:right}\
tr.failed td,tr.missing td{background:#fbe9e7}tr.errors td{background:#fff3e0}\
@media print{body{margin:0;max-width:none}}";

/// The page; `files` are the roll-ups beside it. Entries in any order.
pub fn page(project: &str, entries: &[Entry], files: &[&str]) -> String {
    let mut all: Vec<&Entry> = entries.iter().collect();
    all.sort_by(|a, b| natural(&a.lot.name, &b.lot.name));
    let title = if project.is_empty() { "Subdivision" } else { project };
    let counted = |status: &str| all.iter().filter(|e| e.status() == status).count();
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                h1 { (title) }
                p {
                    (all.len()) " lots: "
                    @for (i, status) in ["ok", "warnings", "errors", "failed", "missing"].into_iter().enumerate() {
                        @if i > 0 { ", " }
                        (counted(status)) " " (status)
                    }
                    "."
                }
                p { "Tables: " @for (i, f) in files.iter().enumerate() { @if i > 0 { ", " } a href=(address(f)) { (f) } } }
                @for (group, lots) in by_group(&all) {
                    @if !group.is_empty() { h2 { (group) } }
                    (table(&lots))
                }
                p { "The plans are an aid, not a design: the adopted local code, the stamped drawings and the building official decide." }
            }
        }
    };
    let mut text = page.into_string();
    text.push('\n');
    text
}

fn table(lots: &[&Entry]) -> Markup {
    html! {
        table {
            thead { tr {
                th { "Lot" } th { "Drawing" } th { "Due" } th { "Result" } th.n { "Walls" } th.n { "Pieces" } th { "To look at" }
            } }
            tbody { @for e in lots { (row(e)) } }
        }
    }
}

fn row(e: &Entry) -> Markup {
    let record = e.record;
    let file = e.lot.file.file_name().unwrap_or_default().to_string_lossy();
    let first = record.and_then(|r| r.problems.first());
    html! {
        tr class=(e.status()) {
            td { @if e.is_planned() { a href=(address(&e.report())) { (e.lot.name) } } @else { (e.lot.name) } }
            td { (file) }
            td { (e.lot.due) }
            td { (e.status()) }
            td.n { @if let Some(r) = record { @if e.is_planned() { (r.walls) } } }
            td.n { @if let Some(r) = record { @if e.is_planned() { (r.pieces) } } }
            td { @if let Some(p) = first { (p.message) @if p.count > 1 { " (" (p.count) " of this kind)" } } }
        }
    }
}

/// A relative link: everything but plain letters, digits and `/-_.` in percent form, and `./` before it,
/// so that no name is taken for a scheme.
fn address(path: &str) -> String {
    let mut out = "./".to_owned();
    for b in path.bytes() {
        if b.is_ascii_alphanumeric() || b"/-_.".contains(&b) {
            out.push(char::from(b));
        } else {
            out.push_str(&format!("%{b:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Lot;

    #[test]
    fn names_are_escaped() {
        let lot = Lot { name: "<b>&'7#".into(), group: "<i>".into(), ..Lot::default() };
        let entry = Entry { lot: &lot, record: None, folder: lot.name.clone() };
        let text = page("A & B", &[entry], &["lots.csv"]);
        assert!(text.contains("&lt;b&gt;&amp;") && !text.contains("<b>") && !text.contains("<i>"));
        assert!(text.contains("href=\"./lots.csv\""));
        assert_eq!(address("a b/#?%é\"/report.html"), "./a%20b/%23%3F%25%C3%A9%22/report.html");
    }
}
