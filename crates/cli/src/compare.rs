//! `compare`: what changed between two plans of one house.

use crate::flags::CompareArgs;
use crate::say::{Say, plain};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, guard, write};
use ::compare as comparing;
use diag::{Finding, Refusal, codes::output};

/// Runs the command: 0 when the plans are the same, 1 when something changed, 2 when they could not be
/// compared.
pub fn run(say: &mut Say, args: &CompareArgs) -> u8 {
    match guard::caught("compare", || told(say, args)).and_then(|r| r) {
        Ok(same) => {
            if same {
                DONE
            } else {
                WITH_ERRORS
            }
        }
        Err(refusal) => {
            say.findings(&refusal.findings);
            NOT_PLANNED
        }
    }
}

fn told(say: &mut Say, args: &CompareArgs) -> Result<bool, Refusal> {
    let found = comparing::compare(&files::bytes(&args.old)?, &files::bytes(&args.new)?)?;
    let json = comparing::json(&found).map_err(|e| {
        Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")).about("compare"))
    })?;
    let paths = match &args.out {
        Some(dir) => {
            let drawing = comparing::svg(&found);
            write::named(
                dir,
                &[("changes.json", json.as_bytes()), ("changes.svg", drawing.as_bytes())],
            )?
        }
        None => Vec::new(),
    };
    if args.json {
        say.out(json.trim_end());
    } else {
        for line in comparing::text(&found).lines() {
            say.out(&plain(line));
        }
    }
    for path in paths {
        say.err(&path.display().to_string());
    }
    Ok(found.is_same())
}
