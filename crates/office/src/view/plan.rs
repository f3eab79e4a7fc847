//! What is planned now, for drawing.

use super::walls::{Context, Listed, NearMissOut, WallOut, by_shape, edited, listed};
use super::{FindingOut, FrameOut, LedgerOut, bounds};
use crate::folder::Folder;
use crate::frame::OnPage;
use crate::job::Tally;
use crate::problem::{Answer, Problem};
use crate::review::Review;
use diag::{Finding, codes::dxf};
use export::groups::group_name;
use export::text::{length_text, people, percent};
use export::view::View;
use import_dxf::WallByShape;
use pipeline::Reading;
use plan_model::{
    Document, TieKind, junction_name, piece_name, run_name, storey_id_name, storey_name,
};
use serde::Serialize;
use wall_model::floor::JunctionKind;
use wall_model::{Storey, StoreyId};

/// See `Plan` in the API.
#[derive(Serialize)]
pub(crate) struct PlanOut {
    edition: u64,
    planned: bool,
    frame: FrameOut,
    reading_changed: bool,
    storeys: Vec<StoreyOut>,
    walls: Vec<WallOut>,
    runs: Vec<RunOut>,
    junctions: Vec<JunctionOut>,
    pieces: Vec<PieceOut>,
    joints: Vec<JointOut>,
    ties: Vec<TieOut>,
    near_misses: Vec<NearMissOut>,
    findings: Vec<FindingOut>,
    lumber: Vec<LumberOut>,
    checked: Vec<CheckOut>,
    ledger: LedgerOut,
    tally: Tally,
    millis: u64,
}

#[derive(Serialize)]
struct StoreyOut {
    id: String,
    name: String,
    elevation: f64,
    bounds: Option<[f64; 4]>,
}
#[derive(Serialize)]
struct RunOut {
    id: String,
    storey: String,
    start: [f64; 2],
    end: [f64; 2],
    section: &'static str,
    width: f64,
    top: f64,
    length_in: f64,
    length_text: String,
}
#[derive(Serialize)]
struct JunctionOut {
    id: String,
    storey: String,
    at: [f64; 2],
    kind: &'static str,
    angle_deg: f64,
    step: f64,
    runs: Vec<String>,
    tie: Option<&'static str>,
    near_miss: bool,
}
#[derive(Serialize)]
struct PieceOut {
    id: String,
    mark: String,
    group: String,
    run: String,
    storey: String,
    layer: &'static str,
    section: &'static str,
    treated: bool,
    outline: Vec<[f64; 2]>,
    length_in: f64,
    length_text: String,
    board: String,
}
#[derive(Serialize)]
struct JointOut {
    run: String,
    layer: &'static str,
    at: [f64; 2],
    kind: &'static str,
    offset_in: Option<f64>,
}
#[derive(Serialize)]
struct TieOut {
    junction: String,
    kind: &'static str,
    pieces: Vec<String>,
    hardware: String,
}
#[derive(Serialize)]
struct LumberOut {
    lumber: String,
    boards: u64,
    on_hand: u64,
    bought_text: String,
    used_text: String,
    waste_pct: f64,
}
#[derive(Serialize)]
struct CheckOut {
    item: u8,
    what: String,
    looked_at: u64,
    breaches: u64,
}

/// What to add to a place of plan.json; `None` without a plan.
pub(super) fn offset(r: &Review) -> Option<[f64; 2]> {
    let planned = r.now.planned.as_ref().ok()?;
    Some(r.frame.plan_offset(planned.document.origin_inches))
}

/// The whole answer.
pub(crate) fn plan(folder: &Folder, r: &Review, reading_changed: bool) -> Answer<PlanOut> {
    match &r.read.reading {
        Err(refusal) => Ok(without_walls(r, &refusal.findings, reading_changed)),
        Ok(reading) => with_walls(folder, r, reading, reading_changed),
    }
}

fn without_walls(r: &Review, findings: &[Finding], reading_changed: bool) -> PlanOut {
    PlanOut {
        edition: r.seen.job.record.edition,
        planned: false,
        frame: FrameOut::of(&r.frame, None),
        reading_changed,
        storeys: Vec::new(),
        walls: Vec::new(),
        runs: Vec::new(),
        junctions: Vec::new(),
        pieces: Vec::new(),
        joints: Vec::new(),
        ties: Vec::new(),
        near_misses: Vec::new(),
        findings: findings.iter().map(|f| ticked(r, FindingOut::without_place(f))).collect(),
        lumber: Vec::new(),
        checked: Vec::new(),
        ledger: LedgerOut::of(&diag::Ledger::default()),
        tally: Tally::of(findings),
        millis: r.now.millis,
    }
}

