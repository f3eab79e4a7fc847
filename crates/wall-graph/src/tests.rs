use super::*;
use diag::codes::graph;
use diag::{Ledger, SourceRef};
use geom::{Length, Point};
use lumber::Section;
use proptest::prelude::*;
use std::collections::BTreeSet;
use wall_model::floor::{ArmAt, Junction, JunctionKind};
use wall_model::{Draft, DraftStorey, DraftWall, Format, UnitsDecision, Wall};

mod crowds;
mod gathering;

type W = ((f64, f64), (f64, f64), f64, f64); // start, end, width, top

fn model(walls: &[W]) -> WallModel {
    let mut ledger = Ledger::default();
    let walls = walls
        .iter()
        .enumerate()
        .map(|(i, (a, b, width, top))| {
            ledger.use_one();
            DraftWall {
                storey: 0,
                start_in: *a,
                end_in: *b,
                drawn_thickness_in: *width,
                section: match width {
                    4.0..11.5 => Section::S2X6,
                    11.5.. => Section::all().find(|s| s.name() == "2x12").unwrap(),
                    _ => Section::S2X4,
                },
                base_in: 0.0,
                top_in: *top,
                rise_in: 0.0,
                roof: None,
                exterior: None,
                bearing: None,
                openings: vec![],
                source: vec![SourceRef { entity: format!("{i:X}"), layer: "A-WALL".into() }],
            }
        })
        .collect();
    let units =
        UnitsDecision { name: "in".into(), inches_per_unit: 1.0, decided_by: String::new() };
    Draft {
        format: Format::Dxf,
        version: String::new(),
        written_by: String::new(),
        units,
        storeys: vec![DraftStorey { name: "Plan".into(), elevation_in: 0.0 }],
        walls,
        ledger,
    }
    .finish(settings::Mirror::None)
    .value
}

fn floor(walls: &[W]) -> Outcome<Floor> {
    build(&model(walls), &Settings::default())
}

fn kinds(f: &Floor) -> Vec<JunctionKind> {
    let mut k: Vec<_> = f.junctions.iter().map(|j| j.kind).collect();
    k.sort();
    k
}

fn w(x0: f64, y0: f64, x1: f64, y1: f64) -> W {
    ((x0, y0), (x1, y1), 3.5, 97.125)
}

fn rectangle() -> Vec<W> {
    vec![w(0., 0., 288., 0.), w(288., 0., 288., 192.), w(288., 192., 0., 192.), w(0., 192., 0., 0.)]
}

use JunctionKind::*;

/// The two ways to the junctions agree.
fn same_junctions(m: &WallModel) {
    let settings = Settings::default();
    let floor = build(m, &settings).value;
    let found = meetings(m, &settings).value;
    let of = |j: &wall_model::floor::Junction| (j.storey, j.at, j.kind);
    let junctions: Vec<_> = floor.junctions.iter().map(of).collect();
    assert_eq!(found.iter().map(|m| (m.storey, m.at, m.kind)).collect::<Vec<_>>(), junctions);
    for (m, j) in found.iter().zip(&floor.junctions) {
        assert!((m.angle_deg - j.angle_deg).abs() < 0.01, "{m:?} {j:?}");
    }
}

#[test]
fn rectangle_with_a_tee() {
    let mut walls = rectangle();
    walls.push(w(120., 0., 120., 192.));
    let f = floor(&walls).value;
    assert_eq!(f.runs.len(), 5);
    assert_eq!(kinds(&f), [L, L, L, L, T, T]);
    assert!(f.walls.iter().filter(|w| w.exterior).count() == 4);
    let bottom = f.runs.iter().find(|r| r.start.y == r.end.y && r.start.y == Length::ZERO).unwrap();
    assert_eq!(bottom.length(), Length::inches(288));
    assert_eq!(bottom.through.len(), 1);
    assert_eq!(bottom.through[0].0, Length::inches(120));
}

#[test]
fn stem_drawn_to_a_face_and_corners_drawn_short_come_to_the_centrelines() {
    // Ends 1.75 in short of the centreline, as a stem drawn to the near face; corner with a gap.
    let walls = [
        w(0., 0., 288., 0.),
        w(120., 1.75, 120., 94.25),
        w(288.2, 1.6, 288.2, 96.),
        w(-0.1, 96., 288., 96.),
    ];
    let f = floor(&walls).value;
    assert_eq!(kinds(&f), [L, L, T, T, End, End]);
    let stem =
        f.runs.iter().find(|r| r.start.x == r.end.x && r.start.x < Length::inches(200)).unwrap();
    assert_eq!(stem.length(), Length::inches(96));
}

#[test]
fn four_walls_or_two_make_the_same_cross() {
    let two = floor(&[w(0., 50., 100., 50.), w(50., 0., 50., 100.)]).value;
    let four =
        floor(&[w(0., 50., 48.25, 50.), w(51.75, 50., 100., 50.), w(50., 0., 50., 100.)]).value;
    assert_eq!(kinds(&two), [X, End, End, End, End]);
    assert_eq!(kinds(&four), kinds(&two));
    assert_eq!(two.runs, {
        // The cross drawn in three walls has one wall more, but the same runs.
        let mut runs = four.runs.clone();
        runs.iter_mut().zip(&two.runs).for_each(|(a, b)| a.walls = b.walls.clone());
        runs
    });
}

#[test]
fn height_step_and_width_change_in_line() {
    let f = floor(&[
        ((0., 0.), (100., 0.), 3.5, 97.125),
        ((100., 0.), (200., 0.), 3.5, 121.125),
        ((200., 0.), (300., 0.), 5.5, 121.125),
    ])
    .value;
    assert_eq!(kinds(&f), [Inline, Inline, End, End]);
    assert_eq!(f.runs.len(), 3);
    let steps: Vec<_> = f.junctions.iter().map(|j| j.step).collect();
    assert!(steps.contains(&Length::inches(24)));
}

