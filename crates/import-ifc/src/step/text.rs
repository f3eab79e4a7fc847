//! Strings: the escapes of ISO 10303-21, and bytes that should not be there.

use encoding_rs::{Encoding, WINDOWS_1252};

/// Decodes the bytes between the quotes. A bad escape stays as it is written; raw bytes above 127
/// are read as UTF-8 when the whole string is that, else as Windows-1252.
pub fn decode(raw: &[u8]) -> String {
    if raw.iter().all(|b| b.is_ascii() && *b != b'\\' && *b != b'\'') {
        return String::from_utf8_lossy(raw).into_owned();
    }
    let plain = match std::str::from_utf8(raw) {
        Ok(text) => text.into(),
        Err(_) => WINDOWS_1252.decode_without_bom_handling(raw).0,
    };
    unescape(&plain).0
}

/// What is wrong with the bytes between the quotes, if anything; [`decode`] reads them all the same.
pub fn flaw(raw: &[u8]) -> Option<&'static str> {
    if raw.is_ascii() && memchr::memchr(b'\\', raw).is_none() {
        return None;
    }
    let Ok(text) = std::str::from_utf8(raw) else {
        return Some("bytes that are no UTF-8, taken as Windows-1252");
    };
    let (_, sound) = unescape(text);
    (!sound).then_some("an escape that is none, kept as it is written")
}

/// The text, and whether every escape in it is one.
fn unescape(text: &str) -> (String, bool) {
    let mut sound = true;
    let mut out = String::with_capacity(text.len());
    // `\P?\` picks the part of ISO 8859 that `\S\` means.
    let mut page = WINDOWS_1252;
    let mut rest = text;
    while let Some(n) = rest.find(['\\', '\'']) {
        out.push_str(&rest[..n]);
        rest = &rest[n..];
        let used = one_escape(rest, &mut page, &mut out).unwrap_or_else(|| {
            sound &= !rest.starts_with('\\');
            out.push_str(&rest[..1]);
            1
        });
        rest = &rest[used..];
    }
    out.push_str(rest);
    sound &=
        !out.contains(char::REPLACEMENT_CHARACTER) || text.contains(char::REPLACEMENT_CHARACTER);
    (out, sound)
}

/// Takes the escape at the front of `rest`; how many bytes it was, or `None` when it is none.
fn one_escape(rest: &str, page: &mut &'static Encoding, out: &mut String) -> Option<usize> {
    if rest.starts_with("''") {
        out.push('\'');
        return Some(2);
    }
    if rest.starts_with("\\\\") {
        out.push('\\');
        return Some(2);
    }
    if let Some(letter) = rest.strip_prefix("\\S\\") {
        let c = letter.chars().next().filter(char::is_ascii)?;
        let byte = [c as u8 | 0x80];
        out.push_str(&page.decode_without_bom_handling(&byte).0);
        return Some(4);
    }
    if let Some(r) = rest.strip_prefix("\\P") {
        let b = r.as_bytes();
        if b.get(1) != Some(&b'\\') {
            return None;
        }
        *page = iso_8859(*b.first()?)?;
        return Some(4);
    }
    if rest.starts_with("\\X\\") {
        let byte = u8::from_str_radix(rest.get(3..5)?, 16).ok()?;
        out.push(char::from(byte));
        return Some(5);
    }
    let (digits, end) = hex_run(rest)?;
    let width = if rest.starts_with("\\X2\\") { 4 } else { 8 };
    // Some exporters write the byte order mark of UTF-16 too, and cut the run off two digits later.
    let digits = match digits.strip_prefix("FEFF") {
        Some(marked) if width == 4 => {
            marked.strip_suffix("00").filter(|d| d.len() % 4 == 0).unwrap_or(marked)
        }
        _ => digits,
    };
    if digits.is_empty() || !digits.len().is_multiple_of(width) {
        return None;
    }
    let units =
        (0..digits.len()).step_by(width).map(|i| u32::from_str_radix(&digits[i..i + width], 16));
    let units: Vec<u32> = units.collect::<Result<_, _>>().ok()?;
    if width == 4 {
        let utf16 = units.iter().map(|u| *u as u16);
        out.extend(char::decode_utf16(utf16).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)));
    } else {
        out.extend(units.iter().map(|u| char::from_u32(*u).unwrap_or(char::REPLACEMENT_CHARACTER)));
    }
    Some(end)
}

