//! The account: what became of each entity, and why.
//!
//! Knows: the reasons for leaving an entity out, and how they read in the ledger. Never touches:
//! geometry. Every entity of the flattened drawing is counted exactly once: one with linework by its
//! shape, the others by their counts.

use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage};
use crate::linework::{Kind, Shape, State, mark};
use diag::Ledger;
use std::collections::BTreeMap;

/// What became of an entity with linework.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Fate {
    /// May become a wall or opening; nothing stays so.
    Open,
    /// Part of what may be a door or window, though its layer does not say so; nothing stays so.
    Asked,
    /// Became (part of) a wall or an opening.
    Used,
    /// Left out.
    Left(Reason),
}

impl Fate {
    /// Left out because nobody sees it, or because nobody knows where it is.
    pub fn is_unseen(self) -> bool {
        use Reason::{Bad, Far, Frozen, Invisible, Off};
        matches!(self, Fate::Left(Invisible | Off | Frozen | Bad | Far))
    }
}

/// Why an entity was left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Reason {
    /// Group 60.
    Invisible,
    /// Its layer is off.
    Off,
    /// Its layer, or that of an insert it is in, is frozen.
    Frozen,
    /// Its layer was not recognised.
    NotUsed,
    /// Its layer is left out by a rule or its name.
    Ignored,
    /// An outline, curve, text or dimension that gave no wall or opening.
    NotRead,
    /// Its plane is not level.
    Tilted,
    /// A coordinate is missing, unreadable or absurd.
    Bad,
    /// Beyond all buildings, or too far from the other walls.
    Far,
    /// No length.
    ZeroLength,
    /// Curved.
    Curved,
    /// A face line that bounds no wall.
    FaceLines,
    /// In or across a wall drawn as faces: its end, a jamb, hatching.
    InsideWall,
    /// A small closed figure: a column, a cabinet.
    Box,
    /// One of a row of lines at even steps: stairs, hatching.
    Row,
    /// One of many in one place.
    Copy,
    /// Looks a little like a wall.
    Doubtful,
    /// In a drawing on the sheet that is not planned.
    OtherDrawing,
    /// On a wall layer, but drawn hidden, dashed or dotted.
    Broken,
    /// No section fits.
    NoSection,
    /// An opening on no wall.
    Unhosted,
    /// An opening, and the drawing has no walls that could be read.
    NoWalls,
    /// Would have been used, but no model is made.
    NotPlanned,
}

impl Drawing {
    /// The frozen layer of an insert that hides a shape whose own layer is not frozen; of several the
    /// innermost.
    pub fn hidden_by(&self, shape: &Shape) -> Option<u32> {
        let frozen = |l: u32| self.layers.get(l as usize).is_some_and(|l| l.frozen);
        if frozen(shape.layer) {
            return None;
        }
        let mut at = shape.via;
        while let Some(node) = self.nodes.get(at as usize) {
            if frozen(node.layer) {
                return Some(node.layer);
            }
            at = node.parent;
        }
        None
    }
}

/// The fate of a shape as far as its marks and layer tell.
pub(crate) fn first_fate(shape: &Shape, off: bool, frozen: bool, role: &LayerRole) -> Fate {
    let has = |m: u16| shape.marks & m != 0;
    Fate::Left(match role.usage {
        _ if has(mark::INVISIBLE) => Reason::Invisible,
        _ if frozen || has(mark::FROZEN) => Reason::Frozen,
        _ if off => Reason::Off,
        Usage::Unknown => Reason::NotUsed,
        Usage::Ignored => Reason::Ignored,
        _ if !shape.is_line() => Reason::NotRead,
        _ if has(mark::TILTED) => Reason::Tilted,
        _ if has(mark::BAD) => Reason::Bad,
        _ => return Fate::Open,
    })
}

/// How a reason reads in the ledger.
pub(crate) fn reason_text(reason: Reason, kind: &str, layer: &str, role: &LayerRole) -> String {
    match reason {
        Reason::NotRead => format!("{kind} is not read as a {}: {layer}", role.usage.name()),
        Reason::Invisible => "invisible entity".to_owned(),
        Reason::Off => format!("layer is off: {layer}"),
        Reason::Frozen => format!("layer is frozen: {layer}"),
        Reason::NotUsed => format!("layer not a wall, door or window layer: {layer}"),
        Reason::Ignored => format!("layer left out ({}): {layer}", role.rule),
        Reason::Tilted => format!("not level: {layer}"),
        Reason::Bad => format!("coordinate missing or no number: {layer}"),
        Reason::Far => format!("more than 100 km from the other walls: {layer}"),
        Reason::ZeroLength => format!("no length: {layer}"),
        Reason::Curved => format!("curved wall: {layer}"),
        Reason::FaceLines => format!("face line without a partner: {layer}"),
        Reason::InsideWall => format!("end, jamb or hatch line of a wall: {layer}"),
        Reason::Box => format!("small closed figure, column or cabinet: {layer}"),
        Reason::Row => format!("row of lines at even steps, stairs or hatching: {layer}"),
        Reason::Copy => format!("the same line many times over in one place: {layer}"),
        Reason::Doubtful => format!("too little like a wall to be planned: {layer}"),
        Reason::OtherDrawing => format!("in a drawing that is not planned: {layer}"),
        Reason::Broken => format!("drawn hidden, dashed or dotted: {layer}"),
        Reason::NoSection => format!("no lumber section fits the wall: {layer}"),
        Reason::Unhosted => format!("{} on no wall: {layer}", role.usage.name()),
        Reason::NotPlanned => format!("{} not planned: {layer}", role.usage.name()),
        Reason::NoWalls => format!("{} without walls: {layer}", role.usage.name()),
    }
}

