//! Windows that are drawn as lines among the faces of walls.
//!
//! Knows: glass between two jambs, in a gap of both faces or where they run on; frames and sills that look like
//! short walls; jambs with nothing between. Never touches: how faces are paired (`pairing`), symbols. All in inches.

use crate::affine::{Xy, dot, norm, sub};
use crate::facelines::{FaceLine, Family, Piece};
use crate::linework::{Segment, sine_between};
use crate::nearby::LineIndex;
use crate::pairing::{Chain, FoundWall, NARROWEST_IN, WIDEST_JAMBED_IN, WIDEST_PLAIN_IN};
use diag::SourceRef;
use std::collections::BTreeMap;

/// Glass stops this short of the jambs at most: a frame.
pub(crate) const FRAME_IN: f64 = 3.0;
/// Glass lies this near the middle of the wall, as a share of its thickness: finishes and cavities lie farther out.
pub(crate) const MIDDLE: f64 = 0.25;
/// Lines that stop within this of each other stop at the same place.
pub(crate) const SAME_IN: f64 = 1.0;
/// A jamb stops this short of a face, or runs over it, at most: finishes.
pub(crate) const JAMB_IN: [f64; 2] = [0.5, 1.55];
/// Beside both jambs the wall goes on for so much.
pub(crate) const GOES_ON_IN: f64 = 2.0;
/// Sine from which a line is square to a wall.
pub(crate) const SQUARE: f64 = 0.99;
/// A sill stands out from the faces by this much at most, and reaches over the jambs as far.
const SILL_IN: f64 = 4.0;
/// Between two openings no studs find room in less than this: two trimmers.
const POST_IN: f64 = 3.0;
/// Glass is broken by so much at most where a mullion stands between two panes of one window.
const MULLION_IN: f64 = 4.5;
/// The pieces of a face meet within this where it is broken for a window without jambs, and its glass ends there.
const BROKEN_IN: f64 = 0.25;
/// So many pieces of a face are looked back for one that goes over such a place.
const MOST_PIECES: usize = 64;
/// Coordinates closer than this are the same.
pub(crate) const SAME_OFFSET_IN: f64 = 1.0 / 16.0;

/// A place between two jambs of a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pane {
    /// The jambs, on the centreline.
    pub jambs: [Xy; 2],
    /// Whether glass is drawn between them.
    pub glass: bool,
    /// The layer of the glass, where it is another than the wall's.
    pub layer: Option<u32>,
    /// Whether that glass is one line in a gap, which may be other things.
    pub lone: bool,
}

/// Where glass is drawn between the faces of a wall, as stations.
pub(crate) fn panes(
    family: &Family,
    chain: &Chain,
    lines: &[Segment],
    index: &LineIndex,
) -> Vec<[f64; 2]> {
    let mut out: Vec<[f64; 2]> = Vec::new();
    let (Some(low), Some(high)) = (family.lines.get(chain.low), family.lines.get(chain.high))
    else {
        return out;
    };
    let (middle, thick) = ((low.offset + high.offset) / 2.0, high.offset - low.offset);
    let [from, to] = chain.ends();
    let wall = [low.offset, high.offset];
    for between in family.lines.get(chain.low + 1..chain.high).unwrap_or_default() {
        if (between.offset - middle).abs() > thick * MIDDLE + SAME_OFFSET_IN {
            continue;
        }
        let first = between.spans.partition_point(|s| s[1] < from);
        let inside = between.spans.iter().skip(first).take_while(|s| s[0] < to);
        let at = |station, way| jamb(family, wall, (station, way), lines, index);
        let post = |a, b| at(a, 1.0).is_some() || at(b, -1.0).is_some();
        for s in over_mullions(inside.copied().collect(), &post) {
            let wide = s[1] - s[0];
            if !(NARROWEST_IN - 2.0 * FRAME_IN..=WIDEST_JAMBED_IN).contains(&wide) {
                continue;
            }
            let gap = gap_of(s, &chain.gaps);
            let jambs = || {
                let found = [at(s[0], -1.0)?, at(s[1], 1.0)?];
                let goes_on = |l: &FaceLine| l.covers(found[0] - GOES_ON_IN, found[1] + GOES_ON_IN);
                let wide = (NARROWEST_IN..=WIDEST_JAMBED_IN).contains(&(found[1] - found[0]));
                (wide && goes_on(low) && goes_on(high)).then_some(found)
            };
            // Without jambs, where the wall's own lines are broken for those of the window.
            let broken = || {
                let wide = (NARROWEST_IN..=WIDEST_JAMBED_IN).contains(&wide);
                let apart = |l: &FaceLine| {
                    s.iter().all(|at| is_broken_at(l, *at))
                        && l.covers(s[0] - GOES_ON_IN, s[1] + GOES_ON_IN)
                };
                (wide && apart(low) && apart(high)).then_some(s)
            };
            let Some(pane) = gap.or_else(jambs).or_else(broken) else { continue };
            let same = |p: &[f64; 2]| pane.iter().zip(p).all(|(a, b)| (a - b).abs() <= SAME_IN);
            if !out.iter().any(same) {
                out.push(pane);
            }
        }
    }
    out.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    out
}

