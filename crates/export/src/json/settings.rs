//! The settings in force, in the form and with the keys of the settings file.

use geom::Length;
use schemars::JsonSchema;
use serde::Serialize;
use settings::{
    ChordForce, ChordSettings, FeedSettings, FramingSettings, GraphSettings, LayerRule,
    OnHandBoard, PlateSettings, Settings, StockSettings, StudSettings,
};
use std::collections::BTreeMap;

/// The settings the plan was made under, every key of the settings file. Lengths are decimal inches.
/// `null` means that the drawing or the rule set decides.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SettingsOut<'a> {
    /// Unit that overrides what the file says: `in`, `ft`, `mm`, `cm`, `m`.
    units: Option<&'a str>,
    /// How the drawing's texts are written, where the settings say.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    code_page: Option<&'a str>,
    /// `none`, `x` or `y`.
    mirror: &'a str,
    /// Walls drawn curved: `straight-parts` or `leave-out`.
    #[schemars(default)]
    curved_walls: &'a str,
    /// Top of the upper plate above the storey where the drawing gives none.
    default_top: f64,
    /// Section where nothing else tells it.
    default_section: Option<&'a str>,
    /// Name of the rule set.
    rules: &'a str,
    /// Drawings of the sheet that are planned, by number or title; all floor plans when empty.
    region: &'a [String],
    /// First match wins.
    layers: Vec<LayerOut<'a>>,
    plates: PlatesOut<'a>,
    studs: StudsOut,
    stock: StockSettingsOut<'a>,
    framing: FramingOut<'a>,
    graph: GraphOut,
    /// The chord force splices are compared with, if given.
    chord: Option<ChordOut<'a>>,
    feed: FeedOut<'a>,
    /// Limits that can leave something out of a plan, where they are not the default: `entities`, `nesting`.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(default)]
    limits: BTreeMap<&'static str, u64>,
}

/// The form of the tables.
#[derive(Serialize, JsonSchema)]
struct FeedOut<'a> {
    /// Of the lengths for the saw: `both`, `in` or `mm`.
    unit: &'a str,
    /// `point` or `comma`.
    decimal: &'a str,
}

/// A chord force, in one of two ways, and what the splices are made of.
#[derive(Serialize, JsonSchema)]
struct ChordOut<'a> {
    force_lb: Option<f64>,
    load_plf: Option<f64>,
    span_ft: Option<f64>,
    depth_ft: Option<f64>,
    /// Species group of the plates.
    species: &'a str,
    /// Load duration factor.
    duration: f64,
    /// Nail by name and size; the plan's own when `null`.
    nail: Option<&'a str>,
}

/// Which layer of a wall is the framing, by globs over material names.
#[derive(Serialize, JsonSchema)]
struct FramingOut<'a> {
    materials: &'a [String],
    finishes: &'a [String],
}

/// What the layers or types of a name are used for.
#[derive(Serialize, JsonSchema)]
struct LayerOut<'a> {
    /// Glob over the name.
    r#match: &'a str,
    /// `wall`, `door`, `window`, `opening` or `ignore`.
    r#use: &'a str,
    exterior: Option<bool>,
    bearing: Option<bool>,
    section: Option<&'a str>,
    top: Option<f64>,
    /// Rise of the roof its walls run up to, inches in 12.
    rise_in_12: Option<f64>,
    /// Which way it rises: `east`, `west`, `north`, `south`, `inward-x`, `inward-y`.
    uphill: Option<&'a str>,
}

/// Plates and their joints.
#[derive(Serialize, JsonSchema)]
struct PlatesOut<'a> {
    /// Least distance between joints of the two top layers.
    joint_offset: Option<f64>,
    upper_clearance: f64,
    notch_depth: f64,
    notch_side_clearance: f64,
    /// `notch`, `lap` or `strap`.
    exterior_tee: &'a str,
    /// Pieces shorter than this are a last resort.
    short_piece: f64,
    /// At door openings: `through` or `stop`.
    bottom: &'a str,
    /// What the lowest storey stands on: `framing` or `concrete`.
    foundation: &'a str,
}

/// The stud layout.
#[derive(Serialize, JsonSchema)]
struct StudsOut {
    /// On centre.
    spacing: f64,
}

/// The boards plates are cut from.
#[derive(Serialize, JsonSchema)]
struct StockSettingsOut<'a> {
    /// By section: nominal lengths in feet, ascending. Every section of the plan is here.
    lengths_ft: BTreeMap<&'a str, Vec<u32>>,
    /// Of one board, by lumber and nominal feet. Lumber without prices is chosen by length.
    prices: BTreeMap<&'a str, BTreeMap<u32, f64>>,
    kerf: f64,
    end_trim: f64,
    /// Boards there are already, cut before any is bought.
    on_hand: Vec<OnHandOut<'a>>,
}

/// A board there is already.
#[derive(Serialize, JsonSchema)]
struct OnHandOut<'a> {
    section: &'a str,
    treated: bool,
    /// Decimal inches.
    length: f64,
    /// What the yard calls it.
    label: &'a str,
}

