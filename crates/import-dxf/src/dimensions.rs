//! What the dimensions of a drawing say: lengths written beside lengths drawn.
//!
//! Knows: dimensions whose text has a unit (`12'-6"`, `3600 mm`), what unit they bear out, typed texts
//! that contradict the points they are between. Never touches: walls. A bare number says nothing of a
//! unit and is not looked at.

use crate::account::Fate;
use crate::affine::Xy;
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::linework::{Measures, NO_STRING};
use crate::report::{NAMED, Placed};
use crate::survey::{Survey, plural};
use crate::unitwords::size;
use diag::codes::dxf;
use diag::{Finding, SourceRef};
use geom::Length;

/// Dimensions round: to the inch at worst, and by this share.
const ROUNDED_IN: f64 = 0.75;
/// See [`ROUNDED_IN`].
const ROUNDED: f64 = 0.005;
/// Shorter lengths are as good as any rounding.
const SHORTEST_IN: f64 = 6.0;

/// A dimension with a length written on it.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    /// Distance of its points, drawing units.
    pub distance: f64,
    /// The measure that the file states, drawing units: in details drawn to another scale it is not the
    /// distance.
    pub measured: Option<f64>,
    /// The length written.
    pub inches: f64,
    /// As written.
    pub text: String,
    /// Whether a person typed it in place of the measure.
    pub typed: bool,
    /// Its shape.
    pub shape: usize,
    /// Between its points.
    pub at: Xy,
}

/// Whether a distance in drawing units and the inches written beside it agree.
pub(crate) fn agree(distance: f64, written_in: f64, inches_per_unit: f64) -> bool {
    (distance * inches_per_unit - written_in).abs() <= ROUNDED_IN.max(written_in * ROUNDED)
}

/// The dimensions that show a length with its unit.
pub(crate) fn shown(file: &DxfFile<'_>, drawing: &Drawing, fates: &[Fate]) -> Vec<Shown> {
    let mut out = Vec::new();
    for d in &drawing.lines.dimensions {
        let shape = d.shape as usize;
        let distance = d.distance();
        let hidden = fates.get(shape).is_some_and(|f| f.is_unseen());
        if hidden || d.measures == Measures::Other || !distance.is_finite() || distance <= 0.0 {
            continue;
        }
        let text_of = |string: u32| match string {
            NO_STRING => String::new(),
            n => file.plain_text(n),
        };
        let typed = text_of(d.typed);
        // `<>` stands for the measure: then nothing was typed in its place.
        let is_typed = !typed.trim().is_empty() && !typed.contains("<>");
        let text = if is_typed { typed } else { text_of(d.shown) };
        let Some(inches) = Length::parse(text.trim()).ok().map(Length::to_inches) else { continue };
        if inches < SHORTEST_IN {
            continue;
        }
        let [a, b] = d.between;
        let at = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let measured = d.measured.filter(|m| m.is_finite() && *m > 0.0);
        out.push(Shown { distance, measured, inches, text, typed: is_typed, shape, at });
    }
    out
}

/// Typed dimensions that contradict the drawing.
pub(crate) fn contradictions(s: &Survey<'_>, k: f64) -> Vec<Placed> {
    let mut all: Vec<(SourceRef, &Shown)> = s
        .dimensions
        .iter()
        .filter(|d| {
            let fits = |drawn: f64| agree(drawn, d.inches, k);
            d.typed && !fits(d.distance) && !d.measured.is_some_and(fits)
        })
        .map(|d| (s.source(d.shape), d))
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    let mut out: Vec<Placed> = all
        .iter()
        .take(NAMED)
        .map(|(source, d)| Placed {
            finding: Finding::new(
                dxf::DIMENSION_CONTRADICTS,
                format!(
                    "DIMENSION {} on layer {} has \u{201c}{}\u{201d} typed on it, but its points are {} \
                     apart. Walls are planned as drawn.",
                    source.entity,
                    source.layer,
                    d.text.trim(),
                    size(d.distance * k)
                ),
            )
            .about(source.entity.clone())
            .from(std::slice::from_ref(source)),
            at_in: Some([d.at[0] * k, d.at[1] * k]),
        })
        .collect();
    let more = all.len().saturating_sub(NAMED);
    if more > 0 {
        let finding = Finding::new(
            dxf::DIMENSION_CONTRADICTS,
            format!(
                "{more} more typed {} contradict the drawing.",
                plural(more as u64, "dimension")
            ),
        );
        out.push(finding.into());
    }
    out
}
