//! IFC files to the wall model.
//!
//! Knows: the STEP encoding, the IFC classes that walls are made of, and how to read centreline,
//! framing layer, section, heights, storey and openings from them. Never touches: junctions, plates,
//! the file system; geometry beyond what plates need (no solids are computed).
//!
//! From bytes to model: `container` tells the encoding, `step` indexes the entities,
//! `relations` follows who belongs to whom, `geometry` and `shape` give each wall its line and body,
//! `ends` settles where they end, `rows` where those do that meet two rows of studs,
//! `material` and `framing` choose the framing layer and its section, `openings` (on `cuts`, the pieces they are cut from), `hosting` and
//! `storeys` hang the rest on it (`broken` leaves out what voids take away altogether), and `digest` puts it all together; `values` looks at every entity
//! on the way. What the file holds beyond that
//! is counted in the ledger, product by product.

mod bow;
mod broken;
mod classes;
mod connections;
mod container;
mod cuts;
mod digest;
mod ends;
mod file;
mod framing;
mod geometry;
mod hosting;
mod inventory;
mod layerunits;
mod made;
mod material;
mod neighbours;
mod openings;
pub mod raw;
mod relations;
mod report;
mod rows;
mod seams;
mod shape;
mod step;
mod storeys;
mod summary;
mod told;
mod top_words;
mod units;
mod values;
mod void;
mod walls;
mod words;

pub use summary::{LayerSummary, StoreySummary, TypeSummary, WallFate};

use diag::codes::ifc;
use diag::{Finding, Ledger, Outcome, Refusal};
use file::File;
use limits::{Stage, Used, Watch};
use report::Report;
use settings::Settings;
use step::header::{self, Header};
use units::LengthUnit;
use wall_model::{Draft, Format, UnitsDecision, WallModel};

/// What an IFC file holds.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// Schema, and as which version it is read where that is another: `IFC2X_FINAL (read as IFC2x)`.
    pub version: String,
    /// Program that wrote the file, as the file says; may be empty.
    pub written_by: String,
    /// The length unit; `None` where the file does not say or cannot be believed (the findings tell).
    pub units: Option<UnitsDecision>,
    /// Storeys, lowest first.
    pub storeys: Vec<StoreySummary>,
    /// Wall types by name.
    pub types: Vec<TypeSummary>,
    /// Walls in the file, whatever becomes of them.
    pub walls_in_file: usize,
    /// Walls of the model.
    pub walls_read: usize,
    /// What became of each wall, by source.
    pub walls: Vec<WallFate>,
    /// What became of every product.
    pub ledger: Ledger,
    /// What there is to say.
    pub findings: Vec<Finding>,
    /// Proposed `[[layers]]` lines for a settings file.
    pub proposal: Vec<String>,
    /// What of each limit the file took; its own size is the caller's to say.
    pub used: Used,
}

/// Whether the bytes are a file for this reader: STEP, a zip that holds an IFC file, or one of the encodings
/// that [`read`] refuses by name (ifcXML, IFC 5 JSON; STEP of another schema without IFC entities). Never
/// parses the whole file.
pub fn sniff(bytes: &[u8]) -> bool {
    container::sniff(bytes)
}

/// Reads the walls of an IFC file.
///
/// Refuses when there is no model to give: no IFC, no believable length unit, no usable wall.
/// Everything less is in the findings and the ledger.
pub fn read(bytes: &[u8], settings: &Settings) -> Result<Outcome<WallModel>, Refusal> {
    read_within(bytes, settings, &Watch::endless())
}

/// The same, as long as the watch lets it.
pub fn read_within(
    bytes: &[u8],
    settings: &Settings,
    watch: &Watch,
) -> Result<Outcome<WallModel>, Refusal> {
    let text = container::step_text(bytes, &settings.limits)?;
    settings.limits.check_text(text.len() as u64)?;
    let header = header::read(&text);
    let file = File::open_to_judge(&text);
    let mut report = Report::default();
    told::report_damage(&file, &mut report);
    let version = version(&header, &mut report);
    let unit = match length_unit(&file, settings, &mut report) {
        Ok(unit) => unit,
        // A file that was cut off before its units says so first.
        Err(mut refusal) => {
            told::report_values(&file, &mut report);
            refusal.findings.extend(report.into_findings());
            refusal.findings.sort_by_key(|f| f.code != diag::codes::input::FILE_TRUNCATED);
            return Err(refusal);
        }
    };
    watch.border(Stage::Reading)?;
    let d = digest::digest(&file, &unit, settings, report, watch);
    watch.border(Stage::Reading)?;
    // First of all: by a wrong unit no wall may be as thick as lumber.
    let units = match d.units {
        Ok(units) => units,
        Err(conflict) => {
            let findings = std::iter::once(conflict).chain(d.findings).collect();
            return Err(Refusal { findings });
        }
    };
    if d.walls.is_empty() {
        return Err(told::no_walls(&file, &d.ledger, d.walls_in_file, d.findings));
    }
    let draft = Draft {
        format: Format::Ifc,
        version: version.0,
        written_by: written_by(&file, &header),
        units,
        storeys: d.storeys,
        walls: d.walls,
        ledger: d.ledger,
    };
    let mut out = draft.finish(settings.mirror);
    out.findings.splice(0..0, d.findings);
    if out.value.walls.is_empty() {
        return Err(told::no_walls(&file, &out.value.ledger, d.walls_in_file, out.findings));
    }
    Ok(out)
}

