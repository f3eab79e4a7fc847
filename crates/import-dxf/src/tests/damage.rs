//! Damaged, foreign, hostile and huge drawings, end to end.

use super::{codes, ends, ok, ok_with, sums, with, with_count};
use crate::testing::{Dxf, entity, insert, line};
use crate::{inspect, read};
use diag::Severity;
use proptest::prelude::*;
use settings::Settings;

#[test]
fn blocks_in_themselves_and_huge_arrays_stop() {
    let own =
        insert("C1", "0", "B", [1.0, 0.0], &[]) + &line("C2", "A-WALL", [0.0; 2], [90.0, 0.0]);
    let o = ok(&Dxf::inches().house().block("B", [0.0; 2], &own).insert("0", "B", [0.0; 2], &[]));
    assert_eq!(o.value.walls.len(), 5);
    assert_eq!(with_count(&o, "file-repaired"), 1);
    // A thousand blocks of a thousand of a thousand lines.
    let grid = [(70, 1000.0), (71, 1000.0), (44, 1.0), (45, 1.0)];
    let mut d =
        Dxf::inches().house().block("B0", [0.0; 2], &line("C2", "A-FURN", [0.0; 2], [90.0, 0.0]));
    for i in 1..5 {
        let inner = insert("C1", "0", &format!("B{}", i - 1), [0.0; 2], &grid);
        d = d.block(&format!("B{i}"), [0.0; 2], &inner);
    }
    let o = ok(&d.insert("0", "B4", [0.0; 2], &[]));
    assert_eq!((o.value.walls.len(), with_count(&o, "limit-reached")), (4, 1));
}

#[test]
fn bad_numbers_are_said_with_their_line() {
    let d = Dxf::inches()
        .house()
        .raw("  0\nLINE\n  5\nF1\n  8\nA-WALL\n 10\nabc\n 20\n0.0\n 11\n9.0\n 21\n0.0\n")
        .raw("  0\nLINE\n  5\nF2\n  8\nA-WALL\n 10\n1,5\n 20\n50.0\n 11\n90,25\n 21\n50.0\n")
        .raw("  0\nLINE\n  8\nA-WALL\n 10\n5.0\n 11\n9.0\n 21\n0.0\n")
        .line("A-WALL", [7.0, 7.0], [7.0, 7.0])
        .line("A-WALL", [1e12, 7.0], [0.0, 7.0]);
    let o = ok(&d);
    assert_eq!(o.value.walls.len(), 5);
    let bad = with(&o.findings, "coordinate-bad");
    assert_eq!(bad.len(), 3);
    assert!(bad.iter().any(|f| f.message.contains("F1")));
    let number = d.text().lines().position(|l| l == " 10").unwrap();
    assert!(number > 0);
    let lineless = bad.iter().find(|f| f.subject.starts_with("line ")).unwrap();
    let at: usize = lineless.subject["line ".len()..].parse().unwrap();
    assert_eq!(d.text().lines().nth(at), Some("LINE"));
    let repaired = with(&o.findings, "file-repaired")[0];
    for part in ["4 damaged places", "`abc` is not a number", "`1,5` was read as 1.5"] {
        assert!(repaired.message.contains(part), "{}", repaired.message);
    }
    assert_eq!(with_count(&o, "wall-zero-length"), 1);
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (9, 5));
}

#[test]
fn a_cut_file_loses_its_last_entity_and_says_so() {
    let whole = Dxf::inches().house().text();
    // In the middle of the last number: 360.0 would read as 36.
    let at = whole.rfind("\n 21\n0.0\n  0\nENDSEC").unwrap();
    let cut = &whole[..at + "\n 21\n0".len()];
    let o = read(cut.as_bytes(), &Settings::default()).unwrap();
    assert_eq!(o.value.walls.len(), 3);
    let f = with(&o.findings, "file-truncated")[0];
    assert!(f.severity == Severity::Error && f.message.contains("cut off"));
    assert_eq!((o.value.ledger.read(), o.value.ledger.used()), (4, 3));
    // After the entities nothing is missing.
    let end = whole.rfind("  0\nEOF").unwrap();
    let o = read(&whole.as_bytes()[..end], &Settings::default()).unwrap();
    assert_eq!(with(&o.findings, "file-truncated")[0].severity, Severity::Warning);
    assert_eq!(o.value.walls.len(), 4);
    // Junk after the end is nobody's business.
    let junk = whole + "\n\x1a\nsome text\n  0\nLINE\n";
    assert!(
        with(&read(junk.as_bytes(), &Settings::default()).unwrap().findings, "file-truncated")
            .is_empty()
    );
}

