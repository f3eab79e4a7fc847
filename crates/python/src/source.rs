//! From a path or bytes and the settings to a drawing that was read.

use crate::drawing::Drawing;
use crate::findings::{refused, unlocked};
use diag::codes::input;
use diag::{Finding, Refusal};
use overrides::Overrides;
use pipeline::Job;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use pyo3::types::PyBytes;
use settings::{Settings, parse};
use std::path::PathBuf;

/// Larger drawings are refused before they are read, as by the command line.
const MOST_BYTES: u64 = 2 << 30;

/// Reads a drawing from a file.
///
/// path: a .dxf, .ifc or .ifczip file.
/// settings: path of a settings file (TOML); settings_toml: its text instead.
/// units: unit of the drawing, whatever the file says: "in", "ft", "mm", "cm" or "m".
/// overrides: path of a reviewer's edits (TOML).
///
/// Raises Refused when the drawing, the settings or the edits cannot be read as such, OSError when a file
/// cannot be opened, ValueError for arguments that do not go together.
#[pyfunction]
#[pyo3(signature = (path, *, settings=None, settings_toml=None, units=None, overrides=None))]
pub fn read_drawing(
    py: Python,
    path: PathBuf,
    settings: Option<PathBuf>,
    settings_toml: Option<&str>,
    units: Option<&str>,
    overrides: Option<PathBuf>,
) -> PyResult<Drawing> {
    let given = Given::load(py, settings, settings_toml, units, overrides)?;
    let (name, bytes) = file(py, path)?;
    given.read(py, bytes.as_bytes(), &name)
}

/// Reads a drawing that is already in memory; file_name is for messages and plan.json, without a folder.
///
/// The other arguments and the exceptions are those of read_drawing.
#[pyfunction]
#[pyo3(signature = (data, file_name, *, settings=None, settings_toml=None, units=None, overrides=None))]
pub fn read_drawing_bytes(
    py: Python,
    data: &[u8],
    file_name: &str,
    settings: Option<PathBuf>,
    settings_toml: Option<&str>,
    units: Option<&str>,
    overrides: Option<PathBuf>,
) -> PyResult<Drawing> {
    if file_name.is_empty() || file_name.contains(['/', '\\']) {
        return Err(PyValueError::new_err(
            "file_name: give the file's name alone, without a folder",
        ));
    }
    Given::load(py, settings, settings_toml, units, overrides)?.read(py, data, file_name)
}

/// What the drawing is read and planned under.
struct Given {
    settings: Settings,
    overrides: Overrides,
}

impl Given {
    /// In the command line's order: defaults, the settings file, the mapping of the edits, the flag.
    fn load(
        py: Python,
        settings: Option<PathBuf>,
        settings_toml: Option<&str>,
        units: Option<&str>,
        overrides: Option<PathBuf>,
    ) -> PyResult<Given> {
        let read = match (settings, settings_toml) {
            (Some(_), Some(_)) => {
                return Err(PyValueError::new_err("give settings or settings_toml, not both"));
            }
            (Some(path), None) => {
                let (name, text) = text(py, path)?;
                parse::from_toml(&text, &name)
            }
            (None, Some(text)) => parse::from_toml(text, "settings_toml"),
            (None, None) => Ok(Settings::default()),
        };
        let read = read.map_err(|refusal| refused(py, &refusal))?;
        let overrides = match overrides {
            Some(path) => {
                let (name, text) = text(py, path)?;
                Overrides::from_toml(&text, &name).map_err(|refusal| refused(py, &refusal))?
            }
            None => Overrides::default(),
        };
        let mut settings = overrides.lay_over(read);
        if let Some(word) = units {
            let words = parse::unit_words();
            let unit = words.iter().find(|(w, _)| *w == word).map(|(_, unit)| *unit);
            let Some(unit) = unit else {
                let words: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
                let message = format!("units is '{word}'; allowed are {}", words.join(", "));
                return Err(PyValueError::new_err(message));
            };
            settings.units = Some(unit);
        }
        Ok(Given { settings, overrides })
    }

    fn read(self, py: Python, bytes: &[u8], file_name: &str) -> PyResult<Drawing> {
        let Given { settings, overrides } = self;
        let job = Job { file_name, bytes: bytes.into(), settings: &settings };
        let reading = unlocked(py, file_name, || pipeline::read(job))?;
        Ok(Drawing { reading, overrides })
    }
}

/// A file's name and bytes. Python opens it, so that its exceptions are those people know.
fn file(py: Python<'_>, path: PathBuf) -> PyResult<(String, Bound<'_, PyBytes>)> {
    let path = py.import("pathlib")?.getattr("Path")?.call1((path,))?;
    let name: String = path.getattr("name")?.extract()?;
    let size: u64 = path.call_method0("stat")?.getattr("st_size")?.extract()?;
    if size > MOST_BYTES {
        let message = format!("{name} has {size} bytes; the limit is {MOST_BYTES}.");
        let finding = Finding::new(input::LIMIT, message).about(name);
        return Err(refused(py, &Refusal::because(finding)));
    }
    let bytes = path.call_method0("read_bytes")?;
    Ok((name, bytes.cast_into::<PyBytes>()?))
}

/// A settings file's name and text.
fn text(py: Python, path: PathBuf) -> PyResult<(String, String)> {
    let (name, bytes) = file(py, path)?;
    match std::str::from_utf8(bytes.as_bytes()) {
        Ok(text) => Ok((name, text.to_owned())),
        Err(_) => {
            let message = format!("{name} is not UTF-8 text; save it again as UTF-8.");
            let finding = Finding::new(input::SETTINGS_BAD, message).about(name);
            Err(refused(py, &Refusal::because(finding)))
        }
    }
}
