//! The workers: threads that plan one job after the other.
//!
//! A panic in a job is that job's failure and nobody else's. Between stages a job looks whether it is
//! still wanted; what it made is thrown away when it is not.

use crate::job::{JobId, Record, Stage, State, Tally};
use crate::office::{Office, reason};
use crate::problem::{Problem, caught};
use crate::shelf::{Now, Read};
use crate::{results, review};
use std::sync::Arc;

/// Starts the workers.
pub(crate) fn start(office: &Arc<Office>) -> std::io::Result<()> {
    let one = |n: usize| -> std::io::Result<()> {
        let office = Arc::clone(office);
        let work = move || {
            while let Some((id, record, run)) = office.next_work() {
                job(&office, &id, &record, run);
            }
        };
        std::thread::Builder::new()
            .name(format!("planning {n}"))
            .stack_size(16 << 20)
            .spawn(work)?;
        Ok(())
    };
    (0..office.config.jobs_at_once.max(1)).try_for_each(one)
}

/// How a run ended.
enum End {
    Unwanted,
    Done { now: Arc<Now>, origin: [f64; 2] },
    Failed(String),
}

fn job(office: &Office, id: &JobId, record: &Record, run: u64) {
    let end = caught(|| stages(office, id, record, run)).unwrap_or_else(|what| {
        End::Failed(format!(
            "We are sorry: planning {} failed, and it is our mistake (\"{what}\").",
            record.file
        ))
    });
    match end {
        End::Unwanted => {}
        End::Failed(message) => office.end_run(id, run, |r| {
            r.state = State::Failed;
            r.message = Some(message);
        }),
        End::Done { now, origin } => {
            let edition = record.edition;
            office.end_run(id, run, |r| {
                outcome(r, &now);
                r.origin = r.origin.or(Some(origin));
                r.results = now.planned.is_ok().then_some(edition);
            });
            if now.planned.is_ok() {
                office.folder.drop_other_results(id, edition);
            }
        }
    }
}

fn stages(office: &Office, id: &JobId, record: &Record, run: u64) -> End {
    let begin = |stage: Stage| {
        let wanted = office.at_stage(id, run, stage);
        if let (true, Some(hook)) = (wanted, &office.config.before_stage) {
            hook(stage, &record.file);
        }
        wanted
    };
    let failed = |p: Problem| End::Failed(p.body.message);
    if !begin(Stage::Reading) {
        return End::Unwanted;
    }
    let texts = match review::texts(office, id) {
        Ok(texts) => texts,
        Err(p) => return failed(p),
    };
    let (settings, overrides) = match review::in_force(&texts) {
        Ok(both) => both,
        Err(p) => return failed(p),
    };
    let read = match office.folder.drawing(id) {
        Ok(bytes) => Arc::new(Read::new(&record.file, &bytes, settings)),
        Err(e) => return failed(Problem::disk("the drawing", &e)),
    };
    let origin = match review::origin(office, id, record, &read) {
        Ok(origin) => origin,
        Err(p) => return failed(p),
    };
    if !begin(Stage::Planning) {
        return End::Unwanted;
    }
    let now = Arc::new(review::plan(&read, overrides));
    office.shelf.keep(id, read, Some((texts.clone(), Arc::clone(&now))));
    if !begin(Stage::Writing) {
        return End::Unwanted;
    }
    if let Ok(planned) = &now.planned
        && let Err(p) = results::write(office, id, record, &texts, &planned.document)
    {
        return failed(p);
    }
    End::Done { now, origin }
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
