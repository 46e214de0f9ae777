//! The score of a recipe: one figure in ΔE00, the sum of terms that each say why.
//!
//! | term | adds |
//! | --- | --- |
//! | worst light | the largest ΔE00 over the lights looked at |
//! | spread | half the root mean square spread of the dyed piece (dyes not known well, dosing, dyeing) |
//! | number of dyes | 0.1 for each dye after the first, 0.6 for a fourth (which is looked at only where it brings the worst light visibly nearer) |
//! | sensitivity | a quarter of the ΔE00 that a 10 % slip in one dose makes, the worst of them |
//! | weighability | 10 × what the worst dose scatters beyond 2 %, at most 1 |
//! | cost | 0.1 for each time the dyes cost as much again as the cheapest recipe's, at most 0.5 |
//!
//! Every weight is a judgement of ours, written here so that it can be argued with; half a unit of
//! ΔE00 is about what two people disagree on at arm's length. The lower score is the better recipe.

use colour::{BANDS, Weights, ciede2000};
use dyeing::absorbed;

use crate::setting::dosed;
use crate::{Choice, Question};

/// A score with its terms.
#[derive(Debug, Clone, PartialEq)]
pub struct Score {
    /// The sum.
    pub total: f64,
    /// What each thing added, in the order of the table above; terms that add nothing are left out.
    pub terms: Vec<Term>,
}

/// One reason.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Term {
    /// What it is about.
    pub what: &'static str,
    /// How much it adds, ΔE00.
    pub adds: f64,
}

impl Score {
    pub(crate) const ZERO: Self = Self { total: 0.0, terms: vec![] };

    /// Scores a recipe; `cheapest` is the least cost among its rivals.
    pub(crate) fn of(question: &Question, choice: &Choice, cheapest: Option<f64>) -> Self {
        let worst = choice.worst().map_or(0.0, |l| l.difference);
        let dyes = choice.doses.len();
        #[expect(clippy::cast_precision_loss, reason = "at most four dyes")]
        let after_first = dyes.saturating_sub(1) as f64;
        let fourth = if dyes > 3 { 0.5 } else { 0.0 };
        let cost = match (choice.cost, cheapest) {
            (Some(cost), Some(least)) if least > 0.0 => {
                (0.1 * (cost.to_amount() / least - 1.0)).clamp(0.0, 0.5)
            }
            _ => 0.0,
        };
        let terms = [
            ("worst light", worst),
            ("spread", 0.5 * choice.prediction.piece.rms()),
            ("number of dyes", 0.1 * after_first + fourth),
            ("sensitivity", 0.25 * slip(question, choice)),
            ("weighability", (10.0 * (choice.worst_dose - 0.02)).clamp(0.0, 1.0)),
            ("cost", cost),
        ];
        let terms: Vec<Term> = terms
            .into_iter()
            .filter(|(_, adds)| *adds > 0.0)
            .map(|(what, adds)| Term { what, adds })
            .collect();
        Self { total: terms.iter().map(|t| t.adds).sum(), terms }
    }
}

/// The largest ΔE00 that a 10 % slip in one dose makes.
fn slip(question: &Question, choice: &Choice) -> f64 {
    let light = Weights::reference();
    let recipe = dosed(question, &choice.doses);
    let sum = absorbed(question.on, &recipe);
    let mut worst: f64 = 0.0;
    for one in &recipe {
        let part = absorbed(question.on, std::slice::from_ref(one));
        let slipped: [f64; BANDS] = std::array::from_fn(|i| sum[i] + 0.1 * part[i]);
        let lab = light.lab_of(&question.on.dyed(&slipped));
        worst = worst.max(ciede2000(choice.prediction.lab, lab));
    }
    worst
}
