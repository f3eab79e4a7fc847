//! Reading a drawing takes at most six times the file and 64 MiB: every drawing of the shared corpus,
//! where there is one, and generated ones. A test of its own, since it counts what the whole process
//! allocates.

use peak_alloc::PeakAlloc;
use platewright_tests::dxf::{Options, write};
use platewright_tests::house;
use std::path::PathBuf;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

fn drawings() -> Vec<(String, Vec<u8>)> {
    let options = || Options { insunits: 1, origin: (0, 0) };
    let mut out: Vec<(String, Vec<u8>)> = [10, 1000, 20_000]
        .map(|n| (format!("{n} divisions"), write(&house::row_house(n), options()).into_bytes()))
        .into();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/corpus/dxf");
    let Ok(entries) = std::fs::read_dir(&folder) else {
        println!("skipped: no corpus of drawings here");
        return out;
    };
    let mut paths: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    paths.sort();
    for p in paths {
        let name = p.file_name().unwrap_or_default().to_string_lossy().into_owned();
        out.push((name, std::fs::read(&p).expect("a readable file")));
    }
    out
}

#[test]
fn memory_stays_in_proportion_to_the_file() {
    let settings = settings::Settings::default();
    for (name, bytes) in drawings() {
        let before = MEMORY.current_usage();
        MEMORY.reset_peak_usage();
        let walls = import_dxf::read(&bytes, &settings).map_or(0, |o| o.value.walls.len());
        let _ = import_dxf::inspect(&bytes, &settings).is_ok();
        let used = MEMORY.peak_usage().saturating_sub(before);
        println!("{name}: {} bytes, {walls} walls, {} KiB at most", bytes.len(), used / 1024);
        assert!(used <= 6 * bytes.len() + (64 << 20), "{name}: {used} bytes for {}", bytes.len());
    }
}
