//! How the door speaks: lines to standard output wrapped to 80 columns, troubles to standard error.

use std::io::{self, IsTerminal as _, Write as _};

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use workroom::{Faults, Trouble};

/// Columns nothing is written beyond.
pub(crate) const COLUMNS: usize = 80;

/// Writes one line to standard output. A reader that has gone away (`| head`) is no trouble.
pub(crate) fn say(line: &str) {
    let _ = writeln!(io::stdout(), "{line}");
}

/// Writes text wrapped to 80 columns; following lines are indented to `indent`.
pub(crate) fn say_wrapped(first: &str, indent: usize, text: &str) {
    let mut line = first.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > COLUMNS {
            say(line.trim_end());
            line = " ".repeat(indent);
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    say(line.trim_end());
}

/// Says a trouble on standard error, faults of a file with the place they are at.
pub(crate) fn complain(trouble: &Trouble) {
    let mut out = io::stderr();
    let said = match trouble {
        Trouble::Faults(faults) => pointed(faults),
        Trouble::Refused { says, hint } => format!("refused: {says}\n  {hint}"),
        Trouble::Broken { .. } => format!("broken: {trouble}\n  nothing was lost; mend this and try again"),
    };
    let _ = writeln!(out, "{said}");
}

/// Every fault of a file with its line, as compilers show them.
fn pointed(faults: &Faults) -> String {
    let colours = io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let renderer = if colours { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(COLUMNS);
    let mut said = vec![];
    for fault in &faults.list {
        if faults.text.is_empty() {
            said.push(format!("error: {}\n  {}: {}", fault.says, faults.file, fault.hint));
            continue;
        }
        let end = fault.span.end.min(faults.text.len());
        let span = fault.span.start.min(end)..end;
        let snippet = Snippet::source(faults.text.as_str())
            .path(faults.file.as_str())
            .annotation(AnnotationKind::Primary.span(span));
        let title = Level::ERROR.primary_title(fault.says.as_str());
        let group = title.element(snippet).element(Level::HELP.message(fault.hint.as_str()));
        said.push(renderer.render(&[group]).clone());
    }
    let count = faults.list.len();
    let plural = if count == 1 { "" } else { "s" };
    said.push(format!("refused: {} has {count} fault{plural}; nothing was written", faults.file));
    said.join("\n\n")
}
