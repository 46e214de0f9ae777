//! Every two members of a set beside each other: what is expected, and what two dyeings make of it.

use colour::{Lab, Light, ciede2000};
use dyeing::Spread;

use super::{Look, Standing};
use crate::document::PairSeen;
use crate::seen::print;

/// Every pair that has a look, the worst first.
pub(super) fn pairs(lights: &[Light], standing: &[Standing]) -> Vec<PairSeen> {
    let mut pairs = vec![];
    for (i, a) in standing.iter().enumerate() {
        for b in &standing[i + 1..] {
            pairs.extend(pair(lights, a, b));
        }
    }
    pairs.sort_by(|a, b| b.worst.total_cmp(&a.worst));
    pairs
}

fn pair(lights: &[Light], a: &Standing, b: &Standing) -> Option<PairSeen> {
    let (x, y) = (a.together.as_ref()?, b.together.as_ref()?);
    let after = apart(x, y);
    let worst = after.iter().copied().enumerate().max_by(|p, q| p.1.total_cmp(&q.1));
    let (at, worst) = worst.unwrap_or((0, 0.0));
    let alone = match (&a.alone, &b.alone) {
        (Some(x), Some(y)) => apart(x, y).into_iter().fold(0.0, f64::max),
        _ => worst,
    };
    let one_bath = a.bath.is_some() && a.bath == b.bath;
    let within = |all: bool| {
        let light = |at: usize| {
            let of = |member: &Standing, look: &Look| match member.scatter.get(at) {
                Some(s) if !one_bath => if all { &s.all } else { &s.dyeing }.around(look.labs[at]),
                _ => Spread::none(look.labs[at]),
            };
            of(a, x).apart_90(&of(b, y))
        };
        (0..lights.len()).map(light).fold(0.0, f64::max)
    };
    let assumed = a.assumed || b.assumed;
    let lamps = lights.iter().filter(|l| assumed && **l != Light::D65);
    Some(PairSeen {
        a: a.id.clone(),
        b: b.id.clone(),
        differences: after.iter().map(|d| print(*d, 2)).collect(),
        worst: print(worst, 2),
        light: lights.get(at).map_or("D65", |l| l.name()).to_owned(),
        alone: print(alone, 2),
        within90: print(within(false), 1),
        first90: print(within(true), 1),
        one_bath,
        assumed: lamps.map(|l| l.name().to_owned()).collect(),
    })
}

/// The largest difference between any two looks under any light.
pub(super) fn furthest(looks: &[&[Lab]]) -> f64 {
    let mut furthest: f64 = 0.0;
    for (i, a) in looks.iter().enumerate() {
        for b in &looks[i + 1..] {
            furthest = a.iter().zip(*b).map(|(a, b)| ciede2000(*a, *b)).fold(furthest, f64::max);
        }
    }
    furthest
}

fn apart(a: &Look, b: &Look) -> Vec<f64> {
    a.labs.iter().zip(&b.labs).map(|(a, b)| ciede2000(*a, *b)).collect()
}
