//! Names out of a drawing, as text.
//!
//! Knows: the code page a drawing is written in and the escapes inside strings. Never touches: what
//! the names are used for. Decoding never fails: what fits nothing is read as Windows-1252.
//!
//! Which page it is `codepage` settles. Rules: strings are UTF-8 from AC1021 (release 2007) on, in `$DWGCODEPAGE` before; `\U+XXXX` is a
//! Unicode character and `\M+nXXXX` a two-byte character of the double-byte code page n (Autodesk DXF
//! reference; ezdxf documents the same; from memory).

use encoding_rs::{
    BIG5, EUC_KR, Encoding, GBK, IBM866, ISO_8859_2, ISO_8859_3, ISO_8859_4, ISO_8859_5,
    ISO_8859_6, ISO_8859_7, ISO_8859_8, MACINTOSH, SHIFT_JIS, UTF_8, WINDOWS_874, WINDOWS_1250,
    WINDOWS_1251, WINDOWS_1252, WINDOWS_1253, WINDOWS_1254, WINDOWS_1255, WINDOWS_1256,
    WINDOWS_1257, WINDOWS_1258,
};
use oem_cp::code_table::DECODING_TABLE_CP_MAP;
use std::borrow::Cow;

/// How the strings of one file are decoded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Decoder {
    page: Page,
}

/// A code page: of Windows and the web, or of DOS.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Page {
    Web(&'static Encoding),
    /// Number of a code page that `oem_cp` has.
    Dos(u16),
}

/// Bytes of a string that are read. Names have 255 characters at most; what is longer is damage or an
/// attack.
const LONGEST: usize = 8192;

impl Decoder {
    /// UTF-8; what is none is read as Windows-1252.
    pub const fn unicode() -> Decoder {
        Decoder { page: Page::Web(UTF_8) }
    }
    /// Windows-1252.
    pub const fn windows_1252() -> Decoder {
        Decoder { page: Page::Web(WINDOWS_1252) }
    }
    /// In a page by its name in settings or in `$DWGCODEPAGE`.
    pub fn of_page(name: &str) -> Option<Decoder> {
        by_name(name).map(|page| Decoder { page })
    }
    /// Whether it is UTF-8.
    pub fn is_unicode(self) -> bool {
        self == Decoder::unicode()
    }
    /// Whether its page writes two bytes a character.
    pub fn is_double(self) -> bool {
        matches!(self.page, Page::Web(e) if [SHIFT_JIS, GBK, EUC_KR, BIG5].contains(&e))
    }
    /// Whether its page writes languages of Latin letters with a few beyond ASCII among them. Vietnamese has many.
    pub fn is_latin(self) -> bool {
        match self.page {
            Page::Web(e) => [
                WINDOWS_1250,
                WINDOWS_1252,
                WINDOWS_1254,
                WINDOWS_1257,
                ISO_8859_2,
                ISO_8859_3,
                ISO_8859_4,
                MACINTOSH,
            ]
            .contains(&e),
            Page::Dos(n) => matches!(n, 437 | 775 | 850 | 852 | 857 | 858 | 860 | 861 | 863 | 865),
        }
    }
    /// Characters of a page of two bytes that are not among its common ones, which stand in rows of their own:
    /// the first levels of JIS X 0208, GB 2312 and Big5, and the Hangul of KS X 1001 (from memory).
    pub fn rare_characters(self, raw: &[u8]) -> usize {
        let Page::Web(page) = self.page else { return 0 };
        let (mut rest, mut rare) = (raw, 0);
        while let [lead, tail @ ..] = rest {
            let is_half = page == SHIFT_JIS && (0xA1..=0xDF).contains(lead);
            if *lead < 0x81 || is_half || !self.is_double() {
                rare += usize::from(is_half);
                rest = tail;
                continue;
            }
            let common = match page {
                p if p == SHIFT_JIS => matches!(lead, 0x81..=0x83 | 0x88..=0x97),
                p if p == GBK => {
                    matches!(lead, 0xA1..=0xA3 | 0xB0..=0xD7) && tail.first() >= Some(&0xA1)
                }
                p if p == BIG5 => matches!(lead, 0xA1..=0xC6),
                _ => matches!(lead, 0xA1..=0xA3 | 0xB0..=0xC8) && tail.first() >= Some(&0xA1),
            };
            rare += usize::from(!common);
            rest = tail.get(1..).unwrap_or_default();
        }
        rare
    }
    /// The text of some bytes.
    pub fn decode(self, raw: &[u8]) -> String {
        let raw = raw.get(..LONGEST).unwrap_or(raw);
        let plain = match std::str::from_utf8(raw) {
            Ok(ascii) if raw.is_ascii() => ascii.to_owned(),
            _ => self
                .decode_wide(raw)
                .unwrap_or_else(|| WINDOWS_1252.decode_without_bom_handling(raw).0.into_owned()),
        };
        match plain.contains("\\U+") || plain.contains("\\M+") {
            true => unescape(&plain),
            false => plain,
        }
    }
    /// Whether some bytes are text in the drawing's code page.
    pub fn fits(self, raw: &[u8]) -> bool {
        raw.is_ascii() || self.decode_wide(raw.get(..LONGEST).unwrap_or(raw)).is_some()
    }
    fn decode_wide(self, raw: &[u8]) -> Option<String> {
        match self.page {
            Page::Web(encoding) => encoding
                .decode_without_bom_handling_and_without_replacement(raw)
                .map(Cow::into_owned),
            Page::Dos(number) => DECODING_TABLE_CP_MAP.get(&number)?.decode_string_checked(raw),
        }
    }
}

