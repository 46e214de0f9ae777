//! A whole shared out in lots whose printed amounts add up to the printed whole.

use dosing::Shown;

/// A whole as so many steps of what can be measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct InSteps {
    count: u64,
    step: f64,
    decimals: u8,
}

impl InSteps {
    /// `whole` in steps of `step`; the step is the last printed digit where it does not divide.
    pub(crate) fn of(whole: Shown, step: f64) -> Self {
        let digit = 10f64.powi(-i32::from(whole.decimals()));
        let fits = |step: f64| {
            let count = whole.value() / step;
            step > 0.0 && (count - count.round()).abs() < 1e-6
        };
        let step = if fits(step) { step } else { digit };
        Self { count: nearest(whole.value() / step), step, decimals: whole.decimals() }
    }

    /// The lots by largest remainder: each within one step of its share, all together the whole.
    /// Shares that do not add to one are taken in proportion.
    pub(crate) fn shared(self, shares: &[f64]) -> Vec<Shown> {
        let sum: f64 = shares.iter().sum();
        let ideal = |share: f64| self.counted() * share / sum;
        let mut counts: Vec<u64> =
            shares.iter().map(|share| nearest((ideal(*share) + 1e-9).floor())).collect();
        let mut left = self.count.saturating_sub(counts.iter().sum());
        let mut order: Vec<usize> = (0..shares.len()).collect();
        let rest = |i: usize| ideal(shares[i]) - (ideal(shares[i]) + 1e-9).floor();
        order.sort_by(|a, b| rest(*b).total_cmp(&rest(*a)));
        for i in order {
            if left == 0 {
                break;
            }
            counts[i] += 1;
            left -= 1;
        }
        counts.into_iter().map(|count| self.shown(count)).collect()
    }

    #[expect(clippy::cast_precision_loss, reason = "steps of a home amount are far below 2^53")]
    fn counted(self) -> f64 {
        self.count as f64
    }

    #[expect(clippy::cast_precision_loss, reason = "steps of a home amount are far below 2^53")]
    fn shown(self, count: u64) -> Shown {
        Shown::try_round(count as f64 * self.step, self.decimals).unwrap_or(Shown::ZERO)
    }
}

/// The sum of printed numbers, with the decimals of the finest.
pub(crate) fn sum(all: &[Shown]) -> Shown {
    let decimals = all.iter().map(|shown| shown.decimals()).max().unwrap_or(0);
    let total: f64 = all.iter().map(|shown| shown.value()).sum();
    Shown::try_round(total, decimals).unwrap_or(Shown::ZERO)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "not negative, and at most a tonne in steps of a tenth of a milligram"
)]
fn nearest(count: f64) -> u64 {
    count.max(0.0).round() as u64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lots(whole: f64, decimals: u8, step: f64, shares: &[f64]) -> Vec<String> {
        let whole = Shown::try_round(whole, decimals).unwrap();
        InSteps::of(whole, step).shared(shares).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn lots_add_up_to_the_printed_whole() {
        assert_eq!(lots(82.4, 1, 0.1, &[0.1, 0.3, 0.6]), ["8.3", "24.7", "49.4"]);
        assert_eq!(lots(100.0, 0, 1.0, &[0.25, 0.25, 0.5]), ["25", "25", "50"]);
        assert_eq!(lots(10.0, 0, 5.0, &[0.25, 0.75]), ["5", "5"]);
        assert_eq!(lots(0.3, 1, 0.1, &[0.25, 0.25, 0.5]), ["0.1", "0.1", "0.1"]);
    }
}
