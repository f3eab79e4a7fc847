//! Doors and windows that no layer tells of: blocks by their name, swings, leaves and panels by their shape.
//!
//! Knows: block names, leaves and swings, lines of the wall layers and of layers of unknown use. Never touches:
//! walls: whether one of these lies on a wall is found out with all other doors and windows. What lies on none
//! was no door, unless it is drawn on a wall layer.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, cross, dot, norm, sub};
use crate::blocknames;
use crate::candidates::insert_sizes;
use crate::doors::{self, Door};
use crate::flatten::Drawing;
use crate::layers::{Usage, is_of_other_things};
use crate::linework::{Arc, Kind, NOT_INSERTED, Segment, mark, sine_between};
use crate::nearby::{LineIndex, by_ends};
use crate::network::distance;
use crate::openings::{NARROWEST_IN, Symbol, Told};
use crate::survey::Survey;
use crate::symbols::{LARGEST_IN, of_shapes};
use crate::walls::{FACES_IN, is_open_wall};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};
use wall_model::OpeningKind;

/// Length of a door's leaf, inches (common practice, no source).
const LEAF_IN: [f64; 2] = [16.0, 54.0];
/// An insert with more line than so many leaves is no door.
const LEAVES: f64 = 20.0;
/// A leaf is no thicker than this, inches.
const THICK_IN: f64 = 2.5;
/// How far a leaf drawn in a doorway may stay off its jamb, and be longer or shorter than the gap, inches.
const OFF_IN: f64 = 3.0;
/// A leaf's free end has nothing this near, inches.
const FREE_IN: f64 = 1.0;
/// Where wall layers have more lines than this, leaves without a swing are not looked for.
const MOST_LINES: usize = 100_000;

/// Whether a leaf may be as long, inches.
pub(crate) fn is_leaf_length(inches: f64) -> bool {
    (LEAF_IN[0]..=LEAF_IN[1]).contains(&inches)
}

/// Whether a shape is an arc with the radius and the turn of a door's swing, `k` inches to a unit.
pub(crate) fn is_swing(s: &Survey<'_>, shape: usize, k: f64) -> bool {
    let lines = &s.drawing.lines;
    let mut arcs = lines.arcs_of(shape).filter_map(|j| lines.arcs.get(j));
    let one = |a: &Arc| doors::is_swing(a) && is_leaf_length(norm(a.u) * k);
    lines.shapes.get(shape).is_some_and(|x| x.is_arc()) && arcs.all(one)
}

/// Finds them once more, by what is still open, in this unit (inches in it). Where walls are found by their shape
/// doors are found with them, and only blocks are looked for.
pub(crate) fn gather(s: &mut Survey<'_>, k: f64) {
    let by_shape = s.unnamed.is_some();
    if !by_shape {
        let whole = s.whole_symbols.min(s.symbols.len());
        s.whole_symbols = s.symbols.iter().take(whole).filter(|x| x.told == Told::Layer).count();
        s.symbols.retain(|x| x.told == Told::Layer);
    }
    let mut whole = named(s, k);
    ask(s, &whole);
    let mut loose = Vec::new();
    // What swings or slides among the furniture is a shower's or a cupboard's.
    let layers = s.drawing.layers.iter().zip(&s.roles);
    let other: Vec<bool> =
        layers.map(|(l, r)| r.usage == Usage::Unknown && is_of_other_things(&l.name)).collect();
    let of_other = |s: &Survey<'_>, i: usize| {
        let shape = s.drawing.lines.shapes.get(i);
        shape.is_some_and(|x| other.get(x.layer as usize) == Some(&true))
    };
    let sliding = crate::sliding::find(s, k, &|i| {
        let taken = by_shape && s.fates.get(i) == Some(&Fate::Used);
        (taken || is_free(s, i)) && !of_other(s, i)
    });
    ask(s, &sliding);
    whole.extend(sliding);
    if !by_shape {
        for door in doors::find(&s.drawing, &|i| is_free(s, i) && !of_other(s, i)) {
            match symbol_of(s, k, door) {
                Some((symbol, true)) => whole.push(symbol),
                Some((symbol, false)) => loose.push(symbol),
                None => {}
            }
        }
        ask(s, &whole);
        ask(s, &loose);
        let leaves = leaves(s, k);
        ask(s, &leaves);
        loose.extend(leaves);
    }
    // The leaves of a double door touch.
    s.symbols.extend(loose);
    let at = s.whole_symbols.min(s.symbols.len());
    s.whole_symbols = at + whole.len();
    s.symbols.splice(at..at, whole);
}

