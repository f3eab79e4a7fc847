//! Which wall and which piece of the old plan is which of the new one.

use crate::Panel;
use crate::body::{Body, pair, piece_body, wall_body};
use crate::differ::{piece_differs, told_piece, told_wall, wall_differs};
use crate::plan::{Plan, Storey, Wall};
use serde::Serialize;
use std::collections::BTreeMap;

/// What became of a wall or a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Only in the new plan.
    Added,
    /// Only in the old one.
    Removed,
    /// In both, and not the same.
    Changed,
}

impl Kind {
    /// All of them, in the order they are told.
    pub const ALL: [Kind; 3] = [Kind::Added, Kind::Removed, Kind::Changed];
}

/// A wall that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WallChange {
    /// How.
    pub kind: Kind,
    /// Its id in the old plan.
    pub old_id: Option<String>,
    /// Its id in the new one.
    pub new_id: Option<String>,
    /// The storey's name.
    pub storey: String,
    /// What is different, in words; what it is, for one added or removed.
    pub what: Vec<String>,
}

/// A piece that differs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PieceChange {
    /// How.
    pub kind: Kind,
    /// Its id in the old plan.
    pub old_id: Option<String>,
    /// Its id in the new one.
    pub new_id: Option<String>,
    /// Its mark in the old plan.
    pub old_mark: Option<String>,
    /// Its mark in the new one.
    pub new_mark: Option<String>,
    /// The storey's name.
    pub storey: String,
    /// `bottom`, `lower`, `upper`.
    pub layer: String,
    /// What is different, in words; what it is, for one added or removed.
    pub what: Vec<String>,
    /// Whether it has to be cut anew: false where only its place, pencil marks or nails differ.
    pub cut_anew: bool,
}

/// A piece that is what it was, under another name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Renamed {
    /// Id in the old plan.
    pub old_id: String,
    /// Id in the new one.
    pub new_id: String,
    /// Mark in the old plan.
    pub old_mark: String,
    /// Mark in the new one.
    pub new_mark: String,
}

/// Something to draw.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shape {
    pub outline: Vec<[f64; 2]>,
    /// `None` for what is as it was.
    pub kind: Option<Kind>,
    /// Of what changed: as it was.
    pub was: Option<Vec<[f64; 2]>>,
    pub name: String,
}

/// The result.
pub(crate) struct Matched {
    pub moved_in: [f64; 2],
    pub walls: Vec<WallChange>,
    pub walls_unchanged: usize,
    pub pieces: Vec<PieceChange>,
    pub pieces_unchanged: usize,
    pub renamed: Vec<Renamed>,
    pub drawn: Vec<Panel>,
}

