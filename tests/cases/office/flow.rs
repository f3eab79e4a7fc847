//! From a dropped drawing to the files, by way of edits; and the same files from the command line.

use super::client::{Running, Scratch, conforms, demo_dxf, fixture};
use platewright_tests::bad;
use platewright_tests::dxf::{self, Options};
use platewright_tests::house::INCH;
use serde_json::{Value, json};
use std::ffi::OsString;
use std::path::Path;

fn no_edits() -> Value {
    json!({ "version": 1 })
}

/// The wall of a plan on which a point lies, by the ends of its centreline.
fn wall_where(plan: &Value, wanted: impl Fn(&Value) -> bool) -> Value {
    let walls = plan["walls"].as_array().unwrap();
    walls.iter().find(|w| wanted(w)).unwrap_or_else(|| panic!("no such wall")).clone()
}
fn codes(plan: &Value) -> Vec<&str> {
    plan["findings"].as_array().unwrap().iter().map(|f| f["code"].as_str().unwrap()).collect()
}

/// Runs `platewright plan` in this process.
fn command_line(folder: &Path, drawing: &str, more: &[&str]) -> u8 {
    let (drawing, out) = (folder.join(drawing), folder.join("out"));
    let mut args: Vec<OsString> = ["platewright", "plan"].map(OsString::from).into();
    args.extend([drawing.into(), "-o".into(), out.into()]);
    args.extend(["--sheets", "letter", "--drawings"].map(OsString::from));
    args.extend(more.iter().map(OsString::from));
    let (mut said, mut err) = (Vec::new(), Vec::new());
    let status = platewright::run(args, &mut said, &mut err, false);
    assert!(status <= 1, "{}", String::from_utf8_lossy(&err));
    status
}

/// Every file of a job against what the command line makes of the same drawing, settings and edits.
fn same_as_the_command_line(server: &Running, id: &str, drawing: &[u8], settings: &str) {
    let scratch = Scratch::new(&format!("cli-{id}"));
    let job = server.get(&format!("/api/jobs/{id}")).expect(200, "Job");
    let (file, lot) = (job["file"].as_str().unwrap(), job["lot"].as_str().unwrap());
    std::fs::write(scratch.path().join(file), drawing).unwrap();
    std::fs::write(scratch.path().join("settings.toml"), settings).unwrap();
    let overrides = server.get(&format!("/api/jobs/{id}/overrides.toml"));
    std::fs::write(scratch.path().join("edits.toml"), overrides.body).unwrap();
    let at = |name: &str| scratch.path().join(name).to_str().unwrap().to_owned();
    let (settings, edits) = (at("settings.toml"), at("edits.toml"));
    command_line(
        scratch.path(),
        file,
        &["--settings", &settings, "--overrides", &edits, "--lot", lot],
    );
    let files = server.get(&format!("/api/jobs/{id}/files")).expect(200, "Files");
    let mut names: Vec<&str> =
        files["files"].as_array().unwrap().iter().map(|f| f["name"].as_str().unwrap()).collect();
    names.sort_unstable();
    assert_eq!(names, scratch.names("out"));
    assert!(names.contains(&"crew-letter.pdf") && names.contains(&"plates.ifc"), "{names:?}");
    for name in names {
        let sent = server.get(&format!("/api/jobs/{id}/files/{name}")).body;
        let made = std::fs::read(scratch.path().join("out").join(name)).unwrap();
        assert!(sent == made, "{id}: {name} differs from the command line's");
    }
}

