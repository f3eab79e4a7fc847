//! Sliding doors: panels beside each other in a doorway, each over a part of it.
//!
//! Knows: thin outlines that overlap a little and stand a panel's thickness apart, which of these close one doorway,
//! and where they are rather the sashes of a window. Never touches: which wall they are in. All in inches.
//!
//! Glass runs the whole width between its jambs. Panels on two tracks run past each other: each takes a part of the
//! width, and they overlap by no more than their stiles.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::glass::FRAME_IN;
use crate::layers::Usage;
use crate::linework::{Segment, sine_between};
use crate::nearby::{LineIndex, by_ends, ordered};
use crate::openings::{Symbol, Told, root, unite};
use crate::pairing::WIDEST_JAMBED_IN;
use crate::survey::Survey;
use crate::walls::in_inches;
use limits::Watch;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use wall_model::OpeningKind;

/// Length of one panel (common practice, no source).
const PANEL_IN: RangeInclusive<f64> = 14.0..=75.0;
/// Thickness of one.
const THICK_IN: RangeInclusive<f64> = 0.5..=2.5;
/// Panels run past each other by so much.
const OVERLAP_IN: RangeInclusive<f64> = 0.25..=12.0;
/// And by no more than this share of the shorter one.
const OVERLAP: f64 = 0.35;
/// Air between two panels.
const AIR_IN: f64 = 1.75;
/// Middles of two panels on two tracks are at least so far apart.
const TRACKS_IN: f64 = 0.4;
/// Corners of one outline meet within this.
const TOUCH_IN: f64 = 0.125;
/// Panels on one track that close against each other come so near.
const MEET_IN: f64 = 0.5;
/// No doorway has more panels.
const MOST_PANELS: usize = 8;
/// Lines on both sides this far from the panels at most are sills, or faces of the wall that run on.
const SILL_IN: f64 = 8.0;
/// Sliding doors for going out are no narrower: 5 ft (common practice, no source).
const DOOR_IN: f64 = 60.0;

/// One panel.
struct Panel {
    /// Along its middle.
    line: Segment,
    thick: f64,
    /// What it is drawn with: shapes, or a symbol.
    of: Vec<usize>,
}

impl Panel {
    fn dir(&self) -> Xy {
        let along = sub(self.line.b, self.line.a);
        let length = norm(along).max(1e-9);
        [along[0] / length, along[1] / length]
    }
}

/// Which panels close one doorway, each group in the order of the panels. Breaks off when time is up.
fn doorways(panels: &[Panel], watch: &Watch) -> Vec<Vec<usize>> {
    let lines: Vec<Segment> = panels.iter().map(|p| p.line).collect();
    let index = LineIndex::new(&lines);
    let mut group: Vec<usize> = (0..panels.len()).collect();
    let mut beside = vec![false; panels.len()];
    let mut meet: Vec<[usize; 2]> = Vec::new();
    for (i, p) in panels.iter().enumerate() {
        if watch.is_over() {
            return Vec::new();
        }
        let dir = p.dir();
        let length = norm(sub(p.line.b, p.line.a));
        for j in index.near_line(&p.line, *THICK_IN.end() + AIR_IN).into_iter().map(|j| j as usize)
        {
            let Some(o) = panels.get(j).filter(|_| j > i) else { continue };
            let other = sub(o.line.b, o.line.a);
            if sine_between(dir, other) > 0.01 {
                continue;
            }
            let at = [o.line.a, o.line.b].map(|q| dot(sub(q, p.line.a), dir));
            let span = [at[0].min(at[1]), at[0].max(at[1])];
            let over = span[1].min(length) - span[0].max(0.0);
            let apart = cross(dir, sub(o.line.a, p.line.a)).abs();
            let most = OVERLAP * length.min(span[1] - span[0]);
            let tracks = TRACKS_IN..=(p.thick + o.thick) / 2.0 + AIR_IN;
            if tracks.contains(&apart) && OVERLAP_IN.contains(&over) && over <= most {
                unite(&mut group, i, j);
                (beside[i], beside[j]) = (true, true);
            } else if apart < TRACKS_IN && (-MEET_IN..=TOUCH_IN).contains(&over) {
                meet.push([i, j]);
            }
        }
    }
    for [i, j] in meet.into_iter().filter(|m| m.iter().all(|i| beside[*i])) {
        unite(&mut group, i, j);
    }
    let mut out: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in (0..panels.len()).filter(|i| beside[*i]) {
        out.entry(root(&mut group, i)).or_default().push(i);
    }
    let fits = |own: &Vec<usize>| {
        let corners = own.iter().filter_map(|i| lines.get(*i)).flat_map(|g| [g.a, g.b]);
        let first = own.first().and_then(|i| panels.get(*i));
        let along: Vec<f64> = match first {
            Some(p) => corners.map(|c| dot(c, p.dir())).collect(),
            None => Vec::new(),
        };
        let least = along.iter().copied().fold(f64::INFINITY, f64::min);
        let most = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        own.len() <= MOST_PANELS && most - least <= WIDEST_JAMBED_IN
    };
    out.into_values().filter(fits).collect()
}

