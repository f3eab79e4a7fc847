//! The saw's answer: whether every piece is cut once, each from a board that there is.
//!
//! Knows: the pieces of finished plans and a list of boards that an optimiser made from `cuts.csv`.
//! Never touches: how the optimiser chose; whether fewer boards would do.

use crate::pool::{Piece, Saw};
use crate::{decode, natural};
use diag::{Finding, Refusal, codes::output};
use export::harmless;
use geom::Length;
use lumber::Section;
use settings::StockSettings;
use settings::parse::nearest;
use std::collections::BTreeMap;

/// Columns that are read; others are passed over, since optimisers write many more.
const COLUMNS: [&str; 7] = ["board", "section", "length_ft", "piece", "lot", "position", "grade"];
/// Half of the last digit of `length_in` in `cuts.csv`: a list can be that much off for each piece.
const ROUNDING: Length = Length::from_nm(1_270);

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

struct BoardRows<'a> {
    first_line: u64,
    section: Option<Section>,
    length: Option<Length>,
    grade: Option<String>,
    positions: BTreeMap<String, u64>,
    cuts: Vec<Cut<'a>>,
}

/// Checks a list against the lots' pieces. `name` is the list's, for messages.
///
/// # Errors
/// When the list cannot be read at all.
pub fn check(bytes: &[u8], name: &str, lots: &[LotPieces]) -> Result<Verdict, Refusal> {
    let refuse = |what: String| {
        let message = format!("{name}: {what}.");
        Refusal::because(Finding::new(output::SAW_LIST_BAD, message).about(name))
    };
    let text = decode::text(bytes).map_err(refuse)?.text;
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(decode::separator(&text, &COLUMNS))
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| refuse(e.to_string()))?.clone();
    let at = |column: &str| header.iter().position(|h| h.eq_ignore_ascii_case(column));
    for needed in ["board", "section", "length_ft", "piece"] {
        if at(needed).is_none() {
            let near = header.iter().find(|h| nearest(h, [needed]).is_some());
            let hint = near.map_or(String::new(), |h| format!("; is it '{h}'"));
            return Err(refuse(format!("there is no column '{needed}'{hint}")));
        }
    }
    let columns = COLUMNS.map(at);
    let by_name = lots_by_name(lots);
    let mut judge =
        Judge { name, verdict: Verdict::default(), boards: BTreeMap::new(), seen: BTreeMap::new() };
    judge.verdict.pieces = lots.iter().map(|l| l.pieces.len() as u64).sum();
    let mut lines = decode::Lines::of(&text);
    for record in reader.records() {
        let record = record.map_err(|e| refuse(e.to_string()))?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = lines.at(record.position().map_or(0, |p| p.byte() as usize)) as u64;
        let cells = columns.map(|c| c.and_then(|c| record.get(c)).unwrap_or_default());
        judge.row(line, cells, lots, &by_name);
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
}

impl<'a> Judge<'a> {
    fn say(&mut self, code: diag::Code, line: Option<u64>, subject: &str, what: String) {
        let place = line.map_or(String::new(), |l| format!(", line {l}"));
        let message = format!("{}{place}: {what}.", self.name);
        self.verdict.findings.push(Finding::new(code, message).about(subject));
    }

