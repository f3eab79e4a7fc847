//! Nails in few words: a letter for each kind, how many, and where on the piece.

use crate::font::shown;
use crate::words::length;
use geom::Length;
use plan_model::{Document, JointKind, Layer, MarkKind, Piece, PieceId, TieKind, run_name};
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::RunId;

/// Places that are the same to a hammer: a 64th of an inch.
const SAME: Length = Length::sixty_fourths(1);

/// The kinds of nails of a plan, each with its letter, and what stations are near.
pub(crate) struct NailKey {
    letters: BTreeMap<String, String>,
    /// Laps by upper piece: the middle of the other wall, station on the piece, and that wall.
    laps: BTreeMap<PieceId, Vec<(Length, RunId)>>,
    /// Lower joints by run, stations on it.
    joints: BTreeMap<RunId, Vec<Length>>,
}

impl NailKey {
    /// Of a document.
    pub fn of(doc: &Document) -> NailKey {
        let spots = doc.plan.pieces.iter().flat_map(|p| &p.nails);
        let kinds: BTreeSet<&str> = spots.map(|s| s.nail.as_str()).collect();
        let letters = kinds.into_iter().enumerate().map(|(i, kind)| (kind.to_owned(), letter(i)));
        let mut key =
            NailKey { letters: letters.collect(), laps: BTreeMap::new(), joints: BTreeMap::new() };
        for tie in doc.plan.ties.iter().filter(|t| t.kind == TieKind::Lap) {
            let Some((upper, lower)) = tie.pieces.split_first() else { continue };
            let Some(lower) = lower.first().map(|l| doc.piece(*l)) else { continue };
            let p = doc.piece(*upper);
            let at = doc.floor.run(p.run).frame().locate(doc.floor.junction(tie.junction).at).0;
            key.laps.entry(*upper).or_default().push((at - p.from, lower.run));
        }
        for j in &doc.plan.joints {
            if j.layer == Layer::Lower && j.kind == JointKind::Break {
                key.joints.entry(j.run).or_default().push(j.at);
            }
        }
        key
    }

    /// Letter and name of every kind.
    pub fn kinds(&self) -> impl Iterator<Item = (&str, String)> {
        self.letters.iter().map(|(kind, letter)| (letter.as_str(), shown(kind)))
    }

    /// What each letter means, in one line.
    pub fn legend(&self) -> String {
        let kinds: Vec<String> = self.kinds().map(|(l, kind)| format!("{l} = {kind}")).collect();
        kinds.join("; ")
    }

    /// The joints of a run's lower plates, stations on the run.
    pub fn joints_of(&self, run: RunId) -> &[Length] {
        self.joints.get(&run).map_or(&[], Vec::as_slice)
    }

    /// How many nails the words stand for and how many the piece has, by kind.
    #[cfg(test)]
    pub fn counted(piece: &Piece) -> Vec<(u32, u32)> {
        let mut by_kind: BTreeMap<&str, Vec<(Length, u32)>> = BTreeMap::new();
        for spot in &piece.nails {
            by_kind.entry(&spot.nail).or_default().push((spot.at, spot.count));
        }
        let studs = studs(piece);
        let count = |spots: Vec<(Length, u32)>| {
            let has: u32 = spots.iter().map(|s| s.1).sum();
            let stands = |at: Length| is_stud(piece, &studs, at);
            let at_studs = spots.iter().filter(|s| stands(s.0)).count();
            let told = Places::of(piece, &studs, spots);
            let own = told.rest.iter().filter(|s| stands(s.0)).count();
            let rest: u32 = told.rest.iter().map(|s| s.1).sum();
            let even = told.even.map_or(0, |(n, _, _, places)| n * places as u32);
            let beside = told.beside.map_or(0, |(n, _, places)| n * places as u32);
            (told.each * (at_studs - own) as u32 + rest + even + beside, has)
        };
        by_kind.into_values().map(count).collect()
    }

    /// `2a at each stud, but 8a at 8'-10"; lower joint under it at 9'-2"`; empty for a piece without nails.
    /// Stations are from the piece's start.
    pub fn told(&self, id: PieceId, piece: &Piece) -> String {
        let metric = piece.section.is_metric();
        let mut by_kind: BTreeMap<&str, Vec<(Length, u32)>> = BTreeMap::new();
        for spot in &piece.nails {
            by_kind.entry(&spot.nail).or_default().push((spot.at, spot.count));
        }
        let studs = studs(piece);
        let mut parts: Vec<String> = Vec::new();
        for (kind, spots) in by_kind {
            let letter = self.letters.get(kind).map_or("", String::as_str);
            let told = Places::of(piece, &studs, spots);
            let lap = |at: Length| {
                let laps = self.laps.get(&id).map_or(&[][..], Vec::as_slice);
                let near = laps.iter().find(|(l, _)| (*l - at).abs() <= Length::inches(4));
                near.filter(|_| !is_stud(piece, &studs, at)).map(|(_, run)| *run)
            };
            let into = if piece.layer == Layer::Bottom { " into the floor" } else { "" };
            parts.push(told.words(letter, into, metric, lap));
        }
        if piece.layer == Layer::Upper && !parts.is_empty() {
            let all = self.joints_of(piece.run);
            let along = |s: Length| piece.rake.map_or(s, |r| r.slope.along(s));
            let under = all.iter().filter(|j| **j > piece.from && **j < piece.to);
            let under: Vec<String> =
                under.map(|j| length(along(*j - piece.from), metric)).collect();
            if !under.is_empty() {
                parts.push(format!("joint of the lower plate below at {}", under.join(", ")));
            }
        }
        parts.join("; ")
    }
}

