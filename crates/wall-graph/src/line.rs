//! A wall while the graph is being worked out.

use diag::SourceRef;
use geom::{Frame, Length, Point};
use lumber::Section;
use wall_model::{Opening, StoreyId, WallId, WallModel};

/// Direction of a line: along x, along y, or neither. Exact arithmetic holds on the first two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Dir(pub f64, pub f64);

impl Dir {
    pub(crate) fn dot(self, o: Dir) -> f64 {
        self.0 * o.0 + self.1 * o.1
    }
    pub(crate) fn cross(self, o: Dir) -> f64 {
        self.0 * o.1 - self.1 * o.0
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub wall: WallId,
    pub a: Point,
    pub b: Point,
    pub dir: Dir,
    pub section: Section,
    pub drawn_thickness: Length,
    pub base: Length,
    pub top: Length,
    pub exterior: Option<bool>,
    pub bearing: Option<bool>,
    /// Stations from `a`.
    pub openings: Vec<Opening>,
    pub source: Vec<SourceRef>,
}

impl Line {
    pub(crate) fn frame(&self) -> Frame {
        Frame::along(self.a, (self.dir.0, self.dir.1))
    }
    pub(crate) fn length(&self) -> Length {
        self.frame().locate(self.b).0
    }
    /// Half of what the wall takes up, finishes included.
    pub(crate) fn half_drawn(&self) -> Length {
        self.drawn_thickness.max(self.section.width()).half()
    }
    pub(crate) fn half_width(&self) -> Length {
        self.section.width().half()
    }
    /// The same plates can run on over the joint of the two walls.
    pub(crate) fn same_plates(&self, o: &Line) -> bool {
        (self.section, self.base, self.top) == (o.section, o.base, o.top)
    }
    /// Moves the ends to new stations; openings keep their place.
    pub(crate) fn set_ends(&mut self, from: Length, to: Length) {
        let f = self.frame();
        (self.a, self.b) = (f.at(from, Length::ZERO), f.at(to, Length::ZERO));
        for o in &mut self.openings {
            (o.from, o.to) = (o.from - from, o.to - from);
        }
    }
}

pub(crate) fn direction(a: Point, b: Point) -> Dir {
    let d = Frame::between(a, b).map_or((1.0, 0.0), |f| f.dir());
    Dir(d.0, d.1)
}

pub(crate) fn lines_of(model: &WallModel, storey: StoreyId) -> Vec<Line> {
    let here = model.walls.iter().enumerate().filter(|(_, w)| w.storey == storey);
    here.map(|(i, w)| Line {
        wall: WallId(i as u32),
        a: w.start,
        b: w.end,
        dir: direction(w.start, w.end),
        section: w.section,
        drawn_thickness: w.drawn_thickness,
        base: w.base,
        top: w.top,
        exterior: w.exterior,
        bearing: w.bearing,
        openings: w.openings.clone(),
        source: w.source.clone(),
    })
    .collect()
}

/// `wall 2F on A-WALL-EXTR`: how a person finds the wall in the drawing.
pub(crate) fn drawn_name(source: &[SourceRef]) -> String {
    match source.first() {
        Some(s) if source.len() > 1 => {
            format!("{} on {} (and {} more)", s.entity, s.layer, source.len() - 1)
        }
        Some(s) => format!("{} on {}", s.entity, s.layer),
        None => "a wall".to_owned(),
    }
}
