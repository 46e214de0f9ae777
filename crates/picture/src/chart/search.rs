//! The search for what happened to the numbers: how the light falls off, the camera's tone curve, and its response.
//!
//! A tone curve is walked to from the plain one in ever finer steps, each weighed by how likely camera, lamp and curve make
//! the patches; the likeliest stay beside each other with their weights. Left out: light that is bent (it wants the paper).

use super::{
    Chain, Patch, Row, Seen, Told,
    cloth::Belief,
    dot,
    response::{Case, Prepared, Response},
    slope::Slope,
    tone::Tone,
    weak::{WeakLight, beside_daylight},
};

/// The steps of the search for a tone curve: how far, and the finest.
const BEND_STEPS: [f64; 3] = [0.08, 0.03, 0.0125];
/// Most tone curves that are kept beside each other.
const KEPT: usize = 7;

/// One way in which the numbers may have come about.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    /// How likely.
    pub(super) weight: f64,
    /// The camera under its lamp.
    pub(super) response: Response,
    tone: Tone,
    scale: [f64; 3],
    slope: Slope,
}

impl Reading {
    /// A way that was drawn and not searched for, in even light.
    pub(super) const fn drawn(
        weight: f64,
        response: Response,
        tone: Tone,
        scale: [f64; 3],
    ) -> Self {
        Self { weight, response, tone, scale, slope: Slope::NONE }
    }

    /// The same at other scales of its channels.
    pub(super) fn scaled(self, scale: [f64; 3]) -> Self {
        Self { scale, ..self }
    }

    /// A reading as the response expects it: tone taken back, even light, each channel at its scale.
    pub(super) fn of(&self, seen: &Seen) -> [f64; 3] {
        let even = self.evened().of(seen);
        std::array::from_fn(|c| even[c] / self.scale[c])
    }

    /// Its tone and slope alone.
    pub(super) const fn evened(&self) -> Evened {
        Evened { tone: self.tone, slope: self.slope }
    }
}

/// What is taken back of a reading before colours are looked at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Evened {
    tone: Tone,
    slope: Slope,
}

impl Evened {
    /// Nothing but the paper.
    pub(super) const PLAIN: Self = Self { tone: Tone::PLAIN, slope: Slope::NONE };

    /// A reading so evened.
    pub(super) fn of(self, seen: &Seen) -> [f64; 3] {
        self.slope.undo(flat(seen, self.tone).0, seen.place)
    }
}

/// The patches, ready to be searched.
pub(super) struct Search<'a> {
    prepared: Prepared,
    taken: &'a [Patch],
    factors: &'a [Row],
    chain: Chain,
}

struct Tried {
    tone: Tone,
    scale: [f64; 3],
    slope: Slope,
    seen: Vec<[f64; 3]>,
    bonus: f64,
    best: f64,
}

impl<'a> Search<'a> {
    /// Of these patches and their reflectances.
    pub(super) fn of(taken: &'a [Patch], factors: &'a [Row], told: Told) -> Self {
        Self { prepared: Prepared::of(factors, told), taken, factors, chain: told.chain }
    }

    /// What is read in the light of the likeliest way beside what would be read in daylight.
    pub(super) fn light(&self, readings: &[Reading], belief: &Belief) -> Option<WeakLight> {
        beside_daylight(&self.prepared, &readings.first()?.response, self.factors, belief)
    }

    /// The likeliest ways, the likeliest first; their weights sum to one.
    pub(super) fn readings(&self) -> Option<Vec<Reading>> {
        let (first, cases) = self.tried(Tone::PLAIN, None, Slope::NONE)?;
        // light that falls off is found at the likeliest camera, twice, as each changes the other a little
        let mut slope = Slope::NONE;
        let mut cases = cases;
        let mut start = first;
        if self.taken.iter().all(|p| p.seen.paper.is_none() && p.seen.place.is_some()) {
            for _ in 0..3 {
                let response = self.prepared.learn(&start.seen, &cases)?;
                slope = slope.bettered(self.taken, &start.seen, &response);
                (start, cases) = self.tried(Tone::PLAIN, None, slope)?;
            }
        }
        if self.chain == Chain::Linear {
            let response = self.prepared.learn(&start.seen, &cases)?;
            let Tried { tone, scale, slope, .. } = start;
            return Some(vec![Reading { weight: 1.0, tone, scale, slope, response }]);
        }
        let likely: Vec<Case> = cases.iter().copied().take(LIKELY).collect();
        let mut tried = vec![start];
        for step in BEND_STEPS {
            self.around(step, &likely, slope, &mut tried)?;
        }
        // the finest steps weigh alike; coarse ones were on the way
        tried.sort_by(|a, b| b.best.total_cmp(&a.best));
        tried.truncate(KEPT);
        let top = tried.first()?.best;
        tried.retain(|t| t.best > top - 5.0);
        let mut readings = Vec::with_capacity(tried.len());
        for t in tried {
            let cases = self.prepared.weigh(&t.seen, None);
            let response = self.prepared.learn(&t.seen, &cases)?;
            let evidence = cases.first()?.evidence + t.bonus;
            let Tried { tone, scale, slope, .. } = t;
            readings.push(Reading { weight: evidence, tone, scale, slope, response });
        }
        readings.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        let best = readings.first()?.weight;
        for r in &mut readings {
            r.weight = colour::maths::exp(r.weight - best);
        }
        let total: f64 = readings.iter().map(|r| r.weight).sum();
        for r in &mut readings {
            r.weight /= total;
        }
        Some(readings)
    }

