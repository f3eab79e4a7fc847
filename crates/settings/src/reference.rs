//! Every key of a settings file in words, as the guide's page prints it.
//!
//! A test holds it to the keys that are read and to the defaults in force.

use crate::parse::to_toml;
use crate::{Limit, Settings};
use std::fmt::Write;

/// A key in words.
struct Key {
    name: &'static str,
    /// What may stand there.
    takes: &'static str,
    /// What it does.
    about: &'static str,
}

/// A table in words.
struct Table {
    /// As in the file; empty for the top level.
    name: &'static str,
    about: &'static str,
    keys: &'static [Key],
}

const fn key(name: &'static str, takes: &'static str, about: &'static str) -> Key {
    Key { name, takes, about }
}

const fn limit_key(limit: Limit, takes: &'static str) -> Key {
    key(limit.name(), takes, limit.about())
}

const TABLES: &[Table] = &[
    Table {
        name: "",
        about: "The top level of the file.",
        keys: &[
            key(
                "units",
                "`in` `ft` `mm` `cm` `m`",
                "The drawing's unit, whatever the file says. Left out, the drawing must say.",
            ),
            key(
                "mirror",
                "`none` `x` `y`",
                "The mirrored house: `x` changes left and right, `y` top and bottom of the sheet.",
            ),
            key(
                "curved_walls",
                "`straight-parts` `leave-out`",
                "Walls drawn as an arc of a circle are planned as straight parts of one length, their middles 1/4 in off the curve at most; or left out, each with an error.",
            ),
            key(
                "code_page",
                "`utf-8` `932` `936` `949` `950` `1250` to `1258` `437` `850` ...",
                "DXF: how its texts are written, whatever the file says. Left out, its header says; `dxf-code-page` tells where it does not or cannot be right.",
            ),
            key(
                "default_top",
                "length, 12 in to 40 ft",
                "Top of the upper plate above the floor, where neither drawing nor `[[layers]]` says. 97-1/8 in is a 92-5/8 in stud and three plates.",
            ),
            key(
                "default_section",
                "`2x4` `2x6` ... `38x89` ...",
                "Section of the plates where nothing else tells. Left out, such walls are an error.",
            ),
            key(
                "rules",
                "`irc-2018` `irc-2021` `irc-2024` `nbc-2020` `practice`",
                "The rule set: joint offset, nails, straps, bolts, each with its source.",
            ),
            key(
                "region",
                "text or list of texts",
                "Drawings of a sheet to plan, by `inspect`'s number or a pattern over titles. Left out, every floor plan.",
            ),
        ],
    },
    Table {
        name: "layers",
        about: "What a layer (DXF) or a wall type, wall name or presentation layer (IFC) is used for. A list, each entry begun by `[[layers]]`; the first that matches wins, before all built-in names.",
        keys: &[
            key(
                "match",
                "pattern",
                "Over the name: `*` any run of characters, `?` one; upper and lower case alike. Needed.",
            ),
            key(
                "use",
                "`wall` `door` `window` `opening` `ignore`",
                "What it holds. Needed. The keys below go with `wall`.",
            ),
            key(
                "exterior",
                "`true` `false`",
                "Left out, the name's tokens, then the outline of the floor decide.",
            ),
            key("bearing", "`true` `false`", "Left out, the report says that it is not known."),
            key("section", "`2x4` `2x6` ... `38x89` ...", "Section of the plates."),
            key(
                "top",
                "length, 12 in to 40 ft",
                "Top of the upper plate above the floor; under a roof, where this layer's walls are lowest.",
            ),
            key(
                "rise_in_12",
                "number, 0.25 to 24",
                "The walls run up to a roof that rises so many inches in 12. Goes with `uphill`.",
            ),
            key(
                "uphill",
                "`east` `west` `north` `south` `inward-x` `inward-y`",
                "Which way the roof rises, as drawn, before mirroring: to greater x is east, to greater y north; `inward-x` and `inward-y` from both sides to a ridge half-way.",
            ),
        ],
    },
    Table {
        name: "plates",
        about: "Plates, laps and joints.",
        keys: &[
            key(
                "joint_offset",
                "length, 6 in to 16 ft",
                "Least distance between joints of the two top layers. Left out, the rule set's (24 in in the IRC).",
            ),
            key(
                "upper_clearance",
                "length, 0 to 1 in",
                "Upper pieces stop this much short of what they meet.",
            ),
            key(
                "notch_depth",
                "length, 1/2 to 11-1/4 in",
                "How far an interior upper plate runs onto an exterior wall at a notch.",
            ),
            key(
                "notch_side_clearance",
                "length, 0 to 1 in",
                "Room on each side of the plate in a notch.",
            ),
            key(
                "exterior_tee",
                "`notch` `lap` `strap`",
                "How an interior wall ties into an exterior one.",
            ),
            key("short_piece", "length, 0 to 8 ft", "Shorter top plates are a last resort."),
            key(
                "bottom",
                "`through` `stop`",
                "Whether bottom plates run through doors (to be cut out after standing) or stop there.",
            ),
            key(
                "foundation",
                "`framing` `concrete`",
                "What the lowest bottom plates lie on. On concrete they are treated and get anchor-bolt hints.",
            ),
        ],
    },
    Table {
        name: "studs",
        about: "The stud layout that joints, marks and nails go by.",
        keys: &[key("spacing", "length, 8 to 48 in", "On centre.")],
    },
    Table {
        name: "stock",
        about: "Boards to buy and the saw.",
        keys: &[
            key(
                "lengths_ft",
                "table of lists",
                "By section, lengths to be had in whole feet, 4 to 40: `{ \"2x4\" = [8, 10, 12, 14, 16] }`. Sections left out have 8 to 16 ft.",
            ),
            key(
                "prices",
                "table of tables",
                "By section, price by length: `{ \"2x4\" = { 8 = 4.35, 16 = 9.40 } }`, `\"2x4 treated\"` for treated boards. Then the cheapest boards are bought, not the shortest.",
            ),
            key("kerf", "length, 0 to 1 in", "What a cut takes."),
            key(
                "end_trim",
                "length, 0 to 24 in",
                "Cut off each board's end before its first piece.",
            ),
        ],
    },
    Table {
        name: "framing",
        about: "IFC: which layer of a wall is the framing, by material or layer name, before the built-in words.",
        keys: &[
            key("materials", "list of patterns", "Names that are the framing."),
            key("finishes", "list of patterns", "Names that never are."),
        ],
    },
    Table {
        name: "graph",
        about: "How exactly walls must meet.",
        keys: &[key(
            "snap",
            "length, 1/64 to 1-1/4 in",
            "Gaps and overshoots up to this are closed, and listed.",
        )],
    },
    Table {
        name: "feed",
        about: "The form of the saw's CSV files.",
        keys: &[
            key(
                "unit",
                "`both` `in` `mm`",
                "Which length columns there are ([the saw's files](../saw-feed.md)).",
            ),
            key(
                "decimal",
                "`point` `comma`",
                "The decimal sign; with a comma, semicolons part the columns.",
            ),
        ],
    },
    Table {
        name: "limits",
        about: "What a drawing may take; reaching one stops the work, or leaves something out and counts it ([limits and promises](../reliability.md)). `--limit NAME=VALUE` overrides one.",
        keys: &[
            limit_key(Limit::FileMb, "whole number, 1 to 4095"),
            limit_key(Limit::UnpackedMb, "whole number, 1 to 4095"),
            limit_key(Limit::Entities, "whole number, 1 to 1000000000"),
            limit_key(Limit::Nesting, "whole number, 1 to 64"),
            limit_key(Limit::Walls, "whole number, 1 to 10000000"),
            limit_key(Limit::Seconds, "whole number, 0 to 604800"),
            limit_key(Limit::MemoryMb, "whole number, 128 to 1048576"),
        ],
    },
    Table {
        name: "chord",
        about: "Advisory: compares the nails of the splices with a diaphragm chord force by the NDS yield-limit equations. Not engineering. Give `force_lb`, or the other three together.",
        keys: &[
            key("force_lb", "number", "The chord force, pounds."),
            key("load_plf", "number", "Uniform load on the diaphragm, pounds a foot."),
            key("span_ft", "number", "Length of the diaphragm between its supports, feet."),
            key("depth_ft", "number", "Its depth, feet."),
            key(
                "species",
                "`southern-pine` `douglas-fir-larch` `hem-fir` `spruce-pine-fir`",
                "Of the plates.",
            ),
            key("duration", "number", "Load duration factor, 1.6 for wind and earthquake."),
            key("nail", "text", "As the rule sets name nails. Left out, the plan's own."),
        ],
    },
];

