//! Whole small drawings, end to end.

mod damage;
mod entities;
mod told;
mod turned;
mod walls;

use crate::read;
use crate::testing::{Dxf, insert, line};
use diag::{Finding, Outcome, Refusal};
use geom::{Length, Point};
use lumber::Section;
use settings::{LayerRule, LayerUse, Settings};
use wall_model::WallModel;

pub(crate) fn ok(d: &Dxf) -> Outcome<WallModel> {
    ok_with(d, &Settings::default())
}

pub(crate) fn ok_with(d: &Dxf, s: &Settings) -> Outcome<WallModel> {
    match read(d.text().as_bytes(), s) {
        Ok(o) => {
            sums(&o.value);
            o
        }
        Err(r) => panic!("refused: {r}"),
    }
}

fn refused(d: &Dxf) -> Refusal {
    read(d.text().as_bytes(), &Settings::default()).expect_err("a refusal")
}

fn sums(m: &WallModel) {
    assert_eq!(m.ledger.read(), m.ledger.used() + m.ledger.ignored_total());
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    let mut c: Vec<_> = findings.iter().map(|f| f.code.name()).collect();
    c.sort_unstable();
    c
}

pub(crate) fn with<'a>(findings: &'a [Finding], code: &str) -> Vec<&'a Finding> {
    findings.iter().filter(|f| f.code.name() == code).collect()
}

/// Walls as inches, for short comparisons.
fn ends(m: &WallModel) -> Vec<[f64; 4]> {
    let f = |p: Point| [p.x.to_inches(), p.y.to_inches()];
    m.walls.iter().map(|w| [f(w.start), f(w.end)].concat().try_into().unwrap()).collect()
}

fn rule(pattern: &str, usage: LayerUse) -> LayerRule {
    LayerRule {
        pattern: pattern.into(),
        usage,
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        roof: None,
    }
}

#[test]
fn a_house_of_four_lines() {
    let o = ok(&Dxf::inches().house());
    assert_eq!(
        ends(&o.value),
        [
            [0.0, 0.0, 0.0, 360.0],
            [0.0, 0.0, 480.0, 0.0],
            [0.0, 360.0, 480.0, 360.0],
            [480.0, 0.0, 480.0, 360.0]
        ]
    );
    let w = &o.value.walls[0];
    assert_eq!((w.section, w.drawn_thickness.to_inches()), (Section::S2X4, 3.5));
    assert_eq!((w.top.to_inches(), w.exterior, w.bearing), (97.125, None, None));
    assert_eq!(w.source[0].entity, "103");
    assert_eq!(codes(&o.findings), ["section-assumed"]);
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (4, 4));
    assert_eq!(o.value.version, "AC1015 (2000)");
    assert_eq!(o.value.storeys[0].name, "Plan");
}

#[test]
fn the_order_of_entities_does_not_show() {
    let lines = [
        line("A1", "A-WALL", [0.0, 0.0], [480.0, 0.0]),
        line("A2", "A-WALL", [480.0, 0.0], [480.0, 360.0]),
        line("A3", "A-WALL", [200.0, 0.0], [200.0, 180.0]),
        line("A4", "A-WALL", [200.0, 216.0], [200.0, 360.0]),
        line("A5", "A-DOOR", [200.0, 180.0], [200.0, 216.0]),
        line("A6", "A-GLAZ", [40.0, 0.0], [80.0, 0.0]),
        line("A7", "A-FURN", [40.0, 0.0], [80.0, 0.0]),
        line("A8", "A-GLAZ", [40.0, 100.0], [80.0, 100.0]),
        insert("B1", "A-WALL", "B", [10.0, 10.0], &[]),
        insert("B2", "0", "B", [30.0, 10.0], &[]),
    ];
    let make = |order: &mut dyn Iterator<Item = &String>| {
        let block = line("C1", "A-WALL", [0.0, 0.0], [0.0, 90.0]);
        ok(&Dxf::inches().block("B", [0.0, 0.0], &block).raw(&order.cloned().collect::<String>()))
    };
    let a = make(&mut lines.iter());
    let b = make(&mut lines.iter().rev());
    assert_eq!(a.value.walls, b.value.walls);
    assert_eq!(a.value.ledger, b.value.ledger);
    let told = |o: &Outcome<WallModel>| {
        let mut v: Vec<String> =
            o.findings.iter().map(|f| format!("{f} {:?} {:?}", f.at, f.source)).collect();
        v.sort();
        v
    };
    assert_eq!(told(&a), told(&b));
}

fn with_count(o: &Outcome<WallModel>, code: &str) -> usize {
    with(&o.findings, code).len()
}

#[test]
fn a_nonsense_top_is_a_settings_mistake() {
    let s = Settings { default_top: Length::ZERO, ..Settings::default() };
    let r = read(Dxf::inches().house().text().as_bytes(), &s).err().unwrap();
    assert_eq!(r.findings[0].code.name(), "settings-bad");
}
