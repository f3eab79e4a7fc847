//! `plan.json` and its schema.

mod build;
mod format;
mod settings;
mod types;

pub(crate) use settings::SettingsOut;

use crate::ExportError;
use crate::view::View;
use serde::Serialize;

/// The version of the contract, as every file states it.
pub(crate) const SCHEMA: &str = "platewright/plan/1";

/// The whole document as JSON, one item of a list a line, with a line feed at the end.
pub(crate) fn plan(view: &View) -> Result<String, ExportError> {
    let mut out = Vec::with_capacity(2_048 + 1_024 * view.doc.plan.pieces.len());
    let mut writer = serde_json::Serializer::with_formatter(&mut out, format::Lines::default());
    build::plan(view).serialize(&mut writer)?;
    out.push(b'\n');
    // The serializer writes nothing but UTF-8; lossy is the way to say so without a panic.
    Ok(match String::from_utf8(out) {
        Ok(text) => text,
        Err(e) => String::from_utf8_lossy(e.as_bytes()).into_owned(),
    })
}

/// The JSON Schema of [`plan`]'s text.
pub(crate) fn schema() -> String {
    let schema = schemars::schema_for!(types::PlanOut);
    format!("{:#}\n", schema.to_value())
}
