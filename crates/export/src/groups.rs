//! Equal pieces counted together.
//!
//! Two pieces are equal when every cell of their rows in `cuts.csv` that says what to cut is equal
//! and their outlines are: section, grade, length, both end cuts with the tilt of the blade, notches. The layer is no part of
//! it: a bottom plate and a lower one of the same cut are one group. A mirror image is another group,
//! and so is the same piece turned end for end, so that one row's cells are true of all its pieces as
//! they lie.

use crate::shape::Shape;
use crate::text;
use geom::Length;
use lumber::Section;
use plan_model::{Piece, PieceId, Plan};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// Index of a group; printed `G1` and so on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct GroupId(pub u32);

/// `G` and a number from 1.
pub fn group_name(id: GroupId) -> String {
    format!("G{}", id.0 + 1)
}

/// The groups of a plan.
pub struct Groups {
    /// By piece.
    pub of_piece: Vec<GroupId>,
    /// By group: its pieces in order, never empty. Groups run by section, longest first.
    pub members: Vec<Vec<PieceId>>,
}

/// A length in ten-thousandths of an inch, as `cuts.csv` prints it. Coarser than the nanometre noise
/// of an oblique wall, so that such pieces still find each other.
fn ticks(length: Length) -> i64 {
    length.round_to(Length::from_nm(2_540)).nm() / 2_540
}

type Key = (Section, bool, Reverse<i64>, [[String; 2]; 2], Vec<String>, Vec<(i64, i64)>);

fn key(piece: &Piece, treated: bool, shape: &Shape) -> Key {
    // Begun at the least corner *after* rounding: before it, noise would pick now one corner of a
    // square end and now the other.
    let mut outline: Vec<_> = shape.outline.iter().map(|(x, y)| (ticks(*x), ticks(*y))).collect();
    if let Some(least) = (0..outline.len()).min_by_key(|i| outline[*i]) {
        outline.rotate_left(least);
    }
    (
        piece.section,
        treated,
        Reverse(ticks(piece.length)),
        [0, 1].map(|i| {
            let end = &piece.ends[i];
            [text::degrees(end.cut_deg), text::degrees(end.tilt_deg)]
        }),
        piece.notches.iter().map(|n| text::notch_code(n, false)).collect(),
        outline,
    )
}

impl Groups {
    /// Groups the pieces; `shapes` go by piece.
    pub fn of(plan: &Plan, shapes: &[Shape]) -> Groups {
        let pieces = &plan.pieces;
        let mut by_key: BTreeMap<Key, Vec<PieceId>> = BTreeMap::new();
        for (i, (piece, shape)) in pieces.iter().zip(shapes).enumerate() {
            by_key
                .entry(key(piece, plan.is_treated(piece), shape))
                .or_default()
                .push(PieceId(i as u32));
        }
        let members: Vec<Vec<PieceId>> = by_key.into_values().collect();
        let mut of_piece = vec![GroupId(0); pieces.len()];
        for (g, group) in members.iter().enumerate() {
            for piece in group {
                of_piece[piece.0 as usize] = GroupId(g as u32);
            }
        }
        Groups { of_piece, members }
    }
}
