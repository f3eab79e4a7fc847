//! Bad input: what is said, the exit status, and that nothing is written.

use crate::tools::{RESULTS, Scratch, run};
use platewright_tests::{bad, fixtures};

/// Fixture, exit status, code of the most telling finding, and a part of what is said.
const TABLE: [(&str, u8, &str, &str); 19] = [
    ("dxf/empty.dxf", 2, "file-empty", "no bytes"),
    ("dxf/dwg-renamed.dxf", 2, "file-foreign", "DWG drawing (AutoCAD 2018 format, AC1032)"),
    ("dxf/pdf-renamed.dxf", 2, "file-foreign", "PDF"),
    ("dxf/lfs-pointer.dxf", 2, "file-foreign", "Git LFS pointer"),
    ("dxf/web-page.dxf", 2, "file-foreign", "web page"),
    ("dxf/truncated.dxf", 2, "file-truncated", "truncated.dxf"),
    ("dxf/unitless.dxf", 2, "units-missing", "--units"),
    ("dxf/no-walls.dxf", 2, "no-walls", "no-walls.dxf"),
    ("dxf/unknown-layers.dxf", 2, "no-walls", "LINES-3"),
    ("dxf/zero-length-wall.dxf", 0, "wall-zero-length", "F01"),
    ("dxf/nan-coordinate.dxf", 1, "coordinate-bad", "F01"),
    ("dxf/huge-coordinate.dxf", 1, "coordinate-bad", "F01"),
    ("dxf/garbage-number.dxf", 1, "coordinate-bad", "F01"),
    ("ifc/empty.ifc", 2, "file-empty", "no bytes"),
    ("ifc/truncated.ifc", 2, "file-truncated", "truncated.ifc"),
    ("ifc/no-walls.ifc", 2, "no-walls", "no-walls.ifc"),
    ("ifc/empty-archive.ifczip", 2, "file-foreign", "ZIP archive with no IFC"),
    ("ifc/no-units.ifc", 2, "units-missing", "--units"),
    ("ifc/huge-coordinate.ifc", 1, "coordinate-bad", "stem"),
];

#[test]
fn every_bad_file_is_in_the_table() {
    let mut files: Vec<&str> = bad::files().iter().map(|f| f.0).collect();
    let mut table: Vec<&str> = TABLE.iter().map(|t| t.0).collect();
    files.sort_unstable();
    table.sort_unstable();
    assert_eq!(files, table);
}

#[test]
fn bad_files_are_refused_or_planned_with_findings() {
    let scratch = Scratch::new("bad-files");
    let mut wrong = Vec::new();
    for (i, (path, status, code, part)) in TABLE.iter().enumerate() {
        let file = fixtures::folder().join(path);
        let out = scratch.arg(&i.to_string());
        let ran = run(&["plan", &file.to_string_lossy(), "-o", &out]);
        let told = ran.err.contains(&format!("[{code}]"))
            && ran.err.contains(part)
            && ran.err.contains("what to do:");
        let written = scratch.entries(&i.to_string());
        let all_or_nothing = if *status == 2 { written.is_empty() } else { written == RESULTS };
        let quiet = ran.out.is_empty() == (*status == 2);
        if ran.status != *status || !told || !all_or_nothing || !quiet {
            wrong.push(format!(
                "{path}: status {}, wrote {written:?}, said\n{}",
                ran.status, ran.err
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// One mistake on the command line or in the settings: what is said.
#[test]
fn bad_arguments_are_refused() {
    let s = Scratch::new("bad-arguments");
    let demo = fixtures::folder().join("demo/willow-bend.dxf").to_string_lossy().into_owned();
    let out = s.arg("out");
    let bad_key = s.file("bad.toml", b"units = \"in\"\n\n[plates]\njoint_ofset = 24.0\n");
    let not_text = s.file("latin1.toml", b"rules = \"\xe9\"\n");
    let rules = s.file("rules.toml", b"rules = \"irc-1492\"\n");
    let a_file = s.file("a-file", b"x");
    let below_a_file = s.arg("a-file/out");
    let nowhere = s.arg("nowhere.dxf");
    let folder = s.path().to_string_lossy().into_owned();
    let table: Vec<(Vec<&str>, &str)> = vec![
        (
            vec!["plan", &demo, "-o", &out, "--settings", &bad_key],
            "bad.toml, line 4: unknown key 'joint_ofset' in [plates]; did you mean 'joint_offset'?",
        ),
        (vec!["plan", &demo, "-o", &out, "--settings", &not_text], "UTF-8"),
        (vec!["plan", &demo, "-o", &out, "--settings", &nowhere], "no such file"),
        (vec!["plan", &demo, "-o", &out, "--settings", &rules], "irc-1492"),
        (vec!["plan", &demo, "-o", &a_file], "it is a file, not a folder"),
        (vec!["plan", &demo, "-o", &below_a_file], "output-unwritable"),
        (vec!["plan", &nowhere, "-o", &out], "no such file"),
        (vec!["plan", &folder, "-o", &out], "is a folder"),
        (vec!["plan", &demo], "--out"),
        (vec!["plan", &demo, "-o", &out, "--units", "inch"], "in, ft, mm, cm, m"),
        (vec!["plan", &demo, "-o", &out, "--exterior-tee", "glue"], "notch, lap, strap"),
        (vec!["plan", &demo, "-o", &out, "--default-top", "3"], "allowed is"),
        (vec!["plan", &demo, "-o", &out, "--default-section", "2x5"], "2x4"),
        (vec!["plam", &demo], "plan"),
        (vec![], "Usage"),
        (vec!["inspect", &nowhere], "no such file"),
        (vec!["explain", "xyzzy"], "no finding code"),
        (vec!["batch", &nowhere, "-o", &out], "no such file"),
    ];
    for (args, part) in table {
        let ran = run(&args);
        assert_eq!(ran.status, 2, "{args:?}: {}", ran.err);
        assert!(ran.err.contains(part), "{args:?} said\n{}", ran.err);
        assert!(ran.out.is_empty(), "{args:?} printed {}", ran.out);
        assert_eq!(s.entries("out"), Vec::<String>::new(), "{args:?}");
    }
    assert_eq!(std::fs::read(&a_file).unwrap(), b"x");
}

/// A refused drawing leaves older results as they were; a planned one replaces them all.
#[test]
fn older_results_stay_or_go_as_a_whole() {
    let s = Scratch::new("older");
    let demo = fixtures::folder().join("demo/willow-bend.dxf").to_string_lossy().into_owned();
    let bad = fixtures::folder().join("dxf/no-walls.dxf").to_string_lossy().into_owned();
    let out = s.arg("out");
    assert_eq!(run(&["plan", &demo, "-o", &out]).status, 0);
    let read = || RESULTS.map(|f| std::fs::read(s.path().join("out").join(f)).unwrap());
    let first = read();
    assert_eq!(run(&["plan", &bad, "-o", &out]).status, 2);
    assert_eq!(read(), first);
    let ran = run(&["plan", &demo, "-o", &out, "--mirror", "x"]);
    assert_eq!(ran.status, 0);
    assert!(ran.out.trim_end().ends_with("report.html"), "{}", ran.out);
    assert!(read().iter().zip(&first).all(|(a, b)| a != b), "an older file stayed");
    assert_eq!(s.entries(""), ["out"], "something was left beside the results");
}
