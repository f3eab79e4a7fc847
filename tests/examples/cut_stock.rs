//! Cuts boards for problems given as JSON lines on standard input, for an outside judge:
//! `{"lengths_ft": [8, 10], "costs": [435, 560], "kerf": 2, "pieces": [768, ...]}`, kerf and pieces in
//! sixteenths of an inch. Each line out: cost, the proven bound, and the boards with their piece numbers.

use geom::Length;
use serde_json::{Value, json};
use std::io::{BufRead, Write};
use stock_cut::{BoardSize, Demand, Stock};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    for line in std::io::stdin().lock().lines() {
        let problem: Value = serde_json::from_str(&line?)?;
        let number = |v: &Value| v.as_i64().unwrap_or(0);
        let list = |key: &str| problem[key].as_array().cloned().unwrap_or_default();
        let board = |(feet, cost): (&Value, Value)| BoardSize {
            length_ft: number(feet) as u32,
            cost: number(&cost) as u32,
        };
        let stock = Stock {
            boards: list("lengths_ft").iter().zip(list("costs")).map(board).collect(),
            kerf: Length::sixteenths(number(&problem["kerf"])),
            end_trim: Length::ZERO,
        };
        let demands: Vec<Demand> = list("pieces")
            .iter()
            .enumerate()
            .map(|(i, v)| Demand { id: i as u32, length: Length::sixteenths(number(v)) })
            .collect();
        let cutting = stock_cut::cut(&demands, &stock)?;
        let boards: Vec<Value> = cutting
            .boards
            .iter()
            .map(|b| json!({"feet": b.length().to_inches() / 12.0, "cuts": b.cuts}))
            .collect();
        let answer = json!({
            "cost": cutting.cost,
            "bound": cutting.lower_bound_cost,
            "boards": boards,
        });
        writeln!(out, "{answer}")?;
    }
    Ok(())
}
