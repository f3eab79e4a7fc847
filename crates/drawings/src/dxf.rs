//! `plates.dxf`: AutoCAD 2000 (AC1015), text. Group codes as in the DXF reference of that release.

use crate::scene::{Scene, capital, real};
use geom::{Frame, Length, Unit};
use plan_model::{Layer, PieceId, piece_name, run_name, wall_name};
use std::fmt::{Display, Write};

/// Name under which programs find our extended data.
const APP: &str = "PLATEWRIGHT";

/// Layers by what they hold, colour (ACI), line type; the storey is added where there are several.
const KINDS: [(&str, u8, &str); 8] = [
    ("PW-WALL", 8, "Continuous"),
    ("PW-AXIS", 8, "CENTER"),
    ("PW-PLATE-BOTTOM", 30, "Continuous"),
    ("PW-PLATE-LOWER", 5, "Continuous"),
    ("PW-PLATE-UPPER", 1, "Continuous"),
    ("PW-TEXT-BOTTOM", 30, "Continuous"),
    ("PW-TEXT-LOWER", 5, "Continuous"),
    ("PW-TEXT-UPPER", 1, "Continuous"),
];

/// Writes tags and gives out handles, in the order of writing.
struct Tags {
    out: String,
    next: u32,
}

impl Tags {
    /// Writing to a `String` cannot fail.
    fn put(&mut self, code: u16, value: impl Display) {
        let _ = writeln!(self.out, "{code:>3}\n{value}");
    }
    fn number(&mut self, code: u16, value: f64) {
        self.put(code, real(value));
    }
    fn point(&mut self, code: u16, (x, y): (f64, f64)) {
        self.number(code, x);
        self.number(code + 10, y);
    }
    fn handle(&mut self) -> String {
        self.next += 1;
        format!("{:X}", self.next - 1)
    }
    /// A handle as code 5, the owner as code 330.
    fn own(&mut self, owner: &str) -> String {
        let handle = self.handle();
        self.put(5, &handle);
        self.put(330, owner);
        handle
    }
}

/// The drawing.
pub(crate) fn write(scene: &Scene) -> String {
    let mut body = Tags { out: String::new(), next: 0x10 };
    tables(&mut body, scene);
    let [model, paper] = [0, 1].map(|i| BLOCKS[i]);
    blocks(&mut body, model, paper);
    body.put(0, "SECTION");
    body.put(2, "ENTITIES");
    walls(&mut body, scene);
    for (id, _) in scene.pieces() {
        plate(&mut body, scene, id);
    }
    body.put(0, "ENDSEC");
    objects(&mut body);
    body.put(0, "EOF");
    let mut head = Tags { out: String::new(), next: 0 };
    header(&mut head, scene, body.next);
    head.out + &body.out
}

/// Handles fixed beforehand, as records name each other: block records of model and paper space.
const BLOCKS: [&str; 2] = ["1", "2"];
const ROOT: &str = "3";

fn header(t: &mut Tags, scene: &Scene, next: u32) {
    t.put(0, "SECTION");
    t.put(2, "HEADER");
    let code = match scene.unit {
        Unit::Inch => 1,
        Unit::Foot => 2,
        Unit::Millimetre => 4,
        Unit::Centimetre => 5,
        Unit::Metre => 6,
    };
    t.put(9, "$ACADVER");
    t.put(1, "AC1015");
    t.put(9, "$DWGCODEPAGE");
    t.put(3, "ANSI_1252");
    t.put(9, "$INSUNITS");
    t.put(70, code);
    t.put(9, "$MEASUREMENT");
    t.put(70, u8::from(scene.is_metric()));
    t.put(9, "$LUNITS");
    t.put(70, if scene.unit == Unit::Inch { 4 } else { 2 });
    let points = || {
        let pieces = scene.pieces().flat_map(|(_, p)| p.outline.iter().copied());
        pieces
            .chain(scene.doc.floor.walls.iter().flat_map(|w| [w.start, w.end]))
            .map(|p| scene.at(p))
    };
    let fold = |f: fn(f64, f64) -> f64, part: fn((f64, f64)) -> f64| {
        points().map(part).reduce(f).unwrap_or_default()
    };
    t.put(9, "$EXTMIN");
    t.point(10, (fold(f64::min, |p| p.0), fold(f64::min, |p| p.1)));
    t.number(30, 0.0);
    t.put(9, "$EXTMAX");
    t.point(10, (fold(f64::max, |p| p.0), fold(f64::max, |p| p.1)));
    t.number(30, 0.0);
    t.put(9, "$HANDSEED");
    t.put(5, format!("{next:X}"));
    t.put(0, "ENDSEC");
}

