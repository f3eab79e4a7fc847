//! Lists that a spreadsheet or an editor wrote: boards on hand, measured walls, lots, the saw's answer.
//!
//! Knows: encodings, the separator, which line a row stands on, decimal commas. Never touches: what a
//! column means, files.

mod decode;

pub use decode::{Lines, Text, text};

use csv::StringRecord;

/// A list with a header row, read row by row.
pub struct List<'t> {
    records: csv::StringRecordsIntoIter<&'t [u8]>,
    header: StringRecord,
    lines: Lines<'t>,
    separator: u8,
}

/// One row that is not blank, and the line it begins on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// From 1.
    pub line: usize,
    /// Without white space around them; there may be more or fewer than the header has.
    pub cells: StringRecord,
}

impl<'t> List<'t> {
    /// A list in `text`. `known` are the column names that tell which separator it has: comma, semicolon
    /// or tab.
    ///
    /// # Errors
    /// When there is no header row that can be read.
    pub fn of(text: &'t str, known: &[&str]) -> Result<List<'t>, String> {
        let separator = decode::separator(text, known);
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let header = reader.headers().map_err(|e| e.to_string())?.clone();
        Ok(List { records: reader.into_records(), header, lines: Lines::of(text), separator })
    }
    /// The names of the columns.
    pub fn header(&self) -> &StringRecord {
        &self.header
    }
    /// Where a column stands; capitals do not matter.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.header.iter().position(|h| h.eq_ignore_ascii_case(name))
    }
    /// What parts the columns: comma, semicolon or tab.
    pub fn separator(&self) -> u8 {
        self.separator
    }
    /// Whether numbers may have a decimal comma: only where semicolons part the columns. Elsewhere a comma
    /// in a number is rather a mark of thousands.
    pub fn has_decimal_commas(&self) -> bool {
        self.separator == b';'
    }
}

impl Iterator for List<'_> {
    type Item = Result<Row, String>;
    fn next(&mut self) -> Option<Result<Row, String>> {
        loop {
            let cells = match self.records.next()? {
                Ok(cells) => cells,
                Err(e) => return Some(Err(e.to_string())),
            };
            if cells.iter().all(str::is_empty) {
                continue;
            }
            let line = self.lines.at(cells.position().map_or(0, |p| p.byte() as usize));
            return Some(Ok(Row { line, cells }));
        }
    }
}

/// A text with its one decimal comma as a point, if it has one and no point; else as it is.
pub fn with_point(text: &str) -> String {
    match text.split_once(',') {
        Some((whole, part)) if !part.contains(',') && !text.contains('.') => {
            format!("{whole}.{part}")
        }
        _ => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_know_their_line() {
        let list = List::of("a;b\r\n\r\n1; 2 \r\n;\r\n\"x\ny\";4;5\r\n6\r\n", &["a", "b"]).unwrap();
        assert_eq!((list.separator(), list.has_decimal_commas()), (b';', true));
        assert_eq!((list.column("B"), list.column("c")), (Some(1), None));
        let rows: Vec<Row> = list.map(Result::unwrap).collect();
        let told: Vec<(usize, Vec<&str>)> =
            rows.iter().map(|r| (r.line, r.cells.iter().collect())).collect();
        assert_eq!(told, [(3, vec!["1", "2"]), (5, vec!["x\ny", "4", "5"]), (7, vec!["6"])]);
    }

    #[test]
    fn one_comma_is_a_decimal_comma() {
        assert_eq!(with_point("90,5"), "90.5");
        assert_eq!(with_point("1,234.5"), "1,234.5");
        assert_eq!(with_point("1,234,567"), "1,234,567");
        assert_eq!(with_point("2286mm"), "2286mm");
    }
}
