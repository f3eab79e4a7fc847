//! Nails by the rule set's schedule: upper plates over studs (over headers where the layout has none), laps, joints,
//! ends; studs; floor.

use crate::studs::Studs;
use geom::Length;
use plan_model::{Joint, JointKind, Layer, NailSpot, Piece};
use rule_sets::RuleSet;
use std::collections::BTreeMap;
use wall_model::floor::Run;

/// Nails stay this far from a piece's end, where the stud has wood there.
const END_DISTANCE: Length = Length::sixteenths(24);

/// And in any case this far from it, and from a stud's edge.
const EDGE: Length = Length::sixteenths(4);

/// No tape shows less.
const HAIR: Length = Length::sixty_fourths(1);

/// A nail that is added beside others stands this far from them.
const BESIDE_NAILS: Length = Length::sixteenths(24);

/// An end of an upper plate is held by nails within this distance of it.
const NEAR_END: Length = Length::inches(6);

/// A nail into the floor is driven this far from the studs on the plate.
const BESIDE_STUD: Length = Length::sixteenths(12);

/// Where a bottom plate's stretch begins and ends it is nailed down within this distance, studs allowing.
const NEAR_FLOOR_END: Length = Length::inches(8);

/// Nails of an upper plate nearer to each other than this are at one place.
const APART_LEAST: Length = Length::sixteenths(12);

/// Places of nails that are added stay this far from each other.
const APART: Length = Length::inches(3);

/// What nails are for, as the totals list them.
pub(crate) const UPPER: &str = "upper to lower plate";
pub(crate) const LAP: &str = "laps at corners and intersections";
pub(crate) const STUDS: &str = "plates to studs";
pub(crate) const FLOOR: &str = "bottom plate to floor";

/// Counts by purpose and nail.
pub(crate) type Totals = BTreeMap<(&'static str, &'static str), u64>;

/// Places where a piece lies on another run's plate: stations on the run.
pub(crate) struct OnOther {
    pub from: Length,
    pub to: Length,
    pub exterior_corner: bool,
}

/// What the nails of a run's pieces go by.
pub(crate) struct Schedule<'a> {
    pub run: &'a Run,
    pub studs: &'a Studs,
    /// Studs of walls in line that its upper plate runs on over.
    pub beyond: &'a [Length],
    pub laps: &'a [OnOther],
    pub joints: &'a [Joint],
    pub rules: &'static RuleSet,
    /// Whether the bottom plates lie on concrete.
    pub on_concrete: bool,
}

/// From where to where a piece can be nailed: see [`wide_enough`].
type Wide = (Length, Length);

