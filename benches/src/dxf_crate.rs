//! Flattened linework of what the `dxf` crate loads: it inserts no block itself, so this does, as plainly and quickly as
//! its data allow. Straight lines and arcs alone, in plan: no layers, no handles, no account, none of the
//! limits and none of the rarer entities that ours has.

use dxf::Drawing;
use dxf::entities::{Entity, EntityType, Insert};
use rustc_hash::FxHashMap;
use std::f64::consts::TAU;

type Xy = [f64; 2];

/// Blocks inside blocks are followed this deep, which also ends one that contains itself.
const NESTING: usize = 32;

/// An arc about `center`: both conjugate half axes, and radians from the first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Center.
    pub center: Xy,
    /// From the center to the start.
    pub u: Xy,
    /// The conjugate direction.
    pub v: Xy,
    /// Parameter at the end.
    pub sweep: f64,
}

/// Straight lines and arcs, drawing units.
#[derive(Default)]
pub struct Linework {
    /// Straight lines by their ends.
    pub lines: Vec<[Xy; 2]>,
    /// Arcs and circles.
    pub arcs: Vec<Arc>,
}

/// `p -> x p.x + y p.y + origin`.
#[derive(Clone, Copy)]
struct Map {
    x: Xy,
    y: Xy,
    origin: Xy,
}

impl Map {
    fn turn(&self, p: Xy) -> Xy {
        [self.x[0] * p[0] + self.y[0] * p[1], self.x[1] * p[0] + self.y[1] * p[1]]
    }
    fn point(&self, p: Xy) -> Xy {
        let t = self.turn(p);
        [t[0] + self.origin[0], t[1] + self.origin[1]]
    }
}

/// Lines and arcs of model space, all blocks inserted.
pub fn linework(drawing: &Drawing) -> Linework {
    let blocks = drawing.blocks().map(|b| (b.name.as_str(), b)).collect();
    let mut work = Work { blocks, out: Linework::default() };
    let map = Map { x: [1.0, 0.0], y: [0.0, 1.0], origin: [0.0, 0.0] };
    drawing.entities().for_each(|e| work.entity(e, &map, 0));
    work.out
}

struct Work<'d> {
    blocks: FxHashMap<&'d str, &'d dxf::Block>,
    out: Linework,
}

impl Work<'_> {
    fn entity(&mut self, entity: &Entity, map: &Map, depth: usize) {
        match &entity.specific {
            EntityType::Line(l) => {
                self.line([l.p1.x, l.p1.y], [l.p2.x, l.p2.y], map);
            }
            EntityType::Arc(a) => {
                let sweep = (a.end_angle - a.start_angle).rem_euclid(360.0);
                let sweep = if sweep == 0.0 { 360.0 } else { sweep };
                let (sin, cos) = a.start_angle.to_radians().sin_cos();
                let u = [a.radius * cos, a.radius * sin];
                self.arc([a.center.x, a.center.y], u, sweep.to_radians(), map);
            }
            EntityType::Circle(c) => {
                self.arc([c.center.x, c.center.y], [c.radius, 0.0], TAU, map);
            }
            EntityType::LwPolyline(p) => {
                let points = p.vertices.iter().map(|v| ([v.x, v.y], v.bulge));
                self.chain(points, p.is_closed(), map);
            }
            EntityType::Polyline(p) if !p.is_polyface_mesh() && !p.is_3d_polygon_mesh() => {
                let points = p.vertices().map(|v| ([v.location.x, v.location.y], v.bulge));
                self.chain(points, p.is_closed(), map);
            }
            EntityType::Insert(insert) if depth < NESTING => self.insert(insert, map, depth),
            _ => {}
        }
    }

    fn line(&mut self, a: Xy, b: Xy, map: &Map) {
        self.out.lines.push([map.point(a), map.point(b)]);
    }

    fn arc(&mut self, center: Xy, u: Xy, sweep: f64, map: &Map) {
        let (u, v) = (map.turn(u), map.turn([-u[1], u[0]]));
        self.out.arcs.push(Arc { center: map.point(center), u, v, sweep });
    }

    fn chain(&mut self, points: impl Iterator<Item = (Xy, f64)>, closed: bool, map: &Map) {
        let mut points = points.peekable();
        let Some(first) = points.peek().map(|p| p.0) else { return };
        while let Some((a, bulge)) = points.next() {
            let b = match points.peek() {
                Some(next) => next.0,
                None if closed => first,
                None => return,
            };
            if bulge == 0.0 {
                self.line(a, b, map);
                continue;
            }
            let k = (1.0 - bulge * bulge) / (4.0 * bulge);
            let center =
                [(a[0] + b[0]) / 2.0 - (b[1] - a[1]) * k, (a[1] + b[1]) / 2.0 + (b[0] - a[0]) * k];
            let u = [a[0] - center[0], a[1] - center[1]];
            self.arc(center, u, 4.0 * bulge.atan(), map);
        }
    }

    fn insert(&mut self, insert: &Insert, map: &Map, depth: usize) {
        let Some(block) = self.blocks.get(insert.name.as_str()).copied() else { return };
        let (sin, cos) = insert.rotation.to_radians().sin_cos();
        let (sx, sy) = (insert.x_scale_factor, insert.y_scale_factor);
        let own = Map { x: [cos * sx, sin * sx], y: [-sin * sy, cos * sy], origin: [0.0, 0.0] };
        let base = own.turn([block.base_point.x, block.base_point.y]);
        for row in 0..insert.row_count.max(1) {
            for column in 0..insert.column_count.max(1) {
                let (across, up) = (
                    f64::from(column) * insert.column_spacing,
                    f64::from(row) * insert.row_spacing,
                );
                let at = [
                    insert.location.x - base[0] + cos * across - sin * up,
                    insert.location.y - base[1] + sin * across + cos * up,
                ];
                let inner = Map { x: map.turn(own.x), y: map.turn(own.y), origin: map.point(at) };
                for entity in &block.entities {
                    self.entity(entity, &inner, depth + 1);
                }
            }
        }
    }
}
