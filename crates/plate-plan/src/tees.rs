//! Lap, notch or strap at each tee, seen together with everything else on the through run.
//!
//! First each tee along a run is tied as the settings ask where there is room, else in the next best
//! way (`decide`). Where a run then has a fault that another way of tying might avoid, up to
//! three neighbouring tees at a time are tied anew in every way there is room for, and judged by
//! the cheapest joints of the run and of the stems (`improve`).

use crate::cost::Cost;
use crate::cut;
use crate::meet::{
    Carriers, Effects, FAR, LOWER, Meeting, NotchAt, RunShape, TeeEffect, Terms, Through, UPPER,
    lines_at, notch_at,
};
use crate::split::LEAST_PIECE;
use geom::Length;
use plan_model::Side;
use settings::{ExteriorTee, Settings};
use std::collections::BTreeMap;
use wall_model::floor::{Arm, ArmAt, Floor, FloorWall, JunctionId, JunctionKind, RunId};

/// How a stem's upper plate ties into the run it meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum TeeKind {
    Lap,
    Notch,
    Strap,
}

/// Tees and how they are tied.
pub(crate) type Tees = BTreeMap<JunctionId, TeeKind>;

/// Wood left between a notch and a piece's end.
const LEAST_CHEEK: Length = Length::inches(3);

struct Tee {
    junction: JunctionId,
    stem: Arm,
    station: Length,
    half_gap: Length,
    policy: TeeKind,
    /// The notch it would take, where there is wood enough.
    notch: Option<NotchAt>,
    /// Whether that notch calls for no strap of its own in a bearing wall.
    light: bool,
}

impl Tee {
    fn lap(&self) -> (Length, Length) {
        (self.station - self.half_gap, self.station + self.half_gap)
    }
    /// What a way of tying costs beside joints and pieces.
    fn cost(&self, kind: TeeKind) -> Cost {
        let other = kind != self.policy;
        let strap = other && kind == TeeKind::Strap;
        Cost { straps: u32::from(strap), departs: u32::from(other && !strap), ..Cost::default() }
    }
}

/// The tees along a run whose through run is whole, between runs of one height.
struct Row<'a> {
    by: &'a Terms<'a>,
    run: RunId,
    tees: Vec<Tee>,
    /// Stations beyond which the upper plate of the run is interrupted or ends.
    gaps: Vec<(Length, Length)>,
    /// Where the run's own lower plate begins and ends: a tie lies on that.
    below: (Option<Length>, Option<Length>),
    /// Where another wall's lower plate passes between its own.
    crossed: Vec<(Length, Length)>,
}

/// What has been decided along a row so far.
#[derive(Clone, Default)]
struct Taken {
    laps: Vec<(Length, Length)>,
    notches: Vec<(Length, Length, Side, Length)>,
}

