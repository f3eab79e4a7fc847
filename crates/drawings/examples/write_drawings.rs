//! Plans a drawing and writes its plates as drawings, with the plan, for the outside judges:
//! `cargo run -p drawings --example write-drawings -- DRAWING DIR [SETTINGS]`. `in` or `mm` in place of
//! settings states the unit; `hostile` for a drawing is a made-up document of the tests.

use plan_model::Document;
use std::path::Path;

#[path = "../../export/tests/sample/mod.rs"]
#[allow(dead_code, clippy::unwrap_used)] // test data
mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let arg = |i: usize| args.get(i).map_or("", String::as_str);
    let dir = Path::new(arg(1));
    let doc = match arg(0) {
        "hostile" => sample::hostile(),
        "metric" => sample::metric_house(),
        file => planned(Path::new(file), arg(2))?,
    };
    std::fs::create_dir_all(dir)?;
    std::fs::write(dir.join("plan.json"), export::plan_json(&doc)?)?;
    for (name, bytes) in drawings::all(&doc)? {
        std::fs::write(dir.join(name), bytes)?;
    }
    Ok(())
}

fn planned(drawing: &Path, settings: &str) -> Result<Document, Box<dyn std::error::Error>> {
    let text = match settings {
        "" => String::new(),
        unit @ ("in" | "mm") => format!("units = \"{unit}\""),
        file => std::fs::read_to_string(file)?,
    };
    let settings =
        settings::parse::from_toml(&text, settings).map_err(|r| format!("{:?}", r.findings))?;
    let bytes = std::fs::read(drawing)?;
    let name = drawing.file_name().unwrap_or_default().to_string_lossy();
    let job = pipeline::Job { file_name: &name, bytes: (&bytes).into(), settings: &settings };
    Ok(pipeline::plan(job).map_err(|r| format!("{:?}", r.findings))?)
}
