//! The special index of metamerism, change of light: how far a match falls apart elsewhere.
//!
//! CIE definition: the difference a test illuminant makes to a pair that matches in the reference
//! light. A pair that does not match exactly there is corrected first, multiplicatively on XYZ: the
//! sample's XYZ in the test light is multiplied by standard ÷ sample of the reference light. The
//! result states that correction. Whether a match *holds* under the test light is said of the pair as it is,
//! by what passes from where it is seen: the same limit as every other verdict. Left out: the index of
//! change of observer, and colour inconstancy, which is a different number.

use crate::{Bands, Lab, Light, Observer, Viewing, Weights, ciede2000, cmc::delta_e_ab};

/// The special index of a pair for one test light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metamerism {
    /// The light the pair should match in.
    pub reference: Light,
    /// The light it is moved to.
    pub test: Light,
    /// For this observer.
    pub observer: Observer,
    /// The index as ΔE00.
    pub de00: f64,
    /// The index as ΔE*ab, as older texts state it.
    pub de_ab: f64,
    /// The difference left in the reference light before correction, ΔE00.
    pub left_in_reference: f64,
    /// The difference in the test light as it is, without correction, ΔE00.
    pub in_test: f64,
    /// What X, Y and Z of the sample were multiplied by; all 1 when the pair matched exactly.
    pub correction: [f64; 3],
}

impl Metamerism {
    /// The index of a standard and a sample for a test light.
    #[must_use]
    pub fn of(
        standard: &Bands,
        sample: &Bands,
        reference: Light,
        test: Light,
        observer: Observer,
    ) -> Self {
        let (at_home, away) = (Weights::of(reference, observer), Weights::of(test, observer));
        let (one, two) = (at_home.xyz(standard), at_home.xyz(sample));
        let correction = [one.x / two.x, one.y / two.y, one.z / two.z];
        let mut moved = away.xyz(sample);
        moved.x *= correction[0];
        moved.y *= correction[1];
        moved.z *= correction[2];
        let (seen, corrected): (Lab, Lab) = (away.lab(standard), moved.to_lab(away.white()));
        Self {
            reference,
            test,
            observer,
            de00: ciede2000(seen, corrected),
            de_ab: delta_e_ab(seen, corrected),
            left_in_reference: ciede2000(at_home.lab(standard), at_home.lab(sample)),
            in_test: ciede2000(seen, away.lab(sample)),
            correction,
        }
    }

    /// Whether the pair had to be corrected to count as a match in the reference light.
    #[must_use]
    pub fn was_corrected(&self) -> bool {
        self.correction.iter().any(|f| (f - 1.0).abs() > 1e-9)
    }

    /// Whether the match of the reference light holds under the test light from where it is seen; none where
    /// the two do not match in the reference light.
    #[must_use]
    pub fn holds(&self, viewing: Viewing) -> Option<bool> {
        viewing.passes(self.left_in_reference).then(|| viewing.passes(self.in_test))
    }

    /// One sentence with the verdict from where the pair is seen, the index and the correction.
    #[must_use]
    pub fn words(&self, viewing: Viewing) -> String {
        let (home, away) = (self.left_in_reference, self.in_test);
        let (reference, test) = (self.reference, self.test);
        let mut text = match self.holds(viewing) {
            Some(true) => {
                format!("the match of {reference} holds under {test}, {away:.1} apart there")
            }
            Some(false) => format!(
                "the match of {reference} does not hold under {test}, {away:.1} apart there: other dyes may \
                 hold better"
            ),
            None => {
                format!("no match in {reference}, {home:.1} apart, and {away:.1} under {test}")
            }
        };
        text.push_str(&format!(
            " (up to {:.1} passes {viewing}; index {:.1})",
            viewing.limit(),
            self.de00
        ));
        if self.was_corrected() {
            let [x, y, z] = self.correction;
            text.push_str(&format!(
                "; for the index the pair, {home:.2} apart in {reference}, had its X, Y, Z first multiplied \
                 by {x:.3}, {y:.3}, {z:.3}"
            ));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::BANDS;

    /// A sine-like shape made orthogonal to the D65/10° weights: added to a grey it changes nothing
    /// in D65 by construction (Gram–Schmidt, in the test itself) and so is a true metamer.
    fn metamer_of_grey() -> (Bands, Bands) {
        let rows = Weights::reference().rows();
        let mut basis: Vec<[f64; BANDS]> = Vec::new();
        let project = |v: [f64; BANDS], basis: &[[f64; BANDS]]| {
            basis.iter().fold(v, |v, b| {
                let part: f64 = v.iter().zip(b).map(|(x, y)| x * y).sum();
                std::array::from_fn(|i| v[i] - part * b[i])
            })
        };
        for row in rows {
            let v = project(*row, &basis);
            let length = v.iter().map(|x| x * x).sum::<f64>().sqrt();
            basis.push(v.map(|x| x / length));
        }
        let wave = std::array::from_fn(|i| if (i / 3) % 2 == 0 { 0.05 } else { -0.05 });
        let black = project(wave, &basis);
        let grey = Bands::flat(0.3).unwrap();
        (grey, Bands::try_new(std::array::from_fn(|i| 0.3 + black[i])).unwrap())
    }

    #[test]
    fn a_true_metamer_needs_no_correction_and_falls_apart_elsewhere() {
        let (grey, other) = metamer_of_grey();
        let m = Metamerism::of(&grey, &other, Light::D65, Light::Fl11, Observer::Ten);
        assert!(m.left_in_reference < 1e-9 && !m.was_corrected(), "{m:?}");
        assert!(m.de00 > 0.5, "{m:?}");
        let home = Metamerism::of(&grey, &other, Light::D65, Light::D65, Observer::Ten);
        assert!(home.de00 < 1e-9);
    }

    #[test]
    fn the_correction_is_stated_and_takes_out_what_is_only_a_depth_difference() {
        let (one, two) = (Bands::flat(0.30).unwrap(), Bands::flat(0.27).unwrap());
        let m = Metamerism::of(&one, &two, Light::D65, Light::A, Observer::Ten);
        assert!(m.left_in_reference > 2.0 && m.de00 < 1e-9, "{m:?}");
        let words = m.words(Viewing::Stage);
        assert!(words.contains("multiplied by 1.111"), "{words}");
    }

    /// Words and verdict are one: what passes from where it is seen is said to hold, whatever the index.
    #[test]
    fn it_holds_where_the_pair_passes_and_nowhere_else() {
        let (grey, other) = metamer_of_grey();
        for test in Light::ALL {
            let m = Metamerism::of(&grey, &other, Light::D65, test, Observer::Ten);
            for viewing in Viewing::ALL {
                let passes = viewing.passes(m.in_test);
                let words = m.words(viewing);
                assert_eq!(m.holds(viewing), Some(passes), "{m:?}");
                assert_eq!(words.contains("does not hold"), !passes, "{words}");
            }
        }
        let far =
            Metamerism::of(&grey, &Bands::flat(0.2).unwrap(), Light::D65, Light::A, Observer::Ten);
        let words = far.words(Viewing::Stage);
        assert!(far.holds(Viewing::Stage).is_none() && words.starts_with("no match"), "{words}");
    }
}
