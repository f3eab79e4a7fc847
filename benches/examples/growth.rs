//! How the work grows with the walls: for fields of rooms of 10^2 to 10^5 walls, the seconds of each
//! stage as CSV on standard output, best of three. `growth.py` draws the plot of docs/speed.md from it.

use platewright_benches::segments;
use settings::Settings;
use std::time::Instant;

fn main() {
    let most: usize = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(100_000);
    println!("walls,graph,planner,proof");
    for walls in [100, 316, 1_000, 3_162, 10_000, 31_623, 100_000] {
        if walls > most {
            break;
        }
        let model = segments::field(walls);
        let settings = Settings::default();
        let mut best = [f64::MAX; 3];
        for _ in 0..3 {
            let mut at = Instant::now();
            let mut lap = |slot: &mut f64| {
                *slot = slot.min(at.elapsed().as_secs_f64());
                at = Instant::now();
            };
            let floor = wall_graph::build(&model, &settings).value;
            lap(&mut best[0]);
            let Ok(plan) = plate_plan::plan(&floor, &settings) else { return };
            lap(&mut best[1]);
            let Ok(rules) = rule_sets::RuleSet::named(&settings.rules) else { return };
            let proof = plan_verify::verify(&floor, &plan.value, &[], &settings, rules);
            lap(&mut best[2]);
            drop(proof);
        }
        println!("{},{:.5},{:.5},{:.5}", model.walls.len(), best[0], best[1], best[2]);
    }
}
