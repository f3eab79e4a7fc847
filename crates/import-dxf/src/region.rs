//! Several drawings on one sheet: which walls belong to which, and what each drawing shows.
//!
//! Knows: walls that hang together, the space between groups of walls, other linework, titles. Never
//! touches: how walls are found, sections, openings. Places are in inches of the drawing's own frame.
//!
//! Walls that hang together are one group; groups whose boxes overlap are one drawing; a small group
//! near a drawing belongs to it. Linework without walls (an elevation, say) is a drawing of its own, so
//! that its title is not taken for the plan's. A title belongs to the drawing it stands nearest to,
//! above all to the one above it.

use crate::account::{Fate, Reason};
use crate::affine::{Xy, norm, sub};
use crate::drawings::{Drawings, is_left_out};
use crate::network::networks;
use crate::openings::{root, unite};
use crate::patches::{Box4, CELL_IN, NOTHING, apart, cell, join, of_point, patches};
use crate::sameplan::{Same, alike, signature, turned_over, upside_down};
use crate::survey::{Survey, plural};
use crate::titleplaces::{assign, best_title, likely_titles, titles};
use crate::titles::{DrawingKind, Title, UNPLACED, title};
use crate::walls::WallLine;
use settings::{Settings, glob_match};
use std::collections::{BTreeMap, BTreeSet};

/// Boxes that come this near are of one drawing, inches.
const TOUCH_IN: f64 = 12.0;
/// Groups with less than this share of the greatest one's wall length are parts of a drawing, not
/// drawings: garages, sheds, a stray wall.
const PART: f64 = 0.25;
/// How near a part, or a group without a title, is to its drawing, inches: 30 ft.
const NEAR_IN: f64 = 360.0;
/// Linework without walls is a drawing when it is this large, inches.
const DRAWING_IN: f64 = 96.0;
/// Less than this share of the largest group's length, and far off, is stray.
const STRAY: f64 = 0.05;
/// Far off is three times the largest group's size, and this, inches: 300 ft.
const FAR_IN: f64 = 3600.0;
/// Groups that are compared with each other.
const MOST_GROUPS: usize = 400;
/// Door swings that make the lack of them elsewhere telling.
const SWINGS: usize = 3;

/// One drawing on the sheet.
#[derive(Clone, Debug)]
pub struct Region {
    /// Number, from 1: plans by storey, then from the top left.
    pub number: usize,
    /// Its title; empty when it has none.
    pub title: String,
    /// What it shows.
    pub kind: DrawingKind,
    /// Why it is thought to be that.
    pub why: String,
    /// Left, bottom, right, top in drawing units.
    pub bounds: [f64; 4],
    /// Walls in it.
    pub walls: usize,
    /// Their length, inches.
    pub walls_in: f64,
    /// Lines of wall, door and window layers in it that were left out with it.
    pub lines: usize,
    /// Their length, inches.
    pub lines_in: f64,
    /// Door swings in it.
    pub doors: usize,
    /// Whether its walls are planned.
    pub planned: bool,
    /// The storey it becomes, when it is planned.
    pub storey: String,
    /// Whether its title says which storey it is.
    pub placed: bool,
}

/// Where each wall belongs.
pub(crate) struct Layout {
    /// All drawings, walls or not.
    pub regions: Vec<Region>,
    /// Region of each wall.
    pub of: Vec<usize>,
    /// For each region that is planned, the storey, in order.
    pub storeys: Vec<usize>,
    /// Pairs of regions that may be one floor.
    pub copies: Vec<(usize, usize, Same)>,
    /// Of each region, the shapes that were left out with it.
    pub left: Vec<Vec<usize>>,
}