/// From the end that comes first.
fn in_order(g: Segment) -> Segment {
    let place = |p: Xy| p.map(ordered);
    if place(g.b) < place(g.a) { Segment { a: g.b, b: g.a } } else { g }
}

/// The lines of a drawing that may be panels' sides or ends.
#[derive(Default)]
struct Parts {
    long: Vec<(Segment, usize)>,
    short: Vec<(Segment, usize)>,
}

impl Parts {
    fn of(s: &Survey<'_>, k: f64, usable: &dyn Fn(usize) -> bool) -> Parts {
        let lines = &s.drawing.lines;
        let mut out = Parts::default();
        let square = |range: &RangeInclusive<f64>| {
            let [from, to] = [range.start(), range.end()].map(|v| v / k);
            from * from..=to * to
        };
        let (long, short) = (square(&PANEL_IN), square(&THICK_IN));
        for i in 0..lines.shapes.len() {
            // More sides than a panel has: an outline of something else.
            let sides = lines.segments_of(i).len();
            if sides == 0 || sides > 5 || !lines.arcs_of(i).is_empty() {
                continue;
            }
            let mut asked = None;
            for g in lines.segments_of(i).filter_map(|j| lines.segments.get(j)) {
                let along = sub(g.b, g.a);
                let length = dot(along, along);
                let (is_long, is_short) = (long.contains(&length), short.contains(&length));
                // Most lines are neither.
                if (is_long || is_short) && *asked.get_or_insert_with(|| usable(i)) {
                    let list = if is_long { &mut out.long } else { &mut out.short };
                    list.push((in_order(in_inches(*g, k)), i));
                }
            }
        }
        out
    }

