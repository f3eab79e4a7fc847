//! The saw's files as the command line writes them: forms, Parquet, schema, boards on hand.

use crate::tools::{RESULTS, Ran, Scratch, fixture, run};

fn read(s: &Scratch, path: &str) -> String {
    std::fs::read_to_string(s.path().join(path)).unwrap()
}
fn drawing(s: &Scratch) -> String {
    s.file("in/a.dxf", &fixture("demo/willow-bend.dxf"))
}
fn plan(s: &Scratch, out: &str, more: &[&str]) -> Ran {
    let file = drawing(s);
    let ran = run(&[&["plan", &file, "-o", &s.arg(out)], more].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    ran
}
fn header(s: &Scratch, path: &str) -> String {
    read(s, path).lines().next().unwrap().to_owned()
}

#[test]
fn flags_and_settings_choose_the_same_form() {
    let s = Scratch::new("feed-form");
    plan(&s, "flags", &["--feed-unit", "mm", "--feed-decimal", "comma"]);
    let settings = s.file("f.toml", b"[feed]\nunit = \"mm\"\ndecimal = \"comma\"\n");
    plan(&s, "file", &["--settings", &settings]);
    for name in RESULTS {
        assert_eq!(read(&s, &format!("flags/{name}")), read(&s, &format!("file/{name}")), "{name}");
    }
    assert!(header(&s, "flags/cuts.csv").contains(";qty;length_mm;length_text;"));
    // Flags win over the file.
    plan(&s, "back", &["--settings", &settings, "--feed-unit", "both", "--feed-decimal", "point"]);
    plan(&s, "usual", &[]);
    for name in RESULTS {
        assert_eq!(read(&s, &format!("back/{name}")), read(&s, &format!("usual/{name}")), "{name}");
    }
    let json: serde_json::Value = serde_json::from_str(&read(&s, "flags/plan.json")).unwrap();
    assert_eq!(json["settings"]["feed"], serde_json::json!({"unit": "mm", "decimal": "comma"}));
    let ran = run(&["plan", &drawing(&s), "-o", &s.arg("x"), "--feed-unit", "cm"]);
    assert!(ran.status == 2 && ran.err.contains("both, in, mm"), "{}", ran.err);
}

/// What is left over, written with commas, is the next house's boards on hand; and the saw's answer in that
/// form is accepted, once.
#[test]
fn leftovers_with_commas_come_back_as_boards_on_hand_and_are_accepted() {
    let s = Scratch::new("feed-on-hand");
    let yard = "section;length;quantity;label\r\n2x6;190,5;60;rack 7\r\n2x4;15'-2\";60;\r\n";
    let yard = s.file("yard.csv", yard.as_bytes());
    plan(&s, "one", &["--stock-on-hand", &yard, "--feed-decimal", "comma"]);
    plan(&s, "point", &["--stock-on-hand", &yard]);
    let (commas, points) = (s.arg("one/leftovers.csv"), s.arg("point/leftovers.csv"));
    let left = read(&s, "one/leftovers.csv");
    assert!(left.contains("2x6;190,5000;") && left.contains(";rack 7"), "{left}");
    plan(&s, "two", &["--stock-on-hand", &commas, "--feed-decimal", "comma"]);
    plan(&s, "two-by-points", &["--stock-on-hand", &points]);
    let boards = |out: &str| {
        let json: serde_json::Value =
            serde_json::from_str(&read(&s, &format!("{out}/plan.json"))).unwrap();
        json["stock"]["boards"].clone()
    };
    assert_eq!(boards("two"), boards("two-by-points"));
    let stock = read(&s, "two/stock.csv");
    assert!(stock.contains(";on hand") && stock.contains(";rack 7"), "{stock}");
    let accept = |list: &str, more: &[&str]| {
        let list = s.file("answer.csv", list.as_bytes());
        run(&[&["accept", &s.arg("two"), &list], more].concat())
    };
    let ran = accept(&stock, &[]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let points = read(&s, "two-by-points/stock.csv");
    assert_eq!(accept(&points, &[]).status, 0);
    // Told that it is to be bought, the same board is of no length that is sold.
    let ran = accept(&stock.replace(";rack 7", ";buy"), &[]);
    assert!(ran.status == 1 && ran.err.contains("settings of lot a have"), "{}", ran.err);
    // The yard has changed since: nothing is on hand.
    let none = s.file("none.csv", b"section,length\n");
    let ran = accept(&stock, &["--stock-on-hand", &none]);
    assert!(ran.status == 1 && ran.err.contains("is on hand"), "{}", ran.err);
}

fn parquet(s: &Scratch, folder: &str) -> Vec<String> {
    s.entries(folder).into_iter().filter(|e| e.ends_with(".parquet")).collect()
}

#[test]
fn parquet_beside_the_tables_and_gone_when_not_asked_for() {
    let s = Scratch::new("feed-parquet");
    plan(&s, "plan", &["--parquet"]);
    assert_eq!(parquet(&s, "plan"), ["cuts.parquet", "stock.parquet"]);
    let list = s.file("in/lots.csv", b"lot,file\n007,a.dxf\n'=2,a.dxf\n");
    let batch = |out: &str, more: &[&str]| {
        let ran = run(&[&["batch", &list, "-o", &s.arg(out)], more].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
    };
    batch("out", &["--parquet", "--pool"]);
    let all = ["buy", "cuts", "fasteners", "lots", "lumber", "pool-stock", "pool", "review"];
    assert_eq!(parquet(&s, "out"), all.map(|n| format!("{n}.parquet")));
    batch("again", &["--parquet", "--pool", "--threads", "1"]);
    for name in parquet(&s, "out") {
        let bytes = |out: &str| std::fs::read(s.path().join(out).join(&name)).unwrap();
        assert!(bytes("out") == bytes("again"), "{name}");
        assert!(bytes("out").starts_with(b"PAR1") && bytes("out").ends_with(b"PAR1"), "{name}");
    }
    assert!(read(&s, "out/index.html").contains("lots.parquet"));
    batch("out", &["--parquet"]);
    assert!(!parquet(&s, "out").contains(&"pool.parquet".to_owned()));
    batch("out", &[]);
    assert_eq!(parquet(&s, "out"), Vec::<String>::new());
}

#[test]
fn a_subdivision_has_one_form() {
    let s = Scratch::new("feed-batch");
    drawing(&s);
    s.file("in/other.toml", b"[feed]\nunit = \"in\"\n");
    s.file("in/same.toml", b"[feed]\nunit = \"mm\"\n");
    let list = s.file(
        "in/lots.csv",
        b"lot,file,settings\n1,a.dxf,\n2,a.dxf,other.toml\n3,a.dxf,same.toml\n",
    );
    let (out, same) = (s.arg("out"), s.arg("in/same.toml"));
    let ran = run(&["batch", &list, "-o", &out, "--settings", &same, "--pool"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    assert!(
        ran.err.contains("other.toml of lot 2 has a [feed] that is not the batch's"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("1\tok") && ran.out.contains("3\tok"), "{}", ran.out);
    for table in ["cuts.csv", "1/cuts.csv", "3/cuts-grouped.csv"] {
        let header = header(&s, &format!("out/{table}"));
        assert!(header.contains("length_mm") && !header.contains("length_in"), "{table}: {header}");
    }
    // With commas everywhere: the tables of all lots too, and nothing of the older form is mixed in.
    let commas = ["batch", &list, "-o", &out, "--settings", &same, "--feed-decimal", "comma"];
    let ran = run(&[&commas[..], &["--rollup-only"]].concat());
    assert!(ran.err.contains("not reached"), "{}", ran.err);
    run(&commas);
    assert!(header(&s, "out/lumber.csv").contains(";used_ft;"));
    assert!(
        read(&s, "out/lumber.csv").lines().nth(1).unwrap().split(';').nth(5).unwrap().contains(',')
    );
    // Results that cannot be compared with their drawings, and another form: refused, not mixed.
    std::fs::rename(s.path().join("in/a.dxf"), s.path().join("in/gone.dxf")).unwrap();
    let ran = run(&["batch", &list, "-o", &out, "--rollup-only"]);
    assert!(ran.status != 0 && ran.err.contains("rollup-bad"), "{}", ran.err);
    assert!(header(&s, "out/cuts.csv").contains(";length_mm;"));
}

#[test]
fn pooled_lots_cut_the_yards_boards_first() {
    let s = Scratch::new("feed-pool");
    drawing(&s);
    let list = s.file("in/lots.csv", b"lot,file,mirror,group\n1,a.dxf,,north\n2,a.dxf,x,south\n");
    let yard =
        s.file("yard.csv", b"section,length,quantity,label\n2x6,190.5,3,rack 7\n2x4,15'-2\",1,\n");
    let batch = ["batch", &list, "-o", &s.arg("out"), "--pool", "--stock-on-hand", &yard];
    let ran = run(&batch);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let stock = read(&s, "out/pool-stock.csv");
    let mut own: Vec<&str> = stock.lines().filter(|l| l.ends_with(",rack 7")).collect();
    assert!(!own.is_empty() && own.iter().all(|l| l.contains(",15.875,")), "{stock}");
    own.retain(|l| l.split(',').nth(5) == Some("1"));
    assert!(own.len() <= 3, "{own:?}");
    let answer = s.arg("out/pool-stock.csv");
    let accept = |more: &[&str]| run(&[&["accept", &s.arg("out"), &answer], more].concat());
    let ran = accept(&["--stock-on-hand", &yard]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let ran = accept(&[]);
    assert!(ran.status == 1 && ran.err.contains("rack 7"), "{}", ran.err);
    assert_eq!(run(&["batch", &list, "-o", &s.arg("x"), "--stock-on-hand", &yard]).status, 2);
}

#[test]
fn the_schema_is_printed() {
    let ran = run(&["schema", "--feed"]);
    let schema: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((ran.status, &schema["title"]), (0, &"platewright/feed/1".into()));
}
