//! Where walls lie in memory: neighbours in plan as neighbours, so that what works on one finds the others
//! read already.

use crate::order;
use wall_model::Wall;

/// Puts numbers of walls in an order. No result depends on it: number decides between equals.
pub(crate) type Arrange = fn(&[Wall], Vec<u32>) -> Vec<u32>;

/// Fewer walls than this are near each other in any order.
const FEW: usize = 2048;
/// Strips and rows at most: a strip and its row make two digits of a sort.
const MOST: i64 = 1 << 11;

/// In strips of x about as wide as a wall is long, up the sheet in each by rows a quarter as high.
pub(crate) fn by_place(walls: &[Wall], numbers: Vec<u32>) -> Vec<u32> {
    if numbers.len() < FEW {
        return numbers;
    }
    let corner = |w: &Wall| [w.start.x.min(w.end.x).nm(), w.start.y.min(w.end.y).nm()];
    let (mut least, mut most, mut long) = ([i64::MAX; 2], [i64::MIN; 2], 0);
    for w in numbers.iter().map(|i| &walls[*i as usize]) {
        for (axis, v) in corner(w).into_iter().enumerate() {
            (least[axis], most[axis]) = (least[axis].min(v), most[axis].max(v));
        }
        let d = w.end - w.start;
        long += d.x.abs().max(d.y.abs()).nm() / numbers.len() as i64;
    }
    let size = |axis: usize, wanted: i64| wanted.max((most[axis] - least[axis]) / MOST + 1);
    let (width, height) = (size(0, long), size(1, long / 4));
    let cell = |number: u32| {
        let [x, y] = corner(&walls[number as usize]);
        ((x - least[0]) / width * MOST + (y - least[1]) / height) as u32
    };
    let mut places: Vec<(u32, u32)> = numbers.iter().map(|i| (cell(*i), *i)).collect();
    order::by_number(&mut places, |p| u64::from(p.0));
    places.into_iter().map(|(_, i)| i).collect()
}
