//! Errors of stated differences.

use std::ops::AddAssign;

/// Errors, and whether what was stated held them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tally {
    errors: Vec<f64>,
    held: usize,
    stated: f64,
}

impl AddAssign<&Self> for Tally {
    fn add_assign(&mut self, other: &Self) {
        self.errors.extend(&other.errors);
        self.held += other.held;
        self.stated += other.stated;
    }
}

impl Tally {
    pub(crate) fn add(&mut self, (error, within90): (f64, f64)) {
        self.errors.push(error);
        self.held += usize::from(error <= within90);
        self.stated += within90;
    }

    pub(crate) fn json(&self) -> String {
        let [mean, median, p90, coverage, _] = self.figures();
        format!(
            "{{\"mean\":{mean:.3},\"median\":{median:.3},\"p90\":{p90:.3},\"coverage90\":{coverage:.3},\"n\":{}}}",
            self.errors.len()
        )
    }

    pub(crate) fn line(&self) -> String {
        let [mean, median, p90, coverage, stated] = self.figures();
        format!(
            "mean {mean:.2}, median {median:.2}, p90 {p90:.2}, within stated {:.1} % (stated {stated:.2} on average), n {}",
            100.0 * coverage,
            self.errors.len()
        )
    }

    /// Mean, median, p90, share within stated, stated on average; zeros where there is nothing.
    #[expect(clippy::cast_precision_loss, reason = "counts of readings")]
    fn figures(&self) -> [f64; 5] {
        let mut sorted = self.errors.clone();
        sorted.sort_by(f64::total_cmp);
        let n = sorted.len() as f64;
        let Some(last) = sorted.len().checked_sub(1) else { return [0.0; 5] };
        // the nearest rank
        let rank = |tenths: usize| sorted[(tenths * last + 5) / 10];
        let mean = sorted.iter().sum::<f64>() / n;
        [mean, rank(5), rank(9), self.held as f64 / n, self.stated / n]
    }
}
