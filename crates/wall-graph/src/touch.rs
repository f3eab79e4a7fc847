//! Where two lines meet, or would if an end moved along its own axis within its reach.

use crate::line::Line;
use crate::pairs::{self, Bounds};
use crate::widths::Widths;
use geom::{Length, Point};
use wall_model::WallId;
use wall_model::floor::BEND;

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
#[derive(Clone, Copy, Debug)]
pub(crate) struct Side {
    /// Station of the touch on the line.
    pub station: Length,
    /// Half of what the other wall takes up along this line; nothing in line.
    pub body: Length,
    pub part: Part,
}

/// Of two touches of a line the one with the lesser turn is taken first, of two alike the one of lesser numbers:
/// the least move, nm, and those of two walls that meet end to end, their centrelines side by side, last: with a face
/// flush first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Turn(u64);

impl Turn {
    const FLUSH: u64 = 1 << 63;
    const ASIDE: u64 = 1 << 62;

    pub(crate) fn is_flush(self) -> bool {
        self.0 & Turn::FLUSH != 0
    }
    pub(crate) fn is_aside(self) -> bool {
        self.0 & Turn::ASIDE != 0
    }
}

/// A touch beyond the reach: by up to two snap tolerances reported where it is not joined.
#[derive(Clone, Debug)]
pub(crate) struct Miss {
    pub at: Point,
    pub lines: [u32; 2],
    pub sides: [Side; 2],
    /// How far each end would move; zero in the middle.
    pub slips: [Length; 2],
    /// Which of the two is out of reach, where it is one.
    pub short: Option<usize>,
    /// Whether it is reported where it is not joined: one farther off counts only from where the end has been taken to.
    pub told: bool,
    /// What the end that is short may miss by.
    pub most: Length,
}

/// A touch within reach.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Touch {
    /// That of the lesser number first.
    pub lines: [u32; 2],
    pub turn: Turn,
}

/// What was found about the lines of a storey. Place and sides of a touch are not kept: [`between`] makes
/// them again, which takes less time than writing and reading them back does.
pub(crate) struct Touches {
    pub joined: Vec<Touch>,
    /// Least move first.
    pub misses: Vec<Miss>,
    /// Pairs of parallel lines whose boxes are no farther apart than `beside`, nm.
    pub parallel: Vec<[u32; 2]>,
    pub beside: i64,
}

/// All touches. Cost: near linear in the lines and the pairs of overlapping boxes.
pub(crate) fn find(lines: &[Line], widths: &Widths, snap: Length) -> Touches {
    let (widest, framed) = (widths.drawn, widths.framed * 2);
    // Oblique crossings reach further; 3 covers 30 degrees, and flatter ones are tried box to box.
    let pad_of = |half: Length| ((half + snap) * 3 + snap * 3).nm();
    let pad = pad_of(widest);
    // Room for ends that move to another wall's centreline.
    let beside = pad.max((framed + (widest + snap * 2) * 2).nm());
    let bounds = |i: usize| Bounds::of_line(&lines[i]);
    // So much farther an end may be taken to a wall, and go on within it.
    let farther = widest + widths.framed;
    let mut out = Touches {
        joined: Vec::with_capacity(lines.len() * 4),
        misses: Vec::new(),
        parallel: Vec::new(),
        beside,
    };
    pairs::near(lines.len(), bounds, beside, |i, j| {
        let pair = lesser_first(lines, [i, j]);
        let two = pair.map(|i| i as u32);
        let parallel = lines[i].dir.cross(lines[j].dir).abs() < PARALLEL;
        if parallel {
            out.parallel.push(two);
        }
        if beside > pad && !bounds(i).near(&bounds(j), pad) {
            return;
        }
        match found(lines, pair, snap, farther) {
            Some(Found {
                at,
                sides,
                slips,
                missed: missed @ ([true, _] | [_, true]),
                most,
                ..
            }) => {
                let short = if missed == [true; 2] { None } else { Some(usize::from(missed[1])) };
                let told = (0..2).all(|n| slips[n] <= most[n]);
                let both_end = sides.iter().all(|s| s.part != Part::Middle);
                if told || both_end && short.is_some() {
                    let most = most[usize::from(missed[1])];
                    out.misses.push(Miss { at, lines: two, sides, slips, short, told, most });
                }
            }
            Some(Found { slips, beside, .. }) => {
                // By how wide these two are: how wide others are elsewhere joins them no sooner.
                let own = pad_of(lines[i].half_drawn().max(lines[j].half_drawn()));
                if own < pad && !bounds(i).near(&bounds(j), own) {
                    return;
                }
                let moved = (slips[0] + slips[1]).nm() as u64;
                let turn = Turn(match beside {
                    Beside::No => moved,
                    Beside::Flush => moved | Turn::FLUSH,
                    Beside::Aside => moved | Turn::FLUSH | Turn::ASIDE,
                });
                out.joined.push(Touch { lines: two, turn });
            }
            None => {}
        }
    });
    out.misses.sort_by_key(|m| (m.slips[0] + m.slips[1], numbers(lines, m.lines)));
    out
}

