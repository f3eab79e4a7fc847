//! A piece's outline read in its run's frame: extent, edges, ends, notches. Nothing here trusts what
//! the piece says about itself.

use crate::measure::{Bounds, cross, crosses_itself, dot, is_convex, minus};
use crate::report::Report;
use crate::{ROUNDING, SLIVER};
use diag::{Finding, codes::verify};
use geom::{Length, Point, polygon_area_nm2};
use plan_model::{Layer, Piece, PieceId, Plan, Side, piece_name};
use wall_model::StoreyId;
use wall_model::floor::{Floor, RunId};

/// A notch as the outline shows it; stations from the piece's own start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bite {
    pub from: Length,
    pub to: Length,
    pub depth: Length,
    pub side: Side,
}

/// What an outline says. Stations are on the run, nm.
#[derive(Clone, Debug)]
pub struct Shape {
    pub id: PieceId,
    pub run: RunId,
    pub storey: StoreyId,
    pub layer: Layer,
    /// Counter-clockwise, no repeated points.
    pub outline: Vec<Point>,
    pub bounds: Bounds,
    pub convex: bool,
    /// Least and greatest station.
    pub extent: [i64; 2],
    /// Least and greatest station on the right (0) and left (1) edge.
    pub edges: [[i64; 2]; 2],
    /// Angle of the first cut from the left edge at the start (0) and end (1), degrees.
    pub cut_deg: [f64; 2],
    /// By station.
    pub bites: Vec<Bite>,
}

impl Shape {
    /// Whether both ends are square: the edges reach equally far.
    pub fn reach_at(&self, end: usize) -> i64 {
        (self.edges[0][end] - self.edges[1][end]).abs()
    }
    /// Where its notches are, stations on the run, nm.
    pub fn notches(&self) -> impl Iterator<Item = [i64; 2]> + '_ {
        self.bites.iter().map(|b| [b.from, b.to].map(|s| self.extent[0] + s.nm()))
    }
    /// Square nanometres.
    pub fn area(&self) -> f64 {
        polygon_area_nm2(&self.outline).abs() as f64
    }
}

/// All outlines of a plan, and for each run and layer its pieces in order of station.
pub struct Shapes {
    /// By piece id; `None` for an outline that is no plate at all (it has a finding).
    pub by_piece: Vec<Option<Shape>>,
    /// Indices into `by_piece`: run, then layer, then pieces by station.
    chains: Vec<[Vec<u32>; 3]>,
}

impl Shapes {
    /// Reads every outline; those that are no plates are reported under item 1.
    pub fn read(floor: &Floor, plan: &Plan, report: &mut Report) -> Shapes {
        let line = report.line(
            1,
            "every outline is a simple polygon, counter-clockwise, as wide as its section, on its run's line",
        );
        let mut by_piece = Vec::with_capacity(plan.pieces.len());
        let mut chains: Vec<[Vec<u32>; 3]> = vec![Default::default(); floor.runs.len()];
        for (index, piece) in plan.pieces.iter().enumerate() {
            let id = PieceId(index as u32);
            match read_piece(floor, id, piece) {
                Ok(shape) => {
                    chains[shape.run.0 as usize][piece.layer as usize].push(index as u32);
                    by_piece.push(Some(shape));
                }
                Err(why) => {
                    let mut finding = Finding::new(
                        verify::PROOF_OUTLINE,
                        format!("Piece {} ({}): {why}.", piece_name(id), piece.mark),
                    )
                    .about(piece_name(id));
                    finding.at = piece.outline.first().copied();
                    report.breach(line, finding);
                    by_piece.push(None);
                }
            }
        }
        report.looked(line, plan.pieces.len());
        let station = |i: &u32| by_piece[*i as usize].as_ref().map(|s| (s.extent, s.id));
        for chain in chains.iter_mut().flatten() {
            chain.sort_by_key(station);
        }
        Shapes { by_piece, chains }
    }
    /// Readable outlines, by piece id.
    pub fn all(&self) -> impl Iterator<Item = &Shape> {
        self.by_piece.iter().flatten()
    }
    /// Readable outlines of one storey and layer.
    pub fn of(&self, storey: StoreyId, layer: Layer) -> impl Iterator<Item = &Shape> {
        self.all().filter(move |s| s.storey == storey && s.layer == layer)
    }
    /// Readable outlines of one run and layer, by station.
    pub fn chain(&self, run: RunId, layer: Layer) -> impl Iterator<Item = &Shape> {
        self.chains
            .get(run.0 as usize)
            .map(|c| c[layer as usize].as_slice())
            .unwrap_or_default()
            .iter()
            .filter_map(|i| self.by_piece[*i as usize].as_ref())
    }
    /// The outline of one run and layer that begins last, of those that begin at or before a station, nm.
    pub fn begun(&self, run: RunId, layer: Layer, station: i64) -> Option<&Shape> {
        let chain = self.chains.get(run.0 as usize)?[layer as usize].as_slice();
        let shape = |i: &u32| self.by_piece[*i as usize].as_ref();
        let after = chain.partition_point(|i| shape(i).is_some_and(|s| s.extent[0] <= station));
        shape(chain.get(after.checked_sub(1)?)?)
    }
    /// The outline of a piece, if it could be read.
    pub fn get(&self, id: PieceId) -> Option<&Shape> {
        self.by_piece.get(id.0 as usize)?.as_ref()
    }
}

/// Where a corner of the outline lies across the plate.
#[derive(Clone, Copy, PartialEq)]
enum Across {
    Right,
    Inside,
    Left,
}

