//! Documents made by hand for the tests: a small house whose plates tile exactly, in inches or in
//! millimetres, and the same with hostile strings. Demo data, our own invention.

use diag::codes::input::{REPAIRED, SECTION_ASSUMED, UNITS_CONFLICT};
use diag::{Finding, Ledger, SourceRef};
use geom::{Length, Point};
use lumber::Section;
use plan_model::*;
use settings::Settings;
use wall_model::floor::{
    Arm, ArmAt, Floor, FloorWall, Junction, JunctionId, JunctionKind, Run, RunId,
};
use wall_model::{Format, Opening, OpeningKind, Storey, StoreyId, UnitsDecision, WallId};

/// Sixteenths of an inch.
fn t(n: i64) -> Length {
    Length::sixteenths(n)
}

fn source(entity: &str, layer: &str) -> SourceRef {
    SourceRef { entity: entity.to_owned(), layer: layer.to_owned() }
}

/// Sizes of the house: everything is derived from these.
struct Sizes {
    exterior: Section,
    interior: Section,
    /// Outer face to outer face.
    across: Length,
    deep: Length,
    clearance: Length,
    side_clearance: Length,
    bite: Length,
    joint: Length,
    board_ft: u32,
}

struct House {
    sizes: Sizes,
    runs: Vec<Run>,
    pieces: Vec<Piece>,
    numbers: [u32; 3],
}

/// A 24 x 16 ft rectangle of 2x6 with a 2x4 wall that tees into the south wall and stops free, a
/// door and a window. Runs: R1 west, R2 south, R3 north, R4 the 2x4, R5 east (canonical order: by
/// start point).
pub fn house() -> Document {
    build(Sizes {
        exterior: Section::S2X6,
        interior: Section::S2X4,
        across: Length::feet(24),
        deep: Length::feet(16),
        clearance: t(2),
        side_clearance: t(2),
        bite: Length::inches(2),
        joint: Length::feet(16),
        board_ft: 16,
    })
}

/// The same in millimetres, 7200 x 4800.
pub fn metric_house() -> Document {
    let section = |n| Section::from_name(n).unwrap();
    build(Sizes {
        exterior: section("38x140"),
        interior: section("38x89"),
        across: Length::mm(7200),
        deep: Length::mm(4800),
        clearance: Length::mm(3),
        side_clearance: Length::mm(3),
        bite: Length::mm(50),
        joint: Length::mm(4800),
        board_ft: 16,
    })
}

/// The house with its 2x4 wall at 45 degrees: its lower and bottom plates are bevelled to the south
/// wall's face, its upper plate is left out.
pub fn oblique() -> Document {
    let mut doc = house();
    let node = doc.floor.runs[3].start;
    let end = node + Point::new(Length::inches(80), Length::inches(80));
    doc.floor.runs[3].end = end;
    doc.floor.walls[3].end = end;
    doc.floor.junctions[3].at = end;
    doc.floor.junctions[2].angle_deg = 45.0;
    let frame = doc.floor.runs[3].frame();
    let length = node.distance(end);
    let half = Section::S2X4.width().half();
    // On the plate's left edge the wall's face lies nearer by half a plate, on the right one farther:
    // at 45 degrees the cotangent is 1.
    let face = Section::S2X6.width().half().scale(2.0_f64.sqrt());
    let (near, far) = (face - half, face + half);
    let corners = [(far, -half), (length, -half), (length, half), (near, half)];
    for p in doc.plan.pieces.iter_mut().filter(|p| p.run == RunId(3) && p.layer != Layer::Upper) {
        (p.from, p.to) = (near, length);
        p.length = p.to - p.from;
        p.printed = p.length.round_to(Length::SIXTEENTH);
        p.outline = corners.map(|(s, o)| frame.at(s, o)).to_vec();
        p.ends[0].cut_deg = 45.0;
    }
    let gone = doc.plan.pieces.iter().position(|p| p.mark == "U7").unwrap();
    doc.plan.pieces.remove(gone);
    doc.plan.ties.remove(2);
    doc.plan.pieces[8].notches.clear();
    doc.plan.pieces[8].outline.drain(3..7);
    let moved = |id: PieceId| PieceId(id.0 - u32::from(id.0 > gone as u32));
    doc.boards.retain(|b| b.cuts != [PieceId(gone as u32)]);
    doc.boards.iter_mut().flat_map(|b| &mut b.cuts).for_each(|id| *id = moved(*id));
    doc.plan.ties.iter_mut().flat_map(|t| &mut t.pieces).for_each(|id| *id = moved(*id));
    doc
}

