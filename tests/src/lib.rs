//! Helpers of the whole-pipeline tests: invented houses, writers for test drawings, and a plain
//! checker that judges a finished `plan.json` without any of the product's own code.

pub mod bad;
pub mod checker;
pub mod demo;
pub mod dxf;
pub mod fixtures;
pub mod house;
pub mod ifc;
pub mod plane;
pub mod scratch;
pub mod tract;
