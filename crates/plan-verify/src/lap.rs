//! How an upper plate lies on the lower plates of another wall.

use crate::SLIVER;
use crate::footprint::IN_LINE;
use crate::measure::{cross, intersection, minus, moved, shared_area};
use crate::shape::Shape;
use crate::ties::Place;
use geom::{Length, Point};
use plan_model::{Layer, PieceId};
use wall_model::floor::RunId;

/// How an upper plate lies on the plates of another line.
pub struct Lap {
    /// Square to the other line, mean over the plate's width, nm.
    pub depth: f64,
    /// The same without the clearance where the upper layer ends.
    pub drawn_out: f64,
    /// Nothing of the crossing is left out.
    pub whole: bool,
    /// The lower plates it lies on.
    pub on: Vec<PieceId>,
}

impl Place<'_> {
    /// How `upper` lies on the lower plates `line`, which belong to runs in line with each other and
    /// not with the upper plate's.
    pub fn lap(&self, upper: &Shape, line: &[&Shape]) -> Lap {
        let own = self.floor.run(upper.run);
        let width = own.section.width().nm() as f64;
        let (mut covered, mut crossing) = (0.0, 0.0);
        let mut on = Vec::new();
        for lower in line {
            let area = area_shared(upper, lower);
            if area > SLIVER.nm() as f64 * width {
                on.push(lower.id);
            }
            covered += area;
            crossing += shared_area(&lower.outline, &self.band(upper.run));
        }
        let turn = line
            .first()
            .map_or(1.0, |l| cross(self.floor.run(l.run).frame().dir(), own.frame().dir()).abs());
        let slack = SLIVER.nm() as f64 * width * 2.0 / turn.max(IN_LINE);
        let least = crossing - slack;
        let drawn_out = if covered >= least { covered } else { self.drawn_out(upper, line, turn) };
        let whole = !on.is_empty() && drawn_out >= least;
        let [depth, drawn_out] = [covered, drawn_out].map(|area| area * turn / width);
        Lap { depth, drawn_out, whole, on }
    }

    /// Clearance that the upper layer of a run leaves open at either end of one of its plates, where it ends and
    /// does not go on with the next plate.
    pub fn left_open(&self, upper: &Shape) -> [Length; 2] {
        let clearance = self.settings.plates.upper_clearance;
        let next_to = |gap: i64| (0..=(clearance + SLIVER).nm()).contains(&gap);
        let others = || self.shapes.chain(upper.run, Layer::Upper).filter(|o| o.id != upper.id);
        let goes_on = [
            others().any(|o| next_to(upper.extent[0] - o.extent[1])),
            others().any(|o| next_to(o.extent[0] - upper.extent[1])),
        ];
        goes_on.map(|goes_on| if goes_on { Length::ZERO } else { clearance })
    }

    /// Area that `upper` and `line` would share without the clearance where the upper layer ends: at an oblique
    /// crossing beside an end it takes a corner off the lap.
    fn drawn_out(&self, upper: &Shape, line: &[&Shape], turn: f64) -> f64 {
        let dir = self.floor.run(upper.run).frame().dir();
        // Kept square to what it ends at, most often a wall beside the line and along it.
        let [start, end] = self.left_open(upper).map(|open| open.nm() as f64 / turn.max(0.25));
        let along = |by: f64| -> Vec<Point> {
            upper.outline.iter().map(|p| moved(*p, (dir.0 * by, dir.1 * by))).collect()
        };
        let drawn = [along(-start), upper.outline.clone(), along(end)];
        let lowers = line.iter().map(|l| l.outline.as_slice());
        intersection(drawn.iter().map(Vec::as_slice), lowers).iter().map(|p| p.area_nm2).sum()
    }

    /// The run's band, prolonged both ways past the junction.
    fn band(&self, run: RunId) -> Vec<Point> {
        let run = self.floor.run(run);
        let (frame, half) = (run.frame(), run.section.width().half());
        let reach = Length::inches(24 * 12);
        let (at, _) = frame.locate(self.junction.at);
        [(-reach, -half), (reach, -half), (reach, half), (-reach, half)]
            .map(|(s, o)| frame.at(at + s, o))
            .to_vec()
    }

    /// How far the upper plate reaches over one lower plate, square to that plate's wall, nm.
    pub fn reach_over(&self, upper: &Shape, lower: &Shape) -> f64 {
        let dir = self.floor.run(lower.run).frame().dir();
        // Either plate may have a stepped end, so neither need be convex.
        let one = std::iter::once(upper.outline.as_slice());
        let parts = intersection(one, std::iter::once(lower.outline.as_slice()));
        let corners = || parts.iter().flat_map(|p| &p.outer);
        let offsets = || corners().map(|p| cross(dir, minus(*p, self.junction.at)));
        offsets().fold(f64::MIN, f64::max) - offsets().fold(f64::MAX, f64::min)
    }
}

/// Area in nm² two outlines share.
pub fn area_shared(a: &Shape, b: &Shape) -> f64 {
    if !a.bounds.meets(&b.bounds, 0) {
        return 0.0;
    }
    if b.convex {
        return shared_area(&a.outline, &b.outline);
    }
    if a.convex {
        return shared_area(&b.outline, &a.outline);
    }
    let one = std::iter::once(a.outline.as_slice());
    intersection(one, std::iter::once(b.outline.as_slice())).iter().map(|p| p.area_nm2).sum()
}
