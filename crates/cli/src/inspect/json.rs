//! The JSON of `inspect --json`, schema `platewright/inspect/1`. Lengths are decimal inches.

use super::limits::Row;
use diag::{Finding, Ledger};
use geom::Length;
use pipeline::{Drawing, Inspection, Junctions};
use serde_json::{Value, json};
use wall_model::UnitsDecision;

/// The whole, pretty-printed.
pub fn text(file_name: &str, seen: &Inspection, limits: Option<&[Row]>) -> String {
    let mut value = match &seen.drawing {
        Drawing::Dxf(i) => dxf(i),
        Drawing::Ifc(i) => ifc(i),
    };
    value["schema"] = json!("platewright/inspect/1");
    value["file"] = json!(file_name);
    value["verdict"] = json!(super::judged(seen).name());
    value["junctions"] = seen.junctions.as_ref().map_or(Value::Null, junctions);
    value["ledger"] = ledger(seen.ledger());
    value["findings"] = seen.findings().iter().map(finding).collect();
    if let Some(rows) = limits {
        value["limits"] = rows.iter().map(limit).collect();
    }
    format!("{value:#}")
}

/// Of a file that cannot be looked at: why.
pub fn refused(file_name: &str, findings: &[Finding]) -> String {
    let findings: Value = findings.iter().map(finding).collect();
    let schema = "platewright/inspect/1";
    let value = json!({
        "schema": schema, "file": file_name, "format": Value::Null, "findings": findings,
    });
    format!("{value:#}")
}

fn limit(row: &Row) -> Value {
    json!({
        "name": row.limit.name(), "value": row.value, "default": row.limit.default(),
        "used": row.used, "beyond": row.limit.beyond(), "about": row.limit.about(),
    })
}

fn junctions(j: &Junctions) -> Value {
    let kinds = j.by_kind.iter().map(|(kind, n)| (kind.name().to_owned(), json!(n)));
    let kinds = Value::Object(kinds.collect());
    let named = j.named.iter().map(|r| {
        let [start, end] = r.ends.map(|p| [p.x.to_inches(), p.y.to_inches()]);
        let source = r.source.as_ref();
        let source = source.map(|s| json!({ "entity": s.entity, "layer": s.layer }));
        let section = r.section.to_string();
        json!({ "run": r.name, "start": start, "end": end, "section": section, "source": source })
    });
    let named: Value = named.collect();
    json!({ "walls": j.walls, "by_kind": kinds, "near_misses": j.near_misses, "named_runs": named })
}

fn dxf(i: &import_dxf::Inspection) -> Value {
    let layers: Value = i.layers.iter().map(layer).collect();
    let readings: Value = i
        .units
        .readings
        .iter()
        .map(|r| {
            json!({
                "unit": r.unit, "plausible": r.plausible, "evidence": r.text,
                "dimensions_agree": r.dimensions.0, "dimensions": r.dimensions.1,
            })
        })
        .collect();
    let regions: Value = i.regions.iter().map(region).collect();
    let by_shape: Value = i.walls_by_shape.iter().map(wall_by_shape).collect();
    json!({
        "format": "dxf",
        "version": i.version,
        "written_by": i.written_by,
        "binary": i.binary,
        "units": units(i.units.decision.as_ref()),
        "unit_readings": readings,
        "layers": layers,
        "model_space": counts(&i.model_entities),
        "regions": regions,
        "heights": i.heights.iter().map(height).collect::<Value>(),
        "walls_by_shape": by_shape,
        "proposal": i.proposal,
    })
}

fn region(r: &import_dxf::Region) -> Value {
    json!({
        "number": r.number, "title": r.title, "kind": r.kind.name(), "why": r.why,
        "bounds_drawing_units": r.bounds, "walls": r.walls, "walls_length": r.walls_in,
        "doors": r.doors, "planned": r.planned, "storey": r.storey,
    })
}

fn height(h: &import_dxf::HeightNote) -> Value {
    json!({
        "storey": h.storey, "of": h.of.name(), "height": h.height.to_inches(), "text": h.text,
        "times": h.times, "entity": h.source.entity, "layer": h.source.layer, "some_wall_fits": h.met,
    })
}

fn wall_by_shape(w: &import_dxf::WallByShape) -> Value {
    json!({
        "layer": w.layer, "from_drawing_units": w.from, "to_drawing_units": w.to,
        "thickness": w.thickness_in, "confidence": w.confidence, "planned": w.believed,
        "entities": w.entities,
    })
}

fn layer(l: &import_dxf::LayerSummary) -> Value {
    json!({
        "name": l.name,
        "entities": counts(&l.counts),
        "length_drawing_units": l.length,
        "off": l.off,
        "frozen": l.frozen,
        "used_as": l.used_as,
        "rule": l.rule,
        "walls_score": l.walls_score,
    })
}

fn counts(counts: &[(String, u64)]) -> Value {
    Value::Object(counts.iter().map(|(kind, n)| (kind.clone(), json!(n))).collect())
}

fn ifc(i: &import_ifc::Inspection) -> Value {
    let storeys: Value = i
        .storeys
        .iter()
        .map(|s| {
            json!({
                "name": s.name, "elevation": inches(s.elevation), "walls": s.walls,
                "walls_read": s.walls_read, "doors": s.doors, "windows": s.windows,
            })
        })
        .collect();
    let types: Value = i.types.iter().map(wall_type).collect();
    json!({
        "format": "ifc",
        "version": i.version,
        "written_by": i.written_by,
        "units": units(i.units.as_ref()),
        "walls_in_file": i.walls_in_file,
        "walls_read": i.walls_read,
        "storeys": storeys,
        "wall_types": types,
        "proposal": i.proposal,
    })
}

fn wall_type(t: &import_ifc::TypeSummary) -> Value {
    let layers: Value = t
        .layers
        .iter()
        .map(|l| {
            json!({ "material": l.material, "thickness": inches(l.thickness), "framing": l.framing })
        })
        .collect();
    json!({
        "name": t.name, "class": t.class, "walls": t.count, "layers": layers,
        "framing": t.framing, "section": t.section.map(|s| s.name()),
        "section_by": t.section_by, "exterior": t.exterior, "bearing": t.bearing,
    })
}

fn inches(length: Option<Length>) -> Value {
    length.map_or(Value::Null, |l| json!(l.to_inches()))
}

fn units(decision: Option<&UnitsDecision>) -> Value {
    decision.map_or(Value::Null, |d| {
        json!({
            "name": d.name, "inches_per_unit": d.inches_per_unit, "decided_by": d.decided_by,
        })
    })
}

fn ledger(l: &Ledger) -> Value {
    let ignored: Value = l
        .ignored()
        .map(|(reason, i)| json!({ "reason": reason, "count": i.count, "sample": i.sample }))
        .collect();
    json!({ "entities_read": l.read(), "used": l.used(), "ignored": ignored })
}

fn finding(f: &Finding) -> Value {
    let source: Value =
        f.source.iter().map(|s| json!({ "entity": s.entity, "layer": s.layer })).collect();
    json!({
        "code": f.code.name(), "severity": f.severity.name(), "message": f.message,
        "at": f.at.map(|p| [p.x.to_inches(), p.y.to_inches()]),
        "subject": f.subject, "source": source,
    })
}
