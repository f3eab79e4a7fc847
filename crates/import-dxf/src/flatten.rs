//! Flattening: every insert of a block is replaced by the block's entities where they land.
//!
//! Knows: insert transforms, arrays, inheritance of layer 0, off and frozen layers, limits. Never
//! touches: tags, what layers are used for, units.
//!
//! Rules: an entity on layer 0 inside a block takes the layer of its insert; freezing the layer of an
//! insert hides all that is in it, switching it off hides only what took its layer; coordinates take
//! no unit factor from the block (Autodesk, INSUNITS: FACTS 8.2; inheritance and freezing common
//! practice, no source).

use crate::affine::Affine;
use crate::file::DxfFile;
use crate::linework::{Array, Insert, Linework, NO_SHAPE, NO_STRING, NOT_INSERTED, State, mark};
use limits::{Limit, Limits, Watch};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};

/// Beyond [`Limit::Entities`], one more for as many bytes of the file, so that memory stays in proportion
/// to it.
const BYTES_FOR_ONE: u64 = 16;

/// Room of fewer inserts than this is kept until all are done.
const WORTH_GIVING_BACK: usize = 1 << 12;

/// A layer, resolved: names that differ only in case are one layer.
#[derive(Clone, Debug, Default)]
pub(crate) struct Layer {
    /// As in the layer table.
    pub name: String,
    /// Switched off.
    pub off: bool,
    /// Frozen.
    pub frozen: bool,
    /// Its line type, where that is hidden, dashed or dotted.
    pub broken: Option<String>,
}

/// One insert of a block at one place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Node {
    /// Offset of the INSERT in the file.
    pub pos: u32,
    /// The insert it is inside, or [`NOT_INSERTED`].
    pub parent: u32,
    /// Resolved layer of the INSERT.
    pub layer: u32,
    /// Raw number of the block.
    pub block: u32,
}

/// A drawing with nothing left to insert.
pub(crate) struct Drawing {
    /// Layers in order of name.
    pub layers: Vec<Layer>,
    /// All linework of model space; layers are numbers in `layers`.
    pub lines: Linework,
    /// Inserts, parents first.
    pub nodes: Vec<Node>,
    /// Inserts of external references: path, resolved layer, count.
    pub xrefs: BTreeMap<(String, u32), u64>,
    /// Inserts of blocks that are not in the file: name, resolved layer, count.
    pub missing: BTreeMap<(String, u32), u64>,
    /// Entities in model space itself by type, inserts not expanded.
    pub top_level: BTreeMap<String, u64>,
    /// Proxy entities: class, resolved layer, offsets.
    pub proxies: BTreeMap<(String, u32), Vec<u32>>,
    /// Inserts left out for what they would add up to.
    pub too_many: LeftOut,
    /// Inserts left out for their depth.
    pub too_deep: LeftOut,
    /// What all inserts would add up to, where that takes more memory than is allowed; the rest is not inserted.
    pub too_large: Option<u64>,
    /// What all inserts added up to, as [`Limit::Entities`] counts.
    pub expanded: u64,
    /// Deepest nesting met.
    pub deepest: u64,
    /// Inserts of blocks in themselves.
    pub cyclic: LeftOut,
}

/// Inserts that were left out.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct LeftOut {
    /// How many.
    pub count: u64,
    /// The one with the lowest handle: handle as a number, offset, raw block number.
    pub first: Option<(u64, u32, u32)>,
}

impl LeftOut {
    fn add(&mut self, insert: &Insert) {
        self.count += 1;
        let own = (insert.handle, insert.pos, insert.block);
        self.first = Some(self.first.map_or(own, |first| first.min(own)));
    }
}

impl Drawing {
    /// The entity of a shape: handles of the inserts it came through, then its own, with slashes.
    pub fn entity(&self, file: &DxfFile<'_>, pos: u32, via: u32) -> String {
        if self.nodes.get(via as usize).is_none() {
            return file.handle(pos);
        }
        let mut path = vec![file.handle(pos)];
        let mut at = via;
        while let Some(node) = self.nodes.get(at as usize) {
            path.push(file.handle(node.pos));
            at = node.parent;
        }
        path.reverse();
        path.join("/")
    }
    /// Name of a resolved layer.
    pub fn layer_name(&self, layer: u32) -> &str {
        self.layers.get(layer as usize).map_or("0", |l| l.name.as_str())
    }
}

