//! Doors and windows that reach beyond the wall line they lie on.
//!
//! Knows: which wall lines go on in one line, how much of an opening lies on each, what of it lies on none. Never
//! touches: which line a symbol is laid on (`openings`), sections, findings' words. Everything is in inches.
//!
//! An exterior wall is drawn in pieces: a polyline with a vertex too many, two lines where the layer changes. What is
//! drawn over such a seam is one opening still, and none of its width may be lost.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::carryon::walls_across;
use crate::linework::sine_between;
use crate::nearby::LineIndex;
use crate::openings::{GAP_SLACK_IN, HostLine, Hosted, IN_LINE, INTO_WALL_IN};

/// Less of an opening is rounding.
const HAIR_IN: f64 = 1.0 / 16.0;

/// A wall line in line with another one, as stations on that one's axis.
struct Stretch {
    host: usize,
    from: f64,
    to: f64,
    /// Whether the two are one wall where they meet.
    alike: bool,
}

/// How an opening is spread over the wall lines around the one it was laid on.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Spread {
    /// Where it lies on the wall it was laid on, with those joined to it.
    pub whole: [Xy; 2],
    /// What of it lies on which other wall lines, on the centreline of the first.
    pub parts: Vec<(usize, [Xy; 2])>,
    /// Wall lines that are one wall with the one it was laid on.
    pub joined: Vec<usize>,
    /// What of it lies on no wall: how much, and from where on.
    pub left: Vec<(f64, Xy)>,
}

/// The axis of a wall line.
struct Axis {
    origin: Xy,
    dir: Xy,
    length: f64,
}

impl Axis {
    fn of(host: &HostLine) -> Axis {
        let along = sub(host.line.b, host.line.a);
        let length = norm(along);
        Axis { origin: host.line.a, dir: [along[0] / length, along[1] / length], length }
    }
    fn station(&self, p: Xy) -> f64 {
        dot(sub(p, self.origin), self.dir)
    }
    fn at(&self, s: f64) -> Xy {
        [self.origin[0] + self.dir[0] * s, self.origin[1] + self.dir[1] * s]
    }
}

/// The wall lines in line with `i`: centreline in centreline, or of other thickness with the thinner one's faces
/// within the thicker one's.
fn in_line(hosts: &[HostLine], i: usize, axis: &Axis, near: &[u32], snap: f64) -> Vec<Stretch> {
    let Some(host) = hosts.get(i) else { return Vec::new() };
    let of = |j: usize| {
        let o = hosts.get(j).filter(|o| j != i && o.storey == host.storey)?;
        if sine_between(axis.dir, sub(o.line.b, o.line.a)) > IN_LINE {
            return None;
        }
        let [s, t] = [o.line.a, o.line.b].map(|p| axis.station(p));
        let middle = axis.length / 2.0;
        let nearer = if (s - middle).abs() <= (t - middle).abs() { o.line.a } else { o.line.b };
        let off = cross(axis.dir, sub(nearer, axis.origin)).abs();
        let close = snap.max(HAIR_IN);
        let alike = o.class == host.class && off <= close;
        let within = off <= (host.half - o.half).abs() + close;
        within.then_some(Stretch { host: j, from: s.min(t), to: s.max(t), alike })
    };
    near.iter().filter_map(|j| of(*j as usize)).collect()
}

/// The stretch that goes farthest on from a station, of those that are there; of equal ones those alike, then the
/// first. Stations and stretches are seen in the way that is gone: ahead is more.
fn next(row: &[Stretch], from: f64, snap: f64) -> Option<&Stretch> {
    let there = row.iter().filter(|s| s.from <= from + snap && s.to > from + snap);
    there.max_by(|a, b| a.to.total_cmp(&b.to).then(a.alike.cmp(&b.alike)).then(b.host.cmp(&a.host)))
}

