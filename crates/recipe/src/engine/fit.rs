//! Many small bounded least-squares problems at once: projected Levenberg–Marquardt in lanes.
//!
//! Each lane holds one set of N dyes at its own stage. A lane that has settled hands over its answer
//! and takes the next set, so no lane waits for another. No lane reads another, so an answer does
//! not depend on its neighbours, on the order, or on the number of threads, to the last bit.
//!
//! The method is Levenberg (1944) and Marquardt (1963) with the bounds kept by projection: a dye at a
//! bound that pulls outwards is held for the step, the rest take a damped Gauss–Newton step cut to
//! the bounds. A set has settled when a step gains less than `gain` of rms ΔE00, or when the
//! undamped model promises less than that. Left out: choosing the sets and their starts.

#![expect(clippy::needless_range_loop, reason = "matrices are read by index")]

use super::{
    BANDS,
    lane::Lane,
    law::BandLaw,
    view::{Columns, Seen, View},
};

/// First damping, the factors after a good and a bad step, and the range kept.
const DAMPING: f64 = 1e-3;
const EASE: f64 = 0.2;
const STIFFEN: f64 = 8.0;
const LEAST_DAMPING: f64 = 1e-7;
const MOST_DAMPING: f64 = 1e6;
/// Damping above which a small promised gain proves nothing.
const TRUSTED_DAMPING: f64 = 1e-2;
/// Keeps the matrix of a dye without effect from being singular.
const FLOOR: f64 = 1e-10;

/// One set to be solved: places of the dyes in the palette, and where to start.
#[derive(Clone, Copy, Debug)]
pub(super) struct Job<const N: usize> {
    pub(super) dyes: [u16; N],
    pub(super) start: [f64; N],
}

/// How a set ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    /// Settled.
    Settled,
    /// Given up at its start, as the settings asked.
    TooFar,
    /// All steps used.
    OutOfSteps,
}

/// The answer to a [`Job`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Answer<const N: usize> {
    pub(super) x: [f64; N],
    pub(super) rms: f64,
    pub(super) end: End,
}

/// When to stop.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    pub(super) steps: u32,
    pub(super) gain: f64,
    pub(super) too_far: f64,
}

/// The dyes a fit may use: K/S per unit of fixed dye, and the most of each.
pub(super) struct Dyes<'a> {
    pub(super) shapes: &'a [[f64; BANDS]],
    pub(super) most: &'a [f64],
}

/// Solves every job; answers in the order of the jobs.
pub(super) fn fit<L: Lane, B: BandLaw, const N: usize>(
    view: &View<L, B>,
    dyes: &Dyes<'_>,
    jobs: &[Job<N>],
    limits: &Limits,
) -> Vec<Answer<N>> {
    let mut answers = vec![Answer { x: [0.0; N], rms: f64::NAN, end: End::TooFar }; jobs.len()];
    if jobs.is_empty() {
        return answers;
    }
    let n = L::splat;
    let (zero, one) = (n(0.0), n(1.0));
    let gain = n(limits.gain);
    let enough = n(limits.gain * limits.gain);
    let too_far = n(limits.too_far);
    let steps = n(f64::from(limits.steps));
    let grain = n(L::GRAIN);

    let mut bench = Bench::<L, N>::new();
    for lane in 0..L::WIDTH {
        bench.load(lane, dyes, jobs);
    }
    while bench.busy > 0 {
        // A step of every lane; a fresh lane looks at its start first.
        let Bench { x, most, at, damping, fresh, .. } = bench;
        let none = L::splat(f64::INFINITY);
        let new = fresh.gt(zero);
        let held: [L::Mask; N] = std::array::from_fn(|i| {
            L::or(
                L::and(x[i].le(zero), at.slope[i].gt(zero)),
                L::and(most[i].le(x[i]), at.slope[i].lt(zero)),
            )
        });
        let step = solve(&at, &held, damping);
        let step: [L; N] = std::array::from_fn(|i| L::pick(new, zero, step[i]));
        let next: [L; N] = std::array::from_fn(|i| (x[i] + step[i]).max(zero).min(most[i]));
        // What the model promises were there no bounds: −g·s, never negative. The step as cut would
        // promise less, and a cut that promises nothing must stiffen, not stop.
        let mut promise = zero;
        for i in 0..N {
            promise = promise - at.slope[i] * step[i];
        }
        let root = at.square.sqrt();
        let hope = root - (at.square - promise).max(zero).sqrt();
        let flat = L::and(hope.lt(gain), L::and(damping.lt(n(TRUSTED_DAMPING)), fresh.le(zero)));
        let flat_bits = L::bits(flat);
        let mut done = flat_bits & bench.busy;
        if done != bench.busy {
            let seen = view.see(&bench.columns, next);
            // A flat lane keeps its place whatever its neighbours do.
            let before = L::pick(new, none, L::pick(flat, -one, at.square));
            let better = seen.square.le(before);
            let seen_root = seen.square.sqrt();
            let won = L::pick(new, none, root) - seen_root;
            let keep = |old: L, fresh: L| L::pick(better, fresh, old);
            let taken = bench.steps + one;
            let settled = L::or(
                L::and(better, L::or(won.lt(gain), seen.square.lt(enough))),
                L::or(n(MOST_DAMPING).lt(damping), L::and((-won).lt(grain), won.lt(zero))),
            );
            let far = L::and(new, too_far.lt(seen_root));
            let spent = steps.le(taken);
            for i in 0..N {
                bench.x[i] = keep(x[i], next[i]);
                bench.at.slope[i] = keep(at.slope[i], seen.slope[i]);
                for k in 0..=i {
                    bench.at.bend[i][k] = keep(at.bend[i][k], seen.bend[i][k]);
                }
            }
            bench.at.square = keep(at.square, seen.square);
            let eased = (damping * n(EASE)).max(n(LEAST_DAMPING));
            let other = L::pick(new, damping, damping * n(STIFFEN));
            bench.damping = L::pick(L::and(better, fresh.le(zero)), eased, other);
            bench.steps = L::pick(new, zero, taken);
            bench.fresh = zero;
            let (far, spent) = (L::bits(far), L::bits(spent) & !L::bits(new));
            bench.far = far;
            bench.spent = spent & !L::bits(settled) & !flat_bits;
            done |= (L::bits(settled) | far | spent) & bench.busy;
        }
        if done != 0 {
            for lane in 0..L::WIDTH {
                if done >> lane & 1 == 1 {
                    bench.unload(lane, &mut answers);
                    bench.load(lane, dyes, jobs);
                }
            }
        }
    }
    answers
}

