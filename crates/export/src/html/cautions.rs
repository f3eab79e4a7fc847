//! Cautions, as printed on every report. They are advice of the trade, not part of the plan.

use maud::{Markup, html};

/// What to mind, and where it is written.
const CAUTIONS: [(&str, &str); 9] = [
    (
        "Work at height: set upper plates from ladders or scaffolds, never by walking the plates. Six \
         feet or more above a lower level asks for fall protection.",
        "29 CFR 1926.501(b)(13)",
    ),
    (
        "A ladder stands one out for four up and reaches 3 ft past the landing.",
        "29 CFR 1926 subpart X",
    ),
    (
        "Plunge cuts kick back: feed the saw forward always, never draw it back, stand out of its line, \
         keep the guard working.",
        "common practice, no source",
    ),
    (
        "For a notch set the saw to one plate's thickness, so that the plate below is not cut.",
        "common practice, no source",
    ),
    (
        "Nail guns: full sequential trigger, hand well clear, eye and ear protection.",
        "NIOSH and OSHA nail gun guide, read in a handbook",
    ),
    (
        "Brace a raised wall before letting go, at both ends and every 8 to 12 ft, and leave the \
         braces until the corners are tied and the floor or roof above is on.",
        "framing handbook, read in a summary",
    ),
    (
        "Treated plates: gloves and dust mask, fasteners made for them, never burn the offcuts.",
        "framing handbook, read in a summary",
    ),
    (
        "Headers, and how many trimmers and king studs stand beside wide openings, are by the code's tables or the \
         stamped drawings; the marks show one of each.",
        "IRC R602.7.5",
    ),
    ("This is not engineering: local code, the stamped drawings and the official decide.", ""),
];

/// The list.
pub(crate) fn cautions() -> Markup {
    html! { section id="cautions" {
        h2 { "Cautions" }
        ul { @for (text, source) in CAUTIONS {
            li { (text) @if !source.is_empty() { " " small { "(" (source) ")" } } }
        } }
    } }
}