/// The fate of what was taken for part of a door or window, and is on no wall.
pub(crate) fn not_one(s: &Survey<'_>, shape: usize) -> Fate {
    Fate::Left(match s.role(shape).map(|r| r.usage) {
        Some(Usage::Unknown) if s.unnamed.is_none() => Reason::NotUsed,
        _ => Reason::Unhosted,
    })
}

fn ask(s: &mut Survey<'_>, symbols: &[Symbol]) {
    for i in symbols.iter().flat_map(|x| &x.shapes) {
        if let Some(slot) = s.fates.get_mut(*i)
            && *slot != Fate::Used
        {
            *slot = Fate::Asked;
        }
    }
}

/// Whether a shape may be part of one: a line or arc of a wall layer, or of a layer of unknown use.
fn is_free(s: &Survey<'_>, i: usize) -> bool {
    let Some(shape) = s.drawing.lines.shapes.get(i) else { return false };
    let sound = shape.is_line() && shape.marks & (mark::TILTED | mark::BAD) == 0;
    let drawn_wide = shape.kind == Kind::Mline;
    let open = s.fates.get(i) == Some(&Fate::Left(Reason::NotUsed)) || is_open_wall(s, i);
    sound && open && !drawn_wide
}

/// Inserts of blocks that are doors or windows by their name.
fn named(s: &Survey<'_>, k: f64) -> Vec<Symbol> {
    let nodes = &s.drawing.nodes;
    let mut kinds: FxHashMap<u32, Option<OpeningKind>> = FxHashMap::default();
    for n in nodes {
        kinds.entry(n.block).or_insert_with(|| blocknames::kind(&s.file.block_name(n.block)));
    }
    let kind_of = |node: u32| nodes.get(node as usize).and_then(|n| *kinds.get(&n.block)?);
    if kinds.values().all(Option::is_none) {
        return Vec::new();
    }
    let sizes = insert_sizes(&s.drawing);
    // The outermost such insert that each is in; none in what is known otherwise.
    let mut of: Vec<(Option<u32>, bool)> = Vec::with_capacity(nodes.len());
    for (i, n) in nodes.iter().enumerate() {
        let (above, known) = of.get(n.parent as usize).copied().unwrap_or((None, false));
        let usage = s.usage(n.layer);
        let known = known || usage.is_opening() || usage == Usage::Ignored;
        let size = sizes.get(i).map_or(0.0, |v| v * k);
        let fits = kind_of(i as u32).is_some() && (NARROWEST_IN..=LARGEST_IN).contains(&size);
        of.push((above.or_else(|| (fits && !known).then_some(i as u32)), known));
    }
    let mut members: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    let mut told: BTreeSet<u32> = BTreeSet::new();
    for (i, shape) in s.drawing.lines.shapes.iter().enumerate() {
        let Some(root) = of.get(shape.via as usize).and_then(|o| o.0) else { continue };
        if s.usage(shape.layer).is_opening() {
            told.insert(root);
        }
        let taken = s.unnamed.is_some() && s.fates.get(i) == Some(&Fate::Used);
        if taken || is_free(s, i) {
            members.entry(root).or_default().push(i);
        }
    }
    let own = members.into_iter().filter(|(root, _)| !told.contains(root));
    own.filter_map(|(root, shapes)| {
        // Of a plan by shape a door that was found already is not found again.
        let found = |i: &usize| s.unnamed.is_some() && s.fates.get(*i) == Some(&Fate::Open);
        let symbol = of_shapes(&s.drawing, kind_of(root)?, &shapes, Told::Name);
        (!shapes.iter().any(found)).then_some(symbol)
    })
    .collect()
}

/// The symbol of a leaf with its swing, and whether it is a whole insert.
fn symbol_of(s: &Survey<'_>, k: f64, door: Door) -> Option<(Symbol, bool)> {
    if !is_leaf_length(door.radius * k) {
        return None;
    }
    let drawn: f64 = door.symbol.segments.iter().map(|g| norm(sub(g.b, g.a))).sum();
    if door.insert != NOT_INSERTED && drawn <= door.radius * LEAVES {
        return Some((door.symbol, true));
    }
    let shapes = small_parts(&s.drawing, &door);
    let arcs = door.symbol.arcs.iter().take(1).copied().collect();
    let symbol = Symbol { segments: vec![door.leaf], arcs, shapes, ..door.symbol };
    (!symbol.shapes.is_empty()).then_some((symbol, false))
}

