//! `batch`: many drawings, one folder each. A drawing that fails never stops the others.

mod list;

use crate::flags::BatchArgs;
use crate::say::{Say, count, plain};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, plan};
use diag::{Refusal, Severity};
use list::Lot;
use plan::Planned;

/// Runs the command. On standard output one line a lot: its name, `ok`, `errors` or `failed`, and the
/// path of its report, separated by tabs.
pub fn run(say: &mut Say, args: &BatchArgs) -> u8 {
    // A mistake in the shared settings is one mistake, not one for each lot.
    let lots = args.settings.load().and_then(|_| list::read(&args.input));
    let lots = match lots {
        Ok(lots) => lots,
        Err(refusal) => {
            say.findings(&refusal.findings);
            say.err("Nothing was written.");
            return NOT_PLANNED;
        }
    };
    let (mut failed, mut with_errors) = (Vec::new(), Vec::new());
    for (i, lot) in lots.iter().enumerate() {
        let head = format!("[{}/{}] {}", i + 1, lots.len(), plain(&lot.name));
        match one(lot, args) {
            Ok(planned) => {
                say.err(&format!("{head}: {}", planned.tally()));
                let errors = planned.findings(Severity::Error) > 0;
                if errors {
                    with_errors.push(lot.name.as_str());
                    say.findings(&only_errors(&planned));
                }
                let report = planned.paths.last().map(|p| p.display().to_string());
                let status = if errors { "errors" } else { "ok" };
                say.out(&format!("{}\t{status}\t{}", lot.name, report.unwrap_or_default()));
            }
            Err(refusal) => {
                failed.push(lot.name.as_str());
                say.err(&format!("{head}: not planned"));
                say.findings(&refusal.findings);
                say.out(&format!("{}\tfailed\t", lot.name));
            }
        }
    }
    let good = lots.len() - failed.len() - with_errors.len();
    say.err(&format!(
        "{}: {good} planned, {} planned with errors, {} not planned",
        count(lots.len(), "lot"),
        with_errors.len(),
        failed.len()
    ));
    for (what, names) in [("planned with errors", &with_errors), ("not planned", &failed)] {
        if !names.is_empty() {
            say.err(&format!("{what}: {}", plain(&names.join(", "))));
        }
    }
    match (failed.len(), with_errors.len()) {
        (0, 0) => DONE,
        (n, _) if n == lots.len() => NOT_PLANNED,
        _ => WITH_ERRORS,
    }
}

fn one(lot: &Lot, args: &BatchArgs) -> Result<Planned, Refusal> {
    let mut settings = match &lot.settings {
        Some(own) => args.settings.override_in(files::settings(Some(own))?),
        None => args.settings.load()?,
    };
    settings.mirror = lot.mirror.unwrap_or(settings.mirror);
    plan::one(&lot.file, &args.out.join(&lot.name), &settings, &args.project, &lot.name)
}

fn only_errors(planned: &Planned) -> Vec<diag::Finding> {
    let all = planned.document.findings.iter();
    all.filter(|f| f.severity == Severity::Error).cloned().collect()
}
