use super::chord::SPECIES_WORDS;
use super::*;
use crate::{ChordForce, ChordSettings};
use proptest::prelude::*;

/// The messages of the mistakes in a settings text.
fn mistakes(text: &str) -> Vec<String> {
    match from_toml(text, "shop.toml") {
        Ok(_) => Vec::new(),
        Err(refusal) => {
            assert!(refusal.findings.iter().all(|f| f.code.name() == "settings-bad"));
            refusal.findings.into_iter().map(|f| f.message).collect()
        }
    }
}

fn the_mistake(text: &str) -> String {
    let all = mistakes(text);
    assert_eq!(all.len(), 1, "{text}: {all:?}");
    all[0].clone()
}

#[test]
fn nothing_said_is_the_default() {
    assert_eq!(from_toml("", "x").unwrap(), Settings::default());
    assert_eq!(from_toml("\u{feff}# only a comment\r\n", "x").unwrap(), Settings::default());
}

/// The example of the output contract, word for word.
#[test]
fn reads_the_contract_example() {
    let s = from_toml(
        r#"
units = "in"                     # "in" "ft" "mm" "cm" "m": overrides what the file says
mirror = "none"                  # "x" or "y": the mirrored house
default_top = 97.125             # top of upper plate above the storey, inches (92-5/8 stud + three plates)
rules = "irc-2021"

[[layers]]                       # first match wins; glob, case-insensitive
match = "A-WALL-EXTR*"
use = "wall"                     # "wall" "door" "window" "ignore"
exterior = true
bearing = true
section = "2x6"
top = 121.125

[plates]
joint_offset = 24.0              # inches
upper_clearance = 0.125
notch_depth = 2.0
notch_side_clearance = 0.125
exterior_tee = "notch"           # "notch" "lap" "strap"

[stock]
lengths_ft = { "2x4" = [8, 10, 12, 14, 16], "2x6" = [8, 10, 12, 14, 16] }
kerf = 0.125
end_trim = 0.0
"#,
        "contract.toml",
    )
    .unwrap();
    assert_eq!(s.units, Some(Unit::Inch));
    assert_eq!(s.plates.joint_offset, Some(Length::inches(24)));
    assert_eq!(s.layers.len(), 1);
    assert_eq!(s.layers[0].top, Some(Length::sixteenths(121 * 16 + 2)));
    assert_eq!(s.layers[0].section, Some(Section::S2X6));
    assert_eq!(s.stock.lengths_ft["2x6"], [8, 10, 12, 14, 16]);
    assert_eq!(s.stock.kerf, Length::sixteenths(2));
}

#[test]
fn lengths_may_carry_their_unit() {
    let s = from_toml(
        "default_top = \"8'-1 1/8\\\"\"\n[plates]\nnotch_depth = '51mm'\nshort_piece = 24",
        "x",
    )
    .unwrap();
    assert_eq!(s.default_top, Length::sixteenths(97 * 16 + 2));
    assert_eq!(s.plates.notch_depth, Length::mm(51));
    assert_eq!(s.plates.short_piece, Length::inches(24));
}

#[test]
fn unknown_keys_name_line_key_and_the_nearest() {
    let m = the_mistake("units = \"in\"\n\n[plates]\njoint_ofset = 24.0\n");
    assert_eq!(
        m,
        "shop.toml, line 4: unknown key 'joint_ofset' in [plates]; did you mean 'joint_offset'?"
    );
    assert!(the_mistake("kerf = 0.125").contains("it belongs in [stock]"));
    assert!(the_mistake("[colours]\nred = 1").contains("the keys there are units, mirror"));
    assert!(
        the_mistake("[[layers]]\nmatch = 'A'\nuse = 'wall'\nbaering = true").contains("'bearing'")
    );
    assert!(the_mistake("[plate]\n").contains("did you mean 'plates'"));
}

