//! A sheet's border on a layer that is named for walls.
//!
//! Knows: wall layers whose only lines are a frame around a plan that is drawn on other layers. Never touches: how
//! walls are found by their shape (`byshape`), borders on other layers.
//!
//! A house's outer walls are a frame too, but its partitions meet them: between a border and the plan is space.

use crate::account::{Fate, Reason};
use crate::affine::{norm, sub};
use crate::byshape::look;
use crate::confidence::{SURE, Scored};
use crate::file::DxfFile;
use crate::flatten::Drawing;
use crate::layers::{LayerRole, Usage};
use crate::linework::Segment;
use crate::pairing::union_length;
use limits::Watch;
use settings::Settings;

/// A border has no more lines, with a title block and the sheet's folds.
const MOST_LINES: usize = 400;
/// Share of each side that is drawn.
const DRAWN: f64 = 0.95;
/// A line this near to a side, as a share of the frame's larger side, is part of it.
const ON_SIDE: f64 = 0.002;
/// Between the border and the plan is at least so much, inches.
const SPACE_IN: f64 = 12.0;
/// The plan's walls come to this share of the way around at least.
const WALLS: f64 = 0.5;

/// Takes what is only a border out of the wall layers, where the walls are found on other layers then.
pub(crate) fn leave_out(
    file: &DxfFile<'_>,
    drawing: &Drawing,
    roles: &mut Vec<LayerRole>,
    fates: &mut Vec<Fate>,
    settings: &Settings,
    watch: &Watch,
) {
    let Some((lines, frame)) = frame(drawing, roles, fates) else { return };
    let mut bare_roles = roles.clone();
    let mut bare_fates = fates.clone();
    for role in bare_roles.iter_mut().filter(|r| r.usage == Usage::Wall) {
        *role = LayerRole {
            excluded_wall: true,
            ..LayerRole::new(
                Usage::Ignored,
                "its lines only frame what is drawn on other layers, as a sheet's border does",
            )
        };
    }
    let is_wall = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.usage == Usage::Wall);
    for (shape, fate) in drawing.lines.shapes.iter().zip(&mut bare_fates) {
        if *fate == Fate::Open && is_wall(shape.layer) {
            *fate = Fate::Left(Reason::Ignored);
        }
    }
    let Some(found) = look(file, drawing, &bare_roles, &bare_fates, settings, watch) else {
        return;
    };
    let k = found.inches;
    let middle = found.network.middle;
    let own = |w: &Scored| norm(sub(w.wall.line.b, w.wall.line.a));
    let length: f64 = found.network.believed().map(own).sum();
    let around = 2.0 * (frame[2] - frame[0] + frame[3] - frame[1]) * k;
    let sure = found.network.weight() >= SURE * length;
    let mut plan = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    for p in found.network.believed().flat_map(|w| [w.wall.line.a, w.wall.line.b]) {
        for axis in [0, 1] {
            let v = (p[axis] + middle[axis]) / k;
            plan[axis] = plan[axis].min(v - SPACE_IN / k);
            plan[axis + 2] = plan[axis + 2].max(v + SPACE_IN / k);
        }
    }
    let within = (0..2).all(|a| plan[a] > frame[a] && plan[a + 2] < frame[a + 2]);
    let meets = |g: &Segment| {
        (0..2).all(|a| g.a[a].min(g.b[a]) <= plan[a + 2] && g.a[a].max(g.b[a]) >= plan[a])
    };
    if sure && within && length >= WALLS * around && !lines.iter().any(meets) {
        (*roles, *fates) = (bare_roles, bare_fates);
    }
}