/// The shapes of a leaf and its swing. A leaf that is one polyline with the walls around it is left to them.
pub(crate) fn small_parts(drawing: &Drawing, door: &Door) -> Vec<usize> {
    let small = |i: &usize| {
        of_shapes(drawing, OpeningKind::Door, &[*i], Told::Shape).size() <= door.radius * 1.3
    };
    door.parts.iter().copied().filter(small).collect()
}

/// Leaves without a swing on the wall layers: a line, or a thin rectangle, square to a wall at a jamb, as long as
/// the doorway to the other jamb, with its other end free. And swings without a leaf, from one jamb of a doorway
/// about the other.
fn leaves(s: &Survey<'_>, k: f64) -> Vec<Symbol> {
    let lines = &s.drawing.lines;
    let (mut all, mut of): (Vec<Segment>, Vec<usize>) = (Vec::new(), Vec::new());
    for i in (0..s.fates.len()).filter(|i| is_open_wall(s, *i) && is_free(s, *i)) {
        for g in lines.segments_of(i).filter_map(|j| lines.segments.get(j)) {
            all.push(*g);
            of.push(i);
        }
        if all.len() > MOST_LINES {
            return Vec::new();
        }
    }
    let fits = |g: &Segment| is_leaf_length(norm(sub(g.b, g.a)) * k);
    let count = |i: usize| lines.segments_of(i).len();
    let may_be = |i: usize| {
        lines.arcs_of(i).is_empty() && matches!(count(i), 1 | 3 | 4) && {
            let own = of_shapes(&s.drawing, OpeningKind::Door, &[i], Told::Shape);
            own.size() * k <= LEAF_IN[1] + THICK_IN
        }
    };
    let wanted: Vec<usize> = (0..all.len())
        .filter(|n| all.get(*n).is_some_and(fits) && of.get(*n).is_some_and(|i| may_be(*i)))
        .collect();
    let swings = swings(s, k);
    if wanted.is_empty() && swings.is_empty() {
        return Vec::new();
    }
    let doorway = Doorway { index: LineIndex::new(&all), all: &all, of: &of, k };
    let mut out: Vec<Symbol> = Vec::new();
    let mut taken: BTreeSet<usize> = BTreeSet::new();
    for n in wanted {
        let (Some(g), Some(shape)) = (all.get(n), of.get(n)) else { continue };
        if taken.contains(shape) {
            continue;
        }
        let ways = [*g, Segment { a: g.b, b: g.a }];
        let Some((shapes, shut)) = ways.iter().find_map(|leaf| doorway.of_leaf(*shape, leaf))
        else {
            continue;
        };
        taken.extend(&shapes);
        out.push(door(shut, shapes));
    }
    out.extend(swings.into_iter().filter_map(|(shape, swing)| {
        doorway.of_swing(shape, &swing).map(|shut| door(shut, vec![shape]))
    }));
    out
}

/// A door known by its shape, from its hinge to where it shuts.
fn door(shut: Segment, shapes: Vec<usize>) -> Symbol {
    let (kind, told) = (OpeningKind::Door, Told::Shape);
    Symbol { kind, told, segments: vec![shut], arcs: Vec::new(), shapes }
}

/// The arcs of the wall layers that look like a door's swing, and are part of no door yet.
fn swings(s: &Survey<'_>, k: f64) -> Vec<(usize, Arc)> {
    let lines = &s.drawing.lines;
    let open = (0..s.fates.len()).filter(|i| !lines.arcs_of(*i).is_empty() && is_open_wall(s, *i));
    let swing = open.filter(|i| is_free(s, *i) && is_swing(s, *i, k));
    let swing =
        swing.filter_map(|i| lines.arcs_of(i).find_map(|j| lines.arcs.get(j)).map(|arc| (i, *arc)));
    let all: Vec<(usize, Arc)> = swing.collect();
    if all.len() > doors::MOST { Vec::new() } else { all }
}

/// The lines of the wall layers, around a leaf or a swing.
struct Doorway<'a> {
    index: LineIndex,
    all: &'a [Segment],
    of: &'a [usize],
    k: f64,
}

