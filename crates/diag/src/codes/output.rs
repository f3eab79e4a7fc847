//! Codes about writing results, batches and the program itself.

use super::codes;

codes! {
    OUTPUT_UNWRITABLE = "output-unwritable", Error, "The results could not be written",
        meaning: "The operating system refused to write into the output folder. Results are written whole or not at all: whatever was there before is still there, unchanged.",
        rule: "The output folder, or the folder it is to be made in, must be writable, and no file in it may be held open by another program.",
        remedy: "Close any program (a spreadsheet, most often) that has one of the files open, check the path and the permissions, or choose another folder with -o.";
    SERVE_FAILED = "serve-failed", Error, "The office page could not be opened",
        meaning: "Its folder cannot be used, another platewright serve uses it, or the port is taken.",
        rule: "One folder of jobs has one server, and one port one listener.",
        remedy: "Close the other server, or give another folder with --folder; leave --port away for a free port.";
    OUTPUT_BUSY = "output-busy", Error, "Another run is writing into the same folder",
        meaning: "Two runs at once would write over each other's results, so this one has done nothing. A run that was killed holds no folder.",
        rule: "One run at a time in a folder of a batch; slices (--shard) of one list may share it, each slice once.",
        remedy: "Wait until the other run is done, or give another folder with -o.";
    BATCH_BAD = "batch-bad", Error, "The list of drawings has a mistake",
        meaning: "The manifest or folder given to batch cannot be understood, so no drawing was planned.",
        rule: "A manifest is a CSV or TOML file with lot and file, and if wanted region, mirror, layers, settings, overrides, group and due; every lot has its own name, which becomes a folder name, and every path stays in the folder of the drawings. A folder given instead must hold .dxf, .ifc or .ifczip files. Results never go where drawings lie.",
        remedy: "Correct the line named in the message.";
    DRAWING_CHANGED = "drawing-changed", Error, "The drawing changed while it was being planned",
        meaning: "It was written to between two looks at it, so the plan may be of half a drawing; nothing was written of it.",
        rule: "Results are of one state of a drawing.",
        remedy: "Run it again when nobody is saving the drawing.";
    ROLLUP_BAD = "rollup-bad", Error, "The tables of all lots do not go together",
        meaning: "A lot's files are of another form than the tables that are asked for, so a table over all lots would be read wrongly; that table was not written.",
        rule: "All lots of a subdivision have one [feed]: the batch's.",
        remedy: "Run the batch with the same --feed-unit and --feed-decimal as before, or plan all lots again with --force.";
    REGION_UNUSED = "region-unused", Error, "The choice of storeys or regions cannot be followed",
        meaning: "The manifest or the settings name regions of a sheet, and this drawing is an IFC file, which has none; planning all of it would be more than was asked for.",
        rule: "Regions are drawings on a DXF sheet.",
        remedy: "Leave the region column empty for this lot, take region out of the settings, or give a DXF drawing. To plan some storeys of an IFC file alone, export those alone.";
    SAW_LIST_BAD = "saw-list-bad", Error, "The list of boards from the saw cannot be read",
        meaning: "The file is no list of boards, so nothing could be compared.",
        rule: "A CSV file with the columns board, section, length_ft (or length_mm) and piece, and if wanted lot, position, grade and from (docs/saw-feed.md).",
        remedy: "Export the list again with these columns.";
    SAW_PIECE = "saw-piece", Error, "A piece is not cut exactly once",
        meaning: "By this list a piece would be missing, be cut twice or come from the wrong lumber.",
        rule: "Every piece of cuts.csv is cut once, from a board of its own section.",
        remedy: "Correct the list in the optimiser, then check it again before anything is cut.";
    SAW_BOARD = "saw-board", Error, "A board of the list cannot be cut like that",
        meaning: "The board is of no length in the settings and not on hand, is described in two ways, or does not hold its pieces with kerf and end trim.",
        rule: "Pieces + kerf between them + end trim are within the board; lengths are those of stock.lengths_ft, or of a board on hand, which is cut once.",
        remedy: "Give the optimiser the kerf, end trim and lengths of the settings, or plan again with those of the saw.";
    INTERNAL = "internal-error", Error, "Something went wrong inside platewright",
        meaning: "The program met a case its authors did not foresee. It is our mistake, not yours; nothing was written for this drawing.",
        rule: "No drawing, however damaged, may stop the program.",
        remedy: "Please report it, with the drawing if you may share it and the technical note from the message. Until it is mended, try the drawing exported again in another version.";
}
