//! Content lines of iCalendar (RFC 5545, section 3.1): values escaped, lines folded, CRLF at the end.
//!
//! Nothing of calendars is known here; `calendar` says what the lines are.

/// Octets a line may have without its line break (section 3.1: "SHOULD NOT be longer than 75 octets").
const LONGEST: usize = 75;

/// A TEXT value (section 3.3.11): backslash, semicolon and comma behind a backslash, a line break as "\n".
///
/// Other control characters may not stand in a TEXT; they become spaces. A colon is left as it is: "the
/// COLON character SHALL NOT be escaped".
pub(crate) fn text(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    let mut all = value.chars().peekable();
    while let Some(c) = all.next() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\r' if all.peek() == Some(&'\n') => {}
            '\n' | '\r' => out.push_str("\\n"),
            '\t' => out.push(c),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// One line, folded where it is longer than allowed, never inside a character, with its CRLF.
pub(crate) fn line(whole: &str) -> String {
    let mut out = String::with_capacity(whole.len() + 8);
    let mut octets = 0;
    for c in whole.chars() {
        if octets + c.len_utf8() > LONGEST {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Unfolding as section 3.1 says: "immediately removing" each CRLF followed by one white space.
    fn unfold(lines: &str) -> String {
        lines.replace("\r\n ", "").replace("\r\n\t", "")
    }

    /// RFC 5545, section 3.3.11, the worked example: the text of three lines and its written form.
    #[test]
    fn the_standards_own_text() {
        let said = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.";
        let written = r"Project XYZ Final Review\nConference Room - 3B\nCome Prepared.";
        assert_eq!(text(said), written);
    }

    /// RFC 5545, section 3.1, the worked example: its long DESCRIPTION and the same folded unfold alike.
    #[test]
    fn the_standards_own_folded_line() {
        let whole = "DESCRIPTION:This is a long description that exists on a long line.";
        let folded =
            "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n";
        assert_eq!(unfold(folded), unfold(&line(whole)));
        assert_eq!(unfold(folded).trim_end(), whole);
    }

    #[test]
    fn each_sign_that_means_something_is_escaped() {
        for (said, written) in [
            ("a,b;c\\d", r"a\,b\;c\\d"),
            ("at 10:15", "at 10:15"),
            ("one\r\ntwo\rthree", r"one\ntwo\nthree"),
            ("bell\u{7}", "bell "),
            ("tab\there", "tab\there"),
        ] {
            assert_eq!(text(said), written);
        }
    }

    #[test]
    fn no_line_is_longer_than_75_octets_and_unfolding_gives_it_back() {
        for (unit, times) in
            [("a", 75), ("a", 76), ("é", 200), ("→", 99), ("\u{1f9f5}", 61), ("ab ", 400)]
        {
            for shift in 0..5 {
                let whole = "x".repeat(shift) + &unit.repeat(times);
                let lines = line(&whole);
                assert_eq!(unfold(&lines), whole.clone() + "\r\n");
                for one in lines.strip_suffix("\r\n").unwrap().split("\r\n") {
                    assert!(one.len() <= LONGEST, "{} octets: {one}", one.len());
                }
            }
        }
        assert_eq!(line(&"a".repeat(75)).matches("\r\n").count(), 1);
        assert_eq!(line(&"a".repeat(76)).matches("\r\n").count(), 2);
    }
}