    /// Two sides with an end between them, or two ends.
    fn panels(mut self, s: &Survey<'_>, k: f64) -> Vec<Panel> {
        if self.long.len() < 4 || self.short.len() < 2 {
            return Vec::new();
        }
        let ends: Vec<Segment> = self.short.iter().map(|x| x.0).collect();
        let ends_index = LineIndex::new(&ends);
        let near = |p: Xy, q: Xy| norm(sub(p, q)) <= TOUCH_IN;
        let at = |p: Xy| {
            let numbers = ends_index.near(&[p], TOUCH_IN).into_iter().map(|j| j as usize);
            numbers
                .filter_map(|j| self.short.get(j))
                .filter(move |x| near(x.0.a, p) || near(x.0.b, p))
        };
        let mut long = std::mem::take(&mut self.long);
        long.retain(|(g, _)| at(g.a).next().is_some() || at(g.b).next().is_some());
        long.sort_by_key(|(g, shape)| (by_ends(g), *shape));
        let sides: Vec<Segment> = long.iter().map(|x| x.0).collect();
        let index = LineIndex::new(&sides);
        let mut out: Vec<Panel> = Vec::new();
        for (i, (g, shape)) in long.iter().enumerate() {
            if s.watch.is_over() {
                return Vec::new();
            }
            for (h, other) in index
                .near_line(g, *THICK_IN.end())
                .into_iter()
                .filter(|j| *j as usize > i)
                .filter_map(|j| long.get(j as usize))
            {
                let along = sub(g.b, g.a);
                let (p, q) = (sub(h.a, g.a), sub(h.b, g.b));
                let thick = norm(p);
                let alike = norm(sub(p, q)) <= TOUCH_IN;
                if !THICK_IN.contains(&thick) || !alike || sine_between(along, p) < 0.99 {
                    continue;
                }
                let ending =
                    |p: Xy, q: Xy| at(p).find(|x| near(x.0.a, q) || near(x.0.b, q)).map(|x| x.1);
                let ends = [ending(g.a, h.a), ending(g.b, h.b)];
                if ends == [None, None] {
                    continue;
                }
                let middle = |p: Xy, q: Xy| [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
                let line = Segment { a: middle(g.a, h.a), b: middle(g.b, h.b) };
                let mut of = vec![*shape, *other];
                of.extend(ends.into_iter().flatten());
                of.sort_unstable();
                of.dedup();
                let panel = Panel { line, thick, of };
                if of_itself(s, k, &panel) {
                    out.push(panel);
                }
            }
        }
        out.sort_by_key(|p| by_ends(&p.line));
        // Drawn twice.
        out.dedup_by(|b, a| {
            let same = near(a.line.a, b.line.a) && near(a.line.b, b.line.b);
            if same {
                a.of.append(&mut b.of);
            }
            same
        });
        out
    }
}

/// Whether all that its shapes draw is this panel.
fn of_itself(s: &Survey<'_>, k: f64, panel: &Panel) -> bool {
    let lines = &s.drawing.lines;
    let own = panel.of.iter().flat_map(|i| lines.segments_of(*i));
    let mut own = own.filter_map(|j| lines.segments.get(j)).map(|g| in_inches(*g, k));
    own.all(|g| lies_in(&g, &panel.line, panel.thick))
}

/// Whether a line lies within a panel.
fn lies_in(g: &Segment, line: &Segment, thick: f64) -> bool {
    let along = sub(line.b, line.a);
    let length = norm(along).max(1e-9);
    [g.a, g.b].iter().all(|p| {
        let d = sub(*p, line.a);
        let (at, off) = (dot(d, along) / length, cross(along, d) / length);
        at >= -TOUCH_IN && at <= length + TOUCH_IN && off.abs() <= thick / 2.0 + TOUCH_IN
    })
}

/// The sliding doors among the shapes that `usable` admits, in drawing units.
pub(crate) fn find(s: &Survey<'_>, k: f64, usable: &dyn Fn(usize) -> bool) -> Vec<Symbol> {
    let panels = Parts::of(s, k, usable).panels(s, k);
    let doors = doorways(&panels, s.watch);
    if doors.is_empty() {
        return Vec::new();
    }
    let sides = Sides::of(s, k);
    let symbol = |own: &Vec<usize>| {
        let own: Vec<&Panel> = own.iter().filter_map(|i| panels.get(*i)).collect();
        let mut shapes: Vec<usize> = own.iter().flat_map(|p| &p.of).copied().collect();
        shapes.extend(sides.within(&own, usable));
        shapes.sort_unstable();
        shapes.dedup();
        let kind = if sides.make_a_window(&own) { OpeningKind::Window } else { OpeningKind::Door };
        let (segments, arcs) = (own.iter().flat_map(|p| long_sides(p, k)).collect(), Vec::new());
        Symbol { kind, segments, arcs, shapes, told: Told::Panels }
    };
    doors.iter().map(symbol).collect()
}

/// The long sides of a panel, in drawing units.
fn long_sides(p: &Panel, k: f64) -> [Segment; 2] {
    let dir = p.dir();
    let off = |by: f64| {
        let at = |q: Xy| [(q[0] - dir[1] * by) / k, (q[1] + dir[0] * by) / k];
        Segment { a: at(p.line.a), b: at(p.line.b) }
    };
    [off(p.thick / 2.0), off(-p.thick / 2.0)]
}

/// The lines that are drawn about panels.
struct Sides {
    lines: Vec<Segment>,
    shapes: Vec<usize>,
    /// Whether each bounds a wall.
    faces: Vec<bool>,
    index: LineIndex,
}

impl Sides {
    fn of(s: &Survey<'_>, k: f64) -> Sides {
        let all = &s.drawing.lines;
        let (mut lines, mut shapes, mut faces) = (Vec::new(), Vec::new(), Vec::new());
        for (i, shape) in all.shapes.iter().enumerate() {
            let seen = s.fates.get(i).is_some_and(|f| !f.is_unseen());
            let is_used =
                s.unnamed.is_some() && s.fates.get(i) == Some(&crate::account::Fate::Used);
            let face = s.usage(shape.layer) == Usage::Wall || is_used;
            if !seen || !shape.is_line() || s.usage(shape.layer) == Usage::Ignored {
                continue;
            }
            for g in all.segments_of(i).filter_map(|j| all.segments.get(j)) {
                lines.push(in_inches(*g, k));
                shapes.push(i);
                faces.push(face);
            }
        }
        Sides { index: LineIndex::new(&lines), lines, shapes, faces }
    }

