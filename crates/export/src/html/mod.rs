//! `report.html`: one page that needs no other file and no network.
//!
//! Without its script the page says all it has to say and prints the same; the script moves the plan,
//! switches its layers and ties plan, table and findings together. The page's own policy forbids it to
//! load anything and to run any script but that one, whatever a drawing's strings hold.

mod cautions;
mod drawing;
mod facts;
mod findings;
mod ink;
mod labels;
mod pieces;
mod placing;
mod sheet;
mod signs;
mod summary;
mod tables;
mod underlay;
mod viewer;
mod words;

use crate::view::View;
use crate::{ExportError, Picture};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use words::{bdi, shown};

const STYLE: &str = include_str!("../report/report.css");
/// Built from the sources in `web/`, as the style is.
const SCRIPT: &str = include_str!("../report/report.js");
/// SHA-256 of [`SCRIPT`] in base 64, as the page's policy names it. A test keeps it right.
const SCRIPT_SHA256: &str = "NTLvA9R5nQV9IQdTKA0RFP7egWXuBhSvuPKLl0Nex6I=";

/// A page with gaps where project and lot are named: all else is the same for every lot of a plan.
pub(crate) struct Page {
    /// What stands before, between and after title and heading.
    parts: [String; 3],
    /// The drawing's name, the heading where there is no other.
    file: String,
}

/// Marks a gap while a page is put together. No text on the page has a control character, see [`shown`];
/// JSON writes them as escapes.
const GAP: char = '\0';

impl Page {
    /// The page of a plan.
    pub(crate) fn of(view: &View) -> Result<Page, ExportError> {
        let page = page(view);
        let parts: Vec<&str> = page.split(GAP).collect();
        let Ok(parts) = <[&str; 3]>::try_from(parts) else {
            return Err(ExportError::Gaps);
        };
        Ok(Page { parts: parts.map(str::to_owned), file: view.doc.source.file.clone() })
    }
    /// The whole page for a lot.
    pub(crate) fn report(&self, project: &str, lot: &str) -> String {
        let title = [project, lot, "plate plan"];
        let title: Vec<&str> = title.into_iter().filter(|t| !t.trim().is_empty()).collect();
        let title = html! { (shown(&title.join(" \u{b7} "))) };
        let heading = html! {
            @if project.trim().is_empty() && lot.trim().is_empty() { (bdi(&self.file)) }
            @else {
                @if !project.trim().is_empty() { (bdi(project)) }
                @if !lot.trim().is_empty() { " " span class="lot" { "Lot " (bdi(lot)) } }
            }
        };
        let [before, between, after] = &self.parts;
        [before, &title.0, between, &heading.0, after].map(String::as_str).concat()
    }
}

fn page(view: &View) -> String {
    let sheets = sheet::sheets(view);
    let policy = format!(
        "default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{SCRIPT_SHA256}'; \
         base-uri 'none'; form-action 'none'"
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (GAP) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (header(view))
                main {
                    (summary::headline(view))
                    (viewer::plans(view, &sheets))
                    (summary::proof(view))
                    (tables::boards(view))
                    (tables::ties(view))
                    (tables::joints(view))
                    (tables::fasteners(view))
                    (cautions::cautions())
                    (tables::rules(view))
                    (tables::settings(view))
                }
                footer { p { "Made by platewright from " (bdi(&view.doc.source.file))
                    ". Not engineering: local code, the stamped drawings and the official decide." } }
                script id="facts" type="application/json" { (PreEscaped(facts_block(view))) }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
}

/// The screen's drawing of each storey that has one, and what the script knows of the pieces.
pub(crate) fn pictures(view: &View) -> (Vec<Picture>, String) {
    let sheets = sheet::sheets(view);
    (viewer::pictures(view, &sheets), facts_block(view))
}

fn facts_block(view: &View) -> String {
    let mut out = String::with_capacity(1024 + view.doc.plan.pieces.len() * 160);
    facts::facts(&mut out, view);
    out
}

fn header(view: &View) -> Markup {
    const SECTIONS: [(&str, &str); 11] = [
        ("plans", "Plan"),
        ("findings", "Findings"),
        ("pieces", "Pieces"),
        ("ledger", "Ledger"),
        ("checked", "Checked"),
        ("boards", "Boards"),
        ("ties", "Ties"),
        ("nails", "Nails"),
        ("cautions", "Cautions"),
        ("rules", "Rules"),
        ("settings", "Settings"),
    ];
    let s = &view.doc.source;
    // Versions of IFC have its name in them: IFC4.
    let format = s.format.name().to_uppercase();
    html! { header {
        p class="kind" { "Plate plan" }
        h1 { (GAP) }
        p class="source" {
            (bdi(&s.file)) ", "
            @if !s.version.starts_with(&format) { (format) " " }
            (bdi(&s.version))
            @if !s.written_by.is_empty() { ", written by " (bdi(&s.written_by)) }
            ". Units: " (bdi(&s.units.name)) ". SHA-256 "
            code { (s.sha256.chars().take(12).collect::<String>()) }
        }
        (summary::verdict(view))
        nav { @for (id, name) in SECTIONS { a href={ "#" (id) } { (name) } " " } }
    } }
}

#[cfg(test)]
mod tests {
    use sha2::Digest;

    /// RFC 4648, for the one value the policy needs.
    fn base64(bytes: &[u8]) -> String {
        const LETTERS: &[u8; 64] =
            b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
        let mut text = String::new();
        for chunk in bytes.chunks(3) {
            let word = (0..3).fold(0_u32, |w, i| w << 8 | u32::from(*chunk.get(i).unwrap_or(&0)));
            for i in 0..4 {
                let letter = LETTERS[(word >> (18 - 6 * i) & 63) as usize] as char;
                text.push(if i <= chunk.len() { letter } else { '=' });
            }
        }
        text
    }

    #[test]
    fn the_policy_names_the_script() {
        assert_eq!(base64(b"fo"), "Zm8="); // RFC 4648, section 10
        let hash = base64(&sha2::Sha256::digest(super::SCRIPT.replace("\r\n", "\n")));
        assert_eq!(
            hash,
            super::SCRIPT_SHA256,
            "the script changed: put this hash into SCRIPT_SHA256"
        );
    }

    #[test]
    fn style_and_script_cannot_end_their_elements() {
        assert!(!super::STYLE.contains("</") && !super::SCRIPT.contains("</"));
    }
}
