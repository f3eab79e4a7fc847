//! Small houses and their plate plans, written down by hand: every station below was worked out on
//! paper from the walls, none by a planner.
#![allow(dead_code, clippy::unwrap_used)]

use geom::{Length, Point};
use lumber::Section;
use plan_model::{
    Against, Board, Joint, JointKind, Layer, Notch, Piece, PieceEnd, PieceId, Plan, Side, Tie,
    TieKind,
};
use settings::Settings;
use wall_model::floor::{
    Arm, ArmAt, Floor, FloorWall, Junction, JunctionId, JunctionKind, Run, RunId,
};
use wall_model::{Storey, StoreyId, WallId};

pub fn inch(x: f64) -> Length {
    Length::from_inches(x).unwrap()
}
pub fn at(x: f64, y: f64) -> Point {
    Point::new(inch(x), inch(y))
}

pub struct House {
    pub floor: Floor,
    pub plan: Plan,
    pub boards: Vec<Board>,
    pub settings: Settings,
}

impl House {
    pub fn prove(&self) -> plan_verify::Proof {
        plan_verify::verify_plates(
            &self.floor,
            &self.plan,
            &self.boards,
            &self.settings,
            Length::inches(24),
        )
    }
    /// Index of the n-th piece of a run and layer.
    pub fn piece(&self, run: u32, layer: Layer, nth: usize) -> usize {
        let mut all = self.plan.pieces.iter().enumerate();
        let mut left = nth;
        all.find(|(_, p)| {
            let hit = p.run == RunId(run) && p.layer == layer;
            if hit && left > 0 {
                left -= 1;
                return false;
            }
            hit
        })
        .unwrap()
        .0
    }
    /// Moves the start and end of a piece along its run, outline and listed length alike, as a planner
    /// that computed a wrong length would.
    pub fn stretch(&mut self, piece: usize, at_start: f64, at_end: f64) {
        let run = self.plan.pieces[piece].run;
        let frame = self.floor.run(run).frame();
        let p = &mut self.plan.pieces[piece];
        let middle = (p.from + p.to).half();
        for corner in &mut p.outline {
            let (s, o) = frame.locate(*corner);
            let by = if s < middle { inch(at_start) } else { inch(at_end) };
            *corner = frame.at(s + by, o);
        }
        (p.from, p.to) = (p.from + inch(at_start), p.to + inch(at_end));
        for n in &mut p.notches {
            (n.from, n.to) = (n.from - inch(at_start), n.to - inch(at_start));
        }
        p.length = p.to - p.from;
        p.printed = p.length;
    }
    /// The same house turned about the origin and moved: every node and corner rounded to the nanometre
    /// anew, stations and lengths as before.
    pub fn turned(mut self, degrees: f64, by: (f64, f64)) -> House {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let frames: Vec<_> = self.floor.runs.iter().map(Run::frame).collect();
        let turn = |p: &mut Point| {
            let (x, y) = (p.x.to_inches(), p.y.to_inches());
            *p = at(x * cos - y * sin + by.0, x * sin + y * cos + by.1);
        };
        for r in &mut self.floor.runs {
            turn(&mut r.start);
            turn(&mut r.end);
        }
        for w in &mut self.floor.walls {
            turn(&mut w.start);
            turn(&mut w.end);
        }
        self.floor.junctions.iter_mut().for_each(|j| turn(&mut j.at));
        for p in &mut self.plan.pieces {
            let (old, new) = (frames[p.run.0 as usize], self.floor.run(p.run).frame());
            for corner in &mut p.outline {
                let (s, o) = old.locate(*corner);
                *corner = new.at(s, o);
            }
        }
        self
    }
    /// One board for each piece.
    pub fn buy(&mut self) {
        self.boards = boards_for(&self.plan.pieces, &self.settings);
    }
}

