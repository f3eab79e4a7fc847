//! platewright for Python: a drawing in, its walls, its wall graph and its plan out, as Python objects.
//!
//! Knows: how the pipeline's values look from Python. Never touches: geometry, plates, file formats; every
//! number comes from the pipeline, and `plan.json` is [`export`]'s own.
//!
//! The Python half of the package is in `python/platewright`: findings and the exception are plain
//! dataclasses there (so that they can be pickled), the rows are `TypedDict`s in `rows.py`. Planning lets
//! go of Python's lock; a panic on the way is the finding `internal-error`, like any other refusal.

mod drawing;
mod findings;
mod plan;
mod source;
mod table;
mod tables;

use pyo3::prelude::*;

/// The compiled half of the package `platewright`, which is where to import from.
#[pymodule]
mod _native {
    #[pymodule_export]
    use crate::drawing::Drawing;
    #[pymodule_export]
    use crate::plan::Plan;
    #[pymodule_export]
    use crate::source::{read_drawing, read_drawing_bytes};

    #[pymodule_export]
    const VERSION: &str = env!("CARGO_PKG_VERSION");
}
