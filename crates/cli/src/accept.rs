//! `accept`: is what the saw's optimiser made of the cut list all there, and can it be cut?

use crate::flags::AcceptArgs;
use crate::say::{Say, count};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, guard};
use diag::{Finding, Refusal, codes::input};
use export::feed;
use lists::List;
use settings::OnHandBoard;
use std::path::{Path, PathBuf};
use subdivision::Record;
use subdivision::accept::{LotPieces, Verdict, check};
use subdivision::pool::ToCut;

/// Runs the command: 0 when the list can be cut, 1 when something is wrong with it, 2 when it could not be
/// compared.
pub fn run(say: &mut Say, args: &AcceptArgs) -> u8 {
    let compared = guard::caught(&files::name(&args.result), || {
        let (lots, planned_with) = lots(&args.out)?;
        let on_hand = match &args.stock_on_hand {
            Some(list) => files::on_hand(list)?,
            None => planned_with,
        };
        let answer = files::bytes(&args.result)?;
        let verdict = check(&answer, &files::name(&args.result), &lots, &on_hand)?;
        Ok((lots.len(), verdict))
    });
    match compared.and_then(|r| r) {
        Ok((lots, verdict)) => tell(say, lots, &verdict),
        Err(refusal) => {
            say.findings(&refusal.findings);
            say.err("Nothing was compared.");
            NOT_PLANNED
        }
    }
}

fn tell(say: &mut Say, lots: usize, verdict: &Verdict) -> u8 {
    say.findings(&verdict.findings);
    say.err(&format!(
        "{} of {} on {} of {} ft in all: {}",
        count(verdict.pieces as usize, "piece"),
        count(lots, "lot"),
        count(verdict.boards as usize, "board"),
        verdict.boards_ft,
        match verdict.findings.len() {
            0 => "each is cut once, from a board there is".to_owned(),
            n => format!("{} wrong; do not cut by this list", count(n, "thing")),
        }
    ));
    if verdict.findings.is_empty() { DONE } else { WITH_ERRORS }
}

/// The pieces of a single plan, or of every planned lot of a batch; and the boards on hand they were planned
/// with.
fn lots(out: &Path) -> Result<(Vec<LotPieces>, Vec<OnHandBoard>), Refusal> {
    let mut folders: Vec<PathBuf> = Vec::new();
    if out.join("plan.json").is_file() {
        folders.push(out.to_owned());
    } else {
        let unreadable = |e| Refusal::because(files::unreadable(out, &e));
        for entry in std::fs::read_dir(out).map_err(unreadable)? {
            let path = entry.map_err(unreadable)?.path();
            if files::name(&path).starts_with("shelf-") && path.is_dir() {
                let inner = std::fs::read_dir(&path).map_err(unreadable)?;
                folders.extend(inner.flatten().map(|e| e.path()));
            } else {
                folders.push(path);
            }
        }
        // A folder without its record is not whole, or is none of ours.
        folders.retain(|f| f.join("lot.json").is_file() && !files::name(f).starts_with('.'));
        folders.sort();
    }
    if folders.is_empty() {
        let what = format!("{} holds no plan.", out.display());
        return Err(Refusal::because(Finding::new(input::PLAN_BAD, what).about(files::name(out))));
    }
    let (mut all, mut on_hand) = (Vec::new(), Vec::new());
    for folder in &folders {
        let (lot, own) = lot(folder)?;
        all.push(lot);
        on_hand.extend(own);
    }
    Ok((all, on_hand))
}

fn lot(folder: &Path) -> Result<(LotPieces, Vec<OnHandBoard>), Refusal> {
    let path = folder.join("plan.json");
    let ToCut { pieces, saw, on_hand } = subdivision::pool::read_plan(&files::bytes(&path)?)
        .map_err(|why| {
            let message = format!("{}: {why}.", path.display());
            Refusal::because(Finding::new(input::PLAN_BAD, message).about("plan.json"))
        })?;
    let record = std::fs::read(folder.join("lot.json")).ok();
    let record = record.and_then(|b| Record::from_json(&b));
    let lot = record.map_or_else(|| name_in_cuts(folder), |r| r.lot);
    Ok((LotPieces { lot, pieces, saw }, on_hand))
}

/// The lot's name as the cut list of a single plan has it.
fn name_in_cuts(folder: &Path) -> String {
    let row = || {
        let text = std::fs::read_to_string(folder.join("cuts.csv")).ok()?;
        let mut list = List::of(&text, &feed::CUTS.map(|c| c.name)).ok()?;
        let at = list.column("lot")?;
        list.next()?.ok()?.cells.get(at).map(str::to_owned)
    };
    row().unwrap_or_default()
}
