//! Settings from TOML, and back.
//!
//! Every mistake in a file is reported at once, each with its line, because a person corrects a file
//! in one sitting. A key nobody knows is an error: a typing slip that is passed over silently would
//! change a cut list without anybody noticing.
//!
//! Lengths are decimal inches (`97.125`) or texts with their unit (`"7'-6 1/2\""`, `"89mm"`).

mod chord;
mod nearest;
pub(crate) use reading::no_section;
mod reading;
mod write;

pub use nearest::nearest;
pub use write::to_toml;

use crate::{
    CodePage, CurvedWalls, DecimalSign, ExteriorTee, FeedUnit, LayerRule, LayerUse, Limit, Limits,
    Mirror, Roof, Settings, StockSettings, Uphill,
};
use diag::{Finding, Refusal, codes::input};
use geom::{Length, Unit};
use lumber::Section;
use reading::{Known, Range, Reading, Value};
use std::collections::BTreeMap;
use toml::de::DeTable;

/// The tables of a settings file and the keys of each; the empty name is the top level.
pub(crate) const TABLES: &[Known] = &[
    Known {
        name: "",
        keys: &[
            "units",
            "mirror",
            "curved_walls",
            "code_page",
            "default_top",
            "default_section",
            "rules",
            "region",
            "layers",
            "plates",
            "studs",
            "stock",
            "framing",
            "graph",
            "chord",
            "feed",
            "limits",
        ],
    },
    Known {
        name: "layers",
        keys: &["match", "use", "exterior", "bearing", "section", "top", "rise_in_12", "uphill"],
    },
    Known {
        name: "plates",
        keys: &[
            "joint_offset",
            "upper_clearance",
            "notch_depth",
            "notch_side_clearance",
            "exterior_tee",
            "short_piece",
            "bottom",
            "foundation",
        ],
    },
    Known { name: "studs", keys: &["spacing"] },
    Known { name: "stock", keys: &["lengths_ft", "prices", "kerf", "end_trim"] },
    Known { name: "framing", keys: &["materials", "finishes"] },
    Known { name: "graph", keys: &["snap"] },
    Known { name: "feed", keys: &["unit", "decimal"] },
    Known {
        name: "limits",
        keys: &["file_mb", "unpacked_mb", "entities", "nesting", "walls", "seconds", "memory_mb"],
    },
    Known {
        name: "chord",
        keys: &["force_lb", "load_plf", "span_ft", "depth_ft", "species", "duration", "nail"],
    },
];

/// Walls from knee walls to two storeys framed as one.
const TOP: Range = Range { least: Length::inches(12), most: Length::feet(40) };
/// The IBC asks for 48 in; nothing asks for more than the longest usual board. Joints nearer to each other than
/// the least piece is long leave plates that hang on nothing.
const JOINT_OFFSET: Range = Range { least: Length::inches(6), most: Length::feet(16) };
/// More than an inch of air is no clearance any more.
const CLEARANCE: Range = Range { least: Length::ZERO, most: Length::inches(1) };
/// Less holds no nail; more than the widest plate is no notch.
const NOTCH: Range = Range { least: Length::sixteenths(8), most: Length::sixteenths(180) };
const SHORT: Range = Range { least: Length::ZERO, most: Length::feet(8) };
const SPACING: Range = Range { least: Length::inches(8), most: Length::inches(48) };
/// Leaves half of the shortest board.
const TRIM: Range = Range { least: Length::ZERO, most: Length::inches(24) };
/// What is flatter is level; what is steeper is no top of a wall.
const RISE_IN_12: std::ops::RangeInclusive<f64> = 0.25..=24.0;
/// Half the width of the thinnest plate (2x3), so that the two faces of a wall never become one.
const SNAP: Range = Range { least: Length::sixty_fourths(1), most: Length::sixteenths(20) };
/// Feet of the shortest and the longest board taken seriously. What is shorter than 4 ft is an offcut, and no plate can be cut
/// from such alone: nobody sells it for framing (common practice, no source).
const BOARD_FT: std::ops::RangeInclusive<i64> = 4..=40;

/// `units`, as words.
pub fn unit_words() -> Vec<(&'static str, Unit)> {
    Unit::ALL.map(|u| (u.name(), u)).to_vec()
}
/// `mirror`, as words.
pub const MIRROR_WORDS: [(&str, Mirror); 3] =
    [("none", Mirror::None), ("x", Mirror::X), ("y", Mirror::Y)];
/// `curved_walls`, as words.
pub const CURVED_WALLS_WORDS: [(&str, CurvedWalls); 2] =
    [("straight-parts", CurvedWalls::StraightParts), ("leave-out", CurvedWalls::LeaveOut)];
