//! From runs and junctions to plates: pieces, joints, ties, marks, nails.
//!
//! Knows: the trade's rules of laps, joints and notches, with numbers from the rule sets. Never
//! touches: drawings, output formats, boards beyond their longest length.
//!
//! Order of work, each step a plain function of the ones before: `rules` are read; `meet` settles
//! what happens at every junction in both top layers, which leaves *spaces*; `corners` picks who
//! carries through at corners, `tees` how tees are tied and `crosses` who is whole below at crossings,
//! each for the cheapest plates (`cost`);
//! `studs` lays out each run, `openings` tells where studs do not fit; `cut` has its joints chosen (`joints`: the `places` there are, each layer
//! as a track in `split`, both `together`) and draws the pieces; `nails` drives nails, `anchors` marks
//! bolts; `ties` names the pieces each tie joins. The bottom plates are the lower ones again.

mod ahead;
mod anchors;
mod corners;
mod cost;
mod crosses;
mod cut;
mod joints;
mod known;
mod loose;
mod meet;
mod nails;
mod openings;
mod places;
mod profile;
mod splices;
mod split;
mod studs;
mod tees;
mod ties;
mod together;
mod under;

#[cfg(test)]
mod exhaustive;
#[cfg(test)]
mod tests;

use diag::words::counted;
use diag::{Finding, Outcome, Refusal, codes::plan as codes};
use geom::Length;
use limits::{Stage, Watch};
use plan_model::{Fastener, Layer, PieceId, Plan, run_name};
use rule_sets::RuleSet;
use settings::Settings;
use std::collections::BTreeMap;
use wall_model::floor::{Floor, RunId};

/// Plans every plate of a floor.
///
/// # Errors
/// When the rule set named in the settings does not exist.
pub fn plan(floor: &Floor, settings: &Settings) -> Result<Outcome<Plan>, Refusal> {
    plan_within(floor, settings, &Watch::endless())
}

