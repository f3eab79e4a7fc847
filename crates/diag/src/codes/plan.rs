//! Codes about plates: joints, laps, notches, heights, nails.

use super::codes;

codes! {
    JOINT_OFFSET_SHORT = "joint-offset-short", Warning, "Joints of the two top plates are too near each other",
        meaning: "No place along this wall keeps the joint far enough from the joints of the other layer, so the plan puts a steel splice plate there.",
        rule: "End joints of the two top plates at least 24 in apart (IRC R602.3.2); the splice plate is the single-plate tie of Table R602.3.2, reported as accepted by the note of figure R602.3(2).",
        remedy: "Nail the splice plate as listed and show it to the building official, or use longer boards (stock lengths in settings).";
    SHORT_PIECE = "short-piece", Note, "A top plate piece is short",
        meaning: "Walls that meet close together, or the limits of the boards, leave a piece shorter than the short-piece limit.",
        rule: "Pieces shorter than 24 in are a last resort (common practice, no source).",
        remedy: "Nail it with at least two nails at either end; nothing else if the walls really stand so close.";
    NOTCH_OVER_HALF = "notch-over-half", Warning, "A notch takes more than half the plate",
        meaning: "The bite for the tied-in wall removes more than half of the exterior upper plate's width; a metal strap is planned across it.",
        rule: "IRC R602.6.1: a top plate cut by more than 50 percent of its width gets a 16 gauge, 1-1/2 in strap with eight 10d nails on each side (written for piping and ductwork).",
        remedy: "Nail the strap, or choose exterior_tee = \"lap\" or \"strap\" in settings; where wood panels cover the whole wall the code needs no strap.";
    NOTCH_AT_BEARING_WALL = "notch-at-bearing-wall", Warning, "A bearing wall is tied in by a notch",
        meaning: "The code asks for a lap where a bearing partition meets; a notch laps only part of the plate.",
        rule: "IRC R602.3.2: top plates lap at corners and at intersections with bearing partitions.",
        remedy: "Ask the building official, or set exterior_tee = \"lap\".";
    HEIGHT_STEP = "height-step", Note, "Plates of different height meet",
        meaning: "Plates at different heights cannot lap; hardware through the seam takes the place of the lap.",
        rule: "Common practice, no source; by design where the code asks.",
        remedy: "Fit the hardware listed; have it designed where the drawings or the official ask.";
    WIDTH_CHANGE_NO_ROOM = "width-change-no-room", Warning, "A change of wall width cannot be lapped",
        meaning: "There is no room for the narrower upper plate to run on over the wider wall by the joint offset; a splice plate is planned instead.",
        rule: "Joints of the two top layers keep the joint offset (IRC R602.3.2).",
        remedy: "Nail the splice plate as listed.";
    PIECE_TOO_LONG = "piece-too-long", Error, "A wall cannot be cut from the boards there are",
        meaning: "Even with joints at every allowed place a piece stays longer than the longest board.",
        rule: "No piece is longer than the longest stock of its section.",
        remedy: "Give longer stock in [stock] lengths_ft.";
    JOINT_OVER_OPENING = "joint-over-opening", Warning, "A lower joint lies over an opening",
        meaning: "No other place keeps the joint offset and the board lengths.",
        rule: "A lower joint over an opening only where nothing else fits (common practice, no source).",
        remedy: "Make sure the header below is continuous under the joint, or use longer boards.";
    NAILS_BESIDE_STUDS = "nails-beside-studs", Note, "Some upper plate nails are beside studs",
        meaning: "Studs stand farther apart than the code's nail spacing, so nails are added close beside them.",
        rule: "IRC Table R602.3(1) item 13: 16d common at 16 in.",
        remedy: "Keep those nails within 4 in of a stud, so that the bays stay free for drilling.";
}
