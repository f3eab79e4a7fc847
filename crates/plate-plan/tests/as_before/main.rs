//! Invented houses are framed, planned and proved as they were when somebody last looked, and what is broken in their plans is seen as it was.
//!
//! Other tests say what must hold; this one says that nothing else has changed. After a change that is meant, write the list anew with
//! `RENEW=1 cargo test -p plate-plan --test as_before`, and look at which lines differ, and why, before it is committed.
#![allow(clippy::unwrap_used)]

mod faults;

use arbitrary::{Arbitrary, Unstructured};
use diag::Finding;
use geom::Length;
use invented_houses::{boards, house::House, seeded::Seeded};
use plan_model::{Layer, Plan};
use plan_verify::Proof;
use settings::Settings;
use std::collections::BTreeMap;
use std::fmt::{Debug, Write as _};
use std::fs;
use std::path::Path;
use wall_model::floor::Floor;

const SEED: u64 = 20_261_130;
const HOUSES: u64 = 300;

#[test]
fn invented_houses_are_as_before() {
    let mut list = String::from(HEAD);
    let mut seen: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for n in 0..HOUSES {
        if let Some(house) = invented(n) {
            let _ = writeln!(list, "{n}: {}", told(&house, n, &mut seen));
        }
    }
    for (fault, (made, told)) in seen {
        let _ = writeln!(list, "{fault}: made {made} times, {told} seen");
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/as_before/list.txt");
    if std::env::var_os("RENEW").is_some() {
        fs::write(&path, &list).unwrap();
    }
    let before = fs::read_to_string(&path).unwrap();
    for (was, is) in before.lines().zip(list.lines()) {
        assert_eq!(was, is, "the first line that differs; if that is meant: RENEW=1");
    }
    assert_eq!(before.lines().count(), list.lines().count());
}

const HEAD: &str = "\
# What became of invented houses: walls, runs, junctions; pieces of bottom, lower and upper plates and what they measure; joints, ties, notches, marks,
# nails; what is told of the drawing, of the plan, by the proof. Then digests of drawing and graph, plan, proof, and of what the verifier says of
# plans of every third that are broken on purpose.
";

/// Two of four anyhow, one of walls at one place, one of many under the usual settings.
fn invented(n: u64) -> Option<House> {
    let mut seeded = Seeded::of(SEED, n);
    let length = 16 + seeded.below(300);
    let bytes = seeded.bytes(length);
    let mut bytes = Unstructured::new(&bytes);
    let mut house = if n.is_multiple_of(4) {
        House::at_one_place(&mut bytes)
    } else {
        House::arbitrary(&mut bytes)
    }
    .ok()?;
    if n % 4 == 1 {
        house.settings = Settings::default();
    }
    // Shorter boards and joints farther apart are a matter of patience, and have tests of their own.
    let s = &mut house.settings;
    s.stock.lengths_ft.retain(|_, feet| feet.iter().any(|f| *f >= 8));
    s.plates.joint_offset = s.plates.joint_offset.filter(|l| *l <= Length::inches(60));
    Some(house)
}

fn told(house: &House, n: u64, seen: &mut BTreeMap<&'static str, (usize, usize)>) -> String {
    let settings = &house.settings;
    let model = house.draft(false).finish(settings.mirror);
    let floor = wall_graph::build(&model.value, settings);
    let Ok(plan) = plate_plan::plan(&floor.value, settings) else { return "refused".to_owned() };
    let prove = |plan: &Plan| prove(&floor.value, plan, settings);
    let proof = prove(&plan.value);
    let faults = if n.is_multiple_of(3) { faults::of(&plan.value, n) } else { Vec::new() };
    let broken: Vec<_> = faults
        .into_iter()
        .map(|(fault, broken)| {
            let said = prove(&broken);
            let seen = seen.entry(fault).or_default();
            (seen.0, seen.1) = (seen.0 + 1, seen.1 + usize::from(said.findings != proof.findings));
            (fault, said.lines, said.findings)
        })
        .collect();
    let f = &floor.value;
    format!(
        "{} {} {}; {}; {}; {}; {}; {}; {:016x} {:016x} {:016x} {:016x}",
        f.walls.len(),
        f.runs.len(),
        f.junctions.len(),
        counts(&plan.value),
        codes(&model.findings),
        codes(&floor.findings),
        codes(&plan.findings),
        codes(&proof.findings),
        digest(&(&model.findings, &floor)),
        digest(&plan),
        digest(&(&proof.lines, &proof.findings)),
        digest(&broken),
    )
}

fn prove(floor: &Floor, plan: &Plan, settings: &Settings) -> Proof {
    let offset = plate_plan::joint_offset(settings).unwrap();
    plan_verify::verify(floor, plan, &boards::one_each(plan, settings), settings, offset)
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