impl Layout {
    /// Whether a place, inches, is in a drawing that is left out, and in no other.
    pub fn is_in_left_out(&self, at_in: Option<Xy>, k: f64) -> bool {
        let holds = |r: &Region| {
            let b = r.bounds.map(|v| v * k);
            at_in.is_some_and(|p| apart(&b, &of_point(p)) <= TOUCH_IN)
        };
        let any = |planned: bool| {
            let some = self.regions.iter().filter(|r| r.planned == planned);
            some.filter(|r| r.planned || is_left_out(r)).any(holds)
        };
        any(false) && !any(true)
    }
    /// The same drawings with the walls that were found when each was read by itself.
    pub fn with_walls(mut self, walls: &[WallLine], drawings: &Drawings) -> Layout {
        for r in self.regions.iter_mut().filter(|r| r.planned) {
            (r.walls, r.walls_in) = (0, 0.0);
        }
        let first = self.storeys.first().copied().unwrap_or(0);
        self.of = walls.iter().map(|w| drawings.of_wall(w).unwrap_or(first)).collect();
        for (w, of) in walls.iter().zip(&self.of) {
            if let Some(r) = self.regions.get_mut(*of) {
                r.walls += 1;
                r.walls_in += norm(sub(w.line.b, w.line.a));
            }
        }
        self
    }
}

pub(crate) struct Group {
    pub bounds: Box4,
    pub walls: Vec<usize>,
    pub length: f64,
}

/// Sorts walls into drawings. `by_shape`: no layer says that these are walls.
pub(crate) fn lay_out(
    s: &Survey<'_>,
    k: f64,
    walls: &[WallLine],
    settings: &Settings,
    by_shape: bool,
) -> Layout {
    let mut groups = wall_groups(walls);
    let titles = titles(s, k);
    // Linework between groups says that they are one drawing, linework apart that there are others:
    // for one group without titles there is nothing to tell apart.
    let alone = groups.len() <= 1 && titles.is_empty();
    let of_box = |groups: &[Group], others: &[Box4]| {
        let boxes: Vec<Box4> =
            groups.iter().map(|g| g.bounds).chain(others.iter().copied()).collect();
        let of = assign(&titles, &boxes, groups.len());
        (boxes, of)
    };
    // Other linework matters where there are titles that might be its own.
    let others = if titles.is_empty() { Vec::new() } else { other_drawings(s, k, &groups) };
    let (_, of) = of_box(&groups, &others);
    let titled: Vec<Option<Title>> =
        (0..groups.len()).map(|i| best_title(&of, &titles, i)).collect();
    // A title in words that are not known says that a drawing is one by itself, as a known one does.
    let texts = if titles.is_empty() { Vec::new() } else { likely_titles(s, k, &titles, &groups) };
    let boxes: Vec<Box4> = groups.iter().map(|g| g.bounds).collect();
    let own: BTreeSet<usize> =
        assign(&texts, &boxes, groups.len()).into_iter().flatten().map(|o| o.0).collect();
    if !alone {
        let largest = groups.iter().map(|g| g.length).fold(0.0, f64::max);
        let open = groups.iter().zip(&titled);
        let heads = open.filter(|(g, t)| t.is_none() && g.length >= largest * PART).count();
        let links = match heads {
            0 | 1 => Vec::new(),
            _ => linked(s, k, walls, &groups),
        };
        groups = join_untitled(groups, titled, &own, &links, walls);
    }
    // Joined groups have other boxes: titles once more.
    let others = if titles.is_empty() { Vec::new() } else { other_drawings(s, k, &groups) };
    let (boxes, of_box) = of_box(&groups, &others);
    let swings = swings(s, k, groups.len() > 1);
    let largest = groups.iter().map(|g| g.length).fold(0.0, f64::max);
    let mut regions: Vec<(Region, Vec<usize>, Option<i32>)> = Vec::new();
    let doors_in = |b: &Box4| swings.iter().filter(|p| apart(b, &of_point(**p)) <= CELL_IN).count();
    let most_doors = groups.iter().map(|g| doors_in(&g.bounds)).max().unwrap_or(0);
    for (i, b) in boxes.iter().enumerate() {
        let found = best_title(&of_box, &titles, i);
        let own = groups.get(i);
        let doors = doors_in(b);
        let (kind, why) = match &found {
            Some(t) => (t.kind, "by its title".to_owned()),
            None if own.is_none() => {
                (DrawingKind::Unknown, "no walls in it and no title".to_owned())
            }
            None if doors == 0
                && most_doors >= SWINGS
                && (by_shape || own.is_some_and(|g| g.length < largest * PART)) =>
            {
                (
                    DrawingKind::Unknown,
                    format!("no title and no door swings, while another drawing has {most_doors}"),
                )
            }
            None if own.is_some_and(|g| is_stray(g, &groups)) => {
                (DrawingKind::Unknown, "a few lines far from everything else".to_owned())
            }
            None => (DrawingKind::FloorPlan, "it has walls and no title".to_owned()),
        };
        let planned = own.is_some() && kind == DrawingKind::FloorPlan;
        let region = Region {
            number: 0,
            title: found.as_ref().map(|t| t.text.clone()).unwrap_or_default(),
            kind,
            why,
            bounds: b.map(|v| v / k),
            walls: own.map_or(0, |g| g.walls.len()),
            walls_in: own.map_or(0.0, |g| g.length),
            lines: 0,
            lines_in: 0.0,
            doors,
            planned,
            storey: String::new(),
            placed: false,
        };
        let members = own.map(|g| g.walls.clone()).unwrap_or_default();
        regions.push((region, members, found.and_then(|t| t.storey)));
    }
    // Plans by storey; then from the top left, which is how sheets are read.
    let key = |r: &(Region, Vec<usize>, Option<i32>)| {
        let place = [-(r.0.bounds[3] * k / 120.0).round(), (r.0.bounds[0] * k / 12.0).round()];
        // Of plans with bare numbers the second is likelier above the first than under it.
        let number = title(&r.0.title).and_then(|t| t.number).unwrap_or(0);
        (!r.0.planned, r.0.walls == 0, (r.2.unwrap_or(UNPLACED), number), place)
    };
    regions.sort_by(|a, b| {
        let (x, y) = (key(a), key(b));
        (x.0, x.1, x.2)
            .cmp(&(y.0, y.1, y.2))
            .then(x.3[0].total_cmp(&y.3[0]))
            .then(x.3[1].total_cmp(&y.3[1]))
    });
    for (i, r) in regions.iter_mut().enumerate() {
        r.0.number = i + 1;
    }
    choose(&mut regions, settings);
    finish(regions, walls)
}

