//! Any text as a reviewer's edits of a shed: refused with reasons, or written and read back the same, and
//! planned with.
#![no_main]

use libfuzzer_sys::fuzz_target;
use overrides::Overrides;
use pipeline::{Job, Reading};
use platewright_fuzz::judge;
use settings::Settings;
use std::sync::LazyLock;

static SHED: &[u8] = include_bytes!("../../fixtures/guide/shed.dxf");

/// As drawn, and mirrored: an edit's places are the drawing's own either way.
static READ: LazyLock<[Reading; 2]> = LazyLock::new(|| {
    [settings::Mirror::None, settings::Mirror::X].map(|mirror| {
        let settings = Settings { mirror, ..Settings::default() };
        let job = Job { file_name: "shed.dxf", bytes: SHED.into(), settings: &settings };
        pipeline::read(job).expect("the shed can be read")
    })
});

fuzz_target!(|text: &str| {
    match Overrides::from_toml(text, "fuzzed.toml") {
        Ok(edits) => {
            let written = overrides::to_toml(edits.form());
            let again = Overrides::from_toml(&written, "written.toml");
            assert_eq!(again.as_ref().ok(), Some(&edits), "{written}\n{again:?}");
            let _ = edits.lay_over(Settings::default());
            for reading in READ.iter() {
                match pipeline::plan_reading(reading.clone(), &edits) {
                    Ok(planned) => judge::document(&planned.document),
                    Err(refusal) => judge::refusal(&refusal),
                }
            }
        }
        Err(refusal) => judge::refusal(&refusal),
    }
});
