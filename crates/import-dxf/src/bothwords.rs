//! Layers whose names have a word for walls and one for doors, windows or openings.
//!
//! Knows: when what is drawn on such a layer decides that it is a wall layer. Never touches: how walls are found by
//! their shape (`byshape`), names that a standard settles (`layers`).
//!
//! Where another layer is known to hold walls such a layer holds openings. Where none is, the walls may be on it, and
//! the windows as lines among their faces: it is a wall layer if pairs of lines on it join into a network that makes
//! most of the walls that can be found at all. In an elevation the sides of windows do so too: where doors swing in the
//! drawing, they must swing in those walls.

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::byshape::{Unnamed, look};
use crate::confidence::{SURE, Scored};
use crate::copies::leave_out_copies;
use crate::doors::{self, Door};
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage, as_wall};
use crate::linework::Segment;
use crate::nearby::LineIndex;
use crate::network::distance;
use crate::survey::{first_fates, plural};
use limits::Watch;
use settings::Settings;
use std::collections::BTreeMap;

/// Least length of the walls on such layers together, and on one of them, inches: 40 and 20 ft.
const LEAST_IN: [f64; 2] = [480.0, 240.0];
/// Least share of the walls on all layers of unknown use.
const MOST: f64 = 0.5;

/// So many swings of doors show where the plan is.
const SWINGS: usize = 3;
/// Least share of them that is in these walls.
const IN_WALLS: f64 = 0.25;
/// A hinge is no farther from the face of its wall, inches.
const HINGE_IN: f64 = 6.0;

/// Makes wall layers of those that hold walls.
pub(crate) fn decide(
    file: &DxfFile<'_>,
    drawing: &Drawing,
    roles: &mut [LayerRole],
    settings: &Settings,
    watch: &Watch,
) {
    if !roles.iter().any(|r| r.has_wall_word) {
        return;
    }
    // As if their names said nothing.
    let mut bare = roles.to_vec();
    for role in bare.iter_mut().filter(|r| r.has_wall_word) {
        role.usage = Usage::Unknown;
    }
    let mut fates = first_fates(drawing, &bare);
    leave_out_copies(file, drawing, &mut fates, watch);
    let Some(found) = look(file, drawing, &bare, &fates, settings, watch) else { return };
    if found.network.singles {
        return;
    }
    let (of_layer, all) = walls_by_layer(drawing, &found);
    let has_both = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.has_wall_word);
    let both: Vec<(u32, OfLayer)> = of_layer.into_iter().filter(|(l, _)| has_both(*l)).collect();
    let long: f64 = both.iter().map(|(_, o)| o.length).sum();
    if long < LEAST_IN[0] || long < all * MOST {
        return;
    }
    if !doors_swing_in(drawing, &fates, &found, &has_both) {
        return;
    }
    for (layer, own) in both {
        let name = drawing.layer_name(layer);
        let Some(role) = roles.get_mut(layer as usize) else { continue };
        if own.length < LEAST_IN[1] || own.weight < own.length * SURE {
            continue;
        }
        let rule = format!(
            "{}: pairs of lines on it at a wall's thickness join into a network ({} {}, {:.0} ft), and no \
             other layer is known to hold walls",
            role.rule,
            own.walls,
            plural(own.walls as u64, "wall"),
            own.length / 12.0
        );
        *role = as_wall(name, rule);
    }
}

/// Walls of one layer: how many, how long, length times confidence.
#[derive(Default)]
struct OfLayer {
    walls: usize,
    length: f64,
    weight: f64,
}

/// The walls that are believed, by the layer of their first face, and the length of all.
fn walls_by_layer(drawing: &Drawing, found: &Unnamed) -> (BTreeMap<u32, OfLayer>, f64) {
    let mut out: BTreeMap<u32, OfLayer> = BTreeMap::new();
    let mut all = 0.0;
    for w in found.network.believed() {
        let length = norm(sub(w.wall.line.b, w.wall.line.a));
        all += length;
        let Some(layer) = layer_of(drawing, found, w) else { continue };
        let slot = out.entry(layer).or_default();
        slot.walls += 1;
        slot.length += length;
        slot.weight += length * w.confidence;
    }
    (out, all)
}

