//! All jobs of the server: the list, the queue, what is written when.
//!
//! A change is on disk before it is true in memory, so that what a client was told survives a kill.

use crate::folder::Folder;
use crate::job::{Job, JobId, Record, SCHEMA, Stage, State};
use crate::problem::{Answer, Problem};
use crate::shelf::Shelf;
use crate::{Config, locked, names};
use diag::Refusal;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

/// Everything the server knows.
pub(crate) struct Office {
    pub config: Config,
    pub folder: Folder,
    pub shelf: Shelf,
    inner: Mutex<Inner>,
    wake: Condvar,
    uploads: AtomicU64,
}

struct Inner {
    jobs: BTreeMap<JobId, Job>,
    queue: VecDeque<JobId>,
    change: u64,
    closing: bool,
}

/// A job as it is at this moment.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    pub id: JobId,
    pub job: Job,
    /// Jobs before it in the queue.
    pub ahead: u64,
}

/// A drawing that has arrived.
pub(crate) struct Upload {
    pub path: PathBuf,
    pub file: String,
    pub project: Option<String>,
    pub lot: Option<String>,
    pub revision_of: Option<JobId>,
    pub again: bool,
    pub bytes: u64,
    pub sha256: String,
}

/// What was made of an upload.
pub(crate) struct Taken {
    pub id: JobId,
    pub already_there: bool,
    pub told: Vec<String>,
}

fn now() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs())
}

impl Office {
    /// Opens the folder; jobs that were not finished are queued again. Also what there is to tell about it.
    pub fn open(config: Config) -> std::io::Result<(Office, Vec<String>)> {
        let folder = Folder::open(&config.folder)?;
        let (kept, told) = folder.jobs()?;
        let mut inner = Inner {
            jobs: BTreeMap::new(),
            queue: VecDeque::new(),
            change: now().saturating_mul(1000),
            closing: false,
        };
        for k in kept {
            let mut job = Job::new(k.record);
            if job.record.state.is_open() {
                job.record.state = State::Waiting;
                inner.queue.push_back(k.id.clone());
            }
            inner.jobs.insert(k.id, job);
        }
        let (inner, wake, shelf) = (Mutex::new(inner), Condvar::new(), Shelf::default());
        Ok((Office { config, folder, shelf, inner, wake, uploads: AtomicU64::new(0) }, told))
    }

    /// Where the next upload is written to.
    pub fn next_incoming(&self) -> PathBuf {
        self.folder.incoming(self.uploads.fetch_add(1, Ordering::Relaxed) + 1)
    }

    /// All jobs, newest first, and a number that goes up with every change.
    pub fn list(&self) -> (Vec<Seen>, u64) {
        let inner = locked(&self.inner);
        let all = inner.jobs.iter().rev().map(|(id, job)| inner.seen(id, job)).collect();
        (all, inner.change)
    }

    /// The job that a client names.
    pub fn find(&self, id: &str) -> Answer<Seen> {
        let id = JobId::parse(id).ok_or_else(|| Problem::not_found("job"))?;
        self.get(&id)
    }
    pub fn get(&self, id: &JobId) -> Answer<Seen> {
        let inner = locked(&self.inner);
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        Ok(inner.seen(id, job))
    }

    /// Changes a job's record: on disk first, then in memory. `change` says no by an error.
    pub fn update(
        &self,
        id: &JobId,
        change: impl FnOnce(&mut Record) -> Answer<()>,
    ) -> Answer<Seen> {
        let mut inner = locked(&self.inner);
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        let mut record = job.record.clone();
        change(&mut record)?;
        if record != job.record {
            self.folder.write_record(id, &record).map_err(|e| Problem::disk("the job", &e))?;
            inner.put(id, |job| job.record = record);
        }
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        Ok(inner.seen(id, job))
    }

