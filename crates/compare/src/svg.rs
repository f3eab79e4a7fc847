//! A comparison as a drawing: one panel for the walls and one for each layer of each storey where
//! something differs. Lines tell what happened, not colour: heavy and hatched is added, dashed is
//! removed, tinted with its old outline dotted is changed.

use crate::matching::{Kind, Shape};
use crate::tell::sign;
use crate::{Comparison, Panel};
use std::fmt::Write;

/// Width of the drawing and height a panel may have, px.
const WIDE: f64 = 1000.0;
const TALL: f64 = 760.0;
const MARGIN: f64 = 40.0;
const LETTER: f64 = 13.0;

/// The drawing. Writing to a `String` cannot fail.
pub fn svg(comparison: &Comparison) -> String {
    let mut body = String::new();
    let mut y = 92.0;
    let changed = |p: &&Panel| p.shapes.iter().any(|s| s.kind.is_some());
    let panels: Vec<&Panel> = comparison.drawn.iter().filter(changed).collect();
    for panel in &panels {
        y += drawn(&mut body, panel, y);
    }
    if panels.is_empty() {
        let _ = write!(
            body,
            "<text x=\"{MARGIN}\" y=\"{}\">No wall and no piece has changed.</text>",
            y + 20.0
        );
        y += 50.0;
    }
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDE} {y:.0}\" font-family=\"sans-serif\" font-size=\"{LETTER}\">\
         <title>Comparison of two plans</title><defs><pattern id=\"added\" patternUnits=\"userSpaceOnUse\" width=\"5\" height=\"5\" patternTransform=\"rotate(35)\">\
         <path d=\"M0 0V5\" stroke=\"#000\" stroke-width=\"1.6\"/></pattern></defs>\
         <style>path{{stroke:#000;fill:none;stroke-linejoin:round}}.same{{stroke:#555;stroke-width:.9}}.added{{stroke-width:2.6;fill:url(#added)}}\
         .removed{{stroke-width:2.2;stroke-dasharray:7 4}}.changed{{stroke-width:1.8;fill:#ccc}}.was{{stroke-width:1.4;stroke-dasharray:1.5 2.5}}\
         .lead{{stroke-width:.9}}text{{fill:#000}}text.name{{font-weight:700}}</style><path style=\"fill:#fff;stroke:none\" d=\"M0 0H{WIDE}V{y:.0}H0Z\"/>"
    );
    let _ = write!(out, "<text x=\"{MARGIN}\" y=\"34\" font-size=\"17\" class=\"name\">");
    escaped(
        &mut out,
        &format!("{} compared with {}", comparison.new.file, comparison.old.file),
        90,
    );
    out.push_str("</text>");
    for (i, (class, word)) in [
        ("same", "unchanged"),
        ("added", "+ added"),
        ("removed", "- removed"),
        ("changed", "~ changed"),
        ("was", "as it was"),
    ]
    .into_iter()
    .enumerate()
    {
        let x = MARGIN + 170.0 * i as f64;
        let _ = write!(
            out,
            "<path class=\"{class}\" d=\"M{x} 56h34v12h-34z\"/><text x=\"{}\" y=\"67\">{word}</text>",
            x + 42.0
        );
    }
    out.push_str(&body);
    out.push_str("</svg>\n");
    out
}

