//! Planning a drawing and making all its results takes at most what `limits::planning_bytes` says, by which
//! drawings are refused before the memory is taken. A test of its own, since it counts what the whole process
//! allocates.

use peak_alloc::PeakAlloc;
use pipeline::Job;
use platewright_tests::dxf::{Options, write};
use platewright_tests::{house, ifc};
use settings::Settings;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

#[test]
fn a_whole_run_takes_no_more_than_is_reckoned_with() {
    for divisions in [1, 40, 600] {
        let house = house::row_house(divisions);
        let dxf = write(&house, Options { insunits: 1, origin: (0, 0) }).into_bytes();
        let ifc = ifc::write(&house).into_bytes();
        let (inch, mm) = (geom::Unit::Inch, geom::Unit::Millimetre);
        for (file_name, bytes, unit) in [("row.dxf", dxf, inch), ("row.ifc", ifc, mm)] {
            // Said outright: the longest is longer than any building.
            let settings = Settings { units: Some(unit), ..Settings::default() };
            let before = MEMORY.current_usage();
            MEMORY.reset_peak_usage();
            let job = Job { file_name, bytes: (&bytes).into(), settings: &settings };
            let document = pipeline::plan(job).unwrap_or_else(|e| panic!("{e}"));
            let outputs = export::all(&document, "", "").unwrap_or_else(|e| panic!("{e}"));
            let used = MEMORY.peak_usage().saturating_sub(before);
            let walls = document.floor.walls.len() as u64;
            assert!(!outputs.is_empty() && walls > 0);
            let reckoned = limits::planning_bytes(walls, bytes.len() as u64);
            println!(
                "{file_name}: {walls} walls, {} KiB at most, {} bytes a wall, {} KiB reckoned",
                used / 1024,
                used as u64 / walls,
                reckoned / 1024
            );
            assert!(used as u64 <= reckoned, "{file_name}: {used} of {reckoned}");
        }
    }
}
