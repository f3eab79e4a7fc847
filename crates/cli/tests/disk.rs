//! A batch on a disk that is full, read-only, or in another run's hands.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

mod common;

use common::{PROGRAM, on_a_small_disk};
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder with the demo drawing and a list of lots that have it.
fn tract(name: &str, lots: usize) -> PathBuf {
    let root = std::env::temp_dir().join(format!("platewright-{name}-{}", std::process::id()));
    let _ = fs::remove_dir_all(&root);
    fs::create_dir_all(root.join("in")).unwrap();
    fs::create_dir_all(root.join("disk")).unwrap();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/willow-bend.dxf");
    fs::copy(demo, root.join("in/a.dxf")).unwrap();
    let lots: String = (1..=lots).map(|i| format!("{i},a.dxf\n")).collect();
    fs::write(root.join("in/lots.csv"), format!("lot,file\n{lots}")).unwrap();
    root
}

fn batch(root: &Path, more: &[&str]) -> (Option<i32>, String) {
    let fixed = ["batch", "in/lots.csv", "-o", "disk/out"];
    let ran = Command::new(PROGRAM).args(fixed).args(more).current_dir(root).output().unwrap();
    (ran.status.code(), String::from_utf8_lossy(&ran.stderr).into_owned())
}

/// As many lots as there is room for, whole; the others told; and with more room the run goes on.
#[test]
fn a_full_disk_leaves_whole_lots_and_is_told() {
    let root = tract("full", 12);
    let script = r#"
run() { "$PLATEWRIGHT" batch in/lots.csv -o disk/out --threads 2 >/dev/null; echo "status $?"; }
run
for lot in disk/out/[0-9]*; do echo "files $(ls "$lot" | wc -l)"; done
find disk -name '*.partial*' -o -name '*.set-aside'
echo "== more room"
mount -o remount,size=64m disk
run
echo "lots $(ls -d disk/out/[0-9]* | wc -l)"
"#;
    let Some(ran) = on_a_small_disk(&root, "1500k", script) else { return };
    let (out, err) = (String::from_utf8_lossy(&ran.stdout), String::from_utf8_lossy(&ran.stderr));
    let (before, after) = out.split_once("== more room").unwrap_or_else(|| panic!("{out}\n{err}"));
    assert!(before.starts_with("status 1"), "{out}\n{err}");
    assert!(err.contains("the disk is full"), "{err}");
    // Lots that found room are whole, and nothing half-made is left.
    let lines: Vec<&str> = before.lines().skip(1).filter(|l| !l.is_empty()).collect();
    assert!(!lines.is_empty() && lines.len() < 12, "{out}");
    assert!(lines.iter().all(|l| *l == "files 7"), "{out}\n{err}");
    assert!(after.contains("status 0") && after.contains("lots 12"), "{out}\n{err}");
    fs::remove_dir_all(&root).unwrap();
}

#[test]
fn a_read_only_disk_is_told_and_nothing_is_done() {
    let root = tract("read-only", 2);
    let script = r#"
"$PLATEWRIGHT" batch in/lots.csv -o disk/out >/dev/null || exit 98
mount -o remount,ro disk
for out in disk/out disk/new; do
    "$PLATEWRIGHT" batch in/lots.csv -o $out --force >/dev/null
    echo "status $?"
done
"$PLATEWRIGHT" plan in/a.dxf -o disk/plan >/dev/null
echo "status $?"
"#;
    let Some(ran) = on_a_small_disk(&root, "64m", script) else { return };
    let (out, err) = (String::from_utf8_lossy(&ran.stdout), String::from_utf8_lossy(&ran.stderr));
    assert_eq!(out, "status 2\nstatus 2\nstatus 2\n", "{err}");
    assert_eq!(err.matches("the disk is read-only").count(), 3, "{err}");
    fs::remove_dir_all(&root).unwrap();
}

/// The lock is the operating system's: what a killed run leaves is a file that nobody holds. That a killed run
/// bars no other is shown by `killed_at_any_moment_the_next_run_finishes_the_same` as well.
#[test]
fn one_run_at_a_time_in_a_folder() {
    let root = tract("busy", 2);
    assert_eq!(batch(&root, &[]).0, Some(0));
    let open = |name: &str| {
        let path = root.join("disk/out/.lots").join(name);
        File::options().create(true).truncate(false).write(true).open(path).unwrap()
    };
    let held = open("run.lock");
    held.lock().unwrap();
    for more in [&[][..], &["--force"], &["--rollup-only"], &["--shard", "1/2"]] {
        let (status, err) = batch(&root, more);
        assert_eq!(status, Some(2), "{more:?}: {err}");
        assert!(err.contains("another batch is writing into disk/out at this moment"), "{err}");
    }
    held.unlock().unwrap();
    assert_eq!(batch(&root, &[]).0, Some(0));
    // Slices share the folder; the same slice twice does not, nor a slice and a whole run.
    held.lock_shared().unwrap();
    let slice = open("slice-1-of-2.lock");
    slice.lock().unwrap();
    let (status, err) = batch(&root, &["--shard", "1/2"]);
    assert!(status == Some(2) && err.contains("another run of slice 1/2"), "{err}");
    assert_eq!(batch(&root, &["--shard", "2/2"]).0, Some(0));
    assert_eq!(batch(&root, &["--rollup-only"]).0, Some(2));
    drop((held, slice));
    assert_eq!(batch(&root, &["--rollup-only"]).0, Some(0));
    let mut left: Vec<_> = fs::read_dir(root.join("disk/out/.lots")).unwrap().flatten().collect();
    assert_eq!(left.pop().unwrap().file_name(), "run.lock");
    assert!(left.is_empty());
    fs::remove_dir_all(&root).unwrap();
}
