//! What `inspect` shows of a drawing.
//!
//! Knows: layers with their counts, lengths and how much they look like walls; settings lines that
//! would map them. Never touches: wall models; it works where none can be made.

use crate::account::{Fate, ledger};
use crate::byshape::WallByShape;
use crate::faces::{FaceStatistics, sampled_partners};
use crate::heightnotes::HeightNote;
use crate::layers::{LayerRole, Usage};
use crate::linework::{Kind, Segment, State};
use crate::nearby::LineIndex;
use crate::region::Region;
use crate::survey::Survey;
use crate::units::UnitsEvidence;
use crate::walls::Seen;
use crate::words;
use diag::codes::dxf;
use diag::{Finding, Ledger};
use limits::Used;
use std::collections::BTreeMap;

/// Everything `inspect` shows and a report needs, even when no model can be made.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// `AC1027 (2013)`, `unknown version`.
    pub version: String,
    /// The program that wrote the file, as its first comment says; may be empty.
    pub written_by: String,
    /// Whether the file is binary.
    pub binary: bool,
    /// The evidence on units and the decision, or why there is none.
    pub units: UnitsEvidence,
    /// Layers in order of name.
    pub layers: Vec<LayerSummary>,
    /// Entities in model space itself by type; an insert counts as one.
    pub model_entities: Vec<(String, u64)>,
    /// What became, or would become, of every entity.
    pub ledger: Ledger,
    /// What there is to say, most telling first; refusals of `read` included.
    pub findings: Vec<Finding>,
    /// Settings that would map the layers that look like walls, line by line; empty when walls are
    /// recognised already.
    pub proposal: Vec<String>,
    /// Walls found by their shape, where no layer is known to hold walls; else empty.
    pub walls_by_shape: Vec<WallByShape>,
    /// The drawings on the sheet; empty when the unit is not known.
    pub regions: Vec<Region>,
    /// Heights of walls and ceilings that are written in the drawing; empty when no walls can be read.
    pub heights: Vec<HeightNote>,
    /// What of each limit the file took; its own size and its walls are the caller's to say.
    pub used: Used,
}

/// One layer.
#[derive(Clone, Debug)]
pub struct LayerSummary {
    /// Name.
    pub name: String,
    /// Entities by type, those reached through inserts included, paper space not.
    pub counts: Vec<(String, u64)>,
    /// Length of all straight lines and arcs, drawing units.
    pub length: f64,
    /// Switched off.
    pub off: bool,
    /// Frozen.
    pub frozen: bool,
    /// `wall`, `door`, `window` or `ignored`.
    pub used_as: String,
    /// By which rule.
    pub rule: String,
    /// How much its linework looks like walls, 0 to 100: name, straight square lines, parallel pairs.
    pub walls_score: u32,
}

impl LayerSummary {
    /// All entities.
    pub fn entities(&self) -> u64 {
        self.counts.iter().map(|c| c.1).sum()
    }
    /// `214 LINE, 3 ARC`: the commonest types.
    pub(crate) fn counts_text(&self, types: usize) -> String {
        let mut by_count: Vec<&(String, u64)> = self.counts.iter().collect();
        by_count.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
        let list: Vec<String> =
            by_count.iter().take(types).map(|(t, n)| format!("{n} {t}")).collect();
        let more = if by_count.len() > types { ", ..." } else { "" };
        list.join(", ") + more
    }
}

/// Builds the inspection from a survey and what `read` made of it.
pub(crate) fn inspection(
    s: Survey<'_>,
    ledger: Ledger,
    findings: Vec<Finding>,
    seen: Seen,
) -> Inspection {
    let mut layers = layer_summaries(&s);
    let mut proposal = propose(&layers, &s);
    let missed = findings.iter().filter(|f| f.code == dxf::LAYER_LIKE_WALLS);
    let missed = layers.iter().filter(|l| missed.clone().any(|f| f.subject == l.name));
    proposal.extend(missed.flat_map(entry));
    for n in s.unnamed.iter().flat_map(|u| &u.network.layers) {
        let name = s.drawing.layer_name(*n);
        if let Some(l) = layers.iter_mut().find(|l| l.name == name && l.used_as == "ignored") {
            l.used_as = "wall".to_owned();
            l.rule = "walls found by their shape".to_owned();
        }
    }
    let walls_by_shape = crate::byshape::listed(&s);
    let (entities, nesting) = (s.drawing.expanded, s.drawing.deepest);
    Inspection {
        used: Used { entities, nesting, ..Used::default() },
        version: s.version(),
        written_by: s.written_by(),
        binary: s.file.is_binary(),
        model_entities: s.drawing.top_level.iter().map(|(t, n)| (t.clone(), *n)).collect(),
        units: s.units,
        layers,
        ledger,
        findings,
        proposal,
        walls_by_shape,
        regions: seen.regions,
        heights: seen.heights,
    }
}

