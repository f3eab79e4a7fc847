//! What each lot depends on, and which of them have to be planned.

use super::folder::Folders;
use crate::files;
use crate::flags::BatchArgs;
use diag::codes::{input, output};
use diag::{Finding, Refusal};
use limits::Limits;
use overrides::Overrides;
use rayon::prelude::*;
use settings::{FeedSettings, Settings, parse};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use subdivision::{Inputs, LayerChoice, Lot, Record, Status};

/// Settings and edits, with the text they are hashed by.
pub struct Force {
    /// In force.
    pub settings: Settings,
    /// A reviewer's edits.
    pub overrides: Overrides,
    /// Both as text.
    pub text: String,
}

/// A lot whose inputs are known.
pub struct Ready<'a> {
    /// The lot.
    pub lot: &'a Lot,
    /// Its settings.
    pub force: Arc<Force>,
    /// Hash of its drawing.
    pub drawing: String,
    /// Hash of everything its results depend on.
    pub key: String,
}

impl Ready<'_> {
    /// What the key was made of.
    pub fn inputs<'b>(&'b self, project: &'b str) -> Inputs<'b> {
        Inputs {
            version: env!("CARGO_PKG_VERSION"),
            drawing: &self.drawing,
            file: file_name(self.lot),
            settings: &self.force.text,
            project,
            lot: &self.lot.name,
        }
    }
}

/// The drawing's own name; a name that is no Unicode is not read from a list, and named as well as can be.
pub fn file_name(lot: &Lot) -> &str {
    lot.file.file_name().and_then(|n| n.to_str()).unwrap_or("drawing")
}

/// What is to be done about a lot.
pub enum Prepared<'a> {
    /// Nothing: it was planned before, or failed before, from the same inputs.
    Unchanged(Ready<'a>, Box<Record>),
    /// To plan.
    Plan(Ready<'a>),
    /// Its inputs cannot be read.
    Refused(Refusal),
}

/// Looks at the inputs of every lot. The files are read side by side, each once.
pub fn all<'a>(
    lots: &'a [Lot],
    args: &BatchArgs,
    form: FeedSettings,
    folders: &Folders,
) -> Vec<Prepared<'a>> {
    let mut shelf = Shelf::default();
    let forces: Vec<Result<Arc<Force>, Refusal>> =
        lots.iter().map(|lot| shelf.force(lot, args, form)).collect();
    let limits = |force: &Result<Arc<Force>, Refusal>| match force {
        Ok(force) => force.settings.limits,
        Err(_) => Limits::default(),
    };
    // A drawing of lots with several limits is read once, under the widest of them; planning looks again.
    let mut drawings: BTreeMap<&Path, Limits> = BTreeMap::new();
    for (lot, force) in lots.iter().zip(&forces) {
        let own = limits(force);
        let widest = drawings.entry(lot.file.as_path()).or_insert(own);
        *widest = widest.at_least(&own);
    }
    let drawings: Vec<(&Path, Limits)> = drawings.into_iter().collect();
    let hashes: BTreeMap<&Path, Result<String, Refusal>> = drawings
        .into_par_iter()
        .with_max_len(1)
        .map(|(path, limits)| {
            let bytes = files::drawing(path, &limits);
            (path, bytes.map(|bytes| subdivision::sha256_hex(&bytes)))
        })
        .collect();
    let all: Vec<_> = lots.iter().zip(forces).collect();
    all.into_par_iter()
        .map(|(lot, force)| {
            let hash = hashes.get(lot.file.as_path()).cloned();
            match (force, hash) {
                (Err(refusal), _) | (_, Some(Err(refusal))) => {
                    Prepared::Refused(placed(refusal, lot))
                }
                (Ok(force), Some(Ok(drawing))) => one(lot, force, drawing, args, folders),
                (Ok(_), None) => Prepared::Refused(placed(Refusal { findings: Vec::new() }, lot)),
            }
        })
        .collect()
}

