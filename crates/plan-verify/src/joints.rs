//! Item 5: joints, recomputed from the gaps between outlines.

use crate::layout::{self, full_width};
use crate::measure::{inches, moved};
use crate::report::Report;
use crate::shape::{Shape, Shapes};
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point};
use plan_model::{Joint, JointKind, Layer, Piece, PieceId, Plan, TieKind, piece_name, run_name};
use settings::Settings;
use wall_model::floor::{Floor, RunId};

/// A place where two pieces of one run and layer follow each other.
#[derive(Clone, Copy, Debug)]
pub struct Gap {
    pub before: PieceId,
    pub after: PieceId,
    /// On the right (0) and left (1) edge: where one piece ends and the next begins, run stations, nm.
    pub edges: [[i64; 2]; 2],
    /// How far the bevels of the two ends reach.
    pub bevel: i64,
}

impl Gap {
    fn between(a: &Shape, b: &Shape) -> Gap {
        Gap {
            before: a.id,
            after: b.id,
            edges: [0, 1].map(|e| [a.edges[e][1], b.edges[e][0]]),
            bevel: a.reach_at(1).max(b.reach_at(0)),
        }
    }
    /// Least and greatest station of the place.
    pub fn hull(&self) -> [i64; 2] {
        let all = [self.edges[0][0], self.edges[0][1], self.edges[1][0], self.edges[1][1]];
        [all.into_iter().min().unwrap_or(0), all.into_iter().max().unwrap_or(0)]
    }
    /// Widest opening along an edge.
    pub fn opening(&self) -> i64 {
        self.edges.iter().map(|e| e[1] - e[0]).max().unwrap_or(0)
    }
    /// Clear distance along the run to another gap, on the edge where it is least.
    fn clear_of(&self, o: &Gap) -> i64 {
        let apart =
            |e: usize| (o.edges[e][0] - self.edges[e][1]).max(self.edges[e][0] - o.edges[e][1]);
        apart(0).min(apart(1)).max(0)
    }
    fn middle(&self) -> i64 {
        let [a, b] = self.hull();
        a + (b - a) / 2
    }
}

/// The gaps of a run's layer, by station.
pub fn gaps(shapes: &Shapes, run: RunId, layer: Layer) -> Vec<Gap> {
    let chain: Vec<&Shape> = shapes.chain(run, layer).collect();
    chain.windows(2).map(|w| Gap::between(w[0], w[1])).collect()
}

/// Proves item 5.
pub fn check(
    floor: &Floor,
    plan: &Plan,
    shapes: &Shapes,
    settings: &Settings,
    joint_offset: Length,
    report: &mut Report,
) {
    let offsets = report.line(
        5,
        format!(
            "joints of the two top layers of a run are at least {} in apart, or a splice plate is named",
            joint_offset.to_inches()
        ),
    );
    let stands = report.line(
        5,
        "joints are listed as on a stud where one bears both their pieces by 1/4 in, and nowhere else: for top plates one that reaches up to them, no trimmer, and none over an opening or beside it up to the king stud",
    );
    let rows =
        report.line(5, "the joints listed are the gaps between the outlines, with their offsets");

    let mut splices: Vec<&[PieceId]> = Vec::new();
    for tie in &plan.ties {
        let hardware = matches!(tie.kind, TieKind::Strap | TieKind::Screw);
        if hardware && !tie.hardware.trim().is_empty() {
            splices.push(&tie.pieces);
        }
    }
    let mut listed: Vec<[Vec<&Joint>; 3]> = vec![Default::default(); floor.runs.len()];
    for joint in &plan.joints {
        match listed.get_mut(joint.run.0 as usize) {
            Some(layers) => layers[joint.layer as usize].push(joint),
            None => report.breach(
                rows,
                Finding::new(verify::PROOF_JOINT_ROW, "A joint names a run that does not exist."),
            ),
        }
    }
    report.looked(rows, plan.joints.len());

    for (index, _) in floor.runs.iter().enumerate() {
        let run = RunId(index as u32);
        let layers = Layer::ALL.map(|l| gaps(shapes, run, l));
        let [_, lower, upper] = &layers;
        report.looked(offsets, lower.len() + upper.len());
        for l in lower {
            for u in upper {
                let clear = l.clear_of(u);
                if clear + ROUNDING.nm() >= joint_offset.nm() {
                    continue;
                }
                let spliced =
                    |g: &Gap| splices.iter().any(|s| s.contains(&g.before) && s.contains(&g.after));
                if spliced(l) || spliced(u) {
                    continue;
                }
                let text = format!(
                    "Run {}: the lower joint between {} and {} is {} in from the upper joint between {} and {}; {} in are required, and no splice plate is named.",
                    run_name(run),
                    piece_name(l.before),
                    piece_name(l.after),
                    inches(clear),
                    piece_name(u.before),
                    piece_name(u.after),
                    joint_offset.to_inches()
                );
                let finding = Finding::new(verify::PROOF_OFFSET, text);
                report.breach(
                    offsets,
                    finding.at(on_run(floor, run, l.middle())).about(run_name(run)),
                );
            }
        }
        let said =
            |on_stud: bool| listed[index].iter().flatten().filter(move |j| j.on_stud == on_stud);
        let off_studs = said(false).filter(|j| j.kind == JointKind::Break);
        for joint in said(true).chain(off_studs) {
            report.looked(stands, 1);
            let why = match joint.on_stud {
                true => not_on_stud(floor, plan, shapes, joint)
                    .map(|why| format!("is listed as on a stud, but {why}")),
                false => is_over_stud(floor, plan, shapes, joint).then(|| {
                    "is listed as on no stud, and one stands under both its ends".to_owned()
                }),
            };
            let Some(why) = why else { continue };
            let text = format!(
                "Run {}, {} layer: the joint at {} in {why}.",
                run_name(run),
                joint.layer.name(),
                joint.at.to_inches()
            );
            let finding = Finding::new(verify::PROOF_JOINT_ROW, text);
            report
                .breach(stands, finding.at(on_run(floor, run, joint.at.nm())).about(run_name(run)));
        }
        for layer in Layer::ALL {
            let expected = expect(&layers, layer, shapes, run, settings);
            let mut found = listed[index][layer as usize].clone();
            found.sort_by_key(|j| (j.at, j.kind));
            let faults = compare(&expected, &found);
            for (station, why) in faults {
                let text = format!("Run {}, {} layer: {why}.", run_name(run), layer.name());
                let finding = Finding::new(verify::PROOF_JOINT_ROW, text);
                report.breach(rows, finding.at(on_run(floor, run, station)).about(run_name(run)));
            }
        }
    }
}

