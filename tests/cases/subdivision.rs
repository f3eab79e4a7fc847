//! A whole subdivision: 4 plans, as drawn and mirrored, 30 lots, three of them with a bad drawing.

use crate::batch::{lots, results};
use crate::tools::{RESULTS, Ran, Scratch, run};
use platewright_tests::tract::{self, TractLot};
use std::collections::BTreeMap;
use std::path::Path;
use std::time::SystemTime;

const PLANS: usize = 4;
const LOTS: usize = 30;
const BAD: usize = 3;

fn tract(name: &str) -> (Scratch, Vec<TractLot>) {
    let s = Scratch::new(name);
    for (file, bytes) in tract::drawings(PLANS).into_iter().chain(tract::bad_drawings(BAD)) {
        s.file(&format!("in/{file}"), &bytes);
    }
    let lots = tract::lots(PLANS, LOTS, BAD);
    s.file("in/lots.csv", tract::manifest(&lots).as_bytes());
    (s, lots)
}

fn batch(s: &Scratch, out: &str, more: &[&str]) -> Ran {
    let (list, out) = (s.arg("in/lots.csv"), s.arg(out));
    let fixed = ["batch", &list, "-o", &out, "--project", "Tract <1>"];
    run(&[&fixed[..], more].concat())
}

/// Every file below a folder, by its path.
fn tree(root: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut open = vec![root.to_owned()];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
                files.insert(name, std::fs::read(&path).unwrap());
            }
        }
    }
    files
}
fn times(root: &Path, files: &BTreeMap<String, Vec<u8>>) -> Vec<SystemTime> {
    let time = |f: &String| root.join(f).metadata().unwrap().modified().unwrap();
    files.keys().map(time).collect()
}
/// Trees of many bytes are told apart by names, not printed.
fn assert_same(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>) {
    let names = |t: &BTreeMap<String, Vec<u8>>| t.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(a), names(b));
    for (name, bytes) in a {
        assert!(b[name] == *bytes, "{name} differs");
    }
}
fn table(s: &Scratch, path: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(s.path().join(path)).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}
fn sum(rows: &[BTreeMap<String, String>], column: &str) -> f64 {
    rows.iter().map(|r| r[column].parse::<f64>().unwrap()).sum()
}

