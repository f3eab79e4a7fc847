//! Settings as TOML text.

use crate::{ChordForce, ChordSettings, LayerRule, Limit, Settings};
use geom::Length;
use std::fmt::Write;

/// The settings as a file that [`super::from_toml`] reads back to the same settings. Settings that
/// are not set (`units`, `code_page`, `default_section`, `plates.joint_offset`) are left out.
pub fn to_toml(s: &Settings) -> String {
    let mut o = String::new();
    if let Some(units) = s.units {
        line(&mut o, "units", &text(units.name()));
    }
    if let Some(page) = s.code_page {
        line(&mut o, "code_page", &text(page.name()));
    }
    line(&mut o, "mirror", &text(s.mirror.name()));
    line(&mut o, "curved_walls", &text(s.curved_walls.name()));
    line(&mut o, "default_top", &inches(s.default_top));
    if let Some(section) = s.default_section {
        line(&mut o, "default_section", &text(section.name()));
    }
    line(&mut o, "rules", &text(&s.rules));
    if !s.regions.is_empty() {
        line(&mut o, "region", &texts(&s.regions));
    }
    for rule in &s.layers {
        layer(&mut o, rule);
    }
    o.push_str("\n[plates]\n");
    if let Some(offset) = s.plates.joint_offset {
        line(&mut o, "joint_offset", &inches(offset));
    }
    line(&mut o, "upper_clearance", &inches(s.plates.upper_clearance));
    line(&mut o, "notch_depth", &inches(s.plates.notch_depth));
    line(&mut o, "notch_side_clearance", &inches(s.plates.notch_side_clearance));
    line(&mut o, "exterior_tee", &text(s.plates.exterior_tee.name()));
    line(&mut o, "short_piece", &inches(s.plates.short_piece));
    let bottom = if s.plates.bottom_stops_at_doors { "stop" } else { "through" };
    line(&mut o, "bottom", &text(bottom));
    let foundation = if s.plates.on_concrete { "concrete" } else { "framing" };
    line(&mut o, "foundation", &text(foundation));
    o.push_str("\n[studs]\n");
    line(&mut o, "spacing", &inches(s.studs.spacing));
    o.push_str("\n[stock]\n");
    line(&mut o, "kerf", &inches(s.stock.kerf));
    line(&mut o, "end_trim", &inches(s.stock.end_trim));
    o.push_str("\n[stock.lengths_ft]\n");
    for (section, feet) in &s.stock.lengths_ft {
        let feet: Vec<String> = feet.iter().map(u32::to_string).collect();
        line(&mut o, &text(section), &format!("[{}]", feet.join(", ")));
    }
    for (lumber, prices) in &s.stock.prices {
        let _ = writeln!(o, "\n[stock.prices.{}]", text(lumber));
        for (feet, hundredths) in prices {
            line(&mut o, &feet.to_string(), &format!("{:?}", f64::from(*hundredths) / 100.0));
        }
    }
    o.push_str("\n[framing]\n");
    line(&mut o, "materials", &texts(&s.framing.materials));
    line(&mut o, "finishes", &texts(&s.framing.finishes));
    o.push_str("\n[graph]\n");
    line(&mut o, "snap", &inches(s.graph.snap));
    o.push_str("\n[feed]\n");
    line(&mut o, "unit", &text(s.feed.unit.name()));
    line(&mut o, "decimal", &text(s.feed.decimal.name()));
    o.push_str("\n[limits]\n");
    for limit in Limit::ALL {
        line(&mut o, limit.name(), &s.limits.get(limit).to_string());
    }
    if let Some(c) = &s.chord {
        chord(&mut o, c);
    }
    o
}

fn chord(o: &mut String, c: &ChordSettings) {
    o.push_str("\n[chord]\n");
    match c.force {
        ChordForce::Pounds(lb) => line(o, "force_lb", &format!("{lb:?}")),
        ChordForce::Diaphragm { load_plf, span_ft, depth_ft } => {
            line(o, "load_plf", &format!("{load_plf:?}"));
            line(o, "span_ft", &format!("{span_ft:?}"));
            line(o, "depth_ft", &format!("{depth_ft:?}"));
        }
    }
    line(o, "species", &text(c.species.name()));
    line(o, "duration", &format!("{:?}", c.duration));
    if let Some(nail) = &c.nail {
        line(o, "nail", &text(nail));
    }
}

fn layer(o: &mut String, rule: &LayerRule) {
    o.push_str("\n[[layers]]\n");
    line(o, "match", &text(&rule.pattern));
    line(o, "use", &text(rule.usage.name()));
    for (key, flag) in [("exterior", rule.exterior), ("bearing", rule.bearing)] {
        if let Some(flag) = flag {
            line(o, key, if flag { "true" } else { "false" });
        }
    }
    if let Some(section) = rule.section {
        line(o, "section", &text(section.name()));
    }
    if let Some(top) = rule.top {
        line(o, "top", &inches(top));
    }
    if let Some(roof) = rule.roof {
        line(o, "rise_in_12", &format!("{:?}", roof.rise_in_12));
        line(o, "uphill", &text(roof.uphill.name()));
    }
}

fn line(o: &mut String, key: &str, value: &str) {
    // Writing to a String cannot fail.
    let _ = writeln!(o, "{key} = {value}");
}
fn text(s: &str) -> String {
    toml::Value::String(s.to_owned()).to_string()
}
fn texts(all: &[String]) -> String {
    let each: Vec<String> = all.iter().map(|t| text(t)).collect();
    format!("[{}]", each.join(", "))
}
fn inches(l: Length) -> String {
    format!("{:?}", l.to_inches())
}