    /// Takes an upload in, or finds that the same drawing is there with the same settings.
    pub fn take_in(&self, upload: &Upload) -> Answer<Taken> {
        let disk = |e: std::io::Error| Problem::disk("the drawing", &e);
        let mut told = Vec::new();
        let (mut settings, mut overrides) = (self.config.settings_toml.clone(), String::new());
        let (mut project, mut lot, mut paper) = (String::new(), String::new(), "letter".to_owned());
        if let Some(old) = &upload.revision_of {
            let seen = self.get(old)?;
            let r = &seen.job.record;
            (project, lot, paper) = (r.project.clone(), r.lot.clone(), r.paper.clone());
            settings = self.folder.settings(old).map_err(disk)?;
            overrides = self.folder.overrides(old).map_err(disk)?;
            told.push(format!("Taken as a new revision of {}.", r.file));
            if !overrides.is_empty() {
                told.push("The edits of the older drawing were taken over; findings tell which of them no longer fit.".to_owned());
            }
        }
        let mut inner = locked(&self.inner);
        if !upload.again
            && let Some((id, job)) = inner.same(self, upload, &settings)
        {
            let told = format!(
                "The same drawing is there already, as {} ({id}): nothing was added.",
                job.record.file
            );
            return Ok(Taken { id: id.clone(), already_there: true, told: vec![told] });
        }
        let last = inner.jobs.keys().map(JobId::number).max().unwrap_or(0);
        let id = JobId::new(last + 1, &upload.sha256);
        let record = Record {
            schema: SCHEMA.to_owned(),
            file: upload.file.clone(),
            project: upload.project.clone().unwrap_or(project),
            lot: upload.lot.clone().unwrap_or(lot),
            paper,
            bytes: upload.bytes,
            sha256: upload.sha256.clone(),
            uploaded_at: now(),
            revision_of: upload.revision_of.as_ref().map(JobId::to_string),
            state: State::Waiting,
            message: None,
            edition: 1,
            results: None,
            walls: None,
            pieces: None,
            findings: None,
            origin: None,
            looked_at: BTreeSet::new(),
        };
        self.folder.add(&id, &upload.path, &record, &settings, &overrides).map_err(disk)?;
        inner.jobs.insert(id.clone(), Job::new(record));
        inner.queue.push_back(id.clone());
        inner.change += 1;
        drop(inner);
        self.wake.notify_one();
        told.insert(0, format!("{} was kept, and is planned now.", upload.file));
        Ok(Taken { id, already_there: false, told })
    }

    /// Deletes a job that nobody works on.
    pub fn remove(&self, id: &JobId) -> Answer<()> {
        let mut inner = locked(&self.inner);
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        if job.record.state == State::Working {
            return Err(Problem::not_now("This job is being worked on.", "Cancel it first."));
        }
        self.folder.remove(id).map_err(|e| Problem::disk("the job", &e))?;
        inner.jobs.remove(id);
        inner.queue.retain(|q| q != id);
        inner.change += 1;
        self.shelf.forget(id);
        Ok(())
    }

    /// Stops a job that waits or works; what it is working on is thrown away when it is done.
    pub fn cancel(&self, id: &JobId) -> Answer<Seen> {
        let mut inner = locked(&self.inner);
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        if !job.record.state.is_open() {
            let todo = "Only a job that waits or works can be stopped.";
            return Err(Problem::not_now("This job is not being worked on.", todo));
        }
        let mut record = job.record.clone();
        record.state = State::Cancelled;
        record.message = Some("Stopped by hand.".to_owned());
        self.folder.write_record(id, &record).map_err(|e| Problem::disk("the job", &e))?;
        inner.queue.retain(|q| q != id);
        inner.put(id, |job| {
            job.record = record;
            job.run += 1;
            job.stage = None;
        });
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        Ok(inner.seen(id, job))
    }

