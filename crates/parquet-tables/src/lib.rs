//! Tables as Parquet, for those who analyse with their own tools.
//!
//! Knows: CSV text as our writers make it, the kinds of its columns, Parquet. Never touches: what a table
//! means, files.
//!
//! A Parquet table says what the CSV beside it says, in the same columns and rows: numbers are INT64 or
//! DOUBLE, null where the cell is empty; everything else is a UTF-8 string, empty where the cell is. Text has
//! the same apostrophe before what a spreadsheet would run, so that both join. Nothing is compressed but by
//! dictionaries, and the same text gives the same bytes.

use csv::StringRecord;
use export::{Column, Kind, in_form, separator};
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use settings::{DecimalSign, FeedSettings};
use std::io::{Read, Write};
use std::sync::Arc;

/// Rows held in memory at a time.
const ROWS_AT_A_TIME: usize = 1 << 16;

/// Why there is no Parquet file.
#[derive(Debug, thiserror::Error)]
pub enum TableError {
    /// The text is not the table it should be.
    #[error("the table {0}")]
    Text(String),
    /// The text could not be read.
    #[error(transparent)]
    Csv(#[from] csv::Error),
    /// The Parquet file could not be composed or written.
    #[error(transparent)]
    Parquet(#[from] ParquetError),
}

impl TableError {
    /// The operating system's reason, where it is one.
    pub fn io(self) -> Result<std::io::Error, TableError> {
        match self {
            TableError::Csv(e) => match e.into_kind() {
                csv::ErrorKind::Io(e) => Ok(e),
                other => Err(TableError::Text(format!("cannot be read: {other:?}"))),
            },
            TableError::Parquet(ParquetError::External(e)) => {
                match e.downcast::<std::io::Error>() {
                    Ok(e) => Ok(*e),
                    Err(e) => Err(TableError::Parquet(ParquetError::External(e))),
                }
            }
            other => Err(other),
        }
    }
}

/// Writes the CSV text that `from` gives as Parquet. `columns` and `form` are those it was written with.
///
/// # Errors
/// When the text is not that table, or one of the two fails.
pub fn write<W: Write + Send>(
    to: W,
    from: impl Read,
    columns: &[Column],
    form: FeedSettings,
) -> Result<(), TableError> {
    let columns = in_form(columns, form);
    let mut reader = csv::ReaderBuilder::new().delimiter(separator(form.decimal)).from_reader(from);
    if !reader.headers()?.iter().eq(columns.iter().map(|c| c.name)) {
        return Err(TableError::Text("has other columns than it should".to_owned()));
    }
    let fields = columns.iter().map(|c| field(c).map(Arc::new)).collect::<Result<Vec<_>, _>>()?;
    let schema = Arc::new(Type::group_type_builder("table").with_fields(fields).build()?);
    let properties = WriterProperties::builder().set_created_by("platewright".to_owned()).build();
    let mut writer = SerializedFileWriter::new(to, schema, Arc::new(properties))?;
    let mut cells: Vec<Cells> = columns.iter().map(|c| Cells::new(c.kind)).collect();
    let (mut row, mut held) = (StringRecord::new(), 0);
    while reader.read_record(&mut row)? {
        for (cells, text) in cells.iter_mut().zip(&row) {
            cells.push(text, form.decimal)?;
        }
        held += 1;
        if held == ROWS_AT_A_TIME {
            flush(&mut writer, &mut cells)?;
            held = 0;
        }
    }
    if held > 0 {
        flush(&mut writer, &mut cells)?;
    }
    writer.close()?;
    Ok(())
}

fn field(c: &Column) -> Result<Type, ParquetError> {
    let (physical, text) = match c.kind {
        Kind::Whole => (Physical::INT64, None),
        Kind::Decimal => (Physical::DOUBLE, None),
        Kind::Text(_) | Kind::Word(_) | Kind::Codes(_) => {
            (Physical::BYTE_ARRAY, Some(LogicalType::String))
        }
    };
    let repetition = if text.is_some() { Repetition::REQUIRED } else { Repetition::OPTIONAL };
    Type::primitive_type_builder(c.name, physical)
        .with_logical_type(text)
        .with_repetition(repetition)
        .build()
}

/// The cells of one column; for numbers, whether there is one in each row.
enum Cells {
    Text(Vec<ByteArray>),
    Whole(Vec<i64>, Vec<i16>),
    Decimal(Vec<f64>, Vec<i16>),
}

impl Cells {
    fn new(kind: Kind) -> Cells {
        match kind {
            Kind::Whole => Cells::Whole(Vec::new(), Vec::new()),
            Kind::Decimal => Cells::Decimal(Vec::new(), Vec::new()),
            Kind::Text(_) | Kind::Word(_) | Kind::Codes(_) => Cells::Text(Vec::new()),
        }
    }

    fn push(&mut self, text: &str, decimal: DecimalSign) -> Result<(), TableError> {
        let wrong = || TableError::Text(format!("has '{text}' where a number should be"));
        let there = i16::from(!text.is_empty());
        match self {
            Cells::Text(all) => all.push(text.into()),
            Cells::Whole(all, theres) => {
                theres.push(there);
                if there == 1 {
                    all.push(text.parse().map_err(|_| wrong())?);
                }
            }
            Cells::Decimal(all, theres) => {
                theres.push(there);
                if there == 1 {
                    let read = match decimal {
                        DecimalSign::Point => text.parse(),
                        DecimalSign::Comma => text.replace(',', ".").parse(),
                    };
                    all.push(read.map_err(|_| wrong())?);
                }
            }
        }
        Ok(())
    }
}

/// One row group of everything held.
fn flush<W: Write + Send>(
    writer: &mut SerializedFileWriter<W>,
    cells: &mut [Cells],
) -> Result<(), TableError> {
    let mut group = writer.next_row_group()?;
    for cells in cells.iter_mut() {
        let Some(mut column) = group.next_column()? else { break };
        match (column.untyped(), cells) {
            (ColumnWriter::ByteArrayColumnWriter(to), Cells::Text(all)) => {
                to.write_batch(all, None, None)?;
                all.clear();
            }
            (ColumnWriter::Int64ColumnWriter(to), Cells::Whole(all, there)) => {
                to.write_batch(all, Some(there), None)?;
                all.clear();
                there.clear();
            }
            (ColumnWriter::DoubleColumnWriter(to), Cells::Decimal(all, there)) => {
                to.write_batch(all, Some(there), None)?;
                all.clear();
                there.clear();
            }
            // The schema is made from the same kinds.
            _ => return Err(TableError::Text("has a column of another kind".to_owned())),
        }
        column.close()?;
    }
    group.close()?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;

    const COLUMNS: [Column; 4] = [
        Column::text("lot", "").or_empty(),
        Column::whole("n", "").or_empty(),
        Column::decimal("in", "").only_in(settings::FeedUnit::Inches),
        Column::decimal("mm", "").only_in(settings::FeedUnit::Millimetres).or_empty(),
    ];

    fn rows(bytes: Vec<u8>) -> Vec<Vec<(String, Field)>> {
        let reader = SerializedFileReader::new(bytes::Bytes::from(bytes)).unwrap();
        let rows = reader.get_row_iter(None).unwrap();
        rows.map(|r| r.unwrap().into_columns()).collect()
    }
    fn written(text: &str, form: FeedSettings) -> Result<Vec<u8>, TableError> {
        let mut bytes = Vec::new();
        write(&mut bytes, text.as_bytes(), &COLUMNS, form).map(|()| bytes)
    }

    #[test]
    fn says_what_the_text_says() {
        let text = "lot,n,in,mm\r\n007,5,94.0625,2389.19\r\n\"a,\"\"b\u{fc}\",,0.5,\r\n";
        let got = rows(written(text, FeedSettings::default()).unwrap());
        let text = |t: &str| Field::Str(t.to_owned());
        let wanted = [
            [text("007"), Field::Long(5), Field::Double(94.0625), Field::Double(2389.19)],
            [text("a,\"b\u{fc}"), Field::Null, Field::Double(0.5), Field::Null],
        ];
        assert_eq!(got.len(), 2);
        for (got, wanted) in got.iter().zip(wanted) {
            let names: Vec<&str> = got.iter().map(|(n, _)| n.as_str()).collect();
            assert_eq!(names, ["lot", "n", "in", "mm"]);
            assert!(got.iter().map(|(_, f)| f).eq(&wanted), "{got:?}");
        }
        let form =
            FeedSettings { unit: settings::FeedUnit::Millimetres, decimal: DecimalSign::Comma };
        let got = rows(written("lot;n;mm\r\nx;1;38,1\r\n", form).unwrap());
        assert_eq!(got[0][2], ("mm".to_owned(), Field::Double(38.1)));
    }

    #[test]
    fn many_rows_are_many_groups_and_none_is_none() {
        let row = |i: usize| format!("{i},{i},1.5,\r\n");
        let n = ROWS_AT_A_TIME + 3;
        let text: String =
            std::iter::once("lot,n,in,mm\r\n".to_owned()).chain((0..n).map(row)).collect();
        let bytes = written(&text, FeedSettings::default()).unwrap();
        assert_eq!(bytes, written(&text, FeedSettings::default()).unwrap());
        let got = rows(bytes);
        assert_eq!((got.len(), &got[n - 1][1].1), (n, &Field::Long(n as i64 - 1)));
        assert!(rows(written("lot,n,in,mm\r\n", FeedSettings::default()).unwrap()).is_empty());
    }

    #[test]
    fn another_table_is_refused() {
        for text in ["lot,n,in\r\n", "lot,n,in,mm\r\na,x,1,\r\n", "lot,n,in,mm\r\na,1,1;5,\r\n", ""]
        {
            assert!(
                matches!(written(text, FeedSettings::default()), Err(TableError::Text(_))),
                "{text}"
            );
        }
        assert!(written("lot,n,in,mm\r\na,1\r\n", FeedSettings::default()).is_err());
    }
}
