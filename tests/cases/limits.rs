//! Limits of what a drawing may take: each stops or leaves out, says which it was and how to raise it, and
//! changes nothing in a plan that is made.

use crate::tools::{RESULTS, Scratch, fixture, json_bytes, run};
use limits::{Limit, Limits, Watch};
use overrides::Overrides;
use pipeline::Job;
use platewright_tests::dxf::{Options, write};
use platewright_tests::house;
use settings::Settings;
use std::io::Write;

/// The demo as an archive.
fn zipped(ifc: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file("house.ifc", zip::write::SimpleFileOptions::default()).unwrap();
    zip.write_all(ifc).unwrap();
    zip.finish().unwrap().into_inner()
}

/// The demo padded with a comment to over a megabyte.
fn large_ifc() -> Vec<u8> {
    let mut ifc = fixture("demo/willow-bend.ifc");
    ifc.extend(b"/*");
    ifc.resize(ifc.len() + (1 << 20), b'-');
    ifc.extend(b"*/\n");
    ifc
}

fn block(name: &str, content: &str) -> String {
    format!("  0\nBLOCK\n  2\n{name}\n 10\n0\n 20\n0\n{content}  0\nENDBLK\n")
}
fn insert(name: &str, more: &str) -> String {
    format!("  0\nINSERT\n  8\n0\n  2\n{name}\n 10\n0\n 20\n0\n{more}")
}

/// A drawing of eight walls, and three lines of furniture in a block inside another; `blocks` and `entities`
/// besides.
fn furnished(blocks: &str, entities: &str) -> Vec<u8> {
    let line = |x: &str| format!("  0\nLINE\n  8\nA-FURN\n 10\n{x}\n 20\n0\n 11\n{x}\n 21\n90\n");
    let inner: String = ["1", "2", "3"].map(line).concat();
    let blocks = block("INNER", &inner) + &block("OUTER", &insert("INNER", "")) + blocks;
    let text = write(&house::row_house(1), Options { insunits: 1, origin: (0, 0) });
    let into = |text: &str, name: &str, what: &str| {
        let at = text.find(&format!("\n{name}\n")).unwrap() + name.len() + 2;
        format!("{}{what}{}", &text[..at], &text[at..])
    };
    into(&into(&text, "BLOCKS", &blocks), "ENTITIES", entities).into_bytes()
}
fn nested_dxf() -> Vec<u8> {
    furnished("", &insert("OUTER", ""))
}

/// Limits that stop: exit status 2, what was over, the limit's name and value and how to raise it, the file,
/// no word too many; a folder of older results stays as it is.
#[test]
fn what_stops_says_why_and_writes_nothing() {
    let s = Scratch::new("limits-stop");
    let dxf = s.file("house.dxf", &fixture("demo/willow-bend.dxf"));
    let ifc = s.file("house.ifc", &fixture("demo/willow-bend.ifc"));
    let large = s.file("large.ifc", &large_ifc());
    let zip = s.file("house.ifczip", &zipped(&large_ifc()));
    let out = s.arg("out");
    s.file("out/plan.json", b"older");
    for (file, limit, part) in [
        (&large, "file_mb=1", "has 1"),
        (&zip, "unpacked_mb=1", "house.ifc unpacks to more than 1048576 bytes"),
        (&dxf, "walls=3", "The drawing has "),
        (&ifc, "walls=3", "The drawing has "),
        (&dxf, "seconds=0", "Time was up while reading the drawing"),
        (&ifc, "seconds=0", "Time was up while reading the drawing"),
    ] {
        let name = std::path::Path::new(file).file_name().unwrap().to_string_lossy().into_owned();
        let ran = run(&["plan", file, "-o", &out, "--limit", limit]);
        assert_eq!(ran.status, 2, "{name} {limit}: {}", ran.err);
        let (word, value) = limit.split_once('=').unwrap();
        for part in [
            "[limit-reached]",
            name.as_str(),
            part,
            &format!("the limit {word} is {value}"),
            &format!("--limit {word}=N"),
            "Nothing was written.",
        ] {
            assert!(ran.err.contains(part), "{name} {limit}: no '{part}' in\n{}", ran.err);
        }
        assert!(ran.out.is_empty());
        assert_eq!(s.entries("out"), ["plan.json"]);
        assert_eq!(s.entries(""), ["house.dxf", "house.ifc", "house.ifczip", "large.ifc", "out"]);
        let seen = run(&["inspect", file, "--limit", limit]);
        let looks = word != "walls"; // only planning counts walls
        assert_eq!(seen.status == 2, looks, "inspect {name} {limit}: {}", seen.err);
    }
    // The same limits from a settings file; the flag lies over it.
    let toml = s.file("tight.toml", b"[limits]\nwalls = 3\n");
    let plan =
        |more: &[&str]| run(&[&["plan", &dxf, "-o", &out, "--settings", &toml][..], more].concat());
    let ran = plan(&[]);
    assert!(ran.status == 2 && ran.err.contains("the limit walls is 3"), "{}", ran.err);
    assert_eq!(plan(&["--limit", "walls=5000"]).status, 0);
    assert_eq!(s.entries("out"), RESULTS);
}

