//! Reads one DXF file one way and prints CPU seconds, rate and peak memory, for `peers_dxf.py`:
//! `read-dxf lines|lines-held|walls|crate|crate-lines|file FILE`, or `read-dxf write lines|blocks MEGABYTES FILE` for a synthetic one.

use import_dxf::TextFile;
use platewright_benches::dxf_crate;
use platewright_benches::dxf_files::{Content, drawing};
use settings::Settings;
use std::fs::File;
use std::io::{self, BufReader};

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["write", content, megabytes, file] => {
            let content = if *content == "lines" { Content::Lines } else { Content::Blocks };
            let size = megabytes.parse::<usize>().unwrap_or(8) * 1_000_000;
            std::fs::write(file, drawing(content, size)).unwrap_or_else(|e| panic!("{file}: {e}"));
        }
        [way, file] => println!("{}", count(way, file).unwrap_or_else(|e| panic!("{file}: {e}"))),
        _ => eprintln!(
            "usage: read-dxf lines|lines-held|walls|crate|crate-lines|file FILE, or write lines|blocks MEGABYTES FILE"
        ),
    }
}

/// Every way opens the file itself, as it reads files by its own means.
fn count(way: &str, file: &str) -> io::Result<usize> {
    let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
    let ours = || TextFile::of(File::open(file)?)?.ok_or_else(|| io::Error::other("no text DXF"));
    Ok(match way {
        "walls" => import_dxf::read(&ours()?, &settings).map_or(0, |o| o.value.walls.len()),
        "lines" => import_dxf::count_lines(&ours()?).0,
        "lines-held" => import_dxf::count_lines(&std::fs::read(file)?).0,
        "crate" | "crate-lines" => {
            let mut text = BufReader::new(File::open(file)?);
            let loaded = dxf::Drawing::load(&mut text).map_err(io::Error::other)?;
            match way {
                "crate" => loaded.entities().count(),
                _ => dxf_crate::linework(&loaded).lines.len(),
            }
        }
        // The whole file into memory, and nothing else.
        _ => std::fs::read(file)?.len(),
    })
}