/// The wall graph.
#[derive(Serialize, JsonSchema)]
struct GraphOut {
    /// Ends nearer than this are one node.
    snap: f64,
}

impl<'a> SettingsOut<'a> {
    /// The settings as written; `sections` are those of the plan.
    ///
    /// Each structure is taken apart by name, so that a setting added there cannot be left out here.
    pub fn of(s: &'a Settings, sections: impl Iterator<Item = lumber::Section>) -> Self {
        let Settings {
            units,
            code_page,
            mirror,
            curved_walls,
            default_top,
            default_section,
            rules,
            regions,
            layers,
            plates,
            studs,
            stock,
            framing,
            graph,
            chord,
            feed,
            limits,
        } = s;
        let FramingSettings { materials, finishes } = framing;
        let StudSettings { spacing } = studs;
        let GraphSettings { snap } = graph;
        let FeedSettings { unit, decimal } = feed;
        SettingsOut {
            units: units.map(|u| u.name()),
            code_page: code_page.map(|p| p.name()),
            mirror: mirror.name(),
            curved_walls: curved_walls.name(),
            default_top: default_top.to_inches(),
            default_section: default_section.map(|s| s.name()),
            rules,
            region: regions,
            layers: layers.iter().map(layer).collect(),
            plates: plates_out(plates),
            studs: StudsOut { spacing: spacing.to_inches() },
            stock: stock_out(stock, sections),
            framing: FramingOut { materials, finishes },
            graph: GraphOut { snap: snap.to_inches() },
            chord: chord.as_ref().map(chord_out),
            feed: FeedOut { unit: unit.name(), decimal: decimal.name() },
            limits: limits.shaping_a_plan().changed().map(|(l, v)| (l.name(), v)).collect(),
        }
    }
}

fn chord_out(c: &ChordSettings) -> ChordOut<'_> {
    let ChordSettings { force, species, duration, nail } = c;
    let mut out = ChordOut {
        force_lb: None,
        load_plf: None,
        span_ft: None,
        depth_ft: None,
        species: species.name(),
        duration: *duration,
        nail: nail.as_deref(),
    };
    match *force {
        ChordForce::Pounds(lb) => out.force_lb = Some(lb),
        ChordForce::Diaphragm { load_plf, span_ft, depth_ft } => {
            (out.load_plf, out.span_ft, out.depth_ft) =
                (Some(load_plf), Some(span_ft), Some(depth_ft));
        }
    }
    out
}

fn layer(rule: &LayerRule) -> LayerOut<'_> {
    let LayerRule { pattern, usage, exterior, bearing, section, top, roof } = rule;
    LayerOut {
        r#match: pattern,
        r#use: usage.name(),
        exterior: *exterior,
        bearing: *bearing,
        section: section.map(|s| s.name()),
        top: top.map(Length::to_inches),
        rise_in_12: roof.map(|r| r.rise_in_12),
        uphill: roof.map(|r| r.uphill.name()),
    }
}

fn plates_out(p: &PlateSettings) -> PlatesOut<'_> {
    let PlateSettings {
        joint_offset,
        upper_clearance,
        notch_depth,
        notch_side_clearance,
        exterior_tee,
        short_piece,
        bottom_stops_at_doors,
        on_concrete,
    } = p;
    PlatesOut {
        joint_offset: joint_offset.map(Length::to_inches),
        upper_clearance: upper_clearance.to_inches(),
        notch_depth: notch_depth.to_inches(),
        notch_side_clearance: notch_side_clearance.to_inches(),
        exterior_tee: exterior_tee.name(),
        short_piece: short_piece.to_inches(),
        bottom: if *bottom_stops_at_doors { "stop" } else { "through" },
        foundation: if *on_concrete { "concrete" } else { "framing" },
    }
}

fn stock_out<'a>(
    s: &'a StockSettings,
    sections: impl Iterator<Item = lumber::Section>,
) -> StockSettingsOut<'a> {
    let StockSettings { lengths_ft, prices, kerf, end_trim, on_hand } = s;
    let mut all: BTreeMap<&str, Vec<u32>> =
        sections.map(|section| (section.name(), s.lengths_for(section))).collect();
    for (name, lengths) in lengths_ft {
        all.entry(name).or_insert_with(|| lengths.clone());
    }
    let price = |(ft, hundredths): (&u32, &u32)| (*ft, f64::from(*hundredths) / 100.0);
    let list = |(lumber, prices): (&'a String, &BTreeMap<u32, u32>)| {
        (lumber.as_str(), prices.iter().map(price).collect())
    };
    let own = |b: &'a OnHandBoard| OnHandOut {
        section: b.section.name(),
        treated: b.treated,
        length: b.length.to_inches(),
        label: &b.label,
    };
    StockSettingsOut {
        lengths_ft: all,
        prices: prices.iter().map(list).collect(),
        kerf: kerf.to_inches(),
        end_trim: end_trim.to_inches(),
        on_hand: on_hand.iter().map(own).collect(),
    }
}
