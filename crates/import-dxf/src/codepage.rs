//! How the texts of a drawing are written, and whether what the file says of it can be right.
//!
//! Knows: the names and texts beyond plain ASCII, what shows that they are UTF-8, what no Latin page writes, how
//! each other page would have them read. Never touches: what the names are used for.
//!
//! Nothing is guessed: a page that the file does not name is never taken for the drawing's, however well it
//! reads. Only bytes that are UTF-8 from end to end are read as such, since other pages hardly write them by
//! chance. Everything else is told with the readings there are, and one setting settles it.

use crate::file::DxfFile;
use crate::layers::{Usage, role_of};
use crate::text::Decoder;
use diag::codes::dxf;
use diag::{Finding, Severity};
use settings::Settings;
use std::collections::BTreeSet;

/// Bytes of texts that are looked at; names of layers and blocks all are.
const MOST_TEXT: usize = 1 << 18;
/// Names that are shown of each reading.
const SHOWN: usize = 3;
/// Characters of two bytes and more that show UTF-8 where another page is named or none is.
const PROOF: usize = 2;
/// The same where the page named writes two bytes a character itself, and may look like UTF-8 in a short name.
const PROOF_AGAINST_DOUBLE: usize = 4;
/// So many characters beyond ASCII in a row are in no word of a language that a Latin page writes.
const FOREIGN_RUN: usize = 4;

/// Pages that are tried for a reading, the likeliest first among equals.
const TRIED: &[&str] =
    &["utf-8", "932", "936", "949", "950", "1251", "866", "1253", "1250", "1252"];

/// What is not plain ASCII in a drawing, each once: names of layers, of blocks, then texts.
struct Strange<'f> {
    names: Vec<&'f [u8]>,
    texts: Vec<&'f [u8]>,
}

impl<'f> Strange<'f> {
    fn of(file: &'f DxfFile<'_>) -> Strange<'f> {
        let mut seen = BTreeSet::new();
        let mut new = |raw: &'f [u8]| !raw.is_ascii() && seen.insert(raw);
        let rows = file.layer_rows.iter().map(|row| &*row.name);
        let named = file.layer_names.iter().chain(&file.block_names).map(|n| &**n);
        let names = rows.chain(named).filter(|raw| new(raw)).collect();
        let mut left = MOST_TEXT;
        let texts = file.strings.each().take_while(|raw| {
            let goes = raw.len() <= left;
            left = left.saturating_sub(raw.len());
            goes
        });
        Strange { names, texts: texts.filter(|raw| new(raw)).collect() }
    }

    fn all(&self) -> impl Iterator<Item = &'f [u8]> {
        self.names.iter().chain(&self.texts).copied()
    }

    /// Characters of two bytes and more, where everything is UTF-8.
    fn utf8_characters(&self) -> Option<usize> {
        self.all().try_fold(0, |sum, raw| {
            let text = std::str::from_utf8(raw).ok()?;
            Some(sum + text.chars().filter(|c| !c.is_ascii()).count())
        })
    }

    fn fit(&self, decoder: Decoder) -> bool {
        self.all().all(|raw| decoder.fits(raw))
    }

    /// Whether names hold what is neither a letter nor a mark that names have.
    fn has_odd_names(&self, decoder: Decoder) -> bool {
        self.names.iter().any(|raw| decoder.decode(raw).chars().any(is_odd))
    }

    /// Characters beyond ASCII under a page.
    fn characters(&self, decoder: Decoder) -> usize {
        let strange = |raw| decoder.decode(raw).chars().filter(|c| !c.is_ascii()).count();
        self.all().map(strange).sum()
    }

    /// Whether somewhere stands what no Latin page writes.
    fn is_foreign_to_latin(&self) -> bool {
        self.all().any(|raw| {
            raw.split(u8::is_ascii)
                .any(|run| run.len() >= FOREIGN_RUN && run.iter().any(|b| Some(b) != run.first()))
        })
    }
}

