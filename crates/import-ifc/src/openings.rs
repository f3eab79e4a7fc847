//! Openings, doors and windows on the walls that were read.

use crate::broken;
use crate::classes::{self, Kind};
use crate::cuts::{Cut, Cuts, OnPiece, Whole, best_of, depth_in, line_of, stretches};
use crate::geometry::affine::scale;
use crate::geometry::apart::apart;
use crate::geometry::body::Body;
use crate::hosting::{self, Host};
use crate::inventory::{Fate, Inventory};
use crate::report::Report;
use crate::seams::{Beyond, beyond};
use crate::shape;
use crate::step::Record;
use crate::void::{PLATE_SLACK_IN, Void, VoidKind, filled_with};
use crate::walls::{RawWall, Reader};
use diag::SourceRef;
use diag::codes::ifc;
use rustc_hash::FxHashMap;
use wall_model::{DraftOpening, OpeningKind};

/// How far an opening may reach past a wall's end and still be cut short there without a word.
const PAST_END_IN: f64 = 0.5;
/// The same of a door's or window's own body: frame and casing.
const CASING_IN: f64 = 3.0;

/// What is cut from the walls, by number of the draft wall.
#[derive(Default)]
pub struct Found {
    /// Openings.
    pub openings: Vec<(usize, DraftOpening)>,
    /// Stretches in inches over which nothing of a wall is left, up through its top plates.
    pub breaks: Vec<(usize, (f64, f64))>,
    /// Parts of openings on walls that the file does not cut, beside those it does.
    beyond: Vec<(usize, DraftOpening)>,
}

