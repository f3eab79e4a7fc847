//! Cuts boards for problems given as JSON lines on standard input, for an outside judge:
//! `{"lengths_ft": [8, 10], "kerf": 2, "pieces": [768, ...]}`, kerf and pieces in sixteenths of an
//! inch. Each line out: feet bought, the proven bound in feet, and the boards with their piece numbers.

use geom::Length;
use serde_json::{Value, json};
use std::io::{BufRead, Write};
use stock_cut::{Demand, Stock};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let problem: Value = serde_json::from_str(&line?)?;
        let number = |v: &Value| v.as_i64().unwrap_or(0);
        let list = |key: &str| problem[key].as_array().cloned().unwrap_or_default();
        let stock = Stock {
            lengths_ft: list("lengths_ft").iter().map(|v| number(v) as u32).collect(),
            kerf: Length::sixteenths(number(&problem["kerf"])),
            end_trim: Length::ZERO,
        };
        let demands: Vec<Demand> = list("pieces")
            .iter()
            .enumerate()
            .map(|(i, v)| Demand { id: i as u32, length: Length::sixteenths(number(v)) })
            .collect();
        let cutting = stock_cut::cut(&demands, &stock)?;
        let feet = |l: Length| (l.to_inches() / 12.0).round() as i64;
        let boards: Vec<Value> =
            cutting.boards.iter().map(|b| json!({"feet": b.length_ft, "cuts": b.cuts})).collect();
        let answer = json!({
            "feet": feet(cutting.bought),
            "bound": feet(cutting.lower_bound_length),
            "boards": boards,
        });
        writeln!(out, "{answer}")?;
    }
    Ok(())
}
