//! The list of measured walls, a CSV file with the columns `wall` and `length`.

use crate::Plan;
use diag::{Finding, Refusal, codes::input, line_at};
use geom::Length;
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
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let say = |line: usize, what: String| {
        let message = format!("{file_name}, line {line}: {what}.");
        Finding::new(input::MEASURED_BAD, message).about(file_name)
    };
    let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let header = csv.headers().map_err(|e| Refusal::because(say(1, e.to_string())))?.clone();
    let column = |name: &str| {
        let found = header.iter().position(|h| h.eq_ignore_ascii_case(name));
        found.ok_or_else(|| Refusal::because(say(1, format!("there is no column '{name}'"))))
    };
    let (wall, length) = (column("wall")?, column("length")?);
    let (mut bad, mut seen, mut out) = (Vec::new(), BTreeMap::new(), Vec::new());
    for (nth, record) in csv.records().enumerate() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                bad.push(say(nth + 2, e.to_string()));
                break;
            }
        };
        let line = || record.position().map_or(nth + 2, |p| line_at(bytes, p.byte() as usize));
        let (name, text) = (record.get(wall).unwrap_or(""), record.get(length).unwrap_or(""));
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
            bad.push(say(line(), format!("the plan has no wall '{shown}'; walls are R1, R2 ...")));
            continue;
        };
        let at = record.position().map_or(0, |p| p.byte() as usize);
        if let Some(before) = seen.insert(run.clone(), at) {
            let before = line_at(bytes, before);
            bad.push(say(line(), format!("{run} was measured in line {before} already")));
            continue;
        }
        let read = match text.parse::<f64>() {
            Ok(inches) => Ok(Length::from_inches(inches)),
            Err(_) => Length::parse(text).map(Some),
        };
        match read {
            Ok(Some(length)) if length > Length::ZERO && length <= Length::feet(1000) => {
                out.push(Measured { run: run.clone(), length });
            }
            Ok(_) => {
                bad.push(say(line(), "a wall is more than 0 and up to 1000 ft long".to_owned()))
            }
            Err(e) => bad.push(say(line(), e.to_string())),
        }
    }
    if bad.is_empty() { Ok(out) } else { Err(Refusal { findings: bad }) }
}
