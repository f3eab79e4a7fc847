//! A job's result files: the command line's own, and a zip of all.

use crate::folder::ZIP;
use crate::job::{JobId, Record};
use crate::office::Office;
use crate::problem::{Answer, Problem};
use crate::shelf::Texts;
use plan_model::Document;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Makes and writes all results of a record's edition.
pub(crate) fn write(
    office: &Office,
    id: &JobId,
    record: &Record,
    texts: &Texts,
    document: &Document,
) -> Answer<()> {
    let mut files = all(record, document)?;
    let zipped = zipped(&files, record, texts).map_err(|e| Problem::internal(&e.to_string()))?;
    files.push((ZIP.to_owned(), zipped));
    let written = office.folder.write_results(id, record.edition, &files);
    written.map_err(|e| Problem::disk("the results", &e))
}

/// What `platewright plan --sheets PAPER --drawings` writes, byte for byte.
fn all(record: &Record, document: &Document) -> Answer<Vec<(String, Vec<u8>)>> {
    fn failed(e: impl std::fmt::Display) -> Problem {
        Problem::internal(&e.to_string())
    }
    let (project, lot) = (record.project.as_str(), record.lot_name());
    let outputs = export::all(document, project, lot).map_err(failed)?;
    let mut files: Vec<(String, Vec<u8>)> =
        outputs.into_iter().map(|f| (f.name.to_owned(), f.bytes)).collect();
    files.extend(sheets::pdfs(document, project, lot, record.paper()).map_err(failed)?);
    files.extend(drawings::all(document).map_err(failed)?);
    Ok(files)
}

/// The files in one, with the texts the plan was made under; no clock in it.
fn zipped(
    files: &[(String, Vec<u8>)],
    record: &Record,
    texts: &Texts,
) -> zip::result::ZipResult<Vec<u8>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let overrides = format!("{}.overrides.toml", crate::names::download(&record.file));
    let more = [(overrides.as_str(), &texts.overrides), ("settings.toml", &texts.settings)];
    let more = more.into_iter().filter(|(_, t)| !t.is_empty()).map(|(n, t)| (n, t.as_bytes()));
    for (name, bytes) in files.iter().map(|(n, b)| (n.as_str(), &b[..])).chain(more) {
        zip.start_file(name, options)?;
        zip.write_all(bytes)?;
    }
    Ok(zip.finish()?.into_inner())
}

/// What a result file is, in a few words, and its media type.
pub(crate) fn described(name: &str) -> (&'static str, &'static str) {
    const CSV: &str = "text/csv; charset=utf-8";
    const PDF: &str = "application/pdf";
    match name {
        "plan.json" => ("everything, for programs", "application/json"),
        "cuts.csv" => ("every piece, for the saw", CSV),
        "cuts-grouped.csv" => ("equal pieces counted together", CSV),
        "stock.csv" => ("boards to buy and what is cut from each", CSV),
        "leftovers.csv" => ("offcuts worth keeping", CSV),
        "report.html" => ("the report: one page for screen and paper", "text/html; charset=utf-8"),
        "plates.dxf" => ("the plates, to lay over the drawing", "image/vnd.dxf"),
        "plates.ifc" => ("the plates as a model", "application/x-step"),
        n if n.starts_with("crew-") => ("crew sheets", PDF),
        n if n.starts_with("labels-") => ("piece labels", PDF),
        n if n.starts_with("cut-sheet-") => ("cut sheets, a board each", PDF),
        _ => ("result", "application/octet-stream"),
    }
}

/// The order people look for them in.
pub(crate) fn rank(name: &str) -> usize {
    const ORDER: [&str; 11] = [
        "report.html",
        "crew-",
        "cut-sheet-",
        "labels-",
        "cuts.csv",
        "cuts-grouped.csv",
        "stock.csv",
        "leftovers.csv",
        "plates.dxf",
        "plates.ifc",
        "plan.json",
    ];
    ORDER.iter().position(|o| name.starts_with(o)).unwrap_or(ORDER.len())
}