#[test]
fn names_in_code_pages_and_escapes() {
    for (version, page, raw) in [
        ("AC1018", "ANSI_936", b"\xC7\xBD\xCC\xE5".as_slice()),
        ("AC1027", "ANSI_936", "墙体".as_bytes()),
        ("AC1015", "ANSI_1252", b"\\U+5899\\U+4F53".as_slice()),
        ("AC1015", "ANSI_1252", b"\\M+5C7BD\\M+5CCE5".as_slice()),
    ] {
        let d = Dxf::inches()
            .version(version)
            .header("$DWGCODEPAGE", 3, page)
            .line("LLL", [0.0; 2], [300.0, 0.0])
            .line("LLL", [0.0; 2], [0.0, 300.0]);
        let text = d.text().into_bytes();
        let mut bytes = Vec::new();
        let mut rest = text.as_slice();
        while let Some(i) = memchr::memmem::find(rest, b"LLL") {
            bytes.extend_from_slice(&rest[..i]);
            bytes.extend_from_slice(raw);
            rest = &rest[i + 3..];
        }
        bytes.extend_from_slice(rest);
        let o = read(&bytes, &Settings::default()).unwrap();
        assert_eq!(o.value.walls[0].source[0].layer, "墙体", "{version}");
        assert_eq!(codes(&o.findings), ["dxf-layer-by-word", "section-assumed"]);
    }
}

#[test]
fn dwg_empty_and_foreign_files() {
    let refuse =
        |bytes: &[u8]| read(bytes, &Settings::default()).err().unwrap().findings[0].clone();
    assert_eq!(refuse(b"").code.name(), "file-empty");
    assert!(refuse(b"AC1032\0\0\0\0").message.contains("DWG file (release 2018)"));
    assert_eq!(refuse(b"ISO-10303-21;\nHEADER;").code.name(), "file-foreign");
    for (bytes, want) in [
        (b"999\nmade by hand\n0\nSECTION\n".as_slice(), true),
        (b"AutoCAD Binary DXF\r\n\x1a\0", true),
        (b"%PDF-1.7", false),
        (b"<html>", false),
        (b"0\n1\n2\n", false),
    ] {
        assert_eq!(crate::sniff(bytes), want);
    }
}

#[test]
fn objects_inside_entities_and_unknown_groups_do_no_harm() {
    let d = Dxf::inches().house().raw(
        "  0\nLINE\n  5\nF1\n102\n{ACAD_REACTORS\n330\n0\n102\n}\n  8\nA-WALL\n 83\n5\n 10\n0.0\n 20\n90.0\n 11\n90.0\n 21\n90.0\n\
         101\nEmbedded Object\n 10\n7.0\n1001\nACAD\n1010\n9.0\n",
    );
    let o = ok(&d);
    assert!(ends(&o.value).contains(&[0.0, 90.0, 90.0, 90.0]));
    assert_eq!(codes(&o.findings), ["section-assumed"]);
}

/// A drawing with something of everything, for the tests below.
fn medley() -> Dxf {
    let swing =
        entity("ARC", "C2", "0", &[(10, 0.0), (20, 0.0), (40, 36.0), (50, 0.0), (51, 90.0)]);
    Dxf::inches()
        .layer("A-WALL", 7, 0)
        .block("D", [0.0; 2], &(line("C1", "0", [0.0; 2], [0.0, 36.0]) + &swing))
        .house()
        .polyline("A-WALL", &[[100.0, 0.0], [100.0, 90.0], [0.0, 90.0]], false)
        .insert("A-DOOR", "D", [200.0, 0.0], &[(50, 90.0), (41, -1.0), (70, 2.0), (44, 90.0)])
        .raw("  0\nTEXT\n  8\nA-ANNO\n  1\nBed\n")
}

#[test]
fn every_truncation_is_survived() {
    let whole = medley().text().into_bytes();
    for n in 0..whole.len() {
        match read(&whole[..n], &Settings::default()) {
            Ok(o) => sums(&o.value),
            Err(r) => assert!(!r.findings.is_empty()),
        }
    }
}

fn survive(bytes: &[u8]) {
    if let Ok(o) = read(bytes, &Settings::default()) {
        sums(&o.value);
    }
    if let Ok(i) = inspect(bytes, &Settings::default()) {
        assert_eq!(i.ledger.read(), i.ledger.used() + i.ledger.ignored_total());
    }
}

