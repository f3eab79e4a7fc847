//! One measurement in a process of its own, for `peers_ifc.py`:
//! `ifc-once ours|ifc-lite-core|whole FILE` prints seconds to open, seconds for every wall's axis and
//! placement (least of seven), walls, and the process's peak memory; `ifc-once write MB FILE` writes the
//! generated town.

use import_ifc::raw;
use platewright_benches::{ifc_files, ifc_lite};
use std::time::Instant;

const TIMES: usize = 7;

/// Seconds of processor time of this thread where the system tells (machines are shared), else of the
/// clock.
fn seconds(since: Instant) -> f64 {
    let stat = std::fs::read_to_string("/proc/self/schedstat").unwrap_or_default();
    let spent = stat.split_whitespace().next().and_then(|n| n.parse::<f64>().ok());
    spent.filter(|n| *n > 0.0).map_or_else(|| since.elapsed().as_secs_f64(), |n| n / 1e9)
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
    let (mut open, mut walls, mut count) = (f64::INFINITY, f64::INFINITY, 0_usize);
    let began = Instant::now();
    // The system counts in steps of milliseconds: small files are read many times over.
    let again = 1 + 40_000_000 / bytes.len().max(1);
    let mut time = |slot: &mut f64, work: &mut dyn FnMut() -> usize| {
        for _ in 0..TIMES {
            let start = seconds(began);
            for _ in 0..again {
                count = std::hint::black_box(work());
            }
            *slot = slot.min((seconds(began) - start) / again as f64);
        }
    };
    match who {
        "ours" => {
            time(&mut open, &mut || raw::open(bytes).entities());
            let opened = raw::open(bytes);
            time(&mut walls, &mut || opened.axes().len());
        }
        "whole" => {
            let settings = settings::Settings::default();
            let read = || import_ifc::read(bytes, &settings);
            time(&mut open, &mut || read().map_or(0, |o| o.value.walls.len()));
            walls = 0.0;
        }
        _ => {
            time(&mut open, &mut || usize::from(ifc_lite::open(bytes).is_some()));
            if let Some(opened) = ifc_lite::open(bytes) {
                time(&mut walls, &mut || opened.axes().len());
            }
        }
    }
    println!("{open} {walls} {count} {}", peak_kib());
}

/// Peak resident memory of this process in KiB, where the system tells; 0 elsewhere.
fn peak_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.and_then(|l| l.split_whitespace().next()?.parse().ok()).unwrap_or(0)
}
