//! Houses with all that the crew is told: marks, nails, hardware, what the ends meet. Worked out on paper, none by a planner.

use crate::houses::{self, House, inch, square, wall};
use geom::{Length, Slope};
use plan_model::{
    Against, Fastener, Layer, Mark, MarkKind, NailSpot, PieceId, Rake, Side, TieKind,
};
use rule_sets::RuleSet;
use std::collections::BTreeMap;
use wall_model::floor::{JunctionKind, RunId};
use wall_model::{Opening, OpeningKind, StoreyId};

use JunctionKind::{End, T};
use Layer::{Bottom, Lower, Upper};
use MarkKind::{Anchor, Corner, King, Stud, Tee, Trimmer};

pub const NAIL: &str = "16d common (3-1/2 x 0.162)";
pub const STRAP: &str = "1 x galvanized strap; 16 nails 10d (1-1/2 x 0.148)";

pub fn rules() -> &'static RuleSet {
    RuleSet::named("irc-2021").unwrap()
}

/// A wall of 20 ft with a door from 70 to 106 and a window from 150 to 186. Above it a partition laps over it at 128, below it one
/// is notched into it at 32.
///
/// By hand, studs 16 in apart from the wall's start, a stud 1-1/2 in thick: trimmers lie 3/4 in off an opening's edge, kings
/// 2-1/4. What the openings take is left out: 80 and 96, 160 and 176. The lower plates are joined at 48, the upper ones at 208.
pub fn framed() -> House {
    let mut floor = houses::floor(
        &[
            wall((0.0, 0.0), (240.0, 0.0)),
            wall((128.0, 0.0), (128.0, 100.0)),
            wall((32.0, -80.0), (32.0, 0.0)),
        ],
        &[
            ((0.0, 0.0), End, 0.0),     // 0
            ((32.0, -80.0), End, 0.0),  // 1
            ((32.0, 0.0), T, 90.0),     // 2
            ((128.0, 0.0), T, 90.0),    // 3
            ((128.0, 100.0), End, 0.0), // 4
            ((240.0, 0.0), End, 0.0),   // 5
        ],
    );
    let opening = |kind, from, to| Opening { kind, from: inch(from), to: inch(to), source: vec![] };
    floor.walls[0].openings.push(opening(OpeningKind::Door, 70.0, 106.0));
    floor.walls[0].openings.push(opening(OpeningKind::Window, 150.0, 186.0));
    let lower = [
        square(0, 0.0, 48.0),
        square(0, 48.0, 240.0),
        square(1, 1.75, 100.0),
        square(2, 0.0, 78.25),
    ];
    let mut first = square(0, 0.0, 126.125);
    first.notch = Some((30.125, 33.875, 2.125, Side::Right));
    let upper = [
        first,
        square(0, 129.875, 208.0),
        square(0, 208.0, 240.0),
        square(1, -1.75, 100.0),
        square(2, 0.0, 80.25),
    ];
    use plan_model::JointKind::{Break, LapGap};
    let breaks = [
        (0, Lower, 48.0, 0.0, Break, Some(78.125)),
        (0, Upper, 128.0, 1.875, LapGap, Some(78.125)),
        (0, Upper, 208.0, 0.0, Break, Some(160.0)),
    ];
    let mut h = houses::house(floor, &lower, &upper, &breaks, |h| {
        vec![
            houses::tie(2, TieKind::Notch, &[h.piece(2, Upper, 0), h.piece(0, Lower, 0)], 2.0, ""),
            houses::tie(2, TieKind::Strap, &[h.piece(0, Upper, 0)], 0.0, STRAP),
            houses::tie(3, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 1)], 3.5, ""),
        ]
    });
    for joint in h.plan.joints.iter_mut().filter(|j| j.kind == Break) {
        joint.on_stud = true;
    }

    let studs = |all: &[f64]| all.iter().map(|s| (*s, Stud)).collect::<Vec<_>>();
    let mut first =
        studs(&[16.0, 32.0, 48.0, 64.0, 112.0, 128.0, 144.0, 192.0, 208.0, 224.0, 239.25]);
    first.extend([(0.75, Corner), (32.0, Tee), (128.0, Tee)]);
    first.extend([67.75, 108.25, 147.75, 188.25].map(|s| (s, King)));
    first.extend([69.25, 106.75, 149.25, 186.75].map(|s| (s, Trimmer)));
    first.extend([70.0, 106.0, 150.0, 186.0].map(|s| (s, MarkKind::Opening)));
    h.mark(0, &first);
    h.mark(1, &studs(&[2.5, 16.0, 32.0, 48.0, 64.0, 80.0, 96.0, 99.25]));
    h.mark(2, &studs(&[0.75, 16.0, 32.0, 48.0, 64.0, 77.5]));

    h.nail_to_studs();
    h.nail_to_floor(0, &[8.0, 24.0, 40.0]);
    h.nail_to_floor(
        0,
        &[54.0, 65.875, 110.125, 120.0, 136.0, 152.0, 168.0, 184.0, 200.0, 216.0, 232.0],
    );
    h.nail_to_floor(1, &[8.0, 24.0, 40.0, 56.0, 72.0, 88.0, 93.0]);
    h.nail_to_floor(2, &[8.0, 24.0, 40.0, 56.0, 72.0]);
    // Eight on each side of the lower joint, but none in the notch; over the door by the layout.
    h.nail_upper(
        0,
        0,
        &[
            0.75, 16.0, 28.0, 36.0, 40.0, 44.0, 48.0, 52.0, 56.0, 60.0, 64.0, 67.75, 80.0, 96.0,
            108.25, 112.0, 124.0,
        ],
    );
    h.nail_upper(
        0,
        1,
        &[132.0, 144.0, 147.75, 160.0, 176.0, 188.25, 192.0, 196.0, 200.0, 204.0, 207.5],
    );
    h.nail_upper(0, 2, &[208.5, 212.0, 216.0, 220.0, 224.0, 239.25]);
    h.nail_upper(1, 0, &[2.5, 16.0, 32.0, 48.0, 64.0, 80.0, 96.0, 99.25]);
    h.nail_upper(2, 0, &[0.75, 16.0, 32.0, 48.0, 64.0, 77.5]);
    // Three in either lap.
    h.nail(1, Upper, 0, 0.0, 3);
    h.nail(2, Upper, 0, 79.25, 3);

    let meets = [
        (0, Lower, 0, [Against::Open, Against::SameRun]),
        (0, Lower, 1, [Against::SameRun, Against::Open]),
        (1, Lower, 0, [Against::Run(RunId(0)), Against::Open]),
        (2, Lower, 0, [Against::Open, Against::Run(RunId(0))]),
        (0, Upper, 0, [Against::Open, Against::Run(RunId(1))]),
        (0, Upper, 1, [Against::Run(RunId(1)), Against::SameRun]),
        (0, Upper, 2, [Against::SameRun, Against::Open]),
        (2, Upper, 0, [Against::Open, Against::Notch(RunId(0))]),
    ];
    for (run, layer, nth, ends) in meets {
        for layer in if layer == Lower { vec![Bottom, Lower] } else { vec![Upper] } {
            let piece = h.piece(run, layer, nth);
            for (end, against) in ends.into_iter().enumerate() {
                h.plan.pieces[piece].ends[end].against = against;
            }
        }
    }
    h.count();
    h
}

