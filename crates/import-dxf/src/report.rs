//! What there is to say about a drawing's walls, doors and windows.
//!
//! Knows: how findings are worded, grouped and placed. Never touches: how walls are made; the order of
//! entities in the file does not show in what is said.

use crate::affine::Xy;
use crate::survey::{Survey, plural};
use crate::walls::has_wall_linework;
use diag::codes::{dxf, input};
use diag::{Finding, Refusal, Severity};
use geom::{Length, Point};
use settings::Mirror;

/// Entities of one kind that get a finding each; the rest of them share one.
pub(crate) const NAMED: usize = 20;

/// A finding whose place is still in inches of the drawing.
pub(crate) struct Placed {
    /// The finding.
    pub finding: Finding,
    /// Its place.
    pub at_in: Option<Xy>,
}

impl From<Finding> for Placed {
    fn from(finding: Finding) -> Placed {
        Placed { finding, at_in: None }
    }
}

/// The first of all findings of one kind by their keys and words, and what `rest` says of how many more there are.
pub(crate) fn first_of_all<K: Ord>(
    mut found: Vec<(K, Placed)>,
    rest: impl FnOnce(usize, &[Placed]) -> Finding,
) -> Vec<Placed> {
    found.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.finding.message.cmp(&b.1.finding.message)));
    let more = found.len().saturating_sub(NAMED);
    let mut out: Vec<Placed> = found.into_iter().take(NAMED).map(|f| f.1).collect();
    if more > 0 {
        let rest = rest(more, &out);
        out.push(rest.into());
    }
    out
}

/// The finding with its place in the plan's own frame.
pub(crate) fn place(p: Placed, origin: (f64, f64), mirror: Mirror) -> Finding {
    let at = p.at_in.and_then(|[x, y]| {
        let (x, y) = mirror.point((x, y));
        Some(Point::new(Length::from_inches(x - origin.0)?, Length::from_inches(y - origin.1)?))
    });
    Finding { at: p.finding.at.or(at), ..p.finding }
}

/// No model: every reason there is, most telling first.
pub(crate) fn refuse(s: &Survey<'_>, first: Option<Finding>) -> Refusal {
    let mut all = Vec::new();
    let walls = has_wall_linework(s) || s.unnamed.is_some();
    let (of_file, rest): (Vec<Finding>, Vec<Finding>) =
        s.file_findings().into_iter().partition(|f| f.severity == Severity::Error);
    if walls {
        all.extend(first);
        all.extend(of_file);
    } else {
        all.extend(of_file);
        all.push(no_walls(s));
        // The unit will be asked for as soon as there are walls: better to know both at once.
        all.extend(first.or_else(|| s.units.refusal.clone()));
    }
    // Damage, missing blocks and names that cannot be read may be why there are no walls.
    let tells = [input::REPAIRED, dxf::MISSING_BLOCK, dxf::CODE_PAGE];
    all.extend(rest.into_iter().filter(|f| tells.contains(&f.code)));
    Refusal { findings: all }
}

/// The finding that no layer gives walls, with the layers there are.
pub(crate) fn no_walls(s: &Survey<'_>) -> Finding {
    let summaries = crate::inspect::layer_summaries(s);
    let walls: Vec<&str> =
        summaries.iter().filter(|l| l.used_as == "wall").map(|l| l.name.as_str()).collect();
    let by_shape = match s.drawing.lines.segments.len() > crate::candidates::MOST_LINES {
        true => "there are too many lines to look for walls by their shape",
        false => "no lines were found that have the shape of a network of walls",
    };
    let drawn_on = summaries.iter().any(|l| l.used_as == "wall" && l.entities() > 0);
    let mut message = if walls.is_empty() {
        format!("No layer is recognised as holding walls, and {by_shape}.")
    } else if !drawn_on {
        format!(
            "Nothing is drawn on the wall {} {}, and {by_shape}.",
            plural(walls.len() as u64, "layer"),
            walls.join(", ")
        )
    } else {
        let what: Vec<String> = s
            .drawing
            .layers
            .iter()
            .filter(|l| walls.contains(&l.name.as_str()) && (l.off || l.frozen))
            .map(|l| format!("{} is {}", l.name, if l.frozen { "frozen" } else { "off" }))
            .collect();
        let hidden =
            if what.is_empty() { String::new() } else { format!(" ({})", what.join(", ")) };
        format!(
            "The wall {} {} {} no lines that can be read{hidden}.",
            plural(walls.len() as u64, "layer"),
            walls.join(", "),
            if walls.len() == 1 { "has" } else { "have" }
        )
    };
    let mut with_lines: Vec<_> = summaries.iter().filter(|l| l.entities() > 0).collect();
    with_lines.sort_by(|a, b| {
        b.walls_score
            .cmp(&a.walls_score)
            .then(b.entities().cmp(&a.entities()))
            .then(a.name.cmp(&b.name))
    });
    if with_lines.is_empty() {
        message += " Model space has no entities.";
        if s.drawing.lines.others.keys().any(|k| k.2 == crate::linework::State::Paper) {
            message +=
                " There are some in paper space, which is not read: plans belong in model space.";
        }
    } else {
        let list: Vec<String> = with_lines
            .iter()
            .take(12)
            .map(|l| format!("{} ({})", l.name, l.counts_text(2)))
            .collect();
        let more = with_lines.len().saturating_sub(12);
        message += &format!(
            " Layers with entities: {}{}.",
            list.join(", "),
            if more > 0 { format!(" and {more} more") } else { String::new() }
        );
    }
    let excluded: Vec<String> = s
        .drawing
        .layers
        .iter()
        .zip(&s.roles)
        .filter(|(_, r)| r.excluded_wall)
        .map(|(l, r)| format!("{} ({})", l.name, r.rule))
        .collect();
    if !excluded.is_empty() {
        message += &format!(" Left out by name: {}.", excluded.join(", "));
    }
    // What has a wall's name and lines is meant sooner than what only looks like walls.
    let left_out = crate::inspect::left_out_walls(s, &summaries);
    let likely = crate::inspect::likely_walls(&summaries);
    match (left_out.as_slice(), likely.first()) {
        ([], Some(best)) => {
            message += &format!(
                " Did you mean {0}? Then put [[layers]] match = {1}, use = \"wall\" in the settings.",
                best.name,
                crate::inspect::toml_string(&best.name)
            );
        }
        ([], None) => {}
        (some, _) => {
            let lines: Vec<String> = some
                .iter()
                .take(3)
                .map(|l| {
                    let name = crate::inspect::toml_string(&l.name);
                    format!("[[layers]] match = {name}, use = \"wall\"")
                })
                .collect();
            message += &format!(
                " If the walls of {} are to be framed after all, put this in the settings: {}.",
                match some {
                    [one] => one.name.as_str(),
                    _ => "one of these",
                },
                lines.join("; or ")
            );
        }
    }
    Finding::new(input::NO_WALLS, message).about("layers")
}

pub(crate) fn entities(n: u64) -> &'static str {
    if n == 1 { "entity" } else { "entities" }
}