/// The digits between `\X2\` or `\X4\` and `\X0\`, and the position after it.
fn hex_run(rest: &str) -> Option<(&str, usize)> {
    let body = rest.strip_prefix("\\X2\\").or_else(|| rest.strip_prefix("\\X4\\"))?;
    let n = body.find('\\')?;
    let (digits, tail) = body.split_at(n);
    let ok = tail.starts_with("\\X0\\") && digits.bytes().all(|b| b.is_ascii_hexdigit());
    ok.then_some((digits, 4 + n + 4))
}

fn iso_8859(letter: u8) -> Option<&'static Encoding> {
    let label: &[u8] = match letter {
        b'A' => b"iso-8859-1",
        b'B' => b"iso-8859-2",
        b'C' => b"iso-8859-3",
        b'D' => b"iso-8859-4",
        b'E' => b"iso-8859-5",
        b'F' => b"iso-8859-6",
        b'G' => b"iso-8859-7",
        b'H' => b"iso-8859-8",
        b'I' => b"iso-8859-9",
        _ => return None,
    };
    Encoding::for_label(label)
}

#[cfg(test)]
mod tests {
    use super::{decode, flaw};
    use proptest::prelude::*;

    /// ISO 10303-21 clause 6.4.3; the examples are from memory, the values from Unicode.
    #[test]
    fn escapes() {
        let cases = [
            ("it''s", "it's"),
            (r"a\\b", r"a\b"),
            (r"W6C\X2\00D8\X0\F", "W6CØF"),
            (r"\X2\00480069\X0\!", "Hi!"),
            (r"\X4\0001F3E0\X0\", "🏠"),
            (r"\X2\D83CDFE0\X0\", "🏠"),
            (r"M\X\FCller", "Müller"),
            (r"\S\D", "Ä"),
            (r"\PE\\S\0", "А"),
            (r"\S\'x", "§x"),
            // As one model server writes every letter beyond ASCII (seen in public files).
            (r"2\X2\FEFF968E00\X0\", "2階"),
        ];
        for (raw, want) in cases {
            assert_eq!(decode(raw.as_bytes()), want, "{raw}");
            assert_eq!(flaw(raw.as_bytes()), None, "{raw}");
        }
    }

    #[test]
    fn bad_escapes_stay_and_spoil_nothing() {
        for raw in
            [r"\X2\00D\X0\ok", r"\X2\00D8", r"\X\G1 ok", r"\Q ok", r"\", r"\S\", r"\X4\00D8\X0\"]
        {
            let got = decode(raw.as_bytes());
            assert_eq!(got, raw);
            assert!(flaw(raw.as_bytes()).is_some_and(|f| f.contains("escape")), "{raw}");
        }
        assert!(flaw(br"\X2\D800\X0\").is_some());
        assert_eq!(decode(br"\X2\D800\X0\ \X\41"), "\u{fffd} A");
    }

    #[test]
    fn raw_bytes() {
        assert_eq!(decode("Größe".as_bytes()), "Größe");
        assert_eq!(decode(b"Gr\xF6\xDFe"), "Größe");
        assert_eq!(flaw("Größe".as_bytes()), None);
        assert!(flaw(b"Gr\xF6\xDFe").is_some_and(|f| f.contains("UTF-8")));
    }

    proptest! {
        #[test]
        fn never_panics(raw in proptest::collection::vec(any::<u8>(), 0..40)) {
            decode(&raw);
        }
        #[test]
        fn never_panics_on_escapes(raw in r"[\\XSP0248'A-Fé ]{0,24}") {
            decode(raw.as_bytes());
        }
    }
}
