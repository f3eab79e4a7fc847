//! A wall's body seen from its side: how far it reaches along the wall's line, where it is broken, and the holes
//! in it.

use super::body::Body;
use super::opened::{Opened, Section};

/// Narrower or lower holes are joints of the drawing, and narrower breaks no breaks: 2 in, as a part of 24 in.
const LEAST_HOLE: f64 = 2.0 / 24.0;

/// A notch from the foot lower than this is a stepped foot, no doorway: 48 in, as a part of 24 in.
const LEAST_NOTCH: f64 = 2.0;

/// Between openings there is at least this much wall: 3 in, as a part of 24 in. What is parted by less is the space
/// between studs of a wall drawn with its framing.
const LEAST_PIER: f64 = 3.0 / 24.0;

/// A part of the elevation without material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Stations from and to.
    pub along: (f64, f64),
    /// Heights from and to.
    pub z: (f64, f64),
}

/// What the body is along its line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Elevation {
    /// From the first material to the last; `None` of an empty section.
    pub reach: Option<(f64, f64)>,
    /// Stretches within the reach without any material.
    pub gaps: Vec<(f64, f64)>,
    /// Holes and notches from below.
    pub holes: Vec<Hole>,
}

/// Looks at a body along a section that covers all of it; `None` where the work would be out of proportion. `long` is
/// 24 in.
pub fn elevation(body: &Body, section: &Section, foot: f64, long: f64) -> Option<Elevation> {
    let opened = Opened::along(body, section)?;
    let mut out = Elevation::default();
    // What is thinner than this is no material: the hair a clip leaves.
    let hair = 1e-3 * long;
    let touch = 1e-5 * section.len;
    for ((from, to), filled) in opened.filled() {
        let filled: Vec<(f64, f64)> = filled.into_iter().filter(|r| r.1 - r.0 > hair).collect();
        let Some(first) = filled.first() else { continue };
        match &mut out.reach {
            Some(reach) => {
                if from - reach.1 > LEAST_HOLE * long {
                    out.gaps.push((reach.1, from));
                }
                reach.1 = to;
            }
            None => out.reach = Some((from, to)),
        }
        let below = (foot, first.0);
        let between = filled.iter().zip(filled.iter().skip(1)).map(|(a, b)| (a.1, b.0));
        for z in std::iter::once(below).chain(between).filter(|z| z.1 - z.0 > hair) {
            let same = out
                .holes
                .iter_mut()
                .find(|h| h.along.1 >= from - touch && h.z.0.max(z.0) < h.z.1.min(z.1));
            match same {
                Some(h) => {
                    h.along.1 = to;
                    h.z = (h.z.0.min(z.0), h.z.1.max(z.1));
                }
                None => out.holes.push(Hole { along: (from, to), z }),
            }
        }
    }
    // At the body's very end it is a step of the foot or how the wall fits what it meets.
    let reach = out.reach.unwrap_or_default();
    out.holes.retain(|h| h.along.0 > reach.0 + touch && h.along.1 < reach.1 - touch);
    out.holes.retain(|h| {
        let least = if h.z.0 - foot <= hair { LEAST_NOTCH } else { LEAST_HOLE };
        h.along.1 - h.along.0 > LEAST_HOLE * long && h.z.1 - h.z.0 > least * long
    });
    let close = |(a, b): (&Hole, &Hole)| {
        let pier = b.along.0 - a.along.1;
        pier > -touch && pier < LEAST_PIER * long && a.z.0.max(b.z.0) < a.z.1.min(b.z.1)
    };
    if out.holes.iter().zip(out.holes.iter().skip(1)).any(close) {
        out.holes.clear();
    }
    // The same of studs without plates.
    if let Some(reach) = out.reach {
        let starts = std::iter::once(reach.0).chain(out.gaps.iter().map(|g| g.1));
        let ends = out.gaps.iter().map(|g| g.0).chain([reach.1]);
        if starts.zip(ends).any(|(a, b)| b - a < LEAST_PIER * long) {
            out.gaps.clear();
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::affine::Vec3;
    use crate::geometry::body::Prism;

    const SECTION: Section = Section { start: (0.0, 2.0), d: (1.0, 0.0), len: 240.0 };

    fn face(points: &[(f64, f64)]) -> Vec<Vec3> {
        points.iter().map(|(s, z)| [*s, 0.0, *z]).collect()
    }
    fn rect(a: f64, b: f64, low: f64, high: f64) -> Vec<Vec3> {
        face(&[(a, low), (b, low), (b, high), (a, high)])
    }
    /// An elevation swept through the wall.
    fn swept(outline: Vec<Vec3>, holes: Vec<Vec<Vec3>>) -> Prism {
        Prism { outline, sweep: [0.0, 4.0, 0.0], curved: false, removed: Vec::new(), holes }
    }
    fn seen(prisms: Vec<Prism>) -> Elevation {
        elevation(&Body { prisms, ..Body::default() }, &SECTION, 0.0, 24.0).unwrap()
    }

    #[test]
    fn an_elevation_with_door_and_window() {
        let outline = face(&[
            (0.0, 0.0),
            (20.0, 0.0),
            (20.0, 80.0),
            (56.0, 80.0),
            (56.0, 0.0),
            (200.0, 0.0),
            (200.0, 97.0),
            (0.0, 97.0),
        ]);
        let e = seen(vec![swept(outline, vec![rect(100.0, 136.0, 36.0, 80.0)])]);
        assert_eq!(e.reach, Some((0.0, 200.0)));
        assert!(e.gaps.is_empty());
        let door = Hole { along: (20.0, 56.0), z: (0.0, 80.0) };
        let window = Hole { along: (100.0, 136.0), z: (36.0, 80.0) };
        assert_eq!(e.holes, [door, window]);
    }

    #[test]
    fn gaps_steps_and_frames() {
        let solid = |a, b, low, high| swept(rect(a, b, low, high), Vec::new());
        let e = seen(vec![solid(10.0, 40.0, 0.0, 97.0), solid(76.0, 120.0, 0.0, 97.0)]);
        assert_eq!((e.reach, e.gaps), (Some((10.0, 120.0)), vec![(40.0, 76.0)]));
        // Touching and overlapping solids are whole, a low step at the foot is no door.
        let e = seen(vec![
            solid(0.0, 60.0, 0.0, 97.0),
            solid(60.0, 120.0, 12.0, 97.0),
            solid(50.0, 70.0, 12.0, 90.0),
        ]);
        assert!(e.gaps.is_empty() && e.holes.is_empty(), "{e:?}");
        // Nor is a high one at the wall's very end.
        let e = seen(vec![solid(0.0, 60.0, 60.0, 97.0), solid(60.0, 120.0, 0.0, 97.0)]);
        assert!(e.holes.is_empty(), "{e:?}");
        // Studs between plates are no row of windows.
        let mut frame = vec![solid(0.0, 99.5, 0.0, 1.5), solid(0.0, 99.5, 94.0, 97.0)];
        frame.extend((0..7).map(|n| f64::from(n) * 16.0).map(|s| solid(s, s + 1.5, 1.5, 94.0)));
        assert!(seen(frame).holes.is_empty());
    }
}
