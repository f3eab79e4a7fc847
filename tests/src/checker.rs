//! Judges a `plan.json` as a stranger would: with plane geometry and nothing of the product's.
//!
//! The numbers are those of the contract's list "what must hold in every plan".

mod pieces;
mod ties;

pub use pieces::spoken;

use crate::plane::{self, Ring};
use serde_json::Value;

/// Square inches below which an area is rounding, as for the shapely judge: corners off the axes are rounded to
/// a nanometre (4e-8 in) along plates of up to 500 in, and faces that a drawing has flush may stand some
/// 1e-4 in apart where one of the walls is brought on to a corner.
const AREA: f64 = 1e-3;
/// Inches below which a length is rounding.
const LENGTH: f64 = 1e-6;

/// Everything that is wrong with a plan; empty when it holds.
pub fn faults(plan: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    for storey in list(&plan["storeys"]) {
        let id = text(&storey["id"]);
        layers(plan, id, &mut faults);
    }
    ties::check(plan, &mut faults);
    pieces::joints(plan, &mut faults);
    pieces::lengths(plan, &mut faults);
    pieces::boards(plan, &mut faults);
    ledger(plan, &mut faults);
    faults
}

/// The items of a list; none if it is not one.
pub fn list(v: &Value) -> &[Value] {
    v.as_array().map_or(&[], Vec::as_slice)
}
/// A text; empty if it is none.
pub fn text(v: &Value) -> &str {
    v.as_str().unwrap_or("")
}
/// A number; NaN if it is none, which is near nothing.
pub fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or(f64::NAN)
}
/// Whether two numbers are equal within a tolerance; NaN never is.
pub fn near(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}
/// A point.
pub fn point(v: &Value) -> (f64, f64) {
    (number(&v[0]), number(&v[1]))
}
/// An outline.
pub fn ring(v: &Value) -> Ring {
    list(v).iter().map(point).collect()
}
/// The outlines of one layer of a storey.
pub fn outlines(plan: &Value, storey: &str, layer: &str) -> Vec<Ring> {
    list(&plan["pieces"])
        .iter()
        .filter(|p| text(&p["storey"]) == storey && text(&p["layer"]) == layer)
        .map(|p| ring(&p["outline"]))
        .collect()
}
/// The outlines of one layer of a run.
pub fn outlines_of(plan: &Value, run: &str, layer: &str) -> Vec<Ring> {
    list(&plan["pieces"])
        .iter()
        .filter(|p| text(&p["run"]) == run && text(&p["layer"]) == layer)
        .map(|p| ring(&p["outline"]))
        .collect()
}
/// The run of that id.
pub fn run<'a>(plan: &'a Value, id: &str) -> &'a Value {
    list(&plan["runs"]).iter().find(|r| text(&r["id"]) == id).unwrap_or(&Value::Null)
}
/// Whether some finding is about this, or names it.
pub fn found(plan: &Value, id: &str) -> bool {
    let names = |t: &str| t.split(|c: char| !c.is_ascii_alphanumeric()).any(|w| w == id);
    list(&plan["findings"]).iter().any(|f| names(text(&f["subject"])) || names(text(&f["message"])))
}

/// Items 1, 2 and 3.
fn layers(plan: &Value, storey: &str, faults: &mut Vec<String>) {
    let footprint = footprint(plan, storey);
    let [bottom, lower, upper] = ["bottom", "lower", "upper"].map(|l| outlines(plan, storey, l));
    for (name, rings) in [("bottom", &bottom), ("lower", &lower), ("upper", &upper)] {
        let double = plane::area(&[rings], |n| n[0] > 1);
        if double > AREA {
            faults.push(format!("1: {double} sq in of {name} plates of {storey} overlap"));
        }
    }
    for (name, rings) in [("bottom", &bottom), ("lower", &lower)] {
        let missing = plane::area(&[rings, &footprint], |n| n[0] == 0 && n[1] > 0);
        let over = plane::area(&[rings, &footprint], |n| n[0] > 0 && n[1] == 0);
        let stops = plan["settings"]["plates"]["bottom"] == "stop";
        if (missing > AREA && !(stops && name == "bottom")) || over > AREA {
            faults.push(format!(
                "2: {name} plates of {storey} leave {missing} sq in bare and cover {over} too much"
            ));
        }
    }
    let over = plane::area(&[&upper, &footprint], |n| n[0] > 0 && n[1] == 0);
    if over > AREA {
        faults.push(format!("3: upper plates of {storey} cover {over} sq in too much"));
    }
    bare_spots(plan, storey, &upper, &footprint, faults);
}

