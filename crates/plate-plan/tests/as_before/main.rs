//! Invented houses are framed, planned and proved as they were when somebody last looked, and what is broken in their plans is seen as it was.
//!
//! Other tests say what must hold; these say that nothing else has changed. After a change that is meant, write the lists anew with
//! `RENEW=1 cargo test -p plate-plan --test as_before`, and look at which lines differ, and why, before they are committed.
#![allow(clippy::unwrap_used)]

mod faults;

use arbitrary::{Arbitrary, Unstructured};
use diag::{Finding, Outcome};
use geom::Length;
use invented_houses::{boards, house::House, seeded::Seeded};
use plan_model::{Layer, Plan};
use plan_verify::Proof;
use settings::Settings;
use std::collections::BTreeMap;
use std::fmt::{Debug, Write as _};
use std::fs;
use std::path::{Path, PathBuf};
use wall_model::floor::Floor;

const SEED: u64 = 20_261_130;

#[test]
fn invented_houses_are_as_before() {
    let mut list = List::of(
        "houses.txt",
        "\
# What became of invented houses: walls, runs, junctions; pieces of bottom, lower and upper plates and what they measure; joints, ties, notches, marks,
# nails; what is told of the drawing, of the plan, by the proof. Then digests of all there is of the drawing and its graph, of the plan, of the proof.
",
    );
    for n in 0..300 {
        if let Some(planned) = invented(n).and_then(|house| Planned::of(&house)) {
            let as_people_build = n % 4 > 1;
            assert!(
                !as_people_build || planned.proof.holds(),
                "{n}: {:#?}",
                planned.proof.findings
            );
            list.says(&format!("{n}: {}", planned.told()));
        }
    }
    list.ends();
}

#[test]
fn walls_at_one_place_are_as_before() {
    let mut list = List::of(
        "places.txt",
        "\
# What became of three and four walls at one place: pieces, ties, what is told of the drawing and of the plan, by the proof; digests as of houses.
",
    );
    for n in 0..700 {
        let bytes = Seeded::of(SEED + 1, n).bytes(200);
        let house = House::at_one_place(&mut Unstructured::new(&bytes)).unwrap();
        let Some(planned) = Planned::of(&house) else { continue };
        let plan = &planned.plan;
        list.says(&format!(
            "{n}: {} {}; {}; {}; {}; {}",
            plan.value.pieces.len(),
            plan.value.ties.len(),
            codes(&planned.floor.findings),
            codes(&plan.findings),
            codes(&planned.proof.findings),
            planned.digests(),
        ));
    }
    list.ends();
}

#[test]
fn what_is_broken_is_seen_as_before() {
    let mut list = List::of(
        "faults.txt",
        "\
# Plans of invented houses with one thing broken, each in its own way: how often the verifier says something else for it, and a digest of all
# it says. At the end the faults: how often each was made, and seen.
",
    );
    let mut seen: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for n in 0..100 {
        let Some(planned) = invented(n).and_then(|house| Planned::of(&house)) else { continue };
        let mut said = Vec::new();
        for (fault, broken) in faults::of(&planned.plan.value, n) {
            let proof = prove(&planned.floor.value, &broken, &planned.settings);
            let seen = seen.entry(fault).or_default();
            let other = proof.findings != planned.proof.findings;
            (seen.0, seen.1) = (seen.0 + 1, seen.1 + usize::from(other));
            said.push((other, proof.lines, proof.findings));
        }
        let others = said.iter().filter(|s| s.0).count();
        list.says(&format!("{n}: {others} of {}; {:016x}", said.len(), digest(&said)));
    }
    for (fault, (made, seen)) in seen {
        list.says(&format!("{fault}: made {made} times, {seen} seen"));
    }
    list.ends();
}

/// A list as it was, line by line, and as it is.
struct List {
    path: PathBuf,
    before: Vec<String>,
    now: Vec<String>,
    renew: bool,
}

impl List {
    fn of(name: &str, head: &str) -> List {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/as_before").join(name);
        let renew = std::env::var_os("RENEW").is_some();
        let before = if renew { String::new() } else { fs::read_to_string(&path).unwrap() };
        let before = before.lines().map(str::to_owned).collect();
        List { path, before, now: head.lines().map(str::to_owned).collect(), renew }
    }
    fn says(&mut self, line: &str) {
        if !self.renew {
            let before = self.before.get(self.now.len()).map_or("", String::as_str);
            assert_eq!(before, line, "the first line that differs; if that is meant: RENEW=1");
        }
        self.now.push(line.to_owned());
    }
    fn ends(self) {
        if self.renew {
            fs::write(self.path, self.now.join("\n") + "\n").unwrap();
        } else {
            assert_eq!(self.before, self.now);
        }
    }
}