#[test]
fn the_demo_from_drop_to_files() {
    let scratch = Scratch::new("demo");
    let server = Running::with_demo_settings(scratch.path());
    server.get("/api/about").expect(200, "About");
    server.get("/api/codes").expect(200, "Codes");
    let id = server.planned("willow-bend.dxf", "", &demo_dxf());
    let at = format!("/api/jobs/{id}");
    let drawing = server.get(&format!("{at}/drawing")).expect(200, "Drawing");
    let lines: usize = drawing["groups"]
        .as_array()
        .unwrap()
        .iter()
        .map(|g| g["lines"].as_array().unwrap().len() / 4)
        .sum();
    assert!(lines > 40, "{lines} lines");
    let reading = server.get(&format!("{at}/reading")).expect(200, "Reading");
    assert_eq!(reading["units"]["name"], "in");
    let row = reading["rows"]
        .as_array()
        .unwrap()
        .iter()
        .find(|r| r["name"] == "A-WALL-EXTR-2X6")
        .unwrap()
        .clone();
    assert_eq!((&row["used_as"], &row["section"]), (&json!("wall"), &json!("2x6")));
    server.get(&format!("{at}/picture")).expect(200, "Picture");

    // What the page draws is what plan.json has, moved by the offset that is told.
    let plan = server.plan_of(&id);
    let file: Value = server.get(&format!("{at}/files/plan.json")).json();
    let offset = &plan["frame"]["plan_offset"];
    let moved = |p: &Value, i: usize| p[i].as_f64().unwrap() + offset[i].as_f64().unwrap();
    assert_eq!(plan["pieces"].as_array().unwrap().len(), file["pieces"].as_array().unwrap().len());
    for (shown, kept) in
        plan["pieces"].as_array().unwrap().iter().zip(file["pieces"].as_array().unwrap())
    {
        assert_eq!(shown["mark"], kept["mark"]);
        for i in 0..2 {
            let gap = shown["outline"][0][i].as_f64().unwrap() - moved(&kept["outline"][0], i);
            assert!(gap.abs() < 1e-6);
        }
    }
    let kinds = |v: &Value| -> Vec<Value> {
        v["junctions"].as_array().unwrap().iter().map(|j| j["kind"].clone()).collect()
    };
    assert_eq!(kinds(&plan), kinds(&file));
    // The walls lie on the drawing's own lines: both are in the page's frame.
    let first = &plan["walls"][0];
    let near = |p: &Value| {
        drawing["groups"].as_array().unwrap().iter().any(|g| {
            let all: Vec<f64> =
                g["lines"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            all.chunks(2).any(|q| {
                (q[0] - p[0].as_f64().unwrap()).abs() < 0.02
                    && (q[1] - p[1].as_f64().unwrap()).abs() < 0.02
            })
        })
    };
    assert!(near(&first["start"]), "{first}");
    assert_eq!(first["how"], "layer");
    same_as_the_command_line(&server, &id, &demo_dxf(), platewright_tests::demo::SETTINGS);

    let zip = server.get(&format!("{at}/zip"));
    assert_eq!(zip.header("content-type"), Some("application/zip"));
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(zip.body)).unwrap();
    let mut names: Vec<String> = zip.file_names().map(str::to_owned).collect();
    names.sort();
    assert!(names.contains(&"cuts.csv".into()) && names.contains(&"settings.toml".into()));
    let mut cuts = Vec::new();
    std::io::copy(&mut zip.by_name("cuts.csv").unwrap(), &mut cuts).unwrap();
    assert_eq!(cuts, server.get(&format!("{at}/files/cuts.csv")).body);
}

