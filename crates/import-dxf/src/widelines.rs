//! Walls drawn as polylines as wide as the wall, where no layer says what is a wall.
//!
//! Knows: which wide polylines are walls, across their doors and windows, and where they meet other walls.
//! Never touches: pairs, sections, wording. All in inches.
//!
//! The width of a polyline is the pen's as a rule: borders of sheets, title lines, marks of sections and of
//! fire walls have one too. So pieces in one line are put together across gaps as two faces are, and what
//! comes out is offered where it hangs together with walls of two faces, or is a plan by itself; where it is
//! no face, no filling and no mark on a wall; and where most of what is drawn as wide is a wall.

use crate::affine::{Xy, dot, norm, sixty_fourths, sub};
use crate::confidence::{LEAST, Scored};
use crate::facelines::families;
use crate::linework::{Segment, sine_between};
use crate::lonechains::{
    BESIDE_SHARE, Chain, Drawn, MEETS_IN, Net, PARALLEL, chains_of, crosses, length, widest,
};
use crate::lonelines::hangs_on;
use crate::nearby::LineIndex;
use crate::network::networks;
use crate::pairing::{FoundWall, union_length};
use crate::walls::{FACES_IN, THICKEST_FACES_IN};
use std::collections::{BTreeMap, BTreeSet};

/// What a wall's confidence is multiplied with when its thickness is a drawn width: that may be the pen's.
const DRAWN_WIDTH: f64 = 0.9;
/// A wall is at least so many times as long as thick.
const SHORTEST: f64 = 1.25;
/// Least share of all that is drawn in one width that is walls: else it is the drawing's line weight. And
/// least share of a wall of two faces that a wide line fills.
const SHARE: f64 = 0.6;
/// Least length of walls of two faces that wide lines hang on, inches.
const HANGS_ON_IN: f64 = 240.0;
/// Least length of wide lines that are a plan by themselves, inches: 40 ft.
const PLAN_IN: f64 = 480.0;
/// Openings that such a plan has where there are walls of two faces too.
const OPENINGS: usize = 2;
/// Lines of other walls that may run through a wide line.
const CROSSINGS: usize = 1;
/// How far they go beyond it, inches.
const THROUGH_IN: f64 = 1.0;
/// A width and twice a distance of faces that differ by no more are the same, inches.
const SAME_IN: f64 = 0.125;

/// What wide lines are looked for among.
pub(crate) struct Among<'a> {
    /// All lines looked at.
    pub lines: &'a [Segment],
    /// Drawn width of a line; 0 where it has none.
    pub width_of: &'a dyn Fn(usize) -> f64,
    /// Leaves of doors as they shut, hinge to latch.
    pub doors: &'a [Segment],
}

