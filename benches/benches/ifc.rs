//! Opening an IFC file and reading every wall's axis and placement, beside `ifc-lite-core` in one run: on
//! a real office model where the corpus is there, and on a generated town
//! (`PLATEWRIGHT_BENCH_IFC_MB` million bytes, 8 where not set). Then the whole reading.

use divan::counter::BytesCount;
use divan::{Bencher, black_box};
use import_ifc::raw;
use platewright_benches::{ifc_files, ifc_lite};
use settings::{LayerRule, LayerUse, Settings};
use std::path::Path;
use std::sync::OnceLock;

fn main() {
    divan::main();
}

/// Names of the files measured.
const FILES: [&str; 2] = ["office", "town"];

fn bytes(name: &str) -> Option<&'static [u8]> {
    static OFFICE: OnceLock<Option<Vec<u8>>> = OnceLock::new();
    static TOWN: OnceLock<Vec<u8>> = OnceLock::new();
    if name == "town" {
        return Some(TOWN.get_or_init(|| ifc_files::town(ifc_files::size_mb()).into_bytes()));
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../shared/corpus/ifc/us_office_a_cadA2011.ifc");
    OFFICE.get_or_init(|| std::fs::read(path).ok()).as_deref()
}

fn each(bencher: Bencher<'_, '_>, name: &str, work: impl Fn(&'static [u8]) -> usize + Sync) {
    let Some(bytes) = bytes(name) else {
        println!("skipped: {name} is not there");
        return;
    };
    bencher.counter(BytesCount::new(bytes.len())).bench(|| work(black_box(bytes)));
}

#[divan::bench(args = FILES)]
fn open(bencher: Bencher, name: &str) {
    each(bencher, name, |b| raw::open(b).entities());
}

#[divan::bench(args = FILES)]
fn open_ifc_lite_core(bencher: Bencher, name: &str) {
    each(bencher, name, |b| usize::from(ifc_lite::open(b).is_some()));
}

#[divan::bench(args = FILES)]
fn walls(bencher: Bencher, name: &str) {
    let Some(bytes) = bytes(name) else { return };
    let opened = raw::open(bytes);
    let peer = ifc_lite::open(bytes).map_or(0, |o| o.axes().len());
    assert_eq!(opened.axes().len(), peer, "both find the same walls");
    bencher.bench_local(|| black_box(&opened).axes().len());
}

#[divan::bench(args = FILES)]
fn walls_ifc_lite_core(bencher: Bencher, name: &str) {
    let Some(opened) = bytes(name).and_then(ifc_lite::open) else { return };
    bencher.bench_local(|| black_box(&opened).axes().len());
}

/// Everything: open, units, layers, framing, openings, storeys, findings.
#[divan::bench(args = FILES)]
fn whole_reading(bencher: Bencher, name: &str) {
    let rule = LayerRule {
        pattern: "*".to_owned(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section: lumber::Section::from_name("2x6"),
        top: None,
        roof: None,
    };
    let settings = Settings { layers: vec![rule], ..Settings::default() };
    each(bencher, name, |b| import_ifc::read(b, &settings).map_or(0, |o| o.value.walls.len()));
}
