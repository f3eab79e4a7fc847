//! Doors and windows as they are drawn: which lines are one symbol.
//!
//! Knows: layers' uses, inserts and what they hold. Never touches: walls, where a symbol lies. Where nothing
//! else is said, in drawing units.
//!
//! A plan may be one insert as a whole, as a bound reference is: what is on its door and window layers are many
//! symbols, not one.

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage};
use crate::linework::{NOT_INSERTED, Segment};
use crate::openings::{Symbol, Told};
use crate::survey::Survey;
use std::collections::BTreeMap;
use wall_model::OpeningKind;

/// An insert whose wall lines are longer than so many times its door or window is no symbol but a plan: a
/// window with its jambs and both faces on the wall layer has little more than two.
const PLAN: f64 = 3.0;
/// No door or window is larger, inches: 20 ft. Folding doors of a whole wall, drawn as one insert, fall into
/// leaves that are in one opening again.
pub(crate) const LARGEST_IN: f64 = 240.0;

/// Gathers the linework of doors and windows: an insert on a door or window layer is one symbol with
/// all that is in it, but for what has a layer of another known use; entities on door or window layers
/// inside another insert are one symbol for that insert, unless it holds walls; the rest is loose. The second is
/// how many symbols, from the front, are whole inserts.
pub(crate) fn collect(
    drawing: &Drawing,
    roles: &[LayerRole],
    fates: &mut [Fate],
) -> (Vec<Symbol>, usize) {
    let usage = |layer: u32| roles.get(layer as usize).map_or(Usage::Unknown, |r| r.usage);
    let plans = plans(drawing, roles, fates);
    let is_plan = |node: u32| plans.get(node as usize).copied().unwrap_or(false);
    // The outermost insert on a door or window layer that each insert is in.
    let mut outermost: Vec<Option<u32>> = Vec::with_capacity(drawing.nodes.len());
    for (i, node) in drawing.nodes.iter().enumerate() {
        let above = outermost.get(node.parent as usize).copied().flatten();
        let own = usage(node.layer).is_opening() && !is_plan(i as u32);
        outermost.push(above.or_else(|| own.then_some(i as u32)));
    }
    let mut whole: BTreeMap<(u32, OpeningKind), Symbol> = BTreeMap::new();
    let mut loose: Vec<Symbol> = Vec::new();
    for (i, shape) in drawing.lines.shapes.iter().enumerate() {
        let Some(fate) = fates.get_mut(i) else { continue };
        let own = usage(shape.layer);
        let root = outermost.get(shape.via as usize).copied().flatten();
        let takes_part = match root {
            _ if !shape.is_line() => false,
            Some(_) => own.is_opening() || *fate == Fate::Left(Reason::NotUsed),
            None => own.is_opening(),
        };
        let shown = matches!(*fate, Fate::Open | Fate::Left(Reason::NotUsed));
        if !takes_part || !shown {
            continue;
        }
        *fate = Fate::Open;
        let kind = match root.and_then(|r| drawing.nodes.get(r as usize)) {
            Some(node) => kind_of(usage(node.layer)),
            None => kind_of(own),
        };
        let group = root.unwrap_or(shape.via);
        if group == NOT_INSERTED || is_plan(group) {
            loose.push(of_shapes(drawing, kind, &[i], Told::Layer));
            continue;
        }
        let slot = whole.entry((group, kind)).or_insert_with(|| nothing(kind));
        add(drawing, slot, i);
    }
    let mut all: Vec<Symbol> = whole.into_values().collect();
    let count = all.len();
    all.extend(loose);
    (all, count)
}

fn kind_of(usage: Usage) -> OpeningKind {
    match usage {
        Usage::Window => OpeningKind::Window,
        Usage::Opening => OpeningKind::Opening,
        _ => OpeningKind::Door,
    }
}

fn nothing(kind: OpeningKind) -> Symbol {
    let (segments, arcs, shapes) = (Vec::new(), Vec::new(), Vec::new());
    Symbol { kind, segments, arcs, shapes, told: Told::Layer }
}

fn add(drawing: &Drawing, symbol: &mut Symbol, shape: usize) {
    let lines = &drawing.lines;
    symbol.segments.extend(lines.segments_of(shape).filter_map(|j| lines.segments.get(j)));
    symbol.arcs.extend(lines.arcs_of(shape).filter_map(|j| lines.arcs.get(j)));
    symbol.shapes.push(shape);
}

