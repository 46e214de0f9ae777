//! Small symmetric systems by Cholesky's factors; the only linear algebra the chart needs.

/// Lower factor of a positive definite table.
#[derive(Debug, Clone)]
pub(super) struct Factor {
    n: usize,
    rows: Vec<f64>,
}

impl Factor {
    /// Of an n × n table, row by row; none where it is not positive definite.
    pub(super) fn of(mut rows: Vec<f64>, n: usize) -> Option<Self> {
        for i in 0..n {
            for j in 0..=i {
                let mut sum = rows[i * n + j];
                for k in 0..j {
                    sum -= rows[i * n + k] * rows[j * n + k];
                }
                if i == j {
                    if sum.is_nan() || sum <= 0.0 {
                        return None;
                    }
                    rows[i * n + i] = sum.sqrt();
                } else {
                    rows[i * n + j] = sum / rows[j * n + j];
                }
            }
        }
        Some(Self { n, rows })
    }

    /// x with L x = b.
    pub(super) fn forward(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = b.to_vec();
        for i in 0..n {
            let known: f64 = (0..i).map(|k| self.rows[i * n + k] * x[k]).sum();
            x[i] = (x[i] - known) / self.rows[i * n + i];
        }
        x
    }

    /// x with L Lᵀ x = b.
    pub(super) fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = self.forward(b);
        for i in (0..n).rev() {
            let known: f64 = (i + 1..n).map(|k| self.rows[k * n + i] * x[k]).sum();
            x[i] = (x[i] - known) / self.rows[i * n + i];
        }
        x
    }

    /// The diagonal of the inverse.
    pub(super) fn inverse_diagonal(&self) -> Vec<f64> {
        let n = self.n;
        let mut sums = vec![0.0; n];
        for (i, sum) in sums.iter_mut().enumerate() {
            // column i of the inverse of the lower factor begins at its row i
            let mut column = vec![0.0; n];
            column[i] = 1.0 / self.rows[i * n + i];
            for k in i + 1..n {
                let known: f64 = (i..k).map(|m| self.rows[k * n + m] * column[m]).sum();
                column[k] = -known / self.rows[k * n + k];
            }
            *sum = column[i..].iter().map(|v| v * v).sum();
        }
        sums
    }

    /// Half the logarithm of the determinant.
    pub(super) fn half_log_determinant(&self) -> f64 {
        (0..self.n).map(|i| colour::maths::ln(self.rows[i * self.n + i])).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_solution_solves() {
        let table = vec![4.0, 1.0, 0.5, 1.0, 3.0, -0.2, 0.5, -0.2, 2.0];
        let x = Factor::of(table.clone(), 3).unwrap().solve(&[1.0, 2.0, 3.0]);
        for i in 0..3 {
            let back: f64 = (0..3).map(|k| table[3 * i + k] * x[k]).sum();
            assert!((back - [1.0, 2.0, 3.0][i]).abs() < 1e-12);
        }
        let factor = Factor::of(table, 3).unwrap();
        for (i, own) in factor.inverse_diagonal().into_iter().enumerate() {
            let mut unit = [0.0; 3];
            unit[i] = 1.0;
            assert!((factor.solve(&unit)[i] - own).abs() < 1e-12);
        }
        assert!(Factor::of(vec![1.0, 2.0, 2.0, 1.0], 2).is_none());
    }
}
