//! The way from a drawing's bytes to a finished, proven document. The only crate that knows every
//! stage; read [`plan`] to see the whole program.
//!
//! Knows: the order of the stages, what a file is by its first bytes, how pieces become demands for
//! boards. Never touches: files, flags, output formats.

pub mod boards;
mod inspect;
mod sniff;
mod wide;

pub use import_dxf::{Source, TextFile};
pub use inspect::{Drawing, Inspection, Junctions, NamedRun, inspect, inspect_within};
pub use sniff::format_of;

use diag::codes::{input, output};
use diag::{Finding, Ledger, Outcome, Refusal};
use limits::{Stage, Watch};
use overrides::{Applied, Found, Overrides, WallFrom};
use plan_model::{Document, SourceFile};
use rule_sets::RuleSet;
use settings::Settings;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use wall_model::floor::Floor;
use wall_model::{Format, Wall, WallId, WallModel};

/// One drawing and the settings to plan it under.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The file's name alone, for messages and outputs; it decides nothing.
    pub file_name: &'a str,
    /// The file.
    pub bytes: Source<'a>,
    /// Settings in force.
    pub settings: &'a Settings,
}

/// A drawing that was read, under the settings it was read under.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The file.
    pub source: SourceFile,
    /// In force: what the rule set fills in is told with the rest.
    pub settings: Settings,
    /// The walls as read, before any edit.
    pub model: WallModel,
    /// What the reader has to say.
    pub findings: Vec<Finding>,
    rules: &'static RuleSet,
    /// Size of the file.
    bytes: u64,
}

/// A plan, and the walls it was made of.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The result.
    pub document: Document,
    /// The walls as edited: what [`wall_model::floor::FloorWall::wall`] counts.
    pub walls: Vec<Wall>,
    /// Of each, what it was made of.
    pub from: Vec<WallFrom>,
    /// Which walls as read the edits are about.
    pub found: Found,
}

/// Plans a drawing.
///
/// # Errors
/// When there is no plan at all: the file cannot be read, states no unit, or has no wall that can be
/// planned; or the settings name an unknown rule set. Everything short of that is in
/// [`Document::findings`].
pub fn plan(job: Job) -> Result<Document, Refusal> {
    plan_with(job, &Overrides::default())
}

/// Plans a drawing with a reviewer's edits. The settings already have the edits' mapping
/// ([`Overrides::lay_over`]), since flags may stand between the two.
///
/// # Errors
/// As [`plan`].
pub fn plan_with(job: Job, overrides: &Overrides) -> Result<Document, Refusal> {
    plan_within(job, overrides, &Watch::start(&job.settings.limits))
}

/// The same against a watch that runs already.
///
/// # Errors
/// As [`plan`], and when time is up.
pub fn plan_within(job: Job, overrides: &Overrides, watch: &Watch) -> Result<Document, Refusal> {
    plan_reading_within(read_within(job, watch)?, overrides, watch).map(|planned| planned.document)
}

/// Reads a drawing: what [`plan_reading`] goes on with, as often as its walls are edited.
///
/// # Errors
/// As [`plan`], but that walls may all be such that they cannot be planned.
pub fn read(job: Job) -> Result<Reading, Refusal> {
    read_within(job, &Watch::start(&job.settings.limits))
}

/// The same against a watch that runs already.
///
/// # Errors
/// As [`read`], and when time is up.
pub fn read_within(job: Job, watch: &Watch) -> Result<Reading, Refusal> {
    let rules = RuleSet::named(&job.settings.rules)?;
    let mut settings = job.settings.clone();
    settings.plates.joint_offset = Some(rules.joint_offset(&settings));
    let Outcome { value: model, findings } = walls(job, &settings, watch)?;
    let source = source_file(&job, &model)?;
    Ok(Reading { source, settings, model, findings, rules, bytes: job.bytes.bytes() })
}

