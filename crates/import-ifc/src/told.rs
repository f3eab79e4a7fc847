//! What is told of the file as a whole: damage, values that are none, why there are no walls.

use crate::file::File;
use crate::relations::Relations;
use crate::report::Report;
use diag::codes::{ifc, input};
use diag::words::{counted, is};
use diag::{Code, Finding, Ledger, Refusal};

/// Findings about the text of the file.
pub fn report_damage(file: &File<'_>, report: &mut Report) {
    let damage = &file.scan().damage;
    if damage.truncated {
        let message = format!(
            "END-ISO-10303-21 is missing; {} entities were read before the end.",
            file.scan().index.len()
        );
        report.plain(Finding::new(input::FILE_TRUNCATED, message));
    }
    let mut what = Vec::new();
    if damage.malformed > 0 {
        let places = damage.places.join(", ");
        let n = damage.malformed;
        let first = if n == 1 { "" } else { "first: " };
        what.push(format!(
            "{} {} not well formed ({first}{places})",
            counted(n, "statement"),
            is(n)
        ));
    }
    if !damage.doubles.is_empty() {
        let first: Vec<String> = damage.doubles.iter().take(5).map(|id| format!("#{id}")).collect();
        let n = damage.doubles.len();
        what.push(format!(
            "{} {} defined twice and the first definition was taken ({})",
            counted(n, "entity number"),
            is(n),
            first.join(", ")
        ));
    }
    if damage.open_comment {
        what.push("a comment is opened and never closed".to_owned());
    }
    for w in what {
        report.plain(Finding::new(input::REPAIRED, format!("{w}.")));
    }
}

/// Findings about values that are not what they must be, in the entities that were followed.
pub fn report_values(file: &File<'_>, report: &mut Report) {
    let texts = file.odd_texts();
    if let Some(message) = first_few("Text not written as ISO 10303-21 has it: ", &texts) {
        report.plain(Finding::new(ifc::TEXT_BAD, format!("{message}.")));
    }
    let odd = file.odd();
    if let Some(message) = first_few("Missing or not what it must be: ", &odd) {
        let message = format!("{message}. What depends on it was left out or taken as not given.");
        report.plain(Finding::new(ifc::ENTITY_BROKEN, message));
    }
}

/// A finding about relations to entities that are not in the file.
pub fn report_broken(relations: &Relations, report: &mut Report) {
    if !relations.broken.is_empty() {
        let first: Vec<&str> = relations.broken.iter().take(5).map(String::as_str).collect();
        let n = relations.broken.len();
        let message = format!(
            "{} {} to entities that are not in the file: {}.",
            counted(n, "relation"),
            if n == 1 { "refers" } else { "refer" },
            first.join(", ")
        );
        report.plain(Finding::new(ifc::ENTITY_BROKEN, message));
    }
}

/// The first few of many, and how many more; nothing of none.
fn first_few(before: &str, all: &[String]) -> Option<String> {
    let first = all.get(..all.len().min(5)).filter(|few| !few.is_empty())?;
    let more = match all.len() - first.len() {
        0 => String::new(),
        n => format!("; and {n} more"),
    };
    Some(format!("{before}{}{more}", first.join("; ")))
}

/// The refusal for a file without a usable wall. What cost the walls comes first, since that is what can be mended;
/// everything else there is to say comes behind.
pub fn no_walls(
    file: &File<'_>,
    ledger: &Ledger,
    walls_in_file: usize,
    findings: Vec<Finding>,
) -> Refusal {
    const FIRST: [Code; 9] = [
        input::FILE_TRUNCATED,
        input::SECTION_UNKNOWN,
        ifc::NOT_WOOD,
        ifc::LAYER_TIE,
        ifc::WALL_SHAPE,
        ifc::WALL_CURVED,
        ifc::WALL_NOT_NEW,
        input::COORDINATE_BAD,
        input::UNITS_UNLIKELY,
    ];
    let mut reasons: Vec<(u64, String)> =
        ledger.ignored().map(|(r, i)| (i.count, r.to_owned())).collect();
    reasons.sort_by(|a, b| (std::cmp::Reverse(a.0), &a.1).cmp(&(std::cmp::Reverse(b.0), &b.1)));
    let top: Vec<String> = reasons.iter().take(6).map(|(n, r)| format!("{n} {r}")).collect();
    let counted =
        if top.is_empty() { String::new() } else { format!(" Counted: {}.", top.join("; ")) };
    let (mut first, rest): (Vec<Finding>, Vec<Finding>) =
        findings.into_iter().partition(|f| FIRST.contains(&f.code));
    first.sort_by_key(|f| FIRST.iter().position(|c| *c == f.code));
    let told = if first.is_empty() { "" } else { " The findings above say why and what to do." };
    let message = match walls_in_file {
        0 => {
            format!("The file has no IfcWall among {} entities.{counted}", file.scan().index.len())
        }
        1 => format!("The one wall in the file could not be used.{told}{counted}"),
        n => format!("None of the {n} walls in the file could be used.{told}{counted}"),
    };
    first.push(Finding::new(input::NO_WALLS, message));
    first.extend(rest);
    Refusal { findings: first }
}
