//! Spaces cut into pieces: joints of both layers chosen together, outlines drawn.

use crate::cost::Cost;
use crate::joints;
use crate::known::Known;
use crate::meet::{self, Gap, LOWER, NotchAt, PlateEnd, RunShape, UPPER};
use crate::profile::Profile;
use crate::split::{LEAST_PIECE, Space, Stocked, Terms, near, on_mark};
use crate::studs::{self, Studs, carries, merged};
use crate::under;
use diag::{Finding, codes::plan as codes};
use geom::{Length, Point, Slope, polygon_area_nm2};
use lumber::Section;
use plan_model::{
    Against, Joint, JointKind, Layer, Mark, Notch, Piece, PieceEnd, Rake, Side, run_name,
};
use settings::Settings;
use std::rc::Rc;
use wall_model::floor::{Floor, Run, RunId};

/// Spaces with less than this between their ends are no plates.
const SLIVER: Length = Length::sixty_fourths(2);

/// A bottom plate shorter than this beside a door is none: finer than any saw.
const THIN: Length = Length::from_nm(25_400);

/// One uninterrupted stretch of a layer.
struct Stretch {
    start: PlateEnd,
    end: PlateEnd,
}

impl Stretch {
    fn space(&self) -> Space {
        Space {
            from: self.start.profile.least(),
            to: self.end.profile.greatest(),
            joints_from: self.start.profile.greatest(),
            joints_to: self.end.profile.least(),
        }
    }
    /// Length along the right edge and along the left one; less than nothing where the ends cross.
    fn edges(&self) -> [Length; 2] {
        let ends = |p: &Profile| {
            let at = |v: Option<&(Length, Length)>| v.map_or(Length::ZERO, |v| v.1);
            [at(p.0.first()), at(p.0.last())]
        };
        let ([a, b], [c, d]) = (ends(&self.start.profile), ends(&self.end.profile));
        [c - a, d - b]
    }
}

/// The plates of one run.
pub(crate) struct RunPlates {
    pub pieces: Vec<Piece>,
    pub joints: Vec<Joint>,
    pub findings: Vec<Finding>,
}

/// The spaces that hold a plate.
fn with_room(mut spaces: Vec<Stretch>) -> Vec<Stretch> {
    spaces.retain(|s| s.edges().iter().all(|e| *e > SLIVER));
    spaces
}

/// How much of the wall stays bare in a space that holds no plate, because its ends cross on one edge or less
/// than a sliver is left: with the clearance that each end keeps from other plates, along the longer edge.
fn left_bare(s: &Stretch, clearance: Length) -> Option<Length> {
    let edges = s.edges();
    let kept = [&s.start, &s.end].into_iter().filter(|e| e.against != Against::Open).count() as i64;
    let bare = edges[0].max(edges[1]) + clearance * kept;
    (edges.iter().any(|e| *e <= SLIVER) && bare > THIN).then_some(bare)
}

/// Those of the spaces of both layers that stay bare, with their layer and how much does.
fn bare_spaces<'a>(
    spaces: &'a [Vec<Stretch>; 2],
    settings: &Settings,
) -> impl Iterator<Item = (usize, &'a Stretch, Length)> {
    let kept = [LOWER, UPPER].map(|layer| clearance(settings, layer));
    let each = spaces.iter().zip(kept).enumerate();
    each.flat_map(|(layer, (of_layer, kept))| {
        of_layer.iter().filter_map(move |s| Some((layer, s, left_bare(s, kept)?)))
    })
}

/// What lies between a layer's ends and gaps, room for a plate or not.
fn spaces_between(shape: &RunShape, layer: usize) -> Vec<Stretch> {
    let [Some(start), Some(end)] = &shape.ends[layer] else { return Vec::new() };
    let mut out = Vec::new();
    let mut from = start.clone();
    for Gap { before, after, .. } in &shape.gaps[layer] {
        out.push(Stretch { start: from, end: before.clone() });
        from = after.clone();
    }
    out.push(Stretch { start: from, end: end.clone() });
    out
}