/// The same, as long as the watch lets it.
///
/// # Errors
/// As [`plan`], and when time is up.
pub fn plan_within(
    floor: &Floor,
    settings: &Settings,
    watch: &Watch,
) -> Result<Outcome<Plan>, Refusal> {
    let rules = RuleSet::named(&settings.rules)?;
    let offset = rules.joint_offset(settings);
    let known = known::Known::default();
    let by = meet::Terms { floor, settings, rules, offset, known: &known, watch };
    let meeting = choose(&by);
    watch.border(Stage::Planning)?;
    let mut findings = meeting.findings;
    let mut plan = Plan { rules: rules.notes(settings), ..Plan::default() };
    let mut totals: nails::Totals = BTreeMap::new();
    let mut hardware: BTreeMap<(String, String), u64> = BTreeMap::new(); // (what, for) -> count
    let mut beside = 0_usize;
    let mut splices = Vec::new();
    plan.on_concrete.extend(settings.plates.on_concrete.then_some(wall_model::StoreyId(0)));
    let mut anchors = anchors::Bolts::by(&rules.anchors);

    let runs = (0..floor.runs.len() as u32).map(RunId).take_while(|_| !watch.is_over());
    let layouts: Vec<studs::Studs> = runs
        .map(|run| studs::lay_out(floor, run, &meeting.shapes[run.0 as usize], settings))
        .collect();
    for ((i, r), studs) in floor.runs.iter().enumerate().zip(&layouts) {
        if watch.is_over() {
            break;
        }
        let run = RunId(i as u32);
        let shape = &meeting.shapes[i];
        openings::report(floor, run, shape, studs, &mut findings);
        studs::sheathing::report(floor, run, shape, studs, settings, &mut findings);
        let job = cut::Job { floor, settings, offset, run, shape, studs };
        let mut plates = cut::cut_run(&job, &known);
        findings.append(&mut plates.findings);
        let laps = ties::lies_on_others(floor, run, shape);
        let mut joints = plates.joints.clone();
        joints.extend(ties::in_line_joints(floor, run, &meeting.shapes));
        let schedule = nails::Schedule {
            run: r,
            studs,
            beyond: &ties::studs_beyond(floor, run, &meeting.shapes, &layouts),
            laps: &laps,
            joints: &joints,
            rules,
            on_concrete: plan.on_concrete.contains(&r.storey),
        };
        for p in &mut plates.pieces {
            nails::drive(p, &schedule, &mut totals);
        }
        beside += usize::from(settings.studs.spacing > nails::most_between(r, rules));
        name_pieces(run, &mut plates.pieces);
        if plan.on_concrete.contains(&r.storey) {
            anchors.mark(&job, &mut plates.pieces, &mut findings);
        }
        let first = plan.pieces.len();
        let joints = splices::Joints { floor, run, studs, joints: &plates.joints, offset };
        splices.extend(joints.report(&plates.pieces, first, rules, &mut findings, &mut hardware));
        plan.pieces.append(&mut plates.pieces);
        plan.joints.append(&mut plates.joints);
    }
    watch.border(Stage::Planning)?;
    plan.pieces.iter_mut().for_each(cut::onto_the_wood);
    report_fillers(floor, &plan, &mut findings);
    report_short(floor, &plan, settings, &mut findings);
    report_short_walls(floor, &plan, settings, &mut findings);
    if beside > 0 {
        let (spacing, most) = (settings.studs.spacing, rules.nails.upper_to_lower.max_spacing);
        // Else only plates on a slope have studs that far apart: along them a spacing is longer than level.
        let level = Length::from_inches(most).is_none_or(|most| spacing > most);
        let f = Finding::new(
            codes::NAILS_BESIDE_STUDS,
            format!(
                "Studs every {} {} are farther apart than the nail spacing of {most} in; nails are added beside the studs of {}.",
                spacing.feet_inches(),
                if level { "along the plates" } else { "level, measured along plates on a slope," },
                counted(beside, "run")
            ),
        );
        findings.push(f);
    }
    anchors.report(&mut findings, &mut hardware);
    plan.ties = ties::find(floor, &plan.pieces, &meeting.ties, &mut hardware);
    plan.ties.append(&mut splices);
    loose::hold_laps(floor, &mut plan, settings, rules, &mut findings, &mut hardware);
    loose::tie_up(floor, &mut plan, settings, rules, &mut findings, &mut hardware);
    plan.ties.sort_by(|a, b| (a.junction, a.kind, &a.pieces).cmp(&(b.junction, b.kind, &b.pieces)));
    let nails = totals
        .into_iter()
        .map(|((purpose, nail), count)| (purpose.to_owned(), nail.to_owned(), count));
    let hardware = hardware.into_iter().map(|((what, purpose), count)| (purpose, what, count));
    let mut fasteners: Vec<Fastener> = nails
        .chain(hardware)
        .filter(|(_, _, count)| *count > 0)
        .map(|(purpose, nail, count)| Fastener { nail, count, purpose })
        .collect();
    fasteners.sort_by(|a, b| (&a.purpose, &a.nail).cmp(&(&b.purpose, &b.nail)));
    plan.fasteners = fasteners;
    Ok(Outcome { value: plan, findings })
}

/// How often corners and tees are decided in turn, each given the other.
const ROUNDS: usize = 3;

/// Corners, tees, crossings and joints: corners first with the tees as the settings ask, then tees and
/// crossings where that leaves a fault, then corners again, until nothing gets cheaper.
fn choose(by: &meet::Terms) -> meet::Meeting {
    let mut carriers = meet::Carriers::new();
    let mut tees = tees::Tees::new();
    let mut round = 0;
    loop {
        let before = meet::settle(by, &carriers, &tees);
        carriers.extend(corners::choose(by, &before));
        let meeting = meet::settle(by, &carriers, &before.tees);
        round += 1;
        if round == ROUNDS || by.watch.is_over() {
            return meeting;
        }
        // One kind of change at a time: each is judged with the other as it is.
        if let Some(better) = tees::improve(by, &meeting) {
            tees = better;
        } else if let Some(better) = crosses::improve(by, &meeting, &carriers) {
            (carriers, tees) = (better, meeting.tees);
        } else {
            return meeting;
        }
    }
}

/// `L3` the only lower piece of run 3, `L3a`, `L3b` where there are more; `B` bottom, `U` upper.
fn name_pieces(run: RunId, pieces: &mut [plan_model::Piece]) {
    for layer in Layer::ALL {
        let many = pieces.iter().filter(|p| p.layer == layer).count() > 1;
        let letter = match layer {
            Layer::Bottom => 'B',
            Layer::Lower => 'L',
            Layer::Upper => 'U',
        };
        for (k, p) in pieces.iter_mut().filter(|p| p.layer == layer).enumerate() {
            let part = if many { letters(k) } else { String::new() };
            p.mark = format!("{letter}{}{part}", run.0 + 1);
        }
    }
}