impl<'a> Row<'a> {
    fn of(by: &'a Terms<'a>, shape: &RunShape, run: RunId) -> Row<'a> {
        let Terms { floor, settings, rules, .. } = *by;
        let r = floor.run(run);
        let bearing = floor.walls_of(run).any(|(_, w)| w.bearing == Some(true));
        let tees = r.through.iter().filter_map(|(station, id)| {
            let mut t = tee(floor, settings, run, *station, *id)?;
            t.notch = notch_at(floor, settings, run, t.stem);
            let strap =
                |n: &NotchAt| rules.notch_strap.needed(n.depth, floor.run(run).section.width());
            t.light = t.notch.as_ref().is_some_and(|n| !bearing || !strap(n));
            Some(t)
        });
        // Where the upper plate ends; a stem's own far end is not decided yet, its lower one is.
        let end = |k: usize| shape.ends[UPPER][k].as_ref().or(shape.ends[LOWER][k].as_ref());
        let start = end(0).map_or(Length::ZERO, |e| e.profile.greatest());
        let stop = end(1).map_or(r.length(), |e| e.profile.least());
        // All there is beyond: at a flat angle a node may lie far past where the plate begins to run to its point.
        let mut gaps = vec![(start - FAR, start), (stop, stop + FAR)];
        gaps.extend(shape.gaps[UPPER].iter().map(crate::meet::Gap::range));
        let below = (
            shape.ends[LOWER][0].as_ref().map(|e| e.profile.greatest()),
            shape.ends[LOWER][1].as_ref().map(|e| e.profile.least()),
        );
        let crossed = shape.gaps[LOWER].iter().map(crate::meet::Gap::range).collect();
        Row { by, run, tees: tees.collect(), gaps, below, crossed }
    }

    fn on_lower_plate(&self, lo: Length, hi: Length) -> bool {
        self.below.0.is_none_or(|f| f <= lo)
            && self.below.1.is_none_or(|t| hi <= t)
            && self.crossed.iter().all(|(from, to)| hi <= *from || *to <= lo)
    }
    /// Least wood between a stretch and the interruptions of the upper plate; less than nothing
    /// where they meet.
    fn room(&self, taken: &Taken, lo: Length, hi: Length) -> Length {
        let apart = |(a, b): &(Length, Length)| {
            if *b <= lo {
                lo - *b
            } else if *a >= hi {
                *a - hi
            } else {
                -Length::inches(1)
            }
        };
        let all = self.gaps.iter().chain(&taken.laps);
        all.map(apart).min().unwrap_or_default()
    }
    fn lap_room(&self, taken: &Taken, t: &Tee) -> Length {
        let (lo, hi) = t.lap();
        let clear =
            taken.notches.iter().all(|(a, b, ..)| *b + LEAST_CHEEK <= lo || *a >= hi + LEAST_CHEEK);
        if clear && self.on_lower_plate(lo, hi) {
            self.room(taken, lo, hi)
        } else {
            -Length::inches(1)
        }
    }
    fn notch_fits(&self, taken: &Taken, t: &Tee) -> bool {
        let Some(n) = &t.notch else { return false };
        let (a, b) = n.range();
        let width = self.by.floor.run(self.run).section.width();
        self.room(taken, a, b) >= LEAST_CHEEK
            && self.on_lower_plate(a, b)
            && taken.notches.iter().all(|(c, d, side, depth)| {
                let apart = *d + LEAST_CHEEK <= a || *c >= b + LEAST_CHEEK;
                // From both sides only as much as one notch may take without a strap.
                let both = *depth + n.depth;
                let light = !self.by.rules.notch_strap.needed(both, width);
                apart || (*side != n.side && light && both + Length::inches(1) <= width)
            })
    }
    fn take(&self, taken: &mut Taken, t: &Tee, kind: TeeKind) {
        match (kind, &t.notch) {
            (TeeKind::Lap, _) => taken.laps.push(t.lap()),
            (TeeKind::Notch, Some(n)) => {
                let (a, b) = n.range();
                taken.notches.push((a, b, n.side, n.depth));
            }
            _ => {}
        }
    }
    /// The best way for a tee given those before it.
    fn next_best(&self, taken: &Taken, t: &Tee) -> TeeKind {
        let lap_room = self.lap_room(taken, t);
        let notch = self.notch_fits(taken, t);
        let short = self.by.settings.plates.short_piece;
        match t.policy {
            TeeKind::Lap if lap_room >= short => TeeKind::Lap,
            // A notch instead of a short piece, but not where it would call for a strap.
            TeeKind::Lap if notch && t.light => TeeKind::Notch,
            TeeKind::Lap if lap_room >= LEAST_PIECE => TeeKind::Lap,
            TeeKind::Lap => TeeKind::Strap,
            TeeKind::Notch if notch => TeeKind::Notch,
            TeeKind::Notch if lap_room >= short => TeeKind::Lap,
            TeeKind::Notch | TeeKind::Strap => TeeKind::Strap,
        }
    }
    /// Ways a tee may be tied at all, the wanted one first.
    fn ways(&self, t: &Tee) -> Vec<TeeKind> {
        match t.policy {
            TeeKind::Lap if t.light => vec![TeeKind::Lap, TeeKind::Notch, TeeKind::Strap],
            TeeKind::Lap => vec![TeeKind::Lap, TeeKind::Strap],
            TeeKind::Notch => vec![TeeKind::Notch, TeeKind::Lap, TeeKind::Strap],
            TeeKind::Strap => vec![TeeKind::Strap],
        }
    }
    /// Whether there is room to tie the tees of this row so.
    fn fits(&self, kinds: &[TeeKind]) -> bool {
        let mut taken = Taken::default();
        let short = self.by.settings.plates.short_piece;
        self.tees.iter().zip(kinds).all(|(t, kind)| {
            let fits = match kind {
                TeeKind::Lap if t.policy == TeeKind::Lap => self.lap_room(&taken, t) >= LEAST_PIECE,
                // No short piece in a run that was to be notched: it is an exterior one.
                TeeKind::Lap => self.lap_room(&taken, t) >= short,
                TeeKind::Notch => self.notch_fits(&taken, t),
                TeeKind::Strap => true,
            };
            self.take(&mut taken, t, *kind);
            fits
        })
    }
    /// As wanted where all of that fits, else one after the other in the best way there is room for.
    fn decide(&self, wanted: &Tees) -> Vec<TeeKind> {
        let asked: Option<Vec<TeeKind>> =
            self.tees.iter().map(|t| wanted.get(&t.junction).copied()).collect();
        if let Some(asked) = asked.filter(|a| self.fits(a)) {
            return asked;
        }
        let mut taken = Taken::default();
        let one = |t: &Tee| {
            let kind = self.next_best(&taken, t);
            self.take(&mut taken, t, kind);
            kind
        };
        self.tees.iter().map(one).collect()
    }
}