/// Matches two plans.
pub(crate) fn matched(old: &Plan, new: &Plan) -> Matched {
    let storeys = Storeys::of(old, new);
    let moved = shift(old, new, &storeys);
    let old_walls: Vec<Body> =
        old.walls.iter().map(|w| wall_body(w, storeys.number_of_old(&w.storey), moved)).collect();
    let new_walls: Vec<Body> = new
        .walls
        .iter()
        .map(|w| wall_body(w, storeys.number_of_new(&w.storey), [0.0; 2]))
        .collect();
    let old_pieces: Vec<Body> =
        old.pieces.iter().map(|p| piece_body(p, storeys.number_of_old(&p.storey), moved)).collect();
    let new_pieces: Vec<Body> = new
        .pieces
        .iter()
        .map(|p| piece_body(p, storeys.number_of_new(&p.storey), [0.0; 2]))
        .collect();
    let mut out = Matched {
        moved_in: moved,
        walls: Vec::new(),
        walls_unchanged: 0,
        pieces: Vec::new(),
        pieces_unchanged: 0,
        renamed: Vec::new(),
        drawn: Vec::new(),
    };
    let mut panels: BTreeMap<(usize, u8), Vec<Shape>> = BTreeMap::new();

    let pairs = pair(&old_walls, &new_walls);
    for (i, body) in new_walls.iter().enumerate() {
        let w = &new.walls[i];
        let before = pairs.old_of[i].map(|j| (&old.walls[j], &old_walls[j]));
        let (kind, what) = match before {
            None => (Some(Kind::Added), vec![told_wall(w)]),
            Some((was, was_body)) => {
                let what = wall_differs(was, was_body, w, body);
                ((!what.is_empty()).then_some(Kind::Changed), what)
            }
        };
        let was = before.filter(|_| kind.is_some()).map(|(_, b)| b.ring.clone());
        panels.entry((body.group.0, 0)).or_default().push(Shape {
            outline: body.ring.clone(),
            kind,
            was,
            name: w.id.clone(),
        });
        let Some(kind) = kind else {
            out.walls_unchanged += 1;
            continue;
        };
        out.walls.push(WallChange {
            kind,
            old_id: before.map(|(w, _)| w.id.clone()),
            new_id: Some(w.id.clone()),
            storey: storeys.name(body.group.0),
            what,
        });
    }
    for (j, w) in old.walls.iter().enumerate().filter(|(j, _)| !pairs.taken[*j]) {
        let body = &old_walls[j];
        panels.entry((body.group.0, 0)).or_default().push(removed(body, &w.id));
        out.walls.push(WallChange {
            kind: Kind::Removed,
            old_id: Some(w.id.clone()),
            new_id: None,
            storey: storeys.name(body.group.0),
            what: vec![told_wall(w)],
        });
    }

    let pairs = pair(&old_pieces, &new_pieces);
    for (i, body) in new_pieces.iter().enumerate() {
        let p = &new.pieces[i];
        let before = pairs.old_of[i].map(|j| (&old.pieces[j], &old_pieces[j]));
        let (kind, what, cut_anew) = match before {
            None => (Some(Kind::Added), vec![told_piece(p)], true),
            Some((was, was_body)) => {
                let (what, cut) = piece_differs(was, was_body, p, body);
                ((!what.is_empty()).then_some(Kind::Changed), what, cut)
            }
        };
        let was = before.filter(|_| kind.is_some()).map(|(_, b)| b.ring.clone());
        panels.entry((body.group.0, layer_number(&p.layer))).or_default().push(Shape {
            outline: body.ring.clone(),
            kind,
            was,
            name: p.mark.clone(),
        });
        match (kind, before) {
            (Some(kind), _) => out.pieces.push(PieceChange {
                kind,
                old_id: before.map(|(p, _)| p.id.clone()),
                new_id: Some(p.id.clone()),
                old_mark: before.map(|(p, _)| p.mark.clone()),
                new_mark: Some(p.mark.clone()),
                storey: storeys.name(body.group.0),
                layer: p.layer.clone(),
                what,
                cut_anew,
            }),
            (None, Some((was, _))) => {
                out.pieces_unchanged += 1;
                if (&was.id, &was.mark) != (&p.id, &p.mark) {
                    out.renamed.push(Renamed {
                        old_id: was.id.clone(),
                        new_id: p.id.clone(),
                        old_mark: was.mark.clone(),
                        new_mark: p.mark.clone(),
                    });
                }
            }
            (None, None) => {}
        }
    }
    for (j, p) in old.pieces.iter().enumerate().filter(|(j, _)| !pairs.taken[*j]) {
        let body = &old_pieces[j];
        let panel = panels.entry((body.group.0, layer_number(&p.layer))).or_default();
        panel.push(removed(body, &p.mark));
        out.pieces.push(PieceChange {
            kind: Kind::Removed,
            old_id: Some(p.id.clone()),
            new_id: None,
            old_mark: Some(p.mark.clone()),
            new_mark: None,
            storey: storeys.name(body.group.0),
            layer: p.layer.clone(),
            what: vec![told_piece(p)],
            cut_anew: false,
        });
    }
    const LAYERS: [&str; 4] = ["walls", "bottom plates", "lower plates", "upper plates"];
    for ((storey, layer), shapes) in panels {
        let layer = LAYERS.get(usize::from(layer)).unwrap_or(&"plates");
        out.drawn.push(Panel { title: format!("{}: {layer}", storeys.name(storey)), shapes });
    }
    out
}

