//! The committed fixtures, as their generator makes them.

use crate::dxf::Options;
use crate::{bad, demo, dxf, ifc};

/// Folder of the fixtures in this checkout.
pub fn folder() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures")
}

/// Every generated file: path below [`folder`] and bytes.
pub fn all() -> Vec<(&'static str, Vec<u8>)> {
    let house = demo::willow_bend();
    let options = Options { insunits: 1, origin: demo::DRAWING_ORIGIN };
    let mut all = vec![
        ("demo/willow-bend.dxf", dxf::write(&house, options).into_bytes()),
        ("demo/willow-bend.ifc", ifc::write(&house).into_bytes()),
        ("guide/shed.dxf", bad::shed_dxf().into_bytes()),
    ];
    all.extend(bad::files().into_iter().map(|(path, _, bytes)| (path, bytes)));
    all
}
