//! Finding and classifying junctions, beside the bare self-join of an R-tree over the same segments
//! (crate `rstar`), which finds pairs of boxes that touch and nothing more.

use divan::{Bencher, black_box};
use platewright_benches::segments;
use rstar::primitives::Rectangle;
use rstar::{AABB, RTree};
use settings::Settings;
use wall_model::WallModel;

/// Walls. A million more with `PLATEWRIGHT_BENCH_MILLION=1`.
fn sizes() -> Vec<usize> {
    let mut sizes = vec![1_000, 10_000, 100_000];
    if std::env::var_os("PLATEWRIGHT_BENCH_MILLION").is_some() {
        sizes.push(1_000_000);
    }
    sizes
}

fn main() {
    divan::main();
}

/// Cleaning, finding and classifying, as `inspect` does it.
#[divan::bench(args = sizes(), max_time = 20)]
fn junctions(bencher: Bencher, walls: usize) {
    let (model, settings) = (segments::field(walls), Settings::default());
    bencher.bench(|| wall_graph::meetings(black_box(&model), &settings).value.len());
}

/// The same, and runs, the outline and walls brought to their ends.
#[divan::bench(args = sizes(), max_time = 20)]
fn wall_graph(bencher: Bencher, walls: usize) {
    let (model, settings) = (segments::field(walls), Settings::default());
    bencher.bench(|| wall_graph::build(black_box(&model), &settings).value.junctions.len());
}

#[divan::bench(args = sizes(), max_time = 20)]
fn rstar_self_join(bencher: Bencher, walls: usize) {
    let boxes = boxes(&segments::field(walls));
    bencher.bench(|| {
        let tree = RTree::bulk_load(black_box(&boxes).clone());
        tree.intersection_candidates_with_other_tree(&tree).count()
    });
}

/// Boxes grown by half a wall's thickness, so that walls drawn to faces meet.
fn boxes(model: &WallModel) -> Vec<Rectangle<[f64; 2]>> {
    let grow = 2.25 + 0.375;
    model
        .walls
        .iter()
        .map(|w| {
            let [a, b] = [w.start, w.end].map(|p| [p.x.to_inches(), p.y.to_inches()]);
            let least = [a[0].min(b[0]) - grow, a[1].min(b[1]) - grow];
            let most = [a[0].max(b[0]) + grow, a[1].max(b[1]) + grow];
            Rectangle::from_aabb(AABB::from_corners(least, most))
        })
        .collect()
}