    fn row(&mut self, line: u64, cells: [&str; 7], lots: &'a [LotPieces], by_name: &ByName<'a>) {
        let [board, section, length, piece, lot, position, grade] = cells;
        if board.is_empty() {
            return self.say(
                output::SAW_BOARD,
                Some(line),
                piece,
                "the board has no name".to_owned(),
            );
        }
        if !self.boards.contains_key(board) {
            self.new_board(line, board, section, length, grade);
        } else {
            self.same_board(line, board, section, length);
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

    fn new_board(&mut self, line: u64, board: &str, section: &str, length: &str, grade: &str) {
        let known = Section::from_name(section);
        if known.is_none() {
            let what = format!("section '{section}' of board {board} is unknown");
            self.say(output::SAW_BOARD, Some(line), board, what);
        }
        let feet = length.parse::<f64>().ok().filter(|ft| (0.1..=100.0).contains(ft));
        let length_read = feet.and_then(|ft| Length::from_inches(ft * 12.0));
        if length_read.is_none() {
            let what = format!(
                "length_ft of board {board} is '{length}', which is no number of feet; a decimal point, no unit"
            );
            self.say(output::SAW_BOARD, Some(line), board, what);
        }
        let rows = BoardRows {
            first_line: line,
            section: known,
            length: length_read,
            grade: (!grade.is_empty()).then(|| grade.to_lowercase()),
            positions: BTreeMap::new(),
            cuts: Vec::new(),
        };
        self.boards.insert(board.to_owned(), rows);
    }

    fn same_board(&mut self, line: u64, board: &str, section: &str, length: &str) {
        let Some(rows) = self.boards.get(board) else { return };
        let feet = length.parse::<f64>().ok().and_then(|ft| Length::from_inches(ft * 12.0));
        if Section::from_name(section) == rows.section && feet == rows.length {
            return;
        }
        let what = format!(
            "board {board} is {section} of {length} ft here and something else on line {}",
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

    /// Each board: is it to be bought, and does it hold what is cut from it?
    fn boards(&mut self) {
        let mut boards: Vec<(String, BoardRows)> =
            std::mem::take(&mut self.boards).into_iter().collect();
        boards.sort_by(|a, b| natural(&a.0, &b.0));
        for (name, board) in boards {
            self.verdict.boards += 1;
            let (Some(section), Some(length)) = (board.section, board.length) else { continue };
            self.verdict.boards_ft += (length.nm() / Length::feet(1).nm()).max(0) as u64;
            self.board(&name, &board, section, length);
        }
    }

    fn board(&mut self, name: &str, board: &BoardRows, section: Section, length: Length) {
        let at = Some(board.first_line);
        for c in board.cuts.iter().filter(|c| c.piece.section != section) {
            let what = format!(
                "piece {} of {} is {}, board {name} is {section}",
                c.piece.id,
                lot_name(c.lot),
                c.piece.section
            );
            self.say(output::SAW_PIECE, Some(c.line), &c.piece.id, what);
        }
        let treated = board.cuts.iter().filter(|c| c.piece.treated).count();
        if treated > 0 && treated < board.cuts.len() {
            let what = format!("board {name} gives treated pieces and untreated ones");
            self.say(output::SAW_BOARD, at, name, what);
        }
        if let Some(grade) = &board.grade
            && (grade == "treated") != (treated > 0)
            && !board.cuts.is_empty()
        {
            let need = if treated > 0 { "treated" } else { "untreated" };
            let what = format!("board {name} is graded '{grade}' and its pieces are {need}");
            self.say(output::SAW_BOARD, at, name, what);
        }
        // Lots may have been planned for different saws: the strictest of them counts.
        let mut told: Vec<&str> = Vec::new();
        for c in &board.cuts {
            let lengths = StockSettings {
                lengths_ft: c.lot.saw.lengths_ft.clone(),
                ..StockSettings::default()
            }
            .lengths_for(section);
            let legal = lengths.iter().any(|ft| Length::feet(i64::from(*ft)) == length);
            if !legal && !told.contains(&c.lot.lot.as_str()) {
                told.push(&c.lot.lot);
                let lengths: Vec<String> = lengths.iter().map(u32::to_string).collect();
                let what = format!(
                    "board {name} is {} long; the settings of {} have {} ft for {section}",
                    length.feet_inches(),
                    lot_name(c.lot),
                    lengths.join(", ")
                );
                self.say(output::SAW_BOARD, at, name, what);
            }
        }
        let saw = |of: fn(&Saw) -> Length| {
            board.cuts.iter().map(|c| of(&c.lot.saw)).max().unwrap_or(Length::ZERO)
        };
        let (kerf, trim) = (saw(|s| s.kerf), saw(|s| s.end_trim));
        let n = board.cuts.len() as i64;
        let pieces: Length = board.cuts.iter().map(|c| c.piece.length).sum();
        let needed = pieces + kerf * (n - 1).max(0) + trim;
        if needed > length + ROUNDING * n {
            let what = format!(
                "board {name} of {} does not hold its {n} pieces: they need {:.4} in with kerf and end trim, {:.4} in too much",
                length.feet_inches(),
                needed.to_inches(),
                (needed - length).to_inches()
            );
            self.say(output::SAW_BOARD, at, name, what);
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
        let v = check(list.as_bytes(), "r.csv", lots).unwrap();
        v.findings.into_iter().map(|f| f.message).collect()
    }

    #[test]
    fn a_good_list_has_nothing_against_it() {
        let lots = [lot("1", &[47, 47]), lot("=2", &[95])];
        // 47 + 1/8 + 47 + 1 = 95 1/8; 95 + 1 = 96 exactly.
        let list = "board,section,length_ft,piece,lot,position,extra\nA,2x4,8,P1,1,1,x\nA,2X4,8.0,P2,1,2,\nB,2x4,8,P1,'=2,1,\n";
        assert_eq!(told(list, &lots), Vec::<String>::new());
        let v = check(list.replace(',', ";").as_bytes(), "r.csv", &lots).unwrap();
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
            let e = check(list.as_bytes(), "r.csv", &[lot("1", &[1])]).unwrap_err();
            assert!(e.to_string().contains(part), "{e}");
        }
    }
}