/// Settles how the texts of a file are decoded; what there is to say of it.
pub(crate) fn settle(file: &DxfFile<'_>) -> (Decoder, Option<Finding>) {
    let header = &file.header;
    if let Some(decoder) = file.code_page_set.and_then(|page| Decoder::of_page(page.name())) {
        return (decoder, None);
    }
    let strange = Strange::of(file);
    let unicode = Decoder::unicode();
    if header.is_unicode() {
        let told = !strange.fit(unicode) && strange.is_foreign_to_latin();
        let why = "they are not the UTF-8 that releases from 2007 on are written in";
        let finding = told.then(|| cannot_be(&strange, unicode, "UTF-8", why)).flatten();
        return (unicode, finding);
    }
    let named = Decoder::of_page(&header.code_page);
    if strange.all().next().is_none() {
        return (named.unwrap_or(unicode), None);
    }
    let says = match header.code_page.as_str() {
        "" => "The drawing does not say in which code page its texts are written ($DWGCODEPAGE)"
            .to_owned(),
        page if named.is_none() => {
            format!("The drawing names the code page {page}, which is not known")
        }
        page => format!("The drawing names the code page {page}"),
    };
    let proof = match named.filter(|d| d.is_double() && strange.fit(*d)) {
        Some(_) => PROOF_AGAINST_DOUBLE,
        None => PROOF,
    };
    let is_unicode = named.is_some_and(Decoder::is_unicode);
    if !is_unicode && strange.utf8_characters().is_some_and(|n| n >= proof) {
        let names = shown(&strange, unicode);
        let message = format!(
            "{says}, and everything in it that is not plain ASCII is UTF-8. It was read as such: {names}."
        );
        let judged = if named.is_some() { Severity::Warning } else { Severity::Note };
        return (
            unicode,
            Some(Finding::new(dxf::CODE_PAGE, message).severity(judged).about("code_page")),
        );
    }
    let Some(decoder) = named else {
        // As the Autodesk DXF reference has it where nothing is said, and ezdxf reads it (from memory).
        let latin = Decoder::windows_1252();
        let names = shown(&strange, latin);
        let message = format!("{says}; what is not plain ASCII was read as Windows-1252: {names}.");
        let told = |message: String| Finding::new(dxf::CODE_PAGE, message).about("code_page");
        let (why, more) = match doubt(&strange, latin) {
            Some(why) => (why, readings(&strange, latin)),
            None => ("", String::new()),
        };
        let finding = match more.is_empty() && !strange.is_foreign_to_latin() {
            true => told(message).severity(Severity::Note),
            false => told(format!("{message} That cannot be right: {why}. {more}")),
        };
        return (latin, Some(finding));
    };
    let page = &header.code_page;
    let why = match strange.fit(decoder) {
        false => Some("there are bytes that this page does not have"),
        true => doubt(&strange, decoder),
    };
    let finding = why.and_then(|why| cannot_be(&strange, decoder, page, why));
    (decoder, finding)
}

