//! What the files hold, checked from outside: the contract's field lists, a JSON Schema validator, a
//! CSV reader, and what a hostile drawing could do to a page or a spreadsheet.
#![allow(clippy::unwrap_used)] // a test that cannot read its own output has failed

mod sample;

use export::{OutputFile, all, cuts_csv, cuts_grouped_csv, plan_json, report_html, schema_json};
use geom::{Length, polygon_area_nm2};
use plan_model::{Document, Layer, PieceId};
use serde_json::Value;
use std::collections::BTreeMap;

fn json(doc: &Document) -> Value {
    serde_json::from_str(&plan_json(doc).unwrap()).unwrap()
}

fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    reader
        .records()
        .map(|r| header.iter().cloned().zip(r.unwrap().iter().map(str::to_owned)).collect())
        .collect()
}

fn documents() -> [(&'static str, Document); 6] {
    [
        ("house", sample::house()),
        ("metric", sample::metric_house()),
        ("hostile", sample::hostile()),
        ("troubled", sample::troubled()),
        ("oblique", sample::oblique()),
        ("turned", sample::turned(200.0)),
    ]
}

#[test]
fn the_sample_house_tiles() {
    // The other tests lean on it: 24 x 16 ft outline of 2x6 less the inside, and the 2x4 from the
    // inner face of the south wall to the middle.
    let doc = sample::house();
    let area = |layer| -> i128 {
        let of = doc.plan.pieces.iter().filter(|p| p.layer == layer);
        of.map(|p| polygon_area_nm2(&p.outline)).sum()
    };
    let square_inch = i128::from(Length::inches(1).nm()).pow(2);
    let want = (288 * 192 - 277 * 181) * square_inch + square_inch * 7 * 181 / 4;
    assert_eq!(area(Layer::Lower), want);
    assert_eq!(area(Layer::Bottom), want);
    assert!(area(Layer::Upper) < want);
}

/// The field names of `plan.json` in the output contract, version 1, by path.
const CONTRACT: [(&str, &[&str]); 23] = [
    (
        "",
        &[
            "schema",
            "source",
            "settings",
            "origin",
            "storeys",
            "walls",
            "runs",
            "junctions",
            "pieces",
            "ties",
            "joints",
            "stock",
            "fasteners",
            "findings",
            "ledger",
        ],
    ),
    ("source", &["file", "sha256", "format", "version", "units"]),
    ("source.units", &["name", "inches_per_unit", "decided_by"]),
    ("settings", &["units", "mirror", "default_top", "rules", "layers", "plates", "stock"]),
    (
        "settings.plates",
        &["joint_offset", "upper_clearance", "notch_depth", "notch_side_clearance", "exterior_tee"],
    ),
    ("settings.stock", &["lengths_ft", "kerf", "end_trim"]),
    ("storeys.*", &["id", "name", "elevation"]),
    (
        "walls.*",
        &[
            "id",
            "storey",
            "start",
            "end",
            "drawn_thickness",
            "section",
            "width",
            "base",
            "top",
            "exterior",
            "bearing",
            "run",
            "openings",
            "source",
        ],
    ),
    ("walls.1.openings.*", &["kind", "from", "to"]),
    ("walls.*.source.*", &["entity", "layer"]),
    ("runs.*", &["id", "storey", "start", "end", "section", "width", "top"]),
    ("junctions.*", &["id", "storey", "at", "kind", "arms", "angle_deg", "step"]),
    ("junctions.*.arms.*", &["run", "at"]),
    (
        "pieces.*",
        &[
            "id",
            "mark",
            "run",
            "storey",
            "layer",
            "section",
            "width",
            "outline",
            "length_in",
            "length_mm",
            "length_text",
            "z",
            "ends",
            "notches",
            "marks",
            "nails",
        ],
    ),
    ("pieces.*.ends.*", &["cut_deg", "against"]),
    ("pieces.8.notches.*", &["from", "to", "depth", "side"]),
    ("pieces.8.nails.*", &["at", "count", "nail"]),
    ("ties.*", &["junction", "kind", "pieces", "overlap_in", "hardware"]),
    ("joints.*", &["run", "layer", "at", "kind", "on_stud", "offset_in"]),
    ("stock", &["boards", "lower_bound_boards", "waste_pct"]),
    ("stock.boards.*", &["section", "length_ft", "cuts", "offcut_in"]),
    ("fasteners.*", &["nail", "count", "for"]),
    ("ledger.ignored.*", &["reason", "count", "sample"]),
];

fn at<'a>(value: &'a Value, path: &str) -> Vec<&'a Value> {
    path.split('.').filter(|p| !p.is_empty()).fold(vec![value], |found, step| {
        found
            .into_iter()
            .flat_map(|v| match step {
                "*" => v.as_array().unwrap().iter().collect(),
                n if n.parse::<usize>().is_ok() => vec![&v[n.parse::<usize>().unwrap()]],
                key => vec![&v[key]],
            })
            .collect()
    })
}

