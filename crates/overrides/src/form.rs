//! The overrides as they are written: texts and numbers, not yet checked.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The version of the form this program reads and writes.
pub const VERSION: u32 = 1;

/// All edits. Places are [x, y] in the drawing's own units, as its drawing program shows them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Form {
    /// Always 1.
    pub version: u32,
    /// Unit of the drawing, whatever the file says: `in`, `ft`, `mm`, `cm`, `m`.
    #[serde(default)]
    pub units: Option<String>,
    /// `none`, `x` or `y`.
    #[serde(default)]
    pub mirror: Option<String>,
    /// Drawings of the sheet to plan, by number or title.
    #[serde(default)]
    pub region: Vec<String>,
    /// Before the settings' own; first match wins.
    #[serde(default)]
    pub layers: Vec<LayerForm>,
    /// Changes of single walls.
    #[serde(default)]
    pub walls: Vec<WallForm>,
    /// Walls taken out.
    #[serde(default)]
    pub removed: Vec<RemovedForm>,
    /// Walls drawn in.
    #[serde(default)]
    pub added: Vec<AddedForm>,
    /// Ends moved to meet.
    #[serde(default)]
    pub snaps: Vec<SnapForm>,
}

impl Default for Form {
    fn default() -> Form {
        Form {
            version: VERSION,
            units: None,
            mirror: None,
            region: Vec::new(),
            layers: Vec::new(),
            walls: Vec::new(),
            removed: Vec::new(),
            added: Vec::new(),
            snaps: Vec::new(),
        }
    }
}

/// What a layer or wall type is used for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LayerForm {
    /// Glob over the name.
    pub r#match: String,
    /// `wall`, `door`, `window`, `opening` or `ignore`.
    pub r#use: String,
    /// Exterior walls?
    #[serde(default)]
    pub exterior: Option<bool>,
    /// Bearing walls?
    #[serde(default)]
    pub bearing: Option<bool>,
    /// Section of the plates.
    #[serde(default)]
    pub section: Option<String>,
    /// Top of the upper plate above the storey, inches.
    #[serde(default)]
    pub top: Option<f64>,
    /// A reviewer's words.
    #[serde(default)]
    pub note: String,
}

/// A wall as it was read when the edit was made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WallRef {
    /// One of its source entities: DXF handle or IFC GlobalId.
    pub entity: String,
    /// One end of its framing centreline.
    pub start: [f64; 2],
    /// The other.
    pub end: [f64; 2],
}

/// A change of one wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WallForm {
    /// Which.
    pub wall: WallRef,
    /// Section of the plates.
    #[serde(default)]
    pub section: Option<String>,
    /// Exterior?
    #[serde(default)]
    pub exterior: Option<bool>,
    /// Bearing?
    #[serde(default)]
    pub bearing: Option<bool>,
    /// Top of the upper plate above the storey, inches.
    #[serde(default)]
    pub top: Option<f64>,
    /// A reviewer's words.
    #[serde(default)]
    pub note: String,
}

/// A wall taken out of the plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RemovedForm {
    /// Which.
    pub wall: WallRef,
    /// A reviewer's words.
    #[serde(default)]
    pub note: String,
}

/// A wall drawn in, by its framing centreline.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AddedForm {
    /// Name of its storey; may be left out where there is one storey.
    #[serde(default)]
    pub storey: Option<String>,
    /// One end.
    pub start: [f64; 2],
    /// The other.
    pub end: [f64; 2],
    /// Section of the plates.
    pub section: String,
    /// Exterior?
    #[serde(default)]
    pub exterior: Option<bool>,
    /// Bearing?
    #[serde(default)]
    pub bearing: Option<bool>,
    /// Top of the upper plate above the storey, inches; `default_top` where left out.
    #[serde(default)]
    pub top: Option<f64>,
    /// A reviewer's words.
    #[serde(default)]
    pub note: String,
}

/// An end moved along its wall's own line to meet another wall.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SnapForm {
    /// Which wall.
    pub wall: WallRef,
    /// Which end, as `wall` has them.
    pub end: End,
    /// Where to: the place on the wall's line nearest to this.
    pub to: [f64; 2],
    /// A reviewer's words.
    #[serde(default)]
    pub note: String,
}

/// One end of a wall.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum End {
    /// Where it starts.
    Start,
    /// Where it ends.
    End,
}

impl Form {
    /// Reads the text of a file; else what is wrong with it, with its line, to follow the file's name.
    pub(crate) fn from_toml(text: &str) -> Result<Form, String> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        toml::from_str(text).map_err(|e| {
            let at = e.span().map_or(0, |s| s.start);
            let what: Vec<&str> = e.message().lines().map(str::trim).collect();
            let line = 1 + text.bytes().take(at).filter(|b| *b == b'\n').count();
            format!(", line {line}: {}", what.join("; "))
        })
    }

    /// Every place in it, to be put into another frame.
    pub fn places_mut(&mut self) -> impl Iterator<Item = &mut [f64; 2]> {
        let walls = self.walls.iter_mut().map(|w| &mut w.wall);
        let removed = self.removed.iter_mut().map(|w| &mut w.wall);
        let (snapped, tos): (Vec<_>, Vec<_>) =
            self.snaps.iter_mut().map(|s| (&mut s.wall, &mut s.to)).unzip();
        let refs = walls.chain(removed).chain(snapped).flat_map(|w| [&mut w.start, &mut w.end]);
        let added = self.added.iter_mut().flat_map(|a| [&mut a.start, &mut a.end]);
        refs.chain(added).chain(tos)
    }
}
