//! A model all the way to its files: whatever is planned is proved or told of.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if import_ifc::sniff(bytes) {
        platewright_fuzz::plan("fuzzed.ifc", bytes);
    }
});