/// Replaces all inserts. Takes the model's linework out of the file.
pub(crate) fn flatten(file: &mut DxfFile<'_>, limits: &Limits, watch: &Watch) -> Drawing {
    let budget = limits.get(Limit::Entities) + file.bytes() / BYTES_FOR_ONE;
    let (layers, resolved) = resolve_layers(file);
    let mut model = std::mem::take(&mut file.model);
    let top_level = count_top_level(file, &model);
    let at = |raw: u32| resolved.get(raw as usize).copied().unwrap_or(0);
    for s in &mut model.shapes {
        s.layer = at(s.layer);
    }
    for t in &mut model.texts {
        t.layer = at(t.layer);
    }
    let others = std::mem::take(&mut model.others);
    for ((type_, layer, state), count) in others {
        model.others.insert((type_, at(layer), state), count);
    }
    let mut inserts = std::mem::take(&mut model.inserts);
    // Not the file's order: node numbers must not depend on it. The first one comes last, to be taken off.
    inserts.sort_unstable_by_key(|i| std::cmp::Reverse((i.handle, i.pos)));
    let mut blocks: FxHashMap<Vec<u8>, u32> = FxHashMap::default();
    let mut ids: Vec<u32> = file.blocks.keys().copied().collect();
    ids.sort_unstable();
    for id in ids {
        let name = file.block_names.get(id as usize).map_or(&[][..], |n| n);
        blocks.insert(name.to_ascii_uppercase(), id);
    }
    // Names are not case-sensitive: every spelling leads to the block.
    let upper = |name: &[u8]| blocks.get(&name.to_ascii_uppercase()).copied();
    let blocks: Vec<Option<u32>> = file.block_names.iter().map(|n| upper(n)).collect();
    let proxies = file.proxies.iter().map(|((c, l), v)| ((c.clone(), at(*l)), v.clone())).collect();
    let mut work = Flattening {
        file,
        blocks,
        resolved: &resolved,
        zero: layers.iter().position(|l| l.name == "0").map_or(u32::MAX, |i| i as u32),
        insert_type: file.type_names.len() as u32,
        budget,
        affordable: limits.most_inserted(file.bytes()),
        depth: limits.get(Limit::Nesting) as usize,
        watch,
        stack: Vec::new(),
        out: Drawing {
            layers,
            lines: model,
            nodes: Vec::new(),
            xrefs: BTreeMap::new(),
            missing: BTreeMap::new(),
            top_level,
            proxies,
            too_many: LeftOut::default(),
            too_deep: LeftOut::default(),
            too_large: None,
            expanded: 0,
            deepest: 0,
            cyclic: LeftOut::default(),
        },
    };
    let mut dimensions = std::mem::take(&mut work.out.lines.dimensions);
    for d in &mut dimensions {
        d.shown = work.shown(d.picture);
    }
    work.out.lines.dimensions = dimensions;
    let top = Place { map: Affine::IDENTITY, parent: NOT_INSERTED, layer: None, marks: 0 };
    while let Some(insert) = inserts.pop() {
        work.insert(&insert, &top);
        // What they become takes the room they leave.
        if inserts.len() < inserts.capacity() / 2 && inserts.capacity() > WORTH_GIVING_BACK {
            inserts.shrink_to_fit();
        }
    }
    let Flattening { mut out, budget: left, affordable, .. } = work;
    out.expanded = budget - left;
    // So far it counts what is over.
    let all = |over: u64| out.expanded.saturating_add(affordable).saturating_add(over);
    out.too_large = out.too_large.map(all);
    file.type_names.push(b"INSERT".as_slice().into());
    out
}

/// Where a block's content goes.
struct Place {
    map: Affine,
    parent: u32,
    /// Layer of the insert, for what is on layer 0; `None` in model space.
    layer: Option<u32>,
    /// Marks that all content takes.
    marks: u16,
}