/// Whether a group is next to nothing beside the largest, and far from it.
fn is_stray(g: &Group, groups: &[Group]) -> bool {
    let largest = groups.iter().min_by(|a, b| by_weight(a, b));
    largest.is_some_and(|l| {
        let across = norm([l.bounds[2] - l.bounds[0], l.bounds[3] - l.bounds[1]]);
        g.length < l.length * STRAY && apart(&g.bounds, &l.bounds) > (across * 3.0).max(FAR_IN)
    })
}

/// What the settings choose, if they do.
fn choose(regions: &mut [(Region, Vec<usize>, Option<i32>)], settings: &Settings) {
    if settings.regions.is_empty() {
        return;
    }
    for (r, _, _) in regions {
        let number = r.number.to_string();
        let chosen = settings
            .regions
            .iter()
            .any(|p| p.trim() == number || (!r.title.is_empty() && glob_match(p, &r.title)));
        if chosen && r.walls > 0 {
            r.planned = true;
        } else if r.planned {
            r.planned = false;
            r.why += "; not chosen by region in the settings";
        }
    }
}

fn finish(regions: Vec<(Region, Vec<usize>, Option<i32>)>, walls: &[WallLine]) -> Layout {
    let mut of = vec![0; walls.len()];
    let mut out = Vec::new();
    let mut storeys = Vec::new();
    let mut names: BTreeSet<String> = BTreeSet::new();
    let planned = regions.iter().filter(|r| r.0.planned).count();
    let mut signs: Vec<(usize, Sign)> = Vec::new();
    for (i, (mut r, members, order)) in regions.into_iter().enumerate() {
        for w in &members {
            if let Some(slot) = of.get_mut(*w) {
                *slot = i;
            }
        }
        if r.planned {
            let name = match (r.title.is_empty(), planned) {
                (false, _) => r.title.clone(),
                (true, 1) => "Plan".to_owned(),
                (true, _) => format!("Plan {}", r.number),
            };
            r.storey = match names.contains(&name) {
                true => format!("{name} ({})", r.number),
                false => name,
            };
            names.insert(r.storey.clone());
            storeys.push(i);
            // One plan has no other to be like.
            let walls = if planned > 1 { signature(walls, &members) } else { Vec::new() };
            let variant = title(&r.title).is_some_and(|t| t.variant);
            r.placed = order.is_some();
            signs.push((i, Sign { walls, order, variant }));
        }
        out.push(r);
    }
    let mut copies = Vec::new();
    for (n, (i, a)) in signs.iter().enumerate() {
        for (j, b) in signs.iter().skip(n + 1) {
            // Two storeys may well be alike.
            let two = a.order.is_some() && b.order.is_some() && a.order != b.order;
            let (one, other) = (&a.walls, &b.walls);
            if !two && alike(one, other) {
                copies.push((*i, *j, Same::Walls));
            } else if !two && (alike(&turned_over(one), other) || alike(&upside_down(one), other)) {
                copies.push((*i, *j, Same::TurnedOver));
            } else if !two && (a.variant || b.variant) {
                copies.push((*i, *j, Same::Variant));
            }
        }
    }
    Layout { regions: out, of, storeys, copies, left: Vec::new() }
}

