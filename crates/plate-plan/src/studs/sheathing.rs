//! Edges of the sheathing that the layout's studs were to carry, and that have none under them.
//!
//! A king, trimmer or end stud that stands near takes the place of the layout's own stud. Sheets go by the layout all the
//! same, and begin where it does.

use super::{Studs, built, regular};
use crate::meet::RunShape;
use diag::{Finding, codes::plan as codes};
use geom::Length;
use plan_model::run_name;
use settings::Settings;
use wall_model::floor::{Floor, RunId};

/// Sheets are this wide, and twice as long.
const SHEET: Length = Length::feet(4);

/// An edge needs this much of a stud under it (common practice, no source).
const BEARING: Length = Length::sixteenths(6);

/// Places that a finding lists; more are counted.
const LISTED: usize = 6;

/// Tells of a run's sheet edges that lie beside the stud that stands in for the layout's.
pub(crate) fn report(
    floor: &Floor,
    run: RunId,
    shape: &RunShape,
    studs: &Studs,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) {
    let r = floor.run(run);
    let off = off_studs(floor, run, shape, studs, settings);
    let Some(first) = off.first() else { return };
    let mut places: Vec<String> = off
        .iter()
        .take(LISTED)
        .map(|(at, stud)| {
            let [at, stud] = [*at, *stud].map(|x| (x - studs.ends[0]).feet_inches());
            format!("{at} from its plates' start, where the stud's middle is at {stud}")
        })
        .collect();
    let more = off.len().saturating_sub(LISTED);
    places.extend((more > 0).then(|| format!("{more} more")));
    let text = format!(
        "{}: a stud beside an opening or at an end stands in for the layout's, and does not reach under the sheathing's edge {}. Pack it out.",
        run_name(run),
        places.join("; ")
    );
    let place = r.frame().at(first.0, Length::ZERO);
    findings.push(Finding::new(codes::SHEET_EDGE_OFF_STUD, text).at(place).about(run_name(run)));
}

/// The places, each with the middle of the stud that stands in.
fn off_studs(
    floor: &Floor,
    run: RunId,
    shape: &RunShape,
    studs: &Studs,
    settings: &Settings,
) -> Vec<(Length, Length)> {
    let Studs { centres, openings, half, ends, .. } = studs;
    let (half, spacing) = (*half, settings.studs.spacing);
    let exterior: Vec<(Length, Length)> = floor
        .walls_of(run)
        .filter(|(_, w)| w.exterior)
        .map(|(at, w)| (at, at + w.start.distance(w.end)))
        .collect();
    if exterior.is_empty() || spacing <= Length::ZERO {
        return Vec::new();
    }
    let holds = |all: &[(Length, Length)], at: Length, inside: Length| {
        all.iter().any(|(a, b)| at >= *a + inside && at <= *b - inside)
    };
    let built = built(shape, floor.run(run).length());
    let (origin, places) = regular(floor, run, *ends, spacing);
    let mut out = Vec::new();
    for at in places {
        let is_edge = (at - origin).nm() % SHEET.nm() == 0;
        // In an opening the sheet is cut out or lies on the header.
        if is_edge
            && holds(&exterior, at, Length::ZERO)
            && holds(&built, at, half)
            && !holds(openings, at, Length::ZERO)
        {
            let near = centres.iter().min_by_key(|c| (**c - at).abs()).copied();
            let off = near.filter(|c| (*c - at).abs() > half - BEARING);
            // Farther off none stands in for it: nothing but the wall's shape keeps a stud away there.
            out.extend(off.filter(|c| (*c - at).abs() < half * 2).map(|c| (at, c)));
        }
    }
    out
}
