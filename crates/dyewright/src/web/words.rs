//! Small words of pages: sentences, differences, money.

use workroom::{Fault, Faults};

/// A sentence of a phrase: a capital first, a full stop last.
pub(super) fn sentence(phrase: &str) -> String {
    let phrase = phrase.trim();
    let mut letters = phrase.chars();
    let Some(first) = letters.next() else { return String::new() };
    let first = if phrase
        .split_whitespace()
        .next()
        .is_some_and(|w| w.chars().skip(1).any(|c| !c.is_lowercase() && c.is_alphanumeric()))
    {
        first.to_string()
    } else {
        first.to_uppercase().to_string()
    };
    let end = if phrase.ends_with(['.', '!', '?', ':']) { "" } else { "." };
    format!("{first}{}{end}", letters.as_str())
}

/// The line of a fault, where it is of a file and not of a field.
pub(super) fn line_of(faults: &Faults, fault: &Fault) -> Option<usize> {
    (faults.file.ends_with(".toml") && !faults.text.is_empty()).then(|| faults.place(fault).0)
}

/// What was typed where the fault is, when the words of the fault do not say it.
pub(super) fn typed<'a>(faults: &'a Faults, fault: &Fault) -> Option<&'a str> {
    let typed = faults.text.get(fault.span.clone()).map(str::trim)?;
    (!typed.is_empty() && !fault.says.contains(typed)).then_some(typed)
}

/// A colour difference in one decimal: nobody sees a hundredth.
pub(super) fn apart(difference: f64) -> String {
    format!("{difference:.1}")
}

/// A sum in its currency.
pub(super) fn money(sum: f64, currency: &str) -> String {
    format!("{sum:.2}\u{a0}{currency}")
}

/// The style of a chip; only for what is a colour for the screen.
pub(super) fn chip_style(hex: &str) -> Option<String> {
    let digits = hex.strip_prefix('#')?;
    let sound = digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit());
    sound.then(|| format!("background-color:{hex}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_become_sentences() {
        assert_eq!(sentence("write it as 250g"), "Write it as 250g.");
        assert_eq!(sentence("L* is 130"), "L* is 130.");
        assert_eq!(sentence("pH is low."), "pH is low.");
        assert_eq!(sentence(""), "");
    }
}
