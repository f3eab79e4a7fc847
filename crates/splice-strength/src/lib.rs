//! What the nails of a top plate's splices carry, beside a chord force somebody else has worked out.
//!
//! Advisory arithmetic, never engineering: it compares one number the user gives (the chord force of a
//! floor or roof diaphragm) with the nails the plan puts between two joints, by the yield-limit
//! equations of the NDS. It knows nothing of the loads, the sheathing, wet service, heat, or the
//! plates themselves in tension.
//!
//! Where an upper plate is broken, the lower plate carries the force past the break, so on each side of
//! the break every nail between the two layers counts up to the next joint of the lower plate, and the
//! other way round. The chord is as strong as the weakest of these lengths.

mod yield_limit;

pub use yield_limit::{
    Members, Nail, bearing_strength_psi, bending_yield_psi, design_value_lb, penetration_factor,
    reduction_term,
};

use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::{Against, Joint, JointKind, Layer, Plan, run_name};
use settings::{ChordForce, ChordSettings, Species};
use std::collections::BTreeMap;
use wall_model::floor::{Floor, RunId};

/// Thickness of a plate lying flat, inches (PS 20, dry dressed 2x).
const PLATE_IN: f64 = 1.5;

/// Specific gravity of the species groups of NDS table 12.3.3A.
pub fn specific_gravity(species: Species) -> f64 {
    match species {
        Species::SouthernPine => 0.55,
        Species::DouglasFirLarch => 0.50,
        Species::HemFir => 0.43,
        Species::SprucePineFir => 0.42,
    }
}

/// The chord force, pounds: as given, or of a simply supported diaphragm under an even load, `w L² / 8 b`.
pub fn chord_force_lb(force: ChordForce) -> f64 {
    match force {
        ChordForce::Pounds(lb) => lb,
        ChordForce::Diaphragm { load_plf, span_ft, depth_ft } => {
            load_plf * span_ft * span_ft / (8.0 * depth_ft)
        }
    }
}

/// What one splice asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Chord force, pounds.
    pub force_lb: f64,
    /// Reference value of one nail, pounds, before any factor.
    pub reference_lb: f64,
    /// Mode that governs, as the NDS names it.
    pub mode: &'static str,
    /// Factor for short penetration, at most 1.
    pub penetration: f64,
    /// What one nail carries with all factors, pounds.
    pub nail_lb: f64,
    /// Nails on each side of a joint.
    pub nails: u64,
}

/// Nails needed on each side of a joint, or why there is no answer.
///
/// # Errors
/// When the nail's name gives no size, or the nail is too short for the two plates.
pub fn demand(chord: &ChordSettings, nail_name: &str) -> Result<Demand, String> {
    let nail = nail_size(nail_name)
        .ok_or_else(|| format!("the nail \"{nail_name}\" names no size such as (3-1/2 x 0.162)"))?;
    let in_main = (nail.length_in - PLATE_IN).min(PLATE_IN);
    let penetration = penetration_factor(in_main, nail.diameter_in).ok_or_else(|| {
        format!(
            "{nail_name} reaches {in_main:.2} in into the plate below, less than six diameters ({:.2} in)",
            6.0 * nail.diameter_in
        )
    })?;
    let gravity = specific_gravity(chord.species);
    // As the table has it, for ten diameters in the main member; the factor above takes off the rest.
    let members = Members {
        side_in: PLATE_IN,
        main_in: 10.0 * nail.diameter_in,
        side_gravity: gravity,
        main_gravity: gravity,
    };
    let (reference_lb, mode) = design_value_lb(nail, members)
        .ok_or_else(|| format!("{nail_name} is outside the yield-limit equations for nails"))?;
    let nail_lb = reference_lb * chord.duration * penetration;
    let force_lb = chord_force_lb(chord.force);
    let nails = (force_lb / nail_lb - 1e-9).ceil().max(0.0) as u64;
    Ok(Demand { force_lb, reference_lb, mode, penetration, nail_lb, nails })
}

