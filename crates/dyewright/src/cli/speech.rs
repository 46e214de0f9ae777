//! How the door speaks: lines to standard output, wrapped to the terminal but never beyond 80 columns;
//! troubles to standard error, or as JSON where JSON was asked for.
//!
//! Nothing relies on colour alone: a chip of the colour stands only beside its words and hex.

use std::io::{self, IsTerminal as _, Write as _};

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use serde_json::json;
use workroom::{Faults, Trouble};

/// Columns nothing is written beyond.
const MOST_COLUMNS: usize = 80;
/// Columns below which wrapping makes nothing clearer.
const LEAST_COLUMNS: usize = 40;
/// Faults shown of one file; more only scroll the first away.
const MOST_SHOWN: usize = 20;

/// How wide to write: `COLUMNS`, else the terminal, at most 80.
pub(crate) fn columns() -> usize {
    let told = std::env::var("COLUMNS").ok().and_then(|c| c.trim().parse::<usize>().ok());
    let seen = || terminal_size::terminal_size().map(|(width, _)| usize::from(width.0));
    told.or_else(seen).unwrap_or(MOST_COLUMNS).clamp(LEAST_COLUMNS, MOST_COLUMNS)
}

/// Writes one line to standard output. A reader that has gone away (`| head`) is no trouble.
pub(crate) fn say(line: &str) {
    let _ = writeln!(io::stdout(), "{line}");
}

/// Writes text wrapped to the width; following lines are indented to `indent`.
pub(crate) fn say_wrapped(first: &str, indent: usize, text: &str) {
    for line in wrapped(first, indent, text, columns()) {
        say(&line);
    }
}

/// A titled block, or nothing when it has no lines.
pub(crate) fn say_list(title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    say("");
    say(title);
    for line in lines {
        say_wrapped("  - ", 4, line);
    }
}

/// Lines of text wrapped to a width.
fn wrapped(first: &str, indent: usize, text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![];
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace().map(shortened) {
        let word = word.as_str();
        if !empty && seen_width(&line) + 1 + seen_width(word) > width {
            lines.push(line.trim_end().to_owned());
            line = " ".repeat(indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line.trim_end().to_owned());
    lines
}

/// A word without blanks that no line could hold (a number of three hundred digits) with its middle left
/// out; paths stay whole, to be copied.
fn shortened(word: &str) -> String {
    const MOST: usize = 60;
    let letters: Vec<char> = word.chars().collect();
    if letters.len() <= MOST || word.contains('\u{1b}') || word.contains(['/', '\\']) {
        return word.to_owned();
    }
    let (start, end) = (letters[..24].iter(), letters[letters.len() - 8..].iter());
    start.chain(&['…']).chain(end).collect()
}

/// Columns a text takes, without its colour codes.
fn seen_width(text: &str) -> usize {
    let mut inside = false;
    text.chars()
        .filter(|c| {
            let code = inside || *c == '\u{1b}';
            inside = code && *c != 'm';
            !code
        })
        .count()
}

/// A chip of a colour before its words; nothing where colours are not wanted or not possible.
pub(crate) fn chip(hex: &str) -> String {
    let part = |at: usize| hex.get(at..at + 2).and_then(|d| u8::from_str_radix(d, 16).ok());
    match (part(1), part(3), part(5)) {
        (Some(r), Some(g), Some(b)) if coloured(io::stdout().is_terminal()) => {
            format!("\u{1b}[48;2;{r};{g};{b}m    \u{1b}[0m ")
        }
        _ => String::new(),
    }
}

fn coloured(terminal: bool) -> bool {
    let off = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty());
    terminal && !off && std::env::var_os("TERM").is_none_or(|t| t != "dumb")
}

/// Says a trouble: to a person on standard error, or as JSON on standard output. The one place where
/// errors become words.
pub(crate) fn complain(trouble: &Trouble, as_json: bool) {
    if as_json {
        say(&format!("{:#}", as_data(trouble)));
        return;
    }
    let said = match trouble {
        Trouble::Faults(faults) => pointed(faults),
        Trouble::Refused { says, hint } => {
            let says = still(says);
            let mut first = "refused: ";
            let mut lines = vec![];
            for line in says.lines() {
                lines.extend(wrapped(first, 2, line, columns()));
                first = "  ";
            }
            lines.extend(wrapped("  help: ", 8, hint, columns()));
            lines.join("\n")
        }
        Trouble::Broken { .. } => {
            let hint = "nothing was left half written; mend this and try again";
            let mut lines = wrapped("broken: ", 2, &trouble.to_string(), columns());
            lines.extend(wrapped("  help: ", 8, hint, columns()));
            lines.join("\n")
        }
    };
    let _ = writeln!(io::stderr(), "{said}");
}

/// A text without what would move the terminal's cursor or change its colours: it may be quoted from any file.
fn still(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() && c != '\n' && c != '\t' { '\u{fffd}' } else { c })
        .collect()
}

