//! Codes about writing results, batches and the program itself.

use super::codes;

codes! {
    OUTPUT_UNWRITABLE = "output-unwritable", Error, "The results could not be written",
        meaning: "The operating system refused to write into the output folder. Results are written whole or not at all: whatever was there before is still there, unchanged.",
        rule: "The output folder, or the folder it is to be made in, must be writable, and no file in it may be held open by another program.",
        remedy: "Close any program (a spreadsheet, most often) that has one of the files open, check the path and the permissions, or choose another folder with -o.";
    BATCH_BAD = "batch-bad", Error, "The list of drawings has a mistake",
        meaning: "The manifest or folder given to batch cannot be understood, so no drawing was planned.",
        rule: "A manifest is a CSV file with the columns lot and file, and if wanted settings and mirror; every lot has its own name, which becomes a folder name. A folder given instead must hold .dxf, .ifc or .ifczip files.",
        remedy: "Correct the line named in the message.";
    INTERNAL = "internal-error", Error, "Something went wrong inside platewright",
        meaning: "The program met a case its authors did not foresee. It is our mistake, not yours; nothing was written for this drawing.",
        rule: "No drawing, however damaged, may stop the program.",
        remedy: "Please report it, with the drawing if you may share it and the technical note from the message. Until it is mended, try the drawing exported again in another version.";
}