/// Reads every opening, door and window. `cuts` are the
/// pieces of the walls that were read, by entity id; `hosts` are all walls with a place.
pub fn read(
    reader: &Reader<'_, '_, '_>,
    raw: &[RawWall<'_>],
    cuts: &Cuts,
    hosts: &[Host],
    inventory: &mut Inventory,
    report: &mut Report,
) -> Found {
    let file = reader.shapes.file;
    let mut all = Found::default();
    let mut on_wall = OnWall::default();
    let mut fills: FxHashMap<u64, String> = FxHashMap::default();
    for r in file.all(Kind::Opening) {
        let fillers = fillers_of(reader, r.id);
        let result = opening(reader, (cuts, hosts), &r, &fillers, inventory, report);
        for f in &fillers {
            match &result {
                Ok(_) => inventory.decide(f.id, Fate::Used),
                Err(why) => {
                    fills.entry(f.id).or_insert_with(|| why.clone());
                }
            }
        }
        match result {
            Ok(found) => {
                inventory.decide(r.id, Fate::Used);
                for (draft, opening) in found.openings {
                    join(&mut all.openings, &mut on_wall, draft, opening);
                }
                all.breaks.extend(found.breaks);
                all.beyond.extend(found.beyond);
            }
            Err(why) => inventory.ignore(r.id, why),
        }
    }
    // Where the file cuts the other wall too, that says better what of it is there.
    for (draft, o) in std::mem::take(&mut all.beyond) {
        let known = |k: &usize| {
            let there = &all.openings[*k].1;
            let shared = there.to_in.min(o.to_in) - there.from_in.max(o.from_in);
            shared > 0.5 * (o.to_in - o.from_in)
        };
        let places = on_wall.entry(draft).or_default();
        if !places.iter().any(known) {
            places.push(all.openings.len());
            all.openings.push((draft, o));
        }
    }
    if raw
        .iter()
        .any(|w| w.shape.as_ref().is_some_and(|s| !s.seen.holes.is_empty() || s.seen.too_intricate))
    {
        let mut known: Stretches = FxHashMap::default();
        let openings = all.openings.iter().map(|(n, o)| (*n, (o.from_in, o.to_in)));
        for (n, range) in openings.chain(all.breaks.iter().copied()) {
            known.entry(n).or_default().push(range);
        }
        for wall in raw {
            holes_of_body(reader, wall, cuts, &mut known, &mut all, report);
        }
    }
    let out = &mut all.openings;
    for kind in [Kind::Door, Kind::Window] {
        for r in file.all(kind) {
            if inventory.fate(r.id) == Some(&Fate::Used) {
                continue;
            }
            if let Some(why) = fills.get(&r.id) {
                inventory.ignore(r.id, why.clone());
                continue;
            }
            if let Some(whole) = reader.relations.whole_of(r.id).and_then(|w| file.find(w)) {
                inventory.ignore(r.id, format!("part of {}", classes::spelled(whole.class)));
                continue;
            }
            let source = inventory.source(file, &r, &file.name(&r));
            let noun = if kind == Kind::Door { "door" } else { "window" };
            match stands_in(reader, (cuts, hosts), &r) {
                Some(Ok((stands, past))) => {
                    inventory.decide(r.id, Fate::Used);
                    if past > CASING_IN {
                        report.add(ifc::OPENING_SHAPE, noun, cut_short(reader, past), &source);
                    }
                    report.add(ifc::OPENING_BY_PLACE, noun, BY_PLACE, &source);
                    for (draft, range) in stands {
                        put(out, draft, kind, range, source.clone());
                    }
                    continue;
                }
                Some(Err(why)) => {
                    inventory.ignore(r.id, why);
                    continue;
                }
                None => {}
            }
            report.add(ifc::OPENING_UNHOSTED, noun, "fills no opening of any wall", &source);
            inventory.ignore(r.id, ifc::OPENING_UNHOSTED.info().title);
        }
    }
    all
}

/// Stretches in inches by number of the draft wall.
type Stretches = FxHashMap<usize, Vec<(f64, f64)>>;

/// Openings that are in the shape of a wall's body alone; those that an opening element tells too are known already.
fn holes_of_body(
    reader: &Reader<'_, '_, '_>,
    wall: &RawWall<'_>,
    cuts: &Cuts,
    known: &mut Stretches,
    all: &mut Found,
    report: &mut Report,
) {
    let (Some(shape), Some(pieces)) = (&wall.shape, cuts.get(&wall.id)) else { return };
    if shape.seen.too_intricate {
        let what = "its body has too many faces to be looked through for openings";
        report.add(ifc::OPENING_IN_BODY, "wall", what, &wall.source);
    }
    let inches = reader.unit.inches;
    let mut told = Vec::new();
    for (a, b, z) in &shape.seen.holes {
        for cut in pieces {
            let (s, e) = (cut.station(*a), cut.station(*b));
            let (from, to) = (s.min(e).max(0.0) * inches, s.max(e).min(cut.length()) * inches);
            let there = known.entry(cut.draft).or_default();
            let same =
                |(a, b): &(f64, f64)| to.min(*b) - from.max(*a) > 0.5 * (to - from).min(b - a);
            if to - from <= 0.0 || there.iter().any(same) {
                continue;
            }
            there.push((from, to));
            let along = (from / inches, to / inches);
            let void =
                Void::of(reader, (line_of(cut, cuts), cut.heights.0), along, &[(cut, along)], *z);
            let kind = match void.kind(None) {
                VoidKind::Opening(kind) => kind,
                VoidKind::Small => continue,
                // Above it there is body, if less than two plates.
                VoidKind::Broken | VoidKind::Pocket => OpeningKind::Opening,
            };
            if let Some(words) = void.plates(reader) {
                report.add(ifc::VOID_IN_PLATES, "wall", words, &wall.source);
            }
            let words = format!("{} to {}", reader.text(void.along.0), reader.text(void.along.1));
            // Both rows of studs have it.
            if !told.contains(&words) {
                told.push(words);
            }
            let source = vec![wall.source.clone()];
            let opening = DraftOpening { kind, from_in: from, to_in: to, source };
            all.openings.push((cut.draft, opening));
        }
    }
    if !told.is_empty() {
        let what = format!("read from the shape of its body: {}", told.join(", "));
        report.add(ifc::OPENING_IN_BODY, "wall", what, &wall.source);
    }
}

/// Ledger reason for what stands in a wall that was left out.
const LEFT_OUT: &str = "its wall was left out";

/// What is said of something that is in a wall by its place alone.
const BY_PLACE: &str = "tied to no wall by the file, taken to be in the one it stands in";

/// What is said of something that is not on walls with all its width.
fn cut_short(reader: &Reader<'_, '_, '_>, past: f64) -> String {
    format!("reaches {} past the end of its wall and was cut short there", reader.text(past))
}

/// Number of the draft wall, and inches along it.
type Stand = (usize, (f64, f64));

/// Where a door or window stands that fills no opening; the error is a reason for the ledger, `None`
/// when it stands in no wall. With it, how much of its width is on no wall, in inches.
fn stands_in<'a>(
    reader: &Reader<'_, '_, 'a>,
    (cuts, hosts): (&Cuts, &[Host]),
    r: &Record<'a>,
) -> Option<Result<(Vec<Stand>, f64), String>> {
    let world = reader.shapes.world(reader.memo, r.param(5)).ok()?;
    let body = shape::corners_of_body(reader.shapes, r, &world);
    let body = if body.is_empty() { width_of(reader, r)? } else { body };
    let host = hosting::nearest(reader, hosts, &body, (world.origin[0], world.origin[1]))?;
    let Some(cut) = host.cut else { return Some(Err(LEFT_OUT.to_owned())) };
    let [along, _, _] = shape::measure(&cut.piece, &body)?;
    // The body may have casings wider than the opening.
    let middle = (along.0 + along.1) / 2.0;
    let stated = r.param(9).number().filter(|w| *w > 0.0 && *w <= along.1 - along.0);
    let half = stated.unwrap_or(along.1 - along.0) / 2.0;
    let along = (middle - half, middle + half);
    let mut stands = stretches(&cut, along, cuts);
    let height = body.range(|p| p[2]).unwrap_or(cut.heights);
    let beyond = match cut.whole {
        Whole::Curve(_) => Beyond::default(),
        _ => beyond(reader, (hosts, cuts), (&cut, line_of(&cut, cuts)), along, height),
    };
    stands.extend(beyond.parts);
    stands.retain(|(_, (from, to))| from < to);
    let inches = reader.unit.inches;
    let stands = stands.into_iter().map(|(c, (a, b))| (c.draft, (a * inches, b * inches)));
    let stands: Vec<Stand> = stands.collect();
    (!stands.is_empty()).then_some(Ok((stands, beyond.past * inches)))
}

