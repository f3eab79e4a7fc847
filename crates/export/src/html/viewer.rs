//! The plan on the screen, and the sheets that are printed.
//!
//! The screen has one drawing a storey with all its layers, and beside it what it points to: findings,
//! pieces, ledger. The script moves and switches; without it the drawing stands still and all else is
//! there. A sheet a storey and layer is drawn from the same groups, for paper.

use super::drawing::{Bounds, group_id, groups, spoken};
use super::pieces::{pieces, storey_title};
use super::sheet::Sheet;
use super::signs::{definitions, legend};
use super::{findings, tables};
use crate::Picture;
use crate::view::View;
use maud::{Markup, PreEscaped, html};
use plan_model::Layer;

/// A layer of the drawing that can be switched: the class of its groups, its name, whether it shows at
/// first.
const SWITCHES: [(&str, &str, bool); 11] = [
    ("upper", "Upper", true),
    ("lower", "Lower", true),
    ("bottom", "Bottom", false),
    ("studs", "Studs", false),
    ("nails", "Nails", false),
    ("ties", "Ties", true),
    ("runs", "Runs", true),
    ("walls", "Walls", false),
    ("drawn", "Linework", false),
    ("pins", "Findings", true),
    ("dims", "Dimensions", true),
];

/// Everything about the plan.
pub(crate) fn plans(view: &View, sheets: &[Sheet]) -> Markup {
    let bounds: Vec<Option<Bounds>> = sheets.iter().map(|s| Bounds::of(view, s)).collect();
    let hatches: Vec<(usize, f64)> = bounds
        .iter()
        .zip(sheets)
        .filter_map(|(b, s)| Some((s.storey + 1, b.as_ref()?.letter())))
        .collect();
    html! {
        section id="plans" aria-label="Plan" {
            (definitions(&hatches))
            div class="desk" {
                div class="viewer" {
                    (tools(view, sheets))
                    (stage(view, sheets, &bounds))
                    details class="how" {
                        summary { "Signs and keys" }
                        (legend())
                        (how())
                    }
                }
                div class="panel" tabindex="0" role="region" aria-label="Findings, pieces, ledger" {
                    (findings::findings(view, sheets))
                    (printed(view, sheets, &bounds))
                    (pieces(view, sheets))
                    (tables::ledger(view))
                }
            }
        }
    }
}

fn tools(view: &View, sheets: &[Sheet]) -> Markup {
    html! { div class="tools" {
        div class="find" role="search" {
            label for="find" { "Find" }
            input id="find" type="search" autocomplete="off" spellcheck="false"
                placeholder="mark, P12, W3, R5" aria-describedby="found";
            p id="found" role="status" {}
            ul class="hits" hidden {}
        }
        div class="zoom" role="group" aria-label="Zoom" {
            button type="button" data-zoom="out" aria-label="Zoom out" { "\u{2212}" }
            button type="button" data-zoom="in" aria-label="Zoom in" { "+" }
            button type="button" data-zoom="whole" { "Whole" }
        }
        @if sheets.len() > 1 { fieldset class="storeys" {
            legend { "Storey" }
            @for sheet in sheets { label {
                input type="radio" name="storey" value=(sheet.storey + 1) checked[sheet.storey == 0];
                " " (storey_title(view, sheet.storey))
            } }
        } }
        fieldset class="layers" {
            legend { "Show" }
            @for (key, name, on) in SWITCHES {
                @if key != "drawn" || !view.doc.linework.groups.is_empty() {
                    label { input type="checkbox" name="layer" value=(key) checked[on]; " " (name) }
                }
            }
        }
    } }
}

/// The drawings themselves, one a storey.
fn stage(view: &View, sheets: &[Sheet], bounds: &[Option<Bounds>]) -> Markup {
    let off: Vec<String> =
        SWITCHES.iter().filter(|s| !s.2).map(|(key, ..)| format!("no-{key}")).collect();
    html! { div class={ "stage " (off.join(" ")) } {
        @if bounds.iter().all(Option::is_none) { p class="nothing" { "Nothing is drawn: there are no walls." } }
        @for (sheet, b) in sheets.iter().zip(bounds) { @if let Some(b) = b {
            svg class="plan" id=(group_id(sheet.storey, "plan")) data-storey=(sheet.storey + 1)
                viewBox=(b.view_box()) font-size=(b.letter()) tabindex="0" role="application"
                aria-label=(spoken(view, sheet, "the plates")) aria-describedby="keys" {
                g class="world" { (PreEscaped(drawn(view, sheet, *b))) }
            }
        } }
        div class="card" role="region" aria-label="What is selected" hidden {}
        p class="spoken" role="status" {}
    } }
}

