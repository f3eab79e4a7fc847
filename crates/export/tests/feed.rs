//! The saw's files against their own schema and dictionary, in every form, by an outside validator.
#![allow(clippy::unwrap_used)] // a test that cannot read its own output has failed

#[allow(dead_code)] // another test uses all of it
mod sample;

use export::{Column, Kind, feed, in_form, separator};
use plan_model::Document;
use serde_json::{Map, Value, json};
use settings::{DecimalSign, FeedSettings, FeedUnit};

const UNITS: [FeedUnit; 3] = [FeedUnit::Both, FeedUnit::Inches, FeedUnit::Millimetres];
const SIGNS: [DecimalSign; 2] = [DecimalSign::Point, DecimalSign::Comma];

fn documents() -> Vec<Document> {
    vec![
        sample::house(),
        sample::metric_house(),
        sample::hostile(),
        sample::troubled(),
        sample::oblique(),
        sample::turned(200.0),
    ]
}

/// A row as the schema's description says it becomes an object, by the columns' kinds.
fn objects(text: &str, columns: &[Column], form: FeedSettings) -> Vec<Value> {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(separator(form.decimal)).from_reader(text.as_bytes());
    let columns = in_form(columns, form);
    let header = reader.headers().unwrap().clone();
    assert!(header.iter().eq(columns.iter().map(|c| c.name)), "{header:?}");
    let cell = |c: &Column, text: &str| match c.kind {
        Kind::Whole | Kind::Decimal if text.is_empty() => Value::Null,
        Kind::Whole => json!(text.parse::<i64>().unwrap()),
        Kind::Decimal if form.decimal == DecimalSign::Comma => {
            assert!(!text.contains('.'), "{text}");
            json!(text.replace(',', ".").parse::<f64>().unwrap())
        }
        Kind::Decimal => json!(text.parse::<f64>().unwrap()),
        _ => json!(text),
    };
    let object = |row: csv::StringRecord| {
        let cells = columns.iter().zip(&row).map(|(c, t)| (c.name.to_owned(), cell(c, t)));
        Value::Object(cells.collect::<Map<_, _>>())
    };
    reader.records().map(|r| object(r.unwrap())).collect()
}

/// The whole feed of a plan, as the schema's root has it.
fn whole(doc: &Document, form: FeedSettings) -> Value {
    let mut doc = doc.clone();
    doc.settings.feed = form;
    json!({
        "cuts.csv": objects(&export::cuts_csv(&doc, "=P; 1", "Lot, 7").unwrap(), &feed::CUTS, form),
        "cuts-grouped.csv": objects(&export::cuts_grouped_csv(&doc).unwrap(), &feed::GROUPED, form),
        "stock.csv": objects(&export::stock_csv(&doc).unwrap(), &feed::STOCK, form),
    })
}

#[test]
fn real_rows_are_valid_in_every_form_and_wrong_ones_are_not() {
    let schema: Value = serde_json::from_str(&feed::schema_json()).unwrap();
    assert_eq!(schema["title"], feed::VERSION);
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for doc in documents() {
        for (unit, decimal) in UNITS.into_iter().flat_map(|u| SIGNS.map(|s| (u, s))) {
            let rows = whole(&doc, FeedSettings { unit, decimal });
            let errors: Vec<String> = validator
                .iter_errors(&rows)
                .map(|e| format!("{} {e}", e.instance_path()))
                .collect();
            assert!(errors.is_empty(), "{unit:?} {decimal:?}: {errors:?}");
        }
    }
    let good = whole(&sample::house(), FeedSettings::default());
    let mut more = good.clone();
    more["cuts.csv"][0]["a_later_column"] = "x".into();
    assert!(validator.is_valid(&more), "more columns may be added");
    for (path, bad) in [
        ("/cuts.csv/0/layer", json!("middle")),
        ("/cuts.csv/0/length_in", json!("94.0000")),
        ("/cuts.csv/0/piece", json!("12")),
        ("/cuts.csv/0/grade", json!("No. 2")),
        ("/cuts.csv/8/notches", json!("1/2-3x2L")),
        ("/cuts-grouped.csv/0/qty", json!(1.5)),
        ("/cuts-grouped.csv/0/pieces", json!("P1,P2")),
        ("/stock.csv/0/board", json!("1")),
    ] {
        let mut rows = good.clone();
        *rows.pointer_mut(path).unwrap() = bad;
        assert!(!validator.is_valid(&rows), "{path}");
    }
    for (table, lacking) in
        [("cuts.csv", "mark"), ("cuts-grouped.csv", "qty_upper"), ("stock.csv", "from")]
    {
        let mut rows = good.clone();
        rows[table][0].as_object_mut().unwrap().remove(lacking).unwrap();
        assert!(!validator.is_valid(&rows), "{table} without {lacking}");
    }
    let mut neither = good.clone();
    let row = neither["cuts.csv"][0].as_object_mut().unwrap();
    row.remove("length_in");
    row.remove("length_mm");
    assert!(!validator.is_valid(&neither), "no length at all");
}

