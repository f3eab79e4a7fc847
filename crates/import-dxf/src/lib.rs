//! Reads walls out of DXF files.
//!
//! Knows: DXF, text and binary, of every release that can be read at all; layer names; how walls,
//! doors and windows are drawn; units. Never touches: junctions, plates, the file system.
//!
//! The way: bytes (`source`), tags (`ascii`, `binary`, `decimal`), entities (`entity` and its kind, `reading`, `file`, `lookup`), text (`codepage`, `text`), linework with all blocks
//! inserted (`linework`, `flatten`), layers and units (`layers`, `bothwords`, `units`, `survey`), face lines paired
//! (`facewalls`, `pairing`, `passing`, `thicker`, `jogs`, `stubs`, `glass`, `crosscut`, `facelines`, `faces`), walls (`openings`, `seams`, `centrelines`, `arcwalls`, `curved`, `walls`, `draftwalls`), or walls by
//! their shape where no layer tells (`candidates`, `unnamed`, `widelines`, `lonelines`, `confidence`, `directions`, `byshape`),
//! drawings on the sheet told apart (`region`, `sheet`), those that are planned read once more by themselves
//! (`drawings`), then [`wall_model::Draft::finish`]. What is not used is counted on the way
//! (`account`).
//!
//! Nothing in a file makes this crate panic or guess: what cannot be read is left out, counted and
//! said.

mod account;
mod affine;
mod annotation;
mod arcwalls;
mod ascii;
mod beside;
mod binary;
mod blocknames;
mod border;
mod bothwords;
mod brokenlines;
mod byshape;
mod candidates;
mod carryon;
mod centrelines;
mod codepage;
mod confidence;
mod copies;
mod crosscut;
mod curved;
mod curveddoors;
mod dimensions;
mod directions;
mod doors;
mod draftwalls;
mod drawings;
mod drawn;
mod entity;
mod entitynotes;
mod facelines;
mod faces;
mod facewalls;
mod facing;
mod figures;
mod file;
mod fitcurve;
mod flatten;
mod folded;
mod glass;
mod hatch;
mod heightnotes;
mod heightwords;
mod inline;
mod inserts;
mod inspect;
mod interner;
mod iso13567;
mod jogs;
mod layernotes;
mod layers;
mod leftout;
mod likewalls;
mod linework;
mod lonechains;
mod lonelines;
mod lookup;
mod mixed;
mod mline;
mod mlinecuts;
mod nearby;
mod network;
mod openingnotes;
mod openings;
mod otherglass;
mod otherwords;
mod overall;
mod overlaid;
mod pairing;
mod partitions;
mod parts;
mod passing;
mod patches;
mod plain;
mod polylines;
mod preamble;
mod reading;
mod region;
mod repeats;
mod report;
mod sameopening;
mod sameplan;
mod seamnotes;
mod seams;
mod sheet;
mod singles;
mod sliding;
mod source;
mod spline;
mod stacked;
mod stubs;
mod surfaces;
mod survey;
mod symbols;
mod tag;
mod text;
mod thicker;
mod titleplaces;
mod titles;
mod underlay;
mod units;
mod unitwords;
mod unlayered;
mod unnamed;
mod walls;
mod widelines;
mod words;

pub use byshape::WallByShape;
pub use drawn::{Drawn, DrawnText, Picture, picture};
pub use heightnotes::HeightNote;
pub use heightwords::HeightOf;
pub use inspect::{Inspection, LayerSummary};
pub use region::Region;
pub use source::{ReadSeek, Source, TextFile};
pub use titles::DrawingKind;
pub use units::{UnitReading, UnitsEvidence};

use diag::{Outcome, Refusal};
use limits::{Limits, Stage, Watch};
use settings::Settings;
use wall_model::WallModel;

/// Whether these bytes are a DXF file, text or binary.
pub fn sniff(bytes: &[u8]) -> bool {
    survey::sniff(bytes)
}

/// Reads the walls of a DXF file.
///
/// # Errors
/// When no wall can be had: the file is something else, has no unit, no recognised wall layer, or
/// walls drawn in a way that cannot be planned. The refusal says which, and what to do.
pub fn read<'a>(
    drawing: impl Into<Source<'a>>,
    settings: &Settings,
) -> Result<Outcome<WallModel>, Refusal> {
    read_within(drawing, settings, &Watch::endless())
}

/// The same, as long as the watch lets it.
///
/// # Errors
/// As [`read`], and when time is up.
pub fn read_within<'a>(
    drawing: impl Into<Source<'a>>,
    settings: &Settings,
    watch: &Watch,
) -> Result<Outcome<WallModel>, Refusal> {
    let source = drawing.into();
    let survey = survey::survey(source, settings, watch)?;
    let model = walls::model(survey, settings, &mut walls::Seen::default());
    source.sound()?;
    // Time may have been up in the middle: what was made then says nothing of the drawing.
    watch.border(Stage::Reading)?;
    model
}

/// Looks at a DXF file: layers, units, what would be used and why. Works where [`read`] refuses, but
/// for files that are no DXF at all.
///
/// # Errors
/// When the drawing is no DXF file, or cannot be read.
pub fn inspect<'a>(
    drawing: impl Into<Source<'a>>,
    settings: &Settings,
) -> Result<Inspection, Refusal> {
    inspect_within(drawing, settings, &Watch::endless())
}

/// The same, as long as the watch lets it.
///
/// # Errors
/// As [`inspect`], and when time is up.
pub fn inspect_within<'a>(
    drawing: impl Into<Source<'a>>,
    settings: &Settings,
    watch: &Watch,
) -> Result<Inspection, Refusal> {
    let source = drawing.into();
    let mut survey = survey::survey(source, settings, watch)?;
    let mut seen = walls::Seen::default();
    let again = survey::survey(source, settings, watch)?;
    let model = walls::model(again, settings, &mut seen);
    source.sound()?;
    watch.border(Stage::Reading)?;
    let (ledger, findings) = match model {
        Ok(out) => (out.value.ledger, out.findings),
        Err(refusal) => (inspect::ledger_without_model(&survey), refusal.findings),
    };
    // The unit is judged by the drawings that are planned.
    survey.units = seen.units.take().unwrap_or(survey.units);
    Ok(inspect::inspection(survey, ledger, findings, seen))
}

/// Reads a file down to flattened linework and nothing more: how many straight lines and arcs there
/// are, all layers. For benchmarks, and for tests against other readers.
pub fn count_lines<'a>(drawing: impl Into<Source<'a>>) -> (usize, usize) {
    let watch = Watch::endless();
    let mut file = reading::read_file(drawing.into(), None, &watch);
    let drawing = flatten::flatten(&mut file, &Limits::default(), &watch);
    (drawing.lines.segments.len(), drawing.lines.arcs.len())
}

#[cfg(test)]
mod carryon_tests;
#[cfg(test)]
mod reading_tests;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;