fn state_text(
    state: State,
    type_: &str,
    layer: &str,
    off: bool,
    frozen: bool,
    role: &LayerRole,
) -> String {
    match state {
        State::Paper => "paper space".to_owned(),
        State::Invisible => "invisible entity".to_owned(),
        State::CutOff => "cut off by the end of the file".to_owned(),
        State::Stray => "outside any block".to_owned(),
        State::MissingBlock => "insert of a block that is not in the file".to_owned(),
        State::Xref => "insert of an external reference".to_owned(),
        State::Cycle => "insert of a block inside itself".to_owned(),
        State::Limit => "insert beyond the size limit".to_owned(),
        State::Empty => "insert of an empty block".to_owned(),
        State::Frozen => format!("layer is frozen: {layer}"),
        State::NotRead if frozen => format!("layer is frozen: {layer}"),
        State::NotRead if off => format!("layer is off: {layer}"),
        State::NotRead => match role.usage {
            Usage::Unknown => reason_text(Reason::NotUsed, type_, layer, role),
            Usage::Ignored => reason_text(Reason::Ignored, type_, layer, role),
            _ => reason_text(Reason::NotRead, type_, layer, role),
        },
    }
}

/// Reason, layer, kind, and the frozen layer of an insert that hides it.
type LeftKey = (Reason, u32, Kind, Option<u32>);

/// Samples the ledger shows for each reason.
const SAMPLES: usize = 5;

/// The ledger of a drawing.
pub(crate) fn ledger(
    file: &DxfFile<'_>,
    drawing: &Drawing,
    roles: &[LayerRole],
    fates: &[Fate],
) -> Ledger {
    let mut out = Ledger::default();
    let nobody = crate::layers::role_of("", &settings::Settings::default());
    let role = |layer: u32| roles.get(layer as usize).unwrap_or(&nobody);
    // Reason, layer and kind to shapes: count, and the lowest handles.
    let mut left: BTreeMap<LeftKey, (u64, Vec<SampleKey>)> = BTreeMap::new();
    for (shape, fate) in drawing.lines.shapes.iter().zip(fates) {
        match fate {
            Fate::Used => out.use_one(),
            Fate::Open | Fate::Asked => debug_assert!(false, "an entity was left open"),
            Fate::Left(reason) => {
                let by = (*reason == Reason::Frozen).then(|| drawing.hidden_by(shape)).flatten();
                let slot = left.entry((*reason, shape.layer, shape.kind, by)).or_default();
                slot.0 += 1;
                add_sample(&mut slot.1, file, shape);
            }
        }
    }
    let mut reasons: BTreeMap<String, (u64, Vec<SampleKey>)> = BTreeMap::new();
    let mut merge = |text: String, count: u64, sample: Vec<SampleKey>| {
        let slot = reasons.entry(text).or_default();
        slot.0 += count;
        slot.1.extend(sample);
    };
    for ((reason, layer, kind, by), (count, sample)) in left {
        // What is in an insert on a frozen layer is frozen by that layer, not by its own.
        let named = by.unwrap_or(layer);
        let text = reason_text(reason, kind.name(), drawing.layer_name(named), role(layer));
        merge(text, count, sample);
    }
    for ((type_, layer, state), count) in &drawing.lines.others {
        let l = drawing.layers.get(*layer as usize);
        let (off, frozen) = l.map_or((false, false), |l| (l.off, l.frozen));
        let text = state_text(
            *state,
            &file.type_name(*type_),
            drawing.layer_name(*layer),
            off,
            frozen,
            role(*layer),
        );
        let sample = count.sample.iter().map(|(h, pos, via)| (*via, *h, *pos)).collect();
        merge(text, count.count, sample);
    }
    for (text, (count, mut sample)) in reasons {
        sample.sort_unstable_by_key(|s| (s.0.wrapping_add(1), s.1, s.2));
        let named = sample.iter().take(SAMPLES).map(|s| drawing.entity(file, s.2, s.0));
        out.ignore_many(text, count, named);
    }
    out
}

/// Insert, handle as a number, offset.
type SampleKey = (u32, u64, u32);

fn add_sample(sample: &mut Vec<SampleKey>, file: &DxfFile<'_>, shape: &Shape) {
    // Model space first: its `via` is the greatest number, which wraps to 0.
    let order = |s: &SampleKey| (s.0.wrapping_add(1), s.1, s.2);
    if let Some(last) = sample.last()
        && sample.len() >= SAMPLES
        && shape.via.wrapping_add(1) > last.0.wrapping_add(1)
    {
        return;
    }
    let handle = file.handle_number(shape.pos);
    let key = (shape.via, handle, shape.pos);
    let at = sample.partition_point(|s| order(s) < order(&key));
    if at < SAMPLES {
        sample.insert(at, key);
        sample.truncate(SAMPLES);
    }
}
