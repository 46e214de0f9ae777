//! Spots in rows and columns: from one spot and two neighbours outwards, each next one where the last ones say it is.

use std::collections::BTreeMap;

use super::{map::Map, spots::Spot};

/// Spots by column and row.
#[derive(Debug, Clone)]
pub(super) struct Lattice {
    pub(super) cells: BTreeMap<[i32; 2], [f64; 2]>,
    pub(super) map: Map,
}

/// Neighbours that are tried as the next in a row.
const NEAREST: usize = 6;
/// Distance of a neighbour in sides of the spot: next to it, or, where edges are soft and gaps wide, further.
const NEXT: [f64; 2] = [1.02, 2.4];
/// A spot counts where it is expected within this share of the distance to its neighbour.
const OFF: f64 = 0.22;
/// Fewest spots that make a lattice.
pub(super) const FEWEST: usize = 8;

/// Every lattice there is, the largest first.
pub(super) fn lattices(spots: &[Spot], most: usize) -> Vec<Lattice> {
    let grid = Near::of(spots);
    let mut taken = vec![0_usize; spots.len()];
    let mut found: Vec<Lattice> = Vec::new();
    for (n, spot) in spots.iter().enumerate() {
        if taken[n] >= 10 {
            continue;
        }
        let mut around: Vec<(f64, usize, [f64; 2])> = grid
            .about(spot.middle, 4.0 * spot.area.sqrt())
            .filter(|k| *k != n && spot.is_like(&spots[*k]))
            .map(|k| {
                let to = spot.away(spots[k].middle);
                (to[0].hypot(to[1]), k, to)
            })
            .filter(|(far, ..)| (NEXT[0]..NEXT[1]).contains(far))
            .collect();
        around.sort_by(|a, b| a.0.total_cmp(&b.0));
        around.truncate(NEAREST);
        let mut best: Option<(Lattice, Vec<usize>)> = None;
        for (i, (far, one, to)) in around.iter().enumerate() {
            for (beyond, two, across) in &around[i + 1..] {
                let cosine = (to[0] * across[0] + to[1] * across[1]) / (far * beyond);
                if cosine.abs() > 0.4 || beyond / far > 1.4 {
                    continue;
                }
                let Some((lattice, members)) = grown(spots, &grid, [n, *one, *two]) else {
                    continue;
                };
                if best.as_ref().is_none_or(|(b, _)| lattice.cells.len() > b.cells.len()) {
                    best = Some((lattice, members));
                }
            }
        }
        if let Some((lattice, members)) = best {
            for member in &members {
                taken[*member] = taken[*member].max(members.len());
            }
            found.push(lattice);
        }
    }
    found.sort_by_key(|l| std::cmp::Reverse(l.cells.len()));
    found.truncate(most);
    found
}

