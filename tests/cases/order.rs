//! Contract item 8: the order of entities in the file does not show.

use crate::tools::{demo_settings, fixture, json_bytes, plan};

/// A fixed sequence of pseudo-random numbers (Knuth's MMIX generator), so that a failure repeats.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % n as u64) as usize
    }
    fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            items.swap(i, self.below(i + 1));
        }
    }
}

/// plan.json without the one thing that must differ: the hash of the file.
fn plan_text(name: &str, text: &str) -> String {
    let document =
        plan(name, text.as_bytes(), &demo_settings()).unwrap_or_else(|e| panic!("{name}: {e}"));
    let hash = document.source.sha256.clone();
    String::from_utf8(json_bytes(&document)).unwrap().replace(&hash, "")
}

fn assert_same(want: &str, got: &str, what: &str) {
    let differs = want.lines().zip(got.lines()).find(|(a, b)| a != b);
    assert!(want == got, "{what}: first difference {differs:?}");
}

#[test]
fn shuffled_dxf_entities_give_the_same_bytes() {
    let text = String::from_utf8(fixture("demo/willow-bend.dxf")).unwrap();
    let (head, rest) = text.split_once("  2\nENTITIES\n").unwrap();
    let (body, tail) = rest.split_once("  0\nENDSEC\n").unwrap();
    let mut entities: Vec<String> =
        body.split("  0\n").filter(|e| !e.is_empty()).map(|e| format!("  0\n{e}")).collect();
    assert!(entities.len() > 40);
    let want = plan_text("willow-bend.dxf", &text);
    let mut dice = Dice(14);
    for round in 0..12 {
        dice.shuffle(&mut entities);
        let shuffled = format!("{head}  2\nENTITIES\n{}  0\nENDSEC\n{tail}", entities.concat());
        assert_same(&want, &plan_text("willow-bend.dxf", &shuffled), &format!("round {round}"));
    }
}

#[test]
fn shuffled_ifc_instances_give_the_same_bytes() {
    let text = String::from_utf8(fixture("demo/willow-bend.ifc")).unwrap();
    let (head, rest) = text.split_once("DATA;\n").unwrap();
    let (body, tail) = rest.split_once("ENDSEC;\n").unwrap();
    let mut instances: Vec<&str> = body.lines().collect();
    let want = plan_text("willow-bend.ifc", &text);
    let mut dice = Dice(41);
    for round in 0..6 {
        dice.shuffle(&mut instances);
        let shuffled = format!("{head}DATA;\n{}\nENDSEC;\n{tail}", instances.join("\n"));
        assert_same(&want, &plan_text("willow-bend.ifc", &shuffled), &format!("round {round}"));
    }
}
