//! Codes about DXF files.

use super::codes;

codes! {
    FACE_LINES = "dxf-face-lines", Note, "Walls were read from pairs of face lines",
        meaning: "The lines on the wall layer are the two faces of each wall. Each wall's centreline was put half way between its faces, and gaps in both faces that go on in line were read as openings.",
        rule: "A layer is taken for face lines when half of its line length or more has a parallel line 2-1/2 to 20-1/2 in beside it; gaps up to 8 ft, or 12 ft between drawn jambs, are openings (common practice, no source).",
        remedy: "Compare the walls in the report's plan with the drawing. If the layer holds centrelines, map it to ignore with [[layers]] and draw one line a wall on another layer.";
    FACE_LINES_LEFT = "dxf-face-lines-left", Warning, "Face lines that bound no wall",
        meaning: "Some lines on a wall layer have no parallel line at a wall's thickness beside them. If they are faces of a wall, that wall is missing from the cut list.",
        rule: "Faces stand 2-1/2 to 20-1/2 in apart with nothing between, and masonry that is thicker has no framed plates; more than a third of the length left over is an error (common practice, no source).",
        remedy: "Look at the lines in the drawing. If they are walls, draw both faces or one centreline on another wall layer; if not, move them off the wall layer.";
    WALLS_BY_SHAPE = "dxf-walls-by-shape", Warning, "Walls were taken by their shape",
        meaning: "No layer of the drawing is known to hold walls and the settings name none. Walls were looked for by their shape among all lines, and each got a confidence from 0 to 100 %. Furniture, stairs or counters may be taken for walls, and walls may be missing.",
        rule: "Walls with less than 50 % are left out; less than 75 % on the average of the length is an error (docs/importing-dxf.md; common practice, no source).",
        remedy: "Compare every wall with the drawing. Then map the layers that hold walls with [[layers]] in the settings: what is mapped is no longer taken by shape.";
    WALL_DOUBTFUL = "dxf-wall-doubtful", Warning, "A wall taken by its shape is doubtful",
        meaning: "The lines look like a wall, but not in every respect: its thickness is unusual, its ends meet nothing, much else is on its layer, or it stands apart from the other walls.",
        rule: "Confidence from 50 to 75 % (docs/importing-dxf.md).",
        remedy: "Look at the place in the drawing. If it is no wall, map its layer to ignore with [[layers]] or move the lines to another layer.";
    SEVERAL_PLANS = "dxf-several-plans", Warning, "The sheet holds several plans",
        meaning: "Groups of walls stand side by side with space between, or with titles of their own. Each is planned as a storey of its own, in its own place: nothing says how they lie over each other.",
        rule: "Walls whose boxes overlap are one plan; a group with less than a quarter of the walls joins a plan within 30 ft; storeys are put in order by their titles, and stand one default_top above each other because a drawing does not say how far (common practice, no source).",
        remedy: "Compare with the drawing. To plan only some, set region in the settings to their numbers or titles; inspect lists them.";
    SAME_PLAN_TWICE = "dxf-same-plan-twice", Warning, "Two drawings on the sheet may be one floor",
        meaning: "The walls of one drawing are those of another, moved or turned over, or a title says option, alternate or reversed. An electrical or furniture plan repeats the floor plan's walls, and of two options one is built; planned twice, they are bought and cut twice.",
        rule: "Seven walls in ten at the same place within an inch, or in a mirror; titles that say two different storeys make it two floors (common practice, no source).",
        remedy: "If it is one floor, set region in the settings to one of them. If they are two floors alike, give them titles or ignore this.";
    OTHER_DRAWING = "dxf-other-drawing", Warning, "Walls of a drawing that is no floor plan were left out",
        meaning: "The title says elevation, section, detail or another plan, or the drawing has no doors while others do. Lines that look like walls there are not planned.",
        rule: "A title belongs to the drawing it stands at, above all below (common practice, no source).",
        remedy: "If it is a floor plan, set region in the settings to the drawings that are to be planned.";
    DIMENSION_CONTRADICTS = "dxf-dimension-contradicts", Warning, "A dimension contradicts the drawing",
        meaning: "A length was typed on a dimension in place of its measure, and its points are another length apart. One of the two is wrong; notes on plans often say that written dimensions hold.",
        rule: "More than 3/4 in and 0.5 % apart; only texts with a unit are compared (common practice, no source).",
        remedy: "Ask the author which holds. If the text does, correct the drawing: walls are planned as drawn.";
    HEIGHT_NOTE = "dxf-height-note", Warning, "A height written in the drawing fits no wall",
        meaning: "A text tells the height of plates, walls or a ceiling, and no wall of that plan is planned so: no top of the upper plate is there, or for a ceiling there or higher. A floor plan draws no heights, so tops are taken from the settings. The lengths of level plates do not depend on them; steps between walls, ties and raked walls do.",
        rule: "Texts, attributes and typed dimensions with a length beside a word for plates, walls or ceilings in the main languages, more than 1/8 in from every top (common practice, no source).",
        remedy: "Set default_top in the settings, or top in a [[layers]] entry for the walls the note is about. If the note is about something else, go on.";
    SINGLE_AMONG_FACES = "dxf-single-lines", Warning, "Single lines were taken for walls",
        meaning: "The layer draws most walls as two face lines, but a good part of its lines stand alone between walls. They were taken for walls drawn as one line each, and planned on that line.",
        rule: "A line of 3 ft or more whose ends meet walls, with nothing beside it within 37 in; only where such lines are a fifth of the walls or, where walls are found by their shape, a door hangs on the line (common practice, no source).",
        remedy: "Look at the lines. Beams, steps and edges belong on another layer; a wall whose second face is missing should get it.";
    CODE_PAGE = "dxf-code-page", Warning, "How the drawing's texts are written is not certain",
        meaning: "Drawings before release 2007 write their texts in a code page that the header names. This one names none, or one that its bytes cannot be in: names of layers may be unreadable, so that walls, doors and titles are not recognised. The message shows how the names read now, and how other pages would have them.",
        rule: "$DWGCODEPAGE of the header; without it UTF-8 where everything beyond plain ASCII is that, with two such characters or more, else Windows-1252. A page is doubted where its bytes do not exist in it, where everything is UTF-8, or where a Latin page would have four letters beyond ASCII in a row (Autodesk DXF reference, from memory; the thresholds: common practice, no source).",
        remedy: "Set code_page in the settings, or --code-page, to the page under which the names are words of the drawing's language; code_page = \"1252\" also says that what was read is right. Or save the drawing as DXF 2007 or later, which is always UTF-8.";
    RULE_UNUSED = "dxf-rule-unused", Note, "A layer rule of the settings fits no layer",
        meaning: "The pattern of a [[layers]] entry matches no layer name of this drawing. It may be meant for other drawings, or mistyped.",
        rule: "Patterns match whole names: * is any run of characters, ? is any one.",
        remedy: "Compare with the layers that inspect lists.";
    SIDE_BY_SIDE = "dxf-side-by-side", Warning, "Two walls run side by side",
        meaning: "Two walls drawn as faces have hardly any air between them. They may be a double stud wall, or a stud wall with brick veneer or furring drawn as faces of its own: then one of the two has no plates. It is an error where the two are not equally thick, since both are planned.",
        rule: "No more than 2-1/2 in apart over four fifths of the shorter one and 4 ft; equally thick within 1/8 in (common practice, no source).",
        remedy: "If one is no stud wall, put its lines on another layer and map that to ignore.";
    LIKE_COUNTERS = "dxf-like-counters", Warning, "A wall stands before another as a counter does",
        meaning: "Two lines on a wall layer are farther apart than studs are wide and lie, both of them, within a counter's depth of a wall. They may be the fronts of a counter and of shelves or cabinets over it; a masonry wall with furring off it is drawn the same, so they are planned as a wall.",
        rule: "Faces more than 8-1/2 in apart without openings, 30 in long or more, 6 in or more off a wall and no more than 26 in with their distance: counters are 24 in deep (common practice, no source).",
        remedy: "If it is no wall, put its lines on another layer and map that to ignore.";
    CLOSE_PARALLELS = "dxf-close-parallels", Warning, "Wall lines run close beside each other",
        meaning: "Some wall lines have a parallel wall line closer than walls usually stand. They may be two faces of one wall, which would be cut twice, or a double wall that is meant.",
        rule: "2-1/2 to 14 in apart over half the length (common practice, no source).",
        remedy: "Look at the places named. If they are faces of one wall, keep its centreline only.";
    CURVED_WALL = "dxf-curved-wall", Error, "A curved wall was left out",
        meaning: "The entity is an arc, a bulged or fitted polyline, and neither one of two faces nor plainly a centreline, or the settings leave curved walls out; its plates are missing from the cut list.",
        rule: "Plates are cut from straight lumber; an arc of a circle can be planned as straight parts.",
        remedy: "Draw both faces, or an arc that ends where straight walls end; or draw the wall as straight pieces, or frame it by hand. If it is no wall, move it to another layer.";
    WALL_IN_PARTS = "dxf-wall-in-parts", Warning, "A curved wall is planned as straight parts",
        meaning: "The wall is an arc of a circle: two arcs about one centre, or one that goes on from straight walls. It is planned as straight parts of one length whose ends lie on the curve. All plates are cut on the half angle where two parts meet, with splice plates there, since the joints of all layers fall on one place.",
        rule: "Plates are cut from straight lumber. Parts at most 1/4 in off the curve, but for the straight part across a door (common practice, no source).",
        remedy: "Look at the place: where the plates are cut to the curve out of sheets or wide boards instead, set curved_walls = \"leave-out\", or move the wall to a layer that is ignored.";
    OPENING_UNHOSTED = "dxf-opening-unhosted", Warning, "A door or window lies on no wall",
        meaning: "No wall was found that the opening could be in, so no wall carries it: marks and joints near it are not right for an opening. It is an error where a wall in line with it ends at it: the top plates over the opening may be missing; a note where it lies at a wall that is left out.",
        rule: "A door or window belongs to the wall whose centreline it lies on, within half the wall's width and 6 in; to the two walls in line on either side of it; or to the wall that ends at it, where it fills the way to another wall's face but for 6 in (common practice, no source).",
        remedy: "Check the drawing near the handle named: a missing wall line, a gap wider than the symbol, or a symbol that is no door.";
    OPENING_OVER_SEAM = "dxf-opening-over-seam", Warning, "A door or window lies over the seam of two walls that differ",
        meaning: "The two walls go on in one line, but their plates are not the same there: each carries its part of the opening, and the plates change between its jambs. The header has nothing to bear on where they change.",
        rule: "A door or window that reaches beyond its wall is divided over the walls that go on in line with it. Walls of the same plates are one there, and nothing is said (common practice, no source).",
        remedy: "Check the drawing: as a rule the change of section or height belongs beside the opening, not in it. Move the seam, or the door or window.";
    OPENING_CUT = "dxf-opening-cut", Error, "A door or window reaches beyond its wall",
        meaning: "No wall goes on in line where the rest of it is drawn, so the opening that is planned is narrower than the one drawn: its studs, and what the bottom plate is cut to, are wrong on that side.",
        rule: "3 in past a wall's end, or past the face of another wall there, are frame and casing; whatever is more must lie on a wall (common practice, no source).",
        remedy: "Check the drawing at the place named: draw the wall on under the whole opening, or move the door or window onto its wall.";
    OPENINGS_BY_NAME = "dxf-openings-by-name", Note, "Doors and windows were taken by the name of their block",
        meaning: "The blocks are inserted on a layer that says nothing of doors or windows, but their names have the word for it, and they lie on a wall.",
        rule: "The words for layers in the main languages; not names of what is at or about a door: bells, tags, schedules and the like. No larger than 20 ft, and on a wall (common practice, no source).",
        remedy: "Nothing if it is right. If it is not, map the layer to ignore with [[layers]].";
    DOORS_BY_SHAPE = "dxf-doors-by-shape", Note, "Doors were taken by their shape",
        meaning: "A leaf with the quarter circle of its swing, or on a wall layer a leaf or a swing alone in a doorway, is drawn on a layer that says nothing of doors, and lies on a wall when shut; or panels that run past each other lie in a wall: a sliding door. It is an opening of that wall; its lines are no walls.",
        rule: "Leaves of 16 to 54 in. A leaf alone is a line or thin rectangle square to the wall at a jamb, as long as the doorway but for 3 in, its other end free. A swing alone turns about one jamb and ends at the other, and the faces go on beyond both. Panels are thin outlines of 14 to 75 in, 1/2 to 2-1/2 in thick, side by side, that overlap by 1/4 to 12 in and by no more than 35 % (common practice, no source).",
        remedy: "Nothing if it is right. If it is no door, move it to another layer.";
    WINDOWS_BY_SHAPE = "dxf-windows-by-shape", Note, "Windows were taken by their shape",
        meaning: "Glass is drawn on the walls' own layer, or on one that says nothing of what it is for: a line along the middle of a wall from jamb to jamb. It is a window of that wall, whether the faces run on under it or not. It is a warning where the drawing may as well mean something else: one line in a gap of both faces (a threshold, a pocket door's track), or panels that run past each other between lines on both sides (a sliding door). Under a window the bottom plate runs through, at a door it is cut.",
        rule: "A line within a quarter of the thickness of the wall's middle that ends at most 3 in from two lines square across the wall, or from both sides of a gap in the faces, or, on the wall layer, within 1/4 in of where the lines of both faces are broken; 14 to 147 in wide, the faces drawn beyond both jambs; no door or window symbol there. Glass broken by a mullion is one window, also by one through the whole wall with no room for two trimmers, 3 in (common practice, no source).",
        remedy: "Nothing if it is right. If it is a door, draw its leaf, put its symbol on a door layer or map its layer to door with [[layers]]; if it is no opening, move the lines to another layer.";
    JAMBS_BARE = "dxf-jambs-bare", Warning, "Two lines across a wall look like jambs, with nothing between",
        meaning: "Doors and windows are sometimes drawn as two jambs across faces that run on. Nothing else says that there is an opening, so the wall was read as solid there: studs and plates run through.",
        rule: "Two lines next to each other, square across a wall from face to face, 14 to 99 in apart, not at its ends, at no opening, not the sides of a post (common practice, no source).",
        remedy: "If it is an opening, break both faces between the jambs, draw the glass from jamb to jamb, or put a symbol on a door or window layer. If not, move the lines to another layer.";
    WALLS_FACING = "dxf-walls-facing", Warning, "Two walls in one line stop facing each other",
        meaning: "Nothing is drawn in the gap between the ends of two walls in one line. A cased opening is often drawn so; the plates that run over it are missing then, since nothing says that the two are one wall.",
        rule: "14 to 99 in apart, or up to 18 ft 6 in where the two are as thick as each other, within 1/2 in of one line, no other wall at the ends or between (common practice, no source).",
        remedy: "If it is an opening, draw a door, window or opening on its layer there; if the wall stops, go on.";
    WALLS_AS_SURFACES = "dxf-walls-as-surfaces", Warning, "Walls are drawn as surfaces in space",
        meaning: "The layer's walls are 3D faces or meshes, as a model is exported. They were read as seen from above, at their whole outline. A door or window is seen only where the surfaces of its wall stop beside it; where they go on over or under it, its plates were planned as if there were none.",
        rule: "Edges of 3DFACE, MESH and polyface meshes in plan, on a layer that has no lines; heights are dropped (docs/dxf-support.md).",
        remedy: "Compare doors and windows with the drawing. Draw lines across them on a door or window layer, or ask for a floor plan or an IFC model.";
    BROKEN_LINES = "dxf-broken-lines", Warning, "Lines on a wall layer are drawn hidden, dashed or dotted",
        meaning: "In a floor plan such lines show what is above or below the cut, a beam, header or overhang, or what is to be demolished. They are left out, unless at least half of all lines of walls are drawn so: then they are planned.",
        rule: "Line types of the entity, or of its layer, that begin with HIDDEN, DASHED, DOT, PHANTOM and the like (ISO 128-2 and the National CAD Standard, from memory).",
        remedy: "If there are walls of this floor among them, draw them in a continuous line type; if not, move the lines off the wall layer.";
    OPENINGS_JOINED = "dxf-walls-joined", Note, "Wall lines broken at openings were joined",
        meaning: "Two wall lines in one line with a door or window in the gap between them are one wall with an opening; its top plates run over.",
        rule: "Common practice, no source.",
        remedy: "Nothing, unless a wall really ends there: then move the symbol off its line.";
    WALLS_CARRIED_ON = "dxf-walls-carried-on", Note, "Walls were carried on through a door or window to the wall beyond",
        meaning: "A wall stops at a door or window that stands hard against another wall, so that nothing of it is drawn between the two. Its plates run over the opening to that wall.",
        rule: "The symbol lies in line with the wall, begins within 3 in of its end and reaches the other wall's face but for 6 in (common practice, no source).",
        remedy: "Nothing, unless the wall really ends there: then move the symbol off its line.";
    PROXY = "dxf-proxy-objects", Error, "Objects without readable geometry",
        meaning: "The drawing holds objects of an add-on program (walls of a building application, say) that other programs cannot read. What they show is missing here.",
        rule: "ACAD_PROXY_ENTITY and AEC objects keep their data in undocumented form.",
        remedy: "Ask the author to export with the objects exploded to lines (in the author's program: export to plain DXF or DWG), or to send IFC.";
    XREF = "dxf-xref", Error, "The drawing refers to another file",
        meaning: "Part of what the drawing shows is in another file that was not read, so walls may be missing.",
        rule: "External references are blocks with flag 4 or 8 (Autodesk DXF reference, BLOCK).",
        remedy: "Bind the reference in the drawing program (bind, not attach) and export again. If it holds no walls, map the layer of the insert to ignore.";
    MISSING_BLOCK = "dxf-missing-block", Warning, "A block is inserted that the file does not have",
        meaning: "An INSERT names a block without a definition; what it should show is unknown.",
        rule: "Every INSERT needs its BLOCK.",
        remedy: "Export the drawing again; check that no walls, doors or windows are missing.";
    LAYER_BY_WORD = "dxf-layer-by-word", Note, "A layer was recognised by a word in its name",
        meaning: "The name is not of the US National CAD Standard, but has the word for wall, door or window in one of several languages.",
        rule: "Common practice, no source.",
        remedy: "If it holds something else, map it to ignore with [[layers]].";
    LAYER_LIKE_WALLS = "dxf-layer-like-walls", Warning, "A layer that is not used looks like walls",
        meaning: "Lines on a layer of unknown use join the walls of the layers that are used: pairs at a wall's thickness, or single lines whose ends meet walls. If they are walls, the plan is without them.",
        rule: "Both ends meet walls or other such lines, nothing runs beside single ones, and they are most of what the layer holds (common practice, no source).",
        remedy: "If it holds walls, put the [[layers]] entry of the message in the settings; if not, one with use = \"ignore\".";
    LAYER_EXCLUDED = "dxf-layer-excluded", Note, "A wall layer was left out",
        meaning: "The name says the layer holds no walls to be framed: demolition, existing, hatching, annotation and the like. Or all it holds is a frame around a plan that is drawn on other layers: a sheet's border.",
        rule: "US National CAD Standard status and minor groups. A border: four sides drawn, the walls found by their shape within it, at least 12 in off all its lines (common practice, no source).",
        remedy: "If its walls are to be framed, map it with [[layers]].";
    HIDDEN = "dxf-hidden-walls", Note, "Wall layers are off or frozen",
        meaning: "Entities on wall, door or window layers that are switched off or frozen were left out.",
        rule: "What is not shown is not planned.",
        remedy: "If they belong to the plan, switch the layers on and save again.";
    PARTIAL_HEIGHT = "dxf-partial-height", Warning, "Partial-height walls without a height",
        meaning: "The layer name says that the walls do not reach the ceiling, but nothing says how high they are. They are planned at the default top, which changes how they tie in.",
        rule: "A-WALL-PRHT is partial height in the US National CAD Standard; some offices use it for partitions.",
        remedy: "Give top for the layer in [[layers]], or map it to ignore.";
    SECTION_CONFLICT = "dxf-section-conflict", Warning, "Stated section and drawn thickness differ",
        meaning: "The section from the settings or the layer name is wider than the wall is drawn, or the wall is drawn as thick as one of deeper studs.",
        rule: "Studs fit inside the wall's faces; a thickness that tells studs 1/2 in deeper and more than stated is theirs (common practice, no source).",
        remedy: "Correct the section or the drawing. The stated section was used.";
    SECTION_DRAWN = "dxf-section-drawn", Note, "Which section a drawn thickness was taken for",
        meaning: "The walls are drawn with their boards; the studs are what is left. Where no usual boards make up the difference well, the section may be another.",
        rule: "Boards of 3/8, 1/2 or 5/8 in on one or both sides, within 1/32 in; off by more than 0.6 mm (two 1/2 in boards drawn as 13 mm) is told as a warning (common practice, no source).",
        remedy: "Nothing if it is right; else give the section in [[layers]] (section = \"2x6\") or in the layer name (A-WALL-EXTR-2X6).";
    UNITS_DOUBTFUL = "dxf-units-doubtful", Warning, "The plan is very large in its stated unit",
        meaning: "The header's unit gives a plan above 150 m, and neither wall thickness nor doors confirm it. A wrong unit is a wrong cut.",
        rule: "Common practice, no source.",
        remedy: "Set units in the settings: a unit set there is obeyed.";
    NOT_FLAT = "dxf-not-flat", Error, "A wall entity does not lie flat",
        meaning: "The entity's plane is tilted or upright, so it is no part of a plan; it was left out.",
        rule: "Plans are read in the world's xy plane.",
        remedy: "Flatten the entity in the drawing, or move it to another layer if it is no wall.";
    HEIGHTS = "dxf-heights-flattened", Note, "Some wall lines are not at height zero",
        meaning: "Their z coordinates were dropped; the plan is flat.",
        rule: "Common practice, no source.",
        remedy: "If they belong to another storey, move them to a file or layer of their own.";
    STACKED = "dxf-floors-stacked", Error, "Floors lie one above the other in one plan",
        meaning: "Walls at heights a storey apart, or on layers named after different floors, lie over each other and not on each other. They were read as one floor: the plan is of no floor that is built.",
        rule: "A DXF plan is flat: its storeys are plans side by side, or files of their own. Heights 6 ft or more apart are storeys (common practice, no source).",
        remedy: "Save each floor as a file of its own, or lay the floors side by side; where each has layers of its own, plan one at a time with use = \"ignore\" for the others in [[layers]].";
    MLINE_CUT = "dxf-mline-cut", Warning, "A multiline wall is cut",
        meaning: "All or some lines of an MLINE are cut, as for an opening or a junction. A cut through all lines is an opening where it is 14 in to 8 ft 3 in wide and no wall passes through it, the end of the wall where it is wider, and a junction where it is narrower. Cuts through some lines only were read as running on.",
        rule: "Common practice, no source.",
        remedy: "Look whether the openings are right. To say what a cut is, put a door or window on its layer there, or end the MLINE where the wall ends.";
}
