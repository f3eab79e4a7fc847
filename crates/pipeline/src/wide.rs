//! Openings so wide that one trimmer and one king stud on either side will not do as a rule.
//!
//! Knows: the openings of a floor. Never touches: plates; loads and headers are nowhere in the program.

use diag::{Finding, codes::plan as codes};
use geom::Length;
use std::collections::BTreeSet;
use wall_model::floor::{Floor, RunId, run_name};

/// Wider ones are told of; common practice, no source.
const WIDE: Length = Length::feet(6);

/// Openings that the finding lists; more are counted.
const LISTED: usize = 12;

/// Tells of a floor's wide openings, all at once.
pub(crate) fn told(floor: &Floor) -> Option<Finding> {
    let mut seen = BTreeSet::new();
    let mut all = Vec::new();
    for run in (0..floor.runs.len() as u32).map(RunId) {
        for (at, wall) in floor.walls_of(run) {
            for o in wall.openings.iter().filter(|o| o.to - o.from > WIDE) {
                let (from, to) = (at + o.from, at + o.to);
                // Drawn twice, it is one.
                if seen.insert((run, from, to)) {
                    all.push((run, from, to, o));
                }
            }
        }
    }
    let (run, from, to, first) = *all.first()?;
    let mut words: Vec<String> = all
        .iter()
        .take(LISTED)
        .map(|(run, from, to, o)| {
            format!("{} of {}, {}", o.kind.name(), run_name(*run), (*to - *from).feet_inches())
        })
        .collect();
    let more = all.len().saturating_sub(LISTED);
    words.extend((more > 0).then(|| format!("{more} more")));
    let message = format!(
        "Wider than {}: {}. One trimmer and one king stud are marked on either side, as for any opening; how many it takes is by the code's tables or the stamped drawings.",
        WIDE.feet_inches(),
        words.join("; ")
    );
    let place = floor.run(run).frame().at((from + to).half(), Length::ZERO);
    let f = Finding::new(codes::WIDE_OPENING, message);
    Some(f.at(place).about(run_name(run)).from(&first.source))
}

#[cfg(test)]
mod tests {
    use super::*;
    use invented_houses::house::drawn;
    use lumber::Section;
    use wall_model::{DraftOpening, DraftStorey, DraftWall, OpeningKind};

    /// A wall 60 ft long with openings from and to in inches.
    fn told_of(openings: &[(OpeningKind, f64, f64)]) -> Option<String> {
        let opening = |(kind, from_in, to_in): &(OpeningKind, f64, f64)| DraftOpening {
            kind: *kind,
            from_in: *from_in,
            to_in: *to_in,
            source: vec![],
        };
        let wall = DraftWall {
            storey: 0,
            start_in: (0.0, 0.0),
            end_in: (720.0, 0.0),
            drawn_thickness_in: 3.5,
            section: Section::S2X4,
            base_in: 0.0,
            top_in: 97.125,
            rise_in: 0.0,
            roof: None,
            exterior: None,
            bearing: None,
            openings: openings.iter().map(opening).collect(),
            source: vec![],
        };
        let storey = DraftStorey { name: "Plan".into(), elevation_in: 0.0 };
        let draft = drawn(vec![storey], vec![wall]);
        let model = draft.finish(settings::Mirror::None).value;
        let floor = wall_graph::build(&model, &settings::Settings::default()).value;
        told(&floor).map(|f| f.message)
    }

    #[test]
    fn openings_over_6_ft_are_told_of_once() {
        let door = OpeningKind::Door;
        assert_eq!(told_of(&[(door, 60.0, 132.0), (OpeningKind::Window, 200.0, 236.0)]), None);
        let garage =
            [(door, 60.0, 252.0), (OpeningKind::Window, 300.0, 372.5), (door, 400.0, 430.0)];
        let message = told_of(&garage).unwrap();
        let list = "Wider than 6'-0\": door of R1, 16'-0\"; window of R1, 6'-0 1/2\". One trimmer";
        assert!(message.starts_with(list), "{message}");
        // The same door drawn twice is one.
        let twice = told_of(&[(door, 60.0, 252.0), (door, 60.0, 252.0)]).unwrap();
        assert_eq!(twice.matches("16'-0\"").count(), 1, "{twice}");
    }
}