/// Whether doors swing in the walls of these layers, as far as any do.
fn doors_swing_in(
    drawing: &Drawing,
    fates: &[Fate],
    found: &Unnamed,
    is_one: &dyn Fn(u32) -> bool,
) -> bool {
    let seen = |i: usize| {
        matches!(fates.get(i), Some(Fate::Open | Fate::Left(Reason::NotUsed)))
            && drawing.lines.shapes.get(i).is_some_and(|s| s.is_line())
    };
    let doors = doors::find(drawing, &seen);
    if doors.len() < SWINGS {
        return true;
    }
    let n = &found.network;
    let (axes, half): (Vec<Segment>, Vec<f64>) = n
        .believed()
        .filter(|w| layer_of(drawing, found, w).is_some_and(is_one))
        .map(|w| (w.wall.line, w.wall.overall / 2.0))
        .unzip();
    let index = LineIndex::new(&axes);
    let reach = half.iter().copied().fold(0.0, f64::max) + HINGE_IN;
    let hangs = |door: &&Door| {
        let p = door.leaf.a;
        let p = [p[0] * found.inches - n.middle[0], p[1] * found.inches - n.middle[1]];
        index.near(&[p], reach).into_iter().any(|i| {
            let wall = axes.get(i as usize).zip(half.get(i as usize));
            wall.is_some_and(|(axis, half)| distance(axis, p) <= half + HINGE_IN)
        })
    };
    doors.iter().filter(hangs).count() as f64 >= doors.len() as f64 * IN_WALLS
}

/// The layer of a wall's first face.
fn layer_of(drawing: &Drawing, found: &Unnamed, w: &Scored) -> Option<u32> {
    let shape = w.wall.lines.first().and_then(|i| found.network.shapes.get(*i))?;
    drawing.lines.shapes.get(*shape).map(|x| x.layer)
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};
    use diag::Severity;
    use wall_model::OpeningKind;

    const BOTH: [&str; 3] = ["Walls and windows", "MURS-FENETRES", "PAREDES Y PUERTAS"];

    /// Two rooms of faces on a layer, with a window between jambs in the wall below.
    fn rooms(layer: &str) -> Dxf {
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in
            [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 238.0, 354.5], [241.5, 5.5, 474.5, 354.5]]
        {
            d = d.polyline(layer, &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        for x in [60.0, 108.0] {
            d = d.line(layer, [x, 0.0], [x, 5.5]);
        }
        d.line(layer, [60.0, 2.75], [108.0, 2.75])
    }

    #[test]
    fn walls_and_windows_on_one_layer() {
        for layer in BOTH {
            let o = ok(&rooms(layer));
            assert_eq!(o.value.walls.len(), 5, "{layer}");
            let openings: Vec<_> = o.value.walls.iter().flat_map(|w| &w.openings).collect();
            assert_eq!(openings.len(), 1, "{layer}");
            assert_eq!(openings[0].kind, OpeningKind::Window);
            let told = with(&o.findings, "dxf-layer-by-word");
            assert_eq!(told[0].severity, Severity::Warning);
            for part in ["5 walls", "no other layer", "use = \"wall\""] {
                assert!(told[0].message.contains(part), "{part}: {}", told[0].message);
            }
            assert!(with(&o.findings, "dxf-walls-by-shape").is_empty());
        }
    }

    #[test]
    fn windows_on_such_a_layer_stay_windows_beside_walls() {
        // The walls on a layer that is known, or on one that nothing is known of; a box of glass in a wall.
        let glass = [[60.0, 0.0], [108.0, 0.0], [108.0, 5.5], [60.0, 5.5]];
        for walls in ["A-WALL", "XYZ"] {
            let mut d = Dxf::inches();
            for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
                d = d.polyline(walls, &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
            }
            let o = ok(&d.polyline(BOTH[0], &glass, true));
            assert_eq!(o.value.walls.len(), 4, "{walls}");
            assert_eq!(o.value.walls.iter().map(|w| w.openings.len()).sum::<usize>(), 1);
        }
        // Walls of its own do not make it a wall layer beside another one.
        let o = ok(&rooms(BOTH[0]).house());
        assert_eq!(o.value.walls.len(), 4);
        assert!(o.value.walls.iter().all(|w| w.source[0].layer == "A-WALL"));
    }

    /// The same lines as an elevation beside a plan that doors swing in.
    #[test]
    fn an_elevation_on_such_a_layer_is_no_plan() {
        let mut d = rooms(BOTH[0]);
        for (inset, end) in [(0.0, 480.0), (5.5, 474.5)] {
            let corners =
                [[inset, inset], [end, inset], [end, 360.0 - inset], [inset, 360.0 - inset]];
            let beside = corners.map(|p| [p[0], p[1] + 1200.0]);
            d = d.polyline("XYZ", &beside, true);
        }
        for y in [100.0, 180.0, 260.0] {
            d = d.line("XYZ", [5.5, y + 1200.0], [41.5, y + 1200.0]);
            let swing = [(10, 5.5), (20, y + 1200.0), (40, 36.0), (50, 0.0), (51, 90.0)];
            d = d.entity("ARC", "XYZ", &swing);
        }
        let o = ok(&d);
        assert!(o.value.walls.iter().all(|w| w.source[0].layer == "XYZ"));
    }

    #[test]
    fn glass_walls_are_no_framed_walls() {
        let d = rooms("CURTAIN WALL WINDOWS");
        assert!(crate::read(d.text().as_bytes(), &settings::Settings::default()).is_err());
    }
}