/// Intervals of a layer where its plate is interrupted, run ends apart; plus its end where it stops
/// well short of, or runs well past, the other layer's end.
fn interruptions(shape: &RunShape, layer: usize) -> Vec<(Length, Length)> {
    let mut out: Vec<(Length, Length)> = shape.gaps[layer].iter().map(Gap::range).collect();
    let far = Length::inches(12);
    for k in 0..2 {
        if let (Some(own), Some(other)) = (&shape.ends[layer][k], &shape.ends[1 - layer][k]) {
            let at = if k == 0 { own.profile.greatest() } else { own.profile.least() };
            let there = if k == 0 { other.profile.greatest() } else { other.profile.least() };
            // Only an end over (or under) the other layer's plate is a joint of the two.
            if (at - there).abs() > far {
                out.push((at, at));
            }
        }
    }
    out.sort_unstable();
    out
}

/// Where a layer reaches beyond the other one's end, over or under the plate of the wall that is met there.
fn laps_at_ends(shape: &RunShape, layer: usize) -> impl Iterator<Item = (Length, Length)> {
    let [starts, ends] = [0, 1].map(|k| {
        let own = shape.ends[layer][k].as_ref().map(|e| &e.profile);
        own.zip(shape.ends[1 - layer][k].as_ref().map(|e| &e.profile))
    });
    let starts = starts.map(|(own, other)| (own.least(), other.greatest()));
    let ends = ends.map(|(own, other)| (other.least(), own.greatest()));
    starts.into_iter().chain(ends).filter(|(from, to)| from < to)
}

pub(crate) struct Job<'a> {
    pub floor: &'a Floor,
    pub settings: &'a Settings,
    pub offset: Length,
    pub run: RunId,
    pub shape: &'a RunShape,
    pub studs: &'a Studs,
}

/// Cuts both top layers of a run and copies the lower one to the floor.
pub(crate) fn cut_run(job: &Job, known: &Known) -> RunPlates {
    let Job { settings, run, shape, studs, .. } = *job;
    let r = job.floor.run(run);
    let mut findings = Vec::new();
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = left_bare_told(job, &spaces);
    let layers = spaces.map(with_room);
    let cutting = known.or_new(run, shape, || choose_joints(job, &layers));
    let Cutting { chosen, cost } = &*cutting;
    report_too_long(job, cost, &mut findings);
    findings.extend(bare);
    let (mut bottom, mut pieces) = (Vec::new(), Vec::new());
    let mut joints = Vec::new();
    for (index, layer) in [(LOWER, Layer::Lower), (UPPER, Layer::Upper)] {
        let gap = clearance(settings, index);
        for (s, at) in layers[index].iter().zip(&chosen[index]) {
            draw_stretch(job, r, layer, s, at, gap, &mut pieces);
        }
        joints.extend(joints_of(job, layer, index, &layers[index], &chosen[index], gap));
    }
    let lower = pieces.iter().filter(|p: &&Piece| p.layer == Layer::Lower).map(|p| (p.from, p.to));
    let open = if settings.plates.bottom_stops_at_doors {
        studs.doors.clone()
    } else {
        let wasted = under::wasted_at(studs, &lower.collect::<Vec<_>>());
        findings.extend(wasted.into_iter().map(|door| wasted_told(job, door)));
        Vec::new()
    };
    for (s, at) in layers[LOWER].iter().zip(&chosen[LOWER]) {
        if open.is_empty() {
            draw_stretch(job, r, Layer::Bottom, s, at, Length::ZERO, &mut bottom);
            continue;
        }
        for part in between_doors(s, &open) {
            let at = joints_between_doors(job, &part, at);
            draw_stretch(job, r, Layer::Bottom, &part, &at, Length::ZERO, &mut bottom);
        }
    }
    let mut of_bottom =
        joints_of(job, Layer::Bottom, LOWER, &layers[LOWER], &chosen[LOWER], Length::ZERO);
    if !open.is_empty() {
        of_bottom = joints_at_doors(job, &bottom, of_bottom);
    }
    of_bottom.append(&mut joints);
    let mut joints = of_bottom;
    bottom.append(&mut pieces);
    let pieces = bottom;
    measure_offsets(&mut joints);
    RunPlates { pieces, joints, findings }
}