/// The size in a nail's name: `16d common (3-1/2 x 0.162)` is 3.5 in long and 0.162 in thick.
pub fn nail_size(name: &str) -> Option<Nail> {
    let (_, rest) = name.rsplit_once('(')?;
    let (length, diameter) = rest.trim_end_matches(')').split_once(" x ")?;
    Some(Nail {
        diameter_in: diameter.trim().parse().ok()?,
        length_in: Length::parse(&format!("{}\"", length.trim())).ok()?.to_inches(),
    })
}

/// A stretch of a run between neighbouring joints of the two layers, and the nails the plan has there.
#[derive(Clone, Debug, PartialEq)]
pub struct Splice {
    /// The run.
    pub run: RunId,
    /// From one joint.
    pub from: Length,
    /// To the next joint, of the other layer.
    pub to: Length,
    /// Nails between the two layers in between.
    pub nails: u64,
    /// The nail most used there, as the plan names it.
    pub nail: String,
}

/// Every splice of the plan: joints of one layer next to a joint of the other, along each run. The ends
/// of a run are not splices; what ties them is each junction's own matter. Only where its upper plate runs on over the wall in
/// line both layers have a joint there.
pub fn splices(plan: &Plan) -> Vec<Splice> {
    let goes_on = ends_that_go_on(plan);
    let is_joint = |j: &&Joint| {
        let at_end = || goes_on.iter().any(|(run, ends)| *run == j.run && ends.contains(&j.at));
        j.layer != Layer::Bottom && (j.kind != JointKind::End || at_end())
    };
    let mut joints: Vec<(RunId, Length, Layer)> =
        plan.joints.iter().filter(is_joint).map(|j| (j.run, j.at, j.layer)).collect();
    joints.sort();
    let pairs = joints.windows(2).filter(|p| p[0].0 == p[1].0 && p[0].2 != p[1].2);
    pairs
        .map(|p| {
            let (run, from, to) = (p[0].0, p[0].1, p[1].1);
            let spots = plan
                .pieces
                .iter()
                .filter(|piece| piece.run == run && piece.layer == Layer::Upper)
                .flat_map(|piece| {
                    let in_plan = |at: Length| piece.rake.map_or(at, |rake| rake.slope.level(at));
                    piece.nails.iter().map(move |n| (piece.from + in_plan(n.at), n))
                })
                .filter(|(at, _)| *at > from && *at < to);
            let (mut nails, mut nail) = (0, String::new());
            for (_, n) in spots {
                nails += u64::from(n.count);
                nail.clone_from(&n.nail);
            }
            Splice { run, from, to, nails, nail }
        })
        .collect()
}

/// Ends of runs whose upper plate runs on over the wall in line: where the lower and where the upper plate ends.
fn ends_that_go_on(plan: &Plan) -> Vec<(RunId, [Length; 2])> {
    // From where to where the lower plates of each run reach.
    let mut lower: BTreeMap<RunId, [Length; 2]> = BTreeMap::new();
    for p in plan.pieces.iter().filter(|p| p.layer == Layer::Lower) {
        let reach = lower.entry(p.run).or_insert([p.from, p.to]);
        *reach = [reach[0].min(p.from), reach[1].max(p.to)];
    }
    let mut out = Vec::new();
    for upper in plan.pieces.iter().filter(|p| p.layer == Layer::Upper) {
        let Some([first, last]) = lower.get(&upper.run).copied() else { continue };
        let goes_on = |end: usize| upper.ends[end].against == Against::SameRun;
        if goes_on(0) && upper.from < first {
            out.push((upper.run, [first, upper.from]));
        }
        if goes_on(1) && upper.to > last {
            out.push((upper.run, [last, upper.to]));
        }
    }
    out
}

