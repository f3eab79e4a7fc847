//! The command line: flags, files, messages, exit statuses.
//!
//! Knows: arguments, the file system, how findings are shown to a person. Never touches: geometry,
//! plates, formats. Everything a plan depends on is handed to [`pipeline`] as values; whatever comes
//! back is written out whole or not at all.
//!
//! Human text goes to standard error, paths and machine text to standard output. Exit statuses are
//! those of the output contract: 0 planned, 1 planned with errors, 2 not planned.

mod accept;
mod batch;
mod compare;
mod explain;
mod files;
mod flags;
mod guard;
mod inspect;
mod plan;
mod refit;
mod say;
mod serve;
mod write;

pub use guard::quiet_panics;
pub use say::color_wanted;

use clap::{CommandFactory, Parser};
use flags::{Args, Command};
use say::Say;
use std::ffi::OsString;
use std::io::Write;

/// Exit status: planned, nothing lost.
const DONE: u8 = 0;
/// Exit status: planned, but there are errors.
const WITH_ERRORS: u8 = 1;
/// Exit status: not planned.
const NOT_PLANNED: u8 = 2;

/// Every command and flag, for whoever writes manual pages and shell completions.
pub fn command() -> clap::Command {
    Args::command()
}

/// Runs one command and returns its exit status. `args` begins with the program's name.
pub fn run(
    args: impl IntoIterator<Item = OsString>,
    out: &mut dyn Write,
    err: &mut dyn Write,
    color: bool,
) -> u8 {
    let mut say = Say::new(out, err, color);
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        // Help and version are asked for and go to standard output; mistakes exit with 2.
        Err(e) => {
            let text = if color { e.render().ansi().to_string() } else { e.render().to_string() };
            if e.use_stderr() {
                say.err(text.trim_end());
                return NOT_PLANNED;
            }
            say.out(text.trim_end());
            return DONE;
        }
    };
    let result = guard::caught("platewright", || match &args.command {
        Command::Inspect(a) => inspect::run(&mut say, a),
        Command::Plan(a) => plan::run(&mut say, a),
        Command::Batch(a) => batch::run(&mut say, a),
        Command::Accept(a) => accept::run(&mut say, a),
        Command::Refit(a) => refit::run(&mut say, a),
        Command::Compare(a) => compare::run(&mut say, a),
        Command::Serve(a) => serve::run(&mut say, a),
        Command::Schema(a) => {
            let schema = if a.feed { export::feed::schema_json() } else { export::schema_json() };
            say.out(schema.trim_end());
            DONE
        }
        Command::Explain(a) => explain::run(&mut say, a),
    });
    result.unwrap_or_else(|refusal| {
        Say::new(out, err, color).findings(&refusal.findings);
        NOT_PLANNED
    })
}
