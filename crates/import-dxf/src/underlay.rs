//! The drawing's own lines for people to look at, each with what became of it.
//!
//! Knows: which lines a picture holds and in which order. Never touches: what becomes of anything.

use crate::account::{Fate, reason_text};
use crate::affine::Xy;
use crate::linework::{Arc, Kind, mark};
use crate::survey::Survey;
use settings::Mirror;
use std::collections::BTreeMap;
use wall_model::{LineGroup, Linework};

/// Lines a picture holds at most: some 300 kB in a report.
const MOST_LINES: usize = 25_000;
/// Chords of a whole turn.
const CHORDS: f64 = 24.0;
/// Farther from the origin than this a line is part of no picture (`f32` holds 1/100 in to here).
const FARTHEST_IN: f64 = 100_000.0;

fn chords(arc: &Arc) -> usize {
    let turns = arc.sweep.abs() / std::f64::consts::TAU;
    (turns * CHORDS).ceil().clamp(1.0, CHORDS) as usize
}

/// The linework of a drawing in the plan's own frame. `k` is inches a drawing unit; every fate must be
/// settled.
pub(crate) fn linework(s: &Survey<'_>, k: f64, origin: (f64, f64), mirror: Mirror) -> Linework {
    let plan = |p: Xy| {
        let (x, y) = (p[0] * k, p[1] * k);
        let (x, y) = mirror.point((x, y));
        [x - origin.0, y - origin.1]
    };
    let lines = &s.drawing.lines;
    let nobody = crate::layers::role_of("", &settings::Settings::default());
    let shown = |i: &usize| lines.shapes[*i].marks & (mark::INVISIBLE | mark::FROZEN) == 0;
    let key = |i: usize| (s.fates[i], lines.shapes[i].layer, lines.shapes[i].kind);
    let all = 0..lines.shapes.len().min(s.fates.len());
    let mut sizes: BTreeMap<(Fate, u32, Kind), usize> = BTreeMap::new();
    for i in all.clone().filter(shown) {
        *sizes.entry(key(i)).or_default() += lines.segments_of(i).len()
            + lines.arcs_of(i).filter_map(|j| lines.arcs.get(j)).map(chords).sum::<usize>();
    }
    // Too many lines: whole groups are left away, so that the order in the file does not show. What was
    // read comes first, then small groups.
    let mut by_worth: Vec<_> = sizes.iter().map(|(k, n)| (k.0 != Fate::Used, *n, *k)).collect();
    by_worth.sort_unstable();
    let mut room = MOST_LINES;
    let mut omitted = 0;
    let mut groups: BTreeMap<(Fate, u32, Kind), Vec<[f32; 4]>> = BTreeMap::new();
    for (_, n, key) in by_worth {
        if n <= room {
            room -= n;
            groups.insert(key, Vec::with_capacity(n));
        } else {
            omitted += n as u64;
        }
    }
    for i in all.filter(shown) {
        let Some(group) = groups.get_mut(&key(i)) else { continue };
        let straight =
            lines.segments_of(i).filter_map(|j| lines.segments.get(j)).map(|g| (g.a, g.b));
        let curved = lines.arcs_of(i).filter_map(|j| lines.arcs.get(j)).flat_map(|arc| {
            let n = chords(arc);
            let at = move |i: usize| arc.at(arc.sweep * i as f64 / n as f64);
            (0..n).map(move |i| (at(i), at(i + 1)))
        });
        for (a, b) in straight.chain(curved) {
            let ([x1, y1], [x2, y2]) = (plan(a), plan(b));
            let drawn = [x1, y1, x2, y2];
            if drawn.iter().all(|v| v.is_finite() && v.abs() < FARTHEST_IN) {
                group.push(drawn.map(|v| v as f32));
            } else {
                omitted += 1;
            }
        }
    }
    let mut merged: BTreeMap<(Option<String>, &str), Vec<[f32; 4]>> = BTreeMap::new();
    for ((fate, layer, kind), drawn) in groups {
        let name = s.drawing.layer_name(layer);
        let left_out = match fate {
            Fate::Used | Fate::Open | Fate::Asked => None,
            Fate::Left(reason) => {
                let role = s.roles.get(layer as usize).unwrap_or(&nobody);
                Some(reason_text(reason, kind.name(), name, role))
            }
        };
        merged.entry((left_out, name)).or_default().extend(drawn);
    }
    let groups = merged.into_iter().filter(|(_, lines)| !lines.is_empty());
    let groups = groups.map(|((left_out, layer), mut lines_in)| {
        lines_in.sort_by(|a, b| a.partial_cmp(b).unwrap_or(std::cmp::Ordering::Equal));
        LineGroup { storey: None, layer: layer.to_owned(), left_out, lines_in }
    });
    Linework { groups: groups.collect(), omitted }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{Dxf, line};
    use settings::Settings;

    fn of(dxf: &Dxf, mirror: Mirror) -> Linework {
        let settings = Settings { mirror, ..Settings::default() };
        crate::read(dxf.text().as_bytes(), &settings).expect("a plan").value.linework
    }
    fn group<'a>(l: &'a Linework, layer: &str) -> &'a LineGroup {
        l.groups.iter().find(|g| g.layer == layer).expect("a group of that layer")
    }

    /// In the plan's frame, in order, each layer with what became of it.
    #[test]
    fn lines_stand_where_the_plan_does() {
        let house = Dxf::inches()
            .layer("A-WALL", 1, 0)
            .layer("A-FURN", 2, 0)
            .layer("A-GRID", 3, 1)
            .line("A-WALL", [1000.0, 500.0], [1480.0, 500.0])
            .line("A-WALL", [1480.0, 500.0], [1480.0, 860.0])
            .line("A-WALL", [1480.0, 860.0], [1000.0, 860.0])
            .line("A-WALL", [1000.0, 860.0], [1000.0, 500.0])
            .line("A-GRID", [900.0, 500.0], [1600.0, 500.0])
            .entity("CIRCLE", "A-FURN", &[(10, 1100.0), (20, 600.0), (40, 12.0)]);
        let l = of(&house, Mirror::None);
        let walls = group(&l, "A-WALL");
        assert_eq!((walls.left_out.as_deref(), l.omitted), (None, 0));
        let mut drawn = walls.lines_in.clone();
        assert!(drawn.is_sorted_by(|a, b| a <= b));
        drawn.retain(|g| g[1] == 0.0 && g[3] == 0.0);
        assert_eq!(drawn, [[0.0, 0.0, 480.0, 0.0]]);
        let furniture = group(&l, "A-FURN");
        assert!(furniture.left_out.as_deref().is_some_and(|why| why.contains("A-FURN")));
        assert_eq!(furniture.lines_in.len(), CHORDS as usize);
        let off = |g: &[f32; 4]| (g[0] - 100.0).hypot(g[1] - 100.0) - 12.0;
        assert!(furniture.lines_in.iter().all(|g| off(g).abs() < 1e-3));
        let frozen = group(&l, "A-GRID");
        assert!(frozen.left_out.as_deref().is_some_and(|why| why.contains("frozen")));

        let mirrored = of(&house, Mirror::X);
        let least = |g: &LineGroup| g.lines_in.iter().map(|l| l[0].min(l[2])).fold(1e9, f32::min);
        assert!((least(group(&mirrored, "A-FURN")) - (480.0 - 112.0)).abs() < 1e-3);
    }

    /// Whole groups are left away, the largest first, whatever their place in the file; never the walls.
    #[test]
    fn too_many_lines_lose_the_largest_group() {
        let many = |layer: &str, n: usize| -> String {
            let at = |i: usize| [(i % 500) as f64, (i / 500) as f64];
            (0..n).map(|i| line(&format!("{layer}{i}"), layer, at(i), [at(i)[0], 900.0])).collect()
        };
        let (few, most) = (many("A-FURN", 100), many("A-HATCH", MOST_LINES));
        for order in [format!("{few}{most}"), format!("{most}{few}")] {
            let l = of(&Dxf::inches().raw(&order).house(), Mirror::None);
            assert_eq!(l.omitted, MOST_LINES as u64);
            assert_eq!(group(&l, "A-WALL").lines_in.len(), 4);
            assert_eq!(group(&l, "A-FURN").lines_in.len(), 100);
            assert!(l.groups.iter().all(|g| g.layer != "A-HATCH"));
        }
    }
}