/// Whether a face is drawn in pieces that meet at a station, none of which goes over it.
fn is_broken_at(face: &FaceLine, station: f64) -> bool {
    let first = face.pieces.partition_point(|p| p.from < station - BROKEN_IN);
    let begins = face.pieces.get(first).is_some_and(|p| p.from <= station + BROKEN_IN);
    let before = || face.pieces.get(..first).unwrap_or_default().iter().rev().take(MOST_PIECES);
    begins
        && before().any(|p| (p.to - station).abs() <= BROKEN_IN)
        && !before().any(|p| p.to > station + BROKEN_IN)
}

/// The gap that a stretch of glass fills but for its frame.
pub(crate) fn gap_of(glass: [f64; 2], gaps: &[[f64; 2]]) -> Option<[f64; 2]> {
    let fits = |g: &&[f64; 2]| g.iter().zip(glass).all(|(a, b)| (a - b).abs() <= FRAME_IN);
    gaps.iter().find(fits).copied()
}

/// Stretches of glass in one line, put together across mullions. A post through the whole wall (`post`, between two
/// stations) ends a window where studs find room in it.
pub(crate) fn over_mullions(
    spans: Vec<[f64; 2]>,
    post: &dyn Fn(f64, f64) -> bool,
) -> Vec<[f64; 2]> {
    let mut out: Vec<[f64; 2]> = Vec::new();
    for s in spans {
        match out.last_mut() {
            Some(last)
                if s[0] - last[1] <= POST_IN
                    || (s[0] - last[1] <= MULLION_IN && !post(last[1], s[0])) =>
            {
                last[1] = last[1].max(s[1]);
            }
            _ => out.push(s),
        }
    }
    out
}

/// Gaps of a chain with no more between them than a mullion are one.
pub(crate) fn join_over_mullions(chain: &mut Chain) {
    let mut joined: Vec<[f64; 2]> = Vec::new();
    for g in std::mem::take(&mut chain.gaps) {
        match joined.last_mut() {
            Some(last) if g[0] - last[1] <= POST_IN && g[1] - last[0] <= WIDEST_JAMBED_IN => {
                let stands = [last[1], g[0]];
                chain.stretches.retain(|s| s[0] < stands[0] - 1e-9 || s[1] > stands[1] + 1e-9);
                last[1] = g[1];
            }
            _ => joined.push(g),
        }
    }
    chain.gaps = joined;
}