pub fn boards_for(pieces: &[Piece], settings: &Settings) -> Vec<Board> {
    let one = |(i, p): (usize, &Piece)| {
        let fits = |ft: &u32| Length::feet(i64::from(*ft)) >= p.length;
        let length_ft = settings.stock.lengths_for(p.section).into_iter().find(fits).unwrap_or(16);
        let left = Length::feet(i64::from(length_ft)) - p.length - settings.stock.kerf;
        Board {
            section: p.section,
            treated: false,
            source: plan_model::BoardSource::Bought { length_ft },
            cuts: vec![PieceId(i as u32)],
            offcut: left.max(Length::ZERO),
        }
    };
    pieces.iter().enumerate().map(one).collect()
}

pub struct Wall {
    pub from: (f64, f64),
    pub to: (f64, f64),
    pub section: Section,
    pub top: f64,
}

pub fn wall(from: (f64, f64), to: (f64, f64)) -> Wall {
    Wall { from, to, section: Section::S2X4, top: 97.125 }
}

/// A floor of one wall a run; `nodes` are place, kind and angle. Arms are found here.
pub fn floor(walls: &[Wall], nodes: &[((f64, f64), JunctionKind, f64)]) -> Floor {
    let mut junctions: Vec<Junction> = nodes
        .iter()
        .map(|(place, kind, angle_deg)| Junction {
            storey: StoreyId(0),
            at: at(place.0, place.1),
            kind: *kind,
            arms: vec![],
            angle_deg: *angle_deg,
            step: Length::ZERO,
        })
        .collect();
    let mut runs = Vec::new();
    for (i, w) in walls.iter().enumerate() {
        let id = RunId(i as u32);
        let (start, end) = (at(w.from.0, w.from.1), at(w.to.0, w.to.1));
        let mut run = Run {
            storey: StoreyId(0),
            start,
            end,
            section: w.section,
            base: Length::ZERO,
            top: inch(w.top),
            rise: Length::ZERO,
            walls: vec![i as u32],
            start_junction: JunctionId(u32::MAX),
            end_junction: JunctionId(u32::MAX),
            through: vec![],
        };
        for (j, junction) in junctions.iter_mut().enumerate() {
            let (s, o) = run.frame().locate(junction.at);
            let inside = s > Length::ZERO && s < run.length() && o.abs().nm() < 10;
            let place = if junction.at == start {
                run.start_junction = JunctionId(j as u32);
                ArmAt::Start
            } else if junction.at == end {
                run.end_junction = JunctionId(j as u32);
                ArmAt::End
            } else if inside {
                run.through.push((s, JunctionId(j as u32)));
                ArmAt::Through
            } else {
                continue;
            };
            junction.arms.push(Arm { run: id, at: place });
        }
        runs.push(run);
    }
    for j in &mut junctions {
        let tops = || j.arms.iter().map(|a| runs[a.run.0 as usize].top);
        j.step = tops().max().unwrap() - tops().min().unwrap();
    }
    let walls = walls
        .iter()
        .enumerate()
        .map(|(i, w)| FloorWall {
            storey: StoreyId(0),
            start: runs[i].start,
            end: runs[i].end,
            drawn_thickness: w.section.width(),
            section: w.section,
            base: Length::ZERO,
            top: inch(w.top),
            rise: Length::ZERO,
            exterior: true,
            bearing: None,
            run: RunId(i as u32),
            openings: vec![],
            source: vec![],
            wall: WallId(i as u32),
        })
        .collect();
    let storeys = vec![Storey { name: "Plan".into(), elevation: Length::ZERO }];
    Floor { storeys, walls, runs, junctions }
}

/// A piece by the stations of its start and end on the right and left edge.
pub struct Plate {
    pub run: u32,
    pub start: (f64, f64),
    pub end: (f64, f64),
    /// From, to (stations on the run), depth, side.
    pub notch: Option<(f64, f64, f64, Side)>,
}

pub fn square(run: u32, from: f64, to: f64) -> Plate {
    Plate { run, start: (from, from), end: (to, to), notch: None }
}
pub fn cut(run: u32, start: (f64, f64), end: (f64, f64)) -> Plate {
    Plate { run, start, end, notch: None }
}