/// A symbol of all the lines and arcs of these shapes.
pub(crate) fn of_shapes(
    drawing: &Drawing,
    kind: OpeningKind,
    shapes: &[usize],
    told: Told,
) -> Symbol {
    let mut out = Symbol { told, ..nothing(kind) };
    shapes.iter().for_each(|i| add(drawing, &mut out, *i));
    out
}

/// What an insert holds, inserts inside it included.
#[derive(Clone, Copy)]
struct Held {
    /// Length of its wall lines.
    walls: f64,
    /// Box of its doors and windows.
    openings: [f64; 4],
}

/// Which inserts hold walls, not just the jambs of a door or window.
fn plans(drawing: &Drawing, roles: &[LayerRole], fates: &[Fate]) -> Vec<bool> {
    const NOWHERE: [f64; 4] = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let usage = |layer: u32| roles.get(layer as usize).map_or(Usage::Unknown, |r| r.usage);
    let mut held = vec![Held { walls: 0.0, openings: NOWHERE }; drawing.nodes.len()];
    let lines = &drawing.lines;
    let grow = |b: &mut [f64; 4], o: [f64; 4]| {
        *b = [b[0].min(o[0]), b[1].min(o[1]), b[2].max(o[2]), b[3].max(o[3])];
    };
    for (i, shape) in lines.shapes.iter().enumerate() {
        let Some(slot) = held.get_mut(shape.via as usize) else { continue };
        let usage = usage(shape.layer);
        let segments = || lines.segments_of(i).filter_map(|j| lines.segments.get(j));
        if usage == Usage::Wall && fates.get(i) == Some(&Fate::Open) {
            slot.walls += segments().map(|g: &Segment| norm(sub(g.b, g.a))).sum::<f64>();
        } else if usage.is_opening() && shape.is_line() {
            segments()
                .flat_map(|g| [g.a, g.b])
                .for_each(|p| grow(&mut slot.openings, [p[0], p[1], p[0], p[1]]));
            for a in lines.arcs_of(i).filter_map(|j| lines.arcs.get(j)) {
                let (x, y) = (a.extent([1.0, 0.0]), a.extent([0.0, 1.0]));
                grow(&mut slot.openings, [x[0], y[0], x[1], y[1]]);
            }
        }
    }
    // Parents come first.
    for i in (0..held.len()).rev() {
        let (Some(own), Some(node)) = (held.get(i).copied(), drawing.nodes.get(i)) else {
            continue;
        };
        if let Some(parent) = held.get_mut(node.parent as usize) {
            parent.walls += own.walls;
            grow(&mut parent.openings, own.openings);
        }
    }
    let is_plan = |h: &Held| {
        let b = h.openings;
        let size = (b[2] - b[0]).max(b[3] - b[1]).max(0.0);
        h.walls > 0.0 && h.walls > size * PLAN
    };
    held.iter().map(is_plan).collect()
}

/// Name of the block that a door or window is: of the inserts around a shape the outermost that has such a name.
pub(crate) fn block_of(s: &Survey<'_>, via: u32) -> String {
    let (mut at, mut out) = (via, String::new());
    while let Some(node) = s.drawing.nodes.get(at as usize) {
        let name = s.file.block_name(node.block);
        if crate::blocknames::kind(&name).is_some() {
            out = name;
        }
        at = node.parent;
    }
    out
}

/// Takes apart what is one insert, but too large to be one door or window.
pub(crate) fn split_large(s: &mut Survey<'_>, k: f64) {
    let whole = s.whole_symbols.min(s.symbols.len());
    let is_large = |x: &Symbol| x.size() * k > LARGEST_IN;
    if !s.symbols.iter().take(whole).any(is_large) {
        return;
    }
    let loose = s.symbols.split_off(whole);
    let (large, mut kept): (Vec<Symbol>, Vec<Symbol>) =
        std::mem::take(&mut s.symbols).into_iter().partition(is_large);
    s.whole_symbols = kept.len();
    for x in large {
        let pieces = x.shapes.iter().map(|i| of_shapes(&s.drawing, x.kind, &[*i], x.told));
        kept.extend(pieces);
    }
    kept.extend(loose);
    s.symbols = kept;
}

