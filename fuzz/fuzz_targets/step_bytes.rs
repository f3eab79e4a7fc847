//! Any bytes as an IFC file, plain or zipped: a model or a refusal, nothing lost, nothing else.
#![no_main]

use libfuzzer_sys::fuzz_target;
use platewright_fuzz::{judge, settings_for};

fuzz_target!(|bytes: &[u8]| {
    let settings = settings_for(bytes);
    import_ifc::sniff(bytes);
    match import_ifc::read(bytes, &settings) {
        Ok(read) => judge::model(&read.value),
        Err(refusal) => judge::refusal(&refusal),
    }
    if let Ok(inspection) = import_ifc::inspect(bytes, &settings) {
        judge::ledger(&inspection.ledger);
    }
});
