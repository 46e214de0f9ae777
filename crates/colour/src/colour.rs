//! A colour with its light and observer, and the difference of two that are alike in both.

use crate::{
    Lab, Light, Observer, Refusal, ciede2000, ciede2000_textile,
    cmc::{cmc, delta_e_ab, delta_l_c_h},
};

/// Lab that knows under which light and for which observer it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Colour {
    /// The coordinates.
    pub lab: Lab,
    /// Under this light.
    pub light: Light,
    /// For this observer.
    pub observer: Observer,
}

/// Every difference of a sample from a standard under one light, for one observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Under this light.
    pub light: Light,
    /// For this observer.
    pub observer: Observer,
    /// CIEDE2000 (1:1:1).
    pub de00: f64,
    /// CIEDE2000 (2:1:1), lightness counted half.
    pub de00_textile: f64,
    /// CIE 1976 ΔE*ab.
    pub de_ab: f64,
    /// CMC(2:1), acceptability; the first colour is the standard.
    pub cmc_2_1: f64,
    /// CMC(1:1), perceptibility; the first colour is the standard.
    pub cmc_1_1: f64,
    /// Lightness, sample − standard: positive is lighter.
    pub dl: f64,
    /// Chroma, sample − standard: positive is stronger.
    pub dc: f64,
    /// Hue, sample − standard, positive counter-clockwise (red → yellow → green → blue).
    pub dh: f64,
}

impl Colour {
    /// A colour in the trade's reference, D65/10°.
    #[must_use]
    pub const fn d65_10(lab: Lab) -> Self {
        Self { lab, light: Light::D65, observer: Observer::Ten }
    }

    /// A colour of a screen, D65/2°.
    #[must_use]
    pub const fn d65_2(lab: Lab) -> Self {
        Self { lab, light: Light::D65, observer: Observer::Two }
    }

    /// Every difference from this standard to a sample; refused when light or observer differ.
    pub fn try_difference(&self, sample: &Self) -> Result<Difference, Refusal> {
        if self.light != sample.light || self.observer != sample.observer {
            return Err(Refusal::Unlike {
                left_light: self.light,
                left_observer: self.observer,
                right_light: sample.light,
                right_observer: sample.observer,
            });
        }
        let (one, two) = (self.lab, sample.lab);
        let [dl, dc, dh] = delta_l_c_h(one, two);
        Ok(Difference {
            light: self.light,
            observer: self.observer,
            de00: ciede2000(one, two),
            de00_textile: ciede2000_textile(one, two),
            de_ab: delta_e_ab(one, two),
            cmc_2_1: cmc(one, two, 2.0, 1.0),
            cmc_1_1: cmc(one, two, 1.0, 1.0),
            dl,
            dc,
            dh,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unlike_colours_do_not_compare() {
        let lab = Lab::new(50.0, 10.0, 10.0);
        let cloth = Colour::d65_10(lab);
        let screen = Colour::d65_2(lab);
        let speech = cloth.try_difference(&screen).unwrap_err().to_string();
        assert!(speech.contains("D65/10°") && speech.contains("D65/2°"), "{speech}");
        let stage = Colour { light: Light::A, ..cloth };
        assert!(cloth.try_difference(&stage).is_err());
        assert_eq!(cloth.try_difference(&cloth).unwrap().de00, 0.0);
    }
}