/// The same on concrete: bolts in place of the nails into the floor.
///
/// By hand, by IRC R403.1.6: at most 72 in apart, from 3-1/2 to 12 in off the ends of a plate and off a door, two at least.
pub fn on_concrete() -> House {
    let mut h = framed();
    h.plan.on_concrete.push(StoreyId(0));
    for piece in &mut h.plan.pieces {
        piece.nails.retain(|n| !n.into_floor);
    }
    let bolts: [(u32, usize, &[f64]); 4] = [
        (0, 0, &[8.0, 40.0]),
        (0, 1, &[56.0, 61.0, 114.0, 180.0, 232.0]),
        (1, 0, &[10.0, 56.0, 90.0]),
        (2, 0, &[8.0, 70.0]),
    ];
    for (run, nth, stations) in bolts {
        let piece = h.piece(run, Bottom, nth);
        for at in stations {
            h.add_mark(piece, *at, Anchor);
        }
    }
    h.count();
    h.buy_treated();
    h
}

/// A wall of 10 ft whose top rises 9 in 12, from 97-1/8 in on.
///
/// By the triangle 3-4-5: 120 in level are 150 along it; a board's thickness of 1-1/2 in is 1-7/8 plumb, and a plumb cut
/// reaches 1-1/8 in farther on one face than on the other. The blade leans as the board does, 36.87 degrees. Along the wood
/// 16 in between nails are 12.8 level, 24 in beside a joint 19.2.
pub fn sloping() -> House {
    let mut floor = houses::floor(
        &[wall((0.0, 0.0), (120.0, 0.0))],
        &[((0.0, 0.0), End, 0.0), ((120.0, 0.0), End, 0.0)],
    );
    floor.runs[0].rise = inch(90.0);
    floor.walls[0].rise = inch(90.0);
    let lower = [square(0, 0.0, 48.0), square(0, 48.0, 120.0)];
    let upper = [square(0, 0.0, 120.0)];
    use plan_model::JointKind::Break;
    let breaks = [(0, Lower, 48.0, 0.0, Break, None)];
    let mut h = houses::house(floor, &lower, &upper, &breaks, |_| vec![]);
    for joint in h.plan.joints.iter_mut().filter(|j| j.kind == Break) {
        joint.on_stud = true;
    }
    for piece in h.plan.pieces.iter_mut().filter(|p| p.layer != Bottom) {
        let under = if piece.layer == Upper { 95.25 } else { 93.375 };
        let [from, to] = [piece.from, piece.to].map(Length::to_inches);
        let edge = inch((to - from) * 1.25);
        let slope = Slope::new(inch(90.0), inch(120.0)).unwrap();
        let z_end = inch(under + to * 0.75);
        piece.rake = Some(Rake { slope, edge, edge_printed: edge, z_end });
        piece.z = inch(under + from * 0.75);
        piece.length = edge + inch(1.125);
        piece.printed = piece.length;
        piece.ends[0].tilt_deg = 126.869_897_645_844;
        piece.ends[1].tilt_deg = 53.130_102_354_156;
    }
    for (layer, nth, end) in [(Bottom, 0, 1), (Lower, 0, 1), (Bottom, 1, 0), (Lower, 1, 0)] {
        let piece = h.piece(0, layer, nth);
        h.plan.pieces[piece].ends[end].against = Against::SameRun;
    }
    let studs = [0.75, 16.0, 32.0, 48.0, 64.0, 80.0, 96.0, 112.0, 119.25].map(|s| (s, Stud));
    h.mark(0, &studs);
    h.nail_to_studs();
    h.nail_to_floor(0, &[8.0, 24.0, 40.0, 56.0, 72.0, 88.0, 104.0, 116.0]);
    h.nail_upper(
        0,
        0,
        &[
            0.75, 8.0, 16.0, 24.0, 32.0, 36.0, 40.0, 44.0, 48.0, 52.0, 56.0, 60.0, 64.0, 72.0,
            80.0, 88.0, 96.0, 104.0, 112.0, 119.25,
        ],
    );
    h.count();
    h.buy();
    h
}