/// `plates.exterior_tee`, as words.
pub const EXTERIOR_TEE_WORDS: [(&str, ExteriorTee); 3] =
    [("notch", ExteriorTee::Notch), ("lap", ExteriorTee::Lap), ("strap", ExteriorTee::Strap)];
/// `plates.bottom`, as words: through door openings, or stopping at them.
const BOTTOM_WORDS: [(&str, bool); 2] = [("through", false), ("stop", true)];
/// `plates.foundation`, as words: what the lowest storey stands on.
const FOUNDATION_WORDS: [(&str, bool); 2] = [("framing", false), ("concrete", true)];
/// `feed.unit`, as words.
pub const FEED_UNIT_WORDS: [(&str, FeedUnit); 3] =
    [("both", FeedUnit::Both), ("in", FeedUnit::Inches), ("mm", FeedUnit::Millimetres)];
/// `feed.decimal`, as words.
pub const DECIMAL_WORDS: [(&str, DecimalSign); 2] =
    [("point", DecimalSign::Point), ("comma", DecimalSign::Comma)];
/// `layers.use`, as words.
pub const USE_WORDS: [(&str, LayerUse); 5] = [
    ("wall", LayerUse::Wall),
    ("door", LayerUse::Door),
    ("window", LayerUse::Window),
    ("opening", LayerUse::Opening),
    ("ignore", LayerUse::Ignore),
];

/// Reads settings from the text of a TOML file; what the file leaves out keeps its default.
///
/// `file_name` is only for messages. `Err` carries one `settings-bad` finding for each mistake, in
/// the order of the file.
pub fn from_toml(text: &str, file_name: &str) -> Result<Settings, Refusal> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut r = Reading::new(text, file_name, TABLES);
    let mut settings = Settings::default();
    match DeTable::parse(text) {
        Ok(table) => top_level(&mut r, table.get_ref(), &mut settings),
        Err(e) => {
            let at = e.span().map_or(0, |s| s.start);
            r.bad(at, "", format!("this is not valid TOML: {}", e.message()));
        }
    }
    r.finish().map(|()| settings)
}

/// A length given on the command line or as a text: with its unit (`8'-1 1/8"`, `2467mm`), or a bare
/// number of inches as in the settings file.
pub fn length_from_text(text: &str) -> Result<Length, String> {
    if let Ok(inches) = text.trim().parse::<f64>() {
        return Length::from_inches(inches).ok_or_else(|| format!("{text} inches is no length"));
    }
    Length::parse(text).map_err(|e| e.to_string())
}

/// The top of plates given on the command line; the same limits as `default_top` in a file.
pub fn default_top_from_text(text: &str) -> Result<Length, String> {
    let length = length_from_text(text)?;
    if TOP.holds(length) { Ok(length) } else { Err(format!("allowed is {TOP}")) }
}

/// Whether a length may be the top of plates.
pub fn top_is_allowed(length: Length) -> bool {
    TOP.holds(length)
}
/// Which lengths may be, in words.
pub fn tops_allowed() -> String {
    TOP.to_string()
}

/// A code page given on the command line.
pub fn code_page_from_text(text: &str) -> Result<CodePage, String> {
    CodePage::from_name(text).ok_or_else(CodePage::allowed)
}

/// A section given on the command line.
pub fn section_from_text(text: &str) -> Result<Section, String> {
    Section::from_name(text).ok_or_else(|| reading::no_section(text))
}

/// A finding about a flag that overrides a setting.
pub fn bad_flag(flag: &str, what: &str) -> Finding {
    Finding::new(input::SETTINGS_BAD, format!("{flag}: {what}.")).about(flag.to_owned())
}

