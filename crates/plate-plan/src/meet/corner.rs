//! Two runs that end at one place: a corner, or a bend too flat to lap; and a corner that a third run butts from
//! outside.

use super::*;
use crate::profile::within;

/// What of a plate stands out beside a corner by less is not cut as a finger of it: no stud stands on one, and it
/// splits. The plate is square there (common practice, no source).
const FINGER: Length = Length::sixteenths(24);

/// Of three arms at a tee the two that make a corner of their own, and the one that butts it from outside.
pub(crate) struct TeeCorner {
    /// One of the two in line, and the stem.
    pub pair: [Arm; 2],
    pub third: Arm,
}

/// The corner at a tee whose straight line is two runs: the stem and the one run of the line that is as high, or, where
/// all three are, the one as wide. A line that leans a little or a stem that is nearly along it makes none.
pub(crate) fn tee_corner(floor: &Floor, j: &Junction) -> Option<TeeCorner> {
    if j.kind != JunctionKind::T || j.angle_deg.to_radians().sin() < BEND {
        return None;
    }
    let lines = lines_at(floor, j);
    let ([Through::Two(a, b)], [stem]) = (&lines.through[..], &lines.single[..]) else {
        return None;
    };
    let run = |x: &Arm| floor.run(x.run);
    let (p, q) = (run(a).frame().dir(), run(b).frame().dir());
    if (p.0 * q.1 - p.1 * q.0).abs() > STRAIGHT {
        return None;
    }
    let level = |x: &Arm| run(x).rise == Length::ZERO;
    let as_high =
        |x: &Arm| level(x) && level(stem) && floor.top_at(x.run, j) == floor.top_at(stem.run, j);
    let as_wide = |x: &Arm| run(x).section.width() == run(stem).section.width();
    let a_makes_it = match (as_high(a), as_high(b)) {
        (true, true) if as_wide(a) != as_wide(b) => as_wide(a),
        (high, other) if high != other => high,
        _ => return None,
    };
    let (in_line, third) = if a_makes_it { (*a, *b) } else { (*b, *a) };
    Some(TeeCorner { pair: [in_line, *stem], third })
}

/// The two arms that lap at a corner, where either run may carry through.
pub(crate) fn lapping_corner(floor: &Floor, j: &Junction) -> Option<[Arm; 2]> {
    match (j.kind, &j.arms[..]) {
        (JunctionKind::L, [a, b]) if floor.laps_at(j) && a.run != b.run && !bend::is_bend(j) => {
            Some([*a, *b])
        }
        _ => tee_corner(floor, j).map(|c| c.pair),
    }
}

impl Meet<'_> {
    pub(super) fn corner(&mut self, id: JunctionId) {
        let j = self.floor.junction(id);
        let [a, b] = j.arms[..] else { return };
        if bend::is_bend(j) {
            return self.bend(id, a, b);
        }
        if !self.floor.laps_at(j) {
            let (tall, low) = if self.is_over(j, a.run, b.run) { (a, b) } else { (b, a) };
            for layer in [LOWER, UPPER] {
                let against = self.step_against(j, low.run, tall.run);
                self.corner_layer(id, layer, tall, low, against);
            }
            self.step_tie(id, tall.run, low.run);
            return;
        }
        self.lapped(id, a, b);
    }

    /// One run goes through to the outer face in the lower layer, the other in the upper: that one is returned.
    fn lapped(&mut self, id: JunctionId, a: Arm, b: Arm) -> RunId {
        let by_rank = if self.rank(a.run) <= self.rank(b.run) { a.run } else { b.run };
        let carries = self.carriers.get(&id).copied().unwrap_or(by_rank);
        let (first, second) = if carries == a.run { (a, b) } else { (b, a) };
        self.corner_layer(id, LOWER, first, second, Against::Run(first.run));
        self.corner_layer(id, UPPER, second, first, Against::Run(second.run));
        let overlap = self.floor.run(first.run).section.width();
        self.lap(id, TieKind::Lap, second.run, vec![first.run], overlap);
        second.run
    }

    /// A corner of two, and a third run in line with one of them that stops at the corner's outside in both layers. Its
    /// plate can't go over the corner square: there the two lap.
    pub(super) fn corner_and_third(&mut self, id: JunctionId, corner: &TeeCorner) {
        let j = self.floor.junction(id);
        let TeeCorner { pair: [in_line, stem], third } = *corner;
        let above = self.lapped(id, in_line, stem);
        // Plates that lie above those of the corner end free.
        let is_over =
            matches!(self.step_against(j, stem.run, third.run), Against::Stud(r) if r == third.run);
        for layer in [LOWER, UPPER] {
            let free = is_over && layer == UPPER;
            let c = if free { Length::ZERO } else { self.clearance(layer) };
            let against =
                if free { Against::Open } else { self.step_against(j, third.run, stem.run) };
            let v = self.arm(third, j);
            let (shape, from) = self.outside_of_corner(&v, in_line, stem, c);
            self.butt_from(id, third, layer, &[shape], against, from);
        }
        if self.floor.laps_at(j) {
            self.strap(id, above, third.run);
        } else {
            self.step_or_strap(id, stem.run, third.run);
        }
    }

    /// The stem of a corner as the third run sees it: all of it, or, where that run stands out over the corner's other
    /// outer face, as far as that; what stands out begins at the node.
    fn outside_of_corner(
        &self,
        v: &ArmView,
        in_line: Arm,
        stem: Arm,
        grow: Length,
    ) -> (Shape, Option<Length>) {
        let whole = self.endless(v, stem.run, grow);
        let r = self.floor.run(in_line.run);
        let node = v.frame.at(Length::ZERO, Length::ZERO);
        let beside = r.frame().locate(node).1.abs();
        if beside + v.half() <= r.section.width().half() + FINGER {
            return (whole, None);
        }
        let other = self.endless(v, in_line.run, grow);
        let s = self.floor.run(stem.run);
        let far = if stem.at == ArmAt::Start { FAR } else { s.length() - FAR };
        let (s, o) = v.frame.locate(s.frame().at(far, Length::ZERO));
        (within(&whole, &other, (s.nm() as f64, o.nm() as f64)), Some(Length::ZERO))
    }

    pub(super) fn corner_layer(
        &mut self,
        id: JunctionId,
        layer: usize,
        carries: Arm,
        butts: Arm,
        against: Against,
    ) {
        let j = self.floor.junction(id);
        let far = self.endless(&self.arm(carries, j), butts.run, Length::ZERO);
        self.carry(id, carries, layer, &[far]);
        let near = self.endless(&self.arm(butts, j), carries.run, self.clearance(layer));
        self.butt(id, butts, layer, &[near], against);
    }
}
