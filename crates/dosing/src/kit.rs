//! What the maker measures with: a scale, syringes or jugs with marks, and, for want of those, spoons
//! and drops of liquid.
//!
//! Left out: spoons of powder (a dye powder is never dosed by spoon) and the scale's upper limit.

use units::{Mass, Volume};

use crate::measure::{Spoons, thousandths};
use crate::{DosingRefusal, Measure, Shown};

/// What the maker measures with. A kit without syringes has no measuring jug either: a jug is
/// listed like a syringe, with its capacity and its marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Kit {
    scale: Option<Scale>,
    syringes: Vec<Syringe>,
    spoons: Vec<Spoons>,
    drops: bool,
}

/// A scale, known by the smallest step its display shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Scale {
    /// In ten-thousandths of a gram.
    step: u32,
}

/// A syringe, or any vessel with marks, such as a measuring jug or cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Syringe {
    /// In thousandths of a millilitre.
    capacity: u64,
    /// In thousandths of a millilitre.
    mark: u64,
}

impl Kit {
    /// From a scale, if there is one, and all syringes and jugs, in any order; refuses the same
    /// sort twice.
    pub fn try_new(
        scale: Option<Scale>,
        mut syringes: Vec<Syringe>,
    ) -> Result<Self, DosingRefusal> {
        syringes.sort_by_key(|s| (s.capacity, s.mark));
        if let Some(pair) = syringes.windows(2).find(|pair| pair[0] == pair[1]) {
            return Err(DosingRefusal::Twice {
                capacity: pair[0].capacity(),
                mark: pair[0].mark(),
            });
        }
        Ok(Self { scale, syringes, spoons: Vec::new(), drops: false })
    }

    /// The same kit with these measuring spoons, in any order; they are used level, for liquids only.
    /// Refuses a spoon outside 0.5 to 50 mL, the same one twice, and more than four.
    pub fn with_spoons(self, spoons: &[Volume]) -> Result<Self, DosingRefusal> {
        Ok(Self { spoons: Spoons::sets_of(spoons)?, ..self })
    }

    /// The same kit with a dropper: liquids are counted in drops where nothing better measures them.
    #[must_use]
    pub fn with_drops(self) -> Self {
        Self { drops: true, ..self }
    }

    /// The scale, if there is one.
    #[must_use]
    pub const fn scale(&self) -> Option<Scale> {
        self.scale
    }

    /// Syringes and jugs, smallest first.
    #[must_use]
    pub fn syringes(&self) -> &[Syringe] {
        &self.syringes
    }

    /// Everything a volume of liquid is measured with: syringes and jugs, spoons, drops.
    pub fn measures(&self) -> impl Iterator<Item = Measure> {
        let drops = self.drops.then_some(Measure::Drops);
        let syringes = self.syringes.iter().copied().map(Measure::Marked);
        syringes.chain(self.spoons.iter().copied().map(Measure::Spoons)).chain(drops)
    }
}

impl Scale {
    /// A jewellery scale: 0.01 g.
    pub const JEWELLERY: Self = Self { step: 100 };
    /// A good kitchen scale: 0.1 g.
    pub const KITCHEN: Self = Self { step: 1_000 };
    /// A plain kitchen scale: 1 g.
    pub const PLAIN: Self = Self { step: 10_000 };

    /// From the smallest change the display shows: 1, 2 or 5 times a power of ten (the form of
    /// scale intervals in EN 45501 and OIML R 76, from memory), from 0.0001 to 10 g.
    pub fn try_step(given: Mass) -> Result<Self, DosingRefusal> {
        const ALLOWED: [u32; 16] = [
            1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000,
            100_000,
        ];
        let found = given.to_grams() * 10_000.0;
        ALLOWED
            .into_iter()
            .find(|&step| (found - f64::from(step)).abs() <= 1e-9 * f64::from(step))
            .map(|step| Self { step })
            .ok_or(DosingRefusal::Step { given })
    }

    /// The smallest change the display shows.
    #[must_use]
    pub fn step(self) -> Mass {
        Mass::try_grams(self.step_grams()).unwrap_or(Mass::ZERO)
    }

    /// Scatter of a weighing, as a share of it (one standard deviation): one digit. The trade says
    /// "error about ±1 digit: ±1 % needs 100 digits, ±2 % needs 50" (common practice); we take
    /// that digit as a standard deviation and not as a bound, because cheap scales drift by more.
    #[must_use]
    pub fn relative_scatter(self, weighed: Mass) -> f64 {
        self.step_grams() / weighed.to_grams()
    }

