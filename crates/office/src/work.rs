//! The workers: threads that plan one job after the other.
//!
//! A panic in a job is that job's failure and nobody else's. Between stages a job looks whether it is
//! still wanted; what it made is thrown away when it is not.

use crate::job::{JobId, Record, Stage, State, Tally};
use crate::office::{Office, reason};
use crate::problem::{Answer, Problem, caught};
use crate::shelf::{Now, Read, Texts};
use crate::{locked, results, review};
use std::sync::Arc;
use std::thread::JoinHandle;

/// Starts the workers.
pub(crate) fn start(office: &Arc<Office>) -> std::io::Result<Vec<JoinHandle<()>>> {
    let one = |n: usize| {
        let office = Arc::clone(office);
        let work = move || {
            while let Some((id, record, run)) = office.next_work() {
                job(&office, &id, &record, run);
            }
        };
        std::thread::Builder::new().name(format!("planning {n}")).stack_size(16 << 20).spawn(work)
    };
    (0..office.config.jobs_at_once.max(1)).map(one).collect()
}

/// How far a run came before its results are written.
enum Made {
    Unwanted,
    Plan { now: Arc<Now>, texts: Texts, origin: [f64; 2] },
    Failed(String),
}

fn job(office: &Office, id: &JobId, record: &Record, run: u64) {
    let sorry = |what: String| {
        let file = &record.file;
        format!("We are sorry: planning {file} failed, and it is our mistake (\"{what}\").")
    };
    let failed = |message: String| {
        let _ = office.end_run(id, run, |r| {
            r.state = State::Failed;
            r.message = Some(message);
        });
    };
    let made = caught(|| plan(office, id, record, run));
    let (now, texts, origin) = match made.unwrap_or_else(|what| Made::Failed(sorry(what))) {
        Made::Unwanted => return,
        Made::Failed(message) => return failed(message),
        Made::Plan { now, texts, origin } => (now, texts, origin),
    };
    // From here on nobody else may write results of this job.
    let Ok(seen) = office.get(id) else { return };
    let _turn = locked(&seen.job.turn);
    let written = caught(|| {
        if !begin(office, id, record, run, Stage::Writing) {
            return Ok(false);
        }
        match &now.planned {
            Ok(p) => results::write(office, id, record, &texts, &p.document).map(|()| true),
            Err(_) => Ok(true),
        }
    });
    match written {
        Ok(Ok(false)) => {}
        Ok(Ok(true)) => {
            let results = now.planned.is_ok().then_some(record.edition);
            let wanted = office.end_run(id, run, |r| {
                outcome(r, &now);
                r.origin = r.origin.or(Some(origin));
                r.results = results;
            });
            office.folder.keep_results(id, if wanted { results } else { record.results });
        }
        Ok(Err(problem)) => failed(problem.body.message),
        Err(what) => failed(sorry(what)),
    }
}

/// Begins a stage, if the job is still wanted.
fn begin(office: &Office, id: &JobId, record: &Record, run: u64, stage: Stage) -> bool {
    let wanted = office.at_stage(id, run, stage);
    if let (true, Some(hook)) = (wanted, &office.config.before_stage) {
        hook(stage, &record.file);
    }
    wanted
}

fn plan(office: &Office, id: &JobId, record: &Record, run: u64) -> Made {
    let made = || -> Answer<Made> {
        if !begin(office, id, record, run, Stage::Reading) {
            return Ok(Made::Unwanted);
        }
        let texts = review::texts(office, id)?;
        let (settings, overrides) = review::in_force(&texts, &office.config.limits)?;
        let bytes = office.folder.drawing(id).map_err(|e| Problem::disk("the drawing", &e))?;
        let read = Arc::new(Read::new(&record.file, &bytes, settings));
        drop(bytes);
        let origin = review::origin(office, id, record, &read)?;
        if !begin(office, id, record, run, Stage::Planning) {
            return Ok(Made::Unwanted);
        }
        let now = Arc::new(review::plan(&read, overrides));
        office.shelf.keep(id, read, Some((texts.clone(), Arc::clone(&now))));
        Ok(Made::Plan { now, texts, origin })
    };
    made().unwrap_or_else(|problem| Made::Failed(problem.body.message))
}

/// What a plan means for a job's record.
pub(crate) fn outcome(record: &mut Record, now: &Now) {
    match &now.planned {
        Ok(planned) => {
            let d = &planned.document;
            record.state = State::Done;
            record.message = None;
            record.walls = Some(d.floor.walls.len() as u64);
            record.pieces = Some(d.plan.pieces.len() as u64);
            record.findings = Some(Tally::of(&d.findings));
        }
        Err(refusal) => {
            record.state = State::Refused;
            record.message = Some(reason(refusal));
            (record.walls, record.pieces) = (None, None);
            record.findings = Some(Tally::of(&refusal.findings));
        }
    }
}
