//! Codes the verifier raises when a plan breaks the contract.
//!
//! The verifier works from the finished plan's geometry alone. What it finds is a fault of this
//! program, never of the drawing: the remedy is always not to cut from the plan.

use super::codes;

codes! {
    PROOF_OUTLINE = "proof-outline", Error, "A piece's outline is no plate",
        meaning: "The polygon of the piece crosses itself, has no area, leaves its wall or is not as wide as its section. Nothing measured from it can be trusted.",
        rule: "Every outline is a simple polygon, counter-clockwise, as wide as its section (contract item 1).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_OVERLAP = "proof-overlap", Error, "Two plates lie on the same place",
        meaning: "Two pieces of one layer overlap by more than 0.001 in. One of them is too long or in the wrong place, and the wall would be pushed apart.",
        rule: "In one layer and storey no two outlines overlap (contract item 1).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_MISSING = "proof-missing", Error, "Part of a wall has no lower plate",
        meaning: "The lower plates leave part of the walls' footprint bare. A gap there lets the walls out of plumb.",
        rule: "The union of the lower outlines is the union of the wall footprints (contract item 2).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_OVER = "proof-over", Error, "A lower plate stands out of its wall",
        meaning: "A lower plate covers a place where no wall stands, so it is too long or in the wrong place.",
        rule: "The union of the lower outlines is the union of the wall footprints (contract item 2).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_BOTTOM = "proof-bottom", Error, "Bottom and lower plates differ",
        meaning: "Bottom and lower plates are cut in pairs and marked together. Where they differ, walls are built that do not fit their own top.",
        rule: "The bottom outlines are the lower ones, less door openings where the settings say so (contract item 2).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_UPPER_OUTSIDE = "proof-upper-outside", Error, "An upper plate stands out of its wall",
        meaning: "An upper plate covers a place where no wall stands, so it would overhang or meet another plate.",
        rule: "Upper outlines stay inside the walls' footprint (contract item 3).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_BARE = "proof-bare", Error, "The upper plates leave too much bare",
        meaning: "An upper plate is short or missing: more lies bare than the clearance at a joint.",
        rule: "What upper plates leave bare is only clearances at joints and the strips at height steps and in-line width changes (contract item 3).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_TIE = "proof-tie", Error, "Nothing ties walls that meet",
        meaning: "No upper plate of one wall lies far enough on a lower plate of the other, and no strap or screws are named.",
        rule: "At every L, T and X of one top height an upper plate laps or is notched in, or hardware is named (contract item 4; IRC R602.3.2 asks for laps at corners and at bearing partitions).",
        remedy: "Do not cut from this plan before the tie is settled: name a strap, or report the drawing.";
    PROOF_UNTIED = "proof-untied", Error, "Top plates do not hang together with the walls they touch",
        meaning: "Some top plates lie on none of the others, and no hardware joins them: that part of the floor is not locked to the rest.",
        rule: "Plates tie the whole floor together: at every meeting of walls a lap, a notch or hardware (contract item 4; IRC R602.3.2).",
        remedy: "Do not cut from this plan before the tie is settled: name a strap, or report the drawing.";
    PROOF_TIE_ROW = "proof-tie-row", Error, "A tie in the list is not what the plates show",
        meaning: "The list of ties names a lap or notch that the outlines do not make, or is silent about one they make.",
        rule: "Ties agree with the outlines (contract item 4).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_HEIGHT = "proof-height", Error, "A plate is listed at the wrong height",
        meaning: "The height of a plate does not follow from its wall's base, top and plate thickness, so that plates would not lie on each other.",
        rule: "Bottom plates lie at the wall's base, upper ones under its top, lower ones under those (contract item 4).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_CROSSING = "proof-crossing", Error, "Nothing goes over at a crossing",
        meaning: "A wall is broken in its lower plate where another crosses, and its upper plate is broken there too.",
        rule: "At an X the run broken in the lower layer goes over in the upper one in one piece (contract, fine points).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_OFFSET = "proof-offset", Error, "Joints of the two top plates are too close",
        meaning: "A joint of the upper layer is nearer to a joint of the lower one than the rule allows, and no splice plate is named for either.",
        rule: "End joints of the two top plates are at least 24 in apart (IRC R602.3.2), or as the settings say (contract item 5).",
        remedy: "Do not cut from this plan before a splice plate is settled, or report the drawing.";
    PROOF_JOINT_ROW = "proof-joint-row", Error, "A joint in the list is not what the plates show",
        meaning: "The list of joints differs from the gaps between the outlines.",
        rule: "Joints agree with the outlines (contract item 5).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_END = "proof-end", Error, "An end does not meet what the list says",
        meaning: "A piece is listed as ending at another plate, in a notch, at a taller wall or at nothing, and its outline ends elsewhere. The crew would fit it to the wrong face.",
        rule: "What an end meets is what lies beside it in the plan (contract item 7).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_LAYOUT = "proof-layout", Error, "Marks on the plates are not what the walls ask for",
        meaning: "A stud, an opening, a wall that meets or a bolt is marked where none belongs, or lacks its mark; or the plates of one wall do not carry the same marks.",
        rule: "Studs by the settings' spacing, at the ends of every stretch of plate and beside openings; every plate of a wall marked alike (common practice, no source). Bolts as the rule set asks.",
        remedy: "Lay the wall out by hand, or report the drawing: this is a fault of the program.";
    PROOF_NAILS = "proof-nails", Error, "Nails are not what the rule set asks for",
        meaning: "Nails are listed where there is no stud or no wood, or fewer than the rule set's count or farther apart than its spacing.",
        rule: "The rule set's nailing schedule (IRC Table R602.3(1), or as the settings say); over studs alone where it allows (common practice, no source).",
        remedy: "Nail by the schedule of your code, or report the drawing: this is a fault of the program.";
    PROOF_FASTENERS = "proof-fasteners", Error, "The list of fasteners does not add up",
        meaning: "The nails, straps, screws or bolts to buy are not as many as the plates and ties use.",
        rule: "Every nail of every plate and all hardware is counted once.",
        remedy: "Count from the crew sheets, or report the drawing: this is a fault of the program.";
    PROOF_TOO_LONG = "proof-too-long", Error, "A piece is longer than any board",
        meaning: "No stock length of its section can give the piece.",
        rule: "No piece is longer than the longest stock of its section less the end trim (contract item 6).",
        remedy: "Add a longer stock length in [stock], or report the drawing.";
    PROOF_MARK = "proof-mark", Error, "Two pieces carry one mark",
        meaning: "The mark is what the crew reads on the wood; two pieces with one mark get mixed up.",
        rule: "Marks are unique in a plan (contract item 6).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_NOT_CUT = "proof-not-cut", Error, "A piece is not cut exactly once",
        meaning: "The boards give a piece never, or more than once, or from another section.",
        rule: "Every piece is cut once from the boards (contract item 6).",
        remedy: "Do not buy or cut by this plan. Report the drawing: this is a fault of the program.";
    PROOF_BOARD = "proof-board", Error, "A board does not hold what is cut from it",
        meaning: "With kerf and end trim the pieces of the board are longer than it is, its length is not stocked, or its offcut is wrong.",
        rule: "Pieces and kerfs between them fit the board less its end trim; the offcut is what is left after the last kerf (contract item 6).",
        remedy: "Do not buy or cut by this plan. Report the drawing: this is a fault of the program.";
    PROOF_LENGTH = "proof-length", Error, "A length is not its outline's",
        meaning: "The length to cut and the outline on the plan tell two different things.",
        rule: "A piece's length is its outline's extent along the run (contract item 7).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_CUT = "proof-cut", Error, "A saw angle or notch is not its outline's",
        meaning: "The angle or notch to cut and the outline on the plan tell two different things.",
        rule: "Ends and notches listed are those of the outline (contract item 7).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_PRINTED = "proof-printed", Error, "A printed length strays from the exact one",
        meaning: "Rounding for the tape moved a length by more than 1/16 in, made an upper plate longer, or piled up along a run.",
        rule: "Lower and bottom lengths add up with no rounding drift; upper lengths are never longer than the space they go in (contract item 7).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
    PROOF_RUN_SUM = "proof-run-sum", Error, "Lower plates do not add up to their run",
        meaning: "The lower plates of a run end off the faces it should reach, or leave a gap that no crossing wall fills.",
        rule: "A run's lower pieces add up exactly to the distance between its end faces (contract item 7 and fine points).",
        remedy: "Do not cut from this plan. Report the drawing: this is a fault of the program.";
}