/// Lines about a window that lie outside its wall: its sill, its trim. They end no farther from it than these.
pub(crate) fn mark_sills(
    lines: &[Segment],
    walls: &[FoundWall],
    used: &[f64],
    inside: &mut [bool],
) {
    let windows: Vec<(&FoundWall, &Pane)> = walls
        .iter()
        .flat_map(|w| w.panes.iter().filter(|p| p.glass).map(move |p| (w, p)))
        .collect();
    if windows.is_empty() {
        return;
    }
    let axes: Vec<Segment> =
        windows.iter().map(|(_, p)| Segment { a: p.jambs[0], b: p.jambs[1] }).collect();
    let index = LineIndex::new(&axes);
    let widest = windows.iter().map(|(w, _)| w.overall).fold(0.0, f64::max);
    for (i, g) in lines.iter().enumerate() {
        let idle = used.get(i).is_some_and(|u| *u <= 0.0) && inside.get(i) == Some(&false);
        let is_sill = |n: u32| {
            let Some(((wall, _), axis)) = windows.get(n as usize).zip(axes.get(n as usize)) else {
                return false;
            };
            let along = sub(axis.b, axis.a);
            let length = norm(along).max(1e-9);
            [g.a, g.b].iter().all(|p| {
                let d = sub(*p, axis.a);
                let (s, o) = (dot(d, along) / length, dot(d, [-along[1], along[0]]) / length);
                o.abs() <= wall.overall / 2.0 + SILL_IN && s >= -SILL_IN && s <= length + SILL_IN
            })
        };
        let near = || index.near_line(g, widest / 2.0 + SILL_IN).into_iter();
        if idle
            && near().any(is_sill)
            && let Some(slot) = inside.get_mut(i)
        {
            *slot = true;
        }
    }
}

/// The nearest line across the whole wall at a station, or up to a frame's width beyond it.
fn jamb(
    family: &Family,
    [low, high]: [f64; 2],
    (station, way): (f64, f64),
    lines: &[Segment],
    index: &LineIndex,
) -> Option<f64> {
    let left = family.left();
    let p = family.at(station, (low + high) / 2.0);
    let near = index.near(&[p], FRAME_IN).into_iter().filter_map(|i| lines.get(i as usize));
    let stations = near.filter_map(|g| {
        let (a, b) = (dot(g.a, left), dot(g.b, left));
        let [bottom, top] = [a.min(b), a.max(b)];
        let [short, over] = JAMB_IN;
        let whole = bottom <= low + short && top >= high - short;
        let own = bottom >= low - over && top <= high + over;
        if !whole || !own || sine_between(family.dir, sub(g.b, g.a)) < SQUARE {
            return None;
        }
        let at = (dot(g.a, family.dir) + dot(g.b, family.dir)) / 2.0;
        (-SAME_IN..=FRAME_IN).contains(&((at - station) * way)).then_some(at)
    });
    stations.min_by(|a, b| (a - station).abs().total_cmp(&(b - station).abs()).then(a.total_cmp(b)))
}

/// Chains that are a window's frame, sash or sill: they lie in a gap of another wall, along it, or where its faces
/// run on beside them. The second are the drawn lines that these are of.
pub(crate) fn without_sashes(
    family: &Family,
    chains: Vec<Chain>,
    known: &dyn Fn(f64) -> bool,
) -> (Vec<Chain>, Vec<usize>) {
    let offsets = |c: &Chain| {
        let offset = |k: usize| family.lines.get(k).map_or(f64::INFINITY, |l| l.offset);
        [offset(c.low), offset(c.high)]
    };
    let mut gaps: Vec<(usize, [f64; 2])> = Vec::new();
    for (n, c) in chains.iter().enumerate() {
        gaps.extend(c.gaps.iter().chain(&c.run_on).map(|g| (n, *g)));
    }
    if gaps.is_empty() {
        return (chains, Vec::new());
    }
    let axes: Vec<Segment> = gaps
        .iter()
        .map(|(n, g)| {
            let [low, high] = chains.get(*n).map_or([0.0; 2], offsets);
            let at = |s: f64| family.at(s, (low + high) / 2.0);
            Segment { a: at(g[0]), b: at(g[1]) }
        })
        .collect();
    let index = LineIndex::new(&axes);
    let is_sash = |n: usize, c: &Chain, [from, to]: [f64; 2]| {
        let [low, high] = offsets(c);
        if to - from > WIDEST_JAMBED_IN + 2.0 * SILL_IN {
            return false;
        }
        let middle = family.at((from + to) / 2.0, (low + high) / 2.0);
        let around = index.near(&[middle], SILL_IN + (high - low) / 2.0).into_iter();
        around.filter_map(|i| gaps.get(i as usize)).any(|(m, g)| {
            let Some(wall) = chains.get(*m).filter(|_| *m != n).map(offsets) else { return false };
            let over = high.min(wall[1]) - low.max(wall[0]);
            let near = low >= wall[0] - SILL_IN && high <= wall[1] + SILL_IN;
            let between = from >= g[0] - SILL_IN && to <= g[1] + SILL_IN;
            // Lines farther apart than any framed wall around a wall that could be one say nothing against it.
            let likelier = known(wall[1] - wall[0]) || !known(high - low);
            likelier && near && between && over >= (high - low) / 4.0
        })
    };
    // Two windows of one wall look like one wall with a gap.
    let all = |(n, c): (usize, &Chain)| c.stretches.iter().all(|s| is_sash(n, c, *s));
    let sash: Vec<bool> = chains.iter().enumerate().map(all).collect();
    let mut lines: Vec<usize> = Vec::new();
    let mut kept: Vec<Chain> = Vec::with_capacity(chains.len());
    for (c, sash) in chains.into_iter().zip(sash) {
        if !sash {
            kept.push(c);
            continue;
        }
        let [from, to] = c.ends();
        let beside = |p: &&Piece| p.from < to && p.to > from;
        for face in [c.low, c.high].into_iter().filter_map(|k| family.lines.get(k)) {
            lines.extend(face.pieces.iter().filter(beside).map(|p| p.line));
        }
    }
    (kept, lines)
}

