//! All sets of one size, in chunks that any thread may take.
//!
//! A chunk is a stretch of places; its answers depend on nothing but its places and the size before,
//! so the same sets get the same bits from one thread or from many. Left out: which sizes, and what
//! becomes of the best.

use wide::f32x4;

use super::{
    BANDS, MOST_DYES, Settings, Way,
    fit::{Dyes, End, Job, Limits, fit},
    lane::Lane,
    law::BandLaw,
    sets::{Places, from_place},
    start::Starts,
    view::{Columns, View},
};

/// Sets in a chunk.
pub(super) const CHUNK: usize = 2048;
/// Four bands each, the last one padded.
const QUARTERS: usize = BANDS.div_ceil(4);

/// 31 bands, four abreast, with a nought at the end.
pub(super) type Quads = [f32x4; QUARTERS];

/// What was found for all sets of one size, by place: where the next size starts from.
#[derive(Default)]
pub(super) struct Level {
    pub(super) rms: Vec<f32>,
    pub(super) x: Vec<[f32; MOST_DYES]>,
    /// Half the gradient of F in the K/S of each band, at the answer.
    pub(super) pull: Vec<Quads>,
}

/// A set's answer before it is finished.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rough {
    pub(super) rms: f32,
    pub(super) n: u8,
    pub(super) dyes: [u16; MOST_DYES],
    pub(super) x: [f32; MOST_DYES],
}

/// A chunk's best sets and its tallies.
#[derive(Default)]
pub(super) struct Yield {
    pub(super) best: Vec<Rough>,
    pub(super) idle: usize,
    pub(super) too_far: usize,
    pub(super) unsettled: usize,
}

/// Everything the chunks share.
pub(super) struct Shop<'a, B> {
    pub(super) view: &'a View<f32x4, B>,
    pub(super) dyes: Dyes<'a>,
    /// The dyes' K/S again, laid out for the pull.
    pub(super) quads: &'a [Quads],
    pub(super) starts: &'a Starts,
    pub(super) places: &'a Places,
    pub(super) settings: &'a Settings,
    /// Whether a further size will climb from this one.
    pub(super) more: bool,
}

/// Room for a chunk's part of the level.
pub(super) struct Part<'a> {
    pub(super) rms: &'a mut [f32],
    pub(super) x: &'a mut [[f32; MOST_DYES]],
    pub(super) pull: &'a mut [Quads],
}

/// Turns a row of bands into quads.
pub(super) fn quads(row: &[f64; BANDS]) -> Quads {
    let mut quads = [f32x4::splat(0.0); QUARTERS];
    for (band, value) in row.iter().enumerate() {
        quads[band / 4].set(band % 4, *value);
    }
    quads
}

