//! Reads every drawing of the shared corpus, where there is one: no panic, a model or a refusal, a
//! ledger that sums, entity counts that agree with ezdxf's.

use std::collections::BTreeMap;
use std::path::PathBuf;

fn corpus() -> Option<PathBuf> {
    let dir = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/corpus");
    let found = dir.join("dxf").is_dir();
    if !found {
        println!("skipped: no corpus of drawings here");
    }
    found.then_some(dir)
}

fn files() -> Vec<(String, Vec<u8>)> {
    let Some(dir) = corpus() else { return Vec::new() };
    let entries = std::fs::read_dir(dir.join("dxf")).expect("the corpus is readable");
    let mut names: Vec<PathBuf> = entries.flatten().map(|e| e.path()).collect();
    names.sort();
    names
        .into_iter()
        .filter(|p| p.extension().is_some_and(|e| e == "dxf"))
        .map(|p| {
            let name = p.file_name().unwrap_or_default().to_string_lossy().into_owned();
            (name, std::fs::read(&p).expect("a readable file"))
        })
        .collect()
}

#[test]
fn every_file_gives_a_model_or_a_reason() {
    for (name, bytes) in files() {
        let settings = settings::Settings::default();
        match import_dxf::read(&bytes, &settings) {
            Ok(out) => {
                let l = &out.value.ledger;
                assert_eq!(l.read(), l.used() + l.ignored_total(), "{name}");
                println!(
                    "{name}: {} walls, {} openings, read {} used {}, {}",
                    out.value.walls.len(),
                    out.value.walls.iter().map(|w| w.openings.len()).sum::<usize>(),
                    l.read(),
                    l.used(),
                    out.value.units.decided_by
                );
                for f in &out.findings {
                    println!("    {f}");
                }
            }
            Err(refusal) => {
                assert!(!refusal.findings.is_empty(), "{name}");
                println!("{name}: refused");
                for f in &refusal.findings {
                    println!("    {f}");
                }
            }
        }
        if let Ok(i) = import_dxf::inspect(&bytes, &settings) {
            assert_eq!(i.ledger.read(), i.ledger.used() + i.ledger.ignored_total(), "{name}");
        }
    }
}

/// INDEX.csv of the corpus has the model-space entity counts that ezdxf found.
#[test]
fn entity_counts_agree_with_ezdxf() {
    let Some(dir) = corpus() else { return };
    let index = std::fs::read_to_string(dir.join("INDEX.csv")).unwrap();
    let mut checked = 0;
    for (name, bytes) in files() {
        let Some(line) = index.lines().find(|l| l.starts_with(&format!("dxf/{name},"))) else {
            continue;
        };
        let Some(want) = histogram(line) else { continue };
        let found = import_dxf::inspect(&bytes, &settings::Settings::default()).unwrap();
        let got: BTreeMap<String, u64> = found.model_entities.into_iter().collect();
        assert_eq!(got, want, "{name}");
        checked += 1;
    }
    println!("{checked} files compared");
    assert!(checked > 10);
}

fn histogram(line: &str) -> Option<BTreeMap<String, u64>> {
    let body = line.split("hist={").nth(1)?.split('}').next()?;
    body.split(", ")
        .filter(|p| !p.is_empty())
        .map(|pair| {
            let (name, count) = pair.split_once(": ")?;
            Some((name.trim_matches('\'').to_owned(), count.parse().ok()?))
        })
        .collect()
}

/// Entities and total length by layer after all blocks are inserted, as ezdxf 1.4.5 gives them
/// (modelspace, `virtual_entities` of every INSERT, LINE, ARC, LWPOLYLINE and POLYLINE, layer 0
/// inherited): nested, turned, mirrored and scaled blocks land where it puts them.
#[test]
fn flattened_lengths_agree_with_ezdxf() {
    let want = [
        ("us_house_bishop_overland_r2004.dxf", "xref-Bishop-Overland-08$0$A-WALL", 177, 8596.1173),
        (
            "us_house_bishop_overland_r2004.dxf",
            "xref-Bishop-Overland-08$0$A-OPENING",
            159,
            3599.2778,
        ),
        ("us_apartments_inch_r2004.dxf", "WALL", 1898, 62303.7431),
        ("us_apartments_inch_r2004.dxf", "FURNITURE", 2970, 87046.0149),
        ("barcelona_pavilion_exported_r12.dxf", "0", 3988, 3_164_327.839_8),
    ];
    let drawn = ["LINE", "ARC", "LWPOLYLINE", "POLYLINE"];
    for (name, bytes) in files() {
        let found = import_dxf::inspect(&bytes, &settings::Settings::default());
        for (_, layer, count, length) in want.iter().filter(|w| w.0 == name) {
            let layers = &found.as_ref().unwrap().layers;
            let l = layers.iter().find(|l| l.name == *layer).unwrap();
            let got: u64 =
                l.counts.iter().filter(|c| drawn.contains(&c.0.as_str())).map(|c| c.1).sum();
            assert_eq!(got, *count, "{name} {layer}");
            // Arcs are measured by 32 chords here.
            assert!((l.length - length).abs() <= 1e-3 * length, "{name} {layer}: {}", l.length);
        }
    }
}