    /// Further lines that lie in the panels: their glass.
    fn within(&self, own: &[&Panel], usable: &dyn Fn(usize) -> bool) -> Vec<usize> {
        let mut out = Vec::new();
        for p in own {
            for i in self.index.near_line(&p.line, TOUCH_IN).into_iter().map(|i| i as usize) {
                let (Some(g), Some(shape)) = (self.lines.get(i), self.shapes.get(i)) else {
                    continue;
                };
                if lies_in(g, &p.line, p.thick) && usable(*shape) && self.is_alone(i) {
                    out.push(*shape);
                }
            }
        }
        out
    }
    /// Whether a line is all that its shape draws.
    fn is_alone(&self, i: usize) -> bool {
        let of = |j: Option<usize>| j.and_then(|j| self.shapes.get(j)).copied();
        let own = of(Some(i));
        of(i.checked_sub(1)) != own && of(Some(i + 1)) != own
    }

    /// Whether lines run from jamb to jamb on both sides of the panels, as sills of a window do and faces of a wall
    /// that goes on under it. A doorway as wide as a door for going out may have a threshold on both sides.
    fn make_a_window(&self, own: &[&Panel]) -> bool {
        let Some(first) = own.first() else { return false };
        let (origin, dir) = (first.line.a, first.dir());
        let at = |p: Xy| (dot(sub(p, origin), dir), cross(dir, sub(p, origin)));
        let (mut span, mut outer) = ([f64::INFINITY, f64::NEG_INFINITY], [0.0_f64; 2]);
        for p in own {
            for (s, off) in [at(p.line.a), at(p.line.b)] {
                span = [span[0].min(s), span[1].max(s)];
                outer = [outer[0].min(off - p.thick / 2.0), outer[1].max(off + p.thick / 2.0)];
            }
        }
        let mut found = [[false; 2]; 2];
        let middle = |s: f64| [origin[0] + dir[0] * s, origin[1] + dir[1] * s];
        let around = Segment { a: middle(span[0]), b: middle(span[1]) };
        let reach = SILL_IN + outer[1] - outer[0];
        for i in self.index.near_line(&around, reach).into_iter().map(|i| i as usize) {
            let Some(g) = self.lines.get(i) else { continue };
            if sine_between(dir, sub(g.b, g.a)) > 0.01 {
                continue;
            }
            let ((s, off), (t, _)) = (at(g.a), at(g.b));
            let whole = s.min(t) <= span[0] + FRAME_IN && s.max(t) >= span[1] - FRAME_IN;
            let sides = [outer[0] - off, off - outer[1]];
            for (side, far) in sides.into_iter().enumerate() {
                if whole && (-TOUCH_IN..=SILL_IN).contains(&far) {
                    let face = self.faces.get(i) == Some(&true);
                    found[side][usize::from(face)] = true;
                }
            }
        }
        let narrow = span[1] - span[0] < DOOR_IN;
        let both = found.iter().all(|side| side.contains(&true));
        both && (narrow || found.iter().all(|side| side[1]))
    }
}

/// Puts panels together that are symbols of their own and close one doorway.
pub(crate) fn join(symbols: Vec<Symbol>, watch: &Watch) -> Vec<Symbol> {
    let mut panels: Vec<Panel> =
        symbols.iter().enumerate().filter_map(|(i, x)| panel_of(x, i)).collect();
    if panels.len() < 2 {
        return symbols;
    }
    panels.sort_by(|a, b| by_ends(&a.line).cmp(&by_ends(&b.line)).then_with(|| a.of.cmp(&b.of)));
    let mut out: Vec<Option<Symbol>> = symbols.into_iter().map(Some).collect();
    for own in doorways(&panels, watch) {
        let mut numbers: Vec<usize> =
            own.iter().filter_map(|i| panels.get(*i)).flat_map(|p| &p.of).copied().collect();
        numbers.sort_unstable();
        let kind = |i: &usize| out.get(*i).and_then(|x| Some(x.as_ref()?.kind));
        let first = numbers.first().and_then(kind);
        if numbers.iter().any(|i| kind(i) != first) {
            continue;
        }
        let mut parts = numbers.iter().filter_map(|i| out.get_mut(*i)?.take());
        let Some(mut whole) = parts.next() else { continue };
        for o in parts {
            whole.segments.extend(o.segments);
            whole.shapes.extend(o.shapes);
        }
        if let Some(slot) = numbers.first().and_then(|i| out.get_mut(*i)) {
            *slot = Some(whole);
        }
    }
    out.into_iter().flatten().collect()
}

/// The panel that a whole symbol is.
fn panel_of(x: &Symbol, number: usize) -> Option<Panel> {
    let few = (1..=MOST_PANELS).contains(&x.segments.len()) && x.arcs.is_empty();
    if !few || x.told != Told::Layer {
        return None;
    }
    let length = |g: &Segment| norm(sub(g.b, g.a));
    let longest = x.segments.iter().max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let longest = in_order(*longest);
    let along = sub(longest.b, longest.a);
    let dir = [along[0] / length(&longest).max(1e-9), along[1] / length(&longest).max(1e-9)];
    let (span, off) = crate::openings::laid_along(x, &[], longest.a, dir)?;
    let thick = off[1] - off[0];
    if !PANEL_IN.contains(&(span[1] - span[0])) || thick > *THICK_IN.end() {
        return None;
    }
    let middle = (off[0] + off[1]) / 2.0;
    let at = |s: f64| {
        [longest.a[0] + dir[0] * s - dir[1] * middle, longest.a[1] + dir[1] * s + dir[0] * middle]
    };
    Some(Panel { line: Segment { a: at(span[0]), b: at(span[1]) }, thick, of: vec![number] })
}

#[cfg(test)]
mod tests {
    use crate::glass::tests::{WINDOW, house, openings};
    use crate::testing::{Dxf, line};
    use crate::tests::{ok, with};
    use wall_model::OpeningKind;

