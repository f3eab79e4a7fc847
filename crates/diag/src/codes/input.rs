//! Codes about files, settings and units, whatever the format.

use super::codes;

codes! {
    UNITS_MISSING = "units-missing", Error, "The drawing does not say its units",
        meaning: "Lengths cannot be read without a unit, and a wrong guess is a wrong cut.",
        rule: "Units are never guessed. DXF $INSUNITS 0 means unitless (Autodesk, INSUNITS).",
        remedy: "Set units = \"in\", \"ft\", \"mm\", \"cm\" or \"m\" in the settings file, or pass --units with it: the one the drawing was made in. The message says which readings could be a building.";
    UNITS_CONFLICT = "units-conflict", Error, "The stated unit does not fit the drawing",
        meaning: "Read in the stated unit, the walls would be far too thick or thin, or the building far too large or small.",
        rule: "Stated units are checked against wall thickness and overall size before they are believed (common practice, no source).",
        remedy: "Look at the evidence in the message, then set units in the settings file; a unit set there is obeyed.";
    UNITS_UNLIKELY = "units-unlikely", Warning, "The unit that was set makes no likely building",
        meaning: "A unit from the settings or --units is obeyed. Read in it, the walls are far too thick or thin, or the building far too large or small, against what the file itself says; every cut follows from it. Where the walls would reach over more than 5 km, as no building does, nothing is planned, and it is an error.",
        rule: "Wall thickness and overall size as for stated units (common practice, no source).",
        remedy: "Compare the sizes in the message with the drawing. If the unit is a slip, correct it or take it out.";
    NO_WALLS = "no-walls", Error, "No walls were found",
        meaning: "Nothing in the drawing was recognised as a wall this version can read, so there is nothing to plan.",
        rule: "Layer names follow the US National CAD Standard unless settings map them.",
        remedy: "Where walls were found and left out, the other findings say why and what to do. Else see which layers or classes hold the walls: inspect lists them. Switch on and thaw those that are hidden, draw the plan in model space, and map layers of other names with [[layers]] in settings.";
    FILE_EMPTY = "file-empty", Error, "The file is empty",
        meaning: "There are no bytes to read.",
        rule: "A drawing has at least a header.",
        remedy: "Export the drawing again.";
    FILE_FOREIGN = "file-foreign", Error, "The file is neither DXF nor IFC",
        meaning: "The content, not the file name, decides how a file is read; this content is something else.",
        rule: "Read here: DXF (ASCII or binary) and IFC STEP files (.ifc, .ifczip).",
        remedy: "Save the drawing as DXF (2000 or later) or export it as IFC.";
    FILE_UNREADABLE = "file-unreadable", Error, "The file could not be opened",
        meaning: "The operating system refused to open or read it.",
        rule: "The file must exist and be readable.",
        remedy: "Check the path and the permissions.";
    FILE_TRUNCATED = "file-truncated", Error, "The file ends too early",
        meaning: "The end marker is missing: the file was cut off when saved or copied, so walls may be missing.",
        rule: "DXF ends with EOF, a STEP file with END-ISO-10303-21 (ISO 10303-21).",
        remedy: "Export or copy the drawing again.";
    COORDINATE_BAD = "coordinate-bad", Error, "A coordinate is not a usable number",
        meaning: "The wall has a coordinate that is not a number or lies beyond 100 km; it was left out.",
        rule: "Coordinates must be finite and within 100 km of the rest.",
        remedy: "Repair or delete the entity in the drawing.";
    WALL_ZERO_LENGTH = "wall-zero-length", Warning, "A wall has no length",
        meaning: "Both ends are the same point; it was left out and counted.",
        rule: "A wall needs two different ends.",
        remedy: "Delete the entity in the drawing, or check that it is not a damaged wall.";
    SECTION_ASSUMED = "section-assumed", Warning, "The plate section was taken from the default",
        meaning: "Neither the layer name, the settings nor the drawn thickness tells the stud size of these walls.",
        rule: "A section named by the layer or the settings outranks a default.",
        remedy: "Give the section in [[layers]] (section = \"2x6\"), in the layer name (A-WALL-EXTR-2X6), or set default_section.";
    SECTION_UNKNOWN = "section-unknown", Error, "The wall is no size that studs are made in",
        meaning: "Its thickness, or that of the layer its studs are in, matches no framing lumber, with or without finishes; plates of a guessed width would be wrong, so the wall was left out.",
        rule: "Sections are the PS 20 and Canadian dressed sizes.",
        remedy: "If it is a framed wall, give its section in [[layers]] or set default_section; if it is masonry or glass, map it to ignore.";
    SETTINGS_BAD = "settings-bad", Error, "The settings file has a mistake",
        meaning: "A key or value is not understood; nothing was planned, so that a typing slip never changes a cut list unnoticed.",
        rule: "Unknown keys are errors.",
        remedy: "Correct the key or value named in the message.";
    ON_HAND_BAD = "on-hand-bad", Error, "The list of boards on hand has a mistake",
        meaning: "A line of the list cannot be read; nothing was planned, so that no board is counted on that is not there.",
        rule: "Columns section and length, and if wanted quantity, grade and label; a length is a number of inches or a text with its unit.",
        remedy: "Correct the line named in the message.";
    PLAN_BAD = "plan-bad", Error, "The file is no plan of this program",
        meaning: "plan.json cannot be read: it is damaged, edited, or another program's.",
        rule: "Schema platewright/plan/1, as `platewright schema` prints it.",
        remedy: "Give the plan.json that plan wrote, unchanged; else plan the drawing again.";
    MEASURED_BAD = "measured-bad", Error, "The list of measured walls has a mistake",
        meaning: "A line of the list cannot be used; nothing was planned, so that no plate is cut to a wrong measure.",
        rule: "Columns wall and length; a wall is named as in the plan (R1, R2 ...), a length is a number of inches or a text with its unit.",
        remedy: "Correct the line named in the message.";
    REPAIRED = "file-repaired", Warning, "Damage in the file was read around",
        meaning: "Part of the file is malformed; reading went on after it. What was lost is listed.",
        rule: "Nothing is dropped without being counted.",
        remedy: "Check the walls near the place named, or export the drawing again.";
    LIMIT = "limit-reached", Error, "A limit was reached",
        meaning: "The drawing takes more than the limits that keep this program safe with strangers' files: size, nesting, walls, time, memory. The work was stopped, or something was left out and counted; the message says which.",
        rule: "Limits are documented in docs/reliability.md; inspect --limits lists them.",
        remedy: "If you trust the drawing, raise the limit named with --limit NAME=VALUE or under [limits] in the settings file; else split it, or purge it in the drawing program.";
}
