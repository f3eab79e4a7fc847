//! Writes a house as an AutoCAD 2000 (AC1015) ASCII DXF, the oldest release that states its units.
//!
//! Walls are single framing centrelines on National CAD Standard layers, openings are inserts of
//! door and window blocks, and there is the furniture, text and dimensioning a real sheet has.

use crate::house::{House, Kind, Ticks};
use std::collections::BTreeSet;
use std::fmt::{Display, Write};

/// Tags of a DXF being written, with its handles.
struct Tags {
    out: String,
    next: u32,
}

impl Tags {
    fn tag(&mut self, code: u16, value: impl Display) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.out, "{code:>3}\n{value}");
    }
    fn point(&mut self, code: u16, p: (f64, f64)) {
        self.tag(code, p.0);
        self.tag(code + 10, p.1);
        self.tag(code + 20, 0.0);
    }
    fn handle(&mut self) -> String {
        self.next += 1;
        format!("{:X}", self.next - 1)
    }
    /// The head of an entity: kind, new handle, owner, layer.
    fn entity(&mut self, kind: &str, owner: &str, layer: &str) {
        let handle = self.handle();
        self.tag(0, kind);
        self.tag(5, handle);
        self.tag(330, owner);
        self.tag(100, "AcDbEntity");
        self.tag(8, layer);
    }
    fn line(&mut self, owner: &str, layer: &str, a: (f64, f64), b: (f64, f64)) {
        self.entity("LINE", owner, layer);
        self.tag(100, "AcDbLine");
        self.point(10, a);
        self.point(11, b);
    }
    fn polyline(&mut self, owner: &str, layer: &str, points: &[(f64, f64)], closed: bool) {
        self.entity("LWPOLYLINE", owner, layer);
        self.tag(100, "AcDbPolyline");
        self.tag(90, points.len());
        self.tag(70, u8::from(closed));
        self.tag(43, 0.0);
        for p in points {
            self.tag(10, p.0);
            self.tag(20, p.1);
        }
    }
    fn text(&mut self, owner: &str, layer: &str, at: (f64, f64), height: f64, text: &str) {
        self.entity("TEXT", owner, layer);
        self.tag(100, "AcDbText");
        self.point(10, at);
        self.tag(40, height);
        self.tag(1, text);
        self.tag(100, "AcDbText");
    }
}

/// Drawing options.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// `$INSUNITS`; 1 is inches, 0 unitless.
    pub insunits: u8,
    /// Added to every coordinate.
    pub origin: (Ticks, Ticks),
}

const MODEL: &str = "1F";
const PAPER: &str = "1B";

/// The house as DXF text.
pub fn write(house: &House, options: Options) -> String {
    let mut t = Tags { out: String::new(), next: 0x100 };
    let blocks = block_names(house);
    let block_handles: Vec<String> = blocks.iter().map(|_| t.handle()).collect();
    header(&mut t, options);
    section(&mut t, "CLASSES", |_| {});
    section(&mut t, "TABLES", |t| tables(t, &layers(house), &blocks, &block_handles));
    section(&mut t, "BLOCKS", |t| {
        block(t, "*Model_Space", MODEL, |_| {});
        block(t, "*Paper_Space", PAPER, |_| {});
        for (b, handle) in blocks.iter().zip(&block_handles) {
            block(t, &b.name(), handle, |t| b.draw(t, handle));
        }
    });
    section(&mut t, "ENTITIES", |t| entities(t, house, options.origin));
    section(&mut t, "OBJECTS", |t| {
        t.tag(0, "DICTIONARY");
        t.tag(5, "C");
        t.tag(330, "0");
        t.tag(100, "AcDbDictionary");
        t.tag(281, 1);
        t.tag(3, "ACAD_GROUP");
        t.tag(350, "D");
        t.tag(0, "DICTIONARY");
        t.tag(5, "D");
        t.tag(330, "C");
        t.tag(100, "AcDbDictionary");
        t.tag(281, 1);
    });
    t.tag(0, "EOF");
    t.out
}

fn section(t: &mut Tags, name: &str, body: impl FnOnce(&mut Tags)) {
    t.tag(0, "SECTION");
    t.tag(2, name);
    body(t);
    t.tag(0, "ENDSEC");
}

