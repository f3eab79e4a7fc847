//! The layers of a wall that is drawn as parts: boards side by side, and the studs and plates of one band.

use super::Reader;
use crate::material::{self, Layer, Layers};
use crate::shape::{self, WallShape};
use crate::step::Record;
use crate::words::{self, Role};

/// Parts of a wall that lie in one band across it.
struct Row {
    /// From and to across the wall.
    band: (f64, f64),
    /// From and to along it, all together.
    along: (f64, f64),
    /// What they are of.
    material: String,
    /// Studs, plates and other bars.
    bars: bool,
}

impl Row {
    /// Takes what lies in its band.
    fn take(&mut self, other: &Row) {
        let around = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        self.band = around(self.band, other.band);
        self.along = around(self.along, other.along);
    }
}

impl Reader<'_, '_, '_> {
    /// The layers of a wall drawn as parts that lie side by side, from its right face to its left; none
    /// where the parts are studs and plates alone or lie otherwise.
    pub fn layers_of_parts(&self, shape: &WallShape, parts: &[u64]) -> Option<Layers> {
        let [piece] = shape.pieces.as_slice() else { return None };
        let (low, high) = piece.band?;
        let length = (piece.end.0 - piece.start.0).hypot(piece.end.1 - piece.start.1);
        let slack = 1e-3 * (high - low);
        let (mut bars, mut boards) = (Vec::new(), Vec::new());
        for r in parts.iter().filter_map(|id| self.file().find(*id)) {
            let Ok(world) = self.shapes.world(self.memo, r.param(5)) else { continue };
            let body = shape::corners_of_body(self.shapes, &r, &world);
            let Some([along, band, _]) = shape::measure(piece, &body) else { continue };
            let (material, is_bar) = self.material_of_part(&r);
            let row = Row { band, along, material, bars: is_bar };
            if is_bar { bars.push(row) } else { boards.push(row) }
        }
        let is_long = |r: &Row| r.along.1 - r.along.0 > 0.5 * length;
        let mut rows = self.rows_of_bars(bars, slack);
        rows.retain(is_long);
        for board in boards {
            // What fills the spaces between studs is no layer beside them.
            let inside = |r: &Row| {
                r.bars && r.band.0 <= board.band.0 + slack && board.band.1 <= r.band.1 + slack
            };
            let same = |r: &&mut Row| {
                !r.bars
                    && r.material == board.material
                    && (r.band.0 - board.band.0).abs() <= slack
                    && (r.band.1 - board.band.1).abs() <= slack
            };
            if rows.iter().any(inside) {
                continue;
            }
            match rows.iter_mut().find(same) {
                Some(row) => row.take(&board),
                None => rows.push(board),
            }
        }
        rows.retain(is_long);
        if rows.len() < 2 {
            return None;
        }
        rows.sort_by(|a, b| {
            a.band.0.total_cmp(&b.band.0).then_with(|| a.material.cmp(&b.material))
        });
        let mut layers = Vec::new();
        let layer =
            |material: String, thickness| Layer { material, hint: String::new(), thickness };
        let mut at = low;
        for Row { band: (from, to), material, .. } in rows {
            if from < at - slack || to - from <= slack {
                return None;
            }
            if from > at + slack {
                layers.push(layer(String::new(), from - at));
            }
            layers.push(layer(material, to - from));
            at = to;
        }
        ((high - at).abs() <= slack).then(|| Layers { layers, ..Layers::default() })
    }

    /// Studs and plates whose bands overlap are one layer, named by the one that says most clearly what it is.
    fn rows_of_bars(&self, mut bars: Vec<Row>, slack: f64) -> Vec<Row> {
        let role = |r: &Row| words::role_of(&r.material, "", &self.settings.framing);
        bars.sort_by(|a, b| {
            a.band.0.total_cmp(&b.band.0).then_with(|| a.material.cmp(&b.material))
        });
        let mut rows: Vec<Row> = Vec::new();
        for bar in bars {
            match rows.last_mut().filter(|r| bar.band.0 < r.band.1 - slack) {
                Some(row) => {
                    row.take(&bar);
                    if role(&bar) > role(row) {
                        row.material = bar.material;
                    }
                }
                None => rows.push(bar),
            }
        }
        rows
    }

    /// What a part is made of by name: its material, else the name of its type or its own; and whether it is a
    /// stud, a plate or another bar. A bar whose material says nothing goes by a name that does.
    fn material_of_part(&self, part: &Record<'_>) -> (String, bool) {
        let of_type = self.relations.type_of.get(&part.id).copied();
        let materials = &self.relations.material;
        let material = materials.get(&part.id).or_else(|| materials.get(&of_type?));
        let by_material = material.and_then(|m| {
            let l = material::read(self.file(), material::usage(self.file(), *m).0);
            l.loose.into_iter().chain(l.layers.into_iter().map(|l| l.material)).next()
        });
        let type_name = of_type.and_then(|t| self.file().find(t)).map(|t| self.file().name(&t));
        let names = [by_material.unwrap_or_default(), type_name.unwrap_or_default()];
        let names = names.into_iter().chain([self.file().name(part)]).filter(|n| !n.is_empty());
        let mut names: Vec<String> = names.collect();
        let says = |n: &String| words::role_of(n, "", &self.settings.framing);
        let by_class = is_bar(part);
        if by_class && names.first().map(says) == Some(Role::Unknown) {
            names.sort_by_key(|n| says(n) != Role::Studs);
        }
        // Boards are often named after their wall's type, 2x6 studs and all: only what comes first counts.
        let name = names.into_iter().next().unwrap_or_default();
        let is_bar = by_class || says(&name) == Role::Studs || is_plate(&name);
        (name, is_bar)
    }
}

/// Whether a part is a bar by its class. (An IfcPlate is a board: a plane part, IFC4.)
fn is_bar(part: &Record<'_>) -> bool {
    [b"IFCMEMBER".as_slice(), b"IFCBEAM", b"IFCCOLUMN"]
        .iter()
        .any(|class| part.class.to_ascii_uppercase().starts_with(class))
}

/// Whether a name is that of a wall's plate.
fn is_plate(name: &str) -> bool {
    let name = name.to_lowercase();
    ["bottom plate", "top plate", "sole plate", "sill plate"].iter().any(|w| name.contains(w))
}
