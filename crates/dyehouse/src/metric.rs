//! Colour differences as distances around one colour: which Lab lies a given ΔE00 away, in a direction.

use colour::{Lab, ciede2000, ciede2000_residuals};
use nalgebra::{Matrix3, SymmetricEigen, Vector3};

/// Step of the central differences, Lab units.
const STEP: f64 = 0.05;

/// The colour that lies `away` from `lab`: a vector whose length is the ΔE00 between the two, and whose
/// axes lean on L*, a*, b*. Unlike lightness, chroma and hue, such axes do not turn over at a neutral.
pub(crate) fn moved(lab: Lab, away: [f64; 3]) -> Lab {
    let away = Vector3::from(away);
    let far = away.norm();
    if far == 0.0 {
        return lab;
    }
    let along = inverse_root(metric(lab)) * away;
    let at = |times: f64| {
        let step = along * times;
        Lab::new((lab.l + step.x).max(0.0), lab.a + step.y, lab.b + step.z)
    };
    // The metric holds near by; a few corrections of the length make the distance exact.
    let mut times = 1.0;
    for _ in 0..6 {
        let reached = ciede2000(lab, at(times));
        if reached <= 0.0 {
            break;
        }
        times *= (far / reached).clamp(0.5, 2.0);
    }
    at(times)
}

/// M with ΔE00² = dᵀ M d for a small step d in Lab.
fn metric(lab: Lab) -> Matrix3<f64> {
    let residuals = |d: [f64; 3], sign: f64| {
        let to = Lab::new(lab.l + sign * d[0], lab.a + sign * d[1], lab.b + sign * d[2]);
        Vector3::from(ciede2000_residuals(lab, to))
    };
    let column = |k: usize| {
        let mut d = [0.0; 3];
        d[k] = STEP;
        (residuals(d, 1.0) - residuals(d, -1.0)) / (2.0 * STEP)
    };
    let slopes = Matrix3::from_columns(&[column(0), column(1), column(2)]);
    slopes.transpose() * slopes
}

/// M^(−1/2), symmetric.
fn inverse_root(metric: Matrix3<f64>) -> Matrix3<f64> {
    let eigen = SymmetricEigen::new(metric);
    let roots = eigen.eigenvalues.map(|v| 1.0 / v.max(1e-6).sqrt());
    eigen.eigenvectors * Matrix3::from_diagonal(&roots) * eigen.eigenvectors.transpose()
}
