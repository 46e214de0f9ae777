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
            let slips = strsim::osa_distance(&given, &flat);
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_words_are_not_offered() {
        assert!(nearest("granite", ["wool", "silk"].into_iter()).is_empty());
        assert_eq!(nearest("Woll", ["silk", "wool"].into_iter()), vec!["wool"]);
    }
}
