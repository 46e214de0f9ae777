//! Charts out of text files: read, refused with the place, and never a panic.

#![expect(clippy::unwrap_used, reason = "a test may fail")]

use std::fmt::Write as _;

use colour::{BANDS, Bands, ClothPrior};
use picture::{ChartText, ChartTextRefusal};
use proptest::prelude::*;

fn file(patches: &[(String, Vec<f64>)]) -> String {
    let mut text = String::from(
        "CGATS.17\nORIGINATOR \"test\"\nNUMBER_OF_FIELDS 32\nBEGIN_DATA_FORMAT\nSAMPLE_ID",
    );
    for i in 0..BANDS {
        write!(text, " NM_{}", Bands::wavelength(i)).unwrap();
    }
    write!(text, "\nEND_DATA_FORMAT\nNUMBER_OF_SETS {}\nBEGIN_DATA\n", patches.len()).unwrap();
    for (name, values) in patches {
        write!(text, "{name}").unwrap();
        for v in values {
            write!(text, " {v:.6}").unwrap();
        }
        text.push('\n');
    }
    text.push_str("END_DATA\n");
    text
}

fn ten() -> Vec<(String, Vec<f64>)> {
    (0..10)
        .map(|n| (format!("P{n}"), (0..BANDS).map(|_| 0.05 + 0.08 * f64::from(n)).collect()))
        .collect()
}

fn read(text: &str) -> Result<ChartText, ChartTextRefusal> {
    ChartText::try_read(text.as_bytes(), "chart.txt", ClothPrior::shipped())
}

#[test]
fn spectra_are_known_and_colours_are_assumed() {
    let chart = read(&file(&ten())).unwrap();
    assert_eq!(chart.patches().len(), 10);
    assert_eq!(chart.patches()[3].name, "P3");
    assert!((chart.patches()[3].reflectance.values()[7] - 0.29).abs() < 1e-9);
    assert!(chart.patches().iter().all(|p| !p.assumed));

    let mut csv = String::from(
        "CGATS.17\nWEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n",
    );
    for n in 0..9 {
        writeln!(csv, "C{n} {} 5 -8", 20 + 7 * n).unwrap();
    }
    csv.push_str("END_DATA\n");
    match read(&csv) {
        Ok(chart) => assert!(chart.patches().iter().all(|p| p.assumed)),
        // Lab of another light than D65 is refused, never taken as if it were
        Err(refusal) => assert!(refusal.to_string().contains("D50"), "{refusal}"),
    }
}

#[test]
fn what_is_no_chart_is_refused_with_the_place() {
    let mut all = ten();
    all.truncate(7);
    assert!(matches!(read(&file(&all)), Err(ChartTextRefusal::Count { found: 7 })));
    let mut all = ten();
    all[4].0 = "P3".to_owned();
    assert_eq!(read(&file(&all)), Err(ChartTextRefusal::Twice { name: "P3".to_owned() }));
    let broken = file(&ten()).replace("P5 0.450000 0.450000", "P5 0.450000 grey");
    let speech = read(&broken).unwrap_err().to_string();
    assert!(speech.contains("line 14") && speech.contains("grey"), "{speech}");
    assert!(read("").is_err());
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let _ = ChartText::try_read(&bytes, "x", ClothPrior::shipped());
    }

    #[test]
    fn a_cut_or_changed_file_is_read_or_refused(at in 0_usize..2500, byte in any::<u8>(), cut in any::<bool>()) {
        let mut bytes = file(&ten()).into_bytes();
        let at = at % bytes.len();
        if cut { bytes.truncate(at) } else { bytes[at] = byte }
        let _ = ChartText::try_read(&bytes, "x", ClothPrior::shipped());
    }

    #[test]
    fn what_was_written_is_read(values in proptest::collection::vec(0.01_f64..1.0, BANDS)) {
        let mut all = ten();
        all[2].1.clone_from(&values);
        let chart = read(&file(&all)).unwrap();
        for (read, written) in chart.patches()[2].reflectance.values().iter().zip(&values) {
            prop_assert!((read - written).abs() < 1e-6);
        }
    }
}
