//! What a drawing holds, without planning it.

use crate::{Job, format_of, in_file, walls};
use diag::codes::graph::NEAR_MISS;
use diag::{Finding, Ledger, Refusal, Severity, SourceRef};
use geom::Point;
use limits::{Stage, Used, Watch};
use lumber::Section;
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::{Floor, JunctionKind};
use wall_model::{Format, WallModel};

/// What a drawing holds, and how its walls meet.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// What the reader sees.
    pub drawing: Drawing,
    /// Of the walls that would be planned; `None` where the drawing is refused or has no walls.
    pub junctions: Option<Junctions>,
    /// The place of the plan's zero in the drawing, inches; `None` where there is no plan.
    pub origin_inches: Option<(f64, f64)>,
    /// What of each limit the drawing took.
    pub used: Used,
}

/// What a reader sees. The formats have different things to show: a DXF its layers, an IFC file its
/// storeys and wall types.
#[derive(Clone, Debug)]
pub enum Drawing {
    /// A DXF file.
    Dxf(Box<import_dxf::Inspection>),
    /// An IFC file.
    Ifc(Box<import_ifc::Inspection>),
}

/// How many places where walls meet there are of each kind: the quickest way to see whether the walls
/// of a drawing hang together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Junctions {
    /// Walls that would be planned: pieces in line put together, doubles dropped.
    pub walls: usize,
    /// Only kinds that there are.
    pub by_kind: BTreeMap<JunctionKind, usize>,
    /// Free ends that stop just short of another wall.
    pub near_misses: usize,
    /// The runs that findings name, as they are numbered in the plan.
    pub named: Vec<NamedRun>,
}

/// A run that a finding names: without a plan nothing else shows which it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedRun {
    /// `R7`.
    pub name: String,
    /// Both ends, plan frame.
    pub ends: [Point; 2],
    /// Studs and plates.
    pub section: Section,
    /// The first of the entities it is of.
    pub source: Option<SourceRef>,
}

impl Inspection {
    /// What became, or would become, of every entity.
    pub fn ledger(&self) -> &Ledger {
        match &self.drawing {
            Drawing::Dxf(i) => &i.ledger,
            Drawing::Ifc(i) => &i.ledger,
        }
    }
    /// What there is to say, the reasons why it could not be planned included.
    pub fn findings(&self) -> &[Finding] {
        match &self.drawing {
            Drawing::Dxf(i) => &i.findings,
            Drawing::Ifc(i) => &i.findings,
        }
    }
}

/// Looks at a drawing. Works for many that [`crate::plan`] refuses.
///
/// # Errors
/// When the file is no drawing at all.
pub fn inspect(job: Job) -> Result<Inspection, Refusal> {
    inspect_within(job, &Watch::start(&job.settings.limits))
}

/// The same against a watch that runs already.
///
/// # Errors
/// As [`inspect`], and when time is up.
pub fn inspect_within(job: Job, watch: &Watch) -> Result<Inspection, Refusal> {
    let seen = look(job, watch).map_err(|refusal| in_file(refusal, job.file_name))?;
    let (mut drawing, used) = seen;
    let model = walls(job, job.settings, watch).map(|o| o.value).ok();
    let stopped = |r| in_file(r, job.file_name);
    watch.border(Stage::Reading).map_err(stopped)?;
    let walls = model.as_ref().map_or(0, |m| m.walls.len() as u64);
    let used = Used { file_bytes: job.bytes.bytes(), walls, ..used };
    let origin_inches = model.as_ref().map(|m| m.origin_inches);
    let (junctions, told) = model.and_then(|m| junctions(job, &m, watch)).unzip();
    watch.border(Stage::Joining).map_err(stopped)?;
    match &mut drawing {
        Drawing::Dxf(i) => i.findings.extend(told.into_iter().flatten()),
        Drawing::Ifc(i) => i.findings.extend(told.into_iter().flatten()),
    }
    Ok(Inspection { drawing, junctions, origin_inches, used })
}

fn look(job: Job, watch: &Watch) -> Result<(Drawing, Used), Refusal> {
    let Job { bytes, settings, .. } = job;
    let format = format_of(bytes.head(), job.file_name)?;
    settings.limits.check_file(bytes.bytes())?;
    Ok(match format {
        Format::Dxf => {
            let i = import_dxf::inspect_within(bytes, settings, watch)?;
            let used = i.used;
            (Drawing::Dxf(Box::new(i)), used)
        }
        Format::Ifc => {
            let i = import_ifc::inspect_within(bytes.head(), settings, watch)?;
            let used = i.used;
            (Drawing::Ifc(Box::new(i)), used)
        }
    })
}

/// How the walls meet, and what speaks against joining them as they are drawn.
fn junctions(job: Job, model: &WallModel, watch: &Watch) -> Option<(Junctions, Vec<Finding>)> {
    if model.walls.is_empty() {
        return None;
    }
    let found = wall_graph::build_within(model, job.settings, watch);
    let mut junctions = Junctions { walls: found.value.walls.len(), ..Junctions::default() };
    for junction in &found.value.junctions {
        *junctions.by_kind.entry(junction.kind).or_default() += 1;
    }
    let mut findings = found.findings;
    junctions.near_misses = findings.iter().filter(|f| f.code == NEAR_MISS).count();
    findings.retain(|f| f.severity != Severity::Note);
    junctions.named = named_runs(&found.value, &findings);
    Some((junctions, findings))
}

/// The runs that findings name, in order.
fn named_runs(floor: &Floor, findings: &[Finding]) -> Vec<NamedRun> {
    let words = findings.iter().flat_map(|f| {
        let text = f.message.split(|c: char| !c.is_ascii_alphanumeric());
        text.chain([f.subject.as_str()])
    });
    let numbers = words.filter_map(|w| w.strip_prefix('R')?.parse::<usize>().ok());
    let numbers: BTreeSet<usize> = numbers.collect();
    let named = numbers.into_iter().filter_map(|n| {
        let run = floor.runs.get(n.checked_sub(1)?)?;
        let walls = run.walls.iter().filter_map(|w| floor.walls.get(*w as usize));
        Some(NamedRun {
            name: format!("R{n}"),
            ends: [run.start, run.end],
            section: run.section,
            source: walls.flat_map(|w| &w.source).min().cloned(),
        })
    });
    named.collect()
}
