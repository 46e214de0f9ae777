//! The difference of two cloths in one frame.
//!
//! What a camera does not tell of a cloth's spectrum it does not tell of the other's either: with the same dyes in both, most
//! of the error is shared and leaves with the difference. The two log-odds curves are believed to go together (`Kin`), and
//! both are solved from the six channels at once; what is unknown of camera and lamp is the same for both. A cloth that lies
//! on both sides of the other (A-B-A) is read as the light falls between: a light that falls off evenly cancels.

use colour::{BANDS, Lab};

use super::{
    Calibration, ClothSeen, NINE_OF_TEN, Row, Seen, Way,
    cloth::{Belief, DARKEST, lab_and_slopes, loosened, radius, reflected},
    dot,
    response::{Response, below},
    solve::Factor,
    unsolved, usable,
};
use crate::Refusal;

/// Whether two cloths hold the same dyes: who reads a difference has to say so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kin {
    /// The same dyes on the same fibre, in other amounts: a swatch and its correction.
    SameDyes,
    /// Other dyes, or another fibre: a match of something else, near to it in colour. Much of each cloth's error is its own.
    OtherDyes,
}

/// How the second cloth differs from the first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClothDifference {
    /// L*, a*, b* (D65/10°) of the second less those of the first.
    pub by: [f64; 3],
    /// Covariance of these three.
    pub covariance: [[f64; 3]; 3],
    /// Nine of ten true differences lie within this ΔE00 of the stated one.
    pub within90: f64,
    /// The first cloth.
    pub first: Lab,
    /// Whose difference it is.
    pub kin: Kin,
}

/// How far the log odds of two cloths go together (correlation). Chosen with made-up cameras and made-up cloths, each reading
/// off by 0.3 % of itself, so that nine of ten differences are held: with the same dyes 0.99, 0.995 and 0.998 held 97, 96 and
/// 90 %.
const SAME: f64 = 0.997;
/// The same for cloths of other dyes that were made to match, the usual case: 0.3, 0.6 and 0.8 held 99, 97 and 93 %. Real
/// cloths are more various than made-up ones, so that the wider middle is taken.
const OTHER: f64 = 0.6;
const ROUNDS: usize = 14;

impl Calibration {
    /// The difference of two cloths. `first` holds one reading, or two of the same cloth from both sides of the second
    /// (A-B-A).
    ///
    /// # Errors
    /// [`Refusal::Unfit`] when one is clipped or black, or when `first` holds no or more than two readings.
    pub fn try_difference(
        &self,
        first: &[Seen],
        second: &Seen,
        kin: Kin,
    ) -> Result<ClothDifference, Refusal> {
        if !first.iter().chain([second]).all(usable) {
            return Err(super::too_bright_or_dark());
        }
        let first = between(first, second).ok_or_else(|| Refusal::Unfit {
            what: "a difference needs the first cloth once, or twice with the second between"
                .to_owned(),
            rule: "lay the cloths side by side, or A-B-A, and give each place once".to_owned(),
        })?;
        let Way::Sensor { readings, belief, .. } = &self.way else {
            return self.apart_by_two(&first, second, kin);
        };
        let together = match kin {
            Kin::SameDyes => SAME,
            Kin::OtherDyes => OTHER,
        };
        let mut each = Vec::with_capacity(readings.len());
        for reading in readings {
            let seen = [reading.of(&first), reading.of(second)];
            let both = both(seen, &reading.response, belief, together).ok_or_else(unsolved)?;
            each.push((reading.weight, both));
        }
        let mean = |pick: fn(&Both) -> [f64; 3]| -> [f64; 3] {
            std::array::from_fn(|k| each.iter().map(|(w, b)| w * pick(b)[k]).sum())
        };
        let (lab, by) = (mean(|b| b.first), mean(|b| b.by));
        let covariance = std::array::from_fn(|j| {
            std::array::from_fn(|k| {
                each.iter()
                    .map(|(w, b)| w * (b.covariance[j][k] + (b.by[j] - by[j]) * (b.by[k] - by[k])))
                    .sum()
            })
        });
        Ok(self.beside.widen_difference(stated(lab, by, covariance, kin)))
    }

