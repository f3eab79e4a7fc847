//! The piece table, run by run: what to cut, and how to check it with a tape at the floor.

use super::drawing::group_id;
use super::ink::{isolated, text, whole};
use super::sheet::Sheet;
use super::words::{bdi, length, unbroken};
use crate::csv::board_name;
use crate::groups::group_name;
use crate::measure::measure;
use crate::text::{
    cut_text, degrees, edge_text, length_text, other_length_text, pitch_text, top_text,
};
use crate::view::View;
use geom::Length;
use maud::{Markup, PreEscaped, html};
use plan_model::{Layer, Piece, PieceId, piece_name, run_name, wall_name};
use wall_model::floor::RunId;

/// One table a storey.
pub(crate) fn pieces(view: &View, sheets: &[Sheet]) -> Markup {
    html! { section id="pieces" {
        h2 { "Pieces" }
        p { "Lengths are finished, long point to long point; saw kerf and end trim are not in them. \
             Looking along a piece from its start, left is left. Bottom and lower plates measure what \
             they meet. An upper plate is checked before anyone climbs, between two faces at the \
             floor." }
        @for sheet in sheets {
            @if sheets.len() > 1 { h3 { (storey_title(view, sheet.storey)) } }
            (PreEscaped(storey(view, sheet)))
        }
    } }
}

/// The storey's name, set apart from the text around it.
pub(crate) fn storey_title(view: &View, storey: usize) -> Markup {
    bdi(&plan_model::storey_name(storey, &view.doc.floor.storeys[storey]))
}

/// The columns. The stylesheet repeats them beside the cells where the table is stacked.
const COLUMNS: [&str; 7] =
    ["Mark", "Plate", "Length", "Ends", "Notches", "Check at the floor", "Board"];

fn storey(view: &View, sheet: &Sheet) -> String {
    // By run, then layer, then station: the order of the plan's pieces, whatever list they came in.
    let mut ids: Vec<PieceId> = sheet.pieces.iter().flatten().copied().collect();
    ids.sort_by_key(|id| {
        let p = view.doc.piece(*id);
        (p.run, p.layer, p.from, *id)
    });
    if ids.is_empty() {
        return "<p>No pieces.</p>".to_owned();
    }
    let mut out = String::with_capacity(ids.len() * 400);
    out.push_str("<table class=\"stack pieces\"><thead><tr>");
    for h in COLUMNS {
        out.push_str("<th scope=\"col\">");
        out.push_str(h);
        out.push_str("</th>");
    }
    out.push_str("</tr></thead>");
    for of_run in ids.chunk_by(|a, b| view.doc.piece(*a).run == view.doc.piece(*b).run) {
        out.push_str("<tbody>");
        run_line(&mut out, view, view.doc.piece(of_run[0]).run, sheet.metric);
        for id in of_run {
            row(&mut out, view, *id);
        }
        out.push_str("</tbody>");
    }
    out.push_str("</table>");
    out
}

/// `R3: walls W3 W4, 2x6, 24'-0", exterior, bearing, top 8'-1 1/8"`.
fn run_line(out: &mut String, view: &View, id: RunId, metric: bool) {
    let run = view.doc.floor.run(id);
    let of_walls = || run.walls.iter().map(|w| &view.doc.floor.walls[*w as usize]);
    let (from, to) = view.faces[id.0 as usize];
    out.push_str("<tr class=\"run\" id=\"");
    out.push_str(&run_name(id));
    out.push_str("\"><th scope=\"rowgroup\" colspan=\"7\"><strong>");
    out.push_str(&run_name(id));
    out.push_str("</strong> <span class=\"more\">");
    out.push_str(if run.walls.len() == 1 { "wall" } else { "walls" });
    for w in &run.walls {
        out.push(' ');
        out.push_str(&wall_name(*w as usize));
    }
    let side = if of_walls().any(|w| w.exterior) { "exterior" } else { "interior" };
    let bearing = if of_walls().any(|w| w.bearing == Some(true)) { ", bearing" } else { "" };
    for part in [
        ", ",
        run.section.name(),
        ", ",
        &length(to - from, metric),
        " between its end faces, ",
        side,
        bearing,
        ", top ",
        &unbroken(&top_text(run, (from, to), metric)),
    ] {
        text(out, part);
    }
    out.push_str("</span></th></tr>");
}

