//! `batch`: many lots, one folder each, and the tables over all of them. A drawing that fails never stops
//! the others.

mod folder;
mod list;
mod lock;
mod prepare;
mod progress;
mod rollup;
mod work;

use crate::flags::BatchArgs;
use crate::say::{Say, count, plain};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS};
use diag::codes::{Code, output};
use diag::{Finding, Refusal, Severity};
use folder::Folders;
use prepare::{Force, Prepared, Ready, file_name, is_planned};
use progress::Progress;
use rollup::{Pooled, RollUp};
use serde_json::json;
use settings::{FeedSettings, OnHandBoard};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Once, mpsc};
use subdivision::{Entry, Inputs, Lot, Record, Status};

/// Set by Ctrl-C: lots in work are finished, no further one is begun.
static STOP: AtomicBool = AtomicBool::new(false);
static HANDLER: Once = Once::new();

/// Exit status of a program that was interrupted twice (128 + SIGINT, as shells have it).
const INTERRUPTED: i32 = 130;

/// Runs the command. On standard output one line a lot, in the manifest's order: its name, `ok`, `errors`,
/// `failed` or `missing` (not begun, or not there), and the path of its report, separated by tabs.
pub fn run(say: &mut Say, args: &BatchArgs) -> u8 {
    // A mistake in the shared settings is one mistake, not one for each lot.
    let manifest = args.settings.load().and_then(|settings| {
        let manifest = list::read(&args.input, args.drawings.as_deref())?;
        list::check_out(&args.input, &args.out, &manifest.lots)?;
        let on_hand = args.stock_on_hand.as_deref().map(crate::files::on_hand).transpose()?;
        let batch = Batch { args, form: settings.feed, on_hand: on_hand.unwrap_or_default() };
        Ok((manifest, batch))
    });
    let done = manifest.and_then(|(m, batch)| {
        for note in &m.notes {
            say.err(&format!("note: {}: {note}.", plain(&crate::files::name(&args.input))));
        }
        let pool = pool(args)?;
        let whole = m.lots.len();
        let mut lots = m.lots;
        if let Some(shard) = args.shard {
            lots.retain(|l| shard.holds(&l.name));
        }
        subdivide(say, &batch, &lots, whole, &pool)
    });
    done.unwrap_or_else(|refusal| {
        say.findings(&refusal.findings);
        say.err("Nothing was written.");
        NOT_PLANNED
    })
}

/// What holds for all lots.
struct Batch<'a> {
    args: &'a BatchArgs,
    /// Form of the tables.
    form: FeedSettings,
    /// Boards on hand, for the pool.
    on_hand: Vec<OnHandBoard>,
}

fn pool(args: &BatchArgs) -> Result<rayon::ThreadPool, Refusal> {
    let threads = usize::from(args.threads.unwrap_or(0)); // 0: one for each processor
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).stack_size(8 << 20).build();
    pool.map_err(|e| {
        let message = format!("The threads could not be started: {e}. Give fewer with --threads.");
        Refusal::because(Finding::new(output::INTERNAL, message))
    })
}

fn stop_on_ctrl_c() {
    HANDLER.call_once(|| {
        // Without a handler Ctrl-C ends the program at once, and the next run tidies up.
        let _ = ctrlc::set_handler(|| {
            if STOP.swap(true, Ordering::SeqCst) {
                std::process::exit(INTERRUPTED);
            }
        });
    });
}

/// What became of a lot in this run.
struct Outcome<'a> {
    lot: &'a Lot,
    /// None for a lot that was not begun, or has no results to roll up.
    record: Option<Record>,
    force: Option<Arc<Force>>,
    unchanged: bool,
}