/// A level wall goes on as one that rises from its height: no plate runs on from the one to the other.
#[test]
fn a_rake_begins_a_run() {
    let mut m = model(&[w(0., 0., 100., 0.), w(100., 0., 200., 0.)]);
    assert_eq!(build(&m, &Settings::default()).value.runs.len(), 1);
    m.walls[1].rise = Length::inches(50);
    assert_eq!(build(&m, &Settings::default()).value.runs.len(), 2);
}

/// Two walls on one slope are one run, as two level ones are; an inch off it, the second begins its own.
#[test]
fn a_run_goes_on_up_one_slope() {
    let runs = |off: i64| {
        let mut m = model(&[w(0., 0., 100., 0.), w(100., 0., 200., 0.)]);
        m.walls.iter_mut().for_each(|w| w.rise = Length::inches(25));
        m.walls[1].top += Length::inches(25 + off);
        same_junctions(&m);
        build(&m, &Settings::default()).value.runs
    };
    let [run] = &runs(0)[..] else { panic!("more than one run") };
    assert_eq!((run.length(), run.rise), (Length::inches(200), Length::inches(50)));
    assert_eq!(runs(1).len(), 2);
}

/// Two walls that cross in their middles, as high there: by hand, one that rises stops at a level one, and of two that rise the
/// one that is more nearly along y stops.
#[test]
fn of_two_walls_as_high_that_cross_the_level_one_goes_on() {
    for (rise, along_x_goes_on) in [([0, 24], true), ([24, 0], false), ([24, 24], true)] {
        // By number the one along x is the first.
        let mut m = model(&[w(0., 50., 100., 50.), w(50., 0., 50., 100.)]);
        for (wall, rise) in m.walls.iter_mut().zip(rise) {
            wall.rise = Length::inches(rise);
            wall.top = Length::inches(97 - rise / 2);
        }
        same_junctions(&m);
        let f = build(&m, &Settings::default()).value;
        assert_eq!(f.runs.len(), 3, "{rise:?}");
        let whole = f.runs.iter().find(|r| r.length() == Length::inches(100));
        let along_x = whole.map(|r| r.start.y == r.end.y);
        assert_eq!(along_x, Some(along_x_goes_on), "{rise:?}");
    }
}

/// 2467 mm and 97.125 in differ by half a thousandth of an inch.
#[test]
fn tops_that_no_tape_tells_apart_are_one() {
    let house = |top: f64| {
        let mut walls = rectangle();
        walls[1].3 = top;
        walls.push(w(120., 0., 120., 192.));
        walls[4].3 = top;
        walls
    };
    for (top, told) in [(97.125 + 1e-7, 0), (2467.0 / 25.4, 0), (97.1265, 1), (97.0625, 1)] {
        let f = floor(&house(top));
        assert!(f.value.junctions.iter().all(|j| j.step == Length::ZERO), "{top}");
        let tops: BTreeSet<Length> = f.value.runs.iter().map(|r| r.top).collect();
        assert_eq!(tops.into_iter().collect::<Vec<_>>(), [Length::from_inches(97.125).unwrap()]);
        let found = f.findings.iter().filter(|f| f.code == graph::HEIGHTS_LEVELLED).count();
        assert_eq!(found, told, "{top}: {:?}", f.findings);
        same_junctions(&model(&house(top)));
    }
    // Feet as tops.
    let mut m = model(&rectangle());
    m.walls[1].base = Length::sixty_fourths(1);
    let f = build(&m, &Settings::default());
    assert!(f.value.runs.iter().all(|r| r.base == Length::ZERO));
    assert_eq!(f.findings.iter().filter(|f| f.code == graph::HEIGHTS_LEVELLED).count(), 1);
    let step = floor(&house(97.25)).value;
    assert_eq!(step.junctions.iter().filter(|j| j.step != Length::ZERO).count(), 4);
}

#[test]
fn a_taller_wall_that_crosses_stops_the_lower_run() {
    let f = floor(&[((0., 50.), (100., 50.), 3.5, 97.125), ((50., 0.), (50., 100.), 3.5, 121.125)]);
    let f = f.value;
    assert_eq!(f.runs.len(), 3);
    assert_eq!(kinds(&f), [X, End, End, End, End]);
    let x = f.junctions.iter().find(|j| j.kind == X).unwrap();
    assert_eq!(x.arms.iter().filter(|a| a.at == ArmAt::Through).count(), 1);
}

#[test]
fn drawn_twice_is_planned_once() {
    let out = floor(&[w(0., 0., 100., 0.), w(0., 0., 100., 0.), w(60., 0.1, 160., 0.1)]);
    assert_eq!(out.value.runs.len(), 1);
    assert_eq!(out.value.walls[0].source.len(), 3);
    assert_eq!(out.value.runs[0].length(), Length::inches(160));
    assert!(out.findings.iter().any(|f| f.code == diag::codes::graph::WALLS_MERGED));
}

/// A door from 20 to 56 in of a wall stays where it is when the wall is joined with one that begins 50 in before it, and when its
/// beginning is a change of width that is brought an inch along it: by hand, 70 and 19 in from the beginning then.
#[test]
fn a_door_stays_where_it_is_when_its_wall_begins_elsewhere() {
    let door = |walls: &[W]| {
        let mut m = model(walls);
        let (kind, source) = (wall_model::OpeningKind::Door, vec![]);
        let [from, to] = [20, 56].map(Length::inches);
        let wall = m.walls.iter_mut().find(|w| w.source[0].entity == "0").unwrap();
        wall.openings.push(wall_model::Opening { kind, from, to, source });
        let f = build(&m, &Settings::default()).value;
        let all: Vec<_> = f.walls.iter().flat_map(|w| &w.openings).collect();
        all.iter().map(|o| (o.from.to_inches(), o.to.to_inches())).collect::<Vec<_>>()
    };
    let wall = w(0., 0., 100., 0.);
    assert_eq!(door(&[wall]), [(20., 56.)]);
    assert_eq!(door(&[wall, w(-50., 0., 10., 0.)]), [(70., 106.)]);
    let wide = ((-80., 0.), (0., 0.), 5.5, 97.125);
    assert_eq!(door(&[wall, wide, w(1., 0., 1., 90.)]), [(19., 55.)]);
}

