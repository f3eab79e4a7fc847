//! What of an opening reaches past the end of its wall: the walls that go on there in line.
//!
//! Knows: which wall lies in line with another, and how much of an opening is on it. Never touches: what an opening is,
//! which wall the file cuts it from.

use crate::cuts::{Cut, Cuts, stretches};
use crate::hosting::Host;
use crate::walls::Reader;

/// Sine of the greatest angle between two walls in one line: 0.5 degrees.
const IN_LINE: f64 = 0.008_73;
/// Walls in line stand no farther apart than this, and the thinner one's framing stands out of the thicker one's no
/// more: 3/8 in.
const APART_IN: f64 = 0.375;

/// What reaches past a wall's ends, in the file's unit.
#[derive(Default)]
pub struct Beyond<'h> {
    /// What of it is on which pieces of other walls.
    pub parts: Vec<(&'h Cut, (f64, f64))>,
    /// The wall that goes on first at either end.
    pub next: Vec<&'h Cut>,
    /// What is on no wall, at the end where there is more.
    pub past: f64,
}

/// Lays what of an opening is past the ends of its wall's line on the walls that go on there, between these heights.
pub fn beyond<'h>(
    reader: &Reader<'_, '_, '_>,
    (hosts, cuts): (&'h [Host], &'h Cuts),
    (cut, line): (&Cut, (f64, f64)),
    along: (f64, f64),
    z: (f64, f64),
) -> Beyond<'h> {
    let slack = APART_IN / reader.unit.inches;
    let mut out = Beyond::default();
    for (sign, end, stop) in [(-1.0, -line.0, -along.0), (1.0, line.1, along.1)] {
        let mut at = end;
        while stop - at > slack {
            let ahead = hosts.iter().filter_map(|h| h.cut.as_ref()).filter_map(|c| {
                let reach = in_line(cut, c, slack)?;
                let (from, to) = if sign > 0.0 { reach } else { (-reach.1, -reach.0) };
                let shared = z.1.min(c.heights.1) - z.0.max(c.heights.0);
                let there = from <= at + slack && to > at + slack && shared >= 0.5 * (z.1 - z.0);
                (there && c.draft != cut.draft).then_some((to, c))
            });
            // The farthest, then the first of the draft.
            let best =
                ahead.max_by(|(a, c), (b, d)| a.total_cmp(b).then_with(|| d.draft.cmp(&c.draft)));
            let Some((to, c)) = best else { break };
            let ends = [at, to.min(stop)].map(|s| c.station(cut.at(s * sign)));
            let range = (ends[0].min(ends[1]), ends[0].max(ends[1]));
            out.parts.extend(stretches(c, range, cuts));
            if at == end {
                out.next.push(c);
            }
            at = to;
        }
        out.past = out.past.max(stop - at);
    }
    out
}

/// From where to where a piece lies on another one's line, in its stations; none where it is not in line.
fn in_line(cut: &Cut, other: &Cut, slack: f64) -> Option<(f64, f64)> {
    let (d, e) = (cut.dir(), other.dir());
    if (d.0 * e.1 - d.1 * e.0).abs() > IN_LINE {
        return None;
    }
    let [s, t] = [other.piece.start, other.piece.end].map(|p| cut.station(p));
    let middle = cut.length() / 2.0;
    let (a, b) = (other.piece.start, other.piece.end);
    let nearer = if (s - middle).abs() <= (t - middle).abs() { a } else { b };
    let from = (nearer.0 - cut.piece.start.0, nearer.1 - cut.piece.start.1);
    let off = from.1 * d.0 - from.0 * d.1;
    let same_way = d.0 * e.0 + d.1 * e.1 > 0.0;
    let (low, high) = match same_way {
        true => (off + other.framing.0, off + other.framing.1),
        false => (off - other.framing.1, off - other.framing.0),
    };
    let shared = high.min(cut.framing.1) - low.max(cut.framing.0);
    let thinner = (high - low).min(cut.framing.1 - cut.framing.0);
    (shared >= thinner - slack).then_some((s.min(t), s.max(t)))
}
