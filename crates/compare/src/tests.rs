//! The invented house of the tests, drawn again with an edit: the comparison finds that edit.

use crate::{Comparison, Kind, compare, json, svg, text};
use platewright_tests::demo::{SETTINGS, willow_bend};
use platewright_tests::dxf;
use platewright_tests::house::{House, INCH};

fn plan(house: &House, settings: &str) -> Vec<u8> {
    let options = dxf::Options { insunits: 1, origin: (0, 0) };
    let bytes = dxf::write(house, options).into_bytes();
    planned(&bytes, settings)
}

fn planned(bytes: &[u8], settings: &str) -> Vec<u8> {
    let settings = settings::parse::from_toml(settings, "settings").unwrap();
    let job = pipeline::Job { file_name: "house.dxf", bytes: bytes.into(), settings: &settings };
    export::plan_json(&pipeline::plan(job).unwrap()).unwrap().into_bytes()
}

fn edited(edit: impl FnOnce(&mut House)) -> Comparison {
    let mut house = willow_bend();
    let old = plan(&house, SETTINGS);
    edit(&mut house);
    compare(&old, &plan(&house, SETTINGS)).unwrap()
}

#[test]
fn the_same_plan_is_the_same() {
    let c = edited(|_| {});
    assert!(c.is_same() && c.renamed.is_empty() && c.settings.is_empty());
    assert_eq!((c.walls_unchanged, c.pieces_unchanged), (c.new.walls, c.new.pieces));
    assert!(text(&c).contains("nothing to cut, buy or nail has changed"));
    assert!(svg(&c).contains("No wall and no piece has changed."));
}

#[test]
fn a_wall_taken_out_is_removed_and_its_pieces_with_it() {
    let c = edited(|h| h.walls.retain(|w| w.key != "nib"));
    assert_eq!(c.wall_counts(), [0, 1, 0], "{}", text(&c));
    assert_eq!(c.walls[0].what, ["interior, 2x4, 3'-0\" long"]);
    // Its own three plates, and the last upper piece of the wall it lay over: without the lap the one before
    // runs on to the end, and the lower ones are cut elsewhere.
    let of = |kind: Kind| -> Vec<&str> {
        let own = c.pieces.iter().filter(|p| p.kind == kind);
        own.filter_map(|p| p.old_mark.as_deref()).collect()
    };
    assert_eq!(of(Kind::Removed), ["B11a", "L11a", "U11d", "B18", "L18", "U18"]);
    assert_eq!(of(Kind::Changed), ["B11b", "L11b", "U11b", "U11c"]);
    let anew: Vec<bool> =
        c.pieces.iter().filter(|p| p.kind == Kind::Changed).map(|p| p.cut_anew).collect();
    assert_eq!(anew, [true, true, false, true]);
    // Every other piece is in the new plan.
    let left = c.pieces_unchanged + c.piece_counts()[2] + c.piece_counts()[0];
    assert_eq!(left, c.new.pieces);
}

#[test]
fn a_wall_put_in_is_added_and_the_others_keep_their_names_or_are_told() {
    let c = edited(|h| {
        let mut wall = h.walls.iter().find(|w| w.key == "nib").unwrap().clone();
        wall.key = "second nib".to_owned();
        wall.from.0 -= 36 * INCH;
        wall.to.0 -= 36 * INCH;
        wall.openings.clear();
        h.walls.push(wall);
    });
    assert_eq!(c.wall_counts(), [1, 0, 0], "{}", text(&c));
    assert_eq!(c.pieces.iter().filter(|p| p.kind == Kind::Removed).count(), 0, "{}", text(&c));
    // Runs are numbered by place: those after the new one have another number, and are told as such.
    assert!(!c.renamed.is_empty() && c.renamed.iter().all(|r| r.old_id != r.new_id));
    let left = c.pieces_unchanged + c.piece_counts()[2];
    assert_eq!(left, c.old.pieces);
}

