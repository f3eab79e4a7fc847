//! Jobs in the list, and what the server is.

use crate::Config;
use crate::job::{JobId, Stage, State, Tally};
use crate::office::Seen;
use diag::Code;
use lumber::Section;
use serde::Serialize;
use serde_json::{Value, json};

/// See `Job` in the API.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct JobOut {
    id: String,
    file: String,
    project: String,
    lot: String,
    paper: &'static str,
    bytes: u64,
    sha256: String,
    uploaded_at: u64,
    revision_of: Option<String>,
    state: State,
    stage: Option<Stage>,
    step: u64,
    steps: u64,
    ahead: u64,
    edition: u64,
    message: Option<String>,
    walls: Option<u64>,
    pieces: Option<u64>,
    findings: Option<Tally>,
}

impl JobOut {
    pub fn of(seen: &Seen) -> JobOut {
        let r = &seen.job.record;
        let step = match (r.state, seen.job.stage) {
            (State::Waiting, _) | (State::Working, None) => 0,
            (State::Working, Some(Stage::Reading)) => 1,
            (State::Working, Some(Stage::Planning)) => 2,
            (State::Working, Some(Stage::Writing)) => 3,
            _ => 4,
        };
        JobOut {
            id: seen.id.to_string(),
            file: r.file.clone(),
            project: r.project.clone(),
            lot: r.lot_name().to_owned(),
            paper: r.paper().name(),
            bytes: r.bytes,
            sha256: r.sha256.clone(),
            uploaded_at: r.uploaded_at,
            revision_of: r.revision_of.as_deref().and_then(JobId::parse).map(|id| id.to_string()),
            state: r.state,
            stage: seen.job.stage,
            step,
            steps: 4,
            ahead: seen.ahead,
            edition: r.edition,
            message: r.message.clone(),
            walls: r.walls,
            pieces: r.pieces,
            findings: r.findings,
        }
    }
}

/// See `About` in the API.
pub(crate) fn about(config: &Config) -> Value {
    let sections: Value = Section::all()
        .map(|s| json!({ "name": s.name(), "width_in": s.width().to_inches() }))
        .collect();
    json!({
        "program": "platewright",
        "version": env!("CARGO_PKG_VERSION"),
        "folder": config.folder.display().to_string(),
        "limits": {
            "upload_bytes": config.upload_bytes,
            "upload_seconds": config.upload_time.as_secs(),
            "jobs_at_once": config.jobs_at_once,
        },
        "sections": sections,
        "units": geom::Unit::ALL.map(geom::Unit::name),
        "uses": settings::parse::USE_WORDS.map(|w| w.0),
        "papers": sheets::Paper::ALL.map(sheets::Paper::name),
        "rule_sets": rule_sets::names().collect::<Vec<_>>(),
    })
}

/// See `Codes` in the API.
pub(crate) fn codes() -> Value {
    let one = |code: Code| {
        let i = code.info();
        json!({
            "code": i.name, "severity": i.severity.name(), "title": i.title, "meaning": i.meaning,
            "rule": i.rule, "what_to_do": i.remedy,
        })
    };
    json!({ "codes": Code::all().into_iter().map(one).collect::<Value>() })
}
