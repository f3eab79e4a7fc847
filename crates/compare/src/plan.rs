//! `plan.json` as far as a comparison goes. Coordinates are decimal inches of the drawing, its origin put
//! back.

use crate::SettingChange;
use diag::{Finding, Refusal, codes::input};
use serde::Deserialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// A plan as read.
pub(crate) struct Plan {
    pub file: String,
    pub sha256: String,
    pub settings: Value,
    pub storeys: Vec<Storey>,
    pub walls: Vec<Wall>,
    pub pieces: Vec<Piece>,
    pub boards: Vec<Board>,
    pub fasteners: Vec<Fastener>,
}

#[derive(Deserialize)]
pub(crate) struct Storey {
    pub id: String,
    pub name: String,
    pub elevation: f64,
}
#[derive(Clone, Deserialize, PartialEq)]
pub(crate) struct Opening {
    pub kind: String,
    pub from: f64,
    pub to: f64,
}
#[derive(Deserialize)]
pub(crate) struct Wall {
    pub id: String,
    pub storey: String,
    pub start: [f64; 2],
    pub end: [f64; 2],
    pub drawn_thickness: f64,
    pub section: String,
    pub base: f64,
    pub top: f64,
    /// Plans of before had level tops only.
    pub top_end: Option<f64>,
    pub exterior: bool,
    pub bearing: Option<bool>,
    pub openings: Vec<Opening>,
}
#[derive(Deserialize)]
pub(crate) struct End {
    pub cut_deg: f64,
    /// Plans of before had upright blades only.
    pub tilt_deg: Option<f64>,
}
#[derive(Deserialize)]
pub(crate) struct Notch {
    pub from: f64,
    pub to: f64,
    pub depth: f64,
    pub side: String,
}
#[derive(Deserialize)]
pub(crate) struct Mark {
    pub at: f64,
    pub kind: String,
}
#[derive(Deserialize)]
pub(crate) struct Nails {
    pub at: f64,
    pub count: u32,
    pub nail: String,
}
#[derive(Deserialize)]
pub(crate) struct Piece {
    pub id: String,
    pub mark: String,
    pub storey: String,
    pub layer: String,
    pub section: String,
    pub width: f64,
    #[serde(default)]
    pub treated: bool,
    pub outline: Vec<[f64; 2]>,
    pub length_in: f64,
    pub z: f64,
    pub ends: [End; 2],
    pub notches: Vec<Notch>,
    pub marks: Vec<Mark>,
    pub nails: Vec<Nails>,
}
#[derive(Deserialize)]
pub(crate) struct Board {
    pub section: String,
    #[serde(default)]
    pub treated: bool,
    pub length_ft: f64,
    #[serde(default)]
    pub on_hand: Option<String>,
}
#[derive(Deserialize)]
pub(crate) struct Fastener {
    pub nail: String,
    pub count: u64,
    pub r#for: String,
}
#[derive(Deserialize)]
struct Source {
    file: String,
    sha256: String,
}
#[derive(Deserialize)]
struct Stock {
    boards: Vec<Board>,
}
#[derive(Deserialize)]
struct File {
    schema: String,
    source: Source,
    settings: Value,
    origin: [f64; 2],
    storeys: Vec<Storey>,
    walls: Vec<Wall>,
    pieces: Vec<Piece>,
    stock: Stock,
    fasteners: Vec<Fastener>,
}

/// Reads `plan.json`, schema `platewright/plan/1`.
pub(crate) fn read(bytes: &[u8], which: &str) -> Result<Plan, Refusal> {
    let refuse = |what: String| {
        let message = format!("{which} {what}.");
        Refusal::because(Finding::new(input::PLAN_BAD, message).about(which))
    };
    let mut file: File = serde_json::from_slice(bytes)
        .map_err(|e| refuse(format!("is not a plan.json of this program: {e}")))?;
    if file.schema != "platewright/plan/1" {
        let shown: String = file.schema.chars().take(60).flat_map(char::escape_debug).collect();
        return Err(refuse(format!("has the schema '{shown}', not platewright/plan/1")));
    }
    // Far outside any building arithmetic on coordinates means nothing.
    let far = |v: &f64| v.abs() > 4e9;
    let walls = file.walls.iter().flat_map(|w| w.start.iter().chain(&w.end));
    let pieces = file.pieces.iter().flat_map(|p| p.outline.iter().flatten());
    if let Some(v) = file.origin.iter().chain(walls).chain(pieces).find(|v| far(v)) {
        return Err(refuse(format!("has {v} where a coordinate should be")));
    }
    if let Some(p) = file.pieces.iter().find(|p| p.outline.len() < 3) {
        return Err(refuse(format!("has a piece without an outline, {}", p.id)));
    }
    let origin = file.origin;
    let back = |p: &mut [f64; 2]| {
        p[0] += origin[0];
        p[1] += origin[1];
    };
    for w in &mut file.walls {
        back(&mut w.start);
        back(&mut w.end);
    }
    file.pieces.iter_mut().flat_map(|p| &mut p.outline).for_each(back);
    Ok(Plan {
        file: file.source.file,
        sha256: file.source.sha256,
        settings: file.settings,
        storeys: file.storeys,
        walls: file.walls,
        pieces: file.pieces,
        boards: file.stock.boards,
        fasteners: file.fasteners,
    })
}

/// Leaves of the settings that differ.
pub(crate) fn settings_that_differ(old: &Value, new: &Value) -> Vec<SettingChange> {
    let (mut a, mut b) = (BTreeMap::new(), BTreeMap::new());
    leaves(String::new(), old, &mut a);
    leaves(String::new(), new, &mut b);
    let keys: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
    let null = Value::Null;
    keys.into_iter()
        .map(|key| {
            (key, a.get(key).copied().unwrap_or(&null), b.get(key).copied().unwrap_or(&null))
        })
        .filter(|(_, old, new)| old != new)
        .map(|(key, old, new)| SettingChange {
            key: key.clone(),
            old: old.to_string(),
            new: new.to_string(),
        })
        .collect()
}

/// The parser allows 128 levels, so the depth is bounded.
fn leaves<'a>(path: String, value: &'a Value, found: &mut BTreeMap<String, &'a Value>) {
    let Value::Object(fields) = value else {
        found.insert(path, value);
        return;
    };
    for (key, inner) in fields {
        let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        leaves(path, inner, found);
    }
}