/// Tells of a door that takes a whole bottom plate, or all but a scrap of one.
fn wasted_told(job: &Job, (from, to): (Length, Length)) -> Finding {
    let r = job.floor.run(job.run);
    let name = run_name(job.run);
    let text = format!(
        "The bottom plates of {name} run through the door, {} to {} from their start, and of one of them nothing or only a scrap stays once the door is cut out.",
        (from - job.studs.ends[0]).feet_inches(),
        (to - job.studs.ends[0]).feet_inches()
    );
    let middle = r.frame().at((from + to).half(), Length::ZERO);
    Finding::new(codes::BOTTOM_IN_DOOR, text).at(middle).about(name)
}

/// The short-piece limit of a run. A wall hardly longer than that cannot have longer plates: there is none for it, so
/// that no other wall's plate is cut to make up for it.
pub(crate) fn short_limit(floor: &Floor, settings: &Settings, run: RunId) -> Length {
    let (r, short) = (floor.run(run), settings.plates.short_piece);
    if r.length() <= short + r.section.width() * 2 { Length::ZERO } else { short }
}

/// What cutting a run of this shape costs, without drawing it.
pub(crate) fn cost_of(by: &meet::Terms, run: RunId, shape: &RunShape) -> Cost {
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = bare_spaces(&spaces, by.settings).count() as u32;
    let layers = spaces.map(with_room);
    let slight = slight(by.floor, run, shape, &layers);
    let mut cost = cutting(by, run, shape, &layers).cost.plus(slight);
    cost.breaches += bare;
    cost
}

/// What a run of hardly more than its own width costs beside joints: plates shorter than the wall is wide, of which
/// a lower one has a bottom plate like it, and laps on other walls by plates that are not held on their own.
fn slight(floor: &Floor, run: RunId, shape: &RunShape, layers: &[Vec<Stretch>; 2]) -> Cost {
    let width = floor.run(run).section.width();
    let length = |s: &Stretch| s.space().to - s.space().from;
    let tiny = |l: usize| layers[l].iter().filter(|s| length(s) < width).count() as u32;
    let loose = |k: usize| {
        let [lower, upper] = [LOWER, UPPER].map(|l| {
            let stretch = if k == 0 { layers[l].first() } else { layers[l].last() };
            stretch.zip(shape.ends[l][k].as_ref()).map(|(s, end)| (s.space(), &end.profile))
        });
        let Some(((l, lower), (u, upper))) = lower.zip(upper) else { return false };
        let laps = if k == 0 {
            upper.greatest() < lower.least()
        } else {
            upper.least() > lower.greatest()
        };
        let enough = width.min(u.to - u.from).min(l.to - l.from).half();
        laps && u.to.min(l.to) - u.from.max(l.from) < enough
    };
    Cost {
        short: tiny(LOWER) * 2 + tiny(UPPER),
        breaches: u32::from(loose(0)) + u32::from(loose(1)),
        ..Cost::default()
    }
}

/// What plates of a layer keep from others.
fn clearance(settings: &Settings, layer: usize) -> Length {
    if layer == UPPER { settings.plates.upper_clearance } else { Length::ZERO }
}

/// Tells of places too small for a plate.
fn left_bare_told(job: &Job, spaces: &[Vec<Stretch>; 2]) -> Vec<Finding> {
    let r = job.floor.run(job.run);
    let tell = |(layer, space, bare): (usize, &Stretch, Length)| {
        let name = if layer == UPPER { Layer::Upper } else { Layer::Lower }.name();
        let [from, to] = [&space.start.profile, &space.end.profile];
        let middle = (from.least().min(to.least()) + from.greatest().max(to.greatest())).half();
        let [right, left] = space.edges();
        let shape = if (right - left).abs() > Length::inches(1) { "a wedge of " } else { "" };
        let text = format!(
            "{}, {name} layer: {shape}{} is left beside other plates, too little for a plate of its own.",
            run_name(job.run),
            if bare <= SLIVER {
                "less than 1/32 in".to_owned()
            } else {
                bare.feet_inches().to_string()
            }
        );
        let f = Finding::new(codes::PLATE_NO_ROOM, text);
        f.at(r.frame().at(middle, Length::ZERO)).about(run_name(job.run))
    };
    bare_spaces(spaces, job.settings).map(tell).collect()
}

