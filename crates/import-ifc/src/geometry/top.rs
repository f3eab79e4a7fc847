//! What the top of a wall that was cut open along its line comes to: level, or a few legs that plates can follow.

use super::opened::Stretch;

/// Steeper than this is an end cut to fit its neighbour, no top that plates could follow.
const STEEPEST: f64 = 4.0;

/// Steeper than 24 in 12 is no top plate.
const STEEPEST_PLATE: f64 = 2.0;

/// What a top comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Top {
    /// Height that plates are planned at.
    pub planned: f64,
    /// Lowest and highest.
    pub range: (f64, f64),
    /// How it runs.
    pub run: Run,
}

/// Most legs of a top that plates follow.
const MOST_LEGS: usize = 6;

/// A top as a few straight legs that cover the whole section, in order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Legs {
    count: usize,
    legs: [Stretch; MOST_LEGS],
}

impl Legs {
    /// The same top over another stretch of its line: from station `from` to station `to` of the old one. Legs beyond
    /// are dropped, the outer ones reach to the new ends.
    pub fn over(&self, from: f64, to: f64) -> Option<Legs> {
        let inside = |l: &&Stretch| l.along.1 > from && l.along.0 < to;
        let mut legs: Vec<Stretch> = self.all().iter().filter(inside).copied().collect();
        let last = legs.len().checked_sub(1)?;
        for (n, l) in legs.iter_mut().enumerate() {
            let (a, b) =
                (if n == 0 { from } else { l.along.0 }, if n == last { to } else { l.along.1 });
            *l = Stretch { along: (a - from, b - from), z: (l.at(a), l.at(b)) };
        }
        let count = legs.len();
        legs.resize(MOST_LEGS, Stretch { along: (0.0, 0.0), z: (0.0, 0.0) });
        Some(Legs { count, legs: legs.try_into().ok()? })
    }
    /// The legs.
    pub fn all(&self) -> &[Stretch] {
        self.legs.get(..self.count).unwrap_or_default()
    }
}

/// How a top runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Run {
    /// Level from end to end.
    Level,
    /// Level at the planned height over this part of its length.
    Stepped(f64),
    /// Sloped, steepest by this much rise in run; planned at the low end.
    Sloped(f64),
    /// Sloped from the wall's very foot; planned at the highest point.
    FromFoot(f64),
}

/// Legs no shorter than this many levels (an eighth of an inch each) are plates of their own: 24 in.
const LEAST_LEG: f64 = 192.0;

/// A shorter one at the wall's very end is how it fits its neighbour: 6 in.
const END_FIT: f64 = 48.0;

/// The legs of a top from end to end of a section of this length; `None` where plates cannot follow it.
fn legs(stretches: &[Stretch], len: f64, level: f64) -> Option<Legs> {
    let mut legs: Vec<Stretch> = Vec::new();
    for s in stretches {
        match legs.last_mut() {
            // On the line of the one before: its end is where that would be there.
            Some(l)
                if (l.at(s.along.0) - s.z.0).abs() <= level
                    && (l.at(s.along.1) - s.z.1).abs() <= level =>
            {
                (l.along.1, l.z.1) = (s.along.1, s.z.1);
            }
            _ => legs.push(*s),
        }
    }
    let fit = |s: &Stretch| s.len() < END_FIT * level;
    if legs.len() > 1 && legs.first().is_some_and(fit) {
        legs.remove(0);
    }
    if legs.len() > 1 && legs.last().is_some_and(fit) {
        legs.pop();
    }
    // What is missing goes to the leg before it, at the very start to the first one.
    let starts: Vec<f64> = legs.iter().skip(1).map(|l| l.along.0).chain([len]).collect();
    let mut from = 0.0;
    for (leg, to) in legs.iter_mut().zip(starts) {
        let bare = (leg.along.0 - from) + (to - leg.along.1);
        if bare > LEAST_LEG * level || to - from < LEAST_LEG * level {
            return None;
        }
        *leg = Stretch { along: (from, to), z: (leg.at(from), leg.at(to)) };
        from = to;
    }
    // Where two meet within a hair they meet.
    for i in 1..legs.len() {
        let (a, b) = (legs[i - 1].z.1, legs[i].z.0);
        if (a - b).abs() <= level {
            (legs[i - 1].z.1, legs[i].z.0) = ((a + b) / 2.0, (a + b) / 2.0);
        }
    }
    for l in &mut legs {
        if (l.z.1 - l.z.0).abs() <= level {
            l.z = ((l.z.0 + l.z.1) / 2.0, (l.z.0 + l.z.1) / 2.0);
        }
    }
    let steep = legs.iter().any(|l| (l.z.1 - l.z.0).abs() > STEEPEST_PLATE * l.len());
    let count = legs.len();
    if steep || count == 0 || count > MOST_LEGS {
        return None;
    }
    legs.resize(MOST_LEGS, Stretch { along: (0.0, 0.0), z: (0.0, 0.0) });
    Some(Legs { count, legs: legs.try_into().ok()? })
}