/// What speaks against a Latin page.
fn doubt(strange: &Strange<'_>, decoder: Decoder) -> Option<&'static str> {
    match () {
        _ if !decoder.is_latin() => None,
        _ if strange.is_foreign_to_latin() => {
            Some("no language written in that page has four letters beyond ASCII in a row")
        }
        _ if strange.has_odd_names(decoder) => Some("the names have signs that no names have"),
        _ => None,
    }
}

/// What is told where another page would do better than the one named; nothing where none does.
fn cannot_be(strange: &Strange<'_>, used: Decoder, page: &str, why: &str) -> Option<Finding> {
    let readings = readings(strange, used);
    let names = shown(strange, used);
    let message = format!(
        "The texts of the drawing are not in {page} as it says: {why}. They were read so all the same: {names}. {readings}"
    );
    (!readings.is_empty()).then(|| Finding::new(dxf::CODE_PAGE, message).about("code_page"))
}

/// A few of the names as a page has them.
fn shown(strange: &Strange<'_>, decoder: Decoder) -> String {
    let short = |raw: &[u8]| -> String {
        decoder.decode(raw).chars().filter(|c| !c.is_control()).take(40).collect()
    };
    let few: Vec<String> = strange.all().take(SHOWN).map(short).collect();
    let more = strange.all().count().saturating_sub(SHOWN);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{more}", few.join(", "))
}

/// How other pages would have the names, those first in which layers are recognised.
fn readings(strange: &Strange<'_>, used: Decoder) -> String {
    let none = Settings::default();
    let mut found: Vec<(usize, usize, &str, String)> = Vec::new();
    for page in TRIED {
        let Some(decoder) = Decoder::of_page(page) else { continue };
        if decoder == used || !strange.fit(decoder) || !makes_sense(strange, decoder) {
            continue;
        }
        let roles = strange.names.iter().map(|raw| role_of(&decoder.decode(raw), &none));
        let known = roles.filter(|r| r.usage == Usage::Wall || r.usage.is_opening()).count();
        let rare: usize = strange.all().map(|raw| decoder.rare_characters(raw)).sum();
        if rare * 2 > strange.characters(decoder) {
            continue;
        }
        let known_told = match known {
            0 => String::new(),
            1 => " (1 of them a word for walls, doors or windows)".to_owned(),
            n => format!(" ({n} of them words for walls, doors or windows)"),
        };
        let told = format!("code_page = \"{page}\" gives {}{known_told}", shown(strange, decoder));
        found.push((known, rare, page, told));
    }
    // A stable sort: among equals the likeliest stays first.
    found.sort_by_key(|(known, rare, ..)| (std::cmp::Reverse(*known), *rare));
    let told: Vec<String> = found.into_iter().take(SHOWN).map(|f| f.3).collect();
    match told.is_empty() {
        true => String::new(),
        false => format!("In the settings, or as --code-page: {}.", told.join("; ")),
    }
}

/// Whether the names are words in a page: letters of one script in each, and no more of them beyond ASCII in a
/// row than a Latin page writes.
fn makes_sense(strange: &Strange<'_>, decoder: Decoder) -> bool {
    if decoder.is_latin() && strange.is_foreign_to_latin() {
        return false;
    }
    let looked_at = if strange.names.is_empty() { &strange.texts } else { &strange.names };
    looked_at.iter().all(|raw| {
        let text = decoder.decode(raw);
        !text.chars().any(is_odd)
            && text.split(|c: char| !c.is_alphabetic()).all(|word| {
                let mut scripts: Vec<Script> = word.chars().map(script).collect();
                scripts.dedup();
                // Latin letters stand beside Chinese ones without a space.
                let asian = |s: &Script| matches!(s, Script::Asian | Script::Hangul);
                scripts.retain(|s| {
                    !(*s == Script::Latin && word.chars().map(script).any(|s| asian(&s)))
                });
                scripts.dedup();
                scripts.len() <= 1
            })
    })
}

/// Neither a letter or digit nor a mark.
fn is_odd(c: char) -> bool {
    !c.is_ascii() && !c.is_alphanumeric() && !is_mark(c)
}

/// Marks that names and notes have beside letters.
fn is_mark(c: char) -> bool {
    matches!(
        c,
        '°' | '±'
            | '²'
            | '³'
            | '·'
            | '½'
            | '¼'
            | '¾'
            | '–'
            | '—'
            | '・'
            | '、'
            | '。'
            | 'ー'
            | '№'
    ) || matches!(c, '\u{2018}'..='\u{201D}' | '\u{3000}'..='\u{301F}' | '\u{FF00}'..='\u{FF60}')
}

/// What letters belong to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Script {
    Latin,
    Greek,
    Cyrillic,
    Asian,
    Hangul,
    /// Kana of half width: what Japanese pages make of single bytes.
    Half,
    Other,
}

fn script(c: char) -> Script {
    match u32::from(c) {
        0..=0x24F | 0x1E00..=0x1EFF => Script::Latin,
        0x370..=0x3FF => Script::Greek,
        0x400..=0x52F => Script::Cyrillic,
        0x1100..=0x11FF | 0x3130..=0x318F | 0xAC00..=0xD7A3 => Script::Hangul,
        0x3000..=0x30FF | 0x3400..=0x9FFF | 0xF900..=0xFAFF | 0xFF21..=0xFF5A => Script::Asian,
        0xFF61..=0xFF9F => Script::Half,
        _ => Script::Other,
    }
}

#[cfg(test)]
mod tests {
    use crate::testing::Dxf;
    use diag::{Finding, Severity};
    use settings::{CodePage, Settings};

    /// A room whose walls and doors are on layers of these names, as bytes, in a release 2000 file.
    fn room(page: Option<&str>, walls: &[u8], doors: &[u8]) -> Vec<u8> {
        let drawing = Dxf::inches()
            .line("@W@", [0.0; 2], [300.0, 0.0])
            .line("@W@", [0.0; 2], [0.0, 300.0])
            .line("@D@", [100.0, 0.0], [136.0, 0.0]);
        let drawing = match page {
            Some(page) => drawing.header("$DWGCODEPAGE", 3, page),
            None => drawing,
        };
        let mut bytes = drawing.text().into_bytes();
        for (mark, name) in [(b"@W@", walls), (b"@D@", doors)] {
            while let Some(at) = memchr::memmem::find(&bytes, mark) {
                bytes.splice(at..at + mark.len(), name.iter().copied());
            }
        }
        bytes
    }

    fn told(bytes: &[u8], set: Option<&str>) -> (Vec<String>, Option<Finding>) {
        let code_page = set.map(|s| CodePage::from_name(s).expect("a page"));
        let settings = Settings { code_page, ..Settings::default() };
        let i = crate::inspect(bytes, &settings).expect("a DXF file");
        let names = i.layers.iter().map(|l| l.name.clone()).collect();
        (names, i.findings.into_iter().find(|f| f.code.name() == "dxf-code-page"))
    }

