//! Lab and CIEDE2000 against a general colour library, `colorimetry` 0.1.0 (fixtures made once; see
//! `fixtures/oracle_lab.SOURCE.txt`). Our side starts from the 31 bands of the model grid.

use colour::{BANDS, Bands, Lab, Light, Observer, Weights, ciede2000};

/// ΔE00 between our Lab from 31 bands and theirs from 401 values, within 0.1: what the bands and the
/// cut at 400 and 700 nm cost, and for lamps with mercury lines another interpolation of the lamp.
#[test]
fn lab_of_smooth_cloths_under_sixteen_lights() {
    let (mut smooth, mut lines): (f64, f64) = (0.0, 0.0);
    let mut seen = 0;
    for line in include_str!("fixtures/oracle_lab.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let light = Light::from_name(cells[0]).unwrap();
        let observer = Observer::from_name(cells[1]).unwrap();
        let v: Vec<f64> = cells[2..].iter().map(|c| c.parse().unwrap()).collect();
        let [low, high, at, width] = [v[0], v[1], v[2], v[3]];
        let factors: [f64; BANDS] = std::array::from_fn(|i| {
            let nm = 400.0 + 10.0 * i as f64;
            low + (high - low) / (1.0 + (-(nm - at) / width).exp())
        });
        let ours = Weights::of(light, observer).lab(&Bands::try_new(factors).unwrap());
        let off = ciede2000(ours, Lab::new(v[4], v[5], v[6]));
        match light {
            Light::Fl2 | Light::Fl7 | Light::Fl11 | Light::Fl12 => lines = lines.max(off),
            _ => smooth = smooth.max(off),
        }
        seen += 1;
    }
    assert_eq!(seen, 16 * 2 * 6);
    println!("worst dE00: lamps without lines {smooth:.3}, with lines {lines:.3}");
    assert!(smooth < 0.1, "{smooth}");
    assert!(lines < 0.1, "{lines}");
}

#[test]
fn ciede2000_of_300_pairs() {
    let mut worst: f64 = 0.0;
    for line in include_str!("fixtures/oracle_de2000.csv").lines().skip(1) {
        let v: Vec<f64> = line.split(',').map(|c| c.parse().unwrap()).collect();
        let d = ciede2000(Lab::new(v[0], v[1], v[2]), Lab::new(v[3], v[4], v[5]));
        worst = worst.max((d - v[6]).abs());
    }
    println!("worst difference in CIEDE2000: {worst:.1e}");
    assert!(worst < 1e-8, "{worst}");
}