/// Puts a door or window on its wall: into the opening that is there already, else as a new one.
fn put(
    out: &mut Vec<(usize, DraftOpening)>,
    draft: usize,
    kind: Kind,
    (from_in, to_in): (f64, f64),
    source: SourceRef,
) {
    let kind = if kind == Kind::Door { OpeningKind::Door } else { OpeningKind::Window };
    let same = out.iter_mut().find(|(n, o)| {
        let shared = o.to_in.min(to_in) - o.from_in.max(from_in);
        *n == draft && shared > 0.5 * (o.to_in - o.from_in).min(to_in - from_in)
    });
    match same {
        Some((_, o)) => {
            // A window over a door leaves it a door.
            if kind == OpeningKind::Door {
                o.kind = kind;
            }
            o.source.push(source);
        }
        None => out.push((draft, DraftOpening { kind, from_in, to_in, source: vec![source] })),
    }
}

/// Voids whose jambs are this near to each other are one opening: 1 in (common practice, no source).
const SAME_JAMB_IN: f64 = 1.0;

/// Where the openings of each draft wall are in the list of all.
type OnWall = FxHashMap<usize, Vec<usize>>;

/// Puts an opening on its wall; into one that is there already between the same jambs, as where a door's void and
/// one that nothing fills are cut at one place.
fn join(
    out: &mut Vec<(usize, DraftOpening)>,
    on_wall: &mut OnWall,
    draft: usize,
    opening: DraftOpening,
) {
    let near = |a: f64, b: f64| (a - b).abs() <= SAME_JAMB_IN;
    let places = on_wall.entry(draft).or_default();
    let same = places.iter().copied().find(|k| {
        let there = &out[*k].1;
        near(there.from_in, opening.from_in) && near(there.to_in, opening.to_in)
    });
    let Some(same) = same else {
        places.push(out.len());
        out.push((draft, opening));
        return;
    };
    let there = &mut out[same].1;
    // A door takes the bottom plate, and so does a passage; a window over either changes nothing.
    let takes = |kind: OpeningKind| match kind {
        OpeningKind::Door => 2,
        OpeningKind::Opening => 1,
        OpeningKind::Window => 0,
    };
    if takes(opening.kind) > takes(there.kind) {
        there.kind = opening.kind;
    }
    there.from_in = there.from_in.min(opening.from_in);
    there.to_in = there.to_in.max(opening.to_in);
    for source in opening.source {
        if !there.source.contains(&source) {
            there.source.push(source);
        }
    }
}

