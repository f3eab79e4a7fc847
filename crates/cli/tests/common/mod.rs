//! What tests of a misbehaving disk share.

use std::path::Path;
use std::process::{Command, Output};

/// The program.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_platewright");

/// Runs a script where `disk` is a small disk of its own. `None` where that cannot be had (no Linux, no
/// name spaces), which is told.
pub fn on_a_small_disk(root: &Path, size: &str, script: &str) -> Option<Output> {
    let whole = format!("mount -t tmpfs -o size={size} tmpfs disk || exit 99\n{script}");
    let ran = Command::new("unshare")
        .args(["--user", "--map-root-user", "--mount", "sh", "-c", &whole])
        .env("PLATEWRIGHT", PROGRAM)
        .current_dir(root)
        .output();
    match ran {
        Ok(ran) if ran.status.code() != Some(99) && !ran.stderr.starts_with(b"unshare:") => {
            Some(ran)
        }
        _ => {
            println!("skipped: no disk can be mounted here");
            None
        }
    }
}