/// The house turned about its origin by an angle in degrees; nothing but the points change.
pub fn turned(degrees: f64) -> Document {
    let mut doc = house();
    let (sin, cos) = degrees.to_radians().sin_cos();
    let frame = geom::Frame::along(Point::default(), (cos, sin));
    let turn = |p: &mut Point| *p = frame.at(p.x, p.y);
    for w in &mut doc.floor.walls {
        [&mut w.start, &mut w.end].into_iter().for_each(turn);
    }
    for r in &mut doc.floor.runs {
        [&mut r.start, &mut r.end].into_iter().for_each(turn);
    }
    doc.floor.junctions.iter_mut().for_each(|j| turn(&mut j.at));
    doc.plan.pieces.iter_mut().flat_map(|p| &mut p.outline).for_each(turn);
    doc
}

/// The house with a stranger's strings wherever a drawing can put one.
pub fn hostile() -> Document {
    let mut doc = house();
    let bad = "\"><script>alert('x')</script>\u{1f3da}\u{202e} \u{5d1}\u{5d9}\u{5ea} &amp; \t=1+1";
    doc.source.file = format!("{bad}.dxf");
    doc.source.written_by = bad.to_owned();
    doc.source.units.decided_by = bad.to_owned();
    doc.floor.storeys[0].name = bad.repeat(20);
    doc.plan.pieces[0].mark = "=HYPERLINK(\"http://example.invalid\",\"x\")".to_owned();
    doc.plan.pieces[1].mark = bad.to_owned();
    doc.findings.push(
        Finding::new(REPAIRED, bad).about(bad).from(&[source(bad, bad)]).at(Point::default()),
    );
    doc.ledger.ignore(bad, bad);
    doc.plan.rules.push(RuleNote { text: bad.to_owned(), source: bad.to_owned() });
    doc.plan.fasteners.push(Fastener { nail: bad.to_owned(), count: 1, purpose: bad.to_owned() });
    doc.plan.ties[0].hardware = bad.to_owned();
    doc.settings.rules = bad.to_owned();
    doc.sort_findings();
    doc
}

fn build(sizes: Sizes) -> Document {
    let (ew, iw) = (sizes.exterior.width(), sizes.interior.width());
    let (w, d) = (sizes.across - ew, sizes.deep - ew); // between centrelines
    let (zero, stem_x, stem_top) = (Length::ZERO, w.half(), d.half());
    let p = Point::new;
    let top = Length::sixty_fourths(97 * 64 + 8);
    let run = |start, end, section, walls: Vec<u32>, a: u32, b: u32, through| Run {
        storey: StoreyId(0),
        start,
        end,
        section,
        base: zero,
        top,
        rise: Length::ZERO,
        walls,
        start_junction: JunctionId(a),
        end_junction: JunctionId(b),
        through,
    };
    // Junctions by place: J1 south-west, J2 north-west, J3 the tee, J4 free end, J5 south-east, J6
    // north-east.
    let runs = vec![
        run(p(zero, zero), p(zero, d), sizes.exterior, vec![0], 0, 1, vec![]),
        run(
            p(zero, zero),
            p(w, zero),
            sizes.exterior,
            vec![1, 4],
            0,
            4,
            vec![(stem_x, JunctionId(2))],
        ),
        run(p(zero, d), p(w, d), sizes.exterior, vec![2], 1, 5, vec![]),
        run(p(stem_x, zero), p(stem_x, stem_top), sizes.interior, vec![3], 2, 3, vec![]),
        run(p(w, zero), p(w, d), sizes.exterior, vec![5], 4, 5, vec![]),
    ];
    let mut h = House { sizes, runs, pieces: Vec::new(), numbers: [0; 3] };
    let (half, gap, bite) = (ew.half(), h.sizes.clearance, h.sizes.bite);
    let joint = h.sizes.joint - half; // station on a run across of a joint `joint` from the face
    let (west, south, north, stem, east) = (RunId(0), RunId(1), RunId(2), RunId(3), RunId(4));

    // Lower and bottom: runs across carry through to the outer faces, the others butt. Upper: the
    // roles swap.
    for layer in [Layer::Bottom, Layer::Lower] {
        for r in [west, east] {
            h.piece(r, layer, half, d - half, [Against::Run(south), Against::Run(north)]);
        }
        for r in [south, north] {
            h.piece(r, layer, -half, joint, [Against::Open, Against::SameRun]);
            h.piece(r, layer, joint, w + half, [Against::SameRun, Against::Open]);
        }
        h.piece(stem, layer, half, stem_top, [Against::Run(south), Against::Open]);
    }
    for r in [west, east] {
        h.piece(r, Layer::Upper, -half, d + half, [Against::Open, Against::Open]);
    }
    let break_at = joint - Length::feet(5);
    for r in [south, north] {
        h.piece(r, Layer::Upper, half + gap, break_at, [Against::Run(west), Against::SameRun]);
        h.piece(r, Layer::Upper, break_at, w - half - gap, [Against::SameRun, Against::Run(east)]);
    }
    h.bite(south, stem_x, iw);
    h.piece(
        stem,
        Layer::Upper,
        half - bite + gap,
        stem_top,
        [Against::Notch(south), Against::Open],
    );
    h.document(w, d, stem_x, stem_top, joint, break_at, iw)
}

