//! Prints what each DXF file shows, blocks inserted, one JSON object a drawing:
//! `cargo run -p import-dxf --example dump-linework -- FILES`. For `tests/reference/check_dxf.py`.
//! Files that are no DXF are named on standard error.

use serde_json::json;
use std::path::Path;

fn main() {
    for arg in std::env::args().skip(1) {
        let path = Path::new(&arg);
        let name = path.file_name().map_or(arg.clone(), |n| n.to_string_lossy().into_owned());
        match std::fs::read(path) {
            Ok(bytes) if import_dxf::sniff(&bytes) => println!("{}", line(&name, &arg, &bytes)),
            Ok(_) => eprintln!("{name}: no DXF"),
            Err(e) => eprintln!("{name}: {e}"),
        }
    }
}

fn line(name: &str, path: &str, bytes: &[u8]) -> serde_json::Value {
    let picture = import_dxf::picture(bytes, None);
    let drawn = picture.drawn.iter().map(
        |d| json!({ "kind": d.kind, "layer": d.layer, "entity": d.entity, "lines": d.lines, "arcs": d.arcs }),
    );
    let texts = picture.texts.iter().map(
        |t| json!({ "layer": t.layer, "entity": t.entity, "at": t.at, "height": t.height, "text": t.text }),
    );
    json!({
        "file": name,
        "path": path,
        "damage": picture.damage,
        "model_entities": picture.model_entities,
        "drawn": drawn.collect::<Vec<_>>(),
        "texts": texts.collect::<Vec<_>>(),
    })
}
