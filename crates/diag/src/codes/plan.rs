//! Codes about plates: joints, laps, notches, heights, nails.

use super::codes;

codes! {
    JOINT_OFFSET_SHORT = "joint-offset-short", Warning, "Joints of the two top plates are too near each other",
        meaning: "No place along this wall keeps the joint far enough from the joints of the other layer, so the plan puts a steel splice plate there.",
        rule: "End joints of the two top plates at least 24 in apart (IRC R602.3.2); the splice plate is the single-plate tie of Table R602.3.2, reported as accepted by the note of figure R602.3(2).",
        remedy: "Nail the splice plate as listed and show it to the building official, or use longer boards (stock lengths in settings).";
    SHORT_PIECE = "short-piece", Note, "A top plate piece is short",
        meaning: "Walls that meet close together, or the limits of the boards, leave a piece shorter than the short-piece limit. One shorter than its wall is wide is a filler, and a warning: nails split it.",
        rule: "Pieces shorter than 24 in are a last resort (common practice, no source).",
        remedy: "Drill it and nail it with at least two nails at either end. A filler takes none: of the upper layer it may stay out, as the plates on both sides make the ties; of the lower layer and on the floor set it tight, for it carries.";
    SHORT_WALLS = "short-wall-pieces", Note, "Walls so short that their plates are short",
        meaning: "The walls themselves are hardly longer than the short-piece limit, so their plates cannot be longer. Such stubs are easily forgotten, and split when nailed.",
        rule: "Pieces shorter than 24 in are a last resort (common practice, no source).",
        remedy: "Look whether each of these walls is framed as drawn: a stub of a few inches is a post or blocking to many crews. Drill before nailing.";
    OPENING_AT_CORNER = "opening-at-corner", Warning, "No room for the studs beside an opening",
        meaning: "The opening stands so near the end of its wall's bottom plate, or a wall that passes between its plates, that a king stud and a trimmer do not fit between the two. At a bevel only what has the plate's full width counts. The header would have nothing to stand on; studs that do not fit are not marked.",
        rule: "A trimmer under the header and a king stud beside it, 1-1/2 in each: 3 in beyond the rough opening. The stud at the end of the wall may be the king stud (common practice, no source).",
        remedy: "Move the opening, or have it decided how the header is held there: by a hanger, or by the other wall's studs.";
    OPENINGS_CLOSE = "openings-close", Warning, "No room for the studs between two openings",
        meaning: "Between the two openings stands no king stud, or not even a trimmer of each: studs that do not fit are not marked. Openings less than an inch apart are the leaves of one opening as a rule, and then it is a note.",
        rule: "A trimmer under each of the two headers and a king stud between them, 1-1/2 in each (common practice, no source).",
        remedy: "Draw them as one opening if one header passes over both. Else move one of them, or have it decided what carries the two headers there.";
    WIDE_OPENING = "wide-opening", Note, "Openings wider than 6 ft: trimmers and kings by the tables",
        meaning: "The layout marks one trimmer and one king stud on either side of every opening. Beside a wide one the header needs more of them as a rule; the plan knows neither its load nor its size.",
        rule: "The number of trimmers by Tables R602.7(1) and (2), of full-height studs by Table R602.7.5 (IRC R602.7.5; their values are not in this program). OBC 9.23.10.6: lintels over 3 m on triple studs, two of them under the lintel. That 6 ft is wide is common practice, no source.",
        remedy: "Take headers, trimmers and king studs from the code's tables or the stamped drawings before the layout is marked, and move the studs beside them.";
    SHEET_EDGE_OFF_STUD = "sheet-edge-off-stud", Note, "An edge of the sheathing has no stud under it",
        meaning: "The layout puts studs under the edges of 4 ft and 8 ft sheets. At this place a king, trimmer or end stud stands so near that the layout's own stud has no room, and yet not under the edge.",
        rule: "Sheet edges lie on studs, with 3/8 in or more for the nails of each sheet (common practice, no source).",
        remedy: "Pack the stud out with a strip of its thickness, nailed to it, so that the edge has wood; or cut the sheet to end on the stud.";
    WALL_ENDS_IN_OPENING = "wall-ends-in-opening", Warning, "A wall meets another one in a door or window",
        meaning: "Where the wall meets the other one, that has an opening: no stud stands there to fasten the wall's end to, and the tie of the plates is over the header.",
        rule: "Intersecting walls are fastened to studs or blocking of each other (common practice, no source).",
        remedy: "Check the drawing: the wall or the opening is out of place as a rule. If it is meant, have it decided how the wall's end is held.";
    NOTCH_OVER_HALF = "notch-over-half", Warning, "A notch takes more than half the plate",
        meaning: "The bite for the tied-in wall removes more than half of the upper plate's width; a metal strap is planned across it.",
        rule: "IRC R602.6.1: a top plate cut by more than 50 percent of its width gets a 16 gauge, 1-1/2 in strap with eight 10d nails on each side (written for piping and ductwork).",
        remedy: "Nail the strap. At an exterior wall exterior_tee = \"lap\" or \"strap\" in settings does without the notch; an inside wall has one only where a lap finds no room or brings joints too near each other. Where wood panels cover the whole wall the code needs no strap.";
    NOTCH_AT_BEARING_WALL = "notch-at-bearing-wall", Warning, "A bearing wall is tied in by a notch",
        meaning: "The code asks for a lap where a bearing partition meets; a notch laps only part of the plate.",
        rule: "IRC R602.3.2: top plates lap at corners and at intersections with bearing partitions.",
        remedy: "Ask the building official, or set exterior_tee = \"lap\".";
    HEIGHT_STEP = "height-step", Note, "Plates of different height meet",
        meaning: "Plates at different heights cannot lap; hardware through the seam takes the place of the lap.",
        rule: "Common practice, no source; by design where the code asks.",
        remedy: "Fit the hardware listed; have it designed where the drawings or the official ask.";
    RAKED_MEETING = "raked-meeting", Note, "Plates on a slope meet other plates",
        meaning: "A plate on a slope lies on no other wall's plate, so it ends at the wall it meets and hardware through the seam takes the place of the lap. At a ridge both sides are cut plumb and meet.",
        rule: "Common practice, no source; by design where the code asks.",
        remedy: "Fit the hardware listed; have gable and shed walls, their studs and their bracing designed where the drawings or the official ask.";
    BEND_SPLICED = "bend-spliced", Note, "Two walls meet nearly straight; a splice plate ties them",
        meaning: "The walls are less than 15 degrees off straight. A plate cut to lap there would run to a long thin point, so both layers are cut on the half angle.",
        rule: "A lap no longer than four plate widths (common practice, no source); the splice plate is the single-plate tie of IRC Table R602.3.2.",
        remedy: "Nail the splice plate as listed, bent to the angle; set the saw to the cut angles given.";
    CHORD_SPLICE = "chord-splice", Note, "The weakest splice beside the chord force given",
        meaning: "The nails the plan puts between two joints of the top plates carry at least the chord force given in settings, by the yield-limit equations. Advisory arithmetic, not engineering.",
        rule: "NDS 2018 section 12.3.1 (yield limit), 12.1.6.4 (penetration), table 2.3.2 (load duration).",
        remedy: "Show the numbers to whoever designs the diaphragm; wet service, heat, loads and the plates in tension are not looked at.";
    CHORD_SPLICE_SHORT = "chord-splice-short", Warning, "The weakest splice carries less than the chord force given",
        meaning: "By the yield-limit equations the nails between two joints of the top plates carry less than the chord force given in settings, or no value can be worked out. Advisory arithmetic, not engineering.",
        rule: "NDS 2018 section 12.3.1 (yield limit), 12.1.6.4 (penetration), table 2.3.2 (load duration).",
        remedy: "Add nails over that length, use a stronger nail, or add a designed strap; the designer of the diaphragm decides.";
    WIDTH_CHANGE_NO_ROOM = "width-change-no-room", Warning, "A change of wall width cannot be lapped",
        meaning: "There is no room for the narrower upper plate to run on over the wider wall by the joint offset; a splice plate is planned instead.",
        rule: "Joints of the two top layers keep the joint offset (IRC R602.3.2).",
        remedy: "Nail the splice plate as listed.";
    JOG_SPLICED = "jog-spliced", Warning, "Two walls go on end to end beside each other's lines",
        meaning: "Each wall stands out beyond a face of the other, so that no upper plate of the one can run on over the other. The plates of both stop at one place in both layers, and a splice plate across what they share ties them.",
        rule: "Top plates that do not lap are tied by a steel plate (IRC R602.3.2); that the ends must share 1-1/2 in for it is common practice, no source.",
        remedy: "Draw the two walls in one line if they are one. Else lay the splice plate on what both upper plates share, with nails in both, and nail the end studs of the two walls to each other.";
    OBLIQUE_MEETING = "oblique-meeting", Warning, "An oblique wall meets a change of width, or several walls at once",
        meaning: "The plates meet in a step that leans one way. The cuts follow it as far as they can; a place of a square inch or so may stay bare, and is then told by the proof as well.",
        rule: "Common practice, no source.",
        remedy: "Fit the plates there on site, or draw the oblique wall a foot away from the change of width or the other walls.";
    PLATE_NO_ROOM = "plate-no-room", Warning, "Too little of a wall is left for a plate of its own",
        meaning: "Between a plate that goes over a wall and the wall's end, or another such plate, less than a plate is left. The place stays bare, and is then told by the proof as well.",
        rule: "Common practice, no source.",
        remedy: "Trim the wall's end in the drawing to the face of the wall it crosses, or let it go on by a foot; else fill the place on site.";
    PLATES_LIE_LOOSE = "plates-lie-loose", Warning, "Top plates would lie only on each other",
        meaning: "Between laps, notches and joints close together some top plates lie on nothing that holds the walls they touch; or a plate that laps another wall lies on its own by less than half its width, so that it ties nothing. A splice plate is planned that joins them to the rest; the finding says where none reaches, and nothing ties them then.",
        rule: "Double top plates overlap at corners and intersections, so that the whole floor hangs together (IRC R602.3.2).",
        remedy: "Nail the splice plate as listed, or allow longer boards. Where none reaches, tie the plates on site, or draw the walls there so that they leave room for plates.";
    PIECE_TOO_LONG = "piece-too-long", Error, "A wall cannot be cut from the boards there are",
        meaning: "Even with joints at every allowed place a piece stays longer than the longest board.",
        rule: "No piece is longer than the longest stock of its section.",
        remedy: "Give longer stock in [stock] lengths_ft.";
    JOINT_OVER_OPENING = "joint-over-opening", Warning, "A lower joint lies over an opening",
        meaning: "No other place keeps the joint offset and the board lengths. For top plates an opening reaches to the king studs: a trimmer ends under the header.",
        rule: "A lower joint over an opening only where nothing else fits (common practice, no source).",
        remedy: "Make sure the header below is continuous under the joint, or use longer boards.";
    ANCHORS_MARKED = "anchors-marked", Note, "Bottom plates on concrete: treated, with bolt marks",
        meaning: "The lowest storey stands on concrete, so its bottom plates are listed as treated lumber, and those of exterior walls are marked where anchor bolts may go: clear of studs and door openings. Where no wall is known to be exterior, all are marked.",
        rule: "1/2 in bolts at most 6 ft apart, at least two in each plate, one within 12 in and not nearer than 7 diameters of each end, in the plates of exterior walls and of interior braced panels; interior bearing walls' plates on a slab have approved fasteners (IRC R403.1.6). Powder-driven pins for interior plates are common practice, no source.",
        remedy: "A hint: the foundation drawing and the bolts that are cast in govern. Measure them and mark the plates from them. Fasten interior plates as that drawing or the local code says: braced panels inside, and in seismic design categories D0 to D2 interior bearing walls too, need bolts (IRC R403.1.6.1).";
    BOTTOM_IN_DOOR = "bottom-in-door", Note, "A bottom plate is cut away at a door",
        meaning: "Bottom plates run through doors and are cut out there once the walls stand. At this door a whole plate, or all but a few inches of one, is bought and nailed down only to be cut out again.",
        rule: "Less than 6 in of a bottom plate beside a door is a scrap (common practice, no source).",
        remedy: "Set bottom = \"stop\" under [plates]: bottom plates then end at the doors' edges. Or leave the plate out on site.";
    ANCHOR_NO_PLACE = "anchor-no-place", Warning, "A bottom plate has no place for the anchor bolts it needs",
        meaning: "Studs or the plate's length leave no place that keeps the bolt spacing and end distances.",
        rule: "At least two bolts in each plate, one within 12 in and not nearer than 7 diameters of each end (IRC R403.1.6).",
        remedy: "Ask the building official, or tie the plate down with a strap that is approved for it.";
    NAILS_BESIDE_STUDS = "nails-beside-studs", Note, "Some upper plate nails are beside studs",
        meaning: "Studs stand farther apart than the code's nail spacing, so nails are added close beside them.",
        rule: "IRC Table R602.3(1) item 13: 16d common at 16 in.",
        remedy: "Keep those nails within 4 in of a stud, so that the bays stay free for drilling.";
}
