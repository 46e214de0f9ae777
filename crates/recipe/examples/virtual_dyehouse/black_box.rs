//! A rival without any model of dyeing: Bayesian optimisation over the doses of the first recipe's dyes.
//!
//! L*, a* and b* are each a Gaussian process over the logarithms of the doses (squared exponential kernel;
//! Rasmussen and Williams, "Gaussian Processes for Machine Learning", 2006, algorithm 2.1), with the
//! first reading as their mean. The next swatch has the largest expected improvement of the distance to the
//! target (Jones, Schonlau and Welch, 1998), over a fixed cloud of points; the recipe it stands by has
//! the least expected squared distance.

use colour::Lab;
use nalgebra::{DMatrix, DVector, Vector3};
use units::OnFibre;

use crate::model::{first_match, vector};
use crate::strategy::{Doses, Fault, Strategy, Swatch, Told};

/// How much L*, a*, b* vary over the region looked at, 1 σ (judgement: a dose twice as large moves
/// a mid shade by about as much).
const SIGMA: f64 = 10.0;
/// How far apart doses are when they tell little of each other, in ln dose (judgement).
const LENGTH: f64 = 1.0;
/// Furthest a dose goes from the first recipe: this factor either way.
const FURTHEST: f64 = 2.5;
/// Points of the cloud.
const POINTS: u32 = 400;
/// Draws for one expected improvement.
const DRAWS: u32 = 48;

struct BlackBox<'a> {
    told: &'a Told<'a>,
    first: Doses,
    /// ln (dose / first dose) of every swatch read, and the colour.
    tried: Vec<(Vec<f64>, Vector3<f64>)>,
}

/// Opens it on a piece.
pub(crate) fn open<'a>(told: &'a Told<'a>) -> Result<Box<dyn Strategy + 'a>, Fault> {
    let first = first_match(told)?;
    Ok(Box::new(BlackBox { told, first, tried: Vec::new() }))
}

impl Strategy for BlackBox<'_> {
    fn propose(&mut self) -> Result<Doses, Fault> {
        let Some(belief) = self.belief() else { return Ok(self.first.clone()) };
        let target = vector(self.told.lab);
        let loss = |point: &Vec<f64>| {
            let (mean, variance) = belief.at(point);
            (mean - target).norm_squared() + 3.0 * variance
        };
        self.least(loss)
    }

    fn swatch(&mut self) -> Result<Doses, Fault> {
        let Some(belief) = self.belief() else { return Ok(self.first.clone()) };
        let target = vector(self.told.lab);
        let best = self.tried.iter().map(|t| (t.1 - target).norm()).fold(f64::INFINITY, f64::min);
        let improvement = |point: &Vec<f64>| {
            let (mean, variance) = belief.at(point);
            let spread = variance.sqrt();
            let gain = |draw: u32| {
                let away = Vector3::from(normals(draw)) * spread;
                (best - (mean + away - target).norm()).max(0.0)
            };
            -(1..=DRAWS).map(gain).sum::<f64>()
        };
        self.least(improvement)
    }

    fn see(&mut self, swatch: &Swatch) -> Result<(), Fault> {
        if swatch.teaches() {
            let ln = |(tried, first): (&(usize, OnFibre), &(usize, OnFibre))| {
                (tried.1.to_percent() / first.1.to_percent().max(1e-9)).max(1e-9).ln()
            };
            let at = swatch.doses.iter().zip(&self.first).map(ln).collect();
            let Lab { l, a, b } = swatch.reading.lab;
            self.tried.push((at, Vector3::new(l, a, b)));
        }
        Ok(())
    }
}

impl BlackBox<'_> {
    /// The recipe of the point of the cloud, or tried before, with the least of something.
    fn least(&self, of: impl Fn(&Vec<f64>) -> f64) -> Result<Doses, Fault> {
        let dyes = self.first.len();
        let cloud = (1..=POINTS).map(|n| {
            let ln = FURTHEST.ln();
            (0..dyes).map(|k| ln * (2.0 * halton(n, PRIMES[k % 3]) - 1.0)).collect::<Vec<f64>>()
        });
        let all = self.tried.iter().map(|t| t.0.clone()).chain(cloud);
        let best = all.map(|p| (of(&p), p)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some((_, point)) = best else { return Ok(self.first.clone()) };
        let dose = |(&(place, dose), ln): (&(usize, OnFibre), &f64)| -> Result<_, Fault> {
            let most = self.told.known[place].most.to_percent();
            Ok((place, OnFibre::try_percent((dose.to_percent() * ln.exp()).min(most))?))
        };
        self.first.iter().zip(&point).map(dose).collect()
    }

    fn belief(&self) -> Option<Process> {
        let (first, rest) = self.tried.split_first()?;
        let noise = self.told.reading * self.told.reading / 2.0 + 0.25;
        let points: Vec<Vec<f64>> = self.tried.iter().map(|t| t.0.clone()).collect();
        let mut gram =
            DMatrix::from_fn(points.len(), points.len(), |i, j| kernel(&points[i], &points[j]));
        for i in 0..points.len() {
            gram[(i, i)] += noise;
        }
        let inverse = gram.cholesky()?.inverse();
        let mut off = DMatrix::zeros(points.len(), 3);
        for (i, (_, lab)) in rest.iter().enumerate() {
            off.row_mut(i + 1).copy_from(&(lab - first.1).transpose());
        }
        let weights = &inverse * off;
        Some(Process { points, mean: first.1, inverse, weights })
    }
}

/// What is believed of all three coordinates after some points.
struct Process {
    points: Vec<Vec<f64>>,
    mean: Vector3<f64>,
    inverse: DMatrix<f64>,
    weights: DMatrix<f64>,
}

impl Process {
    /// Mean, and the variance of each coordinate.
    fn at(&self, point: &[f64]) -> (Vector3<f64>, f64) {
        let near =
            DVector::from_iterator(self.points.len(), self.points.iter().map(|p| kernel(p, point)));
        let moved = self.weights.transpose() * &near;
        let variance = SIGMA * SIGMA - (&self.inverse * &near).dot(&near);
        (self.mean + Vector3::new(moved[0], moved[1], moved[2]), variance.max(0.0))
    }
}

fn kernel(a: &[f64], b: &[f64]) -> f64 {
    let squared: f64 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
    SIGMA * SIGMA * (-0.5 * squared / (LENGTH * LENGTH)).exp()
}

const PRIMES: [u32; 3] = [2, 3, 5];

/// The Halton sequence: even in 0 to 1, without any chance.
fn halton(mut n: u32, base: u32) -> f64 {
    let (mut place, mut at) = (1.0, 0.0);
    while n > 0 {
        place /= f64::from(base);
        at += place * f64::from(n % base);
        n /= base;
    }
    at
}

/// Three standard normal deviates of a fixed sequence, by Box and Muller's transform.
fn normals(n: u32) -> [f64; 3] {
    let even = [2, 3, 5, 7].map(|base| halton(n, base));
    let far = |u: f64| (-2.0 * u.max(1e-9).ln()).sqrt();
    let turn = std::f64::consts::TAU;
    let (a, b) = (far(even[0]), far(even[2]));
    [a * (turn * even[1]).cos(), a * (turn * even[1]).sin(), b * (turn * even[3]).cos()]
}