fn table(t: &mut Tags, name: &str, count: usize, rows: impl FnOnce(&mut Tags, &str)) {
    t.put(0, "TABLE");
    t.put(2, name);
    let handle = t.own("0");
    t.put(100, "AcDbSymbolTable");
    t.put(70, count);
    if name == "DIMSTYLE" {
        t.put(100, "AcDbDimStyleTable");
    }
    rows(t, &handle);
    t.put(0, "ENDTAB");
}

fn row(t: &mut Tags, kind: &str, owner: &str, class: &str, name: &str) {
    t.put(0, kind);
    t.own(owner);
    t.put(100, "AcDbSymbolTableRecord");
    t.put(100, class);
    t.put(2, name);
    t.put(70, 0);
}

fn tables(t: &mut Tags, scene: &Scene) {
    t.put(0, "SECTION");
    t.put(2, "TABLES");
    table(t, "VPORT", 1, |t, owner| {
        row(t, "VPORT", owner, "AcDbViewportTableRecord", "*Active");
        for (code, at) in [(10, (0.0, 0.0)), (11, (1.0, 1.0))] {
            t.point(code, at);
        }
    });
    table(t, "LTYPE", 4, |t, owner| {
        for (name, text) in [("ByBlock", ""), ("ByLayer", ""), ("Continuous", "Solid line")] {
            row(t, "LTYPE", owner, "AcDbLinetypeTableRecord", name);
            t.put(3, text);
            t.put(72, 65);
            t.put(73, 0);
            t.number(40, 0.0);
        }
        row(t, "LTYPE", owner, "AcDbLinetypeTableRecord", "CENTER");
        t.put(3, "Center ____ _ ____ _");
        t.put(72, 65);
        t.put(73, 4);
        let dashes = [12.0, -3.0, 3.0, -3.0].map(|inches| inches / scene.unit.inches());
        t.number(40, dashes.iter().map(|d| d.abs()).sum());
        for dash in dashes {
            t.number(49, dash);
            t.put(74, 0);
        }
    });
    let storeys = scene.storeys();
    table(t, "LAYER", 1 + KINDS.len() * storeys.len(), |t, owner| {
        row(t, "LAYER", owner, "AcDbLayerTableRecord", "0");
        t.put(62, 7);
        t.put(6, "Continuous");
        for storey in storeys {
            for (kind, colour, line) in KINDS {
                row(t, "LAYER", owner, "AcDbLayerTableRecord", &layer(scene, kind, storey));
                t.put(62, colour);
                t.put(6, line);
            }
        }
    });
    table(t, "STYLE", 1, |t, owner| {
        row(t, "STYLE", owner, "AcDbTextStyleTableRecord", "Standard");
        for (code, value) in [(40, 0.0), (41, 1.0), (50, 0.0)] {
            t.number(code, value);
        }
        t.put(71, 0);
        t.number(42, 2.5);
        t.put(3, "txt");
        t.put(4, "");
    });
    table(t, "VIEW", 0, |_, _| {});
    table(t, "UCS", 0, |_, _| {});
    table(t, "APPID", 2, |t, owner| {
        for name in ["ACAD", APP] {
            row(t, "APPID", owner, "AcDbRegAppTableRecord", name);
        }
    });
    table(t, "DIMSTYLE", 1, |t, owner| {
        t.put(0, "DIMSTYLE");
        let handle = t.handle();
        t.put(105, handle);
        t.put(330, owner);
        t.put(100, "AcDbSymbolTableRecord");
        t.put(100, "AcDbDimStyleTableRecord");
        t.put(2, "Standard");
        t.put(70, 0);
    });
    table(t, "BLOCK_RECORD", 2, |t, owner| {
        for (handle, name) in BLOCKS.into_iter().zip(["*Model_Space", "*Paper_Space"]) {
            t.put(0, "BLOCK_RECORD");
            t.put(5, handle);
            t.put(330, owner);
            t.put(100, "AcDbSymbolTableRecord");
            t.put(100, "AcDbBlockTableRecord");
            t.put(2, name);
        }
    });
    t.put(0, "ENDSEC");
}