/// A wall drawn a hair off upright, from its upper end: squared, it begins at its lower one, and a door from 20 to 56 in of its
/// 100 in lies from 44 to 80 in.
#[test]
fn a_door_of_a_wall_that_is_turned_round_stays_where_it_is() {
    let mut m = model(&[w(0., 100., 0.05, 0.), w(0.05, 0., 200., 0.)]);
    let (kind, source) = (wall_model::OpeningKind::Door, vec![]);
    let [from, to] = [20, 56].map(Length::inches);
    m.walls[0].openings.push(wall_model::Opening { kind, from, to, source });
    assert!(m.walls[0].start.y > m.walls[0].end.y);
    let f = build(&m, &Settings::default()).value;
    let wall = f.walls.iter().find(|w| !w.openings.is_empty()).unwrap();
    assert!(wall.start.x == wall.end.x && wall.start.y < wall.end.y);
    let [from, to] = [wall.openings[0].from, wall.openings[0].to].map(|l| l.to_inches());
    assert!((from - 44.).abs() < 0.01 && (to - 80.).abs() < 0.01, "{from} {to}");
}

/// A wall drawn a hair off upright from above, over another from below: its door, from 20 to 56 in of its 100 in, lies from 104 to 140 in of
/// the 160 in that both make.
#[test]
fn a_door_of_a_wall_that_is_joined_with_one_drawn_the_other_way_stays_where_it_is() {
    let mut m = model(&[w(0., 0., 0.05, 100.), w(0., 160., 0.05, 60.), w(0.05, 0., 300., 0.)]);
    let (kind, source) = (wall_model::OpeningKind::Door, vec![]);
    let [from, to] = [20, 56].map(Length::inches);
    m.walls[1].openings.push(wall_model::Opening { kind, from, to, source });
    let f = build(&m, &Settings::default()).value;
    let wall = f.walls.iter().find(|w| !w.openings.is_empty()).unwrap();
    assert!(
        wall.start.y == Length::ZERO
            && (wall.end.y - Length::inches(160)).abs() < Length::SIXTEENTH
    );
    let [from, to] = [wall.openings[0].from, wall.openings[0].to].map(|l| l.to_inches());
    assert!((from - 104.).abs() < 0.06 && (to - 140.).abs() < 0.06, "{from} {to}");
}

/// A shed in the yard of an L-shaped house is outside, though between the house's outermost walls; a court in a room is not.
#[test]
fn a_shed_in_a_yard_is_outside_and_a_court_in_a_room_is_not() {
    let ring = |corners: &[(f64, f64)]| {
        let next = corners.iter().cycle().skip(1);
        corners.iter().zip(next).map(|(a, b)| (*a, *b, 3.5, 97.125)).collect::<Vec<W>>()
    };
    let house = ring(&[(0., 0.), (300., 0.), (300., 100.), (100., 100.), (100., 300.), (0., 300.)]);
    let square = |x: f64, y: f64| ring(&[(x, y), (x + 40., y), (x + 40., y + 40.), (x, y + 40.)]);
    for (other, outside) in [(square(200., 200.), 10), (square(30., 30.), 6)] {
        let f = floor(&[house.clone(), other].concat()).value;
        assert_eq!(f.walls.iter().filter(|w| w.exterior).count(), outside);
    }
}

#[test]
fn walls_inside_others_are_left_out_with_a_finding() {
    let out = floor(&[w(0., 0., 200., 0.), w(20., 1.5, 120., 1.5)]);
    assert_eq!(out.value.walls.len(), 1);
    assert!(out.findings.iter().any(|f| f.code == diag::codes::graph::WALLS_OVERLAP));
    // The shorter one goes, also where it comes first.
    let out = floor(&[w(-10., 1.5, 90., 1.5), w(0., 0., 200., 0.)]);
    let left: Vec<Length> = out.value.runs.iter().map(|r| r.length()).collect();
    assert_eq!(left, [Length::inches(200)]);
    // A jog of 2 in between two walls has no plates of its own.
    let out = floor(&[w(0., 0., 100., 0.), w(100., 0., 100., 2.), w(100., 2., 200., 2.)]);
    assert_eq!(out.value.walls.len(), 2);
    assert!(out.findings.iter().any(|f| f.code == diag::codes::graph::WALL_SWALLOWED));
}

