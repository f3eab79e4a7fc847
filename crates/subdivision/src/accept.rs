//! The saw's answer: whether every piece is cut once, each from a board that there is.
//!
//! Knows: the pieces of finished plans, boards on hand, and a list of boards that an optimiser made from
//! `cuts.csv`. Never touches: how the optimiser chose; whether fewer boards would do.

mod boards;

use crate::natural;
use crate::pool::{Piece, Saw};
use diag::{Finding, Refusal, codes::output};
use export::{feed, harmless};
use geom::Length;
use lists::List;
use lumber::Section;
use settings::OnHandBoard;
use settings::parse::nearest;
use std::collections::BTreeMap;

/// The pieces of one lot and the saw they were planned for.
#[derive(Clone, Debug)]
pub struct LotPieces {
    /// Its name; may be empty for a single plan.
    pub lot: String,
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// Its stock settings.
    pub saw: Saw,
}

/// What was compared.
#[derive(Clone, Debug, Default)]
pub struct Verdict {
    /// Boards in the list.
    pub boards: u64,
    /// Their length, feet, rounded down.
    pub boards_ft: u64,
    /// Pieces of the plans.
    pub pieces: u64,
    /// Everything wrong; empty when the list can be cut.
    pub findings: Vec<Finding>,
}

struct Cut<'a> {
    line: u64,
    lot: &'a LotPieces,
    piece: &'a Piece,
}

/// A board's length as the list has it, and how far it may be off: half of its last digit.
#[derive(Clone, Copy, PartialEq)]
struct Stated {
    length: Length,
    off: Length,
}

impl Stated {
    /// Feet, to four decimals as we write them, or millimetres, to whole ones as saws have them.
    fn of(feet: &str, mm: &str) -> Option<Stated> {
        let stated = match feet {
            "" => {
                let mm = mm.parse::<f64>().ok().filter(|mm| (30.0..=30_480.0).contains(mm))?;
                (Length::from_inches(mm / 25.4)?, Length::from_nm(500_000))
            }
            feet => {
                let feet = feet.parse::<f64>().ok().filter(|ft| (0.1..=100.0).contains(ft))?;
                (Length::from_inches(feet * 12.0)?, Length::from_nm(15_240))
            }
        };
        Some(Stated { length: stated.0, off: stated.1 })
    }
    fn is(self, length: Length) -> bool {
        (self.length - length).abs() <= self.off
    }
}

struct BoardRows<'a> {
    first_line: u64,
    section: Option<Section>,
    length: Option<Stated>,
    grade: Option<String>,
    /// `buy`, a board's label, or nothing.
    from: String,
    positions: BTreeMap<String, u64>,
    cuts: Vec<Cut<'a>>,
}

/// The cells of a row that are read; others are passed over, since optimisers write many more.
struct Cells<'r> {
    board: &'r str,
    section: &'r str,
    feet: &'r str,
    mm: &'r str,
    piece: &'r str,
    lot: &'r str,
    position: &'r str,
    grade: &'r str,
    from: &'r str,
}

