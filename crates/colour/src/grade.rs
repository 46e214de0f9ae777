//! Grey-scale grades: ISO 105-A02 and A05 for a change of colour, A03 and A04 for staining.
//!
//! Steps: `iso105_greyscales.csv` (A02 from the sample page of EN 20105-A02:1994, A03 from memory of
//! ISO 105-A03:1993). The A05 and A04 formulas are from memory of the standards; on the grey scale
//! itself they give back every step of A02 to 0.03 and of A03 to 0.02, which a test checks.

use std::fmt;

use crate::{Lab, cmc, maths};

/// A grey-scale grade, 5 (no difference) down to 1, with halves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the variants are the nine grades, worst first")]
pub enum Grade {
    One,
    OneTwo,
    Two,
    TwoThree,
    Three,
    ThreeFour,
    Four,
    FourFive,
    Five,
}

/// ΔE*ab of the A02 steps, grade 5 first; EN 20105-A02:1994.
const A02: [f64; 9] = [0.0, 0.8, 1.7, 2.5, 3.4, 4.8, 6.8, 9.6, 13.6];

impl Grade {
    /// Every grade, best first.
    pub const ALL: [Self; 9] = [
        Self::Five,
        Self::FourFive,
        Self::Four,
        Self::ThreeFour,
        Self::Three,
        Self::TwoThree,
        Self::Two,
        Self::OneTwo,
        Self::One,
    ];

