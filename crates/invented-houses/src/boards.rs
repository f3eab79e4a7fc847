//! Every piece on a board of its own, where stock is not what is judged.

use geom::Length;
use plan_model::{Board, BoardSource, Piece, PieceId, Plan};
use settings::Settings;

/// The shortest stock that holds each piece; 99 ft where none does.
pub fn one_each(plan: &Plan, settings: &Settings) -> Vec<Board> {
    let board = |(i, p): (usize, &Piece)| {
        let mut ft = settings.stock.lengths_for(p.section);
        ft.sort_unstable();
        let fits = |f: &u32| Length::feet(i64::from(*f)) >= p.length;
        let length_ft = ft.iter().copied().find(fits).unwrap_or(99);
        let left = Length::feet(i64::from(length_ft)) - p.length;
        let kerf = settings.stock.kerf;
        Board {
            section: p.section,
            treated: plan.is_treated(p),
            source: BoardSource::Bought { length_ft },
            cuts: vec![PieceId(i as u32)],
            offcut: if left > kerf { left - kerf } else { Length::ZERO },
        }
    };
    plan.pieces.iter().enumerate().map(board).collect()
}
