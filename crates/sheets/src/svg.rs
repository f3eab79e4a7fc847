//! A page to SVG: the same lines and letters as in the PDF, with names for fonts the reader's machine
//! may have. `textLength` keeps every text as wide as it was laid out.

use crate::font::{Fonts, Weight};
use crate::page::{Item, Page, Step};
use std::fmt::Write;

/// The page. Writing to a `String` cannot fail, so the results of `write!` are dropped.
pub(crate) fn write(page: &Page, fonts: &Fonts, title: &str) -> Vec<u8> {
    let mut out = String::with_capacity(page.items.len() * 80 + 500);
    let (w, h) = (num(page.width), num(page.height));
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}pt\" height=\"{h}pt\" viewBox=\"0 0 {w} {h}\" font-family=\"'DejaVu Sans Condensed','Arial Narrow',Arial,sans-serif\"><title>"
    );
    escaped(&mut out, title);
    let _ = write!(out, "</title><path fill=\"#fff\" d=\"M0 0H{w}V{h}H0Z\"/>");
    let mut clips = 0;
    for item in &page.items {
        match item {
            Item::Path { steps, fill, pen } => {
                out.push_str("<path d=\"");
                for step in steps {
                    match *step {
                        Step::Move(p) => points(&mut out, 'M', &[p]),
                        Step::Line(p) => points(&mut out, 'L', &[p]),
                        Step::Curve(a, b, c) => points(&mut out, 'C', &[a, b, c]),
                        Step::Close => out.push('Z'),
                    }
                }
                out.push_str("\" fill=\"");
                match fill {
                    Some(grey) => {
                        let v = (grey * 255.0).round() as u8;
                        let _ = write!(out, "#{v:02x}{v:02x}{v:02x}\" fill-rule=\"evenodd");
                    }
                    None => out.push_str("none"),
                }
                out.push('"');
                if let Some(pen) = pen {
                    let _ = write!(out, " stroke=\"#000\" stroke-width=\"{}\"", num(pen.width));
                    let lengths = pen.dash.lengths(pen.width);
                    if !lengths.is_empty() {
                        let lengths: Vec<String> = lengths.into_iter().map(num).collect();
                        let _ = write!(out, " stroke-dasharray=\"{}\"", lengths.join(" "));
                    }
                }
                out.push_str("/>");
            }
            Item::Text { at, angle, size, weight, white, text } => {
                let _ = write!(out, "<text font-size=\"{}\"", num(*size));
                if angle.abs() > 0.01 {
                    let [x, y, angle] = [at.0, at.1, *angle].map(num);
                    let _ = write!(out, " transform=\"translate({x} {y})rotate({angle})\"");
                } else {
                    let _ = write!(out, " x=\"{}\" y=\"{}\"", num(at.0), num(at.1));
                }
                if *weight == Weight::Bold {
                    out.push_str(" font-weight=\"700\"");
                }
                if *white {
                    out.push_str(" fill=\"#fff\"");
                }
                let width = num(fonts.width(*weight, *size, text));
                let _ = write!(
                    out,
                    " textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\" xml:space=\"preserve\">"
                );
                escaped(&mut out, text);
                out.push_str("</text>");
            }
            Item::Grid { at, module, runs } => {
                let [x, y] = [at.0, at.1].map(num);
                let _ =
                    write!(out, "<path transform=\"translate({x} {y})scale({module:.4})\" d=\"");
                for (column, row, count) in runs {
                    let _ = write!(out, "M{column} {row}h{count}v1h-{count}z");
                }
                out.push_str("\"/>");
            }
            Item::Clip([left, top, right, bottom]) => {
                clips += 1;
                let [l, t, r, b] = [*left, *top, *right, *bottom].map(num);
                let _ = write!(
                    out,
                    "<clipPath id=\"c{clips}\"><path d=\"M{l} {t}H{r}V{b}H{l}Z\"/></clipPath><g clip-path=\"url(#c{clips})\">"
                );
            }
            Item::Unclip => out.push_str("</g>"),
        }
    }
    out.push_str("</svg>\n");
    out.into_bytes()
}

fn points(out: &mut String, letter: char, points: &[(f64, f64)]) {
    out.push(letter);
    for (i, (x, y)) in points.iter().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        hundredths(out, *x);
        out.push(' ');
        hundredths(out, *y);
    }
}

fn num(value: f64) -> String {
    let mut out = String::new();
    hundredths(&mut out, value);
    out
}

/// Two decimals are a seven-thousandth of an inch on paper.
fn hundredths(out: &mut String, value: f64) {
    let ticks = (value * 100.0).round() as i64;
    if ticks < 0 {
        out.push('-');
    }
    let ticks = ticks.unsigned_abs();
    let _ = write!(out, "{}", ticks / 100);
    match ticks % 100 {
        0 => {}
        part if part % 10 == 0 => {
            let _ = write!(out, ".{}", part / 10);
        }
        part => {
            let _ = write!(out, ".{part:02}");
        }
    }
}

fn escaped(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
}
