//! What there is to say about doors and windows: on no wall, taken by name or shape, windows by their glass.
//!
//! Knows: how such findings are worded and grouped. Never touches: which wall one lies on.

use crate::affine::{Xy, norm, sub};
use crate::glass::{Pane, PaneTally};
use crate::leftout::at_left_out_walls;
use crate::openings::{Symbol, Told};
use crate::report::{NAMED, Placed};
use crate::survey::Survey;
use crate::unitwords::size;
use diag::codes::dxf;
use diag::words::{counted, is, was};
use diag::{Finding, Severity, SourceRef};
use std::collections::BTreeMap;
use wall_model::OpeningKind;

/// Tells which doors and windows lie on no wall; the second of each pair says whether a wall in line with
/// it ends at it, so that top plates may be missing.
pub(crate) fn unhosted(
    s: &Survey<'_>,
    k: f64,
    lost: &[(&Symbol, bool)],
    no_walls: bool,
    findings: &mut Vec<Placed>,
) {
    if no_walls {
        return;
    }
    let symbols: Vec<&Symbol> = lost.iter().map(|l| l.0).collect();
    let (left_out, lost): (Vec<_>, Vec<_>) = lost
        .iter()
        .zip(at_left_out_walls(s, k, &symbols))
        .partition(|((_, wall_ends), left_out)| *left_out && !wall_ends);
    let mut sources: Vec<SourceRef> = left_out
        .iter()
        .filter_map(|((x, _), _)| x.shapes.iter().map(|i| s.source(*i)).min())
        .collect();
    if !sources.is_empty() {
        sources.sort();
        let message = format!(
            "{} at walls that are left out, for their layer's name or because no lumber fits them: nothing is \
             planned there.",
            match sources.len() {
                1 => "A door or window lies".to_owned(),
                n => format!("{n} doors and windows lie"),
            },
        );
        sources.truncate(NAMED);
        let finding = Finding::new(dxf::OPENING_UNHOSTED, message).from(&sources);
        findings.push(finding.severity(Severity::Note).into());
    }
    let mut all: Vec<(bool, SourceRef, &Symbol)> = lost
        .iter()
        .map(|l| l.0)
        .filter_map(|(x, ends)| Some((!ends, x.shapes.iter().map(|i| s.source(*i)).min()?, *x)))
        .collect();
    // Where plates may be missing first.
    all.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
    let severity = |wall_ends: bool| if wall_ends { Severity::Error } else { Severity::Warning };
    let (named, rest) = all.split_at(NAMED.min(all.len()));
    for (by_itself, source, symbol) in named {
        let corners = symbol.corners();
        let n = corners.len().max(1) as f64;
        let sum = corners.iter().fold([0.0, 0.0], |a, p| [a[0] + p[0], a[1] + p[1]]);
        findings.push(Placed {
            finding: Finding::new(
                dxf::OPENING_UNHOSTED,
                format!(
                    "The {} {} on layer {}, {} wide, lies on no wall{}.",
                    match (symbol.told, symbol.kind) {
                        (Told::Shape, _) => "leaf of a door",
                        (Told::Panels, _) => "pair of sliding panels",
                        (Told::Layer | Told::Name, kind) => kind.name(),
                    },
                    source.entity,
                    source.layer,
                    size(symbol.size()),
                    match by_itself {
                        true => "",
                        false =>
                            ", but in line with one that ends at it: the top plates over it may be missing",
                    }
                ),
            )
            .about(source.entity.clone())
            .from(std::slice::from_ref(source))
            .severity(severity(!by_itself)),
            at_in: Some([sum[0] / n, sum[1] / n]),
        });
    }
    if !rest.is_empty() {
        let some: Vec<SourceRef> = rest.iter().take(NAMED).map(|r| r.1.clone()).collect();
        let at_ends = rest.iter().filter(|r| !r.0).count();
        let mut message = format!("{} more doors and windows lie on no wall", rest.len());
        if at_ends > 0 {
            message += &format!(", {at_ends} of them in line with one that ends there");
        }
        message += ".";
        findings.push(
            Finding::new(dxf::OPENING_UNHOSTED, message)
                .from(&some)
                .severity(severity(at_ends > 0))
                .into(),
        );
    }
}