/// How much of a span lies on the line `i` and those in line with it that go on where it ends.
pub(crate) fn covered(
    hosts: &[HostLine],
    i: usize,
    span: [f64; 2],
    near: &[u32],
    snap: f64,
) -> f64 {
    let Some(host) = hosts.get(i) else { return 0.0 };
    let axis = Axis::of(host);
    let row = in_line(hosts, i, &axis, near, snap);
    let back: Vec<Stretch> = row.iter().map(turned).collect();
    let end = |row: &[Stretch], mut at: f64, stop: f64| {
        while at < stop
            && let Some(s) = next(row, at, snap)
        {
            at = s.to;
        }
        at
    };
    let low = -end(&back, 0.0, -span[0]);
    let high = end(&row, axis.length, span[1]);
    span[1].min(high) - span[0].max(low)
}

fn turned(s: &Stretch) -> Stretch {
    Stretch { from: -s.to, to: -s.from, ..*s }
}

/// Spreads what reaches beyond the wall line, or the two, that an opening was laid on.
pub(crate) fn spread(
    laid: &Hosted,
    hosts: &[HostLine],
    index: &LineIndex,
    widest_half: f64,
    snap: f64,
) -> Spread {
    let mut out = Spread { whole: [laid.from, laid.to], ..Spread::default() };
    let Some(host) = hosts.get(laid.host) else { return out };
    let axis = Axis::of(host);
    let stations = laid.span.map(|p| axis.station(p));
    let span = [stations[0].min(stations[1]), stations[0].max(stations[1])];
    let mut ends = [0.0, axis.length];
    if let Some(o) = laid.joined.and_then(|j| hosts.get(j)) {
        for s in [o.line.a, o.line.b].map(|p| axis.station(p)) {
            ends = [ends[0].min(s), ends[1].max(s)];
        }
    }
    if span[0] >= ends[0] - HAIR_IN && span[1] <= ends[1] + HAIR_IN {
        return out;
    }
    let near = index.near(&laid.span, widest_half + GAP_SLACK_IN);
    let row = in_line(hosts, laid.host, &axis, &near, snap);
    let across = walls_across(hosts, laid.host, axis.origin, axis.dir, &near, snap);
    let faces: Vec<[f64; 2]> = across.iter().map(|w| w.faces).collect();
    let ahead = Way { axis: &axis, sign: 1.0, faces, snap };
    ahead.go(&row, ends[1], span[1], &mut out);
    let back: Vec<Stretch> = row.iter().map(turned).collect();
    let faces = across.iter().map(|w| [-w.faces[1], -w.faces[0]]).collect();
    let behind = Way { axis: &axis, sign: -1.0, faces, snap };
    behind.go(&back, -ends[0], -span[0], &mut out);
    out
}

/// One of the two ways along an axis; all stations grow that way.
struct Way<'a> {
    axis: &'a Axis,
    sign: f64,
    /// Of the walls that cross the axis.
    faces: Vec<[f64; 2]>,
    snap: f64,
}