/// a, b, ... z, aa, ab, ...
fn letters(mut k: usize) -> String {
    let mut out = Vec::new();
    loop {
        out.push(b'a' + (k % 26) as u8);
        if k < 26 {
            break;
        }
        k = k / 26 - 1;
    }
    out.reverse();
    String::from_utf8(out).unwrap_or_default()
}

/// Marks that a finding lists; more are counted.
const LISTED: usize = 12;

/// Whether a piece's run is so short that its plates cannot be longer than the short-piece limit.
fn explains(floor: &Floor, piece: &plan_model::Piece, settings: &Settings) -> bool {
    cut::short_limit(floor, settings, piece.run) == Length::ZERO
}

/// A piece shorter than its wall is wide: it splits when it is nailed, and holds nothing.
fn is_filler(piece: &plan_model::Piece) -> bool {
    piece.length < piece.section.width()
}

/// Top pieces that are no more than fillers.
fn report_fillers(floor: &Floor, plan: &Plan, findings: &mut Vec<Finding>) {
    let all = plan.pieces.iter().enumerate();
    for (i, p) in all.filter(|(_, p)| p.layer != Layer::Bottom && is_filler(p)) {
        let also =
            if p.layer == Layer::Lower { ", and so is the bottom plate under it" } else { "" };
        let text = format!(
            "Piece {} ({} plate of {}) is {} long, shorter than its wall is wide ({}){also}: it splits when nailed and holds nothing.",
            p.mark,
            p.layer.name(),
            run_name(p.run),
            p.length.feet_inches(),
            p.section.width().feet_inches()
        );
        let middle = floor.run(p.run).frame().at((p.from + p.to).half(), Length::ZERO);
        let f = Finding::new(codes::SHORT_PIECE, text).severity(diag::Severity::Warning);
        findings.push(f.at(middle).about(plan_model::piece_name(PieceId(i as u32))));
    }
}

/// The short top pieces that the walls themselves explain, all at once.
fn report_short_walls(
    floor: &Floor,
    plan: &Plan,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) {
    let short = settings.plates.short_piece;
    let is_short = |p: &plan_model::Piece| {
        p.layer != Layer::Bottom
            && p.length < short
            && !is_filler(p)
            && explains(floor, p, settings)
    };
    let all: Vec<(usize, &plan_model::Piece)> =
        plan.pieces.iter().enumerate().filter(|(_, p)| is_short(p)).collect();
    let Some((first, least)) = all.iter().copied().min_by_key(|(i, p)| (p.length, *i)) else {
        return;
    };
    let mut marks: Vec<&str> = all.iter().take(LISTED).map(|(_, p)| p.mark.as_str()).collect();
    let more = all.len().saturating_sub(LISTED);
    let others = format!("{more} more");
    marks.extend((more > 0).then_some(others.as_str()));
    let message = format!(
        "{} of short walls {} shorter than {}: {}. The shortest is {}, {}.",
        counted(all.len(), "top plate piece"),
        if all.len() == 1 { "is" } else { "are" },
        short.feet_inches(),
        marks.join(", "),
        least.mark,
        least.length.feet_inches()
    );
    let middle = floor.run(least.run).frame().at((least.from + least.to).half(), Length::ZERO);
    let about = plan_model::piece_name(PieceId(first as u32));
    findings.push(Finding::new(codes::SHORT_WALLS, message).at(middle).about(about));
}

/// Short top pieces that the wall itself does not explain.
fn report_short(floor: &Floor, plan: &Plan, settings: &Settings, findings: &mut Vec<Finding>) {
    let short = settings.plates.short_piece;
    for (i, p) in plan.pieces.iter().enumerate() {
        if p.layer != Layer::Bottom
            && p.length < short
            && !explains(floor, p, settings)
            && !is_filler(p)
        {
            let f = Finding::new(
                codes::SHORT_PIECE,
                format!(
                    "Piece {} ({} plate of {}) is {} long, shorter than {}.",
                    p.mark,
                    p.layer.name(),
                    run_name(p.run),
                    p.length.feet_inches(),
                    short.feet_inches()
                ),
            );
            let middle = floor.run(p.run).frame().at((p.from + p.to).half(), Length::ZERO);
            findings.push(f.at(middle).about(plan_model::piece_name(PieceId(i as u32))));
        }
    }
}