impl House {
    fn piece(&mut self, run: RunId, layer: Layer, from: Length, to: Length, meets: [Against; 2]) {
        let section = self.runs[run.0 as usize].section;
        let frame = self.runs[run.0 as usize].frame();
        let half = section.width().half();
        let corners = [(from, -half), (to, -half), (to, half), (from, half)];
        let number = &mut self.numbers[layer as usize];
        *number += 1;
        let letter = ["B", "L", "U"][layer as usize];
        let spacing = Length::inches(16);
        let studs = (1..).map(|i| spacing * i).take_while(|s| *s < to - from);
        let marks: Vec<Mark> = studs.map(|at| Mark { at, kind: MarkKind::Stud }).collect();
        let nails = if layer == Layer::Upper {
            let spot = |m: &Mark| NailSpot {
                at: m.at,
                count: 2,
                nail: "16d common".into(),
                into_floor: false,
            };
            marks.iter().map(spot).collect()
        } else {
            vec![]
        };
        let grid = if section.is_metric() { Length::mm(1) } else { Length::SIXTEENTH };
        let length = to - from;
        let printed =
            if layer == Layer::Upper { length.floor_to(grid) } else { length.round_to(grid) };
        self.pieces.push(Piece {
            mark: format!("{letter}{number}"),
            run,
            storey: StoreyId(0),
            layer,
            section,
            from,
            to,
            outline: corners.map(|(s, o)| frame.at(s, o)).to_vec(),
            length,
            printed,
            z: Length::inches([0, 94, 95][layer as usize]),
            rake: None,
            ends: meets.map(|against| PieceEnd { cut_deg: 90.0, tilt_deg: 90.0, against }),
            notches: vec![],
            marks,
            nails,
        });
    }

    /// Takes the bite for the stem out of the upper piece of the run at that station.
    fn bite(&mut self, run: RunId, at: Length, stem_width: Length) {
        let frame = self.runs[run.0 as usize].frame();
        let half = stem_width.half() + self.sizes.side_clearance;
        let depth = self.sizes.bite;
        let piece = self
            .pieces
            .iter_mut()
            .find(|p| {
                p.run == run && p.layer == Layer::Upper && p.from < at - half && at + half < p.to
            })
            .unwrap();
        let edge = piece.section.width().half();
        let (a, b) = (at - half, at + half);
        let bite = [(b, edge), (b, edge - depth), (a, edge - depth), (a, edge)]
            .map(|(s, o)| frame.at(s, o));
        piece.outline.splice(3..3, bite);
        piece.notches.push(Notch {
            from: a - piece.from,
            to: b - piece.from,
            depth,
            side: Side::Left,
            stem: RunId(3),
        });
    }

