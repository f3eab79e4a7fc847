//! The flags, and the settings they override.

use crate::files;
use clap::{Args as ClapArgs, Parser, Subcommand};
use diag::Refusal;
use geom::{Length, Unit};
use limits::{Limit, Limits};
use lumber::Section;
use overrides::Overrides;
use settings::parse;
use settings::{CodePage, DecimalSign, ExteriorTee, FeedUnit, Mirror, Settings};
use sheets::Paper;
use std::net::IpAddr;
use std::path::PathBuf;

/// Plans wall plates from an architect's DXF or IFC file: what to cut, how the layers lap, what to
/// nail and which boards to buy.
#[derive(Debug, Parser)]
#[command(name = "platewright", version, max_term_width = 100)]
#[command(
    after_help = "Exit status: 0 planned, nothing lost; 1 planned, but with an error finding; \
    2 not planned.\nThe plan is not engineering: local code, the stamped drawings and the building \
    official decide."
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Show what a drawing holds: units, layers or storeys, and what became of every entity
    Inspect(InspectArgs),
    /// Plan one drawing: writes plan.json, cuts.csv, cuts-grouped.csv, stock.csv and report.html
    Plan(PlanArgs),
    /// Plan many drawings, one folder each; a drawing that fails never stops the others
    Batch(BatchArgs),
    /// Check the board assignment of a saw's optimiser: every piece cut once, from a board there is
    Accept(AcceptArgs),
    /// Fit the upper plates of a plan to walls as they stand, by lengths measured on site
    Refit(RefitArgs),
    /// Compare two plans of the same house: what was added, removed, changed
    Compare(CompareArgs),
    /// Open the office page: drop drawings, review what was read, edit, download; on this machine alone
    Serve(ServeArgs),
    /// Print the JSON Schema of plan.json, or of the saw's files
    Schema(SchemaArgs),
    /// Explain a finding: what it means, the rule behind it, what to do
    Explain(ExplainArgs),
}

/// Arguments of `inspect`.
#[derive(Debug, ClapArgs)]
#[command(
    after_help = "Exit status: 0 nothing stands in the way of a plan; 1 there is an error among the \
    findings, with which plan gives 1 or 2; 2 the file cannot be looked at."
)]
pub struct InspectArgs {
    /// Drawing: .dxf, .ifc or .ifczip
    pub file: PathBuf,
    /// Print JSON for programs
    #[arg(long)]
    pub json: bool,
    /// Also show every limit: in force, by default, and what of it this drawing took
    #[arg(long = "limits")]
    pub list_limits: bool,
    #[command(flatten)]
    pub settings: InspectSettings,
}

/// The settings that matter to `inspect`.
#[derive(Debug, ClapArgs)]
pub struct InspectSettings {
    /// Settings file (TOML)
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Unit of the drawing, whatever the file says: in, ft, mm, cm or m
    #[arg(long, value_name = "UNIT", value_parser = unit)]
    pub units: Option<Unit>,
    /// How the texts of a DXF are written, whatever it says: 932, 936, 1251, utf-8 and others
    #[arg(long, value_name = "PAGE", value_parser = parse::code_page_from_text)]
    pub code_page: Option<CodePage>,
    /// Set a limit of what a drawing may take, such as seconds=60; may be given several times. inspect
    /// --limits lists them
    #[arg(long = "limit", value_name = "NAME=VALUE", value_parser = limits::from_text)]
    pub limits: Vec<(Limit, u64)>,
}

impl InspectSettings {
    /// The settings in force.
    pub fn load(&self) -> Result<Settings, Refusal> {
        let mut s = files::settings(self.settings.as_deref())?;
        s.units = self.units.or(s.units);
        s.code_page = self.code_page.or(s.code_page);
        s.limits = limited(s.limits, &self.limits);
        Ok(s)
    }
}

