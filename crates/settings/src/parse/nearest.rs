//! The nearest known word to one that is not known.

/// The candidate a person most likely meant, or `None` when nothing is close: at most one edit for
/// every three letters. Case, `-` and `_` do not count. The first of equals wins.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A word longer than any key cannot be a slip; the limit also bounds the work on hostile input.
    const LONGEST: usize = 64;
    let plain = |w: &str| -> Vec<char> {
        w.chars().filter(|c| !matches!(c, '-' | '_' | ' ')).flat_map(char::to_lowercase).collect()
    };
    let word = plain(word);
    if word.is_empty() || word.len() > LONGEST {
        return None;
    }
    candidates
        .into_iter()
        .map(|c| (edits(&word, &plain(c)), c))
        .filter(|(d, c)| *d * 3 <= word.len().max(c.len()))
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c)
}

/// Least number of letters put in, taken out, changed or swapped with their neighbour (optimal string
/// alignment distance).
fn edits(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = change.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_slips_and_leaves_strangers_alone() {
        let keys = ["joint_offset", "upper_clearance", "kerf", "end_trim"];
        let near = |w| nearest(w, keys);
        assert_eq!(near("joint_ofset"), Some("joint_offset"));
        assert_eq!(near("jointOffset"), Some("joint_offset"));
        assert_eq!(near("kref"), Some("kerf"));
        assert_eq!(near("end-trim"), Some("end_trim"));
        assert_eq!(near("colour"), None);
        assert_eq!(near(""), None);
        assert_eq!(near(&"x".repeat(10_000)), None);
    }

    #[test]
    fn counts_edits() {
        let d = |a: &str, b: &str| {
            edits(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
        };
        assert_eq!((d("", ""), d("abc", ""), d("", "ab")), (0, 3, 2));
        assert_eq!((d("kitten", "sitting"), d("ab", "ba"), d("abc", "abc")), (3, 1, 0));
    }
}
