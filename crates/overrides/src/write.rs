//! Overrides as the text of a file: one entry after the other, nothing that was left out.

use crate::{AddedForm, End, Form, LayerForm, RemovedForm, SnapForm, WallForm, WallRef};
use std::fmt::Write;

/// The text of an overrides file that reads back to the same form.
pub fn to_toml(form: &Form) -> String {
    let Form { version, units, mirror, region, layers, walls, removed, added, snaps } = form;
    let mut o = Text::default();
    o.0.push_str(
        "# Edits of a drawing, for platewright plan --overrides. Places are in drawing units.\n",
    );
    o.line("version", version);
    o.texts([("units", units), ("mirror", mirror)]);
    if !region.is_empty() {
        let names: Vec<String> = region.iter().map(|r| quoted(r)).collect();
        o.line("region", format!("[{}]", names.join(", ")));
    }
    for LayerForm { r#match, r#use, exterior, bearing, section, top, note } in layers {
        o.entry("layers");
        o.line("match", quoted(r#match));
        o.line("use", quoted(r#use));
        o.change(exterior, bearing, section, top, note);
    }
    for WallForm { wall, section, exterior, bearing, top, note } in walls {
        o.entry("walls");
        o.wall(wall);
        o.change(exterior, bearing, section, top, note);
    }
    for RemovedForm { wall, note } in removed {
        o.entry("removed");
        o.wall(wall);
        o.note(note);
    }
    for AddedForm { storey, start, end, section, exterior, bearing, top, note } in added {
        o.entry("added");
        o.texts([("storey", storey)]);
        o.line("start", place(start));
        o.line("end", place(end));
        o.change(exterior, bearing, &Some(section.clone()), top, note);
    }
    for SnapForm { wall, end, to, note } in snaps {
        o.entry("snaps");
        o.wall(wall);
        o.line("end", quoted(if *end == End::Start { "start" } else { "end" }));
        o.line("to", place(to));
        o.note(note);
    }
    o.0
}

#[derive(Default)]
struct Text(String);

impl Text {
    fn line(&mut self, key: &str, value: impl std::fmt::Display) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{key} = {value}");
    }
    fn entry(&mut self, list: &str) {
        let _ = writeln!(self.0, "\n[[{list}]]");
    }
    fn texts<const N: usize>(&mut self, all: [(&str, &Option<String>); N]) {
        for (key, text) in all {
            if let Some(text) = text {
                self.line(key, quoted(text));
            }
        }
    }
    fn wall(&mut self, w: &WallRef) {
        let (start, end) = (place(&w.start), place(&w.end));
        self.line(
            "wall",
            format!("{{ entity = {}, start = {start}, end = {end} }}", quoted(&w.entity)),
        );
    }
    fn change(
        &mut self,
        exterior: &Option<bool>,
        bearing: &Option<bool>,
        section: &Option<String>,
        top: &Option<f64>,
        note: &str,
    ) {
        for (key, flag) in [("exterior", exterior), ("bearing", bearing)] {
            if let Some(flag) = flag {
                self.line(key, flag);
            }
        }
        self.texts([("section", section)]);
        if let Some(top) = top {
            self.line("top", number(*top));
        }
        self.note(note);
    }
    fn note(&mut self, note: &str) {
        if !note.is_empty() {
            self.line("note", quoted(note));
        }
    }
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
/// The shortest text that reads back to the same number; `-0` is no place of its own.
fn number(n: f64) -> String {
    format!("{:?}", n + 0.0)
}
fn place(p: &[f64; 2]) -> String {
    format!("[{}, {}]", number(p[0]), number(p[1]))
}
