//! A file that is read through a window gives what the same bytes in memory give, however small the window and
//! whatever is wrong with the file.

use import_dxf::TextFile;
use settings::Settings;
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// All that can be seen of a drawing, in words.
fn seen<'a>(drawing: impl Into<import_dxf::Source<'a>>) -> String {
    let source = drawing.into();
    let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
    format!(
        "{:?}\n{:?}\n{:?}",
        import_dxf::count_lines(source),
        import_dxf::read(source, &settings),
        import_dxf::inspect(source, &Settings::default())
    )
}

fn same_by_windows(name: &str, text: &[u8], rooms: &[usize]) {
    let Some(file) = TextFile::of(Cursor::new(text.to_vec())).expect("bytes") else { return };
    let whole = seen(text);
    let mut file = file;
    for room in rooms {
        file = file.holding(*room);
        let by_windows = seen(&file);
        assert!(
            by_windows == whole,
            "{name} by windows of {room} bytes:\n{by_windows}\n\nwhole:\n{whole}"
        );
    }
}

fn drawings(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("dxf")));
    paths.sort();
    let name = |p: &Path| p.file_name().unwrap_or_default().to_string_lossy().into_owned();
    paths.iter().map(|p| (name(p), std::fs::read(p).expect("a readable file"))).collect()
}

fn demo() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/demo/willow-bend.dxf");
    std::fs::read(path).expect("the demo drawing")
}

/// Walls and what else may lie across the end of a window: blocks, vertices, attributes, long texts, a long
/// section that is passed over.
fn of_every_kind() -> String {
    let mut out = String::from(
        "999\nkinds\n  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n",
    );
    out += "  0\nSECTION\n  2\nCLASSES\n  0\nCLASS\n  1\nODD_THING\n  0\nENDSEC\n";
    out += "  0\nSECTION\n  2\nTABLES\n  0\nTABLE\n  2\nLAYER\n";
    for layer in ["0", "A-WALL", "A-DOOR"] {
        out += &format!("  0\nLAYER\n  2\n{layer}\n 70\n0\n 62\n7\n");
    }
    out += "  0\nENDTAB\n  0\nENDSEC\n  0\nSECTION\n  2\nBLOCKS\n";
    for n in 0..9 {
        out += &format!("  0\nBLOCK\n  2\nB{n}\n 70\n0\n 10\n0.0\n 20\n0.0\n");
        for k in 0..=n {
            out += &format!(
                "  0\nLINE\n  5\nB{n}{k}\n  8\n0\n 10\n0.0\n 20\n{k}.0\n 11\n36.0\n 21\n{k}.0\n"
            );
        }
        out += "  0\nENDBLK\n";
    }
    out += "  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n";
    for n in 0..40 {
        let y = 144 * n;
        out += &format!(
            "  0\nLINE\n  5\nA{n:02}\n  8\nA-WALL\n 10\n0.0\n 20\n{y}.0\n 11\n240.5\n 21\n{y}.0\n"
        );
        out += &format!(
            "  0\nLINE\n  8\nA-WALL\n 10\n0.0\n 20\n{y}.0\n 11\n0.0\n 21\n{}.0\n",
            y + 144
        );
        out += &format!(
            "  0\nINSERT\n  5\nC{n:02}\n  8\nA-DOOR\n 66\n1\n  2\nB{}\n 10\n40.0\n 20\n{y}.0\n",
            n % 9
        );
        out += "  0\nATTRIB\n  8\nA-DOOR\n  1\nD1\n 10\n40.0\n 20\n0.0\n 40\n4.0\n  0\nSEQEND\n";
        out += &format!("  0\nPOLYLINE\n  5\nD{n:02}\n  8\nA-FURN\n 66\n1\n 70\n1\n");
        for k in 0..n {
            out += &format!("  0\nVERTEX\n  8\nA-FURN\n 10\n{}.0\n 20\n{}.5\n", k * k, y + k);
        }
        out += "  0\nSEQEND\n";
        out += &format!(
            "  0\nMTEXT\n  8\nA-ANNO\n 10\n60.0\n 20\n{y}.0\n 40\n6.0\n  3\n{}\n  1\nend\n",
            "ROOM ".repeat(n)
        );
        out += &format!("  0\nODD_ENTITY\n  5\nE{n:02}\n  8\nA-WALL\n 40\n1.0\n");
    }
    out += "  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS\n";
    out += &"  0\nXRECORD\n  1\nENDSEC\n".repeat(300);
    out + "  0\nENDSEC\n  0\nEOF\n"
}

const ROOMS: [usize; 9] = [1, 40, 300, 777, 1024, 3000, 4096, 20_000, 1 << 20];

#[test]
fn every_kind_of_entity_by_windows_of_every_size() {
    let text = of_every_kind();
    for end in ["\n", "\r\n", "\r", "\r\r\n"] {
        same_by_windows(&format!("kinds with {end:?}"), text.replace('\n', end).as_bytes(), &ROOMS);
    }
    same_by_windows("the demo", &demo(), &ROOMS);
}

#[test]
fn damaged_files_by_windows() {
    let text = of_every_kind();
    let lines: Vec<&str> = text.lines().collect();
    // A small deterministic sequence of numbers (splitmix64).
    let mut state = 7_u64;
    let mut below = |n: usize| {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        (((z ^ (z >> 27)) >> 8) as usize) % n
    };
    for turn in 0..60 {
        let mut spoilt = lines.clone();
        for _ in 0..=below(6) {
            let at = below(spoilt.len());
            match below(5) {
                0 => drop(spoilt.remove(at)),
                1 => spoilt.insert(at, "lost"),
                2 => spoilt.insert(at, "  0"),
                3 => spoilt.swap(at, 0),
                _ => spoilt.truncate(at.max(9)),
            }
        }
        let spoilt = spoilt.join("\n");
        same_by_windows(&format!("damage {turn}"), spoilt.as_bytes(), &[60, 500, 2000, 9000]);
    }
}

#[test]
fn drawings_of_the_corpus_by_windows() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/corpus/dxf");
    let all = drawings(&folder);
    if all.is_empty() {
        println!("skipped: no corpus of drawings here");
    }
    for (name, text) in all {
        // Small windows take long for large drawings: handles are looked up in each.
        let rooms: &[usize] =
            if text.len() < 300_000 { &[2000, 1 << 16] } else { &[1 << 16, 1 << 20] };
        same_by_windows(&name, &text, rooms);
    }
}