    /// "4-5", "3" and so on, as the standard writes it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::One => "1",
            Self::OneTwo => "1-2",
            Self::Two => "2",
            Self::TwoThree => "2-3",
            Self::Three => "3",
            Self::ThreeFour => "3-4",
            Self::Four => "4",
            Self::FourFive => "4-5",
            Self::Five => "5",
        }
    }

    /// Change of colour by the A02 grey scale: the grade of the step nearest to this ΔE*ab.
    #[must_use]
    pub fn change_a02(de_ab: f64) -> Self {
        let halfway = A02.windows(2).map(|pair| (pair[0] + pair[1]) / 2.0);
        let passed = halfway.filter(|limit| de_ab >= *limit).count();
        Self::ALL[passed]
    }

    /// Change of colour by instrument, A05, from the original and the treated specimen. The limits
    /// of the grades are those of A02 (0.40, 1.25, 2.10 …), as the standard's own table has it.
    #[must_use]
    pub fn change_a05(original: Lab, treated: Lab) -> Self {
        Self::change_a02(a05_difference(original, treated))
    }

    /// Staining by instrument, A04, from the stained cloth and the clean one.
    #[must_use]
    pub fn staining_a04(clean: Lab, stained: Lab) -> Self {
        let whole = cmc::delta_e_ab(clean, stained);
        let dl = stained.l - clean.l;
        let off_grey = (whole * whole - dl * dl).max(0.0).sqrt();
        Self::nearest(staining_rating(whole - 0.4 * off_grey))
    }

    /// The grade nearest to a rating such as 4.3.
    fn nearest(rating: f64) -> Self {
        // halves below 5: 0 for 4.75 and better, 8 for 1.25 and worse
        let limits = [4.75, 4.25, 3.75, 3.25, 2.75, 2.25, 1.75, 1.25];
        Self::ALL[limits.iter().filter(|limit| rating < **limit).count()]
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// The A05 rating of a grey-scale difference: 5 − ΔE/1.7 to 3.4, then 5 − log₂(ΔE/0.85), not below 1.
#[must_use]
pub fn grey_scale_rating(de_f: f64) -> f64 {
    let rating = if de_f <= 3.4 { 5.0 - de_f / 1.7 } else { 5.0 - maths::log2(de_f / 0.85) };
    rating.clamp(1.0, 5.0)
}

/// The A04 rating of a staining difference: 6.1 − 1.45 ln ΔE, or 5 − 0.23 ΔE where that exceeds 4.
#[must_use]
pub fn staining_rating(de_gs: f64) -> f64 {
    if de_gs <= 0.0 {
        return 5.0;
    }
    let rating = 6.1 - 1.45 * maths::ln(de_gs);
    (if rating > 4.0 { 5.0 - 0.23 * de_gs } else { rating }).clamp(1.0, 5.0)
}

/// The difference A05 grades (`ΔE_F`): ΔE*ab with chroma and hue weighed down for strong colours and a
/// turn for blues. From memory of ISO 105-A05:1996.
fn a05_difference(original: Lab, treated: Lab) -> f64 {
    let [dl, dc, dh] = cmc::delta_l_c_h(original, treated);
    let (one, two) = (original.to_lch(), treated.to_lch());
    let mean_c = (one.c + two.c) / 2.0;
    let apart = (one.h - two.h).abs();
    let sum = one.h + two.h;
    let mean_h = if apart <= 180.0 {
        sum / 2.0
    } else if sum < 360.0 {
        sum / 2.0 + 180.0
    } else {
        sum / 2.0 - 180.0
    };
    let from_blue = (mean_h - 280.0).abs();
    let x = (if from_blue <= 180.0 { from_blue } else { 360.0 - from_blue }) / 30.0;
    let d = dc * mean_c * maths::exp(-x * x) / 100.0;
    let (by20, by10) = (20.0 * mean_c / 1000.0, 10.0 * mean_c / 1000.0);
    let dc_f = (dc - d) / (1.0 + by20 * by20);
    let dh_f = (dh - d) / (1.0 + by10 * by10);
    (dl * dl + dc_f * dc_f + dh_f * dh_f).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `iso105_greyscales.csv`: every step by table and, on the grey axis, by formula.
    #[test]
    fn every_step_of_both_grey_scales() {
        let mut seen = 0;
        for line in include_str!("../tests/fixtures/iso105_greyscales.csv").lines().skip(1) {
            let cells: Vec<&str> = line.split(',').collect();
            let (grade, step): (&str, f64) = (cells[1], cells[2].parse().unwrap());
            let as_number = grade.split('-').map(|g| g.parse::<f64>().unwrap()).sum::<f64>()
                / if grade.contains('-') { 2.0 } else { 1.0 };
            let grey = Lab::new(50.0, 0.0, 0.0);
            let moved = Lab::new(50.0 - step, 0.0, 0.0);
            if cells[0] == "A02" {
                assert_eq!(Grade::change_a02(step).name(), grade);
                assert_eq!(Grade::change_a05(grey, moved).name(), grade, "{step}");
                assert!((grey_scale_rating(step) - as_number).abs() <= 0.03, "{line}");
            } else {
                assert_eq!(Grade::staining_a04(grey, moved).name(), grade, "{step}");
                assert!((staining_rating(step) - as_number).abs() <= 0.021, "{line}");
            }
            seen += 1;
        }
        assert_eq!(seen, 18);
    }

    /// trade.md §L, row 2: the A05 function of 1.7, 6.8, 13.6 is 4.0, 2.0, 1.0.
    #[test]
    fn the_a05_function() {
        for (de, grade) in [(1.7, 4.0), (6.8, 2.0), (13.6, 1.0)] {
            assert!((grey_scale_rating(de) - grade).abs() < 1e-12);
        }
    }

    #[test]
    fn more_difference_is_never_a_better_grade() {
        let mut before = (Grade::Five, Grade::Five);
        for i in 0..400 {
            let moved = Lab::new(80.0 - 0.1 * f64::from(i), 0.0, 0.0);
            let white = Lab::new(80.0, 0.0, 0.0);
            let now = (Grade::change_a05(white, moved), Grade::staining_a04(white, moved));
            assert!(now.0 <= before.0 && now.1 <= before.1);
            before = now;
        }
        assert_eq!(before, (Grade::One, Grade::One));
    }
}