/// The cutting of a run of this shape.
fn cutting(
    by: &meet::Terms,
    run: RunId,
    shape: &RunShape,
    layers: &[Vec<Stretch>; 2],
) -> Rc<Cutting> {
    let meet::Terms { floor, settings, offset, known, .. } = *by;
    known.or_new(run, shape, || {
        let studs = studs::lay_out(floor, run, shape, settings);
        choose_joints(&Job { floor, settings, offset, run, shape, studs: &studs }, layers)
    })
}

/// Where a run of this shape has short pieces, joints too near each other, or joints over openings.
pub(crate) fn troubled_at(by: &meet::Terms, run: RunId, shape: &RunShape) -> Vec<Length> {
    let meet::Terms { floor, settings, offset, .. } = *by;
    let spaces = [LOWER, UPPER].map(|layer| spaces_between(shape, layer));
    let bare = bare_spaces(&spaces, settings);
    let mut out: Vec<Length> = bare.map(|(_, s, _)| s.start.profile.greatest()).collect();
    let layers = spaces.map(with_room);
    let cutting = cutting(by, run, shape, &layers);
    let Cutting { chosen, cost } = &*cutting;
    if cost.is_sound() {
        return out;
    }
    let studs = studs::lay_out(floor, run, shape, settings);
    let mut joints: [Vec<(Length, Length)>; 2] =
        [LOWER, UPPER].map(|l| shape.gaps[l].iter().map(Gap::range).collect());
    for l in [LOWER, UPPER] {
        let gap = clearance(settings, l);
        for (s, at) in layers[l].iter().map(Stretch::space).zip(&chosen[l]) {
            let mut from = s.from;
            for to in at.iter().copied().chain([s.to]) {
                let short = to - from < short_limit(floor, settings, run);
                out.extend(short.then_some((from + to).half()));
                from = to + gap;
            }
            joints[l].extend(at.iter().map(|at| (*at, *at + gap)));
        }
    }
    let no_bearing = under::no_bearing(&studs);
    for l in &joints[LOWER] {
        let near = joints[UPPER].iter().any(|u| near(*l, *u, offset));
        let over = no_bearing.iter().any(|o| l.0 > o.0 && l.1 < o.1);
        out.extend((near || over).then_some(l.0));
    }
    out
}

/// For each layer, the joints of each stretch.
type Chosen = [Vec<Vec<Length>>; 2];

/// Where a run is cut, and what that costs.
pub(crate) struct Cutting {
    chosen: Chosen,
    cost: Cost,
}

impl Cutting {
    pub(crate) fn has_joints(&self) -> bool {
        self.chosen.iter().flatten().any(|joints| !joints.is_empty())
    }
}

