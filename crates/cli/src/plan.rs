//! `plan`: one drawing in, one folder of results out.

use crate::flags::PlanArgs;
use crate::say::{InDrawing, Say, count, plain};
use crate::{DONE, NOT_PLANNED, WITH_ERRORS, files, guard, write};
use ::export::feed;
use ::export::text::money;
use diag::{Finding, Refusal, Severity, codes::output};
use limits::{Stage, Watch};
use overrides::Overrides;
use plan_model::Document;
use settings::Settings;
use std::path::PathBuf;

/// A drawing that was planned and whose results are written.
struct Planned {
    /// The result.
    document: Document,
    /// The files, report last.
    paths: Vec<PathBuf>,
}

impl Planned {
    /// How many findings there are of a severity.
    fn findings(&self, severity: Severity) -> usize {
        self.document.findings.iter().filter(|f| f.severity == severity).count()
    }
    /// `1 error, 0 warnings, 3 notes`.
    fn tally(&self) -> String {
        [Severity::Error, Severity::Warning, Severity::Note]
            .map(|s| count(self.findings(s), s.name()))
            .join(", ")
    }
}

/// Runs the command.
pub fn run(say: &mut Say, args: &PlanArgs) -> u8 {
    let lot = args.lot.clone().unwrap_or_else(|| files::stem(&args.file));
    let planned = args.load().and_then(|(settings, edits)| one(args, &settings, &edits, &lot));
    match planned {
        Ok(planned) => {
            let drawing = InDrawing::of(&planned.document);
            say.findings_in(&planned.document.findings, Some(&drawing));
            summary(say, &planned);
            let beside = files::overrides_beside(&args.file);
            if args.overrides.is_none() && beside.is_file() {
                say.err(&format!(
                    "not used: {} lies beside the drawing; give it with --overrides to plan with its edits",
                    plain(&files::name(&beside))
                ));
            }
            for path in &planned.paths {
                say.out(&path.display().to_string());
            }
            if planned.findings(Severity::Error) > 0 { WITH_ERRORS } else { DONE }
        }
        Err(refusal) => {
            say.findings(&refusal.findings);
            say.err("Nothing was written.");
            NOT_PLANNED
        }
    }
}

/// Plans the drawing and writes its results, all together: the usual ones with the report last, before
/// them sheets and drawings where they are asked for. A panic on the way is a refusal like any other,
/// and nothing is written then.
fn one(
    args: &PlanArgs,
    settings: &Settings,
    edits: &Overrides,
    lot: &str,
) -> Result<Planned, Refusal> {
    let file_name = files::name(&args.file);
    guard::caught(&file_name, || {
        let watch = Watch::start(&settings.limits);
        let drawing = files::Drawing::open(&args.file, &settings.limits)?;
        let job = pipeline::Job { file_name: &file_name, bytes: drawing.source(), settings };
        let document = pipeline::plan_within(job, edits, &watch)?;
        drawing.check_unchanged()?;
        let outputs = export::all(&document, &args.project, lot).map_err(internal)?;
        let mut more: Vec<(String, Vec<u8>)> = Vec::new();
        if let Some(paper) = args.sheets {
            let make = if args.svg { sheets::all } else { sheets::pdfs };
            more.extend(make(&document, &args.project, lot, paper).map_err(internal)?);
        }
        if args.drawings {
            more.extend(drawings::all(&document).map_err(internal)?);
        }
        if args.parquet {
            let form = document.settings.feed;
            for (name, columns) in [("cuts.csv", &feed::CUTS[..]), ("stock.csv", &feed::STOCK)] {
                let csv = outputs.iter().find(|f| f.name == name).map_or(&[][..], |f| &f.bytes);
                let mut bytes = Vec::new();
                parquet_tables::write(&mut bytes, csv, columns, form).map_err(internal)?;
                more.push((name.replace(".csv", ".parquet"), bytes));
            }
        }
        watch.border(Stage::Writing)?;
        let named = more.iter().map(|(name, bytes)| (name.as_str(), &bytes[..]));
        let named = named.chain(outputs.iter().map(|f| (f.name, &f.bytes[..])));
        let paths = write::named(&args.out, &named.collect::<Vec<_>>())?;
        Ok(Planned { document, paths })
    })
    .and_then(|planned| planned)
}

fn internal(e: impl std::fmt::Display) -> Refusal {
    Refusal::because(Finding::new(output::INTERNAL, format!("{e}.")))
}

fn summary(say: &mut Say, planned: &Planned) {
    let d = &planned.document;
    let floor = &d.floor;
    say.err(&format!(
        "{}: {} on {}, {}, {}",
        plain(&d.source.file),
        count(floor.walls.len(), "wall"),
        count(floor.storeys.len(), "storey"),
        count(floor.runs.len(), "run"),
        count(floor.junctions.len(), "junction"),
    ));
    say.err(&format!("units: {}. {}", d.source.units.name, plain(&d.source.units.decided_by)));
    say.err(&format!("plates: {}", count(d.plan.pieces.len(), "piece")));
    for s in &d.stock {
        let on_hand = match s.on_hand {
            0 => String::new(),
            n => format!(" and {n} on hand"),
        };
        let cost = s.cost.map_or(String::new(), |c| {
            format!(
                ", costs {}, none costs less than {}",
                money(c.hundredths),
                money(c.lower_bound)
            )
        });
        say.err(&format!(
            "boards: {} of {}{on_hand}, {} bought, {} used; no choice of boards buys less than {}{cost}",
            s.boards,
            settings::lumber_name(s.section, s.treated),
            s.bought.feet_inches(),
            s.used.feet_inches(),
            s.lower_bound_length.feet_inches()
        ));
    }
    let breaches: u64 = d.checked.iter().map(|c| c.breaches).sum();
    say.err(&format!(
        "checked: {} over {} places, {breaches} broken",
        count(d.checked.len(), "rule"),
        d.checked.iter().map(|c| c.looked_at).sum::<u64>()
    ));
    say.err(&format!(
        "entities: {} read, {} used, {} ignored",
        d.ledger.read(),
        d.ledger.used(),
        d.ledger.ignored_total()
    ));
    for (reason, ignored) in d.ledger.ignored() {
        say.err(&format!("  {:>6} {}", ignored.count, plain(reason)));
    }
    say.err(&format!("findings: {}", planned.tally()));
}