/// The ledger when no model is made: nothing is used.
pub(crate) fn ledger_without_model(s: &Survey<'_>) -> Ledger {
    let fates: Vec<Fate> = s
        .fates
        .iter()
        .map(|f| match f {
            Fate::Open | Fate::Asked | Fate::Used => Fate::Left(crate::account::Reason::NotPlanned),
            left => *left,
        })
        .collect();
    ledger(&s.file, &s.drawing, &s.roles, &fates)
}

/// One summary a layer, in order of name; layers without entities too.
pub(crate) fn layer_summaries(s: &Survey<'_>) -> Vec<LayerSummary> {
    let n = s.drawing.layers.len();
    let mut counts: Vec<BTreeMap<String, u64>> = vec![BTreeMap::new(); n];
    let mut lines: Vec<Vec<Segment>> = vec![Vec::new(); n];
    let mut lengths = vec![0.0; n];
    let mut curved = vec![0_u64; n];
    let mut shapes_of: Vec<BTreeMap<Kind, u64>> = vec![BTreeMap::new(); n];
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let l = shape.layer as usize;
        let (Some(kinds), Some(own), Some(length), Some(arcs)) =
            (shapes_of.get_mut(l), lines.get_mut(l), lengths.get_mut(l), curved.get_mut(l))
        else {
            continue;
        };
        *kinds.entry(shape.kind).or_default() += 1;
        if !shape.is_line() {
            continue;
        }
        for g in s.drawing.lines.segments_of(i).filter_map(|k| s.drawing.lines.segments.get(k)) {
            own.push(*g);
            *length += crate::affine::norm(crate::affine::sub(g.b, g.a));
        }
        for a in s.drawing.lines.arcs_of(i).filter_map(|k| s.drawing.lines.arcs.get(k)) {
            *arcs += 1;
            *length += a.length();
        }
    }
    for (slot, kinds) in counts.iter_mut().zip(&shapes_of) {
        slot.extend(kinds.iter().map(|(k, n)| (k.name().to_owned(), *n)));
    }
    for ((type_, layer, state), count) in &s.drawing.lines.others {
        if *state == State::Paper {
            continue;
        }
        if let Some(slot) = counts.get_mut(*layer as usize) {
            *slot.entry(s.file.type_name(*type_)).or_default() += count.count;
        }
    }
    let inches = likely_inches(s);
    let mut out = Vec::with_capacity(n);
    for (i, (layer, role)) in s.drawing.layers.iter().zip(&s.roles).enumerate() {
        let own = lines.get(i).map_or(&[][..], Vec::as_slice);
        let counts: Vec<(String, u64)> =
            counts.get(i).cloned().unwrap_or_default().into_iter().collect();
        let arcs = curved.get(i).copied().unwrap_or(0);
        let others = counts.iter().map(|c| c.1).sum::<u64>();
        out.push(LayerSummary {
            name: layer.name.clone(),
            walls_score: score(role, &layer.name, own, arcs, others, &inches),
            counts,
            length: lengths.get(i).copied().unwrap_or(0.0),
            off: layer.off,
            frozen: layer.frozen,
            used_as: role.usage.name().to_owned(),
            rule: role.rule.clone(),
        });
    }
    out
}

/// Inches in a drawing unit, for the score only: as decided, as stated, or every usual one.
fn likely_inches(s: &Survey<'_>) -> Vec<f64> {
    let stated = crate::units::insunits(s.file.header.insunits.unwrap_or(0)).map(|u| u.1);
    match s.units.decision.as_ref().map(|d| d.inches_per_unit).or(stated) {
        Some(k) => vec![k],
        None => geom::Unit::ALL.map(geom::Unit::inches).to_vec(),
    }
}

/// Half for the name, half for the linework: straight, square, and running in pairs or long.
fn score(
    role: &LayerRole,
    name: &str,
    lines: &[Segment],
    arcs: u64,
    entities: u64,
    inches: &[f64],
) -> u32 {
    if role.usage.is_opening() {
        return 0;
    }
    let upper = name.to_uppercase();
    let named = match role.usage {
        Usage::Wall => 50,
        Usage::Ignored => return 0,
        _ if words::WALL.iter().filter(|w| w.chars().count() >= 3).any(|w| upper.contains(w)) => 40,
        _ => 0,
    };
    // A handful of lines on a layer of no telling name is no plan.
    if lines.len() < if named > 0 { 3 } else { 4 } {
        return 0;
    }
    if named < 50 && crate::layers::is_of_other_things(name) {
        return 0;
    }
    let straight = lines.len() as f64 / (lines.len() as f64 + arcs as f64 * 2.0);
    let linework = (lines.len() as f64 / entities.max(1) as f64).min(1.0);
    let square = square_share(lines);
    let index = LineIndex::new(lines);
    let share = |k: &f64| {
        let found = sampled_partners(lines, &index, 2.5 / k, 14.0 / k, 300);
        FaceStatistics::of(found.into_iter(), 2.5 / k, 0.0625 / k).share
    };
    let paired = inches.iter().map(share).fold(0.0, f64::max);
    named + (straight * linework * (15.0 + 20.0 * square + 15.0 * paired)).round() as u32
}