/// Where a plate has marks of what bears joints of a layer, stations on the run.
fn bearing(piece: &Piece, layer: Layer) -> impl Iterator<Item = Length> {
    let bears = if layer == Layer::Bottom { layout::stands } else { layout::reaches_up };
    let marks = piece.marks.iter().filter(move |m| bears(m.kind));
    marks.map(|m| Length::from_nm(layout::on_run(piece, m.at)))
}

/// How far from a joint the centre of a stud may be that bears both its pieces.
fn reach(floor: &Floor, run: RunId) -> Length {
    floor.run(run).section.thickness().half() - Length::sixteenths(4) + ROUNDING
}

/// Why no stud bears a joint, if none does.
fn not_on_stud(floor: &Floor, plan: &Plan, shapes: &Shapes, joint: &Joint) -> Option<&'static str> {
    let thick = floor.run(joint.run).section.thickness();
    let (half, frame) = (thick.half(), floor.run(joint.run).frame());
    let reach = reach(floor, joint.run);
    // What bears the joint, and whether it is the last stud of a plate. A stud just under an open joint is marked on the
    // plates of other layers.
    let near = |s: &&Shape| {
        let reach = reach.nm();
        s.extent[0] - reach <= joint.at.nm() && joint.at.nm() <= s.extent[1] + reach
    };
    let chains = Layer::ALL.into_iter().flat_map(|l| shapes.chain(joint.run, l)).filter(near);
    let under: Vec<(Length, bool)> = chains
        .flat_map(|s| {
            let piece = &plan.pieces[s.id.0 as usize];
            let whole = full_width(s, &frame).map(Length::from_nm);
            let at_end = half + ROUNDING;
            let last = move |at: Length| at <= whole[0] + at_end || at >= whole[1] - at_end;
            bearing(piece, joint.layer).map(move |at| (at, last(at)))
        })
        .filter(|(at, _)| (*at - joint.at).abs() <= reach)
        .collect();
    // A trimmer, under the header, stands between the opening and the king stud; where there is no room for both the
    // last stud of the plate stands in their place.
    let over = floor.walls_of(joint.run).any(|(at, wall)| {
        let clear = |o: &wall_model::Opening, stud: Length| {
            stud + half <= at + o.from || stud - half >= at + o.to
        };
        let near = |o: &wall_model::Opening| {
            joint.at > at + o.from - thick && joint.at < at + o.to + thick
        };
        let last = |o: &wall_model::Opening| under.iter().any(|(s, last)| *last && clear(o, *s));
        wall.openings.iter().any(|o| near(o) && !last(o))
    });
    if over && joint.layer != Layer::Bottom {
        return Some("it lies over an opening or one of its trimmers");
    }
    under.is_empty().then_some("no stud is marked there")
}

/// Whether a stud stands under both pieces of a joint, by 1/4 in at least.
fn is_over_stud(floor: &Floor, plan: &Plan, shapes: &Shapes, joint: &Joint) -> bool {
    let reach = reach(floor, joint.run) - ROUNDING * 2;
    let layer = if joint.layer == Layer::Bottom { Layer::Bottom } else { Layer::Lower };
    shapes.chain(joint.run, layer).any(|s| {
        let piece = &plan.pieces[s.id.0 as usize];
        bearing(piece, joint.layer).any(|at| (at - joint.at).abs() <= reach)
    })
}