/// What fills an opening, a door first: it says what the opening is.
fn fillers_of<'a>(reader: &Reader<'_, '_, 'a>, opening: u64) -> Vec<Record<'a>> {
    let ids = reader.relations.fillers.get(&opening);
    let mut all: Vec<Record<'a>> =
        ids.into_iter().flatten().filter_map(|id| reader.shapes.file.find(*id)).collect();
    all.sort_by_key(|f| {
        (kind_of(reader, f.id) != Some(Kind::Door), kind_of(reader, f.id).is_none())
    });
    all
}

/// One opening on its wall, or the reason for the ledger.
fn opening<'a>(
    reader: &Reader<'_, '_, 'a>,
    (cuts, hosts): (&Cuts, &[Host]),
    r: &Record<'a>,
    fillers: &[Record<'a>],
    inventory: &Inventory,
    report: &mut Report,
) -> Result<Found, String> {
    let file = reader.shapes.file;
    let source = inventory.source(file, r, &file.name(r));
    let host = reader.relations.host.get(&r.id).and_then(|id| file.find(*id));
    let unreadable = |report: &mut Report, why: &str| {
        report.add(ifc::OPENING_SHAPE, "opening", why, &source);
        Err(ifc::OPENING_SHAPE.info().title.to_owned())
    };
    let world = match reader.shapes.world(reader.memo, r.param(5)) {
        Ok(world) => world,
        Err(why) => return unreadable(report, &why),
    };
    let (body, _) = shape::body_of(reader.shapes, r, &world);
    let by_place: [Cut; 1];
    let pieces: &[Cut] = match host {
        Some(host) => {
            // An opening may be cut from a part of the wall.
            let whole = reader.relations.whole_of(host.id).unwrap_or(host.id);
            let Some(pieces) = cuts.get(&host.id).or_else(|| cuts.get(&whole)) else {
                let is_wall = file.ids(Kind::Wall).binary_search(&host.id).is_ok();
                return Err(if is_wall {
                    LEFT_OUT.to_owned()
                } else {
                    format!("opening in {}", classes::spelled(host.class))
                });
            };
            pieces
        }
        None => {
            let near = hosting::nearest(reader, hosts, &body, (world.origin[0], world.origin[1]));
            let Some(host) = near else {
                report.add(ifc::OPENING_UNHOSTED, "opening", "cut from nothing", &source);
                return Err(ifc::OPENING_UNHOSTED.info().title.to_owned());
            };
            let Some(cut) = host.cut else { return Err(LEFT_OUT.to_owned()) };
            report.add(ifc::OPENING_BY_PLACE, "opening", BY_PLACE, &source);
            by_place = [cut];
            &by_place
        }
    };
    let (body, by_filler) = if body.is_empty() {
        let mut widths = Body::default();
        fillers.iter().filter_map(|f| width_of(reader, f)).for_each(|w| widths.append(w));
        (widths, true)
    } else {
        (body, false)
    };
    if body.is_empty() {
        return unreadable(report, "no body that can be read, and no width of a door or window");
    }
    let Some(OnPiece { cut, .. }) = best_of(pieces, &body) else {
        return unreadable(report, "its wall has no length");
    };
    let void = Told { r, fillers, by_filler, source };
    // Two solids with wall between them are two openings.
    let gap = APART_IN / reader.unit.inches;
    let each = match by_filler || matches!(cut.whole, Whole::Curve(_)) {
        true => vec![body],
        false => apart(&body, |p| cut.station((p[0], p[1])), gap),
    };
    let mut all = Found::default();
    let mut ignored = None;
    for body in each {
        match one_void(reader, (cuts, pieces, hosts), &void, &body, inventory, report) {
            Ok(found) => {
                all.openings.extend(found.openings);
                all.breaks.extend(found.breaks);
                all.beyond.extend(found.beyond);
            }
            Err(why) => ignored = ignored.or(Some(why)),
        }
    }
    match ignored {
        Some(why) if all.openings.is_empty() && all.breaks.is_empty() => Err(why),
        _ => Ok(all),
    }
}

