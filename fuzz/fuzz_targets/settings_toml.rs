//! Any text as settings: refused with reasons, or what is written of it reads back the same.
#![no_main]

use libfuzzer_sys::fuzz_target;
use platewright_fuzz::judge;
use settings::parse::{from_toml, to_toml};

fuzz_target!(|text: &str| {
    match from_toml(text, "fuzzed.toml") {
        Ok(settings) => {
            let written = to_toml(&settings);
            let again = from_toml(&written, "written.toml");
            assert_eq!(again.as_ref().ok(), Some(&settings), "{written}\n{again:?}");
        }
        Err(refusal) => judge::refusal(&refusal),
    }
    for line in text.lines() {
        let _ = settings::parse::length_from_text(line);
    }
    if let Err(refusal) = settings::on_hand::from_csv(text.as_bytes(), "fuzzed.csv") {
        judge::refusal(&refusal);
    }
});