impl Among<'_> {
    /// The lines of `kept` that may be walls by their width: those that bound none of the walls found.
    pub fn strokes(&self, kept: &[usize], walls: &[Scored]) -> Vec<usize> {
        let mut bound: BTreeMap<usize, f64> = BTreeMap::new();
        for s in walls.iter().filter(|s| s.confidence >= LEAST && s.wall.lines.len() > 1) {
            let w = &s.wall;
            let along = sub(w.line.b, w.line.a);
            let long = norm(along).max(1e-9);
            let dir = [along[0] / long, along[1] / long];
            for i in &w.lines {
                let Some(g) = self.lines.get(*i) else { continue };
                let at =
                    |p: Xy| (dot(sub(p, w.line.a), dir), dot(sub(p, w.line.a), [-dir[1], dir[0]]));
                let (a, b) = (at(g.a), at(g.b));
                // Half its width from its own edge is the middle of a filled wall, no face of one.
                let filling = (w.thickness * 2.0 - (self.width_of)(*i)).abs() <= SAME_IN;
                if ((a.1 + b.1) / 2.0).abs() >= w.thickness / 2.0 - 0.5 && !filling {
                    let shared = a.0.max(b.0).min(long) - a.0.min(b.0).max(0.0);
                    *bound.entry(*i).or_default() += shared.max(0.0);
                }
            }
        }
        let is_face = |i: &usize| {
            let long = self.lines.get(*i).map_or(0.0, length);
            bound.get(i).is_some_and(|b| *b >= long * BESIDE_SHARE)
        };
        let is_wide = |i: &usize| (FACES_IN[0]..=THICKEST_FACES_IN).contains(&(self.width_of)(*i));
        kept.iter().copied().filter(|i| is_wide(i) && !is_face(i)).collect()
    }

    /// The walls among some strokes, with the walls that were found without them.
    pub fn walls(&self, strokes: &[usize], others: &[Scored]) -> Vec<FoundWall> {
        let believed: Vec<(usize, &FoundWall)> = others
            .iter()
            .enumerate()
            .filter(|(_, s)| s.confidence >= LEAST && s.wall.thickness > 0.0)
            .map(|(i, s)| (i, &s.wall))
            .collect();
        let axes: Vec<Segment> = believed.iter().map(|w| w.1.line).collect();
        let net = Net { index: LineIndex::new(&axes), widest: widest(&believed), walls: &believed };
        let mut chains = self.chains(strokes, &net);
        chains.retain(|(c, width)| {
            c.drawn() >= width * SHORTEST && !net.runs_along(c) && !self.is_crossed(c, *width, &net)
        });
        drop_faces(&mut chains);
        let mut walls: Vec<FoundWall> = chains.iter().map(|c| self.wall(c, others)).collect();
        let other: Vec<&FoundWall> = believed
            .iter()
            .filter(|w| !chains.iter().any(|c| c.0.boxes.contains(&w.0)))
            .map(|w| w.1)
            .collect();
        drop_loose(&mut walls, &other, self.doors);
        self.drop_line_weights(&mut walls);
        let strokes = walls.clone();
        let index = axes_of(&strokes);
        for (i, w) in walls.iter_mut().enumerate() {
            let others = other.iter().copied().chain(around(&strokes, &index, w, i));
            let others: Vec<&FoundWall> = others.collect();
            w.line = meeting(&w.line, &others);
        }
        walls
    }

    /// First lines of the walls of two faces that wide lines of their own width fill for the most part.
    pub fn filled(&self, kept: &[usize], walls: &[Scored]) -> BTreeSet<usize> {
        let is_wide = |i: &usize| (FACES_IN[0]..=THICKEST_FACES_IN).contains(&(self.width_of)(*i));
        let wide: Vec<usize> = kept.iter().copied().filter(is_wide).collect();
        let axes: Vec<Segment> = wide.iter().filter_map(|i| self.lines.get(*i)).copied().collect();
        let index = LineIndex::new(&axes);
        let fills = |w: &FoundWall| {
            let along = sub(w.line.b, w.line.a);
            let long = norm(along).max(1e-9);
            let dir = [along[0] / long, along[1] / long];
            let at = |p: Xy| (dot(sub(p, w.line.a), dir), dot(sub(p, w.line.a), [-dir[1], dir[0]]));
            let near = index.near_line(&w.line, SAME_IN).into_iter().map(|j| j as usize);
            let own = near.filter(|j| {
                wide.get(*j).is_some_and(|i| ((self.width_of)(*i) - w.thickness).abs() <= SAME_IN)
            });
            let spans = own.filter_map(|j| axes.get(j)).filter_map(|g| {
                let (a, b) = (at(g.a), at(g.b));
                let span = [a.0.min(b.0).max(0.0), a.0.max(b.0).min(long)];
                (a.1.abs().max(b.1.abs()) <= SAME_IN && span[1] > span[0]).then_some(span)
            });
            let open: f64 = w.gaps.iter().map(|g| norm(sub(g[1], g[0]))).sum();
            union_length(spans.collect()) >= (long - open) * SHARE
        };
        let two = walls.iter().filter(|s| s.wall.thickness > 0.0 && fills(&s.wall));
        two.filter_map(|s| s.wall.lines.first()).copied().collect()
    }

    /// Pieces of one width in one line, across their openings.
    fn chains(&self, strokes: &[usize], net: &Net<'_>) -> Vec<(Chain, f64)> {
        let all: Vec<Segment> =
            strokes.iter().filter_map(|i| self.lines.get(*i)).copied().collect();
        let half = |j: usize| strokes.get(j).map_or(0.0, |i| (self.width_of)(*i) / 2.0);
        let drawn = Drawn {
            lines: &all,
            index: &LineIndex::new(&all),
            half: &half,
            widest: (0..all.len()).map(half).fold(0.0, f64::max),
        };
        let mut by_width: BTreeMap<i64, Vec<usize>> = BTreeMap::new();
        for i in strokes {
            by_width.entry(sixty_fourths((self.width_of)(*i))).or_default().push(*i);
        }
        let mut out = Vec::new();
        for own in by_width.values() {
            let width = own.first().map_or(0.0, |i| (self.width_of)(*i));
            let some: Vec<Segment> =
                own.iter().filter_map(|i| self.lines.get(*i)).copied().collect();
            for family in families(&some) {
                out.extend(chains_of(&family, 0, own, &drawn, net).into_iter().map(|c| (c, width)));
            }
        }
        out
    }

    /// Whether faces of walls run through a chain: it is drawn over the plan, a section's mark or a beam.
    fn is_crossed(&self, c: &Chain, width: f64, net: &Net<'_>) -> bool {
        let reach = width / 2.0 + THROUGH_IN;
        let near = net.near(&c.line, net.widest + reach);
        let faces: BTreeSet<usize> = near.iter().flat_map(|w| &w.1.lines).copied().collect();
        // At its ends it stops at a face.
        let shorter = |s: &Segment| {
            let share = MEETS_IN / length(s).max(1e-9);
            let at = |t: f64| [s.a[0] + (s.b[0] - s.a[0]) * t, s.a[1] + (s.b[1] - s.a[1]) * t];
            (share < 0.5).then(|| Segment { a: at(share), b: at(1.0 - share) })
        };
        let inner: Vec<Segment> = c.spans.iter().filter_map(shorter).collect();
        let through = |i: &&usize| {
            self.lines.get(**i).is_some_and(|g| {
                sine_between(sub(g.b, g.a), sub(c.line.b, c.line.a)) > 0.1
                    && inner.iter().any(|s| crosses(g, s, reach))
            })
        };
        faces.iter().filter(through).count() > CROSSINGS
    }

    fn wall(&self, (c, width): &(Chain, f64), others: &[Scored]) -> FoundWall {
        let mut lines = c.pieces.clone();
        // What the window in a gap is drawn with is used with it.
        lines.extend(c.boxes.iter().filter_map(|i| others.get(*i)).flat_map(|s| &s.wall.lines));
        let mut seen = BTreeSet::new();
        lines.retain(|i| seen.insert(*i));
        let (thickness, overall) = (*width, *width);
        FoundWall {
            line: c.line,
            thickness,
            overall,
            gaps: c.gaps.clone(),
            panes: Vec::new(),
            lines,
        }
    }

    /// Without the walls of widths that most lines have that are no walls.
    fn drop_line_weights(&self, walls: &mut Vec<FoundWall>) {
        let mut by_width: BTreeMap<i64, (f64, f64)> = BTreeMap::new();
        let taken: BTreeSet<usize> = walls.iter().flat_map(|w| &w.lines).copied().collect();
        for (i, g) in self.lines.iter().enumerate() {
            let slot = by_width.entry(sixty_fourths((self.width_of)(i))).or_default();
            slot.1 += length(g);
            if taken.contains(&i) {
                slot.0 += length(g);
            }
        }
        walls.retain(|w| {
            let shares = by_width.get(&sixty_fourths(w.thickness));
            shares.is_some_and(|(own, all)| *own >= all * SHARE)
        });
    }
}

