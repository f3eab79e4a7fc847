//! The dictionary of the saw's files: every column, what it holds, and the JSON Schema of their rows.

use crate::table::{Column, Kind};
use serde_json::{Map, Value, json};
use settings::FeedUnit::{Inches, Millimetres};

/// The version of the feed. It changes when a column changes its meaning or goes; a further column is no
/// new version.
pub const VERSION: &str = "platewright/feed/1";

const GRADES: [&str; 1] = ["treated"];
const LAYERS: [&str; 3] = ["bottom", "lower", "upper"];
const PIECE: &str = "P[1-9][0-9]*";
const GROUP: &str = "G[1-9][0-9]*";
const SECTION: &str = "[1-9][0-9]*x[1-9][0-9]*";
const NOTCHES: &str = r"((-?[0-9]+([.,][0-9]+)?-[0-9]+([.,][0-9]+)?x[0-9]+([.,][0-9]+)?[LR]|(left|right)-end-[0-9]+-cuts)( |$))*";

const LENGTH_IN: Column = Column::decimal(
    "length_in",
    "Finished length, long point to long point, decimal inches; kerf and end trim are not in it.",
)
.only_in(Inches);
const LENGTH_MM: Column =
    Column::decimal("length_mm", "The same in millimetres.").only_in(Millimetres);
const LENGTH_TEXT: Column = Column::text(
    "length_text",
    "The same for people: feet, inches and sixteenths, or whole millimetres.",
);
const LEFT: Column = Column::decimal(
    "left_cut_deg",
    "Cut at the start; 90 is square, below 90 the left edge is the longer.",
);
const RIGHT: Column = Column::decimal(
    "right_cut_deg",
    "Cut at the end; 90 is square, below 90 the left edge is the longer.",
);
const LEFT_TILT: Column = Column::decimal(
    "left_tilt_deg",
    "Blade to the upper face at the start; 90 is upright, below 90 the upper face is the longer.",
);
const RIGHT_TILT: Column = Column::decimal(
    "right_tilt_deg",
    "Blade to the upper face at the end; 90 is upright, below 90 the upper face is the longer.",
);
const NOTCH_CODES: Column = Column::codes("notches", NOTCHES, "Notches and compound ends, apart by spaces; 1.25-4.75x2L is a bite from 1.25 to 4.75 along the left edge, 2 deep. Inches, or millimetres where the feed is in mm.").or_empty();
const SECTION_OF: Column = Column::id("section", SECTION, "Nominal section, such as 2x4 or 38x89.");
const GRADE: Column =
    Column::word("grade", &GRADES, "treated, or empty: left to the yard.").or_empty();

/// `cuts.csv`: one row a piece.
pub const CUTS: [Column; 20] = [
    Column::id("piece", PIECE, "Id of the piece in its plan."),
    Column::id("group", GROUP, "Row of cuts-grouped.csv with the same cut."),
    Column::text("mark", "What is written on the wood; unique in the plan."),
    Column::text("project", "As given on the command line.").or_empty(),
    Column::text("lot", "As given on the command line or in the list of lots.").or_empty(),
    Column::id("storey", "S[1-9][0-9]*", "Id of the storey."),
    Column::id("wall", "W[1-9][0-9]*( W[1-9][0-9]*)*", "The walls it lies on, apart by spaces."),
    Column::word("layer", &LAYERS, "Which plate it is."),
    SECTION_OF,
    GRADE,
    Column::whole("qty", "Always 1."),
    LENGTH_IN,
    LENGTH_MM,
    LENGTH_TEXT,
    LEFT,
    RIGHT,
    NOTCH_CODES,
    Column::text("label", "Text for a label: lot, mark, section, layer, length."),
    LEFT_TILT,
    RIGHT_TILT,
];

/// `cuts-grouped.csv`: equal pieces counted together.
pub const GROUPED: [Column; 16] = [
    Column::id("group", GROUP, "Id of the group; cuts.csv has it too."),
    SECTION_OF,
    GRADE,
    Column::whole("qty", "Pieces in the group."),
    LENGTH_IN,
    LENGTH_MM,
    LENGTH_TEXT,
    LEFT,
    RIGHT,
    NOTCH_CODES,
    Column::whole("qty_bottom", "Bottom plates among them."),
    Column::whole("qty_lower", "Lower plates among them."),
    Column::whole("qty_upper", "Upper plates among them."),
    Column::id("pieces", "P[1-9][0-9]*( P[1-9][0-9]*)*", "Their ids, apart by spaces."),
    LEFT_TILT,
    RIGHT_TILT,
];

/// `stock.csv`: one row a piece, by the board it is cut from.
pub const STOCK: [Column; 13] = [
    Column::id("board", "BD[1-9][0-9]*", "The same for every piece cut from it."),
    SECTION_OF,
    Column::decimal("length_ft", "Length of the board, feet."),
    Column::decimal("length_mm", "Length of the board, millimetres."),
    Column::whole("position", "1 is cut first; empty where nothing is cut.").or_empty(),
    Column::id("piece", PIECE, "As in cuts.csv; empty for a board nothing is cut from.").or_empty(),
    Column::text("mark", "As in cuts.csv.").or_empty(),
    Column::decimal("piece_length_in", "As length_in of cuts.csv.").or_empty(),
    Column::text("piece_length_text", "As length_text of cuts.csv.").or_empty(),
    Column::decimal("offcut_in", "Left of the whole board after the last kerf, inches."),
    Column::decimal("offcut_mm", "The same in millimetres."),
    GRADE,
    Column::text("from", "buy, or the label of a board on hand (on hand where it has none)."),
];