/// Tags that mean something to the reader, with values that may not.
fn tag_soup() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "LINE",
        "LWPOLYLINE",
        "POLYLINE",
        "VERTEX",
        "SEQEND",
        "ARC",
        "INSERT",
        "MLINE",
        "BLOCK",
        "ENDBLK",
        "SECTION",
        "ENDSEC",
        "TABLE",
        "LAYER",
        "EOF",
        "TEXT",
        "ACAD_PROXY_ENTITY",
    ]);
    let value = prop_oneof![
        Just("0.0".to_owned()),
        Just("A-WALL".to_owned()),
        Just("A-DOOR".to_owned()),
        Just("B".to_owned()),
        Just("ENTITIES".to_owned()),
        Just("BLOCKS".to_owned()),
        Just("1e300".to_owned()),
        Just("-1e-300".to_owned()),
        Just("32767".to_owned()),
        Just(String::new()),
        Just("\\U+D800".to_owned()),
        (-1000.0..1000.0_f64).prop_map(|v| v.to_string()),
    ];
    let code = prop::sample::select(vec![
        1, 2, 5, 8, 10, 20, 30, 11, 21, 12, 22, 13, 23, 38, 40, 41, 42, 43, 44, 45, 50, 51, 60, 62,
        67, 70, 71, 72, 73, 74, 90, 91, 101, 210, 220, 230, 999, 1001,
    ]);
    let tag = prop_oneof![
        1 => word.prop_map(|w| format!("  0\n{w}\n")),
        5 => (code, value).prop_map(|(c, v)| format!("{c}\n{v}\n")),
    ];
    prop::collection::vec(tag, 0..120).prop_map(|t| t.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        survive(&bytes);
        let start = b"  0\nSECTION\n  2\nENTITIES\n".as_slice();
        survive(&[start, &bytes].concat());
        survive(&[b"AutoCAD Binary DXF\r\n\x1a\0\0\0SECTION\0\x02\0ENTITIES\0".as_slice(), &bytes].concat());
        survive(&[b"AutoCAD Binary DXF\r\n\x1a\0\0SECTION\0\x02ENTITIES\0".as_slice(), &bytes].concat());
    }

    #[test]
    fn random_tags_never_panic(soup in tag_soup(), more in tag_soup()) {
        let header = "  0\nSECTION\n  2\nHEADER\n  9\n$INSUNITS\n 70\n1\n  0\nENDSEC\n";
        survive(format!(
            "{header}  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nB\n{soup}  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{more}  0\nENDSEC\n  0\nEOF\n"
        ).as_bytes());
    }

    #[test]
    fn a_flipped_byte_never_panics(at in 0_usize..4000, to in any::<u8>()) {
        let mut bytes = medley().text().into_bytes();
        let n = bytes.len();
        bytes[at % n] = to;
        survive(&bytes);
    }
}

/// Blocks in blocks, each repeated ten times at one step: a thousand houses in 28 places.
fn nest() -> Dxf {
    let array = [(70, 10.0), (44, 500.0)];
    let sides = [[0.0, 0.0], [360.0, 0.0], [360.0, 240.0], [0.0, 240.0]];
    let house: String =
        (0..4).map(|i| line(&format!("F{i}"), "A-WALL", sides[i], sides[(i + 1) % 4])).collect();
    Dxf::inches()
        .block("A", [0.0; 2], &insert("A1", "0", "B", [0.0; 2], &array))
        .block("B", [0.0; 2], &insert("B1", "0", "C", [0.0; 2], &array))
        .block("C", [0.0; 2], &house)
        .insert("0", "A", [0.0; 2], &array)
}

#[test]
fn of_many_lines_in_one_place_a_few_are_looked_at() {
    let settings = Settings { units: Some(geom::Unit::Inch), ..Settings::default() };
    let o = ok_with(&nest(), &settings);
    let copies = o.value.ledger.ignored().find(|i| i.0.contains("many times over"));
    // 28 places, of which the outer three at each end have 1, 3, 6 copies and so on.
    assert_eq!(copies.map(|c| c.1.count), Some(4000 - 4 * (28 * 4 - 2 * (3 + 1))));
    assert_eq!(o.value.ledger.used(), 4 * (28 * 4 - 2 * (3 + 1)));
}

#[test]
fn what_inserts_make_counts_as_memory() {
    let d = Dxf::inches().house().block("P", [0.0; 2], &line("F1", "A-WALL", [0.0; 2], [9.0, 0.0]));
    let d = d.insert("0", "P", [0.0; 2], &[(70, 500.0), (71, 500.0), (44, 20.0), (45, 20.0)]);
    let limits = limits::Limits::default().with(limits::Limit::MemoryMb, 128);
    let settings = Settings { limits, ..Settings::default() };
    let refused = read(d.text().as_bytes(), &settings).expect_err("a refusal");
    assert_eq!(codes(&refused.findings), ["limit-reached"]);
    let text = refused.to_string();
    assert!(text.contains("Reading 500000 lines") && text.contains("memory_mb is 128"), "{text}");
}

#[test]
fn inserts_left_out_are_told_by_name() {
    let d =
        Dxf::inches().house().block("LOOP", [0.0; 2], &insert("B7", "0", "LOOP", [0.0; 2], &[]));
    let o = ok(&d.insert("0", "LOOP", [0.0; 2], &[]));
    let found = with(&o.findings, "file-repaired");
    assert!(found[0].message.contains("INSERT B7 at line"), "{}", found[0].message);
    assert!(found[0].message.contains("of block LOOP"), "{}", found[0].message);
    let d = Dxf::inches().house().block("P", [0.0; 2], &line("F1", "0", [0.0; 2], [9.0, 0.0]));
    let o = ok(&d.insert("0", "P", [0.0; 2], &[(70, 2000.0), (71, 2000.0)]));
    let found = with(&o.findings, "limit-reached");
    assert!(found[0].message.contains("it is INSERT 104 at line"), "{}", found[0].message);
    assert!(found[0].message.contains("of block P"), "{}", found[0].message);
}