fn choose_joints(job: &Job, layers: &[Vec<Stretch>; 2]) -> Cutting {
    let Job { settings, run, shape, studs, .. } = *job;
    let section = job.floor.run(run).section;
    let zero = lower_start(shape);
    let boards = Stocked::of(settings, section, job.floor.run(run).slope());
    // A notch ties to one lower plate, so neither layer is cut there.
    let around = Length::inches(3);
    let notches = shape.notches.iter().map(|n| (n.range().0 - around, n.range().1 + around));
    let closed = merged(notches.collect());
    let fixed = [LOWER, UPPER].map(|l| interruptions(shape, l));
    let gaps = [LOWER, UPPER].map(|l| shape.gaps[l].iter().map(Gap::range).collect::<Vec<_>>());
    let laps = [LOWER, UPPER].map(|l| {
        let mut laps = gaps[1 - l].clone();
        laps.extend(laps_at_ends(shape, l));
        merged(laps)
    });
    let (openings, scraps) = (under::no_bearing(studs), under::beside_doors(studs));
    let terms = [LOWER, UPPER].map(|layer| Terms {
        short: short_limit(job.floor, settings, run),
        gap: clearance(settings, layer),
        offset: job.offset,
        others: &fixed[1 - layer],
        laps: &laps[layer],
        closed: &closed,
        openings: if layer == LOWER { &openings } else { &[] },
        scraps: if layer == LOWER { &scraps } else { &[] },
        studs: &studs.to_the_top,
        stud_half: studs.half,
        boards: &boards,
        zero,
        grid: tape(section),
        rounded_down: layer == UPPER,
    });
    let level = job.floor.run(run).slope().is_none();
    let space = |s: &Stretch| {
        let space = s.space();
        if level { space.on_tape(zero, tape(section)) } else { space }
    };
    let spaces = [LOWER, UPPER].map(|l| layers[l].iter().map(space).collect::<Vec<_>>());
    let choice = joints::choose(&spaces, &terms);
    let chosen = [LOWER, UPPER].map(|l| {
        let in_space = |s: &Space| -> Vec<Length> {
            choice.joints[l].iter().copied().filter(|at| *at > s.from && *at < s.to).collect()
        };
        spaces[l].iter().map(in_space).collect()
    });
    let breaches = joints::fixed_breaches(&gaps[LOWER], &gaps[UPPER], job.offset);
    Cutting { chosen, cost: choice.cost.plus(Cost { breaches, ..Cost::default() }) }
}

fn report_too_long(job: &Job, cost: &Cost, findings: &mut Vec<Finding>) {
    let r = job.floor.run(job.run);
    if cost.too_long > 0 {
        let longest = job.settings.stock.longest_piece(r.section);
        let f = Finding::new(
            codes::PIECE_TOO_LONG,
            format!(
                "{} cannot be cut from boards of {} or less.",
                run_name(job.run),
                longest.feet_inches()
            ),
        );
        findings.push(f.at(r.start).about(run_name(job.run)));
    }
}

fn draw_stretch(
    job: &Job,
    r: &Run,
    layer: Layer,
    s: &Stretch,
    joints: &[Length],
    gap: Length,
    pieces: &mut Vec<Piece>,
) {
    let half = r.section.width().half();
    let joint_end =
        |at: Length| PlateEnd { profile: Profile::square(half, at), against: Against::SameRun };
    let mut from = s.start.clone();
    for at in joints {
        pieces.push(draw(job, r, layer, &from, &joint_end(*at)));
        from = joint_end(*at + gap);
    }
    pieces.push(draw(job, r, layer, &from, &s.end));
}

/// What is left of a stretch of the bottom plate that ends at these doors.
fn between_doors(s: &Stretch, doors: &[(Length, Length)]) -> Vec<Stretch> {
    let end = &s.end;
    // A bevel may reach into the door: it goes on from the door's edge.
    let before_door = |at: Length| PlateEnd {
        profile: end.profile.not_after(at),
        against: if end.profile.least() < at { end.against } else { Against::Open },
    };
    let after_door = |e: &PlateEnd, at: Length| PlateEnd {
        profile: e.profile.not_before(at),
        against: if e.profile.greatest() > at { e.against } else { Against::Open },
    };
    let mut out = Vec::new();
    let mut from = Some(s.start.clone());
    for (a, b) in doors {
        let Some(f) = &from else { break };
        if *b <= f.profile.least() || *a >= end.profile.greatest() {
            continue;
        }
        if *a > f.profile.greatest() + THIN {
            out.push(Stretch { start: f.clone(), end: before_door(*a) });
        }
        from = (*b + THIN < end.profile.least()).then(|| after_door(f, *b));
    }
    out.extend(from.map(|start| Stretch { start, end: end.clone() }));
    out
}