/// The lanes at work.
struct Bench<L, const N: usize> {
    columns: Columns<L, N>,
    x: [L; N],
    most: [L; N],
    at: Seen<L, N>,
    damping: L,
    steps: L,
    fresh: L,
    /// Which job each lane holds, and the next one to hand out.
    jobs: [usize; 8],
    next: usize,
    busy: u32,
    far: u32,
    spent: u32,
}

impl<L: Lane, const N: usize> Bench<L, N> {
    fn new() -> Self {
        let zero = L::splat(0.0);
        Self {
            columns: [[zero; N]; BANDS],
            x: [zero; N],
            most: [zero; N],
            at: Seen { square: zero, slope: [zero; N], bend: [[zero; N]; N] },
            damping: L::splat(DAMPING),
            steps: zero,
            fresh: zero,
            jobs: [0; 8],
            next: 0,
            busy: 0,
            far: 0,
            spent: 0,
        }
    }

    /// Puts the next job in a lane, or marks the lane idle (it then repeats its last set unheard).
    fn load(&mut self, lane: usize, dyes: &Dyes<'_>, jobs: &[Job<N>]) {
        let bit = 1 << lane;
        let Some(job) = jobs.get(self.next) else {
            self.busy &= !bit;
            return;
        };
        self.jobs[lane] = self.next;
        self.next += 1;
        self.busy |= bit;
        for i in 0..N {
            let dye = usize::from(job.dyes[i]);
            for (column, a) in self.columns.iter_mut().zip(&dyes.shapes[dye]) {
                column[i].set(lane, *a);
            }
            self.most[i].set(lane, dyes.most[dye]);
            self.x[i].set(lane, job.start[i].max(0.0).min(dyes.most[dye]));
        }
        self.fresh.set(lane, 1.0);
        self.steps.set(lane, 0.0);
        self.damping.set(lane, DAMPING);
        self.far &= !bit;
        self.spent &= !bit;
    }

    fn unload(&self, lane: usize, answers: &mut [Answer<N>]) {
        let bit = 1 << lane;
        let end = match (self.far & bit, self.spent & bit) {
            (0, 0) => End::Settled,
            (0, _) => End::OutOfSteps,
            _ => End::TooFar,
        };
        answers[self.jobs[lane]] =
            Answer { x: self.x.map(|x| x.get(lane)), rms: self.at.square.sqrt().get(lane), end };
    }
}

/// The damped Gauss–Newton step with the held dyes left where they are: Cholesky, unrolled.
#[inline(always)]
fn solve<L: Lane, const N: usize>(at: &Seen<L, N>, held: &[L::Mask; N], damping: L) -> [L; N] {
    let (zero, one) = (L::splat(0.0), L::splat(1.0));
    let more = one + damping;
    let mut m = [[zero; N]; N];
    let mut inverse = [zero; N];
    let mut y = [zero; N];
    for i in 0..N {
        for k in 0..i {
            let mut v = L::pick(L::or(held[i], held[k]), zero, at.bend[i][k]);
            for p in 0..k {
                v = v - m[i][p] * m[k][p];
            }
            m[i][k] = v * inverse[k];
        }
        let mut v = L::pick(held[i], one, at.bend[i][i] * more + L::splat(FLOOR));
        let mut g = L::pick(held[i], zero, -at.slope[i]);
        for p in 0..i {
            v = v - m[i][p] * m[i][p];
            g = g - m[i][p] * y[p];
        }
        inverse[i] = one / v.max(L::splat(1e-14)).sqrt();
        y[i] = g * inverse[i];
    }
    for i in (0..N).rev() {
        for p in i + 1..N {
            y[i] = y[i] - m[p][i] * y[p];
        }
        y[i] = y[i] * inverse[i];
    }
    y
}
