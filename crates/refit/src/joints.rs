//! How the upper pieces of one run take up a difference.

use crate::WITH_THE_END;
use crate::plan::{Nails, Notch, Piece, Plan};
use geom::Length;

/// No joint nearer to a notch than this: the wood beside it would split (common practice, no source).
const CLEAR_OF_NOTCH: Length = Length::inches(3);
/// From a joint to the nails of either end, both over one stud.
const FROM_JOINT: Length = Length::sixteenths(12);

/// The pieces of a run, in order along it, for an end that stands `off` farther out than planned.
///
/// # Errors
/// Why no joints will do.
pub(crate) fn take_up(
    plan: &Plan,
    run: &str,
    pieces: &[Piece],
    off: Length,
) -> Result<Vec<Piece>, String> {
    let Some(last) = pieces.last() else { return Ok(Vec::new()) };
    let longest = plan.longest(last.section);
    let now = last.length + off;
    let too_short = now < plan.short_piece.min(last.length);
    if now <= longest && !too_short && now > Length::ZERO {
        let mut out = pieces.to_vec();
        if let Some(last) = out.last_mut() {
            stretch(last, off);
        }
        return Ok(out);
    }
    match cut_anew(plan, run, pieces, off) {
        Some(out) => Ok(out),
        None if now > longest => Err(format!(
            "its last upper piece would have to be {} long, and no joints over its studs keep {} from the joints below.",
            now.feet_inches(),
            plan.joint_offset.feet_inches()
        )),
        None if now <= Length::ZERO => {
            Err("nothing would be left of its last upper piece.".to_owned())
        }
        // A short piece is better than none; it is a last resort in the plan as well.
        None => {
            let mut out = pieces.to_vec();
            if let Some(last) = out.last_mut() {
                stretch(last, off);
            }
            Ok(out)
        }
    }
}

/// Moves a piece's end, and what lies near it, by `off`.
fn stretch(piece: &mut Piece, off: Length) {
    let end = piece.length;
    let moved = |at: Length| if at > end - WITH_THE_END { at + off } else { at };
    for n in &mut piece.notches {
        // A notch moves as one.
        let by = moved(n.to) - n.to;
        (n.from, n.to) = (n.from + by, n.to + by);
    }
    for n in &mut piece.nails {
        n.at = moved(n.at).max(Length::ZERO);
    }
    piece.length += off;
}

