//! Boards on hand and price lists, from the command line to the files.

use crate::tools::{Scratch, run};
use platewright_tests::bad;
use platewright_tests::checker::{self, list, number, text};
use serde_json::Value;
use std::collections::BTreeSet;

struct Planned {
    plan: Value,
    err: String,
    folder: Scratch,
}

/// The shed with a list of boards on hand and settings, both as text.
fn shed(name: &str, on_hand: &str, settings: &str) -> Planned {
    let folder = Scratch::new(name);
    let file = |f: &str| folder.path().join(f).to_string_lossy().into_owned();
    std::fs::write(file("shed.dxf"), bad::shed_dxf()).expect("written");
    std::fs::write(file("yard.csv"), on_hand).expect("written");
    std::fs::write(file("shop.toml"), settings).expect("written");
    let (drawing, yard, shop, out) =
        (file("shed.dxf"), file("yard.csv"), file("shop.toml"), file("out"));
    let args = ["plan", &drawing, "--settings", &shop, "--stock-on-hand", &yard, "-o", &out];
    let ran = run(&args);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let plan = std::fs::read(folder.path().join("out/plan.json")).expect("plan.json");
    let plan: Value = serde_json::from_slice(&plan).expect("JSON");
    assert_eq!(checker::faults(&plan), Vec::<String>::new());
    Planned { plan, err: ran.err, folder }
}

fn bought_in(plan: &Value) -> f64 {
    list(&plan["stock"]["sections"]).iter().map(|s| number(&s["bought_in"])).sum()
}

const NONE: &str = "section,length\n";

/// What is on hand is cut first and need not be bought; what is left comes back as a list that can be
/// read again, and then holds nothing that the plan took.
#[test]
fn leftovers_of_one_plan_are_boards_on_hand_of_the_next() {
    let without = shed("yard-without", NONE, "");
    let yard = "section,length,quantity,label\n2x4,12',2,rack A\n2x4,\"7'-6 1/2\"\"\",3,rack B\n2x6,10',1,other\n";
    let with = shed("yard-with", yard, "");
    assert!(bought_in(&with.plan) < bought_in(&without.plan));
    let own: Vec<&Value> =
        list(&with.plan["stock"]["boards"]).iter().filter(|b| !b["on_hand"].is_null()).collect();
    assert!(!own.is_empty() && own.len() <= 5);
    assert!(own.iter().all(|b| text(&b["on_hand"]).starts_with("rack")));
    assert!(with.err.contains("on hand"), "{}", with.err);

    let left = std::fs::read_to_string(with.folder.path().join("out/leftovers.csv")).expect("list");
    // The 2x6 is of no use in a house of 2x4s: it is still there.
    assert!(left.lines().any(|l| l == "2x6,120.0000,1,,other"), "{left}");
    let again = shed("yard-again", &left, "");
    assert!(bought_in(&again.plan) <= bought_in(&without.plan));

    // stock.csv tells which board comes from where.
    let stock = std::fs::read_to_string(with.folder.path().join("out/stock.csv")).expect("stock");
    let from: BTreeSet<&str> = stock.lines().skip(1).filter_map(|l| l.rsplit(',').next()).collect();
    assert!(from.contains("buy") && from.iter().any(|f| f.starts_with("rack")), "{from:?}");
}

/// With 16 ft boards at a giveaway price nothing else is bought; with them dear, none is.
#[test]
fn the_price_list_decides_what_is_bought() {
    let lengths = |plan: &Value| -> BTreeSet<u64> {
        let boards = list(&plan["stock"]["boards"]);
        boards.iter().map(|b| number(&b["length_ft"]) as u64).collect()
    };
    let prices = |sixteen: f64| {
        format!(
            "[stock.prices]\n2x4 = {{ 8 = 5.0, 10 = 6.0, 12 = 7.5, 14 = 9.0, 16 = {sixteen} }}\n"
        )
    };
    let cheap = shed("prices-cheap", NONE, &prices(0.5));
    assert_eq!(lengths(&cheap.plan), BTreeSet::from([16]));
    let section = &cheap.plan["stock"]["sections"][0];
    let boards = list(&cheap.plan["stock"]["boards"]).len() as f64;
    assert_eq!(number(&section["cost"]), boards * 0.5);
    assert!(number(&section["lower_bound_cost"]) <= number(&section["cost"]));
    assert!(cheap.err.contains("none costs less than"), "{}", cheap.err);
    let dear = shed("prices-dear", NONE, &prices(90.0));
    assert!(lengths(&dear.plan).len() > 1, "{:?}", lengths(&dear.plan));
    // A 16 ft board is only bought for a piece that nothing shorter gives.
    for b in list(&dear.plan["stock"]["boards"]) {
        if number(&b["length_ft"]) == 16.0 {
            let longest = list(&b["cuts"]).iter().map(|id| {
                let piece =
                    list(&dear.plan["pieces"]).iter().find(|p| p["id"] == *id).expect("a piece");
                number(&piece["length_in"])
            });
            assert!(longest.fold(0.0, f64::max) > 168.0);
        }
    }
}

/// A list with a mistake is refused with its line, and nothing is written.
#[test]
fn a_bad_list_stops_the_plan() {
    let folder = Scratch::new("yard-bad");
    let file = |f: &str| folder.path().join(f).to_string_lossy().into_owned();
    std::fs::write(file("shed.dxf"), bad::shed_dxf()).expect("written");
    std::fs::write(file("yard.csv"), "section,length\n2x4,ninety\n").expect("written");
    let ran =
        run(&["plan", &file("shed.dxf"), "--stock-on-hand", &file("yard.csv"), "-o", &file("out")]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("on-hand-bad") && ran.err.contains("yard.csv, line 2"), "{}", ran.err);
    assert!(!folder.path().join("out").exists());
}