/// By hand: of a 2x4 jog the walls beside it keep what reaches its centreline, half of 3-1/2 in short of the outer corner, and
/// lie beside each other's lines. 2 in apart their ends share 1-1/2 in and are tied; any farther, nothing ties them. A
/// stub inside a wall's thickness leaves all as it was.
#[test]
fn a_jog_left_out_leaves_two_walls_end_to_end() {
    let told = |walls: &[W]| {
        let out = floor(walls);
        let swallowed = |f: &&Finding| f.code == diag::codes::graph::WALL_SWALLOWED;
        let found: Vec<Finding> = out.findings.iter().filter(swallowed).cloned().collect();
        assert_eq!(found.len(), 1, "{walls:?}");
        (found[0].severity, found[0].message.clone())
    };
    let jog = |by: f64| [w(0., 0., 100., 0.), w(100., 0., 100., by), w(100., by, 200., by)];
    let (severity, text) = told(&jog(2.));
    assert_eq!(severity, diag::Severity::Warning);
    assert!(text.contains("1 3/4\" short of its outer face, and are tied there"), "{text}");
    assert_eq!(kinds(&floor(&jog(2.)).value), [Inline, End, End]);
    let (severity, text) = told(&jog(2.25));
    assert_eq!(severity, diag::Severity::Error);
    assert!(text.contains("1 3/4\" short of its outer face, and nothing ties them"), "{text}");
    assert_eq!(kinds(&floor(&jog(2.25)).value), [End; 4]);
    let stub = [w(0., 0., 200., 0.), w(100., 0., 100., 1.77)];
    assert_eq!(told(&stub).0, diag::Severity::Warning);
    // Two that do not go on beside each other are joined by no jog.
    let turned = [w(0., 0., 100., 0.), w(100., 0., 100., 2.), w(100., 2., 150., 80.)];
    assert!(!told(&turned).1.contains("the two walls it joined"));
    // Nor are two that lead back beside each other from it.
    let back = [w(0., 0., 100., 0.), w(100., 0., 100., 2.), w(0., 2., 100., 2.)];
    let (severity, text) = told(&back);
    assert_eq!(severity, diag::Severity::Warning);
    assert!(!text.contains("the two walls it joined"), "{text}");
    // Between two walls that meet it at one end, what ties is the other.
    let held = [w(0., 0., 100., 0.), w(100., -90., 100., 2.), w(100., 2., 200., 2.)];
    let out = floor(&held);
    assert!(out.findings.iter().all(|f| f.severity != diag::Severity::Error));
}

/// Two walls drawn end to end beside each other's lines: by hand, ends of 5-1/2 in that lie 4 in aside share 1-1/2 in and meet
/// there, each on its own line; of less it is told. Where the end of one goes to a third wall, it is told as well, and where
/// both do, that one ties them.
#[test]
fn ends_beside_each_other_meet_or_are_told_of() {
    let wide = |ax, ay, bx, by| ((ax, ay), (bx, by), 5.5, 97.125);
    let told = |walls: &[W]| {
        let out = floor(walls);
        let near = out.findings.iter().filter(|f| f.code == diag::codes::graph::NEAR_MISS);
        (kinds(&out.value), near.map(|f| f.message.clone()).collect::<Vec<_>>())
    };
    for aside in [0.5, 2., 4., -0.5, -4.] {
        let walls = [wide(0., 0., 120., 0.), wide(120., aside, 240., aside)];
        assert_eq!(told(&walls), (vec![Inline, End, End], vec![]), "{aside}");
        let runs = floor(&walls).value.runs;
        assert!(runs.iter().all(|r| r.start.y == r.end.y && r.length() == Length::inches(120)));
    }
    for (aside, words) in
        [(4.25, "4 1/4\" aside of its line: the two ends share 1 1/4\""), (-5.5, "share 0\"")]
    {
        let (kinds, said) = told(&[wide(0., 0., 120., 0.), wide(120., aside, 240., aside)]);
        assert_eq!(kinds, [End; 4]);
        assert!(said.len() == 1 && said[0].contains(words), "{said:?}");
    }
    assert_eq!(told(&[wide(0., 0., 120., 0.), wide(120., 6., 240., 6.)]).1.len(), 0);
    // Drawn with boards of 1/2 in on both sides, they are one wall with a jog as far as those touch.
    let boarded = |aside: f64| {
        told(&[((0., 0.), (120., 0.), 6.5, 97.125), ((120., aside), (240., aside), 6.5, 97.125)]).1
    };
    assert!(boarded(6.25)[0].contains("share 0\""), "{:?}", boarded(6.25));
    assert_eq!(boarded(6.75).len(), 0);
    let third = wide(120., 0., 120., -90.);
    let (_, said) = told(&[wide(0., 0., 120., 0.), wide(120., 3.5, 240., 3.5), third]);
    assert!(said.len() == 1 && said[0].contains("goes to wall 2 on A-WALL; drawn on"), "{said:?}");
    // Against a corner whose walls are drawn to their faces; and that wall drawn on, as told.
    let corner = |to: f64| {
        [
            wide(0., 0., to, 0.),
            wide(120., -1.929, 120., 110.),
            wide(120.984, -115., 120.984, -1.929),
        ]
    };
    for to in [117.025, 120.984] {
        assert_eq!(told(&corner(to)), (vec![L, T, End, End, End], vec![]), "{to}");
    }
    let between = wide(120., -90., 120., 90.);
    let (_, said) = told(&[wide(0., 0., 120., 0.), wide(120., 3., 240., 3.), between]);
    assert!(said.is_empty(), "{said:?}");
}

/// A stub 2-7/8 in long at 45 degrees to a 2x4: its centreline is clear of the wall, one of its edges is not.
/// By hand, along an edge the wall takes 1.75 / sin 45 + 1.75 / tan 45 = 4.22 in.
#[test]
fn a_stub_without_one_of_its_edges_is_left_out() {
    for (long, kept) in [(2.875, 1), (4.2, 1), (4.3, 2)] {
        let out = floor(&[w(244., -244., 0., 0.), w(0., 0., long, 0.)]);
        assert_eq!(out.value.walls.len(), kept, "{long}");
        let told = out.findings.iter().any(|f| f.code == diag::codes::graph::WALL_SWALLOWED);
        assert_eq!(told, kept == 1, "{long}");
    }
}

#[test]
fn oblique_corner_and_y() {
    let f = floor(&[w(0., 0., 100., 0.), w(100., 0., 160., 60.)]).value;
    let l = f.junctions.iter().find(|j| j.kind == L).unwrap();
    assert!((l.angle_deg - 135.0).abs() < 1e-6);
    let f = floor(&[w(0., 0., 100., 0.), w(100., 0., 150., 86.6), w(100., 0., 150., -86.6)]);
    assert!(f.value.junctions.iter().any(|j| j.kind == Other));
}