    /// Queues a job again.
    pub fn again(&self, id: &JobId) -> Answer<Seen> {
        let mut inner = locked(&self.inner);
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        if !matches!(job.record.state, State::Failed | State::Refused | State::Cancelled) {
            let todo = "Only a job that failed, was refused or stopped is planned again; others are planned anew with every edit.";
            return Err(Problem::not_now("This job has nothing to do again.", todo));
        }
        let mut record = job.record.clone();
        record.state = State::Waiting;
        record.message = None;
        self.folder.write_record(id, &record).map_err(|e| Problem::disk("the job", &e))?;
        inner.put(id, |job| {
            job.record = record;
            job.run += 1;
        });
        inner.queue.push_back(id.clone());
        let job = inner.jobs.get(id).ok_or_else(|| Problem::not_found("job"))?;
        let seen = inner.seen(id, job);
        drop(inner);
        self.wake.notify_one();
        Ok(seen)
    }

    /// Waits for the next job and begins it; `None` when the server closes.
    pub fn next_work(&self) -> Option<(JobId, Record, u64)> {
        let mut inner = locked(&self.inner);
        loop {
            if inner.closing {
                return None;
            }
            if let Some(id) = inner.queue.pop_front()
                && let Some(job) = inner.jobs.get(&id)
            {
                let record = job.record.clone();
                let run = job.run + 1;
                inner.put(&id, |job| {
                    job.record.state = State::Working;
                    job.run = run;
                });
                return Some((id, record, run));
            }
            if inner.queue.is_empty() {
                inner = self.wake.wait(inner).unwrap_or_else(PoisonError::into_inner);
            }
        }
    }

    /// Notes what a run does now; `false` when it is no longer wanted.
    pub fn at_stage(&self, id: &JobId, run: u64, stage: Stage) -> bool {
        let mut inner = locked(&self.inner);
        let wanted = inner.jobs.get(id).is_some_and(|j| j.run == run) && !inner.closing;
        if wanted {
            inner.put(id, |job| job.stage = Some(stage));
        }
        wanted
    }

    /// Ends a run; `false` when it is no longer wanted.
    #[must_use]
    pub fn end_run(&self, id: &JobId, run: u64, change: impl FnOnce(&mut Record)) -> bool {
        let mut inner = locked(&self.inner);
        let Some(job) = inner.jobs.get(id).filter(|j| j.run == run) else { return false };
        let mut record = job.record.clone();
        change(&mut record);
        if let Err(e) = self.folder.write_record(id, &record) {
            // It stays as it is on disk, and is planned again after a restart.
            let problem = Problem::disk("the job", &e);
            record.state = State::Failed;
            record.message = Some(problem.body.message);
        }
        inner.put(id, |job| {
            job.record = record;
            job.stage = None;
        });
        true
    }

    /// Lets the workers go home.
    pub fn close(&self) {
        locked(&self.inner).closing = true;
        self.wake.notify_all();
    }
}

impl Inner {
    fn seen(&self, id: &JobId, job: &Job) -> Seen {
        let ahead = self.queue.iter().position(|q| q == id).unwrap_or(0) as u64;
        Seen { id: id.clone(), job: job.clone(), ahead }
    }
    fn put(&mut self, id: &JobId, change: impl FnOnce(&mut Job)) {
        if let Some(job) = self.jobs.get_mut(id) {
            change(job);
            self.change += 1;
        }
    }
    /// A job of the same drawing with the same settings.
    fn same(&self, office: &Office, upload: &Upload, settings: &str) -> Option<(&JobId, &Job)> {
        let named = |j: &Job| upload.lot.as_ref().is_none_or(|lot| *lot == j.record.lot);
        let mut same = self.jobs.iter().rev();
        same.find(|(id, job)| {
            job.record.sha256 == upload.sha256
                && named(job)
                && office.folder.settings(id).is_ok_and(|s| s == settings)
        })
    }
}

/// A lot or project name that a client gave; `None` for none.
pub(crate) fn given_name(sent: Option<&str>) -> Option<String> {
    sent.map(names::text).filter(|n| !n.is_empty())
}

/// The first reason, for the list.
pub(crate) fn reason(refusal: &Refusal) -> String {
    refusal.findings.first().map_or_else(|| "No reason is known.".to_owned(), |f| f.message.clone())
}
