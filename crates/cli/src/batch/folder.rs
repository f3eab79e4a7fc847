//! Folders of lots: whole or not there, and found again after a kill at any moment.
//!
//! A lot's results are made in a folder beside (`.LOT.partial-...`, see [`write`]) and get their name by one
//! rename. Older results are set aside first (`.LOT.set-aside`) and removed last. Whatever a kill leaves
//! is tidied by [`Folders::recover`]: a lot is then either as before, or as new, or not there.

use crate::files::why;
use crate::write::{self, Named};
use diag::{Finding, Refusal, codes::output};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use subdivision::{FileSize, Lot, Record, folder_of};

/// The record beside a lot's results, written with them.
pub const RECORD: &str = "lot.json";
/// Where locks and the records of lots without results lie. No lot's name begins with a dot.
pub const HIDDEN: &str = ".lots";

/// The folders of all lots.
pub struct Folders {
    out: PathBuf,
    /// How many lots the whole subdivision has.
    lots: usize,
}

impl Folders {
    /// Below `out`.
    pub fn new(out: &Path, lots: usize) -> Folders {
        Folders { out: out.to_owned(), lots }
    }
    /// A lot's folder.
    pub fn of(&self, lot: &str) -> PathBuf {
        self.out.join(folder_of(lot, self.lots))
    }
    /// A lot's folder below the output folder, with forward slashes.
    pub fn relative(&self, lot: &str) -> String {
        folder_of(lot, self.lots).to_string_lossy().replace('\\', "/")
    }
    fn failed(&self, lot: &str) -> PathBuf {
        self.out.join(HIDDEN).join(format!("{lot}.json"))
    }

    /// The record of a lot: of its results if they are whole, else of its failure.
    pub fn record(&self, lot: &str) -> Option<Record> {
        let folder = self.of(lot);
        let read = |path: PathBuf| {
            let record = fs::read(path).ok().and_then(|b| Record::from_json(&b));
            record.filter(|r| r.lot == lot)
        };
        let is_whole = |f: &FileSize| {
            fs::metadata(folder.join(&f.name)).is_ok_and(|m| m.is_file() && m.len() == f.bytes)
        };
        match read(self.failed(lot)) {
            Some(failed) => Some(failed),
            None => read(folder.join(RECORD)).filter(|r| r.files.iter().all(is_whole)),
        }
    }

    /// Puts a lot's results in place, its record among them.
    pub fn write(&self, lot: &str, files: &[Named]) -> Result<(), Refusal> {
        let folder = self.of(lot);
        let old = set_aside_of(&folder);
        if folder.is_dir() {
            fs::rename(&folder, &old).map_err(|e| unwritable(&folder, &e))?;
        }
        if let Err(refusal) = write::named(&folder, files) {
            if old.is_dir() {
                let _ = fs::rename(&old, &folder);
            }
            return Err(refusal);
        }
        if old.is_dir() {
            keep_strangers(&old, &folder);
        }
        // Results and a failure at once would be two truths; the results came last.
        match fs::remove_file(self.failed(lot)) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => Err(unwritable(&self.failed(lot), &e)),
            _ => Ok(()),
        }
    }

    /// Notes that a lot has no results. Older ones stay where they are, without their record: nothing
    /// takes them for results of the drawing as it is now.
    pub fn fail(&self, lot: &str, record: &Record) -> io::Result<()> {
        let stale = self.of(lot).join(RECORD);
        if stale.is_file() {
            fs::remove_file(stale)?;
        }
        write_file(&self.failed(lot), &record.to_json())
    }
    /// Whether there are results that are older than the lot's failure.
    pub fn has_stale(&self, lot: &str) -> bool {
        self.of(lot).join("plan.json").is_file()
    }

    /// Tidies up after a run that was killed, for these lots only: other lots may be in another
    /// process's hands. Then moves folders of an earlier run that had more or fewer lots in all.
    pub fn recover(&self, lots: &[Lot]) -> io::Result<()> {
        let mine: BTreeSet<&str> = lots.iter().map(|l| l.name.as_str()).collect();
        let mut parents: BTreeSet<PathBuf> = [self.out.clone()].into();
        for name in names_in(&self.out)? {
            if name.starts_with("shelf-") {
                parents.insert(self.out.join(name));
            }
        }
        for parent in &parents {
            for name in names_in(parent)? {
                let Some(hidden) = name.strip_prefix('.') else { continue };
                let path = parent.join(&name);
                if let Some(lot) = hidden.strip_suffix(".set-aside").filter(|l| mine.contains(l)) {
                    let folder = parent.join(lot);
                    if folder.is_dir() {
                        keep_strangers(&path, &folder);
                    } else {
                        fs::rename(&path, &folder)?;
                    }
                } else if hidden.rsplit_once(".partial-").is_some_and(|(l, _)| mine.contains(l)) {
                    fs::remove_dir_all(&path)?;
                }
            }
        }
        for lot in lots {
            let folder = self.of(&lot.name);
            let other = if self.lots < subdivision::SHELVES_FROM {
                self.out.join(folder_of(&lot.name, usize::MAX))
            } else {
                self.out.join(&lot.name)
            };
            if !folder.exists() && other.join(RECORD).is_file() {
                if let Some(shelf) = folder.parent() {
                    fs::create_dir_all(shelf)?;
                }
                fs::rename(&other, &folder)?;
                if let Some(shelf) = other.parent().filter(|s| **s != self.out) {
                    let _ = fs::remove_dir(shelf); // stays while others stand on it
                }
            }
        }
        Ok(())
    }
}

/// Names in a folder, UTF-8 ones only (ours all are); none where there is no folder.
fn names_in(folder: &Path) -> io::Result<Vec<String>> {
    match fs::read_dir(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(e) => Err(e),
        Ok(dir) => Ok(dir.filter_map(|e| e.ok()?.file_name().into_string().ok()).collect()),
    }
}

fn set_aside_of(folder: &Path) -> PathBuf {
    let name = folder.file_name().unwrap_or_default().to_string_lossy();
    folder.with_file_name(format!(".{name}.set-aside"))
}

/// Moves what we did not write (a note, a photo) from the older folder to the new one, then removes
/// the older one.
fn keep_strangers(old: &Path, new: &Path) {
    let record = fs::read(old.join(RECORD)).ok().and_then(|b| Record::from_json(&b));
    let ours = |name: &OsStr| {
        let listed = record.iter().flat_map(|r| &r.files).any(|f| name == f.name.as_str());
        listed || name == RECORD || new.join(name).exists()
    };
    let entries = fs::read_dir(old).into_iter().flatten().flatten();
    for name in entries.map(|e| e.file_name()).filter(|n| !ours(n)) {
        let _ = fs::rename(old.join(&name), new.join(&name));
    }
    let _ = fs::remove_dir_all(old);
}

fn unwritable(path: &Path, e: &io::Error) -> Refusal {
    let message = format!("{} could not be replaced: {}.", path.display(), why(e));
    Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
}

/// Writes one file whole or not at all; leaves it alone when it is the same already.
pub fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)?;
    }
    if fs::read(path).is_ok_and(|old| old == bytes) {
        return Ok(());
    }
    let partial = partial_of(path);
    let written = fs::write(&partial, bytes).and_then(|()| fs::rename(&partial, path));
    if written.is_err() {
        let _ = fs::remove_file(&partial);
    }
    written
}

/// The name a file has until it is whole. The same for every run: a killed one's is written over.
pub fn partial_of(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.partial"))
}
