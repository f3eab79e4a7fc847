//! Drawings for benchmarks: as large as asked for, always the same, like what drawing programs write.

use std::fmt::Write;

/// What a large drawing is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// Rooms in rows, one LINE a wall on A-WALL.
    Lines,
    /// Half the bytes INSERTs of doors, windows and furniture, half polylines with some bulges, and texts.
    Blocks,
}

/// A side of a room, inches.
const ROOM: f64 = 144.5;

/// A release 2013 drawing in inches of about this many bytes.
pub fn drawing(content: Content, bytes: usize) -> Vec<u8> {
    let mut out = String::with_capacity(bytes + 4096);
    out += "999\nplatewright benchmark drawing\n  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1027\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n";
    out += "  0\nSECTION\n  2\nTABLES\n  0\nTABLE\n  2\nLAYER\n 70\n5\n";
    for (i, name) in ["0", "A-WALL", "A-DOOR", "A-GLAZ", "A-FURN", "A-ANNO"].iter().enumerate() {
        let _ = write!(
            out,
            "  0\nLAYER\n  5\n{:X}\n100\nAcDbSymbolTableRecord\n100\nAcDbLayerTableRecord\n  2\n{name}\n 70\n0\n 62\n{}\n  6\nContinuous\n",
            16 + i,
            i + 1
        );
    }
    out += "  0\nENDTAB\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n";
    if content == Content::Blocks {
        block(&mut out, "DOOR36", |out| {
            line(out, 0x101, "0", [0.0, 0.0], [0.0, 36.0]);
            head(out, "ARC", 0x102, "0", "AcDbCircle");
            out.push_str(
                " 10\n0.0\n 20\n0.0\n 30\n0.0\n 40\n36.0\n100\nAcDbArc\n 50\n0.0\n 51\n90.0\n",
            );
        });
        block(&mut out, "WINDOW48", |out| {
            for (i, y) in [-2.25, 0.0, 2.25].into_iter().enumerate() {
                line(out, 0x111 + i, "0", [0.0, y], [48.0, y]);
            }
        });
        block(&mut out, "TABLE", |out| {
            let ring = [[0.0, 0.0], [60.0, 0.0], [60.0, 36.0], [0.0, 36.0]];
            polyline(out, 0x121, "0", &ring, true, 0);
        });
    }
    out += "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n";
    let mut n = 0;
    while out.len() < bytes {
        match content {
            Content::Lines => room(&mut out, n),
            Content::Blocks => furnished(&mut out, n),
        }
        n += 1;
    }
    out += "  0\nENDSEC\n  0\nEOF\n";
    out.into_bytes()
}

fn head(out: &mut String, kind: &str, handle: usize, layer: &str, class: &str) {
    let _ = write!(
        out,
        "  0\n{kind}\n  5\n{handle:X}\n330\n1F\n100\nAcDbEntity\n  8\n{layer}\n  6\nByLayer\n 62\n  256\n370\n   -1\n100\n{class}\n"
    );
}

fn line(out: &mut String, handle: usize, layer: &str, a: [f64; 2], b: [f64; 2]) {
    head(out, "LINE", handle, layer, "AcDbLine");
    let _ = write!(
        out,
        " 10\n{:?}\n 20\n{:?}\n 30\n0.0\n 11\n{:?}\n 21\n{:?}\n 31\n0.0\n",
        a[0], a[1], b[0], b[1]
    );
}

/// Every `bulge`th part is an arc; none when 0.
fn polyline(
    out: &mut String,
    handle: usize,
    layer: &str,
    points: &[[f64; 2]],
    closed: bool,
    bulge: usize,
) {
    head(out, "LWPOLYLINE", handle, layer, "AcDbPolyline");
    let _ = write!(out, " 90\n{}\n 70\n{}\n 43\n0.0\n", points.len(), u8::from(closed));
    for (i, p) in points.iter().enumerate() {
        let _ = write!(out, " 10\n{:?}\n 20\n{:?}\n", p[0], p[1]);
        if bulge > 0 && i % bulge == 1 {
            out.push_str(" 42\n0.4142135623730951\n");
        }
    }
}

fn block(out: &mut String, name: &str, content: impl FnOnce(&mut String)) {
    let _ = write!(
        out,
        "  0\nBLOCK\n  8\n0\n  2\n{name}\n 70\n0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n  3\n{name}\n  1\n\n"
    );
    content(out);
    out.push_str("  0\nENDBLK\n  8\n0\n");
}

/// Rooms stand in rows of a thousand.
fn corner(n: usize) -> [f64; 2] {
    // A sixteenth here and there, so that numbers are as long as in a real drawing.
    let odd = (n * 7 % 16) as f64 / 16.0;
    [(n % 1000) as f64 * ROOM + odd, (n / 1000) as f64 * ROOM + odd / 3.0]
}

fn room(out: &mut String, n: usize) {
    let [x, y] = corner(n);
    line(out, 0x1000 + 2 * n, "A-WALL", [x, y], [x + ROOM, y]);
    line(out, 0x1001 + 2 * n, "A-WALL", [x, y], [x, y + ROOM]);
}

fn furnished(out: &mut String, n: usize) {
    let [x, y] = corner(n);
    let handle = 0x1000 + 8 * n;
    let shape: Vec<[f64; 2]> = (0..8 + n % 9)
        .map(|k| {
            let (sin, cos) = (k as f64 * 0.7).sin_cos();
            [x + 40.0 * cos * (1.0 + k as f64 / 20.0), y + 40.0 * sin]
        })
        .collect();
    polyline(out, handle, "A-FURN", &shape, n.is_multiple_of(2), 3);
    polyline(out, handle + 1, "A-WALL", &[[x, y], [x + ROOM, y], [x + ROOM, y + ROOM]], false, 0);
    for (k, (name, layer)) in
        [("DOOR36", "A-DOOR"), ("WINDOW48", "A-GLAZ"), ("TABLE", "A-FURN")].into_iter().enumerate()
    {
        head(out, "INSERT", handle + 2 + k, layer, "AcDbBlockReference");
        let mirror = if n.is_multiple_of(3) { -1.0 } else { 1.0 };
        let _ = write!(
            out,
            "  2\n{name}\n 10\n{:?}\n 20\n{:?}\n 30\n0.0\n 41\n{mirror:?}\n 42\n1.0\n 43\n1.0\n 50\n{:?}\n",
            x + 20.0 * (k + 1) as f64,
            y,
            (n % 8) as f64 * 45.0
        );
    }
    head(out, "TEXT", handle + 5, "A-ANNO", "AcDbText");
    let _ = write!(
        out,
        " 10\n{:?}\n 20\n{:?}\n 30\n0.0\n 40\n6.0\n  1\nROOM {n}\n100\nAcDbText\n",
        x + 60.0,
        y + 60.0
    );
}
