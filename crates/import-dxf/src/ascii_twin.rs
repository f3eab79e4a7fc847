//! The tag reader held against itself without its short ways: whatever is taken by many bytes at a time is what line
//! by line gives.

use super::AsciiTags;
use crate::file::DxfFile;
use crate::reading::{read_file, whole};
use crate::source::{Source, TextFile};
use crate::tag::{Damage, Skipped, Tag, Tags};
use limits::Watch;
use proptest::prelude::*;
use std::io::Cursor;

/// Every tag line by line, none ahead.
struct Plain<'a>(AsciiTags<'a>);

impl<'a> Tags<'a> for Plain<'a> {
    fn next(&mut self) -> Option<Tag<'a>> {
        self.0.next_of_any_form()
    }
    fn skip_section(&mut self) -> Skipped {
        self.0.skip_section()
    }
    fn ran_out(&self) -> bool {
        self.0.ran_out()
    }
    fn damage(&mut self) -> &mut Damage {
        self.0.damage()
    }
}

/// All that was read.
fn seen(file: &DxfFile<'_>) -> String {
    let mut blocks: Vec<_> = file.blocks.iter().collect();
    blocks.sort_by_key(|b| *b.0);
    let names = (&file.layer_names, &file.block_names, &file.type_names);
    format!(
        "{:?}\n{blocks:?}\n{:?}\n{names:?}\n{:?}\n{:?}",
        file.model, file.heights, file.strings, file.damage
    )
}

fn plainly(text: &[u8]) -> String {
    let file = DxfFile::new(Source::Memory(text), None);
    seen(&whole(file, Plain(AsciiTags::new(text)), &Watch::endless()))
}

fn shortly<'a>(source: impl Into<Source<'a>>) -> String {
    seen(&read_file(source.into(), None, &Watch::endless()))
}

/// A pair as programs write it, or nearly.
fn pair() -> impl Strategy<Value = String> {
    let number = prop_oneof![
        4 => Just("0.0".to_owned()),
        4 => "-?[0-9]{1,4}\\.[0-9]{1,3}",
        4 => "-?[0-9]{1,7}\\.[0-9]{6,16}",
        1 => "-?[0-9]{0,9}\\.?[0-9]{0,18}",
        1 => "[ 0-9.,eE+-]{0,9}",
    ];
    let code = prop_oneof![
        8 => prop::sample::select(vec![10, 20, 30, 11, 21, 31, 40, 41, 42, 43, 50, 51, 38]),
        1 => 10..60_i32,
        1 => 0..1100_i32,
    ];
    prop_oneof![
        12 => (code, number).prop_map(|(code, v)| format!("{code:3}\n{v}\n")),
        2 => "[A-Z]{1,12}|lost|0|[a-z ]{0,70}".prop_map(|v| format!("  1\n{v}\n")),
        1 => prop::sample::select(vec![" 67\n1\n", " 60\n1\n", "  5\n2B\n", "101\nEmbedded Object\n", " 70\n1\n", "210\n0.0\n",
            "230\n-1.0\n", "1000\nDATA\n", "102\n{ACAD_REACTORS\n", "  8\nA-DOOR\n", "  6\nDASHED\n", " 2\nB\n", "  2\nB\n", " 66\n     1\n"]).prop_map(str::to_owned),
        1 => "[ -~]{0,40}\n",
        1 => Just("010\n1.5\n".to_owned()),
    ]
}

/// How an entity begins: mostly as those before it.
fn beginning() -> impl Strategy<Value = String> {
    let kinds = vec!["LINE", "LWPOLYLINE", "INSERT", "TEXT", "VERTEX", "POLYLINE", "ARC", "ODD"];
    let handle = prop_oneof![5 => "  5\n[0-9A-F]{1,16}\n", 1 => Just(String::new())];
    let owner =
        prop_oneof![5 => Just("330\n1F\n100\nAcDbEntity\n"), 1 => Just("330\n2A\n"), 1 => Just("")];
    let layer = prop_oneof![5 => "  8\n[A-Z0-9-]{1,9}\n", 1 => "  8\n[A-Z ]{30,70}\n", 1 => Just(String::new())];
    let rest = prop_oneof![
        3 => Just("  6\nByLayer\n 62\n  256\n370\n   -1\n100\nAcDbLine\n"),
        3 => Just("100\nAcDbLine\n"),
        1 => Just("  6\nHIDDEN\n  6\nByLayer\n"),
        1 => Just(" 62\n     7\n  8\nA-WALL\n"),
        1 => Just(""),
    ];
    (prop::sample::select(kinds), handle, owner, layer, rest)
        .prop_map(|(kind, a, b, c, d)| format!("  0\n{kind}\n{a}{b}{c}{d}"))
}

fn drawing() -> impl Strategy<Value = String> {
    let pairs = prop::collection::vec(pair(), 0..9).prop_map(|all| all.concat());
    let entity = (beginning(), pairs).prop_map(|(a, b)| a + &b);
    let ends = prop::sample::select(vec!["\n", "\r\n", "\r", "\r\r\n"]);
    let spoilt = prop::option::weighted(
        0.2,
        (0..2000_usize, prop::sample::select(vec!["\r", "\n", "\r\n", "x"])),
    );
    (prop::collection::vec(entity, 0..24), ends, spoilt).prop_map(|(all, end, spoilt)| {
        let block = "  0\nSECTION\n  2\nBLOCKS\n  0\nBLOCK\n  2\nB\n 10\n1.0\n 20\n2.0\n  0\nENDBLK\n  0\nENDSEC\n";
        let mut text = format!("{block}  0\nSECTION\n  2\nENTITIES\n{}  0\nENDSEC\n  0\nEOF\n", all.concat());
        text = text.replace('\n', end);
        if let Some((at, what)) = spoilt
            && at < text.len()
        {
            text.insert_str(at, what);
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn short_ways_are_the_plain_way(text in drawing(), room in 200..3000_usize) {
        let plain = plainly(text.as_bytes());
        prop_assert_eq!(&shortly(text.as_bytes()), &plain, "{}", text);
        if let Some(file) = TextFile::of(Cursor::new(text.clone().into_bytes())).unwrap() {
            prop_assert_eq!(&shortly(&file.holding(room)), &plain, "by windows of {}: {}", room, text);
        }
    }
}

#[test]
fn short_ways_are_the_plain_way_in_real_drawings() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../../shared/corpus/dxf");
    let Ok(files) = std::fs::read_dir(folder) else {
        println!("skipped: no corpus beside the workspace");
        return;
    };
    for path in
        files.map(|f| f.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "dxf"))
    {
        let text = std::fs::read(&path).unwrap();
        if !crate::binary::is_binary(&text) {
            assert!(shortly(text.as_slice()) == plainly(&text), "{path:?}");
        }
    }
}
