use geom::Length; use stock_cut::*; use std::time::Instant;
fn main() {
    let stock = Stock { lengths_ft: vec![8,10,12,14,16], kerf: Length::sixteenths(2), end_trim: Length::ZERO };
    let n = 200; let (lo, hi, step) = (12*16, 16*190, 1);
    for r in 0..3u64 {
            let mut s = 88172645463325252u64.wrapping_add(r * 7919 + n as u64);
            let mut rnd = |k: u64| { s ^= s << 13; s ^= s >> 7; s ^= s << 17; s % k };
            let list: Vec<Demand> = (0..n).map(|i| Demand { id: i as u32, length: Length::sixteenths((lo as i64 + rnd((hi - lo) as u64) as i64) / step * step) }).collect();
            let t = Instant::now();
            let c = cut(&list, &stock).unwrap();
            println!("{} {} {:.1} ms", c.bought.nm() / Length::feet(1).nm(), c.lower_bound_length.nm()/Length::feet(1).nm(), t.elapsed().as_secs_f64()*1e3);
    }
}