/// Decides every tee between runs of one height whose through run is whole.
pub(crate) fn decide(by: &Terms, shapes: &[RunShape], wanted: &Tees) -> Tees {
    let mut out = Tees::new();
    for (i, shape) in shapes.iter().enumerate() {
        let row = Row::of(by, shape, RunId(i as u32));
        let kinds = row.decide(wanted);
        out.extend(row.tees.iter().map(|t| t.junction).zip(kinds));
    }
    out
}

/// Whether a run of this shape has room for its tees as they are tied.
pub(crate) fn have_room(by: &Terms, shape: &RunShape, run: RunId, tees: &Tees) -> bool {
    let mut bare = shape.clone();
    bare.gaps[UPPER].retain(|g| !at_tee(by, run, g));
    let row = Row::of(by, &bare, run);
    let kinds: Option<Vec<TeeKind>> =
        row.tees.iter().map(|t| tees.get(&t.junction).copied()).collect();
    kinds.is_none_or(|k| row.fits(&k))
}

/// Every way to tie the tees of a floor there is room for, the corners as in `shapes`.
#[cfg(test)]
pub(crate) fn all_ways(by: &Terms, tees: &Tees) -> Vec<Tees> {
    let mut all = vec![tees.clone()];
    for i in 0..by.floor.runs.len() {
        let row = Row::of(by, &RunShape::default(), RunId(i as u32));
        for t in &row.tees {
            let with = |s: &Tees| {
                let s = s.clone();
                row.ways(t).into_iter().map(move |k| {
                    let mut s = s.clone();
                    s.insert(t.junction, k);
                    s
                })
            };
            all = all.iter().flat_map(with).collect();
        }
    }
    all
}

fn at_tee(by: &Terms, run: RunId, gap: &crate::meet::Gap) -> bool {
    let (from, to) = gap.range();
    let mut through = by.floor.run(run).through.iter();
    through.any(|(s, j)| by.floor.junction(*j).kind == JunctionKind::T && *s > from && *s < to)
}

/// What the tees cost beside joints and pieces.
#[cfg(test)]
pub(crate) fn cost(by: &Terms, tees: &Tees) -> Cost {
    let runs = (0..by.floor.runs.len()).map(|i| RunId(i as u32));
    runs.flat_map(|run| {
        let through = by.floor.run(run).through.iter();
        through.filter_map(move |(s, id)| {
            let kind = tees.get(id)?;
            Some(tee(by.floor, by.settings, run, *s, *id)?.cost(*kind))
        })
    })
    .sum()
}

/// Tees tied anew at a time.
const WINDOW: usize = 3;
/// Ways of tying tried for one run, for each 100 ft of it or less: what is left untried is told in the
/// planner's document.
const TRIALS: i64 = 200;

