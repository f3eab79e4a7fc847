//! Writes the demo documents of the tests, to look at while working on the report:
//! `cargo run -p export --example sample -- DIR`.

use std::path::Path;

#[path = "../tests/sample/mod.rs"]
#[allow(clippy::unwrap_used)] // test data
mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let dir = std::env::args().nth(1).ok_or("usage: sample DIR")?;
    let documents = [
        ("house", sample::house()),
        ("metric", sample::metric_house()),
        ("hostile", sample::hostile()),
        ("troubled", sample::troubled()),
        ("oblique", sample::oblique()),
        ("turned", sample::turned(31.0)),
        ("crowded", sample::crowded(36)),
    ];
    for (name, doc) in documents {
        let dir = Path::new(&dir).join(name);
        std::fs::create_dir_all(&dir)?;
        for file in export::all(&doc, "Demo", "12")? {
            std::fs::write(dir.join(file.name), file.bytes)?;
        }
        std::fs::write(dir.join("plan.schema.json"), export::schema_json())?;
    }
    Ok(())
}
