//! One door or window drawn as several symbols.
//!
//! Knows: openings laid along one wall. Never touches: how symbols are grouped or laid on walls (`openings`).

use std::cmp::Ordering;
use wall_model::DraftOpening;

/// Puts openings of one kind together that lie in each other for half of the shorter one or more: glass, sill
/// and frame drawn as loose lines, the panels of a garage door. What only touches, or overlaps by less, is two
/// windows side by side.
pub(crate) fn together(mut openings: Vec<DraftOpening>) -> Vec<DraftOpening> {
    if openings.len() < 2 {
        return openings;
    }
    let wide = |o: &DraftOpening| (o.to_in - o.from_in).abs();
    let least = |o: &DraftOpening| o.from_in.min(o.to_in);
    let place = |a: &DraftOpening, b: &DraftOpening| -> Ordering {
        let widest = wide(b).total_cmp(&wide(a));
        widest.then(least(a).total_cmp(&least(b))).then_with(|| a.source.cmp(&b.source))
    };
    // The widest first: the others are its parts, and a chain of halves never grows along the wall.
    let order: Vec<DraftOpening> = openings.clone();
    openings.sort_by(place);
    let mut out: Vec<(DraftOpening, [f64; 2])> = Vec::new();
    for o in openings {
        let (from, to) = (least(&o), o.from_in.max(o.to_in));
        let same = out.iter_mut().find(|(kept, [a, b])| {
            kept.kind == o.kind && b.min(to) - a.max(from) > (to - from).min(b - a) / 2.0
        });
        match same {
            Some((kept, _)) => {
                (kept.from_in, kept.to_in) =
                    (least(kept).min(from), kept.from_in.max(kept.to_in).max(to));
                kept.source.extend(o.source);
                kept.source.sort();
                kept.source.dedup();
            }
            None => out.push((o, [from, to])),
        }
    }
    // Nothing put together: in the order they came.
    if out.len() == order.len() { order } else { out.into_iter().map(|o| o.0).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wall_model::OpeningKind;

    fn opening(kind: OpeningKind, from_in: f64, to_in: f64) -> DraftOpening {
        DraftOpening { kind, from_in, to_in, source: Vec::new() }
    }
    fn spans(all: &[(OpeningKind, f64, f64)]) -> Vec<(f64, f64)> {
        let laid = all.iter().map(|o| opening(o.0, o.1, o.2)).collect();
        together(laid).iter().map(|o| (o.from_in, o.to_in)).collect()
    }

    #[test]
    fn loose_lines_of_one_window_are_one_opening() {
        let w = OpeningKind::Window;
        assert_eq!(spans(&[(w, 57.0, 93.0), (w, 93.5, 57.5), (w, 60.0, 90.0)]), [(57.0, 93.5)]);
    }

    #[test]
    fn windows_side_by_side_and_other_kinds_stay_apart() {
        let (w, d) = (OpeningKind::Window, OpeningKind::Door);
        let beside = [(w, 0.0, 36.0), (w, 36.0, 72.0), (w, 71.0, 107.0)];
        assert_eq!(spans(&beside), [(0.0, 36.0), (36.0, 72.0), (71.0, 107.0)]);
        assert_eq!(spans(&[(w, 0.0, 36.0), (d, 0.0, 36.0)]).len(), 2);
        // Each reaches a little into the next: no chain of them becomes one.
        let chain = [(w, 0.0, 36.0), (w, 20.0, 56.0), (w, 40.0, 76.0)];
        assert_eq!(spans(&chain).len(), 3);
    }
}
