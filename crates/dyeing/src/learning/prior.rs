//! What is believed of all strands before any swatch: how strands of one dye hang together.

use nalgebra::{DMatrix, DVector};

use super::company::{COMPANY_ALIKE, Tie, Tied};
use super::{Experience, FIBRES_ALIKE, LOT, Strand};
use crate::Refusal;

/// Mean and precision over all deviations.
pub(super) struct Prior {
    pub(super) mean: DVector<f64>,
    pub(super) precision: DMatrix<f64>,
}

impl Experience {
    /// The dye that this place is, or is another lot of.
    pub(super) fn first_lot(&self, dye: usize) -> usize {
        self.stock[dye].lot_of.unwrap_or(dye)
    }

    /// Makes a strand for this dye on this fibre, and for every lot of it on every fibre there is:
    /// what is learnt of one is then learnt of all.
    pub(super) fn add_strands(&mut self, dye: usize, fibre: usize) {
        let first = self.first_lot(dye);
        let lots: Vec<usize> =
            (0..self.stock.len()).filter(|&d| self.first_lot(d) == first).collect();
        let fibres: Vec<usize> =
            (0..self.fibres.len()).chain((fibre >= self.fibres.len()).then_some(fibre)).collect();
        for &dye in &lots {
            for &fibre in &fibres {
                if self.strands.iter().any(|s| s.dye == dye && s.fibre == fibre) {
                    continue;
                }
                let (at, len) = (self.mean.len(), self.stock[dye].dye.belief.len());
                self.strands.push(Strand { dye, fibre, at, len });
                let belief = &self.stock[dye].dye.belief;
                let mean: Vec<f64> = self.mean.iter().chain(belief.mean.iter()).copied().collect();
                self.mean = DVector::from_vec(mean);
            }
        }
        for &fibre in &fibres {
            for tie in self.ties_of(std::iter::once(first)) {
                if self.tie(tie, fibre).is_none() {
                    let at = self.mean.len();
                    self.ties.push(Tied { tie, fibre, at });
                    self.mean = self.mean.clone().push(0.0);
                }
            }
        }
    }

    /// The prior of all strands; strands of unlike dyes know nothing of each other.
    pub(super) fn prior(&self) -> Result<Prior, Refusal> {
        let size = self.mean.len();
        let mut mean = DVector::zeros(size);
        let mut precision = DMatrix::zeros(size, size);
        let mut firsts: Vec<usize> = self.strands.iter().map(|s| self.first_lot(s.dye)).collect();
        firsts.sort_unstable();
        firsts.dedup();
        for first in firsts {
            let kin: Vec<Strand> =
                self.strands.iter().filter(|s| self.first_lot(s.dye) == first).copied().collect();
            let block = self.kin_covariance(&kin);
            let inverse = block.cholesky().map(|c| c.inverse());
            let inverse = inverse.ok_or_else(|| Refusal::NotThisDye {
                id: self.stock[first].dye.id.clone(),
                why: "its numbers leave nothing to learn".to_owned(),
            })?;
            let places: Vec<usize> = kin.iter().flat_map(|s| s.at..s.at + s.len).collect();
            for (i, &a) in places.iter().enumerate() {
                for (j, &b) in places.iter().enumerate() {
                    precision[(a, b)] = inverse[(i, j)];
                }
            }
            for strand in &kin {
                let belief = &self.stock[strand.dye].dye.belief;
                mean.rows_mut(strand.at, strand.len).copy_from(&belief.mean);
            }
        }
        self.prior_of_ties(&mut precision)?;
        Ok(Prior { mean, precision })
    }

    /// Ties are normal deviates; alike on two fibres as far as fibres are.
    fn prior_of_ties(&self, precision: &mut DMatrix<f64>) -> Result<(), Refusal> {
        let mut kinds: Vec<Tie> = self.ties.iter().map(|t| t.tie).collect();
        kinds.sort_unstable();
        kinds.dedup();
        for kind in kinds {
            let at: Vec<usize> = self.ties.iter().filter(|t| t.tie == kind).map(|t| t.at).collect();
            let block =
                DMatrix::from_fn(
                    at.len(),
                    at.len(),
                    |i, j| {
                        if i == j { 1.0 } else { COMPANY_ALIKE }
                    },
                );
            let inverse = block.cholesky().ok_or(Refusal::CannotLearn)?.inverse();
            for (i, &a) in at.iter().enumerate() {
                for (j, &b) in at.iter().enumerate() {
                    precision[(a, b)] = inverse[(i, j)];
                }
            }
        }
        Ok(())
    }

    fn kin_covariance(&self, kin: &[Strand]) -> DMatrix<f64> {
        let size = kin.iter().map(|s| s.len).sum();
        let mut block = DMatrix::zeros(size, size);
        let mut row = 0;
        for a in kin {
            let mut column = 0;
            for b in kin {
                let alike = if a.fibre == b.fibre { 1.0 } else { FIBRES_ALIKE };
                let belief = &self.stock[self.first_lot(a.dye)].dye.belief;
                let mut shared = &belief.covariance * alike;
                if a.dye == b.dye && self.stock[a.dye].lot_of.is_some() {
                    let strength = colour::maths::ln(LOT.0);
                    shared[(0, 0)] += strength * strength;
                    shared[(2, 2)] += LOT.1 * LOT.1;
                    // A lot differs a little in everything, or it could not be told from the first.
                    for k in 0..a.len {
                        shared[(k, k)] += 1e-3 * belief.covariance[(k, k)];
                    }
                }
                if a.dye == b.dye && a.fibre == b.fibre {
                    // Keeps the block invertible where a dye is known without doubt.
                    for k in 0..a.len {
                        shared[(k, k)] += 1e-9;
                    }
                }
                block.view_mut((row, column), (a.len, b.len)).copy_from(&shared);
                column += b.len;
            }
            row += a.len;
        }
        block
    }
}