#[test]
fn plan_json_has_every_field_of_the_contract() {
    let plan = json(&sample::house());
    for (path, fields) in CONTRACT {
        let found = at(&plan, path);
        assert!(!found.is_empty(), "nothing at {path}");
        for value in found {
            for field in fields {
                assert!(value.get(field).is_some(), "{path} has no {field}: {value}");
            }
        }
    }
    assert_eq!(plan["schema"], "platewright/plan/1");
    let findings = at(&plan, "findings.*");
    for field in ["code", "severity", "message", "at", "subject", "source"] {
        assert!(findings.iter().all(|f| f.get(field).is_some()), "{field}");
    }
    let ledger = &plan["ledger"];
    let ignored: u64 = at(ledger, "ignored.*").iter().map(|i| i["count"].as_u64().unwrap()).sum();
    assert_eq!(
        ledger["used"].as_u64().unwrap() + ignored,
        ledger["entities_read"].as_u64().unwrap()
    );
}

#[test]
fn plan_json_agrees_with_the_document() {
    let doc = sample::house();
    let plan = json(&doc);
    let inches = |v: &Value| Length::from_inches(v.as_f64().unwrap()).unwrap();
    for (i, p) in doc.plan.pieces.iter().enumerate() {
        let got = &plan["pieces"][i];
        assert_eq!(got["id"], format!("P{}", i + 1));
        assert_eq!(inches(&got["length_in"]), p.length);
        let outline: Vec<(Length, Length)> = got["outline"]
            .as_array()
            .unwrap()
            .iter()
            .map(|q| (inches(&q[0]), inches(&q[1])))
            .collect();
        let want: Vec<_> = p.outline.iter().map(|q| (q.x, q.y)).collect();
        assert_eq!(outline, want);
        assert_eq!(got["notches"].as_array().unwrap().len(), p.notches.len());
        assert_eq!(got["layer"], p.layer.name());
    }
    // Item 7: the lower pieces of a run add up exactly (R2, 24 ft between its end faces).
    let of_r2 = at(&plan, "pieces.*");
    let of_r2 = of_r2.iter().filter(|p| p["run"] == "R2" && p["layer"] == "lower");
    assert_eq!(of_r2.map(|p| p["length_in"].as_f64().unwrap()).sum::<f64>(), 288.0);
    assert_eq!(plan["pieces"][17]["ends"][0]["against"], "notch R2");
    assert_eq!(plan["pieces"][0]["ends"][1]["against"], "run R3");
}

#[test]
fn metric_coordinates_survive_to_the_nanometre() {
    let doc = sample::metric_house();
    let plan = json(&doc);
    for (i, p) in doc.plan.pieces.iter().enumerate() {
        let got = &plan["pieces"][i];
        assert_eq!(Length::from_mm(got["length_mm"].as_f64().unwrap()), Some(p.length));
        assert_eq!(Length::from_inches(got["length_in"].as_f64().unwrap()), Some(p.length));
        assert!(got["length_text"].as_str().unwrap().ends_with(" mm"));
    }
}