fn header(t: &mut Tags, options: Options) {
    section(t, "HEADER", |t| {
        t.tag(9, "$ACADVER");
        t.tag(1, "AC1015");
        t.tag(9, "$INSUNITS");
        t.tag(70, options.insunits);
        t.tag(9, "$MEASUREMENT");
        t.tag(70, 0);
        t.tag(9, "$LUNITS");
        t.tag(70, 4);
        t.tag(9, "$HANDSEED");
        t.tag(5, "FFFF");
    });
}

fn layers(house: &House) -> BTreeSet<&'static str> {
    let mut names: BTreeSet<&'static str> = house.walls.iter().map(|w| w.layer).collect();
    names.extend(["0", "A-DOOR", "A-GLAZ", "A-FURN", "A-ANNO-TEXT", "A-ANNO-DIMS"]);
    names
}

fn tables(t: &mut Tags, layers: &BTreeSet<&str>, blocks: &[Block], handles: &[String]) {
    table(t, "VPORT", "8", 0, |_| {});
    table(t, "LTYPE", "5", 3, |t| {
        for (handle, name) in [("14", "ByBlock"), ("15", "ByLayer"), ("16", "Continuous")] {
            record(t, "LTYPE", handle, "5", "AcDbLinetypeTableRecord", name);
            t.tag(70, 0);
            t.tag(3, "");
            t.tag(72, 65);
            t.tag(73, 0);
            t.tag(40, 0.0);
        }
    });
    table(t, "LAYER", "2", layers.len(), |t| {
        for name in layers {
            let handle = t.handle();
            record(t, "LAYER", &handle, "2", "AcDbLayerTableRecord", name);
            t.tag(70, 0);
            t.tag(62, if name.contains("WALL") { 1 } else { 7 });
            t.tag(6, "Continuous");
        }
    });
    table(t, "STYLE", "3", 1, |t| {
        record(t, "STYLE", "11", "3", "AcDbTextStyleTableRecord", "Standard");
        t.tag(70, 0);
        t.tag(40, 0.0);
        t.tag(41, 1.0);
        t.tag(50, 0.0);
        t.tag(71, 0);
        t.tag(42, 2.5);
        t.tag(3, "txt");
        t.tag(4, "");
    });
    table(t, "VIEW", "6", 0, |_| {});
    table(t, "UCS", "7", 0, |_| {});
    table(t, "APPID", "9", 1, |t| {
        record(t, "APPID", "12", "9", "AcDbRegAppTableRecord", "ACAD");
        t.tag(70, 0);
    });
    table(t, "DIMSTYLE", "A", 0, |t| t.tag(100, "AcDbDimStyleTable"));
    table(t, "BLOCK_RECORD", "1", 2 + blocks.len(), |t| {
        let names = blocks.iter().map(Block::name);
        let spaces = [("*Model_Space".to_owned(), MODEL), ("*Paper_Space".to_owned(), PAPER)];
        let all = spaces.into_iter().chain(names.zip(handles.iter().map(String::as_str)));
        for (name, handle) in all {
            record(t, "BLOCK_RECORD", handle, "1", "AcDbBlockTableRecord", &name);
        }
    });
}

fn table(t: &mut Tags, name: &str, handle: &str, count: usize, body: impl FnOnce(&mut Tags)) {
    t.tag(0, "TABLE");
    t.tag(2, name);
    t.tag(5, handle);
    t.tag(330, "0");
    t.tag(100, "AcDbSymbolTable");
    t.tag(70, count);
    body(t);
    t.tag(0, "ENDTAB");
}

fn record(t: &mut Tags, kind: &str, handle: &str, owner: &str, class: &str, name: &str) {
    t.tag(0, kind);
    t.tag(5, handle);
    t.tag(330, owner);
    t.tag(100, "AcDbSymbolTableRecord");
    t.tag(100, class);
    t.tag(2, name);
}

