//! What the sheets say of houses the planner planned: walls that cross, raked walls, windows across a ridge,
//! nails into the floor, holes drawn twice, opposite hands, titles and last pages.

use super::{Item, Paper, sample, sets};
use crate::font::Fonts;
use crate::layout::Layout;
use crate::nails::NailKey;
use crate::page::Page;
use crate::words::{Names, length};
use export::view::View;
use geom::Length;
use plan_model::{Document, Layer, MarkKind, Piece, run_name};
use platewright_tests::dxf::{self, Options};
use platewright_tests::house::{House, INCH, Kind, Opening, Ticks, Wall};
use wall_model::floor::RunId;

/// A wall by its ends in inches, and its windows by their stations.
type Line<'a> = (&'static str, [Ticks; 4], &'a [(Ticks, Ticks)]);

fn planned(lines: &[Line<'_>], settings: &str) -> Document {
    let wall = |(i, (layer, ends, windows)): (usize, &Line<'_>)| {
        let [x, y, u, v] = ends.map(|n| n * INCH);
        let long = (u - x).abs().max((v - y).abs());
        let at = |s: Ticks| (x + (u - x) * s * INCH / long, y + (v - y) * s * INCH / long);
        let opening =
            |(a, b): &(Ticks, Ticks)| Opening { kind: Kind::Window, from: at(*a), to: at(*b) };
        Wall {
            key: format!("wall {i}"),
            layer,
            from: (x, y),
            to: (u, v),
            section: if layer.contains("2X6") { "2x6" } else { "2x4" },
            top: platewright_tests::house::ORDINARY_TOP,
            exterior: layer.contains("EXTR"),
            bearing: false,
            in_outline: false,
            openings: windows.iter().map(opening).collect(),
        }
    };
    let walls = lines.iter().enumerate().map(wall).collect();
    let house = House { title: "TEST DRAWING, NOT A REAL PLAN", walls };
    let bytes = dxf::write(&house, Options { insunits: 1, origin: (0, 0) }).into_bytes();
    let settings = settings::parse::from_toml(settings, "test.toml").unwrap();
    let job = pipeline::Job {
        file_name: "house.dxf",
        bytes: bytes.as_slice().into(),
        settings: &settings,
    };
    pipeline::plan(job).unwrap()
}

const OUT: &str = "A-WALL-EXTR-2X4";
const IN: &str = "A-WALL-INTR-2X4";
const RAKE: &str = "A-WALL-EXTR-2X6";

/// Two walls that cross two others, in a rectangle.
fn crossed() -> Document {
    planned(
        &[
            (OUT, [0, 0, 480, 0], &[]),
            (OUT, [480, 0, 480, 360], &[]),
            (OUT, [480, 360, 0, 360], &[]),
            (OUT, [0, 360, 0, 0], &[]),
            (IN, [0, 120, 480, 120], &[]),
            (IN, [0, 240, 480, 240], &[]),
            (IN, [160, 0, 160, 360], &[]),
            (IN, [320, 0, 320, 360], &[]),
        ],
        "",
    )
}

/// Gables 20 ft wide under 6 in 12, a window across the ridge of the first.
fn gabled() -> Document {
    planned(
        &[
            (OUT, [0, 0, 360, 0], &[]),
            (OUT, [360, 240, 0, 240], &[]),
            (RAKE, [0, 0, 0, 240], &[(90, 150)]),
            (RAKE, [360, 0, 360, 240], &[(20, 60)]),
        ],
        "[[layers]]\nmatch = 'A-WALL-EXTR-2X6'\nuse = 'wall'\nexterior = true\nsection = '2x6'\nrise_in_12 = 6.0\nuphill = 'inward-y'\n",
    )
}

/// The words of every wall's layout.
fn layouts(doc: &Document) -> Vec<(RunId, String)> {
    let fonts = Fonts::new().unwrap();
    let view = View::of(doc).unwrap();
    let names = Names::of(doc, "", "");
    let book = crate::book::Book::new(&fonts, Paper::Letter, &names, "");
    let key = NailKey::of(doc);
    let of = |i: usize| {
        let run = RunId(i as u32);
        let ids: Vec<_> = view.pieces().filter(|(_, p)| p.run == run).map(|(id, _)| id).collect();
        let layout = Layout::of(&book, &view, run, &ids, key.joints_of(run))?;
        Some((run, layout.told().1))
    };
    (0..doc.floor.runs.len()).filter_map(of).collect()
}

fn lower(doc: &Document, run: RunId) -> Vec<&Piece> {
    doc.plan.pieces.iter().filter(|p| p.run == run && p.layer == Layer::Lower).collect()
}

fn told(at: Length) -> String {
    length(at, false).replace('\u{a0}', " ")
}

fn words(page: &Page) -> Vec<String> {
    let text = |i: &Item| match i {
        Item::Text { text, .. } => Some(text.replace('\u{a0}', " ")),
        _ => None,
    };
    page.items.iter().filter_map(text).collect()
}

/// Of a wall that is crossed both faces of the other wall are told, and no joint there.
#[test]
fn a_wall_that_crosses_is_no_joint() {
    let doc = crossed();
    let mut seen = 0;
    for (run, text) in layouts(&doc) {
        let pieces = lower(&doc, run);
        let zero = pieces[0].from;
        let breaks: Vec<_> = pieces.windows(2).filter(|p| p[0].to < p[1].from).collect();
        for pair in &breaks {
            let (stop, begin) = (pair[0].to - zero, pair[1].from - zero);
            assert_eq!(begin - stop, Length::sixteenths(56));
            let across = match pair[0].ends[1].against {
                plan_model::Against::Run(r) => run_name(r),
                other => panic!("{other:?}"),
            };
            let wanted =
                format!("{across}: stop at {}, begin again at {}", told(stop), told(begin));
            assert!(text.contains(&wanted), "{wanted}: {text}");
            let middle = told(stop + (begin - stop).half());
            assert!(!text.contains(&middle), "{middle}: {text}");
            // A stud flush with a face is told where the plan has one, and only there.
            let half = Length::sixteenths(12);
            let has = |p: &Piece, at: Length| {
                let stands = |k| matches!(k, MarkKind::Stud | MarkKind::Corner | MarkKind::King);
                p.marks
                    .iter()
                    .any(|m| stands(m.kind) && (p.from + m.at - at).denoise() == Length::ZERO)
            };
            let studs = [has(pair[0], pair[0].to - half), has(pair[1], pair[1].from + half)];
            let word = match studs {
                [true, true] => "a stud flush with either face",
                [true, false] => "a stud flush with its left face",
                [false, true] => "a stud flush with its right face",
                [false, false] => "no stud flush with its faces",
            };
            assert!(text.contains(word), "{word}: {text}");
            seen += 1;
        }
        assert_eq!(breaks.is_empty(), !text.contains("Walls that cross it"), "{text}");
    }
    assert!(seen >= 4, "{seen}");
    // Nor on the plates above, nor as a heavy tick on the plan.
    let key = NailKey::of(&doc);
    let view = View::of(&doc).unwrap();
    let above: Vec<String> = view.pieces().map(|(id, p)| key.told(id, p)).collect();
    assert!(above.iter().any(|t| t.contains("over the plates of the wall that crosses at")));
}

/// Studs that are in the plan at both faces of a crossing wall are told there, and not as others.
#[test]
fn studs_at_a_crossing_wall_follow_from_the_marks() {
    let mut doc = crossed();
    let half = Length::sixteenths(12);
    for p in doc.plan.pieces.iter_mut().filter(|p| p.layer != Layer::Upper) {
        let studs = [half, p.to - p.from - half];
        p.marks.retain(|m| studs.iter().all(|s| (*s - m.at).abs() >= half * 2));
        p.marks.extend(studs.map(|at| plan_model::Mark { at, kind: MarkKind::Stud }));
    }
    for (_, text) in layouts(&doc) {
        assert!(text.contains("A stud flush with each end."), "{text}");
        assert!(!text.contains("no stud flush") && !text.contains("none at its"), "{text}");
    }
}

/// A raked wall is marked along its slope, and its heights are told where its length is.
#[test]
fn a_raked_wall_is_told_along_its_slope() {
    let doc = gabled();
    let crew = &sets(&doc, Paper::Letter)[0];
    let pages: String = crew.pages.iter().flat_map(words).collect::<Vec<_>>().join(" ");
    let mut seen = 0;
    for (run, text) in layouts(&doc) {
        let r = doc.floor.run(run);
        let Some(slope) = r.slope() else {
            assert!(text.starts_with("Mark both plates. "), "{text}");
            continue;
        };
        let (level, rising) = text.split_once("Lower top plate, along its slope").unwrap();
        assert!(level.starts_with("Bottom plate, level: Hook the tape"), "{text}");
        let pieces = lower(&doc, run);
        let zero = pieces[0].from;
        for p in &pieces {
            let rake = p.rake.unwrap();
            for m in p.marks.iter().filter(|m| m.kind == MarkKind::Stud) {
                let on = p.from + rake.slope.level(m.at) - zero;
                // Flush with an end: told as that.
                let half = Length::sixteenths(12);
                let end = pieces[pieces.len() - 1].to - zero;
                let flush = [half, end - half];
                if flush.iter().any(|f| (on - *f).abs() <= Length::sixty_fourths(1)) {
                    continue;
                }
                // The near edge of a plumb stud: half its thickness, measured along the slope.
                let edge = slope.along(p.from - zero) + m.at - slope.along(Length::sixteenths(12));
                assert!(rising.contains(&told(edge)), "{} at {}: {rising}", p.mark, told(edge));
                seen += 1;
            }
        }
        // The upper face of the upper plate, two plates measured plumb over the lower one's underside.
        let first = pieces[0];
        let last = pieces[pieces.len() - 1];
        let plates = slope.plumb(Length::sixteenths(24)) * 2;
        let (low, high) = (first.z + plates, last.rake.unwrap().z_end + plates);
        let wanted = format!("top at these faces {} and {} (6.0 in 12)", told(low), told(high));
        assert!(pages.contains(&wanted), "{wanted}");
        // The two heights and the length belong together.
        let rise = slope.rise_over(last.to - first.from);
        assert!((high - low - rise).abs() < Length::SIXTEENTH);
        let length = slope.along(last.to - first.from);
        assert!(rising.contains(&format!("the whole face is {}", told(length))), "{rising}");
    }
    assert!(seen >= 15, "{seen}");
}

/// A window across the ridge is one hole, told in both walls.
#[test]
fn a_window_across_a_ridge_goes_on() {
    let doc = gabled();
    let texts = layouts(&doc);
    let going: Vec<_> = texts.iter().filter(|t| t.1.contains("it goes on in R")).collect();
    assert_eq!(going.len(), 2, "{texts:#?}");
    for (run, text) in &going {
        let (other, _) = going.iter().find(|g| g.0 != *run).unwrap();
        let wanted = format!("it goes on in {} (5'-0\" in all)", run_name(*other));
        assert!(text.contains(&wanted) && !text.contains("no stud beside it"), "{wanted}: {text}");
    }
}

/// Holes that repeat or overlap are told once, with both kinds.
#[test]
fn a_hole_drawn_twice_is_told_once() {
    let mut doc = sample::house();
    let door = doc.floor.walls[1].openings[0].clone();
    let mut again = door.clone();
    again.kind = wall_model::OpeningKind::Opening;
    doc.floor.walls[1].openings.push(again.clone());
    let text = |doc: &Document| layouts(doc).into_iter().map(|l| l.1).collect::<String>();
    let whole = text(&doc);
    let zero = View::of(&doc).unwrap().faces[1].0;
    let at = |s: Length| told(s - zero);
    let (from, to) = (at(door.from), at(door.to));
    assert!(whole.contains(&format!("1: door and opening {from} to {to};")), "{whole}");
    assert!(!whole.contains("2: "), "{whole}");
    // Half a foot farther: one hole, both of its parts.
    doc.floor.walls[1].openings[1].to = door.to + Length::inches(6);
    let end = at(door.to + Length::inches(6));
    let wanted = format!(
        "1: door and opening {from} to {end} (door {from} to {to}, opening {from} to {end});"
    );
    assert!(text(&doc).contains(&wanted), "{wanted}: {}", text(&doc));
}

/// What goes down into the floor is told apart, and is as much as the plan's total says.
#[test]
fn floor_nails_are_told_apart() {
    for doc in [crossed(), gabled()] {
        let key = NailKey::of(&doc);
        let view = View::of(&doc).unwrap();
        let total = doc.plan.fasteners.iter().filter(|f| f.purpose == "bottom plate to floor");
        let total: u64 = total.map(|f| f.count).sum();
        let mut told = 0;
        for (id, p) in view.pieces() {
            let floor = u64::from(NailKey::floor_nails(p));
            let words = key.told(id, p);
            assert_eq!(floor > 0, words.contains("into the floor"), "{}: {words}", p.mark);
            assert!(floor == 0 || p.layer == Layer::Bottom, "{}", p.mark);
            told += floor;
        }
        assert!(told > 0);
        assert_eq!(told, total);
    }
}

/// Opposite hands have different labels, and every label has the arrow's words.
#[test]
fn labels_tell_opposite_hands_apart() {
    let mut doc = sample::oblique();
    let piece = |doc: &Document| {
        let i = doc.plan.pieces.iter().position(|p| p.ends[0].cut_deg == 45.0).unwrap();
        plan_model::PieceId(i as u32)
    };
    let id = piece(&doc);
    let short = |doc: &Document| crate::tags::cuts_in_short(&View::of(doc).unwrap(), id);
    assert_eq!(short(&doc), "start 45\u{b0}, left longer; end square");
    let labels = |doc: &Document| {
        sets(doc, Paper::Letter)[1].pages.iter().flat_map(words).collect::<Vec<_>>().join(" ")
    };
    assert!(labels(&doc).contains("start 45\u{b0}, left longer; end square"));
    doc.plan.pieces[id.0 as usize].ends[0].cut_deg = 135.0;
    assert_eq!(short(&doc), "start 45\u{b0}, right longer; end square");
    let house = sample::house();
    let notched = house.plan.pieces.iter().find(|p| !p.notches.is_empty()).unwrap();
    let n = &notched.notches[0];
    let wanted = format!("start and end square; notch left {} to {}", told(n.from), told(n.to));
    assert!(labels(&house).contains(&wanted), "{wanted}");
    // One for each label.
    let starts = labels(&house).matches("start and end square").count();
    assert_eq!(starts, house.plan.pieces.len());
}

/// No page of the first sheet holds a line alone, no title is cut, and a number stays with its board.
#[test]
fn pages_are_full_and_titles_whole() {
    for mut doc in [crossed(), gabled(), sample::house(), sample::metric_house()] {
        doc.floor.storeys[0].name = "FLOOR PLAN AND FRAMING OF THE FIRST STOREY".to_owned();
        for paper in Paper::ALL {
            let crew = &sets(&doc, paper)[0];
            for page in &crew.pages {
                let all = words(page);
                let title: String = all.join(" ");
                assert!(!all.iter().take(3).any(|t| t.contains('\u{2026}')), "{:?}", &all[..3]);
                if title.contains("order of work:") {
                    assert!(title.contains("THE FIRST STOREY"), "{title}");
                }
                let board = |t: &&String| t.contains(" \u{d7} ") && t.contains(" ft");
                for line in all.iter().filter(board) {
                    assert!(!line.trim_end().ends_with('\u{d7}'), "{line}");
                    let items = line.split("; ").all(|i| i.contains(" ft") || i.contains("hand"));
                    assert!(items, "{line}");
                }
                if title.starts_with("Crew sheets") {
                    assert!(all.len() > 12, "{paper:?}: {all:?}");
                }
            }
        }
    }
}

/// A bottom plate that stops at a door is told by the door's edge from where the tape is hooked, as joints are: the wall it is
/// nearest to may be far away, and one face of that near for one of its ends and far for the other.
#[test]
fn a_bottom_plate_is_told_to_the_edge_of_a_door() {
    let doc = planned(
        &[
            (OUT, [0, 0, 360, 0], &[(100, 136)]),
            (OUT, [360, 0, 360, 240], &[(40, 232)]),
            (OUT, [360, 240, 0, 240], &[]),
            (OUT, [0, 240, 0, 0], &[]),
        ],
        "[[layers]]\nmatch = 'A-GLAZ*'\nuse = 'door'\n[plates]\nbottom = 'stop'\n",
    );
    let view = View::of(&doc).unwrap();
    let mut edges = 0;
    for (run, r) in doc.floor.runs.iter().enumerate() {
        let run = RunId(run as u32);
        let zero = lower(&doc, run).iter().map(|p| p.from).min().unwrap();
        let hook = export::measure::hook(&view, run);
        let doors: Vec<(Length, Length)> = doc
            .floor
            .walls_of(run)
            .flat_map(|(at, w)| w.openings.iter().map(move |o| (at + o.from, at + o.to)))
            .collect();
        let bottom = |p: &&Piece| p.run == run && p.layer == Layer::Bottom;
        for p in doc.plan.pieces.iter().filter(bottom) {
            let ends = export::measure::measure(&view, p).ends;
            for (at, text) in [p.from, p.to].into_iter().zip(ends) {
                if doors.iter().any(|(a, b)| at == *a || at == *b) {
                    assert_eq!(
                        text.replace('\u{a0}', " "),
                        format!("door {} from {hook}", told(at - zero))
                    );
                    edges += 1;
                } else {
                    assert!(!text.contains("door"), "{text} {:?}", r.start);
                }
            }
        }
    }
    assert_eq!(edges, 4);
}

/// Where walls of three heights meet, each tie is told with the step between the two it joins.
#[test]
fn a_tie_has_the_step_of_its_own_walls() {
    let top = |layer: &str, top: f64| {
        format!("[[layers]]\nmatch = '{layer}'\nuse = 'wall'\nsection = '2x6'\ntop = {top}\n")
    };
    let settings =
        [top("A-WALL-EXTR-2X4", 97.125), top("A-WALL-EXTR-2X6", 109.125), top(IN, 121.125)];
    let lines: [Line<'_>; 3] =
        [(OUT, [0, 0, 120, 0], &[]), (RAKE, [120, 0, 240, 0], &[]), (IN, [120, 0, 120, 200], &[])];
    let doc = planned(&lines, &settings.concat());
    let mut wanted = Vec::new();
    for tie in &doc.plan.ties {
        let j = doc.floor.junction(tie.junction);
        let tops: Vec<Length> =
            tie.pieces.iter().map(|p| doc.floor.top_at(doc.piece(*p).run, j)).collect();
        if let [a, b] = tops[..] {
            wanted.push((a - b).abs());
        }
    }
    wanted.sort_unstable();
    assert_eq!(wanted, [12, 12, 24].map(Length::inches), "{:?}", doc.plan.ties);
    let crew = &sets(&doc, Paper::Letter)[0];
    let all: String = crew.pages.iter().flat_map(words).collect::<Vec<_>>().join(" ");
    for (feet, times) in [(1, 2), (2, 1)] {
        let told = format!("step of {}", told(Length::feet(feet)));
        assert_eq!(all.matches(&told).count(), times, "{told}: {all}");
    }
}

/// A piece as long as its board is not to be cut, but boards may be over length: it is checked. What is said of a piece is
/// parted by commas.
#[test]
fn a_whole_board_is_checked() {
    let doc = planned(
        &[
            (OUT, [0, 0, 360, 0], &[]),
            (OUT, [360, 0, 360, 192], &[]),
            (OUT, [360, 192, 0, 192], &[]),
            (OUT, [0, 192, 0, 0], &[]),
            (IN, [0, 96, 180, 96], &[]),
            (IN, [180, 0, 180, 192], &[]),
        ],
        "",
    );
    let whole: Vec<&Piece> = doc
        .boards
        .iter()
        .filter(|b| b.cuts.len() == 1 && doc.piece(b.cuts[0]).length == b.length())
        .map(|b| doc.piece(b.cuts[0]))
        .collect();
    assert!(!whole.is_empty());
    let cuts = &sets(&doc, Paper::Letter)[2];
    let all: String = cuts.pages.iter().flat_map(words).collect::<Vec<_>>().join(" ");
    for p in whole {
        let line = format!(": {} {} (", p.mark, told(p.length));
        let after = all.split_once(&line).unwrap_or_else(|| panic!("{line} in {all}")).1;
        let rest = after.split_once(')').unwrap().1;
        assert!(rest.starts_with(", whole board: check, trim if longer"), "{line} {rest}");
    }
    let notched = doc.plan.pieces.iter().filter(|p| p.notches.len() == 1).count();
    assert!(notched > 0 && all.matches(", 1 notch").count() == notched, "{all}");
    assert!(!all.contains("as it is"));
}

/// What is marked beside an opening is one trimmer and one king; the first sheet says that a wide one needs what the tables say.
#[test]
fn the_first_sheet_sends_for_headers_to_the_tables() {
    let doc = crossed();
    let all = words(&sets(&doc, Paper::Letter)[0].pages[0]).join(" ");
    assert!(
        all.contains("headers, and how many trimmers and kings stand beside wide ones"),
        "{all}"
    );
}
