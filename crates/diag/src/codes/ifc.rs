//! Codes about IFC files.

use super::codes;

codes! {
    ENCODING_UNSUPPORTED = "ifc-encoding-unsupported", Error, "This IFC encoding is not read",
        meaning: "The file is IFC, but written as XML or JSON instead of a STEP file.",
        rule: "Read here: ISO 10303-21 STEP files (.ifc) and zipped ones (.ifczip).",
        remedy: "Export the model again as IFC (STEP), version IFC2x3 or IFC4.";
    ZIP_BAD = "ifc-zip-bad", Error, "The zip file does not hold one IFC model",
        meaning: "The archive is damaged, too large when unpacked, or holds no model or several.",
        rule: "An .ifczip holds exactly one model file.",
        remedy: "If it is damaged or cut short, fetch it or have it packed again; else unpack it and give the .ifc file itself.";
    SCHEMA_UNKNOWN = "ifc-schema-unknown", Warning, "The IFC version is not one this program knows",
        meaning: "The file is read as the nearest known version; walls and openings have hardly changed between versions.",
        rule: "Known: IFC2x (any edition), IFC4, IFC4.1 to 4.3. FILE_SCHEMA names the version.",
        remedy: "Check the walls with inspect, or export as IFC2x3 or IFC4.";
    PROJECTS_SEVERAL = "ifc-projects-several", Warning, "The file holds more than one project",
        meaning: "Merged files may overlap or differ in units; everything with the same unit is read as one building.",
        rule: "A model has one IfcProject (IFC2x3, IFC4).",
        remedy: "Export each building to its own file.";
    ENTITY_BROKEN = "ifc-entity-broken", Warning, "An entity refers to something that is not there",
        meaning: "A relation or shape in the file cannot be followed; what hangs on it is missing from the plan.",
        rule: "Nothing is dropped without being counted.",
        remedy: "Look at the entities named in the message, or export the model again.";
    WALL_SHAPE = "ifc-wall-shape", Error, "A wall's shape could not be read",
        meaning: "Neither an axis nor a body gave a straight centreline, so the wall was left out.",
        rule: "A wall is read from its Axis, else from the longest parallel faces of its body, extruded or faceted, with bends where the thickness is even; else from its parts together.",
        remedy: "Export with axis geometry, or as extrusions (Coordination View 2.0, Design Transfer View); check the wall in the drawing program.";
    WALL_CURVED = "ifc-wall-curved", Error, "A curved wall was left out",
        meaning: "It follows no single arc of a circle, or the settings leave curved walls out. The message gives what its axis tells: radius, length and ends.",
        rule: "Plates are cut from straight lumber; an arc can be planned as straight parts.",
        remedy: "Lay out the curved plates by hand, or draw the wall as short straight pieces.";
    WALL_IN_PARTS = "ifc-wall-in-parts", Warning, "A curved wall is planned as straight parts",
        meaning: "The wall is an arc of a circle. It is planned as straight parts of one length whose ends lie on the curve. All plates are cut on the half angle where two parts meet, with splice plates there, since the joints of all layers fall on one place.",
        rule: "Plates are cut from straight lumber. Parts at most 1/4 in off the curve (common practice, no source).",
        remedy: "Look at the place: where the plates are cut to the curve out of sheets or wide boards instead, set curved_walls = \"leave-out\" or map the wall to ignore.";
    AXIS_SHORT = "ifc-axis-short", Warning, "A wall's axis stops short of its body",
        meaning: "Some programs end the axis at a door. The wall was lengthened to its body.",
        rule: "The body is what is built. Up to half the wall's thickness is no matter, and no more is told where both end at a wall that is met (common practice, no source).",
        remedy: "Check the wall's length against the drawing.";
    AXIS_LONG = "ifc-axis-long", Warning, "A wall's axis runs on beyond its body",
        meaning: "The wall was ended where its body ends, clips carried out.",
        rule: "The body is what is built. An axis may run on to the middle of the wall it meets; up to half the wall's own thickness is no matter (common practice, no source).",
        remedy: "Check the wall's length against the drawing.";
    WALL_BROKEN = "ifc-wall-broken", Warning, "A wall is broken over its full height",
        meaning: "Its body, or a void cut from it, leaves nothing between the places in the message, up through both top plates. No plate runs through there; what is left on either side is planned as walls of their own.",
        rule: "Plates are not planned through air. Breaks up to 2 in do not count (common practice, no source).",
        remedy: "If the wall is to run on over the opening, end the void below the top plates.";
    SHAPE_IN_PART = "ifc-shape-in-part", Warning, "Part of a wall's shape could not be read",
        meaning: "A wall's axis and its body together tell where it runs, how high it is and on which side of the axis it lies. One of them, or a part of the body, could not be read; the message says why and what was taken instead.",
        rule: "Nothing is guessed in silence.",
        remedy: "Check where the wall runs and how high it is; give the height under [[layers]] (top) or default_top in the settings; or export the model again.";
    TOP_NOT_LEVEL = "ifc-top-not-level", Warning, "Raked or clipped top",
        meaning: "The wall is cut by a roof or has a sloped or stepped top. Where the top is a few straight legs of 2 ft or more, the plates follow it; else they are planned level, at the height the message gives.",
        rule: "The top is followed along the middle of the wall with clips carried out: a height that holds over half the length or more is taken, else the low end (where the walls at the eaves meet it), else, where that is the wall's foot, the highest point.",
        remedy: "Check the heights on the drawing. Where plates are planned level, cut the top plates of this wall to the rake by hand; top in [[layers]] sets another height.";
    FOOT_NOT_LEVEL = "ifc-foot-not-level", Warning, "A wall's foot is not level",
        meaning: "The wall stands on a slope or on steps, as over a lower roof or a stepped footing. Its bottom plate is planned in one level at its lowest place, so that plates and studs there are too long or too many.",
        rule: "The lowest material along the middle and both faces of the wall, clips carried out; over 12 in of its length or more the middle stands more than 1/2 in higher. Heights are above the storey.",
        remedy: "Lay the bottom plate out by hand there, or split the wall in the drawing program where its foot steps.";
    SPANS_STOREYS = "ifc-wall-spans-storeys", Warning, "A wall reaches through more than one storey",
        meaning: "The plan gives it plates on the storey it stands on, at its full height only.",
        rule: "A wall belongs to one storey (IfcRelContainedInSpatialStructure).",
        remedy: "If it is framed storey by storey, split it in the drawing program or set top in [[layers]].";
    STOREY_DOUBTFUL = "ifc-storey-doubtful", Warning, "A wall seems to be contained in the wrong storey",
        meaning: "Its foot is at the level of another storey than the one it is contained in. It is planned on the storey that contains it, at the height where it stands, so its plates are listed and drawn with the wrong floor.",
        rule: "A wall belongs to the storey that contains it (IfcRelContainedInSpatialStructure); a foot within 6 in of another storey's level stands on that one (common practice, no source).",
        remedy: "Put the wall on the right storey in the drawing program (its base level) and export again.";
    PLACEMENT_MISSING = "ifc-placement-missing", Warning, "A wall has no placement",
        meaning: "Its shape was read where its own coordinates put it, from the zero of the model. If the placement was lost, the wall is in the wrong place.",
        rule: "A product with a shape has an ObjectPlacement (IFC4, IfcProduct, rule PlacementForShapeRepresentation; from memory).",
        remedy: "Compare the wall's place and height with the drawing; if it is wrong, export again, or map the wall to ignore and add it by hand.";
    TEXT_BAD = "ifc-text-bad", Warning, "Text is not written as it must be",
        meaning: "A name holds an escape that is none, which stays as written, or bytes that are no UTF-8, which were read as Windows-1252. Names choose framing layers and [[layers]] entries, so a name that is read wrongly may choose wrongly.",
        rule: "Strings: ISO 10303-21, clause 6.4.3 (from memory).",
        remedy: "Compare the names in the message with the drawing; write [[layers]] patterns as the names are read here, or with * for what is spoilt.";
    STOREYS_MISSING = "ifc-storeys-missing", Warning, "The file has no storeys",
        meaning: "Walls are sorted into storeys by the height of their feet.",
        rule: "Feet more than 4 ft apart are different storeys (common practice, no source).",
        remedy: "Check the storeys in the plan, or add storeys in the drawing program.";
    STOREY_HEIGHT = "ifc-storey-height", Warning, "A storey's elevation and its placement differ",
        meaning: "The storey says one height and is placed at another; the one its walls stand on was believed.",
        rule: "IfcBuildingStorey.Elevation and ObjectPlacement should agree.",
        remedy: "Check base and top of the walls of this storey.";
    LAYER_TIE = "ifc-framing-layer-tie", Error, "Two layers could be the framing",
        meaning: "Layers of the wall look equally like studs, so where the plates go is not known; the wall was left out.",
        rule: "The framing layer is chosen by material name, then by lumber thickness; two that are named as studs or wood are two rows, other ties are not broken by guess.",
        remedy: "Name the framing material apart (for instance 2x4 stud), or name what is no framing under finishes in [framing]; of three rows and more draw each as a wall of its own.";
    STUD_ROWS = "ifc-stud-rows", Note, "A wall has two rows of studs",
        meaning: "Two layers of the wall, equally thick, are named as studs or wood, as in a party wall. Each row is planned as a wall of its own: doors and windows are in both, a wall that ends at it is tied to the nearer row, and at a corner outer row meets outer row and inner row inner row.",
        rule: "A double wall has plates for each row of studs (common practice, no source). Rows are not tied to each other by plates.",
        remedy: "If one of the two is furring, name its material apart and list it under finishes in [framing].";
    STUD_ROW_LEFT = "ifc-stud-row-left", Warning, "Another layer named as studs gets no plates",
        meaning: "Besides the framing layer the wall has one more layer that is named as studs and as thick as lumber. Plates were planned for the framing layer alone.",
        rule: "Of layers named as studs those as thick as lumber come first, then the thickest; two that are equally thick are two rows.",
        remedy: "If it stands on plates of its own, draw it as a wall of its own; if it is furring, name it under finishes in [framing].";
    LAYER_GUESSED = "ifc-framing-layer-guessed", Warning, "The framing layer was chosen by thickness alone",
        meaning: "No material of the wall is named as studs; the thickest layer that is as thick as lumber was taken.",
        rule: "Material names come first (stud, framing, lumber, 2x4 ...), then dressed thickness.",
        remedy: "Check the choice with inspect; name the material, or give the section in [[layers]].";
    LAYERS_UNIT = "ifc-layers-unit", Warning, "Layers are given in another unit than the model",
        meaning: "The layers of a wall are together exactly so many times thinner or thicker than every body that has them as one common unit is than the file's. They were written in that unit and are taken in it.",
        rule: "IfcMaterialLayer.LayerThickness is an IfcNonNegativeLengthMeasure in the project's length unit (IFC4); bodies and layers agree to 1 in 100 in the other unit, and the units are five times each other or more.",
        remedy: "Check the section that inspect shows for the type; better, have the model exported again.";
    FRAMING_LAYER = "ifc-framing-layer", Note, "Which layer of the wall is the framing",
        meaning: "The wall is drawn with its layers; the plates lie in the one named here, whatever line the drawing goes by.",
        rule: "Materials named in [framing] come first, then built-in words (stud, framing, lumber, 2x4 ...), then wood, then what is marked as load bearing; of several, those as thick as lumber, then the thickest.",
        remedy: "Nothing if it is right; else name the material under materials or finishes in [framing], or give the section in [[layers]].";
    FRAMING_PLACE = "ifc-framing-place", Warning, "Where in the wall the studs stand is not known",
        meaning: "The wall's materials are a list or constituents, which have neither thickness nor order, or its framing layer is wider than the stud it is named as. The section is the one of the name; the plates were put in the middle of the body, or of that layer, and the message says how far that can be off.",
        rule: "IfcMaterialConstituentSet and IfcMaterialList tell what a wall is of, IfcMaterialLayerSet also where (IFC4).",
        remedy: "Check against the drawing on which face the studs stand, or export the model with material layers.";
    WALLS_BESIDE = "ifc-walls-beside", Note, "Walls stand side by side",
        meaning: "Two walls touch along their faces, as a lining in front of the structure does, or the two halves of a party wall. Each is planned, or left out, by itself.",
        rule: "Faces within 1 in over half the length of the shorter wall (common practice, no source).",
        remedy: "If one of them is a lining or finish, map its type to ignore in [[layers]].";
    PATH_DISAGREES = "ifc-path-disagrees", Note, "A stated connection of walls is not there",
        meaning: "The file says that two walls meet where their lines lie apart by more than both thicknesses; joints follow the geometry.",
        rule: "IfcRelConnectsPathElements is a hint; geometry outranks it. Allowed: both thicknesses and 1 in (common practice, no source).",
        remedy: "Check the joint in the drawing if walls should meet there.";
    PROXY_WALL = "ifc-proxy-wall", Warning, "An element of no class looks like a wall",
        meaning: "An IfcBuildingElementProxy is named and shaped like a wall. It is not in the plan.",
        rule: "Only IfcWall and its subtypes are walls, and proxies that a [[layers]] entry names.",
        remedy: "If it is a wall, add a [[layers]] entry that matches its name with use = \"wall\", or export it as a wall.";
    LAYER_SIDE = "ifc-layer-side", Warning, "Where the layers lie is not certain",
        meaning: "The layer set does not say from which face it is counted, or says otherwise than the body shows; the body was believed.",
        rule: "OffsetFromReferenceLine and DirectionSense place the layers beside the axis (IFC4, IfcMaterialLayerSetUsage).",
        remedy: "Check on which face of the wall the studs stand.";
    NOT_WOOD = "ifc-wall-not-wood", Error, "The wall is not framed in wood",
        meaning: "Its load-carrying layer is concrete, masonry, metal or glass by name; it gets no plates.",
        rule: "Material names decide; a section in [[layers]] overrides them.",
        remedy: "If it is framed in wood after all, give its section in [[layers]]; to silence this, map it to ignore.";
    WALL_NOT_NEW = "ifc-wall-not-new", Note, "A wall that is not to be built was left out",
        meaning: "Its status is existing, temporary or to be demolished, so it gets no plates, and new walls are not joined to it. Doors and windows in it are left out too.",
        rule: "Pset_WallCommon.Status (IFC4, PEnum_ElementStatus): NEW, OTHER, NOTKNOWN and UNSET are planned, EXISTING, DEMOLISH and TEMPORARY are not.",
        remedy: "Nothing if that is right; to plan such walls, name their type in [[layers]] with use = \"wall\".";
    WALL_TWICE = "ifc-wall-twice", Warning, "The same wall is in the file twice",
        meaning: "Two walls lie on each other with the same ends and height; one of them is used.",
        rule: "Same ends within 1/16 in (common practice, no source).",
        remedy: "Delete the copy in the drawing program (often a file linked twice).";
    GUID_TWICE = "ifc-guid-twice", Note, "A GlobalId is used twice",
        meaning: "Two elements carry the same id; sources in the plan show the entity number as well.",
        rule: "GlobalId is unique in a file (IFC, IfcRoot).",
        remedy: "Nothing to do for the plan; tell the drawing's author.";
    OPENING_UNHOSTED = "ifc-opening-unhosted", Warning, "An opening, door or window is in no wall that was read",
        meaning: "It cuts nothing in this plan.",
        rule: "IfcRelVoidsElement and IfcRelFillsElement say which wall an opening is in.",
        remedy: "Check whether the wall is missing from the plan, and host the door or window in the drawing program.";
    OPENING_BY_PLACE = "ifc-opening-by-place", Warning, "An opening, door or window is in a wall by its place alone",
        meaning: "The file ties it to no wall; the nearest wall within 6 in of it is taken as cut, over the width of its body or of what its door or window states.",
        rule: "IfcRelVoidsElement and IfcRelFillsElement say which wall an opening is in; 6 in is common practice, no source.",
        remedy: "Check these openings against the drawing; rough openings may be wider than the door or window.";
    OPENING_OVER_SEAM = "ifc-opening-over-seam", Warning, "An opening lies over the seam of two walls that differ",
        meaning: "The two walls go on in one line, but their framing or height is not the same: each carries its part of the opening, and the plates change between its jambs. The header has nothing to bear on where they change.",
        rule: "What of an opening reaches past its wall's end is laid on the wall that goes on there in line, where the file does not cut that one itself. Walls of the same framing and height are one there, and nothing is said (common practice, no source).",
        remedy: "Check the model: as a rule the change of section or height belongs beside the opening, not in it. Move the seam, or the door or window.";
    OPENING_SHAPE = "ifc-opening-shape", Warning, "An opening's place on its wall could not be read",
        meaning: "Neither its body nor its door or window gave a width within the wall, and it is missing from the plan; or it reaches past the end of its wall where no wall goes on in line, and is narrower in the plan than in the model.",
        rule: "Openings are measured by their body, else by the width of what fills them.",
        remedy: "Mark the opening on the plates by hand.";
    OPENING_SHALLOW = "ifc-opening-shallow", Note, "A recess was not taken for an opening",
        meaning: "The void does not go through the framing, so it gets no king studs or trimmers and keeps no joint away.",
        rule: "An opening goes through three quarters of the framing's width or more, one that a door or window fills through half of it; one that is called a recess (IfcOpeningElement.PredefinedType) through all of it.",
        remedy: "Nothing, unless the wall is recessed for a box that needs framing, or so deep that studs are cut.";
    OPENING_SMALL = "ifc-opening-small", Note, "A small void was not taken for an opening",
        meaning: "A hole for a duct, a pipe or a box that no door or window fills fits between two studs.",
        rule: "Neither wider nor higher than the space between two studs of the spacing in the settings (common practice, no source).",
        remedy: "Nothing, unless a stud stands in its way or it is to be framed: then mark it on the plates by hand.";
    OPENING_IN_BODY = "ifc-opening-in-body", Warning, "Openings are in the shape of a wall's body alone",
        meaning: "No opening element tells of them. Holes through the body and notches from its foot were read as openings: as passages where they reach to the floor, else as windows. Where the message says that a body could not be looked through, openings may be missing.",
        rule: "Openings are IfcOpeningElements (IfcRelVoidsElement); a body cut open along its middle and near both faces shows the others. Over 2 in wide and high, notches over 48 in (common practice, no source).",
        remedy: "Check these openings against the drawing, or export the model with opening elements (Design Transfer View).";
    VOID_IN_PLATES = "ifc-void-in-plates", Error, "A void cuts a wall's top plates",
        meaning: "An opening, beam pocket or recess reaches into the top plates in the message. The plates are planned as if it were not there.",
        rule: "The two top plates take up the last 3 in (2x lumber) below the wall's top.",
        remedy: "If the void is right, cut the plates there and strap them as the local code asks, or lower the wall's top; else end the void below the plates in the drawing program.";
}
