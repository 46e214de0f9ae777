//! The rival: root-polynomial colour correction of degree 2, six terms, by least squares to XYZ D65/10°, no ridge.
//!
//! G. D. Finlayson, M. Mackiewicz and A. Hurlbert, "Color correction using root-polynomial regression", IEEE Trans. Image
//! Process. 24 (2015) 1460–1470: r, g, b, √(rg), √(gb), √(rb).

use colour::{Bands, Lab, Weights, Xyz};

/// Six weights for each of X, Y and Z.
pub(crate) struct RootPolynomial([[f64; 6]; 3]);

impl RootPolynomial {
    /// Fitted to patches of known reflectance.
    pub(crate) fn fit(patches: &[(Bands, [f64; 3])]) -> Self {
        let weights = Weights::reference();
        let mut table = [[0.0; 9]; 6];
        for (bands, rgb) in patches {
            let row = terms(*rgb);
            let Xyz { x, y, z } = weights.xyz(bands);
            for j in 0..6 {
                for k in 0..6 {
                    table[j][k] += row[j] * row[k];
                }
                for (k, value) in [x, y, z].into_iter().enumerate() {
                    table[j][6 + k] += row[j] * value;
                }
            }
        }
        // Gauss and Jordan with the largest pivot
        for j in 0..6 {
            let pivot = (j..6)
                .max_by(|a, b| table[*a][j].abs().total_cmp(&table[*b][j].abs()))
                .unwrap_or(j);
            table.swap(j, pivot);
            let lead = table[j][j];
            table[j].iter_mut().for_each(|v| *v /= lead);
            let from = table[j];
            for (k, row) in table.iter_mut().enumerate() {
                if k != j {
                    let part = row[j];
                    for (v, f) in row.iter_mut().zip(from) {
                        *v -= part * f;
                    }
                }
            }
        }
        Self(std::array::from_fn(|c| std::array::from_fn(|j| table[j][6 + c])))
    }

    /// Lab D65/10° of a reading.
    pub(crate) fn lab(&self, rgb: [f64; 3]) -> Lab {
        let row = terms(rgb);
        let [x, y, z] = self.0.map(|w| w.iter().zip(row).map(|(a, b)| a * b).sum::<f64>());
        Xyz { x, y, z }.to_lab(Weights::reference().white())
    }
}

fn terms([r, g, b]: [f64; 3]) -> [f64; 6] {
    let root = |v: f64| v.max(0.0).sqrt();
    [r, g, b, root(r * g), root(g * b), root(r * b)]
}
