//! The gate: every id in the document points at something and every number can be written. Past it
//! the writers index freely.

use crate::ExportError;
use plan_model::{Against, Document, PieceId, piece_name, storey_id_name, wall_name};
use plan_model::{junction_name, run_name};
use wall_model::StoreyId;
use wall_model::floor::{JunctionId, RunId};

/// Refuses a document with an id out of range or a number that is none. Linear.
pub fn check(doc: &Document) -> Result<(), ExportError> {
    let ids = Ids { doc };
    let floor = &doc.floor;
    number("the x of the origin", doc.origin_inches.0)?;
    number("the y of the origin", doc.origin_inches.1)?;
    number("inches per drawing unit", doc.source.units.inches_per_unit)?;
    for (i, w) in floor.walls.iter().enumerate() {
        let holder = || wall_name(i);
        ids.storey(w.storey, holder)?;
        ids.run(w.run, holder)?;
    }
    for (i, r) in floor.runs.iter().enumerate() {
        let holder = || run_name(RunId(i as u32));
        ids.storey(r.storey, holder)?;
        ids.junction(r.start_junction, holder)?;
        ids.junction(r.end_junction, holder)?;
        for (_, j) in &r.through {
            ids.junction(*j, holder)?;
        }
        for w in &r.walls {
            if *w as usize >= floor.walls.len() {
                return dangling(holder, wall_name(*w as usize));
            }
        }
    }
    for (i, j) in floor.junctions.iter().enumerate() {
        let holder = || junction_name(JunctionId(i as u32));
        ids.storey(j.storey, holder)?;
        for arm in &j.arms {
            ids.run(arm.run, holder)?;
        }
        number("the angle of a junction", j.angle_deg)?;
    }
    for (i, p) in doc.plan.pieces.iter().enumerate() {
        let holder = || piece_name(PieceId(i as u32));
        ids.storey(p.storey, holder)?;
        ids.run(p.run, holder)?;
        for end in &p.ends {
            number("the cut angle of a piece", end.cut_deg)?;
            match end.against {
                Against::Open | Against::SameRun => {}
                Against::Run(r) | Against::Notch(r) | Against::Stud(r) => ids.run(r, holder)?,
            }
        }
        for n in &p.notches {
            ids.run(n.stem, holder)?;
        }
    }
    for t in &doc.plan.ties {
        ids.junction(t.junction, || "a tie".to_owned())?;
        for p in &t.pieces {
            ids.piece(*p, || format!("a tie at {}", junction_name(t.junction)))?;
        }
    }
    for j in &doc.plan.joints {
        ids.run(j.run, || "a joint".to_owned())?;
    }
    for (i, b) in doc.boards.iter().enumerate() {
        for p in &b.cuts {
            ids.piece(*p, || format!("board {}", i + 1))?;
        }
    }
    Ok(())
}

struct Ids<'a> {
    doc: &'a Document,
}

impl Ids<'_> {
    fn storey(&self, id: StoreyId, holder: impl Fn() -> String) -> Result<(), ExportError> {
        in_range(id.0, self.doc.floor.storeys.len(), holder, || storey_id_name(id))
    }
    fn run(&self, id: RunId, holder: impl Fn() -> String) -> Result<(), ExportError> {
        in_range(id.0, self.doc.floor.runs.len(), holder, || run_name(id))
    }
    fn junction(&self, id: JunctionId, holder: impl Fn() -> String) -> Result<(), ExportError> {
        in_range(id.0, self.doc.floor.junctions.len(), holder, || junction_name(id))
    }
    fn piece(&self, id: PieceId, holder: impl Fn() -> String) -> Result<(), ExportError> {
        in_range(id.0, self.doc.plan.pieces.len(), holder, || piece_name(id))
    }
}

fn in_range(
    id: u32,
    len: usize,
    holder: impl Fn() -> String,
    name: impl Fn() -> String,
) -> Result<(), ExportError> {
    if (id as usize) < len { Ok(()) } else { dangling(holder, name()) }
}

fn dangling(holder: impl Fn() -> String, id: String) -> Result<(), ExportError> {
    Err(ExportError::Dangling { holder: holder(), id })
}

fn number(holder: &str, value: f64) -> Result<(), ExportError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(ExportError::NotANumber { holder: holder.to_owned(), value })
    }
}
