//! What is different about a wall or a piece that is in both plans, in words.

use crate::body::{Body, Line, SAME, same_ring};
use crate::plan::{Nails, Notch, Opening, Piece, Wall};
use geom::Length;

/// A length for people.
fn people(inches: f64, metric: bool) -> String {
    let length = Length::from_inches(inches).unwrap_or_default();
    if metric { length.millimetres().to_string() } else { length.feet_inches().to_string() }
}

/// Sections named by millimetres (38x89) belong to metric houses.
fn is_metric(section: &str) -> bool {
    !section.starts_with("2x")
}

fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > SAME
}

pub(crate) fn told_wall(w: &Wall) -> String {
    let length = (w.end[0] - w.start[0]).hypot(w.end[1] - w.start[1]);
    let side = if w.exterior { "exterior" } else { "interior" };
    format!("{side}, {}, {} long", w.section, people(length, is_metric(&w.section)))
}

pub(crate) fn told_piece(p: &Piece) -> String {
    let notches = match p.notches.len() {
        0 => String::new(),
        1 => ", 1 notch".to_owned(),
        n => format!(", {n} notches"),
    };
    format!("{}, {} long{notches}", p.section, people(p.length_in, is_metric(&p.section)))
}

/// Where it lies: moved aside, longer or shorter.
fn place_differs(old: &Line, new: &Line, metric: bool) -> (Option<String>, Option<String>) {
    let moved = old.beside(new).map_or(0.0, |b| b.0);
    let aside = (moved > SAME).then(|| format!("moved {} aside", people(moved, metric)));
    let (from, _) = old.locate(new.a);
    let along = if differ(old.length, new.length) {
        let (now, was) = (people(new.length, metric), people(old.length, metric));
        Some(format!("{now} long, was {was}"))
    } else if from.abs() > SAME {
        Some(format!("moved {} along", people(from.abs(), metric)))
    } else {
        None
    };
    (aside, along)
}

pub(crate) fn wall_differs(
    old: &Wall,
    old_body: &Body,
    new: &Wall,
    new_body: &Body,
) -> Vec<String> {
    let metric = is_metric(&new.section);
    let mut what = Vec::new();
    let (aside, along) = place_differs(&old_body.line, &new_body.line, metric);
    what.extend(aside);
    what.extend(along);
    if old.section != new.section {
        what.push(format!("{}, was {}", new.section, old.section));
    }
    for (name, now, was) in [
        ("top", new.top, old.top),
        ("top at its end", new.top_end.unwrap_or(new.top), old.top_end.unwrap_or(old.top)),
        ("base", new.base, old.base),
        ("drawn thickness", new.drawn_thickness, old.drawn_thickness),
    ] {
        if differ(now, was) {
            what.push(format!("{name} {}, was {}", people(now, metric), people(was, metric)));
        }
    }
    if old.exterior != new.exterior {
        let side = |e: bool| if e { "exterior" } else { "interior" };
        what.push(format!("{}, was {}", side(new.exterior), side(old.exterior)));
    }
    if old.bearing != new.bearing {
        let word = |b: Option<bool>| match b {
            Some(true) => "bearing",
            Some(false) => "not bearing",
            None => "bearing not told",
        };
        what.push(format!("{}, was {}", word(new.bearing), word(old.bearing)));
    }
    what.extend(openings_differ(old, old_body, new, new_body, metric));
    what
}

/// Openings by their place along the old wall's line.
fn openings_differ(
    old: &Wall,
    old_body: &Body,
    new: &Wall,
    new_body: &Body,
    metric: bool,
) -> Vec<String> {
    let placed = |w: &Wall, body: &Body, o: &Opening| {
        // Stations count from the wall's own start, which may be either end of the line.
        let turned = {
            let d = [w.end[0] - w.start[0], w.end[1] - w.start[1]];
            d[0] * body.line.dir[0] + d[1] * body.line.dir[1] < 0.0
        };
        let station = |s: f64| if turned { body.line.length - s } else { s };
        let (a, b) = (body.line.at(station(o.from)), body.line.at(station(o.to)));
        let (a, b) = (old_body.line.locate(a).0, old_body.line.locate(b).0);
        (o.kind.clone(), a.min(b), a.max(b))
    };
    let mut was: Vec<_> = old.openings.iter().map(|o| placed(old, old_body, o)).collect();
    let mut now: Vec<_> = new.openings.iter().map(|o| placed(new, new_body, o)).collect();
    let mut what = Vec::new();
    type Placed = (String, f64, f64);
    let mut drop_pairs = |was: &mut Vec<Placed>,
                          now: &mut Vec<Placed>,
                          fits: &dyn Fn(&Placed, &Placed) -> bool| {
        let mut i = 0;
        while i < now.len() {
            let found = was.iter().position(|o| fits(o, &now[i]));
            let Some(j) = found else {
                i += 1;
                continue;
            };
            let (o, n) = (was.remove(j), now.remove(i));
            let shift = (n.1 + n.2 - o.1 - o.2).abs() / 2.0;
            if shift > SAME {
                what.push(format!("{} moved {}", n.0, people(shift, metric)));
            }
            let (w, v) = (n.2 - n.1, o.2 - o.1);
            if differ(w, v) {
                what.push(format!("{} {} wide, was {}", n.0, people(w, metric), people(v, metric)));
            }
            if o.0 != n.0 {
                what.push(format!("{}, was a {}", n.0, o.0));
            }
        }
    };
    drop_pairs(&mut was, &mut now, &|o, n| o.0 == n.0 && !differ(o.1, n.1) && !differ(o.2, n.2));
    drop_pairs(&mut was, &mut now, &|o, n| o.0 == n.0 && !differ(o.2 - o.1, n.2 - n.1));
    drop_pairs(&mut was, &mut now, &|o, n| o.1 < n.2 && n.1 < o.2);
    for (word, rest) in [("added", now), ("removed", was)] {
        for (kind, from, to) in rest {
            what.push(format!("{kind} {} wide {word}", people(to - from, metric)));
        }
    }
    what
}

