//! Counts entities of generated drawings beside the `dxf` crate, which shares no code with our reader.

use dxf::entities::EntityType;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Layer, then type of entity, to how many.
type Counts = BTreeMap<String, BTreeMap<String, u64>>;

/// A drawing of some entities that look random and are the same each time.
fn drawing(seed: u64, release: &str, entities: usize) -> String {
    let mut state = seed;
    let mut next = |below: u64| {
        // Knuth's MMIX generator.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % below
    };
    let old = release == "AC1009";
    let layers = ["0", "A-WALL", "A-DOOR", "A-GLAZ", "Möbel", "x$0$A-WALL"];
    let mut body = String::new();
    let mut blocks = String::new();
    for i in 0..4 {
        let _ =
            write!(blocks, "  0\nBLOCK\n  8\n0\n  2\nB{i}\n 70\n0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n");
        let _ = write!(
            blocks,
            "  0\nLINE\n  8\n0\n 10\n0.0\n 20\n0.0\n 30\n0.0\n 11\n9.0\n 21\n{i}.0\n 31\n0.0\n"
        );
        blocks.push_str("  0\nENDBLK\n  8\n0\n");
    }
    for n in 0..entities {
        let layer = layers[next(layers.len() as u64) as usize];
        let (x, y) = (next(10_000) as f64 / 16.0, next(10_000) as f64 / 16.0);
        let mut begin = |kind: &str, class: &str| {
            let _ = write!(body, "  0\n{kind}\n  5\n{:X}\n", 0x100 + n);
            let _ = match old {
                true => write!(body, "  8\n{layer}\n"),
                false => write!(body, "100\nAcDbEntity\n  8\n{layer}\n100\n{class}\n"),
            };
        };
        match next(if old { 3 } else { 4 }) {
            0 => {
                begin("LINE", "AcDbLine");
                let _ = write!(
                    body,
                    " 10\n{x:?}\n 20\n{y:?}\n 30\n0.0\n 11\n{y:?}\n 21\n{x:?}\n 31\n0.0\n"
                );
            }
            1 => {
                begin("ARC", "AcDbCircle");
                let _ =
                    write!(body, " 10\n{x:?}\n 20\n{y:?}\n 30\n0.0\n 40\n{:?}\n", 1.0 + x / 7.0);
                body.push_str(if old { "" } else { "100\nAcDbArc\n" });
                let _ = write!(body, " 50\n{:?}\n 51\n90.0\n", next(90) as f64);
            }
            2 => {
                begin("INSERT", "AcDbBlockReference");
                let _ = write!(
                    body,
                    "  2\nB{}\n 10\n{x:?}\n 20\n{y:?}\n 30\n0.0\n 50\n45.0\n",
                    next(4)
                );
            }
            _ => {
                begin("LWPOLYLINE", "AcDbPolyline");
                let count = 2 + next(12);
                let _ = write!(body, " 90\n{count}\n 70\n{}\n", next(2));
                for k in 0..count {
                    let _ = write!(body, " 10\n{:?}\n 20\n{y:?}\n", x + k as f64);
                    if k % 3 == 1 {
                        body.push_str(" 42\n0.5\n");
                    }
                }
            }
        }
    }
    // Before AC1021 text is in a code page, not UTF-8.
    let body = if release < "AC1021" { body.replace("Möbel", "MOEBEL") } else { body };
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\n{release}\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n\
         \x20 0\nSECTION\n  2\nBLOCKS\n{blocks}  0\nENDSEC\n\
         \x20 0\nSECTION\n  2\nENTITIES\n{body}  0\nENDSEC\n  0\nEOF\n"
    )
}

/// As the `dxf` crate counts them.
fn twin(text: &str) -> Counts {
    let drawing = dxf::Drawing::load(&mut text.as_bytes()).expect("the crate reads it");
    let mut out = Counts::new();
    for e in drawing.entities() {
        let kind = match e.specific {
            EntityType::Line(_) => "LINE",
            EntityType::LwPolyline(_) => "LWPOLYLINE",
            EntityType::Arc(_) => "ARC",
            EntityType::Insert(_) => "INSERT",
            _ => "other",
        };
        *out.entry(e.common.layer.clone()).or_default().entry(kind.to_owned()).or_default() += 1;
    }
    out
}

#[test]
fn counts_by_layer_agree_with_the_dxf_crate() {
    for (seed, release) in
        [(1, "AC1009"), (2, "AC1015"), (3, "AC1024"), (4, "AC1027"), (5, "AC1032")]
    {
        let text = drawing(seed, release, 700);
        let ours = import_dxf::picture(text.as_bytes(), None).model_entities_by_layer;
        let want = twin(&text);
        assert_eq!(want.values().flat_map(|kinds| kinds.values()).sum::<u64>(), 700);
        assert_eq!(ours, want, "{release}");
    }
}
