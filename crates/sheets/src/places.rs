//! Places of nails on a piece, sorted into what is everywhere, what is at equal steps, and what is not.

use crate::words::length;
use geom::Length;
use plan_model::{Piece, run_name};
use std::collections::BTreeMap;
use wall_model::floor::RunId;

/// Places that are the same to a hammer: a 64th of an inch.
pub(crate) const SAME: Length = Length::sixty_fourths(1);

/// Places and how many nails of one kind each has, stations on the piece.
pub(crate) type Spots = Vec<(Length, u32)>;

/// Whether nails here are a stud's: over it, or as near to it as the piece's end allows.
pub(crate) fn is_stud(piece: &Piece, studs: &[Length], at: Length) -> bool {
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
pub(crate) struct Places {
    /// How many at every stud; 0 where not every stud has the same.
    each: u32,
    /// Those between studs that are all as far from the next one: number, distance, how many places.
    beside: Option<(u32, Length, usize)>,
    /// Other numbers at studs; all at studs where there is no `each`.
    other: Spots,
    /// All others.
    rest: Spots,
}

impl Places {
    pub fn of(piece: &Piece, studs: &[Length], spots: Spots) -> Places {
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
        let beside = as_far(&mut off, studs);
        let mut other: Spots =
            at_studs.into_iter().filter(|(_, n)| each == 0 || *n != each).collect();
        if each == 0 {
            other.append(&mut off);
            other.sort_unstable();
        }
        Places { each, beside, other, rest: off }
    }

    #[cfg(test)]
    pub fn count(&self, piece: &Piece, studs: &[Length]) -> u32 {
        let nailed =
            |s: &&Length| !self.other.iter().any(|o| nails_of(piece, &[**s], o.0).next().is_some());
        let each = self.each * studs.iter().filter(nailed).count() as u32;
        let beside = self.beside.map_or(0, |(n, _, places)| n * places as u32);
        let rest: u32 = self.other.iter().chain(&self.rest).map(|s| s.1).sum();
        each + beside + rest
    }

    pub fn words(
        &self,
        letter: &str,
        metric: bool,
        lap: impl Fn(Length) -> Option<RunId>,
    ) -> String {
        let mut parts: Vec<String> = Vec::new();
        let other = listed(&self.other, letter, metric, &lap);
        match (self.each, other.is_empty()) {
            (0, true) => {}
            (0, false) => parts.push(other),
            (n, true) => parts.push(format!("{n}{letter} at each stud")),
            (n, false) => parts.push(format!("{n}{letter} at each stud, but {other}")),
        }
        if !self.rest.is_empty() {
            let rest = listed(&self.rest, letter, metric, &lap);
            parts.push(if self.each > 0 { format!("also {rest}") } else { rest });
        }
        if let Some((n, far, places)) = self.beside {
            let far = length(far, metric);
            parts.push(format!("{n}{letter} between studs, {far} from each, {places} places"));
        }
        parts.join("; ")
    }
}

/// `4a at 5", 7"; 5a at 2'-6" (lap over R4)`.
fn listed(
    spots: &[(Length, u32)],
    letter: &str,
    metric: bool,
    lap: impl Fn(Length) -> Option<RunId>,
) -> String {
    let mut last: Option<(u32, Option<RunId>)> = None;
    let mut list: Vec<String> = Vec::new(); // apart by semicolons, places of one number by commas
    for (at, n) in spots {
        let over = lap(*at);
        let at = length(*at, metric);
        // What has a reason of its own is told by itself.
        if let Some(before) = list.last_mut().filter(|_| last == Some((*n, None)) && over.is_none())
        {
            before.push_str(&format!(", {at}"));
        } else {
            let over = over.map_or(String::new(), |r| format!(" (lap over {})", run_name(r)));
            list.push(format!("{n}{letter}\u{a0}at\u{a0}{at}{over}"));
        }
        last = Some((*n, over));
    }
    list.join("; ")
}

/// Nails into the floor.
pub(crate) struct Floor {
    /// Where all are as far from the nearest stud: number, distance, how many places.
    beside: Option<(u32, Length, usize)>,
    /// The same number at equal steps: number, first, step, how many places.
    even: Vec<(u32, Length, Length, usize)>,
    /// All others.
    rest: Spots,
}

impl Floor {
    pub fn of(studs: &[Length], mut spots: Spots) -> Floor {
        let mut floor =
            Floor { beside: as_far(&mut spots, studs), even: Vec::new(), rest: Vec::new() };
        let mut left = spots.as_slice();
        while let Some(((first, n), more)) = left.split_first() {
            let step = more.first().map_or(Length::ZERO, |s| s.0 - *first);
            let follows = |(s, i): &(&(Length, u32), i64)| {
                s.1 == *n && (s.0 - *first - step * *i).abs() <= SAME
            };
            let places = left.iter().zip(0..).take_while(follows).count();
            // What is shorter is told sooner by its places.
            if places < 4 {
                floor.rest.push((*first, *n));
                left = more;
                continue;
            }
            floor.even.push((*n, *first, step, places));
            left = left.get(places..).unwrap_or_default();
        }
        floor
    }

    #[cfg(test)]
    pub fn count(&self) -> u32 {
        let even: u32 = self.even.iter().map(|(n, _, _, places)| n * *places as u32).sum();
        let beside = self.beside.map_or(0, |(n, _, places)| n * places as u32);
        even + beside + self.rest.iter().map(|s| s.1).sum::<u32>()
    }

    pub fn words(&self, letter: &str, metric: bool) -> String {
        let told = |at: Length| length(at, metric);
        let mut parts: Vec<String> = Vec::new();
        for (n, first, step, places) in &self.even {
            let (first, step) = (told(*first), told(*step));
            parts.push(format!("{n}{letter} every {step} from {first}, {places} places"));
        }
        if let Some((n, far, places)) = self.beside {
            parts.push(format!("{n}{letter}, {} from each stud, {places} places", told(far)));
        }
        if !self.rest.is_empty() {
            parts.push(listed(&self.rest, letter, metric, |_| None));
        }
        parts.join(", ")
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_steps_are_found_between_other_places() {
        let at = |n: i64| Length::inches(n);
        let spots: Spots = [3, 8, 24, 40, 56, 72, 79, 140].map(|n| (at(n), 1)).to_vec();
        let floor = Floor::of(&[at(0), at(16), at(30)], spots);
        assert_eq!(floor.even, [(1, at(8), at(16), 5)]);
        assert_eq!(floor.rest, [(at(3), 1), (at(79), 1), (at(140), 1)]);
        assert_eq!(floor.count(), 8);
        let told = floor.words("a", false).replace('\u{a0}', " ");
        assert_eq!(told, "1a every 1'-4\" from 8\", 5 places, 1a at 3\", 6'-7\", 11'-8\"");
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
            beside: None,
            other: vec![(at(5), 4), (at(7), 4)],
            rest: vec![(at(30), 5)],
        };
        let lap = |s: Length| (s == at(30)).then_some(RunId(3));
        let told = places.words("a", false, lap).replace('\u{a0}', " ");
        assert_eq!(told, "2a at each stud, but 4a at 5\", 7\"; also 5a at 2'-6\" (lap over R4)");
    }
}