/// A plan of tees that makes a cheaper floor than the one given, the corners as they are; `None` where
/// none was found.
pub(crate) fn improve(by: &Terms, meeting: &Meeting) -> Option<Tees> {
    let carriers = Carriers::new();
    let mut effects: Option<Effects> = None;
    let mut shapes = std::borrow::Cow::Borrowed(&meeting.shapes[..]);
    let mut tees = meeting.tees.clone();
    let mut faults = Faults::new();
    for i in 0..by.floor.runs.len() {
        if by.watch.is_over() {
            break;
        }
        let run = RunId(i as u32);
        if by.floor.run(run).through.is_empty() {
            continue;
        }
        let mut bare = shapes[i].clone();
        bare.gaps[UPPER].retain(|g| !at_tee(by, run, g));
        bare.notches.clear();
        let row = Row::of(by, &bare, run);
        let kinds: Option<Vec<TeeKind>> =
            row.tees.iter().map(|t| tees.get(&t.junction).copied()).collect();
        let Some(kinds) = kinds.filter(|k| !k.is_empty()) else { continue };
        let mut trial = Trial { row: &row, bare: &bare, shapes: &shapes };
        let troubled = trial.troubled(&kinds, &mut faults);
        if !troubled.contains(&true) {
            continue;
        }
        let effects = effects.get_or_insert_with(|| Effects::new(by, &carriers));
        let Some((better, changed)) = trial.search(effects, kinds, &troubled) else { continue };
        tees.extend(row.tees.iter().map(|t| t.junction).zip(better));
        let shapes = shapes.to_mut();
        for (run, shape) in changed {
            shapes[run.0 as usize] = shape;
            faults.remove(&run);
        }
    }
    (tees != meeting.tees).then_some(tees)
}

/// Stations of a run's faults.
type Faults = BTreeMap<RunId, Vec<Length>>;
type Changed = Vec<(RunId, RunShape)>;

/// One row of tees being tied anew.
struct Trial<'a> {
    row: &'a Row<'a>,
    /// The run without its tees.
    bare: &'a RunShape,
    shapes: &'a [RunShape],
}

impl Trial<'_> {
    fn price(&self, run: RunId, shape: &RunShape) -> Cost {
        cut::cost_of(self.row.by, run, shape)
    }
    /// Which tees are near a fault, of the run or of their stem, that another way of tying them might
    /// avoid.
    fn troubled(&self, kinds: &[TeeKind], faults: &mut Faults) -> Vec<bool> {
        let by = self.row.by;
        let mut at = |run: RunId| {
            let new = || cut::troubled_at(by, run, &self.shapes[run.0 as usize]);
            faults.entry(run).or_insert_with(new).clone()
        };
        let own = at(self.row.run);
        let reach = by.offset + by.settings.plates.short_piece * 2;
        let one = |(t, kind): (&Tee, &TeeKind)| {
            let node = by.floor.junction(t.junction).at;
            let on_stem = by.floor.run(t.stem.run).frame().locate(node).0;
            t.cost(*kind) != Cost::default()
                || own.iter().any(|s| (*s - t.station).abs() <= reach)
                || at(t.stem.run).iter().any(|s| (*s - on_stem).abs() <= reach)
        };
        self.row.tees.iter().zip(kinds).map(one).collect()
    }
    /// The cheapest of the trials, if it is cheaper than `kinds`.
    fn search(
        &mut self,
        effects: &mut Effects,
        kinds: Vec<TeeKind>,
        troubled: &[bool],
    ) -> Option<(Vec<TeeKind>, Changed)> {
        let row = self.row;
        let mut known = Known::default();
        let mut best = self.priced(&kinds, effects, &mut known);
        let mut now = kinds.clone();
        let hundred_feet = 1 + row.by.floor.run(row.run).length().nm() / Length::feet(100).nm();
        let mut trials = TRIALS / hundred_feet;
        let windows = row.tees.len().saturating_sub(WINDOW - 1).max(1);
        'windows: for first in 0..windows {
            let window: Vec<usize> = (first..row.tees.len().min(first + WINDOW)).collect();
            if !window.iter().any(|i| troubled[*i]) {
                continue;
            }
            let mut sets: Vec<Vec<TeeKind>> = vec![now.clone()];
            for i in &window {
                let with = |s: &Vec<TeeKind>| {
                    let s = s.clone();
                    row.ways(&row.tees[*i]).into_iter().map(move |k| {
                        let mut s = s.clone();
                        s[*i] = k;
                        s
                    })
                };
                sets = sets.iter().flat_map(with).collect();
            }
            for set in sets {
                let tied: Cost = row.tees.iter().zip(&set).map(|(t, k)| t.cost(*k)).sum();
                // The ties alone already cost more.
                if set == now || tied >= best || !row.fits(&set) {
                    continue;
                }
                trials -= 1;
                if trials < 0 {
                    break 'windows;
                }
                let cost = self.priced(&set, effects, &mut known);
                if cost < best {
                    best = cost;
                    now = set;
                }
            }
        }
        (now != kinds).then(|| {
            let changed = self.shaped(&now, effects, &mut known);
            (now, changed)
        })
    }
    fn effect<'k>(
        &self,
        i: usize,
        kind: TeeKind,
        effects: &mut Effects,
        known: &'k mut Known,
    ) -> &'k (TeeEffect, RunShape, Cost) {
        known.0.entry((i, kind)).or_insert_with(|| {
            let t = &self.row.tees[i];
            let e = effects.of(t.junction, self.row.run, t.stem, kind);
            let mut stem = self.shapes[t.stem.run.0 as usize].clone();
            stem.ends[UPPER][usize::from(t.stem.at == ArmAt::End)].clone_from(&e.stem_end);
            let cost = self.price(t.stem.run, &stem);
            (e, stem, cost)
        })
    }
    /// The run with its tees tied so, and the ties' and stems' cost.
    fn own(&self, kinds: &[TeeKind], effects: &mut Effects, known: &mut Known) -> (RunShape, Cost) {
        let mut own = self.bare.clone();
        let mut cost = Cost::default();
        for (i, (t, kind)) in self.row.tees.iter().zip(kinds).enumerate() {
            let (e, _, stem) = self.effect(i, *kind, effects, known);
            own.gaps[UPPER].extend(e.gaps.iter().cloned());
            own.notches.extend(e.notches.iter().cloned());
            cost = cost.plus(t.cost(*kind)).plus(*stem);
        }
        own.sort();
        (own, cost)
    }
    /// Cost of the run and of all stems with the tees tied so.
    fn priced(&self, kinds: &[TeeKind], effects: &mut Effects, known: &mut Known) -> Cost {
        let (own, cost) = self.own(kinds, effects, known);
        cost.plus(self.price(self.row.run, &own))
    }
    /// The shapes that makes.
    fn shaped(&self, kinds: &[TeeKind], effects: &mut Effects, known: &mut Known) -> Changed {
        let (own, _) = self.own(kinds, effects, known);
        let stems = self.row.tees.iter().zip(kinds).enumerate().map(|(i, (t, kind))| {
            let (_, stem, _) = self.effect(i, *kind, effects, known);
            (t.stem.run, stem.clone())
        });
        stems.chain([(self.row.run, own)]).collect()
    }
}

