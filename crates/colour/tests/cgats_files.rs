//! CGATS.17 / ISO 28178 files through the room's own door. The samples are invented.

use colour::{Colour, Lab, Light, Observer, Origin, Reading, TextRefusal, Value, read_file};

const TWO_SETS: &str = include_str!("fixtures/two_sets.cgats");

fn read(text: &str) -> Result<Vec<Reading>, Vec<TextRefusal>> {
    read_file(text.as_bytes(), "swatches.txt")
}

#[test]
fn several_sets_in_one_file() {
    let all = read(TWO_SETS).unwrap();
    assert_eq!(all.len(), 4);
    assert_eq!(all[0].name.as_deref(), Some("brick red"));
    let (Value::Spectrum(red), Value::Spectrum(black)) = (&all[0].value, &all[1].value) else {
        panic!("spectra");
    };
    assert!((red.values()[30] - 0.548).abs() < 1e-3 && red.step() == 10.0);
    // the near black never exceeds 2 percent: only the whole set tells that it is percent
    assert!(black.values().iter().all(|r| *r < 0.02));
    let Value::Spectrum(pairs) = &all[2].value else { panic!("a spectrum") };
    assert_eq!((pairs.start(), pairs.step(), pairs.values().len()), (400.0, 20.0, 16));
    let lab = Lab::new(41.2, -18.5, 9.75);
    assert_eq!(
        all[3].value,
        Value::Colour(Colour { lab, light: Light::D65, observer: Observer::Ten })
    );
    assert_eq!(all[3].origin, Origin::Instrument("none".to_owned()));
}

fn lab_file(header: &str, rows: &str) -> String {
    format!(
        "ISO28178\n{header}\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n\
         BEGIN_DATA\n{rows}\nEND_DATA\n"
    )
}

#[test]
fn light_and_observer_in_the_usual_spellings() {
    for (header, light, observer, assumed) in [
        ("ILLUMINANT \"D50\"\nOBSERVER \"2\"", Light::D50, Observer::Two, false),
        (
            "WEIGHTING_FUNCTION \"ILLUMINANT, D65\"\nWEIGHTING_FUNCTION \"OBSERVER, 10 degree\"",
            Light::D65,
            Observer::Ten,
            false,
        ),
        ("ILLUMINATION_NAME \"A\"\nOBSERVER_ANGLE \"10\"", Light::A, Observer::Ten, false),
        ("ORIGINATOR \"someone\"", Light::D50, Observer::Two, true),
    ] {
        let all = read(&lab_file(header, "1 50 1 2")).unwrap();
        let Value::Colour(c) = all[0].value else { panic!("a colour") };
        assert_eq!((c.light, c.observer), (light, observer), "{header}");
        assert_eq!(!all[0].notes.is_empty(), assumed, "{header}");
    }
}

#[test]
fn faults_are_pointed_at_all_at_once() {
    let check = |text: &str, places: &[(usize, usize)], word: &str| {
        let faults = read(text).unwrap_err();
        let found: Vec<(usize, usize)> = faults.iter().map(|f| (f.line, f.column)).collect();
        assert_eq!(found, places, "{faults:?}");
        assert!(faults.iter().any(|f| f.to_string().contains(word)), "{word}: {faults:?}");
    };
    check(&lab_file("#", "1 50 x 2\n2 130 1 2"), &[(7, 6), (8, 3)], "between 0");
    check(&lab_file("#", "1 50 1 2\n2 50 1"), &[(8, 1)], "4 values");
    check(&lab_file("ILLUMINANT \"D56\"", "1 50 1 2"), &[(2, 1)], "D56");
    check(&lab_file("NUMBER_OF_SETS 7", "1 50 1 2"), &[(2, 16)], "there are 1");
    check(&lab_file("NUMBER_OF_FIELDS five", "1 50 1 2"), &[(2, 18)], "4 columns");
    check("CGATS.17\nBEGIN_DATA\n1 2 3\n", &[(2, 1)], "never closed");
    check("CGATS.17\nBEGIN_DATA\n1 2 3\nEND_DATA\n", &[(4, 1)], "BEGIN_DATA_FORMAT");
    check("END_DATA\nBEGIN_DATA\nEND_DATA", &[(1, 1), (3, 1)], "never opened");
}

#[test]
fn legacy_bytes_and_line_ends() {
    let mut bytes =
        lab_file("ORIGINATOR \"M?ller\"", "1 50 1 2").replace('\n', "\r\n").into_bytes();
    let at = bytes.iter().position(|b| *b == b'?').unwrap();
    bytes[at] = 0xfc;
    let all = read_file(&bytes, "old.txt").unwrap();
    assert!(all[0].notes.iter().any(|n| n.contains("Windows-1252")));
}