/// What a planned drawing is held against the others by.
struct Sign {
    walls: Vec<[i64; 5]>,
    order: Option<i32>,
    /// An option, an alternate, or turned over, as its title says.
    variant: bool,
}

/// Walls that hang together, boxes that overlap put together, largest first.
fn wall_groups(walls: &[WallLine]) -> Vec<Group> {
    let axes: Vec<_> = walls.iter().map(|w| w.line).collect();
    let thick: Vec<f64> = walls.iter().map(|w| w.spec.thickness_in).collect();
    let nets = networks(&axes, &thick);
    let mut by_net: BTreeMap<usize, Group> = BTreeMap::new();
    for (i, (w, n)) in walls.iter().zip(&nets.of).enumerate() {
        let g =
            by_net.entry(*n).or_insert(Group { bounds: NOTHING, walls: Vec::new(), length: 0.0 });
        g.bounds = join(g.bounds, join(of_point(w.line.a), of_point(w.line.b)));
        g.walls.push(i);
        g.length += norm(sub(w.line.b, w.line.a));
    }
    let mut groups: Vec<Group> = by_net.into_values().collect();
    loop {
        let before = groups.len();
        groups = merged(groups, |a, b| apart(&a.bounds, &b.bounds) <= TOUCH_IN);
        if groups.len() == before {
            break;
        }
    }
    groups.sort_by(by_weight);
    groups
}

fn by_weight(a: &Group, b: &Group) -> std::cmp::Ordering {
    (b.length as i64)
        .cmp(&(a.length as i64))
        .then(a.bounds[0].total_cmp(&b.bounds[0]))
        .then(a.bounds[1].total_cmp(&b.bounds[1]))
}

/// Puts together the groups that a test puts together. Groups are few: walls hang together.
fn merged(mut groups: Vec<Group>, same: impl Fn(&Group, &Group) -> bool) -> Vec<Group> {
    groups.sort_by(|a, b| a.bounds[0].total_cmp(&b.bounds[0]).then(by_weight(a, b)));
    let mut root_of: Vec<usize> = (0..groups.len()).collect();
    for (i, a) in groups.iter().enumerate() {
        for (j, b) in groups.iter().enumerate().skip(i + 1) {
            if b.bounds[0] > a.bounds[2] + TOUCH_IN {
                break;
            }
            if same(a, b) {
                unite(&mut root_of, i, j);
            }
        }
    }
    let mut out: BTreeMap<usize, Group> = BTreeMap::new();
    for (i, g) in groups.into_iter().enumerate() {
        absorb(
            out.entry(root(&mut root_of, i)).or_insert(Group {
                bounds: NOTHING,
                walls: Vec::new(),
                length: 0.0,
            }),
            g,
        );
    }
    out.into_values().collect()
}

