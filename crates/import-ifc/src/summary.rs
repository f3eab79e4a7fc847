//! What `inspect` shows: wall types with their layers and the framing chosen, storeys, proposed
//! settings.

use crate::classes;
use crate::framing::Choice;
use crate::step::Record;
use crate::walls::{Framing, RawWall, Reader};
use diag::codes::{ifc, input};
use diag::{Code, SourceRef};
use geom::Length;
use lumber::Section;
use std::collections::BTreeMap;

/// One storey of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StoreySummary {
    /// Name.
    pub name: String,
    /// Above the project's zero; unknown while the unit is.
    pub elevation: Option<Length>,
    /// Walls that stand on it.
    pub walls: usize,
    /// Of these, walls that are in the model.
    pub walls_read: usize,
    /// Doors in it.
    pub doors: usize,
    /// Windows in it.
    pub windows: usize,
}

/// What became of one wall of the file.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct WallFate {
    /// The wall.
    pub source: SourceRef,
    /// Why it is not in the model, as the ledger counts it; `None` for a wall that is.
    pub left_out: Option<String>,
}

/// One layer of a wall type.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerSummary {
    /// Material name; empty where none is given.
    pub material: String,
    /// Thickness; unknown while the unit is.
    pub thickness: Option<Length>,
    /// It was chosen as the framing.
    pub framing: bool,
}

/// One type of wall.
#[derive(Clone, Debug, PartialEq)]
pub struct TypeSummary {
    /// Name, as `[[layers]]` patterns see it.
    pub name: String,
    /// IFC class of its walls.
    pub class: String,
    /// Walls of this type.
    pub count: usize,
    /// Layers from one face to the other; none where the file gives none.
    pub layers: Vec<LayerSummary>,
    /// Which layer is the framing and why, in words.
    pub framing: String,
    /// Section of the plates, if they get any.
    pub section: Option<Section>,
    /// Who says the section, or why there is none.
    pub section_by: String,
    /// The section is an inference that a finding warns of.
    pub doubtful: bool,
    /// Whether its walls are exterior, where the file says so and they agree.
    pub exterior: Option<bool>,
    /// Whether its walls are bearing, where the file says so and they agree.
    pub bearing: Option<bool>,
}

/// Name, class, layers, section, and whether the shape could be read.
type TypeKey = (String, String, Vec<(String, Length)>, Option<Section>, bool);

/// Types by everything that tells them apart.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    types: BTreeMap<TypeKey, TypeSummary>,
}

impl Summary {
    /// Counts one wall.
    pub fn add(
        &mut self,
        reader: &Reader<'_, '_, '_>,
        wall: &RawWall<'_>,
        choice: &Choice,
        framing: Result<&Framing, &str>,
        notes: &[(Code, String)],
    ) {
        let class = |r: Record<'_>| classes::spelled(r.class);
        let class = reader.shapes.file.find(wall.id).map(class).unwrap_or_default();
        let section = framing.ok().map(|f| f.section);
        let candidates = reader.candidates(&wall.layers);
        let layers = candidates.iter().map(|c| (c.material.clone(), c.thickness)).collect();
        // A wall whose shape could not be read is no example of its type's section.
        let read = wall.shape.is_some();
        let key = (wall.type_name.clone(), class.clone(), layers, section, read);
        let slot = self.types.entry(key).or_insert_with(|| {
            let (chosen, framing_words) = match choice {
                Choice::Layer { index, why, .. } => {
                    (vec![*index], format!("layer {}: {why}", index + 1))
                }
                Choice::Rows { rows: [a, b], why, .. } => {
                    (vec![*a, *b], format!("layers {} and {}, two rows: {why}", a + 1, b + 1))
                }
                Choice::Tie(a, b) => {
                    (vec![], format!("layers {} and {} fit equally well", a + 1, b + 1))
                }
                Choice::NotWood(m) => (vec![], format!("none: {m} is not wood")),
                Choice::Unknown if !wall.layers.loose.is_empty() => {
                    let all = wall.layers.loose.join("; ");
                    (vec![], format!("no layers, only materials without thickness: {all}"))
                }
                Choice::Unknown => {
                    (vec![], "none named or as thick as lumber: the whole wall".to_owned())
                }
            };
            let layers = candidates.into_iter().enumerate();
            TypeSummary {
                name: wall.type_name.clone(),
                class,
                count: 0,
                layers: layers
                    .map(|(n, c)| LayerSummary {
                        material: c.material,
                        thickness: Some(c.thickness.denoise()),
                        framing: chosen.contains(&n),
                    })
                    .collect(),
                framing: framing_words,
                section,
                section_by: framing.map_or_else(str::to_owned, |f| f.section_by.clone()),
                doubtful: false,
                exterior: wall.flags.external,
                bearing: wall.flags.bearing,
            }
        });
        slot.count += 1;
        slot.doubtful |= notes.iter().any(|(code, _)| DOUBTS.contains(code));
        if slot.exterior != wall.flags.external {
            slot.exterior = None;
        }
        if slot.bearing != wall.flags.bearing {
            slot.bearing = None;
        }
    }

    /// The types, by name.
    pub fn into_types(self) -> Vec<TypeSummary> {
        self.types.into_values().collect()
    }
}

/// Findings that make a section an inference.
const DOUBTS: [Code; 3] = [ifc::LAYER_GUESSED, ifc::FRAMING_PLACE, input::SECTION_ASSUMED];

/// `[[layers]]` lines to settle what the file leaves open, one entry a type name: types that are not read, and those
/// whose section is an inference. What is read for certain needs none.
pub fn proposal(types: &[TypeSummary]) -> Vec<String> {
    let mut by_name: BTreeMap<&str, Vec<&TypeSummary>> = BTreeMap::new();
    let open = |t: &TypeSummary| t.section.is_none() || t.doubtful;
    let types: Vec<&TypeSummary> = types.iter().filter(|t| open(t)).collect();
    for t in types {
        by_name.entry(&t.name).or_default().push(t);
    }
    let mut lines = Vec::new();
    for (name, types) in by_name.into_iter().filter(|(n, _)| !n.is_empty()) {
        lines.push("[[layers]]".to_owned());
        lines.push(format!("match = {}", toml_string(name)));
        let same = |f: fn(&TypeSummary) -> Option<bool>| {
            let first = types.first().and_then(|t| f(t))?;
            types.iter().all(|t| f(t) == Some(first)).then_some(first)
        };
        match types.iter().find_map(|t| t.section) {
            Some(section) => {
                lines.push("use = \"wall\"".to_owned());
                lines.push(format!("section = \"{section}\""));
                if let Some(e) = same(|t| t.exterior) {
                    lines.push(format!("exterior = {e}"));
                }
                if let Some(b) = same(|t| t.bearing) {
                    lines.push(format!("bearing = {b}"));
                }
            }
            None => {
                let why = types.first().map(|t| t.section_by.as_str()).unwrap_or_default();
                lines.push(format!("use = \"ignore\"  # {}", why.replace(['\n', '\r'], " ")));
            }
        }
    }
    lines
}

/// A TOML basic string.
fn toml_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn proposed_lines_are_toml() {
        assert_eq!(toml_string("Basic 8\" \\ x\ny"), "\"Basic 8\\\" \\\\ x\\u000Ay\"");
    }
}
