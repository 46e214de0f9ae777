//! Readings out of text: typed colours, CSV spectra, CGATS.17 / ISO 28178 files.
//!
//! Bytes come as arguments; no disk is touched. A refused text says where: line and column as an
//! editor counts them, the culprit as written, the rule and what to do; all faults of a file at
//! once (to a limit). Left out: formats of particular instruments, XYZ and density columns.

mod cgats;
mod cgats_tokens;
mod grid;
mod table;
mod typed;

use crate::{Reading, Refusal};

pub use typed::read_typed;

/// The largest file read, bytes. A thousand samples at 1 nm is about 3 MB.
pub const LARGEST_FILE: usize = 4 * 1024 * 1024;
/// The most readings taken from one file.
pub const MOST_READINGS: usize = 10_000;
/// The most faults reported of one file.
const MOST_FAULTS: usize = 50;

/// Why a text is refused, and where.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}, column {column}: \"{culprit}\": {rule}")]
pub struct TextRefusal {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The text as written, shortened to 40 characters.
    pub culprit: String,
    /// The rule and what to do.
    pub rule: String,
}

impl TextRefusal {
    fn new(line: usize, column: usize, culprit: &str, rule: impl Into<String>) -> Self {
        let culprit = culprit.chars().take(40).collect();
        Self { line, column, culprit, rule: rule.into() }
    }

    fn refused(line: usize, column: usize, culprit: &str, why: &Refusal) -> Self {
        Self::new(line, column, culprit, why.to_string())
    }
}

/// Every reading of a file: CGATS.17 / ISO 28178 when it has a `BEGIN_DATA` line, else CSV
/// spectra. `name` is kept as the origin. UTF-8 and UTF-16 with a byte-order mark, plain UTF-8, and
/// failing these Windows-1252 are understood.
pub fn read_file(bytes: &[u8], name: &str) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    if bytes.len() > LARGEST_FILE {
        let rule = format!(
            "the file has {} bytes and the most is {LARGEST_FILE}; export fewer samples at a time",
            bytes.len()
        );
        return Err(vec![TextRefusal::new(1, 1, name, rule)]);
    }
    let (text, legacy) = decode(bytes);
    let is_cgats = text.lines().any(|l| l.trim_start().starts_with("BEGIN_DATA"));
    let mut readings = if is_cgats { cgats::read(&text, name) } else { table::read(&text, name) }?;
    if legacy {
        for r in &mut readings {
            r.notes.push("The file is not UTF-8; it was read as Windows-1252.".to_owned());
        }
    }
    if readings.is_empty() {
        let rule = "no reading was found; a file needs Lab or spectral columns";
        return Err(vec![TextRefusal::new(1, 1, name, rule)]);
    }
    Ok(readings)
}

/// The text, and whether it had to be taken as a legacy encoding.
fn decode(bytes: &[u8]) -> (String, bool) {
    if let Some((encoding, mark)) = encoding_rs::Encoding::for_bom(bytes) {
        let (text, _) = encoding.decode_without_bom_handling(&bytes[mark..]);
        return (text.into_owned(), false);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => (text.to_owned(), false),
        Err(_) => (encoding_rs::WINDOWS_1252.decode(bytes).0.into_owned(), true),
    }
}

/// A number as instruments and spreadsheets write it; a decimal comma is understood.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('%').trim_end();
    let value: f64 = if text.contains(',') && !text.contains('.') {
        text.replacen(',', ".", 1).parse().ok()?
    } else {
        text.parse().ok()?
    };
    value.is_finite().then_some(value)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn encodings_are_told_apart() {
        assert_eq!(decode("grün".as_bytes()), ("grün".to_owned(), false));
        assert_eq!(decode(b"gr\xfcn"), ("grün".to_owned(), true));
        assert_eq!(decode(b"\xff\xfeg\0r\0\xfc\0n\0"), ("grün".to_owned(), false));
        assert_eq!(decode(b"\xef\xbb\xbfgrey"), ("grey".to_owned(), false));
    }

    #[test]
    fn numbers_as_people_write_them() {
        for (text, value) in [("12.5", 12.5), ("12,5", 12.5), (" 40 % ", 40.0), ("-3e1", -30.0)] {
            assert_eq!(number(text), Some(value));
        }
        for bad in ["", "NaN", "inf", "1,2,3", "1.2.3", "twelve", "1e999"] {
            assert_eq!(number(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_file_too_large_is_refused_before_it_is_read() {
        let faults = read_file(&vec![b' '; LARGEST_FILE + 1], "big.csv").unwrap_err();
        assert!(faults[0].to_string().contains("export fewer"), "{}", faults[0]);
        assert!(read_file(b"", "empty.csv").is_err());
        assert!(read_file(b"\n\n", "blank.txt").is_err());
    }

    const VALID: &str = include_str!("../tests/fixtures/two_sets.cgats");

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = read_file(&bytes, "noise");
        }

        #[test]
        fn no_text_of_the_formats_own_words_makes_it_panic(
            words in proptest::collection::vec("(BEGIN_DATA|END_DATA|BEGIN_DATA_FORMAT|\
                END_DATA_FORMAT|NUMBER_OF_SETS|NUMBER_OF_FIELDS|LAB_L|LAB_A|LAB_B|SPECTRAL_NM|\
                SPECTRAL_DEC|NM_400|NM_700|SAMPLE_ID|nm|L|a|b|\"|#|,|;|\t|\n|\r\n|[0-9]{1,3}|\
                -?[0-9]\\.[0-9]|é|∞)", 0..120),
            glue in "( |\n|,)",
        ) {
            let _ = read_file(words.join(glue.as_str()).as_bytes(), "words");
        }

        #[test]
        fn a_file_cut_or_changed_anywhere_does_not_panic(
            cut in 0..VALID.len(), at in 0..VALID.len(), byte in any::<u8>(),
        ) {
            let mut bytes = VALID.as_bytes().to_vec();
            bytes[at] = byte;
            let _ = read_file(&bytes, "changed");
            let _ = read_file(&VALID.as_bytes()[..cut], "cut");
        }
    }
}
