//! Walls that run up to a roof, from a drawing and a settings file to every paper.

use crate::tools::{Scratch, json, plan, run};
use platewright_tests::bad;
use platewright_tests::checker::{self, list, number, text};
use serde_json::Value;
use settings::{LayerRule, LayerUse, Mirror, Roof, Settings, Uphill};

fn under(roof: Roof, mirror: Mirror) -> Settings {
    let rule = LayerRule {
        pattern: "A-WALL*".into(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section: None,
        top: None,
        roof: Some(roof),
    };
    Settings { layers: vec![rule], mirror, ..Settings::default() }
}

fn planned(settings: &Settings) -> Value {
    let document = plan("shed.dxf", bad::shed_dxf().as_bytes(), settings);
    let document = document.unwrap_or_else(|e| panic!("{e}"));
    let broken: Vec<_> = document.checked.iter().filter(|l| l.breaches > 0).collect();
    assert!(broken.is_empty(), "{broken:#?}\n{:#?}", document.findings);
    json(&document)
}

/// A stranger finds nothing wrong with any of them, and a mirrored house has the same pieces.
#[test]
fn a_house_under_any_roof_is_sound() {
    for rise_in_12 in [1.0, 4.0, 12.0] {
        for uphill in Uphill::ALL {
            let lengths = |mirror| {
                let plan = planned(&under(Roof { rise_in_12, uphill }, mirror));
                assert_eq!(checker::faults(&plan), Vec::<String>::new(), "{uphill:?} {rise_in_12}");
                let raked = list(&plan["pieces"]).iter().filter(|p| p["rake"].is_object()).count();
                assert!(raked >= 4, "{uphill:?} {rise_in_12}: {raked}");
                let mut all: Vec<(String, String)> = list(&plan["pieces"])
                    .iter()
                    .map(|p| (text(&p["layer"]).to_owned(), text(&p["length_text"]).to_owned()))
                    .collect();
                all.sort();
                all
            };
            let plain = lengths(Mirror::None);
            // North and south change places with y, so do east and west with x: the walls do not.
            let mirror = match uphill {
                Uphill::East | Uphill::West | Uphill::InwardX => Mirror::Y,
                _ => Mirror::X,
            };
            assert_eq!(plain.len(), lengths(mirror).len(), "{uphill:?} {rise_in_12}");
        }
    }
}

/// The stranger's own measures notice a length that is right in plan and wrong on the slope.
#[test]
fn a_length_measured_level_is_noticed() {
    let roof = Roof { rise_in_12: 4.0, uphill: Uphill::East };
    let mut plan = planned(&under(roof, Mirror::None));
    let pieces = plan["pieces"].as_array_mut().unwrap();
    let p = pieces.iter_mut().find(|p| p["rake"].is_object()).unwrap();
    let level = number(&p["to"]) - number(&p["from"]);
    p["length_in"] = level.into();
    assert!(checker::faults(&plan).iter().any(|f| f.starts_with("7:")));
}

/// The command line with a settings file: exit status 0, every paper written, the rake in words.
#[test]
fn raked_plates_reach_every_paper() {
    let scratch = Scratch::new("raked");
    let drawing = scratch.file("shed.dxf", bad::shed_dxf().as_bytes());
    let settings =
        "[[layers]]\nmatch = 'A-WALL*'\nuse = 'wall'\nrise_in_12 = 5\nuphill = 'inward-x'\n";
    let settings = scratch.file("roof.toml", settings.as_bytes());
    let out = scratch.arg("out");
    let ran = run(&[
        "plan",
        &drawing,
        "--settings",
        &settings,
        "--sheets",
        "letter",
        "--svg",
        "--drawings",
        "-o",
        &out,
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let read = |name: &str| {
        let bytes = std::fs::read(scratch.path().join("out").join(name)).unwrap();
        String::from_utf8_lossy(&bytes).into_owned()
    };
    let report = read("report.html");
    // 5 in 12: atan(5/12) = 22.62 degrees.
    for words in ["5.0 in 12", "blade tilted 22.62", "along a face"] {
        assert!(report.contains(words), "{words}");
    }
    // The heights told beside a wall's length are those of its faces, as on the crew sheets: two plates measured plumb, of
    // 3 x 13/12 in, over the underside of the lower one.
    let plan: Value = serde_json::from_str(&read("plan.json")).unwrap();
    let lower = |p: &&Value| text(&p["layer"]) == "lower" && p["rake"].is_object();
    let told = |inches: f64| geom::Length::from_inches(inches).unwrap().feet_inches().to_string();
    for p in list(&plan["pieces"]).iter().filter(lower) {
        let [low, high] = [&p["z"], &p["rake"]["z_end"]].map(|z| told(number(z) + 3.25));
        let heights = format!("top at these faces {low} and {high}");
        assert!(
            report.replace('\u{a0}', " ").replace("&quot;", "\"").contains(&heights),
            "{heights}"
        );
    }
    let cuts = read("cuts.csv");
    // 90 - 22.62 and 90 + 22.62, in the last two columns.
    assert!(cuts.lines().next().unwrap().ends_with(",left_tilt_deg,right_tilt_deg"), "{cuts}");
    let plumb = |deg: &str| matches!(deg, "67.38" | "112.62");
    let tilted = cuts.lines().filter(|row| row.rsplit(',').take(2).all(plumb)).count();
    assert!(tilted >= 4, "{cuts}");
    // The bottom plate under raked ones is level: another length, told by itself.
    let crew = scratch.entries("out");
    let crew = crew.iter().filter(|f| f.starts_with("crew-") && f.ends_with(".svg"));
    let crew: String = crew.map(|f| read(f)).collect();
    let raked: Vec<&str> = list(&plan["pieces"])
        .iter()
        .filter(|p| p["rake"].is_object())
        .map(|p| text(&p["run"]))
        .collect();
    let bottom = |p: &&Value| text(&p["layer"]) == "bottom" && raked.contains(&text(&p["run"]));
    for p in list(&plan["pieces"]).iter().filter(bottom) {
        let length = text(&p["length_text"]).replace('"', "&quot;").replace(' ', "\u{a0}");
        assert!(crew.contains(&format!(">{length}<")), "{} {length}", p["mark"]);
    }
    assert!(read("plates.ifc").contains("IFCDIRECTION(("));
    // Measured walls under a roof stay as planned, and are told.
    let of_run: Vec<Value> = serde_json::from_str::<Value>(&read("plan.json")).unwrap()["runs"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["top"] != r["top_end"])
        .cloned()
        .collect();
    let list = format!("wall,length\n{},100\n", text(&of_run[0]["id"]));
    let measured = scratch.file("measured.csv", list.as_bytes());
    let plan_json = scratch.arg("out/plan.json");
    let again = run(&["refit", &plan_json, &measured, "-o", &scratch.arg("refit")]);
    assert!(again.err.contains("raked top"), "{}", again.err);
}
