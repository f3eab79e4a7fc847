//! A wall's body cut open along a line in plan, clips carried out: how low and how high what is left reaches from
//! one end to the other.

use super::affine::{Vec3, add};
use super::body::{Body, Prism};
use super::footprint::Plan;
use super::region::{Heights, Region, merged, outside, shared};
use super::removal::Removal;

/// Most steps of work on one wall; a body that needs more is no plain wall.
const WORK: usize = 4_000_000;

/// Most faces and planes looked at together.
const PARTS: usize = 1000;

/// A straight stretch of the top: stations from and to, heights at both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Stations.
    pub along: (f64, f64),
    /// Heights.
    pub z: (f64, f64),
}

impl Stretch {
    /// Its length along the section.
    pub fn len(&self) -> f64 {
        self.along.1 - self.along.0
    }
    /// Its height at a station.
    pub fn at(&self, s: f64) -> f64 {
        self.z.0 + (self.z.1 - self.z.0) * (s - self.along.0) / self.len()
    }
}

/// The line a wall is cut open along: start, unit direction, length.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Start.
    pub start: Plan,
    /// Unit direction.
    pub d: Plan,
    /// Length.
    pub len: f64,
}

impl Section {
    fn plan(&self, s: f64) -> Plan {
        (self.start.0 + self.d.0 * s, self.start.1 + self.d.1 * s)
    }
    fn locate(&self, p: Plan) -> (f64, f64) {
        let (x, y) = (p.0 - self.start.0, p.1 - self.start.1);
        (x * self.d.0 + y * self.d.1, y * self.d.0 - x * self.d.1)
    }
    /// Adds the stretches along which the section cuts a face.
    fn cut(&self, face: &[Vec3], out: &mut Vec<Stretch>) {
        let mut crossings: Vec<(f64, f64)> = Vec::new();
        for (p, q) in face.iter().zip(face.iter().cycle().skip(1)) {
            let ((s, o), (t, u)) = (self.locate((p[0], p[1])), self.locate((q[0], q[1])));
            if (o > 0.0) != (u > 0.0) {
                let k = o / (o - u);
                crossings.push((s + (t - s) * k, p[2] + (q[2] - p[2]) * k));
            }
        }
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in crossings.chunks_exact(2) {
            let stretch = Stretch { along: (pair[0].0, pair[1].0), z: (pair[0].1, pair[1].1) };
            // What is upright is no top.
            if stretch.len() > 1e-6 * self.len {
                out.push(stretch);
            }
        }
    }
}

/// One solid along the section.
struct Solid<'b> {
    faces: Vec<Stretch>,
    removed: Vec<Taken<'b>>,
}

/// A part taken off, with the faces of its plain parts along the section.
struct Taken<'b> {
    region: &'b Region,
    parts: Vec<(&'b Removal, Vec<Stretch>)>,
}

impl<'b> Taken<'b> {
    fn along(region: &'b Region, section: &Section) -> Taken<'b> {
        let part = |removal: &'b Removal| {
            let mut faces = Vec::new();
            removal.faces.iter().for_each(|f| section.cut(f, &mut faces));
            (removal, faces)
        };
        Taken { region, parts: region.parts().into_iter().map(part).collect() }
    }
    /// How much there is to look at.
    fn size(&self) -> usize {
        self.parts.iter().map(|(r, faces)| faces.len() + r.halves.len()).sum()
    }
    /// Adds the heights between which it lies.
    fn ranges(&self, at: Plan, s: f64, out: &mut Vec<(f64, f64)>) {
        let mut parts = self.parts.iter();
        out.extend(self.region.heights(&mut |removal| {
            let faces = parts.next().map(|p| p.1.as_slice()).unwrap_or_default();
            if removal.faces.is_empty() {
                return removal.range(at).into_iter().collect();
            }
            let here = faces.iter().filter(|f| f.along.0 <= s && s < f.along.1);
            let mut z: Vec<f64> = here.map(|f| f.at(s)).collect();
            z.sort_by(f64::total_cmp);
            z.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
        }));
    }
}

