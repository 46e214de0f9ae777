//! The shipped prior's table, `data/cloth_prior.csv`.
//!
//! Rows: the level, then the thirty steps from 400–410 nm to 690–700 nm; mean and variance of each,
//! in log odds. How it was made is said in `data/cloth_prior.SOURCE.txt` and done again in
//! `tests/prior.rs`.

use super::belief::{Moments, STEPS};

const TEXT: &str = include_str!("../../data/cloth_prior.csv");

/// The moments in the embedded table. A row that cannot be read would leave a step at zero mean and
/// the least variance; a test holds that every row can.
pub(super) fn shipped() -> Moments {
    let mut moments = Moments { level: [0.0, 1.0], mean: [0.0; STEPS], variance: [0.0; STEPS] };
    for (n, (mean, variance)) in rows(TEXT).into_iter().enumerate() {
        match n.checked_sub(1) {
            None => moments.level = [mean, variance],
            Some(step) if step < STEPS => {
                moments.mean[step] = mean;
                moments.variance[step] = variance;
            }
            Some(_) => {}
        }
    }
    moments
}

fn rows(text: &str) -> Vec<(f64, f64)> {
    text.lines()
        .skip(1)
        .filter_map(|line| {
            let mut cells = line.split(',').skip(1).map(|cell| cell.trim().parse().ok());
            Some((cells.next()??, cells.next()??))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        let read = rows(TEXT);
        assert_eq!(read.len(), STEPS + 1);
        assert_eq!(TEXT.lines().count(), STEPS + 2);
        assert!(read.iter().all(|r| r.0.is_finite() && r.1 > 0.0));
        for (i, line) in TEXT.lines().skip(2).enumerate() {
            let from = 400 + 10 * i;
            assert!(line.starts_with(&format!("{from}-{},", from + 10)), "{line}");
        }
    }
}
