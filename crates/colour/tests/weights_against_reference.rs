//! The weights, forward Lab and CIEDE2000 against the independent reference that was written for
//! this project (Python, colour-science 0.4.7). `tests/fixtures/weights.csv` holds its weights as
//! printed; the tolerance is what its printing rounded away.

use colour::{BANDS, Light, Observer, Weights};

#[test]
fn weights_agree_with_the_reference() {
    let text = include_str!("fixtures/weights.csv");
    let mut seen = 0;
    for line in text.lines().skip(1) {
        let mut cells = line.split(',');
        let light = Light::from_name(cells.next().unwrap()).unwrap();
        let row: usize = cells.next().unwrap().parse().unwrap();
        let theirs: Vec<f64> = cells.map(|c| c.parse().unwrap()).collect();
        let ours = Weights::of(light, Observer::Ten).rows()[row];
        assert_eq!(theirs.len(), BANDS);
        for (i, (a, b)) in ours.iter().zip(&theirs).enumerate() {
            assert!((a - b).abs() < 1e-9, "{light} row {row} band {i}: {a} instead of {b}");
        }
        seen += 1;
    }
    assert_eq!(seen, 12);
}