fn blocks(t: &mut Tags, model: &str, paper: &str) {
    t.put(0, "SECTION");
    t.put(2, "BLOCKS");
    for (owner, name, on_paper) in [(model, "*Model_Space", false), (paper, "*Paper_Space", true)] {
        t.put(0, "BLOCK");
        t.own(owner);
        t.put(100, "AcDbEntity");
        if on_paper {
            t.put(67, 1);
        }
        t.put(8, "0");
        t.put(100, "AcDbBlockBegin");
        t.put(2, name);
        t.put(70, 0);
        t.point(10, (0.0, 0.0));
        t.number(30, 0.0);
        t.put(3, name);
        t.put(1, "");
        t.put(0, "ENDBLK");
        t.own(owner);
        t.put(100, "AcDbEntity");
        if on_paper {
            t.put(67, 1);
        }
        t.put(8, "0");
        t.put(100, "AcDbBlockEnd");
    }
    t.put(0, "ENDSEC");
}

fn objects(t: &mut Tags) {
    t.put(0, "SECTION");
    t.put(2, "OBJECTS");
    t.put(0, "DICTIONARY");
    t.put(5, ROOT);
    t.put(330, "0");
    t.put(100, "AcDbDictionary");
    t.put(281, 1);
    let group = t.handle();
    t.put(3, "ACAD_GROUP");
    t.put(350, &group);
    t.put(0, "DICTIONARY");
    t.put(5, group);
    t.put(330, ROOT);
    t.put(100, "AcDbDictionary");
    t.put(281, 1);
    t.put(0, "ENDSEC");
}

/// `PW-PLATE-UPPER`, on the second of several storeys `PW-PLATE-UPPER-S2`.
fn layer(scene: &Scene, kind: &str, storey: usize) -> String {
    if scene.doc.floor.storeys.len() > 1 {
        format!("{kind}-S{}", storey + 1)
    } else {
        kind.to_owned()
    }
}

fn entity(t: &mut Tags, kind: &str, layer: &str) {
    t.put(0, kind);
    t.own(BLOCKS[0]);
    t.put(100, "AcDbEntity");
    t.put(8, layer);
}

fn ring(t: &mut Tags, points: &[(f64, f64)], elevation: f64, thickness: f64) {
    t.put(100, "AcDbPolyline");
    t.put(90, points.len());
    t.put(70, 1);
    t.number(43, 0.0);
    t.number(38, elevation);
    t.number(39, thickness);
    for p in points {
        t.point(10, *p);
    }
}

/// Walls as read, finishes included, at their storey's level, and their framing centrelines.
fn walls(t: &mut Tags, scene: &Scene) {
    for (i, w) in scene.doc.floor.walls.iter().enumerate() {
        let storey = w.storey.0 as usize;
        let level = scene.value(scene.doc.floor.storeys[storey].elevation + w.base);
        let Some(frame) = Frame::between(w.start, w.end) else { continue };
        let (long, half) = (w.start.distance(w.end), w.drawn_thickness.half());
        let corners = [(Length::ZERO, -half), (long, -half), (long, half), (Length::ZERO, half)];
        let corners = corners.map(|(s, o)| scene.at(frame.at(s, o)));
        entity(t, "LWPOLYLINE", &layer(scene, "PW-WALL", storey));
        ring(t, &corners, level, 0.0);
        data(t, &[("wall", &wall_name(i))]);
        entity(t, "LINE", &layer(scene, "PW-AXIS", storey));
        t.put(100, "AcDbLine");
        for (code, p) in [(10, w.start), (11, w.end)] {
            t.point(code, scene.at(p));
            t.number(code + 20, level);
        }
        data(t, &[("wall", &wall_name(i))]);
    }
}