/// A trouble as JSON (docs/json.md, `refusal`).
fn as_data(trouble: &Trouble) -> serde_json::Value {
    match trouble {
        Trouble::Faults(faults) => {
            let list: Vec<serde_json::Value> = faults
                .list
                .iter()
                .map(|fault| {
                    let (line, column) = faults.place(fault);
                    json!({ "line": line, "column": column, "says": fault.says, "hint": fault.hint })
                })
                .collect();
            json!({ "dyewright": "refusal", "version": 1, "kind": "faults", "file": faults.file, "faults": list })
        }
        Trouble::Refused { says, hint } => {
            json!({ "dyewright": "refusal", "version": 1, "kind": "refused", "says": says, "hint": hint })
        }
        Trouble::Broken { .. } => {
            json!({ "dyewright": "refusal", "version": 1, "kind": "broken", "says": trouble.to_string() })
        }
    }
}

/// Every fault of a file with its line, as compilers show them.
fn pointed(faults: &Faults) -> String {
    let renderer =
        if coloured(io::stderr().is_terminal()) { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(columns());
    let mut said = vec![];
    for fault in faults.list.iter().take(MOST_SHOWN) {
        if faults.text.is_empty() {
            said.push(format!("error: {}\n  {}: {}", fault.says, faults.file, fault.hint));
            continue;
        }
        let end = fault.span.end.min(faults.text.len());
        let span = one_line(&faults.text, fault.span.start.min(end), end);
        let says = wrapped("", 0, &fault.says, columns().saturating_sub(7)).join("\n");
        let hint = wrapped("", 0, &fault.hint, columns().saturating_sub(12)).join("\n");
        let snippet = Snippet::source(faults.text.as_str())
            .path(faults.file.as_str())
            .annotation(AnnotationKind::Primary.span(span));
        let title = Level::ERROR.primary_title(says.as_str());
        let group = title.element(snippet).element(Level::HELP.message(hint.as_str()));
        said.push(renderer.render(&[group]).clone());
    }
    if faults.list.len() > MOST_SHOWN {
        said.push(format!("… and {} more", faults.list.len() - MOST_SHOWN));
    }
    let count = faults.list.len();
    let plural = if count == 1 { "" } else { "s" };
    said.push(format!("refused: {count} fault{plural} in {}; nothing was done", faults.file));
    said.join("\n\n")
}

/// A span cut to its first line: a whole table pointed at would fill the screen.
fn one_line(text: &str, start: usize, end: usize) -> std::ops::Range<usize> {
    match text.get(start..end).and_then(|inside| inside.find('\n')) {
        Some(at) if at > 0 => start..start + at,
        _ => start..end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width_and_lose_no_word() {
        let text = "Dye the swatch first: on this cloth and at this ratio, and judge it dry.";
        for width in [20, 40, 80] {
            let lines = wrapped("  - ", 4, text, width);
            assert!(lines.iter().all(|l| l.chars().count() <= width), "{lines:?}");
            let back: Vec<&str> = lines.iter().flat_map(|l| l.split_whitespace()).skip(1).collect();
            assert_eq!(back, text.split_whitespace().collect::<Vec<_>>());
        }
    }

    #[test]
    fn colour_codes_take_no_columns() {
        assert_eq!(seen_width("\u{1b}[48;2;1;2;3m    \u{1b}[0m deep green"), 15);
    }
}