/// Of four two as people build, one of walls at one place, and one anyhow.
fn invented(n: u64) -> Option<House> {
    let mut seeded = Seeded::of(SEED, n);
    let length = 16 + seeded.below(300);
    let bytes = seeded.bytes(length);
    let mut bytes = Unstructured::new(&bytes);
    let mut house = match n % 4 {
        0 => House::at_one_place(&mut bytes),
        1 => House::arbitrary(&mut bytes),
        _ => House::of_rooms(&mut bytes),
    }
    .ok()?;
    // Shorter boards and joints farther apart are a matter of patience, and have tests of their own.
    let s = &mut house.settings;
    s.stock.lengths_ft.retain(|_, feet| feet.iter().any(|f| *f >= 8));
    s.plates.joint_offset = s.plates.joint_offset.filter(|l| *l <= Length::inches(60));
    Some(house)
}

struct Planned {
    settings: Settings,
    drawn: Vec<Finding>,
    floor: Outcome<Floor>,
    plan: Outcome<Plan>,
    proof: Proof,
}

impl Planned {
    /// `None` where it is refused.
    fn of(house: &House) -> Option<Planned> {
        let settings = house.settings.clone();
        let model = house.draft(false).finish(settings.mirror);
        let floor = wall_graph::build(&model.value, &settings);
        let plan = plate_plan::plan(&floor.value, &settings).ok()?;
        let proof = prove(&floor.value, &plan.value, &settings);
        Some(Planned { settings, drawn: model.findings, floor, plan, proof })
    }
    fn told(&self) -> String {
        let (floor, plan) = (&self.floor.value, &self.plan.value);
        format!(
            "{} {} {}; {}; {}; {}; {}; {}; {}",
            floor.walls.len(),
            floor.runs.len(),
            floor.junctions.len(),
            counts(plan),
            codes(&self.drawn),
            codes(&self.floor.findings),
            codes(&self.plan.findings),
            codes(&self.proof.findings),
            self.digests(),
        )
    }
    /// Of drawing and graph, of the plan, of the proof.
    fn digests(&self) -> String {
        let proof = (&self.proof.lines, &self.proof.findings);
        let of = [digest(&(&self.drawn, &self.floor)), digest(&self.plan), digest(&proof)];
        of.map(|d| format!("{d:016x}")).join(" ")
    }
}

fn prove(floor: &Floor, plan: &Plan, settings: &Settings) -> Proof {
    let rules = rule_sets::RuleSet::named(&settings.rules).unwrap();
    plan_verify::verify(floor, plan, &boards::one_each(plan, settings), settings, rules)
}

fn counts(plan: &Plan) -> String {
    let mut text = String::new();
    for layer in [Layer::Bottom, Layer::Lower, Layer::Upper] {
        let pieces: Vec<_> = plan.pieces.iter().filter(|p| p.layer == layer).collect();
        let sixteenths: i64 = pieces.iter().map(|p| p.printed.nm() / 1_587_500).sum();
        let _ = write!(text, "{} of {}/16, ", pieces.len(), sixteenths);
    }
    let sum = |of: fn(&plan_model::Piece) -> usize| plan.pieces.iter().map(of).sum::<usize>();
    let _ = write!(
        text,
        "{} {} {} {} {}",
        plan.joints.len(),
        plan.ties.len(),
        sum(|p| p.notches.len()),
        sum(|p| p.marks.len()),
        sum(|p| p.nails.iter().map(|n| n.count as usize).sum()),
    );
    text
}

/// How often each code was told.
fn codes(findings: &[Finding]) -> String {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for finding in findings {
        *counts.entry(finding.code.name()).or_default() += 1;
    }
    let counts: Vec<String> = counts.iter().map(|(code, n)| format!("{code} {n}")).collect();
    counts.join(", ")
}

/// FNV-1a of how a value is shown to a programmer, as which everything in it counts.
fn digest(value: &impl Debug) -> u64 {
    let byte = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3);
    format!("{value:?}").bytes().fold(0xCBF2_9CE4_8422_2325, byte)
}
