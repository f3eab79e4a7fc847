//! The piece table, run by run: what to cut, and how to check it with a tape at the floor.

use super::drawing::storey_title;
use super::sheet::Sheet;
use super::words::{bdi, length, unbroken};
use crate::csv::board_name;
use crate::groups::group_name;
use crate::measure::measure;
use crate::text::{degrees, length_text, other_length_text};
use crate::view::View;
use geom::Length;
use maud::{Markup, html};
use plan_model::{Layer, Piece, PieceEnd, PieceId, piece_name, run_name, wall_name};
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
            h3 { (storey_title(view, sheet.storey)) }
            (storey(view, sheet))
        }
    } }
}

fn storey(view: &View, sheet: &Sheet) -> Markup {
    // By run, then layer, then station: the order of the plan's pieces, whatever list they came in.
    let mut ids: Vec<PieceId> = sheet.pieces.iter().flatten().copied().collect();
    ids.sort_by_key(|id| {
        let p = view.doc.piece(*id);
        (p.run, p.layer, p.from, *id)
    });
    if ids.is_empty() {
        return html! { p { "No pieces." } };
    }
    html! { table class="stack pieces" {
        thead { tr {
            @for h in ["Mark", "Plate", "Length", "Ends", "Notches", "Check at the floor", "Board"] {
                th scope="col" { (h) }
            }
        } }
        @for of_run in ids.chunk_by(|a, b| view.doc.piece(*a).run == view.doc.piece(*b).run) {
            tbody {
                tr class="run" { th scope="rowgroup" colspan="7" {
                    (run_line(view, view.doc.piece(of_run[0]).run, sheet.metric))
                } }
                @for id in of_run { (row(view, *id)) }
            }
        }
    } }
}

/// `R3: walls W3 W4, 2x6, 24'-0", exterior, bearing, top 8'-1 1/8"`.
fn run_line(view: &View, id: RunId, metric: bool) -> Markup {
    let run = view.doc.floor.run(id);
    let walls: Vec<String> = run.walls.iter().map(|w| wall_name(*w as usize)).collect();
    let of_walls = || run.walls.iter().map(|w| &view.doc.floor.walls[*w as usize]);
    let exterior = of_walls().any(|w| w.exterior);
    let bearing = of_walls().any(|w| w.bearing == Some(true));
    let (from, to) = view.faces[id.0 as usize];
    let span = if walls.len() == 1 { "wall" } else { "walls" };
    html! {
        strong { (run_name(id)) } " " span class="more" {
            (span) " " (walls.join(" ")) ", " (run.section.name()) ", "
            (length(to - from, metric)) " between its end faces, "
            (if exterior { "exterior" } else { "interior" })
            @if bearing { ", bearing" }
            ", top at " (length(run.top, metric))
        }
    }
}

fn row(view: &View, id: PieceId) -> Markup {
    let p = view.doc.piece(id);
    let name = piece_name(id);
    html! { tr data-p=(name) {
        th scope="row" data-h="Mark" { strong { (bdi(&p.mark)) } small { (name) " \u{b7} "
            (group_name(view.groups.of_piece[id.0 as usize])) } }
        td data-h="Plate" { (p.layer.name()) " " small { (p.section.name()) } }
        td data-h="Length" class="length" { strong { (unbroken(&length_text(p))) }
            small { (unbroken(&other_length_text(p))) } }
        td data-h="Ends" { (ends(view, id)) }
        td data-h="Notches" { (notches(p)) }
        td data-h="Check" { (check(view, p)) }
        td data-h="Board" { @match view.board_of[id.0 as usize] {
            Some(b) => { (board_name(b)) }
            None => { "\u{2014}" }
        } }
    } }
}

fn ends(view: &View, id: PieceId) -> Markup {
    let p = view.doc.piece(id);
    let cuts = view.shapes[id.0 as usize].end_cuts;
    let words = [0, 1].map(|i| cut(&p.ends[i], cuts[i]));
    html! {
        @if words[0] == words[1] && words[0] == "square" { "square both ends" }
        @else { "start " (words[0]) "," br; " end " (words[1]) }
    }
}

fn cut(end: &PieceEnd, cuts: usize) -> String {
    let deg = degrees(end.cut_deg);
    let longer = if end.cut_deg < 90.0 { "left" } else { "right" };
    match (cuts, deg.as_str()) {
        (1, "90") => "square".to_owned(),
        (1, deg) => format!("{deg}\u{b0}, {longer} edge longer"),
        (n, _) => format!("{n} cuts, see the plan"),
    }
}

fn notches(p: &Piece) -> Markup {
    let metric = p.section.is_metric();
    html! {
        @if p.notches.is_empty() { span class="none" { "none" } }
        @for n in &p.notches {
            div { (length(n.from, metric)) " to " (length(n.to, metric)) " from the start, "
                (length(n.depth, metric)) " deep, " (n.side.name()) " edge, for " (run_name(n.stem)) }
        }
    }
}

fn check(view: &View, p: &Piece) -> Markup {
    let metric = p.section.is_metric();
    let m = measure(view, p);
    let by = length(m.cut_more.abs(), metric);
    html! {
        (unbroken(&m.ends[0])) " to " (unbroken(&m.ends[1]))
        @if p.layer == Layer::Upper || m.cut_more.abs() >= Length::SIXTEENTH {
            ": " strong { (length(m.distance, metric)) }
            @if m.cut_more.abs() < Length::SIXTEENTH.half() { ", cut the same" }
            @else if m.cut_more > Length::ZERO { ", cut " (by) " more" }
            @else { ", cut " (by) " less" }
        }
    }
}
