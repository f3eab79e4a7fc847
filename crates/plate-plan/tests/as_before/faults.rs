//! Plans with one thing wrong.

use geom::Length;
use invented_houses::seeded::Seeded;
use plan_model::{
    Against, JointKind, Layer, MarkKind, NailSpot, Piece, PieceId, Plan, Side, Tie, TieKind,
};

/// A plan broken in each way there is something to break, each time somewhere else.
pub fn of(plan: &Plan, seed: u64) -> Vec<(&'static str, Plan)> {
    let mut broken = Vec::new();
    for (number, (name, fault)) in FAULTS.iter().enumerate() {
        let mut seeded = Seeded::of(seed, number as u64);
        let mut wrong = plan.clone();
        if fault(&mut wrong, &mut seeded).is_some() {
            broken.push((*name, wrong));
        }
    }
    broken
}

/// `None` where the plan has no such thing.
type Fault = fn(&mut Plan, &mut Seeded) -> Option<()>;

const FAULTS: [(&str, Fault); 47] = [
    ("a piece is missing", |p, s| {
        let at = any(&p.pieces, s)?;
        p.pieces.remove(at);
        for tie in &mut p.ties {
            tie.pieces.iter_mut().for_each(|id| id.0 -= u32::from(id.0 as usize > at));
        }
        Some(())
    }),
    ("a piece is there twice", |p, s| {
        let twin = p.pieces[any(&p.pieces, s)?].clone();
        p.pieces.push(twin);
        Some(())
    }),
    ("a piece lies 1/8 in along its wall", |p, s| shifted(piece(p, |_| true, s)?, EIGHTH, EIGHTH)),
    ("a piece ends 1/16 in late", |p, s| shifted(piece(p, |_| true, s)?, Length::ZERO, SIXTEENTH)),
    ("a piece begins 1/4 in late", |p, s| {
        shifted(piece(p, |_| true, s)?, EIGHTH + EIGHTH, Length::ZERO)
    }),
    ("an upper piece ends 2 in early", |p, s| {
        shifted(piece(p, |p| p.layer == Layer::Upper, s)?, Length::ZERO, -Length::inches(2))
    }),
    ("a lower piece begins 2 in late", |p, s| {
        shifted(piece(p, |p| p.layer == Layer::Lower, s)?, Length::inches(2), Length::ZERO)
    }),
    ("a bottom piece begins 2 in early", |p, s| {
        shifted(piece(p, |p| p.layer == Layer::Bottom, s)?, -Length::inches(2), Length::ZERO)
    }),
    ("a corner of a piece lies 1/4 in aside", |p, s| {
        let corner = piece(p, |_| true, s)?.outline.get_mut(s.below(4))?;
        corner.y += EIGHTH + EIGHTH;
        Some(())
    }),
    ("a length is 1/16 in more", |p, s| {
        let piece = piece(p, |_| true, s)?;
        piece.length += SIXTEENTH;
        Some(())
    }),
    ("a printed length is 1/16 in more", |p, s| {
        let piece = piece(p, |_| true, s)?;
        piece.printed += SIXTEENTH;
        Some(())
    }),
    ("a piece lies 1-1/2 in higher", |p, s| {
        let piece = piece(p, |_| true, s)?;
        piece.z += Length::sixteenths(24);
        Some(())
    }),
    ("a piece is of another layer", |p, s| {
        let piece = piece(p, |_| true, s)?;
        piece.layer = if piece.layer == Layer::Upper { Layer::Lower } else { Layer::Upper };
        Some(())
    }),
    ("an end is cut at another angle", |p, s| {
        let end = s.below(2);
        piece(p, |_| true, s)?.ends[end].cut_deg += 3.0;
        Some(())
    }),
    ("an end leans", |p, s| {
        let end = s.below(2);
        piece(p, |_| true, s)?.ends[end].tilt_deg += 3.0;
        Some(())
    }),
    ("an end meets nothing", |p, s| {
        let end = s.below(2);
        let end = &mut piece(p, |_| true, s)?.ends[end];
        let other = if end.against == Against::Open { Against::SameRun } else { Against::Open };
        end.against = other;
        Some(())
    }),
    ("a slope is printed longer", |p, s| {
        let rake = piece(p, |p| p.rake.is_some(), s)?.rake.as_mut()?;
        rake.edge_printed += SIXTEENTH;
        Some(())
    }),
    ("a slope ends higher", |p, s| {
        let rake = piece(p, |p| p.rake.is_some(), s)?.rake.as_mut()?;
        rake.z_end += EIGHTH;
        Some(())
    }),
    ("a notch is missing", |p, s| taken_out(&mut notched(p, s)?.notches, s)),
    ("a notch lies 1/8 in aside", |p, s| {
        let notch = notched(p, s)?.notches.first_mut()?;
        (notch.from, notch.to) = (notch.from + EIGHTH, notch.to + EIGHTH);
        Some(())
    }),
    ("a notch is 1/8 in deeper", |p, s| {
        let notch = notched(p, s)?.notches.first_mut()?;
        notch.depth += EIGHTH;
        Some(())
    }),
    ("a notch is on the other edge", |p, s| {
        let notch = notched(p, s)?.notches.first_mut()?;
        notch.side = if notch.side == Side::Left { Side::Right } else { Side::Left };
        Some(())
    }),
    ("a mark lies 1/8 in aside", |p, s| {
        one(&mut piece(p, |p| !p.marks.is_empty(), s)?.marks, s)?.at += EIGHTH;
        Some(())
    }),
    ("a mark is missing", |p, s| taken_out(&mut piece(p, |p| !p.marks.is_empty(), s)?.marks, s)),
    ("nails are 2 in aside", |p, s| {
        one(&mut piece(p, |p| !p.nails.is_empty(), s)?.nails, s)?.at += Length::inches(2);
        Some(())
    }),
    ("nails are missing", |p, s| taken_out(&mut piece(p, |p| !p.nails.is_empty(), s)?.nails, s)),
    ("there are nails between studs", |p, s| {
        let piece = piece(p, |p| p.layer != Layer::Bottom && p.marks.len() > 4, s)?;
        let nails = piece.nails.first()?.clone();
        let pairs = piece.marks.windows(2).filter(|m| m[1].at - m[0].at > Length::inches(12));
        let at = pairs.map(|m| (m[0].at + m[1].at).half()).next()?;
        piece.nails.push(NailSpot { at, into_floor: false, ..nails });
        piece.nails.sort_by_key(|n| n.at);
        Some(())
    }),
    ("a mark is of another kind", |p, s| {
        let kind = &mut one(&mut piece(p, |p| !p.marks.is_empty(), s)?.marks, s)?.kind;
        *kind = if *kind == MarkKind::Stud { MarkKind::Trimmer } else { MarkKind::Stud };
        Some(())
    }),
    ("a stud is missing in all plates", |p, s| {
        let lower = piece(p, |p| p.layer == Layer::Lower && p.marks.len() > 2, s)?;
        let (run, mark) = (lower.run, *one(&mut lower.marks, s)?);
        let at = lower.from + mark.at;
        for q in p.pieces.iter_mut().filter(|q| q.run == run) {
            let from = q.from;
            q.marks.retain(|m| m.kind != mark.kind || (from + m.at - at).abs() > EIGHTH);
        }
        Some(())
    }),
    ("hardware is counted once more", |p, s| {
        one(&mut p.fasteners, s)?.count += 1;
        Some(())
    }),
    ("a strap is of plates that lie apart", |p, s| {
        let count = p.pieces.len() as u32;
        let joins =
            |t: &Tie| matches!(t.kind, TieKind::Strap | TieKind::Screw) && t.pieces.len() > 1;
        let last = one_like(&mut p.ties, joins, s)?.pieces.last_mut()?;
        *last = PieceId((last.0 + 7) % count);
        Some(())
    }),
    ("a joint is missing", |p, s| taken_out(&mut p.joints, s)),
    ("a joint is listed 1/8 in aside", |p, s| {
        one(&mut p.joints, s)?.at += EIGHTH;
        Some(())
    }),
    ("a joint has another gap", |p, s| {
        one(&mut p.joints, s)?.half_gap += SIXTEENTH;
        Some(())
    }),
    ("a joint is of another kind", |p, s| {
        let kind = &mut one(&mut p.joints, s)?.kind;
        *kind = if *kind == JointKind::Break { JointKind::LapGap } else { JointKind::Break };
        Some(())
    }),
    ("a joint is said to be over a stud, or not", |p, s| {
        let on_stud = &mut one(&mut p.joints, s)?.on_stud;
        *on_stud = !*on_stud;
        Some(())
    }),
    ("joints of two layers are listed an inch farther apart", |p, s| {
        let joint = one_like(&mut p.joints, |j| j.offset.is_some(), s)?;
        joint.offset = joint.offset.map(|l| l + Length::inches(1));
        Some(())
    }),
    ("a tie is missing", |p, s| taken_out(&mut p.ties, s)),
    ("a tie is of another kind", |p, s| {
        let kind = &mut one(&mut p.ties, s)?.kind;
        *kind = if *kind == TieKind::Lap { TieKind::Strap } else { TieKind::Lap };
        Some(())
    }),
    ("a tie names another piece", |p, s| {
        let count = p.pieces.len() as u32;
        let first = one(&mut p.ties, s)?.pieces.first_mut()?;
        *first = PieceId((first.0 + 1) % count);
        Some(())
    }),
    ("a lap or notch is listed longer", |p, s| {
        let is_lap = |t: &Tie| matches!(t.kind, TieKind::Lap | TieKind::Notch);
        one_like(&mut p.ties, is_lap, s)?.overlap += EIGHTH;
        Some(())
    }),
    ("there is a nail too few at one place", |p, s| {
        let nails = &mut piece(p, |p| p.nails.iter().any(|n| n.count > 1), s)?.nails;
        one_like(nails, |n| n.count > 1, s)?.count -= 1;
        Some(())
    }),
    ("nails of one place are of another kind", |p, s| {
        let nails = &mut piece(p, |p| !p.nails.is_empty(), s)?.nails;
        one(nails, s)?.nail = "8d box (2-1/2 x 0.113)".to_owned();
        Some(())
    }),
    ("nails go into the floor, or do not", |p, s| {
        let into = &mut one(&mut piece(p, |p| !p.nails.is_empty(), s)?.nails, s)?.into_floor;
        *into = !*into;
        Some(())
    }),
    ("a piece is of another section", |p, s| {
        let piece = piece(p, |_| true, s)?;
        let narrow = piece.section == lumber::Section::S2X4;
        piece.section = if narrow { lumber::Section::S2X6 } else { lumber::Section::S2X4 };
        Some(())
    }),
    ("a piece is of another wall", |p, s| {
        let runs = p.pieces.iter().map(|p| p.run.0).max()? + 1;
        let piece = piece(p, |_| runs > 1, s)?;
        piece.run.0 = (piece.run.0 + 1) % runs;
        Some(())
    }),
    ("two pieces have one name", |p, s| {
        let at = any(&p.pieces, s)?;
        let next = (at + 1) % p.pieces.len();
        (p.pieces.len() > 1).then(|| p.pieces[next].mark = p.pieces[at].mark.clone())
    }),
];

