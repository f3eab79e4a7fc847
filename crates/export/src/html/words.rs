//! Text on the page: what a stranger's string may look like, and numbers of a drawing.
//!
//! Escaping is maud's: every string put into a template is escaped. This module takes care of what
//! escaping leaves: control characters, and letters that turn the reading direction of what follows.

use crate::text::people;
pub(super) use crate::text::unbroken;
use geom::Length;
use maud::{Markup, html};
use std::borrow::Cow;

/// The text with control and direction-changing characters made visible as U+FFFD. Letters of
/// right-to-left scripts stay as they are; [`bdi`] keeps them from reordering their neighbours.
pub(crate) fn shown(text: &str) -> Cow<'_, str> {
    let odd = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if !text.contains(odd) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(|c| if odd(c) { '\u{fffd}' } else { c }).collect())
}

/// A stranger's text, isolated from the reading direction around it.
pub(crate) fn bdi(text: &str) -> Markup {
    html! { bdi { (shown(text)) } }
}

/// A length for people, kept on one line.
pub(crate) fn length(length: Length, metric: bool) -> String {
    unbroken(&people(length, metric))
}

/// `1 piece`, `2 pieces`.
pub(crate) fn count(n: u64, one: &str) -> String {
    diag::words::counted(n as usize, one)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_stays_on_one_line() {
        assert_eq!(unbroken("far face of R2: 7'-6 1/2\""), "far face of R2: 7'-6\u{a0}1/2\"");
        assert_eq!(length(Length::mm(4800), true), "4800\u{a0}mm");
    }

    #[test]
    fn markup_and_direction_are_disarmed() {
        let got = bdi("<script>\u{202e}\u{0}\"x\"</script> \u{5d0}\u{5d1}").into_string();
        assert_eq!(
            got,
            "<bdi>&lt;script&gt;\u{fffd}\u{fffd}&quot;x&quot;&lt;/script&gt; \u{5d0}\u{5d1}</bdi>"
        );
    }
}
