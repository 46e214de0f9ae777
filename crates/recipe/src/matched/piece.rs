//! One piece of a set made ready: how a recipe of it looks under every light, with slopes, and how far
//! from its own target it may go.
//!
//! Amounts are fixed dye, as in the search. Left out: the other pieces.

use colour::{BANDS, Light, Observer, Weights};
use units::OnFibre;

use crate::engine::{self, MOST_DYES, Palette};
use crate::setting::{doses, palette};
use crate::{Choice, Question, Refusal, Score};

/// A colour under one light: L*, a*, b*.
pub(super) type Lab3 = [f64; 3];

/// A piece that missed its tolerance alone may miss it by this much more in a set (ΔE00): a quarter of
/// what passes edge to edge, less than anybody sees at arm's length (judgement).
pub const SLACK: f64 = 0.25;

/// A dose may scatter this much (1 σ, relative) and still count as measured; more only where the
/// piece alone asks for more already. Dosing scatter of 5 % costs about half a unit of ΔE00.
const MEASURED: f64 = 0.05;
/// A dose that scatters more than this is a pinch and no measure, whatever the piece asks for alone.
const PINCH: f64 = 0.1;

/// The lights looked at: those the pieces are compared under first.
pub(super) struct Eyes {
    pub(super) lights: Vec<Light>,
    /// How many of them count between pieces.
    pub(super) pairs: usize,
    rows: Vec<[[f64; BANDS]; 3]>,
}

impl Eyes {
    pub(super) fn new(between: &[Light], questions: &[&Question]) -> Self {
        let mut lights: Vec<Light> = vec![];
        let mut add = |light: Light| {
            if !lights.contains(&light) {
                lights.push(light);
            }
            lights.len()
        };
        let mut pairs = between.iter().map(|light| add(*light)).max().unwrap_or(0);
        if pairs == 0 {
            pairs = add(Light::D65);
        }
        add(Light::D65);
        for light in questions.iter().flat_map(|q| q.lights) {
            add(*light);
        }
        let rows = lights.iter().map(|light| {
            let weights = Weights::of(*light, Observer::Ten);
            let white = weights.white();
            let mut rows = *weights.rows();
            for (row, white) in rows.iter_mut().zip([white.x, white.y, white.z]) {
                row.iter_mut().for_each(|w| *w /= white);
            }
            rows
        });
        let rows = rows.collect();
        Self { lights, pairs, rows }
    }

    /// The colour of a reflectance under every light.
    pub(super) fn labs(&self, bands: &[f64; BANDS]) -> Vec<Lab3> {
        let seen = |rows: &[[f64; BANDS]; 3]| {
            let f = [0, 1, 2].map(|c| curve(dot(&rows[c], bands)).0);
            [116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])]
        };
        self.rows.iter().map(seen).collect()
    }

    fn place(&self, light: Light) -> usize {
        self.lights.iter().position(|l| *l == light).unwrap_or(0)
    }
}

/// Amounts of up to four dyes, each with the least it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Recipe {
    pub(super) n: usize,
    pub(super) dyes: [usize; MOST_DYES],
    pub(super) x: [f64; MOST_DYES],
    pub(super) floor: [f64; MOST_DYES],
    /// Whether its amounts stay as they are.
    pub(super) held: bool,
}

impl Recipe {
    pub(super) const NONE: Self = Self {
        n: 0,
        dyes: [0; MOST_DYES],
        x: [0.0; MOST_DYES],
        floor: [0.0; MOST_DYES],
        held: false,
    };

    pub(super) fn of(pairs: &[(usize, f64)]) -> Self {
        let mut recipe = Self::NONE;
        for &(dye, x) in pairs.iter().take(MOST_DYES) {
            recipe.dyes[recipe.n] = dye;
            recipe.x[recipe.n] = x;
            recipe.n += 1;
        }
        recipe
    }

    /// The same dyes in the same amounts.
    pub(super) fn same(&self, other: &Self) -> bool {
        let parts = |r: &Self| (r.n, r.dyes, r.x);
        parts(self) == parts(other)
    }

    pub(super) fn without(&self, k: usize) -> Self {
        let mut left = Self::NONE;
        for i in (0..self.n).filter(|i| *i != k) {
            left.dyes[left.n] = self.dyes[i];
            left.x[left.n] = self.x[i];
            left.floor[left.n] = self.floor[i];
            left.n += 1;
        }
        left
    }

    /// The dyes in ascending order; places not used are the largest number.
    pub(super) fn set(&self) -> [usize; MOST_DYES] {
        let mut set = [usize::MAX; MOST_DYES];
        set[..self.n].copy_from_slice(&self.dyes[..self.n]);
        set.sort_unstable();
        set
    }
}

/// How far from its target a piece may be under one light.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bound {
    pub(super) light: usize,
    pub(super) target: Lab3,
    /// ΔE00; infinite where nothing is asked.
    pub(super) most: f64,
}

