//! Words that depend on a number.

/// `1 wall`, `2 walls`.
pub fn counted(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// `was` of one, `were` of more and of none.
pub const fn was(n: usize) -> &'static str {
    if n == 1 { "was" } else { "were" }
}

/// `is` of one, `are` of more and of none.
pub const fn is(n: usize) -> &'static str {
    if n == 1 { "is" } else { "are" }
}

/// A unit's name in settings as a word for people.
pub fn unit(name: &str) -> &str {
    match name {
        "in" => "inches",
        "ft" => "feet",
        "mm" => "millimetres",
        "cm" => "centimetres",
        "m" => "metres",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::{counted, is, was};

    #[test]
    fn one_and_more() {
        let said = |n| format!("{} {} moved", counted(n, "wall"), was(n));
        assert_eq!(
            [0, 1, 2].map(said),
            ["0 walls were moved", "1 wall was moved", "2 walls were moved"]
        );
        assert_eq!([0, 1, 2].map(is), ["are", "is", "are"]);
    }
}