    #[allow(clippy::too_many_arguments)]
    fn document(
        mut self,
        w: Length,
        d: Length,
        stem_x: Length,
        stem_top: Length,
        joint: Length,
        break_at: Length,
        iw: Length,
    ) -> Document {
        self.pieces.sort_by_key(|p| (p.run, p.layer, p.from));
        let p = Point::new;
        let zero = Length::ZERO;
        let wall = |run: u32, start, end, section: Section, exterior, openings| FloorWall {
            storey: StoreyId(0),
            start,
            end,
            drawn_thickness: section.width() + Length::inches(1),
            section,
            base: zero,
            top: self.runs[0].top,
            rise: Length::ZERO,
            exterior,
            bearing: exterior.then_some(true),
            run: RunId(run),
            openings,
            source: vec![source(&format!("{:X}", 0x2F0 + run), "A-WALL")],
            wall: WallId(run),
        };
        let opening = |kind, from: i64, to: i64| Opening {
            kind,
            from: Length::inches(from),
            to: Length::inches(to),
            source: vec![source("3A1", "A-DOOR")],
        };
        let (ext, int) = (self.sizes.exterior, self.sizes.interior);
        let walls = vec![
            wall(0, p(zero, zero), p(zero, d), ext, true, vec![]),
            wall(
                1,
                p(zero, zero),
                p(stem_x, zero),
                ext,
                true,
                vec![opening(OpeningKind::Door, 40, 76)],
            ),
            wall(2, p(zero, d), p(w, d), ext, true, vec![opening(OpeningKind::Window, 100, 148)]),
            wall(3, p(stem_x, zero), p(stem_x, stem_top), int, false, vec![]),
            wall(1, p(stem_x, zero), p(w, zero), ext, true, vec![]),
            wall(4, p(w, zero), p(w, d), ext, true, vec![]),
        ];
        let arm = |run: u32, at| Arm { run: RunId(run), at };
        let junction = |at, kind, angle_deg, arms| Junction {
            storey: StoreyId(0),
            at,
            kind,
            arms,
            angle_deg,
            step: zero,
        };
        use ArmAt::{End, Start, Through};
        use JunctionKind::{L, T};
        let junctions = vec![
            junction(p(zero, zero), L, 90.0, vec![arm(0, Start), arm(1, Start)]),
            junction(p(zero, d), L, 90.0, vec![arm(0, End), arm(2, Start)]),
            junction(p(stem_x, zero), T, 90.0, vec![arm(1, Through), arm(3, Start)]),
            junction(p(stem_x, stem_top), JunctionKind::End, 0.0, vec![arm(3, End)]),
            junction(p(w, zero), L, 90.0, vec![arm(1, End), arm(4, Start)]),
            junction(p(w, d), L, 90.0, vec![arm(2, End), arm(4, End)]),
        ];
        let find = |run: u32, layer, first: bool| {
            let mut of = self
                .pieces
                .iter()
                .enumerate()
                .filter(|(_, q)| q.run == RunId(run) && q.layer == layer);
            let found = if first { of.next() } else { of.next_back() };
            PieceId(found.unwrap().0 as u32)
        };
        let lap = |j: u32, upper, lower| Tie {
            junction: JunctionId(j),
            kind: TieKind::Lap,
            pieces: vec![upper, lower],
            overlap: ext.width(),
            hardware: String::new(),
        };
        let ties = vec![
            lap(0, find(0, Layer::Upper, true), find(1, Layer::Lower, true)),
            lap(1, find(0, Layer::Upper, true), find(2, Layer::Lower, true)),
            Tie {
                junction: JunctionId(2),
                kind: TieKind::Notch,
                pieces: vec![find(3, Layer::Upper, true), find(1, Layer::Lower, true)],
                overlap: self.sizes.bite - self.sizes.clearance,
                hardware: String::new(),
            },
            lap(4, find(4, Layer::Upper, true), find(1, Layer::Lower, false)),
            lap(5, find(4, Layer::Upper, true), find(2, Layer::Lower, false)),
        ];
        let stagger = joint - break_at;
        let joint_at = |run: u32, layer, at, offset| Joint {
            run: RunId(run),
            layer,
            at,
            half_gap: zero,
            kind: JointKind::Break,
            on_stud: layer == Layer::Lower,
            offset,
        };
        let joints = [1, 2]
            .into_iter()
            .flat_map(|r| {
                [
                    joint_at(r, Layer::Bottom, joint, None),
                    joint_at(r, Layer::Lower, joint, Some(stagger)),
                    joint_at(r, Layer::Upper, break_at, Some(stagger)),
                ]
            })
            .collect();
        let (boards, stock) = self.boards();
        let nails: u32 = self.pieces.iter().flat_map(|q| &q.nails).map(|n| n.count).sum();
        let plan = Plan {
            pieces: self.pieces,
            ties,
            joints,
            fasteners: vec![
                Fastener {
                    nail: "16d common".into(),
                    count: u64::from(nails),
                    purpose: "upper to lower plate, over studs".into(),
                },
                Fastener {
                    nail: "16d common".into(),
                    count: 20,
                    purpose: "laps at corners".into(),
                },
            ],
            rules: vec![
                RuleNote {
                    text: "End joints of the two top layers lie at least 24 in apart".into(),
                    source: "IRC 2021 R602.3.2".into(),
                },
                RuleNote {
                    text: "An upper plate stops 1/8 in short of what it meets".into(),
                    source: "common practice, no source".into(),
                },
            ],
            on_concrete: vec![],
        };
        let mut ledger = Ledger::default();
        (0..5).for_each(|_| ledger.use_one());
        (0..7).for_each(|i| ledger.ignore("layer not a wall layer: A-FURN", format!("4{i}")));
        let finding = Finding::new(
            SECTION_ASSUMED,
            "1 wall has no section in its layer name; its 4 1/2\" thickness is that of a 2x4.",
        )
        .about("W4")
        .at(p(stem_x + iw, stem_top))
        .from(&[source("2F3", "A-WALL")]);
        Document {
            source: SourceFile {
                file: "demo-house.dxf".into(),
                sha256: "0123456789abcdef".repeat(4),
                format: Format::Dxf,
                version: "AC1027 (R2013)".into(),
                written_by: "a demo".into(),
                units: UnitsDecision {
                    name: "in".into(),
                    inches_per_unit: 1.0,
                    decided_by: "$INSUNITS = 1 (inches); walls 6.5 in thick: plausible.".into(),
                },
            },
            settings: Settings::default(),
            overrides: None,
            origin_inches: (102.75, 2.75),
            floor: Floor {
                storeys: vec![Storey { name: "Ground floor".into(), elevation: zero }],
                walls,
                runs: self.runs,
                junctions,
            },
            plan,
            boards,
            stock,
            checked: vec![
                CheckLine {
                    item: 1,
                    what: "no two plates of a layer overlap".into(),
                    looked_at: 22,
                    breaches: 0,
                },
                CheckLine {
                    item: 2,
                    what: "lower plates cover the walls exactly".into(),
                    looked_at: 7,
                    breaches: 0,
                },
            ],
            findings: vec![finding],
            ledger,
            linework: Default::default(),
        }
    }

