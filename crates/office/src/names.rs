//! Names from clients, made harmless; ids, checked.

/// Characters of a name that are kept.
const LONGEST: usize = 200;

/// A file's own name out of whatever a client sent: no folders, no control or direction characters.
/// Only ever shown and written into results; never a path.
pub(crate) fn file_name(sent: &str) -> String {
    let last = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    let name = text(last);
    if name.is_empty() || name.chars().all(|c| c == '.') { "drawing".to_owned() } else { name }
}

/// A text for one line: no control characters, none that turn the direction of reading or cannot be
/// seen, no space around it, not too long.
pub(crate) fn text(sent: &str) -> String {
    let hidden = |c: char| matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}');
    let seen = sent.chars().filter(|c| !c.is_control() && !hidden(*c));
    seen.collect::<String>().trim().chars().take(LONGEST).collect::<String>().trim().to_owned()
}

/// A name without its last ending, as the command line takes the lot's name from the file's.
pub(crate) fn stem(file: &str) -> &str {
    match file.rfind('.') {
        Some(0) | None => file,
        Some(dot) => &file[..dot],
    }
}

/// A name that any system takes for a file: for a download.
pub(crate) fn download(name: &str) -> String {
    let safe = |c: char| if c.is_alphanumeric() || " .-_()+".contains(c) { c } else { '_' };
    let name: String = name.chars().map(safe).collect();
    let name = name.trim_matches([' ', '.']);
    if name.is_empty() { "plates".to_owned() } else { name.chars().take(120).collect() }
}

/// `Content-Disposition` of a download (RFC 6266): a plain name for old clients, the whole name in UTF-8
/// (RFC 8187) for others.
pub(crate) fn attachment(name: &str) -> String {
    use std::fmt::Write;
    let name = download(name);
    let plain: String = name.chars().map(|c| if c.is_ascii() { c } else { '_' }).collect();
    let mut coded = String::new();
    for b in name.bytes() {
        if b.is_ascii_alphanumeric() || b".-_".contains(&b) {
            coded.push(b as char);
        } else {
            // Writing to a String cannot fail.
            let _ = write!(coded, "%{b:02X}");
        }
    }
    format!("attachment; filename=\"{plain}\"; filename*=UTF-8''{coded}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_never_a_path() {
        for (sent, kept) in [
            ("lot 14.dxf", "lot 14.dxf"),
            ("../../etc/passwd", "passwd"),
            ("C:\\plans\\a.dxf", "a.dxf"),
            ("..", "drawing"),
            ("a/", "drawing"),
            ("\u{202e}fxd.exe\n\0", "fxd.exe"),
            ("  ", "drawing"),
            ("Gebäude №4.ifc", "Gebäude №4.ifc"),
        ] {
            assert_eq!(file_name(sent), kept, "{sent:?}");
        }
        assert_eq!(file_name(&"x".repeat(10_000)).len(), LONGEST);
    }

    #[test]
    fn stems_are_the_command_lines() {
        for name in ["a.dxf", "a.b.dxf", ".dxf", "a", "a."] {
            let path = std::path::Path::new(name);
            assert_eq!(stem(name), path.file_stem().unwrap().to_str().unwrap(), "{name}");
        }
    }

    #[test]
    fn downloads_cannot_break_their_header() {
        let header = attachment("a\"; filename=\"evil\r\nX: y/ü.zip");
        assert!(header.is_ascii() && !header.contains(['\r', '\n']));
        assert_eq!(header.matches('"').count(), 2);
        assert!(header.contains("%C3%BC.zip"));
        assert_eq!(download(".."), "plates");
    }
}
