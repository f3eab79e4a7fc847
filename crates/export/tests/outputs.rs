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
    ("pieces.8.nails.*", &["at", "count", "nail", "into"]),
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
         length_text,left_cut_deg,right_cut_deg,notches,label,left_tilt_deg,right_tilt_deg\r\n"
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
        let rows = html.split("<tr id=\"P").skip(1);
        let cell =
            |row: &str| row.split("<td>").nth(5).unwrap().split("</td>").next().unwrap().to_owned();
        rows.map(cell).collect::<Vec<_>>()
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
    assert!(html.contains("near face of R2 (long point) to free end of R4</td>"));
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
    // The one script is ours, the block of facts before it is no script, and nothing a drawing said
    // became markup.
    assert_eq!(html.matches("<script").count(), 2);
    assert_eq!(html.matches("</script").count(), 2);
    assert!(html.contains("<script id=\"facts\" type=\"application/json\">{"));
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
        assert!(html.contains(&format!("\"><bdi>{}</bdi></a>", p.mark)), "{}", p.mark);
    }
    for f in &doc.findings {
        let info = f.code.info();
        assert!(html.contains(info.name));
    }
    for text in [
        "checked: no two plates of a layer overlap",
        "near face of R1 to joint 11'-0&quot; from far face of R1",
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
    assert!(metric.contains("<strong>4800 mm</strong> <small>15'-9&quot;</small>")); // 188.976 in
}

/// The groups of a drawing by class and id, one after the other, up to the next one.
fn group<'a>(html: &'a str, id: &str) -> &'a str {
    let start = html.find(&format!("<g id=\"{id}\"")).unwrap_or_else(|| panic!("no group {id}"));
    let rest = &html[start + 3..];
    &rest[..rest.find("<g id=\"").unwrap_or(rest.len())]
}

#[test]
fn every_plate_is_drawn_once() {
    let doc = sample::crowded(36);
    let html = report_html(&doc, "", "").unwrap();
    for (i, p) in doc.plan.pieces.iter().enumerate() {
        let name = p.layer.name();
        let id = format!("data-p=\"{}\"", i + 1);
        let path = format!("<path {id} d=");
        assert_eq!(html.matches(&path).count(), 1, "{id}");
        assert!(group(&html, &format!("s1-{name}-plates")).contains(&path), "{id}");
        assert_eq!(html.matches(&format!("<tr id=\"P{}\" {id}>", i + 1)).count(), 1, "{id}");
        assert_eq!(html.matches(&format!(">{}</text>", p.mark)).count(), 1, "{}", p.mark);
        let marks = group(&html, &format!("s1-{name}-marks"));
        assert!(marks.contains(&format!(">{}</text>", p.mark)), "{}", p.mark);
    }
}

#[test]
fn a_drawn_plate_is_its_outline() {
    // Reads the path back: corner by corner the outline, y turned down, to a hundredth of an inch.
    for (name, doc) in documents() {
        let html = report_html(&doc, "", "").unwrap();
        for (i, p) in doc.plan.pieces.iter().enumerate() {
            let path = format!("<path data-p=\"{}\" d=\"", i + 1);
            let d = html.split(&path).nth(1).unwrap().split('"').next().unwrap();
            let got = corners(d);
            assert_eq!(got.len(), p.outline.len(), "{name} {d}");
            for (got, want) in got.iter().zip(&p.outline) {
                let off =
                    (got.0 - want.x.to_inches()).abs().max((got.1 + want.y.to_inches()).abs());
                assert!(off <= 0.005 + 1e-9, "{name} {d}");
            }
        }
    }
}

/// The corners of a path of one closed figure.
fn corners(d: &str) -> Vec<(f64, f64)> {
    let mut at = (0.0, 0.0);
    let mut out = Vec::new();
    let mut rest = d.strip_suffix('z').unwrap();
    while let Some(command) = rest.chars().next() {
        let end = rest[1..].find(|c: char| c.is_ascii_alphabetic()).map_or(rest.len(), |n| n + 1);
        let (numbers, after) = (&rest[1..end], &rest[end..]);
        let pair = || -> (f64, f64) {
            let cut = numbers[1..].find([' ', '-']).unwrap() + 1;
            (numbers[..cut].parse().unwrap(), numbers[cut..].trim_start().parse().unwrap())
        };
        let one = || numbers.parse::<f64>().unwrap();
        at = match command {
            'M' => pair(),
            'l' => (at.0 + pair().0, at.1 + pair().1),
            'h' => (at.0 + one(), at.1),
            'v' => (at.0, at.1 + one()),
            other => panic!("{other} in {d}"),
        };
        out.push(at);
        rest = after;
    }
    out
}