/// A piece made ready.
#[derive(Clone)]
pub(super) struct Ready<'a> {
    pub(super) question: &'a Question<'a>,
    pub(super) palette: Palette,
    absorbs: Vec<[f64; BANDS]>,
    pub(super) bounds: Vec<Bound>,
    pub(super) alone: Recipe,
    /// Places of the dyes that sets are made of, ascending.
    pub(super) short: Vec<usize>,
    /// The least fixed dye of each place that can be measured out; none when not even the most can.
    least: Vec<Option<f64>>,
    /// Largest relative scatter of a dose that still passes.
    pub(super) measured: f64,
    /// What the dyes cost alone, to compare costs with.
    pub(super) cheapest: Option<f64>,
}

/// A recipe as seen: its colour under every light, and the slopes in each dye.
#[derive(Clone)]
pub(super) struct Seen {
    pub(super) labs: Vec<Lab3>,
    pub(super) slopes: Vec<[Lab3; MOST_DYES]>,
}

impl<'a> Ready<'a> {
    pub(super) fn new(
        question: &'a Question<'a>,
        alone: Option<&Choice>,
        eyes: &Eyes,
    ) -> Result<Self, Refusal> {
        let palette = palette(question);
        let absorbs: Vec<_> = question.dyes.iter().map(|c| c.dye.absorbs()).collect();
        let mut recipe = Recipe::NONE;
        if let Some(choice) = alone {
            let known = choice.doses.iter().filter_map(|(place, dose)| {
                let candidate = question.dyes.get(*place)?;
                Some((*place, question.on.fixed(candidate.dye, *dose)))
            });
            let pairs: Vec<(usize, f64)> = known.collect();
            recipe = Recipe::of(&pairs);
        }
        let mut ready = Self {
            question,
            palette,
            absorbs,
            bounds: vec![],
            alone: recipe,
            short: vec![],
            least: vec![],
            measured: alone.map_or(MEASURED, |c| c.worst_dose.clamp(MEASURED, PINCH)),
            cheapest: alone.and_then(|c| c.cost).map(units::Money::to_amount),
        };
        // Amounts at the very top come back from doses a rounding above it.
        for i in 0..recipe.n {
            let most = &mut ready.palette.most[recipe.dyes[i]];
            *most = most.max(recipe.x[i]);
        }
        ready.least = (0..question.dyes.len()).map(|dye| ready.least_of(dye)).collect();
        let used = |dye: &usize| recipe.dyes[..recipe.n].contains(dye);
        let dyes = 0..question.dyes.len();
        ready.short = dyes.filter(|dye| ready.least[*dye].is_some() || used(dye)).collect();
        let target = eyes.labs(question.target.bands.values());
        let labs = eyes.labs(&ready.bands(&recipe));
        let mut lights = vec![Light::D65];
        lights.extend(question.lights.iter().filter(|l| **l != Light::D65));
        for light in lights {
            let at = eyes.place(light);
            let alone = engine::difference(target[at], labs[at]);
            let tolerance = question.tolerance;
            let most = if alone <= tolerance { tolerance } else { alone + SLACK };
            ready.bounds.push(Bound { light: at, target: target[at], most });
        }
        Ok(ready)
    }

    /// The same piece aiming elsewhere, as far away as need be.
    pub(super) fn freed(&self, target: &[Lab3]) -> Self {
        let mut freed = self.clone();
        for bound in &mut freed.bounds {
            *bound = Bound { target: target[bound.light], most: f64::INFINITY, ..*bound };
        }
        freed
    }

    /// The most fixed dye of a place.
    pub(super) fn most(&self, dye: usize) -> f64 {
        self.palette.most[dye]
    }

    /// The recipe with every amount at least what can be measured out, or what the piece has of it alone.
    pub(super) fn measurable(&self, recipe: &Recipe) -> Recipe {
        let mut raised = *recipe;
        for i in 0..recipe.n {
            let dye = recipe.dyes[i];
            let alone = (0..self.alone.n).find(|k| self.alone.dyes[*k] == dye);
            let alone = alone.map_or(f64::INFINITY, |k| self.alone.x[k]);
            raised.floor[i] =
                self.least[dye].unwrap_or(f64::INFINITY).min(alone).min(self.most(dye));
            raised.x[i] = recipe.x[i].max(raised.floor[i]);
        }
        raised
    }

    /// A dye is taken down from its most, a quarter at a time, until its dose scatters too much.
    fn least_of(&self, dye: usize) -> Option<f64> {
        const DOWN: f64 = 0.75;
        const STEPS: usize = 48;
        let mut least = None;
        let mut x = self.palette.most[dye];
        for _ in 0..STEPS {
            if self.scatter(dye, x) > self.measured {
                break;
            }
            least = Some(x);
            x *= DOWN;
        }
        least
    }

    /// Whether an amount can be measured out, or is at least what the piece has of that dye alone.
    pub(super) fn doseable(&self, dye: usize, x: f64) -> bool {
        let alone = (0..self.alone.n).find(|k| self.alone.dyes[*k] == dye);
        x > 0.0
            && (alone.is_some_and(|k| x >= self.alone.x[k] * (1.0 - 1e-9))
                || self.scatter(dye, x) <= self.measured)
    }

