//! A wall while the graph is being worked out.

use crate::alike::Alike;
use crate::place::Arrange;
use diag::SourceRef;
use geom::{Frame, Length, Point, Slope};
use lumber::Section;
use wall_model::{Opening, StoreyId, Wall, WallId, WallModel};

/// Direction of a line: along x, along y, or neither. Exact arithmetic holds on the first two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Dir(pub f64, pub f64);

impl Dir {
    pub(crate) fn dot(self, o: Dir) -> f64 {
        self.0 * o.0 + self.1 * o.1
    }
    pub(crate) fn along_the_sheet(self) -> bool {
        self.0 == 0.0 || self.1 == 0.0
    }
    pub(crate) fn back(self) -> Dir {
        Dir(-self.0, -self.1)
    }
    pub(crate) fn cross(self, o: Dir) -> f64 {
        self.0 * o.1 - self.1 * o.0
    }
}

#[derive(Clone, Debug)]
pub(crate) struct Line<'m> {
    /// The (first) wall it was drawn as: its number decides between equals, wherever in memory the line lies.
    pub wall: WallId,
    pub a: Point,
    pub b: Point,
    pub dir: Dir,
    length: Length,
    half_width: Length,
    half_drawn: Length,
    pub base: Length,
    /// At `a`.
    top: Length,
    /// Whether `drawn` has a slope, which holds from `a` to `b`.
    raked: bool,
    pub section: Section,
    drawn: &'m Wall,
    /// Few have any, and short lines are more to a piece of memory.
    changes: Option<Box<Changes>>,
}

/// What of a line is no longer as its wall was drawn.
#[derive(Clone, Debug, Default)]
struct Changes {
    /// How far `a` has moved along the line since openings got their stations.
    shift: Length,
    /// In place of what the wall has, where others were joined with it.
    joined: Option<Joined>,
}

#[derive(Clone, Debug)]
struct Joined {
    openings: Vec<Opening>,
    source: Vec<SourceRef>,
    exterior: Option<bool>,
    bearing: Option<bool>,
    /// As drawn, the greatest.
    thickness: Length,
}

