//! Items 5, 6 and 7, and the boards: everything that is told along a line.

use super::{LENGTH, found, list, near, number, point, ring, run, text};
use serde_json::Value;

/// A run's direction and start.
fn axis(plan: &Value, id: &str) -> ((f64, f64), (f64, f64)) {
    let r = run(plan, id);
    let (a, b) = (point(&r["start"]), point(&r["end"]));
    let length = (b.0 - a.0).hypot(b.1 - a.1);
    (a, ((b.0 - a.0) / length, (b.1 - a.1) / length))
}

/// Least and greatest station of a piece's outline along its run.
fn extent(plan: &Value, piece: &Value) -> (f64, f64) {
    let (start, dir) = axis(plan, text(&piece["run"]));
    let stations = ring(&piece["outline"])
        .into_iter()
        .map(|p| (p.0 - start.0) * dir.0 + (p.1 - start.1) * dir.1);
    stations.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), s| (lo.min(s), hi.max(s)))
}

/// The pieces of one layer of a run as intervals, in order.
fn intervals(plan: &Value, id: &str, layer: &str) -> Vec<(f64, f64)> {
    let pieces = list(&plan["pieces"]).iter();
    let mut all: Vec<(f64, f64)> = pieces
        .filter(|p| text(&p["run"]) == id && text(&p["layer"]) == layer)
        .map(|p| extent(plan, p))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// Item 5: joints of the two top layers of a run are far enough apart, or a finding names the run.
pub fn joints(plan: &Value, faults: &mut Vec<String>) {
    let rule = number(&plan["settings"]["plates"]["joint_offset"]);
    if !rule.is_finite() {
        faults.push("5: the settings in force do not say the joint offset".to_owned());
    }
    for r in list(&plan["runs"]) {
        let id = text(&r["id"]);
        let gaps = |layer| -> Vec<(f64, f64)> {
            intervals(plan, id, layer).windows(2).map(|w| (w[0].1, w[1].0)).collect()
        };
        for lower in gaps("lower") {
            for upper in gaps("upper") {
                let apart = (upper.0 - lower.1).max(lower.0 - upper.1);
                if apart < rule - LENGTH && !found(plan, id) {
                    faults.push(format!("5: joints of {id} at {lower:?} and {upper:?} are close"));
                }
            }
        }
    }
}

/// Items 6 and 7.
pub fn lengths(plan: &Value, faults: &mut Vec<String>) {
    for p in list(&plan["pieces"]) {
        let (id, length) = (text(&p["id"]), number(&p["length_in"]));
        let (from, to) = extent(plan, p);
        let as_cut = as_cut(plan, p, to - from);
        // Either end may be half a thousandth from the mark on the tape where it is cut.
        if !near(as_cut, length, 0.001 + LENGTH) {
            faults.push(format!("7: {id} says {length} in, its outline makes it {as_cut} in"));
        }
        if !near(number(&p["length_mm"]), length * 25.4, 0.51) {
            faults.push(format!("7: {id} has {length} in and {} mm", p["length_mm"]));
        }
        match spoken(text(&p["length_text"])) {
            Some(spoken) if (spoken - length).abs() <= 1.0 / 16.0 + LENGTH => {}
            _ => faults.push(format!("7: {id} is {length} in and is printed {}", p["length_text"])),
        }
        let longest = longest_board(plan, text(&p["section"]));
        if length > longest + LENGTH {
            faults.push(format!("6: {id} of {length} in is longer than {longest} in"));
        }
    }
    for r in list(&plan["runs"]) {
        run_ends(plan, r, faults);
    }
}

/// What a top plate measures on the slope of its wall: the hypotenuse over its plan, and what two parallel
/// plumb cuts through a plate of 1.5 in (38 mm) add. A level one is as long as in plan.
fn as_cut(plan: &Value, p: &Value, level: f64) -> f64 {
    let r = run(plan, text(&p["run"]));
    let (a, b) = (point(&r["start"]), point(&r["end"]));
    let rise = number(&r["top_end"]) - number(&r["top"]);
    if text(&p["layer"]) == "bottom" || rise == 0.0 {
        return level;
    }
    let slope = rise.abs() / (b.0 - a.0).hypot(b.1 - a.1);
    let thick = if text(&p["section"]).starts_with("38x") { 38.0 / 25.4 } else { 1.5 };
    level.hypot(level * slope) + thick * slope
}

/// Item 7: at a square corner a run's lower plates end on a face of the other wall, and at a free end
/// on the node; bottom and lower plates end alike.
fn run_ends(plan: &Value, r: &Value, faults: &mut Vec<String>) {
    let id = text(&r["id"]);
    let ends = |layer| {
        let all = intervals(plan, id, layer);
        (all.first().map_or(f64::NAN, |i| i.0), all.last().map_or(f64::NAN, |i| i.1))
    };
    let (lower, bottom) = (ends("lower"), ends("bottom"));
    if !near(lower.0, bottom.0, LENGTH) || !near(lower.1, bottom.1, LENGTH) {
        faults.push(format!("7: {id} ends at {bottom:?} below and at {lower:?} above"));
    }
    let (a, b) = (point(&r["start"]), point(&r["end"]));
    let length = (b.0 - a.0).hypot(b.1 - a.1);
    for (at, over) in [("start", -lower.0), ("end", lower.1 - length)] {
        let Some(j) = list(&plan["junctions"]).iter().find(|j| {
            list(&j["arms"]).iter().any(|arm| text(&arm["run"]) == id && text(&arm["at"]) == at)
        }) else {
            faults.push(format!("{id} has no junction at its {at}"));
            continue;
        };
        let others: Vec<f64> = list(&j["arms"])
            .iter()
            .filter(|arm| text(&arm["run"]) != id)
            .map(|arm| section_width(text(&run(plan, text(&arm["run"]))["section"])) / 2.0)
            .collect();
        let good = match (text(&j["kind"]), number(&j["angle_deg"])) {
            ("end", _) => over.abs() < LENGTH,
            ("L", 90.0) => others.iter().any(|half| (over.abs() - half).abs() < LENGTH),
            _ => true,
        };
        if !good {
            faults.push(format!("7: {id} ends {over} in beyond {}", text(&j["id"])));
        }
    }
}

/// Dressed widths: PS 20 (2x4 is 3.5 in, 2x6 5.5, 2x8 7.25 ...); Canadian names carry them in mm.
fn section_width(section: &str) -> f64 {
    match section {
        "2x3" => 2.5,
        "2x4" => 3.5,
        "2x6" => 5.5,
        "2x8" => 7.25,
        "2x10" => 9.25,
        "2x12" => 11.25,
        _ => section
            .split('x')
            .nth(1)
            .and_then(|w| w.parse().ok())
            .map_or(f64::NAN, |mm: f64| mm / 25.4),
    }
}

/// The longest board of a section in inches: as the settings say, else 16 ft.
fn longest_board(plan: &Value, section: &str) -> f64 {
    let said = list(&plan["settings"]["stock"]["lengths_ft"][section]);
    let feet = said.iter().map(number).fold(f64::NEG_INFINITY, f64::max);
    12.0 * if feet.is_finite() { feet } else { 16.0 }
}

/// Every piece lies on one board of its section, and each board holds its pieces and its kerfs.
pub fn boards(plan: &Value, faults: &mut Vec<String>) {
    let kerf = number(&plan["settings"]["stock"]["kerf"]);
    let trim = number(&plan["settings"]["stock"]["end_trim"]);
    let mut seen: Vec<&str> = Vec::new();
    for b in list(&plan["stock"]["boards"]) {
        let cuts: Vec<&str> = list(&b["cuts"]).iter().map(text).collect();
        let pieces = || list(&plan["pieces"]).iter().filter(|p| cuts.contains(&text(&p["id"])));
        let used: f64 = pieces().map(|p| number(&p["length_in"])).sum();
        let between = kerf * (cuts.len() as f64 - 1.0);
        let left = 12.0 * number(&b["length_ft"]) - trim - used - between;
        if left.is_nan() || left < -LENGTH || pieces().any(|p| p["section"] != b["section"]) {
            faults.push(format!("a board cannot be cut: {b}"));
        }
        seen.extend(cuts);
    }
    let mut want: Vec<&str> = list(&plan["pieces"]).iter().map(|p| text(&p["id"])).collect();
    seen.sort_unstable();
    want.sort_unstable();
    if seen != want {
        faults.push("the boards do not hold every piece exactly once".to_owned());
    }
}

/// Inches of a text such as `7'-6 1/2"` or `2286 mm`.
pub fn spoken(text: &str) -> Option<f64> {
    if let Some(mm) = text.strip_suffix(" mm") {
        return mm.parse::<f64>().ok().map(|mm| mm / 25.4);
    }
    let (feet, inches) = match text.split_once('\'') {
        Some((feet, rest)) => (feet.parse::<f64>().ok()?, rest.trim_start_matches('-')),
        None => (0.0, text),
    };
    let mut sum = feet * 12.0;
    for part in inches.strip_suffix('"')?.split(' ') {
        sum += match part.split_once('/') {
            Some((a, b)) => a.parse::<f64>().ok()? / b.parse::<f64>().ok()?,
            None => part.parse().ok()?,
        };
    }
    Some(sum)
}