fn removed(body: &Body, name: &str) -> Shape {
    Shape {
        outline: body.ring.clone(),
        kind: Some(Kind::Removed),
        was: None,
        name: name.to_owned(),
    }
}

fn layer_number(layer: &str) -> u8 {
    match layer {
        "bottom" => 1,
        "lower" => 2,
        _ => 3,
    }
}

/// Storeys of both plans under one number: those of the new plan, then those that are gone.
struct Storeys {
    old: BTreeMap<String, usize>,
    new: BTreeMap<String, usize>,
    names: Vec<String>,
}

impl Storeys {
    fn of(old: &Plan, new: &Plan) -> Storeys {
        let name = |s: &Storey| {
            if s.name.trim().is_empty() { s.id.clone() } else { s.name.clone() }
        };
        let mut all = Storeys { old: BTreeMap::new(), new: BTreeMap::new(), names: Vec::new() };
        let mut left: Vec<&Storey> = old.storeys.iter().collect();
        let mut claimed: Vec<Option<String>> = vec![None; new.storeys.len()];
        for by_name in [true, false] {
            for (i, s) in new.storeys.iter().enumerate() {
                let fits = |o: &&Storey| {
                    if by_name { o.name == s.name } else { (o.elevation - s.elevation).abs() < 1.0 }
                };
                if claimed[i].is_none()
                    && let Some(at) = left.iter().position(fits)
                {
                    claimed[i] = Some(left.remove(at).id.clone());
                }
            }
        }
        for (i, s) in new.storeys.iter().enumerate() {
            all.new.insert(s.id.clone(), i);
            all.names.push(name(s));
            if let Some(id) = claimed[i].take() {
                all.old.insert(id, i);
            }
        }
        for s in left {
            all.old.insert(s.id.clone(), all.names.len());
            all.names.push(name(s));
        }
        all
    }
    fn number_of_old(&self, id: &str) -> usize {
        self.old.get(id).copied().unwrap_or(0)
    }
    fn number_of_new(&self, id: &str) -> usize {
        self.new.get(id).copied().unwrap_or(0)
    }
    fn name(&self, number: usize) -> String {
        self.names.get(number).cloned().unwrap_or_default()
    }
}

/// How far the whole drawing was moved: what most walls agree on; nothing where as many stay in place.
fn shift(old: &Plan, new: &Plan, storeys: &Storeys) -> [f64; 2] {
    let tick = |v: f64| (v * 16.0).round() as i64;
    let key = |w: &Wall, storey: usize| {
        (storey, tick(w.end[0] - w.start[0]), tick(w.end[1] - w.start[1]), w.section.clone())
    };
    let mut starts: BTreeMap<_, Vec<[f64; 2]>> = BTreeMap::new();
    for w in &old.walls {
        starts.entry(key(w, storeys.number_of_old(&w.storey))).or_default().push(w.start);
    }
    let mut votes: BTreeMap<(i64, i64), (usize, [f64; 2])> = BTreeMap::new();
    for w in &new.walls {
        // Many equal walls (a row of rooms) say little: a few of them are enough.
        let alike =
            starts.get(&key(w, storeys.number_of_new(&w.storey))).map_or(&[][..], Vec::as_slice);
        for s in alike.iter().take(24) {
            let d = [w.start[0] - s[0], w.start[1] - s[1]];
            votes.entry((tick(d[0]), tick(d[1]))).or_insert((0, d)).0 += 1;
        }
    }
    let in_place = votes.get(&(0, 0)).map_or(0, |v| v.0);
    let most = votes.values().max_by_key(|v| v.0);
    match most {
        Some((n, d)) if *n > in_place => *d,
        _ => [0.0; 2],
    }
}