/// What tying a tee of the row in one way does, the stem's shape then and what cutting the stem costs.
#[derive(Default)]
struct Known(BTreeMap<(usize, TeeKind), (TeeEffect, RunShape, Cost)>);

fn tee(
    floor: &Floor,
    settings: &Settings,
    run: RunId,
    station: Length,
    id: JunctionId,
) -> Option<Tee> {
    let j = floor.junction(id);
    if j.kind != JunctionKind::T || !floor.laps_at(j) {
        return None;
    }
    let lines = lines_at(floor, j);
    let ([Through::One(_)], [stem]) = (&lines.through[..], &lines.single[..]) else { return None };
    let s = floor.run(stem.run);
    let sine = j.angle_deg.to_radians().sin().max(0.05);
    let lean = (floor.run(run).section.width().half().nm() as f64 / sine
        * j.angle_deg.to_radians().cos().abs()) as i64;
    let half_gap = Length::from_nm(
        ((s.section.width().half() + settings.plates.upper_clearance).nm() as f64 / sine) as i64
            + lean,
    );
    let exterior =
        |run: RunId, near: Length| nearest_wall(floor, run, near).is_some_and(|w| w.exterior);
    let stem_near = floor.run(stem.run).frame().locate(j.at).0;
    let policy = if exterior(run, station) && !exterior(stem.run, stem_near) {
        match settings.plates.exterior_tee {
            ExteriorTee::Notch => TeeKind::Notch,
            ExteriorTee::Lap => TeeKind::Lap,
            ExteriorTee::Strap => TeeKind::Strap,
        }
    } else {
        TeeKind::Lap
    };
    Some(Tee { junction: id, stem: *stem, station, half_gap, policy, notch: None, light: false })
}

/// The wall of a run that covers a station (the nearest one, for stations just outside).
fn nearest_wall(floor: &Floor, run: RunId, station: Length) -> Option<&FloorWall> {
    floor
        .walls_of(run)
        .min_by_key(|(from, w)| {
            let to = *from + w.start.distance(w.end);
            (*from - station).max(station - to).max(Length::ZERO)
        })
        .map(|(_, w)| w)
}