fn plate(t: &mut Tags, scene: &Scene, id: PieceId) {
    let p = scene.doc.piece(id);
    let storey = p.storey.0 as usize;
    let own_layer = |kind: &str| layer(scene, &format!("{kind}-{}", capital(p.layer)), storey);
    let z = scene.value(scene.elevation(p));
    let points: Vec<(f64, f64)> = p.outline.iter().map(|q| scene.at(*q)).collect();
    entity(t, "LWPOLYLINE", &own_layer("PW-PLATE"));
    // A ring lies level: a plate on a slope is drawn at the height of its start, and as deep as it is plumb.
    let thick = p.section.thickness();
    let depth = p.rake.map_or(thick, |r| r.slope.plumb(thick));
    ring(t, &points, z, scene.value(depth));
    let (name, run) = (piece_name(id), run_name(p.run));
    data(t, &[("piece", &name), ("mark", &p.mark), ("run", &run), ("section", p.section.name())]);
    t.put(1040, real(scene.value(p.length)));

    // Marks of the three layers lie side by side: upper ones left of the plate, lower ones on it,
    // bottom ones to its right.
    let size = Length::sixteenths(40);
    let offset = match p.layer {
        Layer::Upper => p.section.width().half() + size,
        Layer::Lower => Length::ZERO,
        Layer::Bottom => -(p.section.width().half() + size),
    };
    let frame = scene.doc.floor.run(p.run).frame();
    let at = scene.at(frame.at(p.from + (p.to - p.from).half(), offset));
    let (dx, dy) = frame.dir();
    let mut angle = dy.atan2(dx).to_degrees();
    if angle <= -89.9 || angle > 90.1 {
        angle += 180.0;
    }
    entity(t, "TEXT", &own_layer("PW-TEXT"));
    t.put(100, "AcDbText");
    t.point(10, at);
    t.number(30, z);
    t.number(40, scene.value(size));
    t.put(1, text(&p.mark));
    t.number(50, angle.rem_euclid(360.0));
    t.put(72, 1);
    t.point(11, at);
    t.number(31, z);
    t.put(100, "AcDbText");
    t.put(73, 2);
}

/// Extended data: `name=value` strings.
fn data(t: &mut Tags, values: &[(&str, &str)]) {
    t.put(1001, APP);
    for (name, value) in values {
        t.put(1000, text(&format!("{name}={value}")));
    }
}

/// Text for a value line: control characters would break the file, others than plain ones are written
/// by number (`\U+05D0`), as the reference asks of text outside the code page.
fn text(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    // 250 characters: a string of extended data has at most 255 bytes.
    for c in value.chars() {
        let mut next = String::new();
        match c {
            '^' => next.push_str("^ "),
            ' '..='~' => next.push(c),
            c if c.is_control() || u32::from(c) > 0xffff => next.push('?'),
            c => {
                let _ = write!(next, "\\U+{:04X}", u32::from(c));
            }
        }
        if out.len() + next.len() > 250 {
            break;
        }
        out.push_str(&next);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::text;

    #[test]
    fn no_text_breaks_a_line() {
        assert_eq!(text("U4\n0\r\nLINE"), "U4?0??LINE");
        assert_eq!(text("\u{5d0} \u{1f3e0} ^J"), "\\U+05D0 ? ^ J");
        assert!(text(&"\u{5d0}".repeat(500)).len() <= 250);
    }
}