/// Where a line crosses a wall from face to face, square to it: the station on its centreline.
pub(crate) fn crosses(wall: &FoundWall, g: &Segment) -> Option<f64> {
    let along = sub(wall.line.b, wall.line.a);
    let (length, own) = (norm(along), sub(g.b, g.a));
    let square = sine_between(along, own) >= SQUARE;
    let whole = norm(own) >= wall.thickness - 2.0 * JAMB_IN[0];
    let middle = [(g.a[0] + g.b[0]) / 2.0, (g.a[1] + g.b[1]) / 2.0];
    (square && whole && length > 0.0).then(|| dot(sub(middle, wall.line.a), along) / length)
}

/// The places between two such lines next to each other, as far apart as jambs, that nothing else explains.
pub(crate) fn bare_panes(wall: &FoundWall, mut stations: Vec<f64>) -> Vec<Pane> {
    stations.sort_by(f64::total_cmp);
    let along = sub(wall.line.b, wall.line.a);
    let length = norm(along).max(1e-9);
    let station = |p: Xy| dot(sub(p, wall.line.a), along) / length;
    let known: Vec<f64> = wall
        .gaps
        .iter()
        .chain(wall.panes.iter().map(|p| &p.jambs))
        .flat_map(|g| g.map(station))
        .collect();
    // What closes the wall, or is a corner's, is no jamb.
    let end = wall.overall + SAME_IN;
    stations.retain(|s| {
        *s > end && *s < length - end && known.iter().all(|k| (k - s).abs() > FRAME_IN)
    });
    stations.dedup_by(|a, b| (*a - *b).abs() <= SAME_IN);
    let at =
        |s: f64| [wall.line.a[0] + along[0] * s / length, wall.line.a[1] + along[1] * s / length];
    let jambs = |a: f64, b: f64| {
        let wide = (NARROWEST_IN..=WIDEST_PLAIN_IN).contains(&(b - a));
        wide && known.iter().all(|k| *k <= a || *k >= b)
    };
    let (mut out, mut open) = (Vec::new(), None);
    for s in stations {
        // Each line is a jamb of one place: what is between two windows is none.
        open = match open {
            Some(a) if jambs(a, s) => {
                out.push(Pane { jambs: [at(a), at(s)], glass: false, layer: None, lone: false });
                None
            }
            _ => Some(s),
        };
    }
    out
}

/// What became of the panes of each layer.
#[derive(Debug, Default)]
pub(crate) struct PaneTally {
    /// By layer, with glass or without, which may be a lone line: how many, and the first of them with its wall's line.
    pub layers: BTreeMap<(u32, bool, bool), (usize, Pane, SourceRef)>,
}

