//! The smallest pieces of the syntax: blanks, comments, ends of strings and statements.

use memchr::{memchr2, memchr3, memmem};

/// Where a piece ended, or how it failed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Regular end; the position is the first byte after it.
    At(usize),
    /// A string or statement was never closed, and a new entity begins at this position.
    Broken(usize),
    /// The file ended first.
    OutOfBytes,
}

/// Longest comment understood inside a statement. Without a limit a file of unclosed comments takes
/// time by the square of its size.
const INNER_COMMENT: usize = 4096;

/// The first position at or after `at`, between statements, that is neither blank nor in a comment.
/// The flag is set when a comment was opened and never closed; such an opening is skipped as two
/// stray bytes, and no closing is looked for again.
#[inline]
pub fn skip_between(bytes: &[u8], mut at: usize, open_comment: &mut bool) -> usize {
    loop {
        at = skip_white(bytes, at);
        if !bytes.get(at..).is_some_and(|r| r.starts_with(b"/*")) {
            return at;
        }
        let close = if *open_comment { None } else { memmem::find(&bytes[at + 2..], b"*/") };
        match close {
            Some(n) => at += n + 4,
            None => {
                *open_comment = true;
                at += 2;
            }
        }
    }
}

/// The first position at or after `at`, inside a statement, that is neither blank nor in a comment.
#[inline]
pub fn skip_inside(bytes: &[u8], mut at: usize) -> usize {
    loop {
        at = skip_white(bytes, at);
        if !bytes.get(at..).is_some_and(|r| r.starts_with(b"/*")) {
            return at;
        }
        at = inner_comment_end(bytes, at);
    }
}

#[inline]
fn skip_white(bytes: &[u8], mut at: usize) -> usize {
    while matches!(bytes.get(at), Some(b' ' | b'\n' | b'\r' | b'\t' | 0x0b | 0x0c)) {
        at += 1;
    }
    at
}

/// The position after the comment that opens at `at` inside a statement; after its `/*` alone when
/// it has no end within reach.
pub fn inner_comment_end(bytes: &[u8], at: usize) -> usize {
    let from = at + 2;
    let window = &bytes[from.min(bytes.len())..(from + INNER_COMMENT).min(bytes.len())];
    memmem::find(window, b"*/").map_or(from, |n| from + n + 2)
}

/// The end of a string whose opening quote is just before `at`. Two quotes in a row are one quote
/// inside the string, and a quote after `\S\` is that directive's letter. A string that runs into a
/// line that starts a new entity was never closed.
pub fn string_end(bytes: &[u8], start: usize) -> End {
    let mut at = start;
    loop {
        let Some(n) = memchr2(b'\'', b'\n', bytes.get(at..).unwrap_or_default()) else {
            return End::OutOfBytes;
        };
        let hit = at + n;
        if bytes[hit] == b'\'' {
            if after_page_directive(&bytes[start..hit]) {
                at = hit + 1;
                continue;
            }
            if bytes.get(hit + 1) != Some(&b'\'') {
                return End::At(hit + 1);
            }
            at = hit + 2;
        } else if entity_start(bytes, hit + 1).is_some() {
            return End::Broken(hit + 1);
        } else {
            at = hit + 1;
        }
    }
}

/// Whether the text of a string so far ends in `\S\`, whose first backslash is none of a doubled
/// pair.
fn after_page_directive(text: &[u8]) -> bool {
    let Some(before) = text.strip_suffix(b"\\S\\") else { return false };
    before.iter().rev().take_while(|b| **b == b'\\').count().is_multiple_of(2)
}

/// When `#id =` stands at `at`: the id and the position after the equals sign. Comments may stand between
/// the two, as between any two tokens (ISO 10303-21, from memory).
#[inline]
pub fn entity_start(bytes: &[u8], at: usize) -> Option<(u64, usize)> {
    if bytes.get(at) != Some(&b'#') {
        return None;
    }
    let (id, mut at) = digits(bytes, at + 1)?;
    while matches!(bytes.get(at), Some(b' ' | b'\t' | b'\r' | b'\n')) {
        at += 1;
    }
    match bytes.get(at) {
        Some(b'=') => Some((id, at + 1)),
        Some(b'/') => equals_past_comments(bytes, at).map(|after| (id, after)),
        _ => None,
    }
}

/// The position after the equals sign that stands past the comments at `at`. All of them together may be as
/// long as one inside a statement: what looks like this is looked for at every `#` after damage.
#[cold]
fn equals_past_comments(bytes: &[u8], at: usize) -> Option<usize> {
    let mut rest = bytes.get(at..bytes.len().min(at + INNER_COMMENT))?;
    let whole = rest.len();
    while let Some(comment) = rest.strip_prefix(b"/*") {
        let close = memmem::find(comment, b"*/")?;
        rest = comment[close + 2..].trim_ascii_start();
    }
    rest.starts_with(b"=").then(|| at + whole - rest.len() + 1)
}

