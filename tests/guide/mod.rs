//! Pages of the guide that are made from the program's own tables.

use diag::codes::Code;
use pipeline::Job;
use platewright_tests::bad;
use settings::Settings;
use std::fmt::Write;

/// Folder of the guide in this checkout.
pub fn folder() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/guide")
}

/// Every generated page: name below [`folder`] and text.
pub fn pages() -> Vec<(&'static str, String)> {
    vec![
        ("settings.md", settings::reference::markdown()),
        ("findings.md", findings()),
        ("rules.md", rules()),
    ]
}

fn findings() -> String {
    let mut o = String::from(
        "# Findings\n\n\
         What the program has to say about a drawing or a plan, by code. `platewright explain CODE` prints the same.\n\
         An *error* means that something is not in the plan or not right in it, and exit status 1; a *warning* asks for a look; a\n\
         *note* is for whoever wants to know.\n\n\
         This page is made from the program's own tables\n\
         (`cargo run -p platewright-tests --example write-guide`).\n",
    );
    for code in Code::all() {
        let i = code.info();
        // Writing to a String cannot fail.
        let _ = write!(
            o,
            "\n## {}\n\n**{}: {}.** {}\n\n- Rule: {}\n- What to do: {}\n",
            code.name(),
            i.severity.name(),
            i.title,
            i.meaning,
            i.rule,
            i.remedy
        );
    }
    o
}

/// The rules in force under every rule set, as a plan lists them.
fn rules() -> String {
    let mut o = String::from(
        "# Where the rules come from\n\n\
         A rule set is a file of numbers with a source on every row (`crates/rule-sets/rules/`); `rules` in the settings chooses\n\
         one, and every report prints the rows in force. The program knows no rule besides. What is common practice and has no\n\
         published source says so. The adopted local code decides, and the stamped drawings before it.\n\n\
         How they become lengths is worked out [by hand](worked-example.md) and, choice by choice, in [the planner](../planner.md):\n\n\
         - **Lap.** One layer's plate covers the corner square of the other: in each layer one wall goes to the outer face.\n\
         - **Joint offset.** Clear distance from any joint of the other layer, a gap at a tee counted as one.\n\
         - **Clearance.** Lower plates are exact and tight, for they set the building's size; upper ones stop a hair short, for\n\
         \x20 they must never hold walls apart.\n\
         - **Notch.** As deep as the stem runs on and the clearance; what is gone of the width decides on a strap.\n\
         - **Height steps and raked tops.** Plates that do not lie at one height cannot lap: hardware through the seam.\n\n\
         This page is made from the program's own tables\n\
         (`cargo run -p platewright-tests --example write-guide`).\n",
    );
    for name in ["irc-2018", "irc-2021", "irc-2024", "nbc-2020", "practice"] {
        let mut settings = Settings { rules: name.to_owned(), ..Settings::default() };
        settings.plates.on_concrete = true;
        let shed = bad::shed_dxf();
        let job = Job { file_name: "shed.dxf", bytes: shed.as_bytes().into(), settings: &settings };
        let document = pipeline::plan(job).unwrap_or_else(|e| panic!("{name}: {e}"));
        let _ = write!(o, "\n## {name}\n\n| rule | source |\n|---|---|\n");
        for rule in &document.plan.rules {
            let _ = writeln!(o, "| {} | {} |", rule.text, rule.source);
        }
    }
    o
}
