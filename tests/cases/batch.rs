//! `batch`: one folder a lot, and no drawing stops the others.

use crate::tools::{RESULTS, Scratch, fixture, run};

/// What a batch writes beside the lots.
pub const ROLLUPS: [&str; 8] = [
    ".lots",
    "buy.csv",
    "cuts.csv",
    "fasteners.csv",
    "index.html",
    "lots.csv",
    "lumber.csv",
    "review.csv",
];

/// The lots' folders.
pub fn lots(s: &Scratch, out: &str) -> Vec<String> {
    s.entries(out).into_iter().filter(|e| !ROLLUPS.contains(&e.as_str())).collect()
}

/// A lot's files, as a folder lists them.
pub fn results() -> Vec<&'static str> {
    let mut all = RESULTS.to_vec();
    all.push("lot.json");
    all.sort();
    all
}

fn drawings(s: &Scratch) {
    s.file("in/a.dxf", &fixture("demo/willow-bend.dxf"));
    s.file("in/b.IFC", &fixture("demo/willow-bend.ifc"));
    s.file("in/a.ifc", &fixture("demo/willow-bend.ifc"));
    s.file("in/broken.dxf", &fixture("dxf/truncated.dxf"));
    s.file("in/notes.txt", b"not a drawing");
}

#[test]
fn a_folder_gives_a_folder_for_each_drawing() {
    let s = Scratch::new("batch-folder");
    drawings(&s);
    let ran = run(&["batch", &s.arg("in"), "-o", &s.arg("out")]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert_eq!(lots(&s, "out"), ["a.dxf", "a.ifc", "b"]);
    for file in ROLLUPS {
        assert!(s.path().join("out").join(file).exists(), "{file}");
    }
    for lot in ["a.dxf", "a.ifc", "b"] {
        assert_eq!(s.entries(&format!("out/{lot}")), results());
        assert!(ran.out.contains(&format!("{lot}\tok\t")), "{}", ran.out);
    }
    assert!(ran.out.contains("broken\tfailed\t"), "{}", ran.out);
    assert!(
        ran.err.contains("3 planned with warnings, 0 planned with errors, 1 not planned"),
        "{}",
        ran.err
    );
}

#[test]
fn a_manifest_gives_each_lot_its_own_settings_and_hand() {
    let s = Scratch::new("batch-manifest");
    drawings(&s);
    s.file("in/own.toml", b"[plates]\nexterior_tee = \"lap\"\n");
    let list = s.file(
        "in/lots.csv",
        b"lot,file,settings,mirror\n12,a.dxf,,x\n13,a.dxf,own.toml,\n14,missing.dxf,,\n",
    );
    let ran = run(&["batch", &list, "-o", &s.arg("out")]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    let settings = |lot: &str| -> serde_json::Value {
        let bytes = std::fs::read(s.path().join("out").join(lot).join("plan.json")).unwrap();
        serde_json::from_slice::<serde_json::Value>(&bytes).unwrap()["settings"].clone()
    };
    assert_eq!(settings("12")["mirror"], "x");
    assert_eq!(settings("12")["plates"]["exterior_tee"], "notch");
    assert_eq!(settings("13")["mirror"], "none");
    assert_eq!(settings("13")["plates"]["exterior_tee"], "lap");
    assert_eq!(lots(&s, "out"), ["12", "13"]);
    assert!(
        ran.err.contains("lots.csv, line 4: ") && ran.err.contains("missing.dxf"),
        "{}",
        ran.err
    );
}

#[test]
fn exit_statuses() {
    let s = Scratch::new("batch-status");
    s.file("good/a.dxf", &fixture("demo/willow-bend.dxf"));
    s.file("bad/a.dxf", &fixture("dxf/empty.dxf"));
    s.file("errors/a.dxf", &fixture("dxf/nan-coordinate.dxf"));
    std::fs::create_dir(s.path().join("none")).unwrap();
    for (folder, status) in [("good", 0), ("errors", 1), ("bad", 2), ("none", 2)] {
        let ran = run(&["batch", &s.arg(folder), "-o", &s.arg("out")]);
        assert_eq!(ran.status, status, "{folder}: {}", ran.err);
    }
}

/// A reviewer's edits, given for one lot: as `plan --overrides` gives it, and nothing of the other lot's.
#[test]
fn a_lot_may_have_overrides() {
    let s = Scratch::new("batch-overrides");
    s.file("in/a.dxf", &fixture("demo/willow-bend.dxf"));
    let edits = "version = 1\n[[layers]]\nmatch = \"A-WALL-EXTR-2X6-PRCH\"\nuse = \"ignore\"\n";
    s.file("in/edits.toml", edits.as_bytes());
    s.file("in/lots.csv", b"lot,file,overrides\n1,a.dxf,\n2,a.dxf,edits.toml\n");
    let batch = || run(&["batch", &s.arg("in/lots.csv"), "-o", &s.arg("out")]);
    let ran = batch();
    assert_eq!(ran.status, 0, "{}", ran.err);
    let plan = |lot: &str| std::fs::read_to_string(s.path().join(lot).join("plan.json")).unwrap();
    assert!(plan("out/2").contains("\"overrides\": {"));
    assert!(!plan("out/1").contains("\"overrides\": {"));
    let (drawing, edited) = (s.arg("in/a.dxf"), s.arg("in/edits.toml"));
    let one = run(&["plan", &drawing, "--overrides", &edited, "--lot", "2", "-o", &s.arg("one")]);
    assert_eq!(one.status, 0, "{}", one.err);
    assert_eq!(plan("out/2"), plan("one"));
    assert!(batch().err.contains("2 of them unchanged"), "{}", batch().err);
    s.file("in/edits.toml", edits.replace("ignore", "wall").as_bytes());
    assert!(batch().err.contains("1 of them unchanged"), "other edits, another plan");
}

/// Edits beside the drawing are not taken by themselves, and that is said; a bad file plans nothing.
#[test]
fn overrides_are_asked_for_by_name() {
    let s = Scratch::new("plan-overrides");
    s.file("a.dxf", &fixture("demo/willow-bend.dxf"));
    s.file("a.dxf.overrides.toml", b"version = 1\nmirror = \"x\"\n");
    let (drawing, out) = (s.arg("a.dxf"), s.arg("out"));
    let ran = run(&["plan", &drawing, "-o", &out]);
    assert!(
        ran.err.contains("not used: a.dxf.overrides.toml lies beside the drawing"),
        "{}",
        ran.err
    );
    let edits = s.arg("a.dxf.overrides.toml");
    let ran = run(&["plan", &drawing, "-o", &out, "--overrides", &edits]);
    assert!(!ran.err.contains("not used"), "{}", ran.err);
    assert!(ran.err.contains("Edits in force: mirror x"), "{}", ran.err);
    // Flags lie over the edits, as they do over the settings.
    let ran = run(&["plan", &drawing, "-o", &out, "--overrides", &edits, "--mirror", "none"]);
    assert_eq!(ran.status, 0);
    let plan = std::fs::read_to_string(s.path().join("out/plan.json")).unwrap();
    assert!(plan.contains("\"mirror\": \"none\""), "the flag");
    s.file("a.dxf.overrides.toml", b"version = 1\n[[walls]]\nwal = 3\n");
    let ran = run(&["plan", &drawing, "-o", &s.arg("none"), "--overrides", &edits]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("overrides-bad") && ran.err.contains("line"), "{}", ran.err);
    assert!(!s.path().join("none").exists());
}

/// A list as other programs save it: UTF-16, Windows-1252, semicolons. What was not plain is told.
#[test]
fn lists_in_other_encodings() {
    let s = Scratch::new("batch-encodings");
    drawings(&s);
    let text = "lot;file\r\nGr\u{fc}n 007;a.dxf\r\n";
    let utf16: Vec<u8> =
        [0xff, 0xfe].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let latin: Vec<u8> = text.chars().map(|c| c as u8).collect();
    for (name, bytes, told) in
        [("utf16", utf16, "UTF-16LE"), ("latin", latin, "windows-1252"), ("utf8", text.into(), "")]
    {
        let list = s.file(&format!("in/{name}.csv"), &bytes);
        let out = format!("out-{name}");
        let ran = run(&["batch", &list, "-o", &s.arg(&out)]);
        assert_eq!(ran.status, 0, "{name}: {}", ran.err);
        assert_eq!(lots(&s, &out), ["Gr\u{fc}n 007"], "{name}");
        assert!(ran.err.contains("semicolons") && ran.err.contains(told), "{name}: {}", ran.err);
    }
    let cut: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let ran = run(&["batch", &s.file("in/cut.csv", &cut), "-o", &s.arg("none")]);
    assert!(ran.status == 2 && ran.err.contains("UTF-16 without its mark"), "{}", ran.err);
}

/// Every trick in one list: each line is told, and nothing at all is written, inside or outside.
#[test]
fn names_and_paths_that_lead_astray() {
    let s = Scratch::new("batch-tricks");
    drawings(&s);
    s.file("secret.dxf", &fixture("demo/willow-bend.dxf"));
    let list = "lot,file,settings,layers\n../up,a.dxf\n/root,a.dxf\nC:x,a.dxf\nNUL,a.dxf\ncom1.lot,a.dxf\n\
        7.,a.dxf\nlots.csv,a.dxf\nshelf-0a,a.dxf\nA,../secret.dxf\nB,..\\secret.dxf\nC,/etc/passwd\nD,\\\\host\\a.dxf\n\
        E,a.dxf,../x.toml\nF,a.dxf,,../x.toml\nLot 1,a.dxf\nLot 1,a.dxf\nlot 1,a.dxf\nGr\u{fc}n,a.dxf\nGru\u{308}n,a.dxf\n";
    let list = s.file("in/lots.csv", list.as_bytes());
    let ran = run(&["batch", &list, "-o", &s.arg("out/deep")]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    let line = |n: usize| ran.err.contains(&format!("lots.csv, line {n}: "));
    let told: Vec<usize> = (2..=20).filter(|n| line(*n)).collect();
    // All but the first of the three and of the two that would share a folder; findings of a kind beyond
    // the fourth are counted, not listed.
    assert!(!line(16) && !line(19), "{}", ran.err);
    let more = ran
        .err
        .lines()
        .find_map(|l| l.trim().strip_prefix("... and ")?.split(' ').next()?.parse().ok());
    assert_eq!(told.len() + more.unwrap_or(0), 17, "{}", ran.err);
    assert_eq!(s.entries(""), ["in", "secret.dxf"]);
}