#[test]
fn every_plan_is_valid_under_the_schema() {
    // An outside validator, which also checks the schema itself against JSON Schema 2020-12.
    let schema: Value = serde_json::from_str(&schema_json()).unwrap();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for (name, doc) in documents() {
        let plan = json(&doc);
        let errors: Vec<String> = validator.iter_errors(&plan).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{name}: {errors:?}");
    }
    let mut plan = json(&sample::house());
    plan["a_later_field"] = true.into();
    assert!(validator.is_valid(&plan), "more fields may be added");
    for (path, bad) in [
        ("/pieces/0/layer", Value::from("middle")),
        ("/pieces/0/ends/0/against", "run 3".into()),
        ("/junctions/0/kind", "Y".into()),
        ("/pieces/0/length_in", "12".into()),
        ("/schema", "platewright/plan/2".into()),
    ] {
        let mut plan = json(&sample::house());
        *plan.pointer_mut(path).unwrap() = bad;
        assert!(!validator.is_valid(&plan), "{path}");
    }
}

#[test]
fn cuts_csv_reads_back() {
    let doc = sample::house();
    let text = cuts_csv(&doc, "Demo, \"north\"", "12").unwrap();
    assert!(text.starts_with(
        "piece,group,mark,project,lot,storey,wall,layer,section,grade,qty,length_in,length_mm,\
         length_text,left_cut_deg,right_cut_deg,notches,label\r\n"
    ));
    let rows = rows(&text);
    assert_eq!(rows.len(), doc.plan.pieces.len());
    for (row, p) in rows.iter().zip(&doc.plan.pieces) {
        let inches: f64 = row["length_in"].parse().unwrap();
        assert_eq!(Length::from_inches(inches), Some(p.length));
        let mm: f64 = row["length_mm"].parse().unwrap();
        assert!((mm - p.length.to_mm()).abs() <= 0.005 + 1e-9);
        assert_eq!(Length::parse(&row["length_text"]), Ok(p.printed));
        assert_eq!((row["qty"].as_str(), row["left_cut_deg"].as_str()), ("1", "90"));
        assert_eq!(row["project"], "Demo, \"north\"");
        assert_eq!(row["layer"], p.layer.name());
        for column in ["piece", "group", "storey", "wall"] {
            assert!(row[column].starts_with(|c: char| c.is_ascii_alphabetic()), "{column}");
        }
    }
    assert_eq!(rows[8]["notches"], "10.125-13.875x2L");
    assert_eq!((rows[8]["wall"].as_str(), rows[7]["wall"].as_str()), ("W2 W5", "W2"));
}

#[test]
fn groups_join_to_pieces_and_count_them_all() {
    for (name, doc) in documents() {
        let cuts = rows(&cuts_csv(&doc, "", "").unwrap());
        let groups = rows(&cuts_grouped_csv(&doc).unwrap());
        let mut seen = 0;
        for g in &groups {
            let members: Vec<_> = cuts.iter().filter(|c| c["group"] == g["group"]).collect();
            assert_eq!(members.len().to_string(), g["qty"], "{name}");
            seen += members.len();
            for column in [
                "section",
                "grade",
                "length_in",
                "length_mm",
                "length_text",
                "left_cut_deg",
                "right_cut_deg",
                "notches",
            ] {
                assert!(members.iter().all(|m| m[column] == g[column]), "{name} {column}");
            }
            let ids: Vec<&str> = members.iter().map(|m| m["piece"].as_str()).collect();
            assert_eq!(g["pieces"], ids.join(" "));
        }
        assert_eq!(seen, doc.plan.pieces.len(), "{name}");
        let order = groups.iter().map(|g| {
            let section = lumber::Section::from_name(&g["section"]).unwrap();
            (section, -g["length_in"].parse::<f64>().unwrap())
        });
        assert!(order.is_sorted(), "{name}: by section, longest first");
    }
}

#[test]
fn a_mirrored_notch_is_another_group() {
    let mut doc = sample::house();
    let frame = doc.floor.runs[2].frame();
    let notched = doc.plan.pieces[8].clone();
    let twin = &mut doc.plan.pieces[14]; // the same length on the north wall
    assert_eq!(twin.length, notched.length);
    let south = doc.floor.runs[1].frame();
    let onto = |flip: i64| -> Vec<geom::Point> {
        let points = notched.outline.iter().map(|q| {
            let (s, o) = south.locate(*q);
            frame.at(s, o * flip)
        });
        if flip < 0 { points.rev().collect() } else { points.collect() }
    };
    twin.notches = notched.notches.clone();
    twin.outline = onto(1);
    let group =
        |doc: &Document, i: usize| rows(&cuts_csv(doc, "", "").unwrap())[i]["group"].clone();
    assert_eq!(group(&doc, 8), group(&doc, 14));
    doc.plan.pieces[14].outline = onto(-1);
    doc.plan.pieces[14].notches[0].side = plan_model::Side::Right;
    assert_ne!(group(&doc, 8), group(&doc, 14));
}

