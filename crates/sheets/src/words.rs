//! Words the sheets share: what the house is called, lengths kept on one line, cautions.

use crate::font::shown;
pub(crate) use diag::words::counted as count;
pub(crate) use export::board_name;
use export::text::people;
pub(crate) use export::text::unbroken;
use geom::Length;
use plan_model::Document;

/// What a job is called on every page.
pub(crate) struct Names {
    /// Project and lot, or the drawing's file name.
    pub house: String,
    /// The lot, as it stands on labels.
    pub lot: String,
    /// The drawing's file name.
    pub file: String,
    /// The first digits of its hash: two printouts with the same digits are of the same drawing.
    pub drawing: String,
}

impl Names {
    /// Of a document.
    pub fn of(doc: &Document, project: &str, lot: &str) -> Names {
        let (project, lot) = (shown(project.trim()), shown(lot.trim()));
        let file = shown(&doc.source.file);
        let house = match (project.is_empty(), lot.is_empty()) {
            (true, true) => file.clone(),
            (false, true) => project,
            (true, false) => format!("{file}, lot {lot}"),
            (false, false) => format!("{project}, lot {lot}"),
        };
        let drawing = doc.source.sha256.chars().take(8).collect();
        Names { house, lot, file, drawing }
    }
}

/// A length for people, never broken over two lines.
pub(crate) fn length(length: Length, metric: bool) -> String {
    people(length, metric).replace(' ', "\u{a0}")
}

/// What to do in which order; common practice, no source.
pub(crate) const STEPS: [&str; 6] = [
    "Cut bottom and lower plates in pairs, lay them side by side and mark studs and openings across both; those of a raked wall each by its own stations.",
    "Frame and raise the exterior walls in the order given, then the interior ones; brace each before letting go.",
    "Plumb and line the walls. Check each upper plate's length at the floor, between the faces named, before anyone climbs.",
    "Set upper plates, exterior first, in the same order: long pieces first, then what runs into them.",
    "Nail over studs, over openings into the header; laps and joints as listed. Then the ties that are not wood: straps, plates, screws at steps.",
    "Tick every piece. What does not fit is measured again, not driven in.",
];

/// What becomes of bottom plates at doors; common practice, no source.
pub(crate) const DOORS_RUN: &str = "Bottom plates run through doors. Mark the opening, cut it out after the wall stands and is braced.";
/// See [`DOORS_RUN`].
pub(crate) const DOORS_STOP: &str =
    "Bottom plates stop at doors: none is laid in the opening, so nothing is cut out later.";

/// Which boards go where; common practice, no source.
pub(crate) const BOARDS: [&str; 4] = [
    "Straight boards for upper plates; no wane, split or large knot where two walls are tied.",
    "A lower plate with a crown is straightened by an upper plate with its crown turned the other way.",
    "Both faces flush. Pull a plate into line with a clamp, or work towards the bow from far along the wall.",
    "Boards may be over their nominal length: cut from one end in the order of the cut sheet, measure each piece.",
];

/// What can hurt. The report has the same cautions with their sources.
pub(crate) const CAUTIONS: [&str; 8] = [
    "Height: work from ladders or scaffolds. Never walk the plates. From 6 ft up, fall protection (29 CFR 1926.501).",
    "Ladders stand one out for four up and reach 3 ft past the landing.",
    "Saw: plunge cuts kick back. Always feed forward, never draw back, stand out of its line, keep the guard working.",
    "Notches: saw set to one plate's thickness, so that the plate below is not cut.",
    "Nail guns: full sequential trigger, hands well clear, eye and ear protection.",
    "Braces stay until corners are tied and the floor or roof above is on.",
    "Treated plates: gloves and dust mask, fasteners made for them, never burn the offcuts.",
    "Openings: headers, and how many trimmers and kings stand beside wide ones, are by the code's tables or the stamped drawings; marks show one of each.",
];
