//! The text of a list that a spreadsheet or an editor wrote: its encoding and its separator.

use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};

/// A list's text, and what there is to say about how it was read.
#[derive(Debug)]
pub struct Text {
    /// The whole of it, without a byte order mark.
    pub text: String,
    /// Plain sentences without a full stop.
    pub notes: Vec<String>,
}

/// UTF-8, UTF-16 with a byte order mark, or else Windows-1252, which is told.
///
/// # Errors
/// When it is no text: zero bytes, or broken UTF-16.
pub fn text(bytes: &[u8]) -> Result<Text, String> {
    let (encoding, body) = match bytes {
        [0xff, 0xfe, body @ ..] => (UTF_16LE, body),
        [0xfe, 0xff, body @ ..] => (UTF_16BE, body),
        _ => {
            let body = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
            if body.contains(&0) {
                return Err("it has zero bytes in it: it is no text, or UTF-16 without its mark; save it again as CSV UTF-8".to_owned());
            }
            if let Ok(text) = std::str::from_utf8(body) {
                return Ok(Text { text: text.to_owned(), notes: Vec::new() });
            }
            (WINDOWS_1252, body)
        }
    };
    let (text, broken) = encoding.decode_without_bom_handling(body);
    if broken {
        return Err(format!(
            "it begins as {} and is damaged; save it again as CSV UTF-8",
            encoding.name()
        ));
    }
    let mut note = format!("it is not UTF-8 and was read as {}", encoding.name());
    if encoding == WINDOWS_1252
        && let Some((at, line)) = text.lines().enumerate().find(|(_, l)| !l.is_ascii())
    {
        let shown: String = line.chars().take(60).flat_map(char::escape_debug).collect();
        note.push_str(&format!("; look whether line {} reads well: {shown}", at + 1));
    }
    Ok(Text { text: text.into_owned(), notes: vec![note] })
}

/// Line numbers of byte offsets that only grow. The reader of records places one before the line ends
/// that precede it; here line ends are passed over first.
#[derive(Debug)]
pub struct Lines<'t> {
    text: &'t [u8],
    at: usize,
    line: usize,
}

impl<'t> Lines<'t> {
    /// Of a text, from its first line.
    pub fn of(text: &'t str) -> Lines<'t> {
        Lines { text: text.as_bytes(), at: 0, line: 1 }
    }
    /// The line, from 1, of the first character from `offset` on that ends no line.
    pub fn at(&mut self, offset: usize) -> usize {
        let rest = self.text.get(offset..).unwrap_or_default();
        let ends = rest.iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let to = offset.saturating_add(ends).min(self.text.len());
        let between = self.text.get(self.at..to).unwrap_or_default();
        self.line += between.iter().filter(|b| **b == b'\n').count();
        self.at = self.at.max(to);
        self.line
    }
}

/// The separator that gives the header most cells of `known` names: comma, semicolon or tab.
pub(crate) fn separator(text: &str, known: &[&str]) -> u8 {
    let header = text.lines().next().unwrap_or_default();
    let hits = |sep: char| {
        let cells = header.split(sep).map(|c| c.trim().trim_matches('"'));
        cells.filter(|c| known.iter().any(|k| k.eq_ignore_ascii_case(c))).count()
    };
    // The first of equals: a header of one column has no separator at all.
    let mut best = (b',', hits(','));
    for sep in [b';', b'\t'] {
        let n = hits(char::from(sep));
        if n > best.1 {
            best = (sep, n);
        }
    }
    best.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodings_are_read_or_refused() {
        let utf16: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("lot,ä".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        for (bytes, text_is, told) in [
            (&b"\xef\xbb\xbflot"[..], "lot", ""),
            (&utf16, "lot,ä", "UTF-16LE"),
            (b"lot\nGr\xfcn", "lot\nGrün", "line 2"),
        ] {
            let t = text(bytes).unwrap();
            assert_eq!(t.text, text_is);
            assert!(t.notes.join("").contains(told) && t.notes.is_empty() == told.is_empty());
        }
        assert!(text(b"l\0o\0t\0").is_err_and(|e| e.contains("UTF-16")));
        assert!(text(&[0xff, 0xfe, 0x00, 0xd8]).is_err_and(|e| e.contains("damaged")));
    }

    #[test]
    fn separators() {
        let known = ["lot", "file"];
        assert_eq!(separator("lot;file\n", &known), b';');
        assert_eq!(separator("\"lot\"\tfile\n", &known), b'\t');
        assert_eq!(separator("lot,file;x\n", &known), b',');
        assert_eq!(separator("", &known), b',');
    }
}