/// Checks a list against the lots' pieces and the boards on hand. `name` is the list's, for messages.
///
/// # Errors
/// When the list cannot be read at all.
pub fn check(
    bytes: &[u8],
    name: &str,
    lots: &[LotPieces],
    on_hand: &[OnHandBoard],
) -> Result<Verdict, Refusal> {
    let refuse = |what: String| {
        let message = format!("{name}: {what}.");
        Refusal::because(Finding::new(output::SAW_LIST_BAD, message).about(name))
    };
    let text = lists::text(bytes).map_err(refuse)?.text;
    let known = feed::RESULT.map(|c| c.name);
    let list = List::of(&text, &known).map_err(refuse)?;
    let lacks = |column: &str| {
        let near = list.header().iter().find(|h| nearest(h, [column]).is_some());
        let hint = near.map_or(String::new(), |h| format!("; is it '{h}'"));
        Err(refuse(format!("there is no column '{column}'{hint}")))
    };
    for needed in ["board", "section", "piece"] {
        if list.column(needed).is_none() {
            return lacks(needed);
        }
    }
    if list.column("length_ft").or(list.column("length_mm")).is_none() {
        return lacks("length_ft");
    }
    let columns = known.map(|column| list.column(column));
    let commas = list.has_decimal_commas();
    let by_name = lots_by_name(lots);
    let mut judge = Judge {
        name,
        verdict: Verdict::default(),
        boards: BTreeMap::new(),
        seen: BTreeMap::new(),
        on_hand: on_hand.iter().map(|b| (b, false)).collect(),
    };
    judge.verdict.pieces = lots.iter().map(|l| l.pieces.len() as u64).sum();
    for row in list {
        let row = row.map_err(refuse)?;
        let [board, section, feet, mm, piece, lot, position, grade, from] =
            columns.map(|c| c.and_then(|c| row.cells.get(c)).unwrap_or_default());
        let point = |number: &str| {
            if commas { lists::with_point(number) } else { number.to_owned() }
        };
        let (feet, mm) = (&point(feet), &point(mm));
        let cells = Cells { board, section, feet, mm, piece, lot, position, grade, from };
        judge.row(row.line as u64, &cells, lots, &by_name);
    }
    if judge.boards.is_empty() && judge.verdict.findings.is_empty() {
        return Err(refuse("there is no board in it".to_owned()));
    }
    judge.missing(lots);
    judge.boards();
    Ok(judge.verdict)
}

type ByName<'a> = BTreeMap<String, (&'a LotPieces, BTreeMap<&'a str, &'a Piece>)>;

/// Lots by their name, and by the name as `cuts.csv` has it, which a spreadsheet cannot run.
fn lots_by_name(lots: &[LotPieces]) -> ByName<'_> {
    let mut out = BTreeMap::new();
    for lot in lots {
        let pieces: BTreeMap<&str, &Piece> =
            lot.pieces.iter().map(|p| (p.id.as_str(), p)).collect();
        out.insert(harmless(&lot.lot).into_owned(), (lot, pieces.clone()));
        out.insert(lot.lot.clone(), (lot, pieces));
    }
    out
}

struct Judge<'a> {
    name: &'a str,
    verdict: Verdict,
    boards: BTreeMap<String, BoardRows<'a>>,
    /// Where a piece of a lot is cut.
    seen: BTreeMap<(&'a str, &'a str), u64>,
    /// Boards on hand, and whether a board of the list is it.
    on_hand: Vec<(&'a OnHandBoard, bool)>,
}

impl<'a> Judge<'a> {
    fn say(&mut self, code: diag::Code, line: Option<u64>, subject: &str, what: String) {
        let place = line.map_or(String::new(), |l| format!(", line {l}"));
        let message = format!("{}{place}: {what}.", self.name);
        self.verdict.findings.push(Finding::new(code, message).about(subject));
    }