/// Whether all runs of a junction have one level top, so that their plates can lap.
fn level(plan: &Value, junction: &Value) -> bool {
    let raked = |arm: &Value| rise(plan, text(&arm["run"])) != 0.0;
    number(&junction["step"]) == 0.0 && !list(&junction["arms"]).iter().any(raked)
}

/// How much higher the top of a run is at its end than at its start, inches.
fn rise(plan: &Value, run: &str) -> f64 {
    let runs = list(&plan["runs"]).iter().find(|r| text(&r["id"]) == run);
    runs.map_or(f64::NAN, |r| number(&r["top_end"]) - number(&r["top"]))
}

/// Item 3: what the upper layer leaves bare lies within a clearance of some upper plate, or at a
/// height step, or beside a narrow plate that runs on over a wider wall where the two meet in line.
fn bare_spots(
    plan: &Value,
    storey: &str,
    upper: &[Ring],
    footprint: &[Ring],
    faults: &mut Vec<String>,
) {
    let plates = &plan["settings"]["plates"];
    // Upper pieces are rounded down to a sixteenth when cut.
    let reach = number(&plates["upper_clearance"]).max(number(&plates["notch_side_clearance"]))
        + 1.0 / 16.0
        + LENGTH;
    let junctions = || list(&plan["junctions"]).iter().filter(|j| text(&j["storey"]) == storey);
    let steps: Vec<(f64, f64)> =
        junctions().filter(|j| !level(plan, j)).map(|j| point(&j["at"])).collect();
    let changes: Vec<((f64, f64), f64)> = junctions()
        .filter(|j| text(&j["kind"]) == "inline")
        .map(|j| (point(&j["at"]), widest_strip(plan, j)))
        .collect();
    // The narrow plate runs on by the joint offset, and on to the next stud.
    let run_on =
        number(&plates["joint_offset"]) + number(&plan["settings"]["studs"]["spacing"]) + 1.0;
    let mut spots = 0.0;
    let mut first = None;
    plane::sweep(&[upper, footprint], |c| {
        if c.covered[0] > 0 || c.covered[1] == 0 {
            return;
        }
        let middle = ((c.x.0 + c.x.1) / 2.0, c.y);
        let from = |p: &(f64, f64)| (p.0 - middle.0).hypot(p.1 - middle.1);
        let nearest =
            upper.iter().map(|r| plane::distance(middle, r)).fold(f64::INFINITY, f64::min);
        let beside =
            |(at, strip): &((f64, f64), f64)| from(at) <= run_on && nearest <= strip + reach;
        let explained =
            nearest <= reach || steps.iter().any(|s| from(s) < 12.0) || changes.iter().any(beside);
        if !explained {
            spots += c.area();
            first.get_or_insert(middle);
        }
    });
    if spots > AREA {
        faults.push(format!("3: upper plates of {storey} leave {spots} sq in bare at {first:?}"));
    }
}

/// How far the wider of two walls in line reaches beyond the narrower one, on the side where it does so
/// most: half the difference of widths, and as much more as one centreline lies beside the other.
fn widest_strip(plan: &Value, junction: &Value) -> f64 {
    let runs: Vec<&Value> =
        list(&junction["arms"]).iter().map(|a| run(plan, text(&a["run"]))).collect();
    let widths = || runs.iter().map(|r| number(&r["width"]));
    let (least, most) = (widths().fold(f64::INFINITY, f64::min), widths().fold(0.0, f64::max));
    let (a, b) = (point(&runs[0]["start"]), point(&runs[0]["end"]));
    let beside = |r: &&Value| {
        let p = point(&r["start"]);
        let cross = (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0);
        cross.abs() / (b.0 - a.0).hypot(b.1 - a.1)
    };
    (most - least) / 2.0 + runs.iter().map(beside).fold(0.0, f64::max)
}