fn top_level(r: &mut Reading, table: &DeTable, s: &mut Settings) {
    r.each(table, "", |r, key, v| match key {
        "units" => s.units = r.word(v, &unit_words()),
        "code_page" => s.code_page = code_page(r, v),
        "mirror" => r.word(v, &MIRROR_WORDS).into_iter().for_each(|w| s.mirror = w),
        "curved_walls" => {
            r.word(v, &CURVED_WALLS_WORDS).into_iter().for_each(|w| s.curved_walls = w);
        }
        "default_top" => r.length_into(v, TOP, &mut s.default_top),
        "default_section" => s.default_section = r.section(v),
        "rules" => r.text(v).into_iter().for_each(|t| s.rules = t),
        "region" => s.regions = r.text_or_texts(v),
        "layers" => layers(r, v, &mut s.layers),
        "plates" => plates(r, v, s),
        "studs" => {
            if let Some(t) = r.table(v) {
                r.each(t, "studs", |r, _, v| r.length_into(v, SPACING, &mut s.studs.spacing));
            }
        }
        "stock" => stock(r, v, &mut s.stock),
        "chord" => s.chord = chord::chord(r, v),
        "limits" => limits(r, v, &mut s.limits),
        "feed" => {
            if let Some(t) = r.table(v) {
                let f = &mut s.feed;
                r.each(t, "feed", |r, key, v| match key {
                    "unit" => r.word(v, &FEED_UNIT_WORDS).into_iter().for_each(|w| f.unit = w),
                    _ => r.word(v, &DECIMAL_WORDS).into_iter().for_each(|w| f.decimal = w),
                });
            }
        }
        "framing" => {
            if let Some(t) = r.table(v) {
                let f = &mut s.framing;
                r.each(t, "framing", |r, key, v| match key {
                    "materials" => f.materials = r.text_or_texts(v),
                    _ => f.finishes = r.text_or_texts(v),
                });
            }
        }
        _ => {
            if let Some(t) = r.table(v) {
                r.each(t, "graph", |r, _, v| r.length_into(v, SNAP, &mut s.graph.snap));
            }
        }
    });
}

fn code_page(r: &mut Reading, v: &Value) -> Option<CodePage> {
    let text = r.text(v)?;
    let page = CodePage::from_name(&text);
    if page.is_none() {
        r.bad_value(
            v,
            format!("\"{text}\" is no code page that is known; {}", CodePage::allowed()),
        );
    }
    page
}

fn plates(r: &mut Reading, v: &Value, s: &mut Settings) {
    let Some(table) = r.table(v) else { return };
    let p = &mut s.plates;
    r.each(table, "plates", |r, key, v| match key {
        "joint_offset" => p.joint_offset = r.length(v, JOINT_OFFSET),
        "upper_clearance" => r.length_into(v, CLEARANCE, &mut p.upper_clearance),
        "notch_depth" => r.length_into(v, NOTCH, &mut p.notch_depth),
        "notch_side_clearance" => r.length_into(v, CLEARANCE, &mut p.notch_side_clearance),
        "exterior_tee" => {
            r.word(v, &EXTERIOR_TEE_WORDS).into_iter().for_each(|w| p.exterior_tee = w);
        }
        "short_piece" => r.length_into(v, SHORT, &mut p.short_piece),
        "foundation" => {
            r.word(v, &FOUNDATION_WORDS).into_iter().for_each(|w| p.on_concrete = w);
        }
        _ => {
            r.word(v, &BOTTOM_WORDS).into_iter().for_each(|w| p.bottom_stops_at_doors = w);
        }
    });
}

fn limits(r: &mut Reading, v: &Value, limits: &mut Limits) {
    let Some(table) = r.table(v) else { return };
    r.each(table, "limits", |r, key, v| {
        let Some(limit) = Limit::from_name(key) else { return };
        let (least, most) = limit.range();
        if let Some(value) = r.whole_number(v, least..=most) {
            *limits = limits.with(limit, value);
        }
    });
}

fn stock(r: &mut Reading, v: &Value, s: &mut StockSettings) {
    let Some(table) = r.table(v) else { return };
    let mut prices = None;
    r.each(table, "stock", |r, key, v| match key {
        "lengths_ft" => lengths_ft(r, v, s),
        "prices" => prices = Some(v),
        "kerf" => r.length_into(v, CLEARANCE, &mut s.kerf),
        _ => r.length_into(v, TRIM, &mut s.end_trim),
    });
    if let Some(v) = prices {
        self::prices(r, v, s);
    }
}

/// Price lists; read after the lengths, because a list has to name every one of them.
fn prices(r: &mut Reading, v: &Value, s: &mut StockSettings) {
    let Some(table) = r.table(v) else { return };
    for (key, v) in table {
        let name = key.get_ref().as_ref();
        r.key = format!("stock.prices.{name}");
        let plain = name.strip_suffix(" treated").unwrap_or(name);
        let Some(section) = Section::from_name(plain) else {
            r.bad(key.span().start, &r.key.clone(), reading::no_section(plain));
            continue;
        };
        let Some(list) = r.table(v) else { continue };
        let stocked = s.lengths_for(section);
        let mut prices = BTreeMap::new();
        let mut all_good = true;
        for (feet, v) in list {
            let word = feet.get_ref().as_ref();
            let Some(feet) = word.parse().ok().filter(|ft| stocked.contains(ft)) else {
                let lengths: Vec<String> = stocked.iter().map(u32::to_string).collect();
                let what = format!(
                    "{word} ft is not among the stock lengths of {plain}, {}",
                    lengths.join(", ")
                );
                r.bad(feet.span().start, &r.key.clone(), what);
                all_good = false;
                continue;
            };
            let price = r.number(v, 0.01..=MOST_PRICE, "for one board");
            all_good &= price.is_some();
            prices.extend(price.map(|p| (feet, (p * 100.0).round() as u32)));
        }
        let missing: Vec<String> =
            stocked.iter().filter(|ft| !prices.contains_key(ft)).map(u32::to_string).collect();
        if all_good && !missing.is_empty() {
            let what = format!(
                "no price for {} ft; price every stock length, or take those out of lengths_ft",
                missing.join(", ")
            );
            r.bad_value(v, what);
            continue;
        }
        s.prices.insert(crate::lumber_name(section, plain != name), prices);
    }
}