/// Arguments of `plan`.
#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    /// Drawing: .dxf, .ifc or .ifczip
    pub file: PathBuf,
    /// Folder for the results; made if it does not exist
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// Project name for the tables and the report
    #[arg(long, default_value = "")]
    pub project: String,
    /// Lot name for the tables and the report [default: the file's name]
    #[arg(long)]
    pub lot: Option<String>,
    /// A reviewer's edits of this drawing (TOML), as the office page keeps them: mapping of layers, single walls
    #[arg(long, value_name = "FILE")]
    pub overrides: Option<PathBuf>,
    /// Boards there are already (CSV: section, length, quantity, grade, label), cut before any is
    /// bought; what is left over is in leftovers.csv in the same form
    #[arg(long, value_name = "FILE")]
    pub stock_on_hand: Option<PathBuf>,
    /// Also write crew sheets, piece labels and cut sheets as PDF, for this paper: letter, a4 or tabloid
    #[arg(long, value_name = "PAPER", value_parser = paper)]
    pub sheets: Option<Paper>,
    /// Write each page of the sheets as SVG as well
    #[arg(long, requires = "sheets")]
    pub svg: bool,
    /// Also write the plates as drawings to lay over the architect's: plates.dxf and plates.ifc
    #[arg(long)]
    pub drawings: bool,
    /// Also write cuts.csv and stock.csv as Parquet, for analysis
    #[arg(long)]
    pub parquet: bool,
    #[command(flatten)]
    pub settings: PlanSettings,
}

impl PlanArgs {
    /// The settings in force, boards on hand included, and the edits: defaults, then the settings file, then
    /// the mapping of the edits, then the flags.
    pub fn load(&self) -> Result<(Settings, Overrides), Refusal> {
        let overrides = match &self.overrides {
            Some(path) => files::overrides(path)?,
            None => Overrides::default(),
        };
        let file = files::settings(self.settings.read.settings.as_deref())?;
        let mut settings = self.settings.override_in(overrides.lay_over(file));
        if let Some(list) = &self.stock_on_hand {
            settings.stock.on_hand = files::on_hand(list)?;
        }
        Ok((settings, overrides))
    }
}

/// Arguments of `batch`.
#[derive(Debug, ClapArgs)]
pub struct BatchArgs {
    /// A folder of drawings, a pattern such as 'plans/*.dxf', or a manifest: CSV with the columns
    /// lot,file and if wanted region,mirror,layers,settings,overrides,group,due, or TOML with a [[lot]] for each
    #[arg(value_name = "MANIFEST_OR_DIR")]
    pub input: PathBuf,
    /// Folder for the results, one folder a lot in it
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
    /// Project name for the tables and the reports
    #[arg(long, default_value = "")]
    pub project: String,
    /// Folder that all paths of the manifest are in [default: the manifest's own]
    #[arg(long, value_name = "DIR")]
    pub drawings: Option<PathBuf>,
    /// How many lots to plan at a time [default: one for each processor]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Go on after an interruption. Every run does: lots that are unchanged are left alone
    #[arg(long, conflicts_with = "force")]
    pub resume: bool,
    /// Plan every lot again, unchanged ones too
    #[arg(long)]
    pub force: bool,
    /// Choose boards over all lots of a group together: writes pool.csv and pool-stock.csv
    #[arg(long)]
    pub pool: bool,
    /// Boards there are already (CSV, as for plan), cut before any is bought; only for the pool
    #[arg(long, value_name = "FILE", requires = "pool")]
    pub stock_on_hand: Option<PathBuf>,
    /// Also write the tables as Parquet, for analysis
    #[arg(long, conflicts_with = "shard")]
    pub parquet: bool,
    /// Plan only slice K of N, without roll-ups; afterwards, run once with --rollup-only
    #[arg(long, value_name = "K/N", conflicts_with_all = ["pool", "rollup_only"])]
    pub shard: Option<subdivision::Shard>,
    /// Plan nothing; write the roll-ups of what is there
    #[arg(long, conflicts_with = "force")]
    pub rollup_only: bool,
    /// Write what happens as JSON lines, for programs; - for standard output
    #[arg(long, value_name = "FILE")]
    pub events: Option<PathBuf>,
    #[command(flatten)]
    pub settings: PlanSettings,
}

/// Arguments of `accept`.
#[derive(Debug, ClapArgs)]
pub struct AcceptArgs {
    /// Folder of results, as plan or batch wrote it
    #[arg(value_name = "OUT")]
    pub out: PathBuf,
    /// The optimiser's boards (CSV: board, section, length_ft or length_mm, piece, and if wanted lot,
    /// position, grade, from)
    #[arg(value_name = "RESULT")]
    pub result: PathBuf,
    /// Boards on hand that may be cut (CSV, as for plan) [default: those the plan was made with]
    #[arg(long, value_name = "FILE")]
    pub stock_on_hand: Option<PathBuf>,
}

