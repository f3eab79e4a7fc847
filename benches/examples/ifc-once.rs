//! One measurement in a process of its own, for `peers_ifc.py`:
//! `ifc-once ours|ifc-lite-core|whole FILE` prints, for opening and then for every wall's axis and
//! placement, the processor's seconds and the clock's (medians of nine), then walls and the process's peak
//! memory; `ifc-once write MB FILE` writes the generated town.

use cpu_time::ProcessTime;
use import_ifc::raw;
use platewright_benches::{ifc_files, ifc_lite};
use std::time::Instant;

const TIMES: usize = 9;

/// Files are read as often as makes this many bytes, so that small ones can be measured.
const ENOUGH: usize = 40_000_000;

/// Seconds a piece of work takes: of the processor, all threads together (machines are shared), and of the
/// clock. Medians.
fn seconds(bytes: &[u8], mut work: impl FnMut()) -> [f64; 2] {
    let again = 1 + ENOUGH / bytes.len().max(1);
    let mut once = || {
        let (spent, clock) = (ProcessTime::now(), Instant::now());
        (0..again).for_each(|_| work());
        [spent.elapsed(), clock.elapsed()].map(|d| d.as_secs_f64() / again as f64)
    };
    let runs: Vec<[f64; 2]> = (0..TIMES).map(|_| once()).collect();
    [0, 1].map(|n| {
        let mut each: Vec<f64> = runs.iter().map(|r| r[n]).collect();
        each.sort_by(f64::total_cmp);
        each[TIMES / 2]
    })
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["write", mb, path] => {
            let mb = mb.parse().unwrap_or_else(|_| ifc_files::size_mb());
            if let Err(e) = std::fs::write(path, ifc_files::town(mb)) {
                eprintln!("{path}: {e}");
                std::process::exit(2);
            }
        }
        [who, path] => match std::fs::read(path) {
            Ok(bytes) => measure(who, &bytes),
            Err(e) => {
                eprintln!("{path}: {e}");
                std::process::exit(2);
            }
        },
        _ => eprintln!("ifc-once ours|ifc-lite-core|whole FILE, or ifc-once write MB FILE"),
    }
}

fn measure(who: &str, bytes: &[u8]) {
    let mut count = 0;
    let mut count_of = |n: usize| count = std::hint::black_box(n);
    let (open, walls) = match who {
        "ours" => {
            let open = seconds(bytes, || count_of(raw::open(bytes).entities()));
            let opened = raw::open(bytes);
            (open, seconds(bytes, || count_of(opened.axes().len())))
        }
        "whole" => {
            let settings = settings::Settings::default();
            let read = || import_ifc::read(bytes, &settings).map_or(0, |o| o.value.walls.len());
            (seconds(bytes, || count_of(read())), [0.0; 2])
        }
        _ => {
            let open = seconds(bytes, || count_of(usize::from(ifc_lite::open(bytes).is_some())));
            let opened = ifc_lite::open(bytes);
            let axes = || opened.as_ref().map_or(0, |o| o.axes().len());
            (open, seconds(bytes, || count_of(axes())))
        }
    };
    println!("{} {} {} {} {count} {}", open[0], open[1], walls[0], walls[1], peak_kib());
}

/// Peak resident memory of this process in KiB, where the system tells; 0 elsewhere.
fn peak_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()?.parse().ok()).unwrap_or(0)
}