/// Plans the walls of a drawing with a reviewer's edits.
///
/// # Errors
/// When no wall is left that can be planned.
pub fn plan_reading(reading: Reading, overrides: &Overrides) -> Result<Planned, Refusal> {
    let watch = Watch::start(&reading.settings.limits);
    plan_reading_within(reading, overrides, &watch)
}

/// The same against a watch that runs already.
///
/// # Errors
/// As [`plan_reading`], and when time is up.
pub fn plan_reading_within(
    reading: Reading,
    overrides: &Overrides,
    watch: &Watch,
) -> Result<Planned, Refusal> {
    let file_name = reading.source.file.clone();
    stages(reading, overrides, watch).map_err(|refusal| {
        let is_stopped = refusal.findings.iter().all(|f| f.code == input::LIMIT);
        if is_stopped { in_file(refusal, &file_name) } else { refusal }
    })
}

/// From walls to a proven plan. At the border of each stage time may be up; nothing half-made goes on.
fn stages(reading: Reading, overrides: &Overrides, watch: &Watch) -> Result<Planned, Refusal> {
    let Reading { source, settings, model, mut findings, rules, bytes } = reading;
    let settings = &settings;
    let edited = edit(model, overrides, settings);
    findings.extend(edited.findings);
    let mut model = edited.model;
    if model.walls.is_empty() {
        return Err(no_walls(&source.file, &model.ledger, findings));
    }

    settings.limits.check_walls(model.walls.len() as u64, bytes)?;
    let floor = wall_graph::build_within(&model, settings, watch);
    watch.border(Stage::Joining)?;
    findings.extend(floor.findings);
    let floor = floor.value;
    account_for_walls_left_out(&mut model, &floor);
    if floor.walls.is_empty() {
        return Err(no_walls(&source.file, &model.ledger, findings));
    }

    let plan = plate_plan::plan_within(&floor, settings, watch)?;
    findings.extend(plan.findings);
    findings.extend(wide::told(&floor));
    let plan = plan.value;

    let boards = boards::choose_within(&plan, settings, watch);
    watch.border(Stage::Boards)?;
    findings.extend(boards.findings);

    let proof = plan_verify::verify_within(&floor, &plan, &boards.boards, settings, (rules, watch));
    watch.border(Stage::Proving)?;
    findings.extend(proof.findings);
    findings.extend(splice_strength::advise(&floor, &plan, settings.chord.as_ref()));

    let mut document = Document {
        source,
        settings: settings.clone(),
        overrides: (!overrides.is_empty()).then(|| overrides.clone()),
        origin_inches: model.origin_inches,
        floor,
        plan,
        boards: boards.boards,
        stock: boards.summary,
        checked: proof.lines,
        findings,
        ledger: model.ledger,
        linework: model.linework,
    };
    document.sort_findings();
    Ok(Planned { document, walls: model.walls, from: edited.from, found: edited.found })
}

/// The edits done; without edits, the model as it is.
fn edit(model: WallModel, overrides: &Overrides, settings: &Settings) -> Applied {
    if !overrides.is_empty() {
        return overrides::apply(overrides, &model, settings);
    }
    let from = (0..model.walls.len() as u32).map(|i| WallFrom::Read(WallId(i))).collect();
    Applied { model, findings: Vec::new(), from, found: Found::default() }
}

/// The drawing's walls.
fn walls(job: Job, settings: &Settings, watch: &Watch) -> Result<Outcome<WallModel>, Refusal> {
    let format = format_of(job.bytes.head(), job.file_name)?;
    let fits = settings.limits.check_file(job.bytes.bytes());
    let read = fits.and_then(|()| match format {
        Format::Dxf => import_dxf::read_within(job.bytes, settings, watch),
        Format::Ifc if !settings.regions.is_empty() => Err(no_regions(settings)),
        // Only of DXF is a file not held in memory.
        Format::Ifc => import_ifc::read_within(job.bytes.head(), settings, watch),
    });
    read.map_err(|refusal| in_file(refusal, job.file_name))
}