/// One edit of each kind; the same files as the command line with the overrides file; kept over a restart.
#[test]
fn edits_are_the_command_lines() {
    let scratch = Scratch::new("edits");
    let server = Running::with_demo_settings(scratch.path());
    let id = server.planned("willow-bend.dxf", "&lot=14", &demo_dxf());
    let plan = server.plan_of(&id);
    let inside = wall_where(&plan, |w| w["exterior"] == false && w["section"] == "2x4");
    let other = wall_where(&plan, |w| {
        w["exterior"] == false && w["ref"] != inside["ref"] && w["openings"] == json!([])
    });
    let (a, b) = (&inside["start"], &inside["end"]);
    let middle = |i: usize| (a[i].as_f64().unwrap() + b[i].as_f64().unwrap()) / 2.0;
    let beside = |i: usize| middle(i) + if i == 0 { 30.0 } else { 20.0 };
    let edits = json!({
        "version": 1,
        "layers": [{ "match": "A-WALL-EXTR-2X6-PRCH", "use": "ignore", "note": "no porch" }],
        "walls": [{ "wall": inside["ref"], "section": "2x6", "bearing": true, "top": 97.125 }],
        "removed": [{ "wall": other["ref"] }],
        "added": [{ "start": [middle(0), middle(1)], "end": [beside(0), beside(1)], "section": "2x4" }],
    });
    let edited = server.edit(&id, &plan["edition"], &edits).expect(200, "Plan");
    assert_eq!((&edited["planned"], &edited["edition"]), (&json!(true), &json!(2)));
    assert_eq!(edited["reading_changed"], true, "the mapping changed");
    assert_eq!(edited["frame"]["origin"], plan["frame"]["origin"], "nothing jumps on the page");
    let now = wall_where(&edited, |w| w["ref"] == inside["ref"]);
    assert_eq!((&now["section"], &now["bearing"]), (&json!("2x6"), &json!(true)));
    assert_eq!(now["edits"], json!([{ "list": "walls", "index": 0 }]));
    assert_eq!(wall_where(&edited, |w| w["ref"] == other["ref"])["state"], "removed");
    let drawn = wall_where(&edited, |w| w["how"] == "drawn-in");
    assert_eq!((&drawn["state"], &drawn["ref"]), (&json!("planned"), &Value::Null));
    assert!(codes(&edited).contains(&"overrides-in-force"));
    assert!(!codes(&edited).contains(&"override-lost"));

    // What is kept comes back as it was sent, to the last bit.
    let kept = server.get(&format!("/api/jobs/{id}/overrides")).expect(200, "OverridesNow");
    assert_eq!(kept["overrides"]["walls"][0]["wall"], inside["ref"]);
    assert_eq!(kept["overrides"]["removed"][0]["wall"], other["ref"]);
    same_as_the_command_line(&server, &id, &demo_dxf(), platewright_tests::demo::SETTINGS);
    let file: Value = server.get(&format!("/api/jobs/{id}/files/plan.json")).json();
    assert_eq!(file["overrides"]["layers"][0]["note"], "no porch");

    // Put back without a change: the same plan, one edition on. A wall alone does not read the file anew.
    let again = server.edit(&id, &json!(2), &kept["overrides"]).expect(200, "Plan");
    assert_eq!((&again["pieces"], &again["reading_changed"]), (&edited["pieces"], &json!(false)));
    // Two tabs: an edit on an older edition is not done.
    server.edit(&id, &json!(2), &no_edits()).refused(409, "older-edition");

    drop(server);
    let server = Running::with_demo_settings(scratch.path());
    let mut after = server.plan_of(&id);
    let mut before = again;
    for plan in [&mut after, &mut before] {
        plan["millis"] = json!(0);
    }
    assert_eq!(after, before, "a restart changes nothing");
    let undone = server.edit(&id, &after["edition"], &no_edits()).expect(200, "Plan");
    assert_eq!(undone["pieces"], plan["pieces"]);
    same_as_the_command_line(&server, &id, &demo_dxf(), platewright_tests::demo::SETTINGS);
}

/// A wall that stops just short, and the snap that the page offers.
#[test]
fn a_near_miss_is_accepted() {
    let mut shed = bad::shed();
    // 2-1/2 in short of the south wall's centreline: the reach is half a 2x4 and 3/8 in.
    shed.walls[4].from.1 += 5 * INCH / 2;
    let bytes = dxf::write(&shed, Options { insunits: 1, origin: (INCH * 500, 0) }).into_bytes();
    let scratch = Scratch::new("snap");
    let server = Running::in_folder(scratch.path());
    let id = server.planned("shed.dxf", "", &bytes);
    let plan = server.plan_of(&id);
    let near = plan["near_misses"].as_array().unwrap();
    assert_eq!(near.len(), 1, "{near:?}");
    assert_eq!(near[0]["gap_in"], 2.5);
    let stem = wall_where(&plan, |w| w["id"] == near[0]["wall"]);
    assert_eq!(stem["ref"], near[0]["snap"]["wall"]);
    assert!(plan["junctions"].as_array().unwrap().iter().any(|j| j["near_miss"] == true));
    let edits = json!({ "version": 1, "snaps": [near[0]["snap"]] });
    let snapped = server.edit(&id, &plan["edition"], &edits).expect(200, "Plan");
    assert_eq!(snapped["near_misses"], json!([]));
    let tees =
        |p: &Value| p["junctions"].as_array().unwrap().iter().filter(|j| j["kind"] == "T").count();
    assert_eq!((tees(&plan), tees(&snapped)), (0, 1));
    same_as_the_command_line(&server, &id, &bytes, "");
}

