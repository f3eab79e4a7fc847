//! Work on many lines, shared out to the machine's cores.
//!
//! Knows: how many parts are worth their start. Never touches: what the work is. Parts are ranges in
//! order and their results come back in order, so that nothing depends on the number of cores.

use std::ops::Range;

/// Fewer are done faster by one than shared out.
const WORTH_SHARING: usize = 20_000;
/// More parts than this gain nothing here: the rest of the reading is one thread's.
const MOST_PARTS: usize = 4;

/// Does the work for all of `0..count`, in ranges; the results in order of the ranges.
pub(crate) fn in_parts<T: Send>(count: usize, work: impl Fn(Range<usize>) -> T + Sync) -> Vec<T> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from).min(MOST_PARTS);
    if count < WORTH_SHARING || cores < 2 {
        return vec![work(0..count)];
    }
    let size = count.div_ceil(cores);
    let ranges = (0..cores).map(|n| (n * size).min(count)..((n + 1) * size).min(count));
    let work = &work;
    std::thread::scope(|scope| {
        let threads: Vec<_> = ranges
            .map(|range| {
                let own = range.clone();
                let thread = std::thread::Builder::new().spawn_scoped(scope, move || work(own));
                (range, thread.ok())
            })
            .collect();
        // Where no thread is to be had the work is done here; one that failed fails again here.
        let join = |t: std::thread::ScopedJoinHandle<'_, T>| t.join().ok();
        threads
            .into_iter()
            .map(|(range, t)| t.and_then(join).unwrap_or_else(|| work(range)))
            .collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_in_order() {
        for count in [0, 1, WORTH_SHARING - 1, WORTH_SHARING, WORTH_SHARING * 3 + 1] {
            let all: Vec<usize> =
                in_parts(count, |r| r.collect::<Vec<_>>()).into_iter().flatten().collect();
            assert_eq!(all, (0..count).collect::<Vec<_>>());
        }
    }
}
