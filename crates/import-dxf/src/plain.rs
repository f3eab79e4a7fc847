//! What a text says, without its formatting.
//!
//! Knows: the `%%` codes of TEXT, the codes of MTEXT. Never touches: code pages and `\U+` escapes (see
//! `text`), what is made of the words.
//!
//! Codes: Autodesk help, "Format multiline text in alternate text editors" and "Control codes and
//! special text" (from memory; checked against ezdxf's `plain_text`).

/// The words of a TEXT, an attribute or the text typed in a dimension.
pub(crate) fn of_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(i) = rest.find("%%") {
        out.push_str(&rest[..i]);
        rest = percent(&rest[i..], &mut out);
    }
    out.push_str(rest);
    trimmed(&out)
}

/// `%%c` and its like at the front of `tail`; what is after it.
fn percent<'a>(tail: &'a str, out: &mut String) -> &'a str {
    let body = &tail[2..];
    let digits = body.bytes().take(3).take_while(u8::is_ascii_digit).count();
    if digits == 3 {
        let code = body[..3].parse::<u32>().unwrap_or(0);
        out.extend(char::from_u32(code).filter(|c| !c.is_control()));
        return &body[3..];
    }
    let Some(c) = body.chars().next() else {
        out.push_str("%%");
        return body;
    };
    match c.to_ascii_lowercase() {
        'd' => out.push('°'),
        'p' => out.push('±'),
        'c' => out.push('Ø'),
        '%' => out.push('%'),
        // Overline, underline, strike-through on and off.
        'o' | 'u' | 'k' => {}
        _ => {
            out.push_str("%%");
            return body;
        }
    }
    &body[c.len_utf8()..]
}

/// The words of an MTEXT, paragraphs on lines of their own.
pub(crate) fn of_mtext(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let tail = &rest[c.len_utf8()..];
        rest = match c {
            '\\' => command(tail, &mut out),
            '{' | '}' => tail,
            '%' if tail.starts_with('%') => percent(rest, &mut out),
            '^' => caret(tail, &mut out),
            c if c.is_control() => tail,
            c => {
                out.push(c);
                tail
            }
        };
    }
    trimmed(&out)
}

/// What follows a backslash; what is after it.
fn command<'a>(tail: &'a str, out: &mut String) -> &'a str {
    let Some(c) = tail.chars().next() else { return tail };
    let body = &tail[c.len_utf8()..];
    match c {
        'P' | 'N' | 'X' => out.push('\n'),
        '~' => out.push(' '),
        '\\' | '{' | '}' => out.push(c),
        // Underline, overline, strike-through on and off.
        'L' | 'l' | 'O' | 'o' | 'K' | 'k' => {}
        // Colour, font, height, slant, tracking, width, alignment, paragraph: up to a semicolon.
        'A' | 'C' | 'c' | 'F' | 'f' | 'H' | 'Q' | 'T' | 'W' | 'p' => {
            return match body.split_once(';') {
                Some((_, after)) => after,
                None => body,
            };
        }
        'S' => {
            let (fraction, after) = body.split_once(';').unwrap_or((body, ""));
            stacked(fraction, out);
            return after;
        }
        other => {
            out.push('\\');
            out.push(other);
        }
    }
    body
}

/// A stacked fraction: `1/2`, `1#2` or `1^2`, set off from a digit before it, since `5` with a stacked
/// half is five and a half.
fn stacked(fraction: &str, out: &mut String) {
    if out.ends_with(|c: char| c.is_ascii_digit()) {
        out.push(' ');
    }
    let mut parts = fraction.splitn(2, ['/', '#', '^']);
    let (above, below) = (parts.next().unwrap_or(""), parts.next().unwrap_or(""));
    out.push_str(above.trim());
    if !below.trim().is_empty() {
        out.push('/');
        out.push_str(below.trim());
    }
}

/// `^I` a tabulator, `^J` a new line, `^ ` a caret, other control characters nothing.
fn caret<'a>(tail: &'a str, out: &mut String) -> &'a str {
    let Some(c) = tail.chars().next() else {
        out.push('^');
        return tail;
    };
    match c {
        'I' => out.push(' '),
        'J' => out.push('\n'),
        ' ' => out.push('^'),
        'A'..='Z' => {}
        _ => {
            out.push('^');
            return tail;
        }
    }
    &tail[c.len_utf8()..]
}

fn trimmed(text: &str) -> String {
    text.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_text() {
        for (text, want) in [
            ("  BEDROOM 2 ", "BEDROOM 2"),
            ("%%uKITCHEN%%u", "KITCHEN"),
            ("45%%d %%P0.1 %%c10 5%%%", "45° ±0.1 Ø10 5%"),
            ("%%065%%", "A%%"),
            ("%%z %", "%%z %"),
            ("%%007x", "x"),
        ] {
            assert_eq!(of_text(text), want);
        }
    }

    #[test]
    fn codes_of_mtext() {
        for (text, want) in [
            ("{\\fArial|b1;BED\\PROOM}", "BED\nROOM"),
            ("\\A1;12'-6\\H0.7x;\\S1/2;\"", "12'-6 1/2\""),
            ("\\pxqc;\\LMASTER\\l\\~BEDROOM", "MASTER BEDROOM"),
            ("a\\\\b \\{c\\}", "a\\b {c}"),
            ("3\\S1#8; 4\\S3^4;", "3 1/8 4 3/4"),
            ("\\C1;\\W0.8;\\T1.1;\\Q15;x", "x"),
            ("90%%d ^ ^Iq", "90° ^ q"),
            ("\\", ""),
            ("\\S1/2", "1/2"),
            ("\\Hbroken", "broken"),
            ("\\z", "\\z"),
        ] {
            assert_eq!(of_mtext(text), want, "{text}");
        }
    }
}