impl<'m> Line<'m> {
    pub(crate) fn frame(&self) -> Frame {
        Frame::along(self.a, (self.dir.0, self.dir.1))
    }
    /// From `a` to `b` along the line.
    pub(crate) fn length(&self) -> Length {
        self.length
    }
    /// Half of what the wall takes up, finishes included.
    pub(crate) fn half_drawn(&self) -> Length {
        self.half_drawn
    }
    pub(crate) fn half_width(&self) -> Length {
        self.half_width
    }
    /// The same plates can run on over the joint of the two walls, which are in line.
    pub(crate) fn same_plates(&self, o: &Line) -> bool {
        (self.section, self.base) == (o.section, o.base) && self.same_top(o)
    }
    /// They do run on: their centrelines are one, within that.
    pub(crate) fn goes_on_as(&self, o: &Line, within: Length) -> bool {
        self.same_plates(o) && {
            let frame = self.frame();
            let aside = [o.a, o.b].map(|p| frame.locate(p).1.abs());
            aside[0].min(aside[1]) <= within
        }
    }
    /// One level, or one slope that neither leaves by more than the tape shows.
    fn same_top(&self, o: &Line) -> bool {
        if !self.raked && !o.raked {
            return self.top == o.top;
        }
        let near = |p: Point| (self.top_at(p) - o.top_at(p)).abs() <= Length::SIXTEENTH;
        [self.a, self.b, o.a, o.b].into_iter().all(near)
    }
    /// What tops of lines that may be [`Line::same_plates`] have in common.
    pub(crate) fn level_top(&self) -> Option<Length> {
        (!self.raked).then_some(self.top)
    }
    pub(crate) fn level_top_mut(&mut self) -> Option<&mut Length> {
        (!self.raked).then_some(&mut self.top)
    }
    pub(crate) fn is_raked(&self) -> bool {
        self.raked
    }
    fn slope(&self) -> Option<Slope> {
        if self.raked { self.drawn.slope() } else { None }
    }
    /// The top of the wall at a point of its line.
    pub(crate) fn top_at(&self, p: Point) -> Length {
        self.slope().map_or(self.top, |s| self.top + s.rise_over(self.frame().locate(p).0))
    }
    /// Entities it came from.
    pub(crate) fn source(&self) -> &[SourceRef] {
        self.joined().map_or(&self.drawn.source, |j| &j.source)
    }
    fn joined(&self) -> Option<&Joined> {
        self.changes.as_ref()?.joined.as_ref()
    }
    pub(crate) fn exterior(&self) -> Option<bool> {
        self.joined().map_or(self.drawn.exterior, |j| j.exterior)
    }
    pub(crate) fn bearing(&self) -> Option<bool> {
        self.joined().map_or(self.drawn.bearing, |j| j.bearing)
    }
    /// As drawn, the greatest of the walls joined.
    pub(crate) fn thickness(&self) -> Length {
        self.joined().map_or(self.drawn.drawn_thickness, |j| j.thickness)
    }
    /// Stations from `a`.
    pub(crate) fn openings(&self) -> impl Iterator<Item = Opening> {
        let own = self.joined().map_or(&self.drawn.openings, |j| &j.openings);
        let shift = self.changes.as_ref().map_or(Length::ZERO, |c| c.shift);
        own.iter().map(move |o| Opening { from: o.from - shift, to: o.to - shift, ..o.clone() })
    }
    /// Puts the line somewhere else; openings keep their stations.
    pub(crate) fn lay(&mut self, a: Point, b: Point, dir: Dir) {
        (self.a, self.b, self.dir) = (a, b, dir);
        self.length = self.frame().locate(b).0;
    }
    /// Moves the ends to new stations; openings keep their place.
    pub(crate) fn set_ends(&mut self, from: Length, to: Length) {
        let f = self.frame();
        self.top += self.slope().map_or(Length::ZERO, |s| s.rise_over(from));
        self.lay(f.at(from, Length::ZERO), f.at(to, Length::ZERO), self.dir);
        if from != Length::ZERO {
            self.changes.get_or_insert_default().shift += from;
        }
    }
    /// Takes over a parallel line that lies on this one, with its openings and sources.
    pub(crate) fn absorb(&mut self, other: &Line) {
        let f = self.frame();
        let (s, t) = (f.locate(other.a).0, f.locate(other.b).0);
        let mut openings: Vec<Opening> = self.openings().collect();
        for mut o in other.openings() {
            let forward = t >= s;
            (o.from, o.to) = if forward { (s + o.from, s + o.to) } else { (s - o.to, s - o.from) };
            if !openings.contains(&o) {
                openings.push(o);
            }
        }
        openings.sort_by_key(|o| (o.from, o.to, o.kind));
        let mut source = [self.source(), other.source()].concat();
        source.sort();
        source.dedup();
        let yes = |a: Option<bool>, b: Option<bool>| match (a, b) {
            (Some(a), Some(b)) => Some(a || b),
            (a, b) => a.or(b),
        };
        let joined = Joined {
            openings,
            source,
            exterior: yes(self.exterior(), other.exterior()),
            bearing: yes(self.bearing(), other.bearing()),
            thickness: self.thickness().max(other.thickness()),
        };
        self.changes = Some(Box::new(Changes { shift: Length::ZERO, joined: Some(joined) }));
        self.set_ends(s.min(t).min(Length::ZERO), self.length.max(s).max(t));
        self.half_drawn = self.half_drawn.max(other.half_drawn);
    }
}

pub(crate) fn direction(a: Point, b: Point) -> Dir {
    let d = Frame::between(a, b).map_or((1.0, 0.0), |f| f.dir());
    Dir(d.0, d.1)
}

/// The walls of a storey, arranged in memory, and what they have alike.
pub(crate) fn lines_of<'m>(
    model: &'m WallModel,
    storey: StoreyId,
    arrange: Arrange,
) -> (Vec<Line<'m>>, Alike) {
    let all = model.walls.iter().zip(0..);
    let here: Vec<u32> = all.filter(|(w, _)| w.storey == storey).map(|(_, i)| i).collect();
    let line = |number: u32| {
        let w = &model.walls[number as usize];
        let dir = direction(w.start, w.end);
        Line {
            wall: WallId(number),
            a: w.start,
            b: w.end,
            dir,
            length: Frame::along(w.start, (dir.0, dir.1)).locate(w.end).0,
            half_width: w.section.width().half(),
            half_drawn: w.drawn_thickness.max(w.section.width()).half(),
            base: w.base,
            top: w.top,
            raked: w.rise != Length::ZERO && w.slope().is_some(),
            section: w.section,
            drawn: w,
            changes: None,
        }
    };
    let mut alike = Alike::of_none();
    let all = arrange(&model.walls, here).into_iter().map(line);
    (all.inspect(|l| alike.add(l)).collect(), alike)
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
