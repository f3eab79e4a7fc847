//! What the program says about its input and its plan: codes, findings, places, the ledger.
//!
//! Knows: the registry of finding codes (one file a subject under `codes/`), where a finding points
//! to, and the ledger that accounts for every entity read. Never touches: files, walls, formats.
//!
//! A finding has a stable [`Code`], one sentence with the numbers of the case, a place, and a source.
//! What the code means, the rule behind it and what to do stand once, in the registry: `explain CODE`
//! and the report both print them.

pub mod codes;
mod ledger;
pub mod words;

pub use codes::{Code, CodeInfo, Severity};
pub use ledger::{Ignored, Ledger};

use geom::Point;
use std::fmt;

/// Where something came from in the drawing.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct SourceRef {
    /// DXF handle, with the handles of the inserts it came through (`2F/3A`), or IFC GlobalId;
    /// `line 123` or `#45` where the entity has neither.
    pub entity: String,
    /// DXF layer, or the IFC class and type name.
    pub layer: String,
}

/// One thing a person should know about a drawing or a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which kind of thing.
    pub code: Code,
    /// How bad; usually the code's own.
    pub severity: Severity,
    /// What, with the numbers of this case; one or two plain sentences.
    pub message: String,
    /// Where in plan, in the plan's own frame (drawing origin taken off), if it is a place.
    pub at: Option<Point>,
    /// The id of the thing it is about (`W3`, `R2`, `J7`, `P12`), a file place or a settings key; may
    /// be empty.
    pub subject: String,
    /// The drawing entities behind it.
    pub source: Vec<SourceRef>,
}

impl Finding {
    /// A finding with the code's own severity and no place.
    pub fn new(code: Code, message: impl Into<String>) -> Finding {
        Finding {
            code,
            severity: code.info().severity,
            message: message.into(),
            at: None,
            subject: String::new(),
            source: Vec::new(),
        }
    }
    /// With a place in plan.
    pub fn at(mut self, p: Point) -> Finding {
        self.at = Some(p);
        self
    }
    /// With what it is about.
    pub fn about(mut self, subject: impl Into<String>) -> Finding {
        self.subject = subject.into();
        self
    }
    /// With the entities behind it.
    pub fn from(mut self, source: &[SourceRef]) -> Finding {
        self.source.extend_from_slice(source);
        self
    }
    /// With another severity than the code's own.
    pub fn severity(mut self, s: Severity) -> Finding {
        self.severity = s;
        self
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}[{}]: {}", self.severity.name(), self.code.name(), self.message)
    }
}

/// A value, and what there is to say about it. `Err` in a `Result` is kept for when there is no
/// value at all.
#[derive(Clone, Debug)]
pub struct Outcome<T> {
    /// What was made.
    pub value: T,
    /// What there is to say, in the order found; callers sort before showing.
    pub findings: Vec<Finding>,
}

/// Why there is no value at all: at least one finding of severity error, most telling first.
#[derive(Clone, Debug)]
pub struct Refusal {
    /// The reasons.
    pub findings: Vec<Finding>,
}

impl Refusal {
    /// A refusal for one reason.
    pub fn because(f: Finding) -> Refusal {
        Refusal { findings: vec![f] }
    }
}
impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, x) in self.findings.iter().enumerate() {
            write!(f, "{}{x}", if i == 0 { "" } else { "\n" })?;
        }
        Ok(())
    }
}
impl std::error::Error for Refusal {}