#[test]
fn every_good_lot_is_as_if_planned_alone_and_bad_ones_stop_nothing() {
    let (s, all) = tract("tract-alone");
    let ran = batch(&s, "out", &["--threads", "2"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    let good: Vec<&TractLot> = all.iter().filter(|l| l.file.starts_with("plan")).collect();
    assert_eq!(good.len(), LOTS - BAD);
    assert!(good.iter().any(|l| l.mirror == "x") && good.iter().any(|l| l.mirror == "y"));
    for lot in &good {
        let (file, alone) = (s.arg(&format!("in/{}", lot.file)), s.arg("alone"));
        let plan = ["plan", &file, "-o", &alone, "--mirror", lot.mirror];
        let named = ["--lot", &lot.name, "--project", "Tract <1>"];
        run(&[&plan[..], &named].concat());
        assert_eq!(s.entries(&format!("out/{}", lot.name)), results());
        for result in RESULTS {
            let read = |folder: &str| std::fs::read(s.path().join(folder).join(result)).unwrap();
            let same = read(&format!("out/{}", lot.name)) == read("alone");
            assert!(same, "{result} of {} differs from its own plan", lot.name);
        }
    }
    let mut names: Vec<&str> = good.iter().map(|l| l.name.as_str()).collect();
    names.sort();
    assert_eq!(lots(&s, "out"), names);
    // The bad ones, in the queue before all others, each with a reason and a remedy.
    let review = table(&s, "out/review.csv");
    let bad: Vec<&TractLot> = all.iter().filter(|l| l.file.starts_with("bad")).collect();
    for lot in &bad {
        let row = review.iter().position(|r| r["lot"] == lot.name).unwrap();
        assert!(row < 2 * BAD, "{row}");
        assert_eq!(review[row]["status"], "failed");
        assert!(!review[row]["reason"].is_empty() && !review[row]["remedy"].is_empty());
    }
    let index = std::fs::read_to_string(s.path().join("out/index.html")).unwrap();
    assert_eq!(index.matches("report.html").count(), good.len());
    assert!(index.contains("Tract &lt;1&gt;") && !index.contains("Tract <1>"));
}

#[test]
fn nothing_is_done_twice_and_the_order_does_not_matter() {
    let (s, mut all) = tract("tract-again");
    let first = batch(&s, "out", &["--threads", "2", "--pool"]);
    let out = s.path().join("out");
    let (files, changed) = (tree(&out), times(&out, &tree(&out)));
    let second = batch(&s, "out", &["--resume", "--pool"]);
    assert_eq!((first.status, second.status), (1, 1));
    assert!(second.err.contains("30 of them unchanged"), "{}", second.err);
    assert_same(&files, &tree(&out));
    assert_eq!(changed, times(&out, &files), "a file was written again");
    assert_eq!(first.out, second.out);

    all.reverse();
    all.swap(3, 17);
    s.file("in/lots.csv", tract::manifest(&all).as_bytes());
    batch(&s, "shuffled", &["--threads", "1", "--pool"]);
    assert_same(&files, &tree(&s.path().join("shuffled")));
}

#[test]
fn only_what_changed_is_planned_again() {
    let (s, all) = tract("tract-changed");
    batch(&s, "out", &[]);
    s.file("out/Lot 1/note.txt", b"mine");
    std::fs::remove_file(s.path().join("out/Lot 2/cuts.csv")).unwrap();
    // Lots 1, 5, 9 ... have the first plan; it goes bad.
    let bad = &tract::bad_drawings(3)[1].1;
    let good = std::fs::read(s.path().join("in/plan-01.dxf")).unwrap();
    s.file("in/plan-01.dxf", bad);
    let ran = batch(&s, "out", &[]);
    let of_first = all.iter().filter(|l| l.file == "plan-01.dxf").count();
    let told = format!("{} of them unchanged", LOTS - of_first - 1);
    assert!(ran.err.contains(&told), "{told}: {}", ran.err);
    assert!(ran.err.contains("do not cut by them"), "{}", ran.err);
    assert!(s.path().join("out/Lot 2/cuts.csv").is_file());
    // The older cut list is in no roll-up.
    let cuts = table(&s, "out/cuts.csv");
    assert!(cuts.iter().all(|r| r["lot"] != "Lot 1") && cuts.iter().any(|r| r["lot"] == "Lot 2"));
    // And good again: all as if nothing had been, the stranger's file included.
    s.file("in/plan-01.dxf", &good);
    batch(&s, "out", &[]);
    batch(&s, "fresh", &[]);
    let mut after = tree(&s.path().join("out"));
    assert_eq!(after.remove("Lot 1/note.txt").as_deref(), Some(&b"mine"[..]));
    assert_same(&after, &tree(&s.path().join("fresh")));
    // The manifest sets every lot's mirror, so that flag changes nothing; a new top changes all.
    let ran = batch(&s, "out", &["--mirror", "y"]);
    assert!(ran.err.contains("; 30 of them unchanged"), "{}", ran.err);
    let ran = batch(&s, "out", &["--default-top", "100"]);
    assert!(ran.err.contains("; 0 of them unchanged"), "{}", ran.err);
    let ran = batch(&s, "out", &["--force"]);
    assert!(ran.err.contains("; 0 of them unchanged"), "{}", ran.err);
}

#[test]
fn roll_ups_add_up_and_pooled_boards_are_accepted() {
    let (s, all) = tract("tract-pool");
    let events = s.arg("events.jsonl");
    batch(&s, "out", &["--pool", "--events", &events]);
    let mut boards: BTreeMap<(String, String), u64> = BTreeMap::new();
    let mut pieces = 0;
    for lot in all.iter().filter(|l| l.file.starts_with("plan")) {
        let mut seen = std::collections::BTreeSet::new();
        for row in table(&s, &format!("out/{}/stock.csv", lot.name)) {
            pieces += 1;
            if seen.insert(row["board"].clone()) {
                *boards.entry((row["section"].clone(), row["length_ft"].clone())).or_default() += 1;
            }
        }
    }
    let mut bought: BTreeMap<(String, String), u64> = BTreeMap::new();
    for row in table(&s, "out/buy.csv") {
        let of = bought.entry((row["section"].clone(), row["length_ft"].clone())).or_default();
        *of += row["boards"].parse::<u64>().unwrap();
    }
    assert_eq!(bought, boards);
    assert_eq!(table(&s, "out/cuts.csv").len(), pieces);
    let lumber = table(&s, "out/lumber.csv");
    let of = |scope: &str| -> Vec<_> {
        lumber.iter().filter(|r| r["scope"] == scope).cloned().collect()
    };
    for column in ["pieces", "bought_ft"] {
        assert_eq!(sum(&of("lot"), column), sum(&of("all"), column));
        assert_eq!(sum(&of("group"), column), sum(&of("all"), column));
    }
    for row in table(&s, "out/pool.csv") {
        let number = |c: &str| row[c].parse::<f64>().unwrap();
        assert!(number("lower_bound_ft") <= number("bought_ft"), "{row:?}");
        assert!(number("bought_ft") <= number("apart_ft"), "pooling costs more: {row:?}");
    }
    let ran = run(&["accept", &s.arg("out"), &s.arg("out/pool-stock.csv")]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let events = std::fs::read_to_string(events).unwrap();
    let events: Vec<serde_json::Value> =
        events.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(events.len(), LOTS + 2);
    assert_eq!((&events[0]["event"], &events[LOTS + 1]["failed"]), (&"start".into(), &BAD.into()));
}

#[test]
fn slices_and_one_roll_up_give_the_same_as_one_run() {
    let (s, _) = tract("tract-slices");
    batch(&s, "whole", &["--pool"]);
    for slice in ["2/3", "3/3", "1/3"] {
        batch(&s, "sliced", &["--shard", slice]);
        assert!(!s.path().join("sliced/lots.csv").exists());
    }
    let ran = batch(&s, "sliced", &["--rollup-only", "--pool"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert_same(&tree(&s.path().join("whole")), &tree(&s.path().join("sliced")));
    // The results alone, on a machine that has no drawings: the list is enough for the tables.
    let list = std::fs::read(s.path().join("in/lots.csv")).unwrap();
    let list = s.file("elsewhere/lots.csv", &list);
    let alone = ["batch", &list, "-o", &s.arg("sliced"), "--project", "Tract <1>", "--rollup-only"];
    let ran = run(&alone);
    assert!(
        ran.err.contains("could not be compared") && !ran.err.contains("not reached"),
        "{}",
        ran.err
    );
    let mut whole = tree(&s.path().join("whole"));
    whole.retain(|name, _| !name.starts_with("pool") && name != "index.html");
    let mut sliced = tree(&s.path().join("sliced"));
    sliced.remove("index.html");
    assert_same(&whole, &sliced);
    std::fs::remove_dir_all(s.path().join("sliced/Lot 7")).unwrap();
    let ran = batch(&s, "sliced", &["--rollup-only"]);
    assert!(ran.err.contains("1 not reached") && ran.out.contains("Lot 7\tmissing"), "{}", ran.err);
}

#[test]
fn a_pattern_and_copies_of_one_drawing() {
    let s = Scratch::new("tract-copies");
    let drawing = &tract::drawings(2)[1].1;
    for copy in ["a", "b", "c"] {
        s.file(&format!("in/{copy}.dxf"), drawing);
    }
    s.file("in/other.dxf", &tract::bad_drawings(3)[1].1);
    let ran = run(&["batch", &s.arg("in/[a-c].dxf"), "-o", &s.arg("out")]);
    assert_eq!(lots(&s, "out"), ["a", "b", "c"], "{}", ran.err);
    for copy in ["a", "b", "c"] {
        run(&["plan", &s.arg(&format!("in/{copy}.dxf")), "-o", &s.arg("alone")]);
        for result in RESULTS {
            let read = |folder: &str| std::fs::read(s.path().join(folder).join(result)).unwrap();
            assert!(read(&format!("out/{copy}")) == read("alone"), "{result} of {copy}");
        }
    }
}

/// As when a spreadsheet holds a table open, or the folder is no folder.
#[test]
fn what_cannot_be_written_is_told_and_stops_no_lot() {
    let (s, _) = tract("tract-locked");
    s.file("out/review.csv/held", b"");
    let ran = batch(&s, "out", &[]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert!(ran.err.contains("review.csv could not be written"), "{}", ran.err);
    assert_eq!(lots(&s, "out").len(), LOTS - BAD);
    let file = s.file("file", b"");
    assert_eq!(batch(&s, "file", &[]).status, 2);
    assert_eq!(std::fs::read(file).unwrap(), b"");
}

#[test]
fn results_never_go_where_drawings_lie() {
    let (s, _) = tract("tract-where");
    let before = tree(s.path());
    for (input, out) in [
        ("in", "in/out"),
        ("in", "in"),
        ("in/lots.csv", "in"),
        ("in/lots.csv", "."),
        ("in/../in", "in/x/../out"),
    ] {
        let ran = run(&["batch", &s.arg(input), "-o", &s.arg(out)]);
        assert_eq!(ran.status, 2, "{input} {out}: {}", ran.err);
        assert!(ran.err.contains("cannot be the folder for the results"), "{}", ran.err);
    }
    assert_same(&before, &tree(s.path()));
}
