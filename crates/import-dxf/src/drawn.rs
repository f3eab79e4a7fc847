//! What a drawing shows, for other readers to be compared with.
//!
//! Knows: linework, texts and entity counts of a flattened drawing, in drawing units. Never touches:
//! what any of it means. Nothing in the program reads walls from here; it is the view that tests and
//! `tests/reference/` hold against other libraries.

use crate::file::DxfFile;
use crate::flatten::flatten;
use crate::linework::State;
use crate::reading::read_file;
use crate::source::Source;
use limits::{Limits, Watch};
use settings::CodePage;
use std::collections::BTreeMap;

/// One entity with linework, where its inserts put it.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// Type of entity, as in the file.
    pub kind: &'static str,
    /// Layer, taken from the insert for entities on layer 0.
    pub layer: String,
    /// Handles of the inserts it came through, then its own, with slashes.
    pub entity: String,
    /// Straight lines: both ends, in drawing units.
    pub lines: Vec<[f64; 4]>,
    /// Parts of circles and ellipses: center, two conjugate half axes, and how far it runs from the
    /// first towards the second, radians.
    pub arcs: Vec<[f64; 7]>,
}

/// One text, where its inserts put it.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnText {
    /// Layer, taken from the insert for texts on layer 0.
    pub layer: String,
    /// Handles of the inserts it came through, then its own, with slashes.
    pub entity: String,
    /// Anchor, drawing units.
    pub at: [f64; 2],
    /// Height, drawing units.
    pub height: f64,
    /// Its words.
    pub text: String,
}

/// A drawing, flattened.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// Entities of model space by type, inserts not expanded.
    pub model_entities: BTreeMap<String, u64>,
    /// The same by layer as the entities name it, then by type.
    pub model_entities_by_layer: BTreeMap<String, BTreeMap<String, u64>>,
    /// Entities with linework, blocks inserted.
    pub drawn: Vec<Drawn>,
    /// Texts, blocks inserted.
    pub texts: Vec<DrawnText>,
    /// Places where damage was read around.
    pub damage: u64,
}

/// Reads a file down to flattened linework and texts, in this code page where one is set.
pub fn picture(bytes: &[u8], code_page: Option<CodePage>) -> Picture {
    let watch = Watch::endless();
    let mut file = read_file(Source::Memory(bytes), code_page, &watch);
    let model_entities_by_layer = by_layer(&file);
    let drawing = flatten(&mut file, &Limits::default(), &watch);
    let lines = &drawing.lines;
    let drawn = lines.shapes.iter().enumerate().map(|(i, s)| Drawn {
        kind: s.kind.name(),
        layer: drawing.layer_name(s.layer).to_owned(),
        entity: drawing.entity(&file, s.pos, s.via),
        lines: lines
            .segments_of(i)
            .filter_map(|k| lines.segments.get(k))
            .map(|g| [g.a[0], g.a[1], g.b[0], g.b[1]])
            .collect(),
        arcs: lines
            .arcs_of(i)
            .filter_map(|k| lines.arcs.get(k))
            .map(|a| [a.center[0], a.center[1], a.u[0], a.u[1], a.v[0], a.v[1], a.sweep])
            .collect(),
    });
    let texts = lines.texts.iter().map(|t| DrawnText {
        layer: drawing.layer_name(t.layer).to_owned(),
        entity: drawing.entity(&file, t.pos, t.via),
        at: t.at,
        height: t.height,
        text: file.plain_text(t.string),
    });
    Picture {
        drawn: drawn.filter(|d| !d.lines.is_empty() || !d.arcs.is_empty()).collect(),
        texts: texts.collect(),
        damage: file.damage.count,
        model_entities: drawing.top_level.clone(),
        model_entities_by_layer,
    }
}

fn by_layer(file: &DxfFile<'_>) -> BTreeMap<String, BTreeMap<String, u64>> {
    let mut counts: BTreeMap<(u32, String), u64> = BTreeMap::new();
    for s in &file.model.shapes {
        *counts.entry((s.layer, s.kind.name().to_owned())).or_default() += 1;
    }
    for i in &file.model.inserts {
        *counts.entry((i.layer, "INSERT".to_owned())).or_default() += 1;
    }
    for ((type_, layer, state), count) in &file.model.others {
        if *state != State::Paper {
            *counts.entry((*layer, file.type_name(*type_))).or_default() += count.count;
        }
    }
    let mut out: BTreeMap<String, BTreeMap<String, u64>> = BTreeMap::new();
    for ((layer, kind), n) in counts {
        let raw = file.layer_names.get(layer as usize).map_or(&[][..], |n| n);
        *out.entry(file.decoder.decode(raw)).or_default().entry(kind).or_default() += n;
    }
    out
}