fn piece(floor: &Floor, plate: &Plate, layer: Layer, mark: String) -> Piece {
    let run = floor.run(RunId(plate.run));
    let frame = run.frame();
    let half = run.section.width().half();
    let on = |s: f64, o: Length| frame.at(inch(s), o);
    let (start, end) = (plate.start, plate.end);
    let mut outline = vec![on(start.0, -half)];
    let from = start.0.min(start.1);
    let mut notches = vec![];
    if let Some((a, b, depth, side)) = plate.notch {
        notches.push(Notch {
            from: inch(a - from),
            to: inch(b - from),
            depth: inch(depth),
            side,
            stem: RunId(0),
        });
    }
    let bite = |side: Side, outline: &mut Vec<Point>| {
        let Some((a, b, depth, s)) = plate.notch else { return };
        if s != side {
            return;
        }
        let (edge, inner) = match side {
            Side::Right => (-half, -half + inch(depth)),
            Side::Left => (half, half - inch(depth)),
        };
        let (a, b) = if side == Side::Right { (a, b) } else { (b, a) };
        outline.extend([on(a, edge), on(a, inner), on(b, inner), on(b, edge)]);
    };
    bite(Side::Right, &mut outline);
    outline.extend([on(end.0, -half), on(end.1, half)]);
    bite(Side::Left, &mut outline);
    outline.push(on(start.1, half));
    let width = run.section.width().to_inches();
    let cut_deg = |longer: f64| width.atan2(longer).to_degrees();
    let (from, to) = (inch(from), inch(end.0.max(end.1)));
    let thick = run.section.thickness();
    Piece {
        mark,
        run: RunId(plate.run),
        storey: run.storey,
        layer,
        section: run.section,
        from,
        to,
        outline,
        length: to - from,
        printed: if layer == Layer::Upper {
            (to - from).floor_to(Length::SIXTEENTH)
        } else {
            (to - from).round_to(Length::SIXTEENTH)
        },
        z: match layer {
            Layer::Bottom => run.base,
            Layer::Lower => run.top - thick * 2,
            Layer::Upper => run.top - thick,
        },
        rake: None,
        ends: [
            PieceEnd {
                cut_deg: cut_deg(start.0 - start.1),
                tilt_deg: 90.0,
                against: Against::Open,
            },
            PieceEnd { cut_deg: cut_deg(end.1 - end.0), tilt_deg: 90.0, against: Against::Open },
        ],
        notches,
        marks: vec![],
        nails: vec![],
    }
}

/// A joint row by hand: run, layer, station, half gap, kind, offset.
pub type JointRow = (u32, Layer, f64, f64, JointKind, Option<f64>);

pub fn joint(row: JointRow) -> Joint {
    Joint {
        run: RunId(row.0),
        layer: row.1,
        at: inch(row.2),
        half_gap: inch(row.3),
        kind: row.4,
        on_stud: false,
        offset: row.5.map(inch),
    }
}

pub fn tie(junction: u32, kind: TieKind, pieces: &[usize], overlap: f64, hardware: &str) -> Tie {
    Tie {
        junction: JunctionId(junction),
        kind,
        pieces: pieces.iter().map(|p| PieceId(*p as u32)).collect(),
        overlap: inch(overlap),
        hardware: hardware.into(),
    }
}

/// Bottom plates are the lower ones. Joints of the run's own ends are added here from the stations;
/// `breaks` are the lower and upper ones.
pub fn house(
    floor: Floor,
    lower: &[Plate],
    upper: &[Plate],
    breaks: &[JointRow],
    ties: impl Fn(&House) -> Vec<Tie>,
) -> House {
    let mut pieces = Vec::new();
    for (layer, plates) in [(Layer::Bottom, lower), (Layer::Lower, lower), (Layer::Upper, upper)] {
        for p in plates {
            let mark = format!("M{}", pieces.len() + 1);
            pieces.push(piece(&floor, p, layer, mark));
        }
    }
    let mut joints: Vec<Joint> = Vec::new();
    for row in breaks {
        joints.push(joint(*row));
        if row.1 == Layer::Lower {
            joints.push(joint((row.0, Layer::Bottom, row.2, row.3, row.4, None)));
        }
    }
    for run in 0..floor.runs.len() as u32 {
        for layer in Layer::ALL {
            let own = || pieces.iter().filter(|p| p.run == RunId(run) && p.layer == layer);
            let first = own().map(|p| p.from).min().unwrap().to_inches();
            let last = own().map(|p| p.to).max().unwrap().to_inches();
            joints.push(joint((run, layer, first, 0.0, JointKind::End, None)));
            joints.push(joint((run, layer, last, 0.0, JointKind::End, None)));
        }
    }
    joints.sort_by_key(|j| (j.run, j.layer, j.at));
    let plan = Plan { pieces, joints, ..Plan::default() };
    let settings = Settings::default();
    let boards = boards_for(&plan.pieces, &settings);
    let mut house = House { floor, plan, boards, settings };
    house.plan.ties = ties(&house);
    house
}