    /// Where cloths are read one by one, their errors are added as if they had nothing in common.
    fn apart_by_two(
        &self,
        first: &Seen,
        second: &Seen,
        kin: Kin,
    ) -> Result<ClothDifference, Refusal> {
        let [a, b]: [ClothSeen; 2] = [self.try_cloth(first)?, self.try_cloth(second)?];
        let three = |lab: Lab| [lab.l, lab.a, lab.b];
        let (from, to) = (three(a.lab), three(b.lab));
        let by = std::array::from_fn(|k| to[k] - from[k]);
        let covariance = std::array::from_fn(|j| {
            std::array::from_fn(|k| a.covariance[j][k] + b.covariance[j][k])
        });
        Ok(stated(from, by, covariance, kin))
    }
}

fn stated(first: [f64; 3], by: [f64; 3], covariance: [[f64; 3]; 3], kin: Kin) -> ClothDifference {
    let middle = std::array::from_fn(|k| first[k] + 0.5 * by[k]);
    let within90 = radius(middle, &covariance, NINE_OF_TEN);
    ClothDifference { by, covariance, within90, first: Lab::new(first[0], first[1], first[2]), kin }
}

/// The first cloth as it would be seen where the second lies: its two readings weighed by how near they lie along the line
/// from one to the other, halves where no places are known.
fn between(first: &[Seen], second: &Seen) -> Option<Seen> {
    let (a, b) = match first {
        [one] => return Some(*one),
        [a, b] => (a, b),
        _ => return None,
    };
    let share = match (a.place, b.place, second.place) {
        (Some(a), Some(b), Some(at)) => {
            let along = [b[0] - a[0], b[1] - a[1]];
            let square = along[0] * along[0] + along[1] * along[1];
            let there = (at[0] - a[0]) * along[0] + (at[1] - a[1]) * along[1];
            if square > 0.0 { (there / square).clamp(0.0, 1.0) } else { 0.5 }
        }
        _ => 0.5,
    };
    let mix = |x: [f64; 3], y: [f64; 3]| -> [f64; 3] {
        std::array::from_fn(|c| (1.0 - share) * x[c] + share * y[c])
    };
    Some(Seen {
        rgb: mix(a.rgb, b.rgb),
        paper: a.paper.zip(b.paper).map(|(x, y)| mix(x, y)),
        place: second.place,
    })
}

struct Both {
    first: [f64; 3],
    by: [f64; 3],
    covariance: [[f64; 3]; 3],
}

