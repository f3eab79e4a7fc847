//! A comparison in words, and as JSON.

use crate::{Comparison, Kind};
use serde::Serialize;
use std::fmt::Write;

/// As JSON, schema `platewright/compare/1`; lengths are decimal inches or feet as the names say.
///
/// # Errors
/// None that a comparison can cause; those of the JSON writer.
pub fn json(comparison: &Comparison) -> Result<String, serde_json::Error> {
    #[derive(Serialize)]
    struct Out<'a> {
        schema: &'static str,
        same: bool,
        #[serde(flatten)]
        comparison: &'a Comparison,
    }
    let out = Out { schema: "platewright/compare/1", same: comparison.is_same(), comparison };
    let mut text = serde_json::to_string_pretty(&out)?;
    text.push('\n');
    Ok(text)
}

/// A stranger's text on one line: control characters and such as turn the reading direction are made
/// visible.
fn plain(text: &str) -> String {
    let odd = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().map(|c| if odd(c) { '\u{fffd}' } else { c }).collect()
}

/// In words, for a terminal or a mail. Writing to a `String` cannot fail.
pub fn text(c: &Comparison) -> String {
    let mut out = String::new();
    let line = |out: &mut String, text: String| {
        let _ = writeln!(out, "{text}");
    };
    line(
        &mut out,
        format!("old: {} ({} walls, {} pieces)", plain(&c.old.file), c.old.walls, c.old.pieces),
    );
    line(
        &mut out,
        format!("new: {} ({} walls, {} pieces)", plain(&c.new.file), c.new.walls, c.new.pieces),
    );
    if c.moved_in != [0.0, 0.0] {
        let [x, y] = c.moved_in;
        let ways = [(x, "to the right", "to the left"), (y, "up", "down")];
        let told = ways.iter().filter(|(by, ..)| *by != 0.0).map(|(by, ahead, back)| {
            format!("{:.3} in {}", by.abs(), if *by > 0.0 { ahead } else { back })
        });
        let told = told.collect::<Vec<_>>().join(" and ");
        line(&mut out, format!("the whole drawing was moved by {told}"));
    }
    let [added, removed, changed] = c.wall_counts();
    line(
        &mut out,
        format!(
            "\nwalls: {added} added, {removed} removed, {changed} changed, {} unchanged",
            c.walls_unchanged
        ),
    );
    for w in &c.walls {
        let ids = names(w.old_id.as_deref(), w.new_id.as_deref());
        line(
            &mut out,
            format!(
                "  {} {ids} ({}): {}",
                sign(w.kind),
                plain(&w.storey),
                plain(&w.what.join("; "))
            ),
        );
    }
    let [added, removed, changed] = c.piece_counts();
    line(
        &mut out,
        format!(
            "\npieces: {added} added, {removed} removed, {changed} changed, {} unchanged",
            c.pieces_unchanged
        ),
    );
    for p in &c.pieces {
        let marks = names(p.old_mark.as_deref(), p.new_mark.as_deref());
        let again = if p.kind == Kind::Changed && !p.cut_anew { " (cut as before)" } else { "" };
        let what = plain(&p.what.join("; "));
        line(
            &mut out,
            format!(
                "  {} {marks} ({}, {}): {what}{again}",
                sign(p.kind),
                plain(&p.storey),
                p.layer
            ),
        );
    }
    let marked: Vec<_> = c.renamed.iter().filter(|r| r.old_mark != r.new_mark).collect();
    if !marked.is_empty() {
        line(&mut out, "\nunchanged pieces with another mark (mark them anew):".to_owned());
        for r in &marked {
            line(&mut out, format!("  {} is now {}", plain(&r.old_mark), plain(&r.new_mark)));
        }
    }
    let ids = c.renamed.len() - marked.len();
    if ids > 0 {
        line(&mut out, format!("\n{ids} unchanged pieces keep their mark and have another id"));
    }
    if !c.boards.is_empty() || !c.lumber.is_empty() {
        line(&mut out, "\nboards:".to_owned());
        for b in &c.boards {
            let hand = if b.on_hand { " on hand" } else { "" };
            let lumber = plain(&b.lumber);
            line(
                &mut out,
                format!(
                    "  {lumber} {} ft{hand}: {}, were {} ({:+})",
                    b.length_ft,
                    b.new,
                    b.old,
                    b.new as i64 - b.old as i64
                ),
            );
        }
        for l in &c.lumber {
            let (now, was) = (l.new_ft, l.old_ft);
            line(
                &mut out,
                format!(
                    "  {} in all: {now} ft, were {was} ft ({:+} ft)",
                    plain(&l.lumber),
                    ((now - was) * 1000.0).round() / 1000.0
                ),
            );
        }
    }
    if !c.nails.is_empty() {
        line(&mut out, "\nnails and hardware:".to_owned());
        for n in &c.nails {
            let more = n.new as i128 - n.old as i128;
            line(
                &mut out,
                format!(
                    "  {}, {}: {}, were {} ({more:+})",
                    plain(&n.nail),
                    plain(&n.r#for),
                    n.new,
                    n.old
                ),
            );
        }
    }
    if !c.settings.is_empty() {
        line(&mut out, "\nsettings:".to_owned());
        for s in &c.settings {
            line(
                &mut out,
                format!("  {} = {}, was {}", plain(&s.key), plain(&s.new), plain(&s.old)),
            );
        }
    }
    if c.is_same() {
        line(&mut out, "\nnothing to cut, buy or nail has changed".to_owned());
    }
    out
}

/// `+` added, `-` removed, `~` changed.
pub(crate) fn sign(kind: Kind) -> char {
    match kind {
        Kind::Added => '+',
        Kind::Removed => '-',
        Kind::Changed => '~',
    }
}

fn names(old: Option<&str>, new: Option<&str>) -> String {
    match (old, new) {
        (Some(old), Some(new)) if old != new => format!("{} (was {})", plain(new), plain(old)),
        (_, Some(new)) => plain(new),
        (Some(old), None) => plain(old),
        (None, None) => String::new(),
    }
}
