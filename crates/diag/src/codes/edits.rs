//! Codes about a reviewer's overrides.

use super::codes;

codes! {
    BAD = "overrides-bad", Error, "The overrides file has a mistake",
        meaning: "An entry is not understood; nothing was planned, so that no edit is passed over unnoticed.",
        rule: "The form is that of docs/overrides.md; unknown keys are errors.",
        remedy: "Correct the entry named in the message.";
    LOST = "override-lost", Error, "An edit no longer fits the drawing",
        meaning: "The wall the edit is about is not in the drawing as it is read now, or the edit makes no sense on it. The edit was left out of the plan and is kept in the file.",
        rule: "A wall is found again by its entity and by where it stands: on the same line within 12 in and over half its length, or with another entity within 1 in (common practice, no source).",
        remedy: "Look at the place named: make the edit again on the wall that stands there now, or take it out.";
    MOVED = "override-moved", Warning, "An edit was laid on a wall that has changed",
        meaning: "The wall has another entity, or no longer stands where it stood when the edit was made; it is near enough to be taken for the same wall.",
        rule: "As for override-lost.",
        remedy: "Look at the wall named: if it is not the one that was meant, take the edit out and make it again.";
    IN_FORCE = "overrides-in-force", Note, "The plan was made with a reviewer's edits",
        meaning: "Walls or their mapping differ from what the drawing and the settings say, because a person decided so.",
        rule: "The edits are in plan.json, as they are in the overrides file.",
        remedy: "Nothing to do; read the overrides to see what was decided.";
}
