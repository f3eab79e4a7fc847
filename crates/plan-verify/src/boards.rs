//! Item 6: what the pieces are cut from. Also that the cut list can be worked from: marks are unique
//! and every piece is cut once.

use crate::report::Report;
use diag::{Finding, codes::verify};
use geom::Length;
use plan_model::{Board, BoardSource, PieceId, Plan, piece_name};
use settings::Settings;
use std::collections::{BTreeMap, BTreeSet};

/// Proves item 6.
pub fn check(plan: &Plan, boards: &[Board], settings: &Settings, report: &mut Report) {
    too_long(plan, settings, report);
    marks(plan, report);
    cut_once(plan, boards, report);
    arithmetic(plan, boards, settings, report);
}

fn too_long(plan: &Plan, settings: &Settings, report: &mut Report) {
    let line = report.line(6, "no piece is longer than the longest stock of its section");
    report.looked(line, plan.pieces.len());
    for (index, piece) in plan.pieces.iter().enumerate() {
        let longest = settings.stock.longest_piece(piece.section);
        if piece.length.max(piece.printed) <= longest {
            continue;
        }
        let name = piece_name(PieceId(index as u32));
        let text = format!(
            "{name} ({}) is {} in long; the longest {} to be had gives {} in.",
            piece.mark,
            piece.length.to_inches(),
            piece.section,
            longest.to_inches()
        );
        let mut finding = Finding::new(verify::PROOF_TOO_LONG, text).about(name);
        finding.at = piece.outline.first().copied();
        report.breach(line, finding);
    }
}

fn marks(plan: &Plan, report: &mut Report) {
    let line = report.line(6, "every piece has a mark of its own");
    report.looked(line, plan.pieces.len());
    let mut seen: BTreeMap<&str, PieceId> = BTreeMap::new();
    for (index, piece) in plan.pieces.iter().enumerate() {
        let id = PieceId(index as u32);
        let text = if piece.mark.trim().is_empty() {
            format!("{} has no mark.", piece_name(id))
        } else if let Some(first) = seen.get(piece.mark.as_str()) {
            format!(
                "{} and {} both carry the mark {}.",
                piece_name(*first),
                piece_name(id),
                piece.mark
            )
        } else {
            seen.insert(&piece.mark, id);
            continue;
        };
        report.breach(line, Finding::new(verify::PROOF_MARK, text).about(piece_name(id)));
    }
}

fn cut_once(plan: &Plan, boards: &[Board], report: &mut Report) {
    let line = report.line(6, "every piece is cut once, from a board of its section");
    report.looked(line, plan.pieces.len());
    let mut times = vec![0_u32; plan.pieces.len()];
    let mut breach = |id: PieceId, text: String| {
        report.breach(line, Finding::new(verify::PROOF_NOT_CUT, text).about(piece_name(id)));
    };
    for (number, board) in boards.iter().enumerate() {
        for id in &board.cuts {
            let Some(piece) = plan.pieces.get(id.0 as usize) else {
                breach(
                    *id,
                    format!(
                        "Board {} is to give {}, which does not exist.",
                        number + 1,
                        piece_name(*id)
                    ),
                );
                continue;
            };
            times[id.0 as usize] += 1;
            if plan.is_treated(piece) != board.treated {
                let (a, b) = if board.treated { ("not ", "") } else { ("", "not ") };
                let text = format!(
                    "{} is {a}to be of treated lumber, and board {} is {b}treated.",
                    piece_name(*id),
                    number + 1
                );
                breach(*id, text);
            }
            if piece.section != board.section {
                let text = format!(
                    "{} is a {} and is to be cut from board {}, a {}.",
                    piece_name(*id),
                    piece.section,
                    number + 1,
                    board.section
                );
                breach(*id, text);
            }
        }
    }
    for (index, times) in times.iter().enumerate().filter(|(_, t)| **t != 1) {
        let id = PieceId(index as u32);
        breach(id, format!("{} is cut {times} times.", piece_name(id)));
    }
}

fn arithmetic(plan: &Plan, boards: &[Board], settings: &Settings, report: &mut Report) {
    let kerf = settings.stock.kerf;
    let line = report.line(
        6,
        format!(
            "every board holds its pieces with a kerf of {} in between cuts after an end trim of {} in, and its offcut is right",
            kerf.to_inches(),
            settings.stock.end_trim.to_inches()
        ),
    );
    report.looked(line, boards.len());
    let mut taken = BTreeSet::new();
    for (number, board) in boards.iter().enumerate() {
        let mut why = Vec::new();
        match board.source {
            BoardSource::Bought { length_ft } => {
                if !settings.stock.lengths_for(board.section).contains(&length_ft) {
                    why.push(format!("{length_ft} ft is no stock length of {}", board.section));
                }
            }
            BoardSource::OnHand { index, length } => {
                let own = settings.stock.on_hand.get(index as usize);
                let fits = |b: &settings::OnHandBoard| {
                    (b.section, b.treated, b.length) == (board.section, board.treated, length)
                };
                if !own.is_some_and(fits) {
                    why.push("there is no such board on hand".to_owned());
                }
                if !taken.insert(index) {
                    why.push("the board on hand is used twice".to_owned());
                }
            }
        }
        if board.cuts.is_empty() {
            why.push("nothing is cut from it".to_owned());
        }
        let usable = board.length() - settings.stock.end_trim;
        let count = board.cuts.len() as i64;
        // Boards may be laid out by exact lengths or by the lengths printed for the saw.
        let left = |length: fn(&plan_model::Piece) -> Length| {
            let sum: Length =
                board.cuts.iter().filter_map(|c| plan.pieces.get(c.0 as usize)).map(length).sum();
            usable - sum - kerf * (count - 1).max(0)
        };
        let both = [left(|p| p.length), left(|p| p.printed)];
        if both.iter().all(|l| *l < Length::ZERO) {
            why.push(format!("its pieces are {} in longer than it is", (-both[0]).to_inches()));
        } else if both.iter().all(|l| (*l - kerf).max(Length::ZERO) != board.offcut) {
            why.push(format!(
                "its offcut is given as {} in and comes to {} in",
                board.offcut.to_inches(),
                (both[0] - kerf).max(Length::ZERO).to_inches()
            ));
        }
        for why in why {
            let text = format!(
                "Board {} ({} of {}): {why}.",
                number + 1,
                board.length().feet_inches(),
                board.section
            );
            report.breach(line, Finding::new(verify::PROOF_BOARD, text));
        }
    }
}
