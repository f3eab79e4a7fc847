//! Prints every wall as read, before the graph moves its ends, one JSON object a drawing:
//! `cargo run -p platewright-tests --example dump-walls -- FILES`. For the outside judges in
//! `tests/reference/`. Drawings that are refused are named on standard error.

use diag::Outcome;
use diag::codes::ifc;
use serde_json::json;
use settings::Settings;
use std::path::Path;
use wall_model::{Wall, WallModel};

fn main() {
    for arg in std::env::args().skip(1) {
        let path = Path::new(&arg);
        let name = path.file_name().map_or(arg.clone(), |n| n.to_string_lossy().into_owned());
        match std::fs::read(path) {
            Ok(bytes) => match read(&bytes) {
                Ok((model, by_body)) => println!("{}", line(&name, &arg, &model, &by_body)),
                Err(why) => eprintln!("{name}: {why}"),
            },
            Err(e) => eprintln!("{name}: {e}"),
        }
    }
}

/// The walls, and the entities whose body holds where it and the axis end at different places, which is told.
fn read(bytes: &[u8]) -> Result<(WallModel, Vec<String>), String> {
    let settings = Settings::default();
    let outcome = if import_ifc::sniff(bytes) {
        import_ifc::read(bytes, &settings)
    } else if import_dxf::sniff(bytes) {
        import_dxf::read(bytes, &settings)
    } else {
        return Err("neither DXF nor IFC".to_owned());
    };
    let told = |o: Outcome<WallModel>| {
        let differ =
            o.findings.iter().filter(|f| [ifc::AXIS_LONG, ifc::AXIS_SHORT].contains(&f.code));
        let by_body = differ.flat_map(|f| &f.source).map(|s| s.entity.clone()).collect();
        (o.value, by_body)
    };
    outcome.map(told).map_err(|refusal| {
        refusal.findings.first().map_or("refused".to_owned(), ToString::to_string)
    })
}

fn line(name: &str, path: &str, model: &WallModel, by_body: &[String]) -> serde_json::Value {
    let (ox, oy) = model.origin_inches;
    let point = |p: geom::Point| [p.x.to_inches() + ox, p.y.to_inches() + oy];
    let wall = |w: &Wall| {
        let source: Vec<&str> = w.source.iter().map(|s| s.entity.as_str()).collect();
        json!({ "source": source, "start": point(w.start), "end": point(w.end) })
    };
    json!({
        "file": name,
        "path": path,
        "format": model.format.name(),
        "inches_per_unit": model.units.inches_per_unit,
        "by_body": by_body,
        "walls": model.walls.iter().map(wall).collect::<Vec<_>>(),
    })
}
