//! What must hold, whatever the input: each function here stops the fuzzer where it does not.

use crate::house::House;
use diag::codes::{graph, output, plan as codes, verify};
use diag::{Code, Finding, Ledger, Refusal, Severity};
use geom::{Frame, Length, Point};
use plan_model::{Document, junction_name, run_name};
use rule_sets::RuleSet;
use settings::Settings;
use wall_model::WallModel;
use wall_model::floor::{BEND, Floor, FloorWall, JunctionId, Run, RunId};

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
    agree(&document.floor, &ours, &proof, || format!("{:#?}", document.floor.walls));
    match export::all(document, "=project", "lot") {
        Ok(files) => assert!(files.iter().all(|f| std::str::from_utf8(&f.bytes).is_ok())),
        Err(e) => panic!("{e}"),
    }
}

/// A house through graph, planner, boards and verifier. Where they disagree, the smallest part of the house
/// over which they still do is shown.
pub fn house(house: &House) {
    let Some(first) = disagreement(house) else { return };
    let mut least = house.clone();
    let still = |h: &House| disagreement(h).is_some_and(|found| found.0 == first.0);
    loop {
        let smaller = least.smaller().find(still);
        let Some(smaller) = smaller else { break };
        least = smaller;
    }
    let (_, told) = disagreement(&least).unwrap_or(first);
    panic!("{told}\nin\n{least}");
}

/// The code of the first thing they disagree over, and all of them for a person.
fn disagreement(house: &House) -> Option<(&'static str, String)> {
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
    let rules = rules(settings);
    let proof = plan_verify::verify(&floor.value, &plan.value, &boards.boards, settings, rules);
    let ours: Vec<&Finding> = ours.iter().collect();
    let breaches: Vec<&Finding> = proof.findings.iter().filter(|f| is_breach(f)).collect();
    if breaches.is_empty() {
        assert!(proof.holds(), "breaches without a finding");
    }
    untold(&floor.value, &ours, &breaches)
}

fn rules(settings: &Settings) -> &'static RuleSet {
    RuleSet::named(&settings.rules).unwrap_or_else(|why| panic!("{why}"))
}

/// A breach that the verifier finds.
fn is_breach(finding: &Finding) -> bool {
    finding.severity == Severity::Error && verify::ALL.contains(&finding.code)
}

/// The verifier finds no breach that the planner has not told of itself, at the place; and no stage was
/// surprised by another.
fn agree(floor: &Floor, ours: &[&Finding], breaches: &[&Finding], case: impl Fn() -> String) {
    if let Some((_, told)) = untold(floor, ours, breaches) {
        panic!("{told}\nin\n{}", case());
    }
}

fn untold(
    floor: &Floor,
    ours: &[&Finding],
    breaches: &[&Finding],
) -> Option<(&'static str, String)> {
    let surprised = ours.iter().filter(|f| f.code == output::INTERNAL);
    let misfits = ours.iter().any(|f| MISFITS.contains(&f.code));
    let untold = breaches.iter().filter(|b| {
        !ours.iter().any(|f| tells(floor, f, b) || misfits && tells_of_loose_plates(f, b))
    });
    let all: Vec<&&Finding> = surprised.chain(untold).collect();
    let lines = |of: &[&&Finding]| {
        let lines: Vec<_> = of.iter().map(|f| format!("{f} {:?} {}", f.at, f.subject)).collect();
        lines.join("\n")
    };
    let elsewhere: Vec<&&Finding> = ours.iter().filter(|f| MISFITS.contains(&f.code)).collect();
    let told = format!(
        "not told by the planner:\n{}\ntold elsewhere:\n{}",
        lines(&all),
        lines(&elsewhere)
    );
    Some((all.first()?.code.name(), told))
}

/// Findings that tell where plates may not fit.
const MISFITS: [Code; 3] = [codes::OBLIQUE_MEETING, codes::PLATE_NO_ROOM, graph::WALLS_CROWDED];

/// Whether a finding of the graph's or the planner's tells of a breach. Only where an oblique wall meets a step, or
/// walls lie in each other without meeting, may plates not fit; a wall longer than its boards is told as well.
fn tells(floor: &Floor, finding: &Finding, breach: &Finding) -> bool {
    let reach = Length::inches(24);
    // Plates that hang on nothing are whole plates: they may end anywhere along the wall that has such a place.
    let beside = |r: &Run, at: Point| lies_within(r.start, r.end, reach, at);
    let untied = breach.code == verify::PROOF_UNTIED;
    let near = finding.at.zip(breach.at).is_some_and(|(a, b)| {
        a.distance(b) <= reach || untied && floor.runs.iter().any(|r| beside(r, a) && beside(r, b))
    });
    // Walls that come together at a flat angle take the same place over a long way.
    let of_both = breach.at.is_some_and(|at| {
        let crowded = finding.code == graph::WALLS_CROWDED;
        crowded && (named_at(floor, finding, at) > 1 || in_points(floor, finding, at))
            || finding.code == codes::OBLIQUE_MEETING && arms_at(floor, finding, at) > 1
            || finding.code == codes::PLATE_NO_ROOM && run_is_at(floor, finding, at)
    });
    let misfit = (near || of_both) && MISFITS.contains(&finding.code);
    // The planner speaks of a run. What it calls too long is on no board, and ties nothing.
    let too_long = finding.code == codes::PIECE_TOO_LONG;
    let long = too_long
        && finding.subject.starts_with('R')
        && [verify::PROOF_TOO_LONG, verify::PROOF_NOT_CUT].contains(&breach.code);
    // Where boards do not reach over a lap, joints lie in it, and its nails are no longer in one piece.
    let joined = too_long
        && [verify::PROOF_TIE_ROW, verify::PROOF_NAILS].contains(&breach.code)
        && (near || breach.at.is_some_and(|at| run_is_at(floor, finding, at)));
    misfit || long || joined
}