/// What stands under or on a piece and takes its nails, stations on it.
fn studs(piece: &Piece) -> Vec<Length> {
    let stands = |k: MarkKind| {
        matches!(k, MarkKind::Stud | MarkKind::King | MarkKind::Trimmer | MarkKind::Corner)
    };
    piece.marks.iter().filter(|m| stands(m.kind)).map(|m| m.at).collect()
}

/// Whether nails here are a stud's: over it, or as near to it as the piece's end allows.
fn is_stud(piece: &Piece, studs: &[Length], at: Length) -> bool {
    nails_of(piece, studs, at).next().is_some()
}

fn nails_of<'a>(
    piece: &Piece,
    studs: &'a [Length],
    at: Length,
) -> impl Iterator<Item = Length> + 'a {
    let end = Length::inches(2);
    let last = piece.length;
    studs.iter().copied().filter(move |s| {
        (*s - at).abs() <= SAME || (at <= end && *s < at) || (at >= last - end && *s > at)
    })
}

/// Nails of one kind, sorted into what is everywhere and what is not.
struct Places {
    /// How many at every stud; 0 where not every stud has the same.
    each: u32,
    /// The same number at equal steps: number, first, step, how many places.
    even: Option<(u32, Length, Length, usize)>,
    /// Those between studs that are all as far from the next one: number, distance, how many places.
    beside: Option<(u32, Length, usize)>,
    /// All others.
    rest: Vec<(Length, u32)>,
}

impl Places {
    fn of(piece: &Piece, studs: &[Length], spots: Vec<(Length, u32)>) -> Places {
        let (at_studs, mut off): (Vec<_>, Vec<_>) =
            spots.iter().copied().partition(|(at, _)| is_stud(piece, studs, *at));
        let mut counts: BTreeMap<u32, usize> = BTreeMap::new();
        at_studs.iter().for_each(|(_, n)| *counts.entry(*n).or_default() += 1);
        let most = counts.iter().max_by_key(|(n, places)| (**places, std::cmp::Reverse(**n)));
        let mut each = most.map_or(0, |(n, _)| *n);
        let nailed = |s: &Length| {
            at_studs.iter().any(|(at, _)| nails_of(piece, &[*s], *at).next().is_some())
        };
        // "At each stud" must be true.
        if at_studs.len() < 2 || !studs.iter().all(nailed) {
            each = 0;
        }
        let mut rest: Vec<(Length, u32)> =
            at_studs.into_iter().filter(|(_, n)| each == 0 || *n != each).collect();
        let even = even_steps(&mut off, &mut rest, each);
        let beside = as_far(&mut off, studs);
        rest.extend(off);
        rest.sort_unstable();
        Places { each, even, beside, rest }
    }

    fn words(
        &self,
        letter: &str,
        into: &str,
        metric: bool,
        lap: impl Fn(Length) -> Option<RunId>,
    ) -> String {
        let mut parts: Vec<String> = Vec::new();
        if self.each > 0 {
            parts.push(format!("{}{letter} at each stud", self.each));
        }
        let mut last: Option<(u32, Option<RunId>)> = None;
        let mut list: Vec<String> = Vec::new(); // apart by semicolons, places of one number by commas
        for (at, n) in &self.rest {
            let over = lap(*at);
            let at = length(*at, metric);
            // What has a reason of its own is told by itself.
            if let Some(before) =
                list.last_mut().filter(|_| last == Some((*n, None)) && over.is_none())
            {
                before.push_str(&format!(", {at}"));
            } else {
                let over = over.map_or(String::new(), |r| format!(" (lap over {})", run_name(r)));
                list.push(format!("{n}{letter}\u{a0}at\u{a0}{at}{over}"));
            }
            last = Some((*n, over));
        }
        if !list.is_empty() {
            match parts.last_mut() {
                Some(each) => each.push_str(&format!(", but {}", list.join("; "))),
                None => parts.push(list.join("; ")),
            }
        }
        if let Some((n, first, step, places)) = self.even {
            let (first, step) = (length(first, metric), length(step, metric));
            parts.push(format!("{n}{letter}{into} every {step} from {first}, {places} places"));
        }
        if let Some((n, far, places)) = self.beside {
            let far = length(far, metric);
            parts.push(format!("{n}{letter} between studs, {far} from each, {places} places"));
        }
        parts.join("; ")
    }
}