/// All lines of the wall layers, and the box around them, where its four sides are drawn.
fn frame(
    drawing: &Drawing,
    roles: &[LayerRole],
    fates: &[Fate],
) -> Option<(Vec<Segment>, [f64; 4])> {
    let is_wall = |layer: u32| roles.get(layer as usize).is_some_and(|r| r.usage == Usage::Wall);
    let mut lines: Vec<Segment> = Vec::new();
    for (i, shape) in drawing.lines.shapes.iter().enumerate().filter(|(_, s)| is_wall(s.layer)) {
        let own = drawing.lines.segments_of(i);
        let plain = shape.is_line() && drawing.lines.arcs_of(i).is_empty();
        if lines.len() + own.len() > MOST_LINES || !plain || fates.get(i) != Some(&Fate::Open) {
            return None;
        }
        lines.extend(own.filter_map(|j| drawing.lines.segments.get(j)));
    }
    if lines.len() < 4 {
        return None;
    }
    let all = |axis: usize| lines.iter().flat_map(move |g| [g.a[axis], g.b[axis]]);
    let least = [0, 1].map(|axis| all(axis).fold(f64::INFINITY, f64::min));
    let most = [0, 1].map(|axis| all(axis).fold(f64::NEG_INFINITY, f64::max));
    let near = ON_SIDE * (most[0] - least[0]).max(most[1] - least[1]);
    let drawn = |axis: usize, side: f64| {
        let along = 1 - axis;
        let on = lines.iter().filter(|g| [g.a, g.b].iter().all(|p| (p[axis] - side).abs() <= near));
        let spans = on.map(|g| [g.a[along].min(g.b[along]), g.a[along].max(g.b[along])]);
        let sum = union_length(spans.collect());
        sum >= DRAWN * (most[along] - least[along]) && sum > 0.0
    };
    let closed = [0, 1].into_iter().all(|axis| drawn(axis, least[axis]) && drawn(axis, most[axis]));
    closed.then_some((lines, [least[0], least[1], most[0], most[1]]))
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::{ok, with};

    fn boxed(d: Dxf, layer: &str, [x0, y0, x1, y1]: [f64; 4]) -> Dxf {
        d.polyline(layer, &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true)
    }
    /// Two rooms of faces on a layer that says nothing, a double border on one named for walls.
    fn plan(border: &[[f64; 4]]) -> Dxf {
        let mut d = border.iter().fold(Dxf::inches(), |d, b| boxed(d, "WALL", *b));
        d = boxed(d, "XYZ", [0.0, 0.0, 480.0, 360.0]);
        d = boxed(d, "XYZ", [5.5, 5.5, 238.0, 354.5]);
        boxed(d, "XYZ", [241.5, 5.5, 474.5, 354.5])
    }
    const BORDER: [[f64; 4]; 2] = [[-120.0, -120.0, 660.0, 480.0], [-100.0, -100.0, 640.0, 460.0]];

    #[test]
    fn a_border_on_a_layer_named_for_walls_does_not_hide_the_plan() {
        let o = ok(&plan(&BORDER));
        assert_eq!(o.value.walls.len(), 5);
        assert!(o.value.walls.iter().all(|w| (w.end.x - w.start.x).to_inches() < 500.0));
        let told = with(&o.findings, "dxf-layer-excluded");
        assert!(told[0].message.contains("border"), "{}", told[0].message);
        // With a title block.
        let d = plan(&BORDER).line("WALL", [500.0, -100.0], [500.0, -40.0]);
        let d = d.line("WALL", [500.0, -40.0], [640.0, -40.0]);
        assert_eq!(ok(&d).value.walls.len(), 5);
    }

    #[test]
    fn outer_walls_that_others_meet_are_no_border() {
        // Its partitions, and more of them, on another layer.
        let mut d = boxed(
            boxed(Dxf::inches(), "WALL", [0.0, 0.0, 480.0, 360.0]),
            "WALL",
            [5.5, 5.5, 474.5, 354.5],
        );
        for x in [120.0, 240.0, 360.0] {
            d = d.line("XYZ", [x, 5.5], [x, 354.5]).line("XYZ", [x + 4.5, 5.5], [x + 4.5, 354.5]);
        }
        let o = ok(&d);
        assert!(with(&o.findings, "dxf-layer-excluded").is_empty());
        assert_eq!(o.value.walls.len(), 4);
        // A house with nothing in it but a table, a shed's walls alone.
        let table = boxed(plan(&[]), "WALL", [500.0, 0.0, 700.0, 200.0]);
        assert!(with(&ok(&table).findings, "dxf-layer-excluded").is_empty());
    }
}