fn grown(
    spots: &[Spot],
    grid: &Near,
    [origin, one, two]: [usize; 3],
) -> Option<(Lattice, Vec<usize>)> {
    let at = |n: usize| spots[n].middle;
    let [o, a, b] = [at(origin), at(one), at(two)];
    let (u, v) = ([a[0] - o[0], a[1] - o[1]], [b[0] - o[0], b[1] - o[1]]);
    let mut cells: BTreeMap<[i32; 2], usize> =
        BTreeMap::from([([0, 0], origin), ([1, 0], one), ([0, 1], two)]);
    if u[0] * v[1] - u[1] * v[0] < 0.0 {
        cells = BTreeMap::from([([0, 0], origin), ([0, 1], one), ([1, 0], two)]);
    }
    let mut map = flat(&cells, spots)?;
    for _ in 0..24 {
        let mut more: BTreeMap<[i32; 2], (f64, usize)> = BTreeMap::new();
        for cell in cells.keys() {
            for step in [[1, 0], [-1, 0], [0, 1], [0, -1]] {
                let next = [cell[0] + step[0], cell[1] + step[1]];
                if cells.contains_key(&next) || next[0].abs() > 30 || next[1].abs() > 30 {
                    continue;
                }
                let (here, there) = (map.at(point(*cell)), map.at(point(next)));
                let pitch = (here[0] - there[0]).hypot(here[1] - there[1]);
                if !pitch.is_finite() || pitch > 1e4 {
                    continue;
                }
                let nearest = grid
                    .about(there, OFF * pitch)
                    .filter(|k| spots[origin].is_like(&spots[*k]))
                    .map(|k| ((at(k)[0] - there[0]).hypot(at(k)[1] - there[1]) / pitch, k))
                    .filter(|(far, _)| *far < OFF)
                    .min_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((far, k)) = nearest
                    && more.get(&next).is_none_or(|m| far < m.0)
                {
                    more.insert(next, (far, k));
                }
            }
        }
        if more.is_empty() {
            break;
        }
        for (cell, (_, k)) in more {
            if !cells.values().any(|known| *known == k) {
                cells.insert(cell, k);
            }
        }
        map = fitted(&cells, spots).or_else(|| flat(&cells, spots))?;
    }
    if cells.len() < FEWEST {
        return None;
    }
    let map = fitted(&cells, spots)?;
    let members = cells.values().copied().collect();
    Some((
        Lattice { cells: cells.into_iter().map(|(c, k)| (c, spots[k].middle)).collect(), map },
        members,
    ))
}

/// A perspective, once enough of them stand in more than one row and column.
fn fitted(cells: &BTreeMap<[i32; 2], usize>, spots: &[Spot]) -> Option<Map> {
    let many = |k: usize| {
        let mut all: Vec<i32> = cells.keys().map(|c| c[k]).collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    };
    if cells.len() < 6 || many(0) < 2 || many(1) < 2 {
        return None;
    }
    let pairs: Vec<_> = cells.iter().map(|(c, k)| (point(*c), spots[*k].middle)).collect();
    Map::fitted(&pairs)
}

/// Without perspective: from the first three, as if every square were like the first.
fn flat(cells: &BTreeMap<[i32; 2], usize>, spots: &[Spot]) -> Option<Map> {
    let at = |c: [i32; 2]| cells.get(&c).map(|k| spots[*k].middle);
    let (o, a, b) = (at([0, 0])?, at([1, 0])?, at([0, 1])?);
    let far = [a[0] + b[0] - o[0], a[1] + b[1] - o[1]];
    Map::fitted(&[([0.0, 0.0], o), ([1.0, 0.0], a), ([0.0, 1.0], b), ([1.0, 1.0], far)])
}

pub(super) fn point(cell: [i32; 2]) -> [f64; 2] {
    [f64::from(cell[0]), f64::from(cell[1])]
}

/// Spots by where they are.
struct Near {
    side: f64,
    bins: BTreeMap<[i32; 2], Vec<usize>>,
    middles: Vec<[f64; 2]>,
}

impl Near {
    fn of(spots: &[Spot]) -> Self {
        let mut it = Self {
            side: 32.0,
            bins: BTreeMap::new(),
            middles: spots.iter().map(|s| s.middle).collect(),
        };
        for (n, spot) in spots.iter().enumerate() {
            it.bins.entry(it.bin(spot.middle)).or_default().push(n);
        }
        it
    }

    #[expect(clippy::cast_possible_truncation, reason = "places in a small picture")]
    fn bin(&self, [x, y]: [f64; 2]) -> [i32; 2] {
        [(x / self.side).floor() as i32, (y / self.side).floor() as i32]
    }

    fn about(&self, to: [f64; 2], reach: f64) -> impl Iterator<Item = usize> {
        let low = self.bin([to[0] - reach, to[1] - reach]);
        let high = self.bin([to[0] + reach, to[1] + reach]);
        (low[1]..=high[1])
            .flat_map(move |y| (low[0]..=high[0]).map(move |x| [x, y]))
            .filter_map(|b| self.bins.get(&b))
            .flatten()
            .copied()
            .filter(move |k| {
                let m = self.middles[*k];
                (m[0] - to[0]).abs() <= reach && (m[1] - to[1]).abs() <= reach
            })
    }
}