#[test]
fn every_mistake_is_reported_in_file_order() {
    let all = mistakes("units = \"inch\"\nmirror = 3\n[stock]\nkerf = 7\n[graph]\nsnip = 1\n");
    assert_eq!(all.len(), 4, "{all:?}");
    for (m, line) in all.iter().zip([1, 2, 4, 6]) {
        assert!(m.starts_with(&format!("shop.toml, line {line}: ")), "{m}");
    }
}

#[test]
fn says_what_is_allowed() {
    for (text, part) in [
        ("units = 'inch'", "not one of \"in\", \"ft\", \"mm\", \"cm\", \"m\""),
        ("mirror = true", "expected one of \"none\", \"x\", \"y\", found true or false"),
        ("default_top = 1e300", "allowed is 12 to 480 inches"),
        ("default_top = nan", "allowed is 12 to 480 inches"),
        ("default_top = 99999999999999999999999", "allowed is 12 to 480 inches"),
        ("default_top = '97'", "no unit"),
        ("default_section = '2x5'", "known are 2x3, 2x4"),
        ("rules = ''", "empty"),
        ("layers = 3", "[[layers]]"),
        ("layers = [1]", "expected a table"),
        ("plates = 3", "expected a table"),
        ("[plates]\nexterior_tee = 'glue'", "\"notch\", \"lap\", \"strap\""),
        ("[[layers]]\nmatch = 'a'\nuse = 'wall'\nuphill = 'east'", "needs 'rise_in_12' beside it"),
        ("[[layers]]\nmatch = 'a'\nuse = 'wall'\nrise_in_12 = 3", "needs 'uphill' beside it"),
        (
            "[[layers]]\nmatch = 'a'\nuse = 'wall'\nrise_in_12 = 99\nuphill = 'east'",
            "allowed is 0.25 to 24 inches in 12",
        ),
        ("[plates]\nbottom = 'never'", "\"through\", \"stop\""),
        ("[studs]\nspacing = 0", "8 to 48 inches"),
        ("[graph]\nsnap = 3", "allowed is"),
        (
            "[chord]\nforce_lb = 900\nspan_ft = 40",
            "either force_lb, or load_plf, span_ft and depth_ft",
        ),
        ("[chord]\nspecies = \"hem-fir\"", "either force_lb"),
        ("[chord]\nforce_lb = -5", "allowed is 1 to 1000000 pounds"),
        ("[chord]\nforce_lb = nan", "allowed is"),
        ("[chord]\nforce_lb = 900\nspecies = \"oak\"", "southern-pine"),
        ("[framing]\nmaterials = 3", "a list of them"),
        ("[framing]\nmaterials = [\"\"]", "the text is empty"),
        ("[framing]\nmaterial = [\"x\"]", "materials"),
        ("[stock]\nlengths_ft = { 2x4 = [] }", "the list is empty"),
        ("[stock]\nlengths_ft = { 2x4 = [8, 41] }", "whole feet from 4 to 40"),
        ("[stock]\nlengths_ft = { 2x4 = [3, 8] }", "whole feet from 4 to 40"),
        ("[stock]\nlengths_ft = { 2x4 = [8.5] }", "whole feet from 4 to 40"),
        ("[stock]\nlengths_ft = { 2x5 = [8] }", "not a section"),
        ("[stock]\nlengths_ft = { 2x4 = [8], 2X4 = [10] }", "given twice"),
        ("[feed]\nunit = 'cm'", "\"both\", \"in\", \"mm\""),
        ("[feed]\ndecimal = ','", "\"point\", \"comma\""),
        ("[limits]\nwalls = 0", "a whole number from 1 to 10000000"),
        ("[limits]\nwalls = -3", "a whole number from 1 to 10000000"),
        ("[limits]\nseconds = '3'", "expected a whole number from 0 to 604800, found"),
        ("[limits]\nnesting = 1e9", "a whole number from 1 to 64"),
        ("[limits]\nfiles_mb = 3", "did you mean 'file_mb'"),
        ("limits = 3", "expected a table"),
        ("[stock.prices]\n2x5 = { 8 = 4 }", "not a section"),
        ("[stock.prices]\n2x4 = { 9 = 4 }", "9 ft is not among the stock lengths of 2x4"),
        ("[stock.prices]\n2x4 = { 8 = 4.35 }", "no price for 10, 12, 14, 16 ft"),
        ("[stock]\nlengths_ft = { 2x4 = [8] }\nprices = { 2x4 = { 8 = 0 } }", "allowed is 0.01"),
        ("[[layers]]\nmatch = 'A'", "lacks 'use'"),
        ("[[layers]]\nuse = 'wall'", "lacks 'match'"),
        ("[[layers]]\nmatch = 'A'\nuse = 'door'\nsection = '2x4'", "use is not \"wall\""),
        ("units = ", "not valid TOML"),
        ("units = 'in'\nunits = 'mm'", "not valid TOML"),
    ] {
        let m = the_mistake(text);
        assert!(m.contains(part), "{text}\n  gave {m}\n  wanted {part}");
    }
}