    const DOOR: (OpeningKind, f64, f64) = (OpeningKind::Door, 197.25, 245.25);

    /// Two panels of 26 in from jamb to jamb, the one beside the other, `from` off the wall's face.
    fn panels(d: Dxf, layer: &str, from: f64, loose: bool) -> Dxf {
        let one = [[200.0, from], [226.0, from], [226.0, from + 1.5], [200.0, from + 1.5]];
        let other =
            [[222.0, from + 1.5], [248.0, from + 1.5], [248.0, from + 3.0], [222.0, from + 3.0]];
        [one, other].iter().fold(d, |d, p| match loose {
            false => d.polyline(layer, p, true),
            true => (0..4).fold(d, |d, i| d.line(layer, p[i], p[(i + 1) % 4])),
        })
    }

    #[test]
    fn panels_that_run_past_each_other_are_a_sliding_door() {
        for layer in ["XYZ", "A-WALL"] {
            for loose in [false, true] {
                // Within the wall, flush with a face, with a track, with a threshold.
                let plain = panels(house(true), layer, 1.25, loose);
                let flush = panels(house(true), layer, 0.0, loose);
                let track = plain.clone().line(layer, [200.0, 2.75], [248.0, 2.75]);
                let threshold = plain.clone().line(layer, [200.0, 0.0], [248.0, 0.0]);
                for (n, d) in [plain, flush, track, threshold].iter().enumerate() {
                    assert_eq!(openings(d), [DOOR], "{layer} {loose} {n}");
                    let o = ok(d);
                    assert!(with(&o.findings, "dxf-windows-by-shape").is_empty());
                    let told = with(&o.findings, "dxf-doors-by-shape");
                    assert!(told[0].message.contains("1 sliding door"), "{}", told[0].message);
                }
            }
        }
    }