/// Without chains that run beside another of their width for a good part: faces drawn with a thick pen.
fn drop_faces(chains: &mut Vec<(Chain, f64)>) {
    let axes: Vec<Segment> = chains.iter().map(|c| c.0.line).collect();
    let index = LineIndex::new(&axes);
    let beside = |i: usize, (c, width): &(Chain, f64)| {
        let along = sub(c.line.b, c.line.a);
        let long = norm(along).max(1e-9);
        let dir = [along[0] / long, along[1] / long];
        let near = index.near_line(&c.line, THICKEST_FACES_IN).into_iter().map(|j| j as usize);
        let others = near.filter(|j| *j != i).filter_map(|j| chains.get(j));
        let spans =
            others.filter(|o| sixty_fourths(o.1) == sixty_fourths(*width)).flat_map(|o| &o.0.spans);
        let spans =
            spans.filter(|g| sine_between(along, sub(g.b, g.a)) <= PARALLEL).filter_map(|g| {
                let at =
                    |p: Xy| (dot(sub(p, c.line.a), dir), dot(sub(p, c.line.a), [-dir[1], dir[0]]));
                let (a, b) = (at(g.a), at(g.b));
                let span = [a.0.min(b.0).max(0.0), a.0.max(b.0).min(long)];
                let off = ((a.1 + b.1) / 2.0).abs();
                (off <= THICKEST_FACES_IN && span[1] > span[0]).then_some(span)
            });
        union_length(spans.collect()) > c.drawn() * BESIDE_SHARE
    };
    let drop: Vec<bool> = chains.iter().enumerate().map(|(i, c)| beside(i, c)).collect();
    let mut number = 0;
    chains.retain(|_| {
        number += 1;
        !drop.get(number - 1).copied().unwrap_or(false)
    });
}

/// What hangs together: its length drawn wide and as two faces, its openings, its box.
struct Group {
    wide: f64,
    two: f64,
    openings: usize,
    low: Xy,
    high: Xy,
}

impl Group {
    fn encloses(&self, o: &Group) -> bool {
        (0..2).all(|a| self.low[a] < o.low[a] && self.high[a] > o.high[a])
    }
}