/// A refused drawing is cured by the page's mapping.
#[test]
fn units_and_layers_are_answered() {
    let scratch = Scratch::new("cure");
    let server = Running::in_folder(scratch.path());
    for (name, edits, code) in [
        ("dxf/unitless.dxf", json!({ "version": 1, "units": "in" }), "units-missing"),
        ("dxf/unknown-layers.dxf", Value::Null, "no-walls"),
    ] {
        let bytes = fixture(name);
        let file = name.rsplit('/').next().unwrap();
        let taken = server.upload(file, "", &bytes).expect(201, "Uploaded");
        let id = taken["job"]["id"].as_str().unwrap();
        let job = server.finished(id);
        if job["state"] != "refused" {
            // Read by shape: a doubtful plan is a plan.
            let plan = server.plan_of(id);
            assert!(codes(&plan).contains(&"dxf-walls-by-shape"), "{name}: {job}");
            continue;
        }
        let plan = server.plan_of(id);
        assert_eq!((&plan["planned"], codes(&plan)[0]), (&json!(false), code));
        let drawing = server.get(&format!("/api/jobs/{id}/drawing")).expect(200, "Drawing");
        assert!(!drawing["groups"].as_array().unwrap().is_empty());
        let reading = server.get(&format!("/api/jobs/{id}/reading")).expect(200, "Reading");
        let edits = if edits.is_null() {
            let rows = reading["rows"].as_array().unwrap();
            let offered: Vec<&Value> =
                rows.iter().map(|r| &r["proposed"]).filter(|p| !p.is_null()).collect();
            json!({ "version": 1, "layers": offered })
        } else {
            edits
        };
        server.get(&format!("/api/jobs/{id}/files")).refused(409, "not-now");
        let cured = server.edit(id, &plan["edition"], &edits).expect(200, "Plan");
        assert_eq!(cured["planned"], true, "{name}: {:?}", codes(&cured));
        same_as_the_command_line(&server, id, &bytes, "");
    }
}

/// The same drawing in another unit, mirrored: the page's frame changes, edits stay on their walls.
#[test]
fn edits_hold_when_the_frame_changes() {
    let scratch = Scratch::new("frames");
    let server = Running::with_demo_settings(scratch.path());
    for (name, bytes) in
        [("willow-bend.dxf", demo_dxf()), ("willow-bend.ifc", fixture("demo/willow-bend.ifc"))]
    {
        let id = server.planned(name, "", &bytes);
        let plan = server.plan_of(&id);
        let wall = wall_where(&plan, |w| w["exterior"] == true && w["section"] == "2x6");
        let edits = json!({ "version": 1, "walls": [{ "wall": wall["ref"], "section": "2x4" }] });
        let one = server.edit(&id, &json!(1), &edits).expect(200, "Plan");
        assert_eq!(wall_where(&one, |w| w["ref"] == wall["ref"])["section"], "2x4");
        let kept = server.get(&format!("/api/jobs/{id}/overrides")).expect(200, "OverridesNow");
        let mut mirrored = kept["overrides"].clone();
        mirrored["mirror"] = json!("x");
        let two = server.edit(&id, &json!(2), &mirrored).expect(200, "Plan");
        assert_eq!((&two["frame"]["mirror"], &two["reading_changed"]), (&json!("x"), &json!(true)));
        assert!(!codes(&two).contains(&"override-lost"), "{name}: {:?}", codes(&two));
        assert!(!codes(&two).contains(&"override-moved"), "{name}: {:?}", codes(&two));
        let kept = server.get(&format!("/api/jobs/{id}/overrides")).expect(200, "OverridesNow");
        let moved = wall_where(&two, |w| w["ref"] == kept["overrides"]["walls"][0]["wall"]);
        assert_eq!(moved["section"], "2x4");
        server.get(&format!("/api/jobs/{id}/reading")).expect(200, "Reading");
        server.get(&format!("/api/jobs/{id}/drawing")).expect(200, "Drawing");
        same_as_the_command_line(&server, &id, &bytes, platewright_tests::demo::SETTINGS);
    }
}