/// Planning all of a file of which a part is asked for is more than was asked for.
fn no_regions(settings: &Settings) -> Refusal {
    let names: Vec<String> = settings.regions.iter().map(|r| format!("\"{r}\"")).collect();
    let message = format!(
        "The settings choose {} of a DXF sheet (region), and this is an IFC file, which has no such drawings.",
        names.join(", ")
    );
    Refusal::because(Finding::new(output::REGION_UNUSED, message).about("region"))
}

fn source_file(job: &Job, model: &WallModel) -> Result<SourceFile, Refusal> {
    let mut hash = Sha256::new();
    match job.bytes {
        Source::Memory(bytes) => hash.update(bytes),
        Source::Text(file) => file.each_piece(|piece| hash.update(piece)),
    }
    job.bytes.sound().map_err(|refusal| in_file(refusal, job.file_name))?;
    Ok(SourceFile {
        file: job.file_name.to_owned(),
        sha256: hash.finalize().iter().map(|b| format!("{b:02x}")).collect(),
        format: model.format,
        version: model.version.clone(),
        written_by: model.written_by.clone(),
        units: model.units.clone(),
    })
}

/// The readers do not know the file's name; the first thing a person needs is which file it was.
fn in_file(mut refusal: Refusal, file_name: &str) -> Refusal {
    for f in &mut refusal.findings {
        if !f.message.contains(file_name) {
            f.message = format!("{file_name}: {}", f.message);
        }
        if f.subject.is_empty() {
            f.subject = file_name.to_owned();
        }
    }
    refusal
}

/// Why nothing is left to plan: what became of the entities, then what was said on the way.
fn no_walls(file_name: &str, ledger: &Ledger, findings: Vec<Finding>) -> Refusal {
    const SHOWN: usize = 5;
    let mut reasons: Vec<(&str, u64)> = ledger.ignored().map(|(r, i)| (r, i.count)).collect();
    reasons.sort_by_key(|(_, n)| std::cmp::Reverse(*n));
    let mut told: Vec<String> =
        reasons.iter().take(SHOWN).map(|(r, n)| format!("{n} {r}")).collect();
    if reasons.len() > SHOWN {
        told.push(format!("{} more reasons", reasons.len() - SHOWN));
    }
    let why = if told.is_empty() { String::new() } else { format!(" ({})", told.join("; ")) };
    let message = format!(
        "{file_name}: none of the {} entities read became a wall that can be planned{why}.",
        ledger.read()
    );
    let mut all = vec![Finding::new(input::NO_WALLS, message).about(file_name)];
    all.extend(findings);
    Refusal { findings: all }
}

/// Walls that the graph left out (it has a finding for each) are not used after all: an entity none of
/// whose walls is on the floor moves to ignored.
fn account_for_walls_left_out(model: &mut WallModel, floor: &Floor) {
    let kept: BTreeSet<&str> =
        floor.walls.iter().flat_map(|w| &w.source).map(|s| s.entity.as_str()).collect();
    let lost: BTreeSet<&str> = model
        .walls
        .iter()
        .flat_map(|w| &w.source)
        .map(|s| s.entity.as_str())
        .filter(|e| !kept.contains(e))
        .collect();
    for entity in lost {
        model.ledger.unuse("wall left out of the wall graph, see the findings", entity);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_of_a_sheet_are_refused_for_an_ifc_file() {
        let bytes =
            b"ISO-10303-21;HEADER;FILE_SCHEMA(('IFC4'));ENDSEC;DATA;ENDSEC;END-ISO-10303-21;";
        let settings = Settings { regions: vec!["2".to_owned()], ..Settings::default() };
        let job = Job { file_name: "lot-14.ifc", bytes: bytes[..].into(), settings: &settings };
        let refusal = plan(job).unwrap_err();
        assert_eq!(refusal.findings[0].code, output::REGION_UNUSED);
        assert!(refusal.to_string().contains("lot-14.ifc: The settings choose \"2\""), "{refusal}");
    }
}