struct Flattening<'f, 'a> {
    file: &'f DxfFile<'a>,
    /// Number of the block that each raw block number means.
    blocks: Vec<Option<u32>>,
    resolved: &'f [u32],
    zero: u32,
    insert_type: u32,
    budget: u64,
    /// What the memory allowed is enough for, of the same.
    affordable: u64,
    /// Blocks may be nested this deep.
    depth: usize,
    watch: &'f Watch,
    /// Blocks being expanded.
    stack: Vec<u32>,
    out: Drawing,
}

impl Flattening<'_, '_> {
    fn layer(&self, raw: u32, place: &Place) -> u32 {
        let own = self.resolved.get(raw as usize).copied().unwrap_or(0);
        match place.layer {
            Some(inherited) if own == self.zero => inherited,
            _ => own,
        }
    }

    /// The first text in a dimension's picture.
    fn shown(&self, picture: u32) -> u32 {
        let id = self.blocks.get(picture as usize).copied().flatten();
        let block = id.and_then(|id| self.file.blocks.get(&id));
        block.and_then(|b| b.content.texts.first()).map_or(NO_STRING, |t| t.string)
    }

    fn count_insert(&mut self, insert: &Insert, place: &Place, layer: u32, state: State) {
        let count = self.out.lines.others.entry((self.insert_type, layer, state)).or_default();
        count.add(1, (insert.handle, insert.pos, place.parent));
    }

    fn insert(&mut self, insert: &Insert, place: &Place) {
        if self.watch.is_over() || self.out.too_large.is_some() {
            return;
        }
        let layer = self.layer(insert.layer, place);
        // The line type of an insert is not that of what is in it.
        let mut marks = place.marks | (insert.marks & !(mark::OWN_LINE_TYPE | mark::BROKEN));
        if self.out.layers.get(layer as usize).is_some_and(|l| l.frozen) {
            marks |= mark::FROZEN;
        }
        let id = self.blocks.get(insert.block as usize).copied().flatten();
        let file = self.file;
        let Some((id, block)) = id.and_then(|id| Some((id, file.blocks.get(&id)?))) else {
            let name = file.block_name(insert.block);
            *self.out.missing.entry((name, layer)).or_default() += 1;
            return self.count_insert(insert, place, layer, State::MissingBlock);
        };
        if let Some(path) = &block.xref {
            let path = file.decoder.decode(path);
            let path = if path.is_empty() { file.block_name(insert.block) } else { path };
            if marks & (mark::FROZEN | mark::INVISIBLE) == 0 {
                *self.out.xrefs.entry((path, layer)).or_default() += 1;
            }
            return self.count_insert(insert, place, layer, State::Xref);
        }
        if self.stack.contains(&id) {
            self.out.cyclic.add(insert);
            return self.count_insert(insert, place, layer, State::Cycle);
        }
        if block.content.weight() == 0 && block.content.others.is_empty() {
            return self.count_insert(insert, place, layer, State::Empty);
        }
        let array = insert.array.as_deref().unwrap_or(&Array::ONE);
        let copies = u64::from(array.columns) * u64::from(array.rows);
        let cost = block.content.weight().max(1).saturating_mul(copies);
        let (deep, large) = (self.stack.len() >= self.depth, cost > self.budget);
        if deep || large {
            (if deep { &mut self.out.too_deep } else { &mut self.out.too_many }).add(insert);
            return self.count_insert(insert, place, layer, State::Limit);
        }
        if cost > self.affordable {
            self.out.too_large = Some(cost - self.affordable);
            return;
        }
        self.budget -= cost;
        self.affordable -= cost;
        self.stack.push(id);
        self.out.deepest = self.out.deepest.max(self.stack.len() as u64);
        for row in 0..array.rows {
            for column in 0..array.columns {
                let (c, r) = (f64::from(column), f64::from(row));
                let shift = Affine::shift([
                    array.column_step[0] * c + array.row_step[0] * r,
                    array.column_step[1] * c + array.row_step[1] * r,
                ]);
                let base = Affine::shift([-block.base[0], -block.base[1]]);
                let map = place.map.after(&shift).after(&insert.map).after(&base);
                let node = self.out.nodes.len() as u32;
                let (pos, parent) = (insert.pos, place.parent);
                self.out.nodes.push(Node { pos, parent, layer, block: insert.block });
                self.content(
                    &block.content,
                    &Place { map, parent: node, layer: Some(layer), marks },
                );
            }
        }
        self.stack.pop();
    }