/// Two lines, that of the lesser number first.
pub(crate) fn lesser_first(lines: &[Line], [i, j]: [usize; 2]) -> [usize; 2] {
    if lines[i].wall <= lines[j].wall { [i, j] } else { [j, i] }
}

/// Their numbers.
pub(crate) fn numbers(lines: &[Line], pair: [u32; 2]) -> [WallId; 2] {
    pair.map(|i| lines[i as usize].wall)
}

/// Where and how two lines touch or nearly do.
pub(crate) struct Found {
    pub at: Point,
    pub sides: [Side; 2],
    /// How far each end would move.
    slips: [Length; 2],
    /// Which are out of reach.
    missed: [bool; 2],
    /// A miss by more is none.
    most: [Length; 2],
    /// Of two that meet end to end.
    pub beside: Beside,
}

/// How the centrelines of two walls lie that meet end to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Beside {
    /// In line, or they cross.
    No,
    /// The narrower one within the other's faces, or flush with one.
    Flush,
    /// Each stands out beyond a face of the other.
    Aside,
}

/// Where two lines touch or nearly do, of which the first is the lesser by number.
pub(crate) fn between(lines: &[Line], pair: [usize; 2], snap: Length) -> Option<Found> {
    found(lines, pair, snap, Length::ZERO)
}

/// The same, and where an end of two that cross misses by so much more.
fn found(lines: &[Line], [i, j]: [usize; 2], snap: Length, farther: Length) -> Option<Found> {
    match lines[i].dir.cross(lines[j].dir).abs() < PARALLEL {
        true => in_line(lines, i, j, snap),
        false => crossing(lines, [i, j], snap, farther),
    }
}

fn crossing(lines: &[Line], [i, j]: [usize; 2], snap: Length, farther: Length) -> Option<Found> {
    let (l, m) = (&lines[i], &lines[j]);
    let at = intersection(l, m)?;
    let sine = l.dir.cross(m.dir).abs();
    let cosine = l.dir.dot(m.dir).abs();
    let reach = |own: &Line, other: &Line| {
        // Nearly all, and the same without the divisions.
        if (sine, cosine) == (1.0, 0.0) {
            return other.half_drawn() + snap;
        }
        Length::from_nm(
            ((other.half_drawn().nm() as f64 + own.half_drawn().nm() as f64 * cosine) / sine)
                as i64,
        ) + snap
    };
    let reaches = [reach(l, m), reach(m, l)];
    let most = reaches.map(|reach| reach + snap * 2);
    let farther = if sine == 1.0 { farther } else { farther.scale(1.0 / sine) };
    let p = place(l, at, reaches[0], most[0] + farther)?;
    let q = place(m, at, reaches[1], most[1] + farther)?;
    // Ends that go on nearly straight are cut on the half angle: neither takes of the other's length.
    let outward = |p: Part| match p {
        Part::Start => -1.0,
        Part::End => 1.0,
        Part::Middle => 0.0,
    };
    let goes_on = l.dir.dot(m.dir) * outward(p.part) * outward(q.part) < 0.0;
    let share = if sine < BEND && goes_on { 0.0 } else { 1.0 / sine };
    let bodies = [m, l].map(|other| {
        let half = other.half_width();
        if share == 1.0 { half } else { half.scale(share) }
    });
    let sides = [p.side(bodies[0]), q.side(bodies[1])];
    Some(Found {
        at,
        sides,
        slips: [p.slip, q.slip],
        missed: [p.near_miss, q.near_miss],
        most,
        beside: Beside::No,
    })
}