/// The stretches that are top: without what is too steep, where that is little.
fn without_steep(stretches: &[Stretch]) -> Vec<Stretch> {
    let steep = |s: &Stretch| (s.z.1 - s.z.0).abs() > STEEPEST * s.len();
    let all: f64 = stretches.iter().map(Stretch::len).sum();
    let mut stretches: Vec<Stretch> = stretches.to_vec();
    if stretches.iter().filter(|s| steep(s)).map(Stretch::len).sum::<f64>() < 0.1 * all {
        stretches.retain(|s| !steep(s));
    }
    stretches
}

/// What plates can follow of a top that is not level, over a section of length `len`; else as [`sum_up`].
pub fn followed(
    stretches: &[Stretch],
    len: f64,
    foot: f64,
    level: f64,
    least: f64,
) -> Option<Legs> {
    let stretches = without_steep(stretches);
    let heights = || stretches.iter().flat_map(|s| [s.z.0, s.z.1]);
    let (low, high) = (heights().reduce(f64::min)?, heights().reduce(f64::max)?);
    if high - low <= level || low - foot < least {
        return None;
    }
    legs(&stretches, len, level)
}

/// Sums a top up. `level` is the difference that still counts as level, `least` the least height of a
/// wall above `foot`.
///
/// Plates that cannot follow a top ([`followed`]) are planned level: a height that holds over half the
/// length or more is the wall's; else the low end is, since that is where the walls at the eaves meet it with
/// the same top.
pub fn sum_up(stretches: &[Stretch], foot: f64, level: f64, least: f64) -> Option<Top> {
    let stretches = without_steep(stretches);
    let whole: f64 = stretches.iter().map(Stretch::len).sum();
    let heights = || stretches.iter().flat_map(|s| [s.z.0, s.z.1]);
    let low = heights().reduce(f64::min)?;
    let high = heights().reduce(f64::max)?;
    let top = |planned, run| Some(Top { planned, range: (low, high), run });
    if high - low <= level {
        return top(high, Run::Level);
    }
    let mut levels: Vec<(f64, f64)> = Vec::new();
    let mut flat: Vec<&Stretch> =
        stretches.iter().filter(|s| (s.z.1 - s.z.0).abs() <= level).collect();
    flat.sort_by(|a, b| a.z.0.total_cmp(&b.z.0));
    for s in flat {
        match levels.last_mut() {
            Some(l) if s.z.0 - l.0 <= level => l.1 += s.len(),
            _ => levels.push((s.z.0, s.len())),
        }
    }
    if let Some(l) = levels.iter().max_by(|a, b| a.1.total_cmp(&b.1))
        && l.1 >= 0.5 * whole
        && l.0 - foot >= least
    {
        return top(l.0, Run::Stepped(l.1 / whole));
    }
    let slope = stretches.iter().map(|s| ((s.z.1 - s.z.0) / s.len()).abs()).fold(0.0, f64::max);
    if low - foot >= least { top(low, Run::Sloped(slope)) } else { top(high, Run::FromFoot(slope)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::affine::Vec3;
    use crate::geometry::body::{Body, Prism};
    use crate::geometry::opened::{Section, along, faces_of};
    use crate::geometry::region::Region;
    use crate::geometry::removal::Removal;

    const SECTION: Section = Section { start: (0.0, 2.75), d: (1.0, 0.0), len: 120.0 };

    fn wall() -> Prism {
        let outline = vec![[0.0, 0.0, 0.0], [120.0, 0.0, 0.0], [120.0, 5.5, 0.0], [0.0, 5.5, 0.0]];
        Prism {
            outline,
            sweep: [0.0, 0.0, 138.0],
            curved: false,
            removed: Vec::new(),
            holes: Vec::new(),
        }
    }
    /// The faces of a part that takes everything above a line of heights over stations.
    fn above(line: &[(f64, f64)]) -> Region {
        let mut outline: Vec<Vec3> = line.iter().map(|(s, z)| [*s, -9.0, *z]).collect();
        let (first, last) = (outline[0], outline[outline.len() - 1]);
        outline.extend([[last[0], -9.0, 999.0], [first[0], -9.0, 999.0]]);
        let prism = Prism {
            outline,
            sweep: [0.0, 30.0, 0.0],
            curved: false,
            removed: Vec::new(),
            holes: Vec::new(),
        };
        solid(faces_of(&prism).collect())
    }
    fn solid(faces: Vec<Vec<Vec3>>) -> Region {
        Removal { faces, ..Removal::default() }.into()
    }
    fn cut_open(prism: Prism) -> Vec<Stretch> {
        let body = Body { prisms: vec![prism], ..Body::default() };
        along(&body, &SECTION, 0.0).unwrap()
    }
    fn top(prism: Prism) -> Top {
        sum_up(&cut_open(prism), 0.0, 0.125, 12.0).unwrap()
    }
    type Told = Vec<((f64, f64), (f64, f64))>;
    fn legs_of(prism: Prism) -> Option<Told> {
        let legs = followed(&cut_open(prism), SECTION.len, 0.0, 0.125, 12.0)?;
        Some(legs.all().iter().map(|l| (l.along, l.z)).collect())
    }
    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn uncut_it_is_level() {
        assert_eq!(top(wall()), Top { planned: 138.0, range: (138.0, 138.0), run: Run::Level });
    }

    #[test]
    fn an_eave_wall_is_as_high_as_what_is_left() {
        let mut w = wall();
        w.removed.push(above(&[(-9.0, 26.0), (200.0, 26.0)]));
        let t = top(w);
        assert!(near(t.planned, 26.0) && t.run == Run::Level, "{t:?}");
    }

    #[test]
    fn a_gable_is_planned_at_its_eaves() {
        let mut w = wall();
        w.removed.push(above(&[(-20.0, 10.0), (60.0, 90.0), (140.0, 10.0)]));
        // Plates follow it, in two legs that meet at the ridge.
        let told = legs_of(w.clone()).unwrap();
        assert_eq!(told, [((0.0, 60.0), (30.0, 90.0)), ((60.0, 120.0), (90.0, 30.0))]);
        let t = top(w);
        assert!(near(t.planned, 30.0) && near(t.range.1, 90.0), "{t:?}");
        assert!(matches!(t.run, Run::Sloped(s) if near(s, 1.0)));
        // From the foot on there is no low end to plan.
        let mut w = wall();
        w.removed.push(above(&[(-1.0, -1.0), (60.0, 60.0), (121.0, -1.0)]));
        assert_eq!(legs_of(w.clone()), None);
        let t = top(w);
        assert!(near(t.planned, 60.0) && matches!(t.run, Run::FromFoot(_)), "{t:?}");
    }

    #[test]
    fn a_step_leaves_the_longer_height() {
        let mut w = wall();
        w.removed.push(above(&[(-9.0, 97.0), (90.0, 97.0)]));
        let told = legs_of(w.clone()).unwrap();
        let t = top(w);
        assert!(near(t.planned, 97.0) && near(t.range.1, 138.0), "{t:?}");
        assert!(matches!(t.run, Run::Stepped(part) if near(part, 0.75)));
        assert_eq!(told, [((0.0, 90.0), (97.0, 97.0)), ((90.0, 120.0), (138.0, 138.0))]);
    }

    /// Too short a leg is no plate; at the wall's end it is how it fits its neighbour.
    #[test]
    fn short_legs_are_not_followed() {
        let with = |line: &[(f64, f64)]| {
            let mut w = wall();
            w.removed.push(above(line));
            legs_of(w)
        };
        let notched = with(&[
            (-9.0, 97.0),
            (50.0, 97.0),
            (50.1, 110.0),
            (70.0, 110.0),
            (70.1, 97.0),
            (130.0, 97.0),
        ]);
        assert_eq!(notched, None);
        let fitted =
            with(&[(-9.0, 90.0), (4.0, 90.0), (4.1, 97.0), (120.0, 126.0), (130.0, 128.5)]);
        let [(along, z)] = fitted.unwrap()[..] else { panic!("one leg") };
        assert!(near(along.1, 120.0) && along.0 == 0.0 && z.0 > 95.9, "{along:?} {z:?}");
    }

    #[test]
    fn a_hole_is_no_top_and_one_cut_may_bare_another() {
        let mut w = wall();
        let hole = above(&[(-9.0, 90.0), (200.0, 90.0)]);
        let mut faces = hole.parts()[0].faces.clone();
        for p in faces.iter_mut().flatten() {
            p[2] = p[2].min(120.0);
        }
        let hole = solid(faces);
        w.removed.push(hole.clone());
        assert!(near(top(w.clone()).planned, 138.0));
        w.removed.push(above(&[(-9.0, 110.0), (200.0, 110.0)]));
        assert!(near(top(w).planned, 90.0));
    }

    #[test]
    fn what_is_cut_off_may_itself_be_cut() {
        let low = || Box::new(above(&[(-9.0, 60.0), (200.0, 60.0)]));
        let high = || Box::new(above(&[(-9.0, 90.0), (200.0, 90.0)]));
        for (region, want) in [
            (Region::Both(low(), high()), 90.0),
            (Region::Either(low(), high()), 60.0),
            // Only what lies between 60 and 90 goes: the top stays.
            (Region::Less(low(), high()), 138.0),
            (Region::Outside(Box::new(Region::Outside(low()))), 60.0),
        ] {
            let mut w = wall();
            w.removed.push(region);
            assert!(near(top(w).planned, want), "{want}");
        }
    }

    #[test]
    fn a_faceted_body_is_cut_as_an_extruded_one() {
        let mut body = Body::default();
        for face in faces_of(&wall()) {
            let from = body.vertices.len();
            body.vertices.extend(face);
            body.loops.push((from, body.vertices.len()));
        }
        let gable = above(&[(-20.0, 10.0), (60.0, 90.0), (140.0, 10.0)]);
        body.cut_loops.push(((0, body.loops.len()), vec![gable]));
        let t = sum_up(&along(&body, &SECTION, 0.0).unwrap(), 0.0, 0.125, 12.0).unwrap();
        assert!(near(t.planned, 30.0) && near(t.range.1, 90.0), "{t:?}");
    }

    #[test]
    fn an_end_cut_steep_is_no_rake() {
        let mut w = wall();
        w.removed.push(above(&[(-1.0, 0.0), (5.0, 138.0)]));
        let t = top(w);
        assert!(near(t.planned, 138.0) && t.run == Run::Level, "{t:?}");
    }
}