/// The drawings without the page around them.
pub(super) fn pictures(view: &View, sheets: &[Sheet]) -> Vec<Picture> {
    let drawn = |sheet: &Sheet| {
        let bounds = Bounds::of(view, sheet)?;
        Some(Picture {
            storey: sheet.storey,
            name: plan_model::storey_name(sheet.storey, &view.doc.floor.storeys[sheet.storey]),
            view_box: bounds.view_box(),
            font_size: bounds.letter(),
            svg: drawn(view, sheet, bounds),
        })
    };
    sheets.iter().filter_map(drawn).collect()
}

fn drawn(view: &View, sheet: &Sheet, bounds: Bounds) -> String {
    let pieces: usize = sheet.pieces.iter().map(Vec::len).sum();
    let mut out = String::with_capacity(4096 + pieces * 180);
    groups(&mut out, view, sheet, bounds);
    out
}

fn how() -> Markup {
    html! {
        p { "Marks stand beside their plates, those of upper plates outside, the others inside; names in \
             a round box are runs, straight walls of one section. A run starts at its left end, an \
             upright one at its lower end. Numbered pins point to findings; 3+ is finding 3 and more at \
             the same place." }
        p id="keys" class="keys" {
            "Drag to move, wheel or pinch to zoom. Keys, with the plan in focus: " kbd { "+" } " "
            kbd { "\u{2212}" } " zoom, " kbd { "0" } " whole plan, arrows move, " kbd { "N" } " and "
            kbd { "P" } " next and previous piece, " kbd { "Enter" } " its row, " kbd { "Esc" }
            " nothing selected."
        }
    }
}

/// A sheet a storey and layer, for paper.
fn printed(view: &View, sheets: &[Sheet], bounds: &[Option<Bounds>]) -> Markup {
    let first = bounds.iter().position(Option::is_some);
    html! { section class="sheets" aria-hidden="true" {
        @for (s, (sheet, b)) in sheets.iter().zip(bounds).enumerate() { @if let Some(b) = b {
            @for (i, (layer, name)) in layers_to_print(sheet).into_iter().enumerate() {
                @let keyed = Some(s) == first && i == 0;
                figure class={ "plan" @if b.lies() { " lying" } @if keyed { " keyed" } } {
                    figcaption { h3 { (storey_title(view, sheet.storey)) ": " (name) } }
                    svg viewBox=(b.view_box()) font-size=(b.letter()) {
                        @for (part, class) in parts(layer) {
                            use href={ "#" (group_id(sheet.storey, part)) } class=[class] {}
                        }
                    }
                    // On the first plan's page: by itself it would have one of its own.
                    @if keyed { (legend()) }
                }
            }
        } }
    } }
}

fn layers_to_print(sheet: &Sheet) -> Vec<(Layer, &'static str)> {
    let lower = match sheet.bottom_is_lower {
        true => "lower top plates, and bottom plates, which are cut and lie the same",
        false => "lower top plates",
    };
    let mut all = vec![(Layer::Upper, "upper top plates"), (Layer::Lower, lower)];
    if !sheet.bottom_is_lower {
        all.push((Layer::Bottom, "bottom plates"));
    }
    all
}

/// The groups of a sheet; those with a class are printed only when their switch is on.
fn parts(layer: Layer) -> Vec<(&'static str, Option<&'static str>)> {
    let own: [&str; 3] = match layer {
        Layer::Upper => ["upper-plates", "upper-cuts", "upper-marks"],
        Layer::Lower => ["lower-plates", "lower-cuts", "lower-marks"],
        Layer::Bottom => ["bottom-plates", "bottom-cuts", "bottom-marks"],
    };
    let other = match layer {
        Layer::Upper => Some("lower-cuts"),
        Layer::Lower => Some("upper-cuts"),
        Layer::Bottom => None,
    };
    let mut parts = vec![("walls", Some("if-walls")), (own[0], None), ("openings", None)];
    parts.extend(other.map(|o| (o, Some("other"))));
    parts.extend([(own[1], None), ("drawn", Some("if-drawn")), ("dims", None)]);
    if layer == Layer::Upper {
        parts.push(("ties", None));
    }
    parts.extend([("runs", None), (own[2], None), ("pins", None)]);
    parts
}