/// `leftovers.csv`, in the form of a list of boards on hand; names as in [`settings::on_hand::COLUMNS`].
pub const LEFTOVERS: [Column; 5] = [
    SECTION_OF,
    Column::decimal("length", "Inches, rounded down to a sixteenth."),
    Column::whole("quantity", "How many alike."),
    GRADE,
    Column::text("label", "The yard's name for it.").or_empty(),
];

/// What `accept` reads of an optimiser's answer: one row a piece.
pub const RESULT: [Column; 9] = [
    Column::text("board", "Its name; all rows of a name are one board."),
    SECTION_OF,
    Column::decimal("length_ft", "Length of the board, feet.").only_in(Inches),
    Column::decimal("length_mm", "Length of the board, millimetres; where there is no length_ft.")
        .only_in(Millimetres),
    Column::id("piece", PIECE, "Id from cuts.csv; empty for a board nothing is cut from.")
        .or_empty(),
    Column::text("lot", "As in cuts.csv; needed where there are several lots.").or_empty(),
    Column::whole("position", "1 is cut first; once on each board.").or_empty(),
    GRADE,
    Column::text("from", "buy, or the label of a board on hand.").or_empty(),
];

/// Columns of [`RESULT`] that an answer may do without.
const RESULT_MAY_LACK: [&str; 4] = ["lot", "position", "grade", "from"];

/// The JSON Schema (2020-12) of the rows of `cuts.csv`, `cuts-grouped.csv`, `stock.csv` and of the answer that
/// `accept` reads. It holds for every form of the feed, allows further columns, and ends with a line feed.
pub fn schema_json() -> String {
    let row = |columns: &[Column], may_lack: &[&str], about: &str| {
        let mut fields = Map::new();
        columns.iter().for_each(|c| drop(fields.insert(c.name.to_owned(), field(c))));
        let always = columns.iter().filter(|c| c.unit.is_none() && !may_lack.contains(&c.name));
        let always: Vec<&str> = always.map(|c| c.name).collect();
        let lengths = columns.iter().filter(|c| c.unit.is_some());
        let either: Vec<Value> = lengths.map(|c| json!({ "required": [c.name] })).collect();
        let mut row = json!({
            "type": "object", "description": about, "properties": fields, "required": always,
        });
        if let (Value::Object(row), false) = (&mut row, either.is_empty()) {
            row.insert("anyOf".to_owned(), Value::Array(either));
        }
        row
    };
    let rows = |of: &str| json!({ "type": "array", "items": { "$ref": format!("#/$defs/{of}") } });
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:platewright:feed:1",
        "title": VERSION,
        "description": "Rows of the saw's CSV files. A row is an object by column names: a cell of a number column is a number, or null when it is empty; any other cell is a string. With decimal = \"comma\" semicolons part the columns, and the comma of a number is its decimal sign. docs/saw-feed.md says more.",
        "type": "object",
        "properties": {
            "cuts.csv": rows("cuts_row"),
            "cuts-grouped.csv": rows("cuts_grouped_row"),
            "stock.csv": rows("stock_row"),
            "result.csv": rows("result_row"),
        },
        "$defs": {
            "cuts_row": row(&CUTS, &[], "A row of cuts.csv: one piece."),
            "cuts_grouped_row": row(&GROUPED, &[], "A row of cuts-grouped.csv: equal pieces."),
            "stock_row": row(&STOCK, &[], "A row of stock.csv: one piece, by its board."),
            "result_row": row(&RESULT, &RESULT_MAY_LACK, "A row of an optimiser's answer, as accept reads it."),
        },
    });
    format!("{schema:#}\n")
}

fn field(c: &Column) -> Value {
    let whole = |pattern: &str| format!("^({pattern})$");
    let or_empty = |pattern: String| if c.may_be_empty { format!("^$|{pattern}") } else { pattern };
    let mut of = match c.kind {
        Kind::Text(None) if c.may_be_empty => json!({ "type": "string" }),
        Kind::Text(None) => json!({ "type": "string", "minLength": 1 }),
        Kind::Text(Some(pattern)) => {
            json!({ "type": "string", "pattern": or_empty(whole(pattern)) })
        }
        Kind::Codes(pattern) => json!({ "type": "string", "pattern": or_empty(whole(pattern)) }),
        Kind::Word(words) => {
            let empty = c.may_be_empty.then_some("");
            json!({ "enum": words.iter().copied().chain(empty).collect::<Vec<_>>() })
        }
        Kind::Whole if c.may_be_empty => json!({ "type": ["integer", "null"] }),
        Kind::Whole => json!({ "type": "integer" }),
        Kind::Decimal if c.may_be_empty => json!({ "type": ["number", "null"] }),
        Kind::Decimal => json!({ "type": "number" }),
    };
    if let Value::Object(of) = &mut of {
        of.insert("description".to_owned(), c.about.into());
    }
    of
}
