//! Each board of the list: is there such a board, and does it hold what is cut from it?

use super::{BoardRows, Judge, Stated, lot_name};
use crate::natural;
use crate::pool::Saw;
use diag::codes::output;
use export::harmless;
use geom::Length;
use lumber::Section;
use settings::OnHandBoard;

/// Half of the last digit of `length_in` in `cuts.csv`: a list can be that much off for each piece.
const ROUNDING: Length = Length::from_nm(1_270);

impl Judge<'_> {
    /// Each board, in the order of their names.
    pub(super) fn boards(&mut self) {
        let mut boards: Vec<(String, BoardRows)> =
            std::mem::take(&mut self.boards).into_iter().collect();
        boards.sort_by(|a, b| natural(&a.0, &b.0));
        for (name, board) in boards {
            self.verdict.boards += 1;
            let (Some(section), Some(stated)) = (board.section, board.length) else { continue };
            let treated = board.cuts.iter().any(|c| c.piece.treated);
            let length = self.source(&name, &board, (section, treated), stated);
            self.verdict.boards_ft += (length.nm() / Length::feet(1).nm()).max(0) as u64;
            self.board(&name, &board, section, length);
        }
    }

    /// Where a board comes from, and with that its exact length; as stated when there is no such board,
    /// which is told.
    fn source(
        &mut self,
        name: &str,
        board: &BoardRows,
        lumber: (Section, bool),
        stated: Stated,
    ) -> Length {
        let buy = board.from.eq_ignore_ascii_case("buy");
        let label = (!buy && !board.from.is_empty()).then_some(board.from.as_str());
        if label.is_none() {
            let sold = self.sold(name, board, lumber.0, stated, buy);
            if let Some(length) = sold {
                return length;
            }
            if buy {
                return stated.length;
            }
        }
        let is_it = |b: &OnHandBoard| {
            let named = label.is_none_or(|l| match b.label.as_str() {
                "" => l.eq_ignore_ascii_case("on hand"),
                own => own == l || harmless(own) == l,
            });
            named && (b.section, b.treated) == lumber && stated.is(b.length)
        };
        let there = self.on_hand.iter().filter(|(b, _)| is_it(b)).count();
        let free = self.on_hand.iter_mut().find(|(b, taken)| !taken && is_it(b));
        if let Some((b, taken)) = free {
            *taken = true;
            return b.length;
        }
        let lumber = settings::lumber_name(lumber.0, lumber.1);
        let what = match (label, there) {
            (_, 1..) => {
                let (boards, are) = if there == 1 { ("board", "is") } else { ("boards", "are") };
                format!("{there} such {boards} {are} on hand, and board {name} is one more")
            }
            (Some(label), 0) => format!(
                "board {name}: no board '{label}' of {lumber}, {}, is on hand",
                stated.length.feet_inches()
            ),
            // Told already: it is neither sold nor on hand.
            (None, 0) => return stated.length,
        };
        self.say(output::SAW_BOARD, Some(board.first_line), name, what);
        stated.length
    }

    /// The length as sold, where every lot's settings have it. Where one has not, that is told, unless the
    /// board may be one on hand.
    fn sold(
        &mut self,
        name: &str,
        board: &BoardRows,
        section: Section,
        stated: Stated,
        buy: bool,
    ) -> Option<Length> {
        let mut exact = None;
        let mut told: Vec<&str> = Vec::new();
        let mut missing: Vec<String> = Vec::new();
        for c in &board.cuts {
            let lengths = c.lot.saw.lengths_for(section);
            let sold = lengths.iter().map(|ft| Length::feet(i64::from(*ft)));
            match sold.into_iter().find(|ft| stated.is(*ft)) {
                Some(length) => exact = Some(length),
                None if told.contains(&c.lot.lot.as_str()) => {}
                None => {
                    told.push(&c.lot.lot);
                    let lengths: Vec<String> = lengths.iter().map(u32::to_string).collect();
                    missing.push(format!(
                        "board {name} is {} long; the settings of {} have {} ft for {section}",
                        stated.length.feet_inches(),
                        lot_name(c.lot),
                        lengths.join(", ")
                    ));
                }
            }
        }
        if missing.is_empty() {
            return Some(exact.unwrap_or(stated.length));
        }
        let may_be_own =
            !buy && self.on_hand.iter().any(|(b, _)| b.section == section && stated.is(b.length));
        if !may_be_own {
            for what in missing {
                self.say(output::SAW_BOARD, Some(board.first_line), name, what);
            }
        }
        None
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
        let saw = |of: fn(&Saw) -> Length| {
            board.cuts.iter().map(|c| of(&c.lot.saw)).max().unwrap_or(Length::ZERO)
        };
        let (kerf, trim) = (saw(|s| s.kerf), saw(|s| s.end_trim));
        let n = board.cuts.len() as i64;
        let pieces: Length = board.cuts.iter().map(|c| c.piece.length).sum();
        let needed = pieces + kerf * (n - 1).max(0) + trim;
        if needed > length + ROUNDING * n {
            let what = format!(
                "board {name} of {} does not hold its {n} {}: {} {:.4} in with kerf and end trim, {:.4} in too much",
                length.feet_inches(),
                if n == 1 { "piece" } else { "pieces" },
                if n == 1 { "it needs" } else { "they need" },
                needed.to_inches(),
                (needed - length).to_inches()
            );
            self.say(output::SAW_BOARD, at, name, what);
        }
    }
}