/// Both cloths from six channels: as `cloth::guess`, for two curves that go together.
fn both(seen: [[f64; 3]; 2], response: &Response, belief: &Belief, together: f64) -> Option<Both> {
    let restored = seen.map(below);
    let (seen, unknown) = (restored.map(|r| r.0), restored.map(|r| r.1));
    let mut odds = [belief.mean; 2];
    let mut last = None;
    for _ in 0..ROUNDS {
        let reflectance = odds.map(|z| z.map(reflected));
        let slope = reflectance.map(|r| slopes(&r));
        // six rows: channel c of cloth n is row 3 n + c, and touches only that cloth's curve
        let lean: [Row; 6] = std::array::from_fn(|row| {
            std::array::from_fn(|i| response.mean[row % 3][i] * slope[row / 3][i])
        });
        let pull: Vec<Row> =
            lean.iter().map(|l| std::array::from_fn(|i| dot(l, &belief.covariance[i]))).collect();
        let mut table = vec![0.0; 36];
        for j in 0..6 {
            for k in 0..6 {
                let share = if j / 3 == k / 3 { 1.0 } else { together };
                table[6 * j + k] = share * dot(&pull[j], &lean[k]);
                if j % 3 == k % 3 {
                    // what is unknown of a channel is the same for both
                    table[6 * j + k] += (0..BANDS)
                        .map(|i| {
                            reflectance[j / 3][i]
                                * dot(&response.doubt[j % 3][i], &reflectance[k / 3])
                        })
                        .sum::<f64>();
                }
            }
            let own = seen[j / 3][j % 3];
            table[7 * j] += response.rough[0] + response.rough[1] * own * own;
        }
        let factor = Factor::of(table.clone(), 6)?;
        let away: [f64; 6] = std::array::from_fn(|row| {
            let (n, c) = (row / 3, row % 3);
            let moved: f64 = (0..BANDS).map(|i| lean[row][i] * (odds[n][i] - belief.mean[i])).sum();
            seen[n][c] - dot(&response.mean[c], &reflectance[n]) + moved
        });
        let weights = factor.solve(&away);
        let next: [Row; 2] = std::array::from_fn(|n| {
            std::array::from_fn(|i| {
                let wanted = belief.mean[i]
                    + (0..6)
                        .map(|row| {
                            let share = if row / 3 == n { 1.0 } else { together };
                            share * pull[row][i] * weights[row]
                        })
                        .sum::<f64>();
                odds[n][i] + (wanted - odds[n][i]).clamp(-3.0, 3.0)
            })
        });
        let step = (0..2)
            .flat_map(|n| (0..BANDS).map(move |i| (n, i)))
            .map(|(n, i)| (next[n][i] - odds[n][i]).abs())
            .fold(0.0, f64::max);
        odds = next;
        last = Some((table, pull));
        if step < 1e-5 {
            break;
        }
    }
    let (table, pull) = last?;
    let factor = loosened(table, unknown.as_flattened())?;
    let reflectance = odds.map(|z| z.map(reflected));
    let [(first, rows_first), (second, rows_second)] = reflectance.map(|r| lab_and_slopes(&r));
    let lean = |rows: [Row; 3], r: &Row| -> [Row; 3] {
        let slope = slopes(r);
        rows.map(|row| std::array::from_fn(|i| row[i] * slope[i]))
    };
    // the difference leans on minus the first curve and on the second
    let leans = [lean(rows_first, &reflectance[0]), lean(rows_second, &reflectance[1])];
    let prior = |j: usize, k: usize| -> f64 {
        let part = |n: usize, m: usize| -> f64 {
            (0..BANDS).map(|i| leans[n][j][i] * dot(&belief.covariance[i], &leans[m][k])).sum()
        };
        part(0, 0) + part(1, 1) - together * (part(0, 1) + part(1, 0))
    };
    let half: [Vec<f64>; 3] = std::array::from_fn(|j| {
        let cross: Vec<f64> = (0..6)
            .map(|row| {
                let shares = if row < 3 { [1.0, together] } else { [together, 1.0] };
                shares[1] * dot(&leans[1][j], &pull[row])
                    - shares[0] * dot(&leans[0][j], &pull[row])
            })
            .collect();
        factor.forward(&cross)
    });
    let covariance = std::array::from_fn(|j| {
        std::array::from_fn(|k| {
            prior(j, k) - half[j].iter().zip(&half[k]).map(|(a, b)| a * b).sum::<f64>()
        })
    });
    Some(Both { first, by: std::array::from_fn(|k| second[k] - first[k]), covariance })
}

/// How reflectance moves with its log odds.
fn slopes(reflectance: &Row) -> Row {
    reflectance.map(|r| (r - DARKEST) * (1.0 - r) / (1.0 - DARKEST))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(light: f64, place: Option<[f64; 2]>) -> Seen {
        Seen { rgb: [0.2 * light, 0.3 * light, 0.4 * light], paper: None, place }
    }

    #[test]
    fn light_that_falls_off_evenly_cancels() {
        let first = [seen(0.98, Some([-0.4, 0.0])), seen(1.02, Some([0.4, 0.0]))];
        for (x, light) in [(-0.2, 0.99), (0.0, 1.0), (0.3, 1.015)] {
            let there = between(&first, &seen(1.0, Some([x, 0.1]))).unwrap();
            assert!((there.rgb[1] - 0.3 * light).abs() < 1e-12, "{x}: {}", there.rgb[1]);
        }
        let no_place = between(&[seen(0.98, None), seen(1.02, None)], &seen(1.0, None)).unwrap();
        assert!((no_place.rgb[2] - 0.4).abs() < 1e-12);
        assert!(between(&[], &seen(1.0, None)).is_none());
        assert!(between(&[seen(1.0, None); 3], &seen(1.0, None)).is_none());
    }
}