impl<B: BandLaw> Shop<'_, B> {
    /// Answers `count` sets of N from place `from` on.
    pub(super) fn chunk<const N: usize>(
        &self,
        from: usize,
        count: usize,
        below: Option<&Level>,
        mut part: Option<Part<'_>>,
    ) -> Yield {
        let sets: Vec<[usize; N]> =
            from_place::<N>(self.dyes.shapes.len(), from).take(count).collect();
        let mut roughs = Vec::with_capacity(sets.len());
        let mut jobs = Vec::with_capacity(sets.len());
        let mut asked = Vec::with_capacity(sets.len());
        let mut out = Yield::default();
        let climb = below.filter(|_| N > 1 && self.settings.way == Way::Climb);
        if let Some(below) = climb {
            let hopeless = match self.settings.too_far {
                Some(far) if N == MOST_DYES => narrow(far),
                _ => f32::INFINITY,
            };
            let matched = narrow(<f32x4 as Lane>::GRAIN);
            for (at, set) in sets.iter().enumerate() {
                let (left, place) = self.best_subset(set, below);
                let rms = below.rms[place];
                let pull = inner(&below.pull[place], &self.quads[set[left]]);
                let mut x = [0.0; MOST_DYES];
                for i in 0..N - 1 {
                    x[i + usize::from(i >= left)] = below.x[place][i];
                }
                roughs.push(rough(set, rms, x));
                // No gain is possible from a subset that already matches, or at a point where the
                // further dye pulls away (the conditions of Karush, Kuhn and Tucker hold there).
                let idle = pull >= 0.0 || rms <= matched;
                if idle || rms > hopeless {
                    out.idle += usize::from(idle);
                    out.too_far += usize::from(!idle);
                    if let Some(part) = &mut part {
                        part.pull[at] = below.pull[place];
                    }
                } else {
                    asked.push(at);
                    jobs.push(job(set, std::array::from_fn(|i| f64::from(x[i]))));
                }
            }
        } else {
            let starts = self.starts.of::<f32x4, N>(&sets);
            for (at, (set, start)) in sets.iter().zip(starts).enumerate() {
                roughs.push(rough(set, f32::NAN, [0.0; MOST_DYES]));
                asked.push(at);
                jobs.push(job(set, start));
            }
        }
        let too_far = match self.settings.too_far {
            Some(far) if self.settings.way == Way::Afresh => far,
            _ => f64::INFINITY,
        };
        let limits = Limits { steps: self.settings.steps, gain: self.settings.gain, too_far };
        let answers = fit(self.view, &self.dyes, &jobs, &limits);
        for (at, answer) in asked.iter().zip(&answers) {
            roughs[*at].rms = narrow(answer.rms);
            for i in 0..N {
                roughs[*at].x[i] = narrow(answer.x[i]);
            }
            out.too_far += usize::from(answer.end == End::TooFar);
            out.unsettled += usize::from(answer.end == End::OutOfSteps);
        }
        if let Some(part) = part {
            for (at, rough) in roughs.iter().enumerate() {
                part.rms[at] = rough.rms;
                part.x[at] = rough.x;
            }
            if self.more {
                self.pulls::<N>(&roughs, &asked, part.pull);
            }
        }
        if !self.settings.list_idle {
            roughs.retain(|rough| rough.x[..N].iter().all(|x| *x > 0.0));
        }
        keep_best(&mut roughs, self.settings.keep);
        out.best = roughs;
        out
    }

    /// The best subset with one dye fewer: which slot is left out, and its place.
    #[inline(always)]
    fn best_subset<const N: usize>(&self, set: &[usize; N], below: &Level) -> (usize, usize) {
        let mut best = (0, 0);
        let mut least = f32::INFINITY;
        for left in (0..N).rev() {
            let mut subset = [0; MOST_DYES];
            for i in 0..N - 1 {
                subset[i] = set[i + usize::from(i >= left)];
            }
            let place = self.places.of(&subset[..N - 1]);
            if below.rms[place] < least {
                least = below.rms[place];
                best = (left, place);
            }
        }
        best
    }

    /// The pull of the bands for the sets that were solved.
    fn pulls<const N: usize>(&self, roughs: &[Rough], asked: &[usize], out: &mut [Quads]) {
        for few in asked.chunks(f32x4::WIDTH) {
            let zero = f32x4::splat(0.0);
            let mut columns: Columns<f32x4, N> = [[zero; N]; BANDS];
            let mut x = [zero; N];
            for (lane, at) in few.iter().enumerate() {
                let rough = &roughs[*at];
                for i in 0..N {
                    x[i].set(lane, f64::from(rough.x[i]));
                    let shape = &self.dyes.shapes[usize::from(rough.dyes[i])];
                    for (column, a) in columns.iter_mut().zip(shape) {
                        column[i].set(lane, *a);
                    }
                }
            }
            let pull = self.view.pull(&columns, x);
            for (lane, at) in few.iter().enumerate() {
                let mut quads = [zero; QUARTERS];
                for (band, p) in pull.iter().enumerate() {
                    quads[band / 4].as_mut_array()[band % 4] = p.as_array()[lane];
                }
                out[*at] = quads;
            }
        }
    }
}

/// Best first: by rms, then fewer dyes, then dictionary order.
pub(super) fn order(a: &Rough, b: &Rough) -> std::cmp::Ordering {
    a.rms.total_cmp(&b.rms).then(a.n.cmp(&b.n)).then(a.dyes.cmp(&b.dyes))
}

/// Leaves the `keep` best, unordered.
pub(super) fn keep_best(roughs: &mut Vec<Rough>, keep: usize) {
    if keep < roughs.len() {
        if keep > 0 {
            roughs.select_nth_unstable_by(keep - 1, order);
        }
        roughs.truncate(keep);
    }
}

fn rough<const N: usize>(set: &[usize; N], rms: f32, x: [f32; MOST_DYES]) -> Rough {
    let mut dyes = [0; MOST_DYES];
    dyes[..N].copy_from_slice(&numbers(set));
    #[expect(clippy::cast_possible_truncation, reason = "N is at most 4")]
    Rough { rms, n: N as u8, dyes, x }
}

fn job<const N: usize>(set: &[usize; N], start: [f64; N]) -> Job<N> {
    Job { dyes: numbers(set), start }
}

#[expect(clippy::cast_possible_truncation, reason = "a palette has at most 60 000 dyes")]
fn numbers<const N: usize>(set: &[usize; N]) -> [u16; N] {
    set.map(|dye| dye as u16)
}

#[expect(clippy::cast_possible_truncation, reason = "the narrow width is meant")]
fn narrow(value: f64) -> f32 {
    value as f32
}

/// Σ a·b in a fixed order.
#[inline(always)]
fn inner(a: &Quads, b: &Quads) -> f32 {
    let mut sum = a[0] * b[0];
    for i in 1..QUARTERS {
        sum += a[i] * b[i];
    }
    let [p, q, r, s] = *sum.as_array();
    (p + q) + (r + s)
}
