//! Fills the structures of `plan.json` from the document.

use super::types::*;
use super::{SCHEMA, SettingsOut};
use crate::csv::board_name;
use crate::groups::group_name;
use crate::text::{against_word, edge_text, length_text, percent};
use crate::view::View;
use diag::{Finding, Ledger, SourceRef};
use geom::{Length, Point};
use plan_model::{Document, Piece, PieceId, junction_name, piece_name, run_name};
use plan_model::{storey_id_name, wall_name};
use wall_model::StoreyId;
use wall_model::floor::{FloorWall, JunctionId, RunId};

/// The whole document.
pub(crate) fn plan<'a>(view: &'a View) -> PlanOut<'a> {
    let doc = view.doc;
    let sections = doc.floor.runs.iter().map(|r| r.section);
    PlanOut {
        schema: SCHEMA,
        source: source(doc),
        settings: SettingsOut::of(&doc.settings, sections),
        overrides: doc.overrides.as_ref().map(|o| o.form()),
        origin: [doc.origin_inches.0, doc.origin_inches.1],
        storeys: storeys(doc),
        walls: doc.floor.walls.iter().enumerate().map(|(i, w)| wall(i, w)).collect(),
        runs: runs(doc),
        junctions: junctions(doc),
        pieces: view.pieces().map(|(id, p)| piece(view, id, p)).collect(),
        ties: ties(doc),
        joints: joints(doc),
        stock: stock(doc),
        fasteners: fasteners(doc),
        findings: doc.findings.iter().map(finding).collect(),
        ledger: ledger(&doc.ledger),
        checked: checked(doc),
        rules: rules(doc),
    }
}

fn point(p: Point) -> [f64; 2] {
    [p.x.to_inches(), p.y.to_inches()]
}

fn refs(source: &[SourceRef]) -> Vec<SourceRefOut<'_>> {
    source.iter().map(|s| SourceRefOut { entity: &s.entity, layer: &s.layer }).collect()
}

fn source(doc: &Document) -> SourceOut<'_> {
    let s = &doc.source;
    SourceOut {
        file: &s.file,
        sha256: &s.sha256,
        format: s.format.name(),
        version: &s.version,
        written_by: &s.written_by,
        units: UnitsOut {
            name: &s.units.name,
            inches_per_unit: s.units.inches_per_unit,
            decided_by: &s.units.decided_by,
        },
    }
}

fn storeys(doc: &Document) -> Vec<StoreyOut<'_>> {
    doc.floor
        .storeys
        .iter()
        .enumerate()
        .map(|(i, s)| StoreyOut {
            id: storey_id_name(StoreyId(i as u32)),
            name: &s.name,
            elevation: s.elevation.to_inches(),
        })
        .collect()
}

fn wall(index: usize, w: &FloorWall) -> WallOut<'_> {
    WallOut {
        id: wall_name(index),
        storey: storey_id_name(w.storey),
        start: point(w.start),
        end: point(w.end),
        drawn_thickness: w.drawn_thickness.to_inches(),
        section: w.section.name(),
        width: w.section.width().to_inches(),
        base: w.base.to_inches(),
        top: w.top.to_inches(),
        top_end: (w.top + w.rise).to_inches(),
        exterior: w.exterior,
        bearing: w.bearing,
        run: run_name(w.run),
        openings: w
            .openings
            .iter()
            .map(|o| OpeningOut {
                kind: o.kind.name(),
                from: o.from.to_inches(),
                to: o.to.to_inches(),
                source: refs(&o.source),
            })
            .collect(),
        source: refs(&w.source),
    }
}

fn runs(doc: &Document) -> Vec<RunOut<'_>> {
    doc.floor
        .runs
        .iter()
        .enumerate()
        .map(|(i, r)| RunOut {
            id: run_name(RunId(i as u32)),
            storey: storey_id_name(r.storey),
            start: point(r.start),
            end: point(r.end),
            section: r.section.name(),
            width: r.section.width().to_inches(),
            base: r.base.to_inches(),
            top: r.top.to_inches(),
            top_end: (r.top + r.rise).to_inches(),
            walls: r.walls.iter().map(|w| wall_name(*w as usize)).collect(),
        })
        .collect()
}

fn junctions(doc: &Document) -> Vec<JunctionOut> {
    doc.floor
        .junctions
        .iter()
        .enumerate()
        .map(|(i, j)| JunctionOut {
            id: junction_name(JunctionId(i as u32)),
            storey: storey_id_name(j.storey),
            at: point(j.at),
            kind: j.kind.name(),
            arms: j.arms.iter().map(|a| ArmOut { run: run_name(a.run), at: a.at.name() }).collect(),
            angle_deg: j.angle_deg,
            step: j.step.to_inches(),
        })
        .collect()
}

