//! Any bytes as a list of lots, CSV or TOML: refused with reasons, or lots that each have a name, a folder
//! and a file inside the batch's own folder.
#![no_main]

use libfuzzer_sys::fuzz_target;
use platewright_fuzz::judge;
use std::collections::BTreeSet;
use std::path::Path;
use subdivision::{folder_name, read_csv, read_toml};

fuzz_target!(|bytes: &[u8]| {
    let root = Path::new("/lots");
    for read in [read_csv, read_toml] {
        match read(bytes, "fuzzed.csv", root) {
            Ok(manifest) => {
                let mut folders = BTreeSet::new();
                assert!(!manifest.lots.is_empty());
                for lot in &manifest.lots {
                    assert_eq!(folder_name(&lot.name), Ok(()));
                    assert!(folders.insert(subdivision::one_folder(&lot.name)), "{:?}", lot.name);
                    let paths = [&lot.settings, &lot.overrides].into_iter().flatten();
                    for path in paths.chain([&lot.file]) {
                        let outside = path.components().any(|c| c.as_os_str() == "..");
                        assert!(path.starts_with(root) && !outside, "{path:?}");
                    }
                }
            }
            Err(refusal) => {
                judge::refusal(&refusal);
                judge::plain(&refusal);
            }
        }
    }
});
