use geom::Length; use stock_cut::*; use std::time::Instant;
fn main() {
    let stock = Stock { lengths_ft: vec![8,10,12,14,16], kerf: Length::sixteenths(2), end_trim: Length::ZERO };
    for (n, reps, lo, hi, step) in [(50usize,40u64,12*16,16*190,1i64),(200,20,12*16,16*190,1),(50,20,12*16,16*96,1),(200,10,12*16,16*96,1),(100,20,24*16,16*192,16),(1000,2,12*16,16*190,1)] {
        let (mut gap, mut proven, mut worst, mut total, mut steps) = (0.0, 0, 0.0f64, 0.0, 0);
        for r in 0..reps {
            let mut s = 88172645463325252u64.wrapping_add(r * 7919 + n as u64);
            let mut rnd = |k: u64| { s ^= s << 13; s ^= s >> 7; s ^= s << 17; s % k };
            let list: Vec<Demand> = (0..n).map(|i| Demand { id: i as u32, length: Length::sixteenths((lo as i64 + rnd((hi - lo) as u64) as i64) / step * step) }).collect();
            let t = Instant::now();
            let c = cut(&list, &stock).unwrap();
            let dt = t.elapsed().as_secs_f64();
            total += dt; worst = worst.max(dt);
            let g = (c.bought.nm() - c.lower_bound_length.nm()) as f64 / c.lower_bound_length.nm() as f64;
            gap += g; proven += c.is_proven_optimal() as u32;
            steps += ((c.bought - c.lower_bound_length).nm() / Length::feet(2).nm()) as i32;
        }
        println!("n {n} len {}..{} in: gap {:.3} %, proven {proven}/{reps}, steps over {steps}, mean {:.1} ms worst {:.1} ms", lo/16, hi/16, gap / reps as f64 * 100.0, total / reps as f64 * 1e3, worst * 1e3);
    }
}
