//! Findings and refusals as the Python classes of `platewright.findings`.

use diag::codes::output;
use diag::{Finding, Refusal};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The findings as a list of `platewright.Finding`.
pub fn to_python<'py>(py: Python<'py>, findings: &[Finding]) -> PyResult<Bound<'py, PyList>> {
    let class = py.import("platewright.findings")?.getattr("Finding")?;
    let list = PyList::empty(py);
    for finding in findings {
        let info = finding.code.info();
        let named = PyDict::new(py);
        named.set_item("code", info.name)?;
        named.set_item("severity", finding.severity.name())?;
        named.set_item("message", &finding.message)?;
        named.set_item("title", info.title)?;
        named.set_item("meaning", info.meaning)?;
        named.set_item("rule", info.rule)?;
        named.set_item("remedy", info.remedy)?;
        named.set_item("at_nm", finding.at.map(|p| (p.x.nm(), p.y.nm())))?;
        named.set_item("subject", &finding.subject)?;
        let sources: Vec<_> = finding.source.iter().map(|s| (&s.entity, &s.layer)).collect();
        named.set_item("sources", pyo3::types::PyTuple::new(py, sources)?)?;
        list.append(class.call((), Some(&named))?)?;
    }
    Ok(list)
}

/// The refusal as a `platewright.Refused`, ready to be raised.
pub fn refused(py: Python, refusal: &Refusal) -> PyErr {
    let exception = || {
        let findings = to_python(py, &refusal.findings)?;
        py.import("platewright.findings")?.getattr("Refused")?.call1((findings.to_tuple(),))
    };
    exception().map_or_else(|e| e, PyErr::from_value)
}

/// Runs `work` without Python's lock. A refusal becomes the exception `Refused`, and so does a panic, which
/// no drawing may cause.
pub fn unlocked<T: Send>(
    py: Python,
    file_name: &str,
    work: impl FnOnce() -> Result<T, Refusal> + Send,
) -> PyResult<T> {
    // What a panic may have left half-changed is dropped with the refused drawing.
    let done = py.detach(|| catch_unwind(AssertUnwindSafe(work)));
    done.unwrap_or_else(|_| Err(internal(file_name))).map_err(|refusal| refused(py, &refusal))
}

fn internal(file_name: &str) -> Refusal {
    let version = env!("CARGO_PKG_VERSION");
    let message = format!(
        "We are sorry: platewright {version} failed on {file_name}, and it is our mistake. The place is on standard error."
    );
    Refusal::because(Finding::new(output::INTERNAL, message).about(file_name))
}
