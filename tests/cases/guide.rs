//! The guide: its generated pages are up to date, its commands work as they stand there, its links lead
//! somewhere, and its worked example is the program's own plan.

#[path = "../guide/mod.rs"]
mod pages;

use crate::tools::{Scratch, json, plan, run};
use platewright_tests::checker::{list, number, text};
use platewright_tests::{bad, fixtures};
use serde_json::Value;
use settings::Settings;
use std::path::Path;

fn chapters() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = std::fs::read_dir(pages::folder())
        .unwrap()
        .map(|e| e.unwrap().path())
        .map(|p| {
            let name = p.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read_to_string(p).unwrap())
        })
        .collect();
    all.sort();
    all
}

#[test]
fn generated_pages_are_up_to_date() {
    for (name, text) in pages::pages() {
        let on_disk = std::fs::read_to_string(pages::folder().join(name)).unwrap_or_default();
        assert!(on_disk == text, "docs/guide/{name}: run the example write-guide and look at it");
    }
}

#[test]
fn every_chapter_is_listed_and_every_link_leads_somewhere() {
    let all = chapters();
    let summary = &all.iter().find(|(name, _)| name == "SUMMARY.md").unwrap().1;
    for (name, page) in &all {
        assert!(name == "SUMMARY.md" || summary.contains(&format!("({name})")), "{name}");
        for link in page.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            let path = link.split('#').next().unwrap();
            let there = link.starts_with("http") || pages::folder().join(path).exists();
            assert!(there, "docs/guide/{name} links to {link}");
        }
    }
}

/// Every command of a block marked `sh`, chapter by chapter, in one folder: exit status 0.
#[test]
fn commands_work_as_they_stand() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut ran_any = 0;
    for (name, page) in chapters() {
        let scratch = Scratch::new(&format!("guide-{name}"));
        for block in page.split("```sh\n").skip(1) {
            for line in block.split("```").next().unwrap().lines() {
                let words = line.strip_prefix("platewright ").unwrap_or_else(|| panic!("{line}"));
                let place = |word: &str| match word {
                    w if w.starts_with("fixtures/") => root.join(w).to_string_lossy().into_owned(),
                    w if w.starts_with("out/") => scratch.arg(w),
                    w => w.to_owned(),
                };
                let args: Vec<String> = words.split_whitespace().map(place).collect();
                let args: Vec<&str> = args.iter().map(String::as_str).collect();
                let ran = run(&args);
                assert_eq!(ran.status, 0, "docs/guide/{name}: {line}\n{}", ran.err);
                ran_any += 1;
            }
        }
    }
    assert!(ran_any >= 8, "{ran_any}");
}

#[test]
fn the_worked_example_is_the_plan() {
    let shed = bad::shed_dxf();
    let committed = std::fs::read_to_string(fixtures::folder().join("guide/shed.dxf")).unwrap();
    assert_eq!(committed, shed);
    let plan = json(&plan("shed.dxf", shed.as_bytes(), &Settings::default()).unwrap());
    let pieces = list(&plan["pieces"]);
    let of = |mark: &str| pieces.iter().find(|p| text(&p["mark"]) == mark).unwrap();
    let said = |mark: &str| text(&of(mark)["length_text"]);
    for (marks, length) in [
        (&["L1", "L5", "B1", "B5"][..], "15'-5\""),
        (&["U1", "U5", "L2b", "L3b"], "16'-0\""),
        (&["L2a", "L3a", "L4"], "8'-0\""),
        (&["U2a", "U2b", "U3a", "U3b"], "11'-8 5/16\""),
        (&["U4"], "8'-2\""),
    ] {
        marks.iter().for_each(|m| assert_eq!(said(m), length, "{m}"));
    }
    let joint = |j: &&Value| text(&j["run"]) == "R2" && text(&j["kind"]) == "break";
    let offset = list(&plan["joints"]).iter().filter(joint).find_map(|j| j["offset_in"].as_f64());
    assert_eq!(offset, Some(47.9375));
    let notch = &of("U2a")["notches"][0];
    let bite = (number(&notch["depth"]), number(&notch["to"]) - number(&notch["from"]));
    assert_eq!(bite, (2.125, 3.75));
    let strap = list(&plan["ties"]).iter().find(|t| text(&t["kind"]) == "strap").unwrap();
    assert!(text(&strap["hardware"]).contains("16 nails"));
    let boards = list(&plan["stock"]["boards"]);
    assert_eq!(boards.iter().map(|b| number(&b["length_ft"])).sum::<f64>(), 266.0);
    assert_eq!(boards.len(), pieces.len());
    let left: Vec<f64> = boards.iter().map(|b| number(&b["offcut_in"])).collect();
    assert_eq!(left.iter().filter(|l| **l == 0.0).count(), 12);
    assert_eq!(left.iter().filter(|l| **l == 6.875).count(), 4);
}
