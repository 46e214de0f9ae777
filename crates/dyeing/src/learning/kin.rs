//! Dyes as believed that still know what they were learnt with.
//!
//! A swatch of a mix narrows the mix before it narrows any one of its dyes. A dye handed out alone would
//! lose that; one handed out with its kin keeps it, and whoever predicts a recipe of such dyes gets the
//! spread of all of them together, without knowing of any swatch. Left out: means and colours, which are the
//! dyes' own.

use std::sync::Arc;

use colour::Weights;
use nalgebra::Matrix3;

use super::{Experience, InBath, Setting, Thought};
use crate::{Dosed, Dye, Knowledge, Scatter, Substrate};

/// All that was learnt, where it is thought of.
#[derive(Debug)]
struct Told {
    experience: Arc<Experience>,
    fibre: String,
    job: u64,
}

/// What a dye was learnt with; nothing for a dye that comes from no swatch. No part of what the dye is, so
/// all are equal.
#[derive(Debug, Clone, Default)]
pub(crate) struct Kin(Option<(Arc<Told>, usize)>);

impl PartialEq for Kin {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Experience {
    /// Every dye in stock as believed now on a fibre, with what it does in this job, in the order of the
    /// stock. Predictions of recipes of several of them reckon with what was learnt of them together. A dye
    /// is known by own swatches where one was dyed with it on this fibre.
    #[must_use]
    pub fn dyes(self: &Arc<Self>, fibre: &str, job: u64) -> Vec<Dye> {
        let told = Arc::new(Told { experience: Arc::clone(self), fibre: fibre.to_owned(), job });
        let here = self.fibres.iter().position(|f| f == fibre);
        let swatched = |place: usize| {
            self.dyeings.iter().any(|kept| Some(kept.fibre) == here && kept.holds(place))
        };
        (0..self.stock.len())
            .filter_map(|place| {
                let mut dye = self.dye_in_job(place, fibre, job)?;
                let before = self.stock[place].dye.knowledge;
                let at_least = if swatched(place) { Knowledge::Swatches } else { before };
                dye.knowledge = before.max(at_least);
                dye.kin = Kin(Some((Arc::clone(&told), place)));
                Some(dye)
            })
            .collect()
    }

    /// Whether a dye, or another lot of it, was dyed on this fibre.
    fn shown_on(&self, place: usize, fibre: &str) -> bool {
        let Some(here) = self.place_of(fibre) else { return false };
        let first = self.first_lot(place);
        let held = |kept: &super::gather::Kept| {
            kept.dyeing.bath.iter().any(|one| self.first_lot(one.dye) == first)
        };
        self.dyeings.iter().any(|kept| kept.fibre == here && held(kept))
    }

    /// Whether this is what is believed of a dye; a dye moved since is no kin any more.
    fn believes(&self, dye: &Dye, place: usize, fibre: &str) -> bool {
        let own = self.strand(place, fibre).map(|s| (s.at, s.len));
        match (own, self.stock.get(place)) {
            (Some((at, len)), _) => {
                let now = &dye.belief.mean;
                now.len() == len && self.mean.rows(at, len).iter().eq(now.iter())
            }
            (None, Some(stocked)) => stocked.dye.belief.mean == dye.belief.mean,
            (None, None) => false,
        }
    }
}

/// Covariances in Lab under one light, of the recipe and of the piece, where all its dyes were learnt
/// together; none where they were not, or none of them was dyed on this fibre. What dyes do in company is in doubt
/// there as it is before any swatch, and the spread of estimates leaves that out: reckoned in here alone it made what
/// other fibres taught look like a loss.
pub(crate) fn covariances(
    on: &Substrate,
    recipe: &[Dosed],
    scatter: Scatter,
    light: &'static Weights,
) -> Option<(Matrix3<f64>, Matrix3<f64>)> {
    let told = recipe.first()?.dye.kin.0.as_ref().map(|(told, _)| told)?;
    let bath: Vec<InBath> = recipe
        .iter()
        .map(|one| {
            let (same, place) = one.dye.kin.0.as_ref()?;
            let kin =
                Arc::ptr_eq(same, told) && told.experience.believes(one.dye, *place, &told.fibre);
            kin.then_some(InBath { dye: *place, dose: one.dose, scatter: one.scatter })
        })
        .collect::<Option<_>>()?;
    if !bath.iter().any(|b| told.experience.shown_on(b.dye, &told.fibre)) {
        return None;
    }
    let dyes: Vec<&Dye> = recipe.iter().map(|one| one.dye).collect();
    let setting = Setting { on, fibre: &told.fibre, job: told.job };
    let thought = Thought { setting, bath: &bath, scatter };
    let foretold = told.experience.foretell_of(&thought, &dyes, light);
    let of = |spread: crate::Spread| {
        let covariance = spread.covariance();
        Matrix3::from_fn(|i, j| covariance[i][j])
    };
    Some((of(foretold.recipe(0)), of(foretold.piece(0))))
}
