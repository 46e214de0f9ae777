//! Sets of dyes in order: how many, which comes at a place, and at what place one stands.
//!
//! Sets of one size are ordered as words in a dictionary (0 1 2, 0 1 3, … 1 2 3, …), so a place is a
//! number and the subsets of a set can be looked up without a table of sets.

/// The number of sets of `size` out of `dyes`.
pub(super) fn count(dyes: usize, size: usize) -> usize {
    if size > dyes {
        return 0;
    }
    (0..size).fold(1, |all, i| all * (dyes - i) / (i + 1))
}

/// Sets of N out of `dyes` from place `from` on.
pub(super) fn from_place<const N: usize>(dyes: usize, from: usize) -> Walk<N> {
    let mut set = [0; N];
    let mut left = from;
    let mut dye = 0;
    for (i, slot) in set.iter_mut().enumerate() {
        while dye < dyes {
            let with = count(dyes - dye - 1, N - i - 1);
            if left < with {
                break;
            }
            left -= with;
            dye += 1;
        }
        *slot = dye;
        dye += 1;
    }
    Walk { set, dyes }
}

/// Walks the sets in order, without end checks of its own: take as many as there are.
pub(super) struct Walk<const N: usize> {
    set: [usize; N],
    dyes: usize,
}

impl<const N: usize> Iterator for Walk<N> {
    type Item = [usize; N];

    fn next(&mut self) -> Option<[usize; N]> {
        let now = self.set;
        if N == 0 || now[N - 1] >= self.dyes {
            return None;
        }
        let last = (0..N).rev().find(|i| self.set[*i] + (N - i) < self.dyes);
        match last {
            Some(i) => {
                let dye = self.set[i] + 1;
                for (step, slot) in self.set[i..].iter_mut().enumerate() {
                    *slot = dye + step;
                }
            }
            None => self.set[N - 1] = self.dyes,
        }
        Some(now)
    }
}

/// Where a set stands among the sets of its size, by adding up a small table.
pub(super) struct Places {
    /// `after[k][dye]`: sets of k out of the dyes after `dye`.
    after: Vec<Vec<usize>>,
    total: Vec<usize>,
}

impl Places {
    pub(super) fn new(dyes: usize, most: usize) -> Self {
        let after = (0..=most).map(|k| (0..dyes).map(|d| count(dyes - d - 1, k)).collect());
        let total = (0..=most).map(|k| count(dyes, k)).collect();
        Self { after: after.collect(), total }
    }

    /// The place of `set` (ascending) among the sets of its size: all, less those that come after.
    #[inline(always)]
    pub(super) fn of(&self, set: &[usize]) -> usize {
        let size = set.len();
        let behind: usize = set.iter().enumerate().map(|(i, dye)| self.after[size - i][*dye]).sum();
        self.total[size] - 1 - behind
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Checked by counting: every set once, in order, each at its own place.
    #[test]
    fn every_set_once_at_its_place() {
        let places = Places::new(9, 4);
        let all: Vec<[usize; 4]> = from_place(9, 0).collect();
        assert_eq!(all.len(), 126); // 9!/(4!·5!)
        assert!(all.is_sorted());
        for (place, set) in all.iter().enumerate() {
            assert!(set.is_sorted_by(|a, b| a < b) && set[3] < 9);
            assert_eq!(places.of(set), place);
            assert_eq!(from_place::<4>(9, place).next(), Some(*set));
        }
        assert_eq!(count(60, 4) + count(60, 3) + count(60, 2) + 60, 523_685);
        assert_eq!(from_place::<3>(2, 0).count(), 0);
    }
}