    /// One board a piece, and what is left of it: no good plan, but a true one.
    fn boards(&self) -> (Vec<Board>, Vec<SectionStock>) {
        let feet = self.sizes.board_ft;
        let length = Length::feet(i64::from(feet));
        let kerf = Length::sixteenths(2);
        let mut boards = Vec::new();
        for (i, p) in self.pieces.iter().enumerate() {
            boards.push(Board {
                section: p.section,
                treated: false,
                source: plan_model::BoardSource::Bought { length_ft: feet },
                cuts: vec![PieceId(i as u32)],
                offcut: (length - p.length - kerf).max(Length::ZERO),
            });
        }
        boards.sort_by_key(|b| (b.section, b.cuts.clone()));
        let mut stock = Vec::new();
        for section in [self.sizes.interior, self.sizes.exterior] {
            let used: Length =
                self.pieces.iter().filter(|p| p.section == section).map(|p| p.length).sum();
            let n = boards.iter().filter(|b| b.section == section).count() as u64;
            let bound = used.ceil_to(length);
            stock.push(SectionStock {
                treated: false,
                section,
                boards: n,
                on_hand: 0,
                cost: None,
                lower_bound_length: bound,
                lower_bound_boards: (bound.nm() / length.nm()) as u64,
                bought: length * n as i64,
                used,
            });
        }
        (boards, stock)
    }
}

/// A document with findings of every severity, a strap, a missing tie and a breach, to look at.
pub fn troubled() -> Document {
    let mut doc = house();
    let at = doc.floor.junctions[2].at;
    doc.findings.push(Finding::new(UNITS_CONFLICT, "Demo error at the tee.").about("J3").at(at));
    doc.findings.push(Finding::new(REPAIRED, "Line 1204 was read around.").about("line 1204"));
    doc.findings.push(
        Finding::new(REPAIRED, "Line 99 was read around.")
            .severity(diag::Severity::Note)
            .about("R5")
            .at(doc.floor.junctions[5].at),
    );
    let tie = |j, kind, hardware: &str| Tie {
        junction: JunctionId(j),
        kind,
        pieces: vec![PieceId(0), PieceId(1)],
        overlap: Length::ZERO,
        hardware: hardware.into(),
    };
    doc.plan.ties.push(tie(2, TieKind::Strap, "strap 1-1/4 x 18 in, 16 ga"));
    doc.plan.ties.push(tie(5, TieKind::Screw, "structural screw 6 in"));
    doc.plan.ties.push(tie(1, TieKind::None, ""));
    doc.checked[1].breaches = 1;
    doc.sort_findings();
    doc
}