#[test]
fn an_open_outline_is_told_at_its_gap() {
    let told = |walls: &[W]| -> Vec<(String, Option<Point>)> {
        let found = floor(walls).findings.into_iter();
        found.filter(|f| f.code == graph::OUTLINE_OPEN).map(|f| (f.message, f.at)).collect()
    };
    // A wall that stands by itself has the outside on both sides and encloses nothing.
    let mut closed = rectangle();
    closed.push(w(500., 0., 500., 60.));
    assert_eq!(told(&closed), []);
    // A wall from one house to the other has the outside on both sides, and there are no free ends.
    let mut two = rectangle();
    two.extend(
        rectangle()
            .into_iter()
            .map(|(a, b, width, top)| ((a.0 + 400., a.1), (b.0 + 400., b.1), width, top)),
    );
    two.push(w(288., 60., 400., 60.));
    let [(message, Some(at))] = &told(&two)[..] else { panic!("{:?}", told(&two)) };
    assert!(message.contains("runs along both sides of R"), "{message}");
    assert_eq!(at.y, Length::inches(60));
    // The south wall is drawn in two parts, 96 in apart.
    let mut open = rectangle();
    open[0] = w(0., 0., 96., 0.);
    open.push(w(192., 0., 288., 0.));
    let [(message, Some(at))] = &told(&open)[..] else { panic!("{:?}", told(&open)) };
    assert!(
        message.contains("free ends of R2 and R4") && message.contains("8'-0\" apart"),
        "{message}"
    );
    assert_eq!(at.y, Length::ZERO);
    assert!([96.0, 192.0].contains(&at.x.to_inches()), "{at:?}");
}

#[test]
fn nearly_square_is_squared_and_nearly_met_is_told() {
    let out = floor(&[w(0., 0., 200., 0.1), w(200., 0., 200., 150.), w(100., 2.7, 100., 90.)]);
    let r = out.value.runs.iter().find(|r| r.length() == Length::inches(200)).unwrap();
    assert_eq!(r.start.y, r.end.y);
    let codes: Vec<_> = out.findings.iter().map(|f| f.code).collect();
    assert!(codes.contains(&diag::codes::graph::WALLS_SQUARED));
    // Also a quarter of a turn off the longest, and more than halfway to the next quarter.
    for lean in [0.1, -0.1] {
        let walls = [w(0., 0., 300., 0.), w(300., 0., 300. + lean, 150.), w(0., 0., lean, 140.)];
        let runs = floor(&walls).value.runs;
        let angle = |r: &wall_model::floor::Run| {
            let d = r.end - r.start;
            (d.y.to_inches()).atan2(d.x.to_inches())
        };
        let quarters = |r: &_| (angle(r) - angle(&runs[0])) / std::f64::consts::FRAC_PI_2;
        assert!(runs.iter().map(quarters).all(|q| (q - q.round()).abs() < 1e-8), "{lean}");
    }
    // 2.7 in from the centreline; reach is 1.75 + 0.375, reported up to 0.75 in further.
    assert!(
        out.findings.iter().any(|f| f.code == diag::codes::graph::NEAR_MISS),
        "{:?}",
        out.findings
    );
}

/// A gap of more than the tolerance at a corner, both walls ending there and nothing else in reach; and a thin
/// wall flush with the far face of a thick one, past the end of the wall it meets. The move is limited.
#[test]
fn corners_that_just_miss_are_closed() {
    let missed =
        |out: &Outcome<Floor>| out.findings.iter().any(|f| f.code == diag::codes::graph::NEAR_MISS);
    let corner = |gap: f64| vec![w(gap, 0., 100., 0.), w(0., 1.75, 0., 100.)];
    let flush = |gap: f64| {
        vec![
            ((0., gap), (0., 100.), 5.5, 97.125),
            ((0., 0.), (100., 0.), 5.5, 97.125),
            w(-100., -1., -2.75, -1.),
        ]
    };
    for (walls, expected) in
        [(corner(2.6), vec![L, End, End]), (flush(1.8), vec![T, End, End, End])]
    {
        let mut backwards = walls.clone();
        backwards.reverse();
        for walls in [walls, backwards] {
            let out = floor(&walls);
            assert_eq!(kinds(&out.value), expected);
            assert!(!missed(&out), "{:?}", out.findings);
            assert!(out.findings.iter().any(|f| f.code == diag::codes::graph::ENDS_JOINED));
            same_junctions(&model(&walls));
        }
    }
    // Farther off, or where the end is another wall's already.
    assert!(!kinds(&floor(&corner(3.0)).value).contains(&L));
    let mut held = corner(2.6);
    held.push(w(2.6, -50., 2.6, 0.));
    assert!(missed(&floor(&held)));
}

/// Two walls end against the side of a third one's end, one from above and one from below, their lines a little aside of each
/// other; the third is drawn to the nearer one's face. Once its end has been taken to that one's centreline, the other's
/// misses it by no more than they are aside: by hand, 2-3/4 in at most for 2x6, half a wall. Where it stops farther than
/// 3/4 in short of where ends are joined, no corner is made.
#[test]
fn a_wall_aside_of_a_corner_is_joined_to_it() {
    let wide = |ax, ay, bx, by| ((ax, ay), (bx, by), 5.5, 97.125);
    let corner = |aside: f64, gap: f64| {
        [
            wide(0., 0., 117.25 - gap, 0.),
            wide(120., 2.75, 120., 110.),
            wide(120. + aside, -115., 120. + aside, -2.75),
        ]
    };
    let orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    for (aside, gap, ends) in [
        (0.984, 0., 3),
        (0.984, 0.25, 3),
        (0.984, 1., 3),
        (2.75, 0., 3),
        (2.76, 0., 4),
        (3.3, 0., 4),
        (0.984, 1.2, 6),
    ] {
        let walls = corner(aside, gap);
        for order in orders {
            let walls = order.map(|i| walls[i]);
            let f = floor(&walls).value;
            let found = kinds(&f).iter().filter(|k| **k == End).count();
            assert_eq!(found, ends, "{aside} {gap} {order:?}");
            same_junctions(&model(&walls));
        }
    }
}