/// Without wide walls that neither hang on walls of two faces nor are a plan by themselves.
fn drop_loose(walls: &mut Vec<FoundWall>, others: &[&FoundWall], doors: &[Segment]) {
    let all: Vec<&FoundWall> = walls.iter().chain(others.iter().copied()).collect();
    let axes: Vec<Segment> = all.iter().map(|w| w.line).collect();
    let thick: Vec<f64> = all.iter().map(|w| w.overall).collect();
    let of = networks(&axes, &thick).of;
    let wide = walls.len();
    let mut groups: BTreeMap<usize, Group> = BTreeMap::new();
    for (i, (w, n)) in all.iter().zip(&of).enumerate() {
        let (low, high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let group =
            groups.entry(*n).or_insert(Group { wide: 0.0, two: 0.0, openings: 0, low, high });
        match i < wide {
            true => group.wide += length(&w.line),
            false => group.two += length(&w.line),
        }
        group.openings += w.gaps.len() + doors.iter().filter(|d| hangs_on(d, &w.line)).count();
        for p in [w.line.a, w.line.b] {
            group.low = [group.low[0].min(p[0]), group.low[1].min(p[1])];
            group.high = [group.high[0].max(p[0]), group.high[1].max(p[1])];
        }
    }
    let two: f64 = groups.values().map(|g| g.two).sum();
    let stays = |n: &usize| {
        let Some(g) = groups.get(n) else { return false };
        if g.two >= HANGS_ON_IN {
            return true;
        }
        // A border goes around a whole plan.
        let border =
            groups.iter().any(|(m, o)| m != n && o.wide + o.two >= PLAN_IN && g.encloses(o));
        let enough = if two < PLAN_IN { PLAN_IN } else { two.max(PLAN_IN) };
        !border && g.wide >= enough && (two < PLAN_IN || g.openings >= OPENINGS)
    };
    let keep: Vec<bool> = of.iter().take(wide).map(stays).collect();
    let mut number = 0;
    walls.retain(|_| {
        number += 1;
        keep.get(number - 1).copied().unwrap_or(false)
    });
}

fn axes_of(walls: &[FoundWall]) -> LineIndex {
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    LineIndex::new(&axes)
}

/// The walls near another but itself.
fn around<'a>(
    walls: &'a [FoundWall],
    index: &LineIndex,
    w: &FoundWall,
    itself: usize,
) -> impl Iterator<Item = &'a FoundWall> + use<'a> {
    let reach = THICKEST_FACES_IN / 2.0 + MEETS_IN;
    let near = index.near_line(&w.line, reach).into_iter().map(|j| j as usize);
    near.filter(move |j| *j != itself).filter_map(|j| walls.get(j))
}

/// A line with its ends on the axes of the walls that they meet, whether they stop at a face or go on to the
/// other one.
fn meeting(g: &Segment, others: &[&FoundWall]) -> Segment {
    let along = sub(g.b, g.a);
    let long = norm(along).max(1e-9);
    let reached = |p: Xy, out: Xy| {
        let steps = others.iter().filter_map(|w| {
            let axis = sub(w.line.b, w.line.a);
            let left = [-axis[1] / norm(axis).max(1e-9), axis[0] / norm(axis).max(1e-9)];
            let toward = dot(out, left);
            let meets = crate::network::distance(&w.line, p) <= w.overall / 2.0 + MEETS_IN;
            // Only what is square to it, or nearly: elsewhere the step would be long.
            (meets && toward.abs() > 0.5).then(|| dot(sub(w.line.a, p), left) / toward)
        });
        let nearest = |s: &f64, t: &f64| s.abs().total_cmp(&t.abs()).then(t.total_cmp(s));
        let step = steps.filter(|s| s.abs() < long / 2.0).min_by(nearest).unwrap_or(0.0);
        [p[0] + out[0] * step, p[1] + out[1] * step]
    };
    let out = [along[0] / long, along[1] / long];
    Segment { a: reached(g.a, [-out[0], -out[1]]), b: reached(g.b, out) }
}

/// Brings the ends of walls of two faces to the axes of the wide walls whose edges they stop at.
pub(crate) fn reach_wide(walls: &mut [Scored], wide: &[FoundWall]) {
    let index = axes_of(wide);
    let own: BTreeSet<usize> = wide.iter().filter_map(|w| w.lines.first()).copied().collect();
    for s in walls.iter_mut().filter(|s| s.wall.thickness > 0.0) {
        if s.wall.lines.first().is_some_and(|i| own.contains(i)) {
            continue;
        }
        let near: Vec<&FoundWall> = around(wide, &index, &s.wall, usize::MAX).collect();
        s.wall.line = meeting(&s.wall.line, &near);
    }
}

/// Lowers the confidence of wide walls among others: see [`DRAWN_WIDTH`].
pub(crate) fn doubt_widths(walls: &mut [Scored], wide: &BTreeSet<usize>) {
    for s in walls.iter_mut().filter(|s| s.wall.lines.first().is_some_and(|i| wide.contains(i))) {
        s.confidence = (s.confidence * DRAWN_WIDTH * 100.0).round() / 100.0;
    }
}
