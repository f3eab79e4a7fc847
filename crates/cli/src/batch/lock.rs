//! One run at a time in a folder.
//!
//! Locks are the operating system's: they end with the process that holds them, however it ends, so that a killed run
//! never bars the next. A whole run holds `run.lock` alone; slices share it, each with a lock of its own.

use super::folder::HIDDEN;
use crate::files::why;
use diag::{Finding, Refusal, codes::output};
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::Path;
use subdivision::Shard;

/// Held as long as the run lasts.
pub struct Lock {
    _run: File,
    _slice: Option<File>,
    /// Whether the disk knows locks.
    pub is_real: bool,
}

/// Takes the folder for a whole run or a slice.
///
/// # Errors
/// When another run has it, or nothing can be written there.
pub fn take(out: &Path, shard: Option<Shard>) -> Result<Lock, Refusal> {
    let unwritable = |e: io::Error| {
        let message = format!("{} could not be written: {}.", out.display(), why(&e));
        Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
    };
    let hidden = out.join(HIDDEN);
    fs::create_dir_all(&hidden).map_err(unwritable)?;
    let open = |name: &str| {
        File::options().create(true).truncate(false).write(true).open(hidden.join(name))
    };
    let run = open("run.lock").map_err(unwritable)?;
    let locked = if shard.is_some() { run.try_lock_shared() } else { run.try_lock() };
    let mut is_real = held(locked).ok_or_else(|| busy(out, "another batch"))?;
    let Some(shard) = shard else {
        // Nobody holds a slice's lock while this run has the folder alone.
        for entry in fs::read_dir(&hidden).map_err(unwritable)?.flatten() {
            let name = entry.file_name();
            if name.to_string_lossy().starts_with("slice-")
                && name.to_string_lossy().ends_with(".lock")
            {
                let _ = fs::remove_file(entry.path());
            }
        }
        return Ok(Lock { _run: run, _slice: None, is_real });
    };
    let slice =
        open(&format!("slice-{}-of-{}.lock", shard.number, shard.of)).map_err(unwritable)?;
    let whose = format!("another run of slice {}/{}", shard.number, shard.of);
    is_real &= held(slice.try_lock()).ok_or_else(|| busy(out, &whose))?;
    Ok(Lock { _run: run, _slice: Some(slice), is_real })
}

/// Whether the disk knows locks; nothing when another process holds it.
fn held(locked: Result<(), TryLockError>) -> Option<bool> {
    match locked {
        Ok(()) => Some(true),
        Err(TryLockError::WouldBlock) => None,
        Err(TryLockError::Error(_)) => Some(false),
    }
}

fn busy(out: &Path, who: &str) -> Refusal {
    let message = format!(
        "{who} is writing into {} at this moment; wait until it is done, or give another folder with -o.",
        out.display()
    );
    Refusal::because(Finding::new(output::OUTPUT_BUSY, message))
}