/// A panel at `top`; its height.
fn drawn(out: &mut String, panel: &Panel, top: f64) -> f64 {
    let points =
        || panel.shapes.iter().flat_map(|s| s.outline.iter().chain(s.was.iter().flatten()));
    let fold =
        |f: fn(f64, f64) -> f64, i: usize| points().map(|p| p[i]).reduce(f).unwrap_or_default();
    let (left, right) = (fold(f64::min, 0), fold(f64::max, 0));
    let (low, high) = (fold(f64::min, 1), fold(f64::max, 1));
    let room = WIDE - 2.0 * MARGIN - 60.0;
    let scale = (room / (right - left).max(1.0)).min((TALL - 100.0) / (high - low).max(1.0));
    let at =
        |p: &[f64; 2]| (MARGIN + 30.0 + (p[0] - left) * scale, top + 60.0 + (high - p[1]) * scale);
    let _ = write!(
        out,
        "<text class=\"name\" font-size=\"15\" x=\"{MARGIN}\" y=\"{:.1}\">",
        top + 26.0
    );
    escaped(out, &panel.title, 90);
    out.push_str("</text>");
    let path = |out: &mut String, class: &str, ring: &[[f64; 2]]| {
        let _ = write!(out, "<path class=\"{class}\" d=\"");
        for (i, p) in ring.iter().enumerate() {
            let (x, y) = at(p);
            let _ = write!(out, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
        }
        out.push_str("Z\"/>");
    };
    for kind in [None, Some(Kind::Changed), Some(Kind::Added), Some(Kind::Removed)] {
        for s in panel.shapes.iter().filter(|s| s.kind == kind) {
            if let Some(was) = &s.was {
                path(out, "was", was);
            }
            let class = match kind {
                None => "same",
                Some(Kind::Added) => "added",
                Some(Kind::Removed) => "removed",
                Some(Kind::Changed) => "changed",
            };
            path(out, class, &s.outline);
        }
    }
    names(out, panel, &at);
    (high - low) * scale + 120.0
}

/// The names of what differs, where they cover neither each other nor what differs; farther off they
/// have a leader.
fn names(out: &mut String, panel: &Panel, at: &dyn Fn(&[f64; 2]) -> (f64, f64)) {
    let mut taken: Vec<[f64; 4]> = Vec::new();
    let bounds = |s: &Shape| {
        let all: Vec<(f64, f64)> = s.outline.iter().map(at).collect();
        let fold = |f: fn(f64, f64) -> f64, i: fn(&(f64, f64)) -> f64| {
            all.iter().map(i).reduce(f).unwrap_or_default()
        };
        [
            fold(f64::min, |p| p.0),
            fold(f64::min, |p| p.1),
            fold(f64::max, |p| p.0),
            fold(f64::max, |p| p.1),
        ]
    };
    let named: Vec<(&Shape, Kind)> =
        panel.shapes.iter().filter_map(|s| s.kind.map(|k| (s, k))).collect();
    // An oblique wall's bounds are mostly empty: only what is narrow keeps names away.
    let narrow = |b: &[f64; 4]| (b[2] - b[0]).min(b[3] - b[1]) < 40.0;
    taken.extend(named.iter().map(|(s, _)| bounds(s)).filter(narrow));
    for (s, kind) in named {
        let text: String = format!("{} {}", sign(kind), s.name).chars().take(24).collect();
        let (w, h) = (text.chars().count() as f64 * LETTER * 0.62, LETTER);
        let [l, t, r, b] = bounds(s);
        let middle = ((l + r) / 2.0, (t + b) / 2.0);
        let mut spot = None;
        'search: for ring in 0..12 {
            let off = 4.0 + 12.0 * f64::from(ring);
            let sides = [
                (middle.0, t - off - h / 2.0),
                (r + off + w / 2.0, middle.1),
                (middle.0, b + off + h / 2.0),
                (l - off - w / 2.0, middle.1),
                (r + off + w / 2.0, t - off),
                (l - off - w / 2.0, b + off),
            ];
            for (x, y) in sides {
                let own = [x - w / 2.0, y - h / 2.0, x + w / 2.0, y + h / 2.0];
                let free = own[0] > 2.0
                    && own[2] < WIDE - 2.0
                    && taken.iter().all(|o| {
                        own[2] <= o[0] || own[0] >= o[2] || own[3] <= o[1] || own[1] >= o[3]
                    });
                if free {
                    spot = Some((x, y, ring));
                    taken.push(own);
                    break 'search;
                }
            }
        }
        // The lists have what the drawing has no room for.
        let Some((x, y, ring)) = spot else { continue };
        if ring > 1 {
            let _ = write!(
                out,
                "<path class=\"lead\" d=\"M{x:.1} {y:.1}L{:.1} {:.1}\"/>",
                middle.0, middle.1
            );
            let _ = write!(
                out,
                "<path style=\"fill:#fff;stroke:none\" d=\"M{:.1} {:.1}h{w:.1}v{h:.1}h-{w:.1}z\"/>",
                x - w / 2.0,
                y - h / 2.0
            );
        }
        let _ = write!(
            out,
            "<text class=\"name\" text-anchor=\"middle\" x=\"{x:.1}\" y=\"{:.1}\">",
            y + h * 0.36
        );
        escaped(out, &text, 24);
        out.push_str("</text>");
    }
}

/// A stranger's text: escaped, control and direction-changing characters made visible.
fn escaped(out: &mut String, text: &str, most: usize) {
    for c in text.chars().take(most) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c if c.is_control()
                || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}') =>
            {
                out.push('\u{fffd}');
            }
            c => out.push(c),
        }
    }
}
