//! The signs of the drawings: ties, pins, and the legend that explains them. Their look is laid down
//! in `docs/visual-language.md`.

use super::ink::{Path, number};
use diag::Severity;
use maud::{Markup, PreEscaped, html};
use plan_model::TieKind;

/// Every kind of tie, in the order of the legend.
const TIES: [(TieKind, &str); 5] = [
    (TieKind::Lap, "lap"),
    (TieKind::Notch, "notch"),
    (TieKind::Strap, "strap or plate"),
    (TieKind::Screw, "screws"),
    (TieKind::None, "no tie"),
];

/// The sign of a tie, two units wide about its middle.
fn shape(kind: TieKind) -> Markup {
    html! {
        circle class="halo" r="1.35" {}
        @match kind {
            TieKind::Lap => { rect class="full" x="-.85" y="-.85" width="1.7" height="1.7" {} }
            TieKind::Notch => { path d="M-1 -.8H-.45V.35H.45V-.8H1V.9H-1Z" class="full" {} }
            TieKind::Strap => {
                path d="M-1 0H1" {} circle class="full" cx="-1" r=".45" {}
                circle class="full" cx="1" r=".45" {}
            }
            TieKind::Screw => { circle r=".95" {} path d="M-.95 0H.95M0 -.95V.95" {} }
            TieKind::None => { circle r=".95" {} path d="M-.67 .67L.67 -.67" {} }
        }
    }
}

/// What the drawings share: the signs and the hatches, once a page, out of sight.
pub(crate) fn definitions(hatches: &[(usize, f64)]) -> Markup {
    html! { svg class="shared" width="0" height="0" aria-hidden="true" focusable="false" { defs {
        @for (kind, _) in TIES {
            g id={ "tie-" (kind.name()) } class={ "tie " (kind.name()) } { (shape(kind)) }
        }
        @for (storey, letter) in hatches {
            @let step = PreEscaped(text(letter * 0.6));
            pattern id={ "hatch-" (storey) } patternUnits="userSpaceOnUse" width=(step) height=(step)
                patternTransform="rotate(35)" {
                path class="hatch" d={ "M0 0V" (text(*letter)) } stroke-width=(text(letter * 0.15)) {}
            }
        }
    } } }
}

fn text(value: f64) -> String {
    let mut out = String::new();
    number(&mut out, value);
    out
}

/// A square for an error, a triangle for a warning, a circle for a note.
pub(crate) fn pin_shape(out: &mut String, severity: Severity, (x, y): (f64, f64), r: f64) {
    let corner = |angle: f64, r: f64| {
        let (sin, cos) = angle.to_radians().sin_cos();
        (x + r * cos, y + r * sin)
    };
    let mut path = Path::on(out);
    match severity {
        Severity::Error => {
            path.ring([45.0, 135.0, 225.0, 315.0].map(|a| corner(a, r * 1.3)).into_iter())
        }
        Severity::Warning => path.ring(
            [-90.0, 30.0, 150.0]
                .map(|a| corner(a, r * 1.75))
                .map(|(x, y)| (x, y - r * 0.12))
                .into_iter(),
        ),
        Severity::Note => path.ring((0..16).map(|i| corner(22.5 * f64::from(i), r))),
    }
}

/// The sign of a severity beside its words.
pub(crate) fn badge(severity: Severity) -> Markup {
    let mut d = String::new();
    pin_shape(&mut d, severity, (0.0, 0.0), 1.05);
    html! { svg class="key" viewBox="-2 -2 4 4" aria-hidden="true" {
        g class={ "pin " (severity.name()) } { path class="head" d=(d) {} }
    } }
}

/// What the signs mean, once a page.
pub(crate) fn legend() -> Markup {
    let tie = |kind: TieKind| {
        html! { svg class="key" viewBox="-2 -2 4 4" aria-hidden="true" {
            g class={ "tie " (kind.name()) } { (shape(kind)) }
        } }
    };
    let line = |class: &str, d: &str| {
        html! { svg class="key wide" viewBox="0 0 12 4" aria-hidden="true" {
            path class=(class) d=(d) {}
        } }
    };
    html! { ul class="legend" {
        li { (line("k-upper", "M0 .4H12V3.6H0Z")) "upper plate" }
        li { (line("k-lower", "M0 .4H12V3.6H0Z")) "lower or bottom plate" }
        li { (line("k-joint", "M6 0V4")) "joint" }
        li { (line("k-other", "M6 0V4")) "joint of the other top layer" }
        li { (line("door", "M0 2H12")) "door" }
        li { (line("window", "M0 1.4H12M0 2.6H12")) "window" }
        li { (line("passage", "M0 2H12")) "opening" }
        @for (kind, word) in TIES { li { (tie(kind)) (word) } }
        @for severity in [Severity::Error, Severity::Warning, Severity::Note] {
            li { (badge(severity)) (severity.name()) }
        }
    } }
}