fn block(t: &mut Tags, name: &str, record: &str, body: impl FnOnce(&mut Tags)) {
    t.entity("BLOCK", record, "0");
    t.tag(100, "AcDbBlockBegin");
    t.tag(2, name);
    t.tag(70, 0);
    t.point(10, (0.0, 0.0));
    t.tag(3, name);
    t.tag(1, "");
    body(t);
    t.entity("ENDBLK", record, "0");
    t.tag(100, "AcDbBlockEnd");
}

/// A door or window block of one width. Its base is one jamb, on the centreline; the other jamb is at
/// (width, 0).
#[derive(Clone, PartialEq, PartialOrd)]
struct Block {
    kind: &'static str,
    width: f64,
}

impl Block {
    fn name(&self) -> String {
        format!("{}-{}", self.kind, format!("{:.2}", self.width).replace('.', "_"))
    }
    fn draw(&self, t: &mut Tags, owner: &str) {
        let w = self.width;
        if self.kind == "DOOR" {
            // The open leaf and its swing.
            t.line(owner, "0", (0.0, 0.0), (0.0, w));
            t.entity("ARC", owner, "0");
            t.tag(100, "AcDbCircle");
            t.point(10, (0.0, 0.0));
            t.tag(40, w);
            t.tag(100, "AcDbArc");
            t.tag(50, 0.0);
            t.tag(51, 90.0);
        } else {
            for y in [-1.0, 0.0, 1.0] {
                t.line(owner, "0", (0.0, y), (w, y));
            }
        }
    }
}

fn block_of(o: &crate::house::Opening) -> Block {
    let kind = if o.kind == Kind::Door { "DOOR" } else { "WIN" };
    Block { kind, width: crate::house::distance_in(o.from, o.to) }
}

fn block_names(house: &House) -> Vec<Block> {
    let mut all: Vec<Block> =
        house.walls.iter().flat_map(|w| w.openings.iter().map(block_of)).collect();
    all.sort_by(|a, b| {
        (a.kind, a.width).partial_cmp(&(b.kind, b.width)).unwrap_or(std::cmp::Ordering::Equal)
    });
    all.dedup();
    all
}

fn entities(t: &mut Tags, house: &House, origin: (Ticks, Ticks)) {
    let place =
        |p: (Ticks, Ticks)| ((p.0 + origin.0) as f64 / 16.0, (p.1 + origin.1) as f64 / 16.0);
    let outline: Vec<_> = house.walls.iter().filter(|w| w.in_outline).collect();
    if let Some(first) = outline.first() {
        let corners: Vec<_> = outline.iter().map(|w| place(w.from)).collect();
        t.polyline(MODEL, first.layer, &corners, true);
    }
    for w in house.walls.iter().filter(|w| !w.in_outline) {
        t.line(MODEL, w.layer, place(w.from), place(w.to));
    }
    for o in house.walls.iter().flat_map(|w| &w.openings) {
        let (a, b) = (place(o.from), place(o.to));
        let layer = if o.kind == Kind::Door { "A-DOOR" } else { "A-GLAZ" };
        t.entity("INSERT", MODEL, layer);
        t.tag(100, "AcDbBlockReference");
        t.tag(2, block_of(o).name());
        t.point(10, a);
        let angle = (b.1 - a.1).atan2(b.0 - a.0).to_degrees();
        if angle != 0.0 {
            t.tag(50, angle);
        }
    }
    // What a sheet holds besides: none of it is a wall, all of it is in the ledger.
    let low = |dx: f64, dy: f64| {
        let p = place((0, 0));
        (p.0 + dx, p.1 + dy)
    };
    t.text(MODEL, "A-ANNO-TEXT", low(0.0, -48.0), 12.0, house.title);
    t.line(MODEL, "A-ANNO-DIMS", low(0.0, -24.0), low(432.0, -24.0));
    for x in [0.0, 432.0] {
        t.line(MODEL, "A-ANNO-DIMS", low(x, -28.0), low(x, -8.0));
    }
    let sofa = [(310.0, 20.0), (356.0, 20.0), (356.0, 44.0), (310.0, 44.0)];
    let sofa: Vec<_> = sofa.iter().map(|p| low(p.0, p.1)).collect();
    t.polyline(MODEL, "A-FURN", &sofa, true);
}
