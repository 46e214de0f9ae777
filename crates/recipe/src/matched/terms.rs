//! What a set is held to: the lights, what may pass, and what is near enough.
//!
//! Two ways. [`Terms::nearest`] asks for the smallest largest difference there is; recipes decide only
//! where differences are alike to a twentieth. [`Terms::to_dye`] is for pots: two dyeings of one recipe
//! differ, so that beyond a point a smaller difference on paper is bought with dyes and doses and seen by
//! nobody. Left out: how the answer is found (`solve`) and how recipes are made plainer (`settle`).

use colour::Light;

use crate::Refusal;

/// What a set is held to; all figures ΔE00 between two pieces in the light where they differ most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Terms<'a> {
    /// The lights the pieces are compared under (none: daylight alone).
    pub lights: &'a [Light],
    /// What may pass.
    pub passes: f64,
    /// Sets this near each other are alike: of these the plainest recipes are taken.
    pub alike: f64,
    /// A set within this is near enough: of all that are, the plainest recipes are taken.
    pub enough: f64,
    /// Pieces that are within this alone keep their recipes.
    pub keep: f64,
}

/// Largest differences this near each other (ΔE00) are alike, a tenth of what anybody sees edge to edge.
const TIE: f64 = 0.05;
/// The same for recipes that will be dyed: a sixth of what two dyeings of one recipe differ by in the
/// median (0.6, the house's numbers).
const TIE_DYED: f64 = 0.1;
/// Share of what passes that counts as well inside (judgement).
const WELL_INSIDE: f64 = 0.5;
/// Share of the scatter between two dyeings below which a difference adds next to nothing: squares add,
/// and a half of it makes the whole wider by an eighth.
const LOST_IN_SCATTER: f64 = 0.5;

impl<'a> Terms<'a> {
    /// As near as can be.
    #[must_use]
    pub const fn nearest(lights: &'a [Light], passes: f64) -> Self {
        Self { lights, passes, alike: TIE, enough: 0.0, keep: 0.0 }
    }

    /// As near as is worth dyeing, where two dyeings scatter by `scatter` (root mean square ΔE00). Pieces
    /// well inside what passes keep the recipes they have alone; others are brought together, and once
    /// they are both well inside and within half the scatter, plainer recipes count for more.
    #[must_use]
    pub fn to_dye(lights: &'a [Light], passes: f64, scatter: f64) -> Self {
        let keep = WELL_INSIDE * passes;
        let enough = keep.min(LOST_IN_SCATTER * scatter.max(0.0));
        Self { lights, passes, alike: TIE_DYED, enough, keep }
    }

    /// The largest difference that is as good as this one.
    pub(super) fn as_good_as(&self, largest: f64) -> f64 {
        (largest + self.alike).max(self.enough)
    }

    pub(super) fn check(&self) -> Result<(), Refusal> {
        if !(self.passes > 0.0 && self.passes <= 100.0) {
            let rule = "give a ΔE00 above 0 and at most 100, such as 1.5";
            let what = "what may pass between pieces";
            return Err(Refusal::Number { what, given: self.passes, rule });
        }
        for (what, given) in [
            ("what counts as alike between sets", self.alike),
            ("what is near enough between pieces", self.enough),
            ("what pieces may differ by and keep their recipes", self.keep),
        ] {
            if !(0.0..=100.0).contains(&given) {
                return Err(Refusal::Number { what, given, rule: "give a ΔE00 from 0 to 100" });
            }
        }
        Ok(())
    }
}
