//! The weights, forward Lab and CIEDE2000 against the independent reference that was written for
//! this project (Python, colour-science 0.4.7). `tests/fixtures/weights.csv` holds its weights as
//! printed; the tolerance is what its printing rounded away.

use colour::{BANDS, Bands, Lab, Light, Observer, Weights, ciede2000, ciede2000_residuals};

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

#[test]
fn lab_agrees_with_the_reference() {
    let mut worst: f64 = 0.0;
    for line in include_str!("fixtures/forward_lab.csv").lines().skip(1) {
        let light = Light::from_name(line.split(',').next().unwrap()).unwrap();
        let v = line.split(',').skip(1).map(|c| c.parse().unwrap()).collect::<Vec<f64>>();
        let factors: [f64; BANDS] = v[3..].try_into().unwrap();
        let lab = Weights::of(light, Observer::Ten).lab(&Bands::try_new(factors).unwrap());
        for (got, want) in [lab.l, lab.a, lab.b].iter().zip(&v) {
            worst = worst.max((got - want).abs());
        }
    }
    println!("worst difference in a Lab coordinate: {worst:.1e}");
    assert!(worst < 1e-6, "{worst}");
}

#[test]
fn ciede2000_agrees_with_the_reference_and_its_residuals_with_it() {
    let mut seen = 0;
    for line in include_str!("fixtures/de2000_200pairs.csv").lines().skip(1) {
        let v = line.split(',').map(|c| c.parse().unwrap()).collect::<Vec<f64>>();
        let (one, two) = (Lab::new(v[0], v[1], v[2]), Lab::new(v[3], v[4], v[5]));
        let d = ciede2000(one, two);
        let squares: f64 = ciede2000_residuals(one, two).iter().map(|r| r * r).sum();
        assert!((d - v[6]).abs() < 1e-9, "{line}: {d}");
        assert!((squares.sqrt() - v[6]).abs() < 1e-9);
        seen += 1;
    }
    assert_eq!(seen, 200);
}