#[test]
fn a_turned_house_is_cut_the_same() {
    let straight = sample::house();
    let check_column = |doc: &Document| {
        let html = report_html(doc, "", "").unwrap();
        let cells = html.split("data-h=\"Check\">").skip(1);
        cells.map(|c| c.split("</td>").next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    for degrees in [17.0, 45.0, 123.456, 270.0] {
        let turned = sample::turned(degrees);
        let cuts = |doc| cuts_csv(doc, "", "").unwrap();
        assert_eq!(cuts(&turned), cuts(&straight), "{degrees}");
        let grouped = |doc| cuts_grouped_csv(doc).unwrap();
        assert_eq!(grouped(&turned), grouped(&straight), "{degrees}");
        assert_eq!(check_column(&turned), check_column(&straight), "{degrees}");
    }
}

#[test]
fn a_bevel_is_told_to_saw_and_tape() {
    let doc = sample::oblique();
    let rows = rows(&cuts_csv(&doc, "", "").unwrap());
    let stem = rows.iter().find(|r| r["mark"] == "L7").unwrap();
    assert_eq!((stem["left_cut_deg"].as_str(), stem["right_cut_deg"].as_str()), ("45", "90"));
    assert_eq!(stem["notches"], "", "a bevel is no end of two cuts");
    // Node to free end is 80 in each way; the long point is at 2.75 * sqrt 2 - 1.75 from the node.
    let want = 80.0 * 2.0_f64.sqrt() - (2.75 * 2.0_f64.sqrt() - 1.75);
    assert!((stem["length_in"].parse::<f64>().unwrap() - want).abs() < 0.0001);
    let html = report_html(&doc, "", "").unwrap();
    assert!(html.contains("near face of R2 (long point) to free end</td>"));
    assert!(html.contains("start 45\u{b0}, left edge longer,<br> end square"));
}

#[test]
fn stock_csv_names_every_piece_once() {
    let doc = sample::house();
    let rows = rows(&export::stock_csv(&doc).unwrap());
    let mut pieces: Vec<&str> = rows.iter().map(|r| r["piece"].as_str()).collect();
    pieces.sort_unstable();
    pieces.dedup();
    assert_eq!(pieces.len(), doc.plan.pieces.len());
    for r in &rows {
        let number = |c: &str| r[c].parse::<f64>().unwrap();
        assert_eq!(number("length_mm"), number("length_ft") * 304.8); // 1 ft = 304.8 mm exactly
        assert!(number("piece_length_in") + number("offcut_in") <= number("length_ft") * 12.0);
    }
}

#[test]
fn a_hostile_drawing_runs_nothing() {
    let doc = sample::hostile();
    let (project, lot) = ("=cmd|' /C calc'!A0", "<img src=x onerror=alert(1)>");
    let html = report_html(&doc, project, lot).unwrap();
    // The one script is ours, and nothing a drawing said became markup.
    assert_eq!(html.matches("<script").count(), 1);
    assert!(!html.contains("<img") && !html.contains("alert('x')</script>"));
    assert!(html.contains("&lt;script&gt;") && html.contains("&lt;img src=x"));
    assert!(!html.contains('\u{202e}') && html.contains('\u{5d1}'));
    // Every cell of every file is safe in a spreadsheet.
    for file in all(&doc, project, lot).unwrap().iter().filter(|f| f.name.ends_with(".csv")) {
        let text = String::from_utf8(file.bytes.clone()).unwrap();
        for row in rows(&text) {
            for cell in row.values() {
                let risky = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
                assert!(!risky || cell.parse::<f64>().is_ok(), "{}: {cell}", file.name);
            }
        }
    }
}

#[test]
fn the_page_needs_nothing_from_outside() {
    for (name, doc) in documents() {
        let html = report_html(&doc, "Demo", "12").unwrap();
        for outside in
            ["src=\"", "@import", "url(http", "<link", "<iframe", "fetch(", "href=\"http"]
        {
            assert!(!html.contains(outside), "{name}: {outside}");
        }
        assert!(html.contains("default-src 'none'"));
    }
}

#[test]
fn the_report_says_what_matters() {
    let doc = sample::troubled();
    let plain = |doc| report_html(doc, "Demo", "12").unwrap().replace('\u{a0}', " ");
    let html = plain(&doc);
    for p in &doc.plan.pieces {
        assert!(html.contains(&format!("<strong><bdi>{}</bdi></strong>", p.mark)), "{}", p.mark);
    }
    for f in &doc.findings {
        let info = f.code.info();
        assert!(html.contains(info.name));
    }
    for text in [
        "checked: no two plates of a layer overlap",
        "near face of R1 to joint 11'-0&quot; from the start of R2",
        "10 1/8&quot; to 1'-1 7/8&quot; from the start, 2&quot; deep, left edge, for R4",
        "7'-6 1/2&quot;</strong>, cut 1 7/8&quot; more", // 2 in bite less 1/8 in clearance
        "Not engineering: local code, the stamped drawings and the official decide.",
        "IRC 2021 R602.3.2",
        "layer not a wall layer: A-FURN",
        "1 error: something is missing",
    ] {
        assert!(html.contains(text), "{text}");
    }
    let metric = plain(&sample::metric_house());
    assert!(metric.contains("<strong>4800 mm</strong><small>15'-9&quot;</small>")); // 188.976 in
}

#[test]
fn every_plate_is_drawn_once() {
    let doc = sample::crowded(36);
    let html = report_html(&doc, "", "").unwrap();
    for (i, p) in doc.plan.pieces.iter().enumerate() {
        // Bottom plates lie as the lower ones here, and get no drawing of their own.
        let drawn = usize::from(p.layer != Layer::Bottom);
        let id = format!("data-p=\"P{}\"", i + 1);
        assert_eq!(html.matches(&format!("<polygon {id}")).count(), drawn, "{id}");
        assert_eq!(html.matches(&format!("<tr {id}")).count(), 1, "{id}");
        assert_eq!(html.matches(&format!(">{}</text>", p.mark)).count(), drawn, "{}", p.mark);
    }
}

#[test]
fn same_document_same_bytes() {
    for (name, doc) in documents() {
        let once = all(&doc, "Demo", "12").unwrap();
        assert_eq!(once, all(&doc.clone(), "Demo", "12").unwrap(), "{name}");
        let names: Vec<&str> = once.iter().map(|f: &OutputFile| f.name).collect();
        assert_eq!(
            names,
            ["plan.json", "cuts.csv", "cuts-grouped.csv", "stock.csv", "report.html"]
        );
    }
}

#[test]
fn broken_ids_and_numbers_are_refused_not_indexed() {
    let mut doc = sample::house();
    doc.boards[0].cuts.push(PieceId(999));
    let error = all(&doc, "", "").unwrap_err().to_string();
    assert!(error.contains("P1000") && error.contains("board 1"), "{error}");
    let mut doc = sample::house();
    doc.plan.pieces[0].ends[0].cut_deg = f64::NAN;
    assert!(all(&doc, "", "").unwrap_err().to_string().contains("cut angle"));
}

#[test]
fn an_empty_plan_is_written_too() {
    let mut doc = sample::house();
    doc.plan = plan_model::Plan::default();
    (doc.boards, doc.stock, doc.checked) = (vec![], vec![], vec![]);
    let html = report_html(&doc, "", "").unwrap();
    assert!(html.contains("not verified") && html.contains("R1: no upper plate"));
    (doc.floor.walls, doc.floor.runs, doc.floor.junctions) = (vec![], vec![], vec![]);
    assert_eq!(all(&doc, "", "").unwrap().len(), 5);
    assert_eq!(rows(&cuts_csv(&doc, "", "").unwrap()).len(), 0);
}
