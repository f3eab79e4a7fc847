//! Walls that cross a wall: their plates pass through, the plates of the crossed wall stop at the one face
//! and begin again at the other.

use export::view::View;
use geom::Length;
use plan_model::{Against, Piece, run_name};
use wall_model::floor::RunId;

/// Where a wall's lower plates are broken by another wall's, stations on the run.
pub(crate) struct Across {
    /// Where they stop and where they begin again; of an oblique cut the long points.
    pub stop: Length,
    pub begin: Length,
    /// The walls that pass: `R3`.
    pub name: String,
    /// Whether they pass square to this one.
    pub is_square: bool,
}

/// The breaks between these pieces of one run and one layer.
pub(crate) fn across(view: &View, run: RunId, mut pieces: Vec<&Piece>) -> Vec<Across> {
    pieces.sort_by_key(|p| (p.from, p.to));
    let broken = |pair: &[&Piece]| -> Option<Across> {
        let [before, after] = pair else { return None };
        let [end, start] = [before.ends[1].against, after.ends[0].against];
        if end == Against::SameRun || start == Against::SameRun {
            return None;
        }
        let (stop, begin) = (before.to, after.from);
        let middle = stop + (begin - stop).half();
        let through = view.doc.floor.run(run).through.iter();
        let nearest = through.min_by_key(|(s, _)| (*s - middle).abs())?;
        let arms = &view.doc.floor.junction(nearest.1).arms;
        let mut others: Vec<RunId> = arms.iter().map(|a| a.run).filter(|r| *r != run).collect();
        others.sort_unstable();
        others.dedup();
        let square = |r: &RunId| view.frame(run).angle_to(view.frame(*r)).cos().abs() < 0.002;
        let is_square = others.iter().all(square);
        let names: Vec<String> = others.into_iter().map(run_name).collect();
        Some(Across { stop, begin, name: names.join(" "), is_square })
    };
    pieces.windows(2).filter_map(broken).collect()
}