/// The page, as Markdown.
pub fn markdown() -> String {
    let mut o = String::from(
        "# Settings\n\n\
         A TOML file, given with `--settings FILE`; flags of the command line override it. A key that nobody\n\
         knows is an error that names the nearest known one. Lengths are inches, or texts with their unit\n\
         (`\"8'-1 1/8\\\"\"`, `\"2467mm\"`). The settings in force are written into `plan.json`.\n\n\
         This page is made from the program's own tables\n\
         (`cargo run -p platewright-tests --example write-guide`).\n",
    );
    let defaults = to_toml(&Settings::default());
    for table in TABLES {
        let title = match table.name {
            "" => "Top level".to_owned(),
            "layers" => "`[[layers]]`".to_owned(),
            name => format!("`[{name}]`"),
        };
        // Writing to a String cannot fail.
        let _ = write!(o, "\n## {title}\n\n{}\n\n", table.about);
        o.push_str("| key | takes | default | what it does |\n|---|---|---|---|\n");
        for k in table.keys {
            let default = default_of(&defaults, table.name, k.name);
            let default = default.map_or_else(String::new, |d| format!("`{d}`"));
            let _ = writeln!(o, "| `{}` | {} | {default} | {} |", k.name, k.takes, k.about);
        }
    }
    o
}

