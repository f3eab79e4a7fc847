//! A wall of which voids leave nothing over some of its length: what stays on either side.

use wall_model::{DraftOpening, DraftWall};

/// Shorter remains carry no plate: 3 in, the width of two studs (common practice, no source).
pub const LEAST_IN: f64 = 3.0;

/// Adds the wall, or what its breaks (in inches along it) leave of it. A wall of which nothing is left stays whole: then
/// the voids are rather something else.
pub fn around(wall: DraftWall, mut breaks: Vec<(f64, f64)>, out: &mut Vec<DraftWall>) {
    let (dx, dy) = (wall.end_in.0 - wall.start_in.0, wall.end_in.1 - wall.start_in.1);
    let len = dx.hypot(dy);
    breaks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut stays: Vec<(f64, f64)> = Vec::new();
    let mut from = 0.0;
    for (a, b) in breaks {
        stays.push((from, a));
        from = b.max(from);
    }
    stays.push((from, len));
    stays.retain(|(a, b)| b - a >= LEAST_IN);
    if stays.is_empty() || stays == [(0.0, len)] {
        out.push(wall);
        return;
    }
    let at = |s: f64| (wall.start_in.0 + dx * s / len, wall.start_in.1 + dy * s / len);
    for (a, b) in stays {
        let inside = |o: &DraftOpening| {
            let (from_in, to_in) = (o.from_in.max(a) - a, o.to_in.min(b) - a);
            (to_in > from_in).then(|| DraftOpening { from_in, to_in, ..o.clone() })
        };
        out.push(DraftWall {
            start_in: if a > 0.0 { at(a) } else { wall.start_in },
            end_in: if b < len { at(b) } else { wall.end_in },
            top_in: wall.top_in + wall.rise_in * a / len,
            rise_in: wall.rise_in * (b - a) / len,
            openings: wall.openings.iter().filter_map(inside).collect(),
            ..wall.clone()
        });
    }
}
