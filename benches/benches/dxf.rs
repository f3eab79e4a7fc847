//! Reading DXF: to flattened linework, and to walls, beside the `dxf` crate: loading entities, which is all it does
//! itself, and the same linework of what it loaded.
//!
//! Files: the demo, real drawings of the shared corpus where it stands beside the checkout, and two
//! synthetic drawings of `PLATEWRIGHT_BENCH_DXF_MB` million bytes (8 where not set; the table in docs/decisions/0006 has 100).

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use import_dxf::{count_lines, read};
use platewright_benches::dxf_crate;
use platewright_benches::dxf_files::{Content, drawing};
use settings::Settings;
use std::path::PathBuf;

fn main() {
    divan::main();
}

/// A drawing by name.
#[derive(Clone, Copy, Debug)]
enum Source {
    Demo,
    Corpus(&'static str),
    Synthetic(Content),
}

const CORPUS: [&str; 4] = [
    "us_apartments_inch_r2004.dxf",
    "us_house_bishop_overland_r2004.dxf",
    "barcelona_pavilion_m_r2013.dxf",
    "binary_r12.dxf",
];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn path(source: Source) -> Option<PathBuf> {
    match source {
        Source::Demo => Some(root().join("fixtures/demo/willow-bend.dxf")),
        Source::Corpus(name) => Some(root().join("../shared/corpus/dxf").join(name)),
        Source::Synthetic(_) => None,
    }
}

/// Those that are here.
fn sources() -> Vec<Source> {
    let all = [Source::Demo]
        .into_iter()
        .chain(CORPUS.map(Source::Corpus))
        .chain([Source::Synthetic(Content::Lines), Source::Synthetic(Content::Blocks)]);
    all.filter(|s| path(*s).is_none_or(|p| p.is_file())).collect()
}

fn bytes(source: Source) -> Vec<u8> {
    let size = std::env::var("PLATEWRIGHT_BENCH_DXF_MB").ok().and_then(|v| v.parse::<usize>().ok());
    match (source, path(source)) {
        (Source::Synthetic(content), _) => drawing(content, size.unwrap_or(8) * 1_000_000),
        (_, Some(path)) => std::fs::read(path).unwrap_or_else(|e| panic!("{e}")),
        (_, None) => Vec::new(),
    }
}

#[divan::bench(args = sources())]
fn to_linework(bencher: Bencher, source: Source) {
    let bytes = bytes(source);
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| count_lines(black_box(&bytes)));
}

/// With the unit given, since some of these drawings state a wrong one or none.
#[divan::bench(args = sources())]
fn to_walls(bencher: Bencher, source: Source) {
    let bytes = bytes(source);
    let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
    bencher
        .counter(BytesCount::of_slice(&bytes))
        .bench(|| read(black_box(&bytes), &settings).map_or(0, |o| o.value.walls.len()));
}

/// The crate loads all sections and expands no block. It refuses some binary files.
#[divan::bench(args = sources())]
fn peer_dxf_crate(bencher: Bencher, source: Source) {
    let bytes = bytes(source);
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| {
        dxf::Drawing::load(&mut black_box(bytes.as_slice())).map_or(0, |d| d.entities().count())
    });
}

/// What it loads, blocks inserted: as many lines and arcs as ours where a drawing has no rarer entities.
#[divan::bench(args = sources())]
fn peer_dxf_crate_to_linework(bencher: Bencher, source: Source) {
    let bytes = bytes(source);
    let read = |bytes: &[u8]| {
        let loaded = dxf::Drawing::load(&mut &*bytes).ok()?;
        let work = dxf_crate::linework(&loaded);
        Some((work.lines.len(), work.arcs.len()))
    };
    if let Source::Synthetic(_) = source {
        assert_eq!(read(&bytes), Some(count_lines(&bytes)), "both find the same");
    }
    bencher.counter(BytesCount::of_slice(&bytes)).bench(|| read(black_box(&bytes)));
}