/// Nails of one piece by station on the run and nail.
type Spots = BTreeMap<(Length, &'static str), u32>;

/// Nails one piece and adds to the totals.
pub(crate) fn drive(piece: &mut Piece, by: &Schedule, totals: &mut Totals) {
    let mut spots = Spots::new();
    let mut floor = Vec::new();
    let wide = wide_enough(piece, by.run);
    match piece.layer {
        Layer::Upper => upper(piece, wide, by, &mut spots, totals),
        Layer::Bottom | Layer::Lower => to_studs(piece, wide, by, &mut spots, totals),
    }
    // On concrete anchor bolts hold it down.
    if piece.layer == Layer::Bottom && !by.on_concrete {
        floor = to_floor(piece, wide, by, totals);
    }
    let from = piece.from;
    let others = spots.into_iter().map(|((at, nail), count)| NailSpot {
        at: at - from,
        count,
        nail: nail.to_owned(),
        into_floor: false,
    });
    piece.nails = others.chain(floor).collect();
    piece.nails.sort_by(|a, b| (a.at, &a.nail, a.into_floor).cmp(&(b.at, &b.nail, b.into_floor)));
}

/// Nails of an upper plate: over studs (over an opening, where the header's cripples stand), near its ends, on both sides of
/// joints, on laps.
fn upper(piece: &Piece, wide: Wide, by: &Schedule, spots: &mut Spots, totals: &mut Totals) {
    let Schedule { run, studs, rules, .. } = *by;
    let rule = &rules.nails.upper_to_lower;
    for at in places_in(piece, wide, by, &[&studs.to_the_top, &studs.over_openings, by.beyond]) {
        *spots.entry((at, &*rule.nail)).or_default() += rule.per_stud;
    }
    near_ends(piece, wide, by, spots);
    // No joint of a sliver can be nailed.
    if wide.0 < wide.1 {
        enough_at_joints(spots, piece, by);
    }
    let count: u64 = spots.values().map(|c| u64::from(*c)).sum();
    on_laps(piece, by, spots, totals);
    let most = most_between(run, rules);
    let there: Vec<Length> = spots.keys().map(|(at, _)| *at).collect();
    let mut more = 0;
    for pair in there.windows(2) {
        for at in clear_of_notches_between(piece, [pair[0], pair[1]], most) {
            *spots.entry((at, &*rule.nail)).or_default() += 1;
            more += 1;
        }
    }
    *totals.entry((UPPER, &*rule.nail)).or_default() += count + more;
}

/// Where one more nail each makes two places as near as the code asks: close beside both, or beside one of them where a king
/// or an end stands in for a stud of the layout an inch away.
fn closer([before, after]: [Length; 2], most: Length) -> Vec<Length> {
    let over = after - before - most;
    if over > most * 2 {
        // So far apart that nails beside the two do not do.
        let steps = (over.nm() + most.nm() * 2 - 1) / most.nm();
        (1..steps).map(|k| before + (over + most) * k / steps).collect()
    } else if over > BESIDE_NAILS {
        let aside = over.half().max(BESIDE_NAILS);
        vec![before + aside, after - aside]
    } else if over > HAIR {
        vec![after - BESIDE_NAILS]
    } else {
        Vec::new()
    }
}

/// The same, beside the notches that they would be in, and no more than are asked for there.
fn clear_of_notches_between(piece: &Piece, pair: [Length; 2], most: Length) -> Vec<Length> {
    let mut places = closer(pair, most);
    for at in &mut places {
        let Some((a, b)) = notch_at(notched(piece), *at) else { continue };
        let apart = |p: &Length| *p - pair[0] >= BESIDE_NAILS && pair[1] - *p >= BESIDE_NAILS;
        let sides = [a, b].into_iter().filter(apart);
        *at = sides.min_by_key(|p| (*p - *at).abs()).unwrap_or(a);
    }
    if let [first, second] = places[..] {
        let far = |from: Length, to: Length| to - from > most + HAIR;
        if !far(first, pair[1]) {
            places.truncate(1);
        } else if !far(pair[0], second) {
            places.remove(0);
        }
    }
    places
}

/// Two nails near either end of the piece, where no stud is near it (trade text, Modern Carpentry 2022, 11.6.4).
fn near_ends(piece: &Piece, (from, to): Wide, by: &Schedule, spots: &mut Spots) {
    let rule = &by.rules.nails.upper_to_lower;
    if to - from < END_DISTANCE * 4 {
        return;
    }
    let held = |lo: Length, hi: Length| spots.keys().any(|(at, _)| *at >= lo && *at <= hi);
    let start = (!held(from, from + NEAR_END)).then_some(from + END_DISTANCE);
    let end = (!held(to - NEAR_END, to)).then_some(to - END_DISTANCE);
    for at in start.into_iter().chain(end) {
        if notch_at(notched(piece), at).is_none() {
            *spots.entry((at, &*rule.nail)).or_default() += rule.per_stud;
        }
    }
}

/// Stations on the run where a piece's notches leave less than half its width, and a nail's distance beside them.
fn notched(piece: &Piece) -> impl Iterator<Item = (Length, Length)> {
    let half = piece.section.width().half();
    let deep = piece.notches.iter().filter(move |n| piece.section.width() - n.depth < half);
    deep.map(|n| (piece.from + n.from - EDGE, piece.from + n.to + EDGE))
}

/// The notch a place is in.
fn notch_at(
    mut notched: impl Iterator<Item = (Length, Length)>,
    at: Length,
) -> Option<(Length, Length)> {
    notched.find(|(a, b)| at > *a && at < *b)
}

/// A place, or the nearest one beside the notch it is in.
fn clear_of_notches(piece: &Piece, at: Length) -> Length {
    notch_at(notched(piece), at).map_or(at, |(a, b)| if at - a <= b - at { a } else { b })
}

/// A lap's nails: what its stretch lacks of them, in its middle.
fn on_laps(piece: &Piece, by: &Schedule, spots: &mut Spots, totals: &mut Totals) {
    let n = &by.rules.nails;
    for lap in by.laps {
        let (from, to) = (lap.from.max(piece.from), lap.to.min(piece.to));
        if to - from < EDGE * 2 {
            continue;
        }
        let most = most_at_one_place(by);
        let asked = if lap.exterior_corner { n.exterior_end.count.max(most) } else { most };
        let within = |at: &Length| *at >= from && *at <= to;
        let there = spots.iter().filter(|((at, _), _)| within(at)).map(|(_, c)| *c).sum();
        let count = asked.saturating_sub(there);
        if count == 0 {
            continue;
        }
        let at = (from + to).half();
        let nail = if lap.exterior_corner { &n.exterior_end.nail } else { &n.lap.nail };
        *spots.entry((at, &**nail)).or_default() += count;
        *totals.entry((LAP, &**nail)).or_default() += u64::from(count);
    }
}

fn to_studs(piece: &Piece, wide: Wide, by: &Schedule, spots: &mut Spots, totals: &mut Totals) {
    let Schedule { studs, rules, .. } = *by;
    let n = &rules.nails;
    let count = if is_wide(by.run) { n.stud.wide } else { n.stud.narrow };
    // Over openings the cripples on the header, under windows those under the sill.
    let (standing, cripples) = match piece.layer {
        Layer::Bottom => (&studs.centres, &studs.under_windows),
        // A trimmer ends under the header.
        _ => (&studs.to_the_top, &studs.over_openings),
    };
    let places = places_in(piece, wide, by, &[standing, cripples]);
    if places.is_empty() {
        return;
    }
    *totals.entry((STUDS, &*n.stud.nail)).or_default() += u64::from(count) * places.len() as u64;
    for at in places {
        *spots.entry((at, &*n.stud.nail)).or_default() += count;
    }
}

fn to_floor(piece: &Piece, wide: Wide, by: &Schedule, totals: &mut Totals) -> Vec<NailSpot> {
    let rule = &by.rules.nails.floor;
    let most = Length::from_inches(rule.max_spacing).unwrap_or(Length::inches(16));
    let places = into_the_floor(wide, by.studs, most);
    if !places.is_empty() {
        *totals.entry((FLOOR, &*rule.nail)).or_default() += places.len() as u64;
    }
    let spot = |at| NailSpot { at, count: 1, nail: rule.nail.clone(), into_floor: true };
    places.into_iter().map(|at| spot(at - piece.from)).collect()
}

fn is_wide(run: &Run) -> bool {
    run.section.width() > Length::inches(4)
}

/// Nails at one place: more split the board (common practice, no source).
fn most_at_one_place(by: &Schedule) -> u32 {
    let lap = &by.rules.nails.lap;
    if is_wide(by.run) { lap.wide } else { lap.narrow }
}

/// Where a piece is nailed to what stands under it: at each centre, or as far from the piece's end as the stud still
/// has wood; nowhere where too little of the stud is under the piece. An upper plate is nailed to the lower one: no
/// nearer to its ends, stud or not.
fn places_in(piece: &Piece, (from, to): Wide, by: &Schedule, centres: &[&[Length]]) -> Vec<Length> {
    let studs = by.studs;
    let inset = END_DISTANCE.min((to - from).half());
    let reach = if piece.layer == Layer::Upper { END_DISTANCE + EDGE } else { studs.half - EDGE };
    let mut out: Vec<(Length, Length)> = centres
        .iter()
        .flat_map(|c| {
            let first = c.partition_point(|c| *c <= from - studs.half);
            c[first..].iter().copied().take_while(|c| *c < to + studs.half)
        })
        .map(|c| (c, c.max(from + inset).min(to - inset).max(c - reach).min(c + reach)))
        .map(|(c, at)| {
            (c, if piece.layer == Layer::Upper { clear_of_notches(piece, at) } else { at })
        })
        .filter(|(c, at)| (*at - *c).abs() <= reach && *at >= from + EDGE && *at <= to - EDGE)
        .collect();
    out.sort_unstable_by_key(|(c, at)| (*at, *c));
    // Two studs near an end are nailed at one place; the one that has the nails right over it says where.
    out.dedup_by(|b, a| {
        let one = b.1 == a.1 || piece.layer == Layer::Upper && b.1 - a.1 < APART_LEAST;
        if one && b.0 == b.1 {
            *a = *b;
        }
        one
    });
    out.into_iter().map(|(_, at)| at).collect()
}

/// Where a piece has half of its width or more, stations on the run: at a bevel, a step or a point at its end it may have
/// less. Of a sliver that has it nowhere, where a nail has wood on both sides; nowhere, where none would have.
fn wide_enough(piece: &Piece, run: &Run) -> Wide {
    let Some(corners) = corners(piece, run) else { return (piece.from, piece.to) };
    let mut stations: Vec<Length> = corners.iter().map(|c| c.0).collect();
    stations.sort_unstable();
    let beside = Length::sixty_fourths(1);
    let wider = |least: Length| {
        let from = stations.iter().find(|s| width_at(&corners, **s + beside) >= least)?;
        let to = stations.iter().rev().find(|s| width_at(&corners, **s - beside) >= least)?;
        (from < to).then_some((*from, *to))
    };
    let half = piece.section.width().half();
    wider(half).or_else(|| wider(EDGE * 2)).unwrap_or((piece.from, piece.from))
}

/// The corners of a piece by station and offset on the run; none of a piece that has its full width to its ends, notches apart.
fn corners(piece: &Piece, run: &Run) -> Option<Vec<(Length, Length)>> {
    let square = piece.ends.iter().all(|e| e.cut_deg == 90.0);
    if square && piece.outline.len() <= 4 + 4 * piece.notches.len() {
        return None;
    }
    let frame = run.frame();
    Some(piece.outline.iter().map(|p| frame.locate(*p)).collect())
}

/// How wide a piece with these corners is at a station, notches apart.
fn width_at(corners: &[(Length, Length)], at: Length) -> Length {
    let next = corners.iter().cycle().skip(1);
    let crossed: Vec<Length> = corners
        .iter()
        .zip(next)
        .filter(|(p, q)| (p.0 <= at) != (q.0 <= at))
        .map(|(p, q)| {
            let share = (at - p.0).nm() as f64 / (q.0 - p.0).nm() as f64;
            p.1 + (q.1 - p.1).scale(share)
        })
        .collect();
    let (least, greatest) = (crossed.iter().min(), crossed.iter().max());
    least.zip(greatest).map_or(Length::ZERO, |(a, b)| *b - *a)
}

/// The greatest distance between nails of the upper plate, in plan.
pub(crate) fn most_between(run: &Run, rules: &RuleSet) -> Length {
    let most = Length::from_inches(rules.nails.upper_to_lower.max_spacing);
    let most = most.unwrap_or(Length::inches(16));
    run.slope().map_or(most, |s| s.level(most))
}

/// Where a bottom plate is nailed to the floor: near its ends and beside doors, and no farther apart than `most`; in no
/// door, where it is cut out, and under no stud, where no hammer comes to it.
fn into_the_floor((from, to): (Length, Length), studs: &Studs, most: Length) -> Vec<Length> {
    let mut out = Vec::new();
    let mut from = from;
    for (door, after) in studs.doors.iter().copied().chain([(to, to)]) {
        nail_down(from, door.min(to), studs, most, &mut out);
        from = from.max(after);
    }
    out
}

/// The nails of one stretch: as far on as the spacing allows, or less far where a stud is in the way.
fn nail_down(from: Length, to: Length, studs: &Studs, most: Length, out: &mut Vec<Length>) {
    let inset = Length::inches(3).min((to - from) / 4);
    let (first, last) = (from + inset, to - inset);
    let clear = studs.half + BESIDE_STUD;
    // Cripples stand on the plate as studs do.
    let stands = |at: Length| {
        let in_the_way = |all: &[Length]| {
            let i = all.partition_point(|s| *s <= at - clear);
            all.get(i).copied().filter(|s| *s < at + clear)
        };
        in_the_way(&studs.centres).or_else(|| in_the_way(&studs.under_windows))
    };
    // The nearest clear place in one direction; none within the stretch.
    let clear_place = |at: Length, back: bool| {
        let mut at = at;
        while let Some(stud) = stands(at) {
            at = if back { stud - clear } else { stud + clear };
        }
        (at >= from + EDGE && at <= to - EDGE).then_some(at)
    };
    let near_start = |at: &Length| *at - from <= NEAR_FLOOR_END;
    let onto = clear_place(first, false);
    let begun = onto.filter(near_start).or_else(|| clear_place(first, true)).or(onto);
    let Some(mut at) = begun else {
        return;
    };
    out.push(at);
    loop {
        // What is left is divided anew: where a stud set one back, the rest would end a hair short of the last.
        let left = last - at;
        let steps = ((left.nm() + most.nm() - 1) / most.nm()).max(1);
        let wanted = if steps == 1 { last } else { at + left / steps };
        let onward = |next: &Length| *next > at + EDGE;
        let near_end = |at: &Length| wanted != last || to - *at <= NEAR_FLOOR_END;
        let back = clear_place(wanted, true).filter(onward);
        let ahead = || clear_place(wanted, false).filter(onward);
        // Studs fill it back to the last nail: beyond them.
        let found = back.filter(near_end).or_else(ahead).or(back);
        let Some(place) = found else { return };
        // Beyond them it may be farther than nails are apart.
        let between = (place - at > most).then(|| clear_place((at + place).half(), true));
        let next = between.flatten().filter(onward).unwrap_or(place);
        out.push(next);
        if wanted == last && next == place {
            return;
        }
        at = next;
    }
}

/// On each side of a joint of either top layer: the practice count close beside it where the plate runs through, and
/// the splice count within the lap, spread over the studs there, then beside them.
fn enough_at_joints(spots: &mut Spots, piece: &Piece, by: &Schedule) {
    let Schedule { studs, joints, rules, .. } = *by;
    let splice = &rules.nails.splice;
    let within = Length::from_inches(splice.within).unwrap_or(Length::inches(24));
    let within = piece.rake.map_or(within, |r| r.slope.level(within));
    let (notches, corners) = (notched(piece).collect::<Vec<_>>(), corners(piece, by.run));
    // In the point of a bevel a nail needs wood on both sides.
    let fits = |at: Length| {
        let has_wood = corners.as_ref().is_none_or(|c| width_at(c, at) >= EDGE * 2);
        has_wood && notch_at(notches.iter().copied(), at).is_none()
    };
    let breaks = joints.iter().filter(|j| j.kind == JointKind::Break && j.layer != Layer::Bottom);
    for j in breaks.clone() {
        split_at(spots, piece, j, by);
    }
    for j in breaks {
        for side in [-1, 1] {
            let edge = j.at + j.half_gap * side;
            let (lo, hi) = if side < 0 { (edge - within, edge) } else { (edge, edge + within) };
            let (lo, hi) = (lo.max(piece.from), hi.min(piece.to));
            if hi - lo < END_DISTANCE * 2 {
                continue; // another piece carries this side
            }
            // A nail on the joint's own line goes into neither plate.
            let held = |at: Length| at >= lo && at <= hi && at != j.at;
            let there: u32 = spots.iter().filter(|((at, _), _)| held(*at)).map(|(_, c)| *c).sum();
            let missing = splice.each_side.max(rules.nails.joint.each_side).saturating_sub(there);
            add(
                spots,
                missing,
                (lo, hi),
                (&splice.nail, &fits),
                studs,
                most_at_one_place(by),
                held,
            );
        }
    }
}

/// Nails that stand on the line of a lower joint under a piece go to both sides of it, over the same stud.
fn split_at(spots: &mut Spots, piece: &Piece, joint: &Joint, by: &Schedule) {
    if joint.layer != Layer::Lower || joint.at <= piece.from || joint.at >= piece.to {
        return;
    }
    let aside = by.studs.half - EDGE;
    let near = |at: Length| (at - joint.at).abs() < aside;
    let on_the_line: Vec<(Length, &'static str)> =
        spots.keys().filter(|(at, _)| near(*at)).copied().collect();
    for (at, nail) in on_the_line {
        let count = spots.remove(&(at, nail)).unwrap_or(0).max(by.rules.nails.joint.each_side);
        for side in [-1, 1] {
            let beside = joint.at + aside * side;
            if beside >= piece.from + EDGE && beside <= piece.to - EDGE {
                *spots.entry((beside, nail)).or_default() += count;
            }
        }
    }
}

/// Adds nails between `lo` and `hi`: to the places that have some, up to `most` each, then at places of their own, two
/// each: over openings, where a header lies under the plates, first; else as close to a stud as can be.
fn add(
    spots: &mut Spots,
    mut missing: u32,
    (lo, hi): (Length, Length),
    (nail, fits): (&'static str, &dyn Fn(Length) -> bool),
    studs: &Studs,
    most: u32,
    held: impl Fn(Length) -> bool,
) {
    let mut there: BTreeMap<Length, u32> = BTreeMap::new();
    for ((at, _), count) in spots.iter().filter(|((at, _), _)| held(*at)) {
        *there.entry(*at).or_default() += count;
    }
    let mut give = |at: Length| *spots.entry((at, nail)).or_default() += 1;
    while missing > 0 && there.values().any(|c| *c < most) {
        for (at, count) in there.iter_mut().filter(|(_, c)| **c < most) {
            if missing > 0 {
                give(*at);
                (*count, missing) = (*count + 1, missing - 1);
            }
        }
    }
    if missing == 0 {
        return;
    }
    let places = |apart: Length| {
        let mut own = between(lo, hi, apart, &there);
        own.retain(|at| fits(*at));
        own
    };
    // Closer together only where there is no room.
    let mut own = places(APART);
    if own.len() * 2 < missing as usize {
        own = places(APART.half());
    }
    let over_opening = |at: Length| studs.openings.iter().any(|(a, b)| at > *a && at < *b);
    let from_stud = |at: Length| there.keys().map(|s| (at - *s).abs()).min();
    own.sort_by_key(|at| (!over_opening(*at), from_stud(*at), *at));
    // What does not fit is left out: on so short a piece it would split the board, and joints so near each other have a
    // splice plate.
    for at in own.into_iter().flat_map(|at| [at; 2]).take(missing as usize) {
        give(at);
    }
}

/// Places of no nails yet, this far from each other and from those.
fn between(lo: Length, hi: Length, apart: Length, there: &BTreeMap<Length, u32>) -> Vec<Length> {
    let mut out = Vec::new();
    let mut at = lo + END_DISTANCE;
    while at <= hi - END_DISTANCE {
        let near = there.range(at - apart + Length::from_nm(1)..at + apart).next_back();
        match near {
            Some((taken, _)) => at = *taken + apart,
            None => {
                out.push(at);
                at += apart;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where nails of their own go on a foot-long stretch without any: 1-1/2 in from either end and 3 in apart, two each,
    /// and half as far apart only where those are too few.
    #[test]
    fn nails_stand_closer_only_where_there_is_no_room() {
        let length = Length::feet(1);
        let studs = standing(&[], length);
        let places = |missing: u32| {
            let mut spots = Spots::new();
            add(&mut spots, missing, (Length::ZERO, length), ("16d", &|_| true), &studs, 4, |_| {
                true
            });
            let spots = spots.into_iter();
            spots.map(|((at, _), count)| (at.to_inches(), count)).collect::<Vec<_>>()
        };
        // By hand: room for four places 3 in apart, 1.5, 4.5, 7.5 and 10.5 in from the end, and so for eight nails.
        assert_eq!(places(3), [(1.5, 2), (4.5, 1)]);
        assert_eq!(places(7), [(1.5, 2), (4.5, 2), (7.5, 2), (10.5, 1)]);
        assert_eq!(places(8), [(1.5, 2), (4.5, 2), (7.5, 2), (10.5, 2)]);
        assert_eq!(places(9), [(1.5, 2), (3.0, 2), (4.5, 2), (6.0, 2), (7.5, 1)]);
        assert_eq!(places(99).len(), 7);
        // A notch from 4 to 8 in from the end takes the second and third of four places: the rest stand closer.
        let beside = |at: Length| at <= Length::inches(4) || at >= Length::inches(8);
        let mut spots = Spots::new();
        add(&mut spots, 8, (Length::ZERO, length), ("16d", &beside), &studs, 4, |_| true);
        let at: Vec<f64> = spots.keys().map(|(at, _)| at.to_inches()).collect();
        assert_eq!(at, [1.5, 3.0, 9.0, 10.5]);
        assert_eq!(spots.values().sum::<u32>(), 8);
    }

    /// A cripple under a window's end, its trimmer and its king stand one close after the other: the nail that would stand 3 in
    /// from the plate's end finds its place before them, not 8-1/4 in away, and so at the other end.
    #[test]
    fn floor_nails_stand_near_both_ends_of_a_plate_where_studs_crowd() {
        let length = Length::inches(40);
        let crowd = [3.0, 5.25, 6.75];
        let both: Vec<f64> =
            crowd.iter().copied().chain(crowd.iter().rev().map(|s| 40.0 - s)).collect();
        let nails =
            into_the_floor((Length::ZERO, length), &standing(&both, length), Length::inches(16));
        let at: Vec<f64> = nails.iter().map(|at| at.to_inches()).collect();
        assert_eq!((at.first(), at.last()), (Some(&1.5), Some(&38.5)), "{at:?}");
    }

    /// A stud, the king and the trimmer of a window at a plate's end take the place of its last nail, which stands beyond them then: on plates
    /// of any length no two are farther apart than the schedule says all the same.
    #[test]
    fn floor_nails_beyond_the_studs_at_an_end_are_not_too_far_from_the_others() {
        let most = Length::inches(16);
        for sixteenths in 40 * 16..80 * 16 {
            let length = Length::sixteenths(sixteenths);
            let studs = [7.0, 4.75, 3.25].map(|back| length.to_inches() - back);
            let nails = into_the_floor((Length::ZERO, length), &standing(&studs, length), most);
            assert!(nails.windows(2).all(|w| w[1] - w[0] <= most), "{length:?}: {nails:?}");
            let near_end = |at: &Length| length - *at <= NEAR_FLOOR_END;
            assert!(nails.last().is_some_and(near_end), "{length:?}: {nails:?}");
        }
    }

    /// Studs with their centres there, in inches, and nothing else.
    fn standing(centres: &[f64], length: Length) -> Studs {
        let centres: Vec<Length> =
            centres.iter().map(|s| Length::from_inches(*s).unwrap_or_default()).collect();
        Studs {
            marks: Vec::new(),
            to_the_top: centres.clone(),
            centres,
            openings: Vec::new(),
            over_openings: Vec::new(),
            under_windows: Vec::new(),
            doors: Vec::new(),
            half: Length::sixteenths(12),
            ends: [Length::ZERO, length],
        }
    }
}
