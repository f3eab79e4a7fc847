//! The list of boards there are already, as a CSV file.
//!
//! Columns by name, in any order: `section` (`2x4`), `length` (inches as a number, or a text with its
//! unit such as `7'-6 1/2"` or `2286mm`) and if wanted `quantity` (1), `grade` (`treated` or nothing)
//! and `label`. What a plan leaves over is written in the same form, so that one plan's leftovers are
//! the next one's boards on hand.

use crate::OnHandBoard;
use crate::parse::no_section;
use diag::{Finding, Refusal, codes::input, line_at};
use geom::Length;
use lumber::Section;

/// The columns.
pub const COLUMNS: [&str; 5] = ["section", "length", "quantity", "grade", "label"];
/// More boards than this are no list of leftovers.
const MOST: usize = 100_000;
/// Mistakes that are told.
const MOST_MISTAKES: usize = 100;
const LONGEST: Length = Length::feet(100);

/// Reads a list; one entry a board, sorted.
///
/// # Errors
/// Every line that cannot be used, with its number.
pub fn from_csv(bytes: &[u8], file_name: &str) -> Result<Vec<OnHandBoard>, Refusal> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let say = |line: usize, what: String| {
        let message = format!("{file_name}, line {line}: {what}.");
        Finding::new(input::ON_HAND_BAD, message).about(file_name)
    };
    let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let header = csv.headers().map_err(|e| Refusal::because(say(1, e.to_string())))?.clone();
    let column = |name: &str| header.iter().position(|h| h.eq_ignore_ascii_case(name));
    let mut bad: Vec<Finding> = Vec::new();
    for name in header.iter().filter(|h| !COLUMNS.iter().any(|c| c.eq_ignore_ascii_case(h))) {
        let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
        bad.push(say(1, format!("unknown column '{shown}'; known are {}", COLUMNS.join(", "))));
    }
    for name in ["section", "length"] {
        if column(name).is_none() {
            bad.push(say(1, format!("there is no column '{name}'")));
        }
    }
    if !bad.is_empty() {
        return Err(Refusal { findings: bad });
    }
    let columns = COLUMNS.map(column);
    let mut boards = Vec::new();
    for (nth, record) in csv.records().enumerate() {
        let record = match record {
            Ok(record) => record,
            Err(e) => {
                bad.push(say(nth + 2, e.to_string()));
                break;
            }
        };
        let line = || record.position().map_or(nth + 2, |p| line_at(bytes, p.byte() as usize));
        if record.iter().all(str::is_empty) {
            continue;
        }
        // Whoever has made so many mistakes has another kind of list.
        if bad.len() >= MOST_MISTAKES {
            break;
        }
        let cell = |i: usize| columns[i].and_then(|c| record.get(c)).unwrap_or("");
        match board([cell(0), cell(1), cell(2), cell(3), cell(4)]) {
            Ok((_, n)) if boards.len() + n > MOST => {
                bad.push(say(line(), format!("more than {MOST} boards")));
                break;
            }
            Ok((board, n)) => boards.extend(std::iter::repeat_n(board, n)),
            Err(what) => bad.push(say(line(), what)),
        }
    }
    boards.sort();
    if bad.is_empty() { Ok(boards) } else { Err(Refusal { findings: bad }) }
}

/// A row's board and how many there are of it.
fn board(
    [section, length, quantity, grade, label]: [&str; 5],
) -> Result<(OnHandBoard, usize), String> {
    let section = Section::from_name(section).ok_or_else(|| no_section(section))?;
    let length = match length.parse::<f64>() {
        Ok(inches) => Length::from_inches(inches),
        Err(_) => Some(Length::parse(length).map_err(|e| e.to_string())?),
    };
    let length = length.filter(|l| *l > Length::ZERO && *l <= LONGEST).ok_or_else(|| {
        format!("a board's length is more than 0 and up to {} ft", LONGEST.to_inches() / 12.0)
    })?;
    let quantity = match quantity {
        "" => 1,
        n => n.parse().map_err(|_| "quantity is not a whole number".to_owned())?,
    };
    let treated = match grade.to_ascii_lowercase().as_str() {
        "" => false,
        "treated" => true,
        _ => return Err("grade is 'treated' or nothing".to_owned()),
    };
    Ok((OnHandBoard { section, treated, length, label: label.to_owned() }, quantity))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vec<OnHandBoard>, String> {
        from_csv(text.as_bytes(), "yard.csv").map_err(|r| r.to_string())
    }

    #[test]
    fn boards_by_number_and_text() {
        let list = read(
            "Length,section,quantity,label,grade\n\"7'-6 1/2\"\"\",2x4,2,rack A,\n2286mm,2x6,,,treated\n\n90.5,2x4,,,\n",
        )
        .unwrap();
        let inches: Vec<f64> = list.iter().map(|b| b.length.to_inches()).collect();
        assert_eq!(inches, [90.5, 90.5, 90.5, 90.0]);
        assert_eq!((list[1].label.as_str(), list[3].treated), ("rack A", true));
    }

    #[test]
    fn every_bad_line_is_told() {
        let e = read("section,length,quantity\n2x5,90,\n2x4,ninety,\n2x4,-3,\n2x4,90,some\n")
            .unwrap_err();
        for line in 2..=5 {
            assert!(e.contains(&format!("yard.csv, line {line}: ")), "{e}");
        }
        // Saved by a spreadsheet, with carriage returns.
        let e = read("section,length\r\n2x4,90\r\n2x5,90\r\n").unwrap_err();
        assert!(e.contains("yard.csv, line 3: "), "{e}");
        let e = read("size,length\n").unwrap_err();
        assert!(e.contains("unknown column 'size'") && e.contains("no column 'section'"), "{e}");
    }
}