    #[test]
    fn panels_on_a_door_layer_are_one_door() {
        let d = panels(house(false), "A-DOOR", 1.0, true);
        assert_eq!(openings(&d), [DOOR]);
        // One line each, an inch apart; each an insert of its own.
        let lines = house(false).line("A-DOOR", [200.0, 2.25], [226.0, 2.25]);
        assert_eq!(openings(&lines.line("A-DOOR", [222.0, 3.25], [248.0, 3.25])), [DOOR]);
        let panel =
            line("P1", "0", [0.0, 0.0], [26.0, 0.0]) + &line("P2", "0", [0.0, 1.5], [26.0, 1.5]);
        let d = house(false).block("PANEL", [0.0, 0.0], &panel);
        let d = d.insert("A-DOOR", "PANEL", [200.0, 1.25], &[]);
        assert_eq!(openings(&d.insert("A-DOOR", "PANEL", [222.0, 2.75], &[])), [DOOR]);
    }

    #[test]
    fn four_panels_that_meet_in_the_middle_are_one_door() {
        let panel = |d: Dxf, x: f64, y: f64| {
            let corners = [[x, y], [x + 14.0, y], [x + 14.0, y + 1.5], [x, y + 1.5]];
            d.polyline("XYZ", &corners, true)
        };
        let places = [(200.0, 1.25), (210.0, 2.75), (224.0, 2.75), (234.0, 1.25)];
        let d = places.into_iter().fold(house(true), |d, (x, y)| panel(d, x, y));
        assert_eq!(openings(&d), [DOOR]);
    }

    #[test]
    fn sashes_between_sills_are_a_window_and_the_finding_asks() {
        let sills = |d: Dxf, layer: &str| {
            d.line(layer, [200.0, 0.0], [248.0, 0.0]).line(layer, [200.0, 5.5], [248.0, 5.5])
        };
        for d in [
            sills(panels(house(true), "XYZ", 1.25, false), "XYZ"),
            panels(house(false), "XYZ", 1.25, false),
        ] {
            assert_eq!(openings(&d), [WINDOW]);
            let o = ok(&d);
            let told = with(&o.findings, "dxf-windows-by-shape");
            assert_eq!(told[0].severity, diag::Severity::Warning);
        }
    }

    #[test]
    fn glass_and_what_stands_beside_a_wall_are_no_sliding_doors() {
        // Two panes end to end, glass over glass, one panel, panels off the wall, sashes of two windows.
        let boxed = |d: Dxf, [x0, y0, x1, y1]: [f64; 4]| {
            d.polyline("XYZ", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true)
        };
        let all = |boxes: &[[f64; 4]]| boxes.iter().copied().fold(house(true), boxed);
        for boxes in [
            &[[200.0, 2.0, 224.0, 3.5], [224.0, 2.0, 248.0, 3.5]][..],
            &[[200.0, 1.0, 248.0, 2.5], [200.0, 3.0, 248.0, 4.5]],
            &[[200.0, 2.0, 226.0, 3.5]],
            &[[200.0, 12.0, 226.0, 13.5], [222.0, 13.5, 248.0, 15.0]],
        ] {
            let found = ok(&all(boxes));
            assert!(with(&found.findings, "dxf-doors-by-shape").is_empty(), "{boxes:?}");
        }
    }
}
