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

/// A share of the goods’ weight as a scale can have it: to a hundredth, a pale shade to a thousandth.
pub(super) fn owf(percent: f64) -> String {
    let places = if percent >= 1.0 { 2 } else { 3 };
    format!("{percent:.places$}")
}

/// A sum in its currency.
pub(super) fn money(sum: f64, currency: &str) -> String {
    format!("{sum:.2}\u{a0}{currency}")
}

/// What a plan says, without the commands that stand in brackets for whoever works at a terminal.
pub(super) fn without_commands(said: &str) -> String {
    let mut parts = said.split(" (dyewright ");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        out.push_str(part.split_once(')').map_or("", |(_, after)| after));
    }
    out
}

/// A word in an address.
pub(super) fn escaped(word: &str) -> String {
    use std::fmt::Write as _;
    word.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() || b"-._/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_in_brackets_are_left_out() {
        let said =
            "Read it, and judge it (dyewright correct FILE a --dyed). Then plan again (by day).";
        assert_eq!(without_commands(said), "Read it, and judge it. Then plan again (by day).");
        assert_eq!(without_commands("Dye it."), "Dye it.");
    }

    #[test]
    fn phrases_become_sentences() {
        assert_eq!(sentence("write it as 250g"), "Write it as 250g.");
        assert_eq!(sentence("L* is 130"), "L* is 130.");
        assert_eq!(sentence("pH is low."), "pH is low.");
        assert_eq!(sentence(""), "");
    }
}
