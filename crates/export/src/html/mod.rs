//! `report.html`: one page that needs no other file, no network and no script.
//!
//! The script only adds highlighting and pan and zoom. The page's own policy forbids it to load
//! anything and to run any script but that one, whatever a drawing's strings hold.

mod cautions;
mod drawing;
mod findings;
mod labels;
mod pieces;
mod sheet;
mod summary;
mod tables;
mod words;

use crate::view::View;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use plan_model::Layer;
use sheet::Sheet;
use words::{bdi, shown};

const STYLE: &str = include_str!("../report/report.css");
const SCRIPT: &str = include_str!("../report/report.js");
/// SHA-256 of [`SCRIPT`] in base 64, as the page's policy names it. A test keeps it right.
const SCRIPT_SHA256: &str = "m0oDHhEGsuDCcF2M1XdzYVs1JuyTUzh7WgHyJlGHlhA=";

/// The whole page.
pub(crate) fn report(view: &View, project: &str, lot: &str) -> String {
    let sheets = sheet::sheets(view);
    let title = [project, lot, "plate plan"];
    let title: Vec<&str> = title.into_iter().filter(|t| !t.trim().is_empty()).collect();
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
                title { (shown(&title.join(" \u{b7} "))) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (header(view, project, lot))
                main {
                    (summary::headline(view))
                    (summary::proof(view))
                    (findings::findings(view, &sheets))
                    (plans(view, &sheets))
                    (pieces::pieces(view, &sheets))
                    (tables::boards(view))
                    (tables::ties(view))
                    (tables::joints(view))
                    (tables::fasteners(view))
                    (cautions::cautions())
                    (tables::rules(view))
                    (tables::ledger(view))
                    (tables::settings(view))
                }
                footer { p { "Made by platewright from " (bdi(&view.doc.source.file))
                    ". Not engineering: local code, the stamped drawings and the official decide." } }
                script { (PreEscaped(SCRIPT)) }
            }
        }
    }
    .into_string()
}

fn header(view: &View, project: &str, lot: &str) -> Markup {
    const SECTIONS: [(&str, &str); 9] = [
        ("findings", "Findings"),
        ("plans", "Plans"),
        ("pieces", "Pieces"),
        ("boards", "Boards"),
        ("ties", "Ties"),
        ("nails", "Nails"),
        ("cautions", "Cautions"),
        ("rules", "Rules"),
        ("ledger", "Ledger"),
    ];
    let s = &view.doc.source;
    html! { header {
        p class="kind" { "Plate plan" }
        h1 {
            @if project.trim().is_empty() && lot.trim().is_empty() { (bdi(&s.file)) }
            @else {
                @if !project.trim().is_empty() { (bdi(project)) }
                @if !lot.trim().is_empty() { " " span class="lot" { "Lot " (bdi(lot)) } }
            }
        }
        p class="source" {
            (bdi(&s.file)) ", " (s.format.name().to_uppercase()) " " (bdi(&s.version))
            @if !s.written_by.is_empty() { ", written by " (bdi(&s.written_by)) }
            ". Units: " (bdi(&s.units.name)) ". SHA-256 "
            code { (s.sha256.chars().take(12).collect::<String>()) }
        }
        (summary::verdict(view))
        nav { @for (id, name) in SECTIONS { a href={ "#" (id) } { (name) } " " } }
    } }
}

fn plans(view: &View, sheets: &[Sheet]) -> Markup {
    html! { section id="plans" {
        h2 { "Plans" }
        p { "Marks stand beside their plates; names in a round box are runs, straight walls of one \
             section. A run starts at its left end, an upright one at its lower end. Numbered pins \
             point to findings." }
        (drawing::legend())
        @for sheet in sheets {
            @let upper = (Layer::Upper, "upper top plates");
            @let lower_name = match sheet.bottom_is_lower {
                true => "lower top plates, and bottom plates, which are cut and lie the same",
                false => "lower top plates",
            };
            @let lower = (Layer::Lower, lower_name);
            @let bottom = (Layer::Bottom, "bottom plates");
            @for (layer, name) in [lower, upper, bottom] {
                @if layer != Layer::Bottom || !sheet.bottom_is_lower {
                    figure class={ "plan " (drawing::lie(view, sheet)) } {
                        figcaption { h3 { (drawing::storey_title(view, sheet.storey)) ": " (name) } }
                        (drawing::drawing(view, sheet, layer, sheet.storey * 3 + layer as usize))
                    }
                }
            }
        }
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
            "report.js changed: put this hash into SCRIPT_SHA256"
        );
    }

    #[test]
    fn style_and_script_cannot_end_their_elements() {
        assert!(!super::STYLE.contains("</") && !super::SCRIPT.contains("</"));
    }
}
