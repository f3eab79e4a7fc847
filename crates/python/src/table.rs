//! Tables: columns with a name and a kind, as lists of dicts and as pandas frames.

use geom::{Length, Point};
use pyo3::IntoPyObjectExt;
use pyo3::exceptions::{PyKeyError, PyModuleNotFoundError};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// One value of a table.
pub enum Cell {
    /// `None`.
    Nothing,
    /// `int`.
    Whole(i64),
    /// `float`.
    Decimal(f64),
    /// `bool`.
    Truth(bool),
    /// `str`.
    Text(String),
    /// `list[str]`.
    Texts(Vec<String>),
    /// `list[tuple[int, int]]`, nanometres.
    Points(Vec<Point>),
}

impl Cell {
    fn to_python<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self {
            Cell::Nothing => Ok(py.None().into_bound(py)),
            Cell::Whole(n) => n.into_bound_py_any(py),
            Cell::Decimal(x) => x.into_bound_py_any(py),
            Cell::Truth(b) => b.into_bound_py_any(py),
            Cell::Text(s) => s.into_bound_py_any(py),
            Cell::Texts(list) => list.into_bound_py_any(py),
            Cell::Points(list) => {
                let pairs: Vec<(i64, i64)> = list.iter().map(|p| (p.x.nm(), p.y.nm())).collect();
                pairs.into_bound_py_any(py)
            }
        }
    }
}

/// A column: its name, the pandas type that also holds missing values, and one value a row.
struct Column {
    name: String,
    dtype: &'static str,
    cells: Vec<Cell>,
}

/// A table, ready for Python.
pub struct Table {
    rows: usize,
    columns: Vec<Column>,
}

/// A table while its columns are made from the things its rows are about.
pub struct Rows<R> {
    rows: Vec<R>,
    columns: Vec<Column>,
}

