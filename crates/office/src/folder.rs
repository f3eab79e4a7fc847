//! The folder of jobs on disk.
//!
//! ```text
//! FOLDER/lock                     held by the one server that uses it
//! FOLDER/incoming/                uploads under way; emptied at start
//! FOLDER/jobs/0007-3fa9c2d1/drawing
//!                           drawing.overrides.toml
//!                           settings.toml
//!                           job.json
//!                           results-5/     of edition 5
//! ```
//!
//! Every file is written aside and renamed; every path is made of names from here and ids that the server
//! made. A job's folder appears whole, by one rename.

use crate::job::{JobId, Record, SCHEMA};
use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

const DRAWING: &str = "drawing";
const OVERRIDES: &str = "drawing.overrides.toml";
const SETTINGS: &str = "settings.toml";
const RECORD: &str = "job.json";
/// In a results folder: all the others in one.
pub(crate) const ZIP: &str = "all.zip";

/// The folder, held by this server alone.
pub(crate) struct Folder {
    root: PathBuf,
    _lock: File,
}

/// What of a job is in its folder besides the drawing.
pub(crate) struct Kept {
    pub id: JobId,
    pub record: Record,
}

impl Folder {
    /// Opens or makes the folder, clears away what an interrupted server left half done.
    pub fn open(root: &Path) -> io::Result<Folder> {
        fs::create_dir_all(root.join("jobs"))?;
        let lock = File::create(root.join("lock"))?;
        if lock.try_lock().is_err() {
            let what = "another platewright serve uses this folder";
            return Err(io::Error::new(io::ErrorKind::ResourceBusy, what));
        }
        let incoming = root.join("incoming");
        if incoming.exists() {
            fs::remove_dir_all(&incoming)?;
        }
        fs::create_dir(&incoming)?;
        Ok(Folder { root: root.to_owned(), _lock: lock })
    }

    /// Every job there is; and for people, what could not be read.
    pub fn jobs(&self) -> io::Result<(Vec<Kept>, Vec<String>)> {
        let (mut jobs, mut told) = (Vec::new(), Vec::new());
        for entry in fs::read_dir(self.root.join("jobs"))? {
            let entry = entry?;
            let name = entry.file_name();
            let Some(id) = name.to_str().and_then(JobId::parse) else { continue };
            match self.record(&id) {
                Ok(record) => {
                    self.tidy(&id, record.results);
                    jobs.push(Kept { id, record });
                }
                Err(e) => told.push(format!("job {id} was left alone: its job.json: {e}")),
            }
        }
        jobs.sort_by(|a, b| a.id.cmp(&b.id));
        told.sort();
        Ok((jobs, told))
    }

    fn record(&self, id: &JobId) -> io::Result<Record> {
        let record: Record = serde_json::from_slice(&fs::read(self.job(id).join(RECORD))?)?;
        if record.schema != SCHEMA {
            let what = format!("its schema is {}, not {SCHEMA}", record.schema);
            return Err(io::Error::new(io::ErrorKind::InvalidData, what));
        }
        Ok(record)
    }

    /// Removes what an interrupted server left: files half written, results that no record names.
    fn tidy(&self, id: &JobId, results: Option<u64>) {
        for entry in fs::read_dir(self.job(id)).into_iter().flatten().flatten() {
            if entry.file_name().to_string_lossy().ends_with(".partial") {
                let _ = fs::remove_file(entry.path());
                let _ = fs::remove_dir_all(entry.path());
            }
        }
        self.keep_results(id, results);
    }
    /// Removes the results of every edition but one.
    pub fn keep_results(&self, id: &JobId, edition: Option<u64>) {
        let keep = edition.map(|edition| format!("results-{edition}"));
        for entry in fs::read_dir(self.job(id)).into_iter().flatten().flatten() {
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with("results-") && keep.as_deref() != Some(&name) {
                let _ = fs::remove_dir_all(entry.path());
            }
        }
    }

    fn job(&self, id: &JobId) -> PathBuf {
        self.root.join("jobs").join(id.as_str())
    }
    /// Where an upload is written to at first.
    pub fn incoming(&self, number: u64) -> PathBuf {
        self.root.join("incoming").join(format!("{number}.partial"))
    }