/// The page that `$DWGCODEPAGE` names: `ANSI_1252`, `DOS850`, `dos437`, `gb2312`, `iso8859-2`, `mac-roman`.
fn by_name(name: &str) -> Option<Page> {
    let name = name.trim().to_ascii_lowercase();
    let number = name.trim_start_matches(|c: char| !c.is_ascii_digit());
    if name.starts_with("iso8859") || name.starts_with("iso_8859") {
        let part = name.rsplit(['-', '_']).next().unwrap_or_default();
        return Some(Page::Web(match part {
            "2" => ISO_8859_2,
            "3" => ISO_8859_3,
            "4" => ISO_8859_4,
            "5" => ISO_8859_5,
            "6" => ISO_8859_6,
            "7" => ISO_8859_7,
            "8" => ISO_8859_8,
            "9" => WINDOWS_1254,
            _ => WINDOWS_1252,
        }));
    }
    let web = match (name.as_str(), number) {
        ("gb2312" | "gbk" | "gb18030", _) | (_, "936") => GBK,
        ("big5", _) | (_, "950") => BIG5,
        ("ksc5601" | "johab", _) | (_, "949" | "1361") => EUC_KR,
        ("utf8" | "utf-8", _) => UTF_8,
        ("mac-roman", _) => MACINTOSH,
        (_, "932") => SHIFT_JIS,
        (_, "866") => IBM866,
        (_, "874") => WINDOWS_874,
        (_, "1250") => WINDOWS_1250,
        (_, "1251") => WINDOWS_1251,
        (_, "1252") => WINDOWS_1252,
        (_, "1253") => WINDOWS_1253,
        (_, "1254") => WINDOWS_1254,
        (_, "1255") => WINDOWS_1255,
        (_, "1256") => WINDOWS_1256,
        (_, "1257") => WINDOWS_1257,
        (_, "1258") => WINDOWS_1258,
        _ => {
            let dos = number.parse().ok().filter(|n| DECODING_TABLE_CP_MAP.contains_key(n));
            return dos.map(Page::Dos);
        }
    };
    Some(Page::Web(web))
}