/// Takes out of `off`, and out of what is more than `each` at a stud, what stands at equal steps.
fn even_steps(
    off: &mut Vec<(Length, u32)>,
    more: &mut Vec<(Length, u32)>,
    each: u32,
) -> Option<(u32, Length, Length, usize)> {
    let n = off.first()?.1;
    if off.iter().any(|(_, m)| *m != n) {
        return None;
    }
    let extra = |(_, m): &(Length, u32)| each > 0 && *m == each + n;
    let steps = |all: &[Length]| -> Option<(Length, Length)> {
        let (first, last) = (*all.first()?, *all.last()?);
        let parts = i64::try_from(all.len()).ok()? - 1;
        if parts < 2 {
            return None;
        }
        let at = |k: i64| first + Length::from_nm((last - first).nm() * k / parts);
        let fits = all.iter().zip(0..).all(|(s, k)| (*s - at(k)).abs() <= SAME);
        fits.then(|| (first, (last - first) / parts))
    };
    let alone: Vec<Length> = off.iter().map(|s| s.0).collect();
    let mut joined: Vec<Length> =
        off.iter().chain(more.iter().filter(|m| extra(m))).map(|s| s.0).collect();
    joined.sort_unstable();
    let (all, with_extra) = match steps(&joined) {
        Some(_) => (joined, true),
        None => (alone, false),
    };
    let (first, step) = steps(&all)?;
    off.clear();
    if with_extra {
        more.retain(|m| !extra(m));
    }
    Some((n, first, step, all.len()))
}

/// Takes out of `off` what is all one number at one distance from the nearest stud.
fn as_far(off: &mut Vec<(Length, u32)>, studs: &[Length]) -> Option<(u32, Length, usize)> {
    let nearest = |at: Length| studs.iter().map(|s| (*s - at).abs()).min();
    let (at, n) = *off.first()?;
    let far = nearest(at)?;
    let same =
        |(s, m): &(Length, u32)| *m == n && nearest(*s).is_some_and(|d| (d - far).abs() <= SAME);
    if off.len() < 3 || !off.iter().all(same) {
        return None;
    }
    let places = off.len();
    off.clear();
    Some((n, far, places))
}

/// `a` to `z`, then `a1` and so on.
fn letter(index: usize) -> String {
    let letter = char::from(b'a' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        n => format!("{letter}{n}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_steps_are_found_also_where_a_stud_has_its_own() {
        let at = |n: i64| Length::inches(n);
        // 3 + 1 at the stud on 19 in: one of the floor's nails, and not a fourth of the stud's.
        let mut off = vec![(at(3), 1), (at(11), 1), (at(27), 1)];
        let mut more = vec![(at(19), 4), (at(40), 6)];
        assert_eq!(even_steps(&mut off, &mut more, 3), Some((1, at(3), at(8), 4)));
        assert!(off.is_empty());
        assert_eq!(more, [(at(40), 6)]);
        let mut uneven = vec![(at(3), 1), (at(11), 1), (at(27), 1)];
        assert_eq!(even_steps(&mut uneven, &mut Vec::new(), 3), None);
        assert_eq!(uneven.len(), 3);
    }

    #[test]
    fn nails_as_far_from_each_stud_are_told_once() {
        let at = |n: i64| Length::inches(n);
        let studs = [at(0), at(24), at(48)];
        let mut off = vec![(at(4), 1), (at(20), 1), (at(28), 1), (at(44), 1)];
        assert_eq!(as_far(&mut off, &studs), Some((1, at(4), 4)));
        let mut other = vec![(at(4), 1), (at(19), 1), (at(28), 1)];
        assert_eq!(as_far(&mut other, &studs), None);
    }

    #[test]
    fn places_of_one_number_stand_together() {
        let at = |n: i64| Length::inches(n);
        let places = Places {
            each: 2,
            even: Some((1, at(3), at(16), 5)),
            beside: None,
            rest: vec![(at(5), 4), (at(7), 4), (at(30), 5)],
        };
        let lap = |s: Length| (s == at(30)).then_some(RunId(3));
        let told = places.words("a", " into the floor", false, lap).replace('\u{a0}', " ");
        assert_eq!(
            told,
            "2a at each stud, but 4a at 5\", 7\"; 5a at 2'-6\" (lap over R4); 1a into the floor every 1'-4\" from 3\", 5 places"
        );
    }
}