impl House {
    /// All that there is to prove.
    pub fn prove_all(&self) -> plan_verify::Proof {
        plan_verify::verify(&self.floor, &self.plan, &self.boards, &self.settings, rules())
    }

    /// A station on a run as one on a piece of it, along the wood.
    pub fn on_piece(&self, piece: usize, station: f64) -> Length {
        let p = &self.plan.pieces[piece];
        let level = inch(station) - p.from;
        p.rake.map_or(level, |_| inch(level.to_inches() * 1.25))
    }

    pub fn pieces_of(&self, run: u32) -> Vec<usize> {
        let own = |i: &usize| self.plan.pieces[*i].run == RunId(run);
        (0..self.plan.pieces.len()).filter(own).collect()
    }

    pub fn add_mark(&mut self, piece: usize, station: f64, kind: MarkKind) {
        let at = self.on_piece(piece, station);
        let marks = &mut self.plan.pieces[piece].marks;
        marks.push(Mark { at, kind });
        marks.sort();
    }

    /// Marks every plate of a run that reaches there.
    pub fn mark(&mut self, run: u32, marks: &[(f64, MarkKind)]) {
        for piece in self.pieces_of(run) {
            let [from, to] = [self.plan.pieces[piece].from, self.plan.pieces[piece].to];
            for (station, kind) in marks.iter().filter(|m| inch(m.0) >= from && inch(m.0) <= to) {
                self.add_mark(piece, *station, *kind);
            }
        }
    }

    /// Takes marks of a kind away at a station, on all plates of a run.
    pub fn unmark(&mut self, run: u32, station: f64, kind: MarkKind) {
        for piece in self.pieces_of(run) {
            let at = self.on_piece(piece, station);
            self.plan.pieces[piece].marks.retain(|m| (m.at, m.kind) != (at, kind));
        }
    }

