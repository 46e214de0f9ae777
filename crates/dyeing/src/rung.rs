//! A ladder as it is drawn: what one dye adds to a cloth at its main band, against its amount.
//!
//! K/S is near enough a straight line against the amount at low depth and bends where the fibre fills up; that is what
//! a maker's own swatches of one dye show at a glance. How far the line may be off is told as nine times in ten, from what
//! is believed of the dye alone (first order, as in `predict`, but in the logarithm of K/S, which is never below nothing).
//! Left out: mixes, and the scatter of dosing and dyeing.

use colour::{BANDS, Bands};
use units::OnFibre;

use crate::depth::ks;
use crate::sight::STEP;
use crate::{Dye, Substrate};

/// One place of the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Depth {
    /// The dose.
    pub dose: OnFibre,
    /// K/S that the dye adds at its main band.
    pub adds: f64,
    /// Nine times in ten it adds at least this.
    pub least: f64,
    /// And at most this.
    pub most: f64,
}

/// Normal deviate within which nine of ten lie (standard tables).
const NINE_OF_TEN: f64 = 1.645;

/// What a dye adds at its main band for each dose on a cloth, as believed.
#[must_use]
pub fn depths(on: &Substrate, dye: &Dye, doses: &[OnFibre]) -> Vec<Depth> {
    let band = dye.main_band();
    let looks = dye.looks();
    let adds = |absorbs: &[f64; BANDS], saturates_at: f64, dose: OnFibre| {
        let fixed = on.fixed_with(dye, saturates_at, dose.to_percent());
        adds_at(on, band, on.seen(band, absorbs[band] * fixed).0)
    };
    let each = doses.iter().map(|&dose| {
        let believed = adds(&looks.believed.absorbs, looks.believed.saturates_at, dose);
        let slopes: Vec<f64> = looks
            .stepped
            .iter()
            .map(|look| (adds(&look.absorbs, look.saturates_at, dose) / believed).ln() / STEP)
            .collect();
        let variance: f64 = slopes
            .iter()
            .enumerate()
            .flat_map(|(i, a)| slopes.iter().enumerate().map(move |(j, b)| (i, j, a * b)))
            .map(|(i, j, both)| both * dye.belief.covariance[(i, j)])
            .sum();
        let wide = NINE_OF_TEN * variance.max(0.0).sqrt();
        match believed > 0.0 && wide.is_finite() {
            true => Depth {
                dose,
                adds: believed,
                least: believed * (-wide).exp(),
                most: believed * wide.exp(),
            },
            false => Depth { dose, adds: 0.0, least: 0.0, most: 0.0 },
        }
    });
    each.collect()
}

/// K/S that was added to a cloth at the main band of a dye, as its reflectance shows it; below nothing where the dyed cloth
/// is lighter there than the undyed one.
#[must_use]
pub fn depth_read(on: &Substrate, dye: &Dye, seen: &Bands) -> f64 {
    let band = dye.main_band();
    adds_at(on, band, seen.values()[band])
}

fn adds_at(on: &Substrate, band: usize, reflectance: f64) -> f64 {
    ks(reflectance) - ks(on.seen(band, 0.0).0)
}

impl Dye {
    /// The band where it absorbs most, as believed.
    #[must_use]
    pub fn main_band(&self) -> usize {
        let absorbs = self.absorbs();
        (0..BANDS).max_by(|&a, &b| absorbs[a].total_cmp(&absorbs[b])).unwrap_or(0)
    }
}

#[cfg(test)]
mod tests {
    use units::{LiquorRatio, Share};

    use super::*;
    use crate::{
        Dosed, Ground, HOME, Knowledge, Lesson, Look, REFERENCE_RATIO, Seen, expected, predict,
        starter_dye, taught,
    };

    fn pct(percent: f64) -> OnFibre {
        OnFibre::try_percent(percent).unwrap()
    }

    fn cotton(dye: &Dye) -> Substrate {
        let ground = Ground::assumed(&[("cotton", Share::WHOLE)], Look::White).unwrap();
        let ratio = LiquorRatio::try_litres_per_kilogram(REFERENCE_RATIO).unwrap();
        Substrate::try_new(&ground, dye.class, ratio).unwrap()
    }

    /// What is read off a dyeing as foretold is the line; more dye adds more, and less and less of it.
    #[test]
    fn the_line_is_what_is_foretold_and_bends() {
        for id in ["reactive-navy", "reactive-lemon", "reactive-scarlet"] {
            let dye = starter_dye(id).unwrap();
            let on = cotton(dye);
            let doses = [pct(0.1), pct(0.2), pct(2.0), pct(4.0)];
            let line = depths(&on, dye, &doses);
            for depth in &line {
                let dosed = Dosed { dye, dose: depth.dose, scatter: 0.0 };
                let seen = expected(&on, &[dosed]).unwrap();
                let read = depth_read(&on, dye, &seen);
                assert!((read / depth.adds - 1.0).abs() < 1e-9, "{id}: {read} {depth:?}");
                assert!(depth.least < depth.adds && depth.adds < depth.most, "{depth:?}");
            }
            let per = |k: usize| line[k].adds / line[k].dose.to_percent();
            assert!(per(0) > per(1) && per(1) > per(2) && per(2) > per(3), "{id}: it bends");
            assert!(line[3].adds > line[2].adds);
        }
    }

    /// A swatch narrows the line, most where it was dyed.
    #[test]
    fn a_swatch_narrows_the_line() {
        let dye = starter_dye("reactive-navy").unwrap();
        let on = cotton(dye);
        let dosed = Dosed { dye, dose: pct(1.0), scatter: 0.0 };
        let lab = predict(&on, &[dosed], HOME).unwrap().lab;
        let lesson = Lesson { on: &on, dose: pct(1.0), seen: Seen::Colour(lab), spread: 1.0 };
        let known = taught(dye, &[lesson], Knowledge::Chip).unwrap();
        let wide = |dye: &Dye, percent: f64| {
            let at = depths(&on, dye, &[pct(percent)])[0];
            (at.most / at.least).ln()
        };
        assert!(wide(&known, 1.0) < 0.6 * wide(dye, 1.0));
        assert!(wide(&known, 1.0) < wide(&known, 6.0));
    }
}