impl Doorway<'_> {
    /// The lines near a place that are of none of these shapes.
    fn near<'b>(
        &'b self,
        p: Xy,
        reach: f64,
        but: &'b [usize],
    ) -> impl Iterator<Item = &'b Segment> + 'b {
        let numbers = self.index.near(&[p], reach);
        numbers.into_iter().filter_map(move |j| {
            let own = self.of.get(j as usize).is_some_and(|i| but.contains(i));
            self.all.get(j as usize).filter(|g| !own && distance(g, p) <= reach)
        })
    }

    /// The shapes of a leaf, hinge first, and where it shuts; none where it is in no doorway.
    fn of_leaf(&self, shape: usize, leaf: &Segment) -> Option<(Vec<usize>, Segment)> {
        let along = sub(leaf.b, leaf.a);
        let length = norm(along);
        let thick = THICK_IN / self.k;
        // The other lines of a leaf that is drawn with its thickness.
        let beside = self.index.near(&[leaf.a, leaf.b], thick);
        let mut own: Vec<usize> = beside
            .into_iter()
            .filter(|j| {
                self.all.get(*j as usize).is_some_and(|g| doors::is_of_leaf(g, leaf, thick))
            })
            .filter_map(|j| self.of.get(j as usize).copied())
            .collect();
        own.push(shape);
        own.sort_unstable();
        own.dedup();
        // All lines of these shapes are the leaf's, or it is no leaf but part of an outline.
        let strays = own.iter().flat_map(|i| {
            let first = self.of.partition_point(|o| o < i);
            let last = self.of.partition_point(|o| o <= i);
            self.all.get(first..last).unwrap_or_default()
        });
        if own.len() > 4 || strays.into_iter().any(|g| !doors::is_of_leaf(g, leaf, thick)) {
            return None;
        }
        // The face of a wall that ends here has the other face beside it.
        let is_face = |g: &Segment| {
            let dir = [along[0] / length, along[1] / length];
            let at = |p: Xy| (dot(sub(p, leaf.a), dir), cross(dir, sub(p, leaf.a)));
            let (p, q) = (at(g.a), at(g.b));
            let over = p.0.max(q.0).min(length) - p.0.min(q.0).max(0.0);
            sine_between(along, sub(g.b, g.a)) < 0.02
                && over >= length / 2.0
                && ((p.1 + q.1) / 2.0).abs() <= FACES_IN[1] / self.k
        };
        let beside = self.index.near_line(leaf, FACES_IN[1] / self.k);
        let others = beside.into_iter().map(|j| j as usize);
        let mut others = others.filter(|j| self.of.get(*j).is_some_and(|i| !own.contains(i)));
        if others.any(|j| self.all.get(j).is_some_and(is_face)) {
            return None;
        }
        if self.near(leaf.b, FREE_IN / self.k, &own).next().is_some() {
            return None;
        }
        [1.0, -1.0].into_iter().find_map(|side| {
            let dir = [-along[1] / length * side, along[0] / length * side];
            let shut = self.shut(leaf.a, dir, length, &own)?;
            let middle = [leaf.a[0] + dir[0] * length / 2.0, leaf.a[1] + dir[1] * length / 2.0];
            let empty = self.near(middle, OFF_IN / self.k, &own).next().is_none();
            empty.then(|| (own.clone(), shut))
        })
    }

    /// The doorway that a leaf as long shuts from its hinge in a direction: a face of the wall ends at the hinge,
    /// another in line with it begins at the other jamb.
    fn shut(&self, hinge: Xy, dir: Xy, length: f64, own: &[usize]) -> Option<Segment> {
        let off = OFF_IN / self.k;
        let faces = |p: Xy, way: f64| -> Vec<Xy> {
            let ends = self.near(p, off, own).filter_map(|g| {
                let end = [g.a, g.b].into_iter().find(|e| norm(sub(*e, p)) <= off)?;
                let other = if norm(sub(g.a, end)) > 0.0 { g.a } else { g.b };
                let goes = sub(other, end);
                let on = sine_between(goes, dir) < 0.02 && dot(goes, dir) * way > 0.0;
                on.then_some(end)
            });
            ends.collect()
        };
        let latch = [hinge[0] + dir[0] * length, hinge[1] + dir[1] * length];
        let (from, to) = (faces(hinge, -1.0), faces(latch, 1.0));
        let pairs = from.iter().flat_map(|p| to.iter().map(move |q| Segment { a: *p, b: *q }));
        let in_line = pairs.filter(|g| cross(dir, sub(g.b, g.a)).abs() <= 0.25 / self.k);
        // Of both faces the nearer one, whichever stands first in the file.
        let off = |g: &Segment| norm(sub(g.a, hinge)) + norm(sub(g.b, latch));
        in_line.min_by(|g, h| off(g).total_cmp(&off(h)).then_with(|| by_ends(g).cmp(&by_ends(h))))
    }

    /// Where the door of a swing without a leaf shuts: in the doorway at one of its ends, where there is none at the
    /// other.
    fn of_swing(&self, shape: usize, swing: &Arc) -> Option<Segment> {
        let shut = swing.ends().map(|end| {
            let along = sub(end, swing.center);
            let length = norm(along);
            let dir = [along[0] / length, along[1] / length];
            self.shut(swing.center, dir, length, &[shape])
        });
        match shut {
            [Some(one), None] | [None, Some(one)] => Some(one),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::{Dxf, entity, line};
    use crate::tests::{ok, with};
    use diag::Severity;
    use wall_model::OpeningKind;

    const SWING: [(i32, f64); 5] = [(10, 0.0), (20, 0.0), (40, 36.0), (50, 0.0), (51, 90.0)];

    /// A house of faces with a doorway of 36 in in the lower wall from x = 200, its jambs drawn.
    fn doorway() -> Dxf {
        let outer =
            [[200.0, 0.0], [0.0, 0.0], [0.0, 360.0], [480.0, 360.0], [480.0, 0.0], [236.0, 0.0]];
        let inner =
            [[200.0, 5.5], [5.5, 5.5], [5.5, 354.5], [474.5, 354.5], [474.5, 5.5], [236.0, 5.5]];
        let mut d = Dxf::inches();
        for face in [outer, inner] {
            for w in face.windows(2) {
                d = d.line("A-WALL", w[0], w[1]);
            }
        }
        d.line("A-WALL", [200.0, 0.0], [200.0, 5.5]).line("A-WALL", [236.0, 0.0], [236.0, 5.5])
    }

    fn openings(d: &Dxf) -> (usize, Vec<(OpeningKind, f64)>) {
        let walls = ok(d).value.walls;
        let of = walls.iter().flat_map(|w| &w.openings);
        (walls.len(), of.map(|o| (o.kind, (o.to - o.from).to_inches())).collect())
    }

    const DOOR: (OpeningKind, f64) = (OpeningKind::Door, 36.0);

    #[test]
    fn a_leaf_with_its_swing_on_the_wall_layer_is_a_door() {
        let arc = [(10, 200.0), (20, 5.5), (40, 36.0), (50, 0.0), (51, 90.0)];
        let d = doorway().line("A-WALL", [200.0, 5.5], [200.0, 41.5]).entity("ARC", "A-WALL", &arc);
        assert_eq!(openings(&d), (4, vec![DOOR]));
        let o = ok(&d);
        assert_eq!(with(&o.findings, "dxf-doors-by-shape").len(), 1);
        assert!(with(&o.findings, "dxf-curved-wall").is_empty());
        // The same as a thin rectangle of four lines, and as a block on a layer of no telling name.
        let mut thin = doorway().entity("ARC", "A-WALL", &arc);
        let corners = [[200.0, 5.5], [201.75, 5.5], [201.75, 41.5], [200.0, 41.5]];
        for n in 0..4 {
            thin = thin.line("A-WALL", corners[n], corners[(n + 1) % 4]);
        }
        assert_eq!(openings(&thin), (4, vec![DOOR]));
        let block = line("B1", "0", [0.0, 0.0], [0.0, 36.0]) + &entity("ARC", "B2", "0", &SWING);
        let d = doorway().block("XY", [0.0, 0.0], &block).insert("MISC", "XY", [200.0, 5.5], &[]);
        assert_eq!(openings(&d), (4, vec![DOOR]));
    }

    #[test]
    fn a_leaf_alone_in_a_doorway_is_a_door() {
        let d = doorway().line("A-WALL", [236.0, 5.5], [236.0, 41.5]);
        assert_eq!(openings(&d), (4, vec![DOOR]));
        let thin = [[200.5, 5.5], [202.0, 5.5], [202.0, 41.5], [200.5, 41.5]];
        let d = doorway().polyline("A-WALL", &thin, true);
        assert_eq!(openings(&d), (4, vec![DOOR]));
        // A wing wall beside the opening has two faces.
        let wing = doorway()
            .line("A-WALL", [236.0, 5.5], [236.0, 41.5])
            .line("A-WALL", [239.5, 5.5], [239.5, 41.5])
            .line("A-WALL", [236.0, 41.5], [239.5, 41.5]);
        assert!(with(&ok(&wing).findings, "dxf-doors-by-shape").is_empty());
    }

    #[test]
    fn a_swing_alone_in_a_doorway_is_a_door() {
        let swing = |center: [f64; 2], from: f64| {
            [(10, center[0]), (20, center[1]), (40, 36.0), (50, from), (51, from + 90.0)]
        };
        // From either jamb, off the face, with a threshold.
        for (center, from) in
            [([200.0, 5.5], 0.0), ([236.0, 5.5], 90.0), ([236.0, 0.0], 180.0), ([201.0, 4.0], 0.0)]
        {
            let d = doorway().entity("ARC", "A-WALL", &swing(center, from));
            assert_eq!(openings(&d), (4, vec![DOOR]), "{center:?}");
            let o = ok(&d);
            assert!(with(&o.findings, "dxf-curved-wall").is_empty());
            assert_eq!(with(&o.findings, "dxf-doors-by-shape").len(), 1);
        }
        // Where no wall ends it is told; where one does, plates may be missing.
        for (center, severity) in
            [([100.0, 100.0], Severity::Warning), ([5.5, 5.5], Severity::Error)]
        {
            let o = ok(&doorway().entity("ARC", "A-WALL", &swing(center, 0.0)));
            assert_eq!(with(&o.findings, "dxf-doors-by-shape").len(), 0);
            let told = with(&o.findings, "dxf-curved-wall");
            assert_eq!(told.iter().map(|f| f.severity).collect::<Vec<_>>(), [severity]);
        }
    }

    #[test]
    fn a_threshold_is_not_the_leaf() {
        let arc = [(10, 200.0), (20, 5.5), (40, 36.0), (50, 0.0), (51, 90.0)];
        let leaf = [[200.0, 5.5], [201.5, 5.5], [201.5, 41.5], [200.0, 41.5]];
        for layer in ["A-WALL", "A-DOOR"] {
            let d = doorway().entity("ARC", layer, &arc).polyline(layer, &leaf, true);
            let d =
                d.line(layer, [200.0, 5.5], [236.0, 5.5]).line(layer, [200.0, 0.0], [236.0, 0.0]);
            assert_eq!(openings(&d), (4, vec![DOOR]), "{layer}");
            assert!(with(&ok(&d).findings, "dxf-opening-unhosted").is_empty(), "{layer}");
        }
        // Between faces that run on, beside a wall that the leaf opens against.
        let at = |p: [f64; 2]| [p[0] - 192.0, p[1]];
        let arc = [(10, 8.0), (20, 5.5), (40, 36.0), (50, 0.0), (51, 90.0)];
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        let d = d.entity("ARC", "A-DOOR", &arc).polyline("A-DOOR", &leaf.map(at), true);
        let d = d.line("A-DOOR", [8.0, 5.5], [44.0, 5.5]);
        let walls = ok(&d).value.walls;
        let door: Vec<_> = walls.iter().filter(|w| !w.openings.is_empty()).collect();
        assert_eq!(door.len(), 1);
        assert_eq!(door[0].start.y, door[0].end.y);
    }

    #[test]
    fn blocks_by_their_names_where_they_lie_on_a_wall() {
        let door =
            line("B1", "0", [0.0, 0.0], [36.0, 0.0]) + &line("B2", "0", [0.0, 3.0], [36.0, 3.0]);
        let on = |name: &str, layer: &str, at: [f64; 2]| {
            Dxf::inches().house().block(name, [0.0, 0.0], &door).insert(layer, name, at, &[])
        };
        for layer in ["0", "A-FLOR", "Blocks", "A-WALL"] {
            assert_eq!(openings(&on("DOOR-36", layer, [100.0, 0.0])), (4, vec![DOOR]), "{layer}");
        }
        let o = ok(&on("WINDOW-36", "0", [100.0, 0.0]));
        let told = with(&o.findings, "dxf-openings-by-name");
        assert!(told[0].message.contains("1 of WINDOW-36 on layer 0"), "{}", told[0].message);
        // Not on a wall, not named for a door, on a layer that is left out.
        for (name, layer, at) in [
            ("DOOR-36", "0", [100.0, 90.0]),
            ("DOOR TAG", "0", [100.0, 0.0]),
            ("SOFA", "0", [100.0, 0.0]),
            ("DOOR-36", "A-DOOR-DEMO", [100.0, 0.0]),
        ] {
            let d = on(name, layer, at);
            assert_eq!(openings(&d).1, [], "{name}");
            assert!(with(&ok(&d).findings, "dxf-opening-unhosted").is_empty(), "{name}");
        }
    }
}