fn read_piece(floor: &Floor, id: PieceId, piece: &Piece) -> Result<Shape, String> {
    let Some(run) = floor.runs.get(piece.run.0 as usize) else {
        return Err("it names a run that does not exist".to_owned());
    };
    if piece.storey != run.storey || piece.section != run.section {
        return Err("its storey or section is not its run's".to_owned());
    }
    let mut outline = piece.outline.clone();
    outline.dedup();
    if outline.len() < 3 || piece.outline.first() == piece.outline.last() {
        return Err("its outline has fewer than three corners or repeats the first".to_owned());
    }
    const FAR: i64 = 1_000_000_000_000_000;
    if outline.iter().any(|p| p.x.nm().abs() > FAR || p.y.nm().abs() > FAR) {
        return Err("a corner of its outline is over 1000 km away".to_owned());
    }
    if polygon_area_nm2(&outline) <= 0 {
        return Err("its outline does not run counter-clockwise round an area".to_owned());
    }
    if crosses_itself(&outline) {
        return Err("its outline crosses itself".to_owned());
    }
    if let Some(inches) = needle(&outline) {
        return Err(format!("its outline runs out and straight back again for {inches:.4} in"));
    }
    let frame = run.frame();
    let half = run.section.width().nm() / 2;
    let tol = ROUNDING.nm();
    let placed: Vec<(i64, i64, Across)> = outline
        .iter()
        .map(|p| {
            let (s, o) = frame.locate(*p);
            let across = if (o.nm() - half).abs() <= tol {
                Across::Left
            } else if (o.nm() + half).abs() <= tol {
                Across::Right
            } else {
                Across::Inside
            };
            (s.nm(), o.nm(), across)
        })
        .collect();
    if placed.iter().any(|(_, o, a)| *a == Across::Inside && o.abs() > half) {
        return Err("its outline leaves the band of its run".to_owned());
    }
    let reach = |wanted: Across| {
        let stations = placed.iter().filter(|(_, _, a)| *a == wanted).map(|(s, _, _)| *s);
        stations.clone().min().zip(stations.max()).map(|(a, b)| [a, b])
    };
    let (Some(right), Some(left)) = (reach(Across::Right), reach(Across::Left)) else {
        return Err("its outline is not as wide as its section".to_owned());
    };
    let all = || placed.iter().map(|(s, _, _)| *s);
    let extent = [all().min().unwrap_or(0), all().max().unwrap_or(0)];
    let (bites, cut_deg) = walk(&placed, half, extent[0]);
    Ok(Shape {
        id,
        run: piece.run,
        storey: piece.storey,
        layer: piece.layer,
        bounds: Bounds::of(&outline),
        convex: is_convex(&outline),
        outline,
        extent,
        edges: [right, left],
        cut_deg,
        bites,
    })
}

/// Length in inches of the first needle: a place of no width where the outline runs out and back.
fn needle(outline: &[Point]) -> Option<f64> {
    let n = outline.len();
    (0..n).find_map(|i| {
        let tip = outline[i];
        let before = outline[(i + n - 1) % n];
        // A tip may be blunt by a rounding step.
        let mut k = i + 1;
        while k < i + n - 1 && tip.distance(outline[k % n]) <= ROUNDING {
            k += 1;
        }
        let (u, v) = (minus(before, tip), minus(outline[k % n], tip));
        let (a, b) = (u.0.hypot(u.1), v.0.hypot(v.1));
        let apart = cross(u, v).abs() / a.max(b);
        let flat = dot(u, v) > 0.0 && apart <= 2.0 * ROUNDING.nm() as f64;
        (flat && a.min(b) > SLIVER.nm() as f64).then(|| a.min(b) / 25.4e6)
    })
}

/// Walks round the outline once: what dips in between two corners of one edge is a notch, what goes
/// from one edge to the other is an end.
fn walk(placed: &[(i64, i64, Across)], half: i64, start: i64) -> (Vec<Bite>, [f64; 2]) {
    let n = placed.len();
    let mut bites = Vec::new();
    let mut cut_deg = [90.0; 2];
    for i in 0..n {
        let (s, _, edge) = placed[i];
        if edge == Across::Inside {
            continue;
        }
        // The next corner on an edge, and what dips in between.
        let mut k = i + 1;
        let mut depth = 0;
        while k < i + n && placed[k % n].2 == Across::Inside {
            let o = placed[k % n].1;
            let from_edge = if edge == Across::Right { o + half } else { half - o };
            depth = depth.max(from_edge);
            k += 1;
        }
        let (s2, _, edge2) = placed[k % n];
        if edge == edge2 {
            if k > i + 1 {
                let side = if edge == Across::Right { Side::Right } else { Side::Left };
                let (from, to) = (s.min(s2) - start, s.max(s2) - start);
                let nm = Length::from_nm;
                bites.push(Bite { from: nm(from), to: nm(to), depth: nm(depth), side });
            }
            continue;
        }
        // Right to left is the end at the greater stations, left to right the one at the lesser.
        let (end, left, next) = if edge == Across::Right {
            (1, placed[k % n], placed[(k - 1) % n])
        } else {
            (0, placed[i], placed[(i + 1) % n])
        };
        let longer = if end == 1 { left.0 - next.0 } else { next.0 - left.0 };
        cut_deg[end] = ((left.1 - next.1) as f64).atan2(longer as f64).to_degrees();
    }
    bites.sort_by_key(|b| (b.from, b.side));
    (bites, cut_deg)
}
