//! Words and numbers of a form, checked.

use crate::{Change, End, Form, Overrides, VERSION, WallRef};
use geom::Length;
use lumber::Section;
use settings::{LayerRule, LayerUse, parse};

/// Entries of one list; more than that is no review by a person.
pub const MOST: usize = 20_000;
/// Characters of a name or a note.
pub const LONGEST: usize = 500;
/// Drawing units from the drawing's zero.
const FARTHEST: f64 = 1e10;

pub(crate) fn check(form: Form) -> Result<Overrides, Vec<String>> {
    let mut bad = Vec::new();
    if form.version != VERSION {
        bad.push(format!("version is {}; this program reads version {VERSION}", form.version));
    }
    let units =
        form.units.as_deref().and_then(|u| word(&mut bad, "units", u, &parse::unit_words()));
    let mirror =
        form.mirror.as_deref().and_then(|m| word(&mut bad, "mirror", m, &parse::MIRROR_WORDS));
    for (list, n) in [
        ("region", form.region.len()),
        ("layers", form.layers.len()),
        ("walls", form.walls.len()),
        ("removed", form.removed.len()),
        ("added", form.added.len()),
        ("snaps", form.snaps.len()),
    ] {
        if n > MOST {
            bad.push(format!("{list} has {n} entries; the limit is {MOST}"));
            return Err(bad);
        }
    }
    for (i, title) in form.region.iter().enumerate() {
        text(&mut bad, &entry("region", i, None), "the name", title, 1);
    }
    let layers = layers(&form, &mut bad);
    let mut walls = Vec::new();
    for (i, w) in form.walls.iter().enumerate() {
        let at = entry("walls", i, Some(&w.wall));
        reference(&mut bad, &at, &w.wall);
        text(&mut bad, &at, "the note", &w.note, 0);
        let change = change(&mut bad, &at, w.section.as_deref(), w.top);
        walls.push(Change { exterior: w.exterior, bearing: w.bearing, ..change });
    }
    for (i, w) in form.removed.iter().enumerate() {
        let at = entry("removed", i, Some(&w.wall));
        reference(&mut bad, &at, &w.wall);
        text(&mut bad, &at, "the note", &w.note, 0);
    }
    let mut added = Vec::new();
    for (i, w) in form.added.iter().enumerate() {
        let at = entry("added", i, None);
        text(&mut bad, &at, "the note", &w.note, 0);
        text(&mut bad, &at, "the storey", w.storey.as_deref().unwrap_or("x"), 1);
        segment(&mut bad, &at, w.start, w.end);
        let change = change(&mut bad, &at, Some(&w.section), w.top);
        added.push(Change { exterior: w.exterior, bearing: w.bearing, ..change });
    }
    for (i, s) in form.snaps.iter().enumerate() {
        let at = entry("snaps", i, Some(&s.wall));
        reference(&mut bad, &at, &s.wall);
        text(&mut bad, &at, "the note", &s.note, 0);
        place(&mut bad, &at, s.to);
    }
    twice(&mut bad, "walls", form.walls.iter().map(|w| (&w.wall, None)));
    twice(&mut bad, "removed", form.removed.iter().map(|w| (&w.wall, None)));
    twice(&mut bad, "snaps", form.snaps.iter().map(|w| (&w.wall, Some(w.end))));
    if bad.is_empty() {
        Ok(Overrides { form, units, mirror, layers, walls, added })
    } else {
        Err(bad)
    }
}

