//! K/S from reflectance and back (one-constant Kubelka–Munk, opaque layer).
//!
//! Source: P. Kubelka, F. Munk, "Ein Beitrag zur Optik der Farbanstriche" (1931), the limit of a
//! thick layer. Left out: surface reflection (on the real ladders it makes K/S worse).

/// K/S of a reflectance factor: (1 − R)² / 2R. For 0 < R ≤ 1; unchecked, for the inside of a search.
#[must_use]
pub fn ks(r: f64) -> f64 {
    let lost = 1.0 - r;
    lost * lost / (2.0 * r)
}

/// Reflectance factor of a K/S ≥ 0, as 1 / (1 + q + √(q² + 2q)): the root that does not cancel, so
/// that depth keeps its digits. Unchecked, for the inside of a search.
#[must_use]
pub fn ks_inv(q: f64) -> f64 {
    1.0 / (1.0 + q + (q * (q + 2.0)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_from_nearly_white_to_blacker_than_cloth() {
        for exponent in -60..=60 {
            let q = 10f64.powf(f64::from(exponent) / 10.0);
            let back = ks(ks_inv(q));
            // 1 − R cancels for q → 0: relative error about ε/√q.
            assert!((back / q - 1.0).abs() < 1e-15 / q.sqrt() + 1e-14, "{q} {back}");
        }
        assert!((ks_inv(0.0) - 1.0).abs() < f64::EPSILON);
        // R → 1/2q for large q; the textbook form 1 + q − √(q² + 2q) gives 0 here.
        assert!((ks_inv(1e9) * 2e9 - 1.0).abs() < 2e-9);
    }
}
