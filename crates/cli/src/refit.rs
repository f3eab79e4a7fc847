//! `refit`: upper plates for walls as they stand.

use crate::flags::RefitArgs;
use crate::say::{Say, count};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, guard, write};
use ::refit::{self as fitting, Refit};
use diag::{Finding, Outcome, Refusal, Severity, codes::output};
use std::path::PathBuf;

/// Runs the command: 0 when every measured wall was fitted, 1 when one could not be, 2 when nothing was
/// done.
pub fn run(say: &mut Say, args: &RefitArgs) -> u8 {
    match guard::caught(&files::name(&args.plan), || fit(args)).and_then(|r| r) {
        Ok((fitted, paths)) => {
            say.findings(&fitted.findings);
            summary(say, &fitted.value);
            for path in &paths {
                say.out(&path.display().to_string());
            }
            let error = fitted.findings.iter().any(|f| f.severity == Severity::Error);
            if error { WITH_ERRORS } else { DONE }
        }
        Err(refusal) => {
            say.findings(&refusal.findings);
            say.err("Nothing was written.");
            NOT_PLANNED
        }
    }
}

fn fit(args: &RefitArgs) -> Result<(Outcome<Refit>, Vec<PathBuf>), Refusal> {
    let plan = fitting::read(&files::bytes(&args.plan)?, &files::name(&args.plan))?;
    let list = files::bytes(&args.measured)?;
    let measured = fitting::from_csv(&list, &files::name(&args.measured), &plan)?;
    let fitted = fitting::refit(&plan, &measured);
    let written = fitting::outputs(&plan, &fitted.value, &fitted.findings);
    let written = written.map_err(|e| {
        Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about("refit"))
    })?;
    let written: Vec<write::Named> = written.iter().map(|(name, b)| (*name, &b[..])).collect();
    let paths = write::named(&args.out, &written)?;
    Ok((fitted, paths))
}

fn summary(say: &mut Say, fitted: &Refit) {
    say.err(&format!(
        "{} measured, {} not; {} of {} changed",
        count(fitted.runs.len(), "wall"),
        fitted.not_measured,
        fitted.changes.len(),
        count(fitted.pieces.len(), "upper plate"),
    ));
    for c in &fitted.changes {
        let text = match (&c.was, &c.now) {
            (Some(was), Some(now)) => format!(
                "{} on {}: {} was {}",
                now.mark,
                now.run,
                now.length.feet_inches(),
                was.length.feet_inches()
            ),
            (None, Some(now)) => {
                format!("{} on {}: {}, a piece more", now.mark, now.run, now.length.feet_inches())
            }
            (Some(was), None) => format!("{} on {}: not needed any more", was.mark, was.run),
            (None, None) => continue,
        };
        say.err(&format!("  {}", crate::say::plain(&text)));
    }
    say.err("Marks for tees near a moved end: check them on the wall before you cut a notch.");
}
