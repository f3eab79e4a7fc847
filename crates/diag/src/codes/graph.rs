//! Codes about the wall graph: snapping, junctions, cleaning.

use super::codes;

codes! {
    WALLS_SQUARED = "walls-squared", Note, "Walls a hair out of square were turned square",
        meaning: "Walls within one degree of the building's own directions, and within the snap tolerance over their length, were turned about their middle; no end moved more than half the tolerance.",
        rule: "Saw cuts are square unless a wall is plainly oblique (common practice, no source).",
        remedy: "Nothing, unless the wall is meant to be out of square: then lower [graph] snap.";
    HEIGHTS_LEVELLED = "heights-levelled", Note, "Walls of nearly one height were levelled",
        meaning: "Tops, or feet, of walls of one storey that differ by 1/16 in or less are planned at one height: the one that most of their length has.",
        rule: "A difference that no tape shows is no step: the plates lap (common practice, no source).",
        remedy: "Nothing, unless a step is meant: then draw it, or set it, more than 1/16 in high.";
    WALLS_MERGED = "walls-merged", Note, "Walls drawn over each other were joined",
        meaning: "The same wall was drawn twice, or in overlapping parts; it is planned once.",
        rule: "A stretch of wall has one set of plates.",
        remedy: "Nothing, unless two separate walls were meant: then move one of them in the drawing.";
    ENDS_JOINED = "ends-joined", Note, "Wall ends were brought to the walls they meet",
        meaning: "Walls drawn to a face, or with small gaps or overshoots, were extended or trimmed along their own line to the framing centreline of the wall they meet. So were walls in line whose width or height changes within the thickness of a wall that meets them.",
        rule: "An end moves at most half the other wall's thickness plus [graph] snap, along its own line only; two tolerances more where it closes a corner with another end that is in reach.",
        remedy: "Look at the place of the longest move if it is more than a wall's thickness.";
    NEAR_MISS = "near-miss", Warning, "A wall nearly meets another",
        meaning: "The end is just out of reach of the other wall, so the two are not tied. If they are meant to meet, plates and laps are missing here.",
        rule: "Ends within half the other wall's thickness plus [graph] snap are joined; up to two tolerances more are reported, unless two ends make a corner there; an end brought to one wall also takes the end of another within that wall's thickness. Two walls end to end beside each other's lines are joined if both ends are free and share 1-1/2 in or more; if not, that is reported.",
        remedy: "Close the gap in the drawing, or raise [graph] snap.";
    WALL_SWALLOWED = "wall-swallowed", Warning, "A wall lies within the walls at its ends",
        meaning: "Between the walls it meets nothing of it is left to put a plate on; a step this small between two walls cannot be framed as drawn. Where two walls end at it that it alone joins, as at a jog of an outside wall, their plates stop at its centreline. They are tied there end to end if their ends share 1-1/2 in or more (`jog-spliced`); if not, nothing ties them, which is an error.",
        rule: "A plate piece needs a length between the faces it meets.",
        remedy: "Draw the two walls in one line, or the jog longer than half the sum of their widths. Else decide with the crew which of the two walls runs to the corner's outer face, and cut its plates that much longer and the other's shorter; where nothing ties them, tie the two by a strap.";
    WALLS_OVERLAP = "walls-overlap", Error, "Two walls lie partly in each other",
        meaning: "Their plates would need the same place. The shorter one was left out and has no plates in this plan.",
        rule: "No two plates of one layer can overlap.",
        remedy: "Move or delete one of the walls; for linings drawn as walls of their own, map their layer or type to ignore.";
    WALLS_CROWDED = "walls-crowded", Warning, "Walls take the same place without meeting there",
        meaning: "Two walls lie partly in each other though each ends at, or passes, another wall first; or three walls of different directions cross each other within inches, at a place of their own for each two; or a wall meets another at a flat angle, or so near its end or a change of its width that it reaches beyond it. Plates are cut for each meeting as if it stood alone, so they may not fit here; where they do not, the proof tells of it as an error.",
        rule: "No two plates of one layer can overlap; a junction is one place for all walls that meet there.",
        remedy: "Draw the walls to meet in one point, or move them apart by more than their widths.";
    ISLAND = "island", Warning, "A group of walls stands alone",
        meaning: "These walls meet none of the others, so nothing ties them to the rest of the floor.",
        rule: "Top plates tie intersecting walls together (IRC R602.3.2); a wall that meets none is braced otherwise.",
        remedy: "Check that no gap was left by mistake; a free-standing wall needs its own bracing.";
    OUTLINE_OPEN = "outline-open", Warning, "The outline of the floor is not closed",
        meaning: "Nothing says which walls are exterior, and the outline that would tell has a gap, so walls inside may be taken for exterior ones. Notches and laps depend on it.",
        rule: "Where neither layer, property nor setting tells, walls on the outer boundary are exterior.",
        remedy: "Close the outline in the drawing, or say exterior = true or false for the layers.";
    JUNCTION_OTHER = "junction-other", Warning, "Walls meet in an unusual way",
        meaning: "Three walls of which no two are in line, or five and more, meet at one point. They are planned in a fixed order; the cuts are unusual.",
        rule: "Corners, tees and crosses have a standard lap; other meetings have none (common practice, no source).",
        remedy: "Look at this place in the report, and decide with the crew.";
}