impl PaneTally {
    /// Takes note of one.
    pub fn add(&mut self, layer: u32, pane: &Pane, source: SourceRef) {
        let new = || (0, *pane, source.clone());
        let slot = self.layers.entry((layer, pane.glass, pane.lone)).or_insert_with(new);
        slot.0 += 1;
        let [a, b] = [pane, &slot.1].map(|p| p.jambs[0]);
        if a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).is_lt() {
            (slot.1, slot.2) = (*pane, source);
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use wall_model::OpeningKind;

    /// A house of faces 5-1/2 in apart, 40 by 30 ft; the lower wall is broken from 200 to 248, or runs on.
    pub(crate) fn house(broken: bool) -> Dxf {
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.line("A-WALL", [x1, y0], [x1, y1]).line("A-WALL", [x1, y1], [x0, y1]);
            d = d.line("A-WALL", [x0, y1], [x0, y0]);
            d = match broken {
                true => {
                    d.line("A-WALL", [x0, y0], [200.0, y0]).line("A-WALL", [248.0, y0], [x1, y0])
                }
                false => d.line("A-WALL", [x0, y0], [x1, y0]),
            };
        }
        d
    }
    fn jambs(d: Dxf) -> Dxf {
        d.line("A-WALL", [200.0, 0.0], [200.0, 5.5]).line("A-WALL", [248.0, 5.5], [248.0, 0.0])
    }
    /// Along the wall, from jamb to jamb but for `frame`.
    fn glass(d: Dxf, frame: f64, heights: &[f64]) -> Dxf {
        let along = |d: Dxf, y: &f64| d.line("A-WALL", [200.0 + frame, *y], [248.0 - frame, *y]);
        heights.iter().fold(d, along)
    }
    pub(crate) fn openings(d: &Dxf) -> Vec<(OpeningKind, f64, f64)> {
        let walls = ok(d).value.walls;
        assert_eq!(walls.len(), 4, "walls");
        let of = walls.iter().flat_map(|w| &w.openings);
        of.map(|o| (o.kind, o.from.to_inches(), o.to.to_inches())).collect()
    }
    /// The wall begins at its centreline's corner, 2-3/4 in from the outer face.
    pub(crate) const WINDOW: (OpeningKind, f64, f64) = (OpeningKind::Window, 197.25, 245.25);

    #[test]
    fn glass_between_jambs_is_a_window_though_the_faces_run_on() {
        for (frame, heights) in
            [(0.0, &[2.75][..]), (1.5, &[2.75]), (0.0, &[2.0, 3.5]), (0.0, &[0.0, 2.75, 5.5])]
        {
            let d = glass(jambs(house(false)), frame, heights);
            assert_eq!(openings(&d), [WINDOW], "{heights:?}");
            assert_eq!(with(&ok(&d).findings, "dxf-windows-by-shape").len(), 1);
        }
        // The faces drawn anew between the jambs, and turned.
        let d = glass(jambs(house(true)), 0.0, &[0.0, 2.75, 5.5]);
        assert_eq!(openings(&d), [WINDOW]);
    }

    #[test]
    fn glass_without_jambs_is_a_window_where_both_faces_are_broken_for_it() {
        let sills = |broken: bool| glass(house(broken), 0.0, &[0.0, 5.5]);
        for heights in [&[2.75][..], &[1.93, 3.57], &[1.6, 2.75, 3.9]] {
            let d = glass(sills(true), 0.0, heights);
            assert_eq!(openings(&d), [WINDOW], "{heights:?}");
            assert_eq!(with(&ok(&d).findings, "dxf-windows-by-shape").len(), 1);
            // Faces that go on, with lines over them or without.
            for d in [house(false), sills(false)] {
                assert_eq!(openings(&glass(d, 0.0, heights)), []);
            }
        }
        // Nothing between the faces, or lines that stop elsewhere.
        assert_eq!(openings(&sills(true)), []);
        assert_eq!(openings(&glass(sills(true), 6.0, &[2.75])), []);
    }