/// Where on a line a touch is.
struct Place {
    part: Part,
    station: Length,
    slip: Length,
    /// Out of reach.
    near_miss: bool,
}

impl Place {
    fn side(&self, body: Length) -> Side {
        Side { station: self.station, body, part: self.part }
    }
}

/// The part of a line a point on it lies at.
fn place(l: &Line, at: Point, reach: Length, most: Length) -> Option<Place> {
    let station = l.frame().locate(at).0;
    let length = l.length();
    let (from_start, from_end) = (station.abs(), (length - station).abs());
    // A wall shorter than two reaches still has two ends.
    let (part, slip) =
        if from_start <= from_end { (Part::Start, from_start) } else { (Part::End, from_end) };
    if slip <= reach {
        return Some(Place { part, station, slip, near_miss: false });
    }
    if station > Length::ZERO && station < length {
        return Some(Place { part: Part::Middle, station, slip: Length::ZERO, near_miss: false });
    }
    (slip <= most).then_some(Place { part, station, slip, near_miss: true })
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

/// So much of their ends two walls beside each other's lines must share to be tied end to end: a stud's thickness, so that
/// a splice plate has wood under it on both (common practice, no source).
pub(crate) const SHARED: Length = Length::sixteenths(24);

/// What the ends of two walls share that meet end to end with their centrelines so far aside; below zero where they are
/// apart.
pub(crate) fn shared_ends(l: &Line, m: &Line, aside: Length) -> Length {
    l.half_width() + m.half_width() - aside
}

/// Ends of two parallel lines that meet end to end, in line, with their faces flush or a little aside. What shares less
/// than it must is a miss.
fn in_line(lines: &[Line], i: usize, j: usize, snap: Length) -> Option<Found> {
    let (l, m) = (&lines[i], &lines[j]);
    let f = l.frame();
    let length = l.length();
    let step = (l.half_width() - m.half_width()).abs() + snap;
    let m_length = m.length();
    // Only end against end: the two must not run beside each other.
    let against = match l.dir.dot(m.dir) > 0.0 {
        true => [(Part::Start, Part::End, m.b), (Part::End, Part::Start, m.a)],
        false => [(Part::Start, Part::Start, m.a), (Part::End, Part::End, m.b)],
    };
    against
        .into_iter()
        .filter_map(|(own, part, p)| {
            let (s, o) = f.locate(p);
            let gap = if own == Part::Start { s.abs() } else { (length - s).abs() };
            let aside = o.abs();
            // Where only their boards touch they are one wall on the drawing, with a jog.
            let touch = aside <= step || aside <= l.half_drawn() + m.half_drawn();
            (gap <= snap && touch).then_some((own, part, gap, aside))
        })
        .min_by_key(|(own, part, gap, _)| (*gap, *own, *part))
        .map(|(own, part, gap, aside)| {
            let beside = match aside {
                _ if aside <= snap => Beside::No,
                _ if aside <= step => Beside::Flush,
                _ => Beside::Aside,
            };
            let missed = beside == Beside::Aside && shared_ends(l, m, aside) < SHARED;
            let wider_first = m.half_width() <= l.half_width();
            let end = |n: &Line, p: Part| if p == Part::Start { n.a } else { n.b };
            let at = if wider_first { end(l, own) } else { end(m, part) };
            let body = Length::ZERO;
            let station = |len: Length, p: Part| if p == Part::Start { Length::ZERO } else { len };
            let side =
                |part: Part, length: Length| Side { station: station(length, part), body, part };
            Found {
                at,
                sides: [side(own, length), side(part, m_length)],
                slips: [gap, Length::ZERO],
                missed: [missed; 2],
                most: [snap; 2],
                beside,
            }
        })
}
