//! The program as a process of its own: what only a real exit status and real streams can show.

// A helper of a test may stop the test as the test itself may.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

fn platewright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_platewright")).args(args).output().unwrap()
}

fn demo(file: &str) -> String {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/demo");
    PathBuf::from(folder).join(file).to_string_lossy().into_owned()
}

#[test]
fn plans_the_demo_and_prints_the_report_last() {
    let out = std::env::temp_dir().join(format!("platewright-process-{}", std::process::id()));
    let ran = platewright(&[
        "plan",
        &demo("willow-bend.dxf"),
        "--settings",
        &demo("demo.toml"),
        "-o",
        &out.to_string_lossy(),
    ]);
    let (said, told) = (String::from_utf8_lossy(&ran.stdout), String::from_utf8_lossy(&ran.stderr));
    assert_eq!(ran.status.code(), Some(0), "{told}");
    let report = PathBuf::from(said.lines().last().unwrap());
    assert_eq!(report, out.join("report.html"));
    assert!(std::fs::read_to_string(&report).unwrap().contains("<svg"));
    assert!(!told.contains('\x1b'), "colors without a terminal");
    std::fs::remove_dir_all(&out).unwrap();
}

#[test]
fn exit_statuses_reach_the_shell() {
    for (args, status) in [
        (&["--help"][..], 0),
        (&["--version"], 0),
        (&["schema"], 0),
        (&["plan"], 2),
        (&["plan", "no-such-file.dxf", "-o", "nowhere"], 2),
        (&["frobnicate"], 2),
    ] {
        assert_eq!(platewright(args).status.code(), Some(status), "{args:?}");
    }
    assert!(!std::path::Path::new("nowhere").exists());
}

/// A reader that has seen enough (`platewright schema | head -1`) is no failure.
#[test]
fn a_closed_pipe_is_quiet() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_platewright"))
        .args(["explain", "--all"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let ran = child.wait_with_output().unwrap();
    assert_eq!(String::from_utf8_lossy(&ran.stderr), "");
    assert_eq!(ran.status.code(), Some(0));
}
