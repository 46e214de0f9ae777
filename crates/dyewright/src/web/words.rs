//! Small words of pages: sentences, differences, money.

use workroom::{Fault, Faults, Trouble};

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

/// A fault that a form led to, told by the names of its fields: of the file behind it nobody need know a key or a line.
pub(super) fn by_fields<'a>(
    why: Trouble,
    labels: impl Iterator<Item = (&'a str, &'a str)>,
) -> Trouble {
    let Trouble::Faults(mut faults) = why else { return why };
    if line_of(&faults, &Fault { span: 0..0, says: String::new(), hint: String::new() }).is_none() {
        return Trouble::Faults(faults);
    }
    // The text is the file's, and not what was typed.
    faults.text.clear();
    let labels: Vec<(&str, &str)> = labels.collect();
    for said in faults.list.iter_mut().flat_map(|fault| [&mut fault.says, &mut fault.hint]) {
        for (key, label) in &labels {
            *said = said.replace(&format!("`{key}`"), &format!("“{label}”"));
            *said = said.replace(&format!("{key} = "), &format!("“{label}”: "));
        }
    }
    Trouble::Faults(faults)
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
    fn a_fault_of_a_form_is_told_by_its_fields() {
        let fault = Fault {
            span: 0..3,
            says: "`pack_g` is wrong".to_owned(),
            hint: "say what the pack holds: pack_g = 20".to_owned(),
        };
        let of = |file: &str| {
            let text = "abc".to_owned();
            let faults = Faults { file: file.to_owned(), text, list: vec![fault.clone()] };
            let said = by_fields(faults.into(), [("pack_g", "What a pack holds, g")].into_iter());
            let Trouble::Faults(said) = said else { panic!("{said}") };
            (said.list[0].says.clone(), said.list[0].hint.clone(), line_of(&said, &said.list[0]))
        };
        let (says, hint, line) = of("shelf.toml");
        assert_eq!(says, "“What a pack holds, g” is wrong");
        assert_eq!(hint, "say what the pack holds: “What a pack holds, g”: 20");
        assert_eq!(line, None);
        assert_eq!(of("what was typed").0, "`pack_g` is wrong");
    }

    #[test]
    fn phrases_become_sentences() {
        assert_eq!(sentence("write it as 250g"), "Write it as 250g.");
        assert_eq!(sentence("L* is 130"), "L* is 130.");
        assert_eq!(sentence("pH is low."), "pH is low.");
        assert_eq!(sentence(""), "");
    }
}