#[test]
fn the_facts_of_a_piece_are_its_marks_and_nails() {
    for (name, doc) in documents() {
        let html = report_html(&doc, "", "").unwrap();
        let block = html.split("type=\"application/json\">").nth(1).unwrap();
        let facts: Value = serde_json::from_str(block.split("</script>").next().unwrap()).unwrap();
        assert_eq!(facts["walls"].as_array().unwrap().len(), doc.floor.walls.len());
        for (p, fact) in doc.plan.pieces.iter().zip(facts["pieces"].as_array().unwrap()) {
            assert_eq!(fact[1], p.layer.name());
            let at = |text: &str| -> Vec<(String, f64)> {
                let kinds = text.split('|').filter(|k| !k.is_empty());
                kinds
                    .flat_map(|kind| {
                        let (key, steps) = kind.split_once(':').unwrap();
                        let mut sum = 0.0;
                        let mut out = Vec::new();
                        for step in steps.split(' ') {
                            let (by, times) = step.split_once('*').unwrap_or((step, "1"));
                            for _ in 0..times.parse::<u32>().unwrap() {
                                sum += by.parse::<f64>().unwrap();
                                out.push((key.to_owned(), sum));
                            }
                        }
                        out
                    })
                    .collect()
            };
            let got = at(fact[4].as_str().unwrap());
            assert_eq!(got.len(), p.marks.len(), "{name}");
            for ((kind, station), mark) in got.iter().zip(&p.marks) {
                assert_eq!(kind, mark.kind.name());
                assert!((station - mark.at.to_inches()).abs() < 0.006, "{name} {station}");
            }
            let got = at(fact[5].as_str().unwrap());
            let nails: u32 = got
                .iter()
                .map(|(key, _)| key.split_once('x').unwrap().1.parse::<u32>().unwrap())
                .sum();
            assert_eq!(nails, p.nails.iter().map(|n| n.count).sum::<u32>(), "{name}");
        }
    }
}

#[test]
fn linework_is_drawn_with_its_fate() {
    let mut doc = sample::house();
    let group_of = |layer: &str, left_out: Option<&str>, lines_in| wall_model::LineGroup {
        storey: None,
        layer: layer.to_owned(),
        left_out: left_out.map(str::to_owned),
        lines_in,
    };
    let plain = report_html(&doc, "", "").unwrap();
    assert!(!plain.contains("value=\"drawn\""), "no switch for nothing");
    doc.linework.groups = vec![
        group_of("A-WALL", None, vec![[0.0, 0.0, 10.0, 0.0], [10.0, 0.0, 10.0, 4.5]]),
        group_of(
            "\"><script>",
            Some("layer not a wall layer: A-FURN"),
            vec![[1.0, 2.0, f32::NAN, 2.0], [1.0, 2.0, 3.0, 2.0]],
        ),
    ];
    let html = report_html(&doc, "", "").unwrap();
    assert!(html.contains("value=\"drawn\""));
    let drawn = group(&html, "s1-drawn");
    assert!(
        drawn.contains("<path class=\"used\" data-layer=\"A-WALL\" d=\"M0 0h10v-4.5\"/>"),
        "{drawn}"
    );
    let left =
        "<path class=\"left\" data-l=\"1\" data-layer=\"&quot;&gt;&lt;script&gt;\" d=\"M1-2h2\"/>";
    assert!(drawn.contains(left), "{drawn}");
    assert!(html.contains("<tr data-l=\"1\">"));
}

#[test]
fn thousands_of_findings_are_all_listed_and_their_pins_share_places() {
    let mut doc = sample::house();
    for i in 0..3000_i64 {
        let at = geom::Point::new(Length::inches(i % 60 * 4), Length::inches(i / 60 * 3));
        let text = format!("Demo finding {i}.");
        doc.findings.push(diag::Finding::new(diag::codes::input::REPAIRED, text).at(at));
    }
    doc.sort_findings();
    let html = report_html(&doc, "", "").unwrap();
    let pins = group(&html, "s1-pins").split("</g>").next().unwrap();
    let pins: Vec<&str> = pins.split("data-f=\"").skip(1).collect();
    assert!(pins.len() < 800, "{} pins", pins.len());
    let mut shown: Vec<usize> = pins
        .iter()
        .flat_map(|p| p.split('"').next().unwrap().split(' '))
        .map(|n| n.parse().unwrap())
        .collect();
    shown.sort_unstable();
    assert!(shown.iter().copied().eq(1..=3001), "every finding with a place has a pin");
    assert_eq!(html.matches("<li id=\"f").count(), 3001);
}