/// An unsigned number at `at` and the position after it; `None` without digits or beyond 64 bits.
#[inline]
pub fn digits(bytes: &[u8], from: usize) -> Option<(u64, usize)> {
    let (mut at, mut id) = (from, 0_u64);
    while let Some(d) = bytes.get(at).map(|b| b.wrapping_sub(b'0')).filter(|d| *d <= 9) {
        // Eighteen digits cannot overflow.
        id = if at - from < 18 {
            id * 10 + u64::from(d)
        } else {
            id.checked_mul(10)?.checked_add(u64::from(d))?
        };
        at += 1;
    }
    (at > from).then_some((id, at))
}

/// The end of the statement that `at` lies in, outside any string: the position after its `;`.
pub fn statement_end(bytes: &[u8], at: usize) -> End {
    statement_end_past(bytes, at, &mut false)
}

/// The same; says whether a comment lies before it.
pub fn statement_end_past(bytes: &[u8], mut at: usize, comment: &mut bool) -> End {
    loop {
        let Some(n) = memchr3(b';', b'\'', b'/', bytes.get(at..).unwrap_or_default()) else {
            return End::OutOfBytes;
        };
        let hit = at + n;
        match bytes[hit] {
            b';' => return End::At(hit + 1),
            b'\'' => match string_end(bytes, hit + 1) {
                End::At(end) => at = end,
                other => return other,
            },
            _ if bytes.get(hit + 1) == Some(&b'*') => {
                *comment = true;
                at = inner_comment_end(bytes, hit);
            }
            _ => at = hit + 1,
        }
    }
}

/// The next place from `at` on where an entity starts, wherever on a line; for going on after damage.
pub fn next_entity(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        let n = memchr::memchr(b'#', bytes.get(at..)?)?;
        if entity_start(bytes, at + n).is_some() {
            return Some(at + n);
        }
        at += n + 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_end_where_they_should() {
        assert_eq!(string_end(b"it''s', 1", 0), End::At(6));
        assert_eq!(string_end(b"a\nb'", 0), End::At(4));
        assert_eq!(string_end(b"open,\n#7= IFCX('a');", 0), End::Broken(6));
        assert_eq!(string_end(b"open", 0), End::OutOfBytes);
    }

    /// ISO 10303-21: PAGE = reverse solidus S reverse solidus LATIN_CODEPOINT, and an apostrophe is
    /// one of those. From memory; the corpus has a file that writes it.
    #[test]
    fn a_quote_may_be_the_letter_of_a_page_directive() {
        assert_eq!(string_end(br"\S\'x'", 0), End::At(6));
        assert_eq!(string_end(br"\S\\'x'", 0), End::At(5));
        assert_eq!(string_end(br"C:\\S\'x", 0), End::At(7));
    }

    #[test]
    fn statements_end_outside_strings_and_comments() {
        assert_eq!(statement_end(b"A('x;y',/* ; ' */1);z", 0), End::At(20));
        assert_eq!(statement_end(b"A(1/2);", 0), End::At(7));
        assert_eq!(statement_end(b"A('x", 0), End::OutOfBytes);
    }

    #[test]
    fn blanks_and_comments_are_skipped() {
        let mut open = false;
        assert_eq!(skip_between(b" \r\n/* a */ /**/x", 0, &mut open), 15);
        assert!(!open);
        assert_eq!(skip_inside(b" /* a */\tx", 0), 9);
        assert_eq!(skip_between(b"/* never", 0, &mut open), 3);
        assert!(open);
    }

    #[test]
    fn huge_ids_are_not_numbers() {
        assert_eq!(entity_start(b"#99999999999999999999999=", 0), None);
        assert_eq!(entity_start(b"#18446744073709551615 =", 0), Some((u64::MAX, 23)));
    }

    #[test]
    fn comments_may_stand_between_id_and_equals_sign() {
        assert_eq!(entity_start(b"#1/* x */=IFCX", 0), Some((1, 10)));
        assert_eq!(entity_start(b"#1 /* c; ' #2=A(); */\r\n/**/ = IFCX", 0), Some((1, 29)));
        for none in ["#1/* x */", "#1/=", "#1/* =", "#1/*/=", "#1/* x */;="] {
            assert_eq!(entity_start(none.as_bytes(), 0), None, "{none}");
        }
        let long = format!("#1{}=IFCX", "/**/".repeat(2000));
        assert_eq!(entity_start(long.as_bytes(), 0), None);
    }
}
