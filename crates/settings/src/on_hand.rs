//! The list of boards there are already, as a CSV file.
//!
//! Columns by name, in any order: `section` (`2x4`), `length` (inches as a number, or a text with its
//! unit such as `7'-6 1/2"` or `2286mm`) and if wanted `quantity` (1), `grade` (`treated` or nothing)
//! and `label`. What a plan leaves over is written in the same form, so that one plan's leftovers are
//! the next one's boards on hand.

use crate::OnHandBoard;
use crate::parse::no_section;
use diag::{Finding, Refusal, codes::input};
use geom::Length;
use lists::{List, Row};
use lumber::Section;

/// The columns.
pub const COLUMNS: [&str; 5] = ["section", "length", "quantity", "grade", "label"];
/// More boards than this are no list of leftovers.
const MOST: usize = 100_000;
/// Mistakes that are told.
const MOST_MISTAKES: usize = 100;
const LONGEST: Length = Length::feet(100);

/// Reads a list; one entry a board, sorted. Commas, semicolons (then numbers may have a decimal comma) or
/// tabs; UTF-8, UTF-16 with its mark, else Windows-1252.
///
/// # Errors
/// Every line that cannot be used, with its number.
pub fn from_csv(bytes: &[u8], file_name: &str) -> Result<Vec<OnHandBoard>, Refusal> {
    let say = |line: usize, what: String| {
        let message = format!("{file_name}, line {line}: {what}.");
        Finding::new(input::ON_HAND_BAD, message).about(file_name)
    };
    let first = |what: String| Refusal::because(say(1, what));
    let text = lists::text(bytes).map_err(first)?.text;
    let list = List::of(&text, &COLUMNS).map_err(first)?;
    let mut bad: Vec<Finding> = Vec::new();
    for name in list.header().iter().filter(|h| !COLUMNS.iter().any(|c| c.eq_ignore_ascii_case(h)))
    {
        let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
        bad.push(say(1, format!("unknown column '{shown}'; known are {}", COLUMNS.join(", "))));
    }
    for name in ["section", "length"] {
        if list.column(name).is_none() {
            bad.push(say(1, format!("there is no column '{name}'")));
        }
    }
    if !bad.is_empty() {
        return Err(Refusal { findings: bad });
    }
    let columns = COLUMNS.map(|name| list.column(name));
    let commas = list.has_decimal_commas();
    let mut boards = Vec::new();
    for row in list {
        let Row { line, cells } = match row {
            Ok(row) => row,
            Err(e) => {
                bad.push(say(1, e));
                break;
            }
        };
        // Whoever has made so many mistakes has another kind of list.
        if bad.len() >= MOST_MISTAKES {
            break;
        }
        let [section, length, quantity, grade, label] =
            columns.map(|c| c.and_then(|c| cells.get(c)).unwrap_or_default());
        let length = if commas { lists::with_point(length) } else { length.to_owned() };
        match board([section, &length, quantity, grade, label]) {
            Ok((_, n)) if boards.len() + n > MOST => {
                bad.push(say(line, format!("more than {MOST} boards")));
                break;
            }
            Ok((board, n)) => boards.extend(std::iter::repeat_n(board, n)),
            Err(what) => bad.push(say(line, what)),
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
    fn with_semicolons_commas_are_decimal_and_else_they_are_not() {
        let list = read("section;length;quantity;label\r\n2x4;90,5;2;Gr\u{fc}n\r\n").unwrap();
        assert_eq!((list.len(), list[0].length.to_inches()), (2, 90.5));
        let tabs = "section\tlength\r\n2x4\t90.5\r\n".encode_utf16().flat_map(u16::to_le_bytes);
        let utf16: Vec<u8> = [0xff, 0xfe].into_iter().chain(tabs).collect();
        assert_eq!(from_csv(&utf16, "yard.csv").unwrap()[0].length.to_inches(), 90.5);
        let e = read("section,length\n2x4,\"1,234\"\n").unwrap_err();
        assert!(e.contains("line 2"), "{e}");
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