#[test]
fn same_document_same_bytes() {
    for (name, doc) in documents() {
        let once = all(&doc, "Demo", "12").unwrap();
        assert_eq!(once, all(&doc.clone(), "Demo", "12").unwrap(), "{name}");
        let names: Vec<&str> = once.iter().map(|f: &OutputFile| f.name).collect();
        assert_eq!(
            names,
            [
                "plan.json",
                "cuts.csv",
                "cuts-grouped.csv",
                "stock.csv",
                "leftovers.csv",
                "report.html"
            ]
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
    assert!(html.contains("not verified") && html.contains("No pieces."));
    assert_eq!(group(&html, "s1-upper-plates").matches("class=\"bare\"").count(), 5);
    (doc.floor.walls, doc.floor.runs, doc.floor.junctions) = (vec![], vec![], vec![]);
    assert_eq!(all(&doc, "", "").unwrap().len(), 6);
    assert_eq!(rows(&cuts_csv(&doc, "", "").unwrap()).len(), 0);
}

/// The page is put together with gaps for project and lot; no text on it can be taken for one.
#[test]
fn no_text_is_taken_for_a_gap() {
    let mut doc = sample::hostile();
    let odd = |text: &mut String| text.push('\0');
    odd(&mut doc.source.file);
    odd(&mut doc.source.written_by);
    odd(&mut doc.source.version);
    odd(&mut doc.source.units.decided_by);
    odd(&mut doc.settings.rules);
    doc.settings.regions.push("\0".to_owned());
    doc.floor.storeys.iter_mut().for_each(|s| odd(&mut s.name));
    doc.plan.pieces.iter_mut().for_each(|p| odd(&mut p.mark));
    doc.plan.fasteners.iter_mut().for_each(|f| odd(&mut f.nail));
    for f in &mut doc.findings {
        odd(&mut f.message);
        odd(&mut f.subject);
    }
    for source in doc.floor.walls.iter_mut().flat_map(|w| &mut w.source) {
        odd(&mut source.layer);
        odd(&mut source.entity);
    }
    let html = report_html(&doc, "P\0", "L\0").unwrap();
    assert!(!html.contains('\0'));
    assert_eq!(
        html.matches("<title>P\u{fffd} \u{b7} L\u{fffd} \u{b7} plate plan</title>").count(),
        1
    );
}

/// What is printed beside each other: room less what is cut less is what is cut.
#[test]
fn a_row_never_contradicts_itself() {
    use export::{measure::measure, text::length_text, view::View};
    use geom::Length;
    let mut off_grid = 0;
    for doc in [
        sample::house(),
        sample::metric_house(),
        sample::oblique(),
        sample::troubled(),
        sample::turned(31.0),
        sample::turned(123.456),
        sample::crowded(36),
    ] {
        let view = View::of(&doc).unwrap();
        for p in doc.plan.pieces.iter().filter(|p| p.rake.is_none()) {
            let m = measure(&view, p);
            let cut = Length::parse(&length_text(p)).unwrap();
            assert_eq!(m.distance + m.cut_more, cut, "{}", p.mark);
            let grid = if p.section.is_metric() { Length::mm(1) } else { Length::SIXTEENTH };
            assert_eq!(m.distance.round_to(grid), m.distance, "{}", p.mark);
            off_grid += usize::from(p.length.round_to(grid) != p.length);
        }
    }
    assert!(off_grid > 0);
}

/// Of every nail `plan.json` says what it goes into: of a bottom plate the floor or a stud.
#[test]
fn nails_say_what_they_go_into() {
    use plan_model::{Layer, NailSpot};
    let mut doc = sample::house();
    let at = geom::Length::inches(9);
    let spot = |into_floor| NailSpot { at, count: 1, nail: "16d common".into(), into_floor };
    for p in doc.plan.pieces.iter_mut().filter(|p| p.layer != Layer::Upper) {
        p.nails = vec![spot(false)];
        if p.layer == Layer::Bottom {
            p.nails.push(spot(true));
        }
    }
    let plan: Value = serde_json::from_str(&export::plan_json(&doc).unwrap()).unwrap();
    for p in plan["pieces"].as_array().unwrap() {
        let nails = p["nails"].as_array().unwrap();
        let into: Vec<&str> = nails.iter().map(|n| n["into"].as_str().unwrap()).collect();
        match p["layer"].as_str().unwrap() {
            "bottom" => assert_eq!(into, ["stud", "floor"]),
            "lower" => assert_eq!(into, ["stud"]),
            _ => assert!(into.iter().all(|i| *i == "plate"), "{into:?}"),
        }
    }
}