#[test]
fn syntax_errors_have_their_line() {
    assert!(the_mistake("units = 'in'\n\nmirror = [\n\n").starts_with("shop.toml, line "));
    assert!(the_mistake("units = 'in'\n!!\n").starts_with("shop.toml, line 2: "));
}

#[test]
fn flags_read_like_settings() {
    assert_eq!(length_from_text("97.125"), Ok(Length::sixteenths(97 * 16 + 2)));
    assert_eq!(length_from_text("8'-1 1/8\""), Ok(Length::sixteenths(97 * 16 + 2)));
    assert!(length_from_text("tall").is_err());
    assert!(default_top_from_text("1").is_err());
    assert!(section_from_text("2x6").is_ok() && section_from_text("6x6").is_err());
}

fn length(range: Range) -> impl Strategy<Value = Length> {
    (range.least.nm()..=range.most.nm()).prop_map(Length::from_nm)
}

fn section() -> impl Strategy<Value = Section> {
    proptest::sample::select(Section::all().collect::<Vec<_>>())
}

fn layer_rule() -> impl Strategy<Value = LayerRule> {
    use proptest::option::of;
    let roof = (RISE_IN_12, proptest::sample::select(&Uphill::ALL))
        .prop_map(|(rise_in_12, uphill)| Roof { rise_in_12, uphill });
    let wall = (of(any::<bool>()), of(any::<bool>()), of(section()), of(length(TOP)), of(roof));
    ("[ -~é\\\\\"]{0,12}x", proptest::sample::select(&USE_WORDS), wall).prop_map(
        |(pattern, (_, usage), (exterior, bearing, section, top, roof))| {
            if usage == LayerUse::Wall {
                LayerRule { pattern, usage, exterior, bearing, section, top, roof }
            } else {
                LayerRule {
                    pattern,
                    usage,
                    exterior: None,
                    bearing: None,
                    section: None,
                    top: None,
                    roof: None,
                }
            }
        },
    )
}

/// A price list for the first section with lengths, plain or treated.
fn prices_of(
    boards: &BTreeMap<String, Vec<u32>>,
    cents: u32,
) -> BTreeMap<String, BTreeMap<u32, u32>> {
    let treated = if cents.is_multiple_of(2) { " treated" } else { "" };
    let one = |(section, feet): (&String, &Vec<u32>)| {
        let prices = feet.iter().map(|ft| (*ft, ft * cents)).collect();
        (format!("{section}{treated}"), prices)
    };
    boards.iter().take(1).map(one).collect()
}