/// What `accept` reads: with the columns it can do without, and without them.
#[test]
fn an_answer_has_its_schema_too() {
    let schema: Value = serde_json::from_str(&feed::schema_json()).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let least = json!({ "board": "7", "section": "2x4", "length_ft": 16, "piece": "P1" });
    let metric = json!({ "board": "7", "section": "38x89", "length_mm": 2438.4, "piece": "", "from": "rack" });
    let with = |change: fn(&mut Map<String, Value>)| {
        let mut row = least.clone();
        change(row.as_object_mut().unwrap());
        validator.is_valid(&json!({ "result.csv": [row] }))
    };
    assert!(with(|_| ()) && validator.is_valid(&json!({ "result.csv": [metric] })));
    assert!(!with(|row| drop(row.remove("length_ft"))));
    assert!(!with(|row| drop(row.insert("length_ft".into(), "16".into()))));
    assert!(!with(|row| drop(row.insert("piece".into(), "A-U3".into()))));
    // Our own boards are such an answer.
    let stock = export::stock_csv(&sample::house()).unwrap();
    let rows = objects(&stock, &feed::STOCK, FeedSettings::default());
    assert!(validator.is_valid(&json!({ "result.csv": rows })));
}

/// `docs/saw-feed.md` tells every column.
#[test]
fn the_dictionary_in_the_docs_is_whole() {
    let docs = include_str!("../../../docs/saw-feed.md");
    let section = |title: &str| {
        let at = docs.find(title).unwrap_or_else(|| panic!("no section {title}"));
        let rest = &docs[at + title.len()..];
        &rest[..rest.find("\n## ").unwrap_or(rest.len())]
    };
    for (title, columns) in [
        ("## cuts.csv", &feed::CUTS[..]),
        ("## cuts-grouped.csv", &feed::GROUPED),
        ("## stock.csv", &feed::STOCK),
        ("## leftovers.csv", &feed::LEFTOVERS),
        ("## The way back", &feed::RESULT),
    ] {
        for c in columns {
            assert!(section(title).contains(&format!("`{}`", c.name)), "{title}: {}", c.name);
        }
    }
    assert!(feed::LEFTOVERS.iter().map(|c| c.name).eq(settings::on_hand::COLUMNS));
    assert!(docs.contains(feed::VERSION));
}

/// The usual form is the contract's, to the byte; a millimetre feed has millimetre notches.
#[test]
fn units_and_signs() {
    let mut doc = sample::house();
    let row = |doc: &Document, n: usize| -> String {
        export::cuts_csv(doc, "", "7").unwrap().lines().nth(n + 1).unwrap().to_owned()
    };
    let usual = row(&doc, 8);
    assert!(usual.contains(",10.125-13.875x2L,"), "{usual}");
    doc.settings.feed = FeedSettings { unit: FeedUnit::Millimetres, decimal: DecimalSign::Comma };
    let metric = row(&doc, 8);
    // By hand, 25.4 mm to the inch: 10.125 in = 257.175 mm, 13.875 in = 352.425 mm.
    assert!(metric.contains(";257,18-352,43x50,8L;"), "{metric}");
    let header = export::cuts_csv(&doc, "", "").unwrap();
    assert!(header.starts_with("piece;group;") && !header.contains("length_in"), "{header}");
    doc.settings.feed = FeedSettings { unit: FeedUnit::Inches, decimal: DecimalSign::Point };
    assert!(!export::cuts_grouped_csv(&doc).unwrap().contains("length_mm"));
}