/// What differs, and whether that takes another cut.
pub(crate) fn piece_differs(
    old: &Piece,
    old_body: &Body,
    new: &Piece,
    new_body: &Body,
) -> (Vec<String>, bool) {
    let metric = is_metric(&new.section);
    let mut cut: Vec<String> = Vec::new();
    let (aside, along) = place_differs(&old_body.line, &new_body.line, metric);
    let longer = differ(old.length_in, new.length_in);
    let mut place: Vec<String> = aside.into_iter().collect();
    if longer {
        let (now, was) = (people(new.length_in, metric), people(old.length_in, metric));
        cut.push(format!("{now} long, was {was}"));
    } else {
        place.extend(along);
    }
    if old.section != new.section || old.treated != new.treated {
        let lumber =
            |p: &Piece| format!("{}{}", p.section, if p.treated { " treated" } else { "" });
        cut.push(format!("{}, was {}", lumber(new), lumber(old)));
    }
    for (i, end) in ["start", "end"].into_iter().enumerate() {
        let (now, was) = (new.ends[i].cut_deg, old.ends[i].cut_deg);
        if (now - was).abs() > 0.005 {
            cut.push(format!("{end} cut {now:.2}\u{b0}, was {was:.2}\u{b0}"));
        }
        let [now, was] = [new, old].map(|p| p.ends[i].tilt_deg.unwrap_or(90.0));
        if (now - was).abs() > 0.005 {
            cut.push(format!("{end} blade at {now:.2}\u{b0}, was {was:.2}\u{b0}"));
        }
    }
    let notches = |p: &Piece| -> Vec<String> {
        let one = |n: &Notch| {
            let [a, b, d] = [n.from, n.to, n.depth].map(|v| people(v, metric));
            format!("{a} to {b}, {d} deep, {}", n.side)
        };
        p.notches.iter().map(one).collect()
    };
    let (now, was) = (notches(new), notches(old));
    if now != was {
        let list = |n: &[String]| if n.is_empty() { "none".to_owned() } else { n.join("; ") };
        cut.push(format!("notches {}, were {}", list(&now), list(&was)));
    }
    if cut.is_empty() && place.is_empty() && !same_ring(&old_body.ring, &new_body.ring) {
        cut.push("another outline".to_owned());
    }
    if differ(old.z, new.z) {
        place.push(format!(
            "underside at {}, was {}",
            people(new.z, metric),
            people(old.z, metric)
        ));
    }
    let marks = |p: &Piece| -> Vec<(i64, String)> {
        p.marks.iter().map(|m| ((m.at * 64.0).round() as i64, m.kind.clone())).collect()
    };
    if marks(old) != marks(new) {
        place.push("pencil marks".to_owned());
    }
    let nails = |p: &Piece| -> Vec<(i64, u32, String)> {
        let one = |n: &Nails| ((n.at * 64.0).round() as i64, n.count, n.nail.clone());
        p.nails.iter().map(one).collect()
    };
    if nails(old) != nails(new) {
        let sum = |p: &Piece| p.nails.iter().map(|n| u64::from(n.count)).sum::<u64>();
        place.push(match (sum(new), sum(old)) {
            (n, o) if n == o => "places of nails".to_owned(),
            (n, o) => format!("{n} nails, were {o}"),
        });
    }
    if differ(old.width, new.width) && old.section == new.section {
        cut.push("another width".to_owned());
    }
    let anew = !cut.is_empty();
    cut.extend(place);
    (cut, anew)
}