/// Arguments of `schema`.
#[derive(Debug, ClapArgs)]
pub struct SchemaArgs {
    /// The saw's files: rows of cuts.csv, cuts-grouped.csv and stock.csv, and the answer that accept reads
    #[arg(long)]
    pub feed: bool,
}

/// Arguments of `refit`.
#[derive(Debug, ClapArgs)]
pub struct RefitArgs {
    /// The plan: plan.json as `plan` wrote it
    pub plan: PathBuf,
    /// Measured walls (CSV: wall, length): R1, R2 ... as in the plan, each along its lower top plate from
    /// end to end, in inches or as a text such as 11'-9 5/8"
    pub measured: PathBuf,
    /// Folder for the results; made if it does not exist
    #[arg(short, long, value_name = "DIR")]
    pub out: PathBuf,
}

/// Arguments of `compare`.
#[derive(Debug, ClapArgs)]
pub struct CompareArgs {
    /// The older plan.json
    pub old: PathBuf,
    /// The newer plan.json
    pub new: PathBuf,
    /// Print JSON for programs
    #[arg(long)]
    pub json: bool,
    /// Also write a drawing of the changes, changes.svg, and changes.json into this folder
    #[arg(short, long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}

/// Arguments of `serve`.
#[derive(Debug, ClapArgs)]
pub struct ServeArgs {
    /// Folder that jobs are kept in: drawings, edits, results; made if it does not exist
    #[arg(long, value_name = "DIR", default_value = "platewright-office")]
    pub folder: PathBuf,
    /// Port to listen on; 0 takes a free one
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub port: u16,
    /// Do not open a browser, only print the address
    #[arg(long)]
    pub no_open: bool,
    /// Settings file (TOML) of new jobs
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Largest drawing taken, megabytes
    #[arg(long, value_name = "MB", default_value_t = 256, value_parser = clap::value_parser!(u32).range(1..=2048))]
    pub upload_limit: u32,
    /// Set a limit of what each job may take, such as seconds=60; may be given several times. A job's own
    /// settings can lower it, never raise it
    #[arg(long = "limit", value_name = "NAME=VALUE", value_parser = limits::from_text)]
    pub limits: Vec<(Limit, u64)>,
    /// Listen on this address instead of the loopback one. Other machines can then read and change every
    /// drawing here: there is no password and no encryption
    #[arg(long, value_name = "IP")]
    pub address: Option<IpAddr>,
}

/// Settings that `plan` and `batch` take from flags; they override the settings file.
#[derive(Debug, ClapArgs)]
pub struct PlanSettings {
    #[command(flatten)]
    pub read: InspectSettings,
    /// Mirror the house: none, x (left and right change places) or y
    #[arg(long, value_name = "AXIS", value_parser = mirror)]
    pub mirror: Option<Mirror>,
    /// Rule set, such as irc-2021
    #[arg(long, value_name = "NAME")]
    pub rules: Option<String>,
    /// Tie where an inside wall meets an outside one: notch, lap or strap
    #[arg(long, value_name = "TIE", value_parser = exterior_tee)]
    pub exterior_tee: Option<ExteriorTee>,
    /// Top of the upper plate where the drawing gives none: inches, or a text such as 8'-1 1/8"
    #[arg(long, value_name = "LENGTH", value_parser = parse::default_top_from_text)]
    pub default_top: Option<Length>,
    /// Plate section where nothing else tells it, such as 2x4
    #[arg(long, value_name = "SECTION", value_parser = parse::section_from_text)]
    pub default_section: Option<Section>,
    /// Unit of the lengths in cuts.csv and cuts-grouped.csv: both, in or mm
    #[arg(long, value_name = "UNIT", value_parser = feed_unit)]
    pub feed_unit: Option<FeedUnit>,
    /// Decimal sign of the CSV files: point, or comma (then semicolons part the columns)
    #[arg(long, value_name = "SIGN", value_parser = decimal)]
    pub feed_decimal: Option<DecimalSign>,
}

impl PlanSettings {
    /// The settings in force: defaults, then the file, then the flags.
    pub fn load(&self) -> Result<Settings, Refusal> {
        Ok(self.override_in(self.read.load()?))
    }
    /// The flags laid over settings that come from elsewhere (a lot's own file).
    pub fn override_in(&self, mut s: Settings) -> Settings {
        s.units = self.read.units.or(s.units);
        s.code_page = self.read.code_page.or(s.code_page);
        s.limits = limited(s.limits, &self.read.limits);
        s.mirror = self.mirror.unwrap_or(s.mirror);
        s.rules = self.rules.clone().unwrap_or(s.rules);
        s.plates.exterior_tee = self.exterior_tee.unwrap_or(s.plates.exterior_tee);
        s.default_top = self.default_top.unwrap_or(s.default_top);
        s.default_section = self.default_section.or(s.default_section);
        s.feed.unit = self.feed_unit.unwrap_or(s.feed.unit);
        s.feed.decimal = self.feed_decimal.unwrap_or(s.feed.decimal);
        s
    }
}

/// Arguments of `explain`.
#[derive(Debug, ClapArgs)]
pub struct ExplainArgs {
    /// The finding's code, such as no-walls; without it, all codes are listed
    pub code: Option<String>,
    /// Explain every code
    #[arg(long, conflicts_with = "code")]
    pub all: bool,
}

/// Limits with those of the flags laid over.
pub(crate) fn limited(limits: Limits, flags: &[(Limit, u64)]) -> Limits {
    flags.iter().fold(limits, |all, (limit, value)| all.with(*limit, *value))
}

fn word<T: Copy>(text: &str, choices: &[(&'static str, T)]) -> Result<T, String> {
    choices.iter().find(|(w, _)| *w == text).map(|(_, t)| *t).ok_or_else(|| {
        let words: Vec<&str> = choices.iter().map(|(w, _)| *w).collect();
        format!("allowed are {}", words.join(", "))
    })
}
fn paper(text: &str) -> Result<Paper, String> {
    word(text, &Paper::ALL.map(|p| (p.name(), p)))
}
fn unit(text: &str) -> Result<Unit, String> {
    word(text, &parse::unit_words())
}
pub(crate) fn mirror(text: &str) -> Result<Mirror, String> {
    word(text, &parse::MIRROR_WORDS)
}
fn feed_unit(text: &str) -> Result<FeedUnit, String> {
    word(text, &parse::FEED_UNIT_WORDS)
}
fn decimal(text: &str) -> Result<DecimalSign, String> {
    word(text, &parse::DECIMAL_WORDS)
}
fn exterior_tee(text: &str) -> Result<ExteriorTee, String> {
    word(text, &parse::EXTERIOR_TEE_WORDS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn flags_are_consistent() {
        Args::command().debug_assert();
    }

    #[test]
    fn flags_override_settings() {
        let args = Args::parse_from([
            "platewright",
            "plan",
            "a.dxf",
            "-o",
            "out",
            "--units",
            "mm",
            "--code-page",
            "ANSI_932",
            "--mirror",
            "x",
            "--rules",
            "r",
            "--exterior-tee",
            "strap",
            "--default-top",
            "8'-1 1/8\"",
            "--default-section",
            "2x6",
            "--feed-unit",
            "mm",
            "--feed-decimal",
            "comma",
            "--limit",
            "walls=7",
            "--limit",
            "seconds=60",
        ]);
        let Command::Plan(plan) = args.command else { panic!("not plan") };
        let (s, _) = plan.load().unwrap();
        assert_eq!((s.units, s.mirror, s.rules.as_str()), (Some(Unit::Millimetre), Mirror::X, "r"));
        assert_eq!(s.code_page.map(|p| p.name()), Some("932"));
        let limits = Limits::default().with(Limit::Walls, 7).with(Limit::Seconds, 60);
        assert_eq!(s.limits, limits);
        assert_eq!(s.plates.exterior_tee, ExteriorTee::Strap);
        assert_eq!(s.default_top, Length::sixteenths(97 * 16 + 2));
        assert_eq!(s.default_section, Some(Section::S2X6));
        assert_eq!((s.feed.unit, s.feed.decimal), (FeedUnit::Millimetres, DecimalSign::Comma));
    }
}