/// Looks at an IFC file without planning: what it holds, which framing each wall type gets and why.
/// Unlike [`read`] it goes on where the unit is missing or not believable.
pub fn inspect(bytes: &[u8], settings: &Settings) -> Result<Inspection, Refusal> {
    inspect_within(bytes, settings, &Watch::endless())
}

/// The same, as long as the watch lets it.
pub fn inspect_within(
    bytes: &[u8],
    settings: &Settings,
    watch: &Watch,
) -> Result<Inspection, Refusal> {
    let text = container::step_text(bytes, &settings.limits)?;
    settings.limits.check_text(text.len() as u64)?;
    let unpacked = match &text {
        std::borrow::Cow::Owned(text) => text.len() as u64,
        std::borrow::Cow::Borrowed(_) => 0,
    };
    let header = header::read(&text);
    let file = File::open_to_judge(&text);
    let mut report = Report::default();
    told::report_damage(&file, &mut report);
    let version = version(&header, &mut report);
    let (unit, missing) = match length_unit(&file, settings, &mut report) {
        Ok(unit) => (unit, None),
        Err(refusal) => (LengthUnit::stand_in(), Some(refusal.findings)),
    };
    watch.border(Stage::Reading)?;
    let d = digest::digest(&file, &unit, settings, report, watch);
    watch.border(Stage::Reading)?;
    let (mut storeys, mut types) = (d.storey_summaries, d.summary.into_types());
    let (units, findings) = match (missing, d.units) {
        (None, Ok(units)) => (Some(units), d.findings),
        (None, Err(conflict)) => (None, std::iter::once(conflict).chain(d.findings).collect()),
        (Some(missing), _) => {
            // Whatever was measured was measured in no unit.
            storeys.iter_mut().for_each(|s| s.elevation = None);
            for t in &mut types {
                t.layers.iter_mut().for_each(|l| l.thickness = None);
                t.section = None;
                t.section_by = "the unit is not known".to_owned();
            }
            (None, missing)
        }
    };
    let proposal = if units.is_some() { summary::proposal(&types) } else { Vec::new() };
    let mut sources: Vec<&diag::SourceRef> = d.walls.iter().flat_map(|w| &w.source).collect();
    sources.sort();
    sources.dedup();
    let (entities, nesting) = d.used;
    let walls = d.walls.len() as u64;
    Ok(Inspection {
        used: Used { unpacked_bytes: unpacked, entities, nesting, walls, ..Used::default() },
        version: version.1,
        written_by: written_by(&file, &header),
        units,
        walls_in_file: d.walls_in_file,
        walls_read: sources.len(),
        storeys,
        types,
        walls: d.wall_fates,
        ledger: d.ledger,
        findings,
        proposal,
    })
}

fn length_unit(
    file: &File<'_>,
    settings: &Settings,
    report: &mut Report,
) -> Result<LengthUnit, Refusal> {
    let mut findings = Vec::new();
    let unit = units::length_unit(file, settings, &mut findings);
    findings.into_iter().for_each(|f| report.plain(f));
    unit
}

/// The schema as the file has it, and with the version it is read as where that is another.
fn version(header: &Header, report: &mut Report) -> (String, String) {
    let schema = if header.schema.is_empty() { "no schema" } else { &header.schema };
    let (family, known) = if schema.starts_with("IFC2X") {
        ("IFC2x", true)
    } else if schema.starts_with("IFC4X") {
        ("IFC4x", true)
    } else if schema.starts_with("IFC4") {
        ("IFC4", true)
    } else {
        ("IFC4", false)
    };
    if !known {
        let message = format!("FILE_SCHEMA says {schema}; the file is read as {family}.");
        report.plain(Finding::new(ifc::SCHEMA_UNKNOWN, message));
    }
    let read_as = match schema == family {
        true => schema.to_owned(),
        false => format!("{schema} (read as {family})"),
    };
    (schema.to_owned(), read_as)
}

/// The application, its version, and the exporter the header names.
fn written_by(file: &File<'_>, header: &Header) -> String {
    let mut parts: Vec<String> = Vec::new();
    if let Some(a) = file.all(classes::Kind::Application).next() {
        let text = |n: usize| a.param(n).text().unwrap_or_default().trim().to_owned();
        let (version, name) = (text(1), text(2));
        parts.push(if name.contains(&version) { name } else { format!("{name} {version}") });
    }
    for more in [&header.system, &header.preprocessor] {
        if !parts.iter().any(|p| p.contains(more.as_str())) {
            parts.push(more.clone());
        }
    }
    parts.retain(|p| !p.trim().is_empty());
    parts.join("; ")
}