fn layers(form: &Form, bad: &mut Vec<String>) -> Vec<LayerRule> {
    let mut rules = Vec::new();
    for (i, l) in form.layers.iter().enumerate() {
        let at = entry("layers", i, None);
        text(bad, &at, "match", &l.r#match, 1);
        text(bad, &at, "the note", &l.note, 0);
        let usage = word(bad, &format!("{at}: use"), &l.r#use, &parse::USE_WORDS);
        let change = change(bad, &at, l.section.as_deref(), l.top);
        let of_walls =
            l.exterior.is_some() || l.bearing.is_some() || l.section.is_some() || l.top.is_some();
        if of_walls && usage.is_some_and(|u| u != LayerUse::Wall) {
            bad.push(format!("{at} says something about walls, but use is not \"wall\""));
        }
        rules.extend(usage.map(|usage| LayerRule {
            pattern: l.r#match.clone(),
            usage,
            exterior: l.exterior,
            bearing: l.bearing,
            section: change.section,
            top: change.top,
            roof: None,
        }));
    }
    rules
}

/// `walls, entry 3 (2F1)`.
fn entry(list: &str, index: usize, wall: Option<&WallRef>) -> String {
    let of = wall.map_or(String::new(), |w| format!(" ({})", shown(&w.entity)));
    format!("{list}, entry {}{of}", index + 1)
}
fn shown(text: &str) -> String {
    text.chars().take(60).flat_map(char::escape_debug).collect()
}

fn word<T: Copy>(bad: &mut Vec<String>, at: &str, text: &str, choices: &[(&str, T)]) -> Option<T> {
    let found = choices.iter().find(|(w, _)| *w == text).map(|(_, t)| *t);
    if found.is_none() {
        let words: Vec<String> = choices.iter().map(|(w, _)| format!("\"{w}\"")).collect();
        bad.push(format!("{at}: \"{}\" is not one of {}", shown(text), words.join(", ")));
    }
    found
}
fn text(bad: &mut Vec<String>, at: &str, what: &str, text: &str, least: usize) {
    let n = text.chars().count();
    if n > LONGEST {
        bad.push(format!("{at}: {what} has {n} characters; the limit is {LONGEST}"));
    } else if text.trim().chars().count() < least {
        bad.push(format!("{at}: {what} is empty"));
    }
}
fn change(bad: &mut Vec<String>, at: &str, section: Option<&str>, top: Option<f64>) -> Change {
    let section = section.and_then(|name| {
        let known = Section::from_name(name);
        if known.is_none() {
            let all: Vec<&str> = Section::all().map(Section::name).collect();
            let (name, all) = (shown(name), all.join(", "));
            bad.push(format!("{at}: \"{name}\" is not a section; known are {all}"));
        }
        known
    });
    let top = top.and_then(|inches| {
        let length = Length::from_inches(inches).filter(|l| parse::top_is_allowed(*l));
        if length.is_none() {
            bad.push(format!("{at}: top is {inches}; allowed is {}", parse::tops_allowed()));
        }
        length
    });
    Change { section, top, ..Change::default() }
}
fn reference(bad: &mut Vec<String>, at: &str, wall: &WallRef) {
    text(bad, at, "the entity", &wall.entity, 1);
    segment(bad, at, wall.start, wall.end);
}
fn segment(bad: &mut Vec<String>, at: &str, start: [f64; 2], end: [f64; 2]) {
    if place(bad, at, start) && place(bad, at, end) && start == end {
        bad.push(format!("{at}: its start and its end are the same place"));
    }
}
fn place(bad: &mut Vec<String>, at: &str, p: [f64; 2]) -> bool {
    let good = p.iter().all(|v| v.is_finite() && v.abs() <= FARTHEST);
    if !good {
        bad.push(format!("{at}: [{:?}, {:?}] is no place in a drawing", p[0], p[1]));
    }
    good
}

/// Two entries for the very same wall: nobody knows which is meant.
fn twice<'a>(
    bad: &mut Vec<String>,
    list: &str,
    all: impl Iterator<Item = (&'a WallRef, Option<End>)>,
) {
    let bits = |p: [f64; 2]| p.map(|v| (v + 0.0).to_bits());
    let mut seen = std::collections::BTreeSet::new();
    for (i, (w, of)) in all.enumerate() {
        if !seen.insert((&w.entity, bits(w.start), bits(w.end), of)) {
            bad.push(format!("{} is there twice", entry(list, i, Some(w))));
        }
    }
}