use JointKind::{Break, LapGap};
use Layer::{Lower, Upper};

/// 20 ft x 12 ft on centrelines, all 2x4, with a partition across the middle: it laps over the south
/// wall and is notched into the north one.
///
/// By hand: corner to corner outside, the south wall is 240 + 2 x 1.75 = 243.5 in; its lower plates are
/// 61.75 + 181.75 = 243.5. The west wall butts between, 144 - 2 x 1.75 = 140.5 in.
pub fn tee_house() -> House {
    use JunctionKind::{L, T};
    let floor = floor(
        &[
            wall((0.0, 0.0), (0.0, 144.0)),     // 0 west
            wall((0.0, 0.0), (240.0, 0.0)),     // 1 south
            wall((0.0, 144.0), (240.0, 144.0)), // 2 north
            wall((120.0, 0.0), (120.0, 144.0)), // 3 partition
            wall((240.0, 0.0), (240.0, 144.0)), // 4 east
        ],
        &[
            ((0.0, 0.0), L, 90.0),     // 0
            ((0.0, 144.0), L, 90.0),   // 1
            ((120.0, 0.0), T, 90.0),   // 2
            ((120.0, 144.0), T, 90.0), // 3
            ((240.0, 0.0), L, 90.0),   // 4
            ((240.0, 144.0), L, 90.0), // 5
        ],
    );
    let lower = [
        square(0, 1.75, 142.25),
        square(1, -1.75, 60.0),
        square(1, 60.0, 241.75),
        square(2, -1.75, 60.0),
        square(2, 60.0, 241.75),
        square(3, 1.75, 142.25),
        square(4, 1.75, 142.25),
    ];
    let mut north = square(2, 1.875, 150.0);
    north.notch = Some((118.125, 121.875, 2.125, Side::Right));
    let upper = [
        square(0, -1.75, 145.75),
        square(1, 1.875, 118.125),
        square(1, 121.875, 238.125),
        north,
        square(2, 150.0, 238.125),
        square(3, -1.75, 144.25),
        square(4, -1.75, 145.75),
    ];
    let breaks = [
        (1, Lower, 60.0, 0.0, Break, Some(58.125)),
        (1, Upper, 120.0, 1.875, LapGap, Some(58.125)),
        (2, Lower, 60.0, 0.0, Break, Some(90.0)),
        (2, Upper, 150.0, 0.0, Break, Some(90.0)),
    ];
    house(floor, &lower, &upper, &breaks, |h| {
        let up = |run, n| h.piece(run, Upper, n);
        let low = |run, n| h.piece(run, Lower, n);
        vec![
            tie(0, TieKind::Lap, &[up(0, 0), low(1, 0)], 3.5, ""),
            tie(1, TieKind::Lap, &[up(0, 0), low(2, 0)], 3.5, ""),
            tie(2, TieKind::Lap, &[up(3, 0), low(1, 1)], 3.5, ""),
            tie(3, TieKind::Notch, &[up(3, 0), low(2, 1)], 2.0, ""),
            tie(4, TieKind::Lap, &[up(4, 0), low(1, 1)], 3.5, ""),
            tie(5, TieKind::Lap, &[up(4, 0), low(2, 1)], 3.5, ""),
        ]
    })
}

