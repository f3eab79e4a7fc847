//! What the cases share.

use diag::Refusal;
use pipeline::Job;
use plan_model::Document;
pub use platewright_tests::scratch::Scratch;
use serde_json::Value;
use settings::Settings;
use std::ffi::OsString;

/// The settings file of the demo.
pub fn demo_settings() -> Settings {
    settings::parse::from_toml(platewright_tests::demo::SETTINGS, "demo.toml")
        .unwrap_or_else(|e| panic!("{e}"))
}

pub fn plan(file_name: &str, bytes: &[u8], settings: &Settings) -> Result<Document, Refusal> {
    pipeline::plan(Job { file_name, bytes: bytes.into(), settings })
}

/// The bytes of plan.json.
pub fn json_bytes(document: &Document) -> Vec<u8> {
    let files = export::all(document, "", "").unwrap_or_else(|e| panic!("{e}"));
    files.into_iter().find(|f| f.name == "plan.json").expect("plan.json").bytes
}

pub fn json(document: &Document) -> Value {
    serde_json::from_slice(&json_bytes(document)).expect("plan.json is JSON")
}

/// A generated fixture.
pub fn fixture(path: &str) -> Vec<u8> {
    let all = platewright_tests::fixtures::all();
    all.into_iter().find(|(p, _)| *p == path).unwrap_or_else(|| panic!("no fixture {path}")).1
}

/// What a command gave.
pub struct Ran {
    pub status: u8,
    pub out: String,
    pub err: String,
}

/// Runs the command line in this process.
pub fn run(args: &[&str]) -> Ran {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let args = std::iter::once("platewright").chain(args.iter().copied()).map(OsString::from);
    let status = platewright::run(args, &mut out, &mut err, false);
    let text = |b| String::from_utf8(b).expect("UTF-8");
    Ran { status, out: text(out), err: text(err) }
}

/// The results, as a folder lists them.
pub const RESULTS: [&str; 6] =
    ["cuts-grouped.csv", "cuts.csv", "leftovers.csv", "plan.json", "report.html", "stock.csv"];
