//! dev
use settings::*;
use std::time::Duration;
fn cpu() -> u64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .unwrap()
        .split(' ')
        .next()
        .unwrap()
        .parse()
        .unwrap()
}
struct Instant(u64);
impl Instant {
    fn now() -> Instant {
        Instant(cpu())
    }
    fn elapsed(&self) -> Duration {
        Duration::from_nanos(cpu() - self.0)
    }
}
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let bytes = std::fs::read(&a[1]).unwrap();
    let mut s = Settings::default();
    s.layers.push(LayerRule {
        pattern: "*".into(),
        usage: LayerUse::Wall,
        exterior: None,
        bearing: None,
        section: lumber::Section::from_name("2x6"),
        top: None,
    });
    if a.len() > 2 {
        println!("{}", import_ifc::time_scan(&bytes));
        return;
    }
    for _ in 0..5 {
        let t = Instant::now();
        let n = import_ifc::time_scan(&bytes);
        let t1 = t.elapsed();
        let t = Instant::now();
        let o = import_ifc::read(&bytes, &s);
        println!(
            "scan {t1:?} ({n}) {:.0} MB/s; read {:?} walls {}",
            bytes.len() as f64 / 1e6 / t1.as_secs_f64(),
            t.elapsed(),
            o.map_or(0, |o| o.value.walls.len())
        );
    }
}
