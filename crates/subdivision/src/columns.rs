//! The columns of the tables over all lots.

use export::Column;

const LOT: Column = Column::text("lot", "Name, as in the list of lots.");
const GROUP: Column =
    Column::text("group", "Delivery or phase, as in the list of lots.").or_empty();
const DUE: Column = Column::text("due", "Date, as in the list of lots.").or_empty();
const STATUS: Column = Column::word(
    "status",
    &["ok", "warnings", "errors", "failed", "missing"],
    "What became of the lot; missing: not planned yet.",
);
const SECTION: Column = Column::text("section", "Nominal section, such as 2x4.");
const GRADE: Column = Column::word("grade", &["treated"], "treated, or empty.").or_empty();
const COST: Column =
    Column::decimal("cost", "By the price lists; empty unless every part has a price.").or_empty();
const REPORT: Column = Column::text("report", "Path of the report.").or_empty();
const PIECES: Column = Column::whole("pieces", "Pieces to cut.");
const BOARDS: Column = Column::whole("boards", "Boards to buy.");
const BOUGHT: Column = Column::whole("bought_ft", "Their length, feet.");
const LOTS_OF: Column = Column::whole("lots", "How many lots.");

/// `lots.csv`.
pub const LOTS: [Column; 15] = [
    LOT,
    GROUP,
    DUE,
    Column::text("file", "Name of the drawing."),
    STATUS,
    Column::whole("errors", "Findings of severity error.").or_empty(),
    Column::whole("warnings", "Findings of severity warning.").or_empty(),
    Column::whole("notes", "Findings of severity note.").or_empty(),
    Column::whole("walls", "Walls planned.").or_empty(),
    PIECES.or_empty(),
    BOARDS.or_empty(),
    BOUGHT.or_empty(),
    Column::decimal("used_ft", "Length of the pieces, feet.").or_empty(),
    COST,
    REPORT,
];
/// `lumber.csv`.
pub const LUMBER: [Column; 11] = [
    Column::word("scope", &["lot", "group", "all"], "Rows of one scope add up; take one only."),
    Column::text("name", "The lot or group.").or_empty(),
    SECTION,
    GRADE,
    PIECES,
    Column::decimal("used_ft", "Length of the pieces, feet."),
    BOARDS,
    BOUGHT,
    Column::decimal("least_ft", "Proven: no choice of boards, each lot by itself, buys less."),
    Column::decimal("waste_pct", "Of what is bought, percent.").or_empty(),
    COST,
];
/// `buy.csv`.
pub const BUY: [Column; 7] = [
    GROUP,
    SECTION,
    GRADE,
    Column::whole("length_ft", "Of one board, feet."),
    BOARDS,
    Column::whole("total_ft", "Of all of them, feet."),
    LOTS_OF,
];
/// `fasteners.csv`.
pub const FASTENERS: [Column; 5] = [
    GROUP,
    Column::text("item", "Nail, strap or screw."),
    Column::text("for", "Purpose."),
    Column::whole("count", "How many."),
    LOTS_OF,
];
/// `review.csv`.
pub const REVIEW: [Column; 11] = [
    Column::whole("rank", "1 is worst."),
    LOT,
    GROUP,
    DUE,
    STATUS,
    Column::word("severity", &["error", "warning"], "Of the finding."),
    Column::text("code", "Of the finding.").or_empty(),
    Column::whole("count", "Findings of this code in this lot."),
    Column::text("reason", "The first of them."),
    Column::text("remedy", "What to do."),
    REPORT,
];
/// `pool.csv`.
pub const POOL: [Column; 14] = [
    GROUP,
    SECTION,
    GRADE,
    LOTS_OF,
    PIECES,
    BOARDS,
    BOUGHT,
    Column::decimal("lower_bound_ft", "Proven: no choice of boards buys less."),
    Column::word("proven_optimal", &["yes", "no"], "yes where nothing cheaper exists."),
    Column::whole("apart_ft", "What the lots buy each by itself, feet."),
    Column::whole("saved_ft", "The difference, feet."),
    COST,
    Column::decimal("lower_bound_cost", "Where there are prices.").or_empty(),
    Column::whole("on_hand", "Boards on hand that are cut before any is bought."),
];
/// `pool-stock.csv`.
pub const POOL_STOCK: [Column; 11] = [
    GROUP,
    Column::id("board", "PB[1-9][0-9]*", "The same for every piece cut from it."),
    SECTION,
    GRADE,
    Column::decimal("length_ft", "Length of the board, feet."),
    Column::whole("position", "1 is cut first."),
    LOT,
    Column::id("piece", "P[1-9][0-9]*", "As in cuts.csv."),
    Column::decimal("piece_length_in", "As length_in of cuts.csv."),
    Column::decimal("offcut_in", "Left of the board after the last kerf, inches."),
    Column::text("from", "buy, or the label of a board on hand (on hand where it has none)."),
];

/// Every table and its columns, in the order of the names. `cuts.csv` is the cut lists of all lots.
pub const TABLES: [(&str, &[Column]); 8] = [
    ("buy.csv", &BUY),
    (crate::CUTS, &export::feed::CUTS),
    ("fasteners.csv", &FASTENERS),
    ("lots.csv", &LOTS),
    ("lumber.csv", &LUMBER),
    ("pool-stock.csv", &POOL_STOCK),
    ("pool.csv", &POOL),
    ("review.csv", &REVIEW),
];