    /// The smallest amount that can be weighed within 2 %: fifty steps.
    #[must_use]
    pub fn least_weighable(self) -> Mass {
        Mass::try_grams(50.0 * self.step_grams()).unwrap_or(Mass::ZERO)
    }

    /// What the display shows when this much lies on it: the nearest step, half away from zero.
    #[must_use]
    pub fn shows(self, mass: Mass) -> Shown {
        self.at(steps_in(mass.to_grams(), self.step_grams()))
    }

    pub(crate) fn step_grams(self) -> f64 {
        f64::from(self.step) / 10_000.0
    }

    /// Whether the display can show these grams to the last digit.
    pub(crate) fn can_show(self, grams: Shown) -> bool {
        self.shows_grams(grams) == Some(grams.trimmed())
    }

    fn shows_grams(self, grams: Shown) -> Option<Shown> {
        Mass::try_grams(grams.value()).ok().map(|mass| self.shows(mass).trimmed())
    }

    fn at(self, steps: u64) -> Shown {
        let (unit, decimals) = decimal_step(u64::from(self.step), 4);
        Shown::from_units(steps.saturating_mul(unit), decimals)
    }
}

impl Syringe {
    pub(crate) const LEAST_MARKS: f64 = 5.0;
    pub(crate) const MOST_FILLS: u32 = 10;

    /// From its capacity and the volume from one mark to the next; a whole number of marks fills it.
    pub fn try_new(capacity: Volume, mark: Volume) -> Result<Self, DosingRefusal> {
        match (thousandths(capacity), thousandths(mark)) {
            (Some(c), Some(m)) if c % m == 0 => Ok(Self { capacity: c, mark: m }),
            _ => Err(DosingRefusal::Marks { capacity, mark }),
        }
    }

    /// What it holds when full.
    #[must_use]
    pub fn capacity(self) -> Volume {
        Volume::try_millilitres(self.capacity_ml()).unwrap_or(Volume::ZERO)
    }

    /// The volume from one mark to the next.
    #[must_use]
    pub fn mark(self) -> Volume {
        Volume::try_millilitres(self.mark_ml()).unwrap_or(Volume::ZERO)
    }

    /// What it is called at the bench: "10 mL syringe", "500 mL measuring jug".
    #[must_use]
    pub fn words(self) -> String {
        let noun = if self.capacity >= 100_000 { "measuring jug" } else { "syringe" };
        format!("{} mL {noun}", Shown::from_units(self.capacity, 3).trimmed())
    }

    /// How many fills a volume takes; at least one.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "not negative; the cast stops at the largest count"
    )]
    pub fn fills(self, volume: Volume) -> u32 {
        ((volume.to_millilitres() / self.capacity_ml() - 1e-9).ceil() as u32).max(1)
    }

    /// Scatter of a measured volume, as a share of it (one standard deviation): 1.75 % of what is
    /// drawn, and 0.29 of a mark (a reading anywhere within half a mark: 1/√12) for each fill.
    /// It gives back the trade's figures, 2 to 3 % for 1 mL in a 1 mL syringe and for 3 mL in a
    /// 10 mL one (common practice; marks of 0.01 and 0.2 mL); the split in two parts is ours.
    #[must_use]
    pub fn relative_scatter(self, volume: Volume) -> f64 {
        const OF_WHAT_IS_DRAWN: f64 = 0.0175;
        const OF_A_MARK: f64 = 0.29;
        let reading = OF_A_MARK * self.mark_ml() * f64::from(self.fills(volume)).sqrt()
            / volume.to_millilitres();
        together(OF_WHAT_IS_DRAWN, reading)
    }

    /// Whether a volume can be measured with it: at least five marks (a mark is then a fifth of
    /// it) and at most ten fills (more are miscounted); both limits are ours.
    #[must_use]
    pub fn suits(self, volume: Volume) -> bool {
        volume.to_millilitres() > (Self::LEAST_MARKS - 1e-6) * self.mark_ml()
            && self.fills(volume) <= Self::MOST_FILLS
    }

    /// What is drawn when this much is wanted: the nearest mark, half away from zero.
    #[must_use]
    pub fn shows(self, volume: Volume) -> Shown {
        self.at(steps_in(volume.to_millilitres(), self.mark_ml()))
    }

    #[expect(clippy::cast_precision_loss, reason = "at most 1e9")]
    pub(crate) fn mark_ml(self) -> f64 {
        self.mark as f64 / 1000.0
    }

    #[expect(clippy::cast_precision_loss, reason = "at most 1e9")]
    fn capacity_ml(self) -> f64 {
        self.capacity as f64 / 1000.0
    }

    fn at(self, marks: u64) -> Shown {
        let (unit, decimals) = decimal_step(self.mark, 3);
        Shown::from_units(marks.saturating_mul(unit), decimals)
    }
}

