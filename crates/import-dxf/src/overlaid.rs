//! Pairs of lines that are no walls because of other walls they lie in or across.
//!
//! Knows: sashes in a wall, the same wall drawn twice, jambs taken for faces. Never touches: layers,
//! confidence. All in inches.

use crate::affine::{Xy, cross, dot, norm, sub};
use crate::linework::{Segment, sine_between};
use crate::lonechains::length;
use crate::nearby::LineIndex;
use crate::pairing::FoundWall;
use crate::walls::THICKEST_FACES_IN;

/// How far a window stands out of its wall, inches.
const CASING_IN: f64 = 3.0;
/// Walls whose axes differ by no more are on one axis, inches.
const ON_AXIS_IN: f64 = 0.5;

/// Without what lies inside a longer, thicker wall: the sashes of its windows; and without what lies on
/// the axis of another: the frame of its door, or the same wall on another layer.
pub(crate) fn without_inner(walls: Vec<FoundWall>) -> Vec<FoundWall> {
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&axes);
    let inside = |(i, w): (usize, &FoundWall), (j, o): (usize, &FoundWall)| {
        let along = sub(o.line.b, o.line.a);
        let long = norm(along).max(1e-9);
        let dir = [along[0] / long, along[1] / long];
        let off = |p: Xy| dot(sub(p, o.line.a), [-dir[1], dir[0]]).abs();
        let on_axis = off(w.line.a).max(off(w.line.b)) <= ON_AXIS_IN;
        let longer = long > length(&w.line) + ON_AXIS_IN
            || (on_axis && long >= length(&w.line) - ON_AXIS_IN && j < i);
        (o.overall > w.overall || on_axis)
            && longer
            && [w.line.a, w.line.b].iter().all(|p| {
                let d = sub(*p, o.line.a);
                let (s, off) = (dot(d, dir), dot(d, [-dir[1], dir[0]]).abs());
                // Sashes may stand out of the wall by a casing.
                off + w.overall / 2.0 <= o.overall / 2.0 + CASING_IN && s >= -1.0 && s <= long + 1.0
            })
    };
    let inner: Vec<bool> = walls
        .iter()
        .enumerate()
        .map(|(i, w)| {
            index
                .near_line(&w.line, THICKEST_FACES_IN)
                .into_iter()
                .map(|j| j as usize)
                .any(|j| j != i && walls.get(j).is_some_and(|o| inside((i, w), (j, o))))
        })
        .collect();
    walls.into_iter().zip(inner).filter(|x| !x.1).map(|x| x.0).collect()
}

/// Without pairs of which one face lies across a longer wall: a line and the jamb of a door beside it.
pub(crate) fn without_jambs(walls: Vec<FoundWall>, lines: &[Segment]) -> Vec<FoundWall> {
    let axes: Vec<Segment> = walls.iter().map(|w| w.line).collect();
    let index = LineIndex::new(&axes);
    let is_pair_with_jamb = |i: usize, w: &FoundWall| {
        let along = sub(w.line.b, w.line.a);
        let side =
            |g: &Segment| cross(along, sub(g.a, w.line.a)) + cross(along, sub(g.b, w.line.a));
        let own: Vec<&Segment> = w.lines.iter().filter_map(|j| lines.get(*j)).collect();
        let near = index.near_line(&w.line, THICKEST_FACES_IN);
        near.into_iter().filter_map(|j| Some((j as usize, walls.get(j as usize)?))).any(|(j, o)| {
            let axis = sub(o.line.b, o.line.a);
            let long = norm(axis).max(1e-9);
            let dir = [axis[0] / long, axis[1] / long];
            let within = |p: Xy| {
                let d = sub(p, o.line.a);
                let (s, off) = (dot(d, dir), cross(dir, d).abs());
                off <= o.overall / 2.0 + ON_AXIS_IN && s >= -ON_AXIS_IN && s <= long + ON_AXIS_IN
            };
            let all_within = |left: bool| {
                let mut face = own.iter().filter(|g| (side(g) > 0.0) == left).peekable();
                face.peek().is_some() && face.all(|g| within(g.a) && within(g.b))
            };
            i != j
                && long > length(&w.line)
                && sine_between(along, axis) > 0.1
                && (all_within(true) || all_within(false))
        })
    };
    let jambs: Vec<bool> = walls
        .iter()
        .enumerate()
        .map(|(i, w)| w.lines.len() > 1 && is_pair_with_jamb(i, w))
        .collect();
    walls.into_iter().zip(jambs).filter(|x| !x.1).map(|x| x.0).collect()
}