/// Each wall's framing width about its centreline, at every corner prolonged to the outer faces and
/// bounded by them.
pub fn footprint(plan: &Value, storey: &str) -> Vec<Ring> {
    let mut rings: Vec<(&str, Ring)> = Vec::new();
    for w in list(&plan["walls"]).iter().filter(|w| text(&w["storey"]) == storey) {
        let (a, b) = (point(&w["start"]), point(&w["end"]));
        rings.push((text(&w["run"]), band(a, b, number(&w["width"]) / 2.0)));
    }
    for j in list(&plan["junctions"]).iter().filter(|j| text(&j["storey"]) == storey) {
        let at = point(&j["at"]);
        let mut arms: Vec<Arm> = Vec::new();
        for arm in list(&j["arms"]) {
            let r = run(plan, text(&arm["run"]));
            let (a, b) = (point(&r["start"]), point(&r["end"]));
            let (half, run) = (number(&r["width"]) / 2.0, text(&r["id"]));
            let away = |to: (f64, f64), from: (f64, f64)| (to.1 - from.1).atan2(to.0 - from.0);
            // Walls with a face flush pass beside the node they share.
            let from = match text(&arm["at"]) {
                "start" => a,
                "end" => b,
                _ => at,
            };
            if text(&arm["at"]) != "end" {
                arms.push(Arm { angle: away(b, a), half, from, run });
            }
            if text(&arm["at"]) != "start" {
                arms.push(Arm { angle: away(a, b), half, from, run });
            }
        }
        arms.sort_by(|a, b| a.angle.total_cmp(&b.angle));
        let three = corner_of_three(plan, j, &arms);
        let pair = three.as_ref().map(|(pair, _)| (*pair, outer_faces(*pair)));
        let Some(([a, b], faces)) = pair.or_else(|| outer_corner(&arms)) else { continue };
        if let Some((_, third)) = three {
            // It begins at the corner's outer face, which may lie before the node along one of its edges.
            let (dx, dy) = (third.angle.cos(), third.angle.sin());
            let back = (third.from.0 - 24.0 * dx, third.from.1 - 24.0 * dy);
            let mut ring = band(back, third.from, third.half);
            for (on, normal) in faces {
                let into_third = dx * normal.0 + dy * normal.1;
                if into_third > 1e-9 {
                    clip(&mut ring, on, (-normal.0, -normal.1));
                } else {
                    clip(&mut ring, on, normal);
                }
            }
            rings.push(("", ring));
        }
        for (arm, other, own, (on, normal)) in
            [(a, b, faces[0], faces[1]), (b, a, faces[1], faces[0])]
        {
            rings.iter_mut().filter(|r| r.0 == arm.run).for_each(|r| clip(&mut r.1, on, normal));
            // Outer faces run back until they meet, and so do inner ones.
            let (dx, dy) = (arm.angle.cos(), arm.angle.sin());
            let back = |p: (f64, f64), to: (f64, f64)| {
                let away = (to.0 - p.0) * normal.0 + (to.1 - p.1) * normal.1;
                let reach = (-away / (dx * normal.0 + dy * normal.1)).max(0.0);
                (p.0 - reach * dx, p.1 - reach * dy)
            };
            let across = |(p, n): Face, width: f64| (p.0 - width * n.0, p.1 - width * n.1);
            let inner = across(own, 2.0 * arm.half);
            let tip = back(own.0, on);
            let crotch = back(inner, across((on, normal), 2.0 * other.half));
            let mut ring = vec![own.0, tip, crotch, inner];
            clip(&mut ring, on, normal);
            rings.push(("", ring));
        }
    }
    rings.into_iter().map(|r| r.1).collect()
}

/// The strip about a line.
fn band(a: (f64, f64), b: (f64, f64), half: f64) -> Ring {
    let along = (b.1 - a.1).atan2(b.0 - a.0);
    let side = |p: (f64, f64), s: f64| (p.0 - s * half * along.sin(), p.1 + s * half * along.cos());
    vec![side(a, -1.0), side(b, -1.0), side(b, 1.0), side(a, 1.0)]
}

