//! How far off a colour may be: a covariance in CIELAB, and the one figure it comes to.

use colour::{Lab, ciede2000_residuals};
use nalgebra::{Matrix3, Vector3};
use statrs::distribution::{ContinuousCDF, Gamma};

use crate::predict::vector;

/// Spread of a colour around its expected place.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    centre: Lab,
    covariance: Matrix3<f64>,
}

impl Spread {
    pub(crate) fn of(centre: Lab, covariance: Matrix3<f64>) -> Self {
        Self { centre, covariance }
    }

    /// Of a dyed piece's spread, how far two pieces dyed by one recipe may be from each other: what is not
    /// known of the recipe is the same in both, what scatters from pot to pot is there twice.
    #[must_use]
    pub fn between_two(&self, recipe: &Self) -> Self {
        Self { centre: self.centre, covariance: (self.covariance - recipe.covariance) * 2.0 }
    }

    /// A colour that does not scatter: something that is as it is.
    #[must_use]
    pub fn none(centre: Lab) -> Self {
        Self { centre, covariance: Matrix3::zeros() }
    }

    /// Of a dyed piece's spread, what scatters from dyeing to dyeing, without what is not known of the recipe.
    #[must_use]
    pub fn of_dyeing(&self, recipe: &Self) -> Self {
        Self { centre: self.centre, covariance: self.covariance - recipe.covariance }
    }

    /// The same spread around another colour.
    #[must_use]
    pub fn around(&self, centre: Lab) -> Self {
        Self { centre, ..self.clone() }
    }

    /// The ΔE00 between two pieces, spread like this and like the other and independently of each other, that
    /// 90 % of such pairs stay within.
    ///
    /// ΔE00² is taken as the square of a normal vector around the difference expected; its quantile is that
    /// of the gamma law of the same mean and variance (Patnaik 1949).
    #[must_use]
    pub fn apart_90(&self, other: &Self) -> f64 {
        let (expected, metric) = self.apart(other);
        let mean = metric.trace() + expected.norm_squared();
        let variance = 2.0 * (metric * metric).trace() + 4.0 * expected.dot(&(metric * expected));
        if mean <= 1e-12 || variance <= 1e-18 {
            return mean.max(0.0).sqrt();
        }
        quantile_90(mean, variance)
    }

    /// Root mean square ΔE00 by which two pieces spread like this and like the other scatter around the
    /// difference expected of them.
    #[must_use]
    pub fn apart_rms(&self, other: &Self) -> f64 {
        self.apart(other).1.trace().max(0.0).sqrt()
    }

    /// Residuals of the two centres, and the covariance of the residuals of independent colours around them.
    fn apart(&self, other: &Self) -> (Vector3<f64>, Matrix3<f64>) {
        let (a, b) = (self.centre, other.centre);
        let expected = Vector3::from(ciede2000_residuals(a, b));
        let one = slopes(a, |at| ciede2000_residuals(at, b));
        let two = slopes(b, |at| ciede2000_residuals(a, at));
        let covariance =
            one * self.covariance * one.transpose() + two * other.covariance * two.transpose();
        (expected, covariance)
    }

    /// Root mean square ΔE00 from the expected colour.
    #[must_use]
    pub fn rms(&self) -> f64 {
        self.in_differences().trace().max(0.0).sqrt()
    }

    /// The ΔE00 that 90 % of outcomes stay within, if the model and its spreads hold.
    ///
    /// ΔE00² of a normal colour is a weighted sum of χ²₁; its quantile is taken from the gamma law of
    /// the same mean and variance (Welch–Satterthwaite).
    #[must_use]
    pub fn within_90(&self) -> f64 {
        let metric = self.in_differences();
        let mean = metric.trace();
        let variance = 2.0 * (metric * metric).trace();
        if mean <= 1e-12 || variance <= 1e-18 {
            return 0.0;
        }
        quantile_90(mean, variance)
    }

    /// Colours on the edge of the 90 % region along its own longest, middle and shortest axes: what
    /// the piece might look like.
    #[must_use]
    pub fn edges(&self) -> Vec<Lab> {
        let eigen = self.covariance.symmetric_eigen();
        // 2.5003 = sqrt of the 0.9 quantile of chi-square with 3 degrees of freedom (6.2514).
        (0..3)
            .flat_map(|k| {
                let reach = 2.5003 * eigen.eigenvalues[k].max(0.0).sqrt();
                [-1.0, 1.0].map(|way| {
                    let at = vector(self.centre) + eigen.eigenvectors.column(k) * (reach * way);
                    Lab::new(at[0].clamp(0.0, 100.0), at[1], at[2])
                })
            })
            .collect()
    }

    /// The covariance of L*, a*, b*.
    #[must_use]
    pub fn covariance(&self) -> [[f64; 3]; 3] {
        std::array::from_fn(|i| std::array::from_fn(|j| self.covariance[(i, j)]))
    }

    /// Covariance of the three CIEDE2000 residuals from the centre.
    fn in_differences(&self) -> Matrix3<f64> {
        let slope = slopes_of_difference(self.centre);
        slope * self.covariance * slope.transpose()
    }
}

/// Slopes of the three CIEDE2000 residuals in L*, a*, b* at one colour.
pub(crate) fn slopes_of_difference(centre: Lab) -> Matrix3<f64> {
    slopes(centre, |at| ciede2000_residuals(centre, at))
}

/// Slopes of three residuals in L*, a*, b* of one colour.
fn slopes(centre: Lab, residuals: impl Fn(Lab) -> [f64; 3]) -> Matrix3<f64> {
    let step = 0.05;
    let columns = [0, 1, 2].map(|k| {
        let mut away = Vector3::zeros();
        away[k] = step;
        let at = vector(centre);
        let lab = |v: Vector3<f64>| Lab::new(v[0], v[1], v[2]);
        let (up, down) = (residuals(lab(at + away)), residuals(lab(at - away)));
        Vector3::from_iterator((0..3).map(|m| (up[m] - down[m]) / (2.0 * step)))
    });
    Matrix3::from_columns(&columns)
}

/// The root of the 0.9 quantile of the gamma law with this mean and variance.
fn quantile_90(mean: f64, variance: f64) -> f64 {
    Gamma::new(mean * mean / variance, mean / variance)
        .map_or(0.0, |law| law.inverse_cdf(0.9).max(0.0).sqrt())
}
