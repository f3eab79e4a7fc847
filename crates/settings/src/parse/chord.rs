//! The `[chord]` table.

use super::reading::{Reading, Value};
use crate::{ChordForce, ChordSettings, Species};

/// `chord.species`, as words.
pub(super) const SPECIES_WORDS: [(&str, Species); 4] = {
    let all =
        [Species::SouthernPine, Species::DouglasFirLarch, Species::HemFir, Species::SprucePineFir];
    [
        (all[0].name(), all[0]),
        (all[1].name(), all[1]),
        (all[2].name(), all[2]),
        (all[3].name(), all[3]),
    ]
};

/// Far over any house's diaphragm.
const FORCE_LB: std::ops::RangeInclusive<f64> = 1.0..=1_000_000.0;
const LOAD_PLF: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;
const FEET: std::ops::RangeInclusive<f64> = 1.0..=1_000.0;
/// NDS table 2.3.2: 0.9 for dead load, 2.0 for impact.
const DURATION: std::ops::RangeInclusive<f64> = 0.9..=2.0;

/// The table; `None` with a mistake noted when it does not say the force in one way.
pub(super) fn chord(r: &mut Reading, v: &Value) -> Option<ChordSettings> {
    let table = r.table(v)?;
    let at = v.span().start;
    let (mut force, mut load, mut span, mut depth) = (None, None, None, None);
    let (mut species, mut duration, mut nail) = (Species::SprucePineFir, 1.6, None);
    let mut given = [false; 4];
    r.each(table, "chord", |r, key, v| match key {
        "force_lb" => (given[0], force) = (true, r.number(v, FORCE_LB, "pounds")),
        "load_plf" => (given[1], load) = (true, r.number(v, LOAD_PLF, "pounds per foot")),
        "span_ft" => (given[2], span) = (true, r.number(v, FEET, "feet")),
        "depth_ft" => (given[3], depth) = (true, r.number(v, FEET, "feet")),
        "species" => r.word(v, &SPECIES_WORDS).into_iter().for_each(|w| species = w),
        "duration" => r.number(v, DURATION, "(no unit)").into_iter().for_each(|n| duration = n),
        _ => nail = r.text(v),
    });
    let force = match given {
        [true, false, false, false] => ChordForce::Pounds(force?),
        [false, true, true, true] => {
            ChordForce::Diaphragm { load_plf: load?, span_ft: span?, depth_ft: depth? }
        }
        _ => {
            let what = "give either force_lb, or load_plf, span_ft and depth_ft together";
            r.bad(at, "chord", what.to_owned());
            return None;
        }
    };
    Some(ChordSettings { force, species, duration, nail })
}
