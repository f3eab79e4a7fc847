//! The header section: schema, writing program, and whether this is a STEP file at all.

use super::lex::{self, End};
use super::param::Params;

/// The header lies within this many bytes in any sane file.
const REACH: usize = 1 << 20;

/// What the header says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Header {
    /// First entry of `FILE_SCHEMA`, upper case; empty when there is none.
    pub schema: String,
    /// `FILE_NAME`: preprocessor version.
    pub preprocessor: String,
    /// `FILE_NAME`: originating system.
    pub system: String,
}

/// Whether the bytes start as a STEP file does; blanks, comments and a byte order mark may come first.
pub fn is_step(bytes: &[u8]) -> bool {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let bytes = bytes.trim_ascii_start();
    if !bytes.starts_with(b"/*") {
        return bytes.starts_with(b"ISO-10303-21");
    }
    let bytes = &bytes[..bytes.len().min(REACH)];
    let mut open = false;
    let at = lex::skip_between(bytes, 0, &mut open);
    !open && bytes[at..].starts_with(b"ISO-10303-21")
}

/// Reads the header; whatever is missing stays empty.
pub fn read(bytes: &[u8]) -> Header {
    let bytes = &bytes[..bytes.len().min(REACH)];
    let mut header = Header::default();
    if let Some(mut p) = params_of(bytes, b"FILE_SCHEMA") {
        let first = p.next().and_then(|l| l.list().next()).and_then(|s| s.text());
        header.schema = first.unwrap_or_default().trim().to_ascii_uppercase();
    }
    if let Some(p) = params_of(bytes, b"FILE_NAME") {
        let texts: Vec<String> =
            p.map(|x| x.text().unwrap_or_default().trim().to_owned()).collect();
        header.preprocessor = texts.get(4).cloned().unwrap_or_default();
        header.system = texts.get(5).cloned().unwrap_or_default();
    }
    header
}

/// The parameters of the header statement of that name, wherever it stands outside comments and
/// strings before the data.
fn params_of<'a>(bytes: &'a [u8], name: &[u8]) -> Option<Params<'a>> {
    let mut open = false;
    let mut at = 0;
    loop {
        at = lex::skip_between(bytes, at, &mut open);
        let rest = bytes.get(at..).filter(|r| !r.is_empty())?;
        if rest.starts_with(b"DATA") || rest.starts_with(b"#") {
            return None;
        }
        if rest.starts_with(name) {
            return Params::after_name(bytes, at + name.len());
        }
        at = match lex::statement_end(bytes, at) {
            End::At(end) | End::Broken(end) if end > at => end,
            _ => return None,
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_what_it_needs() {
        let h = read(b"ISO-10303-21;\nHEADER;\n/* FILE_SCHEMA(('NO')); */\nFILE_DESCRIPTION(('x; FILE_SCHEMA'),'2;1');\nFILE_NAME('a','b',(''),(''),'pre 1','sys 2',$);\nFILE_SCHEMA (('Ifc4x3_Add2'));\nENDSEC;\nDATA;");
        assert_eq!(h.schema, "IFC4X3_ADD2");
        assert_eq!((h.preprocessor.as_str(), h.system.as_str()), ("pre 1", "sys 2"));
    }

    #[test]
    fn nothing_is_nothing() {
        assert_eq!(read(b""), Header::default());
        assert_eq!(read(b"ISO-10303-21;HEADER;FILE_SCHEMA"), Header::default());
        assert!(is_step(b"\xEF\xBB\xBF\r\nISO-10303-21;") && !is_step(b"0\nSECTION"));
        assert!(is_step(b"/* by hand */\n/**/ISO-10303-21;") && !is_step(b"/* ISO-10303-21;"));
    }
}
