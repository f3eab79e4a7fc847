//! The whole of `plan`, file writing aside, and its stages, over generated houses of 40 and 400
//! walls. Fixed inputs, nothing random.

use divan::{Bencher, black_box};
use pipeline::Job;
use plan_model::Document;
use platewright_tests::dxf::{self, Options};
use platewright_tests::{house, ifc};
use settings::Settings;
use wall_model::WallModel;

/// Rooms in a row; a house has six walls and two for each division.
const DIVISIONS: [usize; 2] = [17, 197];

fn main() {
    divan::main();
}

fn dxf_of(divisions: usize) -> Vec<u8> {
    dxf::write(&house::row_house(divisions), Options { insunits: 1, origin: (0, 0) }).into_bytes()
}
fn ifc_of(divisions: usize) -> Vec<u8> {
    ifc::write(&house::row_house(divisions)).into_bytes()
}
fn document(file_name: &str, bytes: &[u8]) -> Document {
    let settings = Settings::default();
    pipeline::plan(Job { file_name, bytes: bytes.into(), settings: &settings })
        .unwrap_or_else(|e| panic!("{e}"))
}
fn model(bytes: &[u8]) -> WallModel {
    import_dxf::read(bytes, &Settings::default()).unwrap_or_else(|e| panic!("{e}")).value
}

#[divan::bench(args = DIVISIONS)]
fn whole_from_dxf(bencher: Bencher, divisions: usize) {
    let bytes = dxf_of(divisions);
    bencher.bench(|| {
        let document = document("house.dxf", black_box(&bytes));
        export::all(&document, "", "").map(|files| files.len())
    });
}

#[divan::bench(args = DIVISIONS)]
fn whole_from_ifc(bencher: Bencher, divisions: usize) {
    let bytes = ifc_of(divisions);
    bencher.bench(|| {
        let document = document("house.ifc", black_box(&bytes));
        export::all(&document, "", "").map(|files| files.len())
    });
}

#[divan::bench(args = DIVISIONS)]
fn stage_1_read_dxf(bencher: Bencher, divisions: usize) {
    let bytes = dxf_of(divisions);
    bencher.bench(|| model(black_box(&bytes)));
}

#[divan::bench(args = DIVISIONS)]
fn stage_1_read_ifc(bencher: Bencher, divisions: usize) {
    let bytes = ifc_of(divisions);
    let settings = Settings::default();
    bencher
        .bench(|| import_ifc::read(black_box(&bytes), &settings).map(|o| o.value.walls.len()).ok());
}

#[divan::bench(args = DIVISIONS)]
fn stage_2_wall_graph(bencher: Bencher, divisions: usize) {
    let (model, settings) = (model(&dxf_of(divisions)), Settings::default());
    bencher.bench(|| wall_graph::build(black_box(&model), &settings).value.runs.len());
}

#[divan::bench(args = DIVISIONS)]
fn stage_3_plate_plan(bencher: Bencher, divisions: usize) {
    let (d, settings) = (document("house.dxf", &dxf_of(divisions)), Settings::default());
    bencher.bench(|| {
        plate_plan::plan(black_box(&d.floor), &settings).map(|o| o.value.pieces.len()).ok()
    });
}

#[divan::bench(args = DIVISIONS)]
fn stage_4_boards(bencher: Bencher, divisions: usize) {
    let (d, settings) = (document("house.dxf", &dxf_of(divisions)), Settings::default());
    bencher.bench(|| pipeline::boards::choose(black_box(&d.plan), &settings).boards.len());
}

#[divan::bench(args = DIVISIONS)]
fn stage_5_verify(bencher: Bencher, divisions: usize) {
    let (d, settings) = (document("house.dxf", &dxf_of(divisions)), Settings::default());
    let rules = rule_sets::RuleSet::named(&settings.rules).unwrap_or_else(|e| panic!("{e}"));
    bencher.bench(|| {
        plan_verify::verify(black_box(&d.floor), &d.plan, &d.boards, &settings, rules).lines.len()
    });
}

#[divan::bench(args = DIVISIONS)]
fn stage_6_export(bencher: Bencher, divisions: usize) {
    let d = document("house.dxf", &dxf_of(divisions));
    bencher.bench(|| export::all(black_box(&d), "", "").map(|files| files.len()));
}