/// One finding on the plan's weakest splice beside the chord force of the settings; none without one.
pub fn advise(floor: &Floor, plan: &Plan, chord: Option<&ChordSettings>) -> Vec<Finding> {
    let Some(chord) = chord else { return Vec::new() };
    let all = splices(plan);
    let weakest = all.iter().min_by_key(|s| (s.nails, s.run, s.from));
    let Some(weakest) = weakest else {
        let text = format!(
            "Advisory: chord force {:.0} lb; no wall has joints in both top layers, so there is no splice to compare it with.",
            chord_force_lb(chord.force)
        );
        return vec![Finding::new(codes::CHORD_SPLICE, text)];
    };
    let name = chord.nail.as_deref().unwrap_or(&weakest.nail);
    let place = floor.run(weakest.run).frame().at((weakest.from + weakest.to).half(), Length::ZERO);
    let d = match demand(chord, name) {
        Ok(d) => d,
        Err(why) => {
            let text = format!("Advisory: no value for the splices: {why}.");
            return vec![Finding::new(codes::CHORD_SPLICE_SHORT, text).at(place)];
        }
    };
    let text = format!(
        "Advisory, not engineering: chord force {:.0} lb. One {name} in {} carries {:.0} lb (reference {:.1} lb, mode {}; duration factor {}, penetration factor {:.3}), so a splice wants {} nails on each side of a joint. The weakest of {} splices, on {} between {} and {} from its start, has {}.",
        d.force_lb,
        chord.species.name(),
        d.nail_lb,
        d.reference_lb,
        d.mode,
        chord.duration,
        d.penetration,
        d.nails,
        all.len(),
        run_name(weakest.run),
        weakest.from.feet_inches(),
        weakest.to.feet_inches(),
        weakest.nails,
    );
    let code =
        if weakest.nails >= d.nails { codes::CHORD_SPLICE } else { codes::CHORD_SPLICE_SHORT };
    vec![Finding::new(code, text).at(place).about(run_name(weakest.run))]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(force: ChordForce) -> ChordSettings {
        ChordSettings { force, species: Species::SprucePineFir, duration: 1.6, nail: None }
    }

    const WORKED: ChordForce =
        ChordForce::Diaphragm { load_plf: 200.0, span_ft: 40.0, depth_ft: 28.0 };

    /// By hand: 200 x 40² / (8 x 28) = 1428.6 lb. A 16d common nail in two flat 2x plates of
    /// spruce-pine-fir: 119.6 lb x 0.926 (1.5 / 1.62) x 1.6 = 177 lb, so nine; a 16d box nail (0.135)
    /// has its ten diameters and carries 1.6 times its table value.
    #[test]
    fn nails_for_a_chord_by_hand() {
        assert!((chord_force_lb(WORKED) - 1428.57).abs() < 0.01);
        let common =
            demand(&chord(WORKED), "16d common (3-1/2 x 0.162)").unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(common.nails, 9);
        assert!((common.penetration - 0.926).abs() < 5e-4);
        assert!((common.reference_lb * common.penetration - 110.7).abs() < 0.1);
        let boxed =
            demand(&chord(WORKED), "16d box (3-1/2 x 0.135)").unwrap_or_else(|e| panic!("{e}"));
        assert_eq!((boxed.nails, boxed.penetration), (11, 1.0));
    }

    /// 1026 lb at 163.2 lb a nail (hem-fir, 10d common, 1.6): 6.3, so seven.
    #[test]
    fn part_of_a_nail_is_a_nail() {
        let c = ChordSettings { species: Species::HemFir, ..chord(ChordForce::Pounds(1026.0)) };
        let d = demand(&c, "10d common (3 x 0.148)").unwrap_or_else(|e| panic!("{e}"));
        assert!((d.nail_lb - 163.2).abs() < 0.5, "{}", d.nail_lb);
        assert_eq!(d.nails, 7);
    }

    #[test]
    fn nails_without_a_size_or_too_short_are_refused() {
        assert!(demand(&chord(WORKED), "some nail").is_err());
        assert!(demand(&chord(WORKED), "8d box (2 x 0.113)").is_err());
        assert_eq!(nail_size("16d common (3-1/2 x 0.162)").map(|n| n.length_in), Some(3.5));
        assert_eq!(nail_size("x (3-1/0 x 0.162)"), None);
    }
}