    /// The relative scatter of one amount as it would be measured out.
    fn scatter(&self, dye: usize, x: f64) -> f64 {
        let candidate = &self.question.dyes[dye];
        let Some(dose) = self.question.on.dose_for(candidate.dye, x) else { return f64::INFINITY };
        let want = dose * self.question.goods;
        dosing::relative_scatter(want, candidate.dye.form, self.question.kit, &candidate.rules)
    }

    pub(super) fn bands(&self, recipe: &Recipe) -> [f64; BANDS] {
        let absorbed = self.absorbed(recipe);
        std::array::from_fn(|band| self.question.on.seen(band, absorbed[band]).0)
    }

    pub(super) fn see(&self, recipe: &Recipe, eyes: &Eyes) -> Seen {
        let absorbed = self.absorbed(recipe);
        let seen: [(f64, f64); BANDS] =
            std::array::from_fn(|band| self.question.on.seen(band, absorbed[band]));
        let mut columns = [[0.0; BANDS]; MOST_DYES];
        for (column, dye) in columns.iter_mut().zip(&recipe.dyes[..recipe.n]) {
            for band in 0..BANDS {
                column[band] = seen[band].1 * self.absorbs[*dye][band];
            }
        }
        let mut labs = Vec::with_capacity(eyes.lights.len());
        let mut slopes = Vec::with_capacity(eyes.lights.len());
        let r = seen.map(|s| s.0);
        for rows in &eyes.rows {
            let f = [0, 1, 2].map(|c| curve(dot(&rows[c], &r)));
            labs.push([
                116.0 * f[1].0 - 16.0,
                500.0 * (f[0].0 - f[1].0),
                200.0 * (f[1].0 - f[2].0),
            ]);
            let mut by = [[0.0; 3]; MOST_DYES];
            for (by, column) in by.iter_mut().zip(&columns[..recipe.n]) {
                let d = [0, 1, 2].map(|c| f[c].1 * dot(&rows[c], column));
                *by = [116.0 * d[1], 500.0 * (d[0] - d[1]), 200.0 * (d[1] - d[2])];
            }
            slopes.push(by);
        }
        Seen { labs, slopes }
    }

    /// All dye as a share of what the bath is good for, with its slope in each; none without a limit.
    pub(super) fn crowding(&self, recipe: &Recipe) -> Option<(f64, [f64; MOST_DYES])> {
        let cap = self.question.most_total?.to_percent();
        let mut sum = 0.0;
        let mut slopes = [0.0; MOST_DYES];
        for (i, slope) in slopes.iter_mut().enumerate().take(recipe.n) {
            let dye = self.question.dyes[recipe.dyes[i]].dye;
            let pct = |x: f64| {
                self.question.on.dose_for(dye, x).map_or(f64::INFINITY, OnFibre::to_percent)
            };
            let (x, step) = (recipe.x[i], 1e-6 * self.most(recipe.dyes[i]).max(1e-9));
            let here = pct(x);
            sum += here;
            // Backwards, so that the step stays below the dye's most.
            let gained = if x > step { here - pct(x - step) } else { pct(step) };
            *slope = gained / (step * cap);
        }
        Some((sum / cap, slopes))
    }

    /// The recipe with everything that speaks for it.
    pub(super) fn choice(&self, recipe: &Recipe) -> Result<Choice, Refusal> {
        let mut combo =
            engine::Combo { dyes: [0; MOST_DYES], n: 0, finished: true, x: recipe.x, rms: 0.0 };
        for (slot, dye) in recipe.dyes[..recipe.n].iter().enumerate() {
            #[expect(clippy::cast_possible_truncation, reason = "at most 64 dyes in a question")]
            let number = *dye as u16;
            combo.dyes[slot] = number;
            combo.n += 1;
        }
        Choice::of(self.question, doses(self.question, &combo))
    }

    /// The same with its score.
    pub(super) fn proposed(&self, recipe: &Recipe) -> Result<Choice, Refusal> {
        let mut choice = self.choice(recipe)?;
        choice.score = Score::of(self.question, &choice, self.cheapest);
        Ok(choice)
    }

    fn absorbed(&self, recipe: &Recipe) -> [f64; BANDS] {
        let mut sum = [0.0; BANDS];
        for i in 0..recipe.n {
            for (sum, a) in sum.iter_mut().zip(&self.absorbs[recipe.dyes[i]]) {
                *sum += recipe.x[i] * a;
            }
        }
        sum
    }
}

/// (6/29)³ and what follows from it: the knee of CIELAB's f and its straight part.
const KNEE: f64 = 216.0 / 24_389.0;
const STRAIGHT: f64 = 841.0 / 108.0;

/// CIELAB's f and its slope.
fn curve(t: f64) -> (f64, f64) {
    if t <= KNEE {
        return (STRAIGHT * t + 4.0 / 29.0, STRAIGHT);
    }
    let root = libm::cbrt(t);
    (root, 1.0 / (3.0 * root * root))
}

fn dot(row: &[f64; BANDS], bands: &[f64; BANDS]) -> f64 {
    row.iter().zip(bands).map(|(w, r)| w * r).sum()
}
