//! platewright
fn main() {}
