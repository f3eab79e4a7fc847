//! Speaking to a person: findings grouped by code, so that five hundred equal ones do not flood.

pub use diag::words::counted as count;
use diag::{Finding, Severity, SourceRef};
use geom::Point;
use pipeline::{Drawing, Inspection};
use plan_model::Document;
use settings::Mirror;
use std::io::{IsTerminal, Write};

/// How many findings of one code are shown in full.
const SHOWN: usize = 4;
/// How many source entities of a finding are named.
const SOURCES: usize = 2;

/// Whether standard error is a terminal and nobody asked for plain text (`NO_COLOR`, no-color.org).
pub fn color_wanted() -> bool {
    let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
    std::io::stderr().is_terminal() && !set("NO_COLOR") && !dumb
}

/// Where a plan lies in its drawing, so that a place can be looked up there.
pub struct InDrawing {
    origin_in: (f64, f64),
    inches_per_unit: f64,
    mirror: Mirror,
}

impl InDrawing {
    /// Of a plan.
    pub fn of(document: &Document) -> InDrawing {
        InDrawing {
            origin_in: document.origin_inches,
            inches_per_unit: document.source.units.inches_per_unit,
            mirror: document.settings.mirror,
        }
    }
    /// Of what would be planned of a drawing; none where that is nothing.
    pub fn seen(seen: &Inspection, mirror: Mirror) -> Option<InDrawing> {
        let unit = match &seen.drawing {
            Drawing::Dxf(i) => i.units.decision.as_ref(),
            Drawing::Ifc(i) => i.units.as_ref(),
        };
        let (origin_in, inches_per_unit) = (seen.origin_inches?, unit?.inches_per_unit);
        Some(InDrawing { origin_in, inches_per_unit, mirror })
    }
    /// `x 1318.0, y 369.2`, drawing units.
    pub fn words(&self, at: Point) -> String {
        let (x, y) = (at.x.to_inches() + self.origin_in.0, at.y.to_inches() + self.origin_in.1);
        let (x, y) = self.mirror.point((x, y));
        let shown = |v: f64| format!("{:.3}", v / self.inches_per_unit + 0.0);
        format!("x {}, y {}", shown(x), shown(y))
    }
}

/// Standard output and standard error.
pub struct Say<'a> {
    out: &'a mut dyn Write,
    err: &'a mut dyn Write,
    color: bool,
}

impl<'a> Say<'a> {
    /// Speaks through the two streams.
    pub fn new(out: &'a mut dyn Write, err: &'a mut dyn Write, color: bool) -> Say<'a> {
        Say { out, err, color }
    }
    /// Whether a person looks at a terminal.
    pub fn is_terminal(&self) -> bool {
        self.color && std::io::stderr().is_terminal()
    }
    /// A line of machine text. A reader that has gone away (a closed pipe) is no error of ours.
    pub fn out(&mut self, line: &str) {
        let _ = writeln!(self.out, "{line}");
        let _ = self.out.flush();
    }
    /// A line for a person.
    pub fn err(&mut self, line: &str) {
        let _ = writeln!(self.err, "{line}");
    }
    /// Findings, grouped by code in the order given; the remedy once a group.
    pub fn findings(&mut self, findings: &[Finding]) {
        self.findings_in(findings, None);
    }
    /// The same, each place told as well where it lies in the drawing.
    pub fn findings_in(&mut self, findings: &[Finding], drawing: Option<&InDrawing>) {
        let mut codes = Vec::new();
        for f in findings {
            if !codes.contains(&(f.severity, f.code)) {
                codes.push((f.severity, f.code));
            }
        }
        for (severity, code) in codes {
            let group: Vec<&Finding> =
                findings.iter().filter(|f| (f.severity, f.code) == (severity, code)).collect();
            for f in group.iter().take(SHOWN) {
                self.finding(f, drawing);
            }
            if let Some(more @ 1..) = group.len().checked_sub(SHOWN) {
                self.err(&format!("  ... and {more} more of this kind"));
            }
            self.err(&format!("  what to do: {}", code.info().remedy));
        }
    }
    fn finding(&mut self, f: &Finding, drawing: Option<&InDrawing>) {
        let (on, off) = match (self.color, f.severity) {
            (false, _) => ("", ""),
            (true, Severity::Error) => ("\x1b[1;31m", "\x1b[0m"),
            (true, Severity::Warning) => ("\x1b[1;33m", "\x1b[0m"),
            (true, Severity::Note) => ("\x1b[1;36m", "\x1b[0m"),
        };
        let head = format!("{on}{}[{}]{off}", f.severity.name(), f.code.name());
        self.err(&format!("{head}: {}", plain(&f.message)));
        let mut place = Vec::new();
        if let Some(at) = f.at {
            place.push(format!("at ({}, {})", at.x.feet_inches(), at.y.feet_inches()));
            place.extend(drawing.map(|d| format!("in the drawing {}", d.words(at))));
        }
        if !f.source.is_empty() {
            place.push(format!("from {}", sources(&f.source)));
        }
        if !place.is_empty() {
            self.err(&format!("  {}", place.join(", ")));
        }
    }
}

/// `2F1 on A-WALL, 2F8 on A-WALL and 3 more`.
fn sources(all: &[SourceRef]) -> String {
    let shown: Vec<String> = all
        .iter()
        .take(SOURCES)
        .map(|s| match s.layer.as_str() {
            "" => plain(&s.entity),
            layer => format!("{} on {}", plain(&s.entity), plain(layer)),
        })
        .collect();
    match all.len().saturating_sub(SOURCES) {
        0 => shown.join(", "),
        more => format!("{} and {more} more", shown.join(", ")),
    }
}

/// Text from a stranger's drawing, made harmless for a terminal: no control characters.
pub fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use diag::codes::input;

    fn said(findings: &[Finding], color: bool) -> String {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        Say::new(&mut out, &mut err, color).findings(findings);
        assert!(out.is_empty());
        String::from_utf8(err).unwrap()
    }

    #[test]
    fn many_equal_findings_do_not_flood() {
        let dot = |i: usize| {
            Finding::new(input::WALL_ZERO_LENGTH, format!("Wall {i} has no length."))
                .from(&[SourceRef { entity: format!("{i:X}"), layer: "A-WALL".into() }])
        };
        let all: Vec<Finding> = (0..500).map(dot).collect();
        let text = said(&all, false);
        assert!(text.lines().count() < 15, "{text}");
        assert!(text.contains("and 496 more"));
        assert!(text.contains("from 2 on A-WALL"));
        assert_eq!(text.matches("what to do").count(), 1);
    }

    #[test]
    fn a_place_is_told_as_the_drawing_has_it() {
        let drawing =
            InDrawing { origin_in: (1000.0, -24.0), inches_per_unit: 12.0, mirror: Mirror::X };
        let at = Point::new(geom::Length::inches(20), geom::Length::inches(24));
        assert_eq!(drawing.words(at), "x -85.000, y 0.000");
    }

    #[test]
    fn no_color_and_no_control_characters_unless_a_terminal() {
        let f = Finding::new(input::NO_WALLS, "layer \x1b[2J here").at(geom::Point::default());
        assert!(!said(std::slice::from_ref(&f), false).contains('\x1b'));
        assert!(said(&[f], true).contains("\x1b[1;31merror[no-walls]"));
    }
}
