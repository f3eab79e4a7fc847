//! A drawing that was read.

use crate::findings::{to_python, unlocked};
use crate::plan::Plan;
use crate::table::{Table, frame_of};
use crate::tables::{graph, ledger, walls_read};
use overrides::Overrides;
use pipeline::Reading;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// A drawing that was read: its walls before anything is planned.
///
/// Places are in the plan's own frame: x right, y up, the drawing's origin (origin_in) taken off.
#[pyclass(frozen, module = "platewright")]
pub struct Drawing {
    /// What the reader made.
    pub reading: Reading,
    /// A reviewer's edits, done when it is planned.
    pub overrides: Overrides,
}

/// The tables of a drawing, by name.
const TABLES: [&str; 3] = ["storeys", "walls", "findings"];

impl Drawing {
    fn table_of(&self, name: &str) -> Option<Table> {
        let Reading { model, findings, .. } = &self.reading;
        Some(match name {
            "storeys" => walls_read::storeys(&model.storeys),
            "walls" => walls_read::walls(model),
            "findings" => crate::tables::findings(findings),
            _ => return None,
        })
    }
}

#[pymethods]
impl Drawing {
    /// Names that table() and frame() take.
    #[classattr]
    #[pyo3(name = "TABLES")]
    fn tables() -> (&'static str, &'static str, &'static str) {
        let [storeys, walls, findings] = TABLES;
        (storeys, walls, findings)
    }
    /// The file's name alone.
    #[getter]
    fn file_name(&self) -> &str {
        &self.reading.source.file
    }
    /// SHA-256 of the file, lower-case hex.
    #[getter]
    fn sha256(&self) -> &str {
        &self.reading.source.sha256
    }
    /// "dxf" or "ifc".
    #[getter]
    fn format(&self) -> &'static str {
        self.reading.source.format.name()
    }
    /// The file's version, as it says.
    #[getter]
    fn version(&self) -> &str {
        &self.reading.source.version
    }
    /// The drawing's unit: "in", "ft", "mm", "cm", "m", or the file's own word for a rarer one.
    #[getter]
    fn units(&self) -> &str {
        &self.reading.source.units.name
    }
    /// Inches in one unit of the drawing.
    #[getter]
    fn inches_per_unit(&self) -> f64 {
        self.reading.source.units.inches_per_unit
    }
    /// What decided the unit, in one sentence.
    #[getter]
    fn units_decided_by(&self) -> &str {
        &self.reading.source.units.decided_by
    }
    /// What was taken off the drawing's coordinates, inches.
    #[getter]
    fn origin_in(&self) -> (f64, f64) {
        self.reading.model.origin_inches
    }
    /// What the reader has to say, in the order found.
    #[getter]
    fn findings<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        to_python(py, &self.reading.findings)
    }
    /// The storeys, lowest first.
    fn storeys<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "storeys")
    }
    /// The walls as read, by their framing centreline, before ends are brought together.
    fn walls<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        self.table(py, "walls")
    }
    /// The rows of a table, one of TABLES, as dicts. Raises KeyError for another name.
    fn table<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyList>> {
        crate::table::known(name, self.table_of(name), &TABLES)?.to_dicts(py)
    }
    /// A table, one of TABLES, as a pandas DataFrame. Raises ModuleNotFoundError where pandas is not
    /// installed, KeyError for another name.
    fn frame<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
        frame_of(py, &crate::table::known(name, self.table_of(name), &TABLES)?)
    }
    /// What became of every entity of the drawing.
    fn ledger<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        ledger(py, &self.reading.model.ledger)
    }
    /// How the walls hang together, without a reviewer's edits: walls, runs and junctions counted.
    fn graph_summary<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let Reading { model, settings, source, .. } = &self.reading;
        let graph = unlocked(py, &source.file, || Ok(wall_graph::build(model, settings)))?;
        graph::summary(py, &graph.value, &graph.findings)
    }
    /// Plans the plates. Other Python threads run meanwhile. Raises Refused when no wall can be planned.
    fn plan(&self, py: Python) -> PyResult<Plan> {
        let Drawing { reading, overrides } = self;
        let planned = unlocked(py, &reading.source.file, || {
            pipeline::plan_reading(reading.clone(), overrides)
        })?;
        Ok(Plan { document: planned.document })
    }
    fn __repr__(&self) -> String {
        let Reading { source, model, .. } = &self.reading;
        format!("<platewright.Drawing {}: {} walls>", source.file, model.walls.len())
    }
}
