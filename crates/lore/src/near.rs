//! Words spelled nearly alike: Damerau–Levenshtein distance (optimal string alignment), so that a
//! slip of the pen is answered with the word that was meant. General computing knowledge.

/// A word as it is compared: trimmed, lower case, blanks and underscores as hyphens.
pub(crate) fn tidy(word: &str) -> String {
    word.trim()
        .to_lowercase()
        .split(|c: char| c.is_whitespace() || c == '_' || c == '-')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("-")
}

/// Up to three known words within a third of the length of `given` (at least one slip, at most
/// three), nearest first, and words that contain it or that it contains.
pub(crate) fn nearest<'a>(given: &str, known: impl Iterator<Item = &'a str>) -> Vec<String> {
    let given: String = tidy(given).chars().take(64).collect();
    if given.is_empty() {
        return Vec::new();
    }
    let allowed = (given.chars().count() / 3).clamp(1, 3);
    let mut scored: Vec<(usize, &str)> = known
        .filter_map(|word| {
            let flat = tidy(word);
            let slips = slips_between(&given, &flat);
            let inside = given.len() >= 4
                && flat.len() >= 4
                && (flat.contains(&given) || given.contains(&flat));
            (slips <= allowed || inside).then_some((slips, word))
        })
        .collect();
    scored.sort();
    scored.dedup_by(|a, b| a.1 == b.1);
    scored.into_iter().take(3).map(|(_, word)| word.to_owned()).collect()
}

/// Insertions, deletions, substitutions and swaps of neighbours that turn one word into the other.
fn slips_between(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let cost = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + cost);
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
    fn slips_are_counted() {
        for (a, b, slips) in [
            ("silk", "silk", 0),
            ("slik", "silk", 1),
            ("woool", "wool", 1),
            ("kitten", "sitting", 3),
        ] {
            assert_eq!(slips_between(a, b), slips, "{a} / {b}");
        }
    }

    #[test]
    fn far_words_are_not_offered() {
        assert!(nearest("granite", ["wool", "silk"].into_iter()).is_empty());
        assert_eq!(nearest("Woll", ["silk", "wool"].into_iter()), vec!["wool"]);
    }
}