/// New joints for the last row of pieces that meet end to end.
fn cut_anew(plan: &Plan, run: &str, pieces: &[Piece], off: Length) -> Option<Vec<Piece>> {
    let row = 1 + pieces
        .windows(2)
        .rev()
        .take_while(|p| p[0].against[1] == "same-run" && p[1].against[0] == "same-run")
        .count();
    let (kept, row) = pieces.split_at(pieces.len() - row);
    let (mut whole, last) = (row.to_vec(), row.last()?);
    if let Some(last) = whole.last_mut() {
        stretch(last, off);
    }
    let (from, to) = (whole.first()?.from, last.to() + off);
    let half = plan.upper_clearance.half();
    let notches = absolute(&whole, |p| &p.notches, |n: &Notch, from| (n.from + from, n.to + from));
    let none = Vec::new();
    let below = plan.lower_joints.get(run).unwrap_or(&none);
    let allowed = |s: &Length| {
        let clear =
            below.iter().all(|(at, gap)| (*s - *at).abs() - *gap - half >= plan.joint_offset);
        let sound = notches
            .iter()
            .all(|(a, b)| *s + half + CLEAR_OF_NOTCH <= *a || *s - half - CLEAR_OF_NOTCH >= *b);
        *s - half > from && *s + half < to && clear && sound
    };
    let places: Vec<Length> = plan.studs.get(run)?.iter().copied().filter(allowed).collect();
    let joints = fewest(&places, from, to, half, plan.short_piece, plan.longest(last.section))?;

    let mut out = kept.to_vec();
    let mut starts = vec![from];
    let mut ends: Vec<Length> = Vec::new();
    for j in &joints {
        ends.push(*j - half);
        starts.push(*j + half);
    }
    ends.push(to);
    let nails =
        absolute(&whole, |p| &p.nails, |n: &Nails, from| Nails { at: n.at + from, ..n.clone() });
    let pieces_in_all = ends.len();
    for (i, (start, end)) in starts.into_iter().zip(ends).enumerate() {
        let model = whole.get(i).or(whole.last())?;
        let within = |at: Length| at >= start && at <= end;
        let mut own: Vec<Nails> = nails.iter().filter(|n| within(n.at)).cloned().collect();
        let ends_at_joints =
            [(i > 0, start + FROM_JOINT), (i + 1 < pieces_in_all, end - FROM_JOINT)];
        for (_, at) in ends_at_joints.into_iter().filter(|(joint, _)| *joint) {
            own.retain(|n| (n.at - at).abs() > FROM_JOINT);
            let nail = nails.first().map_or(String::new(), |n| n.nail.clone());
            own.push(Nails { at, count: 2, nail });
        }
        own.sort_by_key(|n| n.at);
        own.iter_mut().for_each(|n| n.at -= start);
        let bites = whole.iter().flat_map(|p| p.notches.iter().map(move |n| (p.from, n)));
        let bites = bites.filter(|(at, n)| within(*at + n.from));
        let bites = bites.map(|(at, n)| Notch {
            from: at + n.from - start,
            to: at + n.to - start,
            ..n.clone()
        });
        let extra = i >= whole.len();
        let same = || "same-run".to_owned();
        out.push(Piece {
            id: if extra { plan.unused_id(i - whole.len()) } else { model.id.clone() },
            mark: if extra {
                format!("{}+{}", model.mark, i + 1 - whole.len())
            } else {
                model.mark.clone()
            },
            from: start,
            length: end - start,
            cuts: [
                if i == 0 { row.first()?.cuts[0] } else { 90.0 },
                if i + 1 == pieces_in_all { last.cuts[1] } else { 90.0 },
            ],
            against: [
                if i == 0 { row.first()?.against[0].clone() } else { same() },
                if i + 1 == pieces_in_all { last.against[1].clone() } else { same() },
            ],
            notches: bites.collect(),
            nails: own,
            ..model.clone()
        });
    }
    Some(out)
}

/// Something of every piece, by station on the run.
fn absolute<T, U>(pieces: &[Piece], of: fn(&Piece) -> &Vec<T>, at: fn(&T, Length) -> U) -> Vec<U> {
    pieces.iter().flat_map(|p| of(p).iter().map(|t| at(t, p.from))).collect()
}

/// The fewest joints so that no piece is longer than `longest` or shorter than `short`; of equally few the
/// ones nearest the start. `places` ascend.
fn fewest(
    places: &[Length],
    from: Length,
    to: Length,
    half: Length,
    short: Length,
    longest: Length,
) -> Option<Vec<Length>> {
    let fits = |a: Length, b: Length| (short..=longest).contains(&(b - a));
    // Fewest pieces up to a joint at each place, and the joint before.
    let mut best: Vec<Option<(usize, Option<usize>)>> = Vec::with_capacity(places.len());
    for (i, p) in places.iter().enumerate() {
        let first = fits(from, *p - half).then_some((1, None));
        let later = (0..i).filter_map(|j| {
            let (n, _) = best[j]?;
            fits(places[j] + half, *p - half).then_some((n + 1, Some(j)))
        });
        best.push(first.into_iter().chain(later).min());
    }
    if fits(from, to) {
        return Some(Vec::new());
    }
    let last = (0..places.len()).filter(|i| fits(places[*i] + half, to));
    let (_, last) = last.filter_map(|i| best[i].map(|(n, _)| (n, i))).min()?;
    let mut joints = vec![places[last]];
    let mut at = best[last]?.1;
    while let Some(i) = at {
        joints.push(places[i]);
        at = best[i]?.1;
    }
    joints.reverse();
    Some(joints)
}
