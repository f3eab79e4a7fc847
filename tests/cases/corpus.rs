//! Real drawings, read in place where they exist: each ends in a plan that holds, or in findings that
//! say why not; none panics, and every ledger sums.

use crate::tools::{json, plan};
use geom::Unit;
use platewright_tests::checker;
use settings::{ExteriorTee, Mirror, PlateSettings, Settings};
use std::path::PathBuf;

/// Plans with more pieces than this are left to the product's own proof: the plain checker looks at
/// every pair.
const MOST_PIECES: usize = 1500;

fn drawings() -> Vec<PathBuf> {
    let corpus = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/corpus");
    let mut all = Vec::new();
    for folder in ["dxf", "ifc"] {
        let Ok(dir) = std::fs::read_dir(corpus.join(folder)) else { continue };
        all.extend(dir.filter_map(|e| e.ok().map(|e| e.path())).filter(|p| p.is_file()));
    }
    all.sort();
    all
}

#[test]
fn every_real_drawing_ends_in_a_plan_or_in_findings() {
    let all = drawings();
    if all.is_empty() {
        println!("skipped: there is no shared corpus beside this checkout");
        return;
    }
    let mut wrong = Vec::new();
    for path in all {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let bytes = std::fs::read(&path).unwrap();
        for settings in settings_for(&name) {
            let judged = std::panic::catch_unwind(|| judge(&name, &bytes, &settings));
            match judged {
                Ok((verdict, faults)) => {
                    println!("{name}: {verdict}");
                    wrong.extend(faults.into_iter().map(|f| format!("{name}: {f}")));
                }
                Err(_) => wrong.push(format!("{name}: panicked")),
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// As it comes; and where the file states no unit or a wrong one, also with the one its name or its
/// dimensions tell.
fn settings_for(name: &str) -> Vec<Settings> {
    let mut all = vec![Settings::default()];
    if name.starts_with("us_") && name.ends_with(".dxf") {
        all.push(Settings { units: Some(Unit::Inch), ..Settings::default() });
        let concrete = PlateSettings { on_concrete: true, ..PlateSettings::default() };
        all.push(Settings {
            units: Some(Unit::Inch),
            mirror: Mirror::X,
            plates: PlateSettings { exterior_tee: ExteriorTee::Lap, ..concrete },
            ..Settings::default()
        });
    }
    all
}

fn judge(name: &str, bytes: &[u8], settings: &Settings) -> (String, Vec<String>) {
    match plan(name, bytes, settings) {
        Ok(document) => {
            let mut faults: Vec<String> = document
                .checked
                .iter()
                .filter(|c| c.breaches > 0)
                .map(|c| format!("own proof: {c:?}"))
                .collect();
            let pieces = document.plan.pieces.len();
            if pieces <= MOST_PIECES {
                faults.extend(checker::faults(&json(&document)));
            }
            let codes: std::collections::BTreeSet<&str> =
                document.findings.iter().map(|f| f.code.name()).collect();
            (format!("{} walls, {pieces} pieces, {codes:?}", document.floor.walls.len()), faults)
        }
        Err(refusal) => {
            let mut faults = Vec::new();
            let first = refusal.findings.first();
            match first {
                None => faults.push("refused without a reason".to_owned()),
                Some(f) if f.severity != diag::Severity::Error => {
                    faults.push(format!("refused for a mere {}", f.severity.name()));
                }
                Some(f) if f.message.len() < 20 => faults.push(format!("terse: {}", f.message)),
                Some(_) => {}
            }
            (first.map(ToString::to_string).unwrap_or_default(), faults)
        }
    }
}
