//! Reads one DXF file one way and prints CPU seconds, rate and peak memory, for `peers_dxf.py`:
//! `read-dxf lines|walls|crate FILE`, or `read-dxf write lines|blocks MEGABYTES FILE` for a synthetic one.

use platewright_benches::dxf_files::{Content, drawing};
use settings::Settings;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["write", content, megabytes, file] => {
            let content = if *content == "lines" { Content::Lines } else { Content::Blocks };
            let size = megabytes.parse::<usize>().unwrap_or(8) * 1_000_000;
            std::fs::write(file, drawing(content, size)).unwrap_or_else(|e| panic!("{file}: {e}"));
        }
        [way, file] => {
            let bytes = std::fs::read(file).unwrap_or_else(|e| panic!("{file}: {e}"));
            println!("{}", count(way, &bytes));
        }
        _ => eprintln!(
            "usage: read-dxf lines|walls|crate FILE, or write lines|blocks MEGABYTES FILE"
        ),
    }
}

fn count(way: &str, bytes: &[u8]) -> usize {
    match way {
        "walls" => {
            let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
            import_dxf::read(bytes, &settings).map_or(0, |o| o.value.walls.len())
        }
        "crate" => dxf::Drawing::load(&mut &*bytes).map_or(0, |d| d.entities().count()),
        "lines" => import_dxf::count_lines(bytes).0,
        // The file only: what is taken off the others.
        _ => bytes.len(),
    }
}