/// A new revision takes the edits over; what no longer fits is told; what changed is told.
#[test]
fn a_revision_keeps_the_edits() {
    let scratch = Scratch::new("revision");
    let server = Running::in_folder(scratch.path());
    let old = server.planned("shed.dxf", "&project=Test&lot=7", bad::shed_dxf().as_bytes());
    let plan = server.plan_of(&old);
    let stem = wall_where(&plan, |w| w["exterior"] == false);
    let east = wall_where(&plan, |w| w["exterior"] == true);
    let edits = json!({
        "version": 1,
        "walls": [{ "wall": stem["ref"], "section": "2x6" }, { "wall": east["ref"], "bearing": false }],
    });
    server.edit(&old, &json!(1), &edits).expect(200, "Plan");

    let mut shed = bad::shed();
    shed.walls.remove(4);
    let bytes = dxf::write(&shed, Options { insunits: 1, origin: (0, 0) }).into_bytes();
    let new = server.planned("shed.dxf", &format!("&revision_of={old}"), &bytes);
    let job = server.get(&format!("/api/jobs/{new}")).expect(200, "Job");
    assert_eq!((&job["lot"], &job["revision_of"]), (&json!("7"), &json!(old)));
    let plan = server.plan_of(&new);
    let lost: Vec<&Value> = plan["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["code"] == "override-lost")
        .collect();
    assert_eq!(lost.len(), 1, "the wall that is gone, and not the other");
    assert_eq!(lost[0]["severity"], "error");
    assert!(lost[0]["at"].is_array());

    let changes = server.get(&format!("/api/jobs/{new}/compare/{old}")).expect(200, "Comparison");
    assert_eq!(changes["same"], false);
    assert!(!changes["text"].as_array().unwrap().is_empty());
    let svg = server.get(&format!("/api/jobs/{new}/compare/{old}/changes.svg"));
    assert_eq!(svg.header("content-type"), Some("image/svg+xml"));
    assert!(svg.body.starts_with(b"<svg"));
    let same = server.get(&format!("/api/jobs/{old}/compare/{old}")).expect(200, "Comparison");
    assert_eq!(same["same"], true);
    // A revision that is the same drawing is one that is there already.
    let again = server.upload("shed.dxf", &format!("&revision_of={new}"), &bytes);
    assert_eq!(again.expect(200, "Uploaded")["job"]["id"], *new);
}

#[test]
fn findings_are_ticked_off_and_names_change_results() {
    let scratch = Scratch::new("ticks");
    let server = Running::in_folder(scratch.path());
    let id = server.planned("shed.dxf", "", bad::shed_dxf().as_bytes());
    let plan = server.plan_of(&id);
    let finding = plan["findings"][0].clone();
    let key = finding["key"].as_str().unwrap();
    let tick = |on: bool| {
        let path = format!("/api/jobs/{id}/findings/{key}");
        server.send("PUT", &path, &json!({ "looked_at": on })).expect(200, "LookedAt");
        server.plan_of(&id)["findings"][0]["looked_at"].clone()
    };
    assert_eq!((tick(true), tick(false), tick(true)), (json!(true), json!(false), json!(true)));

    let names = json!({ "project": "Elm Court", "lot": "9", "paper": "a4" });
    let job = server.send("PATCH", &format!("/api/jobs/{id}"), &names).expect(200, "Job");
    assert_eq!((&job["lot"], &job["edition"]), (&json!("9"), &json!(2)));
    let files = server.get(&format!("/api/jobs/{id}/files")).expect(200, "Files");
    assert_eq!(files["zip"], "9-plates.zip");
    assert!(files["files"].as_array().unwrap().iter().any(|f| f["name"] == "crew-a4.pdf"));
    let cuts = server.get(&format!("/api/jobs/{id}/files/cuts.csv")).body;
    assert!(String::from_utf8(cuts).unwrap().contains("Elm Court,9,"));
    let bad_paper = json!({ "paper": "napkin" });
    server.send("PATCH", &format!("/api/jobs/{id}"), &bad_paper).refused(422, "will-not-do");

    let settings = json!({ "edition": 2, "toml": "[studs]\nspacing = 24.0\n" });
    let path = format!("/api/jobs/{id}/settings");
    let plan = server.send("PUT", &path, &settings).expect(200, "Plan");
    assert_eq!(plan["edition"], 3);
    let kept = server.get(&path).expect(200, "SettingsNow");
    assert_eq!(kept["toml"], settings["toml"]);
    let bad = json!({ "edition": 3, "toml": "[studs]\nspasing = 24.0\n" });
    let told = server.send("PUT", &path, &bad).refused(422, "will-not-do");
    assert!(told["findings"][0]["message"].as_str().unwrap().contains("spasing"));

    let gone = super::client::ask(server.address, "DELETE", &format!("/api/jobs/{id}"), &[], b"");
    assert_eq!(gone.status, 204);
    server.get(&format!("/api/jobs/{id}")).refused(404, "not-found");
    assert!(scratch.names("jobs").is_empty() && scratch.names("incoming").is_empty());
}

/// What the edits of two real drawings give, on the page and on the command line.
#[test]
fn two_real_drawings_as_on_the_command_line() {
    let corpus = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/corpus/dxf");
    if !corpus.is_dir() {
        eprintln!("skipped: no shared corpus beside this checkout");
        return;
    }
    let scratch = Scratch::new("real");
    let server = Running::in_folder(scratch.path());
    for name in ["us_house_bishop_overland_r2004.dxf", "us_apartments_inch_r2004.dxf"] {
        let bytes = std::fs::read(corpus.join(name)).unwrap();
        let taken = server.upload(name, "", &bytes).expect(201, "Uploaded");
        let id = taken["job"]["id"].as_str().unwrap().to_owned();
        let job = server.finished(&id);
        let edition = &job["edition"];
        let plan =
            server.edit(&id, edition, &json!({ "version": 1, "units": "in" })).expect(200, "Plan");
        assert_eq!(plan["planned"], true, "{name}");
        let kept = server.get(&format!("/api/jobs/{id}/overrides")).expect(200, "OverridesNow");
        let mut edits = kept["overrides"].clone();
        let walls = plan["walls"].as_array().unwrap();
        let changed: Vec<Value> = walls
            .iter()
            .step_by(walls.len() / 5 + 1)
            .map(|w| json!({ "wall": w["ref"], "bearing": true }))
            .collect();
        edits["walls"] = json!(changed);
        edits["snaps"] = plan["near_misses"]
            .as_array()
            .unwrap()
            .iter()
            .take(1)
            .map(|n| n["snap"].clone())
            .collect();
        let edited = server.edit(&id, &plan["edition"], &edits).expect(200, "Plan");
        assert!(!codes(&edited).contains(&"override-lost"), "{name}: {:?}", codes(&edited));
        for w in edited["walls"].as_array().unwrap() {
            conforms(w, "Wall");
        }
        server.get(&format!("/api/jobs/{id}/reading")).expect(200, "Reading");
        server.get(&format!("/api/jobs/{id}/drawing")).expect(200, "Drawing");
        same_as_the_command_line(&server, &id, &bytes, "");
    }
}