#[cfg(test)]
mod tests {
    use crate::testing::{Dxf, entity, line};
    use crate::tests::ok;
    use wall_model::OpeningKind;

    /// Two centrelines of a house, each broken at a door, a window in a third, all loose.
    fn plan() -> String {
        let door = |n: usize, x: f64, y: f64| {
            line(&format!("D{n}"), "A-DOOR", [x, y], [x, y + 36.0])
                + &entity(
                    "ARC",
                    &format!("E{n}"),
                    "A-DOOR",
                    &[(10, x), (20, y), (40, 36.0), (50, 0.0), (51, 90.0)],
                )
        };
        line("A1", "A-WALL", [0.0, 0.0], [100.0, 0.0])
            + &line("A2", "A-WALL", [136.0, 0.0], [480.0, 0.0])
            + &line("A3", "A-WALL", [480.0, 0.0], [480.0, 360.0])
            + &line("A4", "A-WALL", [480.0, 360.0], [0.0, 360.0])
            + &line("A5", "A-WALL", [0.0, 360.0], [0.0, 0.0])
            + &line("A6", "A-WALL", [0.0, 180.0], [200.0, 180.0])
            + &line("A7", "A-WALL", [236.0, 180.0], [480.0, 180.0])
            + &door(1, 100.0, 0.0)
            + &door(2, 200.0, 180.0)
            + &line("F1", "A-GLAZ", [300.0, -2.0], [348.0, -2.0])
            + &line("F2", "A-GLAZ", [300.0, 2.0], [348.0, 2.0])
            + &line("F3", "A-GLAZ", [60.0, 358.0], [108.0, 358.0])
    }

    fn found(d: &Dxf) -> Vec<(usize, Vec<(OpeningKind, f64)>)> {
        let walls = ok(d).value.walls;
        let openings = |w: &wall_model::Wall| {
            w.openings.iter().map(|o| (o.kind, (o.to - o.from).to_inches())).collect()
        };
        walls.iter().map(|w| (w.openings.len(), openings(w))).filter(|w| w.0 > 0).collect()
    }

    #[test]
    fn a_plan_that_is_one_insert_has_its_doors_and_windows_one_by_one() {
        use OpeningKind::{Door, Window};
        let want = [
            (2, vec![(Door, 36.0), (Window, 48.0)]),
            (1, vec![(Door, 36.0)]),
            (1, vec![(Window, 48.0)]),
        ];
        assert_eq!(found(&Dxf::inches().raw(&plan())), want);
        let one = Dxf::inches().block("PLAN", [0.0, 0.0], &plan());
        assert_eq!(found(&one.clone().insert("0", "PLAN", [0.0, 0.0], &[])), want);
        // The whole plan inserted on the door layer.
        assert_eq!(found(&one.insert("A-DOOR", "PLAN", [0.0, 0.0], &[])), want);
    }

    /// Windows of a storey as one insert, without walls in it: larger than any window.
    #[test]
    fn all_windows_in_one_insert_are_several() {
        let windows = line("F1", "A-GLAZ", [40.0, 0.0], [88.0, 0.0])
            + &line("F2", "A-GLAZ", [300.0, 360.0], [348.0, 360.0]);
        let d = Dxf::inches().house().block("WINDOWS", [0.0, 0.0], &windows);
        let window = (1, vec![(OpeningKind::Window, 48.0)]);
        assert_eq!(found(&d.insert("0", "WINDOWS", [0.0, 0.0], &[])), vec![window; 2]);
    }

    /// A window whose block has its jambs and faces on the wall layer stays one symbol.
    #[test]
    fn a_window_with_its_jambs_is_one() {
        let window = line("F1", "A-GLAZ", [0.0, -1.0], [40.0, -1.0])
            + &line("F2", "A-GLAZ", [4.0, 1.0], [48.0, 1.0])
            + &line("F3", "A-WALL", [0.0, -2.0], [0.0, 2.0])
            + &line("F4", "A-WALL", [48.0, -2.0], [48.0, 2.0]);
        let d = Dxf::inches().house().block("W", [0.0, 0.0], &window);
        let walls = ok(&d.insert("0", "W", [100.0, 0.0], &[])).value.walls;
        let widths = walls.iter().flat_map(|w| &w.openings).map(|o| (o.to - o.from).to_inches());
        assert_eq!(widths.collect::<Vec<f64>>(), [48.0]);
    }
}