/// Takes off what lies beyond a line, on the side its normal points to.
fn clip(ring: &mut Ring, on: (f64, f64), normal: (f64, f64)) {
    let beyond = |p: (f64, f64)| (p.0 - on.0) * normal.0 + (p.1 - on.1) * normal.1;
    let mut out = Vec::new();
    for (i, p) in ring.iter().enumerate() {
        let q = ring[(i + 1) % ring.len()];
        let (hp, hq) = (beyond(*p), beyond(q));
        if hp <= 0.0 {
            out.push(*p);
        }
        if (hp < 0.0 && hq > 0.0) || (hp > 0.0 && hq < 0.0) {
            let t = hp / (hp - hq);
            out.push((p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t));
        }
    }
    *ring = out;
}

/// A wall at a junction: direction away from it, half its width, where its centreline starts.
struct Arm<'a> {
    angle: f64,
    half: f64,
    from: (f64, f64),
    run: &'a str,
}

/// A point on a face, and the direction out of the wall.
type Face = ((f64, f64), (f64, f64));

/// Two neighbouring arms that are more than half a turn apart, and the outer face of each: there both
/// walls are prolonged until their outer faces meet, and bounded by them.
fn outer_corner<'a, 'b>(arms: &'b [Arm<'a>]) -> Option<([&'b Arm<'a>; 2], [Face; 2])> {
    use std::f64::consts::{PI, TAU};
    for (i, a) in arms.iter().enumerate() {
        let b = &arms[(i + 1) % arms.len()];
        if arms.len() < 2 || (b.angle - a.angle).rem_euclid(TAU) < PI + 1e-9 {
            continue;
        }
        return Some(([a, b], outer_faces([a, b])));
    }
    None
}

/// The left face of the first arm and the right face of the second, as seen from the node.
fn outer_faces([a, b]: [&Arm; 2]) -> [Face; 2] {
    let face = |arm: &Arm, side: f64| {
        let normal = (-side * arm.angle.sin(), side * arm.angle.cos());
        let on = (arm.from.0 + arm.half * normal.0, arm.from.1 + arm.half * normal.1);
        (on, normal)
    };
    [face(a, 1.0), face(b, -1.0)]
}

/// Where three walls end at a tee, the two that make a corner and the third: the stem, and of the two in line the one of
/// its height, or where all are of one height the one of its width.
fn corner_of_three<'a, 'b>(
    plan: &Value,
    junction: &Value,
    arms: &'b [Arm<'a>],
) -> Option<([&'b Arm<'a>; 2], &'b Arm<'a>)> {
    let passes = |a: &Value| text(&a["at"]) == "through";
    let [a, b, c] = arms else { return None };
    if text(&junction["kind"]) != "T" || list(&junction["arms"]).iter().any(passes) {
        return None;
    }
    let turn = |p: &Arm, q: &Arm| (q.angle - p.angle).rem_euclid(std::f64::consts::TAU);
    let straight = |p: &Arm, q: &Arm| (turn(p, q) - std::f64::consts::PI).abs() < 5e-5;
    let (p, q, stem) =
        [(a, b, c), (b, c, a), (c, a, b)].into_iter().find(|w| straight(w.0, w.1))?;
    // Nearly in line with one of them it is no corner: 15 degrees.
    if turn(p, stem).sin().abs() < 0.259 {
        return None;
    }
    let top = |arm: &Arm| number(&run(plan, arm.run)["top"]);
    let high = |arm: &Arm| {
        let level = [arm, stem].iter().all(|a| rise(plan, a.run) == 0.0);
        level && top(arm) == top(stem)
    };
    let wide = |arm: &Arm| arm.half == stem.half;
    let p_makes_it = match (high(p), high(q)) {
        (true, true) if wide(p) != wide(q) => wide(p),
        (x, y) if x != y => x,
        _ => return None,
    };
    let (beside, third) = if p_makes_it { (p, q) } else { (q, p) };
    let outer = turn(beside, stem) > std::f64::consts::PI;
    Some((if outer { [beside, stem] } else { [stem, beside] }, third))
}

fn ledger(plan: &Value, faults: &mut Vec<String>) {
    let l = &plan["ledger"];
    let ignored: f64 = list(&l["ignored"]).iter().map(|i| number(&i["count"])).sum();
    if number(&l["used"]) + ignored != number(&l["entities_read"]) {
        faults.push(format!("the ledger does not sum: {l}"));
    }
}
