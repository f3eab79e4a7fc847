//! Doors and windows by the name of their block: `DOOR-36`, `WINDOW-48`, `Puerta 80`.
//!
//! Knows: the words, and what is called after a door without being one. Never touches: drawings.

use crate::layers::{own_name, words_of};
use crate::otherwords;
use crate::words;
use wall_model::OpeningKind;

/// What a block of this name is, if it is a door or window.
pub(crate) fn kind(name: &str) -> Option<OpeningKind> {
    let name = own_name(name);
    let words = words_of(&spaced(name));
    if words.iter().any(|w| otherwords::NOT_THE_DOOR.contains(&w.as_str())) {
        return None;
    }
    let plain = |w: &String| w.trim_matches(|c: char| c.is_ascii_digit()).to_owned();
    let has = |list: &[&str], unspaced: &[&str]| {
        words.iter().any(|w| list.contains(&w.as_str()) || list.contains(&plain(w).as_str()))
            || unspaced.iter().any(|w| name.contains(w))
    };
    if has(words::DOOR, words::DOOR_UNSPACED) || words::is_garage_door(&words) {
        return Some(OpeningKind::Door);
    }
    has(words::WINDOW, words::WINDOW_UNSPACED).then_some(OpeningKind::Window)
}

/// With a space before each capital that follows a small letter: `SingleDoor` is two words.
fn spaced(name: &str) -> String {
    let mut out = String::with_capacity(name.len() + 4);
    let mut small = false;
    for c in name.chars() {
        if small && c.is_uppercase() {
            out.push(' ');
        }
        small = c.is_lowercase();
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_doors_and_windows() {
        for door in
            ["DOOR-36", "Door 3068", "SingleDoor", "house$0$DOOR_L", "Puerta80", "TÜR 90", "门900"]
        {
            assert_eq!(kind(door), Some(OpeningKind::Door), "{door}");
        }
        for door in ["GARAGE-16X7", "Garage_1680", "GarageDr", "OH DR 9", "GARAGEDOOR16"] {
            assert_eq!(kind(door), Some(OpeningKind::Door), "{door}");
        }
        for window in ["WINDOW-48", "window", "FENSTER 120", "A$1$Ventana", "WIN_WINDOW_3"] {
            assert_eq!(kind(window), Some(OpeningKind::Window), "{window}");
        }
        for other in [
            "DOORBELL",
            "DoorBell",
            "DOOR TAG",
            "DOOR SCHEDULE",
            "WINDOW-TAG",
            "INDOOR UNIT",
            "OVEN DOOR",
            "WINDMILL",
            "GARAGE",
            "Garage 2",
            "DR 2",
            "SOFA",
            "*U12",
            "",
        ] {
            assert_eq!(kind(other), None, "{other}");
        }
    }
}
