//! Which columns each table has. `python/platewright/rows.py` tells them to Python; a test holds the two together.

pub mod boards;
pub mod graph;
pub mod pieces;
pub mod walls;
pub mod walls_read;

use crate::table::{Rows, Table};
use diag::{Finding, Ledger};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// `FindingRow`: the findings once more, flat.
pub fn findings(findings: &[Finding]) -> Table {
    Rows::of(findings)
        .text("code", |f| f.code.name().to_owned())
        .text("severity", |f| f.severity.name().to_owned())
        .text("message", |f| f.message.clone())
        .text("title", |f| f.code.info().title.to_owned())
        .text("subject", |f| f.subject.clone())
        .point_or_none("at", |f| f.at)
        .texts("entities", |f| f.source.iter().map(|s| s.entity.clone()).collect())
        .table()
}

/// `Ledger`: what became of every entity.
pub fn ledger<'py>(py: Python<'py>, ledger: &Ledger) -> PyResult<Bound<'py, PyDict>> {
    let ignored = PyList::empty(py);
    for (reason, entities) in ledger.ignored() {
        let row = PyDict::new(py);
        row.set_item("reason", reason)?;
        row.set_item("count", entities.count)?;
        row.set_item("sample", &entities.sample)?;
        ignored.append(row)?;
    }
    let dict = PyDict::new(py);
    dict.set_item("entities_read", ledger.read())?;
    dict.set_item("used", ledger.used())?;
    dict.set_item("ignored", ignored)?;
    Ok(dict)
}