/// More of a wall than this between two solids of one opening is a wall: 1 in.
const APART_IN: f64 = 1.0;

/// What the file tells of an opening.
struct Told<'r, 'a> {
    r: &'r Record<'a>,
    fillers: &'r [Record<'a>],
    /// Whether its width is that of what fills it.
    by_filler: bool,
    source: SourceRef,
}

/// One void of an opening on its wall, or the reason for the ledger.
fn one_void(
    reader: &Reader<'_, '_, '_>,
    (cuts, pieces, hosts): (&Cuts, &[Cut], &[Host]),
    told: &Told<'_, '_>,
    body: &Body,
    inventory: &Inventory,
    report: &mut Report,
) -> Result<Found, String> {
    let file = reader.shapes.file;
    let Told { r, fillers, by_filler, source } = told;
    let (filler, by_filler) = (fillers.first(), *by_filler);
    let unreadable = |report: &mut Report, why: &str| {
        report.add(ifc::OPENING_SHAPE, "opening", why, source);
        Err(ifc::OPENING_SHAPE.info().title.to_owned())
    };
    let Some(OnPiece { cut, measures: [along, across, height], overlap }) = best_of(pieces, body)
    else {
        return unreadable(report, "its wall has no length");
    };
    let inches = reader.unit.inches;
    if overlap * inches <= 0.0 {
        return unreadable(report, "it lies beyond the end of its wall");
    }
    let (foot, top) = cut.heights;
    let line = line_of(cut, cuts);
    let curved = matches!(cut.whole, Whole::Curve(_));
    let mut over = stretches(cut, along, cuts);
    let place = (line, foot);
    if !by_filler {
        if height.0 >= top || height.1 <= foot {
            return Err("opening above or below its wall".to_owned());
        }
        let depth = depth_in(cut, across);
        let recess = r.param(8).name() == Some(b"RECESS")
            || r.param(4).raw_string().is_some_and(|t| t.eq_ignore_ascii_case(b"recess"));
        let least = match (filler.is_some(), recess) {
            (true, _) => 0.5,
            (false, true) => 0.98,
            (false, false) => 0.75,
        };
        if depth < least * (cut.framing.1 - cut.framing.0) {
            let void = Void::of(reader, place, along, &over, height);
            if depth * inches > PLATE_SLACK_IN
                && let Some(words) = void.plates(reader)
            {
                report.add(ifc::VOID_IN_PLATES, "recess", words, source);
            }
            report.add(ifc::OPENING_SHALLOW, "opening", "does not go through the framing", source);
            return Err(ifc::OPENING_SHALLOW.info().title.to_owned());
        }
        // A niche in one row of two leaves the other whole.
        over.retain(|(c, _)| {
            c.framing == cut.framing
                || curved
                || depth_in(c, across) >= least * (c.framing.1 - c.framing.0)
        });
    }
    let beyond = beyond(reader, (hosts, cuts), (cut, line), along, height);
    let past = beyond.past * inches;
    if past > PAST_END_IN && !curved {
        report.add(ifc::OPENING_SHAPE, "opening", cut_short(reader, past), source);
    }
    let fills = filler.and_then(|f| kind_of(reader, f.id));
    // Of a door's own width nothing tells how high the void is.
    let void = Void::of(reader, place, (along.0.max(line.0), along.1.min(line.1)), &over, height);
    // A void over a whole wall, as of a window frame drawn as one, leaves no wall on either side.
    let leaves = void.along.0 >= broken::LEAST_IN
        || (line.1 - line.0) * inches - void.along.1 >= broken::LEAST_IN
        || curved;
    let kind = match void.kind(fills) {
        VoidKind::Broken if !by_filler && leaves => {
            let what = format!(
                "leaves nothing of its wall from {} to {} along it, up through both top plates: planned as a wall on either side",
                reader.text(void.along.0),
                reader.text(void.along.1)
            );
            report.add(ifc::WALL_BROKEN, "opening", what, source);
            let each = over.into_iter();
            let breaks = each.map(|(c, (a, b))| (c.draft, (a * inches, b * inches))).collect();
            return Ok(Found { breaks, ..Found::default() });
        }
        VoidKind::Small if !by_filler => {
            let what = "fits between two studs: no opening, no studs beside it";
            report.add(ifc::OPENING_SMALL, "opening", what, source);
            return Err(ifc::OPENING_SMALL.info().title.to_owned());
        }
        VoidKind::Pocket if !by_filler => {
            report.add(
                ifc::VOID_IN_PLATES,
                "opening",
                void.plates(reader).unwrap_or_default(),
                source,
            );
            return Err(ifc::VOID_IN_PLATES.info().title.to_owned());
        }
        VoidKind::Opening(kind) => kind,
        _ => filled_with(fills).unwrap_or(OpeningKind::Opening),
    };
    if !by_filler && let Some(words) = void.plates(reader) {
        report.add(ifc::VOID_IN_PLATES, "opening", words, source);
    }
    let mut sources = vec![source.clone()];
    sources.extend(fillers.iter().map(|f| inventory.source(file, f, &file.name(f))));
    let found = |(from, to): (f64, f64)| DraftOpening {
        kind,
        from_in: from * inches,
        to_in: to * inches,
        source: sources.clone(),
    };
    let openings = over.into_iter().map(|(c, range)| (c.draft, found(range))).collect();
    if curved {
        return Ok(Found { openings, ..Found::default() });
    }
    let alike = |a: f64, b: f64| ((a - b) * inches).abs() <= PLATE_SLACK_IN;
    let differs = |c: &&Cut| {
        let wide = |c: &Cut| c.framing.1 - c.framing.0;
        !alike(wide(c), wide(cut)) || !alike(c.heights.1, cut.heights.1)
    };
    if beyond.next.iter().any(differs) {
        let what = "lies over the seam of two walls in one line whose framing or height differs";
        report.add(ifc::OPENING_OVER_SEAM, "opening", what, source);
    }
    let parts = beyond.parts.into_iter();
    let beyond = parts.map(|(c, range)| (c.draft, found(range))).collect();
    Ok(Found { openings, beyond, ..Found::default() })
}

fn kind_of(reader: &Reader<'_, '_, '_>, id: u64) -> Option<Kind> {
    let is = |k: &Kind| reader.shapes.file.ids(*k).binary_search(&id).is_ok();
    [Kind::Door, Kind::Window].into_iter().find(is)
}

/// The width of a door or window as a line from its placement along its own x.
fn width_of(reader: &Reader<'_, '_, '_>, filler: &Record<'_>) -> Option<Body> {
    let width = filler.param(9).number().filter(|w| *w > 0.0)?;
    let world = reader.shapes.world(reader.memo, filler.param(5)).ok()?;
    let end = crate::geometry::affine::add(world.origin, scale(world.x, width));
    Some(Body { vertices: vec![world.origin, end], ..Body::default() })
}
