//! One layer of a run as a line of places where its pieces may end, and the cheapest way along it.
//!
//! A layer is a row of *spaces* between things that interrupt it. A space that fits the longest board
//! stays one piece; a longer one is cut at *joints*, each at one of the places offered (see
//! [`crate::places`]). The other layer's joints are of two kinds: those that are fixed (a wall runs
//! over or crosses) are known here and counted with each place; those still to be chosen are not
//! (see [`crate::together`]).

use crate::cost::{Cost, Packed};
use crate::cut::tape;
use crate::studs::carries;
use geom::{Length, Slope};
use lumber::Section;
use settings::Settings;
use std::collections::VecDeque;

/// No piece shorter than this is cut on purpose: two nails at either end and their end distances need
/// it (common practice, no source).
pub(crate) const LEAST_PIECE: Length = Length::inches(6);

/// One uninterrupted space of a layer, by stations on the run.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Space {
    /// Long points: a piece over the whole space is this long.
    pub from: Length,
    pub to: Length,
    /// Joints stay between these: the bevels of the space's ends are outside.
    pub joints_from: Length,
    pub joints_to: Length,
}

/// What lies this near (0.0005 in) to a mark of the tape lies on it: walls drawn at an angle, or in another unit,
/// meet a few millionths of an inch beside where they are meant to, and a sawyer works to the thirty-second.
pub(crate) const HAIR: Length = Length::from_nm(12_700);

/// A length or station, on the mark of the tape that it is a hair from, if there is one.
pub(crate) fn on_mark(at: Length, grid: Length) -> Length {
    let mark = at.round_to(grid);
    if (mark - at).abs() <= HAIR { mark } else { at }
}

impl Space {
    /// The space with its limits on the tape where they are a hair off it.
    pub(crate) fn on_tape(self, zero: Length, grid: Length) -> Space {
        let on = |at: Length| zero + on_mark(at - zero, grid);
        let [from, joints_from, joints_to] = [self.from, self.joints_from, self.joints_to].map(on);
        let length = on_mark(on(self.to) - from, grid);
        Space { from, to: from + length, joints_from, joints_to }
    }
}

/// A board there is in stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stocked {
    /// The longest piece it gives.
    pub usable: Length,
    /// What the cheapest board that gives such a piece costs: feet, or money.
    pub price: u64,
}

impl Stocked {
    /// The boards of a section, ascending; for a run on a slope by how far they reach in plan.
    pub(crate) fn of(settings: &Settings, section: Section, slope: Option<Slope>) -> Vec<Stocked> {
        let stock = &settings.stock;
        let in_plan = |along: Length| match slope {
            // A whole mark of the tape, as what is printed is rounded to the nearest; and a nanometre less, so that
            // rounding never makes a piece too long.
            Some(s) => {
                let whole = along.floor_to(tape(section));
                s.level(whole - s.overhang(section.thickness())) - Length::from_nm(1)
            }
            None => along,
        };
        let mut boards: Vec<Stocked> = stock
            .costs_for(section, false)
            .into_iter()
            .map(|(ft, cost)| Stocked {
                usable: in_plan(Length::feet(i64::from(ft)) - stock.end_trim),
                price: u64::from(cost),
            })
            .collect();
        boards.sort_by_key(|b| b.usable);
        for i in (1..boards.len()).rev() {
            boards[i - 1].price = boards[i - 1].price.min(boards[i].price);
        }
        boards
    }
}

/// What the joints of a layer of one run have to respect. Intervals ascend.
#[derive(Clone, Copy)]
pub(crate) struct Terms<'a> {
    pub short: Length,
    /// Left open at a joint: the upper clearance, or nothing.
    pub gap: Length,
    /// Least distance to the other layer's joints.
    pub offset: Length,
    /// The other layer's fixed joints, each with its gap.
    pub others: &'a [(Length, Length)],
    /// Where the other layer is interrupted: a joint inside leaves both layers open there.
    pub laps: &'a [(Length, Length)],
    /// Where no joint may be; apart from each other.
    pub closed: &'a [(Length, Length)],
    /// Openings, for the lower layer; apart from each other.
    pub openings: &'a [(Length, Length)],
    /// Beside doors, for the lower layer: a joint inside leaves a scrap of the bottom plate when the door is cut
    /// out, which counts as a piece more. Apart from each other.
    pub scraps: &'a [(Length, Length)],
    pub studs: &'a [Length],
    /// Half a stud's thickness.
    pub stud_half: Length,
    /// Ascending, at least one.
    pub boards: &'a [Stocked],
    /// Joints lie on whole marks of the tape, `grid` apart, counted from here.
    pub zero: Length,
    pub grid: Length,
    /// What is printed of a piece is its own length rounded down, whatever the stations of its ends.
    pub rounded_down: bool,
}

