//! Words of a CGATS.17 line: split at blanks, "quoted text" is one word, # starts a comment.

/// One word with its place, as an editor counts it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Token<'a> {
    pub(super) line: usize,
    pub(super) column: usize,
    pub(super) text: &'a str,
    pub(super) quoted: bool,
}

impl Token<'_> {
    /// Whether this is the given bare keyword, in whatever case.
    pub(super) fn is(&self, keyword: &str) -> bool {
        !self.quoted && self.text.eq_ignore_ascii_case(keyword)
    }
}

/// The words of one line. A quote that is never closed reaches to the end of the line.
pub(super) fn tokens(line: usize, text: &str) -> Vec<Token<'_>> {
    let mut found = Vec::new();
    let mut open: Option<(usize, usize, bool)> = None; // byte, column, quoted
    for (column, (byte, c)) in text.char_indices().enumerate() {
        let column = column + 1;
        match open {
            Some((from, at, true)) if c == '"' => {
                found.push(Token { line, column: at, text: &text[from..byte], quoted: true });
                open = None;
            }
            Some((_, _, true)) => {}
            Some((from, at, false)) if c.is_whitespace() => {
                found.push(Token { line, column: at, text: &text[from..byte], quoted: false });
                open = None;
            }
            Some(_) => {}
            None if c.is_whitespace() => {}
            None if c == '#' => return found,
            None if c == '"' => open = Some((byte + 1, column, true)),
            None => open = Some((byte, column, false)),
        }
    }
    if let Some((from, column, quoted)) = open {
        found.push(Token { line, column, text: &text[from..], quoted });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_quotes_and_comments() {
        let found = tokens(7, "  KEY \"two words é\"\t3.5 # rest \"x\"");
        let texts: Vec<(usize, &str, bool)> =
            found.iter().map(|t| (t.column, t.text, t.quoted)).collect();
        assert_eq!(texts, [(3, "KEY", false), (7, "two words é", true), (21, "3.5", false)]);
        assert_eq!(tokens(1, "\"open end")[0].text, "open end");
        assert!(tokens(1, "# only a comment").is_empty());
    }
}
