//! The results as files.

use crate::plan::{Piece, Plan};
use crate::{Change, Refit};
use diag::Finding;
use export::text::{degrees, inches_4, mm_2, trimmed};
use export::{ExportError, Table, board_name, harmless};
use geom::Length;
use lumber::Section;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use stock_cut::{BoardSize, Demand, Stock};

/// A file's name in the result folder and its bytes, UTF-8.
pub type File = (&'static str, Vec<u8>);

const CUTS: [&str; 15] = [
    "piece",
    "mark",
    "wall",
    "storey",
    "layer",
    "section",
    "qty",
    "length_in",
    "length_mm",
    "length_text",
    "left_cut_deg",
    "right_cut_deg",
    "notches",
    "left_tilt_deg",
    "right_tilt_deg",
];
const CHANGES: [&str; 8] =
    ["piece", "mark", "wall", "was_in", "now_in", "was_text", "now_text", "difference_in"];

/// `refit.json`, `upper-cuts.csv`, `upper-stock.csv` and `changes.csv`.
///
/// # Errors
/// What a writer says; a fault of the program.
pub fn outputs(plan: &Plan, refit: &Refit, findings: &[Finding]) -> Result<Vec<File>, ExportError> {
    let mut text = format!("{:#}", whole(plan, refit, findings));
    text.push('\n');
    Ok(vec![
        ("refit.json", text.into_bytes()),
        ("upper-cuts.csv", table(&CUTS, refit.pieces.iter().map(cut_row))?),
        ("upper-stock.csv", stock(plan, refit)?),
        ("changes.csv", table(&CHANGES, refit.changes.iter().map(change_row))?),
    ])
}

fn whole(plan: &Plan, refit: &Refit, findings: &[Finding]) -> Value {
    let runs: Vec<Value> = refit
        .runs
        .iter()
        .map(|r| {
            json!({
                "run": r.run, "planned_in": r.planned.to_inches(),
                "measured_in": r.measured.to_inches(),
                "difference_in": (r.measured - r.planned).to_inches(), "changed": r.changed,
            })
        })
        .collect();
    let changes: Vec<Value> = refit
        .changes
        .iter()
        .map(|c| json!({ "was": c.was.as_ref().map(piece), "now": c.now.as_ref().map(piece) }))
        .collect();
    let findings: Vec<Value> = findings
        .iter()
        .map(|f| {
            json!({
                "code": f.code.name(), "severity": f.severity.name(), "message": f.message,
                "subject": f.subject,
            })
        })
        .collect();
    json!({
        "schema": "platewright/refit/1",
        "source": plan.source,
        "runs": runs,
        "runs_not_measured": refit.not_measured,
        "pieces": refit.pieces.iter().map(piece).collect::<Vec<_>>(),
        "changes": changes,
        "findings": findings,
    })
}

fn piece(p: &Piece) -> Value {
    let notches: Vec<Value> = p
        .notches
        .iter()
        .map(|n| {
            json!({
                "from": n.from.to_inches(), "to": n.to.to_inches(), "depth": n.depth.to_inches(),
                "side": if n.left { "left" } else { "right" },
            })
        })
        .collect();
    let nails: Vec<Value> = p
        .nails
        .iter()
        .map(|n| json!({ "at": n.at.to_inches(), "count": n.count, "nail": n.nail }))
        .collect();
    json!({
        "id": p.id, "mark": p.mark, "run": p.run, "storey": p.storey, "layer": "upper",
        "section": p.section.name(), "from": p.from.to_inches(), "to": p.to().to_inches(),
        "length_in": p.length.to_inches(), "length_mm": p.length.to_mm(), "length_text": spoken(p),
        "ends": [
            { "cut_deg": p.cuts[0], "tilt_deg": p.tilts[0], "against": p.against[0] },
            { "cut_deg": p.cuts[1], "tilt_deg": p.tilts[1], "against": p.against[1] },
        ],
        "notches": notches, "nails": nails,
    })
}

/// Rounded down, as for every upper plate: it may be short, never long.
fn spoken(p: &Piece) -> String {
    if p.section.is_metric() {
        p.length.floor_to(Length::mm(1)).millimetres().to_string()
    } else {
        p.length.floor_to(Length::sixteenths(1)).feet_inches().to_string()
    }
}

fn cut_row(p: &Piece) -> Vec<String> {
    let bite = |n: &crate::plan::Notch| {
        let side = if n.left { "L" } else { "R" };
        let inches = |l: Length| short(l.to_inches());
        format!("{}-{}x{}{side}", inches(n.from), inches(n.to), inches(n.depth))
    };
    let bites: Vec<String> = p.notches.iter().map(bite).collect();
    vec![
        p.id.clone(),
        harmless(&p.mark).into_owned(),
        p.run.clone(),
        p.storey.clone(),
        "upper".to_owned(),
        p.section.name().to_owned(),
        "1".to_owned(),
        inches_4(p.length),
        mm_2(p.length),
        spoken(p),
        degrees(p.cuts[0]),
        degrees(p.cuts[1]),
        bites.join(" "),
        degrees(p.tilts[0]),
        degrees(p.tilts[1]),
    ]
}

fn change_row(c: &Change) -> Vec<String> {
    let of = |p: Option<&Piece>, f: fn(&Piece) -> String| p.map(f).unwrap_or_default();
    let (was, now) = (c.was.as_ref(), c.now.as_ref());
    let either = now.or(was);
    let difference = match (was, now) {
        (Some(a), Some(b)) => inches_4(b.length - a.length),
        _ => String::new(),
    };
    vec![
        of(either, |p| p.id.clone()),
        of(either, |p| harmless(&p.mark).into_owned()),
        of(either, |p| p.run.clone()),
        of(was, |p| inches_4(p.length)),
        of(now, |p| inches_4(p.length)),
        of(was, spoken),
        of(now, spoken),
        difference,
    ]
}

/// Boards for the upper pieces alone: the others are up.
fn stock(plan: &Plan, refit: &Refit) -> Result<Vec<u8>, ExportError> {
    let mut demands: BTreeMap<Section, Vec<Demand>> = BTreeMap::new();
    for (i, p) in refit.pieces.iter().enumerate() {
        let demand = Demand { id: i as u32, length: p.length };
        demands.entry(p.section).or_default().push(demand);
    }
    let mut rows = Vec::new();
    let mut number = 0;
    for (section, demands) in demands {
        let default = vec![8, 10, 12, 14, 16];
        let feet = plan.lengths_ft.get(section.name()).unwrap_or(&default);
        let stock = Stock {
            boards: BoardSize::by_the_foot(feet),
            kerf: plan.kerf,
            end_trim: plan.end_trim,
        };
        let cutting = stock_cut::cut(&demands, &stock)
            .map_err(|e| ExportError::Csv(format!("{section}: {e}")))?;
        for board in cutting.boards {
            for (position, id) in board.cuts.iter().enumerate() {
                let Some(p) = refit.pieces.get(*id as usize) else { continue };
                rows.push(vec![
                    board_name(number),
                    section.name().to_owned(),
                    short(board.length().to_inches() / 12.0),
                    (position + 1).to_string(),
                    p.id.clone(),
                    harmless(&p.mark).into_owned(),
                    inches_4(p.length),
                    spoken(p),
                    inches_4(board.offcut),
                ]);
            }
            number += 1;
        }
    }
    let header = [
        "board",
        "section",
        "length_ft",
        "position",
        "piece",
        "mark",
        "piece_length_in",
        "piece_length_text",
        "offcut_in",
    ];
    table(&header, rows.into_iter())
}

fn table(header: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<Vec<u8>, ExportError> {
    let mut out = Table::new(header)?;
    for row in rows {
        out.row(&row.iter().map(String::as_str).collect::<Vec<_>>())?;
    }
    Ok(out.finish()?.into_bytes())
}

/// Up to four decimals, without the zeros at the end.
fn short(value: f64) -> String {
    trimmed(value, 4)
}
