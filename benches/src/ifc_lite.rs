//! The same two steps with `ifc-lite-core`, by its fastest calls: its scanner into its dense index, then
//! single records read by position, without its general entity cache.

use ifc_lite_core::parser::StepRecord;
use ifc_lite_core::{DenseEntityIndex, EntityScanner};
use rustc_hash::FxHashMap;

/// An opened file: where every entity is, and which are walls.
pub struct Opened<'a> {
    bytes: &'a [u8],
    index: DenseEntityIndex,
    walls: Vec<u32>,
}

/// Scans the file; `None` where its ids are too sparse for its dense index.
pub fn open(bytes: &[u8]) -> Option<Opened<'_>> {
    let guess = bytes.len() / 50;
    let mut ids = Vec::with_capacity(guess);
    let mut starts = Vec::with_capacity(guess);
    let mut lengths = Vec::with_capacity(guess);
    let mut walls = Vec::new();
    let mut scanner = EntityScanner::new(bytes);
    while let Some((id, class, start, end)) = scanner.next_entity() {
        if class.starts_with("IFCWALL")
            && matches!(class, "IFCWALL" | "IFCWALLSTANDARDCASE" | "IFCWALLELEMENTEDCASE")
        {
            walls.push(id);
        }
        ids.push(id);
        starts.push(u32::try_from(start).ok()?);
        lengths.push(u32::try_from(end - start).ok()?);
    }
    let index = DenseEntityIndex::try_from_columns(&ids, &starts, &lengths)?;
    Some(Opened { bytes, index, walls })
}

/// x axis, y axis, z axis, origin.
type Map = [[f64; 3]; 4];

const IDENTITY: Map = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0; 3]];

fn apply(m: &Map, p: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| m[0][i] * p[0] + m[1][i] * p[1] + m[2][i] * p[2] + m[3][i])
}
fn turn(m: &Map, p: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| m[0][i] * p[0] + m[1][i] * p[1] + m[2][i] * p[2])
}
fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
fn unit(a: [f64; 3]) -> [f64; 3] {
    let n = (a[0] * a[0] + a[1] * a[1] + a[2] * a[2]).sqrt();
    a.map(|v| v / n)
}

impl<'a> Opened<'a> {
    fn record(&self, id: u32) -> Option<StepRecord<'a>> {
        let (start, end) = self.index.lookup(id)?;
        StepRecord::parse(self.bytes.get(start..end)?)
    }
    fn triple(&self, id: u32) -> Option<[f64; 3]> {
        let (x, y, z) = self.record(id)?.point_at(0)?;
        Some([x, y, z])
    }
    fn axis_placement(&self, id: u32) -> Option<Map> {
        let r = self.record(id)?;
        let origin = self.triple(r.ref_at(0)?)?;
        let z = r.ref_at(1).and_then(|d| self.triple(d)).map_or([0.0, 0.0, 1.0], unit);
        let toward = r.ref_at(2).and_then(|d| self.triple(d)).unwrap_or([1.0, 0.0, 0.0]);
        let along = toward[0] * z[0] + toward[1] * z[1] + toward[2] * z[2];
        let x = unit(std::array::from_fn(|i| toward[i] - along * z[i]));
        Some([x, cross(z, x), z, origin])
    }
    fn world(&self, id: u32, memo: &mut FxHashMap<u32, Map>) -> Option<Map> {
        if let Some(known) = memo.get(&id) {
            return Some(*known);
        }
        let r = self.record(id)?;
        let parent = match r.ref_at(0) {
            Some(p) => self.world(p, memo)?,
            None => IDENTITY,
        };
        let own = self.axis_placement(r.ref_at(1)?)?;
        let m = [
            turn(&parent, own[0]),
            turn(&parent, own[1]),
            turn(&parent, own[2]),
            apply(&parent, own[3]),
        ];
        memo.insert(id, m);
        Some(m)
    }
    /// The ends of every wall's axis in world coordinates.
    pub fn axes(&self) -> Vec<Vec<[f64; 3]>> {
        let mut memo = FxHashMap::default();
        let mut list = Vec::new();
        self.walls.iter().filter_map(|id| self.axis(*id, &mut memo, &mut list)).collect()
    }
    fn axis(
        &self,
        id: u32,
        memo: &mut FxHashMap<u32, Map>,
        list: &mut Vec<u32>,
    ) -> Option<Vec<[f64; 3]>> {
        let wall = self.record(id)?;
        let world = self.world(wall.ref_at(5)?, memo)?;
        let shape = self.record(wall.ref_at(6)?)?;
        list.clear();
        shape.ref_list_at(2, list)?;
        for n in list.clone() {
            let r = self.record(n)?;
            if r.string_at(1).as_deref() != Some("Axis") {
                continue;
            }
            let line = self.record(r.first_ref_at(3)?)?;
            list.clear();
            line.ref_list_at(0, list)?;
            return list.iter().map(|p| Some(apply(&world, self.triple(*p)?))).collect();
        }
        None
    }
}
