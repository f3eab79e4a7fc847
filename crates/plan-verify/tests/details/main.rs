//! What the crew is told beside the cuts: right plans prove clean, and one thing broken is named. Rows come in pairs where a rule
//! has a number: just inside it and just outside.
#![allow(clippy::unwrap_used)]

#[path = "../houses/mod.rs"]
mod houses;

mod ends;
mod framed;
mod marks;
mod nails;
mod slopes;

use houses::House;

/// What is said of a house with something changed: codes and messages.
#[track_caller]
fn said(house: fn() -> House, change: impl FnOnce(&mut House)) -> Vec<String> {
    let mut house = house();
    change(&mut house);
    house.prove_all().findings.iter().map(|f| format!("{}: {}", f.code.name(), f.message)).collect()
}

/// A change that is no fault.
#[track_caller]
fn right(house: fn() -> House, change: impl FnOnce(&mut House)) {
    let said = said(house, change);
    assert!(said.is_empty(), "{said:#?}");
}

/// A change that breaks just one thing, which is named so.
#[track_caller]
fn wrong(house: fn() -> House, change: impl FnOnce(&mut House), named: &str) {
    let said = said(house, change);
    assert!(!said.is_empty() && said.iter().all(|s| s.contains(named)), "{named}: {said:#?}");
}

#[test]
fn right_houses_prove_clean() {
    for house in [framed::framed, framed::on_concrete, framed::sloping] {
        right(house, |_| {});
    }
}