    fn row(&mut self, line: u64, cells: &Cells, lots: &'a [LotPieces], by_name: &ByName<'a>) {
        let Cells { board, piece, lot, position, .. } = *cells;
        if board.is_empty() {
            return self.say(
                output::SAW_BOARD,
                Some(line),
                piece,
                "the board has no name".to_owned(),
            );
        }
        if !self.boards.contains_key(board) {
            self.new_board(line, cells);
        } else {
            self.same_board(line, cells);
        }
        if !position.is_empty() {
            let earlier = self.boards.get_mut(board);
            let earlier = earlier.and_then(|b| b.positions.insert(position.to_owned(), line));
            if let Some(earlier) = earlier {
                let what =
                    format!("position {position} of board {board} is already on line {earlier}");
                self.say(output::SAW_BOARD, Some(line), board, what);
            }
        }
        if piece.is_empty() {
            return; // a board nothing is cut from
        }
        let of = match (lot, lots) {
            ("", [only]) => by_name.get(&only.lot),
            ("", _) => {
                let what = format!("piece {piece} has no lot, and there are {} lots", lots.len());
                return self.say(output::SAW_PIECE, Some(line), piece, what);
            }
            (lot, _) => by_name.get(lot),
        };
        let Some((of, pieces)) = of else {
            let what = format!("there is no lot {lot} in these results");
            return self.say(output::SAW_PIECE, Some(line), lot, what);
        };
        let Some(p) = pieces.get(piece) else {
            let what = format!("there is no piece {piece} in {}", lot_name(of));
            return self.say(output::SAW_PIECE, Some(line), piece, what);
        };
        if let Some(first) = self.seen.insert((&of.lot, &p.id), line) {
            let what =
                format!("piece {piece} of {} is cut twice; first on line {first}", lot_name(of));
            self.say(output::SAW_PIECE, Some(line), piece, what);
        }
        if let Some(rows) = self.boards.get_mut(board) {
            rows.cuts.push(Cut { line, lot: of, piece: p });
        }
    }

    fn new_board(&mut self, line: u64, cells: &Cells) {
        let Cells { board, section, feet, mm, grade, from, .. } = *cells;
        let known = Section::from_name(section);
        if known.is_none() {
            let what = format!("section '{section}' of board {board} is unknown");
            self.say(output::SAW_BOARD, Some(line), board, what);
        }
        let length = Stated::of(feet, mm);
        if length.is_none() {
            let (column, text, unit) = match feet {
                "" if !mm.is_empty() => ("length_mm", mm, "millimetres from 30 to 30480"),
                _ => ("length_ft", feet, "feet"),
            };
            let what = format!(
                "{column} of board {board} is '{text}', which is no number of {unit}; a decimal point (or, between semicolons, a comma), no unit"
            );
            self.say(output::SAW_BOARD, Some(line), board, what);
        }
        let rows = BoardRows {
            first_line: line,
            section: known,
            length,
            grade: (!grade.is_empty()).then(|| grade.to_lowercase()),
            from: from.to_owned(),
            positions: BTreeMap::new(),
            cuts: Vec::new(),
        };
        self.boards.insert(board.to_owned(), rows);
    }

    fn same_board(&mut self, line: u64, cells: &Cells) {
        let Cells { board, section, feet, mm, from, .. } = *cells;
        let Some(rows) = self.boards.get(board) else { return };
        let same = Section::from_name(section) == rows.section
            && Stated::of(feet, mm) == rows.length
            && from == rows.from;
        if same {
            return;
        }
        let length = if feet.is_empty() { format!("{mm} mm") } else { format!("{feet} ft") };
        let from = if from.is_empty() { String::new() } else { format!(" from {from}") };
        let what = format!(
            "board {board} is {section} of {length}{from} here and something else on line {}",
            rows.first_line
        );
        self.say(output::SAW_BOARD, Some(line), board, what);
    }

    /// Pieces that no board gives, told lot by lot.
    fn missing(&mut self, lots: &'a [LotPieces]) {
        const NAMED: usize = 8;
        let mut order: Vec<&LotPieces> = lots.iter().collect();
        order.sort_by(|a, b| natural(&a.lot, &b.lot));
        for lot in order {
            let missing: Vec<&str> = lot
                .pieces
                .iter()
                .map(|p| p.id.as_str())
                .filter(|id| !self.seen.contains_key(&(lot.lot.as_str(), *id)))
                .collect();
            if missing.is_empty() {
                continue;
            }
            let named = missing.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
            let more = match missing.len().saturating_sub(NAMED) {
                0 => String::new(),
                n => format!(" and {n} more"),
            };
            let what = format!(
                "{} of {} pieces of {} are cut from no board: {named}{more}",
                missing.len(),
                lot.pieces.len(),
                lot_name(lot)
            );
            self.say(output::SAW_PIECE, None, &lot.lot, what);
        }
    }
}