/// Where a bottom plate between two doors is cut: as the lower one above it, but for joints that leave a
/// short piece beside a door. Where a piece then is longer than the boards, it is cut on its own.
fn joints_between_doors(job: &Job, part: &Stretch, lower: &[Length]) -> Vec<Length> {
    let (space, section) = (part.space(), job.floor.run(job.run).section);
    let short = short_limit(job.floor, job.settings, job.run);
    let apart = short.max(LEAST_PIECE);
    let (least, most) = (space.joints_from + apart, space.joints_to - apart);
    let kept: Vec<Length> =
        lower.iter().copied().filter(|at| *at >= least && *at <= most).collect();
    let boards = Stocked::of(job.settings, section, None);
    let terms = Terms {
        short,
        gap: Length::ZERO,
        offset: Length::ZERO,
        others: &[],
        laps: &[],
        closed: &[],
        openings: &[],
        scraps: &[],
        studs: &job.studs.centres,
        stud_half: job.studs.half,
        boards: &boards,
        zero: lower_start(job.shape),
        grid: tape(section),
        rounded_down: false,
    };
    let longest = terms.longest_in(space);
    let ends: Vec<Length> =
        [space.from].into_iter().chain(kept.clone()).chain([space.to]).collect();
    if ends.windows(2).all(|p| p[1] - p[0] <= longest) {
        return kept;
    }
    joints::of_one_layer(space, &terms)
}

fn draw(job: &Job, r: &Run, layer: Layer, start: &PlateEnd, end: &PlateEnd) -> Piece {
    let frame = r.frame();
    let half = r.section.width().half();
    let (from, to) = (start.profile.least(), end.profile.greatest());
    let mine = |n: &&NotchAt| n.range().0 > from && n.range().1 < to;
    let notches: Vec<&NotchAt> = if layer == Layer::Upper {
        job.shape.notches.iter().filter(mine).collect()
    } else {
        Vec::new()
    };
    let bite = |side: Side| notches.iter().filter(move |n| n.side == side);
    let mut ring: Vec<(Length, Length)> = Vec::new(); // station, offset
    // Right edge forward, far end to the left, left edge back, near end to the right.
    let first = |p: &Profile| p.0.first().map_or(Length::ZERO, |v| v.1);
    ring.push((first(&start.profile), -half));
    for n in bite(Side::Right) {
        let level = -half + n.depth;
        ring.extend([
            (n.edge.0, -half),
            (n.bottom.0, level),
            (n.bottom.1, level),
            (n.edge.1, -half),
        ]);
    }
    ring.extend(end.profile.0.iter().map(|(o, s)| (*s, *o)));
    let mut left: Vec<_> = bite(Side::Left).collect();
    left.reverse();
    for n in left {
        let level = half - n.depth;
        ring.extend([(n.edge.1, half), (n.bottom.1, level), (n.bottom.0, level), (n.edge.0, half)]);
    }
    ring.extend(start.profile.0.iter().skip(1).rev().map(|(o, s)| (*s, *o)));
    let mut outline: Vec<Point> = ring.into_iter().map(|(s, o)| frame.at(s, o)).collect();
    outline.dedup();
    if outline.first() == outline.last() {
        outline.pop();
    }
    debug_assert!(polygon_area_nm2(&outline) > 0, "{outline:?}");
    let thick = r.section.thickness();
    // The bottom plate lies on the floor.
    let slope = r.slope().filter(|_| layer != Layer::Bottom);
    let plates_below_top = match layer {
        Layer::Upper => 1,
        _ => 2,
    };
    let underside =
        |s: Length| r.top_at(s) - slope.map_or(thick, |k| k.plumb(thick)) * plates_below_top;
    let printed = printed(job, r, layer, from, to, slope);
    let edge = slope.map_or(as_cut(job, r, layer, from, to), |k| k.along(to - from));
    let overhang = slope.map_or(Length::ZERO, |k| k.overhang(thick));
    let ends = [(start, false), (end, true)].map(|(e, far)| {
        let (cut_deg, tilt_deg) = on_the_face(e.profile.cut_deg(far), slope, far);
        PieceEnd { cut_deg, tilt_deg, against: e.against }
    });
    let marks: Vec<Mark> = job
        .studs
        .marks
        .iter()
        .filter(|m| m.at >= from && m.at <= to)
        .map(|m| Mark { at: m.at - from, kind: m.kind })
        .collect();
    Piece {
        mark: String::new(),
        run: job.run,
        storey: r.storey,
        layer,
        section: r.section,
        from,
        to,
        outline,
        length: edge + overhang,
        printed: match (slope, layer) {
            (None, _) => printed,
            (Some(_), Layer::Upper) => (edge + overhang).floor_to(tape(r.section)),
            (Some(_), _) => (edge + overhang).round_to(tape(r.section)),
        },
        z: if layer == Layer::Bottom { r.base } else { underside(from) },
        rake: slope.map(|slope| Rake { slope, edge, edge_printed: printed, z_end: underside(to) }),
        ends,
        notches: notches
            .iter()
            .map(|n| Notch {
                from: n.edge.0 - from,
                to: n.edge.1 - from,
                depth: n.depth,
                side: n.side,
                stem: n.stem,
            })
            .collect(),
        marks,
        nails: Vec::new(),
    }
}