fn piece<'a>(view: &View, id: PieceId, p: &'a Piece) -> PieceOut<'a> {
    let end = |e: &plan_model::PieceEnd| EndOut {
        cut_deg: e.cut_deg,
        tilt_deg: e.tilt_deg,
        against: against_word(e.against),
    };
    PieceOut {
        id: piece_name(id),
        mark: &p.mark,
        group: group_name(view.groups.of_piece[id.0 as usize]),
        run: run_name(p.run),
        storey: storey_id_name(p.storey),
        layer: p.layer.name(),
        section: p.section.name(),
        width: p.section.width().to_inches(),
        treated: view.doc.plan.is_treated(p),
        from: p.from.to_inches(),
        to: p.to.to_inches(),
        outline: p.outline.iter().map(|q| point(*q)).collect(),
        length_in: p.length.to_inches(),
        length_mm: p.length.to_mm(),
        length_text: length_text(p),
        z: p.z.to_inches(),
        rake: p.rake.map(|r| RakeOut {
            rise_in_12: r.slope.ratio() * 12.0,
            edge_in: r.edge.to_inches(),
            edge_text: edge_text(p).unwrap_or_default(),
            z_end: r.z_end.to_inches(),
        }),
        ends: [end(&p.ends[0]), end(&p.ends[1])],
        notches: p
            .notches
            .iter()
            .map(|n| NotchOut {
                from: n.from.to_inches(),
                to: n.to.to_inches(),
                depth: n.depth.to_inches(),
                side: n.side.name(),
                stem: run_name(n.stem),
            })
            .collect(),
        marks: p
            .marks
            .iter()
            .map(|m| MarkOut { at: m.at.to_inches(), kind: m.kind.name() })
            .collect(),
        nails: p
            .nails
            .iter()
            .map(|n| NailOut {
                at: n.at.to_inches(),
                count: n.count,
                nail: &n.nail,
                into: n.goes_into(p.layer),
            })
            .collect(),
    }
}

fn ties(doc: &Document) -> Vec<TieOut<'_>> {
    doc.plan
        .ties
        .iter()
        .map(|t| TieOut {
            junction: junction_name(t.junction),
            kind: t.kind.name(),
            pieces: t.pieces.iter().map(|p| piece_name(*p)).collect(),
            overlap_in: t.overlap.to_inches(),
            hardware: &t.hardware,
        })
        .collect()
}

fn joints(doc: &Document) -> Vec<JointOut> {
    doc.plan
        .joints
        .iter()
        .map(|j| JointOut {
            run: run_name(j.run),
            layer: j.layer.name(),
            at: j.at.to_inches(),
            half_gap: j.half_gap.to_inches(),
            kind: j.kind.name(),
            on_stud: j.on_stud,
            offset_in: j.offset.map(Length::to_inches),
        })
        .collect()
}

fn stock(doc: &Document) -> StockOut<'_> {
    let bought: Length = doc.stock.iter().map(|s| s.bought).sum();
    let used: Length = doc.stock.iter().map(|s| s.used).sum();
    let board = |(i, b): (usize, &plan_model::Board)| BoardOut {
        id: board_name(i),
        section: b.section.name(),
        treated: b.treated,
        length_ft: b.length().to_inches() / 12.0,
        length_mm: b.length().to_mm(),
        on_hand: doc.label_on_hand(b),
        cuts: b.cuts.iter().map(|p| piece_name(*p)).collect(),
        offcut_in: b.offcut.to_inches(),
        offcut_mm: b.offcut.to_mm(),
    };
    StockOut {
        boards: doc.boards.iter().enumerate().map(board).collect(),
        lower_bound_boards: doc.stock.iter().map(|s| s.lower_bound_boards).sum(),
        waste_pct: percent(bought - used, bought),
        sections: doc
            .stock
            .iter()
            .map(|s| SectionStockOut {
                section: s.section.name(),
                treated: s.treated,
                boards: s.boards,
                on_hand: s.on_hand,
                lower_bound_boards: s.lower_bound_boards,
                lower_bound_in: s.lower_bound_length.to_inches(),
                bought_in: s.bought.to_inches(),
                used_in: s.used.to_inches(),
                waste_pct: percent(s.waste(), s.bought),
                lower_bound_waste_pct: percent(s.least_waste(), s.lower_bound_length),
                cost: s.cost.map(|c| c.hundredths as f64 / 100.0),
                lower_bound_cost: s.cost.map(|c| c.lower_bound as f64 / 100.0),
            })
            .collect(),
    }
}

fn fasteners(doc: &Document) -> Vec<FastenerOut<'_>> {
    doc.plan
        .fasteners
        .iter()
        .map(|f| FastenerOut { nail: &f.nail, count: f.count, r#for: &f.purpose })
        .collect()
}

fn finding(f: &Finding) -> FindingOut<'_> {
    let info = f.code.info();
    FindingOut {
        code: info.name,
        severity: f.severity.name(),
        message: &f.message,
        at: f.at.map(point),
        subject: &f.subject,
        source: refs(&f.source),
        title: info.title,
        remedy: info.remedy,
    }
}

fn ledger(l: &Ledger) -> LedgerOut<'_> {
    LedgerOut {
        entities_read: l.read(),
        used: l.used(),
        ignored: l
            .ignored()
            .map(|(reason, i)| IgnoredOut { reason, count: i.count, sample: &i.sample })
            .collect(),
    }
}

fn checked(doc: &Document) -> Vec<CheckOut<'_>> {
    doc.checked
        .iter()
        .map(|c| CheckOut {
            item: c.item,
            what: &c.what,
            looked_at: c.looked_at,
            breaches: c.breaches,
        })
        .collect()
}

fn rules(doc: &Document) -> Vec<RuleOut<'_>> {
    doc.plan.rules.iter().map(|r| RuleOut { text: &r.text, source: &r.source }).collect()
}