/// The same at a 2x12, within which the corner's place may lie farther aside than an end is joined over: by hand no more than
/// half the 2x4 and three times the tolerance of 3/8 in.
#[test]
fn a_wall_far_aside_of_a_corner_is_not_joined_to_it_within_a_thick_one() {
    for (aside, ends) in [(2.75, 3), (3.0, 4), (4.5, 4)] {
        let f = floor(&[
            w(0., 0., 114.25, 0.),
            ((120., 1.75), (120., 110.), 11.5, 97.125),
            w(120. + aside, -115., 120. + aside, -1.75),
        ]);
        assert_eq!(kinds(&f.value).iter().filter(|k| **k == End).count(), ends, "{aside}");
    }
    // To one that leans by 15 degrees it is a little more: (1-3/4 + 1-3/4 sin 15) / cos 15 and three times 3/8, 3.406 in.
    let lean = 15.0_f64.to_radians().tan();
    for (aside, ends) in [(3.25, 3), (3.5, 4)] {
        let at = |y: f64| (120. + aside + y * lean, y);
        let f = floor(&[
            w(0., 0., 114.25, 0.),
            ((120., 1.75), (120., 110.), 11.5, 97.125),
            (at(-100.), at(-1.75), 3.5, 97.125),
        ]);
        let found = kinds(&f.value).iter().filter(|k| **k == End).count();
        assert_eq!(found, ends, "{aside} leaning");
    }
}

/// A wall drawn in two pieces whose seam lies near a tee, with slips of an eighth: the tee stays where
/// the stem is.
#[test]
fn a_seam_near_a_tee_does_not_pull_it() {
    for sixteenths in -96..=96 {
        let seam = 100.0 + f64::from(sixteenths) / 16.0;
        for (slip, up) in [(0.0, 0.0), (0.125, 0.0), (0.125, 0.1), (-0.125, -0.1)] {
            let f =
                floor(&[w(0., 0., seam, 0.), w(seam + slip, up, 300., up), w(100., 0., 100., 90.)])
                    .value;
            assert_eq!(kinds(&f), [T, End, End, End], "{seam} {slip}");
            let t = f.junctions.iter().find(|j| j.kind == T).unwrap();
            let stem = f.runs.iter().find(|r| r.start.x == r.end.x).unwrap();
            assert!((t.at.x - stem.start.x).abs() <= Length::sixteenths(6), "{seam} {slip} {t:?}");
        }
    }
}

/// Both faces of the two walls are 2.75 above the wide one's centreline.
#[test]
fn faces_flush_in_line_stay_on_their_own_lines() {
    let f =
        floor(&[((0., 0.), (100., 0.), 5.5, 97.125), ((100., 1.), (220., 1.), 3.5, 97.125)]).value;
    assert_eq!(kinds(&f), [Inline, End, End]);
    assert!(f.runs.iter().all(|r| r.start.y == r.end.y && r.length() >= Length::inches(100)));
}

/// The 2x4 above and the 2x6 below meet the end of one wall an inch apart: one corner, from which the 2x4 above goes on
/// along its own centreline.
#[test]
fn flush_walls_at_the_end_of_a_third_meet_at_the_wider_ones_corner() {
    let f = floor(&[
        ((1., 0.), (1., 100.), 5.5, 97.125),
        ((1., 100.), (150., 100.), 3.5, 97.125),
        ((0., 101.75), (0., 200.), 3.5, 97.125),
    ])
    .value;
    assert_eq!(kinds(&f), [T, End, End, End]);
    let level = f.runs.iter().find(|r| r.start.y == r.end.y).unwrap();
    assert_eq!(level.length(), Length::inches(149));
    // More than a strip of it beside the wide one: two places.
    let f = floor(&[
        ((1., 0.), (1., 100.), 5.5, 97.125),
        ((1., 100.), (150., 100.), 3.5, 97.125),
        ((-1., 101.75), (-1., 200.), 3.5, 97.125),
    ])
    .value;
    assert_eq!(kinds(&f), [L, T, End, End, End]);
}

/// A stretch of 2x6 between two of 2x4 in one line is no corner.
#[test]
fn a_wider_stretch_in_a_wall_stays() {
    let f =
        floor(&[w(0., 0., 117., 0.), ((117., 0.), (193., 0.), 5.5, 97.125), w(193., 0., 400., 0.)])
            .value;
    assert_eq!(kinds(&f), [Inline, Inline, End, End]);
}

/// What cleaning changed is listed entity by entity with what is said of it.
#[test]
fn every_wall_that_is_changed_is_listed() {
    let out = floor(&[w(0., 0., 100., 0.), w(20., 0., 60., 0.), w(30., 0., 70., 0.)]);
    let of = |code| {
        let f = out.findings.iter().find(|f| f.code == code).unwrap();
        (f.message.clone(), f.source.len())
    };
    let (said, listed) = of(diag::codes::graph::WALLS_MERGED);
    assert!(said.starts_with("2 walls"), "{said}");
    assert_eq!(listed, 2);
    let out = floor(&[w(0., 0., 100., 0.), w(1.75, 50., 1.75, 90.), w(0., 1.75, 0., 90.)]);
    let f = out.findings.iter().find(|f| f.code == diag::codes::graph::ENDS_JOINED).unwrap();
    assert!(!f.source.is_empty(), "{f:?}");
}

#[test]
fn rotated_house_has_the_same_runs() {
    let mut walls = rectangle();
    walls.push(w(120., 0., 120., 192.));
    let turn = |p: (f64, f64)| {
        let (s, c) = 0.3_f64.sin_cos();
        (p.0 * c - p.1 * s + 4000.0, p.0 * s + p.1 * c - 7000.0)
    };
    let turned: Vec<W> = walls.iter().map(|w| (turn(w.0), turn(w.1), w.2, w.3)).collect();
    let f = floor(&turned).value;
    assert_eq!(kinds(&f), [L, L, L, L, T, T]);
    let mut lengths: Vec<_> =
        f.runs.iter().map(|r| r.length().round_to(Length::SIXTEENTH)).collect();
    lengths.sort();
    assert_eq!(lengths, [192, 192, 192, 288, 288].map(Length::inches));
}