impl<R> Rows<R> {
    /// One row for each thing, in that order.
    pub fn of(rows: impl IntoIterator<Item = R>) -> Rows<R> {
        Rows { rows: rows.into_iter().collect(), columns: Vec::new() }
    }
    fn column(mut self, name: &str, dtype: &'static str, cell: impl Fn(&R) -> Cell) -> Rows<R> {
        let cells = self.rows.iter().map(cell).collect();
        self.columns.push(Column { name: name.to_owned(), dtype, cells });
        self
    }
    /// Text.
    pub fn text(self, name: &str, of: impl Fn(&R) -> String) -> Rows<R> {
        self.column(name, "string", |r| Cell::Text(of(r)))
    }
    /// Text, or nothing.
    pub fn text_or_none(self, name: &str, of: impl Fn(&R) -> Option<String>) -> Rows<R> {
        self.column(name, "string", |r| of(r).map_or(Cell::Nothing, Cell::Text))
    }
    /// A list of ids.
    pub fn texts(self, name: &str, of: impl Fn(&R) -> Vec<String>) -> Rows<R> {
        self.column(name, "object", |r| Cell::Texts(of(r)))
    }
    /// A count.
    pub fn whole(self, name: &str, of: impl Fn(&R) -> i64) -> Rows<R> {
        self.column(name, "Int64", |r| Cell::Whole(of(r)))
    }
    /// A count, or nothing.
    pub fn whole_or_none(self, name: &str, of: impl Fn(&R) -> Option<i64>) -> Rows<R> {
        self.column(name, "Int64", |r| of(r).map_or(Cell::Nothing, Cell::Whole))
    }
    /// A number that is no length.
    pub fn decimal(self, name: &str, of: impl Fn(&R) -> f64) -> Rows<R> {
        self.column(name, "float64", |r| Cell::Decimal(of(r)))
    }
    /// A number that is no length, or nothing.
    pub fn decimal_or_none(self, name: &str, of: impl Fn(&R) -> Option<f64>) -> Rows<R> {
        self.column(name, "float64", |r| of(r).map_or(Cell::Nothing, Cell::Decimal))
    }
    /// Yes or no.
    pub fn truth(self, name: &str, of: impl Fn(&R) -> bool) -> Rows<R> {
        self.column(name, "boolean", |r| Cell::Truth(of(r)))
    }
    /// Yes, no, or not known.
    pub fn truth_or_none(self, name: &str, of: impl Fn(&R) -> Option<bool>) -> Rows<R> {
        self.column(name, "boolean", |r| of(r).map_or(Cell::Nothing, Cell::Truth))
    }
    /// A length: `_nm` exactly and `_in`.
    pub fn length(self, name: &str, of: impl Fn(&R) -> Length) -> Rows<R> {
        self.whole(&format!("{name}_nm"), |r| of(r).nm())
            .decimal(&format!("{name}_in"), |r| of(r).to_inches())
    }
    /// A length, or nothing.
    pub fn length_or_none(self, name: &str, of: impl Fn(&R) -> Option<Length>) -> Rows<R> {
        self.whole_or_none(&format!("{name}_nm"), |r| of(r).map(Length::nm))
            .decimal_or_none(&format!("{name}_in"), |r| of(r).map(Length::to_inches))
    }
    /// A place: `_x` and `_y`, each as a length.
    pub fn point(self, name: &str, of: impl Fn(&R) -> Point) -> Rows<R> {
        self.length(&format!("{name}_x"), |r| of(r).x).length(&format!("{name}_y"), |r| of(r).y)
    }
    /// A place, or none.
    pub fn point_or_none(self, name: &str, of: impl Fn(&R) -> Option<Point>) -> Rows<R> {
        self.length_or_none(&format!("{name}_x"), |r| of(r).map(|p| p.x))
            .length_or_none(&format!("{name}_y"), |r| of(r).map(|p| p.y))
    }
    /// Corners of a polygon, nanometres.
    pub fn points(self, name: &str, of: impl Fn(&R) -> Vec<Point>) -> Rows<R> {
        self.column(name, "object", |r| Cell::Points(of(r)))
    }
    /// The table.
    pub fn table(self) -> Table {
        Table { rows: self.rows.len(), columns: self.columns }
    }
}

impl Table {
    /// A dict for each row, keys in the order of the columns.
    pub fn to_dicts<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyList>> {
        let list = PyList::empty(py);
        for row in 0..self.rows {
            let dict = PyDict::new(py);
            for column in &self.columns {
                let value = column.cells.get(row).unwrap_or(&Cell::Nothing).to_python(py)?;
                dict.set_item(&column.name, value)?;
            }
            list.append(dict)?;
        }
        Ok(list)
    }
}

/// The table as a pandas DataFrame. The type of a column is that of its kind, whatever rows there are.
pub fn frame_of<'py>(py: Python<'py>, table: &Table) -> PyResult<Bound<'py, PyAny>> {
    let pandas = py.import("pandas").map_err(|e| {
        let missing = e.is_instance_of::<PyModuleNotFoundError>(py);
        let why = "frame() needs pandas: pip install pandas";
        if missing { PyModuleNotFoundError::new_err(why) } else { e }
    })?;
    let data = PyDict::new(py);
    for column in &table.columns {
        let cells: PyResult<Vec<_>> = column.cells.iter().map(|c| c.to_python(py)).collect();
        let named = PyDict::new(py);
        named.set_item("dtype", column.dtype)?;
        let series = pandas.call_method("Series", (cells?,), Some(&named))?;
        data.set_item(&column.name, series)?;
    }
    pandas.call_method1("DataFrame", (data,))
}

/// The table of that name, or a `KeyError` that lists the names there are.
pub fn known(name: &str, table: Option<Table>, names: &[&str]) -> PyResult<Table> {
    table.ok_or_else(|| {
        PyKeyError::new_err(format!("no table '{name}'; there are {}", names.join(", ")))
    })
}
