//! CSV files in the making, in one dialect, and what their columns hold.

use crate::ExportError;
use settings::{DecimalSign, FeedSettings, FeedUnit};
use std::borrow::Cow;

/// What the cells of a column hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Text; the pattern, where there is one, is a regular expression for the whole of it.
    Text(Option<&'static str>),
    /// One of a few words.
    Word(&'static [&'static str]),
    /// A whole number.
    Whole,
    /// A number with decimals.
    Decimal,
    /// Codes with numbers in them, apart by spaces; the pattern is for the whole cell.
    Codes(&'static str),
}

/// A column of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// As in the header.
    pub name: &'static str,
    /// What its cells hold.
    pub kind: Kind,
    /// Whether a cell may be empty.
    pub may_be_empty: bool,
    /// Where the column is only there for lengths in that unit.
    pub unit: Option<FeedUnit>,
    /// What it says, in plain words.
    pub about: &'static str,
}

impl Column {
    const fn new(name: &'static str, kind: Kind, about: &'static str) -> Column {
        Column { name, kind, may_be_empty: false, unit: None, about }
    }
    /// Free text.
    pub const fn text(name: &'static str, about: &'static str) -> Column {
        Column::new(name, Kind::Text(None), about)
    }
    /// Text of a pattern.
    pub const fn id(name: &'static str, pattern: &'static str, about: &'static str) -> Column {
        Column::new(name, Kind::Text(Some(pattern)), about)
    }
    /// One of a few words.
    pub const fn word(
        name: &'static str,
        words: &'static [&'static str],
        about: &'static str,
    ) -> Column {
        Column::new(name, Kind::Word(words), about)
    }
    /// A whole number.
    pub const fn whole(name: &'static str, about: &'static str) -> Column {
        Column::new(name, Kind::Whole, about)
    }
    /// A number with decimals.
    pub const fn decimal(name: &'static str, about: &'static str) -> Column {
        Column::new(name, Kind::Decimal, about)
    }
    /// Codes with numbers in them.
    pub const fn codes(name: &'static str, pattern: &'static str, about: &'static str) -> Column {
        Column::new(name, Kind::Codes(pattern), about)
    }
    /// The same column, whose cells may be empty.
    pub const fn or_empty(self) -> Column {
        Column { may_be_empty: true, ..self }
    }
    /// The same column, only there for lengths in that unit.
    pub const fn only_in(self, unit: FeedUnit) -> Column {
        Column { unit: Some(unit), ..self }
    }
    /// Whether a table of that form has the column.
    pub fn is_in(&self, form: FeedSettings) -> bool {
        self.unit.is_none_or(|unit| form.unit == FeedUnit::Both || form.unit == unit)
    }
}

/// The columns that a table of that form has.
pub fn in_form(columns: &[Column], form: FeedSettings) -> Vec<Column> {
    columns.iter().filter(|c| c.is_in(form)).copied().collect()
}

/// What parts the columns of a CSV file.
pub const fn separator(decimal: DecimalSign) -> u8 {
    match decimal {
        DecimalSign::Point => b',',
        DecimalSign::Comma => b';',
    }
}

/// A CSV file in the making, in the dialect of all our CSV files.
pub struct Table {
    writer: csv::Writer<Vec<u8>>,
    /// In a form that is not the usual one: the columns, and which sign numbers have.
    other: Option<(&'static [Column], FeedSettings)>,
}

impl Table {
    /// An empty table in the usual form.
    pub fn new(header: &[&str]) -> Result<Table, ExportError> {
        let mut table = Table { writer: writer(DecimalSign::Point), other: None };
        table.row(header)?;
        Ok(table)
    }
    /// An empty table in a form of one's own.
    pub fn of(columns: &'static [Column], form: FeedSettings) -> Result<Table, ExportError> {
        let other = (form != FeedSettings::default()).then_some((columns, form));
        let mut table = Table { writer: writer(form.decimal), other };
        let header = in_form(columns, form);
        let header = header.iter().map(|c| c.name);
        table.writer.write_record(header).map_err(fault)?;
        Ok(table)
    }
    /// One row, a cell for each column, those too that the form leaves out. Numbers have a decimal point;
    /// the form does the rest.
    pub fn row(&mut self, cells: &[&str]) -> Result<(), ExportError> {
        let Some((columns, form)) = self.other else {
            return self.writer.write_record(cells).map_err(fault);
        };
        let kept = columns.iter().zip(cells).filter(|(c, _)| c.is_in(form));
        let signed = kept.map(|(column, cell)| match (form.decimal, column.kind) {
            (DecimalSign::Comma, Kind::Decimal | Kind::Codes(_)) => {
                Cow::Owned(cell.replace('.', ","))
            }
            _ => Cow::Borrowed(*cell),
        });
        self.writer.write_record(signed.map(|c| c.into_owned())).map_err(fault)
    }
    /// Its text.
    pub fn finish(self) -> Result<String, ExportError> {
        let bytes = self.writer.into_inner().map_err(|e| ExportError::Csv(e.to_string()))?;
        String::from_utf8(bytes).map_err(|e| ExportError::Csv(e.to_string()))
    }
}

fn writer(decimal: DecimalSign) -> csv::Writer<Vec<u8>> {
    csv::WriterBuilder::new()
        .delimiter(separator(decimal))
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new())
}

fn fault(e: csv::Error) -> ExportError {
    ExportError::Csv(e.to_string())
}

/// Text that a spreadsheet would run as a formula gets an apostrophe before it; a plain number is
/// left alone, or negative numbers would be spoilt. The wide forms are what East Asian input methods
/// type, and run as well.
pub fn harmless(text: &str) -> Cow<'_, str> {
    let risky = text.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
    ]);
    let number = text.parse::<f64>().is_ok_and(f64::is_finite);
    if risky && !number { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_disarmed_and_numbers_are_not() {
        for bad in ["=1+1", "+SUM(A1)", "-2+3", "@A1", "\t=1", "\r=1", "\u{ff1d}1", "=cmd|' /C'!A0"]
        {
            assert_eq!(harmless(bad), format!("'{bad}"));
        }
        for good in ["-3.5", "+2", "Lot 12", "A-U3", "", "'quoted"] {
            assert_eq!(harmless(good), good);
        }
    }

    #[test]
    fn a_form_changes_numbers_and_columns_and_nothing_else() {
        const COLUMNS: [Column; 4] = [
            Column::text("name", ""),
            Column::decimal("in", "").only_in(FeedUnit::Inches),
            Column::decimal("mm", "").only_in(FeedUnit::Millimetres),
            Column::codes("cuts", "", ""),
        ];
        let text = |unit, decimal| {
            let mut table = Table::of(&COLUMNS, FeedSettings { unit, decimal }).unwrap();
            table.row(&["a.b;c", "1.5", "38.10", "1.25-2x3L"]).unwrap();
            table.finish().unwrap()
        };
        let (both, point, comma) = (FeedUnit::Both, DecimalSign::Point, DecimalSign::Comma);
        assert_eq!(text(both, point), "name,in,mm,cuts\r\na.b;c,1.5,38.10,1.25-2x3L\r\n");
        assert_eq!(text(both, comma), "name;in;mm;cuts\r\n\"a.b;c\";1,5;38,10;1,25-2x3L\r\n");
        assert_eq!(text(FeedUnit::Millimetres, point), "name,mm,cuts\r\na.b;c,38.10,1.25-2x3L\r\n");
        assert_eq!(text(FeedUnit::Inches, comma), "name;in;cuts\r\n\"a.b;c\";1,5;1,25-2x3L\r\n");
    }
}
