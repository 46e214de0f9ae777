//! The luck of every swatch, as standard deviates: drawn from a seed, or given one by one.

use std::collections::BTreeMap;

use crate::dice::Dice;

/// What a deviate is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// How one dye was measured out.
    Dose,
    /// How much of one dye was fixed.
    Each,
    /// How much of all dyes was fixed.
    Common,
    /// The bias of a job's readings: three, roughly along L*, a*, b*.
    Bias,
    /// What is new at a reading: three.
    New,
}

impl What {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::Dose, Self::Each, Self::Common, Self::Bias, Self::New];

    /// As written in a file.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dose => "dose",
            Self::Each => "each",
            Self::Common => "common",
            Self::Bias => "bias",
            Self::New => "new",
        }
    }
}

/// Which deviate: of a job, of one of its swatches, for one dye or axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Drawn {
    /// What for.
    pub what: What,
    /// The job.
    pub job: u64,
    /// The swatch of the job, from 1; 0 for a bias, which all its swatches share.
    pub swatch: u32,
    /// Place of the dye on the shelf, or 0, 1, 2 for the axes of a reading; 0 for `Common`.
    pub which: usize,
}

/// Standard deviates: those given, and for all others a seed.
#[derive(Debug, Clone, PartialEq)]
pub struct Deviates {
    seed: u64,
    given: BTreeMap<Drawn, f64>,
}

impl Deviates {
    /// All from a seed.
    #[must_use]
    pub const fn of_seed(seed: u64) -> Self {
        Self { seed, given: BTreeMap::new() }
    }

    /// The same with these given.
    #[must_use]
    pub fn with(mut self, given: impl IntoIterator<Item = (Drawn, f64)>) -> Self {
        self.given.extend(given);
        self
    }

    /// The seed.
    #[must_use]
    pub const fn seed(&self) -> u64 {
        self.seed
    }

    /// Those given one by one.
    pub fn given(&self) -> impl Iterator<Item = (Drawn, f64)> + '_ {
        self.given.iter().map(|(drawn, z)| (*drawn, *z))
    }

    /// One number with heavy tails or not, of variance 1.
    pub(crate) fn one(&self, drawn: Drawn, tail: Option<u32>) -> f64 {
        if let Some(z) = self.given.get(&drawn) {
            return *z;
        }
        let mut dice = self.stream(drawn, 0);
        let z = dice.normal();
        tail.map_or(z, |degrees| z * dice.stretch(degrees))
    }

    /// Three numbers of variance 1; heavy tails are shared, so that a wild reading is wild as a whole.
    /// `light` tells the biases of one job under two lights apart.
    pub(crate) fn three(&self, drawn: Drawn, light: u64, tail: Option<u32>) -> [f64; 3] {
        let mut dice = self.stream(drawn, 1 + light);
        let stretch = tail.map_or(1.0, |degrees| dice.stretch(degrees));
        let drawn_anew = [0; 3].map(|_| dice.normal() * stretch);
        std::array::from_fn(|which| {
            self.given.get(&Drawn { which, ..drawn }).copied().unwrap_or(drawn_anew[which])
        })
    }

    /// A chance that comes true so often, in percent.
    pub(crate) fn happens(&self, key: u64, job: u64, swatch: u32, percent: f64) -> bool {
        Dice::of(self.seed, &[HAPPENS, key, job, u64::from(swatch)]).roll() * 100.0 < percent
    }

    fn stream(&self, drawn: Drawn, turn: u64) -> Dice {
        let keys =
            [drawn.what as u64, drawn.job, u64::from(drawn.swatch), drawn.which as u64, turn];
        Dice::of(self.seed, &keys)
    }
}

/// Key of the chances, apart from those of `What`.
const HAPPENS: u64 = 100;