/// Which doors and windows were taken by the name of their block or by their shape, and lie on a wall.
pub(crate) fn told_otherwise(s: &Survey<'_>, taken: &[&Symbol]) -> Vec<Placed> {
    let mut by_name: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut by_layer: BTreeMap<(Told, OpeningKind), BTreeMap<String, u64>> = BTreeMap::new();
    let mut sources: BTreeMap<(Told, OpeningKind), Vec<SourceRef>> = BTreeMap::new();
    for x in taken {
        let Some(first) = x.shapes.first().and_then(|i| s.drawing.lines.shapes.get(*i)) else {
            continue;
        };
        let name = x.shapes.iter().map(|i| s.source(*i)).min().unwrap_or_default();
        // Inserts of either kind are told together, and so are leaves and swings.
        let kind = if x.told == Told::Panels { x.kind } else { OpeningKind::Door };
        let group = (x.told, kind);
        if x.told == Told::Name {
            let block = crate::symbols::block_of(s, first.via);
            *by_name.entry((block, name.layer.clone())).or_default() += 1;
        } else {
            *by_layer.entry(group).or_default().entry(name.layer.clone()).or_default() += 1;
        }
        sources.entry(group).or_default().push(name);
    }
    let mut out = Vec::new();
    for (group, mut own) in sources {
        own.sort();
        let (n, layers) = (own.len(), by_layer.get(&group));
        let list: Vec<String> = layers
            .into_iter()
            .flatten()
            .map(|(layer, n)| format!("{n} on layer {layer}"))
            .collect();
        let list = list.join(", ");
        let lie = if n == 1 { "lies" } else { "lie" };
        let finding = match group {
            (Told::Name, _) => Finding::new(dxf::OPENINGS_BY_NAME, named(n, &by_name)),
            (Told::Panels, OpeningKind::Window) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "{} {} drawn as panels that run past each other, as those of sliding doors do, between lines on \
                     both sides, as sills are drawn: {list}. The bottom plate is planned through {}. If it is a \
                     door, put its panels on a door layer.",
                    counted(n, "window"),
                    is(n),
                    if n == 1 { "there" } else { "all of them" }
                ),
            )
            .severity(Severity::Warning),
            (Told::Panels, _) => Finding::new(
                dxf::DOORS_BY_SHAPE,
                format!(
                    "{} {} taken by the shape, panels that run past each other, and {lie} on a wall: {list}.",
                    counted(n, "sliding door"),
                    was(n)
                ),
            ),
            _ => Finding::new(
                dxf::DOORS_BY_SHAPE,
                format!(
                    "{} {} taken by the shape, a leaf, a swing or both, and {lie} on a wall: {list}.",
                    counted(n, "door"),
                    was(n)
                ),
            ),
        };
        own.truncate(NAMED);
        out.push(finding.from(&own).into());
    }
    out
}

/// That inserts were taken by the names of their blocks.
fn named(n: usize, by_name: &BTreeMap<(String, String), u64>) -> String {
    let list: Vec<String> = by_name
        .iter()
        .take(12)
        .map(|((block, layer), n)| format!("{n} of {block} on layer {layer}"))
        .collect();
    let more = by_name.len().saturating_sub(12);
    let more = if more > 0 { format!(" and {more} more blocks") } else { String::new() };
    format!(
        "{} on walls {} taken for doors and windows by the name of the block: {}{more}.",
        counted(n, "insert"),
        was(n),
        list.join(", ")
    )
}

/// Windows that were taken by their glass, and places between jambs that were read as solid wall.
pub(crate) fn panes_findings(s: &Survey<'_>, told: PaneTally) -> Vec<Placed> {
    let one = |((layer, glass, lone), (count, pane, source)): (
        (u32, bool, bool),
        (usize, Pane, SourceRef),
    )| {
        let name = s.drawing.layer_name(layer);
        let [a, b] = pane.jambs;
        let wide = size(norm(sub(b, a)));
        let windows = counted(count, "window");
        let finding = match (glass, lone) {
            (true, false) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "Layer {name}: {windows} {} taken by the shape, lines along the middle of a wall between two \
                     jambs; the first is {wide} wide.",
                    was(count)
                ),
            ),
            (true, true) => Finding::new(
                dxf::WINDOWS_BY_SHAPE,
                format!(
                    "Layer {name}: {windows} {} taken by one line along the middle of a gap in both faces; the first \
                     is {wide} wide. A threshold, the track of a pocket door or a centreline looks the same. The bottom \
                     plate is planned through {}. If it is a doorway, put [[layers]] match = {}, use = \"door\" in \
                     the settings; use = \"ignore\" leaves a plain opening.",
                    was(count),
                    if count == 1 { "there" } else { "all of them" },
                    crate::inspect::toml_string(name)
                ),
            )
            .severity(Severity::Warning),
            (false, _) => Finding::new(
                dxf::JAMBS_BARE,
                format!(
                    "Layer {name}: {} between two lines square across a wall, as jambs are drawn, {} read as solid \
                     wall: both faces run on and nothing is drawn between. The first is {wide} wide.",
                    counted(count, "place"),
                    was(count)
                ),
            ),
        };
        let at_in = Some([(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
        Placed { finding: finding.about(name).from(&[source]), at_in }
    };
    told.layers.into_iter().map(one).collect()
}

/// That walls were carried on through a door or window to the wall beyond; `further` has their new ends by
/// wall line.
pub(crate) fn carried_on(further: &BTreeMap<usize, Vec<Xy>>) -> Option<Placed> {
    let count: usize = further.values().map(Vec::len).sum();
    let by_place = |a: &&Xy, b: &&Xy| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]));
    let first = further.values().flatten().min_by(by_place)?;
    let message = format!(
        "{count} {} at a door or window hard against another wall {} carried on through it to that wall, \
         with an opening.",
        if count == 1 { "wall that ends" } else { "walls that end" },
        was(count)
    );
    let finding = Finding::new(dxf::WALLS_CARRIED_ON, message);
    Some(Placed { finding, at_in: Some(*first) })
}