/// The default of a key as written in a settings file.
fn default_of(toml: &str, table: &str, key: &str) -> Option<String> {
    let mut here = String::new();
    for line in toml.lines() {
        if let Some(name) = line.strip_prefix('[').and_then(|l| l.strip_suffix(']')) {
            here = name.to_owned();
        } else if here == table
            && let Some((name, value)) = line.split_once(" = ")
            && name == key
        {
            return Some(value.trim_matches('"').to_owned()).filter(|v| v != "[]");
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_that_is_read_is_told_of() {
        let told: Vec<(&str, Vec<&str>)> =
            TABLES.iter().map(|t| (t.name, t.keys.iter().map(|k| k.name).collect())).collect();
        for known in crate::parse::TABLES {
            let (_, keys) = told.iter().find(|(name, _)| *name == known.name).unwrap();
            let tables: Vec<&str> = TABLES.iter().map(|t| t.name).collect();
            let read: Vec<&str> =
                known.keys.iter().copied().filter(|k| !tables.contains(k)).collect();
            assert_eq!(*keys, read, "[{}]", known.name);
        }
        assert_eq!(told.len(), crate::parse::TABLES.len());
    }

    #[test]
    fn limits_have_their_ranges() {
        let table = TABLES.iter().find(|t| t.name == "limits").unwrap();
        for (key, limit) in table.keys.iter().zip(Limit::ALL) {
            let (least, most) = limit.range();
            assert_eq!(key.name, limit.name());
            assert_eq!(key.takes, format!("whole number, {least} to {most}"));
        }
        assert_eq!(table.keys.len(), Limit::ALL.len());
    }

    #[test]
    fn defaults_are_those_in_force() {
        let page = markdown();
        for row in [
            "| `default_top` | length, 12 in to 40 ft | `97.125` |",
            "| `kerf` | length, 0 to 1 in | `0.125` |",
        ] {
            assert!(page.contains(row), "{page}");
        }
    }
}
