//! Writes a finished document for others to read: `plan.json`, the saw's CSV files, the boards, and
//! the printed report.
//!
//! Knows: the output contract (field and column names), how lengths are printed, how a spreadsheet
//! and a browser must be protected from a stranger's text. Never touches: files, clocks, drawings,
//! or any decision about the plan; it adds up, names and lays out what [`Document`] holds.
//!
//! Every writer is a pure function from the document to text, so the same document gives the same
//! bytes. [`feed`] and `docs/saw-feed.md` are the dictionary of the CSV columns, [`schema_json`] that of
//! `plan.json`, `docs/visual-language.md` tells how the drawings are to be read.

pub mod check;
mod csv;
pub mod feed;
pub mod groups;
mod html;
mod json;
pub mod measure;
pub mod shape;
mod table;
pub mod text;
pub mod view;

pub use csv::board_name;
pub use table::{Column, Kind, Table, harmless, in_form, separator};

use plan_model::Document;
use view::View;

/// A file of the result, ready to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputFile {
    /// File name inside the result folder.
    pub name: &'static str,
    /// Its bytes, UTF-8.
    pub bytes: Vec<u8>,
}

/// Why nothing was written. All of these are faults of the program, not of the drawing.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// An id in the document points at nothing.
    #[error("{holder} names {id}, which the plan does not have; nothing was written")]
    Dangling {
        /// What holds the id.
        holder: String,
        /// The id, as printed.
        id: String,
    },
    /// A number in the document cannot be written.
    #[error("{holder} is {value}, which is not a number a file can hold; nothing was written")]
    NotANumber {
        /// What holds the number.
        holder: String,
        /// It.
        value: f64,
    },
    /// The JSON writer failed.
    #[error("plan.json could not be composed: {0}")]
    Json(#[from] serde_json::Error),
    /// The report cannot be parted where it names project and lot.
    #[error("report.html has a control character in it; nothing was written")]
    Gaps,
    /// The CSV writer failed.
    #[error("a CSV file could not be composed: {0}")]
    Csv(String),
}

/// Every file of the result: `plan.json`, `cuts.csv`, `cuts-grouped.csv`, `stock.csv`,
/// `leftovers.csv`, `report.html`, in this order. `project` and `lot` are free text, and may be empty.
pub fn all(doc: &Document, project: &str, lot: &str) -> Result<Vec<OutputFile>, ExportError> {
    let mut files = Files::of(doc)?;
    let [cuts, report] = files.for_one_lot(project, lot)?;
    let rest = files.for_any_lot.split_off(1);
    Ok(files.for_any_lot.into_iter().chain([cuts]).chain(rest).chain([report]).collect())
}

/// The files of a plan, made once for all lots that have it.
pub struct Files {
    /// Those that name neither project nor lot: `plan.json`, `cuts-grouped.csv`, `stock.csv` and
    /// `leftovers.csv`.
    pub for_any_lot: Vec<OutputFile>,
    cuts: csv::Cuts,
    page: html::Page,
}

impl Files {
    /// Of a finished plan.
    ///
    /// # Errors
    /// When the document is not whole, which is a fault of the program.
    pub fn of(doc: &Document) -> Result<Files, ExportError> {
        let view = View::of(doc)?;
        // The page is about as much work as all else.
        let (page, lists) = rayon::join(|| html::Page::of(&view), || lists(&view));
        let (for_any_lot, cuts) = lists?;
        Ok(Files { for_any_lot, cuts, page: page? })
    }
    /// The other two, `cuts.csv` and `report.html`.
    ///
    /// # Errors
    /// When a CSV file cannot be composed, which is a fault of the program.
    pub fn for_one_lot(&self, project: &str, lot: &str) -> Result<[OutputFile; 2], ExportError> {
        Ok([
            file("cuts.csv", self.cuts.text(project, lot)?),
            file("report.html", self.page.report(project, lot)),
        ])
    }
}

fn lists(view: &View) -> Result<(Vec<OutputFile>, csv::Cuts), ExportError> {
    let for_any_lot = vec![
        file("plan.json", json::plan(view)?),
        file("cuts-grouped.csv", csv::cuts_grouped(view)?),
        file("stock.csv", csv::stock(view)?),
        file("leftovers.csv", csv::leftovers(view)?),
    ];
    Ok((for_any_lot, csv::Cuts::of(view)))
}

fn file(name: &'static str, text: String) -> OutputFile {
    OutputFile { name, bytes: text.into_bytes() }
}

/// `plan.json`: everything, in the form [`schema_json`] describes.
pub fn plan_json(doc: &Document) -> Result<String, ExportError> {
    json::plan(&View::of(doc)?)
}

/// `cuts.csv`: one row a piece.
pub fn cuts_csv(doc: &Document, project: &str, lot: &str) -> Result<String, ExportError> {
    csv::Cuts::of(&View::of(doc)?).text(project, lot)
}

/// `cuts-grouped.csv`: equal pieces counted together.
pub fn cuts_grouped_csv(doc: &Document) -> Result<String, ExportError> {
    csv::cuts_grouped(&View::of(doc)?)
}

/// `stock.csv`: one row a piece, by the board it is cut from.
pub fn stock_csv(doc: &Document) -> Result<String, ExportError> {
    csv::stock(&View::of(doc)?)
}

/// `leftovers.csv`: boards on hand that are not needed and offcuts worth keeping, in the form
/// [`settings::on_hand`] reads.
pub fn leftovers_csv(doc: &Document) -> Result<String, ExportError> {
    csv::leftovers(&View::of(doc)?)
}

/// `report.html`: one page that needs nothing else.
pub fn report_html(doc: &Document, project: &str, lot: &str) -> Result<String, ExportError> {
    Ok(html::Page::of(&View::of(doc)?)?.report(project, lot))
}

/// The report's drawing of one storey.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Index of the storey.
    pub storey: usize,
    /// Its name for people.
    pub name: String,
    /// Of the drawing, plan inches with y turned down.
    pub view_box: String,
    /// Height of its letters, inches.
    pub font_size: f64,
    /// Its groups: well-formed SVG without styles and scripts.
    pub svg: String,
}

/// The report's drawings, and the JSON its script reads, for another page to show.
pub fn pictures(doc: &Document) -> Result<(Vec<Picture>, String), ExportError> {
    Ok(html::pictures(&View::of(doc)?))
}

/// The JSON Schema (2020-12) of `plan.json`. It is made from the very structures `plan.json` is
/// written with, allows further fields, and ends with a line feed.
pub fn schema_json() -> String {
    json::schema()
}