    /// Makes a job out of an upload: its folder appears whole.
    pub fn add(
        &self,
        id: &JobId,
        upload: &Path,
        record: &Record,
        settings: &str,
        overrides: &str,
    ) -> io::Result<()> {
        let stage = self.root.join("incoming").join(format!("{id}.job"));
        fs::create_dir(&stage)?;
        let made = (|| {
            write_through(&stage.join(RECORD), &json(record)?)?;
            if !settings.is_empty() {
                write_through(&stage.join(SETTINGS), settings.as_bytes())?;
            }
            if !overrides.is_empty() {
                write_through(&stage.join(OVERRIDES), overrides.as_bytes())?;
            }
            fs::rename(upload, stage.join(DRAWING))?;
            fs::rename(&stage, self.job(id))
        })();
        if made.is_err() {
            // The upload itself goes back, for its owner to remove.
            let _ = fs::rename(stage.join(DRAWING), upload);
            let _ = fs::remove_dir_all(&stage);
        }
        made
    }

    pub fn remove(&self, id: &JobId) -> io::Result<()> {
        // One rename first: a job half removed would look like a job.
        let gone = self.root.join("incoming").join(format!("{id}.removed"));
        fs::rename(self.job(id), &gone)?;
        fs::remove_dir_all(gone)
    }

    pub fn drawing(&self, id: &JobId) -> io::Result<Vec<u8>> {
        fs::read(self.job(id).join(DRAWING))
    }
    pub fn write_record(&self, id: &JobId, record: &Record) -> io::Result<()> {
        write_aside(&self.job(id).join(RECORD), &json(record)?)
    }
    /// Empty where there are none.
    pub fn overrides(&self, id: &JobId) -> io::Result<String> {
        read_or_empty(&self.job(id).join(OVERRIDES))
    }
    pub fn write_overrides(&self, id: &JobId, text: &str) -> io::Result<()> {
        write_aside(&self.job(id).join(OVERRIDES), text.as_bytes())
    }
    /// Empty where there are none.
    pub fn settings(&self, id: &JobId) -> io::Result<String> {
        read_or_empty(&self.job(id).join(SETTINGS))
    }
    pub fn write_settings(&self, id: &JobId, text: &str) -> io::Result<()> {
        write_aside(&self.job(id).join(SETTINGS), text.as_bytes())
    }

    fn results(&self, id: &JobId, edition: u64) -> PathBuf {
        self.job(id).join(format!("results-{edition}"))
    }
    pub fn has_results(&self, id: &JobId, edition: u64) -> bool {
        self.results(id, edition).join(ZIP).is_file()
    }
    /// Writes all results of an edition: they appear together.
    pub fn write_results(
        &self,
        id: &JobId,
        edition: u64,
        files: &[(String, Vec<u8>)],
    ) -> io::Result<()> {
        let target = self.results(id, edition);
        let stage = target.with_extension("partial");
        let _ = fs::remove_dir_all(&stage);
        fs::create_dir(&stage)?;
        let written = files
            .iter()
            .try_for_each(|(name, bytes)| fs::write(stage.join(name), bytes))
            .and_then(|()| {
                if target.exists() {
                    fs::remove_dir_all(&target)?;
                }
                fs::rename(&stage, &target)
            });
        if written.is_err() {
            let _ = fs::remove_dir_all(&stage);
        }
        written
    }
    /// Names and sizes of an edition's results, by name.
    pub fn list_results(&self, id: &JobId, edition: u64) -> io::Result<Vec<(String, u64)>> {
        let mut files = Vec::new();
        for entry in fs::read_dir(self.results(id, edition))? {
            let entry = entry?;
            files.push((entry.file_name().to_string_lossy().into_owned(), entry.metadata()?.len()));
        }
        files.sort();
        Ok(files)
    }
    /// Opens one of the files that [`Folder::list_results`] names; `None` for any other name.
    pub fn open_result(&self, id: &JobId, edition: u64, name: &str) -> io::Result<Option<File>> {
        let listed = self.list_results(id, edition)?;
        match listed.iter().find(|(n, _)| n == name) {
            Some((name, _)) => File::open(self.results(id, edition).join(name)).map(Some),
            None => Ok(None),
        }
    }
    /// The bytes of a result file.
    pub fn read_result(&self, id: &JobId, edition: u64, name: &str) -> io::Result<Vec<u8>> {
        fs::read(self.results(id, edition).join(name))
    }
}

fn json(record: &Record) -> io::Result<Vec<u8>> {
    let mut text = serde_json::to_vec_pretty(record)?;
    text.push(b'\n');
    Ok(text)
}

fn read_or_empty(path: &Path) -> io::Result<String> {
    match fs::read_to_string(path) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(String::new()),
        other => other,
    }
}

/// Writes a file and waits until the disk has it: these are a person's work.
fn write_through(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// The file is the old one or the new one, never half of it.
fn write_aside(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut name = path.as_os_str().to_owned();
    name.push(".partial");
    let aside = PathBuf::from(name);
    let written = write_through(&aside, bytes).and_then(|()| fs::rename(&aside, path));
    if written.is_err() {
        let _ = fs::remove_file(&aside);
    }
    written
}
