//! A ladder: one dye at rising depths on one cloth, palest first.

use colour::Bands;

use super::Refusal;

/// The steps of one dye, palest first, and the rule which of them are learnt from.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder(Vec<Bands>);

impl Ladder {
    /// Takes two steps or more, the palest first.
    pub fn try_new(steps: Vec<Bands>) -> Result<Self, Refusal> {
        if steps.len() < 2 {
            return Err(Refusal::TooShort { steps: steps.len() });
        }
        Ok(Self(steps))
    }

    /// The steps, palest first.
    #[must_use]
    pub fn steps(&self) -> &[Bands] {
        &self.0
    }

    /// Index of the middle step, ⌊n/2⌋: the first learnt from.
    #[must_use]
    pub fn middle_index(&self) -> usize {
        self.0.len() / 2
    }

    /// The middle step.
    #[must_use]
    pub fn middle(&self) -> &Bands {
        &self.0[self.middle_index()]
    }

    /// The palest step, index 0: the other one learnt from.
    #[must_use]
    pub fn palest(&self) -> &Bands {
        &self.0[0]
    }

    /// The steps learnt nothing from, with their index.
    pub fn unseen(&self) -> impl Iterator<Item = (usize, &Bands)> {
        let middle = self.middle_index();
        self.0.iter().enumerate().filter(move |(i, _)| *i != 0 && *i != middle)
    }
}
