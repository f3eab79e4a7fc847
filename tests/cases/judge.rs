//! The plain checker itself: right areas, and a fault for every plan broken on purpose.

use crate::tools::{demo_settings, fixture, json, plan};
use platewright_tests::checker::{self, list, number, text};
use platewright_tests::plane::{self, Ring};
use serde_json::{Value, json};

fn square(x: f64, y: f64, side: f64) -> Ring {
    vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
}

#[test]
fn areas_are_right() {
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} is not {b}");
    let (a, b) = ([square(0.0, 0.0, 10.0)], [square(5.0, 5.0, 10.0)]);
    close(plane::area(&[&a, &b], |n| n[0] > 0 && n[1] > 0), 25.0);
    close(plane::area(&[&a, &b], |n| n[0] > 0 || n[1] > 0), 175.0);
    let twice = [square(0.0, 0.0, 10.0), square(9.0, 0.0, 10.0)];
    close(plane::area(&[&twice], |n| n[0] > 1), 10.0);
    // A square on its corner, half-diagonal 5, over a square of 10: the triangles outside are the
    // parts beyond x = 0.
    let diamond = [vec![(0.0, 0.0), (5.0, 5.0), (0.0, 10.0), (-5.0, 5.0)]];
    close(plane::area(&[&a, &diamond], |n| n[0] > 0 && n[1] > 0), 25.0);
    close(plane::area(&[&diamond], |n| n[0] > 0), 50.0);
    // A ring with a bite.
    let bitten = [vec![
        (0.0, 0.0),
        (10.0, 0.0),
        (10.0, 4.0),
        (6.0, 4.0),
        (6.0, 2.0),
        (4.0, 2.0),
        (4.0, 4.0),
        (0.0, 4.0),
    ]];
    close(plane::area(&[&bitten], |n| n[0] > 0), 36.0);
    close(plane::distance((5.0, 3.0), &bitten[0]), 1.0);
    close(plane::distance((1.0, 1.0), &bitten[0]), 0.0);
}

#[test]
fn reads_printed_lengths() {
    for (text, inches) in [
        ("7'-6 1/2\"", Some(90.5)),
        ("10'-0\"", Some(120.0)),
        ("9 1/4\"", Some(9.25)),
        ("1/8\"", Some(0.125)),
        ("254 mm", Some(10.0)),
        ("7.5", None),
    ] {
        assert_eq!(checker::spoken(text), inches, "{text}");
    }
}

/// Each way of breaking the demo's plan, and the item that must complain.
#[test]
fn broken_plans_are_found_out() {
    let document = plan("x.dxf", &fixture("demo/willow-bend.dxf"), &demo_settings());
    let good = json(&document.unwrap_or_else(|e| panic!("{e}")));
    assert_eq!(checker::faults(&good), Vec::<String>::new());
    let first = |layer: &str| {
        let pieces = list(&good["pieces"]);
        pieces
            .iter()
            .position(|p| text(&p["layer"]) == layer && number(&p["length_in"]) > 60.0)
            .unwrap()
    };
    type Break<'a> = (&'a str, Box<dyn Fn(&mut Value) + 'a>);
    let breaks: Vec<Break> = vec![
        ("1:", Box::new(|p| shift(&mut p["pieces"][first("lower")], 1.0, 1.0))),
        ("2:", Box::new(|p| drop_piece(p, first("lower")))),
        ("2: bottom", Box::new(|p| drop_piece(p, first("bottom")))),
        ("3:", Box::new(|p| drop_piece(p, first("upper")))),
        ("3:", Box::new(|p| shift(&mut p["pieces"][first("upper")], 0.01, 0.01))),
        ("7:", Box::new(|p| p["pieces"][first("lower")]["length_in"] = json!(60.0))),
        ("7:", Box::new(|p| p["pieces"][first("upper")]["length_text"] = json!("1'-0\""))),
        ("board", Box::new(|p| p["stock"]["boards"][0]["length_ft"] = json!(1))),
        ("exactly once", Box::new(|p| p["stock"]["boards"][0]["cuts"] = json!([]))),
        ("ledger", Box::new(|p| p["ledger"]["used"] = json!(1))),
        ("5:", Box::new(|p| p["settings"]["plates"]["joint_offset"] = json!(400.0))),
        (
            "6:",
            Box::new(|p| p["settings"]["stock"]["lengths_ft"] = json!({"2x4": [3], "2x6": [3]})),
        ),
        (
            "4:",
            Box::new(|p| {
                // Without upper plates nothing is tied.
                let pieces = p["pieces"].as_array_mut().unwrap();
                pieces.retain(|p| text(&p["layer"]) != "upper");
                p["ties"] = json!([]);
                p["findings"] = json!([]);
            }),
        ),
    ];
    for (i, (item, break_it)) in breaks.iter().enumerate() {
        let mut plan = good.clone();
        break_it(&mut plan);
        let faults = checker::faults(&plan);
        assert!(faults.iter().any(|f| f.contains(item)), "break {i} ({item}) gave {faults:?}");
    }
}

fn shift(piece: &mut Value, dx: f64, dy: f64) {
    for p in piece["outline"].as_array_mut().unwrap() {
        *p = json!([number(&p[0]) + dx, number(&p[1]) + dy]);
    }
}
fn drop_piece(plan: &mut Value, at: usize) {
    plan["pieces"].as_array_mut().unwrap().remove(at);
}