fn row(out: &mut String, view: &View, id: PieceId) {
    let p = view.doc.piece(id);
    let name = piece_name(id);
    out.push_str("<tr id=\"");
    out.push_str(&name);
    out.push_str("\" data-p=\"");
    whole(out, id.0 as usize + 1);
    out.push_str("\"><th scope=\"row\"><a href=\"#");
    out.push_str(&group_id(p.storey.0 as usize, "plan"));
    out.push_str("\">");
    isolated(out, &p.mark);
    out.push_str("</a> <small>");
    out.push_str(&name);
    out.push_str(" \u{b7} ");
    out.push_str(&group_name(view.groups.of_piece[id.0 as usize]));
    out.push_str("</small></th><td>");
    out.push_str(p.layer.name());
    out.push_str(" <small>");
    text(out, p.section.name());
    if view.doc.plan.is_treated(p) {
        out.push_str(" treated");
    }
    out.push_str("</small></td><td><strong>");
    text(out, &unbroken(&length_text(p)));
    out.push_str("</strong> <small>");
    text(out, &unbroken(&other_length_text(p)));
    if let Some(edge) = edge_text(p) {
        out.push_str("<br>");
        text(out, &unbroken(&edge));
        out.push_str(" along a face");
    }
    out.push_str("</small></td><td>");
    ends(out, view, id);
    out.push_str(if p.notches.is_empty() { "</td><td class=\"none\">none" } else { "</td><td>" });
    notches(out, p);
    out.push_str("</td><td>");
    check(out, view, p);
    out.push_str("</td><td>");
    match view.board_of[id.0 as usize] {
        Some(b) => out.push_str(&board_name(b)),
        None => out.push('\u{2014}'),
    }
    out.push_str("</td></tr>");
}

fn ends(out: &mut String, view: &View, id: PieceId) {
    let p = view.doc.piece(id);
    let cuts = view.shapes[id.0 as usize].end_cuts;
    if cuts == [1, 1] && p.rake.is_none() && p.ends.iter().all(|e| degrees(e.cut_deg) == "90") {
        out.push_str("square both ends");
        return;
    }
    let [start, end] = [0, 1].map(|i| cut_text(&p.ends[i], cuts[i], "the plan"));
    for part in ["start ", &start, ",<br> end ", &end] {
        out.push_str(part);
    }
}

fn notches(out: &mut String, p: &Piece) {
    let metric = p.section.is_metric();
    for n in &p.notches {
        out.push_str("<div>");
        for part in [
            &length(n.from, metric),
            " to ",
            &length(n.to, metric),
            " from the start, ",
            &length(n.depth, metric),
            " deep, ",
            n.side.name(),
            " edge, for ",
            &run_name(n.stem),
        ] {
            text(out, part);
        }
        out.push_str("</div>");
    }
}

fn check(out: &mut String, view: &View, p: &Piece) {
    let metric = p.section.is_metric();
    let m = measure(view, p);
    text(out, &unbroken(&m.ends[0]));
    out.push_str(" to ");
    text(out, &unbroken(&m.ends[1]));
    if p.layer != Layer::Upper && m.cut_more.abs() < Length::SIXTEENTH && p.rake.is_none() {
        return;
    }
    out.push_str(": <strong>");
    text(out, &length(m.distance, metric));
    out.push_str("</strong>");
    if let Some(rake) = p.rake {
        out.push_str(" level, at ");
        out.push_str(&pitch_text(rake.slope));
    }
    if m.cut_more.abs() < Length::SIXTEENTH.half() {
        out.push_str(", cut the same");
        return;
    }
    out.push_str(", cut ");
    text(out, &length(m.cut_more.abs(), metric));
    out.push_str(if m.cut_more > Length::ZERO { " more" } else { " less" });
}