/// Adds the line of the manifest that names the file.
fn placed(mut refusal: Refusal, lot: &Lot) -> Refusal {
    if let Some(first) = refusal.findings.first_mut().filter(|_| !lot.place.is_empty()) {
        first.message = format!("{}: {}", lot.place, first.message);
    }
    refusal
}

fn one<'a>(
    lot: &'a Lot,
    force: Arc<Force>,
    drawing: String,
    args: &BatchArgs,
    folders: &Folders,
) -> Prepared<'a> {
    let mut ready = Ready { lot, force, drawing, key: String::new() };
    ready.key = subdivision::key(ready.inputs(&args.project));
    let record = if args.force { None } else { folders.record(&lot.name) };
    match record.filter(|r| r.key == ready.key) {
        Some(record) => Prepared::Unchanged(ready, Box::new(record)),
        None => Prepared::Plan(ready),
    }
}

/// Settings files already read, and settings already put together.
#[derive(Default)]
struct Shelf {
    files: BTreeMap<PathBuf, Result<Settings, Refusal>>,
    /// By their text and their limits.
    forces: BTreeMap<(String, String), Arc<Force>>,
}

impl Shelf {
    fn file(&mut self, path: &Path) -> Result<Settings, Refusal> {
        let read = || files::settings(Some(path));
        self.files.entry(path.to_owned()).or_insert_with(read).clone()
    }
    /// The settings of a lot: its own file or the batch's, then the mapping of its overrides, then the flags,
    /// then the manifest's columns.
    fn force(
        &mut self,
        lot: &Lot,
        args: &BatchArgs,
        form: FeedSettings,
    ) -> Result<Arc<Force>, Refusal> {
        let own = lot.settings.as_ref().or(args.settings.read.settings.as_ref());
        let base = match own {
            Some(path) => self.file(path)?,
            None => Settings::default(),
        };
        if base.feed != FeedSettings::default() && base.feed != form && lot.settings.is_some() {
            return Err(another_form(lot));
        }
        let overrides = match &lot.overrides {
            Some(path) => files::overrides(path)?,
            None => Overrides::default(),
        };
        let mut settings = args.settings.override_in(overrides.lay_over(base));
        settings.feed = form;
        settings.mirror = lot.mirror.unwrap_or(settings.mirror);
        if !lot.regions.is_empty() {
            let ending = lot.file.extension().map(|e| e.to_string_lossy().to_ascii_lowercase());
            if ending.is_some_and(|e| e.starts_with("ifc")) {
                return Err(no_regions(file_name(lot)));
            }
            settings.regions = lot.regions.clone();
        }
        let mut rules = Vec::new();
        for choice in &lot.layers {
            match choice {
                LayerChoice::Rule(rule) => rules.push(rule.clone()),
                LayerChoice::File(path) => rules.extend(self.file(path)?.layers),
            }
        }
        rules.append(&mut settings.layers);
        settings.layers = rules;
        // Limits that only stop decide nothing in the results: raising one plans no lot again.
        let limits = settings.limits.shaping_a_plan();
        let mut text = parse::to_toml(&Settings { limits, ..settings.clone() });
        if !overrides.is_empty() {
            text += &overrides::to_toml(overrides.form());
        }
        let new = || Arc::new(Force { settings: settings.clone(), overrides, text: text.clone() });
        let whole = (text.clone(), settings.limits.to_string());
        Ok(Arc::clone(self.forces.entry(whole).or_insert_with(new)))
    }
}

/// Tables of many lots have one form.
fn another_form(lot: &Lot) -> Refusal {
    let file = lot.settings.as_deref().map(files::name).unwrap_or_default();
    let message = format!(
        "{file} of lot {} has a [feed] that is not the batch's; take it out, or say the same with --settings or the flags.",
        lot.name
    );
    Refusal::because(Finding::new(input::SETTINGS_BAD, message).about(file))
}

fn no_regions(file: &str) -> Refusal {
    let message = format!("{file}: regions are chosen for it, and it is an IFC file.");
    Refusal::because(Finding::new(output::REGION_UNUSED, message).about(file))
}

/// Whether a record is of a lot that was planned.
pub fn is_planned(record: &Record) -> bool {
    record.status != Status::Failed
}
