//! Finds free room for the labels of a drawing. Knows rectangles of paper, no walls.

use rustc_hash::FxHashSet;

/// A place for a label: its middle, and the direction it is read in (degrees, y down the page).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub x: f64,
    pub y: f64,
    pub angle: f64,
}

/// What is taken of a drawing, in cells of half a letter's height. Looked up only, never iterated, so
/// the order of the set does not show.
pub(crate) struct Labels {
    cell: f64,
    taken: FxHashSet<(i32, i32)>,
}

impl Labels {
    /// A free sheet for letters of that height.
    pub fn new(height: f64) -> Labels {
        Labels {
            cell: height / 2.0,
            taken: FxHashSet::with_capacity_and_hasher(8_192, Default::default()),
        }
    }

    fn cell_of(&self, x: f64, y: f64) -> (i32, i32) {
        ((x / self.cell).floor() as i32, (y / self.cell).floor() as i32)
    }

    /// Takes the line between two points, and `reach` to both sides.
    pub fn take_line(&mut self, from: (f64, f64), to: (f64, f64), reach: f64) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        let steps = (length / self.cell).ceil().clamp(1.0, 20_000.0) as i32;
        let wide = (reach / self.cell).ceil().clamp(0.0, 50.0) as i32;
        let normal = if length > 0.0 { (-dy / length, dx / length) } else { (0.0, 0.0) };
        for i in 0..=steps {
            let t = f64::from(i) / f64::from(steps);
            for k in -wide..=wide {
                let o = if wide == 0 { 0.0 } else { reach * f64::from(k) / f64::from(wide) };
                let cell =
                    self.cell_of(from.0 + dx * t + normal.0 * o, from.1 + dy * t + normal.1 * o);
                self.taken.insert(cell);
            }
        }
    }

    /// The first of the candidates where a label of that many letters is free, else the first; then
    /// takes it. `None` only if there are no candidates.
    pub fn place(
        &mut self,
        candidates: impl IntoIterator<Item = Spot>,
        letters: usize,
    ) -> Option<Spot> {
        let mut first = None;
        let mut found = None;
        for spot in candidates {
            first = first.or(Some(spot));
            if self.is_free(spot, letters) {
                found = Some(spot);
                break;
            }
        }
        let spot = found.or(first)?;
        let (a, b) = self.ends(spot, letters);
        self.take_line(a, b, self.cell * 1.4);
        Some(spot)
    }

    /// As [`Labels::place`], but `None` where no candidate is free.
    pub fn place_if_free(
        &mut self,
        candidates: impl IntoIterator<Item = Spot>,
        letters: usize,
    ) -> Option<Spot> {
        let spot = candidates.into_iter().find(|s| self.is_free(*s, letters))?;
        self.place([spot], letters)
    }

    /// The line through the middle of a label. A letter is about 0.62 of its height wide.
    fn ends(&self, spot: Spot, letters: usize) -> ((f64, f64), (f64, f64)) {
        let half = letters as f64 * self.cell * 2.0 * 0.62 / 2.0;
        let (sin, cos) = spot.angle.to_radians().sin_cos();
        let (dx, dy) = (cos * half, sin * half);
        ((spot.x - dx, spot.y - dy), (spot.x + dx, spot.y + dy))
    }

    fn is_free(&self, spot: Spot, letters: usize) -> bool {
        let (a, b) = self.ends(spot, letters);
        let steps = (letters * 2).max(2);
        (0..=steps).all(|i| {
            let t = i as f64 / steps as f64;
            let cell = self.cell_of(a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
            !self.taken.contains(&cell)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_labels_never_share_a_place_while_there_is_room() {
        let mut labels = Labels::new(4.0);
        let spots = [0.0, 8.0, 16.0].map(|y| Spot { x: 0.0, y, angle: 0.0 });
        let got: Vec<_> = (0..3).map(|_| labels.place(spots, 5).unwrap().y).collect();
        assert_eq!(got, [0.0, 8.0, 16.0]);
        assert_eq!(labels.place(spots, 5).unwrap().y, 0.0);
        assert_eq!(labels.place([], 5), None);
        assert_eq!(labels.place_if_free(spots, 5), None);
    }

    #[test]
    fn a_line_is_in_the_way() {
        let mut labels = Labels::new(4.0);
        labels.take_line((-50.0, 1.0), (50.0, 1.0), 2.0);
        let spots = [Spot { x: 0.0, y: 0.0, angle: 90.0 }, Spot { x: 0.0, y: 9.0, angle: 0.0 }];
        assert_eq!(labels.place(spots, 3).unwrap(), spots[1]);
    }
}