#[test]
fn memory_is_counted_before_it_is_taken() {
    let s = Scratch::new("limits-memory");
    // 4.4 km: no unit is obeyed that makes more of a building.
    let large = house::row_house(1200);
    let large = write(&large, Options { insunits: 1, origin: (0, 0) });
    let file = s.file("row.dxf", large.as_bytes());
    let ran =
        run(&["plan", &file, "-o", &s.arg("out"), "--units", "in", "--limit", "memory_mb=128"]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert!(ran.err.contains("megabytes of memory; the limit memory_mb is 128"), "{}", ran.err);
    assert!(!s.path().join("out").exists());
}

/// Limits that leave out: an error, the rest planned, all counted; and `plan.json` tells the limit.
#[test]
fn what_is_left_out_is_counted_and_said() {
    let s = Scratch::new("limits-leave");
    // A hundred rows of a hundred.
    let rows = insert("INNER", " 70\n100\n 71\n100\n 44\n9\n 45\n99\n");
    let file = s.file("nested.dxf", &furnished("", &(insert("OUTER", "") + &rows)));
    let out = s.arg("out");
    let whole = run(&["plan", &file, "-o", &out]);
    assert_eq!(whole.status, 0, "{}", whole.err);
    let plan = || std::fs::read_to_string(s.path().join("out/plan.json")).unwrap();
    assert!(!plan().contains("\"limits\""), "defaults are not told");
    for (limit, words) in [
        ("nesting", "Left out and counted in the ledger: 1 insert of blocks nested too deep"),
        ("entities", "in the ledger: 1 insert of blocks that make the drawing too large"),
    ] {
        let ran = run(&["plan", &file, "-o", &out, "--limit", &format!("{limit}=1")]);
        assert_eq!(ran.status, 1, "{limit}: {}", ran.err);
        let told = ran.err.contains(words) && ran.err.contains(&format!("--limit {limit}=N"));
        assert!(told, "{}", ran.err);
        let told: serde_json::Value = serde_json::from_str(&plan()).unwrap();
        assert_eq!(told["settings"]["limits"], serde_json::json!({ limit: 1 }));
        let l = &told["ledger"];
        let ignored: u64 =
            l["ignored"].as_array().unwrap().iter().map(|i| i["count"].as_u64().unwrap()).sum();
        let count = |key: &str| l[key].as_u64().unwrap();
        assert_eq!(count("used") + ignored, count("entities_read"));
    }
}

/// At whichever look at the clock time is up, there is a refusal that says so or, once there are looks enough,
/// the very bytes of a run without a clock.
#[test]
fn time_up_at_any_look_gives_the_same_bytes_or_none() {
    let settings = Settings::default();
    let unnamed = write(&house::row_house(2), Options { insunits: 1, origin: (0, 0) })
        .replace("A-WALL", "LINES");
    for (file_name, bytes) in [
        ("house.dxf", fixture("demo/willow-bend.dxf")),
        ("house.ifc", fixture("demo/willow-bend.ifc")),
        ("unnamed.dxf", unnamed.into_bytes()),
    ] {
        let job = Job { file_name, bytes: (&bytes).into(), settings: &settings };
        let none = Overrides::default();
        let whole = pipeline::plan_within(job, &none, &Watch::endless());
        let whole = whole.map(|d| json_bytes(&d)).map_err(|r| r.to_string());
        let mut stages = std::collections::BTreeSet::new();
        let mut looks = 0;
        loop {
            let watch = Watch::ending_after(looks);
            match pipeline::plan_within(job, &none, &watch) {
                Err(r) if r.findings[0].code == diag::codes::input::LIMIT => {
                    assert_eq!(r.findings.len(), 1, "{r}");
                    let message = &r.findings[0].message;
                    assert!(message.starts_with(&format!("{file_name}: Time was up")), "{message}");
                    stages.insert(message.clone());
                }
                other => {
                    let end = other.map(|d| json_bytes(&d)).map_err(|r| r.to_string());
                    assert!(end == whole, "{file_name}: after {looks} looks");
                    assert!(!watch.is_over() || looks > 0);
                    break;
                }
            }
            looks += 1;
        }
        println!("{file_name}: {looks} looks, stopped in {} stages", stages.len());
        assert!(looks > 20, "{file_name}: {looks}");
        if whole.is_ok() {
            assert_eq!(stages.len(), 5, "{stages:?}");
        }
    }
}

/// The greatest nesting that can be asked for fits the stack of a test's thread, a quarter of the program's.
#[test]
fn the_deepest_nesting_allowed_fits_the_stack() {
    let (_, deepest) = Limit::Nesting.range();
    let limits = Limits::default().with(Limit::Nesting, deepest);
    let settings = Settings { limits, ..Settings::default() };
    // DXF: a chain of blocks, each in the next, with INNER in the first.
    let mut chain = block("C0", &insert("INNER", ""));
    for i in 1..200 {
        chain += &block(&format!("C{i}"), &insert(&format!("C{}", i - 1), ""));
    }
    for (top, left_out) in [(deepest - 2, false), (deepest - 1, true), (199, true)] {
        let bytes = furnished(&chain, &insert(&format!("C{top}"), ""));
        let job = Job { file_name: "chain.dxf", bytes: (&bytes).into(), settings: &settings };
        let seen = pipeline::inspect(job).unwrap();
        let told = seen.findings().iter().any(|f| f.code == diag::codes::input::LIMIT);
        assert_eq!(told, left_out, "C{top}: {:?}", seen.used);
        assert_eq!(seen.used.nesting, deepest.min(top + 2), "C{top}");
    }
    // IFC: from the first body a union in a union in a union ... is taken away.
    let ifc = String::from_utf8(fixture("demo/willow-bend.ifc")).unwrap();
    let at = ifc.find("=IFCEXTRUDEDAREASOLID(").unwrap();
    let (head, rest) = ifc.split_at(at);
    let (body, rest) = rest.split_once(";\n").unwrap();
    for length in [deepest - 4, 500] {
        let link =
            |i| format!("#{}=IFCBOOLEANRESULT(.UNION.,#{},#900000);\n", 900_001 + i, 900_002 + i);
        let links: String = (0..length).map(link).collect();
        let last = format!("#{}{body};\n", 900_001 + length);
        let text = format!(
            "{head}=IFCBOOLEANRESULT(.DIFFERENCE.,#900000,#900001);\n#900000{body};\n{links}{last}{rest}"
        );
        let job =
            Job { file_name: "chain.ifc", bytes: text.as_bytes().into(), settings: &settings };
        let seen = pipeline::inspect(job).unwrap();
        assert_eq!(seen.used.nesting, deepest.min(length + 1), "{length}: {:?}", seen.used);
        assert!(seen.used.walls > 0);
    }
}

#[test]
fn inspect_lists_limits_and_what_was_taken() {
    let s = Scratch::new("limits-inspect");
    let zip = s.file("house.ifczip", &zipped(&large_ifc()));
    let dxf = s.file("nested.dxf", &nested_dxf());
    let plain = run(&["inspect", &dxf]);
    assert!(!plain.out.contains("limits:"), "{}", plain.out);
    let ran = run(&["inspect", &dxf, "--limits", "--limit", "walls=77"]);
    assert!(ran.out.starts_with(&plain.out[..40]));
    let rows: Vec<&str> =
        ran.out.lines().skip_while(|l| *l != "limits:").skip(2).take(Limit::ALL.len()).collect();
    for (row, limit) in rows.iter().zip(Limit::ALL) {
        assert!(row.contains(&format!("  {limit}: {}", limit.about())), "{row}");
    }
    let numbers = |row: &str| -> Vec<u64> {
        row.split_whitespace().take(3).map(|n| n.parse().unwrap()).collect()
    };
    assert_eq!(numbers(rows[Limit::Nesting as usize]), [32, 32, 2]);
    assert_eq!(numbers(rows[Limit::Walls as usize])[..2], [77, 100_000]);
    let told = run(&["inspect", &zip, "--json", "--limits"]);
    let told: serde_json::Value = serde_json::from_str(&told.out).unwrap();
    let rows = told["limits"].as_array().unwrap();
    assert_eq!(rows.len(), Limit::ALL.len());
    let used = |limit: Limit| rows[limit as usize]["used"].as_u64().unwrap();
    assert_eq!(used(Limit::FileMb), 1, "packed");
    assert_eq!(used(Limit::UnpackedMb), 2);
    assert!(used(Limit::Walls) > 10 && used(Limit::Entities) > 100 && used(Limit::MemoryMb) > 64);
    assert_eq!(rows[Limit::Walls as usize]["default"], 100_000);
}

/// One lot over a limit stops no other; raising a limit plans that lot and leaves the others alone.
#[test]
fn limits_hold_for_each_lot_of_a_batch() {
    let s = Scratch::new("limits-batch");
    s.file("in/large.ifc", &large_ifc());
    s.file("in/small.dxf", &fixture("demo/willow-bend.dxf"));
    let batch = |limit: &str| run(&["batch", &s.arg("in"), "-o", &s.arg("out"), "--limit", limit]);
    let ran = batch("file_mb=1");
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert!(ran.err.contains("the limit file_mb is 1"), "{}", ran.err);
    assert!(ran.out.contains("large\tfailed") && ran.out.contains("small\tok"), "{}", ran.out);
    let ran = batch("file_mb=2");
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("1 of them unchanged"), "{}", ran.err);
    // What stops in the middle is tried again too.
    let again = Scratch::new("limits-batch-again");
    again.file("in/small.dxf", &fixture("demo/willow-bend.dxf"));
    let batch =
        |limit: &str| run(&["batch", &again.arg("in"), "-o", &again.arg("out"), "--limit", limit]);
    let ran = batch("walls=3");
    assert!(ran.status == 2 && ran.err.contains("the limit walls is 3"), "{}", ran.err);
    let ran = batch("walls=300");
    assert!(ran.status == 0 && ran.err.contains("0 of them unchanged"), "{}", ran.err);
}

#[test]
fn flags_that_are_no_limits_are_refused_with_the_names() {
    for (flag, part) in [
        ("wall=3", "file_mb, unpacked_mb, entities, nesting, walls, seconds, memory_mb"),
        ("walls", "NAME=VALUE"),
        ("nesting=65", "from 1 to 64"),
    ] {
        let ran = run(&["inspect", "house.dxf", "--limit", flag]);
        assert!(ran.status == 2 && ran.err.contains(part), "{flag}: {}", ran.err);
    }
}
