//! `accept`: the saw's answer, checked against the plans it is for.

use crate::tools::{Scratch, fixture, run};

/// A planned demo house, and its boards as an optimiser's answer: `stock.csv` has the columns for it.
fn planned(name: &str) -> (Scratch, String) {
    let s = Scratch::new(name);
    let file = s.file("a.dxf", &fixture("demo/willow-bend.dxf"));
    let ran = run(&["plan", &file, "-o", &s.arg("out")]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let boards = std::fs::read_to_string(s.path().join("out/stock.csv")).unwrap();
    (s, boards)
}

#[test]
fn our_own_boards_are_accepted() {
    let (s, boards) = planned("accept-own");
    let list = s.file("r.csv", boards.as_bytes());
    let ran = run(&["accept", &s.arg("out"), &list]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("84 pieces") && ran.err.contains("cut once"), "{}", ran.err);
    // As an office in Europe would save it.
    let list = s.file("r2.csv", boards.replace(',', ";").as_bytes());
    assert_eq!(run(&["accept", &s.arg("out"), &list]).status, 0);
}

#[test]
fn a_doctored_list_is_not() {
    let (s, boards) = planned("accept-doctored");
    let rows: Vec<&str> = boards.lines().collect();
    let without_a_row = [&rows[..5], &rows[6..]].concat().join("\n");
    let twice = [&rows[..], &rows[5..6]].concat().join("\n");
    let on_one_board: String = boards.replace("BD2,", "BD1,");
    let another_length = boards.replacen(",16,", ",15,", 1);
    for (name, list, code) in [
        ("missing", without_a_row, "saw-piece"),
        ("twice", twice, "saw-piece"),
        ("crowded", on_one_board, "saw-board"),
        ("length", another_length, "saw-board"),
    ] {
        let path = s.file(&format!("{name}.csv"), list.as_bytes());
        let ran = run(&["accept", &s.arg("out"), &path]);
        assert_eq!(ran.status, 1, "{name}: {}", ran.err);
        assert!(ran.err.contains(code), "{name}: {}", ran.err);
    }
}

#[test]
fn what_cannot_be_compared() {
    let (s, boards) = planned("accept-refused");
    let list = s.file("r.csv", boards.as_bytes());
    let other = s.file("other.csv", b"a,b\n1,2\n");
    for (out, list) in [(s.arg("out"), &other), (s.arg("nowhere"), &list), (s.arg("."), &list)] {
        let ran = run(&["accept", &out, list]);
        assert_eq!(ran.status, 2, "{out}: {}", ran.err);
    }
}