    /// Walks from the best tone so far in steps of one size until no neighbour is better.
    fn around(
        &self,
        step: f64,
        likely: &[Case],
        slope: Slope,
        tried: &mut Vec<Tried>,
    ) -> Option<()> {
        for _ in 0..6 {
            let best = tried.iter().max_by(|a, b| a.best.total_cmp(&b.best))?;
            let (tone, before) = (best.tone, best.best);
            for (bend, lift) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 0.5), (0.0, -0.5)] {
                let next = Tone { bend: tone.bend + step * bend, lift: tone.lift + step * lift };
                let known = tried.iter().any(|t| {
                    (t.tone.bend - next.bend).abs() < 1e-9 && (t.tone.lift - next.lift).abs() < 1e-9
                });
                if !known && next.bend.abs() <= 0.5 && next.lift.abs() <= 0.3 {
                    tried.push(self.tried(next, Some(likely), slope)?.0);
                }
            }
            let now = tried.iter().map(|t| t.best).fold(f64::MIN, f64::max);
            if now <= before {
                break;
            }
        }
        Some(())
    }

    fn tried(&self, tone: Tone, few: Option<&[Case]>, slope: Slope) -> Option<(Tried, Vec<Case>)> {
        let mut bonus = tone.belief();
        let mut seen: Vec<[f64; 3]> = Vec::with_capacity(self.taken.len());
        for patch in self.taken {
            let (rgb, stretch) = flat(&patch.seen, tone);
            bonus += stretch;
            seen.push(slope.undo(rgb, patch.seen.place));
        }
        let total: f64 = self.factors.iter().map(|f| f.iter().sum::<f64>() / 31.0).sum();
        let scale: [f64; 3] =
            std::array::from_fn(|c| (seen.iter().map(|s| s[c]).sum::<f64>() / total).max(1e-9));
        for rgb in &mut seen {
            for c in 0..3 {
                rgb[c] /= scale[c];
                bonus -= colour::maths::ln(scale[c]);
            }
        }
        let cases = self.prepared.weigh(&seen, few);
        let best = cases.first()?.evidence + bonus;
        Some((Tried { tone, scale, slope, seen, bonus, best }, cases))
    }
}

/// Lamps and roughnesses that the search for a tone curve goes on with.
const LIKELY: usize = 24;

/// Tone taken back and divided by the paper; and the logarithm of how far that stretched the readings.
fn flat(seen: &Seen, tone: Tone) -> ([f64; 3], f64) {
    let mut stretch = 0.0;
    let rgb = std::array::from_fn(|c| {
        let (value, slope) = tone.undo(seen.rgb[c]);
        stretch += colour::maths::ln(slope);
        seen.paper.map_or(value, |paper| {
            let paper = tone.undo(paper[c]).0.max(1e-6);
            stretch -= colour::maths::ln(paper);
            value / paper
        })
    });
    (rgb, stretch)
}

/// Root mean square of what the likeliest way leaves unexplained of the patches, in shares of white.
pub(super) fn misfit(readings: &[Reading], patches: &[Patch]) -> f64 {
    let Some(best) = readings.first() else { return f64::INFINITY };
    let (mut sum, mut count) = (0.0, 0.0);
    for patch in patches {
        let seen = best.of(&patch.seen);
        for (value, response) in seen.iter().zip(&best.response.mean) {
            let away = value - dot(response, patch.reflectance.values());
            sum += away * away;
            count += 1.0;
        }
    }
    let rms: f64 = sum / count;
    rms.sqrt()
}