fn settings() -> impl Strategy<Value = Settings> {
    use proptest::{collection, option::of, sample::select};
    let general = (
        (of(select(Unit::ALL.to_vec())), of(select(crate::CodePage::all().collect::<Vec<_>>()))),
        (select(&MIRROR_WORDS), select(&CURVED_WALLS_WORDS)),
        length(TOP),
        of(section()),
        "[a-z0-9-]{1,12}",
        collection::vec(layer_rule(), 0..4),
        collection::vec("[A-Z0-9*][ -~]{0,12}", 0..3),
    );
    let plates = (
        of(length(JOINT_OFFSET)),
        length(CLEARANCE),
        length(NOTCH),
        length(CLEARANCE),
        select(&EXTERIOR_TEE_WORDS),
        length(SHORT),
        any::<bool>(),
    );
    let boards = collection::btree_map(
        section().prop_map(|s| s.name().to_owned()),
        collection::btree_set(4_u32..=40, 1..6).prop_map(|s| s.into_iter().collect::<Vec<_>>()),
        0..4,
    );
    let globs = || collection::vec("[!-~][^\n]{0,8}", 0..3);
    let framing = (globs(), globs())
        .prop_map(|(materials, finishes)| crate::FramingSettings { materials, finishes });
    let pounds = (1.0..9e5_f64).prop_map(ChordForce::Pounds);
    let feet = || 1.0..1e3_f64;
    let diaphragm = (1.0..1e4_f64, feet(), feet()).prop_map(|(load_plf, span_ft, depth_ft)| {
        ChordForce::Diaphragm { load_plf, span_ft, depth_ft }
    });
    let nail = of("[!-~][^\n]{0,8}");
    let chord = of((prop_oneof![pounds, diaphragm], select(&SPECIES_WORDS), 0.9..2.0_f64, nail)
        .prop_map(|(force, species, duration, nail)| ChordSettings {
            force,
            species: species.1,
            duration,
            nail,
        }));
    let rest = (
        length(SPACING),
        boards,
        length(CLEARANCE),
        length(TRIM),
        length(SNAP),
        framing,
        chord,
        (1..900_u32, collection::vec(any::<u64>(), Limit::ALL.len())),
        (select(&FEED_UNIT_WORDS), select(&DECIMAL_WORDS)),
    );
    (general, plates, rest).prop_map(|(g, p, r)| Settings {
        units: g.0.0,
        code_page: g.0.1,
        mirror: g.1.0.1,
        curved_walls: g.1.1.1,
        default_top: g.2,
        default_section: g.3,
        rules: g.4,
        layers: g.5,
        regions: g.6,
        plates: crate::PlateSettings {
            joint_offset: p.0,
            upper_clearance: p.1,
            notch_depth: p.2,
            notch_side_clearance: p.3,
            exterior_tee: p.4.1,
            short_piece: p.5,
            bottom_stops_at_doors: p.6,
            on_concrete: !p.6,
        },
        studs: crate::StudSettings { spacing: r.0 },
        stock: StockSettings {
            prices: prices_of(&r.1, r.7.0),
            lengths_ft: r.1,
            kerf: r.2,
            end_trim: r.3,
            on_hand: Vec::new(),
        },
        graph: crate::GraphSettings { snap: r.4 },
        framing: r.5,
        chord: r.6,
        feed: crate::FeedSettings { unit: r.8.0.1, decimal: r.8.1.1 },
        limits: Limit::ALL.iter().zip(r.7.1).fold(Limits::default(), |l, (limit, v)| {
            let (least, most) = limit.range();
            l.with(*limit, least + v % (most - least + 1))
        }),
    })
}

proptest! {
    #[test]
    fn what_is_written_reads_back_the_same(s in settings()) {
        prop_assert_eq!(from_toml(&to_toml(&s), "written").map_err(|e| e.to_string()), Ok(s));
    }
    #[test]
    fn any_text_is_read_or_refused(t in "(\\PC|\n){0,80}") {
        let _ = from_toml(&t, "any");
    }
    /// Damage to a good file: never a panic, and a refusal always names a line.
    #[test]
    fn damaged_files_are_read_or_refused(s in settings(), at in 0.0..1.0_f64, c in any::<char>()) {
        let mut t: Vec<char> = to_toml(&s).chars().collect();
        let i = (t.len() as f64 * at) as usize;
        t[i] = c;
        if let Err(e) = from_toml(&t.into_iter().collect::<String>(), "any") {
            prop_assert!(e.findings.iter().all(|f| f.message.starts_with("any, line ")));
        }
    }
}
