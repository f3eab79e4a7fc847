//! From the drawings on a sheet to storeys, and what is said about them.
//!
//! Knows: which walls are planned on which storey, what becomes of the others. Never touches: how
//! drawings are told apart (`region`).

use crate::account::{Fate, Reason};
use crate::region::{Layout, Region, told};
use crate::report::Placed;
use crate::sameplan::Same;
use crate::survey::Survey;
use crate::titles::{DrawingKind, title};
use crate::walls::WallLine;
use diag::codes::{dxf, input};
use diag::{Finding, Severity, SourceRef};
use settings::Settings;
use std::collections::BTreeSet;
use wall_model::DraftStorey;

/// Walls with their storeys.
pub(crate) struct Storeys {
    /// In order.
    pub storeys: Vec<DraftStorey>,
    /// The walls that are planned.
    pub walls: Vec<WallLine>,
    /// Storey of each.
    pub of: Vec<usize>,
    /// All drawings on the sheet.
    pub regions: Vec<Region>,
}

/// Sorts walls into storeys; walls of other drawings are left out and said.
pub(crate) fn storeys(
    s: &mut Survey<'_>,
    k: f64,
    (mut walls, layout): (Vec<WallLine>, Layout),
    settings: &Settings,
    findings: &mut Vec<Placed>,
) -> Storeys {
    say(s, k, &layout, &walls, settings, findings);
    let mut of_region = vec![None; layout.regions.len()];
    let mut storeys = Vec::new();
    for (n, region) in layout.storeys.iter().enumerate() {
        let name = layout.regions.get(*region).map_or("Plan", |r| r.storey.as_str());
        // A drawing gives no heights of floors: the order is all there is.
        let elevation_in = settings.default_top.to_inches() * n as f64;
        storeys.push(DraftStorey { name: name.to_owned(), elevation_in });
        if let Some(slot) = of_region.get_mut(*region) {
            *slot = Some(n);
        }
    }
    let mut of = Vec::with_capacity(walls.len());
    let mut left: BTreeSet<usize> = BTreeSet::new();
    let mut regions = layout.of.iter();
    walls.retain(|w| {
        let storey = regions.next().and_then(|r| of_region.get(*r).copied().flatten());
        match storey {
            Some(storey) => of.push(storey),
            None => left.extend(&w.shapes),
        }
        storey.is_some()
    });
    let mut out = Storeys { storeys, walls, of, regions: layout.regions };
    if !left.is_empty() {
        for i in out.walls.iter().flat_map(|w| &w.shapes) {
            left.remove(i);
        }
    }
    for i in left {
        if let Some(slot) = s.fates.get_mut(i) {
            *slot = Fate::Left(Reason::OtherDrawing);
        }
    }
    if out.storeys.is_empty() {
        out.storeys.push(DraftStorey { name: "Plan".to_owned(), elevation_in: 0.0 });
    }
    out
}