/// Of one board: keeps sums of hundredths far from any limit.
const MOST_PRICE: f64 = 1000.0;

fn lengths_ft(r: &mut Reading, v: &Value, s: &mut StockSettings) {
    let Some(table) = r.table(v) else { return };
    for (key, v) in table {
        let name = key.get_ref().as_ref();
        r.key = format!("stock.lengths_ft.{name}");
        let Some(section) = Section::from_name(name) else {
            r.bad(key.span().start, &r.key.clone(), reading::no_section(name));
            continue;
        };
        let Some(mut feet) = r.whole_numbers(v, BOARD_FT, "feet") else { continue };
        feet.sort_unstable();
        feet.dedup();
        if s.lengths_ft.insert(section.name().to_owned(), feet).is_some() {
            r.bad_value(v, format!("{} is given twice", section.name()));
        }
    }
}

fn layers(r: &mut Reading, v: &Value, out: &mut Vec<LayerRule>) {
    let Some(array) = v.get_ref().as_array() else {
        r.wrong_type(v, "a list of tables, each begun by [[layers]]");
        return;
    };
    for v in array {
        r.key = "layers".to_owned();
        if let Some(rule) = layer(r, v) {
            out.push(rule);
        }
    }
}

fn layer(r: &mut Reading, v: &Value) -> Option<LayerRule> {
    let table = r.table(v)?;
    let (mut pattern, mut usage) = (None, None);
    let mut given = (false, false);
    let mut wall_only: Vec<(&'static str, usize)> = Vec::new();
    let (mut exterior, mut bearing, mut section, mut top) = (None, None, None, None);
    let (mut rise, mut uphill) = (None, None);
    let mut roof_keys: [Option<usize>; 2] = [None; 2];
    r.each(table, "layers", |r, key, v| {
        let at = v.span().start;
        match key {
            "match" => (given.0, pattern) = (true, r.text(v)),
            "use" => (given.1, usage) = (true, r.word(v, &USE_WORDS)),
            "exterior" => (exterior, _) = (r.boolean(v), wall_only.push(("exterior", at))),
            "bearing" => (bearing, _) = (r.boolean(v), wall_only.push(("bearing", at))),
            "section" => (section, _) = (r.section(v), wall_only.push(("section", at))),
            "rise_in_12" => {
                rise = r.number(v, RISE_IN_12, "inches in 12");
                roof_keys[0] = Some(at);
                wall_only.push(("rise_in_12", at));
            }
            "uphill" => {
                uphill = r.word(v, &Uphill::ALL.map(|u| (u.name(), u)));
                roof_keys[1] = Some(at);
                wall_only.push(("uphill", at));
            }
            _ => (top, _) = (r.length(v, TOP), wall_only.push(("top", at))),
        }
    });
    let at = v.span().start;
    for (key, given, example) in
        [("match", given.0, "match = \"A-WALL*\""), ("use", given.1, "use = \"wall\"")]
    {
        if !given {
            let what = format!("this [[layers]] entry lacks '{key}'; write for example {example}");
            r.bad(at, &format!("layers.{key}"), what);
        }
    }
    if usage.is_some_and(|u| u != LayerUse::Wall) {
        for (key, at) in wall_only {
            let what = format!("'{key}' says something about walls, but use is not \"wall\" here");
            r.bad(at, &format!("layers.{key}"), what);
        }
    }
    match roof_keys {
        [Some(at), None] => {
            let what = "'rise_in_12' needs 'uphill' beside it: which way the roof rises";
            r.bad(at, "layers.uphill", what.to_owned());
        }
        [None, Some(at)] => {
            let what = "'uphill' needs 'rise_in_12' beside it: how steep the roof is";
            r.bad(at, "layers.rise_in_12", what.to_owned());
        }
        _ => {}
    }
    let roof = rise.zip(uphill).map(|(rise_in_12, uphill)| Roof { rise_in_12, uphill });
    Some(LayerRule { pattern: pattern?, usage: usage?, exterior, bearing, section, top, roof })
}

#[cfg(test)]
mod tests;