fn subdivide(
    say: &mut Say,
    batch: &Batch,
    lots: &[Lot],
    whole: usize,
    pool: &rayon::ThreadPool,
) -> Result<u8, Refusal> {
    let args = batch.args;
    stop_on_ctrl_c();
    // Where there is nothing to roll up, no folder is made for it.
    let is_there = args.out.is_dir() || !args.rollup_only;
    let lock = is_there.then(|| lock::take(&args.out, args.shard)).transpose()?;
    if lock.as_ref().is_some_and(|l| !l.is_real) {
        say.err("note: this disk keeps no locks; see to it that no other batch writes into the same folder.");
    }
    let folders = Folders::new(&args.out, whole);
    let unwritable = |e: std::io::Error| {
        let why = crate::files::why(&e);
        let message = format!("{} could not be written: {why}.", args.out.display());
        Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
    };
    folders.recover(lots).map_err(unwritable)?;
    let prepared = pool.install(|| prepare::all(lots, args, batch.form, &folders));

    let mut outcomes: Vec<Outcome> = Vec::new();
    let (mut to_plan, mut refused) = (Vec::new(), Vec::new());
    for (index, (lot, prepared)) in lots.iter().zip(prepared).enumerate() {
        let mut outcome = Outcome { lot, record: None, force: None, unchanged: false };
        match prepared {
            Prepared::Unchanged(ready, record) => {
                outcome.force = Some(ready.force);
                outcome.record = Some(*record);
                outcome.unchanged = true;
            }
            Prepared::Plan(ready) => {
                outcome.force = Some(Arc::clone(&ready.force));
                to_plan.push((index, ready));
            }
            Prepared::Refused(refusal) => refused.push((index, refusal)),
        }
        outcomes.push(outcome);
    }
    let unchanged = outcomes.iter().filter(|o| o.unchanged).count();
    if args.rollup_only {
        // What would have to be planned is told as missing; where the inputs are not at hand, the results
        // are taken as they are.
        to_plan.clear();
        if let Some((_, first)) = refused.first() {
            say.findings(&first.findings);
            let lots = count(refused.len(), "lot");
            say.err(&format!(
                "note: the results of {lots} could not be compared with their drawings."
            ));
        }
        for (index, _) in refused.drain(..) {
            outcomes[index].record = folders.record(&lots[index].name);
        }
    }
    let of = to_plan.len() + refused.len();
    let mut progress = Progress::new(say, args.events.as_deref(), of, unchanged)?;
    for (index, refusal) in refused {
        let lot = &lots[index];
        let inputs = bare(args, lot);
        outcomes[index].record = Some(failed(say, &mut progress, &folders, "", inputs, &refusal));
    }
    plan_all(say, args, &folders, pool, to_plan, &mut outcomes, &mut progress);

    // Roll-ups are of everything; one slice is not everything.
    let mut rolled_up = true;
    if args.shard.is_none() {
        let entries: Vec<Entry> = outcomes
            .iter()
            .map(|o| Entry {
                lot: o.lot,
                record: o.record.as_ref(),
                folder: folders.relative(&o.lot.name),
            })
            .collect();
        let forces: BTreeMap<&str, Arc<Force>> = outcomes
            .iter()
            .filter_map(|o| Some((o.lot.name.as_str(), Arc::clone(o.force.as_ref()?))))
            .collect();
        let pooled = args.pool.then_some(Pooled { forces: &forces, on_hand: &batch.on_hand });
        let unknown = outcomes.iter().filter(|o| o.force.is_none());
        let unknown = unknown.filter(|o| o.record.as_ref().is_some_and(is_planned)).count();
        if args.pool && unknown > 0 {
            let lots = count(unknown, "lot");
            say.err(&format!(
                "note: {lots} left out of the pool: their settings are not known here."
            ));
        }
        let anything = entries.iter().any(Entry::is_planned) || args.out.is_dir();
        if anything {
            let (project, form) = (args.project.as_str(), batch.form);
            let job = RollUp { project, form, pooled, parquet: args.parquet, folders: &folders };
            let written = pool.install(|| rollup::write(&args.out, &entries, &job));
            if let Err(refusal) = written {
                rolled_up = false;
                say.findings(&refusal.findings);
            }
        }
    }
    Ok(close(say, args, &folders, &outcomes, progress, rolled_up))
}

fn bare<'a>(args: &'a BatchArgs, lot: &'a Lot) -> Inputs<'a> {
    Inputs {
        version: env!("CARGO_PKG_VERSION"),
        drawing: "",
        file: file_name(lot),
        settings: "",
        project: &args.project,
        lot: &lot.name,
    }
}

