//! A job: what is kept of it on disk, and what is known of it while the server runs.

use crate::names;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::{Arc, Mutex};

/// The form of `job.json`.
pub(crate) const SCHEMA: &str = "platewright/job/1";

/// A job's name: a running number and a part of its drawing's hash. Only the server makes them; what a
/// client sends is compared with those there are.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct JobId(String);

impl JobId {
    pub fn new(number: u64, sha256: &str) -> JobId {
        let hash: String = sha256.chars().take(8).collect();
        JobId(format!("{number:04}-{hash}"))
    }
    /// `None` for a text that no id looks like.
    pub fn parse(text: &str) -> Option<JobId> {
        let (number, hash) = text.split_once('-')?;
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        let hex = |s: &str| s.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
        let good =
            (4..=9).contains(&number.len()) && digits(number) && hash.len() == 8 && hex(hash);
        good.then(|| JobId(text.to_owned()))
    }
    pub fn number(&self) -> u64 {
        self.0.split('-').next().and_then(|n| n.parse().ok()).unwrap_or(0)
    }
    pub fn as_str(&self) -> &str {
        &self.0
    }
}
impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What became of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum State {
    Waiting,
    Working,
    Done,
    Refused,
    Failed,
    Cancelled,
}

impl State {
    /// Whether it waits or works.
    pub fn is_open(self) -> bool {
        matches!(self, State::Waiting | State::Working)
    }
}

/// What a working job does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Stage {
    /// The drawing is read.
    Reading,
    /// Walls, plates and boards are planned.
    Planning,
    /// Results are written.
    Writing,
}

/// How many findings there are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Tally {
    pub error: u64,
    pub warning: u64,
    pub note: u64,
}

impl Tally {
    pub fn of(findings: &[diag::Finding]) -> Tally {
        let count = |s| findings.iter().filter(|f| f.severity == s).count() as u64;
        Tally {
            error: count(diag::Severity::Error),
            warning: count(diag::Severity::Warning),
            note: count(diag::Severity::Note),
        }
    }
}

/// `job.json`: what must survive a restart, besides drawing, overrides and settings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(crate) struct Record {
    pub schema: String,
    pub file: String,
    pub project: String,
    pub lot: String,
    pub paper: String,
    pub bytes: u64,
    pub sha256: String,
    pub uploaded_at: u64,
    pub revision_of: Option<String>,
    pub state: State,
    pub message: Option<String>,
    /// Goes up with every change of what results depend on.
    pub edition: u64,
    /// The edition whose results are in the folder.
    pub results: Option<u64>,
    pub walls: Option<u64>,
    pub pieces: Option<u64>,
    pub findings: Option<Tally>,
    /// Page origin, drawing units.
    pub origin: Option<[f64; 2]>,
    /// Keys of findings that a person ticked off.
    pub looked_at: BTreeSet<String>,
}

impl Record {
    /// The name in reports and tables: as given, else the file's.
    pub fn lot_name(&self) -> &str {
        if self.lot.is_empty() { names::stem(&self.file) } else { &self.lot }
    }
    pub fn paper(&self) -> sheets::Paper {
        sheets::Paper::from_name(&self.paper).unwrap_or(sheets::Paper::Letter)
    }
}

/// A job while the server runs.
#[derive(Clone, Debug)]
pub(crate) struct Job {
    pub record: Record,
    pub stage: Option<Stage>,
    /// Goes up with every start and stop of work: results of an older run are thrown away.
    pub run: u64,
    /// Held while the job's edits or results change.
    pub turn: Arc<Mutex<()>>,
}

impl Job {
    pub fn new(record: Record) -> Job {
        Job { record, stage: None, run: 0, turn: Arc::default() }
    }
}
