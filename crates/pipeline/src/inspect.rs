//! What a drawing holds, without planning it.

use crate::{Job, format_of, in_file};
use diag::{Finding, Ledger, Refusal};
use wall_model::Format;

/// What a drawing holds. The formats have different things to show: a DXF its layers, an IFC file
/// its storeys and wall types.
#[derive(Clone, Debug)]
pub enum Inspection {
    /// A DXF file.
    Dxf(Box<import_dxf::Inspection>),
    /// An IFC file.
    Ifc(Box<import_ifc::Inspection>),
}

impl Inspection {
    /// What became, or would become, of every entity.
    pub fn ledger(&self) -> &Ledger {
        match self {
            Inspection::Dxf(i) => &i.ledger,
            Inspection::Ifc(i) => &i.ledger,
        }
    }
    /// What there is to say, the reasons why it could not be planned included.
    pub fn findings(&self) -> &[Finding] {
        match self {
            Inspection::Dxf(i) => &i.findings,
            Inspection::Ifc(i) => &i.findings,
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
            import_dxf::inspect(job.bytes, job.settings).map(|i| Inspection::Dxf(Box::new(i)))
        }
        Format::Ifc => {
            import_ifc::inspect(job.bytes, job.settings).map(|i| Inspection::Ifc(Box::new(i)))
        }
    };
    seen.map_err(|refusal| in_file(refusal, job.file_name))
}
