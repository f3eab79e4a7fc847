//! Where two lines meet, or would if an end moved along its own axis within its reach.

use crate::line::Line;
use crate::pairs::{self, Bounds};
use geom::{Length, Point};

/// Lines that differ by less than this never cross: they lie beside or in line with each other.
/// sin 3°; a crossing at a smaller angle would make bevels of several feet.
pub(crate) const PARALLEL: f64 = 0.0523;

/// Which part of a line a touch is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Part {
    Start,
    End,
    Middle,
}

/// One line's share of a touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Side {
    pub line: usize,
    pub part: Part,
    /// Station of the touch on the line.
    pub station: Length,
    /// How far the end would move; zero in the middle.
    pub slip: Length,
    /// Half of what the other wall takes up along this line; nothing in line.
    pub body: Length,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Touch {
    pub at: Point,
    pub sides: [Side; 2],
    /// Beyond the reach by up to three snap tolerances: reported, not joined.
    pub near_miss: bool,
    /// Two walls with a face flush that meet end to end, their centrelines side by side.
    pub flush: bool,
}

/// All touches, least move first; those of walls with a face flush come last. Cost: O(n log n + pairs of overlapping boxes).
pub(crate) fn find(lines: &[Line], snap: Length) -> impl Iterator<Item = Touch> + use<> {
    let widest = lines.iter().map(Line::half_drawn).max().unwrap_or_default();
    // Oblique crossings reach further; 3 covers 30 degrees, and flatter ones are tried box to box.
    let pad = ((widest + snap) * 3 + snap * 3).nm();
    let boxes: Vec<Bounds> = lines.iter().map(Bounds::of_line).collect();
    let mut found = Vec::with_capacity(lines.len() * 2);
    pairs::near(&boxes, pad, |i, j| {
        found.extend(if lines[i].dir.cross(lines[j].dir).abs() < PARALLEL {
            in_line(lines, i, j, snap)
        } else {
            crossing(lines, i, j, snap)
        });
    });
    let mut order: Vec<_> = found
        .iter()
        .enumerate()
        .map(|(k, t): (usize, &Touch)| {
            let [p, q] = t.sides;
            (t.near_miss, t.flush, p.slip + q.slip, p.line as u32, q.line as u32, k as u32)
        })
        .collect();
    order.sort_unstable();
    order.into_iter().map(move |(.., k)| found[k as usize])
}

fn crossing(lines: &[Line], i: usize, j: usize, snap: Length) -> Option<Touch> {
    let (l, m) = (&lines[i], &lines[j]);
    let at = intersection(l, m)?;
    let sine = l.dir.cross(m.dir).abs();
    let cosine = l.dir.dot(m.dir).abs();
    let reach = |own: &Line, other: &Line| {
        Length::from_nm(
            ((other.half_drawn().nm() as f64 + own.half_drawn().nm() as f64 * cosine) / sine)
                as i64,
        ) + snap
    };
    let (mut p, p_miss) = place(l, i, at, reach(l, m), snap)?;
    let (mut q, q_miss) = place(m, j, at, reach(m, l), snap)?;
    (p.body, q.body) = (m.half_width().scale(1.0 / sine), l.half_width().scale(1.0 / sine));
    Some(Touch { at, sides: [p, q], near_miss: p_miss || q_miss, flush: false })
}

/// The part of a line a point on it lies at, and whether that is just out of reach.
fn place(l: &Line, line: usize, at: Point, reach: Length, snap: Length) -> Option<(Side, bool)> {
    let (station, body) = (l.frame().locate(at).0, Length::ZERO);
    let length = l.length();
    let (from_start, from_end) = (station.abs(), (length - station).abs());
    // A wall shorter than two reaches still has two ends.
    let (part, slip) =
        if from_start <= from_end { (Part::Start, from_start) } else { (Part::End, from_end) };
    if slip <= reach {
        return Some((Side { line, part, station, slip, body }, false));
    }
    if station > Length::ZERO && station < length {
        return Some((Side { line, part: Part::Middle, station, slip: Length::ZERO, body }, false));
    }
    (slip <= reach + snap * 2).then_some((Side { line, part, station, slip, body }, true))
}

/// The point where two lines that are not parallel cross; exact when both lie along the sheet.
pub(crate) fn intersection(l: &Line, m: &Line) -> Option<Point> {
    let det = l.dir.cross(m.dir);
    if det == 0.0 {
        return None;
    }
    if l.dir.1 == 0.0 && m.dir.0 == 0.0 {
        return Some(Point::new(m.a.x, l.a.y));
    }
    if l.dir.0 == 0.0 && m.dir.1 == 0.0 {
        return Some(Point::new(l.a.x, m.a.y));
    }
    let d = m.a - l.a;
    let t = (d.x.nm() as f64 * m.dir.1 - d.y.nm() as f64 * m.dir.0) / det;
    // A line along the sheet keeps its own coordinate exactly.
    let along = |n: &Line, station: f64| {
        n.frame().at(Length::from_nm(station.round() as i64), Length::ZERO)
    };
    if m.dir.0 == 0.0 || m.dir.1 == 0.0 {
        let u = (d.x.nm() as f64 * l.dir.1 - d.y.nm() as f64 * l.dir.0) / det;
        return Some(along(m, u));
    }
    Some(along(l, t))
}

/// Ends of two parallel lines that meet end to end, in line or with their faces flush.
fn in_line(lines: &[Line], i: usize, j: usize, snap: Length) -> Option<Touch> {
    let (l, m) = (&lines[i], &lines[j]);
    let f = l.frame();
    let length = l.length();
    let step = (l.half_width() - m.half_width()).abs() + snap;
    let ends = [(Part::Start, m.a), (Part::End, m.b)];
    let m_length = m.length();
    ends.into_iter()
        .flat_map(|(part, p)| {
            let (s, o) = f.locate(p);
            [(Part::Start, s.abs()), (Part::End, (length - s).abs())]
                .into_iter()
                .filter(move |(_, gap)| *gap <= snap && o.abs() <= step)
                .map(move |(own, gap)| (own, part, gap, o.abs() > snap))
        })
        // Only end against end: the two must not run beside each other.
        .filter(|(own, part, ..)| {
            let outward_l = if *own == Part::End { 1.0 } else { -1.0 };
            let outward_m = if *part == Part::End { 1.0 } else { -1.0 };
            l.dir.dot(m.dir) * outward_l * outward_m < 0.0
        })
        .min_by_key(|(own, part, gap, _)| (*gap, *own, *part))
        .map(|(own, part, gap, flush)| {
            let wider_first =
                (m.half_width(), j) < (l.half_width(), i) || l.half_width() == m.half_width();
            let end = |n: &Line, p: Part| if p == Part::Start { n.a } else { n.b };
            let at = if wider_first { end(l, own) } else { end(m, part) };
            let body = Length::ZERO;
            let station = |len: Length, p: Part| if p == Part::Start { Length::ZERO } else { len };
            Touch {
                at,
                sides: [
                    Side { line: i, part: own, station: station(length, own), slip: gap, body },
                    Side {
                        line: j,
                        part,
                        station: station(m_length, part),
                        slip: Length::ZERO,
                        body,
                    },
                ],
                near_miss: false,
                flush,
            }
        })
}
