//! From where lines lie in memory back to their order by number, in which runs are numbered.

use crate::line::Line;
use crate::nodes::Network;
use crate::order;

/// The lines by number, and the network of them.
pub(crate) fn in_order<'m>(lines: Vec<Line<'m>>, mut network: Network) -> (Vec<Line<'m>>, Network) {
    if lines.is_sorted_by_key(|l| l.wall) {
        return (lines, network);
    }
    let mut order: Vec<u32> = (0..lines.len() as u32).collect();
    order::by_number(&mut order, |i| u64::from(lines[*i as usize].wall.0));
    let mut new = vec![0_u32; lines.len()];
    for (i, old) in (0..).zip(&order) {
        new[*old as usize] = i;
    }
    network.renumber(&order, &new);
    let mut old: Vec<Option<Line>> = lines.into_iter().map(Some).collect();
    let lines = order.iter().filter_map(|i| old[*i as usize].take()).collect();
    (lines, network)
}
