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

/// Of a large text drawing only a part is in memory at a time: the plan is the same, its hash too.
#[test]
fn a_large_drawing_read_piece_by_piece_is_the_same_plan() {
    let root = std::env::temp_dir().join(format!("platewright-large-{}", std::process::id()));
    std::fs::create_dir_all(&root).unwrap();
    let small = std::fs::read_to_string(demo("willow-bend.dxf")).unwrap();
    let at = small.rfind("  0\nEOF").or_else(|| small.rfind("  0\r\nEOF")).unwrap();
    let notes = "999\nnot drawn, but read\n".repeat(300_000);
    let large = [&small[..at], &notes, &small[at..]].concat();
    assert!(large.len() > 6_000_000);
    let path = root.join("large.dxf");
    std::fs::write(&path, &large).unwrap();
    let out = root.join("out");
    let (file, folder) = (path.to_string_lossy(), out.to_string_lossy());
    let ran = platewright(&["plan", &file, "--settings", &demo("demo.toml"), "-o", &folder]);
    assert_eq!(ran.status.code(), Some(0), "{}", String::from_utf8_lossy(&ran.stderr));
    let settings = std::fs::read_to_string(demo("demo.toml")).unwrap();
    let settings = settings::parse::from_toml(&settings, "demo.toml").unwrap();
    let bytes = large.as_bytes().into();
    let job = pipeline::Job { file_name: "large.dxf", bytes, settings: &settings };
    let held = pipeline::plan(job).unwrap();
    let held = export::all(&held, "", "").unwrap();
    let held = held.iter().find(|f| f.name == "plan.json").unwrap();
    assert!(std::fs::read(out.join("plan.json")).unwrap() == held.bytes);
    std::fs::remove_dir_all(&root).unwrap();
}

/// The second line of `inspect` says whether the drawing can be used; programs get the word.
#[test]
fn inspect_begins_with_a_verdict() {
    let verdict = |args: &[&str]| {
        let ran = platewright(&[&["inspect"], args].concat());
        let line = String::from_utf8_lossy(&ran.stdout).lines().nth(1).unwrap_or("").to_owned();
        let ran = platewright(&[&["inspect", "--json"], args].concat());
        let told: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
        (line, told["verdict"].as_str().unwrap_or("").to_owned())
    };
    let demo = demo("willow-bend.dxf");
    let expected = ("verdict: usable, 20 walls would be planned".to_owned(), "usable".to_owned());
    assert_eq!(verdict(&[&demo]), expected);
    // The same walls said to be drawn in metres, doors 36 m wide: obeyed, and told.
    let (line, word) = verdict(&[&demo, "--units", "m"]);
    assert!(line.contains("20 walls would be planned; look at "), "{line}");
    assert_eq!(word, "look");
    let file = std::env::temp_dir().join(format!("platewright-bare-{}.dxf", std::process::id()));
    std::fs::write(&file, "  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n").unwrap();
    let (line, word) = verdict(&[&file.to_string_lossy()]);
    assert!(line.starts_with("verdict: not usable as it is, no wall"), "{line}");
    assert_eq!(word, "nothing");
    std::fs::remove_file(&file).unwrap();
}

/// What speaks against joining the walls, `inspect` says as well: its exit status is that of `plan`, and it counts
/// the walls that would be planned.
#[test]
fn inspect_and_plan_agree() {
    let root = std::env::temp_dir().join(format!("platewright-agree-{}", std::process::id()));
    std::fs::create_dir_all(&root).unwrap();
    let wall = |[x0, y0, x1, y1]: [f64; 4]| {
        format!("  0\nLINE\n  8\nA-WALL\n 10\n{x0}\n 20\n{y0}\n 11\n{x1}\n 21\n{y1}\n")
    };
    let [w, h] = [480.0, 360.0];
    let house = [[0.0, 0.0, w, 0.0], [w, 0.0, w, h], [w, h, 0.0, h], [0.0, h, 0.0, 0.0]];
    // One more line lies partly inside a wall.
    for (more, status, verdict) in [
        (vec![], 0, "verdict: usable, 4 walls would be planned"),
        (vec![[100.0, 2.0, 200.0, 2.0]], 1, "verdict: not safe to use as it is, 4 walls would be"),
    ] {
        let lines: String = house.into_iter().chain(more).map(wall).collect();
        let head = "  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n";
        let text = format!("{head}  0\nSECTION\n  2\nENTITIES\n{lines}  0\nENDSEC\n  0\nEOF\n");
        let file = root.join("house.dxf");
        std::fs::write(&file, text).unwrap();
        let (file, out) = (file.to_string_lossy(), root.join("out"));
        let planned = platewright(&["plan", &file, "-o", &out.to_string_lossy()]);
        let seen = platewright(&["inspect", &file]);
        assert_eq!((planned.status.code(), seen.status.code()), (Some(status), Some(status)));
        let told = String::from_utf8_lossy(&seen.stdout).into_owned();
        assert!(told.lines().nth(1).is_some_and(|l| l.starts_with(verdict)), "{told}");
        if status == 1 {
            let said = String::from_utf8_lossy(&seen.stderr).into_owned();
            assert!(said.contains("in the drawing x "), "{said}");
        }
    }
    std::fs::remove_dir_all(&root).unwrap();
}

/// Programs that ask for JSON get JSON, of a file that cannot be looked at as well.
#[test]
fn inspect_json_of_what_is_no_drawing() {
    let file = std::env::temp_dir().join(format!("platewright-foreign-{}.dxf", std::process::id()));
    std::fs::write(&file, "%PDF-1.7\n").unwrap();
    let ran = platewright(&["inspect", "--json", &file.to_string_lossy()]);
    let told: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    assert_eq!(
        (ran.status.code(), &told["findings"][0]["code"]),
        (Some(2), &"file-foreign".into())
    );
    // A folder cannot be made in a file.
    let inside = file.join("out");
    let ran = platewright(&["plan", &demo("willow-bend.dxf"), "-o", &inside.to_string_lossy()]);
    let said = String::from_utf8_lossy(&ran.stderr);
    assert!(said.contains("is a file, not a folder"), "{said}");
    std::fs::remove_file(&file).unwrap();
}
