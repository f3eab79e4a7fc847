//! Planning the lots side by side. A drawing under the same settings is planned once, and its plan is
//! written out for every lot that has it.
//!
//! As many plans as there are workers are made side by side, their lots follow, then come the next plans: at any
//! time there are at most twice as many plans in memory as workers.

use super::folder::{Folders, RECORD};
use super::prepare::{Ready, file_name};
use crate::write::Named;
use crate::{files, guard};
use diag::codes::{input, output};
use diag::{Finding, Refusal};
use export::{ExportError, Files};
use limits::{Stage, Watch};
use plan_model::Document;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, PoisonError};
use subdivision::{FileSize, Record};

/// Lots of one plan that one worker takes at a time: enough to be worth it, few enough that a plan of
/// a hundred lots keeps every worker busy.
const AT_A_TIME: usize = 8;

/// Why a lot has no results, and whether the same inputs will fail again.
pub type Failure = (Refusal, bool);
/// What became of a lot: its record, or why there is none.
pub type Done = Result<Record, Failure>;
/// A plan in the making, shared by those who wait for it.
type Shared = Mutex<Option<Arc<Result<Made, Failure>>>>;

/// A finished plan, its files, and what is in the record of every lot that has it.
struct Made {
    document: Document,
    files: Files,
    record: Record,
}

impl Made {
    fn of(document: Document) -> Result<Made, Failure> {
        let name = document.source.file.clone();
        let files = guard::caught(&name, || Files::of(&document));
        let files = files.and_then(|r| r.map_err(internal(&name))).map_err(|r| (r, true))?;
        let record = Record::of(&document, env!("CARGO_PKG_VERSION"));
        Ok(Made { document, files, record })
    }
}

/// Lots that share a plan.
struct Plan<'a> {
    lots: Vec<(usize, Ready<'a>)>,
    made: Shared,
    /// Handfuls not finished; the last one drops the plan.
    left: AtomicUsize,
}

/// What all workers know.
pub struct Shop<'a> {
    /// Where results go.
    pub folders: &'a Folders,
    /// The project's name.
    pub project: &'a str,
    /// Set when no further lot is to be begun.
    pub stop: &'a AtomicBool,
}

/// Plans all lots; sends what became of each, in the order they are finished. Lots that are not begun when
/// `stop` is set are not sent.
pub fn run(shop: &Shop, lots: Vec<(usize, Ready)>, send: Sender<(usize, Done)>) {
    let mut by_inputs: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut plans: Vec<Plan> = Vec::new();
    for (index, ready) in lots {
        let inputs = (ready.drawing.clone(), ready.force.text.clone());
        let at = *by_inputs.entry(inputs).or_insert_with(|| {
            plans.push(Plan {
                lots: Vec::new(),
                made: Mutex::new(None),
                left: AtomicUsize::new(0),
            });
            plans.len() - 1
        });
        plans[at].lots.push((index, ready));
    }
    for plan in &plans {
        plan.left.store(plan.lots.len().div_ceil(AT_A_TIME), Ordering::Relaxed);
    }
    // One after the other from the front, which splitting the queue in halves would not do.
    queue(&plans, rayon::current_num_threads()).into_iter().par_bridge().for_each_with(
        send,
        |send, (plan, lots)| {
            for (index, ready) in lots {
                if shop.stop.load(Ordering::Relaxed) {
                    break;
                }
                // Nobody listens any more only when the main thread is gone.
                let _ = send.send((*index, one(shop, plan, ready)));
            }
            if plan.left.fetch_sub(1, Ordering::AcqRel) == 1 {
                *plan.made.lock().unwrap_or_else(PoisonError::into_inner) = None;
            }
        },
    );
}

/// Some lots of a plan, for one worker.
type Handful<'p, 'a> = (&'p Plan<'a>, &'p [(usize, Ready<'a>)]);

