//! Path connections (IfcRelConnectsPathElements) held against the walls' lines. Geometry outranks them:
//! walls meet where their lines do, whatever a relation says; a relation that says otherwise is told.

use crate::classes::Kind;
use crate::geometry::footprint::Plan;
use crate::report::Report;
use crate::shape::WallShape;
use crate::step::Param;
use crate::walls::{RawWall, Reader};
use diag::codes::ifc;
use diag::{Finding, SourceRef};
use rustc_hash::FxHashMap;

/// Lines of walls that meet may lie apart by both thicknesses (each may run along a face), and this
/// much more: 1 in (common practice, no source).
const SLACK_IN: f64 = 1.0;

/// So many disagreements are told one by one.
const TOLD: usize = 20;

/// Where a connection says a wall is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Start,
    Stop,
    Path,
}

impl End {
    fn of(p: Param<'_>) -> End {
        match p.name() {
            Some(b"ATSTART") => End::Start,
            Some(b"ATEND") => End::Stop,
            _ => End::Path,
        }
    }
    const fn words(self) -> &'static str {
        match self {
            End::Start => "the start",
            End::Stop => "the end",
            End::Path => "the path",
        }
    }
}

/// The part of a wall's line an end stands for. A line read from a body runs either way: both ends count.
fn stretches(shape: &WallShape, end: End) -> Vec<(Plan, Plan)> {
    let (Some(first), Some(last)) = (shape.pieces.first(), shape.pieces.last()) else {
        return Vec::new();
    };
    let (start, stop) = ((first.start, first.start), (last.end, last.end));
    match end {
        End::Path => shape.pieces.iter().map(|p| (p.start, p.end)).collect(),
        _ if !shape.from_axis => vec![start, stop],
        End::Start => vec![start],
        End::Stop => vec![stop],
    }
}

/// Reports the connections that the walls' lines do not bear out.
pub fn report(reader: &Reader<'_, '_, '_>, raw: &[RawWall<'_>], report: &mut Report) {
    let file = reader.shapes.file;
    let by_id: FxHashMap<u64, &RawWall<'_>> = raw.iter().map(|w| (w.id, w)).collect();
    let inches = reader.unit.inches;
    let mut stated = 0_usize;
    let mut off: Vec<(f64, String, [SourceRef; 2])> = Vec::new();
    for r in file.all(Kind::RelPath) {
        let pair = [5, 6].map(|n| r.param(n).reference().and_then(|id| by_id.get(&id)));
        let [Some(a), Some(b)] = pair else { continue };
        let (Some(sa), Some(sb)) = (&a.shape, &b.shape) else { continue };
        // The related element's end comes first in the entity.
        let (end_b, end_a) = (End::of(r.param(9)), End::of(r.param(10)));
        stated += 1;
        let (one, two) = (stretches(sa, end_a), stretches(sb, end_b));
        let pairs = one.iter().flat_map(|p| two.iter().map(move |q| (p, q)));
        let Some(apart) = pairs.map(|(p, q)| distance(*p, *q)).min_by(f64::total_cmp) else {
            continue;
        };
        let thickness = |w: &RawWall<'_>| reader.thickness_in(w).unwrap_or(0.0);
        let allowed = thickness(a) + thickness(b) + SLACK_IN;
        if apart * inches > allowed {
            let what = format!(
                "{} of {} meets {} of {}, but they lie {} apart",
                end_a.words(),
                a.source.entity,
                end_b.words(),
                b.source.entity,
                reader.text(apart * inches)
            );
            off.push((apart, what, [a.source.clone(), b.source.clone()]));
        }
    }
    off.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    off.dedup_by(|a, b| a.1 == b.1);
    let agree = stated.saturating_sub(off.len());
    let more = off.len().saturating_sub(TOLD);
    for (n, (_, what, sources)) in off.into_iter().take(TOLD).enumerate() {
        let count = if n == 0 {
            let more = if more > 0 { format!("; {more} more differ") } else { String::new() };
            format!(" ({agree} of {stated} connections agree{more})")
        } else {
            String::new()
        };
        let message = format!("By the file {what}; the geometry was believed{count}.");
        report.plain(Finding::new(ifc::PATH_DISAGREES, message).from(&sources));
    }
}

/// Distance of two segments in plan; points are segments without length.
fn distance(a: (Plan, Plan), b: (Plan, Plan)) -> f64 {
    if cross_each_other(a, b) {
        return 0.0;
    }
    let ends = [to_point(a, b.0), to_point(a, b.1), to_point(b, a.0), to_point(b, a.1)];
    ends.into_iter().fold(f64::INFINITY, f64::min)
}

fn turn(a: Plan, b: Plan, c: Plan) -> f64 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

fn cross_each_other(a: (Plan, Plan), b: (Plan, Plan)) -> bool {
    let apart = |s: (Plan, Plan), p: Plan, q: Plan| turn(s.0, s.1, p) * turn(s.0, s.1, q) < 0.0;
    apart(a, b.0, b.1) && apart(b, a.0, a.1)
}

fn to_point(s: (Plan, Plan), p: Plan) -> f64 {
    let (dx, dy) = (s.1.0 - s.0.0, s.1.1 - s.0.1);
    let len2 = dx * dx + dy * dy;
    let t = ((p.0 - s.0.0) * dx + (p.1 - s.0.1) * dy) / len2;
    let t = if len2 > 0.0 { t.clamp(0.0, 1.0) } else { 0.0 };
    (p.0 - s.0.0 - t * dx).hypot(p.1 - s.0.1 - t * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances() {
        let s = ((0.0, 0.0), (10.0, 0.0));
        assert_eq!(distance(s, ((5.0, 3.0), (5.0, 3.0))), 3.0);
        assert_eq!(distance(s, ((5.0, -3.0), (5.0, 3.0))), 0.0);
        assert_eq!(distance(s, ((13.0, 4.0), (20.0, 4.0))), 5.0);
        assert_eq!(distance(((1.0, 1.0), (1.0, 1.0)), ((4.0, 5.0), (4.0, 5.0))), 5.0);
    }
}