const SIXTEENTH: Length = Length::sixteenths(1);
const EIGHTH: Length = Length::sixteenths(2);

fn any<T>(of: &[T], s: &mut Seeded) -> Option<usize> {
    (!of.is_empty()).then(|| s.below(of.len()))
}

fn one<'p, T>(of: &'p mut [T], s: &mut Seeded) -> Option<&'p mut T> {
    let at = any(of, s)?;
    of.get_mut(at)
}

fn taken_out<T>(of: &mut Vec<T>, s: &mut Seeded) -> Option<()> {
    let at = any(of, s)?;
    of.remove(at);
    Some(())
}

fn one_like<'p, T>(
    of: &'p mut [T],
    like: impl Fn(&T) -> bool,
    s: &mut Seeded,
) -> Option<&'p mut T> {
    let alike: Vec<usize> = (0..of.len()).filter(|i| like(&of[*i])).collect();
    of.get_mut(alike[any(&alike, s)?])
}

fn piece<'p>(
    p: &'p mut Plan,
    like: impl Fn(&Piece) -> bool,
    s: &mut Seeded,
) -> Option<&'p mut Piece> {
    one_like(&mut p.pieces, like, s)
}

fn notched<'p>(p: &'p mut Plan, s: &mut Seeded) -> Option<&'p mut Piece> {
    piece(p, |p| !p.notches.is_empty(), s)
}

/// Moves the ends of a piece along it, its outline and its numbers alike, as a planner that is wrong would.
fn shifted(p: &mut Piece, at_start: Length, at_end: Length) -> Option<()> {
    let first = *p.outline.first()?;
    let last = *p.outline.iter().max_by_key(|c| first.distance(**c))?;
    let long = first.distance(last).to_inches();
    let (dx, dy) = ((last.x - first.x).to_inches() / long, (last.y - first.y).to_inches() / long);
    // An outline begins at either end: whichever way it runs, what is broken is broken.
    for corner in &mut p.outline {
        let by = if corner.distance(first) > corner.distance(last) { at_end } else { at_start };
        corner.x += Length::from_inches(dx * by.to_inches())?;
        corner.y += Length::from_inches(dy * by.to_inches())?;
    }
    (p.from, p.to) = (p.from + at_start, p.to + at_end);
    p.length += at_end - at_start;
    p.printed += at_end - at_start;
    Some(())
}