fn say(
    s: &Survey<'_>,
    k: f64,
    layout: &Layout,
    walls: &[WallLine],
    settings: &Settings,
    findings: &mut Vec<Placed>,
) {
    let with_walls: Vec<&Region> =
        layout.regions.iter().filter(|r| r.walls > 0 || r.lines > 0).collect();
    let place = |r: &Region| {
        let b = r.bounds.map(|v| v * k);
        Some([(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0])
    };
    let planned: Vec<&Region> = with_walls.iter().copied().filter(|r| r.planned).collect();
    if planned.len() > 1 {
        let untitled = planned.iter().any(|r| r.title.is_empty());
        let list: Vec<String> = planned.iter().map(|r| told(r)).collect();
        let finding = Finding::new(
            dxf::SEVERAL_PLANS,
            format!(
                "The sheet holds {} plans side by side: {}. Each is planned as a storey where it stands; \
                 nothing is joined across them. To plan only one, set region = \"{}\" in the settings.",
                planned.len(),
                list.join("; "),
                planned.first().map_or(1, |r| r.number)
            ) + &guessed_order(&planned),
        )
        .about("region");
        let unsure = planned.iter().filter(|r| !r.placed).count() > 0;
        let severity = if untitled || unsure { Severity::Warning } else { Severity::Note };
        findings.push(finding.severity(severity).into());
    }
    for (i, j, same) in &layout.copies {
        let (Some(a), Some(b)) = (layout.regions.get(*i), layout.regions.get(*j)) else { continue };
        let finding = Finding::new(
            dxf::SAME_PLAN_TWICE,
            format!(
                "Regions {} and {} of the sheet {}. Both are planned, and their plates bought. If only one is \
                 built, set region = \"{}\" or region = \"{}\" in the settings.",
                told(a),
                told(b),
                match same {
                    Same::Walls =>
                        "show the same walls: one floor drawn twice, an electrical plan or an option, say",
                    Same::TurnedOver =>
                        "show the same walls, one turned over: a reversed plan of one floor",
                    Same::Variant =>
                        "are two plans of one floor by their titles: an option, alternate or reversed plan",
                },
                a.number,
                b.number
            ),
        );
        findings.push(Placed { finding: finding.about("region"), at_in: place(b) });
    }
    for r in with_walls.iter().filter(|r| !r.planned) {
        let index = r.number.saturating_sub(1);
        let mut source: Vec<SourceRef> = walls
            .iter()
            .zip(&layout.of)
            .filter(|(_, of)| **of == index)
            .map(|(w, _)| w.source(s))
            .chain(layout.left.get(index).into_iter().flatten().map(|i| s.source(*i)))
            .collect();
        source.sort();
        source.dedup();
        source.truncate(5);
        let chosen = !settings.regions.is_empty();
        let what = match r.kind {
            _ if chosen => "was not chosen".to_owned(),
            DrawingKind::Unknown => format!("was taken for no floor plan ({})", r.why),
            kind => format!("was taken for {} {}", article(kind), kind.name()),
        };
        let finding = Finding::new(
            dxf::OTHER_DRAWING,
            format!(
                "Region {} {what} and left out. If it is a floor plan, set region = \"{}\" in the \
                 settings (several: region = [\"1\", \"2\"]).",
                told(r),
                r.number
            ),
        )
        .about("region")
        .from(&source);
        // On a layer of walls, only a title takes walls out without an error.
        let sure = s.unnamed.is_some() || !r.title.is_empty();
        let severity = match () {
            _ if chosen => Severity::Note,
            _ if sure => Severity::Warning,
            _ => Severity::Error,
        };
        findings.push(Placed { finding: finding.severity(severity), at_in: place(r) });
    }
    let none = !layout.regions.iter().any(|r| r.planned);
    let nothing = !settings.regions.is_empty() && none && !with_walls.is_empty();
    if nothing {
        let list: Vec<String> = with_walls.iter().map(|r| told(r)).collect();
        let finding = Finding::new(
            input::SETTINGS_BAD,
            format!(
                "region = {:?} fits no drawing on the sheet that has walls. There are: {}. Give a number \
                 or a title; inspect lists them.",
                settings.regions,
                list.join("; ")
            ),
        );
        findings.push(finding.about("region").into());
    }
}

/// That titles do not tell the order of all storeys, where that is so.
fn guessed_order(planned: &[&Region]) -> String {
    let unplaced: Vec<String> =
        planned.iter().filter(|r| !r.placed).map(|r| r.number.to_string()).collect();
    if unplaced.is_empty() {
        return String::new();
    }
    let numbered = planned.iter().all(|r| title(&r.title).is_some_and(|t| t.number.is_some()));
    let by = if numbered { " by the numbers in their titles" } else { "" };
    format!(
        " Their order from below was guessed{by}: no title says which storey region {} is.",
        unplaced.join(" or ")
    )
}

fn article(kind: DrawingKind) -> &'static str {
    match kind {
        DrawingKind::Elevation => "an",
        _ => "a",
    }
}