#[test]
fn a_longer_wall_is_changed() {
    let c = edited(|h| {
        let nib = h.walls.iter_mut().find(|w| w.key == "nib").unwrap();
        nib.to.1 -= 12 * INCH;
    });
    assert_eq!(c.wall_counts(), [0, 0, 1], "{}", text(&c));
    assert_eq!(c.walls[0].what, ["4'-0\" long, was 3'-0\""]);
    let [added, removed, changed] = c.piece_counts();
    assert_eq!((added, removed, changed), (0, 0, 3), "{}", text(&c));
    assert!(c.pieces.iter().all(|p| p.cut_anew && p.what[0].contains("long, was")));
}

#[test]
fn a_window_taken_out_changes_marks_and_no_cut() {
    let c = edited(|h| {
        h.walls.iter_mut().find(|w| w.key == "east").unwrap().openings.pop();
    });
    assert_eq!(c.wall_counts(), [0, 0, 1], "{}", text(&c));
    assert_eq!(c.walls[0].what, ["window 2'-0\" wide removed"]);
    assert!(!c.pieces.is_empty());
    assert!(c.pieces.iter().all(|p| p.kind == Kind::Changed && !p.cut_anew), "{}", text(&c));
    assert!(c.boards.is_empty() && !c.nails.is_empty());
}

#[test]
fn a_drawing_moved_as_a_whole_is_the_same() {
    let house = willow_bend();
    let old = plan(&house, SETTINGS);
    let options = dxf::Options { insunits: 1, origin: (100 * INCH, -40 * INCH) };
    let new = planned(&dxf::write(&house, options).into_bytes(), SETTINGS);
    let c = compare(&old, &new).unwrap();
    assert!(c.is_same(), "{}", text(&c));
    assert_ne!(c.moved_in, [0.0, 0.0]);
    let moved = "the whole drawing was moved by 100.000 in to the right and 40.000 in down\n";
    assert!(text(&c).contains(moved), "{}", text(&c));
}

#[test]
fn settings_that_differ_are_told() {
    let house = willow_bend();
    let old = plan(&house, SETTINGS);
    let new = plan(&house, &format!("{SETTINGS}\n[plates]\nupper_clearance = 0.1875\n"));
    let c = compare(&old, &new).unwrap();
    let keys: Vec<&str> = c.settings.iter().map(|s| s.key.as_str()).collect();
    assert_eq!(keys, ["plates.upper_clearance"]);
    assert!(c.walls.is_empty());
    // The lower layers are exact whatever the clearance.
    assert!(!c.pieces.is_empty() && c.pieces.iter().all(|p| p.layer == "upper"), "{}", text(&c));
}

#[test]
fn what_is_no_plan_is_refused_and_said_which() {
    let good = plan(&willow_bend(), SETTINGS);
    let refused = |a: &[u8], b: &[u8]| compare(a, b).unwrap_err().findings[0].message.clone();
    assert!(refused(b"{}", &good).starts_with("the old plan is not a plan.json"));
    let other = String::from_utf8(good.clone()).unwrap().replace("platewright/plan/1", "other/2");
    assert!(refused(&good, other.as_bytes()).starts_with("the new plan has the schema 'other/2'"));
    assert!(refused(&good, &good[..good.len() / 2]).starts_with("the new plan is not"));
    let deep = format!("{{\"schema\":\"\",\"settings\":{}", "[".repeat(100_000));
    assert!(refused(deep.as_bytes(), &good).contains("recursion limit"));
}

#[test]
fn every_form_tells_the_same() {
    let c = edited(|h| h.walls.retain(|w| w.key != "nib"));
    let value: serde_json::Value = serde_json::from_str(&json(&c).unwrap()).unwrap();
    assert_eq!(value["schema"], "platewright/compare/1");
    assert_eq!(value["same"], false);
    assert_eq!(value["pieces"].as_array().unwrap().len(), c.pieces.len());
    let drawing = svg(&c);
    assert!(drawing.contains("class=\"removed\"") && drawing.contains("class=\"same\""));
    assert_eq!(drawing, svg(&edited(|h| h.walls.retain(|w| w.key != "nib"))));
}