fn lot_name(lot: &LotPieces) -> String {
    if lot.lot.is_empty() { "the plan".to_owned() } else { format!("lot {}", lot.lot) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lot(name: &str, inches: &[i64]) -> LotPieces {
        let piece = |(i, n): (usize, &i64)| Piece {
            id: format!("P{}", i + 1),
            section: Section::S2X4,
            treated: i == 2,
            length: Length::inches(*n),
            room: Length::inches(*n),
        };
        let saw = Saw {
            lengths_ft: BTreeMap::from([("2x4".to_owned(), vec![8, 16])]),
            kerf: Length::sixteenths(2),
            end_trim: Length::inches(1),
        };
        LotPieces { lot: name.into(), pieces: inches.iter().enumerate().map(piece).collect(), saw }
    }
    fn told(list: &str, lots: &[LotPieces]) -> Vec<String> {
        told_with(list, lots, &[])
    }
    fn told_with(list: &str, lots: &[LotPieces], on_hand: &[OnHandBoard]) -> Vec<String> {
        let v = check(list.as_bytes(), "r.csv", lots, on_hand).unwrap();
        v.findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn a_good_list_has_nothing_against_it() {
        let lots = [lot("1", &[47, 47]), lot("=2", &[95])];
        // 47 + 1/8 + 47 + 1 = 95 1/8; 95 + 1 = 96 exactly.
        let list = "board,section,length_ft,piece,lot,position,extra\nA,2x4,8,P1,1,1,x\nA,2X4,8.0,P2,1,2,\nB,2x4,8,P1,'=2,1,\n";
        assert_eq!(told(list, &lots), Vec::<String>::new());
        let v = check(list.replace(',', ";").as_bytes(), "r.csv", &lots, &[]).unwrap();
        assert_eq!((v.boards, v.boards_ft, v.pieces, v.findings.len()), (2, 16, 3, 0));
    }

    #[test]
    fn every_wrong_is_told() {
        let lots = [lot("1", &[47, 47, 47]), lot("2", &[95])];
        for (rows, part) in [
            ("A,2x4,8,P1,1\nA,2x4,8,P1,1\n", "is cut twice; first on line 2"),
            ("A,2x4,8,P1,1\n", "2 of 3 pieces of lot 1 are cut from no board: P2, P3"),
            ("A,2x4,8,P9,1\n", "there is no piece P9 in lot 1"),
            ("A,2x4,8,P1,7\n", "there is no lot 7"),
            ("A,2x4,8,P1,\n", "has no lot, and there are 2 lots"),
            ("A,2x6,16,P1,1\n", "P1 of lot 1 is 2x4, board A is 2x6"),
            ("A,2x4,12,P1,1\n", "the settings of lot 1 have 8, 16 ft for 2x4"),
            ("A,2x4,8,P1,1\nA,2x4,8,P1,2\n", "does not hold its 2 pieces: they need 143.1250 in"),
            ("A,2x4,8,P1,1\nA,2x4,16,P2,1\n", "something else on line 2"),
            ("A,2x4,16,P1,1\nA,2x4,16,P3,1\n", "treated pieces and untreated"),
            ("A,2x4,8',P1,1\n", "no number of feet"),
            (",2x4,8,P1,1\n", "the board has no name"),
            ("A,2x5,8,P1,1\n", "section '2x5'"),
        ] {
            let all = told(&format!("board,section,length_ft,piece,lot\n{rows}"), &lots);
            assert!(all.iter().any(|m| m.contains(part)), "{rows}: {all:?}");
        }
        let same = "board,section,length_ft,piece,lot,position\nA,2x4,16,P1,1,1\nA,2x4,16,P2,1,1\n";
        assert!(
            told(same, &lots)
                .iter()
                .any(|m| m.contains("position 1 of board A is already on line 2"))
        );
        let graded = "board,section,length_ft,piece,lot,grade\nA,2x4,16,P3,1,No. 2\n";
        assert!(told(graded, &lots).iter().any(|m| m.contains("its pieces are treated")));
    }

    #[test]
    fn kerf_and_trim_count_to_the_last_bit() {
        let lots = [lot("", &[47, 48])];
        // 47 + 1/8 + 48 + 1 = 96 1/8: an eighth too much, which only the trim makes so.
        let list = "board,section,length_ft,piece\nA,2x4,8,P1\nA,2x4,8,P2\n";
        assert!(told(list, &lots)[0].contains("0.1250 in too much"));
        let mut free = lots.clone();
        free[0].saw.end_trim = Length::ZERO;
        assert_eq!(told(list, &free), Vec::<String>::new());
    }

    #[test]
    fn a_list_of_something_else_is_refused() {
        for (list, part) in [
            ("a,b\n1,2\n", "no column 'board'"),
            ("board,section,lenght_ft,piece\n", "is it 'lenght_ft'"),
            ("board,section,length_ft,piece\n", "no board in it"),
        ] {
            let e = check(list.as_bytes(), "r.csv", &[lot("1", &[1])], &[]).unwrap_err();
            assert!(e.to_string().contains(part), "{e}");
        }
    }

    #[test]
    fn boards_on_hand_are_used_once_and_at_their_own_length() {
        let board = |inches: f64, label: &str| OnHandBoard {
            section: Section::S2X4,
            treated: false,
            length: Length::from_inches(inches).unwrap(),
            label: label.into(),
        };
        let lots = [lot("", &[47, 48])];
        let yard = [board(49.0, "rack A"), board(50.0, ""), board(50.0, "")];
        let list = |rows: &str| format!("board,section,length_ft,piece,from\n{rows}");
        // 4.0833 ft is 49 in to four decimals, 4.1667 ft 50 in.
        let good = list("A,2x4,4.0833,P2,rack A\nB,2x4,4.1667,P1,on hand\n");
        assert_eq!(told_with(&good, &lots, &yard), Vec::<String>::new());
        // Where the list does not say, a length that is not sold is looked for on hand.
        let silent = good.replace("rack A", "").replace("on hand", "");
        assert_eq!(told_with(&silent, &lots, &yard), Vec::<String>::new());
        let mm = good
            .replace("length_ft", "length_mm")
            .replace("4.0833", "1245")
            .replace("4.1667", "1270");
        assert_eq!(told_with(&mm, &lots, &yard), Vec::<String>::new());
        for (bad, part) in [
            (good.replace("on hand", "rack A"), "no board 'rack A' of 2x4, 4'-2\", is on hand"),
            (good.replace("on hand", "buy"), "the settings of the plan have 8, 16 ft for 2x4"),
            (good.replace("4.1667,P1,on hand", "4.0833,P1,rack A"), "1 such board is on hand"),
            (good.replace("rack A", "rack B"), "no board 'rack B'"),
            // The exact 49 in are not enough for 48 and an end trim of 1 1/16 in.
            (good.clone(), "does not hold its 1 piece"),
        ] {
            let mut lots = lots.clone();
            if part.contains("hold") {
                lots[0].saw.end_trim = Length::sixteenths(17);
            }
            let all = told_with(&bad, &lots, &yard);
            assert!(all.iter().any(|m| m.contains(part)), "{bad}: {all:?}");
        }
        assert!(!told_with(&good, &lots, &[]).is_empty());
    }

    #[test]
    fn decimal_commas_between_semicolons() {
        let lots = [lot("", &[47])];
        let list = "board;section;length_ft;piece\nA;2x4;8,0;P1\n";
        assert_eq!(told(list, &lots), Vec::<String>::new());
        let quoted = "board,section,length_ft,piece\nA,2x4,\"8,0\",P1\n";
        assert!(told(quoted, &lots)[0].contains("no number of feet"));
    }
}