fn with_walls(
    folder: &Folder,
    r: &Review,
    reading: &Reading,
    reading_changed: bool,
) -> Answer<PlanOut> {
    let shapes = shapes(folder, r, reading)?;
    let on = OnPage::new(&r.frame, &reading.model);
    let storeys = |walls: &[WallOut]| storeys(&reading.model.storeys, walls);
    let common = |walls: Vec<WallOut>, near: Vec<NearMissOut>, findings: Vec<FindingOut>| PlanOut {
        storeys: storeys(&walls),
        walls,
        near_misses: near,
        findings,
        ..without_walls(r, &[], reading_changed)
    };
    match &r.now.planned {
        Err(refusal) => {
            let done = edited(r, &reading.model);
            let context = Context::new(r, reading, None, &done.found, &shapes);
            let all = listed(reading, &done.model.walls, &done.from, &done.found);
            let walls = context.walls(&all);
            let findings = findings(r, &context, &refusal.findings, &all, &walls);
            let ledger = LedgerOut::of(&done.model.ledger);
            let tally = Tally::of(&refusal.findings);
            Ok(PlanOut { ledger, tally, ..common(walls, Vec::new(), findings) })
        }
        Ok(planned) => {
            let context = Context::new(r, reading, Some(planned), &planned.found, &shapes);
            let all = listed(reading, &planned.walls, &planned.from, &planned.found);
            let walls = context.walls(&all);
            let d = &planned.document;
            let near = context.near_misses(&d.findings, &all);
            let findings = findings(r, &context, &d.findings, &all, &walls);
            let view = View::of(d).map_err(|e| Problem::internal(&e.to_string()))?;
            let junctions = junctions(d, &on, &near);
            Ok(PlanOut {
                planned: true,
                frame: FrameOut::of(&r.frame, Some(on.offset())),
                runs: runs(d, &on),
                junctions,
                pieces: pieces(&view, &on),
                joints: joints(&view, &on),
                ties: ties(d),
                lumber: lumber(d),
                checked: checked(d),
                ledger: LedgerOut::of(&d.ledger),
                tally: Tally::of(&d.findings),
                ..common(walls, near, findings)
            })
        }
    }
}

/// Walls found by shape, where there are some: that takes a second look at the file.
fn shapes(folder: &Folder, r: &Review, reading: &Reading) -> Answer<Vec<WallByShape>> {
    if !reading.findings.iter().any(|f| f.code == dxf::WALLS_BY_SHAPE) {
        return Ok(Vec::new());
    }
    let bytes = || folder.drawing(&r.seen.id);
    let inspected = r
        .read
        .inspection(&r.seen.job.record.file, bytes)
        .map_err(|e| Problem::disk("the drawing", &e))?;
    Ok(inspected.as_ref().map_or(Vec::new(), |i| by_shape(&i.drawing).to_vec()))
}

fn ticked(r: &Review, mut f: FindingOut) -> FindingOut {
    f.looked_at = r.seen.job.record.looked_at.contains(&f.key);
    f
}

fn findings(
    r: &Review,
    context: &Context,
    all: &[Finding],
    listed: &[Listed],
    walls: &[WallOut],
) -> Vec<FindingOut> {
    let one = |f: &Finding| {
        let mut out = ticked(r, FindingOut::without_place(f));
        out.at = f.at.map(|at| context.on.point(at));
        out.walls = context.named_in(f, listed, walls);
        out
    };
    all.iter().map(one).collect()
}

fn storeys(storeys: &[Storey], walls: &[WallOut]) -> Vec<StoreyOut> {
    let one = |(i, s): (usize, &Storey)| {
        let id = storey_id_name(StoreyId(i as u32));
        let own = walls.iter().filter(|w| w.is_on(&id));
        StoreyOut {
            bounds: bounds(own.flat_map(WallOut::ends)),
            id,
            name: storey_name(i, s),
            elevation: s.elevation.to_inches(),
        }
    };
    storeys.iter().enumerate().map(one).collect()
}

