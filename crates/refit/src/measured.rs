//! The list of measured walls, a CSV file with the columns `wall` and `length`.

use crate::Plan;
use diag::{Finding, Refusal, codes::input};
use geom::Length;
use lists::{List, Row};
use std::collections::BTreeMap;

/// A wall as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Measured {
    /// The run, `R3`.
    pub run: String,
    /// Along its lower top plate, end to end.
    pub length: Length,
}

/// Reads the list. Columns by name, in any order: `wall`, the run's id as in the plan; `length`, inches as a
/// number or a text with its unit. Others are left alone, for notes.
///
/// # Errors
/// Every line that cannot be used, with its number: an unknown wall, one measured twice, a length that is none.
pub fn from_csv(bytes: &[u8], file_name: &str, plan: &Plan) -> Result<Vec<Measured>, Refusal> {
    let say = |line: usize, what: String| {
        let message = format!("{file_name}, line {line}: {what}.");
        Finding::new(input::MEASURED_BAD, message).about(file_name)
    };
    let first = |what: String| Refusal::because(say(1, what));
    let text = lists::text(bytes).map_err(first)?.text;
    let list = List::of(&text, &["wall", "length"]).map_err(first)?;
    let column =
        |name: &str| list.column(name).ok_or_else(|| first(format!("there is no column '{name}'")));
    let (wall, length) = (column("wall")?, column("length")?);
    let commas = list.has_decimal_commas();
    let (mut bad, mut seen, mut out) = (Vec::new(), BTreeMap::new(), Vec::new());
    for row in list {
        let Row { line, cells } = match row {
            Ok(row) => row,
            Err(e) => {
                bad.push(say(1, e));
                break;
            }
        };
        let (name, text) =
            (cells.get(wall).unwrap_or_default(), cells.get(length).unwrap_or_default());
        // Whoever has made so many mistakes has another kind of list.
        if bad.len() >= 100 {
            break;
        }
        // A wall nobody got to.
        if text.is_empty() {
            continue;
        }
        let Some(run) = plan.runs.iter().find(|r| r.eq_ignore_ascii_case(name)) else {
            let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
            bad.push(say(line, format!("the plan has no wall '{shown}'; walls are R1, R2 ...")));
            continue;
        };
        if let Some(before) = seen.insert(run.clone(), line) {
            bad.push(say(line, format!("{run} was measured in line {before} already")));
            continue;
        }
        let text = if commas { lists::with_point(text) } else { text.to_owned() };
        let read = match text.parse::<f64>() {
            Ok(inches) => Ok(Length::from_inches(inches)),
            Err(_) => Length::parse(&text).map(Some),
        };
        match read {
            Ok(Some(length)) if length > Length::ZERO && length <= Length::feet(1000) => {
                out.push(Measured { run: run.clone(), length });
            }
            Ok(_) => bad.push(say(line, "a wall is more than 0 and up to 1000 ft long".to_owned())),
            Err(e) => bad.push(say(line, e.to_string())),
        }
    }
    if bad.is_empty() { Ok(out) } else { Err(Refusal { findings: bad }) }
}