/// The finest mark on the tape: a sixteenth, or a millimetre for metric sections.
fn tape(section: Section) -> Length {
    if section.is_metric() { Length::mm(1) } else { Length::SIXTEENTH }
}

/// Where the tape is hooked: the run's lower plates are measured from here.
fn lower_start(shape: &RunShape) -> Length {
    shape.ends[LOWER][0].as_ref().map_or(Length::ZERO, |e| e.profile.least())
}

/// The length of a level plate as it will be cut: what is a hair from a mark of the tape is that mark. Lower and
/// bottom plates are measured from where the tape is hooked, so that their lengths add up.
fn as_cut(job: &Job, r: &Run, layer: Layer, from: Length, to: Length) -> Length {
    let (zero, grid) = (lower_start(job.shape), tape(r.section));
    let length = on_mark(to - zero, grid) - on_mark(from - zero, grid);
    if layer == Layer::Upper { on_mark(length, grid) } else { length }
}

/// The length that is marked on the board, along one face: whole sixteenths, or millimetres for metric
/// sections.
fn printed(
    job: &Job,
    r: &Run,
    layer: Layer,
    from: Length,
    to: Length,
    slope: Option<Slope>,
) -> Length {
    let grid = tape(r.section);
    let along = |level: Length| slope.map_or(level, |s| s.along(level));
    if layer == Layer::Upper {
        return slope
            .map_or(as_cut(job, r, layer, from, to), |s| s.along(to - from))
            .floor_to(grid);
    }
    let zero = lower_start(job.shape);
    along(to - zero).round_to(grid) - along(from - zero).round_to(grid)
}

/// A plumb cut, at an angle in plan, as the saw is set for it: the angle across the piece's face and the
/// tilt of the blade.
fn on_the_face(plan_deg: f64, slope: Option<Slope>, far_end: bool) -> (f64, f64) {
    let Some(slope) = slope else { return (plan_deg, 90.0) };
    let (sine, cosine) = plan_deg.to_radians().sin_cos();
    let (rise, level) = slope.sin_cos();
    // A level direction across the wall lies in the face as it is; one along the wall gets longer.
    let across = (sine * level).atan2(cosine).to_degrees();
    let acute = (sine * rise.abs()).acos().to_degrees();
    let upper_longer = far_end == (slope.ratio() > 0.0);
    let exact = |deg: f64| if plan_deg == 90.0 { 90.0 } else { deg };
    (exact(across), if upper_longer { acute } else { 180.0 - acute })
}

/// Puts the marks and nails of a piece where they are on the wood.
pub(crate) fn onto_the_wood(piece: &mut Piece) {
    let Some(rake) = piece.rake else { return };
    piece.marks.iter_mut().for_each(|m| m.at = rake.slope.along(m.at));
    piece.nails.iter_mut().for_each(|n| n.at = rake.slope.along(n.at));
}

