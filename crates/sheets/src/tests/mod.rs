//! Every page of every sample house: nothing covers anything, nothing is cut off, nothing is missing.

use crate::font::{Fonts, Weight};
use crate::page::Item;
use crate::room::{INKED, Quad, Room};
use crate::{Paper, Set, laid_out};
use plan_model::{Document, Layer, Mark, MarkKind, run_name};

#[path = "../../../export/tests/sample/mod.rs"]
#[allow(dead_code, clippy::unwrap_used)]
mod sample;

mod planned;

fn documents() -> Vec<(&'static str, Document)> {
    vec![
        ("house", sample::house()),
        ("metric", sample::metric_house()),
        ("hostile", sample::hostile()),
        ("troubled", sample::troubled()),
        ("oblique", sample::oblique()),
        ("turned", sample::turned(31.0)),
        ("crowded", sample::crowded(36)),
    ]
}

const PROJECT: &str = "Demo <b>\u{5d0}\u{5d1}\u{5d2}</b> \u{1f3e0}";

fn sets(doc: &Document, paper: Paper) -> Vec<Set> {
    laid_out(doc, PROJECT, "12", paper).unwrap()
}

/// The room a text takes: its letters without the leading.
fn quad(fonts: &Fonts, item: &Item) -> Option<Quad> {
    let Item::Text { at, angle, size, weight, text, .. } = item else { return None };
    let (sin, cos) = angle.to_radians().sin_cos();
    let half = fonts.width(*weight, *size, text) / 2.0;
    let up = size * 0.33;
    let middle = (at.0 + cos * half + sin * up, at.1 + sin * half - cos * up);
    Some(Quad { middle, along: (cos, sin), half: (half - 0.2, size * 0.3) })
}

#[test]
fn no_text_covers_another_or_leaves_the_page() {
    let fonts = Fonts::new().unwrap();
    for (name, doc) in documents() {
        for paper in Paper::ALL {
            for set in sets(&doc, paper) {
                for (n, page) in set.pages.iter().enumerate() {
                    let mut room = Room::default();
                    for item in &page.items {
                        let Some(q) = quad(&fonts, item) else { continue };
                        let b = q.bounds();
                        let inside = b[0] >= 18.0
                            && b[1] >= 18.0
                            && b[2] <= page.width - 18.0
                            && b[3] <= page.height - 18.0;
                        let place = format!("{name} {} page {}: {item:?}", set.name, n + 1);
                        assert!(inside, "off the page: {place}");
                        assert!(room.is_free(&q, INKED), "covered: {place}");
                        room.take(q, INKED);
                    }
                }
            }
        }
    }
}

#[test]
fn every_piece_has_one_row_and_one_label() {
    for (name, doc) in documents() {
        let sets = sets(&doc, Paper::Letter);
        // Marks of the tables stand in one column, and nothing else there is as large.
        let column = 36.0 + crate::crew::MARK;
        let marks = |set: &Set, keep: &dyn Fn((f64, f64), f64) -> bool| -> Vec<String> {
            let items = set.pages.iter().flat_map(|p| &p.items);
            let mut found: Vec<String> = items
                .filter_map(|i| match i {
                    Item::Text { at, size, weight: Weight::Bold, text, .. } if keep(*at, *size) => {
                        Some(text.clone())
                    }
                    _ => None,
                })
                .collect();
            found.sort();
            found
        };
        let rows = marks(&sets[0], &|at, size| at.0 == column && size == 13.0);
        let plain = |m: &str| m.len() < 8 && m.is_ascii();
        let mut wanted: Vec<String> = doc.plan.pieces.iter().map(|p| p.mark.clone()).collect();
        wanted.sort();
        let all = rows.len();
        let own = |of: Vec<String>| of.into_iter().filter(|m| plain(m)).collect::<Vec<_>>();
        assert_eq!(own(rows), own(wanted.clone()), "{name}");
        assert_eq!(all, doc.plan.pieces.len(), "{name}");
        let labels = marks(&sets[1], &|_, size| size >= 14.0 && size != 15.0);
        assert_eq!(labels.len(), doc.plan.pieces.len(), "{name}");
        assert_eq!(own(labels), own(wanted), "{name}");
    }
}

#[test]
fn the_same_document_gives_the_same_bytes() {
    let doc = sample::house();
    let once = crate::all(&doc, PROJECT, "12", Paper::A4).unwrap();
    let again = crate::all(&doc, PROJECT, "12", Paper::A4).unwrap();
    assert!(once == again);
    assert_eq!(once.iter().filter(|(n, _)| n.ends_with(".pdf")).count(), 3);
    let names: Vec<&str> = once.iter().map(|(n, _)| n.as_str()).collect();
    assert!(names.contains(&"crew-a4.pdf") && names.contains(&"crew-a4-01.svg"));
}

#[test]
fn a_document_without_pieces_has_sheets() {
    let mut doc = sample::house();
    doc.plan = plan_model::Plan::default();
    doc.boards.clear();
    for paper in Paper::ALL {
        assert!(sets(&doc, paper).iter().all(|s| !s.pages.is_empty()));
    }
    doc.floor.storeys[0].name = String::new();
    assert!(crate::all(&doc, "", "", Paper::Letter).is_ok());
}