fn absorb(into: &mut Group, g: Group) {
    into.bounds = join(into.bounds, g.bounds);
    into.walls.extend(g.walls);
    into.length += g.length;
}

/// Groups without a title of their own join a drawing near by: small ones always, others when the
/// drawing has a title, which says that it is one plan.
fn join_untitled(
    groups: Vec<Group>,
    titles: Vec<Option<Title>>,
    unknown: &BTreeSet<usize>,
    links: &[BTreeSet<usize>],
    walls: &[WallLine],
) -> Vec<Group> {
    // Where a group with a title in unknown words stands, whatever it is joined with.
    let at: Vec<Box4> = unknown.iter().filter_map(|i| groups.get(*i)).map(|g| g.bounds).collect();
    let (groups, titles) = join_linked(groups, titles, unknown, links, walls);
    let has_unknown = |g: &Group| at.iter().any(|b| apart(b, &g.bounds) <= 0.0);
    let largest = groups.iter().map(|g| g.length).fold(0.0, f64::max);
    let mut heads: Vec<(Group, bool)> = Vec::new();
    let mut rest: Vec<Group> = Vec::new();
    for (g, t) in groups.into_iter().zip(titles) {
        match t.is_some() || g.length >= largest * PART {
            true => heads.push((g, t.is_some())),
            false => rest.push(g),
        }
    }
    let boxes: Vec<(Box4, bool)> = heads.iter().map(|h| (h.0.bounds, h.1)).collect();
    let nearest = |b: &Box4, only_titled: bool, but: Option<usize>| {
        boxes
            .iter()
            .enumerate()
            .filter(|(i, h)| (h.1 || !only_titled) && Some(*i) != but)
            .map(|(i, h)| (apart(&h.0, b), i))
            .filter(|x| x.0 <= NEAR_IN)
            .min_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)))
            .map(|x| x.1)
    };
    let mut moves: Vec<(usize, Group)> = Vec::new();
    let mut alone: Vec<Group> = Vec::new();
    for g in rest {
        match nearest(&g.bounds, false, None) {
            Some(i) => moves.push((i, g)),
            None => alone.push(g),
        }
    }
    let mut stays: Vec<Option<Group>> = Vec::new();
    for (i, (g, has_title)) in heads.into_iter().enumerate() {
        match nearest(&g.bounds, true, Some(i)).filter(|_| !has_title && !has_unknown(&g)) {
            Some(to) => {
                moves.push((to, g));
                stays.push(None);
            }
            None => stays.push(Some(g)),
        }
    }
    for (i, g) in moves {
        match stays.get_mut(i) {
            Some(Some(head)) => absorb(head, g),
            _ => alone.push(g),
        }
    }
    let mut out: Vec<Group> = stays.into_iter().flatten().chain(alone).collect();
    out.sort_by(by_weight);
    out
}

/// Centers of door swings: of the door layers, or by their shape where these have none and it matters.
fn swings(s: &Survey<'_>, k: f64, matters: bool) -> Vec<Xy> {
    let first =
        |x: &crate::openings::Symbol| x.arcs.first().map(|a| [a.center[0] * k, a.center[1] * k]);
    let known: Vec<Xy> = s.symbols.iter().filter_map(first).collect();
    if !known.is_empty() || !matters {
        return known;
    }
    let shown = |i: usize| {
        s.drawing.lines.shapes.get(i).is_some_and(|x| x.is_line())
            && !matches!(
                s.fates.get(i),
                Some(Fate::Left(
                    Reason::Invisible | Reason::Off | Reason::Frozen | Reason::Bad | Reason::Far
                ))
            )
    };
    crate::doors::find(&s.drawing, &shown).iter().filter_map(|d| first(&d.symbol)).collect()
}