/// The handfuls in the order in which they are taken: as many plans side by side as there are workers, so
/// that none waits for another's plan to be made.
fn queue<'p, 'a>(plans: &'p [Plan<'a>], workers: usize) -> Vec<Handful<'p, 'a>> {
    let mut out = Vec::new();
    for side_by_side in plans.chunks(workers.max(1)) {
        let most = side_by_side.iter().map(|p| p.lots.len().div_ceil(AT_A_TIME)).max();
        for nth in 0..most.unwrap_or(0) {
            let handful = |p: &'p Plan<'a>| Some((p, p.lots.chunks(AT_A_TIME).nth(nth)?));
            out.extend(side_by_side.iter().filter_map(handful));
        }
    }
    out
}

fn one(shop: &Shop, plan: &Plan, ready: &Ready) -> Done {
    let name = file_name(ready.lot);
    // The first lot's drawing, whichever worker comes first.
    let first = plan.lots.first().map_or(ready, |(_, first)| first);
    let first_name = file_name(first.lot);
    let made = {
        let mut made = plan.made.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(made.get_or_insert_with(|| Arc::new(make(first, first_name))))
    };
    match made.as_ref() {
        Ok(made) if first_name == name => write_out(shop, made, ready),
        Err(refusal) if first_name == name => Err(refusal.clone()),
        // The same drawing under another name: the name is in the outputs, nothing else depends on it.
        Ok(made) => {
            let mut document = made.document.clone();
            document.source.file = name.to_owned();
            write_out(shop, &Made::of(document)?, ready)
        }
        Err(_) => {
            let made = make(ready, name)?;
            write_out(shop, &made, ready)
        }
    }
}

/// Plans a drawing.
fn make(ready: &Ready, name: &str) -> Result<Made, Failure> {
    let settings = &ready.force.settings;
    let watch = Watch::start(&settings.limits);
    let bytes = files::drawing(&ready.lot.file, &settings.limits).map_err(|r| (r, false))?;
    let job = pipeline::Job { file_name: name, bytes: (&bytes).into(), settings };
    let document =
        guard::caught(name, || pipeline::plan_within(job, &ready.force.overrides, &watch))
            .and_then(|r| r);
    let changed = match &document {
        Ok(d) => d.source.sha256 != ready.drawing,
        Err(_) => subdivision::sha256_hex(&bytes) != ready.drawing,
    };
    if changed {
        let message = format!("{name} was changed while the batch ran.");
        let finding = Finding::new(output::DRAWING_CHANGED, message).about(name);
        return Err((Refusal::because(finding), false));
    }
    // Limits that stop are no part of what the results depend on: another run may raise them, or be faster.
    let is_lasting = |r: &Refusal| r.findings.iter().all(|f| f.code != input::LIMIT);
    let made = Made::of(document.map_err(|r| (r.clone(), is_lasting(&r)))?)?;
    watch.border(Stage::Writing).map_err(|r| (r, false))?;
    Ok(made)
}

/// Writes a lot's files, its record last.
fn write_out(shop: &Shop, made: &Made, ready: &Ready) -> Done {
    let lot = ready.lot.name.as_str();
    let name = file_name(ready.lot);
    let own = guard::caught(name, || made.files.for_one_lot(shop.project, lot));
    let own = own.and_then(|r| r.map_err(internal(name))).map_err(|refusal| (refusal, true))?;
    let all = made.files.for_any_lot.iter().chain(&own);
    let mut files: Vec<Named> = all.map(|f| (f.name, &f.bytes[..])).collect();
    files.sort_by_key(|(name, _)| *name);
    let size =
        |(name, bytes): &Named| FileSize { name: (*name).to_owned(), bytes: bytes.len() as u64 };
    let record = Record {
        lot: lot.to_owned(),
        key: ready.key.clone(),
        files: files.iter().map(size).collect(),
        ..made.record.clone()
    };
    let json = record.to_json();
    files.push((RECORD, &json));
    shop.folders.write(lot, &files).map_err(|refusal| (refusal, false))?;
    Ok(record)
}

fn internal(name: &str) -> impl Fn(ExportError) -> Refusal {
    move |e| Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about(name))
}
