//! The wall graph, and what the plan does at its junctions and along its runs.

use crate::table::{Rows, Table};
use diag::Finding;
use diag::codes::graph::NEAR_MISS;
use geom::Length;
use plan_model::{Plan, piece_name, storey_id_name, wall_name};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use std::collections::BTreeMap;
use wall_model::floor::{Arm, Floor, JunctionId, RunId, junction_name, run_name};

/// `GraphSummary`: what there is, counted. Near misses are told by the findings.
pub fn summary<'py>(
    py: Python<'py>,
    floor: &Floor,
    findings: &[Finding],
) -> PyResult<Bound<'py, PyDict>> {
    let mut by_kind: BTreeMap<&str, usize> = BTreeMap::new();
    for junction in &floor.junctions {
        *by_kind.entry(junction.kind.name()).or_default() += 1;
    }
    let length: Length = floor.walls.iter().map(|w| w.start.distance(w.end)).sum();
    let dict = PyDict::new(py);
    dict.set_item("storeys", floor.storeys.len())?;
    dict.set_item("walls", floor.walls.len())?;
    dict.set_item("runs", floor.runs.len())?;
    dict.set_item("junctions", floor.junctions.len())?;
    dict.set_item("junctions_by_kind", by_kind)?;
    dict.set_item("near_misses", findings.iter().filter(|f| f.code == NEAR_MISS).count())?;
    dict.set_item("wall_length_nm", length.nm())?;
    dict.set_item("wall_length_in", length.to_inches())?;
    dict.set_item("wall_length_text", length.feet_inches().to_string())?;
    Ok(dict)
}

/// `RunRow`.
pub fn runs(floor: &Floor) -> Table {
    Rows::of(floor.runs.iter().enumerate())
        .text("run", |(i, _)| run_name(RunId(*i as u32)))
        .text("storey", |(_, r)| storey_id_name(r.storey))
        .point("start", |(_, r)| r.start)
        .point("end", |(_, r)| r.end)
        .length("length", |(_, r)| r.length())
        .text("length_text", |(_, r)| r.length().feet_inches().to_string())
        .text("section", |(_, r)| r.section.name().to_owned())
        .length("width", |(_, r)| r.section.width())
        .length("base", |(_, r)| r.base)
        .length("top", |(_, r)| r.top)
        .length("rise", |(_, r)| r.rise)
        .texts("walls", |(_, r)| r.walls.iter().map(|w| wall_name(*w as usize)).collect())
        .text("start_junction", |(_, r)| junction_name(r.start_junction))
        .text("end_junction", |(_, r)| junction_name(r.end_junction))
        .table()
}

/// `JunctionRow`.
pub fn junctions(floor: &Floor) -> Table {
    Rows::of(floor.junctions.iter().enumerate())
        .text("junction", |(i, _)| junction_name(JunctionId(*i as u32)))
        .text("storey", |(_, j)| storey_id_name(j.storey))
        .point("at", |(_, j)| j.at)
        .text("kind", |(_, j)| j.kind.name().to_owned())
        .texts("runs", |(_, j)| j.arms.iter().map(|a| run_name(a.run)).collect())
        .decimal("angle_deg", |(_, j)| j.angle_deg)
        .length("step", |(_, j)| j.step)
        .table()
}

/// `ArmRow`.
pub fn arms(floor: &Floor) -> Table {
    let arms = floor.junctions.iter().enumerate();
    let arms = arms.flat_map(|(i, j)| j.arms.iter().map(move |a| (JunctionId(i as u32), *a)));
    Rows::of(arms)
        .text("junction", |(j, _): &(JunctionId, Arm)| junction_name(*j))
        .text("run", |(_, a)| run_name(a.run))
        .text("at", |(_, a)| a.at.name().to_owned())
        .table()
}

/// `TieRow`.
pub fn ties(plan: &Plan) -> Table {
    Rows::of(&plan.ties)
        .text("junction", |t| junction_name(t.junction))
        .text("kind", |t| t.kind.name().to_owned())
        .texts("pieces", |t| t.pieces.iter().map(|p| piece_name(*p)).collect())
        .length("overlap", |t| t.overlap)
        .text("hardware", |t| t.hardware.clone())
        .table()
}

/// `JointRow`.
pub fn joints(plan: &Plan) -> Table {
    Rows::of(&plan.joints)
        .text("run", |j| run_name(j.run))
        .text("layer", |j| j.layer.name().to_owned())
        .text("kind", |j| j.kind.name().to_owned())
        .length("at", |j| j.at)
        .length("half_gap", |j| j.half_gap)
        .truth("on_stud", |j| j.on_stud)
        .length_or_none("offset", |j| j.offset)
        .table()
}
