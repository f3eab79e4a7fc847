//! Plans that are right must prove clean, however they lie.
#![allow(clippy::unwrap_used)]

mod houses;

use houses::House;
use proptest::prelude::*;

type Named = (&'static str, fn() -> House);

const HOUSES: [Named; 11] = [
    ("tee house", houses::tee_house),
    ("cross", houses::cross),
    ("oblique corner", houses::oblique_corner),
    ("oblique corner of two widths", houses::oblique_corner_of_two_widths),
    ("oblique cross", houses::oblique_cross),
    ("oblique tee", houses::oblique_tee),
    ("width change", houses::width_change),
    ("width change turned", houses::width_change_turned),
    ("step corner", houses::step_corner),
    ("corner and lower third", houses::corner_and_lower_third),
    ("corner and narrow third", houses::corner_and_narrow_third),
];

#[test]
fn right_plans_prove_clean() {
    for (name, house) in HOUSES {
        let proof = house().prove();
        let said: Vec<String> = proof.findings.iter().map(|f| f.to_string()).collect();
        assert!(proof.holds() && said.is_empty(), "{name}: {said:#?}");
        let items: Vec<u8> = proof.lines.iter().map(|l| l.item).collect();
        for item in 1..=7 {
            assert!(items.contains(&item), "{name}: no line for item {item}");
        }
        assert!(items.is_sorted());
    }
}

#[test]
fn an_empty_plan_of_a_house_does_not_prove() {
    let mut house = houses::tee_house();
    house.plan = plan_model::Plan::default();
    house.boards.clear();
    assert_eq!(house.prove().broken_items(), [2, 3, 4, 7]);
}

proptest! {
    /// Rounding of oblique outlines never looks like a fault, and a sixteenth still does.
    #[test]
    fn right_plans_prove_clean_at_any_angle(
        degrees in -180.0..180.0_f64,
        x in -1e5..1e5_f64,
        y in -1e5..1e5_f64,
        which in 0..HOUSES.len(),
        piece in 0..100_usize,
    ) {
        let (name, house) = HOUSES[which];
        let proof = house().turned(degrees, (x, y)).prove();
        let said: Vec<String> = proof.findings.iter().map(|f| f.to_string()).collect();
        prop_assert!(said.is_empty(), "{name} at {degrees}: {said:#?}");

        let mut worse = house().turned(degrees, (x, y));
        let piece = piece % worse.plan.pieces.len();
        worse.stretch(piece, 0.0, 0.0625);
        prop_assert!(!worse.prove().holds(), "{name} at {degrees}: piece {piece}");
        let mut worse = house().turned(degrees, (x, y));
        worse.stretch(piece, 0.0625, 0.0);
        prop_assert!(!worse.prove().holds(), "{name} at {degrees}: piece {piece}");
    }
}