fn runs(d: &Document, on: &OnPage) -> Vec<RunOut> {
    let one = |(i, r): (usize, &wall_model::floor::Run)| RunOut {
        id: run_name(wall_model::floor::RunId(i as u32)),
        storey: storey_id_name(r.storey),
        start: on.point(r.start),
        end: on.point(r.end),
        section: r.section.name(),
        width: r.section.width().to_inches(),
        top: r.top.to_inches(),
        length_in: r.length().to_inches(),
        length_text: people(r.length(), r.section.is_metric()),
    };
    d.floor.runs.iter().enumerate().map(one).collect()
}

fn junctions(d: &Document, on: &OnPage, near: &[NearMissOut]) -> Vec<JunctionOut> {
    let mut weakest: Vec<Option<TieKind>> = vec![None; d.floor.junctions.len()];
    for tie in &d.plan.ties {
        if let Some(slot) = weakest.get_mut(tie.junction.0 as usize) {
            *slot = (*slot).max(Some(tie.kind));
        }
    }
    let close = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() + (a[1] - b[1]).abs() < 0.125;
    let one = |(i, (j, tie)): (usize, (&wall_model::floor::Junction, &Option<TieKind>))| {
        let at = on.point(j.at);
        JunctionOut {
            id: junction_name(wall_model::floor::JunctionId(i as u32)),
            storey: storey_id_name(j.storey),
            at,
            kind: j.kind.name(),
            angle_deg: j.angle_deg,
            step: j.step.to_inches(),
            runs: j.arms.iter().map(|a| run_name(a.run)).collect(),
            tie: tie.map(TieKind::name),
            near_miss: j.kind == JunctionKind::End && near.iter().any(|n| close(n.from, at)),
        }
    };
    d.floor.junctions.iter().zip(&weakest).enumerate().map(one).collect()
}

fn pieces(view: &View, on: &OnPage) -> Vec<PieceOut> {
    let board = |id: plan_model::PieceId| {
        let board = view.board_of.get(id.0 as usize).copied().flatten();
        board.map_or(String::new(), export::board_name)
    };
    let one = |(id, p): (plan_model::PieceId, &plan_model::Piece)| PieceOut {
        id: piece_name(id),
        mark: p.mark.clone(),
        group: view.groups.of_piece.get(id.0 as usize).map_or(String::new(), |g| group_name(*g)),
        run: run_name(p.run),
        storey: storey_id_name(p.storey),
        layer: p.layer.name(),
        section: p.section.name(),
        treated: view.doc.plan.is_treated(p),
        outline: p.outline.iter().map(|q| on.point(*q)).collect(),
        length_in: p.length.to_inches(),
        length_text: length_text(p),
        board: board(id),
    };
    view.pieces().map(one).collect()
}

fn joints(view: &View, on: &OnPage) -> Vec<JointOut> {
    let one = |j: &plan_model::Joint| JointOut {
        run: run_name(j.run),
        layer: j.layer.name(),
        at: on.point(view.frame(j.run).at(j.at, geom::Length::ZERO)),
        kind: j.kind.name(),
        offset_in: j.offset.map(geom::Length::to_inches),
    };
    view.doc.plan.joints.iter().map(one).collect()
}

fn ties(d: &Document) -> Vec<TieOut> {
    let one = |t: &plan_model::Tie| TieOut {
        junction: junction_name(t.junction),
        kind: t.kind.name(),
        pieces: t.pieces.iter().map(|p| piece_name(*p)).collect(),
        hardware: t.hardware.clone(),
    };
    d.plan.ties.iter().map(one).collect()
}

fn lumber(d: &Document) -> Vec<LumberOut> {
    let one = |s: &plan_model::SectionStock| LumberOut {
        lumber: settings::lumber_name(s.section, s.treated),
        boards: s.boards,
        on_hand: s.on_hand,
        bought_text: people(s.bought, s.section.is_metric()),
        used_text: people(s.used, s.section.is_metric()),
        waste_pct: percent(s.waste(), s.bought),
    };
    d.stock.iter().map(one).collect()
}

fn checked(d: &Document) -> Vec<CheckOut> {
    let one = |c: &plan_model::CheckLine| CheckOut {
        item: c.item,
        what: c.what.clone(),
        looked_at: c.looked_at,
        breaches: c.breaches,
    };
    d.checked.iter().map(one).collect()
}
