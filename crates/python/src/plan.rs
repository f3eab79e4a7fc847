//! A finished plan.

use crate::findings::{to_python, unlocked};
use crate::table::{Table, frame_of, known};
use crate::tables::{boards, graph, ledger, pieces, walls};
use diag::codes::output;
use diag::{Finding, Refusal, Severity};
use plan_model::Document;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict, PyList};
use std::path::Path;

/// A plan of one drawing's plates, proven by the program's verifier.
///
/// Every method that returns rows returns a list of dicts; frame() returns the same as a pandas DataFrame.
/// Lengths are whole nanometres (_nm, exact), inches (_in) and the text that is printed (_text). Places are in
/// the plan's own frame: x right, y up, the drawing's origin (origin_in) taken off.
#[pyclass(frozen, module = "platewright")]
pub struct Plan {
    /// Everything there is to say about the drawing.
    pub document: Document,
}

/// The tables of a plan, by name.
const TABLES: [&str; 19] = [
    "storeys",
    "walls",
    "openings",
    "sources",
    "runs",
    "junctions",
    "arms",
    "pieces",
    "notches",
    "marks",
    "nails",
    "ties",
    "joints",
    "boards",
    "stock",
    "fasteners",
    "rules",
    "checks",
    "findings",
];

impl Plan {
    fn table_of(&self, name: &str) -> Option<Table> {
        let doc = &self.document;
        Some(match name {
            "storeys" => crate::tables::walls_read::storeys(&doc.floor.storeys),
            "walls" => walls::walls(&doc.floor),
            "openings" => walls::openings(&doc.floor),
            "sources" => walls::sources(&doc.floor),
            "runs" => graph::runs(&doc.floor),
            "junctions" => graph::junctions(&doc.floor),
            "arms" => graph::arms(&doc.floor),
            "pieces" => pieces::pieces(doc),
            "notches" => pieces::notches(&doc.plan),
            "marks" => pieces::marks(&doc.plan),
            "nails" => pieces::nails(&doc.plan),
            "ties" => graph::ties(&doc.plan),
            "joints" => graph::joints(&doc.plan),
            "boards" => boards::boards(doc),
            "stock" => boards::stock(doc),
            "fasteners" => boards::fasteners(&doc.plan),
            "rules" => boards::rules(&doc.plan),
            "checks" => boards::checks(doc),
            "findings" => crate::tables::findings(&doc.findings),
            _ => return None,
        })
    }
    fn written<T: Send>(
        &self,
        py: Python,
        write: impl FnOnce(&Document) -> Result<T, export::ExportError> + Send,
    ) -> PyResult<T> {
        let doc = &self.document;
        unlocked(py, &doc.source.file, || {
            write(doc)
                .map_err(|e| Refusal::because(Finding::new(output::INTERNAL, format!("{e}."))))
        })
    }
}

#[pymethods]
impl Plan {
    /// Names that table() and frame() take.
    #[classattr]
    #[pyo3(name = "TABLES")]
    fn tables(py: Python<'_>) -> PyResult<Bound<'_, pyo3::types::PyTuple>> {
        pyo3::types::PyTuple::new(py, TABLES)
    }
    /// The drawing's file name alone.
    #[getter]
    fn file_name(&self) -> &str {
        &self.document.source.file
    }
    /// SHA-256 of the drawing, lower-case hex.
    #[getter]
    fn sha256(&self) -> &str {
        &self.document.source.sha256
    }
    /// What was taken off the drawing's coordinates, inches.
    #[getter]
    fn origin_in(&self) -> (f64, f64) {
        self.document.origin_inches
    }
    /// Everything a person should know: errors first, then warnings, then notes.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        to_python(py, &self.document.findings)
    }
    /// Whether a wall is left out or a tie could not be made: the command line's exit status 1.
    #[getter]
    fn has_errors(&self) -> bool {
        self.document.findings.iter().any(|f| f.severity == Severity::Error)
    }
    /// The storeys, lowest first.
    fn storeys<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "storeys")
    }
    /// The walls, their ends brought to nodes.
    fn walls<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "walls")
    }
    /// Doors, windows and other openings, by wall.
    fn openings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "openings")
    }
    /// The drawing's entities that each wall came from.
    fn sources<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "sources")
    }
    /// Straight chains of walls of one section, base and top.
    fn runs<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "runs")
    }
    /// Places where runs meet or end.
    fn junctions<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "junctions")
    }
    /// The runs at each junction.
    fn arms<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "arms")
    }
    /// The plates to cut.
    fn pieces<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "pieces")
    }
    /// Bites out of pieces' edges, by piece.
    fn notches<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "notches")
    }
    /// Pencil marks on pieces, by piece.
    fn marks<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "marks")
    }
    /// Nails, by piece.
    fn nails<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "nails")
    }
    /// What holds runs together at junctions, and splice plates along runs.
    fn ties<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "ties")
    }
    /// Places where a layer of a run is interrupted or ends.
    fn joints<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "joints")
    }
    /// Boards and what is cut from each.
    fn boards<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "boards")
    }
    /// Boards to buy, summed by lumber.
    fn stock<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "stock")
    }
    /// Nails and hardware, summed by purpose.
    fn fasteners<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "fasteners")
    }
    /// The rules in force, each with its source.
    fn rules<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "rules")
    }
    /// What the verifier proved, with how many places it looked at and how many broke the rule.
    fn checks<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "checks")
    }
    /// The rows of a table, one of TABLES, as dicts. Raises KeyError for another name.
    fn table<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyList>> {
        known(name, self.table_of(name), &TABLES)?.to_dicts(py)
    }
    /// A table, one of TABLES, as a pandas DataFrame. Raises ModuleNotFoundError where pandas is not
    /// installed, KeyError for another name.
    fn frame<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        frame_of(py, &known(name, self.table_of(name), &TABLES)?)
    }
    /// What became of every entity of the drawing.
    fn ledger<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        ledger(py, &self.document.ledger)
    }
    /// How the walls hang together: walls, runs and junctions counted.
    fn graph_summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        graph::summary(py, &self.document.floor, &self.document.findings)
    }
    /// plan.json, byte for byte as the command line writes it.
    fn plan_json<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyBytes>> {
        let text = self.written(py, export::plan_json)?;
        Ok(PyBytes::new(py, text.as_bytes()))
    }
    /// The files of the command line's `plan`, name to bytes, byte for byte: plan.json, cuts.csv,
    /// cuts-grouped.csv, stock.csv, leftovers.csv, report.html.
    ///
    /// project and lot are free text for the tables and the report; lot left out is the file's name without
    /// its ending. Nothing is written to disk.
    #[pyo3(signature = (*, project="", lot=None))]
    fn files<'py>(
        &self,
        py: Python<'py>,
        project: &str,
        lot: Option<&str>,
    ) -> PyResult<Bound<'py, PyDict>> {
        let file = Path::new(&self.document.source.file);
        let stem = file.file_stem().unwrap_or(file.as_os_str()).to_string_lossy();
        let lot = lot.unwrap_or(&stem);
        let files = self.written(py, |doc| export::all(doc, project, lot))?;
        let named = PyDict::new(py);
        for file in files {
            named.set_item(file.name, PyBytes::new(py, &file.bytes))?;
        }
        Ok(named)
    }
    fn __repr__(&self) -> String {
        let doc = &self.document;
        format!(
            "<platewright.Plan {}: {} walls, {} pieces, {} findings>",
            doc.source.file,
            doc.floor.walls.len(),
            doc.plan.pieces.len(),
            doc.findings.len()
        )
    }
}
