//! A reviewer's edits of one drawing: the mapping of its layers, changes of single walls, walls taken out,
//! walls drawn in, ends moved to meet.
//!
//! Knows: the overrides file (`docs/overrides.md`), how a wall is found again after the drawing was saved
//! anew, what each edit does to the wall model. Never touches: files, formats of drawings, junctions,
//! plates.
//!
//! The way: text to [`Form`] (`form`), the form checked to [`Overrides`] (`check`), its mapping laid over
//! the settings ([`Overrides::lay_over`]), the drawing read under those, then [`apply`]. What does not fit
//! is a finding, never passed over.

mod apply;
mod check;
mod find;
mod form;
mod place;
mod write;

pub use apply::{Applied, Found, WallFrom, apply};
pub use check::{LONGEST, MOST};
pub use form::{
    AddedForm, End, Form, LayerForm, RemovedForm, SnapForm, VERSION, WallForm, WallRef,
};
pub use place::Placing;
pub use write::to_toml;

use diag::{Finding, Refusal, codes::edits};
use geom::{Length, Unit};
use lumber::Section;
use settings::{LayerRule, Mirror, Settings};

/// Edits that were checked: every word and number is one that can be used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overrides {
    form: Form,
    units: Option<Unit>,
    mirror: Option<Mirror>,
    layers: Vec<LayerRule>,
    walls: Vec<Change>,
    added: Vec<Change>,
}

/// What an edit says about a wall; `None` leaves it as it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Change {
    section: Option<Section>,
    exterior: Option<bool>,
    bearing: Option<bool>,
    top: Option<Length>,
}

impl Overrides {
    /// Reads an overrides file. `file_name` is only for messages.
    ///
    /// # Errors
    /// One `overrides-bad` finding for each mistake.
    pub fn from_toml(text: &str, file_name: &str) -> Result<Overrides, Refusal> {
        let bad =
            |what: String| Finding::new(edits::BAD, format!("{file_name}{what}.")).about(file_name);
        let form = Form::from_toml(text).map_err(|what| Refusal::because(bad(what)))?;
        Overrides::checked(form).map_err(|mistakes| Refusal {
            findings: mistakes.into_iter().map(|m| bad(format!(": {m}"))).collect(),
        })
    }

    /// Checks a form: the mistakes in it, each a sentence without its full stop.
    ///
    /// # Errors
    /// When there is a mistake.
    pub fn checked(form: Form) -> Result<Overrides, Vec<String>> {
        check::check(form)
    }

    /// As written.
    pub fn form(&self) -> &Form {
        &self.form
    }

    /// Whether nothing is overridden.
    pub fn is_empty(&self) -> bool {
        let Form { version: _, units, mirror, region, layers, walls, removed, added, snaps } =
            &self.form;
        units.is_none()
            && mirror.is_none()
            && region.is_empty()
            && layers.is_empty()
            && walls.is_empty()
            && removed.is_empty()
            && added.is_empty()
            && snaps.is_empty()
    }

    /// The settings with unit, mirror, regions and mapping of these edits: before the settings' own
    /// layers, and in place of the settings' own unit, mirror and regions.
    pub fn lay_over(&self, mut settings: Settings) -> Settings {
        settings.units = self.units.or(settings.units);
        settings.mirror = self.mirror.unwrap_or(settings.mirror);
        if !self.form.region.is_empty() {
            settings.regions.clone_from(&self.form.region);
        }
        settings.layers.splice(0..0, self.layers.iter().cloned());
        settings
    }
}

#[cfg(test)]
mod tests;
