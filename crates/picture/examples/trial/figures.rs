//! Errors of two ways of reading the same pictures, as figures and as JSON.

use std::ops::AddAssign;

use picture::Calibration;

/// Errors, theirs beside ours, and whether the truth lay within what was stated.
#[derive(Debug, Clone, Default)]
pub(crate) struct Figures {
    ours: Vec<f64>,
    root: Vec<f64>,
    held: usize,
    stated: f64,
    pub(crate) refused: usize,
    /// Of each frame, how many times wider cloth is said to be read than in daylight, where that can be said.
    times: Vec<f64>,
    /// Frames, and those whose light was called weak.
    frames: usize,
    weak: usize,
}

impl AddAssign<&Self> for Figures {
    fn add_assign(&mut self, other: &Self) {
        self.ours.extend(&other.ours);
        self.root.extend(&other.root);
        self.held += other.held;
        self.stated += other.stated;
        self.refused += other.refused;
        self.times.extend(&other.times);
        self.frames += other.frames;
        self.weak += other.weak;
    }
}

impl Figures {
    /// A frame, and what it says of its light.
    pub(crate) fn frame(&mut self, calibration: &Calibration) {
        self.frames += 1;
        self.weak += usize::from(calibration.weak_light().is_some());
        self.times.extend(calibration.beside_daylight().map(|light| light.times()));
    }

    pub(crate) fn add(&mut self, ours: f64, within90: f64, root: f64) {
        self.ours.push(ours);
        self.root.push(root);
        self.held += usize::from(ours <= within90);
        self.stated += within90;
    }

    pub(crate) fn json(&self) -> String {
        // of nothing there is no mean
        let number = |v: f64| if v.is_finite() { format!("{v:.3}") } else { "null".to_owned() };
        format!(
            "{{\"mean\":{},\"median\":{},\"p90\":{},\"root_poly_mean\":{},\"root_poly_median\":{},\"coverage90\":{},\"n\":{}}}",
            number(mean(&self.ours)),
            number(quantile(&self.ours, 0.5)),
            number(quantile(&self.ours, 0.9)),
            number(mean(&self.root)),
            number(quantile(&self.root, 0.5)),
            number(self.coverage()),
            self.ours.len()
        )
    }

    pub(crate) fn line(&self) -> String {
        format!(
            "mean {:.2}, median {:.2}, p90 {:.2}; root-polynomial {:.2}, {:.2}, {:.2}; within stated {:.1} % (stated {:.2} on average); n {}, refused {}, weak light {} of {} ({:.2} × daylight in the middle)",
            mean(&self.ours),
            quantile(&self.ours, 0.5),
            quantile(&self.ours, 0.9),
            mean(&self.root),
            quantile(&self.root, 0.5),
            quantile(&self.root, 0.9),
            100.0 * self.coverage(),
            self.stated / count(self.ours.len()),
            self.ours.len(),
            self.refused,
            self.weak,
            self.frames,
            quantile(&self.times, 0.5)
        )
    }

    fn coverage(&self) -> f64 {
        count(self.held) / count(self.ours.len())
    }
}

pub(crate) fn mean(all: &[f64]) -> f64 {
    all.iter().sum::<f64>() / count(all.len())
}

/// Linear between the two ranks around.
pub(crate) fn quantile(all: &[f64], share: f64) -> f64 {
    let mut sorted = all.to_vec();
    sorted.sort_by(f64::total_cmp);
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let at = share * count(last);
    let low = (0..=last).rev().find(|n| count(*n) <= at).unwrap_or(0);
    let part = at - count(low);
    sorted[low] + part * (sorted[(low + 1).min(last)] - sorted[low])
}

#[expect(clippy::cast_precision_loss, reason = "counts of readings, far below 2^52")]
const fn count(n: usize) -> f64 {
    n as f64
}