/// Share of the length that runs along the drawing's main direction or square to it.
fn square_share(lines: &[Segment]) -> f64 {
    let mut by_angle: BTreeMap<i64, f64> = BTreeMap::new();
    let mut total = 0.0;
    for g in lines {
        let d = crate::affine::sub(g.b, g.a);
        let length = crate::affine::norm(d);
        let degrees = d[1].atan2(d[0]).to_degrees().rem_euclid(90.0);
        *by_angle.entry((degrees.round() as i64).rem_euclid(90)).or_default() += length;
        total += length;
    }
    let best = by_angle.values().copied().fold(0.0, f64::max);
    if total > 0.0 { best / total } else { 0.0 }
}

/// Layers that are not used but look like walls, likeliest first.
pub(crate) fn likely_walls(layers: &[LayerSummary]) -> Vec<&LayerSummary> {
    let mut likely: Vec<&LayerSummary> =
        layers.iter().filter(|l| l.walls_score >= 30 && l.used_as == "ignored").collect();
    likely.sort_by(|a, b| {
        let by_score = b.walls_score.cmp(&a.walls_score);
        by_score.then(b.length.total_cmp(&a.length)).then(a.name.cmp(&b.name))
    });
    likely
}

/// Layers that were left out by their name though it has a word for wall, and have lines; most lines first.
pub(crate) fn left_out_walls<'a>(
    s: &Survey<'_>,
    layers: &'a [LayerSummary],
) -> Vec<&'a LayerSummary> {
    let is_left_out = |l: &&LayerSummary| {
        let role = s.drawing.layers.iter().zip(&s.roles).find(|(x, _)| x.name == l.name);
        l.length > 0.0 && role.is_some_and(|(_, r)| r.excluded_wall)
    };
    // A line or two of what is to go are not meant where a layer with more looks like walls.
    let least = likely_walls(layers).first().map_or(0.0, |l| l.length);
    let mut out: Vec<&LayerSummary> =
        layers.iter().filter(is_left_out).filter(|l| l.length >= least).collect();
    out.sort_by(|a, b| b.length.total_cmp(&a.length).then(a.name.cmp(&b.name)));
    out
}

/// `[[layers]]` entries for the layers that look like walls but are not recognised.
fn propose(layers: &[LayerSummary], s: &Survey<'_>) -> Vec<String> {
    if layers.iter().any(|l| l.used_as == "wall" && l.entities() > 0) {
        return Vec::new();
    }
    // What was found by shape says more than how a layer looks by itself.
    let found: Vec<&str> = match &s.unnamed {
        Some(u) => u.network.layers.iter().map(|l| s.drawing.layer_name(*l)).collect(),
        None => Vec::new(),
    };
    let left_out = left_out_walls(s, layers);
    let likely = match left_out.is_empty() {
        true => likely_walls(layers),
        false => left_out,
    };
    let likely = likely.into_iter().take(3).map(|l| l.name.as_str());
    let names = if found.is_empty() { likely.collect() } else { found };
    let mut out = Vec::new();
    for name in names {
        out.extend(layers.iter().find(|l| l.name == name).into_iter().flat_map(entry));
    }
    out
}

/// The `[[layers]]` entry that makes a layer one of walls, line by line.
fn entry(l: &LayerSummary) -> [String; 4] {
    [
        format!("# {}; {} % like walls", l.counts_text(3), l.walls_score),
        "[[layers]]".to_owned(),
        format!("match = {}", toml_string(&l.name)),
        "use = \"wall\"".to_owned(),
    ]
}

/// A name as a TOML basic string.
pub(crate) fn toml_string(name: &str) -> String {
    let mut out = String::from("\"");
    for c in name.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", c as u32)),
            c => out.push(c),
        }
    }
    out + "\""
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use settings::Settings;

    /// What has a wall's name and was left out for it is meant, not what looks a little like walls.
    #[test]
    fn the_only_walls_left_out_by_name_are_proposed() {
        let corners = [[0.0, 0.0], [480.0, 0.0], [480.0, 360.0], [0.0, 360.0]];
        let small = [[20.0, 20.0], [60.0, 20.0], [60.0, 60.0], [20.0, 60.0]];
        for layer in ["G-WALL", "A-WALL-EXST", "EXISTING WALLS", "A-WALL-PATT"] {
            let d = Dxf::inches().polyline(layer, &corners, true).polyline("G-WIN", &small, true);
            let text = d.text();
            let refusal = crate::read(text.as_bytes(), &Settings::default())
                .expect_err("a refusal")
                .to_string();
            let wanted = format!("[[layers]] match = \"{layer}\", use = \"wall\"");
            assert!(refusal.contains(&wanted), "{refusal}");
            assert!(!refusal.contains("Did you mean"), "{refusal}");
            let seen =
                crate::inspect(text.as_bytes(), &Settings::default()).expect("an inspection");
            assert!(seen.proposal.iter().any(|l| l.contains(layer)), "{:?}", seen.proposal);
        }
    }
}
