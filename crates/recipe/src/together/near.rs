//! How near a cloth comes to any colour, asked often: a short shelf in place of the whole one.
//!
//! One look over the whole shelf finds the dyes that serve a piece at its target and around it; later
//! questions go to these alone. So what is called reachable always is (its doses are at hand); that
//! nothing nearer exists is not promised here.

use colour::{Lab, Weights, ciede2000};
use units::OnFibre;

use crate::cap::held;
use crate::engine::{self, Aim, Combo, LightAim, Palette, Settings};
use crate::setting::{doses, palette};
use crate::{Question, Refusal};

/// Most dyes on the short shelf: 8 make 162 sets of up to four.
const SHORT: usize = 8;
/// Sets of the whole shelf looked over; above it sets of three give way to pairs.
const LOOKED_OVER: usize = 6_000;
/// How many of the best sets have a say in which dyes serve.
const SAYING: usize = 24;

/// A piece's short shelf.
pub(super) struct Near<'a> {
    question: Question<'a>,
    /// The dyes of `question`, as places in the question as asked.
    places: Vec<usize>,
    candidates: Vec<crate::Candidate<'a>>,
    shelf: Palette,
    undyed: Lab,
}

/// A colour that the cloth can be brought to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reached {
    pub(super) lab: Lab,
    pub(super) doses: Vec<(usize, OnFibre)>,
}

impl<'a> Near<'a> {
    /// The dyes that serve best at the target, at the nearest colour to it, and at that colour made
    /// duller and brought half-way to the middle of the lightness scale.
    pub(super) fn of(question: &Question<'a>, target: Lab, alone: Lab) -> Result<Self, Refusal> {
        let whole = palette(question);
        let dyes = whole.shapes.len();
        let triples = dyes * dyes.saturating_sub(1) * dyes.saturating_sub(2) / 6;
        let size = if triples <= LOOKED_OVER { 3 } else { 2 };
        let duller = Lab::new((alone.l + 50.0) / 2.0, 0.6 * alone.a, 0.6 * alone.b);
        let mut says = vec![0.0; dyes];
        let settings = Settings { keep: SAYING, finish: 0, ..Settings::default() };
        let start = *question.target.bands.values();
        for (lab, most) in [(target, size), (duller, 2)] {
            if dyes <= SHORT {
                break;
            }
            let found = engine::search(&whole, &aim(lab, start), most, &settings, 1)
                .map_err(|e| Refusal::Engine(e.to_string()))?;
            for (rank, combo) in found.combos.iter().enumerate() {
                for dye in &combo.dyes[..usize::from(combo.n)] {
                    #[expect(clippy::cast_precision_loss, reason = "a few ranks")]
                    let say = 1.0 / (rank + 1) as f64;
                    says[usize::from(*dye)] += say;
                }
            }
        }
        let mut places: Vec<usize> = (0..dyes).collect();
        places.sort_by(|a, b| says[*b].total_cmp(&says[*a]).then(a.cmp(b)));
        places.truncate(SHORT);
        places.sort_unstable();
        let shelf = Palette {
            shapes: places.iter().map(|p| whole.shapes[*p]).collect(),
            most: places.iter().map(|p| whole.most[*p]).collect(),
            ..whole
        };
        let candidates = places.iter().map(|p| question.dyes[*p].clone()).collect();
        let undyed = Weights::reference().lab_of(&question.on.undyed());
        Ok(Self { question: question.clone(), places, candidates, shelf, undyed })
    }

    /// The nearest colour to an aim that the short shelf gives.
    pub(super) fn nearest(&self, lab: Lab) -> Result<Reached, Refusal> {
        let question = Question { dyes: &self.candidates, ..self.question.clone() };
        let goal = aim(lab, *question.target.bands.values());
        let broken = |e: engine::Unsearchable| Refusal::Engine(e.to_string());
        let settings = Settings { keep: KEPT, finish: KEPT, ..Settings::default() };
        let found = engine::search(&self.shelf, &goal, engine::MOST_DYES, &settings, 1);
        let mut best: Option<Combo> = None;
        for combo in found.map_err(broken)?.combos {
            let combo = held(&question, (&self.shelf, &goal), combo)?;
            if best.is_none_or(|b| combo.rms < b.rms) {
                best = Some(combo);
            }
        }
        let bare = Reached { lab: self.undyed, doses: vec![] };
        let Some(best) = best else { return Ok(bare) };
        let recipe: Vec<(usize, f64)> =
            (0..usize::from(best.n)).map(|i| (usize::from(best.dyes[i]), best.x[i])).collect();
        let reached = Weights::reference().lab_of(&engine::reflectance(&self.shelf, &recipe));
        if ciede2000(lab, self.undyed) < ciede2000(lab, reached) {
            return Ok(bare);
        }
        let doses = doses(&question, &best).into_iter().map(|(p, d)| (self.places[p], d)).collect();
        Ok(Reached { lab: reached, doses })
    }
}

/// How many of the best sets are finished; a limit on all dye together may turn their order.
const KEPT: usize = 4;

/// A bare colour as an aim under the reference light.
fn aim(lab: Lab, start: [f64; colour::BANDS]) -> Aim {
    let weights = Weights::reference();
    let white = weights.white();
    let light = LightAim {
        weights: *weights.rows(),
        white: [white.x, white.y, white.z],
        lab: [lab.l, lab.a, lab.b],
        share: 1.0,
    };
    Aim { lights: vec![light], start }
}