/// Two 10 ft walls that cross in the middle.
pub fn cross() -> House {
    use JunctionKind::{End, X};
    let floor = floor(
        &[wall((0.0, 60.0), (120.0, 60.0)), wall((60.0, 0.0), (60.0, 120.0))],
        &[
            ((0.0, 60.0), End, 0.0),
            ((60.0, 0.0), End, 0.0),
            ((60.0, 60.0), X, 90.0),
            ((60.0, 120.0), End, 0.0),
            ((120.0, 60.0), End, 0.0),
        ],
    );
    let lower = [square(0, 0.0, 120.0), square(1, 0.0, 58.25), square(1, 61.75, 120.0)];
    let upper = [square(0, 0.0, 58.125), square(0, 61.875, 120.0), square(1, 0.0, 120.0)];
    let breaks = [(1, Lower, 60.0, 1.75, Break, None), (0, Upper, 60.0, 1.875, LapGap, None)];
    house(floor, &lower, &upper, &breaks, |h| {
        vec![tie(2, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 0)], 3.5, "")]
    })
}

/// A corner with the directions (1, 0) and (3/5, 4/5): 53.13 degrees inside, all by the 3-4-5 triangle.
///
/// By hand, half width 1.75. Second wall's outer face: -4/5 x + 3/5 y = 1.75. It meets the first wall's
/// outer edge y = -1.75 at x = -3.5 and its inner edge y = 1.75 at x = -0.875. The mirror image holds
/// for the second wall. Held back 1/8 in from the inner face: x = 1.03125 and 3.65625.
pub fn oblique_corner() -> House {
    use JunctionKind::{End, L};
    let floor = floor(
        &[wall((0.0, 0.0), (60.0, 80.0)), wall((0.0, 0.0), (100.0, 0.0))],
        &[((0.0, 0.0), L, 53.130_102_354), ((60.0, 80.0), End, 0.0), ((100.0, 0.0), End, 0.0)],
    );
    let lower = [cut(0, (3.5, 0.875), (100.0, 100.0)), cut(1, (-3.5, -0.875), (100.0, 100.0))];
    let upper =
        [cut(0, (-0.875, -3.5), (100.0, 100.0)), cut(1, (1.03125, 3.65625), (100.0, 100.0))];
    house(floor, &lower, &upper, &[], |h| {
        vec![tie(0, TieKind::Lap, &[h.piece(0, Upper, 0), h.piece(1, Lower, 0)], 3.5, "")]
    })
}

/// The same corner of a 2x4 (the oblique one) and a 2x6.
///
/// By hand: the 2x4's outer face -4/5 x + 3/5 y = 1.75 meets y = -2.75 at x = -4.25 and y = 2.75 at
/// x = -0.125. On the 2x4, the faces y = +-2.75 cross the left edge at 2.125 and -4.75, the right edge at
/// 4.75 and -2.125. 4/5 x - 3/5 y = 1.875 (1/8 in clear) meets y = -+2.75 at x = 0.28125 and 4.40625.
pub fn oblique_corner_of_two_widths() -> House {
    use JunctionKind::{End, L};
    let mut wide = wall((0.0, 0.0), (100.0, 0.0));
    wide.section = Section::S2X6;
    let floor = floor(
        &[wall((0.0, 0.0), (60.0, 80.0)), wide],
        &[((0.0, 0.0), L, 53.130_102_354), ((60.0, 80.0), End, 0.0), ((100.0, 0.0), End, 0.0)],
    );
    let lower = [cut(0, (4.75, 2.125), (100.0, 100.0)), cut(1, (-4.25, -0.125), (100.0, 100.0))];
    let upper =
        [cut(0, (-2.125, -4.75), (100.0, 100.0)), cut(1, (0.28125, 4.40625), (100.0, 100.0))];
    house(floor, &lower, &upper, &[], |h| {
        vec![tie(0, TieKind::Lap, &[h.piece(0, Upper, 0), h.piece(1, Lower, 0)], 5.5, "")]
    })
}