    #[test]
    fn glass_in_a_gap_names_it_and_frames_and_sills_are_no_walls() {
        let gap = jambs(house(true));
        assert_eq!(openings(&gap), [(OpeningKind::Opening, 197.25, 245.25)]);
        assert_eq!(openings(&glass(gap.clone(), 0.0, &[2.75])), [WINDOW]);
        let sash = [[200.0, 1.25], [248.0, 1.25], [248.0, 4.25], [200.0, 4.25]];
        let sash = glass(gap.clone().polyline("A-WALL", &sash, true), 0.0, &[2.75]);
        assert_eq!(openings(&sash), [WINDOW]);
        assert!(with(&ok(&sash).findings, "section-unknown").is_empty());
        // Glass 2-3/4 in from the face, a sill 2 in outside it.
        let sill = gap
            .line("A-WALL", [198.0, -2.0], [250.0, -2.0])
            .line("A-WALL", [198.0, -2.0], [198.0, 0.0])
            .line("A-WALL", [250.0, -2.0], [250.0, 0.0]);
        assert_eq!(openings(&glass(sill, 0.0, &[2.75])), [WINDOW]);
    }

    #[test]
    fn a_mullion_does_not_end_a_window() {
        // Through the whole wall or as deep as the frame, in a gap or where the faces run on.
        for (broken, [low, high]) in
            [(true, [0.0, 5.5]), (false, [0.0, 5.5]), (false, [1.5, 4.0]), (true, [1.5, 4.0])]
        {
            let panes = jambs(house(broken)).line("A-WALL", [200.0, 2.75], [223.0, 2.75]);
            let panes = panes.line("A-WALL", [225.0, 2.75], [248.0, 2.75]);
            let mullion = [[223.0, low], [225.0, low], [225.0, high], [223.0, high]];
            let d = panes.polyline("A-WALL", &mullion, true);
            assert_eq!(openings(&d), [WINDOW], "{broken} {low}");
            assert!(with(&ok(&d).findings, "dxf-jambs-bare").is_empty());
        }
        // Studs find room in a post.
        let d = jambs(house(true)).line("A-WALL", [200.0, 2.75], [221.0, 2.75]);
        let post = [[221.0, 0.0], [227.0, 0.0], [227.0, 5.5], [221.0, 5.5]];
        let d = d.line("A-WALL", [227.0, 2.75], [248.0, 2.75]).polyline("A-WALL", &post, true);
        assert_eq!(openings(&d).len(), 2);
    }

    #[test]
    fn sills_are_no_faces_left_over() {
        for (broken, sill) in [
            (true, &[[198.0, 0.0], [198.0, -2.0], [250.0, -2.0], [250.0, 0.0]][..]),
            (false, &[[198.0, 0.0], [198.0, -2.0], [250.0, -2.0], [250.0, 0.0]]),
            (true, &[[197.0, -3.0], [251.0, -3.0]]),
        ] {
            let d = glass(jambs(house(broken)), 0.0, &[2.75]).polyline("A-WALL", sill, false);
            assert_eq!(openings(&d), [WINDOW]);
            let findings = ok(&d).findings;
            assert!(with(&findings, "dxf-face-lines-left").is_empty(), "{broken} {sill:?}");
            assert!(with(&findings, "section-unknown").is_empty(), "{broken} {sill:?}");
        }
    }

    #[test]
    fn a_symbol_there_says_what_it_is() {
        let d = glass(jambs(house(true)), 0.0, &[2.75]).line("A-DOOR", [200.0, 0.5], [248.0, 0.5]);
        assert_eq!(openings(&d), [(OpeningKind::Door, 197.25, 245.25)]);
        assert!(with(&ok(&d).findings, "dxf-windows-by-shape").is_empty());
    }

    #[test]
    fn jambs_with_nothing_between_are_told() {
        let d = jambs(house(false));
        assert_eq!(openings(&d), []);
        let o = ok(&d);
        let told = with(&o.findings, "dxf-jambs-bare");
        assert!(told[0].message.contains("1 place"), "{}", told[0].message);
        assert!(told[0].message.contains("4'-0\""), "{}", told[0].message);
        // Posts in a wall are none.
        let post = |d: Dxf, x: f64| {
            d.polyline("A-WALL", &[[x, 0.0], [x + 5.5, 0.0], [x + 5.5, 5.5], [x, 5.5]], true)
        };
        let d = [100.0, 160.0].into_iter().fold(house(false), post);
        assert!(with(&ok(&d).findings, "dxf-jambs-bare").is_empty());
        // Where a symbol lies there, nothing is amiss.
        let d = jambs(house(false)).line("A-GLAZ", [200.0, 2.75], [248.0, 2.75]);
        assert_eq!(openings(&d), [WINDOW]);
        assert!(with(&ok(&d).findings, "dxf-jambs-bare").is_empty());
    }