impl Solid<'_> {
    fn top(&self, section: &Section, s: f64, foot: f64) -> Option<f64> {
        let here = self.faces.iter().filter(|f| f.along.0 <= s && s <= f.along.1).map(|f| f.at(s));
        let mut top = here.fold(None, |t: Option<f64>, z| Some(t.map_or(z, |t| t.max(z))))?;
        let at = section.plan(s);
        let mut ranges: Vec<(f64, f64)> = Vec::new();
        self.removed.iter().for_each(|r| r.ranges(at, s, &mut ranges));
        // What one clip lays bare another may take.
        let slack = 1e-9 * (top - foot).abs();
        ranges.sort_by(|a, b| b.1.total_cmp(&a.1));
        for (low, high) in ranges {
            if high + slack < top {
                break;
            }
            top = top.min(low);
        }
        (top > foot).then_some(top)
    }

    /// The heights between which there is material at a station.
    fn filled(&self, section: &Section, s: f64) -> Heights {
        let here = self.faces.iter().filter(|f| f.along.0 <= s && s < f.along.1);
        let mut z: Vec<f64> = here.map(|f| f.at(s)).collect();
        z.sort_by(f64::total_cmp);
        let (Some(low), Some(high)) = (z.first().copied(), z.last().copied()) else {
            return Vec::new();
        };
        let pairs = z.chunks_exact(2).map(|p| (p[0], p[1])).filter(|p| p.1 > p.0);
        let mut own = merged(pairs.collect());
        if z.len() % 2 == 1 || own.is_empty() {
            own = vec![(low, high)];
        }
        let mut taken: Heights = Vec::new();
        let at = section.plan(s);
        self.removed.iter().for_each(|r| r.ranges(at, s, &mut taken));
        if taken.is_empty() { own } else { shared(&own, &outside(&merged(taken))) }
    }

    fn breaks(&self, section: &Section, out: &mut Vec<f64>) {
        out.extend(self.faces.iter().flat_map(|f| [f.along.0, f.along.1]));
        // Heights of slanted planes at both ends of the section, to be met with one another.
        let (a, b) = (section.plan(0.0), section.plan(section.len));
        let mut planes: Vec<(f64, f64)> = Vec::new();
        let ends = |f: &Stretch| (f.at(0.0), f.at(section.len));
        for (r, faces) in self.removed.iter().flat_map(|t| &t.parts) {
            planes.extend(faces.iter().map(ends));
            out.extend(faces.iter().flat_map(|f| [f.along.0, f.along.1]));
            for h in &r.halves {
                match (h.height(a), h.height(b)) {
                    (Some((za, _)), Some((zb, _))) => planes.push((za, zb)),
                    _ => out.extend(meet((h.depth(a), h.depth(b)), (0.0, 0.0), section.len)),
                }
            }
            for (p, q) in r.footprint.iter().flat_map(|f| f.iter().zip(f.iter().cycle().skip(1))) {
                let ((s, o), (t, u)) = (section.locate(*p), section.locate(*q));
                if (o > 0.0) != (u > 0.0) {
                    out.push(s + (t - s) * o / (o - u));
                }
            }
        }
        for (n, plane) in planes.iter().enumerate() {
            out.extend(planes.iter().skip(n + 1).filter_map(|p| meet(*plane, *p, section.len)));
            let faces = self.faces.iter().map(ends);
            out.extend(faces.filter_map(|f| meet(*plane, f, section.len)));
        }
    }
}

/// Where two lines over the section meet, given by their heights at its ends.
fn meet(a: (f64, f64), b: (f64, f64), len: f64) -> Option<f64> {
    let (from, to) = (a.0 - b.0, a.1 - b.1);
    ((from > 0.0) != (to > 0.0)).then(|| len * from / (from - to))
}

/// The faces of an extrusion, those of its holes too.
pub fn faces_of(prism: &Prism) -> impl Iterator<Item = Vec<Vec3>> {
    let outlines = std::iter::once(&prism.outline).chain(&prism.holes);
    outlines.flat_map(|o| {
        let far = o.iter().map(|p| add(*p, prism.sweep)).collect();
        let sides = o.iter().zip(o.iter().cycle().skip(1));
        let side =
            |(p, q): (&Vec3, &Vec3)| vec![*p, *q, add(*q, prism.sweep), add(*p, prism.sweep)];
        [o.clone(), far].into_iter().chain(sides.map(side))
    })
}

/// A body cut open along a section.
pub struct Opened<'b> {
    solids: Vec<Solid<'b>>,
    /// Stations between which nothing begins or ends, in order.
    breaks: Vec<f64>,
    section: Section,
}