    /// Marks of a kind stand elsewhere, on all plates of a run.
    pub fn move_mark(&mut self, run: u32, kind: MarkKind, from: f64, to: f64) {
        self.unmark(run, from, kind);
        self.mark(run, &[(to, kind)]);
    }

    fn nail_at(&mut self, piece: usize, station: f64, count: u32, into_floor: bool) {
        let at = self.on_piece(piece, station);
        let nails = &mut self.plan.pieces[piece].nails;
        nails.push(NailSpot { at, count, nail: NAIL.to_owned(), into_floor });
        nails.sort_by_key(|n| n.at);
    }

    pub fn nail(&mut self, run: u32, layer: Layer, nth: usize, station: f64, count: u32) {
        self.nail_at(self.piece(run, layer, nth), station, count, false);
    }

    fn nail_upper(&mut self, run: u32, nth: usize, stations: &[f64]) {
        for at in stations {
            self.nail(run, Upper, nth, *at, 2);
        }
    }

    /// Two into every stud under or over a plate, 3/8 in off its middle where a plate ends there.
    fn nail_to_studs(&mut self) {
        for piece in 0..self.plan.pieces.len() {
            let p = self.plan.pieces[piece].clone();
            let long = p.rake.map_or(p.length, |r| r.edge);
            let bears = |k: MarkKind| match p.layer {
                Bottom => matches!(k, Stud | King | Corner | Trimmer),
                Lower => matches!(k, Stud | King | Corner),
                Upper => false,
            };
            for m in p.marks.iter().filter(|m| bears(m.kind)) {
                let at = m.at.max(inch(0.375)).min(long - inch(0.375));
                let nail = NAIL.to_owned();
                let spot = NailSpot { at, count: 2, nail, into_floor: false };
                self.plan.pieces[piece].nails.push(spot);
            }
        }
    }

    pub fn nail_to_floor(&mut self, run: u32, stations: &[f64]) {
        for at in stations {
            let over = |i: &usize| {
                let p = &self.plan.pieces[*i];
                p.layer == Bottom && p.from <= inch(*at) && inch(*at) <= p.to
            };
            let piece = self.pieces_of(run).into_iter().find(over).unwrap();
            self.nail_at(piece, *at, 1, true);
        }
    }

    /// The nails of a plate at a station on its run.
    pub fn nails_at(&mut self, run: u32, layer: Layer, nth: usize, station: f64) -> &mut NailSpot {
        let piece = self.piece(run, layer, nth);
        let at = self.on_piece(piece, station);
        self.plan.pieces[piece].nails.iter_mut().find(|n| n.at == at).unwrap()
    }

    pub fn move_nails(&mut self, run: u32, layer: Layer, nth: usize, from: f64, to: f64) {
        let piece = self.piece(run, layer, nth);
        let to = self.on_piece(piece, to);
        self.nails_at(run, layer, nth, from).at = to;
        self.plan.pieces[piece].nails.sort_by_key(|n| n.at);
    }

    pub fn take_nails(&mut self, run: u32, layer: Layer, nth: usize, station: f64) {
        let piece = self.piece(run, layer, nth);
        let at = self.on_piece(piece, station);
        self.plan.pieces[piece].nails.retain(|n| n.at != at);
        self.count();
    }

    /// Lists nails, the strap and the bolts as they are.
    pub fn count(&mut self) {
        let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
        for n in self.plan.pieces.iter().flat_map(|p| &p.nails) {
            *counts.entry(&n.nail).or_default() += u64::from(n.count);
        }
        if self.plan.ties.iter().any(|t| t.hardware == STRAP) {
            counts.insert("galvanized strap", 1);
            counts.insert("10d (1-1/2 x 0.148)", 16);
        }
        let marks = self.plan.pieces.iter().flat_map(|p| &p.marks);
        let bolts = marks.filter(|m| m.kind == Anchor).count() as u64;
        if bolts > 0 {
            counts.insert(&rules().anchors.bolt, bolts);
        }
        let row = |(nail, count): (&str, u64)| Fastener {
            nail: nail.to_owned(),
            count,
            purpose: String::new(),
        };
        self.plan.fasteners = counts.into_iter().map(row).collect();
    }

    fn buy_treated(&mut self) {
        self.buy();
        for board in &mut self.boards {
            let PieceId(cut) = board.cuts[0];
            board.treated = self.plan.pieces[cut as usize].layer == Bottom;
        }
    }
}
