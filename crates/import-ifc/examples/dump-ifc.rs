//! Prints what is read of each IFC file, one JSON object a file, for the outside judge
//! `tests/reference/check_ifc.py`: `cargo run -p import-ifc --example dump-ifc -- FILES`.
//!
//! Each file is read twice: as it stands, and with every wall framed as 2x6, so that walls of masonry
//! too are read down to their geometry.

use import_ifc::{Inspection, TypeSummary, inspect, read};
use serde_json::{Value, json};
use settings::{LayerRule, LayerUse, Settings};
use std::path::Path;
use wall_model::{Wall, WallModel};

fn main() {
    for arg in std::env::args().skip(1) {
        let path = Path::new(&arg);
        let name = path.file_name().map_or(arg.clone(), |n| n.to_string_lossy().into_owned());
        match std::fs::read(path) {
            Ok(bytes) => println!("{}", file(&name, &arg, &bytes)),
            Err(e) => eprintln!("{name}: {e}"),
        }
    }
}

fn everything_framed() -> Settings {
    let rule = LayerRule {
        pattern: "*".to_owned(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section: lumber::Section::from_name("2x6"),
        top: None,
        roof: None,
    };
    Settings { layers: vec![rule], ..Settings::default() }
}

fn file(name: &str, path: &str, bytes: &[u8]) -> Value {
    let i = match inspect(bytes, &Settings::default()) {
        Ok(i) => i,
        Err(refusal) => {
            return json!({ "file": name, "path": path, "refused": refusal.findings.first().map(ToString::to_string) });
        }
    };
    json!({
        "file": name,
        "path": path,
        "inches_per_unit": i.units.as_ref().map(|u| u.inches_per_unit),
        "walls_in_file": i.walls_in_file,
        "as_drawn": reading(bytes, &Settings::default()),
        "framed": reading(bytes, &everything_framed()),
        "types": i.types.iter().map(wall_type).collect::<Vec<_>>(),
    })
}

fn reading(bytes: &[u8], settings: &Settings) -> Value {
    let model = read(bytes, settings).ok();
    let findings = match (&model, inspect(bytes, settings)) {
        (_, Ok(i)) => json!({ "left_out": left_out(&i), "findings": findings(&i) }),
        (_, Err(_)) => Value::Null,
    };
    json!({
        "walls": model.map_or_else(Vec::new, |m| walls(&m.value)),
        "said": findings,
    })
}

fn left_out(i: &Inspection) -> Vec<Value> {
    let out = i.walls.iter().filter_map(|w| {
        let why = w.left_out.as_ref()?;
        Some(json!([w.source.entity, why]))
    });
    out.collect()
}

fn findings(i: &Inspection) -> Vec<Value> {
    let each = i.findings.iter().map(|f| {
        let source: Vec<&str> = f.source.iter().map(|s| s.entity.as_str()).collect();
        json!({ "code": f.code.name(), "message": f.message, "source": source })
    });
    each.collect()
}

fn walls(model: &WallModel) -> Vec<Value> {
    let (ox, oy) = model.origin_inches;
    let point = |p: geom::Point| [p.x.to_inches() + ox, p.y.to_inches() + oy];
    let wall = |w: &Wall| {
        let source: Vec<&str> = w.source.iter().map(|s| s.entity.as_str()).collect();
        let storey = model.storeys.get(w.storey.0 as usize);
        json!({
            "source": source,
            "start": point(w.start),
            "end": point(w.end),
            "thickness": w.drawn_thickness.to_inches(),
            "width": w.section.width().to_inches(),
            "base": w.base.to_inches(),
            "top": w.top.to_inches(),
            "top_end": (w.top + w.rise).to_inches(),
            "storey": storey.map(|s| s.name.as_str()),
            "elevation": storey.map(|s| s.elevation.to_inches()),
            "openings": w.openings.len(),
        })
    };
    model.walls.iter().map(wall).collect()
}

fn wall_type(t: &TypeSummary) -> Value {
    let layers: Vec<Value> = t
        .layers
        .iter()
        .map(|l| json!([l.material, l.thickness.map(geom::Length::to_inches), l.framing]))
        .collect();
    json!({ "name": t.name, "count": t.count, "layers": layers, "framing": t.framing, "section": t.section.map(|s| s.name()), "by": t.section_by })
}