impl<'b> Opened<'b> {
    /// Cuts a body open; `None` where the work would be out of proportion.
    pub fn along(body: &'b Body, section: &Section) -> Option<Opened<'b>> {
        let mut solids: Vec<Solid<'_>> = Vec::new();
        let mut whole = Vec::new();
        let is_cut = |n: usize| body.cut_loops.iter().any(|(r, _)| r.0 <= n && n < r.1);
        let free = body.facets().enumerate().filter(|(n, _)| !is_cut(*n));
        free.for_each(|(_, f)| section.cut(f, &mut whole));
        solids.push(Solid { faces: whole, removed: Vec::new() });
        for ((from, to), removed) in &body.cut_loops {
            let mut faces = Vec::new();
            let own = body.facets().skip(*from).take(to - from);
            own.for_each(|f| section.cut(f, &mut faces));
            let removed = removed.iter().map(|r| Taken::along(r, section)).collect();
            solids.push(Solid { faces, removed });
        }
        for p in &body.prisms {
            let mut faces = Vec::new();
            faces_of(p).for_each(|f| section.cut(&f, &mut faces));
            let removed = p.removed.iter().map(|r| Taken::along(r, section)).collect();
            solids.push(Solid { faces, removed });
        }
        let parts =
            |s: &Solid<'_>| s.faces.len() + s.removed.iter().map(Taken::size).sum::<usize>();
        let each: usize = solids.iter().map(|s| parts(s) + 1).sum();
        if each > PARTS {
            return None;
        }
        let mut breaks = vec![0.0, section.len];
        solids.iter().for_each(|s| s.breaks(section, &mut breaks));
        if breaks.len().saturating_mul(each) > WORK {
            return None;
        }
        breaks.retain(|s| (0.0..=section.len).contains(s));
        breaks.sort_by(f64::total_cmp);
        Some(Opened { solids, breaks, section: *section })
    }

    /// The intervals between two breaks that have a width.
    fn intervals(&self) -> impl Iterator<Item = (f64, f64)> {
        let least = 1e-6 * self.section.len;
        let each = self.breaks.iter().zip(self.breaks.iter().skip(1)).map(|(a, b)| (*a, *b));
        each.filter(move |(a, b)| b - a > least)
    }

    /// The stretches of the top, in order. Stations where nothing is left above `foot` have no stretch.
    pub fn top(&self, foot: f64) -> Vec<Stretch> {
        let top = |s: f64| {
            let tops = self.solids.iter().filter_map(|solid| solid.top(&self.section, s, foot));
            tops.fold(None, |t: Option<f64>, z| Some(t.map_or(z, |t| t.max(z))))
        };
        self.stretches(top)
    }

    /// The stretches of the foot, in order: how low there is material.
    pub fn foot(&self) -> Vec<Stretch> {
        self.stretches(|s| {
            let all = self.solids.iter().flat_map(|solid| solid.filled(&self.section, s));
            all.map(|(low, _)| low).reduce(f64::min)
        })
    }

    /// Between two breaks top and foot are straight: two points inside tell both ends.
    fn stretches(&self, height: impl Fn(f64) -> Option<f64>) -> Vec<Stretch> {
        let stretch = |(from, to): (f64, f64)| {
            let width = to - from;
            let (a, b) = height(from + 0.25 * width).zip(height(from + 0.75 * width))?;
            let half = (b - a) / 2.0;
            Some(Stretch { along: (from, to), z: (a - half, b + half) })
        };
        self.intervals().filter_map(stretch).collect()
    }

    /// The intervals with the heights between which there is material halfway along each. Faces that do not close
    /// count as if everything between the lowest and the highest were filled.
    pub fn filled(&self) -> impl Iterator<Item = ((f64, f64), Heights)> {
        self.intervals().map(|(from, to)| {
            let s = (from + to) / 2.0;
            let all = self.solids.iter().flat_map(|solid| solid.filled(&self.section, s));
            ((from, to), merged(all.collect()))
        })
    }
}

/// The stretches of the top along a section, in order; `None` where the work would be out of
/// proportion. Stations where nothing is left above `foot` have no stretch.
pub fn along(body: &Body, section: &Section, foot: f64) -> Option<Vec<Stretch>> {
    Some(Opened::along(body, section)?.top(foot))
}
