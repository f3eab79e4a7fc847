//! Sheets, drawings and comparisons, from the command line to the files.

use crate::tools::{RESULTS, Scratch, run};
use platewright_tests::bad;
use std::path::Path;

fn shed(folder: &Scratch, out: &str, more: &[&str]) -> String {
    let file = |f: &str| folder.path().join(f).to_string_lossy().into_owned();
    std::fs::write(file("shed.dxf"), bad::shed_dxf()).expect("written");
    let (drawing, out) = (file("shed.dxf"), file(out));
    let args = [&["plan", &drawing, "-o", &out][..], more].concat();
    let ran = run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.out.trim_end().ends_with("report.html"), "the report is printed last");
    out
}

fn names(folder: &str) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    let name = |e: std::io::Result<std::fs::DirEntry>| {
        e.expect("an entry").file_name().to_string_lossy().into_owned()
    };
    let mut names: Vec<String> = entries.map(name).collect();
    names.sort();
    names
}

/// Only what is asked for is written, and the same bytes every time.
#[test]
fn sheets_and_drawings_when_asked_for() {
    let folder = Scratch::new("extras");
    let plain = shed(&folder, "plain", &[]);
    assert_eq!(names(&plain), RESULTS);
    let all = ["--sheets", "letter", "--svg", "--drawings"];
    let (once, again) = (shed(&folder, "once", &all), shed(&folder, "again", &all));
    let written = names(&once);
    for name in [
        "crew-letter-01.svg",
        "crew-letter.pdf",
        "labels-letter.pdf",
        "cut-sheet-letter.pdf",
        "plates.dxf",
        "plates.ifc",
    ] {
        assert!(written.iter().any(|n| n == name), "{name} in {written:?}");
    }
    assert_eq!(written, names(&again));
    for name in &written {
        let read = |dir: &str| std::fs::read(Path::new(dir).join(name)).expect("a file");
        assert_eq!(read(&once), read(&again), "{name}");
    }
}

/// A plan is the same as itself, and not the same as that of the house with other plates.
#[test]
fn plans_are_compared() {
    let folder = Scratch::new("compared");
    let old = Path::new(&shed(&folder, "old", &[])).join("plan.json");
    let new = shed(&folder, "new", &["--default-section", "2x6", "--default-top", "8'-1 1/8\""]);
    let new = Path::new(&new).join("plan.json");
    let (old, new) = (old.to_string_lossy().into_owned(), new.to_string_lossy().into_owned());
    assert_eq!(run(&["compare", &old, &old]).status, 0);
    let out = folder.path().join("changes").to_string_lossy().into_owned();
    let ran = run(&["compare", &old, &new, "--json", "-o", &out]);
    let told: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    assert!(told.is_object());
    assert_eq!(names(&out), ["changes.json", "changes.svg"]);
    let bad = run(&["compare", &old, &folder.path().join("shed.dxf").to_string_lossy()]);
    assert_eq!(bad.status, 2);
    assert!(bad.err.contains("the new plan"), "{}", bad.err);
}
