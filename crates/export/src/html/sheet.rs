//! What belongs to each storey's drawings, sorted out in one pass.

use crate::view::View;
use diag::{Finding, Severity};
use geom::Point;
use plan_model::{Layer, PieceId, TieKind};
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::{JunctionId, RunId};

/// A numbered pin.
pub(crate) struct Pin {
    /// Number of the finding in the list, from 1.
    pub number: usize,
    pub severity: Severity,
    pub at: Point,
}

/// One storey.
#[derive(Default)]
pub(crate) struct Sheet {
    pub storey: usize,
    /// Whether lengths are shown in millimetres first.
    pub metric: bool,
    pub runs: Vec<RunId>,
    /// By layer: the runs that have pieces.
    pub planned: [BTreeSet<RunId>; 3],
    pub walls: Vec<usize>,
    /// By layer.
    pub pieces: [Vec<PieceId>; 3],
    /// Indices into the plan's joints.
    pub joints: Vec<usize>,
    /// Ties by junction, each kind once.
    pub ties: BTreeMap<JunctionId, BTreeSet<TieKind>>,
    pub pins: Vec<Pin>,
    /// Whether the bottom plates are cut and lie exactly as the lower ones.
    pub bottom_is_lower: bool,
}

/// A sheet for every storey.
pub(crate) fn sheets(view: &View) -> Vec<Sheet> {
    let doc = view.doc;
    let mut sheets: Vec<Sheet> = (0..doc.floor.storeys.len())
        .map(|storey| Sheet { storey, bottom_is_lower: true, ..Sheet::default() })
        .collect();
    for (i, run) in doc.floor.runs.iter().enumerate() {
        sheets[run.storey.0 as usize].runs.push(RunId(i as u32));
    }
    for (i, wall) in doc.floor.walls.iter().enumerate() {
        sheets[wall.storey.0 as usize].walls.push(i);
    }
    for (id, piece) in view.pieces() {
        let sheet = &mut sheets[piece.storey.0 as usize];
        sheet.pieces[piece.layer as usize].push(id);
        sheet.planned[piece.layer as usize].insert(piece.run);
    }
    for (i, joint) in doc.plan.joints.iter().enumerate() {
        sheets[doc.floor.run(joint.run).storey.0 as usize].joints.push(i);
    }
    for tie in &doc.plan.ties {
        let storey = doc.floor.junction(tie.junction).storey.0 as usize;
        sheets[storey].ties.entry(tie.junction).or_default().insert(tie.kind);
    }
    pins(view, &mut sheets);
    for sheet in &mut sheets {
        let runs = sheet.runs.iter().filter(|r| doc.floor.run(**r).section.is_metric()).count();
        sheet.metric = runs * 2 > sheet.runs.len();
        let outlines = |layer: Layer| -> BTreeSet<&[Point]> {
            let of = |id: &PieceId| doc.piece(*id).outline.as_slice();
            sheet.pieces[layer as usize].iter().map(of).collect()
        };
        sheet.bottom_is_lower = outlines(Layer::Bottom) == outlines(Layer::Lower);
    }
    sheets
}

fn pins(view: &View, sheets: &mut [Sheet]) {
    for (i, f) in view.doc.findings.iter().enumerate() {
        let Some(at) = f.at else { continue };
        let storey = storey_of(view, f);
        for sheet in sheets.iter_mut().filter(|s| storey.is_none_or(|n| n == s.storey)) {
            sheet.pins.push(Pin { number: i + 1, severity: f.severity, at });
        }
    }
}

/// The storey of what a finding is about; `None` where its subject is no wall, run, junction or piece.
pub(crate) fn storey_of(view: &View, f: &Finding) -> Option<usize> {
    let mut letters = f.subject.chars();
    let kind = letters.next()?;
    let index = letters.as_str().parse::<usize>().ok()?.checked_sub(1)?;
    let floor = &view.doc.floor;
    let storey = match kind {
        'W' => floor.walls.get(index)?.storey,
        'R' => floor.runs.get(index)?.storey,
        'J' => floor.junctions.get(index)?.storey,
        'P' => view.doc.plan.pieces.get(index)?.storey,
        _ => return None,
    };
    Some(storey.0 as usize)
}
