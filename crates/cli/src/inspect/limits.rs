//! The limits in force beside their defaults and what a drawing took of each.

use crate::say::Say;
use limits::{Limit, Limits, Used, Watch};

/// One limit.
pub struct Row {
    /// Which.
    pub limit: Limit,
    /// In force.
    pub value: u64,
    /// What the drawing took; of time, the seconds begun, which differ from run to run.
    pub used: u64,
}

/// All limits.
pub fn rows(limits: &Limits, used: &Used, watch: &Watch) -> Vec<Row> {
    let row = |limit| {
        let used = used.of(limit).unwrap_or_else(|| watch.seconds());
        Row { limit, value: limits.get(limit), used }
    };
    Limit::ALL.map(row).into()
}

/// Prints them as a table.
pub fn show(say: &mut Say, rows: &[Row]) {
    say.out("limits:");
    say.out("    in force     default        used  beyond it             limit");
    for r in rows {
        say.out(&format!(
            "  {:>10}  {:>10}  {:>10}  {:<20}  {}: {}",
            r.value,
            r.limit.default(),
            r.used,
            r.limit.beyond(),
            r.limit,
            r.limit.about()
        ));
    }
}