fn joints_of(
    job: &Job,
    layer: Layer,
    index: usize,
    stretches: &[Stretch],
    chosen: &[Vec<Length>],
    gap: Length,
) -> Vec<Joint> {
    // A trimmer stands on the bottom plate, and under no other.
    let centres = match layer {
        Layer::Bottom => &job.studs.centres,
        _ => &job.studs.to_the_top,
    };
    let stud = |at: Length| carries(centres, job.studs.half, at);
    let mut out = Vec::new();
    let mut put = |lo: Length, hi: Length, kind: JointKind| {
        let half_gap = (hi - lo).half();
        let at = lo + half_gap;
        out.push(Joint {
            run: job.run,
            layer,
            at,
            half_gap,
            kind,
            on_stud: stud(at),
            offset: None,
        });
    };
    if let (Some(first), Some(last)) = (stretches.first(), stretches.last()) {
        let (lo, hi) = (first.start.profile.least(), last.end.profile.greatest());
        put(lo, lo, JointKind::End);
        put(hi, hi, JointKind::End);
    }
    // Between spaces that hold plates: where one between two gaps holds none, they are one.
    for pair in stretches.windows(2) {
        let (before, after) = (&pair[0].end, &pair[1].start);
        let mut gaps = job.shape.gaps[index].iter();
        let gap = gaps.find(|g| g.before == *before && g.after == *after);
        let wide = if index == UPPER { JointKind::LapGap } else { JointKind::Break };
        let kind = gap.map_or(wide, |g| g.kind);
        put(before.profile.least(), after.profile.greatest(), kind);
    }
    for s in chosen.iter().flatten() {
        put(*s, *s + gap, JointKind::Break);
    }
    out.sort_by_key(|j| (j.at, j.kind));
    out
}

/// The joints of a bottom plate that stops at doors: its own, where they are left, and one for each
/// door between two pieces.
fn joints_at_doors(job: &Job, pieces: &[Piece], own: Vec<Joint>) -> Vec<Joint> {
    let mut bottom: Vec<&Piece> = pieces.iter().collect();
    bottom.sort_by_key(|p| p.from);
    let joint = |lo: Length, hi: Length, kind: JointKind| {
        let half_gap = (hi - lo).half();
        let (run, layer, at) = (job.run, Layer::Bottom, lo + half_gap);
        let on_stud =
            lo == hi && kind == JointKind::Break && carries(&job.studs.centres, job.studs.half, at);
        Joint { run, layer, at, half_gap, kind, on_stud, offset: None }
    };
    let mut out = Vec::new();
    if let (Some(first), Some(last)) = (bottom.first(), bottom.last()) {
        out.push(joint(first.from, first.from, JointKind::End));
        for pair in bottom.windows(2) {
            let (lo, hi) = (pair[0].to, pair[1].from);
            let kept = own.iter().find(|j| j.kind == JointKind::Break && j.at >= lo && j.at <= hi);
            let door = joint(lo, hi, JointKind::Break);
            out.push(kept.filter(|j| j.half_gap >= door.half_gap).copied().unwrap_or(door));
        }
        out.push(joint(last.to, last.to, JointKind::End));
    }
    out
}

/// Clear distances between the joints of the two top layers.
fn measure_offsets(joints: &mut [Joint]) {
    let all: Vec<(Layer, Length, Length)> = joints
        .iter()
        .filter(|j| j.kind != JointKind::End && j.layer != Layer::Bottom)
        .map(|j| (j.layer, j.at - j.half_gap, j.at + j.half_gap))
        .collect();
    for j in joints.iter_mut().filter(|j| j.kind != JointKind::End && j.layer != Layer::Bottom) {
        let (lo, hi) = (j.at - j.half_gap, j.at + j.half_gap);
        j.offset = all
            .iter()
            .filter(|(layer, ..)| *layer != j.layer)
            .map(|(_, a, b)| (*a - hi).max(lo - *b).max(Length::ZERO))
            .min();
    }
}