/// Whether two joints are nearer than the offset.
pub(crate) fn near(a: (Length, Length), b: (Length, Length), offset: Length) -> bool {
    (b.0 - a.1).max(a.0 - b.1).max(Length::ZERO) < offset
}

/// How many of these intervals share more than a point with `lo..hi`.
fn within(ascending: &[(Length, Length)], lo: Length, hi: Length) -> u32 {
    let first = ascending.partition_point(|i| i.1 <= lo);
    ascending[first..].iter().take_while(|i| i.0 < hi).count() as u32
}

impl<'a> Terms<'a> {
    /// With nothing in the way, no other layer, and no piece too short; counted from the run's start.
    pub(crate) fn plain(
        studs: &'a [Length],
        stud_half: Length,
        boards: &'a [Stocked],
        grid: Length,
    ) -> Terms<'a> {
        Terms {
            short: Length::ZERO,
            gap: Length::ZERO,
            offset: Length::ZERO,
            others: &[],
            laps: &[],
            closed: &[],
            openings: &[],
            scraps: &[],
            studs,
            stud_half,
            boards,
            zero: Length::ZERO,
            grid,
            rounded_down: false,
        }
    }
    fn longest(&self) -> Length {
        self.boards.last().map_or(Length::ZERO, |b| b.usable)
    }
    /// Whether joints in long walls cannot keep the offset from the other layer's.
    pub(crate) fn crowded(&self) -> bool {
        self.offset * 2 > self.longest()
    }
    fn on_grid(&self, at: Length) -> bool {
        (at - self.zero).nm() % self.grid.nm() == 0
    }
    pub(crate) fn down(&self, at: Length) -> Length {
        self.zero + (at - self.zero).floor_to(self.grid)
    }
    pub(crate) fn up(&self, at: Length) -> Length {
        self.zero + (at - self.zero).ceil_to(self.grid)
    }
    pub(crate) fn nearest(&self, at: Length) -> Length {
        self.zero + (at - self.zero).round_to(self.grid)
    }
    /// The longest piece in a space: what is printed is rounded at both ends, and may not outgrow the
    /// board either.
    pub(crate) fn longest_in(&self, s: Space) -> Length {
        let whole = self.longest().floor_to(self.grid);
        let on_grid = self.on_grid(s.from) && self.on_grid(s.to);
        let one_piece = self.rounded_down && s.to - s.from <= whole;
        if on_grid || one_piece { whole } else { whole - self.grid }
    }
    /// Whether a space has to be cut.
    pub(crate) fn is_cut(&self, s: Space) -> bool {
        s.to - s.from > self.longest_in(s)
    }
    /// A joint, whatever the other layer's joints that are still to be chosen.
    pub(crate) fn joint_cost(&self, at: Length) -> Cost {
        let (lo, hi) = (at, at + self.gap);
        let near = if self.offset > Length::ZERO {
            within(self.others, lo - self.offset, hi + self.offset)
        } else {
            0
        };
        // A joint without a gap lies in what it is strictly inside of.
        let inside = |r: &[(Length, Length)]| {
            let first = r.partition_point(|i| i.1 <= lo);
            u32::from(r.get(first).is_some_and(|i| i.0 < hi))
        };
        Cost {
            broken: inside(self.closed) + inside(self.laps),
            breaches: near,
            over_opening: inside(self.openings),
            pieces: inside(self.scraps),
            off_stud: u32::from(!carries(self.studs, self.stud_half, at + self.gap.half())),
            ..Cost::default()
        }
    }
    pub(crate) fn piece_cost(&self, length: Length) -> Cost {
        let i = self.boards.partition_point(|b| b.usable < length);
        let board = self.boards.get(i).or(self.boards.last());
        Cost {
            short: u32::from(length < self.short),
            boards: board.map_or(0, |b| b.price),
            pieces: 1,
            cut: u32::from(board.is_none_or(|b| b.usable != length)),
            ..Cost::default()
        }
    }
}

