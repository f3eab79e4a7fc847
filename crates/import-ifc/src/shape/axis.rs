//! The line a wall is drawn on: its Axis representation, its straight pieces, and which side of them is the
//! wall's own left.

use super::{Piece, WallTop};
use crate::bow::Bow;
use crate::file::Why;
use crate::geometry::Shapes;
use crate::geometry::affine::Affine;
use crate::geometry::curve::Polyline;
use crate::geometry::footprint::Plan;
use crate::step::{Param, Params, Record};

/// The points of the Axis representation of a shape (the product's parameter 6) in the world.
pub fn axis<'a>(
    shapes: &Shapes<'_, 'a>,
    shape: Param<'a>,
    world: &Affine,
) -> Result<Option<Polyline>, Why> {
    let Some(shape) = shape.reference().and_then(|id| shapes.file.find(id)) else {
        return Ok(None);
    };
    // Its parameters past the name, where that is an axis's.
    let axis_of = |r: Record<'a>| {
        let mut each = r.values();
        let name = each.nth(1)?.raw_string()?;
        name.trim_ascii().eq_ignore_ascii_case(b"axis").then_some((r, each))
    };
    let mut all = shape.references(2).filter_map(|id| shapes.file.find(id));
    let Some((axis, mut rest)) = all.find_map(axis_of) else { return Ok(None) };
    let mut whole = Polyline::default();
    let add = |whole: &mut Polyline, mut part: Polyline, map: &Affine| {
        whole.curved |= part.curved;
        part.points.iter_mut().for_each(|p| *p = world.point(map.point(*p)));
        if whole.points.is_empty() {
            whole.points = part.points;
        } else {
            whole.points.append(&mut part.points);
        }
    };
    let items = if rest.next().is_some() { Some(rest.next_list()) } else { None };
    for id in items.into_iter().flat_map(Params::references) {
        if let Some(line) = shapes.line_at_a_glance(id)? {
            add(&mut whole, line, &Affine::IDENTITY);
            continue;
        }
        let item = shapes.file.get(id)?;
        let (curves, map) = if item.is("IFCMAPPEDITEM") {
            let source = shapes.file.follow(&item, 0)?;
            let origin = shapes.placement_or_identity(source.param(0))?;
            let target = shapes.operator(&shapes.file.follow(&item, 1)?)?;
            let inner = shapes.file.follow(&source, 1)?;
            (inner.references(3), target.after(&origin))
        } else if item.is("IFCGEOMETRICCURVESET") || item.is("IFCGEOMETRICSET") {
            (item.references(0), Affine::IDENTITY)
        } else {
            add(&mut whole, shapes.curve_of(&item, 0)?, &Affine::IDENTITY);
            continue;
        };
        for curve in curves {
            add(&mut whole, shapes.curve_of(&shapes.file.get(curve)?, 0)?, &map);
        }
    }
    match whole.points.len() {
        0 | 1 => Err(format!("#{} gives no line", axis.id)),
        _ => Ok(Some(whole)),
    }
}

/// The straight pieces of an axis: repeated points and needless corners are dropped.
pub fn pieces(line: &Polyline, world: &Affine) -> Vec<Piece> {
    let flat: Vec<Plan> = line.points.iter().map(|p| (p[0], p[1])).collect();
    let span = |a: Plan, b: Plan| (b.0 - a.0).hypot(b.1 - a.1);
    let whole: f64 = flat.windows(2).map(|w| span(w[0], w[1])).sum();
    let mut points: Vec<Plan> = Vec::new();
    for p in flat {
        if points.last().is_some_and(|q| span(*q, p) <= 1e-9 * whole) {
            continue;
        }
        if let [.., a, b] = points.as_slice() {
            let (u, v) = ((b.0 - a.0, b.1 - a.1), (p.0 - b.0, p.1 - b.1));
            let (cross, dot) = (u.0 * v.1 - u.1 * v.0, u.0 * v.0 + u.1 * v.1);
            if dot > 0.0 && cross.abs() < 1e-4 * dot {
                points.pop();
            }
        }
        points.push(p);
    }
    let piece = |w: &[Plan]| Piece {
        start: w[0],
        end: w[1],
        y_left: y_left(w[0], w[1], world),
        band: None,
        top: WallTop::NONE,
    };
    points.windows(2).map(piece).collect()
}

/// The straight parts of an arc.
pub fn parts_of(
    bow: &Bow,
    band: Option<(f64, f64)>,
    world: &Affine,
    off_curve: f64,
) -> Option<Vec<Piece>> {
    let points = bow.arc?.parts(bow.ends.0, off_curve)?;
    let y_left = left_of_a_line(world);
    let part = |w: &[Plan]| Piece { start: w[0], end: w[1], y_left, band, top: WallTop::NONE };
    Some(points.windows(2).map(part).collect())
}

/// On which side of the line the wall's own y lies. By the standard the axis runs along the wall's
/// x; where an exporter lets it run another way, the y of its layers is taken as the left of the
/// line in the wall's own coordinates.
pub fn y_left(start: Plan, end: Plan, world: &Affine) -> f64 {
    let left = (-(end.1 - start.1), end.0 - start.0);
    let len = left.0.hypot(left.1);
    let across = (world.y[0] * left.0 + world.y[1] * left.1) / len;
    if across.abs() > 0.999 {
        return across.signum();
    }
    left_of_a_line(world)
}

/// Where the left of a line in a wall's own coordinates is, seen from above: of an upside-down or mirrored
/// wall on the right.
fn left_of_a_line(world: &Affine) -> f64 {
    let upright = world.x[0] * world.y[1] - world.x[1] * world.y[0];
    if upright < 0.0 { -1.0 } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> Polyline {
        Polyline { points: points.iter().map(|p| [p.0, p.1, 0.0]).collect(), curved: false }
    }

    #[test]
    fn bends_make_pieces_and_needless_points_do_not() {
        let l = line(&[(0.0, 0.0), (0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 7.0)]);
        let p = pieces(&l, &Affine::IDENTITY);
        let ends: Vec<(Plan, Plan)> = p.iter().map(|p| (p.start, p.end)).collect();
        assert_eq!(ends, [((0.0, 0.0), (10.0, 0.0)), ((10.0, 0.0), (10.0, 7.0))]);
        assert!(pieces(&line(&[(1.0, 1.0), (1.0, 1.0)]), &Affine::IDENTITY).is_empty());
    }

    #[test]
    fn the_side_of_y() {
        let flipped = Affine::placement([0.0; 3], Some([0.0, 0.0, -1.0]), None);
        let (a, b, c) = ((0.0, 0.0), (10.0, 0.0), (6.0, 8.0));
        assert_eq!(y_left(a, b, &Affine::IDENTITY), 1.0);
        assert_eq!(y_left(b, a, &Affine::IDENTITY), -1.0);
        assert_eq!(y_left(a, b, &flipped), -1.0);
        assert_eq!(y_left(a, c, &Affine::IDENTITY), 1.0);
        assert_eq!(y_left(a, c, &flipped), -1.0);
    }
}
