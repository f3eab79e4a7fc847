//! A subdivision in one go: 24 plans, 500 lots, 6 bad drawings; first run, second run, roll-ups alone.
//! `benches/peers_batch.py` measures the same beside other programs.

use divan::Bencher;
use platewright_tests::tract;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

const PLANS: usize = 24;
const LOTS: usize = 500;
const BAD: usize = 6;

fn main() {
    divan::main();
}

/// The drawings and manifest, in a folder of this process.
fn written(name: &str) -> PathBuf {
    let root =
        std::env::temp_dir().join(format!("platewright-bench-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&root);
    let write = |name: &str, bytes: &[u8]| {
        let path = root.join("in").join(name);
        let folder = path.parent().map(std::fs::create_dir_all);
        folder.map(|made| made.and_then(|()| std::fs::write(&path, bytes)));
    };
    for (name, bytes) in tract::drawings(PLANS).into_iter().chain(tract::bad_drawings(BAD)) {
        write(&name, &bytes);
    }
    write("lots.csv", tract::manifest(&tract::lots(PLANS, LOTS, BAD)).as_bytes());
    root
}

fn batch(root: &Path, more: &[&str]) -> u8 {
    let (list, out) = (root.join("in/lots.csv"), root.join("out"));
    let args =
        ["platewright".into(), "batch".into(), list.into_os_string(), "-o".into(), out.into()];
    let args = args.into_iter().chain(more.iter().map(OsString::from));
    platewright::run(args, &mut std::io::sink(), &mut std::io::sink(), false)
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn first_run(bencher: Bencher) {
    let root = written("first");
    let out = root.join("out");
    bencher.with_inputs(|| std::fs::remove_dir_all(&out)).bench_values(|_| batch(&root, &[]));
    let _ = std::fs::remove_dir_all(&root);
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn nothing_to_do(bencher: Bencher) {
    let root = written("second");
    batch(&root, &[]);
    bencher.bench(|| batch(&root, &[]));
    let _ = std::fs::remove_dir_all(&root);
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn pooled_roll_up(bencher: Bencher) {
    let root = written("pooled");
    batch(&root, &[]);
    bencher.bench(|| batch(&root, &["--rollup-only", "--pool"]));
    let _ = std::fs::remove_dir_all(&root);
}
