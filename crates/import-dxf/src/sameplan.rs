//! Whether two drawings on a sheet show the same walls.
//!
//! Knows: walls by their places relative to each other, as drawn and turned over. Never touches: titles, how drawings
//! are told apart.

use crate::affine::Xy;
use crate::patches::{NOTHING, join, of_point};
use crate::walls::WallLine;

/// How two drawings may be one floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Same {
    /// They show the same walls.
    Walls,
    /// The walls of one are those of the other, turned over.
    TurnedOver,
    /// A title says option, alternate, reversed.
    Variant,
}

/// The same walls seen in a mirror to the side of them.
pub(crate) fn turned_over(walls: &[[i64; 5]]) -> Vec<[i64; 5]> {
    let right = walls.iter().map(|w| w[0].max(w[2])).max().unwrap_or(0);
    sorted(walls.iter().map(|w| [right - w[0], w[1], right - w[2], w[3], w[4]]))
}

/// The same in a mirror below them.
pub(crate) fn upside_down(walls: &[[i64; 5]]) -> Vec<[i64; 5]> {
    let top = walls.iter().map(|w| w[1].max(w[3])).max().unwrap_or(0);
    sorted(walls.iter().map(|w| [w[0], top - w[1], w[2], top - w[3], w[4]]))
}

pub(crate) fn sorted(walls: impl Iterator<Item = [i64; 5]>) -> Vec<[i64; 5]> {
    let in_order = |w: [i64; 5]| match [w[0], w[1]] <= [w[2], w[3]] {
        true => w,
        false => [w[2], w[3], w[0], w[1], w[4]],
    };
    let mut out: Vec<[i64; 5]> = walls.map(in_order).collect();
    out.sort_unstable();
    out
}

/// Walls by place from the group's lower left corner, quarter inches.
pub(crate) fn signature(walls: &[WallLine], members: &[usize]) -> Vec<[i64; 5]> {
    let own: Vec<&WallLine> = members.iter().filter_map(|i| walls.get(*i)).collect();
    let b = own.iter().fold(NOTHING, |b, w| join(b, join(of_point(w.line.a), of_point(w.line.b))));
    let at = |p: Xy| [((p[0] - b[0]) * 4.0).round() as i64, ((p[1] - b[1]) * 4.0).round() as i64];
    let mut out: Vec<[i64; 5]> = own
        .iter()
        .map(|w| {
            let (p, q) = (at(w.line.a), at(w.line.b));
            let (p, q) = if p <= q { (p, q) } else { (q, p) };
            [p[0], p[1], q[0], q[1], (w.spec.thickness_in * 4.0).round() as i64]
        })
        .collect();
    out.sort_unstable();
    out
}

/// Whether most walls of one are the other's.
pub(crate) fn alike(a: &[[i64; 5]], b: &[[i64; 5]]) -> bool {
    let near = |x: &[i64; 5], y: &[i64; 5]| x.iter().zip(y).all(|(p, q)| (p - q).abs() <= 4);
    let found = a.iter().filter(|x| b.iter().any(|y| near(x, y))).count();
    a.len() >= 4 && found * 10 >= a.len().max(b.len()) * 7
}