/// Plans what is to be planned and notes what became of it, as it comes.
fn plan_all<'a>(
    say: &mut Say,
    args: &BatchArgs,
    folders: &Folders,
    pool: &rayon::ThreadPool,
    to_plan: Vec<(usize, Ready<'a>)>,
    outcomes: &mut [Outcome<'a>],
    progress: &mut Progress,
) {
    let keys: BTreeMap<usize, String> = to_plan.iter().map(|(i, r)| (*i, r.key.clone())).collect();
    let (send, receive) = mpsc::channel();
    let shop = work::Shop { folders, project: &args.project, stop: &STOP };
    std::thread::scope(|scope| {
        scope.spawn(|| pool.install(|| work::run(&shop, to_plan, send)));
        for (index, done) in receive {
            let record = match done {
                Ok(record) => {
                    // Errors are told at once; the rest is in review.csv.
                    progress.lot(say, &record, &errors_of(&record));
                    record
                }
                Err((refusal, lasting)) => {
                    let key = keys.get(&index).filter(|_| lasting).map_or("", String::as_str);
                    let inputs = bare(args, outcomes[index].lot);
                    failed(say, progress, folders, key, inputs, &refusal)
                }
            };
            outcomes[index].record = Some(record);
        }
    });
}

/// One finding for each kind of error.
fn errors_of(record: &Record) -> Vec<Finding> {
    let errors = record.problems.iter().filter(|p| p.severity == Severity::Error.name());
    errors
        .filter_map(|p| Some(Finding::new(Code::from_name(&p.code)?, p.message.clone())))
        .collect()
}

/// Notes a lot that has no results.
fn failed(
    say: &mut Say,
    progress: &mut Progress,
    folders: &Folders,
    key: &str,
    inputs: Inputs,
    refusal: &Refusal,
) -> Record {
    let mut findings = refusal.findings.clone();
    let stale = folders.has_stale(inputs.lot);
    if let Some(first) = findings.first_mut().filter(|_| stale) {
        first
            .message
            .push_str(" The files in its folder are of an earlier run: do not cut by them.");
    }
    let record = Record::failed(key, inputs, &findings);
    if let Err(e) = folders.fail(inputs.lot, &record) {
        let what = format!("What became of lot {} could not be noted: {e}.", inputs.lot);
        findings.push(Finding::new(output::OUTPUT_UNWRITABLE, what));
    }
    progress.lot(say, &record, &findings);
    record
}

/// The last words, and the exit status.
fn close(
    say: &mut Say,
    args: &BatchArgs,
    folders: &Folders,
    outcomes: &[Outcome],
    progress: Progress,
    rolled_up: bool,
) -> u8 {
    let status = |o: &Outcome| o.record.as_ref().map(|r| r.status);
    let of = |wanted: Option<Status>| -> Vec<&str> {
        outcomes.iter().filter(|o| status(o) == wanted).map(|o| o.lot.name.as_str()).collect()
    };
    let (ok, warnings) = (of(Some(Status::Ok)), of(Some(Status::Warnings)));
    let (errors, failed, missing) = (of(Some(Status::Errors)), of(Some(Status::Failed)), of(None));
    let unchanged = outcomes.iter().filter(|o| o.unchanged).count();
    let takes_out = progress.takes_out();
    progress.end(
        say,
        &json!({
            "ok": ok.len(), "warnings": warnings.len(), "errors": errors.len(), "failed": failed.len(),
            "missing": missing.len(), "unchanged": unchanged,
        }),
    );
    if !takes_out {
        for o in outcomes {
            let planned = o.record.as_ref().filter(|r| is_planned(r));
            let word = match status(o) {
                None => "missing",
                Some(Status::Ok | Status::Warnings) => "ok",
                Some(other) => other.name(),
            };
            let report: Option<PathBuf> =
                planned.map(|_| folders.of(&o.lot.name).join("report.html"));
            let report = report.map(|p| p.display().to_string()).unwrap_or_default();
            say.out(&format!("{}\t{word}\t{report}", plain(&o.lot.name)));
        }
    }
    let mut line = format!(
        "{}: {} planned, {} planned with warnings, {} planned with errors, {} not planned",
        count(outcomes.len(), "lot"),
        ok.len(),
        warnings.len(),
        errors.len(),
        failed.len()
    );
    if !missing.is_empty() {
        line.push_str(&format!(", {} not reached", missing.len()));
    }
    say.err(&format!("{line}; {unchanged} of them unchanged since the last run"));
    for (what, names) in [("planned with errors", &errors), ("not planned", &failed)] {
        const NAMED: usize = 20;
        if !names.is_empty() {
            let shown = names.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
            let more = match names.len().saturating_sub(NAMED) {
                0 => String::new(),
                n => format!(" and {n} more"),
            };
            say.err(&format!("{what}: {}{more}", plain(&shown)));
        }
    }
    if args.shard.is_none() && rolled_up && args.out.is_dir() {
        let index = args.out.join("index.html");
        say.err(&format!("what to look at first: review.csv; all reports: {}", index.display()));
    }
    if STOP.load(Ordering::Relaxed) {
        say.err("Interrupted: what is there is whole. Run the same command again to go on.");
    }
    let good = ok.len() + warnings.len();
    match (good + errors.len(), outcomes.len() - good, rolled_up) {
        (_, 0, true) => DONE,
        (0, ..) => NOT_PLANNED,
        _ => WITH_ERRORS,
    }
}