/// A place where a piece of the layer may end and the next one begin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    /// The piece before it ends here.
    pub lo: Length,
    /// The piece after it starts here.
    pub hi: Length,
    /// A joint that may be chosen; else the edge of a space, which every way goes through.
    pub joint: bool,
    /// Of the joint alone.
    pub cost: Cost,
    /// Cheapest way on from here to the layer's end, for this layer alone.
    pub onward: Cost,
    /// `cost` and `onward`.
    beyond: Packed,
    /// Index of the edge that ends the space which begins or goes on here.
    edge: usize,
    /// Longest piece in that space.
    longest: Length,
}

/// All places of a layer, by station; the first and the last are the layer's ends.
pub(crate) struct Track {
    pub places: Vec<Place>,
}

impl Track {
    /// `joints[i]`: where space `i` may be cut, ascending.
    pub(crate) fn new(spaces: &[Space], joints: &[Vec<Length>], t: &Terms) -> Track {
        let mut places: Vec<Place> = Vec::new();
        let edge = |lo: Length, hi: Length| Place {
            lo,
            hi,
            joint: false,
            cost: Cost::default(),
            onward: Cost::default(),
            beyond: Packed::default(),
            edge: 0,
            longest: Length::ZERO,
        };
        for (s, joints) in spaces.iter().zip(joints) {
            let first = places.len().saturating_sub(1);
            match places.last_mut() {
                Some(last) => last.hi = s.from,
                None => places.push(edge(s.from, s.from)),
            }
            places.extend(joints.iter().map(|at| Place {
                joint: true,
                cost: t.joint_cost(*at),
                ..edge(*at, *at + t.gap)
            }));
            let end = places.len();
            let longest = t.longest_in(*s);
            for p in &mut places[first..] {
                (p.edge, p.longest) = (end, longest);
            }
            places.push(edge(s.to, s.to));
        }
        let mut track = Track { places };
        let mut spans = Vec::new();
        let mut end = usize::MAX;
        for at in (0..track.places.len().saturating_sub(1)).rev() {
            let from = track.places[at];
            if from.edge != end {
                end = from.edge;
                spans = Span::all(from, t);
            }
            let onward = track.cheapest_onward(at, &mut spans, t);
            let p = &mut track.places[at];
            (p.onward, p.beyond) = (onward.into(), onward.plus(p.cost.into()));
        }
        track
    }

    /// The cheapest of [`Track::pieces_from`] with what follows it. `spans` are those of the space that
    /// goes on here, as they stood for the next place.
    fn cheapest_onward(&self, at: usize, spans: &mut [Span], t: &Terms) -> Packed {
        let no_way = Packed::from(NO_WAY);
        let mut best = no_way;
        if self.places[at].edge > at + 1 {
            for span in spans {
                best = span.cheaper(&self.places, at, best);
            }
        }
        if best == no_way {
            let ways = self.pieces_from(at, t).map(|(to, piece)| self.cost_to(to, piece));
            best = ways.min().unwrap_or(no_way);
        }
        best
    }

    /// Cost of a piece that ends at a place, of that place, and of the cheapest way on.
    fn cost_to(&self, to: usize, piece: Cost) -> Packed {
        self.places[to].beyond.plus(piece.into())
    }

