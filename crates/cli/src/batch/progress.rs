//! What a person and a program see while a batch runs: a bar with rate and time left on a terminal, a
//! line a lot elsewhere, and JSON lines for programs.
//!
//! Everything is said by the main thread: it holds the streams.

use crate::files;
use crate::say::{Say, plain};
use diag::{Finding, Refusal, codes::output};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressState, ProgressStyle};
use serde_json::{Value, json};
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;
use subdivision::{Record, Status};

/// Where JSON lines go.
enum Events {
    Nowhere,
    Out,
    File(BufWriter<File>),
}

/// The progress of one run.
pub struct Progress {
    bar: Option<ProgressBar>,
    events: Events,
    done: usize,
    of: usize,
}

impl Progress {
    /// For `of` lots to plan and `unchanged` that are not.
    pub fn new(
        say: &mut Say,
        events: Option<&Path>,
        of: usize,
        unchanged: usize,
    ) -> Result<Progress, Refusal> {
        let events = match events {
            None => Events::Nowhere,
            Some(path) if path == Path::new("-") => Events::Out,
            Some(path) => Events::File(BufWriter::new(File::create(path).map_err(|e| {
                let message =
                    format!("{} could not be written: {}.", path.display(), files::why(&e));
                Refusal::because(Finding::new(output::OUTPUT_UNWRITABLE, message))
            })?)),
        };
        let bar = (say.is_terminal() && of > 0).then(|| {
            let bar = ProgressBar::with_draw_target(Some(of as u64), ProgressDrawTarget::stderr());
            let style = "{bar:30} {pos}/{len} lots, {rate} a second, {eta} left";
            // The template is ours; if it were wrong the plain bar would do.
            let style = ProgressStyle::with_template(style);
            let style = style.unwrap_or_else(|_| ProgressStyle::default_bar());
            bar.set_style(style.with_key(
                "rate",
                |s: &ProgressState, w: &mut dyn std::fmt::Write| {
                    // The writer is a string.
                    let _ = write!(w, "{:.1}", s.per_sec());
                },
            ));
            bar
        });
        let mut progress = Progress { bar, events, done: 0, of };
        progress
            .event(say, json!({"event": "start", "lots": of + unchanged, "unchanged": unchanged}));
        Ok(progress)
    }

    /// Whether standard output belongs to the events.
    pub fn takes_out(&self) -> bool {
        matches!(self.events, Events::Out)
    }

    fn event(&mut self, say: &mut Say, event: Value) {
        match &mut self.events {
            Events::Nowhere => {}
            Events::Out => say.out(&event.to_string()),
            // A log that cannot be written stops no plan.
            Events::File(file) => {
                let _ = writeln!(file, "{event}").and_then(|()| file.flush());
            }
        }
    }

    /// A lot is finished. `findings` are those a person must see now.
    pub fn lot(&mut self, say: &mut Say, record: &Record, findings: &[Finding]) {
        self.done += 1;
        let Record { lot, errors, warnings, notes, .. } = record;
        self.event(
            say,
            json!({
                "event": "lot", "lot": lot, "status": record.status.name(), "errors": errors,
                "warnings": warnings, "notes": notes, "pieces": record.pieces, "done": self.done, "of": self.of,
            }),
        );
        let told = match record.status {
            Status::Failed => "not planned".to_owned(),
            _ => {
                let word = |n: &u64, one: &str| crate::say::count(*n as usize, one);
                [word(errors, "error"), word(warnings, "warning"), word(notes, "note")].join(", ")
            }
        };
        let line = format!("[{}/{}] {}: {told}", self.done, self.of, plain(lot));
        let quiet = self.bar.is_some() && findings.is_empty();
        let mut tell = || {
            if !quiet {
                say.err(&line);
            }
            say.findings(findings);
        };
        match &self.bar {
            Some(bar) => {
                bar.suspend(tell);
                bar.inc(1);
            }
            None => tell(),
        }
    }

    /// All is done.
    pub fn end(mut self, say: &mut Say, counts: &Value) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
        let mut event = json!({"event": "end"});
        if let (Value::Object(event), Value::Object(counts)) = (&mut event, counts) {
            event.extend(counts.clone());
        }
        self.event(say, event);
    }
}
