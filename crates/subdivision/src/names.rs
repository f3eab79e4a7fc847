//! Lot names: what can be a folder on every system, and their order.

use std::cmp::Ordering;
use unicode_normalization::UnicodeNormalization;

/// Files that a batch writes beside the lots' folders, and the folder of failed ones.
const OURS: [&str; 9] = [
    "index.html",
    "lots.csv",
    "lumber.csv",
    "buy.csv",
    "fasteners.csv",
    "cuts.csv",
    "review.csv",
    "pool.csv",
    "pool-stock.csv",
];

/// Whether a lot's name can be a folder's name on every system. Two lots never share a folder, and no
/// lot reaches outside the output folder.
///
/// # Errors
/// Why not, and what to do.
pub fn folder_name(name: &str) -> Result<(), String> {
    const FORBIDDEN: [char; 9] = ['/', '\\', ':', '*', '?', '"', '<', '>', '|'];
    const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "conin$", "conout$"];
    let lower = name.to_lowercase();
    let as_csv = lower.strip_suffix(".parquet").map_or(lower.clone(), |n| format!("{n}.csv"));
    // Windows takes a device's name with any ending, and spaces before the dot, for the device.
    let first = lower.split('.').next().unwrap_or_default().trim_end();
    let port = |p: &str| {
        let number = first.strip_prefix(p).map(|n| n.chars().collect::<Vec<char>>());
        number.is_some_and(|n| {
            matches!(n.as_slice(), [d] if d.is_ascii_digit() || matches!(d, '\u{b9}' | '\u{b2}' | '\u{b3}'))
        })
    };
    let hidden = |c: char| matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    let why = if name.is_empty() {
        "nothing in it"
    } else if name.chars().any(|c| FORBIDDEN.contains(&c) || c.is_control()) {
        "a character that folder names cannot have"
    } else if name.chars().any(hidden) {
        "an invisible character"
    } else if name.starts_with('.') || name.ends_with('.') || name.trim() != name {
        "a dot at its start or end, or a space there"
    } else if DEVICES.contains(&first) || port("com") || port("lpt") {
        "the name of a device on Windows"
    } else if OURS.contains(&as_csv.as_str()) || lower.starts_with("shelf-") {
        "a name that the batch gives to its own files and folders"
    } else if name.len() > 100 {
        "more than 100 bytes"
    } else {
        return Ok(());
    };
    let shown: String = name.chars().take(60).flat_map(char::escape_debug).collect();
    Err(format!(
        "lot name '{shown}' cannot be a folder name: it has {why}; give the lot another name"
    ))
}

/// What two names have in common that are one folder on some system: Windows and macOS do not tell capitals
/// apart, macOS does not tell a composed accent from one set on its letter.
pub fn one_folder(name: &str) -> String {
    name.nfc().flat_map(char::to_lowercase).nfc().collect()
}

/// Names as a person sorts them: `Lot 2` before `Lot 10`. Different names are never equal.
pub fn natural(a: &str, b: &str) -> Ordering {
    let (mut x, mut y) = (a, b);
    loop {
        let (p, q) = (next(&mut x), next(&mut y));
        let order = match (p, q) {
            (None, None) => return a.cmp(b),
            (Some(p), Some(q)) => match (number(p), number(q)) {
                (Some(m), Some(n)) => m.len().cmp(&n.len()).then_with(|| m.cmp(n)),
                _ => p.to_lowercase().cmp(&q.to_lowercase()),
            },
            (p, q) => p.is_some().cmp(&q.is_some()),
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

/// The digits at the start of a text, or what comes before the next digits.
fn next<'a>(text: &mut &'a str) -> Option<&'a str> {
    let digit = text.chars().next()?.is_ascii_digit();
    let end = text.find(|c: char| c.is_ascii_digit() != digit).unwrap_or(text.len());
    let (head, rest) = text.split_at(end);
    *text = rest;
    Some(head)
}

/// Its digits without leading zeros, if it is a number.
fn number(part: &str) -> Option<&str> {
    part.starts_with(|c: char| c.is_ascii_digit()).then(|| part.trim_start_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn names_that_no_folder_can_have() {
        for (name, part) in [
            ("", "nothing"),
            ("../up", "cannot have"),
            ("a\\b", "cannot have"),
            ("a\tb", "cannot have"),
            ("a\u{202e}b", "invisible"),
            ("..", "a dot"),
            ("7.", "a dot"),
            (" 7", "a space"),
            ("NUL.x", "device"),
            ("con .txt", "device"),
            ("COM7", "device"),
            ("lpt\u{b2}", "device"),
            ("Cuts.CSV", "own files"),
            ("lots.parquet", "own files"),
            ("shelf-0a", "own files"),
        ] {
            let why = folder_name(name).unwrap_err();
            assert!(why.contains(part), "{name}: {why}");
        }
        for name in ["12", "Lot 7-B", "com10", "con-1", "Größe", "=1+1"] {
            folder_name(name).unwrap();
        }
    }

    #[test]
    fn names_that_some_systems_take_for_one() {
        // Unicode Standard Annex 15: U+00C5, U+212B and A with U+030A are canonically equivalent.
        for (a, b) in [("Lot A", "lot a"), ("\u{c5}", "A\u{30a}"), ("\u{212b}", "\u{e5}")] {
            assert_eq!(one_folder(a), one_folder(b));
        }
        assert_ne!(one_folder("Grun"), one_folder("Gr\u{fc}n"));
    }

    #[test]
    fn people_count_before_they_spell() {
        let mut names = ["Lot 10", "lot 9", "Lot 2b", "Lot 2", "Lot 02", "A"];
        names.sort_by(|a, b| natural(a, b));
        assert_eq!(names, ["A", "Lot 02", "Lot 2", "Lot 2b", "lot 9", "Lot 10"]);
    }

    proptest! {
        #[test]
        fn the_order_is_one(a in "[aB0-3 ]{0,6}", b in "[aB0-3 ]{0,6}", c in "[aB0-3 ]{0,6}") {
            prop_assert_eq!(natural(&a, &b), natural(&b, &a).reverse());
            prop_assert_eq!(natural(&a, &b) == Ordering::Equal, a == b);
            if natural(&a, &b) == Ordering::Less && natural(&b, &c) == Ordering::Less {
                prop_assert_eq!(natural(&a, &c), Ordering::Less);
            }
        }
    }
}
