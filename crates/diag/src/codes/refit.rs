//! Codes about upper plates fitted to walls as they stand.

use super::codes;

codes! {
    FAR_OFF = "refit-far-off", Error, "A wall measures quite another length than planned",
        meaning: "The difference is more than any tolerance: joints would come off their studs and tees to other places. Its upper plates are left as planned.",
        rule: "More than 1-1/2 in, a stud's thickness, off (common practice, no source).",
        remedy: "Measure again, along the lower top plate from end to end; if the wall does stand so, correct the drawing and plan anew.";
    RAKED = "refit-raked", Warning, "A wall with a raked top was measured",
        meaning: "Its upper plates lie on a slope and end at plumb cuts; a length measured level does not tell how they change. They are left as planned.",
        rule: "Only plates of level walls are refitted.",
        remedy: "Hold its upper plates against the lower ones before cutting them.";
    NO_FIT = "refit-no-fit", Error, "No joints fit the wall as it stands",
        meaning: "The upper plate would be longer than the longest board, and no joint over a stud keeps the rules.",
        rule: "Joints of the two top layers are kept apart by the joint offset (IRC R602.3.2).",
        remedy: "Get a longer board for the piece named, or tie a joint with a splice plate as local code allows.";
}
