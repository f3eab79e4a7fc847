//! Any bytes as a DXF file: a model or a refusal, nothing lost, nothing else.
#![no_main]

use libfuzzer_sys::fuzz_target;
use platewright_fuzz::{judge, settings_for};

fuzz_target!(|bytes: &[u8]| {
    let settings = settings_for(bytes);
    import_dxf::sniff(bytes);
    match import_dxf::read(bytes, &settings) {
        Ok(read) => judge::model(&read.value),
        Err(refusal) => judge::refusal(&refusal),
    }
    if let Ok(inspection) = import_dxf::inspect(bytes, &settings) {
        judge::ledger(&inspection.ledger);
    }
    import_dxf::picture(bytes, None);
});