fn on_run(floor: &Floor, run: RunId, station: i64) -> Point {
    let run = floor.run(run);
    let dir = run.frame().dir();
    moved(run.start, (dir.0 * station as f64, dir.1 * station as f64))
}

/// What a row of the joint list should say.
struct Expected {
    kind: JointKind,
    middle: i64,
    half_gap: i64,
    /// How far `at` and `half_gap` may differ: between bevels there is no one station.
    slack: i64,
    /// How far `offset` may.
    offset_slack: i64,
    offset: Option<i64>,
}

fn expect(
    layers: &[Vec<Gap>; 3],
    layer: Layer,
    shapes: &Shapes,
    run: RunId,
    settings: &Settings,
) -> Vec<Expected> {
    let tol = ROUNDING.nm();
    let end = |shape: &Shape, end: usize| Expected {
        kind: JointKind::End,
        middle: shape.extent[end],
        half_gap: 0,
        slack: tol,
        offset_slack: tol,
        offset: None,
    };
    let mut out = Vec::new();
    let first = shapes.chain(run, layer).next();
    let last = shapes.chain(run, layer).last();
    out.extend(first.map(|s| end(s, 0)));
    let other: &[Gap] = match layer {
        Layer::Bottom => &[],
        Layer::Lower => &layers[2],
        Layer::Upper => &layers[1],
    };
    let clearance = settings.plates.upper_clearance.max(settings.plates.notch_side_clearance);
    for gap in &layers[layer as usize] {
        let [from, to] = gap.hull();
        let open = gap.opening();
        let lap = layer == Layer::Upper && open > (clearance + SLIVER).nm();
        let bevels = other.iter().map(|o| o.bevel).max().unwrap_or(0);
        out.push(Expected {
            kind: if lap { JointKind::LapGap } else { JointKind::Break },
            middle: gap.middle(),
            half_gap: (to - from) / 2,
            slack: gap.bevel + tol,
            offset_slack: gap.bevel + bevels + tol,
            offset: other.iter().map(|o| gap.clear_of(o)).min(),
        });
    }
    out.extend(last.map(|s| end(s, 1)));
    out
}

/// The first joint that stands in one of two lists of different length alone: its station and kind.
fn first_apart(expected: &[Expected], found: &[&Joint]) -> (i64, &'static str) {
    let same =
        |(e, j): &(&Expected, &&Joint)| e.kind == j.kind && (e.middle - j.at.nm()).abs() <= e.slack;
    let alike = expected.iter().zip(found).take_while(same).count();
    let shown = expected.get(alike).map(|e| (e.middle, e.kind.name()));
    let listed = found.get(alike).map(|j| (j.at.nm(), j.kind.name()));
    shown.into_iter().chain(listed).min().unwrap_or((0, "end"))
}

fn compare(expected: &[Expected], found: &[&Joint]) -> Vec<(i64, String)> {
    let mut faults = Vec::new();
    if expected.len() != found.len() {
        let (station, first) = first_apart(expected, found);
        let text = format!(
            "the outlines show {} joints and ends, the list has {}; the first that is in one of them alone is the {first} at {} in",
            expected.len(),
            found.len(),
            inches(station)
        );
        return vec![(station, text)];
    }
    for (e, j) in expected.iter().zip(found) {
        let near = |a: i64, b: Length, slack: i64| (a - b.nm()).abs() <= slack;
        if j.kind != e.kind {
            let text = format!(
                "the {} listed at {} in is a {}",
                j.kind.name(),
                j.at.to_inches(),
                e.kind.name()
            );
            faults.push((e.middle, text));
        } else if !near(e.middle, j.at, e.slack) || !near(e.half_gap, j.half_gap, e.slack) {
            let text = format!(
                "the {} listed at {} in (half gap {} in) lies at {} in (half gap {} in)",
                e.kind.name(),
                j.at.to_inches(),
                j.half_gap.to_inches(),
                inches(e.middle),
                inches(e.half_gap)
            );
            faults.push((e.middle, text));
        } else if match (e.offset, j.offset) {
            (Some(a), Some(b)) => !near(a, b, e.offset_slack),
            (a, b) => a.is_some() != b.is_some(),
        } {
            let say = |o: Option<f64>| o.map_or("none".to_owned(), |x| format!("{x} in"));
            let text = format!(
                "the {} at {} in is listed with offset {}, the outlines give {}",
                e.kind.name(),
                j.at.to_inches(),
                say(j.offset.map(Length::to_inches)),
                say(e.offset.map(inches))
            );
            faults.push((e.middle, text));
        }
    }
    faults
}
