//! What lies between a layer's ends and gaps, before joints are chosen.

use crate::meet::{Gap, LOWER, PlateEnd, RunShape, UPPER};
use crate::profile::Profile;
use crate::split::Space;
use geom::Length;
use plan_model::Against;
use settings::Settings;
use wall_model::floor::{Floor, RunId};

/// Spaces with less than this between their ends are no plates.
pub(super) const SLIVER: Length = Length::sixty_fourths(2);

/// A bottom plate shorter than this beside a door is none: finer than any saw.
pub(super) const THIN: Length = Length::from_nm(25_400);

/// One uninterrupted stretch of a layer.
pub(super) struct Stretch {
    pub start: PlateEnd,
    pub end: PlateEnd,
}

impl Stretch {
    pub fn space(&self) -> Space {
        Space {
            from: self.start.profile.least(),
            to: self.end.profile.greatest(),
            joints_from: self.start.profile.greatest(),
            joints_to: self.end.profile.least(),
        }
    }
    /// Length along the right edge and along the left one; less than nothing where the ends cross.
    pub fn edges(&self) -> [Length; 2] {
        let ends = |p: &Profile| {
            let at = |v: Option<&(Length, Length)>| v.map_or(Length::ZERO, |v| v.1);
            [at(p.0.first()), at(p.0.last())]
        };
        let ([a, b], [c, d]) = (ends(&self.start.profile), ends(&self.end.profile));
        [c - a, d - b]
    }
    /// Whether it holds a plate: along both edges, and between them, where one stepped end may reach beyond the other.
    fn has_room(&self) -> bool {
        let (start, end) = (&self.start.profile, &self.end.profile);
        let clear = start.greatest() < end.least()
            || start.0.iter().all(|(o, s)| end.at(*o).all(|e| *s < e))
                && end.0.iter().all(|(o, e)| start.at(*o).all(|s| s < *e));
        clear && self.edges().iter().all(|e| *e > SLIVER)
    }
}

/// The spaces that hold a plate.
pub(super) fn with_room(mut spaces: Vec<Stretch>) -> Vec<Stretch> {
    spaces.retain(Stretch::has_room);
    spaces
}

/// How much of the wall stays bare in a space that holds no plate, because its ends cross on one edge or less
/// than a sliver is left: with the clearance that each end keeps from other plates, along the longer edge.
pub(super) fn left_bare(s: &Stretch, clearance: Length) -> Option<Length> {
    let edges = s.edges();
    let kept = [&s.start, &s.end].into_iter().filter(|e| e.against != Against::Open).count() as i64;
    let bare = edges[0].max(edges[1]) + clearance * kept;
    (!s.has_room() && bare > THIN).then_some(bare)
}

/// Those of the spaces of both layers that stay bare, with their layer and how much does.
pub(super) fn bare_spaces<'a>(
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
pub(super) fn spaces_between(shape: &RunShape, layer: usize) -> Vec<Stretch> {
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
pub(super) fn interruptions(shape: &RunShape, layer: usize) -> Vec<(Length, Length)> {
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
pub(super) fn laps_at_ends(
    shape: &RunShape,
    layer: usize,
) -> impl Iterator<Item = (Length, Length)> {
    let [starts, ends] = [0, 1].map(|k| {
        let own = shape.ends[layer][k].as_ref().map(|e| &e.profile);
        own.zip(shape.ends[1 - layer][k].as_ref().map(|e| &e.profile))
    });
    let starts = starts.map(|(own, other)| (own.least(), other.greatest()));
    let ends = ends.map(|(own, other)| (other.least(), own.greatest()));
    starts.into_iter().chain(ends).filter(|(from, to)| from < to)
}

/// What plates of a layer keep from others.
pub(super) fn clearance(settings: &Settings, layer: usize) -> Length {
    if layer == UPPER { settings.plates.upper_clearance } else { Length::ZERO }
}

/// The short-piece limit of a run. A wall hardly longer than that cannot have longer plates: there is none for it, so
/// that no other wall's plate is cut to make up for it.
pub(crate) fn short_limit(floor: &Floor, settings: &Settings, run: RunId) -> Length {
    let (r, short) = (floor.run(run), settings.plates.short_piece);
    if r.length() <= short + r.section.width() * 2 { Length::ZERO } else { short }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, of 2x4: a run that starts at a corner, 1-3/4 in after the node below and as far before it above, laps there above;
    /// at its other end, 100 in on, it laps below. Where both layers end at one place neither laps.
    #[test]
    fn a_layer_laps_where_it_reaches_beyond_the_other() {
        let half = Length::sixteenths(28);
        let end = |at: Length| {
            Some(PlateEnd { profile: Profile::square(half, at), against: Against::Open })
        };
        let far = Length::inches(100);
        let lower = [end(half), end(far + half)];
        let upper = [end(-half), end(far - half)];
        let shape = RunShape { ends: [lower.clone(), upper], ..RunShape::default() };
        let laps = |shape: &RunShape, layer| laps_at_ends(shape, layer).collect::<Vec<_>>();
        assert_eq!(laps(&shape, UPPER), [(-half, half)]);
        assert_eq!(laps(&shape, LOWER), [(far - half, far + half)]);
        let alike = RunShape { ends: [lower.clone(), lower], ..RunShape::default() };
        assert_eq!([LOWER, UPPER].map(|layer| laps(&alike, layer).len()), [0, 0]);
    }

    /// A start that comes to a point 5 in on in the middle of the plate, before square ends and before bevels that lean as it does or
    /// against it.
    #[test]
    fn a_point_that_reaches_beyond_the_other_end_leaves_no_room() {
        let inch = |x: f64| Length::from_inches(x).unwrap_or_default();
        let end = |v: &[(f64, f64)]| PlateEnd {
            profile: Profile(v.iter().map(|(o, s)| (inch(*o), inch(*s))).collect()),
            against: Against::Open,
        };
        let room = |start: &[(f64, f64)], stop: &[(f64, f64)]| {
            Stretch { start: end(start), end: end(stop) }.has_room()
        };
        let point = [(-1.75, 0.), (0., 5.), (1.75, 0.)];
        assert!(room(&point, &[(-1.75, 6.), (1.75, 6.)]));
        assert!(!room(&point, &[(-1.75, 4.), (1.75, 4.)]));
        // By hand 5 in the middle as well, and 7.
        assert!(!room(&point, &[(-1.75, 1.), (1.75, 9.)]));
        assert!(room(&point, &[(-1.75, 3.), (1.75, 11.)]));
        let bevel = [(-1.75, 0.), (1.75, 5.)];
        assert!(room(&bevel, &[(-1.75, 3.), (1.75, 8.)]));
        assert!(!room(&bevel, &[(-1.75, 8.), (0., 2.), (1.75, 8.)]));
    }
}