    fn encoded(page: &'static encoding_rs::Encoding, text: &str) -> Vec<u8> {
        page.encode(text).0.into_owned()
    }

    /// What a drawing of some language looks like when its header says nothing, or says Windows-1252 as writers
    /// of DXF like to: the page that its names are words in is told, first of all; set, it is used and nothing told.
    #[test]
    fn a_page_that_cannot_be_right_is_told_with_readings() {
        use encoding_rs::{BIG5, EUC_KR, GBK, SHIFT_JIS, WINDOWS_1251};
        for (page, encoding, walls, doors) in [
            ("936", GBK, "墙体", "门窗"),
            ("932", SHIFT_JIS, "外壁", "窓・ドア"),
            ("950", BIG5, "隔間牆", "門窗"),
            ("949", EUC_KR, "외부벽체", "문-창호"),
            ("1251", WINDOWS_1251, "Стена несущая", "Двери"),
        ] {
            let (raw_walls, raw_doors) = (encoded(encoding, walls), encoded(encoding, doors));
            for header in [None, Some("ANSI_1252"), Some("ANSI_9999")] {
                let bytes = room(header, &raw_walls, &raw_doors);
                let (names, finding) = told(&bytes, None);
                assert!(!names.iter().any(|n| n == walls), "{page}: guessed");
                let finding = finding.unwrap_or_else(|| panic!("{page} {header:?}: nothing told"));
                assert_eq!(finding.severity, Severity::Warning);
                let first = format!("code_page = \"{page}\" gives {walls}, {doors}");
                let at = finding.message.find("code_page = ").expect("a reading");
                assert!(finding.message[at..].starts_with(&first), "{}", finding.message);
                let (names, finding) = told(&bytes, Some(page));
                assert!(names.iter().any(|n| n == walls) && finding.is_none(), "{names:?}");
            }
            let header = format!("ANSI_{page}");
            let (names, finding) = told(&room(Some(&header), &raw_walls, &raw_doors), None);
            assert!(names.iter().any(|n| n == walls) && finding.is_none(), "{names:?} {finding:?}");
        }
    }

    /// UTF-8 in a drawing that says another page, or none: its bytes prove it.
    #[test]
    fn utf8_is_proved_by_its_bytes() {
        for (header, severity) in [
            (None, Severity::Note),
            (Some("ANSI_1252"), Severity::Warning),
            (Some("ANSI_1251"), Severity::Warning),
            (Some("ANSI_936"), Severity::Warning),
        ] {
            for (walls, doors) in [("外壁の中心線", "ドア"), ("Стены", "Двери"), ("Wände", "Türen")]
            {
                let double = header == Some("ANSI_936");
                if double && walls == "Wände" {
                    continue;
                }
                let (names, finding) =
                    told(&room(header, walls.as_bytes(), doors.as_bytes()), None);
                assert!(names.iter().any(|n| n == walls), "{header:?} {names:?}");
                let finding = finding.expect("it is told");
                assert_eq!(finding.severity, severity, "{}", finding.message);
                assert!(finding.message.contains("is UTF-8"), "{}", finding.message);
            }
        }
        // One character proves nothing: in GBK these two bytes are a wall.
        let (names, finding) = told(&room(None, &[0xC7, 0xBD], b"DOOR"), None);
        assert!(names.iter().any(|n| n == "Ç½"), "{names:?}");
        assert!(finding.is_some());
    }

    /// Western names as they should be: nothing to say where the page is named, a note where none is.
    #[test]
    fn western_names_raise_no_doubt() {
        let (walls, doors) = (b"W\xC4NDE-\xDCBER".as_slice(), b"T\xDCREN 30\xB0".as_slice());
        let (names, finding) = told(&room(Some("ANSI_1252"), walls, doors), None);
        assert!(names.iter().any(|n| n == "WÄNDE-ÜBER") && finding.is_none(), "{finding:?}");
        let (names, finding) = told(&room(None, walls, doors), None);
        assert!(names.iter().any(|n| n == "WÄNDE-ÜBER"));
        assert_eq!(finding.map(|f| f.severity), Some(Severity::Note));
        let (_, finding) = told(&room(None, b"A-WALL", b"A-DOOR"), None);
        assert!(finding.is_none());
    }

    /// Bytes that the page named does not have.
    #[test]
    fn bytes_that_a_page_does_not_have_are_told() {
        let raw = encoded(encoding_rs::WINDOWS_1251, "Стена");
        let (_, finding) = told(&room(Some("ANSI_932"), &raw, b"\xFF-DOOR"), None);
        let message = finding.expect("told").message;
        assert!(
            message.contains("does not have") && message.contains("\"1251\" gives Стена"),
            "{message}"
        );
    }
}
