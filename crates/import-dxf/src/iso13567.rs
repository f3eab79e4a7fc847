//! Layer names by ISO 13567-2.
//!
//! Knows: the ten fixed characters (agent 2, element 6, presentation 2), the status after them, and two
//! classifications that the element is taken from. Never touches: other names.
//!
//! ISO 13567 leaves the element to a national classification. Two are known here, by their leading
//! digits: the CI/SfB table 1 (21 external walls, 22 internal walls, 31 external openings, 32 internal
//! openings) and DIN 276 (331, 332 external walls, 334 external openings, 341, 342 internal walls, 344
//! internal openings). Fields and codes are from memory: not checked against the standards' text.

use crate::layers::{LayerRole, Usage};

/// What an element code means: leading digits, use, exterior, bearing.
const ELEMENTS: &[(&str, Usage, Option<bool>, Option<bool>)] = &[
    ("331", Usage::Wall, Some(true), Some(true)),
    ("332", Usage::Wall, Some(true), None),
    ("334", Usage::Opening, None, None),
    ("341", Usage::Wall, Some(false), Some(true)),
    ("342", Usage::Wall, Some(false), None),
    ("344", Usage::Opening, None, None),
    ("21", Usage::Wall, Some(true), None),
    ("22", Usage::Wall, Some(false), None),
    ("31", Usage::Opening, None, None),
    ("32", Usage::Opening, None, None),
];

/// Presentation codes that are about the element, not the element.
const NOT_THE_ELEMENT: &[(char, &str)] = &[
    ('D', "dimensions"),
    ('T', "text"),
    ('H', "hatching"),
    ('F', "fill"),
    ('P', "page"),
    ('B', "border"),
    ('V', "dimensions"),
];

/// Status after the presentation: what is not built.
const NOT_NEW: &[(char, &str)] =
    &[('E', "existing to remain"), ('R', "to be removed"), ('T', "temporary")];

/// The role of an ISO 13567 name; `None` when the name is none, or its element is no wall or opening.
pub(crate) fn role(name: &str) -> Option<LayerRole> {
    let c: Vec<char> = name.to_uppercase().chars().collect();
    let agent = c.get(..2)?;
    let element: String = c.get(2..8)?.iter().collect();
    let presentation = c.get(8..10)?;
    let status = c.get(10).copied();
    let free = |x: char| x == '-' || x == '_';
    let agent_fits = agent.first().is_some_and(char::is_ascii_alphabetic)
        && agent.get(1).is_some_and(|x| free(*x) || x.is_ascii_alphanumeric());
    // Digits, then filling: ten characters of anything else are an office's own words.
    let digits: String = element.chars().take_while(char::is_ascii_digit).collect();
    let filled = element.chars().skip(digits.len()).all(free);
    let shown = presentation.iter().all(|x| free(*x) || x.is_ascii_alphanumeric());
    let kept = free(*presentation.first()?) || presentation.first()?.is_ascii_alphabetic();
    if !agent_fits || digits.len() < 2 || !filled || !shown || !kept {
        return None;
    }
    let (code, usage, exterior, bearing) =
        ELEMENTS.iter().find(|e| digits.starts_with(e.0)).copied()?;
    let rule = format!("ISO 13567 name, element {code}");
    let why = |list: &[(char, &'static str)], x: char| {
        list.iter().find(|(k, _)| *k == x).map(|(_, why)| *why)
    };
    let left = presentation
        .iter()
        .find_map(|x| why(NOT_THE_ELEMENT, *x))
        .or_else(|| status.and_then(|x| why(NOT_NEW, x)));
    if let Some(why) = left {
        return Some(LayerRole {
            excluded_wall: usage == Usage::Wall,
            ..LayerRole::new(Usage::Ignored, format!("{rule}: {why}"))
        });
    }
    Some(LayerRole { exterior, bearing, ..LayerRole::new(usage, rule) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn elements_presentations_and_states() {
        let usage = |name: &str| role(name).map(|r| (r.usage, r.exterior));
        assert_eq!(usage("A-21----E-"), Some((Usage::Wall, Some(true))));
        assert_eq!(usage("A-22____--N"), Some((Usage::Wall, Some(false))));
        assert_eq!(usage("A1331---E-N01"), Some((Usage::Wall, Some(true))));
        assert_eq!(usage("A-32----E-"), Some((Usage::Opening, None)));
        assert_eq!(usage("A-21----H-"), Some((Usage::Ignored, None)));
        assert_eq!(usage("A-21----D-"), Some((Usage::Ignored, None)));
        assert_eq!(usage("A-22----E-R"), Some((Usage::Ignored, None)));
        for other in
            ["A-WALL-FULL-2", "2X6 FRAMING", "A-B374--E-", "A-210 G - Existing", "0", "A-47----E-"]
        {
            assert_eq!(usage(other), None, "{other}");
        }
    }
}