/// Two independent scatters together. Written with a square root, which every machine rounds alike.
pub(crate) fn together(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// Whole steps nearest to an amount; a tie typed in decimals goes up.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "amounts are at most 1e6 and steps at least 1e-4"
)]
fn steps_in(amount: f64, step: f64) -> u64 {
    (amount / step * (1.0 + 1e-13)).round() as u64
}

/// A step in 10^-decimals with the zeros at its end taken off.
const fn decimal_step(mut step: u64, mut decimals: u8) -> (u64, u8) {
    while decimals > 0 && step.is_multiple_of(10) {
        step /= 10;
        decimals -= 1;
    }
    (step, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    type Checked = Result<(), Box<dyn std::error::Error>>;

    fn syringe(capacity: f64, mark: f64) -> Result<Syringe, DosingRefusal> {
        Syringe::try_new(Volume::try_millilitres(capacity)?, Volume::try_millilitres(mark)?)
    }

    #[test]
    fn a_scale_is_as_good_as_the_trade_says() -> Checked {
        // Common practice: ±1 % needs 100 digits, ±2 % needs 50; 0.1 g: 5–10 g, 0.01 g: 0.5–1 g.
        for (scale, two, one) in
            [(Scale::KITCHEN, 5.0, 10.0), (Scale::JEWELLERY, 0.5, 1.0), (Scale::PLAIN, 50.0, 100.0)]
        {
            assert!((scale.relative_scatter(Mass::try_grams(two)?) - 0.02).abs() < 1e-12);
            assert!((scale.relative_scatter(Mass::try_grams(one)?) - 0.01).abs() < 1e-12);
            assert!((scale.least_weighable().to_grams() - two).abs() < 1e-12);
        }
        Ok(())
    }

    #[test]
    fn a_syringe_is_as_good_as_the_trade_says() -> Checked {
        // Common practice: 1 mL of a 1 mL syringe, and 3 mL of a 10 mL one, are within 2–3 %.
        for (capacity, mark, drawn) in [(1.0, 0.01, 1.0), (10.0, 0.2, 3.0)] {
            let scatter =
                syringe(capacity, mark)?.relative_scatter(Volume::try_millilitres(drawn)?);
            assert!((0.015..=0.03).contains(&scatter), "{drawn} mL of {capacity} mL: {scatter}");
        }
        Ok(())
    }

    #[test]
    fn displays_show_their_own_digits() -> Checked {
        assert_eq!(Scale::KITCHEN.shows(Mass::try_grams(12.35)?).to_string(), "12.4");
        assert_eq!(Scale::JEWELLERY.shows(Mass::try_grams(1.0)?).to_string(), "1.00");
        assert_eq!(
            Scale::try_step(Mass::try_grams(5.0)?)?.shows(Mass::try_grams(52.6)?).to_string(),
            "55"
        );
        assert_eq!(syringe(10.0, 0.2)?.shows(Volume::try_millilitres(4.91)?).to_string(), "5.0");
        assert_eq!(syringe(500.0, 25.0)?.words(), "500 mL measuring jug");
        Ok(())
    }

    #[test]
    fn nonsense_is_refused_in_words() -> Checked {
        for bad in [0.0, 0.03, 0.7, 1e-5, 100.0, 28.35] {
            assert!(Scale::try_step(Mass::try_grams(bad)?).is_err(), "{bad}");
        }
        for (capacity, mark) in [(10.0, 0.0), (0.0, 0.1), (10.0, 20.0), (10.0, 0.3), (10.0, 0.0001)]
        {
            assert!(syringe(capacity, mark).is_err(), "{capacity} {mark}");
        }
        let twice = Kit::try_new(None, vec![syringe(10.0, 0.2)?, syringe(10.0, 0.2)?]);
        assert_eq!(
            twice.map_err(|e| e.to_string()),
            Err("a 10 mL measure with marks of 0.2 mL is in the kit twice: list each sort once"
                .into())
        );
        Ok(())
    }
}