/// Two walls that cross at 53.13 degrees, node at 80 of the one along x and at 60 of the other.
///
/// By hand: the oblique one's edges cross y = -1.75 at 56.5 (left) and 59.125 (right), y = 1.75 at
/// 60.875 and 63.5. The gap in the upper plate along x is that of the oblique tee.
pub fn oblique_cross() -> House {
    use JunctionKind::{End, X};
    let floor = floor(
        &[wall((0.0, 0.0), (160.0, 0.0)), wall((44.0, -48.0), (116.0, 48.0))],
        &[
            ((0.0, 0.0), End, 0.0),
            ((44.0, -48.0), End, 0.0),
            ((80.0, 0.0), X, 53.130_102_354),
            ((116.0, 48.0), End, 0.0),
            ((160.0, 0.0), End, 0.0),
        ],
    );
    let lower = [
        square(0, 0.0, 160.0),
        cut(1, (0.0, 0.0), (59.125, 56.5)),
        cut(1, (63.5, 60.875), (120.0, 120.0)),
    ];
    let upper = [
        cut(0, (0.0, 0.0), (76.34375, 78.96875)),
        cut(0, (81.03125, 83.65625), (160.0, 160.0)),
        square(1, 0.0, 120.0),
    ];
    let breaks = [(1, Lower, 60.0, 3.5, Break, None), (0, Upper, 80.0, 3.65625, LapGap, None)];
    house(floor, &lower, &upper, &breaks, |h| {
        vec![tie(2, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 0)], 3.5, "")]
    })
}

/// A stem that meets a wall at 53.13 degrees and laps over it. Through wall along x, node at x = 80.
///
/// By hand: stem edges leave the near face y = 1.75 at stations 0.875 (left) and 3.5 (right), cross
/// the far face at -3.5 and -0.875. The lap gap on y = 1.75 and y = -1.75: the stem's band is 3.5 / 0.8 =
/// 4.375 in wide along x, 4.375 + 2 x 0.125 / 0.8 = 4.6875 with clearance; its centre is at x = 80 + y
/// x 0.75, so 80 +- 1.3125: from 76.34375 and 78.96875 to 81.03125 and 83.65625.
pub fn oblique_tee() -> House {
    use JunctionKind::{End, T};
    let floor = floor(
        &[wall((0.0, 0.0), (160.0, 0.0)), wall((80.0, 0.0), (140.0, 80.0))],
        &[
            ((0.0, 0.0), End, 0.0),
            ((80.0, 0.0), T, 53.130_102_354),
            ((140.0, 80.0), End, 0.0),
            ((160.0, 0.0), End, 0.0),
        ],
    );
    let lower = [square(0, 0.0, 160.0), cut(1, (3.5, 0.875), (100.0, 100.0))];
    let upper = [
        cut(0, (0.0, 0.0), (76.34375, 78.96875)),
        cut(0, (81.03125, 83.65625), (160.0, 160.0)),
        cut(1, (-0.875, -3.5), (100.0, 100.0)),
    ];
    let breaks = [(0, Upper, 80.0, 3.65625, LapGap, None)];
    house(floor, &lower, &upper, &breaks, |h| {
        vec![tie(1, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 0)], 3.5, "")]
    })
}

/// A 2x6 and a 2x4 in line: the narrow upper plate runs 24 in over the wide wall and leaves a strip of
/// (5.5 - 3.5) / 2 = 1 in bare on either side.
pub fn width_change() -> House {
    use JunctionKind::{End, Inline};
    let mut wide = wall((0.0, 0.0), (100.0, 0.0));
    wide.section = Section::S2X6;
    let floor = floor(
        &[wide, wall((100.0, 0.0), (220.0, 0.0))],
        &[((0.0, 0.0), End, 0.0), ((100.0, 0.0), Inline, 180.0), ((220.0, 0.0), End, 0.0)],
    );
    let lower = [square(0, 0.0, 100.0), square(1, 0.0, 120.0)];
    let upper = [square(0, 0.0, 75.875), square(1, -24.0, 120.0)];
    house(floor, &lower, &upper, &[], |h| {
        vec![tie(1, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 0)], 24.0, "")]
    })
}