    /// The pieces that may begin at a place: where they end, what they cost. A space that cannot be
    /// cut is a piece too long.
    pub(crate) fn pieces_from<'a>(
        &'a self,
        at: usize,
        t: &'a Terms,
    ) -> impl Iterator<Item = (usize, Cost)> + 'a {
        let from = self.places[at];
        let whole = !from.joint;
        let cut = from.edge > at + 1;
        let length = move |to: usize| self.places[to].lo - from.hi;
        let too_long = (whole && from.edge > at && length(from.edge) > from.longest).then(|| {
            let cost = Cost { too_long: 1, ..t.piece_cost(length(from.edge)) };
            (from.edge, cost)
        });
        (at + 1..=from.edge)
            .map(move |to| (to, length(to)))
            .skip_while(move |(_, l)| cut && *l < LEAST_PIECE)
            .take_while(move |(_, l)| *l <= from.longest)
            .map(|(to, l)| (to, t.piece_cost(l)))
            .chain(too_long)
    }

    /// Index of the layer's end.
    pub(crate) fn end(&self) -> usize {
        self.places.len().saturating_sub(1)
    }
    /// The cheapest way along this layer alone.
    pub(crate) fn alone(&self) -> Cost {
        self.places.first().map_or(Cost::default(), |p| p.onward)
    }
    /// The joints of the cheapest way along this layer alone.
    pub(crate) fn way_alone(&self, t: &Terms) -> Vec<Length> {
        let mut joints = Vec::new();
        let mut at = 0;
        while at < self.end() {
            let next = self.pieces_from(at, t).min_by_key(|(to, piece)| self.cost_to(*to, *piece));
            let Some((to, _)) = next else { break };
            at = to;
            joints.extend(self.places[at].joint.then(|| self.places[at].lo));
        }
        joints
    }
    /// Whether there is anything to choose.
    pub(crate) fn has_joints(&self) -> bool {
        self.places.iter().any(|p| p.joint)
    }
}

/// From a place from which the end cannot be reached.
const NO_WAY: Cost = Cost {
    too_long: 1 << 20,
    broken: 0,
    breaches: 0,
    over_opening: 0,
    straps: 0,
    short: 0,
    cramped: 0,
    departs: 0,
    boards: 0,
    pieces: 0,
    off_stud: 0,
    cut: 0,
};

/// Lengths of piece that cost the same, and the places of a space that end such a piece: as one goes back
/// along the space, places enter at the near end and leave at the far one, so that each is looked at a few
/// times, not once for every place within a board of it.
struct Span {
    /// Lengths of more than this, up to `most`.
    over: Length,
    most: Length,
    piece: Packed,
    /// Where a piece of just `most` is a whole board: its cost.
    whole: Option<Packed>,
    /// The nearest place that has not entered.
    next: usize,
    /// The farthest place that ends no longer piece than `most`.
    far: usize,
    /// Of the places inside, those that are cheaper than all nearer ones; far ones first.
    inside: VecDeque<usize>,
}

impl Span {
    /// The spans of a space that is cut, all that differ in what a piece costs.
    fn all(from: Place, t: &Terms) -> Vec<Span> {
        let least = LEAST_PIECE - Length::from_nm(1);
        let mut limits = vec![t.short - Length::from_nm(1), from.longest];
        limits.extend(t.boards.iter().map(|b| b.usable));
        limits.retain(|l| *l > least && *l <= from.longest);
        limits.sort_unstable();
        limits.dedup();
        let mut over = least;
        limits
            .into_iter()
            .map(|most| {
                let whole = Cost { cut: 0, ..t.piece_cost(most) };
                let piece = Cost { cut: 1, ..whole }.into();
                let whole = t.boards.iter().any(|b| b.usable == most).then(|| whole.into());
                let lower = std::mem::replace(&mut over, most);
                Span {
                    over: lower,
                    most,
                    piece,
                    whole,
                    next: from.edge,
                    far: from.edge,
                    inside: VecDeque::new(),
                }
            })
            .collect()
    }

    /// The cheapest way on with a piece of this span that begins at a place, where it is cheaper than
    /// `best`; the last call was for the next place.
    fn cheaper(&mut self, places: &[Place], at: usize, best: Packed) -> Packed {
        let start = places[at].hi;
        while self.next > at && places[self.next].lo - start > self.over {
            let entering = places[self.next].beyond;
            while self.inside.back().is_some_and(|p| places[*p].beyond >= entering) {
                self.inside.pop_back();
            }
            self.inside.push_back(self.next);
            self.next -= 1;
        }
        while self.far > at && places[self.far].lo - start > self.most {
            self.far -= 1;
        }
        while self.inside.front().is_some_and(|p| *p > self.far) {
            self.inside.pop_front();
        }
        let Some(first) = self.inside.front() else { return best };
        let best = best.min(places[*first].beyond.plus(self.piece));
        // A place one board away may have made way for one as cheap.
        let away = &places[self.far];
        match self.whole.filter(|_| away.lo - start == self.most) {
            Some(whole) => best.min(away.beyond.plus(whole)),
            None => best,
        }
    }
}
