//! What is reckoned again and again of one dye: its absorption as believed, and a step along each doubt.
//!
//! A search looks at hundreds of recipes of the same dyes; the curves behind them do not change until the
//! belief does. They are reckoned once, kept with the mean they were reckoned for, and never taken for
//! another mean. Left out: cloth, doses, light.

use std::sync::{Arc, OnceLock};

use colour::BANDS;
use nalgebra::DVector;

use crate::Dye;

/// Step of the numerical derivatives, in the deviation's own unit (ln or nm) or relative amount.
pub(crate) const STEP: f64 = 1e-3;

/// K/S for 1 % fixed, and the depth (% owf) at which half of the low-depth yield is lost.
#[derive(Debug)]
pub(crate) struct Look {
    pub(crate) absorbs: [f64; BANDS],
    pub(crate) saturates_at: f64,
}

/// A dye as believed, and with each of its numbers [`STEP`] away from what is believed.
#[derive(Debug)]
pub(crate) struct Looks {
    mean: DVector<f64>,
    pub(crate) believed: Look,
    pub(crate) stepped: Vec<Look>,
}

impl Looks {
    fn of(dye: &Dye) -> Self {
        Self::with(dye, dye.belief.mean.clone())
    }

    /// As if this were believed of the dye.
    pub(crate) fn with(dye: &Dye, mean: DVector<f64>) -> Self {
        let look = |deviations: &DVector<f64>| Look {
            absorbs: dye.absorbs_at(deviations),
            saturates_at: dye.saturates_with(deviations),
        };
        let stepped = (0..mean.len()).map(|k| {
            let mut moved = mean.clone();
            moved[k] += STEP;
            look(&moved)
        });
        Self { believed: look(&mean), stepped: stepped.collect(), mean }
    }
}

/// The looks of one dye, once they were asked for; no part of what the dye is, so all are equal.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sight(OnceLock<Arc<Looks>>);

impl PartialEq for Sight {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Sight {
    /// The looks as believed now.
    pub(crate) fn of(&self, dye: &Dye) -> Arc<Looks> {
        let kept = self.0.get_or_init(|| Arc::new(Looks::of(dye)));
        if kept.mean == dye.belief.mean { kept.clone() } else { Arc::new(Looks::of(dye)) }
    }
}
