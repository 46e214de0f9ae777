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
        Gamma::new(mean * mean / variance, mean / variance)
            .map_or(0.0, |law| law.inverse_cdf(0.9).max(0.0).sqrt())
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

    /// Covariance of the three CIEDE2000 residuals.
    fn in_differences(&self) -> Matrix3<f64> {
        let step = 0.05;
        let columns = [0, 1, 2].map(|k| {
            let mut away = Vector3::zeros();
            away[k] = step;
            let at = vector(self.centre);
            let lab = |v: Vector3<f64>| Lab::new(v[0], v[1], v[2]);
            let up = ciede2000_residuals(self.centre, lab(at + away));
            let down = ciede2000_residuals(self.centre, lab(at - away));
            Vector3::from_iterator((0..3).map(|m| (up[m] - down[m]) / (2.0 * step)))
        });
        let slope = Matrix3::from_columns(&columns);
        slope * self.covariance * slope.transpose()
    }
}
