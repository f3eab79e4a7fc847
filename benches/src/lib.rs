//! Benchmarks live in `benches/`: `cargo bench -p platewright-benches`. Speed is measured here and
//! nowhere else; no test has a clock.

pub mod dxf_crate;
pub mod dxf_files;
pub mod ifc_files;
pub mod ifc_lite;
pub mod segments;