/// Rooms on a grid, with slips smaller than the tolerance, in any order, forwards or backwards.
fn grid_house() -> impl Strategy<Value = (Vec<W>, Vec<W>)> {
    let n = 2..5_usize;
    (n.clone(), n, prop::collection::vec((-0.12..0.12_f64, any::<bool>()), 200), any::<u64>())
        .prop_map(|(cols, rows, slips, seed)| {
            let mut clean = Vec::new();
            let (x, y) = (cols as f64 * 120.0, rows as f64 * 96.0);
            for c in 0..=cols {
                clean.push(w(c as f64 * 120.0, 0.0, c as f64 * 120.0, y));
            }
            for r in 0..=rows {
                clean.push(w(0.0, r as f64 * 96.0, x, r as f64 * 96.0));
            }
            let mut k = 0;
            let mut slip = || {
                k = (k + 1) % slips.len();
                slips[k].0
            };
            let mut messy: Vec<W> = clean
                .iter()
                .map(|w| {
                    let a = (w.0.0 + slip(), w.0.1 + slip());
                    let b = (w.1.0 + slip(), w.1.1 + slip());
                    if slip() > 0.0 { (b, a, w.2, w.3) } else { (a, b, w.2, w.3) }
                })
                .collect();
            let mut s = seed;
            for i in (1..messy.len()).rev() {
                s = s.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                messy.swap(i, (s >> 33) as usize % (i + 1));
            }
            (clean, messy)
        })
}

/// A wall's end is not brought to a place beyond the next one along it: it would pass there, inches beside.
#[test]
fn an_end_does_not_jump_over_the_next_place() {
    let walls = [
        w(358.0, 140.0, 277.0, 234.0),
        w(205.0, 350.0, 378.0, 104.0),
        w(197.0, 270.0, 362.0, 139.0),
    ];
    let f = floor(&walls).value;
    for r in &f.runs {
        for (_, j) in &r.through {
            let off = r.frame().locate(f.junction(*j).at).1;
            assert!(off.abs() <= Settings::default().graph.snap, "{off:?}");
        }
    }
}

/// Walls in an order of memory that has nothing to do with their numbers.
fn shuffled<const SEED: u32>(_: &[Wall], mut numbers: Vec<u32>) -> Vec<u32> {
    numbers.sort_by_key(|i| (i + SEED).wrapping_mul(0x9E37_79B1));
    numbers
}

fn backwards(_: &[Wall], mut numbers: Vec<u32>) -> Vec<u32> {
    numbers.reverse();
    numbers
}

/// Where lines lie in memory shows nowhere, not in what is said either: number decides between equals.
fn same_wherever_they_lie(m: &WallModel) {
    let settings = Settings::default();
    let floor_of = |arrange: Arrange| build_arranged(m, &settings, &Watch::endless(), arrange);
    let meetings_of = |arrange: Arrange| meetings::meetings_arranged(m, &settings, arrange);
    let by_number: Arrange = |_, numbers| numbers;
    let (floor, meetings) = (floor_of(by_number), meetings_of(by_number));
    for arrange in [backwards, shuffled::<1>, shuffled::<20>, place::by_place as Arrange] {
        let (other, others) = (floor_of(arrange), meetings_of(arrange));
        assert_eq!((&floor.value, &floor.findings), (&other.value, &other.findings));
        assert_eq!((&meetings.value, &meetings.findings), (&others.value, &others.findings));
    }
}

/// So many walls that they are put in order of place: rooms exactly alike, so that number decides everywhere,
/// some walls drawn twice, some beside each other or just too short.
#[test]
fn many_walls_are_the_same_wherever_they_lie() {
    let mut walls = Vec::new();
    for room in 0..1200 {
        let (x, y) = (f64::from(room % 40) * 60.0, f64::from(room / 40) * 60.0);
        walls.push(w(x, y, x + 60.0, y));
        walls.push(w(x, y + 60.0, x, y));
        match room % 11 {
            0 => walls.push(w(x, y, x + 60.0, y)),
            1 => walls.push(w(x + 20.0, y + 1.0, x + 50.0, y + 1.0)),
            2 => walls.push(w(x + 30.0, y + 2.7, x + 30.0, y + 40.0)),
            _ => {}
        }
    }
    let m = model(&walls);
    assert!(m.walls.len() > 2048);
    let told = build(&m, &Settings::default()).findings;
    assert!(told.len() > 50, "{}", told.len());
    same_wherever_they_lie(&m);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn small_slips_and_order_do_not_change_the_junctions((clean, messy) in grid_house()) {
        same_junctions(&model(&messy));
        same_wherever_they_lie(&model(&messy));
        let (a, b) = (floor(&clean).value, floor(&messy).value);
        prop_assert_eq!(kinds(&a), kinds(&b));
        prop_assert_eq!(a.runs.len(), b.runs.len());
    }
    #[test]
    fn order_of_walls_does_not_show(
        raw in prop::collection::vec(((0..12_i32, 0..12_i32), (0..12_i32, 0..12_i32), any::<bool>(), any::<bool>()), 1..24),
        cut in 0..24_usize,
    ) {
        let walls: Vec<W> = raw.iter().map(|((a, b), (c, d), wide, tall)| {
            let p = |v: i32| f64::from(v) * 17.0;
            ((p(*a), p(*b)), (p(*c), p(*d)), if *wide { 5.5 } else { 3.5 }, if *tall { 121.125 } else { 97.125 })
        }).collect();
        let mut other = walls.clone();
        other.rotate_left(cut % walls.len());
        other.reverse();
        let strip = |walls: &[W]| {
            let mut f = floor(walls).value;
            // Handles follow the order of drawing here; geometry must not.
            f.walls.iter_mut().for_each(|w| { w.source.clear(); w.wall = wall_model::WallId(0) });
            f
        };
        prop_assert_eq!(strip(&walls), strip(&other));
        same_junctions(&model(&walls));
        same_wherever_they_lie(&model(&walls));
    }
    #[test]
    fn every_run_is_straight_and_every_junction_is_on_its_runs(
        raw in prop::collection::vec(((0..400_i32, 0..400_i32), (0..400_i32, 0..400_i32)), 1..20),
    ) {
        let walls: Vec<W> = raw.iter().map(|((a, b), (c, d))| {
            w(f64::from(*a), f64::from(*b), f64::from(*c), f64::from(*d))
        }).collect();
        same_wherever_they_lie(&model(&walls));
        let f = floor(&walls).value;
        let snap = Settings::default().graph.snap;
        for (i, r) in f.runs.iter().enumerate() {
            prop_assert!(r.start < r.end);
            let frame = r.frame();
            for (s, j) in &r.through {
                prop_assert!(*s > Length::ZERO && *s < r.length());
                let (_, off) = frame.locate(f.junction(*j).at);
                prop_assert!(off.abs() <= snap, "{off:?}");
                prop_assert!(f.junction(*j).arms.iter().any(|a| a.run.0 as usize == i && a.at == ArmAt::Through));
            }
            let total: Length = f.walls_of(wall_model::floor::RunId(i as u32)).map(|(_, w)| w.start.distance(w.end)).sum();
            prop_assert!((total - r.length()).abs() <= Length::from_nm(40));
        }
        let _ = Point::default();
    }
}

