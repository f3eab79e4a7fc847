//! What a drawing holds, without planning it.

use crate::{Job, format_of, in_file, walls};
use diag::codes::graph::NEAR_MISS;
use diag::{Finding, Ledger, Refusal};
use std::collections::BTreeMap;
use wall_model::Format;
use wall_model::floor::JunctionKind;

/// What a drawing holds, and how its walls meet.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// What the reader sees.
    pub drawing: Drawing,
    /// Of the walls that would be planned; `None` where the drawing is refused or has no walls.
    pub junctions: Option<Junctions>,
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
    /// Only kinds that there are.
    pub by_kind: BTreeMap<JunctionKind, usize>,
    /// Free ends that stop just short of another wall.
    pub near_misses: usize,
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
    let seen = match format_of(job.bytes, job.file_name)? {
        Format::Dxf => {
            import_dxf::inspect(job.bytes, job.settings).map(|i| Drawing::Dxf(Box::new(i)))
        }
        Format::Ifc => {
            import_ifc::inspect(job.bytes, job.settings).map(|i| Drawing::Ifc(Box::new(i)))
        }
    };
    let drawing = seen.map_err(|refusal| in_file(refusal, job.file_name))?;
    Ok(Inspection { drawing, junctions: junctions(job) })
}

fn junctions(job: Job) -> Option<Junctions> {
    let model = walls(job, job.settings).ok()?.value;
    if model.walls.is_empty() {
        return None;
    }
    let found = wall_graph::meetings(&model, job.settings);
    let mut junctions = Junctions::default();
    for meeting in &found.value {
        *junctions.by_kind.entry(meeting.kind).or_default() += 1;
    }
    junctions.near_misses = found.findings.iter().filter(|f| f.code == NEAR_MISS).count();
    Some(junctions)
}
