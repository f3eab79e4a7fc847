//! What the script needs beyond the page's own text, as JSON in a data block: where runs lie, what is
//! marked and nailed at which stations, what ties what, and the drawing's entities behind each wall.
//!
//! Stations are steps in inches from one to the next, repeated ones counted: `15.25 16*7` is 15.25,
//! 31.25 and so on.

use super::drawing::page;
use super::ink::{self, json_number, number, whole};
use crate::view::View;
use geom::Length;
use plan_model::{MarkKind, Piece};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The whole block.
pub(crate) fn facts(out: &mut String, view: &View) {
    let doc = view.doc;
    let mut nails: BTreeMap<&str, usize> = BTreeMap::new();
    for spot in doc.plan.pieces.iter().flat_map(|p| &p.nails) {
        nails.entry(&spot.nail).or_default();
    }
    nails.values_mut().enumerate().for_each(|(i, n)| *n = i);
    out.push_str("{\"nails\":");
    list(out, nails.keys(), |out, nail| ink::json(out, nail));
    out.push_str(",\"runs\":");
    list(out, &doc.floor.runs, |out, run| {
        let ((x, y), frame) = (page(run.start), run.frame());
        out.push('[');
        json_number(out, x);
        out.push(',');
        json_number(out, y);
        // Writing to a String cannot fail.
        let _ = write!(out, ",{:.6},{:.6},", frame.dir().0, -frame.dir().1);
        json_number(out, run.section.width().half().to_inches());
        out.push(',');
        whole(out, run.storey.0 as usize + 1);
        out.push(']');
    });
    out.push_str(",\"walls\":");
    list(out, &doc.floor.walls, |out, wall| {
        out.push('[');
        whole(out, wall.run.0 as usize + 1);
        out.push(',');
        ink::json(out, &length_of(wall));
        out.push(',');
        list(out, &wall.source, |out, source| {
            out.push('[');
            ink::json(out, &source.entity);
            out.push(',');
            ink::json(out, &source.layer);
            out.push(']');
        });
        out.push(']');
    });
    out.push_str(",\"ties\":");
    list(out, &doc.plan.ties, |out, tie| {
        out.push('[');
        ink::json(out, tie.kind.name());
        out.push(',');
        list(out, &tie.pieces, |out, id| whole(out, id.0 as usize + 1));
        out.push(']');
    });
    out.push_str(",\"pieces\":");
    list(out, &doc.plan.pieces, |out, p| {
        out.push('[');
        whole(out, p.run.0 as usize + 1);
        out.push_str(",\"");
        out.push_str(p.layer.name());
        out.push_str("\",");
        json_number(out, p.from.to_inches());
        out.push(',');
        json_number(out, p.to.to_inches());
        out.push_str(",\"");
        pencil_marks(out, p);
        out.push_str("\",\"");
        nail_spots(out, p, &nails);
        out.push_str("\",[");
        for (i, (_, _, wall)) in view.walls_of(p).iter().enumerate() {
            if i > 0 {
                out.push(',');
            }
            whole(out, wall + 1);
        }
        out.push_str("]]");
    });
    out.push('}');
}

fn length_of(wall: &wall_model::floor::FloorWall) -> String {
    let length = wall.start.distance(wall.end);
    let size = crate::text::people(length, wall.section.is_metric());
    let drawn = crate::text::people(wall.drawn_thickness, wall.section.is_metric());
    format!("{}, {size} long, drawn {drawn} thick", wall.section.name())
}

fn list<T>(out: &mut String, items: impl IntoIterator<Item = T>, one: impl Fn(&mut String, T)) {
    out.push('[');
    for (i, item) in items.into_iter().enumerate() {
        if i > 0 {
            out.push(',');
        }
        one(out, item);
    }
    out.push(']');
}

/// `stud:15.25 16*7|king:3`.
fn pencil_marks(out: &mut String, piece: &Piece) {
    const KINDS: [MarkKind; 7] = [
        MarkKind::Stud,
        MarkKind::King,
        MarkKind::Trimmer,
        MarkKind::Tee,
        MarkKind::Corner,
        MarkKind::Opening,
        MarkKind::Anchor,
    ];
    let mut first = true;
    for kind in KINDS {
        let mut at = piece.marks.iter().filter(|m| m.kind == kind).map(|m| m.at).peekable();
        if at.peek().is_none() {
            continue;
        }
        if !std::mem::take(&mut first) {
            out.push('|');
        }
        out.push_str(kind.name());
        out.push(':');
        stations(out, at);
    }
}

/// `0x2:15.25 16*7|0x4:3`: which nail, how many at each station.
fn nail_spots(out: &mut String, piece: &Piece, names: &BTreeMap<&str, usize>) {
    let mut kinds: Vec<(usize, u32)> = Vec::new();
    let key = |spot: &plan_model::NailSpot| {
        (names.get(spot.nail.as_str()).copied().unwrap_or_default(), spot.count)
    };
    for spot in &piece.nails {
        if !kinds.contains(&key(spot)) {
            kinds.push(key(spot));
        }
    }
    kinds.sort_unstable();
    for (i, (nail, count)) in kinds.iter().enumerate() {
        if i > 0 {
            out.push('|');
        }
        whole(out, *nail);
        out.push('x');
        whole(out, *count as usize);
        out.push(':');
        let of_kind = piece.nails.iter().filter(|s| key(s) == (*nail, *count));
        stations(out, of_kind.map(|s| s.at));
    }
}

fn stations(out: &mut String, at: impl Iterator<Item = Length>) {
    // Steps between rounded stations, so that they do not drift.
    let grid = Length::from_nm(254_000);
    let mut last = Length::ZERO;
    let mut held: Option<(Length, usize)> = None;
    let put = |out: &mut String, (step, times): (Length, usize), first: bool| {
        if !first {
            out.push(' ');
        }
        number(out, step.to_inches());
        if times > 1 {
            out.push('*');
            whole(out, times);
        }
    };
    let mut first = true;
    for station in at.map(|s| s.round_to(grid)) {
        let step = station - last;
        last = station;
        held = match held {
            Some((same, times)) if same == step => Some((same, times + 1)),
            Some(other) => {
                put(out, other, std::mem::take(&mut first));
                Some((step, 1))
            }
            None => Some((step, 1)),
        };
    }
    if let Some(rest) = held {
        put(out, rest, first);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_steps_are_counted() {
        let mut out = String::new();
        let at = [15.25, 31.25, 47.25, 50.0, 53.0].map(|v| Length::from_inches(v).unwrap());
        stations(&mut out, at.into_iter());
        assert_eq!(out, "15.25 16*2 2.75 3");
    }
}