/// The same the other way round: the narrow wall before the wide one, 120 in long, which is 120 as well here. Its upper plate
/// ends 24 in beyond the node, where the wide one's begins after 1/8 in.
pub fn width_change_turned() -> House {
    use JunctionKind::{End, Inline};
    let mut wide = wall((120.0, 0.0), (240.0, 0.0));
    wide.section = Section::S2X6;
    let floor = floor(
        &[wide, wall((0.0, 0.0), (120.0, 0.0))],
        &[((0.0, 0.0), End, 0.0), ((120.0, 0.0), Inline, 180.0), ((240.0, 0.0), End, 0.0)],
    );
    let lower = [square(0, 0.0, 120.0), square(1, 0.0, 120.0)];
    let upper = [square(0, 24.125, 120.0), square(1, 0.0, 144.0)];
    house(floor, &lower, &upper, &[], |h| {
        vec![tie(1, TieKind::Lap, &[h.piece(1, Upper, 0), h.piece(0, Lower, 0)], 24.0, "")]
    })
}

/// A corner of a 97-1/8 and a 109-1/8 in wall: the taller carries through in both layers, screws tie.
pub fn step_corner() -> House {
    use JunctionKind::{End, L};
    let mut tall = wall((0.0, 0.0), (0.0, 100.0));
    tall.top = 109.125;
    let floor = floor(
        &[tall, wall((0.0, 0.0), (100.0, 0.0))],
        &[((0.0, 0.0), L, 90.0), ((0.0, 100.0), End, 0.0), ((100.0, 0.0), End, 0.0)],
    );
    let lower = [square(0, -1.75, 100.0), square(1, 1.75, 100.0)];
    let upper = [square(0, -1.75, 100.0), square(1, 1.875, 100.0)];
    house(floor, &lower, &upper, &[], |h| {
        let pieces = [h.piece(0, Upper, 0), h.piece(1, Upper, 0)];
        vec![tie(0, TieKind::Screw, &pieces, 0.0, "structural screws through the seam")]
    })
}

/// A 2x6 corner 9 ft high, and a third wall in line with one side of it: another top, or a 2x4. By hand: the corner is
/// that of an L (half of 5.5 in either way), the third starts at its outer face, 2.75 in from the node, and an eighth
/// beyond it in the upper layer; a plate over the corner square ends free.
fn corner_and_third(third: Wall, hardware: TieKind) -> House {
    use JunctionKind::{End, T};
    let side = |to| Wall { section: Section::S2X6, top: 109.125, ..wall((0.0, 0.0), to) };
    let floor = floor(
        &[side((0.0, 100.0)), side((100.0, 0.0)), third],
        &[
            ((0.0, 0.0), T, 90.0),
            ((0.0, 100.0), End, 0.0),
            ((100.0, 0.0), End, 0.0),
            ((-80.0, 0.0), End, 0.0),
        ],
    );
    let lower = [square(0, -2.75, 100.0), square(1, 2.75, 100.0), square(2, 0.0, 77.25)];
    let upper = [square(0, 2.875, 100.0), square(1, -2.75, 100.0), square(2, 0.0, 77.125)];
    house(floor, &lower, &upper, &[], |h| {
        let (lap, third) = (h.piece(1, Upper, 0), h.piece(2, Upper, 0));
        vec![
            tie(0, TieKind::Lap, &[lap, h.piece(0, Lower, 0)], 5.5, ""),
            tie(0, hardware, &[lap, third], 0.0, "hardware"),
        ]
    })
}

/// A lower garage goes on in line with a corner.
pub fn corner_and_lower_third() -> House {
    let third = Wall { section: Section::S2X6, ..wall((-80.0, 0.0), (0.0, 0.0)) };
    corner_and_third(third, TieKind::Screw)
}

/// A narrower wall goes on in line with a corner.
pub fn corner_and_narrow_third() -> House {
    let third = Wall { top: 109.125, ..wall((-80.0, 0.0), (0.0, 0.0)) };
    corner_and_third(third, TieKind::Strap)
}