/// Many walls, to see whether labels find room and how long writing takes: a 60 x 40 ft outline with
/// `inner` walls that stand on a 4 ft grid, some of them at 45 degrees. Plates are plain rectangles
/// from node to node, which is no plan to build by.
pub fn crowded(inner: u32) -> Document {
    let mut doc = house();
    let (zero, ft) = (Length::ZERO, |n: u32| Length::feet(i64::from(n)));
    let p = Point::new;
    let mut lines = vec![
        (p(zero, zero), p(zero, ft(40)), Section::S2X6),
        (p(zero, zero), p(ft(60), zero), Section::S2X6),
        (p(zero, ft(40)), p(ft(60), ft(40)), Section::S2X6),
        (p(ft(60), zero), p(ft(60), ft(40)), Section::S2X6),
    ];
    // A linear congruence (the constants are those of Numerical Recipes) scatters them the same way
    // every time.
    let mut seed = 1_u32;
    let mut next = |n: u32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 16) % n
    };
    for i in 0..inner {
        let (x, y, n) = (4 * next(12), 4 * next(7), 4 + 4 * next(3));
        let end = match i % 7 {
            0 => p(ft(x + n), ft(y + n)),
            1..4 => p(ft(x + n), ft(y)),
            _ => p(ft(x), ft(y + n)),
        };
        lines.push((p(ft(x), ft(y)), end, Section::S2X4));
    }
    lines.sort_by_key(|(a, b, _)| (*a, *b));
    lines.dedup();
    let sizes = Sizes {
        exterior: Section::S2X6,
        interior: Section::S2X4,
        across: ft(60),
        deep: ft(40),
        clearance: t(2),
        side_clearance: t(2),
        bite: Length::inches(2),
        joint: ft(16),
        board_ft: 16,
    };
    let mut h = House { sizes, runs: Vec::new(), pieces: Vec::new(), numbers: [0; 3] };
    (doc.floor.walls, doc.floor.junctions, doc.plan.ties) = (vec![], vec![], vec![]);
    for (i, (start, end, section)) in lines.into_iter().enumerate() {
        let (i, run) = (i as u32, RunId(i as u32));
        h.runs.push(Run {
            storey: StoreyId(0),
            start,
            end,
            section,
            base: zero,
            top: Length::inches(97),
            rise: Length::ZERO,
            walls: vec![i],
            start_junction: JunctionId(2 * i),
            end_junction: JunctionId(2 * i + 1),
            through: vec![],
        });
        for (at, arm_at) in [(start, ArmAt::Start), (end, ArmAt::End)] {
            let arms = vec![Arm { run, at: arm_at }];
            let kind = JunctionKind::End;
            let j = Junction { storey: StoreyId(0), at, kind, arms, angle_deg: 0.0, step: zero };
            doc.floor.junctions.push(j);
        }
        doc.floor.walls.push(FloorWall {
            storey: StoreyId(0),
            start,
            end,
            drawn_thickness: section.width(),
            section,
            base: zero,
            top: Length::inches(97),
            rise: Length::ZERO,
            exterior: section == Section::S2X6,
            bearing: None,
            run,
            openings: vec![],
            source: vec![source("2F", "A-WALL")],
            wall: WallId(i),
        });
        doc.plan.ties.push(Tie {
            junction: JunctionId(2 * i),
            kind: [TieKind::Lap, TieKind::Notch, TieKind::Strap][i as usize % 3],
            pieces: vec![],
            overlap: zero,
            hardware: String::new(),
        });
        let length = start.distance(end);
        for layer in Layer::ALL {
            let mut at = zero;
            while at < length {
                let to = (at + ft(16)).min(length);
                h.piece(run, layer, at, to, [Against::SameRun, Against::SameRun]);
                at = to;
            }
        }
    }
    (doc.boards, doc.stock) = h.boards();
    doc.floor.runs = h.runs;
    doc.plan.pieces = h.pieces;
    doc.plan.joints = vec![];
    let at = |i: u32| p(ft(4 * (i % 13) + 2), ft(4 * (i % 9)));
    for i in 0..15 {
        doc.findings.push(Finding::new(REPAIRED, format!("Demo {i}.")).at(at(i)).about("W1"));
    }
    doc.sort_findings();
    doc
}