/// Replaces `\U+XXXX` and `\M+nXXXX`; anything malformed stays as it is.
fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(i) = rest.find('\\') {
        out.push_str(&rest[..i]);
        let tail = &rest[i..];
        match unicode_escape(tail).or_else(|| multibyte_escape(tail)) {
            Some((c, used)) => {
                out.push_str(&c);
                rest = &tail[used..];
            }
            None => {
                out.push('\\');
                rest = &tail[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

fn unicode_escape(tail: &str) -> Option<(String, usize)> {
    let first = hex4(tail.strip_prefix("\\U+")?)?;
    // Characters beyond the basic plane come as two escapes.
    if (0xD800..0xDC00).contains(&first) {
        let second = hex4(tail.get(7..)?.strip_prefix("\\U+")?)?;
        let pair = char::decode_utf16([first, second]).next()?.ok()?;
        return Some((pair.to_string(), 14));
    }
    Some((char::from_u32(u32::from(first))?.to_string(), 7))
}

fn multibyte_escape(tail: &str) -> Option<(String, usize)> {
    let body = tail.strip_prefix("\\M+")?;
    let encoding = match body.as_bytes().first()? {
        b'1' => SHIFT_JIS,
        b'2' => BIG5,
        b'3' | b'4' => EUC_KR,
        b'5' => GBK,
        _ => return None,
    };
    let bytes = hex4(body.get(1..)?)?.to_be_bytes();
    let c = encoding.decode_without_bom_handling_and_without_replacement(&bytes)?;
    Some((c.into_owned(), 8))
}

fn hex4(s: &str) -> Option<u16> {
    let digits = s.get(..4)?;
    digits.bytes().all(|b| b.is_ascii_hexdigit()).then(|| u16::from_str_radix(digits, 16).ok())?
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_pages_and_versions() {
        let old = |page, raw: &[u8]| Decoder::of_page(page).unwrap().decode(raw);
        assert_eq!(old("ANSI_1252", b"M\xFCR"), "MüR");
        assert_eq!(old("ANSI_932", &[0x95, 0xC7]), "壁");
        assert_eq!(old("gb2312", &[0xC7, 0xBD]), "墙");
        assert_eq!(old("ANSI_1251", &[0xD1, 0xF2, 0xE5, 0xED, 0xE0]), "Стена");
        // Unicode's tables of the DOS pages, CP437.TXT and CP850.TXT, CP852.TXT (from memory).
        assert_eq!(old("dos437", b"W\x84nde"), "Wände");
        assert_eq!(old("DOS850", b"M\x9BR"), "MøR");
        assert_eq!(old("dos852", b"\xD8"), "ě");
        assert_eq!(old("dos866", b"\x91\xE2\xA5\xAD\xA0"), "Стена");
        assert_eq!(old("dos932", &[0x95, 0xC7]), "壁");
        assert!(Decoder::of_page("").is_none() && Decoder::of_page("ANSI_9999").is_none());
        let new = |raw: &[u8]| Decoder::unicode().decode(raw);
        assert_eq!(new("Wände".as_bytes()), "Wände");
        assert_eq!(new(b"W\xE4nde"), "Wände");
    }

    #[test]
    fn what_does_not_fit_is_known() {
        let d = Decoder::unicode();
        assert!(d.fits("Wände".as_bytes()) && d.fits(b"A-WALL"));
        assert!(!d.fits(b"W\xE4nde"));
        assert_eq!(d.decode(&[b'x'; 100_000]).len(), LONGEST);
    }

    /// Whatever may be set is a page that is decoded, and no two are the same but for their parts of ISO 8859.
    #[test]
    fn every_page_of_the_settings_is_known() {
        assert!(settings::CodePage::all().len() > 30);
        for page in settings::CodePage::all() {
            assert!(Decoder::of_page(page.name()).is_some(), "{}", page.name());
        }
    }

    #[test]
    fn escapes() {
        let d = Decoder::windows_1252();
        assert_eq!(d.decode(b"W\\U+00E4nde"), "Wände");
        assert_eq!(d.decode(b"\\M+5C7BD"), "墙");
        assert_eq!(d.decode(b"\\M+195C7x"), "壁x");
        assert_eq!(d.decode(b"\\U+D83C\\U+DFE0"), "🏠");
        for same in ["\\U+00", "\\U+zzzz", "\\M+9C7BD", "a\\b", "\\", "\\U+D83C"] {
            assert_eq!(d.decode(same.as_bytes()), same);
        }
    }
}