    fn content(&mut self, content: &Linework, place: &Place) {
        let first = self.out.lines.shapes.len() as u32;
        for t in &content.texts {
            let mut text = t.mapped(&place.map);
            (text.layer, text.via) = (self.layer(t.layer, place), place.parent);
            text.marks |= place.marks;
            if text.shape != NO_SHAPE {
                text.shape += first;
            }
            self.out.lines.texts.push(text);
        }
        for d in &content.dimensions {
            let mut dimension = d.mapped(&place.map);
            dimension.shape += first;
            dimension.shown = self.shown(d.picture);
            self.out.lines.dimensions.push(dimension);
        }
        for (i, s) in content.shapes.iter().enumerate() {
            let layer = self.layer(s.layer, place);
            let mut shape = *s;
            (shape.layer, shape.via) = (layer, place.parent);
            shape.marks |= place.marks;
            self.out.lines.push_mapped(content, i, &place.map, shape);
        }
        for ((type_, layer, state), count) in &content.others {
            let state = match state {
                State::Paper => State::Paper,
                _ if place.marks & mark::FROZEN != 0 => State::Frozen,
                _ if place.marks & mark::INVISIBLE != 0 => State::Invisible,
                s => *s,
            };
            let key = (*type_, self.layer(*layer, place), state);
            let total = self.out.lines.others.entry(key).or_default();
            for (i, (handle, pos, _)) in count.sample.iter().enumerate() {
                let rest = count.count - (count.sample.len() as u64 - 1);
                total.add(if i == 0 { rest } else { 1 }, (*handle, *pos, place.parent));
            }
        }
        for insert in &content.inserts {
            self.insert(insert, place);
        }
    }
}

/// Layers of the table and of the entities, in order of name; the resolved number of each raw one.
fn resolve_layers(file: &DxfFile<'_>) -> (Vec<Layer>, Vec<u32>) {
    let mut by_key: BTreeMap<String, Layer> = BTreeMap::new();
    let mut spelled: BTreeSet<String> = BTreeSet::new();
    for row in &file.layer_rows {
        let name = file.decoder.decode(&row.name);
        let broken = row.broken.as_ref().map(|b| file.decoder.decode(b));
        let layer = Layer { name: name.clone(), off: row.off, frozen: row.frozen, broken };
        spelled.insert(name.to_uppercase());
        by_key.insert(name.to_uppercase(), layer);
    }
    let raw: Vec<String> = file.layer_names.iter().map(|n| file.decoder.decode(n)).collect();
    for name in &raw {
        let slot = by_key
            .entry(name.to_uppercase())
            .or_insert_with(|| Layer { name: name.clone(), ..Layer::default() });
        // Spelled differently by entities and in no table: the first in order of text.
        if !spelled.contains(&name.to_uppercase()) && *name < slot.name {
            slot.name = name.clone();
        }
    }
    let number: FxHashMap<&str, u32> =
        by_key.keys().enumerate().map(|(i, k)| (k.as_str(), i as u32)).collect();
    let resolved =
        raw.iter().map(|n| number.get(n.to_uppercase().as_str()).copied().unwrap_or(0)).collect();
    (by_key.into_values().collect(), resolved)
}

fn count_top_level(file: &DxfFile<'_>, model: &Linework) -> BTreeMap<String, u64> {
    let mut out: BTreeMap<String, u64> = BTreeMap::new();
    for s in &model.shapes {
        *out.entry(s.kind.name().to_owned()).or_default() += 1;
    }
    for ((type_, _, state), count) in &model.others {
        if *state != State::Paper {
            *out.entry(file.type_name(*type_)).or_default() += count.count;
        }
    }
    if !model.inserts.is_empty() {
        out.insert("INSERT".to_owned(), model.inserts.len() as u64);
    }
    out
}