    #[test]
    fn finishes_cavities_and_piers_are_no_glass() {
        // Finish lines of the pier between two gaps, 248 to 288, end at both its jambs.
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.line("A-WALL", [x1, y0], [x1, y1]).line("A-WALL", [x1, y1], [x0, y1]);
            d = d.line("A-WALL", [x0, y1], [x0, y0]).line("A-WALL", [x0, y0], [200.0, y0]);
            d = d.line("A-WALL", [248.0, y0], [288.0, y0]).line("A-WALL", [336.0, y0], [x1, y0]);
        }
        for x in [200.0, 248.0, 288.0, 336.0] {
            d = d.line("A-WALL", [x, 0.0], [x, 5.5]);
        }
        let gap = |from, to| (OpeningKind::Opening, from, to);
        for within in [&[0.625, 4.875][..], &[2.75]] {
            let along = |d: Dxf, y: &f64| d.line("A-WALL", [248.0, *y], [288.0, *y]);
            let pier = within.iter().fold(d.clone(), along);
            assert_eq!(openings(&pier), [gap(197.25, 245.25), gap(285.25, 333.25)], "{within:?}");
        }
        // A line along the whole wall is no glass, nor is one without jambs.
        let whole = house(false).line("A-WALL", [5.5, 2.75], [474.5, 2.75]);
        assert_eq!(openings(&whole), []);
        assert_eq!(openings(&glass(house(false), 0.0, &[2.75])), []);
    }

    #[test]
    fn doorways_side_by_side_stay_two_where_studs_or_a_wall_stand_between() {
        // Doorways from 120 to 160 and on from 160 and a post to 200 and a post, symbols or none.
        let doorways = |post: f64, partition: bool| {
            let mut d = Dxf::inches();
            for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
                d = d.line("A-WALL", [x1, y0], [x1, y1]);
                d = d.line("A-WALL", [x0, y1], [x0, y0]).line("A-WALL", [x0, y0], [120.0, y0]);
                d = d.line("A-WALL", [160.0, y0], [160.0 + post, y0]);
                d = d.line("A-WALL", [200.0 + post, y0], [x1, y0]);
                d = match partition && y1 < 360.0 {
                    true => d.line("A-WALL", [x1, y1], [160.0 + post, y1]).line(
                        "A-WALL",
                        [160.0, y1],
                        [x0, y1],
                    ),
                    false => d.line("A-WALL", [x1, y1], [x0, y1]),
                };
            }
            for x in [120.0, 160.0, 160.0 + post, 200.0 + post] {
                d = d.line("A-WALL", [x, 0.0], [x, 5.5]);
            }
            if partition {
                for x in [160.0, 160.0 + post] {
                    d = d.line("A-WALL", [x, 5.5], [x, 354.5]);
                }
            }
            d
        };
        let gap = |from, to| (OpeningKind::Opening, from, to);
        assert_eq!(openings(&doorways(2.0, false)), [gap(117.25, 199.25)]);
        assert_eq!(openings(&doorways(4.0, false)), [gap(117.25, 157.25), gap(161.25, 201.25)]);
        // Each with its door.
        let doors = |post: f64| {
            let d = doorways(post, false).line("A-DOOR", [120.0, 2.0], [160.0, 2.0]);
            openings(&d.line("A-DOOR", [160.0 + post, 2.0], [200.0 + post, 2.0]))
        };
        let door = |from, to| (OpeningKind::Door, from, to);
        assert_eq!(doors(2.0), [door(117.25, 199.25)]);
        assert_eq!(doors(4.0), [door(117.25, 157.25), door(161.25, 201.25)]);
        // One wall of 2-1/2 in that ends between them: nothing goes over it.
        for post in [2.5, 3.0] {
            let o = ok(&doorways(post, true));
            let of = o.value.walls.iter().flat_map(|w| &w.openings);
            let wide: Vec<f64> = of.map(|o| (o.to - o.from).to_inches()).collect();
            assert!(wide.iter().all(|w| *w < 50.0), "{post} {wide:?}");
        }
    }
}
