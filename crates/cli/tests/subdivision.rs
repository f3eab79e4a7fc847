//! A batch as a process of its own: killed at any moment, or asked to stop.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

const LOTS: usize = 16;

/// A folder with the demo drawing and a manifest of lots that all differ in their settings.
fn tract(name: &str) -> PathBuf {
    let root = std::env::temp_dir().join(format!("platewright-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&root);
    std::fs::create_dir_all(root.join("in")).unwrap();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo/willow-bend.dxf");
    std::fs::copy(demo, root.join("in/a.dxf")).unwrap();
    let mut list = "lot,file,settings\n".to_owned();
    for i in 1..=LOTS {
        list.push_str(&format!("{i},a.dxf,{i}.toml\n"));
        write_settings(&root, i, 96);
    }
    std::fs::write(root.join("in/lots.csv"), list).unwrap();
    root
}
fn write_settings(root: &Path, lot: usize, top: usize) {
    let text = format!("default_top = {}.0\n", top + lot);
    std::fs::write(root.join(format!("in/{lot}.toml")), text).unwrap();
}

fn start(root: &Path, out: &str) -> Child {
    Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(["batch", "in/lots.csv", "-o", out, "--pool", "--threads", "2"])
        .current_dir(root)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

fn tree(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut open = vec![root.to_owned()];
    while let Some(folder) = open.pop() {
        for path in std::fs::read_dir(&folder).into_iter().flatten().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                files.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    files
}
fn names(tree: &BTreeMap<String, Vec<u8>>) -> Vec<&String> {
    tree.keys().collect()
}

/// Kills runs at many moments, on empty ground and over older results of other settings; whatever is
/// left, the next run ends with the bytes of a run that nobody disturbed.
#[test]
fn killed_at_any_moment_the_next_run_finishes_the_same() {
    let root = tract("killed");
    for over_older_results in [false, true] {
        if over_older_results {
            (1..=LOTS).for_each(|i| write_settings(&root, i, 101));
        }
        assert!(start(&root, "whole").wait_with_output().unwrap().status.success());
        let whole = tree(&root.join("whole"));
        let mut killed = 0;
        for moment in [3, 40, 90, 17, 150, 61, 233, 120] {
            let mut child = start(&root, "cut-off");
            std::thread::sleep(Duration::from_millis(moment));
            killed += usize::from(child.try_wait().unwrap().is_none());
            child.kill().unwrap();
            child.wait_with_output().unwrap();
            // Every folder with a record is whole.
            for lot in 1..=LOTS {
                let folder = root.join(format!("cut-off/{lot}"));
                if folder.join("lot.json").is_file() && !over_older_results {
                    let made = tree(&folder);
                    assert_eq!(made, tree(&root.join(format!("whole/{lot}"))), "lot {lot}");
                }
            }
        }
        assert!(killed > 0, "no run was caught at work");
        assert!(start(&root, "cut-off").wait_with_output().unwrap().status.success());
        let cut_off = tree(&root.join("cut-off"));
        assert_eq!(names(&whole), names(&cut_off), "files");
        assert!(whole == cut_off, "bytes differ");
    }
    std::fs::remove_dir_all(&root).unwrap();
}

/// Ctrl-C: no partial folder, no half-written roll-up, and the next run goes on.
#[cfg(unix)]
#[test]
fn asked_to_stop_it_leaves_whole_lots_only() {
    let root = tract("stopped");
    let child = start(&root, "out");
    // Not before the first lot is there: the handler is then in place.
    while !(1..=LOTS).any(|i| root.join(format!("out/{i}")).is_dir()) {
        std::thread::sleep(Duration::from_millis(2));
    }
    let asked = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(asked.success());
    let ended = child.wait_with_output().unwrap();
    let told = String::from_utf8_lossy(&ended.stderr);
    for entry in std::fs::read_dir(root.join("out")).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(name == ".lots" || !name.starts_with('.'), "{name} is left over");
    }
    if ended.status.code() != Some(0) {
        assert_eq!(ended.status.code(), Some(1), "{told}");
        assert!(told.contains("Interrupted") && told.contains("not reached"), "{told}");
    }
    assert!(start(&root, "out").wait_with_output().unwrap().status.success());
    assert!(start(&root, "whole").wait_with_output().unwrap().status.success());
    assert!(tree(&root.join("out")) == tree(&root.join("whole")), "bytes differ");
    std::fs::remove_dir_all(&root).unwrap();
}