/// Untitled groups with linework between them are one drawing, unless they show the same walls.
fn join_linked(
    groups: Vec<Group>,
    titles: Vec<Option<Title>>,
    unknown: &BTreeSet<usize>,
    links: &[BTreeSet<usize>],
    walls: &[WallLine],
) -> (Vec<Group>, Vec<Option<Title>>) {
    let signs: Vec<Vec<[i64; 5]>> = groups.iter().map(|g| signature(walls, &g.walls)).collect();
    let mut root_of: Vec<usize> = (0..groups.len()).collect();
    for i in 0..groups.len().min(MOST_GROUPS) {
        for j in i + 1..groups.len().min(MOST_GROUPS) {
            let untitled =
                |n: usize| titles.get(n).is_some_and(Option::is_none) && !unknown.contains(&n);
            let (Some(a), Some(b)) = (links.get(i), links.get(j)) else { continue };
            let same = || match (signs.get(i), signs.get(j)) {
                (Some(a), Some(b)) => alike(a, b),
                _ => false,
            };
            if untitled(i) && untitled(j) && a.intersection(b).next().is_some() && !same() {
                unite(&mut root_of, i, j);
            }
        }
    }
    let mut out: BTreeMap<usize, (Group, Option<Title>)> = BTreeMap::new();
    for (i, (g, t)) in groups.into_iter().zip(titles).enumerate() {
        let nothing = || Group { bounds: NOTHING, walls: Vec::new(), length: 0.0 };
        let slot = out.entry(root(&mut root_of, i)).or_insert_with(|| (nothing(), None));
        absorb(&mut slot.0, g);
        slot.1 = slot.1.take().or(t);
    }
    let mut joined: Vec<(Group, Option<Title>)> = out.into_values().collect();
    joined.sort_by(|a, b| by_weight(&a.0, &b.0));
    joined.into_iter().unzip()
}

/// Boxes of linework that is in no group of walls and around none.
fn other_drawings(s: &Survey<'_>, k: f64, groups: &[Group]) -> Vec<Box4> {
    let in_plan = |p: Xy| groups.iter().any(|g| apart(&g.bounds, &of_point(p)) <= CELL_IN);
    let (_, boxes) = patches(s, k, &in_plan);
    // Around the walls, or beside them all along: borders, dimensions, gardens.
    let around = |b: &Box4| groups.iter().any(|g| apart(b, &g.bounds) <= CELL_IN * 1.5);
    boxes
        .into_values()
        .filter(|b| (b[2] - b[0]).max(b[3] - b[1]) >= DRAWING_IN && !around(b))
        .collect()
}

/// For each group, the patches of linework that its walls are in.
fn linked(s: &Survey<'_>, k: f64, walls: &[WallLine], groups: &[Group]) -> Vec<BTreeSet<usize>> {
    let (patch_of, _) = patches(s, k, &|_| false);
    let of = |p: Xy| cell(p).and_then(|c| patch_of.get(&c)).copied();
    groups
        .iter()
        .map(|g| {
            let own = g.walls.iter().filter_map(|i| walls.get(*i));
            own.flat_map(|w| [w.line.a, w.line.b]).filter_map(of).collect()
        })
        .collect()
}

/// What the regions are, in a sentence each, for a finding.
pub(crate) fn told(r: &Region) -> String {
    let title = match r.title.is_empty() {
        true => String::new(),
        false => format!(" \u{201c}{}\u{201d}", r.title),
    };
    // What is drawn in an elevation are lines, whatever they look like.
    let (count, what, inches) = match !r.planned && r.lines > 0 {
        true => (r.lines, "line", r.lines_in),
        false => (r.walls, "wall", r.walls_in),
    };
    let what = plural(count as u64, what);
    format!("{}{title} ({count} {what}, {:.0} ft)", r.number, inches / 12.0)
}