/// Whether the planner tells that these plates hang on nothing. That is only so because plates did not fit somewhere, however far off.
fn tells_of_loose_plates(finding: &Finding, breach: &Finding) -> bool {
    finding.code == codes::PLATES_LIE_LOOSE
        && breach.code == verify::PROOF_UNTIED
        && finding.subject == breach.subject
}

/// How many of the walls that a finding names lie at a place, or within a hand's breadth.
fn named_at(floor: &Floor, finding: &Finding, at: Point) -> usize {
    let named = |w: &&FloorWall| w.source.iter().any(|s| finding.source.contains(s));
    let named = floor.walls.iter().filter(named);
    named.filter(|w| lies_at(w.start, w.end, w.section.width(), at)).count()
}

/// Whether a place lies in the line of one of two walls that come together at a flat angle, no farther from where they do
/// than their plates run to points: the edges of one leave the other.
fn in_points(floor: &Floor, finding: &Finding, at: Point) -> bool {
    let named = |w: &&FloorWall| w.source.iter().any(|s| finding.source.contains(s));
    let named: Vec<&FloorWall> = floor.walls.iter().filter(named).collect();
    let pairs =
        named.iter().enumerate().flat_map(|(i, w)| named[i + 1..].iter().map(move |v| (*w, *v)));
    let Some(met) = finding.at else { return false };
    pairs.into_iter().any(|(w, v)| {
        let frames = [w, v].map(|w| Frame::between(w.start, w.end));
        let [Some(f), Some(g)] = frames else { return false };
        let ((fx, fy), (gx, gy)) = (f.dir(), g.dir());
        let sine = (fx * gy - fy * gx).abs();
        let across = [(w, &f), (v, &g)].map(|(w, f)| (w.section.width().half(), f));
        let wide: Length = across.iter().map(|(half, f)| *half + f.locate(met).1.abs()).sum();
        let flat = sine > 0.0 && sine < BEND;
        let hand = Length::inches(4);
        let in_line = across.iter().any(|(half, f)| f.locate(at).1.abs() <= *half + hand);
        flat && in_line && met.distance(at) <= wide.scale(1.0 / sine) + hand
    })
}

/// The same of the walls that meet at the junction it is about.
fn arms_at(floor: &Floor, finding: &Finding, at: Point) -> usize {
    let junctions = floor.junctions.iter().enumerate();
    let about = |(i, _): &(usize, _)| junction_name(JunctionId(*i as u32)) == finding.subject;
    let arms = junctions.filter(about).flat_map(|(_, j)| &j.arms).map(|a| floor.run(a.run));
    arms.filter(|r| lies_at(r.start, r.end, r.section.width(), at)).count()
}

/// Whether the run it is about lies there.
fn run_is_at(floor: &Floor, finding: &Finding, at: Point) -> bool {
    let runs = floor.runs.iter().enumerate();
    let mut about = runs.filter(|(i, _)| run_name(RunId(*i as u32)) == finding.subject);
    about.any(|(_, r)| lies_at(r.start, r.end, r.section.width(), at))
}

fn lies_at(start: Point, end: Point, width: Length, at: Point) -> bool {
    lies_within(start, end, width.half() + Length::inches(4), at)
}

/// Whether a place is no farther from a line than that, beside it and along it.
fn lies_within(start: Point, end: Point, reach: Length, at: Point) -> bool {
    let Some(frame) = Frame::between(start, end) else { return false };
    let (along, off) = frame.locate(at);
    off.abs() <= reach && along >= -reach && along <= start.distance(end) + reach
}

/// A finding says something. Control characters are the printers' care, since a drawing's names may hold any.
fn readable(finding: &Finding) {
    assert!(finding.message.trim().len() > 3, "{finding:?}");
}

/// What is said of a text file has its control characters spelled out.
pub fn plain(refusal: &Refusal) {
    for finding in &refusal.findings {
        assert!(!finding.message.chars().any(char::is_control), "{finding:?}");
    }
}