impl Way<'_> {
    /// Lays what is between a wall's end and the opening's side on the walls that go on there.
    fn go(&self, row: &[Stretch], mut at: f64, stop: f64, out: &mut Spread) {
        // Up to where all walls are one with the first.
        let mut alike = true;
        while stop - at > HAIR_IN {
            // Frame and casing run over a wall that stands hard against an opening.
            if self.beyond(at).is_some_and(|face| stop - face <= INTO_WALL_IN) {
                return;
            }
            let on = next(row, at, self.snap);
            let gap = || self.gap(row, at, stop).filter(|s| alike && s.alike);
            let Some(s) = on.or_else(gap) else { break };
            alike &= s.alike;
            let [from, to] = [at, stop.min(s.to).max(s.from)].map(|s| self.axis.at(s * self.sign));
            match alike {
                true => {
                    out.joined.push(s.host);
                    out.whole[usize::from(self.sign > 0.0)] = to;
                }
                false => out.parts.push((s.host, [from, to])),
            }
            at = s.to;
        }
        if stop - at > INTO_WALL_IN {
            out.left.push((stop - at, self.axis.at(at * self.sign)));
        }
    }
    /// The farther face of a wall that crosses at a station.
    fn beyond(&self, at: f64) -> Option<f64> {
        let there = |f: &&[f64; 2]| f[0] - self.snap <= at && at <= f[1] + self.snap;
        self.faces.iter().filter(there).map(|f| f[1]).reduce(f64::max)
    }
    /// The next wall beyond a gap that an opening fills, but for what it may stop short; none where a wall passes.
    fn gap<'s>(&self, row: &'s [Stretch], at: f64, stop: f64) -> Option<&'s Stretch> {
        let ahead = row.iter().filter(|s| s.from > at && s.from <= stop + GAP_SLACK_IN);
        let s = ahead.min_by(|a, b| a.from.total_cmp(&b.from).then(a.host.cmp(&b.host)))?;
        let passes = self.faces.iter().any(|f| f[1] > at && f[0] < s.from);
        (!passes && stop - at >= (s.from - at) / 2.0).then_some(s)
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, ok_with, with};
    use settings::{LayerRule, LayerUse, Settings};
    use wall_model::WallModel;

    /// A house of 40 by 30 ft whose lower wall is drawn from corner to corner over these places, each piece on its layer.
    fn house(layers: &[&str], seams: &[f64]) -> Dxf {
        let mut d = Dxf::inches()
            .line("A-WALL-2X6", [480.0, 0.0], [480.0, 360.0])
            .line("A-WALL-2X6", [480.0, 360.0], [0.0, 360.0])
            .line("A-WALL-2X6", [0.0, 360.0], [0.0, 0.0]);
        let ends = [&[0.0], seams, &[480.0]].concat();
        for (layer, ends) in layers.iter().zip(ends.windows(2)) {
            d = d.line(layer, [ends[0], 0.0], [ends[1], 0.0]);
        }
        d
    }
    fn window(d: Dxf, from: f64, to: f64) -> Dxf {
        d.polyline("A-GLAZ", &[[from, -2.0], [to, -2.0], [to, 2.0], [from, 2.0]], true)
    }
    /// Openings of the lower wall, as places on the sheet.
    fn openings(m: &WallModel) -> Vec<[f64; 2]> {
        let lower = m.walls.iter().filter(|w| w.start.y == w.end.y && w.start.y.nm() == 0);
        let of = |w: &wall_model::Wall| -> Vec<[f64; 2]> {
            let at = w.start.x.to_inches();
            let each = w.openings.iter();
            each.map(|o| [at + o.from.to_inches(), at + o.to.to_inches()]).collect()
        };
        let mut out: Vec<[f64; 2]> = lower.flat_map(of).collect();
        out.sort_by(|a, b| a[0].total_cmp(&b[0]));
        out
    }
    const SILENT: [&str; 2] = ["dxf-opening-over-seam", "dxf-opening-cut"];

    #[test]
    fn a_window_over_a_needless_vertex_keeps_its_width() {
        for seams in [&[206.0][..], &[206.5], &[190.0, 215.0], &[180.0, 200.0, 220.0]] {
            let layers = ["A-WALL-2X6"; 4];
            let o = ok(&window(house(&layers, seams), 170.0, 242.0));
            assert_eq!(openings(&o.value), [[170.0, 242.0]], "{seams:?}");
            for code in SILENT {
                assert!(with(&o.findings, code).is_empty(), "{code} {seams:?}");
            }
            // One wall, as where a door stands in a gap.
            assert_eq!(o.value.walls.len(), 4, "{seams:?}");
        }
    }

    #[test]
    fn walls_that_differ_have_each_its_part() {
        // Bearing is no matter of plates.
        let d = window(house(&["A-WALL-2X6", "A-WALL-2X6-BRNG"], &[200.0]), 170.0, 242.0);
        let o = ok(&d);
        assert_eq!(openings(&o.value), [[170.0, 200.0], [200.0, 242.0]]);
        assert!(with(&o.findings, "dxf-opening-over-seam").is_empty());
        let d = window(house(&["A-WALL-2X6", "A-WALL-2X4"], &[200.0]), 170.0, 242.0);
        let o = ok(&d);
        assert_eq!(openings(&o.value), [[170.0, 200.0], [200.0, 242.0]]);
        let told = with(&o.findings, "dxf-opening-over-seam");
        assert!(told[0].message.contains("2x6") && told[0].message.contains("2x4"), "{}", told[0]);
        assert!(told[0].message.contains("2'-6\" (762 mm) of it"), "{}", told[0]);
        // A step of height, the two of one section.
        let higher = LayerRule {
            pattern: "HIGH".into(),
            usage: LayerUse::Wall,
            exterior: None,
            bearing: None,
            section: Some(lumber::Section::S2X6),
            top: Some(geom::Length::inches(121)),
            roof: None,
        };
        let s = Settings { layers: vec![higher], ..Settings::default() };
        let o = ok_with(&window(house(&["A-WALL-2X6", "HIGH"], &[200.0]), 170.0, 242.0), &s);
        assert_eq!(openings(&o.value), [[170.0, 200.0], [200.0, 242.0]]);
        assert_eq!(with(&o.findings, "dxf-opening-over-seam").len(), 1);
    }

    #[test]
    fn what_lies_on_no_wall_is_an_error() {
        // The lower wall ends at 200 or, beyond a gap that the window does not fill, goes on at 300.
        for on in [None, Some(300.0)] {
            let mut d = house(&["A-WALL-2X6"], &[200.0]);
            if let Some(x) = on {
                d = d.line("A-WALL-2X6", [x, 0.0], [480.0, 0.0]);
            }
            let o = ok(&window(d, 150.0, 230.0));
            assert_eq!(openings(&o.value), [[150.0, 200.0]]);
            let told = with(&o.findings, "dxf-opening-cut");
            assert_eq!(told.len(), 1);
            assert!(told[0].message.contains("2'-6\" (762 mm) beyond its wall"), "{}", told[0]);
            assert_eq!(told[0].severity, diag::Severity::Error);
        }
        // Casing over a corner, by no more than 3 in past the other wall's face, is no more than that.
        let o = ok(&window(house(&["A-WALL-2X6"], &[]), 420.0, 485.0));
        assert!(with(&o.findings, "dxf-opening-cut").is_empty());
        let o = ok(&window(house(&["A-WALL-2X6"], &[]), 420.0, 487.0));
        assert_eq!(with(&o.findings, "dxf-opening-cut").len(), 1);
    }

    #[test]
    fn a_gap_that_a_window_reaches_over_is_part_of_it() {
        let d = house(&["A-WALL-2X6"], &[200.0]).line("A-WALL-2X6", [230.0, 0.0], [480.0, 0.0]);
        let o = ok(&window(d, 160.0, 230.0));
        assert_eq!(openings(&o.value), [[160.0, 230.0]]);
        // Casing does not make the opening wider than its gap.
        let d = house(&["A-WALL-2X6"], &[200.0]).line("A-WALL-2X6", [240.0, 0.0], [480.0, 0.0]);
        assert_eq!(openings(&ok(&window(d, 196.0, 244.0)).value), [[200.0, 240.0]]);
    }

    /// A partition meets the wall where its pieces do: the door hard against it stays on its own side.
    #[test]
    fn casing_over_a_partition_at_the_seam_is_no_part() {
        let d =
            house(&["A-WALL-2X6"; 2], &[200.0]).line("A-WALL-2X4", [200.0, 0.0], [200.0, 360.0]);
        let door = |to: f64| d.clone().line("A-DOOR", [160.0, 0.0], [to, 0.0]);
        assert_eq!(openings(&ok(&door(202.0)).value), [[160.0, 200.0]]);
        assert_eq!(openings(&ok(&door(220.0)).value), [[160.0, 220.0]]);
    }
}