/// An end brought to a corner beside its own line crosses the corner's other wall only there.
#[test]
fn two_walls_meet_but_once() {
    let f = floor(&[
        w(183., 0., 61., 122.),
        w(182.0625, 0.9375, 243.0625, 0.9375),
        w(183., 0., 408.25, 85.5),
    ]);
    for (i, j) in f.value.junctions.iter().enumerate() {
        for other in &f.value.junctions[i + 1..] {
            let runs =
                |j: &wall_model::floor::Junction| j.arms.iter().map(|a| a.run).collect::<Vec<_>>();
            let mut both: Vec<_> =
                runs(j).into_iter().filter(|r| runs(other).contains(r)).collect();
            both.dedup();
            assert!(both.len() < 2, "{both:?}");
        }
    }
}

/// A 2x6 that goes on from a 2x4 at a face of the 2x4 they meet, or anywhere within its thickness (half is 1-3/4 in): all
/// change at its centreline, x = 100. Beyond its face the two are places of their own.
#[test]
fn a_change_of_width_within_a_wall_comes_to_its_centreline() {
    for (x, places) in
        [(98., 2), (98.25, 1), (99., 1), (99.75, 1), (100., 1), (101., 1), (101.75, 1), (102., 2)]
    {
        for stem in [w(100., 0., 100., 90.), w(100., -90., 100., 90.)] {
            let mut wide = w(x, 0., 200., 0.);
            wide.2 = 5.5;
            let out = floor(&[w(0., 0., x, 0.), wide, stem]);
            let there: Vec<&Junction> =
                out.value.junctions.iter().filter(|j| j.kind != End).collect();
            assert_eq!(there.len(), places, "{x} {there:?}");
            let told = out.findings.iter().any(|f| f.message.starts_with("A change of width"));
            assert_eq!(told, places == 1 && (x - 100.).abs() > 0.375, "{x}");
        }
    }
    // A wall that begins 9 in from the line, on either side, brings no change to it.
    for (from, to) in [(9., 90.), (-9., -90.)] {
        let mut wide = w(99., 0., 200., 0.);
        wide.2 = 5.5;
        let f = floor(&[w(0., 0., 99., 0.), wide, w(100., from, 100., to)]);
        assert!(f.findings.iter().all(|f| !f.message.starts_with("A change of width")));
        let lengths = f.value.runs.iter().map(|r| r.length().to_inches());
        assert!(lengths.filter(|l| *l == 99. || *l == 101.).count() == 2);
    }
}

/// One wall moves along its own line, several along theirs.
#[test]
fn ends_brought_to_walls_are_told_of_one_and_of_more() {
    let told = |walls: &[W]| {
        let out = floor(walls);
        let found = out.findings.iter().find(|f| f.code == graph::ENDS_JOINED);
        found.map(|f| f.message.clone()).unwrap_or_default()
    };
    let [line, stem] = [w(0., 0., 200., 0.), w(100., 1.75, 100., 90.)];
    let one = told(&[line, stem]);
    assert!(
        one.contains("along its own line to the framing centreline of the wall it meets"),
        "{one}"
    );
    let two = told(&[line, stem, w(150., 1.75, 150., 90.)]);
    assert!(two.contains("along their own lines") && two.contains("the wall they meet"), "{two}");
}

/// Two walls whose lines cross at 8.1 degrees beyond their ends, and a wide one 10 ft off: whether the two are joined is the same
/// with it and without.
#[test]
fn a_wide_wall_elsewhere_changes_no_corner() {
    let two =
        [w(549., 366., 915., 0.), ((534.078125, 374.625), (387.73125, 484.496875), 5.5, 97.125)];
    let ends = |walls: &[W]| {
        let f = floor(walls).value;
        f.junctions.iter().filter(|j| j.kind == End).count()
    };
    let far = |wide: f64| ((243.5625, 419.09375), (-122.4375, 785.09375), wide, 97.125);
    let with = |wide: f64| ends(&[two[0], two[1], far(wide)]);
    // Two ends are the far one's own.
    assert_eq!([3.5, 5.5, 9.25, 11.5].map(with), [ends(&two) + 2; 4]);
}
