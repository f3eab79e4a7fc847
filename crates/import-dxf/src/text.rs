//! Names out of a drawing, as text.
//!
//! Knows: the code page a drawing is written in and the escapes inside strings. Never touches: what
//! the names are used for. Decoding never fails: what fits nothing is read as Windows-1252.
//!
//! Rules: strings are UTF-8 from AC1021 (release 2007) on, in `$DWGCODEPAGE` before; `\U+XXXX` is a
//! Unicode character and `\M+nXXXX` a two-byte character of the double-byte code page n (Autodesk DXF
//! reference; ezdxf documents the same; from memory).

use encoding_rs::{
    BIG5, EUC_KR, Encoding, GBK, IBM866, ISO_8859_2, ISO_8859_4, ISO_8859_5, ISO_8859_6,
    ISO_8859_7, ISO_8859_8, MACINTOSH, SHIFT_JIS, UTF_8, WINDOWS_874, WINDOWS_1250, WINDOWS_1251,
    WINDOWS_1252, WINDOWS_1253, WINDOWS_1254, WINDOWS_1255, WINDOWS_1256, WINDOWS_1257,
    WINDOWS_1258,
};

/// How the strings of one file are decoded.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Decoder {
    encoding: &'static Encoding,
}

impl Decoder {
    /// For a file of this `$ACADVER` and `$DWGCODEPAGE`, either possibly empty.
    pub fn for_file(version: &str, code_page: &str) -> Decoder {
        let unicode = version.strip_prefix("AC").and_then(|v| v.parse::<u32>().ok()) >= Some(1021);
        let encoding = if unicode { UTF_8 } else { by_name(code_page).unwrap_or(UTF_8) };
        Decoder { encoding }
    }
    /// The text of some bytes.
    pub fn decode(self, raw: &[u8]) -> String {
        let plain = match std::str::from_utf8(raw) {
            Ok(ascii) if raw.is_ascii() => ascii.to_owned(),
            _ => self.decode_wide(raw),
        };
        match plain.contains("\\U+") || plain.contains("\\M+") {
            true => unescape(&plain),
            false => plain,
        }
    }
    fn decode_wide(self, raw: &[u8]) -> String {
        self.encoding
            .decode_without_bom_handling_and_without_replacement(raw)
            .unwrap_or_else(|| WINDOWS_1252.decode_without_bom_handling(raw).0)
            .into_owned()
    }
}

fn by_name(name: &str) -> Option<&'static Encoding> {
    let name = name.trim().to_ascii_lowercase();
    let number = name.trim_start_matches(|c: char| !c.is_ascii_digit());
    if name.starts_with("iso8859") || name.starts_with("iso_8859") {
        let part = name.rsplit(['-', '_']).next().unwrap_or_default();
        return Some(match part {
            "2" => ISO_8859_2,
            "4" => ISO_8859_4,
            "5" => ISO_8859_5,
            "6" => ISO_8859_6,
            "7" => ISO_8859_7,
            "8" => ISO_8859_8,
            "9" => WINDOWS_1254,
            _ => WINDOWS_1252,
        });
    }
    Some(match (name.as_str(), number) {
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
        _ => return None,
    })
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
        let old = |page, raw: &[u8]| Decoder::for_file("AC1018", page).decode(raw);
        assert_eq!(old("ANSI_1252", b"M\xFCR"), "MüR");
        assert_eq!(old("ANSI_932", &[0x95, 0xC7]), "壁");
        assert_eq!(old("gb2312", &[0xC7, 0xBD]), "墙");
        assert_eq!(old("ANSI_1251", &[0xD1, 0xF2, 0xE5, 0xED, 0xE0]), "Стена");
        // No code page: UTF-8 if it is that, else Windows-1252.
        assert_eq!(old("", "Wände".as_bytes()), "Wände");
        assert_eq!(old("", b"W\xE4nde"), "Wände");
        let new = |raw: &[u8]| Decoder::for_file("AC1027", "ANSI_1252").decode(raw);
        assert_eq!(new("Wände".as_bytes()), "Wände");
        assert_eq!(new(b"W\xE4nde"), "Wände");
    }

    #[test]
    fn escapes() {
        let d = Decoder::for_file("AC1015", "ANSI_1252");
        assert_eq!(d.decode(b"W\\U+00E4nde"), "Wände");
        assert_eq!(d.decode(b"\\M+5C7BD"), "墙");
        assert_eq!(d.decode(b"\\M+195C7x"), "壁x");
        assert_eq!(d.decode(b"\\U+D83C\\U+DFE0"), "🏠");
        for same in ["\\U+00", "\\U+zzzz", "\\M+9C7BD", "a\\b", "\\", "\\U+D83C"] {
            assert_eq!(d.decode(same.as_bytes()), same);
        }
    }
}
