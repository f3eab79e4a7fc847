//! Nails in few words: a letter for each kind, how many, and where on the piece.

use crate::font::shown;
use crate::places::{Floor, Places, Spots, is_stud};
use crate::words::length;
use geom::Length;
use plan_model::{Document, JointKind, Layer, MarkKind, Piece, PieceId, TieKind};
use std::collections::{BTreeMap, BTreeSet};
use wall_model::floor::RunId;

/// The kinds of nails of a plan, each with its letter, and what stations are near.
pub(crate) struct NailKey {
    letters: BTreeMap<String, String>,
    /// Laps by upper piece: the middle of the other wall, station on the piece, and that wall.
    laps: BTreeMap<PieceId, Vec<(Length, RunId)>>,
    /// Lower joints by run, stations on it.
    joints: BTreeMap<RunId, Vec<Length>>,
    /// Where another wall's plates pass between a run's lower ones: from and to, stations on it.
    gaps: BTreeMap<RunId, Vec<(Length, Length)>>,
}

impl NailKey {
    /// Of a document.
    pub fn of(doc: &Document) -> NailKey {
        let spots = doc.plan.pieces.iter().flat_map(|p| &p.nails);
        let kinds: BTreeSet<&str> = spots.map(|s| s.nail.as_str()).collect();
        let letters = kinds.into_iter().enumerate().map(|(i, kind)| (kind.to_owned(), letter(i)));
        let mut key = NailKey {
            letters: letters.collect(),
            laps: BTreeMap::new(),
            joints: BTreeMap::new(),
            gaps: BTreeMap::new(),
        };
        for tie in doc.plan.ties.iter().filter(|t| t.kind == TieKind::Lap) {
            let Some((upper, lower)) = tie.pieces.split_first() else { continue };
            let Some(lower) = lower.first().map(|l| doc.piece(*l)) else { continue };
            let p = doc.piece(*upper);
            let at = doc.floor.run(p.run).frame().locate(doc.floor.junction(tie.junction).at).0;
            key.laps.entry(*upper).or_default().push((at - p.from, lower.run));
        }
        for j in &doc.plan.joints {
            if j.layer != Layer::Lower || j.kind != JointKind::Break {
                continue;
            }
            if j.half_gap > Length::ZERO {
                let gap = (j.at - j.half_gap, j.at + j.half_gap);
                key.gaps.entry(j.run).or_default().push(gap);
            } else {
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
    pub fn counted(&self, piece: &Piece) -> Vec<(u32, u32)> {
        let studs = studs(piece);
        let count = |[own, floor]: [Spots; 2]| {
            let all: u32 = own.iter().chain(&floor).map(|s| s.1).sum();
            let floor = Floor::of(&studs, floor).count();
            (Places::of(piece, &studs, own).count(piece, &studs) + floor, all)
        };
        by_kind(piece).into_values().map(count).collect()
    }

    /// How many nails of a piece go into the floor.
    #[cfg(test)]
    pub fn floor_nails(piece: &Piece) -> u32 {
        piece.nails.iter().filter(|n| n.into_floor).map(|n| n.count).sum()
    }

    /// `2a at each stud, but 8a at 8'-10"; lower joint under it at 9'-2"`; empty for a piece without nails.
    /// Stations are from the piece's start.
    pub fn told(&self, id: PieceId, piece: &Piece) -> String {
        let metric = piece.section.is_metric();
        let studs = studs(piece);
        let mut parts: Vec<String> = Vec::new();
        let mut down: Vec<String> = Vec::new();
        for (kind, spots) in by_kind(piece) {
            let letter = self.letters.get(kind).map_or("", String::as_str);
            let [own, floor] = spots;
            let lap = |at: Length| {
                let laps = self.laps.get(&id).map_or(&[][..], Vec::as_slice);
                let near = laps.iter().find(|(l, _)| (*l - at).abs() <= Length::inches(4));
                near.filter(|_| !is_stud(piece, &studs, at)).map(|(_, run)| *run)
            };
            if !own.is_empty() {
                parts.push(Places::of(piece, &studs, own).words(letter, metric, lap));
            }
            if !floor.is_empty() {
                let between = floor.iter().all(|(at, _)| !is_stud(piece, &studs, *at));
                let place = if between { "into the floor between studs" } else { "into the floor" };
                let told = Floor::of(&studs, floor).words(letter, metric);
                down.push(format!("{place}: {told}"));
            }
        }
        parts.extend(down);
        if piece.layer == Layer::Upper && !parts.is_empty() {
            let all = self.joints_of(piece.run);
            let along = |s: Length| piece.rake.map_or(s, |r| r.slope.along(s));
            let under = all.iter().filter(|j| **j > piece.from && **j < piece.to);
            let under: Vec<String> =
                under.map(|j| length(along(*j - piece.from), metric)).collect();
            if !under.is_empty() {
                parts.push(format!("joint of the lower plate below at {}", under.join(", ")));
            }
            let gaps = self.gaps.get(&piece.run).map_or(&[][..], Vec::as_slice);
            let over = gaps.iter().filter(|(a, b)| *b > piece.from && *a < piece.to);
            let told = |at: Length| length(along(at - piece.from), metric);
            let over: Vec<String> =
                over.map(|(a, b)| format!("{} to {}", told(*a), told(*b))).collect();
            if !over.is_empty() {
                parts.push(format!(
                    "over the plates of the wall that crosses at {}",
                    over.join(", ")
                ));
            }
        }
        parts.join("; ")
    }
}

/// By kind of nail those into studs, joints and other plates, and those into the floor.
fn by_kind(piece: &Piece) -> BTreeMap<&str, [Spots; 2]> {
    let mut by_kind: BTreeMap<&str, [Spots; 2]> = BTreeMap::new();
    for spot in &piece.nails {
        let [own, floor] = by_kind.entry(&spot.nail).or_default();
        if spot.into_floor { floor } else { own }.push((spot.at, spot.count));
    }
    by_kind
}

/// What stands under or on a piece and takes its nails, stations on it: trimmers only on a bottom plate, as they end under the
/// header.
fn studs(piece: &Piece) -> Vec<Length> {
    let stands = |k: MarkKind| match k {
        MarkKind::Stud | MarkKind::King | MarkKind::Corner => true,
        MarkKind::Trimmer => piece.layer == Layer::Bottom,
        _ => false,
    };
    piece.marks.iter().filter(|m| stands(m.kind)).map(|m| m.at).collect()
}

/// `a` to `z`, then `a1` and so on.
fn letter(index: usize) -> String {
    let letter = char::from(b'a' + (index % 26) as u8);
    match index / 26 {
        0 => letter.to_string(),
        n => format!("{letter}{n}"),
    }
}
