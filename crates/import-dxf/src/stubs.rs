//! Ends of partitions that look like pieces of the wall they stop before.
//!
//! Knows: stretches of two faces in the breaks of another wall's face. Never touches: gaps (`pairing`), layers. All in
//! inches.
//!
//! A doorway an inch or two beside a wall leaves a stub of its partition there, closed by the jamb. The jamb runs
//! beside the wall's far face, at a wall's thickness, where its near face is broken for the stub; two such stubs in
//! one line look like a wall with an opening.

use crate::crosscut::Strip;
use crate::facelines::CRACK_IN;
use crate::pairing::Chain;
use std::collections::BTreeMap;

/// Strips by the face lines they are of.
pub(crate) fn by_face(strips: &[Strip]) -> BTreeMap<usize, Vec<&Strip>> {
    let mut out: BTreeMap<usize, Vec<&Strip>> = BTreeMap::new();
    for s in strips {
        out.entry(s.low).or_default().push(s);
        out.entry(s.high).or_default().push(s);
    }
    out
}

/// Whether all stretches of a chain are shorter than it is thick, and each fills a break in another wall that has one
/// face in common with it and goes on before and behind.
pub(crate) fn are_stubs(c: &Chain, thick: f64, by_face: &BTreeMap<usize, Vec<&Strip>>) -> bool {
    let in_break = |face: usize, [from, to]: [f64; 2]| {
        let others = || {
            let all = by_face.get(&face).into_iter().flatten();
            all.filter(|o| (o.low, o.high) != (c.low, c.high))
        };
        let before = others().filter(|o| (o.to - from).abs() <= CRACK_IN);
        before.into_iter().any(|a| {
            others().any(|b| (a.low, a.high) == (b.low, b.high) && (b.from - to).abs() <= CRACK_IN)
        })
    };
    c.stretches.iter().all(|s| s[1] - s[0] < thick)
        && c.stretches.iter().all(|s| in_break(c.low, *s) || in_break(c.high, *s))
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use crate::tests::ok;

    /// A house with partitions of this thickness across it, 5 ft apart, each with a doorway that stops so far short of
    /// the upper wall's face.
    fn house(thick: f64, stub: f64, partitions: usize) -> Dxf {
        let mut d = Dxf::inches().polyline(
            "A-WALL",
            &[[0.0, 0.0], [480.0, 0.0], [480.0, 300.0], [0.0, 300.0]],
            true,
        );
        let (top, door) = (294.5, 294.5 - stub);
        let mut room = 5.5;
        for n in 0..partitions {
            let x = 200.0 + 60.0 * n as f64;
            // The room to the left of it, with its faces; both jambs.
            d = d.line("A-WALL", [room, 5.5], [x, 5.5]).line("A-WALL", [room, top], [x, top]);
            for face in [x, x + thick] {
                d = d.line("A-WALL", [face, 5.5], [face, door - 32.0]);
                d = d.line("A-WALL", [face, door], [face, top]);
            }
            for y in [door - 32.0, door] {
                d = d.line("A-WALL", [x, y], [x + thick, y]);
            }
            room = x + thick;
        }
        d = d.line("A-WALL", [room, 5.5], [474.5, 5.5]).line("A-WALL", [room, top], [474.5, top]);
        d.line("A-WALL", [5.5, 5.5], [5.5, top]).line("A-WALL", [474.5, 5.5], [474.5, top])
    }

    #[test]
    fn stubs_beside_doorways_are_no_wall_along_the_one_they_stop_at() {
        for thick in [3.5, 4.5] {
            for stub in [0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 2.25, 3.0, 4.5] {
                for partitions in [1, 2, 3] {
                    let walls = ok(&house(thick, stub, partitions)).value.walls;
                    let openings = walls.iter().map(|w| w.openings.len()).sum::<usize>();
                    let got = (walls.len(), openings);
                    assert_eq!(got, (4 + partitions, partitions), "{thick} {stub}");
                }
            }
        }
    }

    #[test]
    fn piers_between_windows_and_short_returns_beside_a_closet_stay_walls() {
        // A closet between two walls: returns of 3 in on both sides of its doorway.
        let mut d = Dxf::inches();
        for [x0, y0, x1, y1] in [[0.0, 0.0, 480.0, 360.0], [5.5, 5.5, 474.5, 354.5]] {
            d = d.polyline("A-WALL", &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], true);
        }
        for x in [200.0, 204.5, 240.5, 245.0] {
            d = d.line("A-WALL", [x, 300.0], [x, 354.5]);
        }
        for (from, to) in [(204.5, 207.5), (237.5, 240.5)] {
            for y in [320.0, 324.5] {
                d = d.line("A-WALL", [from, y], [to, y]);
            }
        }
        for x in [207.5, 237.5] {
            d = d.line("A-WALL", [x, 320.0], [x, 324.5]);
        }
        let walls = ok(&d).value.walls;
        let front = walls.iter().filter(|w| w.start.y == w.end.y && w.openings.len() == 1);
        assert_eq!(front.count(), 1);
    }
}
