//! What the fuzz targets share.
//!
//! Knows: which settings a drawing is tried under, what must hold of a plan whatever it was made of ([`judge`]). Never touches: the product's decisions;
//! a target that fails has found a fault there.

#![forbid(unsafe_code)]

pub mod judge;

pub use invented_houses::{house, seeded};

use geom::Unit;
use limits::Limit;
use pipeline::Job;
use settings::{LayerRule, LayerUse, Mirror, Settings};

/// The settings a drawing is tried under. A saved input is a plain drawing, so its length chooses: with
/// the unit given, mirrored, with every layer taken for a wall.
pub fn settings_for(drawing: &[u8]) -> Settings {
    let mut settings = Settings::default();
    // Walls of many miles are cut into pieces by the thousand, minutes long under the fuzzer's counters.
    settings.limits = settings.limits.with(Limit::Seconds, 10);
    let choice = drawing.len();
    if choice & 1 == 1 {
        settings.units =
            Some([Unit::Inch, Unit::Millimetre, Unit::Foot, Unit::Metre][choice >> 2 & 3]);
    }
    if choice & 2 == 2 {
        settings.mirror = if choice & 16 == 0 { Mirror::X } else { Mirror::Y };
    }
    if choice & 12 == 12 {
        settings.layers = vec![LayerRule {
            pattern: "*".into(),
            usage: LayerUse::Wall,
            exterior: None,
            bearing: None,
            section: None,
            top: None,
            roof: None,
        }];
    }
    settings
}

/// Plans a drawing as the command line does, and judges what comes out.
pub fn plan(file_name: &str, drawing: &[u8]) {
    let settings = settings_for(drawing);
    match pipeline::plan(Job { file_name, bytes: drawing.into(), settings: &settings }) {
        Ok(document) => judge::document(&document),
        Err(refusal) => judge::refusal(&refusal),
    }
}
