//! How a drawing was read: units, mapping table, drawings on the sheet.

use super::{FindingOut, FrameOut, LedgerOut};
use crate::review::Review;
use import_dxf::LayerSummary;
use import_ifc::TypeSummary;
use lumber::Section;
use overrides::LayerForm;
use pipeline::{Drawing, Inspection};
use serde::Serialize;
use serde_json::{Value, json};
use settings::glob_match;
use wall_model::{UnitsDecision, Wall};

/// How much a layer must look like walls to be offered as one, percent.
const LIKELY: u32 = 30;

/// One line of the mapping table.
#[derive(Default, Serialize)]
struct Row {
    name: String,
    entities: u64,
    counts: Vec<Count>,
    off: bool,
    frozen: bool,
    used_as: String,
    rule: String,
    walls_score: Option<u32>,
    walls: u64,
    section: Option<&'static str>,
    exterior: Option<bool>,
    bearing: Option<bool>,
    top: Option<f64>,
    framing: Option<String>,
    proposed: Option<LayerForm>,
    edit: Option<usize>,
}

#[derive(Serialize)]
struct Count {
    kind: String,
    count: u64,
}

/// See `Reading` in the API.
pub(crate) fn reading(r: &Review, inspection: &Inspection) -> Value {
    let walls: &[Wall] = r.read.reading.as_ref().map_or(&[], |reading| &reading.model.walls);
    let overrides = r.now.overrides.form();
    let (ledger, findings) = match &r.read.reading {
        Ok(reading) => (&reading.model.ledger, &reading.findings),
        Err(refusal) => (inspection.ledger(), &refusal.findings),
    };
    let findings: Vec<FindingOut> = findings.iter().map(FindingOut::without_place).collect();
    let mut out = match &inspection.drawing {
        Drawing::Dxf(i) => {
            let rows: Vec<Row> = i.layers.iter().map(|l| layer(l, walls)).collect();
            let readings: Value = i
                .units
                .readings
                .iter()
                .map(|u| json!({ "unit": u.unit, "plausible": u.plausible, "evidence": u.text }))
                .collect();
            let regions: Value = i.regions.iter().map(|g| region(g, r)).collect();
            json!({
                "format": "dxf", "version": i.version, "written_by": i.written_by,
                "units": units(i.units.decision.as_ref()), "unit_said": i.units.header,
                "unit_readings": readings, "rows_are": "layers", "rows": rows, "regions": regions,
            })
        }
        Drawing::Ifc(i) => {
            let rows: Vec<Row> = i.types.iter().map(|t| wall_type(t, walls)).collect();
            json!({
                "format": "ifc", "version": i.version, "written_by": i.written_by,
                "units": units(i.units.as_ref()), "unit_said": "",
                "unit_readings": [], "rows_are": "wall types", "rows": rows, "regions": [],
            })
        }
    };
    for row in out["rows"].as_array_mut().into_iter().flatten() {
        let name = row["name"].as_str().unwrap_or_default();
        let edit = overrides.layers.iter().position(|l| glob_match(&l.r#match, name));
        row["edit"] = json!(edit);
    }
    out["edition"] = json!(r.seen.job.record.edition);
    out["frame"] = json!(FrameOut::of(&r.frame, super::plan::offset(r)));
    out["ledger"] = json!(LedgerOut::of(ledger));
    out["findings"] = json!(findings);
    out
}

fn units(decision: Option<&UnitsDecision>) -> Value {
    decision.map_or(Value::Null, |d| {
        json!({ "name": d.name, "inches_per_unit": d.inches_per_unit, "decided_by": d.decided_by })
    })
}

fn region(g: &import_dxf::Region, r: &Review) -> Value {
    let [x0, y0, x1, y1] = g.bounds;
    let (a, b) = (r.frame.of_drawing([x0, y0]), r.frame.of_drawing([x1, y1]));
    json!({
        "number": g.number, "title": g.title, "kind": g.kind.name(), "why": g.why,
        "bounds": [a[0].min(b[0]), a[1].min(b[1]), a[0].max(b[0]), a[1].max(b[1])],
        "walls": g.walls, "planned": g.planned, "storey": g.storey,
    })
}

/// What the walls of a row have in common.
fn in_common(row: &mut Row, of: &[&Wall]) {
    fn agree<T: PartialEq + Copy>(of: &[&Wall], get: impl Fn(&Wall) -> Option<T>) -> Option<T> {
        let first = of.first().and_then(|w| get(w))?;
        of.iter().all(|w| get(w) == Some(first)).then_some(first)
    }
    row.walls = of.len() as u64;
    row.section = agree(of, |w| Some(w.section)).map(Section::name);
    row.exterior = agree(of, |w| w.exterior);
    row.bearing = agree(of, |w| w.bearing);
    row.top =
        agree(of, |w| (w.rise == geom::Length::ZERO).then_some(w.top)).map(geom::Length::to_inches);
}

fn layer(l: &LayerSummary, walls: &[Wall]) -> Row {
    let mut counts: Vec<Count> =
        l.counts.iter().map(|(kind, n)| Count { kind: kind.clone(), count: *n }).collect();
    counts.sort_by(|a, b| b.count.cmp(&a.count).then(a.kind.cmp(&b.kind)));
    let used_as = if l.used_as == "ignored" { "ignore" } else { l.used_as.as_str() };
    let offered = used_as == "ignore" && l.walls_score >= LIKELY;
    let mut row = Row {
        name: l.name.clone(),
        entities: l.entities(),
        counts,
        off: l.off,
        frozen: l.frozen,
        used_as: used_as.to_owned(),
        rule: l.rule.clone(),
        walls_score: Some(l.walls_score.min(100)),
        proposed: offered.then(|| as_walls(&l.name)),
        ..Row::default()
    };
    let own = |w: &&Wall| w.source.iter().any(|s| s.layer == l.name);
    in_common(&mut row, &walls.iter().filter(own).collect::<Vec<_>>());
    row
}

fn wall_type(t: &TypeSummary, walls: &[Wall]) -> Row {
    let used_as = if t.section.is_some() { "wall" } else { "ignore" };
    let mut row = Row {
        name: t.name.clone(),
        entities: t.count as u64,
        counts: vec![Count { kind: t.class.clone(), count: t.count as u64 }],
        used_as: used_as.to_owned(),
        rule: t.section_by.clone(),
        framing: Some(t.framing.clone()),
        ..Row::default()
    };
    // The layer of an IFC source is class and type name.
    let own = |w: &&Wall| {
        let s = w.source.first().map_or("", |s| s.layer.as_str());
        s.contains(t.class.as_str()) && s.contains(t.name.as_str())
    };
    in_common(&mut row, &walls.iter().filter(own).collect::<Vec<_>>());
    row.section = t.section.map(Section::name);
    row.exterior = t.exterior.or(row.exterior);
    row.bearing = t.bearing.or(row.bearing);
    row
}

fn as_walls(name: &str) -> LayerForm {
    LayerForm {
        r#match: name.to_owned(),
        r#use: "wall".to_owned(),
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        note: String::new(),
    }
}
