//! Plans a drawing and writes its sheets, to look at and for the outside judges:
//! `cargo run -p sheets --example write-sheets -- DRAWING DIR [SETTINGS] [PAPER] [PROJECT] [LOT]`.
//! With `hostile`, `crowded`, `oblique`, `metric` or `row-house` for a drawing: a made-up document of the tests.
//! A seventh argument measures the best of twenty. An empty argument is one left away; `in` or `mm` in place of settings states the unit.

use plan_model::Document;
use sheets::Paper;
use std::path::Path;

#[path = "../../export/tests/sample/mod.rs"]
#[allow(dead_code, clippy::unwrap_used)] // test data
mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let arg = |i: usize| args.get(i).map_or("", String::as_str);
    let (drawing, dir) = (Path::new(arg(0)), Path::new(arg(1)));
    let doc = match arg(0) {
        "hostile" => sample::hostile(),
        "crowded" => sample::crowded(36),
        "oblique" => sample::oblique(),
        "metric" => sample::metric_house(),
        "row-house" => row_house()?,
        _ => planned(drawing, &std::fs::read(drawing)?, arg(2))?,
    };
    let paper = Paper::from_name(arg(3)).unwrap_or(Paper::Letter);
    std::fs::create_dir_all(dir)?;
    std::fs::write(dir.join("plan.json"), export::plan_json(&doc)?)?;
    let mut best = f64::INFINITY;
    for _ in 0..if arg(6).is_empty() { 1 } else { 20 } {
        let start = std::time::Instant::now();
        let files = sheets::pdfs(&doc, arg(4), arg(5), paper)?;
        best = best.min(start.elapsed().as_secs_f64());
        std::hint::black_box(files);
    }
    eprintln!("PDFs in {:.1} ms", best * 1000.0);
    for (name, bytes) in sheets::all(&doc, arg(4), arg(5), paper)? {
        std::fs::write(dir.join(name), bytes)?;
    }
    Ok(())
}

/// A house of 40 walls.
fn row_house() -> Result<Document, Box<dyn std::error::Error>> {
    let house = platewright_tests::house::row_house(17);
    let options = platewright_tests::dxf::Options { insunits: 1, origin: (0, 0) };
    let bytes = platewright_tests::dxf::write(&house, options).into_bytes();
    planned(Path::new("row-house.dxf"), &bytes, "")
}

fn planned(
    drawing: &Path,
    bytes: &[u8],
    settings: &str,
) -> Result<Document, Box<dyn std::error::Error>> {
    let text = match settings {
        "" => String::new(),
        unit @ ("in" | "mm") => format!("units = \"{unit}\""),
        file => std::fs::read_to_string(file)?,
    };
    let settings =
        settings::parse::from_toml(&text, settings).map_err(|r| format!("{:?}", r.findings))?;
    let name = drawing.file_name().unwrap_or_default().to_string_lossy();
    let job = pipeline::Job { file_name: &name, bytes: bytes.into(), settings: &settings };
    Ok(pipeline::plan(job).map_err(|r| format!("{:?}", r.findings))?)
}
