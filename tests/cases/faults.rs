//! Drawings that end too early: at every hundredth of their length (large real ones fewer) there is a plan that holds or a finding that
//! says why not, no panic, and the ledger adds up.

use crate::tools::{fixture, plan};
use platewright_tests::dxf::{Options, write};
use platewright_tests::house;
use settings::Settings;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;

/// In how many parts a drawing is cut: large real ones in fewer, since each is read as often.
fn parts(bytes: usize, is_ours: bool) -> usize {
    match bytes {
        _ if is_ours => 100,
        0..0x1_0000 => 100,
        0x1_0000..0x10_0000 => 20,
        _ => 5,
    }
}

fn real_drawings() -> Vec<(String, Vec<u8>)> {
    let corpus = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/corpus");
    let mut all = Vec::new();
    for folder in ["dxf", "ifc"] {
        let Ok(dir) = std::fs::read_dir(corpus.join(folder)) else { continue };
        for path in dir.filter_map(|e| e.ok().map(|e| e.path())).filter(|p| p.is_file()) {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            all.push((name, std::fs::read(&path).unwrap()));
        }
    }
    all.retain(|(_, bytes)| bytes.len() < 4 << 20);
    all.sort();
    all
}

/// What became of one cut: a plan, with the end told if it matters; or a refusal.
fn judge(name: &str, bytes: &[u8], at: usize) -> Result<bool, String> {
    let cut = bytes.get(..at).unwrap_or(bytes);
    let settings = Settings::default();
    let ended = catch_unwind(AssertUnwindSafe(|| plan(name, cut, &settings)));
    let sums = |l: &diag::Ledger| l.used() + l.ignored_total() == l.read();
    let says_so = |findings: &[diag::Finding]| {
        findings.iter().any(|f| f.code == diag::codes::input::FILE_TRUNCATED)
    };
    match ended {
        Err(_) => Err(format!("{name} cut at byte {at} panicked")),
        Ok(Ok(document)) => {
            if !sums(&document.ledger) {
                return Err(format!("{name} cut at byte {at}: the ledger does not add up"));
            }
            if document.checked.iter().any(|c| c.breaches > 0) {
                return Err(format!("{name} cut at byte {at}: its plan does not hold"));
            }
            Ok(says_so(&document.findings))
        }
        Ok(Err(refusal)) => {
            let told = refusal.findings.first().is_some_and(|f| f.message.contains(name));
            if told {
                Ok(says_so(&refusal.findings))
            } else {
                Err(format!("{name} cut at byte {at}: {refusal} does not say which file"))
            }
        }
    }
}

/// Found by cutting off the demo: 1-1/2 in plates and plates of 38 mm in one floor, whose layers are a tenth of a
/// millimetre apart, were planned and then said not to lie on each other.
#[test]
fn lumber_of_two_systems_in_one_floor_is_tied() {
    let options = Options { insunits: 1, origin: (0, 0) };
    let text = write(&house::row_house(3), options).replace("A-WALL-INTR-2X4", "A-WALL-INTR-38X89");
    let document = plan("mixed.dxf", text.as_bytes(), &Settings::default()).unwrap();
    let sections: std::collections::BTreeSet<_> =
        document.plan.pieces.iter().map(|p| p.section.name()).collect();
    assert_eq!(sections.into_iter().collect::<Vec<_>>(), ["2x6", "38x89"]);
    assert!(document.plan.ties.iter().any(|t| t.kind == plan_model::TieKind::Notch));
    assert_eq!(document.checked.iter().map(|c| c.breaches).sum::<u64>(), 0);
}

#[test]
fn cut_off_anywhere_there_is_a_plan_or_a_finding() {
    let demo = ["demo/willow-bend.dxf", "demo/willow-bend.ifc"];
    let mut all: Vec<(String, Vec<u8>)> =
        demo.map(|path| (path.trim_start_matches("demo/").to_owned(), fixture(path))).into();
    let ours = all.len();
    let real = real_drawings();
    if real.is_empty() {
        println!("skipped: there is no shared corpus beside this checkout");
    }
    all.extend(real);
    let mut wrong = Vec::new();
    for (i, (name, bytes)) in all.iter().enumerate() {
        let steps = parts(bytes.len(), i < ours);
        let mut said = 0;
        for step in 0..=steps {
            match judge(name, bytes, bytes.len() * step / steps) {
                Ok(says_so) => said += usize::from(says_so),
                Err(what) => wrong.push(what),
            }
        }
        println!("{name}: {said} of {} cuts told as such", steps + 1);
        // The demo is whole at its full length, and nothing else is mistaken for it: an empty file and one cut
        // in its first line are told as that.
        if i < ours {
            assert!((90..=100).contains(&said), "{name}: {said}");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
