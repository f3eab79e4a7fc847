//! What must hold, whatever the input: each function here stops the fuzzer where it does not.

use crate::house::House;
use diag::codes::{output, plan as codes, verify};
use diag::{Finding, Ledger, Refusal, Severity};
use geom::Length;
use plan_model::Document;
use settings::Settings;
use wall_model::WallModel;

/// A refusal says why.
pub fn refusal(refusal: &Refusal) {
    let errors = refusal.findings.iter().filter(|f| f.severity == Severity::Error);
    assert!(errors.count() > 0, "refused without a reason: {:?}", refusal.findings);
    refusal.findings.iter().for_each(readable);
}

/// Nothing is counted without a reason.
pub fn ledger(ledger: &Ledger) {
    assert_eq!(ledger.used() + ledger.ignored_total(), ledger.read());
    for (reason, ignored) in ledger.ignored() {
        assert!(!reason.trim().is_empty() && ignored.count >= ignored.sample.len() as u64);
    }
}

/// A wall model is exact, recentred and in order.
pub fn model(model: &WallModel) {
    ledger(&model.ledger);
    assert!(model.origin_inches.0.is_finite() && model.origin_inches.1.is_finite());
    for wall in &model.walls {
        assert!((wall.storey.0 as usize) < model.storeys.len());
        assert!(wall.start < wall.end && wall.length() > Length::ZERO, "{wall:?}");
        assert!(wall.top.max(wall.top + wall.rise) > wall.base, "{wall:?}");
        assert!(!wall.source.is_empty(), "{wall:?}");
        assert!(wall.openings.iter().all(|o| o.from < o.to), "{wall:?}");
    }
    let in_order = |w: &[wall_model::Wall]| wall_model::canonical_order(&w[0], &w[1]).is_le();
    assert!(model.walls.windows(2).all(in_order));
}

/// A finished plan is proved or tells of itself what is not, and can be written.
pub fn document(document: &Document) {
    ledger(&document.ledger);
    document.findings.iter().for_each(readable);
    let (proof, ours): (Vec<&Finding>, Vec<&Finding>) =
        document.findings.iter().partition(|f| is_breach(f));
    agree(&ours, &proof, || format!("{:#?}", document.floor.walls));
    match export::all(document, "=project", "lot") {
        Ok(files) => assert!(files.iter().all(|f| std::str::from_utf8(&f.bytes).is_ok())),
        Err(e) => panic!("{e}"),
    }
}

/// A house through graph, planner, boards and verifier.
pub fn house(house: &House) {
    let settings = &house.settings;
    let made = house.draft(false).finish(settings.mirror);
    let backwards = house.draft(true).finish(settings.mirror);
    assert_eq!(made.value.walls, backwards.value.walls, "the order of drawing shows");
    self::model(&made.value);
    let floor = wall_graph::build(&made.value, settings);
    let mut ours = [made.findings, floor.findings].concat();
    let Ok(plan) = plate_plan::plan(&floor.value, settings) else {
        panic!("no plan under {}", settings.rules)
    };
    ours.extend(plan.findings);
    let boards = pipeline::boards::choose(&plan.value, settings);
    ours.extend(boards.findings);
    let offset = joint_offset(settings);
    let proof =
        plan_verify::verify(&floor.value, &plan.value, &boards.boards, settings, offset);
    let ours: Vec<&Finding> = ours.iter().collect();
    let breaches: Vec<&Finding> = proof.findings.iter().filter(|f| is_breach(f)).collect();
    if breaches.is_empty() {
        assert!(proof.holds(), "breaches without a finding");
    }
    agree(&ours, &breaches, || house.to_string());
}

fn joint_offset(settings: &Settings) -> Length {
    plate_plan::joint_offset(settings).unwrap_or_else(|why| panic!("{why}"))
}

/// A breach that the verifier finds.
fn is_breach(finding: &Finding) -> bool {
    finding.severity == Severity::Error && verify::ALL.contains(&finding.code)
}

/// The verifier finds no breach that the planner has not told of itself, at the place; and no stage was
/// surprised by another.
fn agree(ours: &[&Finding], breaches: &[&Finding], case: impl Fn() -> String) {
    let surprised = ours.iter().find(|f| f.code == output::INTERNAL);
    assert!(surprised.is_none(), "{surprised:?}\n{}", case());
    let untold: Vec<_> = breaches.iter().filter(|b| !ours.iter().any(|f| tells(f, b))).collect();
    assert!(untold.is_empty(), "the verifier alone finds\n{untold:#?}\nin\n{}", case());
}

/// Whether a finding of the planner's tells of a breach. Only where an oblique wall meets a step may
/// a place stay bare; a wall longer than its boards is told as well.
fn tells(finding: &Finding, breach: &Finding) -> bool {
    let reach = Length::inches(24);
    let near = finding.at.zip(breach.at).is_some_and(|(a, b)| a.distance(b) <= reach);
    let bare = finding.code == codes::OBLIQUE_MEETING && (near || breach.code == verify::PROOF_RUN_SUM);
    let long = finding.code == codes::PIECE_TOO_LONG && breach.code == verify::PROOF_TOO_LONG;
    bare || long
}

/// A sentence that a person can read.
fn readable(finding: &Finding) {
    assert!(finding.message.trim().len() > 3, "{finding:?}");
    let control = finding.message.chars().find(|c| c.is_control() && *c != '\n');
    assert!(control.is_none(), "{finding:?}");
}
