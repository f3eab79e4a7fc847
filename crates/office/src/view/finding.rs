//! A finding, with what a person needs beside it.

use super::{SourceOut, sources};
use diag::{Finding, Severity};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// See `Finding` in the API.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct FindingOut {
    pub key: String,
    pub code: &'static str,
    pub severity: &'static str,
    pub title: &'static str,
    pub message: String,
    pub what_to_do: &'static str,
    pub at: Option<[f64; 2]>,
    pub subject: String,
    pub walls: Vec<String>,
    pub source: Vec<SourceOut>,
    pub looked_at: bool,
}

impl FindingOut {
    /// One that lies in no plan.
    pub fn without_place(f: &Finding) -> FindingOut {
        let info = f.code.info();
        FindingOut {
            key: key(f),
            code: f.code.name(),
            severity: f.severity.name(),
            title: info.title,
            message: f.message.clone(),
            what_to_do: info.remedy,
            at: None,
            subject: f.subject.clone(),
            walls: Vec::new(),
            source: sources(&f.source),
            looked_at: false,
        }
    }
}

/// The same for the same finding after an edit elsewhere: ids of walls and runs, which shift, are not in it
/// but where its sentence names them.
fn key(f: &Finding) -> String {
    let mut hash = Sha256::new();
    hash.update(f.code.name());
    hash.update([u8::from(f.severity == Severity::Error), 0]);
    hash.update(&f.message);
    for s in &f.source {
        hash.update([0]);
        hash.update(&s.entity);
    }
    hash.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect()
}