#[test]
fn a_stranger_s_text_is_only_text() {
    let doc = sample::hostile();
    for (name, bytes) in
        crate::all(&doc, "<script>alert(1)</script>", "\"&'", Paper::Letter).unwrap()
    {
        if name.ends_with(".svg") {
            let text = String::from_utf8(bytes).unwrap();
            assert!(!text.contains("<script") && !text.contains('\u{202e}'), "{name}");
        }
    }
}

#[test]
fn outside_walls_are_built_clockwise() {
    let doc = sample::house();
    // West, south, north, the 2x4, east (see the sample): from the upper left corner eastward.
    let order: Vec<u32> = crate::order::of_work(&doc.floor, 0).iter().map(|r| r.0 + 1).collect();
    assert_eq!(order, [3, 5, 2, 1, 4]);
}

#[test]
fn every_nail_is_told() {
    for (name, doc) in documents() {
        let key = crate::nails::NailKey::of(&doc);
        for p in &doc.plan.pieces {
            for (told, has) in key.counted(p) {
                assert_eq!(told, has, "{name} {}", p.mark);
            }
        }
    }
}

#[test]
fn every_stud_opening_and_tee_is_in_the_layout() {
    let fonts = Fonts::new().unwrap();
    let mut seen = [0, 0];
    for (name, mut doc) in documents() {
        // The made-up plans have no marks for walls that meet; the planner's have.
        for p in doc.plan.pieces.iter_mut().filter(|p| p.layer == Layer::Lower) {
            for (at, _) in &doc.floor.run(p.run).through {
                if (p.from..=p.to).contains(at) && !p.marks.is_empty() {
                    p.marks.push(Mark { at: *at - p.from, kind: MarkKind::Tee });
                }
            }
        }
        let view = export::view::View::of(&doc).unwrap();
        let names = crate::words::Names::of(&doc, "", "");
        let book = crate::book::Book::new(&fonts, Paper::Letter, &names, "");
        let key = crate::nails::NailKey::of(&doc);
        for (i, run) in doc.floor.runs.iter().enumerate() {
            let id = wall_model::floor::RunId(i as u32);
            let pieces: Vec<_> =
                view.pieces().filter(|(_, p)| p.run == id).map(|(id, _)| id).collect();
            let of = crate::layout::Layout::of(&book, &view, id, &pieces, key.joints_of(id));
            let lower = pieces.iter().map(|p| doc.piece(*p)).filter(|p| p.layer == Layer::Lower);
            let stands = |k: MarkKind| {
                use MarkKind::{Corner, King, Stud, Trimmer};
                matches!(k, Corner | King | Stud | Trimmer)
            };
            let marks =
                lower.flat_map(|p| p.marks.iter().map(|m| ((p.from + m.at).denoise(), m.kind)));
            let studs: std::collections::BTreeSet<_> =
                marks.filter(|m| stands(m.1)).map(|m| m.0).collect();
            let Some(layout) = of else {
                assert!(studs.is_empty(), "{name} R{}", i + 1);
                continue;
            };
            let (count, text) = layout.told();
            assert_eq!(count, studs.len(), "{name} R{}: {text}", i + 1);
            let zero = view.faces[i].0;
            for (at, wall) in doc.floor.walls_of(id) {
                for o in &wall.openings {
                    let told = |s| crate::words::length(at + s - zero, run.section.is_metric());
                    let wanted = format!("{} {} to {}", o.kind.name(), told(o.from), told(o.to));
                    assert!(
                        text.contains(&wanted.replace('\u{a0}', " ")),
                        "{name}: {wanted}: {text}"
                    );
                    seen[0] += 1;
                }
            }
            for (_, junction) in &run.through {
                let arms = &doc.floor.junction(*junction).arms;
                let Some(other) = arms.iter().find(|a| a.run != id) else { continue };
                let wanted = format!("Walls that meet it (backers): {}", run_name(other.run));
                let more = format!("; {}", run_name(other.run));
                assert!(text.contains(&wanted) || text.contains(&more), "{name}: {text}");
                seen[1] += 1;
            }
        }
    }
    assert!(seen.iter().all(|n| *n > 0), "{seen:?}");
}

#[test]
fn nails_have_their_legend_on_the_page_and_doors_are_told_once() {
    let mut doc = sample::house();
    for stops in [false, true] {
        doc.settings.plates.bottom_stops_at_doors = stops;
        let sets = sets(&doc, Paper::Letter);
        let texts = |page: &crate::page::Page| -> Vec<String> {
            let text = |i: &Item| match i {
                Item::Text { text, .. } => Some(text.clone()),
                _ => None,
            };
            page.items.iter().filter_map(text).collect()
        };
        let pages: Vec<Vec<String>> = sets[0].pages.iter().map(texts).collect();
        let word = if stops { "stop at doors" } else { "run through doors" };
        let doors = pages
            .iter()
            .flatten()
            .filter(|t| t.contains("at doors") || t.contains("through doors"));
        let doors: Vec<&String> = doors.collect();
        assert!(doors.len() == 1 && doors[0].contains(word), "{doors:?}");
        let walls = pages.iter().filter(|p| p[0].starts_with("Walls in the order of work"));
        let mut count = 0;
        for page in walls {
            count += 1;
            assert!(page.iter().any(|t| t.starts_with("Nails: a = ")), "{page:?}");
        }
        assert!(count > 0);
    }
}
